/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thrust and torque of drills, plates and hot coils against the handbook's tables and examples.
 *
 * Machinery's Handbook, 31st ed., pp. 1151-1153; a cutting-tool maker's technical reference on drilling. The constants
 * K are from memory, so what is checked of the handbook is its arithmetic. */
#include "coilwright/proof.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"

static const double n_per_lb = 4.4482216152605, nm_per_in_lb = 0.1129848290276167;

static cw_drilling_load forces(const char *metal, double d_mm, double f_mm, double wear)
{
    const cw_drilling drilling = { .metal = metal, .diameter_m = 1e-3 * d_mm, .feed_m = 1e-3 * f_mm, .wear = wear };
    cw_drilling_load load;
    cw_error error;

    if (cw_drilling_forces(&drilling, &load, &error) != CW_OK)
        fail_msg("%s", error.text);
    return load;
}

/* 7/8 in standard drill, steel 200 HB, 0.008 in/rev, W 1.30: 2313 lb (2312.9), 559 in lb (558.8). The SI constants are
 * printed rounded: 0.05 stands for 0.0500, 0.007 for 0.0069, 0.000025 for 0.0000250. */
static void handbook_example_in_inches(void **state)
{
    const cw_drilling_load load = forces("low-carbon steel", 7 / 8.0 * 25.4, 0.008 * 25.4, 1.30);

    (void)state;
    assert_near(load.handbook_thrust_n / n_per_lb, 2312.9, 0.005 * 2312.9);
    assert_near(load.handbook_torque_n_m / nm_per_in_lb, 558.8, 0.005 * 558.8);
}

/* 22 mm, 0.20 mm/rev, mild steel: sharp 7762 N and 46.9 N m, worn 10 090 N and 60.9 N m. */
static void handbook_example_in_millimetres(void **state)
{
    const cw_drilling_load sharp = forces("low-carbon steel", 22, 0.20, 1),
                           worn = forces("low-carbon steel", 22, 0.20, NAN);

    (void)state;
    assert_near(sharp.handbook_thrust_n, 7762, 3);
    assert_near(sharp.handbook_torque_n_m, 46.9, half_unit(1));
    assert_near(worn.handbook_thrust_n, 10090, 5);
    assert_near(worn.handbook_torque_n_m, 60.9, half_unit(1));
}

/* Worn: 12.5 mm 0.20: 5423 N, 22.0 N m. 25.5 mm 0.25: 13 566 N, 95.0 N m. 32 mm 0.25: 17 870 N, 143 N m. */
static void handbook_rows(void **state)
{
    static const double rows[][4] = { { 12.5, 0.20, 5423, 22.0 },
                                      { 25.5, 0.25, 13566, 95.0 },
                                      { 32, 0.25, 17870, 143 } };

    (void)state;
    for (size_t i = 0; i < 3; i++) {
        const cw_drilling_load load = forces("low-carbon steel", rows[i][0], rows[i][1], 1.3);

        assert_near(load.handbook_thrust_n, rows[i][2], 0.001 * rows[i][2]);
        assert_near(load.handbook_torque_n_m, rows[i][3], 0.004 * rows[i][3]);
    }
}

/* The handbook's tables of F_f, F_T and F_M, which the program has as powers: half a unit of the last figure, a
 * whole one for F_T, whose last row is cut off rather than rounded (50^0.8 = 22.865, printed 22.86). The forces of a
 * split point (A 1, B 1.1, J 0.001) on a metal of K 24 000, W 1, undo to them. */
static void handbook_factors_are_the_printed_ones(void **state)
{
    static const double feeds[][2] = { { 0.05, 0.091 }, { 0.10, 0.158 }, { 0.12, 0.183 }, { 0.15, 0.219 },
                                       { 0.18, 0.254 }, { 0.20, 0.276 }, { 0.22, 0.298 }, { 0.25, 0.330 },
                                       { 0.30, 0.382 }, { 0.40, 0.480 }, { 0.50, 0.574 } };
    static const double diameters[][3] = { { 8, 5.28, 42.22 },     { 9.5, 6.06, 57.53 },  { 11, 6.81, 74.90 },
                                           { 12.5, 7.54, 94.28 },  { 14.5, 8.49, 123.1 }, { 16, 9.19, 147.0 },
                                           { 17.5, 9.87, 172.8 },  { 22, 11.86, 260.8 },  { 24, 12.71, 305.1 },
                                           { 25.5, 13.34, 340.2 }, { 27, 13.97, 377.1 },  { 28.5, 14.58, 415.6 },
                                           { 32, 16.00, 512.0 },   { 35, 17.19, 601.6 },  { 38, 18.36, 697.6 },
                                           { 42, 19.89, 835.3 },   { 50, 22.86, 1143 } };
    const double k = 24000;

    (void)state;
    for (size_t i = 0; i < sizeof feeds / sizeof feeds[0]; i++) {
        const cw_drilling drilling = { .metal = "low-carbon steel", .diameter_m = 0.016, .feed_m = 1e-3 * feeds[i][0],
                                       .split_point = true, .wear = 1 };
        cw_drilling_load load;

        assert_int_equal(cw_drilling_forces(&drilling, &load, NULL), CW_OK);
        assert_near(load.handbook_torque_n_m / (0.000025 * k * pow(16, 1.8)), feeds[i][1], half_unit(3));
    }
    for (size_t i = 0; i < sizeof diameters / sizeof diameters[0]; i++) {
        const double d = diameters[i][0];
        const cw_drilling drilling = { .metal = "low-carbon steel", .diameter_m = 1e-3 * d, .feed_m = 0.2e-3,
                                       .split_point = true, .wear = 1 };
        cw_drilling_load load;
        double thrust;

        assert_int_equal(cw_drilling_forces(&drilling, &load, NULL), CW_OK);
        thrust = load.handbook_thrust_n - 0.007 * k * d * d * 0.001;
        assert_near(thrust / (0.05 * k * pow(0.2, 0.8) * 1.1), diameters[i][1], 2 * half_unit(2));
        assert_near(load.handbook_torque_n_m / (0.000025 * k * pow(0.2, 0.8)), diameters[i][2],
                    0.001 * diameters[i][2]);
    }
}

