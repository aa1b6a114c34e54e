/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must hold of every winding. Ten thousand plans of all shapes, lays and strands are drawn by a generator with a
 * fixed seed and laid; then the limit cases by hand, and every refusal. */
#include "coilwright/winding.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"

static const double pi = 3.14159265358979323846;

/* ---- plans by chance --------------------------------------------------------------------------------------- */

/* Steele, Lea and Flood's splitmix64: 64 good bits from a counter, so that a plan is known by its number. */
static uint64_t draw(uint64_t *seed)
{
    uint64_t z = (*seed += 0x9E3779B97F4A7C15u);

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

static double between(uint64_t *seed, double low, double high)
{
    return low + (high - low) * ((double)(draw(seed) >> 11) / 9007199254740992.0);
}

static double log_between(uint64_t *seed, double low, double high)
{
    return exp(between(seed, log(low), log(high)));
}

static long whole(uint64_t *seed, long low, long high)
{
    return low + (long)(draw(seed) % (uint64_t)(high - low + 1));
}

static cw_wire wire_of_diameters(double bare_m, double overall_m)
{
    cw_wire wire = { .size.diameter_m = { 0.99 * bare_m, bare_m, 1.01 * bare_m },
                     .overall_diameter_m = { 0.98 * overall_m, overall_m, 1.02 * overall_m } };
    const double section = 0.25 * pi * bare_m * bare_m;

    wire.resistance_ohm_per_m.nominal = 1e-6 / 58.0 / section;
    wire.resistance_ohm_per_m.min = 0.98 * wire.resistance_ohm_per_m.nominal;
    wire.resistance_ohm_per_m.max = 1.03 * wire.resistance_ohm_per_m.nominal;
    wire.bare_mass_kg_per_m = 8890 * section;
    wire.mass_kg_per_m = wire.bare_mass_kg_per_m + 1410 * 0.25 * pi * (overall_m * overall_m - bare_m * bare_m);
    return wire;
}

static void draw_window(uint64_t *seed, double width_m, cw_window *window)
{
    const double sides[] = { 1, 1.25, 1.5, 2, 2.5, 3, 10 };

    window->shape = (cw_shape)whole(seed, 0, CW_SHAPE_COUNT - 1);
    window->inner_m[0] = log_between(seed, 1e-3, 0.3);
    window->inner_m[1] = window->shape == CW_ROUND ? window->inner_m[0]
                                                   : window->inner_m[0] * between(seed, 0.05, 1);
    if (window->shape == CW_RECTANGLE) {
        window->corner_radius_m = between(seed, 0, 0.5) * window->inner_m[1];
        if (whole(seed, 0, 9) == 0)
            window->corner_radius_m = 0.5 * window->inner_m[1];
    }
    /* one in three on the edge between one more turn and one less, where floor is on trial */
    window->length_m = width_m * (whole(seed, 0, 2) == 0 ? sides[whole(seed, 0, 6)] : log_between(seed, 1.0001, 300));
    window->length_m = fmin(window->length_m, 5);
    window->depth_m = log_between(seed, 1e-3, 0.1);
}

static cw_lay_plan draw_plan(uint64_t number)
{
    uint64_t seed = 20240917u + number * 1000003u;
    cw_lay_plan plan = { .in_hand = (int)whole(&seed, 1, 4), .lay = (cw_lay)whole(&seed, 0, CW_LAY_COUNT - 1) };
    const double bare = log_between(&seed, 0.02e-3, 3e-3);

    plan.wire = wire_of_diameters(bare, bare * between(&seed, 1.02, 1.5));
    draw_window(&seed, plan.in_hand * plan.wire.overall_diameter_m.nominal, &plan.window);
    plan.turns = (long)log_between(&seed, 1, 20000);
    if (whole(&seed, 0, 1) == 0) {
        plan.pitch_factor = between(&seed, 1, 1.3);
        plan.rise_factor = between(&seed, 0.8, 1.1);
        plan.packing = between(&seed, 0.3, 0.9);
        plan.bulge = between(&seed, 0.01, 0.3);
    }
    if (whole(&seed, 0, 2) == 0) {
        plan.insulation_every = (int)whole(&seed, 1, 4);
        plan.insulation_m = between(&seed, 0.02e-3, 0.5e-3);
    }
    plan.voltage_v = between(&seed, 0, 500);
    return plan;
}

/* ---- what holds of each ------------------------------------------------------------------------------------- */

static uint64_t plan_number; /* for the message of a test that fails */

#define holds(condition)                                                                                            \
    do {                                                                                                            \
        if (!(condition))                                                                                           \
            fail_msg("plan %llu: %s", (unsigned long long)plan_number, #condition);                                 \
    } while (0)

static bool same(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b));
}

