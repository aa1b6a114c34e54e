/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The half section: former, winding, leads, dimensions, and a detail where turns are small.
 *
 *      +--------------- box -----------------------------------------------+
 *      |        length between flanges                 |                   |
 *      | lead  #[ winding                ]#  depths    |  detail A         |
 *      |       #[________________________]#            |                   |
 *      |       #### former, bore, axis ####            |                   |
 *      | legend, facts                       scale bar                     |
 *      +-------------------------------------------------------------------+ */
#include "draw/section_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SHELL_MM 2.6        /* former and flanges as drawn: their thickness is not known here */
#define LEFT_MM 15.0        /* start lead with its word */
#define RIGHT_MM 18.0       /* two dimensions of depth */
#define TOP_MM 13.0         /* dimension of length, finish lead */
#define LEGEND_MM 12.0
#define BROKEN_BORE_MM 15.0 /* of a bore that is not drawn to its full radius */
#define MOST_BORE_MM 26.0   /* more would be empty paper */
#define DETAIL_MM 42.0      /* side of the detail */
#define DETAIL_SHELL_MM 4.0
#define DETAIL_LABELS_MM 11.0
#define DETAIL_GAP_MM 5.0
#define DETAIL_BELOW_MM 1.3 /* strands smaller than this on paper get a detail */
#define DETAIL_STRAND_MM 3.3
#define NARROW_MM 44.0      /* a main view in which two words do not fit side by side */
#define TEXT_PT 8.5

static const cw_pen outline = { CW_BLACK, 0.35, CW_SOLID };
static const cw_pen thin = { CW_BLACK, 0.18, CW_SOLID };

/* Where everything stands. */
typedef struct plan {
    const cw_winding *winding;
    cw_unit_system units;
    cw_box box;
    cw_section__view view;
    double depth_m;       /* of the window or the winding, whichever is more */
    double bore_mm;       /* from the former's surface down to the axis, as drawn */
    bool broken;          /* bore_mm is less than the scale asks for */
    bool detail;
    cw_section__view closeup;
} plan;

static double inner_radius(const cw_winding *winding)
{
    const cw_window *window = &winding->plan.window;

    return 0.5 * (window->shape == CW_ROUND ? window->inner_m[0] : fmin(window->inner_m[0], window->inner_m[1]));
}

/* Scale and places for the main view in `width` millimetres of the box. */
static void place_main(plan *p, double width)
{
    double length = p->winding->plan.window.length_m, radius = inner_radius(p->winding);
    double room_x = width - LEFT_MM - RIGHT_MM - 2 * SHELL_MM, room_y = p->box.height - TOP_MM - LEGEND_MM;
    double by_width = room_x / length;
    double whole = fmin(by_width, (room_y - 2) / (p->depth_m + radius));
    double broken = fmin(by_width, (room_y - BROKEN_BORE_MM) / p->depth_m);
    double used, spare;

    p->broken = whole < 0.8 * broken || whole * radius < SHELL_MM + 6 || whole * radius > MOST_BORE_MM;
    p->view.scale = p->broken ? broken : whole;
    p->bore_mm = p->broken ? BROKEN_BORE_MM : p->view.scale * radius;
    used = LEFT_MM + RIGHT_MM + 2 * SHELL_MM + p->view.scale * length;
    spare = room_y - p->view.scale * p->depth_m - p->bore_mm;
    p->view.x_mm = p->box.x + (width - used) / 2 + LEFT_MM + SHELL_MM;
    p->view.y_mm = p->box.y + TOP_MM + spare / 2 + p->view.scale * p->depth_m;
    p->view.seen = p->box;
}

static void place_detail(plan *p)
{
    double strand = p->winding->plan.wire.overall_diameter_m.nominal, scale = DETAIL_STRAND_MM / strand;
    double high = fmin(DETAIL_MM, 2 * DETAIL_SHELL_MM + scale * p->winding->depth_m);
    double bottom = fmax(p->view.y_mm + SHELL_MM + 4, p->box.y + 7 + high);
    cw_section__view *v = &p->closeup;

    v->scale = scale;
    v->seen = (cw_box){ p->box.x + p->box.width - DETAIL_MM - DETAIL_LABELS_MM, bottom - high, DETAIL_MM, high };
    v->x_mm = v->seen.x + DETAIL_SHELL_MM;
    v->y_mm = v->seen.y + high - DETAIL_SHELL_MM;
}

