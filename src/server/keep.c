/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the page asks of the book: jobs to find and to open, what was typed to be kept, the wire on the shelf.
 *
 * A save says from which version it started. Where another was saved meanwhile it is answered with 409, that version and
 * what differs, so that the page can ask which of the two it is to be; nothing is overwritten either way. */
#include "server/server_internal.h"

#include "book/book_json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const no_machine = "no machine named";
static const char *const no_name = "coil without a name";

/* ---- the book ------------------------------------------------------------------------------------------------ */

/* The book, or NULL and the answer says why. */
static cw_book *open_book(const cw_server__question *question, cw_server__answer *answer)
{
    cw_book *book = NULL;
    cw_error error;
    cw_status status;

    if (question->book == NULL) {
        cw_refuse(&error, NULL, NULL, "This server keeps no book. Start it with --book FILE.");
        cw_server__answer_error(answer, MHD_HTTP_NOT_FOUND, &error);
        return NULL;
    }
    status = cw_book_open(question->book, CW_BOOK_WRITE, &book, &error);
    if (status != CW_OK)
        cw_server__answer_status(answer, status, &error);
    return book;
}

static void answer_book(cw_server__answer *answer, cw_book **book, cw_status status, const cw_error *error,
                        json_t *document)
{
    cw_book_close(book);
    if (status != CW_OK) {
        json_decref(document);
        cw_server__answer_status(answer, status, error);
    } else {
        cw_server__answer_json(answer, document);
    }
}

/* {"kept": whether there is one, "name": of its file} */
void cw_server__book(const cw_server__question *question, cw_server__answer *answer)
{
    const char *slash = question->book != NULL ? strrchr(question->book, '/') : NULL;

    cw_server__answer_json(answer, json_pack("{s:b, s:s?}", "kept", question->book != NULL, "name",
                                             slash != NULL ? slash + 1 : question->book));
}

/* ---- finding ------------------------------------------------------------------------------------------------- */

/* "84 ohm" finds from 3 % below to 3 % above; "84 ohm ± 1 ohm" as wide as it says. */
static cw_status read_band(const cw_server__question *question, const char *name, cw_kind kind, double band[2],
                           cw_error *error)
{
    const char *text = cw_server__argument(question, name);
    cw_quantity quantity;
    cw_status status;
    double half;

    if (text == NULL || text[0] == '\0')
        return CW_OK;
    status = cw_quantity_parse(kind, text, strlen(text), NULL, &quantity, error);
    if (status != CW_OK)
        return status;
    half = quantity.doubt_given ? quantity.doubt : 0.03 * fabs(quantity.value);
    band[0] = quantity.value - half;
    band[1] = quantity.value + half;
    return CW_OK;
}

static cw_status read_query(const cw_server__question *question, cw_book_query *query, cw_error *error)
{
    const char *state = cw_server__argument(question, "state"), *wire = cw_server__argument(question, "wire");
    cw_book_state found;
    cw_status status = read_band(question, "resistance", CW_RESISTANCE, query->resistance_20c_ohm, error);

    if (status == CW_OK)
        status = read_band(question, "inner", CW_LENGTH, query->inner_m, error);
    if (status != CW_OK)
        return status;
    query->wire = wire != NULL && wire[0] != '\0' ? wire : NULL;
    if (state == NULL || state[0] == '\0')
        return CW_OK;
    if (!cw_book_state_find(state, &found))
        return cw_refuse(error, NULL, "open, wound, proved or failed", "\"%.20s\" is no state of a job.", state);
    query->state = (int)found;
    return CW_OK;
}

static bool is_listed(const json_t *jobs, const json_t *wanted)
{
    const json_t *job;
    size_t i;

    json_array_foreach(jobs, i, job)
        if (json_equal(json_object_get(job, "job"), json_object_get(wanted, "job")))
            return true;
    return false;
}

static cw_status add_hits(cw_book *book, const cw_book_query *query, json_t *jobs, bool *more, cw_error *error)
{
    cw_book_hits *hits;
    cw_status status = cw_book_find(book, query, &hits, error);
    json_t *document, *job;
    size_t i;

    if (status != CW_OK)
        return status;
    document = cw_book_hits_json(hits);
    json_array_foreach(json_object_get(document, "jobs"), i, job)
        if (!is_listed(jobs, job))
            json_array_append(jobs, job);
    *more = *more || hits->more;
    json_decref(document);
    cw_book_hits_destroy(&hits);
    return CW_OK;
}

