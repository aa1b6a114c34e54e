/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two windings on each other, seen as one with a second wire; and sections, seen as one with partitions. */
#include "winding/winding_internal.h"

#include <math.h>

const cw_wire *cw_winding_wire(const cw_winding *winding, size_t layer)
{
    return winding->second_layer > 0 && layer >= winding->second_layer ? &winding->second_wire : &winding->plan.wire;
}

size_t cw_winding_section_behind(const cw_winding *winding, size_t layer)
{
    for (size_t i = 1; i < winding->section_count; i++)
        if (layer + 1 == winding->section_layer[i])
            return i + 1;
    return 0;
}

static bool in_sections(const cw_coil *coil)
{
    return coil->start_m[coil->part_count - 1] > 0;
}

static cw_status check(const cw_coil *coil, cw_error *error)
{
    const cw_winding *lower = coil->parts[0];
    const cw_layer *last = &lower->layers[lower->layer_count - 1];

    if (coil->part_count == 1 || in_sections(coil))
        return CW_OK;
    if (coil->part_count > 2)
        return cw_refuse(error, NULL, "one part, or two on each other", "A coil of %zu parts cannot be wound as one.",
                         coil->part_count);
    if (lower->plan.in_hand > 1 || coil->parts[1]->plan.in_hand > 1)
        return cw_refuse(error, NULL, "one strand of each", "Two windings of several strands cannot be wound as one.");
    if (lower->plan.lay == CW_RANDOM || last->direction == coil->parts[1]->layers[0].direction)
        return cw_refuse(error, NULL, "layers", "Two windings in no order cannot be wound as one.");
    if (last->turns + (lower->plan.lay == CW_NESTED) < lower->turns_per_layer) /* every other nested layer lacks one */
        return cw_refuse(error, NULL, "a full last layer below", "The lower winding ends within its layer %zu.",
                         lower->layer_count);
    return CW_OK;
}

static void append(cw_winding *whole, const cw_winding *part, double start_m)
{
    const cw_layer *before = whole->layer_count > 0 ? &whole->layers[whole->layer_count - 1] : NULL;

    for (size_t i = 0; i < part->layer_count; i++) {
        cw_layer *layer = &whole->layers[whole->layer_count + i];

        *layer = part->layers[i];
        layer->start_m += start_m;
        layer->end_m += start_m;
        layer->turns_total += before != NULL ? before->turns_total : 0;
        layer->length_total_m += before != NULL ? before->length_total_m : 0;
        layer->mass_total_kg += before != NULL ? before->mass_total_kg : 0;
    }
    whole->layer_count += part->layer_count;
}

static void add_up(const cw_coil *coil, cw_winding *whole)
{
    whole->plan.turns = whole->turns = coil->turns;
    whole->plan.wrap_m = coil->parts[coil->part_count - 1]->plan.wrap_m;
    whole->depth_m = coil->depth_m;
    whole->spare_m = coil->spare_m;
    whole->fits = coil->fits;
    whole->length_m = coil->length_m;
    whole->mean_turn_m = coil->length_m / (double)coil->turns;
    whole->resistance_20c_ohm = coil->resistance_20c_ohm;
    whole->resistance_band_ohm = coil->resistance_band_ohm;
    whole->mass_kg = coil->mass_kg;
    for (size_t i = 1; i < coil->part_count; i++) {
        const cw_winding *part = coil->parts[i];

        whole->plan.voltage_v += part->plan.voltage_v;
        whole->wire_length_m += part->wire_length_m;
        whole->bare_mass_kg += part->bare_mass_kg;
        whole->fill += part->fill;
        whole->covered_fill += part->covered_fill;
        whole->crossover_m = fmax(whole->crossover_m, part->crossover_m);
        whole->greatest_layer_voltage_v = fmax(whole->greatest_layer_voltage_v, part->greatest_layer_voltage_v);
    }
}

static void mark_second_wire(const cw_coil *coil, cw_winding *whole)
{
    const size_t first = coil->parts[0]->layer_count;

    whole->second_layer = first;
    whole->second_wire = coil->parts[1]->plan.wire;
    whole->layers[first - 1].insulation_after = true;
    whole->layers[first].voltage_to_below_v = coil->between_voltage_v;
    whole->greatest_layer_voltage_v = fmax(whole->greatest_layer_voltage_v, coil->between_voltage_v);
}

/* The window becomes that of all; fills are shares of it. */
static void mark_sections(const cw_coil *coil, cw_winding *whole)
{
    const size_t last = coil->part_count - 1;
    size_t layer = 0;

    whole->section_count = coil->part_count;
    whole->section_length_m = coil->parts[0]->plan.window.length_m;
    whole->plan.window.length_m = coil->start_m[last] + whole->section_length_m;
    whole->fill *= whole->section_length_m / whole->plan.window.length_m;
    whole->covered_fill *= whole->section_length_m / whole->plan.window.length_m;
    for (size_t i = 0; i < coil->part_count; i++) {
        whole->section_start_m[i] = coil->start_m[i];
        whole->section_layer[i] = layer;
        layer += coil->parts[i]->layer_count;
    }
}

cw_status cw_coil_join(const cw_coil *coil, cw_winding **winding, cw_error *error)
{
    const cw_winding *lower = coil->parts[0];
    size_t layers = 0;
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
    made->layer_count = 0;
    for (size_t i = 0; i < coil->part_count; i++)
        layers += coil->parts[i]->layer_count;
    made->layers = cw_allocate(layers, sizeof *made->layers);
    if (made->layers == NULL) {
        cw_winding_destroy(&made);
        return cw_no_memory(error);
    }
    for (size_t i = 0; i < coil->part_count; i++)
        append(made, coil->parts[i], coil->start_m[i]);
    if (coil->part_count > 1) {
        add_up(coil, made);
        if (in_sections(coil))
            mark_sections(coil, made);
        else
            mark_second_wire(coil, made);
    }
    *winding = made;
    return CW_OK;
}
