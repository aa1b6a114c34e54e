/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Jobs: new ones, their versions, results, readings, costs and hours. */
#include "book/book_internal.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

static const char *const saving = "The job cannot be saved";

static const char *const state_names[CW_JOB_STATE_COUNT] = { "open", "wound", "proved", "failed" };

const char *cw_book_state_name(cw_book_state state)
{
    return state >= 0 && state < CW_JOB_STATE_COUNT ? state_names[state] : "";
}

bool cw_book_state_find(const char *name, cw_book_state *state)
{
    for (int i = 0; i < CW_JOB_STATE_COUNT; i++)
        if (strcmp(name, state_names[i]) == 0) {
            *state = (cw_book_state)i;
            return true;
        }
    return false;
}

/* ---- what may be written ----------------------------------------------------------------------------------- */

static bool is_utf8(const char *text, size_t length)
{
    for (size_t at = 0; at < length;) {
        uint32_t code;
        const int count = cw_utf8_decode(text + at, length - at, &code);

        if (count == 0)
            return false;
        at += (size_t)count;
    }
    return true;
}

/* Texts come from people and other programs: UTF-8 within bounds, or the export could not be read again. */
cw_status cw_book__check_text(const char *text, size_t most, const char *what, bool needed, cw_error *error)
{
    const size_t length = text != NULL ? strlen(text) : 0;

    if (needed && length == 0)
        return cw_refuse(error, NULL, NULL, "%s is missing.", what);
    if (length > most)
        return cw_refuse(error, NULL, NULL, "%s is %zu bytes long, and %zu are the most.", what, length, most);
    if (text != NULL && !is_utf8(text, length))
        return cw_refuse(error, NULL, "UTF-8", "%s is not UTF-8 throughout.", what);
    return CW_OK;
}

static cw_status check_entry(const cw_book_entry *entry, cw_error *error)
{
    cw_status status = cw_book__check_text(entry->machine, 200, "The machine's name", true, error);

    if (status == CW_OK)
        status = cw_book__check_text(entry->name, 200, "The job's name", false, error);
    if (status == CW_OK)
        status = cw_book__check_text(entry->coil, 200, "The coil's name", false, error);
    if (status == CW_OK)
        status = cw_book__check_text(entry->note, 20000, "The note", false, error);
    return status == CW_OK ? cw_book__check_text(entry->yaml, CW_BOOK__TEXT_MOST, "The job file", true, error) : status;
}

/* ---- a new job --------------------------------------------------------------------------------------------- */

/* Finds the row or makes it. */
static cw_status machine_and_coil(cw_book *book, const char *machine, const char *coil, long long *id, cw_error *error)
{
    long long of_machine = 0;
    cw_status status = cw_book__run(
        book, saving, error, "INSERT INTO machine (name) VALUES (?) ON CONFLICT (name) DO NOTHING", "s", machine);

    if (status == CW_OK)
        status = cw_book__number(book, 0, &of_machine, error, "SELECT id FROM machine WHERE name = ?", "s", machine);
    if (status == CW_OK)
        status = cw_book__run(book, saving, error,
                              "INSERT INTO coil (machine, name) VALUES (?, ?) ON CONFLICT (machine, name) DO NOTHING",
                              "is", of_machine, coil);
    if (status == CW_OK)
        status = cw_book__number(book, 0, id, error, "SELECT id FROM coil WHERE machine = ? AND name = ?", "is",
                                 of_machine, coil);
    return status;
}

cw_status cw_book__version_put(cw_book *book, cw_book_id job, int number, const char *yaml, long long time_s,
                               cw_error *error)
{
    return cw_book__run(book, saving, error, "INSERT INTO version (job, number, yaml, made_s) VALUES (?, ?, ?, ?)",
                        "iisi", (long long)job, (long long)number, yaml, time_s);
}

static cw_status put_words(cw_book *book, cw_book_id job, cw_error *error)
{
    return cw_book__run(book, saving, error,
                        "INSERT OR REPLACE INTO job_text (rowid, words) SELECT j.id, " CW_BOOK__WORDS
                        " FROM job j JOIN coil c ON c.id = j.coil WHERE j.id = ?", "i", (long long)job);
}

cw_status cw_book__job_put(cw_book *book, const cw_book_entry *entry, const char *uid, cw_book_id *job, cw_error *error)
{
    const long long time_s = cw_book__time(entry->time_s);
    long long coil = 0;
    cw_status status = machine_and_coil(book, entry->machine, entry->coil != NULL ? entry->coil : "coil", &coil, error);

    if (status == CW_OK)
        status = cw_book__run(book, saving, error,
                              "INSERT INTO job (uid, coil, name, note, made_s, changed_s, based_on)"
                              " VALUES (coalesce(?, lower(hex(randomblob(16)))), ?, ?, ?, ?, ?, ?)",
                              "sissiiz", uid, coil, entry->name != NULL ? entry->name : entry->machine, entry->note,
                              time_s, time_s, (long long)entry->based_on);
    if (status == CW_OK)
        *job = sqlite3_last_insert_rowid(book->db);
    if (status == CW_OK)
        status = put_words(book, *job, error);
    return status == CW_OK ? cw_book__put_keys(book, *job, entry->keys, error) : status;
}

