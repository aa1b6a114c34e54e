/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The stiff integrator against closed forms. */
#include "circuit/circuit_internal.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"

#define PI 3.14159265358979323846

/* y' = -y^2 cos t has y = 1/(1 + sin t); the sum follows int y dt. */
static void bending(const cw_ode *ode, double t, const double *y, double *rate,
                    double jacobian[CW_ODE_STATES][CW_ODE_STATES], double *sum_rate)
{
    (void)ode;
    rate[0] = -y[0] * y[0] * cos(t);
    jacobian[0][0] = -2 * y[0] * cos(t);
    sum_rate[0] = y[0];
}

/* A slow state beside one that dies 1e6 times faster and then follows a sine. */
static void stiff(const cw_ode *ode, double t, const double *y, double *rate,
                  double jacobian[CW_ODE_STATES][CW_ODE_STATES], double *sum_rate)
{
    (void)ode;
    rate[0] = -y[0] + 2;
    rate[1] = -1e6 * (y[1] - sin(t)) + cos(t);
    jacobian[0][0] = -1;
    jacobian[0][1] = jacobian[1][0] = 0;
    jacobian[1][1] = -1e6;
    sum_rate[0] = 0;
}

/* Error at t = 1.5 with a fixed number of steps: the tolerance refuses none of them. */
static double bending_error(int steps, double *sum_error)
{
    cw_ode ode = { .rates = bending, .states = 1, .sums = 1, .scale = { 1 }, .tolerance = 1e-3, .y = { 1 } };

    for (int i = 1; i <= steps; i++) {
        ode.step = 1.5 / steps;
        assert_int_equal(cw_ode__step(&ode, 1.5 * i / steps, NULL), CW_OK);
    }
    assert_int_equal(ode.steps, steps);
    *sum_error = fabs(ode.sum[0] - (tan(0.75 - PI / 4) + 1));
    return fabs(ode.y[0] - 1 / (1 + sin(1.5)));
}

static void error_falls_as_the_fourth_power_of_the_step(void **state)
{
    double sums[3], errors[3] = { bending_error(20, &sums[0]), bending_error(40, &sums[1]),
                                  bending_error(80, &sums[2]) };

    (void)state;
    for (int i = 0; i < 2; i++) {
        assert_near(log2(errors[i] / errors[i + 1]), 4, 0.3);
        assert_near(log2(sums[i] / sums[i + 1]), 4, 0.3);
    }
    assert_true(errors[2] < 1e-7);
}

static void stiff_part_is_damped_in_few_steps(void **state)
{
    cw_ode ode = { .rates = stiff, .states = 2, .scale = { 1, 1 }, .tolerance = 1e-9, .y = { 0, 1 }, .step = 1e-7 };

    (void)state;
    while (ode.t < 3)
        assert_int_equal(cw_ode__step(&ode, 3, NULL), CW_OK);
    assert_near(ode.y[0], 2 * (1 - exp(-3)), 1e-7);
    assert_near(ode.y[1], sin(3), 1e-7);
    assert_true(ode.steps < 5000); /* an explicit method needs a million */
}

static double passes_0_6(const cw_ode *ode)
{
    return ode->y[0] - 0.6;
}

static void event_is_met_exactly(void **state)
{
    cw_ode ode = { .rates = bending, .states = 1, .sums = 1, .scale = { 1 }, .tolerance = 1e-10, .y = { 1 },
                   .step = 0.1 };

    (void)state;
    for (;;) {
        cw_ode before = ode;

        assert_int_equal(cw_ode__step(&ode, 1.5, NULL), CW_OK);
        if (cw_ode__locate(&ode, &before, passes_0_6))
            break;
        assert_true(ode.t < 1.5);
    }
    assert_near(ode.y[0], 0.6, 1e-13);
    assert_near(ode.t, asin(1 / 0.6 - 1), 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(error_falls_as_the_fourth_power_of_the_step),
        cmocka_unit_test(stiff_part_is_damped_in_few_steps),
        cmocka_unit_test(event_is_met_exactly),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
