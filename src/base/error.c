/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Errors as sentences, one struct for all of them. */
#include "coilwright/base.h"

#include <stdio.h>
#include <string.h>

/* Copies as many whole characters as fit. Sentences quote what was found, which need not be text: a byte that is no UTF-8
 * becomes a question mark and a control character a blank, so that a sentence can go anywhere. */
static void copy_text(char *to, size_t size, const char *from)
{
    size_t left = strlen(from), used = 0;

    while (left > 0) {
        uint32_t code = '?';
        const int bytes = cw_utf8_decode(from, left, &code);
        const size_t taken = bytes > 0 ? (size_t)bytes : 1;

        if (used + taken >= size)
            break;
        if (bytes == 0 || code < ' ' || code == 0x7F)
            to[used] = bytes == 0 ? '?' : ' ';
        else
            memcpy(to + used, from, taken);
        used += taken;
        from += taken;
        left -= taken;
    }
    to[used] = '\0';
}

static void fill(cw_error *error, const cw_place *at, const char *expected, const char *format, va_list arguments)
{
    char text[2048];

    if (error == NULL)
        return;
    memset(error, 0, sizeof *error);
    if (at != NULL) {
        if (at->file != NULL)
            copy_text(error->file, sizeof error->file, at->file);
        error->line = at->line;
        error->column = at->column;
    }
    if (expected != NULL)
        copy_text(error->expected, sizeof error->expected, expected);
    vsnprintf(text, sizeof text, format, arguments);
    copy_text(error->text, sizeof error->text, text);
}

cw_status cw_refuse(cw_error *error, const cw_place *at, const char *expected, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    fill(error, at, expected, format, arguments);
    va_end(arguments);
    return CW_BAD_INPUT;
}

cw_status cw_fail(cw_error *error, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    fill(error, NULL, NULL, format, arguments);
    va_end(arguments);
    return CW_FAILED;
}

cw_status cw_no_memory(cw_error *error)
{
    cw_fail(error, "The computer has no memory left for this. Close other programs and try again.");
    return CW_NO_MEMORY;
}

void cw_error_line(const cw_error *error, char *buffer, size_t size)
{
    char place[320] = "";
    size_t used = 0;

    if (error->file[0] != '\0')
        used += (size_t)snprintf(place + used, sizeof place - used, "%s:", error->file);
    if (error->line > 0)
        used += (size_t)snprintf(place + used, sizeof place - used, "%d:", error->line);
    if (error->column > 0)
        used += (size_t)snprintf(place + used, sizeof place - used, "%d:", error->column);
    if (error->expected[0] != '\0')
        snprintf(buffer, size, "%s%s%s Expected: %s.", place, used > 0 ? " " : "", error->text, error->expected);
    else
        snprintf(buffer, size, "%s%s%s", place, used > 0 ? " " : "", error->text);
}

void cw_errors_add(cw_errors *errors, const cw_error *error)
{
    if (errors == NULL || errors->count >= CW_ERRORS_MOST)
        return;
    if (errors->count == errors->capacity) {
        size_t capacity = errors->capacity == 0 ? 8 : 2 * errors->capacity;
        cw_error *items = cw_reallocate(errors->items, capacity, sizeof *items);

        if (items == NULL)
            return;
        errors->items = items;
        errors->capacity = capacity;
    }
    errors->items[errors->count++] = *error;
}

void cw_errors_clear(cw_errors *errors)
{
    cw_free(errors->items);
    memset(errors, 0, sizeof *errors);
}