static plan make_plan(cw_box box, const cw_section_figure *figure)
{
    plan p = { .winding = figure->winding, .units = figure->units, .box = box };
    double strand = figure->winding->plan.wire.overall_diameter_m.nominal;

    p.depth_m = fmax(figure->winding->plan.window.depth_m, figure->winding->depth_m);
    place_main(&p, box.width);
    p.detail = p.view.scale * strand < DETAIL_BELOW_MM && figure->winding->plan.lay != CW_RANDOM && box.width > 120;
    if (p.detail) {
        place_main(&p, box.width - DETAIL_MM - DETAIL_LABELS_MM - DETAIL_GAP_MM);
        place_detail(&p);
    }
    return p;
}

/* ---- former and window ---------------------------------------------------------------------------------------- */

static void shell(cw_canvas *canvas, cw_box box)
{
    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_WHITE, box, 0);
    cw_canvas_hatch(canvas, (cw_pen){ CW_GREY, 0.18, CW_SOLID }, box, 1.1, false);
}

/* Flanges and former as one cut piece: hatched parts, then the outline around all three. */
static void draw_former(cw_canvas *canvas, const plan *p)
{
    double left = p->view.x_mm, bottom = p->view.y_mm;
    double right = cw_section__x(&p->view, p->winding->plan.window.length_m);
    double top = cw_section__y(&p->view, p->winding->plan.window.depth_m) - 1;
    const double around[16] = {
        left - SHELL_MM, top, left, top, left, bottom, right, bottom, right, top, right + SHELL_MM, top,
        right + SHELL_MM, bottom + SHELL_MM, left - SHELL_MM, bottom + SHELL_MM,
    };

    shell(canvas, (cw_box){ left - SHELL_MM, top, SHELL_MM, bottom - top });
    shell(canvas, (cw_box){ right, top, SHELL_MM, bottom - top });
    shell(canvas, (cw_box){ left - SHELL_MM, bottom, right - left + 2 * SHELL_MM, SHELL_MM });
    cw_canvas_polygon(canvas, outline, CW_NO_INK, around, 8);
}

/* Between sections, as high as the flanges. */
static void draw_partitions(cw_canvas *canvas, const plan *p)
{
    const cw_winding *w = p->winding;
    const double top = cw_section__y(&p->view, w->plan.window.depth_m) - 1;

    for (size_t i = 1; i < w->section_count; i++) {
        const double left = cw_section__x(&p->view, w->section_start_m[i - 1] + w->section_length_m);
        const double right = cw_section__x(&p->view, w->section_start_m[i]);
        const cw_box box = { left, top, right - left, p->view.y_mm - top };

        shell(canvas, box);
        cw_canvas_rectangle(canvas, outline, CW_NO_INK, box, 0);
    }
}

static void inner_text(const plan *p, char *buffer, size_t size)
{
    const cw_window *window = &p->winding->plan.window;
    char a[40], b[40];

    cw_draw__length(window->inner_m[0], p->units, a, sizeof a);
    cw_draw__length(window->inner_m[1], p->units, b, sizeof b);
    if (window->shape == CW_ROUND)
        snprintf(buffer, size, "\xC3\x98 %s", a);
    else
        snprintf(buffer, size, "%s \xC3\x97 %s", a, b);
}

