/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The figures of heat and switching: what stands in them, and that their colours survive grey printing. */
#include "coilwright/heat_figure.h"
#include "coilwright/switch_figure.h"
#include "draw/draw_internal.h"
#include "tests/reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

/* ---- a coil in a pot, heated; switched, in constants ------------------------------------------------------------- */

static cw_heat_part solid(const char *name, double x0, double x1, double y0, double y1, double k)
{
    cw_heat_part part = { .kind = CW_PART_SOLID, .x = { x0, x1 }, .y = { y0, y1 }, .conductivity_w_per_mk = { k, k },
                          .capacity_j_per_m3k = 2.5e6, .emissivity = 0.9, .limit_c = NAN };

    snprintf(part.name, sizeof part.name, "%s", name);
    return part;
}

static cw_heat *heated(cw_heat_result *result)
{
    const cw_heat_wish coarse = { .fineness = 0.25 };
    cw_heat_section s = { .ambient_c = 25, .part_count = 4 };
    cw_heat *heat = NULL;

    s.part[0] = solid("base", 0, 0.045, -0.012, 0, 55);
    s.part[1] = solid("pole", 0, 0.019, 0, 0.052, 55);
    s.part[2] = solid("former", 0.019, 0.035, 0, 0.052, 0.22);
    s.part[2].limit_c = 60;
    s.part[3] = solid("winding", 0.021, 0.035, 0.002, 0.050, 0.3);
    s.part[3].winding = true;
    s.part[3].limit_c = 155;
    s.drive = (cw_drive){ CW_DRIVE_VOLTAGE, 50, 100, 0.00393 };
    assert_int_equal(cw_heat_create(&s, &coarse, &heat, NULL), CW_OK);
    assert_int_equal(cw_heat_steady(heat, result, NULL), CW_OK);
    return heat;
}

static void switched(bool ac, cw_switch_study *study)
{
    static const double current[] = { 0, 0.1, 0.3, 1 }, linkage[] = { 0, 0.2, 0.5, 0.8 }, force[] = { 0, 20, 90, 200 };
    static const double gap[] = { 0 };
    const cw_flux_table table = { 1, 4, gap, current, linkage, force };
    const cw_switch_plan plan = {
        .table = &table, .cold_ohm = 100, .hot_ohm = 130, .source = { ac ? CW_SOURCE_AC : CW_SOURCE_FULL_WAVE, 60, 50, 0, 0 },
        .pull_current_a = NAN, .pull_force_n = 30, .release_current_a = NAN, .release_force_n = 30,
        .insulation_test_v = 900, .suppressor = { .kind = ac ? CW_SUPPRESS_VARISTOR : CW_SUPPRESS_DIODE },
    };
    cw_error error;

    if (cw_circuit_study(&plan, study, &error) != CW_OK)
        fail_msg("%s", error.text);
}

/* ---- colours ----------------------------------------------------------------------------------------------------- */

/* CIE 1976 lightness of an sRGB colour (IEC 61966-2-1 for the curve, CIE 15 for L*). */
static double lightness(const double rgb[3])
{
    static const double weight[] = { 0.2126, 0.7152, 0.0722 };
    double y = 0;

    for (int i = 0; i < 3; i++)
        y += weight[i] * (rgb[i] <= 0.04045 ? rgb[i] / 12.92 : pow((rgb[i] + 0.055) / 1.055, 2.4));
    return y > 0.008856 ? 116 * cbrt(y) - 16 : 903.3 * y;
}

static void scale_falls_evenly_in_lightness(void **state)
{
    double rgb[3], last;

    (void)state;
    cw_draw__scale_rgb(0, rgb);
    last = lightness(rgb);
    for (int i = 1; i <= 12; i++) {
        cw_draw__scale_rgb(i / 12., rgb);
        assert_true(last - lightness(rgb) > 4.5); /* what an eye parts side by side is 1; a poor printer some 4 */
        assert_true(last - lightness(rgb) < 12);
        last = lightness(rgb);
    }
}

/* ---- figures ----------------------------------------------------------------------------------------------------- */

typedef cw_status writer(const void *figure, const cw_paper *paper, cw_text *out);

static cw_status write_map(const void *figure, const cw_paper *paper, cw_text *out)
{
    return cw_heat_map_write(figure, paper, out, NULL);
}

static cw_status write_duty(const void *figure, const cw_paper *paper, cw_text *out)
{
    return cw_duty_write(figure, paper, out, NULL);
}

static cw_status write_on(const void *figure, const cw_paper *paper, cw_text *out)
{
    return cw_switch_on_write(figure, paper, out, NULL);
}

static cw_status write_off(const void *figure, const cw_paper *paper, cw_text *out)
{
    return cw_switch_off_write(figure, paper, out, NULL);
}

static cw_status write_table(const void *figure, const cw_paper *paper, cw_text *out)
{
    return cw_suppressors_write(figure, paper, out, NULL);
}

