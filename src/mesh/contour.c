/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Outlines of lines and arcs: as pieces, as polygons, and what cannot be one. */
#include "mesh/mesh_internal.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846

enum { CHECK_CUTS = 48 }; /* sides a quarter turn of the polygons that crossings are looked for in */

/* ---- pieces --------------------------------------------------------------------------------------------------- */

static double cross(const double a[2], const double b[2], const double c[2])
{
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

/* Centre of the circle through three places, and how far it is swept from the first over the second to the third. False
 * where they lie on a line. */
static bool circle(const double p[2], const double q[2], const double r[2], double centre[2], double *sweep)
{
    double a[2] = { q[0] - p[0], q[1] - p[1] }, b[2] = { r[0] - p[0], r[1] - p[1] };
    double twice = 2 * (a[0] * b[1] - a[1] * b[0]), aa = a[0] * a[0] + a[1] * a[1], bb = b[0] * b[0] + b[1] * b[1];
    double first, last, turn;

    if (!(fabs(twice) > 1e-9 * (aa + bb)))
        return false;
    centre[0] = p[0] + (b[1] * aa - a[1] * bb) / twice;
    centre[1] = p[1] + (a[0] * bb - b[0] * aa) / twice;
    first = atan2(p[1] - centre[1], p[0] - centre[0]);
    last = atan2(r[1] - centre[1], r[0] - centre[0]);
    turn = fmod(last - first + 4 * PI, 2 * PI); /* counter-clockwise */
    *sweep = twice > 0 ? turn : turn - 2 * PI;
    return true;
}

static void place_of(const cw_contour *outline, size_t i, double place[2])
{
    const cw_contour_point *point = &outline->point[i % outline->count];

    place[0] = point->x;
    place[1] = point->y + outline->lift;
}

/* The pieces from a corner to the next one; returns how many. piece may be NULL. */
static size_t cut_side(const cw_contour *outline, size_t i, cw_piece *piece)
{
    double p[2], q[2], r[2], centre[2], sweep;
    bool bent = outline->point[(i + 1) % outline->count].through;
    size_t parts;

    place_of(outline, i, p);
    place_of(outline, i + 1, q);
    place_of(outline, i + 2, r);
    if (!bent || !circle(p, q, r, centre, &sweep)) {
        if (piece != NULL) {
            *piece = (cw_piece){ .arc = false };
            memcpy(piece->from, p, sizeof p);
            memcpy(piece->to, bent ? r : q, sizeof r);
        }
        return 1;
    }
    parts = (size_t)ceil(fabs(sweep) / (0.5 * PI) - 1e-9);
    for (size_t k = 0; k < parts && piece != NULL; k++, piece++) {
        double turn = sweep / (double)parts;

        *piece = (cw_piece){ .arc = true, .sweep = turn };
        memcpy(piece->centre, centre, sizeof centre);
        for (int end = 0; end < 2; end++) {
            double angle = turn * (double)(k + (size_t)end), x = p[0] - centre[0], y = p[1] - centre[1];
            double *to = end == 0 ? piece->from : piece->to;

            to[0] = centre[0] + x * cos(angle) - y * sin(angle);
            to[1] = centre[1] + x * sin(angle) + y * cos(angle);
        }
        if (k == 0)
            memcpy(piece->from, p, sizeof p);
        if (k + 1 == parts)
            memcpy(piece->to, r, sizeof r);
    }
    return parts;
}

static cw_status check_points(const cw_contour *outline, cw_error *error)
{
    for (size_t i = 0; i < outline->count; i++) {
        if (!(isfinite(outline->point[i].x) && isfinite(outline->point[i].y)))
            return cw_refuse(error, NULL, "two lengths a place", "The region '%s' has a place that is no number.",
                             outline->name);
        if (outline->point[i].through && (i == 0 || outline->point[i - 1].through))
            return cw_refuse(error, NULL, "a corner, then one place on the arc, then a corner",
                             "The outline of the region '%s' %s.", outline->name,
                             i == 0 ? "begins on an arc" : "has two places on an arc one after the other");
    }
    if (outline->count < 3)
        return cw_refuse(error, NULL, "three places or more", "The outline of the region '%s' has %zu places.",
                         outline->name, outline->count);
    return CW_OK;
}

cw_status cw_contour__pieces(const cw_contour *outline, cw_piece **piece, size_t *count, cw_error *error)
{
    cw_status status = check_points(outline, error);
    cw_piece *made;
    size_t used = 0;

    *piece = NULL;
    *count = 0;
    if (status != CW_OK)
        return status;
    for (size_t i = 0; i < outline->count; i++)
        *count += outline->point[i].through ? 0 : cut_side(outline, i, NULL);
    made = cw_allocate(*count, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    for (size_t i = 0; i < outline->count; i++)
        used += outline->point[i].through ? 0 : cut_side(outline, i, made + used);
    *piece = made;
    return CW_OK;
}

/* ---- polygons ------------------------------------------------------------------------------------------------- */

static double signed_area(const double (*place)[2], size_t count)
{
    double twice = 0;

    for (size_t i = 0; i < count; i++) {
        const double *a = place[i], *b = place[(i + 1) % count];

        twice += (a[0] - place[0][0]) * (b[1] - place[0][1]) - (a[1] - place[0][1]) * (b[0] - place[0][0]);
    }
    return 0.5 * twice;
}

static size_t cuts_of(const cw_piece *piece, int cuts)
{
    return piece->arc ? (size_t)fmax(1, ceil(cuts * fabs(piece->sweep) / (0.5 * PI) - 1e-9)) : 1;
}

static size_t cut_piece(const cw_piece *piece, int cuts, double (*place)[2])
{
    size_t parts = cuts_of(piece, cuts);

    memcpy(place[0], piece->from, sizeof piece->from);
    for (size_t k = 1; k < parts; k++) {
        double angle = piece->sweep * (double)k / (double)parts;
        double x = piece->from[0] - piece->centre[0], y = piece->from[1] - piece->centre[1];

        place[k][0] = piece->centre[0] + x * cos(angle) - y * sin(angle);
        place[k][1] = piece->centre[1] + x * sin(angle) + y * cos(angle);
    }
    return parts;
}

static void turn_round(double (*place)[2], size_t count)
{
    for (size_t i = 0; i < count / 2; i++)
        for (int d = 0; d < 2; d++) {
            double kept = place[i][d];

            place[i][d] = place[count - 1 - i][d];
            place[count - 1 - i][d] = kept;
        }
}

cw_status cw_contour_flatten(const cw_contour *outline, int cuts, double (**place)[2], size_t *count, cw_error *error)
{
    cw_piece *piece;
    size_t pieces, used = 0;
    double (*made)[2];
    cw_status status = cw_contour__pieces(outline, &piece, &pieces, error);

    *place = NULL;
    *count = 0;
    if (status != CW_OK)
        return status;
    for (size_t i = 0; i < pieces; i++)
        *count += cuts_of(&piece[i], cuts);
    made = cw_allocate(*count, sizeof *made);
    for (size_t i = 0; i < pieces && made != NULL; i++)
        used += cut_piece(&piece[i], cuts, made + used);
    cw_free(piece);
    if (made == NULL)
        return cw_no_memory(error);
    if (signed_area((const double (*)[2])made, *count) < 0)
        turn_round(made, *count);
    *place = made;
    return CW_OK;
}

/* ---- what cannot be ------------------------------------------------------------------------------------------- */

static double distance_to_side(const double p[2], const double a[2], const double b[2])
{
    double x = b[0] - a[0], y = b[1] - a[1], square = x * x + y * y;
    double share = square > 0 ? ((p[0] - a[0]) * x + (p[1] - a[1]) * y) / square : 0;

    share = fmin(fmax(share, 0), 1);
    return hypot(a[0] + share * x - p[0], a[1] + share * y - p[1]);
}

/* Whether two sides cross inside both. */
static bool cross_inside(const double a[2], const double b[2], const double c[2], const double d[2])
{
    return cross(a, b, c) * cross(a, b, d) < 0 && cross(c, d, a) * cross(c, d, b) < 0;
}

static double distance_of_sides(const double a[2], const double b[2], const double c[2], const double d[2])
{
    if (cross_inside(a, b, c, d))
        return 0;
    return fmin(fmin(distance_to_side(a, c, d), distance_to_side(b, c, d)),
                fmin(distance_to_side(c, a, b), distance_to_side(d, a, b)));
}

static cw_status check_polygon(const cw_contour *outline, const double (*place)[2], size_t count, double *area,
                               cw_error *error)
{
    double size = 0;

    *area = signed_area(place, count);
    for (size_t i = 0; i < count; i++)
        size = fmax(size, hypot(place[i][0] - place[0][0], place[i][1] - place[0][1]));
    for (size_t i = 0; i < count; i++) {
        const double *a = place[i], *b = place[(i + 1) % count];

        if (hypot(b[0] - a[0], b[1] - a[1]) < 1e-9 * size)
            return cw_refuse(error, NULL, "each place once", "The outline of the region '%s' has a place twice, at "
                             "%.6g, %.6g mm.", outline->name, 1e3 * a[0], 1e3 * a[1]);
    }
    for (size_t i = 0; i < count; i++) {
        const double *a = place[i], *b = place[(i + 1) % count];

        for (size_t j = i + 1; j < count; j++) {
            const double *c = place[j], *d = place[(j + 1) % count];
            bool next = j == i + 1, last = (j + 1) % count == i;

            /* sides that share a place may only touch there: the far end of one must stay off the other */
            if (next || last ? (next && distance_to_side(d, a, b) < 1e-9 * size) ||
                                   (last && distance_to_side(c, a, b) < 1e-9 * size)
                             : distance_of_sides(a, b, c, d) < 1e-9 * size)
                return cw_refuse(error, NULL, "an outline that meets itself nowhere",
                                 "The outline of the region '%s' crosses or touches itself near %.6g, %.6g mm.",
                                 outline->name, 1e3 * c[0], 1e3 * c[1]);
        }
    }
    if (!(*area > 1e-12 * size * size))
        return cw_refuse(error, NULL, "places that span an area", "The region '%s' has no area.", outline->name);
    return CW_OK;
}

cw_status cw_contour_check(const cw_contour *outline, double *area, cw_error *error)
{
    double (*place)[2], found = 0;
    size_t count;
    cw_status status = cw_contour_flatten(outline, CHECK_CUTS, &place, &count, error);

    if (status == CW_OK)
        status = check_polygon(outline, (const double (*)[2])place, count, &found, error);
    cw_free(place);
    if (status == CW_OK && area != NULL)
        *area = found;
    return status;
}

/* ---- pairs ---------------------------------------------------------------------------------------------------- */

static bool is_inside(const double p[2], const double (*place)[2], size_t count)
{
    bool inside = false;

    for (size_t i = 0; i < count; i++) {
        const double *a = place[i], *b = place[(i + 1) % count];

        if ((a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
            inside = !inside;
    }
    return inside;
}

static double distance_to_rim(const double p[2], const double (*place)[2], size_t count)
{
    double nearest = INFINITY;

    for (size_t j = 0; j < count; j++)
        nearest = fmin(nearest, distance_to_side(p, place[j], place[(j + 1) % count]));
    return nearest;
}

/* Whether a's rim, where it is away from b's, runs inside b, and whether it runs outside. */
static void follow(const double (*a)[2], size_t a_count, const double (*b)[2], size_t b_count, double close,
                   bool *runs_inside, bool *runs_outside)
{
    *runs_inside = *runs_outside = false;
    for (size_t i = 0; i < a_count; i++) {
        const double *from = a[i], *to = a[(i + 1) % a_count];

        for (size_t j = 0; j < b_count; j++)
            if (cross_inside(from, to, b[j], b[(j + 1) % b_count]) &&
                distance_to_side(from, b[j], b[(j + 1) % b_count]) > close &&
                distance_to_side(to, b[j], b[(j + 1) % b_count]) > close)
                *runs_inside = *runs_outside = true;
        for (int k = 0; k <= 8; k++) {
            double p[2];

            for (int d = 0; d < 2; d++)
                p[d] = from[d] + (to[d] - from[d]) * k / 8;
            if (distance_to_rim(p, b, b_count) > close)
                *(is_inside(p, b, b_count) ? runs_inside : runs_outside) = true;
        }
    }
}

/* A place well inside a polygon: the middle of some ear, a little in from one of its sides. */
static void inner_place(const double (*place)[2], size_t count, double close, double inner[2])
{
    for (size_t i = 0; i < count; i++) {
        const double *a = place[i], *b = place[(i + 1) % count];
        double length = hypot(b[0] - a[0], b[1] - a[1]);

        for (double in = 0.25 * length; in > 2 * close; in *= 0.5) {
            inner[0] = 0.5 * (a[0] + b[0]) - in * (b[1] - a[1]) / length;
            inner[1] = 0.5 * (a[1] + b[1]) + in * (b[0] - a[0]) / length;
            if (distance_to_rim(inner, place, count) > close && is_inside(inner, place, count))
                return;
        }
    }
}

cw_status cw_contour_pair(const cw_contour *a, const cw_contour *b, double close, cw_contour_relation *relation,
                          cw_error *error)
{
    double (*p)[2] = NULL, (*q)[2] = NULL, inner[2] = { 0, 0 };
    size_t m = 0, n = 0;
    cw_status status = cw_contour_flatten(a, CHECK_CUTS, &p, &m, error);

    if (status == CW_OK)
        status = cw_contour_flatten(b, CHECK_CUTS, &q, &n, error);
    if (status == CW_OK) {
        const double (*first)[2] = (const double (*)[2])p, (*second)[2] = (const double (*)[2])q;
        bool in[2], out[2];

        relation->distance = INFINITY;
        for (size_t i = 0; i < m; i++)
            for (size_t j = 0; j < n; j++)
                relation->distance =
                    fmin(relation->distance, distance_of_sides(p[i], p[(i + 1) % m], q[j], q[(j + 1) % n]));
        follow(first, m, second, n, close, &in[0], &out[0]);
        follow(second, n, first, m, close, &in[1], &out[1]);
        inner_place(first, m, close, inner); /* of two like outlines neither runs into the other */
        relation->overlap = in[0] || in[1] || is_inside(inner, second, n);
        relation->inside = !out[0] && is_inside(inner, second, n);
    }
    cw_free(p);
    cw_free(q);
    return status;
}
