/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Switching on: from no current until nothing changes from cycle to cycle any more.
 *
 * Commutations are met exactly: where the drive has a kink the steps end there, and where a rectified current dies the
 * step is repeated with the length that ends in zero current. */
#include "circuit/circuit_internal.h"
#include "circuit/source.h"

#include <math.h>
#include <string.h>

enum { MOST_CYCLES = 10000, STEPS_PER_CYCLE = 60, STEPS_IN_LAST_CYCLE = 600 };

#define STEP_TOLERANCE 1e-9
#define SETTLED_DC 1e-5    /* rest of the source's voltage that still drives the current up */
#define SETTLED_CYCLE 1e-7 /* change of flux linkage from cycle to cycle, of its peak */
#define SHOWN_CYCLE 1e-2   /* the same at which the curve has told its story */

enum { ENERGY_IN, COPPER, CHARGE, IMPULSE };

typedef struct on_problem {
    const cw_circuit_coil *coil;
    const cw_source *source;
    double resistance, needed_flux;
} on_problem;

typedef struct on_run {
    on_problem problem;
    cw_ode ode;
    cw_recorder recorder;
    cw_switch_on *on;
    double flux_95; /* NAN: not asked */
    bool recording;
} on_run;

static void rates(const cw_ode *ode, double t, const double *y, double *rate,
                  double jacobian[CW_ODE_STATES][CW_ODE_STATES], double *sum_rate)
{
    const on_problem *p = ode->problem;
    double drive = cw_source__drive_v(p->source, t), current, slope, force;

    cw_circuit__current(p->coil, y[0], &current, &slope);
    rate[0] = drive - p->resistance * current;
    jacobian[0][0] = -p->resistance * slope;
    sum_rate[ENERGY_IN] = drive * current;
    sum_rate[COPPER] = p->resistance * current * current;
    sum_rate[CHARGE] = current;
    force = p->coil->root != NULL ? cw_circuit_force_n(p->coil, current) : 0;
    sum_rate[IMPULSE] = force;
}

static double flux_event(const cw_ode *ode)
{
    return ode->y[0];
}

static double needed_event(const cw_ode *ode)
{
    return fabs(ode->y[0]) - ((const on_problem *)ode->problem)->needed_flux;
}

static double current_of(const on_run *run)
{
    return cw_circuit_current_a(run->problem.coil, run->ode.y[0]);
}

static void record(on_run *run, bool always)
{
    double current = current_of(run);
    const cw_switch_point point = { run->ode.t, current, cw_source__drive_v(run->problem.source, run->ode.t),
                                    cw_circuit_force_n(run->problem.coil, current) };

    if (run->recording)
        cw_recorder__add(&run->recorder, &point, always);
}

/* Moment within the last step at which the flux linkage passed a level; left alone where it did not. */
static void note_crossing(on_run *run, const cw_ode *before, double level, double *moment)
{
    cw_ode landed = run->ode;
    on_problem problem = run->problem;
    cw_ode start = *before;

    if (!isinf(*moment) || isnan(level))
        return;
    problem.needed_flux = level;
    start.problem = landed.problem = &problem;
    if (needed_event(&landed) >= 0 && needed_event(&start) >= 0)
        *moment = start.t;
    else if (needed_event(&landed) > 0 && cw_ode__locate(&landed, &start, needed_event))
        *moment = landed.t;
}

/* One step, or a jump over the time in which no diode conducts. */
static cw_status advance(on_run *run, double t_end, double longest, cw_error *error)
{
    const cw_source *source = run->problem.source;
    cw_ode before = run->ode;
    bool rectified = cw_source__rectified(source);
    double stop = fmin(t_end, cw_source__next_kink_s(source, run->ode.t));
    cw_status status;

    if (rectified && run->ode.y[0] == 0 && cw_source__drive_v(source, 0.5 * (run->ode.t + stop)) <= 0) {
        run->ode.t = stop;
        record(run, false);
        return CW_OK;
    }
    run->ode.step = fmin(run->ode.step, longest);
    status = cw_ode__step(&run->ode, stop, error);
    if (status != CW_OK)
        return status;
    if (rectified && run->ode.y[0] < 0) {
        cw_ode__locate(&run->ode, &before, flux_event);
        run->ode.y[0] = 0;
    }
    note_crossing(run, &before, run->problem.needed_flux, &run->on->time_to_pull_s);
    note_crossing(run, &before, run->flux_95, &run->on->time_to_95_s);
    run->on->peak_current_a = fmax(run->on->peak_current_a, fabs(current_of(run)));
    record(run, false);
    return CW_OK;
}

