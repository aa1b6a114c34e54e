/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/quantity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define IN 0.0254
#define FT (12 * IN)
#define LB 0.45359237
#define OZ (LB / 16)
#define G 9.80665

/* Parses a copy of exactly that length, so that a sanitizer sees a read behind the end. */
static cw_status parse(cw_kind kind, const char *text, cw_quantity *quantity, double *at_c, cw_error *error)
{
    size_t length = strlen(text);
    char *copy = test_malloc(length > 0 ? length : 1);
    cw_place at = { "job.yaml", 5, 10 };
    cw_status status;

    memcpy(copy, text, length);
    status = at_c != NULL ? cw_quantity_parse_at(kind, copy, length, &at, quantity, at_c, error)
                          : cw_quantity_parse(kind, copy, length, &at, quantity, error);
    test_free(copy);
    return status;
}

static void check_near(const char *text, double found, double right)
{
    if (!(fabs(found - right) <= 4e-16 * fabs(right)))
        fail_msg("\"%s\" gave %.17g, not %.17g", text, found, right);
}

typedef struct good {
    cw_kind kind;
    const char *text;
    double value;
} good;

static void check_good(const good *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        cw_quantity quantity;
        cw_error error;

        if (parse(rows[i].kind, rows[i].text, &quantity, NULL, &error) != CW_OK)
            fail_msg("\"%s\" was refused: %s", rows[i].text, error.text);
        check_near(rows[i].text, quantity.value, rows[i].value);
        assert_false(quantity.doubt_given);
        assert_true(quantity.doubt == 0);
    }
}

#define CHECK_GOOD(rows) check_good(rows, sizeof(rows) / sizeof(rows)[0])

static void lengths_are_read_as_a_shop_writes_them(void **state)
{
    static const good rows[] = {
        { CW_LENGTH, "0.0131 in", 0.0131 * IN }, { CW_LENGTH, "0.25 mm", 0.25e-3 }, { CW_LENGTH, ".250\"", 0.25 * IN },
        { CW_LENGTH, "3 1/2 in", 3.5 * IN }, { CW_LENGTH, "3-1/2 in", 3.5 * IN }, { CW_LENGTH, "5/8\"", 0.625 * IN },
        { CW_LENGTH, "1 ft 3 in", 15 * IN }, { CW_LENGTH, "1' 3\"", 15 * IN }, { CW_LENGTH, "1'3\"", 15 * IN },
        { CW_LENGTH, "1ft3in", 15 * IN }, { CW_LENGTH, "2 ft 3-1/2 in", 27.5 * IN },
        { CW_LENGTH, "0.012\"", 0.012 * IN },
        { CW_LENGTH, "10 thou", 0.010 * IN }, { CW_LENGTH, "12 mil", 0.012 * IN }, { CW_LENGTH, "740 ft", 740 * FT },
        { CW_LENGTH, "2.5 kft", 2500 * FT }, { CW_LENGTH, "-1 ft 3 in", -15 * IN }, { CW_LENGTH, "-1/2 in", -0.5 * IN },
        { CW_LENGTH, "13.1\xC2\xB5m", 13.1e-6 }, { CW_LENGTH, "13.1\xCE\xBCm", 13.1e-6 },
        { CW_LENGTH, "1.2e-3 m", 1.2e-3 }, { CW_LENGTH, "1.2E+3 mm", 1.2 }, { CW_LENGTH, "58MM", 0.058 },
        { CW_LENGTH, "  58 mm  ", 0.058 }, { CW_LENGTH, "58\tmm", 0.058 }, { CW_LENGTH, "58\xC2\xA0mm", 0.058 },
        { CW_LENGTH, "3 in.", 3 * IN }, { CW_LENGTH, "1 ft. 3 in.", 15 * IN }, { CW_LENGTH, "5. mm", 0.005 },
        { CW_LENGTH, "5.25\xE2\x80\xB3", 5.25 * IN }, { CW_LENGTH, "0 mm", 0 }, { CW_LENGTH, "2 m 5 mm", 2.005 },
        { CW_LENGTH, "0.123456789012345678 m", 0.123456789012345678 },
    };

    (void)state;
    CHECK_GOOD(rows);
}

