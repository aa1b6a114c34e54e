/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Between the files of the section figure: from the winding's metres to the paper's millimetres. */
#ifndef CW_DRAW_SECTION_INTERNAL_H
#define CW_DRAW_SECTION_INTERNAL_H

#include "draw/draw_internal.h"

/** z runs along the axis from the start flange, h away from the former's surface.
 *
 *      y_mm - scale h  ^ h
 *                      |
 *      x_mm, y_mm      +----> z   x_mm + scale z */
typedef struct cw_section__view {
    double x_mm, y_mm; /* the corner of start flange and former */
    double scale;      /* mm of paper to the metre */
    cw_box seen;       /* on paper; nothing that lies outside is drawn */
} cw_section__view;

double cw_section__x(const cw_section__view *view, double z_m);
double cw_section__y(const cw_section__view *view, double h_m);

/** Height above the former's surface of the winding's outside, bulge left out, as no section is drawn through it. */
double cw_section__top_m(const cw_winding *winding);

/** All that lies in the window: turns or their bands, sheets between layers; a hatch for a random lay. */
void cw_section__turns(cw_canvas *canvas, const cw_section__view *view, const cw_winding *winding);

/** Where turn `turn` (from 0) of a layer lies along the axis; the middle of its strands. */
double cw_section__turn_z(const cw_layer *layer, long turn);

#endif
