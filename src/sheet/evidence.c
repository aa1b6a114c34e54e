/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What came in, what it was, why this wire and what to order. */
#include "sheet/sheet_internal.h"

#include <math.h>
#include <stdio.h>

void cw_sheet__came_in(cw_sheet__setter *s)
{
    const cw_readings_figure figure = { s->content->readings, s->content->reading_count };
    size_t first = 0, room;

    if (figure.count == 0)
        return;
    while (first < figure.count) { /* more readings than a page holds go on the next */
        cw_readings_figure part = { figure.marks + first, 1 };
        double one = cw_readings_height(&part), row;

        part.count = 2;
        row = cw_readings_height(&part) - one;
        cw_sheet__heading(s, first == 0 ? "What came in" : "What came in, continued", one + 2 * row);
        room = 1 + (size_t)fmax(0, floor((s->bottom - s->y - one) / row));
        part.count = room < figure.count - first ? room : figure.count - first;
        cw_readings_draw(s->canvas, (cw_box){ s->left, s->y, s->measure, cw_readings_height(&part) }, &part);
        s->y += cw_readings_height(&part) + SHEET_GAP_MM;
        first += part.count;
    }
}

/* Probability as a table cell: four digits. */
static void share_text(double share, char *buffer, size_t size)
{
    long ten_thousandths = lround(10000 * fmin(1, fmax(0, share)));

    if (ten_thousandths == 0 && share > 0)
        ten_thousandths = 1;
    snprintf(buffer, size, "%.4f", (double)ten_thousandths / 10000);
}

enum { CANDIDATE_COLUMNS = 5, MOST_CANDIDATES = 8 };

/* Candidates beyond the eighth help nobody at the bench; those shown keep their own probabilities. */
static void candidates_table(cw_sheet__setter *s)
{
    const double m = s->measure;
    const cw_column columns[CANDIDATE_COLUMNS] = {
        { "candidate", CW_COLUMN_STRONG, 0.33 * m }, { "turns", CW_COLUMN_TEXT, 0.14 * m },
        { "length", CW_COLUMN_TEXT, 0.16 * m },      { "resistance", CW_COLUMN_TEXT, 0.17 * m },
        { "how likely", CW_COLUMN_BAR, 0.20 * m },
    };
    const char *cells[MOST_CANDIDATES * CANDIDATE_COLUMNS];
    char shares[MOST_CANDIDATES][16];
    size_t count = s->content->candidate_count < MOST_CANDIDATES ? s->content->candidate_count : MOST_CANDIDATES;
    cw_table table = { columns, CANDIDATE_COLUMNS, cells, count, 6.2, 9 };

    for (size_t i = 0; i < count; i++) {
        const cw_sheet_candidate *candidate = &s->content->candidates[i];
        const char **row = cells + i * CANDIDATE_COLUMNS;

        share_text(candidate->probability, shares[i], sizeof shares[i]);
        row[0] = candidate->wire;
        row[1] = candidate->turns;
        row[2] = candidate->length;
        row[3] = candidate->resistance;
        row[4] = shares[i];
    }
    cw_sheet__table(s, &table);
}

void cw_sheet__what_it_was(cw_sheet__setter *s)
{
    if (s->content->candidate_count == 0 && s->content->answer == NULL)
        return;
    cw_sheet__heading(s, "What it was", 20);
    if (s->content->answer != NULL)
        s->y += cw_canvas_paragraph(s->canvas, (cw_type){ 9.5, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT }, s->left, s->y,
                                    fmin(s->measure, 160), s->content->answer) + 2.4;
    if (s->content->candidate_count > 0)
        candidates_table(s);
    s->y += SHEET_GAP_MM;
}

/* ---- why, and what to order ------------------------------------------------------------------------------------ */

static double draw_reasons(cw_sheet__setter *s, double x, double y, double width)
{
    const cw_type type = { 9.5, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    double down = 0;

    for (size_t i = 0; i < s->content->reason_count; i++) {
        cw_canvas_rectangle(s->canvas, (cw_pen){ 0 }, CW_BLACK, (cw_box){ x + 0.2, y + down + 1.9, 1.1, 1.1 }, 0);
        down += cw_canvas_paragraph(s->canvas, type, x + 3.2, y + down, width - 3.2, s->content->reasons[i]) + 0.8;
    }
    return down;
}

void cw_sheet__order(cw_sheet__setter *s)
{
    const cw_sheet_content *c = s->content;
    bool muted = cw_canvas_is_muted(s->canvas), both = c->order_count > 0 && c->reason_count > 0;
    double width = both ? (s->measure - SHEET_GUTTER_MM) / 2 : fmin(s->measure, 130);
    double right = both ? s->left + width + SHEET_GUTTER_MM : s->left, left_high, right_high;

    if (c->order_count == 0 && c->reason_count == 0)
        return;
    cw_canvas_mute(s->canvas, true);
    left_high = cw_sheet__lines(s->canvas, 0, 0, width, c->order, c->order_count);
    right_high = draw_reasons(s, 0, 0, width);
    cw_canvas_mute(s->canvas, muted);
    cw_sheet__heading(s, c->order_count > 0 ? "Wire to order" : "Why this wire", fmax(left_high, right_high));
    if (both) {
        cw_canvas_bookmark(s->canvas, "Why this wire", s->y - SHEET_HEADING_MM);
        cw_canvas_write(s->canvas, (cw_type){ 12.5, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT }, right,
                        s->y - SHEET_HEADING_MM + 4.6, "Why this wire");
    }
    cw_sheet__begin(s, CW_SHEET_ANSWER);
    cw_sheet__lines(s->canvas, s->left, s->y, width, c->order, c->order_count);
    draw_reasons(s, right, s->y, width);
    s->y += fmax(left_high, right_high) + SHEET_GAP_MM;
}
