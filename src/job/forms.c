/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The common forms of values: texts, words, yes and no, whole numbers, quantities. The particular ones are in
 * forms_own.c. Values are moved by memcpy, since an enumeration, a bool and a double share these functions. */
#include "job/job_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TEXT_MOST = 2000 };

static int get_int(const cw_row *row, const void *record)
{
    int value;

    memcpy(&value, (const char *)record + row->offset, sizeof value);
    return value;
}

static void set_int(const cw_row *row, void *record, int value)
{
    memcpy((char *)record + row->offset, &value, sizeof value);
}

static bool get_bool(const cw_row *row, const void *record)
{
    bool value;

    memcpy(&value, (const char *)record + row->offset, sizeof value);
    return value;
}

static void set_bool(const cw_row *row, void *record, bool value)
{
    memcpy((char *)record + row->offset, &value, sizeof value);
}

static double get_double(const void *record, size_t offset)
{
    double value;

    memcpy(&value, (const char *)record + offset, sizeof value);
    return value;
}

static void set_double(void *record, size_t offset, double value)
{
    memcpy((char *)record + offset, &value, sizeof value);
}

static char *get_text(const cw_row *row, const void *record)
{
    char *value;

    memcpy(&value, (const char *)record + row->offset, sizeof value);
    return value;
}

static void set_text(const cw_row *row, void *record, char *value)
{
    memcpy((char *)record + row->offset, &value, sizeof value);
}

/* ---- texts --------------------------------------------------------------------------------------------------- */

static void text_clear(const cw_row *row, void *record)
{
    set_text(row, record, NULL);
}

static void text_release(const cw_row *row, void *record)
{
    cw_free(get_text(row, record));
    set_text(row, record, NULL);
}

static void take_text(cw_reader *reader, const cw_row *row, const cw_node *node, void *record)
{
    char *copy;

    if (node->length > TEXT_MOST || strlen(node->text) != node->length) {
        cw_job__wrong(reader, node, NULL, node->length > TEXT_MOST ? "This text is longer than a page has room for."
                                                                   : "A zero byte stands in this text.");
        return;
    }
    copy = cw_copy_text(node->text, node->length);
    reader->no_memory = reader->no_memory || copy == NULL;
    text_release(row, record);
    set_text(row, record, copy);
}

static void text_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    (void)section;
    if (cw_job__written(reader, row, node))
        take_text(reader, row, node, record);
}

static void line_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    (void)section;
    if (!cw_job__written(reader, row, node))
        return;
    for (size_t i = 0; i < node->length; i++)
        if ((unsigned char)node->text[i] < ' ') {
            cw_job__wrong(reader, node, "one line", "This text goes over several lines and has room for one.");
            return;
        }
    take_text(reader, row, node, record);
}

static bool text_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const char *value = get_text(row, record);

    (void)units;
    if (value == NULL)
        return false;
    cw_job__write_quoted(value, text);
    return true;
}

const cw_form cw_job__text_form = { "a text", text_clear, text_read, text_write, text_release };
const cw_form cw_job__line_form = { "a text of one line", text_clear, line_read, text_write, text_release };

/* ---- words --------------------------------------------------------------------------------------------------- */

static void word_clear(const cw_row *row, void *record)
{
    set_int(row, record, row->fallback);
}

static void word_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    int word = cw_job__written(reader, row, node) ? cw_job__word(reader, node, row->words) : -1;

    (void)section;
    if (word >= 0)
        set_int(row, record, word);
}

/* Written even where it is the fallback, unless that is none of the words: what stands there is clearer than what does
 * not. */
static bool word_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    int word = get_int(row, record), count = 0;

    (void)units;
    while (row->words[count] != NULL)
        count++;
    if (word < 0 || word >= count)
        return false;
    cw_text_add(text, row->words[word]);
    return true;
}

const cw_form cw_job__word_form = { "a word", word_clear, word_read, word_write, NULL };

/* ---- one of two ---------------------------------------------------------------------------------------------- */

static void flag_clear(const cw_row *row, void *record)
{
    set_bool(row, record, row->fallback != 0);
}

static void flag_word_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                           void *record)
{
    int word = cw_job__written(reader, row, node) ? cw_job__word(reader, node, row->words) : -1;

    (void)section;
    if (word >= 0)
        set_bool(row, record, word == 1);
}

