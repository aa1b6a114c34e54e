/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The imperial standard gauge [BS3737]: inches by law, so exact; millimetres as converted and printed. Enamelled wire
 * of these sizes as a manufacturer's table to [IS13730] prints it; cells that contradict their own row are left out, as
 * the list of misprints in docs/wire.md says.
 *
 * Tolerance: half a unit of the printed millimetres; equality where both sides are table values. */
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

static const cw_wire_size *gauge(void **state, int number)
{
    char name[16];

    snprintf(name, sizeof name, "%d SWG", number);
    return size_of(state, name);
}

static void diameters_are_those_of_the_standard(void **state)
{
    /* printed to 0.001 mm down to 25 SWG and from 46 on, to 0.0001 mm between */
    static const struct { int number; double millimetres; int decimals; } rows[] = {
        { 10, 3.2510, 3 }, { 11, 2.9460, 3 }, { 12, 2.6420, 3 }, { 13, 2.3370, 3 }, { 14, 2.0320, 3 },
        { 15, 1.8290, 3 }, { 16, 1.6260, 3 }, { 17, 1.4220, 3 }, { 18, 1.2190, 3 }, { 19, 1.0160, 3 },
        { 20, 0.9140, 3 }, { 21, 0.8130, 3 }, { 22, 0.7110, 3 }, { 23, 0.6100, 3 }, { 24, 0.5590, 3 },
        { 25, 0.5080, 3 }, { 26, 0.4572, 4 }, { 27, 0.4166, 4 }, { 28, 0.3759, 4 }, { 29, 0.3454, 4 },
        { 30, 0.3150, 4 }, { 31, 0.2946, 4 }, { 32, 0.2743, 4 }, { 33, 0.2540, 4 }, { 34, 0.2337, 4 },
        { 35, 0.2134, 4 }, { 36, 0.1930, 4 }, { 37, 0.1727, 4 }, { 38, 0.1524, 4 }, { 39, 0.1321, 4 },
        { 40, 0.1219, 4 }, { 41, 0.1118, 4 }, { 42, 0.1016, 4 }, { 43, 0.0914, 4 }, { 44, 0.0813, 4 },
        { 45, 0.0711, 4 }, { 46, 0.061, 3 }, { 47, 0.051, 3 }, { 48, 0.041, 3 },
    };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_near(1e3 * gauge(state, rows[i].number)->diameter_m.nominal, rows[i].millimetres,
                    half_unit(rows[i].decimals));
}

/* Steps of 0.4 mil from 49 to 39 and of 0.8 mil from 39 to 30; 50 is 1 mil. Whole tenths of a mil, so exact. */
static void steps_are_those_of_the_order(void **state)
{
    for (int number = 49; number > 30; number--)
        assert_near((gauge(state, number - 1)->diameter_m.nominal - gauge(state, number)->diameter_m.nominal) / 25.4e-6,
                    number > 39 ? 0.4 : 0.8, 1e-9);
    assert_near(gauge(state, 50)->diameter_m.nominal / 25.4e-6, 1, 1e-9);
}

static void greatest_diameters_over_enamel_are_those_printed(void **state)
{
    static const struct { int number; double over[3]; } rows[] = {
        { 11, { 3.029, 3.072, 3.112 } }, { 12, { 0, 2.764, 0 } }, { 13, { 2.415, 2.455, 2.493 } },
        { 14, { 0, 2.147, 2.184 } }, { 15, { 1.903, 1.941, 1.977 } }, { 16, { 1.698, 1.735, 1.770 } },
        { 17, { 1.492, 1.528, 1.562 } }, { 18, { 1.285, 1.318, 1.350 } }, { 19, { 1.080, 1.113, 1.144 } },
        { 20, { 0.976, 1.008, 1.038 } }, { 21, { 0.872, 0.902, 0.931 } }, { 22, { 0.766, 0.795, 0.822 } },
        { 23, { 0.659, 0.684, 0.708 } }, { 24, { 0.605, 0.629, 0.652 } }, { 25, { 0.554, 0.578, 0.601 } },
        { 26, { 0.501, 0.523, 0.544 } }, { 27, { 0.458, 0.480, 0.500 } }, { 28, { 0.417, 0.435, 0.454 } },
        { 29, { 0.382, 0.401, 0.418 } }, { 30, { 0.349, 0.367, 0.384 } }, { 31, { 0.329, 0.347, 0.364 } },
        { 33, { 0.286, 0.303, 0.319 } }, { 34, { 0.265, 0.281, 0.296 } }, { 35, { 0.241, 0.255, 0.269 } },
        { 36, { 0.219, 0.232, 0.245 } }, { 37, { 0.197, 0.210, 0.222 } }, { 38, { 0.174, 0.186, 0.197 } },
        { 39, { 0.152, 0.162, 0.171 } }, { 40, { 0.141, 0.151, 0.160 } }, { 41, { 0.130, 0.139, 0.147 } },
        { 42, { 0.119, 0.128, 0.136 } }, { 43, { 0.107, 0.115, 0.122 } }, { 44, { 0.096, 0.103, 0.110 } },
        { 45, { 0.084, 0.091, 0.097 } }, { 46, { 0.074, 0.081, 0 } }, { 47, { 0.062, 0.068, 0 } },
        { 48, { 0.050, 0.056, 0 } },
    };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        for (int grade = CW_SINGLE; grade <= CW_TRIPLE; grade++) {
            cw_wire wire;

            if (rows[i].over[grade] == 0)
                continue;
            wire = wire_of(state, gauge(state, rows[i].number)->name, (cw_build)grade);
            assert_near(1e3 * wire.overall_diameter_m.max, rows[i].over[grade], 1e-9);
        }
}

/* Where the print is wrong the rule of the next larger size gives what it should be. */
static void misprinted_cells_follow_the_next_larger_size(void **state)
{
    assert_near(1e3 * wire_of(state, "12 SWG", CW_SINGLE).overall_diameter_m.max, 2.722, half_unit(3));
    assert_near(1e3 * wire_of(state, "12 SWG", CW_TRIPLE).overall_diameter_m.max, 2.803, half_unit(3));
    assert_near(1e3 * wire_of(state, "14 SWG", CW_SINGLE).overall_diameter_m.max, 2.108, half_unit(3));
    assert_near(1e3 * wire_of(state, "32 SWG", CW_HEAVY).overall_diameter_m.max, 0.323, half_unit(3));
}

/* The rule itself, on rows that are printed whole: nominal plus the metric increase of the next larger size. */
static void printed_rows_agree_with_metric_wire_of_the_same_diameter(void **state)
{
    const cw_wire imperial = wire_of(state, "30 SWG", CW_HEAVY), metric = wire_of(state, "0.315 mm", CW_HEAVY);

    assert_near(1e3 * (imperial.overall_diameter_m.max - metric.overall_diameter_m.max), 0, half_unit(3));
    assert_near(1e3 * (imperial.overall_diameter_m.min - metric.overall_diameter_m.min), 0, half_unit(3));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(diameters_are_those_of_the_standard),
        cmocka_unit_test(steps_are_those_of_the_order),
        cmocka_unit_test(greatest_diameters_over_enamel_are_those_printed),
        cmocka_unit_test(misprinted_cells_follow_the_next_larger_size),
        cmocka_unit_test(printed_rows_agree_with_metric_wire_of_the_same_diameter),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
