/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A stiff one-step method: five diagonally implicit stages, order 4, L-stable and stiffly accurate, with an embedded
 * result of order 3 for the step's error.
 *
 * One-step, so that it starts afresh at every commutation; a step is repeated with another length to land on an event
 * exactly, which a multistep method's interpolation cannot. L-stable, so that what a varistor or a snubber damps at
 * once does not ring.
 *
 * Source: E. Hairer and G. Wanner, Solving Ordinary Differential Equations II, 2nd ed. 1996, sec. IV.6, table 6.5.
 * The table's order conditions are checked in tests/circuit/test_ode.c. */
#include "circuit/circuit_internal.h"

#include <float.h>
#include <math.h>
#include <string.h>

enum { STAGES = 5, MOST_NEWTON = 12 };

static const double GAMMA = 0.25;
static const double ABSCISSA[STAGES] = { 1. / 4, 3. / 4, 11. / 20, 1. / 2, 1 };
static const double STAGE[STAGES][STAGES] = {
    { 1. / 4 },
    { 1. / 2, 1. / 4 },
    { 17. / 50, -1. / 25, 1. / 4 },
    { 371. / 1360, -137. / 2720, 15. / 544, 1. / 4 },
    { 25. / 24, -49. / 48, 125. / 16, -85. / 12, 1. / 4 },
};
static const double EMBEDDED[STAGES] = { 59. / 48, -17. / 96, 225. / 32, -85. / 12, 0 };

/* x = (1 - factor J)^-1 x for one or two states. */
static bool solve_shifted(int n, double factor, double jacobian[CW_ODE_STATES][CW_ODE_STATES], double *x)
{
    double a = 1 - factor * jacobian[0][0], b, c, d, determinant, first;

    if (n == 1) {
        x[0] /= a;
        return isfinite(x[0]);
    }
    b = -factor * jacobian[0][1];
    c = -factor * jacobian[1][0];
    d = 1 - factor * jacobian[1][1];
    determinant = a * d - b * c;
    first = (d * x[0] - b * x[1]) / determinant;
    x[1] = (a * x[1] - c * x[0]) / determinant;
    x[0] = first;
    return isfinite(x[0]) && isfinite(x[1]);
}

typedef struct stage_values {
    double rate[STAGES][CW_ODE_STATES], sum_rate[STAGES][CW_ODE_SUMS];
    double jacobian[CW_ODE_STATES][CW_ODE_STATES]; /* of the last stage */
} stage_values;

/* Newton's method for Y = base + h gamma f(Y); the last Y's rates are the stage's. */
static bool solve_stage(const cw_ode *ode, double h, int stage, stage_values *values)
{
    double t = ode->t + ABSCISSA[stage] * h, base[CW_ODE_STATES] = { 0 }, y[CW_ODE_STATES] = { 0 };

    for (int i = 0; i < ode->states; i++) {
        base[i] = ode->y[i];
        for (int j = 0; j < stage; j++)
            base[i] += h * STAGE[stage][j] * values->rate[j][i];
        y[i] = base[i] + (stage > 0 ? h * GAMMA * values->rate[stage - 1][i] : 0);
    }
    for (int k = 0; k < MOST_NEWTON; k++) {
        double move[CW_ODE_STATES] = { 0 }, size = 0, *rate = values->rate[stage];

        ode->rates(ode, t, y, rate, values->jacobian, values->sum_rate[stage]);
        for (int i = 0; i < ode->states; i++)
            move[i] = base[i] + h * GAMMA * rate[i] - y[i];
        if (!solve_shifted(ode->states, h * GAMMA, values->jacobian, move))
            return false;
        for (int i = 0; i < ode->states; i++) {
            y[i] += move[i];
            size = fmax(size, fabs(move[i]) / ode->scale[i]);
        }
        if (size <= 1e-3 * ode->tolerance) {
            ode->rates(ode, t, y, rate, values->jacobian, values->sum_rate[stage]);
            for (int i = 0; i < ode->states; i++) /* the rate that fits Y, free of the stiff part's rounding */
                rate[i] = (y[i] - base[i]) / (h * GAMMA);
            return true;
        }
    }
    return false;
}

