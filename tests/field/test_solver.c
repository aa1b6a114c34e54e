/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The direct solver against GSL's dense Cholesky, on element matrices from random positive definite blocks. */
#include "field/solver.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_linalg.h>

static double uniform(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

typedef struct system {
    int (*unknown)[6], (*place)[2];
    double (*matrix)[21];
    size_t elements, unknowns;
    gsl_matrix *dense;
} system_;

/* Two triangles a cell of a lattice, some unknowns fixed. */
static void lattice(system_ *s, int nx, int ny, uint64_t *seed)
{
    int wide = 2 * nx + 1, next = 0, *number = calloc((size_t)(wide * (2 * ny + 1)), sizeof(int));
    size_t t = 0;

    s->elements = (size_t)(2 * nx * ny);
    s->unknown = calloc(s->elements, sizeof *s->unknown);
    s->place = calloc(s->elements, sizeof *s->place);
    s->matrix = calloc(s->elements, sizeof *s->matrix);
    for (int i = 0; i < wide * (2 * ny + 1); i++)
        number[i] = uniform(seed) < 0.1 ? -1 : next++;
    for (int j = 0; j < ny; j++)
        for (int i = 0; i < nx; i++) {
            int a = 2 * j * wide + 2 * i;
            int nodes[2][6] = { { a, a + 2, a + 2 + 2 * wide, a + 1, a + 2 + wide, a + 1 + wide },
                                { a, a + 2 + 2 * wide, a + 2 * wide, a + 1 + wide, a + 1 + 2 * wide, a + wide } };

            for (int h = 0; h < 2; h++, t++) {
                for (int k = 0; k < 6; k++)
                    s->unknown[t][k] = number[nodes[h][k]];
                s->place[t][0] = i;
                s->place[t][1] = j;
            }
        }
    s->unknowns = (size_t)next;
    free(number);
}

static void fill(system_ *s, uint64_t *seed)
{
    s->dense = gsl_matrix_calloc(s->unknowns, s->unknowns);
    for (size_t t = 0; t < s->elements; t++) {
        double factor[6][6], *entry = s->matrix[t];

        for (int i = 0; i < 36; i++)
            factor[i / 6][i % 6] = uniform(seed) - 0.5;
        for (int i = 0; i < 6; i++)
            for (int j = 0; j <= i; j++, entry++) {
                int u = s->unknown[t][i], v = s->unknown[t][j];

                *entry = i == j ? 0.1 : 0;
                for (int k = 0; k < 6; k++)
                    *entry += factor[i][k] * factor[j][k];
                if (u >= 0 && v >= 0) {
                    *gsl_matrix_ptr(s->dense, (size_t)u, (size_t)v) += *entry;
                    if (i != j)
                        *gsl_matrix_ptr(s->dense, (size_t)v, (size_t)u) += *entry;
                }
            }
    }
}

static void clear(system_ *s)
{
    free(s->unknown);
    free(s->place);
    free(s->matrix);
    gsl_matrix_free(s->dense);
}

/* Ranks along x and y in place of the lattice's columns and rows. */
static void rank(system_ *s)
{
    int columns = 0;

    for (size_t t = 0; t < s->elements; t++)
        columns = s->place[t][0] >= columns ? s->place[t][0] + 1 : columns;
    for (size_t t = 0; t < s->elements; t++) {
        int rows = (int)s->elements / (2 * columns), i = s->place[t][0], j = s->place[t][1];

        s->place[t][0] = 2 * (i * rows + j) + (int)(t % 2);
        s->place[t][1] = (int)t;
    }
}

static void check_against_dense(bool ranked)
{
    static const int sizes[][2] = { { 1, 1 }, { 2, 1 }, { 3, 7 }, { 1, 40 }, { 13, 11 } };
    uint64_t seed = 2385;

    for (size_t n = 0; n < sizeof sizes / sizeof sizes[0]; n++) {
        system_ s;
        cw_solver *solver;
        gsl_vector *b, *x;
        double *got;

        lattice(&s, sizes[n][0], sizes[n][1], &seed);
        fill(&s, &seed);
        if (ranked)
            rank(&s);
        b = gsl_vector_alloc(s.unknowns);
        x = gsl_vector_alloc(s.unknowns);
        got = calloc(s.unknowns, sizeof(double));
        for (size_t i = 0; i < s.unknowns; i++)
            gsl_vector_set(b, i, got[i] = uniform(&seed));
        assert_int_equal(cw_solver__create((const int (*)[6])s.unknown, (const int (*)[2])s.place, ranked, s.elements,
                                           s.unknowns, &solver, NULL), CW_OK);
        for (int again = 0; again < 2; again++) /* the same object factorises again */
            assert_int_equal(cw_solver__factor(solver, (const double (*)[21])s.matrix, NULL), CW_OK);
        cw_solver__solve(solver, got);
        gsl_linalg_cholesky_decomp1(s.dense);
        gsl_linalg_cholesky_solve(s.dense, b, x);
        for (size_t i = 0; i < s.unknowns; i++)
            assert_true(fabs(got[i] - gsl_vector_get(x, i)) < 1e-10 * (1 + fabs(got[i])));
        cw_solver__destroy(&solver);
        gsl_vector_free(b);
        gsl_vector_free(x);
        free(got);
        clear(&s);
    }
}

static void solution_is_that_of_a_dense_solver(void **state)
{
    (void)state;
    check_against_dense(false);
}

static void ranks_in_place_of_a_lattice_give_the_same(void **state)
{
    (void)state;
    check_against_dense(true);
}

static void a_matrix_that_is_not_positive_is_told(void **state)
{
    uint64_t seed = 7;
    system_ s;
    cw_solver *solver;
    cw_error error;

    (void)state;
    lattice(&s, 4, 4, &seed);
    fill(&s, &seed);
    s.matrix[9][0] = s.matrix[9][2] = s.matrix[9][5] = -50;
    assert_int_equal(cw_solver__create((const int (*)[6])s.unknown, (const int (*)[2])s.place, false, s.elements,
                                       s.unknowns, &solver, NULL), CW_OK);
    assert_int_equal(cw_solver__factor(solver, (const double (*)[21])s.matrix, &error), CW_FAILED);
    cw_solver__destroy(&solver);
    clear(&s);
}

static void no_memory_is_told_at_every_call(void **state)
{
    uint64_t seed = 11;
    system_ s;
    cw_solver *solver = NULL;
    cw_status status = CW_NO_MEMORY;

    (void)state;
    lattice(&s, 5, 4, &seed);
    fill(&s, &seed);
    for (int ranked = 0; ranked < 2; ranked++) {
        if (ranked)
            rank(&s);
        status = CW_NO_MEMORY;
        for (long granted = 0; status == CW_NO_MEMORY; granted++) {
            cw_memory_fail_after(granted);
            status = cw_solver__create((const int (*)[6])s.unknown, (const int (*)[2])s.place, ranked, s.elements,
                                       s.unknowns, &solver, NULL);
            assert_true((status == CW_OK) == (solver != NULL));
        }
        cw_memory_fail_after(-1);
        assert_int_equal(status, CW_OK);
        cw_solver__destroy(&solver);
    }
    clear(&s);
}

/* The kernel pads to eight rows and works in panels; every size around these must come out as by the plain formula. */
static void dense_elimination_is_right_at_every_size(void **state)
{
    uint64_t seed = 99;

    (void)state;
    for (int n = 1; n <= 60; n++)
        for (int pivots = 1; pivots <= n; pivots += 1 + n / 9) {
            int rows = (n + 7) & ~7;
            double *block = calloc((size_t)((rows + 4) * rows + 16), sizeof(double));
            double *plain = calloc((size_t)(n * n), sizeof(double));

            for (int j = 0; j < n; j++)
                for (int i = j; i < n; i++)
                    plain[j * n + i] = block[j * rows + i] = i == j ? n + uniform(&seed) : uniform(&seed) - 0.5;
            assert_true(cw_dense__eliminate(block, rows, n, pivots));
            for (int k = 0; k < pivots; k++) {
                double root = sqrt(plain[k * n + k]);

                for (int i = k; i < n; i++)
                    plain[k * n + i] /= root;
                for (int j = k + 1; j < n; j++)
                    for (int i = j; i < n; i++)
                        plain[j * n + i] -= plain[k * n + i] * plain[k * n + j];
            }
            for (int j = 0; j < n; j++)
                for (int i = j; i < n; i++)
                    assert_true(fabs(plain[j * n + i] - block[j * rows + i]) < 1e-12 * n);
            free(block);
            free(plain);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solution_is_that_of_a_dense_solver),
        cmocka_unit_test(ranks_in_place_of_a_lattice_give_the_same),
        cmocka_unit_test(a_matrix_that_is_not_positive_is_told),
        cmocka_unit_test(no_memory_is_told_at_every_call),
        cmocka_unit_test(dense_elimination_is_right_at_every_size),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
