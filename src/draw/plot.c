/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Curves in a frame: axes with round steps, hairline grid, legend above. And the traverse, which is one such. */
#include "draw/draw_internal.h"

#include <math.h>
#include <string.h>

#define LABEL_PT 8.5
#define LEGEND_MM 5.0
#define CHARACTER_MM 1.0 /* cap height and a bit: labels sit this far below the middle of their tick */

static double shown(bool decades, double value)
{
    if (!decades)
        return value;
    return value > 0 ? log10(value) : NAN;
}

double cw_draw__place(const cw_draw__axis *a, double value)
{
    double span = a->ticks.step * (a->ticks.count - 1);

    return a->from_mm + (value - a->ticks.first) / span * (a->to_mm - a->from_mm);
}

static void tick_label(const cw_draw__axis *a, int index, char *label, size_t size)
{
    const double power = cw_ticks_value(&a->ticks, index);

    if (a->decades)
        cw_draw__number(pow(10, power), (int)fmax(0, -power), label, size);
    else
        cw_ticks_label(&a->ticks, index, label, size);
}

static void widen(double value, double *low, double *high)
{
    if (!isfinite(value))
        return;
    *low = fmin(*low, value);
    *high = fmax(*high, value);
}

static cw_ticks ticks_of(const cw_plot *plot, bool of_x, int most)
{
    const bool decades = of_x ? plot->x_decades : plot->y_decades;
    double low = HUGE_VAL, high = -HUGE_VAL;

    for (size_t c = 0; c < plot->curve_count; c++)
        for (size_t i = 0; i < plot->curves[c].count; i++)
            widen(shown(decades, of_x ? plot->curves[c].x[i] : plot->curves[c].y[i]), &low, &high);
    if (!(low <= high))
        low = 0, high = 1;
    if (decades) {
        low = floor(low + 1e-9);
        high = fmax(low + 1, ceil(high - 1e-9));
        return (cw_ticks){ low, 1, (int)(high - low) + 1, 0 };
    }
    return cw_ticks_choose(low, high, most, true);
}

static double widest_label(cw_canvas *canvas, const cw_draw__axis *a)
{
    cw_type type = { LABEL_PT, CW_REGULAR, CW_BLACK, CW_ALIGN_RIGHT };
    double widest = 0;
    char label[40];

    for (int i = 0; i < a->ticks.count; i++) {
        tick_label(a, i, label, sizeof label);
        widest = fmax(widest, cw_canvas_text_width(canvas, type, label));
    }
    return widest;
}

static void draw_x_axis(cw_canvas *canvas, const cw_draw__axis *x, const cw_draw__axis *y, const char *title)
{
    const cw_pen grid = { CW_RULE, 0.13, CW_SOLID };
    cw_type type = { LABEL_PT, CW_REGULAR, CW_BLACK, CW_ALIGN_CENTRE };
    char label[40];

    for (int i = 0; i < x->ticks.count; i++) {
        double at = cw_draw__place(x, cw_ticks_value(&x->ticks, i));

        cw_canvas_line(canvas, grid, at, y->from_mm, at, y->to_mm);
        tick_label(x, i, label, sizeof label);
        cw_canvas_write(canvas, type, at, y->from_mm + 4.2, label);
    }
    type.ink = CW_GREY;
    if (title != NULL)
        cw_canvas_write(canvas, type, (x->from_mm + x->to_mm) / 2, y->from_mm + 8.6, title);
}

static void draw_y_axis(cw_canvas *canvas, const cw_draw__axis *x, const cw_draw__axis *y, double title_x, const char *title)
{
    const cw_pen grid = { CW_RULE, 0.13, CW_SOLID };
    cw_type type = { LABEL_PT, CW_REGULAR, CW_BLACK, CW_ALIGN_RIGHT };
    char label[40];

    for (int i = 0; i < y->ticks.count; i++) {
        double at = cw_draw__place(y, cw_ticks_value(&y->ticks, i));

        cw_canvas_line(canvas, grid, x->from_mm, at, x->to_mm, at);
        tick_label(y, i, label, sizeof label);
        cw_canvas_write(canvas, type, x->from_mm - 1.4, at + CHARACTER_MM, label);
    }
    type.ink = CW_GREY;
    type.align = CW_ALIGN_CENTRE;
    if (title != NULL)
        cw_canvas_write_up(canvas, type, title_x, (y->from_mm + y->to_mm) / 2, title);
}

