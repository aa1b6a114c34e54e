/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Winding programs: written for a machine, read back, and replayed turn by turn.
 *
 * Knows: RS-274 and the words of the lathe families, spindles, traverses. Needs: base, winding. Refuses to know: jobs.
 *
 * The path of the wire (winding.h): every layer of n turns lies half a turn against the flange where it starts, and
 * travels n - 1/2 turns at its pitch. On a lathe the half turn is the wait for the index mark: a traverse that starts
 * at the mark and takes n - 1/2 turns ends half a turn before the mark comes round again, so the wait is half a turn
 * at every reversal, far from both ends of its range, and the count holds whatever the block times [NC 7.5].
 *
 *     count s   0    1/2                                  n   n + 1/2
 *     guide     |flange|------- G33, n - 1/2 turns ------>|flange|------- and back
 *                      index                              stops   index
 *
 * Coordinates: 0 is the inside face of the start flange, positive towards the far flange, metres, centre of the bundle.
 * On a lathe that is Z, on a rotary winder X (the axis that A turns about). Turn k lies where the guide stands when k
 * turns have been laid.
 *
 * Sources: [NC], the numeric control notes in docs/references.md, with its section; so the numbers in src/nc. */
#ifndef COILWRIGHT_NC_H
#define COILWRIGHT_NC_H

#include "coilwright/base.h"
#include "coilwright/winding.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_machine_kind {
    CW_LATHE_THREAD, CW_LATHE_FEED, CW_ROTARY_WINDER, CW_MANUAL_LATHE, CW_HAND,
    CW_MACHINE_KIND_COUNT
} cw_machine_kind;

/** The words a machine takes. g33-k, g95 and rotary-a are RS-274/NGC; g32-f and g99 one lathe family, g33-f the other
 *  code arrangement of that family. */
typedef enum cw_code { CW_G33_K, CW_G32_F, CW_G33_F, CW_G95, CW_G99, CW_ROTARY_A, CW_NO_CODE, CW_CODE_COUNT } cw_code;

#define CW_GEARS_MOST 40
#define CW_FEEDS_MOST 160

/** The winding machine. Start with cw_machine_init, fill in what is known, then cw_machine_defaults.
 *  Not given is NAN for the doubles and -1 for the decimals. */
typedef struct cw_machine {
    bool given;
    cw_machine_kind kind;
    cw_code code;
    bool inches;                   /* units: inch */
    double speed_rpm;
    double slow_speed_rpm;         /* next to starts and stops, and at the flanges where the code allows it */
    int decimals;                  /* of position words; -1: default */
    int pitch_decimals;            /* of pitch words; -1: default */
    bool diameter;                 /* X words are diameters */
    bool line_numbers;
    bool semicolon_comments;       /* else round brackets */
    bool reverse;                  /* the spindle winds in M4, or the rotary axis in the negative sense */
    bool chained;                  /* threading blocks that follow each other directly wait for the index once only */
    bool stop_stops_spindle;       /* M0 and M1 stop the spindle too */
    double spin_up_s, spin_down_s; /* from standstill to `speed` and back; the ramps are taken as straight */
    double acceleration_m_s2;      /* of the traverse */
    double rapid_m_s;              /* fastest traverse */
    double block_time_s;           /* between two blocks */
    double backlash_m;             /* lost when the traverse reverses */
    double clearance_m;            /* how far beyond the flange the guide may go */
    double guide_distance_m;       /* free wire from guide to coil; 0: the guide touches */
    double guide_near_m;           /* radius at which the guide works; NAN: set by hand, the program has no X words */
    double guide_clear_m;          /* radius at which it is clear of the flanges; NAN as above */
    char *start_block, *end_block; /* extra lines, or NULL; owned by whoever filled them in */

    /* manual lathe */
    double feeds_m[CW_FEEDS_MOST]; /* per turn, as measured or on the plate; any order */
    size_t feed_count;
    double leadscrew_m;            /* its pitch; NAN: no change gears are searched */
    int gears[CW_GEARS_MOST];      /* teeth; a gear that is there twice stands twice */
    size_t gear_count;
} cw_machine;

/** Everything not given; lathe-thread, g33-k, millimetres. */
CW_API void cw_machine_init(cw_machine *machine);

/** Fills in what was not given: 60 rpm, a third of it slow, 2 s up and down, 0.5 m/s2, 20 ms a block, 3 or 4 decimals
 *  and 4 or 6 for pitches (millimetres or inches), no backlash, the guide at the coil. All but the decimals
 *  [NC 10] are common practice without a source: measure where it matters. */
