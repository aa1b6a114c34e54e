/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where Newton's method begins on a fine mesh: at the solution on a coarse one.
 *
 * The coarse triangles are sorted into square buckets over the section; each unknown of the fine mesh takes its value
 * from the coarse triangle of its own part that holds its node, so that a jump at a contact stays one. */
#include "heat/heat_internal.h"

#include <math.h>
#include <string.h>

enum { MOST_BUCKETS = 64 };

#define COARSE 0.5

typedef struct buckets {
    const cw_heat *coarse;
    double low[2], size[2];  /* of a bucket */
    int count[2];
    size_t *first;           /* shape [count[0] * count[1] + 1]: into item */
    int *item;               /* coarse elements */
} buckets;

static int bucket_of(const buckets *b, int axis, double at)
{
    return (int)fmin(b->count[axis] - 1, fmax(0, floor((at - b->low[axis]) / b->size[axis])));
}

/* Buckets that the box of an element touches: low and high of each axis. */
static void reach(const buckets *b, size_t e, int range[2][2])
{
    const int *corner = b->coarse->mesh->corner[b->coarse->triangle[e]];

    for (int axis = 0; axis < 2; axis++) {
        double low = INFINITY, high = -INFINITY;

        for (int k = 0; k < 3; k++) {
            low = fmin(low, b->coarse->mesh->node[corner[k]][axis]);
            high = fmax(high, b->coarse->mesh->node[corner[k]][axis]);
        }
        range[axis][0] = bucket_of(b, axis, low);
        range[axis][1] = bucket_of(b, axis, high);
    }
}

/* Counts into first[bucket + 2] where item is NULL yet, so that first[bucket + 1] can serve as the place to fill. */
static void each_bucket(buckets *b, size_t *counter)
{
    for (size_t e = 0; e < b->coarse->triangle_count; e++) {
        int range[2][2];

        reach(b, e, range);
        for (int j = range[1][0]; j <= range[1][1]; j++)
            for (int i = range[0][0]; i <= range[0][1]; i++) {
                const size_t bucket = (size_t)(j * b->count[0] + i);

                if (b->item == NULL)
                    counter[bucket]++;
                else
                    b->item[counter[bucket]++] = (int)e;
            }
    }
}

static cw_status sort_elements(buckets *b, cw_error *error)
{
    const size_t all = (size_t)(b->count[0] * b->count[1]);
    size_t *counter = cw_allocate(all, sizeof *counter);
    int *item;

    b->first = cw_allocate(all + 1, sizeof *b->first);
    if (counter == NULL || b->first == NULL) {
        cw_free(counter);
        return cw_no_memory(error);
    }
    each_bucket(b, counter);
    b->first[0] = 0;
    for (size_t i = 0; i < all; i++) {
        b->first[i + 1] = b->first[i] + counter[i];
        counter[i] = b->first[i];
    }
    item = cw_allocate(b->first[all], sizeof *item);
    b->item = item;
    if (item != NULL)
        each_bucket(b, counter);
    cw_free(counter);
    return item != NULL ? CW_OK : cw_no_memory(error);
}

static void set_out(const cw_heat *coarse, buckets *b)
{
    const cw_mesh *mesh = coarse->mesh;
    double high[2] = { -INFINITY, -INFINITY };

    *b = (buckets){ .coarse = coarse, .low = { INFINITY, INFINITY } };
    for (size_t n = 0; n < mesh->node_count; n++)
        for (int axis = 0; axis < 2; axis++) {
            b->low[axis] = fmin(b->low[axis], mesh->node[n][axis]);
            high[axis] = fmax(high[axis], mesh->node[n][axis]);
        }
    for (int axis = 0; axis < 2; axis++) {
        b->count[axis] = (int)fmin(MOST_BUCKETS, 1 + sqrt((double)coarse->triangle_count));
        b->size[axis] = (high[axis] - b->low[axis]) / b->count[axis];
    }
}

/* Barycentric coordinates of a place; false outside by more than a hair. */
static bool holds(const cw_mesh *mesh, const int *corner, const double *at, double l[3])
{
    const double *a = mesh->node[corner[0]], *b = mesh->node[corner[1]], *c = mesh->node[corner[2]];
    const double twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);

    l[1] = ((at[0] - a[0]) * (c[1] - a[1]) - (at[1] - a[1]) * (c[0] - a[0])) / twice;
    l[2] = ((b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])) / twice;
    l[0] = 1 - l[1] - l[2];
    return l[0] > -1e-6 && l[1] > -1e-6 && l[2] > -1e-6;
}

static double value_at(const buckets *b, int region, const double *at, double otherwise)
{
    const cw_heat *coarse = b->coarse;
    const size_t bucket = (size_t)(bucket_of(b, 1, at[1]) * b->count[0] + bucket_of(b, 0, at[0]));

    for (size_t k = b->first[bucket]; k < b->first[bucket + 1]; k++) {
        const int e = b->item[k], triangle = coarse->triangle[e];
        double l[3], sum = 0;

        if (coarse->mesh->region[triangle] != region || !holds(coarse->mesh, coarse->mesh->corner[triangle], at, l))
            continue;
        for (int i = 0; i < 3; i++)
            sum += l[i] * (2 * l[i] - 1) * coarse->t[coarse->unknown[e][i]] +
                   4 * l[i] * l[(i + 1) % 3] * coarse->t[coarse->unknown[e][3 + i]];
        return sum;
    }
    return otherwise;
}

/* From the coarse solution to the fine mesh. */
static cw_status carry_over(const cw_heat *coarse, cw_heat *fine, cw_error *error)
{
    buckets b;
    cw_status status;

    set_out(coarse, &b);
    status = sort_elements(&b, error);
    for (size_t i = 0; i < fine->unknown_count; i++)
        fine->t[i] = NAN;
    for (size_t e = 0; e < fine->triangle_count && status == CW_OK; e++)
        for (int i = 0; i < 6; i++) {
            const int unknown = fine->unknown[e][i], triangle = fine->triangle[e];

            if (isnan(fine->t[unknown]))
                fine->t[unknown] = value_at(&b, fine->mesh->region[triangle],
                                            fine->mesh->node[fine->mesh->corner[triangle][i]],
                                            fine->section.ambient_c + 60);
        }
    fine->squared = coarse->squared;
    cw_free(b.first);
    cw_free(b.item);
    return status;
}

cw_status cw_heat__coarse_start(cw_heat *heat, bool *started, cw_error *error)
{
    const cw_heat_wish wish = { .fineness = COARSE };
    cw_heat *coarse = NULL;
    cw_heat_result result;
    cw_status status = cw_heat_create(&heat->section, &wish, &coarse, error);

    *started = false;
    if (status == CW_OK && coarse->triangle_count < heat->triangle_count / 4) {
        status = cw_heat_steady(coarse, &result, error);
        if (status == CW_OK && !result.runs_away) {
            status = carry_over(coarse, heat, error);
            *started = status == CW_OK;
        }
    }
    cw_heat_destroy(&coarse);
    return status;
}
