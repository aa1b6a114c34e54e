/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The head of the first page: whose coil, and what to wind. */
#include "sheet/sheet_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void cw_sheet__masthead(cw_sheet__setter *s)
{
    const cw_type small = { 9, CW_SEMIBOLD, CW_GREY, CW_ALIGN_LEFT };
    const cw_type to_right = { 9, CW_SEMIBOLD, CW_GREY, CW_ALIGN_RIGHT };
    cw_type title = { 20, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT };
    double right = s->left + s->measure;

    cw_canvas_write(s->canvas, small, s->left, s->y + 1, "COIL REWIND SHEET");
    if (s->content->date != NULL) {
        cw_canvas_write(s->canvas, to_right, right, s->y + 1, s->content->date);
    } else {
        cw_canvas_write(s->canvas, to_right, right - 36, s->y + 1, "date");
        cw_canvas_line(s->canvas, (cw_pen){ CW_BLACK, 0.18, CW_DOTTED }, right - 34, s->y + 1.4, right, s->y + 1.4);
    }
    s->y += 3;
    if (cw_canvas_text_width(s->canvas, title, s->content->title) > s->measure) /* a long name: smaller, in lines */
        title.size_pt = 14;
    s->y += cw_canvas_paragraph(s->canvas, title, s->left, s->y, s->measure, s->content->title);
    s->y += cw_canvas_paragraph(s->canvas, (cw_type){ 11, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_LEFT }, s->left, s->y,
                                s->measure, s->content->machine);
    if (s->content->note != NULL)
        s->y += 0.6 + cw_canvas_paragraph(s->canvas, (cw_type){ 9, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT }, s->left,
                                          s->y + 0.6, s->measure, s->content->note);
    s->y += 3;
}

/* ---- verdict ---------------------------------------------------------------------------------------------------- */

#define BAND_MM 9.0

/* The word on black, red where the coil failed; beside it how many tests say so. */
void cw_sheet__verdict(cw_sheet__setter *s)
{
    static const char *const words[] = { "", "NOT PROVEN YET", "PROVEN", "FAILED" };
    const cw_sheet_verdict verdict = s->content->verdict;
    const cw_type word = { 12, CW_BOLD, verdict == CW_SHEET_OPEN ? CW_BLACK : CW_WHITE, CW_ALIGN_CENTRE };
    const cw_ink fill = verdict == CW_SHEET_FAIL ? CW_RED : verdict == CW_SHEET_PASS ? CW_BLACK : CW_WHITE;
    const cw_box band = { s->left, s->y, s->measure, BAND_MM }, tab = { s->left, s->y, 44, BAND_MM };

    if (verdict == CW_SHEET_NO_VERDICT)
        return;
    cw_canvas_rectangle(s->canvas, (cw_pen){ CW_BLACK, 0.5, CW_SOLID }, CW_NO_INK, band, 0);
    cw_canvas_rectangle(s->canvas, (cw_pen){ CW_BLACK, 0.5, CW_SOLID }, fill, tab, 0);
    cw_canvas_write(s->canvas, word, tab.x + tab.width / 2, tab.y + 6, words[verdict]);
    if (s->content->verdict_text != NULL)
        cw_canvas_write_within(s->canvas, (cw_type){ 10.5, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT }, tab.x + tab.width + 3,
                               tab.y + 6, s->measure - tab.width - 6, s->content->verdict_text);
    s->y += BAND_MM + 3;
}

/* ---- at a glance, contents --------------------------------------------------------------------------------------- */

void cw_sheet__glance(cw_sheet__setter *s)
{
    if (s->content->glance_count == 0)
        return;
    cw_sheet__two_columns(s, "At a glance", s->content->glance, s->content->glance_count);
    s->y += SHEET_GAP_MM;
}

/* One entry of the contents, its page at the right of the column. */
static void contents_line(cw_sheet__setter *s, double x, double y, double width, cw_sheet_part part)
{
    char page[16];

    snprintf(page, sizeof page, "%d", s->part_page[part]);
    cw_canvas_write(s->canvas, (cw_type){ 9.5, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT }, x, y + 3.6,
                    cw_sheet__part_title(part));
    cw_canvas_write(s->canvas, (cw_type){ 9.5, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_RIGHT }, x + width, y + 3.6, page);
    cw_canvas_line(s->canvas, (cw_pen){ CW_RULE, 0.18, CW_SOLID }, x, y + 5, x + width, y + 5);
}

