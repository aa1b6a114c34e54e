/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The files inside an export, as export and import both see them.
 *
 *     coilwright-book.yaml            {coilwright_book: 1, jobs: n, spools: n}
 *     shelf.yaml                      the spools and every use of them (only where the whole book was asked for)
 *     jobs/UID/record.yaml            all about the job but its texts
 *     jobs/UID/job.yaml               the latest inputs, for people; not read again
 *     jobs/UID/versions/N.yaml        inputs, version by version
 *     jobs/UID/results/V-K-VERB.json  results: version V, the K-th of the job
 *     photos/SHA256.jpg, .png
 *
 * A record is block YAML of a fixed shape: `key: VALUE`, or `key:` and lines `- VALUE`, where every VALUE is JSON on
 * one line. YAML 1.2 reads that, people too, and a strict JSON reader is all that an import needs. */
#ifndef CW_BOOK_RECORD_H
#define CW_BOOK_RECORD_H

#include "book/book_internal.h"

#include <jansson.h>

#define CW_BOOK__MANIFEST "coilwright-book.yaml"
#define CW_BOOK__SHELF "shelf.yaml"
#define CW_BOOK__EXPORT_VERSION 1

enum {
    CW_BOOK__RECORD_LINES_MOST = 200000,
    CW_BOOK__ENTRIES_MOST = 2000000  /* files in a zip */
};

/* "key: VALUE" of a value that is taken over. A NULL value, for want of memory or UTF-8, marks the text as failed. */
void cw_book__put(cw_text *record, const char *key, json_t *value);

/* "- VALUE" likewise, below a line "key:". */
void cw_book__put_item(cw_text *record, json_t *value);

/* A text or null; a number or null. */
json_t *cw_book__json_text(const char *text);
json_t *cw_book__json_real(double value);

/* Reads a record into an object whose lists are arrays. NULL with the line that is wrong.
 *  name  of the file inside the zip, for the error */
json_t *cw_book__record_read(const char *text, size_t length, const char *name, cw_error *error);

/* Values of an object: NULL or NAN where they are missing, null or of another kind. Texts are lent. */
const char *cw_book__get_text(const json_t *object, const char *key);
double cw_book__get_real(const json_t *object, const char *key);
long long cw_book__get_integer(const json_t *object, const char *key);

#endif