/* Axis, the arrow from it to the former's surface, and the words for the flanges. */
static void draw_bore(cw_canvas *canvas, const plan *p)
{
    double left = p->view.x_mm - SHELL_MM, right = cw_section__x(&p->view, p->winding->plan.window.length_m) + SHELL_MM;
    double surface = p->view.y_mm, axis = surface + p->bore_mm, middle = (left + right) / 2;
    double words = surface + SHELL_MM + 4;
    bool narrow = right - left < NARROW_MM; /* the two words would run into each other: turn them outwards */
    cw_type type = { TEXT_PT, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    char text[120];

    cw_canvas_line(canvas, (cw_pen){ CW_BLACK, 0.18, CW_CHAIN }, left - 6, axis, right + 6, axis);
    cw_canvas_write(canvas, (cw_type){ 8, CW_ITALIC, CW_GREY, CW_ALIGN_LEFT }, right + 7, axis + 1, "axis");
    cw_canvas_line(canvas, (cw_pen){ CW_WHITE, 1.0, CW_SOLID }, middle, axis, middle, surface + 0.3);
    cw_canvas_arrow(canvas, thin, middle, axis, middle, surface + 0.1, 2.2);
    if (p->broken) { /* two short strokes across a line: it is longer than drawn */
        double y = surface + SHELL_MM + 0.6 * (p->bore_mm - SHELL_MM);

        cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_WHITE, (cw_box){ middle - 1, y - 0.6, 2, 1.2 }, 0);
        cw_canvas_line(canvas, thin, middle - 1.4, y + 0.1, middle + 1.4, y - 1.3);
        cw_canvas_line(canvas, thin, middle - 1.4, y + 1.3, middle + 1.4, y - 0.1);
    }
    inner_text(p, text, sizeof text);
    cw_canvas_write(canvas, type, middle + 2.4, p->broken ? axis - 3.6 : fmax(words, axis - 2), text);
    type.size_pt = 8;
    type.align = narrow ? CW_ALIGN_RIGHT : CW_ALIGN_LEFT;
    cw_canvas_write(canvas, type, narrow ? left + SHELL_MM : left, words, "start flange");
    type.align = narrow ? CW_ALIGN_LEFT : CW_ALIGN_RIGHT;
    cw_canvas_write(canvas, type, narrow ? right - SHELL_MM : right, words, "far flange");
}

/* ---- leads and dimensions ------------------------------------------------------------------------------------- */

static void cased_line(cw_canvas *canvas, const double *xy, size_t count)
{
    cw_canvas_polyline(canvas, (cw_pen){ CW_WHITE, 1.3, CW_SOLID }, xy, count);
    cw_canvas_polyline(canvas, (cw_pen){ CW_BLACK, 0.6, CW_SOLID }, xy, count);
}

/* The end of a lead: a small ring and its word, on white as it may cross a dimension. */
static void lead_end(cw_canvas *canvas, double x, double y, double word_x, double word_y, cw_align align,
                     const char *text)
{
    const cw_type word = { TEXT_PT, CW_SEMIBOLD, CW_BLACK, align };
    double width = cw_canvas_text_width(canvas, word, text), left = align == CW_ALIGN_LEFT ? word_x : word_x - width;

    cw_canvas_circle(canvas, (cw_pen){ CW_BLACK, 0.35, CW_SOLID }, CW_WHITE, x, y, 1.4);
    cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_WHITE, (cw_box){ left - 0.5, word_y - 2.6, width + 1, 3.2 }, 0);
    cw_canvas_write(canvas, word, word_x, word_y, text);
}

static void draw_leads(cw_canvas *canvas, const plan *p)
{
    const cw_layer *first = &p->winding->layers[0], *last = &p->winding->layers[p->winding->layer_count - 1];
    double half = p->view.scale * p->winding->plan.wire.overall_diameter_m.nominal / 2;
    double y = cw_section__wire_y(&p->view, p->winding, first->height_m), out = p->view.x_mm - SHELL_MM - 3.5;
    double in = cw_section__x(&p->view, cw_section__turn_z(first, 0)) - half;
    const double start[4] = { fmin(p->view.x_mm, in), y, out, y };
    double x = cw_section__x(&p->view, cw_section__turn_z(last, last->turns - 1));
    double over = cw_section__y(&p->view, p->depth_m) - 3.4;
    const double finish[4] = { x, cw_section__wire_y(&p->view, p->winding, last->height_m) - half, x, over };
    bool to_right = x < cw_section__x(&p->view, p->winding->plan.window.length_m / 2);

    cased_line(canvas, start, 2);
    lead_end(canvas, out - 0.7, y, out - 2.2, y + 1.1, CW_ALIGN_RIGHT, "start");
    cased_line(canvas, finish, 2);
    lead_end(canvas, x, over - 0.7, x + (to_right ? 2 : -2), over + 0.7, to_right ? CW_ALIGN_LEFT : CW_ALIGN_RIGHT,
             "finish");
}

