/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/record.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- writing ----------------------------------------------------------------------------------------------- */

static void put_value(cw_text *record, json_t *value)
{
    char *dump = value != NULL ? json_dumps(value, JSON_ENCODE_ANY | JSON_REAL_PRECISION(17)) : NULL;

    if (dump == NULL)
        record->failed = true;
    else
        cw_text_print(record, "%s\n", dump);
    free(dump);
    json_decref(value);
}

void cw_book__put(cw_text *record, const char *key, json_t *value)
{
    cw_text_print(record, "%s: ", key);
    put_value(record, value);
}

void cw_book__put_item(cw_text *record, json_t *value)
{
    cw_text_add(record, "- ");
    put_value(record, value);
}

json_t *cw_book__json_text(const char *text)
{
    return text == NULL ? json_null() : json_string(text);
}

/* Infinity has no number in JSON: an over-range is a word. */
json_t *cw_book__json_real(double value)
{
    return isnan(value) ? json_null() : isinf(value) ? json_string("over-range") : json_real(value);
}

/* ---- reading ----------------------------------------------------------------------------------------------- */

typedef struct record_reader {
    const char *name;
    int line;
    json_t *object;
    json_t *list;     /* the one that is open, lent; NULL none */
    cw_error *error;
} record_reader;

static bool wrong(const record_reader *reader, const char *what)
{
    const cw_place at = { .file = reader->name, .line = reader->line };

    cw_refuse(reader->error, &at, NULL, "The record is not one that a book wrote: %s.", what);
    return false;
}

static bool key_char(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
}

static json_t *value_of(const char *text, size_t length)
{
    return json_loadb(text, length, JSON_DECODE_ANY | JSON_REJECT_DUPLICATES, NULL);
}

static bool take_item(record_reader *reader, const char *text, size_t length)
{
    if (reader->list == NULL)
        return wrong(reader, "an item that belongs to no list");
    if (json_array_append_new(reader->list, value_of(text + 2, length - 2)) != 0)
        return wrong(reader, "an item that is no value");
    return true;
}

static bool take_key(record_reader *reader, const char *text, size_t length)
{
    char key[64];
    size_t end = 0;
    json_t *value;

    while (end < length && key_char(text[end]))
        end++;
    if (end == 0 || end >= sizeof key || end == length || text[end] != ':')
        return wrong(reader, "a line without a key");
    memcpy(key, text, end);
    key[end] = '\0';
    if (json_object_get(reader->object, key) != NULL)
        return wrong(reader, "a key twice");
    reader->list = NULL;
    if (end + 1 == length)
        value = reader->list = json_array();
    else
        value = value_of(text + end + 1, length - end - 1);
    if (json_object_set_new(reader->object, key, value) != 0)
        return wrong(reader, "a key without a value");
    return true;
}

static bool take_line(record_reader *reader, const char *text, size_t length)
{
    if (length == 0 || text[0] == '#')
        return true;
    return text[0] == '-' && length > 2 && text[1] == ' ' ? take_item(reader, text, length)
                                                          : take_key(reader, text, length);
}

json_t *cw_book__record_read(const char *text, size_t length, const char *name, cw_error *error)
{
    record_reader reader = { .name = name, .object = json_object(), .error = error };
    const char *end = text + length;
    bool sound = reader.object != NULL;

    if (!sound)
        cw_no_memory(error);
    while (sound && text < end) {
        const char *stop = memchr(text, '\n', (size_t)(end - text));
        const size_t count = (size_t)((stop != NULL ? stop : end) - text);

        sound =
            ++reader.line <= CW_BOOK__RECORD_LINES_MOST ? take_line(&reader, text, count) : wrong(&reader, "too long");
        text += count + (stop != NULL);
    }
    if (sound)
        return reader.object;
    json_decref(reader.object);
    return NULL;
}

const char *cw_book__get_text(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

double cw_book__get_real(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);

    if (json_is_string(value) && strcmp(json_string_value(value), "over-range") == 0)
        return INFINITY;
    return json_is_number(value) ? json_number_value(value) : NAN;
}

long long cw_book__get_integer(const json_t *object, const char *key)
{
    return json_integer_value(json_object_get(object, key));
}
