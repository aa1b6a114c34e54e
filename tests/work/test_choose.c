/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job's wishes on their way to what is wound: everything that the file can say arrives, the user's own choice stands
 * beside the best, and the magnet's heat is that of the heat stage. */
#include "coilwright/work.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* An invented coil: 61.5 ohm of 0.300 mm in a rectangle. */
static const char coil[] =
    "coilwright: 1\nunits: metric\n"
    "window: {shape: rectangle, inner_size: [34 mm, 26 mm], corner_radius: 2 mm, length: 40 mm, depth: 9 mm}\n"
    "readings:\n  - {kind: coil-resistance, of: sibling, value: 61.5 ohm, at: 20 °C}\n"
    "  - {kind: bare-diameter, value: 0.302 mm}\n"
    "stock:\n  - {wire: 0.300 mm, build: grade 2, on_spool: 120 m, price: 9}\n"
    "  - {wire: 0.315 mm, build: grade 1, on_spool: 900 g, price: 30}\n"
    "  - {wire: 0.280 mm, build: grade 2, on_spool: 1.2 kg, price: 35}\n";
static const char wanted[] = "wanted: {resistance: same ± 6 %, thermal_class: 155}\n";
static const char dc[] = "supply: {kind: dc, voltage: 24 V, ambient: 25 °C}\n";

static cw_work *open_with(const char *rest, const char *more, const char *const *sets, size_t count)
{
    cw_text text = { 0 };
    cw_errors errors = { 0 };
    cw_work *work;

    cw_text_print(&text, "%s%s%s", coil, rest, more);
    if (cw_work_open_set(text.data, text.length, "job.yaml", sets, count, &work, &errors) != CW_OK)
        fail_msg("%d:%d %s\n%s", errors.items[0].line, errors.items[0].column, errors.items[0].text, text.data);
    cw_text_clear(&text);
    cw_errors_clear(&errors);
    return work;
}

static const cw_choice *choose(cw_work *work)
{
    const cw_choice *choice;
    cw_error error;

    if (cw_work_choose(work, &choice, &error) != CW_OK)
        fail_msg("%s", error.text);
    return choice;
}

static const cw_winding *lay(cw_work *work)
{
    const cw_winding *winding;
    cw_error error;

    if (cw_work_lay(work, &winding, NULL, &error) != CW_OK)
        fail_msg("%s", error.text);
    return winding;
}

static bool says(const cw_choice_option *option, const char *words)
{
    for (size_t i = 0; i < option->reason_count; i++)
        if (strstr(option->reasons[i], words) != NULL)
            return true;
    return false;
}

static void sheets_margins_and_taps_of_the_job_are_wound(void **state)
{
    cw_work *work = open_with(dc, "wanted: {turns: 1500, wire: 0.280 mm, build: grade 2, taps: [500, 1000]}\n"
                                  "insulation: {sheet: 0.05 mm, every: 2, margin_start: 1 mm, margin_end: 1.5 mm, "
                                  "sleeve: 0.8 mm, wrap: 0.3 mm}\n", NULL, 0);
    const cw_winding *w = lay(work);
    const double bundle = w->plan.wire.overall_diameter_m.nominal;

    (void)state;
    assert_int_equal(w->turns, 1500);
    assert_true(w->layers[1].insulation_after && !w->layers[0].insulation_after);
    assert_true(w->layers[0].start_m >= 1.8e-3 + bundle / 2 - 1e-9);
    for (size_t i = 0; i < w->layer_count; i++)
        assert_true(fmax(w->layers[i].start_m, w->layers[i].end_m) <= 40e-3 - 1.5e-3 - bundle / 2 + 1e-9);
    assert_true(fabs(w->spare_m - (9e-3 - w->depth_m - 0.3e-3)) < 1e-12);
    assert_int_equal(w->tap_count, 2);
    assert_int_equal(w->taps[1].turns, 1000);
    cw_work_close(&work);
}

