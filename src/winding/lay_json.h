/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_LAY_JSON_H
#define CW_LAY_JSON_H

#include "coilwright/quantity.h"
#include "coilwright/winding.h"

#include <jansson.h>

/** The document of `lay`. NULL without memory. */
json_t *cw_winding_json(const cw_winding *winding);

/** The winding for a terminal: what it is, then a line a layer. */
void cw_winding_text(const cw_winding *winding, cw_unit_system units, cw_text *text);

#endif
