/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The kinds of quantity and the units each may be written in.
 *
 * Exact by definition: inch = 25.4 mm, pound = 0.45359237 kg [yard and pound agreement 1959]; standard gravity
 * 9.80665 m/s2 and 0 °C = 273.15 K [SI brochure]; 1 gauss = 1e-4 T, 1 atm = 101325 Pa.
 *
 * In a name a blank stands for any number of blanks, or a point, dash, star or dot of a product between them; "/" for
 * a stroke with blanks around it, or "per"; "2" and "3" at the end for the raised figures too. */
#include "quantity/quantity_internal.h"

#include <assert.h>
#include <math.h>

#define INCH 0.0254
#define FOOT 0.3048
#define POUND 0.45359237
#define OUNCE (POUND / 16)
#define GRAVITY 9.80665
#define PI 3.14159265358979323846
#define COUNT_OF(array) ((int)(sizeof(array) / sizeof(array)[0]))

static const cw_unit count_units[] = {
    { "turns", 1, 0, false }, { "turn", 1, 0, false }, { "layers", 1, 0, false }, { "layer", 1, 0, false },
    { "coils", 1, 0, false }, { "coil", 1, 0, false }, { "strands", 1, 0, false }, { "pieces", 1, 0, false },
};

static const cw_unit ratio_units[] = {
    { "%", 0.01, 0, false }, { "percent", 0.01, 0, false }, { "per cent", 0.01, 0, false },
};

static const cw_unit length_units[] = {
    { "mm", 1e-3, 0, false }, { "cm", 1e-2, 0, false }, { "m", 1, 0, false }, { "km", 1e3, 0, false },
    { "um", 1e-6, 0, false }, { "micron", 1e-6, 0, false }, { "microns", 1e-6, 0, false },
    { "metre", 1, 0, false }, { "metres", 1, 0, false }, { "meter", 1, 0, false }, { "meters", 1, 0, false },
    { "in", INCH, 0, false }, { "inch", INCH, 0, false }, { "inches", INCH, 0, false }, { "\"", INCH, 0, false },
    { "''", INCH, 0, false }, { "thou", INCH / 1000, 0, false }, { "mil", INCH / 1000, 0, false },
    { "mils", INCH / 1000, 0, false }, { "ft", FOOT, 0, false }, { "foot", FOOT, 0, false },
    { "feet", FOOT, 0, false }, { "'", FOOT, 0, false }, { "kft", 1000 * FOOT, 0, false },
    { "yd", 3 * FOOT, 0, false }, { "yard", 3 * FOOT, 0, false }, { "yards", 3 * FOOT, 0, false },
};

static const cw_unit mass_units[] = {
    { "g", 1e-3, 0, false }, { "kg", 1, 0, false }, { "mg", 1e-6, 0, true }, { "gram", 1e-3, 0, false },
    { "grams", 1e-3, 0, false }, { "lb", POUND, 0, false }, { "lbs", POUND, 0, false },
    { "pound", POUND, 0, false }, { "pounds", POUND, 0, false }, { "oz", OUNCE, 0, false },
    { "ounce", OUNCE, 0, false }, { "ounces", OUNCE, 0, false },
};

static const cw_unit time_units[] = {
    { "s", 1, 0, false }, { "sec", 1, 0, false }, { "secs", 1, 0, false }, { "second", 1, 0, false },
    { "seconds", 1, 0, false }, { "ms", 1e-3, 0, false }, { "us", 1e-6, 0, false }, { "min", 60, 0, false },
    { "mins", 60, 0, false }, { "minute", 60, 0, false }, { "minutes", 60, 0, false }, { "h", 3600, 0, false },
    { "hr", 3600, 0, false }, { "hrs", 3600, 0, false }, { "hour", 3600, 0, false }, { "hours", 3600, 0, false },
    { "d", 86400, 0, false }, { "day", 86400, 0, false }, { "days", 86400, 0, false },
};

