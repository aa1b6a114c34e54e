/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Spindle and traverse in time [NC 7, 8]. Moves wait one block, so that a control that looks ahead (G64) need not stop
 * between two that go the same way. */
#include "nc/nc_simulation.h"

#include <math.h>
#include <string.h>

static const char two_winders[] = "Both the spindle and a rotary axis turn; replay cannot tell which of them winds.";

void cw_nc__simulation_start(cw_nc_simulation *simulation, const cw_machine *machine)
{
    memset(simulation, 0, sizeof *simulation);
    simulation->machine = machine;
    cw_nc__spindle_start(&simulation->spindle, machine);
    simulation->traverse = CW_NC_Z;
    simulation->next_turn = 1;
}

double cw_nc__simulation_turns(const cw_nc_simulation *simulation)
{
    return simulation->rotary_turns + simulation->spindle.turns * (simulation->sense < 0 ? -1 : 1);
}

static bool give_up(cw_nc_simulation *simulation, int line, const char *text)
{
    cw_nc__remark(simulation->errors, simulation->name, line, "%s", text);
    simulation->overrun = true;
    return false;
}

/* ---- the guide ----------------------------------------------------------------------------------------------- */

/* Where the guide really stands for a commanded place: behind it by the backlash where it came from above. */
static double guide_for(const cw_nc_simulation *simulation, double commanded)
{
    double lowest = commanded, highest = commanded + simulation->machine->backlash_m;
    double before = simulation->lay.guide_m;

    if (!simulation->have_origin)
        return commanded;
    return fmin(fmax(before, lowest), highest);
}

static bool lays_wire(const cw_nc_simulation *simulation)
{
    return simulation->spindle.rpm != 0 || simulation->spindle.target_rpm != 0;
}

/* Senses of winding must agree; the first one counts. */
static bool take_sense(cw_nc_simulation *simulation, double direction, int line)
{
    int sense = direction < 0 ? -1 : 1;

    if (simulation->sense == 0)
        simulation->sense = sense;
    if (simulation->sense == sense)
        return true;
    return give_up(simulation, line, "The coil turns the other way here and unwinds; replay cannot count on.");
}

static bool too_many(cw_nc_simulation *simulation, double more, int line)
{
    if (cw_nc__simulation_turns(simulation) + more <= CW_NC_TURNS_MOST)
        return false;
    give_up(simulation, line, "More than ten million turns are laid here; the feed is too fine or the dwell too long.");
    return true;
}

/* ---- pieces of time ------------------------------------------------------------------------------------------ */

/* The guide stands for a time while the spindle does what it does. */
static bool stand(cw_nc_simulation *simulation, double time_s, int line)
{
    cw_nc_stretch stretch = { 0 };
    double sense = simulation->sense < 0 ? -1 : 1, start_s = simulation->time_s;
    cw_nc_spindle before = simulation->spindle;

    if (time_s <= 0)
        return true;
    if (!lays_wire(simulation)) {
        simulation->time_s += time_s;
        return true;
    }
    stretch.from_turns = cw_nc__simulation_turns(simulation);
    if (too_many(simulation, fabs(cw_nc__spindle_turns_in(&before, time_s)), line))
        return false;
    cw_nc__spindle_pass(&simulation->spindle, time_s);
    simulation->time_s += time_s;
    stretch.to_turns = cw_nc__simulation_turns(simulation);
    stretch.from_m = stretch.to_m = simulation->lay.guide_m;
    stretch.rpm = fmax(fabs(before.rpm), fabs(simulation->spindle.rpm));
    stretch.line = line;
    for (; simulation->next_turn <= stretch.to_turns + 1e-7; simulation->next_turn++) {
        double turns = fmax(0, (double)simulation->next_turn - stretch.from_turns);

        cw_nc__lay_turn(&simulation->lay, &stretch, simulation->next_turn, stretch.to_m,
                        start_s + fmin(time_s, cw_nc__spindle_time_for(&before, sense * turns)));
    }
    cw_nc__lay_stretch(&simulation->lay, &stretch);
    return true;
}

/* The way of a move as its profile sees it. */
typedef struct way {
    double from_m, to_m;   /* traverse, commanded, from the origin */
    double length;         /* in the profile's measure: metres of path, or turns of a rotary axis */
    double turns;          /* of the rotary axis; 0 without */
    double pitch_m;        /* traverse per turn, as programmed; NAN for rapids */
} way;

