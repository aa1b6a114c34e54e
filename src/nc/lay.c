/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From stretches of guide and count to turns and layers.
 *
 * A layer is a run of the guide one way; what is laid while the guide stands before a run belongs to the layer that the
 * run makes, from the first whole turn on. A run counts as one only when it has laid a seventh of a turn, so that what
 * is laid while backlash is taken up makes no layer; a rapid step aside is no run. */
#include "nc/nc_simulation.h"

#include <math.h>
#include <string.h>

static const double least_run_turns = 0.15;
static const double step_turns = 0.45;  /* what a step aside may lay, and no traverse at rapid speed */
static const double pile_turns = 1.05;  /* an index wait never takes more than a turn */
static const double pause_turns = 0.15; /* standing that long ends a run that has not become a layer */

/* ---- the free wire ------------------------------------------------------------------------------------------- */

/* Layer of the winding in which a count falls. */
static size_t layer_by_count(const cw_nc_lay *lay, double turns)
{
    return cw_nc__path_layer_of(&lay->judge.path, lay->judge.turn_layer, turns);
}

/* Longest lever arm at which the wire is taken up. */
static double take_up_arm(const cw_nc_lay *lay, double turns)
{
    if (lay->judge.path.count == 0)
        return NAN;
    return cw_nc__take_up(lay->judge.winding, layer_by_count(lay, turns));
}

double cw_nc__lag_turns(const cw_winding *winding, size_t layer, double free_wire_m)
{
    if (winding == NULL || winding->layer_count == 0 || !(free_wire_m > 0))
        return 0;
    if (layer >= winding->layer_count)
        layer = winding->layer_count - 1;
    return free_wire_m / (3.14159265358979323846 * winding->layers[layer].diameter_m);
}

/* The wire lays along its own direction: dz/ds = (guide - z)/C, C = free wire/(2 pi r) turns [winding notes,
 * section 3]. With the guide on a straight line of slope p the lag tends to p C. */
static double wire_after(const cw_nc_lay *lay, double from_m, double to_m, double until_turns, double turns)
{
    double constant, slope, lag;

    if (!(lay->free_wire_m > 0) || lay->judge.path.count == 0)
        return to_m;
    if (turns <= 0)
        return lay->wire_m;
    constant = cw_nc__lag_turns(lay->judge.winding, layer_by_count(lay, until_turns), lay->free_wire_m);
    slope = (to_m - from_m) / turns;
    lag = slope * constant + (from_m - lay->wire_m - slope * constant) * exp(-turns / constant);
    return to_m - lag;
}

double cw_nc__whole_turns(double turns)
{
    double nearest = round(turns);

    return fabs(turns - nearest) <= CW_NC_TURN_TOLERANCE ? nearest : turns;
}

/* ---- layers -------------------------------------------------------------------------------------------------- */

static void store_layer(cw_nc_lay *lay)
{
    cw_replay *replay = lay->replay;
    size_t count = replay->layer_count;

    if (count == CW_REPLAY_LAYERS_MOST) {
        if (!lay->too_many)
            cw_nc__remark(&replay->errors, lay->judge.name, lay->layer.last_line,
                          "The program winds more than %d layers.", CW_REPLAY_LAYERS_MOST);
        lay->too_many = true;
        return;
    }
    if ((count & (count - 1)) == 0) { /* room for a power of two */
        cw_replay_layer *layers = cw_reallocate(replay->layers, count == 0 ? 8 : count < 8 ? 8 : 2 * count,
                                                sizeof *layers);

        if (layers == NULL) {
            lay->failed = true;
            return;
        }
        replay->layers = layers;
    }
    replay->layers[replay->layer_count++] = lay->layer;
}

static void close_layer(cw_nc_lay *lay, double end_turns)
{
    cw_replay_layer *layer = &lay->layer;

    if (!lay->open)
        return;
    layer->turns = end_turns - lay->layer_from;
    layer->end_m = lay->layer_end_m;
    layer->pitch_m = lay->layer_travel_turns > 0 ? lay->layer_travel / lay->layer_travel_turns : 0;
    cw_nc__judge_layer(&lay->judge, lay->replay->layer_count, layer);
    store_layer(lay);
    lay->open = false;
    lay->layer_from = end_turns;
}

static void open_layer(cw_nc_lay *lay)
{
    cw_replay_layer *layer = &lay->layer;

    memset(layer, 0, sizeof *layer);
    layer->direction = lay->run_direction;
    layer->start_m = lay->run_from_m;
    layer->parked_turns = lay->run_from - lay->layer_from;
    layer->first_line = lay->run_line;
    lay->layer_travel = lay->layer_travel_turns = 0;
    lay->open = true;
}

/* Layer that the present run belongs to, whether or not it has become one yet. */
static size_t layer_of_run(const cw_nc_lay *lay)
{
    return lay->replay->layer_count + (lay->open && lay->run_direction != 0 &&
                                       lay->layer.direction != lay->run_direction);
}

static void begin_run(cw_nc_lay *lay, const cw_nc_stretch *stretch, int direction)
{
    lay->run_direction = direction;
    lay->run_line = stretch->line;
    lay->run_counts = false;
    lay->run_from = stretch->from_turns;
    lay->run_from_m = stretch->from_m;
    lay->run_travel = lay->run_turns = 0;
}

/* Where one layer ends and the next begins while the guide stands: where the winding has it, else at a whole turn,
 * where there is one, or was just before the guide came to stand. */
static double boundary(const cw_nc_lay *lay, double from_turns, double to_turns)
{
    double whole = round(from_turns), planned = cw_nc__judge_boundary(&lay->judge, lay->replay->layer_count);

    if (planned >= from_turns - 0.25 && planned <= to_turns)
        return planned;
    if (fabs(whole - from_turns) <= 0.25)
        return whole;
    whole = ceil(from_turns);
    return whole <= to_turns ? whole : from_turns;
}

