/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shells of triangles: turned, found closed or not, weighed; by shapes whose volume everybody knows. */
#include "coilwright/solids.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* A box of 2 by 3 by 4 with its triangles any way round. */
static double corners[8][3] = { { 0, 0, 0 }, { 2, 0, 0 }, { 2, 3, 0 }, { 0, 3, 0 },
                                { 0, 0, 4 }, { 2, 0, 4 }, { 2, 3, 4 }, { 0, 3, 4 } };
static const uint32_t sides[12][3] = { { 0, 1, 2 }, { 0, 2, 3 }, { 4, 5, 6 }, { 6, 7, 4 }, { 0, 1, 5 }, { 0, 4, 5 },
                                       { 1, 2, 6 }, { 1, 5, 6 }, { 2, 3, 7 }, { 2, 7, 6 }, { 3, 0, 4 }, { 3, 7, 4 } };

static cw_shell box(uint32_t triangles[12][3])
{
    memcpy(triangles, sides, sizeof sides);
    return (cw_shell){ corners, triangles, 8, 12 };
}

static void a_box_is_turned_the_right_way_round(void **state)
{
    uint32_t triangles[12][3];
    cw_shell shell = box(triangles);

    (void)state;
    assert_false(cw_shell_closed(&shell)); /* neighbours disagree */
    assert_int_equal(cw_shell_orient(&shell, NULL), CW_OK);
    assert_true(cw_shell_closed(&shell));
    assert_true(fabs(cw_shell_volume_mm3(&shell) - 24) < 1e-12);
}

static void the_box_round_it_is_its_own(void **state)
{
    uint32_t triangles[12][3];
    const cw_shell shell = box(triangles);
    double low[3], high[3];

    (void)state;
    cw_shell_box(&shell, low, high);
    for (int i = 0; i < 3; i++)
        assert_true(low[i] == 0 && high[i] == 2 + i);
}

static void a_hole_is_found(void **state)
{
    uint32_t triangles[12][3];
    cw_shell shell = box(triangles);
    cw_error error;

    (void)state;
    shell.triangle_count = 11;
    assert_int_equal(cw_shell_orient(&shell, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "do not close"));
    assert_false(cw_shell_closed(&shell));
    shell.triangle_count = 0;
    assert_false(cw_shell_closed(&shell));
}

static void a_triangle_that_is_there_twice_or_flat_is_found(void **state)
{
    uint32_t triangles[12][3];
    cw_shell shell = box(triangles);

    (void)state;
    memcpy(triangles[11], triangles[0], sizeof triangles[0]);
    assert_int_equal(cw_shell_orient(&shell, NULL), CW_FAILED);
    shell = box(triangles);
    triangles[11][2] = triangles[11][1];
    assert_int_equal(cw_shell_orient(&shell, NULL), CW_FAILED);
}

/* Two boxes that touch nowhere. */
static void two_bodies_are_found(void **state)
{
    uint32_t triangles[24][3];
    double nodes[16][3];
    cw_shell shell = { nodes, triangles, 16, 24 };
    cw_error error;

    (void)state;
    memcpy(nodes, corners, sizeof corners);
    memcpy(triangles, sides, sizeof sides);
    for (int i = 0; i < 8; i++)
        for (int k = 0; k < 3; k++)
            nodes[8 + i][k] = corners[i][k] + 10;
    for (int i = 0; i < 12; i++)
        for (int k = 0; k < 3; k++)
            triangles[12 + i][k] = sides[i][k] + 8;
    assert_int_equal(cw_shell_orient(&shell, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "more than one body"));
}

static void failed_allocations_are_survived(void **state)
{
    uint32_t triangles[12][3];
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_shell shell = box(triangles);

        cw_memory_fail_after(granted);
        status = cw_shell_orient(&shell, NULL);
        cw_memory_fail_after(-1);
    }
    assert_int_equal(status, CW_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_box_is_turned_the_right_way_round),
        cmocka_unit_test(the_box_round_it_is_its_own),
        cmocka_unit_test(a_hole_is_found),
        cmocka_unit_test(a_triangle_that_is_there_twice_or_flat_is_found),
        cmocka_unit_test(two_bodies_are_found),
        cmocka_unit_test(failed_allocations_are_survived),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
