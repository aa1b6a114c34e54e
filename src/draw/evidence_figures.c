/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the coil may have been, and each reading against what that answer expects. */
#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>

#define ROW_MM 6.5
#define READING_ROW_MM 9.0
#define AXIS_MM 15.0
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
    return READING_ROW_MM * (double)figure->count + AXIS_MM;
}

typedef struct z_axis {
    double left, right, top, bottom;
} z_axis;

static double z_place(const z_axis *axis, double z)
{
    return axis->left + (z + Z_MOST) / (2 * Z_MOST) * (axis->right - axis->left);
}

static void draw_z_axis(cw_canvas *canvas, const z_axis *axis)
{
    const cw_type type = { 8.5, CW_REGULAR, CW_BLACK, CW_ALIGN_CENTRE };
    cw_type note = { 8, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT };
    double usual = z_place(axis, Z_USUAL) - z_place(axis, -Z_USUAL);
    char label[8];

    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_SHADE,
                        (cw_box){ z_place(axis, -Z_USUAL), axis->top, usual, axis->bottom - axis->top }, 0);
    for (int z = -(int)Z_MOST; z <= (int)Z_MOST; z += 2) {
        cw_canvas_line(canvas, (cw_pen){ z == 0 ? CW_BLACK : CW_RULE, z == 0 ? 0.35 : 0.18, CW_SOLID },
                       z_place(axis, z), axis->top, z_place(axis, z), axis->bottom + 1);
        snprintf(label, sizeof label, "%s%d", z < 0 ? "\xE2\x88\x92" : z > 0 ? "+" : "", z < 0 ? -z : z);
        cw_canvas_write(canvas, type, z_place(axis, z), axis->bottom + 4.6, label);
    }
    note.align = CW_ALIGN_LEFT;
    cw_canvas_write(canvas, note, axis->left, axis->bottom + 8.8, "reads less than expected");
    note.align = CW_ALIGN_RIGHT;
    cw_canvas_write(canvas, note, axis->right, axis->bottom + 8.8, "reads more");
    note.align = CW_ALIGN_CENTRE;
    cw_canvas_write(canvas, note, (axis->left + axis->right) / 2, axis->bottom + 13,
                    "standard deviations; 95 % of sound readings lie in the grey band");
}

/* A dot for a reading that fits, an open red diamond for one that is doubted, an arrow where it is off the scale. */
static void draw_z(cw_canvas *canvas, const z_axis *axis, double y, const cw_reading_mark *mark)
{
    double at;

    if (!isfinite(mark->z))
        return;
    at = z_place(axis, fmax(-Z_MOST, fmin(Z_MOST, mark->z)));
    cw_canvas_line(canvas, (cw_pen){ mark->doubted ? CW_RED : CW_BLUE, 0.5, CW_SOLID }, z_place(axis, 0), y, at, y);
    if (fabs(mark->z) > Z_MOST) {
        double way = mark->z < 0 ? -1 : 1;

        cw_canvas_arrow(canvas, (cw_pen){ mark->doubted ? CW_RED : CW_BLUE, 0.5, CW_SOLID }, at - 6 * way, y,
                        at + 1.5 * way, y, 3);
    } else if (mark->doubted) {
        const double diamond[8] = { at - 1.5, y, at, y - 1.5, at + 1.5, y, at, y + 1.5 };

        cw_canvas_polygon(canvas, (cw_pen){ CW_RED, 0.5, CW_SOLID }, CW_WHITE, diamond, 4);
    } else {
        cw_canvas_circle(canvas, (cw_pen){ 0 }, CW_BLUE, at, y, 2.2);
    }
}

static void draw_reading(cw_canvas *canvas, cw_box box, const z_axis *axis, const cw_reading_mark *mark)
{
    double middle = box.y + box.height / 2, width = axis->left - box.x - 4;
    char line[256];

    cw_canvas_line(canvas, (cw_pen){ CW_RULE, 0.13, CW_SOLID }, box.x, box.y + box.height, axis->right,
                   box.y + box.height);
    cw_canvas_write_within(canvas, (cw_type){ 9, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_LEFT }, box.x, middle - 0.4, width,
                           mark->name);
    snprintf(line, sizeof line, "%s%s%s", mark->value != NULL ? mark->value : "",
             mark->expected != NULL ? "; expected " : "", mark->expected != NULL ? mark->expected : "");
    cw_canvas_write_within(canvas, (cw_type){ 8.5, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT }, box.x, middle + 3.4, width,
                           line);
    draw_z(canvas, axis, middle, mark);
    if (isfinite(mark->z)) {
        snprintf(line, sizeof line, "%s%.1f%s", mark->z < 0 ? "\xE2\x88\x92" : "+", fabs(mark->z),
                 mark->doubted ? "  doubtful" : "");
        cw_canvas_write(canvas, (cw_type){ 9, mark->doubted ? CW_SEMIBOLD : CW_REGULAR,
                                           mark->doubted ? CW_RED : CW_BLACK, CW_ALIGN_LEFT },
                        axis->right + 3, middle + 1.1, line);
    }
}

void cw_readings_draw(cw_canvas *canvas, cw_box box, const cw_readings_figure *figure)
{
    double row = READING_ROW_MM;
    z_axis axis = { box.x + 0.42 * box.width, box.x + box.width - 28, box.y, box.y + box.height - AXIS_MM };

    if (figure->count > 0)
        row = fmin(row, (box.height - AXIS_MM) / (double)figure->count);
    axis.bottom = box.y + row * (double)figure->count;
    draw_z_axis(canvas, &axis);
    for (size_t i = 0; i < figure->count; i++)
        draw_reading(canvas, (cw_box){ box.x, box.y + row * (double)i, box.width, row }, &axis, &figure->marks[i]);
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