static double linear_length(const cw_nc_move *move)
{
    return sqrt(pow(move->to[0] - move->from[0], 2) + pow(move->to[1] - move->from[1], 2) +
                pow(move->to[2] - move->from[2], 2));
}

static double rotary_turns(const cw_nc_move *move)
{
    double a = move->to[CW_NC_A] - move->from[CW_NC_A], b = move->to[CW_NC_B] - move->from[CW_NC_B];
    double c = move->to[CW_NC_C] - move->from[CW_NC_C];

    if (b == 0 && c == 0)
        return a / 360;
    if (a == 0 && c == 0)
        return b / 360;
    return a == 0 && b == 0 ? c / 360 : NAN; /* two at once */
}

/* Lays what a move lays, turn by turn, where position and count follow from the distance along the profile. */
static bool follow_time(cw_nc_simulation *simulation, const cw_nc_profile *profile, const way *path, int line)
{
    double span = cw_nc__profile_span(profile), start_s = simulation->time_s;
    double sense = simulation->sense < 0 ? -1 : 1;
    cw_nc_stretch stretch = { 0 };
    cw_nc_spindle before = simulation->spindle;
    double spun = lays_wire(simulation) ? cw_nc__spindle_turns_in(&before, span) : 0;

    stretch.from_turns = cw_nc__simulation_turns(simulation);
    if (too_many(simulation, fabs(spun) + fabs(path->turns), line))
        return false;
    if (spun != 0 || lays_wire(simulation))
        cw_nc__spindle_pass(&simulation->spindle, span);
    simulation->rotary_turns += fabs(path->turns);
    simulation->time_s += span;
    stretch.to_turns = cw_nc__simulation_turns(simulation);
    stretch.from_m = simulation->lay.guide_m;
    stretch.to_m = guide_for(simulation, path->to_m);
    stretch.pitch_m = path->pitch_m;
    stretch.rpm = path->turns != 0 ? profile->peak * 60 : fmax(fabs(before.rpm), fabs(simulation->spindle.rpm));
    stretch.line = line;
    cw_nc__lay_expect(&simulation->lay, &stretch);
    for (; simulation->next_turn <= stretch.to_turns + 1e-7; simulation->next_turn++) {
        double turns = fmax(0, (double)simulation->next_turn - stretch.from_turns), time_s, share;

        if (path->turns != 0) {
            share = fmin(1, turns / fabs(path->turns));
            time_s = cw_nc__profile_variable(profile, share * profile->distance);
        } else {
            time_s = fmin(span, cw_nc__spindle_time_for(&before, sense * turns));
            share = profile->distance > 0 ? cw_nc__profile_distance(profile, time_s) / profile->distance : 1;
        }
        cw_nc__lay_turn(&simulation->lay, &stretch, simulation->next_turn,
                        guide_for(simulation, path->from_m + share * (path->to_m - path->from_m)), start_s + time_s);
    }
    cw_nc__lay_stretch(&simulation->lay, &stretch);
    return true;
}

/* The same where the distance follows the spindle's turns. */
static bool follow_turns(cw_nc_simulation *simulation, const cw_nc_profile *profile, const way *path, int line)
{
    double span = cw_nc__profile_span(profile), start_s = simulation->time_s;
    double sense = simulation->sense < 0 ? -1 : 1, time_s;
    cw_nc_stretch stretch = { 0 };
    cw_nc_spindle before = simulation->spindle;

    if (too_many(simulation, span, line))
        return false;
    time_s = cw_nc__spindle_time_for(&before, sense * span);
    if (!isfinite(time_s))
        return give_up(simulation, line, "The spindle comes to rest in the middle of a move that follows it.");
    stretch.from_turns = cw_nc__simulation_turns(simulation);
    cw_nc__spindle_pass(&simulation->spindle, time_s);
    simulation->spindle.turns = before.turns + sense * span; /* exactly, not by way of the time */
    simulation->time_s += time_s;
    stretch.to_turns = stretch.from_turns + span;
    stretch.from_m = simulation->lay.guide_m;
    stretch.to_m = guide_for(simulation, path->to_m);
    stretch.pitch_m = path->pitch_m;
    stretch.rpm = fmax(fabs(before.rpm), fabs(simulation->spindle.rpm));
    stretch.line = line;
    cw_nc__lay_expect(&simulation->lay, &stretch);
    for (; simulation->next_turn <= stretch.to_turns + 1e-7; simulation->next_turn++) {
        double turns = fmin(span, fmax(0, (double)simulation->next_turn - stretch.from_turns));
        double share = cw_nc__profile_distance(profile, turns) / profile->distance;

        cw_nc__lay_turn(&simulation->lay, &stretch, simulation->next_turn,
                        guide_for(simulation, path->from_m + share * (path->to_m - path->from_m)),
                        start_s + cw_nc__spindle_time_for(&before, sense * turns));
    }
    cw_nc__lay_stretch(&simulation->lay, &stretch);
    return true;
}

