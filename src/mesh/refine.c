/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Refinement of any mesh by halving the longest sides of its triangles.
 *
 * A side is known by its middle node. A triangle may only be cut from the middle of its longest side to the far corner,
 * and its halves once more; so a triangle any of whose sides is halved has its longest halved too, and this runs on from
 * neighbour to neighbour until nothing changes. */
#include "mesh/mesh_internal.h"

#include <math.h>
#include <string.h>

static double square_of_side(const cw_mesh *mesh, size_t t, int k)
{
    const double *a = mesh->node[mesh->corner[t][k]], *b = mesh->node[mesh->corner[t][(k + 1) % 3]];

    return (a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]);
}

/* The longest side; of equal ones that with the lowest middle, so that both its triangles agree. */
static int longest(const cw_mesh *mesh, size_t t)
{
    int best = 0;

    for (int k = 1; k < 3; k++) {
        double here = square_of_side(mesh, t, k), there = square_of_side(mesh, t, best);

        if (here > there * (1 + 1e-12) ||
            (here > there * (1 - 1e-12) && mesh->corner[t][3 + k] < mesh->corner[t][3 + best]))
            best = k;
    }
    return best;
}

static void mark_sides(const cw_mesh *mesh, const bool *split, bool *halved)
{
    bool changed = true;

    for (size_t t = 0; t < mesh->triangle_count; t++)
        for (int k = 0; k < 3 && split[t]; k++)
            halved[mesh->corner[t][3 + k]] = true;
    while (changed) {
        changed = false;
        for (size_t t = 0; t < mesh->triangle_count; t++) {
            const int *middle = mesh->corner[t] + 3;
            int most = middle[longest(mesh, t)];

            if (!halved[most] && (halved[middle[0]] || halved[middle[1]] || halved[middle[2]]))
                changed = halved[most] = true;
        }
    }
}

typedef struct pieces {
    int (*triangle)[3], *region, *parent;
    size_t count;
} pieces;

static void add(pieces *pieces, int a, int b, int c, const cw_mesh *mesh, size_t t)
{
    memcpy(pieces->triangle[pieces->count], (int[3]){ a, b, c }, sizeof pieces->triangle[0]);
    pieces->region[pieces->count] = mesh->region[t];
    pieces->parent[pieces->count++] = (int)t;
}

/* A half with corners a, b and the middle m of the longest side; its side a-b may be halved at `middle`. */
static void add_half(pieces *pieces, int a, int b, int m, int middle, bool halved, const cw_mesh *mesh, size_t t)
{
    if (halved) {
        add(pieces, a, middle, m, mesh, t);
        add(pieces, middle, b, m, mesh, t);
    } else {
        add(pieces, a, b, m, mesh, t);
    }
}

static void cut(const cw_mesh *mesh, const bool *halved, size_t t, pieces *pieces)
{
    const int *n = mesh->corner[t];
    int k = longest(mesh, t), a = n[k], b = n[(k + 1) % 3], c = n[(k + 2) % 3];
    int ab = n[3 + k], bc = n[3 + (k + 1) % 3], ca = n[3 + (k + 2) % 3];

    if (!halved[ab]) {
        add(pieces, a, b, c, mesh, t);
        return;
    }
    add_half(pieces, b, c, ab, bc, halved[bc], mesh, t);
    add_half(pieces, c, a, ab, ca, halved[ca], mesh, t);
}

/* ---- arcs ----------------------------------------------------------------------------------------------------- */

static bool on_arc(const cw_piece *arc, const double p[2], double close)
{
    double x = p[0] - arc->centre[0], y = p[1] - arc->centre[1];
    double u = arc->from[0] - arc->centre[0], v = arc->from[1] - arc->centre[1];
    double angle = atan2(u * y - v * x, u * x + v * y), share = angle / arc->sweep;
    double slack = close / hypot(u, v) / fabs(arc->sweep);

    return fabs(hypot(x, y) - hypot(u, v)) < close && share > -slack && share < 1 + slack;
}

/* Moves a side's middle onto the arc that both its ends lie on. */
static void lift_middle(const cw_mesh *mesh, size_t t, int k, const cw_piece *arc, double close, double middle[2])
{
    const double *a = mesh->node[mesh->corner[t][k]], *b = mesh->node[mesh->corner[t][(k + 1) % 3]];
    double radius, length, x, y;

    if (!on_arc(arc, a, close) || !on_arc(arc, b, close))
        return;
    x = middle[0] - arc->centre[0];
    y = middle[1] - arc->centre[1];
    radius = hypot(arc->from[0] - arc->centre[0], arc->from[1] - arc->centre[1]);
    length = hypot(x, y);
    if (length < 0.5 * radius) /* no chord of a short arc */
        return;
    middle[0] = arc->centre[0] + x * radius / length;
    middle[1] = arc->centre[1] + y * radius / length;
}

static bool is_rim(const cw_mesh *mesh, const int *sides, size_t t, int k)
{
    return sides[mesh->corner[t][3 + k]] != mesh->region[t] + 1;
}

/* sides: by middle node, region + 1 where both triangles are of one region, else 0. */
static void note_sides(const cw_mesh *mesh, int *sides)
{
    for (size_t t = 0; t < mesh->triangle_count; t++)
        for (int k = 0; k < 3; k++) {
            int *side = &sides[mesh->corner[t][3 + k]];

            *side = *side == 0 || *side == mesh->region[t] + 1 ? mesh->region[t] + 1 : -1;
        }
}

