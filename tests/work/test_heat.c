/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job's heat: what becomes of the coil in air and in iron, and that its watts balance. */
#include "coilwright/work.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "work/work_internal.h"

static const char coil[] =
    "coilwright: 1\nunits: metric\n"
    "wanted: {resistance: 71.0 ohm ± 4 %, thermal_class: 155}\n"
    "readings:\n  - {kind: coil-resistance, of: sibling, value: 71.0 ohm, at: 20 °C}\n"
    "  - {kind: bare-diameter, value: 0.286 mm}\n  - {kind: turns, value: 1850}\n";
static const char round_window[] = "window: {shape: round, inner: 42 mm, length: 58 mm, depth: 13 mm}\n";
static const char long_window[] = "window: {shape: rectangle, inner_size: [50 mm, 30 mm], corner_radius: 3 mm, "
                                  "length: 58 mm, depth: 13 mm}\n";
static const char dc[] = "supply: {kind: dc, voltage: 24 V, ambient: 25 °C}\n";
static const char former[] = "former: {material: pa12, wall: 1.5 mm, flange: 2 mm}\n";

#define REST ", iron: low-carbon-steel, base_thickness: 12 mm, height: 90 mm, gap: 0.2 mm"
static const char pot[] = "magnet: {shape: pot, outer_diameter: 90 mm, pole_diameter: 38 mm, rim_thickness: 8 mm, "
                          "plate: {thickness: 12 mm}" REST "}\n";
static const char plunger[] = "magnet: {shape: plunger, outer_diameter: 90 mm, pole_diameter: 38 mm, rim_thickness: 8 mm, "
                              "collar_thickness: 12 mm, guide_gap: 0.3 mm, stop_length: 20 mm" REST "}\n";
static const char u[] = "circuit: {coils: 2, connection: parallel}\nmagnet: {shape: u, pole_width: 26 mm, "
                        "window_width: 40 mm, depth: 46 mm, plate: {thickness: 12 mm}" REST "}\n";
static const char u_base[] = "magnet: {shape: u, pole_width: 26 mm, coil_on_base: yes, window_width: 66 mm, depth: 46 mm, "
                             "plate: {thickness: 12 mm}, coil: {inside: 28 mm, outside: 46 mm}" REST "}\n";
static const char e[] = "magnet: {shape: e, pole_width: 26 mm, window_width: 34 mm, rim_thickness: 13 mm, depth: 46 mm, "
                        "plate: {thickness: 12 mm}" REST "}\n";

static cw_work *open_job(const char *window, const char *supply, const char *more)
{
    cw_text text = { 0 };
    cw_errors errors = { 0 };
    cw_work *work;

    cw_text_print(&text, "%s%s%s%s", coil, window, supply, more);
    if (cw_work_open(text.data, text.length, "job.yaml", &work, &errors) != CW_OK)
        fail_msg("%d:%d %s\n%s", errors.items[0].line, errors.items[0].column, errors.items[0].text, text.data);
    cw_text_clear(&text);
    return work;
}

static const cw_work_heat_study *study_of(cw_work *work)
{
    const cw_work_heat_study *study;
    cw_error error;

    if (cw_work_heat(work, &study, &error) != CW_OK)
        fail_msg("%s", error.text);
    return study;
}

