/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Jobs, versions, readings, pictures, money and wire: what goes in comes out, and what cannot be is refused. */
#define _XOPEN_SOURCE 700 /* nftw, mkdtemp */
#include "coilwright/book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "tests/book/book_fixture.h"
#include "tests/near.h"

static void refused(cw_status status, const cw_error *error, const char *word)
{
    assert_int_equal(status, CW_BAD_INPUT);
    if (strstr(error->text, word) == NULL)
        fail_msg("'%s' does not speak of '%s'", error->text, word);
}

static cw_book_job *open_job(book_fixture *fixture, cw_book_id id)
{
    cw_book_job *job;
    cw_error error;

    must(cw_book_job_open(fixture->book, id, &job, &error), &error);
    return job;
}

/* ---- jobs and versions ------------------------------------------------------------------------------------- */

static void job__comes_out_as_it_went_in(void **state)
{
    book_fixture *fixture = *state;
    cw_book_job *job = open_job(fixture, fixture->job);

    assert_string_equal(job->machine, "Press brake");
    assert_string_equal(job->coil, "brake coil");
    assert_string_equal(job->name, "Press brake");
    assert_null(job->note);
    assert_string_equal(job->yaml, example_yaml);
    assert_int_equal(job->made_s, 1000);
    assert_int_equal(job->state, CW_JOB_OPEN);
    assert_int_equal(job->version_count, 1);
    assert_int_equal(strlen(job->uid), 32);
    assert_string_equal(job->keys.wire, "29 AWG");
    assert_near(job->keys.inner_m[0], 0.042, 0);
    assert_near(job->keys.resistance_20c_ohm, 84.2, 0);
    assert_true(isnan(job->spent) && isnan(job->instead) && isnan(job->hours_total));
    cw_book_job_destroy(&job);
}

static void job__takes_the_names_that_were_typed_since(void **state)
{
    book_fixture *fixture = *state;
    cw_book_hits *hits;
    cw_book_query query;
    cw_book_job *job;
    cw_error error;

    must(cw_book_job_rename(fixture->book, fixture->job, "left coil", "Pres", &error), &error);
    must(cw_book_job_rename(fixture->book, fixture->job, "left coil", "Press in bay 4", &error), &error);
    job = open_job(fixture, fixture->job);
    assert_string_equal(job->name, "left coil");
    assert_string_equal(job->machine, "Press in bay 4");
    assert_string_equal(job->coil, "brake coil");
    cw_book_job_destroy(&job);
    cw_book_query_clear(&query);
    query.text = "left c";
    must(cw_book_find(fixture->book, &query, &hits, &error), &error);
    assert_int_equal(hits->count, 1);
    cw_book_hits_destroy(&hits);
    refused(cw_book_job_rename(fixture->book, fixture->job, "", "Press", &error), &error, "missing");
    refused(cw_book_job_rename(fixture->book, 4711, "a", "b", &error), &error, "4711");
}

static void version__every_one_is_kept(void **state)
{
    book_fixture *fixture = *state;
    cw_text text = { 0 };
    cw_error error;
    int number = 0;

    must(cw_book_job_save(fixture->book, fixture->job, "coilwright: 1\nb: 2\n", NULL, 1, 2000, &number, &error),
         &error);
    assert_int_equal(number, 2);
    must(cw_book_job_save(fixture->book, fixture->job, "coilwright: 1\nb: 2\n", NULL, 2, 3000, &number, &error),
         &error);
    assert_int_equal(number, 2); /* nothing has changed */
    must(cw_book_version_text(fixture->book, fixture->job, 1, &text, &error), &error);
    assert_string_equal(text.data, example_yaml);
    must(cw_book_version_text(fixture->book, fixture->job, 0, &text, &error), &error);
    assert_string_equal(text.data, "coilwright: 1\nb: 2\n");
    refused(cw_book_version_text(fixture->book, fixture->job, 3, &text, &error), &error, "no such version");
    cw_text_clear(&text);
}

