/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A magnet's section to scale: density, flux lines, outlines, names; beside it the scale and the gap, enlarged. */
#include "draw/flux_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ARC_SIDES = 16, NAME_STEPS = 24, USUAL_LINES = 14, DETAIL_LINES = 9 };

#define SIDE_MM 40.0   /* of scale and detail, right of the section */
#define DETAIL_MM 34.0

static double height_of(const cw_flux_window *w)
{
    return w->y1 - w->y0;
}

static bool frame(const cw_flux_figure *figure, cw_field_view *view, cw_flux_window *w)
{
    double width, height;

    if (cw_field_view_of(figure->field, view, NULL) != CW_OK || view->part_count == 0)
        return false;
    w->x0 = w->y0 = INFINITY;
    w->x1 = w->y1 = -INFINITY;
    w->halves = view->mesh->inside[CW_LEFT] == 0;
    for (size_t i = 0; i < view->part_count; i++) {
        w->x0 = fmin(w->x0, w->halves ? -view->part[i].x[1] : view->part[i].x[0]);
        w->x1 = fmax(w->x1, view->part[i].x[1]);
        w->y0 = fmin(w->y0, view->part[i].y[0]);
        w->y1 = fmax(w->y1, view->part[i].y[1]);
    }
    width = w->x1 - w->x0;
    height = w->y1 - w->y0;
    w->x0 -= 0.08 * width;
    w->x1 += 0.08 * width;
    w->y0 -= 0.08 * height;
    w->y1 += 0.08 * height;
    return true;
}

static void place(cw_flux_window *w, cw_box box)
{
    double width = w->x1 - w->x0;

    w->scale = fmin(box.width / width, box.height / height_of(w));
    w->left = box.x + 0.5 * (box.width - w->scale * width);
    w->top = box.y + 0.5 * (box.height - w->scale * height_of(w));
}

/* ---- outlines --------------------------------------------------------------------------------------------------- */

/* A stop's upper or a plunger's lower face drops towards the axis. */
static void draw_cone(cw_canvas *canvas, const cw_flux_window *w, const cw_part *part, cw_pen pen)
{
    double r = part->x[1], low = part->y[0], high = part->y[1], tip = (part->moves ? low : high) - part->drop_m;
    const double outline[6][2] = { { -r, high }, { part->moves ? 0 : -r, part->moves ? high : low },
                                   { r, part->moves ? high : low }, { r, part->moves ? low : high },
                                   { 0, tip }, { -r, part->moves ? low : high } };
    double xy[12];

    for (int i = 0; i < 6; i++) {
        xy[2 * i] = cw_flux__paper_x(w, outline[i][0]);
        xy[2 * i + 1] = cw_flux__paper_y(w, outline[i][1]);
    }
    cw_canvas_polygon(canvas, pen, CW_NO_INK, xy, 6);
}

/* An outline of any shape, `side` -1 its mirror image; a side along the axis is no edge. */
static void draw_contour(cw_canvas *canvas, const cw_flux_window *w, const cw_part *part, cw_pen pen, int side)
{
    const cw_contour contour = { part->name, part->contour, part->contour_count, part->lift_m, 0 };
    double (*place)[2];
    size_t count;

    if (cw_contour_flatten(&contour, ARC_SIDES, &place, &count, NULL) != CW_OK) {
        canvas->no_memory = true;
        return;
    }
    for (size_t i = 0; i < count; i++) {
        const double *a = place[i], *b = place[(i + 1) % count];

        if (!w->halves || a[0] != 0 || b[0] != 0)
            cw_canvas_line(canvas, pen, cw_flux__paper_x(w, side * a[0]), cw_flux__paper_y(w, a[1]),
                           cw_flux__paper_x(w, side * b[0]), cw_flux__paper_y(w, b[1]));
    }
    cw_free(place);
}