static double width_of(const cw_winding *winding)
{
    return winding->plan.in_hand * winding->plan.wire.overall_diameter_m.nominal;
}

/* Layers add up to the winding: turns, lengths, resistances, masses. */
static void check_sums(const cw_winding *winding)
{
    const cw_lay_plan *plan = &winding->plan;
    double length = 0, resistance = 0, mass = 0;
    long turns = 0;

    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i];

        holds(layer->turns >= 1);
        turns += layer->turns;
        length += layer->length_m;
        resistance += layer->resistance_ohm;
        mass += layer->mass_kg;
        holds(layer->turns_total == turns);
        holds(same(layer->length_total_m, length));
        holds(same(layer->mass_total_kg, mass));
    }
    holds(turns == plan->turns && winding->turns == turns);
    holds(same(winding->length_m, length));
    holds(same(winding->wire_length_m, length * plan->in_hand));
    holds(same(winding->mean_turn_m * (double)turns, length));
    holds(same(winding->resistance_20c_ohm, resistance));
    holds(same(winding->resistance_20c_ohm, length * plan->wire.resistance_ohm_per_m.nominal / plan->in_hand));
    holds(same(winding->resistance_band_ohm.min, 0.98 * resistance));
    holds(same(winding->resistance_band_ohm.nominal, resistance));
    holds(same(winding->resistance_band_ohm.max, 1.03 * resistance));
    holds(same(winding->mass_kg, mass));
    holds(same(winding->mass_kg, winding->wire_length_m * plan->wire.mass_kg_per_m));
    holds(same(winding->bare_mass_kg, winding->wire_length_m * plan->wire.bare_mass_kg_per_m));
}

/* All layers but the last are full, two kinds in turn; they go there and back between the flanges. */
static void check_places(const cw_winding *winding)
{
    const double width = width_of(winding), length = winding->plan.window.length_m, slack = 1e-9 * length;

    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i];

        holds(layer->direction == (i % 2 == 0 ? 1 : -1));
        holds(layer->direction * (layer->end_m - layer->start_m) >= -slack);
        holds(fmin(layer->start_m, layer->end_m) >= 0.5 * width - slack);
        holds(fmax(layer->start_m, layer->end_m) <= length - 0.5 * width + slack);
        if (i >= 2 && i + 1 < winding->layer_count)
            holds(layer->turns == winding->layers[i - 2].turns && layer->start_m == winding->layers[i - 2].start_m);
        if (i >= 2)
            holds(layer->turns <= winding->layers[i - 2].turns);
        holds(layer->turns <= winding->turns_per_layer);
        holds(i > 0 || layer->turns == (winding->turns < winding->turns_per_layer ? winding->turns
                                                                                  : winding->turns_per_layer));
    }
}

/* No two turns of a layer lie closer than the bundle is wide, and the turns that a layer counts fit side by side. */
static void check_pitch(const cw_winding *winding)
{
    const double width = width_of(winding);

    holds((double)winding->turns_per_layer * width <= winding->plan.window.length_m * (1 + 1e-9));
    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i];

        holds(layer->pitch_m == winding->pitch_m);
        holds(layer->turns == 1 || layer->pitch_m >= width * (1 - 1e-9));
        holds(fabs(layer->end_m - layer->start_m) <= (double)layer->turns * layer->pitch_m * (1 + 1e-9));
        if (winding->plan.lay != CW_NESTED)
            holds(layer->turns == 1 || layer->pitch_m >= width * winding->plan.pitch_factor * (1 - 1e-9));
    }
}

/* Centre of strand k, 0-based, of turn t of a nested layer, strands evenly spread. */
static double strand_at(const cw_winding *winding, const cw_layer *layer, long t, int k)
{
    const double strand_pitch = layer->pitch_m / winding->plan.in_hand;

    return layer->start_m + layer->direction * (double)t * layer->pitch_m +
           (k - 0.5 * (winding->plan.in_hand - 1)) * strand_pitch;
}

