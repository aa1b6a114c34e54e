/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Temperatures of a section as bands between isotherms.
 *
 *      +------------------------------- box ----------------------------------+
 *      |  section to scale, whole where it is mirrored     |  scale in °C     |
 *      |                  (o) hot spot                     |  ...             |
 *      |  |----| 20 mm                                     |  parts           |
 *      +----------------------------------------------------------------------+
 *
 * The triangles are sampled on a lattice of the paper, half a millimetre apart; what is warmer than a level is filled
 * over what is colder. Samples beyond a part's rim take their neighbours' value, and the parts' outline cuts them off. */
#include "coilwright/heat_figure.h"

#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST_SAMPLES = 500, MOST_LEVELS = 12, MOST_EDGES = 2 * CW_MOST_HEAT_PARTS };

#define LEGEND_MM 47.0
#define SAMPLE_MM 0.5
#define ROW_MM 4.0
#define LABEL_PT 8.0

/* Grid of all edges of parts, and which part covers each cell; -1 open air or a sink. */
typedef struct rooms {
    double at[2][MOST_EDGES];
    int count[2];
    int part[MOST_EDGES][MOST_EDGES];
} rooms;

typedef struct map {
    const cw_heat_map_figure *figure;
    const cw_heat_section *section;
    rooms rooms;
    double low[2], high[2];    /* of what conducts, m */
    bool mirrored;             /* x < 0 shows x > 0 again */
    double left, top, scale;   /* mm, mm, mm per m; of x = low[0] or -high[0] */
    int columns, rows;         /* of samples on x >= low[0] */
    double *sample;            /* shape [rows][columns], row 0 at the top; in the shown unit */
    cw_ticks level;
    const char *unit;
} map;

/* ---- rooms ----------------------------------------------------------------------------------------------------- */

static void add_edge(rooms *r, int axis, double at)
{
    int i = r->count[axis];

    for (int k = 0; k < i; k++)
        if (r->at[axis][k] == at)
            return;
    for (; i > 0 && r->at[axis][i - 1] > at; i--)
        r->at[axis][i] = r->at[axis][i - 1];
    r->at[axis][i] = at;
    r->count[axis]++;
}

static int cover_of(const cw_heat_section *section, double x, double y)
{
    int part = -1;

    for (int p = 0; p < section->part_count; p++) {
        const cw_heat_part *q = &section->part[p];

        if (q->x[0] < x && x < q->x[1] && q->y[0] < y && y < q->y[1])
            part = q->kind == CW_PART_SOLID ? p : -1;
    }
    return part;
}

static void make_rooms(map *m)
{
    rooms *r = &m->rooms;

    r->count[0] = r->count[1] = 0;
    for (int p = 0; p < m->section->part_count; p++)
        for (int side = 0; side < 2; side++) {
            add_edge(r, 0, m->section->part[p].x[side]);
            add_edge(r, 1, m->section->part[p].y[side]);
        }
    m->low[0] = m->low[1] = INFINITY;
    m->high[0] = m->high[1] = -INFINITY;
    for (int i = 0; i + 1 < r->count[0]; i++)
        for (int j = 0; j + 1 < r->count[1]; j++) {
            const double x[2] = { r->at[0][i], r->at[0][i + 1] }, y[2] = { r->at[1][j], r->at[1][j + 1] };

            r->part[i][j] = cover_of(m->section, 0.5 * (x[0] + x[1]), 0.5 * (y[0] + y[1]));
            if (r->part[i][j] < 0)
                continue;
            m->low[0] = fmin(m->low[0], x[0]);
            m->high[0] = fmax(m->high[0], x[1]);
            m->low[1] = fmin(m->low[1], y[0]);
            m->high[1] = fmax(m->high[1], y[1]);
        }
}

static void frame(map *m, const cw_heat_map_figure *figure)
{
    m->figure = figure;
    m->section = cw_heat_section_of(figure->heat);
    m->mirrored = !m->section->planar || m->section->mirrored;
    m->unit = figure->units == CW_INCH_UNITS ? "°F" : "°C";
    make_rooms(m);
}

static double shown_width(const map *m)
{
    return m->mirrored ? 2 * m->high[0] : m->high[0] - m->low[0];
}

