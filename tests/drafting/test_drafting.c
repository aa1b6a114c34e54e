/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The drawing office: numbers, tolerances, the judge of what touches, arrangement, files. */
#include "coilwright/drafting.h"
#include "tests/reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

static void check_number(double length_m, cw_unit_system units, const char *wanted)
{
    char buffer[40];

    cw_drafting_number(length_m, units, buffer, sizeof buffer);
    assert_string_equal(buffer, wanted);
}

static void numbers_are_written_as_drawings_write_them(void **state)
{
    (void)state;
    check_number(0.0426, CW_METRIC_UNITS, "42.6");
    check_number(0.12, CW_METRIC_UNITS, "120");
    check_number(0.0005, CW_METRIC_UNITS, "0.5");
    check_number(0.01234567, CW_METRIC_UNITS, "12.346");
    check_number(0.0254 * 0.375, CW_INCH_UNITS, ".375");
    check_number(0.0254 * 3, CW_INCH_UNITS, "3.000");
    check_number(0.0254 * 0.0625, CW_INCH_UNITS, ".0625");
    check_number(0.003, CW_INCH_UNITS, ".1181");
}

/* ISO 2768-1 Table 1, as reprinted: ranges "over ... up to and including". */
static void general_tolerances_are_those_of_the_standard(void **state)
{
    static const struct { double size_mm; cw_drafting_class class; double allowed_mm; } rows[] = {
        { 0.5, CW_DRAFTING_FINE, 0.05 },    { 3, CW_DRAFTING_MEDIUM, 0.1 },       { 3.01, CW_DRAFTING_COARSE, 0.3 },
        { 6, CW_DRAFTING_VERY_COARSE, 0.5 }, { 6.01, CW_DRAFTING_MEDIUM, 0.2 },   { 30, CW_DRAFTING_FINE, 0.1 },
        { 30.01, CW_DRAFTING_MEDIUM, 0.3 }, { 120, CW_DRAFTING_COARSE, 0.8 },     { 121, CW_DRAFTING_MEDIUM, 0.5 },
        { 400, CW_DRAFTING_FINE, 0.2 },     { 1000, CW_DRAFTING_MEDIUM, 0.8 },    { 2000, CW_DRAFTING_COARSE, 3 },
        { 4000, CW_DRAFTING_VERY_COARSE, 8 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double allowed_m = cw_drafting_deviation(rows[i].class, rows[i].size_mm / 1000);

        assert_true(fabs(1000 * allowed_m - rows[i].allowed_mm) < 1e-6);
    }
    assert_true(isnan(cw_drafting_deviation(CW_DRAFTING_MEDIUM, 0.49e-3)));
    assert_true(isnan(cw_drafting_deviation(CW_DRAFTING_VERY_COARSE, 2e-3)));
    assert_true(isnan(cw_drafting_deviation(CW_DRAFTING_FINE, 2.5)));
    assert_true(isnan(cw_drafting_deviation(CW_DRAFTING_MEDIUM, 5)));
}

static void papers_have_names(void **state)
{
    cw_drafting_paper paper = CW_DRAFTING_A4;

    (void)state;
    assert_true(cw_drafting_paper_named("a3", &paper));
    assert_int_equal(paper, CW_DRAFTING_A3);
    assert_true(cw_drafting_paper_named("Letter", &paper));
    assert_int_equal(paper, CW_DRAFTING_LETTER);
    assert_false(cw_drafting_paper_named("A5", &paper));
    assert_int_equal(paper, CW_DRAFTING_LETTER);
}

/* ---- a small part: a plate 80 by 50 mm -------------------------------------------------------------------------- */

static const cw_drafting_setting metric = { .paper = CW_DRAFTING_A4, .units = CW_METRIC_UNITS,
                                            .projection = CW_DRAFTING_FIRST_ANGLE,
                                            .general_class = CW_DRAFTING_MEDIUM, .job = "a job", .date = "2031-05-17" };

static cw_drafting_view *plate(double width_m, double height_m)
{
    const cw_drafting_corner corners[4] = { { 0, 0, 0 }, { width_m, 0, 0 }, { width_m, height_m, 0 },
                                            { 0, height_m, 0 } };
    cw_drafting_view *view;

    assert_int_equal(cw_drafting_view_create(CW_DRAFTING_MAIN, "A", &view, NULL), CW_OK);
    cw_drafting_path(view, CW_DRAFTING_VISIBLE, corners, 4, true);
    cw_drafting_hatch(view, 0, corners, 4);
    return view;
}

static cw_status compose(cw_drafting_view *view, const cw_drafting_setting *setting, cw_drafting **drawing,
                         cw_error *error)
{
    const cw_drafting_sheet sheet = { .part = "Plate", .material = "steel", .views = &view, .view_count = 1 };

    return cw_drafting_create(setting, &sheet, 1, drawing, error);
}

static void the_largest_scale_that_fits_is_taken(void **state)
{
    static const struct { double width_m, scale; } rows[] = { { 0.008, 20 }, { 0.08, 2 }, { 0.4, 0.5 }, { 1, 0.2 } };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_drafting_view *view = plate(rows[i].width_m, rows[i].width_m / 2);
        cw_drafting *drawing;

        assert_int_equal(compose(view, &metric, &drawing, NULL), CW_OK);
        assert_true(fabs(cw_drafting_scale(drawing, 0) - rows[i].scale) < 1e-9);
        cw_drafting_destroy(&drawing);
        cw_drafting_view_destroy(&view);
    }
}