CW_API void cw_machine_defaults(cw_machine *machine);

/** What makes a machine unusable, as a sentence: no speed, a kind that does not go with its code, a negative time. */
CW_API cw_status cw_machine_check(const cw_machine *machine, cw_error *error);

CW_API const char *cw_machine_kind_name(cw_machine_kind kind); /* "lathe-thread" */
CW_API const char *cw_code_name(cw_code code);                 /* "g33-k"; "none" for CW_NO_CODE */

/* ---- replay -------------------------------------------------------------------------------------------------- */

/** One turn as it was laid. */
typedef struct cw_laid_turn {
    long number;      /* from 1: so many turns are on the coil now */
    double guide_m;   /* where the guide stood at that moment, backlash taken off */
    double wire_m;    /* where the wire lies, behind the guide by the free wire; equal where guide_distance is 0 */
    double time_s;    /* from the program's start, operator's pauses not counted */
    int line;         /* of the block that laid it */
    size_t layer;     /* from 0 */
} cw_laid_turn;

typedef void (*cw_turn_listener)(void *context, const cw_laid_turn *turn);

#define CW_LAID_TURNS_MOST 200000 /* kept; a figure could not show more */

/** Turns as a replay told of them. Zero-initialise; cw_laid_turns_clear. */
typedef struct cw_laid_turns {
    cw_laid_turn *turns;        /* [count]; owned */
    size_t count, room;
    bool more;                  /* than are kept */
    bool failed;                /* out of memory: what is kept is not all */
} cw_laid_turns;

/** A listener that keeps every turn; its context is a cw_laid_turns. */
CW_API void cw_laid_turns_keep(void *context, const cw_laid_turn *turn);
CW_API void cw_laid_turns_clear(cw_laid_turns *laid);

/** Where the wire of a layer lies when so many of its turns are laid, by the winding's own words. */
CW_API double cw_laid_turn_place(const cw_layer *layer, double turns);

/** Bytes of a program, as they come: fills at most `size` and returns how many; 0 at the end. */
typedef size_t (*cw_program_source)(void *context, char *buffer, size_t size);

/** What to replay on. Zero-initialise, then fill. */
typedef struct cw_replay_request {
    const cw_machine *machine;  /* defaults filled in; NULL: an ordinary machine, code found from the program */
    const cw_winding *winding;  /* to judge the program by; NULL: no judgement, only what any program must keep */
    double bundle_m;            /* width of the wire or wires; 0: by the winding, or unknown */
    bool block_delete;          /* the operator's switch: lines that start with / are left out */
    bool ignore_optional_stop;  /* the operator's other switch: M1 does nothing */
    const char *name;           /* of the program, for messages; may be NULL */
    cw_turn_listener listener;  /* hears of every turn in order; may be NULL */
    void *context;              /* of the listener */
} cw_replay_request;

/** A layer as laid: a traverse in one direction. The turns laid at the flange before it are its own, from the first
 *  whole turn on. */
typedef struct cw_replay_layer {
    double turns;
    int direction;              /* +1 away from the start flange */
    double pitch_m;             /* travel over the turns laid while travelling */
    double start_m, end_m;      /* guide */
    double parked_turns;        /* of `turns`, laid before the guide set off */
    int first_line, last_line;
} cw_replay_layer;

#define CW_REPLAY_LAYERS_MOST 100000 /* as many as a winding may have; beyond, a program is refused */

typedef struct cw_replay {
    bool ok;                    /* no errors: it can be wound and, with a winding, gives that winding */
    cw_code code;               /* as read */
    double turns;               /* laid from start to standstill; here and in the layers whole where it is within
                                   0.03, which is what positions rounded to their last decimal come to */
    cw_replay_layer *layers;    /* [layer_count]; owned */
    size_t layer_count;
    double time_s;              /* operator's pauses not counted */
    long lines, blocks;         /* read, and acted upon */
    double speed_most_rpm;
    double wire_speed_most_m_s; /* with a winding, else NAN; on a former that is not round at its furthest corner */
    double position_error_most_m; /* against the winding, parked turns left out; NAN without one */
    cw_errors errors, warnings; /* each with its line */
} cw_replay;

/** Replays a program that comes in pieces; memory does not grow with its length (a layer takes 72 bytes).
 *
 *  replay  receives what happened, up to the block that could not be read, where there is one: a wrong program is a
 *          result (`ok` false with errors), not a failure. cw_replay_destroy.
 *
 *  CW_BAD_INPUT only for a machine that fails cw_machine_check.
 *  Test: tests/nc/test_reader.c, test_replay.c, test_judge.c */
