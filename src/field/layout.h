/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the grid lines of a section stand at a gap, and how far a place is from what moves. */
#ifndef CW_FIELD_LAYOUT_H
#define CW_FIELD_LAYOUT_H

#include "coilwright/field.h"

/* A conical face: nodes within `radius` lie lower by height (1 - x/radius), fully between `low` and `high`, the two
 * faces, and less towards `foot` and `top`, where the stop and the plunger end. */
typedef struct cw_cone {
    double height, radius; /* height 0: none */
    double foot, low, high, top;
} cw_cone;

enum { CW_MOST_LINES = 2 * CW_MOST_PARTS + 4 };

typedef struct cw_layout {
    cw_line x[CW_MOST_LINES], y[CW_MOST_LINES];
    size_t x_count, y_count;
    int line_of_edge[2][CW_MOST_LINES]; /* x, y: line on which each edge of each part, then of the box, stands */
    size_t edge_count;
    double inside[4];
    cw_cone cone;
    double thickness[2]; /* of the shell along x and y: the distance of its inner side from the magnet's middle, so that
                            1/distance from there is linear in the shell */
    bool open_left;     /* a shell there too: planar and not mirrored */
} cw_layout;

/* Refuses a section that cannot be: empty parts, iron in iron of the other part, coils in iron, currents that do not
 * sum to zero in a planar section, more than there is room for. */
cw_status cw_layout__check(const cw_section *section, cw_error *error);

/* Of these what does not depend on the parts' shapes: counts, depth, currents. */
cw_status cw_layout__check_whole(const cw_section *section, cw_error *error);

/* The size of the whole by the parts' rectangles; and the box of air round them, with the shell's thickness. */
double cw_layout__size(const cw_section *section);
void cw_layout__box(const cw_section *section, const cw_part *part, double inside[4], double thickness[2]);

/* moved receives the parts at the gap. Refuses a gap of zero, by the names of what touches. */
cw_status cw_layout__at_gap(const cw_section *section, double gap_m, double coarse, cw_part *moved,
                            cw_layout *layout, cw_error *error);

bool cw_layout__same_order(const cw_layout *a, const cw_layout *b);
cw_status cw_layout__axes(const cw_layout *layout, cw_axis *x, cw_axis *y, cw_error *error);

/* Moves the grid lines between two lines of `from` to the same share of the way between those of `to`. */
void cw_layout__move_axis(const cw_layout *from, const cw_layout *to, cw_axis *y);

/* 1 on what moves, 0 on all other iron, on coils, and outside the box; between by the distances from both. */
void cw_layout__far_weight(const cw_layout *layout, const cw_part *part, size_t count, const cw_axis *x,
                           const cw_axis *y, double *weight);

/* Moves the nodes of a fresh lattice down to the cone; and where a place came from. */
void cw_layout__bend(const cw_layout *layout, cw_mesh *mesh);
double cw_layout__straight_y(const cw_layout *layout, double x, double y);

#endif
