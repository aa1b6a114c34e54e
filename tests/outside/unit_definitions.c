/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units against their definitions, computed here in whole numbers and not from the room's own table.
 *
 * Sources: international yard and pound agreement of 1959 (yard = 0.9144 m, avoirdupois pound = 0.45359237 kg, both
 * exact; the foot is a third of the yard, the inch a 36th, the ounce a 16th of the pound); SI brochure, 9th edition
 * (t/°C = T/K - 273.15; minute 60 s, hour 3600 s, day 86400 s; litre 1 dm3; bar 100 kPa); CGPM 1901 (standard gravity
 * 9.80665 m/s2). The scale of Fahrenheit: 32 °F and 212 °F stand at 0 °C and 100 °C. */
#include "coilwright/quantity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

typedef struct definition {
    cw_kind kind;
    const char *text;
    long double above, below; /* SI value as a quotient of exact decimals */
} definition;

static void check(const definition *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        cw_quantity quantity;
        long double right = rows[i].above / rows[i].below;

        assert_int_equal(cw_quantity_parse(rows[i].kind, rows[i].text, strlen(rows[i].text), NULL, &quantity, NULL),
                         CW_OK);
        if (!(fabsl((long double)quantity.value - right) <= 4e-16L * fabsl(right)))
            fail_msg("%s is %.17g, not %.17Lg", rows[i].text, quantity.value, right);
    }
}

#define CHECK(rows) check(rows, sizeof(rows) / sizeof(rows)[0])

static void yard_and_pound_are_those_of_1959(void **state)
{
    static const definition rows[] = {
        { CW_LENGTH, "1 yd", 9144, 10000 }, { CW_LENGTH, "1 ft", 9144, 30000 }, { CW_LENGTH, "1 in", 9144, 360000 },
        { CW_LENGTH, "1 thou", 9144, 360000000 }, { CW_LENGTH, "1 mil", 9144, 360000000 },
        { CW_LENGTH, "1 kft", 9144, 30 }, { CW_LENGTH, "1 yd 1 ft 1 in", 9144 * 49, 360000 },
        { CW_MASS, "1 lb", 45359237, 100000000 }, { CW_MASS, "1 oz", 45359237, 1600000000 },
        { CW_MASS, "6 oz", 6.0L * 45359237, 1600000000 }, { CW_AREA, "1 in2", 254 * 254, 1e8L },
        { CW_VOLUME, "1 cu in", 254 * 254 * 254, 1e12L },
        { CW_RESISTANCE_PER_LENGTH, "130.1 ohm/kft", 130.1L, 304.8L },
        { CW_MASS_PER_LENGTH, "1 lb/1000 ft", 45359237, 30480000000.0L },
    };

    (void)state;
    CHECK(rows);
}

static void force_and_pressure_follow_standard_gravity(void **state)
{
    static const definition rows[] = {
        { CW_FORCE, "1 kg", 980665, 100000 }, { CW_FORCE, "1 lb", 45359237.0L * 980665, 1e13L },
        { CW_FORCE, "1 oz", 45359237.0L * 980665, 16e13L }, { CW_ACCELERATION, "1 g", 980665, 100000 },
        { CW_PRESSURE, "1 psi", 45359237.0L * 980665 * 100, 1e13L * 254 * 254 / 1e6L },
        { CW_PRESSURE, "1 bar", 100000, 1 }, { CW_TORQUE, "1 lb ft", 45359237.0L * 980665 * 3048, 1e17L },
        { CW_VOLUME, "1 l", 1, 1000 },
    };

    (void)state;
    CHECK(rows);
}

static void scales_of_temperature_meet_at_their_fixed_points(void **state)
{
    static const struct { const char *text; double right_c; } rows[] = {
        { "32 °F", 0 }, { "212 °F", 100 }, { "-40 °F", -40 }, { "68 °F", 20 }, { "273.15 K", 0 }, { "373.15 K", 100 },
        { "0 K", -273.15 }, { "-459.67 °F", -273.15 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_quantity quantity;

        assert_int_equal(cw_quantity_parse(CW_TEMPERATURE, rows[i].text, strlen(rows[i].text), NULL, &quantity, NULL),
                         CW_OK);
        assert_true(fabs(quantity.value - rows[i].right_c) <= 6e-14);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(yard_and_pound_are_those_of_1959),
        cmocka_unit_test(force_and_pressure_follow_standard_gravity),
        cmocka_unit_test(scales_of_temperature_meet_at_their_fixed_points),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
