/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One problem on one mesh, for a comparison with general toolkits: benchmarks/field_mesh.py.
 *
 *   bench_field_mesh write FOLDER   writes mesh.msh and iron.txt; a lattice
 *   bench_field_mesh free FOLDER    the same with triangles of free shape
 *   bench_field_mesh solve FOLDER   reads them, solves from zero, prints flux linkage, pull, steps, unknowns
 *
 * A pot magnet deep in saturation, in a box on whose rim, as on the axis, A = 0. mesh.msh: counts of vertices, triangles
 * and rim sides; x y mark; three corners from 1 on and a region; two ends and a mark. iron.txt: Js and c of the tail
 * B = mu0 H + Js - c/H, then rows of B, H and dH/dB, between which H is a cubic in B. */
#include "coilwright/field.h"
#include "coilwright/iron.h"
#include "field/field_internal.h"
#include "field/free.h"
#include "field/layout.h"
#include "field/magnets.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { AIR, STILL, MOVING, COIL };

#define TURNS_PER_M2 (1130 / (0.0102 * 0.0307)) /* of the example's coil */
#define CURRENT_A 20

/* A soft steel of our own. */
static const double table_b[] = { 0, 0.4, 0.8, 1.1, 1.3, 1.5, 1.65, 1.8, 1.95, 2.05, 2.12 };
static const double table_h[] = { 0, 110, 190, 300, 500, 1300, 3300, 8000, 18000, 34000, 56000 };
enum { POINTS = sizeof table_b / sizeof *table_b };

static cw_iron *steel(void)
{
    cw_iron *iron;

    if (cw_iron_create(table_h, table_b, POINTS, 2.1, &iron, NULL) != CW_OK)
        exit(1);
    return iron;
}

static FILE *open_in(const char *folder, const char *name, const char *mode)
{
    char path[4096];
    FILE *file;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    file = fopen(path, mode);
    if (file == NULL) {
        perror(path);
        exit(1);
    }
    return file;
}

/* ---- writing -------------------------------------------------------------------------------------------------- */

static void write_iron(const char *folder)
{
    FILE *file = open_in(folder, "iron.txt", "w");
    cw_iron *iron = steel();
    double saturation = cw_iron_saturation_t(iron), last_b = table_b[POINTS - 1], last_h = table_h[POINTS - 1];

    fprintf(file, "%.17g %.17g %d\n", saturation, (CW_MU0 * last_h + saturation - last_b) * last_h, (int)POINTS);
    for (int i = 0; i < POINTS; i++) {
        double slope, h = cw_iron_field(iron, table_b[i], &slope, NULL);

        fprintf(file, "%.17g %.17g %.17g\n", table_b[i], h, slope);
    }
    cw_iron_destroy(&iron);
    fclose(file);
}

static int kind_of(const cw_part *part)
{
    return part->coil >= 0 ? COIL : part->moves ? MOVING : STILL;
}

/* Twice the gap on the faces, growing from there, and coarser all around. */
static cw_mesh *make_free_mesh(void)
{
    enum { SAMPLES = 400 };
    cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    cw_contour_point corner[CW_MOST_PARTS][4];
    cw_contour contour[CW_MOST_PARTS];
    cw_mesh_size size[SAMPLES];
    cw_mesh_request request = { contour, 0, { 0 }, { 0 }, size, SAMPLES, 0.0258 };
    cw_section section;
    cw_part moved[CW_MOST_PARTS];
    double thickness[2];
    cw_mesh *mesh = NULL;

    if (cw_magnet_section(&magnet, &section, NULL) != CW_OK ||
        cw_free__at_gap(&section, 1e-4, moved, NULL) != CW_OK)
        exit(1);
    for (; request.contour_count < section.part_count; request.contour_count++) {
        size_t i = request.contour_count;

        contour[i] = cw_free__contour(&moved[i], kind_of(&moved[i]), corner[i]);
    }
    for (int i = 0; i < SAMPLES; i++)
        size[i] = (cw_mesh_size){ 0.5 * magnet.outer_diameter_m * i / (SAMPLES - 1), 0, 2e-4 };
    cw_layout__box(&section, moved, request.inside, thickness);
    memcpy(request.outside, request.inside, sizeof request.outside);
    if (cw_mesh_contours(&request, &mesh, NULL) != CW_OK)
        exit(1);
    return mesh;
}

