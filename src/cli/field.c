/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright field: what the magnet does with the coil. */
#include "cli/job.h"

#include "work/magnet_json.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { VALUES_MOST = 40 };

/* A sweep's option, and what it takes. */
static const struct sweep_option {
    const char *name, *example;
    cw_kind kind;
} options[CW_SWEEP_COUNT] = {
    [CW_SWEEP_GAP] = { "gap", "0.1 mm", CW_LENGTH },
    [CW_SWEEP_CURRENT] = { "current", "0.5 A", CW_CURRENT },
    [CW_SWEEP_PLATE] = { "plate", "12 mm", CW_LENGTH },
    [CW_SWEEP_IRON] = { "plate-iron", "structural-steel", CW_COUNT },
};

/* What a list said. */
typedef struct wanted {
    double at[VALUES_MOST];
    char iron[VALUES_MOST][40];
    size_t count;
} wanted;

static int read_quantity(const cli_call *call, const struct sweep_option *option, const char *at, size_t length,
                         double *value)
{
    cw_quantity quantity;
    cw_error error;

    if (cw_quantity_parse(option->kind, at, length, NULL, &quantity, &error) != CW_OK) {
        snprintf(error.file, sizeof error.file, "--%s", option->name);
        return cli_report(call, CW_BAD_INPUT, &error);
    }
    if (!(quantity.value > 0))
        return cli_refuse(call, "--%s: \"%.*s\" will not do; give one above zero, as in %s.", option->name, (int)length, at,
                          option->example);
    *value = quantity.value;
    return 0;
}

static int read_iron(const cli_call *call, const char *at, size_t length, char name[40])
{
    cw_iron *iron = NULL;
    cw_error error;
    cw_status status;

    while (length > 0 && isspace((unsigned char)*at))
        at++, length--;
    while (length > 0 && isspace((unsigned char)at[length - 1]))
        length--;
    snprintf(name, 40, "%.*s", (int)length, at);
    status = cw_iron_find(name, &iron, &error);
    cw_iron_destroy(&iron);
    if (status == CW_OK)
        return 0;
    snprintf(error.file, sizeof error.file, "--plate-iron");
    return cli_report(call, status, &error);
}

/* "0.05 mm, 0.1 mm"; 0 or an exit status. */
static int read_list(const cli_call *call, cw_sweep_kind kind, const char *list, wanted *w)
{
    w->count = 0;
    for (const char *at = list; at != NULL; at = strchr(at, ',') != NULL ? strchr(at, ',') + 1 : NULL) {
        size_t length = strcspn(at, ",");
        int exit;

        if (w->count == VALUES_MOST)
            return cli_refuse(call, "--%s takes at most %d values.", options[kind].name, VALUES_MOST);
        exit = kind == CW_SWEEP_IRON ? read_iron(call, at, length, w->iron[w->count])
                                     : read_quantity(call, &options[kind], at, length, &w->at[w->count]);
        if (exit != 0)
            return exit;
        w->count++;
    }
    return 0;
}

/* The sweeps that were asked for; without any, all of the usual ones. 0 or an exit status. */
static int sweep_all(const cli_call *call, cw_work *work, wanted *lists, cw_work_sweep *sweeps)
{
    bool any = false;
    cw_status status = CW_OK;
    cw_error error;

    for (int kind = 0; kind < CW_SWEEP_COUNT; kind++)
        any = any || lists[kind].count > 0;
    for (int kind = 0; kind < CW_SWEEP_COUNT && status == CW_OK; kind++) {
        const wanted *w = &lists[kind];

        sweeps[kind].kind = (cw_sweep_kind)kind;
        if (w->count > 0)
            status = cw_work_sweep_along(work, (cw_sweep_kind)kind, w->at, (const char (*)[40])w->iron, w->count, NAN,
                                         &sweeps[kind], &error);
        else if (!any)
            status = cw_work_sweep_usual(work, (cw_sweep_kind)kind, &sweeps[kind], &error);
    }
    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

static int show(const cli_call *call, cw_work *work, const cw_work_sweep *sweeps)
{
    const cw_unit_system units = cw_work_job(work)->units;
    const cw_work_field_study *study;
    const cw_work_holding *holding;
    const cw_work_rewind *rewind = NULL;
    cw_text text = { 0 };
    cw_error error;
    cw_status status = cw_work_field(work, &study, &error);

    if (status == CW_OK)
        status = cw_work_pull_left(work, &holding, &error);
    if (status == CW_OK && (status = cw_work_rewound(work, &rewind, &error)) == CW_BAD_INPUT)
        status = CW_OK; /* what the coil was is not known */
    if (status == CW_OK)
        cw_work_field_text(study, sweeps, CW_SWEEP_COUNT, holding, rewind, units, &text);
    return cli_show(call, status, &error, status == CW_OK && call->json
                    ? cw_work_field_json(study, sweeps, CW_SWEEP_COUNT, holding, rewind, units) : NULL, &text, CLI_YES);
}

/* The figures that were asked for. 0 or an exit status. */
static int put_figures(const cli_call *call, cw_work *work)
{
    static const struct { const char *option; cw_figure figure; } figures[] = {
        { "map", CW_FIGURE_FLUX }, { "curve", CW_FIGURE_PULL }, { "plate-curve", CW_FIGURE_PLATE },
    };
    int exit = 0;

    for (int i = 0; i < 3 && exit == 0; i++)
        exit = cli_put_figure(call, work, figures[i].option, figures[i].figure);
    return exit;
}

static int field(const cli_call *call, cw_work *work)
{
    cw_work_sweep sweeps[CW_SWEEP_COUNT] = { { 0 } };
    wanted *lists = cw_allocate(CW_SWEEP_COUNT, sizeof *lists);
    cw_error error;
    int exit = lists != NULL ? 0 : cli_report(call, cw_no_memory(&error), &error);

    for (int kind = 0; kind < CW_SWEEP_COUNT && exit == 0; kind++)
        exit = read_list(call, (cw_sweep_kind)kind, cli_value(call, options[kind].name), &lists[kind]);
    if (exit == 0)
        exit = sweep_all(call, work, lists, sweeps);
    if (exit == 0)
        exit = put_figures(call, work);
    if (exit == 0)
        exit = show(call, work, sweeps);
    for (int kind = 0; kind < CW_SWEEP_COUNT; kind++)
        cw_work_sweep_clear(&sweeps[kind]);
    cw_free(lists);
    return exit;
}

int cli_field(const cli_call *call)
{
    return cli_with_job(call, field);
}
