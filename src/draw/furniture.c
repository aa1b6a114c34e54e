/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands around the matter: tick boxes, page frames, cautions. */
#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>

void cw_canvas_tick_box(cw_canvas *canvas, double x, double y, double size_mm)
{
    cw_box box = { x, y - size_mm / 2, size_mm, size_mm };

    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.25, CW_SOLID }, CW_WHITE, box, 0);
}

void cw_canvas_page_frame(cw_canvas *canvas, const cw_page_frame *frame)
{
    const cw_pen rule = { CW_RULE, 0.18, CW_SOLID };
    double left = frame->margin_mm, right = frame->width_mm - frame->margin_mm, width = right - left;
    double foot = frame->height_mm - frame->margin_mm + 5;
    cw_type type = { 8, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT };
    char pages[40];

    if (frame->left != NULL || frame->right != NULL)
        cw_canvas_line(canvas, rule, left, frame->margin_mm - 3, right, frame->margin_mm - 3);
    if (frame->left != NULL)
        cw_canvas_write_within(canvas, type, left, frame->margin_mm - 4.8, 0.7 * width, frame->left);
    cw_canvas_line(canvas, rule, left, foot - 3.6, right, foot - 3.6);
    if (frame->foot_left != NULL)
        cw_canvas_write_within(canvas, type, left, foot, 0.5 * width, frame->foot_left);
    type.align = CW_ALIGN_RIGHT;
    if (frame->right != NULL)
        cw_canvas_write(canvas, type, right, frame->margin_mm - 4.8, frame->right);
    snprintf(pages, sizeof pages, "page %d of %d", frame->page, frame->pages);
    cw_canvas_write(canvas, type, right, foot, pages);
    type.align = CW_ALIGN_CENTRE;
    if (frame->foot_middle != NULL)
        cw_canvas_write(canvas, type, left + 0.64 * width, foot, frame->foot_middle);
}

/* ---- cautions ------------------------------------------------------------------------------------------------ */

static const cw_type caution_text = { 8.5, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };

enum { BULLET_MM_TENTHS = 32, COLUMN_GAP_MM = 6, CAUTION_PAD_MM = 3, SIGN_MM = 9 };

static void warning_sign(cw_canvas *canvas, double x, double y, double size)
{
    const cw_pen pen = { CW_BLACK, 0.5, CW_SOLID };
    double height = 0.866 * size;
    const double xy[6] = { x + size / 2, y, x + size, y + height, x, y + height };

    cw_canvas_polygon(canvas, pen, CW_WHITE, xy, 3);
    cw_canvas_line(canvas, (cw_pen){ CW_BLACK, 0.8, CW_SOLID }, x + size / 2, y + 0.34 * height, x + size / 2,
                   y + 0.68 * height);
    cw_canvas_circle(canvas, (cw_pen){ 0 }, CW_BLACK, x + size / 2, y + 0.83 * height, 0.95);
}

static double bullet_height(cw_canvas *canvas, double width_mm, const char *text)
{
    return cw_canvas_paragraph_height(canvas, caution_text, width_mm - BULLET_MM_TENTHS / 10.0, text) + 0.9;
}

static double bullet(cw_canvas *canvas, double x, double y, double width_mm, const char *text)
{
    double indent = BULLET_MM_TENTHS / 10.0;

    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_BLACK, (cw_box){ x + 0.2, y + 1.75, 1.1, 1.1 }, 0);
    return cw_canvas_paragraph(canvas, caution_text, x + indent, y, width_mm - indent, text) + 0.9;
}

/* How many of the texts stand in the first of two columns, so that the taller column is as short as can be. */
static size_t first_column(cw_canvas *canvas, double width_mm, const char *const *texts, size_t count)
{
    double left = 0, all = 0;
    size_t taken = 0;

    for (size_t i = 0; i < count; i++)
        all += bullet_height(canvas, width_mm, texts[i]);
    while (taken < count) {
        double more = left + bullet_height(canvas, width_mm, texts[taken]);

        if (taken > 0 && fmax(more, all - more) > fmax(left, all - left))
            break;
        left = more;
        taken++;
    }
    return taken;
}

/* Draws the bullets from x, y on, the first `turn` of them in the left of two columns; returns the taller's height. */
static double columns(cw_canvas *canvas, double x, double y, double width_mm, const char *const *texts, size_t count,
                      size_t turn)
{
    double column = turn < count ? (width_mm - COLUMN_GAP_MM) / 2 : width_mm, down[2] = { 0, 0 };

    for (size_t i = 0; i < count; i++) {
        int side = i >= turn;

        down[side] += bullet(canvas, x + side * (column + COLUMN_GAP_MM), y + down[side], column, texts[i]);
    }
    return fmax(down[0], down[1]);
}

/* Two columns where the measure is wide, as a line of more than about 110 mm is hard to follow; one where two would
 * not be lower. */
static double bullets(cw_canvas *canvas, double x, double y, double width_mm, const char *const *texts, size_t count)
{
    bool muted = cw_canvas_is_muted(canvas);
    size_t turn = count;
    double one, two;

    if (width_mm > 110 && count > 1) {
        size_t half = first_column(canvas, (width_mm - COLUMN_GAP_MM) / 2, texts, count);

        cw_canvas_mute(canvas, true);
        one = columns(canvas, x, y, width_mm, texts, count, count);
        two = columns(canvas, x, y, width_mm, texts, count, half);
        cw_canvas_mute(canvas, muted);
        turn = two < one ? half : count;
    }
    return columns(canvas, x, y, width_mm, texts, count, turn);
}

static double caution_matter(cw_canvas *canvas, double x, double y, double width_mm, const char *heading,
                             const char *const *texts, size_t count)
{
    const cw_type title = { 10, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT };
    double inner = x + 2 * CAUTION_PAD_MM + SIGN_MM, width = width_mm - 3 * CAUTION_PAD_MM - SIGN_MM;
    double down = CAUTION_PAD_MM - 0.6;

    warning_sign(canvas, x + CAUTION_PAD_MM, y + CAUTION_PAD_MM, SIGN_MM);
    down += cw_canvas_paragraph(canvas, title, inner, y + down, width, heading) + 0.6;
    down += bullets(canvas, inner, y + down, width, texts, count);
    return fmax(down, CAUTION_PAD_MM + SIGN_MM) + CAUTION_PAD_MM - 1.2;
}

double cw_canvas_caution(cw_canvas *canvas, double x, double y, double width_mm, const char *heading,
                         const char *const *texts, size_t count)
{
    bool muted = cw_canvas_is_muted(canvas);
    double height;

    cw_canvas_mute(canvas, true);
    height = caution_matter(canvas, x, y, width_mm, heading, texts, count);
    cw_canvas_mute(canvas, muted);
    if (muted)
        return height;
    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.5, CW_SOLID }, CW_NO_INK, (cw_box){ x, y, width_mm, height }, 1);
    caution_matter(canvas, x, y, width_mm, heading, texts, count);
    return height;
}