static cw_mesh *make_mesh(void)
{
    cw_magnet magnet = example_magnet(CW_MAGNET_POT);
    const int none[2] = { 0, 0 };
    cw_section section;
    cw_part moved[CW_MOST_PARTS];
    cw_patch patches[CW_MOST_PARTS];
    cw_layout layout;
    cw_axis x, y;
    cw_mesh *mesh = NULL;

    if (cw_magnet_section(&magnet, &section, NULL) != CW_OK ||
        cw_layout__at_gap(&section, 1e-4, 0.4, moved, &layout, NULL) != CW_OK ||
        cw_axis_create(layout.x, layout.x_count, 1.45, none, 0, &x, NULL) != CW_OK ||
        cw_axis_create(layout.y, layout.y_count, 1.45, none, 0, &y, NULL) != CW_OK)
        exit(1);
    for (cw_axis *axis = &x; axis != NULL; axis = axis == &x ? &y : NULL) {
        bool *split = calloc(axis->count, sizeof *split);

        for (size_t i = 0; i + 1 < axis->count; i++)
            split[i] = true;
        if (cw_axis_refine(axis, split, NULL) != CW_OK)
            exit(1);
        free(split);
    }
    for (size_t i = 0; i < section.part_count; i++)
        patches[i] = (cw_patch){ { moved[i].x[0], moved[i].x[1] }, { moved[i].y[0], moved[i].y[1] },
                                 kind_of(&moved[i]) };
    if (cw_mesh_lattice(&x, &y, patches, section.part_count, layout.inside, &mesh, NULL) != CW_OK)
        exit(1);
    cw_axis_clear(&x);
    cw_axis_clear(&y);
    return mesh;
}

static size_t rim_sides(const cw_mesh *mesh, const int *number, FILE *file)
{
    size_t sides = 0;

    for (size_t t = 0; t < mesh->triangle_count; t++)
        for (int k = 0; k < 3; k++)
            if (mesh->side[mesh->corner[t][3 + k]] != 0) {
                sides++;
                if (file != NULL)
                    fprintf(file, "%d %d 1\n", number[mesh->corner[t][k]], number[mesh->corner[t][(k + 1) % 3]]);
            }
    return sides;
}

static void write_mesh(const char *folder, cw_mesh *mesh)
{
    FILE *file = open_in(folder, "mesh.msh", "w");
    int *number = calloc(mesh->node_count, sizeof *number), vertices = 0;

    for (size_t t = 0; t < mesh->triangle_count; t++)
        for (int k = 0; k < 3; k++)
            number[mesh->corner[t][k]] = 1;
    for (size_t n = 0; n < mesh->node_count; n++)
        if (number[n] != 0)
            number[n] = ++vertices;
    fprintf(file, "%d %zu %zu\n", vertices, mesh->triangle_count, rim_sides(mesh, number, NULL));
    for (size_t n = 0; n < mesh->node_count; n++)
        if (number[n] != 0)
            fprintf(file, "%.17g %.17g %d\n", mesh->node[n][0], mesh->node[n][1], mesh->side[n] != 0);
    for (size_t t = 0; t < mesh->triangle_count; t++)
        fprintf(file, "%d %d %d %d\n", number[mesh->corner[t][0]], number[mesh->corner[t][1]],
                number[mesh->corner[t][2]], mesh->region[t]);
    rim_sides(mesh, number, file);
    free(number);
    cw_mesh_destroy(&mesh);
    fclose(file);
}

