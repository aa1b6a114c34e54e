/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The turns of the section figure. Layers away from the start flange are dark, those back are light; where a strand is
 * large enough on paper its covering is drawn as a ring of its true thickness. */
#include "draw/section_internal.h"

#include <math.h>

#define RING_FROM_MM 0.55     /* strands smaller than this on paper are one disc, without their covering */
#define DISC_FROM_MM 0.24     /* and below this a layer is a band: discs would only blur */
#define MOST_STRANDS 20000.0  /* in view; beyond it bands too, for the sake of the file's size */

double cw_section__x(const cw_section__view *view, double z_m)
{
    return view->x_mm + view->scale * z_m;
}

double cw_section__y(const cw_section__view *view, double h_m)
{
    return view->y_mm - view->scale * h_m;
}

double cw_section__wire_y(const cw_section__view *view, const cw_winding *winding, double height_m)
{
    double bulge = winding->plan.window.shape == CW_ROUND ? 0 : winding->plan.bulge;

    return cw_section__y(view, height_m * (1 + bulge));
}

double cw_section__turn_z(const cw_layer *layer, long turn)
{
    double z = layer->start_m + layer->direction * (double)turn * layer->pitch_m;

    return layer->direction > 0 ? fmin(z, fmax(layer->start_m, layer->end_m))
                                : fmax(z, fmin(layer->start_m, layer->end_m));
}

static bool in_view(const cw_section__view *view, double x, double y, double reach)
{
    return x > view->seen.x - reach && x < view->seen.x + view->seen.width + reach && y > view->seen.y - reach &&
           y < view->seen.y + view->seen.height + reach;
}

/* The turns of a layer that can be in view, as first and one past the last: a long layer is not walked for a detail. */
static void turns_in_view(const cw_section__view *view, const cw_layer *layer, double reach_mm, long *first, long *last)
{
    double left = (view->seen.x - reach_mm - view->x_mm) / view->scale;
    double right = (view->seen.x + view->seen.width + reach_mm - view->x_mm) / view->scale;
    double a = layer->direction * (left - layer->start_m) / layer->pitch_m;
    double b = layer->direction * (right - layer->start_m) / layer->pitch_m;

    *first = 0;
    *last = layer->turns;
    if (!isfinite(a) || !isfinite(b))
        return;
    *first = (long)fmax(0, floor(fmin(a, b)) - 1);
    *last = (long)fmin((double)layer->turns, ceil(fmax(a, b)) + 2);
}

/* Layers of one wire. */
typedef struct span {
    size_t from, to; /* from <= layer < to */
} span;

static span span_of(const cw_winding *winding, int which)
{
    if (winding->second_layer == 0)
        return (span){ 0, which == 0 ? winding->layer_count : 0 };
    return which == 0 ? (span){ 0, winding->second_layer } : (span){ winding->second_layer, winding->layer_count };
}

/* Strand centres of the layers of one way and wire that are in view, appended to xy; with xy == NULL only counted. */
static size_t collect(const cw_section__view *view, const cw_winding *winding, span layers, bool back, double *xy)
{
    double overall = cw_winding_wire(winding, layers.from)->overall_diameter_m.nominal;
    double reach = view->scale * overall * winding->plan.in_hand;
    size_t count = 0;

    for (size_t i = layers.from; i < layers.to; i++) {
        const cw_layer *layer = &winding->layers[i];
        double y = cw_section__wire_y(view, winding, layer->height_m);
        long first, last;

        if ((layer->direction < 0) != back)
            continue;
        turns_in_view(view, layer, reach, &first, &last);
        for (long turn = first; turn < last; turn++) {
            for (int strand = 0; strand < winding->plan.in_hand; strand++) {
                double aside = (strand - 0.5 * (winding->plan.in_hand - 1)) * overall;
                double x = cw_section__x(view, cw_section__turn_z(layer, turn) + aside);

                if (!in_view(view, x, y, reach))
                    continue;
                if (xy != NULL)
                    xy[2 * count] = x, xy[2 * count + 1] = y;
                count++;
            }
        }
    }
    return count;
}

static cw_ink ink_of(bool back)
{
    return back ? CW_SAND : CW_BLUE;
}

