/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings until they stand still. */
#include "instrument/instrument_internal.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

enum { ALIKE_MOST = 50 };

void cw_measure_plan_defaults(cw_measure_plan *plan, cw_measure_kind kind)
{
    *plan = (cw_measure_plan) { .kind = kind,
                                .range = NAN,
                                .alike = 3,
                                .agree = kind == CW_MEASURE_TEMPERATURE ? 0.2 : 0.001,
                                .pause_s = 0.2,
                                .answer_s = 10,
                                .within_s = 60 };
}

static cw_status check_plan(const cw_measure_plan *plan, cw_error *error)
{
    if (plan->alike < 1 || plan->alike > ALIKE_MOST)
        return cw_refuse(error, NULL, "1 to 50", "%d readings that must agree are out of range.", plan->alike);
    if (!(plan->agree > 0 && plan->pause_s >= 0 && plan->answer_s > 0 && plan->within_s > 0))
        return cw_refuse(error, NULL, NULL, "Times and agreement of a measurement must be above zero.");
    if (plan->range <= 0 || isinf(plan->range))
        return cw_refuse(error, NULL, "the range in ohm, as in 200", "A range of %g is none.", plan->range);
    return CW_OK;
}

static void write_question(const cw_measure_plan *plan, char *question, size_t size)
{
    static const char *const questions[] = { "MEAS:RES?", "MEAS:FRES?", "MEAS:TEMP?" };

    if (isnan(plan->range) || plan->kind == CW_MEASURE_TEMPERATURE)
        snprintf(question, size, "%s", questions[plan->kind]);
    else
        snprintf(question, size, "%s %.0f", questions[plan->kind],
                 ceil(plan->range)); /* no point, whatever the locale */
}

static cw_status one_reading(cw_instrument *instrument, const cw_measure_plan *plan, const char *question,
                             double left_s, double *value, cw_error *error)
{
    cw_text answer = { 0 };
    bool over_range = false;
    cw_status status = cw_instrument_ask(instrument, question, fmin(plan->answer_s, left_s), &answer, error);

    if (status == CW_OK && !cw_instrument_number(answer.data, answer.length, value, &over_range))
        status = cw_fail(error, "The meter at '%s' has answered '%.80s' to '%s', which is no number.", instrument->name,
                         answer.data, question);
    else if (status == CW_OK && over_range)
        status = cw_refuse(error, NULL, NULL,
                           "The meter at '%s' shows over-range: the coil is open, a clip has no contact, "
                           "or the range is too small.",
                           instrument->name);
    else if (status == CW_OK && plan->kind != CW_MEASURE_TEMPERATURE && *value < 0)
        status = cw_refuse(error, NULL, NULL,
                           "The meter at '%s' shows %g ohm, below zero: are the sense clips exchanged, or "
                           "is there voltage on the coil?",
                           instrument->name, *value);
    cw_text_clear(&answer);
    return status;
}

/* Greatest less least of the last ones; whether they agree. */
static bool settled(const cw_measure_plan *plan, const double *last, int count, double *spread)
{
    double least = INFINITY, greatest = -INFINITY, sum = 0;

    if (count < plan->alike)
        return false;
    for (int i = 0; i < plan->alike; i++) {
        const double value = last[(count - 1 - i) % ALIKE_MOST];

        least = fmin(least, value);
        greatest = fmax(greatest, value);
        sum += value;
    }
    *spread = greatest - least;
    return *spread <= plan->agree * (plan->kind == CW_MEASURE_TEMPERATURE ? 1 : fabs(sum / plan->alike));
}

static void pause_for(double seconds)
{
    struct timespec left = { .tv_sec = (time_t)seconds, .tv_nsec = (long)(1e9 * (seconds - floor(seconds))) };

    while (nanosleep(&left, &left) != 0 && errno == EINTR)
        ;
}

static cw_status not_settled(const cw_instrument *instrument, const cw_measure_plan *plan, const double *last,
                             int count, cw_error *error)
{
    return cw_fail(error,
                   "The readings of the meter at '%s' have not settled within %g s; the last of %d is %.6g. A big coil "
                   "needs longer and a fixed range; a reading that jumps is a bad contact.",
                   instrument->name, plan->within_s, count, count > 0 ? last[(count - 1) % ALIKE_MOST] : NAN);
}

cw_status cw_instrument_measure(cw_instrument *instrument, const cw_measure_plan *plan, cw_measured *measured,
                                cw_error *error)
{
    const double start_s = cw_instrument__now_s();
    double last[ALIKE_MOST], spread = 0;
    cw_status status = check_plan(plan, error);
    char question[64];
    int count = 0;

    if (status != CW_OK)
        return status;
    write_question(plan, question, sizeof question);
    while (!settled(plan, last, count, &spread)) {
        double left_s;

        if (count > 0)
            pause_for(plan->pause_s);
        left_s = plan->within_s - (cw_instrument__now_s() - start_s);
        if (left_s <= 0)
            return not_settled(instrument, plan, last, count, error);
        status = one_reading(instrument, plan, question, left_s, &last[count % ALIKE_MOST], error);
        if (status == CW_FAILED && count > 0 && cw_instrument__now_s() - start_s >= plan->within_s)
            return not_settled(instrument, plan, last, count, error);
        if (status != CW_OK)
            return status;
        count++;
    }
    *measured = (cw_measured){ .value = last[(count - 1) % ALIKE_MOST], .spread = spread, .taken = count,
                               .time_s = cw_instrument__now_s() - start_s };
    snprintf(measured->question, sizeof measured->question, "%s", question);
    return CW_OK;
}
