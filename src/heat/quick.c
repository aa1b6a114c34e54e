/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The quick estimate: the winding's section as 17 x 17 rings, the outer ones with their nodes on its faces, the iron as
 * one lump, Newton's method on all.
 *
 * Balance of a ring: conduction to its four neighbours = I^2 times its share of R20 times (1 + alpha (T - 20)).
 * Surfaces are linearised at the last temperature; so is I^2 with the resistance at constant voltage, by the scalar
 * equation s R(T)^2 = V^2 solved along the line T = T0 + (s - s0) T1. The loss's own growth with the temperature
 * stands in the matrix: where that is no longer positive definite, no steady state exists. */
#include "coilwright/heat.h"

#include <math.h>
#include <string.h>

enum { ACROSS = 17, CELLS = ACROSS * ACROSS, MOST_ITERATIONS = 60 };

#define PI 3.14159265358979323846
#define CONVERGED_K 1e-5
#define RUNAWAY_C 500 /* no insulation lives there, and the linear law of resistance ends */

typedef struct quick {
    const cw_heat_quick_plan *plan;
    double share[CELLS];              /* of the winding's volume */
    double radial[ACROSS][ACROSS];    /* W/K from [row][node] to the next node outwards */
    double axial[ACROSS];             /* W/K from a node of that column to the next one up */
    double area[4][ACROSS];           /* of faces, per ring along them */
    double band[CELLS][ACROSS + 1];   /* lower band of the matrix by rows; [ACROSS] is the diagonal */
    double rhs[CELLS], loss[CELLS], coupling[CELLS];
    double iron_diagonal, iron_rhs;
    double t[CELLS], iron, squared;   /* the iterate: temperatures, I^2 */
    double surface[4][ACROSS];        /* temperatures of faces to the air */
} quick;

static int cell_at(int face, int along)
{
    switch (face) {
    case CW_FACE_INSIDE:
        return along * ACROSS;
    case CW_FACE_OUTSIDE:
        return along * ACROSS + ACROSS - 1;
    case CW_FACE_BOTTOM:
        return along;
    default:
        return (ACROSS - 1) * ACROSS + along;
    }
}

/* Width of a node's share of `steps` equal steps. */
static double width(int node, double step)
{
    return node == 0 || node == ACROSS - 1 ? 0.5 * step : step;
}

static void lay_out(quick *q)
{
    const cw_heat_quick_plan *p = q->plan;
    double step = (p->outer_radius_m - p->inner_radius_m) / (ACROSS - 1), rise = p->length_m / (ACROSS - 1);
    double volume = PI * (pow(p->outer_radius_m, 2) - pow(p->inner_radius_m, 2)) * p->length_m;

    for (int i = 0; i < ACROSS; i++) {
        double r = p->inner_radius_m + step * i;
        double low = fmax(p->inner_radius_m, r - 0.5 * step), high = fmin(p->outer_radius_m, r + 0.5 * step);
        double ring = PI * (high - low) * (high + low);

        q->axial[i] = ring * p->material.along_axis_w_per_mk.nominal / rise;
        q->area[CW_FACE_BOTTOM][i] = q->area[CW_FACE_TOP][i] = ring;
        q->area[CW_FACE_INSIDE][i] = 2 * PI * p->inner_radius_m * width(i, rise);
        q->area[CW_FACE_OUTSIDE][i] = 2 * PI * p->outer_radius_m * width(i, rise);
        for (int j = 0; j < ACROSS; j++) {
            q->share[j * ACROSS + i] = ring * width(j, rise) / volume;
            q->radial[j][i] = 2 * PI * width(j, rise) * p->material.across_w_per_mk.nominal / log1p(step / r);
        }
    }
}

static void couple(quick *q, int a, int b, double conductance)
{
    q->band[a][ACROSS] += conductance;
    q->band[b][ACROSS] += conductance;
    q->band[b][ACROSS - (b - a)] -= conductance; /* b > a, at most a row apart */
}

/* Of the layer on a face. */
static double to_face(const quick *q, int face, int along)
{
    return q->plan->face[face].coefficient_w_per_m2k * q->area[face][along];
}

/* Share of what a surface at its own temperature passes that shows behind the layer. */
static double through_layer(double layer, double surface)
{
    return isinf(layer) ? 1 : layer / (layer + surface);
}

