/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Iron in closed form, linear and saturated: a sphere and a cylinder in a uniform field (J. A. Stratton,
 * Electromagnetic Theory, 1941, 4.18 and 4.19: uniform inside, B + 2 mu0 H = 3 B0 and B + mu0 H = 2 B0, whatever the iron does), a long
 * solenoid filled with iron (H = N I / l) and a wire on the axis of an iron tube (H = I / (2 pi r)), both by Ampere's
 * law. The first two also hold the open boundary to account: the applied field is disturbed out to infinity. */
#include "field/field_internal.h"
#include "../field/round_mesh.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define PI 3.14159265358979323846

enum { SECTORS = 8 }; /* of a quarter circle's half */

static void near(double got, double wanted, double relative)
{
    if (!(fabs(got - wanted) <= relative * fabs(wanted)))
        fail_msg("got %.10g, wanted %.10g within %.3g of it", got, wanted, relative);
}

/* Body of radius 1 in a field along y; returns B at its middle and the most that B differs from it inside. */
static double body_in_a_field(const cw_iron *iron, bool planar, double applied_t, int n, double *spread)
{
    double radius[64];
    int region[64], rings = 0;
    const bool zero[4] = { true, true, true, true };
    const cw_region regions[2] = { { "air", NULL, -1, 0, false }, { "body", iron, -1, 0, false } };
    double (*field)[3][2], *a, middle = 0, worst = 0, volume = 0;
    cw_newton_record record;
    cw_error error;
    cw_mesh *mesh;
    cw_model *model;

    for (int k = 1; k <= n / 2; k++, rings++)
        radius[rings] = 2.0 * k / n, region[rings] = 1;
    for (int k = 1; k <= 3 * n / 4; k++, rings++)
        radius[rings] = 1 + 2.0 * k / (3 * n / 4), region[rings] = 0;
    mesh = round_mesh_create(radius, region, rings, n, 1.6, 3, n / 2);
    assert_non_null(mesh);
    assert_int_equal(cw_model__create(mesh, regions, planar, 1, zero, 0, &model, NULL), CW_OK);
    model->applied_t = applied_t;
    a = calloc(model->unknown_count, sizeof *a);
    if (cw_model__solve(model, a, 1e-13, &record, &error) != CW_OK)
        fail_msg("%s", error.text);
    field = calloc(mesh->triangle_count, sizeof *field);
    cw_model__corner_fields(model, a, field);
    for (int pass = 0; pass < 2; pass++)
        for (size_t t = 0; t < mesh->triangle_count; t++) {
            cw_point points[3];
            double b = (field[t][0][1] + field[t][1][1] + field[t][2][1]) / 3, weight;

            if (mesh->region[t] != 1)
                continue;
            cw_model__points(model, t, points);
            weight = points[0].weight + points[1].weight + points[2].weight;
            if (pass == 0) {
                middle += weight * b;
                volume += weight;
            } else {
                worst = fmax(worst, fabs(b / (middle / volume) - 1));
            }
        }
    middle /= volume;
    *spread = worst;
    free(field);
    free(a);
    cw_model__destroy(&model);
    cw_mesh_destroy(&mesh);
    return middle;
}

/* B of B + factor mu0 H(B) = (1 + factor) B0, by halving. */
static double exact(const cw_iron *iron, double applied_t, double factor)
{
    double low = 0, high = 10;

    for (int i = 0; i < 100; i++) {
        double b = 0.5 * (low + high);

        if (b + factor * CW_MU0 * cw_iron_field(iron, b, NULL, NULL) < (1 + factor) * applied_t)
            low = b;
        else
            high = b;
    }
    return low;
}

static void linear_sphere_and_cylinder_are_the_printed_values(void **state)
{
    static const double rows[3][3] = { { 10, 2.500000, 1.818182 }, { 100, 2.941176, 1.980198 },
                                       { 1000, 2.994012, 1.998002 } };
    double spread;

    (void)state;
    for (int i = 0; i < 3; i++) {
        cw_iron *iron;

        assert_int_equal(cw_iron_create_linear(rows[i][0], &iron, NULL), CW_OK);
        near(body_in_a_field(iron, false, 1, 2 * SECTORS, &spread), rows[i][1], 1e-3);
        near(body_in_a_field(iron, true, 1, 2 * SECTORS, &spread), rows[i][2], 1e-3);
        cw_iron_destroy(&iron);
    }
}

/* Saturation sets in within a few hundredths of a tesla of the applied field: flux density and, far more sharply, the
 * excess over the applied field's share must follow. */
