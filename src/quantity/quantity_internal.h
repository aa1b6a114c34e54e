/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files of this room: the text as characters, the table of kinds and units, and the search in it. */
#ifndef CW_QUANTITY_INTERNAL_H
#define CW_QUANTITY_INTERNAL_H

#include "coilwright/quantity.h"

#include <stdint.h>

enum {
    CW_QUANTITY_LONGEST = 120, /* characters; a quantity with doubt and condition takes a third of it */
    CW_QUANTITY_FIGURES = 40   /* of one number */
};

/** The text as code points, so that an index is a column. Spellings that look alike are made one (µ and μ, both ohm
 *  signs, curly quotes for inch and foot, the true minus); `text` and `byte` keep what was written, for quoting. */
typedef struct cw_source {
    const char *text;
    int count;
    uint32_t code[CW_QUANTITY_LONGEST + 1]; /* [count] is 0 */
    int byte[CW_QUANTITY_LONGEST + 1];      /* offset of each character in text; [count] is its end */
    cw_place at;                            /* of the first character */
    cw_kind kind;                           /* what is expected */
    cw_error *error;
} cw_source;

/** A spelling of a unit: SI value = (number - zero) * factor. */
typedef struct cw_unit {
    const char *name;
    double factor;
    double zero;
    bool case_matters; /* another case would mean something else to somebody */
} cw_unit;

typedef struct cw_kind_row {
    const char *name;    /* with its article */
    const char *example;
    const cw_unit *units;
    int unit_count;
    bool several_terms;  /* 2 lb 3 oz */
    bool bare;           /* a number alone is enough */
    bool quotient;       /* units of `over` by units of `under`, beside those of its own */
    cw_kind over, under;
} cw_kind_row;

const cw_kind_row *cw_quantity__kind(cw_kind kind);

/** A number as written. The figures of a decimal are kept, so that a unit of a power of ten moves its point and nothing
 *  is rounded twice: 0.331 mm is the very double that 0.000331 is. */
typedef struct cw_number {
    double value;
    char figures[CW_QUANTITY_FIGURES + 1]; /* without a point; "" where it is a fraction */
    long exponent;                         /* of ten, behind the last figure */
} cw_number;

/** SI value of a number in a unit, and the other way round. */
double cw_quantity__to_si(const cw_unit *unit, const cw_number *number);
double cw_quantity__from_si(const cw_unit *unit, double value);

/** The double of figures and a power of ten, correctly rounded. */
double cw_quantity__decimal(const char *figures, long exponent);

/** Makes characters of the text; refuses what is not UTF-8, control characters and overlong text. */
cw_status cw_quantity__source(cw_kind kind, const char *text, size_t length, const cw_place *at, cw_source *source,
                              cw_error *error);

/** The longest unit of that kind that stands at `from`, whole words only. Returns where it ends, or -1. */
int cw_quantity__unit_at(const cw_source *source, int from, cw_kind kind, cw_unit *unit);

/** Reads one number and moves *position behind it. A sign is refused where it is not allowed. */
cw_status cw_quantity__number(const cw_source *source, int *position, bool sign_allowed, cw_number *number);

/** Refuses with the place of character `index` and "a length, as in 58 mm" as what is expected. */
cw_status cw_quantity__refuse(const cw_source *source, int index, const char *format, ...) CW_PRINTF(3, 4);

/** Copies what was written from one character to before another, cut to what a sentence can bear. */
const char *cw_quantity__quote(const cw_source *source, int from, int to, char buffer[80]);

int cw_quantity__skip_blanks(const cw_source *source, int from);
bool cw_quantity__digit(uint32_t code);

#endif
