/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `choose` document of the command line and the page. */
#ifndef CW_CHOOSE_JSON_H
#define CW_CHOOSE_JSON_H

#include "coilwright/choose.h"

#include <jansson.h>

/** A new object with the keys of the contract; what is not known is null. NULL without memory.
 *  before: what would be wound without what the user insists on; NULL where nothing is */
json_t *cw_choice_json(const cw_choice *choice, const cw_choice *before);

/** The choice for a terminal; before as above. */
void cw_choice_text(const cw_choice *choice, const cw_choice *before, cw_text *text);

#endif
