/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From parts to a lattice: grid lines along all their sides, none outside what conducts. */
#include "heat/heat_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define CELLS_BESIDE 6 /* the cell at a line is the narrower of its two intervals over this */
#define GROWTH 1.5

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

/* Sides of all parts within the box of the conducting ones, rising, doubles gone. */
static int sides(const cw_heat_section *section, int axis, double *at)
{
    double low = INFINITY, high = -INFINITY;
    int count = 0, kept = 0;

    for (int i = 0; i < section->part_count; i++) {
        const cw_heat_part *p = &section->part[i];
        const double *side = axis == 0 ? p->x : p->y;

        at[count++] = side[0];
        at[count++] = side[1];
        if (p->kind == CW_PART_SOLID) {
            low = fmin(low, side[0]);
            high = fmax(high, side[1]);
        }
    }
    qsort(at, (size_t)count, sizeof *at, by_value);
    for (int i = 0; i < count; i++)
        if (at[i] >= low && at[i] <= high && (kept == 0 || at[i] > at[kept - 1] + 1e-9 * (high - low)))
            at[kept++] = at[i];
    return kept;
}

static cw_status make_axis(const cw_heat_section *section, int axis, const cw_heat_wish *wish, cw_axis *made,
                           cw_error *error)
{
    static const int no_shell[2] = { 0, 0 };
    double at[2 * CW_MOST_HEAT_PARTS], fine = wish != NULL && wish->fineness > 0 ? wish->fineness : 1;
    cw_line line[2 * CW_MOST_HEAT_PARTS];
    int count = sides(section, axis, at);
    cw_status status;

    for (int i = 0; i < count; i++) {
        double behind = i > 0 ? at[i] - at[i - 1] : INFINITY, ahead = i + 1 < count ? at[i + 1] - at[i] : INFINITY;

        line[i] = (cw_line){ at[i], fmin(behind, ahead) / (CELLS_BESIDE * fine) };
    }
    status = cw_axis_create(line, (size_t)count, GROWTH, no_shell, 0, made, error);
    for (int h = 0; status == CW_OK && wish != NULL && h < wish->halvings; h++) {
        bool *split = cw_allocate(made->count, sizeof *split);

        if (split == NULL)
            return cw_no_memory(error);
        for (size_t i = 0; i < made->count; i++)
            split[i] = true;
        status = cw_axis_refine(made, split, error);
        cw_free(split);
    }
    return status;
}

cw_status cw_heat__mesh_section(const cw_heat_section *section, const cw_heat_wish *wish, cw_mesh **mesh,
                                cw_error *error)
{
    cw_axis x = { NULL, 0 }, y = { NULL, 0 };
    cw_patch patch[CW_MOST_HEAT_PARTS];
    cw_status status = make_axis(section, 0, wish, &x, error);

    if (status == CW_OK)
        status = make_axis(section, 1, wish, &y, error);
    for (int i = 0; i < section->part_count; i++) {
        const cw_heat_part *p = &section->part[i];

        patch[i] = (cw_patch){ { p->x[0], p->x[1] }, { p->y[0], p->y[1] }, i + 1 };
    }
    if (status == CW_OK) {
        const double inside[4] = { x.at[0], x.at[x.count - 1], y.at[0], y.at[y.count - 1] };

        status = cw_mesh_lattice(&x, &y, patch, (size_t)section->part_count, inside, mesh, error);
    }
    cw_axis_clear(&x);
    cw_axis_clear(&y);
    return status;
}