static void settled_direct(on_run *run)
{
    cw_switch_on *on = run->on;
    const on_problem *p = &run->problem;
    double current = p->source->voltage_v / p->resistance;

    on->current_a = on->current_rms_a = on->current_min_a = on->current_max_a = on->peak_current_a = current;
    on->force_mean_n = on->force_min_n = on->force_max_n = cw_circuit_force_n(p->coil, current);
    on->stored_j = cw_circuit_stored_j(p->coil, cw_circuit_flux_linkage_wb(p->coil, current));
    on->power_w = p->resistance * current * current;
    on->settled = true;
}

static cw_status run_direct(on_run *run, cw_error *error)
{
    const on_problem *p = &run->problem;
    double longest = run->ode.scale[0] / p->source->voltage_v;
    cw_status status = CW_OK;

    record(run, true);
    while (status == CW_OK && p->source->voltage_v - p->resistance * current_of(run) >
           SETTLED_DC * p->source->voltage_v)
        status = advance(run, INFINITY, 0.25 * longest, error);
    settled_direct(run);
    return status;
}

static void widen(const on_run *run, double *least, double *most, double *least_force, double *most_force,
                  double *stored)
{
    double current = current_of(run), force = cw_circuit_force_n(run->problem.coil, current);

    *least = fmin(*least, current);
    *most = fmax(*most, current);
    *least_force = fmin(*least_force, force);
    *most_force = fmax(*most_force, force);
    *stored = fmax(*stored, cw_circuit_stored_j(run->problem.coil, run->ode.y[0]));
}

/* One cycle in fine steps, for what is asked of the settled state. */
static cw_status measure_cycle(on_run *run, double start, double period, cw_error *error)
{
    cw_switch_on *on = run->on;
    double before[CW_ODE_SUMS];
    cw_status status = CW_OK;

    memcpy(before, run->ode.sum, sizeof before);
    on->current_min_a = on->force_min_n = INFINITY;
    on->current_max_a = on->force_max_n = -INFINITY;
    widen(run, &on->current_min_a, &on->current_max_a, &on->force_min_n, &on->force_max_n, &on->stored_j);
    while (status == CW_OK && run->ode.t < start + period) {
        status = advance(run, start + period, period / STEPS_IN_LAST_CYCLE, error);
        widen(run, &on->current_min_a, &on->current_max_a, &on->force_min_n, &on->force_max_n, &on->stored_j);
    }
    on->power_w = (run->ode.sum[COPPER] - before[COPPER]) / period;
    on->current_rms_a = sqrt(on->power_w / run->problem.resistance);
    on->current_a = run->problem.source->kind == CW_SOURCE_AC ? on->current_rms_a
                                                              : (run->ode.sum[CHARGE] - before[CHARGE]) / period;
    on->ripple = (on->current_max_a - on->current_min_a) / on->current_a;
    on->force_mean_n = (run->ode.sum[IMPULSE] - before[IMPULSE]) / period;
    if (run->problem.coil->root == NULL)
        on->force_mean_n = on->force_min_n = on->force_max_n = NAN;
    return status;
}

static cw_status run_cycles(on_run *run, cw_error *error)
{
    double period = 1 / run->problem.source->frequency_hz, last = run->ode.y[0], change = INFINITY, peak = 0;
    long cycle = 0, shown = -1;
    cw_status status = CW_OK;

    record(run, true);
    for (; cycle < MOST_CYCLES && status == CW_OK && !(change <= SETTLED_CYCLE * peak); cycle++) {
        peak = 0;
        while (run->ode.t < (cycle + 1) * period && status == CW_OK) {
            status = advance(run, (cycle + 1) * period, period / STEPS_PER_CYCLE, error);
            peak = fmax(peak, fabs(run->ode.y[0]));
        }
        change = fabs(run->ode.y[0] - last);
        last = run->ode.y[0];
        if (shown < 0 && change <= SHOWN_CYCLE * peak)
            shown = cycle;
        run->recording = shown < 0 || cycle < shown + 3;
    }
    run->on->settled = change <= SETTLED_CYCLE * peak;
    run->recording = shown < 0 || cycle < shown + 3;
    return status == CW_OK ? measure_cycle(run, cycle * period, period, error) : status;
}

