/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Coils in air against published tables: Rosa and Grover, Bulletin of the Bureau of Standards 8(1), 1912 (loops,
 * Nagaoka's table); Brooks coil, Grover; the coils of a published tokamak design; and closed forms evaluated apart
 * from this code (columns marked derived in the project's collection of magnetic reference values, blocks 3.1 to 3.4).
 * A limit is half a unit of the last printed digit unless the line says otherwise. */
#include "coilwright/air.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_sf_bessel.h>

#define PI 3.14159265358979324

static void check(double got, double printed, double half_unit)
{
    if (!(fabs(got - printed) <= half_unit * 1.000001))
        fail_msg("got %.10g, printed %.10g, limit %.3g", got, printed, half_unit);
}

static void field_on_the_axis_matches_closed_forms(void **state)
{
    static const double loop[4][2] = { { 0, 1.256637 }, { 0.025, 0.899176 }, { 0.05, 0.444288 }, { 0.1, 0.112397 } };
    static const double thin[4] = { 11.239704, 10.403636, 6.095585, 0.577844 };
    static const double thick[4] = { 12.571453, 11.430267, 7.343327, 1.326931 };
    static const double large[4] = { 28.262365, 26.030968, 20.114324, 8.314489 };
    static const double at[4] = { 0, 0.25, 0.5, 1 };

    (void)state;
    for (int i = 0; i < 4; i++) {
        double radial, axial;

        cw_air_loop_field_t_per_a(0.05, 0, loop[i][0], &radial, &axial);
        check(axial * 100 * 1e3, loop[i][1], 5e-7);
        check(radial, 0, 0);
        check(1e3 * cw_air_solenoid_axis_field_t(0.025, 0.1, 500, 2, 0.1 * at[i]), thin[i], 5e-7);
        check(1e3 * cw_air_coil_axis_field_t(0.02, 0.04, 0.08, 500, 2, 0.08 * at[i]), thick[i], 5e-7);
        check(1e3 * cw_air_coil_axis_field_t(0.05, 0.1, 0.1, 1000, 4, -0.1 * at[i]), large[i], 5e-7);
    }
    check(1e3 * cw_air_coil_centre_field_t(0.02, 0.04, 0.08, 1000, 1), thick[0], 5e-7);
}

static void loops_match_the_bureau_of_standards(void **state)
{
    static const double rows[7][5] = {
        { 20, 25, 10, 0.2487874, 1.850905e-6 }, { 25, 25, 1, 1.0366648, 3.133178e-5 },
        { 25, 25, 5, 0.5384640, 6.015461e-6 },  { 25, 25, 10, 0.3376847, 2.741797e-6 },
        { 25, 25, 20, 0.1670858, 1.050907e-6 }, { 10, 10, 1, 0.3002876, 1.239937e-5 },
        { 5, 10, 2, 0.0502280, 4.219607e-7 },
    };

    (void)state;
    for (int i = 0; i < 7; i++) {
        double a = rows[i][0] / 100, b = rows[i][1] / 100, d = rows[i][2] / 100;
        double scale = pow(10, floor(log10(rows[i][4])));

        check(1e6 * cw_air_loops_mutual_h(a, b, d), rows[i][3], 5e-8);
        check(1e6 * cw_air_loops_mutual_h(b, a, -d), rows[i][3], 5e-8);
        check(cw_air_loops_force_n_per_a2(a, b, d), rows[i][4], 5e-7 * scale);
    }
}

static void nagaoka_matches_the_printed_table(void **state)
{
    static const double rows[][2] = {
        { 0.05, 0.979092 }, { 0.1, 0.958807 }, { 0.2, 0.920093 }, { 0.3, 0.883803 }, { 0.4, 0.849853 },
        { 0.5, 0.818136 },  { 0.6, 0.788525 }, { 0.7, 0.760885 }, { 0.8, 0.735079 }, { 0.9, 0.710969 },
        { 1.0, 0.688423 },  { 1.25, 0.638094 }, { 1.5, 0.595046 }, { 2, 0.525510 },  { 2.5, 0.471865 },
        { 3, 0.429199 },    { 4, 0.365432 },   { 5, 0.319825 },  { 10, 0.203324 },  { 20, 0.123615 },
        { 100, 0.034960 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(cw_air_nagaoka(rows[i][0]), rows[i][1], 5e-7);
    check(cw_air_nagaoka(0), 1, 0);
    check(cw_air_nagaoka(1e-7), 1, 1e-7);
}

/* The collection's values were cut in the tail of their Bessel integral: by 2e-7 for the thick coils, 5e-6 for the
 * last, as the next test shows by an integral of its own. */
static void multilayer_coils_match_the_exact_values(void **state)
{
    static const struct { double inner, outer, length, turns, henry, wheeler; } rows[] = {
        { 0.01, 0.02, 0.01, 1, 25.490662e-9, -0.70 },
        { 0.1, 0.2, 0.1, 100, 2.5490662e-3, -0.70 },
        { 0.02, 0.04, 0.08, 1000, 25.395128e-3, 1.49 },
        { 0.0065, 0.0135, 0.028, 957, 7.4077188e-3, 1.95 },
        { 1.3625, 2.0815, 2.075, 554, 0.7949297, -0.37 },
        { 3.4636, 4.4226, 0.9841, 248.64, 0.7034648, 2.22 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double henry = cw_air_coil_inductance(rows[i].inner, rows[i].outer, rows[i].length, rows[i].turns);
        double short_form = cw_air_coil_inductance_wheeler(rows[i].inner, rows[i].outer, rows[i].length, rows[i].turns);

        check(henry / rows[i].henry, 1, 6e-6);
        check(100 * (short_form / henry - 1), rows[i].wheeler, 0.005);
    }
}

/* The same inductance from a second integral, over the wave number k of the coil's Bessel expansion:
 *   L = 2 pi mu0 N^2 / (build l)^2  int S(k)^2 (k l - 1 + exp(-k l)) / k^2 dk,   S(k) = int r J1(k r) dr,
 * to K = 200/build, with the mean of the tail behind K, (r1 + r2) l / (3 pi K^3), added. */
static double bessel_inductance(double inner, double outer, double length)
{
    enum { STEPS = 12000, ACROSS = 120 };
    double build = outer - inner, most = 200 / build, step = most / STEPS, sum = 0;

    for (int i = 0; i < STEPS; i++) { /* midpoints in k, Simpson's rule in r */
        double k = (i + 0.5) * step, over_r = 0;

        for (int j = 0; j <= ACROSS; j++) {
            double r = inner + build * j / ACROSS;

            over_r += (j == 0 || j == ACROSS ? 1 : j % 2 ? 4 : 2) * r * gsl_sf_bessel_J1(k * r);
        }
        over_r *= build / (3 * ACROSS);
        sum += step * over_r * over_r * (k * length - 1 + exp(-k * length)) / (k * k);
    }
    sum += (inner + outer) * length / (3 * PI * most * most * most);
    return 2 * PI * 4e-7 * PI * sum / (build * build * length * length);
}

static void inductance_agrees_with_the_bessel_integral(void **state)
{
    (void)state;
    check(cw_air_coil_inductance(1, 2, 1, 1) / bessel_inductance(1, 2, 1), 1, 2e-7);
    check(cw_air_coil_inductance(3.4636, 4.4226, 0.9841, 1) / bessel_inductance(3.4636, 4.4226, 0.9841), 1, 2e-7);
}

/* Published design tables. The collection notes that their self-inductances stand 0.06 and 0.6 % from the exact
 * integral, so the tables' mutual inductances cannot be asked to do better than 0.6 %. */
static void tokamak_coils_match_their_design_table(void **state)
{
    const cw_air_coil lower = { 1.3625, 2.0815, 2.075, 3.188, 554 };
    const cw_air_coil upper = { 1.3625, 2.0815, 2.075, 5.313, 554 };
    const cw_air_coil ring = { 3.4636, 4.4226, 0.9841, 7.5641, 248.64 };

    (void)state;
    check(cw_air_coils_mutual_h(&lower, &upper) / 0.2471, 1, 6e-3);
    check(cw_air_coils_mutual_h(&ring, &upper) / 0.1348, 1, 6e-3);
    check(cw_air_coils_mutual_h(&ring, &lower) / 0.06021, 1, 6e-3);
}

/* A winding of hardly any build is Nagaoka's solenoid; one of hardly any length and build is a ring whose inductance
 * is mu0 R (ln(8 R / GMD) - 2) with the geometric mean distance 0.2235 (b + c) of a rectangle (Maxwell, art. 692). */
static void limits_are_the_solenoid_and_the_ring(void **state)
{
    double thin = cw_air_coil_inductance(0.04999, 0.05001, 0.1, 100), ring;

    (void)state;
    check(thin / cw_air_solenoid_inductance(0.05, 0.1, 100), 1, 2e-4);
    ring = cw_air_coil_inductance(0.9995, 1.0005, 0.001, 1);
    check(ring / (4e-7 * PI * (log(8 / (0.2235 * 0.002)) - 2)), 1, 1e-4);
}

static void force_of_coils_is_the_slope_of_their_mutual_inductance(void **state)
{
    cw_air_coil one = { 0.02, 0.04, 0.08, 0, 100 }, two = { 0.015, 0.05, 0.03, 0.09, 70 };
    cw_air_coil nearer = two, farther = two;
    double slope;

    (void)state;
    nearer.centre_m -= 1e-5;
    farther.centre_m += 1e-5;
    slope = (cw_air_coils_mutual_h(&one, &nearer) - cw_air_coils_mutual_h(&one, &farther)) / 2e-5;
    check(cw_air_coils_force_n_per_a2(&one, &two) / slope, 1, 1e-6);
    check(cw_air_coils_force_n_per_a2(&two, &one) / slope, 1, 1e-6);
}

/* No sources in the hole: the flux of the axial field through a disc is the mutual inductance with its rim. */
static void flux_through_a_disc_is_the_mutual_inductance(void **state)
{
    enum { RINGS = 4000 };
    double flux = 0, radial, axial, radius = 0.07;

    (void)state;
    for (int i = 0; i < RINGS; i++) {
        double r = radius * (i + 0.5) / RINGS;

        cw_air_loop_field_t_per_a(0.1, r, 0.03, &radial, &axial);
        flux += 2 * PI * r * axial * radius / RINGS;
        assert_true(radial > 0);
    }
    check(flux / cw_air_loops_mutual_h(0.1, radius, 0.03), 1, 1e-7);
}

static void coil_field_on_its_axis_is_the_closed_form(void **state)
{
    const cw_air_coil coil = { 0.02, 0.04, 0.08, 0.01, 500 };
    double radial, axial;

    (void)state;
    cw_air_coil_field_t_per_a(&coil, 0, 0.01 + 0.04, &radial, &axial);
    check(1e3 * 2 * axial, 7.343327, 5e-7);
    check(radial, 0, 0);
}

static void nonsense_is_not_a_number(void **state)
{
    double radial, axial;

    (void)state;
    assert_true(isnan(cw_air_coil_inductance(0.02, 0.02, 0.01, 10)));
    assert_true(isnan(cw_air_coil_inductance(0.02, 0.03, 0, 10)));
    assert_true(isnan(cw_air_coil_inductance(NAN, 0.03, 0.1, 10)));
    assert_true(isnan(cw_air_loops_mutual_h(0.1, 0.1, 0)));
    assert_true(isnan(cw_air_nagaoka(-1)));
    cw_air_loop_field_t_per_a(0.1, 0.1, 0, &radial, &axial);
    assert_true(isnan(radial) && isnan(axial));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(field_on_the_axis_matches_closed_forms),
        cmocka_unit_test(loops_match_the_bureau_of_standards),
        cmocka_unit_test(nagaoka_matches_the_printed_table),
        cmocka_unit_test(multilayer_coils_match_the_exact_values),
        cmocka_unit_test(inductance_agrees_with_the_bessel_integral),
        cmocka_unit_test(tokamak_coils_match_their_design_table),
        cmocka_unit_test(limits_are_the_solenoid_and_the_ring),
        cmocka_unit_test(force_of_coils_is_the_slope_of_their_mutual_inductance),
        cmocka_unit_test(flux_through_a_disc_is_the_mutual_inductance),
        cmocka_unit_test(coil_field_on_its_axis_is_the_closed_form),
        cmocka_unit_test(nonsense_is_not_a_number),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
