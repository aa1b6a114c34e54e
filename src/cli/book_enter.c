/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright book: a job enters, a second one starts from it, a proof is signed. */
#include "cli/book.h"
#include "cli/job.h"

#include "coilwright/files.h"
#include "work/proof_document.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* ---- enter ----------------------------------------------------------------------------------------------------- */

/* A job of the same machine, coil and name, which this one is most likely another version of; 0 none. */
static cw_status same_job(cw_book *book, const cw_book_entry *entry, cw_book_id *found, cw_error *error)
{
    const char *coil = entry->coil != NULL ? entry->coil : "coil";
    const char *name = entry->name != NULL ? entry->name : entry->machine;
    cw_book_query query;
    cw_book_hits *hits = NULL;
    cw_status status;

    cw_book_query_clear(&query);
    query.machine = entry->machine;
    query.text = name;
    status = cw_book_find(book, &query, &hits, error);
    *found = 0;
    for (size_t i = 0; status == CW_OK && i < hits->count && *found == 0; i++)
        if (strcmp(hits->items[i].machine, entry->machine) == 0 && strcmp(hits->items[i].coil, coil) == 0 &&
            strcmp(hits->items[i].name, name) == 0)
            *found = hits->items[i].job;
    cw_book_hits_destroy(&hits);
    return status;
}

static cw_status refuse_same(const cli_call *call, cw_book *book, const cw_book_entry *entry, cw_error *error)
{
    cw_book_id same;
    const cw_status status = same_job(book, entry, &same, error);

    if (status != CW_OK || same == 0 || cli_given(call, "new"))
        return status;
    return cw_refuse(error, NULL, NULL,
                     "Job %lld is of the same machine, coil and name. If this is its next version: --job %lld. If it is "
                     "another coil: --coil NAME, or --new.", same, same);
}

typedef struct entering {
    cw_work *work;
    char *text;
    cw_book_id job;
    int version_before; /* that the user began from; 0 not said */
    int version;
    long long time_s;
} entering;

static cw_status enter(const cli_call *call, cw_book *book, entering *entering, cw_error *error)
{
    const cw_job *job = cw_work_job(entering->work);
    const cw_book_entry entry = {
        .name = job->name, .machine = cli_given(call, "machine") ? cli_value(call, "machine") : job->machine_name,
        .coil = cli_value(call, "coil"), .note = job->note, .yaml = entering->text, .time_s = entering->time_s,
    };
    cw_status status = CW_OK;

    if (entering->job == 0 && (entry.machine == NULL || entry.machine[0] == '\0'))
        return cw_refuse(error, NULL, NULL, "The job does not say of which machine the coil is. Write it into the job, "
                         "job: {machine: ...}, or give --machine.");
    if (entering->job == 0)
        status = refuse_same(call, book, &entry, error);
    if (status != CW_OK)
        return status;
    return cw_work_enter(entering->work, book, &entry, !cli_given(call, "without-results"), entering->version_before,
                         &entering->job, &entering->version, error);
}

static json_t *entered_document(const entering *entering)
{
    return json_pack("{s:I, s:i}", "job", (json_int_t)entering->job, "version", entering->version);
}

int cli_book_enter(const cli_call *call)
{
    const char *job_word = cli_value(call, "job");
    entering entering = { 0 };
    cw_book *book = NULL;
    size_t length;
    cw_error error;
    int exit = cli_book_date(call, &entering.time_s);

    if (exit == 0 && job_word != NULL)
        exit = cli_book_which(call, job_word, &entering.job, &entering.version_before);
    if (exit == 0)
        exit = cli_open_text(call, call->argument[0], &entering.text, &length, &entering.work);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_WRITE, &book);
    if (exit == 0) {
        const cw_status status = enter(call, book, &entering, &error);

        exit = cli_book_say(call, status, &error, entered_document(&entering), "%s is in the book: job %lld, version %d.",
                            call->argument[0], entering.job, entering.version);
    }
    cw_book_close(&book);
    cw_work_close(&entering.work);
    cw_free(entering.text);
    return exit;
}

/* ---- again ----------------------------------------------------------------------------------------------------- */

