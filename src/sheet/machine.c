/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What goes to the machine: cross-section, program, and the table that is ticked off layer by layer. */
#include "sheet/sheet_internal.h"

#include <math.h>
#include <stdio.h>

#define SECTION_MOST 0.27     /* of the type area's height: with cautions and program there is room for the table then */
#define EXPLAIN_MM 16.0       /* explanation and heading of the layer table */
#define LEAST_ROWS 5          /* fewer are not worth beginning at the foot of a page */

void cw_sheet__section(cw_sheet__setter *s)
{
    const cw_section_figure figure = { s->content->winding, s->content->units };

    const double most = SECTION_MOST * (s->bottom - SHEET_MARGIN_MM);
    const double height = fmin(most, cw_section_height(&figure, s->measure));

    cw_sheet__heading(s, "The winding in section", height);
    cw_sheet__begin(s, CW_SHEET_WINDING);
    cw_section_draw(s->canvas, (cw_box){ s->left, s->y, s->measure, height }, &figure);
    s->y += height + SHEET_GAP_MM;
}

void cw_sheet__program(cw_sheet__setter *s)
{
    if (s->content->program_count == 0)
        return;
    cw_sheet__two_columns(s, "The winding program", s->content->program, s->content->program_count);
    cw_sheet__begin(s, CW_SHEET_PROGRAM);
    s->y += SHEET_GAP_MM;
}

/* ---- layers ---------------------------------------------------------------------------------------------------- */

enum { MOST_COLUMNS = 9, TICK = -1, THEN = -2 };

/* One of the shapes that the table may take: so many tables side by side, read down one after the other. */
typedef struct layer_shape {
    size_t across;
    double row_mm;
    size_t column_count;
    int what[MOST_COLUMNS];   /* index of cw_sheet__layer_texts.texts, or TICK, or THEN */
    cw_column columns[MOST_COLUMNS]; /* width_mm: share of one table's width until the measure is known */
} layer_shape;

static const layer_shape wide = {
    1, 6.2, 9, { TICK, 0, 1, 2, 3, THEN, 4, 5, 6 },
    { { "done", CW_COLUMN_TICK, 0.065 }, { "layer", CW_COLUMN_RIGHT, 0.065 }, { "way", CW_COLUMN_DIRECTION, 0.09 },
      { "turns in it", CW_COLUMN_RIGHT, 0.09 }, { "counter at its end", CW_COLUMN_RIGHT_STRONG, 0.15 },
      { "then", CW_COLUMN_TEXT, 0.16 }, { "wire from", CW_COLUMN_RIGHT, 0.12 }, { "to", CW_COLUMN_RIGHT, 0.12 },
      { "turn diameter", CW_COLUMN_RIGHT, 0.14 } }
};
static const layer_shape narrow = {
    2, 5.8, 6, { TICK, 0, 1, 2, 3, THEN },
    { { "done", CW_COLUMN_TICK, 0.12 }, { "layer", CW_COLUMN_RIGHT, 0.12 }, { "way", CW_COLUMN_DIRECTION, 0.15 },
      { "turns", CW_COLUMN_RIGHT, 0.13 }, { "counter", CW_COLUMN_RIGHT_STRONG, 0.17 },
      { "then", CW_COLUMN_TEXT, 0.31 } }
};
static const layer_shape slim = { /* only where nothing happens between layers */
    3, 5.8, 5, { TICK, 0, 1, 2, 3 },
    { { "done", CW_COLUMN_TICK, 0.18 }, { "layer", CW_COLUMN_RIGHT, 0.17 }, { "way", CW_COLUMN_DIRECTION, 0.18 },
      { "turns", CW_COLUMN_RIGHT, 0.20 }, { "counter", CW_COLUMN_RIGHT_STRONG, 0.27 } }
};

void cw_sheet__layer_texts_of(const cw_sheet_content *c, size_t index, cw_sheet__layer_texts *to)
{
    const cw_layer *layer = &c->winding->layers[index];
    const char *unit = c->units == CW_INCH_UNITS ? "in" : "mm";
    int decimals = c->units == CW_INCH_UNITS ? 3 : 2;

    snprintf(to->texts[0], SHEET_LAYER_BYTES, "%zu", index + 1);
    snprintf(to->texts[1], SHEET_LAYER_BYTES, "%s", layer->direction < 0 ? "-" : "+");
    snprintf(to->texts[2], SHEET_LAYER_BYTES, "%ld", layer->turns);
    snprintf(to->texts[3], SHEET_LAYER_BYTES, "%ld", c->counter != NULL ? c->counter[index] : layer->turns_total);
    cw_quantity_format_in(CW_LENGTH, layer->start_m, unit, decimals, to->texts[4], SHEET_LAYER_BYTES);
    cw_quantity_format_in(CW_LENGTH, layer->end_m, unit, decimals, to->texts[5], SHEET_LAYER_BYTES);
    cw_quantity_format_in(CW_LENGTH, layer->diameter_m, unit, decimals, to->texts[6], SHEET_LAYER_BYTES);
}

