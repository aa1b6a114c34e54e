/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A section being worked on: lattice, model, last solution; moved to a gap, solved, judged, refined. */
#include "coilwright/field.h"

#include "field/estimate.h"
#include "field/free.h"
#include "field/layout.h"
#include "field/residual.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_REFINEMENTS = 12 };

/* Newton's decrement, the energy of the last step over the whole. After it about its square is left: enough to judge
 * a mesh by, and enough to hand out. */
#define JUDGE_TOLERANCE 1e-6
#define TOLERANCE 1e-9

/* The estimate sums without signs, so it overshoots: over random magnets the true error was at most 0.67 of the sum and
 * mostly a third of it (benchmarks/field__estimate). */
#define ESTIMATE_SHARE 0.7

/* Beyond these shares of the last gap the triangles between the faces would grow too thin, or the box too small. */
#define MORPH_MOST 2.5
#define MORPH_SHIFT 0.05

struct cw_field {
    cw_section section;
    bool free;                        /* triangles of free shape, no lattice */
    double gap_m;                     /* of the mesh */
    cw_finder *finder;                /* of the free mesh as it was last solved */
    cw_field_wish wish;
    cw_region region[CW_MOST_PARTS + 1];
    cw_iron *iron[CW_MOST_PARTS + 1]; /* owned; by region, NULL where another region owns it */
    cw_layout layout;                 /* lines at the last gap */
    cw_axis x, y;
    cw_mesh *mesh;
    cw_model *model;
    int halvings_due;                 /* of the wished ones, before the mesh is judged */
    double *a;                        /* shape [unknown_count] */
    double *flux, (*density)[2];      /* for a view */
    cw_part moved[CW_MOST_PARTS];
};

static void drop_mesh(cw_field *field)
{
    cw_model__destroy(&field->model);
    cw_mesh_destroy(&field->mesh);
    cw_free(field->a);
    cw_free(field->flux);
    cw_free(field->density);
    field->a = NULL;
    field->flux = NULL;
    field->density = NULL;
}

void cw_field_destroy(cw_field **field)
{
    if (*field == NULL)
        return;
    drop_mesh(*field);
    cw_finder__destroy(&(*field)->finder);
    cw_axis_clear(&(*field)->x);
    cw_axis_clear(&(*field)->y);
    for (int r = 0; r <= CW_MOST_PARTS; r++)
        cw_iron_destroy(&(*field)->iron[r]);
    cw_free(*field);
    *field = NULL;
}

/* ---- creation ------------------------------------------------------------------------------------------------- */

static cw_status iron_of(cw_field *field, size_t part, cw_error *error)
{
    const char *name = field->section.part[part].iron;
    double permeability;
    cw_status status;

    for (size_t i = 0; i < part; i++)
        if (strcmp(field->section.part[i].iron, name) == 0) {
            field->region[part + 1].iron = field->region[i + 1].iron;
            return CW_OK;
        }
    status = sscanf(name, "linear %lf", &permeability) == 1
                 ? cw_iron_create_linear(permeability, &field->iron[part + 1], error)
                 : cw_iron_find(name, &field->iron[part + 1], error);
    field->region[part + 1].iron = field->iron[part + 1];
    return status;
}

static cw_status fill_regions(cw_field *field, const double *area, cw_error *error)
{
    field->region[0] = (cw_region){ "air", NULL, -1, 0, false };
    for (size_t i = 0; i < field->section.part_count; i++) {
        const cw_part *part = &field->section.part[i];

        field->region[i + 1] = (cw_region){ part->name, NULL, part->coil, part->turns / area[i], part->moves };
        if (part->iron[0] != '\0') {
            cw_status status = iron_of(field, i, error);

            if (status != CW_OK)
                return status;
        }
    }
    return CW_OK;
}

static cw_status check_lattice(const cw_section *section, double *area, cw_error *error)
{
    cw_status status = cw_layout__check(section, error);

    for (size_t i = 0; i < section->part_count && status == CW_OK; i++)
        area[i] = (section->part[i].x[1] - section->part[i].x[0]) * (section->part[i].y[1] - section->part[i].y[0]);
    return status;
}

cw_status cw_section_check(const cw_section *section, double gap_m, cw_error *error)
{
    double area[CW_MOST_PARTS];
    cw_part moved[CW_MOST_PARTS];
    cw_layout layout;
    bool free = cw_free__is(section);
    cw_status status = free ? cw_free__check(section, area, error) : cw_layout__check(section, error);

    if (status != CW_OK)
        return status;
    return free ? cw_free__at_gap(section, gap_m, moved, error)
                : cw_layout__at_gap(section, gap_m, 1, moved, &layout, error);
}

