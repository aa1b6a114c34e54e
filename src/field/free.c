/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "field/free.h"

#include "field/layout.h"

#include <math.h>
#include <string.h>

enum { SIDES_A_QUARTER = 6, SAMPLES_MOST = 200000, SHELL_CELLS = 4 };

#define COARSEST 0.125 /* size of the first triangles on a rim, over the magnet's */
#define GROWTH 0.45    /* of that size by the distance from it */
#define ACROSS_GAP 2.0 /* size beside a gap over the gap */

bool cw_free__is(const cw_section *section)
{
    for (size_t i = 0; i < section->part_count; i++)
        if (section->part[i].contour != NULL)
            return true;
    return false;
}

cw_contour cw_free__contour(const cw_part *part, int region, cw_contour_point *corner)
{
    if (part->contour != NULL)
        return (cw_contour){ part->name, part->contour, part->contour_count, part->lift_m, region };
    for (int k = 0; k < 4; k++)
        corner[k] = (cw_contour_point){ part->x[k == 1 || k == 2], part->y[k >= 2], false };
    return (cw_contour){ part->name, corner, 4, 0, region };
}

/* ---- what cannot be ------------------------------------------------------------------------------------------- */

static void fit_box(const double (*place)[2], size_t count, cw_part *part)
{
    part->x[0] = part->y[0] = INFINITY;
    part->x[1] = part->y[1] = -INFINITY;
    for (size_t i = 0; i < count; i++) {
        part->x[0] = fmin(part->x[0], place[i][0]);
        part->x[1] = fmax(part->x[1], place[i][0]);
        part->y[0] = fmin(part->y[0], place[i][1]);
        part->y[1] = fmax(part->y[1], place[i][1]);
    }
}

/* The parts with their boxes; nothing moved yet. */
static cw_status box_parts(const cw_section *section, cw_part *boxed, cw_error *error)
{
    cw_status status = CW_OK;

    memcpy(boxed, section->part, section->part_count * sizeof *boxed);
    for (size_t i = 0; i < section->part_count && status == CW_OK; i++) {
        cw_contour_point corner[4];
        cw_contour contour = cw_free__contour(&boxed[i], 0, corner);
        double (*place)[2];
        size_t count;

        status = cw_contour_flatten(&contour, SIDES_A_QUARTER, &place, &count, error);
        if (status == CW_OK)
            fit_box((const double (*)[2])place, count, &boxed[i]);
        cw_free(place);
    }
    return status;
}

static cw_status check_part(const cw_section *section, size_t i, double *area, cw_error *error)
{
    const cw_part *part = &section->part[i];
    cw_contour_point corner[4];
    cw_contour contour = cw_free__contour(part, 0, corner);

    if (part->coil < 0 && part->iron[0] == '\0' && !part->air)
        return cw_refuse(error, NULL, "an iron's name, coil or air", "The region '%s' has no material.", part->name);
    if ((part->coil >= 0) + (part->iron[0] != '\0') + part->air > 1)
        return cw_refuse(error, NULL, "one of iron, coil or air", "The region '%s' has more than one material.",
                         part->name);
    if (part->coil >= section->coil_count || section->coil_count > CW_MOST_MAGNET_COILS)
        return cw_refuse(error, NULL, "coils numbered from the first on", "The region '%s' belongs to coil %d of %d.",
                         part->name, part->coil + 1, section->coil_count);
    if (part->coil >= 0 && !(part->turns != 0 && isfinite(part->turns)))
        return cw_refuse(error, NULL, "a count of turns", "The coil '%s' has no turns.", part->name);
    if (part->moves && part->iron[0] == '\0')
        return cw_refuse(error, NULL, "iron that moves, all else at rest", "The region '%s' moves, but is no iron.",
                         part->name);
    if (part->drop_m != 0)
        return cw_refuse(error, NULL, "the cone drawn by its corners", "The region '%s' is a cone by its height, and "
                         "the section has free outlines.", part->name);
    return cw_contour_check(&contour, area, error);
}

/* Whether an air part between the two in order, which holds the coil, was cut out of the iron for it. */
static cw_status lies_in_hole(const cw_section *section, size_t iron, size_t coil, double close, bool *hole,
                              cw_error *error)
{
    cw_contour_point corner[2][4];
    cw_contour inner = cw_free__contour(&section->part[coil], 0, corner[0]);
    cw_status status = CW_OK;

    *hole = false;
    for (size_t k = iron + 1; k < coil && !*hole && status == CW_OK; k++) {
        cw_contour outer = cw_free__contour(&section->part[k], 0, corner[1]);
        cw_contour_relation relation;

        if (!section->part[k].air)
            continue;
        status = cw_contour_pair(&inner, &outer, close, &relation, error);
        *hole = status == CW_OK && relation.inside;
    }
    return status;
}

