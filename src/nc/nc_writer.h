/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a winding to a program, in three steps: the path in the machine's words (nc_simulation.h), the plan of traverses
 * with their speeds and the turns that lie between them, the text of one code.
 *
 * The plan is made with the same model of the spindle that replay uses, so that both count the same turns while a guide
 * stands. */
#ifndef CW_NC_WRITER_H
#define CW_NC_WRITER_H

#include "nc/nc_simulation.h"

/* ---- plan ---------------------------------------------------------------------------------------------------- */

#define CW_NC_INDEX_MARGIN 0.1    /* turns between a traverse's being ready and the index mark */
#define CW_NC_SLOW_TURNS 3.0      /* at each end of a traverse (common practice, no source: winding notes, section 6) */

typedef enum cw_nc_after { CW_NC_THEN_REVERSE, CW_NC_THEN_PAUSE, CW_NC_THEN_FINISH } cw_nc_after;

/** One traverse, from where the guide sets off to where it stands. */
typedef struct cw_nc_leg {
    size_t layer;
    bool layer_begins, layer_ends;
    bool travels;                 /* false: a turn or two that only lie at a flange */
    double from_turns, to_turns;  /* counts at which the guide sets off and stands */
    double early_turns;           /* by which it sets off before its place asks for it */
    double from_m, to_m;          /* commanded, on the grid of position words */
    double rpm;                   /* of all of it, or of its two ends where there is a middle */
    double middle_rpm;            /* between split_m[0] and split_m[1]; 0: the whole traverse is one block */
    double split_m[2];
    double slow_down_turns;       /* from split_m[1] to the end */
    cw_nc_after after;
    const char *reason;           /* of a pause; NULL: insulation, or a stop of the dry run */
    long stop_turn;               /* of a pause or the finish: turns on the coil when the spindle has come to rest, as
                                     planned; where a layer ends the spindle coasts on, see rest_turns */
    double rest_turns;            /* where it comes to rest */
    double dwell_s;               /* to stand before setting off */
    double end_dwell_s;           /* and before the spindle is switched off */
} cw_nc_leg;

typedef struct cw_nc_plan {
    const cw_program_request *request;
    cw_machine machine;
    cw_nc_path path;
    cw_nc_leg *legs;              /* owned */
    size_t count;
    double least_share;           /* of the slow speed: how slow the spindle may turn next to starts and stops */
    double time_s;                /* about */
} cw_nc_plan;

cw_status cw_nc__plan_make(const cw_program_request *request, cw_nc_plan *plan, cw_error *error);
void cw_nc__plan_clear(cw_nc_plan *plan);

bool cw_nc__plan_is_rotary(const cw_nc_plan *plan);
bool cw_nc__plan_is_feed(const cw_nc_plan *plan);
double cw_nc__plan_pitch(const cw_nc_plan *plan, const cw_nc_leg *leg);

/** Sets where the guide goes for the counts of a leg. */
void cw_nc__plan_place(const cw_nc_plan *plan, cw_nc_leg *leg);

/** Commanded place of the guide for the wire to lie where it should after so many turns. */
double cw_nc__plan_guide(const cw_nc_plan *plan, size_t layer, double turns);

/** A place to go over on the way from the leg before to this one, so that backlash is taken up on the right side; NAN
 *  where none is needed. */
double cw_nc__plan_via(const cw_nc_plan *plan, const cw_nc_leg *leg);

/* Turns and times that things take. */
double cw_nc__plan_lag_turns(const cw_nc_plan *plan, double pitch_m, double rpm); /* of a traverse, both ends */
double cw_nc__plan_shift_time(const cw_nc_plan *plan, const cw_nc_leg *leg);      /* of the step before it */
double cw_nc__plan_turns_to_rest(const cw_nc_plan *plan, double rpm);             /* M5 and what the spindle coasts */

/** Passes the turns that a traverse of that distance takes while the spindle goes from its speed to its target. */
void cw_nc__plan_ride(const cw_nc_plan *plan, cw_nc_spindle *spindle, double distance_m, double pitch_m);

/** Turns that the guide falls behind at the two joints of a traverse with a middle: it stands for a block, stops and
 *  sets off again. */
double cw_nc__plan_joint_turns(const cw_nc_plan *plan, double pitch_m, double edge_rpm, double middle_rpm);

void cw_nc__plan_speeds(cw_nc_plan *plan);                          /* speeds.c */
cw_status cw_nc__plan_counts(cw_nc_plan *plan, cw_error *error);    /* counts.c */

/* ---- text ---------------------------------------------------------------------------------------------------- */

#define CW_NC_COMMENT_MOST 59 /* characters of a comment line, brackets included */

typedef struct cw_nc_emitter {
    cw_text *text;
    const cw_machine *machine;
    cw_nc_dialect dialect;
    long number;                  /* of the last line number */
    bool begun;                   /* the present line has a word */
} cw_nc_emitter;

void cw_nc__emit_start(cw_nc_emitter *emitter, cw_text *text, const cw_machine *machine);

/** A comment line, or several where it is long: capitals, plain ASCII, no brackets inside. */
void cw_nc__emit_comment(cw_nc_emitter *emitter, const char *format, ...) CW_PRINTF(2, 3);

/** Words of the present line, and its end. */
void cw_nc__emit_code(cw_nc_emitter *emitter, cw_nc_meaning meaning);
void cw_nc__emit_word(cw_nc_emitter *emitter, char letter, double value, int decimals);
void cw_nc__emit_speed(cw_nc_emitter *emitter, double rpm);
void cw_nc__emit_position(cw_nc_emitter *emitter, char letter, double metres);
void cw_nc__emit_pitch(cw_nc_emitter *emitter, char letter, double metres);
void cw_nc__emit_number(cw_nc_emitter *emitter, char letter, int number); /* of a code that has no effect here */
void cw_nc__emit_end(cw_nc_emitter *emitter);
void cw_nc__emit_lines(cw_nc_emitter *emitter, const char *lines); /* of the user; NULL: none */

/* Parts of a program. */
void cw_nc__write_header(cw_nc_emitter *emitter, const cw_nc_plan *plan);
void cw_nc__write_leg_comment(cw_nc_emitter *emitter, const cw_nc_plan *plan, const cw_nc_leg *leg);
void cw_nc__write_pause(cw_nc_emitter *emitter, const cw_nc_plan *plan, const cw_nc_leg *leg);
void cw_nc__write_lathe(cw_nc_emitter *emitter, const cw_nc_plan *plan);
void cw_nc__write_rotary(cw_nc_emitter *emitter, const cw_nc_plan *plan);

/** The sheets, which are read by people only. */
cw_status cw_nc__write_manual_sheet(const cw_program_request *request, const cw_machine *machine, cw_text *text,
                                    cw_error *error);
cw_status cw_nc__write_hand_sheet(const cw_program_request *request, const cw_machine *machine, cw_text *text,
                                  cw_error *error);

#endif
