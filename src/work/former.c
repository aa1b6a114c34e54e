/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a job to its former, its arbor and their solids: the window by the job, core and cavity by the magnet's
 * dimensions, the flange that the finish leaves by by the laid winding, the heat by the heat. */
#include "work/work_internal.h"

#include <math.h>
#include <string.h>

static double length_of(const cw_job *job, const char *name)
{
    const cw_job_entry *entry = cw_job_magnet_entry(job, name);

    return entry != NULL && entry->word == NULL ? entry->value : NAN;
}

static bool word_is(const cw_job *job, const char *name, const char *word)
{
    const cw_job_entry *entry = cw_job_magnet_entry(job, name);

    return entry != NULL && entry->word != NULL && strcmp(entry->word, word) == 0;
}

/* ---- core and cavity ------------------------------------------------------------------------------------------- */

static void round_magnet(const cw_job *job, cw_former_plan *plan)
{
    const double collar = word_is(job, "shape", "plunger") ? length_of(job, "collar_thickness") : 0;

    plan->core_m[0] = plan->core_m[1] = length_of(job, "pole_diameter");
    plan->cavity_m[0] = plan->cavity_m[1] = length_of(job, "outer_diameter") - 2 * length_of(job, "rim_thickness");
    plan->cavity_length_m = length_of(job, "height") - length_of(job, "base_thickness") - collar;
}

/* The leg's longer way through the window's is the iron's depth: along it the window's sizes are put, so that slots and
 * halves come out at the ends, outside the iron. Between the legs of a U two coils share the room. */
static void straight_magnet(const cw_job *job, cw_former_plan *plan)
{
    const double depth = length_of(job, "depth"), window = length_of(job, "window_width");
    const bool on_base = word_is(job, "coil_on_base", "yes");
    const double leg = length_of(job, on_base ? "base_thickness" : "pole_width");
    double *inner = plan->window.inner_m;

    if (fabs(inner[1] - depth) + fabs(inner[0] - leg) < fabs(inner[0] - depth) + fabs(inner[1] - leg) &&
        plan->window.shape == CW_RECTANGLE) {
        const double kept = inner[0];

        inner[0] = inner[1];
        inner[1] = kept;
    }
    plan->core_m[0] = depth;
    plan->core_m[1] = leg;
    if (on_base)
        plan->cavity_length_m = window;
    else
        plan->cavity_length_m = length_of(job, "height") - length_of(job, "base_thickness");
    if (word_is(job, "shape", "e"))
        plan->cavity_m[1] = leg + 2 * window;
    else if (!on_base)
        plan->cavity_m[1] = leg + window;
}

static void take_magnet(const cw_job *job, cw_former_plan *plan)
{
    if (!job->magnet_given)
        return;
    if (word_is(job, "shape", "pot") || word_is(job, "shape", "plunger"))
        round_magnet(job, plan);
    else if (word_is(job, "shape", "u") || word_is(job, "shape", "e"))
        straight_magnet(job, plan);
    if (isnan(plan->core_m[0]) || isnan(plan->core_m[1]))
        plan->core_m[0] = plan->core_m[1] = NAN;
}

/* ---- the plan -------------------------------------------------------------------------------------------------- */

/* How warm the former itself becomes where it is always on; else, on the safe side, the hot spot of the duty. */
static double former_c(cw_work *work)
{
    const cw_work_heat_study *study;
    double most = NAN;

    if (cw_work_heat(work, &study, NULL) != CW_OK)
        return NAN;
    if (study->intermittent)
        return cw_work_hot_spot_c(study);
    for (int i = 0; i < study->steady.part_count; i++)
        if (strcmp(study->section.part[i].name, "former") == 0)
            most = fmax(most, study->steady.part[i].most_c);
    return isnan(most) ? study->steady.hot_spot_c : most;
}

static void take_winding(cw_work *work, cw_former_plan *plan)
{
    const cw_winding *winding;
    const bool laid = cw_work_lay(work, &winding, NULL, NULL) == CW_OK;

    if ((int)plan->finish < 0)
        plan->finish = !laid ? CW_FINISH_BOTH
                       : winding->layer_count % 2 == 0 ? CW_FINISH_START_FLANGE : CW_FINISH_FAR_FLANGE;
    plan->wire_m = laid ? winding->plan.wire.overall_diameter_m.nominal : NAN;
}

