/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job, or the whole book, as a zip. Entries stand in a fixed order with a fixed date: the same book, the same bytes.
 */
#include "book/record.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>
#include <zip.h>

/* An export under way. libzip reads texts and pictures only when it closes, so the texts are kept until then. */
typedef struct export {
    cw_book *book;
    zip_t *zip;
    cw_text *texts;
    size_t text_count;
    bool whole;           /* with the shelf */
    cw_error *error;
} export;

static cw_status zip_trouble(const export *export)
{
    return cw_fail(export->error, "The export cannot be written: %s.", zip_strerror(export->zip));
}

/* Adds a source under a name; DOS dates begin in 1980. */
static cw_status add_source(export *export, const char *name, zip_source_t *source)
{
    zip_int64_t index;

    if (source == NULL)
        return zip_trouble(export);
    index = zip_file_add(export->zip, name, source, ZIP_FL_ENC_UTF_8);
    if (index < 0) {
        zip_source_free(source);
        return zip_trouble(export);
    }
    return zip_file_set_dostime(export->zip, (zip_uint64_t)index, 0, 0x0021, 0) == 0 ? CW_OK : zip_trouble(export);
}

/* Takes the text over. */
static cw_status add_text(export *export, const char *name, cw_text *text)
{
    cw_text *kept = text->failed ? NULL : cw_book__grow(&export->texts, &export->text_count, sizeof *kept);

    if (kept == NULL) {
        cw_text_clear(text);
        return cw_no_memory(export->error);
    }
    *kept = *text;
    memset(text, 0, sizeof *text);
    return add_source(export, name, zip_source_buffer(export->zip, kept->data, kept->length, 0));
}

/* ---- the job's record -------------------------------------------------------------------------------------- */

static json_t *keys_json(const cw_book_keys *keys)
{
    return json_pack("{s:s, s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o}",
                     "wire", keys->wire, "build", keys->build, "shape", keys->shape,
                     "inner_m", cw_book__json_real(keys->inner_m[0]),
                     "inner_2_m", cw_book__json_real(keys->inner_m[1]),
                     "length_m", cw_book__json_real(keys->length_m),
                     "depth_m", cw_book__json_real(keys->depth_m),
                     "resistance_20c_ohm", cw_book__json_real(keys->resistance_20c_ohm),
                     "turns", cw_book__json_real(keys->turns));
}

static void put_readings(const cw_book_job *job, cw_text *record)
{
    cw_text_add(record, "readings:\n");
    for (size_t i = 0; i < job->reading_count; i++) {
        const cw_book_taken *reading = &job->readings[i];

        cw_book__put_item(record, json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:I}",
                                            "kind", reading->kind,
                                            "value", cw_book__json_real(reading->value),
                                            "doubt", cw_book__json_real(reading->doubt),
                                            "at_c", cw_book__json_real(reading->at_c),
                                            "unit", cw_book__json_text(reading->unit),
                                            "source", cw_book__json_text(reading->source),
                                            "note", cw_book__json_text(reading->note),
                                            "taken_s", (json_int_t)reading->time_s));
    }
}

static void put_photos_and_money(const cw_book_job *job, cw_text *record)
{
    cw_text_add(record, "photos:\n");
    for (size_t i = 0; i < job->photo_count; i++)
        cw_book__put_item(record, json_pack("{s:s, s:s, s:o, s:I}", "sha256", job->photos[i].sha256, "type",
                                            job->photos[i].type, "caption", cw_book__json_text(job->photos[i].caption),
                                            "added_s", (json_int_t)job->photos[i].time_s));
    cw_text_add(record, "costs:\n");
    for (size_t i = 0; i < job->cost_count; i++)
        cw_book__put_item(record, json_pack("{s:s, s:o, s:o, s:I}", "kind", job->costs[i].kind,
                                            "amount", cw_book__json_real(job->costs[i].amount),
                                            "note", cw_book__json_text(job->costs[i].note),
                                            "made_s", (json_int_t)job->costs[i].time_s));
    cw_text_add(record, "hours:\n");
    for (size_t i = 0; i < job->hours_count; i++)
        cw_book__put_item(record, json_pack("{s:o, s:o, s:o, s:I}", "hours", cw_book__json_real(job->hours[i].hours),
                                            "who", cw_book__json_text(job->hours[i].who),
                                            "what", cw_book__json_text(job->hours[i].what),
                                            "made_s", (json_int_t)job->hours[i].time_s));
}

