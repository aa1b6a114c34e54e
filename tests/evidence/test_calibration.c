/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The identification keeps its promises over invented coils whose windings are known: nine in ten means nine in ten,
 * and 70 to 80 % sure means right 70 to 80 times in a hundred. Bounds as the project demands them; the study is the
 * same at every run. CW_STUDY_COILS makes it longer. */
#include "evidence/study_calibration.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

static study_calibration result;

static int run_study(void **state)
{
    const char *coils = getenv("CW_STUDY_COILS");
    cw_wire_catalogue *catalogue;

    (void)state;
    if (cw_wire_catalogue_create(&catalogue, NULL) != CW_OK)
        return -1;
    study_calibrate(catalogue, 20261125, coils != NULL ? strtoul(coils, NULL, 10) : 2000, &result);
    cw_wire_catalogue_destroy(&catalogue);
    return 0;
}

static void ninety_per_cent_intervals_hold_the_truth_88_to_92_times_in_a_hundred(void **state)
{
    (void)state;
    assert_true(result.coils >= 2000);
    for (int o = 0; o < STUDY_OUTPUTS; o++) {
        const double share = (double)result.inside[o] / (double)result.coils;

        assert_true(share >= 0.88 && share <= 0.92);
    }
}

static void ranks_of_the_truth_are_flat(void **state)
{
    (void)state;
    for (int o = 0; o < STUDY_OUTPUTS; o++)
        assert_true(study_flatness(result.rank[o], STUDY_BINS) > 0.01);
}

static void candidates_given_70_to_80_per_cent_are_right_as_often(void **state)
{
    const double right = (double)result.right[7] / (double)result.given[7];

    (void)state;
    assert_true(result.given[7] >= 50);
    assert_true(right >= 0.70 && right <= 0.80);
}

/* The same for all other tenths, each within three standard errors of its own mean claim. */
static void every_tenth_of_probability_is_right_as_often_as_claimed(void **state)
{
    (void)state;
    for (int t = 0; t < STUDY_TENTHS; t++) {
        const double n = (double)result.given[t], claim = result.claimed[t] / n;

        assert_true(fabs((double)result.right[t] / n - claim) < 3 * sqrt(claim * (1 - claim) / n));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ninety_per_cent_intervals_hold_the_truth_88_to_92_times_in_a_hundred),
        cmocka_unit_test(ranks_of_the_truth_are_flat),
        cmocka_unit_test(candidates_given_70_to_80_per_cent_are_right_as_often),
        cmocka_unit_test(every_tenth_of_probability_is_right_as_often_as_claimed),
    };

    return cmocka_run_group_tests(tests, run_study, NULL);
}