static void what_does_not_fit_on_a4_goes_to_a3_and_what_goes_nowhere_is_refused(void **state)
{
    cw_drafting_view *view = plate(12, 8);
    cw_drafting *drawing;
    cw_error error;
    double width, height;

    (void)state;
    assert_int_equal(compose(view, &metric, &drawing, NULL), CW_OK);
    cw_drafting_size(drawing, &width, &height);
    assert_true(width == 420 && height == 297);
    cw_drafting_destroy(&drawing);
    cw_drafting_view_destroy(&view);
    view = plate(100, 10);
    assert_int_equal(compose(view, &metric, &drawing, &error), CW_BAD_INPUT);
    assert_null(drawing);
    assert_non_null(strstr(error.text, "Plate"));
    cw_drafting_view_destroy(&view);
}

/* Two letters at one place, which nobody moves, and one across an edge: the judge must see them. */
static void the_judge_sees_what_touches(void **state)
{
    cw_drafting_view *view = plate(0.08, 0.05);
    cw_drafting *drawing;
    char words[40] = "";

    (void)state;
    assert_int_equal(compose(view, &metric, &drawing, NULL), CW_OK);
    assert_int_equal(cw_drafting_clashes(drawing, 0.8, 0.5, words, sizeof words), 0);
    cw_drafting_destroy(&drawing);
    cw_drafting_letter(view, 0, 0, 20, -20, "P");
    cw_drafting_letter(view, 0, 0, 21, -20, "Q");
    assert_int_equal(compose(view, &metric, &drawing, NULL), CW_OK);
    assert_int_equal(cw_drafting_clashes(drawing, 0.8, 0.5, words, sizeof words), 2);
    assert_string_equal(words, "P");
    cw_drafting_destroy(&drawing);
    cw_drafting_letter(view, 0, 0, -0.5, -30, "R");
    cw_drafting_letter(view, 0.08, 0.025, 0, 0, "S");
    assert_int_equal(compose(view, &metric, &drawing, NULL), CW_OK);
    assert_int_equal(cw_drafting_clashes(drawing, 0.8, 0.5, words, sizeof words), 3);
    cw_drafting_destroy(&drawing);
    cw_drafting_view_destroy(&view);
}

/* Dimensions of many lengths on one side, a chain of narrow ones among them, and notes all to one point. */
static void crowded_dimensions_find_places(void **state)
{
    cw_drafting_view *view = plate(0.08, 0.05);
    cw_drafting *drawing;
    char words[CW_DRAFTING_WORDS_MOST] = "";

    (void)state;
    for (int i = 0; i < 8; i++)
        cw_drafting_dimension_add(view, &(cw_drafting_dimension){
            .kind = CW_DRAFTING_LINEAR, .side = i < 4 ? CW_DRAFTING_OVER : CW_DRAFTING_UNDER, .x1_m = i * 2e-3,
            .y1_m = i < 4 ? 0.05 : 0, .x2_m = (i + 1) * 2e-3, .y2_m = i < 4 ? 0.05 : 0, .value = 2e-3 });
    for (int i = 0; i < 4; i++)
        cw_drafting_dimension_add(view, &(cw_drafting_dimension){ .kind = CW_DRAFTING_NOTE, .x1_m = 0.04, .y1_m = 0.025,
                                                                  .prefix = "4\xC3\x97 M4\n12 deep", .value = NAN });
    assert_int_equal(compose(view, &metric, &drawing, NULL), CW_OK);
    if (cw_drafting_clashes(drawing, 0.8 - 1e-6, 0.5 - 1e-6, words, sizeof words) > 0)
        fail_msg("'%s' touches something", words);
    cw_drafting_destroy(&drawing);
    cw_drafting_view_destroy(&view);
}

