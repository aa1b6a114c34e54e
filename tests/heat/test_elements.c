/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Steady heat by finite elements against closed forms. */
#include "coilwright/heat.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "near.h"

#define PI 3.14159265358979323846

static cw_heat_part solid(const char *name, double x0, double x1, double y0, double y1, double kx, double ky)
{
    cw_heat_part part = { .kind = CW_PART_SOLID, .x = { x0, x1 }, .y = { y0, y1 }, .conductivity_w_per_mk = { kx, ky },
                          .capacity_j_per_m3k = 2.5e6, .emissivity = 0.9, .limit_c = NAN };

    snprintf(part.name, sizeof part.name, "%s", name);
    return part;
}

static cw_heat_part sink(double x0, double x1, double y0, double y1, double coefficient, double sink_c)
{
    return (cw_heat_part){ .name = "sink", .kind = CW_PART_SINK, .x = { x0, x1 }, .y = { y0, y1 },
                           .coefficient_w_per_m2k = coefficient, .sink_c = sink_c, .limit_c = NAN };
}

static cw_heat_result steady_of(const cw_heat_section *section, double fineness, int halvings)
{
    const cw_heat_wish wish = { fineness, halvings };
    cw_heat *heat = NULL;
    cw_heat_result result;
    cw_error error = { 0 };

    if (cw_heat_create(section, &wish, &heat, &error) != CW_OK)
        fail_msg("%s", error.text);
    assert_int_equal(cw_heat_steady(heat, &result, NULL), CW_OK);
    assert_true(result.runs_away || result.energy_error < 1e-6);
    cw_heat_destroy(&heat);
    return result;
}

/* The hollow section of the collection on heat, 5.3: r 20 to 50 mm, 60 mm long, 50 kW/m3. Coefficients of the faces
 * inside, outside, below, above; 0 insulated. */
static cw_heat_section hollow(double k_r, double k_z, const double h[4], double sink_c)
{
    cw_heat_section s = { .ambient_c = 25, .part_count = 5 };

    s.part[0] = solid("winding", 0.02, 0.05, 0, 0.06, k_r, k_z);
    s.part[0].winding = true;
    s.part[1] = sink(0.01, 0.02, 0, 0.06, h[0], sink_c);
    s.part[2] = sink(0.05, 0.06, 0, 0.06, h[1], sink_c);
    s.part[3] = sink(0.02, 0.05, -0.01, 0, h[2], sink_c);
    s.part[4] = sink(0.02, 0.05, 0.06, 0.07, h[3], sink_c);
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, 50e3 * PI * (0.05 * 0.05 - 0.02 * 0.02) * 0.06, 0 };
    return s;
}

/* Sinks outside the solid are outside the mesh's box: they must be caught as neighbours all the same. */
static void hollow_sections_by_the_collection(void **state)
{
    static const double d1[4] = { 12, 12, 0, 0 }, d2[4] = { 0, 12, 0, 0 }, all[4] = { 12, 12, 12, 12 };
    static const double held[4] = { 1e9, 1e9, 1e9, 1e9 };
    cw_heat_section s = hollow(0.6, 0.6, d1, 25);
    cw_heat_result r = steady_of(&s, 1, 1);

    (void)state;
    assert_near(r.hot_spot_c, 97.831, 1e-3 * 72.8); /* D1, whose peak lies between nodes */
    assert_near(r.hot_spot_x_m, 32.098e-3, 1e-3);
    assert_near(r.mean_winding_c, 94.142, half_unit(3));
    s = hollow(0.6, 0.6, d2, 25); /* D2 */
    r = steady_of(&s, 1, 1);
    assert_near(r.hot_spot_c, 140.979, half_unit(3));
    assert_near(r.mean_winding_c, 128.951, half_unit(3));
    s = hollow(0.25, 0.25, (double[4]){ 500, 12, 0, 0 }, 25); /* D3 */
    r = steady_of(&s, 1, 1);
    assert_near(r.hot_spot_c, 75.189, 1e-3 * 50.2);
    assert_near(r.mean_winding_c, 66.809, half_unit(3));
    s = hollow(0.6, 0.6, all, 0); /* D7 */
    r = steady_of(&s, 1, 1);
    assert_near(r.hot_spot_c, 53.30, 1e-3 * 53.3);
    assert_near(r.mean_winding_c, 47.13, half_unit(2));
    s = hollow(0.6, 0.6, held, 0); /* D6: the collection's own grid of 120 leaves its last digit uncertain */
    r = steady_of(&s, 1, 1);
    assert_near(r.hot_spot_c, 8.704, 1e-3 * 8.704);
    assert_near(r.mean_winding_c, 4.329, 1e-3 * 4.329);
    s = hollow(0.3, 0.6, held, 0); /* D8 */
    r = steady_of(&s, 1, 1);
    assert_near(r.hot_spot_c, 14.829, 1e-3 * 14.829);
    assert_near(r.mean_winding_c, 7.110, 1e-3 * 7.110);
}