/* As PDF it holds these words; as SVG the bytes are the same twice over, and XML; as PNG it is a picture. */
static void check_figure(writer *write, const void *figure, const char *const *words)
{
    cw_text pdf = { 0 }, svg = { 0 }, again = { 0 }, png = { 0 };

    assert_int_equal(write(figure, &(cw_paper){ .format = CW_PDF }, &pdf), CW_OK);
    for (; *words != NULL; words++)
        if (!reader_says(READ_PDF_TEXT, &pdf, *words))
            fail_msg("\"%s\" does not stand in the figure", *words);
    assert_int_equal(write(figure, &(cw_paper){ .format = CW_SVG }, &svg), CW_OK);
    assert_int_equal(write(figure, &(cw_paper){ .format = CW_SVG }, &again), CW_OK);
    assert_int_equal(svg.length, again.length);
    assert_memory_equal(svg.data, again.data, svg.length);
    assert_int_equal(write(figure, &(cw_paper){ .format = CW_PNG }, &png), CW_OK);
    assert_memory_equal(png.data, "\x89PNG", 4);
    cw_text_clear(&pdf);
    cw_text_clear(&svg);
    cw_text_clear(&again);
    cw_text_clear(&png);
}

static void map_names_hot_spot_parts_and_limits_in_either_unit(void **state)
{
    cw_heat_result result;
    cw_heat *heat = heated(&result);
    cw_heat_map_figure figure = { heat, result.part, result.part_count, CW_METRIC_UNITS, "always on" };
    char hot[2][40], former[40];

    (void)state;
    snprintf(hot[0], sizeof hot[0], "hot spot %.0f °C", result.hot_spot_c);
    snprintf(hot[1], sizeof hot[1], "hot spot %.0f °F", 1.8 * result.hot_spot_c + 32);
    snprintf(former, sizeof former, "%.0f °C", result.part[2].most_c);
    check_figure(write_map, &figure, (const char *const[]){ hot[0], former, "former", "60 °C", "155 °C", "20 mm",
                                                            "always on", NULL });
    figure.units = CW_INCH_UNITS;
    check_figure(write_map, &figure, (const char *const[]){ hot[1], "311 °F", "140 °F", "1 in", NULL });
    assert_true(cw_heat_map_height(&figure, 160) >= 70 && cw_heat_map_height(&figure, 160) <= 150);
    cw_heat_destroy(&heat);
}

static void duty_names_its_class_and_unit(void **state)
{
    const cw_heat_duty duty = { 120, 600, NAN, 0, 5 };
    cw_heat_result result;
    cw_heat *heat = heated(&result);
    cw_heat_run run;
    cw_duty_figure figure = { &run, 155, 25, CW_METRIC_UNITS };

    (void)state;
    assert_int_equal(cw_heat_follow(heat, &duty, &run, NULL), CW_OK);
    check_figure(write_duty, &figure, (const char *const[]){ "class 155", "hot spot", "temperature, °C", "time, ", NULL });
    figure.units = CW_INCH_UNITS;
    figure.class_c = NAN;
    check_figure(write_duty, &figure, (const char *const[]){ "temperature, °F", NULL });
    cw_heat_run_clear(&run);
    cw_heat_destroy(&heat);
}

static void switch_figures_name_what_is_needed(void **state)
{
    cw_switch_study study;
    cw_switch_figure figure = { &study, 30, CW_METRIC_UNITS };

    (void)state;
    switched(false, &study);
    check_figure(write_on, &figure, (const char *const[]){ "needed pull", "needed to pull", "pull, N", "cold", NULL });
    check_figure(write_off, &figure, (const char *const[]){ "Zener", "diode and resistor", "lets go below",
                                                            "volts across the coil", "1000", NULL });
    check_figure(write_table, &figure, (const char *const[]){ "varistor", "Capacitor", "slowest release", "lets go",
                                                              "of test", NULL });
    figure.units = CW_INCH_UNITS;
    check_figure(write_on, &figure, (const char *const[]){ "pull, lbf", NULL });
    cw_switch_study_clear(&study);
}

/* On ac no diode stands in any figure, and the closed armature's current stands beside the open one's. */
static void figures_on_ac_leave_out_what_would_burn(void **state)
{
    cw_switch_study study;
    const cw_switch_figure figure = { &study, 30, CW_METRIC_UNITS };
    cw_text pdf = { 0 };

    (void)state;
    switched(true, &study);
    study.inrush_ratio = 2; /* one gap only, so it would be 1 */
    check_figure(write_on, &figure, (const char *const[]){ "closed", "open, warm", NULL });
    assert_int_equal(write_table(&figure, &(cw_paper){ .format = CW_PDF }, &pdf), CW_OK);
    assert_false(reader_says(READ_PDF_TEXT, &pdf, "Zener"));
    assert_true(reader_says(READ_PDF_TEXT, &pdf, "varistor"));
    cw_text_clear(&pdf);
    cw_switch_study_clear(&study);
}

static void running_out_of_memory_is_said(void **state)
{
    cw_heat_result result;
    cw_heat *heat = heated(&result);
    const cw_heat_map_figure figure = { heat, result.part, result.part_count, CW_METRIC_UNITS, NULL };
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_text svg = { 0 };

        cw_memory_fail_after(granted);
        status = cw_heat_map_write(&figure, &(cw_paper){ .format = CW_SVG }, &svg, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || svg.length == 0);
        cw_text_clear(&svg);
    }
    assert_int_equal(status, CW_OK);
    cw_heat_destroy(&heat);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(scale_falls_evenly_in_lightness),
        cmocka_unit_test(map_names_hot_spot_parts_and_limits_in_either_unit),
        cmocka_unit_test(duty_names_its_class_and_unit),
        cmocka_unit_test(switch_figures_name_what_is_needed),
        cmocka_unit_test(figures_on_ac_leave_out_what_would_burn),
        cmocka_unit_test(running_out_of_memory_is_said),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
