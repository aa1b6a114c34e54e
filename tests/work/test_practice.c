/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Holding practice, sweeps and the check of a rewind: what the job's words land on, and that the figures hang together as
 * the laws behind them have it. */
#include "work/work_internal.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define PI 3.14159265358979323846

/* A made-up coil: 1850 turns of 0.280 mm in a round or an oblong window. */
static const char coil[] =
    "coilwright: 1\nunits: metric\n"
    "supply: {kind: dc, voltage: 24 V, ambient: 20 °C}\n"
    "readings:\n  - {kind: coil-resistance, of: sibling, value: 71.0 ohm, at: 20 °C}\n"
    "  - {kind: bare-diameter, value: 0.286 mm}\n  - {kind: turns, value: 1850}\n";
static const char round_window[] = "window: {shape: round, inner: 42 mm, length: 58 mm, depth: 13 mm}\n";
static const char long_window[] = "window: {shape: rectangle, inner_size: [50 mm, 30 mm], corner_radius: 3 mm, "
                                  "length: 58 mm, depth: 13 mm}\n";
static const char pot[] = "shape: pot, iron: low-carbon-steel, outer_diameter: 90 mm, pole_diameter: 38 mm, "
                          "rim_thickness: 8 mm, base_thickness: 12 mm, height: 80 mm";
static const char u[] = "shape: u, iron: low-carbon-steel, pole_width: 26 mm, window_width: 34 mm, depth: 46 mm, "
                        "base_thickness: 12 mm, height: 80 mm, gap: 0.2 mm";

static cw_work *open_job(const char *window, const char *circuit, const char *magnet, const char *more)
{
    cw_text text = { 0 };
    cw_errors errors = { 0 };
    cw_work *work;

    cw_text_print(&text, "%s%s%smagnet: {%s%s}\n", coil, window, circuit, magnet, more);
    if (cw_work_open(text.data, text.length, "job.yaml", &work, &errors) != CW_OK)
        fail_msg("%d:%d %s\n%s", errors.items[0].line, errors.items[0].column, errors.items[0].text, text.data);
    cw_text_clear(&text);
    return work;
}

static cw_work *open_pot(const char *more)
{
    return open_job(round_window, "", pot, more);
}

static const cw_work_field_study *field_of(cw_work *work)
{
    const cw_work_field_study *study;
    cw_error error;

    if (cw_work_field(work, &study, &error) != CW_OK)
        fail_msg("%s", error.text);
    return study;
}

static const cw_work_holding *holding_of(cw_work *work)
{
    const cw_work_holding *holding;
    cw_error error;

    if (cw_work_pull_left(work, &holding, &error) != CW_OK)
        fail_msg("%s", error.text);
    return holding;
}

/* ---- faces and cover ------------------------------------------------------------------------------------------- */

/* 0.05 to 0.1, 0.1 to 0.3, 0.4 to 0.8 mm between machined, painted and scaled faces: safety page of a maker of lifting
 * magnets, as collected in the references of the field. */
