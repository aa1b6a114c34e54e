/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words of the dialects. Groups of RS-274/NGC: [NC 2] (report, table 4, and the additions of its descendant);
 * lathe families: [NC 4, 7.1, 8, 11]. What is known and does not belong to winding stands here too, so that it is
 * refused by name. */
#include "nc/nc_words.h"

#include <stdio.h>
#include <string.h>

enum { NGC = CW_NC_NGC, F32 = CW_NC_F32, F33 = CW_NC_F33, LATHES = F32 | F33, ALL = NGC | LATHES };

#define PLAIN(letter, number, dialects, group, meaning) { letter, number, dialects, group, meaning, 0, NULL }
#define REFUSED(letter, number, dialects, group, why) { letter, number, dialects, group, CW_NC_NOT_FOLLOWED, 0, why }
#define OFFSET(number, dialects, index) { 'G', number, dialects, CW_NC_OFFSET, CW_NC_WORK_OFFSET, index, NULL }

static const cw_nc_word words[] = {
    PLAIN('G', 0, ALL, CW_NC_MOTION, CW_NC_RAPID),
    PLAIN('G', 10, ALL, CW_NC_MOTION, CW_NC_FEED),
    REFUSED('G', 20, ALL, CW_NC_MOTION, "an arc"),
    REFUSED('G', 30, ALL, CW_NC_MOTION, "an arc"),
    PLAIN('G', 40, ALL, CW_NC_NON_MODAL, CW_NC_DWELL),
    PLAIN('G', 70, NGC, CW_NC_LATHE_X, CW_NC_DIAMETER),
    PLAIN('G', 80, NGC, CW_NC_LATHE_X, CW_NC_RADIUS),
    PLAIN('G', 100, NGC, CW_NC_NON_MODAL, CW_NC_SET_OFFSET),
    REFUSED('G', 100, LATHES, CW_NC_NON_MODAL, "the entry of offsets by program"),
    PLAIN('G', 170, ALL, CW_NC_PLANE, CW_NC_NO_EFFECT),
    PLAIN('G', 180, ALL, CW_NC_PLANE, CW_NC_NO_EFFECT),
    PLAIN('G', 190, ALL, CW_NC_PLANE, CW_NC_NO_EFFECT),
    PLAIN('G', 200, ALL, CW_NC_UNITS, CW_NC_INCH),
    PLAIN('G', 210, ALL, CW_NC_UNITS, CW_NC_MILLIMETRE),
    PLAIN('G', 280, ALL, CW_NC_NON_MODAL, CW_NC_HOME),
    PLAIN('G', 300, ALL, CW_NC_NON_MODAL, CW_NC_SECOND_HOME),
    PLAIN('G', 320, F32, CW_NC_MOTION, CW_NC_THREAD),
    PLAIN('G', 330, NGC | F33, CW_NC_MOTION, CW_NC_THREAD),
    REFUSED('G', 330, F32, CW_NC_MOTION, "not used in this lathe family, which threads with G32"),
    REFUSED('G', 320, F33, CW_NC_MOTION, "not used in this lathe family, which threads with G33"),
    REFUSED('G', 331, NGC, CW_NC_MOTION, "rigid tapping"),
    REFUSED('G', 340, LATHES, CW_NC_MOTION, "threading with a growing lead"),
    REFUSED('G', 382, NGC, CW_NC_MOTION, "probing"),
    PLAIN('G', 400, ALL, CW_NC_CUTTER, CW_NC_NO_EFFECT),
    REFUSED('G', 410, ALL, CW_NC_CUTTER, "cutter radius compensation"),
    REFUSED('G', 420, ALL, CW_NC_CUTTER, "cutter radius compensation"),
    REFUSED('G', 430, NGC, CW_NC_LENGTH, "tool length compensation"),
    PLAIN('G', 490, NGC, CW_NC_LENGTH, CW_NC_NO_EFFECT),
    PLAIN('G', 500, F32, CW_NC_NON_MODAL, CW_NC_SPEED_LIMIT),
    REFUSED('G', 520, NGC, CW_NC_NON_MODAL, "a local shift of the coordinates"),
    PLAIN('G', 530, NGC, CW_NC_NON_MODAL, CW_NC_MACHINE_COORDINATES),
    OFFSET(540, ALL, 1), OFFSET(550, ALL, 2), OFFSET(560, ALL, 3), OFFSET(570, ALL, 4), OFFSET(580, ALL, 5),
    OFFSET(590, ALL, 6), OFFSET(591, NGC, 7), OFFSET(592, NGC, 8), OFFSET(593, NGC, 9),
    PLAIN('G', 610, NGC, CW_NC_PATH, CW_NC_EXACT),
    PLAIN('G', 611, NGC, CW_NC_PATH, CW_NC_EXACT),
    PLAIN('G', 640, NGC, CW_NC_PATH, CW_NC_BLEND),
    REFUSED('G', 650, LATHES, CW_NC_NON_MODAL, "a macro call"),
    REFUSED('G', 700, LATHES, CW_NC_NON_MODAL, "a turning cycle"),
    REFUSED('G', 710, LATHES, CW_NC_NON_MODAL, "a turning cycle"),
    REFUSED('G', 720, LATHES, CW_NC_NON_MODAL, "a turning cycle"),
    REFUSED('G', 730, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 740, LATHES, CW_NC_NON_MODAL, "a turning cycle"),
    REFUSED('G', 750, LATHES, CW_NC_NON_MODAL, "a turning cycle"),
    REFUSED('G', 760, ALL, CW_NC_MOTION, "a threading cycle of several passes"),
    PLAIN('G', 800, ALL, CW_NC_MOTION, CW_NC_NO_MOTION),
    REFUSED('G', 810, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 820, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 830, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 840, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 850, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 860, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 870, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 880, ALL, CW_NC_MOTION, "a canned cycle"),
    REFUSED('G', 890, ALL, CW_NC_MOTION, "a canned cycle"),
    PLAIN('G', 900, NGC | F33, CW_NC_DISTANCE, CW_NC_ABSOLUTE),
    PLAIN('G', 910, NGC | F33, CW_NC_DISTANCE, CW_NC_INCREMENTAL),
    REFUSED('G', 900, F32, CW_NC_MOTION, "a turning cycle in this lathe family; steps are written with U and W"),
    REFUSED('G', 910, F32, CW_NC_MOTION, "not used in this lathe family; steps are written with U and W"),
    PLAIN('G', 901, NGC, CW_NC_ARC_DISTANCE, CW_NC_NO_EFFECT),
    PLAIN('G', 911, NGC, CW_NC_ARC_DISTANCE, CW_NC_NO_EFFECT),
    PLAIN('G', 920, NGC, CW_NC_NON_MODAL, CW_NC_SHIFT),
    PLAIN('G', 920, F33, CW_NC_NON_MODAL, CW_NC_SPEED_LIMIT),
    REFUSED('G', 920, F32, CW_NC_MOTION, "a threading cycle in this lathe family"),
    PLAIN('G', 921, NGC, CW_NC_NON_MODAL, CW_NC_SHIFT_ZERO),
    PLAIN('G', 922, NGC, CW_NC_NON_MODAL, CW_NC_SHIFT_SUSPEND),
    PLAIN('G', 923, NGC, CW_NC_NON_MODAL, CW_NC_SHIFT_RESTORE),
    PLAIN('G', 930, NGC, CW_NC_FEED_MODE, CW_NC_INVERSE_TIME),
    PLAIN('G', 940, NGC | F33, CW_NC_FEED_MODE, CW_NC_PER_MINUTE),
    REFUSED('G', 940, F32, CW_NC_MOTION, "a facing cycle in this lathe family; feed per minute is G98"),
    PLAIN('G', 950, NGC | F33, CW_NC_FEED_MODE, CW_NC_PER_TURN),
    REFUSED('G', 950, F32, CW_NC_FEED_MODE, "not used in this lathe family; feed per turn is G99"),
    PLAIN('G', 960, ALL, CW_NC_SPINDLE_MODE, CW_NC_SURFACE_SPEED),
    PLAIN('G', 970, ALL, CW_NC_SPINDLE_MODE, CW_NC_CONSTANT_SPEED),
    PLAIN('G', 980, F32, CW_NC_FEED_MODE, CW_NC_PER_MINUTE),
    PLAIN('G', 990, F32, CW_NC_FEED_MODE, CW_NC_PER_TURN),
    PLAIN('G', 980, NGC | F33, CW_NC_RETURN, CW_NC_NO_EFFECT),
    PLAIN('G', 990, NGC | F33, CW_NC_RETURN, CW_NC_NO_EFFECT),

    PLAIN('M', 0, ALL, CW_NC_STOPPING, CW_NC_STOP),
    PLAIN('M', 10, ALL, CW_NC_STOPPING, CW_NC_OPTIONAL_STOP),
    PLAIN('M', 20, ALL, CW_NC_STOPPING, CW_NC_END),
    PLAIN('M', 30, ALL, CW_NC_SPINDLE, CW_NC_CLOCKWISE),
    PLAIN('M', 40, ALL, CW_NC_SPINDLE, CW_NC_COUNTER_CLOCKWISE),
    PLAIN('M', 50, ALL, CW_NC_SPINDLE, CW_NC_SPINDLE_OFF),
    PLAIN('M', 60, ALL, CW_NC_TOOL_CHANGE, CW_NC_NO_EFFECT),
    PLAIN('M', 70, ALL, CW_NC_COOLANT, CW_NC_NO_EFFECT),
    PLAIN('M', 80, ALL, CW_NC_COOLANT, CW_NC_NO_EFFECT),
    PLAIN('M', 90, ALL, CW_NC_COOLANT, CW_NC_NO_EFFECT),
    PLAIN('M', 300, ALL, CW_NC_STOPPING, CW_NC_END_AND_REWIND),
    PLAIN('M', 480, NGC, CW_NC_OVERRIDES, CW_NC_NO_EFFECT),
    PLAIN('M', 490, NGC, CW_NC_OVERRIDES, CW_NC_NO_EFFECT),
    PLAIN('M', 600, NGC, CW_NC_STOPPING, CW_NC_STOP),
    REFUSED('M', 980, ALL, CW_NC_STOPPING, "the call of a subprogram"),
    REFUSED('M', 990, ALL, CW_NC_STOPPING, "the end of a subprogram"),
};

