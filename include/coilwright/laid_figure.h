/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lay as a program winds it: every turn where the replay found it, and those that are out of place marked.
 *
 * Knows: nc and draw. */
#ifndef COILWRIGHT_LAID_FIGURE_H
#define COILWRIGHT_LAID_FIGURE_H

#include "coilwright/draw.h"
#include "coilwright/nc.h"

#ifdef __cplusplus
extern "C" {
#endif

/** With a winding: to scale in its window, each turn in the height of the layer that it was laid in, and a ring around
 *  turns that lie more than a quarter of the wire (all strands side by side) off their place in it. Without one: a row a layer, only along the
 *  axis. */
typedef struct cw_laid_figure {
    const cw_laid_turns *laid;
    const cw_replay *replay;   /* that told of them: its layers are those drawn */
    const cw_winding *winding; /* NULL: nothing to compare with */
    cw_unit_system units;
} cw_laid_figure;

/** Turns that lie more than a quarter of the wire off where their layer has them, turns of layers that the winding does
 *  not have included; 0 without a winding. */
CW_API size_t cw_laid_astray(const cw_laid_figure *figure);

CW_API void cw_laid_draw(cw_canvas *canvas, cw_box box, const cw_laid_figure *figure);
CW_API double cw_laid_height(const cw_laid_figure *figure, double width_mm); /* mm that suit it, 30 to 110 */

/** Bytes appended to `out`, nothing on failure; a width or height of 0 takes one that suits. */
CW_API cw_status cw_laid_write(const cw_laid_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error);

/** The guide against turns, the winding's own words beside it where there is one. */
CW_API cw_status cw_laid_traverse_write(const cw_laid_figure *figure, const cw_paper *paper, cw_text *out,
                                        cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
