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

/** All rows of a table, over pages where needed, its heading repeated. Moves y below it. */
void cw_sheet__table(cw_sheet__setter *s, const cw_table *table);

/** The cautions of one place as one box; nothing where there are none. */
void cw_sheet__cautions(cw_sheet__setter *s, cw_sheet_place place, const char *heading);

/* The parts of the sheet, in their order. */
void cw_sheet__masthead(cw_sheet__setter *s);
void cw_sheet__wind_this(cw_sheet__setter *s);
void cw_sheet__came_in(cw_sheet__setter *s);
void cw_sheet__what_it_was(cw_sheet__setter *s);
void cw_sheet__order(cw_sheet__setter *s);
void cw_sheet__section(cw_sheet__setter *s);
void cw_sheet__layers(cw_sheet__setter *s);
void cw_sheet__checks(cw_sheet__setter *s);
void cw_sheet__notes(cw_sheet__setter *s);

#endif