static bool flag_word_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    cw_text_add(text, row->words[get_bool(row, record) ? 1 : 0]);
    return true;
}

const cw_form cw_job__flag_word_form = { "a word", flag_clear, flag_word_read, flag_word_write, NULL };

static void flag_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    static const char *const words[] = { "no", "yes", "false", "true", NULL };
    int word = cw_job__written(reader, row, node) ? cw_job__word(reader, node, words) : -1;

    (void)section;
    if (word >= 0)
        set_bool(row, record, word % 2 == 1);
}

static bool flag_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    if (get_bool(row, record) == (row->fallback != 0))
        return false;
    cw_text_add(text, get_bool(row, record) ? "yes" : "no");
    return true;
}

const cw_form cw_job__flag_form = { "yes or no", flag_clear, flag_read, flag_write, NULL };

/* ---- whole numbers ------------------------------------------------------------------------------------------- */

static void whole_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_quantity quantity;

    (void)section;
    if (!cw_job__written(reader, row, node) || !cw_job__quantity(reader, node, CW_COUNT, &quantity, NULL))
        return;
    if (quantity.doubt_given || quantity.value != rint(quantity.value) || quantity.value < row->least ||
        quantity.value > row->most) {
        char expected[80];

        snprintf(expected, sizeof expected, "a whole number from %d to %d", row->least, row->most);
        cw_job__wrong(reader, node, expected, "\"%.40s\" cannot be the number of %s.", node->text, row->key);
        return;
    }
    set_int(row, record, (int)quantity.value);
}

static bool whole_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    if (get_int(row, record) == row->fallback)
        return false;
    cw_text_print(text, "%d", get_int(row, record));
    return true;
}

const cw_form cw_job__whole_form = { "a whole number", word_clear, whole_read, whole_write, NULL };

/* ---- quantities ---------------------------------------------------------------------------------------------- */

static void quantity_clear(const cw_row *row, void *record)
{
    set_double(record, row->offset, NAN);
    if (row->doubt != CW_NOWHERE)
        set_double(record, row->doubt, 0);
}

static bool in_range(cw_reader *reader, const cw_row *row, const cw_node *node, double value)
{
    char expected[200];

    if (row->range == CW_ANY_VALUE || value > 0 || (row->range == CW_NOT_NEGATIVE && value == 0))
        return true;
    snprintf(expected, sizeof expected, "%s %s, as in %s", cw_kind_name(row->kind),
             row->range == CW_POSITIVE ? "above zero" : "of zero or more", row->metric);
    cw_job__wrong(reader, node, expected, value < 0 ? "\"%.60s\" is negative, and %s cannot be."
                                                    : "\"%.60s\" is zero, and %s cannot be.", node->text, row->key);
    return false;
}

static bool take_quantity(cw_reader *reader, const cw_row *row, const cw_node *node, cw_quantity *quantity)
{
    if (!cw_job__written(reader, row, node) || !cw_job__quantity(reader, node, row->kind, quantity, NULL))
        return false;
    if (quantity->doubt_given && row->doubt == CW_NOWHERE) {
        cw_job__wrong(reader, node, NULL, "No doubt is kept of %s. Leave out what stands behind the \xC2\xB1.",
                      row->key);
        return false;
    }
    return in_range(reader, row, node, quantity->value);
}

static void quantity_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                          void *record)
{
    cw_quantity quantity;

    (void)section;
    if (!take_quantity(reader, row, node, &quantity))
        return;
    set_double(record, row->offset, quantity.value);
    if (row->doubt != CW_NOWHERE)
        set_double(record, row->doubt, quantity.doubt);
}

static bool quantity_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    double value = get_double(record, row->offset);

    if (isnan(value))
        return false;
    cw_job__write_quantity(row->kind, value, row->doubt != CW_NOWHERE ? get_double(record, row->doubt) : 0, units,
                           text);
    return true;
}

const cw_form cw_job__quantity_form = { NULL, quantity_clear, quantity_read, quantity_write, NULL };

/* The inner diameter of a round window fills both sizes. Clearing is left to the pair, whose place it shares. */
static void diameter_clear(const cw_row *row, void *record)
{
    (void)row, (void)record;
}

