/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "field/field_json.h"

#include <math.h>

static double total_linkage(const cw_field_result *result)
{
    double sum = 0;

    for (int c = 0; c < CW_MOST_MAGNET_COILS; c++)
        sum += result->flux_linkage_wb[c];
    return sum;
}

static json_t *finite_or_null(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *point_json(const cw_field_result *point)
{
    return json_pack("{s:f, s:f, s:f, s:f, s:f, s:f}", "gap_m", point->gap_m, "ampere_turns", point->ampere_turns,
                     "force_n", point->force_n, "flux_linkage_wb", total_linkage(point), "inductance_h",
                     point->inductance_h, "error_estimate", point->error_estimate);
}

static json_t *part_json(const cw_part_result *part)
{
    return json_pack("{s:s, s:f, s:f, s:f, s:f, s:f}", "name", part->name, "flux_wb", part->flux_wb, "density_t",
                     part->density_t, "peak_density_t", part->peak_density_t, "saturation", part->saturation,
                     "ampere_turns_share", part->share);
}

static json_t *parts_json(const cw_field_result *result)
{
    json_t *parts = json_array();

    for (size_t i = 0; i < result->part_count && parts != NULL; i++)
        if (json_array_append_new(parts, part_json(&result->part[i])) != 0) {
            json_decref(parts);
            return NULL;
        }
    return parts;
}

static json_t *curve_json(const cw_field_result *curve, size_t count)
{
    json_t *points = json_array();

    for (size_t i = 0; i < count && points != NULL; i++)
        if (json_array_append_new(points, point_json(&curve[i])) != 0) {
            json_decref(points);
            return NULL;
        }
    return points;
}

static json_t *hand_json(const cw_hand_sum *hand)
{
    if (hand == NULL)
        return json_null();
    return json_pack("{s:f, s:f, s:f, s:f}", "force_n", hand->force_n, "flux_wb", hand->flux_wb, "flux_linkage_wb",
                     hand->flux_linkage_wb, "gap_share", hand->gap_share);
}

json_t *cw_field_json(const cw_field_result *result, const cw_field_result *curve, size_t count,
                      const cw_hand_sum *hand)
{
    json_t *saturates = result->saturates_first >= 0 ? json_string(result->part[result->saturates_first].name)
                                                     : json_null();

    return json_pack("{s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:b, s:I, s:I, s:i, s:i, s:o, s:o, "
                     "s:o, s:o, s:o}",
                     "gap_m", result->gap_m, "ampere_turns", result->ampere_turns, "force_n", result->force_n,
                     "force_stress_n", result->force_stress_n, "force_difference", result->force_difference,
                     "flux_linkage_wb", total_linkage(result), "inductance_h", result->inductance_h,
                     "incremental_inductance_h", result->incremental_inductance_h, "energy_j", result->energy_j,
                     "coenergy_j", result->coenergy_j, "error_estimate", result->error_estimate,
                     "linkage_error_estimate", result->linkage_error_estimate, "wished_error_reached",
                     result->reached, "unknowns", (json_int_t)result->unknowns, "triangles",
                     (json_int_t)result->triangles, "iterations", result->iterations, "refinements",
                     result->refinements, "leakage_factor", finite_or_null(result->leakage_factor),
                     "saturates_first", saturates, "parts", parts_json(result), "curve", curve_json(curve, count),
                     "hand_sum", hand_json(hand));
}
