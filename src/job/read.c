/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From nodes to a job, by the rows of the schema; every mistake on the way is added to the list. */
#include "job/job_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- errors -------------------------------------------------------------------------------------------------- */

cw_place cw_job__place(const cw_reader *reader, const cw_node *node)
{
    return (cw_place){ node->set ? CW_JOB_SET : reader->job->file, node->line, node->column };
}

void cw_job__add_error(cw_reader *reader, const cw_error *error)
{
    reader->wrong++;
    cw_errors_add(reader->errors, error);
}

static void wrong_at(cw_reader *reader, const cw_place *at, const char *expected, const char *format, va_list arguments)
{
    char text[700];
    cw_error error;

    vsnprintf(text, sizeof text, format, arguments);
    cw_refuse(&error, at, expected, "%s", text);
    cw_job__add_error(reader, &error);
}

void cw_job__wrong(cw_reader *reader, const cw_node *node, const char *expected, const char *format, ...)
{
    cw_place at = cw_job__place(reader, node);
    va_list arguments;

    va_start(arguments, format);
    wrong_at(reader, &at, expected, format, arguments);
    va_end(arguments);
}

void cw_job__wrong_key(cw_reader *reader, const cw_node *node, const char *expected, const char *format, ...)
{
    cw_place at = cw_job__place(reader, node);
    va_list arguments;

    if (node->key != NULL) {
        at.line = node->key_line;
        at.column = node->key_column;
    }
    va_start(arguments, format);
    wrong_at(reader, &at, expected, format, arguments);
    va_end(arguments);
}

/* ---- words --------------------------------------------------------------------------------------------------- */

const char *cw_job__nearest(const char *word, const char *const *words)
{
    int length = (int)strlen(word), best = length < 4 ? 1 : length < 8 ? 2 : 3;
    const char *nearest = NULL;

    for (; *words != NULL; words++) {
        int distance = cw_word_distance(word, *words, best);

        if (distance <= best && distance < length) {
            best = distance - 1;
            nearest = *words;
        }
    }
    return nearest;
}

/* "a, b or c", cut with three points where it would not fit. */
static void join_words(const char *const *words, char *buffer, size_t size)
{
    size_t used = 0;

    buffer[0] = '\0';
    for (size_t i = 0; words[i] != NULL; i++) {
        const char *between = i == 0 ? "" : words[i + 1] == NULL ? " or " : ", ";

        if (used + strlen(between) + strlen(words[i]) + 8 > size) {
            snprintf(buffer + used, size - used, " ...");
            return;
        }
        used += (size_t)snprintf(buffer + used, size - used, "%s%s", between, words[i]);
    }
}

bool cw_job__same_word(const char *text, size_t length, const char *word)
{
    size_t i;

    for (i = 0; i < length && word[i] != '\0'; i++) {
        char c = text[i];

        if (c >= 'A' && c <= 'Z')
            c = (char)(c + ('a' - 'A'));
        if (c == ' ' || c == '_')
            c = '-';
        if (c != word[i])
            return false;
    }
    return i == length && word[i] == '\0';
}

int cw_job__word(cw_reader *reader, const cw_node *node, const char *const *words)
{
    const char *nearest;
    char expected[250];

    for (int i = 0; words[i] != NULL; i++)
        if (cw_job__same_word(node->text, node->length, words[i]))
            return i;
    join_words(words, expected, sizeof expected);
    nearest = cw_job__nearest(node->text, words);
    if (nearest != NULL)
        cw_job__wrong(reader, node, expected, "\"%.60s\" is not known here. Is \"%s\" meant?", node->text, nearest);
    else
        cw_job__wrong(reader, node, expected, "\"%.60s\" is not known here.", node->text);
    return -1;
}

/* ---- values -------------------------------------------------------------------------------------------------- */

