/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright book: finding, showing, taking out, comparing. */
#include "cli/book.h"
#include "cli/job.h"

#include "book/book_json.h"
#include "coilwright/files.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* How far from a bare number a find still looks: the spread of meters and calipers between two shops. */
static const double resistance_share = 0.05, length_share = 0.025, turns_share = 0.05;

/* ---- what is asked for ----------------------------------------------------------------------------------------- */

static void around(double value, double share, double range[2])
{
    range[0] = value * (1 - share);
    range[1] = value * (1 + share);
}

static int parse_end(const cli_call *call, const char *option, cw_kind kind, const char *text, size_t length,
                     cw_quantity *quantity, double *at_c)
{
    cw_error error;
    const cw_status status = cw_quantity_parse_at(kind, text, length, NULL, quantity, at_c, &error);

    if (status == CW_OK)
        return 0;
    snprintf(error.file, sizeof error.file, "--%s", option);
    return cli_report(call, status, &error);
}

/* "84 ohm", "84 ohm ± 1 %", "84 ohm at 24 °C", "80 ohm to 90 ohm"; left alone where it was not given. */
static int read_range(const cli_call *call, const char *option, cw_kind kind, double share, double range[2])
{
    const char *text = cli_value(call, option), *to = text != NULL ? strstr(text, " to ") : NULL;
    const size_t length = text == NULL ? 0 : to != NULL ? (size_t)(to - text) : strlen(text);
    cw_quantity first, last;
    double at_c = NAN, last_at_c = NAN;
    int exit;

    if (text == NULL)
        return 0;
    exit = parse_end(call, option, kind, text, length, &first, &at_c);
    if (exit == 0 && to != NULL)
        exit = parse_end(call, option, kind, to + 4, strlen(to + 4), &last, &last_at_c);
    if (exit != 0)
        return exit;
    if (kind == CW_RESISTANCE && !isnan(at_c))
        first.value /= 1 + 0.00393 * (at_c - 20); /* copper, IEC 60028 */
    if (kind == CW_RESISTANCE && to != NULL && !isnan(last_at_c))
        last.value /= 1 + 0.00393 * (last_at_c - 20);
    if (to != NULL && last.value < first.value)
        return cli_refuse(call, "--%s goes from the smaller to the greater, as in 80 ohm to 90 ohm.", option);
    if (to != NULL) {
        range[0] = first.value;
        range[1] = last.value;
    } else if (first.doubt_given) {
        range[0] = first.value - first.doubt;
        range[1] = first.value + first.doubt;
    } else {
        around(first.value, share, range);
    }
    return 0;
}

/* Looks for coils like that of a job file. */
static int read_like(const cli_call *call, cw_book_query *query)
{
    cw_book_keys keys;
    cw_work *work;
    const int exit = cli_open(call, cli_value(call, "like"), &work);

    if (exit != 0)
        return exit;
    cw_work_book_keys(work, &keys);
    cw_work_close(&work);
    if (!isnan(keys.inner_m[0]))
        around(keys.inner_m[0], length_share, query->inner_m);
    if (!isnan(keys.length_m))
        around(keys.length_m, length_share, query->length_m);
    if (!isnan(keys.resistance_20c_ohm))
        around(keys.resistance_20c_ohm, resistance_share, query->resistance_20c_ohm);
    if (isnan(keys.inner_m[0]) && isnan(keys.resistance_20c_ohm))
        return cli_refuse(call, "%s has neither a window nor a resistance to look for.", cli_value(call, "like"));
    return 0;
}

