/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Working tension against the table that the winding notes, section 4, derive from a magnet-wire maker's chart of
 * greatest tensions: gram-force, printed to two figures. */
#include "coilwright/nc.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/near.h"

static void working_tension_is_that_of_the_table(void **state)
{
    static const struct { double diameter_mm, low_gf, high_gf; } rows[] = {
        { 0.10, 28, 44 },   { 0.15, 62, 99 },     { 0.20, 110, 180 },    { 0.25, 170, 280 },   { 0.30, 250, 400 },
        { 0.40, 440, 710 }, { 0.50, 690, 1100 },  { 0.60, 1000, 1600 },  { 0.80, 1770, 2800 }, { 1.00, 2760, 4400 },
        { 1.25, 4300, 6900 }, { 1.60, 7000, 11300 }, { 2.00, 11000, 17700 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_wire wire = { .material = CW_COPPER };
        double low, high;

        wire.size.diameter_m.nominal = rows[i].diameter_mm * 1e-3;
        cw_wire_tension_band(&wire, &low, &high);
        /* the factors 27 and 43 stand for 2 760 and 4 420 gf, two figures each: one unit of the second is 2 to 4 % */
        assert_near(low / 9.80665e-3, rows[i].low_gf, 0.03 * rows[i].low_gf);
        assert_near(high / 9.80665e-3, rows[i].high_gf, 0.03 * rows[i].high_gf);
    }
}

/* The column of greatest tensions; 54.2 d0^2 N is printed to three figures, the column to two or three. */
static void greatest_tension_is_that_of_the_table(void **state)
{
    static const struct { double diameter_mm, most_gf; } rows[] = {
        { 0.10, 55 },  { 0.15, 124 }, { 0.20, 220 },  { 0.25, 345 },  { 0.30, 500 },  { 0.40, 880 },   { 0.50, 1380 },
        { 0.60, 1990 }, { 0.80, 3530 }, { 1.00, 5520 }, { 1.25, 8630 }, { 1.60, 14100 }, { 2.00, 22100 },
    };
    cw_layer layer = { .turns = 1, .diameter_m = 0.05 };
    cw_winding winding = { .layers = &layer, .layer_count = 1 };

    (void)state;
    winding.plan.wire.material = CW_COPPER;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_handling handling;

        winding.plan.wire.size.diameter_m.nominal = rows[i].diameter_mm * 1e-3;
        cw_handling_of(&winding, &handling);
        assert_near(handling.tension_most_n / 9.80665e-3, rows[i].most_gf, 0.02 * rows[i].most_gf);
        assert_true(handling.splice_allowed);
    }
}

/* Section 5: the lever arm over a turn goes from min(a, b)/2 to sqrt(a^2 + b^2)/2; here with sharp corners and a wire that
 * lies on the former itself. A round former takes up evenly. */
static void a_rectangle_pulses_between_half_its_short_side_and_half_its_diagonal(void **state)
{
    cw_layer layer = { .turns = 1, .diameter_m = 0.05 };
    cw_winding winding = { .layers = &layer, .layer_count = 1 };
    cw_handling handling;

    (void)state;
    winding.plan.wire.material = CW_COPPER;
    winding.plan.wire.size.diameter_m.nominal = 0.3e-3;
    winding.plan.window = (cw_window){ .shape = CW_RECTANGLE, .inner_m = { 0.03, 0.04 } };
    cw_handling_of(&winding, &handling);
    assert_near(handling.take_up_least, 0.015, 1e-12);
    assert_near(handling.take_up_most, 0.025, 1e-12);
    winding.plan.window.shape = CW_ROUND;
    cw_handling_of(&winding, &handling);
    assert_near(handling.take_up_least, handling.take_up_most, 0);
}

static void aluminium_has_no_figure(void **state)
{
    cw_wire wire = { .material = CW_ALUMINIUM };
    double low = 0, high = 0;

    (void)state;
    wire.size.diameter_m.nominal = 0.3e-3;
    cw_wire_tension_band(&wire, &low, &high);
    assert_true(isnan(low) && isnan(high));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(working_tension_is_that_of_the_table),
        cmocka_unit_test(greatest_tension_is_that_of_the_table),
        cmocka_unit_test(a_rectangle_pulses_between_half_its_short_side_and_half_its_diagonal),
        cmocka_unit_test(aluminium_has_no_figure),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
