/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The arbor's drawings: the assembly, whose notes are the list of parts, and a sheet for every part that is made.
 *
 * Sections lie in the plane y = 0, z to the right and x upwards, so that the drive pin, on the -x side, is cut. What is
 * bought (screw, washer, pin) is not hatched. */
#include "drafting/part_views.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define TIMES "\xC3\x97"
#define DIAMETER "\xC3\x98"
#define NOTES_MOST 10
#define NOTE_BYTES 240

enum { SHEETS = 1 + CW_ARBOR_PIECE_COUNT, VIEWS_MOST = 3 };

typedef struct page {
    cw_drafting_view *views[VIEWS_MOST];
    size_t view_count;
    char note_bytes[NOTES_MOST][NOTE_BYTES];
    const char *notes[NOTES_MOST];
    size_t note_count;
    const char *part, *material;
} page;

typedef struct work {
    const cw_arbor *arbor;
    const cw_former *former;
    const cw_drafting_setting *setting;
    double grid_m;
    page pages[SHEETS];
} work;

static void note(page *p, const char *format, ...) CW_PRINTF(2, 3);

static void note(page *p, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(p->note_bytes[p->note_count], NOTE_BYTES, format, arguments);
    va_end(arguments);
    p->notes[p->note_count] = p->note_bytes[p->note_count];
    p->note_count++;
}

static cw_drafting_view *new_view(page *p, cw_drafting_place place, const char *title, cw_status *status,
                                  cw_error *error)
{
    if (*status == CW_OK)
        *status = cw_drafting_view_create(place, title, &p->views[p->view_count], error);
    return *status == CW_OK ? p->views[p->view_count++] : NULL;
}

/* A length as the drawing writes it, for a sentence. */
typedef struct number {
    char text[32];
} number;

static number told(const work *w, double length_m)
{
    number n;

    cw_drafting_number(round(length_m / w->grid_m) * w->grid_m, w->setting->units, n.text, sizeof n.text);
    return n;
}

/* ---- cut faces --------------------------------------------------------------------------------------------------- */

static void rectangle(cw_drafting_view *view, cw_drafting_line line, double z1, double x1, double z2, double x2)
{
    const cw_drafting_corner corners[4] = { { z1, x1, 0 }, { z2, x1, 0 }, { z2, x2, 0 }, { z1, x2, 0 } };

    cw_drafting_path(view, line, corners, 4, true);
}

static void cut_rectangle(cw_drafting_view *view, int part, double z1, double x1, double z2, double x2)
{
    const cw_drafting_corner corners[4] = { { z1, x1, 0 }, { z2, x1, 0 }, { z2, x2, 0 }, { z1, x2, 0 } };

    cw_drafting_path(view, CW_DRAFTING_VISIBLE, corners, 4, true);
    cw_drafting_hatch(view, part, corners, 4);
}

/* A flat part of an outline's height with the screw's hole, cut from z1 to z2; the pin's hole goes pin_depth in from
 * z1, through where it is as deep as the part is thick. */
static void cut_plate(cw_drafting_view *view, int part, const cw_arbor *a, const cw_outline *outline, double z1,
                      double z2, double pin_depth)
{
    const double x = outline->size_m[0] / 2, hole = a->screw_hole_m / 2;

    cut_rectangle(view, part, z1, hole, z2, x);
    cut_rectangle(view, part, z1, -hole, z2, -x);
    cw_drafting_segment(view, CW_DRAFTING_VISIBLE, z1, -hole, z1, hole);
    cw_drafting_segment(view, CW_DRAFTING_VISIBLE, z2, -hole, z2, hole);
    if (pin_depth <= 0 || a->pin_m <= 0)
        return;
    z2 = z1 + fmin(pin_depth, z2 - z1);
    cut_rectangle(view, part, z1, -a->pin_x_m - a->pin_m / 2, z2, -a->pin_x_m + a->pin_m / 2);
    cw_drafting_centre_line(view, z1, -a->pin_x_m, z2, -a->pin_x_m);
}