static cw_status check_pair(const cw_section *section, size_t i, size_t j, double close, cw_error *error)
{
    const cw_part *a = &section->part[i], *b = &section->part[j];
    cw_contour_point corner[2][4];
    cw_contour first = cw_free__contour(a, 0, corner[0]), second = cw_free__contour(b, 0, corner[1]);
    cw_contour_relation relation;
    cw_status status;
    bool hole;

    if (a->air || b->air || (a->coil < 0 && b->coil < 0 && a->moves == b->moves))
        return CW_OK;
    status = cw_contour_pair(&first, &second, close, &relation, error);
    if (status != CW_OK || !relation.overlap)
        return status;
    if (a->coil >= 0 && b->coil >= 0)
        return cw_refuse(error, NULL, "coils beside each other", "The coils '%s' and '%s' overlap.", a->name, b->name);
    if (a->coil < 0 && b->coil < 0)
        return cw_refuse(error, NULL, "moving iron clear of the rest", "The moving region '%s' and '%s' overlap.",
                         a->moves ? a->name : b->name, a->moves ? b->name : a->name);
    status = lies_in_hole(section, i, j, close, &hole, error);
    if (status != CW_OK || (hole && b->coil >= 0))
        return status;
    return cw_refuse(error, NULL, "a coil in air, or in a hole of air that is given after the iron and before the coil",
                     "The coil '%s' lies in the iron of '%s'.", a->coil >= 0 ? a->name : b->name,
                     a->coil >= 0 ? b->name : a->name);
}

static cw_status check_axis(const cw_section *section, const cw_part *boxed, double size, cw_error *error)
{
    for (size_t i = 0; i < section->part_count && (!section->planar || section->mirrored); i++)
        if (boxed[i].x[0] < -1e-9 * size)
            return cw_refuse(error, NULL, "x from 0 on", "The region '%s' reaches across the %s at x = 0, to %.4g mm.",
                             boxed[i].name, section->planar ? "mirror" : "axis", 1e3 * boxed[i].x[0]);
    return CW_OK;
}

cw_status cw_free__check(const cw_section *section, double *area, cw_error *error)
{
    cw_section boxed = *section;
    double size;
    cw_status status = cw_layout__check_whole(section, error);

    for (size_t i = 0; i < section->part_count && status == CW_OK; i++)
        status = check_part(section, i, &area[i], error);
    if (status == CW_OK)
        status = box_parts(section, boxed.part, error);
    if (status != CW_OK)
        return status;
    size = cw_layout__size(&boxed);
    status = check_axis(section, boxed.part, size, error);
    for (size_t j = 0; j < section->part_count; j++)
        for (size_t i = 0; i < j && status == CW_OK; i++)
            status = check_pair(section, i, j, 1e-7 * size, error);
    return status;
}

static cw_status check_gap(const cw_part *moved, size_t count, double size, double gap_m, cw_error *error)
{
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < count; j++) {
            cw_contour_point corner[2][4];
            cw_contour a, b;
            cw_contour_relation relation;
            cw_status status;

            if (!moved[i].moves || moved[j].moves || moved[j].iron[0] == '\0')
                continue;
            a = cw_free__contour(&moved[i], 0, corner[0]);
            b = cw_free__contour(&moved[j], 0, corner[1]);
            status = cw_contour_pair(&a, &b, 1e-7 * size, &relation, error);
            if (status != CW_OK)
                return status;
            if (relation.overlap || relation.distance < 1e-7 * size)
                return cw_refuse(error, NULL, "the effective gap of two faces, as in 0.05 mm",
                                 "At a gap of %.4g mm the region '%s' touches '%s'. Even ground faces leave a few "
                                 "hundredths of a millimetre.", 1e3 * gap_m, moved[i].name, moved[j].name);
        }
    return CW_OK;
}

cw_status cw_free__at_gap(const cw_section *section, double gap_m, cw_part *moved, cw_error *error)
{
    cw_section boxed = *section;
    cw_status status = isfinite(gap_m) ? CW_OK : cw_refuse(error, NULL, "a gap, as in 0.1 mm",
                                                           "The gap is not a number.");

    for (size_t i = 0; i < section->part_count; i++)
        for (int k = 0; k < 2 && boxed.part[i].moves; k++) {
            boxed.part[i].y[k] += boxed.part[i].contour == NULL ? gap_m : 0;
            boxed.part[i].lift_m = section->part[i].lift_m + gap_m;
        }
    if (status == CW_OK)
        status = box_parts(&boxed, moved, error);
    if (status == CW_OK)
        status = check_gap(moved, section->part_count, cw_layout__size(&boxed), gap_m, error);
    return status;
}

