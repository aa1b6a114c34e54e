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

/** The place of a wire that lies height_m above the former where the winding is tight. A window that is not round is
 *  cut through its long flats, where the layers belly out and stand higher by the plan's bulge. */
double cw_section__wire_y(const cw_section__view *view, const cw_winding *winding, double height_m);

/** All that lies in the window: turns or their bands, sheets between layers; a hatch for a random lay. */
void cw_section__turns(cw_canvas *canvas, const cw_section__view *view, const cw_winding *winding);

/** Where turn `turn` (from 0) of a layer lies along the axis; the middle of its strands. */
double cw_section__turn_z(const cw_layer *layer, long turn);

#endif
