/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Spindle and profile against their closed forms. */
#include "nc/nc_simulation.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void near(double is, double should, double tolerance)
{
    if (!(fabs(is - should) <= tolerance))
        fail_msg("%.12g, not %.12g", is, should);
}

/* 60 a minute in 2 s, 3 s down. */
static cw_nc_spindle spindle_at(double rpm, double target_rpm)
{
    cw_machine machine;
    cw_nc_spindle spindle;

    cw_machine_init(&machine);
    cw_machine_defaults(&machine);
    machine.spin_down_s = 3;
    cw_nc__spindle_start(&spindle, &machine);
    spindle.rpm = rpm;
    spindle.target_rpm = target_rpm;
    return spindle;
}

/* Straight ramp: turns = rpm t/120; level: rpm t/60. */
static void spindle_lays_half_the_turns_of_level_speed_in_a_ramp(void **state)
{
    cw_nc_spindle up = spindle_at(0, 60), down = spindle_at(60, 0);

    (void)state;
    near(cw_nc__spindle_time_to_target(&up), 2, 1e-12);
    near(cw_nc__spindle_turns_in(&up, 2), 1, 1e-12);
    near(cw_nc__spindle_turns_in(&up, 5), 4, 1e-12);
    near(cw_nc__spindle_time_to_target(&down), 3, 1e-12);
    near(cw_nc__spindle_turns_in(&down, 3), 1.5, 1e-12);
    near(cw_nc__spindle_turns_in(&down, 100), 1.5, 1e-12);
}

static void spindle_time_for_turns_undoes_turns_in_time(void **state)
{
    const double targets[] = { 60, 31.7, 0, -45 };

    (void)state;
    for (size_t i = 0; i < sizeof targets / sizeof targets[0]; i++) {
        cw_nc_spindle spindle = spindle_at(23.5, targets[i]);

        for (double time_s = 0.05; time_s < 1.1; time_s += 0.05)
            near(cw_nc__spindle_time_for(&spindle, cw_nc__spindle_turns_in(&spindle, time_s)), time_s, 1e-9);
    }
}

static void spindle_never_reaches_turns_beyond_its_rest(void **state)
{
    cw_nc_spindle down = spindle_at(60, 0);

    (void)state;
    assert_true(isinf(cw_nc__spindle_time_for(&down, 1.6)));
    assert_true(isinf(cw_nc__spindle_time_for(&down, -1)));
}

static void spindle_reverses_through_rest(void **state)
{
    cw_nc_spindle spindle = spindle_at(60, -60);

    (void)state;
    near(cw_nc__spindle_time_to_target(&spindle), 5, 1e-12);
    near(cw_nc__spindle_turns_in(&spindle, 5), 1.5 - 1, 1e-12);
}

static void passing_in_pieces_is_passing_at_once(void **state)
{
    cw_nc_spindle pieces = spindle_at(10, 47), whole = pieces;

    (void)state;
    for (int i = 0; i < 40; i++)
        cw_nc__spindle_pass(&pieces, 0.05);
    cw_nc__spindle_pass(&whole, 2);
    near(pieces.turns, whole.turns, 1e-12);
    near(pieces.rpm, whole.rpm, 1e-12);
}

static void spindle_without_a_ramp_changes_at_once(void **state)
{
    cw_nc_spindle spindle = spindle_at(0, 90);

    (void)state;
    spindle.up_rpm_s = spindle.down_rpm_s = INFINITY;
    near(cw_nc__spindle_time_to_target(&spindle), 0, 0);
    near(cw_nc__spindle_turns_in(&spindle, 2), 3, 1e-12);
    near(cw_nc__spindle_time_for(&spindle, 3), 2, 1e-12);
}

/* From rest to rest, L at v with a: L/v + v/a; where v is not reached: 2 sqrt(L/a). [NC 7.4] */
static void profile_takes_as_long_as_its_closed_form(void **state)
{
    cw_nc_profile profile;

    (void)state;
    cw_nc__profile_make(&profile, 0.1, 0, 0.02, 0, 0.5, 0.5);
    near(cw_nc__profile_span(&profile), 0.1 / 0.02 + 0.02 / 0.5, 1e-12);
    cw_nc__profile_make(&profile, 0.0004, 0, 0.05, 0, 0.5, 0.5);
    near(cw_nc__profile_span(&profile), 2 * sqrt(0.0004 / 0.5), 1e-12);
    cw_nc__profile_make(&profile, 0.1, 0.02, 0.02, 0.02, 0.5, 0.5);
    near(cw_nc__profile_span(&profile), 5, 1e-12);
    cw_nc__profile_make(&profile, 0.1, 0, 0.02, 0, INFINITY, INFINITY);
    near(cw_nc__profile_span(&profile), 5, 1e-12);
}

static void profile_trails_by_the_lag_on_its_level_part(void **state)
{
    cw_nc_profile profile;
    double v = 0.02, a = 0.5;

    (void)state;
    cw_nc__profile_make(&profile, 0.1, 0, v, 0, a, a);
    near(v * 2 - cw_nc__profile_distance(&profile, 2), v * v / (2 * a), 1e-12);
}

static void profile_variable_undoes_distance(void **state)
{
    const double ins[] = { 0, 0.01, 0.03 }, distances[] = { 0.1, 0.002, 0.0005 };

    (void)state;
    for (size_t i = 0; i < 9; i++) {
        cw_nc_profile profile;
        double span;

        cw_nc__profile_make(&profile, distances[i / 3], ins[i % 3], 0.04, ins[2 - i % 3], 0.5, 0.3);
        span = cw_nc__profile_span(&profile);
        near(cw_nc__profile_distance(&profile, span), distances[i / 3], 0);
        for (int step = 1; step < 20; step++)
            near(cw_nc__profile_variable(&profile, cw_nc__profile_distance(&profile, span * step / 20)),
                 span * step / 20, 1e-9 * span);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spindle_lays_half_the_turns_of_level_speed_in_a_ramp),
        cmocka_unit_test(spindle_time_for_turns_undoes_turns_in_time),
        cmocka_unit_test(spindle_never_reaches_turns_beyond_its_rest),
        cmocka_unit_test(spindle_reverses_through_rest),
        cmocka_unit_test(passing_in_pieces_is_passing_at_once),
        cmocka_unit_test(spindle_without_a_ramp_changes_at_once),
        cmocka_unit_test(profile_takes_as_long_as_its_closed_form),
        cmocka_unit_test(profile_trails_by_the_lag_on_its_level_part),
        cmocka_unit_test(profile_variable_undoes_distance),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
