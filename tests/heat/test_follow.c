/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heat over time against closed forms (H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. 1959,
 * secs. 3.3 and 7.6), and the fit of a heat run against runs made with known factors. */
#include "coilwright/heat.h"

#include "heat/heat_json.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_sf_bessel.h>

#include "near.h"

#define PI 3.14159265358979323846

static cw_heat_part solid(const char *name, double x0, double x1, double y0, double y1, double k)
{
    cw_heat_part part = { .kind = CW_PART_SOLID, .x = { x0, x1 }, .y = { y0, y1 }, .conductivity_w_per_mk = { k, k },
                          .capacity_j_per_m3k = 2.5e6, .emissivity = 0.9, .limit_c = NAN };

    snprintf(part.name, sizeof part.name, "%s", name);
    return part;
}

static cw_heat_part sink(double x0, double x1, double y0, double y1, double coefficient, double sink_c)
{
    return (cw_heat_part){ .name = "sink", .kind = CW_PART_SINK, .x = { x0, x1 }, .y = { y0, y1 },
                           .coefficient_w_per_m2k = coefficient, .sink_c = sink_c, .limit_c = NAN };
}

/* A block of 20 mm, 1 m deep, cooled on the right, elsewhere insulated. */
static cw_heat_section block(double k, double coefficient)
{
    cw_heat_section s = { .planar = true, .depth_m = 1, .ambient_c = 20, .part_count = 5 };

    s.part[0] = solid("winding", 0, 0.02, 0, 0.02, k);
    s.part[0].winding = true;
    s.part[1] = sink(-1, 0, 0, 0.02, 0, 0);
    s.part[2] = sink(0.02, 1, 0, 0.02, coefficient, 20);
    s.part[3] = sink(0, 0.02, -1, 0, 0, 0);
    s.part[4] = sink(0, 0.02, 0.02, 1, 0, 0);
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, 40, 0 };
    return s;
}

static cw_heat_run follow(const cw_heat_section *section, double fineness, cw_heat_duty duty)
{
    const cw_heat_wish wish = { fineness, 0 };
    cw_heat *heat = NULL;
    cw_heat_run run;
    cw_error error = { 0 };

    assert_int_equal(cw_heat_create(section, &wish, &heat, &error), CW_OK);
    if (cw_heat_follow(heat, &duty, &run, &error) != CW_OK)
        fail_msg("%s", error.text);
    assert_true(run.energy_error < 1e-6);
    cw_heat_destroy(&heat);
    return run;
}

/* Conducting so well that it is one lump: rise 40 K (1 - exp(-t/1000 s)). */
static void lump_warms_by_the_exponential(void **state)
{
    cw_heat_section s = block(1e4, 50);
    double area = 0.02, final = 40 / (50 * area), tau = 2.5e6 * 0.02 * 0.02 / (50 * area);
    cw_heat_run run;

    (void)state;
    s.part[0].limit_c = 20 + 0.8 * final;
    run = follow(&s, 0.17, (cw_heat_duty){ INFINITY, 0, NAN, 0, 0.001 });
    assert_near(run.time_constant_s / tau, 1, 1e-3);
    assert_near(run.longest_on_s / (-tau * log(0.2)), 1, 1e-3);
    assert_true(run.settled);
    for (size_t i = 0; i < run.count; i++)
        assert_near(run.curve[i].mean_winding_c - 20, -final * expm1(-run.curve[i].time_s / tau), 1e-3 * final);
    cw_heat_run_clear(&run);
}

/* The error of the scheme falls as the square of the step: with a tolerance a quarter as large, steps are half as
 * long. */
static double lump_error(double tolerance)
{
    cw_heat_section s = block(1e4, 50);
    double worst = 0;
    cw_heat_run run = follow(&s, 0.17, (cw_heat_duty){ INFINITY, 0, NAN, 800, tolerance });

    for (size_t i = 0; i < run.count; i++)
        worst = fmax(worst, fabs(run.curve[i].mean_winding_c - 20 + 40 * expm1(-run.curve[i].time_s / 1000)));
    cw_heat_run_clear(&run);
    return worst;
}

