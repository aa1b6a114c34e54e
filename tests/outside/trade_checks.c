/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two figures that winders reckon with: common practice, no source. 31 AWG copper of 116.5 ohm at 20 °C is 895.5 ft
 * long; four ounces of it in heavy build are about 988 ft. Tolerances as the trade states them: 0.1 % of the length
 * by resistance, 2 % of the length by weight, since enamel varies. */
#include "coilwright/wire.h"

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

static void ohms_of_31_awg_tell_its_length(void **state)
{
    assert_near(116.5 / wire_of(state, "31 AWG", CW_HEAVY).resistance_ohm_per_m.nominal / 0.3048, 895.5, 0.001 * 895.5);
}

static void four_ounces_of_31_awg_tell_its_length(void **state)
{
    assert_near(0.25 * 0.45359237 / wire_of(state, "31 AWG", CW_HEAVY).mass_kg_per_m / 0.3048, 988, 0.02 * 988);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ohms_of_31_awg_tell_its_length),
        cmocka_unit_test(four_ounces_of_31_awg_tell_its_length),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
