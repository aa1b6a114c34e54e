/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Curves of switching on and off. Two frames one above the other share their axis of time. */
#include "coilwright/switch_figure.h"

#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST_CURVES = CW_SUPPRESSOR_COUNT + 2 };

#define LEGEND_ROW_MM 5.0
#define LABELS_MM 9.0 /* for both frames, so that their axes of time lie below each other */
#define LEAST_V 0.1 /* less than a diode's drop says nothing about insulation */

typedef enum what { CURRENT, VOLTAGE, FORCE, SHARE } what;

/* Curves of one frame with their numbers in the shown units. */
typedef struct frame {
    cw_curve curve[MOST_CURVES];
    int count;
    double *block; /* shape [2][room]; owned */
    size_t used, room;
    const char *time_unit, *unit;
    double from;   /* seconds: earlier points are left out */
} frame;

static bool frame_begin(frame *f, size_t room, const char *time_unit, const char *unit, double from)
{
    *f = (frame){ .block = cw_allocate(2 * room, sizeof *f->block), .room = room, .time_unit = time_unit, .unit = unit,
                  .from = from };
    return f->block != NULL;
}

static double value_of(const frame *f, const cw_switch_point *point, what what, double whole)
{
    switch (what) {
    case CURRENT: return cw_quantity_in(CW_CURRENT, point->current_a, f->unit);
    case FORCE: return cw_quantity_in(CW_FORCE, point->force_n, f->unit);
    case VOLTAGE: return fabs(point->voltage_v) > LEAST_V ? fabs(point->voltage_v) : NAN;
    case SHARE: break;
    }
    return 100 * point->current_a / whole;
}

/* What was before the first moment stands at it. `peaks`: of a curve that swings only its greatest values either way. */
static void add_curve(frame *f, const char *name, cw_pen pen, const cw_switch_point *points, size_t count, what what,
                      bool peaks)
{
    const double whole = count > 0 ? points[0].current_a : 1;
    double *x = f->block + f->used, *y = x + f->room;
    size_t kept = 0;

    for (size_t i = 0; i < count; i++) {
        const double value = fabs(value_of(f, &points[i], what, whole));

        if (peaks && i > 0 && i + 1 < count && !(value >= fabs(value_of(f, &points[i - 1], what, whole)) &&
                                                 value >= fabs(value_of(f, &points[i + 1], what, whole))))
            continue;
        if (kept == 1 && points[i].time_s < f->from)
            kept = 0;
        x[kept] = cw_quantity_in(CW_TIME, fmax(f->from, points[i].time_s), f->time_unit);
        y[kept++] = value;
    }
    f->curve[f->count++] = (cw_curve){ name, x, y, kept, pen, false };
    f->used += kept;
}

/* A level from the first to the last moment; nothing where it is not known. */
static void add_level(frame *f, const char *name, double value, double last_s)
{
    double *x = f->block + f->used, *y = x + f->room;

    if (!isfinite(value))
        return;
    x[0] = cw_quantity_in(CW_TIME, f->from, f->time_unit);
    x[1] = cw_quantity_in(CW_TIME, last_s, f->time_unit);
    y[0] = y[1] = value;
    f->curve[f->count++] = (cw_curve){ name, x, y, 2, { CW_RED, 0.35, CW_DASHED }, false };
    f->used += 2;
}

/* ---- on -------------------------------------------------------------------------------------------------------- */

static double end_of(const cw_switch_on *on)
{
    return on->count > 0 ? on->curve[on->count - 1].time_s : 0;
}

static bool has_pull(const cw_switch_figure *figure)
{
    return isfinite(figure->study->cold.force_mean_n);
}

static bool is_ac(const cw_switch_figure *figure)
{
    return figure->study->inrush_ratio != 1;
}

static const char *on_unit(const cw_switch_figure *figure, what what)
{
    if (what == CURRENT)
        return figure->study->cold.peak_current_a < 0.5 ? "mA" : "A";
    return figure->units == CW_INCH_UNITS ? "lbf" : "N";
}

static void draw_on(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure, what what)
{
    const cw_switch_study *s = figure->study;
    const double last = fmax(end_of(&s->cold), fmax(end_of(&s->hot), is_ac(figure) ? end_of(&s->closed) : 0));
    const char *const time = last < 2 ? "ms" : "s", *const unit = on_unit(figure, what);
    const double needed_a = isfinite(s->cold.needed_current_a) ? s->cold.needed_current_a : NAN;
    char x_title[32], y_title[32];
    frame f;

    if (!frame_begin(&f, s->cold.count + s->hot.count + s->closed.count + 2, time, unit, 0)) {
        canvas->no_memory = true;
        return;
    }
    add_curve(&f, is_ac(figure) ? "open, cold" : "cold", (cw_pen){ CW_BLACK, 0.5, CW_SOLID }, s->cold.curve, s->cold.count,
              what, false);
    add_curve(&f, is_ac(figure) ? "open, warm" : "warm", (cw_pen){ CW_BLUE, 0.5, CW_SOLID }, s->hot.curve, s->hot.count,
              what, false);
    if (is_ac(figure))
        add_curve(&f, "closed", (cw_pen){ CW_ORANGE, 0.5, CW_SOLID }, s->closed.curve, s->closed.count, what,
                  false);
    if (what == CURRENT)
        add_level(&f, "needed to pull", cw_quantity_in(CW_CURRENT, needed_a, unit), last);
    else
        add_level(&f, "needed pull", cw_quantity_in(CW_FORCE, figure->pull_needed_n, unit), last);
    snprintf(x_title, sizeof x_title, "time, %s", time);
    snprintf(y_title, sizeof y_title, what == CURRENT ? "current, %s" : "pull, %s", unit);
    cw_plot_draw(canvas, box, &(cw_plot){ .x_title = x_title, .y_title = y_title, .curves = f.curve,
                                          .curve_count = (size_t)f.count, .y_label_mm = LABELS_MM });
    cw_free(f.block);
}

