/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/mesh.h"

#include "mesh/mesh_internal.h"

#include <math.h>

void cw_mesh_destroy(cw_mesh **mesh)
{
    if (*mesh == NULL)
        return;
    cw_free((*mesh)->node);
    cw_free((*mesh)->corner);
    cw_free((*mesh)->region);
    cw_free((*mesh)->place);
    cw_free((*mesh)->side);
    cw_free(*mesh);
    *mesh = NULL;
}

cw_status cw_mesh__allocate(size_t nodes, size_t triangles, cw_mesh **mesh, cw_error *error)
{
    cw_mesh *made = cw_allocate(1, sizeof *made);

    *mesh = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    made->node_count = nodes;
    made->triangle_count = triangles;
    made->node = cw_allocate(nodes, sizeof *made->node);
    made->corner = cw_allocate(triangles, sizeof *made->corner);
    made->region = cw_allocate(triangles, sizeof *made->region);
    made->place = cw_allocate(triangles, sizeof *made->place);
    made->side = cw_allocate(nodes, 1);
    if (made->node == NULL || made->corner == NULL || made->region == NULL || made->place == NULL ||
        made->side == NULL) {
        cw_mesh_destroy(&made);
        return cw_no_memory(error);
    }
    *mesh = made;
    return CW_OK;
}

static double doubled_area(const cw_mesh *mesh, size_t t)
{
    const double *a = mesh->node[mesh->corner[t][0]], *b = mesh->node[mesh->corner[t][1]];
    const double *c = mesh->node[mesh->corner[t][2]];

    return (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
}

static bool middles_are_half_way(const cw_mesh *mesh, size_t t)
{
    for (int i = 0; i < 3; i++) {
        const double *a = mesh->node[mesh->corner[t][i]], *b = mesh->node[mesh->corner[t][(i + 1) % 3]];
        const double *m = mesh->node[mesh->corner[t][3 + i]];
        double size = fabs(a[0] - b[0]) + fabs(a[1] - b[1]);

        if (fabs(0.5 * (a[0] + b[0]) - m[0]) + fabs(0.5 * (a[1] + b[1]) - m[1]) > 1e-9 * size)
            return false;
    }
    return true;
}

cw_status cw_mesh_check(const cw_mesh *mesh, cw_error *error)
{
    for (size_t t = 0; t < mesh->triangle_count; t++) {
        for (int i = 0; i < 6; i++)
            if (mesh->corner[t][i] < 0 || (size_t)mesh->corner[t][i] >= mesh->node_count)
                return cw_fail(error, "Triangle %zu names node %d of %zu.", t, mesh->corner[t][i], mesh->node_count);
        if (!(doubled_area(mesh, t) > 0))
            return cw_fail(error, "Triangle %zu is turned over or flat.", t);
        if (!middles_are_half_way(mesh, t))
            return cw_fail(error, "Triangle %zu has a middle node away from the middle of its side.", t);
    }
    return CW_OK;
}
