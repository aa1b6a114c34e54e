/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an export wrote, taken in: all of it or nothing. The zip comes from outside, so nothing of it is believed: names
 * are looked up and never used as paths, lengths are counted while reading, pictures are named by the sum found here.
 */
#include "book/record.h"

#include "coilwright/files.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <zip.h>

static const char *const doing = "The import cannot be saved";

static const unsigned long long total_most = 8ull * 1024 * 1024 * 1024; /* bytes read out of one zip */

/* Job files and results pack to a tenth or a thirtieth; deflate can do a thousandth, of nothing but one letter. */
static const unsigned long long packed_most = 200, packed_least = 1024 * 1024;

typedef struct import {
    cw_book *book;
    zip_t *zip;
    const char *path;
    unsigned long long total;
    cw_book_imported counts;
    cw_error *error;
} import;

static cw_status refuse_file(const import *import, const char *name, const char *what)
{
    char place[sizeof((cw_error *)0)->file];

    snprintf(place, sizeof place, "%.120s: %.120s", import->path, name);
    return cw_refuse(import->error, &(cw_place){ .file = place }, NULL, "The export cannot be taken in: %s.", what);
}

/* ---- files of the zip -------------------------------------------------------------------------------------- */

static cw_status read_bytes(import *import, const char *name, zip_file_t *file, char *content, size_t size,
                            size_t *length)
{
    size_t count = 0;
    zip_int64_t got;

    while ((got = zip_fread(file, content + count, size - count)) > 0)
        count += (size_t)got;
    if (got < 0)
        return refuse_file(import, name, "the file inside is damaged");
    *length = count;
    return CW_OK;
}

/* A file of the zip with a NUL behind; cw_free. */
static cw_status read_file(import *import, const char *name, size_t most, char **content, size_t *length)
{
    zip_stat_t about;
    zip_file_t *file;
    cw_status status;

    *content = NULL;
    if (zip_stat(import->zip, name, 0, &about) != 0 || (about.valid & (ZIP_STAT_SIZE | ZIP_STAT_COMP_SIZE)) !=
                                                       (ZIP_STAT_SIZE | ZIP_STAT_COMP_SIZE))
        return refuse_file(import, name, "the file is missing");
    if (about.size > most || (import->total += about.size) > total_most)
        return refuse_file(import, name, "the file is too large");
    if (about.size > packed_least && about.size / packed_most > about.comp_size)
        return refuse_file(import, name, "the file is packed tighter than any text of a job");
    *content = cw_allocate((size_t)about.size + 1, 1);
    if (*content == NULL)
        return cw_no_memory(import->error);
    file = zip_fopen(import->zip, name, 0);
    if (file == NULL)
        status = refuse_file(import, name, "the file inside is damaged");
    else
        status = read_bytes(import, name, file, *content, (size_t)about.size, length);
    if (file != NULL && zip_fclose(file) != 0 && status == CW_OK)
        status = refuse_file(import, name, "the file inside is damaged");
    if (status == CW_OK && *length != about.size)
        status = refuse_file(import, name, "the file inside is shorter than it says");
    if (status != CW_OK) {
        cw_free(*content);
        *content = NULL;
    }
    return status;
}

static cw_status read_record(import *import, const char *name, json_t **record)
{
    char *content;
    size_t length;
    cw_status status = read_file(import, name, CW_BOOK__TEXT_MOST, &content, &length);

    if (status != CW_OK)
        return status;
    *record = cw_book__record_read(content, length, name, import->error);
    cw_free(content);
    return *record != NULL ? CW_OK : CW_BAD_INPUT;
}

/* ---- values of a record ------------------------------------------------------------------------------------ */

/* 32 hexadecimal digits, as this book makes them: nothing else becomes part of a name. */
static bool is_uid(const char *text)
{
    return text != NULL && strlen(text) == 32 && strspn(text, "0123456789abcdef") == 32;
}

static void copy_word(const json_t *object, const char *key, char *to, size_t size)
{
    const char *text = cw_book__get_text(object, key);

    snprintf(to, size, "%s", text != NULL ? text : "");
}