static void describe(const cw_row *row, char *buffer, size_t size)
{
    if (row->words != NULL)
        join_words(row->words, buffer, size);
    else if (row->form->what != NULL)
        snprintf(buffer, size, "%s", row->form->what);
    else
        snprintf(buffer, size, "%s, as in %s", cw_kind_name(row->kind), row->metric);
}

bool cw_job__written(cw_reader *reader, const cw_row *row, const cw_node *node)
{
    char expected[250];

    if (node->type == CW_NODE_SCALAR && !node->empty)
        return true;
    describe(row, expected, sizeof expected);
    if (node->type != CW_NODE_SCALAR)
        cw_job__wrong(reader, node, expected, "%s stands where one value should.",
                      node->type == CW_NODE_LIST ? "A list" : "A group of keys");
    else if (node->key != NULL)
        cw_job__wrong_key(reader, node, expected, "\"%s\" is still empty. Fill it in%s.", node->key,
                          row->required ? "" : ", or leave the line out");
    else
        cw_job__wrong(reader, node, expected, "An item of this list is empty. Fill it in, or leave it out.");
    return false;
}

static bool inch_length(const cw_node *node)
{
    static const char *const parts[] = { "in", "ft", "foot", "feet", "thou", "mil", "yd", "yard", "\"", "'" };

    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        if (strstr(node->text, parts[i]) != NULL)
            return true;
    return false;
}

bool cw_job__quantity(cw_reader *reader, const cw_node *node, cw_kind kind, cw_quantity *quantity, double *at_c)
{
    cw_place at = cw_job__place(reader, node);
    cw_error error;
    cw_status status;

    if (!node->as_written)
        at.column = 0; /* counted from the value's first character only where the text stands as it is */
    status = at_c != NULL ? cw_quantity_parse_at(kind, node->text, node->length, &at, quantity, at_c, &error)
                          : cw_quantity_parse(kind, node->text, node->length, &at, quantity, &error);
    if (status != CW_OK) {
        if (!node->as_written)
            error.column = node->column;
        cw_job__add_error(reader, &error);
        return false;
    }
    if (kind == CW_LENGTH && inch_length(node))
        reader->inch_lengths++;
    else if (kind == CW_LENGTH)
        reader->metric_lengths++;
    return true;
}

/* ---- records ------------------------------------------------------------------------------------------------- */

void cw_job__record_clear(const cw_row *rows, int count, void *record)
{
    for (int i = 0; i < count; i++)
        rows[i].form->clear(&rows[i], record);
}

void cw_job__record_release(const cw_row *rows, int count, void *record)
{
    for (int i = 0; i < count; i++)
        if (rows[i].form->release != NULL)
            rows[i].form->release(&rows[i], record);
}

const cw_row *cw_job__find_row(const cw_row *rows, int count, const char *key)
{
    for (int i = 0; i < count; i++)
        if (strcmp(rows[i].key, key) == 0)
            return &rows[i];
    return NULL;
}

const cw_section *cw_job__find_section(const char *key)
{
    for (int i = 0; i < cw_job__section_count; i++)
        if (strcmp(cw_job__sections[i].key, key) == 0)
            return &cw_job__sections[i];
    return NULL;
}

/* A key that is known elsewhere, where it should stand. */
static const char *other_section(const char *key, const char *here)
{
    for (int i = 0; i < cw_job__section_count; i++)
        if (strcmp(cw_job__sections[i].key, here) != 0 &&
            cw_job__find_row(cw_job__sections[i].rows, cw_job__sections[i].row_count, key) != NULL)
            return cw_job__sections[i].key;
    return NULL;
}

enum { KEYS_MOST = 64 };

