/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heat over time: linearly implicit steps of second order, with their error controlled.
 *
 *     (M - g h A) k1 = F(u),   (M - g h A) k2 = F(u + h k1) - 2 M k1,   u' = u + h (3 k1 + k2)/2,   g = 1 - 1/root 2
 *
 * (J. G. Verwer, E. J. Spee, J. G. Blom, W. Hundsdorfer, SIAM J. Sci. Comput. 20, 1999). It is of second order for any
 * matrix A whatsoever and damps fully where A is the true slope. So A leaves out the loss's growth with the
 * temperature, surfaces keep the slopes they had when last factorised, and one factorisation serves on and off and
 * every step of about its length. The error is judged by the difference from u + h k1, which is of first order. */
#include "heat/heat_internal.h"

#include <math.h>
#include <string.h>

enum { MOST_POINTS = 2000, DIRECT_CYCLES = 200, MOST_CYCLES = 1000, MOST_STEPS = 200000 };

#define GAMMA (1 - 0.70710678118654752440)
#define TOLERANCE_K 0.2 /* of the first-order difference: leaves about 0.01 K */
#define SETTLED_K 0.1
#define SETTLED_SHARE 1e-3
#define DRIFT_K 5      /* of any temperature since surfaces' slopes were taken */
#define STRETCH 2      /* of a step against the factorised length */

typedef struct follower {
    cw_heat *heat;
    cw_heat_run *run;
    double *k1, *k2, *stage, *force, *slopes, *at_factor; /* shapes [unknown_count] */
    double factored_s;   /* length of the factorised step; 0 none */
    double step_s;       /* next to try */
    double tolerance;
    double t;
    size_t stride, skipped;
    double start_stored; /* int capacity T at the start of the balance */
    double *before, *peak; /* intermittent: temperatures before the last cycle and at the end of its on-time */
} follower;

static cw_status allocate(follower *f, cw_error *error)
{
    size_t n = f->heat->unknown_count;
    double **arrays[8] = { &f->k1, &f->k2, &f->stage, &f->force, &f->slopes, &f->at_factor, &f->before, &f->peak };
    bool all = true;

    for (int i = 0; i < 8; i++) {
        *arrays[i] = cw_allocate(n, sizeof(double));
        all = all && *arrays[i] != NULL;
    }
    f->run->curve = cw_allocate(MOST_POINTS, sizeof *f->run->curve);
    return all && f->run->curve != NULL ? CW_OK : cw_no_memory(error);
}

static void release(follower *f)
{
    cw_free(f->k1);
    cw_free(f->k2);
    cw_free(f->stage);
    cw_free(f->force);
    cw_free(f->slopes);
    cw_free(f->at_factor);
    cw_free(f->before);
    cw_free(f->peak);
}

/* ---- one step -------------------------------------------------------------------------------------------------- */

/* F(t), with heat in and out of it in W. */
static void balance(follower *f, const double *t, bool on, double *in, double *out)
{
    cw_heat *heat = f->heat;

    memset(f->force, 0, heat->unknown_count * sizeof(double));
    *out = cw_heat__surfaces(heat, t, f->force, false);
    cw_heat__multiply(heat, heat->conduction, 1, t, f->force);
    for (size_t i = 0; i < heat->unknown_count; i++)
        f->force[i] = -f->force[i];
    *in = 0;
    if (!on)
        return;
    *in = cw_heat__coil_loss(heat, cw_heat__squared(heat, t), t, f->force);
    for (size_t i = 0; i < heat->unknown_count; i++) {
        f->force[i] += heat->source[i];
        *in += heat->source[i];
    }
}

static double dot(const follower *f, const double *a, const double *b)
{
    double sum = 0;

    for (size_t i = 0; i < f->heat->unknown_count; i++)
        sum += a[i] * b[i];
    return sum;
}

/* Heat held, as int capacity T. */
static double stored(follower *f)
{
    double sum = 0;

    memset(f->stage, 0, f->heat->unknown_count * sizeof(double));
    cw_heat__multiply(f->heat, f->heat->mass, 1, f->heat->t, f->stage);
    for (size_t i = 0; i < f->heat->unknown_count; i++)
        sum += f->stage[i];
    return sum;
}

static bool drifted(const follower *f)
{
    for (size_t i = 0; i < f->heat->unknown_count; i++)
        if (fabs(f->heat->t[i] - f->at_factor[i]) > DRIFT_K)
            return true;
    return false;
}

