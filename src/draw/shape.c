/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines, shapes, arrows and dimensions. */
#include "draw/draw_internal.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

void cw_canvas_clip(cw_canvas *canvas, cw_box box)
{
    cairo_save(canvas->cairo);
    cairo_rectangle(canvas->cairo, box.x, box.y, box.width, box.height);
    cairo_clip(canvas->cairo);
}

void cw_canvas_unclip(cw_canvas *canvas)
{
    cairo_restore(canvas->cairo);
}

void cw_canvas_turn(cw_canvas *canvas, cw_box box)
{
    cairo_save(canvas->cairo);
    cairo_translate(canvas->cairo, box.x, box.y + box.height);
    cairo_rotate(canvas->cairo, -pi / 2);
}

void cw_canvas_turn_back(cw_canvas *canvas)
{
    cairo_restore(canvas->cairo);
}

void cw_canvas_line(cw_canvas *canvas, cw_pen pen, double x1, double y1, double x2, double y2)
{
    const double xy[4] = { x1, y1, x2, y2 };

    cw_canvas_polyline(canvas, pen, xy, 2);
}

static void path(cairo_t *cairo, const double *xy, size_t count)
{
    for (size_t i = 0; i < count; i++)
        cairo_line_to(cairo, xy[2 * i], xy[2 * i + 1]);
}

void cw_canvas_polyline(cw_canvas *canvas, cw_pen pen, const double *xy, size_t count)
{
    if (!cw_draw__pen(canvas, pen))
        return;
    path(canvas->cairo, xy, count);
    cairo_stroke(canvas->cairo);
}

/* Fills and outlines the path that is there. */
static void paint(cw_canvas *canvas, cw_pen pen, cw_ink fill)
{
    if (cw_draw__ink(canvas, fill))
        cairo_fill_preserve(canvas->cairo);
    if (cw_draw__pen(canvas, pen))
        cairo_stroke_preserve(canvas->cairo);
    cairo_new_path(canvas->cairo);
}

static void rounded(cairo_t *cairo, cw_box box, double radius)
{
    double right = box.x + box.width - radius, bottom = box.y + box.height - radius;

    cairo_new_sub_path(cairo);
    cairo_arc(cairo, right, box.y + radius, radius, -pi / 2, 0);
    cairo_arc(cairo, right, bottom, radius, 0, pi / 2);
    cairo_arc(cairo, box.x + radius, bottom, radius, pi / 2, pi);
    cairo_arc(cairo, box.x + radius, box.y + radius, radius, pi, 3 * pi / 2);
    cairo_close_path(cairo);
}

void cw_canvas_rectangle(cw_canvas *canvas, cw_pen pen, cw_ink fill, cw_box box, double radius_mm)
{
    if (canvas->muted)
        return;
    if (radius_mm > 0)
        rounded(canvas->cairo, box, radius_mm);
    else
        cairo_rectangle(canvas->cairo, box.x, box.y, box.width, box.height);
    paint(canvas, pen, fill);
}

void cw_canvas_polygon(cw_canvas *canvas, cw_pen pen, cw_ink fill, const double *xy, size_t count)
{
    if (canvas->muted)
        return;
    path(canvas->cairo, xy, count);
    cairo_close_path(canvas->cairo);
    paint(canvas, pen, fill);
}

void cw_canvas_circle(cw_canvas *canvas, cw_pen pen, cw_ink fill, double x, double y, double diameter_mm)
{
    if (canvas->muted)
        return;
    cairo_new_sub_path(canvas->cairo);
    cairo_arc(canvas->cairo, x, y, diameter_mm / 2, 0, 2 * pi);
    cairo_close_path(canvas->cairo);
    paint(canvas, pen, fill);
}

void cw_canvas_arc(cw_canvas *canvas, cw_pen pen, double x, double y, double radius_mm, double from_degrees,
                   double to_degrees)
{
    if (!cw_draw__pen(canvas, pen))
        return;
    cairo_new_sub_path(canvas->cairo);
    cairo_arc_negative(canvas->cairo, x, y, radius_mm, -from_degrees * pi / 180, -to_degrees * pi / 180);
    cairo_stroke(canvas->cairo);
}

/* A line of no length with round ends is a disc in all three formats, and the shortest way to write one. */
void cw_canvas_dots(cw_canvas *canvas, cw_ink ink, double diameter_mm, const double *centres, size_t count)
{
    if (!cw_draw__pen(canvas, (cw_pen){ ink, diameter_mm, CW_SOLID }))
        return;
    cairo_set_line_cap(canvas->cairo, CAIRO_LINE_CAP_ROUND);
    for (size_t i = 0; i < count; i++) {
        cairo_move_to(canvas->cairo, centres[2 * i], centres[2 * i + 1]);
        cairo_line_to(canvas->cairo, centres[2 * i], centres[2 * i + 1]);
    }
    cairo_stroke(canvas->cairo);
}

