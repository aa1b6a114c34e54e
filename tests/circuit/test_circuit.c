/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Switching against closed forms (the textbook's solutions of R, L, C circuits) and, for a coil whose iron bends,
 * against quadrature and an integrator of another family from a general library. */
#include "coilwright/circuit.h"

#include "circuit/circuit_json.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_odeiv2.h>

#include "near.h"

#define PI 3.14159265358979323846
#define CLOSURE 1e-6 /* of the energy balances; the project promises 1e-4 */

enum { GAPS = 3, CURRENTS = 9 };

static const double gaps[GAPS] = { 0, 0.5e-3, 2e-3 };
static const double currents[CURRENTS] = { 0, 0.1, 0.2, 0.35, 0.5, 0.8, 1.2, 2, 4 };
static double linkage[GAPS][CURRENTS], force[GAPS][CURRENTS];

/* An invented magnet that saturates: flux = a tanh(N I/(reluctance)) + air, pull as flux squared. */
static const cw_flux_table *bending_table(void)
{
    static const cw_flux_table table = { GAPS, CURRENTS, gaps, currents, &linkage[0][0], &force[0][0] };

    for (int g = 0; g < GAPS; g++)
        for (int i = 0; i < CURRENTS; i++) {
            linkage[g][i] = 0.9 * tanh(currents[i] / (0.4 + 800 * gaps[g])) + 0.05 * currents[i];
            force[g][i] = 600 * linkage[g][i] * linkage[g][i];
        }
    return &table;
}

static cw_circuit_coil *bending_coil(double gap_m)
{
    cw_circuit_coil *coil = NULL;

    assert_int_equal(cw_circuit_coil_create(bending_table(), gap_m, &coil, NULL), CW_OK);
    return coil;
}

static cw_circuit_coil *linear(double henry)
{
    cw_circuit_coil *coil = NULL;

    assert_int_equal(cw_circuit_coil_linear(henry, &coil, NULL), CW_OK);
    return coil;
}

/* ---- the coil -------------------------------------------------------------------------------------------------- */

static void curve_meets_the_table_and_rises_between(void **state)
{
    (void)state;
    for (int g = 0; g < GAPS; g++) {
        cw_circuit_coil *coil = bending_coil(gaps[g]);

        for (int i = 0; i < CURRENTS; i++) {
            assert_near(cw_circuit_flux_linkage_wb(coil, currents[i]), linkage[g][i], 1e-13);
            assert_near(cw_circuit_force_n(coil, -currents[i]), force[g][i], 1e-10);
        }
        cw_circuit_coil_destroy(&coil);
    }
    for (double gap = 0; gap <= 2e-3; gap += 0.17e-3) {
        cw_circuit_coil *coil = bending_coil(gap);
        double last = -1, last_force = -1;

        for (double i = 0; i < 6; i += 0.013) {
            double flux = cw_circuit_flux_linkage_wb(coil, i), pull = cw_circuit_force_n(coil, i);

            assert_true(flux > last && pull >= last_force);
            assert_near(cw_circuit_current_a(coil, flux), i, 1e-11);
            assert_near(cw_circuit_current_a(coil, -flux), -i, 1e-11);
            if (pull > 0 && i < 4)
                assert_near(cw_circuit_current_of_force_a(coil, pull), i, 1e-9);
            last = flux;
            last_force = pull;
        }
        cw_circuit_coil_destroy(&coil);
    }
}

static double current_integrand(double flux, void *coil)
{
    return cw_circuit_current_a(coil, flux);
}

static void stored_energy_is_the_integral_of_the_current(void **state)
{
    cw_circuit_coil *coil = bending_coil(0.8e-3);
    gsl_integration_workspace *work = gsl_integration_workspace_alloc(500);
    gsl_function f = { current_integrand, coil };

    (void)state;
    for (double flux = 0.1; flux < 1.4; flux += 0.21) {
        double integral, doubt, bends[CURRENTS + 1] = { 0 };
        size_t count = 1;

        for (int i = 1; i < CURRENTS && cw_circuit_flux_linkage_wb(coil, currents[i]) < flux; i++)
            bends[count++] = cw_circuit_flux_linkage_wb(coil, currents[i]);
        bends[count++] = flux;
        gsl_integration_qagp(&f, bends, count, 0, 1e-10, 500, work, &integral, &doubt);
        assert_near(cw_circuit_stored_j(coil, flux), integral, 1e-9 * integral);
        assert_near(cw_circuit_stored_j(coil, -flux), integral, 1e-9 * integral);
    }
    gsl_integration_workspace_free(work);
    cw_circuit_coil_destroy(&coil);
}

/* ---- on -------------------------------------------------------------------------------------------------------- */

static cw_switch_on on_of(const cw_circuit_coil *coil, double ohm, cw_source source, double needed)
{
    cw_switch_on on;

    assert_int_equal(cw_circuit_on(coil, ohm, &source, needed, &on, NULL), CW_OK);
    assert_true(on.energy_error < CLOSURE);
    assert_true(on.settled);
    assert_true(on.count >= 2 && on.count <= CW_MOST_SWITCH_POINTS);
    return on;
}

static void direct_current_rises_by_the_exponential(void **state)
{
    cw_circuit_coil *coil = linear(0.37);
    double ohm = 23.85, volt = 48, tau = 0.37 / 23.85;

    (void)state;
    for (double share = 0.05; share < 1; share += 0.13) {
        cw_switch_on on = on_of(coil, ohm, (cw_source){ CW_SOURCE_DC, volt, 0, 0, 0 }, share * volt / ohm);

        assert_near(on.time_to_pull_s / (-tau * log1p(-share)), 1, 1e-7);
        assert_near(on.time_to_95_s / (-tau * log(0.05)), 1, 1e-7);
        assert_near(on.current_a, volt / ohm, 1e-12);
        for (size_t i = 0; i < on.count; i++)
            assert_near(on.curve[i].current_a, -volt / ohm * expm1(-on.curve[i].time_s / tau), 1e-7);
        cw_switch_on_clear(&on);
    }
    cw_circuit_coil_destroy(&coil);
}

static void bridge_ripples_by_the_closed_form(void **state)
{
    cw_circuit_coil *coil = linear(0.8);
    double ohm = 60, omega = 2 * PI * 50, z = hypot(ohm, omega * 0.8), phi = atan2(omega * 0.8, ohm), tau = 0.8 / ohm;
    double peak = 100 * sqrt(2), least = INFINITY, most = 0;
    cw_switch_on on = on_of(coil, ohm, (cw_source){ CW_SOURCE_FULL_WAVE, 100, 50, 0, 0 }, NAN);

    (void)state;
    for (int k = 0; k < 100000; k++) { /* the settled half cycle */
        double t = 0.01 * k / 100000;
        double i = peak / z * (sin(omega * t - phi) + 2 * sin(phi) * exp(-t / tau) / (1 - exp(-0.01 / tau)));

        least = fmin(least, i);
        most = fmax(most, i);
    }
    assert_near(on.current_a / (2 * peak / PI / ohm), 1, 1e-6);
    assert_near(on.current_min_a / least, 1, 2e-5);
    assert_near(on.current_max_a / most, 1, 2e-5);
    cw_switch_on_clear(&on);
    cw_circuit_coil_destroy(&coil);
}

/* Without a freewheel diode the current ends at the angle b with sin(b - phi) + sin(phi) exp(-b/tan(phi)) = 0; its
 * mean is peak (1 - cos b)/(2 pi R). */
static void half_wave_without_freewheel_dies_in_each_cycle(void **state)
{
    cw_circuit_coil *coil = linear(0.2);
    double ohm = 100, phi = atan2(2 * PI * 50 * 0.2, ohm), low = PI, high = 2 * PI, peak = 230 * sqrt(2);
    cw_switch_on on = on_of(coil, ohm, (cw_source){ CW_SOURCE_HALF_WAVE, 230, 50, 0, 0 }, NAN);

    (void)state;
    for (int i = 0; i < 100; i++) {
        double b = 0.5 * (low + high);

        if (sin(b - phi) + sin(phi) * exp(-b / tan(phi)) > 0)
            low = b;
        else
            high = b;
    }
    assert_near(on.current_a / (peak * (1 - cos(low)) / (2 * PI * ohm)), 1, 1e-6);
    assert_near(on.current_min_a, 0, 0);
    assert_true(on.flux_linkage_wb == 0); /* to the bit: the cycle ends in the pause */
    cw_switch_on_clear(&on);
    cw_circuit_coil_destroy(&coil);
}

static void freewheel_diode_keeps_the_mean_of_the_half_waves(void **state)
{
    cw_circuit_coil *coil = linear(3);
    double ohm = 100;
    cw_source source = { CW_SOURCE_HALF_WAVE_FREEWHEEL, 230, 50, 0, 0.9 };
    cw_switch_on on = on_of(coil, ohm, source, NAN);

    (void)state;
    assert_near(on.current_a / (cw_source_mean_v(&source) / ohm), 1, 1e-6);
    assert_true(on.current_min_a > 0.5 * on.current_a);
    cw_switch_on_clear(&on);
    source.kind = CW_SOURCE_FULL_WAVE_FREEWHEEL;
    on = on_of(coil, ohm, source, NAN);
    assert_near(on.current_a / (cw_source_mean_v(&source) / ohm), 1, 1e-6);
    cw_switch_on_clear(&on);
    source.voltage_v = cw_source_rms_of_mean_v(&source, 90);
    assert_near(cw_source_mean_v(&source), 90, 1e-10);
    cw_circuit_coil_destroy(&coil);
}

/* i = peak/|Z| (sin(wt - phi) + sin(phi) exp(-t/tau)) from rest at the voltage's zero. */
static void alternating_current_and_its_inrush(void **state)
{
    cw_circuit_coil *coil = linear(0.5);
    double ohm = 20, omega = 2 * PI * 60, z = hypot(ohm, omega * 0.5), phi = atan2(omega * 0.5, ohm), most = 0;
    cw_switch_on on = on_of(coil, ohm, (cw_source){ CW_SOURCE_AC, 240, 60, 0, 0 }, NAN);

    (void)state;
    for (int k = 0; k < 100000; k++) {
        double t = k / 60. / 100000;

        most = fmax(most, 240 * sqrt(2) / z * (sin(omega * t - phi) + sin(phi) * exp(-t * ohm / 0.5)));
    }
    assert_near(on.current_a / (240 / z), 1, 1e-6);
    assert_near(on.peak_current_a / most, 1, 2e-3); /* read at the steps, 60 a cycle */
    cw_switch_on_clear(&on);
    cw_circuit_coil_destroy(&coil);
}

typedef struct rise { const cw_circuit_coil *coil; double volt, ohm; } rise;

static double rise_integrand(double flux, void *context)
{
    const rise *r = context;

    return 1 / (r->volt - r->ohm * cw_circuit_current_a(r->coil, flux));
}

static void bending_coil_rises_by_the_quadrature(void **state)
{
    cw_circuit_coil *coil = bending_coil(0.5e-3);
    gsl_integration_workspace *work = gsl_integration_workspace_alloc(500);
    rise r = { coil, 24, 12 };
    gsl_function f = { rise_integrand, &r };

    (void)state;
    for (double level = 0.15; level < 2; level += 0.31) {
        cw_switch_on on = on_of(coil, 12, (cw_source){ CW_SOURCE_DC, 24, 0, 0, 0 }, level);
        double time, doubt;

        gsl_integration_qag(&f, 0, cw_circuit_flux_linkage_wb(coil, level), 0, 1e-10, 500, GSL_INTEG_GAUSS21, work,
                            &time, &doubt);
        assert_near(on.time_to_pull_s / time, 1, 1e-6);
        cw_switch_on_clear(&on);
    }
    gsl_integration_workspace_free(work);
    cw_circuit_coil_destroy(&coil);
}

static int library_rates(double t, const double y[], double rate[], void *context)
{
    const rise *r = context;
    double i = cw_circuit_current_a(r->coil, y[0]);

    rate[0] = sqrt(2) * r->volt * sin(2 * PI * 50 * t) - r->ohm * i;
    rate[1] = i * i;
    return GSL_SUCCESS;
}

/* The same table, 40 cycles of alternating current from rest, by the library's eighth-order explicit method. */
static void bending_coil_on_alternating_current_agrees_with_another_integrator(void **state)
{
    cw_circuit_coil *coil = bending_coil(0.2e-3);
    rise r = { coil, 180, 60 };
    gsl_odeiv2_system system = { library_rates, NULL, 2, &r };
    gsl_odeiv2_driver *driver = gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 1e-5, 1e-11, 1e-11);
    cw_switch_on on = on_of(coil, 60, (cw_source){ CW_SOURCE_AC, 180, 50, 0, 0 }, NAN);
    double t = 0, y[2] = { 0, 0 }, before;

    (void)state;
    gsl_odeiv2_driver_set_hmax(driver, 1e-4); /* the table's knots are kinks of the second derivative */
    gsl_odeiv2_driver_apply(driver, &t, 0.8, y);
    before = y[1];
    gsl_odeiv2_driver_apply(driver, &t, 0.82, y);
    assert_near(on.current_a / sqrt((y[1] - before) / 0.02), 1, 1e-5);
    assert_near(on.flux_linkage_wb / y[0], 1, 1e-5);
    cw_switch_on_clear(&on);
    gsl_odeiv2_driver_free(driver);
    cw_circuit_coil_destroy(&coil);
}

