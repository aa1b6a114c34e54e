/* SPDX-License-Identifier: GPL-3.0-or-later */
/* STEP with a header of our own, and triangles. */
#include "solids_helper/helper.h"

#include <gmshc.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

/* ---- STEP ------------------------------------------------------------------------------------------------------ */

static char *read_whole(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    char *text = NULL;
    long size;

    if (file == NULL || fseek(file, 0, SEEK_END) != 0 || (size = ftell(file)) < 0 || fseek(file, 0, SEEK_SET) != 0)
        fail(3, "The kernel wrote no STEP file.");
    text = allocate((size_t)size + 1, 1);
    *length = fread(text, 1, (size_t)size, file);
    fclose(file);
    text[*length] = '\0';
    return text;
}

/* The kernel names its products by itself, its version and a count: the whole "... 1", its solids "... 1.1" and on. */
static char *product_name(const char *group, const piece *pieces, size_t count, const char *given)
{
    const char *dot = memchr(strrchr(given, ' '), '.', strlen(strrchr(given, ' ')));
    const unsigned long number = dot != NULL ? strtoul(dot + 1, NULL, 10) : 0;

    return strdup(number >= 1 && number <= count ? pieces[number - 1].name : group);
}

/* Copies the data with the kernel's names replaced; returns the end of what was written. */
static char *copy_data(const char *data, const char *group, const piece *pieces, size_t count, char *to)
{
    static const char kernel_name[] = "'Open CASCADE STEP translator";
    const char *found;

    while ((found = strstr(data, kernel_name)) != NULL) {
        const char *end = strchr(found + 1, '\'');
        char *given, *name;

        if (end == NULL)
            break;
        given = strndup(found, (size_t)(end - found));
        name = given != NULL ? product_name(group, pieces, count, given) : NULL;
        if (name == NULL)
            fail(3, "There is no memory left.");
        to += sprintf(to, "%.*s'%s'", (int)(found - data), data, name);
        free(given);
        free(name);
        data = end + 1;
    }
    return to + sprintf(to, "%s", data);
}

/* The kernel's header holds the time and its version: two runs would give two files. */
static char *rewrite(const char *group, const piece *pieces, size_t count, const char *step, size_t *length)
{
    static const char format[] =
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('%s'),'2;1');\n"
        "FILE_NAME('%s.step','1970-01-01T00:00:00',(''),(''),'','Coilwright','');\n"
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\n";
    const char *data = strstr(step, "\nDATA;"), *schema = strstr(step, "AUTOMOTIVE_DESIGN");
    size_t names = 2 * strlen(group);
    char *made;

    if (data == NULL || schema == NULL || schema > data)
        fail(3, "The kernel wrote no STEP file of the schema AP214.");
    for (size_t i = 0; i < count; i++)
        names += 2 * sizeof pieces[i].name;
    made = allocate(sizeof format + 2 * names + strlen(data), 1);
    *length = (size_t)(copy_data(data + 1, group, pieces, count, made + sprintf(made, format, group, group)) - made);
    return made;
}

char *group_step(const char *group, const piece *pieces, size_t count, size_t *length)
{
    static const char path[] = "group.step";
    char *step, *made;
    int failed;

    gmshWrite(path, &failed);
    kernel_check(failed, "write a STEP file");
    step = read_whole(path, length);
    remove(path);
    made = rewrite(group, pieces, count, step, length);
    free(step);
    return made;
}

/* ---- triangles ------------------------------------------------------------------------------------------------- */

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
 * polygon of n corners has 2 pi^2 / (3 n^2) less area than its circle: 0.07 % at 96. Fillets and pins, of less than 2 mm,
 * weigh nothing and need less. */
static double whole_circle(double radius, double chord)
{
    const double facets = chord < radius ? pi / acos(1 - chord / radius) : 0;

    return 4 * ceil(fmin(fmax(facets, radius < 2 ? 12 : 96), 1000) / 4);
}

