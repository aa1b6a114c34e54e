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
    const bool hot = status == CW_OK && !cw_work_stays_cool(study);
    int exit = 0;

    if (status == CW_OK)
        exit = cli_put_figure(call, work, "map", CW_FIGURE_HEAT_MAP);
    if (status == CW_OK && exit == 0)
        exit = cli_put_figure(call, work, "curve", CW_FIGURE_DUTY);
    if (exit != 0)
        return exit;
    if (status == CW_OK)
        cw_work_heat_text(study, cw_work_job(work)->units, &text);
    return cli_show(call, status, &error, status == CW_OK && call->json ? cw_work_heat_json(study) : NULL, &text,
                    hot ? CLI_NO : CLI_YES);
}

int cli_heat(const cli_call *call)
{
    return cli_with_job(call, heat);
}
