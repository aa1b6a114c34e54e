/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_CIRCUIT_JSON_H
#define CW_CIRCUIT_JSON_H

#include "coilwright/circuit.h"

#include <jansson.h>

/* The document of `switch`; a figure that does not apply or never comes is null. NULL without memory. */
json_t *cw_circuit_json(const cw_switch_study *study);

#endif
