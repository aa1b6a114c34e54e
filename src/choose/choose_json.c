/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "choose/choose_json.h"

#include <math.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *reasons_json(const cw_choice_option *option)
{
    json_t *list = json_array();

    for (size_t i = 0; i < option->reason_count && list != NULL; i++)
        if (json_array_append_new(list, json_string(option->reasons[i])) != 0) {
            json_decref(list);
            return NULL;
        }
    return list;
}

static json_t *missed_json(unsigned missed)
{
    static const char *names[] = { "fits", "cool", "resistance", "ampere_turns", "handled" };
    json_t *list = json_array();

    for (size_t i = 0; i < sizeof names / sizeof names[0] && list != NULL; i++)
        if ((missed >> i & 1u) != 0 && json_array_append_new(list, json_string(names[i])) != 0) {
            json_decref(list);
            return NULL;
        }
    return list;
}

/* The upper winding of a coil of two sizes. */
static json_t *second_json(const cw_choice_option *option)
{
    if (!option->two_sizes)
        return json_null();
    return json_pack("{s:s, s:s, s:s, s:I}", "size", option->second_wire.size.name, "build",
                     cw_build_name(option->second_wire.build), "material",
                     cw_material_name(option->second_wire.material), "turns", (json_int_t)option->second_turns);
}

static json_t *option_json(const cw_choice_option *option)
{
    return json_pack("{s:s, s:s, s:s, s:s, s:i, s:I, s:I, s:f, s:f, s:f, s:f, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, "
                     "s:f, s:f, s:f, s:f, s:f, s:b, s:b, s:i, s:o, s:f, s:o, s:I, s:o, s:o, s:f, s:o, s:o, s:o, "
                     "s:b, s:o, s:i}",
                     "id", option->id,
                     "size", option->wire.size.name,
                     "build", cw_build_name(option->wire.build),
                     "material", cw_material_name(option->wire.material),
                     "in_hand", option->in_hand,
                     "turns", (json_int_t)option->turns,
                     "layers", (json_int_t)option->layers,
                     "depth_m", option->depth_m,
                     "spare_m", option->spare_m,
                     "fits_probability", option->fits_probability,
                     "resistance_20c_ohm", option->resistance_20c_ohm,
                     "resistance_in_tolerance_probability", number(option->resistance_in_tolerance_probability),
                     "ampere_turns", number(option->ampere_turns),
                     "ampere_turns_ratio", number(option->ampere_turns_ratio),
                     "current_a", number(option->current_a),
                     "cold_current_a", number(option->cold_current_a),
                     "power_w", number(option->power_w),
                     "mean_winding_c", number(option->mean_winding_c),
                     "hot_spot_c", number(option->hot_spot_c),
                     "limit_c", option->limit_c,
                     "length_m", option->length_m,
                     "mass_kg", option->mass_kg,
                     "wire_length_m", option->wire_length_m,
                     "wire_mass_kg", option->wire_mass_kg,
                     "on_shelf", (int)option->on_shelf,
                     "from_stock", (int)option->from_stock,
                     "joints", option->joints,
                     "cost", number(option->cost),
                     "score", option->score,
                     "missed", missed_json(option->missed),
                     "drawbacks", (json_int_t)option->drawbacks,
                     "reasons", reasons_json(option),
                     "layer_voltage_v", number(option->layer_voltage_v),
                     "layer_voltage_limit_v", option->layer_voltage_limit_v,
                     "volts_per_turn", number(option->volts_per_turn),
                     "flux_density_t", number(option->flux_density_t),
                     "share", number(option->share),
                     "pareto", (int)option->pareto,
                     "second", second_json(option),
                     "sections", option->sections);
}

static json_t *room_json(const cw_choice_room *room)
{
    if (!room->known)
        return json_null();
    return json_pack("{s:s, s:s, s:s, s:i, s:I, s:f}", "size", room->wire.size.name, "build",
                     cw_build_name(room->wire.build), "material", cw_material_name(room->wire.material), "in_hand",
                     room->in_hand, "turns", (json_int_t)room->turns, "missing_depth_m", room->depth_m);
}

/* What the user's own choice changes; null where there is nothing beside it. */
static json_t *changes_json(const cw_choice *choice, const cw_choice *before)
{
    cw_choice_change changes[CW_CHANGES_MOST];
    const size_t count = before != NULL && before->option_count > 0 && choice->option_count > 0
                             ? cw_choice_changes(&before->options[0], &choice->options[0], choice->units, changes) : 0;
    json_t *list = json_array();

    for (size_t i = 0; i < count && list != NULL; i++)
        if (json_array_append_new(list, json_pack("{s:s, s:s, s:s, s:s}", "what", changes[i].what, "before",
                                                  changes[i].before, "after", changes[i].after, "text",
                                                  changes[i].text)) != 0) {
            json_decref(list);
            return NULL;
        }
    return list;
}

json_t *cw_choice_json(const cw_choice *choice, const cw_choice *before)
{
    json_t *options = json_array();

    for (size_t i = 0; i < choice->option_count && options != NULL; i++)
        if (json_array_append_new(options, option_json(&choice->options[i])) != 0) {
            json_decref(options);
            return NULL;
        }
    return json_pack("{s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:f, s:f, s:I, s:b, "
                     "s:b, s:o, s:o}",
                     "chosen", choice->chosen != NULL ? json_string(choice->chosen->id) : json_null(),
                     "options", options,
                     "summary", choice->summary,
                     "wanted_resistance_20c_ohm", number(choice->wanted_resistance_20c_ohm),
                     "tolerance", number(choice->tolerance),
                     "wanted_turns", number(choice->wanted_turns),
                     "least_ampere_turns", number(choice->least_ampere_turns),
                     "original_ampere_turns", number(choice->original_ampere_turns),
                     "original_power_w", number(choice->original_power_w),
                     "original_hot_spot_c", number(choice->original_hot_spot_c),
                     "coil_voltage_v", number(choice->coil_voltage_v),
                     "original_coil_voltage_v", number(choice->original_coil_voltage_v),
                     "original_resistance_20c_ohm", number(choice->original_resistance_20c_ohm),
                     "original_turns", number(choice->original_turns),
                     "room", room_json(&choice->room),
                     "margin", CW_CHOICE_MARGIN,
                     "margin_ends_m", CW_CHOICE_ENDS_M,
                     "wires_tried", (json_int_t)choice->wires_tried,
                     "own", (int)choice->own,
                     "in_magnet", (int)choice->in_magnet,
                     "instead_of", before != NULL && before->option_count > 0 ? json_string(before->options[0].id)
                                                                              : json_null(),
                     "changes", changes_json(choice, before));
}