/* The same watts and pull at another voltage: R' = R (V'/V)^2, N' = N V'/V. */
static void a_rewind_for_another_voltage_keeps_watts_and_pull(void **state)
{
    cw_work *work = open_with("supply: {kind: dc, voltage: 12 V, original_voltage: 24 V, ambient: 25 °C}\n", wanted,
                              NULL, 0);
    const cw_choice *choice = choose(work);
    const cw_choice_option *o = choice->chosen;

    (void)state;
    assert_non_null(o);
    assert_true(fabs(choice->original_coil_voltage_v - 24) < 1e-9);
    assert_true(fabs(o->resistance_20c_ohm / (61.5 / 4) - 1) < 0.05);
    assert_true(fabs(o->power_w / choice->original_power_w - 1) < 0.06);
    assert_true(o->ampere_turns_ratio > 0.95);
    cw_work_close(&work);
}

/* The lowest class of tape, former, resin and lead is the coil's. */
static void the_weakest_part_of_the_job_sets_the_class(void **state)
{
    static const struct { const char *more; double class_c; const char *name; } cases[] = {
        { "insulation: {class: 130, lead_class: 180}\n", 130, "The tape stands" },
        { "insulation: {class: 180, lead_class: 120}\npotting: {resin: epoxy, class: 130}\n", 120, "The lead stands" },
        { "former: {material: pa12, class: 105}\n", 105, "The former stands" },
        { "potting: {resin: epoxy, class: 130}\n", 130, "The resin stands" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_text more = { 0 };
        cw_work *work;

        cw_text_print(&more, "%s%s", wanted, cases[i].more);
        work = open_with(dc, more.data, NULL, 0);
        assert_true(choose(work)->options[0].limit_c == cases[i].class_c);
        assert_true(says(&choose(work)->options[0], cases[i].name));
        cw_work_close(&work);
        cw_text_clear(&more);
    }
}

static void wire_finer_than_can_be_wound_is_no_choice(void **state)
{
    cw_work *work = open_with("supply: {kind: dc, voltage: 110 V, original_voltage: 24 V}\n",
                              "wanted: {thermal_class: 155, finest_wire: 0.25 mm}\n", NULL, 0);

    (void)state;
    assert_null(choose(work)->chosen);
    assert_non_null(strstr(choose(work)->summary, "where 0.250 mm is the finest"));
    cw_work_close(&work);
}

/* ---- own choices ------------------------------------------------------------------------------------------------ */

static const cw_choice *before(cw_work *work)
{
    const cw_choice *found;

    assert_int_equal(cw_work_before(work, &found, NULL), CW_OK);
    return found;
}

static void an_own_choice_of_the_file_stands_beside_the_best(void **state)
{
    cw_work *plain = open_with(dc, wanted, NULL, 0), *own;
    const cw_choice_option *best = choose(plain)->chosen;

    (void)state;
    assert_non_null(best);
    assert_null(before(plain));
    assert_string_equal(best->wire.size.name, "0.315 mm");
    own = open_with(dc, "wanted: {resistance: same ± 6 %, thermal_class: 155, option: 0.280-mm-grade-2-x1}\n", NULL, 0);
    assert_true(choose(own)->own);
    assert_non_null(choose(own)->chosen); /* 9 % less ampere-turns than wished, but the user says so */
    assert_string_equal(choose(own)->chosen->wire.size.name, "0.280 mm");
    assert_true((choose(own)->chosen->missed & CW_WISH_AMPERE_TURNS) != 0);
    assert_non_null(strstr(choose(own)->summary, "Your own choice"));
    assert_string_equal(before(own)->options[0].id, best->id);
    assert_string_equal(lay(own)->plan.wire.size.name, "0.280 mm");
    cw_work_close(&own);
    cw_work_close(&plain);
}

static void what_is_set_from_outside_stands_beside_the_file(void **state)
{
    const char *const sets[] = { "turns=2000", "wire=0.315 mm" }, *const deeper[] = { "window.depth=6 mm" };
    cw_work *plain = open_with(dc, wanted, NULL, 0), *set = open_with(dc, wanted, sets, 2);
    cw_work *shallow = open_with(dc, wanted, deeper, 1);

    (void)state;
    assert_true(choose(set)->own);
    assert_int_equal(choose(set)->options[0].turns, 2000);
    assert_string_equal(before(set)->options[0].id, choose(plain)->options[0].id);
    assert_false(choose(shallow)->own); /* a smaller window is no wish */
    assert_string_equal(before(shallow)->options[0].id, choose(plain)->options[0].id);
    cw_work_close(&shallow);
    cw_work_close(&set);
    cw_work_close(&plain);
}

static void so_many_full_layers_are_laid(void **state)
{
    const char *const sets[] = { "layers=12", "wire=0.315 mm", "build=grade 1", "in_hand=1" };
    cw_work *work = open_with(dc, wanted, sets, 4);
    const cw_winding *w = lay(work);

    (void)state;
    assert_int_equal(w->layer_count, 12);
    assert_int_equal(w->layers[11].turns, w->turns_per_layer);
    cw_work_close(&work);
}

static void an_own_choice_that_does_not_fit_cannot_stand(void **state)
{
    const char *const sets[] = { "turns=9000", "wire=0.315 mm" };
    cw_work *work = open_with(dc, wanted, sets, 2);

    (void)state;
    assert_null(choose(work)->chosen);
    assert_non_null(strstr(choose(work)->summary, "cannot stand"));
    assert_false(cw_work_fits(work));
    cw_work_close(&work);
}

static void an_option_that_is_not_there_is_refused_with_its_nearest(void **state)
{
    cw_work *work = open_with(dc, "wanted: {option: 0.280-mm-grade-2-x2-17}\n", NULL, 0);
    const cw_choice *choice;
    cw_error error;

    (void)state;
    assert_int_equal(cw_work_choose(work, &choice, &error), CW_BAD_INPUT);
    assert_null(choice);
    assert_non_null(strstr(error.text, "the nearest is"));
    cw_work_close(&work);
}

/* Rows of one choice beside another: what stays is left out, what changes says by how much. */
static void changes_tell_what_changes_and_nothing_else(void **state)
{
    const char *const sets[] = { "turns=1900", "wire=0.315 mm", "build=grade 1", "in_hand=1" };
    cw_work *work = open_with(dc, wanted, sets, 4);
    const cw_choice_option *a = &before(work)->options[0], *b = &choose(work)->options[0];
    cw_choice_change changes[CW_CHANGES_MOST];
    char expected[64];
    bool seen = false;

    (void)state;
    assert_int_equal(cw_choice_changes(a, a, CW_METRIC_UNITS, changes), 0);
    snprintf(expected, sizeof expected, "%.1f %% less", 100 * (1 - b->resistance_20c_ohm / a->resistance_20c_ohm));
    for (size_t i = cw_choice_changes(a, b, CW_METRIC_UNITS, changes); i-- > 0;) {
        assert_string_not_equal(changes[i].before, changes[i].after);
        assert_string_not_equal(changes[i].what, "wire");
        seen = seen || (strcmp(changes[i].what, "resistance at 20 °C") == 0 && strcmp(changes[i].text, expected) == 0);
    }
    assert_true(seen);
    cw_work_close(&work);
}

/* ---- two sizes -------------------------------------------------------------------------------------------------- */

static const char two[] =
    "coilwright: 1\nunits: metric\nsupply: {kind: dc, voltage: 24 V, ambient: 25 °C}\n"
    "window: {shape: round, inner: 42 mm, length: 40 mm, depth: 11 mm}\n"
    "readings:\n  - {kind: coil-resistance, of: sibling, value: 61.5 ohm, at: 20 °C}\n"
    "  - {kind: bare-diameter, value: 0.335 mm ± 0.002 mm}\nseen: {build: grade 1, in_hand: 1}\n"
    "stock:\n  - {wire: 0.300 mm, build: grade 1, on_spool: 900 g}\n"
    "  - {wire: 0.375 mm, build: grade 1, on_spool: 1.2 kg}\n"
    "machine: {kind: lathe-thread, code: g33-k, units: mm, speed: 60 rpm, slow_speed: 20 rpm}\n";

static cw_work *open_two(const char *const *sets, size_t count)
{
    cw_errors errors = { 0 };
    cw_work *work;

    if (cw_work_open_set(two, strlen(two), "job.yaml", sets, count, &work, &errors) != CW_OK)
        fail_msg("%s", errors.items[0].text);
    return work;
}

/* The wire between is not on the shelf, its neighbours are: laid, programmed and replayed turn by turn. */
static void two_sizes_in_series_go_all_the_way(void **state)
{
    const char *const one_size[] = { "one_size=yes" };
    cw_work *work = open_two(NULL, 0), *single = open_two(one_size, 1);
    const cw_winding *w = lay(work);
    const cw_replay *replay;
    cw_text program = { 0 };
    char count[40];

    (void)state;
    assert_true(choose(work)->chosen != NULL && choose(work)->chosen->two_sizes);
    assert_true(w->second_layer > 0 && w->second_layer < w->layer_count);
    assert_string_equal(cw_winding_wire(w, w->second_layer - 1)->size.name, "0.375 mm");
    assert_string_equal(cw_winding_wire(w, w->second_layer)->size.name, "0.300 mm");
    assert_true(fabs(w->resistance_20c_ohm / 61.5 - 1) < 0.002);
    assert_int_equal(cw_work_program(work, false, &program, &replay, NULL), CW_OK);
    assert_true(replay->ok);
    assert_int_equal(replay->layer_count, w->layer_count);
    snprintf(count, sizeof count, "COUNTER %ld", w->layers[w->second_layer - 1].turns_total);
    assert_non_null(strstr(program.data, count));
    assert_non_null(strstr(program.data, "JOIN 0.300 MM"));
    assert_false(choose(single)->options[0].two_sizes);
    cw_text_clear(&program);
    cw_work_close(&single);
    cw_work_close(&work);
}

/* ---- sections --------------------------------------------------------------------------------------------------- */

/* What choose says of all sections together is what the laid coil of them comes to; in each the same turns, on its own
 * side of the partitions. At the same resistance the same watts, so the same heat. */
static void sections_of_a_former_are_wound_in_series(void **state)
{
    cw_work *whole = open_with(dc, wanted, NULL, 0);
    const char *const sets[] = { "former.sections=3", "former.partition=1.2 mm" };
    cw_work *work = open_with(dc, wanted, sets, 2);
    const cw_choice_option *o = choose(work)->chosen;
    const cw_winding *w = lay(work);
    cw_coil_plan plan;
    cw_coil *coil;
    cw_text text = { 0 };

    (void)state;
    assert_non_null(o);
    assert_int_equal(o->sections, 3);
    assert_int_equal(o->turns % 3, 0);
    cw_choice_coil(o, &plan);
    assert_true(fabs(plan.common.window.length_m - 40e-3) < 1e-12);
    assert_int_equal(cw_coil_lay(&plan, &coil, NULL), CW_OK);
    assert_int_equal(coil->turns, o->turns);
    assert_true(fabs(coil->resistance_20c_ohm / o->resistance_20c_ohm - 1) < 1e-9);
    assert_true(fabs(coil->length_m / o->length_m - 1) < 1e-9 && fabs(coil->mass_kg / o->mass_kg - 1) < 1e-9);
    assert_true(fabs(coil->spare_m - o->spare_m) < 1e-12 && coil->fits);
    cw_coil_destroy(&coil);
    assert_true(fabs(o->resistance_20c_ohm / 61.5 - 1) < 0.02);
    assert_true(fabs(o->hot_spot_c - choose(whole)->chosen->hot_spot_c) < 1);
    assert_true(fabs(o->ampere_turns / (o->current_a * (double)o->turns) - 1) < 1e-9);
    assert_int_equal(w->section_count, 3);
    for (size_t i = 0; i < w->layer_count; i++) {
        const size_t section = i >= w->section_layer[2] ? 2 : i >= w->section_layer[1] ? 1 : 0;

        assert_true(fmin(w->layers[i].start_m, w->layers[i].end_m) > w->section_start_m[section]);
        assert_true(fmax(w->layers[i].start_m, w->layers[i].end_m) < w->section_start_m[section] + w->section_length_m);
    }
    assert_int_equal(w->layers[w->layer_count - 1].turns_total, o->turns);
    assert_int_equal(cw_work_figure(work, CW_FIGURE_SECTION, CW_SVG, &text, NULL), CW_OK);
    cw_text_clear(&text);
    cw_work_close(&work);
    cw_work_close(&whole);
}

/* The program stops behind each section but the last, and lays every turn in its own. */
static void sections_are_programmed_one_after_the_other(void **state)
{
    static const char *const machines[] = { "g33-k", "g95", "rotary-a" };

    (void)state;
    for (size_t i = 0; i < 3; i++) {
        char machine[80];
        const char *const sets[] = { "former.sections=3", "former.partition=1.2 mm", machine, "machine.speed=60 rpm" };
        const cw_replay *replay;
        cw_text program = { 0 };
        cw_work *work;
        cw_error error;

        snprintf(machine, sizeof machine, "machine.code=%s", machines[i]);
        work = open_with(dc, wanted, sets, 4);
        if (cw_work_program(work, false, &program, &replay, &error) != CW_OK)
            fail_msg("%s: %s", machines[i], error.text);
        assert_true(replay->ok);
        assert_int_equal(replay->layer_count, lay(work)->layer_count);
        assert_non_null(strstr(program.data, "SECTION 2 IS NEXT"));
        assert_non_null(strstr(program.data, "SECTION 3 IS NEXT"));
        assert_null(strstr(program.data, "SECTION 4"));
        cw_text_clear(&program);
        cw_work_close(&work);
    }
}

static void turns_that_sections_cannot_share_are_refused(void **state)
{
    const char *const sets[] = { "former.sections=3", "former.partition=1.2 mm", "turns=2000" };
    const char *const thick[] = { "former.sections=4", "former.partition=14 mm" };
    cw_work *work = open_with(dc, wanted, sets, 3), *full = open_with(dc, wanted, thick, 2);
    const cw_choice *choice;
    cw_error error;

    (void)state;
    assert_int_equal(cw_work_choose(work, &choice, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "2000 turns do not go into 3 equal sections"));
    assert_int_equal(cw_work_choose(full, &choice, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "leave no room"));
    cw_work_close(&full);
    cw_work_close(&work);
}

/* ---- heat and iron ---------------------------------------------------------------------------------------------- */

/* Over its class by any margin that an estimate could be off: no choice, however hot the original was. */
static void a_coil_that_would_burn_is_not_chosen_because_the_old_one_did(void **state)
{
    cw_work *work = open_with("supply: {kind: dc, voltage: 80 V, ambient: 25 °C}\n", wanted, NULL, 0);

    (void)state;
    assert_true(choose(work)->original_hot_spot_c > 400);
    assert_null(choose(work)->chosen);
    assert_non_null(strstr(choose(work)->summary, "hot spot"));
    assert_non_null(strstr(choose(work)->summary, "The original was as hot"));
    cw_work_close(&work);
}

#define REST ", iron: low-carbon-steel, base_thickness: 12 mm, height: 70 mm, gap: 0.2 mm"

/* The two numbers that choose has of the magnet's heat, against the heat stage in full: steady, and over the duty step by
 * step. 4 % of the rise, where the stage itself claims 5 to 10. */
static void hot_spots_in_a_magnet_are_those_of_the_heat_stage(void **state)
{
    static const char e[] = "magnet: {shape: e, pole_width: 24 mm, window_width: 20 mm, rim_thickness: 12 mm, "
                            "depth: 32 mm, plate: {thickness: 12 mm}" REST "}\n";
    static const char u[] = "circuit: {coils: 2, connection: series}\nmagnet: {shape: u, pole_width: 24 mm, "
                            "window_width: 40 mm, depth: 32 mm, plate: {thickness: 12 mm}" REST "}\n";
    static const char *const supplies[] = {
        "supply: {kind: dc, voltage: 24 V, ambient: 25 °C}\n",
        "supply: {kind: dc, voltage: 48 V, duty: 40 % of 10 min, ambient: 25 °C}\n",
        "supply: {kind: dc, voltage: 70 V, duty: 15 % of 40 s, ambient: 25 °C}\n",
    };
    static const char *const magnets[] = { e, u };

    (void)state;
    for (size_t i = 0; i < 6; i++) {
        cw_text more = { 0 };
        const cw_work_heat_study *study;
        cw_work *work;
        double hot;

        cw_text_print(&more, "%s%s", wanted, magnets[i % 2]);
        work = open_with(supplies[i / 2], more.data, NULL, 0);
        assert_true(choose(work)->in_magnet);
        assert_int_equal(cw_work_heat(work, &study, NULL), CW_OK);
        hot = cw_work_hot_spot_c(study);
        if (fabs(choose(work)->options[0].hot_spot_c - hot) > 0.04 * (hot - 25))
            fail_msg("%s%s: %.1f °C, by the heat stage %.1f", supplies[i / 2], magnets[i % 2],
                     choose(work)->options[0].hot_spot_c, hot);
        cw_work_close(&work);
        cw_text_clear(&more);
    }
}

/* V = 4.44 f N B A with the section of the leg inside the coil. */
static void the_core_of_a_coil_on_ac_is_the_magnets_leg(void **state)
{
    cw_work *work = open_with("supply: {kind: ac, voltage: 230 V, frequency: 50 Hz}\n",
                              "wanted: {turns: 3000, resistance: 60 ohm}\n"
                              "magnet: {shape: e, pole_width: 24 mm, window_width: 20 mm, rim_thickness: 12 mm, "
                              "depth: 32 mm" REST "}\n", NULL, 0);
    const double density = 230 / (sqrt(2) * 3.14159265358979323846 * 50 * 3000 * 24e-3 * 32e-3);

    (void)state;
    assert_true(fabs(choose(work)->options[0].flux_density_t / density - 1) < 1e-9);
    cw_work_close(&work);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sheets_margins_and_taps_of_the_job_are_wound),
        cmocka_unit_test(a_rewind_for_another_voltage_keeps_watts_and_pull),
        cmocka_unit_test(the_weakest_part_of_the_job_sets_the_class),
        cmocka_unit_test(wire_finer_than_can_be_wound_is_no_choice),
        cmocka_unit_test(an_own_choice_of_the_file_stands_beside_the_best),
        cmocka_unit_test(what_is_set_from_outside_stands_beside_the_file),
        cmocka_unit_test(so_many_full_layers_are_laid),
        cmocka_unit_test(an_own_choice_that_does_not_fit_cannot_stand),
        cmocka_unit_test(an_option_that_is_not_there_is_refused_with_its_nearest),
        cmocka_unit_test(changes_tell_what_changes_and_nothing_else),
        cmocka_unit_test(two_sizes_in_series_go_all_the_way),
        cmocka_unit_test(sections_of_a_former_are_wound_in_series),
        cmocka_unit_test(sections_are_programmed_one_after_the_other),
        cmocka_unit_test(turns_that_sections_cannot_share_are_refused),
        cmocka_unit_test(a_coil_that_would_burn_is_not_chosen_because_the_old_one_did),
        cmocka_unit_test(hot_spots_in_a_magnet_are_those_of_the_heat_stage),
        cmocka_unit_test(the_core_of_a_coil_on_ac_is_the_magnets_leg),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