static void faces_give_the_gap_where_none_is_measured(void **state)
{
    static const struct { const char *keys; double low_mm, high_mm, gap_mm; } cases[] = {
        { ", face: ground", 0.05, 0.1, 0.075 },
        { ", face: machined", 0.05, 0.1, 0.075 },
        { ", face: painted", 0.1, 0.3, 0.2 },
        { ", face: blasted, layer: 0.1 mm", 0.2, 0.4, 0.3 },
        { ", face: painted, layer: 0.1 mm", 0.15, 0.2, 0.175 }, /* of known thickness: machined faces and the paint */
        { ", face: scaled", 0.4, 0.8, 0.6 },
        { ", face: scaled, gap: 0.25 mm", 0.4, 0.8, 0.25 },
        { ", gap: 0.25 mm, layer: 0.1 mm", NAN, NAN, 0.35 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char more[120];
        cw_work *work;
        cw_work_field_study study = { 0 };

        snprintf(more, sizeof more, "%s, plate: {thickness: 12 mm}", cases[i].keys);
        work = open_pot(more);
        assert_int_equal(cw_work__magnet(work, &study, NULL), CW_OK);
        assert_float_equal(study.magnet.gap_m, 1e-3 * cases[i].gap_mm, 1e-12);
        assert_int_equal(isnan(study.face_gap_m[0]), isnan(cases[i].low_mm));
        if (!isnan(cases[i].low_mm)) {
            assert_float_equal(study.face_gap_m[0], 1e-3 * cases[i].low_mm, 1e-12);
            assert_float_equal(study.face_gap_m[1], 1e-3 * cases[i].high_mm, 1e-12);
        }
        cw_work_close(&work);
    }
}

static void a_share_that_is_covered_is_that_share_of_every_pull(void **state)
{
    cw_work *whole = open_pot(", gap: 0.2 mm, plate: {thickness: 12 mm}");
    cw_work *half = open_pot(", gap: 0.2 mm, plate: {thickness: 12 mm, cover: 50 %}");
    const double gaps[] = { 0.0002, 0.0005 };
    cw_work_sweep a, b;

    (void)state;
    assert_float_equal(field_of(half)->hot.force_n, 0.5 * field_of(whole)->hot.force_n, 1e-9);
    assert_float_equal(field_of(half)->hot.flux_linkage_wb[0], field_of(whole)->hot.flux_linkage_wb[0], 0);
    assert_int_equal(cw_work_sweep_along(whole, CW_SWEEP_GAP, gaps, NULL, 2, NAN, &a, NULL), CW_OK);
    assert_int_equal(cw_work_sweep_along(half, CW_SWEEP_GAP, gaps, NULL, 2, NAN, &b, NULL), CW_OK);
    for (int i = 0; i < 2; i++)
        assert_float_equal(b.field[i].force_n, 0.5 * a.field[i].force_n, 1e-9);
    assert_float_equal(holding_of(half)->covered[0], 0.5, 1e-12);
    cw_work_sweep_clear(&a);
    cw_work_sweep_clear(&b);
    cw_work_close(&whole);
    cw_work_close(&half);
}

static void a_share_is_no_share_beyond_the_whole(void **state)
{
    static const char *const wrong[] = { "0 %", "130 %", "12 mm", "half" };

    (void)state;
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        cw_text text = { 0 };
        cw_errors errors = { 0 };
        cw_work *work;

        cw_text_print(&text, "%s%smagnet: {%s, gap: 0.2 mm, plate: {thickness: 12 mm, cover: %s}}\n", coil, round_window, pot,
                      wrong[i]);
        assert_int_equal(cw_work_open(text.data, text.length, "job.yaml", &work, &errors), CW_BAD_INPUT);
        assert_non_null(strstr(errors.items[0].text, "plate.cover"));
        cw_errors_clear(&errors);
        cw_text_clear(&text);
    }
}

/* The legs stand at 17 to 43 mm from the middle; a plate of 86 mm, 10 mm to the right, ends at -33 mm: 16 of 26 mm. */
static void a_plate_beside_its_place_covers_what_geometry_says(void **state)
{
    cw_work *work = open_job(long_window, "circuit: {coils: 2, connection: series}\n", u,
                             ", plate: {thickness: 12 mm, width: 86 mm, shift: 10 mm}");
    cw_work *in_place = open_job(long_window, "circuit: {coils: 2, connection: series}\n", u,
                                 ", plate: {thickness: 12 mm, width: 86 mm}");
    const cw_work_holding *holding = holding_of(work);

    (void)state;
    assert_float_equal(holding->covered[0], 16.0 / 26.0, 1e-12);
    assert_float_equal(holding->covered[1], 1, 1e-12);
    assert_float_equal(holding_of(in_place)->covered[0], 1, 1e-12);
    assert_int_equal(holding->step_count, holding_of(in_place)->step_count + 1);
    cw_work_close(&work);
    cw_work_close(&in_place);
}

/* ---- what remains ---------------------------------------------------------------------------------------------- */

static void the_shares_lead_from_the_best_to_the_job(void **state)
{
    cw_work *work = open_pot(", face: painted, plate: {thickness: 5 mm, width: 80 mm, cover: 80 %, iron: grey-cast-iron}");
    const cw_work_holding *holding = holding_of(work);
    double force = holding->step[0].force_n;

    (void)state;
    assert_int_equal(holding->step_count, 7); /* best, gap, thickness, iron, place, cover, warm */
    for (size_t i = 1; i < holding->step_count; i++) {
        /* less face makes the flux of saturated iron crowd: its place alone may raise the pull */
        assert_true(holding->step[i].share < 1 || strstr(holding->step[i].what, "where it lies") != NULL);
        force *= holding->step[i].share;
    }
    assert_float_equal(force, field_of(work)->hot.force_n, 1e-9 * force);
    assert_float_equal(holding->slide_n[0], 0.15 * force, 1e-9 * force);
    assert_true(holding->face_force_n[0] < force && force < holding->face_force_n[1]);
    cw_work_close(&work);
}

