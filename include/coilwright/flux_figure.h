/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A magnet's section with its flux lines and flux density, to scale.
 *
 * Knows: field and draw. The bands of flux density fall in lightness from band to band, so that they survive grey
 * printing and every kind of colour blindness; between two neighbouring flux lines runs the same flux. Beside the section
 * stand the scale and the narrowest gap, enlarged, with lines of its own spacing. */
#ifndef COILWRIGHT_FLUX_FIGURE_H
#define COILWRIGHT_FLUX_FIGURE_H

#include "coilwright/draw.h"
#include "coilwright/field.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct cw_flux_figure {
    cw_field *field; /* solved; lent */
    int lines;       /* flux lines from one side of the section to the other; 0 takes 14 */
    cw_unit_system units;
} cw_flux_figure;

CW_API void cw_flux_draw(cw_canvas *canvas, cw_box box, const cw_flux_figure *figure);
CW_API double cw_flux_height(const cw_flux_figure *figure, double width_mm); /* mm that suit it, 89 to 150 */
CW_API cw_status cw_flux_write(const cw_flux_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
