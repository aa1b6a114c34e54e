/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ASCII DXF, release 12: pairs of a group code and a value.
 *
 * The part stands at full size in the job's units; what belongs to the paper is enlarged with it, so that a sheet at
 * 1:2 has a frame of twice its size. Release 12 carries no unit: the title block and a comment say it. Text is plain
 * ASCII; degree, plus-minus and diameter are the format's own %%d, %%p, %%c, accents are left off. Text is fitted
 * between two points (72 = 5), as no two programs have the same letters and none may run into its neighbour.
 *
 * Source: [DXF12]. Test: tests/drafting/dxf.py, by its rules and by an independent reader */
#include "drafting/drafting_internal.h"

#include <math.h>
#include <string.h>

#define SHEET_GAP_MM 20.0

typedef struct layer {
    const char *name;
    int colour;           /* of 255; 7 is black on white, white on black */
    const char *linetype;
} layer;

static const layer layers[CW_DRAFTING_LINE_COUNT] = {
    [CW_DRAFTING_VISIBLE] = { "VISIBLE", 7, "CONTINUOUS" },
    [CW_DRAFTING_HIDDEN] = { "HIDDEN", 3, "HIDDEN" },
    [CW_DRAFTING_CENTRE] = { "CENTRE", 1, "CENTER" },
    [CW_DRAFTING_CUT] = { "CUT", 6, "CONTINUOUS" },
    [CW_DRAFTING_HATCH] = { "HATCH", 8, "CONTINUOUS" },
    [CW_DRAFTING_THIN] = { "THIN", 4, "CONTINUOUS" },
    [CW_DRAFTING_DIMENSION] = { "DIMENSION", 5, "CONTINUOUS" },
    [CW_DRAFTING_FRAME] = { "FRAME", 9, "CONTINUOUS" },
};

/* From a sheet's millimetres to the file's units: times k, then to the right. */
typedef struct plotter {
    cw_text *out;
    double k, x;
} plotter;

static void word(cw_text *out, int code, const char *value)
{
    cw_text_print(out, "%3d\n%s\n", code, value);
}

static void integer(cw_text *out, int code, int value)
{
    cw_text_print(out, "%3d\n%6d\n", code, value);
}

static void real(cw_text *out, int code, double value)
{
    cw_text_print(out, "%3d\n%.6f\n", code, fabs(value) < 5e-7 ? 0.0 : value);
}

static void point(const plotter *p, int code, double x, double y)
{
    real(p->out, code, x * p->k + p->x);
    real(p->out, code + 10, y * p->k);
    real(p->out, code + 20, 0);
}

/* ---- text -------------------------------------------------------------------------------------------------------- */

/* Latin letters without their accents, U+00C0 to U+00FF. */
static const char bare_letters[] = "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo/ouuuuyty";

static void add_character(cw_text *line, uint32_t code)
{
    const char plain[2] = { (char)code, '\0' };

    switch (code) {
    case 0xB0: cw_text_add(line, "%%d"); return;
    case 0xB1: cw_text_add(line, "%%p"); return;
    case 0xD8: cw_text_add(line, "%%c"); return;
    case 0xF8: cw_text_add(line, "o"); return;
    case 0x2212: case 0x2013: case 0x2014: cw_text_add(line, "-"); return;
    default: break;
    }
    if (code >= 0x20 && code < 0x7F)
        cw_text_add(line, plain);
    else if (code >= 0xC0 && code <= 0xFF)
        cw_text_add_bytes(line, &bare_letters[code - 0xC0], 1);
    else
        cw_text_add(line, code < 0x20 || code == 0x7F ? " " : "?");
}

static void words(cw_text *out, const char *text)
{
    const char *end = text + strlen(text);
    bool percent = false;

    cw_text_add(out, "  1\n");
    while (text < end) {
        uint32_t code = '?';
        int bytes = cw_utf8_decode(text, (size_t)(end - text), &code);

        /* two of the user's percent signs in a row would begin one of the format's own codes */
        if (!(code == '%' && percent))
            add_character(out, bytes > 0 ? code : '?');
        percent = code == '%';
        text += bytes > 0 ? bytes : 1;
    }
    cw_text_add(out, "\n");
}