static void draw_part(cw_canvas *canvas, const cw_flux_window *w, const cw_part *part, double x0, double x1)
{
    const cw_pen iron = { CW_BLACK, 0.35, CW_SOLID }, coil = { CW_GREY, 0.25, CW_SOLID };
    cw_box box = { cw_flux__paper_x(w, x0), cw_flux__paper_y(w, part->y[1]), w->scale * (x1 - x0),
                   w->scale * (part->y[1] - part->y[0]) };

    if (part->drop_m != 0 && x0 < 0 && x1 > 0) {
        draw_cone(canvas, w, part, iron);
        return;
    }
    cw_canvas_rectangle(canvas, part->iron[0] != '\0' ? iron : coil, CW_NO_INK, box, 0);
    if (part->coil < 0)
        return;
    cw_canvas_line(canvas, coil, box.x, box.y, box.x + box.width, box.y + box.height);
    cw_canvas_line(canvas, coil, box.x, box.y + box.height, box.x + box.width, box.y);
}

static void draw_outlines(cw_canvas *canvas, const cw_field_view *view, const cw_flux_window *w)
{
    for (size_t i = 0; i < view->part_count; i++) {
        const cw_part *part = &view->part[i];
        bool whole = w->halves && part->x[0] == 0; /* across the axis in one piece */

        if (part->contour != NULL) {
            const cw_pen iron = { CW_BLACK, 0.35, CW_SOLID }, other = { CW_GREY, 0.25, CW_SOLID };

            for (int side = w->halves ? -1 : 1; side <= 1; side += 2)
                draw_contour(canvas, w, part, part->iron[0] != '\0' ? iron : other, side);
            continue;
        }
        draw_part(canvas, w, part, whole ? -part->x[1] : part->x[0], part->x[1]);
        if (w->halves && !whole)
            draw_part(canvas, w, part, -part->x[1], -part->x[0]);
    }
}

/* How far a polygon reaches from a place inside it to the left, right, down and up; false outside. */
static bool clear_around(const double (*place)[2], size_t count, const double at[2], double reach[4])
{
    bool inside = false;

    for (int k = 0; k < 4; k++)
        reach[k] = INFINITY;
    for (size_t i = 0; i < count; i++)
        for (int d = 0; d < 2; d++) { /* along x, then along y */
            const double *a = place[i], *b = place[(i + 1) % count];
            double away;

            if ((a[1 - d] > at[1 - d]) == (b[1 - d] > at[1 - d]))
                continue;
            away = a[d] + (at[1 - d] - a[1 - d]) / (b[1 - d] - a[1 - d]) * (b[d] - a[d]) - at[d];
            inside = d == 0 && away > 0 ? !inside : inside;
            reach[2 * d + (away > 0)] = fmin(reach[2 * d + (away > 0)], fabs(away));
        }
    return inside;
}

/* Where in an outline of any shape a name, five times as wide as high, has the most room; the room to both sides of it. */
static double roomiest(const cw_part *part, double place[2])
{
    const cw_contour contour = { part->name, part->contour, part->contour_count, part->lift_m, 0 };
    double (*rim)[2], best = 0;
    size_t count;

    if (cw_contour_flatten(&contour, ARC_SIDES, &rim, &count, NULL) != CW_OK)
        return 0;
    for (int i = 1; i < NAME_STEPS; i++)
        for (int j = 1; j < NAME_STEPS; j++) {
            double at[2] = { part->x[0] + (part->x[1] - part->x[0]) * i / NAME_STEPS,
                             part->y[0] + (part->y[1] - part->y[0]) * j / NAME_STEPS }, reach[4], room;

            if (!clear_around((const double (*)[2])rim, count, at, reach))
                continue;
            room = fmin(fmin(reach[0], reach[1]), 5 * fmin(reach[2], reach[3]));
            room += 1e-3 * fmin(reach[2], reach[3]); /* of places alike in width the one in the middle of the height */
            if (room > best * (1 + 1e-9)) {
                best = room;
                place[0] = at[0];
                place[1] = at[1];
            }
        }
    cw_free(rim);
    return best;
}

static void write_name(cw_canvas *canvas, double x, double y, double wide, const char *name)
{
    cw_canvas_rectangle(canvas, (cw_pen){ CW_NO_INK, 0, CW_SOLID }, CW_WHITE,
                        (cw_box){ x - 0.5 * wide, y - 2, wide, 4 }, 1);
    cw_canvas_write(canvas, (cw_type){ 8, CW_REGULAR, CW_BLACK, CW_ALIGN_CENTRE }, x, y + 1, name);
}

