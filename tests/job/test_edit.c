/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading more or less in a job's text: every other byte stays. */
#include "coilwright/files.h"
#include "coilwright/job.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define ITEM "{kind: turns, value: 1850}"

static cw_wire_catalogue *catalogue;

static int open_catalogue(void **state)
{
    (void)state;
    return cw_wire_catalogue_create(&catalogue, NULL) == CW_OK ? 0 : -1;
}

static int close_catalogue(void **state)
{
    (void)state;
    cw_wire_catalogue_destroy(&catalogue);
    return 0;
}

/* ---- an item more ---------------------------------------------------------------------------------------------- */

static void check_added(const char *before, const char *remark, const char *after)
{
    cw_text changed = { 0 };
    cw_error error;

    if (cw_job_text_add(before, strlen(before), "a.yaml", catalogue, "readings", ITEM, remark, &changed, &error) != CW_OK)
        fail_msg("%s\nin\n%s", error.text, before);
    assert_string_equal(changed.data, after);
    cw_text_clear(&changed);
}

static void add__goes_behind_the_last_item_of_the_list(void **state)
{
    (void)state;
    check_added("coilwright: 1\nreadings:\n  - {kind: layers, value: 11}\n", NULL,
                "coilwright: 1\nreadings:\n  - {kind: layers, value: 11}\n  - " ITEM "\n");
    check_added("coilwright: 1\nreadings:\n- {kind: layers, value: 11}   # as counted\n\n# Stock\nstock:\n"
                "- {wire: 29 AWG}\n", NULL,
                "coilwright: 1\nreadings:\n- {kind: layers, value: 11}   # as counted\n- " ITEM "\n\n# Stock\nstock:\n"
                "- {wire: 29 AWG}\n");
    check_added("coilwright: 1\nreadings:\n    - kind: layers\n      value: 11\n      # deeper\n    # the list's\n"
                "job:\n  name: x\n", NULL,
                "coilwright: 1\nreadings:\n    - kind: layers\n      value: 11\n      # deeper\n    - " ITEM
                "\n    # the list's\njob:\n  name: x\n");
}

static void add__stands_with_its_remark(void **state)
{
    (void)state;
    check_added("coilwright: 1\nreadings:\n  - {kind: layers, value: 11}\n", "read\nby A",
                "coilwright: 1\nreadings:\n  - {kind: layers, value: 11}\n  - " ITEM "  # read by A\n");
}

static void add__makes_the_list_where_there_is_none(void **state)
{
    (void)state;
    check_added("coilwright: 1\n", NULL, "coilwright: 1\nreadings:\n  - " ITEM "\n");
    check_added("coilwright: 1\njob: {name: a}", NULL, "coilwright: 1\njob: {name: a}\nreadings:\n  - " ITEM "\n");
    check_added("coilwright: 1\nreadings:   # none yet\n#  - kind: turns\njob: {name: a}\n", NULL,
                "coilwright: 1\nreadings:   # none yet\n  - " ITEM "\n#  - kind: turns\njob: {name: a}\n");
}

static void add__keeps_the_files_own_line_ends(void **state)
{
    (void)state;
    check_added("coilwright: 1\r\nreadings:\r\n  - {kind: layers, value: 11}\r\n", NULL,
                "coilwright: 1\r\nreadings:\r\n  - {kind: layers, value: 11}\r\n  - " ITEM "\r\n");
    check_added("coilwright: 1\nreadings:\n  - {kind: layers, value: 11}", NULL,
                "coilwright: 1\nreadings:\n  - {kind: layers, value: 11}\n  - " ITEM "\n");
}

static void add__goes_into_brackets_too(void **state)
{
    (void)state;
    check_added("coilwright: 1\nreadings: []\n", "left out", "coilwright: 1\nreadings: [" ITEM "]\n");
    check_added("coilwright: 1\nreadings: [{kind: layers, value: 11}]  # x\n", NULL,
                "coilwright: 1\nreadings: [{kind: layers, value: 11}, " ITEM "]  # x\n");
}

