/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan of a program: traverses, speeds, and how many turns lie between two of them.
 *
 * Between two traverses the guide stands for half a turn [NC 7.5]. What must happen in it (blocks, a change of speed, a
 * spindle that coasts and starts again) takes turns too; they must fit into the half turn with a tenth to spare, or the
 * index mark is missed. So speeds are lowered next to starts and stops until they fit, not below half the slow speed;
 * beyond that, whole turns more lie at the flange, and the next traverse starts as many turns further on: the count
 * holds, and from there every turn lies in its place. */
#include "nc/nc_writer.h"

#include <math.h>
#include <string.h>

static const double half_turn = 0.5;
static const double index_margin = 0.1;   /* turns between being ready and the mark */
static const double coast_most = 0.25;    /* turns at a halt in mid-layer and at the end, which lie side by side */
static const double lag_most_m = 5e-6;    /* by which the traverse may trail the spindle, v^2/(2a) */

/* ---- legs ---------------------------------------------------------------------------------------------------- */

typedef struct cutter {
    cw_nc_plan *plan;
    size_t stop;            /* next of the request's stops */
} cutter;

static bool is_rotary(const cw_nc_plan *plan)
{
    return plan->machine.code == CW_ROTARY_A;
}

static bool is_feed(const cw_nc_plan *plan)
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
    if (leg->layer_ends && !last && (request->winding->layers[layer].insulation_after || request->dry_run))
        leg->after = CW_NC_THEN_PAUSE;
    leg->from_turns = (double)from + (is_rotary(plan) && !leg->layer_begins ? 0 : half_turn);
    leg->to_turns = (double)to;
    leg->stop_turn = to;
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

/* Where the guide is sent for the wire to lie at its place after so many turns: ahead by the lag of the free wire, and
 * back by the backlash, which the guide trails where it comes from above. */
static double guide_at(const cw_nc_plan *plan, size_t layer, double turns)
{
    const cw_nc_path_layer *at = &plan->path.layers[layer];
    double step = plan->path.position_step_m, where = cw_nc__path_at(&plan->path, layer, turns);

    where += at->direction * at->lead_m;
    if (at->direction < 0)
        where -= plan->machine.backlash_m;
    return round(where / step) * step;
}

static void place_legs(cw_nc_plan *plan)
{
    for (size_t i = 0; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i];

        leg->from_m = guide_at(plan, leg->layer, leg->from_turns);
        leg->to_m = guide_at(plan, leg->layer, leg->to_turns);
    }
}

/* ---- turns while the guide stands ---------------------------------------------------------------------------- */

static double pitch_of(const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    return plan->path.layers[leg->layer].pitch_m;
}

/* Turns that a traverse takes beyond its length over its pitch, at both ends together: n^2 p/(7200 a) each [NC 7.4]. */
static double lag_turns(const cw_nc_plan *plan, double pitch_m, double rpm)
{
    return 2 * rpm * rpm * pitch_m / (7200 * plan->machine.acceleration_m_s2);
}

static double shift_time(const cw_nc_plan *plan, double metres)
{
    double fast = plan->machine.rapid_m_s, steep = plan->machine.acceleration_m_s2;

    if (metres == 0)
        return 0;
    if (metres >= fast * fast / steep)
        return plan->machine.block_time_s + metres / fast + fast / steep;
    return plan->machine.block_time_s + 2 * sqrt(metres / steep);
}

/* From the end of a traverse to rest: M5, and the spindle coasts. */
static double turns_to_rest(const cw_nc_plan *plan, double rpm)
{
    cw_nc_spindle spindle;

    cw_nc__spindle_start(&spindle, &plan->machine);
    spindle.rpm = spindle.target_rpm = rpm;
    cw_nc__spindle_pass(&spindle, plan->machine.block_time_s);
    spindle.target_rpm = 0;
    return spindle.turns + cw_nc__spindle_turns_in(&spindle, cw_nc__spindle_time_to_target(&spindle));
}

/* From one speed (0: rest) until the next traverse can start at another; `shift_m` is moved before while it turns. */
static double turns_to_ready(const cw_nc_plan *plan, double rpm, double next_rpm, double shift_m)
{
    cw_nc_spindle spindle;

    cw_nc__spindle_start(&spindle, &plan->machine);
    spindle.rpm = spindle.target_rpm = rpm;
    cw_nc__spindle_pass(&spindle, shift_time(plan, rpm > 0 ? shift_m : 0) + plan->machine.block_time_s);
    spindle.target_rpm = next_rpm;
    cw_nc__spindle_pass(&spindle, (is_feed(plan) ? 2 : 1) * plan->machine.block_time_s);
    return spindle.turns + cw_nc__spindle_turns_in(&spindle, cw_nc__spindle_time_to_target(&spindle));
}

