/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of this room share: the canvas from inside. */
#ifndef CW_DRAW_INTERNAL_H
#define CW_DRAW_INTERNAL_H

#include "coilwright/draw.h"

#include <cairo.h>
#include <pango/pangocairo.h>

#define DRAW_MM_PER_PT (25.4 / 72.0)

struct cw_canvas {
    cw_format format;
    double width_mm, height_mm;
    char *title, *description;      /* owned; NULL where none */
    cairo_surface_t *surface;
    cairo_t *cairo;                 /* its user unit is the millimetre */
    PangoLayout *layout;            /* one for all text: making one costs as much as setting it */
    PangoFontDescription *faces[CW_FACE_COUNT];
    cw_text bytes;                  /* what the surface has written so far */
    int page;                       /* from 1 */
    bool muted;
    bool no_memory;                 /* an allocation of our own failed */
};

/** Sets the ink; false where there is nothing to draw (muted, or no ink). */
bool cw_draw__ink(cw_canvas *canvas, cw_ink ink);

/** A colour of the scale from cold (0) to hot (1): from nearly white through sand, orange and red to nearly black, its
 *  lightness L* falling evenly from 97 to 14. */
void cw_draw__scale_rgb(double share, double rgb[3]);

/** Ink, width and dash of a pen; false where there is nothing to draw. */
bool cw_draw__pen(cw_canvas *canvas, cw_pen pen);

/** A copy, to be freed, without control characters and with U+FFFD for every byte that is no UTF-8, as Pango prints a
 *  warning on those and Cairo refuses them; NULL without memory. Line ends stay where `lines` allows them. */
char *cw_draw__clean_copy(const char *text, bool lines);

/** Sets up layout and faces. */
void cw_draw__type_begin(cw_canvas *canvas);
void cw_draw__type_end(cw_canvas *canvas);

/** Cairo's SVG, rewritten: same bytes at every run, millimetres as the unit, title and description inside. False
 *  where it is not as Cairo 1.16 writes it, or without memory (svg->failed). */
bool cw_draw__svg_rewrite(const cw_canvas *canvas, double units_per_mm, cw_text *svg);

/** A length in the user's units with decimals that suit a drawing: "58.0 mm", "2.283 in". */
void cw_draw__length(double length_m, cw_unit_system units, char *buffer, size_t size);

/** A scale along an edge: its ticks, and where the first and the last of them stand. */
typedef struct cw_draw__axis {
    cw_ticks ticks;
    bool decades;    /* ticks are powers of ten */
    double label_mm; /* room for its labels at least */
    double from_mm, to_mm;
} cw_draw__axis;

double cw_draw__place(const cw_draw__axis *axis, double value);

/** Frame, grid, labels and titles inside the box, by the ticks of both axes, whose places are filled in. Titles may be
 *  NULL. */
void cw_draw__axes(cw_canvas *canvas, cw_box box, const char *x_title, const char *y_title, cw_draw__axis *x,
                   cw_draw__axis *y);

/** A number with so many digits after its point; a share as "87 %", "< 1 %", "> 99 %". */
void cw_draw__number(double value, int decimals, char *buffer, size_t size);
void cw_draw__percent(double share, char *buffer, size_t size);

/** Runs a figure on a canvas of its own: what every cw_..._write does. */
typedef void cw_draw__figure(cw_canvas *canvas, cw_box box, const void *figure);
cw_status cw_draw__write(cw_draw__figure *draw, const void *figure, const cw_paper *paper, double suits_width_mm,
                         double suits_height_mm, cw_text *out, cw_error *error);

#endif
