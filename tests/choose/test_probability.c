/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The probabilities against windings drawn by lot: 100 000 each, laid turn for turn by the winding room. */
#include "choose/choose_internal.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

enum { DRAWS = 100000 };

/* One percentage point, of which the lots themselves take up to 0.5 (three standard errors of 100 000 draws). */
static const double allowed = 0.01;

/* ---- lots: splitmix64 and Box-Muller, both public algorithms ------------------------------------------------ */

static double uniform(uint64_t *state)
{
    uint64_t z = *state += 0x9e3779b97f4a7c15u;

    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
    z = (z ^ z >> 27) * 0x94d049bb133111ebu;
    return (double)((z ^ z >> 31) >> 11) * 0x1p-53;
}

static double normal(uint64_t *state)
{
    const double radius = sqrt(-2 * log(1 - uniform(state)));

    return radius * cos(2 * 3.14159265358979323846 * uniform(state));
}

typedef struct drawn {
    double fits, in_band;
} drawn;

static double half(cw_band band)
{
    return (band.max - band.min) / (2 * 1.96); /* bands hold 95 % */
}

/* A winding as it may turn out. */
static cw_lay_plan draw(const cw_lay_plan *plan, const cw_choice_doubts *doubts, uint64_t *state)
{
    const double bare = half(plan->wire.size.diameter_m), overall = half(plan->wire.overall_diameter_m);
    const double z = normal(state), cover = sqrt(fmax(0, overall * overall - bare * bare)) * normal(state);
    cw_lay_plan one = *plan;

    one.wire.overall_diameter_m.nominal += z * bare + cover;
    one.wire.resistance_ohm_per_m.nominal *=
        exp(-z * half(plan->wire.resistance_ohm_per_m) / plan->wire.resistance_ohm_per_m.nominal +
            doubts->resistivity * normal(state));
    one.window.inner_m[0] += plan->window.inner_doubt_m / 1.96 * normal(state);
    one.window.inner_m[1] += one.window.inner_m[0] - plan->window.inner_m[0];
    one.window.length_m += plan->window.length_doubt_m / 1.96 * normal(state);
    one.window.depth_m += plan->window.depth_doubt_m / 1.96 * normal(state);
    if (plan->lay == CW_LEVEL) {
        one.pitch_factor = fmax(1, plan->pitch_factor + doubts->pitch * normal(state));
        one.rise_factor = fmax(0.8, plan->rise_factor + doubts->rise * normal(state));
    }
    if (plan->lay == CW_RANDOM)
        one.packing = fmin(0.9, plan->packing * exp(doubts->packing * normal(state)));
    if (plan->window.shape != CW_ROUND)
        one.bulge = fmax(1e-6, plan->bulge + doubts->bulge * normal(state));
    return one;
}

static drawn draw_many(const cw_lay_plan *plan, const cw_choice_doubts *doubts, double low, double high)
{
    uint64_t state = 20271;
    long fits = 0, in_band = 0;

    for (int i = 0; i < DRAWS; i++) {
        const cw_lay_plan one = draw(plan, doubts, &state);
        cw_winding *winding;

        assert_int_equal(cw_winding_lay(&one, &winding, NULL), CW_OK);
        fits += winding->fits;
        in_band += winding->resistance_20c_ohm >= low && winding->resistance_20c_ohm <= high;
        cw_winding_destroy(&winding);
    }
    return (drawn){ (double)fits / DRAWS, (double)in_band / DRAWS };
}

/* Draws around a nominal fit, so that the probability is neither 0 nor 1: turns are set so that the nominal winding
 * takes this share of the depth. */
static void check(cw_lay_plan *plan, const cw_choice_doubts *doubts, double share, double tolerance)
{
    cw_winding *winding;
    drawn lots;
    double fits, in_band, ohm;

    cw_winding_defaults(plan);
    plan->turns = 100;
    do {
        plan->turns += 1 + plan->turns / 200;
        assert_int_equal(cw_winding_lay(plan, &winding, NULL), CW_OK);
        ohm = winding->resistance_20c_ohm;
        fits = winding->depth_m;
        in_band = cw_choice_resistance_probability(winding, doubts, ohm * (1 - tolerance), ohm * (1 + 0.8 * tolerance));
        cw_winding_destroy(&winding);
    } while (fits < share * plan->window.depth_m);
    lots = draw_many(plan, doubts, ohm * (1 - tolerance), ohm * (1 + 0.8 * tolerance));
    fits = cw_choice_fit_probability(plan, doubts);
    assert_near(fits, lots.fits, allowed);
    assert_near(in_band, lots.in_band, allowed);
}

static const cw_choice_doubts usual = { .pitch = 0.01, .rise = 0.03, .packing = 0.04, .bulge = 0.025,
                                        .resistivity = 0.006 };

static cw_window round_window(double depth_m)
{
    return (cw_window){ .shape = CW_ROUND, .inner_m = { 41.7e-3, 41.7e-3 }, .length_m = 57.3e-3, .depth_m = depth_m,
                        .inner_doubt_m = 0.5e-3, .length_doubt_m = 0.6e-3, .depth_doubt_m = 0.4e-3 };
}

