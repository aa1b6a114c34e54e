/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laying: how many turns go into a layer, how the layers rise, and what that adds up to. */
#include "winding/winding_internal.h"

#include <math.h>
#include <string.h>

/* What is the same for every layer of a plan. */
typedef struct pattern {
    double width_m;        /* of the bundle */
    double pitch_m;
    long odd, even;        /* turns of the first, third ... and of the second, fourth ... layer when full */
    double odd_start_m, even_start_m; /* bundle centre at the flange it starts from, measured from that flange */
    double rise_m;         /* from layer to layer without a sheet between */
    double flange_turns;   /* share of a layer's turns that lies still against the flange at its start */
} pattern;

const char *cw_lay_name(cw_lay lay)
{
    static const char *names[CW_LAY_COUNT] = { "level", "nested", "random" };

    return names[lay];
}

void cw_winding_defaults(cw_lay_plan *plan)
{
    if (plan->in_hand == 0)
        plan->in_hand = 1;
    if (plan->pitch_factor == 0)
        plan->pitch_factor = 1.02; /* lathe or hand-fed lay 1.02 to 1.05; common practice, no source */
    if (plan->rise_factor == 0)
        plan->rise_factor = 0.95; /* 0.9 to 1.0; common practice, no source */
    if (plan->packing == 0)
        plan->packing = 0.60; /* covered wires over section; copper 0.45 to 0.50 of a random coil [a coil maker's
                                 glossary, winding: §2.2] is 0.55 to 0.65 with its enamel */
    if (plan->bulge == 0 && plan->window.shape != CW_ROUND)
        plan->bulge = 0.15; /* 10 to 20 % of the build; common practice, no source */
}

double cw_winding_clear_length(const cw_lay_plan *plan)
{
    return plan->window.length_m - plan->margin_start_m - plan->sleeve_m - plan->margin_end_m;
}

static bool is_thickness(double metres)
{
    return metres >= 0 && metres < 1; /* false for NaN too */
}

static cw_status check_room(const cw_lay_plan *plan, cw_error *error)
{
    const double overall = plan->wire.overall_diameter_m.nominal, clear = cw_winding_clear_length(plan);

    if (!is_thickness(plan->margin_start_m) || !is_thickness(plan->margin_end_m) || !is_thickness(plan->sleeve_m))
        return cw_refuse(error, NULL, "0 or a few millimetres",
                         "Margins of %.4g mm and %.4g mm and a start lead of %.4g mm cannot be.",
                         1e3 * plan->margin_start_m, 1e3 * plan->margin_end_m, 1e3 * plan->sleeve_m);
    if (!is_thickness(plan->wrap_m) || !is_thickness(plan->base_m))
        return cw_refuse(error, NULL, "0 or a few millimetres", "A wrap of %.4g mm over %.4g mm cannot be.",
                         1e3 * plan->wrap_m, 1e3 * plan->base_m);
    if (!(overall > 0) || plan->in_hand * overall > clear)
        return cw_refuse(error, NULL, "a wire thinner than the window",
                         "The wire is %.4g mm wide over its covering%s, and the window is only %.4g mm long%s.",
                         1e3 * overall * plan->in_hand, plan->in_hand > 1 ? " with all strands side by side" : "",
                         1e3 * clear, clear < plan->window.length_m ? " between margins and start lead" : "");
    return cw_winding__check_taps(plan, error);
}

