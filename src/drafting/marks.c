/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Marks on paper: lists of them, and how far they reach. */
#include "drafting/drafting_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Open Sans: capitals are 0.714 of the type's size high. */
#define CAPITALS_OF_SIZE 0.714
#define MM_PER_POINT (25.4 / 72.0)

static const double radian = 0.01745329251994329577;

void cw_drafting__add(cw_drafting__marks *marks, const cw_drafting__mark *mark)
{
    if (marks->failed)
        return;
    if (marks->count == marks->capacity) {
        size_t capacity = marks->capacity == 0 ? 256 : 2 * marks->capacity;
        cw_drafting__mark *items = cw_reallocate(marks->items, capacity, sizeof *items);

        if (items == NULL) {
            marks->failed = true;
            return;
        }
        marks->items = items;
        marks->capacity = capacity;
    }
    marks->items[marks->count] = *mark;
    marks->items[marks->count++].bounds = cw_drafting__mark_bounds(mark);
}

void cw_drafting__add_line(cw_drafting__marks *marks, cw_drafting_line line, double x1, double y1, double x2, double y2)
{
    const cw_drafting__mark mark = { .kind = MARK_LINE, .line = line, .x1 = x1, .y1 = y1, .x2 = x2, .y2 = y2 };

    cw_drafting__add(marks, &mark);
}

void cw_drafting__add_arc(cw_drafting__marks *marks, cw_drafting_line line, double x, double y, double radius,
                          double from, double to)
{
    const cw_drafting__mark mark = { .kind = MARK_ARC, .line = line, .x1 = x, .y1 = y, .x2 = radius, .a = from,
                                     .b = to };

    cw_drafting__add(marks, &mark);
}

void cw_drafting__add_head(cw_drafting__marks *marks, double x, double y, double dx, double dy)
{
    const cw_drafting__mark mark = { .kind = MARK_HEAD, .line = CW_DRAFTING_DIMENSION, .x1 = x, .y1 = y, .x2 = dx,
                                     .y2 = dy };

    cw_drafting__add(marks, &mark);
}

cw_type cw_drafting__type(double height_mm, bool bold)
{
    return (cw_type){ height_mm / CAPITALS_OF_SIZE / MM_PER_POINT, bold ? CW_SEMIBOLD : CW_REGULAR, CW_BLACK,
                      CW_ALIGN_LEFT };
}

double cw_drafting__width(cw_canvas *measure, double height_mm, bool bold, const char *words)
{
    return words[0] == '\0' ? 0 : cw_canvas_text_width(measure, cw_drafting__type(height_mm, bold), words);
}

double cw_drafting__add_text(cw_drafting__marks *marks, cw_canvas *measure, cw_drafting_line line, double x, double y,
                             double height_mm, bool up, bool bold, const char *words)
{
    cw_drafting__mark mark = { .kind = MARK_TEXT, .line = line, .x1 = x, .y1 = y, .y2 = height_mm, .up = up,
                               .bold = bold };

    snprintf(mark.words, sizeof mark.words, "%s", words);
    mark.x2 = cw_drafting__width(measure, height_mm, bold, mark.words);
    if (mark.words[0] != '\0')
        cw_drafting__add(marks, &mark);
    return mark.x2;
}

void cw_drafting__shift(cw_drafting__marks *marks, double dx, double dy)
{
    for (size_t i = 0; i < marks->count; i++) {
        cw_drafting__mark *mark = &marks->items[i];

        mark->x1 += dx;
        mark->y1 += dy;
        if (mark->kind == MARK_LINE) {
            mark->x2 += dx;
            mark->y2 += dy;
        }
        mark->bounds = cw_drafting__mark_bounds(mark);
    }
}

void cw_drafting__append(cw_drafting__marks *marks, const cw_drafting__marks *more)
{
    marks->failed = marks->failed || more->failed;
    for (size_t i = 0; i < more->count; i++)
        cw_drafting__add(marks, &more->items[i]);
}

void cw_drafting__clear(cw_drafting__marks *marks)
{
    cw_free(marks->items);
    memset(marks, 0, sizeof *marks);
}

/* ---- bounds ---------------------------------------------------------------------------------------------------- */

cw_drafting__bounds cw_drafting__nothing(void)
{
    return (cw_drafting__bounds){ INFINITY, INFINITY, -INFINITY, -INFINITY };
}

void cw_drafting__include(cw_drafting__bounds *bounds, double x, double y)
{
    bounds->left = fmin(bounds->left, x);
    bounds->right = fmax(bounds->right, x);
    bounds->bottom = fmin(bounds->bottom, y);
    bounds->top = fmax(bounds->top, y);
}

static void include_point_of(cw_drafting__bounds *bounds, const cw_drafting__mark *arc, double degrees)
{
    cw_drafting__include(bounds, arc->x1 + arc->x2 * cos(degrees * radian), arc->y1 + arc->x2 * sin(degrees * radian));
}

static void include_arc(cw_drafting__bounds *bounds, const cw_drafting__mark *mark)
{
    include_point_of(bounds, mark, mark->a);
    include_point_of(bounds, mark, mark->b);
    for (double quarter = 90 * ceil(mark->a / 90); quarter <= mark->b; quarter += 90)
        include_point_of(bounds, mark, quarter);
}

/* A text's box runs from its descenders to its capitals. */
static void include_text(cw_drafting__bounds *bounds, const cw_drafting__mark *mark)
{
    const double below = DRAFTING_DESCENT * mark->y2;

    if (mark->up) {
        cw_drafting__include(bounds, mark->x1 + below, mark->y1);
        cw_drafting__include(bounds, mark->x1 - mark->y2, mark->y1 + mark->x2);
    } else {
        cw_drafting__include(bounds, mark->x1, mark->y1 - below);
        cw_drafting__include(bounds, mark->x1 + mark->x2, mark->y1 + mark->y2);
    }
}

cw_drafting__bounds cw_drafting__mark_bounds(const cw_drafting__mark *mark)
{
    cw_drafting__bounds bounds = cw_drafting__nothing();

    switch (mark->kind) {
    case MARK_LINE:
        cw_drafting__include(&bounds, mark->x1, mark->y1);
        cw_drafting__include(&bounds, mark->x2, mark->y2);
        break;
    case MARK_ARC:
        include_arc(&bounds, mark);
        break;
    case MARK_HEAD:
        cw_drafting__include(&bounds, mark->x1, mark->y1);
        cw_drafting__include(&bounds, mark->x1 - DRAFTING_HEAD_MM * mark->x2, mark->y1 - DRAFTING_HEAD_MM * mark->y2);
        break;
    case MARK_TEXT:
        include_text(&bounds, mark);
        break;
    }
    return bounds;
}

cw_drafting__bounds cw_drafting__bounds_of(const cw_drafting__marks *marks)
{
    cw_drafting__bounds all = cw_drafting__nothing();

    for (size_t i = 0; i < marks->count; i++) {
        cw_drafting__bounds one = cw_drafting__mark_bounds(&marks->items[i]);

        cw_drafting__include(&all, one.left, one.bottom);
        cw_drafting__include(&all, one.right, one.top);
    }
    return all;
}