static void add_face(quick *q, int face)
{
    const cw_heat_face *f = &q->plan->face[face];

    for (int k = 0; k < ACROSS; k++) {
        double conductance = to_face(q, face, k), area = q->area[face][k], flux, slope, through;
        int cell = cell_at(face, k);

        if (conductance == 0)
            continue;
        if (f->to_iron) {
            q->band[cell][ACROSS] += conductance;
            q->coupling[cell] -= conductance;
            q->iron_diagonal += conductance;
            continue;
        }
        cw_surface_flux(&f->surface, q->surface[face][k], &flux, &slope);
        through = through_layer(conductance, area * slope);
        q->band[cell][ACROSS] += through * area * slope;
        q->rhs[cell] -= through * area * (flux - slope * q->surface[face][k]);
    }
}

static void assemble(quick *q, bool feedback)
{
    const cw_drive *d = &q->plan->drive;
    double flux, slope;

    memset(q->band, 0, sizeof q->band);
    memset(q->rhs, 0, sizeof q->rhs);
    memset(q->coupling, 0, sizeof q->coupling);
    q->iron_diagonal = q->iron_rhs = 0;
    for (int j = 0; j < ACROSS; j++)
        for (int i = 0; i < ACROSS; i++) {
            int cell = j * ACROSS + i;

            if (i + 1 < ACROSS)
                couple(q, cell, cell + 1, q->radial[j][i]);
            if (j + 1 < ACROSS)
                couple(q, cell, cell + ACROSS, q->axial[i]);
        }
    for (int face = 0; face < 4; face++)
        add_face(q, face);
    if (q->plan->iron_area_m2 > 0) {
        cw_surface_flux(&q->plan->iron_surface, q->iron, &flux, &slope);
        q->iron_diagonal += q->plan->iron_area_m2 * slope;
        q->iron_rhs -= q->plan->iron_area_m2 * (flux - slope * q->iron);
    }
    for (int c = 0; c < CELLS; c++) {
        double ohm = d->resistance_20c_ohm * q->share[c], growth = d->alpha_20c_per_k;

        q->loss[c] = ohm * (1 + growth * (q->t[c] - 20));
        q->band[c][ACROSS] -= feedback ? q->squared * ohm * growth : 0;
        q->rhs[c] += q->squared * (feedback ? ohm * (1 - 20 * growth) : q->loss[c]);
    }
}

/* Cholesky's method in the band. */
static bool factor(quick *q)
{
    for (int i = 0; i < CELLS; i++)
        for (int j = i > ACROSS ? i - ACROSS : 0; j <= i; j++) {
            int first = i > ACROSS ? i - ACROSS : 0;
            double sum = q->band[i][ACROSS - (i - j)];

            for (int k = first; k < j; k++)
                if (j - k <= ACROSS)
                    sum -= q->band[i][ACROSS - (i - k)] * q->band[j][ACROSS - (j - k)];
            if (i == j) {
                if (!(sum > 0))
                    return false;
                q->band[i][ACROSS] = sqrt(sum);
            } else {
                q->band[i][ACROSS - (i - j)] = sum / q->band[j][ACROSS];
            }
        }
    return true;
}

static void solve(const quick *q, double *x)
{
    for (int i = 0; i < CELLS; i++) {
        for (int k = i > ACROSS ? i - ACROSS : 0; k < i; k++)
            x[i] -= q->band[i][ACROSS - (i - k)] * x[k];
        x[i] /= q->band[i][ACROSS];
    }
    for (int i = CELLS - 1; i >= 0; i--) {
        x[i] /= q->band[i][ACROSS];
        for (int k = i > ACROSS ? i - ACROSS : 0; k < i; k++)
            x[k] -= q->band[i][ACROSS - (i - k)] * x[i];
    }
}

static double dot(const double *a, const double *b)
{
    double sum = 0;

    for (int i = 0; i < CELLS; i++)
        sum += a[i] * b[i];
    return sum;
}

/* Solves with the iron as the last unknown: rings[] and its own place in `iron`, both in and out. False where the
 * iron's own pivot is not above zero. */
static bool solve_with_iron(const quick *q, const double *pulled, double *rings, double *iron)
{
    double pivot;

    solve(q, rings);
    if (q->iron_diagonal == 0) {
        *iron = NAN;
        return true;
    }
    pivot = q->iron_diagonal - dot(q->coupling, pulled);
    if (!(pivot > 0))
        return false;
    *iron = (*iron - dot(q->coupling, rings)) / pivot;
    for (int i = 0; i < CELLS; i++)
        rings[i] -= *iron * pulled[i];
    return true;
}

