/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Scales, tables and figures. */
#include "coilwright/draw.h"
#include "tests/reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

/* ---- ticks ---------------------------------------------------------------------------------------------------- */

static bool is_round(double step)
{
    double mantissa = step / pow(10, floor(log10(step) + 1e-9));

    return fabs(mantissa - 1) < 1e-6 || fabs(mantissa - 2) < 1e-6 || fabs(mantissa - 5) < 1e-6;
}

static void ticks_are_round_few_and_hold_the_range(void **state)
{
    static const double lows[] = { 0, -3.7, 0.0123, 97.2, -1e6, 12345.678, -2e-9 };
    static const double spans[] = { 1e-9, 0.003, 0.7, 1, 13.37, 5e4, 3e8 };

    (void)state;
    for (size_t i = 0; i < 7; i++) {
        for (size_t j = 0; j < 7; j++) {
            for (int most = 2; most <= 12; most++) {
                double low = lows[i], high = low + spans[j];
                cw_ticks t = cw_ticks_choose(low, high, most, true);

                assert_true(is_round(t.step));
                assert_true(t.count >= 2 && t.count <= most + 1);
                assert_true(cw_ticks_value(&t, 0) <= low + 1e-6 * t.step + 1e-12 * fabs(low));
                assert_true(cw_ticks_value(&t, t.count - 1) >= high - 1e-6 * t.step - 1e-12 * fabs(high));
            }
        }
    }
}

static void tick_labels_show_what_distinguishes_them(void **state)
{
    cw_ticks t = cw_ticks_choose(-0.21, 0.43, 8, true);
    char label[32];

    (void)state;
    assert_int_equal(t.count, 9);
    cw_ticks_label(&t, 0, label, sizeof label);
    assert_string_equal(label, "-0.3");
    cw_ticks_label(&t, 3, label, sizeof label);
    assert_string_equal(label, "0.0");
    cw_ticks_label(&t, 8, label, sizeof label);
    assert_string_equal(label, "0.5");
}

static void equal_ends_are_widened(void **state)
{
    cw_ticks t = cw_ticks_choose(42, 42, 5, true);

    (void)state;
    assert_true(cw_ticks_value(&t, 0) < 42 && cw_ticks_value(&t, t.count - 1) > 42);
}

/* ---- table ---------------------------------------------------------------------------------------------------- */

static void table_rows_grow_with_their_text(void **state)
{
    static const cw_column columns[] = { { "what", CW_COLUMN_TEXT, 30 }, { "value", CW_COLUMN_DECIMAL, 20 } };
    static const char *const cells[] = { "short", "1.25 mm", "a text that is far too long for a column of thirty "
                                         "millimetres and must wrap", NULL };
    const cw_table table = { columns, 2, cells, 2, 7, 9 };
    cw_paper paper = { CW_PDF, 100, 100, 0, NULL, NULL, NULL };
    cw_canvas *canvas;
    double head, rows;
    cw_text out = { 0 };

    (void)state;
    assert_int_equal(cw_canvas_create(&paper, &canvas, NULL), CW_OK);
    head = cw_table_head(canvas, &table, 10, 10);
    rows = cw_table_rows(canvas, &table, 10, 10 + head, 0, 2);
    assert_true(cw_table_row_height(canvas, &table, 0) == 7);
    assert_true(cw_table_row_height(canvas, &table, 1) > 10);
    assert_float_equal(rows, 7 + cw_table_row_height(canvas, &table, 1), 1e-9);
    assert_int_equal(cw_canvas_finish(canvas, &out, NULL), CW_OK);
    assert_true(reader_says(READ_PDF_TEXT, &out, "1.25 mm"));
    assert_true(reader_says(READ_PDF_TEXT, &out, "value"));
    cw_canvas_destroy(&canvas);
    cw_text_clear(&out);
}

/* ---- section -------------------------------------------------------------------------------------------------- */

/* A winding of thick wire, laid by hand: three layers of 20, 20 and 7 turns of two strands. */
static cw_layer layers[3];