static const cw_unit temperature_units[] = {
    { "°C", 1, 0, false }, { "C", 1, 0, false }, { "deg C", 1, 0, false }, { "° C", 1, 0, false },
    { "℃", 1, 0, false }, { "K", 1, 273.15, false }, { "°F", 5.0 / 9, 32, false }, { "F", 5.0 / 9, 32, false },
    { "deg F", 5.0 / 9, 32, false }, { "° F", 5.0 / 9, 32, false }, { "℉", 5.0 / 9, 32, false },
};

static const cw_unit temperature_difference_units[] = {
    { "K", 1, 0, false }, { "°C", 1, 0, false }, { "C", 1, 0, false }, { "deg C", 1, 0, false },
    { "° C", 1, 0, false }, { "℃", 1, 0, false }, { "°F", 5.0 / 9, 0, false }, { "F", 5.0 / 9, 0, false },
    { "deg F", 5.0 / 9, 0, false }, { "° F", 5.0 / 9, 0, false }, { "℉", 5.0 / 9, 0, false },
};

static const cw_unit resistance_units[] = {
    { "ohm", 1, 0, false }, { "ohms", 1, 0, false }, { "Ω", 1, 0, false },
    { "mohm", 1e-3, 0, false }, { "mohms", 1e-3, 0, false }, { "mΩ", 1e-3, 0, false },
    { "milliohm", 1e-3, 0, false }, { "milliohms", 1e-3, 0, false },
    { "uohm", 1e-6, 0, false }, { "uΩ", 1e-6, 0, false },
    { "kohm", 1e3, 0, false }, { "kohms", 1e3, 0, false }, { "kΩ", 1e3, 0, false },
    { "Mohm", 1e6, 0, false }, { "Mohms", 1e6, 0, false }, { "MΩ", 1e6, 0, false },
    { "megohm", 1e6, 0, false }, { "megohms", 1e6, 0, false },
    { "Gohm", 1e9, 0, false }, { "GΩ", 1e9, 0, false },
};

static const cw_unit voltage_units[] = {
    { "V", 1, 0, false }, { "mV", 1e-3, 0, true }, { "kV", 1e3, 0, false }, { "uV", 1e-6, 0, false },
    { "volt", 1, 0, false }, { "volts", 1, 0, false },
};

static const cw_unit current_units[] = {
    { "A", 1, 0, false }, { "mA", 1e-3, 0, false }, { "uA", 1e-6, 0, false }, { "kA", 1e3, 0, false },
    { "amp", 1, 0, false }, { "amps", 1, 0, false }, { "ampere", 1, 0, false }, { "amperes", 1, 0, false },
};

static const cw_unit power_units[] = {
    { "W", 1, 0, false }, { "mW", 1e-3, 0, false }, { "kW", 1e3, 0, false }, { "MW", 1e6, 0, true },
    { "watt", 1, 0, false }, { "watts", 1, 0, false },
};

/* old plates write cycles for hertz */
static const cw_unit frequency_units[] = {
    { "Hz", 1, 0, false }, { "kHz", 1e3, 0, false }, { "MHz", 1e6, 0, true }, { "1/s", 1, 0, false },
    { "cycles", 1, 0, false }, { "cycle", 1, 0, false }, { "cy", 1, 0, false }, { "cps", 1, 0, false },
};

static const cw_unit inductance_units[] = {
    { "H", 1, 0, false }, { "mH", 1e-3, 0, false }, { "uH", 1e-6, 0, false }, { "nH", 1e-9, 0, false },
};

/* MFD on an old capacitor is a microfarad, so capital MF is nobody's millifarad here */
static const cw_unit capacitance_units[] = {
    { "F", 1, 0, false }, { "mF", 1e-3, 0, true }, { "uF", 1e-6, 0, false }, { "nF", 1e-9, 0, false },
    { "pF", 1e-12, 0, false }, { "mfd", 1e-6, 0, false },
};

