/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The former as it is described: closed forms, what compensation does, and every refusal provoked. */
#include "coilwright/former.h"

#include <gsl/gsl_integration.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const double pi = 3.14159265358979323846;

static void close_to(double value, double expected, double tolerance)
{
    if (!(fabs(value - expected) <= tolerance))
        fail_msg("%.12g is not %.12g within %g", value, expected, tolerance);
}

static cw_former_plan round_plan(void)
{
    cw_former_plan plan;

    cw_former_plan_init(&plan);
    plan.window = (cw_window){ .shape = CW_ROUND, .inner_m = { 42e-3, 42e-3 }, .length_m = 58e-3, .depth_m = 13e-3 };
    plan.wall_m = 1.5e-3;
    plan.flange_m = 2e-3;
    return plan;
}

static cw_former_plan rectangle_plan(void)
{
    cw_former_plan plan = round_plan();

    plan.window = (cw_window){ .shape = CW_RECTANGLE, .inner_m = { 60e-3, 40e-3 }, .corner_radius_m = 5e-3,
                               .length_m = 30e-3, .depth_m = 10e-3 };
    plan.wall_m = 2e-3;
    plan.flange_m = 3e-3;
    return plan;
}

static cw_former made(const cw_former_plan *plan)
{
    cw_former former;
    cw_error error = { .text = "" };

    if (cw_former_design(plan, NULL, &former, &error) != CW_OK)
        fail_msg("%s", error.text);
    return former;
}

/* ---- outlines -------------------------------------------------------------------------------------------------- */

static double reach(double y, void *outline)
{
    return cw_outline_reach(outline, y);
}

/* GSL's adaptive quadrature knows nothing of the closed form. */
static void half_strips_are_the_integrals_of_reach(void **state)
{
    cw_outline outlines[] = { { { 50e-3, 50e-3 }, 25e-3 }, { { 60e-3, 24e-3 }, 12e-3 }, { { 60e-3, 40e-3 }, 5e-3 },
                              { { 60e-3, 40e-3 }, 0 } };
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(200);

    (void)state;
    for (size_t i = 0; i < sizeof outlines / sizeof outlines[0]; i++)
        for (double share = -0.97; share < 1; share += 0.193) {
            const double y = 0.5 * share * outlines[i].size_m[1], corner = 0.5 * outlines[i].size_m[1] - outlines[i].corner_m;
            double kinks[] = { 0, copysign(fmin(fabs(y), corner), y), y }, integral, part, error;
            const gsl_function f = { reach, &outlines[i] };

            integral = 0;
            for (int k = 0; k < 2; k++) {
                gsl_integration_qags(&f, kinks[k], kinks[k + 1], 0, 1e-10, 200, space, &part, &error);
                integral += part;
            }
            close_to(cw_outline_half_strip(&outlines[i], y), integral, 1e-13);
        }
    gsl_integration_workspace_free(space);
}

static void areas_and_perimeters_are_those_of_circle_rectangle_and_stadium(void **state)
{
    const cw_outline circle = { { 50e-3, 50e-3 }, 25e-3 }, stadium = { { 60e-3, 24e-3 }, 12e-3 },
                     rectangle = { { 60e-3, 40e-3 }, 0 };

    (void)state;
    close_to(cw_outline_area(&circle), pi * 25e-3 * 25e-3, 1e-15);
    close_to(cw_outline_perimeter(&circle), pi * 50e-3, 1e-15);
    close_to(cw_outline_area(&stadium), 36e-3 * 24e-3 + pi * 12e-3 * 12e-3, 1e-15);
    close_to(cw_outline_perimeter(&stadium), 2 * 36e-3 + pi * 24e-3, 1e-15);
    close_to(cw_outline_area(&rectangle), 60e-3 * 40e-3, 1e-15);
    close_to(4 * cw_outline_half_strip(&circle, 25e-3), pi * 25e-3 * 25e-3, 1e-15);
}

/* ---- the former ------------------------------------------------------------------------------------------------ */

/* 42 mm tube, 39 mm bore, flanges 68 mm, twice 2 mm and 58 mm between: by hand. */
static void a_plain_round_former_is_rings_on_a_tube(void **state)
{
    cw_former_plan plan = round_plan();
    cw_former f;
    cw_extent box;

    (void)state;
    plan.slot_m = 0;
    f = made(&plan);
    close_to(f.bore.size_m[0], 39e-3, 1e-12);
    close_to(f.flange.size_m[0], 68e-3, 1e-12);
    close_to(f.length_m, 62e-3, 1e-12);
    close_to(cw_former_volume(&f, 0),
             pi / 4 * (4e-3 * (68e-3 * 68e-3 - 39e-3 * 39e-3) + 58e-3 * (42e-3 * 42e-3 - 39e-3 * 39e-3)), 1e-15);
    cw_former_box(&f, 0, &box);
    close_to(box.high_m[0], 34e-3, 1e-12);
    close_to(box.low_m[2], 0, 0);
    close_to(box.high_m[2], 62e-3, 1e-12);
}