static int read_wire(const cli_call *call, cw_book_query *query, char *name, size_t size)
{
    const char *text = cli_value(call, "wire");
    cw_wire_catalogue *catalogue = NULL;
    const cw_wire_size *found;
    cw_error error;
    cw_status status;

    if (text == NULL)
        return 0;
    status = cw_wire_catalogue_create(&catalogue, &error);
    if (status == CW_OK)
        status = cw_wire_size_parse(catalogue, text, strlen(text), NULL, &found, &error);
    if (status == CW_OK) {
        snprintf(name, size, "%s", found->name);
        query->wire = name;
    }
    cw_wire_catalogue_destroy(&catalogue);
    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

static int read_state_and_most(const cli_call *call, cw_book_query *query)
{
    const char *word = cli_value(call, "state"), *most = cli_value(call, "most");
    cw_book_state state;
    long long number = 0;
    int exit = 0;

    if (word != NULL && !cw_book_state_find(word, &state))
        return cli_refuse(call, "\"%s\" is no state of a job; those are open, wound, proved and failed.", word);
    if (word != NULL)
        query->state = (int)state;
    if (most != NULL)
        exit = cli_book_number(call, most, "a number of jobs", &number);
    if (exit == 0 && number > 100000)
        exit = cli_refuse(call, "--most is at most 100000.");
    query->most = (size_t)number;
    return exit;
}

static int show_hits(const cli_call *call, const cw_book_query *query)
{
    cw_unit_system units;
    cw_book *book = NULL;
    cw_book_hits *hits = NULL;
    cw_text text = { 0 };
    cw_error error;
    cw_status status;
    int exit = cli_book_units(call, &units);

    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_READ, &book);
    if (exit == 0) {
        status = cw_book_find(book, query, &hits, &error);
        if (status == CW_OK)
            cw_book_write_hits(hits, units, &text);
        exit = cli_show(call, status, &error, status == CW_OK && call->json ? cw_book_hits_json(hits) : NULL, &text,
                        status == CW_OK && hits->count > 0 ? CLI_YES : CLI_NO);
    }
    cw_book_hits_destroy(&hits);
    cw_book_close(&book);
    return exit;
}

int cli_book_list(const cli_call *call)
{
    cw_book_query query;
    int exit;

    cw_book_query_clear(&query);
    exit = read_state_and_most(call, &query);
    return exit == 0 ? show_hits(call, &query) : exit;
}

int cli_book_find(const cli_call *call)
{
    cw_book_query query;
    char wire[32];
    int exit;

    cw_book_query_clear(&query);
    query.machine = cli_value(call, "machine");
    query.text = call->argument_count > 0 ? call->argument[0] : NULL;
    exit = cli_given(call, "like") ? read_like(call, &query) : 0;
    if (exit == 0)
        exit = read_wire(call, &query, wire, sizeof wire);
    if (exit == 0)
        exit = read_range(call, "inner", CW_LENGTH, length_share, query.inner_m);
    if (exit == 0)
        exit = read_range(call, "length", CW_LENGTH, length_share, query.length_m);
    if (exit == 0)
        exit = read_range(call, "depth", CW_LENGTH, length_share, query.depth_m);
    if (exit == 0)
        exit = read_range(call, "resistance", CW_RESISTANCE, resistance_share, query.resistance_20c_ohm);
    if (exit == 0)
        exit = read_range(call, "turns", CW_COUNT, turns_share, query.turns);
    if (exit == 0)
        exit = read_state_and_most(call, &query);
    return exit == 0 ? show_hits(call, &query) : exit;
}

/* ---- one job --------------------------------------------------------------------------------------------------- */

/* Below the job, where it began from another: what is different by now. */
static cw_status add_differences(cw_book *book, const cw_book_job *job, cw_text *text, cw_error *error)
{
    cw_text before = { 0 }, differences = { 0 };
    cw_status status = cw_book_version_text(book, job->based_on, 0, &before, error);

    if (status == CW_OK)
        status = cw_book_differences(before.data, job->yaml, &differences, error);
    if (status == CW_OK && differences.length == 0)
        cw_text_print(text, "\nIts job file is that of job %lld to the letter.\n", job->based_on);
    else if (status == CW_OK)
        cw_text_print(text, "\nIts job file against that of job %lld:\n%s", job->based_on, differences.data);
    cw_text_clear(&before);
    cw_text_clear(&differences);
    return status;
}

int cli_book_show(const cli_call *call)
{
    cw_unit_system units;
    cw_book *book = NULL;
    cw_book_id id;
    cw_book_job *job = NULL;
    cw_text text = { 0 };
    cw_error error;
    cw_status status;
    int exit = cli_book_number(call, call->argument[0], "a job", &id);

    if (exit == 0)
        exit = cli_book_units(call, &units);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_READ, &book);
    if (exit == 0) {
        status = cw_book_job_open(book, id, &job, &error);
        if (status == CW_OK)
            cw_book_write_job(job, units, &text);
        if (status == CW_OK && job->based_on != 0 && !call->json)
            status = add_differences(book, job, &text, &error);
        exit = cli_show(call, status, &error, status == CW_OK && call->json ? cw_book_job_json(job) : NULL, &text,
                        CLI_YES);
    }
    cw_book_job_destroy(&job);
    cw_book_close(&book);
    return exit;
}

