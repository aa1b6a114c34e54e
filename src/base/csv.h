/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reads the project's own tables: lines of plain comma-separated fields, `#` comment lines, one header line.
 * No quoting: tools/embed.py refuses a table with quotes. */
#ifndef CW_BASE_CSV_H
#define CW_BASE_CSV_H

#include "coilwright/base.h"

typedef struct cw_csv {
    const char *next;   /* rest of the text */
    const char *header; /* start of the header line */
    const char *row;    /* start of the current row, NULL before the first */
} cw_csv;

/** Begins at the header line; the text is lent. */
void cw_csv_begin(cw_csv *csv, const char *text);

/** Steps to the next row; false at the end. */
bool cw_csv_step(cw_csv *csv);

/** The field under that heading as a slice; length 0 where the cell is empty. An unknown heading is a programming
 *  mistake (asserted). */
const char *cw_csv_field(const cw_csv *csv, const char *heading, size_t *length);

/** The same as a number; NAN where the cell is empty or no number. */
double cw_csv_number(const cw_csv *csv, const char *heading);

/** Whether the cell holds exactly this word. */
bool cw_csv_is(const cw_csv *csv, const char *heading, const char *word);

#endif
