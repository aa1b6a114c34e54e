/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The options beside each other: numbered marks for those that no other beats, dots for the rest. */
#include "draw/draw_internal.h"

#include <math.h>
#include <stdio.h>

#define PANEL_MM 68.0
#define ROW_MM 5.4
#define KEY_MM 11.5
#define MARK_MM 4.4   /* holds two figures of 8 pt */
#define DOT_MM 1.7
enum { NAMED_MOST = 8, TRIES = 160 };

static bool is_named(const cw_options_figure *f, size_t index)
{
    size_t named = 0;

    if (f->marks[index].taken)
        return true;
    for (size_t i = 0; i < index; i++)
        named += f->marks[i].front || f->marks[i].taken;
    return f->marks[index].front && named < NAMED_MOST;
}

static size_t named_count(const cw_options_figure *f)
{
    size_t count = 0;

    for (size_t i = 0; i < f->count; i++)
        count += is_named(f, i);
    return count;
}

static int number_of(const cw_options_figure *f, size_t index)
{
    int number = 1;

    for (size_t i = 0; i < index; i++)
        number += is_named(f, i);
    return number;
}

static bool two_panels(const cw_options_figure *f)
{
    return f->y_title[1] != NULL;
}

double cw_options_height(const cw_options_figure *figure)
{
    return PANEL_MM + KEY_MM + ROW_MM * (double)((named_count(figure) + 1) / 2) + 2;
}

static cw_ink ink_of(const cw_option_mark *mark)
{
    return mark->shelf == CW_SHELF_ENOUGH ? CW_BLUE : mark->shelf == CW_SHELF_SOME ? CW_SAND : CW_WHITE;
}

static void draw_mark(cw_canvas *canvas, double x, double y, const cw_option_mark *mark, int number)
{
    const cw_type type = { 8, CW_SEMIBOLD, mark->shelf == CW_SHELF_ENOUGH ? CW_WHITE : CW_BLACK, CW_ALIGN_CENTRE };
    char text[12];

    snprintf(text, sizeof text, "%d", number);
    if (mark->taken)
        cw_canvas_circle(canvas, (cw_pen){ CW_BLACK, 0.35, CW_SOLID }, CW_WHITE, x, y, MARK_MM + 1.5);
    cw_canvas_circle(canvas, (cw_pen){ CW_BLACK, 0.25, CW_SOLID }, ink_of(mark), x, y, MARK_MM);
    cw_canvas_write(canvas, type, x, y + 1.02, text);
}

/* ---- where marks go --------------------------------------------------------------------------------------------- */

typedef struct spot {
    double x, y;         /* of the mark */
    double at_x, at_y;   /* what it marks */
    size_t index;
} spot;

typedef struct panel {
    const cw_options_figure *figure;
    int index;
    cw_draw__axis x, y;
    spot spots[NAMED_MOST + 1];
    size_t count;
} panel;

static bool is_shown(const panel *p, size_t i)
{
    return isfinite(p->figure->marks[i].x) && isfinite(p->figure->marks[i].y[p->index]);
}

static void place_of(const panel *p, size_t i, double *x, double *y)
{
    *x = cw_draw__place(&p->x, p->figure->marks[i].x);
    *y = cw_draw__place(&p->y, p->figure->marks[i].y[p->index]);
}

/* Inside the frame, apart from every mark that has its spot, and on no other option's point. */
static bool is_free(const panel *p, size_t index, double x, double y)
{
    if (x < p->x.from_mm + 2.4 || x > p->x.to_mm - 2.4 || y < p->y.to_mm + 2.4 || y > p->y.from_mm - 2.4)
        return false;
    for (size_t i = 0; i < p->count; i++)
        if (hypot(p->spots[i].x - x, p->spots[i].y - y) < MARK_MM + 1.2)
            return false;
    for (size_t i = 0; i < p->figure->count; i++) {
        double other_x, other_y;

        if (i == index || !is_shown(p, i))
            continue;
        place_of(p, i, &other_x, &other_y);
        if (hypot(other_x - x, other_y - y) < 0.5 * MARK_MM + 0.5)
            return false;
    }
    return true;
}

/* What is to be wound stands at its own place; the others there too or, where it is crowded, at the nearest free one. */
static void find_spot(panel *p, size_t index)
{
    spot *s = &p->spots[p->count];

    place_of(p, index, &s->at_x, &s->at_y);
    s->x = s->at_x;
    s->y = s->at_y;
    s->index = index;
    for (int i = 0; i < TRIES && !p->figure->marks[index].taken && !is_free(p, index, s->x, s->y); i++) {
        const double away = 4.4 + 1.6 * (i / 16), angle = 0.39269908169872414 * (i % 16) - 1.1780972450961724;

        s->x = s->at_x + away * cos(angle);
        s->y = s->at_y + away * sin(angle);
    }
    p->count++;
}

/* ---- panels ----------------------------------------------------------------------------------------------------- */

static cw_ticks ticks_over(const cw_options_figure *f, int panel, int most)
{
    double low = HUGE_VAL, high = -HUGE_VAL;

    for (size_t i = 0; i < f->count; i++) {
        const double value = panel < 0 ? f->marks[i].x : f->marks[i].y[panel];

        if (isfinite(value)) {
            low = fmin(low, value);
            high = fmax(high, value);
        }
    }
    if (panel >= 0 && isfinite(f->limit[panel])) {
        low = fmin(low, f->limit[panel]);
        high = fmax(high, f->limit[panel]);
    }
    if (!(low <= high))
        low = 0, high = 1;
    return cw_ticks_choose(low, high, most, true);
}

