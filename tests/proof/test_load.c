/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether a pull holds a load: the arithmetic on loads whose answer is plain, and what is always said. The drilling
 * formulae: tests/outside/magnetics_drilling.c */
#include "coilwright/proof.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"

static cw_load load_of(cw_load_kind kind, double pull_n)
{
    cw_load load;

    cw_load_clear(&load);
    load.kind = kind;
    load.pull_n = pull_n;
    load.pull_at_work = true;
    load.voltage_share = 1;
    return load;
}

static cw_hold judge(const cw_load *load)
{
    cw_hold hold;
    cw_error error;

    if (cw_hold_judge(load, &hold, &error) != CW_OK)
        fail_msg("%s", error.text);
    assert_non_null(strstr(hold.text, "licensed practice"));
    return hold;
}

/* Factor 2 for electromagnets, 3 for permanent ones (a summary of ASME B30.20: 50 % and 33 % of breakaway). */
static void hang__keeps_the_factor_and_never_passes_by_itself(void **state)
{
    cw_load load = load_of(CW_LOAD_HANG, 5000);

    (void)state;
    load.force_n = 2400;
    assert_true(judge(&load).holds);
    assert_int_equal(judge(&load).verdict, CW_OPEN); /* lifting is licensed practice */
    load.force_n = 2600;
    assert_false(judge(&load).holds);
    assert_int_equal(judge(&load).verdict, CW_FAIL);
    load.magnet = CW_PERMANENT_MAGNET;
    load.force_n = 1700;
    assert_int_equal(judge(&load).verdict, CW_FAIL);
    assert_near(judge(&load).factor, 3, 0);
}

static void slide__is_held_by_friction(void **state)
{
    cw_load load = load_of(CW_LOAD_SLIDE, 4000);

    (void)state;
    load.force_n = 290; /* 0.15 x 4000 = 600 N, over 2 */
    assert_near(judge(&load).margin, 600 / 290.0, 1e-12);
    assert_int_equal(judge(&load).verdict, CW_PASS);
    load.force_n = 310;
    assert_int_equal(judge(&load).verdict, CW_FAIL);
}

static void tilt__turns_about_the_far_edge(void **state)
{
    cw_load load = load_of(CW_LOAD_TILT, 4000);

    (void)state;
    load.base_m = 0.16;
    load.force_n = 500;
    load.arm_m = 0.3;
    assert_near(judge(&load).margin, 4000 * 0.08 / 150, 1e-12);
}

/* Peel T (e + b/2) against F b/2, twist M against mu (F - T) b/4. */
static void drill__peels_and_twists(void **state)
{
    cw_load load = load_of(CW_LOAD_DRILL, 15000);
    cw_drilling_load drill;
    double peel, twist;

    (void)state;
    load.base_m = 0.165;
    load.offset_m = 0.11;
    load.friction = 0.18;
    load.drilling = (cw_drilling){ .metal = "low-carbon steel", .diameter_m = 0.0125, .feed_m = 0.2e-3, .wear = NAN };
    assert_int_equal(cw_drilling_forces(&load.drilling, &drill, NULL), CW_OK);
    peel = 15000 * 0.0825 / (drill.thrust_n * (0.11 + 0.0825));
    twist = 0.18 * (15000 - drill.thrust_n) * 0.165 / 4 / drill.torque_n_m;
    assert_near(judge(&load).margin, fmin(peel, twist), 1e-9);
    load.own_weight_n = 180;
    assert_true(judge(&load).margin < fmin(peel, twist));
}

/* A metal whose only constant is from memory leaves the answer open, however strong the magnet. */
static void drill__on_a_constant_from_memory_stays_open(void **state)
{
    cw_load load = load_of(CW_LOAD_DRILL, 500000);

    (void)state;
    load.base_m = 0.165;
    load.offset_m = 0.05;
    load.drilling = (cw_drilling){ .metal = "brass", .diameter_m = 0.010, .feed_m = 0.1e-3, .wear = NAN };
    assert_int_equal(judge(&load).verdict, CW_OPEN);
    load.drilling.metal = "aluminium";
    assert_int_equal(judge(&load).verdict, CW_PASS);
}

/* 100, 85, 70, 50 % of the pull by carbon; machined 1, painted 0.7, rusty 0.5; hot and low supply with their square. */
static void pull__is_reduced_by_what_the_work_is(void **state)
{
    static const double carbon[][2] = { { 0.0029, 1.0 },  { 0.0030, 0.85 }, { 0.0059, 0.85 },
                                        { 0.0060, 0.70 }, { 0.0099, 0.70 }, { 0.035, 0.50 } };
    cw_load load = load_of(CW_LOAD_SLIDE, 4000);

    (void)state;
    load.force_n = 100;
    load.pull_at_work = false;
    for (size_t i = 0; i < sizeof carbon / sizeof carbon[0]; i++) {
        load.carbon_share = carbon[i][0];
        assert_near(judge(&load).pull_n, 4000 * carbon[i][1], 1e-9);
    }
    load.carbon_share = 0.002;
    load.surface = CW_FACE_PAINTED;
    assert_near(judge(&load).pull_n, 2800, 1e-9);
    load.surface = CW_FACE_MACHINED;
    load.winding_c = 80;
    assert_near(judge(&load).pull_n, 4000 * 0.65, 4000 * 0.005);
    load.saturated = true;
    assert_near(judge(&load).pull_n, 4000 * 0.809, 4000 * 0.0005);
    load.voltage_share = NAN; /* 10 % below rated (ILO dock work) */
    assert_near(judge(&load).pull_n, 4000 * 0.809 * 0.9, 4000 * 0.0005);
}

static void load__bad_input_is_refused(void **state)
{
    cw_load load = load_of(CW_LOAD_TILT, 4000);
    cw_hold hold = { .pull_n = 4711 };
    cw_error error;

    (void)state;
    assert_int_equal(cw_hold_judge(&load, &hold, &error), CW_BAD_INPUT); /* no force */
    load.force_n = 10;
    assert_int_equal(cw_hold_judge(&load, &hold, &error), CW_BAD_INPUT); /* no base */
    load.base_m = 0.1;
    assert_int_equal(cw_hold_judge(&load, &hold, &error), CW_BAD_INPUT); /* no arm */
    load.arm_m = 0.1;
    load.pull_at_work = false;
    assert_int_equal(cw_hold_judge(&load, &hold, &error), CW_BAD_INPUT); /* no carbon */
    assert_non_null(strstr(error.text, "carbon"));
    load = load_of(CW_LOAD_DRILL, 4000);
    load.base_m = 0.1;
    load.drilling = (cw_drilling){ .metal = "butter", .diameter_m = 0.01, .feed_m = 0.1e-3, .wear = NAN };
    assert_int_equal(cw_hold_judge(&load, &hold, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.expected, "low-carbon steel"));
    load.pull_n = NAN;
    assert_int_equal(cw_hold_judge(&load, &hold, &error), CW_BAD_INPUT);
    assert_true(hold.pull_n == 4711);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hang__keeps_the_factor_and_never_passes_by_itself),
        cmocka_unit_test(slide__is_held_by_friction),
        cmocka_unit_test(tilt__turns_about_the_far_edge),
        cmocka_unit_test(drill__peels_and_twists),
        cmocka_unit_test(drill__on_a_constant_from_memory_stays_open),
        cmocka_unit_test(pull__is_reduced_by_what_the_work_is),
        cmocka_unit_test(load__bad_input_is_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
