/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finds the triangle of a place by a tree of boxes: halves of the triangles by their middles, each half in its box. */
#include "field/free.h"

#include <math.h>
#include <stdlib.h>

enum { LEAF = 6 };

typedef struct item {
    double middle[2];
    int triangle;
} item;

typedef struct knot {
    double box[4];         /* left, right, bottom, top */
    int first, last, left; /* items of a leaf, left -1; else children at left and left + 1 */
} knot;

struct cw_finder {
    const cw_mesh *mesh; /* lent */
    item *items;
    knot *knots;
    int used;
};

static int compare(double a, double b, const item *x, const item *y)
{
    return a < b ? -1 : a > b ? 1 : (x->triangle > y->triangle) - (x->triangle < y->triangle);
}

static int by_x(const void *a, const void *b)
{
    const item *x = a, *y = b;

    return compare(x->middle[0], y->middle[0], x, y);
}

static int by_y(const void *a, const void *b)
{
    const item *x = a, *y = b;

    return compare(x->middle[1], y->middle[1], x, y);
}

static void fit(const cw_finder *finder, knot *knot)
{
    for (int side = 0; side < 4; side++)
        knot->box[side] = side % 2 == 0 ? INFINITY : -INFINITY;
    for (int i = knot->first; i < knot->last; i++)
        for (int k = 0; k < 3; k++) {
            const double *at = finder->mesh->node[finder->mesh->corner[finder->items[i].triangle][k]];

            for (int d = 0; d < 2; d++) {
                knot->box[2 * d] = fmin(knot->box[2 * d], at[d]);
                knot->box[2 * d + 1] = fmax(knot->box[2 * d + 1], at[d]);
            }
        }
}

static void halve(cw_finder *finder, int at, int first, int last)
{
    knot *here = &finder->knots[at];

    *here = (knot){ .first = first, .last = last, .left = -1 };
    fit(finder, here);
    if (last - first <= LEAF)
        return;
    qsort(finder->items + first, (size_t)(last - first), sizeof *finder->items,
          here->box[1] - here->box[0] >= here->box[3] - here->box[2] ? by_x : by_y);
    here->left = finder->used;
    finder->used += 2;
    halve(finder, here->left, first, (first + last) / 2);
    halve(finder, here->left + 1, (first + last) / 2, last);
}

cw_status cw_finder__create(const cw_mesh *mesh, cw_finder **finder, cw_error *error)
{
    cw_finder *made = cw_allocate(1, sizeof *made);

    *finder = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    made->mesh = mesh;
    made->items = cw_allocate(mesh->triangle_count, sizeof *made->items);
    made->knots = cw_allocate(2 * mesh->triangle_count + 1, sizeof *made->knots);
    if (made->items == NULL || made->knots == NULL) {
        cw_finder__destroy(&made);
        return cw_no_memory(error);
    }
    for (size_t t = 0; t < mesh->triangle_count; t++) {
        made->items[t].triangle = (int)t;
        for (int k = 0; k < 3; k++)
            for (int d = 0; d < 2; d++)
                made->items[t].middle[d] += mesh->node[mesh->corner[t][k]][d] / 3;
    }
    made->used = 1;
    halve(made, 0, 0, (int)mesh->triangle_count);
    *finder = made;
    return CW_OK;
}

void cw_finder__destroy(cw_finder **finder)
{
    if (*finder == NULL)
        return;
    cw_free((*finder)->items);
    cw_free((*finder)->knots);
    cw_free(*finder);
    *finder = NULL;
}

static bool holds(const cw_mesh *mesh, int t, double x, double y, double l[3])
{
    const double *a = mesh->node[mesh->corner[t][0]], *b = mesh->node[mesh->corner[t][1]];
    const double *c = mesh->node[mesh->corner[t][2]];
    double doubled = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);

    l[1] = ((x - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (y - a[1])) / doubled;
    l[2] = ((b[0] - a[0]) * (y - a[1]) - (x - a[0]) * (b[1] - a[1])) / doubled;
    l[0] = 1 - l[1] - l[2];
    return l[0] >= -1e-9 && l[1] >= -1e-9 && l[2] >= -1e-9;
}

static int search(const cw_finder *finder, int at, double x, double y, double l[3])
{
    const knot *here = &finder->knots[at];
    int found;

    if (x < here->box[0] || x > here->box[1] || y < here->box[2] || y > here->box[3])
        return -1;
    if (here->left < 0) {
        for (int i = here->first; i < here->last; i++)
            if (holds(finder->mesh, finder->items[i].triangle, x, y, l))
                return finder->items[i].triangle;
        return -1;
    }
    found = search(finder, here->left, x, y, l);
    return found >= 0 ? found : search(finder, here->left + 1, x, y, l);
}

int cw_finder__find(const cw_finder *finder, double x, double y, double l[3])
{
    return search(finder, 0, x, y, l);
}
