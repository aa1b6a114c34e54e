/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the HTML sheet share: text, tables and pictures of a page under way. */
#ifndef CW_SHEET_HTML_INTERNAL_H
#define CW_SHEET_HTML_INTERNAL_H

#include "sheet/sheet_internal.h"

typedef struct cw_html {
    cw_text *out;
    const cw_sheet_content *content;
    cw_status status;   /* first failure of a picture */
    cw_error *error;
} cw_html;

/** Text with &, <, > and quotes as entities; bytes that are no UTF-8 and control characters as a replacement mark. */
void cw_html__text(cw_html *page, const char *text);

/** Opens and closes <section> under a heading; `id` is what the contents link to, NULL none. */
void cw_html__section(cw_html *page, const char *id, const char *heading);
void cw_html__end(cw_html *page);

void cw_html__paragraph(cw_html *page, const char *class_name, const char *text);
void cw_html__lines(cw_html *page, const cw_sheet_line *lines, size_t count);

/** A table with a heading for every column; caption for those who hear it. */
void cw_html__table(cw_html *page, const char *caption, const cw_column *columns, size_t column_count,
                    const char *const *cells, size_t row_count);

/** An <img> that holds the drawing; SVG, or PNG where that would be large. */
void cw_html__picture(cw_html *page, const cw_sheet_picture *picture, double width_mm);

/** The cautions of a place as an aside under a heading of that rank. */
void cw_html__cautions(cw_html *page, cw_sheet_place place, int rank);

#endif
