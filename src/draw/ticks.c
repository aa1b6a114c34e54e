/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Round steps for axes, and numbers written with a point whatever the locale. */
#include "draw/draw_internal.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>

/* The smallest of 1, 2, 5, 10 times a power of ten that is not below `least`; *exponent receives that power. */
static double round_step(double least, int *exponent)
{
    static const double factors[] = { 1, 2, 5, 10 };
    int power = (int)floor(log10(least));
    double base = pow(10, power);

    for (size_t i = 0; i < sizeof factors / sizeof factors[0]; i++) {
        if (factors[i] * base >= least * (1 - 1e-9)) {
            *exponent = factors[i] == 10 ? power + 1 : power;
            return factors[i] * base;
        }
    }
    *exponent = power + 1;
    return 10 * base;
}

cw_ticks cw_ticks_choose(double low, double high, int most, bool enclose)
{
    cw_ticks ticks;
    double first, last, least;
    int exponent;

    assert(isfinite(low) && isfinite(high) && low <= high && most >= 2);
    if (high - low <= 1e-12 * fmax(fabs(low), fabs(high)) || high == low) {
        double around = low == 0 ? 1 : 0.1 * fabs(low);

        low -= around;
        high += around;
    }
    /* enclosing may need one step more than the range holds at either end: take wider steps until they are enough */
    for (least = (high - low) / most;; least = ticks.step * 1.01) {
        ticks.step = round_step(least, &exponent);
        first = enclose ? floor(low / ticks.step + 1e-9) : ceil(low / ticks.step - 1e-9);
        last = enclose ? ceil(high / ticks.step - 1e-9) : floor(high / ticks.step + 1e-9);
        if (last - first <= most)
            break;
    }
    ticks.first = first * ticks.step;
    ticks.count = (int)(last - first) + 1;
    ticks.decimals = exponent < 0 ? -exponent : 0;
    return ticks;
}

double cw_ticks_value(const cw_ticks *ticks, int index)
{
    double value = ticks->first + index * ticks->step;

    return fabs(value) < 1e-9 * ticks->step ? 0 : value;
}

void cw_ticks_label(const cw_ticks *ticks, int index, char *buffer, size_t size)
{
    cw_draw__number(cw_ticks_value(ticks, index), ticks->decimals, buffer, size);
}

void cw_draw__number(double value, int decimals, char *buffer, size_t size)
{
    snprintf(buffer, size, "%.*f", decimals, value);
    for (char *c = buffer; *c != '\0'; c++)
        if (*c == ',') /* the only other decimal sign of C's locales that is one byte */
            *c = '.';
}

void cw_draw__percent(double share, char *buffer, size_t size)
{
    double percent = 100 * share;

    if (percent > 0 && percent < 1)
        snprintf(buffer, size, "< 1 %%");
    else if (percent < 100 && percent > 99)
        snprintf(buffer, size, "> 99 %%");
    else
        snprintf(buffer, size, "%.0f %%", percent);
}

void cw_draw__length(double length_m, cw_unit_system units, char *buffer, size_t size)
{
    bool inches = units == CW_INCH_UNITS;
    int decimals = inches ? 3 : fabs(length_m) < 9.995e-3 ? 2 : 1;

    cw_quantity_format_in(CW_LENGTH, length_m, inches ? "in" : "mm", decimals, buffer, size);
}