/* ---- off ------------------------------------------------------------------------------------------------------- */

static cw_switch_off off_of(const cw_circuit_coil *coil, double ohm, double start, double supply, double release,
                            cw_suppressor part)
{
    const cw_off_plan plan = { ohm, start, supply, false, release, 1000, 600, 0 };
    cw_switch_off off;

    assert_int_equal(cw_circuit_off(coil, &plan, &part, &off, NULL), CW_OK);
    if (off.energy_error >= CLOSURE)
        print_error("%s: balance open by %g after %ld steps\n", cw_suppressor_name(part.kind), off.energy_error,
                    off.steps);
    assert_true(off.energy_error < CLOSURE);
    return off;
}

static void resistor_takes_its_share_of_the_energy(void **state)
{
    cw_circuit_coil *coil = linear(0.9);
    cw_suppressor part = { .kind = CW_SUPPRESS_RESISTOR, .resistance_ohm = 70 };
    cw_switch_off off = off_of(coil, 30, 2, 60, 0.5, part);

    (void)state;
    assert_near(off.peak_voltage_v, 140, 1e-9);
    assert_near(off.contact_voltage_v, 200, 1e-9);
    assert_near(off.time_to_release_s / (0.9 / 100 * log(4)), 1, 1e-7);
    assert_near(off.stored_j, 1.8, 1e-12);
    assert_near(off.clamp_energy_j / (1.8 * 0.7 * (1 - 1e-6)), 1, 1e-6); /* but for the last 0.1 % of current */
    cw_switch_off_clear(&off);
    cw_circuit_coil_destroy(&coil);
}

