/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The machine in time, and the wire that its motion lays.
 *
 *     action -> machine (spindle, traverse) -> stretches of wire -> lay (turns, layers) -> judge
 *
 * Turns are counted from the start lead, which the operator sets half a turn past the index mark: the mark comes by
 * when the count is 1/2, 3/2, 5/2 ... Knows: nothing of words. */
#ifndef CW_NC_SIMULATION_H
#define CW_NC_SIMULATION_H

#include "nc/nc_interpreter.h"

/* ---- spindle: speed follows its target in straight ramps ----------------------------------------------------- */

typedef struct cw_nc_spindle {
    double rpm, target_rpm;       /* signed */
    double up_rpm_s, down_rpm_s;  /* INFINITY: at once */
    double turns;                 /* signed, since the start */
} cw_nc_spindle;

void cw_nc__spindle_start(cw_nc_spindle *spindle, const cw_machine *machine);
double cw_nc__spindle_turns_in(const cw_nc_spindle *spindle, double time_s);  /* from now on, signed */
double cw_nc__spindle_time_for(const cw_nc_spindle *spindle, double turns);   /* signed turns; INFINITY: never */
double cw_nc__spindle_time_to_target(const cw_nc_spindle *spindle);
void cw_nc__spindle_pass(cw_nc_spindle *spindle, double time_s);

/* ---- profile: from rest or speed over a distance to rest or speed -------------------------------------------- */

/** Distance against a running variable, time or turns: straight up, level, straight down. */
typedef struct cw_nc_profile {
    double distance;
    double in, peak, out;         /* slopes */
    double up, level, down;       /* lengths of the three parts in the running variable */
    double up_distance, level_distance;
} cw_nc_profile;

/** steepness_in, steepness_out  change of slope per unit of the running variable; INFINITY: at once */
void cw_nc__profile_make(cw_nc_profile *profile, double distance, double in, double slope, double out,
                         double steepness_in, double steepness_out);
double cw_nc__profile_span(const cw_nc_profile *profile);
double cw_nc__profile_distance(const cw_nc_profile *profile, double variable);
double cw_nc__profile_variable(const cw_nc_profile *profile, double distance);

/* ---- path: what a winding asks of the guide, as words can say it ---------------------------------------------- */

typedef struct cw_nc_path_layer {
    long turns, before;           /* on the coil before this layer */
    int direction;
    double start_m, end_m;        /* of the wire, on the grid of position words */
    double pitch_m;               /* on the grid of pitch words */
    double travel_turns;          /* laid while the guide travels, after the first half turn; n - 1/2 in a level lay */
    double bundle_m;              /* width of its wires side by side */
    double lead_m;                /* by which the guide runs ahead of the wire, pitch * C */
} cw_nc_path_layer;

typedef struct cw_nc_path {
    cw_nc_path_layer *layers;     /* owned */
    size_t count;
    long turns;
    double length_m;
    double position_step_m, pitch_step_m;
} cw_nc_path;

/** Rounds pitches first and then makes the ends fit, so that counts stay exact [NC 10].
 *  CW_BAD_INPUT where no pitch word gives a layer that neither climbs nor runs into the flange. */
cw_status cw_nc__path_make(const cw_winding *winding, const cw_machine *machine, cw_nc_path *path, cw_error *error);
void cw_nc__path_clear(cw_nc_path *path);

/** Where the wire lies at a count of turns; beyond the end: at the end. */
double cw_nc__path_at(const cw_nc_path *path, size_t layer, double turns);
size_t cw_nc__path_layer_of(const cw_nc_path *path, size_t from, double turns);

/** Longest lever arm at which a layer takes up wire in a turn, m. */
double cw_nc__take_up(const cw_winding *winding, size_t layer);

/** Width of the wires of a layer side by side. */
double cw_nc__bundle(const cw_winding *winding, size_t layer);

/** A length as a shop reads it, "0.332 mm" or "0.0131 in". */
void cw_nc__show_length(const cw_machine *machine, double length_m, int extra_decimals, char *buffer, size_t size);

/* ---- judge --------------------------------------------------------------------------------------------------- */

#define CW_NC_POSITION_TOLERANCE_M 20e-6 /* of every turn; the project's promise */
#define CW_NC_TURN_TOLERANCE 0.03        /* what half of 0.0001 in comes to at the finest pitch; no counter shows it */

typedef struct cw_nc_judge {
    const cw_machine *machine;
    const cw_winding *winding;    /* NULL: only the width of the wire is known, or nothing */
    cw_nc_path path;
    double bundle_m;              /* 0 unknown */
    const char *name;
    cw_replay *replay;
    size_t turn_layer;            /* of the path, where the last turn was looked for */
    int pitch_line;               /* last line whose pitch was looked at */
    bool speed_said;
    size_t astray, astray_more;   /* layer + 1 of the last with turns out of place; how many before it went unsaid */
    int astray_line;
    size_t position_said, flange_said, beyond_said, climb_said, gap_said; /* layer + 1 of the last remark of each */
} cw_nc_judge;

