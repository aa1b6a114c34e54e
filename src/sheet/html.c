/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheet as one HTML file: the same parts in the same order as on paper. */
#include "sheet/html_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define PICTURE_MM 170.0

/* Inks of draw.h as they are named there: text 26, grey 88, rule 182, shade 240, blue 30 100 160, red 150 20 20. Links and
 * grey text stand at more than 4.5 : 1 on white, as the guidelines for accessible content ask. */
static const char style[] =
    ":root{color:#1a1a1a;background:#fff;font:16px/1.4 \"Open Sans\",system-ui,sans-serif;"
    "font-variant-numeric:tabular-nums}\n"
    "body{max-width:46rem;margin:0 auto;padding:1rem}\n"
    "h1{margin:.1em 0;font-size:1.9rem;line-height:1.15}\n"
    "h2{margin:2rem 0 .4rem;font-size:1.25rem}\n"
    "h3{margin:0 0 .3rem;font-size:1rem}\n"
    "p{margin:.4rem 0;max-width:70ch}\n"
    ".soft,.small,caption,dt{color:#585c60}\n"
    ".small,caption{font-size:.85rem}\n"
    "a{color:#1e64a0}\n"
    "nav ul{columns:2;padding-left:1.2rem;margin:0}\n"
    "dl{display:grid;grid-template-columns:repeat(auto-fit,minmax(19rem,1fr));gap:0 2rem;margin:.5rem 0}\n"
    "dl div{display:grid;grid-template-columns:38% 1fr;gap:.6rem;border-bottom:1px solid #b6babe;padding:.2rem 0}\n"
    "dt,dd{margin:0}\n"
    "dd,.strong{font-weight:600}\n"
    "table{border-collapse:collapse;width:100%;margin:.6rem 0}\n"
    "caption{text-align:left}\n"
    "th,td{padding:.25rem .5rem .25rem 0;text-align:left;vertical-align:top;font-weight:400;"
    "border-bottom:1px solid #b6babe}\n"
    "thead th{color:#585c60;font-weight:600;font-size:.85rem;vertical-align:bottom;border-bottom:2px solid #1a1a1a}\n"
    "tbody th.strong{font-weight:600}\n"
    ".number{text-align:right;white-space:nowrap}\n"
    ".middle{text-align:center}\n"
    ".bar{display:inline-block;width:6rem;height:.7rem;background:#f0f1f2;vertical-align:baseline}\n"
    ".bar span{display:block;height:100%;background:#1e64a0}\n"
    "input[type=text]{width:100%;min-width:7rem;border:0;border-bottom:1px dotted #1a1a1a;font:inherit}\n"
    "input[type=checkbox]{width:1.1rem;height:1.1rem}\n"
    ".panel{border:3px solid #1a1a1a;padding:.6rem 1rem;margin:1rem 0}\n"
    ".panel h2{margin-top:0}\n"
    ".panel .wire{font-size:2.4rem;font-weight:700;margin:0;line-height:1.1}\n"
    ".verdict{border:2px solid #1a1a1a;padding:.4rem .8rem;margin:.8rem 0}\n"
    ".verdict b{margin-right:.8rem}\n"
    ".fail b,.misfit{color:#961414;font-weight:700}\n"
    ".caution{border:2px solid #1a1a1a;border-radius:4px;padding:.6rem .9rem;margin:1rem 0;break-inside:avoid}\n"
    ".caution h2,.caution h3{margin:0 0 .3rem;font-size:1rem}\n"
    ".caution ul{margin:0;padding-left:1.2rem}\n"
    "figure{margin:.6rem 0}\n"
    "img{max-width:100%;height:auto}\n"
    ".sign{display:grid;grid-template-columns:3fr 2fr 3fr 2fr;gap:1rem;margin:1.5rem 0}\n"
    ".sign label{font-size:.85rem;color:#585c60}\n"
    "@media print{:root{font-size:10.5pt}\n"
    "body{max-width:none;padding:0}\n"
    "figure,tr{break-inside:avoid}\n"
    "h2,h3{break-after:avoid}\n"
    "nav{display:none}}\n";