CW_API cw_status cw_replay_stream(const cw_replay_request *request, cw_program_source source, void *source_context,
                                  cw_replay **replay, cw_error *error);

/** The same for a text in memory; need not be NUL-terminated. */
CW_API cw_status cw_replay_text(const cw_replay_request *request, const char *text, size_t length,
                                cw_replay **replay, cw_error *error);
CW_API void cw_replay_destroy(cw_replay **replay);

/* ---- writing ------------------------------------------------------------------------------------------------- */

/** A halt at a turn: a tap, a joint, an inspection. */
typedef struct cw_program_stop {
    long turn;                  /* the spindle stands still when this many turns are on; 1 to all but the last */
    const char *reason;         /* "tap 2" */
} cw_program_stop;

typedef struct cw_program_request {
    const cw_winding *winding;
    const cw_machine *machine;  /* defaults filled in */
    const char *job;            /* name; may be NULL */
    const char *note;           /* may be NULL */
    const cw_program_stop *stops; /* rising turns */
    size_t stop_count;
    bool dry_run;               /* without wire: guide clear, optional stop after each layer */
} cw_program_request;

/** Writes the program for the machine's code, or the sheet for a manual lathe or a hand winder, behind what `text`
 *  already holds. CW_BAD_INPUT where the machine cannot wind it: pitch words too coarse, too fast for the traverse,
 *  a coasting spindle that lays a layer by itself; with what to change. Nothing is added then. */
CW_API cw_status cw_program_write(const cw_program_request *request, cw_text *text, cw_error *error);

/** Writes the program, replays it on the same machine and takes it only where the replay agrees with the winding.
 *
 *  replay  receives the replay, for its time and layers; may be NULL. A sheet has none (NULL).
 *
 *  CW_FAILED where our own program does not replay to the winding: a mistake of ours, never wound.
 *  Test: tests/nc/test_program.c */
CW_API cw_status cw_program_accept(const cw_program_request *request, cw_text *text, cw_replay **replay,
                                   cw_error *error);

/* ---- handling ------------------------------------------------------------------------------------------------ */

/** Working tension of one strand: 27 to 43 d0^2 N for copper with d0 in mm, which is 50 to 80 % of the published
 *  maximum. NAN for aluminium, for which no figure was found. [winding notes, section 4] */
CW_API void cw_wire_tension_band(const cw_wire *wire, double *low_n, double *high_n);

/** How to treat the wire of a winding on its way. What has no published figure is marked so. */
typedef struct cw_handling {
    double tension_low_n, tension_high_n; /* behind the guide, one strand; NAN: no published figure */
    double tension_most_n;                /* published maximum, 54.2 d0^2 N [winding notes, section 4]; NAN as above */
    double guide_radius_m;                /* least radius of a guide's edge, 10 d0 (common practice, no source: section 3) */
    double corner_radius_m;               /* least radius of a former's corner, 3 d0 (common practice, no source: section 5) */
    double take_up_least, take_up_most;   /* lever arms over a turn, m: min(a, b)/2 to sqrt(a^2 + b^2)/2 on a rectangle,
                                             the same twice on a round former [section 5] */
    double speed_low_rpm, speed_high_rpm; /* common practice, no source: section 6. 30 to 300; wire under 0.2 mm on a light
                                             former 300 to 1000; half of it where the take-up swings by more than a
                                             quarter, since the tension swings with it */
    bool splice_allowed;                  /* in the middle of the winding: not in wire under 0.1 mm (common practice, no
                                             source: section 7) */
} cw_handling;

CW_API void cw_handling_of(const cw_winding *winding, cw_handling *handling);

/* ---- manual lathes ------------------------------------------------------------------------------------------- */

/** Gears for a feed per turn: pitch = leadscrew * a/b * c/d; c and d 0 where two gears do. */
typedef struct cw_gearing {
    int a, b, c, d;             /* driver, driven, driver, driven */
    double pitch_m;
    bool meshes;                /* by the rule of thumb a + b >= c + 15, c + d >= b + 15 (common practice, no source) */
} cw_gearing;

/** The best change-gear sets for a pitch, nearest first, those that are not finer before those that are: a coarser
 *  pitch only spaces the turns, a finer one makes them climb [NC 13.3].
 *
 *  found  receives at most `room` sets; returns how many */
CW_API size_t cw_gearing_search(const cw_machine *machine, double pitch_m, cw_gearing *found, size_t room);

#ifdef __cplusplus
}
#endif
#endif
