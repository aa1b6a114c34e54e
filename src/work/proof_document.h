/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `prove` document of a job: that of the proof room, with whether its load is held as `hold` (null where the job has
 * no load, or `{"text"}` with what is missing to judge it). */
#ifndef CW_WORK_PROOF_DOCUMENT_H
#define CW_WORK_PROOF_DOCUMENT_H

#include "coilwright/work.h"

#include <jansson.h>

/* NULL without memory. proof: of the same work */
json_t *cw_work_proof_json(cw_work *work, const cw_proof *proof);

#endif