static void version__two_writers_do_not_overwrite_each_other(void **state)
{
    book_fixture *fixture = *state;
    cw_error error;
    int number = 77;

    must(cw_book_job_save(fixture->book, fixture->job, "one\n", NULL, 1, 2000, NULL, &error), &error);
    refused(cw_book_job_save(fixture->book, fixture->job, "other\n", NULL, 1, 2001, &number, &error), &error,
            "somebody else");
    assert_int_equal(number, 77);
    must(cw_book_job_save(fixture->book, fixture->job, "other\n", NULL, 0, 2001, &number, &error), &error);
    assert_int_equal(number, 3);
}

static void machine__is_one_whatever_its_case(void **state)
{
    book_fixture *fixture = *state;
    cw_book_query query;
    cw_book_hits *hits;
    cw_error error;

    add_job(fixture->book, "PRESS BRAKE", NULL, 2000);
    cw_book_query_clear(&query);
    query.machine = "press";
    must(cw_book_find(fixture->book, &query, &hits, &error), &error);
    assert_int_equal(hits->count, 2);
    assert_string_equal(hits->items[0].machine, "Press brake");
    cw_book_hits_destroy(&hits);
}

static void results__stand_beside_their_version(void **state)
{
    book_fixture *fixture = *state;
    cw_text text = { 0 };
    cw_book_job *job;
    cw_error error;

    must(cw_book_result_add(fixture->book, fixture->job, 1, "identify", "{\"a\":1}", 2000, &error), &error);
    must(cw_book_result_add(fixture->book, fixture->job, 0, "identify", "{\"a\":2}", 2001, &error), &error);
    must(cw_book_result_text(fixture->book, fixture->job, 1, "identify", &text, &error), &error);
    assert_string_equal(text.data, "{\"a\":2}");
    job = open_job(fixture, fixture->job);
    assert_int_equal(job->result_count, 2);
    refused(cw_book_result_add(fixture->book, fixture->job, 9, "lay", "{}", 0, &error), &error, "no version 9");
    refused(cw_book_result_text(fixture->book, fixture->job, 0, "heat", &text, &error), &error, "no such result");
    cw_book_job_destroy(&job);
    cw_text_clear(&text);
}

static void readings_costs_and_hours__come_out_in_order(void **state)
{
    const cw_book_reading first = { "coil-resistance", 84.2, 0.4, 24, "ohm", "typed", NULL, 2000 };
    const cw_book_reading second = { "insulation-resistance", INFINITY, NAN, NAN, "ohm", "ACME M-4W", "500 V", 2001 };
    book_fixture *fixture = *state;
    cw_book_job *job;
    cw_error error;

    must(cw_book_reading_add(fixture->book, fixture->job, &first, &error), &error);
    must(cw_book_reading_add(fixture->book, fixture->job, &second, &error), &error);
    must(cw_book_cost_add(fixture->book, fixture->job, "material", 4.5, "resin", 2000, &error), &error);
    must(cw_book_cost_add(fixture->book, fixture->job, "instead", 380, "new coil, 9 weeks", 2000, &error), &error);
    must(cw_book_hours_add(fixture->book, fixture->job, 2.25, "M.", "winding", 2000, &error), &error);
    must(cw_book_hours_add(fixture->book, fixture->job, 0.5, NULL, NULL, 2000, &error), &error);
    job = open_job(fixture, fixture->job);
    assert_int_equal(job->reading_count, 2);
    assert_near(job->readings[0].value, 84.2, 0);
    assert_near(job->readings[0].at_c, 24, 0);
    assert_true(isinf(job->readings[1].value) && isnan(job->readings[1].at_c));
    assert_string_equal(job->readings[1].source, "ACME M-4W");
    assert_near(job->spent, 4.5, 0);
    assert_near(job->instead, 380, 0);
    assert_near(job->hours_total, 2.75, 1e-12);
    cw_book_job_destroy(&job);
    refused(cw_book_cost_add(fixture->book, fixture->job, "beer", 4, NULL, 0, &error), &error, "beer");
    refused(cw_book_hours_add(fixture->book, fixture->job, NAN, NULL, NULL, 0, &error), &error, "hours");
}

