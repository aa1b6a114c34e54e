/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Places of leaders: radii, notes with an arrow, ringed part numbers; and of the ends of cutting planes.
 *
 * From the point a slanting line, then a short level shelf, and the words beside it, their middle at its height. */
#include "drafting/place_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SHELF_MM 2.5
#define BESIDE_MM 1.0
#define LENGTHS 18
#define FIRST_LENGTH_MM 6.0
#define LENGTH_STEP_MM 4.0
#define CUT_DASH_MM 5.0
#define CUT_ARROW_MM 6.0
#define CUT_FIRST_MM 4.0
#define CUT_STEP_MM 2.0
#define CUT_PLACES 32
#define RING_MM 3.6 /* radius */
#define RING_GAP_MM 0.8
#define LINES_MOST 6

static const double radian = 0.01745329251994329577;

typedef struct words_block {
    const char *lines[LINES_MOST];
    size_t lengths[LINES_MOST];
    double widths[LINES_MOST];
    size_t count;
    double width;
} words_block;

static words_block split(const placing *p)
{
    words_block block = { .count = 0 };
    const char *start = p->words;
    char line[CW_DRAFTING_WORDS_MOST];

    while (block.count < LINES_MOST) {
        size_t length = strcspn(start, "\n"), kept = length < sizeof line ? length : sizeof line - 1;

        memcpy(line, start, kept);
        line[kept] = '\0';
        block.lines[block.count] = start;
        block.lengths[block.count] = kept;
        block.widths[block.count] = cw_drafting__width(p->measure, DRAFTING_FIGURES_MM, false, line);
        block.width = fmax(block.width, block.widths[block.count++]);
        if (start[length] == '\0')
            break;
        start += length + 1;
    }
    return block;
}

static void write_block(candidate *c, const words_block *block, double x, double y, bool rightwards)
{
    const double step = DRAFTING_LINE_STEP * DRAFTING_FIGURES_MM;
    double baseline = y + step * (double)(block->count - 1) / 2 - DRAFTING_FIGURES_MM / 2;

    for (size_t i = 0; i < block->count; i++, baseline -= step)
        cw_drafting__candidate_text(c, rightwards ? x : x - block->widths[i], baseline, block->widths[i], false,
                                    block->lines[i], block->lengths[i]);
}

/* The leader to x, y from the direction `angle`, so long, with the words; to a ring of that radius where it is not 0. */
static void draw(const placing *p, const words_block *block, double x, double y, double ring, double angle,
                 double length, double taste, choice *best)
{
    candidate c = { .taste = taste };
    double dx = cos(angle * radian), dy = sin(angle * radian), ex = x + length * dx, ey = y + length * dy;
    bool rightwards = dx >= 0;
    double shelf = rightwards ? SHELF_MM : -SHELF_MM, beside = rightwards ? BESIDE_MM : -BESIDE_MM;

    cw_drafting__candidate_line(&c, ROLE_LEADER, x, y, ex, ey);
    cw_drafting__candidate_head(&c, x, y, -dx, -dy);
    cw_drafting__candidate_line(&c, ROLE_LEADER, ex, ey, ex + shelf, ey);
    write_block(&c, block, ex + shelf + beside, ey, rightwards);
    if (ring > 0) {
        cw_drafting__candidate_arc(&c, x - ring * dx, y - ring * dy, ring, 0, 360);
        c.marks[c.count - 1].line = CW_DRAFTING_THIN;
    }
    cw_drafting__try(p, &c, best);
}

/* A leader that ends in a dot on the part's face, its number in a ring that stands free. */
static void draw_balloon(const placing *p, double x, double y, double angle, double length, double taste, choice *best)
{
    candidate c = { .taste = taste };
    double dx = cos(angle * radian), dy = sin(angle * radian), ex = x + length * dx, ey = y + length * dy;
    double rx = ex + RING_MM * dx, ry = ey + RING_MM * dy;
    double width = cw_drafting__width(p->measure, DRAFTING_FIGURES_MM, false, p->words);

    if (taste >= best->cost)
        return;
    for (size_t i = 0; i < p->marks->count; i++)
        if (cw_drafting__disc_touches(&p->marks->items[i], rx, ry, RING_MM + RING_GAP_MM))
            return;
    cw_drafting__candidate_line(&c, ROLE_LEADER, x, y, ex, ey);
    cw_drafting__candidate_arc(&c, x, y, 0.3, 0, 360);
    cw_drafting__candidate_arc(&c, x, y, 0.12, 0, 360);
    cw_drafting__candidate_arc(&c, rx, ry, RING_MM, 0, 360);
    cw_drafting__candidate_text(&c, rx - width / 2, ry - DRAFTING_FIGURES_MM / 2, width, false, p->words,
                                strlen(p->words));
    cw_drafting__try(p, &c, best);
}

