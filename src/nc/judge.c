/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether what is laid is the winding that was planned, and if not, in which line it goes wrong. */
#include "nc/nc_simulation.h"

#include <math.h>
#include <stdio.h>

static const double gap_factor = 1.15;       /* pitch over wire beyond which the next layer falls between (common
                                                practice, no source: winding notes, section 1) */
static const double pitch_tolerance = 0.002; /* of the pitch; less where it adds up to a turn out of place */

#define REMARK(list, line, ...) cw_nc__remark(&judge->replay->list, judge->name, line, __VA_ARGS__)

static bool has_plan(const cw_nc_judge *judge)
{
    return judge->path.count > 0;
}

static void show_pitch(const cw_nc_judge *judge, double pitch_m, char *buffer, size_t size)
{
    cw_nc__show_length(judge->machine, pitch_m, judge->machine->pitch_decimals - judge->machine->decimals, buffer,
                       size);
}

/* True once a layer, so that one mistake is one sentence. */
static bool first_time(size_t *said, size_t layer)
{
    if (*said == layer + 1)
        return false;
    *said = layer + 1;
    return true;
}

/* ---- pitch --------------------------------------------------------------------------------------------------- */

static double bundle_of(const cw_nc_judge *judge, size_t layer)
{
    return layer < judge->path.count ? judge->path.layers[layer].bundle_m : judge->bundle_m;
}

static void judge_wire(cw_nc_judge *judge, size_t layer, double pitch_m, int line)
{
    const double bundle_m = bundle_of(judge, layer);
    char pitch[40], wire[40];

    if (!(bundle_m > 0))
        return;
    show_pitch(judge, pitch_m, pitch, sizeof pitch);
    show_pitch(judge, bundle_m, wire, sizeof wire);
    if (pitch_m < bundle_m * (1 - 1e-3) && first_time(&judge->climb_said, layer))
        REMARK(errors, line, "Layer %zu is wound at %s a turn, less than the wire's %s: the turns climb.", layer + 1,
               pitch, wire);
    if (pitch_m > bundle_m * gap_factor && first_time(&judge->gap_said, layer))
        REMARK(warnings, line, "Layer %zu is wound at %s a turn over wire of %s: the next layer falls into the gaps.",
               layer + 1, pitch, wire);
}

static void judge_plan(cw_nc_judge *judge, size_t layer, double pitch_m, double turns, int line)
{
    double wanted = judge->path.layers[layer].pitch_m, off = fabs(pitch_m - wanted);
    char is[40], should[40];
    const char *so = "";

    if (off * turns <= 1.5 * judge->path.position_step_m) /* both ends of a block are rounded */
        return;
    if (off <= pitch_tolerance * wanted && off * turns <= CW_NC_POSITION_TOLERANCE_M)
        return;
    if (pitch_m < bundle_of(judge, layer) * (1 - 1e-3))
        so = ": the turns climb";
    else if (pitch_m > bundle_of(judge, layer) * gap_factor)
        so = ": the next layer falls into the gaps";
    show_pitch(judge, pitch_m, is, sizeof is);
    show_pitch(judge, wanted, should, sizeof should);
    REMARK(errors, line, "Layer %zu is wound at %s a turn; the winding wants %s%s.", layer + 1, is, should, so);
    judge->position_said = judge->astray = layer + 1; /* its turns lie wrong for that reason */
    judge->astray_line = line;
}

void cw_nc__judge_pitch(cw_nc_judge *judge, size_t layer, int direction, double pitch_m, double turns, int line)
{
    if (judge->pitch_line == line)
        return;
    judge->pitch_line = line;
    if (!has_plan(judge)) {
        judge_wire(judge, layer, pitch_m, line);
        return;
    }
    if (layer >= judge->path.count) {
        if (first_time(&judge->beyond_said, judge->path.count))
            REMARK(errors, line, "The program winds a layer %zu; the winding has only %zu.", layer + 1,
                   judge->path.count);
        return;
    }
    if (direction != judge->path.layers[layer].direction)
        REMARK(errors, line, "Layer %zu runs %s the start flange; the winding wants it the other way.", layer + 1,
               direction > 0 ? "away from" : "back to");
    judge_plan(judge, layer, pitch_m, turns, line);
}

/* ---- positions ----------------------------------------------------------------------------------------------- */

/* What a turn may lie beside its place: the promise, and what a standing guide lays beside where the plan has moved on
 * or, with free wire, where the guide already waits for the next layer. */
static double allowance(const cw_nc_judge *judge, size_t layer, double parked_turns)
{
    const cw_nc_path_layer *at = &judge->path.layers[layer];

    if (parked_turns == 0)
        return CW_NC_POSITION_TOLERANCE_M;
    return CW_NC_POSITION_TOLERANCE_M + parked_turns * at->pitch_m + 2 * at->lead_m;
}

/* Where a turn will lie once the free wire has swung in behind the guide: the swing after a reversal,
 * 2 p C exp(-s/C) [winding notes, section 3], is the wire's own and no mistake of a program. */
