/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/csv.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *after_line(const char *line)
{
    const char *end = strchr(line, '\n');

    return end != NULL ? end + 1 : line + strlen(line);
}

static size_t line_length(const char *line)
{
    return strcspn(line, "\r\n");
}

void cw_csv_begin(cw_csv *csv, const char *text)
{
    while (*text == '#')
        text = after_line(text);
    csv->header = text;
    csv->next = after_line(text);
    csv->row = NULL;
}

bool cw_csv_step(cw_csv *csv)
{
    while (*csv->next == '#' || *csv->next == '\n' || *csv->next == '\r')
        csv->next = after_line(csv->next);
    if (*csv->next == '\0')
        return false;
    csv->row = csv->next;
    csv->next = after_line(csv->next);
    return true;
}

/* The index-th field of a line; length 0 beyond its last. */
static const char *field_at(const char *line, size_t index, size_t *length)
{
    const char *end = line + line_length(line);

    for (; index > 0; index--) {
        const char *comma = memchr(line, ',', (size_t)(end - line));

        line = comma != NULL ? comma + 1 : end;
    }
    *length = strcspn(line, ",\r\n");
    if (line + *length > end)
        *length = (size_t)(end - line);
    return line;
}

const char *cw_csv_field(const cw_csv *csv, const char *heading, size_t *length)
{
    const char *end = csv->header + line_length(csv->header);
    const char *at = csv->header;
    size_t wanted = strlen(heading);

    for (size_t index = 0; at <= end; index++) {
        size_t width = strcspn(at, ",\r\n");

        if (width == wanted && memcmp(at, heading, width) == 0)
            return field_at(csv->row, index, length);
        at += width + 1;
    }
    assert(!"a table lacks the heading that its reader asks for");
    *length = 0;
    return end;
}

double cw_csv_number(const cw_csv *csv, const char *heading)
{
    size_t length;
    const char *field = cw_csv_field(csv, heading, &length);
    char *end;
    double value;

    if (length == 0)
        return NAN;
    value = strtod(field, &end);
    return end == field + length ? value : NAN;
}

bool cw_csv_is(const cw_csv *csv, const char *heading, const char *word)
{
    size_t length;
    const char *field = cw_csv_field(csv, heading, &length);

    return length == strlen(word) && memcmp(field, word, length) == 0;
}
