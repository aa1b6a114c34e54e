/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a magnet cools its coil, as two numbers that choose can use for any winding: kelvin of the winding's mean per watt
 * while it is on, and the hottest place's rise over the mean's.
 *
 * One coarse steady state at the voltage whose square is the duty's share of the supply's, so that all is as warm as it is
 * on average. The rise is then split in two: that of the iron and the rest over the air, and that of the winding over
 * them, each with its own time constant
 *
 *     C rise/P        C: heat capacity of the winding's parts; of all other parts
 *
 * and the greatest rise over the duty is the sum of both peaks [heat: section 5.6]. Against the same by finite elements
 * over time: tests/work/test_choose.c. */
#include "work/work_internal.h"

#include <math.h>

#define PI 3.14159265358979323846

typedef struct bodies {
    double winding_j_per_k, rest_j_per_k;
    double rest_c; /* mean of the rest, by capacity */
} bodies;

static double volume_of(const cw_heat_section *section, const cw_heat_part *part)
{
    const double height = part->y[1] - part->y[0];

    if (section->planar)
        return section->depth_m * (part->x[1] - part->x[0]) * height * (section->mirrored ? 2 : 1);
    return PI * (part->x[1] * part->x[1] - part->x[0] * part->x[0]) * height;
}

static void weigh(const cw_heat_section *section, const cw_heat_result *result, bodies *b)
{
    double sum = 0;

    *b = (bodies){ 0, 0, section->ambient_c };
    for (int i = 0; i < section->part_count; i++) {
        const double capacity = section->part[i].capacity_j_per_m3k * volume_of(section, &section->part[i]);

        if (section->part[i].winding) {
            b->winding_j_per_k += capacity;
        } else if (capacity > 0 && isfinite(result->part[i].mean_c)) {
            b->rest_j_per_k += capacity;
            sum += capacity * result->part[i].mean_c;
        }
    }
    if (b->rest_j_per_k > 0)
        b->rest_c = sum / b->rest_j_per_k;
}

static double share_of(const cw_supply *supply)
{
    return supply->duty_share > 0 && supply->duty_share < 1 ? supply->duty_share : 1;
}

/* Greatest rise over the duty, from the means at the same mean power. */
static double peak_rise(const cw_supply *supply, const cw_heat_result *result, const bodies *b, double ambient_c)
{
    const double share = share_of(supply), power = result->power_w;
    const double low = fmax(0, b->rest_c - ambient_c);
    const double high = fmax(0, result->mean_winding_c - fmax(b->rest_c, ambient_c));
    const cw_heat_curve curves[] = { { low / share, b->rest_j_per_k * low / power },
                                     { high / share, b->winding_j_per_k * high / power } };

    if (share == 1 || !(supply->duty_period_s > 0) || !(low > 0))
        return low + high;
    return cw_heat_duty_peak_k(curves, 2, share * supply->duty_period_s, supply->duty_period_s);
}

cw_status cw_work__cooling(cw_work *work, cw_choice_cooling *cooling, cw_error *error)
{
    const cw_heat_wish coarse = { .fineness = 0.25 };
    const cw_supply *supply = &work->job->supply;
    cw_work_heat_study study = { 0 };
    cw_heat_result result;
    cw_heat *heat = NULL;
    bodies b;
    cw_status status = cw_work__heat_section(work, work->winding, &study, error);

    if (status == CW_OK && !study.in_iron)
        status = cw_refuse(error, NULL, NULL, "There is no iron to work the heat out in.");
    if (status == CW_OK && supply->kind == CW_AC)
        status = cw_refuse(error, NULL, NULL, "On ac the current hangs on the flux.");
    if (status != CW_OK)
        return status;
    study.section.drive.value *= sqrt(share_of(supply));
    status = cw_heat_create(&study.section, &coarse, &heat, error);
    if (status == CW_OK)
        status = cw_heat_steady(heat, &result, error);
    cw_heat_destroy(&heat);
    if (status == CW_OK && (result.runs_away || !(result.mean_winding_c > study.section.ambient_c)))
        status = cw_refuse(error, NULL, NULL, "No steady temperature was found.");
    if (status != CW_OK)
        return status;
    weigh(&study.section, &result, &b);
    cooling->mean_k_per_w = peak_rise(supply, &result, &b, study.section.ambient_c) /
                            (result.power_w / share_of(supply) / study.share);
    cooling->hot_share = (result.hot_spot_c - study.section.ambient_c) /
                         (result.mean_winding_c - study.section.ambient_c);
    return CW_OK;
}
