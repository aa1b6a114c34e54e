/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright field: what the magnet does with the coil. */
#include "cli/job.h"

#include "work/magnet_json.h"

#include <stdio.h>
#include <string.h>

enum { GAPS_MOST = 40 };

/* Halves and doubles of the job's own gap, where no list is given. */
static size_t usual_gaps(double gap_m, double *gaps)
{
    size_t count = 0;

    for (double share = 0.5; share < 10; share *= 2)
        gaps[count++] = share * gap_m;
    return count;
}

/* "0.05 mm, 0.1 mm"; 0 or an exit status. */
static int read_gaps(const cli_call *call, const char *list, double *gaps, size_t *count)
{
    *count = 0;
    for (const char *at = list; at != NULL; at = strchr(at, ',') != NULL ? strchr(at, ',') + 1 : NULL) {
        size_t length = strcspn(at, ",");
        cw_quantity quantity;
        cw_error error;

        if (*count == GAPS_MOST)
            return cli_refuse(call, "--gap takes at most %d gaps.", GAPS_MOST);
        if (cw_quantity_parse(CW_LENGTH, at, length, NULL, &quantity, &error) != CW_OK) {
            snprintf(error.file, sizeof error.file, "--gap");
            return cli_report(call, CW_BAD_INPUT, &error);
        }
        if (!(quantity.value > 0))
            return cli_refuse(call, "--gap: \"%.*s\" is no gap; give a length above zero, as in 0.1 mm.", (int)length, at);
        gaps[(*count)++] = quantity.value;
    }
    return 0;
}

int cli_field(const cli_call *call)
{
    const char *list = cli_value(call, "gap");
    const cw_work_field_study *study;
    cw_field_result *curve = cw_allocate(GAPS_MOST, sizeof *curve);
    double gaps[GAPS_MOST];
    size_t count = 0;
    cw_work *work = NULL;
    cw_text text = { 0 };
    cw_error error;
    cw_status status;
    int exit = list != NULL ? read_gaps(call, list, gaps, &count) : 0;

    if (exit == 0)
        exit = cli_open(call, call->argument[0], &work);
    if (exit == 0) {
        status = curve != NULL ? cw_work_field(work, &study, &error) : cw_no_memory(&error);
        if (status == CW_OK && list == NULL)
            count = usual_gaps(study->magnet.gap_m, gaps);
        if (status == CW_OK)
            status = cw_work_field_curve(work, gaps, count, curve, &error);
        if (status != CW_OK) {
            exit = cli_report(call, status, &error);
        } else if (call->json) {
            exit = cli_write_json(call, cw_work_field_json(study, curve, count), 0);
        } else {
            cw_work_field_text(study, curve, count, cw_work_job(work)->units, &text);
            exit = cli_write_text(call, &text, 0);
        }
    }
    cw_text_clear(&text);
    cw_free(curve);
    cw_work_close(&work);
    return exit;
}
