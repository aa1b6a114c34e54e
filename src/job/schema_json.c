/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job file's JSON Schema, row by row out of schema.c and magnet.c, so that there is no second list of keys.
 *
 * A quantity is a text with its unit and has no further form here: only the reader knows units. What must hold between
 * keys is the reader's too (check.c). */
#include "job/schema_json.h"

#include "job/job_internal.h"

#include <string.h>

static json_t *words_json(const char *const *words)
{
    json_t *list = json_array();

    for (int i = 0; words[i] != NULL; i++)
        json_array_append_new(list, json_string(words[i]));
    return list;
}

/* ---- one value ------------------------------------------------------------------------------------------------- */

/* One of such, or a list of them. */
static json_t *one_or_list(json_t *one)
{
    return json_pack("{s:[O, {s:s, s:o}]}", "anyOf", one, "type", "array", "items", one);
}

static json_t *whole_json(const cw_row *row)
{
    return json_pack("{s:s, s:i, s:i}", "type", "integer", "minimum", row->least, "maximum", row->most);
}

static json_t *scalar_json(void)
{
    return json_pack("{s:[s, s]}", "type", "string", "number");
}

static json_t *value_json(const cw_row *row)
{
    const cw_form *form = row->form;

    if (form == &cw_job__version_form)
        return json_pack("{s:i}", "const", 1);
    if (form == &cw_job__flag_form)
        return json_pack("{s:[s, s, b, b]}", "enum", "yes", "no", 1, 0);
    if (form == &cw_job__whole_form)
        return whole_json(row);
    if (form == &cw_job__whole_set_form)
        return one_or_list(whole_json(row));
    if (form == &cw_job__word_set_form)
        return one_or_list(json_pack("{s:o}", "enum", words_json(row->words)));
    if (form == &cw_job__builds_form || form == &cw_job__materials_form)
        return one_or_list(json_pack("{s:s}", "type", "string"));
    if (form == &cw_job__pair_form)
        return json_pack("{s:s, s:o, s:i, s:i}", "type", "array", "items", scalar_json(), "minItems", 2, "maxItems", 2);
    if (form == &cw_job__lengths_form || form == &cw_job__gears_form || form == &cw_job__taps_form)
        return json_pack("{s:s, s:o, s:i}", "type", "array", "items", scalar_json(), "maxItems", row->most);
    return row->words != NULL ? json_pack("{s:o}", "enum", words_json(row->words)) : scalar_json();
}

/* What stands behind "as in": one example, or the metric and the inch one. */
static void add_examples(json_t *value, const char *metric, const char *inch)
{
    json_t *list = json_pack("[s]", metric);

    if (inch != NULL && strcmp(metric, inch) != 0)
        json_array_append_new(list, json_string(inch));
    json_object_set_new(value, "examples", list);
}

static json_t *row_json(const cw_row *row)
{
    json_t *value = value_json(row);

    json_object_set_new(value, "description", json_string(row->about));
    add_examples(value, row->metric, row->inch);
    if (row->form->what != NULL)
        json_object_set_new(value, "expected", json_string(row->form->what));
    else if (row->words == NULL)
        json_object_set_new(value, "expected", json_string(cw_kind_name(row->kind)));
    return value;
}

static json_t *record_json(const cw_row *rows, int count)
{
    json_t *properties = json_object(), *required = json_array();

    for (int i = 0; i < count; i++) {
        json_object_set_new(properties, rows[i].key, row_json(&rows[i]));
        if (rows[i].required)
            json_array_append_new(required, json_string(rows[i].key));
    }
    return json_pack("{s:s, s:o, s:o, s:b}", "type", "object", "properties", properties, "required", required,
                     "additionalProperties", 0);
}

/* ---- magnet ---------------------------------------------------------------------------------------------------- */

static const char *const shape_names[] = { "pot", "plunger", "u", "e" };

/* "of the core inside the coil (pot, plunger)" */
static json_t *magnet_about(const cw_job_magnet_key *key)
{
    cw_text text = { 0 };
    const char *before = " (";
    json_t *about;

    cw_text_add(&text, key->about);
    for (size_t i = 0; i < sizeof shape_names / sizeof shape_names[0]; i++)
        if ((key->shapes & cw_job_magnet_shape(shape_names[i])) != 0) {
            cw_text_print(&text, "%s%s", before, shape_names[i]);
            before = ", ";
        }
    cw_text_add(&text, ")");
    about = text.failed ? NULL : json_string(text.data);
    cw_text_clear(&text);
    return about;
}

static json_t *magnet_key_json(const cw_job_magnet_key *key)
{
    json_t *value = key->type == CW_KEY_YES_NO ? json_pack("{s:[s, s, b, b]}", "enum", "yes", "no", 1, 0) : scalar_json();

    json_object_set_new(value, "description", magnet_about(key));
    add_examples(value, key->metric, key->inch);
    json_object_set_new(value, "expected", json_string(key->type == CW_KEY_LENGTH ? "length"
                                                       : key->type == CW_KEY_FORCE ? "force" : "a word"));
    return value;
}

/* The group that "plate.thickness" belongs to; made where it is not there yet. */
static json_t *group_of(json_t *properties, const char *name, size_t length)
{
    json_t *group = json_object_getn(properties, name, length);

    if (group == NULL) {
        group = json_pack("{s:s, s:{}, s:b}", "type", "object", "properties", "additionalProperties", 0);
        json_object_setn_new(properties, name, length, group);
    }
    return json_object_get(group, "properties");
}

static void add_magnet_keys(json_t *properties)
{
    size_t count;
    const cw_job_magnet_key *keys = cw_job_magnet_keys(&count);

    for (size_t i = 0; i < count; i++) {
        const char *point = strchr(keys[i].name, '.');
        json_t *place = point != NULL ? group_of(properties, keys[i].name, (size_t)(point - keys[i].name)) : properties;
        const char *name = point != NULL ? point + 1 : keys[i].name;

        if (json_object_get(place, name) == NULL)
            json_object_set_new(place, name, magnet_key_json(&keys[i]));
    }
}

/* ---- the whole ------------------------------------------------------------------------------------------------- */

static json_t *section_json(const cw_section *section)
{
    const bool list = section->item_size > 0 && !section->open;
    json_t *record = record_json(section->rows, section->row_count);

    if (section->open) { /* the keys of the shape "section" are free */
        add_magnet_keys(json_object_get(record, "properties"));
        json_object_del(record, "additionalProperties");
    }
    if (list)
        record = json_pack("{s:s, s:o}", "type", "array", "items", record);
    json_object_set_new(record, "description", json_string(section->about));
    return record;
}

json_t *cw_job_schema_json(void)
{
    json_t *document = record_json(cw_job__top_rows, cw_job__top_row_count);
    json_t *properties = json_object_get(document, "properties");

    for (int i = 0; i < cw_job__section_count; i++)
        json_object_set_new(properties, cw_job__sections[i].key, section_json(&cw_job__sections[i]));
    json_object_set_new(document, "$schema", json_string("https://json-schema.org/draft/2020-12/schema"));
    json_object_set_new(document, "title", json_string("job file"));
    json_object_set_new(document, "description",
                        json_string("What is known of a coil, what is wanted, and what there is to wind it with. "
                                    "Quantities are texts with their unit; a doubt may follow, as in 84.2 ohm ± 0.5 %."));
    return document;
}