static cw_status check_plan(const cw_lay_plan *plan, cw_error *error)
{
    cw_status status = cw_window_check(&plan->window, NULL, error);

    if (status != CW_OK)
        return status;
    if (plan->turns < 1 || plan->turns > CW_WINDING__MOST_TURNS)
        return cw_refuse(error, NULL, "1 to 10 000 000 turns", "A winding of %ld turns cannot be laid.", plan->turns);
    if (plan->in_hand < 1 || plan->in_hand > 4)
        return cw_refuse(error, NULL, "1 to 4 strands", "%d strands in hand cannot be laid side by side here.",
                         plan->in_hand);
    if (!(plan->pitch_factor >= 1 && plan->pitch_factor <= 2))
        return cw_refuse(error, NULL, "1 to 2",
                         "A pitch of %.3g times the wire's width makes turns climb or lie apart.", plan->pitch_factor);
    if (!(plan->rise_factor >= 0.8 && plan->rise_factor <= 1.5))
        return cw_refuse(error, NULL, "0.8 to 1.5", "A layer rise of %.3g times the wire cannot be.",
                         plan->rise_factor);
    if (!(plan->packing >= 0.1 && plan->packing <= 0.9069))
        return cw_refuse(error, NULL, "0.1 to 0.9069, which is round wire lying hexagonally",
                         "A packing of %.3g cannot be.", plan->packing);
    if (!(plan->bulge >= 0 && plan->bulge <= 1))
        return cw_refuse(error, NULL, "0 to 1", "A bulge of %.3g times the build cannot be.", plan->bulge);
    if (!(plan->insulation_m >= 0 && plan->insulation_m < 0.01))
        return cw_refuse(error, NULL, "0 to 10 mm", "Insulation of %.4g mm between layers cannot be laid.",
                         1e3 * plan->insulation_m);
    if (plan->insulation_every < 0)
        return cw_refuse(error, NULL, "1 for a sheet over each layer, 2 for each second, 0 for none",
                         "Insulation every %d layers cannot be laid.", plan->insulation_every);
    if (!(plan->voltage_v >= 0 && plan->voltage_v < 1e6))
        return cw_refuse(error, NULL, "0 to 1 MV, without a sign", "A voltage of %.4g V across the coil cannot be.",
                         plan->voltage_v);
    return check_room(plan, error);
}

/* A helix that lies half a turn against the flange and then travels n - 1/2 pitches, spread to fill the length. */
static void level_pattern(const cw_lay_plan *plan, pattern *p)
{
    const double free_m = cw_winding_clear_length(plan) - p->width_m;
    const double least_pitch = plan->pitch_factor * p->width_m;
    const long turns = (long)floor(free_m / least_pitch + 0.5 + 1e-9);

    p->odd = p->even = turns < 1 ? 1 : turns;
    p->pitch_m = turns < 1 ? least_pitch : free_m / ((double)turns - 0.5);
    p->odd_start_m = p->even_start_m = 0.5 * p->width_m;
    p->rise_m = plan->rise_factor * plan->wire.overall_diameter_m.nominal;
    p->flange_turns = turns < 1 ? 1.0 : 0.5; /* no room to travel: the turn lies still */
}

/* Every layer in the grooves of the one below: n and n - 1 turns, or n and n where half a wire is left over
 * [winding: §2.2]. All strands lie evenly, a strand pitch s apart, and each layer is half of s beside the one below,
 * however many strands make a turn. Two wires s apart hold a third sqrt(D^2 - s^2/4) above them; beyond 1.2 D the wires
 * below would give way, and no deeper groove is counted on (common practice, no source). */
static void nested_pattern(const cw_lay_plan *plan, pattern *p)
{
    const double overall = plan->wire.overall_diameter_m.nominal, length = cw_winding_clear_length(plan);
    const long turns = (long)floor(length / p->width_m + 1e-9);
    const bool equal = length - (double)turns * p->width_m >= 0.5 * overall * (1 - 1e-9);
    const double spaces = (double)turns * plan->in_hand - (equal ? 0.5 : 1.0);
    const double strand_pitch = spaces > 0 ? (length - overall) / spaces : overall;
    const bool grooves = equal || turns > 1; /* else the turns stack one on the other */

    p->odd = turns;
    p->even = equal || turns < 2 ? turns : turns - 1;
    p->pitch_m = plan->in_hand * strand_pitch;
    p->odd_start_m = 0.5 * overall + 0.5 * (plan->in_hand - 1) * strand_pitch;
    /* with equal layers the first ends half a strand pitch before the flange, and the second begins at it */
    p->even_start_m = p->odd_start_m + (equal || !grooves ? 0.0 : 0.5 * strand_pitch);
    p->rise_m = grooves ? sqrt(overall * overall - 0.25 * pow(fmin(strand_pitch, 1.2 * overall), 2)) : overall;
    p->flange_turns = 1.0;
}

/* No order: a layer of the table is one pass of the guide, and takes the height that its share of the section needs. */
static void random_pattern(const cw_lay_plan *plan, pattern *p)
{
    const double overall = plan->wire.overall_diameter_m.nominal;
    const double turn_section = plan->in_hand * 0.25 * 3.14159265358979323846 * overall * overall / plan->packing;

    level_pattern(plan, p);
    p->rise_m = (double)p->odd * turn_section / cw_winding_clear_length(plan);
}

