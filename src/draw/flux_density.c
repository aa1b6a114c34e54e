/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Flux density in iron as bands, and flux lines: both by walking a lattice of samples cell by cell.
 *
 * Each part of iron has a lattice of its own that ends at its faces, since the density jumps there; so edges are sharp.
 * Within a cell the density runs evenly from corner to corner, and a band's share of it is a polygon. All polygons of a
 * band make one path, so that no seam shows between them. */
#include "draw/flux_internal.h"

#include <math.h>

enum { MOST_SAMPLES = 420 };

#define DENSITY_MM 1.0
#define LINE_MM 0.6

double cw_flux__paper_x(const cw_flux_window *window, double x)
{
    return window->left + window->scale * (x - window->x0);
}

double cw_flux__paper_y(const cw_flux_window *window, double y)
{
    return window->top + window->scale * (window->y1 - y);
}

void cw_flux__band_rgb(int band, double rgb[3])
{
    static const cw_ink knot[] = { CW_WHITE, CW_SAND, CW_ORANGE, CW_RED };
    static const int at[] = { 0, 4, 6, FLUX_BANDS - 1 };
    double from[3], to[3], share;
    int k = 0;

    while (k < 2 && band > at[k + 1])
        k++;
    cw_ink_rgb(knot[k], from);
    cw_ink_rgb(knot[k + 1], to);
    share = (double)(band - at[k]) / (at[k + 1] - at[k]);
    for (int i = 0; i < 3; i++)
        rgb[i] = from[i] + share * (to[i] - from[i]);
}

/* ---- a lattice of samples --------------------------------------------------------------------------------------- */

/* Columns and rows of samples over a rectangle, the first in its upper left corner. */
typedef struct lattice {
    double x0, x1, y0, y1; /* m, y up */
    int columns, rows;
    double *value;         /* shape [rows][columns] */
} lattice;

static int samples_along(double length_mm, double spacing_mm)
{
    return (int)fmin(MOST_SAMPLES, ceil(length_mm / spacing_mm)) + 1;
}

static bool make_lattice(cw_canvas *canvas, const cw_flux_window *w, double spacing_mm, lattice *l)
{
    l->columns = samples_along(w->scale * (l->x1 - l->x0), spacing_mm);
    l->rows = samples_along(w->scale * (l->y1 - l->y0), spacing_mm);
    if (l->columns < 2 || l->rows < 2)
        return false;
    l->value = cw_allocate((size_t)l->columns * (size_t)l->rows, sizeof *l->value);
    if (l->value == NULL)
        canvas->no_memory = true;
    return l->value != NULL;
}

static double lattice_x(const lattice *l, double column)
{
    return l->x0 + (l->x1 - l->x0) * column / (l->columns - 1);
}

static double lattice_y(const lattice *l, double row)
{
    return l->y1 - (l->y1 - l->y0) * row / (l->rows - 1);
}

static double at_corner(const lattice *l, int column, int row)
{
    return l->value[row * l->columns + column];
}

/* ---- density ---------------------------------------------------------------------------------------------------- */

/* A hair inside of the face, lest the sample be taken from the air beyond it. */
static double inside(double at, double low, double high)
{
    double hair = 1e-4 * (high - low);

    return fmin(fmax(at, low + hair), high - hair);
}

static void sample_density(const cw_field *field, const cw_flux_window *w, lattice *l)
{
    for (int row = 0; row < l->rows; row++)
        for (int column = 0; column < l->columns; column++) {
            double x = inside(lattice_x(l, column), l->x0, l->x1), b[2];

            cw_field_density_t(field, w->halves ? fabs(x) : x, inside(lattice_y(l, row), l->y0, l->y1), b);
            l->value[row * l->columns + column] = hypot(b[0], b[1]);
        }
}