/* R, L and C in series from i0 and u0: damped swing, closed form. */
static void snubber_swings_by_the_closed_form(void **state)
{
    double henry = 0.4, farad = 2e-6, coil_ohm = 40, ohm = 150, start = 1.5, supply = 60;
    double decay = (coil_ohm + ohm) / (2 * henry), omega = sqrt(1 / (henry * farad) - decay * decay);
    double slope = (supply - (coil_ohm + ohm) * start) / henry, most = 0;
    cw_circuit_coil *coil = linear(henry);
    cw_switch_off off = off_of(coil, coil_ohm, start, supply, 0.3, (cw_suppressor){ .kind = CW_SUPPRESS_RC,
                               .resistance_ohm = ohm, .capacitance_f = farad });

    (void)state;
    for (size_t k = 0; k < off.count; k++) {
        double t = off.curve[k].time_s;
        double i = exp(-decay * t) * (start * cos(omega * t) + (slope + decay * start) / omega * sin(omega * t));

        assert_near(off.curve[k].current_a, i, 1e-6);
    }
    for (double t = 0; t < 0.02; t += 1e-7) { /* the part's voltage is -L di/dt - R i */
        double c = cos(omega * t), s = sin(omega * t), b = (slope + decay * start) / omega;
        double i = exp(-decay * t) * (start * c + b * s);
        double rate = exp(-decay * t) * ((b * omega - decay * start) * c - (start * omega + decay * b) * s);

        most = fmax(most, fabs(-henry * rate - coil_ohm * i));
    }
    assert_near(off.peak_voltage_v / most, 1, 1e-4);
    assert_true(off.closes_again); /* it swings back above 0.3 A */
    cw_switch_off_clear(&off);
    cw_circuit_coil_destroy(&coil);
}