/* The run has become a layer, or goes on with the one that is open. */
static void count_run(cw_nc_lay *lay)
{
    if (!lay->run_counts) {
        if (lay->open && lay->layer.direction != lay->run_direction)
            close_layer(lay, boundary(lay, lay->layer_end_turns, lay->run_from));
        if (!lay->open)
            open_layer(lay);
        lay->run_counts = true;
        lay->layer_travel += lay->run_travel;
        lay->layer_travel_turns += lay->run_turns;
    }
}

/* ---- stretches ----------------------------------------------------------------------------------------------- */

static void look_for_pile(cw_nc_lay *lay, double until)
{
    double parked = until - lay->parked_from;

    if (parked > pile_turns)
        cw_nc__remark(&lay->replay->warnings, lay->judge.name, lay->parked_line,
                      "%.2f turns pile up in one place while the guide stands.", parked);
}

void cw_nc__lay_expect(cw_nc_lay *lay, const cw_nc_stretch *stretch)
{
    double turns = stretch->to_turns - stretch->from_turns;
    int direction = stretch->to_m < stretch->from_m ? -1 : 1;
    bool goes_on = lay->run_counts && lay->run_direction == direction;

    if (stretch->to_m == stretch->from_m || isnan(stretch->pitch_m) || turns <= 0)
        return;
    if (goes_on || turns >= least_run_turns)
        cw_nc__judge_pitch(&lay->judge, lay->replay->layer_count + (lay->open && lay->layer.direction != direction),
                           direction, stretch->pitch_m, turns, stretch->line);
}

static void travel(cw_nc_lay *lay, const cw_nc_stretch *stretch, double turns)
{
    double way = stretch->to_m - stretch->from_m;
    double parked = stretch->from_turns - lay->parked_from;
    int direction = way < 0 ? -1 : 1;

    look_for_pile(lay, stretch->from_turns);
    lay->parked_from = stretch->to_turns;
    lay->parked_line = stretch->line;
    if (turns <= 0 || (isnan(stretch->pitch_m) && turns < step_turns))
        return; /* the guide is set somewhere else, hardly any wire is laid meanwhile */
    lay->standing_from = stretch->to_turns;
    if (lay->run_direction != direction || (!lay->run_counts && parked > pause_turns))
        begin_run(lay, stretch, direction);
    lay->run_travel += fabs(way);
    lay->run_turns += turns;
    if (lay->run_counts) {
        lay->layer_travel += fabs(way);
        lay->layer_travel_turns += turns;
    } else if (lay->run_turns >= least_run_turns) {
        count_run(lay);
    }
    if (lay->run_counts) {
        cw_nc__judge_pitch(&lay->judge, lay->replay->layer_count, direction,
                           isnan(stretch->pitch_m) ? fabs(way) / turns : stretch->pitch_m, turns, stretch->line);
        lay->layer_end_turns = stretch->to_turns;
        lay->layer_end_m = stretch->to_m;
        lay->layer.last_line = stretch->line;
    }
    cw_nc__judge_guide(&lay->judge, layer_of_run(lay), stretch->to_m, stretch->line);
}

static void note_speed(cw_nc_lay *lay, const cw_nc_stretch *stretch)
{
    double arm = take_up_arm(lay, stretch->to_turns);
    double speed = 2 * 3.14159265358979323846 * arm * stretch->rpm / 60;

    lay->replay->speed_most_rpm = fmax(lay->replay->speed_most_rpm, stretch->rpm);
    lay->replay->wire_speed_most_m_s = fmax(lay->replay->wire_speed_most_m_s, speed); /* NAN gives way */
    cw_nc__judge_speed(&lay->judge, stretch->rpm, stretch->line);
}

void cw_nc__lay_stretch(cw_nc_lay *lay, const cw_nc_stretch *stretch)
{
    double turns = stretch->to_turns - stretch->from_turns;

    if (!lay->wire_known || (lay->turns == 0 && turns <= 0))
        lay->wire_m = stretch->from_m;
    lay->wire_known = true;
    lay->wire_m = wire_after(lay, stretch->from_m, stretch->to_m, stretch->to_turns, turns);
    if (stretch->to_m != stretch->from_m)
        travel(lay, stretch, turns);
    if (turns > 0)
        note_speed(lay, stretch);
    lay->turns = stretch->to_turns;
    lay->guide_m = stretch->to_m;
    lay->line = stretch->line;
}

void cw_nc__lay_turn(cw_nc_lay *lay, const cw_nc_stretch *stretch, long number, double guide_m, double time_s)
{
    cw_laid_turn turn = { number, guide_m, guide_m, time_s, stretch->line, 0 };
    bool moving = stretch->to_m != stretch->from_m && !isnan(stretch->pitch_m);
    int direction = stretch->to_m < stretch->from_m ? -1 : 1;

    turn.wire_m = wire_after(lay, stretch->from_m, guide_m, (double)number, (double)number - stretch->from_turns);
    turn.layer = lay->replay->layer_count + (moving && lay->open && lay->layer.direction != direction);
    cw_nc__judge_turn(&lay->judge, &turn, moving ? 0 : (double)number - lay->standing_from);
    if (lay->listener != NULL)
        lay->listener(lay->context, &turn);
}

void cw_nc__lay_end(cw_nc_lay *lay, int line)
{
    look_for_pile(lay, lay->turns);
    close_layer(lay, cw_nc__whole_turns(lay->turns));
    lay->replay->turns = cw_nc__whole_turns(lay->turns);
    cw_nc__judge_end(&lay->judge, lay->turns, line);
}
