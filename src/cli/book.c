/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright book: what its actions share, and the small ones. */
#include "cli/book.h"

#include "book/book_json.h"
#include "coilwright/files.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A book that can be written is opened so also to be read: one of an earlier layout is then brought up to date. */
int cli_book_open(const cli_call *call, cw_book_mode mode, cw_book **book)
{
    const char *path = cli_value(call, "book");
    char *usual = NULL;
    cw_error error;
    cw_status status = CW_OK;

    *book = NULL;
    if (path == NULL) {
        status = cw_book_usual_path(mode == CW_BOOK_WRITE, &usual, &error);
        path = usual;
    }
    if (status == CW_OK && mode == CW_BOOK_READ && access(path, R_OK | W_OK) == 0)
        mode = CW_BOOK_WRITE;
    if (status == CW_OK)
        status = cw_book_open(path, mode, book, &error);
    cw_free(usual);
    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

int cli_book_number(const cli_call *call, const char *text, const char *what, long long *number)
{
    char *end;

    errno = 0;
    *number = strtoll(text, &end, 10);
    if (errno == 0 && end != text && *end == '\0' && *number > 0)
        return 0;
    return cli_refuse(call, "\"%s\" is not %s: those are numbered 1, 2, 3; \"coilwright book list\" shows them.", text,
                      what);
}

int cli_book_which(const cli_call *call, const char *text, cw_book_id *job, int *version)
{
    const char *colon = strchr(text, ':');
    char number[24];
    long long of_version = 0;
    int exit;

    snprintf(number, sizeof number, "%.*s", (int)strcspn(text, ":"), text);
    exit = cli_book_number(call, number, "a job", job);
    if (exit == 0 && colon != NULL)
        exit = cli_book_number(call, colon + 1, "a version", &of_version);
    if (exit == 0 && of_version > 1000000)
        exit = cli_refuse(call, "\"%s\" is not a version that any job has.", colon + 1);
    *version = (int)of_version;
    return exit;
}

int cli_book_amount(const cli_call *call, const char *text, const char *what, double *amount)
{
    cw_quantity quantity;
    cw_error error;

    if (cw_quantity_parse(CW_COUNT, text, strlen(text), NULL, &quantity, &error) != CW_OK)
        return cli_refuse(call, "\"%s\" is not %s. %s", text, what, error.text);
    *amount = quantity.value;
    return 0;
}

/* Days since 1970 of a date of the civil calendar, by counting from a 1st of March so that the leap day is last. */
static long long days_of(int year, int month, int day)
{
    const long long y = month > 2 ? year : year - 1;
    const long long m = month > 2 ? month - 3 : month + 9;

    return 365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1 - 719468;
}

static int days_in(int year, int month)
{
    static const int days[] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;

    return days[month - 1] + (month == 2 && leap);
}

int cli_book_date(const cli_call *call, long long *time_s)
{
    const char *text = cli_value(call, "date");
    int year, month, day, used = 0;

    *time_s = 0;
    if (text == NULL)
        return 0;
    if (strlen(text) != 10 || sscanf(text, "%4d-%2d-%2d%n", &year, &month, &day, &used) != 3 || used != 10 ||
        year < 1970 || month < 1 || month > 12 || day < 1 || day > days_in(year, month))
        return cli_refuse(call, "--date is a day as in 2031-05-17, not \"%s\".", text);
    *time_s = (days_of(year, month, day) * 24 + 12) * 3600;
    return 0;
}

int cli_book_units(const cli_call *call, cw_unit_system *units)
{
    const char *text = cli_value(call, "units");

    *units = CW_METRIC_UNITS;
    if (text != NULL && strcmp(text, "inch") != 0 && strcmp(text, "metric") != 0)
        return cli_refuse(call, "--units is metric or inch, not \"%s\".", text);
    if (text != NULL && text[0] == 'i')
        *units = CW_INCH_UNITS;
    return 0;
}

int cli_book_say(const cli_call *call, cw_status status, const cw_error *error, json_t *document, const char *format,
                 ...)
{
    char sentence[900];
    cw_text text = { 0 };
    va_list arguments;
    int exit;

    if (status != CW_OK) {
        json_decref(document);
        return cli_report(call, status, error);
    }
    if (call->json)
        return cli_write_json(call, document, CLI_YES);
    json_decref(document);
    va_start(arguments, format);
    vsnprintf(sentence, sizeof sentence, format, arguments);
    va_end(arguments);
    cw_text_print(&text, "%s\n", sentence);
    exit = cli_write_text(call, &text, CLI_YES);
    cw_text_clear(&text);
    return exit;
}

/* ---- one thing for one job ------------------------------------------------------------------------------------- */

/* The job of the first argument in a book that can be written, and the date. */
static int open_for_job(const cli_call *call, cw_book **book, cw_book_id *job, long long *time_s)
{
    int exit = cli_book_number(call, call->argument[0], "a job", job);

    *book = NULL;
    *time_s = 0;
    if (exit == 0)
        exit = cli_book_date(call, time_s);
    return exit == 0 ? cli_book_open(call, CW_BOOK_WRITE, book) : exit;
}

static json_t *job_document(cw_book_id job)
{
    return json_pack("{s:I}", "job", (json_int_t)job);
}

/* Of what kind a reading may be, by its unit; the SI unit it is kept in. */
static const struct { cw_kind kind; const char *unit; } reading_kinds[] = {
    { CW_RESISTANCE, "ohm" },  { CW_INDUCTANCE, "H" }, { CW_VOLTAGE, "V" },      { CW_CURRENT, "A" },
    { CW_FLUX_DENSITY, "T" },  { CW_FORCE, "N" },      { CW_TEMPERATURE, "°C" }, { CW_LENGTH, "m" },
    { CW_MASS, "kg" },         { CW_TIME, "s" },       { CW_POWER, "W" },        { CW_COUNT, "1" },
};

static int read_reading(const cli_call *call, const char *text, cw_book_reading *reading)
{
    cw_quantity quantity;

    for (size_t i = 0; i < sizeof reading_kinds / sizeof reading_kinds[0]; i++)
        if (cw_quantity_parse(reading_kinds[i].kind, text, strlen(text), NULL, &quantity, NULL) == CW_OK) {
            reading->value = quantity.value;
            reading->doubt = quantity.doubt_given ? quantity.doubt : NAN;
            reading->unit = reading_kinds[i].unit;
            return 0;
        }
    return cli_refuse(call, "\"%s\" cannot be read as a number with its unit, as in 84.2 ohm or 1850.", text);
}

int cli_book_reading(const cli_call *call)
{
    cw_book_reading reading = { .kind = call->argument[1], .at_c = NAN, .source = "typed", .note = cli_value(call, "note") };
    cw_quantity at;
    cw_book *book = NULL;
    cw_book_id job;
    cw_error error;
    int exit = read_reading(call, call->argument[2], &reading);

    if (exit == 0 && cli_given(call, "at") && (exit = cli_quantity(call, "at", CW_TEMPERATURE, &at, NULL)) == 0)
        reading.at_c = at.value;
    if (exit == 0)
        exit = open_for_job(call, &book, &job, &reading.time_s);
    if (exit == 0)
        exit = cli_book_say(call, cw_book_reading_add(book, job, &reading, &error), &error, job_document(job),
                            "Noted for job %lld: %s %s.", job, reading.kind, call->argument[2]);
    cw_book_close(&book);
    return exit;
}

int cli_book_photo(const cli_call *call)
{
    cw_book *book;
    cw_book_id job;
    long long time_s;
    cw_error error;
    int exit = open_for_job(call, &book, &job, &time_s);

    if (exit == 0) {
        const cw_status status =
            cw_book_photo_add(book, job, call->argument[1], cli_value(call, "caption"), time_s, &error);

        exit = cli_book_say(call, status, &error, job_document(job), "%s is in the book with job %lld.",
                            call->argument[1], job);
    }
    cw_book_close(&book);
    return exit;
}

int cli_book_cost(const cli_call *call)
{
    cw_book *book = NULL;
    cw_book_id job;
    long long time_s;
    double amount;
    cw_error error;
    int exit = cli_book_amount(call, call->argument[2], "an amount, as in 21.50", &amount);

    if (exit == 0)
        exit = open_for_job(call, &book, &job, &time_s);
    if (exit == 0) {
        const cw_status status =
            cw_book_cost_add(book, job, call->argument[1], amount, cli_value(call, "note"), time_s, &error);

        exit = cli_book_say(call, status, &error, job_document(job), "%.2f noted for job %lld: %s.", amount, job,
                            call->argument[1]);
    }
    cw_book_close(&book);
    return exit;
}

int cli_book_hours(const cli_call *call)
{
    cw_book *book = NULL;
    cw_book_id job;
    long long time_s;
    double hours;
    cw_error error;
    int exit = cli_book_amount(call, call->argument[1], "a number of hours, as in 1.5", &hours);

    if (exit == 0)
        exit = open_for_job(call, &book, &job, &time_s);
    if (exit == 0) {
        const cw_status status =
            cw_book_hours_add(book, job, hours, cli_value(call, "who"), cli_value(call, "what"), time_s, &error);

        exit = cli_book_say(call, status, &error, job_document(job), "%.4g hours noted for job %lld.", hours, job);
    }
    cw_book_close(&book);
    return exit;
}

int cli_book_note(const cli_call *call)
{
    cw_book *book;
    cw_book_id job;
    long long time_s;
    cw_error error;
    int exit = open_for_job(call, &book, &job, &time_s);

    if (exit == 0)
        exit = cli_book_say(call, cw_book_job_set_note(book, job, call->argument[1], &error), &error, job_document(job),
                            "The note of job %lld is written.", job);
    cw_book_close(&book);
    return exit;
}

/* "proved" is not a word to be put there by hand: a signature does. */
int cli_book_mark(const cli_call *call)
{
    cw_book *book = NULL;
    cw_book_id job;
    long long time_s;
    cw_book_state state;
    cw_error error;
    int exit = 0;

    if (!cw_book_state_find(call->argument[1], &state))
        exit = cli_refuse(call, "\"%s\" is no state of a job; those are open, wound and failed.", call->argument[1]);
    else if (state == CW_JOB_PROVED)
        exit = cli_refuse(call, "A job becomes proved by a signature: coilwright book sign %s --by NAME.",
                          call->argument[0]);
    if (exit == 0)
        exit = open_for_job(call, &book, &job, &time_s);
    if (exit == 0)
        exit = cli_book_say(call, cw_book_job_set_state(book, job, state, &error), &error, job_document(job),
                            "Job %lld is %s.", job, cw_book_state_name(state));
    cw_book_close(&book);
    return exit;
}

/* ---- the whole book -------------------------------------------------------------------------------------------- */

static int refuse_existing(const cli_call *call, const char *path)
{
    if (access(path, F_OK) != 0)
        return 0;
    return cli_refuse(call, "%s is there already; give another name, so that nothing is lost.", path);
}

int cli_book_export(const cli_call *call)
{
    const char *path = cli_value(call, "o");
    cw_book *book = NULL;
    cw_book_id job = 0;
    cw_error error;
    int exit = path == NULL ? cli_refuse(call, "book export wants -o FILE.zip.") : refuse_existing(call, path);

    if (exit == 0 && call->argument_count > 0)
        exit = cli_book_number(call, call->argument[0], "a job", &job);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_READ, &book);
    if (exit == 0)
        exit = cli_book_say(call, cw_book_export(book, job, path, &error), &error, json_pack("{s:s}", "file", path),
                            "%s is written.", path);
    cw_book_close(&book);
    return exit;
}