static void refuse_key(cw_reader *reader, const cw_node *node, const char *const *known, const char *name)
{
    const char *nearest = cw_job__nearest(node->key, known), *elsewhere = other_section(node->key, name);
    const char *in = name[0] != '\0' ? " in " : "";
    char expected[250];

    join_words(known, expected, sizeof expected);
    if (node->key[0] >= '0' && node->key[0] <= '9')
        cw_job__wrong_key(reader, node, expected, "\"%.60s\" stands where a key should. If the comma before it was "
                          "meant as part of a number, write a point.", node->key);
    else if (nearest != NULL)
        cw_job__wrong_key(reader, node, expected, "\"%.60s\" is not known%s%s. Is \"%s\" meant?", node->key, in, name,
                          nearest);
    else if (cw_job__find_section(node->key) != NULL)
        cw_job__wrong_key(reader, node, expected, "\"%.60s\" is a section of its own and belongs at the left edge of "
                          "the file.", node->key);
    else if (elsewhere != NULL)
        cw_job__wrong_key(reader, node, expected, "\"%.60s\" is not known%s%s. It belongs under \"%s\".", node->key, in,
                          name, elsewhere);
    else
        cw_job__wrong_key(reader, node, expected, "\"%.60s\" is not known%s%s.", node->key, in, name);
}

static bool is_duplicate(cw_reader *reader, const cw_node *section, const cw_node *node)
{
    const cw_node *first = cw_job__find(section, node->key);

    if (first == node)
        return false;
    cw_job__wrong_key(reader, node, NULL, "\"%.60s\" stands here a second time; the first is in line %d. Leave one "
                      "out.", node->key, first->key_line);
    return true;
}

/* Whether a key that is not known was most likely meant as this one, which has been said then. */
static bool misspelt(const cw_row *rows, int count, const cw_node *section, const char *key, const char *const *known)
{
    for (const cw_node *node = section->first; node != NULL; node = node->next) {
        const char *nearest = cw_job__find_row(rows, count, node->key) == NULL ? cw_job__nearest(node->key, known) : NULL;

        if (nearest != NULL && strcmp(nearest, key) == 0)
            return true;
    }
    return false;
}

static void check_required(cw_reader *reader, const cw_row *rows, int count, const cw_node *section,
                           const char *const *known, const char *name)
{
    for (int i = 0; i < count; i++) {
        char expected[250];

        if (!rows[i].required || cw_job__find(section, rows[i].key) != NULL ||
            misspelt(rows, count, section, rows[i].key, known))
            continue;
        describe(&rows[i], expected, sizeof expected);
        cw_job__wrong_key(reader, section, expected, "\"%s\" is missing%s%s.", rows[i].key,
                          name[0] != '\0' ? " in " : "", name);
    }
}

static void known_keys(const cw_row *rows, int count, const char **known)
{
    int i;

    for (i = 0; i < count && i + 1 < KEYS_MOST; i++)
        known[i] = rows[i].key;
    known[i] = NULL;
}

void cw_job__record_read(cw_reader *reader, const cw_row *rows, int count, const cw_node *section, const char *name,
                         void *record)
{
    const char *known[KEYS_MOST];

    known_keys(rows, count, known);
    for (const cw_node *node = section->first; node != NULL; node = node->next) {
        const cw_row *row = cw_job__find_row(rows, count, node->key);

        if (row == NULL)
            refuse_key(reader, node, known, name);
        else if (!is_duplicate(reader, section, node))
            row->form->read(reader, row, node, section, record);
    }
    check_required(reader, rows, count, section, known, name);
}

/* ---- sections ------------------------------------------------------------------------------------------------ */

static bool is_map(cw_reader *reader, const cw_node *node, const char *name)
{
    if (node->type == CW_NODE_MAP)
        return true;
    if (node->type == CW_NODE_SCALAR && node->empty)
        cw_job__wrong_key(reader, node, NULL, "Nothing stands in %s. Fill it in, or leave it out.", name);
    else if (node->type == CW_NODE_SCALAR && strchr(node->text, ':') != NULL)
        cw_job__wrong(reader, node, "keys with values, as in length: 58 mm", "\"%.60s\" lacks a blank behind its "
                      "colon.", node->text);
    else
        cw_job__wrong(reader, node, "keys with values, as in length: 58 mm", "%s stands in %s.",
                      node->type == CW_NODE_LIST ? "A list" : "A single value", name);
    return false;
}