/* On a patch of white, where the part is wide enough for it; in a section of two halves on the right one. */
static void draw_name(cw_canvas *canvas, const cw_flux_window *w, const cw_part *part)
{
    const cw_type type = { 8, CW_REGULAR, CW_BLACK, CW_ALIGN_CENTRE };
    double x0 = cw_flux__paper_x(w, part->x[0]), x1 = cw_flux__paper_x(w, part->x[1]);
    double y = 0.5 * (cw_flux__paper_y(w, part->y[0]) + cw_flux__paper_y(w, part->y[1])), x = 0.5 * (x0 + x1);
    double wide = cw_canvas_text_width(canvas, type, part->name) + 1.6;
    double inner[2] = { 0, 0 };

    if (part->contour != NULL) {
        if (2 * w->scale * roomiest(part, inner) > wide)
            write_name(canvas, cw_flux__paper_x(w, inner[0]), cw_flux__paper_y(w, inner[1]), wide, part->name);
    } else if (wide < x1 - x0 && w->scale * (part->y[1] - part->y[0]) > 4.4) {
        write_name(canvas, x, y, wide, part->name);
    }
}

/* ---- the gap, enlarged ------------------------------------------------------------------------------------------ */

/* A fixed face of iron and the moving one above it. */
typedef struct facing {
    double x, low, high; /* m: the edge of the faces towards the coil, and where the gap begins and ends */
} facing;

static bool over_each_other(const cw_part *fixed, const cw_part *moving)
{
    return fixed->iron[0] != '\0' && !fixed->moves && moving->iron[0] != '\0' && moving->moves &&
           fmin(fixed->x[1], moving->x[1]) > fmax(fixed->x[0], moving->x[0]) && moving->y[0] > fixed->y[1];
}

/* The narrowest gap; of alike ones the first. */
static bool find_gap(const cw_field_view *view, facing *gap)
{
    bool found = false;

    for (size_t i = 0; i < view->part_count; i++)
        for (size_t j = 0; j < view->part_count; j++) {
            const cw_part *fixed = &view->part[i], *moving = &view->part[j];

            if (!over_each_other(fixed, moving) ||
                (found && moving->y[0] - fixed->y[1] > (gap->high - gap->low) * (1 - 1e-6)))
                continue;
            *gap = (facing){ fmin(fixed->x[1], moving->x[1]), fixed->y[1], moving->y[0] };
            found = true;
        }
    return found;
}

static void describe(const cw_flux_figure *figure, double gap_m, double times, char *text, size_t size)
{
    char length[40];

    cw_quantity_format(CW_LENGTH, gap_m, figure->units, 3, length, sizeof length);
    snprintf(text, size, "A: gap %s, %.0f : 1", length, times);
}

static void draw_detail(cw_canvas *canvas, const cw_flux_figure *figure, const cw_field_view *view,
                        const cw_flux_window *whole, double x, double y)
{
    const cw_pen frame_pen = { CW_BLACK, 0.25, CW_SOLID };
    const cw_type type = { 8, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT }, tag = { 9, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT };
    const cw_box box = { x, y, DETAIL_MM, DETAIL_MM };
    double half, middle, low, high, place_x, place_y;
    cw_flux_window w = { .left = x, .top = y, .halves = whole->halves };
    char text[80];
    facing gap = { 0 };

    if (!find_gap(view, &gap))
        return;
    half = fmin(3 * (gap.high - gap.low), 0.15 * height_of(whole));
    middle = 0.5 * (gap.low + gap.high);
    w.x0 = gap.x - half;
    w.x1 = gap.x + half;
    w.y0 = middle - half;
    w.y1 = middle + half;
    w.scale = DETAIL_MM / (2 * half);
    cw_canvas_rectangle(canvas, (cw_pen){ CW_NO_INK, 0, CW_SOLID }, CW_WHITE, box, 0);
    cw_canvas_clip(canvas, box);
    cw_flux__draw_density(canvas, figure->field, view, &w);
    cw_flux__range(figure->field, &w, &low, &high);
    cw_flux__draw_lines(canvas, figure->field, &w, (high - low) / DETAIL_LINES);
    draw_outlines(canvas, view, &w);
    cw_canvas_unclip(canvas);
    cw_canvas_rectangle(canvas, frame_pen, CW_NO_INK, box, 0);
    describe(figure, gap.high - gap.low, w.scale / whole->scale, text, sizeof text);
    cw_canvas_write_within(canvas, type, x, y + DETAIL_MM + 4, SIDE_MM - 2, text);
    place_x = cw_flux__paper_x(whole, gap.x);
    place_y = cw_flux__paper_y(whole, middle);
    cw_canvas_circle(canvas, frame_pen, CW_NO_INK, place_x, place_y, 3);
    cw_canvas_write(canvas, tag, place_x + 2, place_y + 4, "A");
}

