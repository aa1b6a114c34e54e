/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sections with outlines of any shape: what cannot be, their triangles, and how far a place is from what moves. */
#ifndef CW_FIELD_FREE_H
#define CW_FIELD_FREE_H

#include "coilwright/field.h"
#include "field/field_internal.h"

/* Whether a section has any part that is no rectangle. */
bool cw_free__is(const cw_section *section);

/* Refuses a section that cannot be, naming the region; area receives the parts' areas in m2. */
cw_status cw_free__check(const cw_section *section, double *area, cw_error *error);

/* moved receives the parts at the gap, their rectangles the boxes round their outlines. Refuses what then touches. */
cw_status cw_free__at_gap(const cw_section *section, double gap_m, cw_part *moved, cw_error *error);

/* The outline of a part, its rectangle's where it has no other.
 *   corner  room for four places; lent to the outline */
cw_contour cw_free__contour(const cw_part *part, int region, cw_contour_point *corner);

/* coarse  size of the triangles relative to the usual one */
cw_status cw_free__mesh(const cw_section *section, const cw_part *moved, double coarse, cw_mesh **mesh, cw_error *error);

/* 1 on the corners of what moves, 0 on all other iron, on coils, and outside the box; between by the distances from
 * both.  weight  shape [mesh->node_count] */
cw_status cw_free__weight(const cw_mesh *mesh, const cw_part *moved, size_t count, double *weight, cw_error *error);

/* A tree of boxes over the triangles, to find the one that holds a place. */
typedef struct cw_finder cw_finder;

cw_status cw_finder__create(const cw_mesh *mesh, cw_finder **finder, cw_error *error);
void cw_finder__destroy(cw_finder **finder);

/* The triangle that holds a place, and where in it; -1 none. */
int cw_finder__find(const cw_finder *finder, double x, double y, double l[3]);

#endif
