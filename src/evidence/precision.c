/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The precision of the readings under a frame, and what is left of it without one or two of them.
 *
 * With P = C^-1 and s = P r, leaving out a set B of readings changes the Gaussian's exponent and determinant by
 *     r' P r            -> r' P r - s_B' (P_BB)^-1 s_B
 *     ln det C          -> ln det C + ln det P_BB
 * so that every set of blunders costs a handful of operations once P is known. [block inverse; any text on Gaussian
 * conditioning] */
#include "evidence/evidence_internal.h"

#include <math.h>

/* In place: lower Cholesky factor of the symmetric positive definite a, shape [n][ROWS]. C = J J' + D is positive
 * definite by construction, D being positive. */
static void factorize(double a[CW_EVIDENCE__ROWS][CW_EVIDENCE__ROWS], size_t n)
{
    for (size_t j = 0; j < n; j++) {
        double d = a[j][j];

        for (size_t k = 0; k < j; k++)
            d -= a[j][k] * a[j][k];
        a[j][j] = sqrt(d);
        for (size_t i = j + 1; i < n; i++) {
            double sum = a[i][j];

            for (size_t k = 0; k < j; k++)
                sum -= a[i][k] * a[j][k];
            a[i][j] = sum / a[j][j];
        }
    }
}

/* In place: inverse of a lower triangle. */
static void invert_lower(double a[CW_EVIDENCE__ROWS][CW_EVIDENCE__ROWS], size_t n)
{
    for (size_t j = 0; j < n; j++) {
        a[j][j] = 1 / a[j][j];
        for (size_t i = j + 1; i < n; i++) {
            double sum = 0;

            for (size_t k = j; k < i; k++)
                sum -= a[i][k] * a[k][j];
            a[i][j] = sum / a[i][i];
        }
    }
}

void cw_evidence__precision_make(const cw_evidence__model *model, const cw_evidence__frame *frame,
                                 cw_evidence__precision *precision)
{
    const size_t n = model->rows;
    double j[CW_EVIDENCE__ROWS][CW_EVIDENCE__DEVIATIONS];
    double l[CW_EVIDENCE__ROWS][CW_EVIDENCE__ROWS];

    precision->n = n;
    for (size_t i = 0; i < n; i++)
        cw_evidence__row_deviations(frame, &model->row[i], j[i]);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k <= i; k++) {
            double sum = i == k ? model->row[i].noise : 0;

            for (int c = 0; c < CW_EVIDENCE__DEVIATIONS; c++)
                sum += j[i][c] * j[k][c];
            l[i][k] = sum;
        }
    factorize(l, n);
    precision->log_determinant = 0;
    for (size_t i = 0; i < n; i++)
        precision->log_determinant += 2 * log(l[i][i]);
    invert_lower(l, n);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k <= i; k++) {
            double sum = 0;

            for (size_t m = i; m < n; m++)
                sum += l[m][i] * l[m][k];
            precision->p[i][k] = precision->p[k][i] = sum;
        }
}
