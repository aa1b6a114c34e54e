/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A walk through a plan, block by block as it will be written, that counts turns and sets what makes the count hold:
 * dwells, ends that leave room for a coasting spindle, and, where a start or stop takes more turns than there are to
 * spare, whole turns more at the flange. The next traverse then starts as many turns further on: from there every turn
 * lies in its place again. */
#include "nc/nc_writer.h"

#include <math.h>

/* Where the walk is. The spindle counts on from plan to plan: spindle.turns is the count. */
typedef struct walker {
    cw_nc_plan *plan;
    cw_nc_spindle spindle;
} walker;

static void pass(walker *walk, double time_s)
{
    cw_nc__spindle_pass(&walk->spindle, time_s);
}

static void pass_block(walker *walk)
{
    pass(walk, walk->plan->machine.block_time_s);
}

/* Thousandths of a second are what dwell words hold. */
static double spoken_time(double time_s)
{
    return fmax(0, round(time_s * 1000) / 1000);
}

/* Time to stand until the count reaches `turns`, less what blocks take anyhow. */
static double time_until(const walker *walk, double turns, double blocks)
{
    double left = turns - walk->spindle.turns;

    if (left <= 0)
        return 0;
    return spoken_time(cw_nc__spindle_time_for(&walk->spindle, left) - blocks * walk->plan->machine.block_time_s);
}

static cw_status too_short(const cw_nc_leg *leg, double turns, cw_error *error)
{
    return cw_refuse(error, NULL, "a lower slow speed, shorter times to start and stop, or a stop somewhere else",
                     "Starting and stopping, the spindle has laid %.1f turns of layer %zu by itself, more than there "
                     "are to wind up to turn %ld.",
                     turns, leg->layer + 1, leg->stop_turn);
}

/* ---- before a traverse --------------------------------------------------------------------------------------- */

/* A threading lathe: the traverse starts at the first mark that comes when all is ready. A mark that passes just before
 * is not to be trusted; a dwell until half a turn before the next makes sure of it. */
static void wait_for_mark(walker *walk, cw_nc_leg *leg)
{
    walker look = *walk;
    double ready;

    pass_block(&look);
    ready = look.spindle.turns + cw_nc__spindle_turns_in(&look.spindle, cw_nc__spindle_time_to_target(&look.spindle));
    while (leg->from_turns < ready + CW_NC_INDEX_MARGIN)
        leg->from_turns += 1;
    if (ready - (leg->from_turns - 1) < CW_NC_INDEX_MARGIN) {
        leg->dwell_s = time_until(walk, leg->from_turns - 0.5, 2);
        pass(walk, walk->plan->machine.block_time_s + leg->dwell_s);
    }
    pass_block(walk);
    pass(walk, cw_nc__spindle_time_to_target(&walk->spindle));
    walk->spindle.turns = leg->from_turns;
}

/* A feed lathe starts when the dwell is over; how near that is to the wish is counted on. Where the traverse has joints
 * it starts early by half of what it falls behind at them, so that it trails by no more than the other half. */
static void wait_by_dwell(walker *walk, cw_nc_leg *leg)
{
    walker look = *walk;
    double ready;

    if (leg->middle_rpm > 0)
        leg->early_turns = cw_nc__plan_joint_turns(walk->plan, cw_nc__plan_pitch(walk->plan, leg), leg->rpm,
                                                   leg->middle_rpm) / 2;
    leg->from_turns -= leg->early_turns;
    pass(&look, 2 * walk->plan->machine.block_time_s);
    ready = look.spindle.turns + cw_nc__spindle_turns_in(&look.spindle, cw_nc__spindle_time_to_target(&look.spindle));
    while (leg->from_turns < ready)
        leg->from_turns += 1;
    leg->dwell_s = time_until(walk, leg->from_turns, 2);
    pass(walk, 2 * walk->plan->machine.block_time_s + leg->dwell_s);
}

