/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Second-order meshes from plain triangles. */
#include "coilwright/mesh.h"

#include "mesh/mesh_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A side of a triangle by its lower and higher vertex. */
typedef struct side {
    int low, high, triangle, number;
} side;

static int by_vertices(const void *a, const void *b)
{
    const side *x = a, *y = b;

    if (x->low != y->low)
        return x->low < y->low ? -1 : 1;
    if (x->high != y->high)
        return x->high < y->high ? -1 : 1;
    return x->triangle < y->triangle ? -1 : x->triangle > y->triangle;
}

static void list_sides(const int (*triangle)[3], size_t count, side *sides)
{
    for (size_t t = 0; t < count; t++)
        for (int k = 0; k < 3; k++) {
            int a = triangle[t][k], b = triangle[t][(k + 1) % 3];

            sides[3 * t + (size_t)k] = (side){ a < b ? a : b, a < b ? b : a, (int)t, k };
        }
    qsort(sides, 3 * count, sizeof *sides, by_vertices);
}

static bool same(const side *a, const side *b)
{
    return a->low == b->low && a->high == b->high;
}

static size_t count_sides(const side *sides, size_t count)
{
    size_t different = 0;

    for (size_t i = 0; i < count; i++)
        different += i == 0 || !same(&sides[i], &sides[i - 1]);
    return different;
}

static void number_middles(const side *sides, size_t count, size_t first, cw_mesh *mesh)
{
    size_t node = first;

    for (size_t i = 0; i < count; i++) {
        if (i > 0 && !same(&sides[i], &sides[i - 1]))
            node++;
        mesh->corner[sides[i].triangle][3 + sides[i].number] = (int)node;
        for (int d = 0; d < 2; d++)
            mesh->node[node][d] = 0.5 * (mesh->node[sides[i].low][d] + mesh->node[sides[i].high][d]);
    }
}

static void mark_sides(cw_mesh *mesh)
{
    double close = 1e-9 * (mesh->outside[CW_RIGHT] - mesh->outside[CW_LEFT] + mesh->outside[CW_TOP] -
                           mesh->outside[CW_BOTTOM]);

    for (size_t n = 0; n < mesh->node_count; n++)
        for (int s = 0; s < 4; s++)
            if (fabs(mesh->node[n][s / 2] - mesh->outside[s]) < close)
                mesh->side[n] |= (unsigned char)(1 << s);
}

typedef struct placed {
    double at;
    int triangle;
} placed;

static int by_place(const void *a, const void *b)
{
    const placed *x = a, *y = b;

    if (x->at != y->at)
        return x->at < y->at ? -1 : 1;
    return x->triangle < y->triangle ? -1 : x->triangle > y->triangle;
}

/* Places for the solver's dissection: the rank of a triangle's middle along each direction. */
static cw_status rank(cw_mesh *mesh, cw_error *error)
{
    placed *order = cw_allocate(mesh->triangle_count, sizeof *order);

    if (order == NULL)
        return cw_no_memory(error);
    for (int d = 0; d < 2; d++) {
        for (size_t t = 0; t < mesh->triangle_count; t++) {
            order[t] = (placed){ 0, (int)t };
            for (int k = 0; k < 3; k++)
                order[t].at += mesh->node[mesh->corner[t][k]][d] / 3;
        }
        qsort(order, mesh->triangle_count, sizeof *order, by_place);
        for (size_t i = 0; i < mesh->triangle_count; i++)
            mesh->place[order[i].triangle][d] = (int)i;
    }
    cw_free(order);
    return CW_OK;
}

cw_status cw_mesh_from_triangles(const double (*vertex)[2], size_t vertex_count, const int (*triangle)[3],
                                 const int *region, size_t triangle_count, const double inside[4],
                                 const double outside[4], cw_mesh **mesh, cw_error *error)
{
    side *sides = cw_allocate(3 * triangle_count, sizeof *sides);
    cw_status status;

    *mesh = NULL;
    if (sides == NULL)
        return cw_no_memory(error);
    list_sides(triangle, triangle_count, sides);
    status = cw_mesh__allocate(vertex_count + count_sides(sides, 3 * triangle_count), triangle_count, mesh, error);
    if (status == CW_OK) {
        memcpy((*mesh)->node, vertex, vertex_count * sizeof *vertex);
        memcpy((*mesh)->region, region, triangle_count * sizeof *region);
        for (size_t t = 0; t < triangle_count; t++)
            memcpy((*mesh)->corner[t], triangle[t], sizeof triangle[t]);
        memcpy((*mesh)->inside, inside, sizeof (*mesh)->inside);
        memcpy((*mesh)->outside, outside, sizeof (*mesh)->outside);
        number_middles(sides, 3 * triangle_count, vertex_count, *mesh);
        mark_sides(*mesh);
        (*mesh)->ranked = true;
        status = rank(*mesh, error);
        if (status == CW_OK)
            status = cw_mesh_check(*mesh, error);
        if (status != CW_OK)
            cw_mesh_destroy(mesh);
    }
    cw_free(sides);
    return status;
}