static void job__that_is_not_there_is_refused_everywhere(void **state)
{
    const cw_book_reading reading = { "coil-resistance", 84.2, NAN, NAN, "ohm", NULL, NULL, 0 };
    book_fixture *fixture = *state;
    cw_book_job *job;
    cw_error error;

    refused(cw_book_job_open(fixture->book, 99, &job, &error), &error, "no job 99");
    assert_null(job);
    refused(cw_book_job_save(fixture->book, 99, "a", NULL, 0, 0, NULL, &error), &error, "no job 99");
    refused(cw_book_job_set_state(fixture->book, 99, CW_JOB_WOUND, &error), &error, "no job 99");
    refused(cw_book_reading_add(fixture->book, 99, &reading, &error), &error, "no job 99");
    refused(cw_book_cost_add(fixture->book, 99, "other", 1, NULL, 0, &error), &error, "no job 99");
    refused(cw_book_export(fixture->book, 99, "x.zip", &error), &error, "no job 99");
    assert_int_equal(access("x.zip", F_OK), -1);
}

static void texts__that_are_none_are_refused(void **state)
{
    book_fixture *fixture = *state;
    cw_book_entry entry = { .machine = "A", .yaml = "b" };
    cw_book_id job = 4711;
    cw_error error;

    entry.machine = "";
    refused(cw_book_job_add(fixture->book, &entry, &job, &error), &error, "machine");
    entry.machine = "A\xFF";
    refused(cw_book_job_add(fixture->book, &entry, &job, &error), &error, "UTF-8");
    entry.machine = "A";
    entry.yaml = NULL;
    refused(cw_book_job_add(fixture->book, &entry, &job, &error), &error, "job file");
    entry.yaml = "b";
    entry.based_on = 31;
    refused(cw_book_job_add(fixture->book, &entry, &job, &error), &error, "no job 31");
    assert_int_equal(job, 4711);
}

static void differences__of_a_second_machine_are_shown(void **state)
{
    cw_text text = { 0 };
    cw_error error;

    (void)state;
    must(cw_book_differences("a\nb\nc\nd\ne\nf\n", "a\nb\nC\nd\ne\nf\ng\n", &text, &error), &error);
    assert_string_equal(text.data, "  b\n- c\n+ C\n  d\n...\n  f\n+ g\n");
    cw_text_clear(&text);
    must(cw_book_differences("a\nb\n", "a\nb\n", &text, &error), &error);
    assert_null(text.data);
    must(cw_book_differences("", "x", &text, &error), &error);
    assert_string_equal(text.data, "+ x\n");
    cw_text_clear(&text);
}

static void job__starts_from_another(void **state)
{
    book_fixture *fixture = *state;
    const cw_book_entry entry = { .machine = "Press brake 2", .yaml = example_yaml, .based_on = fixture->job };
    cw_book_id second;
    cw_book_job *job;
    cw_error error;

    must(cw_book_job_add(fixture->book, &entry, &second, &error), &error);
    job = open_job(fixture, second);
    assert_int_equal(job->based_on, fixture->job);
    cw_book_job_destroy(&job);
}

/* ---- finding ----------------------------------------------------------------------------------------------- */

static size_t count_found(book_fixture *fixture, const cw_book_query *query)
{
    cw_book_hits *hits;
    cw_error error;
    size_t count;

    must(cw_book_find(fixture->book, query, &hits, &error), &error);
    count = hits->count;
    cw_book_hits_destroy(&hits);
    return count;
}

/* "Have we ever had 84 ohm on a 42 mm core?" */
static void find__by_machine_wire_window_and_resistance(void **state)
{
    book_fixture *fixture = *state;
    const cw_book_keys others[] = { keys_of("29 AWG", 0.038, 84.0), keys_of("0.250 mm", 0.042, 120),
                                    keys_of("31 SWG", 0.042, 83.5) };
    cw_book_query query;

    for (size_t i = 0; i < 3; i++)
        add_job(fixture->book, i == 0 ? "100 % lift" : "Chuck", &others[i], 2000 + (long long)i);
    add_job(fixture->book, "Without keys", NULL, 3000);
    cw_book_query_clear(&query);
    assert_int_equal(count_found(fixture, &query), 5);
    query.resistance_20c_ohm[0] = 84 * 0.98;
    query.resistance_20c_ohm[1] = 84 * 1.02;
    assert_int_equal(count_found(fixture, &query), 3);
    query.inner_m[0] = 0.0415;
    query.inner_m[1] = 0.0425;
    assert_int_equal(count_found(fixture, &query), 2);
    query.wire = "29 awg";
    assert_int_equal(count_found(fixture, &query), 1);
    query.machine = "chuck";
    assert_int_equal(count_found(fixture, &query), 0);
    cw_book_query_clear(&query);
    query.machine = "% L"; /* means itself */
    assert_int_equal(count_found(fixture, &query), 1);
    cw_book_query_clear(&query);
    query.text = "\"); DROP"; /* nothing in it means anything */
    assert_int_equal(count_found(fixture, &query), 0);
    query.text = "BR";
    assert_int_equal(count_found(fixture, &query), 5);
    query.text = "Brake Coil";
    query.state = CW_JOB_OPEN;
    assert_int_equal(count_found(fixture, &query), 5);
    query.state = CW_JOB_PROVED;
    assert_int_equal(count_found(fixture, &query), 0);
}