static cw_status lift_outline(const cw_mesh *mesh, const bool *halved, const int *sides, const cw_contour *outline,
                              double (*place)[2], cw_error *error)
{
    double close = 1e-7 * (mesh->inside[CW_RIGHT] - mesh->inside[CW_LEFT]);
    cw_piece *piece;
    size_t count;
    cw_status status = cw_contour__pieces(outline, &piece, &count, error);

    for (size_t i = 0; i < count && status == CW_OK; i++)
        for (size_t t = 0; t < mesh->triangle_count && piece[i].arc; t++)
            for (int k = 0; k < 3; k++) {
                int middle = mesh->corner[t][3 + k];

                if (halved[middle] && is_rim(mesh, sides, t, k))
                    lift_middle(mesh, t, k, &piece[i], close, place[middle]);
            }
    cw_free(piece);
    return status;
}

/* ---- together ------------------------------------------------------------------------------------------------- */

/* Corners that are left get numbers in the old order. */
static size_t number_corners(const cw_mesh *mesh, const bool *halved, const double (*place)[2], int *number,
                             double (*vertex)[2])
{
    size_t count = 0;

    for (size_t n = 0; n < mesh->node_count; n++)
        number[n] = halved[n] ? 1 : 0;
    for (size_t t = 0; t < mesh->triangle_count; t++)
        for (int k = 0; k < 3; k++)
            number[mesh->corner[t][k]] = 1;
    for (size_t n = 0; n < mesh->node_count; n++)
        if (number[n] != 0) {
            memcpy(vertex[count], place[n], sizeof vertex[0]);
            number[n] = (int)count++;
        }
    return count;
}

/* Arrays of one refinement. */
typedef struct work {
    bool *halved;
    int *number, *sides;
    double (*place)[2], (*vertex)[2];
    pieces pieces;
} work;

static bool create_work(const cw_mesh *mesh, work *work)
{
    work->halved = cw_allocate(mesh->node_count, sizeof *work->halved);
    work->number = cw_allocate(mesh->node_count, sizeof *work->number);
    work->sides = cw_allocate(mesh->node_count, sizeof *work->sides);
    work->place = cw_allocate(mesh->node_count, sizeof *work->place);
    work->vertex = cw_allocate(mesh->node_count, sizeof *work->vertex);
    work->pieces.triangle = cw_allocate(4 * mesh->triangle_count, sizeof *work->pieces.triangle);
    work->pieces.region = cw_allocate(4 * mesh->triangle_count, sizeof(int));
    work->pieces.parent = cw_allocate(4 * mesh->triangle_count, sizeof(int));
    return work->halved != NULL && work->number != NULL && work->sides != NULL && work->place != NULL &&
           work->vertex != NULL && work->pieces.triangle != NULL && work->pieces.region != NULL &&
           work->pieces.parent != NULL;
}

static void clear_work(work *work)
{
    cw_free(work->halved);
    cw_free(work->number);
    cw_free(work->sides);
    cw_free(work->place);
    cw_free(work->vertex);
    cw_free(work->pieces.triangle);
    cw_free(work->pieces.region);
    cw_free(work->pieces.parent);
}

static cw_status refine(const cw_mesh *mesh, const bool *split, const cw_contour *outline, size_t contour_count,
                        work *work, cw_mesh **fine, cw_error *error)
{
    cw_status status = CW_OK;
    size_t vertices;

    mark_sides(mesh, split, work->halved);
    memcpy(work->place, mesh->node, mesh->node_count * sizeof *mesh->node);
    note_sides(mesh, work->sides);
    for (size_t i = 0; i < contour_count && status == CW_OK; i++)
        status = lift_outline(mesh, work->halved, work->sides, &outline[i], work->place, error);
    if (status != CW_OK)
        return status;
    for (size_t t = 0; t < mesh->triangle_count; t++)
        cut(mesh, work->halved, t, &work->pieces);
    vertices = number_corners(mesh, work->halved, (const double (*)[2])work->place, work->number, work->vertex);
    for (size_t t = 0; t < work->pieces.count; t++)
        for (int k = 0; k < 3; k++)
            work->pieces.triangle[t][k] = work->number[work->pieces.triangle[t][k]];
    return cw_mesh_from_triangles((const double (*)[2])work->vertex, vertices,
                                  (const int (*)[3])work->pieces.triangle, work->pieces.region, work->pieces.count,
                                  mesh->inside, mesh->outside, fine, error);
}

cw_status cw_mesh_refine(const cw_mesh *mesh, const bool *split, const cw_contour *outline, size_t contour_count,
                         cw_mesh **fine, int **parent, cw_error *error)
{
    work work = { 0 };
    cw_status status = CW_NO_MEMORY;

    *fine = NULL;
    *parent = NULL;
    if (create_work(mesh, &work))
        status = refine(mesh, split, outline, contour_count, &work, fine, error);
    else
        cw_no_memory(error);
    if (status == CW_OK) {
        *parent = work.pieces.parent;
        work.pieces.parent = NULL;
    }
    clear_work(&work);
    return status;
}
