/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the book share: the connection, and SQL in one line. */
#ifndef CW_BOOK_INTERNAL_H
#define CW_BOOK_INTERNAL_H

#include "coilwright/book.h"

#include <sqlite3.h>

struct cw_book {
    sqlite3 *db;
    char *path;
    char *photos;           /* folder beside it */
    bool may_write;
    int depth;              /* of transactions; the outermost one counts */
    double waiting_since_s; /* for another program, by a clock that never steps */
};

enum { CW_BOOK__TEXT_MOST = 16 * 1024 * 1024 }; /* of one YAML or JSON text */

/* ---- statement.c ---- */

/* What SQLite said, as a sentence. `doing` is what was to be done: "The job cannot be saved". */
cw_status cw_book__trouble(const cw_book *book, int code, const char *doing, cw_error *error);

/* Prepares a statement and binds its parameters in order, one letter each:
 *     i  long long        d  double, NAN is NULL        s  text, NULL is NULL        z  long long, 0 is NULL
 * Texts are lent until the statement is finalised. NULL on failure. */
sqlite3_stmt *cw_book__ask(cw_book *book, cw_error *error, const char *sql, const char *kinds, ...);

/* Runs a statement that gives no rows. */
cw_status cw_book__run(cw_book *book, const char *doing, cw_error *error, const char *sql, const char *kinds, ...);

/* One step: CW_OK with *row, or a failure. */
cw_status cw_book__step(cw_book *book, sqlite3_stmt *statement, bool *row, cw_error *error);

/* First column of the first row as a number, or `otherwise` where there is no row. */
cw_status cw_book__number(cw_book *book, long long otherwise, long long *number, cw_error *error, const char *sql,
                          const char *kinds, ...);

double cw_book__real(sqlite3_stmt *row, int column); /* NULL is NAN */

/* A copy; NULL where the cell is, or without memory (then *no_memory is set). */
char *cw_book__text(sqlite3_stmt *row, int column, bool *no_memory);
void cw_book__copy(sqlite3_stmt *row, int column, char *to, size_t size); /* "" for NULL, cut to size */

/* Grows an array by one zeroed item and gives its address; NULL without memory, the array is then as it was. */
void *cw_book__grow(void *array, size_t *count, size_t size);

/* ---- book.c ---- */

/* A transaction that can be written in. end: commits where status is CW_OK, else rolls back, and gives what came of it.
 */
cw_status cw_book__begin(cw_book *book, cw_error *error);
cw_status cw_book__end(cw_book *book, cw_status status, const char *doing, cw_error *error);

long long cw_book__time(long long time_s); /* 0 is now */
cw_status cw_book__need_job(cw_book *book, cw_book_id job, cw_error *error);

/* ---- schema.c ---- */

/* Brings the tables from any earlier layout to CW_BOOK_LAYOUT, within one transaction. */
cw_status cw_book__migrate(cw_book *book, int from, cw_error *error);

#define CW_BOOK__APPLICATION_ID 0x436F696C /* "Coil": marks the file as a book */

/* What a text search looks at, of job j and its coil c. */
#define CW_BOOK__WORDS "j.name || char(10) || c.name || char(10) || coalesce(j.note, '')"

/* ---- keys.c, photo.c, job.c ---- */

cw_status cw_book__put_keys(cw_book *book, cw_book_id job, const cw_book_keys *keys, cw_error *error);
void cw_book__read_keys(sqlite3_stmt *row, int first, cw_book_keys *keys); /* in the order of CW_BOOK__KEY_COLUMNS */
#define CW_BOOK__KEY_COLUMNS "k.wire, k.build, k.shape, k.inner_m, k.inner_2_m, k.length_m, k.depth_m, " \
                             "k.resistance_20c_ohm, k.turns"

const char *cw_book__picture_type(const void *bytes, size_t length); /* "jpg", "png", or NULL */

/* Puts a picture's file in place and its row into the job. */
cw_status cw_book__photo_put(cw_book *book, cw_book_id job, const void *bytes, size_t length, const char *caption,
                             long long time_s, cw_error *error);

/* A text from outside: UTF-8, at most so many bytes. `what` begins the sentence: "The note". */
cw_status cw_book__check_text(const char *text, size_t most, const char *what, bool needed, cw_error *error);

/* A job within a transaction; uid NULL: a new one. */
cw_status cw_book__job_put(cw_book *book, const cw_book_entry *entry, const char *uid, cw_book_id *job,
                           cw_error *error);
/* The document of a result, and its row's id in *result (may be NULL). */
cw_status cw_book__result_put(cw_book *book, cw_book_id job, int version, const char *verb, const char *json,
                              long long time_s, long long *result, cw_error *error);

/* ---- signature.c ---- */

/* A row of a signature whose result is there. */
cw_status cw_book__signature_put(cw_book *book, cw_book_id job, long long result, const cw_book_signing *signing,
                                 const char *sha256, cw_error *error);

/* Adds what is signed and no longer what it was. */
cw_status cw_book__check_signatures(cw_book *book, size_t *wrong, cw_errors *errors);

/* The sum that is signed: over the inputs, a zero byte, and the proof. False without memory. */
bool cw_book__signature_sum(const char *yaml, const char *proof, char sha256[65]);

cw_status cw_book__version_put(cw_book *book, cw_book_id job, int number, const char *yaml, long long time_s,
                               cw_error *error);

#endif
