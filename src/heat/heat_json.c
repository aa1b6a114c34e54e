/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "heat/heat_json.h"

#include <math.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *parts_json(const cw_heat_result *r)
{
    json_t *list = json_array();

    for (int p = 0; p < r->part_count && list != NULL; p++) {
        json_t *part;

        if (isnan(r->part[p].most_c))
            continue;
        part = json_pack("{s:s, s:o, s:o, s:o, s:o}", "name", r->part[p].name, "greatest_c", number(r->part[p].most_c),
                         "mean_c", number(r->part[p].mean_c), "limit_c", number(r->part[p].limit_c), "margin_k",
                         number(r->part[p].margin_k));
        if (json_array_append_new(list, part) != 0) {
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

    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o}",
                     "hot_spot_c", number(hot),
                     "hot_spot_continuous_c", number(steady->hot_spot_c),
                     "hot_spot_doubt_k", number(steady->hot_spot_doubt_k),
                     "mean_winding_c", number(duty != NULL ? duty->peak_mean_winding_c : steady->mean_winding_c),
                     "surface_c", number(steady->surface_c),
                     "resistance_hot_ohm", number(steady->resistance_hot_ohm),
                     "current_a", number(steady->current_a),
                     "power_w", number(steady->power_w),
                     "thermal_class", number(thermal_class_c),
                     "margin_k", number(isnan(thermal_class_c) ? steady->margin_k : thermal_class_c - hot),
                     "tightest_part", steady->tightest >= 0 ? json_string(steady->part[steady->tightest].name)
                                                            : json_null(),
                     "time_constant_s", number(warm_up != NULL ? warm_up->time_constant_s : NAN),
                     "longest_on_s", number(warm_up != NULL ? warm_up->longest_on_s : NAN),
                     "runs_away", steady->runs_away,
                     "life_of_class_ratio", number(life),
                     "energy_error", number(steady->energy_error),
                     "parts", parts_json(steady),
                     "duty", duty_json(duty),
                     "curve", curve_json(duty != NULL ? duty : warm_up));
}
