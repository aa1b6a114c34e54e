/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two sizes wound on each other, in series: a thicker and a thinner wire than the one that is not to be had. The total
 * of the turns is set by the pull, the share of the thinner one by the resistance; both are then met at once.
 *
 *     N = N1 + N2,  R = r1 l1 N1 + r2 l2 N2       thick below, thin above, where its greater heat gets out
 *
 * The lower part is of full layers, so that the upper lies on an even bed and the joint at a flange, where the winding
 * stops anyway. For so many lower layers the upper's turns follow from the resistance; more lower layers give more turns
 * in all. So the number of layers is bisected between which the turns pass what the pull asks for, and both are weighed:
 * the resistance is then met to the turn, the pull to half a layer. */
#include "choose/choose_internal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MOST_RATIO 3.0   /* of the two resistances per metre: beyond, nearly all heat is in the thin part */
#define LEAST_SHARE 0.05 /* of the turns: less is not worth a second wire */
#define TWO_PIECES 12.0  /* points for a joint inside the coil and two wires to handle */
enum { TRIED = 16, OFFERED = 6 };

/* A wire that may be half of a pair, with the resistance of the wanted turns all of it. */
typedef struct half {
    const cw_choose__case *one;
    double all_ohm;
} half;

typedef struct pair {
    const cw_choose__case *lower, *upper;
    long lower_turns, upper_turns;
    double points;
    unsigned missed;
} pair;

static void plan_pair(const cw_choose__problem *problem, const pair *p, cw_coil_plan *plan)
{
    memset(plan, 0, sizeof *plan);
    plan->common = problem->plan;
    plan->common.voltage_v = problem->voltage_v > 0 ? problem->voltage_v : 0;
    plan->arrangement = CW_ONE_ON_ANOTHER;
    plan->between_m = CW_CHOOSE__BETWEEN_M;
    plan->part_count = 2;
    plan->parts[0] = (cw_coil_part){ p->lower->wire, 1, p->lower_turns };
    plan->parts[1] = (cw_coil_part){ p->upper->wire, 1, p->upper_turns };
}

static cw_status lay_pair(const cw_choose__problem *problem, const pair *p, cw_coil **coil, cw_error *error)
{
    cw_coil_plan plan;

    plan_pair(problem, p, &plan);
    return cw_coil_lay(&plan, coil, error);
}

/* ---- one pair ----------------------------------------------------------------------------------------------- */

/* The lower wire laid full, its layers to choose from. */
static cw_status lay_lower(const cw_choose__problem *problem, const pair *p, cw_choose__ladder *ladder, cw_error *error)
{
    cw_lay_plan plan;

    cw_choose__plan_of(problem, p->lower, &plan);
    return cw_choose__ladder_make(&plan, 1, ladder, error);
}

/* Turns of the upper wire that give the rest of the resistance over so many lower layers; 0 where there is no rest, or
 * no room for it. */
static cw_status upper_turns(const cw_choose__problem *problem, pair *p, const cw_layer *last, cw_error *error)
{
    const cw_wire *lower = &p->lower->wire, *upper = &p->upper->wire;
    const double rest = problem->resistance - last->length_total_m * lower->resistance_ohm_per_m.nominal;
    cw_choose__ladder ladder = { NULL, 0 };
    cw_lay_plan plan;
    cw_status status;
    double turns;

    p->lower_turns = last->turns_total;
    p->upper_turns = 0;
    if (!(rest > 0))
        return CW_OK;
    cw_choose__plan_of(problem, p->upper, &plan);
    plan.base_m = last->top_m + CW_CHOOSE__BETWEEN_M;
    plan.from_far = last->direction > 0;
    status = cw_choose__ladder_make(&plan, 1, &ladder, error);
    if (status == CW_OK) {
        turns = cw_choose__ladder_turns(&ladder, rest / upper->resistance_ohm_per_m.nominal);
        p->upper_turns = turns < 1e7 ? lround(turns) : 0;
    }
    cw_choose__ladder_clear(&ladder);
    return status;
}