static void draw_dimensions(cw_canvas *canvas, const plan *p)
{
    const cw_window *window = &p->winding->plan.window;
    double left = p->view.x_mm, right = cw_section__x(&p->view, window->length_m);
    double top = cw_section__y(&p->view, window->depth_m) - 1, above = cw_section__y(&p->view, p->depth_m) - 8;
    double wound = p->winding->depth_m, edge = right + SHELL_MM;
    char text[64];

    cw_draw__length(window->length_m, p->units, text, sizeof text);
    cw_canvas_dimension(canvas, left, top, right, top, above - top, TEXT_PT, text);
    cw_draw__length(window->depth_m, p->units, text, sizeof text);
    cw_canvas_dimension(canvas, edge, cw_section__y(&p->view, 0), edge, cw_section__y(&p->view, window->depth_m), 13,
                        TEXT_PT, text);
    cw_draw__length(wound, p->units, text, sizeof text);
    cw_canvas_line(canvas, thin, right, cw_section__y(&p->view, wound), edge + 1, cw_section__y(&p->view, wound));
    cw_canvas_dimension(canvas, edge, cw_section__y(&p->view, 0), edge, cw_section__y(&p->view, wound), 6, TEXT_PT,
                        text);
}

static void draw_window(cw_canvas *canvas, const plan *p)
{
    double right = cw_section__x(&p->view, p->winding->plan.window.length_m);
    double top = cw_section__y(&p->view, p->winding->plan.window.depth_m);

    cw_canvas_line(canvas, (cw_pen){ CW_WHITE, 1.1, CW_SOLID }, p->view.x_mm + 0.2, top, right - 0.2, top);
    cw_canvas_line(canvas, (cw_pen){ p->winding->fits ? CW_BLACK : CW_RED, 0.35, CW_DASHED }, p->view.x_mm, top, right,
                   top);
}

/* ---- detail --------------------------------------------------------------------------------------------------- */

/* "1" with an arrow the way the layer goes, beside each layer that the detail shows. */
static void draw_layer_marks(cw_canvas *canvas, const plan *p)
{
    const cw_section__view *v = &p->closeup;
    double x = v->seen.x + v->seen.width, last = HUGE_VAL;
    char number[24];

    for (size_t i = 0; i < p->winding->layer_count; i++) {
        const cw_layer *layer = &p->winding->layers[i];
        double y = cw_section__wire_y(v, p->winding, layer->height_m), from = x + 5.2, to = x + 10.2;

        if (y < v->seen.y + 1.5)
            break;
        if (last - y < 2.9) /* numbers would touch */
            continue;
        last = y;
        snprintf(number, sizeof number, "%zu", i + 1);
        cw_canvas_write(canvas, (cw_type){ 8, CW_REGULAR, CW_BLACK, CW_ALIGN_RIGHT }, x + 4.2, y + 1, number);
        cw_canvas_arrow(canvas, (cw_pen){ CW_BLACK, 0.25, CW_SOLID }, layer->direction > 0 ? from : to, y,
                        layer->direction > 0 ? to : from, y, 2);
    }
}

/* What the detail shows of the former: the start flange, the surface, and the far flange where it is that near. */
static void draw_detail_former(cw_canvas *canvas, const plan *p)
{
    const cw_section__view *v = &p->closeup;
    double right = v->seen.x + v->seen.width, far = cw_section__x(v, p->winding->plan.window.length_m);

    shell(canvas, (cw_box){ v->seen.x, v->seen.y, DETAIL_SHELL_MM, v->seen.height });
    shell(canvas, (cw_box){ v->x_mm, v->y_mm, right - v->x_mm, DETAIL_SHELL_MM });
    cw_canvas_line(canvas, outline, v->x_mm, v->seen.y, v->x_mm, v->y_mm);
    cw_canvas_line(canvas, outline, v->x_mm, v->y_mm, fmin(right, far), v->y_mm);
    if (far < right) {
        shell(canvas, (cw_box){ far, v->seen.y, right - far, v->seen.height - DETAIL_SHELL_MM });
        cw_canvas_line(canvas, outline, far, v->seen.y, far, v->y_mm);
    }
    cw_canvas_rectangle(canvas, outline, CW_NO_INK, v->seen, 0);
}

