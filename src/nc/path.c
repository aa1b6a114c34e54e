/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A winding as the words of a machine can say it: pitches rounded first, ends made to fit [NC 10].
 *
 * A layer lies half a turn against its flange, travels, and lies still for what is left: nothing in a level lay, half a
 * turn in a nested one, whose turns lie one pitch apart from flange to flange. */
#include "nc/nc_simulation.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

double cw_nc__bundle(const cw_winding *winding, size_t layer)
{
    return winding->plan.in_hand * cw_winding_wire(winding, layer)->overall_diameter_m.nominal;
}

void cw_nc__show_length(const cw_machine *machine, double length_m, int extra_decimals, char *buffer, size_t size)
{
    double unit = machine->inches ? 0.0254 : 0.001;

    snprintf(buffer, size, "%.*f %s", machine->decimals + extra_decimals, length_m / unit,
             machine->inches ? "in" : "mm");
}

static double step_of(const cw_machine *machine, int decimals)
{
    return (machine->inches ? 0.0254 : 0.001) * pow(10, -decimals);
}

static double on_grid(double value, double step)
{
    return round(value / step) * step;
}

/* Turns laid while the guide travels, in halves as lays have them. */
static double travel_of(const cw_layer *layer)
{
    double turns = layer->pitch_m > 0 ? fabs(layer->end_m - layer->start_m) / layer->pitch_m : 0;

    return fmin(round(2 * turns) / 2, (double)layer->turns - 0.5);
}

/* The end that a pitch leads to may not lie deeper in a flange than the winding itself asks, by more than a hair. */
static bool pitch_serves(const cw_nc_path *path, double bundle_m, const cw_layer *layer, double start_m,
                         double pitch_m)
{
    double end_m = start_m + layer->direction * travel_of(layer) * pitch_m;
    double hair = 0.02e-3 + 0.05 * bundle_m;
    double lowest = fmin(bundle_m / 2, fmin(layer->start_m, layer->end_m)) - hair;
    double highest = fmax(path->length_m - bundle_m / 2, fmax(layer->start_m, layer->end_m)) + hair;
    double finest = fmin(bundle_m, layer->pitch_m) * (1 - 1e-6);

    return pitch_m > 0 && pitch_m >= finest && end_m >= lowest && end_m <= highest;
}

static bool choose_pitch(const cw_nc_path *path, double bundle_m, const cw_layer *layer, double start_m,
                         double *pitch_m)
{
    double nearest = on_grid(layer->pitch_m, path->pitch_step_m);
    double other = nearest + (nearest > layer->pitch_m ? -1 : 1) * path->pitch_step_m;

    other = on_grid(other, path->pitch_step_m);
    *pitch_m = pitch_serves(path, bundle_m, layer, start_m, nearest) ? nearest : other;
    return pitch_serves(path, bundle_m, layer, start_m, *pitch_m);
}

/* A layer that begins where the one before ended begins where that one's words end. */
static double start_of(const cw_nc_path *path, const cw_winding *winding, size_t index)
{
    const cw_layer *layer = &winding->layers[index];

    if (index > 0 && fabs(layer->start_m - winding->layers[index - 1].end_m) < 1e-6)
        return path->layers[index - 1].end_m;
    return on_grid(layer->start_m, path->position_step_m);
}

static cw_status make_layer(const cw_winding *winding, const cw_machine *machine, cw_nc_path *path, size_t index,
                            cw_error *error)
{
    const cw_layer *layer = &winding->layers[index];
    cw_nc_path_layer *made = &path->layers[index];
    char wanted[40];

    made->turns = layer->turns;
    made->before = path->turns;
    made->direction = layer->direction;
    made->start_m = start_of(path, winding, index);
    made->bundle_m = cw_nc__bundle(winding, index);
    if (!choose_pitch(path, made->bundle_m, layer, made->start_m, &made->pitch_m)) {
        cw_nc__show_length(machine, layer->pitch_m, 3, wanted, sizeof wanted);
        return cw_refuse(error, NULL, "a machine whose pitch words have more decimals, or a wider pitch factor",
                         "The machine's pitch words have %d decimals, too few for the %s a turn of layer %zu: the "
                         "turns would climb, or the layer would run into the flange.",
                         machine->pitch_decimals, wanted, index + 1);
    }
    made->travel_turns = travel_of(layer);
    if (made->travel_turns == 0 && (index == 0 || index + 1 < winding->layer_count))
        return cw_refuse(error, NULL, "a longer window, thinner wire, or winding by hand",
                         "Layer %zu has no room for the guide to travel; there is nothing to write a program for.",
                         index + 1);
    made->end_m = on_grid(made->start_m + layer->direction * made->travel_turns * made->pitch_m,
                          path->position_step_m);
    made->lead_m = made->pitch_m * cw_nc__lag_turns(winding, index, machine->guide_distance_m);
    path->turns += layer->turns;
    return CW_OK;
}

cw_status cw_nc__path_make(const cw_winding *winding, const cw_machine *machine, cw_nc_path *path, cw_error *error)
{
    cw_status status = CW_OK;

    memset(path, 0, sizeof *path);
    path->length_m = winding->plan.window.length_m;
    path->position_step_m = step_of(machine, machine->decimals);
    path->pitch_step_m = step_of(machine, machine->pitch_decimals);
    if (winding->layer_count == 0)
        return cw_refuse(error, NULL, NULL, "The winding has no layers, so there is nothing to wind.");
    path->layers = cw_allocate(winding->layer_count, sizeof *path->layers);
    if (path->layers == NULL)
        return cw_no_memory(error);
    path->count = winding->layer_count;
    for (size_t i = 0; status == CW_OK && i < path->count; i++)
        status = make_layer(winding, machine, path, i, error);
    if (status != CW_OK)
        cw_nc__path_clear(path);
    return status;
}

void cw_nc__path_clear(cw_nc_path *path)
{
    cw_free(path->layers);
    memset(path, 0, sizeof *path);
}

size_t cw_nc__path_layer_of(const cw_nc_path *path, size_t from, double turns)
{
    while (from + 1 < path->count && turns > (double)path->layers[from + 1].before)
        from++;
    return from;
}

double cw_nc__path_at(const cw_nc_path *path, size_t layer, double turns)
{
    const cw_nc_path_layer *at = &path->layers[layer];
    double travelled = turns - (double)at->before - 0.5;

    if (travelled <= 0)
        return at->start_m;
    if (travelled >= at->travel_turns)
        return at->end_m;
    return at->start_m + at->direction * travelled * at->pitch_m;
}