/* With the whole shelf its own file has the uses; for one job they stand here, as what was used and paid. */
static void put_uses(const export *export, const cw_book_job *job, cw_text *record)
{
    cw_text_add(record, "wire_used:\n");
    for (size_t i = 0; i < job->use_count && !export->whole; i++)
        cw_book__put_item(record, json_pack("{s:s, s:o, s:o, s:o, s:o, s:I}", "size", job->uses[i].size,
                                            "length_m", cw_book__json_real(job->uses[i].length_m),
                                            "mass_kg", cw_book__json_real(job->uses[i].mass_kg),
                                            "price", cw_book__json_real(job->uses[i].price),
                                            "note", cw_book__json_text(job->uses[i].note),
                                            "made_s", (json_int_t)job->uses[i].time_s));
}

static void put_versions(const cw_book_job *job, cw_text *record)
{
    cw_text_add(record, "versions:\n");
    for (size_t i = 0; i < job->version_count; i++)
        cw_book__put_item(record, json_pack("{s:i, s:I}", "number", job->versions[i].number, "made_s",
                                            (json_int_t)job->versions[i].time_s));
    cw_text_add(record, "results:\n");
    for (size_t i = 0; i < job->result_count; i++)
        cw_book__put_item(record, json_pack("{s:i, s:s, s:I}", "version", job->results[i].version, "verb",
                                            job->results[i].verb, "made_s", (json_int_t)job->results[i].time_s));
}

static void put_signatures(const cw_book_job *job, cw_text *record)
{
    cw_text_add(record, "signatures:\n");
    for (size_t i = 0; i < job->signature_count; i++)
        cw_book__put_item(record, json_pack("{s:i, s:I, s:s, s:s, s:o, s:s, s:I}", "version", job->signatures[i].version,
                                            "result", (json_int_t)job->signatures[i].result + 1, "verdict",
                                            job->signatures[i].verdict, "who", job->signatures[i].who, "note",
                                            cw_book__json_text(job->signatures[i].note), "sha256",
                                            job->signatures[i].sha256, "signed_s",
                                            (json_int_t)job->signatures[i].time_s));
}

/* The uid of the job it started from, or null. */
static cw_status put_basis(const export *export, const cw_book_job *job, cw_text *record)
{
    sqlite3_stmt *statement = cw_book__ask(export->book, export->error, "SELECT uid FROM job WHERE id = ?", "i",
                                           (long long)job->based_on);
    bool row;
    const cw_status status = cw_book__step(export->book, statement, &row, export->error);

    if (status == CW_OK)
        cw_book__put(record, "based_on",
                     cw_book__json_text(row ? (const char *)sqlite3_column_text(statement, 0) : NULL));
    sqlite3_finalize(statement);
    return status;
}

static cw_status add_record(export *export, const cw_book_job *job)
{
    cw_text record = { 0 };
    char name[96];
    cw_status status;

    cw_text_add(&record, "# A job of a coil book. Every value is JSON on one line, which is YAML too.\n");
    cw_book__put(&record, "uid", cw_book__json_text(job->uid));
    cw_book__put(&record, "name", cw_book__json_text(job->name));
    cw_book__put(&record, "machine", cw_book__json_text(job->machine));
    cw_book__put(&record, "coil", cw_book__json_text(job->coil));
    cw_book__put(&record, "note", cw_book__json_text(job->note));
    cw_book__put(&record, "state", cw_book__json_text(cw_book_state_name(job->state)));
    cw_book__put(&record, "made_s", json_integer(job->made_s));
    cw_book__put(&record, "changed_s", json_integer(job->changed_s));
    cw_book__put(&record, "keys", keys_json(&job->keys));
    status = put_basis(export, job, &record);
    put_versions(job, &record);
    put_signatures(job, &record);
    put_readings(job, &record);
    put_photos_and_money(job, &record);
    put_uses(export, job, &record);
    snprintf(name, sizeof name, "jobs/%.40s/record.yaml", job->uid);
    if (status == CW_OK)
        return add_text(export, name, &record);
    cw_text_clear(&record);
    return status;
}

/* ---- the job's texts and pictures -------------------------------------------------------------------------- */

/* Rows of (file name behind the job's folder, text). */
static cw_status add_rows(export *export, const cw_book_job *job, const char *sql)
{
    sqlite3_stmt *statement = cw_book__ask(export->book, export->error, sql, "i", (long long)job->id);
    bool row = true;
    cw_status status = CW_OK;

    while (status == CW_OK && (status = cw_book__step(export->book, statement, &row, export->error)) == CW_OK && row) {
        cw_text text = { 0 };
        char name[192];

        snprintf(name, sizeof name, "jobs/%.40s/%.120s", job->uid, (const char *)sqlite3_column_text(statement, 0));
        cw_text_add_bytes(&text, (const char *)sqlite3_column_text(statement, 1),
                          (size_t)sqlite3_column_bytes(statement, 1));
        status = add_text(export, name, &text);
    }
    sqlite3_finalize(statement);
    return status;
}