cw_status cw_book_job_add(cw_book *book, const cw_book_entry *entry, cw_book_id *job, cw_error *error)
{
    cw_status status = check_entry(entry, error);
    cw_book_id made = 0;

    if (status == CW_OK)
        status = cw_book__begin(book, error);
    if (status != CW_OK)
        return status;
    if (entry->based_on != 0)
        status = cw_book__need_job(book, entry->based_on, error);
    if (status == CW_OK)
        status = cw_book__job_put(book, entry, NULL, &made, error);
    if (status == CW_OK)
        status = cw_book__version_put(book, made, 1, entry->yaml, cw_book__time(entry->time_s), error);
    status = cw_book__end(book, status, saving, error);
    if (status == CW_OK)
        *job = made;
    return status;
}

/* ---- versions ---------------------------------------------------------------------------------------------- */

static cw_status latest_version(cw_book *book, cw_book_id job, long long *number, cw_error *error)
{
    cw_status status =
        cw_book__number(book, 0, number, error, "SELECT number FROM version WHERE job = ? ORDER BY number DESC LIMIT 1",
                        "i", (long long)job);

    if (status == CW_OK && *number == 0)
        status = cw_book__need_job(book, job, error);
    return status;
}

static cw_status touch(cw_book *book, cw_book_id job, long long time_s, cw_error *error)
{
    return cw_book__run(book, saving, error, "UPDATE job SET changed_s = max(changed_s, ?) WHERE id = ?", "ii", time_s,
                        (long long)job);
}

static cw_status save(cw_book *book, cw_book_id job, const char *yaml, const cw_book_keys *keys, int on_version,
                      long long time_s, long long *number, cw_error *error)
{
    long long same = 0;
    cw_status status = latest_version(book, job, number, error);

    if (status == CW_OK && on_version != 0 && *number != on_version)
        return cw_refuse(error, &(cw_place) { .file = book->path }, NULL,
                         "Job %lld has been saved by somebody else meanwhile: this "
                         "one started from version %d, and the book has version %lld. Look at that one first.",
                         job, on_version, *number);
    if (status == CW_OK)
        status =
            cw_book__number(book, 0, &same, error, "SELECT 1 FROM version WHERE job = ? AND number = ? AND yaml = ?",
                            "iis", (long long)job, *number, yaml);
    if (status == CW_OK && same == 0)
        status = cw_book__version_put(book, job, (int)++*number, yaml, time_s, error);
    if (status == CW_OK)
        status = cw_book__put_keys(book, job, keys, error);
    return status == CW_OK && same == 0 ? touch(book, job, time_s, error) : status;
}

cw_status cw_book_job_save(cw_book *book, cw_book_id job, const char *yaml, const cw_book_keys *keys, int on_version,
                           long long time_s, int *version, cw_error *error)
{
    long long number = 0;
    cw_status status = cw_book__check_text(yaml, CW_BOOK__TEXT_MOST, "The job file", true, error);

    if (status == CW_OK)
        status = cw_book__begin(book, error);
    if (status != CW_OK)
        return status;
    status = save(book, job, yaml, keys, on_version, cw_book__time(time_s), &number, error);
    status = cw_book__end(book, status, saving, error);
    if (status == CW_OK && version != NULL)
        *version = (int)number;
    return status;
}

static cw_status one_text(cw_book *book, sqlite3_stmt *statement, const char *missing, cw_text *text, cw_error *error)
{
    bool row;
    cw_status status = cw_book__step(book, statement, &row, error);

    if (status == CW_OK && !row)
        status = cw_refuse(error, &(cw_place){ .file = book->path }, NULL, "%s", missing);
    if (status == CW_OK) {
        cw_text_clear(text);
        cw_text_add_bytes(text, (const char *)sqlite3_column_text(statement, 0),
                          (size_t)sqlite3_column_bytes(statement, 0));
        if (text->failed)
            status = cw_no_memory(error);
    }
    sqlite3_finalize(statement);
    return status;
}

cw_status cw_book_version_text(cw_book *book, cw_book_id job, int version, cw_text *yaml, cw_error *error)
{
    return one_text(book, cw_book__ask(book, error,
                                       "SELECT yaml FROM version WHERE job = ?1 AND (?2 IS NULL OR number = ?2)"
                                       " ORDER BY number DESC LIMIT 1", "iz", (long long)job, (long long)version),
                    "There is no such job, or no such version of it.", yaml, error);
}

