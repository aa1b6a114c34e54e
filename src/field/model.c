/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Second-order triangles for the vector potential. */
#include "field/field_internal.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846

/* ---- geometry ------------------------------------------------------------------------------------------------- */

/* The shell's map in one direction: place p of the mesh to x in space; returns dp/dx. */
static double unfold(double p, double low, double high, double outer_low, double outer_high, double *x)
{
    double side, thickness, s;

    *x = p;
    if (p >= low && p <= high)
        return 1;
    side = p < low ? low : high;
    thickness = p < low ? outer_low - low : outer_high - high; /* with its sign */
    s = (p - side) / thickness;
    *x = side + thickness * s / (1 - s);
    return (1 - s) * (1 - s);
}

typedef struct triangle {
    double corner[3][2];
    double slope[3][2]; /* gradients of the barycentric coordinates, in the plane of the mesh */
    double area;
    bool shell;
} triangle;

static void triangle_of(const cw_mesh *mesh, size_t t, triangle *triangle)
{
    const double *p[3];
    double doubled;

    for (int i = 0; i < 3; i++) {
        p[i] = mesh->node[mesh->corner[t][i]];
        memcpy(triangle->corner[i], p[i], sizeof triangle->corner[i]);
    }
    doubled = (p[1][0] - p[0][0]) * (p[2][1] - p[0][1]) - (p[2][0] - p[0][0]) * (p[1][1] - p[0][1]);
    triangle->area = 0.5 * doubled;
    for (int i = 0; i < 3; i++) {
        const double *next = p[(i + 1) % 3], *last = p[(i + 2) % 3];

        triangle->slope[i][0] = (next[1] - last[1]) / doubled;
        triangle->slope[i][1] = (last[0] - next[0]) / doubled;
    }
    triangle->shell = false;
    for (int i = 0; i < 3; i++)
        if (p[i][0] < mesh->inside[CW_LEFT] || p[i][0] > mesh->inside[CW_RIGHT] ||
            p[i][1] < mesh->inside[CW_BOTTOM] || p[i][1] > mesh->inside[CW_TOP])
            triangle->shell = true;
}

static void shape(const double l[3], int order, double value[6])
{
    for (int i = 0; i < 3; i++) {
        if (order == 1) {
            value[i] = l[i];
            value[3 + i] = 0;
            continue;
        }
        value[i] = l[i] * (2 * l[i] - 1);
        value[3 + i] = 4 * l[i] * l[(i + 1) % 3];
    }
}

static void shape_slopes(const triangle *triangle, const double l[3], int order, double slope[6][2])
{
    for (int i = 0; i < 3; i++)
        for (int d = 0; d < 2; d++) {
            int next = (i + 1) % 3;

            if (order == 1) {
                slope[i][d] = triangle->slope[i][d];
                slope[3 + i][d] = 0;
                continue;
            }
            slope[i][d] = (4 * l[i] - 1) * triangle->slope[i][d];
            slope[3 + i][d] = 4 * (l[i] * triangle->slope[next][d] + l[next] * triangle->slope[i][d]);
        }
}

static void fill_point(const cw_model *model, const triangle *triangle, const double l[3], cw_point *point)
{
    const cw_mesh *mesh = model->mesh;
    double slope[6][2], place[2] = { 0, 0 }, sx = 1, sy = 1;

    for (int i = 0; i < 3; i++)
        for (int d = 0; d < 2; d++)
            place[d] += l[i] * triangle->corner[i][d];
    point->x = place[0];
    point->y = place[1];
    if (triangle->shell) {
        sx = unfold(place[0], mesh->inside[CW_LEFT], mesh->inside[CW_RIGHT], mesh->outside[CW_LEFT],
                    mesh->outside[CW_RIGHT], &point->x);
        sy = unfold(place[1], mesh->inside[CW_BOTTOM], mesh->inside[CW_TOP], mesh->outside[CW_BOTTOM],
                    mesh->outside[CW_TOP], &point->y);
    }
    point->scale[0] = sx;
    point->scale[1] = sy;
    shape(l, model->order, point->value);
    shape_slopes(triangle, l, model->order, slope);
    for (int i = 0; i < 6; i++) {
        point->bx[i] = -slope[i][1] * sy;
        point->by[i] = slope[i][0] * sx;
        if (!model->planar) /* A is zero on the axis, so that A/x has the limit dA/dx there */
            point->by[i] += point->x > 0 ? point->value[i] / point->x : slope[i][0] * sx;
    }
}

void cw_model__point(const cw_model *model, size_t t, const double l[3], cw_point *point)
{
    triangle triangle;

    triangle_of(model->mesh, t, &triangle);
    fill_point(model, &triangle, l, point);
}

