/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The grown sheet as independent readers see it: its parts, its pages, its code. */
#include "sheet_fixture.h"
#include "tests/reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void sheet(unsigned parts, cw_sheet_paper paper, cw_text *out)
{
    cw_winding winding = fixture_winding();
    cw_sheet_content content = fixture_content(&winding);
    cw_error error = { 0 };

    content.parts = parts;
    if (cw_sheet_write(&content, paper, out, &error) != CW_OK)
        fail_msg("%s", error.text);
}

static void every_part_is_there_and_every_page_counts(void **state)
{
    static const char *const wanted[] = {
        "FAILED", "of 3 tests 1 passed, 1 failed, 1 open", "At a glance", "93 \xC2\xB0""C", "What stands on which page",
        "What came in", "What it was", "Wire to order", "The former's drawing", "The winding in section", "Before you wind",
        "The winding program", "Layer by layer", "The magnet, hot", "It pulls.", "with a thin plate", "3100 N", "Temperatures",
        "Switching", "Fit a diode.", "Before you test", "Tests to make", "0.04 ohm", "pass", "310 N", "fail", "wound by",
        "Before it goes back to work", "Label for the coil", "Notes from the bench",
    };
    cw_text out = { 0 }, info = { 0 };
    char last[32];
    int pages = 0;

    (void)state;
    sheet(0, CW_SHEET_A4, &out);
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
        assert_true(reader_says(READ_PDF_TEXT, &out, wanted[i]));
    assert_int_equal(reader_run(READ_PDF_INFO, &out, &info), 0);
    assert_int_equal(sscanf(strstr(info.data, "Pages:"), "Pages: %d", &pages), 1);
    assert_in_range(pages, 5, 9);
    for (int i = 1; i <= pages; i++) {
        snprintf(last, sizeof last, "page %d of %d", i, pages);
        assert_true(reader_says(READ_PDF_TEXT, &out, last));
    }
    cw_text_clear(&info);
    cw_text_clear(&out);
}

/* pdftotext puts a form feed before every page but the first. */
static int page_of(const char *text, const char *heading)
{
    const char *at = strstr(text, heading);
    int page = 1;

    assert_non_null(at);
    for (const char *c = text; c < at; c++)
        page += *c == '\f';
    return page;
}

static void the_cover_tells_the_page_of_every_part(void **state)
{
    static const struct { const char *entry, *heading; } entries[] = {
        { "What came in, and what it was", "What came in\n" }, { "The former ", "The former's drawing" },
        { "The winding, layer by layer", "The winding in section" }, { "The magnet ", "The magnet, hot" },
        { "How warm it becomes", "Temperatures\n" }, { "Switching on and off", "Switching\n" },
        { "Tests to make and to sign", "Tests to make, in this order" }, { "Label for the coil", "Cut along the dashes" },
    };
    cw_text out = { 0 }, said = { 0 };

    (void)state;
    sheet(0, CW_SHEET_LETTER, &out);
    assert_int_equal(reader_run(READ_PDF_TEXT, &out, &said), 0);
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        const char *entry = strstr(said.data, entries[i].entry);
        int told = 0;

        assert_non_null(entry);
        assert_int_equal(sscanf(entry + strlen(entries[i].entry), " %d", &told), 1);
        assert_int_equal(told, page_of(said.data, entries[i].heading));
    }
    cw_text_clear(&said);
    cw_text_clear(&out);
}

static void parts_that_were_not_asked_for_stay_away(void **state)
{
    static const struct { cw_sheet_part part; const char *says; } parts[] = {
        { CW_SHEET_COVER, "WIND THIS" }, { CW_SHEET_EVIDENCE, "What came in" }, { CW_SHEET_ANSWER, "Wire to order" },
        { CW_SHEET_FORMER, "The former's drawing" }, { CW_SHEET_WINDING, "The winding in section" },
        { CW_SHEET_PROGRAM, "The winding program" }, { CW_SHEET_MAGNET, "It pulls." }, { CW_SHEET_HEAT, "Temperatures" },
        { CW_SHEET_SWITCHING, "Fit a diode." }, { CW_SHEET_TESTS, "in this order" },
        { CW_SHEET_CAUTIONS, "Before it goes back to work" }, { CW_SHEET_LABEL, "Cut along the dashes" },
    };

    (void)state;
    for (size_t i = 0; i < CW_SHEET_PART_COUNT; i++) {
        cw_text out = { 0 }, said = { 0 };

        sheet(1u << parts[i].part, CW_SHEET_A4, &out);
        assert_int_equal(reader_run(READ_PDF_TEXT, &out, &said), 0);
        assert_non_null(strstr(said.data, "Saw brake <left>"));
        for (size_t j = 1; j < CW_SHEET_PART_COUNT; j++)
            if (i > 0 && (strstr(said.data, parts[j].says) != NULL) != (j == i))
                fail_msg("only %s: \"%s\"", cw_sheet_part_name(parts[i].part), parts[j].says);
        assert_non_null(strstr(said.data, parts[i].says));
        cw_text_clear(&said);
        cw_text_clear(&out);
    }
}

