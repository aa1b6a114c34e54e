/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shop's memory: machines, coils, jobs with every version of their inputs and results, readings, photos, wire on
 * the shelf, costs and hours, in one SQLite file.
 *
 * Knows: SQLite, zip, SHA-256. Needs: base, files; choose, evidence, job, winding, wire for the search keys of a job.
 * Refuses to know: what a job's YAML or a result's JSON says; they are kept as they came.
 *
 * What is acknowledged is kept: every call that writes is one transaction on a write-ahead log with full sync, and
 * comes back with CW_OK only after it is on the disk. Several programs may have the same book open; a writer waits up
 * to five seconds for another. Nothing is ever overwritten: a job that changes gets another version, a spool's length
 * is the sum of what was booked on and off. Photos lie beside the book in BOOK.photos/, named by their SHA-256.
 *
 * Times are seconds since 1970 UTC; 0 stands for now. Numbers that are not known are NAN, texts NULL. Lists come back
 * as new objects with one pair of destroy. Layout of the tables: src/book/schema.c; of the zip: docs/book.md.
 *
 * CW_BAD_INPUT: what was asked for does not exist, is not a book, is one of a later program, may not be written, or
 * collides with what somebody else has saved. CW_FAILED: disk full, disk broken, another program holds the book. */
#ifndef COILWRIGHT_BOOK_H
#define COILWRIGHT_BOOK_H

#include "coilwright/base.h"
#include "coilwright/job.h"
#include "coilwright/winding.h"
#include "coilwright/wire.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct cw_book cw_book;
typedef long long cw_book_id; /* from 1 */

/* ---- the book itself --------------------------------------------------------------------------------------- */

typedef enum cw_book_mode {
    CW_BOOK_READ,  /* what is there, also on a disk that cannot be written */
    CW_BOOK_WRITE  /* made where it is not there, and brought up to this program's layout */
} cw_book_mode;

#define CW_BOOK_LAYOUT 5 /* user_version of the tables this program writes */

CW_API cw_status cw_book_open(const char *path, cw_book_mode mode, cw_book **book, cw_error *error);

/** Where a shop's book lies when nobody says otherwise: coilwright/shop.book in the user's folder for data, which is
 *  $XDG_DATA_HOME or ~/.local/share [XDG base directory specification].
 *
 *  make  whether the folder is made where it is missing
 *  path  receives a text; cw_free
 *  CW_BAD_INPUT  neither variable says where; CW_FAILED: the folder cannot be made */
CW_API cw_status cw_book_usual_path(bool make, char **path, cw_error *error);
CW_API void cw_book_close(cw_book **book);

/** Checks everything: the file's own structure, that all references lead somewhere, that every photo is there and has
 *  its sum, that what was signed is what lies there. What is wrong is added to `errors`; CW_OK where nothing is,
 *  CW_FAILED where something is. */
CW_API cw_status cw_book_check(cw_book *book, cw_errors *errors);

/** A copy of the whole book, photos too, while others read and write. Appears whole or not at all; replaces what stands
 *  there only when it is whole. */
CW_API cw_status cw_book_backup(cw_book *book, const char *path, cw_error *error);

/** Several writes as one: all of them are on the disk when the call comes back with CW_OK, none otherwise. The book is
 *  held meanwhile, so that what takes long is done before.
 *  writes  gives CW_OK, or what went wrong in it */
typedef cw_status cw_book_writes(cw_book *book, void *context, cw_error *error);
CW_API cw_status cw_book_together(cw_book *book, cw_book_writes *writes, void *context, cw_error *error);

/* ---- jobs -------------------------------------------------------------------------------------------------- */

/** What a job is found by. cw_book_keys_clear, or from a job and its winding. */
typedef struct cw_book_keys {
    char wire[24];                 /* name of the size, "" unknown */
    char build[24], shape[16];
    double inner_m[2], length_m, depth_m;
    double resistance_20c_ohm;     /* of one coil */
    double turns;
} cw_book_keys;

CW_API void cw_book_keys_clear(cw_book_keys *keys);

/** Keys of a job: its window, the coil resistance read (at 20 °C), and what was wound where there is a winding.
 *  winding    may be NULL
 *  conductor  of the wire that was read, for the temperature; NULL: copper */
