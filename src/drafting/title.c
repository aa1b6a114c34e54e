/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands around the views: frame (ISO 5457), title block (after ISO 7200, 180 mm wide), notes.
 *
 *      +--------------------------+-----------------------------------------+
 *      | general tolerances       | part                                    |  13
 *      |   0.5 to 3     +-0.1     | for which job                           |
 *      |   over 3 to 6  +-0.1     +------------------------+----------------+
 *      |   ...                    | material               | dimensions in  |  9
 *      |                          +--------+---------------+-------+--------+
 *      |                          | scale  | projection    | date  | sheet  |  9
 *      |                          +--------+-----+---------+-------+--------+
 *      |                          | drawn        | checked      | made       |  9
 *      +--------------------------+--------------+--------------+------------+
 *                  62                                118                        */
#include "drafting/drafting_internal.h"

#include "base/csv.h"
#include "base/embedded.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MARGIN_LEFT_MM 20.0 /* to file it by */
#define MARGIN_MM 10.0
#define BLOCK_MM 180.0
#define TOLERANCES_MM 62.0
#define ROW_MM 9.0
#define FIRST_ROW_MM 13.0
#define PAD_MM 1.4
#define NOTE_STEP (DRAFTING_LINE_STEP * DRAFTING_FIGURES_MM)

typedef struct furnishing {
    const cw_drafting_setting *setting;
    const cw_drafting_sheet *sheet;
    cw_canvas *measure;
    cw_drafting__marks *marks;
} furnishing;

static void frame_line(const furnishing *f, double x1, double y1, double x2, double y2)
{
    cw_drafting__add_line(f->marks, CW_DRAFTING_FRAME, x1, y1, x2, y2);
}

static void frame_box(const furnishing *f, double x, double y, double width, double height)
{
    frame_line(f, x, y, x + width, y);
    frame_line(f, x + width, y, x + width, y + height);
    frame_line(f, x + width, y + height, x, y + height);
    frame_line(f, x, y + height, x, y);
}

static double write(const furnishing *f, double x, double y, double height, bool bold, const char *words)
{
    return cw_drafting__add_text(f->marks, f->measure, CW_DRAFTING_FRAME, x, y, height, false, bold, words);
}

/* Cuts whole characters off the end until the words and an ellipsis fit. */
static void shorten(const furnishing *f, char *words, double height, bool bold, double width)
{
    size_t length = strlen(words);
    char tried[CW_DRAFTING_WORDS_MOST + 4];

    snprintf(tried, sizeof tried, "%s", words);
    while (length > 0 && cw_drafting__width(f->measure, height, bold, tried) > width) {
        do
            length--;
        while (length > 0 && ((unsigned char)words[length] & 0xC0) == 0x80);
        snprintf(tried, sizeof tried, "%.*s...", (int)length, words);
    }
    snprintf(words, CW_DRAFTING_WORDS_MOST, "%s", tried);
}

/* Words in a cell, smaller where they are long, cut where they are longer. */
static void fit(const furnishing *f, double x, double y, double height, bool bold, double width, const char *words)
{
    char kept[CW_DRAFTING_WORDS_MOST];

    snprintf(kept, sizeof kept, "%.110s", words);
    if (cw_drafting__width(f->measure, height, bold, kept) > width)
        height = fmax(DRAFTING_SMALL_MM, height == DRAFTING_TITLES_MM ? DRAFTING_FIGURES_MM : DRAFTING_SMALL_MM);
    shorten(f, kept, height, bold, width);
    write(f, x, y, height, bold, kept);
}

static void cell(const furnishing *f, double x, double y, double width, const char *caption, const char *words)
{
    frame_box(f, x, y, width, ROW_MM);
    write(f, x + PAD_MM, y + ROW_MM - PAD_MM - DRAFTING_SMALL_MM, DRAFTING_SMALL_MM, false, caption);
    if (words != NULL)
        fit(f, x + PAD_MM, y + 1.6, DRAFTING_FIGURES_MM, false, width - 2 * PAD_MM, words);
}

/* ---- general tolerances ------------------------------------------------------------------------------------------ */

/* Whether the general tolerances hold for a dimension; those in brackets are no demands. */
static bool is_general(const cw_drafting__request *request)
{
    return request->asked.kind == CW_DRAFTING_LINEAR && request->prefix[0] != '(' && request->asked.upper_m == 0 &&
           request->asked.lower_m == 0;
}

static bool range_used(const cw_drafting_sheet *sheet, double over_mm, double to_mm)
{
    for (size_t v = 0; v < sheet->view_count; v++)
        for (size_t i = 0; i < sheet->views[v]->request_count; i++) {
            double size_mm = sheet->views[v]->requests[i].asked.value * 1000;

            if (is_general(&sheet->views[v]->requests[i]) && size_mm <= to_mm &&
                (size_mm > over_mm || (over_mm == 0.5 && size_mm == over_mm)))
                return true;
        }
    return false;
}

