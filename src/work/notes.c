/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Texts for one sheet or figure, kept together and freed together; and readings in words. */
#include "work/work_internal.h"

#include "evidence/identify_json.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static char *keep(cw_work__notes *notes, char *text)
{
    if (text != NULL && notes->count == notes->capacity) {
        size_t capacity = 2 * notes->capacity + 64;
        char **texts = cw_reallocate(notes->texts, capacity, sizeof *texts);

        if (texts == NULL) {
            cw_free(text);
            text = NULL;
        } else {
            notes->texts = texts;
            notes->capacity = capacity;
        }
    }
    if (text == NULL)
        notes->failed = true;
    else
        notes->texts[notes->count++] = text;
    return text;
}

const char *cw_work__note(cw_work__notes *notes, const char *format, ...)
{
    char text[2048];
    va_list arguments;
    const char *kept;

    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    kept = keep(notes, cw_copy_text(text, strlen(text)));
    return kept != NULL ? kept : "";
}

const char *cw_work__quantity(cw_work__notes *notes, cw_kind kind, double value, cw_unit_system units, int digits)
{
    char text[64];

    if (!isfinite(value))
        return "";
    cw_quantity_format(kind, value, units, digits, text, sizeof text);
    return cw_work__note(notes, "%s", text);
}

static const char *one_wire(cw_work__notes *notes, const cw_wire *wire)
{
    return cw_work__note(notes, "%s %s%s", wire->size.name, cw_build_trade_name(wire->size.system, wire->build),
                         wire->material == CW_ALUMINIUM ? " aluminium" : "");
}

const char *cw_work__wire_name(cw_work__notes *notes, const cw_choice_option *option)
{
    static const char *const strands[] = { "", "", "2 × ", "3 × ", "4 × " };

    if (option->two_sizes)
        return cw_work__note(notes, "%s and on it %s", one_wire(notes, &option->wire),
                             one_wire(notes, &option->second_wire));
    return cw_work__note(notes, "%s%s", strands[option->in_hand], one_wire(notes, &option->wire));
}

const char *cw_work__time(cw_work__notes *notes, double time_s, cw_unit_system units)
{
    return isinf(time_s) ? "never" : cw_work__quantity(notes, CW_TIME, time_s, units, 3);
}

void cw_work__notes_clear(cw_work__notes *notes)
{
    for (size_t i = 0; i < notes->count; i++)
        cw_free(notes->texts[i]);
    cw_free(notes->texts);
    memset(notes, 0, sizeof *notes);
}

const char *cw_work__reading_text(cw_work__notes *notes, const cw_reading *reading, cw_unit_system units)
{
    char value[64], length[80] = "", at[80] = "", number[64];

    if (isinf(reading->value))
        return "open";
    cw_quantity_format(cw_reading_quantity(reading->kind), reading->value, units, 4, value, sizeof value);
    if ((reading->kind == CW_SAMPLE_RESISTANCE || reading->kind == CW_SAMPLE_MASS) && reading->length_m > 0) {
        cw_quantity_format(CW_LENGTH, reading->length_m, units, 3, number, sizeof number);
        snprintf(length, sizeof length, " for %s", number);
    }
    if (isfinite(reading->at_c)) {
        cw_quantity_format(CW_TEMPERATURE, reading->at_c, units, 2, number, sizeof number);
        snprintf(at, sizeof at, " at %s", number);
    }
    return cw_work__note(notes, "%s%s%s", value, length, at);
}

const char *cw_work__reading_name(cw_work__notes *notes, const cw_reading *reading)
{
    const char *words = cw_reading_kind_words(reading->kind);

    if (reading->subject == CW_OF_SIBLING)
        return cw_work__note(notes, "%s, sibling", words);
    return words;
}

cw_reading_mark *cw_work__marks(cw_work *work, cw_work__notes *notes)
{
    const cw_job *job = work->job;
    const cw_identification *id;
    cw_reading_mark *marks = cw_allocate(job->reading_count, sizeof *marks);

    if (marks == NULL)
        return NULL;
    cw_work_identify(work, &id, NULL);
    for (size_t i = 0; i < job->reading_count; i++) {
        const cw_reading *reading = &job->readings[i];
        const cw_reading_check *check = id != NULL ? &id->readings[i] : NULL;

        marks[i] = (cw_reading_mark){ .name = cw_work__reading_name(notes, reading),
                                      .value = cw_work__reading_text(notes, reading, job->units),
                                      .expected = "", .z = NAN };
        if (check != NULL && isfinite(check->expected)) {
            marks[i].expected =
                cw_work__quantity(notes, cw_reading_quantity(reading->kind), check->expected, job->units, 4);
            marks[i].z = check->z;
            marks[i].doubted = check->text[0] != '\0';
        }
    }
    return marks;
}
