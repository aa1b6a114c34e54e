/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The heat run by the resistance method: the winding as its own thermometer. */
#include "proof/proof_internal.h"

#include "coilwright/heat.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Inferred temperature of no resistance, in °C below zero: copper 234.5 [UL, IEEE 119, IEC 60028 implies it; IEC
 * 60034-1 has 235, which is 0.1 K in 60], aluminium 225 [UL]. */
static double inferred_zero(cw_material material)
{
    return material == CW_ALUMINIUM ? 225.0 : 234.5;
}

double cw_resistance_temperature_c(cw_material material, double cold_ohm, double cold_c, double hot_ohm)
{
    return cw_heat_by_resistance_c(cold_ohm, cold_c, hot_ohm, inferred_zero(material));
}

/* ---- back to the moment of switch-off ---------------------------------------------------------------------- */

enum { FIT_POINTS_MOST = 200, PARABOLA_POINTS_LEAST = 5 };

/* Polynomial by least squares, centred for its condition: value at time 0 and its variance. */
typedef struct fit {
    double at_zero, variance_at_zero; /* of ln(excess) */
    double residual;                  /* sum of squares */
} fit;

/* Solves the symmetric 3 by 3 system (the leading `n`), and gives the first row of the inverse times `n`. */
static bool solve(double matrix[3][3], double vector[3], double inverse[3][3], int n)
{
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++)
            inverse[i][j] = i == j;
    for (int column = 0; column < n; column++) {
        const double pivot = matrix[column][column]; /* symmetric and positive: no exchange of rows is needed */

        if (!(pivot > 1e-12))
            return false;
        for (int j = 0; j < n; j++) {
            matrix[column][j] /= pivot;
            inverse[column][j] /= pivot;
        }
        vector[column] /= pivot;
        for (int i = 0; i < n; i++) {
            const double factor = matrix[i][column];

            if (i == column)
                continue;
            for (int j = 0; j < n; j++) {
                matrix[i][j] -= factor * matrix[column][j];
                inverse[i][j] -= factor * inverse[column][j];
            }
            vector[i] -= factor * vector[column];
        }
    }
    return true;
}

static double power(double base, int exponent)
{
    return exponent == 0 ? 1 : exponent == 1 ? base : base * base;
}

/* y = sum c_k s^k with s = time over the last time, so that 0 stays 0. */
static bool fit_polynomial(const cw_cooling_point *points, size_t count, double ambient_ohm, int order, fit *result)
{
    const double span = points[count - 1].time_s;
    double matrix[3][3] = { { 0 } }, vector[3] = { 0 }, inverse[3][3], residual = 0;

    for (size_t p = 0; p < count; p++)
        for (int i = 0; i <= order; i++) {
            const double s = points[p].time_s / span;

            vector[i] += power(s, i) * log(points[p].ohm - ambient_ohm);
            for (int j = 0; j <= order; j++)
                matrix[i][j] += power(s, i) * power(s, j);
        }
    if (!solve(matrix, vector, inverse, order + 1))
        return false;
    for (size_t p = 0; p < count; p++) {
        double y = 0;

        for (int i = 0; i <= order; i++)
            y += vector[i] * power(points[p].time_s / span, i);
        residual += (log(points[p].ohm - ambient_ohm) - y) * (log(points[p].ohm - ambient_ohm) - y);
    }
    result->at_zero = vector[0];
    result->residual = residual;
    result->variance_at_zero =
        count > (size_t)order + 1 ? inverse[0][0] * residual / (double)(count - (size_t)order - 1) : NAN;
    return true;
}

