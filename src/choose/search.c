/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The search. One wire at a time: the best number of turns lies at an end of one of its wishes' intervals (score.c), so
 * a dozen are weighed instead of thousands. All wires: in the order of a bound that needs no probabilities, until the
 * bound alone is worse than the last place on the list. Neither leaves anything out (docs/choose.md, "The search"). */
#include "choose/choose_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DEFAULT_OPTIONS 24
#define LADDER_DEPTH 1.0 /* of the window's, and one layer more: beyond, a winding does not surely fit */

typedef struct weighed {
    const cw_choose__case *one;
    long turns;
    double points;
    unsigned missed;
} weighed;

/* ---- turns of one wire ------------------------------------------------------------------------------------- */

void cw_choose__plan_of(const cw_choose__problem *problem, const cw_choose__case *one, cw_lay_plan *plan)
{
    *plan = problem->plan;
    plan->wire = one->wire;
    plan->in_hand = one->in_hand;
    plan->turns = 1;
}

static bool surely_fits(const cw_choose__problem *problem, cw_lay_plan *plan, long turns)
{
    plan->turns = turns;
    return cw_choice_fit_probability(plan, &problem->request->doubts) >= CW_CHOOSE__SURE;
}

/* Begins a tenth below `most` and doubles its steps, since the answer is near; then bisects. */
long cw_choose__safe_turns(const cw_choose__problem *problem, const cw_lay_plan *given, long most)
{
    cw_lay_plan plan = *given;
    long low, high = most, step = most / 32 + 1;

    if (surely_fits(problem, &plan, most))
        return most;
    low = high - step;
    while (low > 0 && !surely_fits(problem, &plan, low)) {
        high = low;
        step *= 2;
        low = high - step;
    }
    low = low > 0 ? low : 0;
    while (high - low > 1) {
        const long middle = low + (high - low) / 2;

        if (surely_fits(problem, &plan, middle))
            low = middle;
        else
            high = middle;
    }
    return low;
}

typedef struct turns_search {
    const cw_choose__problem *problem;
    const cw_choose__case *one;
    const cw_choose__ladder *ladder;
    long safe;
    weighed best;
} turns_search;

static void weigh(turns_search *s, long turns)
{
    unsigned missed;
    double points;

    if (turns > s->safe)
        turns = s->safe;
    if (turns < 1)
        turns = 1;
    points = cw_choose__points(s->problem, s->one, turns, s->safe, cw_choose__ladder_length(s->ladder, turns), &missed);
    if (s->best.turns == 0 || points < s->best.points || (points == s->best.points && turns < s->best.turns))
        s->best = (weighed){ s->one, turns, points, missed };
}

/* Whole turns on both sides of an end of an interval. */
static void weigh_about(turns_search *s, double turns)
{
    long below;

    if (!(turns < 1e9)) /* beyond the ladder, or no such wish */
        return;
    below = (long)floor(turns);
    for (long n = below - 1; n <= below + 2; n++)
        weigh(s, n);
}

static void weigh_about_resistance(turns_search *s, double ohm)
{
    if (ohm > 0)
        weigh_about(s, cw_choose__ladder_turns(s->ladder, ohm * s->one->in_hand /
                                                              s->one->wire.resistance_ohm_per_m.nominal));
}

/* Resistance at which the coil is just cool enough, from the balance in heat.c. */
static double coolest_allowed_ohm(const turns_search *s)
{
    const cw_choose__heat *heat = &s->problem->heat;
    const cw_conductor *conductor = cw_wire_conductor(s->problem->catalogue, s->one->wire.material);
    const double rise = (cw_choose__cool_c(s->problem, s->one->limit_c) - heat->ambient_c) / heat->hot_share;

    if (!heat->known || !(rise > 0))
        return NAN;
    return heat->mean_k_per_w * heat->voltage_v * heat->voltage_v /
           (rise * cw_wire_temperature_factor(conductor, heat->ambient_c + rise));
}

static bool strong(const turns_search *s, long turns)
{
    const double ohm = cw_choose__ladder_length(s->ladder, turns) * s->one->wire.resistance_ohm_per_m.nominal /
                       s->one->in_hand;

    return cw_choose__ampere_turns(s->problem, &s->one->wire, turns, ohm) >= s->problem->least_at;
}

