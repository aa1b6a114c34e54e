/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The document of /api/job: all that a page needs after a key was pressed.
 *
 *     { ok, errors[],                       every mistake, with line and column
 *       job { name, units, readings[], window[], machine },     as understood, in words
 *       identify, choose, lay,              the stages' own documents, or { error }
 *       program { kind, replay } } */
#include "server/server_internal.h"

#include "choose/choose_json.h"
#include "evidence/identify_json.h"
#include "nc/nc_json.h"
#include "winding/lay_json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

json_t *cw_server__error_json(const cw_error *error)
{
    return json_pack("{s:s, s:i, s:i, s:s, s:s}", "file", error->file, "line", error->line, "column", error->column,
                     "text", error->text, "expected", error->expected);
}

static json_t *error_document(const cw_error *error)
{
    return json_pack("{s:o}", "error", cw_server__error_json(error));
}

json_t *cw_server__errors_document(const cw_errors *errors)
{
    json_t *list = json_array();

    for (size_t i = 0; i < errors->count; i++)
        json_array_append_new(list, cw_server__error_json(&errors->items[i]));
    return json_pack("{s:b, s:o}", "ok", 0, "errors", list);
}

/* "0.01370 in = 0.3480 mm": the second where the other system says it otherwise. */
static void both_units(cw_kind kind, double value, cw_unit_system units, char *out, size_t size)
{
    char own[64], other[64];

    cw_quantity_format(kind, value, units, 4, own, sizeof own);
    cw_quantity_format(kind, value, units == CW_INCH_UNITS ? CW_METRIC_UNITS : CW_INCH_UNITS, 4, other, sizeof other);
    snprintf(out, size, strcmp(own, other) == 0 ? "%s" : "%s = %s", own, other);
}

static void add_phrase(char *text, size_t size, const char *between, cw_kind kind, double value, cw_unit_system units,
                       int digits)
{
    const size_t used = strlen(text);
    char number[64];

    cw_quantity_format(kind, value, units, digits, number, sizeof number);
    snprintf(text + used, size - used, "%s%s", between, number);
}

/* A reading as understood: "125.8 ohm ± 0.63 ohm at 72 °F". */
static void understood(const cw_reading *reading, cw_unit_system units, char *text, size_t size)
{
    const cw_kind kind = cw_reading_quantity(reading->kind);
    const bool usual = !(reading->doubt > 0);
    const double doubt = usual ? cw_reading_usual_doubt(reading) : reading->doubt;

    if (isinf(reading->value)) {
        snprintf(text, size, "open");
        return;
    }
    both_units(kind, reading->value, units, text, size);
    if (isfinite(reading->length_m))
        add_phrase(text, size, " for ", CW_LENGTH, reading->length_m, units, 4);
    if (isfinite(reading->at_c))
        add_phrase(text, size, " at ", CW_TEMPERATURE, reading->at_c, units, 3);
    if (isfinite(reading->current_a))
        add_phrase(text, size, " at ", CW_CURRENT, reading->current_a, units, 3);
    if (isfinite(doubt) && doubt > 0)
        add_phrase(text, size, usual ? ", taken as good to " : ", good to ", kind, doubt, units, 2);
}

static json_t *readings_document(const cw_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->reading_count; i++) {
        const cw_reading *reading = &job->readings[i];
        char text[320];

        understood(reading, job->units, text, sizeof text);
        json_array_append_new(list, json_pack("{s:i, s:i, s:s, s:s, s:s}", "index", (int)i, "line", reading->at.line,
                                              "kind", cw_reading_kind_name(reading->kind), "words",
                                              cw_reading_kind_words(reading->kind), "understood", text));
    }
    return list;
}

static void add_length(json_t *object, const char *key, double value_m, cw_unit_system units)
{
    char text[160];

    if (!(value_m > 0 && isfinite(value_m)))
        return;
    both_units(CW_LENGTH, value_m, units, text, sizeof text);
    json_object_set_new(object, key, json_string(text));
}

static json_t *window_document(const cw_job *job)
{
    json_t *object = json_object();

    if (!job->window_given)
        return object;
    add_length(object, job->window.shape == CW_ROUND ? "inner" : "width", job->window.inner_m[0], job->units);
    if (job->window.shape != CW_ROUND)
        add_length(object, "breadth", job->window.inner_m[1], job->units);
    add_length(object, "corner_radius", job->window.corner_radius_m, job->units);
    add_length(object, "length", job->window.length_m, job->units);
    add_length(object, "depth", job->window.depth_m, job->units);
    return object;
}

static json_t *job_document(cw_work *work)
{
    const cw_job *job = cw_work_job(work);

    return json_pack("{s:s?, s:s?, s:s, s:o, s:o, s:o}", "name", job->name, "machine_name", job->machine_name, "units",
                     job->units == CW_INCH_UNITS ? "inch" : "metric", "readings", readings_document(job), "window",
                     window_document(job), "machine",
                     job->machine.given ? json_string(cw_machine_kind_name(job->machine.kind)) : json_null());
}

static json_t *program_document(cw_work *work)
{
    const cw_machine *machine = cw_work_machine(work);
    const cw_replay *replay;
    cw_error error;

    if (cw_work_program(work, false, NULL, &replay, &error) != CW_OK)
        return error_document(&error);
    return json_pack("{s:s, s:s, s:f, s:f, s:o}", "kind", cw_machine_kind_name(machine->kind), "code",
                     cw_code_name(machine->code), "speed_rpm", machine->speed_rpm, "slow_speed_rpm",
                     machine->slow_speed_rpm, "replay", replay != NULL ? cw_replay_json(replay) : json_null());
}

json_t *cw_server__document(cw_work *work)
{
    const cw_identification *identification;
    const cw_choice *choice, *before;
    const cw_winding *winding;
    cw_error error;
    json_t *object = json_pack("{s:b, s:[], s:o}", "ok", 1, "errors", "job", job_document(work));

    if (object == NULL)
        return NULL;
    json_object_set_new(object, "identify", cw_work_identify(work, &identification, &error) == CW_OK
                                                ? cw_identification_json(identification) : error_document(&error));
    json_object_set_new(object, "choose", cw_work_choose(work, &choice, &error) == CW_OK &&
                                                      cw_work_before(work, &before, &error) == CW_OK
                                              ? cw_choice_json(choice, before) : error_document(&error));
    json_object_set_new(object, "lay", cw_work_lay(work, &winding, NULL, &error) == CW_OK
                                           ? cw_winding_json(winding) : error_document(&error));
    json_object_set_new(object, "program", program_document(work));
    return object;
}
