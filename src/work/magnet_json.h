/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `field` document of a job: that of the field room, with the coil's current, hot and cold, sweeps, what remains of
 * the pull, and original against new. */
#ifndef CW_WORK_MAGNET_JSON_H
#define CW_WORK_MAGNET_JSON_H

#include "coilwright/work.h"

#include <jansson.h>

/* NULL without memory. sweeps: shape [sweep_count], that over the gap first where it is there; holding, rewind may be
 * NULL; units are those of the sentences. */
json_t *cw_work_field_json(const cw_work_field_study *study, const cw_work_sweep *sweeps, size_t sweep_count,
                           const cw_work_holding *holding, const cw_work_rewind *rewind, cw_unit_system units);

/* The same of a job, without sweeps. document receives NULL on failure. */
cw_status cw_work_field_document(cw_work *work, json_t **document, cw_error *error);

#endif