/* Cast iron holds half of what mild steel does, painted faces 70 to 80 % of machined ones; both from pages of the trade,
 * as collected: marked so, and held against nothing. */
static void figures_of_the_trade_stand_beside_with_their_mark(void **state)
{
    cw_work *work = open_pot(", face: painted, plate: {thickness: 12 mm, iron: grey-cast-iron}");
    const cw_work_holding *holding = holding_of(work);

    (void)state;
    assert_float_equal(holding->step[1].usual_low, 0.7, 0);
    assert_float_equal(holding->step[1].usual_high, 0.8, 0);
    assert_int_equal(holding->step[1].trust, CW_BASIS_WEB);
    for (size_t i = 0; i < holding->step_count; i++)
        if (strstr(holding->step[i].what, "iron") != NULL) {
            assert_float_equal(holding->step[i].usual_low, 0.5, 0);
            assert_int_equal(holding->step[i].trust, CW_BASIS_WEB);
        }
    cw_work_close(&work);
}

/* A round pole's flux crosses pi d t of the plate: the thickness that carries it at 2.00 T of the billet's saturation. */
static void the_least_plate_carries_the_poles_flux(void **state)
{
    cw_work *work = open_pot(", gap: 0.2 mm, plate: {thickness: 4 mm, iron: structural-steel}");
    const cw_work_holding *holding = holding_of(work);
    cw_magnet magnet = field_of(work)->magnet;
    cw_field_result result;
    double flux;

    (void)state;
    magnet.current_a = field_of(work)->cold_current_a;
    magnet.plate_thickness_m = 0.019; /* half the pole's diameter */
    magnet.plate_iron[0] = '\0';
    assert_int_equal(cw_magnet_solve(&magnet, NULL, &result, NULL), CW_OK);
    assert_string_equal(result.part[1].name, "pole");
    flux = result.part[1].flux_wb;
    assert_float_equal(holding->plate_least_m, flux / (PI * 0.038 * 2.00), 0.01 * holding->plate_least_m);
    assert_true(holding->plate_least_m > 0.004);
    cw_work_close(&work);
}

static void a_plunger_has_gap_and_warmth_alone(void **state)
{
    cw_work *work = open_job(round_window, "", "shape: plunger, iron: low-carbon-steel, outer_diameter: 90 mm, "
                             "pole_diameter: 38 mm, rim_thickness: 8 mm, base_thickness: 12 mm, height: 90 mm, "
                             "collar_thickness: 12 mm, guide_gap: 0.3 mm, gap: 1 mm", "");
    const cw_work_holding *holding = holding_of(work);
    cw_work_sweep sweep;
    cw_error error;

    (void)state;
    assert_int_equal(holding->step_count, 3);
    assert_true(isnan(holding->plate_least_m));
    assert_int_equal(cw_work_sweep_usual(work, CW_SWEEP_PLATE, &sweep, NULL), CW_OK);
    assert_int_equal(sweep.count, 0);
    assert_int_equal(cw_work_sweep_along(work, CW_SWEEP_PLATE, (const double[]){ 0.01 }, NULL, 1, NAN, &sweep, &error),
                     CW_BAD_INPUT);
    assert_int_equal(sweep.count, 0);
    cw_work_close(&work);
}

/* ---- sweeps ---------------------------------------------------------------------------------------------------- */

