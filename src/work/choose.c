/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a job to what to wind, and to the winding: the job's wishes as a request, and how its magnet cools the coil. */
#include "work/work_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SYSTEM_PARTS = 4 };

/* A request with what it points at. */
typedef struct asked {
    cw_choice_request request;
    cw_system_part parts[SYSTEM_PARTS];
} asked;

static void add_part(asked *a, const char *name, double class_c)
{
    if (class_c > 0)
        a->parts[a->request.system_count++] = (cw_system_part){ name, class_c };
}

static void add_system(const cw_job *job, asked *a)
{
    a->request.system = a->parts;
    add_part(a, "tape", job->insulation.given ? job->insulation.class_c : NAN);
    add_part(a, "former", job->former.given ? job->former.class_c : NAN);
    add_part(a, "resin", job->potting.given ? job->potting.class_c : NAN);
    add_part(a, "lead", job->insulation.given ? job->insulation.lead_class_c : NAN);
}

static double or_zero(double value)
{
    return isnan(value) ? 0 : value;
}

static void add_insulation(const cw_job_insulation *insulation, cw_lay_plan *plan)
{
    if (!insulation->given)
        return;
    plan->insulation_m = or_zero(insulation->sheet_m);
    plan->insulation_every = insulation->every;
    plan->margin_start_m = or_zero(insulation->margin_start_m);
    plan->margin_end_m = or_zero(insulation->margin_end_m);
    plan->sleeve_m = or_zero(insulation->sleeve_m);
    plan->wrap_m = or_zero(insulation->wrap_m);
}

static void add_own_choice(const cw_wanted *wanted, cw_choice_set *set)
{
    set->turns = wanted->turns;
    set->layers = wanted->layers;
    set->in_hand = wanted->in_hand;
    set->builds = wanted->builds;
    set->materials = wanted->materials;
    set->option = wanted->option;
    memcpy(set->size, wanted->size, sizeof set->size);
}

/* By the magnet; where that is not known, as it was read. */
static double core_section(const cw_job *job)
{
    double section = job->magnet_given ? cw_work__core_section_m2(job) : NAN;

    for (size_t i = 0; i < job->reading_count && isnan(section); i++)
        if (job->readings[i].kind == CW_CORE_SECTION)
            section = job->readings[i].value;
    return section;
}

static void ask(const cw_job *job, asked *a)
{
    memset(a, 0, sizeof *a);
    a->request.window = job->window;
    a->request.supply = job->supply;
    a->request.circuit = job->circuit;
    a->request.wanted = job->wanted;
    a->request.stock = job->stock;
    a->request.stock_count = job->stock_count;
    a->request.units = job->units;
    a->request.core_section_m2 = core_section(job);
    a->request.two_sizes = true;
    if (job->former.given) {
        a->request.sections = job->former.sections;
        a->request.partition_m = or_zero(job->former.partition_m);
    }
    add_insulation(&job->insulation, &a->request.factors);
    add_system(job, a);
    if (!job->wanted.given)
        return;
    a->request.two_sizes = !job->wanted.one_size && job->wanted.tap_count == 0; /* taps are laid in one wire only */
    a->request.finest_m = or_zero(job->wanted.finest_m);
    add_own_choice(&job->wanted, &a->request.set);
}

/* ---- choose ------------------------------------------------------------------------------------------------------ */

static cw_status take_original(cw_work *work, cw_choice_request *request, cw_error *error)
{
    const cw_job *job = work->job;
    const cw_identification *identification;
    cw_status status = cw_work_identify(work, &identification, error);

    if (status == CW_OK)
        cw_original_from(identification, &request->original);
    else if (status == CW_BAD_INPUT && job->wanted.given && job->wanted.resistance_rule == CW_EXACTLY) {
        request->original.turns = request->original.resistance_20c_ohm = (cw_interval){ NAN, NAN, NAN };
        status = CW_OK;
    }
    request->original.supply_voltage_v = job->supply.given ? job->supply.original_voltage_v : NAN;
    return status;
}

static cw_status lay_option(cw_work *work, cw_error *error);

/* K/W in the magnet, from the best winding by the bare coil's estimate: what is wound hardly changes how its place cools
 * it. Where it cannot be told the estimate stands. */
static cw_status find_cooling(const cw_work *work, const asked *a, cw_choice_cooling *cooling, cw_error *error)
{
    cw_work probe = *work;
    cw_choice_request request = a->request;
    cw_status status;

    memset(cooling, 0, sizeof *cooling);
    if (!work->job->magnet_given || !work->job->supply.given || work->job->supply.kind == CW_AC)
        return CW_OK;
    memset(&request.set, 0, sizeof request.set);
    request.most_options = 1;
    request.two_sizes = false;
    probe.winding = NULL;
    status = cw_choose(&request, work->catalogue, &probe.choice, error);
    probe.choose_stage = probe.lay_stage = (cw_work__stage){ .tried = true };
    if (status == CW_OK)
        status = lay_option(&probe, error);
    if (status == CW_OK)
        status = cw_work__cooling(&probe, cooling, error);
    cw_winding_destroy(&probe.winding);
    cw_choice_destroy(&probe.choice);
    return status == CW_NO_MEMORY ? status : CW_OK;
}

