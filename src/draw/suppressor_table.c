/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The suppressors side by side, as a table. */
#include "coilwright/switch_figure.h"

#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { COLUMNS = 8 };

#define FIXED_MM 95.0 /* of the first six columns */

typedef struct sheet {
    cw_column column[COLUMNS];
    const char *cell[CW_SUPPRESSOR_COUNT * COLUMNS];
    char text[CW_SUPPRESSOR_COUNT][5][40];
    cw_table table;
} sheet;

static void quantity(cw_kind kind, double value, cw_unit_system units, char text[40])
{
    if (isfinite(value))
        cw_quantity_format(kind, value, units, 3, text, 40);
    else
        snprintf(text, 40, "%s", isinf(value) ? "never" : "-");
}

static void fill_row(sheet *s, size_t row, const cw_switch_off *off, cw_unit_system units)
{
    const char **cell = s->cell + row * COLUMNS;
    char (*text)[40] = s->text[row];

    quantity(CW_TIME, isnan(off->time_to_release_s) ? off->time_to_end_s : off->time_to_release_s, units, text[0]);
    quantity(CW_VOLTAGE, off->peak_voltage_v, units, text[1]);
    if (isfinite(off->insulation_test_v))
        cw_draw__number(100 * off->peak_voltage_v / off->insulation_test_v, 0, text[2], 36);
    else
        snprintf(text[2], 40, "-");
    if (isfinite(off->insulation_test_v))
        strcat(text[2], off->within_insulation ? " %" : " % !");
    quantity(CW_ENERGY, off->clamp_energy_j, units, text[3]);
    quantity(CW_POWER, off->peak_power_w, units, text[4]);
    cell[0] = cw_suppressor_name(off->suppressor.kind);
    for (int i = 0; i < 5; i++)
        cell[1 + i] = text[i];
    cell[6] = off->rating.text;
    cell[7] = cw_suppressor_drawback(off->suppressor.kind);
}

static void fill(sheet *s, const cw_switch_figure *figure, double width_mm)
{
    const bool lets_go = isfinite(figure->study->off.time_to_release_s);
    const cw_column columns[COLUMNS] = {
        { "across it", CW_COLUMN_STRONG, 19 },
        { lets_go ? "lets go" : "dead", CW_COLUMN_RIGHT, 16 },
        { "peak", CW_COLUMN_RIGHT, 15 },
        { "of test", CW_COLUMN_RIGHT, 14 },
        { "energy", CW_COLUMN_RIGHT, 15 },
        { "pulse", CW_COLUMN_RIGHT, 16 },
        { "to buy", CW_COLUMN_TEXT, 0.6 * (width_mm - FIXED_MM) },
        { "but", CW_COLUMN_SMALL, 0.4 * (width_mm - FIXED_MM) },
    };
    size_t rows = 0;

    memcpy(s->column, columns, sizeof columns);
    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++)
        if (figure->study->applies[kind])
            fill_row(s, rows++, &figure->study->each[kind], figure->units);
    s->table = (cw_table){ s->column, COLUMNS, s->cell, rows, 5, 8 };
}

void cw_suppressors_draw(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure)
{
    sheet s;
    double head;

    fill(&s, figure, box.width);
    head = cw_table_head(canvas, &s.table, box.x, box.y);
    cw_table_rows(canvas, &s.table, box.x, box.y + head, 0, s.table.row_count);
}

double cw_suppressors_height(cw_canvas *canvas, const cw_switch_figure *figure, double width_mm)
{
    const bool muted = cw_canvas_is_muted(canvas);
    sheet s;
    double height;

    fill(&s, figure, width_mm);
    cw_canvas_mute(canvas, true);
    height = cw_table_head(canvas, &s.table, 0, 0) + cw_table_rows(canvas, &s.table, 0, 0, 0, s.table.row_count);
    cw_canvas_mute(canvas, muted);
    return height;
}

static void draw_suppressors(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_suppressors_draw(canvas, box, figure);
}

cw_status cw_suppressors_write(const cw_switch_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const cw_paper any = { .format = CW_SVG, .width_mm = 100, .height_mm = 100 };
    const double width = paper->width_mm > 0 ? paper->width_mm : 180;
    cw_canvas *ruler = NULL;
    cw_status status = cw_canvas_create(&any, &ruler, error);
    double height;

    if (status != CW_OK)
        return status;
    height = cw_suppressors_height(ruler, figure, width - 4) + 5;
    cw_canvas_destroy(&ruler);
    return cw_draw__write(draw_suppressors, figure, paper, width, height, out, error);
}
