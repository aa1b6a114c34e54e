/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A view's lines on paper: scaled, and cut to the circle of a detail. */
#include "drafting/drafting_internal.h"

#include <math.h>

#define CENTRE_LINE_BEYOND_MM 3.0

static const double radian = 0.01745329251994329577;

typedef struct pencil {
    const cw_drafting_view *view;
    double factor;
    cw_canvas *measure;
    cw_drafting__marks *marks;
} pencil;

/* A straight line from a to b at a + t (b - a): where |a + t (b - a) - c| = r, t solves a quadratic. */
static void line(const pencil *p, cw_drafting_line kind, double x1, double y1, double x2, double y2)
{
    double dx = x2 - x1, dy = y2 - y1, first = 0, last = 1;

    if (p->view->clipped) {
        double fx = x1 - p->view->clip_x_m * p->factor, fy = y1 - p->view->clip_y_m * p->factor;
        double r = p->view->clip_radius_m * p->factor, a = dx * dx + dy * dy, b = fx * dx + fy * dy;
        double root = b * b - a * (fx * fx + fy * fy - r * r);

        if (!(root > 0) || a == 0)
            return;
        first = fmax(0, (-b - sqrt(root)) / a);
        last = fmin(1, (-b + sqrt(root)) / a);
    }
    if (first < last)
        cw_drafting__add_line(p->marks, kind, x1 + first * dx, y1 + first * dy, x1 + last * dx, y1 + last * dy);
}

static bool inside(const pencil *p, const cw_drafting__item *arc, double angle)
{
    double x = (arc->x1 + arc->x2 * cos(angle * radian) - p->view->clip_x_m) / p->view->clip_radius_m;
    double y = (arc->y1 + arc->x2 * sin(angle * radian) - p->view->clip_y_m) / p->view->clip_radius_m;

    return hypot(x, y) <= 1;
}

/* Where between two angles, one in and one out, the arc passes the circle. */
static double passes(const pencil *p, const cw_drafting__item *arc, double in, double out)
{
    for (int i = 0; i < 40; i++) {
        double middle = (in + out) / 2;

        if (inside(p, arc, middle))
            in = middle;
        else
            out = middle;
    }
    return in;
}

static void add_arc(const pencil *p, const cw_drafting__item *arc, double from, double to)
{
    cw_drafting__add_arc(p->marks, arc->line, arc->x1 * p->factor, arc->y1 * p->factor, arc->x2 * p->factor, from, to);
}

/* In steps of a degree or less: a part that shorter steps would find is too short to be seen. */
static void clipped_arc(const pencil *p, const cw_drafting__item *arc)
{
    const int steps = (int)ceil(arc->to - arc->from);
    double entered = arc->from, before = arc->from;
    bool was_in = inside(p, arc, arc->from);

    for (int i = 1; i <= steps; i++) {
        double now = arc->from + (arc->to - arc->from) * i / steps;
        bool is_in = inside(p, arc, now);

        if (is_in && !was_in)
            entered = passes(p, arc, now, before);
        if (was_in && !is_in)
            add_arc(p, arc, entered, passes(p, arc, before, now));
        before = now;
        was_in = is_in;
    }
    if (was_in)
        add_arc(p, arc, entered, arc->to);
}

static void centre_line(const pencil *p, const cw_drafting__item *item)
{
    double dx = (item->x2 - item->x1) * p->factor, dy = (item->y2 - item->y1) * p->factor, length = hypot(dx, dy);
    double ex = CENTRE_LINE_BEYOND_MM * dx / length, ey = CENTRE_LINE_BEYOND_MM * dy / length;

    if (length > 0)
        line(p, CW_DRAFTING_CENTRE, item->x1 * p->factor - ex, item->y1 * p->factor - ey, item->x2 * p->factor + ex,
             item->y2 * p->factor + ey);
}

static void letter(const pencil *p, double x, double y, const char *words)
{
    double width = cw_drafting__width(p->measure, DRAFTING_TITLES_MM, true, words);

    cw_drafting__add_text(p->marks, p->measure, CW_DRAFTING_DIMENSION, x - width / 2, y - DRAFTING_TITLES_MM / 2,
                          DRAFTING_TITLES_MM, false, true, words);
}

static void draw_item(const pencil *p, const cw_drafting__item *item)
{
    switch (item->kind) {
    case ITEM_SEGMENT:
        line(p, item->line, item->x1 * p->factor, item->y1 * p->factor, item->x2 * p->factor, item->y2 * p->factor);
        break;
    case ITEM_ARC:
        if (p->view->clipped)
            clipped_arc(p, item);
        else
            add_arc(p, item, item->from, item->to);
        break;
    case ITEM_CENTRE_LINE:
        centre_line(p, item);
        break;
    case ITEM_LETTER:
        letter(p, item->x1 * p->factor + item->dx, item->y1 * p->factor + item->dy, item->words);
        break;
    }
}

void cw_drafting__draw_view(const cw_drafting_view *view, double factor, cw_canvas *measure, cw_drafting__marks *marks)
{
    const pencil p = { view, factor, measure, marks };

    for (size_t i = 0; i < view->item_count; i++)
        draw_item(&p, &view->items[i]);
    if (view->clipped)
        cw_drafting__add_arc(marks, CW_DRAFTING_THIN, view->clip_x_m * factor, view->clip_y_m * factor,
                             view->clip_radius_m * factor, 0, 360);
    cw_drafting__draw_hatch(view, factor, marks);
}
