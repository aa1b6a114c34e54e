/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Places of linear and angular dimensions.
 *
 * A linear dimension is drawn up in its own directions: u along the dimension line, v away from the view. Figures stand
 * above a level line and to the left of an upright one, so that they are read from below and from the right
 * (ISO 129-1). */
#include "drafting/place_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_ROW_MM 8.0
#define NEXT_ROW_MM 7.0
#define ROWS 9
#define PLACES_WITHIN 13
#define OUTSIDE_PLACES 9
#define OUTSIDE_STEP_MM 3.0
#define EXTENSION_START_MM 0.8
#define EXTENSION_PAST_MM 1.5
#define FIGURES_ABOVE_MM 0.9
#define TAIL_MM 5.0

static const double radian = 0.01745329251994329577;

/* A dimension in its own directions, mm. */
typedef struct rule {
    bool level;        /* u is x */
    double away;       /* +1 or -1: v grows with the other axis, or against it */
    double a, b;       /* ends along u, a < b */
    double a_v, b_v;   /* where the features are, v */
    double row;        /* v of the dimension line */
    bool extensions, heads_outside;
    double width;      /* of the figures */
} rule;

static void to_paper(const rule *r, double u, double v, double *x, double *y)
{
    *x = r->level ? u : r->away * v;
    *y = r->level ? r->away * v : u;
}

static void rule_line(candidate *c, const rule *r, cw_drafting__role role, double u1, double v1, double u2, double v2)
{
    double x1, y1, x2, y2;

    to_paper(r, u1, v1, &x1, &y1);
    to_paper(r, u2, v2, &x2, &y2);
    cw_drafting__candidate_line(c, role, x1, y1, x2, y2);
}

static void rule_head(candidate *c, const rule *r, double u, double direction)
{
    double x, y;

    to_paper(r, u, r->row, &x, &y);
    cw_drafting__candidate_head(c, x, y, r->level ? direction : 0, r->level ? 0 : direction);
}

static void extension(candidate *c, const rule *r, double u, double from)
{
    if (r->row - from > EXTENSION_START_MM + 0.5)
        rule_line(c, r, ROLE_EXTENSION, u, from + EXTENSION_START_MM, u, r->row + EXTENSION_PAST_MM);
}

/* The whole dimension with its figures centred at u. */
static void draw(const placing *p, const rule *r, double u, double taste, choice *best)
{
    candidate c = { .taste = taste };
    double low = r->a, high = r->b, x, y;

    if (r->heads_outside) {
        low -= TAIL_MM;
        high += TAIL_MM;
    }
    low = fmin(low, u < r->a ? u - r->width / 2 : low);
    high = fmax(high, u > r->b ? u + r->width / 2 : high);
    rule_line(&c, r, ROLE_DIMENSION, low, r->row, high, r->row);
    rule_head(&c, r, r->a, r->heads_outside ? 1 : -1);
    rule_head(&c, r, r->b, r->heads_outside ? -1 : 1);
    if (r->extensions) {
        extension(&c, r, r->a, r->a_v);
        extension(&c, r, r->b, r->b_v);
    }
    to_paper(r, u, r->row, &x, &y);
    if (r->level)
        cw_drafting__candidate_text(&c, x - r->width / 2, y + FIGURES_ABOVE_MM, r->width, false, p->words,
                                    strlen(p->words));
    else
        cw_drafting__candidate_text(&c, x - FIGURES_ABOVE_MM, y - r->width / 2, r->width, true, p->words,
                                    strlen(p->words));
    cw_drafting__try(p, &c, best);
}

/* Figures in the middle, shifted, or outside on either side. */
static void try_row(const placing *p, const rule *r, double taste, choice *best)
{
    double length = r->b - r->a, spare = length - r->width - 1.2, middle = (r->a + r->b) / 2;
    double beyond = (r->heads_outside ? DRAFTING_HEAD_MM : 0) + 1.0 + r->width / 2;

    if (spare >= 0) {
        draw(p, r, middle, taste, best);
        for (int i = 1; i <= 4; i++) {
            draw(p, r, middle + spare * i / 8, taste + 0.2 * i, best);
            draw(p, r, middle - spare * i / 8, taste + 0.2 * i, best);
        }
    }
    /* further out, past the extension lines of others, where there is no room at once */
    for (int i = 0; i < OUTSIDE_PLACES; i++) {
        double far = beyond + i * OUTSIDE_STEP_MM, price = taste + (spare >= 0 ? 2.5 : 0.8) + 0.6 * i;

        draw(p, r, r->b + far, price, best);
        draw(p, r, r->a - far, price + 0.1, best);
    }
}

static rule make_rule(const placing *p, const cw_drafting_dimension *d)
{
    const double x1 = d->x1_m * p->factor, y1 = d->y1_m * p->factor, x2 = d->x2_m * p->factor, y2 = d->y2_m * p->factor;
    rule r = { .extensions = true };
    bool swap;

    r.level = d->side == CW_DRAFTING_OVER || d->side == CW_DRAFTING_UNDER;
    r.away = d->side == CW_DRAFTING_OVER || d->side == CW_DRAFTING_RIGHT_OF ? 1 : -1;
    swap = r.level ? x2 < x1 : y2 < y1;
    r.a = r.level ? (swap ? x2 : x1) : (swap ? y2 : y1);
    r.b = r.level ? (swap ? x1 : x2) : (swap ? y1 : y2);
    r.a_v = r.away * (r.level ? (swap ? y2 : y1) : (swap ? x2 : x1));
    r.b_v = r.away * (r.level ? (swap ? y1 : y2) : (swap ? x1 : x2));
    r.width = cw_drafting__width(p->measure, DRAFTING_FIGURES_MM, false, p->words);
    r.heads_outside = r.b - r.a < 3.2 * DRAFTING_HEAD_MM;
    return r;
}