static cw_status check_points(const cw_cooling_point *points, size_t count, double ambient_ohm, cw_error *error)
{
    if (count == 0)
        return cw_refuse(error, NULL, NULL, "There is no resistance after switch-off to go back from.");
    if (count > FIT_POINTS_MOST)
        return cw_refuse(error, NULL, NULL, "There are %zu readings after switch-off; the first %d minutes are enough.",
                         count, 5);
    for (size_t i = 0; i < count; i++) {
        if (!(points[i].time_s >= 0) || (i > 0 && !(points[i].time_s > points[i - 1].time_s)))
            return cw_refuse(error, NULL, NULL,
                             "The times after switch-off must rise from zero; reading %zu is at %g s.", i + 1,
                             points[i].time_s);
        if (!(points[i].ohm > ambient_ohm))
            return cw_refuse(error, NULL, NULL,
                             "Reading %zu after switch-off, %.5g ohm, is not above that of the winding at the "
                             "temperature of the room, %.5g ohm: it has cooled down, or the cold reading is wrong.",
                             i + 1, points[i].ohm, ambient_ohm);
    }
    if (count == 1 && points[0].time_s > 30)
        return cw_refuse(error, NULL, "within 30 s, or several readings",
                         "The only resistance was read %.0f s after switch-off, too late to be taken as it is.",
                         points[0].time_s);
    return CW_OK;
}

/* Students's 97.5 % point for the degrees of freedom, from the usual table; 2 beyond it. */
static double student(size_t freedom)
{
    static const double table[] = { 12.71, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228 };

    return freedom >= 1 && freedom <= 10 ? table[freedom - 1] : 2.0;
}

/* The parabola is taken where it leaves less than a quarter of the scatter a degree of freedom: a straight line then
 * misses the evening-out inside the winding. */
cw_status cw_extrapolate_switch_off(const cw_cooling_point *points, size_t count, double ambient_ohm,
                                    cw_heat_run_end *found, cw_error *error)
{
    const cw_status status = check_points(points, count, ambient_ohm, error);
    fit line, parabola;
    size_t freedom;

    if (status != CW_OK)
        return status;
    if (count == 1 || points[count - 1].time_s == 0) {
        *found = (cw_heat_run_end){ .ohm = points[0].ohm, .ohm_doubt = NAN, .order = 0 };
        return CW_OK;
    }
    if (!fit_polynomial(points, count, ambient_ohm, 1, &line))
        return cw_refuse(error, NULL, NULL, "The times after switch-off lie too close together to go back from.");
    *found = (cw_heat_run_end){ .order = 1 };
    freedom = count - 2;
    if (count >= PARABOLA_POINTS_LEAST && fit_polynomial(points, count, ambient_ohm, 2, &parabola) &&
        parabola.residual / (double)(count - 3) < 0.25 * line.residual / (double)(count - 2)) {
        line = parabola;
        found->order = 2;
        freedom = count - 3;
    }
    found->ohm = ambient_ohm + exp(line.at_zero);
    found->ohm_doubt = (found->ohm - ambient_ohm) * student(freedom) * sqrt(line.variance_at_zero);
    return CW_OK;
}

/* ---- the test ---------------------------------------------------------------------------------------------- */

/* What the readings of a heat run say. */
typedef struct run {
    const cw_proof_reading *cold;
    double ambient_c;                        /* of the room at the end; NAN not noted */
    double voltage_v;
    cw_cooling_point cooling[FIT_POINTS_MOST];
    size_t cooling_count;
    cw_cooling_point on[FIT_POINTS_MOST];    /* while energised, times <= 0 */
    size_t on_count;
} run;

static void add_point(cw_cooling_point *points, size_t *count, const cw_proof_reading *reading)
{
    size_t at = *count;

    if (*count == FIT_POINTS_MOST)
        return;
    while (at > 0 && points[at - 1].time_s > reading->time_s) {
        points[at] = points[at - 1];
        at--;
    }
    points[at] = (cw_cooling_point){ .time_s = reading->time_s, .ohm = reading->value };
    ++*count;
}