static void add_point(cw_canvas *canvas, const cw_flux_window *w, const lattice *l, bool *open, double column, double row)
{
    double x = cw_flux__paper_x(w, lattice_x(l, column)), y = cw_flux__paper_y(w, lattice_y(l, row));

    if (*open)
        cairo_line_to(canvas->cairo, x, y);
    else
        cairo_move_to(canvas->cairo, x, y);
    *open = true;
}

/* What of the cell lies at the level or above it, as one polygon round its corners. */
static void add_cell(cw_canvas *canvas, const cw_flux_window *w, const lattice *l, int column, int row, double level)
{
    static const int dx[5] = { 0, 1, 1, 0, 0 }, dy[5] = { 0, 0, 1, 1, 0 };
    bool open = false;

    for (int k = 0; k < 4; k++) {
        double a = at_corner(l, column + dx[k], row + dy[k]), b = at_corner(l, column + dx[k + 1], row + dy[k + 1]);

        if (a >= level)
            add_point(canvas, w, l, &open, column + dx[k], row + dy[k]);
        if ((a >= level) != (b >= level)) {
            double share = (level - a) / (b - a);

            add_point(canvas, w, l, &open, column + dx[k] + share * (dx[k + 1] - dx[k]),
                      row + dy[k] + share * (dy[k + 1] - dy[k]));
        }
    }
    if (open)
        cairo_close_path(canvas->cairo);
}

static bool whole(const lattice *l, int column, int row, double level)
{
    return at_corner(l, column, row) >= level && at_corner(l, column + 1, row) >= level &&
           at_corner(l, column, row + 1) >= level && at_corner(l, column + 1, row + 1) >= level;
}

/* Whole cells next to each other as one rectangle. */
static void add_run(cw_canvas *canvas, const cw_flux_window *w, const lattice *l, int from, int to, int row)
{
    bool open = false;

    add_point(canvas, w, l, &open, from, row);
    add_point(canvas, w, l, &open, to, row);
    add_point(canvas, w, l, &open, to, row + 1);
    add_point(canvas, w, l, &open, from, row + 1);
    cairo_close_path(canvas->cairo);
}

static void fill_band(cw_canvas *canvas, const cw_flux_window *w, const lattice *l, int band)
{
    const double level = band * FLUX_BAND_T;
    double rgb[3];

    cw_flux__band_rgb(band, rgb);
    for (int row = 0; row + 1 < l->rows; row++)
        for (int column = 0, end; column + 1 < l->columns; column = end) {
            for (end = column; end + 1 < l->columns && whole(l, end, row, level); end++)
                ;
            if (end > column)
                add_run(canvas, w, l, column, end, row);
            else
                add_cell(canvas, w, l, column, row, level), end++;
        }
    cairo_set_source_rgb(canvas->cairo, rgb[0], rgb[1], rgb[2]);
    cairo_fill(canvas->cairo);
}

static void draw_piece(cw_canvas *canvas, const cw_field *field, const cw_flux_window *w, lattice *l)
{
    if (!make_lattice(canvas, w, DENSITY_MM, l))
        return;
    sample_density(field, w, l);
    for (int band = 1; band < FLUX_BANDS; band++)
        fill_band(canvas, w, l, band);
    cw_free(l->value);
}

/* Down to a cone's tip and as far up as a stop's rim: its air is in the lattice too, and carries little. */
static void draw_part(cw_canvas *canvas, const cw_field *field, const cw_flux_window *w, const cw_part *part, bool mirrored)
{
    double x0 = mirrored ? -part->x[1] : part->x[0], x1 = mirrored ? -part->x[0] : part->x[1];
    lattice l = { fmax(w->x0, x0), fmin(w->x1, x1), fmax(w->y0, part->y[0] - (part->moves ? part->drop_m : 0)),
                  fmin(w->y1, part->y[1]), 0, 0, NULL };

    if (part->iron[0] != '\0' && l.x0 < l.x1 && l.y0 < l.y1)
        draw_piece(canvas, field, w, &l);
}

