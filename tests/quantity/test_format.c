/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/quantity.h"
#include "quantity/quantity_internal.h"

#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void check(cw_kind kind, double value, cw_unit_system system, int digits, const char *right)
{
    char text[64];

    assert_int_equal(cw_quantity_format(kind, value, system, digits, text, sizeof text), strlen(right));
    assert_string_equal(text, right);
}

static void the_handy_unit_of_the_system_is_chosen(void **state)
{
    (void)state;
    check(CW_LENGTH, 0.0584, CW_METRIC_UNITS, 3, "58.4 mm");
    check(CW_LENGTH, 0.0584, CW_INCH_UNITS, 4, "2.299 in");
    check(CW_LENGTH, 225.55, CW_METRIC_UNITS, 4, "225.6 m"); /* 225.55 is a hair above in binary */
    check(CW_LENGTH, 225.552, CW_INCH_UNITS, 4, "740.0 ft");
    check(CW_MASS, 0.17009713875, CW_INCH_UNITS, 3, "6.00 oz");
    check(CW_MASS, 0.186, CW_METRIC_UNITS, 3, "186 g");
    check(CW_RESISTANCE, 84.2, CW_METRIC_UNITS, 4, "84.20 ohm");
    check(CW_RESISTANCE, 1e8, CW_METRIC_UNITS, 1, "100 Mohm");
    check(CW_TEMPERATURE, 21, CW_INCH_UNITS, 3, "69.8 °F");
    check(CW_TEMPERATURE, -20, CW_METRIC_UNITS, 3, "-20.0 °C");
    check(CW_COUNT, 1850, CW_METRIC_UNITS, 4, "1850");
    check(CW_RATIO, 0.4, CW_METRIC_UNITS, 2, "40 %");
    check(CW_ROTATION, 60, CW_INCH_UNITS, 2, "60 rpm");
}

static void figures_are_significant_and_zeros_are_kept(void **state)
{
    (void)state;
    check(CW_COUNT, 12345, CW_METRIC_UNITS, 3, "12300");
    check(CW_COUNT, 999.96, CW_METRIC_UNITS, 4, "1000");
    check(CW_COUNT, 0.00123, CW_METRIC_UNITS, 4, "0.001230");
    check(CW_COUNT, 0, CW_METRIC_UNITS, 3, "0.00");
    check(CW_COUNT, -0.0, CW_METRIC_UNITS, 1, "0");
    check(CW_COUNT, 1.5e-9, CW_METRIC_UNITS, 2, "1.5e-9");
    check(CW_COUNT, 2e20, CW_METRIC_UNITS, 1, "2e20");
    check(CW_COUNT, NAN, CW_METRIC_UNITS, 3, "unknown");
    check(CW_COUNT, INFINITY, CW_METRIC_UNITS, 3, "unknown");
}

static void a_given_unit_takes_fixed_decimals(void **state)
{
    char text[64];

    (void)state;
    assert_int_equal(cw_quantity_format_in(CW_LENGTH, 0.01, "mm", 3, text, sizeof text), 9);
    assert_string_equal(text, "10.000 mm");
    cw_quantity_format_in(CW_RESISTANCE_PER_LENGTH, 130.1 / 304.8, "ohm/kft", 1, text, sizeof text);
    assert_string_equal(text, "130.1 ohm/kft");
    cw_quantity_format_in(CW_TEMPERATURE, 20, "°F", 0, text, sizeof text);
    assert_string_equal(text, "68 °F");
    cw_quantity_format_in(CW_LENGTH, -1e-9, "mm", 3, text, sizeof text);
    assert_string_equal(text, "0.000 mm");
    assert_int_equal(cw_quantity_format_in(CW_LENGTH, 0.01, "mm", 3, NULL, 0), 9);
    assert_int_equal(cw_quantity_format_in(CW_LENGTH, 0.01, "mm", 3, text, 4), 9);
    assert_string_equal(text, "10.");
    assert_true(fabs(cw_quantity_in(CW_MASS, 0.45359237, "oz") - 16) < 1e-14);
}

static double shown_error(double value, int digits)
{
    return 0.5000001 * pow(10, floor(log10(fabs(value))) + 1 - digits);
}

/* Every kind, both systems, magnitudes from 1e-7 to 1e7, with awkward mantissas. The error is judged in the unit shown,
 * where the figures were cut; for temperatures the scale's zero comes between. */
