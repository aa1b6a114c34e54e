/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The options of a choice as a figure: pull against room, and against heat. */
#include "work/work_internal.h"

#include <math.h>

static double in_scale(double celsius, cw_unit_system units)
{
    return units == CW_INCH_UNITS ? 1.8 * celsius + 32 : celsius;
}

/* Pull where it is known; else what the wire weighs, since at one resistance a thicker wire is the stronger coil. */
static double pull_of(const cw_choice *choice, const cw_choice_option *option, cw_unit_system units)
{
    if (isfinite(choice->options[0].ampere_turns_ratio))
        return 100 * option->ampere_turns_ratio;
    if (isfinite(choice->options[0].ampere_turns))
        return option->ampere_turns;
    return option->mass_kg / (units == CW_INCH_UNITS ? 0.028349523125 : 1e-3);
}

static const char *pull_title(const cw_choice *choice, cw_unit_system units)
{
    if (isfinite(choice->options[0].ampere_turns_ratio))
        return "ampere-turns, % of the original's";
    if (isfinite(choice->options[0].ampere_turns))
        return "ampere-turns, hot";
    return units == CW_INCH_UNITS ? "wire on the coil, oz" : "wire on the coil, g";
}

static void fill_mark(const cw_choice *choice, size_t index, cw_work__notes *notes, cw_option_mark *mark)
{
    const cw_choice_option *o = &choice->options[index];
    const cw_unit_system units = choice->units;
    const char *shown = cw_work__note(notes, "%s, %ld turns, %s", cw_work__wire_name(notes, o), o->turns,
                                      cw_work__quantity(notes, CW_RESISTANCE, o->resistance_20c_ohm, units, 4));

    *mark = (cw_option_mark){ .name = shown, .x = pull_of(choice, o, units), .front = o->pareto, .taken = index == 0,
                              .shelf = o->from_stock ? CW_SHELF_ENOUGH : o->on_shelf ? CW_SHELF_SOME : CW_SHELF_NONE };
    mark->y[0] = o->spare_m / (units == CW_INCH_UNITS ? 0.0254 : 1e-3);
    mark->y[1] = in_scale(o->hot_spot_c, units);
}

cw_status cw_work__options_figure(cw_work *work, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const cw_choice *choice;
    cw_work__notes notes = { 0 };
    cw_option_mark *marks;
    cw_status status = cw_work_choose(work, &choice, error);
    const bool inch = status == CW_OK && choice->units == CW_INCH_UNITS;

    if (status != CW_OK)
        return status;
    if (choice->option_count == 0)
        return cw_refuse(error, NULL, NULL, "There are no options to draw. %s", choice->summary);
    marks = cw_allocate(choice->option_count, sizeof *marks);
    if (marks == NULL)
        return cw_no_memory(error);
    for (size_t i = 0; i < choice->option_count; i++)
        fill_mark(choice, i, &notes, &marks[i]);
    if (notes.failed) {
        status = cw_no_memory(error);
    } else {
        const bool heat = isfinite(choice->options[0].hot_spot_c);
        const cw_options_figure figure = {
            .marks = marks, .count = choice->option_count, .x_title = pull_title(choice, choice->units),
            .y_title = { inch ? "depth to spare, in" : "depth to spare, mm",
                         !heat ? NULL : inch ? "hot spot, about, °F" : "hot spot, about, °C" },
            .limit = { 0, heat ? in_scale(choice->options[0].limit_c, choice->units) : NAN },
            .limit_name = { "too deep below", "class" },
        };

        status = cw_options_write(&figure, paper, out, error);
    }
    cw_free(marks);
    cw_work__notes_clear(&notes);
    return status;
}
