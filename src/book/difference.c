/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What differs between two job files, line by line, by the longest common subsequence: O(a b) in time and memory, which
 * for files of a page or two is nothing, and is refused beyond that. */
#include "book/book_internal.h"

#include <stdint.h>
#include <string.h>

enum { LINES_MOST = 4000 };

typedef struct line {
    const char *start;
    size_t length;
} line;

typedef struct lines {
    line *items;
    size_t count;
} lines;

static bool split(const char *text, lines *found)
{
    size_t count = 1;

    for (const char *c = text; *c != '\0'; c++)
        count += *c == '\n';
    found->count = 0;
    found->items = cw_allocate(count, sizeof *found->items);
    if (found->items == NULL)
        return false;
    while (*text != '\0') {
        const size_t length = strcspn(text, "\n");

        found->items[found->count++] = (line){ text, length };
        text += length + (text[length] == '\n');
    }
    return true;
}

static bool same(const line *a, const line *b)
{
    return a->length == b->length && memcmp(a->start, b->start, a->length) == 0;
}

/* common[i][j]: lines that the tails from i and j have in common. */
static void measure(const lines *a, const lines *b, uint16_t *common)
{
    const size_t width = b->count + 1;

    for (size_t i = a->count; i-- > 0;)
        for (size_t j = b->count; j-- > 0;) {
            uint16_t *here = &common[i * width + j];

            if (same(&a->items[i], &b->items[j]))
                *here = (uint16_t)(common[(i + 1) * width + j + 1] + 1);
            else
                *here = common[(i + 1) * width + j] >= common[i * width + j + 1] ? common[(i + 1) * width + j]
                                                                                 : common[i * width + j + 1];
        }
}

typedef struct writer {
    cw_text *text;
    const line *held;      /* the last unchanged line, written only when a change follows */
    bool after_change, gap, any;
} writer;

static void put(writer *writer, char mark, const line *line)
{
    cw_text_print(writer->text, "%c %.*s\n", mark, (int)line->length, line->start);
}

static void put_same(writer *writer, const line *line)
{
    if (writer->after_change) {
        put(writer, ' ', line);
        writer->after_change = false;
        return;
    }
    writer->gap = writer->held != NULL || writer->gap;
    writer->held = line;
}

static void put_change(writer *writer, char mark, const line *line)
{
    if (writer->gap && writer->any)
        cw_text_add(writer->text, "...\n");
    if (writer->held != NULL)
        put(writer, ' ', writer->held);
    writer->held = NULL;
    writer->gap = false;
    writer->after_change = writer->any = true;
    put(writer, mark, line);
}

static void walk(const lines *a, const lines *b, const uint16_t *common, cw_text *text)
{
    const size_t width = b->count + 1;
    writer writer = { .text = text };
    size_t i = 0, j = 0;

    while (i < a->count || j < b->count) {
        if (i < a->count && j < b->count && same(&a->items[i], &b->items[j])) {
            put_same(&writer, &b->items[j]);
            i++;
            j++;
        } else if (i < a->count && (j == b->count || common[(i + 1) * width + j] >= common[i * width + j + 1]))
            put_change(&writer, '-', &a->items[i++]);
        else
            put_change(&writer, '+', &b->items[j++]);
    }
}

cw_status cw_book_differences(const char *before, const char *after, cw_text *text, cw_error *error)
{
    lines a = { NULL, 0 }, b = { NULL, 0 };
    uint16_t *common = NULL;
    cw_status status = CW_OK;

    if (!split(before, &a) || !split(after, &b))
        status = cw_no_memory(error);
    else if (a.count > LINES_MOST || b.count > LINES_MOST)
        status = cw_refuse(error, NULL, NULL, "Texts above %d lines are not compared.", LINES_MOST);
    else if ((common = cw_allocate((a.count + 1) * (b.count + 1), sizeof *common)) == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK) {
        measure(&a, &b, common);
        walk(&a, &b, common, text);
        if (text->failed)
            status = cw_no_memory(error);
    }
    cw_free(common);
    cw_free(a.items);
    cw_free(b.items);
    return status;
}
