/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of this room share: a sheet being set, from top to bottom and page to page. */
#ifndef CW_SHEET_INTERNAL_H
#define CW_SHEET_INTERNAL_H

#include "coilwright/sheet.h"

/* Two columns with a gutter; distances that repeat. */
#define SHEET_MARGIN_MM 16.0
#define SHEET_GUTTER_MM 8.0
#define SHEET_GAP_MM 5.2     /* between sections */

/** The sheet is set twice: muted to count its pages, then for good with "page x of y". */
typedef struct cw_sheet__setter {
    cw_canvas *canvas;
    const cw_sheet_content *content;
    double width_mm, height_mm; /* of the page */
    double left, measure;       /* of the type area, mm */
    double bottom;              /* of the type area */
    double y;                   /* where the next thing goes */
    int page;                   /* from 1 */
    int pages;                  /* 0 while they are counted */
    int part_page[CW_SHEET_PART_COUNT]; /* where each begins; 0 nowhere */
    bool no_memory;
} cw_sheet__setter;

/** Begins a page: frame drawn, y at the top. */
void cw_sheet__page(cw_sheet__setter *s);

/** Begins a page unless this one has room for so many millimetres. */
void cw_sheet__need(cw_sheet__setter *s, double height_mm);

/** A section heading, kept together with so many millimetres of what follows. Moves y below it. */
void cw_sheet__heading(cw_sheet__setter *s, const char *text, double with_mm);
#define SHEET_HEADING_MM 7.5

/** Label and value one above the other in rows, in a box of that width; returns the height. */
double cw_sheet__lines(cw_canvas *canvas, double x, double y, double width_mm, const cw_sheet_line *lines,
                       size_t count);

/** The same in two columns, the left one first, under a heading (NULL none). Moves y below it. */
void cw_sheet__two_columns(cw_sheet__setter *s, const char *heading, const cw_sheet_line *lines, size_t count);

/** All rows of a table, over pages where needed, its heading repeated. Moves y below it. */
void cw_sheet__table(cw_sheet__setter *s, const cw_table *table);

/** The cautions of one place as one box; nothing where there are none. */
void cw_sheet__cautions(cw_sheet__setter *s, cw_sheet_place place);

/** Whether there is a name, and a label that a code holds. */
cw_status cw_sheet__check(const cw_sheet_content *content, cw_error *error);

/** Whether a part is asked for and there is something to show of it. */
bool cw_sheet__has(const cw_sheet_content *content, cw_sheet_part part);

/** More than a job sheet of two or three pages: parts stand on pages of their own where they do not fit together. */
bool cw_sheet__is_grown(const cw_sheet_content *content);

/** "What came in" of the part that its first heading names. */
const char *cw_sheet__part_title(cw_sheet_part part);

/** Notes the page on which a part begins. */
void cw_sheet__begin(cw_sheet__setter *s, cw_sheet_part part);

/** The texts of one place: `texts` has room for all; returns how many there are. */
size_t cw_sheet__caution_texts(const cw_sheet_content *content, cw_sheet_place place, const char **texts);
#define SHEET_CAUTIONS_MOST 64

const char *cw_sheet__place_heading(cw_sheet_place place);

/** The checks of the content, or the usual ones. */
const cw_sheet_check *cw_sheet__checks_of(const cw_sheet_content *content, size_t *count);

/** "one strand", "TWO strands side by side". */
const char *cw_sheet__strands(int in_hand);

/** What the panel says of a winding that is deeper than its window. */
void cw_sheet__misfit(const cw_sheet_content *content, char *buffer, size_t size);

/* What is printed of a layer; kept until the sheet is set. */
enum { SHEET_LAYER_BYTES = 24, SHEET_LAYER_TEXTS = 7 };
typedef struct cw_sheet__layer_texts {
    char texts[SHEET_LAYER_TEXTS][SHEET_LAYER_BYTES]; /* layer, way, turns, counter, from, to, diameter */
} cw_sheet__layer_texts;
void cw_sheet__layer_texts_of(const cw_sheet_content *content, size_t index, cw_sheet__layer_texts *to);

/** "finish lead", "STOP: sheet on" or NULL. */
const char *cw_sheet__then(const cw_winding *winding, size_t index);

/** The label with its code as a picture. CW_BAD_INPUT where the data are more than a code holds. */
#define SHEET_LABEL_WIDTH_MM 86.0
#define SHEET_LABEL_HEIGHT_MM 44.0
cw_status cw_sheet__label_check(const cw_sheet_content *content, cw_error *error);
void cw_sheet__label_draw(cw_canvas *canvas, cw_box box, const cw_sheet_content *content, bool *no_memory);

/* The parts of the sheet, in their order. */
void cw_sheet__masthead(cw_sheet__setter *s);
void cw_sheet__verdict(cw_sheet__setter *s);
void cw_sheet__wind_this(cw_sheet__setter *s);
void cw_sheet__glance(cw_sheet__setter *s);
void cw_sheet__contents(cw_sheet__setter *s);
void cw_sheet__came_in(cw_sheet__setter *s);
void cw_sheet__what_it_was(cw_sheet__setter *s);
void cw_sheet__order(cw_sheet__setter *s);
void cw_sheet__section(cw_sheet__setter *s);
void cw_sheet__program(cw_sheet__setter *s);
void cw_sheet__layers(cw_sheet__setter *s);
void cw_sheet__blocks(cw_sheet__setter *s, cw_sheet_part part);
void cw_sheet__checks(cw_sheet__setter *s);
void cw_sheet__label(cw_sheet__setter *s);
void cw_sheet__notes(cw_sheet__setter *s);

#endif
