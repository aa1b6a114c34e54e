/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan of a program: which traverses there are, and where the guide goes in them. Speeds: speeds.c; what lies
 * between two of them: counts.c. */
#include "nc/nc_writer.h"

#include <math.h>
#include <string.h>

static const double half_turn = 0.5;

/* ---- legs ---------------------------------------------------------------------------------------------------- */

typedef struct cutter {
    cw_nc_plan *plan;
    size_t stop;            /* next of the request's stops */
} cutter;

bool cw_nc__plan_is_rotary(const cw_nc_plan *plan)
{
    return plan->machine.code == CW_ROTARY_A;
}

bool cw_nc__plan_is_feed(const cw_nc_plan *plan)
{
    return plan->machine.code == CW_G95 || plan->machine.code == CW_G99;
}

/* Cuts off the leg that begins at `from` turns in a layer, at the next stop or the layer's end. */
static long cut_leg(cutter *cut, size_t layer, long from)
{
    cw_nc_plan *plan = cut->plan;
    const cw_program_request *request = plan->request;
    const cw_nc_path_layer *at = &plan->path.layers[layer];
    long end = at->before + at->turns, to = end;
    cw_nc_leg *leg = &plan->legs[plan->count++];
    bool last = layer + 1 == plan->path.count;

    memset(leg, 0, sizeof *leg);
    leg->layer = layer;
    leg->layer_begins = from == at->before;
    leg->after = last ? CW_NC_THEN_FINISH : CW_NC_THEN_REVERSE;
    if (cut->stop < request->stop_count && request->stops[cut->stop].turn <= end) {
        to = request->stops[cut->stop].turn;
        leg->reason = request->stops[cut->stop].reason;
        cut->stop++;
        leg->after = CW_NC_THEN_PAUSE;
    }
    leg->layer_ends = to == end;
    if (leg->layer_ends && !last && (request->winding->layers[layer].insulation_after || request->dry_run ||
                                     cw_winding_section_behind(request->winding, layer) > 0))
        leg->after = CW_NC_THEN_PAUSE;
    leg->from_turns = (double)from + (cw_nc__plan_is_rotary(plan) && !leg->layer_begins ? 0 : half_turn);
    leg->to_turns = leg->layer_ends ? (double)at->before + half_turn + at->travel_turns : (double)to;
    leg->travels = leg->to_turns > leg->from_turns + 1e-9;
    leg->stop_turn = to;
    leg->rest_turns = (double)to;
    return to;
}

static cw_status check_stops(const cw_program_request *request, const cw_nc_path *path, cw_error *error)
{
    long before = 0;

    for (size_t i = 0; i < request->stop_count; i++) {
        long turn = request->stops[i].turn;

        if (turn <= before || turn >= path->turns)
            return cw_refuse(error, NULL, "rising turns, from 1 to one less than all",
                             "A stop is asked for at turn %ld of %ld.", turn, path->turns);
        before = turn;
    }
    return CW_OK;
}

static cw_status cut_legs(cw_nc_plan *plan, cw_error *error)
{
    cutter cut = { plan, 0 };
    cw_status status = check_stops(plan->request, &plan->path, error);

    if (status != CW_OK)
        return status;
    plan->legs = cw_allocate(plan->path.count + plan->request->stop_count, sizeof *plan->legs);
    if (plan->legs == NULL)
        return cw_no_memory(error);
    for (size_t layer = 0; layer < plan->path.count; layer++) {
        long end = plan->path.layers[layer].before + plan->path.layers[layer].turns;
        long at = plan->path.layers[layer].before;

        while (at < end)
            at = cut_leg(&cut, layer, at);
    }
    return CW_OK;
}

/* ---- guide --------------------------------------------------------------------------------------------------- */

double cw_nc__plan_pitch(const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    return plan->path.layers[leg->layer].pitch_m;
}

/* Ahead of the wire by the lag of its free length, and back by the backlash, which the guide trails where it comes from
 * above. */
double cw_nc__plan_guide(const cw_nc_plan *plan, size_t layer, double turns)
{
    const cw_nc_path_layer *at = &plan->path.layers[layer];
    double step = plan->path.position_step_m, where = cw_nc__path_at(&plan->path, layer, turns);

    where += at->direction * at->lead_m;
    if (at->direction < 0)
        where -= plan->machine.backlash_m;
    return round(where / step) * step;
}

/* The guide pushes against one side of the screw on its way out and against the other on its way back. A step against
 * the way of the next traverse leaves it on the wrong side, and goes further by the backlash first. */
