/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Temperature of a winding from its resistance, against worked examples of textbooks and makers' notes. Books use their
 * own constant; the value asked for is what 234.5 gives, to half a unit of the last printed figure, and the printed one
 * must lie within the spread that the book's constant explains. */
#include "coilwright/proof.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/near.h"

static double rise(double cold_ohm, double cold_c, double hot_ohm)
{
    return cw_resistance_temperature_c(CW_COPPER, cold_ohm, cold_c, hot_ohm) - cold_c;
}

/* Kulshreshtha, Basic Electrical Engineering, ex. 2.18 p. 32: 3.42 ohm at 20, 4.22 hot; printed 59.59 K. */
static void kulshreshtha_2_18(void **state)
{
    (void)state;
    assert_near(rise(3.42, 20, 4.22), 59.53, half_unit(2));
    assert_near(rise(3.42, 20, 4.22), 59.59, 0.1);
}

/* Muthusubramanian and Salivahanan ex. 1.8 p. 22: 180 V, 4 A at 20 °C falling to 3.4 A; printed 44.57 K. */
static void muthusubramanian_1_8(void **state)
{
    (void)state;
    assert_near(rise(180 / 4.0, 20, 180 / 3.4), 44.91, half_unit(2));
    assert_near(rise(180 / 4.0, 20, 180 / 3.4), 44.57, 0.5);
}

/* Bird, Electrical Circuit Theory and Technology, ex. 12 p. 28: 200 ohm at 18, 240 hot; printed 69.28 °C, 68.50 by
 * 234.5. */
static void bird_12(void **state)
{
    (void)state;
    assert_near(cw_resistance_temperature_c(CW_COPPER, 200, 18, 240), 68.50, half_unit(2));
    assert_near(cw_resistance_temperature_c(CW_COPPER, 200, 18, 240), 69.28, 1);
}

/* A question with k = 234.5: 80 ohm at 20, 100 ohm after 4 h: 63.63 K. */
static void eighty_to_a_hundred_ohm(void **state)
{
    (void)state;
    assert_near(rise(80, 20, 100), 63.63, half_unit(2));
}

/* A relay maker: 320 ohm at 25 °C is 443.3 ohm at 125 °C. */
static void relay_from_25_to_125(void **state)
{
    (void)state;
    assert_near(cw_resistance_temperature_c(CW_COPPER, 320, 25, 443.31), 125, 0.01);
}

/* Patil ex. 1.2 p. 6: 12.7 ohm at 18, 14.3 ohm at 50: k = 236, so it is copper. */
static void patil_1_2(void **state)
{
    (void)state;
    assert_near(cw_resistance_temperature_c(CW_COPPER, 12.7, 18, 14.3), 50, 0.5);
}

/* UL: EC aluminium 225.0. (225 + 20)(1 + x) - 225 with x = 0.25 is 81.25 °C. */
static void aluminium_has_225(void **state)
{
    (void)state;
    assert_near(cw_resistance_temperature_c(CW_ALUMINIUM, 8, 20, 10), 81.25, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kulshreshtha_2_18), cmocka_unit_test(muthusubramanian_1_8), cmocka_unit_test(bird_12),
        cmocka_unit_test(eighty_to_a_hundred_ohm), cmocka_unit_test(relay_from_25_to_125), cmocka_unit_test(patil_1_2),
        cmocka_unit_test(aluminium_has_225),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
