/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_MESH_INTERNAL_H
#define CW_MESH_INTERNAL_H

#include "coilwright/mesh.h"

/* A mesh with all its arrays, zeroed. */
cw_status cw_mesh__allocate(size_t nodes, size_t triangles, cw_mesh **mesh, cw_error *error);

/* From a place of an outline to the next: straight, or a quarter turn at most around a centre. */
typedef struct cw_piece {
    double from[2], to[2], centre[2];
    bool arc;
    double sweep; /* rad, above zero counter-clockwise; 0 where straight */
} cw_piece;

/* The pieces of an outline, lifted; as it is written, so clockwise where that is. */
cw_status cw_contour__pieces(const cw_contour *outline, cw_piece **piece, size_t *count, cw_error *error);

#endif