/* Wires of neighbouring layers touch and do not run through each other: centres at least D apart. Plain geometry. */
static void check_nesting(const cw_winding *winding, const cw_layer *below, const cw_layer *layer)
{
    const double overall = winding->plan.wire.overall_diameter_m.nominal;
    const double rise = layer->height_m - below->height_m;
    const int strands = winding->plan.in_hand;

    for (int k = 0; k < strands; k++)
        for (long t = 0; t < below->turns; t++)
            for (int j = 0; j < strands; j++)
                holds(hypot(rise, strand_at(winding, layer, 0, k) - strand_at(winding, below, t, j)) >=
                      overall * (1 - 1e-9));
}

static void check_heights(const cw_winding *winding)
{
    const cw_lay_plan *plan = &winding->plan;
    const double overall = plan->wire.overall_diameter_m.nominal;

    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i], *below = i > 0 ? layer - 1 : NULL;
        const bool sheet = plan->insulation_every > 0 && (i + 1) % (size_t)plan->insulation_every == 0 &&
                           i + 1 < winding->layer_count;

        holds(layer->insulation_after == sheet);
        holds(layer->top_m >= layer->height_m + (sheet ? plan->insulation_m : 0));
        if (below == NULL) {
            holds(plan->lay == CW_RANDOM || same(layer->height_m, 0.5 * overall));
            continue;
        }
        holds(layer->height_m > below->height_m && layer->top_m > below->top_m);
        if (plan->lay == CW_RANDOM)
            continue;
        if (below->insulation_after) /* the wire lies on the sheet */
            holds(same(layer->height_m - 0.5 * overall, below->top_m));
        else if (plan->lay == CW_NESTED)
            check_nesting(winding, below, layer);
        else
            holds(same(layer->height_m - below->height_m, plan->rise_factor * overall));
    }
}

/* A turn is at least as long as without bulge and helix, and no longer than one turn of the circle round it. */
static void check_turns_lengths(const cw_winding *winding)
{
    const cw_window *window = &winding->plan.window;
    const double a = window->inner_m[0], b = window->inner_m[1], r = window->corner_radius_m;
    const double corner = window->shape == CW_RECTANGLE ? 2 * (hypot(0.5 * a - r, 0.5 * b - r) + r) : a;

    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i];
        const double turn = layer->length_m / (double)layer->turns;
        const double bulge = window->shape == CW_ROUND ? 0 : winding->plan.bulge * layer->height_m;

        holds(turn >= cw_window_turn_length(window, layer->height_m) * (1 - 1e-12));
        holds(turn <= hypot(pi * (corner + 2 * layer->height_m + 2 * bulge), layer->pitch_m) * (1 + 1e-12));
        if (window->shape == CW_ROUND)
            holds(same(turn, hypot(pi * layer->diameter_m, layer->pitch_m)));
    }
}

static void check_depth_and_fill(const cw_winding *winding)
{
    const cw_lay_plan *plan = &winding->plan;
    const cw_layer *last = &winding->layers[winding->layer_count - 1];
    const double section = plan->window.length_m * plan->window.depth_m;
    const double covered = plan->wire.overall_diameter_m.nominal, bare = plan->wire.size.diameter_m.nominal;
    const double wires = 0.25 * pi * (double)plan->turns * plan->in_hand;

    holds(winding->fits == (winding->depth_m <= plan->window.depth_m));
    holds(fabs(winding->spare_m - (plan->window.depth_m - winding->depth_m)) <= 1e-15);
    holds(same(winding->fill * section, wires * bare * bare));
    holds(same(winding->covered_fill * section, wires * covered * covered));
    if (plan->lay != CW_RANDOM) {
        holds(winding->depth_m >= last->top_m * (1 - 1e-12));
        holds(winding->depth_m <= last->top_m * (1 + (plan->window.shape == CW_ROUND ? 0 : plan->bulge)) * (1 + 1e-12));
    } else if (plan->window.shape == CW_ROUND && plan->insulation_every == 0) {
        holds(same(winding->depth_m * plan->window.length_m * plan->packing, wires * covered * covered));
    }
}

static void check_voltages(const cw_winding *winding)
{
    const double per_turn = winding->plan.voltage_v / (double)winding->turns;

    holds(winding->layers[0].voltage_to_below_v == 0);
    for (size_t i = 1; i < winding->layer_count; i++) {
        const double across = per_turn * (double)(winding->layers[i].turns + winding->layers[i - 1].turns);

        holds(fabs(winding->layers[i].voltage_to_below_v - across) <= 1e-9 * across);
        holds(across <= winding->plan.voltage_v * (1 + 1e-9));
    }
}

