/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who stands for a proof. The sum over inputs and proof is no seal against a forger, who could write another one; it
 * tells whether what lies there is still what was signed. */
#include "book/book_internal.h"

#include <string.h>

static const char *const saving = "The signature cannot be saved";

bool cw_book__signature_sum(const char *yaml, const char *proof, char sha256[65])
{
    cw_text both = { 0 };
    const bool sound = yaml != NULL && proof != NULL;

    if (sound) {
        cw_text_add(&both, yaml);
        cw_text_add_bytes(&both, "", 1);
        cw_text_add(&both, proof);
        if (!both.failed)
            cw_book_sha256(both.data, both.length, sha256);
    }
    cw_text_clear(&both);
    return sound && !both.failed;
}

cw_status cw_book__signature_put(cw_book *book, cw_book_id job, long long result, const cw_book_signing *signing,
                                 const char *sha256, cw_error *error)
{
    return cw_book__run(book, saving, error,
                        "INSERT INTO signature (job, version, result, verdict, who, note, sha256, signed_s)"
                        " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                        "iiissssi", (long long)job, (long long)signing->version, result, signing->verdict, signing->who,
                        signing->note, sha256, cw_book__time(signing->time_s));
}

static cw_status check_signing(const cw_book_signing *signing, cw_error *error)
{
    const bool open = strcmp(signing->verdict, "open") == 0;
    cw_status status = cw_book__check_text(signing->who, 200, "The name of who signs", true, error);

    if (status == CW_OK && !open && strcmp(signing->verdict, "pass") != 0)
        return cw_refuse(error, NULL, NULL,
                         "The proof says %.20s, and that is not signed. Find the cause, mend it, and prove again.",
                         signing->verdict);
    if (status == CW_OK && open && (signing->note == NULL || signing->note[0] == '\0'))
        return cw_refuse(error, NULL, NULL,
                         "The proof is still open. Take the readings that are missing, or write why the coil goes out "
                         "without them: that stands beside the name.");
    if (status == CW_OK)
        status = cw_book__check_text(signing->note, 2000, "The note", false, error);
    return status == CW_OK ? cw_book__check_text(signing->proof, CW_BOOK__TEXT_MOST, "The proof", true, error) : status;
}

/* The latest version, which must be the one that was proved. */
static cw_status signed_version(cw_book *book, cw_book_id job, int wanted, int *version, cw_error *error)
{
    long long latest = 0;
    cw_status status = cw_book__need_job(book, job, error);

    if (status == CW_OK)
        status = cw_book__number(book, 0, &latest, error, "SELECT max(number) FROM version WHERE job = ?", "i",
                                 (long long)job);
    if (status == CW_OK && wanted != 0 && wanted != latest)
        return cw_refuse(error, &(cw_place){ .file = book->path }, NULL,
                         "Version %d of job %lld was proved, and the book has version %lld by now. Prove that one.",
                         wanted, job, latest);
    *version = (int)latest;
    return status;
}

static cw_status sign(cw_book *book, cw_book_id job, const cw_book_signing *signing, cw_error *error)
{
    cw_book_signing made = *signing;
    cw_text yaml = { 0 };
    char sha256[65];
    long long result = 0;
    cw_status status = signed_version(book, job, signing->version, &made.version, error);

    if (status == CW_OK)
        status = cw_book_version_text(book, job, made.version, &yaml, error);
    if (status == CW_OK && !cw_book__signature_sum(yaml.data, signing->proof, sha256))
        status = cw_no_memory(error);
    if (status == CW_OK)
        status = cw_book__result_put(book, job, made.version, "prove", signing->proof, signing->time_s, &result, error);
    if (status == CW_OK)
        status = cw_book__signature_put(book, job, result, &made, sha256, error);
    if (status == CW_OK && strcmp(signing->verdict, "pass") == 0)
        status = cw_book_job_set_state(book, job, CW_JOB_PROVED, error);
    cw_text_clear(&yaml);
    return status;
}

cw_status cw_book_sign(cw_book *book, cw_book_id job, const cw_book_signing *signing, cw_error *error)
{
    cw_status status = check_signing(signing, error);

    if (status == CW_OK)
        status = cw_book__begin(book, error);
    if (status != CW_OK)
        return status;
    status = sign(book, job, signing, error);
    return cw_book__end(book, status, saving, error);
}

cw_status cw_book__check_signatures(cw_book *book, size_t *wrong, cw_errors *errors)
{
    cw_error error;
    sqlite3_stmt *statement =
        cw_book__ask(book, &error,
                     "SELECT s.job, s.version, s.who, s.sha256, v.yaml, r.json FROM signature s"
                     " JOIN result r ON r.id = s.result JOIN version v ON v.job = s.job AND v.number = s.version", "");
    bool row = true;
    cw_status status = CW_OK;

    while (row && (status = cw_book__step(book, statement, &row, &error)) == CW_OK && row) {
        char found[65];

        if (!cw_book__signature_sum((const char *)sqlite3_column_text(statement, 4),
                                    (const char *)sqlite3_column_text(statement, 5), found)) {
            status = cw_no_memory(&error);
            break;
        }
        if (strcmp(found, (const char *)sqlite3_column_text(statement, 3)) == 0)
            continue;
        ++*wrong;
        cw_refuse(&error, &(cw_place){ .file = book->path }, NULL,
                  "Job %lld, version %d: inputs or proof are not those that %.100s signed.",
                  (long long)sqlite3_column_int64(statement, 0), sqlite3_column_int(statement, 1),
                  (const char *)sqlite3_column_text(statement, 2));
        cw_errors_add(errors, &error);
    }
    if (status != CW_OK)
        cw_errors_add(errors, &error);
    sqlite3_finalize(statement);
    return status;
}
