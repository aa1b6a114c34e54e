/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The workshop drawings of a job's former and arbor. */
#include "work/work_internal.h"

void cw_work_drawing_setting(cw_work *work, cw_drafting_setting *setting)
{
    const cw_job *job = work->job;
    const bool inch = job->units == CW_INCH_UNITS;

    /* where inches are read, third angle is */
    *setting = (cw_drafting_setting){ .paper = inch ? CW_DRAFTING_LETTER : CW_DRAFTING_A4, .units = job->units,
                                      .projection = inch ? CW_DRAFTING_THIRD_ANGLE : CW_DRAFTING_FIRST_ANGLE,
                                      .general_class = CW_DRAFTING_MEDIUM, .job = job->name,
                                      .machine = job->machine_name };
}

cw_status cw_work_drawings(cw_work *work, const cw_drafting_setting *setting, cw_drafting **former,
                           cw_drafting **arbor, cw_error *error)
{
    const cw_work_former_study *study;
    cw_status status = cw_work_former(work, &study, error);

    *former = *arbor = NULL;
    if (status == CW_OK)
        status = cw_former_drawing_create(&study->finished, setting, former, error);
    if (status == CW_OK && study->has_arbor)
        status = cw_arbor_drawing_create(&study->arbor, &study->finished, setting, arbor, error);
    if (status != CW_OK)
        cw_drafting_destroy(former);
    return status;
}