CW_API void cw_book_keys_from(const cw_job *job, const cw_winding *winding, const cw_conductor *conductor,
                              cw_book_keys *keys);

typedef enum cw_book_state {
    CW_JOB_OPEN, CW_JOB_WOUND, CW_JOB_PROVED, CW_JOB_FAILED, CW_JOB_STATE_COUNT
} cw_book_state;
CW_API const char *cw_book_state_name(cw_book_state state); /* "proved" */
CW_API bool cw_book_state_find(const char *name, cw_book_state *state);

/** A new job. Machine and coil are made where the book does not know them yet. */
typedef struct cw_book_entry {
    const char *name;              /* NULL: the machine's */
    const char *machine;           /* required */
    const char *coil;              /* which of the machine's; NULL "coil" */
    const char *note;
    const char *yaml;              /* the job file as it stands; required */
    const cw_book_keys *keys;      /* NULL: found by its machine only */
    cw_book_id based_on;           /* the job it started from; 0 none */
    long long time_s;
} cw_book_entry;

CW_API cw_status cw_book_job_add(cw_book *book, const cw_book_entry *entry, cw_book_id *job, cw_error *error);

/** Saves a job's inputs as its next version.
 *
 *  on_version  the version the writer started from: where another was saved meanwhile the call is refused and names it,
 *              so that two pages do not overwrite each other. 0: whatever is there
 *  version     receives the number; the old one where nothing has changed */
CW_API cw_status cw_book_job_save(cw_book *book, cw_book_id job, const char *yaml, const cw_book_keys *keys,
                                  int on_version, long long time_s, int *version, cw_error *error);

/** Gives a job the names that its file has by now; machine and coil are made where the book does not know them yet.
 *  name, machine  required. The coil keeps its name. */
CW_API cw_status cw_book_job_rename(cw_book *book, cw_book_id job, const char *name, const char *machine,
                                    cw_error *error);

CW_API cw_status cw_book_job_set_state(cw_book *book, cw_book_id job, cw_book_state state, cw_error *error);
CW_API cw_status cw_book_job_set_note(cw_book *book, cw_book_id job, const char *note, cw_error *error);

/** A result of a verb for a version, as JSON text. A later one of the same verb and version stands beside it. */
CW_API cw_status cw_book_result_add(cw_book *book, cw_book_id job, int version, const char *verb, const char *json,
                                    long long time_s, cw_error *error);

/** The inputs of a version; 0: of the latest. */
CW_API cw_status cw_book_version_text(cw_book *book, cw_book_id job, int version, cw_text *yaml, cw_error *error);

/** The latest result of a verb for a version; 0: for the latest version that has one. */
CW_API cw_status cw_book_result_text(cw_book *book, cw_book_id job, int version, const char *verb, cw_text *json,
                                     cw_error *error);

typedef struct cw_book_reading {
    const char *kind;              /* "coil-resistance", "heat-run" ... */
    double value, doubt, at_c;     /* SI */
    const char *unit;              /* "ohm" */
    const char *source;            /* "typed", or the meter that gave it */
    const char *note;
    long long time_s;
} cw_book_reading;

CW_API cw_status cw_book_reading_add(cw_book *book, cw_book_id job, const cw_book_reading *reading, cw_error *error);

/** Takes a JPEG or PNG file into the book. The same picture twice is kept once.
 *  CW_BAD_INPUT  no such file, neither JPEG nor PNG, above CW_BOOK_PHOTO_LARGEST */
CW_API cw_status cw_book_photo_add(cw_book *book, cw_book_id job, const char *path, const char *caption,
                                   long long time_s, cw_error *error);
#define CW_BOOK_PHOTO_LARGEST ((size_t)64 * 1024 * 1024)

/** Where the photo with that sum lies; cw_free. NULL without memory. */
CW_API char *cw_book_photo_path(const cw_book *book, const char *sha256, const char *type);

/* What was paid and worked. The kinds of cost: "wire", "material", "bought" (parts), "other", and "instead": what a
 * bought coil would have cost. Money is in the shop's own. */
CW_API cw_status cw_book_cost_add(cw_book *book, cw_book_id job, const char *kind, double amount, const char *note,
                                  long long time_s, cw_error *error);
