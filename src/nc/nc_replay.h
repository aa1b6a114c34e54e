/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What replay is made of: lines as they come, and a guess at the dialect. */
#ifndef CW_NC_REPLAY_H
#define CW_NC_REPLAY_H

#include "nc/nc_simulation.h"

#define CW_NC_CHUNK 65536 /* bytes read at a time; a dialect is found from the first of them */

/** Lines of a program that comes in pieces. CR, LF or both end a line [NC 1.1]. */
typedef struct cw_nc_lines {
    cw_program_source source;
    void *context;
    char bytes[CW_NC_CHUNK];
    size_t at, filled;
    bool drained;         /* the source has no more */
    int line;
} cw_nc_lines;

/** The next line, lent until the next call. false: there is none.
 *  A line longer than the chunk comes cut, which is far beyond what the reader takes. */
bool cw_nc__next_line(cw_nc_lines *lines, const char **text, size_t *length);

/** Fills the chunk, so that the first of the program can be looked at before it is read. */
void cw_nc__fill_lines(cw_nc_lines *lines);

/** Which code a program is written in, by its words: G32, U and W are the one lathe family's, G33 with F and no K the
 *  other's, a rotary axis without a spindle a winder's; else RS-274/NGC.
 *  traverse  receives CW_NC_X, Y or Z: the axis that moves with a rotary one, else Z */
cw_code cw_nc__detect(const char *text, size_t length, int *traverse);

#endif