/* Ampere-turns rise while the coil gets cooler and fall while its turns get longer: layer ends show the crossings. */
static void weigh_about_strength(turns_search *s)
{
    const cw_winding *winding = s->ladder->winding;
    long before = 1;

    if (isnan(s->problem->least_at))
        return;
    for (size_t i = 0; i < winding->layer_count && before < s->safe; i++) {
        const long end = winding->layers[i].turns_total < s->safe ? winding->layers[i].turns_total : s->safe;
        const bool strong_end = strong(s, end);
        long low = before, high = end;

        before = end;
        if (strong(s, low) == strong_end)
            continue;
        while (high - low > 1) {
            const long middle = low + (high - low) / 2;

            if (strong(s, middle) == strong_end)
                high = middle;
            else
                low = middle;
        }
        weigh(s, low);
        weigh(s, high);
    }
}

bool cw_choose__turns_set(const cw_choose__problem *problem)
{
    return problem->request->set.turns > 0 || problem->request->set.layers > 0;
}

/* Turns of so many full layers; 0 where they cannot be laid. */
static cw_status turns_of_layers(const cw_lay_plan *plan, long layers, long *turns, cw_error *error)
{
    cw_lay_plan full = *plan;
    cw_winding *winding;
    cw_status status;

    full.turns = (long)fmin(1e7, (double)layers * (cw_winding_clear_length(plan) /
                                                   (plan->in_hand * plan->wire.overall_diameter_m.nominal) + 2));
    status = cw_winding_lay(&full, &winding, error);
    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    if (winding->layer_count >= (size_t)layers)
        *turns = winding->layers[layers - 1].turns_total;
    cw_winding_destroy(&winding);
    return CW_OK;
}

/* Turns that the user insists on are judged as they are, fit or not. */
static cw_status weigh_set_turns(const cw_choose__problem *problem, const cw_choose__case *one, cw_lay_plan *plan,
                                 weighed *w, cw_error *error)
{
    long turns = problem->request->set.turns / problem->sections;
    cw_winding *winding;
    cw_status status = CW_OK;

    if (turns == 0)
        status = turns_of_layers(plan, problem->request->set.layers, &turns, error);
    if (status != CW_OK || turns == 0)
        return status;
    plan->turns = turns;
    status = cw_winding_lay(plan, &winding, error);
    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    w->turns = turns;
    w->points = cw_choose__points(problem, one, turns, surely_fits(problem, plan, turns) ? turns : 0,
                                  winding->length_m, &w->missed);
    cw_winding_destroy(&winding);
    return CW_OK;
}

cw_status cw_choose__best_turns(const cw_choose__problem *problem, const cw_choose__case *one, long *turns,
                                double *points, unsigned *missed, cw_error *error)
{
    cw_choose__ladder ladder = { NULL, 0 };
    turns_search s = { .problem = problem, .one = one, .ladder = &ladder };
    cw_lay_plan plan;
    cw_status status;

    *turns = 0;
    cw_choose__plan_of(problem, one, &plan);
    if (cw_choose__turns_set(problem)) {
        s.best.one = one;
        status = weigh_set_turns(problem, one, &plan, &s.best, error);
        *turns = s.best.turns;
        *points = s.best.points;
        *missed = s.best.missed;
        return status;
    }
    status = cw_choose__ladder_make(&plan, LADDER_DEPTH, &ladder, error);
    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status; /* this wire cannot be laid here at all */
    s.safe = cw_choose__safe_turns(problem, &plan, ladder.most);
    if (s.safe > 0) {
        weigh(&s, 1);
        weigh(&s, s.safe);
        weigh_about(&s, problem->turns);
        weigh_about_resistance(&s, problem->resistance);
        weigh_about_resistance(&s, problem->resistance * (1 - problem->tolerance));
        weigh_about_resistance(&s, problem->resistance * (1 + problem->tolerance));
        weigh_about_resistance(&s, coolest_allowed_ohm(&s));
        weigh_about_strength(&s);
        if (one->shelf_m > 0)
            weigh_about(&s, cw_choose__ladder_turns(&ladder, (one->shelf_m / one->in_hand - CW_CHOICE_ENDS_M) /
                                                                 (1 + CW_CHOICE_MARGIN) / problem->sections));
        *turns = s.best.turns;
        *points = s.best.points;
        *missed = s.best.missed;
    }
    cw_choose__ladder_clear(&ladder);
    return CW_OK;
}

/* ---- bounds ------------------------------------------------------------------------------------------------ */

