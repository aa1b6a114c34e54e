/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_FORMER_JSON_H
#define CW_FORMER_JSON_H

#include "coilwright/former.h"

#include <jansson.h>

/** The documents of former and arbor; the caller decrefs. NULL without memory. */
json_t *cw_former_json(const cw_former *former);
json_t *cw_arbor_json(const cw_arbor *arbor);

#endif