static void begin_leg(walker *walk, cw_nc_leg *leg)
{
    const cw_nc_plan *plan = walk->plan;

    if (walk->spindle.rpm > 0)
        pass(walk, cw_nc__plan_shift_time(plan, leg));
    pass_block(walk);
    walk->spindle.target_rpm = leg->rpm;
    if (!leg->travels)
        return;
    if (cw_nc__plan_is_feed(plan))
        wait_by_dwell(walk, leg);
    else
        wait_for_mark(walk, leg);
}

/* ---- after it ------------------------------------------------------------------------------------------------ */

/* Where a traverse changes its speed, on the grid of position words. */
static void set_splits(const cw_nc_plan *plan, cw_nc_leg *leg)
{
    double step = plan->path.position_step_m, pitch_m = cw_nc__plan_pitch(plan, leg);
    int direction = leg->to_m < leg->from_m ? -1 : 1;

    leg->split_m[0] = leg->from_m + direction * round(CW_NC_SLOW_TURNS * pitch_m / step) * step;
    leg->split_m[1] = leg->to_m - direction * round(leg->slow_down_turns * pitch_m / step) * step;
}

/* Passes a traverse and returns the turns that it takes. */
static double traverse(walker *walk, const cw_nc_leg *leg)
{
    const cw_nc_plan *plan = walk->plan;
    double pitch_m = cw_nc__plan_pitch(plan, leg), before = walk->spindle.turns;

    if (leg->middle_rpm == 0) {
        cw_nc__plan_ride(plan, &walk->spindle, fabs(leg->to_m - leg->from_m), pitch_m);
        return walk->spindle.turns - before;
    }
    cw_nc__plan_ride(plan, &walk->spindle, fabs(leg->split_m[0] - leg->from_m), pitch_m);
    walk->spindle.target_rpm = leg->middle_rpm;
    pass_block(walk);
    cw_nc__plan_ride(plan, &walk->spindle, fabs(leg->split_m[1] - leg->split_m[0]), pitch_m);
    walk->spindle.target_rpm = leg->rpm;
    pass_block(walk);
    cw_nc__plan_ride(plan, &walk->spindle, fabs(leg->to_m - leg->split_m[1]), pitch_m);
    return walk->spindle.turns - before;
}

/* Turns that a traverse takes beyond those of its length. */
static double turns_beyond(const walker *walk, const cw_nc_leg *leg)
{
    walker look = *walk;
    cw_nc_leg ahead = *leg;

    cw_nc__plan_place(walk->plan, &ahead);
    set_splits(walk->plan, &ahead);
    return traverse(&look, &ahead) - fabs(ahead.to_m - ahead.from_m) / cw_nc__plan_pitch(walk->plan, leg);
}

/* A halt in mid-layer must have its turn full before the guide is set on: a step of the position words past it,
 * or a little more, since dwells are rounded too. */
static double rest_wanted(const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    double past = plan->path.position_step_m / cw_nc__plan_pitch(plan, leg);

    return (double)leg->stop_turn + (leg->after == CW_NC_THEN_FINISH ? 0 : fmin(fmax(past, 0.005), 0.05));
}

/* The end of a traverse after which the spindle must come to rest on a certain turn. Where the guide has to stand a
 * while before, the shortest dwell must have room. */
static void end_before_coasting(walker *walk, cw_nc_leg *leg)
{
    const cw_nc_plan *plan = walk->plan;
    double spare, lag = turns_beyond(walk, leg);
    double dwell = (plan->machine.block_time_s + 0.001) * leg->rpm / 60;

    if (leg->after == CW_NC_THEN_REVERSE || (leg->after == CW_NC_THEN_PAUSE && leg->layer_ends))
        return;
    spare = rest_wanted(plan, leg) - cw_nc__plan_turns_to_rest(plan, leg->rpm) - lag - leg->to_turns;
    if (spare < 0 || !leg->layer_ends)
        leg->to_turns += spare;
    else if (spare < dwell)
        leg->to_turns += spare - (spare > CW_NC_TURN_TOLERANCE / 2 ? dwell : spare);
}

