/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How fast each traverse of a plan is wound.
 *
 * Between two traverses the guide stands for half a turn (a whole one in a nested lay) [NC 7.5]. What must happen in
 * it, blocks, a change of speed, a spindle that coasts and starts again, takes turns too; they must fit in with a tenth
 * to spare, or the index mark is missed. So speeds are lowered next to starts and stops until they fit, though not
 * below half the slow speed there (less where a layer would not hold what is laid else). */
#include "nc/nc_writer.h"

#include <math.h>

static const double coast_most = 0.25;  /* turns at a halt in mid-layer and at the end, which lie side by side */
static const double spare_turns = 0.06; /* beyond the margin, for what rounding and the walk of counts.c add */
static const double lag_most_m = 5e-6;  /* by which the traverse may trail the spindle, v^2/(2a) */
static const double joint_most = 0.1;    /* turns at two joints; half of them must fit into the margin before a traverse */
static const double joint_most_m = 18e-6; /* that the guide falls behind at two joints; half shows before, half behind them */

/* ---- turns that things take ---------------------------------------------------------------------------------- */

void cw_nc__plan_ride(const cw_nc_plan *plan, cw_nc_spindle *spindle, double distance_m, double pitch_m)
{
    double rpm = spindle->rpm, target = spindle->target_rpm;
    double turns = distance_m / pitch_m +
                   (rpm * rpm + target * target) * pitch_m / (7200 * plan->machine.acceleration_m_s2);

    double before = spindle->turns;

    cw_nc__spindle_pass(spindle, cw_nc__spindle_time_for(spindle, turns));
    spindle->turns = before + turns; /* exactly, not by way of the time */
}

double cw_nc__plan_joint_turns(const cw_nc_plan *plan, double pitch_m, double edge_rpm, double middle_rpm)
{
    cw_nc_spindle spindle;

    cw_nc__spindle_start(&spindle, &plan->machine);
    spindle.rpm = edge_rpm;
    spindle.target_rpm = middle_rpm;
    cw_nc__spindle_pass(&spindle, plan->machine.block_time_s);
    spindle.rpm = middle_rpm;
    spindle.target_rpm = edge_rpm;
    cw_nc__spindle_pass(&spindle, plan->machine.block_time_s);
    return spindle.turns + cw_nc__plan_lag_turns(plan, pitch_m, edge_rpm) +
           cw_nc__plan_lag_turns(plan, pitch_m, middle_rpm);
}

double cw_nc__plan_lag_turns(const cw_nc_plan *plan, double pitch_m, double rpm)
{
    return 2 * rpm * rpm * pitch_m / (7200 * plan->machine.acceleration_m_s2);
}

static double rapid_time(const cw_nc_plan *plan, double metres)
{
    double fast = plan->machine.rapid_m_s, steep = plan->machine.acceleration_m_s2;

    if (metres < plan->path.position_step_m / 2)
        return 0;
    if (metres >= fast * fast / steep)
        return plan->machine.block_time_s + metres / fast + fast / steep;
    return plan->machine.block_time_s + 2 * sqrt(metres / steep);
}

double cw_nc__plan_shift_time(const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    double via, from;

    if (leg == plan->legs)
        return 0;
    from = leg[-1].to_m;
    via = cw_nc__plan_via(plan, leg);
    if (isnan(via))
        return rapid_time(plan, fabs(leg->from_m - from));
    return rapid_time(plan, fabs(via - from)) + rapid_time(plan, fabs(leg->from_m - via));
}

double cw_nc__plan_turns_to_rest(const cw_nc_plan *plan, double rpm)
{
    cw_nc_spindle spindle;

    cw_nc__spindle_start(&spindle, &plan->machine);
    spindle.rpm = spindle.target_rpm = rpm;
    cw_nc__spindle_pass(&spindle, plan->machine.block_time_s);
    spindle.target_rpm = 0;
    return spindle.turns + cw_nc__spindle_turns_in(&spindle, cw_nc__spindle_time_to_target(&spindle));
}