static void place(map *m, cw_box box)
{
    const double height = m->high[1] - m->low[1], width = shown_width(m), foot = 7;

    m->scale = fmin((box.width - LEGEND_MM - 4) / width, (box.height - foot) / height);
    m->left = box.x + 0.5 * (box.width - LEGEND_MM - 4 - m->scale * width);
    m->top = box.y + 0.5 * (box.height - foot - m->scale * height);
    m->columns = (int)fmin(MOST_SAMPLES, m->scale * (m->high[0] - m->low[0]) / SAMPLE_MM) + 2;
    m->rows = (int)fmin(MOST_SAMPLES, m->scale * height / SAMPLE_MM) + 2;
}

static double paper_x(const map *m, double x)
{
    return m->left + m->scale * (x - (m->mirrored ? -m->high[0] : m->low[0]));
}

static double paper_y(const map *m, double y)
{
    return m->top + m->scale * (m->high[1] - y);
}

static double sample_x(const map *m, double column)
{
    return m->low[0] + (m->high[0] - m->low[0]) * column / (m->columns - 1);
}

static double sample_y(const map *m, double row)
{
    return m->high[1] - (m->high[1] - m->low[1]) * row / (m->rows - 1);
}

/* ---- samples --------------------------------------------------------------------------------------------------- */

static double in_triangle(const double l[3], const int node[6], const double *t)
{
    double sum = 0;

    for (int i = 0; i < 3; i++)
        sum += l[i] * (2 * l[i] - 1) * t[node[i]] + 4 * l[i] * l[(i + 1) % 3] * t[node[3 + i]];
    return sum;
}

static void sample_triangle(map *m, const cw_mesh *mesh, size_t e, const double *t)
{
    const int *node = mesh->corner[e];
    const double *a = mesh->node[node[0]], *b = mesh->node[node[1]], *c = mesh->node[node[2]];
    const double twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    const double x[2] = { fmin(a[0], fmin(b[0], c[0])), fmax(a[0], fmax(b[0], c[0])) };
    const double y[2] = { fmin(a[1], fmin(b[1], c[1])), fmax(a[1], fmax(b[1], c[1])) };
    const double per_x = (m->columns - 1) / (m->high[0] - m->low[0]), per_y = (m->rows - 1) / (m->high[1] - m->low[1]);
    const int column[2] = { (int)ceil((x[0] - m->low[0]) * per_x - 1e-6), (int)floor((x[1] - m->low[0]) * per_x + 1e-6) };
    const int row[2] = { (int)ceil((m->high[1] - y[1]) * per_y - 1e-6), (int)floor((m->high[1] - y[0]) * per_y + 1e-6) };

    for (int j = row[0]; j <= row[1]; j++)
        for (int i = column[0]; i <= column[1]; i++) {
            const double px = sample_x(m, i), py = sample_y(m, j);
            double l[3];

            if (i < 0 || j < 0 || i >= m->columns || j >= m->rows)
                continue;
            l[1] = ((px - a[0]) * (c[1] - a[1]) - (py - a[1]) * (c[0] - a[0])) / twice;
            l[2] = ((b[0] - a[0]) * (py - a[1]) - (b[1] - a[1]) * (px - a[0])) / twice;
            l[0] = 1 - l[1] - l[2];
            if (l[0] > -1e-6 && l[1] > -1e-6 && l[2] > -1e-6)
                m->sample[j * m->columns + i] = cw_quantity_in(CW_TEMPERATURE, in_triangle(l, node, t), m->unit);
        }
}

/* Samples in the air next to a part take the mean of what they touch. */
static void spread(map *m, double *scratch)
{
    memcpy(scratch, m->sample, (size_t)(m->columns * m->rows) * sizeof *scratch);
    for (int j = 0; j < m->rows; j++)
        for (int i = 0; i < m->columns; i++) {
            double sum = 0;
            int count = 0;

            for (int k = 0; k < 9 && isnan(scratch[j * m->columns + i]); k++) {
                const int x = i + k % 3 - 1, y = j + k / 3 - 1;

                if (x < 0 || y < 0 || x >= m->columns || y >= m->rows || isnan(scratch[y * m->columns + x]))
                    continue;
                sum += scratch[y * m->columns + x];
                count++;
            }
            if (count > 0)
                m->sample[j * m->columns + i] = sum / count;
        }
}

/* t  shape [node_count of the mesh] */
static void sample_all(map *m, const cw_mesh *mesh, const double *t)
{
    for (int i = 0; i < m->columns * m->rows; i++)
        m->sample[i] = NAN;
    for (size_t e = 0; e < mesh->triangle_count; e++) {
        bool known = true;

        for (int i = 0; i < 6; i++)
            known = known && !isnan(t[mesh->corner[e][i]]);
        if (known)
            sample_triangle(m, mesh, e, t);
    }
}