static void diameter_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                          void *record)
{
    cw_quantity quantity;

    (void)section;
    if (!take_quantity(reader, row, node, &quantity))
        return;
    set_double(record, row->offset, quantity.value);
    set_double(record, row->offset + sizeof(double), quantity.value);
    set_double(record, row->doubt, quantity.doubt);
}

static bool is_round(const cw_row *row, const void *record)
{
    const cw_window *window = (const void *)((const char *)record + row->offset - offsetof(cw_window, inner_m));

    return window->shape == CW_ROUND;
}

static bool diameter_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    return is_round(row, record) && quantity_write(row, record, units, text);
}

const cw_form cw_job__diameter_form = { NULL, diameter_clear, diameter_read, diameter_write, NULL };

static void pair_clear(const cw_row *row, void *record)
{
    quantity_clear(row, record);
    set_double(record, row->offset + sizeof(double), NAN);
}

static void pair_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_quantity first, second;

    (void)section;
    if (node->type == CW_NODE_SCALAR && node->empty) {
        cw_job__written(reader, row, node);
        return;
    }
    if (node->type != CW_NODE_LIST || node->child_count != 2) {
        cw_job__wrong(reader, node, "two lengths, as in [50 mm, 30 mm]", "%s takes two lengths.", row->key);
        return;
    }
    if (!take_quantity(reader, row, node->first, &first) || !take_quantity(reader, row, node->last, &second))
        return;
    set_double(record, row->offset, first.value);
    set_double(record, row->offset + sizeof(double), second.value);
    set_double(record, row->doubt, fmax(first.doubt, second.doubt));
}

static bool pair_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    double first = get_double(record, row->offset), second = get_double(record, row->offset + sizeof(double));

    if (isnan(first) || is_round(row, record))
        return false;
    cw_text_add(text, "[");
    cw_job__write_quantity(row->kind, first, get_double(record, row->doubt), units, text);
    cw_text_add(text, ", ");
    cw_job__write_quantity(row->kind, second, 0, units, text);
    cw_text_add(text, "]");
    return true;
}

const cw_form cw_job__pair_form = { "two lengths, as in [50 mm, 30 mm]", pair_clear, pair_read, pair_write, NULL };

/* A thermal class is a number that happens to be a temperature: 155, also written 155 °C. */
static void class_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_quantity quantity;
    bool number;

    (void)section;
    if (!cw_job__written(reader, row, node))
        return;
    if ((node->text[0] | 0x20) >= 'a' && (node->text[0] | 0x20) <= 'z') {
        cw_job__wrong(reader, node, row->form->what, "\"%.40s\" is a letter. Write the temperature of the class.",
                      node->text);
        return;
    }
    number = strspn(node->text, "0123456789") == node->length;
    if (!cw_job__quantity(reader, node, number ? CW_COUNT : CW_TEMPERATURE, &quantity, NULL))
        return;
    if (quantity.doubt_given || quantity.value < 90 || quantity.value > 500)
        cw_job__wrong(reader, node, "a class as in 130, 155 or 180", "\"%.40s\" is no thermal class.", node->text);
    else
        set_double(record, row->offset, quantity.value);
}

static bool class_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    double value = get_double(record, row->offset);

    if (isnan(value))
        return false;
    if (value == rint(value))
        cw_text_print(text, "%.0f", value);
    else
        cw_job__write_quantity(CW_TEMPERATURE, value, 0, units, text);
    return true;
}

const cw_form cw_job__class_form = { "a thermal class, as in 155", quantity_clear, class_read, class_write, NULL };

/* ---- version ------------------------------------------------------------------------------------------------- */

static void version_clear(const cw_row *row, void *record)
{
    (void)row, (void)record;
}

static void version_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                         void *record)
{
    (void)section, (void)record;
    if (!cw_job__written(reader, row, node) || (node->length == 1 && node->text[0] == '1'))
        return;
    if (strspn(node->text, "0123456789") == node->length)
        cw_job__wrong(reader, node, "coilwright: 1", "This file is written for version %.40s of the job file, and this "
                      "program reads version 1.", node->text);
    else
        cw_job__wrong(reader, node, "coilwright: 1", "\"%.40s\" is no version of the job file.", node->text);
}

static bool version_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)row, (void)record, (void)units;
    cw_text_add(text, "1");
    return true;
}

const cw_form cw_job__version_form = { "coilwright: 1", version_clear, version_read, version_write, NULL };