static void masses_times_and_forces_are_told_apart_by_the_kind(void **state)
{
    static const good rows[] = {
        { CW_MASS, "6 oz", 6 * OZ }, { CW_MASS, "2 lb 3 oz", 35 * OZ }, { CW_MASS, "186 g", 0.186 },
        { CW_MASS, "1 1/2 lbs", 1.5 * LB }, { CW_MASS, "1 lb. 4 oz.", 20 * OZ }, { CW_MASS, "2.5 kg", 2.5 },
        { CW_FORCE, "2.5 kg", 2.5 * G }, { CW_FORCE, "45 mN", 0.045 }, { CW_FORCE, "10 lb", 10 * LB * G },
        { CW_FORCE, "6 oz", 6 * OZ * G }, { CW_FORCE, "3 kN", 3000 }, { CW_TIME, "5 min", 300 },
        { CW_TIME, "1 h 30 min", 5400 }, { CW_TIME, "1min30s", 90 }, { CW_TORQUE, "12 N m", 12 },
        { CW_TORQUE, "12 Nm", 12 }, { CW_TORQUE, "12 N\xC2\xB7m", 12 }, { CW_TORQUE, "3 lb-ft", 3 * LB * G * FT },
        { CW_TORQUE, "30 oz in", 30 * OZ * G * IN },
    };

    (void)state;
    CHECK_GOOD(rows);
}

static void electrical_units_keep_the_case_that_matters(void **state)
{
    static const good rows[] = {
        { CW_RESISTANCE, "84.2 ohm", 84.2 }, { CW_RESISTANCE, "84.2ohms", 84.2 }, { CW_RESISTANCE, "84.2 OHM", 84.2 },
        { CW_RESISTANCE, "1.2 k\xCE\xA9", 1200 }, { CW_RESISTANCE, "1.2 k\xE2\x84\xA6", 1200 },
        { CW_RESISTANCE, "84.2 \xCE\xA9", 84.2 }, { CW_RESISTANCE, "84.2\xE2\x84\xA6", 84.2 },
        { CW_RESISTANCE, "803 mohm", 0.803 }, { CW_RESISTANCE, "803 mOhm", 0.803 }, { CW_RESISTANCE, "100 Mohm", 1e8 },
        { CW_RESISTANCE, "100 MOhm", 1e8 }, { CW_RESISTANCE, "2 M\xCE\xA9", 2e6 }, { CW_VOLTAGE, "230 V", 230 },
        { CW_VOLTAGE, "60 mV", 0.060 }, { CW_VOLTAGE, "1.5 KV", 1500 }, { CW_CURRENT, "50 mA", 0.050 },
        { CW_POWER, "95 W", 95 }, { CW_POWER, "2 MW", 2e6 }, { CW_POWER, "2 mW", 2e-3 },
        { CW_INDUCTANCE, "0.21 H", 0.21 },
        { CW_CAPACITANCE, "10 uF", 10e-6 }, { CW_CAPACITANCE, "10 MFD", 10e-6 }, { CW_FREQUENCY, "50 Hz", 50 },
        { CW_FREQUENCY, "60 cycles", 60 }, { CW_FLUX_DENSITY, "3.1 mT", 3.1e-3 },
        { CW_FLUX_DENSITY, "31 gauss", 3.1e-3 },
        { CW_AMPERE_TURNS, "900", 900 }, { CW_AMPERE_TURNS, "900 At", 900 }, { CW_AMPERE_TURNS, "1.2 kA", 1200 },
        { CW_AMPERE_TURNS, "900 ampere-turns", 900 },
    };

    (void)state;
    CHECK_GOOD(rows);
}