/* R = R20 (1 + 0.00393 (T - 20)) (IEC 60028), P = V^2/R, what goes in comes out, and it warms from cold to there. */
static void the_watts_of_every_shape_balance(void **state)
{
    static const struct { const char *window, *magnet; bool in_iron; } cases[] = {
        { round_window, "", false }, { long_window, "", false }, { round_window, pot, true },
        { round_window, plunger, true }, { long_window, u, true }, { long_window, u_base, true }, { long_window, e, true },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        for (int with_former = 0; with_former < 2; with_former++) {
            char more[900];
            cw_work *work;
            const cw_work_heat_study *study;
            const cw_winding *winding;
            double ohm;

            snprintf(more, sizeof more, "%s%s", cases[i].magnet, with_former ? former : "");
            work = open_job(cases[i].window, dc, more);
            study = study_of(work);
            assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
            ohm = winding->resistance_20c_ohm * (1 + 0.00393 * (study->steady.mean_winding_c - 20));
            if (study->in_iron != cases[i].in_iron)
                fail_msg("case %zu: %s", i, study->remark);
            assert_float_equal(study->steady.resistance_hot_ohm / ohm, 1, 1e-6);
            assert_float_equal(study->steady.power_w / (24 * 24 / ohm), 1, 1e-6);
            assert_float_equal(study->steady.power_out_w / study->steady.power_w, 1, 1e-6);
            assert_true(25 < study->steady.mean_winding_c && study->steady.mean_winding_c <= study->steady.hot_spot_c);
            assert_true(study->steady.hot_spot_doubt_k > 0);
            assert_float_equal(study->warm_up.curve[0].mean_winding_c, 25, 0.01);
            assert_float_equal(study->warm_up.curve[study->warm_up.count - 1].mean_winding_c, study->steady.mean_winding_c,
                               0.01 * (study->steady.mean_winding_c - 25));
            cw_work_close(&work);
        }
}

static double hot_spot(const char *window, const char *supply, const char *more)
{
    cw_work *work = open_job(window, supply, more);
    double c = cw_work_hot_spot_c(study_of(work));

    cw_work_close(&work);
    return c;
}

static void it_moves_the_way_an_engineer_expects(void **state)
{
    const double always = hot_spot(round_window, dc, pot);
    char resin[900];

    (void)state;
    snprintf(resin, sizeof resin, "%spotting: {resin: filled epoxy, class: 155}\n", pot);
    assert_true(hot_spot(round_window, dc, resin) < always);
    assert_true(hot_spot(round_window, "supply: {kind: dc, voltage: 24 V, ambient: 45 °C}\n", pot) > always + 10);
    assert_true(hot_spot(round_window, "supply: {kind: dc, voltage: 30 V, ambient: 25 °C}\n", pot) > always);
    assert_true(hot_spot(round_window, "supply: {kind: dc, voltage: 24 V, ambient: 25 °C, duty: 30 % of 10 min}\n", pot) <
                always);
    assert_true(hot_spot(round_window, dc, "") > hot_spot(round_window, dc, resin));
}

/* The rule knows the room only, the study the winding that is laid in it. */
static void the_rule_for_a_choice_agrees_with_the_study(void **state)
{
    static const char *const more[] = { "", pot };
    static const char intermittent[] = "supply: {kind: dc, voltage: 34 V, ambient: 25 °C, duty: 30 % of 10 min}\n";

    (void)state;
    for (int i = 0; i < 4; i++) {
        cw_work *work = open_job(round_window, i < 2 ? dc : intermittent, more[i % 2]);
        const cw_work_heat_study *study = study_of(work);
        const cw_winding *winding;
        cw_heat_rule rule;
        cw_heat_ruled ruled;
        double share;

        assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
        assert_int_equal(cw_work__heat_rule(work, winding->depth_m, &rule, &share, NULL), CW_OK);
        assert_float_equal(share, study->share, 0.02 * share);
        cw_heat_rule_at(&rule, &study->section.drive, i < 2 ? INFINITY : 180, 600, &ruled);
        assert_float_equal((ruled.hot_spot_c - 25) / (cw_work_hot_spot_c(study) - 25), 1, 0.06);
        cw_work_close(&work);
    }
}

static void the_resin_is_named_and_the_weaker_class_counts(void **state)
{
    cw_work *work = open_job(round_window, dc, "potting: {resin: filled epoxy, class: 130}\n");
    const cw_work_heat_study *study = study_of(work);

    (void)state;
    assert_non_null(strstr(study->remark, "epoxy"));
    assert_float_equal(study->thermal_class_c, 130, 0);
    cw_work_close(&work);
    work = open_job(round_window, dc, "potting: {resin: pitch from an old barrel}\n");
    assert_non_null(strstr(study_of(work)->remark, "unfilled epoxy"));
    cw_work_close(&work);
}

static void what_is_not_known_is_refused(void **state)
{
    static const struct { const char *window, *supply, *said; } cases[] = {
        { round_window, "", "no supply" }, { "", dc, "window" },
        { round_window, "supply: {kind: ac, voltage: 24 V, frequency: 50 Hz}\n", "ac" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_work *work = open_job(cases[i].window, cases[i].supply, "");
        const cw_work_heat_study *study = (const cw_work_heat_study *)work;
        cw_error error;

        assert_int_equal(cw_work_heat(work, &study, &error), CW_BAD_INPUT);
        assert_null(study);
        if (strstr(error.text, cases[i].said) == NULL)
            fail_msg("\"%s\" is not in \"%s\"", cases[i].said, error.text);
        cw_work_close(&work);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_watts_of_every_shape_balance),
        cmocka_unit_test(it_moves_the_way_an_engineer_expects),
        cmocka_unit_test(the_rule_for_a_choice_agrees_with_the_study),
        cmocka_unit_test(the_resin_is_named_and_the_weaker_class_counts),
        cmocka_unit_test(what_is_not_known_is_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
