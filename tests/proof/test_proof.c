/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which tests, in which order, who decides, and what the readings say. The limits themselves:
 * tests/outside/proof_limits.c */
#include "coilwright/proof.h"
#include "proof/proof_json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/proof_fixture.h"

/* ---- the whole --------------------------------------------------------------------------------------------- */

static void tests__come_in_the_order_that_does_no_harm(void **state)
{
    proof_fixture *fixture = *state;

    fixture->request.circuit.coils = 2;
    fixture->request.magnet = true;
    prove_test(fixture, CW_PROVE_PULL);
    assert_int_equal(fixture->proof->test_count, CW_PROVE_COUNT);
    for (size_t i = 0; i < fixture->proof->test_count; i++)
        assert_int_equal(fixture->proof->tests[i].test, i);
    assert_true(CW_PROVE_EARTH_BOND < CW_PROVE_INSULATION_RESISTANCE);
    assert_true(CW_PROVE_INSULATION_RESISTANCE < CW_PROVE_HIGH_POTENTIAL);
    assert_true(CW_PROVE_HIGH_POTENTIAL < CW_PROVE_HEAT_RUN);
}

static void tests__each_says_how_and_what_not_and_what_bites(void **state)
{
    proof_fixture *fixture = *state;

    fixture->request.circuit.coils = 2;
    fixture->request.magnet = true;
    prove_test(fixture, CW_PROVE_PULL);
    for (size_t i = 0; i < fixture->proof->test_count; i++) {
        const cw_proof_test *test = &fixture->proof->tests[i];

        assert_true(strlen(test->how) > 40 && test->how[strlen(test->how) - 1] == '.');
        assert_true(strlen(test->not_on) > 10 && test->not_on[strlen(test->not_on) - 1] == '.');
        assert_true(strlen(test->caution) > 10 && test->caution[strlen(test->caution) - 1] == '.');
        assert_int_equal(test->verdict, CW_OPEN);
        assert_string_equal(test->remark, "No reading yet.");
        assert_true(isnan(test->reading));
    }
    assert_int_equal(fixture->proof->verdict, CW_OPEN);
}

static void tests__a_limit_from_memory_never_decides(void **state)
{
    proof_fixture *fixture = *state;

    fixture->request.magnet = true;
    for (int practice = 0; practice < CW_PRACTICE_COUNT; practice++)
        for (int service = 0; service < CW_SERVICE_COUNT; service++)
            for (int rule = 0; rule < CW_RISE_RULE_COUNT; rule++) {
                fixture->request.practice = (cw_proof_practice)practice;
                fixture->request.service = (cw_proof_service)service;
                fixture->request.rise_rule = (cw_rise_rule)rule;
                prove_test(fixture, CW_PROVE_PULL);
                for (size_t i = 0; i < fixture->proof->test_count; i++)
                    for (size_t k = 0; k < fixture->proof->tests[i].limit_count; k++)
                        assert_false(fixture->proof->tests[i].limits[k].trust == CW_BASIS_MEMORY &&
                                     fixture->proof->tests[i].limits[k].role == CW_DECIDES);
            }
}

static void tests__what_does_not_apply_is_named_with_its_reason(void **state)
{
    proof_fixture *fixture = *state;

    fixture->request.left_out = 1u << CW_PROVE_HEAT_RUN;
    assert_null(prove_test(fixture, CW_PROVE_HEAT_RUN));
    assert_int_equal(fixture->proof->omitted_count, 5);
    assert_int_equal(fixture->proof->omitted[0].test, CW_PROVE_COILS_MATCH);
    assert_int_equal(fixture->proof->omitted[2].test, CW_PROVE_HEAT_RUN);
    assert_string_equal(fixture->proof->omitted[2].reason, "Left out by the job.");
    assert_string_equal(fixture->proof->omitted[3].reason, "The job gives no magnet.");
}

/* A coil with every reading as it should be. */
static void take_all_readings(proof_fixture *fixture)
{
    const double ohm = fixture->winding->resistance_20c_ohm;

    add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_RESISTANCE, ohm)->at_c = 20;
    add_reading(fixture, CW_PROVE_TURNS, CW_BY_COUNT, 1850);
    add_reading(fixture, CW_PROVE_EARTH_BOND, CW_BY_RESISTANCE, 0.05);
    add_reading(fixture, CW_PROVE_INSULATION_RESISTANCE, CW_BY_RESISTANCE, INFINITY)->at_c = 20;
    add_reading(fixture, CW_PROVE_TURN_INSULATION, CW_BY_RING, 22);
    add_reading(fixture, CW_PROVE_HIGH_POTENTIAL, CW_BY_VOLTAGE, 554)->time_s = 60;
    fixture->request.left_out = 1u << CW_PROVE_HEAT_RUN;
}

