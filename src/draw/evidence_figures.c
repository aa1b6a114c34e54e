/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the coil may have been, and each reading against what that answer expects. */
#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>

#define ROW_MM 6.5
#define HEAD_MM 5.2
#define READING_ROW_MM 6.2
#define AXIS_MM 9.0
#define Z_MOST 4.0       /* the scale's ends; beyond them an arrow points on */
#define Z_USUAL 1.96     /* 95 % of readings lie within, as doubts are stated */

double cw_candidates_height(const cw_candidates_figure *figure)
{
    return ROW_MM * (double)figure->count;
}

void cw_candidates_draw(cw_canvas *canvas, cw_box box, const cw_candidates_figure *figure)
{
    const cw_type name = { 9, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    double row = fmin(ROW_MM, figure->count > 0 ? box.height / (double)figure->count : ROW_MM), high = 0.55 * row;
    double left = box.x, widest = 0, room;

    for (size_t i = 0; i < figure->count; i++)
        widest = fmax(widest, cw_canvas_text_width(canvas, name, figure->names[i]));
    widest = fmin(widest, 0.5 * box.width);
    left += widest + 3;
    room = box.x + box.width - left - 14;
    for (size_t i = 0; i < figure->count; i++) {
        double middle = box.y + row * ((double)i + 0.5), share = fmin(1, fmax(0, figure->probabilities[i]));
        char percent[24];

        cw_draw__percent(share, percent, sizeof percent);
        cw_canvas_write_within(canvas, name, box.x, middle + 1.1, widest + 0.5, figure->names[i]);
        cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_SHADE, (cw_box){ left, middle - high / 2, room, high }, 0);
        cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_BLUE, (cw_box){ left, middle - high / 2, room * share, high }, 0);
        cw_canvas_write(canvas, (cw_type){ 9, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_RIGHT }, box.x + box.width, middle + 1.1,
                        percent);
    }
}

/* ---- readings ------------------------------------------------------------------------------------------------- */

double cw_readings_height(const cw_readings_figure *figure)
{
    return HEAD_MM + READING_ROW_MM * (double)figure->count + AXIS_MM;
}

/* Left edges of the columns. */
typedef struct reading_columns {
    double name, value, expected, left, right; /* left and right: of the z axis */
} reading_columns;

static reading_columns columns_of(cw_box box)
{
    double unit = box.width / 100;

    return (reading_columns){ box.x + 1.2, box.x + 24 * unit, box.x + 51 * unit, box.x + 63 * unit, box.x + 87 * unit };
}

static double z_place(const reading_columns *at, double z)
{
    return at->left + (z + Z_MOST) / (2 * Z_MOST) * (at->right - at->left);
}

/* The band in which sound readings lie, the scale below and the column headings above. */
static void draw_z_axis(cw_canvas *canvas, const reading_columns *at, double top, double bottom)
{
    const cw_type figures = { 8, CW_REGULAR, CW_BLACK, CW_ALIGN_CENTRE };
    const cw_type note = { 8, CW_REGULAR, CW_GREY, CW_ALIGN_CENTRE };
    double usual = z_place(at, Z_USUAL) - z_place(at, -Z_USUAL);
    char label[8];

    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_SHADE,
                        (cw_box){ z_place(at, -Z_USUAL), top, usual, bottom - top }, 0);
    for (int z = -(int)Z_MOST; z <= (int)Z_MOST; z += 2) {
        cw_canvas_line(canvas, (cw_pen){ z == 0 ? CW_BLACK : CW_RULE, z == 0 ? 0.35 : 0.18, CW_SOLID }, z_place(at, z),
                       top, z_place(at, z), bottom + 0.8);
        snprintf(label, sizeof label, "%s%d", z < 0 ? "\xE2\x88\x92" : z > 0 ? "+" : "", z < 0 ? -z : z);
        cw_canvas_write(canvas, figures, z_place(at, z), bottom + 4, label);
    }
    cw_canvas_write(canvas, note, z_place(at, 0), bottom + 7.8,
                    "standard deviations; 95 % of sound readings: grey band");
}