static double resistance(const quick *q, const double *t)
{
    const cw_drive *d = &q->plan->drive;

    return d->resistance_20c_ohm * (1 + d->alpha_20c_per_k * (dot(q->share, t) - 20));
}

/* s with s R^2 = V^2 along R = R0 + (s - s0) R1, by bisection in a range that one step may cross: the line is only
 * the tangent of a curve that bends upwards. */
static double squared_current(const quick *q, double r0, double r1)
{
    const cw_drive *d = &q->plan->drive;
    double low = q->squared / 1.5, high = q->squared * 1.5;

    if (d->kind == CW_DRIVE_CURRENT)
        return d->value * d->value;
    for (int i = 0; i < 60; i++) {
        double s = 0.5 * (low + high), r = r0 + (s - q->squared) * r1;

        if (r < 0 || s * r * r < d->value * d->value)
            low = s;
        else
            high = s;
    }
    return low;
}

static void update_surfaces(quick *q)
{
    for (int face = 0; face < 4; face++)
        for (int k = 0; k < ACROSS; k++) {
            const cw_heat_face *f = &q->plan->face[face];
            double conductance = to_face(q, face, k), area = q->area[face][k], flux, slope, through;
            double t = q->t[cell_at(face, k)];

            if (f->to_iron || conductance == 0)
                continue;
            cw_surface_flux(&f->surface, q->surface[face][k], &flux, &slope);
            through = through_layer(conductance, area * slope);
            if (isinf(conductance))
                q->surface[face][k] = t;
            else
                q->surface[face][k] = through * t - (1 - through) * (flux / slope - q->surface[face][k]);
        }
}

/* One Newton step. False where the matrix is not positive definite. */
static bool newton(quick *q, bool feedback, double *change)
{
    double fixed[CELLS], per_s[CELLS], pulled[CELLS], iron = 0, iron_per_s = 0, s;

    assemble(q, feedback);
    memcpy(fixed, q->rhs, sizeof fixed);
    memcpy(pulled, q->coupling, sizeof pulled);
    if (!factor(q))
        return false;
    solve(q, pulled);
    iron = q->iron_rhs;
    if (!solve_with_iron(q, pulled, fixed, &iron))
        return false;
    for (int i = 0; i < CELLS; i++) /* dT/ds: the response to one more unit of s, at the new temperatures */
        per_s[i] = feedback ? q->plan->drive.resistance_20c_ohm * q->share[i] *
                                  (1 + q->plan->drive.alpha_20c_per_k * (fixed[i] - 20)) : q->loss[i];
    if (!solve_with_iron(q, pulled, per_s, &iron_per_s))
        return false;
    s = squared_current(q, resistance(q, fixed), q->plan->drive.resistance_20c_ohm * q->plan->drive.alpha_20c_per_k *
                                                     dot(q->share, per_s));
    *change = fabs(s / q->squared - 1) * 100;
    for (int i = 0; i < CELLS; i++) {
        double t = fixed[i] + (s - q->squared) * per_s[i];

        *change = fmax(*change, fabs(t - q->t[i]));
        q->t[i] = t;
    }
    q->iron = iron + (s - q->squared) * iron_per_s;
    q->squared = s;
    update_surfaces(q);
    return true;
}

static void start_at(quick *q, double temperature_c)
{
    const cw_drive *d = &q->plan->drive;

    for (int i = 0; i < CELLS; i++)
        q->t[i] = temperature_c;
    for (int face = 0; face < 4; face++)
        for (int k = 0; k < ACROSS; k++)
            q->surface[face][k] = temperature_c;
    q->iron = temperature_c;
    q->squared = d->kind == CW_DRIVE_CURRENT ? d->value * d->value : pow(d->value / resistance(q, q->t), 2);
}

/* At constant current from far above, whence Newton's method comes down monotonically wherever a steady state
 * exists, since fluxes bend upwards; at constant voltage from a usual rise. */
static bool iterate(quick *q, int *iterations)
{
    bool current = q->plan->drive.kind == CW_DRIVE_CURRENT;
    double change = INFINITY;

    start_at(q, q->plan->ambient_c + (current ? 2 * RUNAWAY_C : 60));
    for (*iterations = 0; *iterations < MOST_ITERATIONS && change > CONVERGED_K; ++*iterations)
        if (!newton(q, true, &change) && (current || !newton(q, false, &change)))
            return false;
    return change <= CONVERGED_K;
}

static double hottest(const quick *q)
{
    double most = -INFINITY;

    for (int i = 0; i < CELLS; i++)
        most = fmax(most, q->t[i]);
    return most;
}