static double bound_at(const cw_choose__problem *problem, const cw_choose__case *one, const cw_choose__ladder *ladder,
                       double turns)
{
    double best = INFINITY;

    turns = fmin(fmax(turns, 1), (double)ladder->most);
    for (long n = (long)floor(turns); n <= (long)ceil(turns); n++)
        best = fmin(best, cw_choose__distance_points(problem, one, n, cw_choose__ladder_length(ladder, n)));
    return best;
}

/* Steps that no number of turns escapes: a resistance that the room is too small for, ampere-turns that no layer's end
 * reaches (within a layer they have no top of their own, and 2 % are left for what is said too little), heat that even
 * a full window gives. */
static double sure_steps(const cw_choose__problem *problem, const cw_choose__case *one,
                         const cw_choose__ladder *ladder)
{
    const cw_winding *winding = ladder->winding;
    const double per_m = one->wire.resistance_ohm_per_m.nominal / one->in_hand;
    const double most_ohm = per_m * cw_choose__ladder_length(ladder, ladder->most);
    double points = 0, strongest = 0;

    if (most_ohm < problem->resistance * (1 - problem->tolerance)) /* false where either is NAN */
        points += CW_CHOOSE__POINTS_RESISTANCE;
    if (cw_choose__hot_spot(problem, &one->wire, most_ohm) > cw_choose__cool_c(problem, one->limit_c))
        points += CW_CHOOSE__POINTS_COOL;
    if (isnan(problem->least_at) || problem->ac)
        return points;
    for (size_t i = 0; i < winding->layer_count && strongest < problem->least_at; i++) {
        const cw_layer *layer = &winding->layers[i];

        strongest = fmax(strongest, cw_choose__ampere_turns(problem, &one->wire, layer->turns_total,
                                                            layer->length_total_m * per_m));
    }
    return strongest < 0.98 * problem->least_at ? points + CW_CHOOSE__POINTS_AMPERE_TURNS : points;
}

/* The distances are lowest at a wanted resistance or number of turns, or, where neither is within the ladder, at its
 * end. Fill counts less than nothing, and most at the end. */
static double least_distance(const cw_choose__problem *problem, const cw_choose__case *one,
                             const cw_choose__ladder *ladder)
{
    const double per_m = one->wire.resistance_ohm_per_m.nominal / one->in_hand;
    double least = INFINITY;

    if (problem->aim == CW_CHOOSE__BY_ROOM && !isnan(problem->target_at))
        return 0;
    least = bound_at(problem, one, ladder, INFINITY);
    if (!isnan(problem->turns))
        least = fmin(least, bound_at(problem, one, ladder, problem->turns));
    if (!isnan(problem->resistance))
        least = fmin(least, bound_at(problem, one, ladder,
                                     cw_choose__ladder_turns(ladder, problem->resistance / per_m)));
    return least;
}

static cw_status find_bound(const cw_choose__problem *problem, cw_choose__case *one, cw_error *error)
{
    cw_choose__ladder ladder = { NULL, 0 };
    cw_lay_plan plan;
    cw_status status;

    one->bound = cw_choose__turns_set(problem) ? one->fixed : INFINITY;
    if (cw_choose__turns_set(problem))
        return CW_OK;
    cw_choose__plan_of(problem, one, &plan);
    status = cw_choose__ladder_make(&plan, LADDER_DEPTH, &ladder, error);
    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    one->bound = one->fixed + sure_steps(problem, one, &ladder) + least_distance(problem, one, &ladder);
    cw_choose__ladder_clear(&ladder);
    return CW_OK;
}

/* ---- the list of cases ------------------------------------------------------------------------------------- */

typedef struct case_list {
    cw_choose__case *items;
    size_t count, capacity;
} case_list;

