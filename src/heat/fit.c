/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What one heat run tells: the surfaces' convection and the windings' conductivity.
 *
 * Two factors, p = (ln convection, ln conductivity), by Gauss and Newton's method on
 *     sum ((R_model - R)/sigma)^2 + sum (p/sigma_prior)^2,
 * with the model followed over time for each trial. The doubt is that of the normal equations. The resistance shows
 * the winding's mean only, so the conductivity is often left near its prior; its doubt says so. */
#include "heat/heat_internal.h"

#include <math.h>
#include <string.h>

enum { MOST_ITERATIONS = 12, MOST_READINGS = 1000 };

#define HALF_WIDTH 1.959964 /* standard deviations in a half-width that holds 95 % */
#define DIFFERENCE 0.03     /* of ln p, for slopes */
#define CONVERGED 2e-3

typedef struct fitting {
    cw_heat_section section; /* drive and ambient of the run */
    const cw_heat_reading *readings;
    size_t count;
    double prior[2];         /* standard deviations of p */
} fitting;

static double curve_at(const cw_heat_run *run, double time_s)
{
    size_t i = 1;

    if (time_s >= run->curve[run->count - 1].time_s)
        return run->curve[run->count - 1].mean_winding_c;
    while (run->curve[i].time_s < time_s)
        i++;
    return run->curve[i - 1].mean_winding_c +
           (run->curve[i].mean_winding_c - run->curve[i - 1].mean_winding_c) *
               (time_s - run->curve[i - 1].time_s) / (run->curve[i].time_s - run->curve[i - 1].time_s);
}

/* Misfits of the readings in standard deviations. */
static cw_status misfits(const fitting *f, const double p[2], double *z, cw_error *error)
{
    const cw_heat_wish coarse = { .fineness = 0.25 };
    const cw_heat_duty duty = { INFINITY, 0, f->readings[0].ambient_c, f->readings[f->count - 1].time_s -
                                f->readings[0].time_s, 0.2 };
    const cw_drive *d = &f->section.drive;
    cw_heat_section section = f->section;
    cw_heat *heat = NULL;
    cw_heat_run run = { 0 };
    cw_status status;

    section.convection_scale *= exp(p[0]);
    section.conductivity_scale *= exp(p[1]);
    status = cw_heat_create(&section, &coarse, &heat, error);
    if (status == CW_OK)
        status = cw_heat_follow(heat, &duty, &run, error);
    for (size_t i = 0; i < f->count && status == CW_OK; i++) {
        double mean = curve_at(&run, f->readings[i].time_s - f->readings[0].time_s);
        double ohm = d->resistance_20c_ohm * (1 + d->alpha_20c_per_k * (mean - 20));

        z[i] = (ohm - f->readings[i].resistance_ohm) / (f->readings[i].doubt_ohm / HALF_WIDTH);
    }
    cw_heat_run_clear(&run);
    cw_heat_destroy(&heat);
    return status;
}

/* Normal equations a dp = b at p; z at p and at the two shifted places. */
static void normal_equations(const fitting *f, const double p[2], double *const z[3], double a[2][2], double b[2])
{
    memset(a, 0, 4 * sizeof(double));
    for (int j = 0; j < 2; j++) {
        double inverse = 1 / (f->prior[j] * f->prior[j]);

        a[j][j] = inverse;
        b[j] = -p[j] * inverse;
    }
    for (size_t i = 0; i < f->count; i++) {
        double slope[2] = { (z[1][i] - z[0][i]) / DIFFERENCE, (z[2][i] - z[0][i]) / DIFFERENCE };

        for (int j = 0; j < 2; j++) {
            b[j] -= slope[j] * z[0][i];
            for (int k = 0; k < 2; k++)
                a[j][k] += slope[j] * slope[k];
        }
    }
}

