/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Geometry that the notes on winding state with its derivation [winding: sections 1, 2.2, 5, 7]: what a helix takes,
 * how ordered layers stack, how full round wire can fill a section, how long a turn on a rectangle is, what stands
 * between two layers. Factors are printed to three or four decimals: half a unit; whole numbers are exact. */
#include "coilwright/winding.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

static const double pi = 3.14159265358979323846;

/* A wire of 1 mm over its covering: lengths in diameters. */
static cw_lay_plan millimetre_wire(double length_mm, long turns, cw_lay lay)
{
    cw_lay_plan plan = { .turns = turns, .lay = lay };

    plan.wire.size.diameter_m.nominal = 0.9e-3;
    plan.wire.overall_diameter_m.nominal = 1e-3;
    plan.window = (cw_window){ .inner_m = { 0.04, 0.04 }, .length_m = 1e-3 * length_mm, .depth_m = 0.02 };
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

static long turns_in(double length_mm, cw_lay lay_kind, double pitch_factor)
{
    cw_lay_plan plan = millimetre_wire(length_mm, 1, lay_kind);
    cw_winding *winding;
    long turns;

    plan.pitch_factor = pitch_factor;
    winding = lay(&plan);
    turns = winding->turns_per_layer;
    cw_winding_destroy(&winding);
    return turns;
}

/* Section 1: a helix of N turns takes N p + d. Half a turn of each layer lies still against the flange where it climbs,
 * so N turns of ours travel N - 1/2 pitches: a window a hair too short for that holds one turn less. */
static void a_helix_takes_its_travel_and_one_wire(void **state)
{
    (void)state;
    for (long n = 1; n < 200; n++) {
        const double needed = ((double)n - 0.5) * 1.05 + 1;

        assert_int_equal(turns_in(needed + 1e-6, CW_LEVEL, 1.05), n);
        if (n > 1)
            assert_int_equal(turns_in(needed - 1e-6, CW_LEVEL, 1.05), n - 1);
    }
}

/* Section 2.2: N, N - 1, N ... need W = N d; N, N, N ... need W = (N + 1/2) d. */
static void ordered_layers_have_n_and_n_less_one_turns_or_n_and_n(void **state)
{
    (void)state;
    for (long n = 2; n < 60; n++) {
        cw_lay_plan plan = millimetre_wire((double)n, 4 * n - 2, CW_NESTED);
        cw_winding *winding = lay(&plan);

        assert_int_equal(winding->layer_count, 4);
        for (int i = 0; i < 4; i++)
            assert_int_equal(winding->layers[i].turns, i % 2 == 0 ? n : n - 1);
        cw_winding_destroy(&winding);

        plan = millimetre_wire((double)n + 0.5, 4 * n, CW_NESTED);
        winding = lay(&plan);
        assert_int_equal(winding->layer_count, 4);
        for (int i = 0; i < 4; i++)
            assert_int_equal(winding->layers[i].turns, n);
        assert_near(winding->layers[1].start_m - winding->layers[0].end_m, 0.5e-3, 1e-12); /* shifted by d/2 */
        cw_winding_destroy(&winding);
    }
}

/* Section 2.2: heights of 2, 5, 10 and 20 layers, in d. */
static void ordered_layers_rise_by_0_866_of_the_wire(void **state)
{
    static const struct { long layers; double height; } rows[] = {
        { 2, 1.866 }, { 5, 4.464 }, { 10, 8.794 }, { 20, 17.454 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_lay_plan plan = millimetre_wire(30.5, 30 * rows[i].layers, CW_NESTED);
        cw_winding *winding = lay(&plan);

        assert_int_equal(winding->layer_count, rows[i].layers);
        assert_near(1e3 * winding->depth_m, rows[i].height, half_unit(3));
        cw_winding_destroy(&winding);
    }
}

/* Section 2.2 and wire section 7: round wire fills pi/(2 sqrt 3) = 0.9069 of a section in hexagonal lay and pi/4 =
 * 0.7854 in square lay. A section of n by n wires loses at most half a wire at each of its edges: 2/n. */
static void wires_fill_the_section_up_to_the_hexagonal_and_the_square_limit(void **state)
{
    const long n = 1000;
    cw_lay_plan plan = millimetre_wire((double)n + 0.5, n * n, CW_NESTED);
    cw_winding *winding;

    (void)state;
    plan.window.depth_m = 1;
    winding = lay(&plan);
    assert_near(winding->covered_fill / winding->depth_m, 0.9069, 0.9069 * 2 / (double)n);
    cw_winding_destroy(&winding);

    plan.lay = CW_LEVEL;
    plan.pitch_factor = plan.rise_factor = 1;
    winding = lay(&plan);
    assert_near(winding->covered_fill / winding->depth_m, 0.7854, 0.7854 * 2 / (double)n);
    assert_near(winding->fill / winding->covered_fill, 0.81, 1e-12); /* (0.9/1.0)^2, the conductor's share */
    cw_winding_destroy(&winding);
}

/* Section 5: 2 (a - 2 rc) + 2 (b - 2 rc) + 2 pi (rc + x). For 50 mm by 30 mm, rc 3 mm, x 4 mm: 88 + 48 + 14 pi. */
static void a_turn_on_a_rectangle_is_four_flats_and_a_circle(void **state)
{
    const cw_window window = { .shape = CW_RECTANGLE, .inner_m = { 50e-3, 30e-3 }, .corner_radius_m = 3e-3 };

    (void)state;
    assert_near(1e3 * cw_window_turn_length(&window, 4e-3), 136 + 14 * pi, 1e-9);
}

/* The same rule with rc = b/2 is the obround, and with a = b the circle. */
static void obround_and_round_are_rectangles_with_full_corners(void **state)
{
    cw_window window = { .shape = CW_RECTANGLE, .inner_m = { 50e-3, 30e-3 }, .corner_radius_m = 15e-3 };
    const double rectangle = cw_window_turn_length(&window, 4e-3);

    (void)state;
    assert_near(1e3 * rectangle, 40 + 38 * pi, 1e-9);
    window.shape = CW_OBROUND;
    assert_near(cw_window_turn_length(&window, 4e-3), rectangle, 1e-12);
    window.shape = CW_ROUND;
    assert_near(1e3 * cw_window_turn_length(&window, 4e-3), 58 * pi, 1e-9);
}

/* Section 7: at the open end of two layers stand 2 V/L, L layers of the coil's V. Ten full layers on 100 V: 20 V. */
static void two_layers_differ_by_twice_a_layers_voltage(void **state)
{
    cw_lay_plan plan = millimetre_wire(30.5, 300, CW_NESTED);
    cw_winding *winding;

    (void)state;
    plan.voltage_v = 100;
    winding = lay(&plan);
    assert_int_equal(winding->layer_count, 10);
    for (size_t i = 1; i < winding->layer_count; i++)
        assert_near(winding->layers[i].voltage_to_below_v, 20, 1e-9);
    cw_winding_destroy(&winding);
}

/* Section 7: with an even number of layers both leads are at the same flange, with an odd number at opposite ones. */
static void an_even_number_of_layers_ends_where_it_began(void **state)
{
    (void)state;
    for (long layers = 1; layers < 12; layers++) {
        cw_lay_plan plan = millimetre_wire(30.5, 30 * layers, CW_NESTED);
        cw_winding *winding = lay(&plan);
        const double end = winding->layers[layers - 1].end_m;

        assert_true(layers % 2 == 0 ? end < 2e-3 : end > 28e-3);
        cw_winding_destroy(&winding);
    }
}

/* Section 9: N = m/(density A mean turn), and L = R A/rho with N = L/mean turn, give back the turns that were laid. The
 * weights and ohms of a coil carry its number of turns: exact, since no doubt of wire enters here. */
static void weight_and_ohms_give_back_the_turns(void **state)
{
    cw_lay_plan plan = { .turns = 1850 };
    cw_winding *winding;
    double section;

    plan.wire = wire_of(state, "29 AWG", CW_HEAVY);
    plan.window = (cw_window){ .inner_m = { 0.042, 0.042 }, .length_m = 0.058, .depth_m = 0.013 };
    winding = lay(&plan);
    section = 0.25 * pi * pow(plan.wire.size.diameter_m.nominal, 2);
    assert_near(winding->bare_mass_kg / (8890 * section * winding->mean_turn_m), 1850, 1e-6);
    assert_near(winding->resistance_20c_ohm * section / (1e-6 / 58) / winding->mean_turn_m, 1850, 1e-6);
    cw_winding_destroy(&winding);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_helix_takes_its_travel_and_one_wire),
        cmocka_unit_test(ordered_layers_have_n_and_n_less_one_turns_or_n_and_n),
        cmocka_unit_test(ordered_layers_rise_by_0_866_of_the_wire),
        cmocka_unit_test(wires_fill_the_section_up_to_the_hexagonal_and_the_square_limit),
        cmocka_unit_test(a_turn_on_a_rectangle_is_four_flats_and_a_circle),
        cmocka_unit_test(obround_and_round_are_rectangles_with_full_corners),
        cmocka_unit_test(two_layers_differ_by_twice_a_layers_voltage),
        cmocka_unit_test(an_even_number_of_layers_ends_where_it_began),
        cmocka_unit_test(weight_and_ohms_give_back_the_turns),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
