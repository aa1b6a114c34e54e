/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job sheet: one to three pages from which somebody who has never seen this program can wind the coil.
 *
 * Knows: what stands on the sheet, in which order, and how it is set; the cautions and checks that belong to every
 * rewound coil. Needs: base, quantity, winding, draw. Refuses to know: how any of it was found; it computes nothing
 * about coils and prints texts as they are handed to it.
 *
 * Page one tells the job: what to wind, what came in, what it was, why this wire, what to order. Page two goes to the
 * machine: cross-section, cautions, program, the winding table with boxes to tick. Page three goes to the test bench:
 * checks with room for the reading and a signature, and cautions for use. Tables that are longer go on over pages.
 *
 * Texts are UTF-8; the typeface has no arrows. NULL texts and empty lists leave their part out. */
#ifndef COILWRIGHT_SHEET_H
#define COILWRIGHT_SHEET_H

#include "coilwright/base.h"
#include "coilwright/draw.h"
#include "coilwright/quantity.h"
#include "coilwright/winding.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_sheet_paper { CW_SHEET_A4, CW_SHEET_LETTER, CW_SHEET_PAPER_COUNT } cw_sheet_paper;

/** "spool needed" and "0.42 kg", say. */
typedef struct cw_sheet_line {
    const char *label, *value;
} cw_sheet_line;

/** One candidate of the answer, most probable first. */
typedef struct cw_sheet_candidate {
    const char *wire;       /* "29 AWG heavy, copper, one strand" */
    const char *turns;      /* "1850", or an interval "1790 to 1905" */
    const char *length, *resistance;
    double probability;     /* 0 to 1 */
} cw_sheet_candidate;

/** What the finished coil must measure under one condition. */
typedef struct cw_sheet_limit {
    const char *condition;  /* "at 20 °C", "at 24 °C in the shop" */
    const char *aim, *low, *high; /* "86.0 ohm" */
} cw_sheet_limit;

/** A check on the finished coil. */
typedef struct cw_sheet_check {
    const char *what;       /* "Winding resistance" */
    const char *how;        /* how to do it, and on what the limit rests */
    const char *limit;      /* "81.7 to 90.3 ohm at 24 °C" */
} cw_sheet_check;

/** Beside which work a caution is printed. */
typedef enum cw_sheet_place {
    CW_BEFORE_WINDING,
    CW_BEFORE_TESTING,
    CW_BEFORE_USE,
    CW_SHEET_PLACE_COUNT
} cw_sheet_place;

typedef struct cw_sheet_caution {
    cw_sheet_place place;
    const char *text;
} cw_sheet_caution;

/** Everything on the sheet; all of it stays the caller's. Zero-initialise, then fill what there is. */
typedef struct cw_sheet_content {
    const char *title;      /* the job's name; needed */
    const char *machine, *note;
    const char *date;       /* "2031-05-17", from the caller, never the clock; NULL leaves room to write it */
    cw_unit_system units;   /* of what the sheet itself measures out: guide positions, dimensions */

    const cw_reading_mark *readings; /* what came in; `value` holds the temperature too: "84.2 ohm at 24 °C" */
    size_t reading_count;

    const cw_sheet_candidate *candidates; /* what it was */
    size_t candidate_count;
    const char *answer;     /* a sentence on how sure that is */

    const char *wire;       /* what to wind: "29 AWG" or "0.280 mm", large on the sheet */
    const char *covering;   /* "heavy enamel, copper, class 180" */
    const cw_sheet_limit *limits; /* of resistance: at 20 °C and at the shop's temperature */
    size_t limit_count;
    const char *const *reasons; /* why this wire, drawbacks first */
    size_t reason_count;
    const cw_winding *winding;  /* NULL: nothing fits, and the sheet says so */

    const cw_sheet_line *order; /* wire to order */
    size_t order_count;

    const cw_sheet_line *program; /* machine, file, code, speed, time ... */
    size_t program_count;
    const long *counter;    /* [winding->layer_count] counter at the end of each layer, as the replay found it;
                               NULL: the winding's own totals */

    const cw_sheet_check *checks; /* NULL: cw_sheet_usual_checks */
    size_t check_count;
    const cw_sheet_caution *cautions; /* NULL: cw_sheet_usual_cautions */
    size_t caution_count;
} cw_sheet_content;

/** The cautions and checks that belong to every rewound coil; constant, lent. The checks are those whose limits do not
 *  depend on the coil: the caller puts the others, winding resistance first of all, before them.
 *  Sources: tests_and_safety and winding facts, cited in src/sheet/usual.c. */
CW_API const cw_sheet_caution *cw_sheet_usual_cautions(size_t *count);
CW_API const cw_sheet_check *cw_sheet_usual_checks(size_t *count);

/** Writes the sheet as PDF.
 *
 *  CW_BAD_INPUT  no title, a date that is none
 *  out           the bytes are appended; nothing on failure
 *
 *  The same content gives the same bytes. Test: tests/sheet/test_sheet.c */
CW_API cw_status cw_sheet_write(const cw_sheet_content *content, cw_sheet_paper paper, cw_text *out, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
