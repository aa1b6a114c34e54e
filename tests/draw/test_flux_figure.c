/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "draw/flux_internal.h"

#include "../field/magnets.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

static cw_field *solved_field(cw_magnet_shape shape)
{
    cw_magnet magnet = example_magnet(shape);
    cw_field_wish wish = { 0.02, 0, 1, 0, true };
    const double currents[2] = { 2, 2 };
    cw_section section;
    cw_field_result result;
    cw_field *field;

    assert_int_equal(cw_magnet_section(&magnet, &section, NULL), CW_OK);
    assert_int_equal(cw_field_create(&section, &wish, &field, NULL), CW_OK);
    assert_int_equal(cw_field_solve(field, magnet.gap_m, currents, &result, NULL), CW_OK);
    return field;
}

static void flux_picture_is_the_same_at_every_run_and_small_enough_to_send(void **state)
{
    static const cw_magnet_shape shapes[3] = { CW_MAGNET_POT, CW_MAGNET_U, CW_MAGNET_E };

    (void)state;
    for (int i = 0; i < 3; i++) {
        cw_text one = { 0 }, two = { 0 };
        cw_paper paper = { CW_SVG, 0, 0, 0, "flux", NULL, NULL };
        cw_field *first = solved_field(shapes[i]), *second = solved_field(shapes[i]);

        assert_int_equal(cw_flux_write(&(cw_flux_figure){ first, 0, CW_METRIC_UNITS }, &paper, &one, NULL), CW_OK);
        assert_int_equal(cw_flux_write(&(cw_flux_figure){ second, 0, CW_METRIC_UNITS }, &paper, &two, NULL), CW_OK);
        assert_int_equal(one.length, two.length);
        assert_memory_equal(one.data, two.data, one.length);
        assert_in_range(one.length, 50000, 900000);
        cw_text_clear(&one);
        cw_text_clear(&two);
        cw_field_destroy(&first);
        cw_field_destroy(&second);
    }
}

static void a_field_not_solved_gives_no_picture(void **state)
{
    cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    cw_section section;
    cw_field *field;
    cw_text out = { 0 };
    cw_paper paper = { CW_PNG, 0, 0, 0, NULL, NULL, NULL };

    (void)state;
    assert_int_equal(cw_magnet_section(&magnet, &section, NULL), CW_OK);
    assert_int_equal(cw_field_create(&section, NULL, &field, NULL), CW_OK);
    assert_int_equal(cw_flux_write(&(cw_flux_figure){ field, 0, CW_METRIC_UNITS }, &paper, &out, NULL), CW_FAILED);
    assert_int_equal(out.length, 0);
    cw_field_destroy(&field);
}

/* CIE 1976 L* of an sRGB colour: IEC 61966-2-1, D65. */
static double lightness(const double rgb[3])
{
    static const double weight[3] = { 0.2126, 0.7152, 0.0722 };
    double y = 0;

    for (int i = 0; i < 3; i++)
        y += weight[i] * (rgb[i] <= 0.04045 ? rgb[i] / 12.92 : pow((rgb[i] + 0.055) / 1.055, 2.4));
    return y > 0.008856 ? 116 * cbrt(y) - 16 : 903.3 * y;
}

static void bands_fall_in_lightness_so_that_grey_and_colour_blind_eyes_tell_them(void **state)
{
    double above = INFINITY;

    (void)state;
    for (int band = 0; band < FLUX_BANDS; band++) {
        double rgb[3], here;

        cw_flux__band_rgb(band, rgb);
        here = lightness(rgb);
        assert_true(here < above - 3);
        above = here;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flux_picture_is_the_same_at_every_run_and_small_enough_to_send),
        cmocka_unit_test(a_field_not_solved_gives_no_picture),
        cmocka_unit_test(bands_fall_in_lightness_so_that_grey_and_colour_blind_eyes_tell_them),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
