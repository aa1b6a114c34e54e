/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where dimensions go.
 *
 * Every dimension has many possible places: a linear one stands in one of several rows beside the view, its figures in
 * the middle, shifted, or outside; a leader takes one of many directions and lengths. All are drawn up and judged: one
 * whose figures would touch anything, or whose lines would run through figures that stand, is out; of the others the
 * one that costs least stays. Costs are matters of taste (rows near the view, figures in the middle, few crossings);
 * the clearances are not.
 *
 * Short dimensions come first, so that long ones go round them; notes come last, as they may go anywhere. Where one
 * finds no place, it is taken first in a new attempt. */
#include "drafting/place_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ATTEMPTS_MOST 12

/* Dimension lines keep this far from others along them, and from lines of the part. */
#define ROW_GAP_MM 5.5
#define EDGE_GAP_MM 2.5
#define BLOCKING_COST 4.0

static bool parallel_and_near(const cw_drafting__mark *a, const cw_drafting__mark *b, double gap)
{
    const cw_drafting__bounds one = cw_drafting__mark_bounds(a), two = b->bounds;
    const bool level = one.top - one.bottom < 0.01;
    const bool other_level = two.top - two.bottom < 0.01, other_upright = two.right - two.left < 0.01;

    if (level)
        return other_level && fabs(one.top - two.top) < gap && one.left < two.right - 0.05 &&
               two.left < one.right - 0.05;
    return other_upright && fabs(one.left - two.left) < gap && one.bottom < two.top - 0.05 &&
           two.bottom < one.top - 0.05;
}

/* What one line of a candidate costs beside one that stands; INFINITY where both cannot be. */
static double line_cost(const cw_drafting__mark *own, const cw_drafting__mark *other)
{
    /* own role by other role: part, dimension, extension, leader */
    static const double crossing[4][4] = {
        { 0, 0, 0, 0 }, { 2.5, 8, 3, 3 }, { 0.15, 6, 0.5, 2 }, { 0.4, 3, 2, INFINITY }
    };

    if (other->kind != MARK_LINE)
        return 0;
    if (own->role == ROLE_DIMENSION) {
        bool row = other->role == ROLE_DIMENSION;

        if ((row || other->line == CW_DRAFTING_VISIBLE || other->role == ROLE_EXTENSION) &&
            parallel_and_near(own, other, row ? ROW_GAP_MM : EDGE_GAP_MM))
            return INFINITY;
    }
    if (!cw_drafting__lines_cross(own, other))
        return 0;
    return other->line == CW_DRAFTING_HATCH ? 0.05 : crossing[own->role][other->role];
}

/* Bounds further apart than any clearance: most pairs are. */
static bool far_apart(const cw_drafting__bounds *a, const cw_drafting__bounds *b)
{
    const double gap = DRAFTING_TEXT_GAP_MM;

    return a->right + gap < b->left || b->right + gap < a->left || a->top + gap < b->bottom || b->top + gap < a->bottom;
}

static bool text_stands_free(const placing *p, const candidate *c, const cw_drafting__mark *text)
{
    const cw_drafting__bounds bounds = cw_drafting__mark_bounds(text);

    for (size_t i = 0; i < p->marks->count; i++)
        if (!far_apart(&bounds, &p->marks->items[i].bounds) &&
            cw_drafting__text_clashes(text, &p->marks->items[i], DRAFTING_TEXT_GAP_MM, DRAFTING_LINE_GAP_MM))
            return false;
    for (size_t i = 0; i < c->count; i++)
        if (c->marks[i].kind != MARK_TEXT &&
            cw_drafting__text_clashes(text, &c->marks[i], DRAFTING_TEXT_GAP_MM, DRAFTING_LINE_GAP_MM))
            return false;
    return true;
}

/* Figures in the way of extension lines to come: those would find no way round them. */
static double blocking_cost(const placing *p, const cw_drafting__mark *text)
{
    double cost = 0;

    for (size_t i = 0; i < p->view->request_count; i++)
        for (int end = 0; p->corridors[i].pending && end < 2; end++)
            if (cw_drafting__text_clashes(text, &p->corridors[i].lines[end], DRAFTING_TEXT_GAP_MM,
                                          DRAFTING_LINE_GAP_MM))
                cost += BLOCKING_COST;
    return cost;
}

