/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether the job's magnet holds the job's load. */
#include "work/work_internal.h"

#include <math.h>

/* The computed pull is that at the job's own gap, plate and iron. */
static cw_status take_pull(cw_work *work, cw_load *load, cw_error *error)
{
    const cw_work_field_study *study;
    cw_status status;

    if (!isnan(load->pull_n))
        return CW_OK;
    status = cw_work_field(work, &study, error);
    if (status == CW_OK) {
        load->pull_n = study->cold.force_n;
        load->pull_at_work = true;
    }
    return status;
}

/* How warm the winding is, where that can be said; the pull is then less by it. */
static cw_status take_warmth(cw_work *work, cw_load *load, cw_error *error)
{
    const cw_winding *winding;
    cw_status status = cw_work_lay(work, &winding, NULL, error);

    if (status == CW_OK && work->job->supply.given)
        status = cw_work__warm_c(work, &load->winding_c, error);
    return status == CW_BAD_INPUT ? CW_OK : status;
}

static cw_status hold(cw_work *work, cw_error *error)
{
    cw_load load = work->job->load.what;
    cw_status status = take_pull(work, &load, error);

    load.offset_m = isnan(load.offset_m) ? 0 : load.offset_m;
    load.own_weight_n = isnan(load.own_weight_n) ? 0 : load.own_weight_n;
    if (status == CW_OK)
        status = take_warmth(work, &load, error);
    if (status == CW_OK)
        status = cw_hold_judge(&load, &work->hold, error);
    if (status == CW_BAD_INPUT && error->line == 0) {
        error->line = work->job->load.at.line;
        error->column = work->job->load.at.column;
    }
    return status;
}

cw_status cw_work_hold(cw_work *work, const cw_hold **held, cw_error *error)
{
    cw_work__stage *stage = &work->hold_stage;

    *held = NULL;
    if (!work->job->load.given)
        return CW_OK;
    if (!stage->tried)
        stage->status = hold(work, &stage->error);
    if (stage->status == CW_OK)
        *held = &work->hold;
    return cw_work__end(stage, stage->status, error);
}
