/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lengths of any number of turns of one wire from a winding laid once: a turn's length does not depend on how many
 * follow it. */
#include "choose/choose_internal.h"

#include <math.h>
#include <string.h>

/* Turns that surely overfill depth_share of the window's depth. */
static long turns_to_lay(const cw_lay_plan *plan, double depth_share)
{
    const double overall = plan->wire.overall_diameter_m.nominal;
    const double depth = depth_share * plan->window.depth_m;
    const double per_layer = plan->window.length_m / (plan->in_hand * overall) + 1;
    double layers = depth / (0.8 * overall) + 2;

    if (plan->lay == CW_RANDOM)
        return (long)fmin(1e7, 1 + depth * plan->window.length_m /
                                       (plan->in_hand * 0.7 * overall * overall / plan->packing));
    return (long)fmin(1e7, ceil(per_layer) * ceil(layers));
}

/* Drops the layers that lie deeper than depth_share of the window. */
static void trim(cw_choose__ladder *ladder, double depth_m)
{
    cw_winding *winding = ladder->winding;

    while (winding->layer_count > 1 && winding->layers[winding->layer_count - 2].top_m > depth_m)
        winding->layer_count--;
    ladder->most = winding->layers[winding->layer_count - 1].turns_total;
}

cw_status cw_choose__ladder_make(const cw_lay_plan *plan, double depth_share, cw_choose__ladder *ladder,
                                 cw_error *error)
{
    cw_lay_plan full = *plan;
    cw_status status;

    full.turns = turns_to_lay(plan, depth_share);
    status = cw_winding_lay(&full, &ladder->winding, error);
    if (status == CW_OK)
        trim(ladder, depth_share * plan->window.depth_m);
    return status;
}

void cw_choose__ladder_clear(cw_choose__ladder *ladder)
{
    cw_winding_destroy(&ladder->winding);
}

/* First layer whose end has at least that many turns. */
static const cw_layer *layer_with(const cw_winding *winding, double turns)
{
    size_t low = 0, high = winding->layer_count - 1;

    while (low < high) {
        const size_t middle = (low + high) / 2;

        if ((double)winding->layers[middle].turns_total >= turns)
            high = middle;
        else
            low = middle + 1;
    }
    return &winding->layers[low];
}

double cw_choose__ladder_length(const cw_choose__ladder *ladder, long turns)
{
    const cw_layer *layer = layer_with(ladder->winding, (double)turns);

    return layer->length_total_m - (double)(layer->turns_total - turns) * (layer->length_m / (double)layer->turns);
}

double cw_choose__ladder_turns(const cw_choose__ladder *ladder, double length_m)
{
    const cw_winding *winding = ladder->winding;
    const cw_layer *layer;
    size_t low = 0, high = winding->layer_count - 1;

    if (length_m > winding->layers[high].length_total_m)
        return INFINITY;
    while (low < high) {
        const size_t middle = (low + high) / 2;

        if (winding->layers[middle].length_total_m >= length_m)
            high = middle;
        else
            low = middle + 1;
    }
    layer = &winding->layers[low];
    return (double)layer->turns_total - (layer->length_total_m - length_m) / (layer->length_m / (double)layer->turns);
}
