/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Enamelled round copper wire [IEC60317-0-1]: resistances at 20 °C as two makers print them, diameters as a national
 * edition and a maker's table of the identical text print them. Typed here.
 *
 * Tolerance: half a unit of the last printed figure, or equality where both sides are table values. Two of the printed
 * nominal values, 0.075 and 0.095 mm, are misrounded by their source: the limits in the same rows are right. */
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
    const char *size;
    double least, nominal, greatest; /* ohm/m */
    int decimals;
} printed;

static bool misrounded(const char *size)
{
    return strcmp(size, "0.075 mm") == 0 || strcmp(size, "0.095 mm") == 0;
}

/* From 0.067 mm the diameter has the tolerance, and ohms follow: 1/59, 1/58.5 and 1/58 ohm mm2/m at the greatest, the
 * nominal and the least diameter. */
static void ohms_of_wire_with_a_diameter_tolerance_are_those_printed(void **state)
{
    static const printed rows[] = {
        { "0.067 mm", 4.404, 4.848, 5.359, 3 }, { "0.071 mm", 3.941, 4.318, 4.747, 3 },
        { "0.075 mm", 3.547, 3.870, 4.235, 3 }, { "0.080 mm", 3.133, 3.401, 3.703, 3 },
        { "0.085 mm", 2.787, 3.012, 3.265, 3 }, { "0.090 mm", 2.495, 2.687, 2.900, 3 },
        { "0.095 mm", 2.247, 2.411, 2.594, 3 }, { "0.100 mm", 2.034, 2.176, 2.333, 3 },
        { "0.106 mm", 1.816, 1.937, 2.069, 3 }, { "0.112 mm", 1.632, 1.735, 1.848, 3 },
        { "0.118 mm", 1.474, 1.563, 1.66, 3 }, { "0.250 mm", 0.3345, 0.3482, 0.3628, 4 },
        { "0.265 mm", 0.2982, 0.3099, 0.3223, 4 }, { "0.280 mm", 0.2676, 0.2776, 0.2882, 4 },
        { "0.300 mm", 0.2335, 0.2418, 0.2506, 4 }, { "0.315 mm", 0.2121, 0.2193, 0.2270, 4 },
        { "0.335 mm", 0.1878, 0.1939, 0.2004, 4 }, { "0.355 mm", 0.1674, 0.1727, 0.1782, 4 },
        { "0.375 mm", 0.1494, 0.1548, 0.1604, 4 }, { "0.400 mm", 0.1316, 0.1360, 0.1407, 4 },
        { "0.425 mm", 0.1167, 0.1205, 0.1244, 4 },
    };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const cw_band found = wire_of(state, rows[i].size, CW_HEAVY).resistance_ohm_per_m;

        assert_near(found.min, rows[i].least, half_unit(rows[i].decimals));
        assert_near(found.max, rows[i].greatest, half_unit(rows[i].decimals));
        assert_near(found.nominal, rows[i].nominal,
                    misrounded(rows[i].size) ? 2 * half_unit(rows[i].decimals) : half_unit(rows[i].decimals));
    }
}

/* The trap: at 1/58 every nominal value would be 0.86 % too high. */
static void nominal_ohms_are_not_those_of_standard_copper(void **state)
{
    const cw_wire wire = wire_of(state, "0.250 mm", CW_HEAVY);
    const double section = 0.25 * 3.14159265358979323846 * 0.25e-3 * 0.25e-3;

    assert_true(1e-6 / 58 / section > 0.3482 + 2 * half_unit(4));
    assert_near(wire.resistance_ohm_per_m.nominal, 0.3482, half_unit(4));
}

/* Finer wire has its limits on the resistance; they are table values. The nominal is 1/58.5 at the nominal diameter. */
static void ohms_of_fine_wire_are_those_printed(void **state)
{
    static const printed rows[] = {
        { "0.032 mm", 19.13, 21.25, 23.38, 2 }, { "0.040 mm", 12.28, 13.60, 14.92, 2 },
        { "0.045 mm", 9.705, 10.75, 11.79, 2 }, { "0.050 mm", 7.922, 8.706, 9.489, 3 },
        { "0.053 mm", 7.0509, 7.7482, 8.4456, 4 }, { "0.056 mm", 6.316, 6.940, 7.565, 3 },
        { "0.060 mm", 5.562, 6.046, 6.529, 3 }, { "0.063 mm", 5.045, 5.484, 5.922, 3 },
    };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const cw_band found = wire_of(state, rows[i].size, CW_HEAVY).resistance_ohm_per_m;

        assert_near(found.min, rows[i].least, 1e-12);
        assert_near(found.max, rows[i].greatest, 1e-12);
        assert_near(found.nominal, rows[i].nominal, half_unit(rows[i].decimals));
    }
}

/* So a reading of ohms cannot tell 0.050 mm from 0.053 mm: 7.92 to 9.49 and 7.05 to 8.45 ohm/m. */
static void fine_neighbours_overlap_in_resistance(void **state)
{
    const cw_band fine = wire_of(state, "0.050 mm", CW_HEAVY).resistance_ohm_per_m;
    const cw_band coarse = wire_of(state, "0.053 mm", CW_HEAVY).resistance_ohm_per_m;

    assert_near(fine.min, 7.92, half_unit(2));
    assert_near(fine.max, 9.49, half_unit(2));
    assert_near(coarse.min, 7.05, half_unit(2));
    assert_near(coarse.max, 8.45, half_unit(2));
    assert_true(coarse.max > fine.min);
}

static void greatest_diameters_over_enamel_are_those_printed(void **state)
{
    static const struct { const char *size; double tolerance, over[3]; } rows[] = {
        { "0.071 mm", 0.003, { 0.084, 0.091, 0.097 } }, { "0.112 mm", 0.003, { 0.130, 0.139, 0.147 } },
        { "0.180 mm", 0.003, { 0.204, 0.217, 0.229 } }, { "0.280 mm", 0.004, { 0.312, 0.329, 0.345 } },
        { "0.450 mm", 0.005, { 0.491, 0.513, 0.533 } }, { "0.710 mm", 0.007, { 0.762, 0.789, 0.814 } },
        { "1.120 mm", 0.011, { 1.184, 1.217, 1.248 } }, { "1.800 mm", 0.018, { 1.872, 1.909, 1.944 } },
        { "2.800 mm", 0.028, { 2.880, 2.922, 2.961 } }, { "4.500 mm", 0.045, { 4.591, 4.637, 4.681 } },
    };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        for (int grade = CW_SINGLE; grade <= CW_TRIPLE; grade++) {
            const cw_wire wire = wire_of(state, rows[i].size, (cw_build)grade);

            assert_near(1e3 * wire.overall_diameter_m.max, rows[i].over[grade], 1e-9);
            assert_near(1e3 * (wire.size.diameter_m.max - wire.size.diameter_m.nominal), rows[i].tolerance, 1e-9);
            assert_near(1e3 * (wire.size.diameter_m.nominal - wire.size.diameter_m.min), rows[i].tolerance, 1e-9);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ohms_of_wire_with_a_diameter_tolerance_are_those_printed),
        cmocka_unit_test(nominal_ohms_are_not_those_of_standard_copper),
        cmocka_unit_test(ohms_of_fine_wire_are_those_printed),
        cmocka_unit_test(fine_neighbours_overlap_in_resistance),
        cmocka_unit_test(greatest_diameters_over_enamel_are_those_printed),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