/** One move that lays wire at a pitch, before it is laid. */
void cw_nc__judge_pitch(cw_nc_judge *judge, size_t layer, int direction, double pitch_m, double turns, int line);
/** parked_turns: laid in one place up to this turn. */
void cw_nc__judge_turn(cw_nc_judge *judge, const cw_laid_turn *turn, double parked_turns);
void cw_nc__judge_guide(cw_nc_judge *judge, size_t layer, double guide_m, int line);
void cw_nc__judge_speed(cw_nc_judge *judge, double rpm, int line);
/** Turns that should be on at the end of a layer; NAN where there is no plan for it. */
double cw_nc__judge_boundary(const cw_nc_judge *judge, size_t layer);
void cw_nc__judge_layer(cw_nc_judge *judge, size_t layer, const cw_replay_layer *laid);
void cw_nc__judge_end(cw_nc_judge *judge, double turns, int line);

/* ---- lay ----------------------------------------------------------------------------------------------------- */

/** A piece of the program during which the count goes from one number to another and the guide one way or nowhere. */
typedef struct cw_nc_stretch {
    double from_turns, to_turns;
    double from_m, to_m;          /* guide */
    double pitch_m;               /* as programmed; 0: the guide stands, NAN: a rapid move */
    double rpm;                   /* fastest in it */
    int line;
} cw_nc_stretch;

typedef struct cw_nc_lay {
    cw_replay *replay;
    cw_nc_judge judge;
    cw_turn_listener listener;
    void *context;
    double free_wire_m;           /* 0: the wire lies where the guide stands */
    bool failed;                  /* out of memory */
    bool too_many;                /* layers */

    double turns, guide_m, wire_m;
    bool wire_known;
    int line;
    bool open;                    /* a layer has begun */
    cw_replay_layer layer;
    double layer_from, layer_end_turns, layer_end_m, layer_travel, layer_travel_turns;
    int run_direction, run_line;  /* the guide's present run one way; a layer once it has laid a quarter turn */
    bool run_counts;
    double run_from, run_from_m, run_travel, run_turns;
    double parked_from;           /* count at which the guide came to stand where it is */
    double standing_from;         /* count at which it last moved while wire was laid */
    int parked_line;
} cw_nc_lay;

/** Turns in which the wire follows the guide, C = D/(2 pi r); 0 where it follows at once or nothing is known of r. */
double cw_nc__lag_turns(const cw_winding *winding, size_t layer, double free_wire_m);

/** A count that is whole but for what rounded positions come to, as whole. */
double cw_nc__whole_turns(double turns);

/** Looks at a stretch before its turns are laid, so that a wrong pitch is said before the turns that it misplaces. */
void cw_nc__lay_expect(cw_nc_lay *lay, const cw_nc_stretch *stretch);
void cw_nc__lay_stretch(cw_nc_lay *lay, const cw_nc_stretch *stretch);
void cw_nc__lay_turn(cw_nc_lay *lay, const cw_nc_stretch *stretch, long number, double guide_m, double time_s);
void cw_nc__lay_end(cw_nc_lay *lay, int line);

/* ---- machine ------------------------------------------------------------------------------------------------- */

#define CW_NC_TURNS_MOST 1e7      /* beyond, it is no winding but a mistake */

typedef struct cw_nc_simulation {
    const cw_machine *machine;
    const char *name;
    cw_errors *errors, *warnings; /* lent */
    cw_nc_lay lay;
    cw_nc_spindle spindle;
    double time_s;
    double rotary_turns;          /* laid by a rotary axis */
    int traverse;                 /* axis of the traverse */
    int sense;                    /* of winding: +1, -1; 0 not yet known */
    long next_turn;
    bool have_origin;
    bool have_pending, pending_flows;
    cw_nc_move pending;
    int pending_line;
    double pending_in;            /* slope or speed with which it begins */
    bool overrun;                 /* stopped for an error */
} cw_nc_simulation;

void cw_nc__simulation_start(cw_nc_simulation *simulation, const cw_machine *machine);

/** Does what a block asks. false: an error was added, and nothing further can be followed. */
bool cw_nc__simulation_act(cw_nc_simulation *simulation, const cw_nc_action *action, bool optional_stop);

/** Lets the spindle come to rest and closes the last layer. */
void cw_nc__simulation_end(cw_nc_simulation *simulation, int line);

/** Turns laid so far. */
double cw_nc__simulation_turns(const cw_nc_simulation *simulation);

#endif
