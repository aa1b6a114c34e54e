/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright-mesher: triangles in outlines of lines and arcs, by the gmsh library, in a process of its own since the
 * library is slow to load and keeps its state in globals. Question and answer: src/mesh/mesher.c. Ends with 0, or with 2
 * and a sentence where the outlines cannot be meshed. */
#include <gmshc.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { OUTLINES_MOST = 1000, PIECES_MOST = 100000, SIZES_MOST = 1000000 };

/* ---- sizes ---------------------------------------------------------------------------------------------------- */

typedef struct wish {
    double at[2], size;
} wish;

/* A node of a tree over wishes[first..last-1], halved along its longer side. */
typedef struct knot {
    double low[2], high[2], least;
    int first, last, left; /* children at left and left + 1; left 0 in a leaf */
} knot;

typedef struct sizes {
    wish *wishes;
    knot *knots;
    int count, used;
    double growth;
} sizes;

static int by_x(const void *a, const void *b)
{
    double x = ((const wish *)a)->at[0], y = ((const wish *)b)->at[0];

    return x < y ? -1 : x > y;
}

static int by_y(const void *a, const void *b)
{
    double x = ((const wish *)a)->at[1], y = ((const wish *)b)->at[1];

    return x < y ? -1 : x > y;
}

static void halve(sizes *sizes, int at, int first, int last)
{
    knot *knot = &sizes->knots[at];

    knot->first = first;
    knot->last = last;
    knot->left = 0;
    knot->least = INFINITY;
    for (int d = 0; d < 2; d++) {
        knot->low[d] = INFINITY;
        knot->high[d] = -INFINITY;
        for (int i = first; i < last; i++) {
            knot->low[d] = fmin(knot->low[d], sizes->wishes[i].at[d]);
            knot->high[d] = fmax(knot->high[d], sizes->wishes[i].at[d]);
        }
    }
    for (int i = first; i < last; i++)
        knot->least = fmin(knot->least, sizes->wishes[i].size);
    if (last - first <= 8)
        return;
    qsort(sizes->wishes + first, (size_t)(last - first), sizeof(wish),
          knot->high[0] - knot->low[0] >= knot->high[1] - knot->low[1] ? by_x : by_y);
    knot->left = sizes->used;
    sizes->used += 2;
    halve(sizes, knot->left, first, (first + last) / 2);
    halve(sizes, knot->left + 1, (first + last) / 2, last);
}

/* Called some hundred times a triangle; hypot and fmax would take a third of the whole time. */
static double size_from(double size, double growth, double dx, double dy)
{
    return size + growth * sqrt(dx * dx + dy * dy);
}

static double beyond(double low, double high, double at)
{
    return at < low ? low - at : at > high ? at - high : 0;
}

static double bound(const sizes *sizes, const knot *knot, double x, double y)
{
    return size_from(knot->least, sizes->growth, beyond(knot->low[0], knot->high[0], x),
                     beyond(knot->low[1], knot->high[1], y));
}

static void search(const sizes *sizes, int at, double x, double y, double *best)
{
    const knot *knot = &sizes->knots[at];

    if (bound(sizes, knot, x, y) >= *best)
        return;
    if (knot->left == 0) {
        for (int i = knot->first; i < knot->last; i++) {
            const wish *wish = &sizes->wishes[i];
            double size = size_from(wish->size, sizes->growth, wish->at[0] - x, wish->at[1] - y);

            *best = size < *best ? size : *best;
        }
        return;
    }
    {
        int near = knot->left, far = near + 1;

        if (bound(sizes, &sizes->knots[far], x, y) < bound(sizes, &sizes->knots[near], x, y)) {
            near++;
            far--;
        }
        search(sizes, near, x, y, best);
        search(sizes, far, x, y, best);
    }
}

#if GMSH_API_VERSION_MAJOR > 4 || (GMSH_API_VERSION_MAJOR == 4 && GMSH_API_VERSION_MINOR >= 9)
static double size_at(int dim, int tag, double x, double y, double z, double usual, void *data)
#else
static double size_at(int dim, int tag, double x, double y, double z, void *data)
#endif
{
    double best = INFINITY;

    (void)dim;
    (void)tag;
    (void)z;
#if GMSH_API_VERSION_MAJOR > 4 || (GMSH_API_VERSION_MAJOR == 4 && GMSH_API_VERSION_MINOR >= 9)
    (void)usual;
#endif
    search(data, 0, x, y, &best);
    return best;
}

/* ---- geometry ------------------------------------------------------------------------------------------------- */

