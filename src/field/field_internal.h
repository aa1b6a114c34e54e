/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The finite element model of one section, private to the room.
 *
 * Unknown is the vector potential A: its component around the axis, or, in a planar section, into the page. With x
 * to the right (r) and y up (z)
 *
 *     Bx = -dA/dy,     By = dA/dx + A/x  (axisymmetric),     By = dA/dx  (planar),
 *
 * and the solution makes   int w(|B|) - H0.B - J A  dV   least, with w the stored energy of the material and H0 an
 * applied uniform field (zero but in checks). It is convex, since H rises with B, so Newton's method with a line
 * search cannot but descend to it. */
#ifndef CW_FIELD_INTERNAL_H
#define CW_FIELD_INTERNAL_H

#include "coilwright/iron.h"
#include "coilwright/mesh.h"
#include "field/solver.h"

#define CW_MU0 (4e-7 * 3.14159265358979323846)

enum { CW_MOST_COILS = 8, CW_MOST_REGIONS = 64 };

/* What a region of the mesh is made of. */
typedef struct cw_region {
    const char *name;
    const cw_iron *iron;     /* NULL: air, copper, brass */
    int coil;                /* -1: none */
    double turns_per_m2;     /* below zero where the current comes out of the page */
    bool moves;              /* belongs to the part whose pull is asked */
} cw_region;

typedef struct cw_model {
    const cw_mesh *mesh;             /* lent */
    const cw_region *regions;        /* lent; by the mesh's region numbers */
    bool planar;
    bool zero[4];                    /* sides on which A = 0 */
    int order;                       /* 2; 1 where the middles of the sides are left out, for a start */
    double depth_m;                  /* planar: into the page */
    double current_a[CW_MOST_COILS];
    int coil_count;
    double applied_t;                /* uniform field along y added everywhere */
    size_t unknown_count;
    int *unknown_of_node;            /* shape [node_count]; -1: A = 0 there */
    int (*unknown)[6];               /* shape [triangle_count] */
    double (*matrix)[21];            /* shape [triangle_count]: tangents, lower halves by rows */
    double (*coercive)[3][2];        /* shape [triangle_count]: field in A/m that iron holds on to, at the points of
                                        cw_model__points; NULL none. Lent */
    double *load[CW_MOST_COILS];     /* shape [unknown_count]: int turn density x shape function dV */
    cw_solver *solver;
} cw_model;

/* A quadrature point of a triangle, mapped where it lies in the shell. */
typedef struct cw_point {
    double x, y;        /* m, in space */
    double weight;      /* m3 */
    double value[6];    /* shape functions */
    double bx[6], by[6]; /* 1/m: B for a unit of A at each node */
    double scale[2];    /* dp/dx, dp/dy of the shell's map; 1 inside */
} cw_point;

/* The three interior points of the rule that is exact to second order. */
void cw_model__points(const cw_model *model, size_t t, cw_point points[3]);

/* The same at any place of the triangle, weight left alone.
 *   l  barycentric, on the axis only where the limit is finite (corners are welcome) */
void cw_model__point(const cw_model *model, size_t t, const double l[3], cw_point *point);

/* A model of a mesh: unknowns, loads, the order of the solver.
 *   zero  sides on which A = 0; on the others the field crosses at right angles */
cw_status cw_model__create(const cw_mesh *mesh, const cw_region *regions, bool planar, double depth_m,
                           const bool zero[4], int coil_count, cw_model **model, cw_error *error);
void cw_model__destroy(cw_model **model);

/* The same problem on the corners alone. */
cw_status cw_model__first_order(const cw_model *model, cw_model **first, cw_error *error);

/* Recomputes what depends on the nodes' places, after the mesh was morphed. */
void cw_model__refresh(cw_model *model);

/* residual = gradient of the functional at `a`; tangents into model->matrix where `tangent`. Shapes [unknown_count]. */
void cw_model__residual(cw_model *model, const double *a, double *residual, bool tangent);

typedef struct cw_newton_record {
    int iterations, evaluations;
    int start_iterations; /* with elements of first order, to start from */
    double decrement;   /* of the last step: energy of the step over the energy of the source */
    double residual;    /* largest residual of the last linear solve over the largest right-hand side */
} cw_newton_record;

/* Newton's method from `a`, which receives the solution. From zeros the long way into saturation is gone with elements
 * of first order, on the corners of the same triangles: a fraction of the work a step.
 *   tolerance  on the decrement; 1e-12 leaves A right to about 1e-12 after the last step */
cw_status cw_model__solve(cw_model *model, double *a, double tolerance, cw_newton_record *record, cw_error *error);

/* ---- results -------------------------------------------------------------------------------------------------- */

typedef struct cw_energies {
    double energy_j, coenergy_j, source_j; /* source: int J.A dV, the sum of the two others */
} cw_energies;

void cw_model__energies(const cw_model *model, const double *a, cw_energies *energies);
double cw_model__linkage(const cw_model *model, const double *a, int coil);

/* d(linkage)/d(current), shape [coil][coil] by CW_MOST_COILS; uses the factors of the last tangent. */
cw_status cw_model__incremental(const cw_model *model, double inductance_h[CW_MOST_COILS][CW_MOST_COILS],
                                cw_error *error);

/* Force along y on what `weight` is 1 on, by minus the derivative of the energy at fixed A as the nodes move by the
 * weight. In air this is the weighted stress tensor.
 *   weight    shape [node_count]; only the corners' count
 *   gradient  shape [unknown_count] or NULL: receives dF/dA */
double cw_model__force(const cw_model *model, const double *a, const double *weight, double *gradient);

/* 1 on the nodes of the moving part, else 0: a layer one triangle thick. */
void cw_model__layer_weight(const cw_model *model, double *weight);

/* B at the corners of each triangle. shape [triangle_count][3][2] */
void cw_model__corner_fields(const cw_model *model, const double *a, double (*field)[3][2]);

#endif
