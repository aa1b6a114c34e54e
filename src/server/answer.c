/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a worker answers, route by route. Runs in the worker's process; thin, like the verbs of the command line. */
#include "server/server_internal.h"

#include "choose/choose_json.h"
#include "evidence/identify_json.h"
#include "nc/nc_json.h"
#include "winding/lay_json.h"

#include <stdlib.h>
#include <string.h>

static void answer_json(cw_server__answer *answer, json_t *document)
{
    char *text = document != NULL ? json_dumps(document, JSON_COMPACT | JSON_REAL_PRECISION(12)) : NULL;

    answer->type = CW_SERVER__JSON;
    if (text == NULL)
        answer->body.failed = true;
    else
        cw_text_add(&answer->body, text);
    free(text);
    json_decref(document);
}

void cw_server__answer_error(cw_server__answer *answer, int status, const cw_error *error)
{
    cw_text_clear(&answer->body);
    answer->status = status;
    answer_json(answer, json_pack("{s:o}", "error", cw_server__error_json(error)));
}

/* A wrong job is 422: well received, and nothing can be made of it [RFC 9110, 15.5.21]. */
static void answer_status(cw_server__answer *answer, cw_status status, const cw_error *error)
{
    cw_server__answer_error(answer, status == CW_BAD_INPUT ? MHD_HTTP_UNPROCESSABLE_CONTENT
                                                           : MHD_HTTP_INTERNAL_SERVER_ERROR, error);
}

/* The job of the question, or NULL and the answer says why. */
static cw_work *open_job(const char *text, size_t length, cw_server__answer *answer)
{
    cw_errors errors = { 0 };
    cw_error error;
    cw_work *work;
    cw_status status = cw_work_open(text, length, "job.yaml", &work, &errors);

    if (status == CW_BAD_INPUT) {
        answer_json(answer, cw_server__errors_document(&errors));
        answer->status = MHD_HTTP_UNPROCESSABLE_CONTENT;
    } else if (status != CW_OK) {
        cw_no_memory(&error);
        answer_status(answer, status, errors.count > 0 ? &errors.items[0] : &error);
    }
    cw_errors_clear(&errors);
    return work;
}

/* A job that is half typed is the ordinary case here: 200, with its mistakes. */
void cw_server__job(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = open_job(question->body, question->length, answer);

    if (work != NULL)
        answer_json(answer, cw_server__document(work));
    else if (answer->status == MHD_HTTP_UNPROCESSABLE_CONTENT)
        answer->status = MHD_HTTP_OK;
    cw_work_close(&work);
}

void cw_server__identify(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = open_job(question->body, question->length, answer);
    const cw_identification *identification;
    cw_error error;
    cw_status status = work != NULL ? cw_work_identify(work, &identification, &error) : CW_OK;

    if (status != CW_OK)
        answer_status(answer, status, &error);
    else if (work != NULL)
        answer_json(answer, cw_identification_json(identification));
    cw_work_close(&work);
}

void cw_server__choose(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = open_job(question->body, question->length, answer);
    const cw_choice *choice, *before;
    cw_error error;
    cw_status status = work != NULL ? cw_work_choose(work, &choice, &error) : CW_OK;

    if (work != NULL && status == CW_OK)
        status = cw_work_before(work, &before, &error);
    if (status != CW_OK)
        answer_status(answer, status, &error);
    else if (work != NULL)
        answer_json(answer, cw_choice_json(choice, before));
    cw_work_close(&work);
}

void cw_server__lay(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = open_job(question->body, question->length, answer);
    const cw_winding *winding;
    cw_error error;
    cw_status status = work != NULL ? cw_work_lay(work, &winding, NULL, &error) : CW_OK;

    if (status != CW_OK)
        answer_status(answer, status, &error);
    else if (work != NULL)
        answer_json(answer, cw_winding_json(winding));
    cw_work_close(&work);
}

