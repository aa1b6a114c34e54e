/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A wire and its turns, laid and worked out in full. */
#include "choose/choose_internal.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

void cw_choose__make_id(char *id)
{
    for (char *c = id; *c != '\0'; c++)
        *c = *c == ' ' || *c == '/' ? '-' : (char)tolower((unsigned char)*c);
}

/* Words joined by hyphens, in lower case: "29-awg-heavy-x1-1850", "0.250-mm-grade-2-x2-1200". */
static void name_option(cw_choice_option *option)
{
    const bool aluminium = option->wire.material == CW_ALUMINIUM;

    snprintf(option->id, sizeof option->id, "%s %s%s x%d %ld", option->wire.size.name,
             cw_build_trade_name(option->wire.size.system, option->wire.build), aluminium ? " aluminium" : "",
             option->in_hand, option->turns);
    cw_choose__make_id(option->id);
}

void cw_choose__option_electric(const cw_choose__problem *problem, cw_choice_option *option)
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

/* Beside coils that stay as the original was: voltage follows resistance, current its inverse. */
void cw_choose__option_circuit(const cw_choose__problem *problem, cw_choice_option *option)
{
    const cw_choice_request *request = problem->request;
    const cw_circuit *circuit = &request->circuit;
    const double others = request->original.resistance_20c_ohm.p50 / problem->sections;
    const double ratio = circuit->connection == CW_SERIES ? option->resistance_20c_ohm / others
                                                          : others / option->resistance_20c_ohm;

    option->share = NAN;
    if (circuit->given && circuit->coils > 1 && circuit->connection != CW_SINGLE_COIL && others > 0 && !problem->ac &&
        problem->per_volt_factor == 1)
        option->share = circuit->coils * ratio / (ratio + circuit->coils - 1);
    option->volts_per_turn = option->flux_density_t = NAN;
    if (!problem->ac || !(problem->voltage_v > 0))
        return;
    option->volts_per_turn = problem->voltage_v / (double)option->turns;
    if (request->core_section_m2 > 0 && request->supply.frequency_hz > 0) /* V = 4.44 f N B A */
        option->flux_density_t = option->volts_per_turn / (CW_CHOOSE__SINE * request->supply.frequency_hz *
                                                           request->core_section_m2);
}

/* Enamel stands about 220 V per um of increase when new; scraped turns leave a few per cent of it to count on, and
 * practice puts paper from 50 V on single and 100 V on thicker enamel; cotton and silk want it always [winding: §7]. */
void cw_choose__option_layers(const cw_choose__problem *problem, double greatest_voltage_v, cw_choice_option *option)
{
    const cw_wire *wire = &option->wire;
    const double increase = wire->overall_diameter_m.nominal - wire->size.diameter_m.nominal;

    option->layer_voltage_v = problem->voltage_v > 0 ? greatest_voltage_v : NAN;
    option->layer_voltage_limit_v = 0;
    if (wire->build <= CW_TRIPLE)
        option->layer_voltage_limit_v = fmin(wire->build == CW_SINGLE ? 50 : 100, 0.03 * 220e6 * increase);
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
    option->wire_length_m = cw_choose__all_with_margin(problem, option->length_m, option->in_hand);
    option->wire_mass_kg = option->wire_length_m * option->wire.mass_kg_per_m;
    option->fits_probability = cw_choice_fit_probability(&option->plan, doubts);
    option->resistance_in_tolerance_probability = NAN;
    if (!isnan(problem->tolerance))
        option->resistance_in_tolerance_probability =
            cw_choice_resistance_probability(winding, doubts, problem->resistance * (1 - problem->tolerance),
                                             problem->resistance * (1 + problem->tolerance));
}

void cw_choice_coil(const cw_choice_option *option, cw_coil_plan *plan)
{
    memset(plan, 0, sizeof *plan);
    plan->common = option->plan;
    plan->arrangement = CW_ONE_ON_ANOTHER;
    plan->part_count = 1;
    plan->parts[0] = (cw_coil_part){ option->wire, option->in_hand, option->turns - option->second_turns };
    if (option->sections > 1) {
        plan->arrangement = CW_SIDE_BY_SIDE;
        plan->part_count = (size_t)option->sections;
        plan->between_m = option->partition_m;
        plan->common.window.length_m = option->sections * option->plan.window.length_m +
                                       (option->sections - 1) * option->partition_m;
        plan->common.voltage_v = option->sections * option->plan.voltage_v;
        for (int i = 0; i < option->sections; i++)
            plan->parts[i] = (cw_coil_part){ option->wire, option->in_hand, option->turns / option->sections };
    }
    if (!option->two_sizes)
        return;
    plan->part_count = 2;
    plan->parts[1] = (cw_coil_part){ option->second_wire, 1, option->second_turns };
    plan->between_m = CW_CHOOSE__BETWEEN_M;
}

