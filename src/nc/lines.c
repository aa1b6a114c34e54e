/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A program in pieces, line by line, in memory that does not grow. */
#include "nc/nc_replay.h"

#include <string.h>

/* Moves what is left to the front and reads on until the chunk is full or the source is dry. */
void cw_nc__fill_lines(cw_nc_lines *lines)
{
    size_t left = lines->filled - lines->at;

    memmove(lines->bytes, lines->bytes + lines->at, left);
    lines->at = 0;
    lines->filled = left;
    while (!lines->drained && lines->filled < CW_NC_CHUNK) {
        size_t got = lines->source(lines->context, lines->bytes + lines->filled, CW_NC_CHUNK - lines->filled);

        lines->drained = got == 0;
        lines->filled += got;
    }
}

static size_t line_end(const cw_nc_lines *lines)
{
    size_t i = lines->at;

    while (i < lines->filled && lines->bytes[i] != '\n' && lines->bytes[i] != '\r')
        i++;
    return i;
}

/* Passes over the end of line at `end`; LF behind CR belongs to it. */
static void pass_end(cw_nc_lines *lines, size_t end)
{
    bool pair = end + 1 < lines->filled && lines->bytes[end] == '\r' && lines->bytes[end + 1] == '\n';

    lines->at = end + (pair ? 2 : 1);
}

/* The rest of a line that is longer than the chunk is of no use to anybody. */
static void drop_rest(cw_nc_lines *lines)
{
    size_t end;

    do {
        lines->at = lines->filled;
        cw_nc__fill_lines(lines);
        end = line_end(lines);
    } while (end == lines->filled && lines->filled > 0);
    if (end < lines->filled)
        pass_end(lines, end);
}

bool cw_nc__next_line(cw_nc_lines *lines, const char **text, size_t *length)
{
    size_t end = line_end(lines);

    /* One byte more than the line's end must be there, or a CR LF could be torn apart. */
    if (end + 1 >= lines->filled && !lines->drained) {
        cw_nc__fill_lines(lines);
        end = line_end(lines);
    }
    if (lines->at == lines->filled)
        return false;
    lines->line++;
    *text = lines->bytes + lines->at;
    *length = end - lines->at;
    if (end < lines->filled) {
        pass_end(lines, end);
    } else if (lines->drained) {
        lines->at = end;
    } else {
        *length = CW_NC_LINE_MOST + 1; /* long enough to be refused, wherever the rest goes */
        drop_rest(lines);
        *text = lines->bytes;
    }
    return true;
}
