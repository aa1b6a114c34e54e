/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A question to coilwright-mesher and what it answers. Lengths go in millimetres, since the helper's geometry takes what
 * is nearer than 1e-7 of its unit for the same.
 *
 *   question:  inside x0 x1 y0 y1, outside x0 x1 y0 y1;  growth;  outlines: number
 *              each: pieces; rows of from x y, to x y, arc 0 or 1, centre x y
 *              sizes: number; rows of x y size
 *   answer:    vertices, triangles; rows of x y; rows of three vertices from 0 on and an outline from 1 on, 0 for none */
#include "mesh/mesh_internal.h"

#include "coilwright/process.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SECONDS_MOST = 60, TRIANGLES_MOST = 2000000 };

#define MM 1e3

static cw_status write_outline(const cw_contour *outline, cw_text *text, cw_error *error)
{
    cw_piece *piece;
    size_t count;
    cw_status status = cw_contour__pieces(outline, &piece, &count, error);

    if (status != CW_OK)
        return status;
    cw_text_print(text, "%zu\n", count);
    for (size_t i = 0; i < count; i++)
        cw_text_print(text, "%.17g %.17g %.17g %.17g %d %.17g %.17g\n", MM * piece[i].from[0], MM * piece[i].from[1],
                      MM * piece[i].to[0], MM * piece[i].to[1], piece[i].arc, MM * piece[i].centre[0],
                      MM * piece[i].centre[1]);
    cw_free(piece);
    return CW_OK;
}

static cw_status write_question(const cw_mesh_request *request, cw_text *text, cw_error *error)
{
    cw_status status = CW_OK;

    for (int k = 0; k < 8; k++)
        cw_text_print(text, "%.17g ", MM * (k < 4 ? request->inside[k] : request->outside[k - 4]));
    cw_text_print(text, "\n%.17g %zu\n", request->growth, request->contour_count);
    for (size_t i = 0; i < request->contour_count && status == CW_OK; i++)
        status = write_outline(&request->contour[i], text, error);
    cw_text_print(text, "%zu\n", request->size_count);
    for (size_t i = 0; i < request->size_count; i++)
        cw_text_print(text, "%.17g %.17g %.17g\n", MM * request->size[i].x, MM * request->size[i].y,
                      MM * request->size[i].size);
    return status;
}

typedef struct soup {
    double (*vertex)[2];
    int (*triangle)[3], *region;
    size_t vertices, triangles;
} soup;

/* Corners counter-clockwise: the helper follows the outline, whichever way round that runs. */
static void turn_left(soup *soup, size_t t)
{
    int *corner = soup->triangle[t];
    const double *a = soup->vertex[corner[0]], *b = soup->vertex[corner[1]], *c = soup->vertex[corner[2]];

    if ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]) < 0) {
        int kept = corner[1];

        corner[1] = corner[2];
        corner[2] = kept;
    }
}

static bool read_soup(const cw_mesh_request *request, const char *answer, soup *soup)
{
    char *at;
    long vertices = strtol(answer, &at, 10), triangles = strtol(at, &at, 10);

    if (vertices < 3 || triangles < 1 || vertices > TRIANGLES_MOST || triangles > TRIANGLES_MOST)
        return false;
    soup->vertices = (size_t)vertices;
    soup->triangles = (size_t)triangles;
    soup->vertex = cw_allocate(soup->vertices, sizeof *soup->vertex);
    soup->triangle = cw_allocate(soup->triangles, sizeof *soup->triangle);
    soup->region = cw_allocate(soup->triangles, sizeof *soup->region);
    if (soup->vertex == NULL || soup->triangle == NULL || soup->region == NULL)
        return false;
    for (size_t n = 0; n < soup->vertices; n++)
        for (int d = 0; d < 2; d++)
            soup->vertex[n][d] = strtod(at, &at) / MM;
    for (size_t t = 0; t < soup->triangles; t++) {
        long region;

        for (int k = 0; k < 3; k++) {
            long corner = strtol(at, &at, 10);

            if (corner < 0 || corner >= vertices)
                return false;
            soup->triangle[t][k] = (int)corner;
        }
        region = strtol(at, &at, 10);
        if (region < 0 || region > (long)request->contour_count)
            return false;
        turn_left(soup, t);
        soup->region[t] = region == 0 ? 0 : request->contour[region - 1].region;
    }
    return true;
}

/* The helper's millimetres leave a round-off, by which no triangle may stand out of the box. */
static void snap(const cw_mesh_request *request, soup *soup)
{
    const double close = 1e-9 * (request->outside[CW_RIGHT] - request->outside[CW_LEFT]);

    for (size_t n = 0; n < soup->vertices; n++)
        for (int side = 0; side < 4; side++) {
            double *at = &soup->vertex[n][side / 2];

            if (fabs(*at - request->inside[side]) < close)
                *at = request->inside[side];
            else if (fabs(*at - request->outside[side]) < close)
                *at = request->outside[side];
        }
}

cw_status cw_mesh_contours(const cw_mesh_request *request, cw_mesh **mesh, cw_error *error)
{
    cw_process_request process = { .helper = "coilwright-mesher", .seconds = SECONDS_MOST,
                                   .answer_most = (size_t)64 * TRIANGLES_MOST };
    cw_text question = { 0 };
    soup soup = { 0 };
    char *answer = NULL;
    size_t length;
    cw_status status = write_question(request, &question, error);

    *mesh = NULL;
    if (status == CW_OK && question.failed)
        status = cw_no_memory(error);
    if (status == CW_OK) {
        process.question = question.data;
        process.length = question.length;
        status = cw_process_run(&process, &answer, &length, error);
    }
    if (status == CW_OK && !read_soup(request, answer, &soup))
        status = cw_fail(error, "The helper coilwright-mesher answered with a mesh that is none.");
    if (status == CW_OK) {
        snap(request, &soup);
        status = cw_mesh_from_triangles((const double (*)[2])soup.vertex, soup.vertices,
                                        (const int (*)[3])soup.triangle, soup.region, soup.triangles, request->inside,
                                        request->outside, mesh, error);
    }
    cw_free(soup.vertex);
    cw_free(soup.triangle);
    cw_free(soup.region);
    cw_free(answer);
    cw_text_clear(&question);
    return status;
}