static cw_status iterate(const fitting *f, double *const z[3], cw_heat_fit *fit, cw_error *error)
{
    double p[2] = { 0, 0 }, a[2][2], b[2], size = INFINITY, determinant = 1;
    cw_status status = CW_OK;

    while (status == CW_OK && size > CONVERGED && fit->iterations < MOST_ITERATIONS) {
        double move[2];

        status = misfits(f, p, z[0], error);
        for (int j = 0; j < 2 && status == CW_OK; j++)
            status = misfits(f, (double[2]){ p[0] + DIFFERENCE * (j == 0), p[1] + DIFFERENCE * (j == 1) }, z[1 + j],
                             error);
        if (status != CW_OK)
            return status;
        normal_equations(f, p, z, a, b);
        determinant = a[0][0] * a[1][1] - a[0][1] * a[1][0];
        move[0] = (a[1][1] * b[0] - a[0][1] * b[1]) / determinant;
        move[1] = (a[0][0] * b[1] - a[1][0] * b[0]) / determinant;
        size = fmax(fabs(move[0]), fabs(move[1]));
        for (int j = 0; j < 2; j++)
            p[j] += move[j] * fmin(1, 0.7 / size);
        fit->iterations++;
    }
    if (status == CW_OK)
        status = misfits(f, p, z[0], error);
    fit->convection_scale = exp(p[0]);
    fit->conductivity_scale = exp(p[1]);
    fit->convection_doubt = HALF_WIDTH * sqrt(a[1][1] / determinant);
    fit->conductivity_doubt = HALF_WIDTH * sqrt(a[0][0] / determinant);
    for (size_t i = 0; i < f->count; i++)
        fit->worst_z = fmax(fit->worst_z, fabs(z[0][i]));
    return status;
}

static cw_status check(const cw_heat_reading *readings, size_t count, cw_error *error)
{
    if (count < 3 || count > MOST_READINGS)
        return cw_refuse(error, NULL, "3 to 1000 readings", "The heat run has %zu readings.", count);
    for (size_t i = 0; i < count; i++) {
        if (!(readings[i].resistance_ohm > 0 && readings[i].doubt_ohm > 0 && isfinite(readings[i].ambient_c)))
            return cw_refuse(error, NULL, "a resistance, its doubt and the ambient", "Reading %zu of the heat run has "
                             "%g ohm +- %g at %g degrees.", i + 1, readings[i].resistance_ohm, readings[i].doubt_ohm,
                             readings[i].ambient_c);
        if (i > 0 && !(readings[i].time_s > readings[i - 1].time_s))
            return cw_refuse(error, NULL, "times that rise", "Reading %zu of the heat run, at %g s, does not follow "
                             "%g s.", i + 1, readings[i].time_s, readings[i - 1].time_s);
    }
    return CW_OK;
}

/* The run's own resistance, ambient and priors. */
static void set_out(const cw_heat_section *section, const cw_heat_reading *readings, size_t count, fitting *f)
{
    double spread = 1, ambient = 0;

    *f = (fitting){ *section, readings, count, { 0, 0 } };
    for (size_t i = 0; i < count; i++)
        ambient += readings[i].ambient_c / (double)count;
    for (int p = 0; p < section->part_count; p++)
        if (section->part[p].winding)
            spread = fmax(spread, section->part[p].conductivity_spread);
    f->section.ambient_c = ambient;
    f->section.drive.resistance_20c_ohm = readings[0].resistance_ohm /
                                          (1 + section->drive.alpha_20c_per_k * (readings[0].ambient_c - 20));
    if (!(f->section.convection_scale > 0))
        f->section.convection_scale = 1;
    if (!(f->section.conductivity_scale > 0))
        f->section.conductivity_scale = 1;
    f->prior[0] = CW_CONVECTION_SPREAD / HALF_WIDTH;
    f->prior[1] = fmax(0.02, log(spread)) / HALF_WIDTH;
}

cw_status cw_heat_fit_run(const cw_heat_section *section, const cw_heat_reading *readings, size_t count,
                          cw_heat_fit *fit, cw_error *error)
{
    fitting f;
    cw_heat_fit made = { 0 };
    double *z[3] = { NULL, NULL, NULL };
    cw_status status = check(readings, count, error);

    if (status != CW_OK)
        return status;
    set_out(section, readings, count, &f);
    for (int i = 0; i < 3; i++)
        z[i] = cw_allocate(count, sizeof(double));
    if (z[0] == NULL || z[1] == NULL || z[2] == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK)
        status = iterate(&f, z, &made, error);
    if (status == CW_OK) {
        made.convection_scale *= f.section.convection_scale;
        made.conductivity_scale *= f.section.conductivity_scale;
        *fit = made;
    }
    for (int i = 0; i < 3; i++)
        cw_free(z[i]);
    return status;
}
