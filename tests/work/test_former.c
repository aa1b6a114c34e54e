/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job's former: what its magnet, its winding and its heat make of it. */
#include "coilwright/work.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const char coil[] =
    "coilwright: 1\nunits: metric\n"
    "wanted: {resistance: 71.0 ohm ± 4 %, thermal_class: 155}\n"
    "readings:\n  - {kind: coil-resistance, of: sibling, value: 71.0 ohm, at: 20 °C}\n"
    "  - {kind: bare-diameter, value: 0.286 mm}\n  - {kind: turns, value: 1850}\n"
    "supply: {kind: dc, voltage: 24 V, ambient: 25 °C}\n";
static const char round_window[] = "window: {shape: round, inner: 42 mm, length: 58 mm, depth: 13 mm}\n";
static const char across_window[] = "window: {shape: rectangle, inner_size: [30 mm, 50 mm], corner_radius: 3 mm, "
                                    "length: 58 mm, depth: 13 mm}\n";
static const char former[] = "former: {material: pa12, wall: 1.5 mm, flange: 2 mm}\n";
static const char pot[] = "magnet: {shape: pot, outer_diameter: 90 mm, pole_diameter: 38 mm, rim_thickness: 8 mm, "
                          "base_thickness: 12 mm, height: 90 mm}\n";
static const char e[] = "magnet: {shape: e, pole_width: 26 mm, window_width: 34 mm, depth: 46 mm, base_thickness: 12 mm, "
                        "height: 90 mm}\n";
static const char u[] = "circuit: {coils: 2, connection: parallel}\nmagnet: {shape: u, pole_width: 26 mm, "
                        "window_width: 40 mm, depth: 46 mm, base_thickness: 12 mm, height: 90 mm}\n";

static cw_work *open_job(const char *window, const char *section, const char *magnet)
{
    cw_text text = { 0 };
    cw_errors errors = { 0 };
    cw_work *work;

    cw_text_print(&text, "%s%s%s%s", coil, window, section, magnet);
    if (cw_work_open(text.data, text.length, "job.yaml", &work, &errors) != CW_OK)
        fail_msg("%d:%d %s\n%s", errors.items[0].line, errors.items[0].column, errors.items[0].text, text.data);
    cw_text_clear(&text);
    return work;
}

static cw_work_former_study study_of(cw_work *work)
{
    const cw_work_former_study *study;
    cw_error error;

    if (cw_work_former(work, &study, &error) != CW_OK)
        fail_msg("%s", error.text);
    return *study;
}

static void near(double value, double expected)
{
    if (!(fabs(value - expected) <= 1e-9))
        fail_msg("%.9g is not %.9g", value, expected);
}

static void core_and_cavity_come_from_the_magnet(void **state)
{
    cw_work *work = open_job(round_window, former, pot);
    cw_work_former_study study = study_of(work);

    (void)state;
    near(study.finished.clearance_core_m, 0.5e-3);   /* 42 - 3 - 38, on each side */
    near(study.finished.clearance_cavity_m, 3e-3);   /* 90 - 16 - 68 */
    cw_work_close(&work);
    work = open_job(across_window, former, u); /* between the legs two coils share 40 mm: 66 mm for each, 56 mm taken */
    study = study_of(work);
    near(study.finished.clearance_cavity_m, 5e-3);
    cw_work_close(&work);
}

/* The window is given across; x is the iron's depth all the same, and the slots stand at its end. */
static void slots_stand_outside_the_iron(void **state)
{
    cw_work *work = open_job(across_window, former, e);
    const cw_work_former_study study = study_of(work);

    (void)state;
    near(study.finished.tube.size_m[0], 50e-3);
    near(study.finished.bore.size_m[1] - 26e-3, 2 * study.finished.clearance_core_m);
    assert_true(study.finished.slots[0].floor_m >= 25e-3);
    cw_work_close(&work);
}

static void the_finish_slot_is_where_the_winding_ends(void **state)
{
    cw_work *work = open_job(round_window, former, "");
    const cw_work_former_study study = study_of(work);
    const cw_winding *winding;

    (void)state;
    assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
    assert_int_equal(study.finished.slots[1].flange, winding->layer_count % 2 == 0 ? 0 : 1);
    cw_work_close(&work);
    work = open_job(round_window, "former: {material: pa12, finish: both}\n", "");
    assert_int_equal(study_of(work).finished.slot_count, 3);
    cw_work_close(&work);
}

/* 24 V on 71 ohm are some 8 W: in air well above what PLA stands under wire. */
static void the_heat_of_the_coil_judges_the_material(void **state)
{
    const cw_work_former_study *study;
    cw_work *work = open_job(round_window, "former: {material: pla, wall: 2 mm, flange: 2 mm}\n", "");
    cw_error error;

    (void)state;
    assert_int_equal(cw_work_former(work, &study, &error), CW_BAD_INPUT);
    assert_null(study);
    assert_non_null(strstr(error.text, "PLA printed gives way under wire at 50.0 °C"));
    assert_int_equal(error.line, 10); /* of the section in the job */
    cw_work_close(&work);
}

static void what_is_missing_is_named(void **state)
{
    const cw_work_former_study *study;
    cw_work *work = open_job(round_window, "", "");
    cw_error error;

    (void)state;
    assert_int_equal(cw_work_former(work, &study, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "does not say what the former is made of"));
    cw_work_close(&work);
    work = open_job("", former, "");
    assert_int_equal(cw_work_former(work, &study, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "no window"));
    cw_work_close(&work);
}

static void a_bore_too_small_for_a_screw_leaves_the_former(void **state)
{
    cw_work *work = open_job("window: {shape: round, inner: 9 mm, length: 58 mm, depth: 13 mm}\n",
                             "former: {material: peek, wall: 1.5 mm, flange: 2 mm, slot: 1 mm}\n", "");
    const cw_work_former_study study = study_of(work);

    (void)state;
    assert_false(study.has_arbor);
    assert_non_null(strstr(study.no_arbor.text, "No screw goes through"));
    cw_work_close(&work);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(core_and_cavity_come_from_the_magnet),
        cmocka_unit_test(slots_stand_outside_the_iron),
        cmocka_unit_test(the_finish_slot_is_where_the_winding_ends),
        cmocka_unit_test(the_heat_of_the_coil_judges_the_material),
        cmocka_unit_test(what_is_missing_is_named),
        cmocka_unit_test(a_bore_too_small_for_a_screw_leaves_the_former),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