static void quotients_take_every_length_below_the_stroke(void **state)
{
    static const good rows[] = {
        { CW_RESISTANCE_PER_LENGTH, "130.1 ohm/kft", 130.1 / (1000 * FT) },
        { CW_RESISTANCE_PER_LENGTH, "130.1 ohm/1000 ft", 130.1 / (1000 * FT) },
        { CW_RESISTANCE_PER_LENGTH, "130.1 ohms per 1000 feet", 130.1 / (1000 * FT) },
        { CW_RESISTANCE_PER_LENGTH, "130.1 ohm / 1000ft", 130.1 / (1000 * FT) },
        { CW_RESISTANCE_PER_LENGTH, "427 ohm/km", 0.427 }, { CW_RESISTANCE_PER_LENGTH, "427 mohm/m", 0.427 },
        { CW_RESISTANCE_PER_LENGTH, "0.348 \xCE\xA9/m", 0.348 }, { CW_MASS_PER_LENGTH, "0.6 g/m", 0.6e-3 },
        { CW_MASS_PER_LENGTH, "1.6 lb/kft", 1.6 * LB / (1000 * FT) }, { CW_SPEED, "2 m/min", 2.0 / 60 },
        { CW_SPEED, "20 ipm", 20 * IN / 60 }, { CW_SPEED, "3 in/s", 3 * IN },
    };

    (void)state;
    CHECK_GOOD(rows);
}

static void the_other_kinds_have_their_own_units(void **state)
{
    static const good rows[] = {
        { CW_COUNT, "1850", 1850 }, { CW_COUNT, "1850 turns", 1850 }, { CW_COUNT, "168.5", 168.5 },
        { CW_RATIO, "40 %", 0.4 }, { CW_RATIO, "40%", 0.4 }, { CW_ROTATION, "60 rpm", 60 },
        { CW_ROTATION, "60 1/min", 60 }, { CW_ROTATION, "60/min", 60 }, { CW_ROTATION, "2 rev/s", 120 },
        { CW_ACCELERATION, "0.5 m/s\xC2\xB2", 0.5 }, { CW_ACCELERATION, "0.5 m/s^2", 0.5 },
        { CW_ANGLE, "30\xC2\xB0", 30 },
        { CW_ANGLE, "30 deg", 30 }, { CW_AREA, "20 mm2", 20e-6 }, { CW_AREA, "2 sq. in", 2 * IN * IN },
        { CW_AREA, "20 mm\xC2\xB2", 20e-6 }, { CW_VOLUME, "50 ml", 50e-6 }, { CW_VOLUME, "3 cu in", 3 * IN * IN * IN },
        { CW_PRESSURE, "2 bar", 2e5 }, { CW_PRESSURE, "4 MPa", 4e6 }, { CW_CONDUCTIVITY, "0.3 W/(m K)", 0.3 },
        { CW_CONDUCTIVITY, "0.3 W/mK", 0.3 }, { CW_SURFACE_COEFFICIENT, "10 W/(m2 K)", 10 },
        { CW_SURFACE_COEFFICIENT, "10 W/m\xC2\xB2K", 10 }, { CW_ENERGY, "3 J", 3 }, { CW_ENERGY, "1 kWh", 3.6e6 },
        { CW_TEMPERATURE_DIFFERENCE, "9 \xC2\xB0" "F", 5 }, { CW_TEMPERATURE_DIFFERENCE, "5 K", 5 },
    };

    (void)state;
    CHECK_GOOD(rows);
}

static void check_temperature(const char *text, double right_c)
{
    cw_quantity quantity;

    assert_int_equal(parse(CW_TEMPERATURE, text, &quantity, NULL, NULL), CW_OK);
    if (!(fabs(quantity.value - right_c) < 1e-12))
        fail_msg("\"%s\" gave %.17g °C", text, quantity.value);
}

static void temperatures_come_from_three_scales(void **state)
{
    (void)state;
    check_temperature("70 \xC2\xB0" "F", 38 * 5.0 / 9);
    check_temperature("212 F", 100);
    check_temperature("32 deg F", 0);
    check_temperature("-40 \xC2\xB0" "F", -40);
    check_temperature("21 \xC2\xB0" "C", 21);
    check_temperature("21 C", 21);
    check_temperature("21 c", 21);
    check_temperature("-20.5 \xC2\xB0" "C", -20.5);
    check_temperature("293 K", 19.85);
    check_temperature("20\xE2\x84\x83", 20);
}

