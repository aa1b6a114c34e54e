/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "evidence/study_calibration.h"

#include "evidence/evidence_internal.h"

#include <math.h>
#include <string.h>
#include <time.h>

#include <gsl/gsl_cdf.h>

static const cw_reading_kind kinds[] = {
    CW_COIL_RESISTANCE, CW_SAMPLE_RESISTANCE, CW_WIRE_MASS, CW_SAMPLE_MASS, CW_OVERALL_DIAMETER, CW_BARE_DIAMETER,
    CW_TURNS, CW_TURNS_PER_LAYER, CW_LAYERS, CW_WINDING_DEPTH, CW_CENTRE_FIELD,
};
enum { KINDS = sizeof kinds / sizeof kinds[0] };

/* A random handful of readings, without repetition. */
static size_t draw_readings(study_random *r, const study_coil *coil, cw_reading *readings)
{
    cw_reading_kind order[KINDS];
    const size_t count = 3 + study_below(r, 6);

    memcpy(order, kinds, sizeof order);
    for (size_t i = 0; i < count; i++) {
        const size_t j = i + study_below(r, KINDS - i);
        const cw_reading_kind kind = order[j];

        order[j] = order[i];
        order[i] = kind;
        readings[i] = study_take(r, coil, kind);
        if (study_uniform(r) < 0.04)
            study_blunder(r, &readings[i]);
    }
    return count;
}

static void record(study_calibration *result, const study_coil *coil, const cw_identification *id,
                   const double *truth, const double *cumulative)
{
    const cw_interval *interval[STUDY_OUTPUTS] = { &id->turns, &id->length_m, &id->resistance_20c_ohm, &id->mass_kg };

    result->coils++;
    for (int o = 0; o < STUDY_OUTPUTS; o++) {
        size_t bin = (size_t)(cumulative[o] * STUDY_BINS);

        result->inside[o] += truth[o] >= interval[o]->p05 && truth[o] <= interval[o]->p95;
        result->rank[o][bin < STUDY_BINS ? bin : STUDY_BINS - 1]++;
    }
    for (size_t i = 0; i < id->candidate_count; i++) {
        size_t tenth = (size_t)(id->candidates[i].probability * STUDY_TENTHS);

        tenth = tenth < STUDY_TENTHS ? tenth : STUDY_TENTHS - 1;
        result->claimed[tenth] += id->candidates[i].probability;
        result->given[tenth]++;
        result->right[tenth] += study_is(coil, &id->candidates[i]);
    }
}

void study_calibrate(const cw_wire_catalogue *catalogue, uint64_t seed, size_t coils, study_calibration *result)
{
    study_random random;

    memset(result, 0, sizeof *result);
    study_seed(&random, seed);
    for (size_t i = 0; i < coils; i++) {
        study_coil coil;
        cw_reading readings[STUDY_READINGS_MOST];
        cw_evidence evidence = { .window = &coil.window, .readings = readings, .seen = { .lean = -1 },
                                 .coil_voltage_v = NAN, .supply_frequency_hz = NAN };
        cw_identification *id;
        struct timespec before, after;
        double truth[STUDY_OUTPUTS], cumulative[STUDY_OUTPUTS];

        study_draw_coil(&random, catalogue, &coil);
        evidence.reading_count = draw_readings(&random, &coil, readings);
        truth[0] = coil.turns;
        truth[1] = coil.length_m;
        truth[2] = coil.resistance_20c_ohm;
        truth[3] = coil.mass_kg;
        clock_gettime(CLOCK_MONOTONIC, &before);
        if (cw_evidence__identify(&evidence, catalogue, truth, cumulative, &id, NULL) == CW_OK)
            record(result, &coil, id, truth, cumulative);
        clock_gettime(CLOCK_MONOTONIC, &after);
        result->seconds += (double)(after.tv_sec - before.tv_sec) + 1e-9 * (double)(after.tv_nsec - before.tv_nsec);
        cw_identification_destroy(&id);
    }
}

double study_flatness(const size_t *count, size_t bins)
{
    double total = 0, chi = 0;

    for (size_t i = 0; i < bins; i++)
        total += (double)count[i];
    for (size_t i = 0; i < bins; i++) {
        const double d = (double)count[i] - total / (double)bins;

        chi += d * d / (total / (double)bins);
    }
    return gsl_cdf_chisq_Q(chi, (double)bins - 1);
}