static void each_plan(void (*check)(const cw_winding *winding))
{
    int laid[CW_SHAPE_COUNT][CW_LAY_COUNT] = { { 0 } };

    for (plan_number = 0; plan_number < 10000; plan_number++) {
        const cw_lay_plan plan = draw_plan(plan_number);
        cw_winding *winding;
        cw_error error;

        if (cw_winding_lay(&plan, &winding, &error) != CW_OK)
            fail_msg("plan %llu: %s", (unsigned long long)plan_number, error.text);
        check(winding);
        laid[plan.window.shape][plan.lay]++;
        cw_winding_destroy(&winding);
        assert_null(winding);
    }
    for (int shape = 0; shape < CW_SHAPE_COUNT; shape++)
        for (int lay = 0; lay < CW_LAY_COUNT; lay++)
            assert_in_range(laid[shape][lay], 900, 1350); /* a ninth of 10 000 each, and no kind left out */
}

static void layers_add_up_to_the_winding(void **state)
{
    (void)state;
    each_plan(check_sums);
}

static void layers_lie_between_the_flanges_and_go_there_and_back(void **state)
{
    (void)state;
    each_plan(check_places);
}

static void turns_of_a_layer_are_never_closer_than_the_bundle_is_wide(void **state)
{
    (void)state;
    each_plan(check_pitch);
}

static void layers_rise_and_wires_do_not_run_through_each_other(void **state)
{
    (void)state;
    each_plan(check_heights);
}

static void turns_are_as_long_as_the_shape_allows(void **state)
{
    (void)state;
    each_plan(check_turns_lengths);
}

static void depth_decides_what_fits_and_fill_is_the_share_of_the_section(void **state)
{
    (void)state;
    each_plan(check_depth_and_fill);
}

static void layer_voltage_is_that_of_the_turns_between(void **state)
{
    (void)state;
    each_plan(check_voltages);
}

/* ---- scaling and symmetry ----------------------------------------------------------------------------------- */

static void scale(cw_lay_plan *plan, double by)
{
    cw_wire *wire = &plan->wire;

    *wire = wire_of_diameters(by * wire->size.diameter_m.nominal, by * wire->overall_diameter_m.nominal);
    plan->window.inner_m[0] *= by;
    plan->window.inner_m[1] *= by;
    plan->window.corner_radius_m *= by;
    plan->window.length_m *= by;
    plan->window.depth_m *= by;
    plan->insulation_m *= by;
}

static void twice_the_size_is_half_the_ohms_twice_the_wire_and_eight_times_the_mass(void **state)
{
    (void)state;
    for (plan_number = 0; plan_number < 2000; plan_number++) {
        cw_lay_plan plan = draw_plan(plan_number);
        cw_winding *small, *large;

        assert_int_equal(cw_winding_lay(&plan, &small, NULL), CW_OK);
        scale(&plan, 2);
        assert_int_equal(cw_winding_lay(&plan, &large, NULL), CW_OK);
        holds(large->layer_count == small->layer_count);
        holds(same(large->length_m, 2 * small->length_m));
        holds(same(large->resistance_20c_ohm, 0.5 * small->resistance_20c_ohm));
        holds(same(large->mass_kg, 8 * small->mass_kg));
        holds(same(large->depth_m, 2 * small->depth_m));
        holds(same(large->fill, small->fill));
        cw_winding_destroy(&small);
        cw_winding_destroy(&large);
    }
}

/* 60 mm of 0.331 mm wire on a 42 mm former: an everyday coil, to vary from. */
static cw_lay_plan everyday(void)
{
    cw_lay_plan plan = { .turns = 1850, .voltage_v = 96 };

    plan.wire = wire_of_diameters(0.286e-3, 0.331e-3);
    plan.window.shape = CW_ROUND;
    plan.window.inner_m[0] = plan.window.inner_m[1] = 42e-3;
    plan.window.length_m = 58e-3;
    plan.window.depth_m = 13e-3;
    return plan;
}

static cw_winding *lay(const cw_lay_plan *plan)
{
    cw_winding *winding = NULL;
    cw_error error;

    if (cw_winding_lay(plan, &winding, &error) != CW_OK)
        fail_msg("%s", error.text);
    return winding;
}

static double length_of(const cw_lay_plan *plan)
{
    cw_winding *winding = lay(plan);
    const double length = winding->length_m;

    cw_winding_destroy(&winding);
    return length;
}