/* Section 5.4: rectangle, edges held, Tmax k/(q a^2) and mean; long half-side b/a. */
static void rectangles_by_the_torsion_series(void **state)
{
    static const double rows[5][3] = { { 1, 0.29469, 0.14058 }, { 1.5, 0.40309, 0.19576 }, { 2, 0.45549, 0.22868 },
                                       { 3, 0.49073, 0.26332 }, { 5, 0.49960, 0.29132 } };

    (void)state;
    for (int i = 0; i < 5; i++) {
        cw_heat_section s = { .planar = true, .depth_m = 1, .ambient_c = 0, .part_count = 5 };
        double a = 0.01, b = a * rows[i][0], k = 0.5, q = 1e5;
        cw_heat_result r;

        s.part[0] = solid("winding", 0, 2 * a, 0, 2 * b, k, k);
        s.part[0].winding = true;
        s.part[1] = sink(-1, 0, 0, 2 * b, 1e9, 0);
        s.part[2] = sink(2 * a, 1, 0, 2 * b, 1e9, 0);
        s.part[3] = sink(0, 2 * a, -1, 0, 1e9, 0);
        s.part[4] = sink(0, 2 * a, 2 * b, 1, 1e9, 0);
        s.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, q * 4 * a * b, 0 };
        r = steady_of(&s, 1, 1);
        assert_near(r.hot_spot_c * k / (q * a * a), rows[i][1], 1e-3 * rows[i][1]);
        assert_near(r.mean_winding_c * k / (q * a * a), rows[i][2], 1e-3 * rows[i][2]);
    }
}

/* D2's closed form (5.1): inner face insulated. The mean's error falls as the fourth power of the cells, as second-
 * order triangles have it in energy; the hot spot's as the third or better. */
static double hollow_error(int halvings, double *mean_error)
{
    static const double d2[4] = { 0, 12, 0, 0 };
    double r1 = 0.02, r2 = 0.05, q = 50e3, k = 0.6, outer = 25 + q * (r2 * r2 - r1 * r1) / (2 * r2 * 12);
    double exact = outer + q * r2 * r2 / (4 * k) * (1 - r1 * r1 / (r2 * r2)) - q * r1 * r1 / (2 * k) * log(r2 / r1);
    double c = outer + q * r2 * r2 / (4 * k) - q * r1 * r1 / (2 * k) * log(r2), area = r2 * r2 - r1 * r1;
    double mean = c - q / (8 * k) * (pow(r2, 4) - pow(r1, 4)) / area +
                  q * r1 * r1 / (2 * k) * ((r2 * r2 * log(r2) - r1 * r1 * log(r1)) / area - 0.5);
    cw_heat_section s = hollow(0.6, 0.6, d2, 25);
    cw_heat_result r = steady_of(&s, 0.17, halvings);

    *mean_error = fabs(r.mean_winding_c - mean);
    return fabs(r.hot_spot_c - exact);
}

static void errors_fall_with_the_order_of_the_elements(void **state)
{
    double mean[4], hot[4];

    (void)state;
    for (int h = 0; h < 4; h++)
        hot[h] = hollow_error(h, &mean[h]);
    for (int h = 1; h < 3; h++) {
        assert_true(log2(mean[h] / mean[h + 1]) > 3.7);
        assert_true(log2(hot[h] / hot[h + 1]) > 2.7);
    }
    assert_true(hot[3] < 1e-5 * 116); /* of the rise */
}

