/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job's switching: the circuit's coils as one, in air by the laws of a coil of constant inductance, in iron by the
 * field. */
#include "coilwright/air.h"
#include "coilwright/work.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define PI 3.14159265358979323846

static const char coil[] =
    "coilwright: 1\nunits: metric\n"
    "window: {shape: round, inner: 42 mm, length: 58 mm, depth: 13 mm}\n"
    "wanted: {resistance: 71.0 ohm ± 4 %, thermal_class: 155}\n"
    "readings:\n  - {kind: coil-resistance, of: sibling, value: 71.0 ohm, at: 20 °C}\n"
    "  - {kind: bare-diameter, value: 0.286 mm}\n  - {kind: turns, value: 1850}\n";
static const char dc[] = "supply: {kind: dc, voltage: 24 V, ambient: 20 °C}\n";
static const char pot[] = "magnet: {shape: pot, iron: low-carbon-steel, outer_diameter: 90 mm, pole_diameter: 38 mm, "
                          "rim_thickness: 8 mm, base_thickness: 12 mm, height: 80 mm, gap: 0.2 mm, open_gap: 0.8 mm, "
                          "pull_needed: 100 N, plate: {thickness: 12 mm}}\n";

static cw_work *open_job(const char *supply, const char *more)
{
    cw_text text = { 0 };
    cw_errors errors = { 0 };
    cw_work *work;

    cw_text_print(&text, "%s%s%s", coil, supply, more);
    if (cw_work_open(text.data, text.length, "job.yaml", &work, &errors) != CW_OK)
        fail_msg("%d:%d %s\n%s", errors.items[0].line, errors.items[0].column, errors.items[0].text, text.data);
    cw_text_clear(&text);
    return work;
}

static const cw_work_switch_study *study_of(cw_work *work, cw_suppressor_kind kind)
{
    const cw_work_switch_study *study;
    cw_error error;

    if (cw_work_switch(work, kind, &study, &error) != CW_OK)
        fail_msg("%s", error.text);
    return study;
}

/* i = V/R (1 - exp(-R t/L)): 95 % after ln(20) L/R. L of the coil between its own radii, by the room
 * that holds it against published coils. */
static void in_air_the_current_rises_by_its_time_constant(void **state)
{
    cw_work *work = open_job(dc, "");
    const cw_work_switch_study *study = study_of(work, CW_SUPPRESS_DIODE);
    const cw_winding *winding;
    double inductance;

    (void)state;
    assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
    inductance = cw_air_coil_inductance(0.021, 0.021 + winding->depth_m, 0.058, (double)winding->turns);
    assert_false(study->by_field);
    assert_float_equal(study->cold_ohm, winding->resistance_20c_ohm, 1e-9);
    assert_true(fabs(study->study.cold.time_to_95_s / (log(20) * inductance / study->cold_ohm) - 1) < 0.002);
    assert_true(fabs(study->study.cold.current_a * study->cold_ohm / 24 - 1) < 1e-4);
    assert_true(study->study.hot.current_a < study->study.cold.current_a);
    assert_non_null(strstr(study->remark, "Iron raises the inductance"));
    cw_work_close(&work);
}

/* Two in series on twice the voltage: the same currents and times, twice the resistance. Two in parallel: twice the
 * current, half the resistance. */
static void coils_that_share_a_supply_are_one_circuit(void **state)
{
    const char *const magnets[] = { "", pot };

    (void)state;
    for (int m = 0; m < 2; m++) {
        char series[1200], parallel[1200];
        cw_work *one = open_job(dc, magnets[m]), *row, *beside;
        const cw_work_switch_study *a = study_of(one, CW_SUPPRESS_DIODE), *b, *c;

        snprintf(series, sizeof series, "circuit: {coils: 2, connection: series}\n%s", magnets[m]);
        snprintf(parallel, sizeof parallel, "circuit: {coils: 2, connection: parallel}\n%s", magnets[m]);
        row = open_job("supply: {kind: dc, voltage: 48 V, ambient: 20 °C}\n", series);
        beside = open_job(dc, parallel);
        b = study_of(row, CW_SUPPRESS_DIODE);
        c = study_of(beside, CW_SUPPRESS_DIODE);
        assert_float_equal(b->cold_ohm / a->cold_ohm, 2, 1e-12);
        assert_float_equal(c->cold_ohm / a->cold_ohm, 0.5, 1e-12);
        assert_float_equal(b->study.cold.current_a / a->study.cold.current_a, 1, 1e-6);
        assert_float_equal(c->study.cold.current_a / a->study.cold.current_a, 2, 1e-6);
        assert_float_equal(b->study.cold.time_to_95_s / a->study.cold.time_to_95_s, 1, 1e-4);
        assert_float_equal(c->study.cold.time_to_95_s / a->study.cold.time_to_95_s, 1, 1e-4);
        assert_float_equal(b->study.off.stored_j / a->study.off.stored_j, 2, 1e-4);
        assert_float_equal(c->study.off.stored_j / a->study.off.stored_j, 2, 1e-4);
        if (m == 1) {
            assert_float_equal(b->study.closed.force_mean_n / a->study.closed.force_mean_n, 1, 1e-4);
            assert_float_equal(c->study.closed.force_mean_n / a->study.closed.force_mean_n, 1, 1e-4);
        }
        cw_work_close(&one);
        cw_work_close(&row);
        cw_work_close(&beside);
    }
}

