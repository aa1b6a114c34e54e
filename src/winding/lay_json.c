/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "winding/lay_json.h"

#include <stdio.h>

static json_t *layer_json(const cw_winding *w, size_t index)
{
    const cw_layer *layer = &w->layers[index];

    return json_pack("{s:i, s:s, s:I, s:i, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:I, s:f, s:b}",
                     "index", (int)index + 1,
                     "size", cw_winding_wire(w, index)->size.name,
                     "turns", (json_int_t)layer->turns,
                     "direction", layer->direction,
                     "start_m", layer->start_m,
                     "end_m", layer->end_m,
                     "pitch_m", layer->pitch_m,
                     "diameter_m", layer->diameter_m,
                     "length_m", layer->length_m,
                     "resistance_20c_ohm", layer->resistance_ohm,
                     "mass_kg", layer->mass_kg,
                     "mass_total_kg", layer->mass_total_kg,
                     "turns_total", (json_int_t)layer->turns_total,
                     "voltage_to_below_v", layer->voltage_to_below_v,
                     "insulation_after", layer->insulation_after);
}

/* The wire that lies on the first, from a layer on; null where there is none. */
static json_t *second_json(const cw_winding *w)
{
    if (w->second_layer == 0)
        return json_null();
    return json_pack("{s:s, s:s, s:s, s:I}", "size", w->second_wire.size.name, "build",
                     cw_build_name(w->second_wire.build), "material", cw_material_name(w->second_wire.material),
                     "first_layer", (json_int_t)w->second_layer + 1);
}

static json_t *sections_json(const cw_winding *w)
{
    json_t *list = json_array();

    for (size_t i = 0; i < w->section_count && list != NULL; i++)
        json_array_append_new(list, json_pack("{s:I, s:f, s:f}", "first_layer", (json_int_t)w->section_layer[i] + 1,
                                              "start_m", w->section_start_m[i], "length_m", w->section_length_m));
    return list;
}

static json_t *taps_json(const cw_winding *w)
{
    json_t *list = json_array();

    for (size_t i = 0; i < w->tap_count && list != NULL; i++)
        json_array_append_new(list, json_pack("{s:I, s:I, s:f, s:f, s:f, s:f}", "turns", (json_int_t)w->taps[i].turns,
                                              "layer", (json_int_t)w->taps[i].layer + 1, "at_m", w->taps[i].at_m,
                                              "height_m", w->taps[i].height_m, "length_m", w->taps[i].length_m,
                                              "resistance_20c_ohm", w->taps[i].resistance_ohm));
    return list;
}

json_t *cw_winding_json(const cw_winding *w)
{
    json_t *layers = json_array();

    for (size_t i = 0; i < w->layer_count; i++)
        json_array_append_new(layers, layer_json(w, i));
    return json_pack("{s:s, s:s, s:s, s:i, s:s, s:I, s:I, s:f, s:o, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:b, "
                     "s:o, s:o, s:o}",
                     "size", w->plan.wire.size.name,
                     "build", cw_build_name(w->plan.wire.build),
                     "material", cw_material_name(w->plan.wire.material),
                     "in_hand", w->plan.in_hand,
                     "lay", cw_lay_name(w->plan.lay),
                     "turns", (json_int_t)w->turns,
                     "turns_per_layer", (json_int_t)w->turns_per_layer,
                     "pitch_m", w->pitch_m,
                     "layers", layers,
                     "length_m", w->length_m,
                     "wire_length_m", w->wire_length_m,
                     "mean_turn_m", w->mean_turn_m,
                     "resistance_20c_ohm", w->resistance_20c_ohm,
                     "resistance_20c_min_ohm", w->resistance_band_ohm.min,
                     "resistance_20c_max_ohm", w->resistance_band_ohm.max,
                     "mass_kg", w->mass_kg,
                     "fill", w->fill,
                     "depth_m", w->depth_m,
                     "spare_m", w->spare_m,
                     "fits", w->fits,
                     "second", second_json(w),
                     "taps", taps_json(w),
                     "sections", sections_json(w));
}

static void add(cw_text *text, const char *before, cw_kind kind, double value, cw_unit_system units, int digits,
                const char *after)
{
    char number[64];

    cw_quantity_format(kind, value, units, digits, number, sizeof number);
    cw_text_print(text, "%s%s%s", before, number, after);
}