/* Section 5.5: slab with the loss of its local temperature, constant current; X = alpha q L^2/k. */
static void slab_feeds_back_and_runs_away(void **state)
{
    static const double rows[3][3] = { { 0.25, 0.55798, 0.37042 }, { 1, 0.85082, 0.55741 }, { 2, 2.70629, 1.73945 } };
    double k = 1, half = 0.01, alpha = 1. / 50;
    cw_heat_section s = { .planar = true, .depth_m = 0.1, .ambient_c = 20, .part_count = 3 };
    cw_heat_result r;

    (void)state;
    s.part[0] = solid("winding", 0, 2 * half, 0, 0.02, k, k);
    s.part[0].winding = true;
    s.part[1] = sink(-1, 0, 0, 0.02, 1e9, 20);
    s.part[2] = sink(2 * half, 1, 0, 0.02, 1e9, 20);
    s.part[s.part_count++] = sink(0, 2 * half, -1, 0, 0, 20);
    s.part[s.part_count++] = sink(0, 2 * half, 0.02, 1, 0, 20);
    for (int i = 0; i < 3; i++) {
        double q = rows[i][0] * k / (alpha * half * half), unit = q * half * half / k;

        s.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, q * 2 * half * 0.02 * 0.1, alpha };
        r = steady_of(&s, 1, 0);
        assert_near((r.hot_spot_c - 20) / unit, rows[i][1], 1e-3 * rows[i][1]);
        assert_near((r.mean_winding_c - 20) / unit, rows[i][2], 1e-3 * rows[i][2]);
    }
    s.drive.resistance_20c_ohm *= 2.47 / 2; /* just beyond (pi/2)^2 = 2.467 */
    assert_true(steady_of(&s, 2, 0).runs_away);
}

/* A long solid cylinder: runs away at X = 2.405^2 = 5.783 (first zero of J0). */
static void cylinder_runs_away_at_the_zero_of_bessels_function(void **state)
{
    double k = 1, r0 = 0.01, alpha = 1. / 50;
    cw_heat_section s = { .ambient_c = 20, .part_count = 4 };

    (void)state;
    s.part[0] = solid("winding", 0, r0, 0, 0.02, k, k);
    s.part[0].winding = true;
    s.part[1] = sink(r0, 1, 0, 0.02, 1e9, 20);
    s.part[2] = sink(0, r0, -1, 0, 0, 20);
    s.part[3] = sink(0, r0, 0.02, 1, 0, 20);
    for (int beyond = 0; beyond < 2; beyond++) {
        s.drive = (cw_drive){ CW_DRIVE_CURRENT, 1, (beyond ? 5.80 : 4.5) * k / (alpha * r0 * r0) * PI * r0 * r0 * 0.02,
                              alpha };
        assert_true(steady_of(&s, 1, 0).runs_away == (beyond == 1));
    }
}

/* Kreith K2: two 10 mm plates of k 240 with 2.75e-4 m2 K/W between, 405 and 395 degrees outside. Cengel: 11 000
 * W/(m2 K) are 21.5 mm of aluminium of k 237. */
static void contact_by_the_worked_example(void **state)
{
    cw_heat_section s = { .planar = true, .depth_m = 1, .ambient_c = 20, .part_count = 6, .contact_count = 1 };
    cw_heat *heat = NULL;
    cw_heat_result r;
    double *t;

    (void)state;
    s.part[0] = solid("one", 0, 0.01, 0, 0.01, 240, 240);
    s.part[1] = solid("other", 0.01, 0.02, 0, 0.01, 240, 240);
    s.part[2] = sink(-1, 0, 0, 0.01, 1e12, 405);
    s.part[3] = sink(0.02, 1, 0, 0.01, 1e12, 395);
    s.part[4] = sink(0, 0.02, -1, 0, 0, 0);
    s.part[5] = sink(0, 0.02, 0.01, 1, 0, 0);
    s.contact[0] = (cw_heat_contact){ 1, 0, 1 / 2.75e-4 };
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 0, 1, 0 };
    assert_int_equal(cw_heat_create(&s, NULL, &heat, NULL), CW_OK);
    assert_int_equal(cw_heat_steady(heat, &r, NULL), CW_OK);
    t = cw_allocate(cw_heat_mesh(heat)->node_count, sizeof *t);
    cw_heat_node_temperatures(heat, t);
    /* flux 10/(2 x .01/240 + 2.75e-4) = 2.79e4 W/m2; the interface drops 7.67 K */
    assert_near((405 - r.part[0].mean_c) * 2 * 240 / 0.01, 2.79e4, 0.005e4);
    assert_near(r.part[0].mean_c - r.part[1].mean_c - 2.79e4 * 0.01 / 240, 7.67, half_unit(2));
    for (size_t i = 0; i < cw_heat_mesh(heat)->node_count; i++)
        assert_true(t[i] <= 405 + 1e-6 && t[i] >= 395 - 1e-6);
    cw_free(t);
    cw_heat_destroy(&heat);
}