static const cw_unit flux_density_units[] = {
    { "T", 1, 0, false }, { "mT", 1e-3, 0, false }, { "uT", 1e-6, 0, false }, { "G", 1e-4, 0, false },
    { "Gs", 1e-4, 0, false }, { "gauss", 1e-4, 0, false }, { "kG", 0.1, 0, false }, { "tesla", 1, 0, false },
};

/* "at" is the word before a temperature, so At keeps its capital */
static const cw_unit ampere_turns_units[] = {
    { "A", 1, 0, false }, { "At", 1, 0, true }, { "AT", 1, 0, true }, { "kA", 1e3, 0, false },
    { "kAt", 1e3, 0, false }, { "ampere turns", 1, 0, false }, { "amp turns", 1, 0, false },
};

static const cw_unit force_units[] = {
    { "N", 1, 0, false }, { "mN", 1e-3, 0, true }, { "kN", 1e3, 0, false }, { "kg", GRAVITY, 0, false },
    { "kgf", GRAVITY, 0, false }, { "kp", GRAVITY, 0, false }, { "g", 1e-3 * GRAVITY, 0, false },
    { "gf", 1e-3 * GRAVITY, 0, false }, { "lb", POUND * GRAVITY, 0, false }, { "lbs", POUND * GRAVITY, 0, false },
    { "lbf", POUND * GRAVITY, 0, false }, { "pound", POUND * GRAVITY, 0, false },
    { "pounds", POUND * GRAVITY, 0, false }, { "oz", OUNCE * GRAVITY, 0, false },
    { "ozf", OUNCE * GRAVITY, 0, false }, { "ounces", OUNCE * GRAVITY, 0, false },
};

static const cw_unit torque_units[] = {
    { "N m", 1, 0, false }, { "mN m", 1e-3, 0, true }, { "N cm", 1e-2, 0, false }, { "N mm", 1e-3, 0, false },
    { "kN m", 1e3, 0, false }, { "kg cm", GRAVITY * 1e-2, 0, false }, { "kgf cm", GRAVITY * 1e-2, 0, false },
    { "kgf m", GRAVITY, 0, false }, { "lb ft", POUND * GRAVITY * FOOT, 0, false },
    { "lbf ft", POUND * GRAVITY * FOOT, 0, false }, { "ft lb", POUND * GRAVITY * FOOT, 0, false },
    { "ft lbf", POUND * GRAVITY * FOOT, 0, false }, { "lb in", POUND * GRAVITY * INCH, 0, false },
    { "lbf in", POUND * GRAVITY * INCH, 0, false }, { "in lb", POUND * GRAVITY * INCH, 0, false },
    { "in lbf", POUND * GRAVITY * INCH, 0, false }, { "oz in", OUNCE * GRAVITY * INCH, 0, false },
    { "ozf in", OUNCE * GRAVITY * INCH, 0, false }, { "in oz", OUNCE * GRAVITY * INCH, 0, false },
};

static const cw_unit energy_units[] = {
    { "J", 1, 0, false }, { "mJ", 1e-3, 0, true }, { "uJ", 1e-6, 0, false }, { "kJ", 1e3, 0, false },
    { "W s", 1, 0, false }, { "W h", 3600, 0, false }, { "kW h", 3.6e6, 0, false },
};

static const cw_unit speed_units[] = {
    { "ipm", INCH / 60, 0, false }, { "fpm", FOOT / 60, 0, false }, { "sfm", FOOT / 60, 0, false },
};

static const cw_unit acceleration_units[] = {
    { "m/s2", 1, 0, false }, { "mm/s2", 1e-3, 0, false }, { "in/s2", INCH, 0, false }, { "ft/s2", FOOT, 0, false },
    { "g", GRAVITY, 0, false },
};