static void the_halves_are_the_whole_less_the_gap(void **state)
{
    cw_former_plan plan = rectangle_plan();
    cw_former whole, halves;
    cw_extent box;

    (void)state;
    plan.tapes = 2;
    plan.pins = 2;
    whole = made(&plan);
    plan.split = true;
    plan.split_gap_m = 0;
    plan.slot_m = 3e-3;
    halves = made(&plan);
    close_to(cw_former_volume(&halves, 0) + cw_former_volume(&halves, 1), cw_former_volume(&whole, 0), 1e-13);
    plan.split_gap_m = 0.2e-3; /* through straight sides: the sheet cuts a plain rectangle out of each wall and flange */
    halves = made(&plan);
    close_to(cw_former_volume(&whole, 0) - cw_former_volume(&halves, 0) - cw_former_volume(&halves, 1),
             2 * 0.2e-3 * (6e-3 * 12e-3 + 30e-3 * 2e-3), 1e-13);
    cw_former_box(&halves, 1, &box);
    close_to(box.high_m[1], -0.1e-3, 1e-12);
}

static void wraps_take_room_from_tube_and_flanges(void **state)
{
    cw_former_plan plan = round_plan();
    cw_former f;

    (void)state;
    plan.wrap_m = 0.2e-3;
    plan.side_wrap_m = 0.3e-3;
    plan.rim_m = 1e-3;
    f = made(&plan);
    close_to(f.tube.size_m[0], 41.6e-3, 1e-12);
    close_to(f.bore.size_m[0], 38.6e-3, 1e-12);
    close_to(f.section_m, 58.6e-3, 1e-12);
    close_to(f.flange.size_m[0], 70e-3, 1e-12);
}

static void without_a_wall_the_core_decides(void **state)
{
    cw_former_plan plan = round_plan();

    (void)state;
    plan.wall_m = NAN;
    plan.core_m[0] = plan.core_m[1] = 38e-3;
    plan.clearance_m = 0.4e-3;
    close_to(made(&plan).wall_m, 1.6e-3, 1e-12);
    plan.wall_m = 1.5e-3;
    close_to(made(&plan).clearance_core_m, 0.5e-3, 1e-12);
}

/* A core with sharp edges asks for a smaller corner: sqrt(2) c/(sqrt(2) - 1) at a clearance c. */
static void the_bore_goes_over_sharp_edges(void **state)
{
    cw_former_plan plan = rectangle_plan();
    cw_former f;

    (void)state;
    close_to(made(&plan).bore.corner_m, 3e-3, 1e-12); /* concentric */
    plan.core_m[0] = 55.2e-3;
    plan.core_m[1] = 35.2e-3;
    f = made(&plan);
    close_to(f.bore.corner_m, sqrt(2) * 0.4e-3 / (sqrt(2) - 1), 1e-12);
    /* the edge of the core touches the corner's circle just there */
    close_to(hypot(27.6e-3 - (28e-3 - f.bore.corner_m), 17.6e-3 - (18e-3 - f.bore.corner_m)), f.bore.corner_m, 1e-12);
    plan.core_corner_m = 3e-3;
    close_to(made(&plan).bore.corner_m, 3e-3, 1e-12);
}

static void the_finish_leaves_where_it_is_asked_to(void **state)
{
    cw_former_plan plan = round_plan();
    cw_former f;

    (void)state;
    plan.sections = 2;
    plan.finish = CW_FINISH_FAR_FLANGE;
    f = made(&plan);
    assert_int_equal(f.slot_count, 3);
    assert_string_equal(f.slots[0].use, "start");
    assert_int_equal(f.slots[0].flange, 0);
    assert_string_equal(f.slots[1].use, "crossing");
    assert_int_equal(f.slots[1].flange, 1);
    assert_string_equal(f.slots[2].use, "finish");
    assert_int_equal(f.slots[2].flange, 2);
    assert_true(f.slots[0].y_m > 0 && f.slots[2].y_m < 0 && f.slots[2].floor_m > f.slots[0].floor_m);
    close_to(cw_former_flange_at(&f, 2) + f.flange_m, f.length_m, 1e-12);
}

