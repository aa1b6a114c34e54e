/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The surface: formats, sizes, sameness, text. */
#include "coilwright/draw.h"
#include "tests/reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cairo.h>
#include <cmocka.h>
#include <math.h>

static const cw_type plain = { 9, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };

/* A little of everything. */
static void draw_all(cw_canvas *canvas)
{
    const double dots[6] = { 20, 20, 22, 20, 24, 20 };

    cw_canvas_line(canvas, (cw_pen){ CW_BLUE, 0.5, CW_CHAIN }, 5, 5, 60, 5);
    cw_canvas_dots(canvas, CW_ORANGE, 1.5, dots, 3);
    cw_canvas_hatch(canvas, (cw_pen){ CW_GREY, 0.18, CW_SOLID }, (cw_box){ 5, 30, 20, 8 }, 1, true);
    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.35, CW_DASHED }, CW_SHADE, (cw_box){ 30, 30, 20, 8 }, 1.5);
    cw_canvas_dimension(canvas, 5, 45, 40, 45, 6, 8, "35.0 mm");
    cw_canvas_write(canvas, plain, 5, 60, "84.2 ohm \xC2\xB1 0.5 % at 24 \xC2\xB0""C");
    cw_canvas_paragraph(canvas, plain, 5, 65, 40, "Words that are broken into several lines to this measure.");
    cw_canvas_tick_box(canvas, 60, 20, 3.6);
}

static cw_status draw_paper(const cw_paper *paper, void (*draw)(cw_canvas *), cw_text *out)
{
    cw_canvas *canvas = NULL;
    cw_error error;
    cw_status status = cw_canvas_create(paper, &canvas, &error);

    if (status == CW_OK && draw != NULL)
        draw(canvas);
    if (status == CW_OK)
        status = cw_canvas_finish(canvas, out, &error);
    cw_canvas_destroy(&canvas);
    return status;
}

static void same_calls_give_same_bytes(void **state)
{
    (void)state;
    for (int format = 0; format < CW_FORMAT_COUNT; format++) {
        cw_paper paper = { (cw_format)format, 80, 90, 0, "A title", "What is seen", NULL };
        cw_text one = { 0 }, two = { 0 };

        assert_int_equal(draw_paper(&paper, draw_all, &one), CW_OK);
        assert_int_equal(draw_paper(&paper, draw_all, &two), CW_OK);
        assert_int_equal(one.length, two.length);
        assert_memory_equal(one.data, two.data, one.length);
        cw_text_clear(&one);
        cw_text_clear(&two);
    }
}

/* A4 is 210 by 297 mm, letter 8.5 by 11 in; the reader knows both by name. */
static void pdf_pages_have_the_paper_s_size_and_number(void **state)
{
    const struct { double width, height; const char *size; } papers[] = {
        { 210, 297, "(A4)" }, { 215.9, 279.4, "(letter)" }
    };

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        cw_paper paper = { CW_PDF, papers[i].width, papers[i].height, 0, "Coil of the saw", NULL, "2031-05-17" };
        cw_canvas *canvas;
        cw_text out = { 0 };

        assert_int_equal(cw_canvas_create(&paper, &canvas, NULL), CW_OK);
        draw_all(canvas);
        cw_canvas_bookmark(canvas, "second page", 20);
        cw_canvas_next_page(canvas);
        draw_all(canvas);
        assert_int_equal(cw_canvas_finish(canvas, &out, NULL), CW_OK);
        assert_true(reader_says(READ_PDF_INFO, &out, papers[i].size));
        assert_true(reader_says(READ_PDF_INFO, &out, "Pages:           2"));
        assert_true(reader_says(READ_PDF_INFO, &out, "Title:           Coil of the saw"));
        assert_true(reader_says("TZ=UTC pdfinfo -isodates %s 2>&1", &out, "2031-05-17T00:00:00Z"));
        assert_true(reader_says(READ_PDF_TEXT, &out, "84.2 ohm \xC2\xB1 0.5 % at 24 \xC2\xB0""C"));
        cw_canvas_destroy(&canvas);
        cw_text_clear(&out);
    }
}