static pattern make_pattern(const cw_lay_plan *plan)
{
    pattern p = { .width_m = plan->in_hand * plan->wire.overall_diameter_m.nominal };

    switch (plan->lay) {
    case CW_NESTED:
        nested_pattern(plan, &p);
        break;
    case CW_RANDOM:
        random_pattern(plan, &p);
        break;
    case CW_LEVEL:
    case CW_LAY_COUNT:
        level_pattern(plan, &p);
        break;
    }
    return p;
}

static size_t count_layers(const pattern *p, long turns)
{
    const long pair = p->odd + p->even;
    const long rest = turns % pair;

    return (size_t)(2 * (turns / pair)) + (rest > p->odd ? 2 : rest > 0 ? 1 : 0);
}

/* Height of the wire centre above the former; in a random winding the middle of the pass. */
static double first_height(const cw_lay_plan *plan, const pattern *p)
{
    return 0.5 * (plan->lay == CW_RANDOM ? p->rise_m : plan->wire.overall_diameter_m.nominal);
}

/* Centre of the bundle at the flange that a layer begins at. */
static double place_start(const cw_lay_plan *plan, bool from_far, double from_flange_m)
{
    if (from_far)
        return plan->window.length_m - plan->margin_end_m - from_flange_m;
    return plan->margin_start_m + plan->sleeve_m + from_flange_m;
}

/* A sheet goes on every so many layers, and over a layer that a lead comes out of; over the last goes the outer wrap. */
static bool has_sheet(const cw_lay_plan *plan, size_t index, long before, long turns)
{
    if (!(plan->insulation_m > 0) || before + turns == plan->turns)
        return false;
    return (plan->insulation_every > 0 && (index + 1) % (size_t)plan->insulation_every == 0) ||
           cw_winding__has_tap(plan, before + 1, before + turns);
}

/* left  turns that are still to be laid, this layer's included */
static void lay_layer(const cw_lay_plan *plan, const pattern *p, size_t index, long left, const cw_layer *below,
                      cw_layer *layer)
{
    const double overall = plan->wire.overall_diameter_m.nominal;
    const double volts_per_turn = plan->voltage_v / (double)plan->turns;
    const bool even = index % 2 == 1, back = even != plan->from_far;
    const long full = even ? p->even : p->odd, turns = left < full ? left : full;
    const double from_flange = even ? p->even_start_m : p->odd_start_m;
    double turn;

    layer->turns = turns;
    layer->direction = back ? -1 : 1;
    layer->pitch_m = p->pitch_m;
    layer->start_m = place_start(plan, back, from_flange);
    layer->end_m = layer->start_m + layer->direction * ((double)turns - p->flange_turns) * p->pitch_m;
    if (below == NULL)
        layer->height_m = plan->base_m + first_height(plan, p);
    else if (below->insulation_after) /* a sheet makes a flat base: no groove to sink into */
        layer->height_m = below->height_m + plan->insulation_m + (plan->lay == CW_RANDOM ? p->rise_m : overall);
    else
        layer->height_m = below->height_m + p->rise_m;
    layer->insulation_after = has_sheet(plan, index, plan->turns - left, turns);
    layer->top_m = layer->height_m + first_height(plan, p) + (layer->insulation_after ? plan->insulation_m : 0);
    turn = cw_winding__bulged_turn_length(&plan->window, layer->height_m, plan->bulge);
    layer->diameter_m = plan->window.shape == CW_ROUND ? plan->window.inner_m[0] + 2 * layer->height_m
                                                       : turn / 3.14159265358979323846;
    layer->length_m = (double)turns * hypot(turn, p->pitch_m);
    layer->resistance_ohm = layer->length_m * plan->wire.resistance_ohm_per_m.nominal / plan->in_hand;
    layer->mass_kg = layer->length_m * plan->wire.mass_kg_per_m * plan->in_hand;
    layer->turns_total = turns + (below != NULL ? below->turns_total : 0);
    layer->length_total_m = layer->length_m + (below != NULL ? below->length_total_m : 0);
    layer->mass_total_kg = layer->mass_kg + (below != NULL ? below->mass_total_kg : 0);
    layer->voltage_to_below_v = below != NULL ? volts_per_turn * (double)(turns + below->turns) : 0;
}