static bool take_samples(map *m)
{
    const cw_mesh *mesh = cw_heat_mesh(m->figure->heat);
    const size_t count = (size_t)(m->columns * m->rows);
    double *t = cw_allocate(mesh->node_count, sizeof *t), *scratch = cw_allocate(count, sizeof *scratch);
    double low = INFINITY, high = -INFINITY;
    bool made;

    m->sample = cw_allocate(count, sizeof *m->sample);
    made = t != NULL && scratch != NULL && m->sample != NULL;
    if (made) {
        cw_heat_node_temperatures(m->figure->heat, t);
        sample_all(m, mesh, t);
        for (size_t i = 0; i < count; i++) {
            low = fmin(low, m->sample[i]); /* fmin passes over NAN */
            high = fmax(high, m->sample[i]);
        }
        spread(m, scratch);
        m->level = cw_ticks_choose(low, high, MOST_LEVELS, false);
    }
    cw_free(t);
    cw_free(scratch);
    return made;
}

/* ---- bands ----------------------------------------------------------------------------------------------------- */

static double corner(const map *m, int column, int row, int k)
{
    static const int step[4][2] = { { 0, 0 }, { 1, 0 }, { 1, 1 }, { 0, 1 } };

    return m->sample[(row + step[k][1]) * m->columns + column + step[k][0]];
}

static void corner_place(const map *m, int column, int row, int k, double xy[2])
{
    xy[0] = sample_x(m, column + (k == 1 || k == 2));
    xy[1] = sample_y(m, row + (k >= 2));
}

/* Where the level crosses side k of a cell. */
static void side_place(const map *m, int column, int row, int k, double level, double xy[2])
{
    double from[2], to[2], a = corner(m, column, row, k), b = corner(m, column, row, (k + 1) % 4);

    corner_place(m, column, row, k, from);
    corner_place(m, column, row, (k + 1) % 4, to);
    for (int i = 0; i < 2; i++)
        xy[i] = from[i] + (to[i] - from[i]) * (level - a) / (b - a);
}

/* Corners of a cell that reach the level; -1 where any of them is not known. */
static int reached(const map *m, int column, int row, double level)
{
    int count = 0;

    for (int k = 0; k < 4; k++) {
        const double value = corner(m, column, row, k);

        if (isnan(value))
            return -1;
        count += value >= level;
    }
    return count;
}

static void add_part_of_cell(cairo_t *cairo, const map *m, int sign, int column, int row, double level)
{
    bool begun = false;
    double xy[2];

    for (int k = 0; k < 4; k++) {
        const bool in = corner(m, column, row, k) >= level, next = corner(m, column, row, (k + 1) % 4) >= level;

        for (int point = 0; point < 2; point++) {
            if (point == 0 ? !in : in == next)
                continue;
            if (point == 0)
                corner_place(m, column, row, k, xy);
            else
                side_place(m, column, row, k, level, xy);
            (begun ? cairo_line_to : cairo_move_to)(cairo, paper_x(m, sign * xy[0]), paper_y(m, xy[1]));
            begun = true;
        }
    }
    cairo_close_path(cairo);
}

/* Runs of whole cells as one rectangle with a hair of overlap, lest the colour below shine through. */
static void fill_above(cairo_t *cairo, const map *m, int sign, double level)
{
    for (int row = 0; row + 1 < m->rows; row++)
        for (int column = 0, end; column + 1 < m->columns; column = end) {
            const int count = reached(m, column, row, level);

            end = column + 1;
            if (count == 4) {
                while (end + 1 < m->columns && reached(m, end, row, level) == 4)
                    end++;
                const double x0 = paper_x(m, sign * sample_x(m, column)), x1 = paper_x(m, sign * sample_x(m, end));
                const double y0 = paper_y(m, sample_y(m, row)), y1 = paper_y(m, sample_y(m, row + 1));

                cairo_rectangle(cairo, fmin(x0, x1) - 0.02, y0 - 0.02, fabs(x1 - x0) + 0.04, y1 - y0 + 0.04);
            } else if (count > 0) {
                add_part_of_cell(cairo, m, sign, column, row, level);
            }
        }
    cairo_fill(cairo);
}