static void read_keys(const json_t *object, cw_book_keys *keys)
{
    cw_book_keys_clear(keys);
    copy_word(object, "wire", keys->wire, sizeof keys->wire);
    copy_word(object, "build", keys->build, sizeof keys->build);
    copy_word(object, "shape", keys->shape, sizeof keys->shape);
    keys->inner_m[0] = cw_book__get_real(object, "inner_m");
    keys->inner_m[1] = cw_book__get_real(object, "inner_2_m");
    keys->length_m = cw_book__get_real(object, "length_m");
    keys->depth_m = cw_book__get_real(object, "depth_m");
    keys->resistance_20c_ohm = cw_book__get_real(object, "resistance_20c_ohm");
    keys->turns = cw_book__get_real(object, "turns");
}

/* Time of a row; a missing one is that of the job. */
static long long time_of(const json_t *object, const char *key, long long otherwise)
{
    const long long time_s = cw_book__get_integer(object, key);

    return time_s != 0 ? time_s : otherwise;
}

/* ---- a job ------------------------------------------------------------------------------------------------- */

typedef struct job_import {
    import *import;
    const char *uid;
    const json_t *record;
    cw_book_id id;
    long long made_s;
} job_import;

static cw_status add_version(const job_import *job, const json_t *item)
{
    const long long number = cw_book__get_integer(item, "number");
    char name[96], *yaml;
    size_t length;
    cw_status status;

    if (number < 1 || number > 1000000)
        return refuse_file(job->import, job->uid, "a version without a number");
    snprintf(name, sizeof name, "jobs/%s/versions/%lld.yaml", job->uid, number);
    status = read_file(job->import, name, CW_BOOK__TEXT_MOST, &yaml, &length);
    if (status == CW_OK && strlen(yaml) != length)
        status = refuse_file(job->import, name, "the text is no text");
    if (status == CW_OK)
        status = cw_book__check_text(yaml, CW_BOOK__TEXT_MOST, "The job file", true, job->import->error);
    if (status == CW_OK)
        status = cw_book__version_put(job->import->book, job->id, (int)number, yaml,
                                      time_of(item, "made_s", job->made_s), job->import->error);
    cw_free(yaml);
    return status;
}

static bool is_verb(const char *text)
{
    return text != NULL && text[0] != '\0' && strlen(text) <= 40 &&
           strspn(text, "abcdefghijklmnopqrstuvwxyz-") == strlen(text);
}

static cw_status add_result(const job_import *job, const json_t *item, size_t at)
{
    const char *verb = cw_book__get_text(item, "verb");
    const long long version = cw_book__get_integer(item, "version");
    char name[160], *text;
    size_t length;
    cw_status status;

    if (!is_verb(verb) || version < 1 || version > 1000000)
        return refuse_file(job->import, job->uid, "a result without a verb or version");
    snprintf(name, sizeof name, "jobs/%s/results/%lld-%zu-%s.json", job->uid, version, at + 1, verb);
    status = read_file(job->import, name, CW_BOOK__TEXT_MOST, &text, &length);
    if (status == CW_OK)
        status = cw_book__check_text(text, CW_BOOK__TEXT_MOST, "The result", true, job->import->error);
    if (status == CW_OK)
        status = cw_book__result_put(job->import->book, job->id, (int)version, verb, text,
                                     time_of(item, "made_s", job->made_s), NULL, job->import->error);
    cw_free(text);
    return status;
}

/* The row of the job's N-th result, from 1, in the order in which they are exported; 0 none. */
static cw_status result_row(const job_import *job, long long number, long long *row)
{
    return cw_book__number(job->import->book, 0, row, job->import->error,
                           "SELECT id FROM result WHERE job = ? ORDER BY version, id LIMIT 1 OFFSET ?", "ii",
                           (long long)job->id, number - 1);
}

