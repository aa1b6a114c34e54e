/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_WIRE_JSON_H
#define CW_WIRE_JSON_H

#include "coilwright/wire.h"

#include <jansson.h>

/** A wire per metre, as in the document of `wire`. NULL without memory. */
json_t *cw_wire_json(const cw_wire *wire);

#endif