static void varistor_falls_by_the_quadrature(void **state)
{
    cw_circuit_coil *coil = bending_coil(0);
    cw_suppressor part = { .kind = CW_SUPPRESS_VARISTOR, .varistor_v = 100, .varistor_a = 1e-3,
                           .varistor_exponent = 0.05 };
    cw_switch_off off = off_of(coil, 12, 2, 24, 0.2, part);
    double time = 0, from = cw_circuit_flux_linkage_wb(coil, 0.2), to = cw_circuit_flux_linkage_wb(coil, 2);

    (void)state;
    for (int k = 0; k < 200000; k++) {
        double i = cw_circuit_current_a(coil, from + (to - from) * (k + 0.5) / 200000);

        time += (to - from) / 200000 / (12 * i + 100 * pow(i / 1e-3, 0.05));
    }
    assert_near(off.time_to_release_s / time, 1, 1e-6);
    assert_near(off.peak_voltage_v, 100 * pow(2000, 0.05), 1e-9);
    assert_true(off.within_insulation);
    cw_switch_off_clear(&off);
    cw_circuit_coil_destroy(&coil);
}

/* A gap that never breaks down leaves the stray capacitance alone: peak near I0 sqrt(L/C). One that breaks down at a
 * constant voltage clamps there like a Zener of what the supply leaves. */