/* A reading without a time is the cold one; the winding's own resistance test serves as well. */
static void collect(const cw_proof_request *request, run *run)
{
    memset(run, 0, sizeof *run);
    run->ambient_c = run->voltage_v = NAN;
    for (size_t i = 0; i < request->reading_count; i++) {
        const cw_proof_reading *reading = &request->readings[i];

        if (reading->test != CW_PROVE_HEAT_RUN)
            continue;
        if (isnan(reading->time_s))
            run->cold = reading;
        else if (reading->time_s <= 0)
            add_point(run->on, &run->on_count, reading);
        else
            add_point(run->cooling, &run->cooling_count, reading);
        if (!isnan(reading->ambient_c))
            run->ambient_c = reading->ambient_c;
        if (!isnan(reading->voltage_v))
            run->voltage_v = reading->voltage_v;
    }
    if (run->cold == NULL || isnan(run->cold->at_c))
        run->cold = cw_proof__latest(request, CW_PROVE_WINDING_RESISTANCE, -1);
    if (run->cold != NULL && (isnan(run->cold->at_c) || isinf(run->cold->value) || run->cold->value == 0))
        run->cold = NULL;
}

static cw_material material_of(const cw_proof_request *request)
{
    return request->winding != NULL ? request->winding->plan.wire.material : CW_COPPER;
}

/* Fall of the temperature in K/h over the last readings under current, at least 15 min apart; NAN where they do not
 * tell. */
static double drift_k_per_h(const cw_proof_request *request, const run *run)
{
    const cw_cooling_point *last, *first = NULL;
    double t1, t2;

    if (run->on_count < 2)
        return NAN;
    last = &run->on[run->on_count - 1];
    for (size_t i = 0; i < run->on_count; i++)
        if (last->time_s - run->on[i].time_s >= 15 * 60)
            first = &run->on[i];
    if (first == NULL)
        return NAN;
    t1 = cw_resistance_temperature_c(material_of(request), run->cold->value, run->cold->at_c, first->ohm);
    t2 = cw_resistance_temperature_c(material_of(request), run->cold->value, run->cold->at_c, last->ohm);
    return (t2 - t1) / (last->time_s - first->time_s) * 3600;
}

static void limit_rise(const cw_proof_request *request, cw_proof_test *test)
{
    const double class_c = cw_proof__system_class_c(request);
    const double ambient_c =
        fmax(40, request->supply.given && !isnan(request->supply.ambient_c) ? request->supply.ambient_c : 40);
    cw_basis_trust trust;
    double limit;

    if (isnan(class_c))
        return;
    limit = cw_proof_rise_limit_k(request->rise_rule, class_c, ambient_c, &trust);
    if (request->rise_rule == CW_RISE_BY_CLASS && !isnan(request->hot_spot_allowance_k)) {
        limit = class_c - ambient_c - request->hot_spot_allowance_k;
        trust = CW_BASIS_COMPUTED;
    }
    if (isnan(limit))
        return;
    cw_proof__limit(test, trust == CW_BASIS_MEMORY ? CW_ADVISES : CW_DECIDES, trust, NAN, limit,
                    "%s, class %.0f at %.0f °C ambient",
                    request->rise_rule == CW_RISE_BY_CLASS ? "class less ambient less allowance from mean to hot spot"
                    : request->rise_rule == CW_RISE_CONTROL_GEAR ? "IEC 60947-4-1 Table 6, coil in air"
                    : request->rise_rule == CW_RISE_MACHINE      ? "IEC 60034-1, winding by resistance"
                                                                 : "IEC 60076-11, winding by resistance",
                    class_c, ambient_c);
    if (request->rise_rule != CW_RISE_BY_CLASS)
        cw_proof__limit(test, CW_EXPECTED, CW_BASIS_WEB, NAN,
                        cw_proof_rise_limit_k(CW_RISE_BY_CLASS, class_c, ambient_c, NULL),
                        "class less ambient less allowance from mean to hot spot");
}

static const char *missing(const run *run)
{
    if (run->cold == NULL)
        return "The cold resistance with the temperature of the coil is missing: read both before the run.";
    if (isnan(run->ambient_c))
        return "The temperature of the room at the end of the run was not noted.";
    if (run->cooling_count == 0 && run->on_count == 0)
        return "There is no resistance at the end of the run.";
    return NULL;
}

