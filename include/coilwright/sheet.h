/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job sheet: what somebody who has never seen this program winds, proves and labels the coil by. As PDF and as HTML.
 *
 * Knows: what stands on the sheet, in which order, and how it is set; the cautions and checks that belong to every
 * rewound coil. Needs: base, quantity, winding, draw, and the library for QR codes. Refuses to know: how any of it was
 * found; it computes nothing about coils and prints texts and pictures as they are handed to it.
 *
 * The parts come in the order of the work: cover, evidence, answer, former, winding and program, magnet, heat,
 * switching, tests, cautions, label. Parts that nothing was given for are left out, and so are those that were not
 * asked for. A sheet without pictures and tests of its own is a job sheet of two or three pages; with them every part
 * begins where it fits, and the cover says on which page.
 *
 * Cautions stand beside the work that they belong to, whichever parts are asked for.
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
    const char *reading;    /* as taken; NULL leaves room to write it */
    const char *verdict;    /* "pass", "fail"; NULL a box to tick */
} cw_sheet_check;

/** Parts of the sheet, in their order. */
typedef enum cw_sheet_part {
    CW_SHEET_COVER,         /* whose coil, what to wind, at a glance, what stands where */
    CW_SHEET_EVIDENCE,      /* what came in, what it was */
    CW_SHEET_ANSWER,        /* why this wire, what to order */
    CW_SHEET_FORMER,
    CW_SHEET_WINDING,       /* section and table to tick, with the cautions before winding */
    CW_SHEET_PROGRAM,
    CW_SHEET_MAGNET,
    CW_SHEET_HEAT,
    CW_SHEET_SWITCHING,
    CW_SHEET_TESTS,         /* with the cautions before testing */
    CW_SHEET_CAUTIONS,      /* before it goes back to work */
    CW_SHEET_LABEL,
    CW_SHEET_PART_COUNT
} cw_sheet_part;

/** "cover", "evidence" ... and back; false for a word that is none. */
CW_API const char *cw_sheet_part_name(cw_sheet_part part);
CW_API bool cw_sheet_part_find(const char *name, size_t length, cw_sheet_part *part);

/** Something drawn by a room that knows how; `figure` is handed through. */
typedef struct cw_sheet_picture {
    void (*draw)(cw_canvas *canvas, cw_box box, const void *figure);
    double (*height_mm)(cw_canvas *canvas, const void *figure, double width_mm); /* that suits it */
    const void *figure;
    const char *says;       /* what is to be seen, for those who cannot see it */
    bool lying;             /* wider than high and full of small figures: on paper it fills a page, turned */
} cw_sheet_picture;

/** A table of a block: widths of the columns as shares of the measure. */
typedef struct cw_sheet_grid {
    const cw_column *columns;
    size_t column_count;
    const char *const *cells; /* [row_count][column_count] */
    size_t row_count;
} cw_sheet_grid;

/** A piece of a part, top to bottom: heading, text, lines, table, picture; whatever is given. */
typedef struct cw_sheet_block {
    cw_sheet_part part;
    const char *heading;    /* NULL: goes on under the last */
    const char *text;
    const cw_sheet_line *lines;
    size_t line_count;
    cw_sheet_grid grid;
    cw_sheet_picture picture; /* draw NULL: none */
} cw_sheet_block;

typedef enum cw_sheet_verdict { CW_SHEET_NO_VERDICT, CW_SHEET_OPEN, CW_SHEET_PASS, CW_SHEET_FAIL } cw_sheet_verdict;

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

    unsigned parts;         /* that are wanted, 1u << CW_SHEET_COVER ...; 0 all */
    cw_sheet_verdict verdict; /* of the proof, large on the cover */
    const char *verdict_text; /* "2 of 9 tests passed, none failed" */
    const cw_sheet_line *glance; /* what matters most, on the cover */
    size_t glance_count;
    const cw_sheet_block *blocks; /* of any parts, in their order within a part */
    size_t block_count;
    const cw_sheet_line *label; /* to stick on the coil */
    size_t label_count;
    const char *label_data; /* of its QR code; NULL: the label's lines */
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

/** Writes the sheet as one HTML file that needs nothing else: no scripts, no fonts, no pictures from elsewhere. Boxes can
 *  be ticked and readings typed in before it is printed; paper sets the size it asks a printer for.
 *
 *  As cw_sheet_write. Test: tests/sheet/test_html.c */
CW_API cw_status cw_sheet_write_html(const cw_sheet_content *content, cw_sheet_paper paper, cw_text *out,
                                     cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
