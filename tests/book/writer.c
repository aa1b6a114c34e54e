/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Writes in a book for ever, and says on standard output what was acknowledged, one line at a time, after it was.
 * Killed by kills.py at a random moment.
 *
 *     writer BOOK SEED NAME    writes; NAME tells writers apart
 *     writer --check BOOK      cw_book_check; exit 0 where all is sound */
#include "coilwright/book.h"
#include "coilwright/files.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *writer_name;
static unsigned long long seed;

static unsigned pick(unsigned below)
{
    seed = seed * 6364136223846793005ull + 1442695040888963407ull;
    return (unsigned)(seed >> 33) % below;
}

/* One line, whole or not at all: a pipe takes so short a write in one piece. */
static void say(const char *what, long long job, long long number)
{
    char line[96];
    const int length = snprintf(line, sizeof line, "%s %lld %lld\n", what, job, number);

    if (write(STDOUT_FILENO, line, (size_t)length) != length)
        _exit(4);
}

static int fail(const cw_error *error)
{
    fprintf(stderr, "%s: %s\n", error->file, error->text);
    return 1;
}

typedef struct writing {
    cw_book *book;
    cw_book_id jobs[512];  /* of this writer */
    size_t count;
    cw_book_id spool;
    long long number;      /* of this run; every yaml, reading and use is told by it */
} writing;

static cw_status add_job(writing *writing, cw_error *error)
{
    char machine[64], yaml[4096];
    const cw_book_entry entry = { .machine = machine, .yaml = yaml };
    cw_book_id job;
    cw_status status;

    snprintf(machine, sizeof machine, "%s %u", writer_name, pick(20));
    memset(yaml, 'x', sizeof yaml - 1);
    yaml[1 + pick(sizeof yaml - 2)] = '\0';
    status = cw_book_job_add(writing->book, &entry, &job, error);
    if (status != CW_OK)
        return status;
    writing->jobs[writing->count++ % 512] = job;
    say("job", job, (long long)strlen(yaml));
    return CW_OK;
}

static cw_status add_version(writing *writing, cw_book_id job, cw_error *error)
{
    char yaml[64];
    int version;
    cw_status status;

    snprintf(yaml, sizeof yaml, "%s %lld", writer_name, writing->number);
    status = cw_book_job_save(writing->book, job, yaml, NULL, 0, 0, &version, error);
    if (status == CW_OK)
        say("version", job, version);
    return status;
}

static cw_status add_reading(writing *writing, cw_book_id job, cw_error *error)
{
    const cw_book_reading reading = {
        "coil-resistance", (double)writing->number, NAN, 20, "ohm", writer_name, NULL, 0
    };
    const cw_status status = cw_book_reading_add(writing->book, job, &reading, error);

    if (status == CW_OK)
        say("reading", job, writing->number);
    return status;
}

static cw_status use_wire(writing *writing, cw_book_id job, cw_error *error)
{
    char note[32];
    cw_status status;

    snprintf(note, sizeof note, "%lld", writing->number);
    status = cw_book_spool_use(writing->book, writing->spool, job, 1e-6, NAN, note, 0, error);
    if (status == CW_OK)
        say("use", job, writing->number);
    return status;
}

static cw_status add_photo(writing *writing, cw_book_id job, cw_error *error)
{
    char picture[600] = "\xFF\xD8\xFF\xE0", path[128];
    const size_t length = 8 + pick(sizeof picture - 8);
    cw_status status;

    for (size_t i = 4; i < length; i++)
        picture[i] = (char)pick(256);
    snprintf(path, sizeof path, "%s.jpg", writer_name);
    status = cw_file_write(path, picture, length, error);
    if (status == CW_OK)
        status = cw_book_photo_add(writing->book, job, path, NULL, 0, error);
    if (status == CW_OK)
        say("photo", job, (long long)length);
    return status;
}

static cw_status sign(writing *writing, cw_book_id job, cw_error *error)
{
    char note[32];
    const cw_book_signing signing = { .verdict = "open", .proof = "{}", .who = writer_name, .note = note };
    cw_status status;

    snprintf(note, sizeof note, "%lld", writing->number);
    status = cw_book_sign(writing->book, job, &signing, error);
    if (status == CW_OK)
        say("signature", job, writing->number);
    return status;
}

static cw_status write_one(writing *writing, cw_error *error)
{
    const cw_book_id job =
        writing->count > 0 ? writing->jobs[pick((unsigned)(writing->count < 512 ? writing->count : 512))] : 0;
    const unsigned what = job == 0 ? 0 : pick(11);

    writing->number++;
    if (what < 3)
        return add_job(writing, error);
    if (what < 5)
        return add_version(writing, job, error);
    if (what < 8)
        return add_reading(writing, job, error);
    if (what < 9)
        return use_wire(writing, job, error);
    return what < 10 ? add_photo(writing, job, error) : sign(writing, job, error);
}

static int write_for_ever(const char *path, long long first)
{
    const cw_book_spool_entry spool = { .size = "29 AWG", .mass_kg = 1, .length_m = NAN, .mass_kg_per_m = 0.6e-3,
                                        .thermal_class_c = NAN, .price = NAN };
    writing writing = { .number = first };
    cw_error error;

    if (cw_book_open(path, CW_BOOK_WRITE, &writing.book, &error) != CW_OK ||
        cw_book_spool_add(writing.book, &spool, &writing.spool, &error) != CW_OK)
        return fail(&error);
    while (write_one(&writing, &error) == CW_OK)
        ;
    cw_book_close(&writing.book);
    return fail(&error);
}

static int check(const char *path)
{
    cw_errors errors = { 0 };
    cw_error error;
    cw_book *book;
    int status;

    if (cw_book_open(path, CW_BOOK_WRITE, &book, &error) != CW_OK)
        return fail(&error);
    status = cw_book_check(book, &errors) == CW_OK ? 0 : 1;
    for (size_t i = 0; i < errors.count; i++)
        fail(&errors.items[i]);
    cw_errors_clear(&errors);
    cw_book_close(&book);
    return status;
}

int main(int count, char **words)
{
    if (count == 3 && strcmp(words[1], "--check") == 0)
        return check(words[2]);
    if (count != 4)
        return 2;
    seed = strtoull(words[2], NULL, 10);
    writer_name = words[3];
    return write_for_ever(words[1], (long long)(seed % 1000000) * 1000000);
}