static void divide_curve(int curve, double chord_mm)
{
    char *type = NULL;
    double length = 0, parts = 1;
    int failed;

    gmshModelGetType(1, curve, &type, &failed);
    kernel_check(failed, "look at an edge");
    gmshModelOccGetMass(1, curve, &length, &failed);
    kernel_check(failed, "measure an edge");
    if (type != NULL && strcmp(type, "Line") != 0) {
        const double bend = fmax(curvature(curve), 1e-6);

        parts = ceil(whole_circle(1 / bend, chord_mm) * length * bend / (2 * pi) - 1e-6);
    }
    gmshModelMeshSetTransfiniteCurve(curve, (int)fmin(fmax(parts, 1), 4000) + 1, "Progression", 1, &failed);
    kernel_check(failed, "divide an edge");
    gmshFree(type);
}

/* The surfaces that bend in two directions, with the size of their triangles; others need no points but those of their
 * edges. */
typedef struct bends {
    int *surface;
    double *size_mm;
    size_t count;
} bends;

static double size_at(int dimension, int tag, double x, double y, double z, void *data)
{
    const bends *b = data;

    (void)x, (void)y, (void)z;
    for (size_t i = 0; dimension == 2 && i < b->count; i++)
        if (b->surface[i] == tag)
            return b->size_mm[i];
    return 1e6;
}

/* By the smaller of the radii, at the middle of the surface. */
static double bend_size(int surface, double chord_mm)
{
    double *low = NULL, *high = NULL, *most = NULL, *least = NULL, *along = NULL, *across = NULL, bend = 1e-6;
    size_t low_count, high_count, count = 0, other;
    double middle[2];
    int failed;

    gmshModelGetParametrizationBounds(2, surface, &low, &low_count, &high, &high_count, &failed);
    kernel_check(failed, "follow a surface");
    for (int i = 0; i < 2; i++)
        middle[i] = 0.5 * (low[i] + high[i]);
    gmshModelGetPrincipalCurvatures(surface, middle, 2, &most, &count, &least, &other, &along, &other, &across, &other,
                                    &failed);
    kernel_check(failed, "follow a surface");
    if (count > 0)
        bend = fmax(fmax(fabs(most[0]), fabs(least[0])), bend);
    gmshFree(low);
    gmshFree(high);
    gmshFree(most);
    gmshFree(least);
    gmshFree(along);
    gmshFree(across);
    return 2 * pi / bend / whole_circle(1 / bend, chord_mm);
}

static bends find_bends(double chord_mm)
{
    int *surfaces = NULL, failed;
    size_t count = 0;
    bends b;

    gmshModelGetEntities(&surfaces, &count, 2, &failed);
    kernel_check(failed, "list the faces");
    b = (bends){ allocate(count, sizeof *b.surface), allocate(count, sizeof *b.size_mm), 0 };
    for (size_t i = 0; i + 1 < count; i += 2) {
        char *type = NULL;

        gmshModelGetType(2, surfaces[i + 1], &type, &failed);
        kernel_check(failed, "look at a face");
        if (type != NULL && strcmp(type, "Plane") != 0 && strcmp(type, "Cylinder") != 0) {
            b.surface[b.count] = surfaces[i + 1];
            b.size_mm[b.count++] = bend_size(surfaces[i + 1], chord_mm);
        }
        gmshFree(type);
    }
    gmshFree(surfaces);
    return b;
}

void group_mesh(double chord_mm)
{
    bends b = find_bends(chord_mm);
    int *curves = NULL, failed;
    size_t count = 0;

    gmshModelGetEntities(&curves, &count, 1, &failed);
    kernel_check(failed, "list the edges");
    for (size_t i = 0; i + 1 < count; i += 2)
        divide_curve(curves[i + 1], chord_mm);
    gmshFree(curves);
    gmshModelMeshSetSizeCallback(size_at, &b, &failed);
    kernel_check(failed, "size the triangles");
    gmshModelMeshGenerate(2, &failed);
    kernel_check(failed, "make triangles");
    gmshModelMeshRemoveSizeCallback(&failed);
    kernel_check(failed, "size the triangles");
    free(b.surface);
    free(b.size_mm);
}

