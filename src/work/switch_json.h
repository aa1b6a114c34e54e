/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `switch` document of a job: that of the circuit room, with what it stands on. */
#ifndef CW_WORK_SWITCH_JSON_H
#define CW_WORK_SWITCH_JSON_H

#include "coilwright/work.h"

#include <jansson.h>

/* NULL without memory. */
json_t *cw_work_switch_json(const cw_work_switch_study *study);

#endif