static _Noreturn void end(int status, const char *sentence)
{
    fprintf(stderr, "%s\n", sentence);
    exit(status);
}

static void need(int ierr, const char *what)
{
    if (ierr != 0) {
        fprintf(stderr, "The outlines could not be meshed (%s).\n", what);
        exit(2);
    }
}

static double number(void)
{
    double value;

    if (scanf("%lf", &value) != 1)
        end(3, "The mesher's question breaks off.");
    return value;
}

static int whole(int most)
{
    double value = number();

    if (!(value >= 0 && value <= most))
        end(3, "The mesher's question holds a count out of range.");
    return (int)value;
}

static int add_outline(void)
{
    int count = whole(PIECES_MOST), *curves = calloc((size_t)count + 1, sizeof *curves), first = 0, last = 0, ierr;
    int loop, surface;

    if (curves == NULL)
        end(3, "There is no memory left for the mesher.");
    for (int i = 0; i < count; i++) {
        double row[7];
        int from = last, to;

        for (int k = 0; k < 7; k++)
            row[k] = number();
        if (i == 0)
            from = first = gmshModelOccAddPoint(row[0], row[1], 0, 0, -1, &ierr);
        to = i + 1 == count ? first : gmshModelOccAddPoint(row[2], row[3], 0, 0, -1, &ierr);
        if (row[4] != 0) {
            int centre = gmshModelOccAddPoint(row[5], row[6], 0, 0, -1, &ierr);

            curves[i] = gmshModelOccAddCircleArc(from, centre, to, -1, &ierr);
            need(ierr, "an arc");
            gmshModelOccRemove((int[2]){ 0, centre }, 2, 0, &ierr);
        } else {
            curves[i] = gmshModelOccAddLine(from, to, -1, &ierr);
            need(ierr, "a line");
        }
        last = to;
    }
    loop = gmshModelOccAddCurveLoop(curves, (size_t)count, -1, &ierr);
    need(ierr, "an outline");
    surface = gmshModelOccAddPlaneSurface(&loop, 1, -1, &ierr);
    need(ierr, "a region");
    free(curves);
    return surface;
}

/* The box and, on its sides that are open, the shell's rectangles; surfaces behind one another in tags. */
static int add_frame(const double inside[4], const double outside[4], int *tags)
{
    double x[4] = { outside[0], inside[0], inside[1], outside[1] }, y[4] = { outside[2], inside[2], inside[3], outside[3] };
    int count = 0, ierr;

    for (int j = 0; j < 3; j++)
        for (int i = 0; i < 3; i++)
            if (x[i + 1] > x[i] && y[j + 1] > y[j]) {
                tags[count++] = gmshModelOccAddRectangle(x[i], y[j], 0, x[i + 1] - x[i], y[j + 1] - y[j], -1, 0, &ierr);
                need(ierr, "the box");
            }
    return count;
}

/* Cuts all surfaces by each other; region[tag] receives the last outline that covers a surface. */
static int *fragment(const int *frame, int frame_count, const int *outline, int outline_count, int *most)
{
    int objects[2 * 9], *tools = calloc(2 * (size_t)outline_count + 1, sizeof *tools), *out, **map, *region, ierr;
    size_t out_count, *map_counts, map_count;

    if (tools == NULL)
        end(3, "There is no memory left for the mesher.");
    for (int i = 0; i < frame_count; i++) {
        objects[2 * i] = 2;
        objects[2 * i + 1] = frame[i];
    }
    for (int i = 0; i < outline_count; i++) {
        tools[2 * i] = 2;
        tools[2 * i + 1] = outline[i];
    }
    gmshModelOccFragment(objects, 2 * (size_t)frame_count, tools, 2 * (size_t)outline_count, &out, &out_count, &map,
                         &map_counts, &map_count, -1, 1, 1, &ierr);
    need(ierr, "regions by each other");
    *most = 0;
    for (size_t i = 0; i < out_count; i += 2)
        *most = out[i] == 2 && out[i + 1] > *most ? out[i + 1] : *most;
    region = calloc((size_t)*most + 1, sizeof *region);
    if (region == NULL)
        end(3, "There is no memory left for the mesher.");
    for (size_t i = (size_t)frame_count; i < map_count; i++)
        for (size_t k = 0; k < map_counts[i]; k += 2)
            if (map[i][k] == 2)
                region[map[i][k + 1]] = (int)i - frame_count + 1;
    for (size_t i = 0; i < map_count; i++)
        gmshFree(map[i]);
    gmshFree(map);
    gmshFree(map_counts);
    gmshFree(out);
    free(tools);
    return region;
}