/* Incropera 3.7 (G1): wall A 50 mm k 75 q 1.5e6, back insulated, wall B 20 mm k 150, h 1000 to 30 degrees. */
static void composite_wall_by_the_worked_example(void **state)
{
    cw_heat_section s = { .planar = true, .depth_m = 1, .ambient_c = 30, .part_count = 6 };
    cw_heat_result r;

    (void)state;
    s.part[0] = solid("A", 0, 0.05, 0, 0.05, 75, 75);
    s.part[0].loss_w = 1.5e6 * 0.05 * 0.05;
    s.part[1] = solid("B", 0.05, 0.07, 0, 0.05, 150, 150);
    s.part[2] = sink(-1, 0, 0, 0.05, 0, 0);
    s.part[3] = sink(0.07, 1, 0, 0.05, 1000, 30);
    s.part[4] = sink(0, 0.07, -1, 0, 0, 0);
    s.part[5] = sink(0, 0.07, 0.05, 1, 0, 0);
    s.part[1].limit_c = 120;
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 0, 1, 0 };
    r = steady_of(&s, 1, 0);
    assert_near(r.part[0].most_c, 140, 1e-6);
    assert_near(r.part[1].most_c, 115, 1e-6);
    assert_near(r.part[1].mean_c, 110, 1e-6); /* 105 outside */
    assert_near(r.margin_k, 5, 1e-6);
    assert_int_equal(r.tightest, 1);
}

/* One straight bar or plate between two sinks or with its own loss, as the books have them. */
static cw_heat_section bar(double length, double side, double k, double left, double left_c, double right,
                           double right_c)
{
    cw_heat_section s = { .planar = true, .depth_m = 1, .ambient_c = 20, .part_count = 5 };

    s.part[0] = solid("bar", 0, length, 0, side, k, k);
    s.part[1] = sink(-1, 0, 0, side, left, left_c);
    s.part[2] = sink(length, 1, 0, side, right, right_c);
    s.part[3] = sink(0, length, -1, 0, 0, 0);
    s.part[4] = sink(0, length, side, 1, 0, 0);
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 0, 1, 0 };
    return s;
}

/* A rod round the axis with its own loss in W/m, losing heat at its rim. */
static cw_heat_section rod(double radius, double k, double watt_per_m, double coefficient, double sink_c)
{
    cw_heat_section s = { .ambient_c = 20, .part_count = 4 };

    s.part[0] = solid("rod", 0, radius, 0, radius, k, k);
    s.part[0].loss_w = watt_per_m * radius;
    s.part[1] = sink(radius, 1, 0, radius, coefficient, sink_c);
    s.part[2] = sink(0, radius, -1, 0, 0, 0);
    s.part[3] = sink(0, radius, radius, 1, 0, 0);
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 0, 1, 0 };
    return s;
}

/* G2 (Holman 2.6): 3 mm steel wire, 200 A, 70 uohm cm, k 19, h 4000, 110 degrees. G3 (Kreith 2.1): 10 mm plate, q 1e6,
 * k 64, 41.7 W/(m2 K) to oil at 80 degrees; centre .2 K hotter. G5 (Jakob and Hawkins 5.2): r .25 in, 10 Btu/(in3 h),
 * k 10 Btu/(h ft F): centre .19 F above the surface. */
