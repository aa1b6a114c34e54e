/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Status, errors, memory and growing text: what every room stands on.
 *
 * Knows: nothing of coils. Needs: the C library. Refuses to know: files, terminals, units. */
#ifndef COILWRIGHT_BASE_H
#define COILWRIGHT_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define CW_API __attribute__((visibility("default")))
#define CW_PRINTF(at, first) __attribute__((format(printf, at, first)))

/** How a call ended. A "no" (nothing fits, a test failed) is a result, not a status. */
typedef enum cw_status {
    CW_OK = 0,
    CW_BAD_INPUT = 2, /* what was handed in is wrong; the error says what and where */
    CW_FAILED = 3,    /* the machine failed: disk, port, a library */
    CW_NO_MEMORY = 4
} cw_status;

/** One thing that is wrong, for a tired person to read. Owned by the caller; no allocation, no global behind it.
 *
 *  Functions take `cw_error *error` last and accept NULL there. They write it only where they fail, and pass up
 *  untouched what a lower room has written. */
typedef struct cw_error {
    char file[256];     /* "" where there is none */
    int line;           /* from 1; 0 where there is none */
    int column;         /* from 1, in characters; 0 where there is none */
    char text[640];     /* what was found and what to do, whole sentences */
    char expected[256]; /* what would have been right, "" where the text says it all */
} cw_error;

/** A place in a text that came from outside, for errors to point at. */
typedef struct cw_place {
    const char *file; /* may be NULL */
    int line, column; /* from 1; 0 unknown */
} cw_place;

/** Fills the error (if any) and returns CW_BAD_INPUT, so that `return cw_refuse(...)` is one statement.
 *  at, expected  may be NULL */
CW_API cw_status cw_refuse(cw_error *error, const cw_place *at, const char *expected, const char *format, ...)
    CW_PRINTF(4, 5);

/** The same with CW_FAILED: the machine's fault, not the user's. */
CW_API cw_status cw_fail(cw_error *error, const char *format, ...) CW_PRINTF(2, 3);

/** The same with CW_NO_MEMORY. */
CW_API cw_status cw_no_memory(cw_error *error);

/** "FILE:LINE:COLUMN: TEXT Expected EXPECTED." as one line into `buffer`, cut to `size`. */
CW_API void cw_error_line(const cw_error *error, char *buffer, size_t size);

/** A growing list of errors, for the reader that reports every mistake at once. Zero-initialise; clear when done. */
typedef struct cw_errors {
    cw_error *items;
    size_t count, capacity;
} cw_errors;

#define CW_ERRORS_MOST 200 /* beyond this a file is garbage, and a longer list helps nobody */

/** Appends a copy. Silently full at CW_ERRORS_MOST; out of memory keeps what is there. */
CW_API void cw_errors_add(cw_errors *errors, const cw_error *error);
CW_API void cw_errors_clear(cw_errors *errors);

/* ---- memory ------------------------------------------------------------------------------------------------ */

/** Zeroed memory for `count` items of `size` bytes; NULL if there is none or the product overflows.
 *  count == 0 gives a pointer that may be freed and must not be read. */
CW_API void *cw_allocate(size_t count, size_t size);

/** Grows or shrinks; the old block stays valid where NULL is returned. New bytes are not zeroed. */
CW_API void *cw_reallocate(void *block, size_t count, size_t size);

/** Frees; NULL is welcome. */
CW_API void cw_free(void *block);

/** A copy of the first `length` bytes with a NUL behind; NULL without memory. */
CW_API char *cw_copy_text(const char *text, size_t length);

/** For tests: after `granted` more allocations every one fails, until called with a negative number. Per thread. */
CW_API void cw_memory_fail_after(long granted);

/* ---- growing text ------------------------------------------------------------------------------------------ */

/** Text that grows as it is written to. Zero-initialise. A failed allocation makes it `failed` for good, so that a
 *  writer may write on without looking and check once at the end. */
typedef struct cw_text {
    char *data;    /* NUL-terminated where length > 0; NULL before the first write */
    size_t length; /* without the NUL */
    size_t capacity;
    bool failed;
} cw_text;

CW_API void cw_text_add(cw_text *text, const char *addition);
CW_API void cw_text_add_bytes(cw_text *text, const char *bytes, size_t count);
CW_API void cw_text_print(cw_text *text, const char *format, ...) CW_PRINTF(2, 3);
CW_API void cw_text_clear(cw_text *text);

/** One character of at most `left` bytes, left > 0. Returns how many bytes it has, or 0 where they are no UTF-8 in its
 *  shortest form; `code` is then undefined. */
CW_API int cw_utf8_decode(const char *text, size_t left, uint32_t *code);

/** Edit distance of two words, ignoring case, or a number above `most` as soon as it is clear that it exceeds it. */
CW_API int cw_word_distance(const char *a, const char *b, int most);

#ifdef __cplusplus
}
#endif
#endif