static void tolerance_row(const furnishing *f, double x, double y, double over_mm, double to_mm)
{
    const cw_unit_system units = f->setting->units;
    char over[24], to[24], deviation[24], words[64];
    double allowed_m = cw_drafting_deviation(f->setting->general_class, to_mm / 1000);

    if (units == CW_INCH_UNITS) { /* down to a whole thousandth, so that the standard's own is kept */
        snprintf(over, sizeof over, "%.3f", over_mm / 25.4);
        snprintf(to, sizeof to, "%.3f", to_mm / 25.4);
        allowed_m = floor(allowed_m / 25.4e-6 + 1e-6) * 25.4e-6;
    } else {
        snprintf(over, sizeof over, "%g", over_mm);
        snprintf(to, sizeof to, "%g", to_mm);
    }
    snprintf(words, sizeof words, "%s%s to %s", over_mm == 0.5 ? "" : "over ", over[0] == '0' && units == CW_INCH_UNITS
             ? over + 1 : over, to[0] == '0' && units == CW_INCH_UNITS ? to + 1 : to);
    write(f, x, y, DRAFTING_SMALL_MM, false, words);
    cw_drafting_number(allowed_m, units, deviation, sizeof deviation);
    snprintf(words, sizeof words, "\xC2\xB1%s", deviation);
    write(f, x + 36, y, DRAFTING_SMALL_MM, false, words);
}

static void tolerances(const furnishing *f, double x, double y, double height)
{
    static const char letters[] = "fmcv";
    double baseline = y + height - PAD_MM - DRAFTING_FIGURES_MM;
    char words[80];
    bool headed = false;
    cw_csv csv;

    frame_box(f, x, y, TOLERANCES_MM, height);
    snprintf(words, sizeof words, "General tolerances ISO 2768-%c", letters[f->setting->general_class]);
    write(f, x + PAD_MM, baseline, DRAFTING_FIGURES_MM, false, words);
    baseline -= 1;
    cw_csv_begin(&csv, cw_embedded_find("drafting_tolerances.csv")->text);
    while (cw_csv_step(&csv)) {
        double over_mm = cw_csv_number(&csv, "over_mm"), to_mm = cw_csv_number(&csv, "to_mm");

        if (!range_used(f->sheet, over_mm, to_mm) ||
            !isfinite(cw_drafting_deviation(f->setting->general_class, to_mm / 1000)))
            continue;
        if (!headed)
            write(f, x + PAD_MM, baseline -= 3.6, DRAFTING_SMALL_MM, false,
                  f->setting->units == CW_INCH_UNITS ? "for sizes without their own, in inches:"
                                                     : "for sizes without their own, in mm:");
        headed = true;
        baseline -= 3.6;
        tolerance_row(f, x + PAD_MM + 3, baseline, over_mm, to_mm);
    }
}

/* ---- projection -------------------------------------------------------------------------------------------------- */

/* A frustum lying on its side, small end to the left, and its view from the left: to its right in first angle, to its
 * left in third (ISO 5456-2). */
static void projection_symbol(const furnishing *f, double x, double y)
{
    const bool first = f->setting->projection == CW_DRAFTING_FIRST_ANGLE;
    const double frustum = first ? x : x + 10, circles = first ? x + 12.5 : x + 3;
    const double large = 2.6, small = 1.3, length = 7;

    frame_line(f, frustum, y - small, frustum, y + small);
    frame_line(f, frustum + length, y - large, frustum + length, y + large);
    frame_line(f, frustum, y - small, frustum + length, y - large);
    frame_line(f, frustum, y + small, frustum + length, y + large);
    cw_drafting__add_arc(f->marks, CW_DRAFTING_FRAME, circles, y, large, 0, 360);
    cw_drafting__add_arc(f->marks, CW_DRAFTING_FRAME, circles, y, small, 0, 360);
    cw_drafting__add_line(f->marks, CW_DRAFTING_CENTRE, x - 1.5, y, x + 18.5, y);
    cw_drafting__add_line(f->marks, CW_DRAFTING_CENTRE, circles, y - large - 0.9, circles, y + large + 0.9);
}

