/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Outlines and the triangles in them: areas against closed forms, refusals, the helper, refinement. */
#include "coilwright/mesh.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define PI 3.14159265358979323846

static cw_contour contour_of(const cw_contour_point *point, size_t count)
{
    return (cw_contour){ "shoe", point, count, 0, 1 };
}

/* A half disc of radius 2 on a rectangle of 4 by 1, clockwise: the arc is more than a quarter turn. */
static const cw_contour_point arch[] = { { -2, 0, false }, { -2, 1, false }, { 0, 3, true }, { 2, 1, false },
                                         { 2, 0, false } };

static void contour__areas_of_arcs_are_those_of_circles(void **state)
{
    const cw_contour_point disc[] = { { 1.3, 0.2, false }, { 0.3, 1.2, true }, { -0.7, 0.2, false },
                                      { 0.3, -0.8, true } };
    cw_contour contour = contour_of(arch, 5), round = contour_of(disc, 4);
    double area, (*place)[2];
    size_t count;

    (void)state;
    assert_int_equal(cw_contour_check(&contour, &area, NULL), CW_OK);
    assert_true(fabs(area / (4 + 2 * PI) - 1) < 2e-4); /* 48 chords a quarter: 1 - sinc(pi/96) */
    assert_int_equal(cw_contour_check(&round, &area, NULL), CW_OK);
    assert_true(fabs(area / PI - 1) < 2e-4);
    assert_int_equal(cw_contour_flatten(&contour, 8, &place, &count, NULL), CW_OK);
    assert_int_equal(count, 3 + 16);
    for (size_t i = 0; i < count; i++)
        assert_true(place[i][1] <= 1 || fabs(hypot(place[i][0], place[i][1] - 1) - 2) < 1e-12);
    cw_free(place);
}

static void contour__what_is_no_outline_is_refused_by_its_name(void **state)
{
    static const struct {
        cw_contour_point point[5];
        size_t count;
        const char *word;
    } cases[] = {
        { { { 0, 0, false }, { 2, 2, false }, { 2, 0, false }, { 0, 2, false } }, 4, "crosses" },
        { { { 0, 0, false }, { 2, 0, false }, { 2, 1, false }, { 1, 0, false }, { 0, 1, false } }, 5, "crosses" },
        { { { 0, 0, false }, { 2, 0, false }, { 4, 0, false } }, 3, "no area" },
        { { { 0, 0, false }, { 2, 0, false } }, 2, "2 places" },
        { { { 0, 0, false }, { 2, 0, false }, { 2, 0, false }, { 0, 1, false } }, 4, "twice" },
        { { { 0, 0, true }, { 2, 0, false }, { 2, 2, false } }, 3, "begins on an arc" },
        { { { 0, 0, false }, { 2, 0, true }, { 2, 2, true }, { 0, 1, false } }, 4, "one after the other" },
        { { { 0, 0, false }, { NAN, 0, false }, { 2, 2, false } }, 3, "no number" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_contour contour = contour_of(cases[i].point, cases[i].count);
        cw_error error;
        double area = -1;

        assert_int_equal(cw_contour_check(&contour, &area, &error), CW_BAD_INPUT);
        if (strstr(error.text, cases[i].word) == NULL || strstr(error.text, "'shoe'") == NULL)
            fail_msg("%zu: %s", i, error.text);
        assert_true(area == -1);
    }
}

static void contour__pairs_are_told_apart(void **state)
{
    const cw_contour_point square[] = { { 0, 0, false }, { 4, 0, false }, { 4, 4, false }, { 0, 4, false } };
    const cw_contour_point inner[] = { { 1, 1, false }, { 2, 1, false }, { 2, 2, false }, { 1, 2, false } };
    const cw_contour_point beside[] = { { 4, 1, false }, { 6, 1, false }, { 6, 3, false }, { 4, 3, false } };
    const cw_contour_point away[] = { { 4.25, 1, false }, { 6, 1, false }, { 6, 3, false }, { 4.25, 3, false } };
    const cw_contour_point across[] = { { 3, 1, false }, { 6, 1, false }, { 6, 3, false }, { 3, 3, false } };
    const struct { const cw_contour_point *other; double distance; bool overlap, inside; } cases[] = {
        { inner, 1, true, true },   { beside, 0, false, false }, { away, 0.25, false, false },
        { across, 0, true, false }, { square, 0, true, true },
    };
    cw_contour first = contour_of(square, 4);

    (void)state;
    for (size_t i = 0; i < 5; i++) {
        cw_contour second = contour_of(cases[i].other, 4);
        cw_contour_relation relation;

        assert_int_equal(cw_contour_pair(&second, &first, 1e-9, &relation, NULL), CW_OK);
        assert_true(fabs(relation.distance - cases[i].distance) < 1e-12);
        assert_int_equal(relation.overlap, cases[i].overlap);
        assert_int_equal(relation.inside, cases[i].inside);
    }
}

static double area_of(const cw_mesh *mesh, int region)
{
    double sum = 0;

    for (size_t t = 0; t < mesh->triangle_count; t++) {
        const double *a = mesh->node[mesh->corner[t][0]], *b = mesh->node[mesh->corner[t][1]];
        const double *c = mesh->node[mesh->corner[t][2]];

        if (mesh->region[t] == region)
            sum += 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]));
    }
    return sum;
}