/* The rectangle on the main view that the detail shows, and its letter. */
static void draw_detail_mark(cw_canvas *canvas, cw_box there)
{
    cw_canvas_rectangle(canvas, (cw_pen){ CW_WHITE, 1.2, CW_SOLID }, CW_NO_INK, there, 0);
    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.5, CW_SOLID }, CW_NO_INK, there, 0);
    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.25, CW_SOLID }, CW_WHITE,
                        (cw_box){ there.x + there.width + 0.6, there.y, 3.6, 3.6 }, 0.4);
    cw_canvas_write(canvas, (cw_type){ TEXT_PT, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_CENTRE }, there.x + there.width + 2.4,
                    there.y + 2.9, "A");
}

static void draw_detail(cw_canvas *canvas, const plan *p)
{
    cw_section__view inside = p->closeup;
    double ratio = p->view.scale / inside.scale, right = inside.seen.x + inside.seen.width, top = inside.seen.y;
    char title[80];

    inside.seen = (cw_box){ inside.x_mm, top, right - inside.x_mm, inside.y_mm - top };
    cw_section__turns(canvas, &inside, p->winding);
    draw_detail_former(canvas, p);
    draw_layer_marks(canvas, p);
    draw_detail_mark(canvas, (cw_box){ p->view.x_mm, p->view.y_mm - inside.seen.height * ratio,
                                       inside.seen.width * ratio, inside.seen.height * ratio });
    snprintf(title, sizeof title, "Detail A, %.0f times larger", inside.scale / p->view.scale);
    cw_canvas_write(canvas, (cw_type){ TEXT_PT, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_LEFT }, p->closeup.seen.x, top - 2,
                    title);
    cw_canvas_write(canvas, (cw_type){ 8, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT }, right + 1, top - 2, "layer");
}

/* ---- legend --------------------------------------------------------------------------------------------------- */

/* A bar of a round length of at most 30 mm on paper, its right end at x. */
static void draw_scale_bar(cw_canvas *canvas, const plan *p, double x, double y)
{
    static const double inch_steps[] = { 4, 2, 1, 0.5, 0.25, 0.125, 0.0625, 0.03125 };
    double unit = p->units == CW_INCH_UNITS ? 0.0254 : 0.001, most = 30 / p->view.scale / unit, length;
    double half;
    char text[40];

    if (p->units == CW_INCH_UNITS) {
        length = inch_steps[7];
        for (size_t i = 8; i-- > 0;)
            if (inch_steps[i] <= most)
                length = inch_steps[i];
        snprintf(text, sizeof text, length < 1 ? "1/%.0f in" : "%.0f in", length < 1 ? 1 / length : length);
    } else {
        length = pow(10, floor(log10(most)));
        length *= most >= 5 * length ? 5 : most >= 2 * length ? 2 : 1;
        snprintf(text, sizeof text, "%g mm", length);
    }
    half = length * unit * p->view.scale / 2;
    cw_canvas_rectangle(canvas, thin, CW_BLACK, (cw_box){ x - 2 * half, y, half, 1.2 }, 0);
    cw_canvas_rectangle(canvas, thin, CW_WHITE, (cw_box){ x - half, y, half, 1.2 }, 0);
    cw_canvas_write(canvas, (cw_type){ 8, CW_REGULAR, CW_BLACK, CW_ALIGN_RIGHT }, x, y - 1, text);
}

static double legend_dot(cw_canvas *canvas, double x, double y, cw_ink ink, const char *text)
{
    cw_canvas_circle(canvas, (cw_pen){ CW_BLACK, 0.25, CW_SOLID }, ink, x + 1.2, y - 1, 2.2);
    return x + 3.4 + cw_canvas_write(canvas, (cw_type){ 8, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT }, x + 3.4, y, text) + 5;
}

static bool has_sheets(const cw_winding *winding)
{
    for (size_t i = 0; i + 1 < winding->layer_count; i++)
        if (winding->layers[i].insulation_after)
            return true;
    return false;
}

static const char *const strands[] = { "", ", two in hand", ", three in hand", ", four in hand" };