static cw_winding a_winding(void)
{
    cw_winding w = { .layers = layers, .layer_count = 3, .turns = 47, .turns_per_layer = 20, .pitch_m = 2.04e-3 };
    double height = 0.5e-3;

    w.plan.window = (cw_window){ .shape = CW_ROUND, .inner_m = { 0.04, 0.04 }, .length_m = 0.042, .depth_m = 0.012 };
    w.plan.in_hand = 2;
    w.plan.wire.overall_diameter_m = (cw_band){ 1e-3, 1e-3, 1e-3 };
    w.plan.wire.size.diameter_m = (cw_band){ 0.9e-3, 0.9e-3, 0.9e-3 };
    for (int i = 0; i < 3; i++, height += 0.95e-3) {
        bool even = i % 2 == 1;

        layers[i] = (cw_layer){ .turns = i == 2 ? 7 : 20, .direction = even ? -1 : 1, .pitch_m = 2.04e-3,
                                .start_m = even ? 0.041 : 0.001, .height_m = height };
        layers[i].end_m = layers[i].start_m + layers[i].direction * (layers[i].turns - 0.5) * 2.04e-3;
    }
    w.depth_m = height - 0.95e-3 + 0.5e-3;
    w.spare_m = w.plan.window.depth_m - w.depth_m;
    w.fits = true;
    return w;
}

typedef struct dot {
    double x, y;
} dot;

/* Reads the discs, written "M x y L x y", of the next round-ended path of an SVG; *from moves behind it. */
static size_t read_dots(const char **from, dot *dots, size_t most)
{
    const char *path = strstr(*from, "stroke-linecap:round"), *at, *end;
    size_t count = 0;

    if (path == NULL)
        return 0;
    at = strstr(path, " d=\"");
    end = strchr(at + 4, '"');
    for (at += 4; at < end && count < most; count++) {
        double x, y, x2, y2;
        int used = 0;

        if (sscanf(at, "M %lf %lf L %lf %lf %n", &x, &y, &x2, &y2, &used) != 4 || x != x2 || y != y2)
            break;
        dots[count] = (dot){ x, y };
        at += used;
    }
    *from = end;
    return count;
}

static void section_shows_every_strand_to_scale(void **state)
{
    cw_winding winding = a_winding();
    const cw_section_figure figure = { &winding, CW_METRIC_UNITS };
    cw_paper paper = { CW_SVG, 0, 0, 0, "section", NULL, NULL };
    dot odd[200], cores[200], even[200];
    size_t odd_count, even_count;
    cw_text out = { 0 };
    const char *at;
    double per_m;

    (void)state;
    assert_int_equal(cw_section_write(&figure, &paper, &out, NULL), CW_OK);
    at = out.data;
    odd_count = read_dots(&at, odd, 200);
    assert_int_equal(odd_count, 2 * (20 + 7));
    assert_int_equal(read_dots(&at, cores, 200), odd_count);
    assert_memory_equal(odd, cores, odd_count * sizeof odd[0]);
    even_count = read_dots(&at, even, 200);
    assert_int_equal(even_count, 2 * 20);
    /* strands of a turn lie a diameter apart: that fixes the scale for all other distances */
    per_m = (odd[1].x - odd[0].x) / 1e-3;
    assert_float_equal((odd[39].x - odd[1].x) / per_m, 19 * 2.04e-3, 2e-6);
    assert_float_equal((odd[0].y - even[0].y) / per_m, 0.95e-3, 2e-6);
    assert_float_equal((odd[0].y - odd[40].y) / per_m, 1.9e-3, 2e-6);
    assert_float_equal((even[1].x - odd[0].x) / per_m, 0.0415 - 0.0005, 2e-6);
    cw_text_clear(&out);
}

