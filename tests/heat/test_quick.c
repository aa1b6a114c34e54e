/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The quick estimate and the winding's material. */
#include "coilwright/heat.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "near.h"

#define PI 3.14159265358979323846

static const cw_surface air_at_25 = { CW_SURFACE_FIXED, 0, 0, 0, 12, 25, 0 };

/* The hollow section of the collection on heat, 5.3: r 20 to 50 mm, 50 kW/m3. Loss without feedback. */
static cw_heat_quick_plan hollow(double length, double k_r, double k_z)
{
    cw_heat_quick_plan plan = { .inner_radius_m = 0.02, .outer_radius_m = 0.05, .length_m = length, .ambient_c = 25 };

    plan.material.across_w_per_mk.nominal = k_r;
    plan.material.along_axis_w_per_mk.nominal = k_z;
    plan.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, 50e3 * PI * (0.05 * 0.05 - 0.02 * 0.02) * length, 0 };
    return plan;
}

static cw_heat_face open(double coefficient)
{
    cw_heat_face face = { INFINITY, false, air_at_25 };

    face.surface.coefficient_w_per_m2k = coefficient;
    return face;
}

/* Derived values of section 5.3. The header promises 1 % of the rise in air and 2 % where faces are held: the mean of
 * a parabola by 16 trapezoids in two directions is 1.5 % low. */
static void hollow_sections_by_the_collection(void **state)
{
    cw_heat_quick_plan plan = hollow(0.06, 0.6, 0.6);
    cw_heat_quick_result result;

    (void)state;
    plan.face[CW_FACE_INSIDE] = plan.face[CW_FACE_OUTSIDE] = open(12); /* D1 */
    assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
    assert_near(result.hot_spot_c, 97.831, 0.005 * 72.8);
    assert_near(result.mean_winding_c, 94.142, 0.005 * 69.1);
    assert_near(result.surface_c, 90.654, 0.005 * 65.7);
    plan.face[CW_FACE_INSIDE] = (cw_heat_face){ 0, false, air_at_25 }; /* D2 */
    assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
    assert_near(result.hot_spot_c, 140.979, 0.005 * 116);
    assert_near(result.mean_winding_c, 128.951, 0.005 * 104);
    assert_near(result.surface_c, 112.500, 1e-6); /* by the heat balance alone */
    plan = hollow(0.06, 0.25, 0.25); /* D3 */
    plan.face[CW_FACE_INSIDE] = open(500);
    plan.face[CW_FACE_OUTSIDE] = open(12);
    assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
    assert_near(result.hot_spot_c, 75.189, 0.005 * 50.2);
    assert_near(result.mean_winding_c, 66.809, 0.005 * 41.8);
    plan = hollow(0.06, 0.6, 0.6); /* D7, to a sink at 0 in the collection */
    for (int face = 0; face < 4; face++)
        plan.face[face] = open(12);
    assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
    assert_near(result.hot_spot_c - 25, 53.30, 0.005 * 53.3);
    assert_near(result.mean_winding_c - 25, 47.13, 0.005 * 47.1);
    for (int face = 0; face < 4; face++) /* D6 */
        plan.face[face] = open(1e9);
    assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
    assert_near(result.hot_spot_c - 25, 8.704, 0.02 * 8.704);
    assert_near(result.mean_winding_c - 25, 4.329, 0.02 * 4.329);
    plan.material.across_w_per_mk.nominal = 0.3; /* D8 */
    assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
    assert_near(result.hot_spot_c - 25, 14.829, 0.02 * 14.829);
    assert_near(result.mean_winding_c - 25, 7.110, 0.02 * 7.110);
}

/* A thin ring of great radius is a slab: section 5.5, local feedback at constant current, X = alpha q L^2/k. The
 * coefficient alpha is made large, so that the rises stay such as a coil may have. */