/* ---- scale ------------------------------------------------------------------------------------------------------ */

static void draw_scale(cw_canvas *canvas, double x, double y)
{
    const cw_type type = { 8, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const double band_mm = 4;

    cw_canvas_write(canvas, type, x, y + 3, "flux density in iron, T");
    for (int band = FLUX_BANDS - 1; band >= 0; band--) {
        double rgb[3], top = y + 6 + (FLUX_BANDS - 1 - band) * band_mm;
        char text[16];

        cw_flux__band_rgb(band, rgb);
        if (!canvas->muted) {
            cairo_set_source_rgb(canvas->cairo, rgb[0], rgb[1], rgb[2]);
            cairo_rectangle(canvas->cairo, x, top, 7, band_mm);
            cairo_fill(canvas->cairo);
        }
        snprintf(text, sizeof text, "%.1f", band * FLUX_BAND_T);
        if (band % 2 == 0)
            cw_canvas_write(canvas, type, x + 9, top + band_mm + 1, text);
        cw_canvas_line(canvas, (cw_pen){ CW_GREY, 0.18, CW_SOLID }, x, top + band_mm, x + (band % 2 == 0 ? 8 : 7),
                       top + band_mm);
    }
    cw_canvas_rectangle(canvas, (cw_pen){ CW_GREY, 0.18, CW_SOLID }, CW_NO_INK,
                        (cw_box){ x, y + 6, 7, FLUX_BANDS * band_mm }, 0);
}

void cw_flux_draw(cw_canvas *canvas, cw_box box, const cw_flux_figure *figure)
{
    const double side = box.x + box.width - SIDE_MM + 2;
    cw_field_view view;
    cw_flux_window w;
    double low, high;

    if (!frame(figure, &view, &w)) {
        canvas->no_memory = true;
        return;
    }
    place(&w, (cw_box){ box.x, box.y, box.width - SIDE_MM, box.height });
    cw_flux__draw_density(canvas, figure->field, &view, &w);
    cw_flux__range(figure->field, &w, &low, &high);
    cw_flux__draw_lines(canvas, figure->field, &w, (high - low) / (figure->lines > 0 ? figure->lines : USUAL_LINES));
    draw_outlines(canvas, &view, &w);
    for (size_t i = 0; i < view.part_count; i++)
        draw_name(canvas, &w, &view.part[i]);
    draw_scale(canvas, side, box.y);
    draw_detail(canvas, figure, &view, &w, side, box.y + 6 + FLUX_BANDS * 4 + 5);
}

double cw_flux_height(const cw_flux_figure *figure, double width_mm)
{
    const double least = 6 + FLUX_BANDS * 4 + 5 + DETAIL_MM + 8;
    cw_field_view view;
    cw_flux_window w;

    if (!frame(figure, &view, &w))
        return least;
    return fmin(150, fmax(least, (width_mm - SIDE_MM) * height_of(&w) / (w.x1 - w.x0)));
}

static void draw_flux(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_flux_draw(canvas, box, figure);
}

cw_status cw_flux_write(const cw_flux_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    cw_field_view view;
    cw_status status = cw_field_view_of(figure->field, &view, error);

    if (status != CW_OK)
        return status;
    return cw_draw__write(draw_flux, figure, paper, 160, cw_flux_height(figure, 160), out, error);
}