typedef struct spindle {
    double back, shoulder, front; /* z */
} spindle;

static spindle spindle_of(const cw_arbor *a)
{
    const double front = -a->cheek_m;

    return (spindle){ front - a->collar_length_m - a->shank_length_m, front - a->collar_length_m, front };
}

static void spindle_outline(cw_drafting_view *view, const cw_arbor *a, bool hatched, int part)
{
    const spindle s = spindle_of(a);
    const double shank = a->shank_m / 2, collar = a->collar_m / 2;
    const cw_drafting_corner corners[8] = {
        { s.back, -shank, 0 }, { s.shoulder, -shank, 0 }, { s.shoulder, -collar, 0 }, { s.front, -collar, 0 },
        { s.front, collar, 0 }, { s.shoulder, collar, 0 }, { s.shoulder, shank, 0 }, { s.back, shank, 0 }
    };

    cw_drafting_path(view, CW_DRAFTING_VISIBLE, corners, 8, true);
    if (hatched)
        cw_drafting_hatch(view, part, corners, 8);
}

/* ---- assembly ---------------------------------------------------------------------------------------------------- */

static double pin_length(const cw_arbor *a)
{
    return floor((a->pin_depth_m[0] + a->cheek_m + a->pin_depth_m[1]) * 1e3 - 0.5) / 1e3;
}

/* The screw with its washer, and how far it reaches back. */
static void screw(cw_drafting_view *view, const cw_arbor *a)
{
    const double d = 1e-3 * a->screw, face = a->former_length_m + a->cheek_m, washer = face + 0.2 * d;
    const double tip = washer - a->screw_length_m;

    rectangle(view, CW_DRAFTING_VISIBLE, face, -1.1 * d, washer, 1.1 * d);
    rectangle(view, CW_DRAFTING_VISIBLE, washer, -0.85 * d, washer + 0.7 * d, 0.85 * d);
    cw_drafting_segment(view, CW_DRAFTING_VISIBLE, washer + 0.7 * d, 0.425 * d, washer, 0.425 * d);
    cw_drafting_segment(view, CW_DRAFTING_VISIBLE, washer + 0.7 * d, -0.425 * d, washer, -0.425 * d);
    rectangle(view, CW_DRAFTING_VISIBLE, tip, -d / 2, face, d / 2);
    for (int side = -1; side <= 1; side += 2)
        cw_drafting_segment(view, CW_DRAFTING_THIN, tip, side * a->tap_drill_m / 2, spindle_of(a).front,
                            side * a->tap_drill_m / 2);
}

/* The hole that the screw goes into, beyond its tip. */
static void tapped_hole_cut(cw_drafting_view *view, const cw_arbor *a, int part)
{
    const double front = spindle_of(a).front, d = 1e-3 * a->screw;
    const cw_drafting_corner hole[4] = { { front - a->tapped_depth_m, -d / 2, 0 }, { front, -d / 2, 0 },
                                         { front, d / 2, 0 }, { front - a->tapped_depth_m, d / 2, 0 } };

    cw_drafting_hatch(view, part, hole, 4);
    for (int side = -1; side <= 1; side += 2) {
        cw_drafting_segment(view, CW_DRAFTING_VISIBLE, front - a->tapped_depth_m, side * a->tap_drill_m / 2, front,
                            side * a->tap_drill_m / 2);
        cw_drafting_segment(view, CW_DRAFTING_THIN, front - a->tapped_depth_m, side * d / 2, front, side * d / 2);
    }
    cw_drafting_segment(view, CW_DRAFTING_VISIBLE, front - a->tapped_depth_m, -d / 2, front - a->tapped_depth_m, d / 2);
}