static cw_status add_signature(const job_import *job, const json_t *item, size_t at)
{
    const long long number = cw_book__get_integer(item, "result"), version = cw_book__get_integer(item, "version");
    const char *sha256 = cw_book__get_text(item, "sha256"), *verdict = cw_book__get_text(item, "verdict");
    const cw_book_signing signing = {
        .version = (int)version, .verdict = verdict, .who = cw_book__get_text(item, "who"),
        .note = cw_book__get_text(item, "note"), .time_s = time_of(item, "signed_s", job->made_s),
    };
    long long row = 0;
    cw_status status;

    (void)at;
    if (number < 1 || version < 1 || version > 1000000 || sha256 == NULL || strlen(sha256) != 64 || verdict == NULL ||
        (strcmp(verdict, "pass") != 0 && strcmp(verdict, "open") != 0))
        return refuse_file(job->import, job->uid, "a signature that is none");
    status = cw_book__check_text(signing.who, 200, "The name of who signed", true, job->import->error);
    if (status == CW_OK)
        status = cw_book__check_text(signing.note, 2000, "The note", false, job->import->error);
    if (status == CW_OK)
        status = result_row(job, number, &row);
    if (status == CW_OK && row == 0)
        status = refuse_file(job->import, job->uid, "a signature without its proof");
    return status == CW_OK ? cw_book__signature_put(job->import->book, job->id, row, &signing, sha256,
                                                    job->import->error)
                           : status;
}

static cw_status add_reading(const job_import *job, const json_t *item, size_t at)
{
    const cw_book_reading reading = {
        .kind = cw_book__get_text(item, "kind"), .value = cw_book__get_real(item, "value"),
        .doubt = cw_book__get_real(item, "doubt"), .at_c = cw_book__get_real(item, "at_c"),
        .unit = cw_book__get_text(item, "unit"), .source = cw_book__get_text(item, "source"),
        .note = cw_book__get_text(item, "note"), .time_s = time_of(item, "taken_s", job->made_s),
    };

    (void)at;
    return cw_book_reading_add(job->import->book, job->id, &reading, job->import->error);
}

static cw_status add_photo(const job_import *job, const json_t *item, size_t at)
{
    const char *sha256 = cw_book__get_text(item, "sha256"), *type = cw_book__get_text(item, "type");
    char name[96], found[65], *bytes;
    size_t length;
    cw_status status;

    (void)at;
    if (sha256 == NULL || strlen(sha256) != 64 || type == NULL ||
        (strcmp(type, "jpg") != 0 && strcmp(type, "png") != 0))
        return refuse_file(job->import, job->uid, "a photo without its sum");
    snprintf(name, sizeof name, "photos/%s.%s", sha256, type);
    status = read_file(job->import, name, CW_BOOK_PHOTO_LARGEST, &bytes, &length);
    if (status != CW_OK)
        return status;
    cw_book_sha256(bytes, length, found);
    if (strcmp(found, sha256) != 0 || cw_book__picture_type(bytes, length) == NULL)
        status = refuse_file(job->import, name, "the photo is not the one that was exported");
    if (status == CW_OK)
        status =
            cw_book__check_text(cw_book__get_text(item, "caption"), 2000, "The caption", false, job->import->error);
    if (status == CW_OK)
        status = cw_book__photo_put(job->import->book, job->id, bytes, length, cw_book__get_text(item, "caption"),
                                    time_of(item, "added_s", job->made_s), job->import->error);
    job->import->counts.photos += status == CW_OK;
    cw_free(bytes);
    return status;
}

static cw_status add_cost(const job_import *job, const json_t *item, size_t at)
{
    (void)at;
    return cw_book_cost_add(job->import->book, job->id, cw_book__get_text(item, "kind"),
                            cw_book__get_real(item, "amount"), cw_book__get_text(item, "note"),
                            time_of(item, "made_s", job->made_s), job->import->error);
}

static cw_status add_hours(const job_import *job, const json_t *item, size_t at)
{
    (void)at;
    return cw_book_hours_add(job->import->book, job->id, cw_book__get_real(item, "hours"),
                             cw_book__get_text(item, "who"), cw_book__get_text(item, "what"),
                             time_of(item, "made_s", job->made_s), job->import->error);
}

