/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Flux lines and flux density of a magnet's section, sampled on a lattice of the paper. */
#include "coilwright/flux_figure.h"

#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { BANDS = 5, USUAL_LINES = 14, MOST_SAMPLES = 400 };

#define LEGEND_MM 24.0
#define SAMPLE_MM 0.5

static const double band_from_t[BANDS] = { 0, 0.5, 1.0, 1.5, 2.0 };
static const cw_ink band_ink[BANDS] = { CW_WHITE, CW_SHADE, CW_SAND, CW_ORANGE, CW_BLUE };

/* The part of the plane that is shown, and where it stands on the paper. */
typedef struct window {
    double x0, x1, y0, y1; /* m, y up */
    double left, top, scale; /* mm, mm, mm per m */
    bool halves;             /* x < 0 mirrors x > 0 */
    int columns, rows;       /* of samples: one more than cells */
} window;

static bool frame(const cw_flux_figure *figure, cw_field_view *view, window *w)
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
    w->x0 -= 0.15 * width;
    w->x1 += 0.15 * width;
    w->y0 -= 0.12 * height;
    w->y1 += 0.12 * height;
    return true;
}

static void place(window *w, cw_box box)
{
    double width = w->x1 - w->x0, height = w->y1 - w->y0;

    w->scale = fmin((box.width - LEGEND_MM) / width, box.height / height);
    w->left = box.x + 0.5 * (box.width - LEGEND_MM - w->scale * width);
    w->top = box.y + 0.5 * (box.height - w->scale * height);
    w->columns = (int)fmin(MOST_SAMPLES, w->scale * width / SAMPLE_MM) + 2;
    w->rows = (int)fmin(MOST_SAMPLES, w->scale * height / SAMPLE_MM) + 2;
}

static double paper_x(const window *w, double x)
{
    return w->left + w->scale * (x - w->x0);
}

static double paper_y(const window *w, double y)
{
    return w->top + w->scale * (w->y1 - y);
}

static double sample_x(const window *w, double column)
{
    return w->x0 + (w->x1 - w->x0) * column / (w->columns - 1);
}

static double sample_y(const window *w, double row)
{
    return w->y1 - (w->y1 - w->y0) * row / (w->rows - 1);
}

static double shown_x(const window *w, double x)
{
    return w->halves ? fabs(x) : x;
}

static int band_at(const cw_field *field, const window *w, double column, double row)
{
    double b[2], density;
    int band = 0;

    cw_field_density_t(field, shown_x(w, sample_x(w, column)), sample_y(w, row), b);
    density = hypot(b[0], b[1]);
    while (band + 1 < BANDS && density >= band_from_t[band + 1])
        band++;
    return band;
}

/* Runs of cells of one band as one rectangle, all of a band filled at once. */
static void fill_band(cw_canvas *canvas, const unsigned char *bands, const window *w, int band)
{
    double step_x = w->scale * (w->x1 - w->x0) / (w->columns - 1), step_y = w->scale * (w->y1 - w->y0) / (w->rows - 1);

    if (!cw_draw__ink(canvas, band_ink[band]))
        return;
    for (int row = 0; row + 1 < w->rows; row++)
        for (int column = 0, end; column + 1 < w->columns; column = end) {
            const unsigned char *here = bands + row * w->columns;

            for (end = column + 1; end + 1 < w->columns && here[end] == here[column]; end++)
                ;
            if (here[column] == band) /* a hair of overlap, lest the paper shine through */
                cairo_rectangle(canvas->cairo, w->left + column * step_x, w->top + row * step_y,
                                (end - column) * step_x + 0.03, step_y + 0.03);
        }
    cairo_fill(canvas->cairo);
}

static void draw_bands(cw_canvas *canvas, const cw_field *field, const window *w)
{
    unsigned char *bands = cw_allocate((size_t)(w->columns * w->rows), 1);

    if (bands == NULL) {
        canvas->no_memory = true;
        return;
    }
    for (int row = 0; row + 1 < w->rows; row++)
        for (int column = 0; column + 1 < w->columns; column++)
            bands[row * w->columns + column] = (unsigned char)band_at(field, w, column + 0.5, row + 0.5);
    for (int band = 1; band < BANDS; band++)
        fill_band(canvas, bands, w, band);
    cw_free(bands);
}

/* ---- flux lines ------------------------------------------------------------------------------------------------ */

/* Where a level crosses the side between two samples, in samples. */
static bool crossing(const double *flux, const window *w, const int from[2], const int to[2], double level, double at[2])
{
    double a = flux[from[1] * w->columns + from[0]] - level, b = flux[to[1] * w->columns + to[0]] - level;

    if ((a < 0) == (b < 0))
        return false;
    at[0] = from[0] + (to[0] - from[0]) * a / (a - b);
    at[1] = from[1] + (to[1] - from[1]) * a / (a - b);
    return true;
}