static const cw_unit rotation_units[] = {
    { "rpm", 1, 0, false }, { "r/min", 1, 0, false }, { "rev/min", 1, 0, false }, { "1/min", 1, 0, false },
    { "/min", 1, 0, false }, { "turns/min", 1, 0, false }, { "1/s", 60, 0, false }, { "rps", 60, 0, false },
    { "r/s", 60, 0, false }, { "rev/s", 60, 0, false },
};

static const cw_unit angle_units[] = {
    { "°", 1, 0, false }, { "deg", 1, 0, false }, { "degree", 1, 0, false }, { "degrees", 1, 0, false },
    { "rad", 180 / PI, 0, false }, { "turn", 360, 0, false }, { "turns", 360, 0, false },
};

/* a circular mil is the circle of one thousandth of an inch across */
static const cw_unit area_units[] = {
    { "mm2", 1e-6, 0, false }, { "cm2", 1e-4, 0, false }, { "m2", 1, 0, false }, { "sq mm", 1e-6, 0, false },
    { "sq cm", 1e-4, 0, false }, { "sq m", 1, 0, false }, { "in2", INCH * INCH, 0, false },
    { "sq in", INCH * INCH, 0, false }, { "ft2", FOOT * FOOT, 0, false }, { "sq ft", FOOT * FOOT, 0, false },
    { "cmil", PI / 4 * 1e-6 * INCH * INCH, 0, false }, { "circular mils", PI / 4 * 1e-6 * INCH * INCH, 0, false },
};

static const cw_unit volume_units[] = {
    { "mm3", 1e-9, 0, false }, { "cm3", 1e-6, 0, false }, { "cc", 1e-6, 0, false }, { "m3", 1, 0, false },
    { "ml", 1e-6, 0, false }, { "l", 1e-3, 0, false }, { "litre", 1e-3, 0, false }, { "litres", 1e-3, 0, false },
    { "liter", 1e-3, 0, false }, { "liters", 1e-3, 0, false }, { "in3", INCH * INCH * INCH, 0, false },
    { "cu in", INCH * INCH * INCH, 0, false }, { "ft3", FOOT * FOOT * FOOT, 0, false },
    { "cu ft", FOOT * FOOT * FOOT, 0, false },
};

static const cw_unit pressure_units[] = {
    { "Pa", 1, 0, false }, { "hPa", 100, 0, false }, { "kPa", 1e3, 0, false }, { "MPa", 1e6, 0, true },
    { "bar", 1e5, 0, false }, { "mbar", 100, 0, true }, { "N/mm2", 1e6, 0, false },
    { "psi", POUND * GRAVITY / (INCH * INCH), 0, false }, { "atm", 101325, 0, false },
};

static const cw_unit conductivity_units[] = {
    { "W/(m K)", 1, 0, false }, { "W/m K", 1, 0, false }, { "W/m/K", 1, 0, false }, { "mW/(m K)", 1e-3, 0, true },
};

static const cw_unit surface_coefficient_units[] = {
    { "W/(m2 K)", 1, 0, false }, { "W/m2 K", 1, 0, false }, { "W/m2/K", 1, 0, false },
};

#define UNITS(kind) kind##_units, COUNT_OF(kind##_units)