static void pdf_is_set_in_the_house_s_typeface(void **state)
{
    cw_paper paper = { CW_PDF, 80, 90, 0, NULL, NULL, NULL };
    cw_text out = { 0 };

    (void)state;
    assert_int_equal(draw_paper(&paper, draw_all, &out), CW_OK);
    assert_true(reader_says(READ_PDF_FONTS, &out, "OpenSans"));
    cw_text_clear(&out);
}

static void svg_is_well_formed_and_in_millimetres(void **state)
{
    cw_paper paper = { CW_SVG, 80, 90.5, 0, "R < 5 & \"more\"\x01", "a <b>", NULL };
    cw_text out = { 0 };

    (void)state;
    assert_int_equal(draw_paper(&paper, draw_all, &out), CW_OK);
    assert_true(reader_says(READ_XML, &out, "{http://www.w3.org/2000/svg}svg"));
    assert_non_null(strstr(out.data, "width=\"80.000mm\" height=\"90.500mm\" viewBox=\"0 0 80.000 90.500\""));
    assert_non_null(strstr(out.data, "<title>R &lt; 5 &amp; \"more\" </title>"));
    assert_non_null(strstr(out.data, "<desc>a &lt;b&gt;</desc>"));
    cw_text_clear(&out);
}

typedef struct cursor {
    const cw_text *text;
    size_t at;
} cursor;

static cairo_status_t give(void *closure, unsigned char *data, unsigned int length)
{
    cursor *c = closure;

    if (c->at + length > c->text->length)
        return CAIRO_STATUS_READ_ERROR;
    memcpy(data, c->text->data + c->at, length);
    c->at += length;
    return CAIRO_STATUS_SUCCESS;
}

static void draw_discs(cw_canvas *canvas)
{
    const double centres[6] = { 10, 10, 25, 10, 10, 25 };

    cw_canvas_dots(canvas, CW_BLACK, 9, centres, 3);
}

/* Three discs of 9 mm cover 3 pi 9^2/4 = 190.85 mm2; at 20 dots to the millimetre the rim adds under 0.5 %. */
static void dots_are_discs_of_their_diameter(void **state)
{
    cw_paper paper = { CW_PNG, 40, 40, 20, NULL, NULL, NULL };
    cw_text out = { 0 };
    cursor c = { &out, 0 };
    cairo_surface_t *picture;
    double covered = 0;

    (void)state;
    assert_int_equal(draw_paper(&paper, draw_discs, &out), CW_OK);
    picture = cairo_image_surface_create_from_png_stream(give, &c);
    assert_int_equal(cairo_image_surface_get_width(picture), 800);
    assert_int_equal(cairo_image_surface_get_height(picture), 800);
    for (int y = 0; y < 800; y++) {
        const unsigned char *row = cairo_image_surface_get_data(picture) + y * cairo_image_surface_get_stride(picture);

        for (int x = 0; x < 800; x++)
            covered += (255.0 - row[4 * x]) / (255.0 - 26.0); /* black ink is 26 of 255 */
    }
    assert_true(fabs(covered / 400 - 190.852) < 0.005 * 190.852);
    cairo_surface_destroy(picture);
    cw_text_clear(&out);
}

