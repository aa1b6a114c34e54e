/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/iron.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define MU0 (4e-7 * 3.14159265358979323846)

static void each_iron(void (*check)(const char *name, const cw_iron *iron))
{
    char name[64];

    for (size_t i = 0; cw_iron_name(i, name, sizeof name); i++) {
        cw_iron *iron;
        cw_error error;

        if (cw_iron_find(name, &iron, &error) != CW_OK)
            fail_msg("%s: %s", name, error.text);
        check(name, iron);
        cw_iron_destroy(&iron);
    }
}

/* Tables that follow vacuum's slope near saturation round B to its fourth digit, hence the 0.3 %. */
static void check_rising(const char *name, const cw_iron *iron)
{
    double last = 0, slope, energy;

    for (int i = 1; i <= 6000; i++) {
        double b = i * 1e-3, h = cw_iron_field(iron, b, &slope, &energy);

        if (!(h > last && slope > 0 && slope <= 1.003 / MU0 && energy > 0))
            fail_msg("%s at %g T: H %g after %g, slope %g of vacuum", name, b, h, last, slope * MU0);
        last = h;
    }
}

static void every_curve_rises_and_never_less_than_vacuum(void **state)
{
    (void)state;
    each_iron(check_rising);
}

static void check_derivatives(const char *name, const cw_iron *iron)
{
    for (double b = 0.0137; b < 4; b *= 1.07) {
        double d = 1e-5 * b, slope, energy[2], low, high, middle;

        middle = cw_iron_field(iron, b, &slope, NULL);
        low = cw_iron_field(iron, b - d, NULL, &energy[0]);
        high = cw_iron_field(iron, b + d, NULL, &energy[1]);
        /* a knot inside the difference changes the second derivative only */
        if (fabs((high - low) / (2 * d) / slope - 1) > 2e-3 ||
            fabs((energy[1] - energy[0]) / (2 * d) / middle - 1) > 1e-6)
            fail_msg("%s at %g T: slope %g against %g, H %g against %g", name, b, slope, (high - low) / (2 * d), middle,
                     (energy[1] - energy[0]) / (2 * d));
    }
}

static void slope_and_energy_belong_to_the_curve(void **state)
{
    (void)state;
    each_iron(check_derivatives);
}

static void check_saturation(const char *name, const cw_iron *iron)
{
    double h = cw_iron_field(iron, 12, NULL, NULL);

    if (fabs(12 - MU0 * h - cw_iron_saturation_t(iron)) > 0.02)
        fail_msg("%s: polarization %g T at 12 T, limit %g T", name, 12 - MU0 * h, cw_iron_saturation_t(iron));
}

static void polarization_approaches_its_limit(void **state)
{
    (void)state;
    each_iron(check_saturation);
}

static void table_points_are_kept(void **state)
{
    static const double h[] = { 0, 100, 300, 2000, 20000 }, b[] = { 0, 0.2, 0.9, 1.5, 2.0 };
    cw_iron *iron;

    (void)state;
    assert_int_equal(cw_iron_create(h, b, 5, 2.1, &iron, NULL), CW_OK);
    for (int i = 1; i < 5; i++)
        assert_true(fabs(cw_iron_field(iron, b[i], NULL, NULL) / h[i] - 1) < 1e-12);
    cw_iron_destroy(&iron);
}

static void bad_tables_and_names_are_refused(void **state)
{
    static const double h[] = { 0, 100, 90 }, b[] = { 0, 0.2, 0.9 }, low[] = { 0, 1e-5, 1e-4 };
    static const double rising[] = { 0, 100, 300 };
    cw_iron *iron = NULL;
    cw_error error;

    (void)state;
    assert_int_equal(cw_iron_create(h, b, 3, 2, &iron, &error), CW_BAD_INPUT);
    assert_null(iron);
    assert_int_equal(cw_iron_create(rising, low, 3, 2, &iron, &error), CW_BAD_INPUT);
    assert_int_equal(cw_iron_create(rising + 1, b + 1, 2, 2, &iron, &error), CW_BAD_INPUT);
    assert_int_equal(cw_iron_create_linear(0, &iron, &error), CW_BAD_INPUT);
    assert_int_equal(cw_iron_find("low-carbon-steal", &iron, &error), CW_BAD_INPUT);
    assert_string_equal(error.expected, "low-carbon-steel");
    assert_null(iron);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_curve_rises_and_never_less_than_vacuum),
        cmocka_unit_test(slope_and_energy_belong_to_the_curve),
        cmocka_unit_test(polarization_approaches_its_limit),
        cmocka_unit_test(table_points_are_kept),
        cmocka_unit_test(bad_tables_and_names_are_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
