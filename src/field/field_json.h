/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `field` document of the command line and the page. */
#ifndef CW_FIELD_JSON_H
#define CW_FIELD_JSON_H

#include "coilwright/field.h"

#include <jansson.h>

/* A new object with the keys of the contract and those of the parts; NULL without memory.
 *   curve  shape [count]; NULL welcome where count is 0
 *   hand   NULL where there is no hand sum */
json_t *cw_field_json(const cw_field_result *result, const cw_field_result *curve, size_t count,
                      const cw_hand_sum *hand);

#endif
