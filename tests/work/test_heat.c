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

#include "near.h"

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

/* In potted iron: warmer air, more volts and a thicker plastic wall make it hotter, a thinner wall cooler: each step of
 * each does, in either duty. Out of one seed, so that a failure comes again. */
static void each_step_moves_the_hot_spot_its_way(void **state)
{
    enum { AMBIENT, VOLTS, WALL, MOVES };
    static const double step[MOVES] = { 7, 3, 0.4 };
    unsigned seed = 20261125;

    (void)state;
    for (int run = 0; run < 9; run++) {
        double value[MOVES] = { 0, 18, 0.5 };

        for (int m = 0; m < MOVES; m++) {
            seed = seed * 1664525u + 1013904223u;
            value[m] += step[m] * ((seed >> 16) % 3);
        }
        double last = -INFINITY;

        for (int up = 0; up < 3; up++) {
            char supply[200], more[900];
            double hot;

            snprintf(supply, sizeof supply, "supply: {kind: dc, voltage: %.1f V, ambient: %.1f °C%s}\n", value[VOLTS],
                     value[AMBIENT], run % 2 == 0 ? "" : ", duty: 40 % of 10 min");
            snprintf(more, sizeof more, "%spotting: {resin: filled epoxy, class: 155}\nformer: {material: pa12, wall: %.2f mm, "
                     "flange: 1 mm}\n", pot, value[WALL]);
            hot = hot_spot(round_window, supply, more);
            if (run % MOVES == AMBIENT && up > 0) /* more ohm, fewer watts: a little less than the air's own step */
                assert_true(hot > last + 0.6 * step[AMBIENT] && hot < last + step[AMBIENT]);
            if (!(hot > last))
                fail_msg("run %d, step %d of %d: %.3f is no more than %.3f", run, up, run % MOVES, hot, last);
            last = hot;
            value[run % MOVES] += step[run % MOVES];
        }
    }
}

/* V = 4.44 f N B A [magnetics: block 6]; the copper's watts are those of the current that the switching finds for the
 * closed armature. */
static void on_ac_the_volts_on_a_turn_set_the_iron_and_the_closed_current_the_copper(void **state)
{
    static const char ac[] = "supply: {kind: ac, voltage: 24 V, frequency: 50 Hz, ambient: 25 °C}\n";
    char opens[900];
    cw_work *work;
    const cw_work_heat_study *study;
    const cw_work_switch_study *switched;
    const cw_winding *winding;
    cw_cautions list;
    double rms, ohm, iron = 0;

    (void)state;
    snprintf(opens, sizeof opens, "%.*s, open_gap: 4 mm}\n", (int)strlen(e) - 2, e);
    work = open_job(long_window, ac, opens);
    study = study_of(work);
    assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
    assert_int_equal(cw_work_switch(work, CW_SUPPRESS_VARISTOR, &switched, NULL), CW_OK);
    rms = switched->study.closed.current_rms_a;
    ohm = winding->resistance_20c_ohm * (1 + 0.00393 * (study->steady.mean_winding_c - 20));
    assert_near(study->iron_peak_t * 4.44 * 50 * (double)winding->turns * 0.026 * 0.046, 24, 0.02);
    assert_near(study->steady.power_w / (rms * rms * ohm), 1, 1e-6);
    for (int p = 0; p < study->section.part_count; p++)
        iron += study->section.part[p].loss_w;
    assert_true(iron > 0);
    assert_near(iron, study->iron_loss_w, 1e-9);
    assert_true(study->steady.hot_spot_c > 25 && study->steady.hot_spot_doubt_k > 0);
    assert_near(study->cold_current_a, switched->study.cold.current_rms_a, 1e-12);
    assert_true(study->held_hot_spot_c > study->steady.hot_spot_c);
    assert_non_null(strstr(study->remark, "closed armature"));
    cw_work_heat_cautions(study, CW_METRIC_UNITS, &list);
    assert_non_null(strstr(list.text[0], "stays open"));
    cw_work_close(&work);
}

/* A run made by the elements with other factors than the job's: the fit finds them, and the prediction is redone. */
static void one_heat_run_tells_the_rest(void **state)
{
    cw_work *work = open_job(round_window, dc, pot);
    const cw_work_heat_study *study = study_of(work);
    const cw_heat_wish coarse = { .fineness = 0.25 };
    const cw_heat_duty always = { INFINITY, 0, NAN, 9000, 0.2 };
    cw_heat_section true_one = study->section;
    const double before = study->steady.hot_spot_c;
    cw_heat_result truth;
    cw_heat *heat = NULL;
    cw_heat_run run;
    char more[2000];
    size_t used;

    (void)state;
    assert_false(study->by_run);
    true_one.convection_scale = 0.8;
    assert_int_equal(cw_heat_create(&true_one, &coarse, &heat, NULL), CW_OK);
    assert_int_equal(cw_heat_steady(heat, &truth, NULL), CW_OK);
    assert_int_equal(cw_heat_follow(heat, &always, &run, NULL), CW_OK);
    used = (size_t)snprintf(more, sizeof more, "%sheat_run:\n", pot);
    for (size_t i = 0; i < run.count; i += 1 + run.count / 9) {
        const double ohm = true_one.drive.resistance_20c_ohm / study->share *
                           (1 + true_one.drive.alpha_20c_per_k * (run.curve[i].mean_winding_c - 20));

        used += (size_t)snprintf(more + used, sizeof more - used, "  - {time: %.1f s, resistance: %.4f ohm ± 0.1 %%, "
                                 "ambient: 25 °C}\n", run.curve[i].time_s, ohm);
    }
    cw_heat_run_clear(&run);
    cw_heat_destroy(&heat);
    cw_work_close(&work);
    work = open_job(round_window, dc, more);
    study = study_of(work);
    assert_true(study->by_run && study->fit.worst_z < 3);
    assert_true(fabs(study->fit.convection_scale / 0.8 - 1) < study->fit.convection_doubt);
    assert_float_equal(study->unfitted.hot_spot_c, before, 1e-9);
    assert_true(study->steady.hot_spot_c > before + 1); /* less is given off than the correlations say */
    assert_float_equal(study->steady.mean_winding_c, truth.mean_winding_c, 0.7);
    assert_true(study->steady.hot_spot_doubt_k < study->unfitted.hot_spot_doubt_k);
    cw_work_close(&work);
}

