/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How wrong the pull is, and where it comes from.
 *
 * To first order the error of the pull F(A) is e.K z: e the error of A, K the tangent, and K z = dF/dA the adjoint
 * solution, one more pass through factors that are there. Both errors are estimated by the difference between the
 * field and its mean at the corners, taken over the triangles of the same iron or of air (O. C. Zienkiewicz and
 * J. Z. Zhu, Int. J. Numer. Methods Eng. 24, 1987); their product is summed triangle by triangle without signs, so that
 * what cancels is not counted on. The part of By stems from cells too wide, that of Bx from cells too high. The shell
 * takes part, so that the open boundary is refined like everything else. */
#include "field/estimate.h"

#include <math.h>
#include <string.h>

typedef struct work {
    double (*u)[3][2], (*z)[3][2]; /* shape [triangle_count]: fields at the corners, of A and of the adjoint */
    double (*mean)[4];             /* shape [node_count] */
    double *share;                 /* shape [node_count] */
} work;

static double area_of(const cw_mesh *mesh, size_t t)
{
    const double *a = mesh->node[mesh->corner[t][0]], *b = mesh->node[mesh->corner[t][1]];
    const double *c = mesh->node[mesh->corner[t][2]];

    return 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]));
}

static void corner_means(const cw_model *model, const cw_iron *iron, const work *work)
{
    const cw_mesh *mesh = model->mesh;

    memset(work->mean, 0, mesh->node_count * sizeof *work->mean);
    memset(work->share, 0, mesh->node_count * sizeof(double));
    for (size_t t = 0; t < mesh->triangle_count; t++) {
        double area;

        if (model->regions[mesh->region[t]].iron != iron)
            continue;
        area = area_of(mesh, t);
        for (int k = 0; k < 3; k++) {
            int n = mesh->corner[t][k];

            work->share[n] += area;
            for (int d = 0; d < 2; d++) {
                work->mean[n][d] += area * work->u[t][k][d];
                work->mean[n][2 + d] += area * work->z[t][k][d];
            }
        }
    }
    for (size_t n = 0; n < mesh->node_count; n++)
        for (int i = 0; i < 4 && work->share[n] > 0; i++)
            work->mean[n][i] /= work->share[n];
}

/* int f g dV over a triangle, f and g linear; the points are the rule's of cw_model__points. */
static double product(const double f[3], const double g[3], const cw_point points[3])
{
    double sum = 0;

    for (int q = 0; q < 3; q++) {
        double at_f = (f[0] + f[1] + f[2]) / 6 + 0.5 * f[q], at_g = (g[0] + g[1] + g[2]) / 6 + 0.5 * g[q];

        sum += points[q].weight * at_f * at_g;
    }
    return sum;
}

/* Tangent reluctivity at the triangle's mean field: nu I + (dH/dB - nu) b b. */
static void tangent_at(const cw_iron *iron, const double corner[3][2], double tangent[3])
{
    double bx = (corner[0][0] + corner[1][0] + corner[2][0]) / 3, by = (corner[0][1] + corner[1][1] + corner[2][1]) / 3;
    double square = bx * bx + by * by, slope, nu, more;

    tangent[0] = tangent[2] = 1 / CW_MU0;
    tangent[1] = 0;
    if (iron == NULL || square == 0)
        return;
    nu = cw_iron_field(iron, sqrt(square), &slope, NULL) / sqrt(square);
    more = (slope - nu) / square;
    tangent[0] = nu + more * bx * bx;
    tangent[1] = more * bx * by;
    tangent[2] = nu + more * by * by;
}

static void add_triangle(const cw_model *model, size_t t, const work *work, cw_estimate *estimate)
{
    const cw_mesh *mesh = model->mesh;
    double du[2][3], dz[2][3], tangent[3], parts[3];
    cw_point points[3];

    for (int k = 0; k < 3; k++)
        for (int d = 0; d < 2; d++) {
            int n = mesh->corner[t][k];

            du[d][k] = work->mean[n][d] - work->u[t][k][d];
            dz[d][k] = work->mean[n][2 + d] - work->z[t][k][d];
        }
    tangent_at(model->regions[mesh->region[t]].iron, (const double (*)[2])work->u[t], tangent);
    cw_model__points(model, t, points);
    parts[0] = tangent[0] * product(du[0], dz[0], points);
    parts[1] = tangent[1] * (product(du[0], dz[1], points) + product(du[1], dz[0], points));
    parts[2] = tangent[2] * product(du[1], dz[1], points);
    estimate->force_n += fabs(parts[0] + parts[1] + parts[2]);
    estimate->energy_j += tangent[0] * product(du[0], du[0], points) +
                          2 * tangent[1] * product(du[0], du[1], points) +
                          tangent[2] * product(du[1], du[1], points);
    if (estimate->triangle != NULL) {
        estimate->triangle[t] = fabs(parts[0] + parts[1] + parts[2]);
        return;
    }
    estimate->column[mesh->place[t][0]] +=
        tangent[2] * sqrt(product(du[1], du[1], points) * product(dz[1], dz[1], points));
    estimate->row[mesh->place[t][1]] +=
        tangent[0] * sqrt(product(du[0], du[0], points) * product(dz[0], dz[0], points));
}

static void add_material(const cw_model *model, const cw_iron *iron, const work *work, cw_estimate *estimate)
{
    corner_means(model, iron, work);
    for (size_t t = 0; t < model->mesh->triangle_count; t++)
        if (model->regions[model->mesh->region[t]].iron == iron)
            add_triangle(model, t, work, estimate);
}

static bool met_before(const cw_region *regions, int r)
{
    for (int i = 0; i < r; i++)
        if (regions[i].iron == regions[r].iron)
            return true;
    return false;
}

cw_status cw_model__estimate(cw_model *model, const double *a, const double *weight, int region_count,
                             cw_estimate *estimate, cw_error *error)
{
    const cw_mesh *mesh = model->mesh;
    double *z = cw_allocate(model->unknown_count, sizeof(double)), applied = model->applied_t;
    work work = { cw_allocate(mesh->triangle_count, sizeof *work.u), cw_allocate(mesh->triangle_count, sizeof *work.z),
                  cw_allocate(mesh->node_count, sizeof *work.mean), cw_allocate(mesh->node_count, sizeof(double)) };
    bool complete = z != NULL && work.u != NULL && work.z != NULL && work.mean != NULL && work.share != NULL;

    if (complete) {
        cw_model__force(model, a, weight, z);
        cw_solver__solve(model->solver, z);
        cw_model__corner_fields(model, a, work.u);
        model->applied_t = 0; /* the adjoint has no field from elsewhere */
        cw_model__corner_fields(model, z, work.z);
        model->applied_t = applied;
        estimate->force_n = estimate->energy_j = 0;
        for (int r = 0; r < region_count; r++)
            if (!met_before(model->regions, r))
                add_material(model, model->regions[r].iron, &work, estimate);
    }
    cw_free(z);
    cw_free(work.u);
    cw_free(work.z);
    cw_free(work.mean);
    cw_free(work.share);
    return complete ? CW_OK : cw_no_memory(error);
}