/* ---- compensation ---------------------------------------------------------------------------------------------- */

/* Shrunk again, and its holes closed again, the part that is asked for is the finished one. */
static void what_is_asked_for_shrinks_to_what_is_wanted(void **state)
{
    cw_former_plan plan = round_plan();
    cw_former f, asked, again;
    const double left = 1 - 0.0075; /* ABS, 0.7 to 0.8 % */

    (void)state;
    plan.material = "abs";
    plan.wall_m = plan.flange_m = 3e-3;
    plan.pins = 2;
    f = made(&plan);
    cw_former_compensate(&f, &asked);
    close_to(f.shrink, 0.0075, 1e-12);
    close_to(asked.flange.size_m[0] * left, f.flange.size_m[0], 1e-12);
    close_to(asked.length_m * left, f.length_m, 1e-12);
    close_to(asked.bore.size_m[0] * left - 0.2e-3, f.bore.size_m[0], 1e-12); /* holes 0.1 to 0.3 mm small */
    close_to(asked.slots[0].width_m * left - 0.2e-3, f.slots[0].width_m, 1e-12);
    close_to(asked.pins[0].diameter_m * left - 0.2e-3, f.pins[0].diameter_m, 1e-12);
    assert_true(asked.compensated && !f.compensated);
    cw_former_compensate(&asked, &again);
    assert_memory_equal(&again, &asked, sizeof asked);
}

static void what_is_cut_is_asked_for_as_it_is(void **state)
{
    cw_former_plan plan = round_plan();
    cw_former f, asked;
    cw_stock_size stock;

    (void)state;
    plan.material = "acetal";
    f = made(&plan);
    assert_int_equal(f.making, CW_TURNED);
    cw_former_compensate(&f, &asked);
    close_to(cw_former_volume(&asked, 0), cw_former_volume(&f, 0), 0);
    cw_former_stock(&f, &stock);
    assert_true(stock.bar && stock.size_m[0] >= f.flange.size_m[0] && stock.size_m[2] >= f.length_m);
    plan = rectangle_plan();
    plan.material = "G-11";
    f = made(&plan);
    assert_int_equal(f.making, CW_MILLED);
    cw_former_stock(&f, &stock);
    assert_false(stock.bar);
}

/* ---- refusals -------------------------------------------------------------------------------------------------- */

