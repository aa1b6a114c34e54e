/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Books of every earlier layout are brought up to date with all that is in them. layout_N.sql are dumps of such books.
 */
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

static void run_sql(const char *path, const char *sql)
{
    sqlite3 *db;
    char *said = NULL;

    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, &said) != SQLITE_OK)
        fail_msg("%s", said);
    sqlite3_close(db);
}

static void make_old_book(const char *path, int layout)
{
    char name[4096], *sql;
    size_t length;
    cw_error error;

    snprintf(name, sizeof name, "%s/tests/book/layout_%d.sql", getenv("CW_SOURCE_ROOT"), layout);
    must(cw_file_read(name, 1 << 20, &sql, &length, &error), &error);
    run_sql(path, sql);
    cw_free(sql);
}

/* Every table and index of a book, in words. */
static char *schema_of(const char *path)
{
    sqlite3 *db;
    sqlite3_stmt *statement;
    cw_text text = { 0 };

    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT name || ': ' || coalesce(sql, '') FROM sqlite_schema ORDER BY name",
                                        -1, &statement, NULL),
                     SQLITE_OK);
    while (sqlite3_step(statement) == SQLITE_ROW)
        cw_text_print(&text, "%s\n", (const char *)sqlite3_column_text(statement, 0));
    sqlite3_finalize(statement);
    sqlite3_close(db);
    return text.data;
}

static void check_content(cw_book *book, int layout)
{
    cw_book_spools *spools;
    cw_book_job *job;
    cw_text text = { 0 };
    cw_error error;

    must(cw_book_job_open(book, 1, &job, &error), &error);
    assert_string_equal(job->machine, "Press brake");
    assert_string_equal(job->note, "Found open");
    assert_int_equal(job->state, CW_JOB_PROVED);
    assert_int_equal(job->version_count, 2);
    assert_int_equal(job->changed_s, 1700);
    assert_near(job->readings[0].value, 84.2, 0);
    assert_near(job->keys.turns, 1850, 0);
    assert_int_equal(job->based_on, 0);
    must(cw_book_result_text(book, 1, 1, "identify", &text, &error), &error);
    assert_string_equal(text.data, "{\"a\": 1}");
    must(cw_book_spools_list(book, NULL, &spools, &error), &error);
    assert_int_equal(spools->count, layout >= 2 ? 1 : 0);
    if (layout >= 2)
        assert_near(spools->items[0].left_m, 456, 1e-9);
    cw_book_spools_destroy(&spools);
    cw_text_clear(&text);
    cw_book_job_destroy(&job);
}

static void layout__every_earlier_one_is_brought_up_to_date(void **state)
{
    char *fresh, *raised;
    cw_book *book;
    cw_error error;

    (void)state;
    must(cw_book_open("fresh.book", CW_BOOK_WRITE, &book, &error), &error);
    cw_book_close(&book);
    fresh = schema_of("fresh.book");
    for (int layout = 1; layout < CW_BOOK_LAYOUT; layout++) {
        char path[32];

        snprintf(path, sizeof path, "old_%d.book", layout);
        make_old_book(path, layout);
        must(cw_book_open(path, CW_BOOK_WRITE, &book, &error), &error);
        check_content(book, layout);
        assert_sound(book);
        must(cw_book_cost_add(book, 2, "other", 1, NULL, 1, &error), &error); /* a table of the newest layout */
        cw_book_close(&book);
        raised = schema_of(path);
        assert_string_equal(raised, fresh);
        cw_free(raised);
        must(cw_book_open(path, CW_BOOK_READ, &book, &error), &error);
        cw_book_close(&book);
    }
    cw_free(fresh);
}

static void layout__an_earlier_one_cannot_be_raised_by_reading(void **state)
{
    cw_book *book;
    cw_error error;

    (void)state;
    make_old_book("old.book", 1);
    assert_int_equal(cw_book_open("old.book", CW_BOOK_READ, &book, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "earlier layout"));
}

static void layout__a_later_one_is_left_alone(void **state)
{
    char sql[64];
    cw_book *book;
    cw_error error;

    (void)state;
    must(cw_book_open("later.book", CW_BOOK_WRITE, &book, &error), &error);
    cw_book_close(&book);
    snprintf(sql, sizeof sql, "PRAGMA user_version = %d", CW_BOOK_LAYOUT + 1);
    run_sql("later.book", sql);
    for (int mode = CW_BOOK_READ; mode <= CW_BOOK_WRITE; mode++) {
        assert_int_equal(cw_book_open("later.book", (cw_book_mode)mode, &book, &error), CW_BAD_INPUT);
        assert_non_null(strstr(error.text, "later program"));
    }
}

/* A step that fails half-way leaves the book as it was: here the table of layout 2 is in the way. */
static void layout__a_failed_raise_changes_nothing(void **state)
{
    char *before, *after;
    cw_book *book;
    cw_error error;

    (void)state;
    make_old_book("old.book", 1);
    run_sql("old.book", "CREATE TABLE stock_use (x)");
    before = schema_of("old.book");
    assert_int_equal(cw_book_open("old.book", CW_BOOK_WRITE, &book, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "brought up to date"));
    after = schema_of("old.book");
    assert_string_equal(before, after);
    cw_free(before);
    cw_free(after);
}

static void database__of_another_program_is_left_alone(void **state)
{
    char *before, *after;
    size_t length, after_length;
    cw_book *book;
    cw_error error;

    (void)state;
    run_sql("other.db", "CREATE TABLE x (y); INSERT INTO x VALUES (1)");
    must(cw_file_read("other.db", 1 << 20, &before, &length, &error), &error);
    assert_int_equal(cw_book_open("other.db", CW_BOOK_WRITE, &book, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "no book"));
    must(cw_file_read("other.db", 1 << 20, &after, &after_length, &error), &error);
    assert_int_equal(length, after_length);
    assert_memory_equal(before, after, length);
    cw_free(before);
    cw_free(after);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, open_folder, close_book)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(layout__every_earlier_one_is_brought_up_to_date),
        in_folder(layout__an_earlier_one_cannot_be_raised_by_reading),
        in_folder(layout__a_later_one_is_left_alone),
        in_folder(layout__a_failed_raise_changes_nothing),
        in_folder(database__of_another_program_is_left_alone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