CW_API cw_status cw_book_hours_add(cw_book *book, cw_book_id job, double hours, const char *who, const char *what,
                                   long long time_s, cw_error *error);

/** Who says that a job's coil was proved. */
typedef struct cw_book_signing {
    int version;                   /* whose inputs were proved; 0 the latest */
    const char *verdict;           /* of the proof: "pass" or "open"; one that failed is not signed */
    const char *proof;             /* the document of prove; kept as a result of that version */
    const char *who;               /* required */
    const char *note;              /* required where the verdict is open: why it goes out nevertheless */
    long long time_s;
} cw_book_signing;

/** Keeps the proof with the name of who stands for it, and a SHA-256 over inputs and proof by which a later look sees
 *  that both are still what was signed. A proof that passed makes the job's state CW_JOB_PROVED.
 *  CW_BAD_INPUT  a verdict of fail, a missing name or reason, a version that is no longer the latest
 *  Test: tests/book/test_book.c */
CW_API cw_status cw_book_sign(cw_book *book, cw_book_id job, const cw_book_signing *signing, cw_error *error);

/* ---- a job with all that belongs to it --------------------------------------------------------------------- */

typedef struct cw_book_version {
    int number;
    long long time_s;
} cw_book_version;

typedef struct cw_book_result {
    int version;
    char *verb;
    long long time_s;
} cw_book_result;

typedef struct cw_book_taken {     /* a reading as kept */
    char *kind, *unit, *source, *note;
    double value, doubt, at_c;
    long long time_s;
} cw_book_taken;

typedef struct cw_book_photo {
    char *sha256, *type, *caption; /* type "jpg" or "png" */
    long long bytes, time_s;
} cw_book_photo;

typedef struct cw_book_cost {
    char *kind, *note;
    double amount;
    long long time_s;
} cw_book_cost;

typedef struct cw_book_hours {
    char *who, *what;
    double hours;
    long long time_s;
} cw_book_hours;

typedef struct cw_book_use {       /* wire booked off for the job */
    cw_book_id spool;
    char *size;
    double length_m, mass_kg, price; /* price of what was used; NAN unknown */
    char *note;
    long long time_s;
} cw_book_use;

typedef struct cw_book_signature {
    int version;
    size_t result;                 /* index into results: the proof that was signed */
    char *who, *verdict, *note, *sha256;
    bool sound;                    /* inputs and proof are still those that were signed */
    long long time_s;
} cw_book_signature;

typedef struct cw_book_job {
    cw_book_id id;
    char *uid;                     /* the same wherever the job was exported to */
    char *name, *machine, *coil, *note;
    cw_book_state state;
    cw_book_id based_on;           /* 0 none */
    long long made_s, changed_s;
    cw_book_keys keys;
    char *yaml;                    /* of the latest version */
    cw_book_version *versions;
    size_t version_count;
    cw_book_result *results;
    size_t result_count;
    cw_book_taken *readings;
    size_t reading_count;
    cw_book_photo *photos;
    size_t photo_count;
    cw_book_cost *costs;
    size_t cost_count;
    cw_book_hours *hours;
    size_t hours_count;
    cw_book_use *uses;
    size_t use_count;
    cw_book_signature *signatures;
    size_t signature_count;
    double spent, instead, hours_total; /* costs without "instead" and the wire used; NAN where nothing was noted */
} cw_book_job;

CW_API cw_status cw_book_job_open(cw_book *book, cw_book_id job, cw_book_job **opened, cw_error *error);
CW_API void cw_book_job_destroy(cw_book_job **job);

/* ---- finding ----------------------------------------------------------------------------------------------- */

/** All that is given must hold. cw_book_query_clear leaves everything open. */
typedef struct cw_book_query {
    const char *machine;           /* part of its name, case free */
    const char *text;              /* part of job's name, coil or note */
    const char *wire;              /* name of the size, exact */
    double inner_m[2];             /* from, to; NAN open; likewise below */
    double length_m[2];
    double depth_m[2];
    double resistance_20c_ohm[2];
    double turns[2];
    int state;                     /* cw_book_state, or -1 */
    size_t most;                   /* 0: 100 */
} cw_book_query;

CW_API void cw_book_query_clear(cw_book_query *query);

