/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From views to sheets: the largest scale at which everything has its place.
 *
 * At each scale of its series every view is drawn with its dimensions, by itself, into a block. Blocks of projected
 * views stand in line with the main one; details stand to the right of these or below. What does not go onto the sheet
 * is tried smaller. */
#include "drafting/drafting_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define GAP_MM 7.0
#define SMALL_SCALE 0.249 /* below, a larger paper is tried */
#define VIEWS_MOST 12
#define DETAIL_RADIUS_MM 17.0 /* greatest on paper */

enum { SCALE_COUNT = 10 };

/* ISO 5455 for millimetres, binary steps as they are usual with inches. */
static const double scales[][SCALE_COUNT] = {
    [CW_METRIC_UNITS] = { 20, 10, 5, 2, 1, 1.0 / 2, 1.0 / 5, 1.0 / 10, 1.0 / 20, 1.0 / 50 },
    [CW_INCH_UNITS] = { 16, 8, 4, 2, 1, 1.0 / 2, 1.0 / 4, 1.0 / 8, 1.0 / 16, 1.0 / 32 },
};

typedef struct block {
    cw_drafting__marks marks;
    cw_drafting__bounds bounds;
    cw_drafting_place place;
} block;

typedef struct composing {
    const cw_drafting_setting *setting;
    const cw_drafting_sheet *sheet;
    cw_canvas *measure;
    block blocks[VIEWS_MOST];
    size_t count;
} composing;

/* The largest scale at which a detail keeps to its size, and at any rate one above the sheet's. */
static double detail_scale(const cw_drafting_view *view, cw_unit_system units, double sheet_scale)
{
    int i = 0;

    while (i < SCALE_COUNT - 1 && view->clip_radius_m * 1000 * scales[units][i] > DETAIL_RADIUS_MM)
        i++;
    while (i > 0 && scales[units][i] <= sheet_scale)
        i--;
    return scales[units][i];
}

static double middle_of_part(const cw_drafting__marks *marks)
{
    cw_drafting__bounds part = cw_drafting__nothing();

    for (size_t i = 0; i < marks->count; i++) {
        cw_drafting__bounds one = cw_drafting__mark_bounds(&marks->items[i]);

        if (marks->items[i].line == CW_DRAFTING_VISIBLE)
            cw_drafting__include(&part, one.left, one.bottom), cw_drafting__include(&part, one.right, one.top);
    }
    return (part.left + part.right) / 2;
}

/* The view's name above it, with its scale where that is its own. */
static void entitle(const composing *c, const cw_drafting_view *view, double scale, block *b)
{
    char words[CW_DRAFTING_WORDS_MOST + 24], own[16];
    const double middle = middle_of_part(&b->marks);
    double width;

    if (view->title[0] == '\0')
        return;
    snprintf(words, sizeof words, "%s", view->title);
    if (view->clipped) {
        cw_drafting__scale_words(scale, own, sizeof own);
        snprintf(words, sizeof words, "%s (%s)", view->title, own);
    }
    width = cw_drafting__width(c->measure, DRAFTING_TITLES_MM, true, words);
    cw_drafting__add_text(&b->marks, c->measure, CW_DRAFTING_DIMENSION,
                          middle - width / 2, b->bounds.top + 4, DRAFTING_TITLES_MM, false,
                          true, words);
    b->bounds = cw_drafting__bounds_of(&b->marks);
}

static bool draw_block(const composing *c, const cw_drafting_view *view, double sheet_scale, block *b)
{
    const double scale = view->clipped ? detail_scale(view, c->setting->units, sheet_scale) : sheet_scale;

    b->place = view->place;
    cw_drafting__draw_view(view, scale * 1000, c->measure, &b->marks);
    if (!cw_drafting__place(view, scale * 1000, sheet_scale, c->setting->units, c->measure, &b->marks) || b->marks.failed)
        return false;
    for (size_t i = 0; i < b->marks.count; i++)
        b->marks.items[i].detail = view->clipped;
    b->bounds = cw_drafting__bounds_of(&b->marks);
    entitle(c, view, scale, b);
    return true;
}