static void draw_limit(cw_canvas *canvas, const panel *p)
{
    const double limit = p->figure->limit[p->index], at = cw_draw__place(&p->y, limit);

    if (!isfinite(limit))
        return;
    cw_canvas_line(canvas, (cw_pen){ CW_RED, 0.35, CW_DASHED }, p->x.from_mm, at, p->x.to_mm, at);
    cw_canvas_write(canvas, (cw_type){ 8, CW_REGULAR, CW_RED, CW_ALIGN_RIGHT }, p->x.to_mm - 1,
                    at + (at > 0.5 * (p->y.from_mm + p->y.to_mm) ? -1.2 : 3.6), p->figure->limit_name[p->index]);
}

static void draw_dots(cw_canvas *canvas, const panel *p)
{
    for (size_t i = p->figure->count; i-- > 0;) {
        double x, y;

        if (is_named(p->figure, i) || !is_shown(p, i))
            continue;
        place_of(p, i, &x, &y);
        cw_canvas_circle(canvas, (cw_pen){ CW_GREY, 0.25, CW_SOLID }, ink_of(&p->figure->marks[i]), x, y, DOT_MM);
    }
}

static void draw_numbers(cw_canvas *canvas, const panel *p)
{
    for (size_t i = 0; i < p->count; i++) {
        const spot *s = &p->spots[i];

        if (hypot(s->x - s->at_x, s->y - s->at_y) < 1)
            continue;
        cw_canvas_line(canvas, (cw_pen){ CW_BLACK, 0.18, CW_SOLID }, s->at_x, s->at_y, s->x, s->y);
        cw_canvas_circle(canvas, (cw_pen){ 0 }, CW_BLACK, s->at_x, s->at_y, 1.1);
    }
    for (size_t i = p->count; i-- > 0;)
        draw_mark(canvas, p->spots[i].x, p->spots[i].y, &p->figure->marks[p->spots[i].index],
                  number_of(p->figure, p->spots[i].index));
}

static void draw_panel(cw_canvas *canvas, cw_box box, const cw_options_figure *f, int index)
{
    panel p = { .figure = f, .index = index };

    p.x.ticks = ticks_over(f, -1, box.width > 120 ? 10 : 6);
    p.y.ticks = ticks_over(f, index, 6);
    cw_draw__axes(canvas, box, f->x_title, f->y_title[index], &p.x, &p.y);
    for (size_t i = 0; i < f->count && p.count <= NAMED_MOST; i++)
        if (is_named(f, i) && is_shown(&p, i))
            find_spot(&p, i);
    draw_limit(canvas, &p);
    draw_dots(canvas, &p);
    draw_numbers(canvas, &p);
}

/* ---- key -------------------------------------------------------------------------------------------------------- */

static void draw_key(cw_canvas *canvas, double x, double y, double width)
{
    static const struct { cw_ink ink; const char *text; } fills[] = {
        { CW_BLUE, "the shelf has enough" }, { CW_SAND, "the shelf has some" }, { CW_WHITE, "to be bought" },
    };
    const cw_type type = { 8, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const double left = x;

    for (size_t i = 0; i < sizeof fills / sizeof fills[0]; i++) {
        cw_canvas_circle(canvas, (cw_pen){ CW_BLACK, 0.25, CW_SOLID }, fills[i].ink, x + 1.5, y - 1, 2.4);
        x += 4 + cw_canvas_write(canvas, type, x + 4, y, fills[i].text) + 5;
    }
    cw_canvas_write_within(canvas, (cw_type){ 8, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT }, left, y + 4.6, width,
                           "Ringed: the first on the list. Numbered: no other option is as good in every respect and "
                           "better in one. Small dots: the others.");
}

static void draw_names(cw_canvas *canvas, cw_box box, const cw_options_figure *f)
{
    const size_t rows = (named_count(f) + 1) / 2;
    int number = 0; /* from 0 */

    for (size_t i = 0; i < f->count; i++) {
        const cw_option_mark *mark = &f->marks[i];
        double x, y;

        if (!is_named(f, i))
            continue;
        x = box.x + ((size_t)number >= rows ? 0.5 * box.width : 0);
        y = box.y + ROW_MM * ((double)((size_t)number % rows) + 0.5);
        number++;
        draw_mark(canvas, x + 3, y, mark, number);
        cw_canvas_write_within(canvas, (cw_type){ 9, mark->taken ? CW_SEMIBOLD : CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT },
                               x + 7.5, y + 1.1, 0.5 * box.width - 9, mark->name);
    }
}

void cw_options_draw(cw_canvas *canvas, cw_box box, const cw_options_figure *figure)
{
    const int panels = two_panels(figure) ? 2 : 1;
    const double width = (box.width - 4 * (panels - 1)) / panels;

    for (int panel = 0; panel < panels; panel++)
        draw_panel(canvas, (cw_box){ box.x + panel * (width + 4), box.y, width, PANEL_MM }, figure, panel);
    draw_key(canvas, box.x, box.y + PANEL_MM + 3.5, box.width);
    draw_names(canvas, (cw_box){ box.x, box.y + PANEL_MM + KEY_MM, box.width, box.height }, figure);
}

static void draw_options(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_options_draw(canvas, box, figure);
}

cw_status cw_options_write(const cw_options_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    return cw_draw__write(draw_options, figure, paper, 182, cw_options_height(figure) + 4, out, error);
}