static void find__a_note_as_soon_as_it_is_written(void **state)
{
    book_fixture *fixture = *state;
    cw_book_query query;
    cw_error error;

    cw_book_query_clear(&query);
    query.text = "RÜCKEN";
    assert_int_equal(count_found(fixture, &query), 0);
    must(cw_book_job_set_note(fixture->book, fixture->job, "Core rusty at its Rücken", &error), &error);
    assert_int_equal(count_found(fixture, &query), 1);
    must(cw_book_job_set_note(fixture->book, fixture->job, NULL, &error), &error);
    assert_int_equal(count_found(fixture, &query), 0);
}

static void find__gives_the_last_changed_first_and_says_that_there_are_more(void **state)
{
    book_fixture *fixture = *state;
    cw_book_query query;
    cw_book_hits *hits;
    cw_error error;

    add_job(fixture->book, "A", NULL, 5000);
    add_job(fixture->book, "B", NULL, 4000);
    cw_book_query_clear(&query);
    query.most = 2;
    must(cw_book_find(fixture->book, &query, &hits, &error), &error);
    assert_int_equal(hits->count, 2);
    assert_true(hits->more);
    assert_string_equal(hits->items[0].machine, "A");
    assert_string_equal(hits->items[1].machine, "B");
    assert_int_equal(hits->items[0].versions, 1);
    assert_true(isnan(hits->items[0].keys.turns));
    cw_book_hits_destroy(&hits);
}

static void keys__come_from_the_job(void **state)
{
    cw_reading readings[2] = { { .kind = CW_COIL_RESISTANCE, .subject = CW_OF_SIBLING, .value = 84.2, .at_c = 24 },
                               { .kind = CW_COIL_RESISTANCE, .subject = CW_OF_THIS, .value = 31, .at_c = 24 } };
    const cw_job job = { .window_given = true,
                         .readings = readings,
                         .reading_count = 2,
                         .window = {
                             .shape = CW_ROUND, .inner_m = { 0.042, 0.042 }, .length_m = 0.058, .depth_m = 0.013 } };
    cw_book_keys keys;

    (void)state;
    cw_book_keys_from(&job, NULL, NULL, &keys);
    assert_near(keys.resistance_20c_ohm, 84.2 / (1 + 0.00393 * 4), 1e-9); /* the sibling's, at 20 °C [IEC 60028] */
    assert_near(keys.inner_m[0], 0.042, 0);
    assert_string_equal(keys.shape, "round");
    assert_string_equal(keys.wire, "");
}

/* ---- pictures ---------------------------------------------------------------------------------------------- */

static const char jpeg[] = "\xFF\xD8\xFF\xE0 not much of a picture";

