/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A section's temperatures to scale, and a coil's over its duty.
 *
 * Knows: heat and draw. Bands of temperature fall in lightness from cold to hot, so that they survive grey printing and
 * every kind of colour blindness; the lines between them are isotherms. */
#ifndef COILWRIGHT_HEAT_FIGURE_H
#define COILWRIGHT_HEAT_FIGURE_H

#include "coilwright/draw.h"
#include "coilwright/heat.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The section as it was last solved, its hottest winding marked, with a scale and each part's greatest temperature. */
typedef struct cw_heat_map_figure {
    const cw_heat *heat;             /* solved; lent */
    const cw_heat_part_result *part; /* to list beside it; NULL none */
    int part_count;
    cw_unit_system units;            /* inch: °F */
    const char *moment;              /* "always on", "at the end of each on-time"; NULL none */
} cw_heat_map_figure;

CW_API void cw_heat_map_draw(cw_canvas *canvas, cw_box box, const cw_heat_map_figure *figure);
CW_API double cw_heat_map_height(const cw_heat_map_figure *figure, double width_mm); /* mm that suit it, at most 150 */
CW_API cw_status cw_heat_map_write(const cw_heat_map_figure *figure, const cw_paper *paper, cw_text *out,
                                   cw_error *error);

/** Hot spot, mean of the winding and surface over time, with the class as a line. */
typedef struct cw_duty_figure {
    const cw_heat_run *run;          /* lent */
    double class_c;                  /* NAN none */
    double ambient_c;
    cw_unit_system units;
} cw_duty_figure;

CW_API void cw_duty_draw(cw_canvas *canvas, cw_box box, const cw_duty_figure *figure);
CW_API cw_status cw_duty_write(const cw_duty_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
