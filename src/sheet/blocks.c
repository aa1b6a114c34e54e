/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parts made of blocks: heading, text, lines, table, picture, as they come. */
#include "sheet/sheet_internal.h"

#include <math.h>

#define ROW_MM 5.6
#define TEXT_MM 160.0 /* a longer line is hard to follow */

static void set_text(cw_sheet__setter *s, const char *text)
{
    const cw_type type = { 9.5, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const double width = fmin(s->measure, TEXT_MM);

    cw_sheet__need(s, cw_canvas_paragraph_height(s->canvas, type, width, text));
    s->y += cw_canvas_paragraph(s->canvas, type, s->left, s->y, width, text) + 2;
}

static void set_grid(cw_sheet__setter *s, const cw_sheet_grid *grid)
{
    cw_column columns[CW_TABLE_COLUMNS_MOST];
    const cw_table table = { columns, grid->column_count, grid->cells, grid->row_count, ROW_MM, 9 };

    for (size_t i = 0; i < grid->column_count; i++) {
        columns[i] = grid->columns[i];
        columns[i].width_mm *= s->measure;
    }
    cw_sheet__need(s, 12 + 2 * ROW_MM);
    cw_sheet__table(s, &table);
    s->y += 3;
}

static double picture_height(const cw_sheet__setter *s, const cw_sheet_picture *picture)
{
    return fmin(picture->height_mm(s->canvas, picture->figure, s->measure), s->bottom - SHEET_MARGIN_MM - 12);
}

/* Read from the right, on the rest of a page that has hardly been begun. */
static void set_lying(cw_sheet__setter *s, const cw_sheet_picture *picture)
{
    const cw_box box = { s->left, s->y, s->measure, s->bottom - s->y };

    if (!cw_canvas_is_muted(s->canvas)) {
        cw_canvas_turn(s->canvas, box);
        picture->draw(s->canvas, (cw_box){ 0, 0, box.height, box.width }, picture->figure);
        cw_canvas_turn_back(s->canvas);
    }
    s->y = s->bottom;
}

static void set_picture(cw_sheet__setter *s, const cw_sheet_picture *picture)
{
    const double height = picture_height(s, picture);

    if (picture->lying) {
        set_lying(s, picture);
        return;
    }
    cw_sheet__need(s, height);
    if (!cw_canvas_is_muted(s->canvas))
        picture->draw(s->canvas, (cw_box){ s->left, s->y, s->measure, height }, picture->figure);
    s->y += height + 3;
}

/* What must stand under a heading on the same page. */
static double under_heading(const cw_sheet__setter *s, const cw_sheet_block *block)
{
    const cw_type type = { 9.5, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const double text = cw_canvas_paragraph_height(s->canvas, type, fmin(s->measure, TEXT_MM), block->text) + 2;

    if (block->picture.draw != NULL && block->picture.lying)
        return 0.85 * (s->bottom - SHEET_MARGIN_MM);
    if (block->grid.row_count > 0)
        return text + 12 + 3 * ROW_MM;
    if (block->lines == NULL && block->grid.row_count == 0 && block->picture.draw != NULL)
        return text + picture_height(s, &block->picture);
    return text + 16;
}

static void set_block(cw_sheet__setter *s, const cw_sheet_block *block)
{
    if (block->heading != NULL)
        cw_sheet__heading(s, block->heading, under_heading(s, block));
    cw_sheet__begin(s, block->part);
    if (block->text != NULL)
        set_text(s, block->text);
    if (block->line_count > 0) {
        cw_sheet__two_columns(s, NULL, block->lines, block->line_count);
        s->y += 3;
    }
    if (block->grid.row_count > 0)
        set_grid(s, &block->grid);
    if (block->picture.draw != NULL)
        set_picture(s, &block->picture);
    s->y += SHEET_GAP_MM - 3;
}

void cw_sheet__blocks(cw_sheet__setter *s, cw_sheet_part part)
{
    if (!cw_sheet__has(s->content, part))
        return;
    for (size_t i = 0; i < s->content->block_count; i++)
        if (s->content->blocks[i].part == part)
            set_block(s, &s->content->blocks[i]);
}