/* One curve, its pen lifted where y is no number. Runs of points go straight to Cairo. */
static void draw_curve(cw_canvas *canvas, const cw_draw__axis *x, const cw_draw__axis *y, const cw_curve *curve)
{
    bool down = false;

    if (!cw_draw__pen(canvas, curve->pen))
        return;
    cairo_set_line_cap(canvas->cairo, CAIRO_LINE_CAP_ROUND);
    for (size_t i = 0; i < curve->count; i++) {
        const double x_at = shown(x->decades, curve->x[i]), y_at = shown(y->decades, curve->y[i]);

        if (!isfinite(x_at) || !isfinite(y_at)) {
            down = false;
        } else if (down) {
            cairo_line_to(canvas->cairo, cw_draw__place(x, x_at), cw_draw__place(y, y_at));
        } else {
            cairo_move_to(canvas->cairo, cw_draw__place(x, x_at), cw_draw__place(y, y_at));
            down = true;
        }
    }
    cairo_stroke(canvas->cairo);
    for (size_t i = 0; curve->markers && i < curve->count; i++) {
        const double x_at = shown(x->decades, curve->x[i]), y_at = shown(y->decades, curve->y[i]);

        if (isfinite(x_at) && isfinite(y_at))
            cw_canvas_circle(canvas, curve->pen, CW_WHITE, cw_draw__place(x, x_at), cw_draw__place(y, y_at), 1.5);
    }
}

static bool has_legend(const cw_plot *plot)
{
    for (size_t c = 0; c < plot->curve_count; c++)
        if (plot->curves[c].name != NULL)
            return true;
    return false;
}

/* Entries side by side, broken into lines where they would leave the width; returns how many lines. */
static int draw_legend(cw_canvas *canvas, double left, double y, double width, const cw_plot *plot)
{
    const cw_type type = { LABEL_PT, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    double x = left;
    int lines = 1;

    for (size_t c = 0; c < plot->curve_count; c++) {
        const cw_curve *curve = &plot->curves[c];
        double own;

        if (curve->name == NULL)
            continue;
        own = 9.5 + cw_canvas_text_width(canvas, type, curve->name);
        if (x > left && x + own > left + width) {
            x = left;
            y += LEGEND_MM;
            lines++;
        }
        if (curve->count > 1)
            cw_canvas_line(canvas, curve->pen, x, y - CHARACTER_MM, x + 8, y - CHARACTER_MM);
        if (curve->markers)
            cw_canvas_circle(canvas, curve->pen, CW_WHITE, x + 4, y - CHARACTER_MM, 1.5);
        cw_canvas_write(canvas, type, x + 9.5, y, curve->name);
        x += own + 6;
    }
    return lines;
}

/* Height of the legend: it is laid out once without leaving a mark. */
static double legend_height(cw_canvas *canvas, double width, const cw_plot *plot)
{
    const bool muted = cw_canvas_is_muted(canvas);
    int lines;

    if (!has_legend(plot))
        return 0;
    cw_canvas_mute(canvas, true);
    lines = draw_legend(canvas, 0, 0, width, plot);
    cw_canvas_mute(canvas, muted);
    return LEGEND_MM * lines;
}

/* Where the frame begins, to the right of the y axis' labels and title. */
static double left_edge(cw_canvas *canvas, cw_box box, const char *y_title, const cw_draw__axis *y)
{
    return box.x + fmax(y->label_mm, widest_label(canvas, y)) + (y_title != NULL ? 6 : 2);
}

void cw_draw__axes(cw_canvas *canvas, cw_box box, const char *x_title, const char *y_title, cw_draw__axis *x,
                   cw_draw__axis *y)
{
    cw_box frame;

    x->from_mm = left_edge(canvas, box, y_title, y);
    x->to_mm = box.x + box.width - 0.6 * widest_label(canvas, x);
    y->from_mm = box.y + box.height - 10;
    y->to_mm = box.y + 2;
    draw_x_axis(canvas, x, y, x_title);
    draw_y_axis(canvas, x, y, box.x + 3, y_title);
    frame = (cw_box){ x->from_mm, y->to_mm, x->to_mm - x->from_mm, y->from_mm - y->to_mm };
    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.25, CW_SOLID }, CW_NO_INK, frame, 0);
}

void cw_plot_draw(cw_canvas *canvas, cw_box box, const cw_plot *plot)
{
    cw_draw__axis x = { .ticks = ticks_of(plot, true, box.width > 120 ? 10 : 6), .decades = plot->x_decades };
    cw_draw__axis y = { .ticks = ticks_of(plot, false, box.height > 70 ? 8 : 5), .decades = plot->y_decades,
                        .label_mm = plot->y_label_mm };
    const double width = box.x + box.width - left_edge(canvas, box, plot->y_title, &y);
    const double legend = legend_height(canvas, width, plot);

    cw_draw__axes(canvas, (cw_box){ box.x, box.y + legend, box.width, box.height - legend }, plot->x_title, plot->y_title,
                  &x, &y);
    for (size_t c = 0; c < plot->curve_count; c++)
        draw_curve(canvas, &x, &y, &plot->curves[c]);
    if (has_legend(plot))
        draw_legend(canvas, x.from_mm, box.y + 3.4, width, plot);
}

static void draw_plot(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_plot_draw(canvas, box, figure);
}

cw_status cw_plot_write(const cw_plot *plot, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_plot, plot, paper, 160, 90, out, error);
}