static void finer_steps_leave_less(void **state)
{
    double coarse = lump_error(0.4), fine = lump_error(0.4 / 64);

    (void)state;
    assert_true(fine < coarse / 16); /* steps an eighth as long; second order would give 64, chosen steps less */
    assert_true(lump_error(0.2) < 0.05);
}

/* A slab of half-thickness L whose face is held from the first moment: the mean is
 * 8/pi^2 sum exp(-(2n+1)^2 pi^2 F/4)/(2n+1)^2. */
static void slab_cools_by_the_series(void **state)
{
    cw_heat_section s = block(0.5, 1e9);
    double length = 0.02, diffusivity = 0.5 / 2.5e6;
    cw_heat_run run;

    (void)state;
    s.drive.value = 0;
    run = follow(&s, 2, (cw_heat_duty){ INFINITY, 0, 120, 2000, 0.02 });
    for (size_t i = 0; i < run.count; i++) {
        double fourier = diffusivity * run.curve[i].time_s / (length * length), mean = 0;

        if (fourier < 0.02) /* the first moments belong to the mesh */
            continue;
        for (int n = 0; n < 50; n++)
            mean += 8 / (PI * PI) * exp(-pow((2 * n + 1) * PI / 2, 2) * fourier) / pow(2 * n + 1, 2);
        assert_near(run.curve[i].mean_winding_c, 20 + 100 * mean, 0.1);
    }
    cw_heat_run_clear(&run);
}

/* A long cylinder with a coefficient at its rim: the mean is sum 4 Bi^2/(b^2 (Bi^2 + b^2)) exp(-b^2 F) with
 * b J1(b) = Bi J0(b). */
static void cylinder_cools_by_the_series(void **state)
{
    cw_heat_section s = { .ambient_c = 20, .part_count = 4 };
    double k = 0.5, radius = 0.02, h = 25, biot = h * radius / k, diffusivity = k / 2.5e6, root[20];
    cw_heat_run run;

    (void)state;
    s.part[0] = solid("winding", 0, radius, 0, 0.02, k);
    s.part[0].winding = true;
    s.part[1] = sink(radius, 1, 0, 0.02, h, 20);
    s.part[2] = sink(0, radius, -1, 0, 0, 0);
    s.part[3] = sink(0, radius, 0.02, 1, 0, 0);
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 0, 1, 0 };
    for (int n = 0; n < 20; n++) {
        double low = n > 0 ? gsl_sf_bessel_zero_J1((unsigned)n) : 1e-9, high = gsl_sf_bessel_zero_J0((unsigned)n + 1);

        for (int i = 0; i < 100; i++) {
            double b = 0.5 * (low + high);

            if ((b * gsl_sf_bessel_J1(b) - biot * gsl_sf_bessel_J0(b)) * (n % 2 == 0 ? 1 : -1) < 0)
                low = b;
            else
                high = b;
        }
        root[n] = low;
    }
    run = follow(&s, 1, (cw_heat_duty){ INFINITY, 0, 120, 4000, 0.02 });
    for (size_t i = 1; i < run.count; i++) {
        double fourier = diffusivity * run.curve[i].time_s / (radius * radius), mean = 0;

        for (int n = 0; n < 20 && fourier > 0.01; n++)
            mean += 4 * biot * biot / (root[n] * root[n] * (biot * biot + root[n] * root[n])) *
                    exp(-root[n] * root[n] * fourier);
        if (fourier > 0.01)
            assert_near(run.curve[i].mean_winding_c, 20 + 100 * mean, 0.1);
    }
    cw_heat_run_clear(&run);
}