/* Arch of iron 10 mm wide, 0.02 mm above a block, in a box with a shell. */
static cw_mesh *mesh_of_arch(void)
{
    static const cw_contour_point block[] = { { -0.004, -0.00002, false }, { -0.004, -0.003, false },
                                              { 0.004, -0.003, false }, { 0.004, -0.00002, false } };
    static cw_contour_point small[5];
    cw_contour contour[2] = { { "arch", small, 5, 0, 1 }, { "block", block, 4, 0, 2 } };
    cw_mesh_size size[4] = { { -0.004, 0, 0.00004 }, { 0, 0, 0.00004 }, { 0.004, 0, 0.00004 }, { 0, 0.006, 0.0005 } };
    cw_mesh_request request = { contour, 2, { -0.02, 0.02, -0.02, 0.02 }, { -0.04, 0.04, -0.04, 0.04 }, size, 4, 0.4 };
    cw_mesh *mesh;
    cw_error error;

    for (int i = 0; i < 5; i++)
        small[i] = (cw_contour_point){ 0.002 * arch[i].x, 0.002 * arch[i].y, arch[i].through };
    if (cw_mesh_contours(&request, &mesh, &error) != CW_OK)
        fail_msg("%s", error.text);
    return mesh;
}

static void mesher__fills_outlines_and_all_around(void **state)
{
    cw_mesh *mesh = mesh_of_arch();

    (void)state;
    assert_int_equal(cw_mesh_check(mesh, NULL), CW_OK);
    assert_true(fabs(area_of(mesh, 2) / (0.008 * 0.00298) - 1) < 1e-12);
    assert_true(fabs(area_of(mesh, 1) / ((4 + 2 * PI) * 4e-6) - 1) < 0.01); /* chords */
    assert_true(fabs((area_of(mesh, 0) + area_of(mesh, 1) + area_of(mesh, 2)) / 0.0064 - 1) < 1e-12);
    cw_mesh_destroy(&mesh);
    assert_null(mesh);
}

static void mesher__is_the_same_every_time(void **state)
{
    cw_mesh *one = mesh_of_arch(), *two = mesh_of_arch();

    (void)state;
    assert_int_equal(one->node_count, two->node_count);
    assert_memory_equal(one->node, two->node, one->node_count * sizeof *one->node);
    assert_memory_equal(one->corner, two->corner, one->triangle_count * sizeof *one->corner);
    cw_mesh_destroy(&one);
    cw_mesh_destroy(&two);
}

static double smallest_angle(const cw_mesh *mesh)
{
    double least = PI;

    for (size_t t = 0; t < mesh->triangle_count; t++)
        for (int k = 0; k < 3; k++) {
            const double *a = mesh->node[mesh->corner[t][k]], *b = mesh->node[mesh->corner[t][(k + 1) % 3]];
            const double *c = mesh->node[mesh->corner[t][(k + 2) % 3]];
            double x = b[0] - a[0], y = b[1] - a[1], u = c[0] - a[0], v = c[1] - a[1];

            least = fmin(least, atan2(x * v - y * u, x * u + y * v));
        }
    return least;
}

/* Halving near one corner again and again: areas are kept, arcs are followed, angles stay. */
static void refinement__fits_follows_arcs_and_keeps_its_angles(void **state)
{
    cw_mesh *mesh = mesh_of_arch();
    cw_contour_point small[5];
    cw_contour contour = { "arch", small, 5, 0, 1 };
    double first = smallest_angle(mesh), off = fabs(area_of(mesh, 1) / ((4 + 2 * PI) * 4e-6) - 1);

    (void)state;
    for (int i = 0; i < 5; i++)
        small[i] = (cw_contour_point){ 0.002 * arch[i].x, 0.002 * arch[i].y, arch[i].through };
    for (int round = 0; round < 6; round++) {
        bool *split = calloc(mesh->triangle_count, sizeof *split);
        cw_mesh *fine;
        int *parent;

        for (size_t t = 0; t < mesh->triangle_count; t++) {
            const double *at = mesh->node[mesh->corner[t][0]];

            split[t] = round < 2 || hypot(at[0] - 0.004, at[1]) < 0.0004;
        }
        assert_int_equal(cw_mesh_refine(mesh, split, &contour, 1, &fine, &parent, NULL), CW_OK);
        assert_int_equal(cw_mesh_check(fine, NULL), CW_OK);
        for (size_t t = 0; t < fine->triangle_count; t++)
            assert_int_equal(fine->region[t], mesh->region[parent[t]]);
        assert_true(fabs((area_of(fine, 0) + area_of(fine, 1) + area_of(fine, 2)) / 0.0064 - 1) < 1e-11);
        assert_true(round >= 2 || fine->triangle_count >= 4 * mesh->triangle_count);
        free(split);
        cw_free(parent);
        cw_mesh_destroy(&mesh);
        mesh = fine;
    }
    assert_true(fabs(area_of(mesh, 1) / ((4 + 2 * PI) * 4e-6) - 1) < off / 15); /* two halvings of chords */
    assert_true(smallest_angle(mesh) > 0.5 * first);
    cw_mesh_destroy(&mesh);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(contour__areas_of_arcs_are_those_of_circles),
        cmocka_unit_test(contour__what_is_no_outline_is_refused_by_its_name),
        cmocka_unit_test(contour__pairs_are_told_apart),
        cmocka_unit_test(mesher__fills_outlines_and_all_around),
        cmocka_unit_test(mesher__is_the_same_every_time),
        cmocka_unit_test(refinement__fits_follows_arcs_and_keeps_its_angles),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
