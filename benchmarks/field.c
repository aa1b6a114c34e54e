/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What docs/field.md states, measured: writes docs/field_measured.md on standard output. */
#include "coilwright/air.h"
#include "coilwright/field.h"
#include "coilwright/process.h"
#include "field/magnets.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

static const cw_magnet_shape shapes[4] = { CW_MAGNET_POT, CW_MAGNET_PLUNGER, CW_MAGNET_U, CW_MAGNET_E };
static const char *names[4] = { "pot", "plunger", "u", "e" };

static double now(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return x < y ? -1 : x > y;
}

static double quantile(double *values, int count, double share)
{
    qsort(values, (size_t)count, sizeof *values, rising);
    return values[(int)(share * (count - 1) + 0.5)];
}

static cw_field_result solved(const cw_magnet *magnet, const cw_field_wish *wish)
{
    cw_field_result result;
    cw_error error;

    if (cw_magnet_solve(magnet, wish, &result, &error) != CW_OK) {
        fprintf(stderr, "%s\n", error.text);
        exit(1);
    }
    return result;
}

static void newton(void)
{
    enum { MAGNETS = 500 };
    uint64_t seed = 20240607;
    double steps[MAGNETS], check = 0, residual = 0;

    for (int i = 0; i < MAGNETS; i++) {
        cw_magnet magnet = random_magnet(shapes[i % 4], &seed);
        cw_field_wish wish = { 0.005, 0, 1, 0, true };
        cw_field_result result = solved(&magnet, &wish);

        steps[i] = result.all_iterations;
        check = fmax(check, fabs(result.energy_check));
        residual = fmax(residual, result.solver_residual);
    }
    printf("## Newton's method from zero\n\n%d random magnets, 0.01 to 50 times saturation, first mesh: no failure; steps "
           "(of first and second order) "
           "median %.0f, nine in ten %.0f, most %.0f. Energy + coenergy against the integral of J A: %.1e at worst; "
           "residual of a linear solve %.1e at worst.\n\n",
           MAGNETS, quantile(steps, MAGNETS, 0.5), quantile(steps, MAGNETS, 0.9), quantile(steps, MAGNETS, 1), check,
           residual);
}

static void estimate(void)
{
    enum { MAGNETS = 100 };
    uint64_t seed = 77;
    double ratio[MAGNETS], error[MAGNETS], apart[MAGNETS], linkage[MAGNETS];
    int under = 0;

    for (int i = 0; i < MAGNETS; i++) {
        cw_magnet magnet = random_magnet(shapes[i % 4], &seed);
        cw_field_wish fine = { 1e-4, 600000, 1, 0, false };
        cw_field_result result = solved(&magnet, NULL), best = solved(&magnet, &fine);

        error[i] = fabs(result.force_n / best.force_n - 1);
        ratio[i] = result.error_estimate / fmax(error[i], 1e-9);
        under += ratio[i] < 1;
        apart[i] = result.force_difference;
        linkage[i] = fabs(result.inductance_h / best.inductance_h - 1);
    }
    printf("## Pull at the default wish of 0.5 %%\n\n%d random magnets against solutions with an estimate below 0.01 %%.\n\n"
           "| | median | nine in ten | worst |\n| --- | --- | --- | --- |\n"
           "| true error of the pull | %.2g | %.2g | %.2g |\n| true error of the inductance | %.2g | %.2g | %.2g |\n"
           "| difference of the two pulls | %.2g | %.2g | %.2g |\n\n"
           "Estimate over true error: smallest %.2f, median %.1f; below the true error in %d of %d.\n\n",
           MAGNETS, quantile(error, MAGNETS, 0.5), quantile(error, MAGNETS, 0.9), quantile(error, MAGNETS, 1),
           quantile(linkage, MAGNETS, 0.5), quantile(linkage, MAGNETS, 0.9), quantile(linkage, MAGNETS, 1),
           quantile(apart, MAGNETS, 0.5), quantile(apart, MAGNETS, 0.9), quantile(apart, MAGNETS, 1),
           quantile(ratio, MAGNETS, 0), quantile(ratio, MAGNETS, 0.5), under, MAGNETS);
}

/* The rectangles of a magnet's section as outlines. */
static cw_section as_outlines(const cw_magnet *magnet, cw_contour_point corner[CW_MOST_PARTS][4])
{
    cw_section section;

    if (cw_magnet_section(magnet, &section, NULL) != CW_OK)
        exit(1);
    for (size_t i = 0; i < section.part_count; i++) {
        cw_part *part = &section.part[i];

        for (int k = 0; k < 4; k++)
            corner[i][k] = (cw_contour_point){ part->x[k == 1 || k == 2], part->y[k >= 2], false };
        part->contour = corner[i];
        part->contour_count = 4;
    }
    return section;
}