static cw_status add_job(export *export, cw_book_id id)
{
    static const char *const texts[] = {
        "SELECT 'job.yaml', yaml FROM version WHERE job = ? ORDER BY number DESC LIMIT 1",
        "SELECT 'versions/' || number || '.yaml', yaml FROM version WHERE job = ? ORDER BY number",
        "SELECT 'results/' || version || '-' || row_number() OVER (ORDER BY version, id) || '-' || verb || '.json', "
        "json"
        " FROM result WHERE job = ? ORDER BY version, id",
    };
    cw_book_job *job = NULL;
    cw_status status = cw_book_job_open(export->book, id, &job, export->error);

    if (status == CW_OK)
        status = add_record(export, job);
    for (size_t i = 0; i < sizeof texts / sizeof texts[0] && status == CW_OK; i++)
        status = add_rows(export, job, texts[i]);
    cw_book_job_destroy(&job);
    return status;
}

static cw_status add_photo(export *export, const char *sha256, const char *type)
{
    char *path = cw_book_photo_path(export->book, sha256, type);
    char name[96];
    cw_status status = path == NULL ? cw_no_memory(export->error) : CW_OK;

    snprintf(name, sizeof name, "photos/%.64s.%.3s", sha256, type);
    if (status == CW_OK && access(path, R_OK) != 0)
        status = cw_fail(export->error, "The photo '%s' of the book cannot be read: %s.", path, strerror(errno));
    if (status == CW_OK)
        status = add_source(export, name, zip_source_file(export->zip, path, 0, -1));
    cw_free(path);
    return status;
}

static cw_status add_photos(export *export, cw_book_id job)
{
    sqlite3_stmt *statement = cw_book__ask(
        export->book, export->error,
        "SELECT DISTINCT sha256, type FROM photo WHERE ?1 IS NULL OR job = ?1 ORDER BY sha256", "z", (long long)job);
    bool row = true;
    cw_status status = CW_OK;

    while (status == CW_OK && (status = cw_book__step(export->book, statement, &row, export->error)) == CW_OK && row)
        status = add_photo(export, (const char *)sqlite3_column_text(statement, 0),
                           (const char *)sqlite3_column_text(statement, 1));
    sqlite3_finalize(statement);
    return status;
}

/* ---- the shelf --------------------------------------------------------------------------------------------- */

static json_t *cell(sqlite3_stmt *row, int column)
{
    if (sqlite3_column_type(row, column) == SQLITE_NULL)
        return json_null();
    if (sqlite3_column_type(row, column) == SQLITE_INTEGER)
        return json_integer(sqlite3_column_int64(row, column));
    if (sqlite3_column_type(row, column) == SQLITE_FLOAT)
        return cw_book__json_real(sqlite3_column_double(row, column));
    return json_string((const char *)sqlite3_column_text(row, column));
}

/* A row as an object under its columns' names. */
static json_t *row_json(sqlite3_stmt *row)
{
    json_t *object = json_object();

    for (int i = 0; i < sqlite3_column_count(row); i++)
        if (json_object_set_new(object, sqlite3_column_name(row, i), cell(row, i)) != 0) {
            json_decref(object);
            return NULL;
        }
    return object;
}

static cw_status put_table(export *export, cw_text *record, const char *key, const char *sql)
{
    sqlite3_stmt *statement = cw_book__ask(export->book, export->error, sql, "");
    bool row = true;
    cw_status status = CW_OK;

    cw_text_print(record, "%s:\n", key);
    while (status == CW_OK && (status = cw_book__step(export->book, statement, &row, export->error)) == CW_OK && row)
        cw_book__put_item(record, row_json(statement));
    sqlite3_finalize(statement);
    return status;
}

static cw_status add_shelf(export *export)
{
    cw_text record = { 0 };
    cw_status status =
        put_table(export, &record, "spools",
                  "SELECT uid, size, build, material, thermal_class_c, mass_kg_per_m, bought_m, price, supplier, note,"
                  " bought_s FROM spool ORDER BY uid");

    if (status == CW_OK)
        status = put_table(export, &record, "uses",
                           "SELECT s.uid AS spool, j.uid AS job, u.length_m, u.note, u.made_s FROM stock_use u"
                           " JOIN spool s ON s.id = u.spool LEFT JOIN job j ON j.id = u.job ORDER BY s.uid, u.id");
    if (status == CW_OK)
        return add_text(export, CW_BOOK__SHELF, &record);
    cw_text_clear(&record);
    return status;
}

