/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "heat/heat_json.h"

#include <math.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *parts_json(const cw_heat_part_result *part, int count)
{
    json_t *list = json_array();

    for (int p = 0; p < count && list != NULL; p++) {
        json_t *row;

        if (isnan(part[p].most_c))
            continue;
        row = json_pack("{s:s, s:o, s:o, s:o, s:o}", "name", part[p].name, "greatest_c", number(part[p].most_c),
                        "mean_c", number(part[p].mean_c), "limit_c", number(part[p].limit_c), "margin_k",
                        number(part[p].margin_k));
        if (json_array_append_new(list, row) != 0) {
            json_decref(list);
            return NULL;
        }
    }
    return list;
}

static json_t *curve_json(const cw_heat_run *run)
{
    json_t *list = json_array();

    for (size_t i = 0; run != NULL && i < run->count && list != NULL; i++) {
        const cw_heat_point *p = &run->curve[i];
        json_t *point = json_pack("{s:o, s:o, s:o, s:o, s:o}", "time_s", number(p->time_s), "hot_spot_c",
                                  number(p->hot_spot_c), "mean_winding_c", number(p->mean_winding_c), "surface_c",
                                  number(p->surface_c), "power_w", number(p->power_w));

        if (json_array_append_new(list, point) != 0) {
            json_decref(list);
            return NULL;
        }
    }
    return list;
}

static json_t *duty_json(const cw_heat_run *duty)
{
    if (duty == NULL)
        return json_null();
    return json_pack("{s:o, s:o, s:o, s:i, s:b, s:b}", "peak_hot_spot_c", number(duty->peak_hot_spot_c),
                     "peak_mean_winding_c", number(duty->peak_mean_winding_c), "trough_hot_spot_c",
                     number(duty->trough_hot_spot_c), "cycles", duty->cycles, "settled", duty->settled, "runs_away",
                     duty->runs_away);
}

json_t *cw_heat_json(const cw_heat_result *steady, double thermal_class_c, const cw_heat_run *warm_up,
                     const cw_heat_run *duty)
{
    double hot = duty != NULL ? duty->peak_hot_spot_c : steady->hot_spot_c;
    double life = cw_heat_life_ratio(thermal_class_c, hot, CW_HALVING_K);
    const cw_heat_part_result *part = duty != NULL ? duty->part : steady->part;
    const int count = duty != NULL ? duty->part_count : steady->part_count;
    const int tightest = duty != NULL ? duty->tightest : steady->tightest;
    const int longest = warm_up != NULL ? warm_up->longest_part : -1;

    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o, "
                     "s:o, s:o}",
                     "hot_spot_c", number(hot),
                     "hot_spot_continuous_c", number(steady->hot_spot_c),
                     "hot_spot_doubt_k", number(steady->hot_spot_doubt_k),
                     "mean_winding_c", number(duty != NULL ? duty->peak_mean_winding_c : steady->mean_winding_c),
                     "surface_c", number(duty != NULL ? duty->surface_c : steady->surface_c),
                     "surface_continuous_c", number(steady->surface_c),
                     "resistance_hot_ohm", number(steady->resistance_hot_ohm),
                     "current_a", number(steady->current_a),
                     "power_w", number(steady->power_w),
                     "thermal_class", number(thermal_class_c),
                     "margin_k", number(isnan(thermal_class_c) ? steady->margin_k : thermal_class_c - hot),
                     "tightest_part", tightest >= 0 ? json_string(part[tightest].name) : json_null(),
                     "time_constant_s", number(warm_up != NULL ? warm_up->time_constant_s : NAN),
                     "longest_on_s", number(warm_up != NULL ? warm_up->longest_on_s : NAN),
                     "longest_on_part", longest >= 0 ? json_string(warm_up->part[longest].name) : json_null(),
                     "runs_away", steady->runs_away,
                     "life_of_class_ratio", number(life),
                     "energy_error", number(steady->energy_error),
                     "parts", parts_json(part, count),
                     "parts_continuous", parts_json(steady->part, steady->part_count),
                     "duty", duty_json(duty),
                     "curve", curve_json(duty != NULL ? duty : warm_up));
}