static void discs(cw_canvas *canvas, const cw_section__view *view, const cw_winding *winding, span layers,
                  bool back)
{
    const cw_wire *wire = cw_winding_wire(winding, layers.from);
    double overall = view->scale * wire->overall_diameter_m.nominal;
    double bare = view->scale * wire->size.diameter_m.nominal;
    size_t count = collect(view, winding, layers, back, NULL);
    double *xy = cw_allocate(2 * count, sizeof *xy);

    if (xy == NULL) {
        canvas->no_memory = true;
        return;
    }
    collect(view, winding, layers, back, xy);
    if (overall >= RING_FROM_MM && bare > 0) {
        cw_canvas_dots(canvas, CW_BLACK, overall, xy, count);
        cw_canvas_dots(canvas, ink_of(back), fmin(bare, 0.92 * overall), xy, count);
    } else {
        cw_canvas_dots(canvas, ink_of(back), overall, xy, count);
    }
    cw_free(xy);
}

static void bands(cw_canvas *canvas, const cw_section__view *view, const cw_winding *winding)
{
    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i];
        double half = cw_winding_wire(winding, i)->overall_diameter_m.nominal / 2, wide = half * winding->plan.in_hand;
        double last = cw_section__turn_z(layer, layer->turns - 1);
        double left = cw_section__x(view, fmin(layer->start_m, last) - wide);
        double right = cw_section__x(view, fmax(layer->start_m, last) + wide);
        double top = cw_section__wire_y(view, winding, layer->height_m + half);
        double bottom = cw_section__wire_y(view, winding, layer->height_m - half);

        cw_canvas_rectangle(canvas, (cw_pen){ 0 }, ink_of(layer->direction < 0),
                            (cw_box){ left, top, right - left, bottom - top }, 0);
    }
}

static void sheets(cw_canvas *canvas, const cw_section__view *view, const cw_winding *winding)
{
    double thick = winding->plan.insulation_m;
    size_t section = 0;

    for (size_t i = 0; i + 1 < winding->layer_count; i++) {
        double from = 0, to = winding->plan.window.length_m, left, right;
        double half = cw_winding_wire(winding, i)->overall_diameter_m.nominal / 2;
        double y = cw_section__wire_y(view, winding, winding->layers[i].height_m + half + thick / 2);

        while (section + 1 < winding->section_count && i >= winding->section_layer[section + 1])
            section++;
        if (winding->section_count > 0) {
            from = winding->section_start_m[section];
            to = from + winding->section_length_m;
        }
        left = cw_section__x(view, from);
        right = cw_section__x(view, to);
        if (winding->layers[i].insulation_after)
            cw_canvas_line(canvas, (cw_pen){ CW_BLACK, fmax(0.18, view->scale * thick), CW_SOLID }, left, y, right, y);
    }
}

static void random_room(cw_canvas *canvas, const cw_section__view *view, const cw_winding *winding)
{
    double top = cw_section__y(view, winding->depth_m), bottom = cw_section__y(view, 0);
    cw_box room = { cw_section__x(view, 0), top, view->scale * winding->plan.window.length_m, bottom - top };

    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_SHADE, room, 0);
    cw_canvas_hatch(canvas, (cw_pen){ CW_BLUE, 0.25, CW_SOLID }, room, 1.6, false);
    cw_canvas_hatch(canvas, (cw_pen){ CW_ORANGE, 0.25, CW_SOLID }, room, 1.6, true);
}

void cw_section__turns(cw_canvas *canvas, const cw_section__view *view, const cw_winding *winding)
{
    double overall = view->scale * winding->plan.wire.overall_diameter_m.nominal;
    double share = fmin(1, view->seen.width / fmax(1e-9, view->scale * winding->plan.window.length_m));
    double strands = (double)winding->turns * winding->plan.in_hand * share;

    cw_canvas_clip(canvas, view->seen);
    if (winding->plan.lay == CW_RANDOM) {
        random_room(canvas, view, winding);
    } else if (overall < DISC_FROM_MM || strands > MOST_STRANDS) {
        bands(canvas, view, winding);
    } else {
        for (int which = 0; which < 2; which++)
            for (int back = 0; back < 2; back++)
                discs(canvas, view, winding, span_of(winding, which), back != 0);
    }
    if (winding->plan.lay != CW_RANDOM)
        sheets(canvas, view, winding);
    cw_canvas_unclip(canvas);
}
