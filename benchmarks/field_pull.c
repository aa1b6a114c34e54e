/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a job file to the pull of its magnet at the current of the cold winding, to an estimated 0.3 %, and nothing else; with
 * a number, at so many gaps from half to eight times its own. For whole processes in benchmarks/run.py. The warm winding's
 * current takes the heat of the whole duty first, which `coilwright heat` is measured by. */
#include "coilwright/files.h"
#include "coilwright/job.h"
#include "coilwright/work.h"
#include "work/work_internal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { POINTS_MOST = 200 };

static int refuse(const cw_error *error)
{
    fprintf(stderr, "%s\n", error->text);
    return 1;
}

static cw_status cold_magnet(cw_work *work, cw_work_field_study *study, cw_error *error)
{
    const cw_winding *winding;
    cw_status status = cw_work__magnet(work, study, error);

    if (status == CW_OK)
        status = cw_work_lay(work, &winding, NULL, error);
    if (status == CW_OK)
        study->magnet.current_a = cw_work__coil_voltage(cw_work_job(work)) / winding->resistance_20c_ohm;
    return status;
}

static int pull(cw_work *work, int points)
{
    static cw_field_result results[POINTS_MOST];
    static cw_work_field_study study;
    const cw_field_wish wish = { .error = 0.003 };
    double gaps[POINTS_MOST], currents[POINTS_MOST];
    cw_error error;

    if (cold_magnet(work, &study, &error) != CW_OK)
        return refuse(&error);
    for (int i = 0; i < points; i++) {
        gaps[i] = points == 1 ? study.magnet.gap_m : 0.5 * study.magnet.gap_m * pow(16, (double)i / (points - 1));
        currents[i] = study.magnet.current_a;
    }
    if (cw_magnet_curve(&study.magnet, &wish, gaps, currents, (size_t)points, results, &error) != CW_OK)
        return refuse(&error);
    for (int i = 0; i < points; i++)
        printf("%.4g %.6g\n", gaps[i], results[i].force_n);
    return 0;
}

int main(int count, char **words)
{
    int points = count == 3 ? atoi(words[2]) : 1, exit = 1;
    cw_errors errors = { 0 };
    cw_work *work = NULL;
    cw_error error;
    char *text;
    size_t length;

    if (count < 2 || points < 1 || points > POINTS_MOST ||
        cw_file_read(words[1], CW_JOB_LARGEST, &text, &length, &error) != CW_OK)
        return 2;
    if (cw_work_open(text, length, words[1], &work, &errors) == CW_OK)
        exit = pull(work, points);
    else
        refuse(&errors.items[0]);
    cw_work_close(&work);
    cw_errors_clear(&errors);
    cw_free(text);
    return exit;
}