static double settled_place(const cw_nc_judge *judge, size_t layer, const cw_laid_turn *turn)
{
    const cw_nc_path_layer *at = &judge->path.layers[layer];

    return at->lead_m > 0 ? turn->guide_m - at->direction * at->lead_m : turn->wire_m;
}

static void end_astray(cw_nc_judge *judge)
{
    if (judge->astray_more > 0)
        REMARK(errors, judge->astray_line, "From there on turns lie out of place in %zu more layers, up to layer %zu.",
               judge->astray_more, judge->astray);
    judge->astray_more = 0;
}

/* A layer that follows one with turns out of place is a consequence, as a rule, and only counted. */
static bool begins_astray(cw_nc_judge *judge, size_t layer, int line)
{
    bool begins = judge->astray == 0 || layer > judge->astray;

    if (begins) {
        end_astray(judge);
        judge->astray_line = line;
    } else {
        judge->astray_more++;
    }
    judge->astray = layer + 1;
    return begins;
}

void cw_nc__judge_turn(cw_nc_judge *judge, const cw_laid_turn *turn, double parked_turns)
{
    double turns = (double)turn->number, place, wanted, off;
    size_t layer;
    char is[40], should[40];

    if (!has_plan(judge) || turn->number > judge->path.turns)
        return;
    layer = judge->turn_layer = cw_nc__path_layer_of(&judge->path, judge->turn_layer, turns);
    wanted = cw_nc__path_at(&judge->path, layer, turns);
    place = settled_place(judge, layer, turn);
    off = fabs(place - wanted);
    if (parked_turns == 0)
        judge->replay->position_error_most_m = fmax(judge->replay->position_error_most_m, off);
    if (off <= allowance(judge, layer, parked_turns) || !first_time(&judge->position_said, layer) ||
        !begins_astray(judge, layer, turn->line))
        return;
    cw_nc__show_length(judge->machine, place, 0, is, sizeof is);
    cw_nc__show_length(judge->machine, wanted, 0, should, sizeof should);
    REMARK(errors, turn->line, "Turn %ld, the %ld. of layer %zu, comes to lie at %s; the winding wants it at %s.",
           turn->number, turn->number - judge->path.layers[layer].before, layer + 1, is, should);
}

void cw_nc__judge_guide(cw_nc_judge *judge, size_t layer, double guide_m, int line)
{
    double far = judge->path.length_m, past, free_m;
    char by[40];

    if (!has_plan(judge))
        return;
    free_m = judge->machine->clearance_m + CW_NC_POSITION_TOLERANCE_M;
    past = fmax(-guide_m, guide_m - far);
    if (past <= free_m || !first_time(&judge->flange_said, layer))
        return;
    cw_nc__show_length(judge->machine, past, 0, by, sizeof by);
    REMARK(errors, line, "The guide runs %s past the %s flange while wire is laid.", by,
           guide_m < 0 ? "start" : "far");
}

void cw_nc__judge_speed(cw_nc_judge *judge, double rpm, int line)
{
    cw_handling handling;

    if (judge->winding == NULL || judge->speed_said || judge->winding->layer_count == 0)
        return;
    cw_handling_of(judge->winding, &handling);
    if (rpm <= handling.speed_high_rpm)
        return;
    judge->speed_said = true;
    REMARK(warnings, line,
           "The coil turns at %.0f rpm; such wire on such a former is usually wound at %g to %g (common practice). The "
           "tension must follow.", rpm, handling.speed_low_rpm, handling.speed_high_rpm);
}

/* A last layer of one turn that has no room to travel cannot be seen as one: its turn counts to the layer before. */
static bool ends_standing(const cw_nc_judge *judge)
{
    return judge->path.count > 1 && judge->path.layers[judge->path.count - 1].travel_turns == 0;
}

/* ---- counts -------------------------------------------------------------------------------------------------- */

double cw_nc__judge_boundary(const cw_nc_judge *judge, size_t layer)
{
    if (layer >= judge->path.count)
        return NAN;
    return (double)(judge->path.layers[layer].before + judge->path.layers[layer].turns);
}

void cw_nc__judge_layer(cw_nc_judge *judge, size_t layer, const cw_replay_layer *laid)
{
    long wanted;

    if (!has_plan(judge) || layer >= judge->path.count)
        return;
    wanted = judge->path.layers[layer].turns;
    if (ends_standing(judge) && layer + 2 == judge->path.count)
        wanted += judge->path.layers[layer + 1].turns;
    if (fabs(laid->turns - (double)wanted) > 2 * CW_NC_TURN_TOLERANCE)
        REMARK(errors, laid->last_line, "Layer %zu holds %.2f turns; the winding wants %ld.", layer + 1, laid->turns,
               wanted);
}

void cw_nc__judge_end(cw_nc_judge *judge, double turns, int line)
{
    size_t layers = judge->replay->layer_count;

    if (!has_plan(judge))
        return;
    end_astray(judge);
    if (fabs(turns - (double)judge->path.turns) > CW_NC_TURN_TOLERANCE)
        REMARK(errors, line, "The program lays %.2f turns; the winding wants %ld.", turns, judge->path.turns);
    if (layers < judge->path.count - ends_standing(judge))
        REMARK(errors, line, "The program winds %zu layers; the winding has %zu.", layers, judge->path.count);
}