static void photo__is_kept_once_with_its_sum(void **state)
{
    book_fixture *fixture = *state;
    cw_book_job *job;
    cw_error error;
    char *path, *content;
    size_t length;

    must(cw_file_write("a.jpg", jpeg, sizeof jpeg, &error), &error);
    must(cw_book_photo_add(fixture->book, fixture->job, "a.jpg", "as found", 2000, &error), &error);
    must(cw_book_photo_add(fixture->book, fixture->job, "a.jpg", NULL, 2001, &error), &error);
    job = open_job(fixture, fixture->job);
    assert_int_equal(job->photo_count, 1);
    assert_string_equal(job->photos[0].caption, "as found");
    path = cw_book_photo_path(fixture->book, job->photos[0].sha256, job->photos[0].type);
    must(cw_file_read(path, 1000, &content, &length, &error), &error);
    assert_int_equal(length, sizeof jpeg);
    assert_memory_equal(content, jpeg, length);
    assert_sound(fixture->book);
    must(cw_file_write(path, jpeg, sizeof jpeg - 1, &error), &error); /* somebody edits it */
    assert_int_equal(cw_book_check(fixture->book, NULL), CW_FAILED);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(cw_book_check(fixture->book, NULL), CW_FAILED);
    cw_free(content);
    cw_free(path);
    cw_book_job_destroy(&job);
}

static void photo__that_is_none_is_refused(void **state)
{
    book_fixture *fixture = *state;
    cw_error error;

    must(cw_file_write("a.jpg", "GIF89a.....", 11, &error), &error);
    refused(cw_book_photo_add(fixture->book, fixture->job, "a.jpg", NULL, 0, &error), &error, "no picture");
    assert_int_equal(cw_book_photo_add(fixture->book, fixture->job, "b.jpg", NULL, 0, &error), CW_BAD_INPUT);
}