static double shelf_points(const cw_choose__problem *problem, const cw_choose__case *one, double length_m)
{
    const bool is_short = one->shelf_m > 0 && cw_choose__with_margin(length_m, 1) > one->shelf_m;

    return is_short ? cw_choose__shelf_weight(problem) * CW_CHOOSE__POINTS_SHORT : 0;
}

/* Points of the whole, as if it were a wire of its own. */
static void weigh_pair(const cw_choose__problem *problem, pair *p, const cw_coil *coil)
{
    cw_choose__case whole = *p->lower;

    whole.fixed = fmax(p->lower->fixed, p->upper->fixed) + 0.25 * fmin(p->lower->fixed, p->upper->fixed) + TWO_PIECES;
    whole.limit_c = fmin(p->lower->limit_c, p->upper->limit_c);
    whole.fine = p->lower->fine || p->upper->fine;
    whole.shelf_m = 0;
    p->points = cw_choose__points(problem, &whole, coil->turns, coil->turns,
                                  coil->resistance_20c_ohm / whole.wire.resistance_ohm_per_m.nominal, &p->missed) +
                shelf_points(problem, p->lower, coil->parts[0]->wire_length_m) +
                shelf_points(problem, p->upper, coil->parts[1]->wire_length_m);
}

/* ---- all pairs ---------------------------------------------------------------------------------------------- */

static bool go_together(const half *a, const half *b)
{
    const cw_wire *x = &a->one->wire, *y = &b->one->wire;
    const double ratio = y->resistance_ohm_per_m.nominal / x->resistance_ohm_per_m.nominal;

    if (x->material != y->material || !(ratio > 1 && ratio <= MOST_RATIO))
        return false;
    return (x->size.system == y->size.system && x->build == y->build) || (a->one->shelf_m > 0 && b->one->shelf_m > 0);
}

static void keep(pair best[TRIED], size_t *count, const pair *p)
{
    size_t at;

    if (*count == TRIED && best[TRIED - 1].points <= p->points)
        return;
    at = *count < TRIED ? (*count)++ : TRIED - 1;
    for (; at > 0 && best[at - 1].points > p->points; at--)
        best[at] = best[at - 1];
    best[at] = *p;
}

/* Weighs a pair as divided. */
static cw_status weigh_division(const cw_choose__problem *problem, pair *p, pair best[TRIED], size_t *count,
                                cw_error *error)
{
    const double turns = (double)(p->lower_turns + p->upper_turns);
    cw_coil *coil;
    cw_status status;

    if (fmin((double)p->upper_turns, (double)p->lower_turns) < LEAST_SHARE * turns)
        return CW_OK;
    status = lay_pair(problem, p, &coil, error);
    if (status != CW_OK)
        return status;
    if (coil->fits) { /* one that does not even fit nominally does not surely fit */
        weigh_pair(problem, p, coil);
        keep(best, count, p);
    }
    cw_coil_destroy(&coil);
    return CW_OK;
}

/* The two numbers of full lower layers between which all turns pass the wanted ones. Where the upper part has no room
 * any more, more of the lower is needed. */
static cw_status divide(const cw_choose__problem *problem, pair *p, const cw_winding *lower, long turns,
                        pair best[TRIED], size_t *count, cw_error *error)
{
    size_t low = 0, high = lower->layer_count + 1; /* layers */
    cw_status status = CW_OK;

    while (high - low > 1 && status == CW_OK) {
        const size_t middle = (low + high) / 2;
        const cw_layer *last = &lower->layers[middle - 1];

        status = upper_turns(problem, p, last, error);
        if (status != CW_OK)
            break;
        if (p->upper_turns == 0 && last->length_total_m * p->lower->wire.resistance_ohm_per_m.nominal <
                                       problem->resistance)
            low = middle;
        else if (p->upper_turns > 0 && p->lower_turns + p->upper_turns < turns)
            low = middle;
        else
            high = middle;
    }
    for (size_t layers = low; layers <= low + 1 && status == CW_OK; layers++) {
        if (layers < 1 || layers > lower->layer_count)
            continue;
        status = upper_turns(problem, p, &lower->layers[layers - 1], error);
        if (status == CW_OK && p->upper_turns > 0)
            status = weigh_division(problem, p, best, count, error);
    }
    return status;
}

