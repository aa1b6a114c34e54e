/* SPDX-License-Identifier: GPL-3.0-or-later */
/* T. M. St. John, How Two Boys Made Their Own Electrical Apparatus (1898), paragraph 230 [SJ1898]: one ohm is 9 ft 9
 * in of No. 30 or 39 ft 1 in of No. 24 copper. Such wire as it was bought: the printed length must lie within the
 * limits that the magnet wire standard sets to a gauge's ohms today, and the two lengths to each other as the two
 * gauges do, to half an inch in 9 ft 9 in. */
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

static const double foot = 0.3048, inch = 0.0254;

static void one_ohm_is_the_printed_length(void **state)
{
    const cw_band no_30 = wire_of(state, "30 AWG", CW_BARE).resistance_ohm_per_m;
    const cw_band no_24 = wire_of(state, "24 AWG", CW_BARE).resistance_ohm_per_m;
    const double length_30 = 9 * foot + 9 * inch, length_24 = 39 * foot + 1 * inch;

    assert_true(no_30.min * length_30 < 1 && 1 < no_30.max * length_30);
    assert_true(no_24.min * length_24 < 1 && 1 < no_24.max * length_24);
    assert_near(no_30.nominal / no_24.nominal * length_30 / length_24, 1, 0.5 / 117);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_ohm_is_the_printed_length),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
