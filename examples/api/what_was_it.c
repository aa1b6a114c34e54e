/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library from a program of one's own: reads a job file, says what the winding was and what to wind instead.
 *
 *     cc what_was_it.c $(pkg-config --cflags --libs coilwright) -o what_was_it
 *     ./what_was_it press-brake.yaml
 *
 * Stages are asked for in any order; each is computed once. What they give is lent until cw_work_close. */
#include <coilwright/coilwright.h>

#include <stdio.h>

static int complain(const cw_error *error)
{
    char line[1400];

    cw_error_line(error, line, sizeof line);
    fprintf(stderr, "%s\n", line);
    return 2;
}

static int answer(cw_work *work)
{
    const cw_identification *was;
    const cw_choice *choice;
    const cw_winding *winding;
    cw_error error;
    char name[96];

    if (cw_work_identify(work, &was, &error) != CW_OK || cw_work_choose(work, &choice, &error) != CW_OK ||
        cw_work_lay(work, &winding, NULL, &error) != CW_OK)
        return complain(&error);
    cw_candidate_name(&was->candidates[0], name, sizeof name);
    printf("It was %s, most probably (%.0f %%).\n", name, 100 * was->candidates[0].probability);
    printf("Wind %ld turns of %s: %.1f ohm at 20 °C, %.0f m of wire.\n", winding->turns, winding->plan.wire.size.name,
           winding->resistance_20c_ohm, winding->wire_length_m);
    return 0;
}

int main(int count, char **words)
{
    cw_errors errors = { 0 };
    cw_error error;
    cw_work *work = NULL;
    size_t length;
    char *text;
    int exit;

    if (count != 2) {
        fprintf(stderr, "usage: %s JOB.yaml\n", words[0]);
        return 2;
    }
    if (cw_file_read(words[1], CW_JOB_LARGEST, &text, &length, &error) != CW_OK)
        return complain(&error);
    if (cw_work_open(text, length, words[1], &work, &errors) == CW_OK)
        exit = answer(work);
    else
        exit = complain(&errors.items[0]);
    cw_work_close(&work);
    cw_errors_clear(&errors);
    cw_free(text);
    return exit;
}