/* ?text= looks in the machine's name first, then in name, coil and note. */
void cw_server__book_jobs(const cw_server__question *question, cw_server__answer *answer)
{
    const char *text = cw_server__argument(question, "text");
    cw_book *book = open_book(question, answer);
    json_t *jobs;
    cw_book_query query;
    bool more = false;
    cw_error error;
    cw_status status;

    if (book == NULL)
        return;
    jobs = json_array();
    cw_book_query_clear(&query);
    status = read_query(question, &query, &error);
    if (text != NULL && text[0] != '\0')
        query.machine = text;
    if (status == CW_OK)
        status = add_hits(book, &query, jobs, &more, &error);
    if (status == CW_OK && query.machine != NULL) {
        query.text = query.machine;
        query.machine = NULL;
        status = add_hits(book, &query, jobs, &more, &error);
    }
    answer_book(answer, &book, status, &error, json_pack("{s:o, s:b}", "jobs", jobs, "more", more));
}

/* ---- a job --------------------------------------------------------------------------------------------------- */

static cw_status read_id(const char *text, const char *what, long long *id, cw_error *error)
{
    char *end = NULL;

    *id = text != NULL ? strtoll(text, &end, 10) : 0;
    if (text == NULL || end == text || *end != '\0' || *id < 1)
        return cw_refuse(error, NULL, "a number from 1", "The question names no %s.", what);
    return CW_OK;
}

static int latest_of(const cw_book_job *job)
{
    return job->version_count > 0 ? job->versions[job->version_count - 1].number : 0;
}

void cw_server__book_job(const cw_server__question *question, cw_server__answer *answer)
{
    cw_book *book = open_book(question, answer);
    cw_book_job *job = NULL;
    long long id;
    cw_error error;
    cw_status status;

    if (book == NULL)
        return;
    status = read_id(cw_server__argument(question, "job"), "job", &id, &error);
    if (status == CW_OK)
        status = cw_book_job_open(book, id, &job, &error);
    answer_book(answer, &book, status, &error, status == CW_OK ? cw_book_job_json(job) : NULL);
    cw_book_job_destroy(&job);
}

void cw_server__book_version(const cw_server__question *question, cw_server__answer *answer)
{
    cw_book *book = open_book(question, answer);
    long long id, version;
    cw_error error;
    cw_status status;

    if (book == NULL)
        return;
    answer->type = CW_SERVER__YAML;
    status = read_id(cw_server__argument(question, "job"), "job", &id, &error);
    if (status == CW_OK)
        status = read_id(cw_server__argument(question, "version"), "version", &version, &error);
    if (status == CW_OK)
        status = cw_book_version_text(book, id, (int)fmin((double)version, 1e9), &answer->body, &error);
    cw_book_close(&book);
    if (status != CW_OK)
        cw_server__answer_status(answer, status, &error);
}

/* ---- keeping ------------------------------------------------------------------------------------------------- */

/* What a text says of itself: by what it is found, and its names. A text that cannot be read says nothing. */
typedef struct said {
    cw_work *work; /* owns the names; NULL unreadable */
    const char *name, *machine;
    cw_book_keys keys;
} said;

static said read_text(const char *yaml)
{
    said s = { .name = no_name, .machine = no_machine };
    const cw_job *job;

    if (cw_work_open(yaml, strlen(yaml), "job.yaml", &s.work, NULL) != CW_OK)
        return s;
    job = cw_work_job(s.work);
    if (job->name != NULL && job->name[0] != '\0')
        s.name = job->name;
    if (job->machine_name != NULL && job->machine_name[0] != '\0')
        s.machine = job->machine_name;
    cw_work_book_keys(s.work, &s.keys);
    return s;
}

/* A text of the body, or NULL. */
static const char *text_of(const json_t *body, const char *key)
{
    return json_string_value(json_object_get(body, key));
}

static json_t *saved_json(cw_book *book, cw_book_id id, cw_error *error)
{
    cw_book_job *job = NULL;
    json_t *document = NULL;

    if (cw_book_job_open(book, id, &job, error) == CW_OK)
        document = json_pack("{s:I, s:s, s:i}", "job", (json_int_t)job->id, "uid", job->uid, "version", latest_of(job));
    cw_book_job_destroy(&job);
    return document;
}

/* {"yaml": text, "based_on": job it started from, or 0} */
void cw_server__book_add(const cw_server__question *question, cw_server__answer *answer)
{
    json_t *body = cw_server__read_json(question, answer);
    cw_book *book = body != NULL ? open_book(question, answer) : NULL;
    const char *yaml = text_of(body, "yaml");
    cw_book_id id = 0;
    cw_error error;
    cw_status status;

    if (book != NULL) {
        said s = read_text(yaml != NULL ? yaml : "");
        const cw_book_entry entry = { .name = s.name, .machine = s.machine, .yaml = yaml,
                                      .keys = s.work != NULL ? &s.keys : NULL,
                                      .based_on = json_integer_value(json_object_get(body, "based_on")) };

        status = cw_book_job_add(book, &entry, &id, &error);
        answer_book(answer, &book, status, &error, status == CW_OK ? saved_json(book, id, &error) : NULL);
        cw_work_close(&s.work);
    }
    json_decref(body);
}

