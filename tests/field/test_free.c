/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sections of free outlines: the lattice's answers where both can, arcs, holes, thin gaps, other gaps, refusals. */
#include "coilwright/field.h"
#include "field/magnets.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>

#include <cmocka.h>

static cw_contour_point corners[CW_MOST_PARTS][4];

static void near(double value, double wanted, double within)
{
    if (!(fabs(value / wanted - 1) <= within))
        fail_msg("%.9g is not %.9g within %g", value, wanted, within);
}

/* The rectangles of a template as outlines; every other one clockwise. */
static cw_section as_outlines(cw_section section)
{
    for (size_t i = 0; i < section.part_count; i++) {
        cw_part *part = &section.part[i];

        for (int k = 0; k < 4; k++) {
            int at = i % 2 == 0 ? k : 3 - k;

            corners[i][k] = (cw_contour_point){ part->x[at == 1 || at == 2], part->y[at >= 2], false };
        }
        part->contour = corners[i];
        part->contour_count = 4;
    }
    return section;
}

static cw_field *create(const cw_section *section, const cw_field_wish *wish)
{
    cw_field *field;
    cw_error error;

    if (cw_field_create(section, wish, &field, &error) != CW_OK)
        fail_msg("%s", error.text);
    return field;
}

static cw_field_result solve(cw_field *field, double gap_m, double current_a)
{
    double currents[CW_MOST_MAGNET_COILS];
    cw_field_result result;
    cw_error error;

    for (int c = 0; c < CW_MOST_MAGNET_COILS; c++)
        currents[c] = current_a;
    if (cw_field_solve(field, gap_m, currents, &result, &error) != CW_OK)
        fail_msg("%s", error.text);
    return result;
}

static cw_section section_of(const cw_magnet *magnet)
{
    cw_section section;

    assert_int_equal(cw_magnet_section(magnet, &section, NULL), CW_OK);
    return section;
}

static void field__outlines_give_what_the_lattice_gives(void **state)
{
    static const cw_magnet_shape shapes[] = { CW_MAGNET_POT, CW_MAGNET_PLUNGER, CW_MAGNET_U, CW_MAGNET_E };

    (void)state;
    for (int i = 0; i < 4; i++) {
        const cw_magnet magnet = example_magnet(shapes[i]);
        const cw_field_wish wish = { .error = 0.002 };
        cw_section section = section_of(&magnet), outlines = as_outlines(section);
        cw_field *lattice = create(&section, &wish), *free = create(&outlines, &wish);
        cw_field_result one = solve(lattice, magnet.gap_m, magnet.current_a);
        cw_field_result two = solve(free, magnet.gap_m, magnet.current_a);
        double b[2][2], y = 0.5 * (section.part[1].y[0] + section.part[1].y[1]), x = 0.5 * (section.part[1].x[0] + section.part[1].x[1]);

        assert_true(one.reached && two.reached);
        near(two.force_n, one.force_n, 0.002 + 0.002);
        near(two.force_stress_n, two.force_n, 0.005);
        near(two.inductance_h, one.inductance_h, 0.002);
        assert_true(fabs(two.energy_check) < 1e-6);
        cw_field_density_t(lattice, x, y, b[0]);
        cw_field_density_t(free, x, y, b[1]);
        near(hypot(b[1][0], b[1][1]), hypot(b[0][0], b[0][1]), 0.02);
        near(cw_field_flux_wb(free, x, y), cw_field_flux_wb(lattice, x, y), 0.02);
        cw_field_destroy(&lattice);
        cw_field_destroy(&free);
    }
}

static void field__outlines_follow_to_other_gaps(void **state)
{
    const cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    static const double gaps[] = { 0.0004, 0.0006, 0.0009, 0.0003, 0.003 };
    cw_section section = section_of(&magnet), outlines = as_outlines(section);
    cw_field *moved = create(&outlines, NULL);

    (void)state;
    for (int i = 0; i < 5; i++) {
        cw_field *lattice = create(&section, &(cw_field_wish){ .error = 0.001 });
        cw_field_result one = solve(moved, gaps[i], magnet.current_a), two = solve(lattice, gaps[i], magnet.current_a);

        near(one.force_n, two.force_n, 0.006);
        assert_true(i == 0 || i == 4 || one.iterations <= 6); /* from the last solution, on the same triangles */
        cw_field_destroy(&lattice);
    }
    cw_field_destroy(&moved);
}

/* 0.02 mm in a magnet of 200 mm. */
static void field__outlines_are_graded_to_thin_gaps(void **state)
{
    cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    cw_section section, outlines;
    cw_field *lattice, *free;

    (void)state;
    magnet.outer_diameter_m = 0.2;
    magnet.pole_diameter_m = 0.09;
    magnet.rim_thickness_m = 0.02;
    magnet.base_thickness_m = 0.025;
    magnet.plate_thickness_m = 0.03;
    magnet.height_m = 0.12;
    magnet.coil = (cw_magnet_coil){ 0.1, 0.15, 0.08, 0.005, 900 };
    section = section_of(&magnet);
    outlines = as_outlines(section);
    lattice = create(&section, NULL);
    free = create(&outlines, NULL);
    near(solve(free, 2e-5, 0.5).force_n, solve(lattice, 2e-5, 0.5).force_n, 0.01);
    cw_field_destroy(&lattice);
    cw_field_destroy(&free);
}

