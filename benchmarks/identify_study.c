/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The long study of the identification's calibration: prints the table of docs/identify.md and draws its figures.
 *
 *     build/benchmarks/identify_study COILS FOLDER-FOR-FIGURES */
#include "evidence/study_calibration.h"

#include "coilwright/draw.h"
#include "coilwright/files.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static int write_plot(const char *folder, const char *name, const char *title, const cw_plot *plot)
{
    const cw_paper paper = { .format = CW_SVG, .width_mm = 130, .height_mm = 90, .title = title };
    cw_text svg = { 0 };
    cw_error error;
    char *path = cw_path_join(folder, name);
    cw_status status = cw_plot_write(plot, &paper, &svg, &error);

    if (status == CW_OK)
        status = cw_file_write(path, svg.data, svg.length, &error);
    if (status != CW_OK)
        fprintf(stderr, "%s\n", error.text);
    cw_free(path);
    cw_text_clear(&svg);
    return status == CW_OK ? 0 : 1;
}

static int draw_ranks(const char *folder, const study_calibration *r)
{
    static const char *names[STUDY_OUTPUTS] = { "turns", "length", "resistance", "mass" };
    static const cw_ink inks[STUDY_OUTPUTS] = { CW_BLUE, CW_ORANGE, CW_BLACK, CW_GREY };
    double x[STUDY_OUTPUTS][STUDY_BINS], y[STUDY_OUTPUTS][STUDY_BINS], flat_x[2] = { 0, 1 }, flat_y[2];
    cw_curve curves[STUDY_OUTPUTS + 1];

    for (int o = 0; o < STUDY_OUTPUTS; o++) {
        for (int b = 0; b < STUDY_BINS; b++) {
            x[o][b] = (b + 0.5) / STUDY_BINS;
            y[o][b] = (double)r->rank[o][b] * STUDY_BINS / (double)r->coils;
        }
        curves[o] = (cw_curve){ names[o], x[o], y[o], STUDY_BINS, { inks[o], 0.35, CW_SOLID }, true };
    }
    flat_y[0] = flat_y[1] = 1;
    curves[STUDY_OUTPUTS] = (cw_curve){ "flat", flat_x, flat_y, 2, { CW_RULE, 0.25, CW_DASHED }, false };
    return write_plot(folder, "identify_ranks.svg", "Rank of the truth in the posterior",
                      &(cw_plot){ "rank of the truth", "coils in each twentieth, over the expected number", curves,
                                  STUDY_OUTPUTS + 1 });
}

static int draw_reliability(const char *folder, const study_calibration *r)
{
    double claim[STUDY_TENTHS], right[STUDY_TENTHS], diagonal[2] = { 0, 100 };
    cw_curve curves[2];

    for (int t = 0; t < STUDY_TENTHS; t++) {
        claim[t] = 100 * r->claimed[t] / (double)r->given[t];
        right[t] = 100 * (double)r->right[t] / (double)r->given[t];
    }
    curves[0] = (cw_curve){ "candidates", claim, right, STUDY_TENTHS, { CW_BLUE, 0.5, CW_SOLID }, true };
    curves[1] = (cw_curve){ "as claimed", diagonal, diagonal, 2, { CW_RULE, 0.25, CW_DASHED }, false };
    return write_plot(folder, "identify_reliability.svg", "Claimed against found",
                      &(cw_plot){ "probability given, %", "right, %", curves, 2 });
}

int main(int count, char **words)
{
    static const char *names[STUDY_OUTPUTS] = { "turns", "length", "resistance", "mass" };
    cw_wire_catalogue *catalogue;
    study_calibration r;

    if (count != 3 || cw_wire_catalogue_create(&catalogue, NULL) != CW_OK) {
        fprintf(stderr, "usage: identify_study COILS FOLDER\n");
        return 2;
    }
    study_calibrate(catalogue, 424242, strtoul(words[1], NULL, 10), &r);
    printf("%zu coils, %.1f ms each\n\n| quantity | truth within p05 to p95 | flat ranks, p |\n| --- | --- | --- |\n", r.coils,
           1e3 * r.seconds / (double)r.coils);
    for (int o = 0; o < STUDY_OUTPUTS; o++)
        printf("| %s | %.1f %% | %.2f |\n", names[o], 100 * (double)r.inside[o] / (double)r.coils,
               study_flatness(r.rank[o], STUDY_BINS));
    printf("\n| probability given | mean claim | found right | candidates |\n| --- | --- | --- | --- |\n");
    for (int t = 0; t < STUDY_TENTHS; t++)
        printf("| %d to %d %% | %.1f %% | %.1f %% | %zu |\n", 10 * t, 10 * t + 10,
               100 * r.claimed[t] / (double)r.given[t], 100 * (double)r.right[t] / (double)r.given[t], r.given[t]);
    cw_wire_catalogue_destroy(&catalogue);
    return draw_ranks(words[2], &r) + draw_reliability(words[2], &r);
}
