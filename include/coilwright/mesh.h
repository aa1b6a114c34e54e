/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A section of regions as second-order triangles.
 *
 * Knows: lattices of grid lines, graded towards thin gaps and corners, sheared where a face is conical; triangles in
 * outlines of lines and arcs; and the shell around them that stands for all space outside. Needs: base, process. Refuses to know: what the regions are made of.
 *
 * The plane is x (radius r in axisymmetric work) to the right and y (the axis z) up.
 *
 *          y ┌───┬──────────────────┬───┐        Inside the box of `inside` the mesh is the plane itself. In the
 *            │ s │      shell       │ s │        shell a place p beyond the side at q, in a shell of thickness T,
 *            ├───┼──────────────────┼───┤        stands for the point
 *            │   │    ┌──────┐      │   │
 *            │ s │    │magnet│      │ s │             x = q + T s/(1 - s),   s = (p - q)/T,
 *            │   │    └──────┘      │   │
 *            ├───┼──────────────────┼───┤        in each direction by itself, so that its outer rim is infinity.
 *            └───┴──────────────────┴───┘ x      A dipole's potential is a polynomial in 1 - s along the axes. */
#ifndef COILWRIGHT_MESH_H
#define COILWRIGHT_MESH_H

#include "coilwright/base.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_LEFT, CW_RIGHT, CW_BOTTOM, CW_TOP };

typedef struct cw_mesh {
    size_t node_count, triangle_count;
    double (*node)[2];    /* shape [node_count]: x, y in the plane of the mesh */
    int (*corner)[6];     /* shape [triangle_count]: three corners counter-clockwise, then the middles of the sides
                             0-1, 1-2, 2-0 */
    int *region;          /* shape [triangle_count] */
    int (*place)[2];      /* shape [triangle_count]: place in the order of the lattice, to cut the mesh in halves by */
    bool ranked;          /* no lattice: places are ranks of the triangles' middles along x and along y */
    unsigned char *side;  /* shape [node_count]: bit 1 << CW_LEFT and so on where a node lies on that outer side */
    double inside[4];     /* box in which the mesh is the plane, by CW_LEFT ... CW_TOP */
    double outside[4];    /* outer rim; equal to `inside` where there is no shell on that side */
} cw_mesh;

CW_API void cw_mesh_destroy(cw_mesh **mesh);

/** All invariants: indices in range, triangles counter-clockwise, middles half way. */
CW_API cw_status cw_mesh_check(const cw_mesh *mesh, cw_error *error);

/* ---- lattices ------------------------------------------------------------------------------------------------ */

/** A grid line that must be there, and the length of the cells beside it. */
typedef struct cw_line {
    double at, cell;
} cw_line;

/** Grid lines of one direction, rising. */
typedef struct cw_axis {
    double *at; /* shape [count] */
    size_t count;
} cw_axis;

CW_API void cw_axis_clear(cw_axis *axis);

/** Grid lines through all given lines, with cells growing away from each by a factor of at most `growth` from one to
 *  the next.
 *
 *  lines   rising strictly, 2 or more
 *  growth  above 1; 1.6 is fine, 3 a coarse start for refinement
 *  shell   number of cells of a shell of thickness `thickness` added at the low and the high end, 0 for none */
CW_API cw_status cw_axis_create(const cw_line *lines, size_t count, double growth, const int shell[2],
                                double thickness, cw_axis *axis, cw_error *error);

/** Splits the cells that are marked, each in two halves.
 *  split  shape [axis->count - 1] */
CW_API cw_status cw_axis_refine(cw_axis *axis, const bool *split, cw_error *error);

/** What lies where: a rectangle of a region. Later ones cover earlier ones; the ground is region 0. */
typedef struct cw_patch {
    double x[2], y[2]; /* low, high */
    int region;
} cw_patch;

/** The lattice of two axes with each cell cut into two triangles, region by the middle of the cell.
 *
 *  Nodes are numbered row by row over the lattice of corners and middles: node (i, j) is j (2 nx - 1) + i. */
