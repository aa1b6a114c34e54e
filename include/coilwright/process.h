/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A helper program at work for us: a question on its standard input, an answer from its standard output.
 *
 * Knows: processes, pipes, limits. Needs: base, files, POSIX. Refuses to know: what is asked.
 *
 * Libraries that are slow to load, keep global state or may crash live in helpers of their own; so the program starts
 * fast and stays, whatever happens to them. A helper
 *   - is found by its name in the folder that the environment names in COILWRIGHT_HELPERS, or, where that is not set,
 *     beside the program that runs, or in ../libexec/coilwright from there;
 *   - works in an empty folder of its own, which goes when it goes, whatever it left there;
 *   - is a process group of its own: when it ends, or is ended, all that it started ends too;
 *   - ends with 0 where it answered, 2 where the question was wrong, anything else where it failed. Where it did not
 *     answer, the first line on its standard error is the sentence that its user reads. */
#ifndef COILWRIGHT_PROCESS_H
#define COILWRIGHT_PROCESS_H

#include "coilwright/base.h"

#ifdef __cplusplus
extern "C" {
#endif

#define CW_HELPERS_VARIABLE "COILWRIGHT_HELPERS"

typedef struct cw_process cw_process;

typedef struct cw_process_request {
    const char *helper;      /* its name, as in "coilwright-solids" */
    const void *question;
    size_t length;           /* of the question */
    double seconds;          /* longest time from start to end, > 0 */
    size_t memory;           /* greatest address space in bytes; 0 no limit. None under the address sanitizer */
    size_t answer_most;      /* longest answer in bytes */
} cw_process_request;

/** Starts a helper and comes back; its work goes on beside ours.
 *
 *  process  receives it; cw_process_finish, or cw_process_destroy to end it
 *
 *  CW_FAILED  the helper is not there, or the machine has no process, pipe or folder for it
 *  Test: tests/process/test_process.c */
CW_API cw_status cw_process_start(const cw_process_request *request, cw_process **process, cw_error *error);

/** Waits for the answer; the process is gone and NULL behind it, whatever came of it.
 *
 *  answer  receives the bytes and a NUL behind them; cw_free. NULL on failure
 *
 *  CW_BAD_INPUT  the helper ended with 2
 *  CW_FAILED     it broke off, took too long or too much memory, or answered at too great length; in a sentence */
CW_API cw_status cw_process_finish(cw_process **process, char **answer, size_t *length, cw_error *error);

/** Ends a helper that is still at work. */
CW_API void cw_process_destroy(cw_process **process);

/** Start and finish in one. */
CW_API cw_status cw_process_run(const cw_process_request *request, char **answer, size_t *length, cw_error *error);

/** The path of a helper, cw_free; NULL with CW_FAILED where it is not there. */
CW_API cw_status cw_process_find(const char *helper, char **path, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