/* A ball of iron between the poles of a long solenoid's field: B inside is 3 mu/(mu + 2) of the applied one
 * (J. A. Stratton, Electromagnetic Theory, 1941, 3.24, for its dielectric twin). */
static void field__a_ball_of_arcs_has_the_field_of_a_ball(void **state)
{
    static const cw_contour_point ball[] = { { 0, -0.01, false }, { 0.01, 0, true }, { 0, 0.01, false } };
    cw_section section = { .part_count = 1, .applied_t = 0.1 };
    cw_field_wish wish = { .halvings = 2, .keep_mesh = true };
    cw_field *field;
    double b[2];

    (void)state;
    section.part[0] = (cw_part){ .name = "ball", .coil = -1, .iron = "linear 500", .contour = ball,
                                 .contour_count = 3 };
    field = create(&section, &wish);
    solve(field, 0, 0);
    for (int i = 0; i < 3; i++) {
        cw_field_density_t(field, 0.002 + 0.001 * i, 0.004 - 0.003 * i, b);
        near(b[1], 0.1 * 3 * 500 / 502.0, 0.001);
        assert_true(fabs(b[0]) < 0.001 * b[1]);
    }
    cw_field_destroy(&field);
}

/* Iron, a hole of air in it, the coil in the hole: as if the iron had been drawn around it. */
static void field__a_coil_may_lie_in_a_hole_of_air(void **state)
{
    const cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    const double out = 0.5 * magnet.outer_diameter_m, in = out - magnet.rim_thickness_m;
    const double pole = 0.5 * magnet.pole_diameter_m, back = magnet.base_thickness_m - magnet.height_m;
    const cw_contour_point body[] = { { 0, -magnet.height_m, false }, { out, -magnet.height_m, false },
                                      { out, 0, false }, { 0, 0, false } };
    const cw_contour_point hole[] = { { pole, back, false }, { in, back, false }, { in, 0, false },
                                      { pole, 0, false } };
    cw_section section = section_of(&magnet), drawn = as_outlines(section);
    cw_part coil = drawn.part[3], plate = drawn.part[4];
    cw_field *lattice = create(&section, NULL), *free;

    (void)state;
    drawn.part[0] = (cw_part){ .name = "body", .coil = -1, .iron = "low-carbon-steel", .contour = body,
                               .contour_count = 4 };
    drawn.part[1] = (cw_part){ .name = "window", .coil = -1, .air = true, .contour = hole, .contour_count = 4 };
    drawn.part[2] = coil;
    drawn.part[3] = plate;
    drawn.part_count = 4;
    free = create(&drawn, NULL);
    near(solve(free, magnet.gap_m, 1).force_n, solve(lattice, magnet.gap_m, 1).force_n, 0.008);
    cw_field_destroy(&lattice);
    cw_field_destroy(&free);
}

/* Two coils that help each other pull as one of the sum of their turns; against each other as the difference. */
static void field__coils_have_currents_and_directions_of_their_own(void **state)
{
    static const cw_contour_point iron[] = { { 0, -0.05, false }, { 0.04, -0.05, false }, { 0.04, -0.04, false },
                                             { 0.015, -0.04, false }, { 0.015, 0, false }, { 0, 0, false } };
    static const cw_contour_point upper[] = { { 0.017, -0.018, false }, { 0.03, -0.018, false },
                                              { 0.03, -0.004, false }, { 0.017, -0.004, false } };
    static const cw_contour_point lower[] = { { 0.017, -0.036, false }, { 0.03, -0.036, false },
                                              { 0.03, -0.022, false }, { 0.017, -0.022, false } };
    static const cw_contour_point plate[] = { { 0, 0, false }, { 0.04, 0, false }, { 0.04, 0.008, false },
                                              { 0, 0.008, false } };
    cw_section section = { .part_count = 4, .coil_count = 2 };
    cw_field_result both, one, other, against;
    cw_field *field;

    (void)state;
    section.part[0] = (cw_part){ .name = "iron", .coil = -1, .iron = "linear 800", .contour = iron, .contour_count = 6 };
    section.part[1] = (cw_part){ .name = "upper", .coil = 0, .turns = 700, .contour = upper, .contour_count = 4 };
    section.part[2] = (cw_part){ .name = "lower", .coil = 1, .turns = -500, .contour = lower, .contour_count = 4 };
    section.part[3] = (cw_part){ .name = "plate", .coil = -1, .iron = "linear 800", .moves = true, .contour = plate,
                                 .contour_count = 4 };
    field = create(&section, &(cw_field_wish){ .keep_mesh = true });
    assert_int_equal(cw_field_solve(field, 0.0005, (double[]){ 1, -1 }, &both, NULL), CW_OK);
    assert_int_equal(cw_field_solve(field, 0.0005, (double[]){ 1, 0 }, &one, NULL), CW_OK);
    assert_int_equal(cw_field_solve(field, 0.0005, (double[]){ 0, -1 }, &other, NULL), CW_OK);
    assert_int_equal(cw_field_solve(field, 0.0005, (double[]){ 1, 1 }, &against, NULL), CW_OK);
    /* linear iron: fields add, so does the flux linked, and pulls go by 2 (a^2 + b^2) = (a + b)^2 + (a - b)^2 */
    near(both.flux_linkage_wb[0], one.flux_linkage_wb[0] + other.flux_linkage_wb[0], 1e-9);
    near(both.force_n + against.force_n, 2 * (one.force_n + other.force_n), 1e-9);
    assert_true(both.force_n > 10 * against.force_n);
    /* and what one coil links of the other is the same both ways */
    near(other.flux_linkage_wb[0], -one.flux_linkage_wb[1], 1e-9);
    cw_field_destroy(&field);
}