static void move(block *b, double dx, double dy)
{
    cw_drafting__shift(&b->marks, dx, dy);
    b->bounds = (cw_drafting__bounds){ b->bounds.left + dx, b->bounds.bottom + dy, b->bounds.right + dx,
                                       b->bounds.top + dy };
}

static void clear_blocks(composing *c)
{
    for (size_t i = 0; i < c->count; i++)
        cw_drafting__clear(&c->blocks[i].marks);
    c->count = 0;
}

/* ---- arranging --------------------------------------------------------------------------------------------------- */

static void unite(cw_drafting__bounds *all, const cw_drafting__bounds *one)
{
    cw_drafting__include(all, one->left, one->bottom);
    cw_drafting__include(all, one->right, one->top);
}

/* Projected views beside the main one; returns the room that all of them take. */
static cw_drafting__bounds line_up(composing *c)
{
    cw_drafting__bounds all = cw_drafting__nothing();

    for (size_t i = 0; i < c->count; i++)
        if (c->blocks[i].place == CW_DRAFTING_MAIN)
            unite(&all, &c->blocks[i].bounds);
    for (size_t i = 0; i < c->count; i++) {
        block *b = &c->blocks[i];

        switch (b->place) {
        case CW_DRAFTING_LEFT: move(b, all.left - GAP_MM - b->bounds.right, 0); break;
        case CW_DRAFTING_RIGHT: move(b, all.right + GAP_MM - b->bounds.left, 0); break;
        case CW_DRAFTING_ABOVE: move(b, 0, all.top + GAP_MM - b->bounds.bottom); break;
        case CW_DRAFTING_BELOW: move(b, 0, all.bottom - GAP_MM - b->bounds.top); break;
        case CW_DRAFTING_MAIN:
        case CW_DRAFTING_FREE: continue;
        }
        unite(&all, &b->bounds);
    }
    return all;
}

typedef struct measure_of_details {
    double sum_width, sum_height, most_width, most_height;
    size_t count;
} measure_of_details;

static measure_of_details measure_details(const composing *c)
{
    measure_of_details m = { 0 };

    for (size_t i = 0; i < c->count; i++) {
        const block *b = &c->blocks[i];

        if (b->place != CW_DRAFTING_FREE)
            continue;
        m.count++;
        m.sum_width += b->bounds.right - b->bounds.left;
        m.sum_height += b->bounds.top - b->bounds.bottom;
        m.most_width = fmax(m.most_width, b->bounds.right - b->bounds.left);
        m.most_height = fmax(m.most_height, b->bounds.top - b->bounds.bottom);
    }
    return m;
}

/* Details in a column of that middle, or a row, evenly spaced between two ends. */
static void spread(composing *c, bool column, double middle, double from, double to, double taken)
{
    double spare = to - from - taken, at = column ? to : from;
    size_t count = measure_details(c).count;

    spare /= (double)(count + 1);
    for (size_t i = 0; i < c->count; i++) {
        block *b = &c->blocks[i];
        double width = b->bounds.right - b->bounds.left, height = b->bounds.top - b->bounds.bottom;

        if (b->place != CW_DRAFTING_FREE)
            continue;
        if (column) {
            move(b, middle - width / 2 - b->bounds.left, at - spare - b->bounds.top);
            at -= spare + height;
        } else {
            move(b, at + spare - b->bounds.left, middle - height / 2 - b->bounds.bottom);
            at += spare + width;
        }
    }
}

static void move_group(composing *c, double dx, double dy)
{
    for (size_t i = 0; i < c->count; i++)
        if (c->blocks[i].place != CW_DRAFTING_FREE)
            move(&c->blocks[i], dx, dy);
}

