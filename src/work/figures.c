/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the figures of heat and switching are made of. */
#include "work/work_internal.h"

#include <math.h>

cw_heat_map_figure cw_work_heat_map(const cw_work_heat_study *study, cw_unit_system units)
{
    cw_heat_map_figure figure = { .heat = study->map, .units = units,
                                  .moment = study->intermittent ? "at the end of the on-time" : "always on" };

    figure.part = study->intermittent ? study->duty.part : study->steady.part;
    figure.part_count = study->intermittent ? study->duty.part_count : study->steady.part_count;
    return figure;
}

cw_duty_figure cw_work_duty(const cw_work_heat_study *study, cw_unit_system units)
{
    return (cw_duty_figure){ study->intermittent ? &study->duty : &study->warm_up, study->thermal_class_c,
                             study->section.ambient_c, units };
}

cw_switch_figure cw_work_switch_curves(const cw_work_switch_study *study, cw_unit_system units)
{
    return (cw_switch_figure){ &study->study, study->pull_needed_n, units };
}

cw_status cw_work__heat_figure(cw_work *work, cw_figure which, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const cw_unit_system units = work->job->units;
    const cw_work_heat_study *study;
    cw_heat_map_figure map;
    cw_duty_figure duty;
    cw_status status = cw_work_heat(work, &study, error);

    if (status != CW_OK)
        return status;
    if (which == CW_FIGURE_DUTY) {
        duty = cw_work_duty(study, units);
        return cw_duty_write(&duty, paper, out, error);
    }
    if (study->map == NULL)
        return cw_refuse(error, NULL, "less voltage or more ohm", "The coil burns out: there is no steady state to draw.");
    map = cw_work_heat_map(study, units);
    return cw_heat_map_write(&map, paper, out, error);
}

cw_status cw_work__switch_figure(cw_work *work, cw_figure which, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const cw_work_switch_study *study;
    cw_switch_figure figure;
    cw_status status = cw_work_switch(work, work->switch_stage.tried ? work->suppressor : cw_work_usual_suppressor(work),
                                      &study, error);

    if (status != CW_OK)
        return status;
    figure = cw_work_switch_curves(study, work->job->units);
    if (which == CW_FIGURE_SWITCH_ON)
        return cw_switch_on_write(&figure, paper, out, error);
    if (which == CW_FIGURE_SWITCH_OFF)
        return cw_switch_off_write(&figure, paper, out, error);
    return cw_suppressors_write(&figure, paper, out, error);
}
