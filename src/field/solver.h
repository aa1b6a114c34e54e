/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A direct solver for the symmetric positive definite systems of finite elements in the plane.
 *
 * Nested dissection by elements: the mesh is halved along its lattice again and again; an unknown all of whose
 * elements lie in one half is eliminated there, the rest is handed up as a dense block (J. A. George, SIAM J. Numer.
 * Anal. 10, 1973; the multifrontal form of I. S. Duff and J. K. Reid, ACM Trans. Math. Softw. 9, 1983). No general
 * sparse matrix is ever formed, the order costs a few passes over the elements, and the same numbers come out on every
 * machine, since no entry's sum is reordered by the width of the processor's vectors. */
#ifndef CW_FIELD_SOLVER_H
#define CW_FIELD_SOLVER_H

#include "coilwright/base.h"

typedef struct cw_solver cw_solver;

typedef struct cw_solver_counts {
    double factor_entries;  /* of the factor */
    double multiplications; /* of one factorisation */
    double bytes;
} cw_solver_counts;

/* Order and sizes; to be kept as long as the triangles stay the same.
 *   unknown  shape [element_count][6]; below zero: a node that is no unknown
 *   place    shape [element_count][2]; integers by which the elements are halved
 *   ranked   each place is a rank, 0 to element_count - 1, that no other element has */
cw_status cw_solver__create(const int (*unknown)[6], const int (*place)[2], bool ranked, size_t element_count,
                            size_t unknown_count, cw_solver **solver, cw_error *error);
void cw_solver__destroy(cw_solver **solver);

/* Factorises the sum of element matrices.
 *   matrix  shape [element_count][21]: lower halves by rows
 * CW_FAILED where the sum is not positive definite. */
cw_status cw_solver__factor(cw_solver *solver, const double (*matrix)[21], cw_error *error);

/* x receives the solution in place of the right-hand side; shape [unknown_count]. */
void cw_solver__solve(cw_solver *solver, double *x);

void cw_solver__counts(const cw_solver *solver, cw_solver_counts *counts);

/* Cholesky's method on the first `pivots` columns of a dense symmetric block, whose rest receives the Schur
 * complement. Only the lower half is read; the upper is scratch.
 *   block  shape [size + 4 columns][rows], column by column; rows is `size` rounded up to 8
 * Returns false where a pivot is not above zero. */
bool cw_dense__eliminate(double *block, int rows, int size, int pivots);

#endif
