/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Printed rewinding problems put to the choice as a shop would put them: two from [CYC1919] ("Winding Calculations",
 * after Table IV, and the review question with the book's note), one from [QST1959], and an iron core on ac from a
 * textbook. The answers are gauge numbers and ratios, and the sources give them without a window: any window will do that
 * the first winding fills. */
#include "coilwright/choose.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

/* Table IV is square lay with 0.95 turns where one would go, each way [wire: section 6.10, derived]. */
static const double loss = 1 / 0.95;

static const cw_choice_doubts none = { NAN, NAN, NAN, NAN, NAN, NAN }; /* the books take all as nominal */

/* A spool that this wire fills at that resistance, a little more than full so that rounding does not bind. */
static cw_window filled_spool(const cw_wire *wire, double ohm)
{
    cw_lay_plan plan = { .wire = *wire, .pitch_factor = loss, .rise_factor = loss };
    cw_window window = { .shape = CW_ROUND, .inner_m = { 12e-3, 12e-3 }, .length_m = 70e-3, .depth_m = 1,
                         .inner_doubt_m = 1e-9, .length_doubt_m = 1e-9, .depth_doubt_m = 1e-9 };
    cw_winding *winding;

    plan.window = window;
    for (plan.turns = 1;; plan.turns++) {
        assert_int_equal(cw_winding_lay(&plan, &winding, NULL), CW_OK);
        window.depth_m = winding->depth_m * 1.01;
        if (winding->resistance_20c_ohm >= ohm)
            break;
        cw_winding_destroy(&winding);
    }
    cw_winding_destroy(&winding);
    return window;
}

static cw_choice *choose(void **state, const cw_choice_request *request)
{
    cw_choice *choice = NULL;
    cw_error error;

    if (cw_choose(request, *state, &choice, &error) != CW_OK)
        fail_msg("%s", error.text);
    return choice;
}

/* Full gauges of one covering, one strand, the resistance wanted within what a gauge can do: a step is 1.59 in ohms per
 * volume, so that the nearest lies within 26 %. */
static void check_gauge(void **state, const char *from, cw_build build, double ohm, double wanted, const char *printed)
{
    const cw_wire first = wire_of(state, from, build);
    cw_choice_request request = { .window = filled_spool(&first, ohm), .doubts = none, .systems = 1u << CW_AWG,
                                  .builds = 1u << build, .most_in_hand = 1 };
    cw_choice *choice;

    request.factors.pitch_factor = request.factors.rise_factor = loss;
    request.original.turns.p50 = NAN;
    request.wanted = (cw_wanted){ .given = true, .resistance_rule = CW_EXACTLY, .resistance_ohm = wanted,
                                  .resistance_tolerance = 0.26 };
    choice = choose(state, &request);
    assert_non_null(choice->chosen);
    assert_string_equal(choice->chosen->wire.size.name, printed);
    cw_choice_destroy(&choice);
}

/* "50 ohm of No. 25 single silk; 1000 ohm wanted on the same spool": No. 32. */
static void one_thousand_ohms_on_a_spool_of_50_are_no_32(void **state)
{
    check_gauge(state, "25 AWG", CW_SINGLE_SILK, 50, 1000, "32 AWG");
}

/* 115 ohm of No. 23 double cotton, 1070 ohm wanted: No. 29. */
static void one_thousand_and_seventy_ohms_on_a_spool_of_115_are_no_29(void **state)
{
    check_gauge(state, "23 AWG", CW_DOUBLE_COTTON, 115, 1070, "29 AWG");
}

/* A 24 V relay of No. 26 for 12 V: No. 23, half the turns, a quarter of the resistance, twice the current. The printed
 * gauge is the nearest whole one, 0.015 of a step off, and the mean turn stays: ratios to 2 %. */
static void a_relay_for_half_the_voltage_is_no_23_with_half_the_turns(void **state)
{
    const cw_wire first = wire_of(state, "26 AWG", CW_SINGLE);
    cw_choice_request request = { .window = filled_spool(&first, 30), .doubts = none, .systems = 1u << CW_AWG,
                                  .builds = 1u << CW_SINGLE, .most_in_hand = 1 };
    cw_choice *now, *then;

    request.factors.pitch_factor = request.factors.rise_factor = loss;
    request.window.depth_m *= 1.1; /* single enamel is thicker in proportion on other gauges */
    request.original = (cw_original){ .wire_known = true, .wire = first, .in_hand = 1, .supply_voltage_v = 24 };
    request.original.resistance_20c_ohm = (cw_interval){ 30, 30, 30 };
    request.original.turns.p50 = NAN;
    request.wanted = (cw_wanted){ .given = true, .thermal_class_c = 250, .resistance_tolerance = NAN };
    request.supply = (cw_supply){ .given = true, .kind = CW_DC, .voltage_v = 24, .duty_share = 1,
                                  .duty_period_s = NAN, .ambient_c = 20 };
    then = choose(state, &request);
    request.supply.voltage_v = 12;
    now = choose(state, &request);
    assert_string_equal(then->chosen->wire.size.name, "26 AWG");
    assert_string_equal(now->chosen->wire.size.name, "23 AWG");
    assert_near((double)now->chosen->turns / (double)then->chosen->turns, 0.5, 0.02 * 0.5);
    assert_near(now->chosen->resistance_20c_ohm / then->chosen->resistance_20c_ohm, 0.25, 0.02 * 0.25);
    assert_near(now->chosen->current_a / then->chosen->current_a, 2, 0.02 * 2);
    assert_near(now->chosen->ampere_turns_ratio, 1, 0.02);
    cw_choice_destroy(&now);
    cw_choice_destroy(&then);
}

/* Fitzgerald, Electric Machinery, example 1.8, as quoted with its inputs [magnetics: section 6]: 200 turns on 4 in2 of
 * iron with a stacking factor of 0.94, 1.5 T peak at 377 rad/s: 274.4 V peak without the book's rounding. */
static void two_hundred_turns_on_274_volts_are_one_and_a_half_tesla(void **state)
{
    cw_choice_request request = { .systems = 1u << CW_AWG, .builds = 1u << CW_HEAVY };
    cw_choice *choice;

    request.window = (cw_window){ .shape = CW_ROUND, .inner_m = { 60e-3, 60e-3 }, .length_m = 60e-3, .depth_m = 15e-3 };
    request.supply = (cw_supply){ .given = true, .kind = CW_AC, .voltage_v = 274.4 / sqrt(2), .ambient_c = 30,
                                  .frequency_hz = 377 / (2 * 3.14159265358979323846), .duty_share = 1 };
    request.core_section_m2 = 0.94 * 4 * 25.4e-3 * 25.4e-3;
    request.original = (cw_original){ .turns = { 200, 200, 200 }, .resistance_20c_ohm = { NAN, NAN, NAN } };
    choice = choose(state, &request);
    assert_non_null(choice->chosen);
    assert_int_equal(choice->chosen->turns, 200);
    assert_near(choice->chosen->flux_density_t, 1.5, half_unit(3)); /* of the four figures of 274.4 */
    cw_choice_destroy(&choice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_thousand_ohms_on_a_spool_of_50_are_no_32),
        cmocka_unit_test(one_thousand_and_seventy_ohms_on_a_spool_of_115_are_no_29),
        cmocka_unit_test(a_relay_for_half_the_voltage_is_no_23_with_half_the_turns),
        cmocka_unit_test(two_hundred_turns_on_274_volts_are_one_and_a_half_tesla),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