static void head(cw_html *page, cw_sheet_paper paper)
{
    cw_text_add(page->out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                           "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    cw_html__text(page, page->content->title);
    cw_text_add(page->out, ", coil rewind sheet</title>\n<style>\n");
    cw_text_add(page->out, style);
    cw_text_print(page->out, "@page{size:%s;margin:16mm}\n</style>\n</head>\n<body>\n",
                  paper == CW_SHEET_A4 ? "A4" : "letter");
}

/* ---- cover ------------------------------------------------------------------------------------------------------ */

static void masthead(cw_html *page)
{
    const cw_sheet_content *c = page->content;

    cw_text_add(page->out, "<header>\n<p class=\"soft\">Coil rewind sheet");
    if (c->date != NULL) {
        cw_text_add(page->out, ", ");
        cw_html__text(page, c->date);
    }
    cw_text_add(page->out, "</p>\n<h1>");
    cw_html__text(page, c->title);
    cw_text_add(page->out, "</h1>\n");
    cw_html__paragraph(page, "strong", c->machine);
    cw_html__paragraph(page, "soft", c->note);
    cw_text_add(page->out, "</header>\n");
}

static void verdict(cw_html *page)
{
    static const char *const words[] = { "", "Not proven yet", "Proven", "Failed" };
    static const char *const classes[] = { "", "open", "pass", "fail" };
    const cw_sheet_content *c = page->content;

    if (c->verdict == CW_SHEET_NO_VERDICT)
        return;
    cw_text_print(page->out, "<p class=\"verdict %s\"><b>%s</b>", classes[c->verdict], words[c->verdict]);
    cw_html__text(page, c->verdict_text);
    cw_text_add(page->out, "</p>\n");
}

static void limits(cw_html *page)
{
    static const cw_column columns[] = {
        { "resistance of the finished coil", CW_COLUMN_TEXT, 0 }, { "aim", CW_COLUMN_RIGHT_STRONG, 0 },
        { "not below", CW_COLUMN_RIGHT, 0 }, { "not above", CW_COLUMN_RIGHT, 0 },
    };
    const cw_sheet_content *c = page->content;
    const char *cells[4 * 8];
    size_t count = c->limit_count < 8 ? c->limit_count : 8;

    for (size_t i = 0; i < count; i++) {
        cells[4 * i] = c->limits[i].condition;
        cells[4 * i + 1] = c->limits[i].aim;
        cells[4 * i + 2] = c->limits[i].low;
        cells[4 * i + 3] = c->limits[i].high;
    }
    if (count > 0)
        cw_html__table(page, "What the finished coil must measure", columns, 4, cells, count);
}

static void numbers(cw_html *page)
{
    const cw_winding *w = page->content->winding;
    const bool inches = page->content->units == CW_INCH_UNITS, random = w->plan.lay == CW_RANDOM;
    char turns[32], layers[32], full[32], depth[48];
    const cw_sheet_line lines[] = { { w->plan.in_hand > 1 ? "turns of the bundle" : "turns", turns },
                                    { random ? "passes of the guide" : "layers", layers },
                                    { random ? "turns in a full pass" : "turns in a full layer", full },
                                    { "depth of the winding", depth } };

    snprintf(turns, sizeof turns, "%ld", w->turns);
    snprintf(layers, sizeof layers, "%zu", w->layer_count);
    snprintf(full, sizeof full, "%ld", w->turns_per_layer);
    cw_quantity_format_in(CW_LENGTH, w->depth_m, inches ? "in" : "mm", inches ? 3 : 1, depth, sizeof depth);
    cw_html__lines(page, lines, 4);
}

static void wind_this(cw_html *page)
{
    const cw_sheet_content *c = page->content;
    char text[160];

    cw_text_add(page->out, "<section class=\"panel\" aria-label=\"Wind this\">\n<h2>Wind this</h2>\n");
    if (c->winding == NULL) {
        cw_html__paragraph(page, "misfit", "Nothing to wind yet: either nothing fits the window and the wishes, or "
                                           "readings or dimensions are missing.");
    } else {
        cw_html__paragraph(page, "wire", c->wire);
        cw_html__paragraph(page, "strong", c->covering);
        cw_html__paragraph(page, c->winding->plan.in_hand > 1 ? "strong" : NULL,
                           cw_sheet__strands(c->winding->plan.in_hand));
        if (!c->winding->fits) {
            cw_sheet__misfit(c, text, sizeof text);
            cw_html__paragraph(page, "misfit", text);
        }
        numbers(page);
        limits(page);
    }
    cw_html__end(page);
}

static void contents(cw_html *page)
{
    cw_text_add(page->out, "<nav aria-label=\"Contents\"><ul>\n");
    for (int part = CW_SHEET_COVER + 1; part < CW_SHEET_PART_COUNT; part++)
        if (cw_sheet__has(page->content, (cw_sheet_part)part))
            cw_text_print(page->out, "<li><a href=\"#%s\">%s</a></li>\n", cw_sheet_part_name((cw_sheet_part)part),
                          cw_sheet__part_title((cw_sheet_part)part));
    cw_text_add(page->out, "</ul></nav>\n");
}

static void cover(cw_html *page)
{
    verdict(page);
    wind_this(page);
    if (page->content->glance_count > 0) {
        cw_html__section(page, NULL, "At a glance");
        cw_html__lines(page, page->content->glance, page->content->glance_count);
        cw_html__end(page);
    }
    contents(page);
}

/* ---- evidence and answer ------------------------------------------------------------------------------------------ */

static void readings(cw_html *page)
{
    static const cw_column columns[] = {
        { "reading", CW_COLUMN_STRONG, 0 }, { "as taken", CW_COLUMN_RIGHT, 0 }, { "the others expect", CW_COLUMN_RIGHT, 0 },
        { "off by", CW_COLUMN_RIGHT, 0 }, { "", CW_COLUMN_TEXT, 0 },
    };
    const cw_sheet_content *c = page->content;
    const char **cells = cw_allocate(5 * c->reading_count, sizeof *cells);
    char (*off)[24] = cw_allocate(c->reading_count, sizeof *off);

    for (size_t i = 0; cells != NULL && off != NULL && i < c->reading_count; i++) {
        const cw_reading_mark *mark = &c->readings[i];

        if (isfinite(mark->z))
            snprintf(off[i], sizeof off[i], "%+.1f \xCF\x83", mark->z);
        cells[5 * i] = mark->name;
        cells[5 * i + 1] = mark->value;
        cells[5 * i + 2] = mark->expected;
        cells[5 * i + 3] = off[i];
        cells[5 * i + 4] = mark->doubted ? "doubtful" : NULL;
    }
    if (cells == NULL || off == NULL)
        page->out->failed = true;
    else if (c->reading_count > 0)
        cw_html__table(page, "What came in, each reading against what all the others expect, in standard deviations",
                       columns, 5, cells, c->reading_count);
    cw_free(off);
    cw_free(cells);
}

enum { CANDIDATES_MOST = 8 };

static void candidates(cw_html *page)
{
    static const cw_column columns[] = {
        { "candidate", CW_COLUMN_STRONG, 0 }, { "turns", CW_COLUMN_TEXT, 0 }, { "length", CW_COLUMN_TEXT, 0 },
        { "resistance", CW_COLUMN_TEXT, 0 }, { "how likely", CW_COLUMN_BAR, 0 },
    };
    const cw_sheet_content *c = page->content;
    const char *cells[5 * CANDIDATES_MOST];
    char shares[CANDIDATES_MOST][16];
    size_t count = c->candidate_count < CANDIDATES_MOST ? c->candidate_count : CANDIDATES_MOST;

    for (size_t i = 0; i < count; i++) {
        snprintf(shares[i], sizeof shares[i], "%.4f", c->candidates[i].probability);
        cells[5 * i] = c->candidates[i].wire;
        cells[5 * i + 1] = c->candidates[i].turns;
        cells[5 * i + 2] = c->candidates[i].length;
        cells[5 * i + 3] = c->candidates[i].resistance;
        cells[5 * i + 4] = shares[i];
    }
    if (count > 0)
        cw_html__table(page, "What it may have been, nine times in ten within the intervals", columns, 5, cells, count);
}

static void evidence(cw_html *page)
{
    cw_html__section(page, "evidence", cw_sheet__part_title(CW_SHEET_EVIDENCE));
    readings(page);
    cw_html__paragraph(page, NULL, page->content->answer);
    candidates(page);
    cw_html__end(page);
}

static void answer(cw_html *page)
{
    cw_html__section(page, "answer", cw_sheet__part_title(CW_SHEET_ANSWER));
    if (page->content->reason_count > 0)
        cw_text_add(page->out, "<ul>\n");
    for (size_t i = 0; i < page->content->reason_count; i++) {
        cw_text_add(page->out, "<li>");
        cw_html__text(page, page->content->reasons[i]);
        cw_text_add(page->out, "</li>\n");
    }
    if (page->content->reason_count > 0)
        cw_text_add(page->out, "</ul>\n");
    cw_html__lines(page, page->content->order, page->content->order_count);
    cw_html__end(page);
}

/* ---- winding ---------------------------------------------------------------------------------------------------- */

static void draw_section(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_section_draw(canvas, box, figure);
}

static double section_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    return cw_section_height(figure, width_mm);
}

