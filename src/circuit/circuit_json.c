/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "circuit/circuit_json.h"

#include <math.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *curve_json(const cw_switch_point *points, size_t count)
{
    json_t *list = json_array();

    for (size_t i = 0; i < count && list != NULL; i++) {
        json_t *point = json_pack("{s:f, s:f, s:f, s:o}", "time_s", points[i].time_s, "current_a",
                                  points[i].current_a, "voltage_v", points[i].voltage_v, "force_n",
                                  number(points[i].force_n));

        if (json_array_append_new(list, point) != 0) {
            json_decref(list);
            return NULL;
        }
    }
    return list;
}

static json_t *on_json(const cw_switch_on *on)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o}",
                     "time_to_pull_s", number(on->time_to_pull_s),
                     "needed_current_a", number(on->needed_current_a),
                     "time_to_95_s", number(on->time_to_95_s),
                     "current_a", number(on->current_a),
                     "current_rms_a", number(on->current_rms_a),
                     "current_min_a", number(on->current_min_a),
                     "current_max_a", number(on->current_max_a),
                     "ripple", number(on->ripple),
                     "force_n", number(on->force_mean_n),
                     "force_min_n", number(on->force_min_n),
                     "force_max_n", number(on->force_max_n),
                     "peak_current_a", number(on->peak_current_a),
                     "stored_j", number(on->stored_j),
                     "power_w", number(on->power_w),
                     "energy_error", number(on->energy_error),
                     "settled", on->settled,
                     "curve", curve_json(on->curve, on->count));
}

static json_t *rating_json(const cw_part_rating *r)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "voltage_v", number(r->voltage_v), "current_a",
                     number(r->current_a), "energy_j", number(r->energy_j), "power_w", number(r->power_w),
                     "resistance_ohm", number(r->resistance_ohm), "capacitance_f", number(r->capacitance_f), "text",
                     r->text);
}

static json_t *off_json(const cw_switch_off *off, bool curve)
{
    json_t *object = json_pack("{s:s, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:s}",
                               "suppressor", cw_suppressor_name(off->suppressor.kind),
                               "time_to_release_s", number(off->time_to_release_s),
                               "release_current_a", number(off->release_current_a),
                               "closes_again", off->closes_again,
                               "time_to_end_s", number(off->time_to_end_s),
                               "peak_voltage_v", number(off->peak_voltage_v),
                               "contact_voltage_v", number(off->contact_voltage_v),
                               "peak_power_w", number(off->peak_power_w),
                               "stored_j", number(off->stored_j),
                               "clamp_energy_j", number(off->clamp_energy_j),
                               "copper_energy_j", number(off->copper_energy_j),
                               "energy_error", number(off->energy_error),
                               "insulation_test_v", number(off->insulation_test_v),
                               "within_insulation", off->within_insulation,
                               "insulation_share", number(off->peak_voltage_v / off->insulation_test_v),
                               "buy", rating_json(&off->rating),
                               "drawback", cw_suppressor_drawback(off->suppressor.kind));

    if (object != NULL && curve && json_object_set_new(object, "curve", curve_json(off->curve, off->count)) != 0) {
        json_decref(object);
        return NULL;
    }
    return object;
}

static json_t *table_json(const cw_switch_study *study)
{
    json_t *list = json_array();

    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT && list != NULL; kind++)
        if (study->applies[kind] && json_array_append_new(list, off_json(&study->each[kind], false)) != 0) {
            json_decref(list);
            return NULL;
        }
    return list;
}

json_t *cw_circuit_json(const cw_switch_study *study)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "on", on_json(&study->hot), "on_cold", on_json(&study->cold),
                     "on_closed", on_json(&study->closed), "inrush_ratio", number(study->inrush_ratio), "off",
                     off_json(&study->off, true), "suppressors", table_json(study));
}