static void in_iron_pull_and_energy_are_the_fields(void **state)
{
    cw_work *work = open_job(dc, pot);
    const cw_work_switch_study *study = study_of(work, CW_SUPPRESS_DIODE);
    const cw_work_field_study *field;
    cw_field_result open;
    cw_magnet magnet;

    (void)state;
    assert_true(study->by_field);
    assert_string_equal(study->remark, "");
    assert_int_equal(cw_work_field(work, &field, NULL), CW_OK);
    assert_float_equal(study->study.closed.force_mean_n / field->cold.force_n, 1, 0.005);
    assert_float_equal(study->study.off.stored_j / field->cold.energy_j, 1, 0.02);
    magnet = field->magnet;
    magnet.gap_m = 0.0008;
    assert_int_equal(cw_magnet_solve(&magnet, NULL, &open, NULL), CW_OK);
    assert_float_equal(study->study.hot.force_mean_n / open.force_n, 1, 0.005);
    assert_true(study->study.cold.time_to_pull_s > 0 && study->study.cold.time_to_pull_s < study->study.hot.time_to_pull_s);
    assert_true(study->study.off.time_to_release_s > 0);
    cw_work_close(&work);
}

static void another_suppressor_makes_another_study(void **state)
{
    cw_work *work = open_job(dc, "");
    const double diode_s = study_of(work, CW_SUPPRESS_DIODE)->study.off.time_to_end_s;
    const cw_work_switch_study *zener = study_of(work, CW_SUPPRESS_ZENER);

    (void)state;
    assert_int_equal(zener->study.off.suppressor.kind, CW_SUPPRESS_ZENER);
    assert_true(zener->study.off.time_to_end_s < diode_s);
    assert_ptr_equal(zener, study_of(work, CW_SUPPRESS_ZENER));
    assert_int_equal(cw_work_usual_suppressor(work), CW_SUPPRESS_DIODE);
    cw_work_close(&work);
}

/* What a meter shows behind a bridge is the mean, V_mean/R flows. */
static void a_bridge_feeds_the_mean_that_the_meter_shows(void **state)
{
    cw_work *work = open_job("supply: {kind: full-wave, voltage: 24 V, frequency: 50 Hz, ambient: 20 °C}\n", pot);
    const cw_work_switch_study *study = study_of(work, CW_SUPPRESS_DIODE);

    (void)state;
    assert_true(fabs(study->study.cold.current_a * study->cold_ohm / 24 - 1) < 0.002);
    assert_true(study->study.cold.ripple > 0.005);
    cw_work_close(&work);
}

/* On ac in air: I = V/sqrt(R^2 + (2 pi f L)^2), and the voltage across R and L add at a right angle. */
static void on_ac_the_inductance_limits_the_current(void **state)
{
    cw_work *work = open_job("supply: {kind: ac, voltage: 24 V, frequency: 50 Hz}\n", "");
    const cw_work_switch_study *study = study_of(work, cw_work_usual_suppressor(work));
    const cw_winding *winding;
    double reactance;

    (void)state;
    assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
    reactance = 2 * PI * 50 *
                cw_air_coil_inductance(0.021, 0.021 + winding->depth_m, 0.058, (double)winding->turns);
    assert_true(fabs(study->study.cold.current_a / (24 / hypot(study->cold_ohm, reactance)) - 1) < 0.002);
    assert_int_equal(study->study.off.suppressor.kind, CW_SUPPRESS_VARISTOR);
    cw_work_close(&work);
}

static void refused(const char *supply, const char *more, cw_suppressor_kind kind, const char *said)
{
    cw_work *work = open_job(supply, more);
    const cw_work_switch_study *study = (const cw_work_switch_study *)work;
    cw_error error;

    assert_int_equal(cw_work_switch(work, kind, &study, &error), CW_BAD_INPUT);
    assert_null(study);
    if (strstr(error.text, said) == NULL)
        fail_msg("\"%s\" is not in \"%s\"", said, error.text);
    cw_work_close(&work);
}

static void what_cannot_be_switched_is_refused(void **state)
{
    (void)state;
    refused("", "", CW_SUPPRESS_DIODE, "no supply");
    refused("supply: {kind: full-wave, voltage: 24 V}\n", "", CW_SUPPRESS_DIODE, "frequency");
    refused("supply: {kind: ac, voltage: 24 V, frequency: 50 Hz}\n", "", CW_SUPPRESS_DIODE, "");
}

static void a_magnet_without_dimensions_is_switched_in_air_and_says_why(void **state)
{
    cw_work *work = open_job(dc, "magnet: {shape: pot, gap: 0.2 mm}\n");
    const cw_work_switch_study *study = study_of(work, CW_SUPPRESS_DIODE);

    (void)state;
    assert_false(study->by_field);
    assert_non_null(strstr(study->remark, "outer_diameter"));
    cw_work_close(&work);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_air_the_current_rises_by_its_time_constant),
        cmocka_unit_test(coils_that_share_a_supply_are_one_circuit),
        cmocka_unit_test(in_iron_pull_and_energy_are_the_fields),
        cmocka_unit_test(another_suppressor_makes_another_study),
        cmocka_unit_test(a_bridge_feeds_the_mean_that_the_meter_shows),
        cmocka_unit_test(on_ac_the_inductance_limits_the_current),
        cmocka_unit_test(what_cannot_be_switched_is_refused),
        cmocka_unit_test(a_magnet_without_dimensions_is_switched_in_air_and_says_why),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