double cw_drafting__cost(const placing *p, const candidate *c)
{
    double cost = c->taste;

    for (size_t i = 0; i < c->count && isfinite(cost); i++)
        if (c->marks[i].kind == MARK_TEXT && !text_stands_free(p, c, &c->marks[i]))
            return INFINITY;
    for (size_t i = 0; i < c->count; i++)
        if (c->marks[i].kind == MARK_TEXT)
            cost += blocking_cost(p, &c->marks[i]);
    for (size_t i = 0; i < c->count && isfinite(cost); i++) {
        const cw_drafting__mark *own = &c->marks[i];
        const cw_drafting__bounds bounds = cw_drafting__mark_bounds(own);

        for (size_t k = 0; own->kind != MARK_TEXT && k < p->marks->count; k++) {
            const cw_drafting__mark *other = &p->marks->items[k];

            if (own->role != ROLE_DIMENSION && far_apart(&bounds, &other->bounds))
                continue;
            if (other->kind == MARK_TEXT &&
                cw_drafting__text_clashes(other, own, DRAFTING_TEXT_GAP_MM, DRAFTING_LINE_GAP_MM))
                return INFINITY;
            if (own->kind == MARK_LINE)
                cost += line_cost(own, other);
        }
    }
    return cost;
}

void cw_drafting__try(const placing *p, const candidate *c, choice *best)
{
    double cost;

    if (c->taste >= best->cost)
        return;
    cost = cw_drafting__cost(p, c);
    if (cost < best->cost) {
        best->cost = cost;
        best->candidate = *c;
    }
}

/* ---- drawing candidates ----------------------------------------------------------------------------------------- */

cw_drafting__mark *cw_drafting__candidate_mark(candidate *c, cw_drafting__mark_kind kind, cw_drafting__role role)
{
    cw_drafting__mark *mark = &c->marks[c->count < CANDIDATE_MARKS_MOST ? c->count++ : CANDIDATE_MARKS_MOST - 1];

    memset(mark, 0, sizeof *mark);
    mark->kind = kind;
    mark->role = role;
    mark->line = CW_DRAFTING_DIMENSION;
    return mark;
}

void cw_drafting__candidate_line(candidate *c, cw_drafting__role role, double x1, double y1, double x2, double y2)
{
    cw_drafting__mark *mark = cw_drafting__candidate_mark(c, MARK_LINE, role);

    mark->x1 = x1;
    mark->y1 = y1;
    mark->x2 = x2;
    mark->y2 = y2;
}

void cw_drafting__candidate_arc(candidate *c, double x, double y, double radius, double from, double to)
{
    cw_drafting__mark *mark = cw_drafting__candidate_mark(c, MARK_ARC, ROLE_DIMENSION);

    mark->x1 = x;
    mark->y1 = y;
    mark->x2 = radius;
    mark->a = from;
    mark->b = to;
}

void cw_drafting__candidate_head(candidate *c, double x, double y, double dx, double dy)
{
    cw_drafting__mark *mark = cw_drafting__candidate_mark(c, MARK_HEAD, ROLE_DIMENSION);

    mark->x1 = x;
    mark->y1 = y;
    mark->x2 = dx;
    mark->y2 = dy;
}

void cw_drafting__candidate_text(candidate *c, double x, double y, double width, bool up, const char *words,
                                 size_t length)
{
    cw_drafting__mark *mark = cw_drafting__candidate_mark(c, MARK_TEXT, ROLE_DIMENSION);

    mark->x1 = x;
    mark->y1 = y;
    mark->x2 = width;
    mark->y2 = DRAFTING_FIGURES_MM;
    mark->up = up;
    length = length < sizeof mark->words ? length : sizeof mark->words - 1;
    memcpy(mark->words, words, length);
}

/* ---- order and attempts ------------------------------------------------------------------------------------------ */

typedef struct turn {
    size_t index;
    double rank; /* small first */
} turn;

static double span(const cw_drafting__request *request)
{
    const cw_drafting_dimension *d = &request->asked;

    return d->side == CW_DRAFTING_OVER || d->side == CW_DRAFTING_UNDER ? fabs(d->x2_m - d->x1_m)
                                                                        : fabs(d->y2_m - d->y1_m);
}

