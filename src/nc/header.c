/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the operator reads at the top of a program and at its stops. Cautions: winding notes, section 10; tension:
 * section 4; what to set up: [NC 7.5, 8, 9]. */
#include "nc/nc_writer.h"

#include <math.h>
#include <stdio.h>

static void write_job(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    const cw_winding *winding = plan->request->winding;
    const cw_wire *wire = &winding->plan.wire;
    char length[40], length2[40];

    cw_nc__emit_comment(emitter, "Coilwright winding program for %s", cw_code_name(plan->machine.code));
    if (plan->request->dry_run)
        cw_nc__emit_comment(emitter, "DRY RUN: in air, without wire, guide clear of the former");
    if (plan->request->job != NULL && plan->request->job[0] != '\0')
        cw_nc__emit_comment(emitter, "Job: %s", plan->request->job);
    if (plan->request->note != NULL && plan->request->note[0] != '\0')
        cw_nc__emit_comment(emitter, "Note: %s", plan->request->note);
    cw_nc__show_length(&plan->machine, wire->overall_diameter_m.nominal, 1, length, sizeof length);
    cw_nc__emit_comment(emitter, "Wire: %s %s %s, %s over all", wire->size.name,
                        cw_build_trade_name(wire->size.system, wire->build), cw_material_name(wire->material), length);
    if (winding->plan.in_hand > 1)
        cw_nc__emit_comment(emitter, "%d wires side by side through the guide", winding->plan.in_hand);
    if (winding->second_layer > 0)
        cw_nc__emit_comment(emitter, "From layer %zu on: %s %s", winding->second_layer + 1,
                            winding->second_wire.size.name,
                            cw_build_trade_name(winding->second_wire.size.system, winding->second_wire.build));
    if (winding->section_count > 0)
        cw_nc__emit_comment(emitter, "%zu sections of %ld turns, one after the other", winding->section_count,
                            winding->turns / (long)winding->section_count);
    cw_nc__emit_comment(emitter, "%ld turns in %zu layers", winding->turns, winding->layer_count);
    cw_nc__show_length(&plan->machine, winding->plan.window.length_m, 0, length, sizeof length);
    cw_nc__show_length(&plan->machine, plan->path.layers[0].pitch_m,
                       plan->machine.pitch_decimals - plan->machine.decimals, length2, sizeof length2);
    cw_nc__emit_comment(emitter, "Between flanges %s, pitch %s", length, length2);
}

static void write_care(cw_nc_emitter *emitter, const cw_nc_plan *plan, const cw_handling *handling)
{
    double mean = (handling->take_up_least + handling->take_up_most) / 2;
    char radius[40];

    cw_nc__show_length(&plan->machine, handling->guide_radius_m, -1, radius, sizeof radius);
    cw_nc__emit_comment(emitter, "Guide edge polished, radius %s or more", radius);
    if (handling->take_up_most > handling->take_up_least) {
        cw_nc__emit_comment(emitter, "Former not round: wire runs %.0f to %.0f %% of its mean",
                            100 * handling->take_up_least / mean, 100 * handling->take_up_most / mean);
        cw_nc__emit_comment(emitter, "speed in every turn. Sprung arm, or slow");
    }
    if (!handling->splice_allowed)
        cw_nc__emit_comment(emitter, "No splice in wire as fine as this");
}

static void write_handling(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    const cw_wire *wire = &plan->request->winding->plan.wire;
    double fastest = 0, slowest = INFINITY, arm_m = 0;
    cw_handling handling;

    cw_handling_of(plan->request->winding, &handling);
    if (isfinite(handling.tension_low_n))
        cw_nc__emit_comment(emitter, "Tension behind the guide: %.2g to %.2g N, %.0f to %.0f gf%s",
                            handling.tension_low_n, handling.tension_high_n, handling.tension_low_n * 1000 / 9.80665,
                            handling.tension_high_n * 1000 / 9.80665,
                            plan->request->winding->plan.in_hand > 1 ? " each" : "");
    else
        cw_nc__emit_comment(emitter, "Tension: light, no published figure for %s", cw_material_name(wire->material));
    write_care(emitter, plan, &handling);
    for (size_t i = 0; i < plan->count; i++) {
        fastest = fmax(fastest, fmax(plan->legs[i].rpm, plan->legs[i].middle_rpm));
        slowest = fmin(slowest, plan->legs[i].rpm);
        arm_m = fmax(arm_m, cw_nc__take_up(plan->request->winding, plan->legs[i].layer));
    }
    cw_nc__emit_comment(emitter, "Speed: %g to %g rpm, wire %.2f m/s at most", slowest, fastest,
                        2 * 3.14159265358979323846 * arm_m * fastest / 60);
    if (fastest > handling.speed_high_rpm)
        cw_nc__emit_comment(emitter, "Faster than the usual %g to %g rpm for such a coil", handling.speed_low_rpm,
                            handling.speed_high_rpm);
    cw_nc__emit_comment(emitter, "Time: about %.0f min and the pauses", ceil(plan->time_s / 60));
}