/* A template is not complete, and is where readings begin. */
static void add__works_in_every_template(void **state)
{
    static const char *const kinds[] = { "pot", "plunger", "u", "e", "bobbin" };

    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        cw_text before = { 0 }, after = { 0 };
        cw_error error;

        assert_int_equal(cw_job_template(kinds[i], CW_METRIC_UNITS, &before, &error), CW_OK);
        if (cw_job_text_add(before.data, before.length, NULL, catalogue, "proof",
                            "{test: winding-resistance, value: 84.2 ohm, at: 21 °C}", NULL, &after, &error) != CW_OK)
            fail_msg("%s: %s", kinds[i], error.text);
        assert_true(after.length > before.length);
        cw_text_clear(&before);
        cw_text_clear(&after);
    }
}

static void check_refused(const char *before, const char *section, const char *item, const char *word)
{
    cw_text changed = { 0 };
    cw_error error;

    assert_int_equal(cw_job_text_add(before, strlen(before), "a.yaml", catalogue, section, item, NULL, &changed, &error),
                     CW_BAD_INPUT);
    if (strstr(error.text, word) == NULL)
        fail_msg("'%s' does not speak of '%s'", error.text, word);
    assert_int_equal(changed.length, 0);
}

static void add__refuses_what_it_cannot_do_without_harm(void **state)
{
    (void)state;
    check_refused("{coilwright: 1}\n", "readings", ITEM, "by hand");
    check_refused("coilwright: 1\nreadings: 3\n", "readings", ITEM, "by hand");
    check_refused("coilwright: 1\nreadings: null\n", "readings", ITEM, "by hand");
    check_refused("coilwright: 1\nreadings: {a: 1\n", "readings", ITEM, "{");
    check_refused("coilwright: 1\n", "readings", "{kind: turns, value: 3 kg}", "a mass");
    check_refused("coilwright: 1\n", "readings", "{kind: turns", "{");
    check_refused("", "readings", ITEM, "empty");
}

/* A pseudo-random number [Knuth, MMIX]; the same course each time. */
static unsigned pick(uint64_t *seed, unsigned below)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (unsigned)(*seed >> 33) % below;
}

/* What was added is one stretch of bytes, and without it the text is the old one; or nothing is given at all. */
static void check_one_stretch(const char *before, size_t length, const cw_text *after)
{
    const size_t more = after->length - length;
    size_t same = 0;

    assert_true(after->length > length);
    while (same < length && before[same] == after->data[same])
        same++;
    for (size_t begin = same + 1; begin-- > 0;) /* the stretch may begin with what stands behind it, too */
        if (memcmp(before + begin, after->data + begin + more, length - begin) == 0)
            return;
    fail_msg("More than one place was changed:\n%s", after->data);
}

/* Any text, however broken, is added to in one place or refused; and what was added comes out again. */
static void add__whatever_the_text_changes_nothing_else(void **state)
{
    static const char letters[] = "{}[]:,-#'\"|>&*!%\n\r\t ax0";
    char path[4096], *text;
    size_t length;
    uint64_t seed = 8;
    int taken = 0;

    (void)state;
    snprintf(path, sizeof path, "%s/tests/job/good/every_key.yaml", getenv("CW_SOURCE_ROOT"));
    assert_int_equal(cw_file_read(path, CW_JOB_LARGEST, &text, &length, NULL), CW_OK);
    for (int turn = 0; turn < 400; turn++) {
        cw_text changed = { 0 }, back = { 0 }, line = { 0 };
        const unsigned changes = 1 + pick(&seed, 4);
        size_t at[4], part = length - pick(&seed, 2) * pick(&seed, (unsigned)length);
        char old[4];

        for (unsigned i = 0; i < changes; i++) {
            at[i] = pick(&seed, (unsigned)length);
            old[i] = text[at[i]];
            text[at[i]] = letters[pick(&seed, sizeof letters - 1)];
        }
        if (cw_job_text_add(text, part, NULL, catalogue, turn % 2 == 0 ? "readings" : "proof",
                            turn % 2 == 0 ? ITEM : "{test: turns, value: 1850}", "read 2031", &changed, NULL) == CW_OK) {
            taken++;
            check_one_stretch(text, part, &changed);
            if (cw_job_text_take_back(changed.data, changed.length, NULL, "read ", &back, &line, NULL) == CW_OK)
                assert_non_null(strstr(line.data, "1850"));
        }
        for (unsigned i = changes; i-- > 0;)
            text[at[i]] = old[i];
        cw_text_clear(&changed);
        cw_text_clear(&back);
        cw_text_clear(&line);
    }
    assert_true(taken > 40); /* else it has shown nothing */
    cw_free(text);
}

