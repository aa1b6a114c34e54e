/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `heat` document of a job: that of the heat room, with what it stands on. */
#ifndef CW_WORK_HEAT_DOCUMENT_H
#define CW_WORK_HEAT_DOCUMENT_H

#include "coilwright/work.h"

#include <jansson.h>

/* NULL without memory. */
json_t *cw_work_heat_json(const cw_work_heat_study *study);

#endif