/* 570 K D f^0.85, K D^2 (0.630 + 16.84 f)/100 with K 2.22: 22 mm, 0.20: 7088 N, 43.0 N m; the shares printed at the
 * formula. */
static void catalogue_formula(void **state)
{
    static const struct { const char *metal; double k;
    } metals[] = {
        { "low-carbon steel", 2.22 },
        { "free-cutting steel", 1.42 },
        { "manganese steel 200 HB", 1.45 },
        { "chromium-molybdenum steel 230 HB", 2.10 },
        { "chromium-molybdenum steel 270 HB", 2.41 },
        { "cast iron 180 HB", 1.00 },
        { "cast iron 200 HB", 1.39 },
        { "cast iron 220 HB", 1.88 },
        { "aluminium", 1.01 },
    };
    const cw_drilling_load mild = forces("low-carbon steel", 22, 0.20, 1);

    (void)state;
    assert_near(mild.catalogue_thrust_n, 7088, 1);
    assert_near(mild.catalogue_torque_n_m, 43.0, half_unit(1));
    for (size_t i = 0; i < sizeof metals / sizeof metals[0]; i++)
        assert_near(forces(metals[i].metal, 22, 0.20, 1).catalogue_thrust_n / mild.catalogue_thrust_n,
                    metals[i].k / 2.22, 1e-9);
}

/* Kerf model, f 0.15: D 20/32/50 mm, kerf 4/4.5/5 mm: 10.8/20.8/37.8 N m and 670/760/840 N; half of it comes on top. */
static void annular_cutters(void **state)
{
    static const double rows[][4] = { { 20, 12, 10.8, 670 }, { 32, 23, 20.8, 760 }, { 50, 40, 37.8, 840 } };

    (void)state;
    for (size_t i = 0; i < 3; i++) {
        const cw_drilling drilling = { .metal = "low-carbon steel",
                                       .diameter_m = 1e-3 * rows[i][0],
                                       .feed_m = 0.15e-3,
                                       .annular = true,
                                       .core_diameter_m = 1e-3 * rows[i][1],
                                       .wear = NAN };
        cw_drilling_load load;

        assert_int_equal(cw_drilling_forces(&drilling, &load, NULL), CW_OK);
        assert_near(load.torque_n_m / 1.5, rows[i][2], 0.006 * rows[i][2]);
        assert_near(load.thrust_n / 1.5, rows[i][3], 5);
    }
}

/* Hot coil at constant voltage: 80 °C 0.809, 105 °C 0.750; the pull with its square 0.65 and 0.56. */
static void hot_coils(void **state)
{
    (void)state;
    assert_near(cw_hot_ampere_turns_share(80), 0.809, half_unit(3));
    assert_near(cw_hot_ampere_turns_share(105), 0.750, half_unit(3));
    assert_near(pow(cw_hot_ampere_turns_share(80), 2), 0.65, half_unit(2));
    assert_near(pow(cw_hot_ampere_turns_share(105), 2), 0.56, half_unit(2));
}

/* H_c 300 A/m, 0.2 m of iron, 0.2 mm of gap in all: 0.38 T, 57 kPa. */
static void residual_hold(void **state)
{
    double b, p;

    (void)state;
    cw_residual_hold(300, 0.2, 0.1e-3, 1.0, &b, &p);
    assert_near(b, 0.38, half_unit(2));
    assert_near(p, 57e3, 500);
    cw_residual_hold(300, 0.2, 0.001e-3, 0.9, &b, &p);
    assert_near(b, 0.9, 1e-12);
}

/* The plate carries the pole's flux: pi d^2/4 B_gap = pi d t B_sat at the rim of a round pole. */
static void plates_carry_the_flux_of_the_pole(void **state)
{
    const double pi = 3.14159265358979323846, d = 0.0385, gap_t = 1.15, saturation_t = 1.85;

    (void)state;
    assert_near(pi * d * cw_plate_round_pole_m(d, gap_t, saturation_t) * saturation_t, pi / 4 * d * d * gap_t, 1e-15);
    assert_near(2 * cw_plate_bar_pole_m(d, gap_t, saturation_t, true) * saturation_t, d * gap_t, 1e-15);
    assert_near(cw_plate_bar_pole_m(d, gap_t, saturation_t, false) * saturation_t, d * gap_t, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(handbook_example_in_inches),
        cmocka_unit_test(handbook_example_in_millimetres),
        cmocka_unit_test(handbook_rows),
        cmocka_unit_test(handbook_factors_are_the_printed_ones),
        cmocka_unit_test(catalogue_formula),
        cmocka_unit_test(annular_cutters),
        cmocka_unit_test(hot_coils),
        cmocka_unit_test(residual_hold),
        cmocka_unit_test(plates_carry_the_flux_of_the_pole),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
