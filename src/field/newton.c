/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Newton's method on a convex functional, with a line search on its slope.
 *
 * In deep saturation a full step from zero overshoots by orders of magnitude: the iron looks as good as at its best.
 * The slope along the step, g(s) = residual(a + s d).d, rises from -(d.K d) < 0 to far above zero; the search brackets
 * its zero and stops as soon as |g| has fallen to a fraction of its start. A tangent costs a factorisation, a slope
 * only a pass over the iron. */
#include "field/field_internal.h"

#include <math.h>
#include <string.h>

enum { MOST_STEPS = 60, MOST_TRIALS = 30 };

#define START_TOLERANCE 1e-3 /* on the decrement of the first-order start, whose own error is greater */

typedef struct search {
    cw_model *model;
    const double *from, *step;
    double *trial, *residual;
    int evaluations;
} search;

static double dot(const double *a, const double *b, size_t count)
{
    double sum = 0;

    for (size_t i = 0; i < count; i++)
        sum += a[i] * b[i];
    return sum;
}

/* `tangent`: the tangents there too, for a step that will hardly be any other. */
static double slope_at(search *search, double length, bool tangent)
{
    size_t count = search->model->unknown_count;

    for (size_t i = 0; i < count; i++)
        search->trial[i] = search->from[i] + length * search->step[i];
    cw_model__residual(search->model, search->trial, search->residual, tangent);
    search->evaluations++;
    return dot(search->residual, search->step, count);
}

/* Length of the step: 1 where the slope there is small or still falls, else a zero of the slope, roughly. */
static double step_length(search *search, double start)
{
    double low = 0, high = 1, at_low = start, at_high = slope_at(search, 1, true), length = 1, at = at_high;

    for (int i = 0; i < MOST_TRIALS && !(fabs(at) <= 0.25 * -start) && at_high > 0; i++) {
        /* far apart in size, the slopes say little about where the zero is: halve; else the secant */
        double share = at_low / (at_low - at_high);

        length = low + (high - low) * (share < 0.1 ? 0.1 : share > 0.9 ? 0.9 : share);
        at = slope_at(search, length, false);
        if (at > 0) {
            high = length;
            at_high = at;
        } else {
            low = length;
            at_low = at;
        }
    }
    return length;
}

/* Largest entry of K x - b over the largest of b, from the element matrices. */
static double solve_error(const cw_model *model, const double *x, const double *b, double *work)
{
    double worst = 0, largest = 0;

    memcpy(work, b, model->unknown_count * sizeof(double));
    for (size_t t = 0; t < model->mesh->triangle_count; t++) {
        const double *entry = model->matrix[t];
        const int *u = model->unknown[t];

        for (int i = 0; i < 6; i++)
            for (int j = 0; j <= i; j++, entry++) {
                if (u[i] < 0 || u[j] < 0)
                    continue;
                work[u[i]] -= *entry * x[u[j]];
                if (i != j)
                    work[u[j]] -= *entry * x[u[i]];
            }
    }
    for (size_t i = 0; i < model->unknown_count; i++) {
        worst = fmax(worst, fabs(work[i]));
        largest = fmax(largest, fabs(b[i]));
    }
    return largest > 0 ? worst / largest : 0;
}

static double tangent_energy(const cw_model *model, const double *a)
{
    double sum = 0;

    for (size_t t = 0; t < model->mesh->triangle_count; t++) {
        const double *entry = model->matrix[t];
        const int *u = model->unknown[t];

        for (int i = 0; i < 6; i++)
            for (int j = 0; j <= i; j++, entry++)
                if (u[i] >= 0 && u[j] >= 0)
                    sum += (i == j ? 1 : 2) * *entry * a[u[i]] * a[u[j]];
    }
    return sum;
}

/* Energy of a step over that of the source at its end: of the coils, or of the step itself where there are none. */
static double decrement(const cw_model *model, const double *a, const double *step, double slope)
{
    double source = 0;

    for (int c = 0; c < model->coil_count; c++)
        source += model->current_a[c] *
                  (dot(model->load[c], a, model->unknown_count) + dot(model->load[c], step, model->unknown_count));
    if (model->applied_t != 0 || model->coercive != NULL)
        source += tangent_energy(model, a);
    return slope == 0 ? 0 : source != 0 ? fabs(slope / source) : 1;
}

