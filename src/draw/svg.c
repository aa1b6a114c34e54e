/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What Cairo's SVG lacks. Its head and its one drawing group are replaced:
 *
 *     <svg ... width="2000mm" height="1000mm" viewBox="0 0 2000 1000" version="1.1">      ... <g id="surface17">
 *     <svg ... width="100mm" height="50mm" viewBox="0 0 100 50" role="img"> ... <g id="drawing" transform=
 *
 * The number in "surface17" counts all surfaces of the process and would change from run to run. */
#include "draw/draw_internal.h"

#include <stdio.h>
#include <string.h>

static void add_escaped(cw_text *text, const char *raw)
{
    for (const char *c = raw; *c != '\0'; c++) {
        switch (*c) {
        case '&': cw_text_add(text, "&amp;"); break;
        case '<': cw_text_add(text, "&lt;"); break;
        case '>': cw_text_add(text, "&gt;"); break;
        default: cw_text_add_bytes(text, c, 1);
        }
    }
}

/* Millimetres with a point whatever the locale: thousandths, as whole numbers. */
static void add_mm(cw_text *text, double mm)
{
    long thousandths = (long)(mm * 1000 + 0.5);

    cw_text_print(text, "%ld.%03ld", thousandths / 1000, thousandths % 1000);
}

static void add_head(const cw_canvas *canvas, cw_text *text)
{
    cw_text_add(text, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" "
                      "xmlns:xlink=\"http://www.w3.org/1999/xlink\" role=\"img\" width=\"");
    add_mm(text, canvas->width_mm);
    cw_text_add(text, "mm\" height=\"");
    add_mm(text, canvas->height_mm);
    cw_text_add(text, "mm\" viewBox=\"0 0 ");
    add_mm(text, canvas->width_mm);
    cw_text_add(text, " ");
    add_mm(text, canvas->height_mm);
    cw_text_add(text, "\" version=\"1.1\">\n");
    if (canvas->title != NULL) {
        cw_text_add(text, "<title>");
        add_escaped(text, canvas->title);
        cw_text_add(text, "</title>\n");
    }
    if (canvas->description != NULL) {
        cw_text_add(text, "<desc>");
        add_escaped(text, canvas->description);
        cw_text_add(text, "</desc>\n");
    }
}

bool cw_draw__svg_rewrite(const cw_canvas *canvas, double units_per_mm, cw_text *svg)
{
    static const char group[] = "<g id=\"surface";
    cw_text made = { 0 };
    const char *body, *drawing, *rest;

    if (svg->failed || svg->data == NULL)
        return false;
    body = strstr(svg->data, "<svg");
    body = body != NULL ? strstr(body, ">\n") : NULL;
    drawing = body != NULL ? strstr(body, group) : NULL;
    rest = drawing != NULL ? strchr(drawing, '>') : NULL;
    if (rest == NULL)
        return false;
    add_head(canvas, &made);
    cw_text_add_bytes(&made, body + 2, (size_t)(drawing - body - 2));
    cw_text_print(&made, "<g id=\"drawing\" transform=\"scale(0.%03ld)\">", (long)(1000 / units_per_mm));
    cw_text_add(&made, rest + 1);
    cw_text_clear(svg);
    *svg = made;
    return !made.failed;
}