/* From one speed (0: rest) until the next traverse can start at another, with a step aside before. */
static double turns_to_ready(const cw_nc_plan *plan, double rpm, double next_rpm, double shift_s)
{
    cw_nc_spindle spindle;

    cw_nc__spindle_start(&spindle, &plan->machine);
    spindle.rpm = spindle.target_rpm = rpm;
    cw_nc__spindle_pass(&spindle, shift_s + plan->machine.block_time_s);
    spindle.target_rpm = next_rpm;
    cw_nc__spindle_pass(&spindle, (cw_nc__plan_is_feed(plan) ? 2 : 1) * plan->machine.block_time_s);
    return spindle.turns + cw_nc__spindle_turns_in(&spindle, cw_nc__spindle_time_to_target(&spindle));
}

static bool rests_on_its_turn(const cw_nc_leg *leg)
{
    return leg->after == CW_NC_THEN_FINISH || (leg->after == CW_NC_THEN_PAUSE && !leg->layer_ends);
}

/* Whether leg i can begin where it should, after leg i - 1 or the start. */
static bool fits(const cw_nc_plan *plan, size_t i)
{
    const cw_nc_leg *next = &plan->legs[i], *before = i > 0 ? next - 1 : NULL;
    double at = 0, ready;

    if (before != NULL && before->after == CW_NC_THEN_REVERSE) {
        at = fmax((double)before->stop_turn,
                  before->to_turns + cw_nc__plan_lag_turns(plan, cw_nc__plan_pitch(plan, before), before->rpm));
        ready = turns_to_ready(plan, before->rpm, next->rpm, cw_nc__plan_shift_time(plan, next));
        return at + ready <= next->from_turns - CW_NC_INDEX_MARGIN - spare_turns;
    }
    if (before != NULL && rests_on_its_turn(before))
        at = (double)before->stop_turn;
    else if (before != NULL)
        at = fmax((double)before->stop_turn,
                  before->to_turns + cw_nc__plan_lag_turns(plan, cw_nc__plan_pitch(plan, before), before->rpm) +
                      cw_nc__plan_turns_to_rest(plan, before->rpm));
    return at + turns_to_ready(plan, 0, next->rpm, 0) <= next->from_turns - CW_NC_INDEX_MARGIN - spare_turns;
}

/* ---- speeds -------------------------------------------------------------------------------------------------- */

/* Whole revolutions a minute, tenths below ten. */
static double spoken_speed(double rpm)
{
    return rpm >= 10 ? floor(rpm + 1e-9) : fmax(0.1, floor(rpm * 10 + 1e-9) / 10);
}

static double lower(double rpm)
{
    return spoken_speed(rpm >= 100 ? rpm * 0.98 : rpm > 10 ? rpm - 1 : rpm - 0.1);
}

/* Fastest for a traverse by itself: the machine's speed, its rapid, and a lag that the wire does not feel. */
static double fastest(const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    double pitch_m = cw_nc__plan_pitch(plan, leg), rpm = plan->machine.speed_rpm;
    double lag_speed = sqrt(2 * plan->machine.acceleration_m_s2 * lag_most_m);

    rpm = fmin(rpm, 60 * plan->machine.rapid_m_s / pitch_m);
    if (!cw_nc__plan_is_rotary(plan))
        rpm = fmin(rpm, 60 * lag_speed / pitch_m);
    return spoken_speed(rpm);
}

static double slow_speed(const cw_nc_plan *plan)
{
    return spoken_speed(fmin(plan->machine.slow_speed_rpm, plan->machine.speed_rpm));
}

static void slow_at_halts(cw_nc_plan *plan)
{
    double slow = slow_speed(plan), least = spoken_speed(slow * plan->least_share);

    for (size_t i = 0; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i];
        bool from_rest = i == 0 || leg[-1].after == CW_NC_THEN_PAUSE;

        leg->rpm = fastest(plan, leg);
        if (from_rest || leg->after != CW_NC_THEN_REVERSE || cw_nc__plan_is_feed(plan))
            leg->rpm = fmin(leg->rpm, slow);
        while (leg->rpm > least && rests_on_its_turn(leg) && cw_nc__plan_turns_to_rest(plan, leg->rpm) > coast_most)
            leg->rpm = lower(leg->rpm);
    }
}