static cw_status try_pair(const cw_choose__problem *problem, pair *p, long turns, pair best[TRIED], size_t *count,
                          cw_error *error)
{
    cw_choose__ladder lower = { NULL, 0 };
    cw_status status = lay_lower(problem, p, &lower, error);

    if (status == CW_OK)
        status = divide(problem, p, lower.winding, turns, best, count, error);
    cw_choose__ladder_clear(&lower);
    return status == CW_BAD_INPUT ? CW_OK : status; /* two wires that cannot be laid on each other here */
}

static cw_status collect_halves(const cw_choose__problem *problem, const cw_choose__case *cases, size_t count,
                                long turns, half *halves, size_t *found, cw_error *error)
{
    *found = 0;
    for (size_t i = 0; i < count; i++) {
        cw_winding *winding;
        cw_lay_plan plan;
        cw_status status;

        if (cases[i].in_hand != 1 || cases[i].fine)
            continue;
        cw_choose__plan_of(problem, &cases[i], &plan);
        plan.turns = turns;
        status = cw_winding_lay(&plan, &winding, error);
        if (status == CW_NO_MEMORY)
            return status;
        if (status != CW_OK)
            continue;
        halves[(*found)++] = (half){ &cases[i], winding->resistance_20c_ohm };
        cw_winding_destroy(&winding);
    }
    return CW_OK;
}

static cw_status try_all(const cw_choose__problem *problem, const half *halves, size_t count, long turns,
                         pair best[TRIED], size_t *kept, cw_error *error)
{
    cw_status status = CW_OK;

    for (size_t i = 0; i < count && status == CW_OK; i++)
        for (size_t j = 0; j < count && status == CW_OK && halves[i].all_ohm < problem->resistance; j++) {
            pair p = { .lower = halves[i].one, .upper = halves[j].one };

            if (halves[j].all_ohm > problem->resistance && go_together(&halves[i], &halves[j]))
                status = try_pair(problem, &p, turns, best, kept, error);
        }
    return status;
}

/* ---- options ------------------------------------------------------------------------------------------------ */

/* "27-awg+31-awg-single-1817+337"; the build behind each size where they differ. */
static void name_pair(cw_choice_option *option)
{
    const char *lower = cw_build_trade_name(option->wire.size.system, option->wire.build);
    const char *upper = cw_build_trade_name(option->second_wire.size.system, option->second_wire.build);
    const bool alike = strcmp(lower, upper) == 0;

    snprintf(option->id, sizeof option->id, "%.10s%s%s+%.10s %s %ld+%ld", option->wire.size.name, alike ? "" : " ",
             alike ? "" : lower, option->second_wire.size.name, upper, option->turns - option->second_turns,
             option->second_turns);
    cw_choose__make_id(option->id);
}

static void fill_shelf(const cw_choose__problem *problem, const cw_coil *coil, cw_choice_option *option)
{
    cw_choice_option upper = *option;
    const double lower_m = cw_choose__with_margin(coil->parts[0]->wire_length_m, 1);
    const double upper_m = cw_choose__with_margin(coil->parts[1]->wire_length_m, 1);

    upper.wire = option->second_wire;
    upper.wire_length_m = upper_m;
    option->wire_length_m = lower_m;
    cw_choose__shelf_fill(problem, option);
    cw_choose__shelf_fill(problem, &upper);
    option->on_shelf = option->on_shelf && upper.on_shelf;
    option->from_stock = option->from_stock && upper.from_stock;
    option->joints += upper.joints;
    option->cost += upper.cost;
    option->wire_length_m = lower_m + upper_m;
    option->wire_mass_kg = lower_m * option->wire.mass_kg_per_m + upper_m * option->second_wire.mass_kg_per_m;
}