static void whole__passes_when_all_pass(void **state)
{
    proof_fixture *fixture = *state;

    take_all_readings(fixture);
    prove_test(fixture, CW_PROVE_TURNS);
    for (size_t i = 0; i < fixture->proof->test_count; i++)
        if (fixture->proof->tests[i].verdict != CW_PASS)
            fail_msg("%s: %s", cw_proof_name(fixture->proof->tests[i].test), fixture->proof->tests[i].remark);
    assert_int_equal(fixture->proof->verdict, CW_PASS);
    fixture->request.reading_count--;
    prove_test(fixture, CW_PROVE_TURNS);
    assert_int_equal(fixture->proof->verdict, CW_OPEN);
}

static void whole__fails_when_one_fails(void **state)
{
    proof_fixture *fixture = *state;

    take_all_readings(fixture);
    fixture->readings[2].value = 0.31;
    fixture->request.reading_count--; /* and one is open */
    prove_test(fixture, CW_PROVE_EARTH_BOND);
    assert_int_equal(fixture->proof->verdict, CW_FAIL);
}

/* ---- resistance -------------------------------------------------------------------------------------------- */

/* 1 + 0.00393 (t - 20) [IEC 60028] */
static void resistance__is_judged_at_20_c(void **state)
{
    proof_fixture *fixture = *state;
    const double ohm = fixture->winding->resistance_20c_ohm;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_USUAL, ohm * 1.0393);
    const cw_proof_test *test;

    reading->at_c = 30;
    test = prove_test(fixture, CW_PROVE_WINDING_RESISTANCE);
    assert_near(test->corrected, ohm, 1e-9);
    assert_int_equal(test->verdict, CW_PASS);
    assert_near(test->limit_at_reading_low, test->limit_low * 1.0393, 1e-9);
    assert_near(test->limit_at_reading_high, test->limit_high * 1.0393, 1e-9);
    assert_near(test->limit_low, fmin(0.95 * ohm, fixture->winding->resistance_band_ohm.min), 1e-9);
}

static void resistance__outside_the_band_fails_on_either_side(void **state)
{
    proof_fixture *fixture = *state;
    const double ohm = fixture->winding->resistance_20c_ohm;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_USUAL, ohm * 0.947);
    const cw_proof_test *test;

    reading->at_c = 20;
    test = prove_test(fixture, CW_PROVE_WINDING_RESISTANCE);
    assert_int_equal(test->verdict, CW_FAIL);
    assert_non_null(strstr(test->causes[0].cause, "Shorted turns"));
    reading->value = ohm * 1.053;
    test = prove_test(fixture, CW_PROVE_WINDING_RESISTANCE);
    assert_int_equal(test->verdict, CW_FAIL);
    assert_non_null(strstr(test->causes[0].cause, "bad joint"));
}

static void resistance__causes_follow_the_turns(void **state)
{
    proof_fixture *fixture = *state;
    const double ohm = fixture->winding->resistance_20c_ohm;
    const cw_proof_test *test;

    add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_USUAL, ohm * 0.90)->at_c = 20;
    add_reading(fixture, CW_PROVE_TURNS, CW_BY_COUNT, 1850);
    test = prove_test(fixture, CW_PROVE_WINDING_RESISTANCE); /* the turns are right: thicker wire, not a short */
    assert_non_null(strstr(test->causes[0].cause, "thicker"));
    fixture->readings[1].value = 1650;
    test = prove_test(fixture, CW_PROVE_WINDING_RESISTANCE);
    assert_non_null(strstr(test->causes[0].cause, "Shorted"));
    assert_non_null(strstr(test->causes[1].cause, "missing"));
    for (size_t i = 0; i < test->cause_count; i++)
        assert_true(test->causes[i].tells_apart[0] != '\0');
}

/* 0.393 % a kelvin: from 15 to 25 °C a value moves by 3.9 %, so one near the middle is safe and one near the edge is
 * not. */