void cw_flux__draw_density(cw_canvas *canvas, const cw_field *field, const cw_field_view *view,
                           const cw_flux_window *window)
{
    if (canvas->muted)
        return;
    for (size_t i = 0; i < view->part_count; i++) {
        draw_part(canvas, field, window, &view->part[i], false);
        if (window->halves)
            draw_part(canvas, field, window, &view->part[i], true);
    }
}

/* ---- flux lines ------------------------------------------------------------------------------------------------ */

static bool sample_flux(cw_canvas *canvas, const cw_field *field, const cw_flux_window *w, lattice *l)
{
    *l = (lattice){ w->x0, w->x1, w->y0, w->y1, 0, 0, NULL };
    if (!make_lattice(canvas, w, LINE_MM, l))
        return false;
    for (int row = 0; row < l->rows; row++)
        for (int column = 0; column < l->columns; column++) {
            double x = lattice_x(l, column);

            l->value[row * l->columns + column] = cw_field_flux_wb(field, w->halves ? fabs(x) : x, lattice_y(l, row));
        }
    return true;
}

void cw_flux__range(const cw_field *field, const cw_flux_window *window, double *low, double *high)
{
    enum { STEPS = 160 };

    *low = INFINITY;
    *high = -INFINITY;
    for (int i = 0; i <= STEPS; i++)
        for (int j = 0; j <= STEPS; j++) {
            double x = window->x0 + (window->x1 - window->x0) * i / STEPS;
            double y = window->y0 + (window->y1 - window->y0) * j / STEPS;
            double flux = cw_field_flux_wb(field, window->halves ? fabs(x) : x, y);

            *low = fmin(*low, flux);
            *high = fmax(*high, flux);
        }
}

/* Where the level crosses the sides of a cell, two by two. */
static void add_crossings(cw_canvas *canvas, const cw_flux_window *w, const lattice *l, int column, int row, double level)
{
    static const int dx[5] = { 0, 1, 1, 0, 0 }, dy[5] = { 0, 0, 1, 1, 0 };
    int found = 0;

    for (int k = 0; k < 4; k++) {
        double a = at_corner(l, column + dx[k], row + dy[k]), b = at_corner(l, column + dx[k + 1], row + dy[k + 1]);
        bool joined = found % 2 == 1;

        if ((a < level) == (b < level))
            continue;
        add_point(canvas, w, l, &joined, column + dx[k] + (level - a) / (b - a) * (dx[k + 1] - dx[k]),
                  row + dy[k] + (level - a) / (b - a) * (dy[k + 1] - dy[k]));
        found++;
    }
}

static void add_levels(cw_canvas *canvas, const cw_flux_window *w, const lattice *l, int column, int row, double step)
{
    double a = at_corner(l, column, row), b = at_corner(l, column + 1, row), c = at_corner(l, column, row + 1);
    double d = at_corner(l, column + 1, row + 1), low = fmin(fmin(a, b), fmin(c, d)), high = fmax(fmax(a, b), fmax(c, d));

    for (double k = ceil(low / step - 0.5); (k + 0.5) * step < high; k++)
        add_crossings(canvas, w, l, column, row, (k + 0.5) * step);
}

void cw_flux__draw_lines(cw_canvas *canvas, const cw_field *field, const cw_flux_window *window, double step_wb)
{
    const cw_pen pen = { CW_BLACK, 0.18, CW_SOLID };
    lattice l;

    if (!(step_wb > 0) || !cw_draw__pen(canvas, pen) || !sample_flux(canvas, field, window, &l))
        return;
    cairo_set_line_cap(canvas->cairo, CAIRO_LINE_CAP_ROUND);
    for (int row = 0; row + 1 < l.rows; row++)
        for (int column = 0; column + 1 < l.columns; column++)
            add_levels(canvas, window, &l, column, row, step_wb);
    cairo_stroke(canvas->cairo);
    cw_free(l.value);
}