static void duty_of_a_lump_settles_at_the_closed_form(void **state)
{
    cw_heat_section s = block(1e4, 50); /* 40 K, 1000 s */
    const cw_heat_curve curve = { 40, 1000 };
    cw_heat_run run = follow(&s, 0.17, (cw_heat_duty){ 200, 500, NAN, 0, 0.02 });

    (void)state;
    assert_true(run.settled && run.cycles > 5);
    assert_near(run.peak_hot_spot_c, 20 + cw_heat_duty_peak_k(&curve, 1, 200, 500), 0.1);
    assert_near(run.trough_hot_spot_c - 20, (run.peak_hot_spot_c - 20) * exp(-0.3), 0.05);
    cw_heat_run_clear(&run);
}

/* A period of a thousandth of the time constant: cycles beyond number, so the series is summed. */
static void slow_body_under_quick_cycles_settles_too(void **state)
{
    cw_heat_section s = block(1e4, 50);
    const cw_heat_curve curve = { 40, 1000 };
    cw_heat_run run = follow(&s, 0.17, (cw_heat_duty){ 0.4, 1, NAN, 0, 0 });

    (void)state;
    assert_true(run.settled);
    assert_near(run.peak_hot_spot_c, 20 + cw_heat_duty_peak_k(&curve, 1, 0.4, 1), 0.2);
    cw_heat_run_clear(&run);
}

static void constant_current_runs_away_where_no_state_exists(void **state)
{
    cw_heat_section s = block(1e4, 50);
    cw_heat_run run;

    (void)state;
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, 300, 1 / 254.5 }; /* theta0 = 300 K, beyond 254.5 */
    run = follow(&s, 0.17, (cw_heat_duty){ INFINITY, 0, NAN, 0, 0 });
    assert_true(run.runs_away && !run.settled);
    cw_heat_run_clear(&run);
    s.drive.kind = CW_DRIVE_VOLTAGE;
    s.drive.value = 300; /* the same loss cold, at constant voltage */
    run = follow(&s, 0.17, (cw_heat_duty){ INFINITY, 0, NAN, 0, 0 });
    assert_false(run.runs_away);
    cw_heat_run_clear(&run);
}

/* ---- the fit, the document -------------------------------------------------------------------------------------- */

static cw_heat_section coil(void)
{
    cw_heat_section s = { .ambient_c = 22, .part_count = 2 };

    s.part[0] = solid("former", 0.018, 0.04, 0, 0.05, 0.22);
    s.part[1] = solid("winding", 0.02, 0.04, 0.002, 0.048, 0.3);
    s.part[1].winding = true;
    s.part[1].conductivity_spread = 2;
    s.part[1].limit_c = 155;
    s.drive = (cw_drive){ CW_DRIVE_VOLTAGE, 50, 100, 0.00393 };
    return s;
}

static double steady_mean(const cw_heat_section *section)
{
    cw_heat *heat = NULL;
    cw_heat_result result;

    assert_int_equal(cw_heat_create(section, NULL, &heat, NULL), CW_OK);
    assert_int_equal(cw_heat_steady(heat, &result, NULL), CW_OK);
    cw_heat_destroy(&heat);
    return result.mean_winding_c;
}

static void fit_finds_the_factors_of_a_run(void **state)
{
    cw_heat_section s = coil(), made = s;
    cw_heat_reading readings[12];
    cw_heat_fit fit;
    cw_heat_run run;

    (void)state;
    made.convection_scale = 1.1;
    made.conductivity_scale = 0.75;
    run = follow(&made, 1, (cw_heat_duty){ INFINITY, 0, 22, 8000, 0.02 });
    for (int i = 0; i < 12; i++) {
        double time = 60. * i * i, mean = 22;

        for (size_t k = 1; k < run.count; k++)
            if (run.curve[k - 1].time_s <= time && run.curve[k].time_s >= time) {
                const cw_heat_point *a = &run.curve[k - 1], *b = &run.curve[k];

                mean = a->mean_winding_c + (b->mean_winding_c - a->mean_winding_c) * (time - a->time_s) /
                                               (b->time_s - a->time_s);
            }
        readings[i] = (cw_heat_reading){ time, 100 * (1 + 0.00393 * (mean - 20)), 22, 0.05 };
    }
    cw_heat_run_clear(&run);
    assert_int_equal(cw_heat_fit_run(&s, readings, 12, &fit, NULL), CW_OK);
    assert_near(log(fit.convection_scale / 1.1), 0, fit.convection_doubt);
    assert_near(log(fit.conductivity_scale / 0.75), 0, fit.conductivity_doubt);
    assert_true(fit.convection_doubt < CW_CONVECTION_SPREAD && fit.conductivity_doubt < log(2));
    assert_true(fit.worst_z < 2);
    /* the prediction redone with them is that of the coil that was run */
    s.convection_scale = fit.convection_scale;
    s.conductivity_scale = fit.conductivity_scale;
    assert_near(steady_mean(&s), steady_mean(&made), 0.5);
}