int cli_book_take(const cli_call *call)
{
    const char *path = cli_value(call, "o");
    cw_book *book = NULL;
    cw_book_id id;
    int version, exit = cli_book_which(call, call->argument[0], &id, &version);
    cw_text yaml = { 0 };
    cw_error error;
    cw_status status;

    if (exit == 0 && path != NULL && access(path, F_OK) == 0)
        exit = cli_refuse(call, "%s is there already; give another name, so that nothing is lost.", path);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_READ, &book);
    if (exit == 0) {
        status = cw_book_version_text(book, id, version, &yaml, &error);
        if (status == CW_OK && path != NULL)
            status = cw_file_write(path, yaml.data, yaml.length, &error);
        if (status != CW_OK)
            exit = cli_report(call, status, &error);
        else if (path != NULL)
            exit = cli_book_say(call, CW_OK, NULL, json_pack("{s:s}", "file", path), "%s is written.", path);
        else
            exit = call->json ? cli_write_json(call, json_pack("{s:s}", "text", yaml.data), CLI_YES)
                              : cli_write_text(call, &yaml, CLI_YES);
    }
    cw_text_clear(&yaml);
    cw_book_close(&book);
    return exit;
}

int cli_book_result(const cli_call *call)
{
    cw_book *book = NULL;
    cw_book_id id;
    int version, exit = cli_book_which(call, call->argument[0], &id, &version);
    cw_text text = { 0 };
    cw_error error;
    cw_status status;

    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_READ, &book);
    if (exit == 0) {
        status = cw_book_result_text(book, id, version, call->argument[1], &text, &error);
        exit = status == CW_OK ? cli_write_json(call, json_loadb(text.data, text.length, 0, NULL), CLI_YES)
                               : cli_report(call, status, &error);
    }
    cw_text_clear(&text);
    cw_book_close(&book);
    return exit;
}

/* ---- two jobs -------------------------------------------------------------------------------------------------- */

/* What of the results two coils are compared by. */
static const struct figure {
    const char *verb, *key, *label;
    cw_kind kind;
    bool word;
} figures[] = {
    { "lay", "turns", "turns", CW_COUNT, false },
    { "lay", "resistance_20c_ohm", "resistance at 20 °C", CW_RESISTANCE, false },
    { "lay", "wire_length_m", "wire", CW_LENGTH, false },
    { "lay", "mass_kg", "mass of wire", CW_MASS, false },
    { "lay", "depth_m", "depth", CW_LENGTH, false },
    { "field", "force_n", "pull, warm", CW_FORCE, false },
    { "heat", "hot_spot_c", "hot spot", CW_TEMPERATURE, false },
    { "prove", "verdict", "proof", CW_COUNT, true },
};

typedef struct side {
    cw_book_id job;
    int version;
} side;

/* A figure of a side as a text; "-" where it was not computed. */
static void figure_of(cw_book *book, const side *side, const struct figure *figure, cw_unit_system units, char *cell,
                      size_t size)
{
    cw_text text = { 0 };
    json_t *document = NULL;
    const json_t *value;

    snprintf(cell, size, "-");
    if (cw_book_result_text(book, side->job, side->version, figure->verb, &text, NULL) == CW_OK)
        document = json_loadb(text.data, text.length, 0, NULL);
    value = json_object_get(document, figure->key);
    if (figure->word && json_is_string(value))
        snprintf(cell, size, "%s", json_string_value(value));
    else if (json_is_number(value) && figure->kind == CW_COUNT)
        snprintf(cell, size, "%.6g", json_number_value(value));
    else if (json_is_number(value))
        cw_quantity_format(figure->kind, json_number_value(value), units, 4, cell, size);
    json_decref(document);
    cw_text_clear(&text);
}