cw_status cw_field_create(const cw_section *section, const cw_field_wish *wish, cw_field **field, cw_error *error)
{
    double area[CW_MOST_PARTS];
    cw_status status = cw_free__is(section) ? cw_free__check(section, area, error) : check_lattice(section, area, error);
    cw_field *made;

    *field = NULL;
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    made->section = *section;
    made->free = cw_free__is(section);
    if (wish != NULL)
        made->wish = *wish;
    if (!(made->wish.error > 0))
        made->wish.error = 0.005;
    if (made->wish.most_unknowns == 0)
        made->wish.most_unknowns = 200000;
    if (!(made->wish.coarse > 0))
        made->wish.coarse = 1;
    status = fill_regions(made, area, error);
    if (status != CW_OK)
        cw_field_destroy(&made);
    *field = made;
    return status;
}

/* ---- mesh ----------------------------------------------------------------------------------------------------- */

static size_t patches_of(const cw_field *field, cw_patch *patches)
{
    for (size_t i = 0; i < field->section.part_count; i++) {
        patches[i] = (cw_patch){ { field->moved[i].x[0], field->moved[i].x[1] },
                                 { field->moved[i].y[0], field->moved[i].y[1] }, (int)i + 1 };
    }
    return field->section.part_count;
}

/* A coil between arcs is cut short by their chords, but carries all its turns. */
static void spread_turns(cw_field *field)
{
    double area[CW_MOST_PARTS + 1] = { 0 };

    for (size_t t = 0; t < field->mesh->triangle_count; t++) {
        const int *n = field->mesh->corner[t];
        const double *a = field->mesh->node[n[0]], *b = field->mesh->node[n[1]], *c = field->mesh->node[n[2]];

        area[field->mesh->region[t]] += 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]));
    }
    for (size_t i = 0; i < field->section.part_count; i++)
        if (area[i + 1] > 0)
            field->region[i + 1].turns_per_m2 = field->section.part[i].turns / area[i + 1];
}

/* The model of the mesh as it is; a starts at zero. */
static cw_status build_model(cw_field *field, cw_error *error)
{
    const cw_section *section = &field->section;
    const bool zero[4] = { true, true, true, true }; /* the axis, the mirror and infinity */
    cw_status status;

    if (field->free)
        spread_turns(field);
    status = cw_model__create(field->mesh, field->region, section->planar,
                              section->depth_m * (section->mirrored ? 2 : 1), zero, section->coil_count,
                              &field->model, error);
    if (status == CW_OK && (field->a = cw_allocate(field->model->unknown_count, sizeof(double))) == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK)
        field->model->applied_t = section->applied_t;
    else
        drop_mesh(field);
    return status;
}

/* Mesh and model of the axes as they are. */
static cw_status build(cw_field *field, cw_error *error)
{
    cw_patch patches[CW_MOST_PARTS];
    size_t count = patches_of(field, patches);
    cw_status status;

    drop_mesh(field);
    status = cw_mesh_lattice(&field->x, &field->y, patches, count, field->layout.inside, &field->mesh, error);
    if (status != CW_OK)
        return status;
    cw_layout__bend(&field->layout, field->mesh);
    return build_model(field, error);
}

/* The nodes of the same lattice at the moved lines. */
static cw_status morph(cw_field *field, const cw_layout *now, cw_error *error)
{
    cw_mesh *fresh;
    cw_patch patches[CW_MOST_PARTS];
    size_t count = patches_of(field, patches);
    cw_status status;

    cw_layout__move_axis(&field->layout, now, &field->y);
    field->layout = *now;
    status = cw_mesh_lattice(&field->x, &field->y, patches, count, now->inside, &fresh, error);
    if (status != CW_OK)
        return status;
    cw_layout__bend(now, fresh);
    memcpy(field->mesh->node, fresh->node, fresh->node_count * sizeof *fresh->node);
    memcpy(field->mesh->inside, fresh->inside, sizeof fresh->inside);
    memcpy(field->mesh->outside, fresh->outside, sizeof fresh->outside);
    cw_mesh_destroy(&fresh);
    cw_model__refresh(field->model);
    return CW_OK;
}