int cli_book_import(const cli_call *call)
{
    cw_book_imported imported = { 0 };
    cw_book *book;
    cw_error error;
    int exit = cli_book_open(call, CW_BOOK_WRITE, &book);

    if (exit == 0) {
        const cw_status status = cw_book_import(book, call->argument[0], &imported, &error);

        exit = cli_book_say(call, status, &error, cw_book_imported_json(&imported),
                            "Taken in: %zu jobs, %zu spools, %zu photos. Known already and left alone: %zu.",
                            imported.jobs, imported.spools, imported.photos, imported.known);
    }
    cw_book_close(&book);
    return exit;
}

int cli_book_backup(const cli_call *call)
{
    const char *path = call->argument[0];
    cw_book *book;
    cw_error error;
    int exit = cli_book_open(call, CW_BOOK_READ, &book);

    if (exit == 0)
        exit = cli_book_say(call, cw_book_backup(book, path, &error), &error, json_pack("{s:s}", "file", path),
                            "The whole book is in %s, pictures in %s.photos.", path, path);
    cw_book_close(&book);
    return exit;
}

int cli_book_check(const cli_call *call)
{
    cw_errors errors = { 0 };
    cw_book *book;
    int exit = cli_book_open(call, CW_BOOK_READ, &book);

    if (exit == 0) {
        const cw_status status = cw_book_check(book, &errors);

        if (status != CW_OK && errors.count > 0)
            exit = cli_report_all(call, status, &errors);
        else if (status != CW_OK)
            exit = cli_refuse(call, "The book could not be checked for want of memory.");
        else
            exit = cli_book_say(call, CW_OK, NULL, json_pack("{s:b}", "ok", 1),
                                "The book is sound: its file, all that refers to something, and every picture.");
    }
    cw_errors_clear(&errors);
    cw_book_close(&book);
    return exit;
}
