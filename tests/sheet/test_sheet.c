/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job sheet as an independent reader sees it. */
#include "coilwright/sheet.h"
#include "tests/reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

enum { MOST_LAYERS = 120 };

static cw_layer layers[MOST_LAYERS];

/* A winding laid by hand: `count` layers of 200 turns of a wire 0.33 mm over its covering; the last is half full. */
static cw_winding a_winding(size_t count, int sheet_every)
{
    cw_winding w = { .layers = layers, .layer_count = count, .turns_per_layer = 200, .pitch_m = 3.36e-4, .fits = true };
    long total = 0;

    w.plan.window = (cw_window){ .shape = CW_ROUND, .inner_m = { 0.03, 0.03 }, .length_m = 0.068, .depth_m = 0.04 };
    w.plan.in_hand = 1;
    w.plan.insulation_m = 5e-5;
    w.plan.wire.overall_diameter_m = (cw_band){ 3.2e-4, 3.3e-4, 3.4e-4 };
    w.plan.wire.size.diameter_m = (cw_band){ 2.85e-4, 2.87e-4, 2.89e-4 };
    for (size_t i = 0; i < count; i++) {
        bool even = i % 2 == 1;
        long turns = i + 1 == count ? 100 : 200;

        total += turns;
        layers[i] = (cw_layer){ .turns = turns, .direction = even ? -1 : 1, .pitch_m = 3.36e-4, .turns_total = total,
                                .start_m = even ? 0.0678 : 0.0002, .height_m = 1.65e-4 + 3.1e-4 * (double)i,
                                .insulation_after = sheet_every > 0 && (i + 1) % (size_t)sheet_every == 0 };
        layers[i].end_m = layers[i].start_m + layers[i].direction * ((double)turns - 0.5) * 3.36e-4;
        layers[i].diameter_m = 0.03 + 2 * layers[i].height_m;
    }
    w.turns = total;
    w.depth_m = layers[count - 1].height_m + 1.65e-4;
    w.spare_m = w.plan.window.depth_m - w.depth_m;
    return w;
}

static const cw_reading_mark readings[] = {
    { "resistance, sibling", "84.2 ohm at 24 \xC2\xB0""C", "84.6 ohm", -0.4, false },
    { "mass of stripped wire", "211 g", "186 g", 6.3, true },
};
static const cw_sheet_candidate candidates[] = {
    { "29 AWG heavy, copper", "1790 to 1905", "272 m", "82.9 ohm", 0.87 },
    { "0.280 mm grade 2, copper", "1760 to 1880", "268 m", "82.9 ohm", 0.13 },
};
static const cw_sheet_limit limits[] = { { "at 20 \xC2\xB0""C", "84.0 ohm", "79.8 ohm", "88.2 ohm" },
                                         { "at 24 \xC2\xB0""C in the shop", "85.3 ohm", "81.1 ohm", "89.6 ohm" } };
static const char *const reasons[] = { "Its class is higher than that of the former." };
static const cw_sheet_line order[] = { { "length", "290 m with 5 % to spare" }, { "mass", "0.20 kg" } };
static const cw_sheet_line program[] = { { "machine", "lathe" }, { "file", "coil.ngc" }, { "speed", "60 rpm" } };
static const cw_sheet_check checks[] = { { "Winding resistance", "four-wire", "81.1 to 89.6 ohm" } };

static cw_sheet_content a_content(const cw_winding *winding)
{
    return (cw_sheet_content){
        .title = "Saw brake", .machine = "Band saw of the back shop", .note = "invented", .date = "2031-05-17",
        .readings = readings, .reading_count = 2, .candidates = candidates, .candidate_count = 2,
        .answer = "One candidate stands out.", .wire = "29 AWG", .covering = "heavy enamel, copper", .limits = limits,
        .limit_count = 2, .reasons = reasons, .reason_count = 1, .winding = winding, .order = order, .order_count = 2,
        .program = program, .program_count = 3, .checks = checks, .check_count = 1,
    };
}

static void sheet(const cw_sheet_content *content, cw_sheet_paper paper, cw_text *out)
{
    cw_error error = { 0 };

    assert_int_equal(cw_sheet_write(content, paper, out, &error), CW_OK);
}

static int pages(const cw_text *pdf)
{
    cw_text said = { 0 };
    const char *line;
    int count = 0;

    assert_int_equal(reader_run(READ_PDF_INFO, pdf, &said), 0);
    line = strstr(said.data, "Pages:");
    assert_non_null(line);
    assert_int_equal(sscanf(line, "Pages: %d", &count), 1);
    cw_text_clear(&said);
    return count;
}

