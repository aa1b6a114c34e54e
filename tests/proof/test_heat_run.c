/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The heat run and the way back to the moment of switch-off, on coolings whose answer is known. The resistance method
 * itself: tests/outside/resistance_method.c */
#include "coilwright/proof.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/proof_fixture.h"

/* Resistance of a body that cools as the sum of two exponentials. */
static double cooling_ohm(double time_s, double fast_share, double fast_s, double slow_s)
{
    return 84.0 + 27.0 * (fast_share * exp(-time_s / fast_s) + (1 - fast_share) * exp(-time_s / slow_s));
}

static cw_heat_run_end back(const cw_cooling_point *points, size_t count)
{
    cw_heat_run_end off;
    cw_error error;

    if (cw_extrapolate_switch_off(points, count, 84.0, &off, &error) != CW_OK)
        fail_msg("%s", error.text);
    return off;
}

/* One time constant: exact, since the logarithm is a line. */
static void switch_off__one_exponential_is_met_exactly(void **state)
{
    cw_cooling_point points[12];

    (void)state;
    for (size_t count = 2; count <= 12; count++) {
        for (size_t i = 0; i < count; i++)
            points[i] = (cw_cooling_point){ 22 + 17.0 * (double)i, cooling_ohm(22 + 17.0 * (double)i, 0, 1, 1850) };
        assert_near(back(points, count).ohm, 111.0, 1e-9);
    }
}

/* A winding that first evens out inside: the parabola must come closer than the line through the same points would. */
static void switch_off__evening_out_is_followed_by_the_parabola(void **state)
{
    cw_cooling_point points[11];
    double line;

    (void)state;
    for (size_t i = 0; i < 11; i++)
        points[i] = (cw_cooling_point){ 20 + 28.0 * (double)i, cooling_ohm(20 + 28.0 * (double)i, 0.12, 160, 2300) };
    assert_int_equal(back(points, 11).order, 2);
    line = back(points, 4).ohm; /* four readings: a line */
    assert_int_equal(back(points, 4).order, 1);
    assert_near(back(points, 11).ohm, 111.0, 0.0035 * 27); /* 0.35 % of the rise: 0.26 K of 75 */
    assert_true(fabs(back(points, 11).ohm - 111.0) < fabs(cooling_ohm(20, 0.12, 160, 2300) - 111.0));
    assert_true(fabs(line - 111.0) < 0.01 * 27);
}

/* Scatter of the readings: the doubt that is told holds the truth in about 95 of 100 runs. A fixed sequence of a linear
 * congruential generator, so that the same runs come each time; binomial bounds at 300 runs, five deviations. */
static void switch_off__its_doubt_holds_the_truth(void **state)
{
    unsigned long long seed = 2385;
    int held = 0;

    (void)state;
    for (int run = 0; run < 300; run++) {
        cw_cooling_point points[4];
        cw_heat_run_end off;

        for (size_t i = 0; i < 4; i++) {
            double noise = -6;

            for (int k = 0; k < 12; k++) { /* the sum of twelve is nearly normal */
                seed = seed * 6364136223846793005ull + 1442695040888963407ull;
                noise += (double)(seed >> 11) / 9007199254740992.0;
            }
            points[i] = (cw_cooling_point) { 25 + 20.0 * (double)i,
                                             cooling_ohm(25 + 20.0 * (double)i, 0, 1, 1900) + 0.02 * noise };
        }
        off = back(points, 4);
        held += fabs(off.ohm - 111.0) <= off.ohm_doubt;
    }
    assert_true(held >= 285 - 19 && held <= 300);
}

static void switch_off__bad_points_are_refused(void **state)
{
    static const struct { cw_cooling_point points[3]; size_t count; const char *word; } cases[] = {
        { { { 0, 0 } }, 0, "no resistance" },
        { { { 45, 110 } }, 1, "too late" },
        { { { 20, 110 }, { 20, 109 } }, 2, "rise" },
        { { { -5, 110 }, { 20, 109 } }, 2, "rise" },
        { { { 20, 110 }, { 40, 83.9 } }, 2, "not above" },
        { { { 20, 110 }, { 40, NAN } }, 2, "not above" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_heat_run_end off = { .ohm = 4711 };
        cw_error error;

        assert_int_equal(cw_extrapolate_switch_off(cases[i].points, cases[i].count, 84.0, &off, &error), CW_BAD_INPUT);
        if (strstr(error.text, cases[i].word) == NULL)
            fail_msg("'%s' does not speak of '%s'", error.text, cases[i].word);
        assert_true(off.ohm == 4711);
    }
}

static void switch_off__an_early_lone_reading_is_taken_as_it_is(void **state)
{
    const cw_cooling_point point = { 25, 109.5 };

    (void)state;
    assert_near(back(&point, 1).ohm, 109.5, 0);
    assert_int_equal(back(&point, 1).order, 0);
}

/* ---- the test ---------------------------------------------------------------------------------------------- */

/* 3.42 ohm at 20 °C, 4.22 hot (Kulshreshtha ex. 2.18): 59.53 K over a room of 20 °C; 1.5 K less over one of 21.5 °C. */
static void run__rise_is_over_the_room_at_the_end(void **state)
{
    proof_fixture *fixture = *state;
    cw_proof_reading *hot;
    const cw_proof_test *test;

    add_reading(fixture, CW_PROVE_HEAT_RUN, CW_BY_USUAL, 3.42)->at_c = 20;
    hot = add_reading(fixture, CW_PROVE_HEAT_RUN, CW_BY_USUAL, 4.22);
    hot->time_s = 0;
    hot->ambient_c = 20;
    assert_near(prove_test(fixture, CW_PROVE_HEAT_RUN)->corrected, 59.53, half_unit(2));
    hot->ambient_c = 21.5;
    test = prove_test(fixture, CW_PROVE_HEAT_RUN);
    assert_near(test->corrected, 58.03, half_unit(2));
    assert_string_equal(test->unit, "K");
    assert_int_equal(test->verdict, CW_PASS);
}

/* The readings after switch-off, cold from the winding's own resistance. T = (R2/R1)(234.5 + T1) - 234.5. */
static void run__goes_back_to_switch_off(void **state)
{
    proof_fixture *fixture = *state;
    const double hot_ohm = 111.0, cold_c = 22, wanted = hot_ohm / 84.0 * (234.5 + cold_c) - 234.5 - 22;
    const cw_proof_test *test;

    fixture->request.winding = NULL;
    add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_USUAL, 84.0)->at_c = cold_c;
    for (int i = 0; i < 6; i++) {
        const double time_s = 28 + 20.0 * i;
        cw_proof_reading *reading =
            add_reading(fixture, CW_PROVE_HEAT_RUN, CW_BY_USUAL, cooling_ohm(time_s, 0, 1, 1900));

        reading->time_s = time_s;
        reading->ambient_c = 22;
    }
    test = prove_test(fixture, CW_PROVE_HEAT_RUN);
    assert_near(test->corrected, wanted, 1e-6);
    assert_int_equal(test->verdict, CW_PASS);
    assert_non_null(strstr(test->remark, "straight line"));
}