static void block(const furnishing *f, double x, double y, size_t number, size_t sheets, double scale)
{
    const double left = x + TOLERANCES_MM, width = BLOCK_MM - TOLERANCES_MM, top = y + 3 * ROW_MM;
    const cw_drafting_setting *setting = f->setting;
    char words[CW_DRAFTING_WORDS_MOST];

    tolerances(f, x, y, 3 * ROW_MM + FIRST_ROW_MM);
    frame_box(f, left, top, width, FIRST_ROW_MM);
    fit(f, left + PAD_MM, top + 7.2, DRAFTING_TITLES_MM, true, width - 2 * PAD_MM, f->sheet->part);
    snprintf(words, sizeof words, "%.50s%s%.50s", setting->job != NULL ? setting->job : "",
             setting->job != NULL && setting->machine != NULL ? ", " : "",
             setting->machine != NULL ? setting->machine : "");
    fit(f, left + PAD_MM, top + 2, DRAFTING_FIGURES_MM, false, width - 2 * PAD_MM, words);
    cell(f, left, y + 2 * ROW_MM, 84, "Material", f->sheet->material);
    cell(f, left + 84, y + 2 * ROW_MM, width - 84, "Dimensions in",
         setting->units == CW_INCH_UNITS ? "inches" : "millimetres");
    cw_drafting__scale_words(scale, words, sizeof words);
    cell(f, left, y + ROW_MM, 22, "Scale", words);
    cell(f, left + 22, y + ROW_MM, 42, "Projection", NULL);
    projection_symbol(f, left + 43, y + ROW_MM + 4.3);
    write(f, left + 22 + PAD_MM, y + ROW_MM + 1.6, DRAFTING_SMALL_MM, false,
          setting->projection == CW_DRAFTING_FIRST_ANGLE ? "first angle" : "third angle");
    cell(f, left + 64, y + ROW_MM, 30, "Date", setting->date);
    snprintf(words, sizeof words, "%zu of %zu", number, sheets);
    cell(f, left + 94, y + ROW_MM, width - 94, "Sheet", words);
    cell(f, left, y, 40, "Drawn", NULL);
    cell(f, left + 40, y, 40, "Checked", NULL);
    cell(f, left + 80, y, width - 80, "Made", NULL);
}

/* ---- notes ------------------------------------------------------------------------------------------------------- */

/* How much of the words goes into one line, up to a blank. */
static size_t line_length(const furnishing *f, const char *words, double width)
{
    size_t kept = 0, length = strlen(words);
    char line[CW_DRAFTING_WORDS_MOST];

    for (size_t i = 1; i <= length && i < sizeof line; i++) {
        if (i < length && words[i] != ' ')
            continue;
        memcpy(line, words, i);
        line[i] = '\0';
        if (kept > 0 && cw_drafting__width(f->measure, DRAFTING_FIGURES_MM, false, line) > width)
            break;
        kept = i;
    }
    return kept > 0 ? kept : (length < sizeof line - 1 ? length : sizeof line - 1);
}

/* Writes the notes downwards from `top`; returns their height. With `dry` they are only measured. */
static double notes(const furnishing *f, double x, double top, double width, bool dry)
{
    double baseline = top - DRAFTING_FIGURES_MM, indent = 5.5;
    char line[CW_DRAFTING_WORDS_MOST];

    for (size_t i = 0; i < f->sheet->note_count; i++) {
        const char *rest = f->sheet->notes[i];

        snprintf(line, sizeof line, "%zu", i + 1);
        if (!dry)
            write(f, x, baseline, DRAFTING_FIGURES_MM, false, line);
        while (rest[0] != '\0') {
            size_t length = line_length(f, rest, width - indent);

            snprintf(line, sizeof line, "%.*s", (int)length, rest);
            if (!dry)
                write(f, x + indent, baseline, DRAFTING_FIGURES_MM, false, line);
            baseline -= NOTE_STEP;
            rest += length;
            while (rest[0] == ' ')
                rest++;
        }
        baseline -= 0.8;
    }
    return top - baseline - DRAFTING_FIGURES_MM;
}

void cw_drafting__furnish(const cw_drafting_setting *setting, const cw_drafting_sheet *sheet, size_t number,
                          size_t sheets, double scale, double width_mm, double height_mm, cw_canvas *measure,
                          cw_drafting__marks *marks, cw_drafting__bounds *room)
{
    const furnishing f = { setting, sheet, measure, marks };
    const double left = MARGIN_LEFT_MM, bottom = MARGIN_MM, right = width_mm - MARGIN_MM, top = height_mm - MARGIN_MM;
    const double high = 3 * ROW_MM + FIRST_ROW_MM, beside = right - left - BLOCK_MM - 6;
    double strip;

    frame_box(&f, left, bottom, right - left, top - bottom);
    block(&f, right - BLOCK_MM, bottom, number, sheets, scale);
    strip = fmax(high, notes(&f, 0, 0, beside, true) + 3);
    notes(&f, left + 3, bottom + strip, beside, false);
    *room = (cw_drafting__bounds){ left + 5, bottom + strip + 4, right - 5, top - 5 };
}