static void paper_that_is_none_is_refused_in_words(void **state)
{
    const cw_paper bad[] = {
        { CW_SVG, 0, 10, 0, NULL, NULL, NULL },         { CW_PDF, NAN, 10, 0, NULL, NULL, NULL },
        { CW_PDF, 10, 1e9, 0, NULL, NULL, NULL },       { CW_PNG, 4000, 4000, 20, NULL, NULL, NULL },
        { CW_PDF, 210, 297, 0, NULL, NULL, "17 May" },  { CW_PDF, 210, 297, 0, NULL, NULL, "2031-05-17x" },
        { CW_PDF, 210, 297, 0, NULL, NULL, "" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        cw_canvas *canvas = (cw_canvas *)&bad;
        cw_error error = { 0 };

        assert_int_equal(cw_canvas_create(&bad[i], &canvas, &error), CW_BAD_INPUT);
        assert_null(canvas);
        assert_true(strlen(error.text) > 15 && strlen(error.expected) > 5);
    }
}

static cw_canvas *a_canvas(void)
{
    cw_paper paper = { CW_PDF, 100, 100, 0, NULL, NULL, NULL };
    cw_canvas *canvas = NULL;

    assert_int_equal(cw_canvas_create(&paper, &canvas, NULL), CW_OK);
    return canvas;
}

static void figures_are_all_of_one_width(void **state)
{
    cw_canvas *canvas = a_canvas();

    (void)state;
    for (int face = 0; face < CW_FACE_COUNT; face++) {
        cw_type type = { 9, (cw_face)face, CW_BLACK, CW_ALIGN_LEFT };

        assert_float_equal(cw_canvas_text_width(canvas, type, "1111111"), cw_canvas_text_width(canvas, type, "8888888"),
                           1e-3);
    }
    cw_canvas_destroy(&canvas);
}

/* A type of n points has em squares of n/72 in; text grows in proportion, whatever the hinting. */
static void width_grows_with_the_type(void **state)
{
    cw_canvas *canvas = a_canvas();
    cw_type twice = plain;
    double once = cw_canvas_text_width(canvas, plain, "turns per layer");

    (void)state;
    twice.size_pt = 2 * plain.size_pt;
    assert_float_equal(cw_canvas_text_width(canvas, twice, "turns per layer"), 2 * once, 0.02 * once);
    assert_true(cw_canvas_write_within(canvas, plain, 0, 50, once / 2, "turns per layer") <= once / 2 + 1e-3);
    cw_canvas_destroy(&canvas);
}

static void paragraph_breaks_to_its_measure(void **state)
{
    static const char words[] = "one two three four five six seven eight nine ten eleven twelve";
    cw_canvas *canvas = a_canvas();
    double one_line = cw_canvas_paragraph_height(canvas, plain, 500, words);
    double width = cw_canvas_text_width(canvas, plain, words);
    double height = cw_canvas_paragraph_height(canvas, plain, width / 2.5, words);

    (void)state;
    assert_true(height > 2.5 * one_line && height < 4.5 * one_line);
    assert_float_equal(cw_canvas_paragraph(canvas, plain, 5, 5, width / 2.5, words), height, 1e-9);
    assert_true(cw_canvas_paragraph_height(canvas, plain, 50, "") == 0);
    assert_true(cw_canvas_paragraph_height(canvas, plain, 50, NULL) == 0);
    cw_canvas_destroy(&canvas);
}

static void draw_garbage(cw_canvas *canvas)
{
    cw_canvas_write(canvas, plain, 5, 10, "a\xFF\xC3(\xE2\x82\nb\tc\x7F");
    cw_canvas_paragraph(canvas, plain, 5, 20, 40, "\xF8\xA1\xA1\xA1\xA1 two\nlines \xED\xA0\x80");
}

static void bytes_that_are_no_text_are_shown_as_such(void **state)
{
    cw_paper paper = { CW_PDF, 80, 90, 0, NULL, NULL, NULL };
    cw_text out = { 0 };

    (void)state;
    assert_int_equal(draw_paper(&paper, draw_garbage, &out), CW_OK);
    assert_true(reader_says(READ_PDF_TEXT, &out, "\xEF\xBF\xBD(\xEF\xBF\xBD"));
    cw_text_clear(&out);
}

static void draw_muted(cw_canvas *canvas)
{
    cw_canvas_mute(canvas, true);
    draw_all(canvas);
    cw_canvas_bookmark(canvas, "unseen", 5);
    if (cw_canvas_is_muted(canvas))
        cw_canvas_mute(canvas, false);
}

static void muted_canvas_stays_empty(void **state)
{
    (void)state;
    for (int format = 0; format < CW_FORMAT_COUNT; format++) {
        cw_paper paper = { (cw_format)format, 80, 90, 0, NULL, NULL, NULL };
        cw_text empty = { 0 }, muted = { 0 };

        assert_int_equal(draw_paper(&paper, NULL, &empty), CW_OK);
        assert_int_equal(draw_paper(&paper, draw_muted, &muted), CW_OK);
        assert_int_equal(empty.length, muted.length);
        assert_memory_equal(empty.data, muted.data, empty.length);
        cw_text_clear(&empty);
        cw_text_clear(&muted);
    }
}

static void every_failed_allocation_is_told(void **state)
{
    (void)state;
    for (int format = 0; format < CW_FORMAT_COUNT; format++) {
        cw_paper paper = { (cw_format)format, 80, 90, 0, "A title", "What is seen", NULL };
        cw_status status = CW_NO_MEMORY;
        cw_text out = { 0 };
        long granted = 0;

        for (; status == CW_NO_MEMORY; granted++) {
            cw_text_clear(&out);
            cw_memory_fail_after(granted);
            status = draw_paper(&paper, draw_all, &out);
            cw_memory_fail_after(-1);
            assert_true(status == CW_OK || out.length == 0);
        }
        assert_int_equal(status, CW_OK);
        assert_true(granted > 3);
        cw_text_clear(&out);
    }
}

/* CIE 1976 lightness of an sRGB colour (IEC 61966-2-1 for the curve, CIE 15 for L*). */
static double lightness(cw_ink ink)
{
    static const double weight[3] = { 0.2126, 0.7152, 0.0722 };
    double rgb[3], luminance = 0;

    cw_ink_rgb(ink, rgb);
    for (int i = 0; i < 3; i++)
        luminance += weight[i] * (rgb[i] <= 0.04045 ? rgb[i] / 12.92 : pow((rgb[i] + 0.055) / 1.055, 2.4));
    return luminance > 216.0 / 24389 ? 116 * cbrt(luminance) - 16 : 24389.0 / 27 * luminance;
}

static void inks_that_meet_differ_in_lightness(void **state)
{
    static const cw_ink meet[][2] = {
        { CW_BLUE, CW_SAND },  { CW_BLUE, CW_ORANGE }, { CW_BLACK, CW_BLUE },  { CW_BLACK, CW_SAND },
        { CW_BLACK, CW_SHADE }, { CW_GREY, CW_SHADE }, { CW_RED, CW_WHITE }, { CW_BLUE, CW_SHADE },
    };

    (void)state;
    for (size_t i = 0; i < sizeof meet / sizeof meet[0]; i++)
        assert_true(fabs(lightness(meet[i][0]) - lightness(meet[i][1])) > 25);
    assert_float_equal(lightness(CW_WHITE), 100, 0.01);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(same_calls_give_same_bytes),
        cmocka_unit_test(pdf_pages_have_the_paper_s_size_and_number),
        cmocka_unit_test(pdf_is_set_in_the_house_s_typeface),
        cmocka_unit_test(svg_is_well_formed_and_in_millimetres),
        cmocka_unit_test(dots_are_discs_of_their_diameter),
        cmocka_unit_test(paper_that_is_none_is_refused_in_words),
        cmocka_unit_test(figures_are_all_of_one_width),
        cmocka_unit_test(width_grows_with_the_type),
        cmocka_unit_test(paragraph_breaks_to_its_measure),
        cmocka_unit_test(bytes_that_are_no_text_are_shown_as_such),
        cmocka_unit_test(muted_canvas_stays_empty),
        cmocka_unit_test(every_failed_allocation_is_told),
        cmocka_unit_test(inks_that_meet_differ_in_lightness),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
