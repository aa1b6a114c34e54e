/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is read off a solution: energies, flux linkage, inductance, force. */
#include "field/field_internal.h"

#include <math.h>
#include <string.h>

static void density_at(const cw_model *model, size_t t, const cw_point *p, const double *a, double b[2])
{
    b[0] = 0;
    b[1] = model->applied_t;
    for (int i = 0; i < 6; i++)
        if (model->unknown[t][i] >= 0) {
            b[0] += p->bx[i] * a[model->unknown[t][i]];
            b[1] += p->by[i] * a[model->unknown[t][i]];
        }
}

/* H/B and the stored energy of a region at a flux density. */
static double reluctivity_at(const cw_region *region, double density, double *energy)
{
    double slope, h;

    if (region->iron == NULL) {
        *energy = 0.5 * density * density / CW_MU0;
        return 1 / CW_MU0;
    }
    h = cw_iron_field(region->iron, density, &slope, energy);
    return density > 0 ? h / density : slope;
}

void cw_model__energies(const cw_model *model, const double *a, cw_energies *energies)
{
    memset(energies, 0, sizeof *energies);
    for (size_t t = 0; t < model->mesh->triangle_count; t++) {
        cw_point points[3];

        cw_model__points(model, t, points);
        for (int q = 0; q < 3; q++) {
            double b[2], square, nu, stored;

            density_at(model, t, &points[q], a, b);
            square = b[0] * b[0] + b[1] * b[1];
            nu = reluctivity_at(&model->regions[model->mesh->region[t]], sqrt(square), &stored);
            energies->energy_j += points[q].weight * stored;
            energies->coenergy_j += points[q].weight * (nu * square - stored);
        }
    }
    for (int c = 0; c < model->coil_count; c++)
        energies->source_j += model->current_a[c] * cw_model__linkage(model, a, c);
}

double cw_model__linkage(const cw_model *model, const double *a, int coil)
{
    double sum = 0;

    for (size_t u = 0; u < model->unknown_count; u++)
        sum += model->load[coil][u] * a[u];
    return sum;
}

cw_status cw_model__incremental(const cw_model *model, double inductance_h[CW_MOST_COILS][CW_MOST_COILS],
                                cw_error *error)
{
    double *x = cw_allocate(model->unknown_count, sizeof(double));

    if (x == NULL)
        return cw_no_memory(error);
    for (int c = 0; c < model->coil_count; c++) {
        memcpy(x, model->load[c], model->unknown_count * sizeof(double));
        cw_solver__solve(model->solver, x);
        for (int d = 0; d < model->coil_count; d++)
            inductance_h[c][d] = cw_model__linkage(model, x, d);
    }
    cw_free(x);
    return CW_OK;
}

/* As the nodes move by s w along y with A carried along: dA/dx loses s (dw/dx) dA/dy, dA/dy loses s (dw/dy) dA/dy,
 * volume grows by s dw/dy. With dA/dy = -Bx:  dBx = -s wy Bx,  dBy = s wx Bx, so that
 *
 *   dW/ds = int  w(B) wy - Hx Bx wy + Hy Bx wx  dV,    F = -dW/ds at fixed flux.
 *
 * J. L. Coulomb, IEEE Trans. Magn. 19(6), 1983. */
static double point_force(const cw_point *p, const double b[2], double nu, double stored, const double slope[2])
{
    return p->weight * (nu * b[0] * b[0] * slope[1] - nu * b[1] * b[0] * slope[0] - stored * slope[1]);
}

/* dF/dA of one point in air, where all is quadratic in B. */
static void add_gradient(const cw_model *model, size_t t, const cw_point *p, const double b[2],
                         const double slope[2], double *gradient)
{
    double factor = p->weight / CW_MU0;
    double to_x = factor * (2 * b[0] * slope[1] - b[1] * slope[0] - b[0] * slope[1]);
    double to_y = factor * (-b[0] * slope[0] - b[1] * slope[1]);

    for (int i = 0; i < 6; i++)
        if (model->unknown[t][i] >= 0)
            gradient[model->unknown[t][i]] += to_x * p->bx[i] + to_y * p->by[i];
}

/* Gradient of the weight in the plane of the mesh; false where it is even. */
static bool weight_slope(const cw_model *model, size_t t, const double *weight, double slope[2])
{
    const cw_mesh *mesh = model->mesh;
    const int *n = mesh->corner[t];
    const double *a = mesh->node[n[0]], *b = mesh->node[n[1]], *c = mesh->node[n[2]];
    double one = weight[n[1]] - weight[n[0]], two = weight[n[2]] - weight[n[0]];
    double doubled = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);

    if (one == 0 && two == 0)
        return false;
    slope[0] = (one * (c[1] - a[1]) - two * (b[1] - a[1])) / doubled;
    slope[1] = (two * (b[0] - a[0]) - one * (c[0] - a[0])) / doubled;
    return true;
}

double cw_model__force(const cw_model *model, const double *a, const double *weight, double *gradient)
{
    double force = 0;

    if (gradient != NULL)
        memset(gradient, 0, model->unknown_count * sizeof(double));
    for (size_t t = 0; t < model->mesh->triangle_count; t++) {
        double plane[2];
        cw_point points[3];

        if (!weight_slope(model, t, weight, plane))
            continue;
        cw_model__points(model, t, points);
        for (int q = 0; q < 3; q++) {
            double slope[2] = { plane[0] * points[q].scale[0], plane[1] * points[q].scale[1] };
            double b[2], nu, stored;

            density_at(model, t, &points[q], a, b);
            nu = reluctivity_at(&model->regions[model->mesh->region[t]], hypot(b[0], b[1]), &stored);
            force += point_force(&points[q], b, nu, stored, slope);
            if (gradient != NULL)
                add_gradient(model, t, &points[q], b, slope, gradient);
        }
    }
    return force;
}

void cw_model__layer_weight(const cw_model *model, double *weight)
{
    memset(weight, 0, model->mesh->node_count * sizeof(double));
    for (size_t t = 0; t < model->mesh->triangle_count; t++)
        if (model->regions[model->mesh->region[t]].moves)
            for (int i = 0; i < 6; i++)
                weight[model->mesh->corner[t][i]] = 1;
}

void cw_model__corner_fields(const cw_model *model, const double *a, double (*field)[3][2])
{
    for (size_t t = 0; t < model->mesh->triangle_count; t++)
        for (int k = 0; k < 3; k++) {
            double l[3] = { k == 0, k == 1, k == 2 };
            cw_point point;

            cw_model__point(model, t, l, &point);
            density_at(model, t, &point, a, field[t][k]);
        }
}