void cw_model__points(const cw_model *model, size_t t, cw_point points[3])
{
    static const double at[3][3] = { { 2 / 3.0, 1 / 6.0, 1 / 6.0 }, { 1 / 6.0, 2 / 3.0, 1 / 6.0 },
                                     { 1 / 6.0, 1 / 6.0, 2 / 3.0 } };
    triangle triangle;

    triangle_of(model->mesh, t, &triangle);
    for (int q = 0; q < 3; q++) {
        fill_point(model, &triangle, at[q], &points[q]);
        points[q].weight = triangle.area / (3 * points[q].scale[0] * points[q].scale[1]) *
                           (model->planar ? model->depth_m : 2 * PI * points[q].x);
    }
}

/* ---- setting up ----------------------------------------------------------------------------------------------- */

static void number_unknowns(cw_model *model)
{
    const cw_mesh *mesh = model->mesh;

    for (size_t t = 0; t < mesh->triangle_count; t++) /* marks the nodes that take part */
        for (int i = 0; i < 3 * model->order; i++)
            model->unknown_of_node[mesh->corner[t][i]] = 1;
    for (size_t n = 0; n < mesh->node_count; n++) {
        bool fixed = model->unknown_of_node[n] == 0;

        for (int side = 0; side < 4; side++)
            fixed |= model->zero[side] && (mesh->side[n] >> side & 1);
        model->unknown_of_node[n] = fixed ? -1 : (int)model->unknown_count++;
    }
    for (size_t t = 0; t < mesh->triangle_count; t++)
        for (int i = 0; i < 6; i++)
            model->unknown[t][i] = model->unknown_of_node[mesh->corner[t][i]];
}

static void add_load(cw_model *model, size_t t, const cw_region *region)
{
    cw_point points[3];

    cw_model__points(model, t, points);
    for (int q = 0; q < 3; q++)
        for (int i = 0; i < 6; i++)
            if (model->unknown[t][i] >= 0)
                model->load[region->coil][model->unknown[t][i]] +=
                    points[q].weight * region->turns_per_m2 * points[q].value[i];
}

/* Tangent of a triangle of one reluctivity; it never changes while the nodes stay. */
static void linear_tangent(cw_model *model, size_t t, double reluctivity)
{
    double *entry = model->matrix[t];
    cw_point points[3];

    cw_model__points(model, t, points);
    memset(entry, 0, sizeof model->matrix[t]);
    for (int q = 0; q < 3; q++) {
        const cw_point *p = &points[q];
        double factor = p->weight * reluctivity;
        int at = 0;

        for (int i = 0; i < 6; i++)
            for (int j = 0; j <= i; j++)
                entry[at++] += factor * (p->bx[i] * p->bx[j] + p->by[i] * p->by[j]);
    }
}

void cw_model__refresh(cw_model *model)
{
    for (int c = 0; c < model->coil_count; c++)
        memset(model->load[c], 0, model->unknown_count * sizeof(double));
    for (size_t t = 0; t < model->mesh->triangle_count; t++) {
        const cw_region *region = &model->regions[model->mesh->region[t]];

        if (region->coil >= 0)
            add_load(model, t, region);
        if (region->iron == NULL)
            linear_tangent(model, t, 1 / CW_MU0);
    }
}

static cw_status create(const cw_mesh *mesh, const cw_region *regions, bool planar, double depth_m,
                        const bool zero[4], int coil_count, int order, cw_model **model, cw_error *error)
{
    cw_model *made = cw_allocate(1, sizeof *made);
    bool complete;
    cw_status status;

    *model = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    made->mesh = mesh;
    made->regions = regions;
    made->planar = planar;
    made->depth_m = depth_m;
    made->coil_count = coil_count;
    made->order = order;
    memcpy(made->zero, zero, sizeof made->zero);
    made->unknown_of_node = cw_allocate(mesh->node_count, sizeof(int));
    made->unknown = cw_allocate(mesh->triangle_count, sizeof *made->unknown);
    made->matrix = cw_allocate(mesh->triangle_count, sizeof *made->matrix);
    complete = made->unknown_of_node != NULL && made->unknown != NULL && made->matrix != NULL;
    if (complete)
        number_unknowns(made);
    for (int c = 0; c < coil_count && complete; c++)
        complete = (made->load[c] = cw_allocate(made->unknown_count, sizeof(double))) != NULL;
    status = !complete ? cw_no_memory(error)
                       : cw_solver__create((const int (*)[6])made->unknown, (const int (*)[2])mesh->place,
                                           mesh->ranked, mesh->triangle_count, made->unknown_count, &made->solver, error);
    if (status == CW_OK)
        cw_model__refresh(made);
    else
        cw_model__destroy(&made);
    *model = made;
    return status;
}

