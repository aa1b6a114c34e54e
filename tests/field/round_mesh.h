/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A mesh of rings about the origin for x >= 0: circles up to `round`, then blended into the square box of half-width
 * `box`, then the shell of the same thickness. For checks against closed forms of spheres, cylinders and tubes. */
#ifndef CW_TEST_ROUND_MESH_H
#define CW_TEST_ROUND_MESH_H

#include "coilwright/mesh.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct round_mesh {
    double (*vertex)[2];
    int (*triangle)[3], *region;
    size_t vertices, triangles;
} round_mesh;

static inline int round_vertex(round_mesh *m, double x, double y)
{
    for (size_t i = 0; i < m->vertices; i++)
        if (fabs(m->vertex[i][0] - x) + fabs(m->vertex[i][1] - y) < 1e-9)
            return (int)i;
    m->vertex[m->vertices][0] = x;
    m->vertex[m->vertices][1] = y;
    return (int)m->vertices++;
}

static inline void round_triangle(round_mesh *m, int a, int b, int c, int region)
{
    memcpy(m->triangle[m->triangles], (int[3]){ a, b, c }, sizeof m->triangle[0]);
    m->region[m->triangles++] = region;
}

static inline void round_cell(round_mesh *m, int a, int b, int c, int d, int region)
{
    round_triangle(m, a, b, c, region);
    round_triangle(m, a, c, d, region);
}

/* Vertex of sector s of 4 n on the circle of radius r, or blended towards the square. */
static inline void round_place(int s, int n, double r, double round, double box, double place[2])
{
    const double pi = 3.14159265358979323846;
    double angle = pi * (s / (4.0 * n) - 0.5), share = r <= round ? 0 : (r - round) / (box - round);
    /* the square's rim: n cells along the bottom, 2 n up, n back */
    double square[2] = { s <= n ? (double)s / n : s <= 3 * n ? 1 : (double)(4 * n - s) / n,
                         s <= n ? -1 : s <= 3 * n ? (double)(s - 2 * n) / n : 1 };

    for (int d = 0; d < 2; d++)
        place[d] = (1 - share) * r * (d == 0 ? cos(angle) : sin(angle)) + share * box * square[d];
    if (s == 0 || s == 4 * n)
        place[0] = 0;
}

/* Rings at `radius` (rising, the last = box), region by ring. The sectors are 4 n, the shell has `shell` cells. */
static inline cw_mesh *round_mesh_create(const double *radius, const int *ring_region, int rings, int n, double round,
                                         double box, int shell)
{
    size_t most = (size_t)(2 * 4 * n * rings + 16 * (n + shell) * (shell + n) + 64);
    round_mesh m = { calloc(most, sizeof *m.vertex), calloc(2 * most, sizeof *m.triangle),
                     calloc(2 * most, sizeof(int)), 0, 0 };
    const double inside[4] = { 0, box, -box, box }, outside[4] = { 0, 2 * box, -2 * box, 2 * box };
    int centre = round_vertex(&m, 0, 0), count = 2 * n + 2 * shell;
    cw_mesh *mesh = NULL;

    for (int k = 0; k < rings; k++)
        for (int s = 0; s < 4 * n; s++) {
            double a[2], b[2], c[2], d[2];

            round_place(s, n, radius[k], round, box, b);
            round_place(s + 1, n, radius[k], round, box, c);
            if (k == 0) {
                round_triangle(&m, centre, round_vertex(&m, b[0], b[1]), round_vertex(&m, c[0], c[1]), ring_region[0]);
                continue;
            }
            round_place(s, n, radius[k - 1], round, box, a);
            round_place(s + 1, n, radius[k - 1], round, box, d);
            round_cell(&m, round_vertex(&m, a[0], a[1]), round_vertex(&m, b[0], b[1]), round_vertex(&m, c[0], c[1]),
                       round_vertex(&m, d[0], d[1]), ring_region[k]);
        }
    for (int i = 0; i < n + shell; i++) /* the frame around the square */
        for (int j = 0; j < count; j++) {
            double x[2], y[2];

            for (int k = 0; k < 2; k++) {
                int at = j + k - shell;

                x[k] = i + k <= n ? box * (i + k) / n : box + box * (i + k - n) / shell;
                y[k] = at < 0 ? -box + box * at / shell : at <= 2 * n ? -box + box * at / n
                                                                      : box + box * (at - 2 * n) / shell;
            }
            if (i < n && j >= shell && j < count - shell)
                continue;
            round_cell(&m, round_vertex(&m, x[0], y[0]), round_vertex(&m, x[1], y[0]), round_vertex(&m, x[1], y[1]),
                       round_vertex(&m, x[0], y[1]), 0);
        }
    if (cw_mesh_from_triangles((const double (*)[2])m.vertex, m.vertices, (const int (*)[3])m.triangle, m.region,
                               m.triangles, inside, outside, &mesh, NULL) != CW_OK)
        mesh = NULL;
    free(m.vertex);
    free(m.triangle);
    free(m.region);
    return mesh;
}

#endif
