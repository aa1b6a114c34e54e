/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An amateur journal, March 1959, p. 54 [QST1959]: a 24 V relay wound with No. 26 is to work on 12 V. Twice the
 * section: printed No. 23, 0.023 in; half the voltage, twice the current, a quarter of the resistance, half the
 * turns. */
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

/* The gauge is the nearest full one; 0.023 in to its last figure. */
static void twice_the_section_of_no_26_is_no_23(void **state)
{
    const double wanted = 2 * pow(size_of(state, "26 AWG")->diameter_m.nominal, 2);
    double nearest = HUGE_VAL;
    int found = 0;

    for (int gauge = 10; gauge <= 40; gauge++) {
        const double miss = fabs(log(pow(cw_awg_diameter_m(gauge), 2) / wanted));

        if (miss < nearest) {
            nearest = miss;
            found = gauge;
        }
    }
    assert_int_equal(found, 23);
    assert_near(size_of(state, "23 AWG")->diameter_m.nominal / 25.4e-3, 0.023, half_unit(3));
}

/* Half the turns of it have a quarter of the ohms. The journal's rule, 26 - 10 log10(2), gives 22.99 and is printed as a
 * whole gauge: 0.015 of a step at most, each of which is 1.261 in ohms: 0.35 %. */
static void half_the_turns_have_a_quarter_of_the_ohms(void **state)
{
    const double before = wire_of(state, "26 AWG", CW_BARE).resistance_ohm_per_m.nominal;
    const double after = 0.5 * wire_of(state, "23 AWG", CW_BARE).resistance_ohm_per_m.nominal;

    assert_near(after / before, 0.25, 0.0035 * 0.25);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(twice_the_section_of_no_26_is_no_23),
        cmocka_unit_test(half_the_turns_have_a_quarter_of_the_ohms),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