static void bare_contact_has_its_two_limits(void **state)
{
    cw_circuit_coil *coil = linear(0.5);
    cw_suppressor part = { .kind = CW_SUPPRESS_NONE, .stray_f = 1e-9, .breakdown_v = 1e6, .breakdown_v_per_s = 1 };
    cw_switch_off off = off_of(coil, 100, 0.1, 10, NAN, part), clamped;

    (void)state;
    assert_near(off.peak_voltage_v / (0.1 * sqrt(0.5 / 1e-9)), 1, 0.01);
    assert_false(off.within_insulation);
    assert_near(off.clamp_energy_j, 0, 0);
    cw_switch_off_clear(&off);
    part.breakdown_v = 500;
    part.stray_f = 1e-11;
    off = off_of(coil, 100, 0.1, 10, 0.02, part);
    assert_near(off.contact_voltage_v, 500, 1);
    part = (cw_suppressor){ .kind = CW_SUPPRESS_ZENER, .diode_drop_v = 1, .zener_v = 489 };
    clamped = off_of(coil, 100, 0.1, 10, 0.02, part);
    assert_near(off.time_to_release_s / clamped.time_to_release_s, 1, 2e-3);
    cw_switch_off_clear(&off);
    cw_switch_off_clear(&clamped);
    cw_circuit_coil_destroy(&coil);
}