/* On the part's face, where neither another part nor the figure's own lines are near. */
static void balloons(cw_drafting_view *view, const cw_arbor *a, const cw_former *f)
{
    const spindle s = spindle_of(a);
    const double cheek = 0.4 * a->cheek.size_m[0], l = a->former_length_m, d = 1e-3 * a->screw;

    cw_drafting_balloon(view, s.back + 0.3 * a->shank_length_m, 0.3 * a->shank_m, "1");
    cw_drafting_balloon(view, -0.5 * a->cheek_m, cheek, "2");
    cw_drafting_balloon(view, 0.5 * l, -0.4 * a->plug.size_m[0], "3");
    cw_drafting_balloon(view, l + 0.5 * a->cheek_m, cheek, "4");
    cw_drafting_balloon(view, l + a->cheek_m + 0.55 * d, 0.2 * d, "5");
    cw_drafting_balloon(view, 0.5 * f->flange_m, -0.25 * (f->tube.size_m[0] + f->flange.size_m[0]), "6");
    if (a->pin_m > 0)
        cw_drafting_balloon(view, s.front - 0.6 * a->pin_depth_m[0], -a->pin_x_m, "7");
}

static void parts_list(const work *w, page *p)
{
    const cw_arbor *a = w->arbor;

    note(p, "Spindle, sheet 2.");
    note(p, "Start cheek, sheet 3.");
    note(p, "Plug, sheet 4.");
    note(p, "Far cheek, sheet 5.");
    note(p, "Screw M%d " TIMES " %.0f mm with washer, bought.", a->screw, a->screw_length_m * 1e3);
    note(p, "The former. Its flanges lie flat on the cheeks: the plug is shorter by %s.", told(w, a->pinch_m).text);
    if (a->pin_m > 0)
        note(p, "Drive pin " DIAMETER "%.0f " TIMES " %.0f mm, bought.", a->pin_m * 1e3, pin_length(a) * 1e3);
    else
        note(p, "No drive pin: friction drives the plug. Screw it up well.");
}

static cw_status assembly(work *w, page *p, cw_error *error)
{
    const cw_arbor *a = w->arbor;
    const double l = a->former_length_m, end = l + a->cheek_m + 0.9e-3 * a->screw, step = w->grid_m;
    cw_former whole = *w->former;
    cw_status status = CW_OK;
    cw_drafting_view *view = new_view(p, CW_DRAFTING_MAIN, NULL, &status, error);
    const spindle s = spindle_of(a);

    if (status != CW_OK)
        return status;
    whole.split = false; /* the section is the same plane for every former */
    spindle_outline(view, a, true, 0);
    tapped_hole_cut(view, a, 0);
    if (a->pin_m > 0)
        cut_rectangle(view, 0, s.front - a->pin_depth_m[0], -a->pin_x_m - a->pin_m / 2, s.front,
                      -a->pin_x_m + a->pin_m / 2);
    cut_plate(view, 1, a, &a->cheek, -a->cheek_m, 0, a->cheek_m);
    cut_plate(view, 3, a, &a->plug, 0, a->plug_length_m, a->pin_depth_m[1]);
    cut_plate(view, 5, a, &a->cheek, l, l + a->cheek_m, 0);
    cw_part__former_section(view, &whole, 2);
    screw(view, a);
    cw_drafting_centre_line(view, s.back, 0, end, 0);
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_LINEAR, .side = CW_DRAFTING_UNDER, .x1_m = s.back, .y1_m = -a->shank_m / 2, .x2_m = end,
        .y2_m = -0.85e-3 * a->screw, .prefix = "(", .suffix = ")", .value = round((end - s.back) / step) * step });
    balloons(view, a, &whole);
    parts_list(w, p);
    p->part = "Winding arbor, assembly";
    p->material = "as on the sheets of the parts";
    return CW_OK;
}

/* ---- parts: what they share -------------------------------------------------------------------------------------- */

