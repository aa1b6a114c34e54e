/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lattices: graded grid lines, and the triangles between them.
 *
 * A magnet's templates have sides along the axes. A lattice of graded lines then follows every corner and gap with
 * long thin cells where the field hardly changes along them, and needs about a tenth of the triangles of a mesh of
 * even shape for the same pull. */
#include "coilwright/mesh.h"

#include "mesh/mesh_internal.h"

#include <math.h>
#include <string.h>

enum { MOST_LINES = 20000 };

void cw_axis_clear(cw_axis *axis)
{
    cw_free(axis->at);
    axis->at = NULL;
    axis->count = 0;
}

static cw_status push(cw_axis *axis, size_t *capacity, double at, cw_error *error)
{
    if (axis->count == *capacity) {
        size_t wanted = *capacity == 0 ? 64 : 2 * *capacity;
        double *grown = wanted > MOST_LINES ? NULL : cw_reallocate(axis->at, wanted, sizeof(double));

        if (grown == NULL)
            return wanted > MOST_LINES ? cw_refuse(error, NULL, "thicker gaps or a coarser mesh",
                                                   "The section needs more than %d grid lines in one direction.",
                                                   MOST_LINES)
                                       : cw_no_memory(error);
        axis->at = grown;
        *capacity = wanted;
    }
    axis->at[axis->count++] = at;
    return CW_OK;
}

/* Cells of an interval: wished sizes grow from both ends by the factor; all are then shrunk alike to fit. */
static cw_status fill(cw_axis *axis, size_t *capacity, const cw_line *from, const cw_line *to, double growth,
                      cw_error *error)
{
    double length = to->at - from->at, left = from->cell, right = to->cell, low = 0, high = 0;
    double sizes[2][400], scale, at = from->at;
    int count[2] = { 0, 0 };
    cw_status status = CW_OK;

    while (low + high < length && count[0] < 400 && count[1] < 400) {
        if (left <= right) {
            sizes[0][count[0]++] = left;
            low += left;
            left *= growth;
        } else {
            sizes[1][count[1]++] = right;
            high += right;
            right *= growth;
        }
    }
    scale = length / (low + high);
    for (int i = 0; i < count[0] + count[1] - 1 && status == CW_OK; i++) {
        at += scale * (i < count[0] ? sizes[0][i] : sizes[1][count[1] - 1 - (i - count[0])]);
        status = push(axis, capacity, at, error);
    }
    return status == CW_OK ? push(axis, capacity, to->at, error) : status;
}

cw_status cw_axis_create(const cw_line *lines, size_t count, double growth, const int shell[2], double thickness,
                         cw_axis *axis, cw_error *error)
{
    cw_axis made = { NULL, 0 };
    size_t capacity = 0;
    cw_status status = CW_OK;

    for (int i = shell[0]; i > 0 && status == CW_OK; i--)
        status = push(&made, &capacity, lines[0].at - thickness * i / shell[0], error);
    if (status == CW_OK)
        status = push(&made, &capacity, lines[0].at, error);
    for (size_t i = 0; i + 1 < count && status == CW_OK; i++) {
        if (!(lines[i + 1].at > lines[i].at && lines[i].cell > 0 && lines[i + 1].cell > 0))
            status = cw_fail(error, "Grid lines at %g and %g m do not rise.", lines[i].at, lines[i + 1].at);
        else
            status = fill(&made, &capacity, &lines[i], &lines[i + 1], growth, error);
    }
    for (int i = 1; i <= shell[1] && status == CW_OK; i++)
        status = push(&made, &capacity, lines[count - 1].at + thickness * i / shell[1], error);
    if (status != CW_OK)
        cw_axis_clear(&made);
    *axis = made;
    return status;
}

