/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `field` document of a job: that of the field room, with the coil's current, hot and cold. */
#ifndef CW_WORK_MAGNET_JSON_H
#define CW_WORK_MAGNET_JSON_H

#include "coilwright/work.h"

#include <jansson.h>

/* NULL without memory. curve: shape [count] */
json_t *cw_work_field_json(const cw_work_field_study *study, const cw_field_result *curve, size_t count);

#endif