/* ---- the whole --------------------------------------------------------------------------------------------- */

static cw_status add_manifest(export *export, cw_book_id job)
{
    cw_text record = { 0 };
    long long jobs = 1, spools = 0;
    cw_status status = CW_OK;

    if (export->whole)
        status = cw_book__number(export->book, 0, &jobs, export->error, "SELECT count(*) FROM job", "");
    if (status == CW_OK && export->whole)
        status = cw_book__number(export->book, 0, &spools, export->error, "SELECT count(*) FROM spool", "");
    if (status == CW_OK && !export->whole)
        status = cw_book__need_job(export->book, job, export->error);
    if (status != CW_OK)
        return status;
    cw_book__put(&record, "coilwright_book", json_integer(CW_BOOK__EXPORT_VERSION));
    cw_book__put(&record, "jobs", json_integer(jobs));
    cw_book__put(&record, "spools", json_integer(spools));
    return add_text(export, CW_BOOK__MANIFEST, &record);
}

static cw_status add_jobs(export *export, cw_book_id job)
{
    sqlite3_stmt *statement =
        cw_book__ask(export->book, export->error, "SELECT id FROM job WHERE ?1 IS NULL OR id = ?1 ORDER BY uid", "z",
                     (long long)job);
    bool row = true;
    cw_status status = CW_OK;

    while (status == CW_OK && (status = cw_book__step(export->book, statement, &row, export->error)) == CW_OK && row)
        status = add_job(export, sqlite3_column_int64(statement, 0));
    sqlite3_finalize(statement);
    return status;
}

static cw_status fill(export *export, cw_book_id job)
{
    cw_status status = add_manifest(export, job);

    if (status == CW_OK && export->whole)
        status = add_shelf(export);
    if (status == CW_OK)
        status = add_jobs(export, job);
    return status == CW_OK ? add_photos(export, job) : status;
}

/* From one moment of the book to the last byte of the zip. */
static cw_status write_zip(export *export, cw_book_id job, const char *part)
{
    int code = 0;
    cw_status status;

    export->zip = zip_open(part, ZIP_CREATE | ZIP_TRUNCATE, &code);
    if (export->zip == NULL) {
        zip_error_t about;

        zip_error_init_with_code(&about, code);
        status = cw_refuse(export->error, &(cw_place){ .file = part }, NULL, "The export cannot be written there: %s.",
                           zip_error_strerror(&about));
        zip_error_fini(&about);
        return status;
    }
    status = cw_book__run(export->book, "The book cannot be read", export->error, "BEGIN", "");
    if (status == CW_OK) {
        status = fill(export, job);
        sqlite3_exec(export->book->db, "COMMIT", NULL, NULL, NULL);
    }
    if (status == CW_OK && zip_close(export->zip) == 0)
        return CW_OK;
    if (status == CW_OK)
        status = zip_trouble(export);
    zip_discard(export->zip);
    return status;
}

/* On the disk, then under its name. */
static cw_status put_in_place(const char *part, const char *path, cw_error *error)
{
    const int file = open(part, O_RDONLY | O_CLOEXEC);
    int number = file < 0 ? errno : 0;

    if (file >= 0 && fsync(file) != 0)
        number = errno;
    if (file >= 0)
        close(file);
    if (number == 0 && rename(part, path) != 0)
        number = errno;
    return number == 0 ? CW_OK
                       : cw_fail(error, "The export cannot be put in its place '%s': %s.", path, strerror(number));
}

cw_status cw_book_export(cw_book *book, cw_book_id job, const char *path, cw_error *error)
{
    export export = { .book = book, .whole = job == 0, .error = error };
    char part[4200];
    cw_status status;

    if (path[0] == '\0' || strlen(path) > 4000)
        return cw_refuse(error, NULL, NULL, "The export has no path, or too long a one.");
    snprintf(part, sizeof part, "%s.part-%ld", path, (long)getpid());
    status = write_zip(&export, job, part);
    for (size_t i = 0; i < export.text_count; i++)
        cw_text_clear(&export.texts[i]);
    cw_free(export.texts);
    if (status == CW_OK)
        status = put_in_place(part, path, error);
    if (status != CW_OK)
        unlink(part);
    return status;
}