/* ---- one row for a job ------------------------------------------------------------------------------------- */

/* Begins, and makes sure of the job. */
static cw_status begin_for(cw_book *book, cw_book_id job, cw_error *error)
{
    cw_status status = cw_book__begin(book, error);

    if (status != CW_OK)
        return status;
    status = cw_book__need_job(book, job, error);
    return status == CW_OK ? CW_OK : cw_book__end(book, status, saving, error);
}

/* A name that was being typed leaves no machine behind. */
static cw_status forget_unused(cw_book *book, cw_error *error)
{
    cw_status status = cw_book__run(book, saving, error,
                                    "DELETE FROM coil WHERE NOT EXISTS (SELECT 1 FROM job WHERE job.coil = coil.id)", "");

    return status != CW_OK ? status : cw_book__run(
        book, saving, error,
        "DELETE FROM machine WHERE note IS NULL AND NOT EXISTS (SELECT 1 FROM coil WHERE coil.machine = machine.id)", "");
}

static cw_status rename_to(cw_book *book, cw_book_id job, const char *name, const char *machine, cw_error *error)
{
    long long coil = 0, same = 0;
    cw_text coil_name = { 0 };
    cw_status status =
        cw_book__number(book, 0, &same, error,
                        "SELECT 1 FROM job j JOIN coil c ON c.id = j.coil JOIN machine m ON m.id = c.machine"
                        " WHERE j.id = ? AND j.name = ? AND m.name = ?", "iss", (long long)job, name, machine);

    if (status != CW_OK || same != 0)
        return status;
    status = one_text(book, cw_book__ask(book, error, "SELECT c.name FROM job j JOIN coil c ON c.id = j.coil WHERE j.id = ?",
                                         "i", (long long)job), "There is no such job.", &coil_name, error);
    if (status == CW_OK)
        status = machine_and_coil(book, machine, coil_name.data, &coil, error);
    cw_text_clear(&coil_name);
    if (status == CW_OK)
        status = cw_book__run(book, saving, error, "UPDATE job SET name = ?, coil = ? WHERE id = ?", "sii", name, coil,
                              (long long)job);
    if (status == CW_OK)
        status = put_words(book, job, error);
    return status == CW_OK ? forget_unused(book, error) : status;
}

cw_status cw_book_job_rename(cw_book *book, cw_book_id job, const char *name, const char *machine, cw_error *error)
{
    cw_status status = cw_book__check_text(name, 200, "The job's name", true, error);

    if (status == CW_OK)
        status = cw_book__check_text(machine, 200, "The machine's name", true, error);
    if (status == CW_OK)
        status = begin_for(book, job, error);
    if (status != CW_OK)
        return status;
    status = rename_to(book, job, name, machine, error);
    return cw_book__end(book, status, saving, error);
}

cw_status cw_book_job_set_state(cw_book *book, cw_book_id job, cw_book_state state, cw_error *error)
{
    cw_status status = begin_for(book, job, error);

    if (status != CW_OK)
        return status;
    status = cw_book__run(book, saving, error, "UPDATE job SET state = ? WHERE id = ?", "ii", (long long)state,
                          (long long)job);
    return cw_book__end(book, status, saving, error);
}

cw_status cw_book_job_set_note(cw_book *book, cw_book_id job, const char *note, cw_error *error)
{
    cw_status status = cw_book__check_text(note, 20000, "The note", false, error);

    if (status == CW_OK)
        status = begin_for(book, job, error);
    if (status != CW_OK)
        return status;
    status = cw_book__run(book, saving, error, "UPDATE job SET note = ? WHERE id = ?", "si", note, (long long)job);
    if (status == CW_OK)
        status = put_words(book, job, error);
    return cw_book__end(book, status, saving, error);
}

cw_status cw_book__result_put(cw_book *book, cw_book_id job, int version, const char *verb, const char *json,
                              long long time_s, long long *result, cw_error *error)
{
    const cw_status status =
        cw_book__run(book, "The result cannot be saved", error,
                     "INSERT INTO result (job, version, verb, json, made_s) VALUES (?, ?, ?, ?, ?)", "iissi",
                     (long long)job, (long long)version, verb, json, cw_book__time(time_s));

    if (status == CW_OK && result != NULL)
        *result = sqlite3_last_insert_rowid(book->db);
    return status;
}