/* Readings of the first coil itself stand in the second job until somebody looks at them. */
static void tell_of_readings(const cli_call *call, const cw_job *job)
{
    int of_this = 0;

    for (size_t i = 0; i < job->reading_count; i++)
        of_this += job->readings[i].subject == CW_OF_THIS;
    if (of_this > 0)
        cli_tell(call, "%d reading%s in it %s of the first coil itself: take the second one's own, or make them \"of: "
                 "sibling\".", of_this, of_this == 1 ? "" : "s", of_this == 1 ? "is" : "are");
}

/* The text of the second job and what it is; 0 or the exit status. */
static int begin_again(const cli_call *call, const cw_book_job *first, cw_text *text, cw_work **work)
{
    const char *name = cli_value(call, "name"), *machine = cli_value(call, "machine");
    cw_error error;
    const cw_status status =
        cw_job_text_again(first->yaml, strlen(first->yaml), "the job in the book", name, machine, text, &error);

    if (status != CW_OK)
        return cli_report(call, status, &error);
    return cli_open_given(call, text->data, text->length, "the job in the book", work);
}

static cw_status put_second(const cli_call *call, cw_book *book, const cw_book_job *first, const cw_text *text,
                            cw_work *work, long long time_s, cw_book_id *second, cw_error *error)
{
    const char *path = cli_value(call, "o"), *machine = cli_value(call, "machine"), *coil = cli_value(call, "coil");
    const cw_book_entry entry = {
        .name = cw_work_job(work)->name, .machine = machine != NULL ? machine : first->machine,
        .coil = coil != NULL ? coil : first->coil, .yaml = text->data, .based_on = first->id, .time_s = time_s,
    };
    cw_status status = CW_OK;
    int version;

    if (path != NULL)
        status = cw_file_write(path, text->data, text->length, error);
    if (status == CW_OK && (status = cw_work_enter(work, book, &entry, true, 0, second, &version, error)) != CW_OK &&
        path != NULL)
        unlink(path); /* it was not there before */
    return status;
}

static int say_second(const cli_call *call, const cw_book_job *first, const cw_text *text, cw_book_id second)
{
    cw_text differences = { 0 };
    cw_error error;
    const cw_status status = cw_book_differences(first->yaml, text->data, &differences, &error);
    const char *lines = differences.length > 0 ? differences.data : "";
    int exit;

    exit = cli_book_say(call, status, &error,
                        json_pack("{s:I, s:I, s:s}", "job", (json_int_t)second, "based_on", (json_int_t)first->id,
                                  "differences", lines),
                        "Job %lld starts from job %lld.%s", second, first->id,
                        lines[0] == '\0' ? " Its job file is the same to the letter."
                                          : " Its job file against the first's:");
    if (exit == 0 && !call->json && lines[0] != '\0')
        exit = cli_write_text(call, &differences, CLI_YES);
    cw_text_clear(&differences);
    return exit;
}

int cli_book_again(const cli_call *call)
{
    const char *path = cli_value(call, "o");
    cw_book *book = NULL;
    cw_book_job *first = NULL;
    cw_book_id id, second = 0;
    cw_work *work = NULL;
    cw_text text = { 0 };
    long long time_s;
    cw_error error;
    cw_status status = CW_OK;
    int exit = cli_book_number(call, call->argument[0], "a job", &id);

    if (exit == 0)
        exit = cli_book_date(call, &time_s);
    if (exit == 0 && !cli_given(call, "machine") && !cli_given(call, "coil") && !cli_given(call, "name"))
        exit = cli_refuse(call, "A second job differs in something from the first: give --machine, --coil or --name.");
    if (exit == 0 && path != NULL && access(path, F_OK) == 0)
        exit = cli_refuse(call, "%s is there already; give another name, so that nothing is lost.", path);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_WRITE, &book);
    if (exit == 0) {
        status = cw_book_job_open(book, id, &first, &error);
        exit = status == CW_OK ? begin_again(call, first, &text, &work) : cli_report(call, status, &error);
    }
    if (exit == 0) {
        status = put_second(call, book, first, &text, work, time_s, &second, &error);
        exit = status == CW_OK ? say_second(call, first, &text, second) : cli_report(call, status, &error);
    }
    if (exit == 0)
        tell_of_readings(call, cw_work_job(work));
    cw_text_clear(&text);
    cw_work_close(&work);
    cw_book_job_destroy(&first);
    cw_book_close(&book);
    return exit;
}