static void facts_text(const plan *p, char *buffer, size_t size)
{
    const cw_winding *w = p->winding;
    bool round = w->plan.window.shape == CW_ROUND;
    char spare[40], outside[80] = "", layers[80] = " at random";

    if (w->plan.lay != CW_RANDOM)
        snprintf(layers, sizeof layers, " in %zu layer%s", w->layer_count, w->layer_count == 1 ? "" : "s");
    if (round) {
        memcpy(outside, "finished diameter ", 19);
        cw_draw__length(w->plan.window.inner_m[0] + 2 * w->depth_m, p->units, outside + 18, sizeof outside - 20);
        strcat(outside, "; ");
    }
    cw_draw__length(fabs(w->spare_m), p->units, spare, sizeof spare);
    if (w->section_count > 0)
        snprintf(layers, sizeof layers, " in %zu sections of %ld", w->section_count, w->turns / (long)w->section_count);
    if (w->second_layer > 0)
        snprintf(layers, sizeof layers, " in %zu layers, %s from layer %zu on", w->layer_count, w->second_wire.size.name,
                 w->second_layer + 1);
    snprintf(buffer, size, "%ld turns%s%s; %s%s %s%s", w->turns,
             strands[w->plan.in_hand >= 1 && w->plan.in_hand <= 4 ? w->plan.in_hand - 1 : 0], layers, outside, spare,
             !w->fits ? "too deep for the window" : w->second_layer > 0 ? "to spare" : "of depth to spare",
             round ? "" : " with its bulge; cut at mid-flat");
}

static void draw_legend(cw_canvas *canvas, const plan *p)
{
    double y = p->box.y + p->box.height - 5.2, x = p->box.x;
    char text[320];

    if (p->winding->plan.lay == CW_RANDOM) {
        cw_canvas_write(canvas, (cw_type){ 8, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT }, x, y,
                        "hatched: turns in no order");
    } else {
        x = legend_dot(canvas, x, y, CW_BLUE, "layers away from the start flange (1, 3, \xE2\x80\xA6)");
        if (p->winding->layer_count > 1)
            x = legend_dot(canvas, x, y, CW_SAND, "layers back (2, 4, \xE2\x80\xA6)");
    }
    if (has_sheets(p->winding)) {
        cw_canvas_line(canvas, (cw_pen){ CW_BLACK, 0.5, CW_SOLID }, x, y - 1, x + 6, y - 1);
        cw_canvas_write(canvas, (cw_type){ 8, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT }, x + 7.5, y, "sheet of insulation");
    }
    facts_text(p, text, sizeof text);
    cw_canvas_write_within(canvas, (cw_type){ TEXT_PT, p->winding->fits ? CW_REGULAR : CW_BOLD,
                                              p->winding->fits ? CW_BLACK : CW_RED, CW_ALIGN_LEFT },
                           p->box.x, p->box.y + p->box.height - 0.8, p->box.width - 34, text);
    draw_scale_bar(canvas, p, p->box.x + p->box.width, p->box.y + p->box.height - 2);
}

void cw_section_draw(cw_canvas *canvas, cw_box box, const cw_section_figure *figure)
{
    plan p = make_plan(box, figure);

    if (cw_canvas_is_muted(canvas))
        return;
    cw_section__turns(canvas, &p.view, p.winding);
    draw_former(canvas, &p);
    draw_partitions(canvas, &p);
    draw_bore(canvas, &p);
    draw_window(canvas, &p);
    if (p.detail)
        draw_detail(canvas, &p);
    draw_dimensions(canvas, &p);
    draw_leads(canvas, &p);
    draw_legend(canvas, &p);
}

double cw_section_height(const cw_section_figure *figure, double width_mm)
{
    const double least = 62, most = 110;
    plan p = make_plan((cw_box){ 0, 0, width_mm, most }, figure);
    double main = TOP_MM + p.view.scale * p.depth_m + p.bore_mm + LEGEND_MM + 2;
    double detail = p.detail ? 7 + p.closeup.seen.height + LEGEND_MM + 2 : 0;

    return fmin(most, fmax(least, fmax(main, detail)));
}

static void draw_section(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_section_draw(canvas, box, figure);
}

cw_status cw_section_write(const cw_section_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const double width = paper->width_mm > 0 ? paper->width_mm : 182;

    return cw_draw__write(draw_section, figure, paper, width, 4 + cw_section_height(figure, width - 4), out, error);
}
