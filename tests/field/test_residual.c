/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is left without current, against the hand sum of a path that holds on to its field. */
#include "coilwright/field.h"
#include "coilwright/iron.h"
#include "field/magnets.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>

#include <cmocka.h>

#define MU0 (4e-7 * 3.14159265358979323846)

static cw_field *solved(const cw_magnet *magnet, cw_section *section, double current_a)
{
    double currents[CW_MOST_MAGNET_COILS];
    cw_field_result result;
    cw_field *field;

    for (int c = 0; c < CW_MOST_MAGNET_COILS; c++)
        currents[c] = current_a;
    assert_int_equal(cw_magnet_section(magnet, section, NULL), CW_OK);
    assert_int_equal(cw_field_create(section, NULL, &field, NULL), CW_OK);
    assert_int_equal(cw_field_solve(field, magnet->gap_m, currents, &result, NULL), CW_OK);
    return field;
}

/* A U of one section all round: B = mu0 Hc l/(2 g + l/mu_r), pull 2 A B^2/(2 mu0), but for what leaks. Of linear iron,
 * magnetized far beyond 1.5 T, so that the whole coercivity is held. */
static void residual_pull_is_that_of_the_path(void **state)
{
    cw_magnet magnet = example_magnet(CW_MAGNET_U);
    const double path = 2 * (magnet.height_m - 0.5 * magnet.pole_width_m) +
                        2 * (magnet.window_width_m + magnet.pole_width_m);
    const double coercivity[CW_MOST_PARTS][2] = { { 150, 300 }, { 150, 300 }, { 150, 300 }, { 0, 0 }, { 0, 0 },
                                                  { 0, 0 }, { 0, 0 }, { 150, 300 } };
    cw_section section;
    cw_residual residual;
    cw_field *field;
    double b;

    (void)state;
    magnet.base_thickness_m = magnet.plate_thickness_m = magnet.pole_width_m;
    strcpy(magnet.iron, "linear 900");
    strcpy(magnet.plate_iron, "linear 900");
    magnet.coil.length_m = 0.02;
    magnet.gap_m = 0.0001;
    field = solved(&magnet, &section, 50);
    assert_int_equal(section.part_count, 8);
    assert_int_equal(cw_field_residual(field, coercivity, &residual, NULL), CW_OK);
    b = MU0 * 300 * path / (2 * magnet.gap_m + path / 900);
    assert_true(fabs(residual.force_n[1] / (b * b / MU0 * magnet.pole_width_m * magnet.depth_m) - 1) < 0.08);
    assert_true(fabs(residual.force_n[1] / residual.force_n[0] - 4) < 1e-6); /* linear: with the square */
    cw_field_destroy(&field);
}

/* The next solve knows nothing of it; a wider gap leaves less; more current before, more left. */
static void residual_pull_leaves_the_solution_alone(void **state)
{
    cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    cw_section section;
    cw_residual first, second;
    cw_field_result before, after;
    cw_field *field = solved(&magnet, &section, 0.3);
    double density[2][2], weak = 0.3, current = 1;

    (void)state;
    assert_int_equal(cw_field_residual(field, NULL, &first, NULL), CW_OK);
    assert_int_equal(cw_field_solve(field, magnet.gap_m, &current, &before, NULL), CW_OK);
    cw_field_density_t(field, 0.01, -0.02, density[0]);
    assert_int_equal(cw_field_residual(field, NULL, &second, NULL), CW_OK);
    cw_field_density_t(field, 0.01, -0.02, density[1]);
    assert_memory_equal(density[0], density[1], sizeof density[0]);
    assert_true(second.force_n[1] > first.force_n[1] && second.force_n[1] > second.force_n[0]);
    assert_true(second.force_n[1] < 0.2 * before.force_n);
    assert_true(second.trust == 'M' && second.unknown[0] == '\0');
    assert_int_equal(cw_field_solve(field, magnet.gap_m, &current, &after, NULL), CW_OK);
    assert_true(fabs(after.force_n / before.force_n - 1) < 1e-6);
    assert_int_equal(cw_field_solve(field, 4 * magnet.gap_m, &weak, &after, NULL), CW_OK);
    assert_int_equal(cw_field_residual(field, NULL, &second, NULL), CW_OK);
    assert_true(second.force_n[1] < first.force_n[1]);
    cw_field_destroy(&field);
}

static void unknown_irons_are_told(void **state)
{
    cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    cw_section section;
    cw_residual residual = { { -1, -1 }, 'x', "" };
    cw_error error;
    cw_field *field;
    double range[2];
    char trust;

    (void)state;
    strcpy(magnet.plate_iron, "cast-steel");
    field = solved(&magnet, &section, 1);
    assert_int_equal(cw_field_residual(field, NULL, &residual, NULL), CW_OK);
    assert_string_equal(residual.unknown, "plate");
    cw_field_destroy(&field);
    strcpy(magnet.iron, "cast-steel");
    field = solved(&magnet, &section, 1);
    residual.force_n[0] = -1;
    assert_int_equal(cw_field_residual(field, NULL, &residual, &error), CW_BAD_INPUT);
    assert_true(residual.force_n[0] == -1);
    cw_field_destroy(&field);
    assert_false(cw_iron_coercivity("cast-steel", range, &trust));
    assert_true(cw_iron_coercivity("m400-50a", range, &trust));
    assert_true(trust == 'S' && range[0] == 39.6 && range[1] == 39.6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(residual_pull_is_that_of_the_path),
        cmocka_unit_test(residual_pull_leaves_the_solution_alone),
        cmocka_unit_test(unknown_irons_are_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
