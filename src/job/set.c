/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values set from outside, "supply.voltage=24 V", put into the tree before anything is read from it: so they are read,
 * checked and refused by the same rows as what stands in the file. */
#include "job/job_internal.h"

#include <stdio.h>
#include <string.h>

typedef struct setting {
    const char *words;
    char path[120];              /* "supply.voltage", "magnet.plate.thickness", "turns" */
    const char *value;           /* behind the = */
    int value_column;
    cw_errors *errors;
} setting;

static cw_status refuse(const setting *s, int column, const char *expected, const char *format, ...) CW_PRINTF(4, 5);

static cw_status refuse(const setting *s, int column, const char *expected, const char *format, ...)
{
    const cw_place at = { CW_JOB_SET, 1, column };
    char text[300];
    va_list arguments;
    cw_error error;

    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    cw_refuse(&error, &at, expected, "%s", text);
    cw_errors_add(s->errors, &error);
    return CW_BAD_INPUT;
}

static cw_status no_memory(const setting *s)
{
    cw_error error;
    cw_status status = cw_no_memory(&error);

    cw_errors_add(s->errors, &error);
    return status;
}

static cw_status split(setting *s)
{
    const char *equals = strchr(s->words, '='), *from = s->words + strspn(s->words, " ");
    size_t length = equals != NULL && equals > from ? (size_t)(equals - from) : 0;

    while (length > 0 && from[length - 1] == ' ')
        length--;
    if (length == 0 || length >= sizeof s->path)
        return refuse(s, 1, "a key and its value, as in turns=2100 or supply.voltage=24 V", "\"%.60s\" sets nothing.",
                      s->words);
    memcpy(s->path, from, length);
    s->path[length] = '\0';
    s->value = equals + 1 + strspn(equals + 1, " ");
    s->value_column = (int)(s->value - s->words) + 1;
    return CW_OK;
}

/* ---- where it belongs ------------------------------------------------------------------------------------------ */

static bool is_list(const cw_section *section)
{
    return section->item_size > 0 && !section->open;
}

static bool has_key(const cw_section *section, const char *key)
{
    size_t count;
    const cw_job_magnet_key *keys = cw_job_magnet_keys(&count);

    if (cw_job__find_row(section->rows, section->row_count, key) != NULL)
        return true;
    for (size_t i = 0; i < count && section->open; i++)
        if (strcmp(keys[i].name, key) == 0)
            return true;
    return false;
}

/* The section of a key that stands alone: a wish, else the only section that has it; the magnet's last, whose keys
 * differ from shape to shape. */
static cw_status find_home(const setting *s, const cw_section **home)
{
    const cw_section *wanted = cw_job__find_section("wanted"), *other = NULL;

    *home = has_key(wanted, s->path) ? wanted : NULL;
    for (int i = 0; i < cw_job__section_count && *home != wanted; i++) {
        const cw_section *section = &cw_job__sections[i];

        if (is_list(section) || !has_key(section, s->path) || (section->open && *home != NULL))
            continue;
        other = *home;
        *home = section;
        if (other != NULL)
            return refuse(s, 1, "the section before it, with a point", "\"%s\" stands under %s and under %s.", s->path,
                          other->key, section->key);
    }
    return CW_OK;
}

static cw_status refuse_section(const setting *s, const char *name)
{
    const char *known[64], *nearest;
    int count = 0;

    for (int i = 0; i < cw_job__section_count; i++)
        if (!is_list(&cw_job__sections[i]))
            known[count++] = cw_job__sections[i].key;
    for (int i = 0; strchr(s->path, '.') == NULL && i < cw_job__find_section("wanted")->row_count; i++)
        known[count++] = cw_job__find_section("wanted")->rows[i].key;
    known[count] = NULL;
    nearest = cw_job__nearest(name, known);
    return refuse(s, 1, "section.key=value, as in supply.voltage=24 V", "\"%.60s\" is no %s of a job.%s%s%s", name,
                  strchr(s->path, '.') != NULL ? "section" : "key", nearest != NULL ? " Is \"" : "",
                  nearest != NULL ? nearest : "", nearest != NULL ? "\" meant?" : "");
}