static void along(cw_drafting_view *view, cw_drafting_side side, double z1, double z2, double height,
                  double deviation_m, const char *key)
{
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_LINEAR, .side = side, .x1_m = z1, .y1_m = height, .x2_m = z2, .y2_m = height,
        .value = z2 - z1, .upper_m = deviation_m, .lower_m = -deviation_m, .key = key });
}

static void diameter(cw_drafting_view *view, cw_drafting_side side, double z, double size_m, double lower_m,
                     const char *key)
{
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_LINEAR, .side = side, .x1_m = z, .y1_m = -size_m / 2, .x2_m = z, .y2_m = size_m / 2,
        .prefix = DIAMETER, .value = size_m, .lower_m = lower_m, .key = key });
}

static void hole(cw_drafting_view *view, cw_part__gaze gaze, double x, double size_m, const char *prefix,
                 const char *suffix, double value, const char *key)
{
    double across, up;

    cw_part__to_paper(gaze, x, 0, &across, &up);
    cw_drafting_circle(view, CW_DRAFTING_VISIBLE, across, up, size_m / 2);
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_NOTE, .x1_m = across, .y1_m = up, .x2_m = size_m / 2, .prefix = prefix, .suffix = suffix,
        .value = value, .key = key });
}

/* The pin's hole with its place and, where it is blind, its depth. */
static void pin_hole(const work *w, cw_drafting_view *view, cw_part__gaze gaze, double depth_m, const char *part,
                     double reach_m)
{
    const cw_arbor *a = w->arbor;
    const double side = gaze.from_start ? 1 : -1; /* of y, to the right */
    const cw_part__key diameter_key = cw_part__key_of(part, "pin"), place = cw_part__key_of(part, "pin_x"),
                       depth_key = cw_part__key_of(part, "pin_depth");
    char suffix[64];

    if (a->pin_m <= 0)
        return;
    if (depth_m > 0)
        snprintf(suffix, sizeof suffix, ", %s deep,\nfor the %.0f mm pin", told(w, depth_m).text, a->pin_m * 1e3);
    else
        snprintf(suffix, sizeof suffix, " through,\nfor the %.0f mm pin", a->pin_m * 1e3);
    hole(view, gaze, -a->pin_x_m, a->pin_m, DIAMETER, suffix, a->pin_m, diameter_key.text);
    if (depth_m > 0)
        cw_drafting_settles_too(view, depth_key.text, depth_m);
    cw_part__dimension(view, gaze, &(cw_part__size){ 0, side * reach_m, -a->pin_x_m, side * a->pin_m / 2,
                                                     .key = place.text, .grid_m = w->grid_m });
}

static void centre_cross(cw_drafting_view *view, cw_part__gaze gaze, double x, double y)
{
    double across, up;

    cw_part__to_paper(gaze, x, y, &across, &up);
    cw_drafting_centre_line(view, -fabs(across), 0, fabs(across), 0);
    cw_drafting_centre_line(view, 0, -fabs(up), 0, fabs(up));
}

static void stock_note(const work *w, page *p, cw_arbor_piece piece)
{
    cw_stock_size stock;

    cw_arbor_stock(w->arbor, piece, &stock);
    if (stock.bar)
        note(p, "From bar, " DIAMETER "%s " TIMES " %s at least.", told(w, stock.size_m[0]).text,
             told(w, stock.size_m[2]).text);
    else
        note(p, "From a block, %s " TIMES " %s " TIMES " %s at least.", told(w, stock.size_m[0]).text,
             told(w, stock.size_m[1]).text, told(w, stock.size_m[2]).text);
}

static void edges_note(const work *w, page *p)
{
    note(p, "Edges broken, %s.", w->setting->units == CW_INCH_UNITS ? ".008 to .020" : "0.2 to 0.5");
}

/* ---- spindle ----------------------------------------------------------------------------------------------------- */