static void drawn(void)
{
    enum { MAGNETS = 40 };
    static cw_contour_point corner[CW_MOST_PARTS][4];
    uint64_t seed = 90125;
    double error[MAGNETS], estimate[MAGNETS], apart[MAGNETS], triangles[MAGNETS];
    char *helper = NULL;
    int under = 0, reached = 0;

    printf("## Drawn sections\n\n");
    if (cw_process_find("coilwright-mesher", &helper, NULL) != CW_OK) {
        printf("Not measured: the helper coilwright-mesher is not there.\n\n");
        return;
    }
    cw_free(helper);
    for (int i = 0; i < MAGNETS; i++) {
        cw_magnet magnet = random_magnet(shapes[i % 4], &seed), free = magnet;
        cw_field_wish fine = { 1e-4, 600000, 1, 0, false };
        cw_section section = as_outlines(&magnet, corner);
        cw_field_result best = solved(&magnet, &fine), result;

        free.shape = CW_MAGNET_SECTION;
        free.section = &section;
        result = solved(&free, NULL);
        error[i] = fabs(result.force_n / best.force_n - 1);
        estimate[i] = result.error_estimate;
        under += estimate[i] < error[i];
        reached += result.reached;
        apart[i] = result.force_difference;
        triangles[i] = (double)result.triangles;
    }
    printf("%d random magnets drawn as outlines, at the default wish of 0.5 %%, against lattices with an estimate below 0.01 %%.\n\n"
           "| | median | nine in ten | worst |\n| --- | --- | --- | --- |\n"
           "| true error of the pull | %.2g | %.2g | %.2g |\n| estimate | %.2g | %.2g | %.2g |\n"
           "| difference of the two pulls | %.2g | %.2g | %.2g |\n| triangles | %.0f | %.0f | %.0f |\n\n"
           "The wish reached in %d; the estimate below the true error in %d.\n\n",
           MAGNETS, quantile(error, MAGNETS, 0.5), quantile(error, MAGNETS, 0.9), quantile(error, MAGNETS, 1),
           quantile(estimate, MAGNETS, 0.5), quantile(estimate, MAGNETS, 0.9), quantile(estimate, MAGNETS, 1),
           quantile(apart, MAGNETS, 0.5), quantile(apart, MAGNETS, 0.9), quantile(apart, MAGNETS, 1),
           quantile(triangles, MAGNETS, 0.5), quantile(triangles, MAGNETS, 0.9), quantile(triangles, MAGNETS, 1), reached,
           under);
}

