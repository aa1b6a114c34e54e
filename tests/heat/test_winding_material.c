/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Conductivity of arrays of round rods: the series of multipoles against the array itself, by finite elements on the
 * smallest cell.
 *
 *    square: a quarter of the cell           hexagonal: a quarter of the rectangle of two rods
 *    ┌───────┐                               ┌───────┐      the upper half is the lower one turned about the middle
 *    │       │ plate that conducts so well   │ \  rod│ p
 *    │_      │ that its temperature tells    │   \   │ l
 *    │rod\   │ the flux                      │rod  \ │ a
 *    └───────┘                               └───────┘ te */
#include "coilwright/heat.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"

#define PI 3.14159265358979323846

enum { ROD = 1, MATRIX, PLATE, ALONG = 24, RINGS = 12, MOST_VERTICES = 4000, MOST_TRIANGLES = 8000 };

typedef struct grid {
    double vertex[MOST_VERTICES][2];
    int triangle[MOST_TRIANGLES][3], region[MOST_TRIANGLES], vertices, triangles;
} grid;

static int vertex_at(grid *g, double x, double y)
{
    for (int i = 0; i < g->vertices; i++)
        if (hypot(g->vertex[i][0] - x, g->vertex[i][1] - y) < 1e-9)
            return i;
    assert_true(g->vertices < MOST_VERTICES);
    g->vertex[g->vertices][0] = x;
    g->vertex[g->vertices][1] = y;
    return g->vertices++;
}

