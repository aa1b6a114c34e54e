/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The drawing on a canvas: PDF, SVG, PNG, or a box of somebody else's page. Pens after ISO 128-2, wide to narrow as
 * 2 to 1. */
#include "drafting/drafting_internal.h"

#include <math.h>

static const cw_pen pens[CW_DRAFTING_LINE_COUNT] = {
    [CW_DRAFTING_VISIBLE] = { CW_BLACK, 0.5, CW_SOLID },
    [CW_DRAFTING_HIDDEN] = { CW_BLACK, 0.25, CW_DASHED },
    [CW_DRAFTING_CENTRE] = { CW_BLACK, 0.25, CW_CHAIN },
    [CW_DRAFTING_CUT] = { CW_BLACK, 0.7, CW_SOLID },
    [CW_DRAFTING_HATCH] = { CW_BLACK, 0.18, CW_SOLID },
    [CW_DRAFTING_THIN] = { CW_BLACK, 0.25, CW_SOLID },
    [CW_DRAFTING_DIMENSION] = { CW_BLACK, 0.25, CW_SOLID },
    [CW_DRAFTING_FRAME] = { CW_BLACK, 0.35, CW_SOLID },
};

/* From the sheet to the canvas: y turned over, all sizes times k. */
typedef struct easel {
    cw_canvas *canvas;
    double x, bottom, k;
} easel;

static void draw_text(const easel *e, const cw_drafting__mark *mark)
{
    cw_type type = cw_drafting__type(mark->y2 * e->k, mark->bold);
    double x = e->x + mark->x1 * e->k, y = e->bottom - mark->y1 * e->k;

    if (mark->up)
        cw_canvas_write_up(e->canvas, type, x, y, mark->words);
    else
        cw_canvas_write(e->canvas, type, x, y, mark->words);
}

/* Included angle 18 degrees; practice asks for 15 or more. */
static void draw_head(const easel *e, const cw_drafting__mark *mark)
{
    double x = e->x + mark->x1 * e->k, y = e->bottom - mark->y1 * e->k, length = DRAFTING_HEAD_MM * e->k;
    double dx = mark->x2, dy = -mark->y2, bx = x - length * dx, by = y - length * dy, half = 0.158 * length;
    const double xy[6] = { x, y, bx - half * dy, by + half * dx, bx + half * dy, by - half * dx };

    cw_canvas_polygon(e->canvas, (cw_pen){ 0 }, CW_BLACK, xy, 3);
}

static void draw_mark(const easel *e, const cw_drafting__mark *mark)
{
    cw_pen pen = pens[mark->line];

    pen.width_mm *= e->k;
    switch (mark->kind) {
    case MARK_LINE:
        cw_canvas_line(e->canvas, pen, e->x + mark->x1 * e->k, e->bottom - mark->y1 * e->k, e->x + mark->x2 * e->k,
                       e->bottom - mark->y2 * e->k);
        break;
    case MARK_ARC:
        cw_canvas_arc(e->canvas, pen, e->x + mark->x1 * e->k, e->bottom - mark->y1 * e->k, mark->x2 * e->k, mark->a,
                      mark->b);
        break;
    case MARK_HEAD:
        draw_head(e, mark);
        break;
    case MARK_TEXT:
        draw_text(e, mark);
        break;
    }
}

void cw_drafting_draw(const cw_drafting *drawing, size_t sheet, cw_canvas *canvas, cw_box box)
{
    const cw_drafting__marks *marks = &drawing->pages[sheet].marks;
    double k = fmin(box.width / drawing->width_mm, box.height / drawing->height_mm);
    const easel e = { canvas, box.x + (box.width - k * drawing->width_mm) / 2,
                      box.y + (box.height + k * drawing->height_mm) / 2, k };

    for (size_t i = 0; i < marks->count; i++)
        draw_mark(&e, &marks->items[i]);
}

cw_status cw_drafting_write(const cw_drafting *drawing, cw_format format, const char *title, cw_text *out,
                            cw_error *error)
{
    const bool pages = format == CW_PDF;
    cw_paper paper = { .format = format, .width_mm = drawing->width_mm, .height_mm = drawing->height_mm,
                       .title = title };
    cw_canvas *canvas = NULL;
    cw_status status;

    if (!pages)
        paper.height_mm *= (double)drawing->count;
    status = cw_canvas_create(&paper, &canvas, error);
    if (status != CW_OK)
        return status;
    for (size_t i = 0; i < drawing->count; i++) {
        if (pages && i > 0)
            cw_canvas_next_page(canvas);
        cw_drafting_draw(drawing, i, canvas, (cw_box){ 0, pages ? 0 : (double)i * drawing->height_mm,
                                                       drawing->width_mm, drawing->height_mm });
    }
    status = cw_canvas_finish(canvas, out, error);
    cw_canvas_destroy(&canvas);
    return status;
}