static void check_doubt(cw_kind kind, const char *text, double value, double doubt)
{
    cw_quantity quantity;
    cw_error error;

    if (parse(kind, text, &quantity, NULL, &error) != CW_OK)
        fail_msg("\"%s\" was refused: %s", text, error.text);
    check_near(text, quantity.value, value);
    check_near(text, quantity.doubt, doubt);
    assert_true(quantity.doubt_given);
}

static void doubts_are_shares_or_half_widths(void **state)
{
    (void)state;
    check_doubt(CW_RESISTANCE, "84.2 ohm \xC2\xB1 0.5 %", 84.2, 84.2 * 0.5 / 100);
    check_doubt(CW_RESISTANCE, "84.2 ohm +/- 0.5%", 84.2, 84.2 * 0.5 / 100);
    check_doubt(CW_RESISTANCE, "84.2ohm\xC2\xB1" "5mohm", 84.2, 0.005);
    check_doubt(CW_RESISTANCE, "84.2 ohm +- 0.4", 84.2, 0.4);
    check_doubt(CW_LENGTH, "0.331 mm +/- 0.004 mm", 0.331e-3, 0.004e-3);
    check_doubt(CW_LENGTH, "3 1/2 in \xC2\xB1 1/64 in", 3.5 * IN, IN / 64);
    check_doubt(CW_LENGTH, "3 1/2 in \xC2\xB1 1/64", 3.5 * IN, IN / 64);
    check_doubt(CW_MASS, "2 lb 3 oz \xC2\xB1 1 oz", 35 * OZ, OZ);
    check_doubt(CW_COUNT, "1850 \xC2\xB1 10", 1850, 10);
    check_doubt(CW_COUNT, "1850 turns \xC2\xB1 1 %", 1850, 18.5);
    check_doubt(CW_TEMPERATURE, "21 \xC2\xB0" "C \xC2\xB1 9 \xC2\xB0" "F", 21, 5);
    check_doubt(CW_TEMPERATURE, "21 \xC2\xB0" "C \xC2\xB1 2", 21, 2);
    check_doubt(CW_RATIO, "40 % \xC2\xB1 5 %", 0.4, 0.05);
    check_doubt(CW_COUNT, "1850 \xC2\xB1 0", 1850, 0);
}

static void check_condition(const char *text, double ohm, double right_c)
{
    cw_quantity quantity;
    double at_c = -1;
    cw_error error;

    if (parse(CW_RESISTANCE, text, &quantity, &at_c, &error) != CW_OK)
        fail_msg("\"%s\" was refused: %s", text, error.text);
    check_near(text, quantity.value, ohm);
    if (isnan(right_c))
        assert_true(isnan(at_c));
    else
        assert_true(fabs(at_c - right_c) < 1e-12);
}

static void a_temperature_may_follow_where_it_is_wanted(void **state)
{
    (void)state;
    check_condition("116.5 ohm @ 20 \xC2\xB0" "C", 116.5, 20);
    check_condition("116.5 ohm at 68 \xC2\xB0" "F", 116.5, 20);
    check_condition("116.5 ohm@20C", 116.5, 20);
    check_condition("116.5 ohm \xC2\xB1 1 % @ 20 \xC2\xB0" "C", 116.5, 20);
    check_condition("116.5 ohm", 116.5, NAN);
}

typedef struct bad {
    cw_kind kind;
    const char *text;
    int column;          /* within the text, from 1 */
    const char *sentence; /* a part of it */
} bad;

static void check_bad(const bad *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        cw_quantity quantity = { 7, 8, true };
        double at_c = 9;
        cw_error error;
        bool condition = rows[i].kind == CW_RESISTANCE;

        if (parse(rows[i].kind, rows[i].text, &quantity, condition ? &at_c : NULL, &error) != CW_BAD_INPUT)
            fail_msg("\"%s\" was taken as %g", rows[i].text, quantity.value);
        if (error.column - 9 != rows[i].column || error.line != 5)
            fail_msg("\"%s\": line %d column %d, not %d: %s", rows[i].text, error.line, error.column - 9,
                     rows[i].column, error.text);
        if (strstr(error.text, rows[i].sentence) == NULL)
            fail_msg("\"%s\": %s", rows[i].text, error.text);
        assert_string_equal(error.file, "job.yaml");
        assert_true(error.expected[0] != '\0');
        assert_true(quantity.value == 7 && quantity.doubt == 8 && at_c == 9);
        assert_int_equal(parse(rows[i].kind, rows[i].text, &quantity, condition ? &at_c : NULL, NULL), CW_BAD_INPUT);
    }
}