/* ---- solving -------------------------------------------------------------------------------------------------- */

static char *slurp(FILE *file)
{
    size_t size = 0, room = 1 << 16;
    char *text = malloc(room);

    while (text != NULL && (size += fread(text + size, 1, room - size, file)) == room)
        text = realloc(text, room *= 2);
    if (text != NULL)
        text[size] = '\0';
    return text;
}

static cw_mesh *read_mesh(const char *folder)
{
    FILE *file = open_in(folder, "mesh.msh", "r");
    char *text = slurp(file), *at = text;
    size_t vertices = strtoul(at, &at, 10), triangles = strtoul(at, &at, 10);
    double (*vertex)[2] = calloc(vertices, sizeof *vertex), box[4] = { INFINITY, -INFINITY, INFINITY, -INFINITY };
    int (*triangle)[3] = calloc(triangles, sizeof *triangle), *region = calloc(triangles, sizeof *region);
    cw_mesh *mesh = NULL;

    strtoul(at, &at, 10);
    for (size_t n = 0; n < vertices; n++) {
        for (int d = 0; d < 2; d++) {
            vertex[n][d] = strtod(at, &at);
            box[2 * d] = fmin(box[2 * d], vertex[n][d]);
            box[2 * d + 1] = fmax(box[2 * d + 1], vertex[n][d]);
        }
        strtol(at, &at, 10);
    }
    for (size_t t = 0; t < triangles; t++) {
        for (int k = 0; k < 3; k++)
            triangle[t][k] = (int)strtol(at, &at, 10) - 1;
        region[t] = (int)strtol(at, &at, 10);
    }
    if (cw_mesh_from_triangles((const double (*)[2])vertex, vertices, (const int (*)[3])triangle, region, triangles,
                               box, box, &mesh, NULL) != CW_OK)
        exit(1);
    free(vertex);
    free(triangle);
    free(region);
    free(text);
    fclose(file);
    return mesh;
}

static void solve(const char *folder)
{
    cw_mesh *mesh = read_mesh(folder);
    cw_iron *iron = steel();
    const cw_region regions[4] = { { "air", NULL, -1, 0, false },
                                   { "still", iron, -1, 0, false },
                                   { "moving", iron, -1, 0, true },
                                   { "coil", NULL, 0, TURNS_PER_M2, false } };
    const bool zero[4] = { true, true, true, true };
    cw_newton_record record;
    cw_model *model;
    cw_error error;
    double *a, *weight;

    if (cw_model__create(mesh, regions, false, 0, zero, 1, &model, &error) != CW_OK)
        exit(1);
    model->current_a[0] = CURRENT_A;
    a = calloc(model->unknown_count, sizeof *a);
    weight = calloc(mesh->node_count, sizeof *weight);
    if (cw_model__solve(model, a, 1e-7, &record, &error) != CW_OK) {
        fprintf(stderr, "%s\n", error.text);
        exit(1);
    }
    cw_model__layer_weight(model, weight);
    printf("%.12g %.12g %d %d %zu\n", cw_model__linkage(model, a, 0), -cw_model__force(model, a, weight, NULL),
           record.start_iterations, record.iterations, model->unknown_count);
    free(a);
    free(weight);
    cw_model__destroy(&model);
    cw_iron_destroy(&iron);
    cw_mesh_destroy(&mesh);
}

int main(int count, char **words)
{
    if (count == 3 && (strcmp(words[1], "write") == 0 || strcmp(words[1], "free") == 0)) {
        write_iron(words[2]);
        write_mesh(words[2], words[1][0] == 'w' ? make_mesh() : make_free_mesh());
    } else if (count == 3 && strcmp(words[1], "solve") == 0) {
        solve(words[2]);
    } else {
        fprintf(stderr, "bench_field_mesh write|free|solve FOLDER\n");
        return 2;
    }
    return 0;
}