/* Turns needed between leg i - 1 and leg i; i == 0: from the start. */
static double turns_between(const cw_nc_plan *plan, size_t i)
{
    const cw_nc_leg *next = &plan->legs[i], *before = next - 1;

    if (i == 0)
        return turns_to_ready(plan, 0, next->rpm, 0);
    if (before->after == CW_NC_THEN_PAUSE)
        return lag_turns(plan, pitch_of(plan, before), before->rpm) + turns_to_rest(plan, before->rpm) +
               turns_to_ready(plan, 0, next->rpm, 0);
    return lag_turns(plan, pitch_of(plan, before), before->rpm) +
           turns_to_ready(plan, before->rpm, next->rpm, fabs(next->from_m - before->to_m));
}

/* What is to be had: a halt in mid-layer is planned to come to rest on its turn, so that coasting takes nothing. */
static bool fits_between(const cw_nc_plan *plan, size_t i)
{
    const cw_nc_leg *before = i > 0 ? &plan->legs[i - 1] : NULL;

    if (before != NULL && before->after == CW_NC_THEN_PAUSE && !before->layer_ends)
        return turns_to_ready(plan, 0, plan->legs[i].rpm, 0) <= half_turn - index_margin;
    return turns_between(plan, i) <= half_turn - index_margin;
}

/* ---- speeds -------------------------------------------------------------------------------------------------- */

/* Whole revolutions a minute, tenths below ten. */
static double spoken_speed(double rpm)
{
    return rpm >= 10 ? floor(rpm + 1e-9) : fmax(0.1, floor(rpm * 10 + 1e-9) / 10);
}

static double lower(double rpm)
{
    return spoken_speed(rpm >= 100 ? rpm * 0.98 : rpm >= 10 ? rpm - 1 : rpm - 0.1);
}

/* Fastest for a traverse by itself: the machine's speed, its rapid, and a lag that the wire does not feel. */
static double fastest(const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    double pitch_m = pitch_of(plan, leg), rpm = plan->machine.speed_rpm;
    double lag_speed = sqrt(2 * plan->machine.acceleration_m_s2 * lag_most_m);

    rpm = fmin(rpm, 60 * plan->machine.rapid_m_s / pitch_m);
    if (!is_rotary(plan))
        rpm = fmin(rpm, 60 * lag_speed / pitch_m);
    return spoken_speed(rpm);
}

static double slowest(const cw_nc_plan *plan)
{
    return spoken_speed(fmin(plan->machine.slow_speed_rpm, plan->machine.speed_rpm) / 2);
}

static void slow_at_halts(cw_nc_plan *plan)
{
    double slow = spoken_speed(fmin(plan->machine.slow_speed_rpm, plan->machine.speed_rpm)), least = slowest(plan);

    for (size_t i = 0; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i];
        bool from_rest = i == 0 || leg[-1].after == CW_NC_THEN_PAUSE;
        bool rests_in_place = leg->after == CW_NC_THEN_FINISH ||
                              (leg->after == CW_NC_THEN_PAUSE && !leg->layer_ends);

        leg->rpm = fastest(plan, leg);
        if (from_rest || leg->after != CW_NC_THEN_REVERSE)
            leg->rpm = fmin(leg->rpm, slow);
        while (leg->rpm > least && rests_in_place && turns_to_rest(plan, leg->rpm) > coast_most)
            leg->rpm = lower(leg->rpm);
    }
    for (size_t i = 0; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i], *before = i > 0 ? leg - 1 : NULL;

        if (before != NULL && before->after != CW_NC_THEN_PAUSE)
            continue;
        while (!fits_between(plan, i) && (leg->rpm > least || (before != NULL && before->rpm > least))) {
            bool first = before != NULL && before->rpm > leg->rpm;

            if (first)
                before->rpm = lower(before->rpm);
            else
                leg->rpm = lower(leg->rpm);
        }
    }
}

/* Between two traverses without a halt the speed may change by what fits; never below 0.1 a minute. */
static void smooth_speeds(cw_nc_plan *plan)
{
    for (size_t i = 1; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i];

        while (leg[-1].after == CW_NC_THEN_REVERSE && leg->rpm > leg[-1].rpm && !fits_between(plan, i))
            leg->rpm = fmax(lower(leg->rpm), leg[-1].rpm);
    }
    for (size_t i = plan->count; i-- > 1;) {
        cw_nc_leg *leg = &plan->legs[i];

        while (leg[-1].after == CW_NC_THEN_REVERSE && leg[-1].rpm > 0.1 && !fits_between(plan, i)) {
            if (leg[-1].rpm > leg->rpm)
                leg[-1].rpm = fmax(lower(leg[-1].rpm), leg->rpm);
            else
                leg->rpm = leg[-1].rpm = lower(leg->rpm);
        }
    }
}

static void set_speeds(cw_nc_plan *plan)
{
    if (is_rotary(plan)) {
        for (size_t i = 0; i < plan->count; i++)
            plan->legs[i].rpm = fastest(plan, &plan->legs[i]);
        return;
    }
    slow_at_halts(plan);
    smooth_speeds(plan);
    smooth_speeds(plan); /* what the way back lowered may not fit what comes after it */
}

/* ---- counts -------------------------------------------------------------------------------------------------- */