CW_API cw_status cw_mesh_lattice(const cw_axis *x, const cw_axis *y, const cw_patch *patches, size_t patch_count,
                                 const double inside[4], cw_mesh **mesh, cw_error *error);

/* ---- outlines ------------------------------------------------------------------------------------------------ */

/** A place of an outline in the plane; `through`: no corner, but a place on the arc from the corner before it to the
 *  corner behind it. */
typedef struct cw_contour_point {
    double x, y;
    bool through;
} cw_contour_point;

/** A closed outline of straight lines and arcs, first place not repeated, either way round. Begins with a corner. */
typedef struct cw_contour {
    const char *name;              /* lent; for sentences */
    const cw_contour_point *point; /* lent; shape [count] */
    size_t count;
    double lift;                   /* added to all y */
    int region;
} cw_contour;

/** The outline as a polygon, counter-clockwise, arcs cut into at least `cuts` sides a quarter turn.
 *  place  receives shape [*count][2]; cw_free */
CW_API cw_status cw_contour_flatten(const cw_contour *outline, int cuts, double (**place)[2], size_t *count,
                                    cw_error *error);

/** Refuses an outline without area, or one that crosses or touches itself, by its name. area in m2, may be NULL. */
CW_API cw_status cw_contour_check(const cw_contour *outline, double *area, cw_error *error);

/** How the areas of two outlines lie. */
typedef struct cw_contour_relation {
    double distance;     /* smallest, of their rims */
    bool overlap;        /* they share area */
    bool inside;         /* the first lies wholly in the second */
} cw_contour_relation;

/** close  distance below which rims count as touching */
CW_API cw_status cw_contour_pair(const cw_contour *a, const cw_contour *b, double close, cw_contour_relation *relation,
                                 cw_error *error);

/** The longest side of a triangle wished at a place; it may grow with the distance from there. */
typedef struct cw_mesh_size {
    double x, y, size;
} cw_mesh_size;

typedef struct cw_mesh_request {
    const cw_contour *contour;      /* later ones cover earlier ones; the ground is region 0 */
    size_t contour_count;
    double inside[4], outside[4];  /* by CW_LEFT ... CW_TOP */
    const cw_mesh_size *size;      /* at least one */
    size_t size_count;
    double growth;                 /* of the size by the distance, as in 0.5 */
} cw_mesh_request;

/** Triangles in and around outlines, of second order, sides straight; by the helper coilwright-mesher (process.h). The
 *  places of corners of outlines are those given; those on arcs lie on them. Test: tests/mesh/test_contour.c */
CW_API cw_status cw_mesh_contours(const cw_mesh_request *request, cw_mesh **mesh, cw_error *error);

/** Splits marked triangles into four by halving their sides, longest first, and what must follow for the sides to fit. A
 *  side's middle becomes a corner; on an arc of the outlines it is moved onto the arc.
 *
 *  M. C. Rivara, Int. J. Numer. Methods Eng. 20, 1984: angles stay above half of the smallest of the first mesh.
 *
 *  split   shape [mesh->triangle_count]
 *  parent  receives shape [(*fine)->triangle_count]: the triangle of `mesh` that each lies in; cw_free */
CW_API cw_status cw_mesh_refine(const cw_mesh *mesh, const bool *split, const cw_contour *outline,
                                size_t contour_count, cw_mesh **fine, int **parent, cw_error *error);

/* ---- arbitrary triangles ------------------------------------------------------------------------------------- */

/** A mesh of given triangles, middles of sides added.
 *
 *  vertex          shape [vertex_count][2]
 *  triangle        shape [triangle_count][3], counter-clockwise
 *  region          shape [triangle_count]
 *  inside, outside by CW_LEFT ... CW_TOP; nodes on the outer rim (to 1e-9 of its size) are marked as sides */
CW_API cw_status cw_mesh_from_triangles(const double (*vertex)[2], size_t vertex_count, const int (*triangle)[3],
                                        const int *region, size_t triangle_count, const double inside[4],
                                        const double outside[4], cw_mesh **mesh, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
