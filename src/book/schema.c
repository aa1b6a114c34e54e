/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tables, layout by layout. A step, once released, is never changed: books of that layout are out there
 * (tests/book/layout_N.sql holds one of each).
 *
 *     machine ─< coil ─< job ─< version ─< result
 *                         ├──< reading, photo, cost, hours, signature
 *                         ├─── job_key          what it is found by, of its latest version
 *                         ├─── job_text         words of its name, coil and note, by rowid
 *     spool ─< stock_use >┘
 *
 * Everything is in SI; times are seconds since 1970 UTC. What is left of a spool is what was bought plus the sum of its
 * uses, which are negative where wire was taken off. */
#include "book/book_internal.h"

static const char *const layout_1[] = {
    "CREATE TABLE machine (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE COLLATE NOCASE, note TEXT) STRICT",
    "CREATE TABLE coil (id INTEGER PRIMARY KEY, machine INTEGER NOT NULL REFERENCES machine(id),"
    " name TEXT NOT NULL COLLATE NOCASE, UNIQUE (machine, name)) STRICT",
    "CREATE TABLE job (id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE, coil INTEGER NOT NULL REFERENCES coil(id),"
    " name TEXT NOT NULL, note TEXT, state INTEGER NOT NULL DEFAULT 0, made_s INTEGER NOT NULL,"
    " changed_s INTEGER NOT NULL) STRICT",
    "CREATE INDEX job_by_coil ON job (coil)",
    "CREATE INDEX job_by_change ON job (changed_s)",
    "CREATE TABLE version (job INTEGER NOT NULL REFERENCES job(id), number INTEGER NOT NULL, yaml TEXT NOT NULL,"
    " made_s INTEGER NOT NULL, PRIMARY KEY (job, number)) STRICT, WITHOUT ROWID",
    "CREATE TABLE result (id INTEGER PRIMARY KEY, job INTEGER NOT NULL, version INTEGER NOT NULL, verb TEXT NOT NULL,"
    " json TEXT NOT NULL, made_s INTEGER NOT NULL, FOREIGN KEY (job, version) REFERENCES version(job, number)) STRICT",
    "CREATE INDEX result_by_job ON result (job, verb, version)",
    "CREATE TABLE reading (id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job(id), kind TEXT NOT NULL,"
    " value REAL NOT NULL, doubt REAL, at_c REAL, unit TEXT, source TEXT, note TEXT, taken_s INTEGER NOT NULL) STRICT",
    "CREATE INDEX reading_by_job ON reading (job)",
    "CREATE TABLE job_key (job INTEGER PRIMARY KEY REFERENCES job(id), wire TEXT COLLATE NOCASE, build TEXT, shape "
    "TEXT,"
    " inner_m REAL, inner_2_m REAL, length_m REAL, depth_m REAL, resistance_20c_ohm REAL, turns REAL) STRICT",
    "CREATE INDEX job_key_by_resistance ON job_key (resistance_20c_ohm, inner_m)",
    "CREATE INDEX job_key_by_inner ON job_key (inner_m, length_m)",
    "CREATE INDEX job_key_by_wire ON job_key (wire, inner_m)",
    NULL,
};

/* Wire on the shelf. */
static const char *const layout_2[] = {
    "CREATE TABLE spool (id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE, size TEXT NOT NULL COLLATE NOCASE, build "
    "TEXT,"
    " material TEXT, thermal_class_c REAL, mass_kg_per_m REAL NOT NULL CHECK (mass_kg_per_m > 0),"
    " bought_m REAL NOT NULL CHECK (bought_m > 0), price REAL, supplier TEXT, note TEXT, bought_s INTEGER NOT NULL) "
    "STRICT",
    "CREATE INDEX spool_by_size ON spool (size)",
    "CREATE TABLE stock_use (id INTEGER PRIMARY KEY, spool INTEGER NOT NULL REFERENCES spool(id),"
    " job INTEGER REFERENCES job(id), length_m REAL NOT NULL, note TEXT, made_s INTEGER NOT NULL) STRICT",
    "CREATE INDEX stock_use_by_spool ON stock_use (spool, length_m)",
    "CREATE INDEX stock_use_by_job ON stock_use (job)",
    NULL,
};

/* Photos, money, hours, and which job a job started from. */
static const char *const layout_3[] = {
    "CREATE TABLE photo (id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job(id), sha256 TEXT NOT NULL,"
    " type TEXT NOT NULL, bytes INTEGER NOT NULL, caption TEXT, added_s INTEGER NOT NULL, UNIQUE (job, sha256)) STRICT",
    "CREATE TABLE cost (id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job(id), kind TEXT NOT NULL,"
    " amount REAL NOT NULL, note TEXT, made_s INTEGER NOT NULL) STRICT",
    "CREATE INDEX cost_by_job ON cost (job)",
    "CREATE TABLE hours (id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job(id), hours REAL NOT NULL,"
    " who TEXT, what TEXT, made_s INTEGER NOT NULL) STRICT",
    "CREATE INDEX hours_by_job ON hours (job)",
    "ALTER TABLE job ADD COLUMN based_on INTEGER REFERENCES job(id)",
    "CREATE INDEX job_by_basis ON job (based_on) WHERE based_on IS NOT NULL",
    NULL,
};

/* Parts of names and notes are found by their letters in threes; a scan of 100,000 jobs took 230 ms
 * (benchmarks/book__find.py). */
static const char *const layout_4[] = {
    "CREATE VIRTUAL TABLE job_text USING fts5 (words, tokenize = 'trigram')",
    "INSERT INTO job_text (rowid, words) SELECT j.id, " CW_BOOK__WORDS " FROM job j JOIN coil c ON c.id = j.coil",
    NULL,
};

/* Who stands for a proof. */
static const char *const layout_5[] = {
    "CREATE TABLE signature (id INTEGER PRIMARY KEY, job INTEGER NOT NULL, version INTEGER NOT NULL,"
    " result INTEGER NOT NULL REFERENCES result(id), verdict TEXT NOT NULL, who TEXT NOT NULL, note TEXT,"
    " sha256 TEXT NOT NULL, signed_s INTEGER NOT NULL, FOREIGN KEY (job, version) REFERENCES version(job, number)) "
    "STRICT",
    "CREATE INDEX signature_by_job ON signature (job)",
    NULL,
};

static const char *const *const layouts[CW_BOOK_LAYOUT] = { layout_1, layout_2, layout_3, layout_4, layout_5 };

cw_status cw_book__migrate(cw_book *book, int from, cw_error *error)
{
    static const char *const doing = "The book cannot be brought up to date";
    cw_status status = CW_OK;
    char mark[64];

    for (int layout = from; layout < CW_BOOK_LAYOUT && status == CW_OK; layout++)
        for (const char *const *sql = layouts[layout]; *sql != NULL && status == CW_OK; sql++)
            status = cw_book__run(book, doing, error, *sql, "");
    sqlite3_snprintf(sizeof mark, mark, "PRAGMA user_version = %d", CW_BOOK_LAYOUT);
    if (status == CW_OK)
        status = cw_book__run(book, doing, error, mark, "");
    sqlite3_snprintf(sizeof mark, mark, "PRAGMA application_id = %d", CW_BOOK__APPLICATION_ID);
    if (status == CW_OK)
        status = cw_book__run(book, doing, error, mark, "");
    return status;
}
