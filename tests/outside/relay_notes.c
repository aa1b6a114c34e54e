/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two application notes of relay makers on hot coils: 320 ohm at 25 °C is 443.3 ohm at 125 °C, and a pull-in voltage
 * of 13.0 V becomes 18 V; 290 ohm at 25 °C is 403 ohm at 125 °C by a chart's factor of 1.39. And an answer that is
 * copied all over the network and wrong: resistance does not fall on heating.
 *
 * Tolerance: half a unit of the last printed figure; for the chart, of its factor. */
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

static double heated(void **state, cw_material material, double from_c, double to_c)
{
    const cw_conductor *metal = cw_wire_conductor(*state, material);

    return cw_wire_temperature_factor(metal, to_c) / cw_wire_temperature_factor(metal, from_c);
}

static void a_coil_of_320_ohm_has_443_3_ohm_when_hot(void **state)
{
    assert_near(320 * heated(state, CW_COPPER, 25, 125), 443.3, half_unit(1));
}

static void it_needs_18_volt_to_pull_in(void **state)
{
    assert_near(13.0 * heated(state, CW_COPPER, 25, 125), 18, half_unit(0));
}

static void a_coil_of_290_ohm_has_403_ohm_by_the_chart(void **state)
{
    assert_near(heated(state, CW_COPPER, 25, 125), 1.39, half_unit(2));
    assert_near(290 * heated(state, CW_COPPER, 25, 125), 403, 290 * half_unit(2));
}

/* The first note's rule, R2 = R1 (234.5 + t2)/(234.5 + t1), over the range of a coil. 234.5 is rounded to 0.05: at most
 * 0.05 x 155/(254.5 x 209.5) = 0.00015 of the ratio, from -25 to 130 °C. */
static void the_rule_of_234_5_holds_from_cold_to_hot(void **state)
{
    for (double celsius = -25; celsius <= 130; celsius += 5)
        assert_near(heated(state, CW_COPPER, 20, celsius), (234.5 + celsius) / (234.5 + 20), 0.00015);
}

/* Aluminium, 600 ohm at 32 °C, asked for at 42 °C; printed 565. With the coefficient taken at 0 °C it is 621, at 32 °C
 * 624 ohm; at 20 °C, as here, between the two. */
static void aluminium_gains_resistance_from_32_to_42_degrees(void **state)
{
    const double hot = 600 * heated(state, CW_ALUMINIUM, 32, 42);

    assert_true(hot > 600);
    assert_true(621 < hot && hot < 624);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_coil_of_320_ohm_has_443_3_ohm_when_hot),
        cmocka_unit_test(it_needs_18_volt_to_pull_in),
        cmocka_unit_test(a_coil_of_290_ohm_has_403_ohm_by_the_chart),
        cmocka_unit_test(the_rule_of_234_5_holds_from_cold_to_hot),
        cmocka_unit_test(aluminium_gains_resistance_from_32_to_42_degrees),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
