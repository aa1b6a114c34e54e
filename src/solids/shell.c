/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shells of triangles: turned to agree, found closed, weighed. */
#include "solids/solids_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* One side of a triangle, by its two nodes in rising order. */
typedef struct side {
    uint32_t low, high;
    uint32_t triangle;
    bool rising;         /* it is run through from low to high */
} side;

static int by_nodes(const void *a, const void *b)
{
    const side *x = a, *y = b;

    if (x->low != y->low)
        return x->low < y->low ? -1 : 1;
    if (x->high != y->high)
        return x->high < y->high ? -1 : 1;
    return x->triangle < y->triangle ? -1 : x->triangle > y->triangle ? 1 : 0;
}

/* [3 triangle_count], sorted, so that the two sides of an edge stand together; NULL without memory. */
static side *sorted_sides(const cw_shell *shell)
{
    side *sides = cw_allocate(3 * shell->triangle_count, sizeof *sides);

    if (sides == NULL)
        return NULL;
    for (size_t t = 0; t < shell->triangle_count; t++)
        for (int i = 0; i < 3; i++) {
            const uint32_t from = shell->triangle[t][i], to = shell->triangle[t][(i + 1) % 3];

            sides[3 * t + (size_t)i] = (side){ from < to ? from : to, from < to ? to : from, (uint32_t)t, from < to };
        }
    qsort(sides, 3 * shell->triangle_count, sizeof *sides, by_nodes);
    return sides;
}

static bool same_edge(const side *a, const side *b)
{
    return a->low == b->low && a->high == b->high;
}

/* Every edge has exactly two sides, of two triangles. */
static bool edges_in_pairs(const side *sides, size_t count)
{
    for (size_t i = 0; i < count; i += 2)
        if (i + 1 >= count || sides[i].low == sides[i].high || !same_edge(&sides[i], &sides[i + 1]) ||
            sides[i].triangle == sides[i + 1].triangle || (i + 2 < count && same_edge(&sides[i], &sides[i + 2])))
            return false;
    return count > 0;
}

bool cw_shell_closed(const cw_shell *shell)
{
    const size_t count = 3 * shell->triangle_count;
    side *sides = sorted_sides(shell);
    bool closed = sides != NULL && edges_in_pairs(sides, count);

    for (size_t i = 0; closed && i < count; i += 2)
        closed = sides[i].rising != sides[i + 1].rising;
    cw_free(sides);
    return closed;
}

double cw_shell_volume_mm3(const cw_shell *shell)
{
    double sum = 0;

    for (size_t t = 0; t < shell->triangle_count; t++) {
        const double *a = shell->node_mm[shell->triangle[t][0]], *b = shell->node_mm[shell->triangle[t][1]],
                     *c = shell->node_mm[shell->triangle[t][2]];

        sum += a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) +
               a[2] * (b[0] * c[1] - b[1] * c[0]);
    }
    return sum / 6;
}

void cw_shell_box(const cw_shell *shell, double low_mm[3], double high_mm[3])
{
    for (int i = 0; i < 3; i++) {
        low_mm[i] = INFINITY;
        high_mm[i] = -INFINITY;
        for (size_t n = 0; n < shell->node_count; n++) {
            low_mm[i] = fmin(low_mm[i], shell->node_mm[n][i]);
            high_mm[i] = fmax(high_mm[i], shell->node_mm[n][i]);
        }
    }
}

/* ---- turning --------------------------------------------------------------------------------------------------- */

static void turn(uint32_t triangle[3])
{
    const uint32_t kept = triangle[1];

    triangle[1] = triangle[2];
    triangle[2] = kept;
}

/* What lies across each side of each triangle, and whether both run through it the same way. */
typedef struct across {
    uint32_t triangle[3];
    bool alike[3];
    int count;
} across;

static across *find_neighbours(const side *sides, size_t side_count)
{
    across *of = cw_allocate(side_count / 3, sizeof *of);

    for (size_t i = 0; of != NULL && i < side_count; i++) {
        const side *own = &sides[i], *other = &sides[i ^ 1];
        across *a = &of[own->triangle];

        a->triangle[a->count] = other->triangle;
        a->alike[a->count++] = own->rising == other->rising;
    }
    return of;
}

/* From triangle 0 outwards; returns how many were reached. `state` is 0 unseen, 1 kept, 2 turned. */
static size_t spread(const across *of, unsigned char *state, uint32_t *waiting)
{
    size_t begin = 0, end = 0;

    waiting[end++] = 0;
    state[0] = 1;
    while (begin < end) {
        const uint32_t t = waiting[begin++];

        for (int i = 0; i < 3; i++) {
            const uint32_t other = of[t].triangle[i];

            if (state[other] != 0)
                continue;
            state[other] = of[t].alike[i] ? (unsigned char)(3 - state[t]) : state[t];
            waiting[end++] = other;
        }
    }
    return end;
}

static cw_status turn_all(cw_shell *shell, const side *sides, cw_error *error)
{
    const size_t count = shell->triangle_count;
    across *of = find_neighbours(sides, 3 * count);
    unsigned char *state = cw_allocate(count, 1);
    uint32_t *waiting = cw_allocate(count, sizeof *waiting);
    cw_status status = of != NULL && state != NULL && waiting != NULL ? CW_OK : cw_no_memory(error);

    if (status == CW_OK && spread(of, state, waiting) != count)
        status = cw_fail(error, "The triangles of a solid are of more than one body.");
    for (size_t t = 0; status == CW_OK && t < count; t++)
        if (state[t] == 2)
            turn(shell->triangle[t]);
    cw_free(of);
    cw_free(state);
    cw_free(waiting);
    return status;
}

cw_status cw_shell_orient(cw_shell *shell, cw_error *error)
{
    side *sides = sorted_sides(shell);
    cw_status status = sides != NULL ? CW_OK : cw_no_memory(error);

    if (status == CW_OK && !edges_in_pairs(sides, 3 * shell->triangle_count))
        status = cw_fail(error, "The triangles of a solid do not close: an edge has not two of them.");
    if (status == CW_OK)
        status = turn_all(shell, sides, error);
    cw_free(sides);
    if (status == CW_OK && cw_shell_volume_mm3(shell) < 0)
        for (size_t t = 0; t < shell->triangle_count; t++)
            turn(shell->triangle[t]);
    return status;
}