/* ---- sizes ---------------------------------------------------------------------------------------------------- */

typedef struct rim {
    double (*place)[2]; /* shape [count]: a polygon, counter-clockwise */
    size_t count;
} rim;

static void clear_rims(rim *rims, size_t count)
{
    for (size_t i = 0; i < count; i++)
        cw_free(rims[i].place);
}

static cw_status fill_rims(const cw_part *moved, size_t count, rim *rims, cw_error *error)
{
    cw_status status = CW_OK;

    memset(rims, 0, count * sizeof *rims);
    for (size_t i = 0; i < count && status == CW_OK; i++) {
        cw_contour_point corner[4];
        cw_contour contour = cw_free__contour(&moved[i], 0, corner);

        status = cw_contour_flatten(&contour, SIDES_A_QUARTER, &rims[i].place, &rims[i].count, error);
    }
    if (status != CW_OK)
        clear_rims(rims, count);
    return status;
}

static double distance_to_side(const double p[2], const double a[2], const double b[2])
{
    double x = b[0] - a[0], y = b[1] - a[1], share = ((p[0] - a[0]) * x + (p[1] - a[1]) * y) / (x * x + y * y);

    share = fmin(fmax(share, 0), 1);
    return hypot(a[0] + share * x - p[0], a[1] + share * y - p[1]);
}

static double distance_to_rim(const double p[2], const rim *rim, size_t but)
{
    double nearest = INFINITY;

    for (size_t k = 0; k < rim->count; k++) {
        bool beside = but < rim->count && (k == but || (k + 1) % rim->count == but || k == (but + 1) % rim->count);

        if (!beside)
            nearest = fmin(nearest, distance_to_side(p, rim->place[k], rim->place[(k + 1) % rim->count]));
    }
    return nearest;
}

typedef struct samples {
    cw_mesh_size *size;
    size_t count, capacity;
} samples;

static bool add_sample(samples *samples, double x, double y, double size)
{
    if (samples->count == samples->capacity) {
        size_t wanted = samples->capacity == 0 ? 1024 : 2 * samples->capacity;
        cw_mesh_size *grown =
            wanted > SAMPLES_MOST ? NULL : cw_reallocate(samples->size, wanted, sizeof *samples->size);

        if (grown == NULL)
            return false;
        samples->size = grown;
        samples->capacity = wanted;
    }
    samples->size[samples->count++] = (cw_mesh_size){ x, y, size };
    return true;
}

/* What is wished at a place of side k of part i: as long as the part is thick there, twice the gap it looks across. */
static double size_on_rim(const cw_part *moved, const rim *rims, size_t count, size_t i, size_t k, const double p[2],
                          double most)
{
    double wished = fmin(most, rims[i].count > 3 ? distance_to_rim(p, &rims[i], k) : INFINITY);

    for (size_t j = 0; j < count && moved[i].iron[0] != '\0'; j++)
        if (moved[j].iron[0] != '\0' && moved[j].moves != moved[i].moves)
            wished = fmin(wished, ACROSS_GAP * distance_to_rim(p, &rims[j], SIZE_MAX));
    return wished;
}

static bool sample_rim(const cw_part *moved, const rim *rims, size_t count, size_t i, double most, double coarse,
                       samples *samples)
{
    for (size_t k = 0; k < rims[i].count; k++) {
        const double *a = rims[i].place[k], *b = rims[i].place[(k + 1) % rims[i].count];
        double length = hypot(b[0] - a[0], b[1] - a[1]), at = 0;

        for (bool end = false; !end;) {
            double p[2], size;

            end = at >= length;
            for (int d = 0; d < 2; d++)
                p[d] = a[d] + (b[d] - a[d]) * fmin(at / length, 1);
            size = coarse * size_on_rim(moved, rims, count, i, k, p, fmin(most, length));
            if (!add_sample(samples, p[0], p[1], size))
                return false;
            at += fmax(size, length / 4000);
        }
    }
    return true;
}

/* Four cells through the shell. */
static bool sample_shell(const double inside[4], const double outside[4], double coarse, samples *samples)
{
    double thickness = fmax(outside[CW_RIGHT] - inside[CW_RIGHT], outside[CW_TOP] - inside[CW_TOP]);
    bool fits = true;

    for (int ring = 0; ring < 2; ring++) {
        const double *box = ring == 0 ? inside : outside;

        for (int i = 0; i <= 8; i++)
            for (int j = 0; j <= 8; j += i == 0 || i == 8 ? 1 : 8)
                fits = fits && add_sample(samples, box[0] + (box[1] - box[0]) * i / 8, box[2] + (box[3] - box[2]) * j / 8,
                                          coarse * thickness / SHELL_CELLS);
    }
    return fits;
}

