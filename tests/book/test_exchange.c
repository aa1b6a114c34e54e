/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Export, import and backup: the same book on the other side, and nothing from a zip that is not one. */
#define _XOPEN_SOURCE 700 /* nftw, mkdtemp */
#include "coilwright/book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <zip.h>

#include "tests/book/book_fixture.h"
#include "tests/near.h"

static const char png[] = "\x89PNG\r\n\x1A\n not much of a picture either";

/* A book with something of everything, two jobs, one from the other. */
static void fill(book_fixture *fixture)
{
    const cw_book_reading reading = { "insulation-resistance", INFINITY, NAN, 21.5, "ohm", "ACME",
                                      "\"quoted\" ü\n- x: y",  2000 };
    const cw_book_spool_entry spool = { .size = "29 AWG", .build = "heavy", .thermal_class_c = 180, .mass_kg = NAN,
                                        .length_m = 756, .mass_kg_per_m = 0.6e-3, .price = 21, .time_s = 500 };
    const cw_book_signing signing = { .verdict = "pass", .proof = "{\"verdict\": \"pass\"}", .who = "Ü. Prüfer",
                                      .time_s = 2100 };
    const cw_book_entry second = {
        .machine = "Chuck", .yaml = "coilwright: 1\n", .based_on = fixture->job, .time_s = 1500
    };
    cw_book_id spool_id, second_id;
    cw_error error;

    must(cw_file_write("a.png", png, sizeof png, &error), &error);
    must(cw_book_job_save(fixture->book, fixture->job, "coilwright: 1\n# two\n", NULL, 1, 1700, NULL, &error), &error);
    must(cw_book_result_add(fixture->book, fixture->job, 1, "identify", "{\"a\": 0.1}", 1800, &error), &error);
    must(cw_book_reading_add(fixture->book, fixture->job, &reading, &error), &error);
    must(cw_book_photo_add(fixture->book, fixture->job, "a.png", "before", 2000, &error), &error);
    must(cw_book_cost_add(fixture->book, fixture->job, "instead", 380.25, NULL, 2000, &error), &error);
    must(cw_book_hours_add(fixture->book, fixture->job, 2.25, "M.", NULL, 2000, &error), &error);
    must(cw_book_job_set_note(fixture->book, fixture->job, "Note", &error), &error);
    must(cw_book_job_set_state(fixture->book, fixture->job, CW_JOB_PROVED, &error), &error);
    must(cw_book_sign(fixture->book, fixture->job, &signing, &error), &error);
    must(cw_book_spool_add(fixture->book, &spool, &spool_id, &error), &error);
    must(cw_book_spool_use(fixture->book, spool_id, fixture->job, 300, NAN, NULL, 2000, &error), &error);
    must(cw_book_job_add(fixture->book, &second, &second_id, &error), &error);
}

static void assert_same_file(const char *a, const char *b)
{
    char *one, *other;
    size_t length, other_length;
    cw_error error;

    must(cw_file_read(a, 1 << 20, &one, &length, &error), &error);
    must(cw_file_read(b, 1 << 20, &other, &other_length, &error), &error);
    assert_int_equal(length, other_length);
    assert_memory_equal(one, other, length);
    cw_free(one);
    cw_free(other);
}

/* Out, into an empty book, and out again: the same bytes. That holds whatever the record has in it. */
static void book__comes_back_from_its_export_to_the_last_byte(void **state)
{
    book_fixture *fixture = *state;
    cw_book_imported imported;
    cw_book *other;
    cw_error error;

    fill(fixture);
    must(cw_book_export(fixture->book, 0, "all.zip", &error), &error);
    must(cw_book_open("other.book", CW_BOOK_WRITE, &other, &error), &error);
    must(cw_book_import(other, "all.zip", &imported, &error), &error);
    assert_int_equal(imported.jobs, 2);
    assert_int_equal(imported.spools, 1);
    assert_int_equal(imported.photos, 1);
    assert_int_equal(imported.known, 0);
    assert_sound(other);
    must(cw_book_export(other, 0, "again.zip", &error), &error);
    assert_same_file("all.zip", "again.zip");
    must(cw_book_import(other, "all.zip", &imported, &error), &error); /* nothing twice */
    assert_int_equal(imported.jobs, 0);
    assert_int_equal(imported.known, 3);
    must(cw_book_export(other, 0, "again.zip", &error), &error);
    assert_same_file("all.zip", "again.zip");
    cw_book_close(&other);
}