/* Somebody else was there first: 409, with theirs. False where that was not the trouble. */
static bool answer_conflict(cw_book *book, cw_book_id id, int on_version, const char *yaml, const cw_error *error,
                            cw_server__answer *answer)
{
    cw_book_job *job = NULL;
    cw_text differences = { 0 };
    bool conflict = cw_book_job_open(book, id, &job, NULL) == CW_OK && latest_of(job) != on_version && on_version != 0;

    if (conflict && cw_book_differences(job->yaml, yaml, &differences, NULL) == CW_OK) {
        cw_server__answer_json(answer, json_pack("{s:o, s:i, s:s, s:s}", "error", cw_server__error_json(error), "version",
                                                 latest_of(job), "yaml", job->yaml, "differences",
                                                 differences.data != NULL ? differences.data : ""));
        answer->status = MHD_HTTP_CONFLICT;
    }
    cw_text_clear(&differences);
    cw_book_job_destroy(&job);
    return answer->status == MHD_HTTP_CONFLICT;
}

static void save(cw_book **book, const json_t *body, cw_server__answer *answer)
{
    const cw_book_id id = json_integer_value(json_object_get(body, "job"));
    const int on_version = (int)json_integer_value(json_object_get(body, "on_version"));
    const char *yaml = text_of(body, "yaml");
    said s = read_text(yaml != NULL ? yaml : "");
    cw_error error;
    cw_status status = on_version > 0
        ? cw_book_job_save(*book, id, yaml, s.work != NULL ? &s.keys : NULL, on_version, 0, NULL, &error)
        : cw_refuse(&error, NULL, "on_version: the version it started from", "The save does not say what it started from.");

    if (status == CW_OK && s.work != NULL)
        status = cw_book_job_rename(*book, id, s.name, s.machine, &error);
    if (status == CW_BAD_INPUT && yaml != NULL && answer_conflict(*book, id, on_version, yaml, &error, answer))
        cw_book_close(book);
    else
        answer_book(answer, book, status, &error, status == CW_OK ? saved_json(*book, id, &error) : NULL);
    cw_work_close(&s.work);
}

/* {"job": number, "on_version": that it started from, "yaml": text} */
void cw_server__book_save(const cw_server__question *question, cw_server__answer *answer)
{
    json_t *body = cw_server__read_json(question, answer);
    cw_book *book = body != NULL ? open_book(question, answer) : NULL;

    if (book != NULL)
        save(&book, body, answer);
    json_decref(body);
}

/* {"job": number, "state": "wound"} */
void cw_server__book_state(const cw_server__question *question, cw_server__answer *answer)
{
    json_t *body = cw_server__read_json(question, answer);
    cw_book *book = body != NULL ? open_book(question, answer) : NULL;
    const cw_book_id id = json_integer_value(json_object_get(body, "job"));
    const char *name = text_of(body, "state");
    cw_book_state state;
    cw_error error;
    cw_status status;

    if (book != NULL) {
        if (name != NULL && cw_book_state_find(name, &state))
            status = cw_book_job_set_state(book, id, state, &error);
        else
            status = cw_refuse(&error, NULL, "open, wound, proved or failed", "The question names no state of a job.");
        answer_book(answer, &book, status, &error, status == CW_OK ? saved_json(book, id, &error) : NULL);
    }
    json_decref(body);
}

/* {"job": number, "version": that was proved, "who": name, "note": why it goes out though not all is proved} */
void cw_server__book_sign(const cw_server__question *question, cw_server__answer *answer)
{
    json_t *body = cw_server__read_json(question, answer);
    cw_book *book = body != NULL ? open_book(question, answer) : NULL;
    const cw_book_id id = json_integer_value(json_object_get(body, "job"));
    const cw_work_signing signing = { .version = (int)json_integer_value(json_object_get(body, "version")),
                                      .who = text_of(body, "who"), .note = text_of(body, "note") };
    cw_text yaml = { 0 };
    cw_work *work = NULL;
    cw_error error;
    cw_status status;

    if (book != NULL) {
        status = cw_book_version_text(book, id, signing.version, &yaml, &error);
        if (status != CW_OK)
            cw_server__answer_status(answer, status, &error);
        else
            work = cw_server__open_job(yaml.data, yaml.length, answer);
    }
    if (work != NULL) {
        status = cw_work_sign(work, book, id, &signing, &error);
        answer_book(answer, &book, status, &error, status == CW_OK ? saved_json(book, id, &error) : NULL);
    }
    cw_work_close(&work);
    cw_text_clear(&yaml);
    cw_book_close(&book);
    json_decref(body);
}

/* ---- the shelf ----------------------------------------------------------------------------------------------- */

