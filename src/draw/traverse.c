/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the wire lies along the axis while the turns are laid. */
#include "draw/draw_internal.h"

/* Positions in the user's unit; NULL without memory. */
static double *in_unit(const double *position_m, size_t count, const char *unit)
{
    double *shown = cw_allocate(count, sizeof *shown);

    for (size_t i = 0; shown != NULL && i < count; i++)
        shown[i] = cw_quantity_in(CW_LENGTH, position_m[i], unit);
    return shown;
}

void cw_traverse_draw(cw_canvas *canvas, cw_box box, const cw_traverse_figure *figure)
{
    bool inches = figure->units == CW_INCH_UNITS;
    bool compared = figure->wanted_turns != NULL && figure->wanted_position_m != NULL;
    const char *unit = inches ? "in" : "mm";
    double *found = in_unit(figure->position_m, figure->count, unit);
    double *wanted = compared ? in_unit(figure->wanted_position_m, figure->wanted_count, unit) : NULL;
    const cw_curve curves[2] = {
        { "as planned", figure->wanted_turns, wanted, compared ? figure->wanted_count : 0, { CW_SAND, 1.4, CW_SOLID },
          false },
        { "as laid", figure->turns, found, figure->count, { CW_BLUE, 0.35, CW_SOLID }, false },
    };
    const cw_plot plot = { "turns", inches ? "from the start flange, in" : "from the start flange, mm",
                           compared ? curves : curves + 1, compared ? 2 : 1 };

    if (found == NULL || (compared && wanted == NULL))
        canvas->no_memory = true;
    else
        cw_plot_draw(canvas, box, &plot);
    cw_free(found);
    cw_free(wanted);
}

static void draw_traverse(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_traverse_draw(canvas, box, figure);
}

cw_status cw_traverse_write(const cw_traverse_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_traverse, figure, paper, 180, 70, out, error);
}
