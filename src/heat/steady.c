/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The steady state: Newton's method on temperatures and I^2 together.
 *
 * Surfaces are linearised where they are; the growth of the loss with the temperature stands in the matrix. At
 * constant voltage s = I^2 follows the scalar equation s R(T)^2 = V^2 along the line T = T0 + (s - s0) dT/ds, which
 * costs one more pair of triangular solves and no matrix. Where the matrix is not positive definite at constant
 * current from however hot a start, there is no steady state: surfaces pass the more per kelvin the hotter they are,
 * so that Newton's method comes down from above to the state wherever there is one. */
#include "heat/heat_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST_ITERATIONS = 60, FINE_TRIANGLES = 6000 };

#define CONVERGED_K 1e-5 /* of the last step; what is left after it is less by far */
#define CHORD_K 1        /* after a smaller step the matrix is kept: what it leaves is a hundredth of each step */

typedef struct steady {
    cw_heat *heat;
    double *fixed, *per_s; /* shape [unknown_count] */
    double factored_s;     /* I^2 in the matrix: 0 without the loss's growth */
} steady;

/* rhs of T for the matrix as factorised: sources, the constant part of linearised surfaces, and of the loss what does
 * not stand in the matrix. */
static void right_hand_side(const steady *st, double *rhs)
{
    cw_heat *heat = st->heat;
    const cw_drive *d = &heat->section.drive;
    const double s = heat->squared, rest = s - st->factored_s;

    memcpy(rhs, heat->source, heat->unknown_count * sizeof *rhs);
    for (size_t i = 0; i < heat->unknown_count; i++)
        rhs[i] += s * d->resistance_20c_ohm * (1 - 20 * d->alpha_20c_per_k) * heat->share[i];
    if (rest != 0)
        cw_heat__multiply(heat, heat->loss, rest * d->alpha_20c_per_k, heat->t, rhs);
    for (size_t k = 0; k < heat->edge_count; k++) {
        const cw_heat_edge *edge = &heat->edge[k];
        const int *unknown = heat->unknown[edge->element];

        for (int q = 0; q < 3; q++) {
            const double *n = cw_heat__edge_shape[q];
            double temperature = 0, flux, slope;

            for (int i = 0; i < 3; i++)
                temperature += n[i] * heat->t[unknown[edge->local[i]]];
            cw_surface_flux(&edge->surface, temperature, &flux, &slope);
            for (int i = 0; i < 3; i++)
                rhs[unknown[edge->local[i]]] += edge->weight[q] * (edge->slope[q] * temperature - flux) * n[i];
        }
    }
}

/* s with s R^2 = V^2 along R = R0 + (s - s0) R1, in a range that one step may cross. */
static double squared_current(const cw_heat *heat, double r0, double r1)
{
    const cw_drive *d = &heat->section.drive;
    double low = heat->squared / 1.5, high = heat->squared * 1.5;

    if (d->kind == CW_DRIVE_CURRENT)
        return d->value * d->value;
    for (int i = 0; i < 60; i++) {
        double s = 0.5 * (low + high), r = r0 + (s - heat->squared) * r1;

        if (r < 0 || s * r * r < d->value * d->value)
            low = s;
        else
            high = s;
    }
    return low;
}

/* dT/ds, which serves as long as the matrix does. */
static void slope_over_current(steady *st, bool feedback)
{
    cw_heat *heat = st->heat;

    memset(st->per_s, 0, heat->unknown_count * sizeof *st->per_s);
    if (heat->section.drive.kind == CW_DRIVE_CURRENT)
        return;
    cw_heat__coil_loss(heat, 1, feedback ? st->fixed : heat->t, st->per_s);
    cw_solver__solve(heat->solver, st->per_s);
}

static cw_status newton(steady *st, bool fresh, bool feedback, bool *definite, double *change, cw_error *error)
{
    cw_heat *heat = st->heat;
    double r0, r1, s = heat->squared;

    if (fresh) {
        cw_status status;

        st->factored_s = feedback ? heat->squared : 0;
        cw_heat__surfaces(heat, heat->t, NULL, true);
        status = cw_heat__factor(heat, 0, st->factored_s, definite, error);
        if (status != CW_OK || !*definite)
            return status;
    }
    right_hand_side(st, st->fixed);
    cw_solver__solve(heat->solver, st->fixed);
    if (fresh)
        slope_over_current(st, feedback);
    if (heat->section.drive.kind == CW_DRIVE_VOLTAGE) {
        r0 = cw_heat__resistance(heat, st->fixed);
        r1 = cw_heat__resistance(heat, st->per_s) - heat->section.drive.resistance_20c_ohm *
                                                        (1 - 20 * heat->section.drive.alpha_20c_per_k);
        s = squared_current(heat, r0, r1);
    }
    *change = heat->squared > 0 ? fabs(s / heat->squared - 1) * 100 : 0;
    for (size_t i = 0; i < heat->unknown_count; i++) {
        double t = st->fixed[i] + (s - heat->squared) * st->per_s[i];

        *change = fmax(*change, fabs(t - heat->t[i]));
        heat->t[i] = t;
    }
    heat->squared = s;
    return CW_OK;
}