void cw_switch_on_draw(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure)
{
    const double height = has_pull(figure) ? 0.5 * box.height : box.height;

    draw_on(canvas, (cw_box){ box.x, box.y, box.width, height }, figure, CURRENT);
    if (has_pull(figure))
        draw_on(canvas, (cw_box){ box.x, box.y + height, box.width, height }, figure, FORCE);
}

double cw_switch_on_height(const cw_switch_figure *figure)
{
    return has_pull(figure) ? 120 : 70;
}

static void draw_on_figure(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_switch_on_draw(canvas, box, figure);
}

cw_status cw_switch_on_write(const cw_switch_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_on_figure, figure, paper, 160, cw_switch_on_height(figure), out, error);
}

/* ---- off ------------------------------------------------------------------------------------------------------- */

static const cw_pen part_pen[CW_SUPPRESSOR_COUNT] = {
    [CW_SUPPRESS_NONE] = { CW_GREY, 0.25, CW_DOTTED },     [CW_SUPPRESS_RESISTOR] = { CW_ORANGE, 0.5, CW_DASHED },
    [CW_SUPPRESS_DIODE] = { CW_BLACK, 0.5, CW_SOLID },     [CW_SUPPRESS_DIODE_RESISTOR] = { CW_BLACK, 0.35, CW_DASHED },
    [CW_SUPPRESS_ZENER] = { CW_BLUE, 0.5, CW_SOLID },      [CW_SUPPRESS_VARISTOR] = { CW_ORANGE, 0.5, CW_SOLID },
    [CW_SUPPRESS_RC] = { CW_BLUE, 0.35, CW_DOTTED },
};

/* The decade in which the quickest part has done a tenth of its work is where the figure begins. */
static double first_moment(const cw_switch_study *s)
{
    double quickest = INFINITY;

    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++)
        if (s->applies[kind] && s->each[kind].time_to_end_s > 0)
            quickest = fmin(quickest, s->each[kind].time_to_end_s);
    return isfinite(quickest) ? pow(10, floor(log10(0.1 * quickest))) : 1e-4;
}

static void draw_off(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure, what what)
{
    const cw_switch_study *s = figure->study;
    double last = 0;
    size_t room = 2;
    frame f;

    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++) {
        room += s->applies[kind] ? s->each[kind].count : 0;
        if (s->applies[kind] && s->each[kind].count > 0)
            last = fmax(last, s->each[kind].curve[s->each[kind].count - 1].time_s);
    }
    if (!frame_begin(&f, room, "ms", "V", first_moment(s))) {
        canvas->no_memory = true;
        return;
    }
    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++)
        if (s->applies[kind])
            add_curve(&f, NULL, part_pen[kind], s->each[kind].curve, s->each[kind].count, what,
                      kind == CW_SUPPRESS_RC);
    if (what == VOLTAGE)
        add_level(&f, NULL, s->off.insulation_test_v, last);
    else
        add_level(&f, NULL, 100 * s->off.release_current_a / s->closed.current_max_a, last);
    cw_plot_draw(canvas, box, &(cw_plot){ .x_title = what == VOLTAGE ? "time after switch-off, ms" : NULL,
                                          .y_title = what == VOLTAGE ? "volts across the coil" : "current, %",
                                          .curves = f.curve, .curve_count = (size_t)f.count, .x_decades = true,
                                          .y_decades = what == VOLTAGE, .y_label_mm = LABELS_MM });
    cw_free(f.block);
}

/* In rows as long as the width allows. */
static double off_legend(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure)
{
    const cw_type type = { 8.5, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const bool lets_go = isfinite(figure->study->off.release_current_a);
    double x = box.x, y = box.y + 3.4;

    for (int k = 0; k <= CW_SUPPRESSOR_COUNT; k++) {
        const bool line = k == CW_SUPPRESSOR_COUNT;
        const char *name = k == CW_SUPPRESS_RC ? "RC, its swings' peaks"
                           : !line   ? cw_suppressor_name((cw_suppressor_kind)k)
                           : lets_go ? "lets go below; tested up to" : "tested up to";
        const double width = 9.5 + cw_canvas_text_width(canvas, type, name) + 5;

        if (!line && !figure->study->applies[k])
            continue;
        if (x + width > box.x + box.width + 5 && x > box.x) {
            x = box.x;
            y += LEGEND_ROW_MM;
        }
        cw_canvas_line(canvas, line ? (cw_pen){ CW_RED, 0.35, CW_DASHED } : part_pen[k], x, y - 1, x + 8, y - 1);
        cw_canvas_write(canvas, type, x + 9.5, y, name);
        x += width;
    }
    return y + 1.6 - box.y;
}

void cw_switch_off_draw(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure)
{
    const double used = off_legend(canvas, box, figure), height = 0.5 * (box.height - used);

    draw_off(canvas, (cw_box){ box.x, box.y + used, box.width, height }, figure, SHARE);
    draw_off(canvas, (cw_box){ box.x, box.y + used + height, box.width, height }, figure, VOLTAGE);
}

static void draw_off_figure(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_switch_off_draw(canvas, box, figure);
}

cw_status cw_switch_off_write(const cw_switch_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_off_figure, figure, paper, 160, 125, out, error);
}