/* Lifts the nodes by their weights; false where a triangle would become less than a tenth of what it was. */
static bool lift_nodes(cw_mesh *mesh, const double *weight, double lift)
{
    for (size_t t = 0; t < mesh->triangle_count; t++) {
        const int *n = mesh->corner[t];
        const double *a = mesh->node[n[0]], *b = mesh->node[n[1]], *c = mesh->node[n[2]];
        double before = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
        double change = (b[0] - a[0]) * (weight[n[2]] - weight[n[0]]) - (c[0] - a[0]) * (weight[n[1]] - weight[n[0]]);

        if (before + lift * change < 0.1 * before)
            return false;
    }
    for (size_t t = 0; t < mesh->triangle_count; t++) /* middles stay in the middle */
        for (int k = 0; k < 3; k++)
            mesh->node[mesh->corner[t][3 + k]][1] = NAN;
    for (size_t n = 0; n < mesh->node_count; n++)
        if (!isnan(mesh->node[n][1]))
            mesh->node[n][1] += lift * weight[n];
    for (size_t t = 0; t < mesh->triangle_count; t++)
        for (int k = 0; k < 3; k++)
            mesh->node[mesh->corner[t][3 + k]][1] = 0.5 * (mesh->node[mesh->corner[t][k]][1] +
                                                          mesh->node[mesh->corner[t][(k + 1) % 3]][1]);
    return true;
}

/* The same triangles at another gap; *done false where they cannot follow. */
static cw_status morph_free(cw_field *field, double gap_m, bool *done, cw_error *error)
{
    double ratio = gap_m / field->gap_m, lift = gap_m - field->gap_m, *weight;
    double size = field->mesh->inside[CW_TOP] - field->mesh->inside[CW_BOTTOM];
    cw_status status;

    *done = false;
    if (!(ratio < MORPH_MOST && ratio > 1 / MORPH_MOST && fabs(lift) < MORPH_SHIFT * size))
        return CW_OK;
    weight = cw_allocate(field->mesh->node_count, sizeof *weight);
    if (weight == NULL)
        return cw_no_memory(error);
    status = cw_free__weight(field->mesh, field->moved, field->section.part_count, weight, error);
    if (status == CW_OK && (*done = lift_nodes(field->mesh, weight, lift)))
        cw_model__refresh(field->model);
    cw_free(weight);
    return status;
}

static cw_status move_free(cw_field *field, double gap_m, cw_error *error)
{
    cw_part moved[CW_MOST_PARTS];
    bool done = false;
    cw_status status = cw_free__at_gap(&field->section, gap_m, moved, error);

    if (status == CW_OK && field->mesh != NULL)
        status = morph_free(field, gap_m, &done, error); /* by where the parts still are */
    if (status != CW_OK)
        return status;
    memcpy(field->moved, moved, sizeof moved);
    field->gap_m = gap_m;
    if (done)
        return CW_OK;
    drop_mesh(field);
    status = cw_free__mesh(&field->section, moved, field->wish.coarse, &field->mesh, error);
    field->halvings_due = field->wish.halvings;
    return status == CW_OK ? build_model(field, error) : status;
}

/* Brings the lattice to a gap: morphed where the order of the lines is the same, else made anew. */
static cw_status move_to(cw_field *field, double gap_m, cw_error *error)
{
    cw_layout now;
    cw_status status;

    if (field->free)
        return move_free(field, gap_m, error);
    status = cw_layout__at_gap(&field->section, gap_m, field->wish.coarse, field->moved, &now, error);
    if (status != CW_OK)
        return status;
    if (field->mesh != NULL && cw_layout__same_order(&field->layout, &now))
        return morph(field, &now, error);
    cw_axis_clear(&field->x);
    cw_axis_clear(&field->y);
    field->layout = now;
    status = cw_layout__axes(&now, &field->x, &field->y, error);
    field->halvings_due = field->wish.halvings;
    return status == CW_OK ? build(field, error) : status;
}

/* ---- places in the lattice ------------------------------------------------------------------------------------ */

static size_t cell_of(const cw_axis *axis, double at)
{
    size_t low = 0, high = axis->count - 1;

    while (high - low > 1) {
        size_t middle = (low + high) / 2;

        if (at < axis->at[middle])
            high = middle;
        else
            low = middle;
    }
    return low;
}

/* Triangle and barycentric coordinates of a place; see cut_cell of the lattice for how cells are cut. */
static size_t locate(const cw_axis *x, const cw_axis *y, double px, double py, double l[3])
{
    size_t i = cell_of(x, px), j = cell_of(y, py), t = 2 * (j * (x->count - 1) + i);
    double u = (px - x->at[i]) / (x->at[i + 1] - x->at[i]), v = (py - y->at[j]) / (y->at[j + 1] - y->at[j]);
    bool up = (i + j) % 2 == 0, second = up ? v > u : u + v > 1;
    const double first_up[3] = { 1 - u, u - v, v }, second_up[3] = { 1 - v, u, v - u };
    const double first_down[3] = { 1 - u - v, u, v }, second_down[3] = { 1 - v, u + v - 1, 1 - u };

    memcpy(l, up ? second ? second_up : first_up : second ? second_down : first_down, 3 * sizeof(double));
    return t + second;
}