#define CHECK_BAD(rows) check_bad(rows, sizeof(rows) / sizeof(rows)[0])

static void a_decimal_comma_is_refused_with_the_point_suggested(void **state)
{
    static const bad rows[] = {
        { CW_LENGTH, "0,331 mm", 2, "Write 0.331." }, { CW_LENGTH, "1,200 ft", 2, "may mean 1200 or 1.200" },
        { CW_LENGTH, "84,2 mm", 3, "Write 84.2." }, { CW_LENGTH, "1,234.5 ft", 2, "Write 1234.5." },
        { CW_LENGTH, "1.234,5 mm", 6, "Write 1234.5." }, { CW_LENGTH, "1,200,000 ft", 2, "Write 1200000." },
        { CW_LENGTH, "12,3456 mm", 3, "Write 12.3456." },
        { CW_RESISTANCE, "84.2 ohm \xC2\xB1 0,5 %", 13, "Write 0.5." },
        { CW_LENGTH, "1.2.3 mm", 4, "second point" },
    };

    (void)state;
    CHECK_BAD(rows);
}

static void a_number_without_its_unit_is_refused_with_an_example(void **state)
{
    static const bad rows[] = {
        { CW_LENGTH, "58", 3, "The number 58 has no unit. Write for instance 58 mm." },
        { CW_RESISTANCE, "84.2", 5, "has no unit. Write for instance 84.2 ohm." },
        { CW_RESISTANCE, "84.2 \xC2\xB1 0.5 ohm", 5, "84.2 has no unit" }, { CW_RATIO, "0.4", 4, "40 %" },
        { CW_RESISTANCE, "84.2 @ 20 C", 5, "84.2 has no unit" }, { CW_LENGTH, "1 ft 3", 7, "The number 3 has no unit" },
        { CW_LENGTH, "1 200 ft", 2, "Write 1200." }, { CW_LENGTH, "3 2 in", 2, "another number follows" },
        { CW_LENGTH, "3 1/2", 6, "3 1/2 has no unit" },
        { CW_MASS, "2 lb 3 oz \xC2\xB1 1", 14, "needs a unit of its own" },
    };

    (void)state;
    CHECK_BAD(rows);
}

static void a_wrong_unit_is_named_with_what_it_is_or_what_is_near(void **state)
{
    static const bad rows[] = {
        { CW_LENGTH, "6 oz", 3, "\"6 oz\" is a mass, and a length is expected here." },
        { CW_MASS, "6 in", 3, "is a length" }, { CW_LENGTH, "84 ohm", 4, "is a resistance" },
        { CW_RESISTANCE, "84 ohm/ft", 4, "is a resistance per length" }, { CW_LENGTH, "25 mm2", 4, "is an area" },
        { CW_LENGTH, "25 mm\xC2\xB2", 4, "is an area" }, { CW_FORCE, "5 N m", 3, "is a torque" },
        { CW_FORCE, "5 Nm", 3, "is a torque" }, { CW_LENGTH, "20 C", 4, "is a temperature" },
        { CW_LENGTH, "1 ft3 in", 3, "is a volume" }, { CW_VOLTAGE, "5 A", 3, "is a current" },
        { CW_LENGTH, "3 inchs", 3, "Is \"inch\" meant?" }, { CW_RESISTANCE, "84 omh", 4, "Is \"ohm\" meant?" },
        { CW_MASS, "3 ponds", 3, "Is \"pounds\" meant?" },
        { CW_LENGTH, "29 AWG", 4, "\"29 AWG\" is the size of a wire" },
        { CW_TEMPERATURE, "20 \xC2\xB0", 4, "Write \xC2\xB0" "C or \xC2\xB0" "F" },
        { CW_LENGTH, "3 furlongs", 3, "\"furlongs\" is no unit of length." },
        { CW_CAPACITANCE, "10 MF", 4, "\"MF\" is no unit of capacitance" },
        { CW_RESISTANCE, "84 ohm \xC2\xB1 1 mm", 12, "is a length" },
        { CW_TEMPERATURE, "21 C \xC2\xB1 1 mm", 10, "is a length" },
        { CW_RESISTANCE_PER_LENGTH, "130 ohm", 5, "is a resistance, and a resistance per length" },
        { CW_RESISTANCE_PER_LENGTH, "130 ohm/0 ft", 5, "no unit of resistance per length" },
        { CW_LENGTH, "0.25 mmm", 6, "Is \"mm\" meant?" },
    };

    (void)state;
    CHECK_BAD(rows);
}

