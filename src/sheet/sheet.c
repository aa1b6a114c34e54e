/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheet as a whole: pages, headings, and the two passes. */
#include "sheet/sheet_internal.h"

#include <stdio.h>
#include <string.h>

static const struct { double width_mm, height_mm; } papers[CW_SHEET_PAPER_COUNT] = {
    [CW_SHEET_A4] = { 210, 297 },         /* ISO 216 */
    [CW_SHEET_LETTER] = { 215.9, 279.4 }, /* 8.5 by 11 in */
};

void cw_sheet__page(cw_sheet__setter *s)
{
    cw_page_frame frame = { .width_mm = s->width_mm, .height_mm = s->height_mm, .margin_mm = SHEET_MARGIN_MM };

    if (s->page > 0)
        cw_canvas_next_page(s->canvas);
    s->page++;
    s->y = SHEET_MARGIN_MM;
    frame.page = s->page;
    frame.pages = s->pages;
    frame.foot_left = s->content->title;
    frame.foot_middle = s->content->date;
    if (s->page > 1) { /* the first has its masthead */
        frame.left = s->content->machine != NULL ? s->content->machine : s->content->title;
        frame.right = "coil rewind sheet";
        s->y += 2;
    }
    cw_canvas_page_frame(s->canvas, &frame);
}

void cw_sheet__need(cw_sheet__setter *s, double height_mm)
{
    if (s->y + height_mm > s->bottom)
        cw_sheet__page(s);
}

void cw_sheet__heading(cw_sheet__setter *s, const char *text, double with_mm)
{
    cw_sheet__need(s, SHEET_HEADING_MM + with_mm);
    cw_canvas_bookmark(s->canvas, text, s->y);
    cw_canvas_write(s->canvas, (cw_type){ 12.5, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT }, s->left, s->y + 4.6, text);
    s->y += SHEET_HEADING_MM;
}

double cw_sheet__lines(cw_canvas *canvas, double x, double y, double width_mm, const cw_sheet_line *lines,
                       size_t count)
{
    const cw_type label = { 9, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT };
    const cw_type value = { 9.5, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_LEFT };
    double split = 0.38 * width_mm, down = 0;

    for (size_t i = 0; i < count; i++) {
        double a = cw_canvas_paragraph(canvas, label, x, y + down + 0.75, split - 2, lines[i].label);
        double b = cw_canvas_paragraph(canvas, value, x + split, y + down + 0.5, width_mm - split, lines[i].value);

        down += (a > b ? a : b) + 1.3;
        cw_canvas_line(canvas, (cw_pen){ CW_RULE, 0.18, CW_SOLID }, x, y + down, x + width_mm, y + down);
    }
    return down;
}

void cw_sheet__two_columns(cw_sheet__setter *s, const char *heading, const cw_sheet_line *lines, size_t count)
{
    const size_t half = (count + 1) / 2;
    const double width = (s->measure - SHEET_GUTTER_MM) / 2, right = s->left + width + SHEET_GUTTER_MM;
    const bool muted = cw_canvas_is_muted(s->canvas);
    double height, other;

    cw_canvas_mute(s->canvas, true);
    height = cw_sheet__lines(s->canvas, 0, 0, width, lines, half);
    other = cw_sheet__lines(s->canvas, 0, 0, width, lines + half, count - half);
    cw_canvas_mute(s->canvas, muted);
    height = height > other ? height : other;
    if (heading != NULL)
        cw_sheet__heading(s, heading, height);
    else
        cw_sheet__need(s, height);
    cw_sheet__lines(s->canvas, s->left, s->y, width, lines, half);
    cw_sheet__lines(s->canvas, right, s->y, width, lines + half, count - half);
    s->y += height;
}

void cw_sheet__table(cw_sheet__setter *s, const cw_table *table)
{
    size_t row = 0;

    while (row < table->row_count) {
        double high = cw_table_head(s->canvas, table, s->left, s->y);
        size_t first = row;

        s->y += high;
        high = 0;
        while (row < table->row_count) {
            double more = cw_table_row_height(s->canvas, table, row);

            if (s->y + high + more > s->bottom && row > first)
                break;
            high += more;
            row++;
        }
        s->y += cw_table_rows(s->canvas, table, s->left, s->y, first, row - first);
        if (row < table->row_count)
            cw_sheet__page(s);
    }
}

/* Height of a box of cautions, without drawing it. */
static double caution_height(const cw_sheet__setter *s, const char *heading, const char *const *texts, size_t count)
{
    bool muted = cw_canvas_is_muted(s->canvas);
    double height;

    cw_canvas_mute(s->canvas, true);
    height = cw_canvas_caution(s->canvas, s->left, s->y, s->measure, heading, texts, count);
    cw_canvas_mute(s->canvas, muted);
    return height;
}

void cw_sheet__cautions(cw_sheet__setter *s, cw_sheet_place place)
{
    const char *heading = cw_sheet__place_heading(place), *texts[SHEET_CAUTIONS_MOST];
    const size_t count = cw_sheet__caution_texts(s->content, place, texts);

    if (count == 0)
        return;
    cw_sheet__need(s, caution_height(s, heading, texts, count));
    s->y += cw_canvas_caution(s->canvas, s->left, s->y, s->measure, heading, texts, count) + SHEET_GAP_MM;
}

