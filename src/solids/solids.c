/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Asking the helper, and judging what it made. */
#include "solids/solids_internal.h"

#include <math.h>
#include <string.h>

#define HELPER "coilwright-solids"
#define KERNEL_SLACK 1e-6  /* of a volume: the kernel integrates surfaces, we outlines */
#define FACET_SLACK 1e-3   /* of a volume: flat facets on round faces */
#define BOX_SLACK_MM 1e-3

/* A second of computing, on a machine that may be busy with a hundred other things. */
static const double seconds = 120;
static const size_t memory = (size_t)2 << 30, answer_most = (size_t)256 << 20;

cw_status cw_solids_start(const cw_solids_plan *plan, cw_process **process, cw_error *error)
{
    cw_text question = { 0 };
    cw_status status = CW_OK;

    *process = NULL;
    cw_solids__question(plan, &question);
    if (question.failed) {
        status = cw_no_memory(error);
    } else {
        const cw_process_request request = { HELPER, question.data, question.length, seconds, memory, answer_most };

        status = cw_process_start(&request, process, error);
    }
    cw_text_clear(&question);
    return status;
}

/* ---- judging --------------------------------------------------------------------------------------------------- */

static cw_status judge(const cw_solid *solid, double volume_m3, const cw_extent *box, cw_error *error)
{
    const double facets_m3 = 1e-9 * cw_shell_volume_mm3(&solid->shell);
    double low[3], high[3];

    if (!(fabs(solid->volume_m3 - volume_m3) <= KERNEL_SLACK * volume_m3))
        return cw_fail(error, "The solid \"%s\" has %.6g cm3 by the kernel and %.6g cm3 by hand: it is not what it "
                              "should be, and is not written. Please report the job.", solid->name, 1e6 * solid->volume_m3,
                       1e6 * volume_m3);
    if (!cw_shell_closed(&solid->shell) || !(fabs(facets_m3 - volume_m3) <= FACET_SLACK * volume_m3))
        return cw_fail(error, "The triangles of the solid \"%s\" hold %.6g cm3 where they must hold %.6g cm3: they are "
                              "not written. Please report the job.", solid->name, 1e6 * facets_m3, 1e6 * volume_m3);
    cw_shell_box(&solid->shell, low, high);
    for (int i = 0; i < 3; i++)
        if (!(fabs(low[i] - 1e3 * box->low_m[i]) <= BOX_SLACK_MM && fabs(high[i] - 1e3 * box->high_m[i]) <= BOX_SLACK_MM))
            return cw_fail(error, "The solid \"%s\" goes from %.6g mm to %.6g mm where it must go from %.6g mm to %.6g "
                                  "mm: it is not written. Please report the job.", solid->name, low[i], high[i],
                           1e3 * box->low_m[i], 1e3 * box->high_m[i]);
    return CW_OK;
}

static cw_status judge_count(const cw_solid_group *group, size_t asked, cw_error *error)
{
    if (group->piece_count == asked)
        return CW_OK;
    return cw_fail(error, "The helper for solids made %zu pieces of %zu. Please report the job.", group->piece_count, asked);
}

static cw_status judge_former(const cw_former *former, const cw_solid_group *group, cw_error *error)
{
    const size_t pieces = former != NULL ? (size_t)cw_former_piece_count(former) : 0;
    cw_status status = judge_count(group, pieces, error);
    cw_extent box;

    for (size_t i = 0; status == CW_OK && i < pieces; i++) {
        cw_former_box(former, (int)i, &box);
        status = judge(&group->pieces[i], cw_former_volume(former, (int)i), &box, error);
    }
    return status;
}

static cw_status judge_arbor(const cw_arbor *arbor, const cw_solid_group *group, cw_error *error)
{
    const size_t pieces = arbor != NULL ? CW_ARBOR_PIECE_COUNT : 0;
    cw_status status = judge_count(group, pieces, error);
    cw_extent box;

    for (size_t i = 0; status == CW_OK && i < pieces; i++) {
        cw_arbor_box(arbor, (cw_arbor_piece)i, &box);
        status = judge(&group->pieces[i], cw_arbor_volume(arbor, (cw_arbor_piece)i), &box, error);
    }
    return status;
}

static cw_status judge_all(const cw_solids_plan *plan, const cw_solids *solids, cw_error *error)
{
    cw_status status = judge_former(plan->former, &solids->former, error);

    if (status == CW_OK)
        status = judge_former(plan->print, &solids->print, error);
    return status == CW_OK ? judge_arbor(plan->arbor, &solids->arbor, error) : status;
}

/* ---- the whole ------------------------------------------------------------------------------------------------- */

cw_status cw_solids_finish(const cw_solids_plan *plan, cw_process **process, cw_solids **solids, cw_error *error)
{
    cw_solids *made = NULL;
    char *answer;
    size_t length;
    cw_status status = cw_process_finish(process, &answer, &length, error);

    *solids = NULL;
    if (status == CW_OK && (made = cw_allocate(1, sizeof *made)) == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK)
        status = cw_solids__answer(answer, length, made, error);
    if (status == CW_OK)
        status = judge_all(plan, made, error);
    cw_free(answer);
    if (status == CW_OK)
        *solids = made;
    else
        cw_solids_destroy(&made);
    return status;
}

cw_status cw_solids_make(const cw_solids_plan *plan, cw_solids **solids, cw_error *error)
{
    cw_process *process;
    cw_status status = cw_solids_start(plan, &process, error);

    *solids = NULL;
    return status == CW_OK ? cw_solids_finish(plan, &process, solids, error) : status;
}

void cw_solids_destroy(cw_solids **solids)
{
    if (*solids != NULL) {
        cw_solids__group_clear(&(*solids)->former);
        cw_solids__group_clear(&(*solids)->print);
        cw_solids__group_clear(&(*solids)->arbor);
    }
    cw_free(*solids);
    *solids = NULL;
}
