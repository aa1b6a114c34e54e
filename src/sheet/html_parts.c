/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pieces of the HTML sheet: text, lists, tables, pictures. */
#include "sheet/html_internal.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { SVG_MOST = 250000 };  /* bytes; beyond it a picture of dots is smaller */
#define DOTS_PER_MM 8.0

void cw_html__text(cw_html *page, const char *text)
{
    size_t left = text != NULL ? strlen(text) : 0;

    while (left > 0) {
        uint32_t code;
        int bytes = cw_utf8_decode(text, left, &code);

        if (bytes == 0 || code < ' ' || (code >= 0x7f && code < 0xa0)) {
            cw_text_add(page->out, code == '\n' && bytes == 1 ? " " : "\xEF\xBF\xBD");
            bytes = bytes > 0 ? bytes : 1;
        } else if (code == '&') {
            cw_text_add(page->out, "&amp;");
        } else if (code == '<') {
            cw_text_add(page->out, "&lt;");
        } else if (code == '>') {
            cw_text_add(page->out, "&gt;");
        } else if (code == '"') {
            cw_text_add(page->out, "&quot;");
        } else {
            cw_text_add_bytes(page->out, text, (size_t)bytes);
        }
        text += bytes;
        left -= (size_t)bytes;
    }
}

void cw_html__section(cw_html *page, const char *id, const char *heading)
{
    if (id != NULL)
        cw_text_print(page->out, "<section id=\"%s\" aria-labelledby=\"%s-heading\">\n<h2 id=\"%s-heading\">", id, id, id);
    else
        cw_text_add(page->out, "<section>\n<h2>");
    cw_html__text(page, heading);
    cw_text_add(page->out, "</h2>\n");
}

void cw_html__end(cw_html *page)
{
    cw_text_add(page->out, "</section>\n");
}

void cw_html__paragraph(cw_html *page, const char *class_name, const char *text)
{
    if (text == NULL || text[0] == '\0')
        return;
    if (class_name != NULL)
        cw_text_print(page->out, "<p class=\"%s\">", class_name);
    else
        cw_text_add(page->out, "<p>");
    cw_html__text(page, text);
    cw_text_add(page->out, "</p>\n");
}

void cw_html__lines(cw_html *page, const cw_sheet_line *lines, size_t count)
{
    if (count == 0)
        return;
    cw_text_add(page->out, "<dl>\n");
    for (size_t i = 0; i < count; i++) {
        cw_text_add(page->out, "<div><dt>");
        cw_html__text(page, lines[i].label);
        cw_text_add(page->out, "</dt><dd>");
        cw_html__text(page, lines[i].value);
        cw_text_add(page->out, "</dd></div>\n");
    }
    cw_text_add(page->out, "</dl>\n");
}

/* ---- tables ----------------------------------------------------------------------------------------------------- */

static const char *class_of(cw_column_kind kind)
{
    switch (kind) {
    case CW_COLUMN_STRONG: return " class=\"strong\"";
    case CW_COLUMN_SMALL: return " class=\"small\"";
    case CW_COLUMN_RIGHT:
    case CW_COLUMN_DECIMAL: return " class=\"number\"";
    case CW_COLUMN_RIGHT_STRONG: return " class=\"number strong\"";
    case CW_COLUMN_CENTRE:
    case CW_COLUMN_DIRECTION:
    case CW_COLUMN_TICK: return " class=\"middle\"";
    case CW_COLUMN_TEXT:
    case CW_COLUMN_BAR:
    case CW_COLUMN_WRITE:
    case CW_COLUMN_KIND_COUNT: break;
    }
    return "";
}

/* A control's name for those who hear it: the row's first words and the column's heading. */
static void control(cw_html *page, const char *what, const char *row, const char *heading)
{
    cw_text_print(page->out, "<input %s aria-label=\"", what);
    cw_html__text(page, row);
    cw_text_add(page->out, ", ");
    cw_html__text(page, heading);
    cw_text_add(page->out, "\">");
}

static void bar(cw_html *page, const char *cell)
{
    const double share = fmin(1, fmax(0, strtod(cell, NULL)));

    cw_text_print(page->out, "<span class=\"bar\" aria-hidden=\"true\"><span style=\"width:%.0f%%\"></span></span> "
                             "%s%.0f&nbsp;%%", 100 * share, share > 0 && share < 0.005 ? "&lt; " : share > 0.995 && share < 1 ? "&gt; " : "",
                  share > 0 && share < 0.005 ? 1 : share > 0.995 && share < 1 ? 99 : 100 * share);
}

static void cell(cw_html *page, const cw_column *column, const char *text, const char *row)
{
    if (column->kind == CW_COLUMN_WRITE && text == NULL)
        control(page, "type=\"text\"", row, column->heading);
    else if (column->kind == CW_COLUMN_TICK && text != NULL && strcmp(text, "tick") == 0)
        control(page, "type=\"checkbox\"", row, column->heading);
    else if (column->kind == CW_COLUMN_DIRECTION && text != NULL)
        cw_text_add(page->out, text[0] == '-' ? "back" : "away");
    else if (column->kind == CW_COLUMN_BAR && text != NULL)
        bar(page, text);
    else
        cw_html__text(page, text);
}