static void fit_refuses_what_is_no_run(void **state)
{
    cw_heat_section s = coil();
    cw_heat_reading readings[3] = { { 0, 100, 20, 0.1 }, { 60, 101, 20, 0.1 }, { 60, 102, 20, 0.1 } };
    cw_heat_fit fit;
    cw_error error;

    (void)state;
    assert_int_equal(cw_heat_fit_run(&s, readings, 2, &fit, &error), CW_BAD_INPUT);
    assert_int_equal(cw_heat_fit_run(&s, readings, 3, &fit, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "Reading 3"));
}

static void json_has_the_keys_of_the_contract(void **state)
{
    static const char *const keys[] = { "hot_spot_c", "mean_winding_c", "surface_c", "resistance_hot_ohm", "power_w",
                                        "thermal_class", "margin_k", "time_constant_s" };
    cw_heat_section s = coil();
    cw_heat_result r;
    cw_heat_run run = follow(&s, 0.34, (cw_heat_duty){ INFINITY, 0, NAN, 0, 0 });
    json_t *json;

    (void)state;
    assert_int_equal(cw_heat_steady_with_doubt(&s, NULL, &r, NULL), CW_OK);
    json = cw_heat_json(&r, 155, &run, NULL);
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        assert_true(json_is_real(json_object_get(json, keys[i])));
    assert_near(json_real_value(json_object_get(json, "margin_k")), 155 - r.hot_spot_c, 1e-12);
    assert_int_equal(json_array_size(json_object_get(json, "curve")), run.count);
    assert_near(json_real_value(json_object_get(json_array_get(json_object_get(json, "curve"), 0), "hot_spot_c")), 22,
                1e-9);
    json_decref(json);
    cw_heat_run_clear(&run);
}

static void running_out_of_memory_leaves_nothing_behind(void **state)
{
    const cw_heat_wish coarse = { 0.17, 0 };
    const cw_heat_duty duty = { INFINITY, 0, NAN, 100, 5 };
    cw_heat_section s = coil();
    cw_heat *heat = NULL;
    cw_status status = CW_NO_MEMORY;

    (void)state;
    assert_int_equal(cw_heat_create(&s, &coarse, &heat, NULL), CW_OK);
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_heat_run run;

        cw_memory_fail_after(granted);
        status = cw_heat_follow(heat, &duty, &run, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || run.curve == NULL);
        cw_heat_run_clear(&run);
    }
    assert_int_equal(status, CW_OK);
    cw_heat_destroy(&heat);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lump_warms_by_the_exponential),
        cmocka_unit_test(finer_steps_leave_less),
        cmocka_unit_test(slab_cools_by_the_series),
        cmocka_unit_test(cylinder_cools_by_the_series),
        cmocka_unit_test(duty_of_a_lump_settles_at_the_closed_form),
        cmocka_unit_test(slow_body_under_quick_cycles_settles_too),
        cmocka_unit_test(constant_current_runs_away_where_no_state_exists),
        cmocka_unit_test(fit_finds_the_factors_of_a_run),
        cmocka_unit_test(fit_refuses_what_is_no_run),
        cmocka_unit_test(json_has_the_keys_of_the_contract),
        cmocka_unit_test(running_out_of_memory_leaves_nothing_behind),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