static void resistance__without_temperature_is_open_where_it_matters(void **state)
{
    proof_fixture *fixture = *state;
    const double ohm = fixture->winding->resistance_20c_ohm;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_USUAL, ohm);

    assert_int_equal(prove_test(fixture, CW_PROVE_WINDING_RESISTANCE)->verdict, CW_PASS);
    reading->value = 1.045 * ohm;
    assert_int_equal(prove_test(fixture, CW_PROVE_WINDING_RESISTANCE)->verdict, CW_OPEN);
    assert_non_null(strstr(prove_test(fixture, CW_PROVE_WINDING_RESISTANCE)->remark, "temperature"));
    reading->value = 1.20 * ohm;
    assert_int_equal(prove_test(fixture, CW_PROVE_WINDING_RESISTANCE)->verdict, CW_FAIL);
}

static void resistance__takes_the_limits_that_the_job_asks_for(void **state)
{
    proof_fixture *fixture = *state;
    const cw_proof_test *test;

    fixture->request.wanted_resistance_ohm = 86;
    fixture->request.wanted_tolerance = 0.02;
    test = prove_test(fixture, CW_PROVE_WINDING_RESISTANCE);
    assert_near(test->limit_low, 84.28, 1e-9);
    assert_near(test->limit_high, 87.72, 1e-9);
    assert_int_equal(test->trust, CW_BASIS_ASKED);
}

static void resistance__an_open_winding_fails(void **state)
{
    proof_fixture *fixture = *state;
    const cw_proof_test *test;

    add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_USUAL, INFINITY)->at_c = 20;
    test = prove_test(fixture, CW_PROVE_WINDING_RESISTANCE);
    assert_int_equal(test->verdict, CW_FAIL);
    assert_non_null(strstr(test->remark, "open"));
}

static void resistance__each_coil_has_its_test_and_the_last_reading_counts(void **state)
{
    proof_fixture *fixture = *state;
    const double ohm = fixture->winding->resistance_20c_ohm;
    cw_proof_reading *reading;

    fixture->request.circuit.coils = 2;
    for (int i = 0; i < 3; i++) {
        reading = add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_USUAL, i == 0 ? 2 * ohm : ohm);
        reading->at_c = 20;
        reading->coil = i < 2 ? 1 : 2;
    }
    prove_test(fixture, CW_PROVE_WINDING_RESISTANCE);
    assert_int_equal(fixture->proof->tests[0].coil, 1);
    assert_int_equal(fixture->proof->tests[0].verdict, CW_PASS);
    assert_int_equal(fixture->proof->tests[1].coil, 2);
    assert_int_equal(fixture->proof->tests[1].test, CW_PROVE_WINDING_RESISTANCE);
}

/* ANSI/EASA AR100-2020: 2 % from the mean, random wound. */
static void match__is_the_greatest_distance_from_the_mean(void **state)
{
    proof_fixture *fixture = *state;
    const cw_proof_test *test;

    fixture->request.circuit.coils = 2;
    for (int coil = 1; coil <= 2; coil++) {
        cw_proof_reading *reading = add_reading(fixture, CW_PROVE_COILS_MATCH, CW_BY_USUAL, coil == 1 ? 84.0 : 87.0);

        reading->coil = coil;
        reading->at_c = 22;
    }
    test = prove_test(fixture, CW_PROVE_COILS_MATCH);
    assert_near(test->corrected, 1.5 / 85.5, 1e-12);
    assert_near(test->limit_high, 0.02, 1e-12);
    assert_int_equal(test->verdict, CW_PASS);
    fixture->readings[1].value = 88.0;
    assert_int_equal(prove_test(fixture, CW_PROVE_COILS_MATCH)->verdict, CW_FAIL);
    fixture->readings[1].at_c = 32; /* 88 ohm at 32 °C are 84.7 at 22 °C */
    assert_int_equal(prove_test(fixture, CW_PROVE_COILS_MATCH)->verdict, CW_PASS);
    fixture->readings[1].at_c = NAN;
    assert_int_equal(prove_test(fixture, CW_PROVE_COILS_MATCH)->verdict, CW_OPEN);
}

/* ---- turns, polarity --------------------------------------------------------------------------------------- */