static double potential(const cw_model *model, const double *a, size_t t, const double l[3])
{
    double sum = 0;

    for (int i = 0; i < 3; i++) {
        int corner = model->unknown[t][i], middle = model->unknown[t][3 + i];

        if (corner >= 0)
            sum += l[i] * (2 * l[i] - 1) * a[corner];
        if (middle >= 0)
            sum += 4 * l[i] * l[(i + 1) % 3] * a[middle];
    }
    return sum;
}

/* ---- refinement ----------------------------------------------------------------------------------------------- */

static int falling(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return x < y ? 1 : x > y ? -1 : 0;
}

/* Smallest contribution to be split: the largest ones that make up 80 % of the whole. */
static double threshold(const double *values, size_t count, double *sorted)
{
    double sum = 0, so_far = 0;
    size_t i;

    memcpy(sorted, values, count * sizeof(double));
    qsort(sorted, count, sizeof(double), falling);
    for (i = 0; i < count; i++)
        sum += sorted[i];
    for (i = 0; i + 1 < count && so_far < 0.8 * sum; i++)
        so_far += sorted[i];
    return i > 0 ? sorted[i - 1] : sorted[0];
}

/* Splits lines by their contributions and carries the solution over. */
static cw_status refine(cw_field *field, const double *contributions, cw_error *error)
{
    size_t columns = field->x.count - 1, rows = field->y.count - 1;
    double *sorted = cw_allocate(columns + rows, sizeof(double)), least;
    bool *split = cw_allocate(columns + rows, sizeof(bool));
    cw_status status = CW_OK;

    if (sorted == NULL || split == NULL) {
        status = cw_no_memory(error);
    } else {
        least = threshold(contributions, columns + rows, sorted);
        for (size_t i = 0; i < columns + rows; i++)
            split[i] = contributions[i] >= least && contributions[i] > 0;
        status = cw_axis_refine(&field->x, split, error);
        if (status == CW_OK)
            status = cw_axis_refine(&field->y, split + columns, error);
    }
    cw_free(sorted);
    cw_free(split);
    return status;
}