/* ---- an item less ---------------------------------------------------------------------------------------------- */

static void take_back__undoes_an_addition_to_the_byte(void **state)
{
    static const char *const before[] = {
        "coilwright: 1\nreadings:\n  - {kind: layers, value: 11}\n# end\n",
        "coilwright: 1\n",
        "coilwright: 1\nreadings:\n#  - kind: turns\njob: {name: a}\n",
        "coilwright: 1\r\nreadings:\r\n- {kind: layers, value: 11}\r\n",
    };

    (void)state;
    for (size_t i = 0; i < sizeof before / sizeof before[0]; i++) {
        cw_text with = { 0 }, without = { 0 }, line = { 0 };
        cw_error error;

        assert_int_equal(cw_job_text_add(before[i], strlen(before[i]), NULL, catalogue, "readings", ITEM,
                                         "read 2031-05-17 09:30:00", &with, &error), CW_OK);
        if (cw_job_text_take_back(with.data, with.length, NULL, "read ", &without, &line, &error) != CW_OK)
            fail_msg("%s", error.text);
        assert_string_equal(without.data, before[i]);
        assert_non_null(strstr(line.data, ITEM));
        cw_text_clear(&with);
        cw_text_clear(&without);
        cw_text_clear(&line);
    }
}

static void take_back__takes_the_latest_wherever_it_stands(void **state)
{
    static const char text[] = "coilwright: 1\n"
                               "proof:\n"
                               "  - {test: turns, value: 1850}  # read 2031-05-18 09:30:00 by A\n"
                               "readings:\n"
                               "  - {kind: layers, value: 11}  # read 2031-05-17 09:30:00 by A\n"
                               "  - {kind: turns, value: 1}  # not read\n";
    cw_text changed = { 0 }, line = { 0 };

    (void)state;
    assert_int_equal(cw_job_text_take_back(text, strlen(text), NULL, "read ", &changed, &line, NULL), CW_OK);
    assert_string_equal(line.data, "- {test: turns, value: 1850}  # read 2031-05-18 09:30:00 by A");
    assert_null(strstr(changed.data, "1850"));
    assert_non_null(strstr(changed.data, "value: 11"));
    cw_text_clear(&line);
    cw_text_clear(&changed);
}

static void take_back__says_where_there_is_nothing(void **state)
{
    static const char text[] = "coilwright: 1\nreadings:\n  - {kind: layers, value: 11}\n";
    cw_text changed = { 0 }, line = { 0 };
    cw_error error;

    (void)state;
    assert_int_equal(cw_job_text_take_back(text, strlen(text), NULL, "read ", &changed, &line, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "nothing to take back"));
    assert_int_equal(changed.length, 0);
}

/* ---- a second job ---------------------------------------------------------------------------------------------- */

static void check_again(const char *before, const char *after)
{
    cw_text changed = { 0 };
    cw_error error;

    if (cw_job_text_again(before, strlen(before), NULL, "right \"coil\"", "Press 2", &changed, &error) != CW_OK)
        fail_msg("%s\nin\n%s", error.text, before);
    assert_string_equal(changed.data, after);
    cw_text_clear(&changed);
}