static void slab_feeds_back_and_runs_away(void **state)
{
    static const double rows[3][3] = { { 0.25, 0.55798, 0.37042 }, { 1, 0.85082, 0.55741 }, { 2, 2.70629, 1.73945 } };
    double k = 1, half = 0.01, alpha = 1. / 50, volume = PI * (100.02 * 100.02 - 100. * 100) * 0.1;
    cw_heat_quick_plan plan = { .inner_radius_m = 100, .outer_radius_m = 100.02, .length_m = 0.1, .ambient_c = 20 };
    cw_heat_quick_result result;

    (void)state;
    plan.material.across_w_per_mk.nominal = plan.material.along_axis_w_per_mk.nominal = k;
    for (int face = 0; face < 2; face++) {
        plan.face[face] = open(1e9);
        plan.face[face].surface.sink_c = 20;
    }
    for (int i = 0; i < 3; i++) {
        double q = rows[i][0] * k / (alpha * half * half), limit;

        plan.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, q * volume, alpha };
        assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
        limit = 0.005 / (1 - rows[i][0] / 2.467); /* near the runaway an error of the grid grows like the rise itself */
        assert_near((result.hot_spot_c - 20) / (q * half * half / k) / rows[i][1], 1, limit);
        assert_near((result.mean_winding_c - 20) / (q * half * half / k) / rows[i][2], 1, limit);
    }
    plan.drive.resistance_20c_ohm *= 2.6 / 2; /* beyond (pi/2)^2 */
    assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
    assert_true(result.runs_away && isnan(result.hot_spot_c));
}

/* ---- usual coils ----------------------------------------------------------------------------------------------- */

static const cw_band none = { 0, 0, 0 }; /* take the usual */

static cw_winding_material material_of(cw_impregnation impregnation, double sheet)
{
    const cw_winding_material_plan plan = { 0.287e-3, 0.33e-3, 0.34e-3, 0.332e-3 + sheet, 390, 3.42e6,
                                            CW_ARRAY_SQUARE, impregnation, none, none, sheet, 0 };
    cw_winding_material material;

    assert_int_equal(cw_winding_material_of(&plan, &material, NULL), CW_OK);
    return material;
}

static cw_heat_quick_result coil(bool pot, cw_impregnation impregnation, double ambient, double volt)
{
    cw_heat_quick_plan plan = { .inner_radius_m = 0.021, .outer_radius_m = 0.034, .length_m = 0.058 };
    cw_heat_quick_result result;

    plan.material = material_of(impregnation, 0);
    plan.drive = (cw_drive){ CW_DRIVE_VOLTAGE, volt, 84.2, 0.00393 };
    plan.ambient_c = ambient;
    if (pot)
        cw_heat_quick_pot(&plan, 1.5e-3, 2e-3, 0.22, 0.2e-3, 0.026, 0.08, 0.075);
    else
        cw_heat_quick_bobbin(&plan, 2e-3, 0.22, true);
    assert_int_equal(cw_heat_quick(&plan, &result, NULL), CW_OK);
    assert_false(result.runs_away);
    return result;
}

static void coils_move_the_way_an_engineer_expects(void **state)
{
    cw_heat_quick_result bare = coil(false, CW_VARNISHED, 25, 40), hotter = coil(false, CW_VARNISHED, 45, 40);
    cw_heat_quick_result potted = coil(false, CW_POTTED, 25, 40), iron = coil(true, CW_VARNISHED, 25, 40);

    (void)state;
    assert_true(hotter.hot_spot_c > bare.hot_spot_c + 10 && hotter.power_w < bare.power_w);
    assert_true(potted.hot_spot_c < bare.hot_spot_c);
    assert_true(iron.hot_spot_c < bare.hot_spot_c && iron.iron_c > 25 && iron.iron_c < iron.mean_winding_c);
    assert_true(bare.hot_spot_doubt_k > 2 && bare.hot_spot_doubt_k < 0.25 * (bare.hot_spot_c - 25));
    assert_true(bare.mean_winding_c < bare.hot_spot_c && bare.surface_c < bare.hot_spot_c);
    assert_near(bare.resistance_hot_ohm, 84.2 * (1 + 0.00393 * (bare.mean_winding_c - 20)), 1e-6);
    assert_near(bare.power_w, 40 * 40 / bare.resistance_hot_ohm, 1e-6);
    assert_near(coil(false, CW_VARNISHED, 25, 0).hot_spot_c, 25, 1e-6);
}