/* The projected views to the left, details in a column or a row to their right. */
static void side_by_side(composing *c, const cw_drafting__bounds *room, const cw_drafting__bounds *group, bool column,
                         const measure_of_details *m)
{
    const double width = group->right - group->left, height = group->top - group->bottom;
    const double details_width = column ? m->most_width : m->sum_width + (double)(m->count - 1) * GAP_MM;
    const double spare = (room->right - room->left - width - details_width) / (m->count > 0 ? 3 : 2);

    move_group(c, room->left + spare - group->left, (room->bottom + room->top - height) / 2 - group->bottom);
    if (column)
        spread(c, true, room->right - spare - m->most_width / 2, room->bottom, room->top, m->sum_height);
    else
        spread(c, false, (room->bottom + room->top) / 2, room->left + spare + width, room->right, m->sum_width);
}

static void one_above_the_other(composing *c, const cw_drafting__bounds *room, const cw_drafting__bounds *group,
                                const measure_of_details *m)
{
    const double width = group->right - group->left, height = group->top - group->bottom;
    const double spare = (room->top - room->bottom - height - m->most_height) / 3;

    move_group(c, (room->left + room->right - width) / 2 - group->left, room->top - spare - group->top);
    spread(c, false, room->bottom + spare + m->most_height / 2, room->left, room->right, m->sum_width);
}

static bool arrange(composing *c, const cw_drafting__bounds *room)
{
    const cw_drafting__bounds group = line_up(c);
    const measure_of_details m = measure_details(c);
    const double width = group.right - group.left, height = group.top - group.bottom;
    const double room_width = room->right - room->left, room_height = room->top - room->bottom;
    const double gaps = (double)m.count * GAP_MM;

    if (width > room_width || height > room_height)
        return false;
    if (width + (m.count > 0 ? GAP_MM : 0) + m.most_width <= room_width && m.sum_height + gaps <= room_height + GAP_MM)
        side_by_side(c, room, &group, true, &m);
    else if (width + gaps + m.sum_width <= room_width && m.most_height <= room_height)
        side_by_side(c, room, &group, false, &m);
    else if (height + GAP_MM + m.most_height <= room_height && m.sum_width + gaps <= room_width + GAP_MM)
        one_above_the_other(c, room, &group, &m);
    else
        return false;
    return true;
}

/* What the bare views need, without their dimensions: most scales are ruled out by that. */
static bool may_fit(const composing *c, double scale, const cw_drafting__bounds *room)
{
    double width = 0, height = 0, left, bottom, right, top;

    for (size_t i = 0; i < c->sheet->view_count; i++) {
        const cw_drafting_view *view = c->sheet->views[i];

        if (view->clipped)
            continue;
        cw_drafting__view_extent(view, &left, &bottom, &right, &top);
        height = fmax(height, (top - bottom) * scale * 1000);
        if (view->place != CW_DRAFTING_FREE && view->place != CW_DRAFTING_ABOVE && view->place != CW_DRAFTING_BELOW)
            width += (right - left) * scale * 1000;
    }
    return width <= room->right - room->left && height <= room->top - room->bottom;
}

/* ---- sheets ------------------------------------------------------------------------------------------------------ */

static bool draw_blocks(composing *c, double scale)
{
    for (size_t i = 0; i < c->sheet->view_count; i++) {
        const cw_drafting_view *view = c->sheet->views[i];

        if (view->below_scale > 0 && scale >= view->below_scale)
            continue;
        memset(&c->blocks[c->count], 0, sizeof c->blocks[0]);
        if (!draw_block(c, view, scale, &c->blocks[c->count++]))
            return false;
    }
    return true;
}

static bool memory_failed(const composing *c)
{
    for (size_t i = 0; i < c->sheet->view_count; i++)
        if (c->sheet->views[i]->failed)
            return true;
    for (size_t i = 0; i < c->count; i++)
        if (c->blocks[i].marks.failed)
            return true;
    return false;
}

