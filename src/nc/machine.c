/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a winding machine is where nobody said. Decimals: [NC 10]; the rest is common practice without a source. */
#include "coilwright/nc.h"

#include <math.h>
#include <string.h>

void cw_machine_init(cw_machine *machine)
{
    memset(machine, 0, sizeof *machine);
    machine->kind = CW_LATHE_THREAD;
    machine->code = CW_G33_K;
    machine->decimals = machine->pitch_decimals = -1;
    machine->speed_rpm = machine->slow_speed_rpm = NAN;
    machine->spin_up_s = machine->spin_down_s = NAN;
    machine->acceleration_m_s2 = machine->rapid_m_s = machine->block_time_s = NAN;
    machine->backlash_m = machine->clearance_m = machine->guide_distance_m = NAN;
    machine->guide_near_m = machine->guide_clear_m = NAN;
    machine->leadscrew_m = NAN;
}

static void fill(double *value, double ordinary)
{
    if (isnan(*value))
        *value = ordinary;
}

void cw_machine_defaults(cw_machine *machine)
{
    fill(&machine->speed_rpm, 60);
    fill(&machine->slow_speed_rpm, machine->speed_rpm / 3);
    fill(&machine->spin_up_s, 2);
    fill(&machine->spin_down_s, 2);
    fill(&machine->acceleration_m_s2, 0.5);
    fill(&machine->rapid_m_s, 0.05);
    fill(&machine->block_time_s, 0.02);
    fill(&machine->backlash_m, 0);
    fill(&machine->guide_distance_m, 0);
    fill(&machine->clearance_m, machine->guide_distance_m > 0 ? 1e-3 : 0);
    if (machine->decimals < 0)
        machine->decimals = machine->inches ? 4 : 3;
    if (machine->pitch_decimals < 0)
        machine->pitch_decimals = machine->inches ? 6 : 4;
}

static bool kind_takes(cw_machine_kind kind, cw_code code)
{
    switch (kind) {
    case CW_LATHE_THREAD:
        return code == CW_G33_K || code == CW_G32_F || code == CW_G33_F;
    case CW_LATHE_FEED:
        return code == CW_G95 || code == CW_G99;
    case CW_ROTARY_WINDER:
        return code == CW_ROTARY_A;
    case CW_MANUAL_LATHE:
    case CW_HAND:
        return true;
    case CW_MACHINE_KIND_COUNT:
        break;
    }
    return false;
}

/* Catches NAN too. */
static bool within(double value, double low, double high)
{
    return value >= low && value <= high;
}

static cw_status check_figures(const cw_machine *machine, cw_error *error)
{
    const struct { double value, low, high; const char *what; } figures[] = {
        { machine->speed_rpm, 0.1, 100000, "speed, in revolutions a minute, is" },
        { machine->slow_speed_rpm, 0.1, 100000, "slow speed, in revolutions a minute, is" },
        { machine->spin_up_s, 0, 600, "time to full speed, in seconds, is" },
        { machine->spin_down_s, 0, 600, "time to standstill, in seconds, is" },
        { machine->acceleration_m_s2, 1e-4, 1000, "acceleration of the traverse, in m/s2, is" },
        { machine->rapid_m_s, 1e-5, 100, "fastest traverse, in m/s, is" },
        { machine->block_time_s, 0, 60, "time between two blocks, in seconds, is" },
        { machine->backlash_m, 0, 0.05, "backlash, in metres, is" },
        { machine->clearance_m, 0, 1, "clearance beyond the flange, in metres, is" },
        { machine->guide_distance_m, 0, 10, "distance from guide to coil, in metres, is" },
    };

    for (size_t i = 0; i < sizeof figures / sizeof figures[0]; i++)
        if (!within(figures[i].value, figures[i].low, figures[i].high))
            return cw_refuse(error, NULL, NULL, "The machine's %s %g; it must be from %g to %g.", figures[i].what,
                             figures[i].value, figures[i].low, figures[i].high);
    return CW_OK;
}

cw_status cw_machine_check(const cw_machine *machine, cw_error *error)
{
    if ((int)machine->kind < 0 || machine->kind >= CW_MACHINE_KIND_COUNT || !kind_takes(machine->kind, machine->code))
        return cw_refuse(error, NULL, "lathe-thread with g33-k, g32-f or g33-f; lathe-feed with g95 or g99; "
                                      "rotary-winder with rotary-a",
                         "A %s machine does not take the code %s.", cw_machine_kind_name(machine->kind),
                         cw_code_name(machine->code));
    if (machine->decimals < 0 || machine->decimals > 6 || machine->pitch_decimals < 0 || machine->pitch_decimals > 8)
        return cw_refuse(error, NULL, "0 to 6 for positions, 0 to 8 for pitches",
                         "The machine's words have %d decimals for positions and %d for pitches.", machine->decimals,
                         machine->pitch_decimals);
    if (machine->feed_count > CW_FEEDS_MOST || machine->gear_count > CW_GEARS_MOST)
        return cw_refuse(error, NULL, NULL, "The machine has more feeds or gears than can be kept.");
    return check_figures(machine, error);
}

const char *cw_machine_kind_name(cw_machine_kind kind)
{
    static const char *const names[] = { "lathe-thread", "lathe-feed", "rotary-winder", "manual-lathe", "hand" };

    return (int)kind >= 0 && kind < CW_MACHINE_KIND_COUNT ? names[kind] : "?";
}

const char *cw_code_name(cw_code code)
{
    static const char *const names[] = { "g33-k", "g32-f", "g33-f", "g95", "g99", "rotary-a", "none" };

    return (int)code >= 0 && code < CW_CODE_COUNT ? names[code] : "?";
}