double cw_nc__plan_via(const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    double backlash = plan->machine.backlash_m, step = plan->path.position_step_m, is, should;
    int direction = plan->path.layers[leg->layer].direction;

    if (leg == plan->legs || backlash < step)
        return NAN;
    is = leg[-1].to_m + (plan->path.layers[leg[-1].layer].direction < 0 ? backlash : 0);
    should = leg->from_m + (direction < 0 ? backlash : 0);
    if (direction > 0 && is > should + step)
        return round((leg->from_m - backlash) / step) * step;
    if (direction < 0 && is < should - step)
        return round((leg->from_m + backlash) / step) * step;
    return NAN;
}

void cw_nc__plan_place(const cw_nc_plan *plan, cw_nc_leg *leg)
{
    leg->from_m = cw_nc__plan_guide(plan, leg->layer, leg->from_turns + leg->early_turns);
    leg->to_m = cw_nc__plan_guide(plan, leg->layer, leg->to_turns);
}

static double leg_time(const cw_nc_leg *leg)
{
    double turns = leg->to_turns - leg->from_turns + half_turn, slow = CW_NC_SLOW_TURNS + leg->slow_down_turns;

    if (leg->middle_rpm == 0)
        return turns / leg->rpm * 60;
    return slow / leg->rpm * 60 + fmax(0, turns - slow) / leg->middle_rpm * 60;
}

static void set_time(cw_nc_plan *plan)
{
    for (size_t i = 0; i < plan->count; i++) {
        const cw_nc_leg *leg = &plan->legs[i];

        plan->time_s += leg_time(leg);
        if (!cw_nc__plan_is_rotary(plan) && leg->after != CW_NC_THEN_REVERSE)
            plan->time_s += (plan->machine.spin_up_s + plan->machine.spin_down_s) * leg->rpm / plan->machine.speed_rpm;
    }
}

/* ---- all of it ----------------------------------------------------------------------------------------------- */

static cw_status check_guide(const cw_nc_plan *plan, cw_error *error)
{
    char by[40], may[40];

    for (size_t i = 0; i < plan->path.count; i++) {
        const cw_nc_path_layer *layer = &plan->path.layers[i];
        double ends[2] = { layer->start_m + layer->direction * layer->lead_m,
                           layer->end_m + layer->direction * layer->lead_m };

        for (int e = 0; e < 2; e++) {
            double past = fmax(-ends[e], ends[e] - plan->path.length_m);

            if (past <= plan->machine.clearance_m)
                continue;
            cw_nc__show_length(&plan->machine, past, 0, by, sizeof by);
            cw_nc__show_length(&plan->machine, plan->machine.clearance_m, 0, may, sizeof may);
            return cw_refuse(error, NULL, "a guide nearer to the coil, or more clearance",
                             "The guide would run %s past a flange in layer %zu, to lay the wire against it over its "
                             "free length; the machine's clearance is %s.",
                             by, i + 1, may);
        }
    }
    return CW_OK;
}

static cw_status plan_legs(cw_nc_plan *plan, cw_error *error)
{
    cw_status status;

    cw_free(plan->legs);
    plan->legs = NULL;
    plan->count = 0;
    status = cut_legs(plan, error);
    if (status != CW_OK)
        return status;
    for (size_t i = 0; i < plan->count; i++)
        cw_nc__plan_place(plan, &plan->legs[i]);
    cw_nc__plan_speeds(plan);
    return cw_nc__plan_is_rotary(plan) ? CW_OK : cw_nc__plan_counts(plan, error);
}

cw_status cw_nc__plan_make(const cw_program_request *request, cw_nc_plan *plan, cw_error *error)
{
    cw_status status;

    memset(plan, 0, sizeof *plan);
    plan->request = request;
    plan->machine = *request->machine;
    cw_machine_defaults(&plan->machine);
    status = cw_machine_check(&plan->machine, error);
    if (status == CW_OK)
        status = cw_nc__path_make(request->winding, &plan->machine, &plan->path, error);
    if (status == CW_OK)
        status = check_guide(plan, error);
    for (plan->least_share = 0.5; status == CW_OK; plan->least_share /= 2) {
        status = plan_legs(plan, error);
        if (status != CW_BAD_INPUT || plan->least_share < 0.1)
            break;
        status = CW_OK;
    }
    if (status == CW_OK)
        set_time(plan);
    else
        cw_nc__plan_clear(plan);
    return status;
}

void cw_nc__plan_clear(cw_nc_plan *plan)
{
    cw_nc__path_clear(&plan->path);
    cw_free(plan->legs);
    plan->legs = NULL;
    plan->count = 0;
}