static void sheet_is_of_one_to_three_pages_on_both_papers(void **state)
{
    static const size_t counts[] = { 1, 11, 16, 40, 60 };

    (void)state;
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        cw_winding winding = a_winding(counts[i], 0);
        cw_sheet_content content = a_content(&winding);
        cw_text a4 = { 0 }, letter = { 0 };

        sheet(&content, CW_SHEET_A4, &a4);
        sheet(&content, CW_SHEET_LETTER, &letter);
        assert_true(pages(&a4) >= 2 && pages(&a4) <= 3);
        assert_true(pages(&letter) >= 2 && pages(&letter) <= 3);
        assert_true(reader_says(READ_PDF_INFO, &a4, "(A4)"));
        assert_true(reader_says(READ_PDF_INFO, &letter, "(letter)"));
        cw_text_clear(&a4);
        cw_text_clear(&letter);
    }
}

static void sheet_says_everything_it_was_given(void **state)
{
    static const char *const wanted[] = {
        "Saw brake", "Band saw of the back shop", "2031-05-17", "WIND THIS", "29 AWG", "heavy enamel, copper",
        "84.2 ohm at 24 \xC2\xB0""C", "186 g", "doubtful", "1790 to 1905", "87 %", "One candidate stands out.",
        "84.0 ohm", "79.8 ohm", "88.2 ohm", "89.6 ohm", "Its class is higher than that of the former.",
        "290 m with 5 % to spare", "60 rpm", "81.1 to 89.6 ohm", "2100", "finish lead", "page 1 of 3", "page 3 of 3",
        "No gloves", "Isolate the supply", "licensed", "have the last word", "wound by", "68.0 mm",
    };
    cw_winding winding = a_winding(11, 0);
    cw_sheet_content content = a_content(&winding);
    cw_text out = { 0 };

    (void)state;
    sheet(&content, CW_SHEET_A4, &out);
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
        assert_true(reader_says(READ_PDF_TEXT, &out, wanted[i]));
    cw_text_clear(&out);
}

/* Every layer's number and counter stand in one line of the table, whichever of its shapes it takes. */
static void every_layer_stands_in_the_table(void **state)
{
    static const struct { size_t layers; int sheets; } cases[] = { { 1, 0 }, { 11, 0 }, { 30, 0 }, { 51, 4 }, { 60, 0 },
                                                                   { 120, 0 } };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_winding winding = a_winding(cases[i].layers, cases[i].sheets);
        cw_sheet_content content = a_content(&winding);
        cw_text out = { 0 }, said = { 0 };

        sheet(&content, CW_SHEET_A4, &out);
        assert_int_equal(reader_run("pdftotext -raw %s - 2>&1", &out, &said), 0);
        for (size_t layer = 0; layer < cases[i].layers; layer++) {
            char row[64];

            snprintf(row, sizeof row, "%zu %ld %ld", layer + 1, layers[layer].turns, layers[layer].turns_total);
            if (strstr(said.data, row) == NULL)
                fail_msg("'%s' is missing of %zu layers", row, cases[i].layers);
        }
        assert_true((strstr(said.data, "STOP: sheet on") != NULL) == (cases[i].sheets > 0));
        cw_text_clear(&said);
        cw_text_clear(&out);
    }
}

static void counter_of_the_replay_goes_before_the_plan_s(void **state)
{
    cw_winding winding = a_winding(2, 0);
    cw_sheet_content content = a_content(&winding);
    const long counter[] = { 201, 7301 };
    cw_text out = { 0 };

    (void)state;
    content.counter = counter;
    sheet(&content, CW_SHEET_A4, &out);
    assert_true(reader_says(READ_PDF_TEXT, &out, "7301"));
    cw_text_clear(&out);
}

static void no_text_is_smaller_than_eight_points(void **state)
{
    /* pdftotext tells each word's box; Open Sans is 1.362 em from ascender to descender, which is the height of a
     * level word and the width of one that runs upwards */
    static const char command[] =
        "pdftotext -bbox %s - | python3 -c \"import re, sys; least = 8 * 1.36 * 0.99; "
        "words = [list(map(float, w)) for w in "
        "re.findall('xMin=.([0-9.]+). yMin=.([0-9.]+). xMax=.([0-9.]+). yMax=.([0-9.]+)', "
        "sys.stdin.read())]; "
        "small = [w for w in words if w[3] - w[1] < least and not least < w[2] - w[0] < 14]; "
        "print('least', 'fine' if len(words) > 200 and not small else small)\"";
    cw_winding winding = a_winding(11, 2);
    cw_sheet_content content = a_content(&winding);
    cw_text out = { 0 };

    (void)state;
    content.units = CW_INCH_UNITS;
    sheet(&content, CW_SHEET_LETTER, &out);
    assert_true(reader_says(command, &out, "least fine"));
    cw_text_clear(&out);
}