/* Inductance goes with the square of the turns: 5 % of the turns missing is 10 % of the inductance. */
static void turns__inductance_tells_missing_turns(void **state)
{
    proof_fixture *fixture = *state;
    const cw_proof_test *test = prove_test(fixture, CW_PROVE_TURNS);
    const double middle = 0.5 * (test->limit_low + test->limit_high);

    assert_near(test->limit_low / middle, 0.9, 1e-12);
    assert_near(test->limit_high / middle, 1.1, 1e-12);
    assert_true(middle > 0.03 && middle < 0.3);
    add_reading(fixture, CW_PROVE_TURNS, CW_BY_INDUCTANCE, middle * 0.94 * 0.94);
    test = prove_test(fixture, CW_PROVE_TURNS);
    assert_int_equal(test->verdict, CW_FAIL);
    fixture->readings[0].value = middle * 0.96 * 0.96;
    assert_int_equal(prove_test(fixture, CW_PROVE_TURNS)->verdict, CW_PASS);
}

/* A thin long coil has mu0 N I / l in its middle; this one is as long as wide, so below that. */
static void turns__field_in_the_middle(void **state)
{
    proof_fixture *fixture = *state;
    const double long_coil = 4e-7 * 3.14159265358979 * 1850 * 0.05 / 0.058;
    const cw_proof_test *test;

    add_reading(fixture, CW_PROVE_TURNS, CW_BY_CENTRE_FIELD, 1e-3)->current_a = 0.05;
    test = prove_test(fixture, CW_PROVE_TURNS);
    assert_true(test->limit_high < long_coil && test->limit_low > 0.5 * long_coil);
    assert_int_equal(test->verdict, test->limit_low > 1e-3 || test->limit_high < 1e-3 ? CW_FAIL : CW_PASS);
    fixture->readings[0].value = 0.5 * (test->limit_low + test->limit_high);
    assert_int_equal(prove_test(fixture, CW_PROVE_TURNS)->verdict, CW_PASS);
}

static void polarity__aiding_has_the_greater_inductance(void **state)
{
    proof_fixture *fixture = *state;

    fixture->request.circuit.coils = 2;
    add_reading(fixture, CW_PROVE_POLARITY, CW_BY_AIDING, 0.52)->value_2 = 0.31;
    assert_int_equal(prove_test(fixture, CW_PROVE_POLARITY)->verdict, CW_PASS);
    fixture->readings[0].value_2 = 0.61;
    assert_int_equal(prove_test(fixture, CW_PROVE_POLARITY)->verdict, CW_FAIL);
    fixture->readings[0].value_2 = 0.52;
    assert_int_equal(prove_test(fixture, CW_PROVE_POLARITY)->verdict, CW_OPEN);
}

/* ---- insulation -------------------------------------------------------------------------------------------- */

static void bond__lead_comes_off(void **state)
{
    proof_fixture *fixture = *state;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_EARTH_BOND, CW_BY_USUAL, 0.16);

    assert_int_equal(prove_test(fixture, CW_PROVE_EARTH_BOND)->verdict, CW_FAIL);
    reading->lead_ohm = 0.08;
    assert_int_equal(prove_test(fixture, CW_PROVE_EARTH_BOND)->verdict, CW_PASS);
    assert_near(prove_test(fixture, CW_PROVE_EARTH_BOND)->corrected, 0.08, 1e-12);
}

/* R40 = R 0.5^((40 - T)/10): a reading at 20 °C counts a quarter; at 70 °C 3 Mohm count 24 (the formula, not the graph
 * of 7). */
static void insulation__is_judged_at_40_c(void **state)
{
    proof_fixture *fixture = *state;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_INSULATION_RESISTANCE, CW_BY_USUAL, 30e6);

    reading->at_c = 20;
    assert_near(prove_test(fixture, CW_PROVE_INSULATION_RESISTANCE)->corrected, 7.5e6, 1);
    reading->value = 3e6;
    reading->at_c = 70;
    assert_near(prove_test(fixture, CW_PROVE_INSULATION_RESISTANCE)->corrected, 24e6, 1);
    /* J. B. Gupta, Electrical and Electronics Engineering Materials ex. 2.41: 240 Mohm at 20 °C are 79.17 at 36 °C; so
     * both must correct to the same. */
    reading->value = 79.17e6;
    reading->at_c = 36;
    assert_near(prove_test(fixture, CW_PROVE_INSULATION_RESISTANCE)->corrected, 60e6, 0.005e6);
}