/* The pages are those that the first pass found. */
void cw_sheet__contents(cw_sheet__setter *s)
{
    const double row = 5.6, width = (s->measure - SHEET_GUTTER_MM) / 2;
    cw_sheet_part parts[CW_SHEET_PART_COUNT];
    size_t count = 0, half;

    for (int part = CW_SHEET_COVER + 1; part < CW_SHEET_PART_COUNT; part++)
        if (cw_sheet__has(s->content, (cw_sheet_part)part))
            parts[count++] = (cw_sheet_part)part;
    half = (count + 1) / 2;
    cw_sheet__heading(s, "What stands on which page", row * (double)half);
    for (size_t i = 0; i < count; i++)
        contents_line(s, s->left + (i < half ? 0 : width + SHEET_GUTTER_MM), s->y + row * (double)(i % half), width,
                      parts[i]);
    s->y += row * (double)half + SHEET_GAP_MM;
}

/* ---- what to wind ---------------------------------------------------------------------------------------------- */

#define PAD_MM 5.0
#define TAB_MM 7.0
#define LIMIT_ROW_MM 6.4

/* Label above, figure large below it. */
static void big_figure(cw_canvas *canvas, double x, double y, const char *label, const char *value)
{
    cw_canvas_write(canvas, (cw_type){ 8.5, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT }, x, y + 3, label);
    cw_canvas_write(canvas, (cw_type){ 19, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT }, x, y + 10.4, value);
}

const char *cw_sheet__strands(int in_hand)
{
    static const char *const texts[] = { "one strand", "TWO strands side by side", "THREE strands side by side",
                                         "FOUR strands side by side" };

    return texts[in_hand < 1 ? 0 : in_hand > 4 ? 3 : in_hand - 1];
}

/* Wire and covering in the left part of the panel; returns the height. */
static double draw_wire(cw_sheet__setter *s, double x, double y, double width)
{
    const cw_sheet_content *c = s->content;
    cw_type name = { 34, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT };
    double down = 1;

    if (c->wire != NULL) {
        while (name.size_pt > 16 && cw_canvas_text_width(s->canvas, name, c->wire) > width)
            name.size_pt -= 2;
        cw_canvas_write_within(s->canvas, name, x, y + 12.5, width, c->wire);
        down = 15.5;
    }
    down += cw_canvas_paragraph(s->canvas, (cw_type){ 12, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_LEFT }, x, y + down, width,
                                c->covering);
    if (c->winding != NULL)
        down += cw_canvas_paragraph(s->canvas, (cw_type){ 11, c->winding->plan.in_hand > 1 ? CW_BOLD : CW_REGULAR,
                                                          CW_BLACK, CW_ALIGN_LEFT },
                                    x, y + down, width, cw_sheet__strands(c->winding->plan.in_hand));
    return down;
}

/* Turns, layers, turns in a layer, depth, two by two. */
static void draw_numbers(cw_sheet__setter *s, double x, double y, double width)
{
    const cw_winding *w = s->content->winding;
    const bool inches = s->content->units == CW_INCH_UNITS;
    char text[48];

    snprintf(text, sizeof text, "%ld", w->turns);
    big_figure(s->canvas, x, y, w->plan.in_hand > 1 ? "turns of the bundle" : "turns", text);
    snprintf(text, sizeof text, "%zu", w->layer_count);
    big_figure(s->canvas, x + width / 2, y, w->plan.lay == CW_RANDOM ? "passes of the guide" : "layers", text);
    snprintf(text, sizeof text, "%ld", w->turns_per_layer);
    big_figure(s->canvas, x, y + 14.5, w->plan.lay == CW_RANDOM ? "turns in a full pass" : "turns in a full layer",
               text);
    cw_quantity_format_in(CW_LENGTH, w->depth_m, inches ? "in" : "mm", inches ? 3 : 1, text, sizeof text);
    big_figure(s->canvas, x + width / 2, y + 14.5, "depth of the winding", text);
}

static double limits_height(const cw_sheet_content *c)
{
    return c->limit_count > 0 ? 6.4 + LIMIT_ROW_MM * (double)c->limit_count + 1.5 : 0;
}

