/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a magnet cools its coil, as two numbers that choose can use for any winding: kelvin of the winding's mean per watt
 * while it is on, and the hottest place's rise over the mean's; both at the end of the on-time of the settled duty, by the
 * heat room's rule at the laid coil's own watts. Against the same by finite elements over time: tests/work/test_choose.c. */
#include "work/work_internal.h"

#include <math.h>

static cw_status find_rule(const cw_work *work, cw_work_heat_study *study, cw_heat_rule *rule, cw_error *error)
{
    cw_status status = cw_work__heat_section(work, work->winding, study, error);

    if (status == CW_OK && !study->in_iron)
        status = cw_refuse(error, NULL, NULL, "There is no iron to work the heat out in.");
    if (status == CW_OK && work->job->supply.kind == CW_AC)
        status = cw_refuse(error, NULL, NULL, "On ac the current hangs on the flux.");
    return status == CW_OK ? cw_heat_rule_of(&study->section, rule, error) : status;
}

cw_status cw_work__cooling(cw_work *work, cw_choice_cooling *cooling, cw_error *error)
{
    const cw_supply *supply = &work->job->supply;
    const bool intermittent = supply->duty_share > 0 && supply->duty_share < 1 && supply->duty_period_s > 0;
    cw_work_heat_study study = { 0 };
    cw_heat_rule rule;
    cw_heat_ruled ruled;
    cw_status status = find_rule(work, &study, &rule, error);

    if (status != CW_OK)
        return status;
    cw_heat_rule_at(&rule, &study.section.drive, intermittent ? supply->duty_share * supply->duty_period_s : INFINITY,
                    supply->duty_period_s, &ruled);
    if (!isfinite(ruled.hot_spot_c) || !(ruled.mean_winding_c > rule.ambient_c))
        return cw_refuse(error, NULL, NULL, "No steady temperature was found.");
    cooling->mean_k_per_w = (ruled.mean_winding_c - rule.ambient_c) / (ruled.power_w / study.share);
    cooling->hot_share = (ruled.hot_spot_c - rule.ambient_c) / (ruled.mean_winding_c - rule.ambient_c);
    return CW_OK;
}
