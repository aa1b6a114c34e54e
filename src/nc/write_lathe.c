/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Programs for lathes: threading (g33-k, g32-f, g33-f) and feed per turn (g95, g99).
 *
 * Each traverse of a thread is one block, since a thread holds its speed; with feed per turn it is three, slow next to
 * the flanges. Before it stands a line with M3 or M4 and its speed: it breaks the chain of threading
 * blocks on controls that chain them, so that every control waits for the index [NC 7.3]. */
#include "nc/nc_writer.h"

#include <math.h>

static bool is_thread(const cw_nc_plan *plan)
{
    return plan->machine.kind == CW_LATHE_THREAD;
}

static void emit_one(cw_nc_emitter *emitter, cw_nc_meaning meaning)
{
    cw_nc__emit_code(emitter, meaning);
    cw_nc__emit_end(emitter);
}

static void emit_guide(cw_nc_emitter *emitter, const cw_nc_plan *plan, double radius_m)
{
    if (isnan(radius_m))
        return;
    cw_nc__emit_code(emitter, CW_NC_RAPID);
    cw_nc__emit_position(emitter, 'X', plan->machine.diameter ? 2 * radius_m : radius_m);
    cw_nc__emit_end(emitter);
}

static void emit_rapid(cw_nc_emitter *emitter, double z_m)
{
    cw_nc__emit_code(emitter, CW_NC_RAPID);
    cw_nc__emit_position(emitter, 'Z', z_m);
    cw_nc__emit_end(emitter);
}

/* Units alone on a line [NC 3], then every mode that could be left over; G98 and G99 are no business of RS-274/NGC, nor
 * G90 to G95 of the G32 family [NC 11]. */
static void write_start(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    const cw_machine *machine = &plan->machine;
    bool ngc = emitter->dialect == CW_NC_NGC;

    emit_one(emitter, machine->inches ? CW_NC_INCH : CW_NC_MILLIMETRE);
    cw_nc__emit_code(emitter, CW_NC_ABSOLUTE);
    cw_nc__emit_code(emitter, ngc && is_thread(plan) ? CW_NC_PER_MINUTE : CW_NC_PER_TURN);
    cw_nc__emit_number(emitter, 'G', 40);
    cw_nc__emit_number(emitter, 'G', 49); /* only RS-274/NGC has it */
    if (ngc)
        cw_nc__emit_code(emitter, CW_NC_NO_MOTION);
    cw_nc__emit_end(emitter);
    cw_nc__emit_code(emitter, CW_NC_CONSTANT_SPEED);
    cw_nc__emit_speed(emitter, plan->legs[0].rpm);
    cw_nc__emit_end(emitter);
    if (ngc && !isnan(machine->guide_near_m))
        emit_one(emitter, machine->diameter ? CW_NC_DIAMETER : CW_NC_RADIUS);
    if (ngc)
        emit_one(emitter, CW_NC_EXACT);
    if (ngc && !is_thread(plan)) {
        cw_nc__emit_number(emitter, 'M', 49);
        cw_nc__emit_end(emitter);
    }
    cw_nc__emit_lines(emitter, machine->start_block);
}

/* The guide comes to its first place from below where there is backlash, as the plan takes it to. */
static void write_approach(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    const cw_machine *machine = &plan->machine;
    double step = plan->path.position_step_m, first = plan->legs[0].from_m;

    emit_guide(emitter, plan, machine->guide_clear_m);
    if (machine->backlash_m > 0)
        emit_rapid(emitter, first - step * ceil(2 * machine->backlash_m / step));
    emit_rapid(emitter, first);
    if (!plan->request->dry_run) {
        emit_guide(emitter, plan, machine->guide_near_m);
        cw_nc__emit_comment(emitter, "STOP: fix the start lead, tension on, counter 0");
    }
    emit_one(emitter, CW_NC_STOP);
}

/* P means milliseconds on the lathes, X seconds [NC 11]. */
static void write_dwell(cw_nc_emitter *emitter, double time_s)
{
    if (time_s <= 0)
        return;
    cw_nc__emit_code(emitter, CW_NC_DWELL);
    cw_nc__emit_word(emitter, emitter->dialect == CW_NC_NGC ? 'P' : 'X', time_s, 3);
    cw_nc__emit_end(emitter);
}

/* A traverse, or a part of one; with a new speed where rpm is not 0. */
static void write_part(cw_nc_emitter *emitter, const cw_nc_plan *plan, double to_m, double pitch_m, double rpm)
{
    cw_nc__emit_code(emitter, is_thread(plan) ? CW_NC_THREAD : CW_NC_FEED);
    cw_nc__emit_position(emitter, 'Z', to_m);
    cw_nc__emit_pitch(emitter, plan->machine.code == CW_G33_K ? 'K' : 'F', pitch_m);
    if (rpm > 0)
        cw_nc__emit_speed(emitter, rpm);
    cw_nc__emit_end(emitter);
}

static void write_traverse(cw_nc_emitter *emitter, const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    double pitch_m = cw_nc__plan_pitch(plan, leg);

    if (!leg->travels)
        return;
    write_dwell(emitter, leg->dwell_s);
    if (leg->middle_rpm > 0) {
        write_part(emitter, plan, leg->split_m[0], pitch_m, 0);
        write_part(emitter, plan, leg->split_m[1], pitch_m, leg->middle_rpm);
    }
    write_part(emitter, plan, leg->to_m, pitch_m, leg->middle_rpm > 0 ? leg->rpm : 0);
}

static void write_leg(cw_nc_emitter *emitter, const cw_nc_plan *plan, size_t i)
{
    const cw_nc_leg *leg = &plan->legs[i];
    double via = cw_nc__plan_via(plan, leg);

    cw_nc__write_leg_comment(emitter, plan, leg);
    if (!isnan(via))
        emit_rapid(emitter, via);
    if (!isnan(via) || (i > 0 && fabs(leg->from_m - leg[-1].to_m) > plan->path.position_step_m / 2))
        emit_rapid(emitter, leg->from_m);
    cw_nc__emit_speed(emitter, leg->rpm);
    cw_nc__emit_code(emitter, plan->machine.reverse ? CW_NC_COUNTER_CLOCKWISE : CW_NC_CLOCKWISE);
    cw_nc__emit_end(emitter);
    write_traverse(emitter, plan, leg);
    write_dwell(emitter, leg->end_dwell_s);
    if (leg->after == CW_NC_THEN_REVERSE) {
        cw_nc__emit_comment(emitter, "Counter %ld", leg->stop_turn);
        return;
    }
    emit_one(emitter, CW_NC_SPINDLE_OFF);
    if (leg->after == CW_NC_THEN_FINISH)
        return;
    cw_nc__write_pause(emitter, plan, leg);
    emit_one(emitter, plan->request->dry_run && leg->reason == NULL ? CW_NC_OPTIONAL_STOP : CW_NC_STOP);
}

void cw_nc__write_lathe(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    write_start(emitter, plan);
    write_approach(emitter, plan);
    for (size_t i = 0; i < plan->count; i++)
        write_leg(emitter, plan, i);
    cw_nc__emit_comment(emitter, "Counter %ld at rest. Tape the end before it is cut", plan->path.turns);
    if (emitter->dialect == CW_NC_NGC && !is_thread(plan)) {
        cw_nc__emit_number(emitter, 'M', 48);
        cw_nc__emit_end(emitter);
    }
    cw_nc__emit_lines(emitter, plan->machine.end_block);
    emit_one(emitter, CW_NC_END_AND_REWIND);
}
