/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What docs/heat.md states of speed, one line a run: see benchmarks/heat.py.
 *
 *     bench_heat mesh FILE    writes the section's mesh for a general toolkit to solve the same (heat.edp)
 *     bench_heat shared       solves it: radiation, a bolted base, loss with the place's temperature, constant voltage
 *     bench_heat air          the same magnet standing in air: natural convection and radiation
 *     bench_heat duty         100 cycles of intermittent duty and on until settled */
#include "coilwright/heat.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { BASE, POLE, RIM, RESIN, FORMER, WINDING, BOLTED, PARTS };

static double now(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

static void stop(const cw_error *error)
{
    fprintf(stderr, "%s\n", error->text);
    exit(1);
}

static void part(cw_heat_section *s, int index, const char *name, double x0, double x1, double y0, double y1, double k,
                 double capacity)
{
    s->part[index] = (cw_heat_part){ .kind = CW_PART_SOLID, .x = { x0, x1 }, .y = { y0, y1 },
                                     .conductivity_w_per_mk = { k, k }, .capacity_j_per_m3k = capacity,
                                     .emissivity = 0.9, .limit_c = NAN };
    snprintf(s->part[index].name, sizeof s->part[index].name, "%s", name);
}

/* A pot magnet of 125 mm; heat.edp knows the same numbers. */
static cw_heat_section pot(void)
{
    cw_heat_section s = { .ambient_c = 25, .part_count = PARTS };

    part(&s, BASE, "base", 0, 0.0622, -0.015, 0, 55, 3.6e6);
    part(&s, POLE, "pole", 0, 0.036, 0, 0.038, 55, 3.6e6);
    part(&s, RIM, "rim", 0.0495, 0.0622, 0, 0.038, 55, 3.6e6);
    part(&s, RESIN, "resin", 0.036, 0.0495, 0, 0.038, 0.7, 1.75e6);
    part(&s, FORMER, "former", 0.0365, 0.0485, 0.001, 0.037, 0.22, 1.8e6);
    part(&s, WINDING, "winding", 0.0381, 0.0485, 0.003, 0.035, 0.6, 2.6e6);
    s.part[WINDING].winding = true;
    s.part[WINDING].conductivity_w_per_mk[1] = 0.5;
    s.part[BOLTED] = (cw_heat_part){ .name = "machine", .kind = CW_PART_SINK, .x = { 0, 0.0622 }, .y = { -0.02, -0.015 },
                                     .coefficient_w_per_m2k = 60, .sink_c = 30, .limit_c = NAN };
    s.drive = (cw_drive){ CW_DRIVE_VOLTAGE, 90, 124.1, 0.00393 };
    s.convection_scale = 1e-12; /* radiation alone, which both know exactly */
    return s;
}

static cw_heat *made(const cw_heat_section *section, const cw_heat_wish *wish)
{
    cw_heat *heat = NULL;
    cw_error error;

    if (cw_heat_create(section, wish, &heat, &error) != CW_OK)
        stop(&error);
    return heat;
}

static void steady(const cw_heat_section *section, const cw_heat_wish *wish)
{
    const double start = now();
    cw_heat *heat = made(section, wish);
    cw_heat_result result;
    cw_error error;

    if (cw_heat_steady(heat, &result, &error) != CW_OK)
        stop(&error);
    printf("%.3f %zu %zu %d %.9g %.9g %.9g\n", now() - start, result.triangles, result.unknowns, result.iterations,
           result.hot_spot_c, result.mean_winding_c, result.power_w);
    cw_heat_destroy(&heat);
}

static void duty(const cw_heat_section *section)
{
    const cw_heat_wish coarse = { .fineness = 0.25 };
    const cw_heat_duty cycle = { 12, 30, NAN, 0, 3 };
    const double start = now();
    cw_heat *heat = made(section, &coarse);
    cw_heat_run run;
    cw_error error;

    if (cw_heat_follow(heat, &cycle, &run, &error) != CW_OK)
        stop(&error);
    printf("%.3f %d %d %ld %ld %.9g %.3g\n", now() - start, run.cycles, run.settled, run.steps, run.factorisations,
           run.peak_hot_spot_c, run.energy_error);
    cw_heat_run_clear(&run);
    cw_heat_destroy(&heat);
}

/* ---- the mesh, as heat.edp reads it ------------------------------------------------------------------------------ */

typedef struct side { int a, b, region; } side;

static int by_nodes(const void *x, const void *y)
{
    const side *p = x, *q = y;

    return p->a != q->a ? (p->a > q->a) - (p->a < q->a) : (p->b > q->b) - (p->b < q->b);
}

/* 1 a side in the air, 2 bolted, 3 the axis. */
static int label_of(const cw_mesh *mesh, const side *s)
{
    const double *a = mesh->node[s->a], *b = mesh->node[s->b];

    if (fmax(a[0], b[0]) < 1e-9)
        return 3;
    return fmax(a[1], b[1]) < -0.015 + 1e-9 ? 2 : 1;
}

static void write_mesh(const cw_mesh *mesh, const char *path)
{
    const size_t t = mesh->triangle_count;
    side *all = malloc(3 * t * sizeof *all), *rim = malloc(3 * t * sizeof *rim);
    int *number = calloc(mesh->node_count, sizeof *number), nodes = 0;
    size_t sides = 0, rims = 0, triangles = 0;
    FILE *file = fopen(path, "w");

    if (all == NULL || rim == NULL || number == NULL || file == NULL)
        exit(1);
    for (size_t e = 0; e < t; e++) {
        const int region = mesh->region[e];

        if (region < 1 || region > WINDING + 1)
            continue;
        triangles++;
        for (int k = 0; k < 3; k++) {
            const int a = mesh->corner[e][k], b = mesh->corner[e][(k + 1) % 3];

            all[sides++] = (side){ a < b ? a : b, a < b ? b : a, region };
            number[a] = 1;
        }
    }
    qsort(all, sides, sizeof *all, by_nodes);
    for (size_t i = 0; i < sides; i++)
        if ((i == 0 || by_nodes(&all[i - 1], &all[i]) != 0) && (i + 1 == sides || by_nodes(&all[i], &all[i + 1]) != 0))
            rim[rims++] = all[i];
    for (size_t n = 0; n < mesh->node_count; n++)
        if (number[n] != 0)
            number[n] = ++nodes;
    fprintf(file, "%d %zu %zu\n", nodes, triangles, rims);
    for (size_t n = 0; n < mesh->node_count; n++)
        if (number[n] != 0)
            fprintf(file, "%.17g %.17g 0\n", mesh->node[n][0], mesh->node[n][1]);
    for (size_t e = 0; e < t; e++)
        if (mesh->region[e] >= 1 && mesh->region[e] <= WINDING + 1)
            fprintf(file, "%d %d %d %d\n", number[mesh->corner[e][0]], number[mesh->corner[e][1]],
                    number[mesh->corner[e][2]], mesh->region[e]);
    for (size_t i = 0; i < rims; i++)
        fprintf(file, "%d %d %d\n", number[rim[i].a], number[rim[i].b], label_of(mesh, &rim[i]));
    fclose(file);
    free(all);
    free(rim);
    free(number);
}

int main(int count, char **words)
{
    const cw_heat_wish fine = { .fineness = 3.5, .halvings = 1 };
    cw_heat_section section = pot();

    if (count == 3 && strcmp(words[1], "mesh") == 0) {
        cw_heat *heat = made(&section, &fine);

        write_mesh(cw_heat_mesh(heat), words[2]);
        cw_heat_destroy(&heat);
    } else if (count == 2 && strcmp(words[1], "shared") == 0) {
        steady(&section, &fine);
    } else if (count == 2 && strcmp(words[1], "air") == 0) {
        section.convection_scale = 1;
        section.part_count = BOLTED;
        steady(&section, &fine);
    } else if (count == 2 && strcmp(words[1], "duty") == 0) {
        section.convection_scale = 1;
        section.part_count = BOLTED;
        duty(&section);
    } else {
        fprintf(stderr, "bench_heat mesh FILE | shared | air | duty\n");
        return 2;
    }
    return 0;
}
