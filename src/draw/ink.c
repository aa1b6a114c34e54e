/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The palette. Why these: see cw_ink. */
#include "draw/draw_internal.h"

#include <assert.h>
#include <math.h>

static const unsigned char inks[CW_INK_COUNT][3] = {
    [CW_NO_INK] = { 255, 255, 255 },
    [CW_BLACK] = { 26, 26, 26 },
    [CW_RED] = { 150, 20, 20 },
    [CW_BLUE] = { 30, 100, 160 },
    [CW_GREY] = { 88, 92, 96 },
    [CW_ORANGE] = { 226, 148, 40 },
    [CW_SAND] = { 244, 202, 128 },
    [CW_RULE] = { 182, 186, 190 },
    [CW_SHADE] = { 240, 241, 242 },
    [CW_WHITE] = { 255, 255, 255 },
};

void cw_ink_rgb(cw_ink ink, double rgb[3])
{
    assert(ink < CW_INK_COUNT);
    for (int i = 0; i < 3; i++)
        rgb[i] = inks[ink][i] / 255.0;
}

/* Stops at equal steps of lightness, L* 97, 83, 68, 50, 32, 14; between them the mix is near enough. */
void cw_draw__scale_rgb(double share, double rgb[3])
{
    static const unsigned char stops[][3] = { { 255, 246, 228 }, { 246, 202, 128 }, { 226, 148, 40 },
                                              { 193, 92, 32 },   { 140, 36, 38 },   { 62, 12, 34 } };
    static const double at[] = { 0, 14 / 83., 29 / 83., 47 / 83., 65 / 83., 1 };
    int i = 0;

    share = fmin(1, fmax(0, share));
    while (i < 4 && share > at[i + 1])
        i++;
    share = (share - at[i]) / (at[i + 1] - at[i]);
    for (int k = 0; k < 3; k++)
        rgb[k] = (stops[i][k] + share * (stops[i + 1][k] - stops[i][k])) / 255;
}

bool cw_draw__ink(cw_canvas *canvas, cw_ink ink)
{
    double rgb[3];

    if (canvas->muted || ink == CW_NO_INK)
        return false;
    cw_ink_rgb(ink, rgb);
    cairo_set_source_rgb(canvas->cairo, rgb[0], rgb[1], rgb[2]);
    return true;
}

bool cw_draw__pen(cw_canvas *canvas, cw_pen pen)
{
    /* lengths in mm, after the drawing office's lines: dashes about 12, gaps 3 line widths */
    static const double dashed[] = { 2.0, 1.0 }, dotted[] = { 0.5, 0.8 }, chain[] = { 5.0, 1.0, 0.6, 1.0 };

    if (!cw_draw__ink(canvas, pen.ink) || !(pen.width_mm > 0))
        return false;
    cairo_set_line_width(canvas->cairo, pen.width_mm);
    cairo_set_line_cap(canvas->cairo, CAIRO_LINE_CAP_BUTT);
    switch (pen.dash) {
    case CW_SOLID: cairo_set_dash(canvas->cairo, NULL, 0, 0); break;
    case CW_DASHED: cairo_set_dash(canvas->cairo, dashed, 2, 0); break;
    case CW_DOTTED: cairo_set_dash(canvas->cairo, dotted, 2, 0); break;
    case CW_CHAIN: cairo_set_dash(canvas->cairo, chain, 4, 0); break;
    }
    return true;
}