static const cw_kind_row kinds[CW_KIND_COUNT] = {
    [CW_COUNT] = { "a count", "168", UNITS(count), .bare = true },
    [CW_RATIO] = { "a ratio", "40 %", UNITS(ratio) },
    [CW_LENGTH] = { "a length", "58 mm", UNITS(length), .several_terms = true },
    [CW_MASS] = { "a mass", "186 g", UNITS(mass), .several_terms = true },
    [CW_TIME] = { "a time", "5 min", UNITS(time), .several_terms = true },
    [CW_TEMPERATURE] = { "a temperature", "21 °C", UNITS(temperature) },
    [CW_TEMPERATURE_DIFFERENCE] = { "a temperature difference", "5 K", UNITS(temperature_difference) },
    [CW_RESISTANCE] = { "a resistance", "84.2 ohm", UNITS(resistance) },
    [CW_RESISTANCE_PER_LENGTH] = { "a resistance per length", "130.1 ohm/kft", NULL, 0, .quotient = true,
                                   .over = CW_RESISTANCE, .under = CW_LENGTH },
    [CW_MASS_PER_LENGTH] = { "a mass per length", "0.6 g/m", NULL, 0, .quotient = true, .over = CW_MASS,
                             .under = CW_LENGTH },
    [CW_VOLTAGE] = { "a voltage", "96 V", UNITS(voltage) },
    [CW_CURRENT] = { "a current", "50 mA", UNITS(current) },
    [CW_POWER] = { "a power", "95 W", UNITS(power) },
    [CW_FREQUENCY] = { "a frequency", "50 Hz", UNITS(frequency) },
    [CW_INDUCTANCE] = { "an inductance", "0.21 H", UNITS(inductance) },
    [CW_CAPACITANCE] = { "a capacitance", "10 uF", UNITS(capacitance) },
    [CW_FLUX_DENSITY] = { "a flux density", "3.1 mT", UNITS(flux_density) },
    [CW_AMPERE_TURNS] = { "a number of ampere-turns", "900 A", UNITS(ampere_turns), .bare = true },
    [CW_FORCE] = { "a force", "45 N", UNITS(force) },
    [CW_TORQUE] = { "a torque", "12 N m", UNITS(torque) },
    [CW_ENERGY] = { "an energy", "3 J", UNITS(energy) },
    [CW_SPEED] = { "a speed", "2 m/min", UNITS(speed), .quotient = true, .over = CW_LENGTH, .under = CW_TIME },
    [CW_ACCELERATION] = { "an acceleration", "0.5 m/s2", UNITS(acceleration) },
    [CW_ROTATION] = { "a speed of rotation", "60 rpm", UNITS(rotation) },
    [CW_ANGLE] = { "an angle", "30 deg", UNITS(angle) },
    [CW_AREA] = { "an area", "20 mm2", UNITS(area) },
    [CW_VOLUME] = { "a volume", "50 ml", UNITS(volume) },
    [CW_PRESSURE] = { "a pressure", "2 bar", UNITS(pressure) },
    [CW_CONDUCTIVITY] = { "a heat conductivity", "0.3 W/(m K)", UNITS(conductivity) },
    [CW_SURFACE_COEFFICIENT] = { "a surface coefficient of heat", "10 W/(m2 K)", UNITS(surface_coefficient) },
};

const cw_kind_row *cw_quantity__kind(cw_kind kind)
{
    assert((int)kind >= 0 && kind < CW_KIND_COUNT);
    return &kinds[kind];
}

/* The power of ten that a factor is; false where it is none. Ten to a power below 23 is exact. */
static bool power_of_ten(double factor, int *power)
{
    double ten = 1;

    for (*power = 0; *power <= 15; (*power)++, ten *= 10) {
        if (factor == ten)
            return true;
        if (factor == 1 / ten) {
            *power = -*power;
            return true;
        }
    }
    return false;
}

double cw_quantity__to_si(const cw_unit *unit, const cw_number *number)
{
    int power;

    if (number->figures[0] != '\0' && unit->zero == 0 && power_of_ten(unit->factor, &power))
        return (signbit(number->value) ? -1 : 1) * cw_quantity__decimal(number->figures, number->exponent + power);
    return (number->value - unit->zero) * unit->factor;
}

double cw_quantity__from_si(const cw_unit *unit, double value)
{
    int power;

    if (unit->factor < 1 && power_of_ten(unit->factor, &power)) /* 1000 is exact, 0.001 is not */
        return value * rint(1 / unit->factor) + unit->zero;
    return value / unit->factor + unit->zero;
}

const char *cw_kind_name(cw_kind kind)
{
    return cw_quantity__kind(kind)->name;
}

const char *cw_kind_example(cw_kind kind)
{
    return cw_quantity__kind(kind)->example;
}
