/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lay as wound, and the traverse that winds it.
 *
 * A section shows a turn half way round, a count is taken when it is full: so a turn is drawn where its layer has it in
 * the section, moved by as much as it lies off its place when it is full. */
#include "coilwright/laid_figure.h"

#include "draw/section_internal.h"

#include <math.h>
#include <stdio.h>

#define FLANGE_MM 2.6
#define TOP_MM 3.0
#define BELOW_MM 19.0     /* axis with its numbers, legend */
#define LEFT_MM 11.0
#define RIGHT_MM 5.0
#define ROW_MM 2.2
#define LEAST_DISC_MM 0.22
#define RING_MM 2.4       /* around a turn that is out of place */
#define RINGS_MOST 60     /* more would hide what they mark */
#define LABEL_PT 8.5

static const double astray_share = 0.25; /* of the bundle */

typedef struct spot {
    double along_m, height_m;  /* without a winding height_m is the layer's number */
    size_t layer;
    bool astray;
} spot;

typedef struct frame {
    cw_box room;               /* of the wire, on paper */
    double length_m, depth_m;  /* that it stands for */
    double disc_mm;
    double from_m;             /* at its left edge */
} frame;

/* ---- turns --------------------------------------------------------------------------------------------------- */

static double bundle_of(const cw_winding *winding)
{
    return winding->plan.in_hand * winding->plan.wire.overall_diameter_m.nominal;
}

/* Where the walk from turn to turn is: the laid layer, and the turns before it. */
typedef struct walk {
    size_t layer;
    double before;
} walk;

static spot spot_of(const cw_laid_figure *figure, const cw_laid_turn *turn, walk *at)
{
    const cw_winding *winding = figure->winding;
    const cw_replay *replay = figure->replay;
    const cw_layer *layer;
    double off, in_layer;

    while (at->layer + 1 < replay->layer_count &&
           (double)turn->number > at->before + replay->layers[at->layer].turns + 0.5)
        at->before += replay->layers[at->layer++].turns;
    if (winding == NULL)
        return (spot){ turn->wire_m, (double)at->layer, at->layer, false };
    layer = &winding->layers[at->layer < winding->layer_count ? at->layer : winding->layer_count - 1];
    if (at->layer >= winding->layer_count)
        return (spot){ turn->wire_m, layer->top_m + bundle_of(winding) / 2, at->layer, true };
    in_layer = (double)turn->number - at->before;
    off = turn->wire_m - cw_laid_turn_place(layer, in_layer);
    return (spot){ cw_section__turn_z(layer, lround(in_layer) - 1) + off, layer->height_m, at->layer,
                   fabs(off) > astray_share * bundle_of(winding) };
}

size_t cw_laid_astray(const cw_laid_figure *figure)
{
    walk at = { 0 };
    size_t count = 0;

    for (size_t i = 0; figure->winding != NULL && i < figure->laid->count; i++)
        count += spot_of(figure, &figure->laid->turns[i], &at).astray;
    return count;
}

/* ---- the room ------------------------------------------------------------------------------------------------ */

static size_t rows_of(const cw_laid_figure *figure)
{
    return figure->replay->layer_count > 0 ? figure->replay->layer_count : 1;
}

static double depth_of(const cw_winding *winding)
{
    const cw_layer *last = &winding->layers[winding->layer_count - 1];

    return fmin(fmax(last->top_m, last->height_m + bundle_of(winding)), winding->depth_m + bundle_of(winding));
}

double cw_laid_height(const cw_laid_figure *figure, double width_mm)
{
    const cw_winding *winding = figure->winding;
    double high = ROW_MM * (double)rows_of(figure);

    if (winding != NULL)
        high = depth_of(winding) * (width_mm - LEFT_MM - RIGHT_MM - 2 * FLANGE_MM) / winding->plan.window.length_m;
    return fmin(110, fmax(30, high + TOP_MM + BELOW_MM));
}

/* Without a winding the room is as long as the turns lie apart, and a wire's width unknown. */
static void span_of(const cw_laid_figure *figure, double *low, double *high)
{
    *low = figure->laid->count > 0 ? HUGE_VAL : 0;
    *high = figure->laid->count > 0 ? -HUGE_VAL : 1e-3;
    for (size_t i = 0; i < figure->laid->count; i++) {
        *low = fmin(*low, figure->laid->turns[i].wire_m);
        *high = fmax(*high, figure->laid->turns[i].wire_m);
    }
    if (*high - *low < 1e-6)
        *high = *low + 1e-3;
}

