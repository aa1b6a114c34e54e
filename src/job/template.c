/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job file to fill in, by the rows of the schema.
 *
 * What must be filled in stands empty, so that reading the file says what is still missing. What may be said as well is
 * commented out with a # in the first column, and is right as it stands once that # is taken away; test_template.c does
 * both. Prose has a blank behind its #. */
#include "job/job_internal.h"

#include <stdio.h>
#include <string.h>

typedef struct plan {
    const char *kind;
    cw_unit_system units;
    cw_text *text;
} plan;

static bool is(const char *a, const char *b)
{
    return strcmp(a, b) == 0;
}

/* Coils of these sit on straight legs; the others on round cores. */
static bool has_legs(const plan *p)
{
    return is(p->kind, "u") || is(p->kind, "e");
}

static const char *example(const plan *p, const cw_row *row)
{
    return p->units == CW_INCH_UNITS && row->inch != NULL ? row->inch : row->metric;
}

static void line(const plan *p, const char *left, const char *about)
{
    enum { COLUMN = 38 };
    int width = 0;

    for (const char *c = left; *c != '\0'; c++)
        width += (*c & 0xC0) != 0x80; /* characters, not bytes */
    cw_text_print(p->text, "%s%*s # %s\n", left, width < COLUMN ? COLUMN - width : 0, "", about);
}

static void write_row(const plan *p, const cw_row *row, cw_ask ask, const char *value, const char *indent)
{
    char left[200], about[300];

    snprintf(about, sizeof about, "%s", row->about);
    if (ask == CW_MENTION)
        snprintf(left, sizeof left, "#%s%s: %s", indent, row->key, value);
    else if (ask == CW_PRESET)
        snprintf(left, sizeof left, "%s%s: %s", indent, row->key, value);
    else {
        snprintf(left, sizeof left, "%s%s:", indent, row->key);
        snprintf(about, sizeof about, "%s; as in %s", row->about, value);
    }
    line(p, left, about);
}

/* What the kind of magnet decides about a row. */
static cw_ask ask_for(const plan *p, const cw_section *section, const cw_row *row)
{
    if (is(section->key, "circuit") && !is(p->kind, "u"))
        return CW_MENTION;
    if (is(row->key, has_legs(p) ? "inner" : "inner_size") || (is(row->key, "corner_radius") && !has_legs(p)))
        return CW_SKIP;
    return row->ask;
}

static const char *value_for(const plan *p, const cw_section *section, const cw_row *row)
{
    if (is(section->key, "magnet") && is(row->key, "shape"))
        return p->kind;
    if (is(section->key, "window") && is(row->key, "shape"))
        return has_legs(p) ? "rectangle" : "round";
    return example(p, row);
}

static bool only_mentions(const plan *p, const cw_section *section)
{
    for (int i = 0; i < section->row_count; i++)
        if (ask_for(p, section, &section->rows[i]) > CW_MENTION)
            return false;
    return true;
}

static void write_section(const plan *p, const cw_section *section)
{
    bool list = section->item_size > 0 && !section->open;
    const char *indent = list ? "  - " : "  ";

    cw_text_print(p->text, "\n# %s\n%s%s:\n", section->about, only_mentions(p, section) ? "#" : "", section->key);
    for (int i = 0; i < section->row_count; i++) {
        const cw_row *row = &section->rows[i];
        cw_ask ask = ask_for(p, section, row);

        if (ask == CW_SKIP)
            continue;
        write_row(p, row, ask, value_for(p, section, row), indent);
        indent = list ? "    " : "  ";
    }
}

/* ---- magnet ---------------------------------------------------------------------------------------------------- */

static const char *key_example(const plan *p, const cw_job_magnet_key *key)
{
    return p->units == CW_INCH_UNITS && key->inch != NULL ? key->inch : key->metric;
}

/* "plate: {thickness: 12 mm, iron: structural-steel}": those that the field needs, and the iron. */
static void mention_group(const plan *p, const char *group, bool all, const char *about)
{
    const unsigned shape = cw_job_magnet_shape(p->kind);
    const size_t length = strlen(group);
    size_t count, used;
    const cw_job_magnet_key *keys = cw_job_magnet_keys(&count);
    const char *before = "{";
    char left[200];

    used = (size_t)snprintf(left, sizeof left, "#  %s: ", group);
    for (size_t i = 0; i < count; i++) {
        if ((keys[i].shapes & shape) == 0 || strncmp(keys[i].name, group, length) != 0 || keys[i].name[length] != '.' ||
            !(all || keys[i].needed || keys[i].type == CW_KEY_IRON))
            continue;
        used += (size_t)snprintf(left + used, sizeof left - used, "%s%s: %s", before, keys[i].name + length + 1,
                                 key_example(p, &keys[i]));
        before = ", ";
    }
    if (before[0] != ',')
        return;
    snprintf(left + used, sizeof left - used, "}");
    line(p, left, about);
}