static void same_content_gives_same_bytes(void **state)
{
    cw_winding winding = a_winding(40, 0);
    cw_sheet_content content = a_content(&winding);
    cw_text one = { 0 }, two = { 0 };

    (void)state;
    sheet(&content, CW_SHEET_LETTER, &one);
    sheet(&content, CW_SHEET_LETTER, &two);
    assert_int_equal(one.length, two.length);
    assert_memory_equal(one.data, two.data, one.length);
    cw_text_clear(&one);
    cw_text_clear(&two);
}

static void sheet_without_a_winding_says_so(void **state)
{
    cw_sheet_content content = { .title = "Nothing but a name" };
    cw_text out = { 0 };

    (void)state;
    sheet(&content, CW_SHEET_A4, &out);
    assert_int_equal(pages(&out), 1);
    assert_true(reader_says(READ_PDF_TEXT, &out, "Nothing to wind yet"));
    cw_text_clear(&out);
}

static void sheet_of_a_winding_that_does_not_fit_forbids_it(void **state)
{
    cw_winding winding = a_winding(11, 0);
    cw_sheet_content content = a_content(&winding);
    cw_text out = { 0 };

    (void)state;
    winding.fits = false;
    winding.spare_m = -0.00125;
    sheet(&content, CW_SHEET_A4, &out);
    assert_true(reader_says(READ_PDF_TEXT, &out, "DOES NOT FIT: 1.25 mm deeper than the window"));
    cw_text_clear(&out);
}

static void long_and_broken_texts_are_set_all_the_same(void **state)
{
    static char name[2000];
    cw_winding winding = a_winding(11, 0);
    cw_sheet_content content = a_content(&winding);
    cw_reading_mark many[60];
    cw_text out = { 0 };

    (void)state;
    for (size_t i = 0; i + 8 < sizeof name; i += 7)
        memcpy(name + i, i % 3 ? "coil \xFF\xC3" : "longest", 7);
    for (size_t i = 0; i < 60; i++)
        many[i] = (cw_reading_mark){ name, name, name, (double)i - 30, i % 2 == 0 };
    content.title = content.machine = content.answer = content.wire = content.covering = name;
    content.readings = many;
    content.reading_count = 60;
    sheet(&content, CW_SHEET_A4, &out);
    assert_true(pages(&out) > 3);
    assert_true(reader_says(READ_PDF_TEXT, &out, "What came in, continued"));
    cw_text_clear(&out);
}

static void sheet_without_a_name_or_with_a_bad_date_is_refused(void **state)
{
    cw_sheet_content content = { .title = "" };
    cw_error error = { 0 };
    cw_text out = { 0 };

    (void)state;
    assert_int_equal(cw_sheet_write(&content, CW_SHEET_A4, &out, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "no name"));
    content.title = "Coil";
    content.date = "17.5.2031";
    assert_int_equal(cw_sheet_write(&content, CW_SHEET_A4, &out, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "17.5.2031"));
    assert_int_equal(out.length, 0);
}

static void every_failed_allocation_is_told(void **state)
{
    cw_winding winding = a_winding(18, 3);
    cw_sheet_content content = a_content(&winding);
    cw_status status = CW_NO_MEMORY;
    cw_text out = { 0 };
    long granted = 0;

    (void)state;
    for (; status == CW_NO_MEMORY; granted++) {
        cw_text_clear(&out);
        cw_memory_fail_after(granted);
        status = cw_sheet_write(&content, CW_SHEET_A4, &out, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || out.length == 0);
    }
    assert_int_equal(status, CW_OK);
    assert_true(granted > 12);
    assert_int_equal(pages(&out), 3);
    cw_text_clear(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sheet_is_of_one_to_three_pages_on_both_papers),
        cmocka_unit_test(sheet_says_everything_it_was_given),
        cmocka_unit_test(every_layer_stands_in_the_table),
        cmocka_unit_test(counter_of_the_replay_goes_before_the_plan_s),
        cmocka_unit_test(no_text_is_smaller_than_eight_points),
        cmocka_unit_test(same_content_gives_same_bytes),
        cmocka_unit_test(sheet_without_a_winding_says_so),
        cmocka_unit_test(sheet_of_a_winding_that_does_not_fit_forbids_it),
        cmocka_unit_test(long_and_broken_texts_are_set_all_the_same),
        cmocka_unit_test(sheet_without_a_name_or_with_a_bad_date_is_refused),
        cmocka_unit_test(every_failed_allocation_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