static void add_isotherm(cairo_t *cairo, const map *m, int sign, double level)
{
    for (int row = 0; row + 1 < m->rows; row++)
        for (int column = 0; column + 1 < m->columns; column++) {
            const int count = reached(m, column, row, level);
            int found = 0;

            if (count <= 0 || count == 4)
                continue;
            for (int k = 0; k < 4; k++) {
                double xy[2];

                if ((corner(m, column, row, k) >= level) == (corner(m, column, row, (k + 1) % 4) >= level))
                    continue;
                side_place(m, column, row, k, level, xy);
                (found++ % 2 == 0 ? cairo_move_to : cairo_line_to)(cairo, paper_x(m, sign * xy[0]), paper_y(m, xy[1]));
            }
        }
}

static int bands(const map *m)
{
    return m->level.count + 1;
}

static void band_colour(cairo_t *cairo, const map *m, int band)
{
    double rgb[3];

    cw_draw__scale_rgb(bands(m) > 1 ? (double)band / (bands(m) - 1) : 0, rgb);
    cairo_set_source_rgb(cairo, rgb[0], rgb[1], rgb[2]);
}

static void add_rooms(cairo_t *cairo, const map *m, int sign)
{
    const rooms *r = &m->rooms;

    for (int i = 0; i + 1 < r->count[0]; i++)
        for (int j = 0; j + 1 < r->count[1]; j++) {
            const double x0 = paper_x(m, sign * r->at[0][i]), x1 = paper_x(m, sign * r->at[0][i + 1]);
            const double y0 = paper_y(m, r->at[1][j + 1]);

            if (r->part[i][j] >= 0)
                cairo_rectangle(cairo, fmin(x0, x1), y0, fabs(x1 - x0), paper_y(m, r->at[1][j]) - y0);
        }
}

static void draw_bands(cw_canvas *canvas, const map *m)
{
    cairo_t *cairo = canvas->cairo;

    if (canvas->muted)
        return;
    cairo_save(cairo);
    add_rooms(cairo, m, 1);
    if (m->mirrored)
        add_rooms(cairo, m, -1);
    cairo_clip(cairo);
    for (int band = 0; band < bands(m); band++)
        for (int sign = 1; sign >= (m->mirrored ? -1 : 1); sign -= 2) {
            band_colour(cairo, m, band);
            fill_above(cairo, m, sign, band == 0 ? -INFINITY : cw_ticks_value(&m->level, band - 1));
        }
    for (int k = 0; k < m->level.count && cw_draw__pen(canvas, (cw_pen){ CW_BLACK, 0.13, CW_SOLID }); k++) {
        add_isotherm(cairo, m, 1, cw_ticks_value(&m->level, k));
        if (m->mirrored)
            add_isotherm(cairo, m, -1, cw_ticks_value(&m->level, k));
        cairo_stroke(cairo);
    }
    cairo_restore(cairo);
}

/* ---- outlines and marks ------------------------------------------------------------------------------------------ */

static bool winds(const map *m, int part)
{
    return part >= 0 && m->section->part[part].winding;
}

/* Part on both sides of a piece of an edge; -1 outside. axis 0: an upright edge. */
static void beside(const map *m, int axis, int edge, int piece, int side[2])
{
    for (int s = 0; s < 2; s++) {
        const int cell = edge - 1 + s;

        side[s] = cell < 0 || cell + 1 >= m->rooms.count[axis] ? -1
                  : axis == 0                                  ? m->rooms.part[cell][piece]
                                                               : m->rooms.part[piece][cell];
    }
}

static void draw_edges(cw_canvas *canvas, const map *m, int axis, int sign)
{
    const cw_pen thin = { CW_GREY, 0.18, CW_SOLID }, strong = { CW_BLACK, 0.35, CW_SOLID };
    const double *across = m->rooms.at[axis], *along = m->rooms.at[1 - axis];

    for (int edge = 0; edge < m->rooms.count[axis]; edge++)
        for (int piece = 0; piece + 1 < m->rooms.count[1 - axis]; piece++) {
            int side[2];

            beside(m, axis, edge, piece, side);
            if (side[0] == side[1] || (m->mirrored && axis == 0 && across[edge] == 0))
                continue;
            const cw_pen pen = winds(m, side[0]) || winds(m, side[1]) || side[0] < 0 || side[1] < 0 ? strong : thin;

            if (axis == 0)
                cw_canvas_line(canvas, pen, paper_x(m, sign * across[edge]), paper_y(m, along[piece]),
                               paper_x(m, sign * across[edge]), paper_y(m, along[piece + 1]));
            else
                cw_canvas_line(canvas, pen, paper_x(m, sign * along[piece]), paper_y(m, across[edge]),
                               paper_x(m, sign * along[piece + 1]), paper_y(m, across[edge]));
        }
}

