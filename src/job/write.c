/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job as a job file, by the rows of the schema. */
#include "job/job_internal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- values ---------------------------------------------------------------------------------------------------- */

void cw_job__write_quoted(const char *words, cw_text *text)
{
    cw_text_add(text, "\"");
    for (const unsigned char *c = (const unsigned char *)words; *c != '\0'; c++) {
        if (*c == '"' || *c == '\\')
            cw_text_print(text, "\\%c", *c);
        else if (*c == '\n')
            cw_text_add(text, "\\n");
        else if (*c < ' ' || *c == 0x7F)
            cw_text_print(text, "\\x%02X", *c);
        else
            cw_text_add_bytes(text, (const char *)c, 1);
    }
    cw_text_add(text, "\"");
}

static bool reads_back(cw_kind kind, const char *written, double value)
{
    cw_quantity quantity;

    return cw_quantity_parse(kind, written, strlen(written), NULL, &quantity, NULL) == CW_OK && quantity.value == value;
}

/* A unit of the kind that is a power of ten of its SI unit. */
static const char *decimal_unit(cw_kind kind)
{
    const char *unit;

    if (kind == CW_TIME)
        return "s";
    if (kind == CW_SPEED)
        return "m/s";
    if (kind == CW_RESISTANCE_PER_LENGTH)
        return "ohm/m";
    unit = strchr(cw_kind_example(kind), ' ');
    return unit != NULL ? unit + 1 : "";
}

/* Seventeen figures tell every double from its neighbours; in a unit of a power of ten only the power changes, and the
 * reader moves it back without rounding. The point is written by hand, since printf's depends on the locale. */
static void write_all_figures(cw_kind kind, double value, char *buffer, size_t size)
{
    const char *unit = decimal_unit(kind);
    int power = (int)rint(log10(cw_quantity_in(kind, 1, unit))), exponent;
    char figures[40], *e;

    snprintf(figures, sizeof figures, "%.16e", value);
    e = strchr(figures, 'e');
    exponent = (int)strtol(e + 1, NULL, 10) + power;
    *e = '\0';
    *(figures + strcspn(figures, "0123456789") + 1) = '.';
    snprintf(buffer, size, "%se%d%s%s", figures, exponent, unit[0] != '\0' ? " " : "", unit);
}

/* The fewest figures that read back to the same double, in a handy unit if that is possible. */
static void write_value(cw_kind kind, double value, cw_unit_system units, char *buffer, size_t size)
{
    for (int figures = 3; figures <= 15; figures++) {
        cw_quantity_format(kind, value, units, figures, buffer, size);
        if (reads_back(kind, buffer, value))
            return;
    }
    write_all_figures(kind, value, buffer, size);
}

void cw_job__write_quantity(cw_kind kind, double value, double doubt, cw_unit_system units, cw_text *text)
{
    cw_kind doubt_kind = kind == CW_TEMPERATURE ? CW_TEMPERATURE_DIFFERENCE : kind;
    char written[100];

    write_value(kind, value, units, written, sizeof written);
    cw_text_add(text, written);
    if (!(doubt > 0))
        return;
    write_value(doubt_kind, doubt, units, written, sizeof written);
    cw_text_print(text, " ± %s", written);
}

/* ---- sections -------------------------------------------------------------------------------------------------- */

static void write_rows(const cw_row *rows, int count, const void *record, cw_unit_system units, const char *first,
                       const char *others, cw_text *text)
{
    const char *indent = first;

    for (int i = 0; i < count; i++) {
        cw_text value = { 0 };

        if (rows[i].form->write(&rows[i], record, units, &value) && value.data != NULL) {
            cw_text_print(text, "%s%s: %s\n", indent, rows[i].key, value.data);
            indent = others;
        }
        text->failed = text->failed || value.failed;
        cw_text_clear(&value);
    }
}

static void write_entry(const cw_job_entry *entry, const char *name, const char *indent, cw_unit_system units,
                        cw_text *text)
{
    cw_text_print(text, "%s%s: ", indent, name);
    if (entry->word != NULL)
        cw_job__write_quoted(entry->word, text);
    else
        cw_job__write_quantity(entry->kind, entry->value, entry->doubt, units, text);
    cw_text_add(text, "\n");
}

/* "plate.thickness" and "plate.iron" stand together under plate:, as the reader left them. */
static void write_entries(const cw_job *job, cw_text *text)
{
    char group[80] = "";

    for (size_t i = 0; i < job->magnet_count; i++) {
        const cw_job_entry *entry = &job->magnet[i];
        const char *point = strchr(entry->name, '.');

        if (point == NULL) {
            group[0] = '\0';
            write_entry(entry, entry->name, "  ", job->units, text);
            continue;
        }
        if (strlen(group) != (size_t)(point - entry->name) || strncmp(group, entry->name, strlen(group)) != 0) {
            snprintf(group, sizeof group, "%.*s", (int)(point - entry->name), entry->name);
            cw_text_print(text, "  %s:\n", group);
        }
        write_entry(entry, point + 1, "    ", job->units, text);
    }
}

static void write_list(const cw_section *section, const cw_job *job, cw_text *text)
{
    const char *items;
    size_t count;

    memcpy(&items, (const char *)job + section->record, sizeof items);
    memcpy(&count, (const char *)job + section->count, sizeof count);
    if (count == 0)
        return;
    cw_text_print(text, "%s:\n", section->key);
    for (size_t i = 0; i < count; i++)
        write_rows(section->rows, section->row_count, items + i * section->item_size, job->units, "  - ", "    ", text);
}

static bool is_given(const cw_section *section, const cw_job *job)
{
    bool given;

    if (section->given == CW_NOWHERE) /* job: */
        return job->name != NULL || job->machine_name != NULL || job->note != NULL;
    memcpy(&given, (const char *)job + section->given, sizeof given);
    return given;
}

static void write_section(const cw_section *section, const cw_job *job, cw_text *text)
{
    size_t before;

    if (section->item_size > 0 && !section->open) {
        write_list(section, job, text);
        return;
    }
    if (!is_given(section, job))
        return;
    cw_text_print(text, "%s:", section->key);
    before = text->length;
    cw_text_add(text, "\n");
    if (section->open)
        write_entries(job, text);
    else
        write_rows(section->rows, section->row_count, (const char *)job + section->record, job->units, "  ", "  ",
                   text);
    if (text->length == before + 1 && !text->failed) { /* a section of which nothing is known is an empty group */
        text->length = before;
        cw_text_add(text, " {}\n");
    }
}

cw_status cw_job_write(const cw_job *job, cw_text *text, cw_error *error)
{
    cw_text_add(text, "coilwright: 1\n");
    if (job->units_given)
        cw_text_print(text, "units: %s\n", job->units == CW_INCH_UNITS ? "inch" : "metric");
    for (int i = 0; i < cw_job__section_count; i++)
        write_section(&cw_job__sections[i], job, text);
    return text->failed ? cw_no_memory(error) : CW_OK;
}