static void lying_and_standing_pass_about_as_much(void **state)
{
    cw_heat_quick_plan plan = { .inner_radius_m = 0.021, .outer_radius_m = 0.034, .length_m = 0.058, .ambient_c = 25 };
    cw_heat_quick_result up, along;

    (void)state;
    plan.material = material_of(CW_DRY, 0);
    plan.drive = (cw_drive){ CW_DRIVE_VOLTAGE, 40, 84.2, 0.00393 };
    cw_heat_quick_bobbin(&plan, 2e-3, 0.22, true);
    assert_int_equal(cw_heat_quick(&plan, &up, NULL), CW_OK);
    cw_heat_quick_bobbin(&plan, 2e-3, 0.22, false);
    assert_int_equal(cw_heat_quick(&plan, &along, NULL), CW_OK);
    assert_near((along.hot_spot_c - 25) / (up.hot_spot_c - 25), 1, CW_CONVECTION_SPREAD);
}

static void sheets_between_layers_slow_the_heat_across_only(void **state)
{
    cw_winding_material plain = material_of(CW_VARNISHED, 0), papered = material_of(CW_VARNISHED, 0.05e-3);

    (void)state;
    assert_true(papered.across_w_per_mk.nominal < papered.along_axis_w_per_mk.nominal);
    assert_true(papered.across_w_per_mk.nominal < plain.across_w_per_mk.nominal);
    assert_near(plain.across_w_per_mk.nominal, plain.along_axis_w_per_mk.nominal, 1e-15);
    assert_near(plain.copper_share, PI / 4 * 0.287 * 0.287 / (0.34 * 0.332), 1e-12);
    assert_true(plain.along_wire_w_per_mk > 0.99 * 390 * plain.copper_share);
    /* section 4: k times 1/(1 + t k/(pitch k_paper)), there over the layers without their sheets */
    assert_near(papered.across_w_per_mk.nominal * 0.332 / 0.382,
                plain.across_w_per_mk.nominal / (1 + 0.05 * plain.across_w_per_mk.nominal / (0.332 * 0.12)), 1e-12);
}

/* Arrays: little wire is Maxwell's formula; equal conductivities are no array; exchanging rod and matrix turns the
 * conductivity of a regular array over (J. B. Keller, J. Math. Phys. 5, 1964): k(a, b) k(b, a) = a b. */
static void arrays_have_their_limits(void **state)
{
    (void)state;
    assert_near(cw_conductivity_square(10, 1, 0.02) / cw_conductivity_random(10, 1, 0.02), 1, 1e-6);
    assert_near(cw_conductivity_hexagonal(10, 1, 0.02) / cw_conductivity_random(10, 1, 0.02), 1, 1e-8);
    assert_near(cw_conductivity_square(3, 3, 0.5), 3, 1e-12);
    for (double v = 0.1; v < 0.78; v += 0.1)
        for (double ratio = 2; ratio < 100; ratio *= 3) {
            assert_near(cw_conductivity_square(ratio, 1, v) * cw_conductivity_square(1 / ratio, 1, v), 1, 1e-9);
            assert_near(cw_conductivity_hexagonal(ratio, 1, v) * cw_conductivity_hexagonal(1 / ratio, 1, v), 1, 1e-9);
            assert_true(cw_conductivity_square(ratio, 1, v) >= cw_conductivity_random(ratio, 1, v));
        }
}