static cw_status too_short(const cw_nc_plan *plan, const cw_nc_leg *leg, double turns, cw_error *error)
{
    return cw_refuse(error, NULL, "a lower slow speed, shorter times to start and stop, or a stop somewhere else",
                     "The spindle lays %.1f turns by itself where it stops or starts, more than there are to wind in "
                     "layer %zu up to turn %ld.",
                     turns, leg->layer + 1, leg->stop_turn);
    (void)plan;
}

/* Where each leg really begins and ends: further whole turns where the half turn does not hold what must happen, and an
 * earlier end where the spindle has to come to rest on a certain turn. */
static cw_status count_turns(cw_nc_plan *plan, cw_error *error)
{
    double at = 0, pitch_m;

    for (size_t i = 0; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i], *before = i > 0 ? leg - 1 : NULL;
        bool from_rest = before == NULL || before->after == CW_NC_THEN_PAUSE;
        double needed = from_rest ? at + turns_to_ready(plan, 0, leg->rpm, 0) :
                                    before->to_turns + turns_between(plan, i);
        double coast = turns_to_rest(plan, leg->rpm);

        pitch_m = pitch_of(plan, leg);
        while (leg->from_turns < needed + index_margin)
            leg->from_turns += 1;
        leg->rest_turns = leg->to_turns + lag_turns(plan, pitch_m, leg->rpm) + coast;
        if (leg->after == CW_NC_THEN_FINISH || (leg->after == CW_NC_THEN_PAUSE && !leg->layer_ends)) {
            /* In mid-layer the turn must be full before the guide is set on: a step of the position words past it. */
            if (leg->after == CW_NC_THEN_PAUSE)
                leg->to_turns += plan->path.position_step_m / pitch_m;
            leg->rest_turns = leg->to_turns;
            leg->to_turns -= coast + lag_turns(plan, pitch_m, leg->rpm);
        }
        if (leg->to_turns - leg->from_turns < 0.2)
            return too_short(plan, leg, leg->from_turns - (double)(leg->stop_turn - plan->path.layers[leg->layer].turns),
                             error);
        at = leg->rest_turns;
    }
    return CW_OK;
}

static void set_time(cw_nc_plan *plan)
{
    for (size_t i = 0; i < plan->count; i++) {
        const cw_nc_leg *leg = &plan->legs[i];

        plan->time_s += (leg->to_turns - leg->from_turns + half_turn) / leg->rpm * 60;
        if (!is_rotary(plan) && leg->after != CW_NC_THEN_REVERSE)
            plan->time_s += (plan->machine.spin_up_s + plan->machine.spin_down_s) * leg->rpm / plan->machine.speed_rpm;
    }
}

/* ---- dwells of the feed lathes ------------------------------------------------------------------------------- */

/* On these the index mark does not make the half turn whole, a dwell does. It is cut to a thousandth of a second, and
 * positions to their last decimal; both are counted on, so that nothing adds up. */
static double set_dwell(cw_nc_plan *plan, size_t i, double at, double rpm)
{
    cw_nc_leg *leg = &plan->legs[i];
    const cw_machine *machine = &plan->machine;
    double shift = i > 0 && rpm > 0 ? fabs(leg->from_m - leg[-1].to_m) : 0, blocks, start_rpm;
    cw_nc_spindle spindle;

    cw_nc__spindle_start(&spindle, machine);
    spindle.rpm = spindle.target_rpm = rpm;
    cw_nc__spindle_pass(&spindle, shift_time(plan, shift) + machine->block_time_s);
    spindle.target_rpm = leg->rpm;
    blocks = 2 * machine->block_time_s;
    leg->dwell_s = cw_nc__spindle_time_for(&spindle, leg->from_turns - at - spindle.turns) - blocks;
    leg->dwell_s = fmax(0, round(leg->dwell_s * 1000) / 1000);
    cw_nc__spindle_pass(&spindle, blocks + leg->dwell_s);
    start_rpm = spindle.rpm;
    return at + spindle.turns + fabs(leg->to_m - leg->from_m) / pitch_of(plan, leg) +
           (start_rpm * start_rpm + leg->rpm * leg->rpm) * pitch_of(plan, leg) / (7200 * machine->acceleration_m_s2);
}

static void set_dwells(cw_nc_plan *plan)
{
    double at = 0, rpm = 0;

    for (size_t i = 0; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i];

        at = set_dwell(plan, i, at, rpm);
        rpm = leg->rpm;
        if (leg->after != CW_NC_THEN_REVERSE) {
            at += turns_to_rest(plan, rpm);
            rpm = 0;
        }
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
    if (status == CW_OK)
        status = cut_legs(plan, error);
    if (status == CW_OK) {
        place_legs(plan);
        set_speeds(plan);
        if (!is_rotary(plan))
            status = count_turns(plan, error);
    }
    if (status == CW_OK) {
        place_legs(plan);
        if (is_feed(plan))
            set_dwells(plan);
        set_time(plan);
    } else {
        cw_nc__plan_clear(plan);
    }
    return status;
}

void cw_nc__plan_clear(cw_nc_plan *plan)
{
    cw_nc__path_clear(&plan->path);
    cw_free(plan->legs);
    plan->legs = NULL;
    plan->count = 0;
}