/* ---- sign ------------------------------------------------------------------------------------------------------ */

/* Why it cannot be signed: the tests that failed, or that are open. */
static int refuse_to_sign(const cli_call *call, cw_work *work, const cw_proof *proof)
{
    cw_text text = { 0 };
    int exit;

    if (call->json)
        return cli_write_json(call, cw_work_proof_json(work, proof), CLI_NO);
    cw_text_print(&text, proof->verdict == CW_FAIL
                             ? "The proof has failed, and that is not signed. Find the cause, mend it, prove again.\n"
                             : "The proof is still open. Take the readings that are missing; or sign with --although "
                               "REASON, which then stands beside the name.\n");
    for (size_t i = 0; i < proof->test_count; i++)
        if (proof->tests[i].verdict == proof->verdict)
            cw_text_print(&text, "  %s: %s\n", cw_proof_name(proof->tests[i].test), proof->tests[i].remark);
    exit = cli_write_text(call, &text, CLI_NO);
    cw_text_clear(&text);
    return exit;
}

static int sign(const cli_call *call, cw_book *book, cw_book_id job, cw_work *work, cw_work_signing *signing)
{
    const cw_proof *proof;
    const cw_hold *hold = NULL;
    cw_text text = { 0 };
    cw_error error;
    cw_status status = cw_work_prove(work, &proof, &error);
    int exit;

    if (status == CW_OK && cw_work_hold(work, &hold, NULL) == CW_OK && hold != NULL && hold->verdict == CW_FAIL) {
        cw_hold_write(hold, cw_work_job(work)->units, &text);
        exit = call->json ? cli_write_json(call, cw_work_proof_json(work, proof), CLI_NO)
                          : cli_write_text(call, &text, CLI_NO);
        cw_text_clear(&text);
        return exit;
    }
    if (status == CW_OK && (proof->verdict == CW_FAIL || (proof->verdict == CW_OPEN && signing->note == NULL)))
        return refuse_to_sign(call, work, proof);
    if (status == CW_OK)
        status = cw_work_sign(work, book, job, signing, &error);
    return cli_book_say(call, status, &error,
                        status == CW_OK ? json_pack("{s:I, s:i, s:s, s:s}", "job", (json_int_t)job, "version",
                                                    signing->version, "verdict", cw_verdict_name(proof->verdict), "who",
                                                    signing->who)
                                        : NULL,
                        "Job %lld, version %d: proof %s, signed by %s.", job, signing->version,
                        status == CW_OK ? cw_verdict_name(proof->verdict) : "", signing->who);
}

int cli_book_sign(const cli_call *call)
{
    cw_work_signing signing = { .who = cli_value(call, "by"), .note = cli_value(call, "although") };
    cw_book *book = NULL;
    cw_book_id id;
    cw_book_job *job = NULL;
    cw_work *work = NULL;
    cw_error error;
    int exit = signing.who == NULL || signing.who[0] == '\0' ? cli_refuse(call, "book sign wants --by NAME.") : 0;

    if (exit == 0)
        exit = cli_book_number(call, call->argument[0], "a job", &id);
    if (exit == 0)
        exit = cli_book_date(call, &signing.time_s);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_WRITE, &book);
    if (exit == 0) {
        const cw_status status = cw_book_job_open(book, id, &job, &error);

        exit = status == CW_OK ? cli_open_given(call, job->yaml, strlen(job->yaml), "the job in the book", &work)
                               : cli_report(call, status, &error);
    }
    if (exit == 0) {
        signing.version = job->versions[job->version_count - 1].number;
        exit = sign(call, book, id, work, &signing);
    }
    cw_work_close(&work);
    cw_book_job_destroy(&job);
    cw_book_close(&book);
    return exit;
}