cw_status cw_book_result_add(cw_book *book, cw_book_id job, int version, const char *verb, const char *json,
                             long long time_s, cw_error *error)
{
    cw_status status = cw_book__check_text(verb, 40, "The result's verb", true, error);
    long long number = version;

    if (status == CW_OK)
        status = cw_book__check_text(json, CW_BOOK__TEXT_MOST, "The result", true, error);
    if (status == CW_OK)
        status = begin_for(book, job, error);
    if (status != CW_OK)
        return status;
    status = cw_book__number(book, 0, &number, error,
                             "SELECT number FROM version WHERE job = ?1 AND (?2 IS NULL OR number = ?2)"
                             " ORDER BY number DESC LIMIT 1",
                             "iz", (long long)job, (long long)version);
    if (status == CW_OK && number == 0)
        status = cw_refuse(error, &(cw_place){ .file = book->path }, NULL, "Job %lld has no version %d.", job, version);
    if (status == CW_OK)
        status = cw_book__result_put(book, job, (int)number, verb, json, time_s, NULL, error);
    return cw_book__end(book, status, "The result cannot be saved", error);
}

cw_status cw_book_result_text(cw_book *book, cw_book_id job, int version, const char *verb, cw_text *json,
                              cw_error *error)
{
    return one_text(book,
                    cw_book__ask(book, error,
                                 "SELECT json FROM result WHERE job = ?1 AND verb = ?2 AND (?3 IS NULL OR version = ?3)"
                                 " ORDER BY version DESC, id DESC LIMIT 1",
                                 "isz", (long long)job, verb, (long long)version),
                    "There is no such result of that job.", json, error);
}

cw_status cw_book_reading_add(cw_book *book, cw_book_id job, const cw_book_reading *reading, cw_error *error)
{
    static const char *const doing = "The reading cannot be saved";
    cw_status status = cw_book__check_text(reading->kind, 60, "The reading's kind", true, error);

    if (status == CW_OK && isnan(reading->value))
        status = cw_refuse(error, NULL, NULL, "A reading of %s without a value is none.", reading->kind);
    if (status == CW_OK)
        status = cw_book__check_text(reading->unit, 40, "The unit", false, error);
    if (status == CW_OK)
        status = cw_book__check_text(reading->source, 200, "The source", false, error);
    if (status == CW_OK)
        status = cw_book__check_text(reading->note, 2000, "The note", false, error);
    if (status == CW_OK)
        status = begin_for(book, job, error);
    if (status != CW_OK)
        return status;
    status = cw_book__run(book, doing, error,
                          "INSERT INTO reading (job, kind, value, doubt, at_c, unit, source, note, taken_s)"
                          " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                          "isdddsssi", (long long)job, reading->kind, reading->value, reading->doubt, reading->at_c,
                          reading->unit, reading->source, reading->note, cw_book__time(reading->time_s));
    return cw_book__end(book, status, doing, error);
}

/* ---- money and hours --------------------------------------------------------------------------------------- */

cw_status cw_book_cost_add(cw_book *book, cw_book_id job, const char *kind, double amount, const char *note,
                           long long time_s, cw_error *error)
{
    static const char *const kinds[] = { "wire", "material", "bought", "other", "instead" };
    cw_status status = CW_OK;
    bool known = false;

    for (size_t i = 0; kind != NULL && i < sizeof kinds / sizeof kinds[0]; i++)
        known = known || strcmp(kind, kinds[i]) == 0;
    if (!known)
        status = cw_refuse(error, NULL, "wire, material, bought, other or instead", "'%.40s' is no kind of cost.",
                           kind != NULL ? kind : "");
    else if (!isfinite(amount))
        status = cw_refuse(error, NULL, "an amount, as in 21.00", "A cost without an amount is none.");
    if (status == CW_OK)
        status = cw_book__check_text(note, 2000, "The note", false, error);
    if (status == CW_OK)
        status = begin_for(book, job, error);
    if (status != CW_OK)
        return status;
    status =
        cw_book__run(book, saving, error, "INSERT INTO cost (job, kind, amount, note, made_s) VALUES (?, ?, ?, ?, ?)",
                     "isdsi", (long long)job, kind, amount, note, cw_book__time(time_s));
    return cw_book__end(book, status, saving, error);
}

cw_status cw_book_hours_add(cw_book *book, cw_book_id job, double hours, const char *who, const char *what,
                            long long time_s, cw_error *error)
{
    cw_status status = isfinite(hours) && hours > -1000 && hours < 1000 ? CW_OK
                     : cw_refuse(error, NULL, "hours, as in 1.5", "%g hours are none that a person worked.", hours);

    if (status == CW_OK)
        status = cw_book__check_text(who, 200, "The name", false, error);
    if (status == CW_OK)
        status = cw_book__check_text(what, 2000, "The note", false, error);
    if (status == CW_OK)
        status = begin_for(book, job, error);
    if (status != CW_OK)
        return status;
    status =
        cw_book__run(book, saving, error, "INSERT INTO hours (job, hours, who, what, made_s) VALUES (?, ?, ?, ?, ?)",
                     "idssi", (long long)job, hours, who, what, cw_book__time(time_s));
    return cw_book__end(book, status, saving, error);
}