static cw_status factor_for(follower *f, double h, cw_error *error)
{
    cw_heat *heat = f->heat;
    bool definite;
    cw_status status;

    if (f->factored_s > 0 && h < STRETCH * f->factored_s && h * STRETCH > f->factored_s && !drifted(f))
        return CW_OK;
    cw_heat__surfaces(heat, heat->t, NULL, true);
    status = cw_heat__factor(heat, 1 / (GAMMA * h), 0, &definite, error);
    if (status != CW_OK || !definite)
        return status != CW_OK ? status : cw_fail(error, "The heat balance of a step has no solution.");
    memset(f->slopes, 0, heat->unknown_count * sizeof(double));
    for (size_t k = 0; k < heat->edge_count; k++)
        for (int q = 0; q < 3; q++)
            for (int i = 0; i < 3; i++)
                f->slopes[heat->unknown[heat->edge[k].element][heat->edge[k].local[i]]] +=
                    heat->edge[k].weight[q] * heat->edge[k].slope[q] * cw_heat__edge_shape[q][i];
    memcpy(f->at_factor, heat->t, heat->unknown_count * sizeof(double));
    f->factored_s = h;
    f->run->factorisations++;
    return CW_OK;
}

/* Tries a step; `miss` receives its error over the tolerance. Heat in and out belong to the scheme: summed over all
 * unknowns, its equations say exactly what is stored. */
static cw_status try_step(follower *f, double h, bool on, double *miss, double *in, double *out, cw_error *error)
{
    cw_heat *heat = f->heat;
    size_t n = heat->unknown_count;
    double in1, in2, out1, out2, scale;
    cw_status status = factor_for(f, h, error);

    if (status != CW_OK)
        return status;
    scale = 1 / (GAMMA * f->factored_s);
    balance(f, heat->t, on, &in1, &out1);
    for (size_t i = 0; i < n; i++)
        f->k1[i] = f->force[i] * scale;
    cw_solver__solve(heat->solver, f->k1);
    for (size_t i = 0; i < n; i++)
        f->stage[i] = heat->t[i] + h * f->k1[i];
    balance(f, f->stage, on, &in2, &out2);
    cw_heat__multiply(heat, heat->mass, -2, f->k1, f->force);
    for (size_t i = 0; i < n; i++)
        f->k2[i] = f->force[i] * scale;
    cw_solver__solve(heat->solver, f->k2);
    *miss = 0;
    for (size_t i = 0; i < n; i++)
        *miss = fmax(*miss, 0.5 * h * fabs(f->k1[i] + f->k2[i]) / f->tolerance);
    *in = 0.5 * h * (in1 + in2);
    *out = 0.5 * h * (out1 + out2 + (dot(f, f->slopes, f->k1) + dot(f, f->slopes, f->k2)) / scale);
    return CW_OK;
}

/* One accepted step, at most to t_end in even parts. */
static cw_status advance(follower *f, double t_end, bool on, cw_error *error)
{
    for (;;) {
        double left = t_end - f->t, h = fmin(left / ceil(left / f->step_s), left), miss = 0, in = 0, out = 0;
        cw_status status = try_step(f, h, on, &miss, &in, &out, error);
        double growth = fmin(3, fmax(0.2, 0.9 / sqrt(fmax(miss, 1e-6))));

        if (status != CW_OK)
            return status;
        if (miss > 1 && h > 1e-6) {
            f->step_s = h * growth;
            continue;
        }
        for (size_t i = 0; i < f->heat->unknown_count; i++)
            f->heat->t[i] += h * (1.5 * f->k1[i] + 0.5 * f->k2[i]);
        f->t = h >= left ? t_end : f->t + h;
        f->run->heat_in_j += in;
        f->run->heat_out_j += out;
        f->run->steps++;
        if (growth > 1.5) /* small gains are not worth a factorisation */
            f->step_s = fmax(f->step_s, h * growth);
        return f->run->steps < MOST_STEPS ? CW_OK : cw_fail(error, "The duty takes more than %d steps.", MOST_STEPS);
    }
}

/* ---- what is noted --------------------------------------------------------------------------------------------- */

static double mean_winding(const follower *f)
{
    return dot(f, f->heat->share, f->heat->t);
}

static void record(follower *f, bool on, bool always)
{
    cw_heat_run *run = f->run;
    double s = on ? cw_heat__squared(f->heat, f->heat->t) : 0;

    if (!always && ++f->skipped < f->stride)
        return;
    f->skipped = 0;
    if (run->count == MOST_POINTS) {
        for (size_t i = 0; 2 * i < run->count; i++)
            run->curve[i] = run->curve[2 * i];
        run->count /= 2;
        f->stride *= 2;
    }
    run->curve[run->count++] = (cw_heat_point){ f->t, cw_heat__hottest_winding(f->heat, f->heat->t, NULL),
                                                mean_winding(f), cw_heat__hottest_surface(f->heat, f->heat->t),
                                                s * cw_heat__resistance(f->heat, f->heat->t) };
}

