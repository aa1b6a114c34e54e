/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a worker answers, route by route. Runs in the worker's process; thin, like the verbs of the command line. */
#include "server/server_internal.h"

#include "choose/choose_json.h"
#include "evidence/identify_json.h"
#include "nc/nc_json.h"
#include "winding/lay_json.h"
#include "work/heat_document.h"
#include "work/proof_document.h"
#include "work/switch_json.h"

#include <stdlib.h>
#include <string.h>

void cw_server__answer_json(cw_server__answer *answer, json_t *document)
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
    cw_server__answer_json(answer, json_pack("{s:o}", "error", cw_server__error_json(error)));
}

/* A wrong job is 422: well received, and nothing can be made of it [RFC 9110, 15.5.21]. */
void cw_server__answer_status(cw_server__answer *answer, cw_status status, const cw_error *error)
{
    cw_server__answer_error(answer, status == CW_BAD_INPUT ? MHD_HTTP_UNPROCESSABLE_CONTENT
                                                           : MHD_HTTP_INTERNAL_SERVER_ERROR, error);
}

/* The job of the question, or NULL and the answer says why. */
cw_work *cw_server__open_job(const char *text, size_t length, cw_server__answer *answer)
{
    cw_errors errors = { 0 };
    cw_error error;
    cw_work *work;
    cw_status status = cw_work_open(text, length, "job.yaml", &work, &errors);

    if (status == CW_BAD_INPUT) {
        cw_server__answer_json(answer, cw_server__errors_document(&errors));
        answer->status = MHD_HTTP_UNPROCESSABLE_CONTENT;
    } else if (status != CW_OK) {
        cw_no_memory(&error);
        cw_server__answer_status(answer, status, errors.count > 0 ? &errors.items[0] : &error);
    }
    cw_errors_clear(&errors);
    return work;
}

/* A job that is half typed is the ordinary case here: 200, with its mistakes. */
void cw_server__job(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = cw_server__open_job(question->body, question->length, answer);

    if (work != NULL)
        cw_server__answer_json(answer, cw_server__document(work));
    else if (answer->status == MHD_HTTP_UNPROCESSABLE_CONTENT)
        answer->status = MHD_HTTP_OK;
    cw_work_close(&work);
}

const char *cw_server__argument(const cw_server__question *question, const char *name)
{
    return question->lookup(question->asked, name);
}

/* ---- stages -------------------------------------------------------------------------------------------------- */

void cw_server__answer_stage(const cw_server__question *question, cw_server__answer *answer, cw_server__stage compute)
{
    cw_work *work = cw_server__open_job(question->body, question->length, answer);
    json_t *document = NULL;
    cw_error error;
    cw_status status = work != NULL ? compute(question, work, &document, &error) : CW_OK;

    if (status != CW_OK)
        cw_server__answer_status(answer, status, &error);
    else if (work != NULL)
        cw_server__answer_json(answer, document);
    cw_work_close(&work);
}

static cw_status identify(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    const cw_identification *identification;
    cw_status status = cw_work_identify(work, &identification, error);

    (void)question;
    *document = status == CW_OK ? cw_identification_json(identification) : NULL;
    return status;
}

static cw_status choose(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    const cw_choice *choice, *before;
    cw_status status = cw_work_choose(work, &choice, error);

    (void)question;
    if (status == CW_OK)
        status = cw_work_before(work, &before, error);
    *document = status == CW_OK ? cw_choice_json(choice, before) : NULL;
    return status;
}

static cw_status lay(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    const cw_winding *winding;
    cw_status status = cw_work_lay(work, &winding, NULL, error);

    (void)question;
    *document = status == CW_OK ? cw_winding_json(winding) : NULL;
    return status;
}

cw_status cw_server__heat_stage(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    const cw_work_heat_study *study;
    cw_status status = cw_work_heat(work, &study, error);

    (void)question;
    *document = status == CW_OK ? cw_work_heat_json(study) : NULL;
    return status;
}

static cw_status prove(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    const cw_proof *proof;
    cw_status status = cw_work_prove(work, &proof, error);

    (void)question;
    *document = status == CW_OK ? cw_work_proof_json(work, proof) : NULL;
    return status;
}

static cw_status find_suppressor(const char *name, cw_suppressor_kind *kind, cw_error *error)
{
    for (int i = 0; name != NULL && i < CW_SUPPRESSOR_COUNT; i++)
        if (strcmp(name, cw_suppressor_name((cw_suppressor_kind)i)) == 0) {
            *kind = (cw_suppressor_kind)i;
            return CW_OK;
        }
    return name == NULL ? CW_OK : cw_refuse(error, NULL, "one of those in the answer's table",
                                            "\"%.40s\" is no suppressor.", name);
}

static cw_status switch_it(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    cw_suppressor_kind kind = cw_work_usual_suppressor(work);
    const cw_work_switch_study *study;
    cw_status status = find_suppressor(cw_server__argument(question, "suppressor"), &kind, error);

    if (status == CW_OK)
        status = cw_work_switch(work, kind, &study, error);
    *document = status == CW_OK ? cw_work_switch_json(study) : NULL;
    return status;
}

void cw_server__identify(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, identify);
}

void cw_server__choose(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, choose);
}

void cw_server__lay(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, lay);
}

void cw_server__heat(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, cw_server__heat_stage);
}

void cw_server__prove(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, prove);
}

void cw_server__switch(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, switch_it);
}

/* ---- papers -------------------------------------------------------------------------------------------------- */

/* A paper is written into the answer's body. */
typedef cw_status (*paper)(const cw_server__question *question, cw_work *work, cw_text *out, cw_error *error);

