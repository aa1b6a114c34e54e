/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Change gears as the old books work them [numeric control notes, section 13.3]: Jones, Turning and Boring (1914);
 * Rose, Modern Machine-Shop Practice (1887); general trade documentation. */
#include "coilwright/nc.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/near.h"

static const double inch_m = 0.0254;

/* The best set for a pitch with these gears alone. */
static cw_gearing best(double leadscrew_m, double pitch_m, const int *gears, size_t count)
{
    cw_machine machine;
    cw_gearing found = { 0 };

    cw_machine_init(&machine);
    machine.leadscrew_m = leadscrew_m;
    for (size_t i = 0; i < count; i++)
        machine.gears[machine.gear_count++] = gears[i];
    assert_int_equal(cw_gearing_search(&machine, pitch_m, &found, 1), 1);
    return found;
}

/* 1914: lathe screw constant 6, lead 3 mm: 90 over 127, exactly 3.000 mm. */
static void metric_lead_on_an_inch_screw_takes_90_over_127(void **state)
{
    static const int gears[] = { 127, 90, 60, 100 };
    cw_gearing set = best(inch_m / 6, 3e-3, gears, 4);

    (void)state;
    assert_int_equal(set.a, 90);
    assert_int_equal(set.b, 127);
    assert_int_equal(set.c, 0);
    assert_near(set.pitch_m, 3e-3, 0.0005e-3);
}

/* 1887: screw of 4 threads to the inch, drivers 48 and 18, driven 66 and 36, cut 11. */
static void compound_train_cuts_11_threads(void **state)
{
    static const int gears[] = { 48, 18, 66, 36 };
    cw_gearing set = best(inch_m / 4, inch_m / 11, gears, 4);

    (void)state;
    assert_near(inch_m / set.pitch_m, 11, 0.0005);
    assert_int_equal(set.a * set.c, 48 * 18);
    assert_int_equal(set.b * set.d, 66 * 36);
}

/* Trade documentation: 16 threads to the inch, 80/60 and 40/50, cut 15. */
static void four_gears_cut_15_threads(void **state)
{
    static const int gears[] = { 80, 60, 40, 50 };
    cw_gearing set = best(inch_m / 16, inch_m / 15, gears, 4);

    (void)state;
    assert_near(inch_m / set.pitch_m, 15, 0.0005);
}

/* Trade documentation: 120/127 on a screw of 8 threads gives 3 mm exactly; 36/34 for 127/120 is 0.046 % off. */
static void translating_gears_give_three_millimetres(void **state)
{
    static const int exact[] = { 120, 127 }, substitute[] = { 34, 36 };

    (void)state;
    assert_near(best(inch_m / 8, 3e-3, exact, 2).pitch_m, 3e-3, 0.0005e-3);
    assert_near((best(inch_m / 8, 2.998e-3, substitute, 2).pitch_m / 3e-3 - 1) * 100, -0.046, half_unit(3));
}

/* Section 13.3, derived there: 8 threads to the inch, 20/95 * 45/110 gives 0.27344 mm, 25/70 * 45/100 gives 0.51027. */
static void fine_feeds_are_those_of_the_notes(void **state)
{
    static const int fine[] = { 20, 95, 45, 110 }, coarse[] = { 25, 70, 45, 100 };

    (void)state;
    assert_near(best(inch_m / 8, 0.274e-3, fine, 4).pitch_m * 1e3, 0.27344, half_unit(5));
    assert_near(best(inch_m / 8, 0.51e-3, coarse, 4).pitch_m * 1e3, 0.51027, half_unit(5));
}

/* "Prefer the next coarser": a negative error makes turns climb. */
static void coarser_pitches_come_first(void **state)
{
    static const int gears[] = { 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95, 100, 110, 120, 127 };
    cw_gearing found[8];
    cw_machine machine;
    size_t count;

    (void)state;
    cw_machine_init(&machine);
    machine.leadscrew_m = inch_m / 8;
    for (size_t i = 0; i < sizeof gears / sizeof gears[0]; i++)
        machine.gears[machine.gear_count++] = gears[i];
    count = cw_gearing_search(&machine, 0.274e-3, found, 8);
    assert_int_equal(count, 8);
    for (size_t i = 0; i < count; i++) {
        assert_true(found[i].pitch_m >= 0.274e-3 * (1 - 1e-6));
        assert_true(i == 0 || found[i].pitch_m >= found[i - 1].pitch_m);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(metric_lead_on_an_inch_screw_takes_90_over_127),
        cmocka_unit_test(compound_train_cuts_11_threads),
        cmocka_unit_test(four_gears_cut_15_threads),
        cmocka_unit_test(translating_gears_give_three_millimetres),
        cmocka_unit_test(fine_feeds_are_those_of_the_notes),
        cmocka_unit_test(coarser_pitches_come_first),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
