/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/base.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void refusal_carries_place_text_and_expectation(void **state)
{
    cw_place at = { "job.yaml", 7, 12 };
    cw_error error;
    char line[512];

    (void)state;
    assert_int_equal(cw_refuse(&error, &at, "a length, as in 58 mm", "%s is not a length.", "'blue'"), CW_BAD_INPUT);
    cw_error_line(&error, line, sizeof line);
    assert_string_equal(line, "job.yaml:7:12: 'blue' is not a length. Expected: a length, as in 58 mm.");
    assert_int_equal(cw_refuse(NULL, &at, NULL, "nobody listens"), CW_BAD_INPUT);
}

static void long_text_is_cut_on_a_whole_character(void **state)
{
    char name[1000];
    cw_error error;

    (void)state;
    for (size_t i = 0; i + 2 < sizeof name; i += 2)
        memcpy(name + i, "\xC2\xB1", 3);
    cw_refuse(&error, NULL, NULL, "x%s", name);
    assert_true(strlen(error.text) < sizeof error.text);
    assert_int_equal((unsigned char)error.text[strlen(error.text) - 1], 0xB1);
}

static void what_is_quoted_becomes_text(void **state)
{
    cw_error error;

    (void)state;
    cw_fail(&error, "\"%s\" is no size.", "29\xD0 A\x01W\xC3\x98G\xFF");
    assert_string_equal(error.text, "\"29? A W\xC3\x98G?\" is no size.");
}

static void list_stops_growing_at_its_limit(void **state)
{
    cw_errors errors = { 0 };
    cw_error error;

    (void)state;
    cw_refuse(&error, NULL, NULL, "one");
    for (int i = 0; i < 2 * CW_ERRORS_MOST; i++)
        cw_errors_add(&errors, &error);
    assert_int_equal(errors.count, CW_ERRORS_MOST);
    cw_errors_clear(&errors);
    assert_int_equal(errors.count, 0);
}

static void allocator_fails_on_the_wished_call_and_refuses_overflow(void **state)
{
    void *block;

    (void)state;
    assert_null(cw_allocate(SIZE_MAX / 2, 3));
    cw_memory_fail_after(1);
    block = cw_allocate(3, 8);
    assert_non_null(block);
    assert_null(cw_allocate(3, 8));
    cw_memory_fail_after(-1);
    cw_free(block);
}

static void text_grows_and_remembers_failure(void **state)
{
    cw_text text = { 0 };

    (void)state;
    for (int i = 0; i < 1000; i++)
        cw_text_print(&text, "%d,", i % 10);
    assert_int_equal(text.length, 2000);
    assert_int_equal(text.data[1998], '9');
    cw_memory_fail_after(0);
    for (int i = 0; i < 1000; i++)
        cw_text_add(&text, "xxxxxxxx");
    cw_memory_fail_after(-1);
    assert_true(text.failed);
    cw_text_clear(&text);
}

static void word_distance_counts_slips(void **state)
{
    (void)state;
    assert_int_equal(cw_word_distance("depth", "depth", 3), 0);
    assert_int_equal(cw_word_distance("dpeth", "depth", 3), 1);
    assert_int_equal(cw_word_distance("Lenght", "length", 3), 1);
    assert_int_equal(cw_word_distance("resistence", "resistance", 3), 1);
    assert_true(cw_word_distance("window", "stock", 2) > 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refusal_carries_place_text_and_expectation),
        cmocka_unit_test(long_text_is_cut_on_a_whole_character),
        cmocka_unit_test(what_is_quoted_becomes_text),
        cmocka_unit_test(list_stops_growing_at_its_limit),
        cmocka_unit_test(allocator_fails_on_the_wished_call_and_refuses_overflow),
        cmocka_unit_test(text_grows_and_remembers_failure),
        cmocka_unit_test(word_distance_counts_slips),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