/* ---- a piece's line and bytes ---------------------------------------------------------------------------------- */

typedef struct surface { size_t *corners, corner_count; } surface;

/* The model's nodes by the kernel's tags, and their numbers in the order in which a piece's triangles first use them. */
typedef struct nodes {
    double *at;       /* [most + 1][3] by tag */
    int32_t *number;  /* by tag; 0 none, else from 1 */
    size_t *tag;      /* by number - 1 */
    size_t most, count;
} nodes;

static nodes read_nodes(void)
{
    size_t *tags = NULL, tag_count = 0, at_count = 0, parameter_count = 0;
    double *at = NULL, *parameters = NULL;
    nodes n = { 0 };
    int failed;

    gmshModelMeshGetNodes(&tags, &tag_count, &at, &at_count, &parameters, &parameter_count, -1, -1, 0, 0, &failed);
    kernel_check(failed, "read the nodes");
    for (size_t i = 0; i < tag_count; i++)
        n.most = tags[i] > n.most ? tags[i] : n.most;
    n.at = allocate(3 * (n.most + 1), sizeof *n.at);
    n.number = allocate(n.most + 1, sizeof *n.number);
    n.tag = allocate(n.most + 1, sizeof *n.tag);
    for (size_t i = 0; i < tag_count; i++)
        memcpy(n.at + 3 * tags[i], at + 3 * i, 3 * sizeof *at);
    gmshFree(tags);
    gmshFree(at);
    gmshFree(parameters);
    return n;
}

static void write_surfaces(const piece *p, double volume, const surface *surfaces, size_t count, FILE *out)
{
    nodes n = read_nodes();
    size_t corners = 0;

    for (size_t s = 0; s < count; s++)
        for (size_t i = 0; i < surfaces[s].corner_count; i++, corners++) {
            const size_t tag = surfaces[s].corners[i];

            if (n.number[tag] == 0) {
                n.tag[n.count++] = tag;
                n.number[tag] = (int32_t)n.count;
            }
        }
    fprintf(out, "piece %s %.17g %zu %zu\n", p->name, volume, n.count, corners / 3);
    for (size_t i = 0; i < n.count; i++)
        fwrite(n.at + 3 * n.tag[i], sizeof *n.at, 3, out);
    for (size_t s = 0; s < count; s++)
        for (size_t i = 0; i < surfaces[s].corner_count; i++) {
            const int32_t index = n.number[surfaces[s].corners[i]] - 1;

            fwrite(&index, sizeof index, 1, out);
        }
    free(n.at);
    free(n.number);
    free(n.tag);
}

void piece_write(const piece *p, FILE *out)
{
    int body[2] = { 3, p->body }, *faces = NULL, failed;
    size_t face_count = 0, *tags = NULL, tag_count = 0;
    double volume = 0;
    surface *surfaces;

    gmshModelOccGetMass(3, p->body, &volume, &failed);
    kernel_check(failed, "weigh a solid");
    gmshModelGetBoundary(body, 2, &faces, &face_count, 0, 0, 0, &failed);
    kernel_check(failed, "list the faces of a solid");
    surfaces = allocate(face_count / 2 + 1, sizeof *surfaces);
    for (size_t i = 0; i < face_count / 2; i++) {
        gmshModelMeshGetElementsByType(2, &tags, &tag_count, &surfaces[i].corners, &surfaces[i].corner_count,
                                       faces[2 * i + 1], 0, 1, &failed);
        kernel_check(failed, "read the triangles");
        gmshFree(tags);
    }
    write_surfaces(p, volume, surfaces, face_count / 2, out);
    for (size_t i = 0; i < face_count / 2; i++)
        gmshFree(surfaces[i].corners);
    free(surfaces);
    gmshFree(faces);
}
