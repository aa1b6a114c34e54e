/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The definition of the gauge [ASTM B258]: 36 AWG is 0.0050 in, 0000 AWG is 0.4600 in, with 39 equal ratios between; so
 * a step is 1.122932 in diameter and 1.260977 in section. Both sizes are exact; the ratios are printed to six
 * decimals. */
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

static void the_two_fixed_sizes_are_exact(void **state)
{
    (void)state;
    assert_near(cw_awg_diameter_m(36), 0.0050 * 25.4e-3, 1e-15);
    assert_near(cw_awg_diameter_m(-3), 0.4600 * 25.4e-3, 1e-15);
    assert_near(size_of(state, "0000 AWG")->diameter_m.nominal, 0.4600 * 25.4e-3, 1e-15);
    assert_near(size_of(state, "36 AWG")->diameter_m.nominal, 0.0050 * 25.4e-3, 1e-15);
}

static void each_step_is_the_same_ratio(void **state)
{
    (void)state;
    for (double gauge = -3; gauge < 50; gauge += 0.5) {
        const double ratio = cw_awg_diameter_m(gauge) / cw_awg_diameter_m(gauge + 1);

        assert_near(ratio, 1.122932, half_unit(6));
        assert_near(ratio * ratio, 1.260977, half_unit(6));
    }
}

/* Ten steps are 10.16 in section, six are 2.005 in diameter: the rules of thumb, to the digits printed. */
static void six_steps_double_the_diameter_and_ten_steps_are_tenfold_in_section(void **state)
{
    (void)state;
    assert_near(cw_awg_diameter_m(20) / cw_awg_diameter_m(26), 2.005, half_unit(3));
    assert_near(pow(cw_awg_diameter_m(20) / cw_awg_diameter_m(30), 2), 10.16, half_unit(2));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_two_fixed_sizes_are_exact),
        cmocka_unit_test(each_step_is_the_same_ratio),
        cmocka_unit_test(six_steps_double_the_diameter_and_ten_steps_are_tenfold_in_section),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
