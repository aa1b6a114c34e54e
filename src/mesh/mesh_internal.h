/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_MESH_INTERNAL_H
#define CW_MESH_INTERNAL_H

#include "coilwright/mesh.h"

/* An empty mesh of these sizes. */
cw_status cw_mesh__allocate(size_t nodes, size_t triangles, cw_mesh **mesh, cw_error *error);

#endif
