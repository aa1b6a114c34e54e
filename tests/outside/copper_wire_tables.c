/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The copper wire tables of the US National Bureau of Standards [NBS31], as three general works reprint them: diameters
 * in mil, ohms per 1000 ft at 20 °C, pounds per 1000 ft and feet per pound of bare copper, 10 to 44 AWG. Values as
 * printed, typed here; the program computes its own from the gauge's definition, 1/58 ohm mm2/m and 8890 kg/m3.
 *
 * Tolerance: half a unit of the last printed figure. The tables were computed with 10371 ohm for 1000 ft of one
 * circular mil, which is 1/58 ohm mm2/m rounded to five figures: 2e-5 more for the ohms. */
#include "coilwright/wire.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

typedef struct printed {
    int gauge;
    double value;
    int decimals;
} printed;

static const double kilofoot = 304.8, pound = 0.45359237;

static cw_wire bare(void **state, int gauge)
{
    char name[16];

    snprintf(name, sizeof name, "%d AWG", gauge);
    return wire_of(state, name, CW_BARE);
}

static void diameters_are_those_of_the_table(void **state)
{
    static const printed mils[] = {
        { 10, 101.9, 1 }, { 11, 90.74, 2 }, { 12, 80.81, 2 }, { 13, 71.96, 2 }, { 14, 64.08, 2 }, { 15, 57.07, 2 },
        { 16, 50.82, 2 }, { 17, 45.26, 2 }, { 18, 40.30, 2 }, { 19, 35.89, 2 }, { 20, 31.96, 2 }, { 21, 28.46, 2 },
        { 22, 25.35, 2 }, { 23, 22.57, 2 }, { 24, 20.10, 2 }, { 25, 17.90, 2 }, { 26, 15.94, 2 }, { 27, 14.20, 2 },
        { 28, 12.64, 2 }, { 29, 11.26, 2 }, { 30, 10.03, 2 }, { 31, 8.928, 3 }, { 32, 7.950, 3 }, { 33, 7.080, 3 },
        { 34, 6.305, 3 }, { 35, 5.615, 3 }, { 36, 5.000, 3 }, { 37, 4.453, 3 }, { 38, 3.965, 3 }, { 39, 3.531, 3 },
        { 40, 3.145, 3 }, { 41, 2.800, 3 }, { 42, 2.494, 3 }, { 43, 2.221, 3 }, { 44, 1.978, 3 },
    };

    for (size_t i = 0; i < sizeof mils / sizeof mils[0]; i++)
        assert_near(bare(state, mils[i].gauge).size.diameter_m.nominal / 25.4e-6, mils[i].value,
                    half_unit(mils[i].decimals));
}

static void ohms_are_those_of_the_table(void **state)
{
    static const printed ohms[] = {
        { 11, 1.260, 3 }, { 12, 1.588, 3 }, { 13, 2.003, 3 }, { 14, 2.525, 3 }, { 15, 3.184, 3 }, { 16, 4.016, 3 },
        { 17, 5.064, 3 }, { 18, 6.385, 3 }, { 19, 8.051, 3 }, { 20, 10.15, 2 }, { 21, 12.80, 2 }, { 22, 16.14, 2 },
        { 23, 20.36, 2 }, { 24, 25.67, 2 }, { 25, 32.37, 2 }, { 26, 40.81, 2 }, { 27, 51.47, 2 }, { 28, 64.90, 2 },
        { 29, 81.83, 2 }, { 30, 103.2, 1 }, { 31, 130.1, 1 }, { 32, 164.1, 1 }, { 33, 206.9, 1 }, { 34, 260.9, 1 },
        { 35, 329.0, 1 }, { 36, 414.8, 1 }, { 37, 523.1, 1 }, { 38, 659.6, 1 }, { 39, 831.8, 1 }, { 40, 1049, 0 },
    };

    for (size_t i = 0; i < sizeof ohms / sizeof ohms[0]; i++)
        assert_near(kilofoot * bare(state, ohms[i].gauge).resistance_ohm_per_m.nominal, ohms[i].value,
                    half_unit(ohms[i].decimals) + 2e-5 * ohms[i].value);
}

static void pounds_are_those_of_the_table(void **state)
{
    static const printed pounds[] = {
        { 10, 31.43, 2 }, { 11, 24.92, 2 }, { 12, 19.77, 2 }, { 13, 15.68, 2 }, { 14, 12.43, 2 }, { 15, 9.858, 3 },
        { 16, 7.818, 3 }, { 17, 6.200, 3 }, { 18, 4.917, 3 }, { 19, 3.899, 3 }, { 20, 3.092, 3 }, { 21, 2.452, 3 },
        { 22, 1.945, 3 }, { 23, 1.542, 3 }, { 24, 1.223, 3 }, { 25, 0.9699, 4 }, { 26, 0.7692, 4 },
        { 27, 0.6100, 4 }, { 28, 0.4837, 4 }, { 29, 0.3836, 4 }, { 30, 0.3042, 4 }, { 31, 0.2413, 4 },
        { 32, 0.1913, 4 }, { 33, 0.1517, 4 }, { 34, 0.1203, 4 }, { 35, 0.09542, 5 }, { 36, 0.07567, 5 },
        { 37, 0.06001, 5 }, { 38, 0.04759, 5 }, { 39, 0.03774, 5 }, { 40, 0.02993, 5 }, { 41, 0.02374, 5 },
        { 42, 0.01882, 5 }, { 43, 0.01493, 5 }, { 44, 0.01184, 5 },
    };

    for (size_t i = 0; i < sizeof pounds / sizeof pounds[0]; i++)
        assert_near(kilofoot * bare(state, pounds[i].gauge).bare_mass_kg_per_m / pound, pounds[i].value,
                    half_unit(pounds[i].decimals));
}

/* Four figures each, so that the last place of 13210 ft is the tens. Without 13 AWG, where the book prints 63.79:
 * its own pounds (15.68 for 1000 ft) mean 63.78, the exact diameter 63.80; the figure was cut, not rounded. */
static void feet_in_a_pound_are_those_of_the_table(void **state)
{
    static const printed feet[] = {
        { 10, 31.82, 2 }, { 11, 40.12, 2 }, { 12, 50.59, 2 }, { 14, 80.44, 2 }, { 15, 101.4, 1 },
        { 16, 127.9, 1 }, { 17, 161.3, 1 }, { 18, 203.4, 1 }, { 19, 256.5, 1 }, { 20, 323.4, 1 }, { 21, 407.8, 1 },
        { 22, 514.2, 1 }, { 23, 648.4, 1 }, { 24, 817.6, 1 }, { 25, 1031, 0 }, { 26, 1300, 0 }, { 27, 1639, 0 },
        { 28, 2067, 0 }, { 29, 2607, 0 }, { 30, 3287, 0 }, { 31, 4145, 0 }, { 32, 5227, 0 }, { 33, 6591, 0 },
        { 34, 8311, 0 }, { 35, 10480, -1 }, { 36, 13210, -1 }, { 37, 16660, -1 }, { 38, 21010, -1 },
        { 39, 26500, -1 }, { 40, 33410, -1 },
    };

    for (size_t i = 0; i < sizeof feet / sizeof feet[0]; i++)
        assert_near(pound / bare(state, feet[i].gauge).bare_mass_kg_per_m / 0.3048, feet[i].value,
                    half_unit(feet[i].decimals));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(diameters_are_those_of_the_table),
        cmocka_unit_test(ohms_are_those_of_the_table),
        cmocka_unit_test(pounds_are_those_of_the_table),
        cmocka_unit_test(feet_in_a_pound_are_those_of_the_table),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
