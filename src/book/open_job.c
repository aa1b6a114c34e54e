/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job with all that belongs to it, read in one transaction so that its parts fit each other. */
#include "book/book_internal.h"

#include <math.h>
#include <string.h>

/* Reads one row into the next item of its list; false without memory. */
typedef bool row_reader(sqlite3_stmt *row, cw_book_job *job);

static bool read_head(sqlite3_stmt *row, cw_book_job *job)
{
    bool no_memory = false;

    job->uid = cw_book__text(row, 0, &no_memory);
    job->name = cw_book__text(row, 1, &no_memory);
    job->machine = cw_book__text(row, 2, &no_memory);
    job->coil = cw_book__text(row, 3, &no_memory);
    job->note = cw_book__text(row, 4, &no_memory);
    job->state = (cw_book_state)sqlite3_column_int(row, 5);
    job->based_on = sqlite3_column_int64(row, 6);
    job->made_s = sqlite3_column_int64(row, 7);
    job->changed_s = sqlite3_column_int64(row, 8);
    cw_book__read_keys(row, 9, &job->keys);
    return !no_memory;
}

static bool read_version(sqlite3_stmt *row, cw_book_job *job)
{
    cw_book_version *version = cw_book__grow(&job->versions, &job->version_count, sizeof *version);

    if (version == NULL)
        return false;
    version->number = sqlite3_column_int(row, 0);
    version->time_s = sqlite3_column_int64(row, 1);
    return true;
}

static bool read_yaml(sqlite3_stmt *row, cw_book_job *job)
{
    bool no_memory = false;

    job->yaml = cw_book__text(row, 0, &no_memory);
    return !no_memory;
}

static bool read_result(sqlite3_stmt *row, cw_book_job *job)
{
    cw_book_result *result = cw_book__grow(&job->results, &job->result_count, sizeof *result);
    bool no_memory = false;

    if (result == NULL)
        return false;
    result->version = sqlite3_column_int(row, 0);
    result->verb = cw_book__text(row, 1, &no_memory);
    result->time_s = sqlite3_column_int64(row, 2);
    return !no_memory;
}

static bool read_reading(sqlite3_stmt *row, cw_book_job *job)
{
    cw_book_taken *reading = cw_book__grow(&job->readings, &job->reading_count, sizeof *reading);
    bool no_memory = false;

    if (reading == NULL)
        return false;
    reading->kind = cw_book__text(row, 0, &no_memory);
    reading->value = sqlite3_column_double(row, 1);
    reading->doubt = cw_book__real(row, 2);
    reading->at_c = cw_book__real(row, 3);
    reading->unit = cw_book__text(row, 4, &no_memory);
    reading->source = cw_book__text(row, 5, &no_memory);
    reading->note = cw_book__text(row, 6, &no_memory);
    reading->time_s = sqlite3_column_int64(row, 7);
    return !no_memory;
}

static bool read_photo(sqlite3_stmt *row, cw_book_job *job)
{
    cw_book_photo *photo = cw_book__grow(&job->photos, &job->photo_count, sizeof *photo);
    bool no_memory = false;

    if (photo == NULL)
        return false;
    photo->sha256 = cw_book__text(row, 0, &no_memory);
    photo->type = cw_book__text(row, 1, &no_memory);
    photo->bytes = sqlite3_column_int64(row, 2);
    photo->caption = cw_book__text(row, 3, &no_memory);
    photo->time_s = sqlite3_column_int64(row, 4);
    return !no_memory;
}

static bool read_cost(sqlite3_stmt *row, cw_book_job *job)
{
    cw_book_cost *cost = cw_book__grow(&job->costs, &job->cost_count, sizeof *cost);
    bool no_memory = false;

    if (cost == NULL)
        return false;
    cost->kind = cw_book__text(row, 0, &no_memory);
    cost->amount = sqlite3_column_double(row, 1);
    cost->note = cw_book__text(row, 2, &no_memory);
    cost->time_s = sqlite3_column_int64(row, 3);
    return !no_memory;
}

static bool read_hours(sqlite3_stmt *row, cw_book_job *job)
{
    cw_book_hours *hours = cw_book__grow(&job->hours, &job->hours_count, sizeof *hours);
    bool no_memory = false;

    if (hours == NULL)
        return false;
    hours->hours = sqlite3_column_double(row, 0);
    hours->who = cw_book__text(row, 1, &no_memory);
    hours->what = cw_book__text(row, 2, &no_memory);
    hours->time_s = sqlite3_column_int64(row, 3);
    return !no_memory;
}

