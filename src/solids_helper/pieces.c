/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Solids by the kernel: prisms and boxes, fused and cut. */
#include "solids_helper/helper.h"

#include <gmshc.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SAME 1e-7 /* mm: the kernel's own tolerance of a point */
#define VOLUME 3  /* the kernel's dimension of a solid */

/* ---- outlines -------------------------------------------------------------------------------------------------- */

static int add_point(double x, double y, double z)
{
    int failed;
    const int tag = gmshModelOccAddPoint(x, y, z, 0, -1, &failed);

    kernel_check(failed, "place a point");
    return tag;
}

static int add_line(int from, int to)
{
    int failed;
    const int tag = gmshModelOccAddLine(from, to, -1, &failed);

    kernel_check(failed, "draw a line");
    return tag;
}

/* Its centre would stay behind as a point of its own in the STEP file. */
static int add_arc(int from, int to, double x, double y, double z)
{
    int centre[2] = { 0, add_point(x, y, z) }, failed;
    const int tag = gmshModelOccAddCircleArc(from, centre[1], to, -1, &failed);

    kernel_check(failed, "draw an arc");
    gmshModelOccRemove(centre, 2, 0, &failed);
    kernel_check(failed, "draw an arc");
    return tag;
}

/* Edges of a rounded rectangle, counter-clockwise from the right side: an arc in each corner and a line before it, as
 * far as they have any length. A round one is four quarters: so its outermost points are corners of any triangulation,
 * and no face has a seam. */
static size_t outline_edges(const double n[7], int edges[8])
{
    static const int sign[4][2] = { { 1, 1 }, { -1, 1 }, { -1, -1 }, { 1, -1 } };
    const double a = n[0], b = n[1], r = n[2], z = n[3], x = n[5], y = n[6];
    int begin[4], end[4];
    size_t count = 0;

    for (int i = 0; i < 4; i++) {
        const double cx = x + sign[i][0] * (0.5 * a - r), cy = y + sign[i][1] * (0.5 * b - r);
        const bool turned = i % 2 == 1; /* begins in y and ends in x, the others the other way round */
        const double x_in = cx + sign[i][0] * r, y_in = cy + sign[i][1] * r, before = turned ? a - 2 * r : b - 2 * r;

        begin[i] = i > 0 && before < SAME ? end[i - 1] : turned ? add_point(cx, y_in, z) : add_point(x_in, cy, z);
        if (r < SAME)
            end[i] = begin[i];
        else if (i == 3 && b - 2 * r < SAME)
            end[i] = begin[0];
        else
            end[i] = turned ? add_point(x_in, cy, z) : add_point(cx, y_in, z);
        if (i > 0 && begin[i] != end[i - 1])
            edges[count++] = add_line(end[i - 1], begin[i]);
        if (r >= SAME)
            edges[count++] = add_arc(begin[i], end[i], cx, cy, z);
    }
    if (end[3] != begin[0])
        edges[count++] = add_line(end[3], begin[0]);
    return count;
}

/* ---- primitives ------------------------------------------------------------------------------------------------ */

/* Removes what is not part of anything larger: a face or edge that a solid has stays. */
static void drop(int dimension, int tag)
{
    int which[2] = { dimension, tag }, failed;

    gmshModelOccRemove(which, 2, 1, &failed);
    kernel_check(failed, "clear away an outline");
}

/* The volume among what an extrusion made. */
static int take_extruded(int *made, size_t count)
{
    int volume = 0;

    for (size_t i = 0; i + 1 < count; i += 2)
        if (made[i] == VOLUME)
            volume = made[i + 1];
    gmshFree(made);
    if (volume == 0)
        fail(3, "The kernel made no solid of an outline.");
    return volume;
}

static int prism(const double n[7])
{
    int edges[8], loop, face, face_tag[2], failed, volume, *made = NULL;
    size_t count = outline_edges(n, edges), made_count = 0;

    loop = gmshModelOccAddCurveLoop(edges, count, -1, &failed);
    kernel_check(failed, "close an outline");
    face = gmshModelOccAddPlaneSurface(&loop, 1, -1, &failed);
    kernel_check(failed, "fill an outline");
    face_tag[0] = 2;
    face_tag[1] = face;
    gmshModelOccExtrude(face_tag, 2, 0, 0, n[4] - n[3], &made, &made_count, NULL, 0, NULL, 0, 0, &failed);
    kernel_check(failed, "raise an outline");
    volume = take_extruded(made, made_count);
    drop(2, face);
    for (size_t i = 0; i < count; i++)
        drop(1, edges[i]);
    return volume;
}

static int box(const double n[6])
{
    int failed;
    const int tag = gmshModelOccAddBox(n[0], n[1], n[2], n[3] - n[0], n[4] - n[1], n[5] - n[2], -1, &failed);

    kernel_check(failed, "make a box");
    return tag;
}

/* ---- fusing and cutting ---------------------------------------------------------------------------------------- */