static void write_magnet(const plan *p, const cw_section *section)
{
    const unsigned shape = cw_job_magnet_shape(p->kind);
    size_t count;
    const cw_job_magnet_key *keys = cw_job_magnet_keys(&count);

    write_section(p, section);
    for (size_t i = 0; i < count; i++) {
        char left[200];

        if ((keys[i].shapes & shape) == 0 || strchr(keys[i].name, '.') != NULL || strcmp(keys[i].name, "shape") == 0)
            continue;
        snprintf(left, sizeof left, "#  %s: %s", keys[i].name, key_example(p, &keys[i]));
        line(p, left, keys[i].about);
    }
    mention_group(p, "plate", false, "what it pulls");
    mention_group(p, "coil", true, "only where it does not lie as the window has it");
}

/* ---- readings -------------------------------------------------------------------------------------------------- */

static const char *reading_example(const plan *p, const cw_reading_row *row)
{
    return p->units == CW_INCH_UNITS && row->inch != NULL ? row->inch : row->metric;
}

static void ask_reading(const plan *p, cw_reading_kind kind)
{
    const cw_reading_row *row = &cw_job__reading_rows[kind];
    char left[100], about[200];

    snprintf(left, sizeof left, "  - kind: %s", row->name);
    line(p, left, row->about);
    if (kind == CW_COIL_RESISTANCE)
        line(p, "    of: sibling", "or this");
    snprintf(about, sizeof about, "a doubt may follow (± 0.5 %%); as in %s", reading_example(p, row));
    line(p, "    value:", about);
    if (kind == CW_COIL_RESISTANCE)
        line(p, "    at:", p->units == CW_INCH_UNITS ? "temperature of the coil; as in 75 °F"
                                                     : "temperature of the coil; as in 24 °C");
}

static void mention_reading(const plan *p, cw_reading_kind kind)
{
    const cw_reading_row *row = &cw_job__reading_rows[kind];
    const char *piece = p->units == CW_INCH_UNITS ? "10 ft" : "3 m";
    char left[200];
    size_t used = (size_t)snprintf(left, sizeof left, "#  - {kind: %s, value: %s", row->name, reading_example(p, row));

    if (row->takes_length)
        used += (size_t)snprintf(left + used, sizeof left - used, ", length: %s", piece);
    if (row->takes_current)
        used += (size_t)snprintf(left + used, sizeof left - used, ", current: 50 mA");
    if (row->takes_core)
        used += (size_t)snprintf(left + used, sizeof left - used, ", core: out");
    snprintf(left + used, sizeof left - used, "}");
    line(p, left, row->about);
}

static void write_readings(const plan *p, const cw_section *section)
{
    cw_text_print(p->text, "\n# %s\n# Take out those that were not taken; every one more makes the answer surer.\n"
                  "%s:\n",
                  section->about, section->key);
    ask_reading(p, CW_COIL_RESISTANCE);
    ask_reading(p, CW_BARE_DIAMETER);
    for (int kind = 0; kind < CW_READING_KIND_COUNT; kind++)
        if (kind != CW_COIL_RESISTANCE && kind != CW_BARE_DIAMETER)
            mention_reading(p, (cw_reading_kind)kind);
}

/* ---- the whole ------------------------------------------------------------------------------------------------- */

static void write_head(const plan *p)
{
    cw_text_add(p->text,
                "# A coil to rewind. Fill in what stands empty behind its colon.\n"
                "# Where a # stands in the first column, the line is only an offer: take the # away and put in what\n"
                "# is true, or leave it as it is. What stands behind a later # is explanation.\n"
                "# A quantity is written with its unit: 58 mm, 2-1/4 in, 84.2 ohm, 6 oz, 70 °F; a point, no comma.\n"
                "# Behind it may stand how far it is doubtful: 84.2 ohm ± 0.5 %.\n");
    cw_text_print(p->text, "coilwright: 1\nunits: %s\n", p->units == CW_INCH_UNITS ? "inch" : "metric");
}

cw_status cw_job_template(const char *kind, cw_unit_system units, cw_text *text, cw_error *error)
{
    static const char *const kinds[] = { "pot", "plunger", "u", "e", "bobbin", NULL };
    const plan p = { kind, units, text };
    const char *const *known = kinds;
    const char *nearest;

    while (*known != NULL && !is(*known, kind))
        known++;
    if (*known == NULL) {
        nearest = cw_job__nearest(kind, kinds);
        return cw_refuse(error, NULL, "pot, plunger, u, e or bobbin", "\"%.40s\" is no kind of magnet.%s%s%s", kind,
                         nearest != NULL ? " Is \"" : "", nearest != NULL ? nearest : "",
                         nearest != NULL ? "\" meant?" : "");
    }
    write_head(&p);
    for (int i = 0; i < cw_job__section_count; i++) {
        const cw_section *section = &cw_job__sections[i];

        if (is(section->key, "readings"))
            write_readings(&p, section);
        else if (is(section->key, "section"))
            continue; /* the regions of a magnet that no template draws */
        else if (section->open && !is(kind, "bobbin"))
            write_magnet(&p, section);
        else if (!section->open)
            write_section(&p, section);
    }
    return text->failed ? cw_no_memory(error) : CW_OK;
}