/* Resistance of the finished coil: aim and limits, one row a temperature. */
static void draw_limits(cw_sheet__setter *s, double x, double y, double width)
{
    const cw_sheet_content *c = s->content;
    const cw_type head = { 8.5, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT };
    const cw_type value = { 11, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const cw_type strong = { 12, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT };
    const double at[4] = { x, x + 0.44 * width, x + 0.64 * width, x + 0.83 * width };

    cw_canvas_line(s->canvas, (cw_pen){ CW_RULE, 0.25, CW_SOLID }, x, y, x + width, y);
    cw_canvas_write(s->canvas, head, at[0], y + 5, "resistance of the finished coil");
    cw_canvas_write(s->canvas, head, at[1], y + 5, "aim");
    cw_canvas_write(s->canvas, head, at[2], y + 5, "not below");
    cw_canvas_write(s->canvas, head, at[3], y + 5, "not above");
    for (size_t i = 0; i < c->limit_count; i++) {
        double baseline = y + 6.4 + LIMIT_ROW_MM * (double)i + 4.6;
        const cw_sheet_limit *limit = &c->limits[i];

        if (limit->condition != NULL)
            cw_canvas_write_within(s->canvas, value, at[0], baseline, 0.42 * width, limit->condition);
        if (limit->aim != NULL)
            cw_canvas_write(s->canvas, strong, at[1], baseline, limit->aim);
        if (limit->low != NULL)
            cw_canvas_write(s->canvas, value, at[2], baseline, limit->low);
        if (limit->high != NULL)
            cw_canvas_write(s->canvas, value, at[3], baseline, limit->high);
    }
}

/* The frame, and the white word on black that nobody overlooks. */
static void draw_panel(cw_sheet__setter *s, double height)
{
    cw_box panel = { s->left, s->y, s->measure, height }, tab = { s->left, s->y, 34, TAB_MM };

    cw_canvas_rectangle(s->canvas, (cw_pen){ CW_BLACK, 0.8, CW_SOLID }, CW_NO_INK, panel, 0);
    cw_canvas_rectangle(s->canvas, (cw_pen){ 0 }, CW_BLACK, tab, 0);
    cw_canvas_write(s->canvas, (cw_type){ 11, CW_BOLD, CW_WHITE, CW_ALIGN_CENTRE }, tab.x + tab.width / 2, tab.y + 4.9,
                    "WIND THIS");
}

void cw_sheet__misfit(const cw_sheet_content *c, char *buffer, size_t size)
{
    const bool inches = c->units == CW_INCH_UNITS;
    char depth[48];

    cw_quantity_format_in(CW_LENGTH, fabs(c->winding->spare_m), inches ? "in" : "mm", inches ? 3 : 2, depth,
                          sizeof depth);
    snprintf(buffer, size, "DOES NOT FIT: %s deeper than the window. Do not wind it as it stands.", depth);
}

static void nothing_to_wind(cw_sheet__setter *s)
{
    static const char *const texts[] = {
        "No winding stands on this sheet: either nothing fits the window and the wishes, or readings or dimensions are "
        "missing.",
        "The reasons further down say which.",
    };
    size_t count = s->content->reason_count > 0 ? 2 : 1;

    s->y += cw_canvas_caution(s->canvas, s->left, s->y, s->measure, "Nothing to wind yet", texts, count) + SHEET_GAP_MM;
}

void cw_sheet__wind_this(cw_sheet__setter *s)
{
    const cw_sheet_content *c = s->content;
    double inner = s->left + PAD_MM, width = s->measure - 2 * PAD_MM, split = 0.50 * width, top = s->y + TAB_MM + 2;
    double upper = 28, height;
    bool muted = cw_canvas_is_muted(s->canvas), misfit;
    char text[160];

    if (c->winding == NULL) {
        nothing_to_wind(s);
        return;
    }
    misfit = !c->winding->fits;
    cw_canvas_mute(s->canvas, true);
    upper = fmax(upper, draw_wire(s, inner, top, split - 6));
    cw_canvas_mute(s->canvas, muted);
    height = TAB_MM + 2 + upper + (misfit ? 7.5 : 0) + 2 + limits_height(c);
    draw_panel(s, height);
    draw_wire(s, inner, top, split - 6);
    cw_canvas_line(s->canvas, (cw_pen){ CW_RULE, 0.25, CW_SOLID }, inner + split - 3, s->y + 5, inner + split - 3,
                   top + upper - 1);
    draw_numbers(s, inner + split + 2, s->y + 5, width - split - 2);
    if (misfit) {
        cw_sheet__misfit(c, text, sizeof text);
        cw_canvas_write_within(s->canvas, (cw_type){ 12, CW_BOLD, CW_RED, CW_ALIGN_LEFT }, inner, top + upper + 4.4,
                               width, text);
        upper += 7.5;
    }
    if (c->limit_count > 0)
        draw_limits(s, inner, top + upper + 1, width);
    s->y += height + SHEET_GAP_MM;
}
