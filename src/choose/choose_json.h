/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `choose` document of the command line and the page. */
#ifndef CW_CHOOSE_JSON_H
#define CW_CHOOSE_JSON_H

#include "coilwright/choose.h"

#include <jansson.h>

/** A new object with the keys of the contract; what is not known is null. NULL without memory. */
json_t *cw_choice_json(const cw_choice *choice);

/** The choice for a terminal. */
void cw_choice_text(const cw_choice *choice, cw_unit_system units, cw_text *text);

#endif