void cw_server__section(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = open_job(question->body, question->length, answer);
    cw_error error;
    cw_status status = CW_OK;

    if (work != NULL) {
        answer->type = CW_SERVER__SVG;
        status = cw_work_figure(work, CW_FIGURE_SECTION, CW_SVG, &answer->body, &error);
    }
    if (status != CW_OK)
        answer_status(answer, status, &error);
    cw_work_close(&work);
}

static cw_status choose_paper(const char *name, cw_unit_system units, cw_sheet_paper *paper, cw_error *error)
{
    *paper = units == CW_INCH_UNITS ? CW_SHEET_LETTER : CW_SHEET_A4;
    if (name != NULL && strcmp(name, "a4") != 0 && strcmp(name, "letter") != 0)
        return cw_refuse(error, NULL, "a4 or letter", "\"%.20s\" is no paper.", name);
    if (name != NULL)
        *paper = name[0] == 'a' ? CW_SHEET_A4 : CW_SHEET_LETTER;
    return CW_OK;
}

void cw_server__sheet(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = open_job(question->body, question->length, answer);
    cw_sheet_paper paper;
    cw_error error;
    cw_status status = CW_OK;

    if (work != NULL) {
        answer->type = CW_SERVER__PDF;
        status = choose_paper(question->paper, cw_work_job(work)->units, &paper, &error);
        if (status == CW_OK)
            status = cw_work_sheet(work, paper, question->date, &answer->body, &error);
    }
    if (status != CW_OK)
        answer_status(answer, status, &error);
    cw_work_close(&work);
}

void cw_server__program(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = open_job(question->body, question->length, answer);
    cw_error error;
    cw_status status = CW_OK;

    if (work != NULL) {
        answer->type = CW_SERVER__TEXT;
        status = cw_work_program(work, question->dry_run, &answer->body, NULL, &error);
    }
    if (status != CW_OK)
        answer_status(answer, status, &error);
    cw_work_close(&work);
}

static void replay_on(cw_work *work, json_t *program, cw_server__answer *answer)
{
    cw_replay *replay;
    cw_error error;
    cw_status status = cw_work_replay(work, json_string_value(program), json_string_length(program), "program",
                                      &replay, &error);

    if (status != CW_OK)
        answer_status(answer, status, &error);
    else
        answer_json(answer, cw_replay_json(replay));
    cw_replay_destroy(&replay);
}

/* {"job": YAML, "program": text} */
void cw_server__replay(const cw_server__question *question, cw_server__answer *answer)
{
    json_error_t where;
    json_t *body = json_loadb(question->body, question->length, JSON_REJECT_DUPLICATES, &where);
    json_t *job = json_object_get(body, "job"), *program = json_object_get(body, "program");
    cw_work *work = NULL;
    cw_error error;

    if (!json_is_string(job) || !json_is_string(program)) {
        cw_refuse(&error, &(cw_place){ NULL, where.line > 0 ? where.line : 0, where.column > 0 ? where.column : 0 },
                  "{\"job\": \"...\", \"program\": \"...\"}", body == NULL
                      ? "This is no JSON document." : "The document lacks a job or a program, each a text.");
        cw_server__answer_error(answer, MHD_HTTP_BAD_REQUEST, &error);
    } else {
        work = open_job(json_string_value(job), json_string_length(job), answer);
        if (work != NULL)
            replay_on(work, program, answer);
    }
    cw_work_close(&work);
    json_decref(body);
}

void cw_server__template(const cw_server__question *question, cw_server__answer *answer)
{
    const char *units = question->units != NULL ? question->units : "metric";
    cw_error error;
    cw_status status;

    answer->type = CW_SERVER__YAML;
    if (strcmp(units, "metric") != 0 && strcmp(units, "inch") != 0)
        status = cw_refuse(&error, NULL, "metric or inch", "\"%.20s\" is no system of units.", units);
    else
        status = cw_job_template(question->kind != NULL ? question->kind : "bobbin",
                                 units[0] == 'i' ? CW_INCH_UNITS : CW_METRIC_UNITS, &answer->body, &error);
    if (status != CW_OK)
        answer_status(answer, status, &error);
}