static void collect(const quick *q, cw_heat_quick_result *result)
{
    const cw_heat_quick_plan *p = q->plan;
    double exposed = 0, weighted = 0;

    result->hot_spot_c = hottest(q);
    result->mean_winding_c = dot(q->share, q->t);
    result->iron_c = p->iron_area_m2 > 0 ? q->iron : NAN;
    result->surface_c = p->iron_area_m2 > 0 ? q->iron : -INFINITY;
    for (int face = 0; face < 4; face++)
        for (int k = 0; k < ACROSS; k++) {
            if (p->face[face].to_iron || p->face[face].coefficient_w_per_m2k == 0)
                continue;
            result->surface_c = fmax(result->surface_c, q->surface[face][k]);
            exposed += q->area[face][k];
            weighted += q->area[face][k] * q->surface[face][k];
        }
    if (p->iron_area_m2 > 0) {
        exposed += p->iron_area_m2;
        weighted += p->iron_area_m2 * q->iron;
    }
    result->resistance_hot_ohm = resistance(q, q->t);
    result->current_a = sqrt(q->squared);
    result->power_w = q->squared * result->resistance_hot_ohm;
    result->coefficient_w_per_m2k = result->power_w / (weighted - exposed * p->ambient_c);
}

static cw_status check(const cw_heat_quick_plan *p, cw_error *error)
{
    if (!(p->inner_radius_m > 0 && p->outer_radius_m > p->inner_radius_m && p->length_m > 0))
        return cw_refuse(error, NULL, "radii that rise and a length", "A winding from %g to %g mm radius and %g mm "
                         "long cannot be.", 1e3 * p->inner_radius_m, 1e3 * p->outer_radius_m, 1e3 * p->length_m);
    if (!(p->material.across_w_per_mk.nominal > 0 && p->material.along_axis_w_per_mk.nominal > 0))
        return cw_refuse(error, NULL, "conductivities above zero", "The winding conducts %g and %g W/(m K).",
                         p->material.across_w_per_mk.nominal, p->material.along_axis_w_per_mk.nominal);
    if (!(p->drive.value >= 0 && p->drive.resistance_20c_ohm > 0 && p->drive.alpha_20c_per_k >= 0))
        return cw_refuse(error, NULL, "a resistance above zero", "The drive is %g on %g ohm.", p->drive.value,
                         p->drive.resistance_20c_ohm);
    for (int face = 0; face < 4; face++)
        if (p->face[face].coefficient_w_per_m2k > 0 && (!p->face[face].to_iron || p->iron_area_m2 > 0))
            return CW_OK;
    return cw_refuse(error, NULL, "a face that passes heat", "The winding is insulated all round.");
}

static bool solve_plan(const cw_heat_quick_plan *plan, cw_heat_quick_result *result)
{
    quick q;

    memset(&q, 0, sizeof q);
    q.plan = plan;
    lay_out(&q);
    if (!iterate(&q, &result->iterations) || hottest(&q) > RUNAWAY_C)
        return false;
    collect(&q, result);
    return true;
}

/* Half the change of the hot spot between the ends of one doubtful number. */
static double swing(const cw_heat_quick_plan *low, const cw_heat_quick_plan *high, double middle)
{
    cw_heat_quick_result a, b;
    double t_low = solve_plan(low, &a) ? a.hot_spot_c : RUNAWAY_C, t_high = solve_plan(high, &b) ? b.hot_spot_c
                                                                                                 : RUNAWAY_C;

    return fmax(0.5 * fabs(t_low - t_high), fmin(fabs(t_low - middle), fabs(t_high - middle)));
}

static void scale_surfaces(cw_heat_quick_plan *plan, double factor, double emissivity)
{
    for (int face = -1; face < 4; face++) {
        cw_surface *s = face < 0 ? &plan->iron_surface : &plan->face[face].surface;

        s->scale = factor * (s->scale > 0 ? s->scale : 1);
        s->emissivity = fmin(1, fmax(0, s->emissivity + emissivity));
    }
}