/* ---- files ------------------------------------------------------------------------------------------------------- */

static void paper_files_are_read_by_others(void **state)
{
    cw_drafting_view *view = plate(0.08, 0.05);
    cw_drafting *drawing;
    cw_text out = { 0 };

    (void)state;
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_LINEAR, .side = CW_DRAFTING_OVER, .y1_m = 0.05, .x2_m = 0.08, .y2_m = 0.05,
        .prefix = "\xC3\x98", .value = 0.08, .upper_m = 0.1e-3, .lower_m = -0.1e-3 });
    assert_int_equal(compose(view, &metric, &drawing, NULL), CW_OK);
    assert_int_equal(cw_drafting_write(drawing, CW_PDF, "Plate", &out, NULL), CW_OK);
    assert_true(reader_says(READ_PDF_INFO, &out, "(A4)"));
    assert_true(reader_says(READ_PDF_TEXT, &out, "\xC3\x98""80 \xC2\xB1""0.1"));
    assert_true(reader_says(READ_PDF_TEXT, &out, "General tolerances ISO 2768-m"));
    cw_text_clear(&out);
    assert_int_equal(cw_drafting_write(drawing, CW_SVG, "Plate", &out, NULL), CW_OK);
    assert_true(reader_says(READ_XML, &out, "{http://www.w3.org/2000/svg}svg"));
    assert_non_null(strstr(out.data, "width=\"297.000mm\" height=\"210.000mm\""));
    cw_text_clear(&out);
    cw_drafting_destroy(&drawing);
    cw_drafting_view_destroy(&view);
}

/* DXF R12 writes the diameter sign, plus-minus and degree as %%c, %%p, %%d; accents go, and a user's own percent signs
 * cannot start such a code. */
static void dxf_text_is_plain(void **state)
{
    const cw_drafting_setting setting = { .paper = CW_DRAFTING_A4, .job = "M\xC3\xBCller 100 %%d" };
    cw_drafting_view *view = plate(0.08, 0.05);
    cw_drafting *drawing;
    cw_text out = { 0 };

    (void)state;
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){ .kind = CW_DRAFTING_NOTE, .x1_m = 0.08, .y1_m = 0.05,
                                                              .prefix = "\xC3\x98""5 \xC2\xB1""1 45\xC2\xB0",
                                                              .value = NAN });
    assert_int_equal(compose(view, &setting, &drawing, NULL), CW_OK);
    assert_int_equal(cw_drafting_write_dxf(drawing, "Plate\n0\nEOF", &out, NULL), CW_OK);
    assert_non_null(strstr(out.data, "\n%%c5 %%p1 45%%d\n"));
    assert_non_null(strstr(out.data, "\nMuller 100 %d\n"));
    assert_non_null(strstr(out.data, "999\nPlate0EOF\n"));
    for (size_t i = 0; i < out.length; i++)
        assert_true((unsigned char)out.data[i] < 0x80);
    cw_text_clear(&out);
    cw_drafting_destroy(&drawing);
    cw_drafting_view_destroy(&view);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_written_as_drawings_write_them),
        cmocka_unit_test(general_tolerances_are_those_of_the_standard),
        cmocka_unit_test(papers_have_names),
        cmocka_unit_test(the_largest_scale_that_fits_is_taken),
        cmocka_unit_test(what_does_not_fit_on_a4_goes_to_a3_and_what_goes_nowhere_is_refused),
        cmocka_unit_test(the_judge_sees_what_touches),
        cmocka_unit_test(crowded_dimensions_find_places),
        cmocka_unit_test(paper_files_are_read_by_others),
        cmocka_unit_test(dxf_text_is_plain),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
