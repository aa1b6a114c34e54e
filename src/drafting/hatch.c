/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hatching: parallel lines at 45 degrees inside the faces of a part, by crossing counts (even-odd), in two steps.
 *
 * Turned by 45 degrees the hatch runs along one axis: u = (x + y)/sqrt 2 along a line, w = (y - x)/sqrt 2 across. Every
 * edge of the part's outlines, arcs as short chords, gives the u where it crosses a line of constant w; between the
 * first and second, third and fourth ... crossing lies material. For the other direction x is mirrored. */
#include "drafting/drafting_internal.h"

#include <math.h>
#include <stdlib.h>

#define SPACING_MM 2.2
#define LEAST_SPACING_MM 1.1 /* in small faces */
#define CROSSINGS_MOST 256
#define CHORD_DEGREES 6

static const double root_half = 0.70710678118654752440;

typedef struct hatching {
    const cw_drafting_view *view;
    int part;
    double factor;
    bool falling;
    double crossings[CROSSINGS_MOST];
    size_t count;
} hatching;

static void turned(const hatching *h, double x, double y, double *u, double *w)
{
    double x_mm = (h->falling ? -x : x) * h->factor, y_mm = y * h->factor;

    *u = (x_mm + y_mm) * root_half;
    *w = (y_mm - x_mm) * root_half;
}

static void cross_edge(hatching *h, double w, double x1, double y1, double x2, double y2)
{
    double u1, w1, u2, w2;

    turned(h, x1, y1, &u1, &w1);
    turned(h, x2, y2, &u2, &w2);
    if ((w1 <= w) != (w2 <= w) && h->count < CROSSINGS_MOST)
        h->crossings[h->count++] = u1 + (u2 - u1) * (w - w1) / (w2 - w1);
}

static void cross_arc(hatching *h, double w, const cw_drafting_corner *a, const cw_drafting_corner *b)
{
    double dx = b->x_m - a->x_m, dy = b->y_m - a->y_m, angle = 4 * atan(a->bulge), beside = 1 / (2 * tan(angle / 2));
    double x = (a->x_m + b->x_m) / 2 - beside * dy, y = (a->y_m + b->y_m) / 2 + beside * dx;
    double from = atan2(a->y_m - y, a->x_m - x), radius = hypot(a->x_m - x, a->y_m - y), x1 = a->x_m, y1 = a->y_m;
    int pieces = (int)ceil(fabs(angle) * 57.2958 / CHORD_DEGREES);

    for (int i = 1; i <= pieces; i++) {
        double x2 = i == pieces ? b->x_m : x + radius * cos(from + angle * i / pieces);
        double y2 = i == pieces ? b->y_m : y + radius * sin(from + angle * i / pieces);

        cross_edge(h, w, x1, y1, x2, y2);
        x1 = x2;
        y1 = y2;
    }
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static void cross_part(hatching *h, double w)
{
    h->count = 0;
    for (size_t f = 0; f < h->view->face_count; f++) {
        const cw_drafting__face *face = &h->view->faces[f];

        for (size_t i = 0; face->part == h->part && i < face->count; i++) {
            const cw_drafting_corner *a = &face->corners[i], *b = &face->corners[(i + 1) % face->count];

            if (a->bulge == 0)
                cross_edge(h, w, a->x_m, a->y_m, b->x_m, b->y_m);
            else
                cross_arc(h, w, a, b);
        }
    }
    qsort(h->crossings, h->count, sizeof h->crossings[0], by_size);
}

/* The part of a hatch line inside the detail's circle: |u - u0| <= sqrt(r^2 - (w - w0)^2). */
static bool in_circle(const hatching *h, double w, double *from, double *to)
{
    double u0, w0, radius = h->view->clip_radius_m * h->factor, half;

    if (!h->view->clipped)
        return *from < *to;
    turned(h, h->view->clip_x_m, h->view->clip_y_m, &u0, &w0);
    if (fabs(w - w0) >= radius)
        return false;
    half = sqrt(radius * radius - (w - w0) * (w - w0));
    *from = fmax(*from, u0 - half);
    *to = fmin(*to, u0 + half);
    return *from < *to;
}

static void draw_line(const hatching *h, double w, double from, double to, cw_drafting__marks *marks)
{
    double mirror = h->falling ? -1 : 1;

    if (!in_circle(h, w, &from, &to))
        return;
    cw_drafting__add_line(marks, CW_DRAFTING_HATCH, mirror * (from - w) * root_half, (from + w) * root_half,
                          mirror * (to - w) * root_half, (to + w) * root_half);
}

static void hatch_part(hatching *h, cw_drafting__marks *marks)
{
    double low = INFINITY, high = -INFINITY, u, w, spacing;

    for (size_t f = 0; f < h->view->face_count; f++)
        for (size_t i = 0; h->view->faces[f].part == h->part && i < h->view->faces[f].count; i++) {
            turned(h, h->view->faces[f].corners[i].x_m, h->view->faces[f].corners[i].y_m, &u, &w);
            low = fmin(low, w);
            high = fmax(high, w);
        }
    if (!(high > low))
        return;
    /* arcs bulge beyond their corners: reach further by the face's own width */
    spacing = fmin(SPACING_MM, fmax(LEAST_SPACING_MM, (high - low) / 6)) * (1 + 0.35 * (h->part / 2 % 3));
    for (w = spacing * (floor((2 * low - high) / spacing) + 0.5); w < 2 * high - low; w += spacing) {
        cross_part(h, w);
        for (size_t i = 0; i + 1 < h->count; i += 2)
            draw_line(h, w, h->crossings[i], h->crossings[i + 1], marks);
    }
}

void cw_drafting__draw_hatch(const cw_drafting_view *view, double factor, cw_drafting__marks *marks)
{
    int last = -1;

    for (size_t f = 0; f < view->face_count; f++)
        last = view->faces[f].part > last ? view->faces[f].part : last;
    for (int part = 0; part <= last; part++) {
        hatching h = { .view = view, .part = part, .factor = factor, .falling = part % 2 == 1 };

        hatch_part(&h, marks);
    }
}