void cw_sheet__begin(cw_sheet__setter *s, cw_sheet_part part)
{
    if (s->part_page[part] == 0)
        s->part_page[part] = s->page;
}

/* A part that fills a page of its own begins there, unless it finds half a page. */
static void turn_over(cw_sheet__setter *s, double share)
{
    const double used = s->y - SHEET_MARGIN_MM;

    if (used > share * (s->bottom - SHEET_MARGIN_MM))
        cw_sheet__page(s);
}

static void set_front(cw_sheet__setter *s)
{
    const cw_sheet_content *c = s->content;

    cw_sheet__masthead(s);
    if (cw_sheet__has(c, CW_SHEET_COVER)) {
        cw_sheet__begin(s, CW_SHEET_COVER);
        cw_sheet__verdict(s);
        cw_sheet__wind_this(s);
        cw_sheet__glance(s);
        if (cw_sheet__is_grown(c)) {
            cw_sheet__contents(s);
            cw_sheet__page(s);
        }
    }
    if (cw_sheet__has(c, CW_SHEET_EVIDENCE)) {
        cw_sheet__begin(s, CW_SHEET_EVIDENCE);
        cw_sheet__came_in(s);
        cw_sheet__what_it_was(s);
    }
    if (cw_sheet__has(c, CW_SHEET_ANSWER))
        cw_sheet__order(s);
}

/* Former, winding, program: what goes to the machine. */
static void set_machine(cw_sheet__setter *s)
{
    const cw_sheet_content *c = s->content;
    const bool winding = cw_sheet__has(c, CW_SHEET_WINDING), program = cw_sheet__has(c, CW_SHEET_PROGRAM);

    if (cw_sheet__has(c, CW_SHEET_FORMER))
        turn_over(s, 0.3);
    cw_sheet__blocks(s, CW_SHEET_FORMER);
    if (winding && (s->page > 1 ? s->y > s->height_mm / 2 : c->parts == 0 || s->y > s->height_mm / 2))
        cw_sheet__page(s); /* the machine gets its own page, unless the first ran over */
    if (winding)
        cw_sheet__section(s);
    if (winding || program)
        cw_sheet__cautions(s, CW_BEFORE_WINDING);
    if (program)
        cw_sheet__program(s);
    if (winding)
        cw_sheet__layers(s);
}

static void set_behaviour(cw_sheet__setter *s)
{
    static const cw_sheet_part parts[] = { CW_SHEET_MAGNET, CW_SHEET_HEAT, CW_SHEET_SWITCHING };

    for (int i = 0; i < 3; i++) {
        if (cw_sheet__has(s->content, parts[i]))
            turn_over(s, 0.45);
        cw_sheet__blocks(s, parts[i]);
    }
}

/* One pass over all parts; leaves the number of pages in s->page. */
static void set(cw_sheet__setter *s)
{
    const cw_sheet_content *c = s->content;

    s->page = 0;
    cw_sheet__page(s);
    set_front(s);
    set_machine(s);
    set_behaviour(s);
    if (cw_sheet__has(c, CW_SHEET_TESTS)) {
        if (cw_sheet__is_grown(c))
            turn_over(s, 0.45);
        cw_sheet__checks(s);
    }
    if (cw_sheet__has(c, CW_SHEET_CAUTIONS)) {
        cw_sheet__cautions(s, CW_BEFORE_USE);
        cw_sheet__begin(s, CW_SHEET_CAUTIONS);
    }
    if (cw_sheet__has(c, CW_SHEET_LABEL))
        cw_sheet__label(s);
    if (c->parts == 0)
        cw_sheet__notes(s);
}

static cw_status set_twice(cw_canvas *canvas, const cw_sheet_content *content, cw_sheet_paper paper, cw_error *error)
{
    cw_sheet__setter s = { .canvas = canvas, .content = content };

    s.width_mm = papers[paper].width_mm;
    s.height_mm = papers[paper].height_mm;
    s.left = SHEET_MARGIN_MM;
    s.measure = s.width_mm - 2 * SHEET_MARGIN_MM;
    s.bottom = s.height_mm - SHEET_MARGIN_MM;
    cw_canvas_mute(canvas, true);
    set(&s);
    s.pages = s.page;
    cw_canvas_mute(canvas, false);
    set(&s);
    return s.no_memory ? cw_no_memory(error) : CW_OK;
}

/* The same for both kinds of file; the canvas checks a date the same way once more. */
cw_status cw_sheet__check(const cw_sheet_content *content, cw_error *error)
{
    if (content->title == NULL || content->title[0] == '\0')
        return cw_refuse(error, NULL, "a name, as in \"brake coil, left\"", "The sheet has no name to be filed under.");
    return cw_sheet__label_check(content, error);
}

cw_status cw_sheet_write(const cw_sheet_content *content, cw_sheet_paper paper, cw_text *out, cw_error *error)
{
    cw_paper sheet = { .format = CW_PDF, .width_mm = papers[paper].width_mm, .height_mm = papers[paper].height_mm,
                       .title = content->title, .date = content->date };
    cw_canvas *canvas = NULL;
    cw_status status = cw_sheet__check(content, error);

    if (status == CW_OK)
        status = cw_canvas_create(&sheet, &canvas, error);
    if (status == CW_OK)
        status = set_twice(canvas, content, paper, error);
    if (status == CW_OK)
        status = cw_canvas_finish(canvas, out, error);
    cw_canvas_destroy(&canvas);
    return status;
}