static void begin(follower *f, const cw_heat_duty *duty)
{
    double start = isnan(duty->start_c) ? f->heat->section.ambient_c : duty->start_c;

    for (size_t i = 0; i < f->heat->unknown_count; i++)
        f->heat->t[i] = start;
    f->tolerance = duty->tolerance_k > 0 ? duty->tolerance_k : TOLERANCE_K;
    f->step_s = isfinite(duty->on_s) ? 0.05 * duty->on_s : 1;
    f->stride = 1;
    f->start_stored = stored(f);
}

static void conclude(follower *f)
{
    cw_heat_run *run = f->run;

    run->heat_stored_j = stored(f) - f->start_stored;
    run->energy_error = run->heat_in_j > 0 ? fabs(run->heat_in_j - run->heat_out_j - run->heat_stored_j) /
                                                 run->heat_in_j : fabs(run->heat_out_j + run->heat_stored_j);
}

/* ---- continuous duty ------------------------------------------------------------------------------------------- */

/* Moment within a step at which a quantity passed a level, straight between its ends. */
static double crossing(double t0, double v0, double t1, double v1, double level)
{
    return t0 + (t1 - t0) * (level - v0) / (v1 - v0);
}

static cw_status run_continuous(follower *f, const cw_heat_duty *duty, cw_error *error)
{
    cw_heat_run *run = f->run;
    cw_heat_result end;
    double start, final, most = duty->longest_s > 0 ? duty->longest_s : 1e9, mean, excess;
    cw_status status = cw_heat_steady(f->heat, &end, error);

    if (status != CW_OK)
        return status;
    begin(f, duty);
    start = mean_winding(f);
    final = end.runs_away ? CW_RUNAWAY_C : end.mean_winding_c;
    run->time_constant_s = NAN;
    run->longest_on_s = cw_heat__worst_excess(f->heat, f->heat->t, &run->longest_part) > 0 ? 0 : INFINITY;
    record(f, true, true);
    while (status == CW_OK && f->t < most && !run->settled && !run->runs_away) {
        double t0 = f->t, share = 1 - exp(-1);

        mean = mean_winding(f);
        excess = cw_heat__worst_excess(f->heat, f->heat->t, NULL);
        status = advance(f, most, true, error);
        if (status != CW_OK)
            break;
        record(f, true, false);
        if (isnan(run->time_constant_s) && !end.runs_away && (mean_winding(f) - start) / (final - start) >= share)
            run->time_constant_s = crossing(t0, mean, f->t, mean_winding(f), start + share * (final - start));
        if (isinf(run->longest_on_s)) {
            const double now = cw_heat__worst_excess(f->heat, f->heat->t, &run->longest_part);

            run->longest_on_s = now > 0 ? crossing(t0, excess, f->t, now, 0) : INFINITY;
        }
        run->settled = !end.runs_away && fabs(mean_winding(f) - final) <= SETTLED_SHARE * fabs(final - start);
        run->runs_away = cw_heat__hottest_winding(f->heat, f->heat->t, NULL) > CW_RUNAWAY_C;
    }
    run->peak_hot_spot_c = run->trough_hot_spot_c = cw_heat__hottest_winding(f->heat, f->heat->t, NULL);
    run->peak_mean_winding_c = mean_winding(f);
    if (isinf(run->longest_on_s))
        run->longest_part = -1;
    record(f, true, true);
    return status;
}

/* ---- intermittent duty ----------------------------------------------------------------------------------------- */

static cw_status run_phase(follower *f, double t_end, bool on, cw_error *error)
{
    cw_status status = CW_OK;

    while (f->t < t_end && status == CW_OK && !f->run->runs_away) {
        status = advance(f, t_end, on, error);
        if (status != CW_OK)
            break;
        record(f, on, false);
        f->run->runs_away = cw_heat__hottest_winding(f->heat, f->heat->t, NULL) > CW_RUNAWAY_C;
    }
    return status;
}

/* Where cycles settle too slowly to be followed: the change of each temperature from one cycle to the next goes on as
 * a geometric series (Aitken). The balance of heat begins anew. */
static void jump(follower *f, double ratio)
{
    for (size_t i = 0; i < f->heat->unknown_count; i++)
        f->heat->t[i] += (f->heat->t[i] - f->before[i]) * ratio / (1 - ratio);
    f->run->heat_in_j = f->run->heat_out_j = 0;
    f->start_stored = stored(f);
}

