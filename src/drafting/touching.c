/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What touches what on paper: the one judge that both the placing and the tests ask. */
#include "drafting/drafting_internal.h"

#include <math.h>
#include <stdio.h>

static const double radian = 0.01745329251994329577;

/* A text's own clearance to lines below it is counted from its baseline: figures have no descenders, and a letter's
 * tail may come near the dimension line it stands on. */
static cw_drafting__bounds body(const cw_drafting__mark *text, double gap)
{
    cw_drafting__bounds box = cw_drafting__mark_bounds(text);

    if (text->up)
        box.right = text->x1;
    else
        box.bottom = text->y1;
    return (cw_drafting__bounds){ box.left - gap, box.bottom - gap, box.right + gap, box.top + gap };
}

static bool apart(const cw_drafting__bounds *a, const cw_drafting__bounds *b)
{
    return a->right <= b->left || b->right <= a->left || a->top <= b->bottom || b->top <= a->bottom;
}

/* Liang and Barsky: the part of the segment's parameter that lies between two bounds in one direction. */
static bool narrow(double start, double step, double low, double high, double *first, double *last)
{
    double enter, leave;

    if (step == 0)
        return start > low && start < high;
    enter = (low - start) / step;
    leave = (high - start) / step;
    *first = fmax(*first, fmin(enter, leave));
    *last = fmin(*last, fmax(enter, leave));
    return *first < *last;
}

static bool segment_enters(const cw_drafting__bounds *box, double x1, double y1, double x2, double y2)
{
    double first = 0, last = 1;

    return narrow(x1, x2 - x1, box->left, box->right, &first, &last) &&
           narrow(y1, y2 - y1, box->bottom, box->top, &first, &last);
}

/* By chords of at most 5 degrees, which stray 0.001 of the radius. */
static bool arc_enters(const cw_drafting__bounds *box, const cw_drafting__mark *arc)
{
    const int pieces = (int)ceil((arc->b - arc->a) / 5);
    const cw_drafting__bounds reach = { arc->x1 - arc->x2, arc->y1 - arc->x2, arc->x1 + arc->x2, arc->y1 + arc->x2 };

    if (apart(box, &reach))
        return false;
    for (int i = 0; i < pieces; i++) {
        double a = (arc->a + (arc->b - arc->a) * i / pieces) * radian;
        double b = (arc->a + (arc->b - arc->a) * (i + 1) / pieces) * radian;

        if (segment_enters(box, arc->x1 + arc->x2 * cos(a), arc->y1 + arc->x2 * sin(a), arc->x1 + arc->x2 * cos(b),
                           arc->y1 + arc->x2 * sin(b)))
            return true;
    }
    return false;
}

bool cw_drafting__text_clashes(const cw_drafting__mark *text, const cw_drafting__mark *other, double text_gap,
                               double line_gap)
{
    cw_drafting__bounds box = body(text, line_gap), second;

    switch (other->kind) {
    case MARK_TEXT:
        box = cw_drafting__mark_bounds(text);
        box = (cw_drafting__bounds){ box.left - text_gap, box.bottom - text_gap, box.right + text_gap,
                                     box.top + text_gap };
        second = cw_drafting__mark_bounds(other);
        return !apart(&box, &second);
    case MARK_LINE:
        return segment_enters(&box, other->x1, other->y1, other->x2, other->y2);
    case MARK_ARC:
        return arc_enters(&box, other);
    case MARK_HEAD:
        return segment_enters(&box, other->x1, other->y1, other->x1 - DRAFTING_HEAD_MM * other->x2,
                              other->y1 - DRAFTING_HEAD_MM * other->y2);
    }
    return false;
}

static double distance_to_segment(const cw_drafting__mark *line, double x, double y)
{
    double dx = line->x2 - line->x1, dy = line->y2 - line->y1, square = dx * dx + dy * dy;
    double t = square > 0 ? ((x - line->x1) * dx + (y - line->y1) * dy) / square : 0;

    t = fmin(1, fmax(0, t));
    return hypot(x - line->x1 - t * dx, y - line->y1 - t * dy);
}

bool cw_drafting__disc_touches(const cw_drafting__mark *mark, double x, double y, double radius)
{
    const cw_drafting__bounds square = { x - radius, y - radius, x + radius, y + radius };
    cw_drafting__bounds bounds;

    if (mark->kind == MARK_LINE)
        return distance_to_segment(mark, x, y) < radius;
    if (mark->kind == MARK_ARC)
        return arc_enters(&square, mark);
    bounds = cw_drafting__mark_bounds(mark);
    return !apart(&square, &bounds);
}

static double side_of(const cw_drafting__mark *line, double x, double y)
{
    return (line->x2 - line->x1) * (y - line->y1) - (line->y2 - line->y1) * (x - line->x1);
}

bool cw_drafting__lines_cross(const cw_drafting__mark *one, const cw_drafting__mark *other)
{
    return side_of(one, other->x1, other->y1) * side_of(one, other->x2, other->y2) < 0 &&
           side_of(other, one->x1, one->y1) * side_of(other, one->x2, one->y2) < 0;
}

static bool page_clash(const cw_drafting__marks *marks, size_t at, double text_gap, double line_gap)
{
    for (size_t i = 0; i < marks->count; i++)
        if (i != at && cw_drafting__text_clashes(&marks->items[at], &marks->items[i], text_gap, line_gap))
            return true;
    return false;
}

size_t cw_drafting_clashes(const cw_drafting *drawing, double text_gap_mm, double line_gap_mm, char *found,
                           size_t found_size)
{
    size_t clashes = 0;

    for (size_t page = 0; page < drawing->count; page++) {
        const cw_drafting__marks *marks = &drawing->pages[page].marks;

        for (size_t i = 0; i < marks->count; i++)
            if (marks->items[i].kind == MARK_TEXT && page_clash(marks, i, text_gap_mm, line_gap_mm) && clashes++ == 0)
                snprintf(found, found_size, "%s", marks->items[i].words);
    }
    return clashes;
}