/* Wire from a spool that this book does not have: kept as what it was and cost. */
static cw_status add_use(const job_import *job, const json_t *item, size_t at)
{
    const char *size = cw_book__get_text(item, "size"), *note = cw_book__get_text(item, "note");
    const double price = cw_book__get_real(item, "price");
    char text[256];

    (void)at;
    snprintf(text, sizeof text, "%.6g m, %.4g kg of %.23s%s%.120s", cw_book__get_real(item, "length_m"),
             cw_book__get_real(item, "mass_kg"), size != NULL ? size : "wire", note != NULL ? ": " : "",
             note != NULL ? note : "");
    return cw_book_cost_add(job->import->book, job->id, "wire", isnan(price) ? 0 : price, text,
                            time_of(item, "made_s", job->made_s), job->import->error);
}

static cw_status each(const job_import *job, const char *list,
                      cw_status (*add)(const job_import *, const json_t *, size_t))
{
    const json_t *items = json_object_get(job->record, list);
    cw_status status = CW_OK;

    for (size_t i = 0; i < json_array_size(items) && status == CW_OK; i++)
        status = add(job, json_array_get(items, i), i);
    return status;
}

static cw_status add_numbered_version(const job_import *job, const json_t *item, size_t at)
{
    (void)at;
    return add_version(job, item);
}

static cw_status put_head(job_import *job)
{
    cw_book_keys keys;
    const cw_book_entry entry = {
        .name = cw_book__get_text(job->record, "name"), .machine = cw_book__get_text(job->record, "machine"),
        .coil = cw_book__get_text(job->record, "coil"), .note = cw_book__get_text(job->record, "note"),
        .keys = &keys, .time_s = job->made_s,
    };
    cw_status status = cw_book__check_text(entry.machine, 200, "The machine's name", true, job->import->error);

    if (status == CW_OK)
        status = cw_book__check_text(entry.name, 200, "The job's name", false, job->import->error);
    if (status == CW_OK)
        status = cw_book__check_text(entry.coil, 200, "The coil's name", false, job->import->error);
    if (status == CW_OK)
        status = cw_book__check_text(entry.note, 20000, "The note", false, job->import->error);
    read_keys(json_object_get(job->record, "keys"), &keys);
    return status == CW_OK ? cw_book__job_put(job->import->book, &entry, job->uid, &job->id, job->import->error)
                           : status;
}

static cw_status put_job(job_import *job)
{
    const char *word = cw_book__get_text(job->record, "state");
    cw_book_state state = CW_JOB_OPEN;
    cw_status status;

    if (word != NULL && !cw_book_state_find(word, &state))
        return refuse_file(job->import, job->uid, "a state that is none");
    job->made_s = time_of(job->record, "made_s", 1);
    status = put_head(job);
    if (status == CW_OK && json_array_size(json_object_get(job->record, "versions")) == 0)
        status = refuse_file(job->import, job->uid, "a job without a version");
    if (status == CW_OK)
        status = each(job, "versions", add_numbered_version);
    if (status == CW_OK)
        status = each(job, "results", add_result);
    if (status == CW_OK)
        status = each(job, "signatures", add_signature);
    if (status == CW_OK)
        status = each(job, "readings", add_reading);
    if (status == CW_OK)
        status = each(job, "photos", add_photo);
    if (status == CW_OK)
        status = each(job, "costs", add_cost);
    if (status == CW_OK)
        status = each(job, "hours", add_hours);
    if (status == CW_OK)
        status = each(job, "wire_used", add_use);
    if (status == CW_OK)
        status = cw_book__run(job->import->book, doing, job->import->error,
                              "UPDATE job SET state = ?, changed_s = ? WHERE id = ?", "iii", (long long)state,
                              time_of(job->record, "changed_s", job->made_s), (long long)job->id);
    return status;
}

static cw_status take_job(import *import, const char *uid, const json_t *record)
{
    job_import job = { .import = import, .uid = uid, .record = record };
    long long known = 0;
    cw_status status =
        cw_book__number(import->book, 0, &known, import->error, "SELECT id FROM job WHERE uid = ?", "s", uid);

    if (status != CW_OK || known != 0) {
        import->counts.known += known != 0;
        return status;
    }
    status = put_job(&job);
    import->counts.jobs += status == CW_OK;
    return status;
}

