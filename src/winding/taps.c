/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Leads that come out between the ends. */
#include "winding/winding_internal.h"

#include <math.h>

cw_status cw_winding__check_taps(const cw_lay_plan *plan, cw_error *error)
{
    if (plan->tap_count < 0 || plan->tap_count > CW_TAPS_MOST)
        return cw_refuse(error, NULL, "up to 8 taps", "%d taps cannot be brought out.", plan->tap_count);
    for (int i = 0; i < plan->tap_count; i++) {
        const long before = i > 0 ? plan->taps[i - 1] : 0;

        if (plan->taps[i] <= before || plan->taps[i] >= plan->turns)
            return cw_refuse(error, NULL, "rising numbers of turns, less than the whole winding has",
                             "A tap after turn %ld cannot be in a winding of %ld turns with the one before it after "
                             "turn %ld.", plan->taps[i], plan->turns, before);
    }
    return CW_OK;
}

bool cw_winding__has_tap(const cw_lay_plan *plan, long first, long last)
{
    for (int i = 0; i < plan->tap_count; i++)
        if (plan->taps[i] >= first && plan->taps[i] <= last)
            return true;
    return false;
}

static cw_tap place(const cw_winding *winding, long turns)
{
    const cw_lay_plan *plan = &winding->plan;
    const cw_layer *layer = winding->layers;
    double left, moved;
    cw_tap tap;

    while (layer->turns_total < turns)
        layer++;
    left = (double)(layer->turns_total - turns);
    moved = fmax(0, fabs(layer->end_m - layer->start_m) - left * layer->pitch_m); /* the first part turn lies still */
    tap.turns = turns;
    tap.layer = (size_t)(layer - winding->layers);
    tap.at_m = layer->start_m + layer->direction * moved;
    tap.height_m = layer->height_m;
    tap.length_m = layer->length_total_m - left * (layer->length_m / (double)layer->turns);
    tap.resistance_ohm = tap.length_m * plan->wire.resistance_ohm_per_m.nominal / plan->in_hand;
    return tap;
}

void cw_winding__place_taps(cw_winding *winding)
{
    winding->tap_count = (size_t)winding->plan.tap_count;
    for (size_t i = 0; i < winding->tap_count; i++)
        winding->taps[i] = place(winding, winding->plan.taps[i]);
}
