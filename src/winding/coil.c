/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several windings in series on one former. */
#include "winding/winding_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static long all_turns(const cw_coil_plan *plan)
{
    long sum = 0;

    for (size_t i = 0; i < plan->part_count; i++)
        sum += plan->parts[i].turns;
    return sum;
}

static cw_status check(const cw_coil_plan *plan, cw_error *error)
{
    if (plan->part_count < 1 || plan->part_count > CW_COIL_PARTS_MOST)
        return cw_refuse(error, NULL, "1 to 8 parts", "A coil of %zu windings cannot be laid.", plan->part_count);
    for (size_t i = 0; i < plan->part_count; i++)
        if (plan->parts[i].turns < 1 || plan->parts[i].turns > CW_WINDING__MOST_TURNS)
            return cw_refuse(error, NULL, "1 to 10 000 000 turns", "Part %zu of the coil has %ld turns.", i + 1,
                             plan->parts[i].turns);
    if (!(plan->between_m >= 0 && plan->between_m < 0.1))
        return cw_refuse(error, NULL, "0 to 100 mm", "%.4g mm between the parts of a coil cannot be.",
                         1e3 * plan->between_m);
    return CW_OK;
}

static cw_lay_plan plan_part(const cw_coil_plan *plan, size_t index)
{
    const cw_coil_part *part = &plan->parts[index];
    cw_lay_plan one = plan->common;

    one.wire = part->wire;
    one.in_hand = part->in_hand;
    one.turns = part->turns;
    one.voltage_v = plan->common.voltage_v * ((double)part->turns / (double)all_turns(plan));
    one.tap_count = 0;
    one.base_m = 0;
    one.from_far = false;
    return one;
}

/* The next begins on the last, at the flange where that ended; only the topmost is wrapped. */
static void put_on(const cw_coil_plan *plan, const cw_winding *below, bool topmost, cw_lay_plan *one)
{
    if (below != NULL) {
        const cw_layer *last = &below->layers[below->layer_count - 1];

        one->base_m = last->top_m + plan->between_m;
        if (below->plan.lay == CW_RANDOM) /* a part of a pass takes a part of its height */
            one->base_m = below->depth_m - cw_window_bulge(&one->window, last->top_m, one->bulge) + plan->between_m;
        one->from_far = last->direction > 0;
    }
    if (!topmost)
        one->wrap_m = 0;
}

static void put_beside(const cw_coil_plan *plan, size_t index, cw_lay_plan *one, double *start_m)
{
    const double count = (double)plan->part_count;
    const double room = (plan->common.window.length_m - (count - 1) * plan->between_m) / count;

    one->window.length_m = room;
    *start_m = (double)index * (room + plan->between_m);
}

static void add(cw_coil *coil, const cw_winding *part)
{
    coil->turns += part->turns;
    coil->length_m += part->length_m;
    coil->resistance_20c_ohm += part->resistance_20c_ohm;
    coil->resistance_band_ohm.min += part->resistance_band_ohm.min;
    coil->resistance_band_ohm.nominal += part->resistance_band_ohm.nominal;
    coil->resistance_band_ohm.max += part->resistance_band_ohm.max;
    coil->mass_kg += part->mass_kg;
    if (coil->part_count == 0 || part->spare_m < coil->spare_m) {
        coil->depth_m = part->depth_m;
        coil->spare_m = part->spare_m;
    }
    coil->fits = coil->spare_m >= 0;
}

/* Beside each other the far ends of two sections are the volts of both apart; on each other the last layer of one and
 * the first of the next are, as two layers of one winding. */
static double voltage_between(const cw_coil_plan *plan, const cw_winding *one, const cw_winding *next)
{
    const double per_turn = plan->common.voltage_v / (double)all_turns(plan);

    if (plan->arrangement == CW_SIDE_BY_SIDE)
        return per_turn * (double)(one->turns + next->turns);
    return per_turn * (double)(one->layers[one->layer_count - 1].turns + next->layers[0].turns);
}

static cw_status lay_part(const cw_coil_plan *plan, cw_coil *coil, cw_error *error)
{
    const size_t index = coil->part_count;
    const cw_winding *before = index > 0 ? coil->parts[index - 1] : NULL;
    cw_lay_plan one = plan_part(plan, index);
    cw_winding *part;
    cw_status status;

    cw_winding_defaults(&one);
    if (plan->arrangement == CW_SIDE_BY_SIDE)
        put_beside(plan, index, &one, &coil->start_m[index]);
    else
        put_on(plan, before, index + 1 == plan->part_count, &one);
    status = cw_winding_lay(&one, &part, error);
    if (status != CW_OK) {
        if (error != NULL && status == CW_BAD_INPUT) {
            char text[sizeof error->text];

            memcpy(text, error->text, sizeof text);
            snprintf(error->text, sizeof error->text, "Part %zu: %.600s", index + 1, text);
        }
        return status;
    }
    if (before != NULL)
        coil->between_voltage_v = fmax(coil->between_voltage_v, voltage_between(plan, before, part));
    add(coil, part);
    coil->parts[coil->part_count++] = part;
    return CW_OK;
}

cw_status cw_coil_lay(const cw_coil_plan *plan, cw_coil **coil, cw_error *error)
{
    cw_coil *made;
    cw_status status;

    *coil = NULL;
    status = check(plan, error);
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    while (status == CW_OK && made->part_count < plan->part_count)
        status = lay_part(plan, made, error);
    if (status != CW_OK) {
        cw_coil_destroy(&made);
        return status;
    }
    *coil = made;
    return CW_OK;
}

void cw_coil_destroy(cw_coil **coil)
{
    if (*coil != NULL)
        for (size_t i = 0; i < (*coil)->part_count; i++)
            cw_winding_destroy(&(*coil)->parts[i]);
    cw_free(*coil);
    *coil = NULL;
}
