/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright heat: temperatures, steady and over the duty cycle. */
#include "cli/job.h"

#include "work/heat_document.h"

static int heat(const cli_call *call, cw_work *work)
{
    const cw_work_heat_study *study;
    cw_text text = { 0 };
    cw_error error;
    cw_status status = cw_work_heat(work, &study, &error);
    const bool hot = status == CW_OK && cw_work_hot_spot_c(study) > study->thermal_class_c;

    if (status == CW_OK)
        cw_work_heat_text(study, cw_work_job(work)->units, &text);
    return cli_show(call, status, &error, status == CW_OK && call->json ? cw_work_heat_json(study) : NULL, &text,
                    hot ? CLI_NO : CLI_YES);
}

int cli_heat(const cli_call *call)
{
    return cli_with_job(call, heat);
}
