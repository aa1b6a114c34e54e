/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values for reading: the handy unit of a system, and fixed decimals in a given one.
 *
 * Figures come from printf's %e, whose digits are correctly rounded, and are set out here, so that the decimal sign
 * is a point in every locale. */
#include "quantity/quantity_internal.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* A unit and the SI value from which on it is handy. Within a kind and system, from small to large. */
typedef struct handy_row {
    cw_kind kind;
    const char *metric;
    double metric_from;
    const char *inch;
    double inch_from;
} handy_row;

static const handy_row handy[] = {
    { CW_RATIO, "%", 0, "%", 0 },
    { CW_LENGTH, "mm", 0, "in", 0 },
    { CW_LENGTH, "m", 1, "ft", 1 },
    { CW_LENGTH, "km", 1e4, NULL, 0 },
    { CW_MASS, "g", 0, "oz", 0 },
    { CW_MASS, "kg", 1, "lb", 0.45359237 },
    { CW_TIME, "ms", 0, "ms", 0 },
    { CW_TIME, "s", 1, "s", 1 },
    { CW_TIME, "min", 120, "min", 120 },
    { CW_TIME, "h", 7200, "h", 7200 },
    { CW_TEMPERATURE, "°C", 0, "°F", 0 },
    { CW_TEMPERATURE_DIFFERENCE, "K", 0, "°F", 0 },
    { CW_RESISTANCE, "mohm", 0, "mohm", 0 },
    { CW_RESISTANCE, "ohm", 0.1, "ohm", 0.1 },
    { CW_RESISTANCE, "kohm", 1e4, "kohm", 1e4 },
    { CW_RESISTANCE, "Mohm", 1e6, "Mohm", 1e6 },
    { CW_RESISTANCE_PER_LENGTH, "ohm/km", 0, "ohm/kft", 0 },
    { CW_RESISTANCE_PER_LENGTH, "ohm/m", 1, "ohm/ft", 3.3 },
    { CW_MASS_PER_LENGTH, "g/m", 0, "lb/kft", 0 },
    { CW_VOLTAGE, "mV", 0, "mV", 0 },
    { CW_VOLTAGE, "V", 0.5, "V", 0.5 },
    { CW_VOLTAGE, "kV", 1e4, "kV", 1e4 },
    { CW_CURRENT, "mA", 0, "mA", 0 },
    { CW_CURRENT, "A", 0.5, "A", 0.5 },
    { CW_POWER, "mW", 0, "mW", 0 },
    { CW_POWER, "W", 0.1, "W", 0.1 },
    { CW_POWER, "kW", 1e4, "kW", 1e4 },
    { CW_FREQUENCY, "Hz", 0, "Hz", 0 },
    { CW_FREQUENCY, "kHz", 1e3, "kHz", 1e3 },
    { CW_INDUCTANCE, "uH", 0, "uH", 0 },
    { CW_INDUCTANCE, "mH", 1e-3, "mH", 1e-3 },
    { CW_INDUCTANCE, "H", 1, "H", 1 },
    { CW_CAPACITANCE, "pF", 0, "pF", 0 },
    { CW_CAPACITANCE, "nF", 1e-9, "nF", 1e-9 },
    { CW_CAPACITANCE, "uF", 1e-6, "uF", 1e-6 },
    { CW_FLUX_DENSITY, "mT", 0, "mT", 0 },
    { CW_FLUX_DENSITY, "T", 0.1, "T", 0.1 },
    { CW_AMPERE_TURNS, "A", 0, "A", 0 },
    { CW_FORCE, "mN", 0, "ozf", 0 },
    { CW_FORCE, "N", 1, "lbf", 4.4482216152605 },
    { CW_FORCE, "kN", 1e4, NULL, 0 },
    { CW_TORQUE, "mN m", 0, "lbf in", 0 },
    { CW_TORQUE, "N m", 1, "lbf ft", 10 },
    { CW_ENERGY, "mJ", 0, "mJ", 0 },
    { CW_ENERGY, "J", 1, "J", 1 },
    { CW_ENERGY, "kJ", 1e4, "kJ", 1e4 },
    { CW_SPEED, "mm/s", 0, "in/s", 0 },
    { CW_SPEED, "m/s", 1, "ft/s", 1 },
    { CW_ACCELERATION, "mm/s2", 0, "in/s2", 0 },
    { CW_ACCELERATION, "m/s2", 1, "ft/s2", 1 },
    { CW_ROTATION, "rpm", 0, "rpm", 0 },
    { CW_ANGLE, "deg", 0, "deg", 0 },
    { CW_AREA, "mm2", 0, "in2", 0 },
    { CW_AREA, "m2", 0.1, "ft2", 0.1 },
    { CW_VOLUME, "ml", 0, "in3", 0 },
    { CW_VOLUME, "litres", 1e-3, NULL, 0 },
    { CW_PRESSURE, "Pa", 0, "psi", 0 },
    { CW_PRESSURE, "bar", 1e4, NULL, 0 },
    { CW_CONDUCTIVITY, "W/(m K)", 0, "W/(m K)", 0 },
    { CW_SURFACE_COEFFICIENT, "W/(m2 K)", 0, "W/(m2 K)", 0 },
};