/* The end of a cutting plane: a wide dash along it, an arrow in the direction of sight, the letter beyond the dash or
 * behind the arrow. It stands as near to the part as dimensions leave it room. */
static void draw_cut_end(const placing *p, const cw_drafting__request *request, double from, bool beyond, double taste,
                         choice *best)
{
    candidate c = { .taste = taste };
    const double dx = request->asked.x2_m, dy = request->asked.y2_m, sx = request->sight_x, sy = request->sight_y;
    const double x = request->asked.x1_m * p->factor + from * dx, y = request->asked.y1_m * p->factor + from * dy;
    const double ex = x + CUT_DASH_MM * dx, ey = y + CUT_DASH_MM * dy;
    const double width = cw_drafting__width(p->measure, DRAFTING_TITLES_MM, true, p->words);
    const double lx = beyond ? ex + 3.2 * dx : ex - (CUT_ARROW_MM + 2.8) * sx;
    const double ly = beyond ? ey + 3.2 * dy : ey - (CUT_ARROW_MM + 2.8) * sy;
    cw_drafting__mark *letter;

    cw_drafting__candidate_line(&c, ROLE_LEADER, x, y, ex, ey);
    c.marks[0].line = CW_DRAFTING_CUT;
    cw_drafting__candidate_line(&c, ROLE_LEADER, ex - CUT_ARROW_MM * sx, ey - CUT_ARROW_MM * sy, ex, ey);
    cw_drafting__candidate_head(&c, ex, ey, sx, sy);
    cw_drafting__candidate_text(&c, lx - width / 2, ly - DRAFTING_TITLES_MM / 2, width, false, p->words,
                                strlen(p->words));
    letter = &c.marks[c.count - 1];
    letter->y2 = DRAFTING_TITLES_MM;
    letter->bold = true;
    cw_drafting__try(p, &c, best);
}

static void place_cut_end(const placing *p, const cw_drafting__request *request, choice *best)
{
    for (int i = 0; i < CUT_PLACES; i++) {
        draw_cut_end(p, request, CUT_FIRST_MM + CUT_STEP_MM * i, false, 0.4 * i, best);
        draw_cut_end(p, request, CUT_FIRST_MM + CUT_STEP_MM * i, true, 0.4 * i + 2, best);
    }
}

/* Outside the part words are read best; a leader of 30 to 60 degrees is told from the part's own lines. */
static void place_note(const placing *p, const cw_drafting__request *request, const words_block *block, choice *best)
{
    static const double angles[] = { 45, 135, -45, -135, 30, 150, -30, -150, 60, 120, -60, -120, 75, 105, -75, -105,
                                     15, 165, -15, -165 };
    const double x = request->asked.x1_m * p->factor, y = request->asked.y1_m * p->factor;
    const double radius = request->balloon ? 0 : request->asked.x2_m * p->factor;

    for (size_t i = 0; i < sizeof angles / sizeof angles[0]; i++)
        for (int k = 0; k < LENGTHS; k++) {
            double length = FIRST_LENGTH_MM + k * LENGTH_STEP_MM, taste = 0.06 * length + 0.03 * (double)i;

            if (request->balloon)
                draw_balloon(p, x, y, angles[i], length, taste, best);
            else
                draw(p, block, x + radius * cos(angles[i] * radian), y + radius * sin(angles[i] * radian),
                     request->asked.ring ? radius : 0, angles[i], length, taste, best);
        }
}

/* A radius is pointed at along itself. */
static void place_radius(const placing *p, const cw_drafting__request *request, const words_block *block, choice *best)
{
    const cw_drafting_dimension *d = &request->asked;
    const double middle = (d->from_degrees + d->to_degrees) / 2, half = (d->to_degrees - d->from_degrees) / 2;
    const double radius = d->x2_m * p->factor;

    for (int i = -4; i <= 4; i++) {
        double angle = middle + half * 0.8 * i / 4;
        double x = d->x1_m * p->factor + radius * cos(angle * radian);
        double y = d->y1_m * p->factor + radius * sin(angle * radian);

        if (fabs(cos(angle * radian)) < 0.17 || fabs(sin(angle * radian)) < 0.17)
            continue; /* too near to level or upright: it would be taken for a line of the part */
        for (int k = 0; k < LENGTHS; k++) {
            double length = FIRST_LENGTH_MM + k * LENGTH_STEP_MM;

            draw(p, block, x, y, 0, d->from_inside ? angle + 180 : angle, length, 0.06 * length + 0.05 * abs(i), best);
        }
    }
}

void cw_drafting__place_leader(const placing *p, const cw_drafting__request *request, choice *best)
{
    const words_block block = split(p);

    if (request->cut_end)
        place_cut_end(p, request, best);
    else if (request->asked.kind == CW_DRAFTING_RADIUS)
        place_radius(p, request, &block, best);
    else
        place_note(p, request, &block, best);
}