static void wires_and_plates_with_loss_by_the_worked_examples(void **state)
{
    double ohm_per_m = 70e-8 / (PI * 0.0015 * 0.0015), btu = 1055.056 / 3600, inch = 0.0254;
    cw_heat_section s = rod(0.0015, 19, 200 * 200 * ohm_per_m, 4000, 110);
    cw_heat_result r = steady_of(&s, 1, 0);

    (void)state;
    assert_near(ohm_per_m, 0.099, half_unit(3));
    assert_near(r.power_out_w / 0.0015, 3961, half_unit(0));
    assert_near(r.part[0].most_c, 231.7, half_unit(1));
    assert_near(r.part[0].most_c - 2 * (r.part[0].most_c - r.part[0].mean_c), 215.1, half_unit(1));
    s = bar(0.005, 0.005, 64, 0, 0, 41.7, 80);
    s.part[0].loss_w = 1e6 * 0.005 * 0.005;
    r = steady_of(&s, 1, 0);
    assert_near(r.part[0].most_c - 3 * (r.part[0].most_c - r.part[0].mean_c), 200, half_unit(0));
    assert_near(3 * (r.part[0].most_c - r.part[0].mean_c), 0.2, half_unit(1)); /* a parabola */
    s = rod(0.25 * inch, 10 * btu / (0.3048 / 1.8), 10 * btu * PI * 0.25 * 0.25 / inch, 1e4, 20);
    r = steady_of(&s, 1, 0);
    assert_near(2 * (r.part[0].most_c - r.part[0].mean_c) * 1.8, 0.19, half_unit(2));
    assert_near(r.power_out_w / (0.25 * inch) / btu * 0.3048, 23.6, half_unit(1));
}

/* K1 (Holman, chapter 2): two 100 mm bars of 30 mm diameter, k 16.3, h_c 1893.93, 100 K over all: 5.52 W, 4.13 K. */
static void contact_of_bars_by_the_worked_example(void **state)
{
    double side = PI / 4 * 0.03 * 0.03; /* a depth of 1 m makes it the section */
    cw_heat_section s = bar(0.2, side, 16.3, 1e9, 100, 1e9, 0);
    cw_heat_result r;

    (void)state;
    s.part[0].x[1] = 0.1;
    s.part[s.part_count] = solid("other", 0.1, 0.2, 0, side, 16.3, 16.3);
    s.contact[s.contact_count++] = (cw_heat_contact){ 0, s.part_count++, 1893.93 };
    r = steady_of(&s, 1, 0);
    assert_near((100 - r.part[0].mean_c) * 2 * 16.3 * side / 0.1, 5.52, half_unit(2));
    assert_near(100 - 4 * (100 - r.part[0].mean_c), 4.13, half_unit(2));
}

/* K4 (Cengel 3.5): 5 m of 3 mm wire in 2 mm of plastic k .15, 80 W, h 12, air 30: wire 105.0 degrees. */
static void covered_wire_by_the_worked_example(void **state)
{
    cw_heat_section s = rod(0.0015, 400, 80. / 5, 12, 30);
    cw_heat_result r;

    (void)state;
    s.part[1].x[0] = 0.0035;
    s.part[s.part_count++] = solid("plastic", 0.0015, 0.0035, 0, 0.0015, 0.15, 0.15);
    s.part[2].x[1] = s.part[3].x[1] = 0.0035;
    r = steady_of(&s, 1, 0);
    assert_near(r.part[4].most_c, 105.0, half_unit(1));
}

/* Anisotropic: stretching z by root(k_r/k_z) gives the isotropic problem (5.1). */
static void anisotropy_is_a_stretched_axis(void **state)
{
    static const double held[4] = { 1e9, 1e9, 1e9, 1e9 };
    cw_heat_section wide = hollow(0.3, 1.2, held, 0), square = hollow(0.3, 0.3, held, 0);

    (void)state;
    for (int p = 0; p < 5; p++)
        for (int i = 0; i < 2; i++)
            square.part[p].y[i] = wide.part[p].y[i] / 2;
    square.drive.resistance_20c_ohm /= 2;
    assert_near(steady_of(&wide, 1, 0).hot_spot_c, steady_of(&square, 1, 0).hot_spot_c, 1e-6);
}

/* ---- the quick estimate, the air ------------------------------------------------------------------------------ */

