/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_CIRCUIT_INTERNAL_H
#define CW_CIRCUIT_INTERNAL_H

#include "coilwright/circuit.h"

/* ---- the coil ------------------------------------------------------------------------------------------------- */

/* Current over flux linkage as a monotone cubic, knots from 0 up; odd beyond 0, straight beyond the last knot. */
struct cw_circuit_coil {
    size_t count;
    double *flux;       /* shape [count]  Wb */
    double *current;    /* A */
    double *slope;      /* di/d(linkage), 1/H */
    double *energy;     /* int i d(linkage) from 0, J */
    double *root;       /* square root of the pull, which is nearly straight in the flux; NULL unknown */
    double *root_slope;
};

/* Current and its slope over flux linkage. */
void cw_circuit__current(const cw_circuit_coil *coil, double flux, double *current, double *slope);

/* Slopes of the monotone cubic through (x, y), odd about x[0] = 0 where `odd`. shapes [count]
 * Source: F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5, 1984 (weighted harmonic mean). */
void cw_circuit__slopes(const double *x, const double *y, size_t count, bool odd, double *slope);

/* ---- integration ---------------------------------------------------------------------------------------------- */

enum { CW_ODE_STATES = 2, CW_ODE_SUMS = 4 };

typedef struct cw_ode cw_ode;

/* Rates at a moment.
 *   rate  dy/dt; jacobian  d(rate)/dy; sum_rate  integrands that follow along, of no effect on the states */
typedef void cw_ode_rates(const cw_ode *ode, double t, const double *y, double *rate,
                          double jacobian[CW_ODE_STATES][CW_ODE_STATES], double *sum_rate);

/* A stiff problem under way. */
struct cw_ode {
    const void *problem;
    cw_ode_rates *rates;
    int states, sums;
    double scale[CW_ODE_STATES];      /* sizes of the states, for the tolerance */
    double sum_scale[CW_ODE_SUMS];    /* 0: not controlled */
    double tolerance;                 /* of one step, relative to the scales */
    double t, y[CW_ODE_STATES], sum[CW_ODE_SUMS];
    double step;                      /* next to try */
    long steps;
};

/* One step that is right within the tolerance, at most to t_end. CW_FAILED where the step shrinks to nothing. */
cw_status cw_ode__step(cw_ode *ode, double t_end, cw_error *error);

/* Goes back to `before` and steps to the moment between there and ode->t at which event(ode, t, y) passes through
 * zero. Returns false where it does not change sign. */
typedef double cw_ode_event(const cw_ode *ode);
bool cw_ode__locate(cw_ode *ode, const cw_ode *before, cw_ode_event *event);

/* ---- curves --------------------------------------------------------------------------------------------------- */

/* A curve that halves itself when full. Zero-initialise. */
typedef struct cw_recorder {
    cw_switch_point *points;
    size_t count, stride, skipped;
} cw_recorder;

cw_status cw_recorder__begin(cw_recorder *recorder, cw_error *error);
void cw_recorder__add(cw_recorder *recorder, const cw_switch_point *point, bool always);

void cw_circuit__rate_part(const cw_off_plan *plan, cw_switch_off *off);

#endif
