/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finding and opening in a large book: run by benchmarks/book__find.py, which makes it. Writes a table on standard
 * output.
 *
 *     bench_book_find BOOK JOBS */
#define _POSIX_C_SOURCE 200809L
#include "coilwright/book.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { RUNS = 200 };

typedef struct times {
    double wall_ms[RUNS], own_ms[RUNS]; /* by the clock, and of the processor for this program alone */
} times;

static double now_ms(clockid_t clock)
{
    struct timespec now;

    clock_gettime(clock, &now);
    return 1e3 * (double)now.tv_sec + 1e-6 * (double)now.tv_nsec;
}

static void start(times *times, int run)
{
    times->wall_ms[run] = now_ms(CLOCK_MONOTONIC);
    times->own_ms[run] = now_ms(CLOCK_PROCESS_CPUTIME_ID);
}

static void stop(times *times, int run)
{
    times->wall_ms[run] = now_ms(CLOCK_MONOTONIC) - times->wall_ms[run];
    times->own_ms[run] = now_ms(CLOCK_PROCESS_CPUTIME_ID) - times->own_ms[run];
}

static int rising(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;

    return x < y ? -1 : x > y;
}

static void report(const char *what, times *times, size_t hits)
{
    qsort(times->wall_ms, RUNS, sizeof(double), rising);
    qsort(times->own_ms, RUNS, sizeof(double), rising);
    printf("| %-44s | %5zu | %8.2f | %8.2f | %8.2f |\n", what, hits, times->wall_ms[RUNS / 2],
           times->wall_ms[RUNS - 1 - RUNS / 20], times->own_ms[RUNS / 2]);
}

static void find(cw_book *book, const char *what, cw_book_query *query, double (*resistance)(int))
{
    times times;
    size_t count = 0;

    for (int run = 0; run < RUNS; run++) {
        cw_book_hits *hits;
        cw_error error;

        if (resistance != NULL) {
            query->resistance_20c_ohm[0] = resistance(run) * 0.995;
            query->resistance_20c_ohm[1] = resistance(run) * 1.005;
        }
        start(&times, run);
        if (cw_book_find(book, query, &hits, &error) != CW_OK) {
            fprintf(stderr, "%s\n", error.text);
            exit(3);
        }
        stop(&times, run);
        count = hits->count;
        cw_book_hits_destroy(&hits);
    }
    report(what, &times, count);
}

static double ohms(int run)
{
    return 40 + 7.3 * (run % 50);
}

static void open_jobs(cw_book *book, long long jobs)
{
    times times;
    size_t readings = 0;

    for (int run = 0; run < RUNS; run++) {
        cw_book_job *job;
        cw_error error;

        start(&times, run);
        if (cw_book_job_open(book, 1 + (run * 7919LL) % jobs, &job, &error) != CW_OK) {
            fprintf(stderr, "%s\n", error.text);
            exit(3);
        }
        stop(&times, run);
        readings = job->reading_count;
        cw_book_job_destroy(&job);
    }
    report("open a job with its readings", &times, readings);
}

int main(int count, char **words)
{
    cw_book_query query;
    cw_book *book;
    cw_error error;

    if (count != 3 || cw_book_open(words[1], CW_BOOK_READ, &book, &error) != CW_OK)
        return 2;
    printf("| what | hits | median, ms | 95 %%, ms | processor, ms |\n| --- | --- | --- | --- | --- |\n");
    cw_book_query_clear(&query);
    find(book, "resistance within 0.5 %", &query, ohms);
    query.inner_m[0] = 0.0415;
    query.inner_m[1] = 0.0425;
    find(book, "84 ohm on a 42 mm core, and the like", &query, ohms);
    cw_book_query_clear(&query);
    query.wire = "29 AWG";
    find(book, "wire, the last changed 100", &query, NULL);
    cw_book_query_clear(&query);
    query.inner_m[0] = 0.0419;
    query.inner_m[1] = 0.0421;
    query.length_m[0] = 0.0575;
    query.length_m[1] = 0.0585;
    find(book, "window", &query, NULL);
    cw_book_query_clear(&query);
    query.machine = "brake 77";
    find(book, "part of a machine's name", &query, NULL);
    query.machine = "no such machine";
    find(book, "a machine that is not there", &query, NULL);
    cw_book_query_clear(&query);
    query.text = "coil 4";
    find(book, "part of a coil's name, job's name or note", &query, NULL);
    query.text = "never written";
    find(book, "a text that is nowhere", &query, NULL);
    cw_book_query_clear(&query);
    find(book, "the last changed 100", &query, NULL);
    open_jobs(book, strtoll(words[2], NULL, 10));
    cw_book_close(&book);
    return 0;
}
