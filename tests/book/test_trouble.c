/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two writers at once, a disk that is full, a disk that cannot be written, a book that somebody holds. Kills: kills.py
 */
#define _XOPEN_SOURCE 700 /* nftw, mkdtemp */
#include "coilwright/book.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "tests/book/book_fixture.h"

static size_t count_jobs(cw_book *book, const char *machine)
{
    cw_book_query query;
    cw_book_hits *hits;
    cw_error error;
    size_t count;

    cw_book_query_clear(&query);
    query.machine = machine;
    query.most = 100000;
    must(cw_book_find(book, &query, &hits, &error), &error);
    count = hits->count;
    cw_book_hits_destroy(&hits);
    return count;
}

/* Runs in another process, which ends with what the function gives. */
static pid_t start(int (*work)(int), int argument)
{
    const pid_t child = fork();

    assert_true(child >= 0);
    if (child == 0)
        _exit(work(argument));
    return child;
}

static int end_of(pid_t child)
{
    int status = 0;

    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 200;
}

/* ---- two writers ------------------------------------------------------------------------------------------- */

enum { EACH = 60 };

static int write_jobs(int number)
{
    cw_book *book;
    char machine[32];

    if (cw_book_open("shared.book", CW_BOOK_WRITE, &book, NULL) != CW_OK)
        return 1;
    snprintf(machine, sizeof machine, "Writer %d", number);
    for (int i = 0; i < EACH; i++) {
        const cw_book_entry entry = { .machine = machine, .yaml = "a\n" };
        cw_book_id job;

        if (cw_book_job_add(book, &entry, &job, NULL) != CW_OK)
            return 2;
    }
    cw_book_close(&book);
    return 0;
}

/* The book itself is made by whoever comes first. */
static void writers__two_at_once_lose_nothing(void **state)
{
    pid_t children[3];
    cw_book *book;
    cw_error error;

    (void)state;
    for (int i = 0; i < 3; i++)
        children[i] = start(write_jobs, i);
    for (int i = 0; i < 3; i++)
        assert_int_equal(end_of(children[i]), 0);
    must(cw_book_open("shared.book", CW_BOOK_READ, &book, &error), &error);
    assert_int_equal(count_jobs(book, "Writer"), 3 * EACH);
    assert_int_equal(count_jobs(book, "Writer 1"), EACH);
    assert_sound(book);
    cw_book_close(&book);
}

static void writer__one_that_holds_the_book_is_named_after_five_seconds(void **state)
{
    const cw_book_entry entry = { .machine = "A", .yaml = "a\n" };
    cw_book *book;
    cw_book_id job;
    sqlite3 *other;
    cw_error error;
    time_t begin;

    (void)state;
    must(cw_book_open("shared.book", CW_BOOK_WRITE, &book, &error), &error);
    assert_int_equal(sqlite3_open("shared.book", &other), SQLITE_OK);
    assert_int_equal(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    begin = time(NULL);
    assert_int_equal(cw_book_job_add(book, &entry, &job, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "another program"));
    assert_true(time(NULL) - begin >= 4 && time(NULL) - begin <= 8);
    assert_int_equal(count_jobs(book, NULL), 0); /* reading goes on */
    sqlite3_exec(other, "ROLLBACK", NULL, NULL, NULL);
    sqlite3_close(other);
    must(cw_book_job_add(book, &entry, &job, &error), &error);
    cw_book_close(&book);
}

/* ---- a full disk ------------------------------------------------------------------------------------------- */

/* Writes until nothing more can be; the number of jobs that were acknowledged, 100 at most. */
static int write_until_full(int kilobytes)
{
    const struct rlimit limit = { (rlim_t)kilobytes * 1024, (rlim_t)kilobytes * 1024 };
    char yaml[6000];
    cw_book_entry entry = { .machine = "Full", .yaml = yaml };
    cw_error error = { .text = "" };
    cw_book *book;
    cw_book_id job;
    int acknowledged = 0;

    memset(yaml, 'a', sizeof yaml - 1);
    yaml[sizeof yaml - 1] = '\0';
    signal(SIGXFSZ, SIG_IGN);
    if (cw_book_open("full.book", CW_BOOK_WRITE, &book, NULL) != CW_OK || setrlimit(RLIMIT_FSIZE, &limit) != 0)
        return 150;
    while (acknowledged < 100 && cw_book_job_add(book, &entry, &job, &error) == CW_OK)
        acknowledged++;
    if (error.text[0] == '\0')
        return 151;
    if (cw_book_job_add(book, &entry, &job, &error) == CW_OK) /* and again: nothing half-open is left */
        return 152;
    cw_book_close(&book);
    return acknowledged;
}

static void disk__full_keeps_what_was_acknowledged(void **state)
{
    static const int limits[] = { 120, 250, 400 };
    int before = 0;
    cw_book *book;
    cw_error error;

    (void)state;
    for (size_t i = 0; i < 3; i++) {
        const int acknowledged = end_of(start(write_until_full, limits[i]));

        assert_true(acknowledged < 100);
        before += acknowledged;
        must(cw_book_open("full.book", CW_BOOK_WRITE, &book, &error), &error);
        assert_int_equal(count_jobs(book, "Full"), before);
        assert_sound(book);
        cw_book_close(&book);
    }
    assert_true(before > 0);
}

/* ---- a disk that cannot be written ------------------------------------------------------------------------- */

/* As somebody who may not write there: to the superuser nothing is forbidden. */
static bool become_nobody(void)
{
    return geteuid() != 0 || (setgid(65534) == 0 && setuid(65534) == 0);
}

static int read_read_only(int jobs)
{
    const cw_book_entry entry = { .machine = "A", .yaml = "a\n" };
    cw_book *book;
    cw_book_id job;
    cw_error error = { .text = "" };

    if (!become_nobody())
        return 1;
    if (cw_book_open("locked/a.book", CW_BOOK_READ, &book, &error) != CW_OK)
        return 2;
    if ((int)count_jobs(book, NULL) != jobs)
        return 3;
    if (cw_book_job_add(book, &entry, &job, &error) != CW_BAD_INPUT || strstr(error.text, "cannot be written") == NULL)
        return 4;
    cw_book_close(&book);
    if (cw_book_open("locked/a.book", CW_BOOK_WRITE, &book, &error) == CW_OK || book != NULL)
        return 5;
    return strstr(error.text, "cannot be written") != NULL ? 0 : 6;
}

static void disk__that_cannot_be_written_is_read(void **state)
{
    const cw_book_entry entry = { .machine = "A", .yaml = "a\n" };
    book_fixture *fixture = *state;
    cw_book *book;
    cw_book_id job;
    cw_error error;

    (void)fixture;
    assert_int_equal(chmod(".", 0755), 0);
    must(cw_folder_make("locked", &error), &error);
    must(cw_book_open("locked/a.book", CW_BOOK_WRITE, &book, &error), &error);
    must(cw_book_job_add(book, &entry, &job, &error), &error);
    cw_book_close(&book);
    assert_int_equal(chmod("locked/a.book", 0444), 0);
    assert_int_equal(chmod("locked", 0555), 0);
    assert_int_equal(end_of(start(read_read_only, 1)), 0);
    assert_int_equal(chmod("locked", 0755), 0);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, open_folder, close_book)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(writers__two_at_once_lose_nothing),
        in_folder(writer__one_that_holds_the_book_is_named_after_five_seconds),
        in_folder(disk__full_keeps_what_was_acknowledged),
        in_folder(disk__that_cannot_be_written_is_read),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