/* What the corners and middles of the fine triangles are worth in those they lie in. */
static void inherit(cw_field *field, const cw_mesh *coarse, const cw_model *model, const double *a, const int *parent)
{
    for (size_t t = 0; t < field->mesh->triangle_count; t++) {
        const int *corner = coarse->corner[parent[t]];
        const double *p = coarse->node[corner[0]], *q = coarse->node[corner[1]], *r = coarse->node[corner[2]];
        double doubled = (q[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (q[1] - p[1]);

        for (int k = 0; k < 6; k++) {
            const double *at = field->mesh->node[field->mesh->corner[t][k]];
            double l[3];

            if (field->model->unknown[t][k] < 0)
                continue;
            l[1] = ((at[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (at[1] - p[1])) / doubled;
            l[2] = ((q[0] - p[0]) * (at[1] - p[1]) - (at[0] - p[0]) * (q[1] - p[1])) / doubled;
            l[0] = 1 - l[1] - l[2];
            field->a[field->model->unknown[t][k]] = potential(model, a, (size_t)parent[t], l);
        }
    }
}

static cw_status split_free(cw_field *field, const double *contributions, cw_mesh **fine, int **parent, cw_error *error)
{
    size_t count = field->mesh->triangle_count;
    cw_contour_point corner[CW_MOST_PARTS][4];
    cw_contour contour[CW_MOST_PARTS];
    double *sorted = cw_allocate(count, sizeof *sorted), least;
    bool *split = cw_allocate(count, sizeof *split);
    cw_status status = CW_OK;

    for (size_t i = 0; i < field->section.part_count; i++)
        contour[i] = cw_free__contour(&field->moved[i], (int)i + 1, corner[i]);
    if (sorted == NULL || split == NULL) {
        status = cw_no_memory(error);
    } else {
        least = threshold(contributions, count, sorted);
        for (size_t t = 0; t < count; t++)
            split[t] = contributions[t] >= least && contributions[t] > 0;
        status = cw_mesh_refine(field->mesh, split, contour, field->section.part_count, fine, parent, error);
    }
    cw_free(sorted);
    cw_free(split);
    return status;
}

static cw_status rebuild_free(cw_field *field, const double *contributions, cw_error *error)
{
    cw_model *model = field->model;
    cw_mesh *mesh = field->mesh, *fine = NULL;
    double *a = field->a;
    int *parent = NULL;
    cw_status status = split_free(field, contributions, &fine, &parent, error);

    if (status != CW_OK)
        return status;
    field->model = NULL;
    field->mesh = NULL;
    field->a = NULL;
    drop_mesh(field);
    field->mesh = fine;
    status = build_model(field, error);
    if (status == CW_OK)
        inherit(field, mesh, model, a, parent);
    cw_model__destroy(&model);
    cw_mesh_destroy(&mesh);
    cw_free(a);
    cw_free(parent);
    return status;
}

static cw_status rebuild_refined(cw_field *field, const double *contributions, cw_error *error)
{
    cw_axis x = { NULL, 0 }, y = { NULL, 0 };
    cw_model *model = field->model;
    cw_mesh *mesh = field->mesh;
    double *a = field->a;
    cw_status status = CW_OK;

    if (field->free)
        return rebuild_free(field, contributions, error);
    x.at = cw_allocate(field->x.count, sizeof(double));
    y.at = cw_allocate(field->y.count, sizeof(double));
    if (x.at == NULL || y.at == NULL) {
        status = cw_no_memory(error);
    } else {
        memcpy(x.at, field->x.at, (x.count = field->x.count) * sizeof(double));
        memcpy(y.at, field->y.at, (y.count = field->y.count) * sizeof(double));
        status = refine(field, contributions, error);
    }
    if (status == CW_OK) {
        field->model = NULL;
        field->mesh = NULL;
        field->a = NULL;
        status = build(field, error);
        for (size_t n = 0; status == CW_OK && n < field->mesh->node_count; n++)
            if (field->model->unknown_of_node[n] >= 0) {
                double l[3];
                const double *at = field->mesh->node[n];
                size_t t = locate(&x, &y, at[0], cw_layout__straight_y(&field->layout, at[0], at[1]), l);

                field->a[field->model->unknown_of_node[n]] = potential(model, a, t, l);
            }
        cw_model__destroy(&model);
        cw_mesh_destroy(&mesh);
        cw_free(a);
    } else {
        drop_mesh(field); /* it may no longer be that of the axes */
    }
    cw_axis_clear(&x);
    cw_axis_clear(&y);
    return status;
}

/* ---- results -------------------------------------------------------------------------------------------------- */

static double flux_of_node(const cw_field *field, size_t n)
{
    const cw_model *model = field->model;
    double a = model->unknown_of_node[n] >= 0 ? field->a[model->unknown_of_node[n]] : 0;

    return a * (model->planar ? model->depth_m : 2 * 3.14159265358979323846 * field->mesh->node[n][0]);
}

typedef struct tally {
    double low, high, square, peak, product, volume;
} tally;

static void tally_triangle(const cw_field *field, size_t t, tally *tally)
{
    const cw_region *region = &field->region[field->mesh->region[t]];
    cw_point points[3];

    cw_model__points(field->model, t, points);
    for (int k = 0; k < 3; k++) {
        double flux = flux_of_node(field, (size_t)field->mesh->corner[t][k]);
        double b[2] = { 0, field->model->applied_t }, density, h;

        tally->low = fmin(tally->low, flux);
        tally->high = fmax(tally->high, flux);
        for (int i = 0; i < 6; i++)
            if (field->model->unknown[t][i] >= 0) {
                b[0] += points[k].bx[i] * field->a[field->model->unknown[t][i]];
                b[1] += points[k].by[i] * field->a[field->model->unknown[t][i]];
            }
        density = hypot(b[0], b[1]);
        h = region->iron != NULL ? cw_iron_field(region->iron, density, NULL, NULL) : density / CW_MU0;
        tally->square += points[k].weight * density * density;
        tally->product += points[k].weight * density * h;
        tally->volume += points[k].weight;
        tally->peak = fmax(tally->peak, density);
    }
}

static void fill_parts(const cw_field *field, cw_field_result *result)
{
    tally tallies[CW_MOST_PARTS + 1];
    double whole = 0, most = 0, moving[2] = { INFINITY, -INFINITY };

    for (size_t r = 0; r <= CW_MOST_PARTS; r++)
        tallies[r] = (tally){ INFINITY, -INFINITY, 0, 0, 0, 0 };
    for (size_t t = 0; t < field->mesh->triangle_count; t++)
        tally_triangle(field, t, &tallies[field->mesh->region[t]]);
    for (size_t r = 0; r <= field->section.part_count; r++)
        whole += tallies[r].product;
    result->saturates_first = -1;
    for (size_t i = 0; i < field->section.part_count; i++) {
        const tally *tally = &tallies[i + 1];
        cw_part_result *part = &result->part[result->part_count];

        if (field->region[i + 1].iron == NULL || !(tally->volume > 0))
            continue;
        snprintf(part->name, sizeof part->name, "%s", field->section.part[i].name);
        part->flux_wb = tally->high - tally->low;
        part->density_t = sqrt(tally->square / tally->volume);
        part->peak_density_t = tally->peak;
        part->saturation = part->density_t / cw_iron_saturation_t(field->region[i + 1].iron);
        part->share = whole > 0 ? tally->product / whole : 0;
        if (result->saturates_first < 0 || part->saturation > result->part[result->saturates_first].saturation)
            result->saturates_first = (int)result->part_count;
        result->part_count++;
        most = fmax(most, part->flux_wb);
        if (field->region[i + 1].moves) {
            moving[0] = fmin(moving[0], tally->low);
            moving[1] = fmax(moving[1], tally->high);
        }
    }
    result->leakage_factor = moving[1] > moving[0] ? most / (moving[1] - moving[0]) : NAN;
}

static cw_status fill_result(cw_field *field, double gap_m, const double *current_a, cw_field_result *result,
                             cw_error *error)
{
    cw_energies energies;
    double inductance[CW_MOST_COILS][CW_MOST_COILS], linkage = 0, common = 0;
    cw_status status = cw_model__incremental(field->model, inductance, error);

    if (status != CW_OK)
        return status;
    cw_model__energies(field->model, field->a, &energies);
    result->gap_m = gap_m;
    for (int c = 0; c < field->section.coil_count; c++) {
        double turns = 0;

        for (size_t i = 0; i < field->section.part_count; i++)
            if (field->section.part[i].coil == c)
                turns += fabs(field->section.part[i].turns);
        /* a coil whose two sides both show is counted once */
        result->ampere_turns += fabs(current_a[c]) * turns *
                                (field->section.planar && !field->section.mirrored ? 0.5 : 1);
        result->flux_linkage_wb[c] = cw_model__linkage(field->model, field->a, c);
        linkage += result->flux_linkage_wb[c];
        common = fabs(current_a[c]) > fabs(common) ? current_a[c] : common;
        for (int d = 0; d < field->section.coil_count; d++)
            result->incremental_inductance_h += inductance[c][d];
    }
    result->inductance_h = common != 0 ? linkage / common : result->incremental_inductance_h;
    result->energy_j = energies.energy_j;
    result->coenergy_j = energies.coenergy_j;
    result->energy_check = energies.source_j != 0
                               ? (energies.energy_j + energies.coenergy_j) / energies.source_j - 1 : 0;
    result->unknowns = field->model->unknown_count;
    result->triangles = field->mesh->triangle_count;
    fill_parts(field, result);
    return CW_OK;
}

/* ---- solving -------------------------------------------------------------------------------------------------- */

/* By triangle, or by column, then row. */
static size_t contribution_count(const cw_field *field)
{
    return field->free ? field->mesh->triangle_count : field->x.count + field->y.count - 2;
}

/* 1 on what moves, 0 on all else, between by the distances. */
static cw_status weigh(cw_field *field, double *weight, cw_error *error)
{
    if (field->free)
        return cw_free__weight(field->mesh, field->moved, field->section.part_count, weight, error);
    cw_layout__far_weight(&field->layout, field->moved, field->section.part_count, &field->x, &field->y, weight);
    return CW_OK;
}

/* Force both ways and the error. */
static cw_status judge(cw_field *field, double **contributions, cw_field_result *result, cw_error *error)
{
    double *weight = cw_allocate(field->mesh->node_count, sizeof(double));
    cw_estimate estimate = { 0 };
    cw_energies energies;
    cw_status status = CW_OK;

    cw_free(*contributions);
    *contributions = cw_allocate(contribution_count(field), sizeof(double));
    if (weight == NULL || *contributions == NULL) {
        cw_free(weight);
        return cw_no_memory(error);
    }
    if (field->free) {
        estimate.triangle = *contributions;
    } else {
        estimate.column = *contributions;
        estimate.row = *contributions + field->x.count - 1;
    }
    status = weigh(field, weight, error);
    result->force_n = -cw_model__force(field->model, field->a, weight, NULL);
    if (status == CW_OK)
        status = cw_model__estimate(field->model, field->a, weight, (int)field->section.part_count + 1, &estimate, error);
    for (size_t n = 0; n < field->mesh->node_count; n++) /* a band of the air, away from the corners of both sides */
        weight[n] = fmin(fmax(2.5 * weight[n] - 0.5, 0), 1);
    result->force_stress_n = -cw_model__force(field->model, field->a, weight, NULL);
    cw_free(weight);
    if (status != CW_OK)
        return status;
    cw_model__energies(field->model, field->a, &energies);
    result->force_difference = result->force_n != 0
                                   ? fabs(result->force_stress_n - result->force_n) / fabs(result->force_n) : 0;
    result->error_estimate = result->force_n != 0 ? ESTIMATE_SHARE * estimate.force_n / fabs(result->force_n) : 0;
    result->linkage_error_estimate = energies.source_j != 0 ? estimate.energy_j / fabs(energies.source_j) : 0;
    return CW_OK;
}

/* One more go from where A stands. */
static cw_status newton(cw_field *field, double tolerance, cw_field_result *result, cw_error *error)
{
    cw_newton_record record;
    cw_status status = cw_model__solve(field->model, field->a, tolerance, &record, error);

    result->iterations += record.iterations;
    result->all_iterations += record.iterations + record.start_iterations;
    result->solver_residual = record.residual;
    result->decrement = record.decrement;
    return status;
}

/* Solves on the mesh as it is and halves all its cells, as often as was wished: most steps are done while they are
 * cheap. */
static cw_status climb(cw_field *field, const double *current_a, cw_field_result *result, cw_error *error)
{
    cw_status status = CW_OK;

    for (; field->halvings_due > 0 && status == CW_OK; field->halvings_due--) {
        size_t count = contribution_count(field);
        double *alike = cw_allocate(count, sizeof(double));

        if (alike == NULL)
            return cw_no_memory(error);
        for (size_t i = 0; i < count; i++)
            alike[i] = 1;
        status = newton(field, JUDGE_TOLERANCE, result, error);
        if (status == CW_OK)
            status = rebuild_refined(field, alike, error);
        cw_free(alike);
        if (status == CW_OK)
            memcpy(field->model->current_a, current_a, (size_t)field->section.coil_count * sizeof(double));
    }
    result->iterations = 0;
    return status;
}

static cw_status solve_refining(cw_field *field, const double *current_a, cw_field_result *result, cw_error *error)
{
    double *contributions = NULL;
    cw_status status = climb(field, current_a, result, error);

    while (status == CW_OK) {
        status = newton(field, JUDGE_TOLERANCE, result, error);
        if (status == CW_OK)
            status = judge(field, &contributions, result, error);
        if (status != CW_OK)
            break;
        result->reached = result->error_estimate <= field->wish.error;
        if (result->reached || field->wish.keep_mesh || result->refinements == MOST_REFINEMENTS ||
            2 * field->model->unknown_count > field->wish.most_unknowns)
            break;
        result->iterations = 0;
        status = rebuild_refined(field, contributions, error);
        if (status != CW_OK)
            break;
        memcpy(field->model->current_a, current_a, (size_t)field->section.coil_count * sizeof(double));
        result->refinements++;
    }
    if (status == CW_OK && result->decrement > TOLERANCE) {
        status = newton(field, TOLERANCE, result, error);
        if (status == CW_OK)
            status = judge(field, &contributions, result, error);
    }
    cw_free(contributions);
    return status;
}

cw_status cw_field_solve(cw_field *field, double gap_m, const double *current_a, cw_field_result *result,
                         cw_error *error)
{
    cw_field_result made;
    cw_status status;

    cw_finder__destroy(&field->finder);
    status = move_to(field, gap_m, error);
    memset(&made, 0, sizeof made);
    if (status != CW_OK)
        return status;
    memcpy(field->model->current_a, current_a, (size_t)field->section.coil_count * sizeof(double));
    status = solve_refining(field, current_a, &made, error);
    if (status == CW_OK)
        status = fill_result(field, gap_m, current_a, &made, error);
    if (status == CW_OK && field->free)
        status = cw_finder__create(field->mesh, &field->finder, error);
    if (status == CW_OK)
        *result = made;
    return status;
}

/* ---- without current ------------------------------------------------------------------------------------------ */

/* By region, one end of the ranges; false where nothing is known of any iron. */
static bool take_coercivities(const cw_field *field, const double (*given)[2], int end, double *coercivity,
                              cw_residual *residual)
{
    bool known = false;

    for (size_t i = 0; i < field->section.part_count; i++) {
        double range[2] = { 0, 0 };
        char trust = 'S';

        if (field->region[i + 1].iron == NULL)
            continue;
        if (given != NULL)
            memcpy(range, given[i], sizeof range);
        else if (!cw_iron_coercivity(field->section.part[i].iron, range, &trust))
            snprintf(residual->unknown, sizeof residual->unknown, "%s", field->section.part[i].name);
        known = known || range[1] > 0;
        coercivity[i + 1] = range[end];
        residual->trust = trust == 'M' ? 'M' : residual->trust;
    }
    return known;
}

cw_status cw_field_residual(cw_field *field, const double (*coercivity_a_per_m)[2], cw_residual *residual,
                            cw_error *error)
{
    cw_residual made = { .trust = 'S' };
    double *weight, coercivity[CW_MOST_PARTS + 1] = { 0 };
    cw_status status;

    if (field->model == NULL)
        return cw_refuse(error, NULL, "a section that was solved", "The section has not been solved yet.");
    weight = cw_allocate(field->mesh->node_count, sizeof *weight);
    status = weight != NULL ? weigh(field, weight, error) : cw_no_memory(error);
    for (int end = 0; end < 2 && status == CW_OK; end++) {
        if (!take_coercivities(field, coercivity_a_per_m, end, coercivity, &made))
            status = cw_refuse(error, NULL, "an iron of known coercivity", "Of none of the magnet's irons is it known "
                               "what it holds on to without current.");
        if (status == CW_OK)
            status = cw_model__residual_force(field->model, field->a, coercivity, weight, &made.force_n[end], error);
        made.force_n[end] *= -1;
    }
    cw_free(weight);
    if (status == CW_OK)
        *residual = made;
    return status;
}

/* ---- places and pictures -------------------------------------------------------------------------------------- */

static bool inside_box(const cw_field *field, double x, double y)
{
    return field->mesh != NULL && x >= field->mesh->inside[CW_LEFT] && x <= field->mesh->inside[CW_RIGHT] &&
           y >= field->mesh->inside[CW_BOTTOM] && y <= field->mesh->inside[CW_TOP];
}

/* The triangle of a place in the box, and where in it. */
static bool find(const cw_field *field, double x, double y, size_t *t, double l[3])
{
    int found;

    if (!inside_box(field, x, y))
        return false;
    if (!field->free) {
        *t = locate(&field->x, &field->y, x, cw_layout__straight_y(&field->layout, x, y), l);
        return true;
    }
    found = field->finder != NULL ? cw_finder__find(field->finder, x, y, l) : -1;
    *t = (size_t)found;
    return found >= 0;
}

void cw_field_density_t(const cw_field *field, double x_m, double y_m, double density_t[2])
{
    double l[3];
    cw_point point;
    size_t t;

    density_t[0] = density_t[1] = 0;
    if (!find(field, x_m, y_m, &t, l))
        return;
    cw_model__point(field->model, t, l, &point);
    density_t[1] = field->model->applied_t;
    for (int i = 0; i < 6; i++)
        if (field->model->unknown[t][i] >= 0) {
            density_t[0] += point.bx[i] * field->a[field->model->unknown[t][i]];
            density_t[1] += point.by[i] * field->a[field->model->unknown[t][i]];
        }
}

double cw_field_flux_wb(const cw_field *field, double x_m, double y_m)
{
    double l[3];
    size_t t;

    if (!find(field, x_m, y_m, &t, l))
        return 0;
    return potential(field->model, field->a, t, l) *
           (field->model->planar ? field->model->depth_m : 2 * 3.14159265358979323846 * x_m);
}

cw_status cw_field_view_of(cw_field *field, cw_field_view *view, cw_error *error)
{
    if (field->mesh == NULL)
        return cw_fail(error, "The section has not been solved yet.");
    cw_free(field->flux);
    cw_free(field->density);
    field->flux = cw_allocate(field->mesh->node_count, sizeof(double));
    field->density = cw_allocate(field->mesh->triangle_count, sizeof *field->density);
    if (field->flux == NULL || field->density == NULL)
        return cw_no_memory(error);
    for (size_t n = 0; n < field->mesh->node_count; n++)
        field->flux[n] = flux_of_node(field, n);
    for (size_t t = 0; t < field->mesh->triangle_count; t++) {
        const double middle[3] = { 1 / 3.0, 1 / 3.0, 1 / 3.0 };
        cw_point point;

        cw_model__point(field->model, t, middle, &point);
        field->density[t][1] = field->model->applied_t;
        for (int i = 0; i < 6; i++)
            if (field->model->unknown[t][i] >= 0) {
                field->density[t][0] += point.bx[i] * field->a[field->model->unknown[t][i]];
                field->density[t][1] += point.by[i] * field->a[field->model->unknown[t][i]];
            }
    }
    view->mesh = field->mesh;
    view->flux_wb = field->flux;
    view->density_t = (const double (*)[2])field->density;
    view->part = field->moved;
    view->part_count = field->section.part_count;
    return CW_OK;
}