static void write_coordinates(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    const cw_machine *machine = &plan->machine;
    bool rotary = machine->code == CW_ROTARY_A;

    cw_nc__emit_comment(emitter, "Set up: %s", machine->inches ? "inches" : "millimetres");
    cw_nc__emit_comment(emitter, "%c0: inside face of the start flange, + to the far flange", rotary ? 'X' : 'Z');
    cw_nc__emit_comment(emitter, "%c is the middle of the wire in the guide", rotary ? 'X' : 'Z');
    if (rotary) {
        cw_nc__emit_comment(emitter, "A: degrees, %s sense winds; A0 with the lead on top",
                            machine->reverse ? "negative" : "positive");
        return;
    }
    if (isnan(machine->guide_near_m))
        cw_nc__emit_comment(emitter, "X: no X words, set the guide to the coil by hand");
    else
        cw_nc__emit_comment(emitter, "X: %s of the guide from the spindle axis",
                            machine->diameter ? "diameter" : "radius");
    cw_nc__emit_comment(emitter, "Spindle winds in %s", machine->reverse ? "M4" : "M3");
}

static void write_count(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    switch (plan->machine.code) {
    case CW_G33_K:
    case CW_G32_F:
    case CW_G33_F:
        cw_nc__emit_comment(emitter, "Every traverse waits half a turn for the index mark");
        cw_nc__emit_comment(emitter, "Start with the lead half a turn past the mark, counter 0");
        cw_nc__emit_comment(emitter, "Try with string: the counter must agree at each layer");
        break;
    case CW_G95:
    case CW_G99:
        cw_nc__emit_comment(emitter, "Dwells make the half turn at each flange. Counter from 0");
        cw_nc__emit_comment(emitter, "Feed follows speed, not angle: the counter is the judge");
        break;
    case CW_ROTARY_A:
    case CW_NO_CODE:
    case CW_CODE_COUNT:
        break;
    }
    if (plan->machine.code != CW_ROTARY_A)
        cw_nc__emit_comment(emitter, "Overrides at 100 percent, no feed hold, no single block");
}

static void write_cautions(cw_nc_emitter *emitter)
{
    cw_nc__emit_comment(emitter, "CAUTION: no gloves, no loop of wire round finger or hand");
    cw_nc__emit_comment(emitter, "Sleeves tight, hair tied, eye protection, chuck key out");
    cw_nc__emit_comment(emitter, "Chuck guard closed, spool behind a guard, free end taped");
    cw_nc__emit_comment(emitter, "Never reach over the coil, know the stopping time");
    cw_nc__emit_comment(emitter, "Prove without wire first, never jog with wire attached");
}

void cw_nc__write_header(cw_nc_emitter *emitter, const cw_nc_plan *plan)
{
    write_job(emitter, plan);
    write_handling(emitter, plan);
    write_coordinates(emitter, plan);
    write_count(emitter, plan);
    write_cautions(emitter);
}

void cw_nc__write_leg_comment(cw_nc_emitter *emitter, const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    const cw_nc_path_layer *layer = &plan->path.layers[leg->layer];

    if (leg->layer_begins)
        cw_nc__emit_comment(emitter, "Layer %zu of %zu, %ld turns, %s", leg->layer + 1, plan->path.count, layer->turns,
                            layer->direction > 0 ? "to the far flange" : "to the start flange");
    else
        cw_nc__emit_comment(emitter, "Layer %zu goes on", leg->layer + 1);
}

void cw_nc__write_pause(cw_nc_emitter *emitter, const cw_nc_plan *plan, const cw_nc_leg *leg)
{
    const cw_layer *layer = &plan->request->winding->layers[leg->layer];
    char thickness[40];

    if (leg->rest_turns > (double)leg->stop_turn + 0.05)
        cw_nc__emit_comment(emitter, "Counter %ld, and %.1f when the spindle has coasted", leg->stop_turn,
                            leg->rest_turns);
    else
        cw_nc__emit_comment(emitter, "Counter %ld", leg->stop_turn);
    if (leg->reason != NULL)
        cw_nc__emit_comment(emitter, "STOP: %s at turn %ld", leg->reason, leg->stop_turn);
    if (leg->layer_ends && leg->layer + 1 == plan->request->winding->second_layer) {
        cw_nc__emit_comment(emitter, "STOP: cut the wire, join %s to it and cover the joint",
                            plan->request->winding->second_wire.size.name);
        cw_nc__emit_comment(emitter, "One sheet over the whole layer; set the tension anew");
        cw_nc__emit_comment(emitter, "Do not turn the chuck by hand");
    } else if (leg->layer_ends && cw_winding_section_behind(plan->request->winding, leg->layer) > 0) {
        cw_nc__emit_comment(emitter, "STOP: section %zu is next",
                            cw_winding_section_behind(plan->request->winding, leg->layer));
        cw_nc__emit_comment(emitter, "Lead the wire over the partition in its slot, tape it down");
        cw_nc__emit_comment(emitter, "Hands off before the start, the spindle turns next");
        cw_nc__emit_comment(emitter, "Do not turn the chuck by hand");
    } else if (leg->layer_ends && layer->insulation_after) {
        cw_nc__show_length(&plan->machine, plan->request->winding->plan.insulation_m, 1, thickness, sizeof thickness);
        cw_nc__emit_comment(emitter, "STOP: lay insulation of %s over this layer", thickness);
        cw_nc__emit_comment(emitter, "Do not turn the chuck by hand");
    }
}