/* ---- entities ---------------------------------------------------------------------------------------------------- */

static void begin(const plotter *p, const char *entity, const cw_drafting__mark *mark)
{
    word(p->out, 0, entity);
    cw_text_print(p->out, "  8\n%s%s\n", layers[mark->line].name, mark->detail ? "_DETAIL" : "");
}

/* From 0 to below 360 degrees, also as it is rounded in print. */
static double turn(double degrees)
{
    degrees = fmod(fmod(degrees, 360) + 360, 360);
    return degrees >= 360 - 5e-7 ? 0 : degrees;
}

static void write_arc(const plotter *p, const cw_drafting__mark *mark)
{
    const bool whole = mark->b - mark->a >= 360;

    begin(p, whole ? "CIRCLE" : "ARC", mark);
    point(p, 10, mark->x1, mark->y1);
    real(p->out, 40, mark->x2 * p->k);
    if (whole)
        return;
    real(p->out, 50, turn(mark->a));
    real(p->out, 51, turn(mark->b));
}

static void write_head(const plotter *p, const cw_drafting__mark *mark)
{
    double bx = mark->x1 - DRAFTING_HEAD_MM * mark->x2, by = mark->y1 - DRAFTING_HEAD_MM * mark->y2;
    double hx = 0.158 * DRAFTING_HEAD_MM * -mark->y2, hy = 0.158 * DRAFTING_HEAD_MM * mark->x2;

    begin(p, "SOLID", mark);
    point(p, 10, mark->x1, mark->y1);
    point(p, 11, bx + hx, by + hy);
    point(p, 12, bx - hx, by - hy);
    point(p, 13, bx - hx, by - hy);
}

static void write_text(const plotter *p, const cw_drafting__mark *mark)
{
    begin(p, "TEXT", mark);
    point(p, 10, mark->x1, mark->y1);
    real(p->out, 40, mark->y2 * p->k);
    words(p->out, mark->words);
    real(p->out, 50, mark->up ? 90 : 0);
    integer(p->out, 72, 5);
    point(p, 11, mark->x1 + (mark->up ? 0 : mark->x2), mark->y1 + (mark->up ? mark->x2 : 0));
}

static void write_mark(const plotter *p, const cw_drafting__mark *mark)
{
    switch (mark->kind) {
    case MARK_LINE:
        begin(p, "LINE", mark);
        point(p, 10, mark->x1, mark->y1);
        point(p, 11, mark->x2, mark->y2);
        break;
    case MARK_ARC: write_arc(p, mark); break;
    case MARK_HEAD: write_head(p, mark); break;
    case MARK_TEXT: write_text(p, mark); break;
    }
}

/* ---- header and tables ------------------------------------------------------------------------------------------- */

static void variable(cw_text *out, const char *name)
{
    word(out, 9, name);
}

static void corner(cw_text *out, const char *name, double x, double y)
{
    variable(out, name);
    real(out, 10, x);
    real(out, 20, y);
}

static void header(cw_text *out, double width, double height, double paper)
{
    word(out, 0, "SECTION");
    word(out, 2, "HEADER");
    variable(out, "$ACADVER");
    word(out, 1, "AC1009");
    corner(out, "$EXTMIN", 0, 0);
    corner(out, "$EXTMAX", width, height);
    corner(out, "$LIMMIN", 0, 0);
    corner(out, "$LIMMAX", width, height);
    variable(out, "$LUNITS");
    integer(out, 70, 2);
    variable(out, "$LTSCALE");
    real(out, 40, paper);
    word(out, 0, "ENDSEC");
}

static void linetype(cw_text *out, const char *name, const char *picture, const double *dashes, int count)
{
    double length = 0;

    for (int i = 0; i < count; i++)
        length += fabs(dashes[i]);
    word(out, 0, "LTYPE");
    word(out, 2, name);
    integer(out, 70, 0);
    word(out, 3, picture);
    integer(out, 72, 65);
    integer(out, 73, count);
    real(out, 40, length);
    for (int i = 0; i < count; i++)
        real(out, 49, dashes[i]);
}