/* Class 155 at 40 °C with 10 K from mean to hot spot: 105 K; resin of class 105 brings it to 60 K. */
static void run__the_weakest_part_sets_the_class(void **state)
{
    proof_fixture *fixture = *state;

    assert_near(prove_test(fixture, CW_PROVE_HEAT_RUN)->limit_high, 105, 1e-9);
    fixture->request.potting_class_c = 105;
    assert_near(prove_test(fixture, CW_PROVE_HEAT_RUN)->limit_high, 60, 1e-9);
    fixture->request.rise_rule = CW_RISE_CONTROL_GEAR;
    assert_near(prove_test(fixture, CW_PROVE_HEAT_RUN)->limit_high, 85, 1e-9);
    fixture->request.rise_rule = CW_RISE_MACHINE; /* from memory: an advising limit */
    assert_int_equal(prove_test(fixture, CW_PROVE_HEAT_RUN)->limits[0].role, CW_ADVISES);
}

/* IEC 60034-1 edition 12: stable means below 2 K/h. 0.35 ohm in 20 min on a coil of 84 ohm are over 3 K/h. */
static void run__an_unsteady_one_stays_open(void **state)
{
    proof_fixture *fixture = *state;

    add_reading(fixture, CW_PROVE_HEAT_RUN, CW_BY_USUAL, 84)->at_c = 22;
    for (int i = 0; i < 3; i++) {
        cw_proof_reading *reading = add_reading(fixture, CW_PROVE_HEAT_RUN, CW_BY_USUAL, 100 + 0.175 * i);

        reading->time_s = -1200 + 600.0 * i;
        reading->ambient_c = 23;
    }
    assert_int_equal(prove_test(fixture, CW_PROVE_HEAT_RUN)->verdict, CW_OPEN);
    assert_non_null(strstr(prove_test(fixture, CW_PROVE_HEAT_RUN)->remark, "K/h"));
    fixture->readings[1].value = fixture->readings[2].value = 100.3;
    assert_int_equal(prove_test(fixture, CW_PROVE_HEAT_RUN)->verdict, CW_PASS);
}

static void run__says_what_is_missing(void **state)
{
    proof_fixture *fixture = *state;
    cw_proof_reading *hot = add_reading(fixture, CW_PROVE_HEAT_RUN, CW_BY_USUAL, 104);

    hot->time_s = 20;
    assert_non_null(strstr(prove_test(fixture, CW_PROVE_HEAT_RUN)->remark, "cold resistance"));
    add_reading(fixture, CW_PROVE_HEAT_RUN, CW_BY_USUAL, 84)->at_c = 22;
    assert_non_null(strstr(prove_test(fixture, CW_PROVE_HEAT_RUN)->remark, "room"));
    fixture->readings[0].ambient_c = 23;
    assert_int_equal(prove_test(fixture, CW_PROVE_HEAT_RUN)->verdict, CW_PASS);
    fixture->readings[0].voltage_v = 96; /* at the rated voltage: at 1.1 times 21 % more power */
    assert_non_null(strstr(prove_test(fixture, CW_PROVE_HEAT_RUN)->remark, "21 %"));
}

#define with_coil(test) cmocka_unit_test_setup_teardown(test, open_proof, close_proof)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(switch_off__one_exponential_is_met_exactly),
        cmocka_unit_test(switch_off__evening_out_is_followed_by_the_parabola),
        cmocka_unit_test(switch_off__its_doubt_holds_the_truth),
        cmocka_unit_test(switch_off__bad_points_are_refused),
        cmocka_unit_test(switch_off__an_early_lone_reading_is_taken_as_it_is),
        with_coil(run__rise_is_over_the_room_at_the_end),
        with_coil(run__goes_back_to_switch_off),
        with_coil(run__the_weakest_part_sets_the_class),
        with_coil(run__an_unsteady_one_stays_open),
        with_coil(run__says_what_is_missing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
