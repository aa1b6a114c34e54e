/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_PROOF_JSON_H
#define CW_PROOF_JSON_H

#include "coilwright/proof.h"

#include <jansson.h>

/** The document of `prove`. What is not known is null. NULL without memory. */
json_t *cw_proof_json(const cw_proof *proof);

/** Whether a load holds, step by step. NULL without memory. */
json_t *cw_hold_json(const cw_hold *hold);

#endif
