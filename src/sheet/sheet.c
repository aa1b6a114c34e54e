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

void cw_sheet__cautions(cw_sheet__setter *s, cw_sheet_place place, const char *heading)
{
    size_t count = s->content->caution_count, used = 0;
    const cw_sheet_caution *all = s->content->cautions != NULL ? s->content->cautions : cw_sheet_usual_cautions(&count);
    const char **texts = cw_allocate(count, sizeof *texts);

    if (texts == NULL) {
        s->no_memory = true;
        return;
    }
    for (size_t i = 0; i < count; i++)
        if (all[i].place == place && all[i].text != NULL)
            texts[used++] = all[i].text;
    if (used > 0) {
        cw_sheet__need(s, caution_height(s, heading, texts, used));
        s->y += cw_canvas_caution(s->canvas, s->left, s->y, s->measure, heading, texts, used) + SHEET_GAP_MM;
    }
    cw_free(texts);
}

/* One pass over all parts; leaves the number of pages in s->page. */
static void set(cw_sheet__setter *s)
{
    s->page = 0;
    cw_sheet__page(s);
    cw_sheet__masthead(s);
    cw_sheet__wind_this(s);
    cw_sheet__came_in(s);
    cw_sheet__what_it_was(s);
    cw_sheet__order(s);
    if (s->content->winding != NULL) {
        if (s->page == 1 || s->y > s->height_mm / 2) /* the machine gets its own page, unless page one ran over */
            cw_sheet__page(s);
        cw_sheet__section(s);
        cw_sheet__cautions(s, CW_BEFORE_WINDING, "Before you wind");
        cw_sheet__layers(s);
    }
    cw_sheet__checks(s);
    cw_sheet__cautions(s, CW_BEFORE_USE, "Before it goes back to work");
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

cw_status cw_sheet_write(const cw_sheet_content *content, cw_sheet_paper paper, cw_text *out, cw_error *error)
{
    cw_paper sheet = { .format = CW_PDF, .width_mm = papers[paper].width_mm, .height_mm = papers[paper].height_mm,
                       .title = content->title, .date = content->date };
    cw_canvas *canvas = NULL;
    cw_status status;

    if (content->title == NULL || content->title[0] == '\0')
        return cw_refuse(error, NULL, "a name, as in \"brake coil, left\"", "The sheet has no name to be filed under.");
    status = cw_canvas_create(&sheet, &canvas, error);
    if (status == CW_OK)
        status = set_twice(canvas, content, paper, error);
    if (status == CW_OK)
        status = cw_canvas_finish(canvas, out, error);
    cw_canvas_destroy(&canvas);
    return status;
}