static void draw_outlines(cw_canvas *canvas, const map *m)
{
    for (int sign = 1; sign >= (m->mirrored ? -1 : 1); sign -= 2)
        for (int axis = 0; axis < 2; axis++)
            draw_edges(canvas, m, axis, sign);
    if (m->mirrored)
        cw_canvas_line(canvas, (cw_pen){ CW_GREY, 0.13, CW_CHAIN }, paper_x(m, 0), m->top - 2, paper_x(m, 0),
                       paper_y(m, m->low[1]) + 2);
}

static void format_temperature(const map *m, double c, char *text, size_t size)
{
    cw_quantity_format_in(CW_TEMPERATURE, c, m->unit, 0, text, size);
}

static void draw_hot_spot(cw_canvas *canvas, cw_box box, const map *m)
{
    const cw_type type = { LABEL_PT, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_CENTRE };
    double place_m[2], x, y, width, label_x, label_y;
    char value[40], text[64];

    format_temperature(m, cw_heat_hottest_winding_c(m->figure->heat, place_m), value, sizeof value);
    snprintf(text, sizeof text, "hot spot %s", value);
    x = paper_x(m, place_m[0]);
    y = paper_y(m, place_m[1]);
    width = cw_canvas_text_width(canvas, type, text) + 3;
    label_x = fmin(fmax(x, box.x + 0.5 * width), box.x + box.width - LEGEND_MM - 0.5 * width);
    label_y = y - 9 > box.y ? y - 9 : y + 4;
    cw_canvas_circle(canvas, (cw_pen){ CW_BLACK, 0.35, CW_SOLID }, CW_WHITE, x, y, 2.4);
    cw_canvas_circle(canvas, (cw_pen){ CW_BLACK, 0.18, CW_SOLID }, CW_BLACK, x, y, 0.8);
    cw_canvas_line(canvas, (cw_pen){ CW_WHITE, 0.5, CW_SOLID }, x, label_y < y ? y - 1.2 : y + 1.2, x,
                   label_y < y ? label_y + 5 : label_y);
    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.18, CW_SOLID }, CW_WHITE,
                        (cw_box){ label_x - 0.5 * width, label_y, width, 5 }, 1);
    cw_canvas_write(canvas, type, label_x, label_y + 3.6, text);
}

/* A round length of at most a third of the section. */
static void draw_scale_bar(cw_canvas *canvas, cw_box box, const map *m)
{
    const cw_type type = { LABEL_PT, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT };
    const cw_pen pen = { CW_BLACK, 0.35, CW_SOLID };
    const char *const unit = m->figure->units == CW_INCH_UNITS ? "in" : "mm";
    const double one = m->figure->units == CW_INCH_UNITS ? 0.0254 : 1e-3, most = shown_width(m) / 3 / one;
    const double power = pow(10, floor(log10(most)));
    const double length = (most >= 5 * power ? 5 : most >= 2 * power ? 2 : 1) * power;
    const double x = box.x + 1, y = box.y + box.height - 1.5, end = x + m->scale * length * one;
    char text[40];

    snprintf(text, sizeof text, "%g %s%s%s", length, unit, m->figure->moment != NULL ? "; " : "",
             m->figure->moment != NULL ? m->figure->moment : "");
    cw_canvas_line(canvas, pen, x, y, end, y);
    cw_canvas_line(canvas, pen, x, y - 1, x, y + 1);
    cw_canvas_line(canvas, pen, end, y - 1, end, y + 1);
    cw_canvas_write(canvas, type, end + 2, y + 1, text);
}

/* ---- legend ------------------------------------------------------------------------------------------------------ */