static void a_former_whose_flats_vanish_is_a_round_one(void **state)
{
    cw_lay_plan plan = everyday();
    const double round = length_of(&plan);

    (void)state;
    plan.window.shape = CW_OBROUND;
    assert_near(length_of(&plan), round, 1e-9 * round);
    plan.window.inner_m[0] += 1e-6; /* and a flat of a micrometre adds about two micrometres to a turn */
    assert_near(length_of(&plan), round, 5e-6 * 1850);
    plan.window.inner_m[0] -= 1e-6;
    plan.window.shape = CW_RECTANGLE;
    plan.window.corner_radius_m = 21e-3;
    assert_near(length_of(&plan), round, 1e-9 * round);
    plan.window.corner_radius_m -= 1e-6;
    assert_near(length_of(&plan), round, 5e-6 * 1850);
}

static void a_rectangle_may_be_turned_by_a_quarter(void **state)
{
    cw_lay_plan plan = everyday();
    double length;

    (void)state;
    plan.window.shape = CW_RECTANGLE;
    plan.window.inner_m[0] = 30e-3;
    plan.window.inner_m[1] = 50e-3;
    plan.window.corner_radius_m = 3e-3;
    length = length_of(&plan);
    plan.window.inner_m[0] = 50e-3;
    plan.window.inner_m[1] = 30e-3;
    assert_near(length_of(&plan), length, 1e-12 * length);
}

/* Arc over a chord l with sagitta s, exactly: radius (l^2/4 + s^2)/(2 s), angle 2 asin(l/(2 radius)). */
static double arc(double chord, double sagitta)
{
    const double radius = (0.25 * chord * chord + sagitta * sagitta) / (2 * sagitta);

    return 2 * radius * asin(chord / (2 * radius));
}

static void bulging_flats_lengthen_a_turn_as_arcs(void **state)
{
    cw_lay_plan plan = everyday();
    cw_winding *winding;
    double turn, exact;

    (void)state;
    plan.turns = 1700; /* ten full layers */
    plan.window.shape = CW_OBROUND;
    plan.window.inner_m[0] = 80e-3;
    plan.bulge = 0.2;
    winding = lay(&plan);
    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i];

        turn = layer->length_m / (double)layer->turns;
        exact = hypot(2 * arc(38e-3, 0.2 * layer->height_m) + pi * (42e-3 + 2 * layer->height_m), layer->pitch_m);
        assert_near(turn, exact, 1e-6 * exact); /* the shallow-arc series leaves out (s/l)^4, here below 1e-7 */
    }
    cw_winding_destroy(&winding);
}

static void more_strands_share_the_current_and_need_more_wire(void **state)
{
    cw_lay_plan plan = everyday();
    cw_winding *one, *two;

    (void)state;
    plan.turns = 80;
    one = lay(&plan);
    plan.in_hand = 2;
    two = lay(&plan);
    assert_int_equal(one->layer_count, 1);
    assert_int_equal(two->layer_count, 1);
    assert_near(two->length_m / one->length_m, 1, 1e-4); /* but for the steeper helix */
    assert_near(two->resistance_20c_ohm / one->resistance_20c_ohm, 0.5, 1e-4);
    assert_near(two->mass_kg / one->mass_kg, 2, 1e-4);
    cw_winding_destroy(&one);
    cw_winding_destroy(&two);
}

/* ---- limits -------------------------------------------------------------------------------------------------- */

static void one_turn_is_one_turn(void **state)
{
    (void)state;
    for (int kind = 0; kind < CW_LAY_COUNT; kind++) {
        cw_lay_plan plan = everyday();
        cw_winding *winding;
        double height;

        plan.turns = 1;
        plan.lay = (cw_lay)kind;
        winding = lay(&plan);
        height = winding->layers[0].height_m;
        assert_int_equal(winding->layer_count, 1);
        assert_int_equal(winding->layers[0].turns, 1);
        assert_near(winding->length_m, pi * (42e-3 + 2 * height), 2e-6);
        assert_true(winding->fits);
        cw_winding_destroy(&winding);
    }
}

static void a_layer_exactly_full_needs_no_second_and_one_turn_more_does(void **state)
{
    (void)state;
    for (int kind = 0; kind < CW_LAY_COUNT; kind++) {
        cw_lay_plan plan = everyday();
        cw_winding *winding;
        long full;

        plan.lay = (cw_lay)kind;
        winding = lay(&plan);
        full = winding->turns_per_layer;
        cw_winding_destroy(&winding);

        plan.turns = full;
        winding = lay(&plan);
        assert_int_equal(winding->layer_count, 1);
        assert_int_equal(winding->layers[0].turns, full);
        cw_winding_destroy(&winding);

        plan.turns = full + 1;
        winding = lay(&plan);
        assert_int_equal(winding->layer_count, 2);
        assert_int_equal(winding->layers[1].turns, 1);
        assert_int_equal(winding->layers[1].direction, -1);
        cw_winding_destroy(&winding);
    }
}

