/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Job files.
 *
 * Promises: a refusal has at least one sentence, every sentence a line that the text has; a job that is read can be
 * written, and what is written reads back and is written to the same bytes. */
#include "fuzz/target.h"

#include "coilwright/job.h"

#include <string.h>

static int lines_of(const uint8_t *data, size_t size)
{
    int lines = 1;

    for (size_t i = 0; i < size; i++)
        lines += data[i] == '\n' || data[i] == '\r';
    return lines;
}

static void check_errors(const cw_errors *errors, const uint8_t *data, size_t size)
{
    PROMISE(errors->count > 0);
    for (size_t i = 0; i < errors->count; i++) {
        PROMISE(errors->items[i].text[0] != '\0');
        PROMISE(errors->items[i].line >= 0 && errors->items[i].line <= lines_of(data, size) + 1);
    }
}

static void check_written(const cw_job *job, const cw_wire_catalogue *catalogue)
{
    cw_text one = { 0 }, two = { 0 };
    cw_errors errors = { 0 };
    cw_job *again = NULL;

    PROMISE(cw_job_write(job, &one, NULL) == CW_OK);
    PROMISE(cw_job_read(one.data, one.length, NULL, catalogue, &again, &errors) == CW_OK);
    PROMISE(cw_job_write(again, &two, NULL) == CW_OK);
    PROMISE(one.length == two.length && memcmp(one.data, two.data, one.length) == 0);
    cw_errors_clear(&errors);
    cw_job_destroy(&again);
    cw_text_clear(&one);
    cw_text_clear(&two);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static cw_wire_catalogue *catalogue; /* kept: loading it costs more than reading a job */
    cw_errors errors = { 0 };
    cw_job *job = NULL;
    cw_status status;

    if (catalogue == NULL && cw_wire_catalogue_create(&catalogue, NULL) != CW_OK)
        abort();
    status = cw_job_read((const char *)data, size, "job.yaml", catalogue, &job, &errors);
    PROMISE((status == CW_OK) == (job != NULL));
    if (status == CW_BAD_INPUT)
        check_errors(&errors, data, size);
    if (status == CW_OK)
        check_written(job, catalogue);
    cw_job_destroy(&job);
    cw_errors_clear(&errors);
    return 0;
}