static double edge(const placing *p, const rule *r)
{
    if (r->level)
        return r->away > 0 ? p->outline.top : -p->outline.bottom;
    return r->away > 0 ? p->outline.right : -p->outline.left;
}

/* In the view, without extension lines. */
static void place_within(const placing *p, const cw_drafting_dimension *d, choice *best)
{
    rule r = make_rule(p, d);

    r.extensions = false;
    r.heads_outside = true;
    for (int i = 0; i < PLACES_WITHIN; i++) {
        double at = d->within_from_m + (d->within_to_m - d->within_from_m) * (i + 0.5) / PLACES_WITHIN;

        r.row = r.away * at * p->factor;
        try_row(p, &r, 0.1 * abs(i - PLACES_WITHIN / 2), best);
    }
}

void cw_drafting__place_linear(const placing *p, const cw_drafting__request *request, choice *best)
{
    const cw_drafting_dimension *d = &request->asked;
    rule r = make_rule(p, d);

    if (d->within_from_m != d->within_to_m)
        place_within(p, d, best);
    if (isfinite(best->cost))
        return;
    for (int row = 0; row < ROWS; row++) {
        r.row = edge(p, &r) + FIRST_ROW_MM + row * NEXT_ROW_MM;
        try_row(p, &r, 1.5 * row, best);
    }
}

void cw_drafting__corridor(const placing *p, const cw_drafting__request *request, corridor *corridor)
{
    const rule r = make_rule(p, &request->asked);
    const double out = edge(p, &r) + FIRST_ROW_MM + ROWS * NEXT_ROW_MM;
    candidate c = { .count = 0 };

    rule_line(&c, &r, ROLE_EXTENSION, r.a, r.a_v, r.a, out);
    rule_line(&c, &r, ROLE_EXTENSION, r.b, r.b_v, r.b, out);
    corridor->lines[0] = c.marks[0];
    corridor->lines[1] = c.marks[1];
    corridor->pending = true;
}

/* ---- angles ------------------------------------------------------------------------------------------------------ */

/* A ray from the part's edge to a little past the arc. */
static void arm(candidate *c, const placing *p, const cw_drafting_dimension *d, double angle, double radius)
{
    double cosine = cos(angle * radian), sine = sin(angle * radian), x = d->x1_m * p->factor, y = d->y1_m * p->factor;
    double from = d->x2_m * p->factor + EXTENSION_START_MM, to = radius + EXTENSION_PAST_MM;

    if (to > from)
        cw_drafting__candidate_line(c, ROLE_EXTENSION, x + from * cosine, y + from * sine, x + to * cosine,
                                    y + to * sine);
}

/* A head on the arc's end; it points against the arc's direction where `clockwise` is 1, along it where it is -1. */
static void arc_head(candidate *c, double x, double y, double radius, double angle, double clockwise)
{
    const double cosine = cos(angle * radian), sine = sin(angle * radian);

    cw_drafting__candidate_head(c, x + radius * cosine, y + radius * sine, clockwise * sine, -clockwise * cosine);
}

static void draw_angle(const placing *p, const cw_drafting_dimension *d, double radius, double at, double taste,
                       choice *best)
{
    candidate c = { .taste = taste };
    double x = d->x1_m * p->factor, y = d->y1_m * p->factor, width, reach, from = d->from_degrees, to = d->to_degrees;

    cw_drafting__candidate_arc(&c, x, y, radius, from, to);
    arc_head(&c, x, y, radius, from, 1);
    arc_head(&c, x, y, radius, to, -1);
    arm(&c, p, d, from, radius);
    arm(&c, p, d, to, radius);
    width = cw_drafting__width(p->measure, DRAFTING_FIGURES_MM, false, p->words);
    reach = radius + 1.2 + hypot(width, DRAFTING_FIGURES_MM) / 2;
    cw_drafting__candidate_text(&c, x + reach * cos(at * radian) - width / 2,
                                y + reach * sin(at * radian) - DRAFTING_FIGURES_MM / 2, width, false, p->words,
                                strlen(p->words));
    cw_drafting__try(p, &c, best);
}

void cw_drafting__place_angle(const placing *p, const cw_drafting__request *request, choice *best)
{
    const cw_drafting_dimension *d = &request->asked;
    const double middle = (d->from_degrees + d->to_degrees) / 2, half = (d->to_degrees - d->from_degrees) / 2;

    for (int row = 0; row < ROWS; row++) {
        double radius = d->x2_m * p->factor + FIRST_ROW_MM + row * NEXT_ROW_MM;

        for (int i = -3; i <= 3; i++)
            draw_angle(p, d, radius, middle + half * i / 4, 1.5 * row + 0.3 * abs(i), best);
    }
}