static void start_at(cw_heat *heat, double temperature_c)
{
    for (size_t i = 0; i < heat->unknown_count; i++)
        heat->t[i] = temperature_c;
    heat->squared = cw_heat__squared(heat, heat->t);
}

/* Iterates from where the section stands; false where the way ends in an indefinite matrix. */
static cw_status iterate(steady *st, bool *found, int *iterations, cw_error *error)
{
    bool current = st->heat->section.drive.kind == CW_DRIVE_CURRENT, definite = true;
    double change = INFINITY;
    cw_status status = CW_OK;

    for (int i = 0; i < MOST_ITERATIONS && change > CONVERGED_K && status == CW_OK; i++, ++*iterations) {
        const bool fresh = change > CHORD_K;

        status = newton(st, fresh, true, &definite, &change, error);
        if (status == CW_OK && !definite && !current)
            status = newton(st, true, false, &definite, &change, error);
        if (!definite)
            break;
    }
    *found = definite && change <= CONVERGED_K;
    return status;
}

/* ---- results -------------------------------------------------------------------------------------------------- */

void cw_heat__parts(const cw_heat *heat, const double *t, cw_heat_part_result *part)
{
    double volume[CW_MOST_HEAT_PARTS] = { 0 }, sum[CW_MOST_HEAT_PARTS] = { 0 };

    for (int p = 0; p < heat->section.part_count; p++) {
        snprintf(part[p].name, sizeof part[p].name, "%s", heat->section.part[p].name);
        part[p].most_c = -INFINITY;
        part[p].limit_c = heat->section.part[p].limit_c;
    }
    for (size_t e = 0; e < heat->triangle_count; e++) {
        int p = heat->mesh->region[heat->triangle[e]] - 1;

        part[p].most_c = fmax(part[p].most_c, cw_heat__peak(heat, e, t, NULL));
        for (int i = 0; i < 6; i++)
            for (int j = 0; j < 6; j++) {
                double m = heat->mass[e][i >= j ? i * (i + 1) / 2 + j : j * (j + 1) / 2 + i];

                sum[p] += m * t[heat->unknown[e][i]];
                volume[p] += m;
            }
    }
    for (int p = 0; p < heat->section.part_count; p++) {
        part[p].mean_c = volume[p] > 0 ? sum[p] / volume[p] : NAN;
        if (volume[p] == 0)
            part[p].most_c = NAN;
        part[p].margin_k = part[p].limit_c - part[p].most_c;
    }
}

double cw_heat__margin(const cw_heat_part_result *part, int count, int *tightest)
{
    double margin_k = NAN;

    *tightest = -1;
    for (int p = 0; p < count; p++)
        if (!isnan(part[p].margin_k) && !(part[p].margin_k >= margin_k)) {
            margin_k = part[p].margin_k;
            *tightest = p;
        }
    return margin_k;
}

static void collect(cw_heat *heat, cw_heat_result *result)
{
    double own = 0, place[2] = { NAN, NAN };

    result->hot_spot_c = cw_heat__hottest_winding(heat, heat->t, place);
    result->hot_spot_x_m = place[0];
    result->hot_spot_y_m = place[1];
    result->part_count = heat->section.part_count;
    cw_heat__parts(heat, heat->t, result->part);
    result->margin_k = cw_heat__margin(result->part, result->part_count, &result->tightest);
    for (size_t i = 0; i < heat->unknown_count; i++) {
        own += heat->source[i];
        result->mean_winding_c += heat->share[i] * heat->t[i];
    }
    result->hot_spot_doubt_k = NAN;
    result->surface_c = cw_heat__hottest_surface(heat, heat->t);
    result->resistance_hot_ohm = cw_heat__resistance(heat, heat->t);
    result->current_a = sqrt(heat->squared);
    result->power_w = heat->squared * result->resistance_hot_ohm;
    result->power_out_w = cw_heat__surfaces(heat, heat->t, NULL, false);
    result->energy_error = result->power_w + own > 0 ? fabs(result->power_out_w / (result->power_w + own) - 1)
                                                     : fabs(result->power_out_w);
}

static void none(cw_heat_result *result)
{
    *result = (cw_heat_result){ .runs_away = true, .hot_spot_c = NAN, .hot_spot_x_m = NAN, .hot_spot_y_m = NAN,
                                .hot_spot_doubt_k = NAN, .mean_winding_c = NAN, .surface_c = NAN,
                                .resistance_hot_ohm = NAN, .current_a = NAN, .power_w = NAN, .power_out_w = NAN,
                                .energy_error = NAN, .margin_k = NAN, .tightest = -1 };
}

