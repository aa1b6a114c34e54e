/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The choice for a terminal: the best in full, the others a line each. */
#include "choose/choose_json.h"

#include <math.h>

static void add(cw_text *text, const char *before, cw_kind kind, double value, cw_unit_system units, int digits,
                const char *after)
{
    char number[64];

    if (!isfinite(value))
        return;
    cw_quantity_format(kind, value, units, digits, number, sizeof number);
    cw_text_print(text, "%s%s%s", before, number, after);
}

static const char *scale_of(cw_unit_system units)
{
    return units == CW_INCH_UNITS ? "°F" : "°C";
}

static double in_scale(double celsius, cw_unit_system units)
{
    return units == CW_INCH_UNITS ? 1.8 * celsius + 32 : celsius;
}

static void add_best(const cw_choice_option *o, bool in_magnet, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "\n%s\n", o->id);
    cw_text_print(text, "  %ld turns in %zu layers; fits %.0f %%", o->turns, o->layers, 100 * o->fits_probability);
    if (isfinite(o->resistance_in_tolerance_probability))
        cw_text_print(text, ", resistance right %.0f %%", 100 * o->resistance_in_tolerance_probability);
    add(text, "\n  ", CW_RESISTANCE, o->resistance_20c_ohm, units, 4, " at 20 °C");
    add(text, ", ", CW_CURRENT, o->current_a, units, 3, " hot");
    add(text, ", ", CW_POWER, o->power_w, units, 3, "");
    if (isfinite(o->ampere_turns_ratio))
        cw_text_print(text, ", ampere-turns %.0f %% of the original", 100 * o->ampere_turns_ratio);
    if (isfinite(o->hot_spot_c))
        cw_text_print(text, ", hot spot about %.0f %s %s", in_scale(o->hot_spot_c, units), scale_of(units),
                      in_magnet ? "in its magnet" : "bare in air");
    add(text, "\n  have ready ", CW_MASS, o->wire_mass_kg, units, 3, "");
    add(text, ", ", CW_LENGTH, o->wire_length_m, units, 3, o->from_stock ? "; the shelf has it\n" : "\n");
    for (size_t i = 0; i < o->reason_count; i++)
        cw_text_print(text, "  %s %s\n", i < o->drawbacks ? "but" : "  +", o->reasons[i]);
}

/* The original at its supply beside the new coil at its own. */
static void add_supplies(const cw_choice *choice, cw_text *text)
{
    const cw_choice_option *o = &choice->options[0];

    cw_text_add(text, "\n  Another supply:");
    add(text, " the original at ", CW_VOLTAGE, choice->original_coil_voltage_v, choice->units, 4, "");
    add(text, ", ", CW_RESISTANCE, choice->original_resistance_20c_ohm, choice->units, 4, " at 20 °C");
    if (isfinite(choice->original_turns))
        cw_text_print(text, ", %.0f turns", choice->original_turns);
    if (isfinite(choice->original_ampere_turns))
        cw_text_print(text, ", %.0f ampere-turns", choice->original_ampere_turns);
    add(text, ", ", CW_POWER, choice->original_power_w, choice->units, 3, "");
    add(text, ";\n  this one at ", CW_VOLTAGE, choice->coil_voltage_v, choice->units, 4, "");
    add(text, ", ", CW_RESISTANCE, o->resistance_20c_ohm, choice->units, 4, " at 20 °C");
    cw_text_print(text, ", %ld turns", o->turns);
    if (isfinite(o->ampere_turns))
        cw_text_print(text, ", %.0f ampere-turns", o->ampere_turns);
    add(text, ", ", CW_POWER, o->power_w, choice->units, 3, ".\n");
}

static int width_of(const char *utf8)
{
    int width = 0;

    for (; *utf8 != '\0'; utf8++)
        width += (*utf8 & 0xC0) != 0x80;
    return width;
}

/* A cell of so many characters, whatever their bytes. */
static void add_cell(cw_text *text, const char *cell, int width)
{
    const int blanks = width - width_of(cell);

    cw_text_print(text, "%s%*s", cell, blanks > 0 ? blanks : 0, "");
}

static void add_changes(const cw_choice *choice, const cw_choice *before, cw_text *text)
{
    enum { WHAT = 22 };
    cw_choice_change changes[CW_CHANGES_MOST];
    const size_t count = cw_choice_changes(&before->options[0], &choice->options[0], choice->units, changes);
    int wide = width_of(before->options[0].id);

    for (size_t i = 0; i < count; i++)
        wide = width_of(changes[i].before) > wide ? width_of(changes[i].before) : wide;
    if (count == 0) {
        cw_text_print(text, "\n  The same as without it: %s.\n", before->options[0].id);
        return;
    }
    cw_text_print(text, "\n  %-*s ", WHAT, "beside the best");
    add_cell(text, "before", wide + 2);
    cw_text_add(text, "after\n");
    for (size_t i = 0; i < count; i++) {
        cw_text_add(text, "  ");
        add_cell(text, changes[i].what, WHAT + 1);
        add_cell(text, changes[i].before, wide + 2);
        cw_text_print(text, "%s%s%s%s\n", changes[i].after, changes[i].text[0] != '\0' ? " (" : "", changes[i].text,
                      changes[i].text[0] != '\0' ? ")" : "");
    }
}

void cw_choice_text(const cw_choice *choice, const cw_choice *before, cw_text *text)
{
    enum { LISTED = 12 };
    const cw_unit_system units = choice->units;
    int wide = 30;

    cw_text_print(text, "%s\n", choice->summary);
    if (choice->option_count == 0)
        return;
    add_best(&choice->options[0], choice->in_magnet, units, text);
    if (isfinite(choice->original_coil_voltage_v))
        add_supplies(choice, text);
    if (before != NULL && before->option_count > 0)
        add_changes(choice, before, text);
    for (size_t i = 0; i < choice->option_count && i < LISTED; i++)
        wide = width_of(choice->options[i].id) > wide ? width_of(choice->options[i].id) : wide;
    cw_text_print(text, "\n  %-*s layers   fits  ohm right   at 20 °C      pull  hot spot  shelf\n", wide - 1, "option");
    for (size_t i = 0; i < choice->option_count && i < LISTED; i++) {
        const cw_choice_option *o = &choice->options[i];
        char ohm[32];

        cw_quantity_format(CW_RESISTANCE, o->resistance_20c_ohm, units, 4, ohm, sizeof ohm);
        cw_text_print(text, "  %-*s %5zu %5.0f %% %7.0f %% %12s", wide, o->id, o->layers, 100 * o->fits_probability,
                      100 * o->resistance_in_tolerance_probability, ohm);
        if (isfinite(o->ampere_turns_ratio))
            cw_text_print(text, " %6.0f %%", 100 * o->ampere_turns_ratio);
        else
            cw_text_add(text, "        -");
        if (isfinite(o->hot_spot_c))
            cw_text_print(text, " %6.0f %s", in_scale(o->hot_spot_c, choice->units), scale_of(choice->units));
        else
            cw_text_add(text, "         -");
        cw_text_print(text, "  %s\n", o->from_stock ? "enough" : o->on_shelf ? "some" : "-");
    }
    cw_text_add(text, "  (pull: ampere-turns against the original, hot, at the same supply)\n");
}