enum { WORD_COUNT = sizeof words / sizeof words[0] };

cw_nc_dialect cw_nc__dialect_of(cw_code code)
{
    switch (code) {
    case CW_G32_F:
    case CW_G99:
        return CW_NC_F32;
    case CW_G33_F:
        return CW_NC_F33;
    case CW_G33_K:
    case CW_G95:
    case CW_ROTARY_A:
    case CW_NO_CODE:
    case CW_CODE_COUNT:
        break;
    }
    return CW_NC_NGC;
}

const char *cw_nc__dialect_name(cw_nc_dialect dialect)
{
    switch (dialect) {
    case CW_NC_F32:
        return "the lathe family that threads with G32";
    case CW_NC_F33:
        return "the lathe family that threads with G33 and F";
    case CW_NC_NGC:
        break;
    }
    return "RS-274/NGC";
}

void cw_nc__vocabulary(cw_nc_dialect dialect, cw_nc_vocabulary *vocabulary)
{
    memset(vocabulary, 0, sizeof *vocabulary);
    vocabulary->dialect = dialect;
    for (size_t i = 0; i < WORD_COUNT; i++) {
        if (!(words[i].dialects & (unsigned)dialect))
            continue;
        if (words[i].letter == 'G')
            vocabulary->g[words[i].tenths] = &words[i];
        else
            vocabulary->m[words[i].tenths / 10] = &words[i];
    }
}

