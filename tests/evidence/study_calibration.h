/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A study of calibration over many invented coils, and its figures. Used by the test and by bench/. */
#ifndef CW_TEST_STUDY_CALIBRATION_H
#define CW_TEST_STUDY_CALIBRATION_H

#include "evidence/study.h"

enum { STUDY_OUTPUTS = 4, STUDY_BINS = 20, STUDY_TENTHS = 10 };

typedef struct study_calibration {
    size_t coils;
    size_t inside[STUDY_OUTPUTS];            /* truth within p05 to p95: turns, length, resistance, mass */
    size_t rank[STUDY_OUTPUTS][STUDY_BINS];  /* of the truth in the posterior */
    double claimed[STUDY_TENTHS];            /* sum of the probabilities of candidates given 0-10, 10-20 ... % */
    size_t given[STUDY_TENTHS], right[STUDY_TENTHS];
    double seconds;                          /* in the library */
} study_calibration;

/* Draws `coils` coils with 3 to 8 readings each, one reading in 25 a blunder, and identifies them. */
void study_calibrate(const cw_wire_catalogue *catalogue, uint64_t seed, size_t coils, study_calibration *result);

/* P(chi-square with bins - 1 degrees of freedom > observed) for a flat histogram. */
double study_flatness(const size_t *count, size_t bins);

#endif