static void level_lay_agrees_with_lots(void **state)
{
    static const struct {
        const char *size;
        cw_build build;
        int in_hand;
        double share, tolerance;
    } rows[] = {
        { "29 AWG", CW_HEAVY, 1, 0.93, 0.05 },   { "29 AWG", CW_HEAVY, 1, 1.01, 0.02 },
        { "36 AWG", CW_SINGLE, 1, 0.96, 0.05 },  { "0.500 mm", CW_HEAVY, 2, 0.9, 0.03 },
        { "0.200 mm", CW_TRIPLE, 4, 0.97, 0.04 }, { "18 AWG", CW_HEAVY, 1, 0.85, 0.03 },
    };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_lay_plan plan = { .window = round_window(11.3e-3), .in_hand = rows[i].in_hand, .pitch_factor = 1.05 };

        plan.wire = wire_of(state, rows[i].size, rows[i].build);
        check(&plan, &usual, rows[i].share, rows[i].tolerance);
    }
}

static void sheets_between_layers_agree_with_lots(void **state)
{
    cw_lay_plan plan = { .window = round_window(9.7e-3), .pitch_factor = 1.05, .insulation_every = 2,
                         .insulation_m = 5e-5 };

    plan.wire = wire_of(state, "27 AWG", CW_HEAVY);
    check(&plan, &usual, 0.95, 0.03);
}

static void rectangle_agrees_with_lots(void **state)
{
    cw_lay_plan plan = { .pitch_factor = 1.05 };

    plan.window = (cw_window){ .shape = CW_RECTANGLE, .inner_m = { 31e-3, 52e-3 }, .corner_radius_m = 3.3e-3,
                               .length_m = 43.1e-3, .depth_m = 12.4e-3, .inner_doubt_m = 0.4e-3,
                               .length_doubt_m = 0.5e-3, .depth_doubt_m = 0.6e-3 };
    plan.wire = wire_of(state, "0.355 mm", CW_HEAVY);
    check(&plan, &usual, 0.92, 0.03);
}

/* Short flats cannot belly as far as a high build wants: the cap of the bulge is in play. */
static void a_small_square_agrees_with_lots(void **state)
{
    cw_lay_plan plan = { .pitch_factor = 1.05 };

    plan.window = (cw_window){ .shape = CW_RECTANGLE, .inner_m = { 9.1e-3, 9.1e-3 }, .corner_radius_m = 0.7e-3,
                               .length_m = 31.3e-3, .depth_m = 11.7e-3, .inner_doubt_m = 0.3e-3,
                               .length_doubt_m = 0.4e-3, .depth_doubt_m = 0.4e-3 };
    plan.wire = wire_of(state, "0.250 mm", CW_HEAVY);
    check(&plan, &usual, 0.96, 0.06);
}

static void an_obround_wound_at_random_agrees_with_lots(void **state)
{
    cw_lay_plan plan = { .lay = CW_RANDOM };

    plan.window = (cw_window){ .shape = CW_OBROUND, .inner_m = { 47e-3, 21e-3 }, .length_m = 33.3e-3,
                               .depth_m = 9.7e-3, .inner_doubt_m = 0.4e-3, .length_doubt_m = 0.4e-3,
                               .depth_doubt_m = 0.4e-3 };
    plan.wire = wire_of(state, "28 AWG", CW_HEAVY);
    check(&plan, &usual, 0.94, 0.03);
}

static void margins_lead_and_wrap_agree_with_lots(void **state)
{
    cw_lay_plan plan = { .window = round_window(8.3e-3), .pitch_factor = 1.05, .margin_start_m = 1.2e-3,
                         .margin_end_m = 2.1e-3, .sleeve_m = 1.9e-3, .wrap_m = 0.6e-3, .base_m = 0.45e-3 };

    plan.wire = wire_of(state, "31 AWG", CW_HEAVY);
    check(&plan, &usual, 0.87, 0.03);
}

static void random_lay_agrees_with_lots(void **state)
{
    cw_lay_plan plan = { .window = round_window(12.1e-3), .lay = CW_RANDOM };

    plan.wire = wire_of(state, "33 AWG", CW_SINGLE);
    check(&plan, &usual, 0.96, 0.04);
}

/* The rise of a nested lay is geometry; what is left is wire and window. */
static void nested_lay_agrees_with_lots(void **state)
{
    cw_choice_doubts doubts = usual;
    cw_lay_plan plan = { .window = round_window(10.9e-3), .lay = CW_NESTED };

    doubts.rise = NAN;
    plan.wire = wire_of(state, "0.450 mm", CW_HEAVY);
    check(&plan, &doubts, 0.97, 0.03);
    plan.wire = wire_of(state, "30 AWG", CW_HEAVY);
    check(&plan, &doubts, 1.0, 0.03);
    plan.in_hand = 2;
    check(&plan, &doubts, 0.94, 0.03);
    plan.in_hand = 3;
    check(&plan, &doubts, 0.98, 0.03);
}

