/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The winding as one material: wire with its enamel as a coated rod, rods in an array in what fills the space
 * between them, sheets between layers in series. */
#include "coilwright/heat.h"

#include <math.h>

#define PI 3.14159265358979323846
#define SQUARE_TOUCHES 0.785398
#define HEXAGONAL_TOUCHES 0.906900
#define DRY_PAPER_W_PER_MK 0.12   /* kraft, data/thermal_materials.csv */
#define FILLER_J_PER_M3K 1.3e6    /* epoxy 1150 kg/m3 x 1100 J/(kg K), the same table */
#define ENAMEL_J_PER_M3K 1.6e6    /* 1350 x 1200 */

double cw_conductivity_random(double rod, double matrix, double v)
{
    return matrix * ((1 + v) * rod + (1 - v) * matrix) / ((1 - v) * rod + (1 + v) * matrix);
}

double cw_conductivity_coated(double core, double coat, double v)
{
    return cw_conductivity_random(core, coat, v); /* the same formula, here exact */
}

/* 1 - 2 f / (T + f - c1 f^p T/(T^2 - c2 f^2p) - c3 f^q/T), T = (1 + sigma)/(1 - sigma): the paper's eqs. (13), (14)
 * cut after the third multipole (coefficients from memory; tests/heat/test_winding_material.c holds them against the
 * lattice solved by finite elements). */
static double array_conductivity(double rod, double matrix, double f, double c1, double c2, double c3, double p,
                                 double q)
{
    double ratio = rod / matrix, t, dipole;

    if (fabs(ratio - 1) < 1e-12)
        return matrix;
    t = (1 + ratio) / (1 - ratio);
    dipole = t + f - c1 * pow(f, p) * t / (t * t - c2 * pow(f, 2 * p)) - c3 * pow(f, q) / t;
    return matrix * (1 - 2 * f / dipole);
}

double cw_conductivity_square(double rod, double matrix, double v)
{
    return array_conductivity(rod, matrix, v, 0.305827, 1.402958, 0.013362, 4, 8);
}

double cw_conductivity_hexagonal(double rod, double matrix, double v)
{
    return array_conductivity(rod, matrix, v, 0.075422, 1.060283, 0.000076, 6, 12);
}

/* Conductivity of what fills the space between the wires [practice, as the project's collection on heat puts it:
 * air-filled windings do better than air, since turns touch and radiate; varnish drains and leaves air; potted ones
 * do worse than their resin by voids]. */
static cw_band filler(const cw_winding_material_plan *plan)
{
    static const cw_band dry = { 0.026, 0.035, 0.06 }, varnished = { 0.05, 0.09, 0.15 };
    static const cw_band unfilled_epoxy = { 0.17, 0.20, 0.25 };
    cw_band resin = plan->resin_w_per_mk.nominal > 0 ? plan->resin_w_per_mk : unfilled_epoxy;

    if (plan->impregnation == CW_DRY)
        return dry;
    if (plan->impregnation == CW_VARNISHED)
        return varnished;
    return (cw_band){ 0.8 * resin.min, 0.95 * resin.nominal, resin.max };
}

static double array_of(const cw_winding_material_plan *plan, double rod, double matrix, double share)
{
    if (plan->array == CW_ARRAY_RANDOM)
        return cw_conductivity_random(rod, matrix, share);
    if (plan->array == CW_ARRAY_SQUARE && share < SQUARE_TOUCHES)
        return cw_conductivity_square(rod, matrix, share);
    return cw_conductivity_hexagonal(rod, matrix, share);
}

static cw_status check(const cw_winding_material_plan *plan, double share, cw_error *error)
{
    if (!(plan->bare_m > 0 && plan->overall_m >= plan->bare_m && plan->conductor_w_per_mk > 0 &&
          plan->conductor_j_per_m3k > 0))
        return cw_refuse(error, NULL, "a wire", "A wire of %g mm bare and %g mm overall cannot be.",
                         1e3 * plan->bare_m, 1e3 * plan->overall_m);
    if (!(plan->pitch_m > 0 && plan->sheet_m >= 0 && plan->rise_m > plan->sheet_m))
        return cw_refuse(error, NULL, "lengths above zero", "Turns %g mm and layers %g mm apart with %g mm of sheet "
                         "between leave no room.", 1e3 * plan->pitch_m, 1e3 * plan->rise_m, 1e3 * plan->sheet_m);
    if (!(share <= HEXAGONAL_TOUCHES))
        return cw_refuse(error, NULL, "at most 0.907", "The wires would fill %.3f of the section, more than round "
                         "wires can.", share);
    return CW_OK;
}

/* A real lay is never a perfect lattice: the least and the nominal value are those of disorder, which published
 * measurements of impregnated windings lie near (Simpson, Wrobel and Mellor 2013); the greatest is the lattice's. */
static double across_one(const cw_winding_material_plan *plan, double enamel, double matrix, double share,
                         bool lattice)
{
    double core = plan->bare_m * plan->bare_m / (plan->overall_m * plan->overall_m);

    double rod = cw_conductivity_coated(plan->conductor_w_per_mk, enamel, core);

    return lattice ? array_of(plan, rod, matrix, share) : cw_conductivity_random(rod, matrix, share);
}

cw_status cw_winding_material_of(const cw_winding_material_plan *plan, cw_winding_material *material, cw_error *error)
{
    static const cw_band table_enamel = { 0.15, 0.22, 0.30 };
    cw_band enamel = plan->enamel_w_per_mk.nominal > 0 ? plan->enamel_w_per_mk : table_enamel, fill = filler(plan);
    double layer = plan->rise_m - plan->sheet_m, paper = plan->sheet_w_per_mk > 0 ? plan->sheet_w_per_mk
                                                                                   : DRY_PAPER_W_PER_MK;
    double wire = PI / 4 * plan->overall_m * plan->overall_m, cell = plan->pitch_m * plan->rise_m;
    double share = wire / (plan->pitch_m * layer), copper = PI / 4 * plan->bare_m * plan->bare_m;
    double wires[3], *across[3] = { &material->across_w_per_mk.min, &material->across_w_per_mk.nominal,
                                    &material->across_w_per_mk.max };
    double *along[3] = { &material->along_axis_w_per_mk.min, &material->along_axis_w_per_mk.nominal,
                         &material->along_axis_w_per_mk.max };
    cw_status status = check(plan, share, error);

    if (status != CW_OK)
        return status;
    wires[0] = across_one(plan, enamel.min, fill.min, share, false);
    wires[1] = across_one(plan, enamel.nominal, fill.nominal, share, false);
    wires[2] = across_one(plan, enamel.max, fill.max, share, true);
    for (int i = 0; i < 3; i++) {
        *across[i] = plan->rise_m / (layer / wires[i] + plan->sheet_m / paper);
        *along[i] = (layer * wires[i] + plan->sheet_m * paper) / plan->rise_m;
    }
    material->copper_share = copper / cell;
    material->along_wire_w_per_mk = material->copper_share * plan->conductor_w_per_mk +
                                    (1 - material->copper_share) * fill.nominal;
    material->capacity_j_per_m3k = material->copper_share * plan->conductor_j_per_m3k +
                                   (wire - copper) / cell * ENAMEL_J_PER_M3K +
                                   (plan->impregnation == CW_DRY ? 0 : (1 - wire / cell) * FILLER_J_PER_M3K);
    return CW_OK;
}
