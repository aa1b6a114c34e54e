/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a helper that has gone wrong may answer: nothing of it is believed, and nothing is lost of memory. */
#include "solids/solids_internal.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* A tetrahedron of 1/6 mm3 in a group of its own. */
static void good_answer(cw_text *text)
{
    static const double nodes[4][3] = { { 0, 0, 0 }, { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 } };
    static const uint32_t triangles[4][3] = { { 0, 1, 2 }, { 0, 1, 3 }, { 0, 2, 3 }, { 1, 2, 3 } };

    cw_text_add(text, "group former 4\nSTEPpiece former 0.16666666666666666 4 4\n");
    cw_text_add_bytes(text, (const char *)nodes, sizeof nodes);
    cw_text_add_bytes(text, (const char *)triangles, sizeof triangles);
}

static cw_status read_bytes(const char *bytes, size_t length, cw_error *error)
{
    cw_solids solids;
    cw_status status;

    memset(&solids, 0, sizeof solids);
    status = cw_solids__answer(bytes, length, &solids, error);
    cw_solids__group_clear(&solids.former);
    cw_solids__group_clear(&solids.print);
    cw_solids__group_clear(&solids.arbor);
    return status;
}

static void a_good_answer_is_read(void **state)
{
    cw_text text = { 0 };
    cw_solids solids;

    (void)state;
    good_answer(&text);
    memset(&solids, 0, sizeof solids);
    assert_int_equal(cw_solids__answer(text.data, text.length, &solids, NULL), CW_OK);
    assert_int_equal(solids.former.piece_count, 1);
    assert_memory_equal(solids.former.step, "STEP", 4);
    assert_true(cw_shell_closed(&solids.former.pieces[0].shell));
    assert_true(cw_shell_volume_mm3(&solids.former.pieces[0].shell) > 0.1666);
    cw_solids__group_clear(&solids.former);
    cw_text_clear(&text);
}

/* Between the group and its piece it may end: pieces are counted later. */
static void an_answer_cut_short_anywhere_is_refused(void **state)
{
    const size_t whole_group = strlen("group former 4\nSTEP");
    cw_text text = { 0 };

    (void)state;
    good_answer(&text);
    for (size_t length = 1; length < text.length; length++)
        assert_int_equal(read_bytes(text.data, length, NULL), length == whole_group ? CW_OK : CW_FAILED);
    cw_text_clear(&text);
}

static void nonsense_is_refused(void **state)
{
    static const char *const answers[] = {
        "Segmentation fault\n", "group former 99999999999\nSTEP", "group former -1\nx", "piece former 1 4 4\n",
        "group former 1\nSgroup former 1\nS", "group former 1\nSpiece former 1 0 0\n", "\n",
        "group former 1\nSpiece former 1 18446744073709551615 4\n",
    };

    (void)state;
    for (size_t i = 0; i < sizeof answers / sizeof answers[0]; i++) {
        cw_error error;

        assert_int_equal(read_bytes(answers[i], strlen(answers[i]), &error), CW_FAILED);
        assert_non_null(strstr(error.text, "cannot be read"));
    }
}

static void triangles_of_nodes_that_are_none_are_refused(void **state)
{
    const uint32_t none = 4;
    cw_text text = { 0 };

    (void)state;
    good_answer(&text);
    memcpy(text.data + text.length - sizeof none, &none, sizeof none);
    assert_int_equal(read_bytes(text.data, text.length, NULL), CW_FAILED);
    cw_text_clear(&text);
}

static void failed_allocations_are_survived(void **state)
{
    cw_text text = { 0 };
    cw_status status = CW_NO_MEMORY;

    (void)state;
    good_answer(&text);
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_memory_fail_after(granted);
        status = read_bytes(text.data, text.length, NULL);
        cw_memory_fail_after(-1);
    }
    assert_int_equal(status, CW_OK);
    cw_text_clear(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_good_answer_is_read),
        cmocka_unit_test(an_answer_cut_short_anywhere_is_refused),
        cmocka_unit_test(nonsense_is_refused),
        cmocka_unit_test(triangles_of_nodes_that_are_none_are_refused),
        cmocka_unit_test(failed_allocations_are_survived),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