/* ---- all jobs ---------------------------------------------------------------------------------------------- */

/* "jobs/UID/record.yaml": the uid, or false. */
static bool uid_of(const char *name, char uid[33])
{
    if (strncmp(name, "jobs/", 5) != 0 || strlen(name) != 5 + 32 + strlen("/record.yaml") ||
        strcmp(name + 37, "/record.yaml") != 0)
        return false;
    memcpy(uid, name + 5, 32);
    uid[32] = '\0';
    return is_uid(uid);
}

typedef cw_status record_taker(import *import, const char *uid, const json_t *record);

static cw_status each_job(import *import, record_taker *take)
{
    const zip_int64_t count = zip_get_num_entries(import->zip, 0);
    cw_status status = CW_OK;

    for (zip_int64_t i = 0; i < count && status == CW_OK; i++) {
        const char *name = zip_get_name(import->zip, (zip_uint64_t)i, 0);
        char uid[33];
        json_t *record = NULL;

        if (name == NULL || !uid_of(name, uid))
            continue;
        status = read_record(import, name, &record);
        if (status == CW_OK)
            status = take(import, uid, record);
        json_decref(record);
    }
    return status;
}

/* Which job it started from, once all are in. A job that is not in the book is forgotten. */
static cw_status take_basis(import *import, const char *uid, const json_t *record)
{
    const char *basis = cw_book__get_text(record, "based_on");

    if (basis == NULL)
        return CW_OK;
    return cw_book__run(
        import->book, doing, import->error,
        "UPDATE job SET based_on = (SELECT b.id FROM job b WHERE b.uid = ?1) WHERE uid = ?2 AND based_on IS NULL"
        " AND ?1 <> ?2",
        "ss", basis, uid);
}

/* ---- the shelf --------------------------------------------------------------------------------------------- */

static cw_status take_spool(import *import, const json_t *spool, bool *is_new)
{
    const char *uid = cw_book__get_text(spool, "uid"), *size = cw_book__get_text(spool, "size");
    const double mass = cw_book__get_real(spool, "mass_kg_per_m"), bought = cw_book__get_real(spool, "bought_m");
    long long known = 0;
    cw_status status = CW_OK;

    *is_new = false;
    if (!is_uid(uid) || size == NULL || strlen(size) > 23 || !(isfinite(mass) && mass > 0) ||
        !(isfinite(bought) && bought > 0))
        return refuse_file(import, CW_BOOK__SHELF, "a spool that is none");
    status = cw_book__number(import->book, 0, &known, import->error, "SELECT id FROM spool WHERE uid = ?", "s", uid);
    if (status != CW_OK || known != 0) {
        import->counts.known += known != 0;
        return status;
    }
    *is_new = true;
    import->counts.spools++;
    return cw_book__run(
        import->book, doing, import->error,
        "INSERT INTO spool (uid, size, build, material, thermal_class_c, mass_kg_per_m, bought_m, price, supplier,"
        " note, bought_s) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        "ssssddddssi", uid, size, cw_book__get_text(spool, "build"), cw_book__get_text(spool, "material"),
        cw_book__get_real(spool, "thermal_class_c"), mass, bought, cw_book__get_real(spool, "price"),
        cw_book__get_text(spool, "supplier"), cw_book__get_text(spool, "note"), time_of(spool, "bought_s", 1));
}