static cw_status compose_at(composing *c, const cw_drafting *drawing, size_t number, double scale,
                            cw_drafting__page *page, bool *fits, cw_error *error)
{
    cw_drafting__bounds room;

    *fits = false;
    cw_drafting__furnish(c->setting, c->sheet, number + 1, drawing->count, scale, drawing->width_mm,
                         drawing->height_mm, c->measure, &page->marks, &room);
    *fits = may_fit(c, scale, &room) && draw_blocks(c, scale) && arrange(c, &room);
    if (memory_failed(c) || page->marks.failed)
        return cw_no_memory(error);
    for (size_t i = 0; *fits && i < c->count; i++)
        cw_drafting__append(&page->marks, &c->blocks[i].marks);
    page->scale = scale;
    return page->marks.failed ? cw_no_memory(error) : CW_OK;
}

static cw_status compose(const cw_drafting_setting *setting, const cw_drafting_sheet *sheet, cw_canvas *measure,
                         cw_drafting *drawing, size_t number, cw_error *error)
{
    composing c = { .setting = setting, .sheet = sheet, .measure = measure };
    cw_drafting__page *page = &drawing->pages[number];
    cw_status status = CW_OK;
    bool fits = false;

    for (int i = 0; status == CW_OK && !fits && i < SCALE_COUNT; i++) {
        cw_drafting__clear(&page->marks);
        status = compose_at(&c, drawing, number, scales[setting->units][i], page, &fits, error);
        clear_blocks(&c);
    }
    if (status == CW_OK && !fits)
        return cw_refuse(error, NULL, "fewer or smaller features",
                         "The drawing of the %s does not go onto its sheet at any scale down to 1:%g.", sheet->part,
                         1 / scales[setting->units][SCALE_COUNT - 1]);
    return status;
}

static const struct { double width_mm, height_mm; cw_drafting_paper larger; } papers[CW_DRAFTING_PAPER_COUNT] = {
    [CW_DRAFTING_A4] = { 297, 210, CW_DRAFTING_A3 },
    [CW_DRAFTING_A3] = { 420, 297, CW_DRAFTING_A3 },
    [CW_DRAFTING_LETTER] = { 279.4, 215.9, CW_DRAFTING_TABLOID },
    [CW_DRAFTING_TABLOID] = { 431.8, 279.4, CW_DRAFTING_TABLOID },
};

static cw_status make(const cw_drafting_setting *setting, size_t count, cw_drafting **made, cw_error *error)
{
    *made = cw_allocate(1, sizeof **made);
    if (*made == NULL)
        return cw_no_memory(error);
    (*made)->units = setting->units;
    (*made)->count = count;
    (*made)->pages = cw_allocate(count, sizeof *(*made)->pages);
    return (*made)->pages == NULL ? cw_no_memory(error) : CW_OK;
}

static cw_status keep_settled(const cw_drafting_sheet *sheets, cw_drafting *made, cw_error *error)
{
    size_t count = 0;

    for (size_t i = 0; i < made->count; i++)
        for (size_t v = 0; v < sheets[i].view_count; v++)
            count += sheets[i].views[v]->settled_count;
    made->settled = cw_allocate(count, sizeof *made->settled);
    if (made->settled == NULL)
        return cw_no_memory(error);
    for (size_t i = 0; i < made->count; i++)
        for (size_t v = 0; v < sheets[i].view_count; v++)
            for (size_t k = 0; k < sheets[i].views[v]->settled_count; k++)
                made->settled[made->settled_count++] = sheets[i].views[v]->settled[k];
    return CW_OK;
}

static cw_status compose_all(const cw_drafting_setting *setting, const cw_drafting_sheet *sheets, cw_canvas *measure,
                             cw_drafting_paper paper, cw_drafting *made, cw_error *error)
{
    cw_status status = CW_OK;

    made->width_mm = papers[paper].width_mm;
    made->height_mm = papers[paper].height_mm;
    for (size_t i = 0; status == CW_OK && i < made->count; i++)
        status = compose(setting, &sheets[i], measure, made, i, error);
    return status;
}

