/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/mesh.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const cw_line lines[] = { { 0, 0.3 }, { 1, 0.02 }, { 1.05, 0.02 }, { 4, 1 } };

static void axis_keeps_its_lines_and_grows_slowly(void **state)
{
    const int shell[2] = { 0, 3 };
    cw_axis axis;

    (void)state;
    assert_int_equal(cw_axis_create(lines, 4, 1.6, shell, 2, &axis, NULL), CW_OK);
    for (int k = 0; k < 4; k++) {
        size_t i = 0;

        while (i < axis.count && axis.at[i] != lines[k].at)
            i++;
        assert_true(i < axis.count);
    }
    assert_true(fabs(axis.at[axis.count - 1] - 6) < 1e-12);
    for (size_t i = 1; i + 4 < axis.count; i++) {
        double left = axis.at[i] - axis.at[i - 1], right = axis.at[i + 1] - axis.at[i];

        assert_true(left > 0 && right > 0);
        /* shrinking all cells of an interval to fit it may add to the step at a line, by a factor of 2 at most */
        assert_true(fmax(left / right, right / left) < 1.6 * 2);
    }
    cw_axis_clear(&axis);
}

static void refinement_halves_the_marked_cells(void **state)
{
    const int shell[2] = { 0, 0 };
    const cw_line ends[] = { { 0, 1 }, { 3, 1 } };
    const bool split[] = { false, true, false };
    cw_axis axis;

    (void)state;
    assert_int_equal(cw_axis_create(ends, 2, 1.01, shell, 0, &axis, NULL), CW_OK);
    assert_int_equal(axis.count, 4);
    assert_int_equal(cw_axis_refine(&axis, split, NULL), CW_OK);
    assert_int_equal(axis.count, 5);
    assert_true(fabs(axis.at[2] - 0.5 * (axis.at[1] + axis.at[3])) < 1e-15);
    cw_axis_clear(&axis);
}

static void lattice_is_sound_and_covers_its_patches(void **state)
{
    const int shell[2] = { 2, 2 };
    const double inside[4] = { 0, 4, 0, 4 };
    const cw_patch patches[] = { { { 1, 4 }, { 0, 1.05 }, 1 }, { { 1, 1.05 }, { 1, 4 }, 2 },
                                 { { 1, 1.05 }, { 0, 1 }, 3 } };
    double area[4] = { 0 };
    cw_axis x, y;
    cw_mesh *mesh;

    (void)state;
    assert_int_equal(cw_axis_create(lines, 4, 2, shell, 1, &x, NULL), CW_OK);
    assert_int_equal(cw_axis_create(lines, 4, 2, shell, 1, &y, NULL), CW_OK);
    assert_int_equal(cw_mesh_lattice(&x, &y, patches, 3, inside, &mesh, NULL), CW_OK);
    assert_int_equal(cw_mesh_check(mesh, NULL), CW_OK);
    for (size_t t = 0; t < mesh->triangle_count; t++) {
        const double *a = mesh->node[mesh->corner[t][0]], *b = mesh->node[mesh->corner[t][1]];
        const double *c = mesh->node[mesh->corner[t][2]];

        area[mesh->region[t]] += 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]));
    }
    assert_true(fabs(area[1] - (3 * 1.05 - 0.05 * 1.05)) < 1e-12); /* later patches cover earlier ones */
    assert_true(fabs(area[2] - 0.05 * 3) < 1e-12);
    assert_true(fabs(area[3] - 0.05) < 1e-12);
    assert_true(fabs(area[0] + area[1] + area[2] + area[3] - 36) < 1e-12);
    mesh->node[mesh->corner[5][3]][0] += 0.01;
    assert_int_equal(cw_mesh_check(mesh, NULL), CW_FAILED);
    cw_mesh_destroy(&mesh);
    cw_axis_clear(&x);
    cw_axis_clear(&y);
}

static void lines_that_do_not_rise_are_refused(void **state)
{
    const cw_line bad[] = { { 0, 1 }, { 0, 1 } };
    const int shell[2] = { 0, 0 };
    cw_axis axis;

    (void)state;
    assert_int_equal(cw_axis_create(bad, 2, 2, shell, 0, &axis, NULL), CW_FAILED);
    assert_null(axis.at);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(axis_keeps_its_lines_and_grows_slowly),
        cmocka_unit_test(refinement_halves_the_marked_cells),
        cmocka_unit_test(lattice_is_sound_and_covers_its_patches),
        cmocka_unit_test(lines_that_do_not_rise_are_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