static void insulation__verdicts_by_level(void **state)
{
    static const struct {
        double mega;
        cw_verdict verdict;
    } cases[] = { { 4.9, CW_FAIL }, { 5.1, CW_PASS }, { 99, CW_PASS }, { 101, CW_PASS }, { INFINITY, CW_PASS } };
    proof_fixture *fixture = *state;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_INSULATION_RESISTANCE, CW_BY_USUAL, 0);

    reading->at_c = 40;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const cw_proof_test *test;

        reading->value = 1e6 * cases[i].mega;
        test = prove_test(fixture, CW_PROVE_INSULATION_RESISTANCE);
        assert_int_equal(test->verdict, cases[i].verdict);
        assert_true((strstr(test->remark, "find out why") != NULL) == (cases[i].mega > 5 && cases[i].mega < 100));
    }
}

/* An old coil in service: 1000 ohm a volt decides, kV + 1 is from memory and leaves the test open. */
static void insulation__of_a_coil_in_service(void **state)
{
    static const struct {
        double mega;
        cw_verdict verdict;
    } cases[] = { { 0.09, CW_FAIL }, { 0.5, CW_OPEN }, { 1.2, CW_PASS } };
    proof_fixture *fixture = *state;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_INSULATION_RESISTANCE, CW_BY_USUAL, 0);

    fixture->request.service = CW_IN_SERVICE;
    reading->at_c = 40;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        reading->value = 1e6 * cases[i].mega;
        assert_int_equal(prove_test(fixture, CW_PROVE_INSULATION_RESISTANCE)->verdict, cases[i].verdict);
    }
    reading->value = 0.5e6;
    assert_non_null(strstr(prove_test(fixture, CW_PROVE_INSULATION_RESISTANCE)->remark, "from memory"));
}

static void insulation__test_voltage_follows_the_rating(void **state)
{
    static const double cases[][2] = { { 24, 250 }, { 96, 500 }, { 999, 500 } };
    proof_fixture *fixture = *state;

    for (size_t i = 0; i < 3; i++) {
        fixture->request.supply.voltage_v = cases[i][0];
        assert_near(prove_test(fixture, CW_PROVE_INSULATION_RESISTANCE)->apply, cases[i][1], 1e-9);
        assert_string_equal(prove_test(fixture, CW_PROVE_INSULATION_RESISTANCE)->apply_unit, "V dc");
    }
}

/* Ring: less than 5 cycles shorted, 10 and more good, between them only the twin tells (common practice). */
static void turn_insulation__by_ring(void **state)
{
    static const struct {
        double cycles;
        cw_verdict verdict;
    } cases[] = { { 3, CW_FAIL }, { 7, CW_OPEN }, { 10, CW_PASS } };
    proof_fixture *fixture = *state;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_TURN_INSULATION, CW_BY_USUAL, 0);

    for (size_t i = 0; i < 3; i++) {
        reading->value = cases[i].cycles;
        assert_int_equal(prove_test(fixture, CW_PROVE_TURN_INSULATION)->verdict, cases[i].verdict);
    }
}

/* 10 % of area is from memory: it leaves the test open whatever was read; a jump of the trace fails it. */
static void turn_insulation__by_surge(void **state)
{
    proof_fixture *fixture = *state;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_TURN_INSULATION, CW_BY_SURGE, 0.04);

    assert_int_equal(prove_test(fixture, CW_PROVE_TURN_INSULATION)->verdict, CW_OPEN);
    reading->value = 0.2;
    assert_int_equal(prove_test(fixture, CW_PROVE_TURN_INSULATION)->verdict, CW_OPEN);
    reading->broke_down = true;
    assert_int_equal(prove_test(fixture, CW_PROVE_TURN_INSULATION)->verdict, CW_FAIL);
}

/* IEC 60034-1: 500 + 2 U = 692 V at 96 V; 80 % right after the rewind (AR100) = 553.6 V; cleaned and dried 500 V at
 * least. */
