/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values whose kind their unit tells: the results of tests, and the dimensions of a magnet, which differ from shape to
 * shape and are judged by the stage that knows the shape. */
#include "job/job_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Where a unit is of two kinds, the earlier holds: a kilogram is a pull here, as on the hook. */
static const cw_kind kinds[] = {
    CW_LENGTH, CW_RESISTANCE, CW_VOLTAGE, CW_CURRENT, CW_TEMPERATURE, CW_TIME, CW_FORCE, CW_MASS, CW_POWER,
    CW_FREQUENCY, CW_INDUCTANCE, CW_FLUX_DENSITY, CW_AREA, CW_ANGLE, CW_RATIO, CW_COUNT,
};

/* "0.3 H" and "2 h" are both read by either kind, whose units do not care for case where they are asked for. */
static bool other_letter(cw_kind kind, const char *text)
{
    return (kind == CW_TIME && strchr(text, 'H') != NULL) || (kind == CW_INDUCTANCE && strchr(text, 'H') == NULL);
}

static bool any_quantity(cw_reader *reader, const cw_node *node, cw_kind *kind, cw_quantity *quantity)
{
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        if (!other_letter(kinds[i], node->text) &&
            cw_quantity_parse(kinds[i], node->text, node->length, NULL, quantity, NULL) == CW_OK) {
            *kind = kinds[i];
            return cw_job__quantity(reader, node, *kind, quantity, NULL);
        }
    if (strchr(node->text, ',') != NULL) /* the quantity room says it best */
        return cw_job__quantity(reader, node, CW_COUNT, quantity, NULL);
    cw_job__wrong(reader, node, "a number with its unit", "\"%.60s\" cannot be read as a quantity of any kind.",
                  node->text);
    return false;
}

static bool begins_number(const cw_node *node)
{
    return strchr("0123456789.+-", node->text[0]) != NULL;
}

/* ---- proof ----------------------------------------------------------------------------------------------------- */

static void any_clear(const cw_row *row, void *record)
{
    cw_job_test *test = record;

    (void)row;
    test->kind = CW_COUNT;
    test->word = NULL;
    test->value = NAN;
    test->doubt = 0;
}

static void any_release(const cw_row *row, void *record)
{
    cw_job_test *test = record;

    (void)row;
    cw_free(test->word);
    test->word = NULL;
}

static void any_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    static const char *const words[] = { "pass", "fail", "over-range", NULL };
    cw_job_test *test = record;
    cw_quantity quantity;

    (void)section;
    if (!cw_job__written(reader, row, node))
        return;
    if (!begins_number(node)) {
        int word = cw_job__word(reader, node, words);

        any_release(row, record);
        test->word = word >= 0 ? cw_copy_text(words[word], strlen(words[word])) : NULL;
        reader->no_memory = reader->no_memory || (word >= 0 && test->word == NULL);
        return;
    }
    if (!any_quantity(reader, node, &test->kind, &quantity))
        return;
    test->value = quantity.value;
    test->doubt = quantity.doubt;
}

static bool any_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const cw_job_test *test = record;

    (void)row;
    if (test->word != NULL)
        cw_text_add(text, test->word);
    else if (!isnan(test->value))
        cw_job__write_quantity(test->kind, test->value, test->doubt, units, text);
    return test->word != NULL || !isnan(test->value);
}

const cw_form cw_job__any_quantity_form = { "what was read, with its unit, or pass, fail or over-range", any_clear,
                                            any_read, any_write, any_release };

/* ---- magnet ---------------------------------------------------------------------------------------------------- */

static void read_entry(cw_reader *reader, const cw_node *node, cw_job_entry *entry)
{
    cw_quantity quantity;

    if (!begins_number(node)) {
        entry->word = cw_copy_text(node->text, node->length);
        reader->no_memory = reader->no_memory || entry->word == NULL;
        return;
    }
    if (!any_quantity(reader, node, &entry->kind, &quantity))
        return;
    entry->value = quantity.value;
    entry->doubt = quantity.doubt;
    if (entry->kind == CW_LENGTH && !(quantity.value >= 0))
        cw_job__wrong(reader, node, "a length of zero or more", "\"%.40s\" is negative, and %s cannot be.", node->text,
                      node->key);
}

static bool good_name(cw_reader *reader, const cw_node *section, const cw_node *node)
{
    const cw_node *first = cw_job__find(section, node->key);

    if (node->key[0] == '\0' || strspn(node->key, "abcdefghijklmnopqrstuvwxyz_0123456789") != strlen(node->key))
        cw_job__wrong_key(reader, node, "a name of small letters, as in pole_diameter",
                          "\"%.60s\" is not a name that a dimension has.", node->key);
    else if (first != node)
        cw_job__wrong_key(reader, node, NULL, "\"%.60s\" stands here a second time; the first is in line %d. Leave one "
                          "out.", node->key, first->key_line);
    else
        return true;
    return false;
}

static void add_entry(cw_reader *reader, const cw_node *node, const char *prefix, cw_job_entry **entries,
                      size_t *count)
{
    cw_job_entry *more = cw_reallocate(*entries, *count + 1, sizeof **entries);
    cw_text name = { 0 };

    if (more == NULL) {
        reader->no_memory = true;
        return;
    }
    *entries = more;
    cw_text_print(&name, "%s%s", prefix, node->key);
    more[*count] = (cw_job_entry){ .name = name.data, .kind = CW_COUNT, .value = NAN,
                                   .at = cw_job__place(reader, node) };
    reader->no_memory = reader->no_memory || name.failed;
    read_entry(reader, node, &more[(*count)++]);
}

void cw_job__read_open(cw_reader *reader, const cw_node *section, const char *prefix, cw_job_entry **entries,
                       size_t *count)
{
    static const cw_form form = { "a length or a word", NULL, NULL, NULL, NULL };
    static const cw_row row = { .form = &form };

    for (const cw_node *node = section->first; node != NULL; node = node->next) {
        if (!good_name(reader, section, node))
            continue;
        if (node->type == CW_NODE_MAP && prefix[0] == '\0') {
            char inner[80];

            snprintf(inner, sizeof inner, "%.60s.", node->key);
            cw_job__read_open(reader, node, inner, entries, count);
        } else if (cw_job__written(reader, &row, node)) {
            add_entry(reader, node, prefix, entries, count);
        }
    }
}
