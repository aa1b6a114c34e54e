/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "field/residual.h"

#include <math.h>
#include <string.h>

#define FULL_LOOP_T 1.5      /* at which coercivities are given; above it they hardly rise */
#define NARROWING 0.6        /* Steinmetz's 1.6 less 1: the loop's width by its height */
#define TOLERANCE 1e-8

static void hold_on(const cw_model *model, const double *a, size_t t, double coercivity, double held[3][2])
{
    cw_point points[3];

    cw_model__points(model, t, points);
    for (int q = 0; q < 3; q++) {
        double b[2] = { 0, 0 }, density;

        for (int i = 0; i < 6; i++)
            if (model->unknown[t][i] >= 0) {
                b[0] += points[q].bx[i] * a[model->unknown[t][i]];
                b[1] += points[q].by[i] * a[model->unknown[t][i]];
            }
        density = hypot(b[0], b[1]);
        for (int d = 0; d < 2 && density > 0; d++)
            held[q][d] = coercivity * fmin(1, pow(density / FULL_LOOP_T, NARROWING)) * b[d] / density;
    }
}

static cw_status relax(cw_model *model, const double *a, const double *weight, double *force_n, cw_error *error)
{
    double *rest = cw_allocate(model->unknown_count, sizeof *rest), currents[CW_MOST_COILS];
    cw_newton_record record;
    cw_status status;

    if (rest == NULL)
        return cw_no_memory(error);
    memcpy(rest, a, model->unknown_count * sizeof *rest);
    memcpy(currents, model->current_a, sizeof currents);
    memset(model->current_a, 0, sizeof currents);
    status = cw_model__solve(model, rest, TOLERANCE, &record, error);
    memcpy(model->current_a, currents, sizeof currents);
    if (status == CW_OK)
        *force_n = cw_model__force(model, rest, weight, NULL);
    cw_free(rest);
    return status;
}

cw_status cw_model__residual_force(cw_model *model, const double *a, const double *coercivity_a_per_m,
                                   const double *weight, double *force_n, cw_error *error)
{
    double (*held)[3][2] = cw_allocate(model->mesh->triangle_count, sizeof *held);
    cw_status status;

    if (held == NULL)
        return cw_no_memory(error);
    for (size_t t = 0; t < model->mesh->triangle_count; t++)
        if (model->regions[model->mesh->region[t]].iron != NULL)
            hold_on(model, a, t, coercivity_a_per_m[model->mesh->region[t]], held[t]);
    model->coercive = held;
    status = relax(model, a, weight, force_n, error);
    model->coercive = NULL;
    cw_free(held);
    return status;
}
