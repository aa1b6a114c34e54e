/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading one line of a program: numbers, expressions, words, and what of it may stand together.
 *
 * Four steps a line: copy the modal state, read the whole block, check all of it, only then act. This header is the
 * second and the first half of the third (what needs no state); nc_interpreter.h is the rest. */
#ifndef CW_NC_READER_H
#define CW_NC_READER_H

#include "nc/nc_words.h"

#define CW_NC_LINE_MOST 256       /* characters [NC 1.1] */
#define CW_NC_PARAMETER_MOST 5399 /* [NC 1.6] */
#define CW_NC_SETTINGS_MOST 64    /* parameters set in one line; 256 characters do not hold more of four characters */
#define CW_NC_NUMBER_MOST 1e9     /* beyond, no control has digits for it */
#define CW_NC_M_MOST 4            /* M words in a block [NC 1.4] */

/** A parameter set by a line; takes effect behind the whole line. */
typedef struct cw_nc_setting {
    int index;
    double value;
} cw_nc_setting;

/** A line as read. Letters are counted from A. */
typedef struct cw_nc_block {
    int line;
    unsigned present;     /* bit of each letter that has a value, G, M and N left out */
    unsigned whole;       /* bit of each letter whose number had neither point nor bracket: G4 P of the lathes */
    double value[26];     /* valid where `present` says so */
    const cw_nc_word *code[CW_NC_GROUP_COUNT];
    int codes;            /* G and M words together */
    int m_count;
    cw_nc_setting settings[CW_NC_SETTINGS_MOST];
    size_t setting_count;
    bool mixed_logic;     /* an expression where report and descendant disagree [NC 1.7] */
} cw_nc_block;

/** Everything that reading a line needs; lives as long as the program. */
typedef struct cw_nc_reader {
    cw_nc_vocabulary vocabulary;
    const char *name;     /* of the program, for messages; may be NULL */
    double parameters[CW_NC_PARAMETER_MOST + 1];
} cw_nc_reader;

/** Where reading stands in a line. */
typedef struct cw_nc_cursor {
    const cw_nc_reader *reader;
    const char *text;
    size_t length, at;
    int line;
    int depth;            /* of brackets and ## */
    bool mixed_logic;
    cw_error *error;
} cw_nc_cursor;

bool cw_nc__has(const cw_nc_block *block, char letter);
double cw_nc__value(const cw_nc_block *block, char letter);

/** Reads and checks a line without its end of line. A line that is blank or a comment gives an empty block. */
cw_status cw_nc__read_block(const cw_nc_reader *reader, const char *text, size_t length, int line, cw_nc_block *block,
                            cw_error *error);

/** Checks what may stand together in a block whatever the state: words without a user, axis words that two codes want,
 *  signs. */
cw_status cw_nc__check_block(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error);

/* The lexer. Blanks and tabs mean nothing outside comments, even inside numbers [NC 1.1]. */

/** The next character that means something, in upper case, '\0' at the end of the line; stands on it. */
char cw_nc__peek(cw_nc_cursor *cursor);

/** CW_BAD_INPUT with the place of the cursor. */
cw_status cw_nc__fault(const cw_nc_cursor *cursor, const char *expected, const char *format, ...) CW_PRINTF(3, 4);

/** A number by the grammar: a sign, digits, a point, digits; at least one digit, no exponent. */
cw_status cw_nc__read_number(cw_nc_cursor *cursor, double *value, bool *whole);

/** A real value: number, [expression], function or parameter. */
cw_status cw_nc__read_value(cw_nc_cursor *cursor, double *value, bool *whole);

/** The index behind a #, which the cursor stands behind. */
cw_status cw_nc__read_index(cw_nc_cursor *cursor, int *index);

/** Whether `value` is an integer as controls see it: within 0.0001 [NC 1.5]. */
bool cw_nc__is_integer(double value, long *integer);

#endif