static void job__goes_to_another_shop_with_what_its_wire_cost(void **state)
{
    book_fixture *fixture = *state;
    cw_book_imported imported;
    cw_book_spools *spools;
    cw_book_job *job;
    cw_book *other;
    cw_error error;

    fill(fixture);
    must(cw_book_export(fixture->book, fixture->job, "one.zip", &error), &error);
    must(cw_book_open("other.book", CW_BOOK_WRITE, &other, &error), &error);
    must(cw_book_import(other, "one.zip", &imported, &error), &error);
    assert_int_equal(imported.jobs, 1);
    must(cw_book_job_open(other, 1, &job, &error), &error);
    assert_string_equal(job->note, "Note");
    assert_int_equal(job->state, CW_JOB_PROVED);
    assert_int_equal(job->version_count, 2);
    assert_string_equal(job->yaml, "coilwright: 1\n# two\n");
    assert_int_equal(job->signature_count, 1);
    assert_true(job->signatures[0].sound);
    assert_string_equal(job->signatures[0].who, "Ü. Prüfer");
    assert_int_equal(job->signatures[0].result, 1);
    assert_true(isinf(job->readings[0].value));
    assert_string_equal(job->readings[0].note, "\"quoted\" ü\n- x: y");
    assert_near(job->spent, 21.0 * 300 / 756, 1e-9);
    assert_non_null(strstr(job->costs[1].note, "300 m, 0.18 kg of 29 AWG"));
    must(cw_book_spools_list(other, NULL, &spools, &error), &error);
    assert_int_equal(spools->count, 0); /* the spool stayed where it is */
    cw_book_spools_destroy(&spools);
    cw_book_job_destroy(&job);
    cw_book_close(&other);
}

/* ---- zips that are none ------------------------------------------------------------------------------------ */

typedef struct entry {
    const char *name, *text;
} entry;

static void write_zip(const char *path, const entry *entries, size_t count)
{
    zip_t *zip = zip_open(path, ZIP_CREATE | ZIP_TRUNCATE, NULL);

    for (size_t i = 0; i < count; i++)
        assert_true(zip_file_add(zip, entries[i].name,
                                 zip_source_buffer(zip, entries[i].text, strlen(entries[i].text), 0), 0) >= 0);
    assert_int_equal(zip_close(zip), 0);
}

#define UID "00112233445566778899aabbccddeeff"
#define JOB "jobs/" UID "/"
#define GOOD_MANIFEST { "coilwright-book.yaml", "coilwright_book: 1\n" }

static void import__nothing_of_a_bad_zip_is_kept(void **state)
{
    static const struct { entry entries[4]; size_t count; const char *word;
    } cases[] = {
        { { { "x", "y" } }, 1, "missing" },
        { { { "coilwright-book.yaml", "coilwright_book: 2\n" } }, 1, "later program" },
        { { { "coilwright-book.yaml", "hello\n" } }, 1, "without a key" },
        { { { "coilwright-book.yaml", "coilwright_book: [\n" } }, 1, "without a value" },
        { { { "coilwright-book.yaml", "a: 1\na: 2\n" } }, 1, "twice" },
        { { { "coilwright-book.yaml", "- 1\n" } }, 1, "no list" },
        { { { "coilwright-book.yaml", "a: 1\n" } }, 1, "no export" },
        { { GOOD_MANIFEST, { JOB "record.yaml", "machine: \"A\"\n" } }, 2, "without a version" },
        { { GOOD_MANIFEST, { JOB "record.yaml", "machine: null\nversions:\n- {\"number\": 1}\n" } }, 2, "machine" },
        { { GOOD_MANIFEST, { JOB "record.yaml", "machine: \"A\"\nversions:\n- {\"number\": 1}\n" } }, 2, "missing" },
        { { GOOD_MANIFEST,
            { JOB "record.yaml", "machine: \"A\"\nversions:\n- {\"number\": 1}\n- {\"number\": 1}\n" },
            { JOB "versions/1.yaml", "a" } },
          3,
          "UNIQUE" },
        { { GOOD_MANIFEST,
            { JOB "record.yaml", "machine: \"A\"\nstate: \"lost\"\nversions:\n- {\"number\": 1}\n" },
            { JOB "versions/1.yaml", "a" } },
          3,
          "state" },
        { { GOOD_MANIFEST,
            { JOB "record.yaml", "machine: \"A\"\nversions:\n- {\"number\": 1}\nresults:\n"
                                 "- {\"version\": 1, \"verb\": \"../../x\"}\n" },
            { JOB "versions/1.yaml", "a" } },
          3,
          "verb" },
        { { GOOD_MANIFEST,
            { JOB "record.yaml", "machine: \"A\"\nversions:\n- {\"number\": 1}\nreadings:\n- {\"kind\": \"x\"}\n" },
            { JOB "versions/1.yaml", "a" } },
          3,
          "without a value" },
        { { GOOD_MANIFEST,
            { JOB "record.yaml",
              "machine: \"A\"\nversions:\n- {\"number\": 1}\nsignatures:\n- {\"version\": 1, \"result\": 1, "
              "\"verdict\": \"pass\", \"who\": \"B\", \"sha256\": "
              "\"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\"}\n" },
            { JOB "versions/1.yaml", "a" } },
          3,
          "without its proof" },
        { { GOOD_MANIFEST,
            { JOB "record.yaml",
              "machine: \"A\"\nversions:\n- {\"number\": 1}\nphotos:\n"
              "- {\"sha256\": \"../../../../../../../../../../../../../../../../../../../../../../etc\", \"type\": "
              "\"jpg\"}\n" },
            { JOB "versions/1.yaml", "a" } },
          3,
          "sum" },
        { { GOOD_MANIFEST,
            { "shelf.yaml", "spools:\n- {\"uid\": \"" UID "\", \"size\": \"29 AWG\", \"bought_m\": -3}\n" } },
          2,
          "spool" },
    };
    book_fixture *fixture = *state;

    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_book_imported imported = { .jobs = 77 };
        cw_book_query query;
        cw_book_hits *hits;
        cw_error error;

        write_zip("bad.zip", cases[i].entries, cases[i].count);
        if (cw_book_import(fixture->book, "bad.zip", &imported, &error) == CW_OK)
            fail_msg("case %zu (%s) is taken in", i, cases[i].word);
        if (strstr(error.text, cases[i].word) == NULL)
            fail_msg("'%s' does not speak of '%s'", error.text, cases[i].word);
        assert_int_equal(imported.jobs, 77);
        cw_book_query_clear(&query);
        must(cw_book_find(fixture->book, &query, &hits, &error), &error);
        assert_int_equal(hits->count, 1);
        cw_book_hits_destroy(&hits);
    }
    assert_sound(fixture->book);
}

