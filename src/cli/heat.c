/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright heat: temperatures, steady and over the duty cycle. */
#include "cli/job.h"

#include "work/heat_document.h"

int cli_heat(const cli_call *call)
{
    const cw_work_heat_study *study;
    cw_work *work;
    cw_text text = { 0 };
    cw_error error;
    cw_status status;
    int exit = cli_open(call, call->argument[0], &work);

    if (exit != 0)
        return exit;
    status = cw_work_heat(work, &study, &error);
    if (status != CW_OK) {
        exit = cli_report(call, status, &error);
    } else {
        const int answer = cw_work_hot_spot_c(study) > study->thermal_class_c ? CLI_NO : CLI_YES;

        if (call->json) {
            exit = cli_write_json(call, cw_work_heat_json(study), answer);
        } else {
            cw_work_heat_text(study, cw_work_job(work)->units, &text);
            exit = cli_write_text(call, &text, answer);
        }
    }
    cw_text_clear(&text);
    cw_work_close(&work);
    return exit;
}