/* The same coil in free air by both: bore and lower face insulated, the rest by correlations at constant voltage. */
static void quick_estimate_agrees(void **state)
{
    cw_heat_section s = { .ambient_c = 30, .part_count = 2 };
    cw_heat_quick_plan plan = { .inner_radius_m = 0.02, .outer_radius_m = 0.035, .length_m = 0.05, .ambient_c = 30 };
    cw_heat_quick_result quick;
    cw_heat_result r;

    (void)state;
    s.part[0] = solid("winding", 0.02, 0.035, 0, 0.05, 0.4, 0.5);
    s.part[0].winding = true;
    s.part[1] = sink(0, 0.02, 0, 0.05, 0, 0);
    s.drive = plan.drive = (cw_drive){ CW_DRIVE_VOLTAGE, 48, 100, 0.00393 };
    cw_heat_quick_bobbin(&plan, 0, 0, true);
    plan.material.across_w_per_mk.nominal = 0.4;
    plan.material.along_axis_w_per_mk.nominal = 0.5;
    assert_int_equal(cw_heat_quick(&plan, &quick, NULL), CW_OK);
    r = steady_of(&s, 1, 0);
    assert_near((quick.hot_spot_c - 30) / (r.hot_spot_c - 30), 1, 0.01);
    assert_near((quick.mean_winding_c - 30) / (r.mean_winding_c - 30), 1, 0.01);
    assert_near(r.power_w, 48 * 48 / r.resistance_hot_ohm, 1e-6);
}

/* A pot magnet on the bench. */
static cw_heat_section pot_magnet(void)
{
    cw_heat_section s = { .ambient_c = 25, .part_count = 7 };

    s.part[0] = solid("base", 0, 0.04, 0, 0.01, 55, 55);
    s.part[1] = solid("pole", 0, 0.015, 0.01, 0.05, 55, 55);
    s.part[2] = solid("rim", 0.034, 0.04, 0.01, 0.05, 55, 55);
    s.part[3] = solid("former", 0.0155, 0.034, 0.01, 0.048, 0.22, 0.22);
    s.part[4] = solid("winding", 0.017, 0.0325, 0.012, 0.046, 0.45, 0.45);
    s.part[4].winding = true;
    s.part[4].conductivity_spread = 1.5;
    s.part[4].limit_c = 155;
    s.part[3].limit_c = 80;
    s.part[5] = solid("gap", 0.015, 0.0155, 0.01, 0.048, 0.026, 0.026);
    s.part[6] = solid("film", 0.0325, 0.034, 0.012, 0.046, 0.2, 0.2);
    s.contact[s.contact_count++] = (cw_heat_contact){ 0, 3, 100 };
    s.drive = (cw_drive){ CW_DRIVE_VOLTAGE, 40, 84.2, 0.00393 };
    return s;
}

static void magnet_moves_the_way_an_engineer_expects(void **state)
{
    cw_heat_section s = pot_magnet(), hotter = s, thinner = s, shiny = s, lying = s;
    cw_heat_result base = steady_of(&s, 1, 0), fine = steady_of(&s, 1, 1);

    (void)state;
    assert_near(fine.hot_spot_c, base.hot_spot_c, 1e-3 * (base.hot_spot_c - 25));
    assert_true(base.hot_spot_x_m > 0.017 && base.hot_spot_x_m < 0.0325);
    hotter.ambient_c = 45;
    assert_true(steady_of(&hotter, 1, 0).hot_spot_c > base.hot_spot_c + 12);
    thinner.part[4].x[0] = 0.0162; /* a thinner wall */
    assert_true(steady_of(&thinner, 1, 0).hot_spot_c < base.hot_spot_c);
    for (int p = 0; p < 3; p++)
        shiny.part[p].emissivity = 0.1;
    assert_true(steady_of(&shiny, 1, 0).hot_spot_c > base.hot_spot_c + 5);
    lying.lying = true;
    assert_near((steady_of(&lying, 1, 0).hot_spot_c - 25) / (base.hot_spot_c - 25), 1, CW_CONVECTION_SPREAD);
    assert_true(base.surface_c < base.mean_winding_c && base.mean_winding_c < base.hot_spot_c);
}