void cw_winding_text(const cw_winding *w, cw_unit_system units, cw_text *text)
{
    const char *unit = units == CW_INCH_UNITS ? "in" : "mm";
    const int decimals = units == CW_INCH_UNITS ? 4 : 3;
    const bool volts = w->plan.voltage_v > 0 && w->plan.lay != CW_RANDOM;

    cw_text_print(text, "%s %s %s%s%s%s, %ld turns in %zu layers, %s lay\n", w->plan.wire.size.name,
                  cw_build_trade_name(w->plan.wire.size.system, w->plan.wire.build),
                  cw_material_name(w->plan.wire.material), w->plan.in_hand > 1 ? " (strands in hand)" : "",
                  w->second_layer > 0 ? " and on it " : "", w->second_layer > 0 ? w->second_wire.size.name : "", w->turns,
                  w->layer_count, cw_lay_name(w->plan.lay));
    add(text, "  resistance at 20 °C ", CW_RESISTANCE, w->resistance_20c_ohm, units, 4, "");
    add(text, ", by the wire's tolerance ", CW_RESISTANCE, w->resistance_band_ohm.min, units, 4, "");
    add(text, " to ", CW_RESISTANCE, w->resistance_band_ohm.max, units, 4, "\n");
    add(text, "  wire ", CW_LENGTH, w->wire_length_m, units, 4, "");
    add(text, ", ", CW_MASS, w->mass_kg, units, 3, "");
    add(text, ", mean turn ", CW_LENGTH, w->mean_turn_m, units, 4, "\n");
    add(text, "  depth ", CW_LENGTH, w->depth_m, units, 3, "");
    add(text, w->fits ? ", fits with " : ", too deep by ", CW_LENGTH, w->fits ? w->spare_m : -w->spare_m, units, 3,
        w->fits ? " to spare" : "");
    cw_text_print(text, ", %.0f %% of the window is conductor\n\n", 100 * w->fill);
    for (size_t i = 0; i < w->tap_count; i++) {
        cw_text_print(text, "  tap after %ld turns, in layer %zu", w->taps[i].turns, w->taps[i].layer + 1);
        add(text, ": ", CW_RESISTANCE, w->taps[i].resistance_ohm, units, 4, " from the start\n");
    }
    cw_text_add(text, w->tap_count > 0 ? "\n" : "");
    cw_text_print(text, "  layer  way    turns  total    pitch, %s  diameter, %s   length        at 20 °C      "
                  "wire so far%s\n", unit, unit, volts ? "  to below" : "");
    for (size_t i = 0; i < w->layer_count; i++) {
        const cw_layer *layer = &w->layers[i];
        char pitch[32], diameter[32], length[32], ohm[32], mass[32], below[40] = "";

        cw_quantity_format_in(CW_LENGTH, layer->pitch_m, unit, decimals, pitch, sizeof pitch);
        cw_quantity_format_in(CW_LENGTH, layer->diameter_m, unit, decimals - 1, diameter, sizeof diameter);
        cw_quantity_format(CW_LENGTH, layer->length_m, units, 4, length, sizeof length);
        cw_quantity_format(CW_RESISTANCE, layer->resistance_ohm, units, 4, ohm, sizeof ohm);
        cw_quantity_format(CW_MASS, layer->mass_total_kg, units, 3, mass, sizeof mass);
        if (volts && i > 0)
            snprintf(below, sizeof below, "%8.1f V", layer->voltage_to_below_v);
        if (i > 0 && cw_winding_section_behind(w, i - 1) > 0)
            cw_text_print(text, "  section %zu, the wire carried over its partition\n", cw_winding_section_behind(w, i - 1));
        if (w->second_layer > 0 && i == w->second_layer)
            cw_text_print(text, "  join %s %s on here, over a sheet\n", w->second_wire.size.name,
                          cw_build_trade_name(w->second_wire.size.system, w->second_wire.build));
        cw_text_print(text, "  %5zu  %-5s %6ld %6ld %12s %12s %12s %14s %14s%s%s\n", i + 1,
                      layer->direction > 0 ? "away" : "back",
                      layer->turns, layer->turns_total, pitch, diameter, length, ohm, mass, below,
                      layer->insulation_after && i + 1 != w->second_layer ? "  then a sheet" : "");
    }
}