typedef struct cw_book_hit {
    cw_book_id job;
    char *name, *machine, *coil;
    cw_book_state state;
    cw_book_keys keys;
    int versions;
    long long changed_s;
} cw_book_hit;

typedef struct cw_book_hits {
    cw_book_hit *items;            /* the last changed first */
    size_t count;
    bool more;                     /* there are more than were asked for */
} cw_book_hits;

CW_API cw_status cw_book_find(cw_book *book, const cw_book_query *query, cw_book_hits **hits, cw_error *error);
CW_API void cw_book_hits_destroy(cw_book_hits **hits);

/** What differs between two texts, line by line: "- old", "+ new", with one unchanged line around. Nothing where they
 *  are alike. For a job that started from another. */
CW_API cw_status cw_book_differences(const char *before, const char *after, cw_text *text, cw_error *error);

/* ---- wire on the shelf ------------------------------------------------------------------------------------- */

/** A spool as bought. Either mass or length may be NAN where mass_kg_per_m tells the other. */
typedef struct cw_book_spool_entry {
    const char *size, *build, *material; /* "29 AWG", "heavy", "copper" */
    double thermal_class_c;        /* NAN unknown */
    double mass_kg;                /* of the wire, spool off */
    double length_m;
    double mass_kg_per_m;          /* covering on, as of cw_wire */
    double price;
    const char *supplier, *note;
    long long time_s;
} cw_book_spool_entry;

CW_API cw_status cw_book_spool_add(cw_book *book, const cw_book_spool_entry *entry, cw_book_id *spool, cw_error *error);

/** Books wire off a spool, by length or by mass; the other follows. Where less is left the call is refused and says how
 *  much: weigh the spool first.
 *  job  0 where it was for none */
CW_API cw_status cw_book_spool_use(cw_book *book, cw_book_id spool, cw_book_id job, double length_m, double mass_kg,
                                   const char *note, long long time_s, cw_error *error);

/** Sets what is left to what the scale says: the difference is booked, and why. */
CW_API cw_status cw_book_spool_weighed(cw_book *book, cw_book_id spool, double mass_kg, long long time_s,
                                       cw_error *error);

typedef struct cw_book_spool {
    cw_book_id id;
    char *size, *build, *material, *supplier, *note;
    double thermal_class_c, mass_kg_per_m, price;
    double bought_m, bought_kg, left_m, left_kg;
    long long time_s;
} cw_book_spool;

typedef struct cw_book_spools {
    cw_book_spool *items;
    size_t count;
} cw_book_spools;

/** Spools of a size, or all; empty ones last.
 *  size  NULL: all */
CW_API cw_status cw_book_spools_list(cw_book *book, const char *size, cw_book_spools **spools, cw_error *error);
CW_API void cw_book_spools_destroy(cw_book_spools **spools);

/* ---- out and in -------------------------------------------------------------------------------------------- */

/** One job, or all and the shelf where job is 0, as a zip of YAML, JSON and pictures. The same book gives the same
 *  bytes. */
CW_API cw_status cw_book_export(cw_book *book, cw_book_id job, const char *path, cw_error *error);

typedef struct cw_book_imported {
    size_t jobs, known, spools, photos; /* taken in; jobs and spools that the book had already are counted in `known` */
} cw_book_imported;

/** Takes in what cw_book_export wrote, all of it or nothing. A job the book has already (by its uid) is left as it is.
 *  CW_BAD_INPUT  not such a zip, with the file inside it that is wrong; larger than the limits in docs/book.md */
CW_API cw_status cw_book_import(cw_book *book, const char *path, cw_book_imported *imported, cw_error *error);

/* ---- to read ----------------------------------------------------------------------------------------------- */

/* The same as JSON: book/book_json.h. */
CW_API void cw_book_write_hits(const cw_book_hits *hits, cw_unit_system units, cw_text *text);
CW_API void cw_book_write_job(const cw_book_job *job, cw_unit_system units, cw_text *text);
CW_API void cw_book_write_spools(const cw_book_spools *spools, cw_unit_system units, cw_text *text);

/** SHA-256 [FIPS 180-4] as 64 hexadecimal digits and a NUL. */
CW_API void cw_book_sha256(const void *bytes, size_t length, char hex[65]);

#ifdef __cplusplus
}
#endif
#endif