static void add_up(const cw_lay_plan *plan, const pattern *p, cw_winding *winding)
{
    const cw_layer *last = &winding->layers[winding->layer_count - 1];
    const cw_band *ohms = &plan->wire.resistance_ohm_per_m;
    const double bare = plan->wire.size.diameter_m.nominal, overall = plan->wire.overall_diameter_m.nominal;
    const double window_section = plan->window.length_m * plan->window.depth_m;
    const double sections = 0.25 * 3.14159265358979323846 * (double)plan->turns * plan->in_hand / window_section;
    double share = 1, top_m;

    winding->turns = last->turns_total;
    winding->turns_per_layer = p->odd;
    winding->pitch_m = p->pitch_m;
    if (plan->lay == CW_RANDOM) /* a part of a pass takes a part of its height */
        share = (double)last->turns / (double)p->odd;
    top_m = last->top_m - (1 - share) * p->rise_m;
    winding->depth_m = top_m + cw_window_bulge(&plan->window, top_m, plan->bulge);
    winding->length_m = last->length_total_m;
    winding->wire_length_m = winding->length_m * plan->in_hand;
    winding->mean_turn_m = winding->length_m / (double)winding->turns;
    winding->resistance_band_ohm.min = winding->length_m * ohms->min / plan->in_hand;
    winding->resistance_band_ohm.nominal = winding->length_m * ohms->nominal / plan->in_hand;
    winding->resistance_band_ohm.max = winding->length_m * ohms->max / plan->in_hand;
    winding->resistance_20c_ohm = winding->resistance_band_ohm.nominal;
    winding->mass_kg = last->mass_total_kg;
    winding->bare_mass_kg = winding->wire_length_m * plan->wire.bare_mass_kg_per_m;
    winding->fill = sections * bare * bare;
    winding->covered_fill = sections * overall * overall;
    winding->spare_m = plan->window.depth_m - winding->depth_m - plan->wrap_m;
    winding->fits = winding->spare_m >= 0;
}

static void add_dangers(const cw_lay_plan *plan, cw_winding *winding)
{
    const double overall = plan->wire.overall_diameter_m.nominal;

    winding->crossover_m = winding->depth_m;
    if (plan->lay == CW_NESTED)
        winding->crossover_m = plan->base_m + (double)winding->layer_count * overall;
    for (size_t i = 0; i + 1 < winding->layer_count && plan->lay == CW_NESTED; i++)
        winding->crossover_m += winding->layers[i].insulation_after ? plan->insulation_m : 0;
    for (size_t i = 0; i < winding->layer_count; i++)
        winding->greatest_layer_voltage_v = fmax(winding->greatest_layer_voltage_v,
                                                 winding->layers[i].voltage_to_below_v);
    if (plan->lay == CW_RANDOM) /* any turn may touch any other [winding: §2.3] */
        winding->greatest_layer_voltage_v = plan->voltage_v;
}

cw_status cw_winding_lay(const cw_lay_plan *wish, cw_winding **winding, cw_error *error)
{
    cw_lay_plan plan = *wish;
    cw_winding *made;
    cw_status status;
    pattern p;
    long left;

    *winding = NULL;
    cw_winding_defaults(&plan);
    status = check_plan(&plan, error);
    if (status != CW_OK)
        return status;
    p = make_pattern(&plan);
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    made->plan = plan;
    made->layer_count = count_layers(&p, plan.turns);
    if (made->layer_count > CW_WINDING__MOST_LAYERS) {
        status = cw_refuse(error, NULL, NULL,
                           "%ld turns at %ld a layer make %zu layers, more than any coil has. Is the window's length "
                           "or the number of turns mistyped?", plan.turns, p.odd, made->layer_count);
        cw_winding_destroy(&made);
        return status;
    }
    made->layers = cw_allocate(made->layer_count, sizeof *made->layers);
    if (made->layers == NULL) {
        cw_winding_destroy(&made);
        return cw_no_memory(error);
    }
    left = plan.turns;
    for (size_t i = 0; i < made->layer_count; i++) {
        lay_layer(&plan, &p, i, left, i > 0 ? &made->layers[i - 1] : NULL, &made->layers[i]);
        left -= made->layers[i].turns;
    }
    add_up(&plan, &p, made);
    add_dangers(&plan, made);
    cw_winding__place_taps(made);
    *winding = made;
    return CW_OK;
}

void cw_winding_destroy(cw_winding **winding)
{
    if (*winding != NULL)
        cw_free((*winding)->layers);
    cw_free(*winding);
    *winding = NULL;
}