static void layers(cw_html *page)
{
    static const cw_column columns[] = {
        { "done", CW_COLUMN_TICK, 0 }, { "layer", CW_COLUMN_RIGHT, 0 }, { "way", CW_COLUMN_DIRECTION, 0 },
        { "turns in it", CW_COLUMN_RIGHT, 0 }, { "counter at its end", CW_COLUMN_RIGHT_STRONG, 0 },
        { "then", CW_COLUMN_TEXT, 0 }, { "wire from", CW_COLUMN_RIGHT, 0 }, { "to", CW_COLUMN_RIGHT, 0 }, { "turn diameter", CW_COLUMN_RIGHT, 0 },
    };
    const cw_winding *w = page->content->winding;
    cw_sheet__layer_texts *texts = cw_allocate(w->layer_count, sizeof *texts);
    const char **cells = cw_allocate(9 * w->layer_count, sizeof *cells);

    for (size_t i = 0; texts != NULL && cells != NULL && i < w->layer_count; i++) {
        const char **row = cells + 9 * i;

        cw_sheet__layer_texts_of(page->content, i, &texts[i]);
        row[0] = "tick";
        row[5] = cw_sheet__then(w, i);
        for (int k = 0; k < 4; k++)
            row[1 + k] = texts[i].texts[k];
        for (int k = 4; k < SHEET_LAYER_TEXTS; k++)
            row[2 + k] = texts[i].texts[k];
    }
    if (texts == NULL || cells == NULL)
        page->out->failed = true;
    else
        cw_html__table(page, "Set the counter to 0 with the start lead at the top; away leads from the start flange",
                       columns, 9, cells, w->layer_count);
    cw_free(cells);
    cw_free(texts);
}

