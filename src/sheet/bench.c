/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What goes to the test bench: checks with room to write, signatures, and the rest of the page for notes. */
#include "sheet/sheet_internal.h"

#include <math.h>

#define CHECK_ROW_MM 10.0
#define SIGN_MM 12.0
#define NOTE_LINE_MM 8.0

enum { CHECK_COLUMNS = 5 };

/* Four fields to sign. */
static void signatures(cw_sheet__setter *s)
{
    static const char *const words[] = { "wound by", "date", "checked by", "date" };
    static const double shares[] = { 0.32, 0.18, 0.32, 0.18 };
    double x = s->left;

    cw_sheet__need(s, SIGN_MM);
    for (int i = 0; i < 4; i++) {
        double width = shares[i] * s->measure - 4, y = s->y + SIGN_MM - 4.2;

        cw_canvas_line(s->canvas, (cw_pen){ CW_BLACK, 0.25, CW_SOLID }, x, y, x + width, y);
        cw_canvas_write(s->canvas, (cw_type){ 8, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT }, x, y + 3.6, words[i]);
        x += width + 4;
    }
    s->y += SIGN_MM + SHEET_GAP_MM;
}

void cw_sheet__checks(cw_sheet__setter *s)
{
    const double m = s->measure;
    const cw_column columns[CHECK_COLUMNS] = {
        { "test", CW_COLUMN_STRONG, 0.13 * m }, { "how, and on what the limit rests", CW_COLUMN_SMALL, 0.46 * m },
        { "limit", CW_COLUMN_TEXT, 0.17 * m },  { "reading, and with what", CW_COLUMN_WRITE, 0.17 * m },
        { "good", CW_COLUMN_TICK, 0.07 * m },
    };
    size_t count;
    const cw_sheet_check *checks = cw_sheet__checks_of(s->content, &count);
    const char **cells = cw_allocate(CHECK_COLUMNS * count, sizeof *cells);
    const cw_table table = { columns, CHECK_COLUMNS, cells, count, CHECK_ROW_MM, 9 };

    if (cells == NULL) {
        s->no_memory = true;
        return;
    }
    for (size_t i = 0; i < count; i++) {
        cells[CHECK_COLUMNS * i] = checks[i].what;
        cells[CHECK_COLUMNS * i + 1] = checks[i].how;
        cells[CHECK_COLUMNS * i + 2] = checks[i].limit;
        cells[CHECK_COLUMNS * i + 3] = checks[i].reading;
        cells[CHECK_COLUMNS * i + 4] = checks[i].verdict != NULL ? checks[i].verdict : "tick";
    }
    cw_sheet__need(s, 70); /* caution and the first checks together */
    cw_sheet__cautions(s, CW_BEFORE_TESTING);
    cw_sheet__heading(s, "Tests to make, in this order", 4 * CHECK_ROW_MM);
    cw_sheet__begin(s, CW_SHEET_TESTS);
    cw_sheet__table(s, &table);
    signatures(s);
    cw_free(cells);
}

void cw_sheet__notes(cw_sheet__setter *s)
{
    double left = s->bottom - s->y - SHEET_HEADING_MM;

    if (left < 2 * NOTE_LINE_MM)
        return;
    cw_sheet__heading(s, "Notes from the bench", 0);
    for (double y = s->y + NOTE_LINE_MM - 2; y < s->bottom - 3; y += NOTE_LINE_MM)
        cw_canvas_line(s->canvas, (cw_pen){ CW_RULE, 0.25, CW_SOLID }, s->left, y, s->left + s->measure, y);
    s->y = s->bottom;
}