static bool read_use(sqlite3_stmt *row, cw_book_job *job)
{
    cw_book_use *use = cw_book__grow(&job->uses, &job->use_count, sizeof *use);
    bool no_memory = false;

    if (use == NULL)
        return false;
    use->spool = sqlite3_column_int64(row, 0);
    use->size = cw_book__text(row, 1, &no_memory);
    use->length_m = -sqlite3_column_double(row, 2);
    use->mass_kg = use->length_m * sqlite3_column_double(row, 3);
    use->price = cw_book__real(row, 4) * use->length_m / sqlite3_column_double(row, 5);
    use->note = cw_book__text(row, 6, &no_memory);
    use->time_s = sqlite3_column_int64(row, 7);
    return !no_memory;
}

static bool read_signature(sqlite3_stmt *row, cw_book_job *job)
{
    cw_book_signature *signature = cw_book__grow(&job->signatures, &job->signature_count, sizeof *signature);
    bool no_memory = false;
    char sum[65];

    if (signature == NULL)
        return false;
    signature->version = sqlite3_column_int(row, 0);
    signature->who = cw_book__text(row, 1, &no_memory);
    signature->verdict = cw_book__text(row, 2, &no_memory);
    signature->note = cw_book__text(row, 3, &no_memory);
    signature->sha256 = cw_book__text(row, 4, &no_memory);
    signature->time_s = sqlite3_column_int64(row, 5);
    signature->result = (size_t)sqlite3_column_int64(row, 6);
    if (no_memory || !cw_book__signature_sum((const char *)sqlite3_column_text(row, 7),
                                             (const char *)sqlite3_column_text(row, 8), sum))
        return false;
    signature->sound = strcmp(sum, signature->sha256) == 0;
    return true;
}

/* In this order: the head first, which says whether there is such a job. */
static const struct {
    row_reader *read;
    const char *sql;
} parts[] = {
    { read_head,
      "SELECT j.uid, j.name, m.name, c.name, j.note, j.state, coalesce(j.based_on, 0), j.made_s, j.changed_s,"
      " " CW_BOOK__KEY_COLUMNS " FROM job j JOIN coil c ON c.id = j.coil JOIN machine m ON m.id = c.machine"
      " LEFT JOIN job_key k ON k.job = j.id WHERE j.id = ?" },
    { read_version, "SELECT number, made_s FROM version WHERE job = ? ORDER BY number" },
    { read_yaml, "SELECT yaml FROM version WHERE job = ? ORDER BY number DESC LIMIT 1" },
    { read_result, "SELECT version, verb, made_s FROM result WHERE job = ? ORDER BY version, id" },
    { read_reading,
      "SELECT kind, value, doubt, at_c, unit, source, note, taken_s FROM reading WHERE job = ? ORDER BY id" },
    { read_photo, "SELECT sha256, type, bytes, caption, added_s FROM photo WHERE job = ? ORDER BY id" },
    { read_cost, "SELECT kind, amount, note, made_s FROM cost WHERE job = ? ORDER BY id" },
    { read_hours, "SELECT hours, who, what, made_s FROM hours WHERE job = ? ORDER BY id" },
    { read_use, "SELECT u.spool, s.size, u.length_m, s.mass_kg_per_m, s.price, s.bought_m, u.note, u.made_s"
                " FROM stock_use u JOIN spool s ON s.id = u.spool WHERE u.job = ? ORDER BY u.id" },
    { read_signature,
      "SELECT s.version, s.who, s.verdict, s.note, s.sha256, s.signed_s, (SELECT count(*) FROM result o"
      " WHERE o.job = r.job AND (o.version, o.id) < (r.version, r.id)), v.yaml, r.json"
      " FROM signature s JOIN result r ON r.id = s.result JOIN version v ON v.job = s.job AND v.number = s.version"
      " WHERE s.job = ? ORDER BY s.id" },
};

static cw_status read_part(cw_book *book, size_t part, cw_book_job *job, size_t *rows, cw_error *error)
{
    sqlite3_stmt *statement = cw_book__ask(book, error, parts[part].sql, "i", (long long)job->id);
    bool row = true;
    cw_status status = CW_OK;

    *rows = 0;
    while (status == CW_OK && (status = cw_book__step(book, statement, &row, error)) == CW_OK && row) {
        ++*rows;
        if (!parts[part].read(statement, job))
            status = cw_no_memory(error);
    }
    sqlite3_finalize(statement);
    return status;
}