static void spindle_lines(cw_drafting_view *view, const cw_arbor *a)
{
    const spindle s = spindle_of(a);
    const double deep = s.front - a->tapped_depth_m;

    spindle_outline(view, a, false, 0);
    cw_drafting_segment(view, CW_DRAFTING_VISIBLE, s.shoulder, -a->shank_m / 2, s.shoulder, a->shank_m / 2);
    for (int side = -1; side <= 1; side += 2) {
        const double drill = side * a->tap_drill_m / 2, thread = side * 0.5e-3 * a->screw;

        cw_drafting_segment(view, CW_DRAFTING_HIDDEN, deep, drill, s.front, drill);
        cw_drafting_segment(view, CW_DRAFTING_HIDDEN, deep, thread, s.front, thread);
    }
    cw_drafting_segment(view, CW_DRAFTING_HIDDEN, deep, -0.5e-3 * a->screw, deep, 0.5e-3 * a->screw);
    cw_drafting_centre_line(view, s.back, 0, s.front, 0);
    if (a->pin_m <= 0)
        return;
    rectangle(view, CW_DRAFTING_HIDDEN, s.front - a->pin_depth_m[0], -a->pin_x_m - a->pin_m / 2, s.front,
              -a->pin_x_m + a->pin_m / 2);
    cw_drafting_centre_line(view, s.front - a->pin_depth_m[0], -a->pin_x_m, s.front, -a->pin_x_m);
}

/* A thread seen from its end: the drilled hole wide, three quarters of a thin circle for the thread's root. */
static void tapped_hole(const work *w, cw_drafting_view *view, cw_part__gaze gaze)
{
    const cw_arbor *a = w->arbor;
    char words[CW_DRAFTING_WORDS_MOST];

    snprintf(words, sizeof words, "M%d " TIMES " %.4g, %.4g mm deep\ntap drill %.4g mm", a->screw,
             a->screw_pitch_m * 1e3, a->tapped_depth_m * 1e3, a->tap_drill_m * 1e3);
    hole(view, gaze, 0, a->tap_drill_m, words, NULL, NAN, NULL);
    cw_drafting_arc(view, CW_DRAFTING_THIN, 0, 0, 0.5e-3 * a->screw, 100, 370);
    cw_drafting_settles_too(view, "spindle.screw", 1e-3 * a->screw);
    cw_drafting_settles_too(view, "spindle.screw_pitch", a->screw_pitch_m);
    cw_drafting_settles_too(view, "spindle.tap_drill", a->tap_drill_m);
    cw_drafting_settles_too(view, "spindle.tapped_depth", a->tapped_depth_m);
}

static cw_status spindle_sheet(work *w, page *p, cw_error *error)
{
    const cw_arbor *a = w->arbor;
    const spindle s = spindle_of(a);
    const cw_part__gaze gaze = { false, false };
    cw_status status = CW_OK;
    cw_drafting_view *side = new_view(p, CW_DRAFTING_MAIN, NULL, &status, error);
    cw_drafting_view *end = new_view(p, cw_part__end_place(w->setting, false), NULL, &status, error);

    if (status != CW_OK)
        return status;
    spindle_lines(side, a);
    along(side, CW_DRAFTING_UNDER, s.back, s.shoulder, -a->shank_m / 2, 0, "spindle.shank_length");
    along(side, CW_DRAFTING_UNDER, s.shoulder, s.front, -a->collar_m / 2, 0, "spindle.collar_length");
    diameter(side, CW_DRAFTING_LEFT_OF, s.back, a->shank_m, 0, "spindle.shank");
    diameter(side, CW_DRAFTING_RIGHT_OF, s.front, a->collar_m, 0, "spindle.collar");
    cw_drafting_circle(end, CW_DRAFTING_VISIBLE, 0, 0, a->collar_m / 2);
    centre_cross(end, gaze, a->collar_m / 2, a->collar_m / 2);
    tapped_hole(w, end, gaze);
    pin_hole(w, end, gaze, a->pin_depth_m[0], "spindle.", a->collar_m / 2);
    p->part = "Winding arbor, spindle";
    p->material = "steel";
    stock_note(w, p, CW_ARBOR_SPINDLE);
    note(p, "The collar's front runs true to the shank within %s: turn both in one setting.",
         w->setting->units == CW_INCH_UNITS ? ".002" : "0.05");
    edges_note(w, p);
    return CW_OK;
}