/* The window holds all sections and what parts them. */
static void take_sections(const cw_job_former *former, cw_former_plan *plan)
{
    plan->sections = former->sections > 1 ? former->sections : 1;
    plan->middle_m = former->partition_m;
    plan->class_c = former->class_c;
    if (plan->sections > 1)
        plan->window.length_m =
            (plan->window.length_m - (plan->sections - 1) * former->partition_m) / plan->sections;
}

static cw_status make_plan(cw_work *work, cw_former_plan *plan, cw_error *error)
{
    const cw_job *job = work->job;

    if (!job->window_given)
        return cw_refuse(error, NULL, "a window: section", "There is no window in %s, so there is nothing to make a "
                         "former for.", job->file != NULL ? job->file : "the job");
    if (!job->former.given)
        return cw_refuse(error, NULL, "a former: section, as in former: {material: pa12, wall: 1.5 mm, flange: 2 mm}",
                         "The job does not say what the former is made of.");
    *plan = job->former.plan;
    plan->window = job->window;
    plan->material = job->former.material;
    plan->units = job->units;
    plan->core_m[0] = plan->core_m[1] = plan->cavity_m[0] = plan->cavity_m[1] = plan->cavity_length_m = NAN;
    take_sections(&job->former, plan);
    take_magnet(job, plan);
    take_winding(work, plan);
    plan->hot_c = former_c(work);
    return CW_OK;
}

static cw_status design(cw_work *work, cw_work_former_study *study, cw_error *error)
{
    const cw_job_former *asked = &work->job->former;
    cw_former_plan plan;
    cw_status status = make_plan(work, &plan, error);

    if (status == CW_OK)
        status = cw_former_design(&plan, &asked->at, &study->finished, error);
    if (status != CW_OK)
        return status;
    cw_former_compensate(&study->finished, &study->asked);
    study->compensated = study->finished.shrink > 0 || study->finished.hole_growth_m > 0;
    status = cw_arbor_design(&study->finished, &asked->arbor, &asked->at, &study->arbor, &study->no_arbor);
    study->has_arbor = status == CW_OK;
    return status == CW_BAD_INPUT ? CW_OK : status;
}

cw_status cw_work_former(cw_work *work, const cw_work_former_study **study, cw_error *error)
{
    cw_work__stage *stage = &work->former_stage;

    *study = NULL;
    if (!stage->tried)
        stage->status = design(work, &work->former, &stage->error);
    if (stage->status == CW_OK)
        *study = &work->former;
    return cw_work__end(stage, stage->status, error);
}

/* ---- solids ---------------------------------------------------------------------------------------------------- */

static cw_solids_plan solids_plan(const cw_work_former_study *study)
{
    return (cw_solids_plan){ .former = &study->finished, .print = study->compensated ? &study->asked : NULL,
                             .arbor = study->has_arbor ? &study->arbor : NULL };
}

void cw_work_solids_begin(cw_work *work)
{
    const cw_work_former_study *study;
    cw_work__stage *stage = &work->solids_stage;

    if (stage->tried || work->solids_process != NULL || cw_work_former(work, &study, NULL) != CW_OK)
        return;
    work->solids_plan = solids_plan(study);
    stage->status = cw_solids_start(&work->solids_plan, &work->solids_process, &stage->error);
    stage->tried = stage->status != CW_OK;
}

cw_status cw_work_solids(cw_work *work, const cw_solids **solids, cw_error *error)
{
    const cw_work_former_study *study;
    cw_work__stage *stage = &work->solids_stage;

    *solids = NULL;
    if (!stage->tried) {
        stage->status = cw_work_former(work, &study, &stage->error);
        cw_work_solids_begin(work);
        if (work->solids_process != NULL)
            stage->status = cw_solids_finish(&work->solids_plan, &work->solids_process, &work->solids, &stage->error);
    }
    *solids = work->solids;
    return cw_work__end(stage, stage->status, error);
}

void cw_work_former_text(const cw_work_former_study *study, cw_unit_system units, cw_text *text)
{
    cw_former_text(&study->finished, units, text);
    cw_text_add(text, "\n");
    if (study->has_arbor)
        cw_arbor_text(&study->arbor, units, text);
    else
        cw_text_print(text, "No arbor: %s\n", study->no_arbor.text);
}
