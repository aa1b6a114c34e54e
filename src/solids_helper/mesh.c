/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Triangles: as few as the curves ask for.
 *
 * Points lie on edges, and between them only where a face bends two ways. A face with four sides, which is every round
 * one but rims with recesses, is laid out in rows from side to side: left to itself the mesher joins points across the
 * bend and cuts it off. A side is a run of edges that all rise along the axis, or all do not. Opposite sides must be
 * divided alike; dividing one more finely may ask the same of the next face. */
#include "solids_helper/helper.h"

#include <gmshc.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

enum { EDGES_MOST = 12 };

typedef struct side {
    int curve[EDGES_MOST];
    int count;
} side;

typedef struct face {
    int tag;
    side side[4];        /* in their order round the face */
    int corner[4];       /* points */
} face;

typedef struct plan {
    int *parts;          /* by curve */
    int curve_most;
    face *faces;         /* those with four sides */
    size_t face_count;
} plan;

/* ---- curves ---------------------------------------------------------------------------------------------------- */

static bool is_straight(int dimension, int tag)
{
    char *type = NULL;
    bool straight;
    int failed;

    gmshModelGetType(dimension, tag, &type, &failed);
    kernel_check(failed, "look at an edge");
    straight = type != NULL && (strcmp(type, "Line") == 0 || strcmp(type, "Plane") == 0);
    gmshFree(type);
    return straight;
}

static double curvature(int curve)
{
    double *low = NULL, *high = NULL, *found = NULL, middle, value = 0;
    size_t low_count, high_count, count = 0;
    int failed;

    gmshModelGetParametrizationBounds(1, curve, &low, &low_count, &high, &high_count, &failed);
    kernel_check(failed, "follow an edge");
    middle = 0.5 * (low[0] + high[0]);
    gmshModelGetCurvature(1, curve, &middle, 1, &found, &count, &failed);
    kernel_check(failed, "follow an edge");
    if (count > 0)
        value = found[0];
    gmshFree(low);
    gmshFree(high);
    gmshFree(found);
    return value;
}

/* Facets of a whole circle: off it by at most the chord, a multiple of four so that its outermost points are corners. A
 * polygon of n corners has 2 pi^2 / (3 n^2) less area than its circle: 0.03 % at 160. Fillets and pins, of less than 2
 * mm, weigh nothing and need less. */
static double whole_circle(double radius, double chord)
{
    const double facets = chord < radius ? pi / acos(1 - chord / radius) : 0;

    return 4 * ceil(fmin(fmax(facets, radius < 2 ? 12 : 160), 1000) / 4);
}

static int parts_of(int curve, double chord_mm)
{
    double length = 0, bend;
    int failed;

    if (is_straight(1, curve))
        return 1;
    gmshModelOccGetMass(1, curve, &length, &failed);
    kernel_check(failed, "measure an edge");
    bend = fmax(curvature(curve), 1e-6);
    return (int)fmin(fmax(ceil(whole_circle(1 / bend, chord_mm) * length * bend / (2 * pi) - 1e-6), 1), 4000);
}

/* ---- faces ----------------------------------------------------------------------------------------------------- */

static size_t list(int dimension, int **tags)
{
    size_t count = 0;
    int failed;

    gmshModelGetEntities(tags, &count, dimension, &failed);
    kernel_check(failed, "list edges and faces");
    for (size_t i = 0; i < count / 2; i++)
        (*tags)[i] = (*tags)[2 * i + 1];
    return count / 2;
}

/* An edge of a face on the way round it. */
typedef struct edge {
    int curve, from, to;
    bool rises;
} edge;

static edge read_edge(int curve)
{
    int of[2] = { 1, curve }, *ends = NULL, failed;
    size_t count = 0;
    double box[6];
    edge e = { .curve = curve };

    gmshModelGetBoundary(of, 2, &ends, &count, 0, 0, 0, &failed);
    kernel_check(failed, "find the ends of an edge");
    if (count == 4) {
        e.from = abs(ends[1]);
        e.to = abs(ends[3]);
    }
    gmshFree(ends);
    gmshModelGetBoundingBox(1, curve, &box[0], &box[1], &box[2], &box[3], &box[4], &box[5], &failed);
    kernel_check(failed, "measure an edge");
    e.rises = box[5] - box[2] > 1e-4;
    return e;
}

/* Puts the edges in their order round the face, each from where the one before it ended; false where they do not make
 * one round. */
static bool chain(edge *edges, int count)
{
    for (int i = 1; i < count; i++) {
        int next = i;

        while (next < count && edges[next].from != edges[i - 1].to && edges[next].to != edges[i - 1].to)
            next++;
        if (next == count)
            return false;
        if (edges[next].from != edges[i - 1].to)
            edges[next] = (edge){ edges[next].curve, edges[next].to, edges[next].from, edges[next].rises };
        if (next != i) {
            const edge kept = edges[i];

            edges[i] = edges[next];
            edges[next] = kept;
        }
    }
    return count > 0 && edges[0].from != 0 && edges[count - 1].to == edges[0].from;
}