cw_status cw_model__create(const cw_mesh *mesh, const cw_region *regions, bool planar, double depth_m,
                           const bool zero[4], int coil_count, cw_model **model, cw_error *error)
{
    return create(mesh, regions, planar, depth_m, zero, coil_count, 2, model, error);
}

cw_status cw_model__first_order(const cw_model *model, cw_model **first, cw_error *error)
{
    cw_status status = create(model->mesh, model->regions, model->planar, model->depth_m, model->zero,
                              model->coil_count, 1, first, error);

    if (status == CW_OK) {
        (*first)->applied_t = model->applied_t;
        memcpy((*first)->current_a, model->current_a, sizeof model->current_a);
    }
    return status;
}

void cw_model__destroy(cw_model **model)
{
    if (*model == NULL)
        return;
    cw_free((*model)->unknown_of_node);
    cw_free((*model)->unknown);
    cw_free((*model)->matrix);
    for (int c = 0; c < CW_MOST_COILS; c++)
        cw_free((*model)->load[c]);
    cw_solver__destroy(&(*model)->solver);
    cw_free(*model);
    *model = NULL;
}

/* ---- residual and tangent ------------------------------------------------------------------------------------- */

static void gather(const cw_model *model, size_t t, const double *a, double local[6])
{
    for (int i = 0; i < 6; i++)
        local[i] = model->unknown[t][i] >= 0 ? a[model->unknown[t][i]] : 0;
}

static void linear_residual(const cw_model *model, size_t t, const double local[6], double part[6])
{
    const double *entry = model->matrix[t];

    for (int i = 0; i < 6; i++)
        for (int j = 0; j <= i; j++, entry++) {
            part[i] += *entry * local[j];
            if (j < i)
                part[j] += *entry * local[i];
        }
}

/* d(nu B) = nu dB + (dH/dB - nu) B (B.dB)/B^2 */
static void add_tangent(double *entry, const cw_point *p, double nu, double slope, double bx, double by, double square)
{
    double along[6], factor = square > 0 ? p->weight * (slope - nu) / square : 0;
    int at = 0;

    for (int i = 0; i < 6; i++) {
        along[i] = bx * p->bx[i] + by * p->by[i];
        for (int j = 0; j <= i; j++)
            entry[at++] += p->weight * nu * (p->bx[i] * p->bx[j] + p->by[i] * p->by[j]) +
                           factor * along[i] * along[j];
    }
}

static void iron_residual(cw_model *model, size_t t, const cw_iron *iron, const double local[6], double part[6],
                          bool tangent)
{
    cw_point points[3];

    cw_model__points(model, t, points);
    if (tangent)
        memset(model->matrix[t], 0, sizeof model->matrix[t]);
    for (int q = 0; q < 3; q++) {
        const cw_point *p = &points[q];
        double bx = 0, by = model->applied_t, density, slope, nu, held[2] = { 0, 0 };

        if (model->coercive != NULL)
            memcpy(held, model->coercive[t][q], sizeof held);
        for (int i = 0; i < 6; i++) {
            bx += p->bx[i] * local[i];
            by += p->by[i] * local[i];
        }
        density = sqrt(bx * bx + by * by);
        nu = cw_iron_field(iron, density, &slope, NULL);
        nu = density > 0 ? nu / density : slope;
        for (int i = 0; i < 6; i++)
            part[i] += p->weight * ((nu * bx - held[0]) * p->bx[i] +
                                    (nu * by - model->applied_t / CW_MU0 - held[1]) * p->by[i]);
        if (tangent)
            add_tangent(model->matrix[t], p, nu, slope, bx, by, density * density);
    }
}

void cw_model__residual(cw_model *model, const double *a, double *residual, bool tangent)
{
    memset(residual, 0, model->unknown_count * sizeof(double));
    for (int c = 0; c < model->coil_count; c++)
        for (size_t u = 0; u < model->unknown_count; u++)
            residual[u] -= model->current_a[c] * model->load[c][u];
    for (size_t t = 0; t < model->mesh->triangle_count; t++) {
        const cw_iron *iron = model->regions[model->mesh->region[t]].iron;
        double local[6], part[6] = { 0 };

        gather(model, t, a, local);
        if (iron == NULL)
            linear_residual(model, t, local, part);
        else
            iron_residual(model, t, iron, local, part, tangent);
        for (int i = 0; i < 6; i++)
            if (model->unknown[t][i] >= 0)
                residual[model->unknown[t][i]] += part[i];
    }
}