static void what_is_written_parses_back_to_the_figures_shown(void **state)
{
    (void)state;
    for (int kind = 0; kind < CW_KIND_COUNT; kind++) {
        for (int step = 0; step < 140; step++) {
            double value = 1.2345678901 * pow(10, -7 + step / 10.0), shown, wanted, scale;
            int digits = 1 + step % 15;
            char text[64];
            cw_quantity back;
            cw_error error;

            cw_quantity_format((cw_kind)kind, value, step % 2 ? CW_INCH_UNITS : CW_METRIC_UNITS, digits, text,
                               sizeof text);
            if (cw_quantity_parse((cw_kind)kind, text, strlen(text), NULL, &back, &error) != CW_OK)
                fail_msg("\"%s\": %s", text, error.text);
            shown = back.value;
            wanted = value;
            if (strstr(text, "°F") != NULL && kind == CW_TEMPERATURE)
                shown = shown * 1.8 + 32, wanted = wanted * 1.8 + 32;
            scale = strstr(text, " ") != NULL ? cw_quantity_in((cw_kind)kind, 1, strchr(text, ' ') + 1) : 1;
            if (kind == CW_TEMPERATURE)
                scale = 1;
            if (!(fabs(shown - wanted) * scale <= shown_error(wanted * scale, digits) +
                                                       4 * DBL_EPSILON * wanted * scale))
                fail_msg("%.17g became \"%s\", which is %.17g", value, text, back.value);
        }
    }
}

/* A unit of one kind may be spelled in several ways, but no spelling may be read as two values. */
static void every_unit_of_the_table_is_read_as_itself(void **state)
{
    (void)state;
    for (int kind = 0; kind < CW_KIND_COUNT; kind++) {
        const cw_kind_row *row = cw_quantity__kind((cw_kind)kind);

        for (int i = 0; i < row->unit_count; i++) {
            char text[64];
            cw_quantity quantity;
            cw_number number = { 300, "300", 0 };
            double right = cw_quantity__to_si(&row->units[i], &number);

            snprintf(text, sizeof text, "300 %s", row->units[i].name);
            assert_int_equal(cw_quantity_parse((cw_kind)kind, text, strlen(text), NULL, &quantity, NULL), CW_OK);
            assert_true(quantity.value == right);
        }
    }
}

/* In units that are a power of ten the point is moved, and nothing is rounded twice. */
static void decimal_units_give_the_double_that_si_would(void **state)
{
    static const struct { cw_kind kind; const char *text; double right; } rows[] = {
        { CW_LENGTH, "58 mm", 0.058 }, { CW_LENGTH, "0.331 mm", 0.331e-3 }, { CW_MASS, "1.79 g", 1.79e-3 },
        { CW_RATIO, "7 %", 0.07 }, { CW_RATIO, "0.1 %", 0.001 }, { CW_RESISTANCE, "803 mohm", 0.803 },
        { CW_CAPACITANCE, "4.7 nF", 4.7e-9 }, { CW_LENGTH, "-13.1 um", -13.1e-6 }, { CW_RESISTANCE, "1.1 kohm", 1100 },
        { CW_LENGTH, "1.7e2 mm", 0.17 }, { CW_AREA, "4.2 cm2", 4.2e-4 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_quantity quantity;

        assert_int_equal(cw_quantity_parse(rows[i].kind, rows[i].text, strlen(rows[i].text), NULL, &quantity, NULL),
                         CW_OK);
        assert_true(quantity.value == rows[i].right);
    }
}

static void every_kind_has_a_name_and_an_example_that_parses(void **state)
{
    (void)state;
    for (int kind = 0; kind < CW_KIND_COUNT; kind++) {
        const char *example = cw_kind_example((cw_kind)kind);
        cw_quantity quantity;

        assert_int_equal(cw_quantity_parse((cw_kind)kind, example, strlen(example), NULL, &quantity, NULL), CW_OK);
        assert_true(strncmp(cw_kind_name((cw_kind)kind), "a ", 2) == 0 ||
                    strncmp(cw_kind_name((cw_kind)kind), "an ", 3) == 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_handy_unit_of_the_system_is_chosen),
        cmocka_unit_test(figures_are_significant_and_zeros_are_kept),
        cmocka_unit_test(a_given_unit_takes_fixed_decimals),
        cmocka_unit_test(what_is_written_parses_back_to_the_figures_shown),
        cmocka_unit_test(every_unit_of_the_table_is_read_as_itself),
        cmocka_unit_test(decimal_units_give_the_double_that_si_would),
        cmocka_unit_test(every_kind_has_a_name_and_an_example_that_parses),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