/* FIPS 180-4 and the examples that NIST publishes with it; lengths about the ends of a block by another program. */
static void sha256__equals_the_published_examples(void **state)
{
    static const struct { const char *text; size_t times; const char *hex;
    } cases[] = {
        { "", 1, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855" },
        { "abc", 1, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" },
        { "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", 1,
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1" },
        { "a", 1000000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0" },
        { "q", 55, "85528b5baff5639cb8e7daca79d085ac29ac0978e873ed7527158616b2b6c379" },
        { "q", 56, "f8ce2f8d6990c639668fe404262f35ed72d8bb145ad6bae786af7284447386df" },
        { "q", 63, "9b49777003a4143d8c3f4d3002eb631c6bda8b030a3ccc87f8a21d5f61c89e87" },
        { "q", 64, "ee8e658590c9a5e119400a774415a01db104de1ee6e2c29ec69aa73ef46544d2" },
        { "q", 119, "c8bc8a6e9626586bb888ad131d44ed2bd37fc608e902904ade3c566c4208e6ca" },
        { "q", 120, "77a2d49d72a11e41678c51f8f0cb67f5cb570f30370c3aeffe266a0d1ee43209" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_text text = { 0 };
        char hex[65];

        for (size_t k = 0; k < cases[i].times; k++)
            cw_text_add(&text, cases[i].text);
        cw_book_sha256(text.data, text.length, hex);
        assert_string_equal(hex, cases[i].hex);
        cw_text_clear(&text);
    }
}

/* ---- wire -------------------------------------------------------------------------------------------------- */

static cw_book_id add_spool(book_fixture *fixture)
{
    const cw_book_spool_entry entry = { .size = "29 AWG",
                                        .build = "heavy",
                                        .material = "copper",
                                        .thermal_class_c = 180,
                                        .mass_kg = 0.4536,
                                        .length_m = NAN,
                                        .mass_kg_per_m = 0.6e-3,
                                        .price = 21.0,
                                        .time_s = 500 };
    cw_book_id spool = 0;
    cw_error error;

    must(cw_book_spool_add(fixture->book, &entry, &spool, &error), &error);
    return spool;
}

static const cw_book_spool *only_spool(book_fixture *fixture, cw_book_spools **spools)
{
    cw_error error;

    must(cw_book_spools_list(fixture->book, "29 AWG", spools, &error), &error);
    assert_int_equal((*spools)->count, 1);
    return &(*spools)->items[0];
}

static void spool__what_is_left_is_what_was_bought_less_what_was_used(void **state)
{
    book_fixture *fixture = *state;
    const cw_book_id spool = add_spool(fixture);
    cw_book_spools *spools;
    cw_book_job *job;
    cw_error error;

    assert_near(only_spool(fixture, &spools)->left_m, 756, 1e-9);
    cw_book_spools_destroy(&spools);
    must(cw_book_spool_use(fixture->book, spool, fixture->job, 300, NAN, NULL, 2000, &error), &error);
    must(cw_book_spool_use(fixture->book, spool, fixture->job, NAN, 0.06, "lead", 2001, &error), &error); /* 100 m */
    assert_near(only_spool(fixture, &spools)->left_m, 356, 1e-9);
    assert_near(spools->items[0].left_kg, 356 * 0.6e-3, 1e-12);
    cw_book_spools_destroy(&spools);
    job = open_job(fixture, fixture->job);
    assert_int_equal(job->use_count, 2);
    assert_near(job->uses[0].length_m, 300, 1e-9);
    assert_near(job->uses[1].mass_kg, 0.06, 1e-12);
    assert_near(job->spent, 21.0 * 400 / 756, 1e-9);
    cw_book_job_destroy(&job);
}

static void spool__does_not_give_more_than_is_left(void **state)
{
    book_fixture *fixture = *state;
    const cw_book_id spool = add_spool(fixture);
    cw_book_spools *spools;
    cw_error error;

    refused(cw_book_spool_use(fixture->book, spool, fixture->job, 757, NAN, NULL, 0, &error), &error, "756 m left");
    refused(cw_book_spool_use(fixture->book, spool, 0, 1, 1, NULL, 0, &error), &error, "one length or one mass");
    refused(cw_book_spool_use(fixture->book, spool, 0, -1, NAN, NULL, 0, &error), &error, "above zero");
    refused(cw_book_spool_use(fixture->book, 9, 0, 1, NAN, NULL, 0, &error), &error, "no spool 9");
    must(cw_book_spool_use(fixture->book, spool, 0, 756, NAN, NULL, 0, &error), &error); /* to the last metre */
    must(cw_book_spool_weighed(fixture->book, spool, 0.03, 0, &error), &error); /* there were 50 m more on it */
    assert_near(only_spool(fixture, &spools)->left_m, 50, 1e-9);
    cw_book_spools_destroy(&spools);
}

/* ---- opening ----------------------------------------------------------------------------------------------- */

static void book__that_is_none_is_left_as_it_is(void **state)
{
    static const char *const texts[] = { "This is not a database, and it is long enough to be looked at by everyone. ",
                                         "x" };
    cw_book *book;
    cw_error error;

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        char *content;
        size_t length;

        must(cw_file_write("note.txt", texts[i], strlen(texts[i]), &error), &error);
        refused(cw_book_open("note.txt", CW_BOOK_WRITE, &book, &error), &error, "no book");
        assert_null(book);
        must(cw_file_read("note.txt", 1000, &content, &length, &error), &error);
        assert_string_equal(content, texts[i]);
        cw_free(content);
    }
    refused(cw_book_open("no/such", CW_BOOK_READ, &book, &error), &error, "no such book");
    refused(cw_book_open("no/such", CW_BOOK_WRITE, &book, &error), &error, "cannot be");
    refused(cw_book_open(".", CW_BOOK_WRITE, &book, &error), &error, "folder");
    refused(cw_book_open("", CW_BOOK_WRITE, &book, &error), &error, "no name");
}

static void book__of_odd_names_is_opened(void **state)
{
    static const char *const names[] = { "a b.book", "100%.book", "what?.book", "no#1.book", "ü.book" };

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        cw_book *book;
        cw_error error;

        must(cw_book_open(names[i], CW_BOOK_WRITE, &book, &error), &error);
        cw_book_close(&book);
        assert_int_equal(access(names[i], F_OK), 0);
    }
}

static void book__open_for_reading_is_not_written(void **state)
{
    book_fixture *fixture = *state;
    cw_book *reader;
    cw_error error;

    must(cw_book_open("shop.book", CW_BOOK_READ, &reader, &error), &error);
    refused(cw_book_job_set_state(reader, fixture->job, CW_JOB_WOUND, &error), &error, "reading only");
    cw_book_close(&reader);
}

static void book__leaves_nothing_behind_without_memory(void **state)
{
    book_fixture *fixture = *state;
    cw_status status = CW_NO_MEMORY;
    cw_book_query query;

    cw_book_query_clear(&query);
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_book_job *job = NULL;
        cw_book_hits *hits = NULL;

        cw_memory_fail_after(granted);
        status = cw_book_job_open(fixture->book, fixture->job, &job, NULL);
        if (status == CW_OK)
            status = cw_book_find(fixture->book, &query, &hits, NULL);
        if (status == CW_OK)
            status = cw_book_export(fixture->book, 0, "all.zip", NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || status == CW_NO_MEMORY);
        assert_int_equal(access("all.zip", F_OK), status == CW_OK ? 0 : -1);
        cw_book_job_destroy(&job);
        cw_book_hits_destroy(&hits);
    }
    assert_int_equal(status, CW_OK);
}

static void text__shows_the_job_and_the_shelf(void **state)
{
    book_fixture *fixture = *state;
    const cw_book_id spool = add_spool(fixture);
    cw_book_spools *spools;
    cw_book_job *job;
    cw_text text = { 0 };
    cw_error error;

    must(cw_book_spool_use(fixture->book, spool, fixture->job, 300, NAN, NULL, 2000, &error), &error);
    job = open_job(fixture, fixture->job);
    only_spool(fixture, &spools);
    cw_book_write_job(job, CW_METRIC_UNITS, &text);
    cw_book_write_spools(spools, CW_METRIC_UNITS, &text);
    assert_non_null(strstr(text.data, "made 1970-01-01"));
    assert_non_null(strstr(text.data, "300.0 m of 29 AWG"));
    assert_non_null(strstr(text.data, "456.0 m"));
    cw_text_clear(&text);
    cw_book_spools_destroy(&spools);
    cw_book_job_destroy(&job);
}

/* ---- signatures -------------------------------------------------------------------------------------------- */

static cw_status sign(book_fixture *fixture, const char *verdict, const char *who, const char *note, int version,
                      cw_error *error)
{
    const cw_book_signing signing = { .version = version, .verdict = verdict, .proof = "{\"verdict\": \"x\"}",
                                      .who = who, .note = note, .time_s = 2000 };

    return cw_book_sign(fixture->book, fixture->job, &signing, error);
}

static void signature__stands_beside_the_inputs_and_the_proof_it_was_given_for(void **state)
{
    book_fixture *fixture = *state;
    cw_book_job *job;
    cw_error error;

    must(cw_book_result_add(fixture->book, fixture->job, 0, "lay", "{}", 1500, &error), &error);
    must(sign(fixture, "pass", "A. Fitter", NULL, 1, &error), &error);
    must(cw_book_job_open(fixture->book, fixture->job, &job, &error), &error);
    assert_int_equal(job->state, CW_JOB_PROVED);
    assert_int_equal(job->signature_count, 1);
    assert_string_equal(job->signatures[0].who, "A. Fitter");
    assert_int_equal(job->signatures[0].version, 1);
    assert_int_equal(job->signatures[0].result, 1);
    assert_string_equal(job->results[job->signatures[0].result].verb, "prove");
    assert_true(job->signatures[0].sound);
    cw_book_job_destroy(&job);
}

/* Somebody changes the inputs behind the book's back. */
static void signature__a_changed_text_is_seen(void **state)
{
    book_fixture *fixture = *state;
    cw_errors errors = { 0 };
    cw_book_job *job;
    sqlite3 *db;
    cw_error error;

    must(sign(fixture, "pass", "A. Fitter", NULL, 0, &error), &error);
    assert_int_equal(sqlite3_open("shop.book", &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "UPDATE version SET yaml = yaml || '# better'", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    must(cw_book_job_open(fixture->book, fixture->job, &job, &error), &error);
    assert_false(job->signatures[0].sound);
    assert_int_equal(cw_book_check(fixture->book, &errors), CW_FAILED);
    assert_non_null(strstr(errors.items[0].text, "A. Fitter signed"));
    cw_errors_clear(&errors);
    cw_book_job_destroy(&job);
}

static void signature__is_refused_for_what_nobody_should_sign(void **state)
{
    book_fixture *fixture = *state;
    cw_book_job *job;
    cw_error error;
    int version;

    assert_int_equal(sign(fixture, "fail", "A. Fitter", "late", 0, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "Find the cause"));
    assert_int_equal(sign(fixture, "pass", "", NULL, 0, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "name"));
    assert_int_equal(sign(fixture, "open", "A. Fitter", NULL, 0, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "still open"));
    must(cw_book_job_save(fixture->book, fixture->job, "coilwright: 1\n# more\n", NULL, 0, 1800, &version, &error),
         &error);
    assert_int_equal(sign(fixture, "pass", "A. Fitter", NULL, 1, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "version 2"));
    must(cw_book_job_open(fixture->book, fixture->job, &job, &error), &error);
    assert_int_equal(job->signature_count, 0);
    assert_int_equal(job->result_count, 0);
    assert_int_equal(job->state, CW_JOB_OPEN);
    cw_book_job_destroy(&job);
}

static void signature__of_an_open_proof_says_why_and_proves_nothing(void **state)
{
    book_fixture *fixture = *state;
    cw_book_job *job;
    cw_error error;

    must(sign(fixture, "open", "A. Fitter", "release is tried on the machine", 0, &error), &error);
    must(cw_book_job_open(fixture->book, fixture->job, &job, &error), &error);
    assert_int_equal(job->state, CW_JOB_OPEN);
    assert_string_equal(job->signatures[0].note, "release is tried on the machine");
    cw_book_job_destroy(&job);
}

/* [XDG base directory specification]: a relative path in the variable is to be ignored. */
static void usual_path__follows_the_folder_for_data(void **state)
{
    char folder[4096], expected[4200], *path;
    cw_error error;

    (void)state;
    assert_non_null(getcwd(folder, sizeof folder));
    setenv("XDG_DATA_HOME", folder, 1);
    must(cw_book_usual_path(true, &path, &error), &error);
    snprintf(expected, sizeof expected, "%s/coilwright/shop.book", folder);
    assert_string_equal(path, expected);
    assert_int_equal(access("coilwright", F_OK), 0);
    cw_free(path);
    setenv("XDG_DATA_HOME", "relative", 1);
    setenv("HOME", folder, 1);
    must(cw_book_usual_path(false, &path, &error), &error);
    snprintf(expected, sizeof expected, "%s/.local/share/coilwright/shop.book", folder);
    assert_string_equal(path, expected);
    assert_int_equal(access(".local", F_OK), -1);
    cw_free(path);
    unsetenv("HOME");
    assert_int_equal(cw_book_usual_path(false, &path, &error), CW_BAD_INPUT);
    assert_null(path);
}

#define with_book(test) cmocka_unit_test_setup_teardown(test, open_book, close_book)

int main(void)
{
    const struct CMUnitTest tests[] = {
        with_book(job__comes_out_as_it_went_in),
        with_book(job__takes_the_names_that_were_typed_since),
        with_book(version__every_one_is_kept),
        with_book(version__two_writers_do_not_overwrite_each_other),
        with_book(machine__is_one_whatever_its_case),
        with_book(results__stand_beside_their_version),
        with_book(readings_costs_and_hours__come_out_in_order),
        with_book(job__that_is_not_there_is_refused_everywhere),
        with_book(texts__that_are_none_are_refused),
        with_book(job__starts_from_another),
        with_book(find__by_machine_wire_window_and_resistance),
        with_book(find__a_note_as_soon_as_it_is_written),
        with_book(find__gives_the_last_changed_first_and_says_that_there_are_more),
        with_book(photo__is_kept_once_with_its_sum),
        with_book(photo__that_is_none_is_refused),
        with_book(spool__what_is_left_is_what_was_bought_less_what_was_used),
        with_book(spool__does_not_give_more_than_is_left),
        with_book(book__that_is_none_is_left_as_it_is),
        with_book(book__of_odd_names_is_opened),
        with_book(book__open_for_reading_is_not_written),
        with_book(book__leaves_nothing_behind_without_memory),
        with_book(text__shows_the_job_and_the_shelf),
        with_book(signature__stands_beside_the_inputs_and_the_proof_it_was_given_for),
        with_book(signature__a_changed_text_is_seen),
        with_book(signature__is_refused_for_what_nobody_should_sign),
        with_book(signature__of_an_open_proof_says_why_and_proves_nothing),
        with_book(usual_path__follows_the_folder_for_data),
        cmocka_unit_test(differences__of_a_second_machine_are_shown),
        cmocka_unit_test(keys__come_from_the_job),
        cmocka_unit_test(sha256__equals_the_published_examples),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
