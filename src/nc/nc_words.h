/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one table of words that reader and writer share: what a code is called in which dialect, and what it means. */
#ifndef CW_NC_WORDS_H
#define CW_NC_WORDS_H

#include "coilwright/nc.h"

/** Ways of reading a program. Bits, so that a row of the table can hold for several. */
typedef enum cw_nc_dialect {
    CW_NC_NGC = 1, /* RS-274/NGC: g33-k, g95, rotary-a */
    CW_NC_F32 = 2, /* lathes that thread with G32 and a lead in F: g32-f, g99 */
    CW_NC_F33 = 4  /* the same in the other code arrangement: g33-f */
} cw_nc_dialect;

/** Modal groups of G and M words [NC 2]. A block holds at most one word of each. */
typedef enum cw_nc_group {
    CW_NC_NON_MODAL, CW_NC_MOTION, CW_NC_PLANE, CW_NC_DISTANCE, CW_NC_ARC_DISTANCE, CW_NC_FEED_MODE, CW_NC_UNITS,
    CW_NC_CUTTER, CW_NC_LENGTH, CW_NC_RETURN, CW_NC_OFFSET, CW_NC_PATH, CW_NC_SPINDLE_MODE, CW_NC_LATHE_X,
    CW_NC_STOPPING, CW_NC_TOOL_CHANGE, CW_NC_SPINDLE, CW_NC_COOLANT, CW_NC_OVERRIDES,
    CW_NC_GROUP_COUNT
} cw_nc_group;

/** What a code means, whatever it is called. */
typedef enum cw_nc_meaning {
    CW_NC_RAPID, CW_NC_FEED, CW_NC_THREAD, CW_NC_NO_MOTION,
    CW_NC_DWELL, CW_NC_SET_OFFSET, CW_NC_HOME, CW_NC_SECOND_HOME, CW_NC_MACHINE_COORDINATES,
    CW_NC_SHIFT, CW_NC_SHIFT_ZERO, CW_NC_SHIFT_SUSPEND, CW_NC_SHIFT_RESTORE, CW_NC_SPEED_LIMIT,
    CW_NC_ABSOLUTE, CW_NC_INCREMENTAL, CW_NC_INVERSE_TIME, CW_NC_PER_MINUTE, CW_NC_PER_TURN,
    CW_NC_INCH, CW_NC_MILLIMETRE, CW_NC_WORK_OFFSET, CW_NC_EXACT, CW_NC_BLEND,
    CW_NC_SURFACE_SPEED, CW_NC_CONSTANT_SPEED, CW_NC_DIAMETER, CW_NC_RADIUS,
    CW_NC_STOP, CW_NC_OPTIONAL_STOP, CW_NC_END, CW_NC_END_AND_REWIND,
    CW_NC_CLOCKWISE, CW_NC_COUNTER_CLOCKWISE, CW_NC_SPINDLE_OFF,
    CW_NC_NO_EFFECT,   /* allowed, and nothing that a winding feels */
    CW_NC_NOT_FOLLOWED /* known, and refused: `why` says what it is */
} cw_nc_meaning;

typedef struct cw_nc_word {
    char letter;
    int tenths;          /* ten times the number, as codes are compared [NC 1.5] */
    unsigned dialects;   /* cw_nc_dialect bits */
    cw_nc_group group;
    cw_nc_meaning meaning;
    int argument;        /* number of the work offset, 1 to 9 */
    const char *why;     /* of a code that is not followed: what it is, after "is" */
} cw_nc_word;

#define CW_NC_G_TENTHS 1000 /* G0 to G99.9 */
#define CW_NC_M_COUNT 100   /* M0 to M99 */

/** The words of one dialect by number; NULL where there is none. */
typedef struct cw_nc_vocabulary {
    cw_nc_dialect dialect;
    const cw_nc_word *g[CW_NC_G_TENTHS];
    const cw_nc_word *m[CW_NC_M_COUNT];
} cw_nc_vocabulary;

cw_nc_dialect cw_nc__dialect_of(cw_code code);
const char *cw_nc__dialect_name(cw_nc_dialect dialect); /* "RS-274/NGC" */

void cw_nc__vocabulary(cw_nc_dialect dialect, cw_nc_vocabulary *vocabulary);

/** The word by which a dialect says that, NULL where it cannot. */
const cw_nc_word *cw_nc__word_for(cw_nc_dialect dialect, cw_nc_meaning meaning);

/** The word of that number, NULL where the dialect has none. */
const cw_nc_word *cw_nc__word_numbered(cw_nc_dialect dialect, char letter, int tenths);

/** "G33" or "G59.1" into `buffer`. */
void cw_nc__word_name(char letter, int tenths, char *buffer, size_t size);

/** Letters that may start a word in that dialect, beside N and O. */
bool cw_nc__letter_allowed(cw_nc_dialect dialect, char letter);

#endif
