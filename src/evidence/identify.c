/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The way through: model, posterior, answer, next reading, faults. */
#include "evidence/evidence_internal.h"

cw_status cw_identify(const cw_evidence *evidence, const cw_wire_catalogue *catalogue,
                      cw_identification **identification, cw_error *error)
{
    return cw_evidence__identify(evidence, catalogue, NULL, NULL, identification, error);
}

cw_status cw_evidence__identify(const cw_evidence *evidence, const cw_wire_catalogue *catalogue, const double *truth,
                                double *cumulative, cw_identification **identification, cw_error *error)
{
    cw_evidence__model *model = NULL;
    cw_evidence__posterior *posterior = NULL;
    cw_identification *made = NULL;
    cw_status status;

    *identification = NULL;
    status = cw_evidence__model_create(evidence, catalogue, &model, error);
    if (status == CW_OK)
        status = cw_evidence__posterior_create(model, &posterior, error);
    if (status == CW_OK && (made = cw_allocate(1, sizeof *made)) == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK)
        status = cw_evidence__answer(model, posterior, truth, cumulative, made, error);
    if (status == CW_OK) {
        cw_evidence__next_readings(model, posterior, made);
        cw_evidence__faults(model, made);
        *identification = made;
        made = NULL;
    }
    cw_identification_destroy(&made);
    cw_evidence__posterior_destroy(&posterior);
    cw_free(model);
    return status;
}

void cw_identification_destroy(cw_identification **identification)
{
    if (*identification != NULL) {
        cw_free((*identification)->candidates);
        cw_free((*identification)->readings);
    }
    cw_free(*identification);
    *identification = NULL;
}