/* ---- materials, duty, refusals --------------------------------------------------------------------------------- */

static void materials_are_found_by_part_of_their_name(void **state)
{
    cw_heat_material m;
    cw_error error;

    (void)state;
    assert_int_equal(cw_heat_material_find("pa12", 4, NULL, &m, NULL), CW_OK);
    assert_string_equal(m.name, "PA12 powder-fused");
    assert_near(m.conductivity_w_per_mk.nominal, 0.22, 0);
    assert_near(m.limit_c, 80, 0);
    assert_near(m.glass_c, 40, 0);
    assert_int_equal(cw_heat_material_find("epoxy unfilled", 14, NULL, &m, NULL), CW_OK);
    assert_near(m.limit_c, 130, 0);
    assert_int_equal(cw_heat_material_find("air", 3, NULL, &m, NULL), CW_OK);
    assert_true(isnan(m.limit_c));
    assert_int_equal(cw_heat_material_find("epoksi unfilled", 15, NULL, &m, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "epoxy unfilled"));
    assert_int_equal(cw_heat_material_find("", 0, NULL, &m, &error), CW_BAD_INPUT);
}

/* Settled duty against the cycles summed one by one. */
static void duty_settles_where_its_cycles_lead(void **state)
{
    const cw_heat_curve curves[2] = { { 30, 400 }, { 60, 5000 } };
    double fast = 0, slow = 0;

    (void)state;
    for (int cycle = 0; cycle < 1000; cycle++) { /* 180 s off, 120 s on */
        fast *= exp(-180. / 400);
        slow *= exp(-180. / 5000);
        fast = 30 + (fast - 30) * exp(-120. / 400);
        slow = 60 + (slow - 60) * exp(-120. / 5000);
    }
    assert_near(cw_heat_duty_peak_k(curves, 2, 120, 300), fast + slow, 1e-9);
    assert_near(cw_heat_duty_peak_k(curves, 2, 300, 300), 90, 1e-12);
    assert_true(isinf(cw_heat_longest_on_s(curves, 2, 90)));
}

static void nonsense_is_refused_in_words(void **state)
{
    cw_heat_quick_plan plan = hollow(0.06, 0.6, 0.6);
    cw_heat_quick_result result;
    cw_winding_material_plan wire = { 0.3e-3, 0.2e-3, 0.4e-3, 0.4e-3, 390, 3.4e6, CW_ARRAY_SQUARE, CW_DRY, none,
                                      none, 0, 0 };
    cw_winding_material material;
    cw_heat_curve curve;
    cw_error error;

    (void)state;
    assert_int_equal(cw_heat_quick(&plan, &result, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "insulated all round"));
    plan.length_m = NAN;
    assert_int_equal(cw_heat_quick(&plan, &result, &error), CW_BAD_INPUT);
    assert_int_equal(cw_winding_material_of(&wire, &material, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "0.2 mm overall"));
    wire.overall_m = 0.45e-3;
    assert_int_equal(cw_winding_material_of(&wire, &material, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "0.994"));
    assert_int_equal(cw_heat_curve_of_two(20, 45, 10, &curve, &error), CW_BAD_INPUT);
    assert_true(isnan(cw_heat_final_of_three_k(10, 20, 31)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hollow_sections_by_the_collection),
        cmocka_unit_test(slab_feeds_back_and_runs_away),
        cmocka_unit_test(coils_move_the_way_an_engineer_expects),
        cmocka_unit_test(lying_and_standing_pass_about_as_much),
        cmocka_unit_test(sheets_between_layers_slow_the_heat_across_only),
        cmocka_unit_test(arrays_have_their_limits),
        cmocka_unit_test(materials_are_found_by_part_of_their_name),
        cmocka_unit_test(duty_settles_where_its_cycles_lead),
        cmocka_unit_test(nonsense_is_refused_in_words),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
