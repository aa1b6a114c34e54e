/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text as characters with columns, and refusals that point at one of them. */
#include "quantity/quantity_internal.h"

#include <stdio.h>
#include <string.h>

/* Keyboards, meters' manuals and word processors write one sign in several ways. */
static uint32_t one_spelling(uint32_t code)
{
    static const struct { uint32_t from, to; } alike[] = {
        { '\t', ' ' }, { 0x00A0, ' ' }, { 0x2009, ' ' }, { 0x202F, ' ' },          /* blanks */
        { 0x00B5, 'u' }, { 0x03BC, 'u' },                                          /* micro sign, Greek mu */
        { 0x2126, 0x03A9 },                                                        /* ohm sign, Greek omega */
        { 0x2033, '"' }, { 0x201D, '"' }, { 0x2032, '\'' }, { 0x2019, '\'' },      /* double and single prime */
        { 0x00BA, 0x00B0 }, { 0x02DA, 0x00B0 },                                    /* degree */
        { 0x2212, '-' }, { 0x2010, '-' }, { 0x2011, '-' }, { 0x2013, '-' },        /* minus and dashes */
        { 0x2044, '/' }, { 0x2215, '/' },
        { 0x22C5, 0x00B7 }, { 0x2219, 0x00B7 },                                    /* dot of a product */
    };

    for (size_t i = 0; i < sizeof alike / sizeof alike[0]; i++)
        if (alike[i].from == code)
            return alike[i].to;
    return code;
}

cw_status cw_quantity__source(cw_kind kind, const char *text, size_t length, const cw_place *at, cw_source *source,
                              cw_error *error)
{
    size_t used = 0;

    source->text = text;
    source->count = 0;
    source->at = at != NULL ? *at : (cw_place){ NULL, 1, 1 };
    source->kind = kind;
    source->error = error;
    while (used < length) {
        int index = source->count;
        uint32_t code = 0;
        int bytes = cw_utf8_decode(text + used, length - used, &code);

        source->byte[index] = (int)used;
        source->code[index] = 0;
        if (bytes == 0)
            return cw_quantity__refuse(source, index, "A character here is not UTF-8. Type it anew.");
        if (index == CW_QUANTITY_LONGEST)
            return cw_quantity__refuse(source, index, "This is longer than %d characters, which no quantity needs.",
                                       CW_QUANTITY_LONGEST);
        code = one_spelling(code);
        if (code < ' ' || code == 0x7F)
            return cw_quantity__refuse(source, index, "A control character or a line break stands in a quantity.");
        source->code[index] = code;
        source->count++;
        used += (size_t)bytes;
    }
    source->byte[source->count] = (int)used;
    source->code[source->count] = 0;
    return CW_OK;
}

cw_status cw_quantity__refuse(const cw_source *source, int index, const char *format, ...)
{
    const cw_kind_row *kind = cw_quantity__kind(source->kind);
    cw_place at = source->at;
    char text[600], expected[120];
    va_list arguments;

    if (source->error == NULL)
        return CW_BAD_INPUT;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    snprintf(expected, sizeof expected, "%s, as in %s", kind->name, kind->example);
    if (at.column > 0)
        at.column += index;
    return cw_refuse(source->error, &at, expected, "%s", text);
}

const char *cw_quantity__quote(const cw_source *source, int from, int to, char buffer[80])
{
    enum { MOST = 16 }; /* characters of up to 4 bytes, and the three points */
    int end = to - from > MOST ? from + MOST : to;
    size_t bytes = (size_t)(source->byte[end] - source->byte[from]);

    memcpy(buffer, source->text + source->byte[from], bytes);
    strcpy(buffer + bytes, end < to ? "..." : "");
    return buffer;
}

int cw_quantity__skip_blanks(const cw_source *source, int from)
{
    while (source->code[from] == ' ')
        from++;
    return from;
}

bool cw_quantity__digit(uint32_t code)
{
    return code >= '0' && code <= '9';
}
