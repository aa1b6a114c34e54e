/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright read: a resistance from a bench meter, with its temperature, into a job file or the book. */
#include "cli/book.h"
#include "cli/job.h"

#include "coilwright/files.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

/* What the call asks for. Times and ohms are SI, NAN where they were not given. */
typedef struct wish {
    const char *section, *kind;  /* "readings", "coil-resistance"; or "proof" and the test's name */
    cw_measure_plan plan;
    double at_c;                 /* typed; NAN: by the thermometer, or not known */
    bool temperature_unknown;
    double every_s, for_s;       /* a series while the winding cools; NAN: one reading */
    double since_s;              /* from switch-off to the call */
    cw_book_id job;
} wish;

typedef struct meter {
    cw_instrument *ohms, *thermometer; /* the second may be the first */
    cw_instrument_identity identity;
} meter;

typedef struct taken {
    cw_measured ohms;
    double at_c;
    double time_s;               /* since switch-off, of a series */
    long long taken_s;
} taken;

/* ---- the call -------------------------------------------------------------------------------------------------- */

static int read_option(const cli_call *call, const char *option, cw_kind kind, double *value)
{
    cw_quantity quantity;
    int exit;

    if (!cli_given(call, option))
        return 0;
    exit = cli_quantity(call, option, kind, &quantity, NULL);
    if (exit == 0)
        *value = quantity.value;
    return exit;
}

static int read_kind(const cli_call *call, wish *wish)
{
    const char *test = cli_value(call, "test"), *as = cli_value(call, "as");

    if (test != NULL && as != NULL)
        return cli_refuse(call, "Give --as for what was measured of the old coil, or --test for a test of the new one.");
    if (test != NULL && !cw_proof_find(test, strlen(test), &(cw_proof_kind){ 0 }))
        return cli_refuse(call, "\"%s\" is no test; \"coilwright prove\" lists a coil's tests by their names.", test);
    wish->section = test != NULL ? "proof" : "readings";
    wish->kind = test != NULL ? test : as != NULL ? as : "coil-resistance";
    return 0;
}

/* A heat run tells the winding's temperature itself, and a bond has a limit that does not go with it. */
static bool hangs_on_temperature(const char *kind)
{
    return strcmp(kind, "heat-run") != 0 && strcmp(kind, "earth-bond") != 0;
}

/* A winding whose temperature nobody knows is 2 % in doubt for every 5 K: not to be had by leaving something out. */
static int read_temperature(const cli_call *call, wish *wish)
{
    const char *at = cli_value(call, "at");

    if (at != NULL && cli_given(call, "thermometer"))
        return cli_refuse(call, "Give --at or --thermometer, not both.");
    if (at != NULL && strcmp(at, "unknown") == 0) {
        wish->temperature_unknown = true;
        return 0;
    }
    if (at == NULL && !cli_given(call, "thermometer") && hangs_on_temperature(wish->kind))
        return cli_refuse(call, "At which temperature? Copper changes by 2 %% in 5 K. Give --at \"21 °C\", or "
                          "--thermometer ADDRESS; or, if nobody can know, --at unknown.");
    return read_option(call, "at", CW_TEMPERATURE, &wish->at_c);
}

static int read_series(const cli_call *call, wish *wish)
{
    int exit = read_option(call, "every", CW_TIME, &wish->every_s);

    wish->for_s = 300;
    wish->since_s = 0;
    if (exit == 0)
        exit = read_option(call, "for", CW_TIME, &wish->for_s);
    if (exit == 0)
        exit = read_option(call, "time", CW_TIME, &wish->since_s);
    if (exit == 0 && !isnan(wish->every_s) &&
        !(wish->every_s >= 1 && wish->for_s >= wish->every_s && wish->for_s <= 86400))
        exit = cli_refuse(call, "A series takes a reading every second or slower, and lasts from one such time to a "
                          "day.");
    if (!isnan(wish->every_s))
        wish->plan.alike = 1; /* a winding that cools never stands still */
    return exit;
}

static int read_wish(const cli_call *call, wish *wish)
{
    int exit = read_kind(call, wish);

    cw_measure_plan_defaults(&wish->plan, cli_given(call, "two-wire") ? CW_MEASURE_TWO_WIRE : CW_MEASURE_FOUR_WIRE);
    wish->at_c = wish->every_s = NAN;
    if (!cli_given(call, "from"))
        return cli_refuse(call, "read wants --from ADDRESS: tcp:HOST:PORT or serial:DEVICE:BAUD:8N1 of the meter.");
    if (exit == 0)
        exit = read_temperature(call, wish);
    if (exit == 0)
        exit = read_option(call, "range", CW_RESISTANCE, &wish->plan.range);
    if (exit == 0)
        exit = read_option(call, "within", CW_TIME, &wish->plan.within_s);
    if (exit == 0)
        exit = read_series(call, wish);
    if (exit == 0 && cli_given(call, "job"))
        exit = cli_book_number(call, cli_value(call, "job"), "a job", &wish->job);
    return exit;
}