static void what_is_no_quantity_is_refused_where_it_stands(void **state)
{
    static const bad rows[] = {
        { CW_LENGTH, "", 1, "Nothing is written" }, { CW_LENGTH, "   ", 4, "should follow" },
        { CW_LENGTH, "blue", 1, "\"blue\" is not a number" },
        { CW_RESISTANCE, "inf ohm", 1, "\"inf\" is not a number" },
        { CW_RESISTANCE, "nan", 1, "not a number" }, { CW_RESISTANCE, "-inf ohm", 2, "not a number" },
        { CW_LENGTH, "\xE2\x88\x9E mm", 1, "not a number" }, { CW_LENGTH, "1e400 m", 1, "beyond anything" },
        { CW_LENGTH, "1e-400 m", 1, "beyond anything" }, { CW_LENGTH, "1e31 m", 1, "beyond anything" },
        { CW_LENGTH, "1e99999999999999999999 m", 1, "beyond anything" },
        { CW_LENGTH, "0.1234567890123456789012345678901234567890123 m", 1, "more figures" },
        { CW_LENGTH, "1/0 in", 3, "divided by 0" }, { CW_LENGTH, "3 5/4 in", 3, "less than one" },
        { CW_LENGTH, "12345678901/2 in", 1, "more figures" }, { CW_LENGTH, "1234567890 1/2 in", 1, "more figures" },
        { CW_LENGTH, "3\xC2\xBD in", 2, "Write 1/2" }, { CW_LENGTH, "\xC2\xBD in", 1, "Write 1/2 for" },
        { CW_LENGTH, "~3 mm", 1, "not a number" }, { CW_LENGTH, "--3 mm", 2, "not a number" },
        { CW_LENGTH, "58 mm long", 7, "\"long\" is left over" }, { CW_LENGTH, "58 mm 3", 8, "has no unit" },
        { CW_RESISTANCE, "84 ohm 3 ohm", 8, "takes only one" }, { CW_LENGTH, "3 in 1 ft", 6, "no smaller" },
        { CW_LENGTH, "1 ft 2 ft", 6, "no smaller" }, { CW_LENGTH, "1 ft-3 in", 5, "Leave it out" },
        { CW_LENGTH, "1 ft -3 in", 6, "Leave it out" }, { CW_RESISTANCE, "84 ohm \xC2\xB1", 9, "should follow" },
        { CW_RESISTANCE, "84 ohm \xC2\xB1 -1 %", 10, "sign" },
        { CW_RESISTANCE, "84 ohm \xC2\xB1 1 % 2", 14, "left over" },
        { CW_TEMPERATURE, "21 C \xC2\xB1 5 %", 10, "in degrees" }, { CW_TEMPERATURE, "-300 C", 1, "absolute zero" },
        { CW_TEMPERATURE, "-1 K", 1, "absolute zero" }, { CW_LENGTH, "58 mm @ 20 C", 7, "No temperature" },
        { CW_RESISTANCE, "84 ohm @ 20 mm", 13, "is a length, and a temperature" },
        { CW_RESISTANCE, "84 ohm @", 9, "should follow" }, { CW_RESISTANCE, "84 ohm @ -300 C", 10, "absolute zero" },
        { CW_RESISTANCE, "84 ohm @ 20 C \xC2\xB1 1 %", 15, "Write it before" },
        { CW_LENGTH, "5\xC2\xB5\xC2\xB5 mm", 2, "no unit" }, { CW_LENGTH, "\xC2\xB5\xC2\xB5" "5,3", 1, "not a number" },
        { CW_LENGTH, "58 m\xFFm", 5, "not UTF-8" }, { CW_LENGTH, "58 \xC0\xAF", 4, "not UTF-8" },
        { CW_LENGTH, "58 m\xC2", 5, "not UTF-8" }, { CW_LENGTH, "58\nmm", 3, "line break" },
    };

    (void)state;
    CHECK_BAD(rows);
}