static void high_potential__level_by_state(void **state)
{
    static const struct { double u; cw_proof_service service; double level; } cases[] = {
        { 96, CW_NEW, 692 }, { 96, CW_REWOUND, 553.6 }, { 96, CW_IN_SERVICE, 500 },
        { 230, CW_NEW, 1500 }, { 230, CW_REWOUND, 1200 }, { 230, CW_IN_SERVICE, 1000 },
        { 400, CW_NEW, 1800 }, { 400, CW_REWOUND, 1440 },
    };
    proof_fixture *fixture = *state;

    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const cw_proof_test *test;

        fixture->request.supply.voltage_v = cases[i].u;
        fixture->request.service = cases[i].service;
        test = prove_test(fixture, CW_PROVE_HIGH_POTENTIAL);
        assert_near(test->apply, cases[i].level, 1e-9);
        assert_near(test->limit_low, cases[i].level, 1e-9);
        assert_near(test->apply_s, 60, 0);
    }
}

static void high_potential__verdicts(void **state)
{
    proof_fixture *fixture = *state;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_HIGH_POTENTIAL, CW_BY_VOLTAGE, 554);

    reading->time_s = 60;
    assert_int_equal(prove_test(fixture, CW_PROVE_HIGH_POTENTIAL)->verdict, CW_PASS);
    reading->time_s = 20; /* too short */
    assert_int_equal(prove_test(fixture, CW_PROVE_HIGH_POTENTIAL)->verdict, CW_OPEN);
    reading->time_s = 60;
    reading->value = 400; /* stopped below the level: neither passed nor failed */
    assert_int_equal(prove_test(fixture, CW_PROVE_HIGH_POTENTIAL)->verdict, CW_OPEN);
    reading->broke_down = true;
    assert_int_equal(prove_test(fixture, CW_PROVE_HIGH_POTENTIAL)->verdict, CW_FAIL);
    reading->broke_down = false;
    reading->value = 554 * 1.7;
    reading->dc = true; /* 1.7 is from memory */
    assert_int_equal(prove_test(fixture, CW_PROVE_HIGH_POTENTIAL)->verdict, CW_OPEN);
    assert_near(prove_test(fixture, CW_PROVE_HIGH_POTENTIAL)->apply, 553.6 * 1.7, 1e-9);
}

static void high_potential__is_withheld_after_bad_insulation(void **state)
{
    proof_fixture *fixture = *state;
    const cw_proof_test *test;

    add_reading(fixture, CW_PROVE_INSULATION_RESISTANCE, CW_BY_USUAL, 1e6)->at_c = 40;
    test = prove_test(fixture, CW_PROVE_HIGH_POTENTIAL);
    assert_int_equal(test->verdict, CW_OPEN);
    assert_non_null(strstr(test->remark, "Do not apply"));
}

/* ---- magnet ------------------------------------------------------------------------------------------------ */

static void pull__what_the_machine_needs_decides(void **state)
{
    proof_fixture *fixture = *state;

    fixture->request.magnet = true;
    fixture->request.pull_needed_n = 2000;
    fixture->request.pull_n = 2600;
    fixture->request.pull_doubt = 0.15;
    add_reading(fixture, CW_PROVE_PULL, CW_BY_USUAL, 2300);
    assert_near(prove_test(fixture, CW_PROVE_PULL)->limit_low, 2210, 1e-9); /* the stricter of both leads */
    assert_int_equal(prove_test(fixture, CW_PROVE_PULL)->verdict, CW_PASS);
    fixture->readings[0].value = 2100;
    assert_int_equal(prove_test(fixture, CW_PROVE_PULL)->verdict, CW_FAIL);
    fixture->request.pull_n = fixture->request.pull_needed_n = NAN;
    assert_int_equal(prove_test(fixture, CW_PROVE_PULL)->verdict, CW_OPEN);
}

/* Drop-out 10 to 75 % on dc, 20 to 75 % on ac (IEC 60947-4-1, from memory): said, not decided. */
static void release__drop_out_is_from_memory(void **state)
{
    proof_fixture *fixture = *state;

    add_reading(fixture, CW_PROVE_RELEASE, CW_BY_DROP_OUT, 0.4);
    assert_int_equal(prove_test(fixture, CW_PROVE_RELEASE)->verdict, CW_OPEN);
    assert_near(prove_test(fixture, CW_PROVE_RELEASE)->limit_low, 0.10, 0);
    fixture->request.supply.kind = CW_AC;
    assert_near(prove_test(fixture, CW_PROVE_RELEASE)->limit_low, 0.20, 0);
    fixture->readings[0].method = CW_BY_TIME;
    fixture->request.release_needed_s = 0.3;
    assert_int_equal(prove_test(fixture, CW_PROVE_RELEASE)->verdict, CW_FAIL);
}