/* own: with what the user insists on. */
static cw_status choose(cw_work *work, bool own, cw_choice **choice, cw_error *error)
{
    const cw_job *job = work->job;
    asked a;
    cw_status status;

    if (!job->window_given)
        return cw_refuse(error, NULL, "a window: section", "There is no window in %s, so nothing can be fitted into it. "
                         "Measure the former's inner size, length and depth.", job->file != NULL ? job->file : "the job");
    ask(job, &a);
    if (!own)
        memset(&a.request.set, 0, sizeof a.request.set);
    status = take_original(work, &a.request, error);
    if (status == CW_OK)
        status = find_cooling(work, &a, &a.request.cooling, error);
    return status == CW_OK ? cw_choose(&a.request, work->catalogue, choice, error) : status;
}

cw_status cw_work_choose(cw_work *work, const cw_choice **choice, cw_error *error)
{
    cw_work__stage *stage = &work->choose_stage;

    *choice = NULL;
    if (!stage->tried)
        stage->status = choose(work, true, &work->choice, &stage->error);
    *choice = work->choice;
    return cw_work__end(stage, stage->status, error);
}

cw_status cw_work_before(cw_work *work, const cw_choice **before, cw_error *error)
{
    cw_work__stage *stage = &work->before_stage;
    const cw_choice *choice;
    cw_status status = cw_work_choose(work, &choice, error);

    *before = NULL;
    if (status != CW_OK || (!work->set && !choice->own))
        return status;
    if (work->set) {
        status = work->as_written != NULL ? cw_work_choose(work->as_written, before, NULL) : CW_OK;
        return status == CW_NO_MEMORY ? cw_no_memory(error) : CW_OK;
    }
    if (!stage->tried)
        stage->status = choose(work, false, &work->before, &stage->error);
    *before = work->before;
    return cw_work__end(stage, stage->status, error);
}

/* ---- lay --------------------------------------------------------------------------------------------------------- */

/* Of several parts: two sizes on each other, or sections. */
static cw_status lay_parts(const cw_choice_option *option, double voltage_v, cw_winding **winding, cw_error *error)
{
    cw_coil_plan plan;
    cw_coil *coil;
    cw_status status;

    cw_choice_coil(option, &plan);
    plan.common.voltage_v = voltage_v;
    status = cw_coil_lay(&plan, &coil, error);
    if (status == CW_OK)
        status = cw_coil_join(coil, winding, error);
    cw_coil_destroy(&coil);
    return status;
}

static cw_status lay_option(cw_work *work, cw_error *error)
{
    const cw_choice *choice = work->choice;
    const cw_wanted *wanted = &work->job->wanted;
    const cw_choice_option *option;
    cw_lay_plan plan;

    if (choice->option_count == 0)
        return cw_refuse(error, NULL, NULL, "There is no winding to lay. %s", choice->summary);
    option = choice->chosen != NULL ? choice->chosen : choice->options;
    plan = option->plan;
    if (work->job->supply.given)
        plan.voltage_v = cw_work__coil_voltage(work->job);
    if (option->sections > 1 && wanted->given && wanted->tap_count > 0)
        return cw_refuse(error, NULL, "taps, or sections", "Taps are not laid in a winding of several sections.");
    if (option->two_sizes || option->sections > 1)
        return lay_parts(option, plan.voltage_v, &work->winding, error);
    if (wanted->given) {
        memcpy(plan.taps, wanted->taps, sizeof plan.taps);
        plan.tap_count = (int)wanted->tap_count;
    }
    return cw_winding_lay(&plan, &work->winding, error);
}

static cw_status lay(cw_work *work, cw_error *error)
{
    const cw_choice *choice;
    cw_status status = cw_work_choose(work, &choice, error);

    return status == CW_OK ? lay_option(work, error) : status;
}

cw_status cw_work_lay(cw_work *work, const cw_winding **winding, bool *chosen, cw_error *error)
{
    cw_work__stage *stage = &work->lay_stage;

    *winding = NULL;
    if (!stage->tried)
        stage->status = lay(work, &stage->error);
    *winding = work->winding;
    if (chosen != NULL)
        *chosen = work->choice != NULL && work->choice->chosen != NULL;
    return cw_work__end(stage, stage->status, error);
}