/* Resistance at switch-off: the last one under current where there is one, else back from the cooling. */
static cw_status at_switch_off(const cw_proof_request *request, const run *run, cw_heat_run_end *off, cw_error *error)
{
    const double k = inferred_zero(material_of(request));
    const double ambient_ohm = run->cold->value * (k + run->ambient_c) / (k + run->cold->at_c);

    if (run->on_count > 0) {
        *off = (cw_heat_run_end){ .ohm = run->on[run->on_count - 1].ohm, .ohm_doubt = NAN, .order = 0 };
        return CW_OK;
    }
    return cw_extrapolate_switch_off(run->cooling, run->cooling_count, ambient_ohm, off, error);
}

static void say_run(const cw_proof_request *request, const run *run, const cw_heat_run_end *off, cw_proof_test *test)
{
    const double drift = drift_k_per_h(request, run);

    CW_PROOF__SAY(test->remark, "%.5g ohm at switch-off, %s.", off->ohm,
                  run->on_count > 0 ? "read under current"
                  : off->order == 0 ? "one early reading taken as it is"
                  : off->order == 1 ? "back along a straight line in the logarithm"
                                    : "back along a parabola in the logarithm");
    if (fabs(drift) > 2) { /* IEC 60034-1 edition 12: below 2 K/h */
        test->verdict = test->verdict == CW_FAIL ? CW_FAIL : CW_OPEN;
        CW_PROOF__SAY(test->remark, "The winding still changed by %.1f K/h: run on until it is below 2 K/h.", drift);
    }
    if (request->supply.given && run->voltage_v < 1.1 * request->supply.voltage_v * (1 - 1e-9))
        CW_PROOF__SAY(test->remark,
                      "At %.4g V; at the highest supply, 1.1 times the rated voltage, the power is up to %.0f %% "
                      "greater.",
                      run->voltage_v, 100 * (pow(1.1 * request->supply.voltage_v / run->voltage_v, 2) - 1));
}

static void judge_run(const cw_proof_request *request, const run *run, cw_proof_test *test)
{
    cw_error error = { .text = "" };
    cw_heat_run_end off;
    double hot_c;

    if (at_switch_off(request, run, &off, &error) != CW_OK) {
        cw_proof__leave_open(test);
        test->remark[0] = '\0';
        CW_PROOF__SAY(test->remark, "%.400s", error.text);
        return;
    }
    hot_c = cw_resistance_temperature_c(material_of(request), run->cold->value, run->cold->at_c, off.ohm);
    test->reading = hot_c - run->ambient_c;
    if (!isnan(off.ohm_doubt))
        test->corrected_doubt =
            off.ohm_doubt / run->cold->value * (inferred_zero(material_of(request)) + run->cold->at_c);
    cw_proof__judge(test, test->reading, test->reading);
    say_run(request, run, &off, test);
}

cw_status cw_proof__heat_run(cw_proof__work *work, cw_error *error)
{
    const bool any = cw_proof__latest(work->request, CW_PROVE_HEAT_RUN, -1) != NULL;
    cw_proof_test *test = cw_proof__begin(work, CW_PROVE_HEAT_RUN, 0);
    run *run;

    if (test == NULL)
        return cw_no_memory(error);
    limit_rise(work->request, test);
    if (!any) {
        cw_proof__leave_open(test);
        return CW_OK;
    }
    run = cw_allocate(1, sizeof *run);
    if (run == NULL)
        return cw_no_memory(error);
    collect(work->request, run);
    if (missing(run) != NULL) {
        cw_proof__leave_open(test);
        test->remark[0] = '\0';
        CW_PROOF__SAY(test->remark, "%s", missing(run));
    } else
        judge_run(work->request, run, test);
    cw_free(run);
    return CW_OK;
}
