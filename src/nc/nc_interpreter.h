/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The modal state, and what a block makes of it: checked as a whole, then turned into one action for the machine.
 *
 * Knows: coordinates, units, feed modes, the order of execution [NC 3]. Refuses to know: time, wire. */
#ifndef CW_NC_INTERPRETER_H
#define CW_NC_INTERPRETER_H

#include "nc/nc_reader.h"

enum { CW_NC_X, CW_NC_Y, CW_NC_Z, CW_NC_A, CW_NC_B, CW_NC_C, CW_NC_AXES };

/** The state between blocks. Linear positions in metres, X as a radius; rotary ones in degrees; machine coordinates. */
typedef struct cw_nc_state {
    cw_nc_meaning motion;         /* CW_NC_NO_MOTION at the start and after G80 */
    bool absolute;
    bool feed_mode_known;
    cw_nc_meaning feed_mode;
    bool feed_given;
    double feed;                  /* as written */
    double feed_scale;            /* metres per unit of length when it was written */
    bool units_known, inches;
    int offset;                   /* work offset in force, 0 to 8 */
    bool exact;                   /* G61: every block ends at rest */
    bool surface;                 /* G96 */
    double speed_limit_rpm;       /* 0: none */
    bool diameter;
    cw_nc_meaning spindle;        /* CW_NC_CLOCKWISE, CW_NC_COUNTER_CLOCKWISE or CW_NC_SPINDLE_OFF */
    double speed;                 /* S as written: rpm, or the surface speed */
    bool shift_on;
    double shift[CW_NC_AXES];     /* G92 */
    double offsets[9][CW_NC_AXES];
    double at[CW_NC_AXES];
} cw_nc_state;

typedef enum cw_nc_drive {
    CW_NC_BY_RAPID,      /* as fast as the machine goes */
    CW_NC_BY_SPEED,      /* rate: m/min along the path */
    CW_NC_BY_ANGLE,      /* rate: degrees/min, only rotary axes move */
    CW_NC_BY_DURATION,   /* rate: 1/min */
    CW_NC_BY_TURN,       /* rate: m per turn of the spindle, starting at once */
    CW_NC_BY_INDEX       /* the same, starting at the index mark: a thread */
} cw_nc_drive;

typedef struct cw_nc_move {
    cw_nc_drive drive;
    double rate;
    bool long_axis;      /* a lead that counts along the axis that moves more [NC 7.1] */
    bool exact;
    double from[CW_NC_AXES], to[CW_NC_AXES];
} cw_nc_move;

/** What the machine is to do for a block, in this order. */
typedef struct cw_nc_action {
    int line;
    bool any;
    bool breaks;         /* holds more than motion: a control does not look ahead across it, and a chain ends */
    bool spindle;        /* its speed is set anew */
    double target_rpm;   /* negative: counter-clockwise */
    bool dwell;
    double dwell_s;
    cw_nc_move moves[2];
    int move_count;
    bool stops;
    cw_nc_meaning stop;  /* CW_NC_STOP, CW_NC_OPTIONAL_STOP, CW_NC_END, CW_NC_END_AND_REWIND */
} cw_nc_action;

/** Warnings that are given once a program. */
enum { CW_NC_WARNED_UNITS = 1, CW_NC_WARNED_SURFACE = 2, CW_NC_WARNED_POINT = 4, CW_NC_WARNED_FEED_UNITS = 8,
       CW_NC_WARNED_LOGIC = 16, CW_NC_WARNED_RETURN = 32 };

typedef struct cw_nc_interpreter {
    cw_nc_reader reader;
    cw_nc_state state;
    bool machine_inches;          /* what the control is set up for where a program does not say */
    cw_errors *warnings;          /* lent */
    unsigned warned;
} cw_nc_interpreter;

void cw_nc__interpreter_start(cw_nc_interpreter *interpreter, cw_nc_dialect dialect, const cw_machine *machine,
                              const char *name, cw_errors *warnings);

/** Checks a block against the state and, where all of it is right, acts: changes the state and says what the machine
 *  does. A block that is wrong changes nothing. */
cw_status cw_nc__interpret(cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_action *action,
                           cw_error *error);

/** Applies everything of a block that outlives it, motion and coordinates left out, in the order of [NC 3]. */
cw_status cw_nc__apply_modes(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state,
                             cw_error *error);

/** Revolutions a minute that the state asks of the spindle, negative counter-clockwise. */
double cw_nc__target_rpm(const cw_nc_state *state);

/** CW_BAD_INPUT at a block's line. */
cw_status cw_nc__refuse_block(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error, const char *format,
                              ...) CW_PRINTF(4, 5);

/** Adds a remark with its line; `errors` may be NULL. */
void cw_nc__remark(cw_errors *errors, const char *name, int line, const char *format, ...) CW_PRINTF(4, 5);

#endif
