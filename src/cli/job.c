/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Opening a job, coilwright check, coilwright new. */
#include "cli/job.h"

#include "coilwright/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int cli_open_given(const cli_call *call, const char *text, size_t length, const char *path, cw_work **work)
{
    cw_errors errors = { 0 };
    cw_error error;
    cw_status status = cw_work_open_set(text, length, path, call->set, call->set_count, work, &errors);
    int exit = 0;

    if (status != CW_OK && errors.count == 0) {
        cw_no_memory(&error);
        exit = cli_report(call, status, &error);
    } else if (status != CW_OK) {
        exit = cli_report_all(call, status, &errors);
    }
    cw_errors_clear(&errors);
    return exit;
}

int cli_open_text(const cli_call *call, const char *path, char **text, size_t *length, cw_work **work)
{
    cw_error error;
    cw_status status = cw_file_read(path, CW_JOB_LARGEST, text, length, &error);
    int exit;

    *work = NULL;
    if (status != CW_OK)
        return cli_report(call, status, &error);
    exit = cli_open_given(call, *text, *length, path, work);
    if (exit != 0) {
        cw_free(*text);
        *text = NULL;
    }
    return exit;
}

int cli_open(const cli_call *call, const char *path, cw_work **work)
{
    char *text = NULL;
    size_t length;
    const int exit = cli_open_text(call, path, &text, &length, work);

    cw_free(text);
    return exit;
}

int cli_with_job(const cli_call *call, int (*answer)(const cli_call *call, cw_work *work))
{
    cw_work *work;
    int exit = cli_open(call, call->argument[0], &work);

    if (exit == 0)
        exit = answer(call, work);
    cw_work_close(&work);
    return exit;
}

int cli_show(const cli_call *call, cw_status status, const cw_error *error, json_t *document, cw_text *text, int answer)
{
    int exit;

    if (status != CW_OK)
        exit = cli_report(call, status, error);
    else if (call->json)
        exit = cli_write_json(call, document, answer);
    else
        exit = cli_write_text(call, text, answer);
    cw_text_clear(text);
    return exit;
}

int cli_check(const cli_call *call)
{
    cw_work *work;
    cw_text text = { 0 };
    int exit = cli_open(call, call->argument[0], &work);

    if (exit != 0)
        return exit;
    if (call->json) {
        exit = cli_write_json(call, json_pack("{s:b, s:s, s:i}", "ok", 1, "file", call->argument[0], "readings",
                                              (int)cw_work_job(work)->reading_count), 0);
    } else {
        cw_text_print(&text, "%s is in order: %zu readings, %zu spools in stock.\n", call->argument[0],
                      cw_work_job(work)->reading_count, cw_work_job(work)->stock_count);
        exit = cli_write_text(call, &text, 0);
    }
    cw_text_clear(&text);
    cw_work_close(&work);
    return exit;
}

int cli_new(const cli_call *call)
{
    const char *kind = cli_value(call, "kind"), *path = cli_value(call, "o"), *units = cli_value(call, "units");
    cw_unit_system system = CW_METRIC_UNITS;
    cw_text text = { 0 };
    cw_error error;
    cw_status status;
    int exit = 0;

    if (units != NULL && strcmp(units, "inch") == 0)
        system = CW_INCH_UNITS;
    else if (units != NULL && strcmp(units, "metric") != 0)
        return cli_refuse(call, "--units is metric or inch, not \"%s\".", units);
    status = cw_job_template(kind != NULL ? kind : "bobbin", system, &text, &error);
    if (status == CW_OK && path != NULL && access(path, F_OK) == 0) {
        exit = cli_refuse(call, "%s is there already; give another name, so that nothing typed is lost.", path);
    } else if (status == CW_OK && path != NULL) {
        status = cw_file_write(path, text.data, text.length, &error);
        if (status == CW_OK && call->json)
            exit = cli_write_json(call, json_pack("{s:s}", "file", path), 0);
        else if (status == CW_OK)
            cli_tell(call, "%s is written. Fill it in with any editor, then: coilwright run %s -o out", path, path);
    } else if (status == CW_OK && call->json) {
        exit = cli_write_json(call, json_pack("{s:s}", "text", text.data), 0);
    } else if (status == CW_OK) {
        exit = cli_write_text(call, &text, 0);
    }
    if (status != CW_OK)
        exit = cli_report(call, status, &error);
    cw_text_clear(&text);
    return exit;
}

int cli_put(const cli_call *call, const char *path, const cw_text *text)
{
    cw_error error;
    cw_status status = text->failed ? cw_no_memory(&error) : cw_file_write(path, text->data, text->length, &error);

    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

int cli_put_figure(const cli_call *call, cw_work *work, const char *option, cw_figure figure)
{
    static const char *const endings[CW_FORMAT_COUNT] = { [CW_SVG] = ".svg", [CW_PDF] = ".pdf", [CW_PNG] = ".png" };
    const char *path = cli_value(call, option), *ending = path != NULL ? strrchr(path, '.') : NULL;
    int format = CW_SVG, exit;
    cw_text bytes = { 0 };
    cw_error error;
    cw_status status;

    if (path == NULL)
        return 0;
    while (format < CW_FORMAT_COUNT && (ending == NULL || strcmp(ending, endings[format]) != 0))
        format++;
    if (format == CW_FORMAT_COUNT)
        return cli_refuse(call, "--%s takes a file that ends in .svg, .png or .pdf, not \"%.200s\".", option, path);
    status = cw_work_figure(work, figure, (cw_format)format, &bytes, &error);
    exit = status == CW_OK ? cli_put(call, path, &bytes) : cli_report(call, status, &error);
    cw_text_clear(&bytes);
    return exit;
}