static void a_byte_of_zero_and_overlong_text_are_refused(void **state)
{
    char text[300];
    cw_quantity quantity;
    cw_error error;

    (void)state;
    assert_int_equal(cw_quantity_parse(CW_LENGTH, "58\0mm", 5, NULL, &quantity, &error), CW_BAD_INPUT);
    assert_int_equal(error.column, 3);
    memset(text, ' ', sizeof text);
    memcpy(text, "58 mm", 5);
    assert_int_equal(cw_quantity_parse(CW_LENGTH, text, 120, NULL, &quantity, &error), CW_OK);
    assert_int_equal(cw_quantity_parse(CW_LENGTH, text, sizeof text, NULL, &quantity, &error), CW_BAD_INPUT);
    assert_int_equal(error.column, 121);
    assert_int_equal(cw_quantity_parse(CW_LENGTH, NULL, 0, NULL, &quantity, &error), CW_BAD_INPUT);
}

/* Deterministic noise from the characters that matter; nothing may be read behind the end, whatever the bytes. */
static void noise_never_crashes_and_leaves_outputs_alone(void **state)
{
    static const char *pieces[] = { "1", "0", "/", " ", "-", ".", ",", "+", "\xC2\xB1", "%", "e", "in", "\"", "'", "ft",
                                    "ohm", "@", "at", "C", "\xC2\xB0", "\xFF", "9", "per", "k", "m", "2", "(",
                                    "K", "W" };
    uint32_t seed = 2463534242u;

    (void)state;
    for (int round = 0; round < 60000; round++) {
        char text[128];
        size_t length = 0;
        cw_quantity quantity = { 7, 8, false };
        double at_c = 9;
        cw_error error;

        for (int i = 0; i < 12; i++) {
            const char *piece;

            seed ^= seed << 13, seed ^= seed >> 17, seed ^= seed << 5;
            piece = pieces[seed % (sizeof pieces / sizeof pieces[0])];
            memcpy(text + length, piece, strlen(piece));
            length += strlen(piece);
        }
        text[length] = '\0';
        if (parse((cw_kind)(round % CW_KIND_COUNT), text, &quantity, &at_c, &error) != CW_OK) {
            assert_true(quantity.value == 7 && quantity.doubt == 8 && at_c == 9);
            assert_true(error.text[0] != '\0' && error.column >= 10);
        } else {
            assert_true(isfinite(quantity.value) && quantity.doubt >= 0 && isfinite(quantity.doubt));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_are_read_as_a_shop_writes_them),
        cmocka_unit_test(masses_times_and_forces_are_told_apart_by_the_kind),
        cmocka_unit_test(electrical_units_keep_the_case_that_matters),
        cmocka_unit_test(quotients_take_every_length_below_the_stroke),
        cmocka_unit_test(the_other_kinds_have_their_own_units),
        cmocka_unit_test(temperatures_come_from_three_scales),
        cmocka_unit_test(doubts_are_shares_or_half_widths),
        cmocka_unit_test(a_temperature_may_follow_where_it_is_wanted),
        cmocka_unit_test(a_decimal_comma_is_refused_with_the_point_suggested),
        cmocka_unit_test(a_number_without_its_unit_is_refused_with_an_example),
        cmocka_unit_test(a_wrong_unit_is_named_with_what_it_is_or_what_is_near),
        cmocka_unit_test(what_is_no_quantity_is_refused_where_it_stands),
        cmocka_unit_test(a_byte_of_zero_and_overlong_text_are_refused),
        cmocka_unit_test(noise_never_crashes_and_leaves_outputs_alone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