static void row_of(cw_html *page, const cw_column *columns, size_t column_count, const char *const *cells)
{
    size_t named = 0; /* the first column of words says what the row is of */

    while (named + 1 < column_count && (cells[named] == NULL || columns[named].kind == CW_COLUMN_TICK))
        named++;
    cw_text_add(page->out, "<tr>");
    for (size_t i = 0; i < column_count; i++) {
        cw_text_print(page->out, i == named ? "<th scope=\"row\"%s>" : "<td%s>", class_of(columns[i].kind));
        cell(page, &columns[i], cells[i], cells[named]);
        cw_text_add(page->out, i == named ? "</th>" : "</td>");
    }
    cw_text_add(page->out, "</tr>\n");
}

void cw_html__table(cw_html *page, const char *caption, const cw_column *columns, size_t column_count,
                    const char *const *cells, size_t row_count)
{
    cw_text_add(page->out, "<table>\n<caption>");
    cw_html__text(page, caption);
    cw_text_add(page->out, "</caption>\n<thead><tr>");
    for (size_t i = 0; i < column_count; i++) {
        cw_text_print(page->out, "<th scope=\"col\"%s>", class_of(columns[i].kind));
        cw_html__text(page, columns[i].heading);
        cw_text_add(page->out, "</th>");
    }
    cw_text_add(page->out, "</tr></thead>\n<tbody>\n");
    for (size_t row = 0; row < row_count; row++)
        row_of(page, columns, column_count, cells + row * column_count);
    cw_text_add(page->out, "</tbody>\n</table>\n");
}

/* ---- pictures --------------------------------------------------------------------------------------------------- */

static void base64(const cw_text *bytes, cw_text *out)
{
    static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

    for (size_t i = 0; i < bytes->length; i += 3) {
        const unsigned char *at = (const unsigned char *)bytes->data + i;
        const size_t left = bytes->length - i;
        const unsigned three = (unsigned)at[0] << 16 | (left > 1 ? (unsigned)at[1] << 8 : 0) | (left > 2 ? at[2] : 0u);
        const char four[4] = { letters[three >> 18], letters[three >> 12 & 63], left > 1 ? letters[three >> 6 & 63] : '=',
                               left > 2 ? letters[three & 63] : '=' };

        cw_text_add_bytes(out, four, 4);
    }
}

/* Draws on a canvas of its own, as high as suits. */
static cw_status draw(const cw_sheet_picture *picture, cw_format format, double width_mm, cw_text *bytes, double *height_mm,
                      cw_error *error)
{
    cw_paper paper = { .format = format, .width_mm = width_mm, .height_mm = 300, .dots_per_mm = DOTS_PER_MM };
    cw_canvas *canvas = NULL;
    cw_status status = cw_canvas_create(&paper, &canvas, error);

    if (status == CW_OK)
        *height_mm = paper.height_mm = fmax(5, picture->height_mm(canvas, picture->figure, width_mm));
    cw_canvas_destroy(&canvas);
    if (status == CW_OK)
        status = cw_canvas_create(&paper, &canvas, error);
    if (status == CW_OK) {
        picture->draw(canvas, (cw_box){ 0, 0, width_mm, paper.height_mm }, picture->figure);
        status = cw_canvas_finish(canvas, bytes, error);
    }
    cw_canvas_destroy(&canvas);
    return status;
}

void cw_html__picture(cw_html *page, const cw_sheet_picture *picture, double width_mm)
{
    cw_text bytes = { 0 };
    double height_mm = 0;
    bool dots = false;

    if (page->status == CW_OK)
        page->status = draw(picture, CW_SVG, width_mm, &bytes, &height_mm, page->error);
    if (page->status == CW_OK && bytes.length > SVG_MOST) {
        cw_text_clear(&bytes);
        dots = true;
        page->status = draw(picture, CW_PNG, width_mm, &bytes, &height_mm, page->error);
    }
    if (page->status == CW_OK) {
        cw_text_print(page->out, "<figure><img width=\"%.0f\" height=\"%.0f\" style=\"width:%.0fmm\" alt=\"",
                      width_mm / 25.4 * 96, height_mm / 25.4 * 96, width_mm);
        cw_html__text(page, picture->says != NULL ? picture->says : "");
        cw_text_print(page->out, "\" src=\"data:image/%s;base64,", dots ? "png" : "svg+xml");
        base64(&bytes, page->out);
        cw_text_add(page->out, "\"></figure>\n");
    }
    cw_text_clear(&bytes);
}

void cw_html__cautions(cw_html *page, cw_sheet_place place, int rank)
{
    const char *texts[SHEET_CAUTIONS_MOST];
    const size_t count = cw_sheet__caution_texts(page->content, place, texts);

    if (count == 0)
        return;
    cw_text_print(page->out, "<aside class=\"caution\"><h%d>", rank);
    cw_html__text(page, cw_sheet__place_heading(place));
    cw_text_print(page->out, "</h%d>\n<ul>\n", rank);
    for (size_t i = 0; i < count; i++) {
        cw_text_add(page->out, "<li>");
        cw_html__text(page, texts[i]);
        cw_text_add(page->out, "</li>\n");
    }
    cw_text_add(page->out, "</ul></aside>\n");
}