static int width(const char *text)
{
    int count = 0;

    for (; *text != '\0'; text++)
        count += ((unsigned char)*text & 0xC0) != 0x80;
    return count;
}

static void add_cell(cw_text *text, const char *cell, int wide)
{
    cw_text_print(text, "%s%*s", cell, width(cell) < wide ? wide - width(cell) : 1, "");
}

/* Rows of (what, before, after), as text and as a list of objects. */
static json_t *compare_figures(cw_book *book, const side *before, const side *after, cw_unit_system units, cw_text *text)
{
    json_t *list = json_array();

    for (size_t i = 0; i < sizeof figures / sizeof figures[0]; i++) {
        char first[64], second[64];

        figure_of(book, before, &figures[i], units, first, sizeof first);
        figure_of(book, after, &figures[i], units, second, sizeof second);
        if (strcmp(first, "-") == 0 && strcmp(second, "-") == 0)
            continue;
        cw_text_add(text, "  ");
        add_cell(text, figures[i].label, 21);
        add_cell(text, first, 16);
        if (strcmp(first, second) != 0) {
            add_cell(text, second, 16);
            cw_text_add(text, "<\n");
        } else {
            cw_text_print(text, "%s\n", second);
        }
        json_array_append_new(list, json_pack("{s:s, s:s, s:s, s:b}", "what", figures[i].label, "before", first, "after",
                                              second, "same", strcmp(first, second) == 0));
    }
    return list;
}

static cw_status basis_of(cw_book *book, cw_book_id id, cw_book_id *basis, cw_error *error)
{
    cw_book_job *job = NULL;
    cw_status status = cw_book_job_open(book, id, &job, error);

    if (status == CW_OK && job->based_on == 0)
        status = cw_refuse(error, NULL, NULL, "Job %lld did not start from another. Name the job to hold it against.",
                           id);
    if (status == CW_OK)
        *basis = job->based_on;
    cw_book_job_destroy(&job);
    return status;
}

static int write_comparison(const cli_call *call, cw_book *book, const side *before, const side *after,
                            cw_unit_system units)
{
    cw_text first = { 0 }, second = { 0 }, lines = { 0 }, text = { 0 };
    json_t *document = NULL;
    cw_error error;
    cw_status status = cw_book_version_text(book, before->job, before->version, &first, &error);

    if (status == CW_OK)
        status = cw_book_version_text(book, after->job, after->version, &second, &error);
    if (status == CW_OK)
        status = cw_book_differences(first.data, second.data, &lines, &error);
    if (status == CW_OK) {
        char from[40], to[40];
        json_t *list;

        snprintf(from, sizeof from, "job %lld", before->job);
        snprintf(to, sizeof to, "job %lld", after->job);
        add_cell(&text, "", 23);
        add_cell(&text, from, 16);
        cw_text_print(&text, "%s\n", to);
        list = compare_figures(book, before, after, units, &text);
        cw_text_print(&text, "\n%s", lines.length > 0 ? lines.data : "The job files are alike to the letter.\n");
        document = json_pack("{s:o, s:s}", "figures", list, "differences", lines.length > 0 ? lines.data : "");
    }
    cw_text_clear(&first);
    cw_text_clear(&second);
    cw_text_clear(&lines);
    if (!call->json) {
        json_decref(document);
        document = NULL;
    }
    return cli_show(call, status, &error, document, &text, CLI_YES);
}

int cli_book_compare(const cli_call *call)
{
    side before = { 0 }, after = { 0 };
    cw_unit_system units;
    cw_book *book = NULL;
    cw_error error;
    int exit = cli_book_which(call, call->argument[0], &after.job, &after.version);

    if (exit == 0 && call->argument_count > 1)
        exit = cli_book_which(call, call->argument[1], &before.job, &before.version);
    if (exit == 0)
        exit = cli_book_units(call, &units);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_READ, &book);
    if (exit == 0 && before.job == 0) {
        const cw_status status = basis_of(book, after.job, &before.job, &error);

        exit = status == CW_OK ? 0 : cli_report(call, status, &error);
    }
    if (exit == 0)
        exit = write_comparison(call, book, &before, &after, units);
    cw_book_close(&book);
    return exit;
}
