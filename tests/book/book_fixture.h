/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A folder of its own for each test, gone afterwards, and a book with a job in it. Include after cmocka.h. */
#ifndef TESTS_BOOK_FIXTURE_H
#define TESTS_BOOK_FIXTURE_H

#include "coilwright/book.h"
#include "coilwright/files.h"

#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct book_fixture {
    char before[4096], folder[64];
    cw_book *book;
    cw_book_id job;
} book_fixture;

static const char example_yaml[] = "coilwright: 1\nwindow: {shape: round, inner: 42 mm}\nreadings:\n"
                                   "  - {kind: coil-resistance, of: sibling, value: 84.2 ohm, at: 24 °C}\n";

static inline void must(cw_status status, const cw_error *error)
{
    if (status != CW_OK)
        fail_msg("%s", error->text);
}

static inline cw_book_keys keys_of(const char *wire, double inner_m, double ohm)
{
    cw_book_keys keys;

    cw_book_keys_clear(&keys);
    snprintf(keys.wire, sizeof keys.wire, "%s", wire);
    snprintf(keys.build, sizeof keys.build, "heavy");
    snprintf(keys.shape, sizeof keys.shape, "round");
    keys.inner_m[0] = keys.inner_m[1] = inner_m;
    keys.length_m = 0.058;
    keys.depth_m = 0.013;
    keys.resistance_20c_ohm = ohm;
    keys.turns = 1850;
    return keys;
}

static inline cw_book_id add_job(cw_book *book, const char *machine, const cw_book_keys *keys, long long time_s)
{
    const cw_book_entry entry = {
        .machine = machine, .coil = "brake coil", .yaml = example_yaml, .keys = keys, .time_s = time_s
    };
    cw_book_id job = 0;
    cw_error error;

    must(cw_book_job_add(book, &entry, &job, &error), &error);
    return job;
}

static inline int open_folder(void **state)
{
    book_fixture *fixture = cw_allocate(1, sizeof *fixture);

    /* where others may enter too: one test gives up its rights, and a checkout may lie in a home that is shut */
    snprintf(fixture->folder, sizeof fixture->folder, "%s/book-XXXXXX", P_tmpdir);
    if (getcwd(fixture->before, sizeof fixture->before) == NULL || mkdtemp(fixture->folder) == NULL ||
        chdir(fixture->folder) != 0)
        return 1;
    *state = fixture;
    return 0;
}

static inline int open_book(void **state)
{
    const cw_book_keys keys = keys_of("29 AWG", 0.042, 84.2);
    book_fixture *fixture;
    cw_error error;

    if (open_folder(state) != 0)
        return 1;
    fixture = *state;
    must(cw_book_open("shop.book", CW_BOOK_WRITE, &fixture->book, &error), &error);
    fixture->job = add_job(fixture->book, "Press brake", &keys, 1000);
    return 0;
}

static inline int remove_one(const char *path, const struct stat *about, int kind, struct FTW *place)
{
    (void)about;
    (void)kind;
    (void)place;
    return remove(path);
}

static inline int close_book(void **state)
{
    book_fixture *fixture = *state;

    cw_book_close(&fixture->book);
    if (chdir(fixture->before) != 0)
        return 1;
    nftw(fixture->folder, remove_one, 16, FTW_DEPTH | FTW_PHYS);
    cw_free(fixture);
    return 0;
}

static inline void assert_sound(cw_book *book)
{
    cw_errors errors = { 0 };

    if (cw_book_check(book, &errors) != CW_OK)
        fail_msg("%s: %s", errors.items[0].file, errors.items[0].text);
    cw_errors_clear(&errors);
}

#endif
