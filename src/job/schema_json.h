/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_JOB_SCHEMA_JSON_H
#define CW_JOB_SCHEMA_JSON_H

#include "coilwright/job.h"

#include <jansson.h>

/** The JSON Schema (2020-12) of the job file, out of the table that reads it. NULL for want of memory. */
json_t *cw_job_schema_json(void);

#endif