/* ---- moves --------------------------------------------------------------------------------------------------- */

static bool by_spindle(cw_nc_drive drive)
{
    return drive == CW_NC_BY_TURN || drive == CW_NC_BY_INDEX;
}

/* Path per turn of the spindle; a lead along the long axis counts there [NC 7.1]. */
static double path_per_turn(const cw_nc_move *move)
{
    double longest = fmax(fabs(move->to[0] - move->from[0]), fabs(move->to[2] - move->from[2]));

    if (!move->long_axis || longest == 0)
        return move->rate;
    return move->rate * linear_length(move) / longest;
}

/* Slope of a move's level part in its profile's measure. */
static double level_slope(const cw_nc_simulation *simulation, const cw_nc_move *move, const way *path)
{
    double metres = linear_length(move), degrees = fabs(path->turns) * 360;

    switch (move->drive) {
    case CW_NC_BY_TURN:
    case CW_NC_BY_INDEX:
        return path_per_turn(move);
    case CW_NC_BY_SPEED:
        return path->length * move->rate / 60 / metres;
    case CW_NC_BY_ANGLE:
        return path->length * move->rate / 60 / degrees;
    case CW_NC_BY_DURATION:
        return path->length * move->rate / 60;
    case CW_NC_BY_RAPID:
        break;
    }
    if (path->turns == 0)
        return simulation->machine->rapid_m_s;
    return simulation->machine->speed_rpm / 60;
}

static way way_of(const cw_nc_simulation *simulation, const cw_nc_move *move)
{
    way path = { move->from[simulation->traverse], move->to[simulation->traverse], linear_length(move),
                 rotary_turns(move), 0 };
    double travel = fabs(path.to_m - path.from_m), rpm = fabs(simulation->spindle.target_rpm);

    if (path.turns != 0) {
        path.length = fabs(path.turns);
        path.pitch_m = travel / fabs(path.turns);
    } else if (path.length > 0 && by_spindle(move->drive)) {
        path.pitch_m = travel / path.length * path_per_turn(move);
    } else if (path.length > 0 && rpm > 0 && move->drive == CW_NC_BY_SPEED) {
        path.pitch_m = travel / path.length * move->rate / rpm;
    } else if (path.length > 0 && rpm > 0 && move->drive == CW_NC_BY_DURATION) {
        path.pitch_m = travel * move->rate / rpm;
    }
    if (move->drive == CW_NC_BY_RAPID)
        path.pitch_m = NAN;
    return path;
}

/* Steepness of a profile: turns per second and second for a rotary axis, metres for the rest; per turn and turn where
 * the spindle leads: a/(n/60)^2, so that the lag is n^2 p/(7200 a) turns [NC 7.4]. */
static double steepness(const cw_nc_simulation *simulation, const cw_nc_move *move, const way *path, double rpm)
{
    double rate = simulation->spindle.up_rpm_s / 60;

    if (path->turns != 0)
        return rate;
    if (!by_spindle(move->drive))
        return simulation->machine->acceleration_m_s2;
    return rpm == 0 ? INFINITY : simulation->machine->acceleration_m_s2 / (rpm * rpm / 3600);
}