/* ---- cheeks and plug --------------------------------------------------------------------------------------------- */

/* A part of one outline and one thickness. */
typedef struct plate {
    const cw_outline *outline;
    double thickness_m, thickness_deviation_m, lower_m; /* the outline may come out smaller by that */
    double pin_depth_m;                                 /* as deep as the part is thick: through; 0 none */
    int flange;                                         /* whose slots it has; -1 none */
    const char *part;                                   /* of its keys, "plug." */
} plate;

static void plate_outline(const work *w, cw_drafting_view *section, cw_drafting_view *face, cw_part__gaze gaze,
                          const plate *t)
{
    const double lower[2] = { t->lower_m, t->lower_m }, upper[2] = { 0, 0 };
    const cw_part__key round = cw_part__key_of(t->part, "outline.d"), name = cw_part__key_of(t->part, "outline"),
                       corner = cw_part__key_of(t->part, "outline.corner");

    cw_part__outline(face, gaze, CW_DRAFTING_VISIBLE, t->outline, w->arbor->slots, w->arbor->slot_count, t->flange);
    centre_cross(face, gaze, t->outline->size_m[0] / 2, t->outline->size_m[1] / 2);
    if (cw_part__is_round(t->outline)) {
        diameter(section, CW_DRAFTING_RIGHT_OF, t->thickness_m, t->outline->size_m[0], t->lower_m, round.text);
        return;
    }
    cw_part__outline_dimensions(face, gaze, t->outline, name.text, true, upper, lower);
    cw_part__corner_radius(face, gaze, t->outline, false, w->grid_m, corner.text);
}

static cw_status plate_views(work *w, page *p, const plate *t, cw_error *error)
{
    const cw_arbor *a = w->arbor;
    const cw_part__gaze gaze = { false, true };
    const cw_part__key thickness = cw_part__key_of(t->part, "thickness"), screw_hole = cw_part__key_of(t->part, "hole");
    const bool through = t->pin_depth_m >= t->thickness_m;
    cw_status status = CW_OK;
    cw_drafting_view *section = new_view(p, CW_DRAFTING_MAIN, NULL, &status, error);
    cw_drafting_view *face = new_view(p, cw_part__end_place(w->setting, true), NULL, &status, error);

    if (status != CW_OK)
        return status;
    cut_plate(section, 0, a, t->outline, 0, t->thickness_m, t->pin_depth_m);
    cw_drafting_centre_line(section, 0, 0, t->thickness_m, 0);
    along(section, CW_DRAFTING_UNDER, 0, t->thickness_m, -t->outline->size_m[0] / 2, t->thickness_deviation_m,
          thickness.text);
    plate_outline(w, section, face, gaze, t);
    cw_part__slots(face, gaze, CW_DRAFTING_VISIBLE, t->outline, a->slots, a->slot_count, t->flange);
    cw_part__slot_dimensions(face, gaze, t->outline, a->slots, a->slot_count, t->flange, w->grid_m, t->part);
    hole(face, gaze, 0, a->screw_hole_m, DIAMETER, " through", round(a->screw_hole_m / w->grid_m) * w->grid_m,
         screw_hole.text);
    if (t->pin_depth_m > 0)
        pin_hole(w, face, gaze, through ? 0 : t->pin_depth_m, t->part, t->outline->size_m[1] / 2);
    status = cw_part__slot_detail(face, gaze, t->outline, a->slots, a->slot_count, t->flange, w->grid_m, 'A',
                                  &p->views[p->view_count], error);
    p->view_count += p->views[p->view_count] != NULL;
    return status;
}

