/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheet as HTML, judged by an independent parser. */
#include "sheet_fixture.h"
#include "tests/reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void write_page(unsigned parts, cw_sheet_paper paper, cw_text *out)
{
    cw_winding winding = fixture_winding();
    cw_sheet_content content = fixture_content(&winding);
    cw_error error = { 0 };

    content.parts = parts;
    if (cw_sheet_write_html(&content, paper, out, &error) != CW_OK)
        fail_msg("%s", error.text);
}

static void judged_sound(const cw_text *page)
{
    char command[600];

    snprintf(command, sizeof command, "python3 %s/tests/sheet/judge_page.py %%s 2>&1", getenv("CW_SOURCE_ROOT"));
    assert_true(reader_says(command, page, "sound"));
}

static void the_page_is_whole_open_to_all_and_needs_nothing_else(void **state)
{
    (void)state;
    for (int part = -1; part < CW_SHEET_PART_COUNT; part++) {
        cw_text page = { 0 };

        write_page(part < 0 ? 0 : 1u << part, CW_SHEET_A4, &page);
        judged_sound(&page);
        cw_text_clear(&page);
    }
}

static void the_page_says_what_the_paper_says(void **state)
{
    static const char *const wanted[] = {
        "Saw brake &lt;left&gt;", "Band saw &amp; co", "2031-05-17", "<b>Failed</b>", "29 AWG", "79.8 ohm", "1790 to 1905",
        "87&nbsp;%", "doubtful", "&lt;higher&gt; &amp; &quot;better&quot;", "290 m with 5 % to spare", "finish lead", "60 rpm",
        "3100 N", "Fit a diode.", "81.1 to 89.6 ohm", "0.04 ohm", "No gloves", "Isolate the supply", "have the last word",
        "Its flux.", "size:letter",
    };
    cw_text page = { 0 };

    (void)state;
    write_page(0, CW_SHEET_LETTER, &page);
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
        if (strstr(page.data, wanted[i]) == NULL)
            fail_msg("\"%s\" is missing", wanted[i]);
    assert_null(strstr(page.data, "<higher>"));
    cw_text_clear(&page);
}

static void same_content_gives_the_same_bytes(void **state)
{
    cw_text one = { 0 }, two = { 0 };

    (void)state;
    write_page(0, CW_SHEET_A4, &one);
    write_page(0, CW_SHEET_A4, &two);
    assert_int_equal(one.length, two.length);
    assert_memory_equal(one.data, two.data, one.length);
    cw_text_clear(&one);
    cw_text_clear(&two);
}

static void broken_letters_become_marks(void **state)
{
    cw_sheet_content content = { .title = "coil \xFF\xC3 \x01 end" };
    cw_text page = { 0 };

    (void)state;
    assert_int_equal(cw_sheet_write_html(&content, CW_SHEET_A4, &page, NULL), CW_OK);
    assert_non_null(strstr(page.data, "coil \xEF\xBF\xBD\xEF\xBF\xBD \xEF\xBF\xBD end"));
    assert_non_null(strstr(page.data, "Nothing to wind yet"));
    judged_sound(&page);
    cw_text_clear(&page);
}

static void a_page_without_a_name_or_with_a_bad_date_is_refused(void **state)
{
    cw_sheet_content content = { .title = "" };
    cw_text page = { 0 };

    (void)state;
    assert_int_equal(cw_sheet_write_html(&content, CW_SHEET_A4, &page, NULL), CW_BAD_INPUT);
    content.title = "Coil";
    content.date = "17.5.2031";
    assert_int_equal(cw_sheet_write_html(&content, CW_SHEET_A4, &page, NULL), CW_BAD_INPUT);
    assert_int_equal(page.length, 0);
}

static void every_failed_allocation_is_told(void **state)
{
    cw_winding winding = fixture_winding();
    cw_sheet_content content = fixture_content(&winding);
    cw_status status = CW_NO_MEMORY;
    long failures = 0;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++, failures++) {
        cw_text page = { 0 };

        cw_memory_fail_after(granted);
        status = cw_sheet_write_html(&content, CW_SHEET_A4, &page, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || (status == CW_NO_MEMORY && page.length == 0));
        cw_text_clear(&page);
    }
    assert_true(failures > 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_page_is_whole_open_to_all_and_needs_nothing_else),
        cmocka_unit_test(the_page_says_what_the_paper_says),
        cmocka_unit_test(same_content_gives_the_same_bytes),
        cmocka_unit_test(broken_letters_become_marks),
        cmocka_unit_test(a_page_without_a_name_or_with_a_bad_date_is_refused),
        cmocka_unit_test(every_failed_allocation_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