/* Splits the round where rising changes; false where that does not give four sides. */
static bool split_sides(const edge *edges, int count, face *f)
{
    int first = 0, sides = 0;

    while (first < count && edges[first].rises == edges[(first + count - 1) % count].rises)
        first++;
    for (int i = 0; first < count && i < count; i++) {
        const edge *e = &edges[(first + i) % count], *before = &edges[(first + i + count - 1) % count];

        if (e->rises != before->rises) {
            if (sides == 4)
                return false;
            f->side[sides].count = 0;
            f->corner[sides++] = e->from;
        }
        f->side[sides - 1].curve[f->side[sides - 1].count++] = e->curve;
    }
    return sides == 4;
}

static bool four_sides(int tag, face *f)
{
    int of[2] = { 2, tag }, *found = NULL, failed;
    edge edges[EDGES_MOST];
    size_t count = 0;

    gmshModelGetBoundary(of, 2, &found, &count, 0, 0, 0, &failed);
    kernel_check(failed, "list the sides of a face");
    count /= 2;
    for (size_t i = 0; i < count && i < EDGES_MOST; i++)
        edges[i] = read_edge(abs(found[2 * i + 1]));
    gmshFree(found);
    f->tag = tag;
    return count >= 4 && count <= EDGES_MOST && chain(edges, (int)count) && split_sides(edges, (int)count, f);
}

static plan make_plan(double chord_mm)
{
    int *curves = NULL, *faces = NULL;
    const size_t curve_count = list(1, &curves), face_count = list(2, &faces);
    plan p = { 0 };

    for (size_t i = 0; i < curve_count; i++)
        p.curve_most = curves[i] > p.curve_most ? curves[i] : p.curve_most;
    p.parts = allocate((size_t)p.curve_most + 1, sizeof *p.parts);
    p.faces = allocate(face_count, sizeof *p.faces);
    for (size_t i = 0; i < curve_count; i++)
        p.parts[curves[i]] = parts_of(curves[i], chord_mm);
    for (size_t i = 0; i < face_count; i++)
        if (!is_straight(2, faces[i]) && four_sides(faces[i], &p.faces[p.face_count]))
            p.face_count++;
    gmshFree(curves);
    gmshFree(faces);
    return p;
}

static int parts_on(const plan *p, const side *s)
{
    int sum = 0;

    for (int i = 0; i < s->count; i++)
        sum += p->parts[s->curve[i]];
    return sum;
}

/* On the edge of a side that has most already. */
static void refine(plan *p, const side *s, int more)
{
    int most = 0;

    for (int i = 1; i < s->count; i++)
        if (p->parts[s->curve[i]] > p->parts[s->curve[most]])
            most = i;
    p->parts[s->curve[most]] += more;
}

static bool sides_agree(const plan *p, const face *f)
{
    return parts_on(p, &f->side[0]) == parts_on(p, &f->side[2]) && parts_on(p, &f->side[1]) == parts_on(p, &f->side[3]);
}

/* Raises the coarser of opposite sides until nothing changes. Faces that ask each other in a ring would never end:
 * after some rounds those that still disagree are left to the mesher. */
static void agree(plan *p)
{
    enum { ROUNDS = 60 };
    bool changed = true;

    for (int round = 0; changed && round < ROUNDS; round++) {
        changed = false;
        for (size_t i = 0; i < p->face_count; i++)
            for (int s = 0; s < 2; s++) {
                const side *one = &p->faces[i].side[s], *other = &p->faces[i].side[s + 2];
                const int lack = parts_on(p, other) - parts_on(p, one);

                changed = changed || lack != 0;
                refine(p, lack > 0 ? one : other, abs(lack));
            }
    }
}

void group_mesh(double chord_mm)
{
    plan p = make_plan(chord_mm);
    int failed;

    agree(&p);
    for (int curve = 1; curve <= p.curve_most; curve++)
        if (p.parts[curve] > 0) {
            gmshModelMeshSetTransfiniteCurve(curve, p.parts[curve] + 1, "Progression", 1, &failed);
            kernel_check(failed, "divide an edge");
        }
    for (size_t i = 0; i < p.face_count; i++)
        if (sides_agree(&p, &p.faces[i])) {
            gmshModelMeshSetTransfiniteSurface(p.faces[i].tag, "Left", p.faces[i].corner, 4, &failed);
            kernel_check(failed, "divide a face");
        }
    gmshModelMeshGenerate(2, &failed);
    kernel_check(failed, "make triangles");
    free(p.parts);
    free(p.faces);
}