cw_status cw_axis_refine(cw_axis *axis, const bool *split, cw_error *error)
{
    size_t more = 0, to = 0;
    double *at;

    for (size_t i = 0; i + 1 < axis->count; i++)
        more += split[i];
    at = cw_allocate(axis->count + more, sizeof(double));
    if (at == NULL)
        return cw_no_memory(error);
    for (size_t i = 0; i < axis->count; i++) {
        at[to++] = axis->at[i];
        if (i + 1 < axis->count && split[i])
            at[to++] = 0.5 * (axis->at[i] + axis->at[i + 1]);
    }
    cw_free(axis->at);
    axis->at = at;
    axis->count = to;
    return CW_OK;
}

/* ---- triangles ------------------------------------------------------------------------------------------------ */

static double lattice_place(const cw_axis *axis, size_t i)
{
    return i % 2 == 0 ? axis->at[i / 2] : 0.5 * (axis->at[i / 2] + axis->at[i / 2 + 1]);
}

static int region_of(double x, double y, const cw_patch *patches, size_t count)
{
    for (size_t i = count; i-- > 0; )
        if (x > patches[i].x[0] && x < patches[i].x[1] && y > patches[i].y[0] && y < patches[i].y[1])
            return patches[i].region;
    return 0;
}

/* Cell with its lowest left node and a row's stride; the cut runs up or down by turns, so that mirrored halves of an
 * even lattice mirror each other. */
static void cut_cell(int low, int stride, bool up, int corners[2][6])
{
    int a = low, b = low + 2, c = low + 2 * stride + 2, d = low + 2 * stride, middle = low + stride + 1;
    int south = low + 1, east = low + stride + 2, north = low + 2 * stride + 1, west = low + stride;

    if (up) {
        memcpy(corners[0], (int[6]){ a, b, c, south, east, middle }, sizeof corners[0]);
        memcpy(corners[1], (int[6]){ a, c, d, middle, north, west }, sizeof corners[1]);
    } else {
        memcpy(corners[0], (int[6]){ a, b, d, south, middle, west }, sizeof corners[0]);
        memcpy(corners[1], (int[6]){ b, c, d, east, north, middle }, sizeof corners[1]);
    }
}

static void fill_nodes(const cw_axis *x, const cw_axis *y, cw_mesh *mesh)
{
    size_t wide = 2 * x->count - 1, high = 2 * y->count - 1;

    for (size_t j = 0; j < high; j++)
        for (size_t i = 0; i < wide; i++) {
            size_t n = j * wide + i;

            mesh->node[n][0] = lattice_place(x, i);
            mesh->node[n][1] = lattice_place(y, j);
            mesh->side[n] = (unsigned char)((i == 0) << CW_LEFT | (i == wide - 1) << CW_RIGHT | (j == 0) << CW_BOTTOM |
                                            (j == high - 1) << CW_TOP);
        }
}

cw_status cw_mesh_lattice(const cw_axis *x, const cw_axis *y, const cw_patch *patches, size_t patch_count,
                          const double inside[4], cw_mesh **mesh, cw_error *error)
{
    size_t wide = 2 * x->count - 1, high = 2 * y->count - 1, t = 0;
    cw_status status = cw_mesh__allocate(wide * high, 2 * (x->count - 1) * (y->count - 1), mesh, error);

    if (status != CW_OK)
        return status;
    fill_nodes(x, y, *mesh);
    memcpy((*mesh)->inside, inside, sizeof (*mesh)->inside);
    memcpy((*mesh)->outside, (double[4]){ x->at[0], x->at[x->count - 1], y->at[0], y->at[y->count - 1] },
           sizeof (*mesh)->outside);
    for (size_t j = 0; j + 1 < y->count; j++)
        for (size_t i = 0; i + 1 < x->count; i++, t += 2) {
            int region = region_of(0.5 * (x->at[i] + x->at[i + 1]), 0.5 * (y->at[j] + y->at[j + 1]), patches,
                                   patch_count);

            cut_cell((int)(2 * j * wide + 2 * i), (int)wide, (i + j) % 2 == 0, &(*mesh)->corner[t]);
            for (int k = 0; k < 2; k++) {
                (*mesh)->region[t + k] = region;
                (*mesh)->place[t + k][0] = (int)i;
                (*mesh)->place[t + k][1] = (int)j;
            }
        }
    return CW_OK;
}