static void sweeps_agree_with_the_field_room(void **state)
{
    cw_work *work = open_pot(", gap: 0.2 mm, plate: {thickness: 12 mm}");

    (void)state;
    for (int kind = 0; kind < CW_SWEEP_COUNT; kind++) {
        cw_magnet magnet = field_of(work)->magnet;
        cw_work_sweep sweep;
        cw_field_result direct;
        cw_hand_sum hand;
        size_t last;

        assert_int_equal(cw_work_sweep_usual(work, (cw_sweep_kind)kind, &sweep, NULL), CW_OK);
        assert_true(sweep.count >= 5);
        last = sweep.count - 1;
        magnet.gap_m = kind == CW_SWEEP_GAP ? sweep.at[last] : magnet.gap_m;
        magnet.current_a = kind == CW_SWEEP_CURRENT ? sweep.at[last] : magnet.current_a;
        magnet.plate_thickness_m = kind == CW_SWEEP_PLATE ? sweep.at[last] : magnet.plate_thickness_m;
        if (kind == CW_SWEEP_IRON)
            memcpy(magnet.plate_iron, sweep.iron[last], sizeof magnet.plate_iron);
        assert_int_equal(cw_magnet_solve(&magnet, NULL, &direct, NULL), CW_OK);
        assert_int_equal(cw_magnet_hand_sum(&magnet, &hand, NULL), CW_OK);
        assert_float_equal(sweep.field[last].force_n, direct.force_n, 0.02 * direct.force_n);
        assert_float_equal(sweep.hand[last].force_n, hand.force_n, 0);
        cw_work_sweep_clear(&sweep);
    }
    cw_work_close(&work);
}

/* p = B^2/(2 mu0): where the gap is the same, pull goes with the square of the flux, whatever the iron asks for. */
static void pull_goes_with_the_square_of_the_flux(void **state)
{
    cw_work *work = open_pot(", gap: 2 mm, plate: {thickness: 20 mm}");
    cw_work_sweep sweep;

    (void)state;
    assert_int_equal(cw_work_sweep_usual(work, CW_SWEEP_CURRENT, &sweep, NULL), CW_OK);
    for (size_t i = 1; i < sweep.count; i++) {
        const double flux = sweep.field[i].flux_linkage_wb[0] / sweep.field[0].flux_linkage_wb[0];

        assert_float_equal(sweep.field[i].force_n / sweep.field[0].force_n, flux * flux, 0.02 * flux * flux);
    }
    cw_work_sweep_clear(&sweep);
    cw_work_close(&work);
}

/* ---- original and new ------------------------------------------------------------------------------------------- */

static void original_and_new_obey_ohm_and_their_watts(void **state)
{
    cw_work *work = open_pot(", gap: 0.2 mm, open_gap: 2 mm, plate: {thickness: 12 mm}");
    const cw_work_field_study *study = field_of(work);
    const cw_work_rewind *rewind;
    const cw_rewind_side *sides[2];

    (void)state;
    assert_int_equal(cw_work_rewound(work, &rewind, NULL), CW_OK);
    sides[0] = &rewind->original;
    sides[1] = &rewind->rewound;
    for (int s = 0; s < 2; s++) {
        const cw_rewind_side *side = sides[s];
        const double hot = side->resistance_20c_ohm * (1 + 0.00393 * (side->winding_c - 20)); /* IEC 60028 */

        assert_float_equal(side->resistance_hot_ohm, hot, 1e-6 * hot);
        assert_float_equal(side->current_a * hot, 24, 1e-4);
        assert_float_equal(side->power_w, 24 * side->current_a, 1e-4);
        assert_float_equal(side->ampere_turns, side->turns * side->current_a, 1e-9 * side->ampere_turns);
        assert_float_equal(side->time_constant_s, side->inductance_h / side->resistance_hot_ohm, 1e-12);
        assert_true(side->open_force_n < side->force_n);
    }
    assert_float_equal(rewind->rewound.force_n, study->hot.force_n, 0);
    assert_float_equal((rewind->original.winding_c - 20) / rewind->original.power_w,
                       (rewind->rewound.winding_c - 20) / rewind->rewound.power_w, 1e-6);
    assert_float_equal(rewind->original.turns, 1850, 0.02 * 1850);
    assert_true(rewind->turns_low < rewind->original.turns && rewind->original.turns < rewind->turns_high);
    cw_work_close(&work);
}

/* At a gap that takes nearly all the ampere-turns pull goes with their square and inductance with that of the turns. */
static void original_and_new_scale_as_a_wide_gap_has_it(void **state)
{
    cw_work *work = open_pot(", gap: 4 mm, plate: {thickness: 20 mm}");
    const cw_work_rewind *rewind;
    double ampere_turns, turns;

    (void)state;
    assert_int_equal(cw_work_rewound(work, &rewind, NULL), CW_OK);
    ampere_turns = rewind->rewound.ampere_turns / rewind->original.ampere_turns;
    turns = rewind->rewound.turns / rewind->original.turns;
    assert_float_equal(rewind->rewound.force_n / rewind->original.force_n, ampere_turns * ampere_turns, 0.01);
    assert_float_equal(rewind->rewound.inductance_h / rewind->original.inductance_h, turns * turns, 0.01);
    assert_true(isnan(rewind->original.open_force_n));
    cw_work_close(&work);
}