/* A window of N wires exactly holds N nested turns, for every N: 0.1 + 0.2 is not 0.3 in doubles, but a turn must not
 * be lost to that. */
static void no_turn_is_lost_to_rounding(void **state)
{
    (void)state;
    for (long wires = 2; wires < 400; wires++) {
        cw_lay_plan plan = everyday();
        cw_winding *winding;

        plan.lay = CW_NESTED;
        plan.window.length_m = (double)wires * 0.331e-3;
        winding = lay(&plan);
        assert_int_equal(winding->turns_per_layer, wires);
        cw_winding_destroy(&winding);
    }
}

static void a_partial_last_layer_stops_where_its_turns_end(void **state)
{
    cw_lay_plan plan = everyday();
    cw_winding *winding;
    const cw_layer *last;
    long full;

    (void)state;
    plan.turns = 500;
    winding = lay(&plan);
    full = winding->turns_per_layer;
    assert_in_range(full, 160, 174);
    assert_int_equal(winding->layer_count, 3);
    last = &winding->layers[2];
    assert_int_equal(last->turns, 500 - 2 * full);
    assert_near(last->end_m - last->start_m, ((double)last->turns - 0.5) * last->pitch_m, 1e-12);
    assert_true(last->end_m < winding->layers[0].end_m);
    cw_winding_destroy(&winding);
}

static void a_window_of_one_wire_stacks_its_turns(void **state)
{
    (void)state;
    for (int kind = 0; kind < CW_LAY_COUNT; kind++)
        for (int strands = 1; strands <= 4; strands++) {
            cw_lay_plan plan = everyday();
            cw_winding *winding;

            plan.lay = (cw_lay)kind;
            plan.in_hand = strands;
            plan.turns = 5;
            plan.rise_factor = 1;
            plan.window.length_m = strands * 0.331e-3;
            winding = lay(&plan);
            assert_int_equal(winding->layer_count, 5);
            if (kind != CW_RANDOM)
                assert_near(winding->depth_m, 5 * 0.331e-3, 1e-12);
            assert_near(winding->layers[4].start_m, 0.5 * plan.window.length_m, 1e-12);
            assert_near(winding->layers[4].end_m, 0.5 * plan.window.length_m, 1e-12);
            cw_winding_destroy(&winding);
        }
}

static void a_winding_too_deep_is_laid_and_said_not_to_fit(void **state)
{
    cw_lay_plan plan = everyday();
    cw_winding *winding = lay(&plan);
    const double depth = winding->depth_m;

    (void)state;
    assert_true(winding->fits);
    cw_winding_destroy(&winding);
    plan.window.depth_m = depth - 1e-6;
    winding = lay(&plan);
    assert_false(winding->fits);
    assert_near(winding->spare_m, -1e-6, 1e-12);
    cw_winding_destroy(&winding);
}

static void a_sheet_adds_its_thickness_and_takes_the_groove_away(void **state)
{
    cw_lay_plan plan = everyday();
    cw_winding *plain, *papered;

    (void)state;
    plain = lay(&plan);
    plan.insulation_every = 1;
    plan.insulation_m = 0.05e-3;
    papered = lay(&plan);
    assert_int_equal(papered->layer_count, plain->layer_count);
    assert_near(papered->depth_m - plain->depth_m,
                (double)(plain->layer_count - 1) * (0.05e-3 + (1 - 0.95) * 0.331e-3), 1e-12);
    assert_false(papered->layers[papered->layer_count - 1].insulation_after);
    cw_winding_destroy(&plain);
    cw_winding_destroy(&papered);
}

/* ---- refusals ------------------------------------------------------------------------------------------------ */

static void check_refused(const cw_lay_plan *plan, const char *word)
{
    cw_winding *winding = (cw_winding *)&plan_number;
    cw_error error;

    if (cw_winding_lay(plan, &winding, &error) != CW_BAD_INPUT)
        fail_msg("a plan was laid that should be refused with \"%s\"", word);
    assert_null(winding);
    if (strstr(error.text, word) == NULL)
        fail_msg("\"%s\" lacks \"%s\"", error.text, word);
    assert_non_null(strchr(".?", error.text[strlen(error.text) - 1])); /* a whole sentence */
    winding = (cw_winding *)&plan_number;
    assert_int_equal(cw_winding_lay(plan, &winding, NULL), CW_BAD_INPUT);
}