static void again__has_the_other_names_and_no_proof(void **state)
{
    (void)state;
    check_again("coilwright: 1\n# who\njob:\n  name: left coil  # mine\n  machine: 'Press 1'\n"
                "proof:\n  - {test: turns, value: 1850}\n  # two\n  - {test: polarity, value: pass}\n\n# wire\n"
                "stock: []\n",
                "coilwright: 1\n# who\njob:\n  name: \"right \\\"coil\\\"\"  # mine\n  machine: Press 2\n"
                "\n# wire\nstock: []\n");
    check_again("coilwright: 1\njob: {name: left}\n",
                "coilwright: 1\njob: {machine: Press 2, name: \"right \\\"coil\\\"\"}\n");
    check_again("coilwright: 1\nproof:\n- {test: turns, value: 1850}",
                "coilwright: 1\njob: {name: \"right \\\"coil\\\"\", machine: Press 2}\n");
    check_again("coilwright: 1\njob:\n  note: x\nproof: [{test: turns, value: 1850}]\nstock: []\n",
                "coilwright: 1\njob:\n  name: \"right \\\"coil\\\"\"\n  machine: Press 2\n  note: x\nstock: []\n");
}

static void again__works_on_the_examples(void **state)
{
    static const char *const names[] = { "press-brake", "chuck-plate" };

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        char path[4096], *text;
        size_t length;
        cw_text changed = { 0 };
        cw_job *job;
        cw_error error;

        snprintf(path, sizeof path, "%s/examples/%s.yaml", getenv("CW_SOURCE_ROOT"), names[i]);
        assert_int_equal(cw_file_read(path, CW_JOB_LARGEST, &text, &length, &error), CW_OK);
        if (cw_job_text_again(text, length, path, "other", NULL, &changed, &error) != CW_OK)
            fail_msg("%s", error.text);
        assert_int_equal(cw_job_read(changed.data, changed.length, path, catalogue, &job, NULL), CW_OK);
        assert_string_equal(job->name, "other");
        assert_int_equal(job->proof_count, 0);
        cw_job_destroy(&job);
        cw_text_clear(&changed);
        cw_free(text);
    }
}

/* Each exit without memory leaves nothing behind. */
static void edits__leave_nothing_behind_without_memory(void **state)
{
    static const char text[] = "coilwright: 1\njob: {name: a}\nreadings:\n"
                               "  - {kind: layers, value: 11}  # read 2031\nproof: []\n";
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status != CW_OK && granted < 100000; granted++) {
        cw_text added = { 0 }, less = { 0 }, line = { 0 }, again = { 0 };

        cw_memory_fail_after(granted);
        status = cw_job_text_add(text, strlen(text), NULL, catalogue, "readings", ITEM, NULL, &added, NULL);
        if (status == CW_OK)
            status = cw_job_text_take_back(text, strlen(text), NULL, "read ", &less, &line, NULL);
        if (status == CW_OK)
            status = cw_job_text_again(text, strlen(text), NULL, "b", "c", &again, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || status == CW_NO_MEMORY);
        assert_true(status != CW_OK || again.length > 0);
        cw_text_clear(&added);
        cw_text_clear(&less);
        cw_text_clear(&line);
        cw_text_clear(&again);
    }
    assert_int_equal(status, CW_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(add__goes_behind_the_last_item_of_the_list),
        cmocka_unit_test(add__stands_with_its_remark),
        cmocka_unit_test(add__makes_the_list_where_there_is_none),
        cmocka_unit_test(add__keeps_the_files_own_line_ends),
        cmocka_unit_test(add__goes_into_brackets_too),
        cmocka_unit_test(add__works_in_every_template),
        cmocka_unit_test(add__refuses_what_it_cannot_do_without_harm),
        cmocka_unit_test(add__whatever_the_text_changes_nothing_else),
        cmocka_unit_test(take_back__undoes_an_addition_to_the_byte),
        cmocka_unit_test(take_back__takes_the_latest_wherever_it_stands),
        cmocka_unit_test(take_back__says_where_there_is_nothing),
        cmocka_unit_test(again__has_the_other_names_and_no_proof),
        cmocka_unit_test(again__works_on_the_examples),
        cmocka_unit_test(edits__leave_nothing_behind_without_memory),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