/* ---- figures, memory --------------------------------------------------------------------------------------------- */

static void figures_are_the_same_at_every_run(void **state)
{
    static const cw_figure figures[] = { CW_FIGURE_FLUX, CW_FIGURE_PULL, CW_FIGURE_PLATE };
    cw_work *one = open_pot(", gap: 0.2 mm, pull_needed: 300 N, plate: {thickness: 12 mm}");
    cw_work *two = open_pot(", gap: 0.2 mm, pull_needed: 300 N, plate: {thickness: 12 mm}");

    (void)state;
    for (int f = 0; f < 3; f++)
        for (int format = CW_SVG; format <= CW_PNG; format++) {
            cw_text a = { 0 }, b = { 0 };

            assert_int_equal(cw_work_figure(one, figures[f], (cw_format)format, &a, NULL), CW_OK);
            assert_int_equal(cw_work_figure(two, figures[f], (cw_format)format, &b, NULL), CW_OK);
            assert_int_equal(a.length, b.length);
            assert_memory_equal(a.data, b.data, a.length);
            cw_text_clear(&a);
            cw_text_clear(&b);
        }
    cw_work_close(&one);
    cw_work_close(&two);
}

/* Once more as if it had never been tried. */
static cw_status again(cw_work *work, int which)
{
    const cw_work_holding *holding;
    const cw_work_rewind *rewind;
    const cw_work__pulls *pulls;
    cw_work__stage *const stages[] = { &work->holding_stage, &work->rewind_stage, &work->pull_stage };

    *stages[which] = (cw_work__stage){ 0 };
    if (which == 0)
        return cw_work_pull_left(work, &holding, NULL);
    if (which == 1)
        return cw_work_rewound(work, &rewind, NULL);
    cw_work_sweep_clear(&work->pulls.warm);
    cw_work_sweep_clear(&work->pulls.cold);
    cw_work_sweep_clear(&work->pulls.original);
    cw_work_sweep_clear(&work->pulls.plate);
    return cw_work__pulls_of(work, &pulls, NULL);
}

static void memory_that_runs_out_is_told(void **state)
{
    cw_work *work = open_pot(", gap: 0.2 mm, plate: {thickness: 12 mm}");
    const cw_work_rewind *rewind;
    int failures = 0;

    (void)state;
    assert_int_equal(cw_work_rewound(work, &rewind, NULL), CW_OK);
    for (int which = 0; which < 3; which++) {
        cw_status status = CW_OK;

        for (long granted = 0; granted == 0 || status != CW_OK; granted += 1 + granted / 2) {
            cw_memory_fail_after(granted);
            status = again(work, which);
            cw_memory_fail_after(-1);
            assert_true(status == CW_OK || status == CW_NO_MEMORY);
            failures += status != CW_OK;
        }
    }
    assert_true(failures > 10);
    cw_work_close(&work);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(faces_give_the_gap_where_none_is_measured),
        cmocka_unit_test(a_share_that_is_covered_is_that_share_of_every_pull),
        cmocka_unit_test(a_share_is_no_share_beyond_the_whole),
        cmocka_unit_test(a_plate_beside_its_place_covers_what_geometry_says),
        cmocka_unit_test(the_shares_lead_from_the_best_to_the_job),
        cmocka_unit_test(figures_of_the_trade_stand_beside_with_their_mark),
        cmocka_unit_test(the_least_plate_carries_the_poles_flux),
        cmocka_unit_test(a_plunger_has_gap_and_warmth_alone),
        cmocka_unit_test(sweeps_agree_with_the_field_room),
        cmocka_unit_test(pull_goes_with_the_square_of_the_flux),
        cmocka_unit_test(original_and_new_obey_ohm_and_their_watts),
        cmocka_unit_test(original_and_new_scale_as_a_wide_gap_has_it),
        cmocka_unit_test(figures_are_the_same_at_every_run),
        cmocka_unit_test(memory_that_runs_out_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
