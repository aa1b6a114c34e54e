/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Programs for a winder with a rotary axis: A in degrees, X along the coil.
 *
 * Incremental, since some machines wrap absolute angles at 360 [NC 6]; X steps are differences of rounded places, so
 * that nothing adds up. Inverse time (G93), F = speed over turns: the one feed mode whose F means the same whichever
 * axes move [NC 5]. Blocks hold at most 250 turns, for controls with 8-digit words. G64 keeps A turning over the block
 * ends. */
#include "nc/nc_writer.h"

#include <math.h>

static const double block_turns_most = 250;

static void emit_one(cw_nc_emitter *emitter, cw_nc_meaning meaning)
{
    cw_nc__emit_code(emitter, meaning);
    cw_nc__emit_end(emitter);
}

static void write_turns(cw_nc_emitter *emitter, const cw_nc_plan *plan, double turns, double step_m, double rpm)
{
    cw_nc__emit_code(emitter, CW_NC_FEED);
    cw_nc__emit_word(emitter, 'A', (plan->machine.reverse ? -360 : 360) * turns, plan->machine.decimals);
    if (step_m != 0)
        cw_nc__emit_position(emitter, 'X', step_m);
    cw_nc__emit_word(emitter, 'F', rpm / turns, 6);
    cw_nc__emit_end(emitter);
}

/* A part of a traverse at one speed, in blocks that controls hold. */
static void write_part(cw_nc_emitter *emitter, const cw_nc_plan *plan, const cw_nc_leg *leg, double from, double to,
                       double rpm)
{
    double blocks = ceil((to - from) / block_turns_most), at = from;

    for (double block = 1; block <= blocks; block++) {
        double next = block == blocks ? to : from + block_turns_most * block;

        write_turns(emitter, plan, next - at,
                    cw_nc__plan_guide(plan, leg->layer, next) - cw_nc__plan_guide(plan, leg->layer, at), rpm);
        at = next;
    }
}

/* A step aside of the guide. */
static void write_step(cw_nc_emitter *emitter, const cw_nc_plan *plan, double metres)
{
    if (fabs(metres) < plan->path.position_step_m / 2)
        return;
    cw_nc__emit_code(emitter, CW_NC_RAPID);
    cw_nc__emit_position(emitter, 'X', metres);
    cw_nc__emit_end(emitter);
}

/* Turns laid while the guide stands. */
static void write_standing(cw_nc_emitter *emitter, const cw_nc_plan *plan, double turns, double rpm)
{
    if (turns > 1e-9)
        write_turns(emitter, plan, turns, 0, rpm);
}

static void write_leg(cw_nc_emitter *emitter, const cw_nc_plan *plan, size_t i)
{
    const cw_nc_leg *leg = &plan->legs[i];
    double slow = fmin(plan->machine.slow_speed_rpm, leg->rpm), from = leg->from_turns, to = leg->to_turns;
    double via = cw_nc__plan_via(plan, leg);

    cw_nc__write_leg_comment(emitter, plan, leg);
    if (i > 0 && !isnan(via)) {
        write_step(emitter, plan, via - leg[-1].to_m);
        write_step(emitter, plan, leg->from_m - via);
    } else if (i > 0) {
        write_step(emitter, plan, leg->from_m - leg[-1].to_m);
    }
    write_standing(emitter, plan, leg->from_turns - (i > 0 ? (double)leg[-1].stop_turn : 0), slow);
    if (to - from > 3 * CW_NC_SLOW_TURNS) {
        write_part(emitter, plan, leg, from, from + CW_NC_SLOW_TURNS, slow);
        write_part(emitter, plan, leg, from + CW_NC_SLOW_TURNS, to - CW_NC_SLOW_TURNS, leg->rpm);
        write_part(emitter, plan, leg, to - CW_NC_SLOW_TURNS, to, slow);
    } else {
        write_part(emitter, plan, leg, from, to, slow);
    }
    write_standing(emitter, plan, (double)leg->stop_turn - leg->to_turns, slow);
    if (leg->after == CW_NC_THEN_REVERSE)
        cw_nc__emit_comment(emitter, "Counter %ld", leg->stop_turn);
    if (leg->after != CW_NC_THEN_PAUSE)
        return;
    cw_nc__write_pause(emitter, plan, leg);
    emit_one(emitter, plan->request->dry_run && leg->reason == NULL ? CW_NC_OPTIONAL_STOP : CW_NC_STOP);
}

static void write_start(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    emit_one(emitter, plan->machine.inches ? CW_NC_INCH : CW_NC_MILLIMETRE);
    cw_nc__emit_number(emitter, 'G', 40);
    cw_nc__emit_number(emitter, 'G', 49);
    cw_nc__emit_code(emitter, CW_NC_NO_MOTION);
    cw_nc__emit_end(emitter);
    cw_nc__emit_code(emitter, CW_NC_BLEND);
    cw_nc__emit_position(emitter, 'P', plan->machine.inches ? 0.0004 * 0.0254 : 0.01e-3);
    cw_nc__emit_end(emitter);
    cw_nc__emit_lines(emitter, plan->machine.start_block);
    emit_one(emitter, CW_NC_ABSOLUTE);
    cw_nc__emit_code(emitter, CW_NC_RAPID);
    cw_nc__emit_position(emitter, 'X', plan->legs[0].from_m);
    cw_nc__emit_end(emitter);
    if (!plan->request->dry_run)
        cw_nc__emit_comment(emitter, "STOP: fix the start lead, tension on, counter 0");
    emit_one(emitter, CW_NC_STOP);
    cw_nc__emit_code(emitter, CW_NC_INCREMENTAL);
    cw_nc__emit_code(emitter, CW_NC_INVERSE_TIME);
    cw_nc__emit_end(emitter);
}

void cw_nc__write_rotary(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    write_start(emitter, plan);
    for (size_t i = 0; i < plan->count; i++)
        write_leg(emitter, plan, i);
    cw_nc__emit_comment(emitter, "Counter %ld. Tape the end before it is cut", plan->path.turns);
    cw_nc__emit_lines(emitter, plan->machine.end_block);
    emit_one(emitter, CW_NC_ABSOLUTE);
    emit_one(emitter, CW_NC_PER_MINUTE);
    emit_one(emitter, CW_NC_END_AND_REWIND);
}