static bool find_unit(cw_kind kind, const char *name, cw_unit *unit)
{
    cw_source source;

    return cw_quantity__source(kind, name, strlen(name), NULL, &source, NULL) == CW_OK && source.count > 0 &&
           cw_quantity__unit_at(&source, 0, kind, unit) == source.count;
}

/* The digits of |number| to `count` significant figures, without a point, and the power of ten of the first. */
static int digits_of(double number, int count, char digits[40])
{
    char text[64];
    int used = 0, exponent = 0, i = 0;
    bool minus;

    snprintf(text, sizeof text, "%.*e", count - 1, fabs(number));
    for (; text[i] != '\0' && text[i] != 'e'; i++)
        if (text[i] >= '0' && text[i] <= '9')
            digits[used++] = text[i];
    digits[used] = '\0';
    minus = text[i] == 'e' && text[i + 1] == '-';
    for (; text[i] != '\0'; i++)
        if (text[i] >= '0' && text[i] <= '9')
            exponent = 10 * exponent + (text[i] - '0');
    return minus ? -exponent : exponent;
}

/* Significant figures: plain from 0.00001 to the fifteenth place before the point, else with a power of ten. */
static void write_significant(double number, int count, char *text, size_t size)
{
    char digits[40];
    int exponent = digits_of(number, count, digits), place = 0;
    size_t used = 0;

    if (number < 0 && strspn(digits, "0") < strlen(digits))
        text[used++] = '-';
    if (exponent < -5 || exponent > 14) {
        snprintf(text + used, size - used, "%c%s%se%d", digits[0], count > 1 ? "." : "", digits + 1, exponent);
        return;
    }
    if (exponent < 0) {
        used += (size_t)snprintf(text + used, size - used, "0.%.*s", -exponent - 1, "00000");
        snprintf(text + used, size - used, "%s", digits);
        return;
    }
    for (place = 0; place < count || place <= exponent; place++) {
        if (place == exponent + 1)
            text[used++] = '.';
        text[used++] = place < count ? digits[place] : '0';
    }
    text[used] = '\0';
}

static const char *handy_unit(cw_kind kind, double value, cw_unit_system system)
{
    const char *unit = NULL;

    for (size_t i = 0; i < sizeof handy / sizeof handy[0]; i++) {
        const char *name = system == CW_INCH_UNITS ? handy[i].inch : handy[i].metric;
        double from = system == CW_INCH_UNITS ? handy[i].inch_from : handy[i].metric_from;

        /* the last figure shown may round up to the next unit's threshold; a hair below counts as reached */
        if (handy[i].kind == kind && name != NULL && (unit == NULL || fabs(value) >= from * (1 - 1e-12)))
            unit = name;
    }
    return unit;
}

int cw_quantity_format(cw_kind kind, double value, cw_unit_system system, int digits, char *buffer, size_t size)
{
    const char *name = handy_unit(kind, value, system);
    char number[64];
    cw_unit unit = { "", 1, 0, false };

    assert(digits >= 1 && digits <= 15);
    if (!isfinite(value))
        return snprintf(buffer, size, "unknown");
    if (name != NULL && !find_unit(kind, name, &unit))
        assert(!"every handy unit is in the table");
    write_significant(cw_quantity__from_si(&unit, value), digits, number, sizeof number);
    return snprintf(buffer, size, "%s%s%s", number, name != NULL ? " " : "", name != NULL ? name : "");
}

int cw_quantity_format_in(cw_kind kind, double value, const char *unit_name, int decimals, char *buffer, size_t size)
{
    char number[400], *point;

    assert(decimals >= 0 && decimals <= 17);
    if (!isfinite(value))
        return snprintf(buffer, size, "unknown");
    snprintf(number, sizeof number, "%.*f", decimals, cw_quantity_in(kind, value, unit_name));
    point = number + strspn(number, "-0123456789");
    if (*point != '\0')
        *point = '.';
    if (strspn(number, "-0.") == strlen(number) && number[0] == '-')
        memmove(number, number + 1, strlen(number));
    return snprintf(buffer, size, "%s%s%s", number, unit_name[0] != '\0' ? " " : "", unit_name);
}

double cw_quantity_in(cw_kind kind, double value, const char *unit_name)
{
    cw_unit unit = { "", 1, 0, false };

    if (unit_name[0] != '\0' && !find_unit(kind, unit_name, &unit))
        assert(!"the unit is one of the kind's own");
    return cw_quantity__from_si(&unit, value);
}