/* Makes the path whole: "turns" is "wanted.turns". */
static cw_status complete(setting *s)
{
    char first[sizeof s->path], whole[sizeof s->path];
    const cw_section *section;
    cw_status status;

    snprintf(first, sizeof first, "%.*s", (int)strcspn(s->path, "."), s->path);
    if (first[strlen(first)] == s->path[strlen(first)]) { /* no point */
        if (cw_job__find_row(cw_job__top_rows, cw_job__top_row_count, s->path) != NULL)
            return CW_OK;
        status = find_home(s, &section);
        if (status == CW_OK && section == NULL)
            status = refuse_section(s, first);
        if (status == CW_OK && snprintf(whole, sizeof whole, "%s.%s", section->key, s->path) < (int)sizeof whole)
            memcpy(s->path, whole, sizeof whole);
        return status;
    }
    section = cw_job__find_section(first);
    if (section == NULL)
        return refuse_section(s, first);
    if (is_list(section))
        return refuse(s, 1, "a section that is no list", "%s is a list. Change it in the file.", section->key);
    return CW_OK;
}

/* ---- in the tree ----------------------------------------------------------------------------------------------- */

/* Takes a child out and destroys it. */
static void take_out(cw_node *map, const char *key)
{
    cw_node *last = NULL;

    for (cw_node **link = &map->first; *link != NULL;) {
        cw_node *node = *link;

        if (node->key == NULL || strcmp(node->key, key) != 0) {
            last = node;
            link = &node->next;
            continue;
        }
        *link = node->next;
        node->next = NULL;
        map->child_count--;
        cw_job__tree_destroy(&node);
    }
    map->last = last;
}

static void append(cw_node *map, cw_node *node)
{
    *(map->last != NULL ? &map->last->next : &map->first) = node;
    map->last = node;
    map->child_count++;
}

/* The map under that key; an empty one where there is none. NULL for want of memory. */
static cw_node *inner_map(cw_node *map, const char *key)
{
    cw_node *found = (cw_node *)cw_job__find(map, key);

    if (found != NULL && found->type == CW_NODE_MAP)
        return found;
    take_out(map, key); /* empty, or wrong: then what is set alone counts */
    found = cw_allocate(1, sizeof *found);
    if (found == NULL)
        return NULL;
    found->type = CW_NODE_MAP;
    found->set = true;
    found->line = found->key_line = found->column = found->key_column = 1;
    found->key = cw_copy_text(key, strlen(key));
    if (found->key == NULL)
        cw_job__tree_destroy(&found);
    else
        append(map, found);
    return found;
}

/* Marks a value as set, and counts its columns in the words as they were given. */
static void mark(cw_node *node, int shift)
{
    for (; node != NULL; node = node->next) {
        node->set = true;
        node->column += shift;
        node->key_column = 1;
        mark(node->first, shift);
    }
}

static cw_status put(setting *s, cw_node *map, const char *key)
{
    const int before = (int)strlen(key) + 3; /* column of the value behind "key: " */
    cw_text text = { 0 };
    cw_node *made = NULL;
    cw_status status;

    cw_text_print(&text, "%s: %s", key, s->value);
    if (text.failed)
        return no_memory(s);
    status = cw_job__tree(text.data, text.length, CW_JOB_SET, &made, s->errors);
    cw_text_clear(&text);
    if (status == CW_OK && (made->child_count != 1 || strcmp(made->first->key, key) != 0))
        status = refuse(s, s->value_column, "one value", "\"%.60s\" cannot be read as one value.", s->words);
    if (status == CW_OK) {
        cw_node *value = made->first;

        made->first = made->last = NULL;
        mark(value, s->value_column - before);
        take_out(map, key);
        append(map, value);
    }
    cw_job__tree_destroy(&made);
    return status;
}

cw_status cw_job__set(cw_node *root, const char *words, cw_errors *errors)
{
    setting s = { .words = words, .errors = errors };
    cw_node *map = root;
    char *key = s.path;
    cw_status status = split(&s);

    if (status == CW_OK)
        status = complete(&s);
    if (status != CW_OK)
        return status;
    for (char *point = strchr(key, '.'); point != NULL; point = strchr(key, '.')) {
        *point = '\0';
        map = inner_map(map, key);
        if (map == NULL)
            return no_memory(&s);
        key = point + 1;
    }
    if (s.value[0] != '\0')
        return put(&s, map, key);
    take_out(map, key);
    return CW_OK;
}
