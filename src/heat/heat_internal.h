/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The finite element model of heat, private to the room.
 *
 * Second-order triangles; the unknowns are temperatures. Weak form, in W:
 *
 *     int k grad T . grad v  +  surfaces q(T) v  +  contacts h (T - T')(v - v')  =  I^2 int r (1 + alpha (T - 20)) v
 *
 * with r ohm per cubic metre of winding. A node where parts meet in imperfect contact has one unknown for each side. */
#ifndef CW_HEAT_INTERNAL_H
#define CW_HEAT_INTERNAL_H

#include "coilwright/heat.h"
#include "field/solver.h"

#define CW_RUNAWAY_C 500 /* no insulation lives there, and the linear law of resistance ends */

/* One side of a triangle that loses heat; three Gauss points. */
typedef struct cw_heat_edge {
    int element;
    int local[3];        /* its ends and middle among the element's nodes */
    int part;            /* whose surface it is */
    double weight[3];    /* m2 */
    double size_m, other_m;
    cw_surface surface;
    double slope[3];     /* W/(m2 K), as of the last factorisation */
} cw_heat_edge;

struct cw_heat {
    cw_heat_section section;
    const cw_mesh *mesh;
    cw_mesh *owned;              /* mesh where made here, else NULL */
    size_t element_count;        /* conducting triangles, then contacts */
    size_t triangle_count;       /* conducting ones */
    int *triangle;               /* shape [triangle_count]: of the mesh */
    int (*unknown)[6];           /* shape [element_count] */
    int (*place)[2];
    size_t unknown_count;
    double (*conduction)[21];    /* shape [element_count]: lower halves by rows; W/K */
    double (*mass)[21];          /* W s/K */
    double (*loss)[21];          /* shape [element_count]: ohm share, int r N N; zero outside windings */
    double (*matrix)[21];        /* scratch: what is factorised */
    double *source;              /* shape [unknown_count]: fixed losses, W */
    double *share;               /* shape [unknown_count]: int r N / R20: sums to 1 over the windings */
    cw_heat_edge *edge;
    size_t edge_count;
    cw_solver *solver;
    double *t;                   /* shape [unknown_count] */
    double squared;              /* I^2 as last solved */
};

/* Gauss points of a side and shape functions there: shape [point][end, end, middle]. */
extern const double cw_heat__edge_shape[3][3];

/* Surface flux and slope at all Gauss points for temperatures t; slopes are kept in the edges where `keep`.
 *   out  shape [unknown_count]: added to; NULL welcome. Returns the sum, W. */
double cw_heat__surfaces(cw_heat *heat, const double *t, double *out, bool keep);

/* matrix = scale mass + conduction + kept surface slopes - squared alpha loss; factorised. False where that is not
 * positive definite. */
cw_status cw_heat__factor(cw_heat *heat, double mass_scale, double squared, bool *definite, cw_error *error);

/* y += scale E x over all elements E, one of the element matrices. */
void cw_heat__multiply(const cw_heat *heat, double (*const matrix)[21], double scale, const double *x, double *y);

double cw_heat__resistance(const cw_heat *heat, const double *t);
/* I^2 of the drive at temperatures t. */
double cw_heat__squared(const cw_heat *heat, const double *t);
/* y += squared int r (1 + alpha (T - 20)) N. Returns the loss, W. */
double cw_heat__coil_loss(const cw_heat *heat, double squared, const double *t, double *y);

/* Greatest temperature within a conducting triangle, between its nodes too; place in the plane of the mesh, or NULL. */
double cw_heat__peak(const cw_heat *heat, size_t element, const double *t, double place[2]);

double cw_heat__hottest_winding(const cw_heat *heat, const double *t, double place[2]);
double cw_heat__hottest_surface(const cw_heat *heat, const double *t);
/* Greatest temperature above its limit over all parts; -INFINITY without limits. part, -1 none, may be NULL. */
double cw_heat__worst_excess(const cw_heat *heat, const double *t, int *part);

/* Sets temperatures and current to those of a coarse mesh's steady state; started is false where there is none, or no
 * mesh that is much coarser. */
cw_status cw_heat__coarse_start(cw_heat *heat, bool *started, cw_error *error);

/* Greatest, mean, limit and margin of every part at temperatures t; shape [part_count]. */
void cw_heat__parts(const cw_heat *heat, const double *t, cw_heat_part_result *part);
/* Least margin, NAN where no part has a limit; tightest receives the part that has it, -1 none. */
double cw_heat__margin(const cw_heat_part_result *part, int count, int *tightest);

cw_status cw_heat__mesh_section(const cw_heat_section *section, const cw_heat_wish *wish, cw_mesh **mesh,
                                cw_error *error);

#endif