cw_status cw_heat_steady(cw_heat *heat, cw_heat_result *result, cw_error *error)
{
    steady st = { heat, cw_allocate(heat->unknown_count, sizeof(double)),
                  cw_allocate(heat->unknown_count, sizeof(double)), 0 };
    cw_heat_result made = { 0 };
    bool found = false, started = false;
    int iterations = 0;
    cw_status status = CW_OK;

    if (st.fixed == NULL || st.per_s == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK && heat->triangle_count > FINE_TRIANGLES)
        status = cw_heat__coarse_start(heat, &started, error);
    if (status == CW_OK && !started)
        start_at(heat, heat->section.ambient_c + 60);
    if (status == CW_OK)
        status = iterate(&st, &found, &iterations, error);
    if (status == CW_OK && !found && heat->section.drive.kind == CW_DRIVE_CURRENT) {
        start_at(heat, heat->section.ambient_c + 2 * CW_RUNAWAY_C);
        status = iterate(&st, &found, &iterations, error);
    }
    if (status == CW_OK) {
        if (found && cw_heat__hottest_winding(heat, heat->t, NULL) <= CW_RUNAWAY_C)
            collect(heat, &made);
        else
            none(&made);
        made.unknowns = heat->unknown_count;
        made.triangles = heat->triangle_count;
        made.iterations = iterations;
        *result = made;
    }
    cw_free(st.fixed);
    cw_free(st.per_s);
    return status;
}

/* ---- doubt ---------------------------------------------------------------------------------------------------- */

enum { BY_CONVECTION, BY_EMISSIVITY, BY_WINDINGS, BY_OTHERS, BY_LOSSES, DOUBTS };

static void vary(cw_heat_section *section, int what, int sign)
{
    const double spread = section->convection_spread > 0 ? section->convection_spread : CW_CONVECTION_SPREAD;

    if (what == BY_CONVECTION)
        section->convection_scale = (section->convection_scale > 0 ? section->convection_scale : 1) * (1 + sign * spread);
    for (int p = 0; p < section->part_count; p++) {
        cw_heat_part *part = &section->part[p];
        double factor = part->conductivity_spread > 1 ? pow(part->conductivity_spread, sign) : 1;

        if (what == BY_LOSSES && part->loss_spread > 1)
            part->loss_w *= pow(part->loss_spread, sign);
        if (what == BY_EMISSIVITY)
            part->emissivity = fmin(1, fmax(0, part->emissivity + 0.05 * sign));
        if (what != (part->winding ? BY_WINDINGS : BY_OTHERS))
            continue;
        part->conductivity_w_per_mk[0] *= factor;
        part->conductivity_w_per_mk[1] *= factor;
    }
}

static cw_status hot_spot_of(const cw_heat_section *section, const cw_heat_wish *wish, double *hot, cw_error *error)
{
    cw_heat *heat = NULL;
    cw_heat_result result = { 0 };
    cw_status status = cw_heat_create(section, wish, &heat, error);

    if (status == CW_OK)
        status = cw_heat_steady(heat, &result, error);
    *hot = result.runs_away ? CW_RUNAWAY_C : result.hot_spot_c;
    cw_heat_destroy(&heat);
    return status;
}

static bool has_loss(const cw_heat_section *section)
{
    for (int p = 0; p < section->part_count; p++)
        if (section->part[p].loss_w > 0 && section->part[p].loss_spread > 1)
            return true;
    return false;
}

cw_status cw_heat_doubt(const cw_heat_section *section, double *half_width_k, cw_error *error)
{
    const cw_heat_wish coarse = { .fineness = 0.34 };
    double squares = 0;
    cw_status status = CW_OK;

    for (int what = 0; what < DOUBTS && status == CW_OK; what++) {
        double hot[2];

        if (what == BY_LOSSES && !has_loss(section))
            continue;
        for (int k = 0; k < 2 && status == CW_OK; k++) {
            cw_heat_section varied = *section;

            vary(&varied, what, 2 * k - 1);
            status = hot_spot_of(&varied, &coarse, &hot[k], error);
        }
        squares += status == CW_OK ? 0.25 * (hot[0] - hot[1]) * (hot[0] - hot[1]) : 0;
    }
    if (status == CW_OK)
        *half_width_k = sqrt(squares);
    return status;
}

cw_status cw_heat_steady_with_doubt(const cw_heat_section *section, const cw_heat_wish *wish, cw_heat_result *result,
                                    cw_error *error)
{
    cw_heat *heat = NULL;
    cw_heat_result made;
    cw_status status = cw_heat_create(section, wish, &heat, error);

    if (status == CW_OK)
        status = cw_heat_steady(heat, &made, error);
    if (status == CW_OK && !made.runs_away)
        status = cw_heat_doubt(section, &made.hot_spot_doubt_k, error);
    if (status == CW_OK)
        *result = made;
    cw_heat_destroy(&heat);
    return status;
}