static bool check_speed(cw_nc_simulation *simulation, const cw_nc_move *move, const way *path, double slope, int line)
{
    double fastest = simulation->machine->rapid_m_s, speed = slope;

    if (path->turns != 0 || move->drive == CW_NC_BY_RAPID)
        return true;
    if (by_spindle(move->drive))
        speed *= fabs(simulation->spindle.target_rpm) / 60;
    if (speed <= fastest * (1 + 1e-9))
        return true;
    cw_nc__remark(by_spindle(move->drive) ? simulation->errors : simulation->warnings, simulation->name, line,
                  "The traverse would have to run %.3g m/min here; the machine does %.3g m/min.", speed * 60,
                  fastest * 60);
    return true;
}

/* Waits until the spindle has its speed and the mark comes by [NC 7.2]. */
static bool wait_for_index(cw_nc_simulation *simulation, int line)
{
    double sense = simulation->sense < 0 ? -1 : 1, turns, wait;

    if (!stand(simulation, cw_nc__spindle_time_to_target(&simulation->spindle), line))
        return false;
    turns = cw_nc__simulation_turns(simulation);
    wait = ceil(turns - 0.5) + 0.5 - turns;
    if (wait > 1 - 1e-7)
        wait = 0;
    if (wait < 0.05 || wait > 0.95)
        cw_nc__remark(simulation->warnings, simulation->name, line,
                      "The traverse comes to the index mark just as it passes; a hair decides whether it waits a whole "
                      "turn more. End the traverse before half a turn later.");
    if (!stand(simulation, cw_nc__spindle_time_for(&simulation->spindle, sense * wait), line))
        return false;
    simulation->spindle.turns = sense * (turns + wait); /* exactly, not by way of the time */
    return true;
}

static bool begin_move(cw_nc_simulation *simulation, const cw_nc_move *move, const way *path, bool flowing, int line)
{
    if (isnan(path->turns))
        return give_up(simulation, line, "Two rotary axes move at once; replay cannot tell which of them winds.");
    if (path->turns != 0) {
        if (lays_wire(simulation) || simulation->spindle.turns != 0)
            return give_up(simulation, line, two_winders);
        if (!take_sense(simulation, path->turns, line))
            return false;
    }
    if (!flowing && !stand(simulation, simulation->machine->block_time_s, line))
        return false;
    if (move->drive == CW_NC_BY_INDEX && !flowing)
        return wait_for_index(simulation, line);
    return true;
}

/* Runs the pending move; `out` is the slope with which it ends, 0 for rest. */
static bool run_pending(cw_nc_simulation *simulation, double out)
{
    cw_nc_move *move = &simulation->pending;
    int line = simulation->pending_line;
    cw_nc_profile profile;
    double slope;
    way path;

    if (!simulation->have_pending)
        return true;
    simulation->have_pending = false;
    path = way_of(simulation, move);
    if (!begin_move(simulation, move, &path, simulation->pending_flows, line))
        return false;
    simulation->have_origin = true;
    if (path.length == 0)
        return true;
    slope = level_slope(simulation, move, &path);
    if (!check_speed(simulation, move, &path, slope, line))
        return false;
    cw_nc__profile_make(&profile, path.length, simulation->pending_in, slope, out,
                        steepness(simulation, move, &path, simulation->spindle.rpm),
                        steepness(simulation, move, &path, simulation->spindle.target_rpm));
    if (by_spindle(move->drive))
        return follow_turns(simulation, &profile, &path, line);
    return follow_time(simulation, &profile, &path, line);
}

/* Whether the control goes from one move into the next without stopping: threads that are chained, and with G64 moves
 * that go on the same way, or turn on the same way. */
static bool flows(const cw_nc_simulation *simulation, const cw_nc_move *a, const cw_nc_move *b)
{
    double dot = 0, la = linear_length(a), lb = linear_length(b), ta = rotary_turns(a), tb = rotary_turns(b);

    if (a->drive == CW_NC_BY_INDEX || b->drive == CW_NC_BY_INDEX)
        return a->drive == b->drive && simulation->machine->chained;
    if (a->exact || b->exact || a->drive == CW_NC_BY_RAPID || b->drive == CW_NC_BY_RAPID)
        return false;
    if (ta != 0 || tb != 0)
        return ta * tb > 0;
    if (by_spindle(a->drive) != by_spindle(b->drive))
        return false;
    for (int axis = CW_NC_X; axis <= CW_NC_Z; axis++)
        dot += (a->to[axis] - a->from[axis]) * (b->to[axis] - b->from[axis]);
    return dot > 0.999 * la * lb;
}