/* ---- bad input --------------------------------------------------------------------------------------------- */

static void check_refused(proof_fixture *fixture, const char *word)
{
    cw_error error;

    assert_int_equal(cw_prove(&fixture->request, &fixture->proof, &error), CW_BAD_INPUT);
    assert_null(fixture->proof);
    if (strstr(error.text, word) == NULL)
        fail_msg("'%s' does not speak of '%s'", error.text, word);
}

static void bad_input__is_refused_with_its_place(void **state)
{
    proof_fixture *fixture = *state;
    cw_proof_reading *reading = add_reading(fixture, CW_PROVE_WINDING_RESISTANCE, CW_BY_USUAL, -3);
    cw_error error;

    reading->at = (cw_place){ .file = "brake.yaml", .line = 41, .column = 9 };
    assert_int_equal(cw_prove(&fixture->request, &fixture->proof, &error), CW_BAD_INPUT);
    assert_int_equal(error.line, 41);
    assert_string_equal(error.file, "brake.yaml");
    check_refused(fixture, "winding-resistance");
    reading->value = 80;
    reading->coil = 2;
    check_refused(fixture, "coil 2");
    reading->coil = 0;
    reading->at_c = 900;
    check_refused(fixture, "temperature");
    reading->at_c = 20;
    reading->method = CW_BY_FORCE;
    check_refused(fixture, "cannot be judged");
    reading->method = CW_BY_USUAL;
    fixture->request.thermal_class_c = 20;
    check_refused(fixture, "class");
    fixture->request.thermal_class_c = 155;
    fixture->request.supply.voltage_v = 0;
    check_refused(fixture, "0 V");
}

static void proof__survives_without_anything(void **state)
{
    cw_proof_request request;
    cw_proof *proof;

    (void)state;
    cw_proof_request_clear(&request);
    assert_int_equal(cw_prove(&request, &proof, NULL), CW_OK);
    assert_int_equal(proof->verdict, CW_OPEN);
    cw_proof_destroy(&proof);
}

static void proof__leaves_nothing_behind_without_memory(void **state)
{
    proof_fixture *fixture = *state;
    cw_status status = CW_NO_MEMORY;

    add_reading(fixture, CW_PROVE_HEAT_RUN, CW_BY_USUAL, 84)->at_c = 20;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_memory_fail_after(granted);
        status = cw_prove(&fixture->request, &fixture->proof, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || fixture->proof == NULL);
    }
    assert_int_equal(status, CW_OK);
}

/* ---- text and JSON ----------------------------------------------------------------------------------------- */

static void json__has_the_keys_of_the_contract(void **state)
{
    static const char *const keys[] = { "test", "limit_low", "limit_high", "unit", "basis", "reading", "verdict" };
    proof_fixture *fixture = *state;
    json_t *document, *tests;

    fixture->request.circuit.coils = 2;
    fixture->request.magnet = true;
    take_all_readings(fixture);
    prove_test(fixture, CW_PROVE_TURNS);
    document = cw_proof_json(fixture->proof);
    assert_non_null(document);
    tests = json_object_get(document, "tests");
    assert_int_equal(json_array_size(tests), fixture->proof->test_count);
    for (size_t i = 0; i < json_array_size(tests); i++)
        for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++)
            assert_non_null(json_object_get(json_array_get(tests, i), keys[k]));
    assert_string_equal(json_string_value(json_object_get(document, "verdict")), "open");
    json_decref(document);
}

static void text__names_every_test_and_leaves_room_for_readings(void **state)
{
    proof_fixture *fixture = *state;
    cw_text text = { 0 };

    prove_test(fixture, CW_PROVE_TURNS);
    cw_proof_write(fixture->proof, CW_METRIC_UNITS, &text);
    assert_false(text.failed);
    for (size_t i = 0; i < fixture->proof->test_count; i++)
        assert_non_null(strstr(text.data, cw_proof_name(fixture->proof->tests[i].test)));
    assert_non_null(strstr(text.data, "reading ______"));
    assert_non_null(strstr(text.data, "advises only, value from memory"));
    cw_text_clear(&text);
}

static void parse(cw_proof_kind test, const char *text, cw_proof_reading *reading)
{
    cw_error error;

    cw_proof_reading_clear(reading);
    reading->test = test;
    if (cw_proof_reading_parse(text, strlen(text), NULL, reading, &error) != CW_OK)
        fail_msg("%s: %s", text, error.text);
}