/* Uses of spools that are new here; those of known spools are in the book already. */
static cw_status take_uses(import *import, const json_t *uses, const json_t *new_spools)
{
    cw_status status = CW_OK;

    for (size_t i = 0; i < json_array_size(uses) && status == CW_OK; i++) {
        const json_t *use = json_array_get(uses, i);
        const char *spool = cw_book__get_text(use, "spool");
        const double length_m = cw_book__get_real(use, "length_m");

        if (!is_uid(spool) || !isfinite(length_m))
            return refuse_file(import, CW_BOOK__SHELF, "a use of a spool that is none");
        if (json_object_get(new_spools, spool) != NULL)
            status =
                cw_book__run(import->book, doing, import->error,
                             "INSERT INTO stock_use (spool, job, length_m, note, made_s) VALUES"
                             " ((SELECT id FROM spool WHERE uid = ?), (SELECT id FROM job WHERE uid = ?), ?, ?, ?)",
                             "ssdsi", spool, cw_book__get_text(use, "job"), length_m, cw_book__get_text(use, "note"),
                             time_of(use, "made_s", 1));
    }
    return status;
}

static cw_status take_shelf(import *import)
{
    json_t *shelf = NULL, *new_spools;
    const json_t *spools;
    cw_status status;

    if (zip_name_locate(import->zip, CW_BOOK__SHELF, 0) < 0)
        return CW_OK;
    status = read_record(import, CW_BOOK__SHELF, &shelf);
    if (status != CW_OK)
        return status;
    new_spools = json_object();
    spools = json_object_get(shelf, "spools");
    for (size_t i = 0; i < json_array_size(spools) && status == CW_OK; i++) {
        bool is_new;

        status = take_spool(import, json_array_get(spools, i), &is_new);
        if (status == CW_OK && is_new &&
            json_object_set_new(new_spools, cw_book__get_text(json_array_get(spools, i), "uid"), json_true()) != 0)
            status = cw_no_memory(import->error);
    }
    if (status == CW_OK)
        status = take_uses(import, json_object_get(shelf, "uses"), new_spools);
    json_decref(new_spools);
    json_decref(shelf);
    return status;
}

/* ---- the whole --------------------------------------------------------------------------------------------- */

static cw_status check_manifest(import *import)
{
    json_t *manifest = NULL;
    long long version;
    cw_status status;

    if (zip_get_num_entries(import->zip, 0) > CW_BOOK__ENTRIES_MOST)
        return refuse_file(import, "", "it has too many files");
    status = read_record(import, CW_BOOK__MANIFEST, &manifest);
    if (status != CW_OK)
        return status;
    version = cw_book__get_integer(manifest, "coilwright_book");
    json_decref(manifest);
    if (version == CW_BOOK__EXPORT_VERSION)
        return CW_OK;
    return refuse_file(import, CW_BOOK__MANIFEST,
                       version > CW_BOOK__EXPORT_VERSION ? "it was written by a later program"
                                                         : "it is no export of a book");
}

static cw_status take_all(import *import)
{
    cw_status status = check_manifest(import);

    if (status == CW_OK)
        status = each_job(import, take_job);
    if (status == CW_OK)
        status = each_job(import, take_basis);
    return status == CW_OK ? take_shelf(import) : status;
}

static cw_status open_zip(import *import)
{
    struct stat about;
    zip_error_t said;
    int code = 0;
    cw_status status;

    if (stat(import->path, &about) != 0 || !S_ISREG(about.st_mode))
        return cw_refuse(import->error, &(cw_place) { .file = import->path }, "a zip that a book wrote",
                         "There is no such file.");
    import->zip = zip_open(import->path, ZIP_RDONLY, &code);
    if (import->zip != NULL)
        return CW_OK;
    zip_error_init_with_code(&said, code);
    status = cw_refuse(import->error, &(cw_place) { .file = import->path }, "a zip that a book wrote",
                       "The file cannot be read: %s.", zip_error_strerror(&said));
    zip_error_fini(&said);
    return status;
}

cw_status cw_book_import(cw_book *book, const char *path, cw_book_imported *imported, cw_error *error)
{
    import import = { .book = book, .path = path, .error = error };
    cw_status status = open_zip(&import);

    if (status != CW_OK)
        return status;
    status = cw_book__begin(book, error);
    if (status == CW_OK) {
        status = take_all(&import);
        status = cw_book__end(book, status, doing, error);
    }
    zip_discard(import.zip);
    if (status == CW_OK && imported != NULL)
        *imported = import.counts;
    return status;
}