/* ---- answer --------------------------------------------------------------------------------------------------- */

static size_t *write_vertices(size_t triangles, size_t *span)
{
    size_t *tags, count, coordinates, parameters, *numbers, next = 0;
    double *places, *others;
    int ierr;

    gmshModelMeshGetNodes(&tags, &count, &places, &coordinates, &others, &parameters, -1, -1, 0, 0, &ierr);
    need(ierr, "reading its vertices");
    *span = 0;
    for (size_t i = 0; i < count; i++)
        *span = tags[i] >= *span ? tags[i] + 1 : *span;
    numbers = calloc(*span, sizeof *numbers);
    if (numbers == NULL)
        end(3, "There is no memory left for the mesher.");
    printf("%zu %zu\n", count, triangles);
    for (size_t i = 0; i < count; i++) {
        numbers[tags[i]] = next++;
        printf("%.17g %.17g\n", places[3 * i], places[3 * i + 1]);
    }
    gmshFree(tags);
    gmshFree(places);
    gmshFree(others);
    return numbers;
}

static void write_answer(const int *region, int most)
{
    size_t *tags, count, *nodes, node_count, *numbers = NULL, span = 0, all = 0;
    int ierr;

    for (int pass = 0; pass < 2; pass++) { /* how many, then which */
        if (pass == 1)
            numbers = write_vertices(all, &span);
        for (int surface = 1; surface <= most; surface++) {
            gmshModelMeshGetElementsByType(2, &tags, &count, &nodes, &node_count, surface, 0, 1, &ierr);
            if (ierr != 0)
                continue; /* a tag that the cutting has left out */
            all += pass == 0 ? count : 0;
            for (size_t i = 0; i < count && pass == 1; i++)
                printf("%zu %zu %zu %d\n", numbers[nodes[3 * i]], numbers[nodes[3 * i + 1]], numbers[nodes[3 * i + 2]],
                       region[surface]);
            gmshFree(tags);
            gmshFree(nodes);
        }
    }
    free(numbers);
}

static void read_sizes(sizes *sizes, double growth)
{
    sizes->growth = growth;
    sizes->count = whole(SIZES_MOST);
    sizes->wishes = calloc((size_t)sizes->count + 1, sizeof *sizes->wishes);
    sizes->knots = calloc(2 * (size_t)sizes->count + 2, sizeof *sizes->knots);
    if (sizes->wishes == NULL || sizes->knots == NULL || sizes->count == 0)
        end(3, "The mesher's question holds no sizes.");
    for (int i = 0; i < sizes->count; i++) {
        sizes->wishes[i].at[0] = number();
        sizes->wishes[i].at[1] = number();
        sizes->wishes[i].size = number();
    }
    sizes->used = 1;
    halve(sizes, 0, 0, sizes->count);
}

int main(void)
{
    static sizes sizes;
    double box[8], growth;
    int frame[9], frame_count, outline_count, *outline, *region, most, ierr;

    gmshInitialize(0, NULL, 0, &ierr);
    need(ierr, "its start");
    gmshOptionSetNumber("General.Terminal", 0, &ierr);
    gmshOptionSetNumber("Mesh.MeshSizeExtendFromBoundary", 0, &ierr);
    gmshOptionSetNumber("Mesh.MeshSizeFromPoints", 0, &ierr);
    gmshOptionSetNumber("Mesh.Algorithm", 5, &ierr); /* Delaunay: follows steep gradings, and is the same every time */
    gmshOptionSetNumber("General.NumThreads", 1, &ierr);
    for (int k = 0; k < 8; k++)
        box[k] = number();
    growth = number();
    outline_count = whole(OUTLINES_MOST);
    outline = calloc((size_t)outline_count + 1, sizeof *outline);
    if (outline == NULL)
        end(3, "There is no memory left for the mesher.");
    frame_count = add_frame(box, box + 4, frame);
    for (int i = 0; i < outline_count; i++)
        outline[i] = add_outline();
    read_sizes(&sizes, growth);
    region = fragment(frame, frame_count, outline, outline_count, &most);
    gmshModelOccSynchronize(&ierr);
    need(ierr, "taking over the geometry");
    gmshModelMeshSetSizeCallback(size_at, &sizes, &ierr);
    gmshModelMeshGenerate(2, &ierr);
    need(ierr, "the triangles");
    write_answer(region, most);
    free(region);
    free(outline);
    free(sizes.wishes);
    free(sizes.knots);
    gmshFinalize(&ierr);
    return fflush(stdout) == 0 ? 0 : 3;
}
