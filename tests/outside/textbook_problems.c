/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Problems of textbooks with printed answers: a coil's resistance from its mean turn, and the length of a close
 * winding. */
#include "coilwright/winding.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

static const double pi = 3.14159265358979323846;

/* 2000 turns of 0.8 mm2, mean turn 80 cm, 0.02 uohm m: 1600 m, 40 ohm, and 2.75 A and 302.5 W at 110 V. One layer on a
 * former whose first turn is 80 cm long. The answers are exact; the helix adds p2/(2 turn2) = 1e-6. */
static void two_thousand_turns_of_80_cm_are_1600_m_and_40_ohm(void **state)
{
    const double bare = sqrt(4 * 0.8e-6 / pi);
    cw_lay_plan plan = { .turns = 2000 };
    cw_winding *winding;

    (void)state;
    plan.wire.size.diameter_m.nominal = bare;
    plan.wire.overall_diameter_m.nominal = bare;
    plan.wire.resistance_ohm_per_m.nominal = 0.02e-6 / 0.8e-6;
    plan.window = (cw_window){ .inner_m = { 0.8 / pi - bare, 0.8 / pi - bare }, .length_m = 2.2, .depth_m = 0.01 };
    assert_int_equal(cw_winding_lay(&plan, &winding, NULL), CW_OK);
    assert_int_equal(winding->layer_count, 1);
    assert_near(winding->length_m, 1600, 2e-6 * 1600);
    assert_near(winding->resistance_20c_ohm, 40, 2e-6 * 40);
    assert_near(110 / winding->resistance_20c_ohm, 2.75, half_unit(2));
    assert_near(110 * 110 / winding->resistance_20c_ohm, 302.5, half_unit(1));
    cw_winding_destroy(&winding);
}

/* 17.0 m of wire 3.00 mm over its covering, close wound to 28.0 mm outside: printed 649.7 mm long. The printed
 * figure was computed with 3.14 for pi, which the check repeats; half a unit of the last figure. */
static void seventeen_metres_of_3_mm_wire_make_649_7_mm_of_winding(void **state)
{
    const cw_window window = { .inner_m = { 22e-3, 22e-3 }, .length_m = 0.7, .depth_m = 3e-3 };
    const double turn = cw_window_turn_length(&window, 1.5e-3);

    (void)state;
    assert_near(1e3 * 17.0 / (turn * 3.14 / pi) * 3e-3, 649.7, half_unit(1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_thousand_turns_of_80_cm_are_1600_m_and_40_ohm),
        cmocka_unit_test(seventeen_metres_of_3_mm_wire_make_649_7_mm_of_winding),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