/* ---- triangles ------------------------------------------------------------------------------------------------ */

static cw_status request_mesh(const cw_section *section, const cw_part *moved, const samples *samples,
                              cw_mesh_request *request, cw_mesh **mesh, cw_error *error)
{
    cw_contour_point corner[CW_MOST_PARTS][4];
    cw_contour contour[CW_MOST_PARTS];

    for (size_t i = 0; i < section->part_count; i++)
        contour[i] = cw_free__contour(&moved[i], (int)i + 1, corner[i]);
    request->contour = contour;
    request->contour_count = section->part_count;
    request->size = samples->size;
    request->size_count = samples->count;
    request->growth = GROWTH;
    return cw_mesh_contours(request, mesh, error);
}

cw_status cw_free__mesh(const cw_section *section, const cw_part *moved, double coarse, cw_mesh **mesh, cw_error *error)
{
    cw_mesh_request request = { 0 };
    cw_section boxed = *section;
    rim rims[CW_MOST_PARTS];
    samples samples = { 0 };
    double thickness[2], size;
    bool complete = true;
    cw_status status = fill_rims(moved, section->part_count, rims, error);

    *mesh = NULL;
    if (status != CW_OK)
        return status;
    memcpy(boxed.part, moved, section->part_count * sizeof *moved);
    size = cw_layout__size(&boxed);
    cw_layout__box(section, moved, request.inside, thickness);
    for (int side = 0; side < 4; side++)
        request.outside[side] = request.inside[side] + (side % 2 == 0 ? -1 : 1) * thickness[side / 2];
    if (!section->planar || section->mirrored)
        request.outside[CW_LEFT] = request.inside[CW_LEFT];
    for (size_t i = 0; i < section->part_count && complete; i++)
        complete = sample_rim(moved, rims, section->part_count, i, COARSEST * size, coarse, &samples);
    complete = complete && sample_shell(request.inside, request.outside, coarse, &samples);
    if (complete)
        status = request_mesh(section, moved, &samples, &request, mesh, error);
    else
        status = samples.capacity >= SAMPLES_MOST / 2
                     ? cw_refuse(error, NULL, "thicker gaps or a smaller magnet", "The gaps are so thin against the "
                                 "magnet that the section needs too many triangles.")
                     : cw_no_memory(error);
    clear_rims(rims, section->part_count);
    cw_free(samples.size);
    return status;
}

/* ---- distances ------------------------------------------------------------------------------------------------ */

static double weight_at(const cw_mesh *mesh, const cw_part *moved, const rim *rims, size_t count, const double p[2])
{
    double moving = INFINITY, still = INFINITY;

    for (int side = 0; side < 4; side++) {
        double beyond = (side % 2 == 0 ? 1 : -1) * (p[side / 2] - mesh->inside[side]);

        if (mesh->outside[side] != mesh->inside[side])
            still = fmin(still, fmax(beyond, 0));
    }
    for (size_t i = 0; i < count && still > 0; i++) {
        double distance = moved[i].air ? INFINITY : distance_to_rim(p, &rims[i], SIZE_MAX);

        if (moved[i].moves)
            moving = fmin(moving, distance);
        else
            still = fmin(still, distance);
    }
    return isinf(moving) || still == 0 ? 0 : still / (still + moving);
}

/* Corners of moving iron 1, of all else that is no air 0. */
static void mark_parts(const cw_mesh *mesh, const cw_part *moved, double *weight, bool *known)
{
    for (int pass = 0; pass < 2; pass++)
        for (size_t t = 0; t < mesh->triangle_count; t++) {
            const cw_part *part = mesh->region[t] > 0 ? &moved[mesh->region[t] - 1] : NULL;

            if (part == NULL || part->air || part->moves != (pass == 1))
                continue;
            for (int k = 0; k < 6; k++) {
                weight[mesh->corner[t][k]] = pass;
                known[mesh->corner[t][k]] = true;
            }
        }
}

cw_status cw_free__weight(const cw_mesh *mesh, const cw_part *moved, size_t count, double *weight, cw_error *error)
{
    rim rims[CW_MOST_PARTS];
    bool *known = cw_allocate(mesh->node_count, sizeof *known);
    cw_status status = known != NULL ? fill_rims(moved, count, rims, error) : cw_no_memory(error);

    if (status == CW_OK) {
        mark_parts(mesh, moved, weight, known);
        for (size_t n = 0; n < mesh->node_count; n++)
            if (!known[n])
                weight[n] = weight_at(mesh, moved, rims, count, mesh->node[n]);
        clear_rims(rims, count);
    }
    cw_free(known);
    return status;
}