static void section_states_its_dimensions_in_the_user_s_units(void **state)
{
    cw_winding winding = a_winding();
    cw_section_figure figure = { &winding, CW_METRIC_UNITS };
    cw_paper paper = { CW_PDF, 0, 0, 0, "section", NULL, NULL };
    cw_text out = { 0 };

    (void)state;
    assert_int_equal(cw_section_write(&figure, &paper, &out, NULL), CW_OK);
    assert_true(reader_says(READ_PDF_TEXT, &out, "42.0 mm"));
    assert_true(reader_says(READ_PDF_TEXT, &out, "\xC3\x98 40.0 mm"));
    assert_true(reader_says(READ_PDF_TEXT, &out, "47 turns, two in hand in 3 layers"));
    cw_text_clear(&out);
    figure.units = CW_INCH_UNITS;
    assert_int_equal(cw_section_write(&figure, &paper, &out, NULL), CW_OK);
    assert_true(reader_says(READ_PDF_TEXT, &out, "1.654 in")); /* 42 / 25.4 */
    cw_text_clear(&out);
}

static void section_says_that_it_does_not_fit(void **state)
{
    cw_winding winding = a_winding();
    const cw_section_figure figure = { &winding, CW_METRIC_UNITS };
    cw_paper paper = { CW_PDF, 0, 0, 0, "section", NULL, NULL };
    cw_text out = { 0 };

    (void)state;
    winding.plan.window.depth_m = 0.002;
    winding.spare_m = winding.plan.window.depth_m - winding.depth_m;
    winding.fits = false;
    assert_int_equal(cw_section_write(&figure, &paper, &out, NULL), CW_OK);
    assert_true(reader_says(READ_PDF_TEXT, &out, "0.90 mm too deep for the window"));
    cw_text_clear(&out);
}

static void section_of_a_hundred_thousand_turns_stays_small(void **state)
{
    cw_winding winding = a_winding();
    const cw_section_figure figure = { &winding, CW_METRIC_UNITS };
    cw_paper paper = { CW_SVG, 0, 0, 0, "section", NULL, NULL };
    cw_layer *many = cw_allocate(500, sizeof *many);
    cw_text out = { 0 };

    (void)state;
    for (int i = 0; i < 500; i++)
        many[i] = (cw_layer){ .turns = 200, .direction = i % 2 ? -1 : 1, .pitch_m = 2.1e-4, .height_m = 2e-5 * i + 1e-5,
                              .start_m = i % 2 ? 0.0419 : 1e-4, .end_m = i % 2 ? 1e-4 : 0.0419 };
    winding.layers = many;
    winding.layer_count = 500;
    winding.turns = 100000;
    winding.plan.in_hand = 1;
    winding.plan.wire.overall_diameter_m.nominal = 2e-5;
    winding.plan.wire.size.diameter_m.nominal = 1.8e-5;
    winding.depth_m = 0.01;
    assert_int_equal(cw_section_write(&figure, &paper, &out, NULL), CW_OK);
    assert_true(out.length < 600000);
    assert_true(reader_says(READ_XML, &out, "svg"));
    cw_text_clear(&out);
    cw_free(many);
}

/* ---- evidence, traverse --------------------------------------------------------------------------------------- */

static const char *const names[] = { "29 AWG heavy", "0.280 mm grade 2" };
static const double probabilities[] = { 0.874, 0.004 };
static const cw_reading_mark marks[] = {
    { "coil resistance", "84.2 ohm", "84.9 ohm", -0.5, false },
    { "wire mass", "212 g", "186 g", 7.2, true },
    { "overall diameter", "0.331 mm", NULL, NAN, false },
};
static const double turns[] = { 0, 100, 200, 300 }, positions_m[] = { 0, 0.05, 0, 0.05 };

static const cw_option_mark options[] = {
    { "29 AWG heavy, 1850 turns", 100, { 1.2, 153 }, true, true, CW_SHELF_ENOUGH },
    { "30 AWG single, 2100 turns", 91, { 2.4, 140 }, true, false, CW_SHELF_SOME },
    { "28 AWG heavy, 1790 turns", 104, { 0.1, NAN }, false, false, CW_SHELF_NONE },
};