/* An end that a coasting spindle depends on is measured from where the traverse really begins, so that only one of two
 * roundings shows in the count. */
static void measure_from_here(const walker *walk, cw_nc_leg *leg)
{
    const cw_nc_path *path = &walk->plan->path;
    double way = (leg->to_turns - walk->spindle.turns) * cw_nc__plan_pitch(walk->plan, leg);

    if (leg->after == CW_NC_THEN_FINISH || (leg->after == CW_NC_THEN_PAUSE && !leg->layer_ends))
        leg->to_m = leg->from_m + path->layers[leg->layer].direction * round(way / path->position_step_m) *
                                  path->position_step_m;
}

/* Where the guide stands for a while before the spindle is switched off, as at the end of a nested layer, a dwell. */
static void come_to_rest(walker *walk, cw_nc_leg *leg)
{
    double wanted = rest_wanted(walk->plan, leg), coast = cw_nc__plan_turns_to_rest(walk->plan, leg->rpm);
    double shortest = (walk->plan->machine.block_time_s + 0.001) * leg->rpm / 60;
    double spare = leg->after == CW_NC_THEN_FINISH ? fmax(shortest, CW_NC_TURN_TOLERANCE) / 2 :
                   leg->layer_ends ? 0 : CW_NC_TURN_TOLERANCE / 2; /* a full turn may be passed, not missed */

    if (wanted - walk->spindle.turns - coast > spare) {
        leg->end_dwell_s = fmax(time_until(walk, wanted - coast, 1), /* up to speed, or it would coast less */
                                fmax(0.001, spoken_time(cw_nc__spindle_time_to_target(&walk->spindle))));
        pass(walk, walk->plan->machine.block_time_s + leg->end_dwell_s);
    }
    walk->spindle.turns += coast;
    walk->spindle.rpm = walk->spindle.target_rpm = 0;
    leg->rest_turns = walk->spindle.turns;
}

/* The last half turn of a nested layer lies where the layer ends; only then may the guide step to the next. */
static void finish_layer(walker *walk, cw_nc_leg *leg)
{
    if (walk->spindle.turns > (double)leg->stop_turn - CW_NC_TURN_TOLERANCE)
        return;
    leg->end_dwell_s = fmax(0.001, time_until(walk, (double)leg->stop_turn + CW_NC_TURN_TOLERANCE, 1));
    pass(walk, walk->plan->machine.block_time_s + leg->end_dwell_s);
}

/* Where the start took turns of its own there may be too few left to speed up and slow down in. */
static void drop_short_middle(cw_nc_leg *leg)
{
    if (leg->to_turns - leg->from_turns > 2 * CW_NC_SLOW_TURNS + leg->slow_down_turns)
        return;
    leg->middle_rpm = leg->early_turns = 0;
}

static cw_status walk_leg(walker *walk, cw_nc_leg *leg, cw_error *error)
{
    begin_leg(walk, leg);
    if (leg->travels) {
        drop_short_middle(leg);
        end_before_coasting(walk, leg);
        if (leg->to_turns - leg->from_turns < 0.2)
            return too_short(leg, leg->from_turns - (double)walk->plan->path.layers[leg->layer].before, error);
        cw_nc__plan_place(walk->plan, leg);
        measure_from_here(walk, leg);
        set_splits(walk->plan, leg);
        traverse(walk, leg);
        walk->spindle.rpm = leg->rpm;
    }
    if (leg->after != CW_NC_THEN_REVERSE)
        come_to_rest(walk, leg);
    else
        finish_layer(walk, leg);
    return CW_OK;
}

cw_status cw_nc__plan_counts(cw_nc_plan *plan, cw_error *error)
{
    walker walk = { .plan = plan };
    cw_status status = CW_OK;

    cw_nc__spindle_start(&walk.spindle, &plan->machine);
    for (size_t i = 0; status == CW_OK && i < plan->count; i++)
        status = walk_leg(&walk, &plan->legs[i], error);
    return status;
}