/* Puts each bad value into the field in turn; the plan is an everyday one otherwise. */
#define refuse_each(field, word, ...)                                                                               \
    do {                                                                                                            \
        const double bad[] = { __VA_ARGS__ };                                                                       \
        for (size_t i_ = 0; i_ < sizeof bad / sizeof bad[0]; i_++) {                                                \
            cw_lay_plan plan = everyday();                                                                          \
            plan.window.shape = CW_RECTANGLE;                                                                       \
            plan.field = bad[i_];                                                                                   \
            check_refused(&plan, word);                                                                             \
        }                                                                                                           \
    } while (0)

static void lengths_that_are_none_are_refused(void **state)
{
    (void)state;
    refuse_each(window.length_m, "window's length", NAN, -0.058, 0, 12, INFINITY, -INFINITY);
    refuse_each(window.depth_m, "window's depth", NAN, -0.013, 0, 12, INFINITY, -INFINITY);
    refuse_each(window.inner_m[0], "inner width", NAN, -0.042, 0, 12, INFINITY, -INFINITY);
    refuse_each(window.inner_m[1], "inner breadth", NAN, -0.042, 0, 12, INFINITY, -INFINITY);
    refuse_each(window.corner_radius_m, "corner radius", NAN, -1e-3, 21.1e-3, INFINITY);
    refuse_each(insulation_m, "nsulation", NAN, -1e-3, 0.02, INFINITY);
}

static void factors_out_of_range_are_refused(void **state)
{
    (void)state;
    refuse_each(pitch_factor, "pitch", NAN, -1.02, 0.99, 3, INFINITY);
    refuse_each(rise_factor, "rise", NAN, -0.95, 0.5, 3, INFINITY);
    refuse_each(packing, "packing", NAN, -0.6, 0.01, 0.95, INFINITY);
    refuse_each(bulge, "bulge", NAN, -0.15, 1.5, INFINITY);
    refuse_each(voltage_v, "voltage", NAN, -96, INFINITY);
}

static void counts_out_of_range_are_refused(void **state)
{
    const long turns[] = { 0, -1, 10000001, -9223372036854775807L - 1, 9223372036854775807L };
    const int strands[] = { -1, 5, 2147483647, -2147483647 - 1 };
    cw_lay_plan plan;

    (void)state;
    for (size_t i = 0; i < sizeof turns / sizeof turns[0]; i++) {
        plan = everyday();
        plan.turns = turns[i];
        check_refused(&plan, "turns");
    }
    for (size_t i = 0; i < sizeof strands / sizeof strands[0]; i++) {
        plan = everyday();
        plan.in_hand = strands[i];
        check_refused(&plan, "strands");
    }
    plan = everyday();
    plan.insulation_every = -1;
    check_refused(&plan, "nsulation");
    plan = everyday();
    plan.turns = 10000000;
    plan.window.length_m = 0.4e-3;
    check_refused(&plan, "10000000 layers");
}

static void wire_wider_than_the_window_is_refused_with_both_widths(void **state)
{
    cw_lay_plan plan = everyday();

    (void)state;
    plan.window.length_m = 0.33e-3;
    check_refused(&plan, "0.331 mm");
    check_refused(&plan, "0.33 mm long");
    plan.window.length_m = 1e-3;
    plan.in_hand = 4;
    check_refused(&plan, "all strands side by side");
    plan = everyday();
    plan.wire.overall_diameter_m.nominal = NAN;
    check_refused(&plan, "wire");
    plan.wire.overall_diameter_m.nominal = -1e-3;
    check_refused(&plan, "wire");
}

static void an_obround_broader_than_long_is_refused(void **state)
{
    cw_lay_plan plan = everyday();

    (void)state;
    plan.window.shape = CW_OBROUND;
    plan.window.inner_m[0] = 30e-3;
    check_refused(&plan, "30 mm by 42 mm");
}

static void a_window_is_refused_at_its_place_in_the_file(void **state)
{
    const cw_place at = { "coil.yaml", 7, 3 };
    cw_window window = everyday().window;
    cw_error error;

    (void)state;
    assert_int_equal(cw_window_check(&window, &at, &error), CW_OK);
    window.length_m = 0;
    assert_int_equal(cw_window_check(&window, &at, &error), CW_BAD_INPUT);
    assert_string_equal(error.file, "coil.yaml");
    assert_int_equal(error.line, 7);
}