/* ---- the study, refusals --------------------------------------------------------------------------------------- */

static cw_switch_plan bending_plan(void)
{
    return (cw_switch_plan){ .table = bending_table(), .open_gap_m = 2e-3, .closed_gap_m = 0, .cold_ohm = 12,
                             .hot_ohm = 16, .source = { CW_SOURCE_DC, 24, 0, 0, 0 }, .pull_current_a = NAN,
                             .pull_force_n = 50, .release_current_a = NAN, .release_force_n = 20,
                             .insulation_test_v = 1000, .operations_per_hour = 60,
                             .suppressor = { .kind = CW_SUPPRESS_ZENER, .zener_v = 36 } };
}

static void study_moves_the_way_an_engineer_expects(void **state)
{
    cw_switch_plan plan = bending_plan();
    cw_switch_study study;

    (void)state;
    assert_int_equal(cw_circuit_study(&plan, &study, NULL), CW_OK);
    assert_true(study.hot.time_to_pull_s > study.cold.time_to_pull_s);
    assert_true(study.hot.current_a < study.cold.current_a);
    assert_true(study.closed.flux_linkage_wb > study.cold.flux_linkage_wb);
    assert_true(study.each[CW_SUPPRESS_DIODE].time_to_release_s > study.off.time_to_release_s);
    assert_true(study.off.time_to_release_s > study.each[CW_SUPPRESS_NONE].time_to_release_s);
    assert_true(study.each[CW_SUPPRESS_NONE].peak_voltage_v > study.off.peak_voltage_v);
    assert_true(study.each[CW_SUPPRESS_ZENER].suppressor.zener_v == 36);
    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++) {
        assert_true(study.applies[kind]);
        assert_true(study.each[kind].energy_error < CLOSURE);
        assert_true(strlen(study.each[kind].rating.text) > 20);
    }
    cw_switch_study_clear(&study);
}

static void closed_ac_coil_draws_less_and_gets_no_diode(void **state)
{
    cw_switch_plan plan = bending_plan();
    cw_switch_study study;

    (void)state;
    plan.source = (cw_source){ CW_SOURCE_AC, 120, 50, 0, 0 };
    plan.suppressor = (cw_suppressor){ .kind = CW_SUPPRESS_VARISTOR };
    assert_int_equal(cw_circuit_study(&plan, &study, NULL), CW_OK);
    assert_true(study.inrush_ratio > 2);
    assert_false(study.applies[CW_SUPPRESS_DIODE]);
    cw_switch_study_clear(&study);
}

static void json_has_the_keys_of_the_contract(void **state)
{
    cw_switch_plan plan = bending_plan();
    cw_switch_study study;
    json_t *json, *on, *off;

    (void)state;
    plan.suppressor = (cw_suppressor){ .kind = CW_SUPPRESS_DIODE };
    assert_int_equal(cw_circuit_study(&plan, &study, NULL), CW_OK);
    json = cw_circuit_json(&study);
    on = json_object_get(json, "on");
    off = json_object_get(json, "off");
    assert_near(json_real_value(json_object_get(on, "time_to_pull_s")), study.hot.time_to_pull_s, 0);
    assert_near(json_real_value(json_object_get(on, "current_a")), 1.5, 1e-12);
    assert_int_equal(json_array_size(json_object_get(on, "curve")), study.hot.count);
    assert_near(json_real_value(json_object_get(off, "time_to_release_s")), study.off.time_to_release_s, 0);
    assert_near(json_real_value(json_object_get(off, "peak_voltage_v")), 0.7, 1e-12);
    assert_true(json_real_value(json_object_get(off, "clamp_energy_j")) > 0);
    assert_int_equal(json_array_size(json_object_get(off, "curve")), study.off.count);
    json_decref(json);
    cw_switch_study_clear(&study);
}

