/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Windings made by hand for the tests of programs and replay: level lay in a round window, no more than those need. */
#ifndef CW_TESTS_NC_WINDING_H
#define CW_TESTS_NC_WINDING_H

#include "coilwright/nc.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NC_LAYERS_MOST 400

typedef struct nc_winding {
    cw_winding winding;
    cw_layer layers[NC_LAYERS_MOST];
} nc_winding;

/* `overall_m` wide wire in a window `length_m` long on a former of `inner_m`; full layers at `factor` times the wire,
 * spread over the length, the last with what is left. Lead, reading: winding.h. */
static void nc_make_winding(nc_winding *made, double overall_m, double length_m, double inner_m, double factor,
                            long turns)
{
    cw_winding *winding = &made->winding;
    double pitch_m = factor * overall_m;
    long full = (long)floor((length_m - overall_m) / pitch_m), left = turns;

    memset(made, 0, sizeof *made);
    winding->layers = made->layers;
    winding->turns = turns;
    winding->turns_per_layer = full;
    winding->plan.in_hand = 1;
    winding->plan.turns = turns;
    winding->plan.window.length_m = length_m;
    winding->plan.window.inner_m[0] = winding->plan.window.inner_m[1] = inner_m;
    winding->plan.wire.overall_diameter_m = (cw_band){ overall_m, overall_m, overall_m };
    winding->plan.wire.size.diameter_m = (cw_band){ overall_m * 0.9, overall_m * 0.9, overall_m * 0.9 };
    snprintf(winding->plan.wire.size.name, sizeof winding->plan.wire.size.name, "%.3f mm", overall_m * 900);
    winding->plan.wire.size.system = CW_METRIC;
    if (full > 1)
        pitch_m = fmax(pitch_m, (length_m - overall_m) / ((double)full - 0.5) * (1 - 1e-9));
    winding->pitch_m = pitch_m;
    for (size_t i = 0; left > 0 && i < NC_LAYERS_MOST; i++) {
        cw_layer *layer = &made->layers[i];

        layer->turns = left < full ? left : full;
        layer->direction = i % 2 == 0 ? 1 : -1;
        layer->start_m = i == 0 ? overall_m / 2 : layer[-1].end_m;
        layer->pitch_m = pitch_m;
        layer->end_m = layer->start_m + layer->direction * ((double)layer->turns - 0.5) * pitch_m;
        layer->diameter_m = inner_m + (2 * (double)i * 0.95 + 1) * overall_m;
        left -= layer->turns;
        layer->turns_total = turns - left;
        winding->layer_count++;
    }
}

#endif