static cw_status write_figure(int which, cw_format format, cw_text *out)
{
    static const cw_candidates_figure candidates = { names, probabilities, 2 };
    static const cw_readings_figure readings = { marks, 3 };
    static const cw_traverse_figure traverse = { turns, positions_m, 4, turns, positions_m, 4, CW_METRIC_UNITS };
    static const cw_options_figure choice = { options, 3, "ampere-turns, %", { "to spare, mm", "hot spot" },
                                              { 0, NAN }, { "too deep below", NULL } };
    cw_winding winding = a_winding();
    const cw_section_figure section = { &winding, CW_INCH_UNITS };
    cw_paper paper = { .format = format, .title = "figure" };

    switch (which) {
    case 0: return cw_candidates_write(&candidates, &paper, out, NULL);
    case 1: return cw_readings_write(&readings, &paper, out, NULL);
    case 2: return cw_traverse_write(&traverse, &paper, out, NULL);
    case 3: return cw_options_write(&choice, &paper, out, NULL);
    default: return cw_section_write(&section, &paper, out, NULL);
    }
}

enum { FIGURES = 5 };

static void figures_say_what_they_show(void **state)
{
    static const char *const wanted[][3] = {
        { "29 AWG heavy", "87 %", "<1%" },
        { "186 g", "+7.2", "doubtful" },
        { "from the start flange, mm", "as planned", "300" },
        { "30 AWG single, 2100 turns", "ampere-turns, %", "too deep below" },
        { "far flange", "start", "finish" },
    };

    (void)state;
    for (int which = 0; which < FIGURES; which++) {
        cw_text out = { 0 };

        assert_int_equal(write_figure(which, CW_PDF, &out), CW_OK);
        for (int i = 0; i < 3; i++)
            if (which != 2 || i > 0) /* text that runs upwards is read letter by letter */
                assert_true(reader_says(READ_PDF_TEXT, &out, wanted[which][i]));
        cw_text_clear(&out);
    }
}

/* Marks at one place are drawn apart, each within the frame, and what is not named has no number. */
static void options_that_coincide_are_told_apart(void **state)
{
    cw_option_mark same[12];
    const cw_options_figure figure = { same, 12, "x", { "y", NULL }, { NAN, NAN }, { NULL, NULL } };
    const cw_paper paper = { .format = CW_PDF };
    cw_text out = { 0 };

    (void)state;
    for (int i = 0; i < 12; i++)
        same[i] = (cw_option_mark){ "29 AWG heavy", 100, { 1, NAN }, true, i == 0, CW_SHELF_NONE };
    assert_int_equal(cw_options_write(&figure, &paper, &out, NULL), CW_OK);
    assert_true(reader_says(READ_PDF_TEXT, &out, "8"));
    cw_text_clear(&out);
}

static void figures_survive_every_failed_allocation(void **state)
{
    (void)state;
    for (int which = 0; which < FIGURES; which++) {
        cw_status status = CW_NO_MEMORY;
        cw_text out = { 0 };
        long granted = 0;

        for (; status == CW_NO_MEMORY; granted++) {
            cw_text_clear(&out);
            cw_memory_fail_after(granted);
            status = write_figure(which, CW_SVG, &out);
            cw_memory_fail_after(-1);
            assert_true(status == CW_OK || out.length == 0);
        }
        assert_int_equal(status, CW_OK);
        assert_true(granted > 4);
        assert_true(reader_says(READ_XML, &out, "svg"));
        cw_text_clear(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ticks_are_round_few_and_hold_the_range),
        cmocka_unit_test(tick_labels_show_what_distinguishes_them),
        cmocka_unit_test(equal_ends_are_widened),
        cmocka_unit_test(table_rows_grow_with_their_text),
        cmocka_unit_test(section_shows_every_strand_to_scale),
        cmocka_unit_test(section_states_its_dimensions_in_the_user_s_units),
        cmocka_unit_test(section_says_that_it_does_not_fit),
        cmocka_unit_test(section_of_a_hundred_thousand_turns_stays_small),
        cmocka_unit_test(figures_say_what_they_show),
        cmocka_unit_test(options_that_coincide_are_told_apart),
        cmocka_unit_test(figures_survive_every_failed_allocation),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
