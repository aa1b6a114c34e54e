/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Growing text, and the distance between two words for "did you mean". */
#include "coilwright/base.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

static bool reserve(cw_text *text, size_t more)
{
    size_t wanted = text->length + more + 1;
    size_t capacity = text->capacity == 0 ? 256 : text->capacity;
    char *data;

    if (text->failed)
        return false;
    if (wanted <= text->capacity)
        return true;
    while (capacity < wanted)
        capacity *= 2;
    data = cw_reallocate(text->data, capacity, 1);
    if (data == NULL) {
        text->failed = true;
        return false;
    }
    text->data = data;
    text->capacity = capacity;
    return true;
}

void cw_text_add_bytes(cw_text *text, const char *bytes, size_t count)
{
    if (!reserve(text, count))
        return;
    if (count > 0)
        memcpy(text->data + text->length, bytes, count);
    text->length += count;
    text->data[text->length] = '\0';
}

void cw_text_add(cw_text *text, const char *addition)
{
    cw_text_add_bytes(text, addition, strlen(addition));
}

void cw_text_print(cw_text *text, const char *format, ...)
{
    va_list arguments;
    int needed;

    va_start(arguments, format);
    needed = vsnprintf(NULL, 0, format, arguments);
    va_end(arguments);
    if (needed < 0 || !reserve(text, (size_t)needed))
        return;
    va_start(arguments, format);
    vsnprintf(text->data + text->length, (size_t)needed + 1, format, arguments);
    va_end(arguments);
    text->length += (size_t)needed;
}

void cw_text_clear(cw_text *text)
{
    cw_free(text->data);
    memset(text, 0, sizeof *text);
}

static int lower(char c)
{
    return tolower((unsigned char)c);
}

int cw_word_distance(const char *a, const char *b, int most)
{
    enum { LONGEST = 63 };
    size_t la = strlen(a), lb = strlen(b);
    int before_last[LONGEST + 1], last[LONGEST + 1], now[LONGEST + 1];

    if (la > LONGEST || lb > LONGEST)
        return most + 1;
    for (size_t j = 0; j <= lb; j++)
        last[j] = (int)j;
    memset(before_last, 0, sizeof before_last);
    for (size_t i = 1; i <= la; i++) {
        int row_least = now[0] = (int)i;

        for (size_t j = 1; j <= lb; j++) {
            int cost = lower(a[i - 1]) != lower(b[j - 1]);
            int best = last[j - 1] + cost;

            if (last[j] + 1 < best)
                best = last[j] + 1;
            if (now[j - 1] + 1 < best)
                best = now[j - 1] + 1;
            /* two neighbours swapped count as one slip of the fingers */
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]) &&
                before_last[j - 2] + 1 < best)
                best = before_last[j - 2] + 1;
            now[j] = best;
            if (best < row_least)
                row_least = best;
        }
        if (row_least > most)
            return most + 1;
        memcpy(before_last, last, sizeof last);
        memcpy(last, now, sizeof now);
    }
    return last[lb];
}
