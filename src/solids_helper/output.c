/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer: STEP with a header of our own, and the triangles of each piece. */
#include "solids_helper/helper.h"

#include <gmshc.h>
#include <stdlib.h>
#include <string.h>

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
