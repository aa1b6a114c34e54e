/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two windings on each other, seen as one with a second wire. */
#include "winding/winding_internal.h"

#include <math.h>
#include <string.h>

const cw_wire *cw_winding_wire(const cw_winding *winding, size_t layer)
{
    return winding->second_layer > 0 && layer >= winding->second_layer ? &winding->second_wire : &winding->plan.wire;
}

static cw_status check(const cw_coil *coil, cw_error *error)
{
    const cw_winding *lower = coil->parts[0];
    const cw_layer *last = &lower->layers[lower->layer_count - 1];

    if (coil->part_count > 2 || coil->start_m[coil->part_count - 1] > 0)
        return cw_refuse(error, NULL, "one part, or two on each other", "A coil of %zu parts cannot be wound as one.",
                         coil->part_count);
    if (coil->part_count == 1)
        return CW_OK;
    if (lower->plan.in_hand > 1 || coil->parts[1]->plan.in_hand > 1)
        return cw_refuse(error, NULL, "one strand of each", "Two windings of several strands cannot be wound as one.");
    if (lower->plan.lay == CW_RANDOM || last->direction == coil->parts[1]->layers[0].direction)
        return cw_refuse(error, NULL, "layers", "Two windings in no order cannot be wound as one.");
    if (last->turns + (lower->plan.lay == CW_NESTED) < lower->turns_per_layer) /* every other nested layer lacks one */
        return cw_refuse(error, NULL, "a full last layer below", "The lower winding ends within its layer %zu.",
                         lower->layer_count);
    return CW_OK;
}

static void append(cw_winding *whole, const cw_winding *upper, double between_voltage_v)
{
    const cw_layer *below = &whole->layers[whole->layer_count - 1];

    for (size_t i = 0; i < upper->layer_count; i++) {
        cw_layer *layer = &whole->layers[whole->layer_count + i];

        *layer = upper->layers[i];
        layer->turns_total += below->turns_total;
        layer->length_total_m += below->length_total_m;
        layer->mass_total_kg += below->mass_total_kg;
        if (i == 0)
            layer->voltage_to_below_v = between_voltage_v;
    }
    whole->layer_count += upper->layer_count;
}

static void add_up(const cw_coil *coil, cw_winding *whole)
{
    const cw_winding *upper = coil->parts[1];

    whole->plan.turns = whole->turns = coil->turns;
    whole->plan.voltage_v += upper->plan.voltage_v;
    whole->plan.wrap_m = upper->plan.wrap_m;
    whole->depth_m = coil->depth_m;
    whole->spare_m = coil->spare_m;
    whole->fits = coil->fits;
    whole->length_m = whole->wire_length_m = coil->length_m;
    whole->mean_turn_m = coil->length_m / (double)coil->turns;
    whole->resistance_20c_ohm = coil->resistance_20c_ohm;
    whole->resistance_band_ohm = coil->resistance_band_ohm;
    whole->mass_kg = coil->mass_kg;
    whole->bare_mass_kg += upper->bare_mass_kg;
    whole->fill += upper->fill;
    whole->covered_fill += upper->covered_fill;
    whole->crossover_m = fmax(whole->crossover_m, upper->crossover_m);
    whole->greatest_layer_voltage_v =
        fmax(coil->between_voltage_v, fmax(whole->greatest_layer_voltage_v, upper->greatest_layer_voltage_v));
}

cw_status cw_coil_join(const cw_coil *coil, cw_winding **winding, cw_error *error)
{
    const cw_winding *lower = coil->parts[0];
    cw_winding *made;
    cw_status status;

    *winding = NULL;
    status = check(coil, error);
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    *made = *lower;
    made->layers = cw_allocate(lower->layer_count + (coil->part_count > 1 ? coil->parts[1]->layer_count : 0),
                               sizeof *made->layers);
    if (made->layers == NULL) {
        cw_winding_destroy(&made);
        return cw_no_memory(error);
    }
    memcpy(made->layers, lower->layers, lower->layer_count * sizeof *made->layers);
    if (coil->part_count > 1) {
        made->second_layer = lower->layer_count;
        made->second_wire = coil->parts[1]->plan.wire;
        made->layers[lower->layer_count - 1].insulation_after = true;
        append(made, coil->parts[1], coil->between_voltage_v);
        add_up(coil, made);
    }
    *winding = made;
    return CW_OK;
}