static cw_status run_cycles(follower *f, const cw_heat_duty *duty, cw_error *error)
{
    cw_heat_run *run = f->run;
    double change = NAN, last_change, ratio;
    cw_status status = CW_OK;

    begin(f, duty);
    run->time_constant_s = run->longest_on_s = NAN;
    run->longest_part = -1;
    run->peak_hot_spot_c = cw_heat__hottest_winding(f->heat, f->heat->t, NULL);
    record(f, false, true);
    for (; status == CW_OK && !run->settled && !run->runs_away && run->cycles < MOST_CYCLES &&
           !(duty->longest_s > 0 && f->t >= duty->longest_s); run->cycles++) {
        double from = run->cycles * duty->period_s, peak = run->peak_hot_spot_c;

        memcpy(f->before, f->heat->t, f->heat->unknown_count * sizeof(double));
        status = run_phase(f, from + duty->on_s, true, error);
        run->peak_hot_spot_c = cw_heat__hottest_winding(f->heat, f->heat->t, NULL);
        run->peak_mean_winding_c = mean_winding(f);
        memcpy(f->peak, f->heat->t, f->heat->unknown_count * sizeof(double));
        record(f, true, true);
        if (status == CW_OK)
            status = run_phase(f, from + duty->period_s, false, error);
        run->trough_hot_spot_c = cw_heat__hottest_winding(f->heat, f->heat->t, NULL);
        record(f, false, true);
        last_change = change;
        change = run->peak_hot_spot_c - peak;
        ratio = fmin(0.999, fmax(0, change / last_change)); /* NAN at first: 0 */
        run->settled = run->cycles > 1 && fabs(change) / (1 - ratio) <= SETTLED_K;
        if (!run->settled && run->cycles >= DIRECT_CYCLES && run->cycles % 20 == 0)
            jump(f, ratio);
    }
    return status;
}

static cw_status check(const cw_heat_duty *duty, cw_error *error)
{
    if (!(duty->on_s > 0))
        return cw_refuse(error, NULL, "a time above zero", "The coil is on for %g s.", duty->on_s);
    if (isfinite(duty->on_s) && !(duty->period_s >= duty->on_s && isfinite(duty->period_s)))
        return cw_refuse(error, NULL, "a period no shorter than the time on", "The coil is on for %g s of %g s.",
                         duty->on_s, duty->period_s);
    if (!(duty->longest_s >= 0 && duty->tolerance_k >= 0))
        return cw_refuse(error, NULL, "zero or more", "The time to follow is %g s, the tolerance %g K.",
                         duty->longest_s, duty->tolerance_k);
    return CW_OK;
}

/* Iron is hottest a little after the coil: a part's greatest is that of the ends of on-time and of pause. */
static void note_parts(follower *f, bool cycles)
{
    cw_heat_run *run = f->run;
    cw_heat_part_result pause[CW_MOST_HEAT_PARTS];

    run->part_count = f->heat->section.part_count;
    if (cycles) {
        cw_heat__parts(f->heat, f->heat->t, pause);
        memcpy(f->heat->t, f->peak, f->heat->unknown_count * sizeof(double));
    }
    run->surface_c = cw_heat__hottest_surface(f->heat, f->heat->t);
    cw_heat__parts(f->heat, f->heat->t, run->part);
    for (int p = 0; cycles && p < run->part_count; p++) {
        run->part[p].most_c = fmax(run->part[p].most_c, pause[p].most_c);
        run->part[p].margin_k = run->part[p].limit_c - run->part[p].most_c;
    }
    run->margin_k = cw_heat__margin(run->part, run->part_count, &run->tightest);
}

cw_status cw_heat_follow(cw_heat *heat, const cw_heat_duty *duty, cw_heat_run *run, cw_error *error)
{
    const bool cycles = !isinf(duty->on_s);
    follower f = { .heat = heat, .run = run };
    cw_status status = check(duty, error);

    memset(run, 0, sizeof *run);
    if (status != CW_OK)
        return status;
    status = allocate(&f, error);
    if (status == CW_OK)
        status = cycles ? run_cycles(&f, duty, error) : run_continuous(&f, duty, error);
    if (status == CW_OK) {
        conclude(&f);
        note_parts(&f, cycles);
    } else {
        cw_heat_run_clear(run);
    }
    release(&f);
    return status;
}

void cw_heat_run_clear(cw_heat_run *run)
{
    cw_free(run->curve);
    memset(run, 0, sizeof *run);
}