static void add_triangle(grid *g, int a, int b, int c, int region)
{
    const double *p = g->vertex[a], *q = g->vertex[b], *r = g->vertex[c];
    double area = (q[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (q[1] - p[1]);

    if (fabs(area) < 1e-14)
        return;
    assert_true(g->triangles < MOST_TRIANGLES);
    g->triangle[g->triangles][0] = a;
    g->triangle[g->triangles][1] = area > 0 ? b : c;
    g->triangle[g->triangles][2] = area > 0 ? c : b;
    g->region[g->triangles++] = region;
}

static void add_quad(grid *g, const int corner[4], int region)
{
    add_triangle(g, corner[0], corner[1], corner[2], region);
    add_triangle(g, corner[0], corner[2], corner[3], region);
}

/* Place on a ray: the first half of the rings to the rod's rim, the rest on to the boundary; turned about the middle
 * of the cell where asked. */
static int on_ray(grid *g, const double end[2], double radius, int ring, const double *middle)
{
    double length = hypot(end[0], end[1]), half = RINGS / 2, at;

    at = ring <= half ? radius * ring / half : radius + (length - radius) * (ring - half) / half;
    if (middle == NULL)
        return vertex_at(g, end[0] * at / length, end[1] * at / length);
    return vertex_at(g, 2 * middle[0] - end[0] * at / length, 2 * middle[1] - end[1] * at / length);
}

/* Sectors between the rod's middle and a polyline seen from it. */
static void add_star(grid *g, const double (*corner)[2], int corners, double radius, const double *middle)
{
    for (int c = 0; c + 1 < corners; c++)
        for (int i = 0; i < ALONG; i++) {
            double a[2], b[2];

            for (int k = 0; k < 2; k++) {
                a[k] = corner[c][k] + (corner[c + 1][k] - corner[c][k]) * i / ALONG;
                b[k] = corner[c][k] + (corner[c + 1][k] - corner[c][k]) * (i + 1) / ALONG;
            }
            for (int ring = 0; ring < RINGS; ring++) {
                const int quad[4] = { on_ray(g, a, radius, ring, middle), on_ray(g, a, radius, ring + 1, middle),
                                      on_ray(g, b, radius, ring + 1, middle), on_ray(g, b, radius, ring, middle) };

                add_quad(g, quad, ring < RINGS / 2 ? ROD : MATRIX);
            }
        }
}

static void add_plate(grid *g, double width)
{
    int count = g->vertices;

    for (int i = 0; i < count; i++) /* each stretch of the right side: to the next vertex above on it */
        for (int j = 0, next = -1; fabs(g->vertex[i][0] - width) < 1e-9 && j <= count; j++) {
            if (j < count && fabs(g->vertex[j][0] - width) < 1e-9 && g->vertex[j][1] > g->vertex[i][1] + 1e-9 &&
                (next < 0 || g->vertex[j][1] < g->vertex[next][1]))
                next = j;
            if (j == count && next >= 0) {
                const int quad[4] = { i, vertex_at(g, width + 0.1, g->vertex[i][1]),
                                      vertex_at(g, width + 0.1, g->vertex[next][1]), next };

                add_quad(g, quad, PLATE);
            }
        }
}

static cw_heat_part block(double k)
{
    return (cw_heat_part){ .kind = CW_PART_SOLID, .x = { 0, 1 }, .y = { 0, 1 }, .conductivity_w_per_mk = { k, k },
                           .capacity_j_per_m3k = 1, .limit_c = NAN };
}

/* One degree from left to right across a cell of width and height: conductivity by the flux through the plate. */
static double conductivity(const grid *g, double rod, double width, double height)
{
    const double box[4] = { 0, width + 0.1, 0, height };
    cw_heat_section s = { .planar = true, .depth_m = 1, .part_count = 7 };
    cw_mesh *mesh = NULL;
    cw_heat *heat = NULL;
    cw_heat_result r;
    cw_error error = { 0 };

    s.part[0] = block(rod);
    s.part[1] = block(1);
    s.part[2] = block(1e7);
    for (int p = 3; p < 7; p++)
        s.part[p] = (cw_heat_part){ .kind = CW_PART_SINK, .x = { 0, width + 0.1 }, .y = { -1, 0 }, .limit_c = NAN };
    s.part[4].y[0] = height;
    s.part[4].y[1] = height + 1;
    s.part[5] = (cw_heat_part){ .kind = CW_PART_SINK, .x = { -1, 0 }, .y = { 0, height }, .limit_c = NAN,
                                .coefficient_w_per_m2k = 1e9, .sink_c = 1 };
    s.part[6] = (cw_heat_part){ .kind = CW_PART_SINK, .x = { width + 0.1, 2 }, .y = { 0, height }, .limit_c = NAN,
                                .coefficient_w_per_m2k = 1, .sink_c = 0 };
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 0, 1, 0 };
    assert_int_equal(cw_mesh_from_triangles(g->vertex, (size_t)g->vertices, g->triangle, g->region,
                                            (size_t)g->triangles, box, box, &mesh, &error), CW_OK);
    if (cw_heat_create_on(&s, mesh, &heat, &error) != CW_OK)
        fail_msg("%s", error.text);
    assert_int_equal(cw_heat_steady(heat, &r, NULL), CW_OK);
    cw_heat_destroy(&heat);
    cw_mesh_destroy(&mesh);
    return r.part[2].mean_c * width / (1 - r.part[2].mean_c);
}

static double square(double rod, double v)
{
    static const double corner[3][2] = { { 0.5, 0 }, { 0.5, 0.5 }, { 0, 0.5 } };
    static grid g;

    g.vertices = g.triangles = 0;
    add_star(&g, corner, 3, sqrt(v / PI), NULL);
    add_plate(&g, 0.5);
    return conductivity(&g, rod, 0.5, 0.5);
}

static double hexagonal(double rod, double v)
{
    double high = sqrt(3) / 2, middle[2] = { 0.25, high / 2 }, radius = sqrt(v * high / PI);
    const double corner[3][2] = { { 0.5, 0 }, { 0.5, high / 3 }, { 0, high * 2 / 3 } };
    static grid g;

    g.vertices = g.triangles = 0;
    add_star(&g, corner, 3, radius, NULL);
    add_star(&g, corner, 3, radius, middle);
    add_plate(&g, 0.5);
    return conductivity(&g, rod, 0.5, high);
}

/* 24 chords to a side stand for the circle, whose section is so a little small. The square's series, cut after three
 * terms, is 0.4 % low where good conductors fill 0.7. */
static void square_array_by_the_series(void **state)
{
    (void)state;
    for (double v = 0.2; v < 0.75; v += 0.1)
        for (double rod = 0.1; rod < 100; rod *= 5)
            assert_near(cw_conductivity_square(rod, 1, v) / square(rod, v), 1, v < 0.65 ? 1e-3 : 5e-3);
}

static void hexagonal_array_by_the_series(void **state)
{
    (void)state;
    for (double v = 0.2; v < 0.85; v += 0.1)
        for (double rod = 0.1; rod < 100; rod *= 5)
            assert_near(cw_conductivity_hexagonal(rod, 1, v) / hexagonal(rod, v), 1, 1e-3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(square_array_by_the_series),
        cmocka_unit_test(hexagonal_array_by_the_series),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