/* Only now is anything allocated in the job, so that a broken section leaves nothing behind. */
static void read_list(cw_reader *reader, const cw_section *section, const cw_node *node)
{
    char *items = cw_allocate(node->child_count, section->item_size);
    size_t used = 0;

    if (items == NULL) {
        reader->no_memory = true;
        return;
    }
    for (const cw_node *child = node->first; child != NULL; child = child->next) {
        char *item = items + used * section->item_size;
        cw_place at = cw_job__place(reader, child);

        if (!is_map(reader, child, section->key))
            continue;
        cw_job__record_clear(section->rows, section->row_count, item);
        memcpy(item + section->place, &at, sizeof at);
        cw_job__record_read(reader, section->rows, section->row_count, child, section->key, item);
        if (section->check != NULL)
            section->check(reader, child, item);
        used++;
    }
    memcpy((char *)reader->job + section->record, &items, sizeof items);
    memcpy((char *)reader->job + section->count, &used, sizeof used);
}

static void read_section(cw_reader *reader, const cw_section *section, const cw_node *node)
{
    char *record = (char *)reader->job + section->record;
    bool given = true;

    reader->wrong_before = reader->wrong;
    if (section->item_size > 0 && !section->open) {
        if (node->type == CW_NODE_LIST)
            read_list(reader, section, node);
        else
            cw_job__wrong_key(reader, node, "a list, each item behind a dash", "%s", node->empty
                              ? "Nothing stands in this list. Fill it in, or leave it out." : "This should be a list.");
        return;
    }
    if (!is_map(reader, node, section->key))
        return;
    if (section->open)
        cw_job__read_open(reader, node, "", &reader->job->magnet, &reader->job->magnet_count);
    else
        cw_job__record_read(reader, section->rows, section->row_count, node, section->key, record);
    if (section->given != CW_NOWHERE)
        memcpy((char *)reader->job + section->given, &given, sizeof given);
    if (section->check != NULL)
        section->check(reader, node, record);
}

static void read_top(cw_reader *reader, const cw_node *root)
{
    const char *known[KEYS_MOST];
    int count = 0;

    for (int i = 0; i < cw_job__top_row_count; i++)
        known[count++] = cw_job__top_rows[i].key;
    for (int i = 0; i < cw_job__section_count; i++)
        known[count++] = cw_job__sections[i].key;
    known[count] = NULL;
    for (const cw_node *node = root->first; node != NULL; node = node->next) {
        const cw_row *row = cw_job__find_row(cw_job__top_rows, cw_job__top_row_count, node->key);
        const cw_section *section = cw_job__find_section(node->key);

        if (row == NULL && section == NULL)
            refuse_key(reader, node, known, "");
        else if (is_duplicate(reader, root, node))
            continue;
        else if (row != NULL)
            row->form->read(reader, row, node, root, reader->job);
        else
            read_section(reader, section, node);
    }
    reader->job->units_given = cw_job__find(root, "units") != NULL;
    check_required(reader, cw_job__top_rows, cw_job__top_row_count, root, known, "");
}

/* A file of another version may mean anything by its keys, so that nothing else is said of it. */
static bool other_version(const cw_node *root, cw_reader *reader)
{
    const cw_node *node = cw_job__find(root, "coilwright");
    size_t before = reader->wrong;

    if (node != NULL)
        cw_job__top_rows[0].form->read(reader, &cw_job__top_rows[0], node, root, reader->job);
    return reader->wrong > before;
}

static bool stands_before(const cw_error *left, const cw_error *right)
{
    return left->line != right->line ? left->line < right->line : left->column < right->column;
}

/* By insertion, since equal places must keep their order and the list is short and nearly in order. */
static void sort_by_place(cw_error *items, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        cw_error moved = items[i];
        size_t to = i;

        while (to > 0 && stands_before(&moved, &items[to - 1]))
            to--;
        memmove(items + to + 1, items + to, (i - to) * sizeof *items);
        items[to] = moved;
    }
}

