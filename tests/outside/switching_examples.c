/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Switching against published worked examples and tables.
 *
 * J. O. Bird, Electrical Circuit Theory and Technology (problem 17.7; examples 10 and 11 of p. 273); D. C.
 * Kulshreshtha, Basic Electrical Engineering (example 8.1, p. 207); T. L. Floyd, Electronic Devices (examples 2.1,
 * 2.4); a measured automotive relay; a relay maker's table of suppressors. All as gathered, and re-computed where
 * marked [D], in the project's collections of magnetic reference values (block 7) and of tests and safety (blocks
 * 10.1, 10.2). A printed figure is met where it holds to half a unit of its last digit. */
#include "coilwright/circuit.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"

#define NOTHING 1e-9 /* a member of zero would take its default */

static cw_circuit_coil *coil_of(double henry)
{
    cw_circuit_coil *coil = NULL;

    assert_int_equal(cw_circuit_coil_linear(henry, &coil, NULL), CW_OK);
    return coil;
}

/* Time at which a coil of constant inductance, switched off at `start`, falls below `level`. */
static double fall_s(double henry, double ohm, double start, double level, cw_suppressor part, double *end_s)
{
    cw_circuit_coil *coil = coil_of(henry);
    const cw_off_plan plan = { ohm, start, ohm * start, false, level, NAN, 0, 0 };
    cw_switch_off off;
    double time;

    assert_int_equal(cw_circuit_off(coil, &plan, &part, &off, NULL), CW_OK);
    time = off.time_to_release_s;
    if (end_s != NULL)
        *end_s = off.time_to_end_s;
    cw_switch_off_clear(&off);
    cw_circuit_coil_destroy(&coil);
    return time;
}

static double rise_s(double henry, double ohm, double volt, double level)
{
    cw_circuit_coil *coil = coil_of(henry);
    const cw_source source = { CW_SOURCE_DC, volt, 0, 0, 0 };
    cw_switch_on on;
    double time;

    assert_int_equal(cw_circuit_on(coil, ohm, &source, level, &on, NULL), CW_OK);
    time = on.time_to_pull_s;
    cw_switch_on_clear(&on);
    cw_circuit_coil_destroy(&coil);
    return time;
}

static void relay_of_problem_17_7_rises_as_printed(void **state)
{
    (void)state;
    /* 2.594 A to half a unit at 81 A/s is 6.2 us */
    assert_near(rise_s(0.1, 20, 60, 2.594), 10e-3, 6.2e-6);
    assert_near(1e3 * rise_s(0.1, 20, 60, 1.5), 3.466, half_unit(3));
}

static void relay_of_problem_17_7_falls_against_a_clamp_as_derived(void **state)
{
    static const double rows[][3] = { /* clamp V, ms to 20 %, ms to zero: the closed form beside the table */
        { 0.7, 7.822, 22.31 }, { 12, 5.493, 8.959 }, { 24, 4.236, 6.264 }, { 60, 2.554, 3.466 }, { 200, 1.020, 1.312 },
    };

    (void)state;
    for (int i = 0; i < 5; i++) {
        cw_suppressor part = { .kind = i == 0 ? CW_SUPPRESS_DIODE : CW_SUPPRESS_ZENER, .diode_drop_v = 0.7,
                               .zener_v = rows[i][0] - 0.7 };
        double end, time = fall_s(0.1, 20, 3, 0.6, part, &end);

        assert_near(1e3 * time, rows[i][1], half_unit(3));
        assert_near(1e3 * end, rows[i][2], half_unit(i == 0 ? 2 : 3));
    }
}

static void field_winding_of_example_10_discharges_as_printed(void **state)
{
    cw_suppressor shorted = { .kind = CW_SUPPRESS_RESISTOR, .resistance_ohm = NOTHING };
    cw_circuit_coil *coil = coil_of(30);

    (void)state;
    assert_near(fall_s(30, 15, 110. / 15, 5, shorted, NULL), 0.77, half_unit(2));
    assert_near(fall_s(30, 15, 110. / 15, 1.64, shorted, NULL), 3, 0.005 / (1.64 / 2));
    assert_near(cw_circuit_stored_j(coil, cw_circuit_flux_linkage_wb(coil, 7.33)), 806, half_unit(0)); /* [D] */
    cw_circuit_coil_destroy(&coil);
}

static void coil_of_example_11_discharges_as_printed(void **state)
{
    cw_suppressor shorted = { .kind = CW_SUPPRESS_RESISTOR, .resistance_ohm = NOTHING };

    (void)state;
    assert_near(fall_s(6, 20, 6, 0.6, shorted, NULL), 0.69, half_unit(2));
    assert_near(fall_s(6, 20, 6, 0.21, shorted, NULL), 1, 0.005 / (0.21 / 0.3));
}

