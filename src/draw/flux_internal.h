/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the flux figure share. */
#ifndef CW_DRAW_FLUX_INTERNAL_H
#define CW_DRAW_FLUX_INTERNAL_H

#include "coilwright/flux_figure.h"
#include "draw/draw_internal.h"

enum { FLUX_BANDS = 9 };

#define FLUX_BAND_T 0.25 /* from band to band; the last is open */

/* The part of the plane that is shown, and where it stands on the paper. */
typedef struct cw_flux_window {
    double x0, x1, y0, y1;   /* m, y up */
    double left, top, scale; /* mm, mm, mm per m */
    bool halves;             /* x < 0 mirrors x > 0 */
} cw_flux_window;

double cw_flux__paper_x(const cw_flux_window *window, double x);
double cw_flux__paper_y(const cw_flux_window *window, double y);

/* Red, green and blue of a band: white over sand and orange to red, ever darker. */
void cw_flux__band_rgb(int band, double rgb[3]);

/* Fills the iron that lies in the window by its density. */
void cw_flux__draw_density(cw_canvas *canvas, const cw_field *field, const cw_field_view *view,
                           const cw_flux_window *window);

/* Level lines of the flux function, the same flux between neighbours.
 *  step_wb  from line to line; the lines stand at half a step and whole ones from there */
void cw_flux__draw_lines(cw_canvas *canvas, const cw_field *field, const cw_flux_window *window, double step_wb);

/* Least and greatest of the flux function in the window. */
void cw_flux__range(const cw_field *field, const cw_flux_window *window, double *low, double *high);

#endif