/* Slows down on both sides of a start or a stop, the faster side first, until the index mark can be met. */
static void meet_the_mark(cw_nc_plan *plan)
{
    double least = spoken_speed(slow_speed(plan) * plan->least_share);

    for (size_t i = 0; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i], *before = i > 0 ? leg - 1 : NULL;

        if (before != NULL && before->after == CW_NC_THEN_REVERSE)
            continue;
        while (!fits(plan, i) && (leg->rpm > least || (before != NULL && before->rpm > least))) {
            if (before != NULL && before->rpm > leg->rpm)
                before->rpm = lower(before->rpm);
            else
                leg->rpm = lower(leg->rpm);
        }
    }
}

/* Between two traverses without a halt the speed may change by what fits. */
static void smooth(cw_nc_plan *plan)
{
    for (size_t i = 1; i < plan->count; i++) {
        cw_nc_leg *leg = &plan->legs[i];

        while (leg[-1].after == CW_NC_THEN_REVERSE && leg->rpm > leg[-1].rpm && !fits(plan, i))
            leg->rpm = fmax(lower(leg->rpm), leg[-1].rpm);
    }
    for (size_t i = plan->count; i-- > 1;) {
        cw_nc_leg *leg = &plan->legs[i];

        while (leg[-1].after == CW_NC_THEN_REVERSE && leg[-1].rpm > 0.1 && !fits(plan, i)) {
            if (leg[-1].rpm > leg->rpm)
                leg[-1].rpm = fmax(lower(leg[-1].rpm), leg->rpm);
            else
                leg->rpm = leg[-1].rpm = lower(leg->rpm);
        }
    }
}

/* Turns in which the spindle goes from one speed to another. */
static double ramp_turns(const cw_nc_plan *plan, double rpm, double target_rpm)
{
    cw_nc_spindle spindle;

    cw_nc__spindle_start(&spindle, &plan->machine);
    spindle.rpm = rpm;
    spindle.target_rpm = target_rpm;
    return cw_nc__spindle_turns_in(&spindle, cw_nc__spindle_time_to_target(&spindle));
}

/* A feed lathe winds a traverse slowly next to the flanges and faster in between, where there is room to speed up and
 * slow down again and the joints do not show. */
static void hurry_between(const cw_nc_plan *plan, cw_nc_leg *leg)
{
    double pitch_m = cw_nc__plan_pitch(plan, leg), middle = fastest(plan, leg), travel = leg->to_turns - leg->from_turns;

    while (middle > leg->rpm &&
           cw_nc__plan_joint_turns(plan, pitch_m, leg->rpm, middle) > fmin(joint_most, joint_most_m / pitch_m))
        middle = lower(middle);
    while (middle > leg->rpm && ramp_turns(plan, leg->rpm, middle) + ramp_turns(plan, middle, leg->rpm) +
                                        3 * CW_NC_SLOW_TURNS > travel)
        middle = lower(middle);
    if (middle > leg->rpm * 1.1) {
        leg->middle_rpm = middle;
        leg->slow_down_turns = CW_NC_SLOW_TURNS + ramp_turns(plan, middle, leg->rpm);
    }
}

void cw_nc__plan_speeds(cw_nc_plan *plan)
{
    if (cw_nc__plan_is_rotary(plan)) {
        for (size_t i = 0; i < plan->count; i++)
            plan->legs[i].rpm = fastest(plan, &plan->legs[i]);
        return;
    }
    slow_at_halts(plan);
    meet_the_mark(plan);
    smooth(plan);
    smooth(plan); /* what the way back lowered may not fit what comes after it */
    for (size_t i = 0; cw_nc__plan_is_feed(plan) && i < plan->count; i++)
        hurry_between(plan, &plan->legs[i]);
}