static json_t *shelf_json(cw_book *book, cw_status *status, cw_error *error)
{
    cw_book_spools *spools;
    json_t *list;

    *status = cw_book_spools_list(book, NULL, &spools, error);
    if (*status != CW_OK)
        return NULL;
    list = cw_book_spools_json(spools);
    cw_book_spools_destroy(&spools);
    return list;
}

void cw_server__book_shelf(const cw_server__question *question, cw_server__answer *answer)
{
    cw_book *book = open_book(question, answer);
    cw_error error;
    cw_status status;

    if (book != NULL) {
        json_t *document = shelf_json(book, &status, &error);

        answer_book(answer, &book, status, &error, document);
    }
}

static cw_status put_spool(cw_book *book, const cw_wire_catalogue *catalogue, const cw_spool *spool, cw_error *error)
{
    const cw_wire_size *size;
    cw_wire wire;
    cw_book_id id;
    cw_status status = cw_wire_size_parse(catalogue, spool->size, strlen(spool->size), &spool->at, &size, error);

    if (status == CW_OK)
        status = cw_wire_make(catalogue, size, spool->build, spool->material, &wire, error);
    if (status != CW_OK)
        return status;
    return cw_book_spool_add(book, &(cw_book_spool_entry){
        .size = size->name, .build = cw_build_name(spool->build), .material = cw_material_name(spool->material),
        .thermal_class_c = spool->thermal_class_c > 0 ? spool->thermal_class_c : NAN, .mass_kg = spool->mass_kg,
        .length_m = spool->length_m, .mass_kg_per_m = wire.mass_kg_per_m, .price = spool->price }, &id, error);
}

/* The stock: of a job file goes onto the shelf, so that spools are written as they are in a job. */
void cw_server__book_spools(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = cw_server__open_job(question->body, question->length, answer);
    cw_book *book = work != NULL ? open_book(question, answer) : NULL;
    const cw_job *job = book != NULL ? cw_work_job(work) : NULL;
    cw_error error;
    cw_status status = CW_OK;

    if (book != NULL && job->stock_count == 0)
        status = cw_refuse(&error, NULL, "stock: [{wire: 29 AWG, build: heavy, on_spool: 1 lb}]", "There is no spool in it.");
    for (size_t i = 0; book != NULL && status == CW_OK && i < job->stock_count; i++)
        status = put_spool(book, cw_work_catalogue(work), &job->stock[i], &error);
    if (book != NULL) {
        json_t *document = status == CW_OK ? shelf_json(book, &status, &error) : NULL;

        answer_book(answer, &book, status, &error, document);
    }
    cw_work_close(&work);
}

/* "120 g" or "50 m": a mass or a length, told apart by its unit. */
static cw_status read_amount(const char *text, double *length_m, double *mass_kg, cw_error *error)
{
    cw_quantity quantity;

    *length_m = *mass_kg = NAN;
    if (text == NULL)
        return cw_refuse(error, NULL, "120 g, or 50 m", "The question says not how much.");
    if (cw_quantity_parse(CW_LENGTH, text, strlen(text), NULL, &quantity, NULL) == CW_OK) {
        *length_m = quantity.value;
        return CW_OK;
    }
    if (cw_quantity_parse(CW_MASS, text, strlen(text), NULL, &quantity, error) != CW_OK)
        return CW_BAD_INPUT;
    *mass_kg = quantity.value;
    return CW_OK;
}

/* {"spool": id, "used": "120 g", "job": id or 0} books wire off; {"spool": id, "left": "340 g"} sets what is left. */
void cw_server__book_use(const cw_server__question *question, cw_server__answer *answer)
{
    json_t *body = cw_server__read_json(question, answer);
    cw_book *book = body != NULL ? open_book(question, answer) : NULL;
    const cw_book_id spool = json_integer_value(json_object_get(body, "spool"));
    const cw_book_id job = json_integer_value(json_object_get(body, "job"));
    const char *left = text_of(body, "left");
    double length_m, mass_kg;
    cw_error error;
    cw_status status;

    if (book != NULL) {
        json_t *document = NULL;

        status = read_amount(left != NULL ? left : text_of(body, "used"), &length_m, &mass_kg, &error);
        if (status == CW_OK && left != NULL && isnan(mass_kg))
            status = cw_refuse(&error, NULL, "a mass, as in 340 g", "What is left on a spool is weighed.");
        if (status == CW_OK)
            status = left != NULL ? cw_book_spool_weighed(book, spool, mass_kg, 0, &error)
                                  : cw_book_spool_use(book, spool, job, length_m, mass_kg, NULL, 0, &error);
        if (status == CW_OK)
            document = shelf_json(book, &status, &error);
        answer_book(answer, &book, status, &error, document);
    }
    json_decref(body);
}