static void saturated_sphere_and_cylinder_obey_their_closed_forms(void **state)
{
    static const double applied[] = { 0.1, 0.3, 0.5, 0.55, 0.6, 0.7, 0.8, 1.0, 3.0 };
    cw_iron *iron;
    double spread;

    (void)state;
    assert_int_equal(cw_iron_find("low-carbon-sheet", &iron, NULL), CW_OK);
    for (size_t i = 0; i < sizeof applied / sizeof applied[0]; i++) {
        near(body_in_a_field(iron, false, applied[i], 2 * SECTORS, &spread), exact(iron, applied[i], 2), 2e-3);
        near(body_in_a_field(iron, true, applied[i], 2 * SECTORS, &spread), exact(iron, applied[i], 1), 2e-3);
        assert_true(spread < 0.03);
    }
    cw_iron_destroy(&iron);
}

/* The same against the values that the collection derived with straight lines between the table's points; a smooth
 * curve differs from those by up to a few thousandths in B. */
static void saturated_values_are_those_of_the_collection(void **state)
{
    static const double rows[][3] = { { 0.1, 0.29944, 0.19974 }, { 0.3, 0.89921, 0.59968 }, { 0.5, 1.49767, 0.99957 },
                                      { 0.6, 1.77871, 1.19946 }, { 0.8, 2.23795, 1.59761 }, { 1.0, 2.44000, 1.97562 } };
    cw_iron *iron;
    double spread;

    (void)state;
    assert_int_equal(cw_iron_find("low-carbon-sheet", &iron, NULL), CW_OK);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        near(body_in_a_field(iron, false, rows[i][0], 2 * SECTORS, &spread), rows[i][1], 4e-3);
        near(body_in_a_field(iron, true, rows[i][0], 2 * SECTORS, &spread), rows[i][2], 4e-3);
    }
    cw_iron_destroy(&iron);
}

/* Straight sides cut the circle short by the square of their length, and so does the error fall. */
static void finer_spheres_come_nearer_by_the_square(void **state)
{
    cw_iron *iron;
    double spread, error[2], wanted;

    (void)state;
    assert_int_equal(cw_iron_find("low-carbon-sheet", &iron, NULL), CW_OK);
    wanted = exact(iron, 0.55, 2);
    error[0] = fabs(body_in_a_field(iron, false, 0.55, 8, &spread) - wanted);
    error[1] = fabs(body_in_a_field(iron, false, 0.55, 16, &spread) - wanted);
    assert_true(error[0] / error[1] > 3);
    cw_iron_destroy(&iron);
}

/* A slice of an endless solenoid: iron within r = 20 mm, a winding from 20 to 25 mm, H = 0 outside (right side
 * free). 1/r is not in the elements' space; at the knee of the curve H turns 3e-5 of B into 1e-3. */
static void iron_in_a_long_solenoid_sees_amperes_per_metre(void **state)
{
    static const double field[] = { 200, 500, 1000, 2000, 5000, 10000, 50000 };
    const cw_line xs[] = { { 0, 0.004 }, { 0.02, 0.0005 }, { 0.025, 0.0005 } };
    const cw_line ys[] = { { 0, 0.005 }, { 0.01, 0.005 } };
    const cw_patch patches[] = { { { 0, 0.02 }, { 0, 0.01 }, 1 }, { { 0.02, 0.025 }, { 0, 0.01 }, 2 } };
    const double inside[4] = { 0, 0.025, 0, 0.01 };
    const int none[2] = { 0, 0 };
    const bool zero[4] = { true, false, false, false };
    cw_iron *iron;
    cw_region regions[3] = { { "air", NULL, -1, 0, false }, { "core", NULL, -1, 0, false },
                             { "winding", NULL, 0, 1 / (0.005 * 0.01), false } };
    cw_axis x, y;
    cw_mesh *mesh;
    cw_model *model;
    double *a;

    (void)state;
    assert_int_equal(cw_iron_find("low-carbon-sheet", &iron, NULL), CW_OK);
    regions[1].iron = iron;
    assert_int_equal(cw_axis_create(xs, 3, 2, none, 0, &x, NULL), CW_OK);
    assert_int_equal(cw_axis_create(ys, 2, 2, none, 0, &y, NULL), CW_OK);
    assert_int_equal(cw_mesh_lattice(&x, &y, patches, 2, inside, &mesh, NULL), CW_OK);
    assert_int_equal(cw_model__create(mesh, regions, false, 0, zero, 1, &model, NULL), CW_OK);
    a = calloc(model->unknown_count, sizeof *a);
    for (size_t i = 0; i < sizeof field / sizeof field[0]; i++) {
        double (*b)[3][2] = calloc(mesh->triangle_count, sizeof *b);
        cw_newton_record record;

        model->current_a[0] = 0.01 * field[i];
        assert_int_equal(cw_model__solve(model, a, 1e-14, &record, NULL), CW_OK);
        cw_model__corner_fields(model, a, b);
        for (size_t t = 0; t < mesh->triangle_count; t++)
            for (int k = 0; k < 3 && mesh->region[t] == 1; k++)
                near(cw_iron_field(iron, fabs(b[t][k][1]), NULL, NULL), field[i], 1e-3);
        free(b);
    }
    free(a);
    cw_model__destroy(&model);
    cw_mesh_destroy(&mesh);
    cw_axis_clear(&x);
    cw_axis_clear(&y);
    cw_iron_destroy(&iron);
}