static double first_rank(const cw_drafting__request *request)
{
    const bool within = request->asked.within_from_m != request->asked.within_to_m;

    switch (request->asked.kind) {
    case CW_DRAFTING_LINEAR: return (within ? 0 : 1) + span(request);
    case CW_DRAFTING_ANGLE: return 1e3;
    case CW_DRAFTING_RADIUS: return 1e4;
    case CW_DRAFTING_NOTE: break;
    }
    return request->balloon ? 1e6 : request->cut_end ? 5e4 : 1e5;
}

static int by_rank(const void *a, const void *b)
{
    const turn *one = a, *two = b;

    if (one->rank != two->rank)
        return one->rank < two->rank ? -1 : 1;
    return (one->index > two->index) - (one->index < two->index);
}

static bool place_one(placing *p, const cw_drafting__request *request)
{
    choice best = { .cost = INFINITY };

    cw_drafting__words(request, p->units, p->words, sizeof p->words);
    if (request->asked.kind == CW_DRAFTING_LINEAR)
        cw_drafting__place_linear(p, request, &best);
    else if (request->asked.kind == CW_DRAFTING_ANGLE)
        cw_drafting__place_angle(p, request, &best);
    else
        cw_drafting__place_leader(p, request, &best);
    if (!isfinite(best.cost))
        return false;
    for (size_t i = 0; i < best.candidate.count; i++)
        cw_drafting__add(p->marks, &best.candidate.marks[i]);
    return true;
}

static bool is_asked_for(const placing *p, const cw_drafting__request *request)
{
    return p->sheet_scale >= request->asked.from_scale &&
           (request->asked.below_scale == 0 || p->sheet_scale < request->asked.below_scale);
}

/* One attempt; the index into `turns` of the dimension that found no place, or their number. */
static size_t attempt(placing *p, const turn *turns, size_t count, size_t bare)
{
    p->marks->count = bare;
    for (size_t k = 0; k < count; k++) {
        const size_t i = turns[k].index;
        const cw_drafting_dimension *d = &p->view->requests[i].asked;

        if (d->kind == CW_DRAFTING_LINEAR && d->within_from_m == d->within_to_m)
            cw_drafting__corridor(p, &p->view->requests[i], &p->corridors[i]);
    }
    for (size_t i = 0; i < count; i++) {
        p->corridors[turns[i].index].pending = false;
        if (!place_one(p, &p->view->requests[turns[i].index]))
            return i;
    }
    return count;
}

static void outline(placing *p)
{
    p->outline = cw_drafting__nothing();
    for (size_t i = 0; i < p->marks->count; i++) {
        const cw_drafting__mark *mark = &p->marks->items[i];
        cw_drafting__bounds bounds = cw_drafting__mark_bounds(mark);

        if (mark->line == CW_DRAFTING_VISIBLE || mark->line == CW_DRAFTING_THIN) {
            cw_drafting__include(&p->outline, bounds.left, bounds.bottom);
            cw_drafting__include(&p->outline, bounds.right, bounds.top);
        }
    }
}

bool cw_drafting__place(const cw_drafting_view *view, double factor, double sheet_scale, cw_unit_system units,
                        cw_canvas *measure, cw_drafting__marks *marks)
{
    placing p = { .view = view, .factor = factor, .sheet_scale = sheet_scale, .units = units, .measure = measure, .marks = marks };
    turn *turns = cw_allocate(view->request_count, sizeof *turns);
    size_t bare = marks->count, stuck = 0, count = 0;

    p.corridors = cw_allocate(view->request_count, sizeof *p.corridors);
    if (turns == NULL || p.corridors == NULL) {
        marks->failed = true;
        cw_free(turns);
        cw_free(p.corridors);
        return false;
    }
    outline(&p);
    for (size_t i = 0; i < view->request_count; i++)
        if (is_asked_for(&p, &view->requests[i]))
            turns[count++] = (turn){ i, first_rank(&view->requests[i]) };
    for (int tries = 0; tries < ATTEMPTS_MOST; tries++) {
        qsort(turns, count, sizeof *turns, by_rank);
        stuck = attempt(&p, turns, count, bare);
        if (stuck == count)
            break;
        turns[stuck].rank = -1 - tries;
    }
    cw_free(turns);
    cw_free(p.corridors);
    return stuck == count;
}
