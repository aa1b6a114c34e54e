/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables: headings over a rule, rows parted by hairlines, numbers aligned at their points. */
#include "draw/draw_internal.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PAD_MM 1.2       /* left and right inside a cell */
#define AIR_MM 0.6       /* above and below text that wraps */
#define RAISE_MM 0.15    /* by which text that wraps is lifted, to stand on one line with text that does not */
#define HEAD_PT 8.0

static const char *cell_at(const cw_table *table, size_t row, size_t column)
{
    return table->cells[row * table->column_count + column];
}

static cw_type type_of(const cw_table *table, cw_column_kind kind)
{
    cw_type type = { table->size_pt, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };

    if (kind == CW_COLUMN_STRONG || kind == CW_COLUMN_RIGHT_STRONG)
        type.face = CW_SEMIBOLD;
    if (kind == CW_COLUMN_SMALL) {
        type.ink = CW_GREY;
        type.size_pt = fmax(8, table->size_pt - 0.5);
    }
    if (kind == CW_COLUMN_RIGHT || kind == CW_COLUMN_RIGHT_STRONG)
        type.align = CW_ALIGN_RIGHT;
    if (kind == CW_COLUMN_CENTRE || kind == CW_COLUMN_TICK)
        type.align = CW_ALIGN_CENTRE;
    return type;
}

static bool wraps(cw_column_kind kind)
{
    return kind == CW_COLUMN_TEXT || kind == CW_COLUMN_STRONG || kind == CW_COLUMN_SMALL ||
           kind == CW_COLUMN_WRITE;
}

double cw_table_width(const cw_table *table)
{
    double width = 0;

    for (size_t i = 0; i < table->column_count; i++)
        width += table->columns[i].width_mm;
    return width;
}

static cw_align heading_align(cw_column_kind kind)
{
    if (kind == CW_COLUMN_RIGHT || kind == CW_COLUMN_RIGHT_STRONG)
        return CW_ALIGN_RIGHT;
    return kind == CW_COLUMN_CENTRE || kind == CW_COLUMN_DECIMAL || kind == CW_COLUMN_DIRECTION ||
           kind == CW_COLUMN_TICK ? CW_ALIGN_CENTRE : CW_ALIGN_LEFT;
}

double cw_table_head(cw_canvas *canvas, const cw_table *table, double x, double y)
{
    cw_type type = { HEAD_PT, CW_SEMIBOLD, CW_GREY, CW_ALIGN_LEFT };
    double height = 0, at = x;

    for (size_t i = 0; i < table->column_count; i++) {
        double width = table->columns[i].width_mm - 2 * PAD_MM;

        height = fmax(height, cw_canvas_paragraph_height(canvas, type, width, table->columns[i].heading));
    }
    for (size_t i = 0; i < table->column_count; i++) { /* headings stand on the rule */
        const cw_column *column = &table->columns[i];
        double width = column->width_mm - 2 * PAD_MM;
        double own = cw_canvas_paragraph_height(canvas, type, width, column->heading);

        type.align = heading_align(column->kind);
        cw_canvas_paragraph(canvas, type, at + PAD_MM, y + height - own, width, column->heading);
        at += column->width_mm;
    }
    height += 0.8;
    cw_canvas_line(canvas, (cw_pen){ CW_BLACK, 0.35, CW_SOLID }, x, y + height, at, y + height);
    return height;
}

double cw_table_row_height(cw_canvas *canvas, const cw_table *table, size_t row)
{
    double height = table->row_mm;

    for (size_t i = 0; i < table->column_count; i++) {
        const cw_column *column = &table->columns[i];

        if (wraps(column->kind))
            height = fmax(height, 2 * AIR_MM + cw_canvas_paragraph_height(canvas, type_of(table, column->kind),
                                                                          column->width_mm - 2 * PAD_MM,
                                                                          cell_at(table, row, i)));
    }
    return height;
}

/* ---- cells --------------------------------------------------------------------------------------------------- */

/* Length of the part of a number that stands left of its point: sign and whole figures. */
static size_t whole_part(const char *text)
{
    return strspn(text, "+-0123456789 ");
}

static double left_of_point(cw_canvas *canvas, cw_type type, const char *text)
{
    char whole[48];
    size_t length = whole_part(text);

    if (length >= sizeof whole)
        length = sizeof whole - 1;
    while (length > 0 && text[length - 1] == ' ')
        length--;
    memcpy(whole, text, length);
    whole[length] = '\0';
    return cw_canvas_text_width(canvas, type, whole);
}

/* Distance from a decimal column's left edge to the points, such that the widest numbers stand in its middle. */
static double point_of(cw_canvas *canvas, const cw_table *table, size_t column)
{
    cw_type type = type_of(table, CW_COLUMN_DECIMAL);
    double left = 0, right = 0;

    for (size_t row = 0; row < table->row_count; row++) {
        const char *cell = cell_at(table, row, column);
        double own;

        if (cell == NULL)
            continue;
        own = left_of_point(canvas, type, cell);
        left = fmax(left, own);
        right = fmax(right, cw_canvas_text_width(canvas, type, cell) - own);
    }
    return (table->columns[column].width_mm - left - right) / 2 + left;
}