void cw_canvas_hatch(cw_canvas *canvas, cw_pen pen, cw_box box, double spacing_mm, bool falling)
{
    double step = spacing_mm * sqrt(2.0), bottom = box.y + box.height;

    if (!cw_draw__pen(canvas, pen))
        return;
    cw_canvas_clip(canvas, box);
    cw_draw__pen(canvas, pen);
    /* starts on multiples of the step, so that the hatches of neighbouring boxes meet */
    for (double x = floor((box.x - box.height) / step) * step; x < box.x + box.width; x += step) {
        cairo_move_to(canvas->cairo, x, falling ? box.y : bottom);
        cairo_line_to(canvas->cairo, x + box.height, falling ? bottom : box.y);
    }
    cairo_stroke(canvas->cairo);
    cw_canvas_unclip(canvas);
}

/* A slender filled head, its tip at x, y, pointing along (dx, dy), which has length 1; included angle about 18
 * degrees, as drawing practice asks for at least 15. */
static void head(cw_canvas *canvas, cw_ink ink, double x, double y, double dx, double dy, double length)
{
    double half = 0.16 * length, bx = x - length * dx, by = y - length * dy;
    const double xy[6] = { x, y, bx - half * dy, by + half * dx, bx + half * dy, by - half * dx };

    cw_canvas_polygon(canvas, (cw_pen){ 0 }, ink, xy, 3);
}

void cw_canvas_arrow(cw_canvas *canvas, cw_pen pen, double x1, double y1, double x2, double y2, double head_mm)
{
    double length = hypot(x2 - x1, y2 - y1), dx, dy;

    if (!(length > 0))
        return;
    dx = (x2 - x1) / length;
    dy = (y2 - y1) / length;
    if (length > head_mm)
        cw_canvas_line(canvas, pen, x1, y1, x2 - 0.8 * head_mm * dx, y2 - 0.8 * head_mm * dy);
    head(canvas, pen.ink, x2, y2, dx, dy, head_mm);
}

/* ---- dimensions ---------------------------------------------------------------------------------------------- */

static const cw_pen narrow = { CW_BLACK, 0.18, CW_SOLID };

enum { HEAD_MM_TENTHS = 22 };

/* Extension line from a feature to just past the dimension line. */
static void extension(cw_canvas *canvas, double x, double y, double dx, double dy, double offset)
{
    double sign = offset < 0 ? -1 : 1;

    if (fabs(offset) < 1.5)
        return;
    cw_canvas_line(canvas, narrow, x + sign * dx, y + sign * dy, x + (offset + 1.2 * sign) * dx,
                   y + (offset + 1.2 * sign) * dy);
}

/* The dimension line between a and b, which differ in x or in y only, with heads inside or outside. */
static void dimension_line(cw_canvas *canvas, const double a[2], const double b[2], bool outside)
{
    double length = hypot(b[0] - a[0], b[1] - a[1]), size = HEAD_MM_TENTHS / 10.0;
    double dx = (b[0] - a[0]) / length, dy = (b[1] - a[1]) / length, reach = outside ? 2 * size : 0;

    cw_canvas_line(canvas, narrow, a[0] - reach * dx, a[1] - reach * dy, b[0] + reach * dx, b[1] + reach * dy);
    head(canvas, CW_BLACK, a[0], a[1], outside ? dx : -dx, outside ? dy : -dy, size);
    head(canvas, CW_BLACK, b[0], b[1], outside ? -dx : dx, outside ? -dy : dy, size);
}

void cw_canvas_dimension(cw_canvas *canvas, double x1, double y1, double x2, double y2, double offset_mm,
                         double size_pt, const char *text)
{
    bool level = fabs(y2 - y1) < fabs(x2 - x1);
    double dx = level ? 0 : 1, dy = level ? 1 : 0; /* away from the feature */
    const double a[2] = { x1 + dx * offset_mm, y1 + dy * offset_mm };
    const double b[2] = { x2 + dx * offset_mm, y2 + dy * offset_mm };
    double length = hypot(b[0] - a[0], b[1] - a[1]);
    const cw_type type = { size_pt, CW_REGULAR, CW_BLACK, CW_ALIGN_CENTRE };
    double width = cw_canvas_text_width(canvas, type, text), middle_x = (a[0] + b[0]) / 2, middle_y = (a[1] + b[1]) / 2;
    double past = 2.0 * HEAD_MM_TENTHS / 10.0 + 1.0, high;

    if (!(length > 0))
        return;
    extension(canvas, x1, y1, dx, dy, offset_mm);
    extension(canvas, x2, y2, dx, dy, offset_mm);
    dimension_line(canvas, a, b, length < 2.5 * HEAD_MM_TENTHS / 10.0);
    if (width + 1 > length && level) /* beside the line: to the right of it, or above it */
        middle_x = fmax(a[0], b[0]) + past + width / 2;
    else if (width + 1 > length)
        middle_y = fmin(a[1], b[1]) - past - width / 2;
    high = 1.1 * size_pt * DRAW_MM_PER_PT; /* on white, as extension lines of others may pass */
    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_WHITE,
                        level ? (cw_box){ middle_x - width / 2 - 0.5, middle_y - 0.6 - high, width + 1, high }
                              : (cw_box){ middle_x - 0.6 - high, middle_y - width / 2 - 0.5, high, width + 1 }, 0);
    if (level)
        cw_canvas_write(canvas, type, middle_x, middle_y - 0.9, text);
    else
        cw_canvas_write_up(canvas, type, middle_x - 0.9, middle_y, text);
}
