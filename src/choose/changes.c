/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two options beside each other, in words. */
#include "choose/choose_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct list {
    cw_choice_change *changes;
    size_t count;
    cw_unit_system units;
} list;

static void add(list *l, const char *what, const char *before, const char *after, const char *text)
{
    cw_choice_change *change = &l->changes[l->count];

    if (strcmp(before, after) == 0 || l->count == CW_CHANGES_MOST)
        return;
    change->what = what;
    snprintf(change->before, sizeof change->before, "%s", before);
    snprintf(change->after, sizeof change->after, "%s", after);
    snprintf(change->text, sizeof change->text, "%s", text);
    l->count++;
}

static void written(const list *l, cw_kind kind, double value, int digits, char buffer[64])
{
    snprintf(buffer, 64, "not known");
    if (isfinite(value))
        cw_quantity_format(kind, value, l->units, digits, buffer, 64);
}

/* A quantity of which the share of change is worth saying. */
static void add_quantity(list *l, const char *what, cw_kind kind, double before, double after, int digits)
{
    char from[64], to[64], text[64] = "";
    const double share = 100 * fabs(after / before - 1);

    written(l, kind, before, digits, from);
    written(l, kind, after, digits, to);
    if (isfinite(share) && share >= 0.05)
        snprintf(text, sizeof text, "%.*f %% %s", share < 9.95 ? 1 : 0, share, after < before ? "less" : "more");
    add(l, what, from, to, text);
}

static void add_number(list *l, const char *what, double before, double after, int decimals, const char *behind)
{
    char from[64] = "not known", to[64] = "not known";

    if (isfinite(before))
        snprintf(from, sizeof from, "%.*f%s", decimals, before, behind);
    if (isfinite(after))
        snprintf(to, sizeof to, "%.*f%s", decimals, after, behind);
    add(l, what, from, to, "");
}

static void add_degrees(list *l, const char *what, double before, double after)
{
    const char *unit = l->units == CW_INCH_UNITS ? "°F" : "°C";
    const double difference = (l->units == CW_INCH_UNITS ? 1.8 : 1) * (after - before);
    char from[64] = "not known", to[64] = "not known", text[64] = "";

    if (isfinite(before))
        cw_quantity_format_in(CW_TEMPERATURE, before, unit, 0, from, sizeof from);
    if (isfinite(after))
        cw_quantity_format_in(CW_TEMPERATURE, after, unit, 0, to, sizeof to);
    if (isfinite(difference))
        snprintf(text, sizeof text, "%.0f degrees %s", fabs(difference), difference < 0 ? "cooler" : "hotter");
    add(l, what, from, to, text);
}

static void add_wire(list *l, const cw_choice_option *before, const cw_choice_option *after)
{
    char from[64], to[64];

    cw_choose__wires_in_words(before, from, sizeof from);
    cw_choose__wires_in_words(after, to, sizeof to);
    add(l, "wire", from, to, "");
}

static const char *fit_in_words(const cw_choice_option *option)
{
    return option->fits_probability >= 0.95 ? "fits" : option->fits_probability >= CW_CHOOSE__SURE ? "fits, just"
           : option->fits_probability >= 0.1 ? "may not fit"                                          : "does not fit";
}

size_t cw_choice_changes(const cw_choice_option *before, const cw_choice_option *after, cw_unit_system units,
                         cw_choice_change changes[CW_CHANGES_MOST])
{
    list l = { changes, 0, units };

    add_wire(&l, before, after);
    add_number(&l, "turns", (double)before->turns, (double)after->turns, 0, "");
    add_number(&l, "layers", (double)before->layers, (double)after->layers, 0, "");
    add_quantity(&l, "resistance at 20 °C", CW_RESISTANCE, before->resistance_20c_ohm, after->resistance_20c_ohm, 4);
    add_quantity(&l, "ampere-turns", CW_AMPERE_TURNS, before->ampere_turns, after->ampere_turns, 3);
    add_number(&l, "of the original's", 100 * before->ampere_turns_ratio, 100 * after->ampere_turns_ratio, 0, " %");
    add_quantity(&l, "current, hot", CW_CURRENT, before->current_a, after->current_a, 3);
    add_quantity(&l, "power, hot", CW_POWER, before->power_w, after->power_w, 3);
    add_degrees(&l, "hot spot, about", before->hot_spot_c, after->hot_spot_c);
    add_number(&l, "it fits in", 100 * before->fits_probability, 100 * after->fits_probability, 0, " cases of 100");
    if (l.count > 0 && strcmp(l.changes[l.count - 1].what, "it fits in") == 0)
        snprintf(l.changes[l.count - 1].text, sizeof l.changes[0].text, "%s", fit_in_words(after));
    add_quantity(&l, "depth to spare", CW_LENGTH, before->spare_m, after->spare_m, 2);
    add_number(&l, "resistance right in", 100 * before->resistance_in_tolerance_probability,
               100 * after->resistance_in_tolerance_probability, 0, " cases of 100");
    add_quantity(&l, "volts between layers", CW_VOLTAGE, before->layer_voltage_v, after->layer_voltage_v, 2);
    add_quantity(&l, "wire to have ready", CW_MASS, before->wire_mass_kg, after->wire_mass_kg, 3);
    add_number(&l, "cost", before->cost, after->cost, 2, "");
    return l.count;
}
