/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_IDENTIFY_JSON_H
#define CW_IDENTIFY_JSON_H

#include "coilwright/evidence.h"
#include "coilwright/quantity.h"

#include <jansson.h>

/** The document of `identify`. NULL without memory. */
json_t *cw_identification_json(const cw_identification *identification);

/** The answer for a terminal: candidates, intervals, readings against what is expected, doubts, what to measure next. */
void cw_identification_text(const cw_identification *identification, cw_unit_system units, cw_text *text);

/** The kind of quantity in which readings of a kind are written. */
cw_kind cw_reading_quantity(cw_reading_kind kind);

#endif