static void fill_pair(const cw_choose__problem *problem, const pair *p, const cw_coil *coil, double fits,
                      cw_choice_option *option)
{
    *option = (cw_choice_option){ .wire = p->lower->wire, .in_hand = 1, .sections = 1,
                                  .turns = coil->turns, .two_sizes = true,
                                  .second_wire = p->upper->wire, .second_turns = p->upper_turns,
                                  .layers = coil->parts[0]->layer_count + coil->parts[1]->layer_count,
                                  .plan = coil->parts[0]->plan, .depth_m = coil->depth_m, .spare_m = coil->spare_m,
                                  .fits_probability = fits, .resistance_20c_ohm = coil->resistance_20c_ohm,
                                  .length_m = coil->length_m, .mass_kg = coil->mass_kg,
                                  .limit_c = fmin(p->lower->limit_c, p->upper->limit_c), .missed = p->missed,
                                  .score = 100 - p->points };
    option->plan.wrap_m = problem->plan.wrap_m;
    option->resistance_in_tolerance_probability =
        cw_choose__coil_resistance_probability(coil, &problem->request->doubts,
                                               problem->resistance * (1 - problem->tolerance),
                                               problem->resistance * (1 + problem->tolerance));
    name_pair(option);
    cw_choose__option_electric(problem, option);
    cw_choose__option_circuit(problem, option);
    cw_choose__option_layers(problem, fmax(coil->parts[0]->greatest_layer_voltage_v,
                                           coil->parts[1]->greatest_layer_voltage_v), option);
    fill_shelf(problem, coil, option);
    cw_choose__reasons(problem, option);
}

static cw_status offer(const cw_choose__problem *problem, const pair best[TRIED], size_t kept, cw_choice *choice,
                       cw_error *error)
{
    cw_choice_option *options = cw_reallocate(choice->options, choice->option_count + OFFERED, sizeof *options);
    cw_status status = CW_OK;

    if (options == NULL)
        return cw_no_memory(error);
    choice->options = options;
    for (size_t i = 0, offered = 0; i < kept && offered < OFFERED && status == CW_OK; i++) {
        cw_coil_plan plan;
        cw_coil *coil;
        double fits;

        plan_pair(problem, &best[i], &plan);
        fits = cw_choice_coil_fit_probability(&plan, &problem->request->doubts);
        if (fits < CW_CHOOSE__SURE)
            continue;
        status = cw_coil_lay(&plan, &coil, error);
        if (status != CW_OK)
            break;
        fill_pair(problem, &best[i], coil, fits, &choice->options[choice->option_count++]);
        cw_coil_destroy(&coil);
        offered++;
    }
    return status;
}

static int by_score(const void *a, const void *b)
{
    const cw_choice_option *x = a, *y = b;

    if (x->score != y->score)
        return x->score > y->score ? -1 : 1;
    return strcmp(x->id, y->id);
}

cw_status cw_choose__add_two_sizes(const cw_choose__problem *problem, const cw_choose__case *cases, size_t count,
                                   cw_choice *choice, cw_error *error)
{
    const cw_choice_set *set = &problem->request->set;
    const bool wire_set = set->size[0] != '\0' || set->in_hand > 1 || cw_choose__turns_set(problem);
    pair best[TRIED];
    half *halves;
    size_t found, kept = 0;
    cw_status status;
    long turns;

    if (!problem->request->two_sizes || problem->aim != CW_CHOOSE__BY_RESISTANCE || isnan(problem->target_at) ||
        count == 0 || wire_set || problem->sections > 1 || problem->plan.lay == CW_RANDOM)
        return CW_OK;
    turns = lround(fmin(1e7, problem->target_at / cw_choose__ampere_turns(problem, &cases[0].wire, 1,
                                                                          problem->resistance)));
    if (turns < 2)
        return CW_OK;
    halves = cw_allocate(count, sizeof *halves);
    if (halves == NULL)
        return cw_no_memory(error);
    status = collect_halves(problem, cases, count, turns, halves, &found, error);
    if (status == CW_OK)
        status = try_all(problem, halves, found, turns, best, &kept, error);
    cw_free(halves);
    if (status == CW_OK)
        status = offer(problem, best, kept, choice, error);
    if (status == CW_OK)
        qsort(choice->options, choice->option_count, sizeof *choice->options, by_score);
    return status;
}