static void refused(cw_status status, const cw_error *error, const char *word)
{
    assert_int_equal(status, CW_BAD_INPUT);
    if (strstr(error->text, word) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", error->text, word);
}

static void nonsense_is_refused_in_words(void **state)
{
    cw_circuit_coil *coil = NULL, *sound = linear(1);
    cw_flux_table table = *bending_table();
    double flat[CURRENTS] = { 0, 1, 1, 2, 3, 4, 5, 6, 7 }, nothing = NAN;
    cw_source source = { CW_SOURCE_DC, 24, 0, 0, 0 };
    cw_off_plan plan = { 10, 1, 24, true, NAN, NAN, 0, 0 };
    cw_suppressor diode = { .kind = CW_SUPPRESS_DIODE };
    cw_switch_on on;
    cw_switch_off off;
    cw_error error;

    (void)state;
    refused(cw_circuit_coil_create(&table, 5e-3, &coil, &error), &error, "5 mm");
    table.gap_count = 1;
    table.flux_linkage_wb = flat;
    table.force_n = NULL;
    refused(cw_circuit_coil_create(&table, 0, &coil, &error), &error, "between 0.1 and 0.2 A");
    table.current_a = flat;
    refused(cw_circuit_coil_create(&table, 0, &coil, &error), &error, "current 3");
    refused(cw_circuit_coil_linear(nothing, &coil, &error), &error, "nan");
    assert_null(coil);
    refused(cw_circuit_on(sound, 0, &source, NAN, &on, &error), &error, "0 ohm");
    source.kind = CW_SOURCE_AC;
    refused(cw_circuit_on(sound, 1, &source, NAN, &on, &error), &error, "0 Hz");
    source = (cw_source){ CW_SOURCE_FULL_WAVE, 1, 50, 0, 0.9 };
    refused(cw_circuit_on(sound, 1, &source, NAN, &on, &error), &error, "0.9 V");
    refused(cw_circuit_off(sound, &plan, &diode, &off, &error), &error, "half-wave");
    plan.alternating = false;
    plan.start_current_a = 0;
    refused(cw_circuit_off(sound, &plan, &diode, &off, &error), &error, "0 A");
    assert_null(off.curve);
    cw_circuit_coil_destroy(&sound);
}

static void running_out_of_memory_leaves_nothing_behind(void **state)
{
    cw_switch_plan plan = bending_plan();
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_switch_study study;

        cw_memory_fail_after(granted);
        status = cw_circuit_study(&plan, &study, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || study.cold.curve == NULL);
        cw_switch_study_clear(&study);
    }
    assert_int_equal(status, CW_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(curve_meets_the_table_and_rises_between),
        cmocka_unit_test(stored_energy_is_the_integral_of_the_current),
        cmocka_unit_test(direct_current_rises_by_the_exponential),
        cmocka_unit_test(bridge_ripples_by_the_closed_form),
        cmocka_unit_test(half_wave_without_freewheel_dies_in_each_cycle),
        cmocka_unit_test(freewheel_diode_keeps_the_mean_of_the_half_waves),
        cmocka_unit_test(alternating_current_and_its_inrush),
        cmocka_unit_test(bending_coil_rises_by_the_quadrature),
        cmocka_unit_test(bending_coil_on_alternating_current_agrees_with_another_integrator),
        cmocka_unit_test(resistor_takes_its_share_of_the_energy),
        cmocka_unit_test(snubber_swings_by_the_closed_form),
        cmocka_unit_test(varistor_falls_by_the_quadrature),
        cmocka_unit_test(bare_contact_has_its_two_limits),
        cmocka_unit_test(study_moves_the_way_an_engineer_expects),
        cmocka_unit_test(closed_ac_coil_draws_less_and_gets_no_diode),
        cmocka_unit_test(json_has_the_keys_of_the_contract),
        cmocka_unit_test(nonsense_is_refused_in_words),
        cmocka_unit_test(running_out_of_memory_leaves_nothing_behind),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