/* ---- setting out ----------------------------------------------------------------------------------------------- */

static cw_status check(double resistance_ohm, const cw_source *source, double needed_current_a, cw_error *error)
{
    if (!(resistance_ohm > 0) || !isfinite(resistance_ohm))
        return cw_refuse(error, NULL, "a resistance above zero, as in 84.2 ohm", "The coil's resistance is %g ohm.",
                         resistance_ohm);
    if (!isnan(needed_current_a) && !(needed_current_a > 0))
        return cw_refuse(error, NULL, "a current above zero", "The current needed to pull is %g A.", needed_current_a);
    return cw_source__check(source, error);
}

/* The most flux linkage that the source can bring about: by its voltage, or by its peak current. */
static double largest_flux(const on_problem *p)
{
    const cw_source *source = p->source;
    double by_current = cw_circuit_flux_linkage_wb(p->coil, sqrt(2) * source->voltage_v / p->resistance);

    if (source->kind == CW_SOURCE_DC)
        return cw_circuit_flux_linkage_wb(p->coil, source->voltage_v / p->resistance);
    if (source->kind == CW_SOURCE_AC || source->kind == CW_SOURCE_HALF_WAVE)
        return fmin(by_current, sqrt(2) * source->voltage_v / (3.14159 * source->frequency_hz));
    return by_current;
}

static void set_out(on_run *run)
{
    const on_problem *p = &run->problem;
    double flux = largest_flux(p), current = cw_circuit_current_a(p->coil, flux);

    run->ode.problem = p;
    run->ode.rates = rates;
    run->ode.states = 1;
    run->ode.sums = CW_ODE_SUMS;
    run->ode.scale[0] = flux;
    run->ode.sum_scale[ENERGY_IN] = run->ode.sum_scale[COPPER] = flux * current;
    run->ode.tolerance = STEP_TOLERANCE;
    run->ode.step = 1e-3 * flux / p->source->voltage_v;
    run->recording = true;
    run->flux_95 = p->source->kind == CW_SOURCE_AC || p->source->kind == CW_SOURCE_HALF_WAVE ? NAN
                       : cw_circuit_flux_linkage_wb(p->coil, 0.95 * cw_source_mean_v(p->source) / p->resistance);
    run->on->time_to_95_s = isnan(run->flux_95) ? NAN : INFINITY;
    run->on->time_to_pull_s = isnan(run->problem.needed_flux) ? NAN : INFINITY;
}

static void balance(on_run *run)
{
    cw_switch_on *on = run->on;

    on->flux_linkage_wb = run->ode.y[0];
    on->energy_in_j = run->ode.sum[ENERGY_IN];
    on->energy_copper_j = run->ode.sum[COPPER];
    on->energy_error = fabs(on->energy_in_j - on->energy_copper_j -
                            cw_circuit_stored_j(run->problem.coil, run->ode.y[0])) / fabs(on->energy_in_j);
    on->steps = run->ode.steps;
    record(run, true);
    on->curve = run->recorder.points;
    on->count = run->recorder.count;
}

cw_status cw_circuit_on(const cw_circuit_coil *coil, double resistance_ohm, const cw_source *source,
                        double needed_current_a, cw_switch_on *on, cw_error *error)
{
    on_run run = { .problem = { coil, source, resistance_ohm, NAN }, .on = on };
    cw_status status = check(resistance_ohm, source, needed_current_a, error);

    memset(on, 0, sizeof *on);
    if (status == CW_OK)
        status = cw_recorder__begin(&run.recorder, error);
    if (status != CW_OK)
        return status;
    on->needed_current_a = needed_current_a;
    if (!isnan(needed_current_a))
        run.problem.needed_flux = isinf(needed_current_a) ? INFINITY
                                                          : cw_circuit_flux_linkage_wb(coil, needed_current_a);
    set_out(&run);
    status = source->kind == CW_SOURCE_DC ? run_direct(&run, error) : run_cycles(&run, error);
    balance(&run);
    if (status != CW_OK)
        cw_switch_on_clear(on);
    return status;
}

void cw_switch_on_clear(cw_switch_on *on)
{
    cw_free(on->curve);
    memset(on, 0, sizeof *on);
}