const char *cw_sheet__then(const cw_winding *w, size_t index)
{
    if (index + 1 == w->layer_count)
        return "finish lead";
    if (cw_winding_section_behind(w, index) > 0)
        return "STOP: section";
    if (index + 1 == w->second_layer)
        return "STOP: 2nd wire";
    return w->layers[index].insulation_after ? "STOP: sheet on" : NULL;
}

/* Pointers to the texts in the order of the shape's columns; NULL without memory. */
static const char **make_cells(const cw_winding *w, const cw_sheet__layer_texts *texts, const layer_shape *shape)
{
    size_t columns = shape->column_count;
    const char **cells = cw_allocate(w->layer_count * columns, sizeof *cells);

    for (size_t i = 0; cells != NULL && i < w->layer_count; i++) {
        for (size_t j = 0; j < columns; j++) {
            int what = shape->what[j];

            cells[i * columns + j] = what == TICK ? "tick" : what == THEN ? cw_sheet__then(w, i) : texts[i].texts[what];
        }
    }
    return cells;
}

static double shape_height(const layer_shape *shape, size_t layers)
{
    return SHEET_HEADING_MM + EXPLAIN_MM + shape->row_mm * ceil((double)layers / (double)shape->across);
}

/* The widest shape that stands on this page whole; else the narrowest that there is. */
static const layer_shape *choose_shape(const cw_sheet__setter *s)
{
    const cw_winding *w = s->content->winding;
    bool sheets = false; /* or another reason to stop */

    for (size_t i = 0; i < w->layer_count; i++)
        sheets = sheets || w->layers[i].insulation_after || cw_winding_section_behind(w, i) > 0;
    if (s->y + shape_height(&wide, w->layer_count) <= s->bottom)
        return &wide;
    if (sheets || s->y + shape_height(&narrow, w->layer_count) <= s->bottom)
        return &narrow;
    return w->layer_count > 30 || s->y + shape_height(&slim, w->layer_count) <= s->bottom ? &slim : &narrow;
}

/* Tables side by side, the left one first, on as many pages as they take. */
static void set_layers(cw_sheet__setter *s, const layer_shape *shape, const char *const *cells)
{
    const double width = (s->measure - SHEET_GUTTER_MM * (double)(shape->across - 1)) / (double)shape->across;
    cw_column columns[MOST_COLUMNS];
    cw_table table = { columns, shape->column_count, cells, s->content->winding->layer_count, shape->row_mm, 9.5 };
    size_t first = 0;

    for (size_t i = 0; i < shape->column_count; i++) {
        columns[i] = shape->columns[i];
        columns[i].width_mm *= width;
    }
    while (first < table.row_count) {
        double head = cw_table_head(s->canvas, &table, s->left, s->y), x = s->left;
        size_t room = (size_t)fmax(1, floor((s->bottom - s->y - head) / shape->row_mm + 1e-6)), rows;
        size_t here = table.row_count - first < shape->across * room ? table.row_count - first : shape->across * room;

        rows = (here + shape->across - 1) / shape->across;
        for (size_t done = 0; done < here; done += rows, x += width + SHEET_GUTTER_MM) {
            cw_table_head(s->canvas, &table, x, s->y);
            cw_table_rows(s->canvas, &table, x, s->y + head, first + done, here - done < rows ? here - done : rows);
        }
        s->y += head + (double)rows * shape->row_mm;
        first += here;
        if (first < table.row_count)
            cw_sheet__page(s);
    }
}

static void explain_layers(cw_sheet__setter *s)
{
    const cw_type type = { 9, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const char *text =
        s->content->winding->plan.lay == CW_RANDOM
            ? "Set the counter to 0 with the start lead at the top. An arrow to the right is a pass away from the "
              "start flange. The lay is random: what counts is the counter at the end."
            : "Set the counter to 0 with the start lead at the top. An arrow to the right leads away from the start "
              "flange. Stop at the counter's figure, let the wire climb, tick the layer, go on.";

    s->y += cw_canvas_paragraph(s->canvas, type, s->left, s->y, s->measure, text) + 1.5;
}

void cw_sheet__layers(cw_sheet__setter *s)
{
    const cw_winding *w = s->content->winding;
    cw_sheet__layer_texts *texts = cw_allocate(w->layer_count, sizeof *texts);
    const layer_shape *shape;
    const char **cells;

    shape = choose_shape(s);
    cells = texts != NULL ? make_cells(w, texts, shape) : NULL;
    s->no_memory = s->no_memory || cells == NULL;
    if (cells != NULL) {
        for (size_t i = 0; i < w->layer_count; i++)
            cw_sheet__layer_texts_of(s->content, i, &texts[i]);
        cw_sheet__heading(s, "Layer by layer", EXPLAIN_MM + shape->row_mm * fmin((double)w->layer_count, LEAST_ROWS));
        explain_layers(s);
        set_layers(s, shape, cells);
        s->y += SHEET_GAP_MM;
    }
    cw_free(cells);
    cw_free(texts);
}