static cw_job *job_create(const char *name)
{
    cw_job *job = cw_allocate(1, sizeof *job);

    if (job == NULL)
        return NULL;
    for (int i = 0; i < cw_job__section_count; i++) {
        const cw_section *section = &cw_job__sections[i];

        if (section->item_size == 0)
            cw_job__record_clear(section->rows, section->row_count, (char *)job + section->record);
    }
    if (name != NULL) {
        job->file = cw_copy_text(name, strlen(name));
        if (job->file == NULL)
            cw_job_destroy(&job);
    }
    return job;
}

static void release_entries(cw_job *job)
{
    for (size_t i = 0; i < job->magnet_count; i++) {
        cw_free(job->magnet[i].name);
        cw_free(job->magnet[i].word);
    }
    cw_free(job->magnet);
}

void cw_job_destroy(cw_job **job)
{
    if (*job == NULL)
        return;
    for (int i = 0; i < cw_job__section_count; i++) {
        const cw_section *section = &cw_job__sections[i];
        char *record = (char *)*job + section->record, *items;
        size_t count;

        if (section->open)
            continue;
        if (section->item_size == 0) {
            cw_job__record_release(section->rows, section->row_count, record);
            continue;
        }
        memcpy(&items, record, sizeof items);
        memcpy(&count, (char *)*job + section->count, sizeof count);
        for (size_t k = 0; items != NULL && k < count; k++)
            cw_job__record_release(section->rows, section->row_count, items + k * section->item_size);
        cw_free(items);
    }
    release_entries(*job);
    cw_free((*job)->file);
    cw_free(*job);
    *job = NULL;
}

const cw_job_entry *cw_job_magnet_entry(const cw_job *job, const char *name)
{
    for (size_t i = 0; i < job->magnet_count; i++)
        if (job->magnet[i].name != NULL && strcmp(job->magnet[i].name, name) == 0)
            return &job->magnet[i];
    return NULL;
}

cw_status cw_job_read_set(const char *text, size_t length, const char *name, const char *const *sets, size_t count,
                          const cw_wire_catalogue *catalogue, cw_job **job, cw_errors *errors)
{
    cw_reader reader = { .catalogue = catalogue, .errors = errors };
    cw_node *root = NULL;
    size_t first = errors != NULL ? errors->count : 0;
    cw_error error;
    cw_status status = CW_NO_MEMORY;

    *job = NULL;
    reader.job = job_create(name);
    if (reader.job != NULL)
        status = cw_job__tree(text, length, reader.job->file, &root, errors);
    for (size_t i = 0; i < count && status == CW_OK; i++)
        status = cw_job__set(root, sets[i], errors);
    if (status == CW_OK) {
        if (!other_version(root, &reader))
            read_top(&reader, root);
        if (!reader.job->units_given)
            reader.job->units = reader.inch_lengths > reader.metric_lengths ? CW_INCH_UNITS : CW_METRIC_UNITS;
        status = reader.no_memory ? CW_NO_MEMORY : reader.wrong > 0 ? CW_BAD_INPUT : CW_OK;
    }
    cw_job__tree_destroy(&root);
    if (status == CW_OK) {
        *job = reader.job;
        return CW_OK;
    }
    cw_job_destroy(&reader.job);
    if (status == CW_NO_MEMORY) {
        cw_no_memory(&error);
        cw_errors_add(errors, &error);
    }
    if (errors != NULL && errors->count > first)
        sort_by_place(errors->items + first, errors->count - first);
    return status;
}

cw_status cw_job_read(const char *text, size_t length, const char *name, const cw_wire_catalogue *catalogue,
                      cw_job **job, cw_errors *errors)
{
    return cw_job_read_set(text, length, name, NULL, 0, catalogue, job, errors);
}