/* ---- the meters ------------------------------------------------------------------------------------------------ */

static cw_status open_meters(const cli_call *call, meter *meter, cw_error *error)
{
    static const double connect_s = 3, identify_s = 2; /* common practice */
    const char *from = cli_value(call, "from"), *thermometer = cli_value(call, "thermometer");
    cw_status status = cw_instrument_open(from, connect_s, &meter->ohms, error);

    if (status == CW_OK)
        status = cw_instrument_identify(meter->ohms, identify_s, &meter->identity, error);
    if (status != CW_OK || thermometer == NULL)
        return status;
    if (strcmp(thermometer, from) == 0)
        meter->thermometer = meter->ohms;
    else
        status = cw_instrument_open(thermometer, connect_s, &meter->thermometer, error);
    return status;
}

static void close_meters(meter *meter)
{
    if (meter->thermometer != meter->ohms)
        cw_instrument_close(&meter->thermometer);
    cw_instrument_close(&meter->ohms);
}

static double now_s(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static cw_status take(meter *meter, const wish *wish, double start_s, taken *taken, cw_error *error)
{
    cw_measure_plan plan;
    cw_measured temperature;
    cw_status status = cw_instrument_measure(meter->ohms, &wish->plan, &taken->ohms, error);

    taken->at_c = wish->at_c;
    taken->time_s = wish->since_s + now_s() - start_s;
    taken->taken_s = (long long)time(NULL);
    if (status != CW_OK || meter->thermometer == NULL)
        return status;
    cw_measure_plan_defaults(&plan, CW_MEASURE_TEMPERATURE);
    plan.within_s = wish->plan.within_s;
    if (!isnan(wish->every_s))
        plan.alike = 1;
    status = cw_instrument_measure(meter->thermometer, &plan, &temperature, error);
    if (status == CW_OK)
        taken->at_c = temperature.value;
    return status;
}

/* ---- the line of the job --------------------------------------------------------------------------------------- */

static void put_option(const cli_call *call, const char *option, const char *key, cw_text *item)
{
    if (cli_given(call, option))
        cw_text_print(item, ", %s: %s", key, cli_value(call, option));
}

static void write_item(const cli_call *call, const wish *wish, const taken *taken, cw_text *item)
{
    const bool proof = wish->section[0] == 'p', heat_run = strcmp(wish->kind, "heat-run") == 0;
    char value[64];

    cw_quantity_format(CW_RESISTANCE, taken->ohms.value, CW_METRIC_UNITS, 6, value, sizeof value);
    cw_text_print(item, "{%s: %s", proof ? "test" : "kind", wish->kind);
    put_option(call, "of", "of", item);
    cw_text_print(item, ", value: %s", value);
    if (cli_given(call, "doubt"))
        cw_text_print(item, " ± %s", cli_value(call, "doubt"));
    if (cli_given(call, "at") && !wish->temperature_unknown)
        cw_text_print(item, ", at: %s", cli_value(call, "at")); /* in the user's own unit */
    else if (!isnan(taken->at_c))
        cw_text_print(item, ", %s: %.1f °C", heat_run ? "ambient" : "at", taken->at_c);
    put_option(call, "coil", "coil", item);
    put_option(call, "length", "length", item);
    put_option(call, "leads", "lead_resistance", item);
    put_option(call, "current", "current", item);
    put_option(call, "ambient", "ambient", item);
    if (!isnan(wish->every_s))
        cw_text_print(item, ", time: %.1f s", taken->time_s);
    else
        put_option(call, "time", "time", item);
    cw_text_add(item, "}");
}

/* "2031-05-17 09:30:00Z": in the order of letters the order of time, which taking back relies on. */
static void write_time(long long time_s, char *buffer, size_t size)
{
    const time_t time = (time_t)time_s;
    struct tm parts;

    if (gmtime_r(&time, &parts) == NULL || strftime(buffer, size, "%Y-%m-%d %H:%M:%SZ", &parts) == 0)
        snprintf(buffer, size, "?");
}

#define READ_MARK "read "

static void write_remark(const meter *meter, const wish *wish, const taken *taken, cw_text *remark)
{
    char when[40];

    write_time(taken->taken_s, when, sizeof when);
    cw_text_print(remark, READ_MARK "%s by %s %s, %s", when, meter->identity.maker, meter->identity.model,
                  wish->plan.kind == CW_MEASURE_TWO_WIRE ? "two-wire" : "four-wire");
}

/* Reads the file again at the last moment, so that what an editor saved meanwhile is not undone. */
static cw_status put_into_job(const char *path, const wish *wish, const char *item, const char *remark, cw_error *error)
{
    cw_wire_catalogue *catalogue = NULL;
    cw_text changed = { 0 };
    char *text = NULL;
    size_t length;
    int held = -1;
    cw_status status = cw_wire_catalogue_create(&catalogue, error);

    if (status == CW_OK)
        status = cw_file_hold(path, &held, error);
    if (status == CW_OK)
        status = cw_file_read(path, CW_JOB_LARGEST, &text, &length, error);
    if (status == CW_OK)
        status = cw_job_text_add(text, length, path, catalogue, wish->section, item, remark, &changed, error);
    if (status == CW_OK)
        status = cw_file_write(path, changed.data, changed.length, error);
    cw_file_let_go(&held);
    cw_text_clear(&changed);
    cw_free(text);
    cw_wire_catalogue_destroy(&catalogue);
    return status;
}

static cw_status put_into_book(cw_book *book, const wish *wish, const meter *meter, const taken *taken,
                               const char *item, cw_error *error)
{
    char source[200];
    const cw_book_reading reading = {
        .kind = wish->kind, .value = taken->ohms.value, .doubt = NAN, .at_c = taken->at_c, .unit = "ohm",
        .source = source, .note = item, .time_s = taken->taken_s,
    };

    snprintf(source, sizeof source, "%s %s %s, %s", meter->identity.maker, meter->identity.model,
             meter->identity.serial, taken->ohms.question);
    return cw_book_reading_add(book, wish->job, &reading, error);
}

/* ---- one reading, or a series ---------------------------------------------------------------------------------- */

static json_t *reading_json(const meter *meter, const wish *wish, const taken *taken, const char *item)
{
    return json_pack("{s:s, s:f, s:s, s:o, s:f, s:i, s:s, s:o, s:s, s:I, s:{s:s, s:s, s:s, s:s}}", "kind", wish->kind,
                     "value", taken->ohms.value, "unit", "ohm", "at_c",
                     isnan(taken->at_c) ? json_null() : json_real(taken->at_c), "spread", taken->ohms.spread, "taken",
                     taken->ohms.taken, "question", taken->ohms.question, "time_s",
                     isnan(wish->every_s) ? json_null() : json_real(taken->time_s), "item", item, "taken_s",
                     (json_int_t)taken->taken_s, "instrument", "maker", meter->identity.maker, "model",
                     meter->identity.model, "serial", meter->identity.serial, "firmware", meter->identity.firmware);
}

static void describe(const cli_call *call, const meter *meter, const wish *wish, const taken *taken, const char *item,
                     cw_text *text)
{
    char value[64];

    cw_quantity_format(CW_RESISTANCE, taken->ohms.value, CW_METRIC_UNITS, 6, value, sizeof value);
    cw_text_add(text, value);
    if (!isnan(taken->at_c))
        cw_text_print(text, " at %.1f °C", taken->at_c);
    cw_text_print(text, " by %s %s", meter->identity.maker, meter->identity.model);
    if (isnan(wish->every_s))
        cw_text_print(text, ": the last %d of %d readings within %.2g %%", wish->plan.alike, taken->ohms.taken,
                      1e2 * taken->ohms.spread / taken->ohms.value);
    cw_text_add(text, "\n");
    if (call->argument_count > 0)
        cw_text_print(text, "into %s, %s: - %s\n", call->argument[0], wish->section, item);
    if (wish->job != 0)
        cw_text_print(text, "into the book with job %lld\n", wish->job);
}

/* Takes one, puts it where it belongs, and says so; *document receives it for --json. */
static int take_one(const cli_call *call, meter *meter, const wish *wish, cw_book *book, double start_s,
                    json_t **document)
{
    taken taken;
    cw_text item = { 0 }, remark = { 0 }, text = { 0 };
    cw_error error;
    cw_status status = take(meter, wish, start_s, &taken, &error);
    int exit = 0;

    if (status == CW_OK) {
        write_item(call, wish, &taken, &item);
        write_remark(meter, wish, &taken, &remark);
        status = item.failed || remark.failed ? cw_no_memory(&error) : CW_OK;
    }
    if (status == CW_OK && call->argument_count > 0)
        status = put_into_job(call->argument[0], wish, item.data, remark.data, &error);
    if (status == CW_OK && book != NULL)
        status = put_into_book(book, wish, meter, &taken, item.data, &error);
    if (status != CW_OK) {
        exit = cli_report(call, status, &error);
        if (item.length > 0)
            cli_tell(call, "It was read, and is not saved: %s", item.data);
    } else if (call->json) {
        *document = reading_json(meter, wish, &taken, item.data);
    } else {
        describe(call, meter, wish, &taken, item.data, &text);
        exit = cli_write_text(call, &text, CLI_YES);
    }
    cw_text_clear(&item);
    cw_text_clear(&remark);
    cw_text_clear(&text);
    return exit;
}

static void wait_until(double at_s)
{
    const double left_s = at_s - now_s();
    struct timespec left = { .tv_sec = (time_t)left_s, .tv_nsec = (long)(1e9 * (left_s - floor(left_s))) };

    if (left_s > 0)
        while (nanosleep(&left, &left) != 0 && errno == EINTR)
            ;
}

/* Every reading is in its place before the next is taken: a series that breaks off keeps what it has. */
static int take_series(const cli_call *call, meter *meter, const wish *wish, cw_book *book, json_t *list)
{
    const double start_s = now_s();
    int exit = 0;

    for (int i = 0; exit == 0 && i * wish->every_s <= wish->for_s; i++) {
        json_t *document = NULL;

        wait_until(start_s + i * wish->every_s);
        exit = take_one(call, meter, wish, book, start_s, &document);
        if (document != NULL)
            json_array_append_new(list, document);
    }
    return exit;
}

/* Before anything is measured: a job file that could not take the reading is no place for it. */
static int try_job(const cli_call *call, const wish *wish)
{
    const taken sample = { .ohms = { .value = 1 }, .at_c = wish->at_c };
    cw_wire_catalogue *catalogue = NULL;
    cw_text item = { 0 }, changed = { 0 };
    char *text = NULL;
    size_t length;
    cw_error error;
    cw_status status = cw_file_read(call->argument[0], CW_JOB_LARGEST, &text, &length, &error);

    if (status == CW_OK)
        status = cw_wire_catalogue_create(&catalogue, &error);
    write_item(call, wish, &sample, &item);
    if (status == CW_OK && item.failed)
        status = cw_no_memory(&error);
    if (status == CW_OK)
        status = cw_job_text_add(text, length, call->argument[0], catalogue, wish->section, item.data, NULL, &changed,
                                 &error);
    cw_text_clear(&item);
    cw_text_clear(&changed);
    cw_wire_catalogue_destroy(&catalogue);
    cw_free(text);
    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

static int measure(const cli_call *call, const wish *wish)
{
    cw_book *book = NULL;
    meter meter = { 0 };
    json_t *document = NULL, *list = isnan(wish->every_s) ? NULL : json_array();
    cw_error error;
    cw_status status;
    int exit = call->argument_count > 0 ? try_job(call, wish) : 0;

    if (exit == 0 && wish->job != 0)
        exit = cli_book_open(call, CW_BOOK_WRITE, &book);
    if (exit == 0 && (status = open_meters(call, &meter, &error)) != CW_OK)
        exit = cli_report(call, status, &error);
    if (exit == 0)
        exit = list != NULL ? take_series(call, &meter, wish, book, list)
                            : take_one(call, &meter, wish, book, now_s(), &document);
    if (exit == 0 && call->json)
        exit = cli_write_json(call, list != NULL ? json_pack("{s:O}", "readings", list) : document, CLI_YES);
    json_decref(list);
    close_meters(&meter);
    cw_book_close(&book);
    return exit;
}

/* ---- taking it back -------------------------------------------------------------------------------------------- */

static int take_back(const cli_call *call)
{
    const char *path = call->argument[0];
    cw_text changed = { 0 }, line = { 0 };
    char *text = NULL;
    size_t length;
    cw_error error;
    int held, exit;
    cw_status status = cw_file_hold(path, &held, &error);

    if (status == CW_OK)
        status = cw_file_read(path, CW_JOB_LARGEST, &text, &length, &error);
    if (status == CW_OK)
        status = cw_job_text_take_back(text, length, path, READ_MARK, &changed, &line, &error);
    if (status == CW_OK)
        status = cw_file_write(path, changed.data, changed.length, &error);
    cw_file_let_go(&held);
    exit = cli_book_say(call, status, &error, status == CW_OK ? json_pack("{s:s, s:s}", "file", path, "line", line.data)
                                                              : NULL,
                        "Taken out of %s: %s", path, line.data != NULL ? line.data : "");
    cw_text_clear(&changed);
    cw_text_clear(&line);
    cw_free(text);
    return exit;
}

int cli_read(const cli_call *call)
{
    wish wish = { 0 };
    int exit;

    if (cli_given(call, "undo")) {
        if (call->argument_count == 0)
            return cli_refuse(call, "read --undo wants the job file whose last reading is to be taken back.");
        return take_back(call);
    }
    exit = read_wish(call, &wish);
    return exit == 0 ? measure(call, &wish) : exit;
}