static void a_few_layers_agree_with_lots(void **state)
{
    cw_lay_plan plan = { .window = round_window(2.9e-3), .pitch_factor = 1.05 };

    plan.window.depth_doubt_m = 0.2e-3;
    plan.wire = wire_of(state, "1.000 mm", CW_HEAVY);
    check(&plan, &usual, 0.75, 0.03);
}

/* Two wires of two spools on one former: the former's size is drawn once, all else for each part. */
static void two_sizes_on_each_other_agree_with_lots(void **state)
{
    cw_coil_plan plan = { .common = { .window = round_window(5.0e-3), .pitch_factor = 1.05 }, .part_count = 2,
                          .between_m = 1e-4 };
    uint64_t lots = 77;
    double ohm, low, high;
    long fits = 0, in_band = 0;
    cw_coil *coil;

    plan.parts[0] = (cw_coil_part){ wire_of(state, "27 AWG", CW_HEAVY), 1, 1010 };
    plan.parts[1] = (cw_coil_part){ wire_of(state, "31 AWG", CW_HEAVY), 1, 1340 };
    assert_int_equal(cw_coil_lay(&plan, &coil, NULL), CW_OK);
    ohm = coil->resistance_20c_ohm;
    low = 0.97 * ohm;
    high = 1.02 * ohm;
    assert_near(cw_choose__coil_resistance_probability(coil, &usual, low, high), 0.8, 0.19); /* tells something */
    cw_winding_defaults(&plan.common);
    for (int i = 0; i < DRAWS; i++) {
        cw_lay_plan part[2] = { plan.common, plan.common };
        cw_winding *winding[2];
        double sum = 0;

        for (int k = 0; k < 2; k++) {
            cw_window window = k == 1 ? part[0].window : part[1].window;

            part[k].wire = plan.parts[k].wire;
            part[k].turns = plan.parts[k].turns;
            part[k] = draw(&part[k], &usual, &lots);
            if (k == 1) {
                part[k].window.inner_m[0] = window.inner_m[0];
                part[k].window.inner_m[1] = window.inner_m[1];
                part[k].base_m = winding[0]->layers[winding[0]->layer_count - 1].top_m + plan.between_m;
            }
            assert_int_equal(cw_winding_lay(&part[k], &winding[k], NULL), CW_OK);
            sum += winding[k]->resistance_20c_ohm;
        }
        fits += winding[1]->fits;
        in_band += sum >= low && sum <= high;
        cw_winding_destroy(&winding[0]);
        cw_winding_destroy(&winding[1]);
    }
    assert_near(cw_choice_coil_fit_probability(&plan, &usual), (double)fits / DRAWS, allowed);
    assert_near(cw_choose__coil_resistance_probability(coil, &usual, low, high), (double)in_band / DRAWS, allowed);
    assert_true(fits > DRAWS / 10 && fits < 9 * DRAWS / 10);
    cw_coil_destroy(&coil);
}

static void more_turns_are_never_more_likely_to_fit(void **state)
{
    cw_lay_plan plan = { .window = round_window(6.1e-3) };
    double before = 1;

    plan.wire = wire_of(state, "30 AWG", CW_SINGLE);
    for (plan.turns = 1; plan.turns < 6000; plan.turns += 7) {
        const double here = cw_choice_fit_probability(&plan, NULL);

        assert_true(here <= before + 1e-12);
        before = here;
    }
    assert_true(before < 0.01);
}

static void exactly_known_means_yes_or_no(void **state)
{
    const cw_choice_doubts none = { NAN, NAN, NAN, NAN, NAN, NAN };
    cw_lay_plan plan = { .window = round_window(6.1e-3) };
    cw_winding *winding;

    plan.wire = wire_of(state, "30 AWG", CW_SINGLE);
    plan.window.inner_doubt_m = plan.window.length_doubt_m = plan.window.depth_doubt_m = 1e-12;
    for (plan.turns = 1801; plan.turns < 4000; plan.turns += 173) {
        assert_int_equal(cw_winding_lay(&plan, &winding, NULL), CW_OK);
        assert_near(cw_choice_fit_probability(&plan, &none), winding->fits ? 1 : 0, 1e-9);
        cw_winding_destroy(&winding);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(level_lay_agrees_with_lots),
        cmocka_unit_test(sheets_between_layers_agree_with_lots),
        cmocka_unit_test(rectangle_agrees_with_lots),
        cmocka_unit_test(a_small_square_agrees_with_lots),
        cmocka_unit_test(an_obround_wound_at_random_agrees_with_lots),
        cmocka_unit_test(margins_lead_and_wrap_agree_with_lots),
        cmocka_unit_test(random_lay_agrees_with_lots),
        cmocka_unit_test(nested_lay_agrees_with_lots),
        cmocka_unit_test(a_few_layers_agree_with_lots),
        cmocka_unit_test(two_sizes_on_each_other_agree_with_lots),
        cmocka_unit_test(more_turns_are_never_more_likely_to_fit),
        cmocka_unit_test(exactly_known_means_yes_or_no),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