static void direction(cw_canvas *canvas, cw_box box, const char *cell)
{
    const cw_pen pen = { CW_BLACK, 0.35, CW_SOLID };
    double middle = box.x + box.width / 2, reach = fmin(4.0, box.width / 2 - 1), y = box.y + box.height / 2;
    double way = cell[0] == '-' ? -1 : 1;

    cw_canvas_arrow(canvas, pen, middle - way * reach, y, middle + way * reach, y, 2.2);
}

/* A number as written in C, whatever the locale: digits, one point, digits. */
static double plain_number(const char *text)
{
    double value = 0, scale = 1;
    bool point = false;

    for (; (*text >= '0' && *text <= '9') || (*text == '.' && !point); text++) {
        if (*text == '.') {
            point = true;
        } else {
            value = 10 * value + (*text - '0');
            scale = point ? 10 * scale : scale;
        }
    }
    return value / scale;
}

static void bar(cw_canvas *canvas, const cw_table *table, cw_box box, const char *cell)
{
    const double label = 12;
    double share = fmin(1, plain_number(cell)), room = box.width - label - PAD_MM, high = fmin(3.4, box.height - 2);
    cw_box rail = { box.x + PAD_MM, box.y + (box.height - high) / 2, room, high };
    cw_type type = { table->size_pt, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_RIGHT };
    char percent[24];

    cw_draw__percent(share, percent, sizeof percent);
    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_SHADE, rail, 0);
    rail.width *= share;
    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_BLUE, rail, 0);
    cw_canvas_write(canvas, type, box.x + box.width - PAD_MM / 2, box.y + box.height / 2 + 0.36 * table->size_pt *
                    DRAW_MM_PER_PT, percent);
}

static double text_x(cw_align align, cw_box box)
{
    switch (align) {
    case CW_ALIGN_LEFT: return box.x + PAD_MM;
    case CW_ALIGN_CENTRE: return box.x + box.width / 2;
    case CW_ALIGN_RIGHT: return box.x + box.width - PAD_MM;
    }
    return box.x;
}

static void draw_cell(cw_canvas *canvas, const cw_table *table, cw_box box, const cw_column *column, const char *cell,
                      double point)
{
    cw_type type = type_of(table, column->kind);
    double baseline = box.y + box.height / 2 + 0.36 * type.size_pt * DRAW_MM_PER_PT; /* capitals are 0.71 em high */
    double high;

    if (column->kind == CW_COLUMN_WRITE && cell == NULL)
        cw_canvas_line(canvas, (cw_pen){ CW_BLACK, 0.18, CW_DOTTED }, box.x + PAD_MM, box.y + box.height - 1.4,
                       box.x + box.width - PAD_MM, box.y + box.height - 1.4);
    if (cell == NULL)
        return;
    switch (column->kind) {
    case CW_COLUMN_TEXT:
    case CW_COLUMN_STRONG:
    case CW_COLUMN_SMALL:
    case CW_COLUMN_WRITE:
        high = cw_canvas_paragraph_height(canvas, type, box.width - 2 * PAD_MM, cell);
        cw_canvas_paragraph(canvas, type, box.x + PAD_MM, box.y + (box.height - high) / 2 - RAISE_MM,
                            box.width - 2 * PAD_MM, cell);
        break;
    case CW_COLUMN_RIGHT:
    case CW_COLUMN_RIGHT_STRONG:
    case CW_COLUMN_CENTRE:
        cw_canvas_write(canvas, type, text_x(type.align, box), baseline, cell);
        break;
    case CW_COLUMN_DECIMAL:
        cw_canvas_write(canvas, type, box.x + point - left_of_point(canvas, type, cell), baseline, cell);
        break;
    case CW_COLUMN_TICK:
        if (strcmp(cell, "tick") == 0)
            cw_canvas_tick_box(canvas, box.x + box.width / 2 - 1.8, box.y + box.height / 2, 3.6);
        else
            cw_canvas_write(canvas, type, text_x(type.align, box), baseline, cell);
        break;
    case CW_COLUMN_DIRECTION: direction(canvas, box, cell); break;
    case CW_COLUMN_BAR: bar(canvas, table, box, cell); break;
    case CW_COLUMN_KIND_COUNT: break;
    }
}

double cw_table_rows(cw_canvas *canvas, const cw_table *table, double x, double y, size_t first, size_t count)
{
    double points[CW_TABLE_COLUMNS_MOST] = { 0 }, down = 0;
    bool muted = cw_canvas_is_muted(canvas);

    assert(table->column_count <= CW_TABLE_COLUMNS_MOST);
    for (size_t i = 0; i < table->column_count && !muted; i++)
        if (table->columns[i].kind == CW_COLUMN_DECIMAL)
            points[i] = point_of(canvas, table, i);
    for (size_t row = first; row < first + count; row++) { /* row by row, as the file is read aloud in this order */
        cw_box cell = { x, y + down, 0, cw_table_row_height(canvas, table, row) };

        for (size_t i = 0; i < table->column_count && !muted; i++, cell.x += cell.width) {
            cell.width = table->columns[i].width_mm;
            draw_cell(canvas, table, cell, &table->columns[i], cell_at(table, row, i), points[i]);
        }
        down += cell.height;
        cw_canvas_line(canvas, (cw_pen){ CW_RULE, 0.18, CW_SOLID }, x, y + down, x + cw_table_width(table), y + down);
    }
    return down;
}
