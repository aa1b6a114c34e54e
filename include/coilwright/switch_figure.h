/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A coil switched on and off: curves, and the suppressors side by side.
 *
 * Knows: circuit and draw. */
#ifndef COILWRIGHT_SWITCH_FIGURE_H
#define COILWRIGHT_SWITCH_FIGURE_H

#include "coilwright/circuit.h"
#include "coilwright/draw.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct cw_switch_figure {
    const cw_switch_study *study; /* lent */
    double pull_needed_n;         /* NAN not asked */
    cw_unit_system units;
} cw_switch_figure;

/** Current, and pull where it is known, with what is needed as lines: armature open cold and warm; on ac closed too. */
CW_API void cw_switch_on_draw(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure);
CW_API double cw_switch_on_height(const cw_switch_figure *figure); /* mm that suit it */
CW_API cw_status cw_switch_on_write(const cw_switch_figure *figure, const cw_paper *paper, cw_text *out,
                                    cw_error *error);

/** Current and voltage with each suppressor over the logarithm of time, with the current that lets go and the voltage
 *  that the winding is tested with as lines. */
CW_API void cw_switch_off_draw(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure);
CW_API cw_status cw_switch_off_write(const cw_switch_figure *figure, const cw_paper *paper, cw_text *out,
                                     cw_error *error);

/** The suppressors as a table: time, voltage, energy, power, what to buy, what it costs. Type of 8 points; 150 mm wide or
 *  more. The height is that of the table in a box so wide. */
CW_API void cw_suppressors_draw(cw_canvas *canvas, cw_box box, const cw_switch_figure *figure);
CW_API double cw_suppressors_height(cw_canvas *canvas, const cw_switch_figure *figure, double width_mm);
CW_API cw_status cw_suppressors_write(const cw_switch_figure *figure, const cw_paper *paper, cw_text *out,
                                      cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