static void a_heat_run_that_tells_nothing_is_refused(void **state)
{
    static const struct { const char *run, *said; } cases[] = {
        { "  - {time: 0 s, resistance: 71 ohm, ambient: 25 °C}\n", "1 readings" },
        { "  - {time: 0 s, resistance: 71 ohm, ambient: 25 °C}\n  - {time: 60 s, resistance: 72 ohm, ambient: 25 °C}\n"
          "  - {time: 60 s, resistance: 73 ohm, ambient: 25 °C}\n", "not later" },
    };

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        char more[900];
        cw_work *work;
        const cw_work_heat_study *study;
        cw_error error;

        snprintf(more, sizeof more, "heat_run:\n%s", cases[i].run);
        work = open_job(round_window, dc, more);
        assert_int_equal(cw_work_heat(work, &study, &error), CW_BAD_INPUT);
        assert_non_null(strstr(error.text, cases[i].said));
        assert_true(error.line > 0);
        cw_work_close(&work);
    }
}

/* Each part has its temperature, the least of the limits counts, and the sentences name what bites. */
static void parts_limits_and_cautions_are_said(void **state)
{
    char more[900];
    cw_heat_part_result part[CW_MOST_HEAT_PARTS];
    const cw_work_heat_study *study;
    cw_cautions list;
    cw_work *work;

    (void)state;
    snprintf(more, sizeof more, "%s%s", pot, former);
    work = open_job(round_window, "supply: {kind: dc, voltage: 60 V, ambient: 25 °C, duty: 60 % of 20 min}\n", more);
    study = study_of(work);
    assert_int_equal(cw_work_heat_parts(study, part), 6);
    assert_string_equal(part[0].name, "winding");
    assert_float_equal(part[0].most_c, cw_work_hot_spot_c(study), 0.1);
    assert_float_equal(part[0].limit_c, 155, 0);
    assert_string_equal(part[1].name, "former");
    assert_true(part[1].margin_k < 0); /* a printed former at more than 80 °C [data/thermal_materials.csv] */
    assert_false(cw_work_stays_cool(study));
    assert_true(study->duty_doubt_k > 0 && study->duty_doubt_k < study->steady.hot_spot_doubt_k);
    assert_true(study->held_hot_spot_c > study->steady.hot_spot_c);
    cw_work_heat_cautions(study, CW_METRIC_UNITS, &list);
    assert_non_null(strstr(list.text[0], "burns the skin"));
    cw_work_heat_insulation(study, CW_INCH_UNITS, &list);
    assert_non_null(strstr(list.text[0], "10 K halving rule"));
    assert_non_null(strstr(list.text[1], "class"));
    cw_work_close(&work);
}

/* Life by halving, classes and enamels: [heat: §1.1, 1.4, 1.5]. */
static void classes_and_enamels_are_the_trades(void **state)
{
    cw_heat_enamel enamel[9];

    (void)state;
    assert_float_equal(cw_heat_least_class_c(105), 105, 0);
    assert_float_equal(cw_heat_least_class_c(105.1), 120, 0);
    assert_float_equal(cw_heat_least_class_c(260), 275, 0);
    assert_int_equal(cw_heat_enamels(0, enamel, 9), 9);
    assert_int_equal(cw_heat_enamels(200, enamel, 9), 3);
    assert_string_equal(enamel[0].nema, "MW 35 and MW 73");
    assert_true(isnan(enamel[0].bath_low_c));
    assert_int_equal(cw_heat_enamels(0, enamel, 1), 1);
    assert_float_equal(enamel[0].bath_low_c, 375, 0);
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
        cmocka_unit_test(each_step_moves_the_hot_spot_its_way),
        cmocka_unit_test(on_ac_the_volts_on_a_turn_set_the_iron_and_the_closed_current_the_copper),
        cmocka_unit_test(one_heat_run_tells_the_rest),
        cmocka_unit_test(a_heat_run_that_tells_nothing_is_refused),
        cmocka_unit_test(parts_limits_and_cautions_are_said),
        cmocka_unit_test(classes_and_enamels_are_the_trades),
        cmocka_unit_test(the_resin_is_named_and_the_weaker_class_counts),
        cmocka_unit_test(what_is_not_known_is_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