static void reading__its_unit_tells_how_it_was_taken(void **state)
{
    cw_proof_reading reading;
    cw_error error;

    (void)state;
    parse(CW_PROVE_WINDING_RESISTANCE, "85.0 ohm ± 0.5 % @ 23 °C", &reading);
    assert_near(reading.value, 85, 1e-12);
    assert_near(reading.doubt, 0.425, 1e-12);
    assert_near(reading.at_c, 23, 1e-12);
    parse(CW_PROVE_TURNS, "0.21 H", &reading);
    assert_int_equal(reading.method, CW_BY_INDUCTANCE);
    parse(CW_PROVE_TURNS, "3.1 mT", &reading);
    assert_int_equal(reading.method, CW_BY_CENTRE_FIELD);
    parse(CW_PROVE_TURNS, "1850", &reading);
    assert_int_equal(reading.method, CW_BY_COUNT);
    parse(CW_PROVE_POLARITY, " pass ", &reading);
    assert_int_equal(reading.method, CW_BY_EYE);
    assert_near(reading.value, 1, 0);
    parse(CW_PROVE_INSULATION_RESISTANCE, "over-range", &reading);
    assert_true(isinf(reading.value));
    parse(CW_PROVE_RELEASE, "40 %", &reading);
    assert_int_equal(reading.method, CW_BY_DROP_OUT);
    assert_int_equal(cw_proof_reading_parse("12 kg", 5, NULL, &reading, &error), CW_BAD_INPUT);
    assert_true(strlen(error.text) > 10);
}

static void names__read_back(void **state)
{
    cw_proof_kind found;

    (void)state;
    for (int i = 0; i < CW_PROVE_COUNT; i++) {
        const char *name = cw_proof_name((cw_proof_kind)i);

        assert_true(cw_proof_find(name, strlen(name), &found));
        assert_int_equal(found, i);
    }
    assert_false(cw_proof_find("winding", 7, &found));
}

#define with_coil(test) cmocka_unit_test_setup_teardown(test, open_proof, close_proof)

int main(void)
{
    const struct CMUnitTest tests[] = {
        with_coil(tests__come_in_the_order_that_does_no_harm),
        with_coil(tests__each_says_how_and_what_not_and_what_bites),
        with_coil(tests__a_limit_from_memory_never_decides),
        with_coil(tests__what_does_not_apply_is_named_with_its_reason),
        with_coil(whole__passes_when_all_pass),
        with_coil(whole__fails_when_one_fails),
        with_coil(resistance__is_judged_at_20_c),
        with_coil(resistance__outside_the_band_fails_on_either_side),
        with_coil(resistance__causes_follow_the_turns),
        with_coil(resistance__without_temperature_is_open_where_it_matters),
        with_coil(resistance__takes_the_limits_that_the_job_asks_for),
        with_coil(resistance__an_open_winding_fails),
        with_coil(resistance__each_coil_has_its_test_and_the_last_reading_counts),
        with_coil(match__is_the_greatest_distance_from_the_mean),
        with_coil(turns__inductance_tells_missing_turns),
        with_coil(turns__field_in_the_middle),
        with_coil(polarity__aiding_has_the_greater_inductance),
        with_coil(bond__lead_comes_off),
        with_coil(insulation__is_judged_at_40_c),
        with_coil(insulation__verdicts_by_level),
        with_coil(insulation__of_a_coil_in_service),
        with_coil(insulation__test_voltage_follows_the_rating),
        with_coil(turn_insulation__by_ring),
        with_coil(turn_insulation__by_surge),
        with_coil(high_potential__level_by_state),
        with_coil(high_potential__verdicts),
        with_coil(high_potential__is_withheld_after_bad_insulation),
        with_coil(pull__what_the_machine_needs_decides),
        with_coil(release__drop_out_is_from_memory),
        with_coil(bad_input__is_refused_with_its_place),
        with_coil(proof__leaves_nothing_behind_without_memory),
        with_coil(json__has_the_keys_of_the_contract),
        with_coil(text__names_every_test_and_leaves_room_for_readings),
        cmocka_unit_test(proof__survives_without_anything),
        cmocka_unit_test(reading__its_unit_tells_how_it_was_taken),
        cmocka_unit_test(names__read_back),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
