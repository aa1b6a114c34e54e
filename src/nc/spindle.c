/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A spindle whose speed follows its target in straight ramps: turns = n t/60 + r t^2/120, n in 1/min, r in 1/min/s. */
#include "nc/nc_simulation.h"

#include <math.h>

/* One straight part of the way to the target. */
typedef struct ramp {
    double rpm, rate, duration;
} ramp;

/* The part that begins at `rpm`: to the target, or to rest where the sense must change first. */
static ramp next_ramp(const cw_nc_spindle *spindle, double rpm)
{
    double end = rpm * spindle->target_rpm < 0 ? 0 : spindle->target_rpm;
    double rate = fabs(end) > fabs(rpm) ? spindle->up_rpm_s : spindle->down_rpm_s;
    ramp part = { rpm, 0, INFINITY };

    if (end == rpm)
        return part; /* level for good */
    part.duration = fabs(end - rpm) / rate;
    part.rate = end > rpm ? rate : -rate;
    return part;
}

static double ramp_turns(const ramp *part, double time_s)
{
    return part->rate == 0 ? part->rpm * time_s / 60 : (part->rpm + part->rate * time_s / 2) * time_s / 60;
}

static double ramp_end(const cw_nc_spindle *spindle, const ramp *part)
{
    return part->rpm * spindle->target_rpm < 0 ? 0 : spindle->target_rpm;
}

void cw_nc__spindle_start(cw_nc_spindle *spindle, const cw_machine *machine)
{
    spindle->rpm = spindle->target_rpm = spindle->turns = 0;
    spindle->up_rpm_s = machine->spin_up_s > 0 ? machine->speed_rpm / machine->spin_up_s : INFINITY;
    spindle->down_rpm_s = machine->spin_down_s > 0 ? machine->speed_rpm / machine->spin_down_s : INFINITY;
}

double cw_nc__spindle_turns_in(const cw_nc_spindle *spindle, double time_s)
{
    double turns = 0, rpm = spindle->rpm;

    for (;;) {
        ramp part = next_ramp(spindle, rpm);

        if (time_s <= part.duration)
            return turns + (part.duration == 0 ? 0 : ramp_turns(&part, time_s));
        if (part.duration > 0)
            turns += ramp_turns(&part, part.duration);
        time_s -= part.duration;
        rpm = ramp_end(spindle, &part);
    }
}

/* t of n t/60 + r t^2/120 = x, the smaller root, in a form that does not cancel. */
static double ramp_time(const ramp *part, double turns)
{
    double sense = turns < 0 ? -1 : 1, rpm = part->rpm * sense, rate = part->rate * sense, x = fabs(turns);
    double square = rpm * rpm + 120 * rate * x;

    if (square < 0 || (rpm <= 0 && rate <= 0))
        return INFINITY;
    return 120 * x / (rpm + sqrt(square));
}

double cw_nc__spindle_time_for(const cw_nc_spindle *spindle, double turns)
{
    double time_s = 0, rpm = spindle->rpm;

    if (turns == 0)
        return 0;
    for (;;) {
        ramp part = next_ramp(spindle, rpm);
        double needed = part.duration == 0 ? INFINITY : ramp_time(&part, turns);

        if (needed <= part.duration || isinf(part.duration))
            return time_s + needed;
        turns -= part.duration > 0 ? ramp_turns(&part, part.duration) : 0;
        time_s += part.duration;
        rpm = ramp_end(spindle, &part);
    }
}

double cw_nc__spindle_time_to_target(const cw_nc_spindle *spindle)
{
    double time_s = 0, rpm = spindle->rpm;

    while (rpm != spindle->target_rpm) {
        ramp part = next_ramp(spindle, rpm);

        time_s += part.duration;
        rpm = ramp_end(spindle, &part);
    }
    return time_s;
}

void cw_nc__spindle_pass(cw_nc_spindle *spindle, double time_s)
{
    double left = time_s;

    if (spindle->rpm == spindle->target_rpm) {
        spindle->turns += spindle->rpm * time_s / 60;
        return;
    }
    spindle->turns += cw_nc__spindle_turns_in(spindle, time_s);
    for (;;) {
        ramp part = next_ramp(spindle, spindle->rpm);

        if (left < part.duration) {
            spindle->rpm += part.rate * left;
            return;
        }
        left -= part.duration;
        spindle->rpm = ramp_end(spindle, &part);
    }
}