static cw_status add_strands(const cw_choose__problem *problem, const cw_wire *wire, case_list *list, cw_error *error)
{
    const cw_choice_request *request = problem->request;
    const double shelf = cw_choose__shelf_length(problem, wire), stated = cw_choose__shelf_class(problem, wire);
    const cw_choice_set *set = &request->set;
    const int usual = request->most_in_hand > 0 ? request->most_in_hand : 4;
    const int most = set->in_hand > usual ? set->in_hand : usual;

    for (int k = 1; k <= most; k++) {
        cw_choose__case one = { .wire = *wire, .in_hand = k, .shelf_m = shelf };

        if (k * wire->overall_diameter_m.nominal > cw_winding_clear_length(&problem->plan) ||
            wire->overall_diameter_m.nominal > problem->plan.window.depth_m)
            break;
        if (set->in_hand > 0 && k != set->in_hand)
            continue;
        one.limit_c = fmin(isnan(stated) ? problem->class_c : fmin(stated, problem->class_c), problem->system_c);
        one.fine = request->finest_m > wire->size.diameter_m.nominal * (1 + 1e-9);
        one.fixed = cw_choose__fixed_points(problem, &one);
        if (list->count == list->capacity) {
            const size_t capacity = 2 * list->capacity + 512;
            cw_choose__case *items = cw_reallocate(list->items, capacity, sizeof *items);

            if (items == NULL)
                return cw_no_memory(error);
            list->items = items;
            list->capacity = capacity;
        }
        list->items[list->count++] = one;
    }
    return CW_OK;
}

static bool is_allowed(const cw_choice_set *set, const cw_wire *wire)
{
    return (set->size[0] == '\0' || strcmp(set->size, wire->size.name) == 0) &&
           (set->builds == 0 || (set->builds >> wire->build & 1u) != 0) &&
           (set->materials == 0 || (set->materials >> wire->material & 1u) != 0);
}

/* What is set goes before what the search is bounded to. */
static bool searched(const cw_choice_request *request, const cw_wire *wire)
{
    const cw_choice_set *set = &request->set;
    const unsigned builds = request->builds != 0 ? request->builds
                                                 : 1u << CW_SINGLE | 1u << CW_HEAVY | 1u << CW_TRIPLE;

    return is_allowed(set, wire) && (set->builds != 0 || (builds >> wire->build & 1u) != 0) &&
           (set->size[0] != '\0' || request->systems == 0 || (request->systems >> wire->size.system & 1u) != 0) &&
           (wire->material == CW_COPPER || set->materials != 0 || request->aluminium);
}

static cw_status add_stock(const cw_choose__problem *problem, case_list *list, cw_error *error)
{
    const cw_choice_request *request = problem->request;
    cw_status status = CW_OK;

    for (size_t i = 0; i < request->stock_count && status == CW_OK; i++) {
        const cw_spool *spool = &request->stock[i];
        const cw_wire_size *size;
        bool twice = false;
        cw_wire wire;

        status = cw_wire_size_parse(problem->catalogue, spool->size, strlen(spool->size), &spool->at, &size, error);
        if (status == CW_OK)
            status = cw_wire_make(problem->catalogue, size, spool->build, spool->material, &wire, error);
        for (size_t j = 0; j < i && status == CW_OK; j++)
            twice = twice || cw_choose__spool_is(&request->stock[j], &wire);
        if (status == CW_OK && !twice && !searched(request, &wire) && is_allowed(&request->set, &wire))
            status = add_strands(problem, &wire, list, error);
    }
    return status;
}

static cw_status list_cases(const cw_choose__problem *problem, case_list *list, cw_error *error)
{
    cw_status status = add_stock(problem, list, error);

    for (size_t i = 0; i < cw_wire_size_count(problem->catalogue); i++)
        for (int build = 0; build < CW_BARE; build++)
            for (int material = 0; material < CW_MATERIAL_COUNT && status == CW_OK; material++) {
                cw_wire wire;

                if (cw_wire_make(problem->catalogue, cw_wire_size_at(problem->catalogue, i), (cw_build)build,
                                 (cw_material)material, &wire, NULL) == CW_OK && searched(problem->request, &wire))
                    status = add_strands(problem, &wire, list, error);
            }
    return status;
}

/* ---- all wires --------------------------------------------------------------------------------------------- */

/* By bound; equal ones as listed, which their addresses tell. */
static int by_bound(const void *a, const void *b)
{
    const cw_choose__case *x = *(const cw_choose__case *const *)a, *y = *(const cw_choose__case *const *)b;

    if (x->bound != y->bound)
        return x->bound < y->bound ? -1 : 1;
    return x < y ? -1 : x > y ? 1 : 0;
}

typedef struct ranking {
    weighed *places;
    size_t count, most, capacity; /* capacity: most, and one more for each wire of the stock */
} ranking;

static bool better(const weighed *a, const weighed *b)
{
    return a->points != b->points ? a->points < b->points : a->one < b->one;
}