const cw_nc_word *cw_nc__word_for(cw_nc_dialect dialect, cw_nc_meaning meaning)
{
    for (size_t i = 0; i < WORD_COUNT; i++)
        if ((words[i].dialects & (unsigned)dialect) && words[i].meaning == meaning)
            return &words[i];
    return NULL;
}

const cw_nc_word *cw_nc__word_numbered(cw_nc_dialect dialect, char letter, int tenths)
{
    for (size_t i = 0; i < WORD_COUNT; i++)
        if ((words[i].dialects & (unsigned)dialect) && words[i].letter == letter && words[i].tenths == tenths)
            return &words[i];
    return NULL;
}

void cw_nc__word_name(char letter, int tenths, char *buffer, size_t size)
{
    if (tenths % 10 == 0)
        snprintf(buffer, size, "%c%d", letter, tenths / 10);
    else
        snprintf(buffer, size, "%c%d.%d", letter, tenths / 10, tenths % 10);
}

bool cw_nc__letter_allowed(cw_nc_dialect dialect, char letter)
{
    /* report, table 3 [NC 1.4]; U and W are steps in X and Z in the first lathe family [NC 11] */
    const char *letters = dialect == CW_NC_NGC ? "ABCDFGHIJKLMPQRSTXYZ" :
                          dialect == CW_NC_F32 ? "FGMPSTUWXZ" : "FGMPSTXZ";

    return letter != '\0' && strchr(letters, letter) != NULL;
}