static void import__a_photo_that_was_changed_is_refused(void **state)
{
    static const entry entries[] = {
        GOOD_MANIFEST,
        { JOB "record.yaml",
          "machine: \"A\"\nversions:\n- {\"number\": 1}\nphotos:\n- {\"sha256\": "
          "\"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\", \"type\": \"png\"}\n" },
        { JOB "versions/1.yaml", "a" },
        { "photos/ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad.png", "abd" },
    };
    book_fixture *fixture = *state;
    cw_error error;

    write_zip("bad.zip", entries, 4);
    assert_int_equal(cw_book_import(fixture->book, "bad.zip", NULL, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "not the one"));
    assert_int_equal(access("shop.book.photos", F_OK), -1);
}

/* Every prefix and every byte turned of a good export: refused or taken, never a crash, and the book stays sound. */
static void import__damaged_exports_do_no_harm(void **state)
{
    book_fixture *fixture = *state;
    char *content;
    size_t length;
    cw_error error;

    fill(fixture);
    must(cw_book_export(fixture->book, 0, "all.zip", &error), &error);
    must(cw_file_read("all.zip", 1 << 20, &content, &length, &error), &error);
    for (size_t at = 0; at < length; at += 7) {
        cw_book_imported imported;

        content[at] ^= 0x5A;
        must(cw_file_write("bad.zip", content, length, &error), &error);
        content[at] ^= 0x5A;
        (void)cw_book_import(fixture->book, "bad.zip", &imported, NULL);
        must(cw_file_write("bad.zip", content, at, &error), &error);
        assert_int_not_equal(cw_book_import(fixture->book, "bad.zip", &imported, NULL), CW_OK);
    }
    cw_free(content);
    assert_sound(fixture->book);
}

/* ---- backup ------------------------------------------------------------------------------------------------ */

static void backup__is_the_whole_book_while_others_write(void **state)
{
    book_fixture *fixture = *state;
    cw_book *copy, *writer;
    cw_error error;

    fill(fixture);
    must(cw_book_open("shop.book", CW_BOOK_WRITE, &writer, &error), &error);
    add_job(writer, "Another", NULL, 3000);
    must(cw_book_backup(fixture->book, "backup.book", &error), &error);
    add_job(writer, "After it", NULL, 4000);
    must(cw_book_open("backup.book", CW_BOOK_WRITE, &copy, &error), &error);
    assert_sound(copy);
    must(cw_book_export(copy, 0, "copy.zip", &error), &error);
    cw_book_close(&copy);
    must(cw_book_open("backup.book", CW_BOOK_READ, &copy, &error), &error);
    {
        cw_book_query query;
        cw_book_hits *hits;

        cw_book_query_clear(&query);
        must(cw_book_find(copy, &query, &hits, &error), &error);
        assert_int_equal(hits->count, 3);
        assert_string_equal(hits->items[0].machine, "Another");
        cw_book_hits_destroy(&hits);
    }
    cw_book_close(&copy);
    must(cw_book_backup(fixture->book, "backup.book", &error), &error); /* over the older one */
    assert_int_equal(cw_book_backup(fixture->book, "shop.book", &error), CW_BAD_INPUT);
    assert_int_not_equal(cw_book_backup(fixture->book, "no/such/folder", &error), CW_OK);
    cw_book_close(&writer);
}

#define with_book(test) cmocka_unit_test_setup_teardown(test, open_book, close_book)

int main(void)
{
    const struct CMUnitTest tests[] = {
        with_book(book__comes_back_from_its_export_to_the_last_byte),
        with_book(job__goes_to_another_shop_with_what_its_wire_cost),
        with_book(import__nothing_of_a_bad_zip_is_kept),
        with_book(import__a_photo_that_was_changed_is_refused),
        with_book(import__damaged_exports_do_no_harm),
        with_book(backup__is_the_whole_book_while_others_write),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
