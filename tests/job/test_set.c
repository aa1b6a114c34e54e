/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values set from outside go the same way as those of the file: the same rows read and refuse them. */
#include "coilwright/job.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static cw_wire_catalogue *catalogue;

static const char text[] = "coilwright: 1\n"
                           "supply: {kind: dc, voltage: 96 V}\n"
                           "window: {inner: 42 mm, length: 58 mm, depth: 13 mm}\n"
                           "readings:\n  - {kind: turns, value: 1850}\n"
                           "magnet: {shape: pot, gap: 0.1 mm, plate: {thickness: 12 mm}}\n";

static int open_catalogue(void **state)
{
    (void)state;
    return cw_wire_catalogue_create(&catalogue, NULL) == CW_OK ? 0 : -1;
}

static int close_catalogue(void **state)
{
    (void)state;
    cw_wire_catalogue_destroy(&catalogue);
    return 0;
}

static cw_job *read_with(const char *const *sets, size_t count)
{
    cw_errors errors = { 0 };
    cw_job *job;

    if (cw_job_read_set(text, strlen(text), "job.yaml", sets, count, catalogue, &job, &errors) != CW_OK)
        fail_msg("%s:%d:%d %s", errors.items[0].file, errors.items[0].line, errors.items[0].column,
                 errors.items[0].text);
    cw_errors_clear(&errors);
    return job;
}

static void near(double found, double right)
{
    if (!(fabs(found - right) <= 1e-12 * fabs(right)))
        fail_msg("%.17g is not %.17g", found, right);
}

static void a_bare_key_is_a_wish_or_stands_where_it_only_can(void **state)
{
    const char *const sets[] = { "turns=2100", "wire = 30 AWG", "build=[single, heavy]", "voltage=24 V", "depth=14 mm",
                                 "units=inch" };
    cw_job *job = read_with(sets, 6);

    (void)state;
    assert_true(job->wanted.given && job->wanted.turns == 2100);
    assert_string_equal(job->wanted.size, "30 AWG");
    assert_int_equal(job->wanted.builds, 1u << CW_SINGLE | 1u << CW_HEAVY);
    near(job->supply.voltage_v, 24);
    near(job->window.depth_m, 0.014);
    near(job->window.length_m, 0.058); /* what is not set stays */
    assert_int_equal(job->units, CW_INCH_UNITS);
    cw_job_destroy(&job);
}

static void a_key_with_its_section_reaches_any_depth(void **state)
{
    const char *const sets[] = { "supply.voltage=12 V", "supply.voltage=24 V", "magnet.gap=0.2 mm",
                                 "magnet.plate.thickness=10 mm", "insulation.sheet=0.05 mm", "circuit.coils=1" };
    cw_job *job = read_with(sets, 6);

    (void)state;
    near(job->supply.voltage_v, 24); /* the later one */
    near(cw_job_magnet_entry(job, "gap")->value, 0.2e-3);
    near(cw_job_magnet_entry(job, "plate.thickness")->value, 0.010);
    assert_true(job->insulation.given && job->insulation.every == 1);
    assert_true(job->circuit.given && job->circuit.coils == 1);
    cw_job_destroy(&job);
}

static void nothing_behind_the_sign_takes_a_key_out(void **state)
{
    const char *const sets[] = { "magnet.plate=", "turns=100", "turns=" };
    cw_job *job = read_with(sets, 3);

    (void)state;
    assert_null(cw_job_magnet_entry(job, "plate.thickness"));
    assert_int_equal(job->wanted.turns, 0);
    cw_job_destroy(&job);
}

static void refused(const char *words, int column, const char *expected_text)
{
    cw_errors errors = { 0 };
    cw_job *job = (cw_job *)1;

    assert_int_equal(cw_job_read_set(text, strlen(text), "job.yaml", &words, 1, catalogue, &job, &errors),
                     CW_BAD_INPUT);
    assert_null(job);
    assert_true(errors.count >= 1);
    if (strstr(errors.items[0].text, expected_text) == NULL || errors.items[0].column != column)
        fail_msg("%s: %s:%d:%d %s", words, errors.items[0].file, errors.items[0].line, errors.items[0].column,
                 errors.items[0].text);
    assert_string_equal(errors.items[0].file, CW_JOB_SET);
    cw_errors_clear(&errors);
}

static void mistakes_are_placed_in_the_words_as_given(void **state)
{
    (void)state;
    refused("turns 2100", 1, "sets nothing");
    refused("=5", 1, "sets nothing");
    refused("", 1, "sets nothing");
    refused("trns=2100", 1, "Is \"turns\" meant?");
    refused("suply.voltage=24 V", 1, "Is \"supply\" meant?");
    refused("readings=3", 1, "no key of a job");
    refused("stock.price=3", 1, "is a list");
    refused("class=155", 1, "stands under");
    refused("turns=21.5", 7, "cannot be the number of turns");
    refused("voltage=24,5 V", 11, "comma");
    refused("wire=30 AGW", 6, "");
    refused("supply.volts=24 V", 1, "is not known in supply");
    refused("turns=[1, 2", 1, "not closed");
    refused("depth: 3=4", 1, "");
}

/* No words, however odd, do anything but set a value or be refused. */
static void odd_words_never_crash(void **state)
{
    static const char letters[] = "turns=.:-[]{}#&*!|>'\"%@` \n\t\\0aé,";
    uint32_t seed = 2463534242u;

    (void)state;
    for (int i = 0; i < 20000; i++) {
        char words[40] = "turns=";
        const char *set = words;
        cw_job *job;

        for (size_t k = i % 2 == 0 ? 6 : 0; k + 1 < sizeof words - (size_t)(i % 30); k++) {
            seed ^= seed << 13, seed ^= seed >> 17, seed ^= seed << 5;
            words[k] = letters[seed % (sizeof letters - 1)];
            words[k + 1] = '\0';
        }
        if (cw_job_read_set(text, strlen(text), NULL, &set, 1, catalogue, &job, NULL) == CW_OK)
            cw_job_destroy(&job);
        assert_null(job);
    }
}

static void memory_that_runs_out_is_told_at_every_call(void **state)
{
    const char *const sets[] = { "turns=2100", "magnet.plate.iron=structural-steel" };
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_job *job;

        cw_memory_fail_after(granted);
        status = cw_job_read_set(text, strlen(text), "job.yaml", sets, 2, catalogue, &job, NULL);
        assert_true(status == CW_OK || job == NULL);
        cw_job_destroy(&job);
    }
    cw_memory_fail_after(-1);
    assert_int_equal(status, CW_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_bare_key_is_a_wish_or_stands_where_it_only_can),
        cmocka_unit_test(a_key_with_its_section_reaches_any_depth),
        cmocka_unit_test(nothing_behind_the_sign_takes_a_key_out),
        cmocka_unit_test(mistakes_are_placed_in_the_words_as_given),
        cmocka_unit_test(odd_words_never_crash),
        cmocka_unit_test(memory_that_runs_out_is_told_at_every_call),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