static frame place(cw_box box, const cw_laid_figure *figure)
{
    const cw_winding *winding = figure->winding;
    double width = box.width - LEFT_MM - RIGHT_MM - 2 * FLANGE_MM, height = box.height - TOP_MM - BELOW_MM, scale;
    frame f = { { box.x + LEFT_MM + FLANGE_MM, box.y + TOP_MM, width, height }, 0, 0, 0, 0 };

    if (winding == NULL) {
        double low, high;

        span_of(figure, &low, &high);
        f.from_m = low;
        f.length_m = high - low;
        f.depth_m = (double)rows_of(figure);
        f.disc_mm = fmin(1.2, 0.8 * height / f.depth_m);
        return f;
    }
    f.length_m = winding->plan.window.length_m;
    f.depth_m = depth_of(winding);
    scale = fmin(width / f.length_m, height / f.depth_m);
    f.room.x += (width - scale * f.length_m) / 2;
    f.room.y += height - scale * f.depth_m;
    f.room.width = scale * f.length_m;
    f.room.height = scale * f.depth_m;
    f.disc_mm = fmax(LEAST_DISC_MM, 0.94 * scale * bundle_of(winding));
    return f;
}

static double across(const frame *f, double along_m)
{
    return f->room.x + (along_m - f->from_m) / f->length_m * f->room.width;
}

static double above(const frame *f, const cw_laid_figure *figure, double height)
{
    if (figure->winding == NULL)
        height += 0.5;
    return f->room.y + f->room.height - height / f->depth_m * f->room.height;
}

/* ---- drawing ------------------------------------------------------------------------------------------------- */

static void draw_turns(cw_canvas *canvas, const frame *f, const cw_laid_figure *figure, size_t parity, double *xy)
{
    walk at = { 0 };
    size_t count = 0;

    for (size_t i = 0; i < figure->laid->count; i++) {
        spot s = spot_of(figure, &figure->laid->turns[i], &at);

        if (s.layer % 2 != parity)
            continue;
        xy[2 * count] = across(f, s.along_m);
        xy[2 * count + 1] = above(f, figure, s.height_m);
        count++;
    }
    cw_canvas_dots(canvas, parity == 0 ? CW_BLUE : CW_SAND, f->disc_mm, xy, count);
}

static void draw_rings(cw_canvas *canvas, const frame *f, const cw_laid_figure *figure)
{
    walk at = { 0 };
    size_t drawn = 0;

    for (size_t i = 0; i < figure->laid->count && drawn < RINGS_MOST; i++) {
        spot s = spot_of(figure, &figure->laid->turns[i], &at);

        if (!s.astray)
            continue;
        cw_canvas_circle(canvas, (cw_pen){ CW_RED, 0.35, CW_SOLID }, CW_NO_INK, across(f, s.along_m),
                         above(f, figure, s.height_m), fmax(RING_MM, 1.6 * f->disc_mm));
        drawn++;
    }
}

static void draw_flanges(cw_canvas *canvas, const frame *f)
{
    const cw_pen outline = { CW_BLACK, 0.35, CW_SOLID }, hatch = { CW_GREY, 0.18, CW_SOLID };
    double top = f->room.y - 1.5, bottom = f->room.y + f->room.height;
    const cw_box ends[2] = { { f->room.x - FLANGE_MM, top, FLANGE_MM, bottom - top },
                             { f->room.x + f->room.width, top, FLANGE_MM, bottom - top } };

    for (int i = 0; i < 2; i++) {
        cw_canvas_hatch(canvas, hatch, ends[i], 1.1, false);
        cw_canvas_rectangle(canvas, outline, CW_NO_INK, ends[i], 0);
    }
    cw_canvas_line(canvas, outline, f->room.x, bottom, f->room.x + f->room.width, bottom);
}

static void draw_scale(cw_canvas *canvas, const frame *f, const cw_laid_figure *figure)
{
    const bool inches = figure->units == CW_INCH_UNITS;
    const double unit = inches ? 0.0254 : 1e-3, y = f->room.y + f->room.height + 1;
    const cw_ticks ticks = cw_ticks_choose(f->from_m / unit, (f->from_m + f->length_m) / unit, 8, false);
    const cw_type type = { LABEL_PT, CW_REGULAR, CW_BLACK, CW_ALIGN_CENTRE };
    char label[40];

    for (int i = 0; i < ticks.count; i++) {
        double x = across(f, cw_ticks_value(&ticks, i) * unit);

        cw_ticks_label(&ticks, i, label, sizeof label);
        cw_canvas_line(canvas, (cw_pen){ CW_BLACK, 0.18, CW_SOLID }, x, y, x, y + 1.4);
        cw_canvas_write(canvas, type, x, y + 4.6, label);
    }
    cw_canvas_write(canvas, (cw_type){ LABEL_PT, CW_REGULAR, CW_GREY, CW_ALIGN_CENTRE }, f->room.x + f->room.width / 2,
                    y + 8.8, inches ? "from the start flange, in" : "from the start flange, mm");
}