static double doubt(const cw_heat_quick_plan *plan, double middle)
{
    cw_heat_quick_plan low = *plan, high = *plan;
    double by_convection, by_emissivity, by_winding;

    scale_surfaces(&low, 1 - CW_CONVECTION_SPREAD, 0);
    scale_surfaces(&high, 1 + CW_CONVECTION_SPREAD, 0);
    by_convection = swing(&low, &high, middle);
    low = high = *plan;
    scale_surfaces(&low, 1, -0.05);
    scale_surfaces(&high, 1, 0.05);
    by_emissivity = swing(&low, &high, middle);
    low = high = *plan;
    low.material.across_w_per_mk.nominal = plan->material.across_w_per_mk.min;
    low.material.along_axis_w_per_mk.nominal = plan->material.along_axis_w_per_mk.min;
    high.material.across_w_per_mk.nominal = plan->material.across_w_per_mk.max;
    high.material.along_axis_w_per_mk.nominal = plan->material.along_axis_w_per_mk.max;
    by_winding = low.material.across_w_per_mk.nominal > 0 && low.material.along_axis_w_per_mk.nominal > 0
                     ? swing(&low, &high, middle) : 0;
    return sqrt(by_convection * by_convection + by_emissivity * by_emissivity + by_winding * by_winding);
}

cw_status cw_heat_quick(const cw_heat_quick_plan *plan, cw_heat_quick_result *result, cw_error *error)
{
    cw_heat_quick_plan set = *plan;
    cw_heat_quick_result found = { 0 };
    cw_status status = check(plan, error);

    if (status != CW_OK)
        return status;
    for (int face = 0; face < 4; face++)
        if (set.face[face].surface.kind != CW_SURFACE_FIXED)
            set.face[face].surface.sink_c = plan->ambient_c;
    if (set.iron_surface.kind != CW_SURFACE_FIXED)
        set.iron_surface.sink_c = plan->ambient_c;
    if (solve_plan(&set, &found)) {
        found.hot_spot_doubt_k = doubt(&set, found.hot_spot_c);
    } else {
        found = (cw_heat_quick_result){ true, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, found.iterations };
    }
    *result = found;
    return CW_OK;
}

/* ---- usual coils ----------------------------------------------------------------------------------------------- */

void cw_heat_quick_bobbin(cw_heat_quick_plan *plan, double flange_m, double former_w_per_mk, bool axis_up)
{
    double diameter = 2 * plan->outer_radius_m, through = flange_m > 0 ? former_w_per_mk / flange_m : INFINITY;
    double end = diameter * PI / 4; /* mean height of a disc on edge */
    cw_surface side = { CW_SURFACE_VERTICAL, plan->length_m, diameter, 0.9, 0, 0, 0 };
    cw_surface bottom = { CW_SURFACE_DOWN, diameter / 4, 0, 0.9, 0, 0, 0 }, top = bottom;

    top.kind = CW_SURFACE_UP;
    if (!axis_up) {
        side = (cw_surface){ CW_SURFACE_HORIZONTAL_CYLINDER, diameter, 0, 0.9, 0, 0, 0 };
        bottom = top = (cw_surface){ CW_SURFACE_VERTICAL, end, 0, 0.9, 0, 0, 0 };
    }
    plan->face[CW_FACE_INSIDE] = (cw_heat_face){ 0, false, side };
    plan->face[CW_FACE_OUTSIDE] = (cw_heat_face){ INFINITY, false, side };
    plan->face[CW_FACE_BOTTOM] = (cw_heat_face){ through, false, bottom };
    plan->face[CW_FACE_TOP] = (cw_heat_face){ through, false, top };
    plan->iron_area_m2 = 0;
}

static double in_series(double thickness_m, double w_per_mk, double film_m, double film_w_per_mk)
{
    double resistance = (thickness_m > 0 ? thickness_m / w_per_mk : 0) + (film_m > 0 ? film_m / film_w_per_mk : 0);

    return resistance > 0 ? 1 / resistance : INFINITY;
}

void cw_heat_quick_pot(cw_heat_quick_plan *plan, double wall_m, double flange_m, double former_w_per_mk,
                       double film_m, double film_w_per_mk, double diameter_m, double height_m)
{
    double thickness[4] = { wall_m, 0, flange_m, flange_m };

    for (int face = 0; face < 4; face++) {
        memset(&plan->face[face], 0, sizeof plan->face[face]);
        plan->face[face].coefficient_w_per_m2k = in_series(thickness[face], former_w_per_mk, film_m, film_w_per_mk);
        plan->face[face].to_iron = true;
    }
    plan->iron_area_m2 = PI * diameter_m * height_m + PI / 2 * diameter_m * diameter_m;
    plan->iron_surface = (cw_surface){ CW_SURFACE_BLOCK, height_m + diameter_m, 0, 0.8, 0, 0, 0 };
}