static void winding(cw_html *page)
{
    const cw_section_figure figure = { page->content->winding, page->content->units };
    const cw_sheet_picture picture = { draw_section, section_height, &figure,
                                       "Half section through former and winding, every turn where it lies." };

    cw_html__section(page, "winding", cw_sheet__part_title(CW_SHEET_WINDING));
    cw_html__cautions(page, CW_BEFORE_WINDING, 3);
    cw_html__picture(page, &picture, PICTURE_MM);
    layers(page);
    cw_html__end(page);
}

static void program(cw_html *page)
{
    cw_html__section(page, "program", cw_sheet__part_title(CW_SHEET_PROGRAM));
    if (!cw_sheet__has(page->content, CW_SHEET_WINDING))
        cw_html__cautions(page, CW_BEFORE_WINDING, 3);
    cw_html__lines(page, page->content->program, page->content->program_count);
    cw_html__end(page);
}

/* ---- blocks ----------------------------------------------------------------------------------------------------- */

static void block(cw_html *page, const cw_sheet_block *b)
{
    if (b->heading != NULL && strcmp(b->heading, cw_sheet__part_title(b->part)) != 0) {
        cw_text_add(page->out, "<h3>");
        cw_html__text(page, b->heading);
        cw_text_add(page->out, "</h3>\n");
    }
    cw_html__paragraph(page, NULL, b->text);
    cw_html__lines(page, b->lines, b->line_count);
    if (b->grid.row_count > 0)
        cw_html__table(page, b->heading != NULL ? b->heading : cw_sheet__part_title(b->part), b->grid.columns,
                       b->grid.column_count, b->grid.cells, b->grid.row_count);
    if (b->picture.draw != NULL)
        cw_html__picture(page, &b->picture, PICTURE_MM);
}

static void blocks(cw_html *page, cw_sheet_part part)
{
    if (!cw_sheet__has(page->content, part))
        return;
    cw_html__section(page, cw_sheet_part_name(part), cw_sheet__part_title(part));
    for (size_t i = 0; i < page->content->block_count; i++)
        if (page->content->blocks[i].part == part)
            block(page, &page->content->blocks[i]);
    cw_html__end(page);
}

/* ---- bench ------------------------------------------------------------------------------------------------------ */