static void answer_paper(const cw_server__question *question, cw_server__answer *answer, cw_server__type type,
                         paper write)
{
    cw_work *work = cw_server__open_job(question->body, question->length, answer);
    cw_error error;
    cw_status status = CW_OK;

    if (work != NULL) {
        answer->type = type;
        status = write(question, work, &answer->body, &error);
    }
    if (status != CW_OK)
        cw_server__answer_status(answer, status, &error);
    cw_work_close(&work);
}

static cw_status section(const cw_server__question *question, cw_work *work, cw_text *out, cw_error *error)
{
    (void)question;
    return cw_work_figure(work, CW_FIGURE_SECTION, CW_SVG, out, error);
}

static cw_status flux(const cw_server__question *question, cw_work *work, cw_text *out, cw_error *error)
{
    (void)question;
    return cw_work_figure(work, CW_FIGURE_FLUX, CW_SVG, out, error);
}

static cw_status choose_paper(const char *name, cw_unit_system units, cw_sheet_paper *sheet, cw_error *error)
{
    *sheet = units == CW_INCH_UNITS ? CW_SHEET_LETTER : CW_SHEET_A4;
    if (name != NULL && strcmp(name, "a4") != 0 && strcmp(name, "letter") != 0)
        return cw_refuse(error, NULL, "a4 or letter", "\"%.20s\" is no paper.", name);
    if (name != NULL)
        *sheet = name[0] == 'a' ? CW_SHEET_A4 : CW_SHEET_LETTER;
    return CW_OK;
}

static cw_status sheet(const cw_server__question *question, cw_work *work, cw_text *out, cw_error *error)
{
    cw_sheet_paper size;
    cw_status status = choose_paper(cw_server__argument(question, "paper"), cw_work_job(work)->units, &size, error);

    return status == CW_OK ? cw_work_sheet(work, size, cw_server__argument(question, "date"), out, error) : status;
}

static cw_status program(const cw_server__question *question, cw_work *work, cw_text *out, cw_error *error)
{
    const char *dry_run = cw_server__argument(question, "dry-run");

    return cw_work_program(work, dry_run != NULL && strcmp(dry_run, "yes") == 0, out, NULL, error);
}

void cw_server__section(const cw_server__question *question, cw_server__answer *answer)
{
    answer_paper(question, answer, CW_SERVER__SVG, section);
}

void cw_server__flux_figure(const cw_server__question *question, cw_server__answer *answer)
{
    answer_paper(question, answer, CW_SERVER__SVG, flux);
}

void cw_server__sheet(const cw_server__question *question, cw_server__answer *answer)
{
    answer_paper(question, answer, CW_SERVER__PDF, sheet);
}

void cw_server__program(const cw_server__question *question, cw_server__answer *answer)
{
    answer_paper(question, answer, CW_SERVER__TEXT, program);
}

/* ---- questions of another shape ------------------------------------------------------------------------------ */

json_t *cw_server__read_json(const cw_server__question *question, cw_server__answer *answer)
{
    json_error_t where;
    json_t *body = json_loadb(question->body, question->length, JSON_REJECT_DUPLICATES, &where);
    cw_error error;

    if (json_is_object(body))
        return body;
    cw_refuse(&error, &(cw_place){ NULL, where.line > 0 ? where.line : 0, where.column > 0 ? where.column : 0 },
              "an object, as in /api/openapi.json", "This is no JSON document.");
    cw_server__answer_error(answer, MHD_HTTP_BAD_REQUEST, &error);
    json_decref(body);
    return NULL;
}

static void replay_on(cw_work *work, json_t *text, cw_server__answer *answer)
{
    cw_replay *replay;
    cw_error error;
    cw_status status = cw_work_replay(work, json_string_value(text), json_string_length(text), "program", &replay,
                                      &error);

    if (status != CW_OK)
        cw_server__answer_status(answer, status, &error);
    else
        cw_server__answer_json(answer, cw_replay_json(replay));
    cw_replay_destroy(&replay);
}

/* {"job": YAML, "program": text} */
void cw_server__replay(const cw_server__question *question, cw_server__answer *answer)
{
    json_t *body = cw_server__read_json(question, answer);
    json_t *job = json_object_get(body, "job"), *text = json_object_get(body, "program");
    cw_work *work = NULL;
    cw_error error;

    if (body != NULL && (!json_is_string(job) || !json_is_string(text))) {
        cw_refuse(&error, NULL, "{\"job\": \"...\", \"program\": \"...\"}",
                  "The document lacks a job or a program, each a text.");
        cw_server__answer_error(answer, MHD_HTTP_BAD_REQUEST, &error);
    } else if (body != NULL) {
        work = cw_server__open_job(json_string_value(job), json_string_length(job), answer);
    }
    if (work != NULL)
        replay_on(work, text, answer);
    cw_work_close(&work);
    json_decref(body);
}

void cw_server__template(const cw_server__question *question, cw_server__answer *answer)
{
    const char *units = cw_server__argument(question, "units"), *kind = cw_server__argument(question, "kind");
    cw_error error;
    cw_status status;

    answer->type = CW_SERVER__YAML;
    if (units == NULL)
        units = "metric";
    if (strcmp(units, "metric") != 0 && strcmp(units, "inch") != 0)
        status = cw_refuse(&error, NULL, "metric or inch", "\"%.20s\" is no system of units.", units);
    else
        status = cw_job_template(kind != NULL ? kind : "bobbin", units[0] == 'i' ? CW_INCH_UNITS : CW_METRIC_UNITS,
                                 &answer->body, &error);
    if (status != CW_OK)
        cw_server__answer_status(answer, status, &error);
}
