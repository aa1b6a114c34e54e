/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Temperatures over the duty: hot spot, mean and surface, with the class as a line. */
#include "coilwright/heat_figure.h"

#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>

enum { HOT, MEAN, SURFACE, CLASS, CURVES };

static const char *time_unit(double longest_s)
{
    return longest_s < 300 ? "s" : longest_s < 3 * 3600 ? "min" : "h";
}

static double point_value(const cw_heat_point *point, int curve)
{
    return curve == HOT ? point->hot_spot_c : curve == MEAN ? point->mean_winding_c : point->surface_c;
}

/* y  shape [CURVES][count] */
static void fill(const cw_duty_figure *figure, const char *time, const char *temperature, double *x, double *y)
{
    const cw_heat_run *run = figure->run;

    for (size_t i = 0; i < run->count; i++) {
        x[i] = cw_quantity_in(CW_TIME, run->curve[i].time_s, time);
        for (int c = 0; c < CLASS; c++)
            y[(size_t)c * run->count + i] = cw_quantity_in(CW_TEMPERATURE, point_value(&run->curve[i], c), temperature);
        y[CLASS * run->count + i] = cw_quantity_in(CW_TEMPERATURE, figure->class_c, temperature);
    }
}

void cw_duty_draw(cw_canvas *canvas, cw_box box, const cw_duty_figure *figure)
{
    const char *const temperature = figure->units == CW_INCH_UNITS ? "°F" : "°C";
    const size_t count = figure->run->count;
    double *x = cw_allocate((CURVES + 1) * (count + 1), sizeof *x), *y = x != NULL ? x + count : NULL;
    char class_name[32], y_title[32], x_title[32];
    cw_curve curve[CURVES] = { { "hot spot", NULL, NULL, 0, { CW_BLACK, 0.5, CW_SOLID }, false },
                               { "mean of the winding", NULL, NULL, 0, { CW_BLUE, 0.35, CW_SOLID }, false },
                               { "surface", NULL, NULL, 0, { CW_ORANGE, 0.35, CW_SOLID }, false },
                               { class_name, NULL, NULL, 0, { CW_RED, 0.35, CW_DASHED }, false } };
    cw_plot plot = { x_title, y_title, curve, isnan(figure->class_c) ? CLASS : CURVES };

    if (x == NULL) {
        canvas->no_memory = true;
        return;
    }
    snprintf(class_name, sizeof class_name, "class %.0f", figure->class_c);
    snprintf(y_title, sizeof y_title, "temperature, %s", temperature);
    if (count > 0) {
        const char *time = time_unit(figure->run->curve[count - 1].time_s);

        snprintf(x_title, sizeof x_title, "time, %s", time);
        fill(figure, time, temperature, x, y);
        for (int c = 0; c < CURVES; c++) {
            curve[c].x = x;
            curve[c].y = y + (size_t)c * count;
            curve[c].count = count;
        }
        cw_plot_draw(canvas, box, &plot);
    }
    cw_free(x);
}

static void draw_duty(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_duty_draw(canvas, box, figure);
}

cw_status cw_duty_write(const cw_duty_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_duty, figure, paper, 160, 90, out, error);
}