static bool take_move(cw_nc_simulation *simulation, const cw_nc_move *move, int line)
{
    double joint = 0;
    bool flowing = false;

    if (simulation->have_pending) {
        flowing = flows(simulation, &simulation->pending, move);
        if (flowing) {
            way before = way_of(simulation, &simulation->pending), after = way_of(simulation, move);

            joint = fmin(level_slope(simulation, &simulation->pending, &before),
                         level_slope(simulation, move, &after));
            joint = isfinite(joint) ? joint : 0;
        }
        if (!run_pending(simulation, joint))
            return false;
    }
    simulation->pending = *move;
    simulation->pending_line = line;
    simulation->pending_in = joint;
    simulation->pending_flows = flowing;
    simulation->have_pending = true;
    return true;
}

/* ---- the rest of a block ------------------------------------------------------------------------------------- */

static bool set_spindle(cw_nc_simulation *simulation, double target_rpm, int line)
{
    if (target_rpm != 0 && !take_sense(simulation, target_rpm, line))
        return false;
    if (target_rpm != 0 && simulation->rotary_turns != 0)
        return give_up(simulation, line, two_winders);
    simulation->spindle.target_rpm = target_rpm;
    cw_nc__spindle_pass(&simulation->spindle, 0); /* one without ramps is there at once */
    return true;
}

/* A stop lets a spindle that was switched off come to rest; what a running one does is the machine's setting. */
static bool halt(cw_nc_simulation *simulation, int line)
{
    double target = simulation->spindle.target_rpm;
    bool running = target != 0, well;

    if (running && !simulation->machine->stop_stops_spindle)
        cw_nc__remark(simulation->warnings, simulation->name, line,
                      "The program stops while the spindle turns, and turns pile up where the guide stands; M5 before "
                      "the stop.");
    if (running && !simulation->machine->stop_stops_spindle)
        return true;
    simulation->spindle.target_rpm = 0;
    well = stand(simulation, cw_nc__spindle_time_to_target(&simulation->spindle), line);
    simulation->spindle.target_rpm = target;
    return well;
}

bool cw_nc__simulation_act(cw_nc_simulation *simulation, const cw_nc_action *action, bool optional_stop)
{
    bool well = true;

    if (!action->any)
        return true;
    if (action->breaks) /* a move in the same block takes the block's time when it begins */
        well = run_pending(simulation, 0) &&
               (action->move_count > 0 || stand(simulation, simulation->machine->block_time_s, action->line));
    if (well && action->spindle)
        well = set_spindle(simulation, action->target_rpm, action->line);
    if (well && action->dwell)
        well = stand(simulation, action->dwell_s, action->line);
    for (int i = 0; well && i < action->move_count; i++)
        well = take_move(simulation, &action->moves[i], action->line);
    if (well && action->stops) {
        well = run_pending(simulation, 0);
        if (well && (action->stop == CW_NC_STOP || (action->stop == CW_NC_OPTIONAL_STOP && optional_stop)))
            well = halt(simulation, action->line);
    }
    return well && !simulation->lay.failed;
}

/* A last turn that wants only what rounded positions come to is done. */
static void finish_last_turn(cw_nc_simulation *simulation, int line)
{
    cw_nc_stretch stretch = { 0 };

    stretch.from_turns = stretch.to_turns = (double)simulation->next_turn;
    stretch.from_m = stretch.to_m = simulation->lay.guide_m;
    stretch.line = line;
    if ((double)simulation->next_turn - cw_nc__simulation_turns(simulation) <= CW_NC_TURN_TOLERANCE)
        cw_nc__lay_turn(&simulation->lay, &stretch, simulation->next_turn, stretch.to_m, simulation->time_s);
}

void cw_nc__simulation_end(cw_nc_simulation *simulation, int line)
{
    if (!simulation->overrun && run_pending(simulation, 0)) {
        simulation->spindle.target_rpm = 0;
        stand(simulation, cw_nc__spindle_time_to_target(&simulation->spindle), line);
        finish_last_turn(simulation, line);
    }
    cw_nc__lay_end(&simulation->lay, line);
}