static void place(ranking *r, const weighed *w, size_t room)
{
    size_t at;

    if (r->count == room && !better(w, &r->places[room - 1]))
        return;
    at = r->count < room ? r->count++ : room - 1;
    for (; at > 0 && better(w, &r->places[at - 1]); at--)
        r->places[at] = r->places[at - 1];
    r->places[at] = *w;
}

static bool same_wire(const cw_choose__case *a, const cw_choose__case *b)
{
    return strcmp(a->wire.size.name, b->wire.size.name) == 0 && a->wire.build == b->wire.build &&
           a->wire.material == b->wire.material;
}

/* Every wire of the shelf is on the list, so that the user sees what it would do. */
static cw_status place_stock(const cw_choose__problem *problem, const case_list *list, ranking *r, cw_error *error)
{
    cw_status status = CW_OK;

    for (size_t i = 0; i < list->count && status == CW_OK; i++) {
        const cw_choose__case *one = &list->items[i];
        weighed best = { NULL, 0, INFINITY, 0 };
        bool there = false;

        if (!(one->shelf_m > 0) || one->in_hand != 1)
            continue;
        for (size_t j = 0; j < r->count; j++)
            there = there || same_wire(r->places[j].one, one);
        for (size_t j = i; !there && j < list->count && same_wire(&list->items[j], one) && status == CW_OK; j++) {
            weighed w = { &list->items[j], 0, 0, 0 };

            status = cw_choose__best_turns(problem, w.one, &w.turns, &w.points, &w.missed, error);
            if (w.turns > 0 && w.points < best.points)
                best = w;
        }
        if (best.turns > 0)
            place(r, &best, r->capacity);
    }
    return status;
}

static cw_status rank(const cw_choose__problem *problem, case_list *list, const cw_choose__case **order, ranking *r,
                      cw_error *error)
{
    cw_status status = CW_OK;

    for (size_t i = 0; i < list->count && status == CW_OK; i++) {
        status = find_bound(problem, &list->items[i], error);
        order[i] = &list->items[i];
    }
    if (status == CW_OK)
        qsort(order, list->count, sizeof order[0], by_bound);
    for (size_t i = 0; i < list->count && status == CW_OK; i++) {
        weighed w = { order[i], 0, 0, 0 };

        if (isinf(w.one->bound) || (r->count == r->most && w.one->bound > r->places[r->most - 1].points + 1e-9))
            break;
        status = cw_choose__best_turns(problem, w.one, &w.turns, &w.points, &w.missed, error);
        if (status == CW_OK && w.turns > 0)
            place(r, &w, r->most);
    }
    return status == CW_OK ? place_stock(problem, list, r, error) : status;
}

static cw_status fill_options(const cw_choose__problem *problem, const ranking *r, cw_choice *choice, cw_error *error)
{
    cw_status status = CW_OK;

    choice->options = cw_allocate(r->count, sizeof *choice->options);
    if (choice->options == NULL)
        return cw_no_memory(error);
    for (size_t i = 0; i < r->count && status == CW_OK; i++) {
        const weighed *w = &r->places[i];

        status = cw_choose__option_fill(problem, w->one, w->turns, w->points, w->missed, &choice->options[i], error);
        choice->option_count = i + 1;
    }
    return status;
}

cw_status cw_choose__search(const cw_choose__problem *problem, cw_choice *choice, cw_error *error)
{
    const cw_choice_request *request = problem->request;
    const cw_choose__case **order = NULL;
    case_list list = { NULL, 0, 0 };
    ranking r = { .most = request->most_options > 0 ? request->most_options : DEFAULT_OPTIONS };
    cw_status status = list_cases(problem, &list, error);

    r.capacity = r.most + request->stock_count;
    if (status == CW_OK) {
        choice->wires_tried = list.count;
        order = cw_allocate(list.count, sizeof *order);
        r.places = cw_allocate(r.capacity + 1, sizeof *r.places);
        status = order != NULL && r.places != NULL ? rank(problem, &list, order, &r, error) : cw_no_memory(error);
    }
    if (status == CW_OK)
        status = fill_options(problem, &r, choice, error);
    if (status == CW_OK)
        status = cw_choose__add_two_sizes(problem, list.items, list.count, choice, error);
    if (status == CW_OK && choice->option_count > 0 && choice->options[0].missed != 0)
        status = cw_choose__find_room(problem, list.items, list.count, choice, error);
    cw_free(r.places);
    cw_free(order);
    cw_free(list.items);
    return status;
}