static void order(void)
{
    printf("## Order of convergence\n\nAll cells halved; pot magnet of the tests, gap 0.37 mm; errors against a solution "
           "refined by its estimate to 0.002 %%. Iron's corners set the order, not the elements.\n\n"
           "| triangles | pull, 0.2 A | order | pull, 1.17 A | order | pull, 20 A | order | inductance, 1.17 A | order |\n"
           "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
    {
        static const double currents[3] = { 0.2, 1.17, 20 };
        cw_field_result best[3];
        double last[4] = { 0 };

        for (int k = 0; k < 3; k++) {
            cw_magnet magnet = example_magnet(CW_MAGNET_POT);
            cw_field_wish wish = { 2e-5, 1500000, 1, 0, false };

            magnet.current_a = currents[k];
            best[k] = solved(&magnet, &wish);
        }
        for (int h = 0; h < 4; h++) {
            double error[4];
            size_t triangles = 0;

            for (int k = 0; k < 3; k++) {
                cw_magnet magnet = example_magnet(CW_MAGNET_POT);
                cw_field_wish wish = { 0.005, 4000000, 1, h, true };
                cw_field_result result;

                magnet.current_a = currents[k];
                result = solved(&magnet, &wish);
                triangles = result.triangles;
                error[k] = fabs(result.force_n / best[k].force_n - 1);
                if (k == 1)
                    error[3] = fabs(result.inductance_h / best[k].inductance_h - 1);
            }
            printf("| %zu |", triangles);
            for (int k = 0; k < 4; k++) {
                printf(h > 0 ? " %.2g | %.1f |" : " %.2g | |", error[k], log2(last[k] / error[k]));
                last[k] = error[k];
            }
            printf("\n");
        }
    }
    printf("\n");
}

static void open_boundary(void)
{
    static const double coils[3][3] = { { 0.02, 0.04, 0.08 }, { 0.05, 0.1, 0.1 }, { 0.1, 0.105, 0.01 } };

    printf("## Open boundary\n\nCoils in air against the exact inductance (no iron: the outer field weighs most). Cells "
           "halved all, the shell's too.\n\n| inner r, outer r, length mm | first mesh | 1 halving | 2 | 3 | 4 |\n"
           "| --- | --- | --- | --- | --- | --- |\n");
    for (int k = 0; k < 3; k++) {
        double exact = cw_air_coil_inductance(coils[k][0], coils[k][1], coils[k][2], 1000);

        printf("| %g, %g, %g |", 1e3 * coils[k][0], 1e3 * coils[k][1], 1e3 * coils[k][2]);
        for (int h = 0; h < 5; h++) {
            cw_section section;
            cw_magnet magnet;
            cw_field_wish wish = { 0.005, 4000000, 1, h, true };

            memset(&section, 0, sizeof section);
            memset(&magnet, 0, sizeof magnet);
            section.part[0] = (cw_part){ "coil", { coils[k][0], coils[k][1] }, { 0, coils[k][2] }, "", 0, 1000, false };
            section.part_count = 1;
            section.coil_count = 1;
            magnet.shape = CW_MAGNET_SECTION;
            magnet.section = &section;
            magnet.current_a = 1;
            printf(" %.1e |", solved(&magnet, &wish).inductance_h / exact - 1);
        }
        printf("\n");
    }
    printf("\n");
}

static void speed(void)
{
    enum { MAGNETS = 60, POINTS = 40 };
    uint64_t seed = 4242;
    double single[MAGNETS], triangles[MAGNETS], curve[4], gaps[POINTS], currents[POINTS], start;
    static cw_field_result results[POINTS];
    cw_magnet magnet;
    cw_field_wish wish = { 0.003, 0, 1, 0, false }, big = { 0.005, 4000000, 0.5, 2, true };
    cw_field_result result;

    for (int i = 0; i < MAGNETS; i++) {
        magnet = random_magnet(shapes[i % 4], &seed);
        start = now();
        triangles[i] = (double)solved(&magnet, &wish).triangles;
        single[i] = 1e3 * (now() - start);
    }
    for (int k = 0; k < 4; k++) {
        magnet = example_magnet(shapes[k]);
        for (int i = 0; i < POINTS; i++) {
            gaps[i] = 0.0002 * pow(1.08, i);
            currents[i] = magnet.current_a;
        }
        start = now();
        if (cw_magnet_curve(&magnet, &wish, gaps, currents, POINTS, results, NULL) != CW_OK)
            exit(1);
        curve[k] = now() - start;
    }
    magnet = example_magnet(CW_MAGNET_POT);
    magnet.gap_m = 1e-4;
    magnet.current_a = 20;
    start = now();
    result = solved(&magnet, &big);
    start = now() - start;
    printf("## Speed, one thread, processor time\n\nOne template magnet to an estimated 0.3 %%, cold, %d random ones: median "
           "%.0f ms, nine in ten %.0f ms, worst %.0f ms; triangles median %.0f. A curve of %d gaps from 0.2 to 4 mm: ",
           MAGNETS, quantile(single, MAGNETS, 0.5), quantile(single, MAGNETS, 0.9), quantile(single, MAGNETS, 1),
           quantile(triangles, MAGNETS, 0.5), POINTS);
    for (int k = 0; k < 4; k++)
        printf("%s %.2f s%s", names[k], curve[k], k < 3 ? ", " : ".");
    printf(" A lattice of %zu triangles (%zu unknowns), deep in saturation, from zero: %.2f s.\n\n", result.triangles,
           result.unknowns, start);
}

/* First of all, since the system tells only the most so far. */
static void memory(void)
{
    cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    cw_field_wish wish = { 0.005, 4000000, 0.8, 3, true };
    cw_field_result result = solved(&magnet, &wish);
    struct rusage usage;

    getrusage(RUSAGE_SELF, &usage);
    printf("## Memory\n\n%zu triangles, %zu unknowns: %.0f MB at most, the whole process.\n\n", result.triangles,
           result.unknowns, (double)usage.ru_maxrss / 1024);
}

int main(void)
{
    printf("# Field: measured\n\nWritten by benchmarks/field.c and field_mesh.py; see field.md for what the words mean.\n\n");
    memory();
    newton();
    open_boundary();
    order();
    estimate();
    drawn();
    speed();
    return 0;
}
