/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rule for many windings against the finite elements that it stands for, and its moments against a body of one
 * time constant. */
#include "coilwright/heat.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "near.h"

static cw_heat_part solid(const char *name, double x0, double x1, double y0, double y1, double k, double capacity)
{
    cw_heat_part part = { .kind = CW_PART_SOLID, .x = { x0, x1 }, .y = { y0, y1 }, .conductivity_w_per_mk = { k, k },
                          .capacity_j_per_m3k = capacity, .emissivity = 0.85, .limit_c = NAN };

    snprintf(part.name, sizeof part.name, "%s", name);
    return part;
}

/* A coil in air, or the same in an iron pot with a plastic former. */
static cw_heat_section coil(bool in_iron, double watts_cold)
{
    cw_heat_section s = { .ambient_c = 31 };

    if (in_iron) {
        s.part[s.part_count++] = solid("base", 0.006, 0.0473, -0.0117, 0, 55, 3.6e6);
        s.part[s.part_count++] = solid("pole", 0.006, 0.0187, 0, 0.0517, 55, 3.6e6);
        s.part[s.part_count++] = solid("rim", 0.0402, 0.0473, 0, 0.0517, 55, 3.6e6);
        s.part[s.part_count++] = solid("filling", 0.0187, 0.0402, 0, 0.0517, 0.2, 1.3e6);
    }
    s.part[s.part_count++] = solid("former", 0.0187, 0.0371, 0.0007, 0.0491, 0.22, 1.8e6);
    s.part[s.part_count] = solid("winding", 0.0204, 0.0371, 0.0024, 0.0474, in_iron ? 0.8 : 0.2, 2.6e6);
    s.part[s.part_count++].winding = true;
    s.drive = (cw_drive){ CW_DRIVE_VOLTAGE, sqrt(100 * watts_cold), 100, 0.00393 };
    return s;
}

static double by_elements(cw_heat_section *section, double *mean)
{
    const cw_heat_wish coarse = { .fineness = 0.5 };
    cw_heat *heat = NULL;
    cw_heat_result result;

    assert_int_equal(cw_heat_create(section, &coarse, &heat, NULL), CW_OK);
    assert_int_equal(cw_heat_steady(heat, &result, NULL), CW_OK);
    cw_heat_destroy(&heat);
    *mean = result.mean_winding_c;
    return result.hot_spot_c;
}

static double over_time(cw_heat_section *section, double on_s, double period_s)
{
    const cw_heat_wish coarse = { .fineness = 0.25 };
    const cw_heat_duty duty = { on_s, period_s, NAN, 0, 0 };
    cw_heat *heat = NULL;
    cw_heat_run run;
    double hot;

    assert_int_equal(cw_heat_create(section, &coarse, &heat, NULL), CW_OK);
    assert_int_equal(cw_heat_follow(heat, &duty, &run, NULL), CW_OK);
    hot = run.peak_hot_spot_c;
    cw_heat_run_clear(&run);
    cw_heat_destroy(&heat);
    return hot;
}

static void steady_rises_are_those_of_the_elements(void **state)
{
    (void)state;
    for (int in_iron = 0; in_iron < 2; in_iron++) {
        const double middle = in_iron ? 31 : 14;
        cw_heat_section s = coil(in_iron, middle);
        cw_heat_rule rule;

        assert_int_equal(cw_heat_rule_of(&s, &rule, NULL), CW_OK);
        for (int i = 0; i < 5; i++) {
            const double factor[] = { 1. / 3, 0.6, 1, 1.7, 3 };
            cw_heat_ruled ruled;
            double hot, mean;

            s.drive.value = sqrt(100 * middle * factor[i]);
            hot = by_elements(&s, &mean);
            cw_heat_rule_at(&rule, &s.drive, INFINITY, 0, &ruled);
            assert_near((ruled.mean_winding_c - 31) / (mean - 31), 1, 0.01);
            assert_near((ruled.hot_spot_c - 31) / (hot - 31), 1, 0.01);
        }
    }
}

static void intermittent_rises_are_those_of_the_elements(void **state)
{
    static const struct { double on_s, period_s; } duty[] = { { 60, 200 }, { 180, 600 }, { 900, 1800 }, { 240, 300 } };

    (void)state;
    for (int in_iron = 0; in_iron < 2; in_iron++)
        for (size_t i = 0; i < 4; i++) {
            cw_heat_section s = coil(in_iron, in_iron ? 50 : 20);
            cw_heat_rule rule;
            cw_heat_ruled ruled;
            const double hot = over_time(&s, duty[i].on_s, duty[i].period_s);

            assert_int_equal(cw_heat_rule_of(&s, &rule, NULL), CW_OK);
            cw_heat_rule_at(&rule, &s.drive, duty[i].on_s, duty[i].period_s, &ruled);
            assert_near((ruled.hot_spot_c - 31) / (hot - 31), 1, 0.03);
        }
}

/* A lump in a bath: one time constant c V/(h A). */
static void lump_has_its_one_time_constant(void **state)
{
    cw_heat_section s = { .planar = true, .depth_m = 1, .ambient_c = 20, .part_count = 2 };
    cw_heat_rule rule;

    (void)state;
    s.part[0] = solid("winding", 0, 0.02, 0, 0.02, 1e5, 2.5e6);
    s.part[0].winding = true;
    s.part[1] = (cw_heat_part){ .name = "bath", .kind = CW_PART_SINK, .x = { -1, 0 }, .y = { 0, 0.02 },
                                .coefficient_w_per_m2k = 500, .sink_c = 20, .limit_c = NAN };
    s.part[0].emissivity = 0;
    s.convection_scale = 1e-9;
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, 40, 0 };
    assert_int_equal(cw_heat_rule_of(&s, &rule, NULL), CW_OK);
    assert_near(rule.mean_k_per_w[1], 1 / (500 * 0.02), 1e-4);
    assert_near(rule.time_constant_s[1], 2.5e6 * 0.02 / 500, 0.1);
}

/* Constant current through a resistance that grows: beyond theta0 = 1/alpha nothing holds. */
static void constant_current_runs_away(void **state)
{
    cw_heat_section s = coil(false, 14);
    const cw_drive little = { CW_DRIVE_CURRENT, 0.2, 100, 0.00393 }, much = { CW_DRIVE_CURRENT, 2, 100, 0.00393 };
    cw_heat_rule rule;
    cw_heat_ruled ruled;

    (void)state;
    assert_int_equal(cw_heat_rule_of(&s, &rule, NULL), CW_OK);
    cw_heat_rule_at(&rule, &little, INFINITY, 0, &ruled);
    assert_true(isfinite(ruled.hot_spot_c));
    cw_heat_rule_at(&rule, &much, INFINITY, 0, &ruled);
    assert_true(isinf(ruled.hot_spot_c) && isinf(ruled.mean_winding_c));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steady_rises_are_those_of_the_elements),
        cmocka_unit_test(intermittent_rises_are_those_of_the_elements),
        cmocka_unit_test(lump_has_its_one_time_constant),
        cmocka_unit_test(constant_current_runs_away),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