static cw_status cheek_sheet(work *w, page *p, bool far, cw_error *error)
{
    const cw_arbor *a = w->arbor;
    const plate t = { &a->cheek, a->cheek_m, 0, 0, far || a->pin_m <= 0 ? 0 : a->cheek_m, far ? 1 : 0,
                      far ? "far." : "start." };
    cw_status status = plate_views(w, p, &t, error);
    bool slotted = false;

    p->part = far ? "Winding arbor, far cheek" : "Winding arbor, start cheek";
    p->material = "aluminium or steel";
    stock_note(w, p, far ? CW_ARBOR_FAR_CHEEK : CW_ARBOR_START_CHEEK);
    note(p, "Seen as the former is seen from its start. Faces flat and square to the hole within %s.",
         w->setting->units == CW_INCH_UNITS ? ".002" : "0.05");
    for (int i = 0; i < a->slot_count; i++)
        slotted = slotted || a->slots[i].flange == t.flange;
    if (slotted)
        note(p, "Slots lie beside those of the former's %s flange: smooth, no burr.", far ? "far" : "start");
    edges_note(w, p);
    return status;
}

static cw_status plug_sheet(work *w, page *p, cw_error *error)
{
    const cw_arbor *a = w->arbor;
    const plate t = { &a->plug, a->plug_length_m, floor(a->pinch_m / 3 / 10e-6 + 1e-6) * 10e-6, -2 * a->fit_m,
                      a->pin_m > 0 ? a->pin_depth_m[1] : 0, -1, "plug." };
    cw_status status = plate_views(w, p, &t, error);

    p->part = "Winding arbor, plug";
    p->material = "aluminium or steel";
    stock_note(w, p, CW_ARBOR_PLUG);
    note(p, "Slides into the former's bore without play: try it.");
    note(p, "It must stay shorter than the former as made, %s over all, so that the cheeks clamp the flanges.",
         told(w, a->former_length_m).text);
    edges_note(w, p);
    return status;
}

/* ---- the whole --------------------------------------------------------------------------------------------------- */

static cw_status draw_pages(work *w, cw_error *error)
{
    cw_status status = assembly(w, &w->pages[0], error);

    if (status == CW_OK)
        status = spindle_sheet(w, &w->pages[1], error);
    if (status == CW_OK)
        status = cheek_sheet(w, &w->pages[2], false, error);
    if (status == CW_OK)
        status = plug_sheet(w, &w->pages[3], error);
    if (status == CW_OK)
        status = cheek_sheet(w, &w->pages[4], true, error);
    return status;
}

static cw_status compose(work *w, cw_drafting **drawing, cw_error *error)
{
    cw_drafting_sheet sheets[SHEETS];

    for (size_t i = 0; i < SHEETS; i++) {
        page *p = &w->pages[i];

        sheets[i] = (cw_drafting_sheet){ p->part, p->material, p->views, p->view_count, p->notes, p->note_count };
    }
    return cw_drafting_create(w->setting, sheets, SHEETS, drawing, error);
}

cw_status cw_arbor_drawing_create(const cw_arbor *arbor, const cw_former *former, const cw_drafting_setting *setting,
                                  cw_drafting **drawing, cw_error *error)
{
    work *w = cw_allocate(1, sizeof *w);
    cw_status status;

    *drawing = NULL;
    if (w == NULL)
        return cw_no_memory(error);
    w->arbor = arbor;
    w->former = former;
    w->setting = setting;
    w->grid_m = cw_part__grid(setting->units);
    status = draw_pages(w, error);
    if (status == CW_OK)
        status = compose(w, drawing, error);
    for (size_t i = 0; i < SHEETS; i++)
        for (size_t v = 0; v < w->pages[i].view_count; v++)
            cw_drafting_view_destroy(&w->pages[i].views[v]);
    cw_free(w);
    return status;
}
