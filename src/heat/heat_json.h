/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_HEAT_JSON_H
#define CW_HEAT_JSON_H

#include "coilwright/heat.h"

#include <jansson.h>

/* The document of `heat`; figures that do not apply are null. NULL without memory.
 *   thermal_class_c  of the winding's insulation, NAN unknown
 *   warm_up, duty    either may be NULL; the curve is the duty's where there is one, else the warm-up's */
json_t *cw_heat_json(const cw_heat_result *steady, double thermal_class_c, const cw_heat_run *warm_up,
                     const cw_heat_run *duty);

#endif