/* Sums of what was noted; unknown where nothing was. */
static void add_up(cw_book_job *job)
{
    job->spent = job->instead = job->hours_total = NAN;
    for (size_t i = 0; i < job->cost_count; i++) {
        const bool instead = job->costs[i].kind != NULL && job->costs[i].kind[0] == 'i';
        double *sum = instead ? &job->instead : &job->spent;

        *sum = (isnan(*sum) ? 0 : *sum) + job->costs[i].amount;
    }
    for (size_t i = 0; i < job->use_count; i++)
        if (!isnan(job->uses[i].price))
            job->spent = (isnan(job->spent) ? 0 : job->spent) + job->uses[i].price;
    for (size_t i = 0; i < job->hours_count; i++)
        job->hours_total = (isnan(job->hours_total) ? 0 : job->hours_total) + job->hours[i].hours;
}

static cw_status read_all(cw_book *book, cw_book_job *job, cw_error *error)
{
    cw_status status = CW_OK;
    size_t rows;

    for (size_t part = 0; part < sizeof parts / sizeof parts[0] && status == CW_OK; part++) {
        status = read_part(book, part, job, &rows, error);
        if (status == CW_OK && part == 0 && rows == 0)
            status = cw_refuse(error, &(cw_place) { .file = book->path }, NULL, "There is no job %lld in the book.",
                               job->id);
    }
    add_up(job);
    return status;
}

cw_status cw_book_job_open(cw_book *book, cw_book_id job, cw_book_job **opened, cw_error *error)
{
    cw_book_job *made = cw_allocate(1, sizeof *made);
    const bool own = sqlite3_get_autocommit(book->db) != 0;
    cw_status status = made == NULL ? cw_no_memory(error) : CW_OK;

    *opened = NULL;
    if (status != CW_OK)
        return status;
    made->id = job;
    if (own)
        status = cw_book__run(book, "The book cannot be read", error, "BEGIN", "");
    if (status == CW_OK)
        status = read_all(book, made, error);
    if (own && sqlite3_get_autocommit(book->db) == 0)
        sqlite3_exec(book->db, "COMMIT", NULL, NULL, NULL);
    if (status != CW_OK)
        cw_book_job_destroy(&made);
    *opened = made;
    return status;
}

static void free_lists(cw_book_job *job)
{
    for (size_t i = 0; i < job->result_count; i++)
        cw_free(job->results[i].verb);
    for (size_t i = 0; i < job->reading_count; i++) {
        cw_free(job->readings[i].kind);
        cw_free(job->readings[i].unit);
        cw_free(job->readings[i].source);
        cw_free(job->readings[i].note);
    }
    for (size_t i = 0; i < job->photo_count; i++) {
        cw_free(job->photos[i].sha256);
        cw_free(job->photos[i].type);
        cw_free(job->photos[i].caption);
    }
    for (size_t i = 0; i < job->cost_count; i++) {
        cw_free(job->costs[i].kind);
        cw_free(job->costs[i].note);
    }
    for (size_t i = 0; i < job->hours_count; i++) {
        cw_free(job->hours[i].who);
        cw_free(job->hours[i].what);
    }
    for (size_t i = 0; i < job->use_count; i++) {
        cw_free(job->uses[i].size);
        cw_free(job->uses[i].note);
    }
    for (size_t i = 0; i < job->signature_count; i++) {
        cw_free(job->signatures[i].who);
        cw_free(job->signatures[i].verdict);
        cw_free(job->signatures[i].note);
        cw_free(job->signatures[i].sha256);
    }
}

void cw_book_job_destroy(cw_book_job **job)
{
    if (*job == NULL)
        return;
    free_lists(*job);
    cw_free((*job)->uid);
    cw_free((*job)->name);
    cw_free((*job)->machine);
    cw_free((*job)->coil);
    cw_free((*job)->note);
    cw_free((*job)->yaml);
    cw_free((*job)->versions);
    cw_free((*job)->results);
    cw_free((*job)->readings);
    cw_free((*job)->photos);
    cw_free((*job)->costs);
    cw_free((*job)->hours);
    cw_free((*job)->uses);
    cw_free((*job)->signatures);
    cw_free(*job);
    *job = NULL;
}