/* Whoever prints one part alone still gets the cautions of its work. */
static void cautions_stand_beside_their_work(void **state)
{
    cw_text out = { 0 };

    (void)state;
    sheet(1u << CW_SHEET_TESTS, CW_SHEET_A4, &out);
    assert_true(reader_says(READ_PDF_TEXT, &out, "Isolate the supply"));
    cw_text_clear(&out);
    sheet(1u << CW_SHEET_PROGRAM, CW_SHEET_A4, &out);
    assert_true(reader_says(READ_PDF_TEXT, &out, "No gloves"));
    cw_text_clear(&out);
    sheet(1u << CW_SHEET_WINDING, CW_SHEET_A4, &out);
    assert_true(reader_says(READ_PDF_TEXT, &out, "No gloves"));
    cw_text_clear(&out);
}

static void names_of_parts_lead_back_to_them(void **state)
{
    cw_sheet_part part;

    (void)state;
    for (int i = 0; i < CW_SHEET_PART_COUNT; i++) {
        const char *name = cw_sheet_part_name((cw_sheet_part)i);

        assert_true(cw_sheet_part_find(name, strlen(name), &part));
        assert_int_equal(part, i);
        assert_false(cw_sheet_part_find(name, strlen(name) - 1, &part));
    }
}

/* ---- label ------------------------------------------------------------------------------------------------------- */

#define READ_CODE "pdftoppm -r 200 -gray %s cw_code && zbarimg -q --raw cw_code*.pgm 2>/dev/null; rm -f cw_code*.pgm"

static void an_independent_reader_decodes_the_label(void **state)
{
    cw_text out = { 0 }, said = { 0 };

    (void)state;
    if (system("command -v zbarimg > /dev/null") != 0)
        skip();
    sheet(1u << CW_SHEET_LABEL, CW_SHEET_A4, &out);
    assert_int_equal(reader_run(READ_CODE, &out, &said), 0);
    if (said.data == NULL ||
        strstr(said.data, "wire: 29 AWG heavy copper\nturns: 1850\nat 20 \xC2\xB0""C: 84.0 ohm \xC2\xB1 5 %") == NULL)
        fail_msg("%s", said.data != NULL ? said.data : "nothing");
    cw_text_clear(&said);
    cw_text_clear(&out);
}

/* A code is a square of at most 177 modules, 31329 bits. */
static void a_label_that_no_code_holds_is_refused(void **state)
{
    static char much[31329 / 8 + 2];
    cw_winding winding = fixture_winding();
    cw_sheet_content content = fixture_content(&winding);
    cw_text out = { 0 };
    cw_error error;

    (void)state;
    memset(much, 'x', 1000);
    content.label_data = much;
    assert_int_equal(cw_sheet_write(&content, CW_SHEET_A4, &out, &error), CW_OK);
    cw_text_clear(&out);
    memset(much, 'x', sizeof much - 1);
    assert_int_equal(cw_sheet_write(&content, CW_SHEET_A4, &out, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "more than a QR code holds"));
    assert_int_equal(out.length, 0);
}

static void every_failed_allocation_is_told(void **state)
{
    cw_winding winding = fixture_winding();
    cw_sheet_content content = fixture_content(&winding);
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_text out = { 0 };

        cw_memory_fail_after(granted);
        status = cw_sheet_write(&content, CW_SHEET_A4, &out, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || (status == CW_NO_MEMORY && out.length == 0));
        cw_text_clear(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_part_is_there_and_every_page_counts),
        cmocka_unit_test(the_cover_tells_the_page_of_every_part),
        cmocka_unit_test(parts_that_were_not_asked_for_stay_away),
        cmocka_unit_test(cautions_stand_beside_their_work),
        cmocka_unit_test(names_of_parts_lead_back_to_them),
        cmocka_unit_test(an_independent_reader_decodes_the_label),
        cmocka_unit_test(a_label_that_no_code_holds_is_refused),
        cmocka_unit_test(every_failed_allocation_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