static void doubt_is_that_of_surfaces_and_winding(void **state)
{
    cw_heat_section s = pot_magnet();
    cw_heat_result r;

    (void)state;
    assert_int_equal(cw_heat_steady_with_doubt(&s, NULL, &r, NULL), CW_OK);
    assert_true(r.hot_spot_doubt_k > 2 && r.hot_spot_doubt_k < 0.2 * (r.hot_spot_c - 25));
}

/* Layers conduct in series, (1 - v)/filler + v/rod. */
static void layers_conduct_in_series(void **state)
{
    cw_heat_section s = { .planar = true, .depth_m = 1, .ambient_c = 20, .part_count = 6 };
    cw_heat_result r;
    double k = 1 / (0.4 / 0.2 + 0.6 / 5);

    (void)state;
    s.part[0] = solid("filler", 0, 0.01, 0, 0.004, 0.2, 0.2);
    s.part[1] = solid("rod", 0.002, 0.008, 0, 0.004, 5, 5);
    s.part[2] = sink(-1, 0, 0, 0.004, 1e9, 30);
    s.part[3] = sink(0.01, 1, 0, 0.004, 1e9, 20);
    s.part[4] = sink(0, 0.01, -1, 0, 0, 0);
    s.part[5] = sink(0, 0.01, 0.004, 1, 0, 0);
    s.drive = (cw_drive){ CW_DRIVE_CURRENT, 0, 1, 0 };
    r = steady_of(&s, 1, 0);
    assert_near(r.part[0].most_c - 30, 0, 1e-6);
    assert_near(r.part[1].most_c, 30 - 10 * k * 0.2 / 0.2, 1e-6);
}

static void nonsense_is_refused_in_words(void **state)
{
    cw_heat_section s = pot_magnet();
    cw_heat *heat = NULL;
    cw_error error;

    (void)state;
    s.part[0].x[1] = -1;
    assert_int_equal(cw_heat_create(&s, NULL, &heat, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "\"base\""));
    s = pot_magnet();
    s.part[4].conductivity_w_per_mk[1] = NAN;
    assert_int_equal(cw_heat_create(&s, NULL, &heat, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "\"winding\""));
    s = pot_magnet();
    s.drive.resistance_20c_ohm = 0;
    assert_int_equal(cw_heat_create(&s, NULL, &heat, &error), CW_BAD_INPUT);
    s = pot_magnet();
    for (int p = 0; p < s.part_count; p++)
        s.part[p].kind = CW_PART_AIR;
    assert_int_equal(cw_heat_create(&s, NULL, &heat, &error), CW_BAD_INPUT);
    assert_null(heat);
}

static void running_out_of_memory_leaves_nothing_behind(void **state)
{
    cw_heat_section s = pot_magnet();
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        const cw_heat_wish coarse = { 0.17, 0 };
        cw_heat *heat = NULL;
        cw_heat_result result;

        cw_memory_fail_after(granted);
        status = cw_heat_create(&s, &coarse, &heat, NULL);
        if (status == CW_OK)
            status = cw_heat_steady(heat, &result, NULL);
        else
            assert_null(heat);
        cw_memory_fail_after(-1);
        cw_heat_destroy(&heat);
    }
    assert_int_equal(status, CW_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hollow_sections_by_the_collection),
        cmocka_unit_test(rectangles_by_the_torsion_series),
        cmocka_unit_test(errors_fall_with_the_order_of_the_elements),
        cmocka_unit_test(slab_feeds_back_and_runs_away),
        cmocka_unit_test(cylinder_runs_away_at_the_zero_of_bessels_function),
        cmocka_unit_test(contact_by_the_worked_example),
        cmocka_unit_test(composite_wall_by_the_worked_example),
        cmocka_unit_test(wires_and_plates_with_loss_by_the_worked_examples),
        cmocka_unit_test(contact_of_bars_by_the_worked_example),
        cmocka_unit_test(covered_wire_by_the_worked_example),
        cmocka_unit_test(anisotropy_is_a_stretched_axis),
        cmocka_unit_test(quick_estimate_agrees),
        cmocka_unit_test(magnet_moves_the_way_an_engineer_expects),
        cmocka_unit_test(doubt_is_that_of_surfaces_and_winding),
        cmocka_unit_test(layers_conduct_in_series),
        cmocka_unit_test(nonsense_is_refused_in_words),
        cmocka_unit_test(running_out_of_memory_leaves_nothing_behind),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