typedef void boolean(int *objects, size_t objects_n, int *tools, size_t tools_n, int **out, size_t *out_n, int ***map,
                     size_t **map_n, size_t *map_nn, const int tag, const int remove_object, const int remove_tool,
                     int *failed);

/* One solid of a body and its tools. */
static int combine(boolean *operation, int body, const int *tools, size_t count, const char *doing)
{
    int object[2] = { VOLUME, body }, *pairs = allocate(2 * count, sizeof *pairs), *out = NULL, **map = NULL, failed, made;
    size_t out_count = 0, *map_counts = NULL, map_count = 0;

    for (size_t i = 0; i < count; i++) {
        pairs[2 * i] = VOLUME;
        pairs[2 * i + 1] = tools[i];
    }
    operation(object, 2, pairs, 2 * count, &out, &out_count, &map, &map_counts, &map_count, -1, 1, 1, &failed);
    kernel_check(failed, doing);
    if (out_count != 2 || out[0] != VOLUME)
        fail(3, "The kernel could not %s: %zu pieces came of it instead of one.", doing, out_count / 2);
    made = out[1];
    for (size_t i = 0; i < map_count; i++)
        gmshFree(map[i]);
    gmshFree(map);
    gmshFree(map_counts);
    gmshFree(out);
    free(pairs);
    return made;
}

static void keep(tag_list *list, int volume)
{
    int *tags = realloc(list->tags, (list->count + 1) * sizeof *tags);

    if (tags == NULL)
        fail(3, "There is no memory left.");
    list->tags = tags;
    list->tags[list->count++] = volume;
}

/* The body with all that waits in a list, which is empty then. */
static void settle(piece *p, tag_list *list, boolean *operation, const char *doing)
{
    if (list->count > 0)
        p->body = combine(operation, p->body, list->tags, list->count, doing);
    free(list->tags);
    *list = (tag_list){ 0 };
}

static void add(piece *p, int volume)
{
    if (p->body == 0)
        p->body = volume;
    else
        keep(&p->parts, volume);
}

static void cut(piece *p, int volume)
{
    keep(&p->tools, volume);
}

void piece_add_prism(piece *p, const double *n, int count)
{
    (void)count;
    add(p, prism(n));
}

void piece_add_box(piece *p, const double *n, int count)
{
    (void)count;
    add(p, box(n));
}

void piece_cut_prism(piece *p, const double *n, int count)
{
    (void)count;
    cut(p, prism(n));
}

void piece_cut_box(piece *p, const double *n, int count)
{
    (void)count;
    cut(p, box(n));
}

void piece_carve(piece *p, const double *n, int count)
{
    const double keep[7] = { n[6], n[7], n[8], n[2] - 1, n[5] + 1, 0, 0 };
    const int kept = prism(keep);

    (void)count;
    cut(p, combine(gmshModelOccCut, box(n), &kept, 1, "shape a recess"));
}

static void settle_all(piece *p)
{
    if (p->body == 0)
        fail(2, "The piece %s has nothing added to it.", p->name);
    settle(p, &p->parts, gmshModelOccFuse, "join the parts of a piece");
    settle(p, &p->tools, gmshModelOccCut, "cut slots and bores");
}

void piece_finish(piece *p)
{
    settle_all(p);
}

/* ---- fillets --------------------------------------------------------------------------------------------------- */

static double volume_of(int body)
{
    double volume = 0;
    int failed;

    gmshModelOccGetMass(VOLUME, body, &volume, &failed);
    kernel_check(failed, "weigh a solid");
    return volume;
}

/* The edges at a height that lie within a rectangle about the axis; appended. */
static void find_edges(double x, double y, double z, tag_list *edges)
{
    int *found = NULL, failed;
    size_t count = 0;

    gmshModelOccGetEntitiesInBoundingBox(-x, -y, z - 1e-3, x, y, z + 1e-3, &found, &count, 1, &failed);
    kernel_check(failed, "find the edges of a fillet");
    for (size_t i = 0; i + 1 < count; i += 2)
        keep(edges, found[i + 1]);
    gmshFree(found);
}

/* A fillet that fails may come back with a broken solid and no word: in a hollow corner it must add a little. */
void piece_fillet(piece *p, const double *n, int count)
{
    tag_list edges = { 0 };
    int *out = NULL, failed;
    size_t out_count = 0;
    double radius = n[0], before, gained;

    settle_all(p);
    before = volume_of(p->body);
    for (int i = 3; i < count; i++)
        find_edges(0.5 * n[1] + 1e-3, 0.5 * n[2] + 1e-3, n[i], &edges);
    gmshModelOccFillet(&p->body, 1, edges.tags, edges.count, &radius, 1, &out, &out_count, 1, &failed);
    kernel_check(failed, "round a corner");
    if (out_count != 2 || out[0] != VOLUME)
        fail(3, "The kernel could not round a corner of %.4g mm.", radius);
    p->body = out[1];
    gained = volume_of(p->body) - before;
    if (!(gained > 0 && gained < before))
        fail(3, "The kernel could not round a corner of %.4g mm.", radius);
    free(edges.tags);
    gmshFree(out);
}
