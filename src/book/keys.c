/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a job is found by. */
#include "book/book_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void cw_book_keys_clear(cw_book_keys *keys)
{
    memset(keys, 0, sizeof *keys);
    keys->inner_m[0] = keys->inner_m[1] = keys->length_m = keys->depth_m = NAN;
    keys->resistance_20c_ohm = keys->turns = NAN;
}

/* The coil resistance that was read, the dead coil's own last; at 20 °C where the temperature was noted. */
static double resistance_read(const cw_job *job, const cw_conductor *conductor)
{
    const double alpha = conductor != NULL ? conductor->temperature_coefficient_20c_per_k : 0.00393; /* IEC 60028 */
    double found = NAN;
    bool of_sibling = false;

    for (size_t i = 0; i < job->reading_count; i++) {
        const cw_reading *reading = &job->readings[i];

        if (reading->kind != CW_COIL_RESISTANCE || !isfinite(reading->value) ||
            (of_sibling && reading->subject == CW_OF_THIS))
            continue;
        of_sibling = reading->subject == CW_OF_SIBLING;
        found = reading->value / (isnan(reading->at_c) ? 1 : 1 + alpha * (reading->at_c - 20));
    }
    return found;
}

static void keys_of_window(const cw_window *window, cw_book_keys *keys)
{
    snprintf(keys->shape, sizeof keys->shape, "%s", cw_shape_name(window->shape));
    keys->inner_m[0] = window->inner_m[0];
    keys->inner_m[1] = window->inner_m[1];
    keys->length_m = window->length_m;
    keys->depth_m = window->depth_m;
}

void cw_book_keys_from(const cw_job *job, const cw_winding *winding, const cw_conductor *conductor, cw_book_keys *keys)
{
    cw_book_keys_clear(keys);
    if (job->window_given)
        keys_of_window(&job->window, keys);
    keys->resistance_20c_ohm = resistance_read(job, conductor);
    if (winding == NULL)
        return;
    snprintf(keys->wire, sizeof keys->wire, "%s", winding->plan.wire.size.name);
    snprintf(keys->build, sizeof keys->build, "%s", cw_build_name(winding->plan.wire.build));
    keys->turns = (double)winding->turns;
    if (isnan(keys->resistance_20c_ohm))
        keys->resistance_20c_ohm = winding->resistance_20c_ohm;
}

static const char *or_null(const char *text)
{
    return text[0] != '\0' ? text : NULL;
}

cw_status cw_book__put_keys(cw_book *book, cw_book_id job, const cw_book_keys *keys, cw_error *error)
{
    if (keys == NULL)
        return CW_OK;
    return cw_book__run(
        book, "The job cannot be saved", error,
        "INSERT OR REPLACE INTO job_key (job, wire, build, shape, inner_m, inner_2_m, length_m, depth_m,"
        " resistance_20c_ohm, turns) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        "isssdddddd", (long long)job, or_null(keys->wire), or_null(keys->build), or_null(keys->shape), keys->inner_m[0],
        keys->inner_m[1], keys->length_m, keys->depth_m, keys->resistance_20c_ohm, keys->turns);
}

void cw_book__read_keys(sqlite3_stmt *row, int first, cw_book_keys *keys)
{
    cw_book__copy(row, first, keys->wire, sizeof keys->wire);
    cw_book__copy(row, first + 1, keys->build, sizeof keys->build);
    cw_book__copy(row, first + 2, keys->shape, sizeof keys->shape);
    keys->inner_m[0] = cw_book__real(row, first + 3);
    keys->inner_m[1] = cw_book__real(row, first + 4);
    keys->length_m = cw_book__real(row, first + 5);
    keys->depth_m = cw_book__real(row, first + 6);
    keys->resistance_20c_ohm = cw_book__real(row, first + 7);
    keys->turns = cw_book__real(row, first + 8);
}