static double draw_key(cw_canvas *canvas, double x, double y, cw_ink ink, const char *text)
{
    cw_canvas_circle(canvas, (cw_pen){ 0 }, ink, x + 1, y - 1.1, 2);
    x += 3.2;
    return x + cw_canvas_write(canvas, (cw_type){ LABEL_PT, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT }, x, y, text) + 5;
}

static void draw_legend(cw_canvas *canvas, cw_box box, const cw_laid_figure *figure)
{
    const double y = box.y + box.height - 1.5;
    const size_t astray = cw_laid_astray(figure);
    double x = draw_key(canvas, box.x + LEFT_MM, y, CW_BLUE, "odd layers");
    char text[120];

    x = draw_key(canvas, x, y, CW_SAND, "even layers");
    if (figure->winding == NULL)
        return;
    if (astray == 0) {
        cw_canvas_write(canvas, (cw_type){ LABEL_PT, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_LEFT }, x, y,
                        "every turn in its place");
        return;
    }
    cw_canvas_circle(canvas, (cw_pen){ CW_RED, 0.35, CW_SOLID }, CW_NO_INK, x + 1.2, y - 1.1, RING_MM);
    snprintf(text, sizeof text, "%zu turns out of place by a quarter of the wire or more%s", astray,
             astray > RINGS_MOST ? ", the first of them ringed" : "");
    cw_canvas_write(canvas, (cw_type){ LABEL_PT, CW_SEMIBOLD, CW_RED, CW_ALIGN_LEFT }, x + 3.6, y, text);
}

void cw_laid_draw(cw_canvas *canvas, cw_box box, const cw_laid_figure *figure)
{
    const frame f = place(box, figure);
    double *xy = cw_allocate(2 * figure->laid->count + 2, sizeof *xy);

    if (xy == NULL) {
        canvas->no_memory = true;
        return;
    }
    if (figure->winding != NULL)
        draw_flanges(canvas, &f);
    draw_turns(canvas, &f, figure, 0, xy);
    draw_turns(canvas, &f, figure, 1, xy);
    draw_rings(canvas, &f, figure);
    draw_scale(canvas, &f, figure);
    draw_legend(canvas, box, figure);
    cw_free(xy);
}

static void draw_laid(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_laid_draw(canvas, box, figure);
}

cw_status cw_laid_write(const cw_laid_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const double width = paper->width_mm > 0 ? paper->width_mm : 180;

    return cw_draw__write(draw_laid, figure, paper, 180, cw_laid_height(figure, width), out, error);
}

/* ---- traverse ------------------------------------------------------------------------------------------------ */

/* The corners of the winding's own path: each layer at its flange, as it sets off, as it arrives. */
static size_t wanted_path(const cw_winding *winding, double *turns, double *position)
{
    size_t count = 0;

    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i];
        double before = (double)(layer->turns_total - layer->turns), travel = fabs(layer->end_m - layer->start_m);
        const double at[3] = { before, before + 0.5,
                               before + 0.5 + (layer->pitch_m > 0 ? travel / layer->pitch_m : 0) };

        for (int k = 0; k < 3; k++) {
            turns[count] = at[k];
            position[count++] = k < 2 ? layer->start_m : layer->end_m;
        }
    }
    return count;
}

cw_status cw_laid_traverse_write(const cw_laid_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const cw_laid_turns *laid = figure->laid;
    const size_t corners = figure->winding != NULL ? 3 * figure->winding->layer_count : 0;
    double *all = cw_allocate(2 * laid->count + 2 * corners + 1, sizeof *all);
    cw_traverse_figure traverse = { .count = laid->count, .units = figure->units };
    cw_status status;

    if (all == NULL)
        return cw_no_memory(error);
    traverse.turns = all;
    traverse.position_m = all + laid->count;
    for (size_t i = 0; i < laid->count; i++) {
        all[i] = (double)laid->turns[i].number;
        all[laid->count + i] = laid->turns[i].wire_m;
    }
    if (corners > 0) {
        double *wanted = all + 2 * laid->count;

        traverse.wanted_count = wanted_path(figure->winding, wanted, wanted + corners);
        traverse.wanted_turns = wanted;
        traverse.wanted_position_m = wanted + corners;
    }
    status = cw_traverse_write(&traverse, paper, out, error);
    cw_free(all);
    return status;
}