/* Of all sections. Current, temperatures and the volts between layers are those of each. */
static void add_sections(const cw_choose__problem *problem, cw_choice_option *option)
{
    const int count = problem->sections;

    option->sections = count;
    option->partition_m = count > 1 ? problem->request->partition_m : 0;
    option->turns *= count;
    option->resistance_20c_ohm *= count;
    option->ampere_turns *= count;
    option->power_w *= count;
    option->length_m *= count;
    option->mass_kg *= count;
}

cw_status cw_choose__option_fill(const cw_choose__problem *problem, const cw_choose__case *one, long turns,
                                 double points, unsigned missed, cw_choice_option *option, cw_error *error)
{
    cw_choose__problem whole;
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
    fill_winding(problem, winding, option);
    cw_choose__option_electric(problem, option);
    cw_choose__option_circuit(problem, option);
    cw_choose__option_layers(problem, winding->greatest_layer_voltage_v, option);
    cw_choose__shelf_fill(problem, option);
    add_sections(problem, option);
    name_option(option);
    cw_choose__whole(problem, &whole);
    cw_choose__reasons(&whole, option);
    cw_winding_destroy(&winding);
    return CW_OK;
}

/* ---- what no other option beats ----------------------------------------------------------------------------- */

enum { RESPECTS = 5 };

/* The greater the better: pull, coolness, room, sureness of the resistance, wire that need not be bought. */
static void respects_of(const cw_choice_option *o, double value[RESPECTS])
{
    value[0] = isnan(o->ampere_turns_ratio) ? o->ampere_turns : o->ampere_turns_ratio;
    value[1] = -o->hot_spot_c;
    value[2] = o->fits_probability;
    value[3] = o->resistance_in_tolerance_probability;
    value[4] = o->from_stock ? 0 : -o->wire_mass_kg;
    for (int i = 0; i < RESPECTS; i++)
        value[i] = isnan(value[i]) ? 0 : value[i];
}

static bool beats(const cw_choice_option *a, const cw_choice_option *b)
{
    double x[RESPECTS], y[RESPECTS];
    bool better = false;

    respects_of(a, x);
    respects_of(b, y);
    for (int i = 0; i < RESPECTS; i++) {
        if (x[i] < y[i])
            return false;
        better = better || x[i] > y[i];
    }
    return better;
}

void cw_choose__mark_pareto(cw_choice *choice)
{
    for (size_t i = 0; i < choice->option_count; i++) {
        choice->options[i].pareto = true;
        for (size_t j = 0; j < choice->option_count; j++)
            if (beats(&choice->options[j], &choice->options[i]))
                choice->options[i].pareto = false;
    }
}

/* ---- the user's own choice ---------------------------------------------------------------------------------- */

/* An id, or all of it before the turns. */
static bool is_called(const cw_choice_option *option, const char *id)
{
    const size_t length = strlen(id);
    const char *turns = strrchr(option->id, '-');

    return strcmp(option->id, id) == 0 ||
           (turns != NULL && (size_t)(turns - option->id) == length && strncmp(option->id, id, length) == 0);
}

cw_status cw_choose__pick(const char *id, cw_choice *choice, cw_error *error)
{
    const char *nearest = NULL;
    int least = 24;

    for (size_t i = 0; i < choice->option_count; i++) {
        const cw_choice_option picked = choice->options[i];
        const int distance = cw_word_distance(id, picked.id, least);

        if (is_called(&picked, id)) {
            memmove(&choice->options[1], &choice->options[0], i * sizeof picked);
            choice->options[0] = picked;
            return CW_OK;
        }
        if (distance < least) {
            least = distance;
            nearest = choice->options[i].id;
        }
    }
    return cw_refuse(error, NULL, "an option of the list that \"choose\" gives",
                     "There is no option \"%.60s\"%s%s%s.", id, nearest != NULL ? "; the nearest is \"" : " on the list", nearest != NULL ? nearest : "",
                     nearest != NULL ? "\"" : "");
}
