/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright switch: on and off over time. */
#include "cli/job.h"

#include "work/switch_json.h"

#include <ctype.h>
#include <string.h>

/* "diode-and-resistor", "Zener" or "rc" against the names, whose blanks may be hyphens. */
static bool same_name(const char *word, const char *name)
{
    while (*word != '\0' && (tolower((unsigned char)*word) == tolower((unsigned char)*name) ||
                             (*word == '-' && *name == ' '))) {
        word++;
        name++;
    }
    return *word == '\0' && *name == '\0';
}

static int find_suppressor(const cli_call *call, const cw_work *work, cw_suppressor_kind *kind)
{
    const char *word = cli_value(call, "suppressor");

    *kind = cw_work_usual_suppressor(work);
    if (word == NULL)
        return 0;
    for (int i = 0; i < CW_SUPPRESSOR_COUNT; i++)
        if (same_name(word, cw_suppressor_name((cw_suppressor_kind)i))) {
            *kind = (cw_suppressor_kind)i;
            return 0;
        }
    return cli_refuse(call, "--suppressor is none, resistor, diode, diode-and-resistor, zener, varistor or rc, not "
                      "\"%.60s\".", word);
}

static int put_figures(const cli_call *call, cw_work *work)
{
    int exit = cli_put_figure(call, work, "on", CW_FIGURE_SWITCH_ON);

    if (exit == 0)
        exit = cli_put_figure(call, work, "off", CW_FIGURE_SWITCH_OFF);
    return exit == 0 ? cli_put_figure(call, work, "table", CW_FIGURE_SUPPRESSORS) : exit;
}

static int switch_it(const cli_call *call, cw_work *work)
{
    const cw_work_switch_study *study;
    cw_suppressor_kind kind;
    cw_text text = { 0 };
    cw_error error;
    cw_status status;
    int exit = find_suppressor(call, work, &kind);

    if (exit != 0)
        return exit;
    status = cw_work_switch(work, kind, &study, &error);
    if (status == CW_OK && (exit = put_figures(call, work)) != 0)
        return exit;
    if (status == CW_OK)
        cw_work_switch_text(study, cw_work_job(work)->units, &text);
    return cli_show(call, status, &error, status == CW_OK && call->json ? cw_work_switch_json(study) : NULL, &text,
                    CLI_YES);
}

int cli_switch(const cli_call *call)
{
    return cli_with_job(call, switch_it);
}