static void defaults_fill_what_is_zero_and_leave_the_rest(void **state)
{
    cw_lay_plan plan = { .window.shape = CW_RECTANGLE }, again;

    (void)state;
    cw_winding_defaults(&plan);
    assert_int_equal(plan.in_hand, 1);
    assert_near(plan.pitch_factor, 1.02, 0);
    assert_near(plan.rise_factor, 0.95, 0);
    assert_near(plan.packing, 0.60, 0);
    assert_near(plan.bulge, 0.15, 0);
    plan.pitch_factor = 1.1;
    plan.bulge = -2; /* wrong, and for the check to say so */
    again = plan;
    cw_winding_defaults(&again);
    assert_near(again.pitch_factor, 1.1, 0);
    assert_near(again.bulge, -2, 0);
}

static void every_failed_allocation_leaves_no_winding_behind(void **state)
{
    const cw_lay_plan plan = everyday();
    cw_status status = CW_NO_MEMORY;
    long granted = 0;

    (void)state;
    for (; status == CW_NO_MEMORY; granted++) {
        cw_winding *winding = (cw_winding *)&granted;
        cw_error error;

        cw_memory_fail_after(granted);
        status = cw_winding_lay(&plan, &winding, &error);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK ? winding != NULL : winding == NULL && strstr(error.text, "memory") != NULL);
        cw_winding_destroy(&winding);
    }
    assert_int_equal(status, CW_OK);
    assert_int_equal(granted, 3); /* the winding, its layers, and the walk that succeeds */
}

static void the_same_plan_gives_the_same_bytes(void **state)
{
    (void)state;
    for (plan_number = 0; plan_number < 200; plan_number++) {
        const cw_lay_plan plan = draw_plan(plan_number);
        cw_winding *one = lay(&plan), *two = lay(&plan);

        assert_int_equal(one->layer_count, two->layer_count);
        assert_memory_equal(one->layers, two->layers, one->layer_count * sizeof *one->layers);
        cw_winding_destroy(&one);
        cw_winding_destroy(&two);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(layers_add_up_to_the_winding),
        cmocka_unit_test(layers_lie_between_the_flanges_and_go_there_and_back),
        cmocka_unit_test(turns_of_a_layer_are_never_closer_than_the_bundle_is_wide),
        cmocka_unit_test(layers_rise_and_wires_do_not_run_through_each_other),
        cmocka_unit_test(turns_are_as_long_as_the_shape_allows),
        cmocka_unit_test(depth_decides_what_fits_and_fill_is_the_share_of_the_section),
        cmocka_unit_test(layer_voltage_is_that_of_the_turns_between),
        cmocka_unit_test(twice_the_size_is_half_the_ohms_twice_the_wire_and_eight_times_the_mass),
        cmocka_unit_test(a_former_whose_flats_vanish_is_a_round_one),
        cmocka_unit_test(a_rectangle_may_be_turned_by_a_quarter),
        cmocka_unit_test(bulging_flats_lengthen_a_turn_as_arcs),
        cmocka_unit_test(more_strands_share_the_current_and_need_more_wire),
        cmocka_unit_test(one_turn_is_one_turn),
        cmocka_unit_test(a_layer_exactly_full_needs_no_second_and_one_turn_more_does),
        cmocka_unit_test(no_turn_is_lost_to_rounding),
        cmocka_unit_test(a_partial_last_layer_stops_where_its_turns_end),
        cmocka_unit_test(a_window_of_one_wire_stacks_its_turns),
        cmocka_unit_test(a_winding_too_deep_is_laid_and_said_not_to_fit),
        cmocka_unit_test(a_sheet_adds_its_thickness_and_takes_the_groove_away),
        cmocka_unit_test(lengths_that_are_none_are_refused),
        cmocka_unit_test(factors_out_of_range_are_refused),
        cmocka_unit_test(counts_out_of_range_are_refused),
        cmocka_unit_test(wire_wider_than_the_window_is_refused_with_both_widths),
        cmocka_unit_test(an_obround_broader_than_long_is_refused),
        cmocka_unit_test(a_window_is_refused_at_its_place_in_the_file),
        cmocka_unit_test(defaults_fill_what_is_zero_and_leave_the_rest),
        cmocka_unit_test(every_failed_allocation_leaves_no_winding_behind),
        cmocka_unit_test(the_same_plan_gives_the_same_bytes),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
