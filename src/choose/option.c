/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A wire and its turns, laid and worked out in full. */
#include "choose/choose_internal.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* Words joined by hyphens, in lower case: "29-awg-heavy-x1-1850", "0.250-mm-grade-2-x2-1200". */
static void make_id(cw_choice_option *option)
{
    const bool aluminium = option->wire.material == CW_ALUMINIUM;

    snprintf(option->id, sizeof option->id, "%s %s%s x%d %ld", option->wire.size.name,
             cw_build_trade_name(option->wire.size.system, option->wire.build), aluminium ? " aluminium" : "",
             option->in_hand, option->turns);
    for (char *c = option->id; *c != '\0'; c++)
        *c = *c == ' ' || *c == '/' ? '-' : (char)tolower((unsigned char)*c);
}

static void fill_electric(const cw_choose__problem *problem, cw_choice_option *option)
{
    const cw_choose__heat *heat = &problem->heat;
    const cw_conductor *conductor = cw_wire_conductor(problem->catalogue, option->wire.material);
    const double ohm = option->resistance_20c_ohm;
    const double at = cw_choose__ampere_turns(problem, &option->wire, option->turns, ohm);

    option->ampere_turns_ratio = at / problem->original_at;
    option->ampere_turns = heat->known ? at : NAN;
    option->current_a = option->cold_current_a = option->power_w = NAN;
    option->mean_winding_c = NAN;
    option->hot_spot_c = cw_choose__hot_spot(problem, &option->wire, ohm);
    if (!heat->known)
        return;
    option->mean_winding_c = heat->ambient_c + cw_choose__mean_rise(heat, conductor, ohm, heat->voltage_v);
    option->cold_current_a = heat->voltage_v / ohm;
    option->current_a = option->cold_current_a / cw_wire_temperature_factor(conductor, option->mean_winding_c);
    option->power_w = heat->voltage_v * option->current_a;
}

static void fill_winding(const cw_choose__problem *problem, const cw_winding *winding, cw_choice_option *option)
{
    const cw_choice_doubts *doubts = &problem->request->doubts;

    option->layers = winding->layer_count;
    option->depth_m = winding->depth_m;
    option->spare_m = winding->spare_m;
    option->resistance_20c_ohm = winding->resistance_20c_ohm;
    option->length_m = winding->wire_length_m;
    option->mass_kg = winding->mass_kg;
    option->wire_length_m = cw_choose__with_margin(option->length_m, option->in_hand);
    option->wire_mass_kg = option->wire_length_m * option->wire.mass_kg_per_m;
    option->fits_probability = cw_choice_fit_probability(&option->plan, doubts);
    option->resistance_in_tolerance_probability = NAN;
    if (!isnan(problem->tolerance))
        option->resistance_in_tolerance_probability =
            cw_choice_resistance_probability(winding, doubts, problem->resistance * (1 - problem->tolerance),
                                             problem->resistance * (1 + problem->tolerance));
}

cw_status cw_choose__option_fill(const cw_choose__problem *problem, const cw_choose__case *one, long turns,
                                 double points, unsigned missed, cw_choice_option *option, cw_error *error)
{
    cw_winding *winding;
    cw_status status;

    option->wire = one->wire;
    option->in_hand = one->in_hand;
    option->turns = turns;
    option->limit_c = one->limit_c;
    option->missed = missed;
    option->score = 100 - points;
    cw_choose__plan_of(problem, one, &option->plan);
    option->plan.turns = turns;
    option->plan.voltage_v = problem->voltage_v > 0 ? problem->voltage_v : 0;
    status = cw_winding_lay(&option->plan, &winding, error);
    if (status != CW_OK)
        return status;
    make_id(option);
    fill_winding(problem, winding, option);
    fill_electric(problem, option);
    cw_choose__shelf_fill(problem, option);
    cw_choose__reasons(problem, option);
    cw_winding_destroy(&winding);
    return CW_OK;
}
