/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a person writes ("84.2 ohm ± 0.5 %", "1 ft 3 in", "70 °F") and the SI number it means.
 *
 * Knows: units, and which of them a kind of quantity may be written in. A shop's "oz" is a mass, its `"` an inch and
 * its "ohm/kft" ohms per thousand feet, because the caller says which kind it expects; nothing is guessed from the
 * text alone. Needs: base. Refuses to know: what the quantity is for.
 *
 * Grammar (blanks are free, except inside a number):
 *
 *     quantity  = term { term } [ doubt ] [ condition ]    several terms only for length, mass and time, falling units
 *     term      = number unit                               the unit is required, except for counts
 *     number    = [ sign ] ( decimal | integer "/" integer | integer ( blank | "-" ) integer "/" integer )
 *     doubt     = ( "±" | "+/-" | "+-" ) number [ "%" | unit ]   half-width that holds 95 % of the cases
 *     condition = ( "@" | "at" ) quantity-of-temperature     only where the caller allows it
 *
 * A decimal comma is refused with the point suggested; so is a number without a unit, an unknown unit (with the
 * nearest known one), infinity, and anything left over at the end. Case matters only where it must (mohm, Mohm). */
#ifndef COILWRIGHT_QUANTITY_H
#define COILWRIGHT_QUANTITY_H

#include "coilwright/base.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Kinds of quantity. The SI unit of `value` stands behind each. */
typedef enum cw_kind {
    CW_COUNT,                  /* 1, no unit ("turns" is welcome where turns are meant)  */
    CW_RATIO,                  /* 1; "40 %" is 0.4 */
    CW_LENGTH,                 /* m */
    CW_MASS,                   /* kg */
    CW_TIME,                   /* s */
    CW_TEMPERATURE,            /* degree Celsius; "K" is absolute */
    CW_TEMPERATURE_DIFFERENCE, /* K; "5 °F" is 2.78 K */
    CW_RESISTANCE,             /* ohm */
    CW_RESISTANCE_PER_LENGTH,  /* ohm/m */
    CW_MASS_PER_LENGTH,        /* kg/m */
    CW_VOLTAGE,                /* V */
    CW_CURRENT,                /* A */
    CW_POWER,                  /* W */
    CW_FREQUENCY,              /* Hz */
    CW_INDUCTANCE,             /* H */
    CW_CAPACITANCE,            /* F */
    CW_FLUX_DENSITY,           /* T */
    CW_AMPERE_TURNS,           /* A */
    CW_FORCE,                  /* N; "kg" and "lb" are weights here */
    CW_TORQUE,                 /* N m */
    CW_ENERGY,                 /* J */
    CW_SPEED,                  /* m/s */
    CW_ACCELERATION,           /* m/s2 */
    CW_ROTATION,               /* revolutions per minute: the one kind kept in its trade unit */
    CW_ANGLE,                  /* degree: the other */
    CW_AREA,                   /* m2 */
    CW_VOLUME,                 /* m3 */
    CW_PRESSURE,               /* Pa */
    CW_CONDUCTIVITY,           /* W/(m K), of heat */
    CW_SURFACE_COEFFICIENT,    /* W/(m2 K) */
    CW_KIND_COUNT
} cw_kind;

/** A number with its doubt. */
typedef struct cw_quantity {
    double value;     /* SI, see cw_kind */
    double doubt;     /* half-width that holds 95 % of the cases, same unit; 0 where none was given */
    bool doubt_given; /* false: the reading's usual doubt applies */
} cw_quantity;

/** Reads a quantity of a known kind.
 *
 *  text      need not be NUL-terminated; UTF-8
 *  at        place of the text's first character, for errors; may be NULL
 *  quantity  receives value and doubt; left alone on failure
 *  error     line and column of the very character that is wrong
 *
 *  Test: tests/quantity/test_parse.c; against definitions in tests/outside/unit_definitions.c */
CW_API cw_status cw_quantity_parse(cw_kind kind, const char *text, size_t length, const cw_place *at,
                                   cw_quantity *quantity, cw_error *error);

/** The same with an optional "@ 20 °C" or "at 68 °F" behind.
 *  at_c  receives the temperature, or NAN where none was written */
CW_API cw_status cw_quantity_parse_at(cw_kind kind, const char *text, size_t length, const cw_place *at,
                                      cw_quantity *quantity, double *at_c, cw_error *error);

/** In which units a person wants to read. */
typedef enum cw_unit_system { CW_METRIC_UNITS, CW_INCH_UNITS } cw_unit_system;

/** Writes a value for reading, with the unit of that system whose number is handy: 0.0584 m as "58.4 mm" or
 *  "2.299 in". Returns the length as snprintf does.
 *
 *  digits  significant digits, 1 to 15; trailing zeros are kept, so that columns align
 *  buffer  may be NULL where size is 0
 *
 *  What is written parses back to the same value to the digits shown. Test: tests/quantity/test_format.c */
CW_API int cw_quantity_format(cw_kind kind, double value, cw_unit_system system, int digits, char *buffer, size_t size);

/** The same in a given unit, as in cw_quantity_format_in(CW_LENGTH, 0.01, "mm", 3, ...) -> "10.000 mm", with a fixed
 *  number of decimals. An unknown unit is a programming mistake (asserted). */
CW_API int cw_quantity_format_in(cw_kind kind, double value, const char *unit, int decimals, char *buffer, size_t size);

/** Value in that unit; the inverse of what parsing multiplies by. Asserts a known unit. */
CW_API double cw_quantity_in(cw_kind kind, double value, const char *unit);

/** "a length", "a resistance": for sentences. And an example of how to write one: "58 mm". Never NULL. */
CW_API const char *cw_kind_name(cw_kind kind);
CW_API const char *cw_kind_example(cw_kind kind);

#ifdef __cplusplus
}
#endif
#endif