static double least_scale(const cw_drafting *drawing)
{
    double least = drawing->pages[0].scale;

    for (size_t i = 1; i < drawing->count; i++)
        least = fmin(least, drawing->pages[i].scale);
    return least;
}

/* The whole drawing on one kind of paper. */
static cw_status draw_on(const cw_drafting_setting *setting, const cw_drafting_sheet *sheets, size_t count,
                         cw_canvas *measure, cw_drafting_paper paper, cw_drafting **drawing, cw_error *error)
{
    cw_drafting *made = NULL;
    cw_status status = make(setting, count, &made, error);

    *drawing = NULL;
    if (status == CW_OK)
        status = keep_settled(sheets, made, error);
    if (status == CW_OK)
        status = compose_all(setting, sheets, measure, paper, made, error);
    if (status == CW_OK)
        *drawing = made;
    else
        cw_drafting_destroy(&made);
    return status;
}

/* The larger paper, where that is needed or worth while. */
static cw_status draw_larger(const cw_drafting_setting *setting, const cw_drafting_sheet *sheets, size_t count,
                             cw_canvas *measure, cw_drafting **drawing, cw_error *error)
{
    const cw_drafting_paper paper = papers[setting->paper].larger;
    cw_drafting *other = NULL;
    cw_status status;

    if (paper == setting->paper || setting->keep_paper || (*drawing != NULL && least_scale(*drawing) >= SMALL_SCALE))
        return *drawing != NULL ? CW_OK : CW_BAD_INPUT;
    status = draw_on(setting, sheets, count, measure, paper, &other, error);
    if (status == CW_OK && (*drawing == NULL || least_scale(other) >= 2 * least_scale(*drawing))) {
        cw_drafting *smaller = *drawing;

        *drawing = other;
        other = smaller;
    }
    cw_drafting_destroy(&other);
    return status == CW_BAD_INPUT && *drawing != NULL ? CW_OK : status;
}

cw_status cw_drafting_create(const cw_drafting_setting *setting, const cw_drafting_sheet *sheets, size_t count,
                             cw_drafting **drawing, cw_error *error)
{
    /* figures are measured on a page of paper that is thrown away */
    const cw_paper scrap = { .format = CW_PDF, .width_mm = 10, .height_mm = 10 };
    cw_canvas *measure = NULL;
    cw_status status = cw_canvas_create(&scrap, &measure, error);

    *drawing = NULL;
    if (status == CW_OK)
        status = draw_on(setting, sheets, count, measure, setting->paper, drawing, error);
    if (status == CW_OK || status == CW_BAD_INPUT)
        status = draw_larger(setting, sheets, count, measure, drawing, error);
    if (status != CW_OK)
        cw_drafting_destroy(drawing);
    cw_canvas_destroy(&measure);
    return status;
}

void cw_drafting_destroy(cw_drafting **drawing)
{
    cw_drafting *old = *drawing;

    *drawing = NULL;
    if (old == NULL)
        return;
    for (size_t i = 0; old->pages != NULL && i < old->count; i++)
        cw_drafting__clear(&old->pages[i].marks);
    cw_free(old->pages);
    cw_free(old->settled);
    cw_free(old);
}

size_t cw_drafting_sheets(const cw_drafting *drawing)
{
    return drawing->count;
}

const cw_drafting_settled *cw_drafting_settles(const cw_drafting *drawing, size_t index)
{
    return index < drawing->settled_count ? &drawing->settled[index] : NULL;
}

void cw_drafting_size(const cw_drafting *drawing, double *width_mm, double *height_mm)
{
    *width_mm = drawing->width_mm;
    *height_mm = drawing->height_mm;
}

double cw_drafting_scale(const cw_drafting *drawing, size_t sheet)
{
    return drawing->pages[sheet].scale;
}