static void draw_reading_heads(cw_canvas *canvas, const reading_columns *at, cw_box box)
{
    const cw_type head = { 8, CW_SEMIBOLD, CW_GREY, CW_ALIGN_LEFT };
    const cw_type to_zero = { 8, CW_SEMIBOLD, CW_GREY, CW_ALIGN_RIGHT };
    double baseline = box.y + HEAD_MM - 1.7, rule = box.y + HEAD_MM;

    cw_canvas_write(canvas, head, at->name, baseline, "reading");
    cw_canvas_write(canvas, head, at->value, baseline, "read");
    cw_canvas_write(canvas, head, at->expected, baseline, "expected");
    cw_canvas_write(canvas, to_zero, z_place(at, 0) - 1.5, baseline, "reads less");
    cw_canvas_write(canvas, head, z_place(at, 0) + 1.5, baseline, "reads more");
    cw_canvas_line(canvas, (cw_pen){ CW_BLACK, 0.35, CW_SOLID }, box.x, rule, box.x + box.width, rule);
}

/* A dot for a reading that fits, an open red diamond for one that is doubted, an arrow where it is off the scale. */
static void draw_z(cw_canvas *canvas, const reading_columns *at, double y, const cw_reading_mark *mark)
{
    const cw_pen pen = { mark->doubted ? CW_RED : CW_BLUE, 0.5, CW_SOLID };
    double x = z_place(at, fmax(-Z_MOST, fmin(Z_MOST, mark->z))), way = mark->z < 0 ? -1 : 1;
    const double diamond[8] = { x - 1.4, y, x, y - 1.4, x + 1.4, y, x, y + 1.4 };

    cw_canvas_line(canvas, pen, z_place(at, 0), y, x, y);
    if (fabs(mark->z) > Z_MOST)
        cw_canvas_arrow(canvas, pen, x - 4 * way, y, x + 1.2 * way, y, 2.6);
    else if (mark->doubted)
        cw_canvas_polygon(canvas, (cw_pen){ CW_RED, 0.5, CW_SOLID }, CW_WHITE, diamond, 4);
    else
        cw_canvas_circle(canvas, (cw_pen){ 0 }, CW_BLUE, x, y, 2);
}

static void draw_reading(cw_canvas *canvas, cw_box row, const reading_columns *at, const cw_reading_mark *mark)
{
    double y = row.y + row.height / 2, baseline = y + 1.1, gap = 1.5;
    cw_type strong = { 9, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_LEFT }, type = { 9, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    char z[64];

    cw_canvas_line(canvas, (cw_pen){ CW_RULE, 0.18, CW_SOLID }, row.x, row.y + row.height, row.x + row.width,
                   row.y + row.height);
    cw_canvas_write_within(canvas, strong, at->name, baseline, at->value - at->name - gap, mark->name);
    if (mark->value != NULL)
        cw_canvas_write_within(canvas, type, at->value, baseline, at->expected - at->value - gap, mark->value);
    if (mark->expected != NULL)
        cw_canvas_write_within(canvas, type, at->expected, baseline, at->left - at->expected - gap, mark->expected);
    if (!isfinite(mark->z))
        return;
    draw_z(canvas, at, y, mark);
    snprintf(z, sizeof z, "%s%.1f%s", fabs(mark->z) < 0.05 ? "" : mark->z < 0 ? "\xE2\x88\x92" : "+", fabs(mark->z),
             mark->doubted ? " doubtful" : "");
    type.ink = strong.ink = mark->doubted ? CW_RED : CW_BLACK;
    cw_canvas_write(canvas, mark->doubted ? strong : type, at->right + 2.2, baseline, z);
}

void cw_readings_draw(cw_canvas *canvas, cw_box box, const cw_readings_figure *figure)
{
    reading_columns at = columns_of(box);
    double row = READING_ROW_MM, top = box.y + HEAD_MM;

    if (figure->count > 0)
        row = fmin(row, (box.height - HEAD_MM - AXIS_MM) / (double)figure->count);
    draw_z_axis(canvas, &at, top, top + row * (double)figure->count);
    draw_reading_heads(canvas, &at, box);
    for (size_t i = 0; i < figure->count; i++)
        draw_reading(canvas, (cw_box){ box.x, top + row * (double)i, box.width, row }, &at, &figure->marks[i]);
}

/* ---- files of their own --------------------------------------------------------------------------------------- */

static void draw_candidates(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_candidates_draw(canvas, box, figure);
}

static void draw_readings(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_readings_draw(canvas, box, figure);
}

cw_status cw_candidates_write(const cw_candidates_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_candidates, figure, paper, 140, cw_candidates_height(figure) + 4, out, error);
}

cw_status cw_readings_write(const cw_readings_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_readings, figure, paper, 180, cw_readings_height(figure) + 4, out, error);
}