/* Dashes in millimetres of paper; $LTSCALE brings them to the part's size. */
static void linetypes(cw_text *out)
{
    static const double dashed[] = { 3, -1.2 }, chain[] = { 8, -1.2, 0.8, -1.2 };

    word(out, 0, "TABLE");
    word(out, 2, "LTYPE");
    integer(out, 70, 3);
    linetype(out, "CONTINUOUS", "Solid line", NULL, 0);
    linetype(out, "HIDDEN", "__ __ __ __ __", dashed, 2);
    linetype(out, "CENTER", "____ _ ____ _ ____", chain, 4);
    word(out, 0, "ENDTAB");
}

static void layer_table(cw_text *out)
{
    word(out, 0, "TABLE");
    word(out, 2, "LAYER");
    integer(out, 70, 1 + 2 * CW_DRAFTING_LINE_COUNT);
    for (int i = -1; i < 2 * CW_DRAFTING_LINE_COUNT; i++) {
        const layer *l = &layers[i < 0 ? 0 : i / 2];

        word(out, 0, "LAYER");
        if (i < 0)
            word(out, 2, "0");
        else
            cw_text_print(out, "  2\n%s%s\n", l->name, i % 2 == 1 ? "_DETAIL" : "");
        integer(out, 70, 0);
        integer(out, 62, l->colour);
        word(out, 6, l->linetype);
    }
    word(out, 0, "ENDTAB");
}

static void style_table(cw_text *out)
{
    word(out, 0, "TABLE");
    word(out, 2, "STYLE");
    integer(out, 70, 1);
    word(out, 0, "STYLE");
    word(out, 2, "STANDARD");
    integer(out, 70, 0);
    real(out, 40, 0);
    real(out, 41, 1);
    real(out, 50, 0);
    integer(out, 71, 0);
    real(out, 42, DRAFTING_FIGURES_MM);
    word(out, 3, "txt");
    word(out, 4, "");
    word(out, 0, "ENDTAB");
}

static void tables(cw_text *out)
{
    word(out, 0, "SECTION");
    word(out, 2, "TABLES");
    linetypes(out);
    layer_table(out);
    style_table(out);
    word(out, 0, "ENDSEC");
}

/* Units of the file per millimetre of a sheet. */
static double enlargement(const cw_drafting *drawing, size_t sheet)
{
    return 1 / drawing->pages[sheet].scale / (drawing->units == CW_INCH_UNITS ? 25.4 : 1);
}

static void comments(cw_text *out, const cw_drafting *drawing, const char *title)
{
    cw_text_add(out, "999\n");
    for (; title != NULL && *title != '\0'; title++)
        if (*title >= 0x20 && *title < 0x7F)
            cw_text_add_bytes(out, title, 1);
    cw_text_print(out, "\n999\nUNITS: %s\n", drawing->units == CW_INCH_UNITS ? "INCH" : "MM");
    cw_text_add(out, "999\nThe part stands at full size; details on layers ending in _DETAIL are enlarged\n");
}

cw_status cw_drafting_write_dxf(const cw_drafting *drawing, const char *title, cw_text *out, cw_error *error)
{
    cw_text made = { 0 };
    double width = 0, height = 0;

    for (size_t i = 0; i < drawing->count; i++) {
        width += (drawing->width_mm + (i > 0 ? SHEET_GAP_MM : 0)) * enlargement(drawing, i);
        height = fmax(height, drawing->height_mm * enlargement(drawing, i));
    }
    comments(&made, drawing, title);
    header(&made, width, height, enlargement(drawing, 0));
    tables(&made);
    word(&made, 0, "SECTION");
    word(&made, 2, "ENTITIES");
    width = 0;
    for (size_t i = 0; i < drawing->count; i++) {
        const plotter p = { &made, enlargement(drawing, i),
                            width + (i > 0 ? SHEET_GAP_MM * enlargement(drawing, i) : 0) };

        for (size_t k = 0; k < drawing->pages[i].marks.count; k++)
            write_mark(&p, &drawing->pages[i].marks.items[k]);
        width = p.x + drawing->width_mm * p.k;
    }
    word(&made, 0, "ENDSEC");
    word(&made, 0, "EOF");
    if (made.failed)
        out->failed = true;
    else
        cw_text_add_bytes(out, made.data, made.length);
    cw_text_clear(&made);
    return out->failed ? cw_no_memory(error) : CW_OK;
}
