/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/job.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static cw_wire_catalogue *catalogue;
static const char *const kinds[] = { "pot", "plunger", "u", "e", "bobbin" };

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

/* Works on one line of a template at a time: fills in what is empty with the example behind "as in", and takes the
 * comment's # away from the first column where `all`. */
static void fill_line(const char *line, size_t length, bool all, cw_text *out)
{
    char copy[400];
    const char *as_in;
    char *colon;

    assert_true(length < sizeof copy);
    memcpy(copy, line, length);
    copy[length] = '\0';
    if (copy[0] == '#' && (!all || (copy[1] == ' ' && copy[2] != ' '))) {
        cw_text_print(out, "%s\n", copy);
        return;
    }
    colon = strchr(copy, ':');
    as_in = strstr(copy, "; as in ");
    for (const char *next = as_in; next != NULL; next = strstr(next + 1, "; as in "))
        as_in = next;
    if (colon != NULL && as_in != NULL && colon[1] == ' ' && colon[1 + strspn(colon + 1, " ")] == '#')
        cw_text_print(out, "%.*s %s\n", (int)(colon + 1 - copy), copy, as_in + 8);
    else
        cw_text_print(out, "%s\n", copy[0] == '#' ? copy + 1 : copy);
}

static void fill(const cw_text *template, bool all, cw_text *out)
{
    for (const char *line = template->data; *line != '\0';) {
        size_t length = strcspn(line, "\n");

        fill_line(line, length, all, out);
        line += length + 1;
    }
}

static void read_filled(const cw_text *filled, cw_unit_system units)
{
    cw_errors errors = { 0 };
    cw_job *job;

    if (cw_job_read(filled->data, filled->length, NULL, catalogue, &job, &errors) != CW_OK)
        fail_msg("%d:%d %s\n%s", errors.items[0].line, errors.items[0].column, errors.items[0].text, filled->data);
    assert_int_equal(job->units, units);
    assert_true(job->window_given && job->supply.given && job->reading_count >= 2);
    cw_job_destroy(&job);
}

static void check_unfilled(const cw_text *text)
{
    cw_errors errors = { 0 };
    cw_job *job;

    assert_int_equal(cw_job_read(text->data, text->length, NULL, catalogue, &job, &errors), CW_BAD_INPUT);
    assert_true(errors.count >= 8);
    for (size_t i = 0; i < errors.count; i++)
        if (strstr(errors.items[i].text, "is still empty. Fill it in") == NULL)
            fail_msg("line %d: %s", errors.items[i].line, errors.items[i].text);
    cw_errors_clear(&errors);
}

static void every_template_says_what_to_fill_in_and_passes_when_filled(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        for (int units = 0; units < 2; units++) {
            cw_text template = { 0 }, filled = { 0 }, everything = { 0 };

            assert_int_equal(cw_job_template(kinds[i], (cw_unit_system)units, &template, NULL), CW_OK);
            check_unfilled(&template);
            fill(&template, false, &filled);
            read_filled(&filled, (cw_unit_system)units);
            fill(&template, true, &everything);
            read_filled(&everything, (cw_unit_system)units);
            cw_text_clear(&template);
            cw_text_clear(&filled);
            cw_text_clear(&everything);
        }
}

static void a_template_asks_in_the_users_units(void **state)
{
    cw_text text = { 0 };

    (void)state;
    assert_int_equal(cw_job_template("pot", CW_INCH_UNITS, &text, NULL), CW_OK);
    assert_non_null(strstr(text.data, "as in 2.28 in"));
    assert_non_null(strstr(text.data, "wire: 29 AWG"));
    assert_null(strstr(text.data, "as in 58 mm"));
    cw_text_clear(&text);
}

static void an_unknown_kind_is_refused_with_the_nearest(void **state)
{
    cw_text text = { 0 };
    cw_error error;

    (void)state;
    assert_int_equal(cw_job_template("plungr", CW_METRIC_UNITS, &text, &error), CW_BAD_INPUT);
    assert_string_equal(error.text, "\"plungr\" is no kind of magnet. Is \"plunger\" meant?");
    assert_int_equal(cw_job_template("toroid", CW_METRIC_UNITS, &text, &error), CW_BAD_INPUT);
    assert_int_equal(text.length, 0);
    cw_memory_fail_after(0);
    assert_int_equal(cw_job_template("pot", CW_METRIC_UNITS, &text, &error), CW_NO_MEMORY);
    cw_memory_fail_after(-1);
    cw_text_clear(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_template_says_what_to_fill_in_and_passes_when_filled),
        cmocka_unit_test(a_template_asks_in_the_users_units),
        cmocka_unit_test(an_unknown_kind_is_refused_with_the_nearest),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