static double draw_scale(cw_canvas *canvas, const map *m, double x, double y, double height)
{
    const cw_type type = { LABEL_PT, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const double step = fmin(6, (height - 4) / bands(m));
    char text[40];

    cw_canvas_write(canvas, type, x, y + 2.6, m->unit);
    y += 4;
    for (int band = bands(m) - 1; band >= 0; band--) {
        const double top = y + step * (bands(m) - 1 - band);

        if (!canvas->muted) {
            band_colour(canvas->cairo, m, band);
            cairo_rectangle(canvas->cairo, x, top, 6, step + 0.02);
            cairo_fill(canvas->cairo);
        }
        cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.13, CW_SOLID }, CW_NO_INK, (cw_box){ x, top, 6, step }, 0);
        if (band == 0)
            continue;
        cw_ticks_label(&m->level, band - 1, text, sizeof text);
        cw_canvas_write(canvas, type, x + 7.5, top + step + 1, text);
    }
    return 4 + step * bands(m);
}

/* Parts of one name, each leg's winding say, are one row. */
static int rows_of(const cw_heat_map_figure *figure, const cw_heat_part_result *row[CW_MOST_HEAT_PARTS])
{
    int count = 0;

    for (int p = figure->part_count - 1; p >= 0; p--) { /* the winding first */
        const cw_heat_part_result *part = &figure->part[p];
        int r = 0;

        while (r < count && strcmp(row[r]->name, part->name) != 0)
            r++;
        if (isnan(part->most_c) || (r < count && row[r]->most_c >= part->most_c))
            continue;
        row[r] = part;
        count = r == count ? count + 1 : count;
    }
    return count;
}

static void draw_parts(cw_canvas *canvas, const map *m, double x, double y)
{
    const cw_heat_part_result *row[CW_MOST_HEAT_PARTS];
    const int count = rows_of(m->figure, row);
    const double right = x + LEGEND_MM - 1;
    cw_type type = { LABEL_PT, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT };
    char text[40];

    if (count == 0)
        return;
    cw_canvas_write(canvas, type, x, y, "greatest");
    type.align = CW_ALIGN_RIGHT;
    cw_canvas_write(canvas, type, right, y, "limit");
    for (int r = 0; r < count; r++) {
        const bool over = row[r]->most_c > row[r]->limit_c;
        const double at = y + ROW_MM * (r + 1);

        type = (cw_type){ LABEL_PT, over ? CW_BOLD : CW_REGULAR, over ? CW_RED : CW_BLACK, CW_ALIGN_LEFT };
        cw_canvas_write_within(canvas, type, x, at, LEGEND_MM - 27, row[r]->name);
        type.align = CW_ALIGN_RIGHT;
        format_temperature(m, row[r]->most_c, text, sizeof text);
        cw_canvas_write(canvas, type, right - 13, at, text);
        if (isnan(row[r]->limit_c))
            continue;
        format_temperature(m, row[r]->limit_c, text, sizeof text);
        cw_canvas_write(canvas, type, right, at, text);
    }
}

static void draw_legend(cw_canvas *canvas, cw_box box, const map *m)
{
    const cw_heat_part_result *row[CW_MOST_HEAT_PARTS];
    const int count = rows_of(m->figure, row);
    const double x = box.x + box.width - LEGEND_MM, list = count > 0 ? ROW_MM * (count + 2) : 0;
    const double used = draw_scale(canvas, m, x, box.y, box.height - list);

    draw_parts(canvas, m, x, box.y + used + 2 * ROW_MM);
}

void cw_heat_map_draw(cw_canvas *canvas, cw_box box, const cw_heat_map_figure *figure)
{
    map *m = cw_allocate(1, sizeof *m);

    if (m == NULL) {
        canvas->no_memory = true;
        return;
    }
    frame(m, figure);
    place(m, box);
    if (take_samples(m)) {
        draw_bands(canvas, m);
        draw_outlines(canvas, m);
        draw_hot_spot(canvas, box, m);
        draw_scale_bar(canvas, box, m);
        draw_legend(canvas, box, m);
    } else {
        canvas->no_memory = true;
    }
    cw_free(m->sample);
    cw_free(m);
}

double cw_heat_map_height(const cw_heat_map_figure *figure, double width_mm)
{
    map *m = cw_allocate(1, sizeof *m);
    double height = 80;

    if (m == NULL)
        return height;
    frame(m, figure);
    height = fmin(150, fmax(70, 7 + (width_mm - LEGEND_MM - 4) * (m->high[1] - m->low[1]) / shown_width(m)));
    cw_free(m);
    return height;
}

static void draw_map(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_heat_map_draw(canvas, box, figure);
}

cw_status cw_heat_map_write(const cw_heat_map_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_map, figure, paper, 160, cw_heat_map_height(figure, 156) + 4, out, error);
}