static void refused(const cw_former_plan *plan, const char *words)
{
    cw_former former = { .length_m = 7 };
    cw_error error = { .text = "" };

    if (cw_former_design(plan, &(cw_place){ "job.yaml", 3, 1 }, &former, &error) != CW_BAD_INPUT)
        fail_msg("\"%s\" was expected, and it was taken", words);
    if (strstr(error.text, words) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", error.text, words);
    assert_int_equal(error.line, 3);
    close_to(former.length_m, 7, 0); /* left alone */
}

static void a_wall_thinner_than_the_process_makes_is_refused(void **state)
{
    cw_former_plan plan = round_plan();

    (void)state;
    plan.wall_m = 0.7e-3;
    refused(&plan, "thinner than powder makes it");
    plan = round_plan();
    plan.flange_m = 1.5e-3;
    refused(&(cw_former_plan){ 0 }, "no room for a coil");
    plan.material = "petg"; /* filament: flanges of at least four lines of 0.4 mm */
    refused(&plan, "A flange of 1.50 mm is thinner than filament");
    plan = round_plan();
    plan.sections = 2;
    plan.middle_m = 0.5e-3;
    refused(&plan, "A partition of 0.500 mm is thinner");
    plan = round_plan();
    plan.wall_m = 25e-3;
    refused(&plan, "leaves no bore");
}

static void a_material_softer_than_the_coil_runs_hot_is_refused(void **state)
{
    cw_former_plan plan = round_plan();

    (void)state;
    plan.material = "pla"; /* gives way at 50 °C under wire */
    plan.wall_m = plan.flange_m = 2e-3;
    plan.hot_c = 60;
    refused(&plan, "The coil runs at 60.0 °C, and PLA printed gives way under wire at 50.0 °C");
    plan.hot_c = 45; /* lasts for years up to 45.0 °C */
    assert_null(strstr(made(&plan).remark, "lasts for years"));
    plan.hot_c = 48;
    assert_non_null(strstr(made(&plan).remark, "lasts for years up to 45.0 °C"));
    plan.class_c = 155; /* its user knows better */
    plan.hot_c = 150;
    assert_null(strstr(made(&plan).remark, "lasts for years"));
    plan.class_c = NAN;
    plan.material = "porcelain";
    refused(&plan, "Nobody makes a former of porcelain");
    plan.material = "unobtainium";
    refused(&plan, "is not known");
    plan.material = "brass";
    assert_non_null(strstr(made(&plan).remark, "saw it through"));
}

static void a_core_or_cavity_that_it_does_not_fit_is_refused(void **state)
{
    cw_former_plan plan = round_plan();

    (void)state;
    plan.core_m[0] = plan.core_m[1] = 38.8e-3;
    refused(&plan, "leaves 0.100 mm to the core");
    plan.wall_m = NAN;
    plan.core_m[0] = plan.core_m[1] = 41e-3;
    refused(&plan, "Core and clearance leave 0.300 mm");
    plan = round_plan();
    plan.cavity_m[0] = plan.cavity_m[1] = 68.2e-3;
    refused(&plan, "The flanges leave 0.100 mm to the iron");
    plan.cavity_m[0] = plan.cavity_m[1] = 70e-3;
    plan.cavity_length_m = 61e-3;
    refused(&plan, "Make the window's length smaller by 1.00 mm");
    plan = rectangle_plan();
    plan.core_m[0] = 55.2e-3;
    plan.core_m[1] = 35.2e-3;
    plan.bore_corner_m = 2e-3;
    refused(&plan, "does not go over a core with edges of");
    plan = rectangle_plan();
    plan.window.corner_radius_m = 12e-3;
    plan.core_m[0] = 55.4e-3;
    plan.core_m[1] = 35.4e-3;
    refused(&plan, "thick at the corners");
}

static void no_room_left_for_wire_is_refused(void **state)
{
    cw_former_plan plan = round_plan();

    (void)state;
    plan.fillet_m = 0.5e-3;
    plan.wire_m = 0.3e-3;
    refused(&plan, "leaves no room in the corner for a wire of 0.300 mm");
    plan.wire_m = 1e-3;
    made(&plan);
    plan.wire_m = 0.3e-3;
    plan.wrap_m = plan.side_wrap_m = 0.4e-3; /* the wire stands off by its wrapping */
    made(&plan);
    plan = round_plan();
    plan.fillet_m = 8e-3;
    refused(&plan, "leave no room for wire");
    plan = rectangle_plan();
    plan.window.corner_radius_m = 0;
    plan.fillet_m = 0.2e-3;
    refused(&plan, "sharp corners");
    plan = round_plan();
    plan.wrap_m = 22e-3;
    refused(&plan, "leaves no tube");
}

static void features_that_find_no_room_are_refused(void **state)
{
    cw_former_plan plan = round_plan();

    (void)state;
    plan.slot_m = 14e-3;
    refused(&plan, "side by side find no room");
    plan = round_plan();
    plan.pins = 2;
    plan.pin_m = 2e-3;
    refused(&plan, "finds no hold in a flange");
    plan.flange_m = 4e-3;
    plan.window.depth_m = 5e-3;
    refused(&plan, "find no room beside the slots");
    plan = round_plan();
    plan.tapes = 4;
    refused(&plan, "takes two tapes");
    plan.tapes = 2;
    plan.tape_m = 30e-3;
    refused(&plan, "find no room on a side");
    plan.tape_m = 10e-3;
    plan.tape_depth_m = 1e-3;
    refused(&plan, "makes none below");
    plan.window.shape = CW_OBROUND; /* nearly round: two on a side would run into each other */
    plan.window.inner_m[1] = 38e-3;
    plan.tape_depth_m = NAN;
    plan.tapes = 4;
    plan.tape_m = 5e-3;
    refused(&plan, "4 tapes of 5.00 mm find no room on a side of 4.00 mm");
    plan = round_plan();
    plan.split = true;
    plan.split_gap_m = 2e-3;
    refused(&plan, "are no former");
}

static void what_cannot_be_made_so_is_refused(void **state)
{
    cw_former_plan plan = rectangle_plan();

    (void)state;
    plan.making = CW_TURNED;
    refused(&plan, "cannot be turned");
    plan = round_plan();
    plan.making = CW_TURNED;
    plan.tapes = 2;
    refused(&plan, "Recesses for tape cannot be turned");
    plan = round_plan();
    plan.shrink = 0.2;
    refused(&plan, "is no part");
    plan = round_plan();
    plan.sections = 9;
    refused(&plan, "9 sections");
    plan = round_plan();
    plan.pins = 3;
    refused(&plan, "stand in pairs");
    plan = round_plan();
    plan.rim_m = -1e-3;
    refused(&plan, "is no size");
}

/* ---- the arbor ------------------------------------------------------------------------------------------------- */

static void the_arbor_fits_the_former(void **state)
{
    cw_former_plan plan = round_plan();
    const cw_former f = made(&plan);
    cw_arbor_plan wish;
    cw_arbor a;

    (void)state;
    cw_arbor_plan_init(&wish);
    assert_int_equal(cw_arbor_design(&f, &wish, NULL, &a, NULL), CW_OK);
    close_to(a.plug.size_m[0], f.bore.size_m[0] - 0.1e-3, 1e-12);
    close_to(a.plug_length_m, f.length_m - 0.3e-3, 1e-12); /* the cheeks reach the flanges before the plug */
    close_to(a.cheek.size_m[0], f.flange.size_m[0], 1e-12);
    /* the screw ends in the thread, and before its end */
    assert_true(a.screw_length_m > a.former_length_m + 2 * a.cheek_m + 1e-3 * a.screw);
    assert_true(a.screw_length_m < a.former_length_m + 2 * a.cheek_m + a.tapped_depth_m);
    assert_true(a.tapped_depth_m < a.collar_length_m + a.shank_length_m);
    /* the drive pin misses the screw and stays inside collar and plug */
    assert_true(a.pin_x_m - 0.5 * a.pin_m > 0.5 * a.screw_hole_m);
    assert_true(a.pin_x_m + 0.5 * a.pin_m < 0.5 * fmin(a.collar_m, a.plug.size_m[0]));
    close_to(cw_arbor_volume(&a, CW_ARBOR_FAR_CHEEK),
             a.cheek_m * pi / 4 * (68e-3 * 68e-3 - a.screw_hole_m * a.screw_hole_m), 1e-15);
}

static void arbor_refused(const cw_former *former, const cw_arbor_plan *wish, const char *words)
{
    cw_arbor a;
    cw_error error = { .text = "" };

    assert_int_equal(cw_arbor_design(former, wish, NULL, &a, &error), CW_BAD_INPUT);
    if (strstr(error.text, words) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", error.text, words);
}

static void an_arbor_that_cannot_be_is_refused(void **state)
{
    cw_former_plan plan = round_plan();
    cw_former f = made(&plan);
    cw_arbor_plan wish;

    (void)state;
    cw_arbor_plan_init(&wish);
    wish.screw_m = 7e-3;
    arbor_refused(&f, &wish, "A screw of 7 mm");
    cw_arbor_plan_init(&wish);
    wish.shank_m = 2e-3;
    arbor_refused(&f, &wish, "none that a lathe holds");
    cw_arbor_plan_init(&wish);
    wish.cheek_m = 1e-3;
    arbor_refused(&f, &wish, "do not keep flanges from spreading");
    cw_arbor_plan_init(&wish);
    wish.pinch_m = 50e-3;
    arbor_refused(&f, &wish, "nothing is left of the plug");
    cw_arbor_plan_init(&wish);
    plan.window.inner_m[0] = plan.window.inner_m[1] = 9e-3;
    plan.slot_m = 1e-3;
    f = made(&plan);
    arbor_refused(&f, &wish, "No screw goes through a plug");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_strips_are_the_integrals_of_reach),
        cmocka_unit_test(areas_and_perimeters_are_those_of_circle_rectangle_and_stadium),
        cmocka_unit_test(a_plain_round_former_is_rings_on_a_tube),
        cmocka_unit_test(the_halves_are_the_whole_less_the_gap),
        cmocka_unit_test(wraps_take_room_from_tube_and_flanges),
        cmocka_unit_test(without_a_wall_the_core_decides),
        cmocka_unit_test(the_bore_goes_over_sharp_edges),
        cmocka_unit_test(the_finish_leaves_where_it_is_asked_to),
        cmocka_unit_test(what_is_asked_for_shrinks_to_what_is_wanted),
        cmocka_unit_test(what_is_cut_is_asked_for_as_it_is),
        cmocka_unit_test(a_wall_thinner_than_the_process_makes_is_refused),
        cmocka_unit_test(a_material_softer_than_the_coil_runs_hot_is_refused),
        cmocka_unit_test(a_core_or_cavity_that_it_does_not_fit_is_refused),
        cmocka_unit_test(no_room_left_for_wire_is_refused),
        cmocka_unit_test(features_that_find_no_room_are_refused),
        cmocka_unit_test(what_cannot_be_made_so_is_refused),
        cmocka_unit_test(the_arbor_fits_the_former),
        cmocka_unit_test(an_arbor_that_cannot_be_is_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
