/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The dense kernel of the direct solver: nine tenths of all its time.
 *
 * Written with vectors of four doubles, which the compiler cuts in two where the processor has none. Each
 * entry of the block is a difference of products in the order of the pivots, whatever the width, so results do not depend on the machine
 * (no fused multiply-add: see meson.build). */
#include "field/solver.h"

#include <math.h>
#include <string.h>

typedef double quad __attribute__((vector_size(32), aligned(8), may_alias));

enum { PANEL = 12 };

#define INLINE static inline __attribute__((always_inline))

/* Columns first..last-1 of the panel among themselves. */
INLINE bool panel(double *block, size_t rows, int first, int last)
{
    for (int k = first; k < last; k++) {
        double *column = block + (size_t)k * rows, inverse;
        size_t start = (size_t)k & ~(size_t)3;

        if (!(column[k] > 0))
            return false;
        inverse = 1 / sqrt(column[k]);
        for (size_t i = start; i < rows; i += 4)
            *(quad *)(column + i) *= inverse;
        for (int j = k + 1; j < last; j++) {
            double *other = block + (size_t)j * rows, factor = column[j];

            for (size_t i = (size_t)j & ~(size_t)3; i < rows; i += 4)
                *(quad *)(other + i) -= *(quad *)(column + i) * factor;
        }
    }
    return true;
}

/* Four columns of the rest minus the panel times its own transpose, eight rows at a time. */
INLINE void rest(double *block, size_t rows, int first, int last, int at)
{
    double *c0 = block + (size_t)at * rows, *c1 = c0 + rows, *c2 = c1 + rows, *c3 = c2 + rows;

    for (size_t i = (size_t)at & ~(size_t)7; i < rows; i += 8) {
        quad a0 = *(quad *)(c0 + i), a1 = *(quad *)(c1 + i), a2 = *(quad *)(c2 + i), a3 = *(quad *)(c3 + i);
        quad b0 = *(quad *)(c0 + i + 4), b1 = *(quad *)(c1 + i + 4), b2 = *(quad *)(c2 + i + 4);
        quad b3 = *(quad *)(c3 + i + 4);
        const double *column = block + (size_t)first * rows;

        for (int k = first; k < last; k++, column += rows) {
            quad low = *(const quad *)(column + i), high = *(const quad *)(column + i + 4);

            a0 -= low * column[at];
            b0 -= high * column[at];
            a1 -= low * column[at + 1];
            b1 -= high * column[at + 1];
            a2 -= low * column[at + 2];
            b2 -= high * column[at + 2];
            a3 -= low * column[at + 3];
            b3 -= high * column[at + 3];
        }
        *(quad *)(c0 + i) = a0;
        *(quad *)(c1 + i) = a1;
        *(quad *)(c2 + i) = a2;
        *(quad *)(c3 + i) = a3;
        *(quad *)(c0 + i + 4) = b0;
        *(quad *)(c1 + i + 4) = b1;
        *(quad *)(c2 + i + 4) = b2;
        *(quad *)(c3 + i + 4) = b3;
    }
}

INLINE bool eliminate(double *block, size_t rows, int size, int pivots)
{
    for (int first = 0; first < pivots; first += PANEL) {
        int last = first + PANEL < pivots ? first + PANEL : pivots;

        if (!panel(block, rows, first, last))
            return false;
        for (int at = last; at < size; at += 4)
            rest(block, rows, first, last, at);
    }
    return true;
}

#if defined __x86_64__
__attribute__((target("avx2"))) static bool eliminate_avx2(double *block, size_t rows, int size, int pivots)
{
    return eliminate(block, rows, size, pivots);
}
#endif

static bool eliminate_plain(double *block, size_t rows, int size, int pivots)
{
    return eliminate(block, rows, size, pivots);
}

bool cw_dense__eliminate(double *block, int rows, int size, int pivots)
{
#if defined __x86_64__
    if (__builtin_cpu_supports("avx2"))
        return eliminate_avx2(block, (size_t)rows, size, pivots);
#endif
    return eliminate_plain(block, (size_t)rows, size, pivots);
}