static void draw_cell(cw_canvas *canvas, const double *flux, const window *w, int column, int row, double level)
{
    const int corner[5][2] = { { column, row }, { column + 1, row }, { column + 1, row + 1 }, { column, row + 1 },
                               { column, row } };
    double at[4][2];
    int found = 0;

    for (int side = 0; side < 4; side++)
        found += crossing(flux, w, corner[side], corner[side + 1], level, at[found]);
    for (int i = 0; i + 1 < found; i += 2) {
        cairo_move_to(canvas->cairo, paper_x(w, sample_x(w, at[i][0])), paper_y(w, sample_y(w, at[i][1])));
        cairo_line_to(canvas->cairo, paper_x(w, sample_x(w, at[i + 1][0])), paper_y(w, sample_y(w, at[i + 1][1])));
    }
}

static void draw_lines(cw_canvas *canvas, const cw_flux_figure *figure, const window *w)
{
    double *flux = cw_allocate((size_t)(w->columns * w->rows), sizeof *flux), low = 0, high = 0;
    int lines = figure->lines > 0 ? figure->lines : USUAL_LINES;
    const cw_pen pen = { CW_BLACK, 0.18, CW_SOLID };

    if (flux == NULL) {
        canvas->no_memory = true;
        return;
    }
    for (int row = 0; row < w->rows; row++)
        for (int column = 0; column < w->columns; column++) {
            double value = cw_field_flux_wb(figure->field, shown_x(w, sample_x(w, column)), sample_y(w, row));

            flux[row * w->columns + column] = value;
            low = fmin(low, value);
            high = fmax(high, value);
        }
    for (int i = 0; i < lines && high > low && cw_draw__pen(canvas, pen); i++) {
        for (int row = 0; row + 1 < w->rows; row++)
            for (int column = 0; column + 1 < w->columns; column++)
                draw_cell(canvas, flux, w, column, row, low + (high - low) * (i + 0.5) / lines);
        cairo_stroke(canvas->cairo);
    }
    cw_free(flux);
}

/* ---- the rest --------------------------------------------------------------------------------------------------- */

/* A stop's upper or a plunger's lower face drops towards the axis. */
static void draw_cone(cw_canvas *canvas, const window *w, const cw_part *part, cw_pen pen)
{
    double r = part->x[1], low = part->y[0], high = part->y[1], tip = (part->moves ? low : high) - part->drop_m;
    const double outline[6][2] = { { -r, high }, { part->moves ? 0 : -r, part->moves ? high : low },
                                   { r, part->moves ? high : low }, { r, part->moves ? low : high },
                                   { 0, tip }, { -r, part->moves ? low : high } };
    double xy[12];

    for (int i = 0; i < 6; i++) {
        xy[2 * i] = paper_x(w, outline[i][0]);
        xy[2 * i + 1] = paper_y(w, outline[i][1]);
    }
    cw_canvas_polygon(canvas, pen, CW_NO_INK, xy, 6);
}

static void draw_part(cw_canvas *canvas, const window *w, const cw_part *part, double x0, double x1)
{
    const cw_pen iron = { CW_BLACK, 0.35, CW_SOLID }, coil = { CW_GREY, 0.25, CW_SOLID };
    cw_box box = { paper_x(w, x0), paper_y(w, part->y[1]), w->scale * (x1 - x0),
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

static void draw_legend(cw_canvas *canvas, cw_box box)
{
    const cw_pen outline = { CW_GREY, 0.18, CW_SOLID };
    const cw_type type = { 8, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    double x = box.x + box.width - LEGEND_MM + 5, y = box.y + 8;

    cw_canvas_write(canvas, type, x, y - 3, "tesla");
    for (int band = BANDS - 1; band >= 0; band--, y += 6) {
        char text[32];

        snprintf(text, sizeof text, band == BANDS - 1 ? "> %.1f" : "%.1f to %.1f", band_from_t[band],
                 band + 1 < BANDS ? band_from_t[band + 1] : 0);
        cw_canvas_rectangle(canvas, outline, band_ink[band], (cw_box){ x, y, 5, 5 }, 0);
        cw_canvas_write(canvas, type, x + 6, y + 3.8, text);
    }
}

void cw_flux_draw(cw_canvas *canvas, cw_box box, const cw_flux_figure *figure)
{
    cw_field_view view;
    window w;

    if (!frame(figure, &view, &w)) {
        canvas->no_memory = true;
        return;
    }
    place(&w, box);
    draw_bands(canvas, figure->field, &w);
    draw_lines(canvas, figure, &w);
    for (size_t i = 0; i < view.part_count; i++) {
        const cw_part *part = &view.part[i];
        bool whole = w.halves && part->x[0] == 0; /* across the axis in one piece */

        draw_part(canvas, &w, part, whole ? -part->x[1] : part->x[0], part->x[1]);
        if (w.halves && !whole)
            draw_part(canvas, &w, part, -part->x[1], -part->x[0]);
    }
    draw_legend(canvas, box);
}

double cw_flux_height(const cw_flux_figure *figure, double width_mm)
{
    cw_field_view view;
    window w;

    if (!frame(figure, &view, &w))
        return 60;
    return fmin(150, fmax(45, (width_mm - LEGEND_MM) * (w.y1 - w.y0) / (w.x1 - w.x0)));
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