/* Takes a step of length h; `error` receives its size relative to the tolerance. False where Newton's method fails. */
static bool take(const cw_ode *ode, double h, double *y, double *sum, double *error)
{
    stage_values values;
    double miss[CW_ODE_STATES] = { 0 };

    for (int stage = 0; stage < STAGES; stage++)
        if (!solve_stage(ode, h, stage, &values))
            return false;
    for (int i = 0; i < ode->states; i++) {
        y[i] = ode->y[i];
        for (int s = 0; s < STAGES; s++) {
            y[i] += h * STAGE[STAGES - 1][s] * values.rate[s][i];
            miss[i] += h * (STAGE[STAGES - 1][s] - EMBEDDED[s]) * values.rate[s][i];
        }
    }
    *error = 0;
    if (!solve_shifted(ode->states, h * GAMMA, values.jacobian, miss)) /* damps the stiff part of the estimate */
        return false;
    for (int i = 0; i < ode->states; i++)
        *error = fmax(*error, fabs(miss[i]) / (ode->tolerance * ode->scale[i]));
    for (int i = 0; i < ode->sums; i++) {
        double change = 0, difference = 0;

        for (int s = 0; s < STAGES; s++) {
            change += h * STAGE[STAGES - 1][s] * values.sum_rate[s][i];
            difference += h * (STAGE[STAGES - 1][s] - EMBEDDED[s]) * values.sum_rate[s][i];
        }
        sum[i] = ode->sum[i] + change;
        if (ode->sum_scale[i] > 0)
            *error = fmax(*error, fabs(difference) / (ode->tolerance * ode->sum_scale[i]));
    }
    return isfinite(*error);
}

static void accept(cw_ode *ode, double t, const double *y, const double *sum)
{
    ode->t = t;
    memcpy(ode->y, y, sizeof ode->y);
    memcpy(ode->sum, sum, sizeof ode->sum);
    ode->steps++;
}

/* Next length: by the error, but a step cut short to meet t_end says nothing against longer ones. */
static void set_next(cw_ode *ode, double h, double miss)
{
    double factor = fmin(5, fmax(0.2, 0.9 * pow(fmax(miss, 1e-12), -0.25)));

    if (miss <= 1 && h < ode->step && factor >= 1)
        return;
    ode->step = h * factor;
}

cw_status cw_ode__step(cw_ode *ode, double t_end, cw_error *error)
{
    double y[CW_ODE_STATES] = { 0 }, sum[CW_ODE_SUMS] = { 0 }, miss = 0;

    for (;;) {
        double left = t_end - ode->t, h = fmin(ode->step, left);
        bool last = h >= left * (1 - 1e-12);

        if (left <= 16 * DBL_EPSILON * fabs(ode->t)) { /* two events that are one but for rounding */
            ode->t = t_end;
            return CW_OK;
        }
        if (!last && h > 0.5 * left)
            h = 0.5 * left; /* two even steps rather than a long one and a splinter */
        if (!(ode->step > 16 * DBL_EPSILON * fabs(ode->t)))
            return cw_fail(error, "The circuit's integration stuck at %g s.", ode->t);
        if (!take(ode, h, y, sum, &miss)) {
            ode->step = 0.25 * h;
            continue;
        }
        set_next(ode, h, miss);
        if (miss <= 1) {
            accept(ode, last ? t_end : ode->t + h, y, sum);
            return CW_OK;
        }
    }
}

bool cw_ode__locate(cw_ode *ode, const cw_ode *before, cw_ode_event *event)
{
    cw_ode trial = *ode;
    double a = 0, b = ode->t - before->t, f_a = event(before), f_b = event(ode);
    double y[CW_ODE_STATES] = { 0 }, sum[CW_ODE_SUMS] = { 0 }, miss, size = fmax(fabs(f_a), fabs(f_b));

    if (f_a == 0 || (f_a < 0) == (f_b < 0))
        return false;
    for (int i = 0; i < 60 && fabs(b - a) > 4 * DBL_EPSILON * ode->t; i++) { /* regula falsi, the Illinois variant */
        double at = a + (b - a) * f_a / (f_a - f_b), f;

        if (!take(before, at, y, sum, &miss))
            break;
        accept(&trial, before->t + at, y, sum);
        f = event(&trial);
        if (fabs(f) <= 1e-13 * size)
            break;
        if ((f < 0) == (f_b < 0)) {
            f_a *= 0.5;
        } else {
            a = b;
            f_a = f_b;
        }
        b = at;
        f_b = f;
    }
    trial.step = ode->step;
    trial.steps = ode->steps;
    *ode = trial;
    return true;
}