static cw_status iterate(cw_model *model, double *a, double tolerance, double *work[4], cw_newton_record *record,
                         cw_error *error)
{
    size_t count = model->unknown_count;
    double *residual = work[0], *step = work[1], *trial = work[2];
    search search = { model, a, step, trial, work[3], 0 };

    cw_model__residual(model, a, residual, true);
    for (record->iterations = 0; record->iterations < MOST_STEPS; ) {
        double slope, length;
        cw_status status = cw_solver__factor(model->solver, (const double (*)[21])model->matrix, error);

        if (status != CW_OK)
            return status;
        for (size_t i = 0; i < count; i++)
            step[i] = -residual[i];
        cw_solver__solve(model->solver, step);
        record->iterations++;
        slope = dot(residual, step, count);
        record->decrement = decrement(model, a, step, slope);
        if (record->decrement <= tolerance) {
            /* near the end the slope along the step is round-off, which no search can better */
            for (size_t i = 0; i < count; i++)
                residual[i] *= -1;
            record->residual = solve_error(model, step, residual, trial);
            for (size_t i = 0; i < count; i++)
                a[i] += step[i];
            return CW_OK;
        }
        length = step_length(&search, slope);
        for (size_t i = 0; i < count; i++)
            a[i] += length * step[i];
        record->evaluations = search.evaluations;
        if (length == 1)
            memcpy(residual, search.residual, count * sizeof(double));
        else
            cw_model__residual(model, a, residual, true);
    }
    return cw_fail(error, "The iron's equations did not settle in %d steps; the last step still moved %.2g of the "
                   "energy.", MOST_STEPS, record->decrement);
}

static cw_status run(cw_model *model, double *a, double tolerance, cw_newton_record *record, cw_error *error)
{
    double *work[4];
    bool complete = true;
    cw_status status;

    for (int i = 0; i < 4; i++)
        complete &= (work[i] = cw_allocate(model->unknown_count, sizeof(double))) != NULL;
    status = complete ? iterate(model, a, tolerance, work, record, error) : cw_no_memory(error);
    for (int i = 0; i < 4; i++)
        cw_free(work[i]);
    return status;
}

/* a from the corners' values: those themselves, and their means at the middles of the sides. */
static void spread(const cw_model *first, const double *values, const cw_model *model, double *a)
{
    for (size_t t = 0; t < model->mesh->triangle_count; t++) {
        double corner[3];

        for (int k = 0; k < 3; k++)
            corner[k] = first->unknown[t][k] >= 0 ? values[first->unknown[t][k]] : 0;
        for (int k = 0; k < 3; k++) {
            if (model->unknown[t][k] >= 0)
                a[model->unknown[t][k]] = corner[k];
            if (model->unknown[t][3 + k] >= 0)
                a[model->unknown[t][3 + k]] = 0.5 * (corner[k] + corner[(k + 1) % 3]);
        }
    }
}

static cw_status start(const cw_model *model, double *a, cw_newton_record *record, cw_error *error)
{
    cw_newton_record beginning = { 0 };
    cw_model *first;
    cw_status status = cw_model__first_order(model, &first, error);
    double *values = status == CW_OK ? cw_allocate(first->unknown_count, sizeof *values) : NULL;

    if (status == CW_OK)
        status = values != NULL ? run(first, values, START_TOLERANCE, &beginning, error) : cw_no_memory(error);
    if (status == CW_OK)
        spread(first, values, model, a);
    record->start_iterations = beginning.iterations;
    cw_free(values);
    cw_model__destroy(&first);
    return status;
}

static bool all_zero(const double *a, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (a[i] != 0)
            return false;
    return true;
}

cw_status cw_model__solve(cw_model *model, double *a, double tolerance, cw_newton_record *record, cw_error *error)
{
    cw_status status = CW_OK;

    memset(record, 0, sizeof *record);
    if (all_zero(a, model->unknown_count))
        status = start(model, a, record, error);
    return status == CW_OK ? run(model, a, tolerance, record, error) : status;
}