static void tests(cw_html *page)
{
    static const cw_column columns[] = {
        { "test", CW_COLUMN_STRONG, 0 }, { "how, and on what the limit rests", CW_COLUMN_SMALL, 0 },
        { "limit", CW_COLUMN_TEXT, 0 }, { "reading, and with what", CW_COLUMN_WRITE, 0 }, { "good", CW_COLUMN_TICK, 0 },
    };
    size_t count;
    const cw_sheet_check *checks = cw_sheet__checks_of(page->content, &count);
    const char **cells = cw_allocate(5 * count, sizeof *cells);

    cw_html__section(page, "tests", cw_sheet__part_title(CW_SHEET_TESTS));
    cw_html__cautions(page, CW_BEFORE_TESTING, 3);
    for (size_t i = 0; cells != NULL && i < count; i++) {
        cells[5 * i] = checks[i].what;
        cells[5 * i + 1] = checks[i].how;
        cells[5 * i + 2] = checks[i].limit;
        cells[5 * i + 3] = checks[i].reading;
        cells[5 * i + 4] = checks[i].verdict != NULL ? checks[i].verdict : "tick";
    }
    if (cells == NULL)
        page->out->failed = true;
    else
        cw_html__table(page, "In the order that does no harm", columns, 5, cells, count);
    cw_free(cells);
    cw_text_add(page->out, "<div class=\"sign\"><label>wound by<input type=\"text\"></label>"
                           "<label>date<input type=\"text\"></label><label>checked by<input type=\"text\"></label>"
                           "<label>date<input type=\"text\"></label></div>\n");
    cw_html__end(page);
}

/* What the label's picture hands through. */
typedef struct label_figure {
    const cw_sheet_content *content;
    bool *no_memory;
} label_figure;

static void draw_label(cw_canvas *canvas, cw_box box, const void *figure)
{
    const label_figure *label = figure;

    cw_sheet__label_draw(canvas, (cw_box){ 0.5, 0.5, box.width - 1, box.height - 1 }, label->content, label->no_memory);
}

static double label_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    (void)figure;
    (void)width_mm;
    return SHEET_LABEL_HEIGHT_MM + 1;
}

static void label(cw_html *page)
{
    const label_figure figure = { page->content, &page->out->failed };
    const cw_sheet_picture picture = { draw_label, label_height, &figure,
                                       "The label, its data in words and as a QR code; the words stand below." };

    cw_html__section(page, "label", cw_sheet__part_title(CW_SHEET_LABEL));
    cw_html__picture(page, &picture, SHEET_LABEL_WIDTH_MM + 1);
    cw_html__lines(page, page->content->label, page->content->label_count);
    cw_html__end(page);
}

/* ---- the page --------------------------------------------------------------------------------------------------- */

static void body(cw_html *page)
{
    static const struct { cw_sheet_part part; void (*write)(cw_html *page); } parts[] = {
        { CW_SHEET_COVER, cover }, { CW_SHEET_EVIDENCE, evidence }, { CW_SHEET_ANSWER, answer }, { CW_SHEET_FORMER, NULL },
        { CW_SHEET_WINDING, winding }, { CW_SHEET_PROGRAM, program }, { CW_SHEET_MAGNET, NULL }, { CW_SHEET_HEAT, NULL },
        { CW_SHEET_SWITCHING, NULL }, { CW_SHEET_TESTS, tests },
    };

    masthead(page);
    cw_text_add(page->out, "<main>\n");
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (!cw_sheet__has(page->content, parts[i].part))
            continue;
        if (parts[i].write != NULL)
            parts[i].write(page);
        else
            blocks(page, parts[i].part);
    }
    if (cw_sheet__has(page->content, CW_SHEET_CAUTIONS)) {
        cw_text_add(page->out, "<div id=\"cautions\">\n");
        cw_html__cautions(page, CW_BEFORE_USE, 2);
        cw_text_add(page->out, "</div>\n");
    }
    if (cw_sheet__has(page->content, CW_SHEET_LABEL))
        label(page);
    cw_text_add(page->out, "</main>\n</body>\n</html>\n");
}

/* As the canvas of a PDF has it. */
static cw_status check_date(const char *date, cw_error *error)
{
    const cw_paper paper = { .format = CW_PDF, .width_mm = 10, .height_mm = 10, .date = date };
    cw_canvas *canvas = NULL;
    const cw_status status = cw_canvas_create(&paper, &canvas, error);

    cw_canvas_destroy(&canvas);
    return status;
}

cw_status cw_sheet_write_html(const cw_sheet_content *content, cw_sheet_paper paper, cw_text *out, cw_error *error)
{
    cw_text made = { 0 };
    cw_html page = { .out = &made, .content = content, .status = CW_OK, .error = error };
    cw_status status = cw_sheet__check(content, error);

    if (status == CW_OK)
        status = check_date(content->date, error);
    if (status != CW_OK)
        return status;
    head(&page, paper);
    body(&page);
    status = page.status != CW_OK ? page.status : made.failed ? cw_no_memory(error) : CW_OK;
    if (status == CW_OK) {
        cw_text_add_bytes(out, made.data, made.length);
        status = out->failed ? cw_no_memory(error) : CW_OK;
    }
    cw_text_clear(&made);
    return status;
}