static void refused(cw_section section, double gap_m, const char *name, const char *word)
{
    cw_field *field = NULL;
    cw_field_result result = { .force_n = -7 };
    cw_error error = { 0 };
    double currents[CW_MOST_MAGNET_COILS] = { 0 };
    cw_status status = cw_field_create(&section, NULL, &field, &error);

    if (status == CW_OK)
        status = cw_field_solve(field, gap_m, currents, &result, &error);
    assert_int_equal(status, CW_BAD_INPUT);
    if (strstr(error.text, name) == NULL || strstr(error.text, word) == NULL)
        fail_msg("%s", error.text);
    assert_true(result.force_n == -7);
    cw_field_destroy(&field);
}

static void field__what_cannot_be_is_refused_by_its_name(void **state)
{
    static const cw_contour_point crossed[] = { { 0.05, 0.1, false }, { 0.06, 0.12, false }, { 0.06, 0.1, false },
                                                { 0.05, 0.12, false } };
    static const cw_contour_point inside[] = { { 0.001, -0.03, false }, { 0.004, -0.03, false },
                                               { 0.004, -0.02, false }, { 0.001, -0.02, false } };
    static const cw_contour_point across[] = { { -0.01, 0.1, false }, { 0.01, 0.1, false }, { 0.01, 0.12, false } };
    const cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    const cw_section section = section_of(&magnet), good = as_outlines(section);
    cw_section bad = good;
    cw_part *more = &bad.part[bad.part_count++];

    (void)state;
    refused(good, 0, "plate", "touches");
    *more = (cw_part){ .name = "yoke", .coil = -1, .iron = "low-carbon-steel", .contour = crossed, .contour_count = 4 };
    refused(bad, 1e-4, "yoke", "crosses");
    *more = (cw_part){ .name = "shim", .coil = -1, .contour = inside, .contour_count = 4 };
    refused(bad, 1e-4, "shim", "no material");
    *more = (cw_part){ .name = "second coil", .coil = 0, .turns = 9, .contour = inside, .contour_count = 4 };
    refused(bad, 1e-4, "second coil", "in the iron of 'pole'");
    more->turns = 0;
    refused(bad, 1e-4, "second coil", "no turns");
    *more = (cw_part){ .name = "slug", .coil = -1, .iron = "low-carbon-steel", .moves = true, .contour = inside,
                       .contour_count = 4 };
    refused(bad, 1e-4, "slug", "overlap");
    *more = (cw_part){ .name = "bridge", .coil = -1, .iron = "low-carbon-steel", .contour = across,
                       .contour_count = 3 };
    refused(bad, 1e-4, "bridge", "across the axis");
    *more = (cw_part){ .name = "both", .coil = 0, .turns = 4, .iron = "low-carbon-steel", .contour = inside,
                       .contour_count = 4 };
    refused(bad, 1e-4, "both", "more than one material");
    *more = (cw_part){ .name = "odd", .coil = -1, .iron = "butter", .contour = inside, .contour_count = 4 };
    refused(bad, 1e-4, "butter", "no iron");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(field__outlines_give_what_the_lattice_gives),
        cmocka_unit_test(field__outlines_follow_to_other_gaps),
        cmocka_unit_test(field__outlines_are_graded_to_thin_gaps),
        cmocka_unit_test(field__a_ball_of_arcs_has_the_field_of_a_ball),
        cmocka_unit_test(field__a_coil_may_lie_in_a_hole_of_air),
        cmocka_unit_test(field__coils_have_currents_and_directions_of_their_own),
        cmocka_unit_test(field__what_cannot_be_is_refused_by_its_name),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