/* Half of a tube of iron, r 10 to 20 mm, a wire of 2 mm radius on its axis, the current back in a sheet at 30 to 32 mm;
 * planar, free mirror at x = 0. Flux per metre through the tube by Ampere's law. */
static void tube_round_a_wire_carries_the_flux_of_amperes_law(void **state)
{
    static const double amperes[] = { 100, 500, 2000 }, printed[] = { 0.015201, 0.017116, 0.020100 };
    enum { N = 16 };
    double radius[40];
    int region[40], rings = 0;
    const bool zero[4] = { false, true, true, true };
    cw_region regions[4] = { { "air", NULL, -1, 0, false }, { "wire", NULL, 0, 0, false },
                             { "tube", NULL, -1, 0, false }, { "return", NULL, 0, 0, false } };
    double area[4] = { 0 }, *a;
    cw_iron *iron;
    cw_mesh *mesh;
    cw_model *model;

    (void)state;
    for (int k = 1; k <= 2; k++) radius[rings] = 0.001 * k, region[rings++] = 1;
    for (int k = 1; k <= 4; k++) radius[rings] = 0.002 + 0.002 * k, region[rings++] = 0;
    for (int k = 1; k <= 10; k++) radius[rings] = 0.010 + 0.001 * k, region[rings++] = 2;
    for (int k = 1; k <= 4; k++) radius[rings] = 0.020 + 0.0025 * k, region[rings++] = 0;
    radius[rings] = 0.032, region[rings++] = 3;
    for (int k = 1; k <= 4; k++) radius[rings] = 0.032 + 0.007 * k, region[rings++] = 0;
    assert_int_equal(cw_iron_find("low-carbon-sheet", &iron, NULL), CW_OK);
    regions[2].iron = iron;
    mesh = round_mesh_create(radius, region, rings, N, 0.035, 0.06, 6);
    assert_non_null(mesh);
    for (size_t t = 0; t < mesh->triangle_count; t++) {
        const double *p = mesh->node[mesh->corner[t][0]], *q = mesh->node[mesh->corner[t][1]];
        const double *r = mesh->node[mesh->corner[t][2]];

        area[mesh->region[t]] += 0.5 * ((q[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (q[1] - p[1]));
    }
    regions[1].turns_per_m2 = 0.5 / area[1]; /* half of the wire is in this half plane */
    regions[3].turns_per_m2 = -0.5 / area[3];
    assert_int_equal(cw_model__create(mesh, regions, true, 1, zero, 1, &model, NULL), CW_OK);
    a = calloc(model->unknown_count, sizeof *a);
    for (int i = 0; i < 3; i++) {
        double flux = 0, at[2] = { 0, 0 }, wanted = 0;
        cw_newton_record record;

        model->current_a[0] = amperes[i];
        assert_int_equal(cw_model__solve(model, a, 1e-13, &record, NULL), CW_OK);
        for (size_t n = 0; n < mesh->node_count; n++) /* along the x axis the rings' vertices lie exactly on it */
            for (int k = 0; k < 2; k++)
                if (hypot(mesh->node[n][0] - 0.01 * (k + 1), mesh->node[n][1]) < 1e-9)
                    at[k] = a[model->unknown_of_node[n]];
        flux = fabs(at[0] - at[1]);
        for (int k = 0; k < 20000; k++) { /* the same with this curve: int B(I / (2 pi r)) dr */
            double r = 0.01 + 0.01 * (k + 0.5) / 20000, h = amperes[i] / (2 * PI * r), low = 0, high = 5;

            for (int j = 0; j < 50; j++) {
                double b = 0.5 * (low + high);

                if (cw_iron_field(iron, b, NULL, NULL) < h)
                    low = b;
                else
                    high = b;
            }
            wanted += low * 0.01 / 20000;
        }
        near(flux, wanted, 1e-3);
        near(flux, printed[i], 3e-3); /* by straight lines between the table's points */
    }
    free(a);
    cw_model__destroy(&model);
    cw_mesh_destroy(&mesh);
    cw_iron_destroy(&iron);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(linear_sphere_and_cylinder_are_the_printed_values),
        cmocka_unit_test(saturated_sphere_and_cylinder_obey_their_closed_forms),
        cmocka_unit_test(saturated_values_are_those_of_the_collection),
        cmocka_unit_test(finer_spheres_come_nearer_by_the_square),
        cmocka_unit_test(iron_in_a_long_solenoid_sees_amperes_per_metre),
        cmocka_unit_test(tube_round_a_wire_carries_the_flux_of_amperes_law),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