static void opening_example_8_1_puts_12_v_across_the_resistor(void **state)
{
    cw_suppressor resistor = { .kind = CW_SUPPRESS_RESISTOR, .resistance_ohm = 20 };
    const cw_off_plan plan = { 10, 0.6, 24, false, NAN, NAN, 0, 0 };
    cw_circuit_coil *coil = coil_of(1);
    cw_switch_off off;

    (void)state;
    assert_int_equal(cw_circuit_off(coil, &plan, &resistor, &off, NULL), CW_OK);
    assert_near(off.curve[0].voltage_v, -12, 1e-12);
    assert_near(10 * off.curve[0].current_a - off.curve[0].voltage_v, 18, 1e-12); /* what the coil itself induces */
    cw_switch_off_clear(&off);
    cw_circuit_coil_destroy(&coil);
}

static double peak_v(double henry, double ohm, double start, cw_suppressor part)
{
    cw_circuit_coil *coil = coil_of(henry);
    const cw_off_plan plan = { ohm, start, ohm * start, false, NAN, NAN, 0, 0 };
    cw_switch_off off;
    double peak;

    assert_int_equal(cw_circuit_off(coil, &plan, &part, &off, NULL), CW_OK);
    peak = off.peak_voltage_v;
    cw_switch_off_clear(&off);
    cw_circuit_coil_destroy(&coil);
    return peak;
}

/* 12 V, 120 ohm with 680 ohm across, 115 mA for both: "about 65 V" was measured; 5 % is what "about" is taken for. */
static void measured_relay_peaks_as_measured(void **state)
{
    cw_suppressor built_in = { .kind = CW_SUPPRESS_RESISTOR, .resistance_ohm = 680 };

    (void)state;
    assert_near(peak_v(0.1, 120, 0.115 - 12. / 680, built_in), 65, 0.05 * 65);
}

/* 55 ohm, 13.5 V. The inductance is not published; the peaks do not hang on it, and the order of the times does not
 * either: 1.5 (none), 1.9 (24 V Zener), 2.3, 2.8, 3.2, 3.7, 5.5, 6.1 (resistors), 9.8 ms (diode). The peak printed
 * for 100 ohm, 24.6 V, stands one unit from the product that the collection states for the column. */
static void relay_makers_table_of_suppressors(void **state)
{
    static const double ohm[6] = { 680, 470, 330, 220, 100, 82 }, volt[6] = { 167, 115, 81, 54, 24.6, 20.1 };
    static const double limit[6] = { 0.5, 0.5, 0.5, 0.5, 0.1, 0.05 };
    double start = 13.5 / 55, level = 0.2 * start, last;
    cw_suppressor part = { .kind = CW_SUPPRESS_NONE };

    (void)state;
    last = fall_s(0.3, 55, start, level, part, NULL);
    part = (cw_suppressor){ .kind = CW_SUPPRESS_ZENER, .zener_v = 24 };
    for (int i = -1; i < 7; i++) {
        double time;

        if (i >= 0)
            part = (cw_suppressor){ .kind = CW_SUPPRESS_RESISTOR, .resistance_ohm = i < 6 ? ohm[i] : 0 };
        if (i == 6)
            part = (cw_suppressor){ .kind = CW_SUPPRESS_DIODE };
        if (i >= 0 && i < 6)
            assert_near(peak_v(0.3, 55, start, part), volt[i], limit[i]);
        time = fall_s(0.3, 55, start, level, part, NULL);
        if (i != 0) /* 680 ohm stands above 24 V down to a fifth of the current; the table has it the other way */
            assert_true(time > last);
        last = time;
    }
}

static void rectifiers_give_the_published_means(void **state)
{
    cw_source source = { CW_SOURCE_FULL_WAVE, 230, 50, 0, 0 };

    (void)state;
    assert_near(cw_source_mean_v(&source) / 230, 0.9003, half_unit(4));
    assert_near(cw_source_mean_v(&source), 207, half_unit(0));
    source.voltage_v = 15 / sqrt(2);
    assert_near(cw_source_mean_v(&source), 9.55, half_unit(2)); /* Floyd 2.4 */
    source = (cw_source){ CW_SOURCE_HALF_WAVE_FREEWHEEL, 230, 50, 0, 0 };
    assert_near(cw_source_mean_v(&source) / 230, 0.4502, half_unit(4));
    assert_near(cw_source_mean_v(&source), 103.5, half_unit(1));
    source.voltage_v = 50 / sqrt(2);
    assert_near(cw_source_mean_v(&source), 15.92, half_unit(2)); /* Floyd 2.1 */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(relay_of_problem_17_7_rises_as_printed),
        cmocka_unit_test(relay_of_problem_17_7_falls_against_a_clamp_as_derived),
        cmocka_unit_test(field_winding_of_example_10_discharges_as_printed),
        cmocka_unit_test(coil_of_example_11_discharges_as_printed),
        cmocka_unit_test(opening_example_8_1_puts_12_v_across_the_resistor),
        cmocka_unit_test(measured_relay_peaks_as_measured),
        cmocka_unit_test(relay_makers_table_of_suppressors),
        cmocka_unit_test(rectifiers_give_the_published_means),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
