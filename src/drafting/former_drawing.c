/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The former's drawing.
 *
 *   A-A   section along the axis: bore, tube, flanges, lengths, fillet
 *   ends  from the start: slots and pins of the start flange
 *   B-B.. through a room for wire, looking at the flange behind it: tube and corners where they are not round, tape
 *         recesses, slots of that flange
 *
 * Sizes that follow from others are left out, or stand in brackets. A size that must fit has its deviation to the side
 * that fits, as wide as the general one would be: a bore may only come out larger, a flange in its cavity only
 * smaller. */
#include "drafting/part_views.h"

#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define TIMES "\xC3\x97"
#define DIAMETER "\xC3\x98"
#define VIEWS_MOST 12
#define ONE_SHEET_SCALE 0.49 /* below, a second sheet is tried */
#define OWN_PAPER_SCALE 0.249 /* below, a larger paper */
#define FIT_STEP_M 0.05e-3
#define NOTES_MOST 10
#define NOTE_BYTES 240

typedef struct work {
    const cw_former *former;
    const cw_drafting_setting *setting;
    double grid_m;
    cw_drafting_view *views[VIEWS_MOST];
    int flange_seen[VIEWS_MOST]; /* by views along the axis */
    bool across[VIEWS_MOST];     /* a section across, or a detail of one */
    size_t view_count;
    char note_bytes[NOTES_MOST][NOTE_BYTES];
    const char *notes[NOTES_MOST];
    size_t note_count;
} work;

static cw_part__gaze seen_from_start(const cw_former *former)
{
    return (cw_part__gaze){ former->split, true };
}

/* Permitted deviations of a fit: the width of the general tolerance, and no less than the process gives; in steps. */
static double fit_width(const work *w, double size_m)
{
    const cw_former *f = w->former;
    double half = cw_drafting_deviation(w->setting->general_class, size_m);

    half = isfinite(half) ? half : 0;
    return floor(2 * fmax(half, fmax(f->tolerance_m, f->tolerance_share * size_m)) / FIT_STEP_M + 1e-6) * FIT_STEP_M;
}

static cw_drafting_view *new_view(work *w, cw_drafting_place place, const char *title, cw_status *status,
                                  cw_error *error)
{
    if (*status == CW_OK)
        *status = cw_drafting_view_create(place, title, &w->views[w->view_count], error);
    return *status == CW_OK ? w->views[w->view_count++] : NULL;
}

/* As near as slots, pins and recesses are told. */
static double on_grid(const work *w, double size_m)
{
    return round(size_m / w->grid_m) * w->grid_m;
}

/* ---- section along the axis -------------------------------------------------------------------------------------- */

/* Whether a slot's middle plane is the cutting plane, so that the flange is cut down to the slot's floor. */
static double flange_height(const cw_former *f, int flange, double side)
{
    const int up = f->split ? 1 : 0;
    double height = f->flange.size_m[up] / 2;

    for (int i = 0; !f->split && side > 0 && i < f->slot_count; i++)
        if (f->slots[i].flange == flange && fabs(f->slots[i].y_m) < f->slots[i].width_m / 2)
            height = fmin(height, f->slots[i].floor_m);
    return height;
}

/* Depth of a tape recess in the cutting plane on that side; 0 none. */
static double recess(const cw_former *f, double side)
{
    for (int i = 0; f->split && i < f->tape_count; i++)
        if (f->tapes[i].side == side && fabs(f->tapes[i].x_m) < f->tape_m / 2)
            return f->tape_depth_m;
    return 0;
}

enum { PROFILE_MOST = 6 + 8 * CW_FORMER_SECTIONS_MOST };

static void corner(cw_drafting_corner *profile, size_t *count, double z, double height, double bulge)
{
    profile[(*count)++] = (cw_drafting_corner){ z, height, bulge };
}

/* The cut face on one side of the axis: along the bore to the far end, back over flanges and tube. */
static size_t profile(const cw_former *f, double side, cw_drafting_corner *c)
{
    const int up = f->split ? 1 : 0;
    const double cut = recess(f, side), r = cut > 0 ? 0 : f->fillet_m, tube = f->tube.size_m[up] / 2 - cut;
    const double bulge = r > 0 ? -CW_DRAFTING_QUARTER : 0;
    size_t count = 0;

    corner(c, &count, 0, f->bore.size_m[up] / 2, 0);
    corner(c, &count, f->length_m, f->bore.size_m[up] / 2, 0);
    corner(c, &count, f->length_m, flange_height(f, f->sections, side), 0);
    for (int flange = f->sections; flange > 0; flange--) {
        double right = cw_former_flange_at(f, flange) + cut;
        double left = cw_former_flange_at(f, flange - 1) + cw_former_flange_thickness(f, flange - 1) - cut;

        corner(c, &count, right, flange_height(f, flange, side), 0);
        corner(c, &count, right, tube + r, bulge);
        if (r > 0)
            corner(c, &count, right - r, tube, 0);
        if (r > 0)
            corner(c, &count, left + r, tube, bulge);
        corner(c, &count, left, tube + r, 0);
        corner(c, &count, left, flange_height(f, flange - 1, side), 0);
    }
    corner(c, &count, 0, flange_height(f, 0, side), 0);
    for (size_t i = 0; side < 0 && i < count; i++) {
        c[i].y_m = -c[i].y_m;
        c[i].bulge = -c[i].bulge;
    }
    return count;
}

void cw_part__former_section(cw_drafting_view *view, const cw_former *f, int part)
{
    const int up = f->split ? 1 : 0;
    cw_drafting_corner corners[PROFILE_MOST];
    const double bore = f->bore.size_m[up] / 2;

    for (int side = 1; side >= -1; side -= 2) {
        size_t count = profile(f, side, corners);

        cw_drafting_path(view, CW_DRAFTING_VISIBLE, corners, count, true);
        cw_drafting_hatch(view, part, corners, count);
    }
    cw_drafting_segment(view, CW_DRAFTING_VISIBLE, 0, -bore, 0, bore);
    cw_drafting_segment(view, CW_DRAFTING_VISIBLE, f->length_m, -bore, f->length_m, bore);
}

static void along(cw_drafting_view *view, cw_drafting_side side, double z1, double z2, double height,
                  const char *prefix, const char *suffix, double upper_m, const char *key)
{
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_LINEAR, .side = side, .x1_m = z1, .y1_m = height, .x2_m = z2, .y2_m = height,
        .prefix = prefix, .suffix = suffix, .value = fabs(z2 - z1), .upper_m = upper_m, .key = key });
}

static void length_dimensions(const work *w, cw_drafting_view *view)
{
    const cw_former *f = w->former;
    const double rim = f->flange.size_m[f->split ? 1 : 0] / 2, end = f->flange_m + f->section_m;
    char prefix[16] = "";

    if (f->sections > 1)
        snprintf(prefix, sizeof prefix, "%d" TIMES " ", f->sections);
    along(view, CW_DRAFTING_OVER, f->flange_m, end, rim, prefix, NULL, fit_width(w, f->section_m), "section");
    along(view, CW_DRAFTING_OVER, 0, f->flange_m, rim, "2" TIMES " ", NULL, 0, "flange");
    if (f->sections > 1) {
        snprintf(prefix, sizeof prefix, f->sections > 2 ? "%d" TIMES " " : "", f->sections - 1);
        along(view, CW_DRAFTING_OVER, end, end + f->middle_m, rim, prefix, NULL, 0, "middle");
    }
    along(view, CW_DRAFTING_UNDER, 0, f->length_m, -rim, "(", ")", 0, NULL);
}

static void upright(cw_drafting_view *view, cw_drafting_side side, double z, double size_m, const char *prefix,
                    double upper_m, double lower_m, const char *key)
{
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_LINEAR, .side = side, .x1_m = z, .y1_m = -size_m / 2, .x2_m = z, .y2_m = size_m / 2,
        .prefix = prefix, .value = size_m, .upper_m = upper_m, .lower_m = lower_m, .key = key });
}

/* Round sizes are told in the section, as they are turned there. */
static void round_dimensions(const work *w, cw_drafting_view *view)
{
    const cw_former *f = w->former;
    const double flange = f->flange.size_m[0], cavity = isfinite(f->clearance_cavity_m) ? fit_width(w, flange) : 0;

    upright(view, CW_DRAFTING_LEFT_OF, 0, f->bore.size_m[0], DIAMETER, fit_width(w, f->bore.size_m[0]), 0, "bore.d");
    upright(view, CW_DRAFTING_RIGHT_OF, f->length_m, flange, DIAMETER, 0, -cavity, "flange.d");
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_LINEAR, .side = CW_DRAFTING_RIGHT_OF, .y1_m = -f->tube.size_m[0] / 2,
        .y2_m = f->tube.size_m[0] / 2, .prefix = DIAMETER, .value = f->tube.size_m[0], .key = "tube.d",
        .within_from_m = f->flange_m + 0.15 * f->section_m, .within_to_m = f->flange_m + 0.85 * f->section_m });
}

static void fillet_dimension(const cw_former *f, cw_drafting_view *view)
{
    const double tube = f->tube.size_m[f->split ? 1 : 0] / 2;

    if (f->fillet_m <= 0)
        return;
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_RADIUS, .x1_m = f->flange_m + f->fillet_m, .y1_m = -tube - f->fillet_m, .x2_m = f->fillet_m,
        .from_degrees = 90, .to_degrees = 180, .from_inside = true, .prefix = "R", .value = f->fillet_m,
        .suffix = " where tube\nand flanges meet", .key = "fillet" });
}

static cw_status section_view(work *w, cw_error *error)
{
    const cw_former *f = w->former;
    cw_status status = CW_OK;
    cw_drafting_view *view = new_view(w, CW_DRAFTING_MAIN, "A\xE2\x80\x93""A", &status, error);

    if (status != CW_OK)
        return status;
    cw_part__former_section(view, f, 0);
    cw_drafting_centre_line(view, 0, 0, f->length_m, 0);
    length_dimensions(w, view);
    if (f->shape == CW_ROUND)
        round_dimensions(w, view);
    fillet_dimension(f, view);
    return CW_OK;
}

/* ---- views along the axis ---------------------------------------------------------------------------------------- */

static void pin_positions(const work *w, cw_drafting_view *view, cw_part__gaze gaze)
{
    const cw_former *f = w->former;
    const double side = gaze.y_up || !gaze.from_start ? -1 : 1; /* of y, to the right or under */
    bool told_x[CW_FORMER_PINS_MOST] = { false }, told_y[CW_FORMER_PINS_MOST] = { false };

    for (int i = 0; i < f->pin_count; i++) {
        const cw_former_pin *pin = &f->pins[i];
        cw_part__key x = { "" }, y = { "" };

        for (int k = i; k < f->pin_count; k++) {
            size_t used_x = strlen(x.text), used_y = strlen(y.text);

            if (!told_x[i] && fabs(f->pins[k].x_m - pin->x_m) < 1e-7)
                snprintf(x.text + used_x, sizeof x.text - used_x, "%spin%d.x", used_x > 0 ? " " : "", k);
            if (!told_y[i] && fabs(fabs(f->pins[k].y_m) - fabs(pin->y_m)) < 1e-7)
                snprintf(y.text + used_y, sizeof y.text - used_y, "%spin%d.apart", used_y > 0 ? " " : "", k);
        }
        if (!told_x[i])
            cw_part__dimension(view, gaze, &(cw_part__size){ 0, side * f->flange.size_m[1] / 2, pin->x_m,
                                                             side * fabs(pin->y_m), .key = x.text,
                                                             .grid_m = w->grid_m });
        if (!told_y[i])
            cw_part__dimension(view, gaze, &(cw_part__size){ pin->x_m, -pin->y_m, pin->x_m, pin->y_m, .along_y = true,
                                                             .key = y.text, .grid_m = w->grid_m });
        for (int k = i; k < f->pin_count; k++) {
            told_x[k] = told_x[k] || fabs(f->pins[k].x_m - pin->x_m) < 1e-7;
            told_y[k] = told_y[k] || fabs(fabs(f->pins[k].y_m) - fabs(pin->y_m)) < 1e-7;
        }
    }
}

static void pins(const work *w, cw_drafting_view *view, cw_part__gaze gaze)
{
    const cw_former *f = w->former;
    char prefix[16], suffix[48], depth[24];
    double across = 0, up = 0;

    if (f->pin_count == 0)
        return;
    for (int i = 0; i < f->pin_count; i++) {
        cw_part__to_paper(gaze, f->pins[i].x_m, f->pins[i].y_m, &across, &up);
        cw_drafting_circle(view, CW_DRAFTING_VISIBLE, across, up, f->pins[i].diameter_m / 2);
        cw_drafting_centre_mark(view, across, up, f->pins[i].diameter_m / 2);
    }
    snprintf(prefix, sizeof prefix, "%d" TIMES " " DIAMETER, f->pin_count);
    cw_drafting_number(on_grid(w, f->pins[0].depth_m), w->setting->units, depth, sizeof depth);
    snprintf(suffix, sizeof suffix, "\n%s deep", depth);
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_NOTE, .x1_m = across, .y1_m = up, .prefix = prefix, .suffix = suffix,
        .value = on_grid(w, f->pins[0].diameter_m), .key = "pins.diameter" });
    cw_drafting_settles_too(view, "pins.depth", f->pins[0].depth_m);
    pin_positions(w, view, gaze);
}

/* The plane of the section, its arrows looking the way the section does: to the left as seen from the start. */
static void cutting_plane(const cw_former *f, cw_drafting_view *view)
{
    const double reach = f->flange.size_m[f->split ? 1 : 0] / 2;

    cw_drafting_cut(view, 0, reach, 0, -reach, -1, 0, "A");
}

static void parting(const work *w, cw_drafting_view *view, cw_part__gaze gaze)
{
    const cw_former *f = w->former;
    double across, up;

    if (!f->split)
        return;
    for (int side = -1; side <= 1; side += 2) {
        double x1, y1, x2, y2;

        cw_part__to_paper(gaze, side * f->bore.size_m[0] / 2, 0, &x1, &y1);
        cw_part__to_paper(gaze, side * f->flange.size_m[0] / 2, 0, &x2, &y2);
        cw_drafting_segment(view, CW_DRAFTING_VISIBLE, x1, y1, x2, y2);
    }
    cw_part__to_paper(gaze, -(f->bore.size_m[0] + f->flange.size_m[0]) / 4, 0, &across, &up);
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_NOTE, .x1_m = across, .y1_m = up, .value = f->split_gap_m > 0 ? f->split_gap_m : NAN,
        .prefix = f->split_gap_m > 0 ? "parted here,\ngap " : "parted here" });
    cw_drafting_settles_too(view, "split_gap", f->split_gap_m);
}

static cw_status start_view(work *w, cw_error *error)
{
    const cw_former *f = w->former;
    const cw_part__gaze gaze = seen_from_start(f);
    const double rim = f->flange.size_m[f->split ? 1 : 0] / 2, wide = f->flange.size_m[f->split ? 0 : 1] / 2;
    cw_status status = CW_OK;
    cw_drafting_view *view = new_view(w, cw_part__end_place(w->setting, true), NULL, &status, error);
    double upper[2] = { 0, 0 }, lower[2] = { 0, 0 };

    if (status != CW_OK)
        return status;
    cw_part__outline(view, gaze, CW_DRAFTING_VISIBLE, &f->flange, f->slots, f->slot_count, 0);
    cw_part__slots(view, gaze, CW_DRAFTING_VISIBLE, &f->flange, f->slots, f->slot_count, 0);
    cw_part__outline(view, gaze, CW_DRAFTING_VISIBLE, &f->bore, NULL, 0, 0);
    cw_part__outline(view, gaze, CW_DRAFTING_HIDDEN, &f->tube, NULL, 0, 0);
    cw_part__slot_dimensions(view, gaze, &f->flange, f->slots, f->slot_count, 0, w->grid_m, "");
    cw_drafting_centre_line(view, -wide, 0, wide, 0);
    cw_drafting_centre_line(view, 0, -rim, 0, rim);
    pins(w, view, gaze);
    parting(w, view, gaze);
    cutting_plane(f, view);
    if (f->shape == CW_ROUND)
        return CW_OK;
    for (int i = 0; i < 2; i++)
        lower[i] = isfinite(f->clearance_cavity_m) ? -fit_width(w, f->flange.size_m[i]) : 0;
    cw_part__outline_dimensions(view, gaze, &f->flange, "flange", true, upper, lower);
    cw_part__corner_radius(view, gaze, &f->flange, false, w->grid_m, "flange.corner");
    return CW_OK;
}

/* ---- sections across --------------------------------------------------------------------------------------------- */

/* The tube's outline with its recesses, corner by corner counter-clockwise as the part has it: the +y half from the
 * +x side to the other, and the same turned round for the other half, as recesses stand in pairs across the axis. */
static size_t recessed_half(const cw_former *f, cw_drafting_corner *c)
{
    const double x = f->tube.size_m[0] / 2, y = f->tube.size_m[1] / 2, r = f->tube.corner_m, half = f->tape_m / 2;
    const bool round = f->shape == CW_ROUND;
    const double quarter = r > 0 ? CW_DRAFTING_QUARTER : 0, arc = tan(acos(half / y) / 4), inner = y - f->tape_depth_m;
    const double top = round ? sqrt(y * y - half * half) : y;
    const double floor = round ? sqrt(inner * inner - half * half) : inner;
    size_t count = 0;

    corner(c, &count, x, round ? 0 : y - r, round ? arc : quarter);
    if (!round)
        corner(c, &count, x - r, y, 0);
    for (int i = f->tape_count - 1; i >= 0; i--) {
        if (f->tapes[i].side < 0)
            continue;
        corner(c, &count, f->tapes[i].x_m + half, top, 0);
        corner(c, &count, f->tapes[i].x_m + half, floor, round ? tan(asin(half / inner) / 2) : 0);
        corner(c, &count, f->tapes[i].x_m - half, floor, 0);
        corner(c, &count, f->tapes[i].x_m - half, top, round ? arc : 0);
    }
    if (!round)
        corner(c, &count, r - x, y, quarter);
    corner(c, &count, -x, round ? 0 : y - r, 0);
    return count;
}

enum { RECESSED_MOST = 2 * 12 };

static void recessed_tube(const cw_former *f, cw_drafting_view *view, cw_part__gaze gaze)
{
    cw_drafting_corner corners[RECESSED_MOST];
    const size_t half = recessed_half(f, corners);

    for (size_t i = 0; i < half; i++)
        corners[half + i] = (cw_drafting_corner){ -corners[i].x_m, -corners[i].y_m, corners[i].bulge };
    cw_part__closed(view, gaze, CW_DRAFTING_VISIBLE, 0, corners, 2 * half);
}

/* The sides of a recess in the flange behind. */
static void tape_lines(const cw_former *f, cw_drafting_view *view, cw_part__gaze gaze, const cw_former_tape *tape)
{
    /* y as a function of x is the reach of the outline turned by a right angle */
    const cw_outline turned = { { f->flange.size_m[1], f->flange.size_m[0] }, f->flange.corner_m };
    const cw_outline tube = { { f->tube.size_m[1], f->tube.size_m[0] }, f->tube.corner_m };

    for (int end = -1; end <= 1; end += 2) {
        double x = tape->x_m + end * f->tape_m / 2, x1, y1, x2, y2;

        cw_part__to_paper(gaze, x, tape->side * cw_outline_reach(&tube, x), &x1, &y1);
        cw_part__to_paper(gaze, x, tape->side * cw_outline_reach(&turned, x), &x2, &y2);
        cw_drafting_segment(view, CW_DRAFTING_VISIBLE, x1, y1, x2, y2);
    }
}

static void tape_dimensions(const work *w, cw_drafting_view *view, cw_part__gaze gaze)
{
    const cw_former *f = w->former;
    const cw_former_tape *tape = &f->tapes[0];
    const double outer = f->tube.size_m[1] / 2;
    cw_part__key apart = { "" };
    char suffix[80], depth[24];
    double across, up;

    for (int i = 0; i < f->tape_count; i++) {
        size_t used = strlen(apart.text);

        snprintf(apart.text + used, sizeof apart.text - used, "%stape%d.apart", used > 0 ? " " : "", i);
    }
    if (fabs(tape->x_m) > 1e-7)
        cw_part__dimension(view, gaze, &(cw_part__size){ -tape->x_m, tape->side * outer, tape->x_m, tape->side * outer,
                                                         .key = apart.text, .grid_m = w->grid_m });
    else
        cw_drafting_settles_too(view, apart.text, 0);
    cw_part__to_paper(gaze, tape->x_m, tape->side * (outer - f->tape_depth_m), &across, &up);
    cw_drafting_number(on_grid(w, f->tape_depth_m), w->setting->units, depth, sizeof depth);
    snprintf(suffix, sizeof suffix, " wide,\n%s deep in tube\nand flanges", depth);
    cw_drafting_dimension_add(view, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_NOTE, .x1_m = across, .y1_m = up, .value = on_grid(w, f->tape_m), .suffix = suffix,
        .prefix = f->tape_count > 2 ? "4" TIMES " recess " : "2" TIMES " recess ", .key = "tape.width" });
    cw_drafting_settles_too(view, "tape.depth", f->tape_depth_m);
}

/* The tube's sizes stand on one side, the bore's on the other. */
static void ring_dimensions(const work *w, cw_drafting_view *view, cw_part__gaze gaze)
{
    const cw_former *f = w->former;
    double none[2] = { 0, 0 }, upper[2] = { fit_width(w, f->bore.size_m[0]), fit_width(w, f->bore.size_m[1]) };

    cw_part__outline_dimensions(view, gaze, &f->tube, "tube", true, none, none);
    cw_part__outline_dimensions(view, gaze, &f->bore, "bore", false, upper, none);
    cw_part__corner_radius(view, gaze, &f->tube, false, w->grid_m, "tube.corner");
    cw_part__corner_radius(view, gaze, &f->bore, true, w->grid_m, "bore.corner");
}

static bool slots_of(const cw_former *f, int flange)
{
    for (int i = 0; i < f->slot_count; i++)
        if (f->slots[i].flange == flange)
            return true;
    return false;
}

static int twin(const cw_former *f, int slot, int flange)
{
    for (int i = 0; i < f->slot_count; i++)
        if (f->slots[i].flange == flange && fabs(f->slots[i].y_m - f->slots[slot].y_m) < 1e-7 &&
            fabs(f->slots[i].width_m - f->slots[slot].width_m) < 1e-7 &&
            fabs(f->slots[i].floor_m - f->slots[slot].floor_m) < 1e-7)
            return i;
    return -1;
}

/* Whether a middle flange has the slots of the first one, each of them once. */
static bool like_the_first(const cw_former *f, int flange)
{
    int own = 0, firsts = 0, twins = 0;

    for (int i = 0; i < f->slot_count; i++) {
        own += f->slots[i].flange == flange;
        firsts += f->slots[i].flange == 1;
        twins += f->slots[i].flange == 1 && twin(f, i, flange) >= 0;
    }
    return flange > 1 && flange < f->sections && own == firsts && twins == firsts;
}

/* The sizes of such a flange are told at the first. */
static void settle_like_the_first(const cw_former *f, cw_drafting_view *view, int flange)
{
    char key[CW_DRAFTING_KEY_MOST];

    for (int i = 0; i < f->slot_count; i++) {
        const cw_former_slot *slot = &f->slots[i];
        bool mirrored = false;

        if (slot->flange != flange)
            continue;
        for (int k = 0; k < f->slot_count; k++)
            mirrored = mirrored || (k != i && f->slots[k].flange == flange && fabs(f->slots[k].y_m + slot->y_m) < 1e-7);
        snprintf(key, sizeof key, "slot%d.width", i);
        cw_drafting_settles_too(view, key, slot->width_m);
        snprintf(key, sizeof key, "slot%d.floor", i);
        cw_drafting_settles_too(view, key, slot->floor_m);
        snprintf(key, sizeof key, mirrored ? "slot%d.apart" : "slot%d.y", i);
        cw_drafting_settles_too(view, key, fabs(slot->y_m) * (mirrored ? 2 : 1));
    }
}

/* Section number `index` (0: the first room), looking at the flange behind it; letters go on from B. */
static cw_status across_view(work *w, int index, bool ring, char letter, cw_error *error)
{
    const cw_former *f = w->former;
    const cw_part__gaze gaze = seen_from_start(f);
    const double z = f->flange_m + index * (f->section_m + f->middle_m) + f->section_m / 2;
    const double rim = f->flange.size_m[f->split ? 1 : 0] / 2, wide = f->flange.size_m[f->split ? 0 : 1] / 2;
    char title[16], name[2] = { letter, '\0' };
    cw_status status = CW_OK;
    cw_drafting_view *view;

    snprintf(title, sizeof title, "%c\xE2\x80\x93%c", letter, letter);
    view = new_view(w, CW_DRAFTING_FREE, title, &status, error);
    if (status != CW_OK)
        return status;
    w->flange_seen[w->view_count - 1] = index + 1;
    w->across[w->view_count - 1] = true;
    cw_drafting_cut(w->views[0], z, rim, z, -rim, 1, 0, name);
    cw_part__outline(view, gaze, CW_DRAFTING_VISIBLE, &f->flange, f->slots, f->slot_count, index + 1);
    cw_part__slots(view, gaze, CW_DRAFTING_VISIBLE, &f->flange, f->slots, f->slot_count, index + 1);
    cw_part__outline(view, gaze, CW_DRAFTING_VISIBLE, &f->bore, NULL, 0, 0);
    cw_part__hatch(view, gaze, 0, &f->bore);
    if (f->tape_count > 0) {
        recessed_tube(f, view, gaze);
    } else {
        cw_part__outline(view, gaze, CW_DRAFTING_VISIBLE, &f->tube, NULL, 0, 0);
        cw_part__hatch(view, gaze, 0, &f->tube);
    }
    cw_part__slot_dimensions(view, gaze, &f->flange, f->slots, f->slot_count, index + 1, w->grid_m, "");
    cw_drafting_centre_line(view, -wide, 0, wide, 0);
    cw_drafting_centre_line(view, 0, -rim, 0, rim);
    for (int i = 0; i < f->tape_count; i++)
        tape_lines(f, view, gaze, &f->tapes[i]);
    if (ring && f->tape_count > 0)
        tape_dimensions(w, view, gaze);
    if (ring && f->shape != CW_ROUND)
        ring_dimensions(w, view, gaze);
    return CW_OK;
}

/* A detail of the slots that a view shows, for small scales. */
static cw_status detail_view(work *w, size_t of, char *letter, cw_error *error)
{
    const cw_former *f = w->former;
    cw_status status = cw_part__slot_detail(w->views[of], seen_from_start(f), &f->flange, f->slots, f->slot_count,
                                            w->flange_seen[of], w->grid_m, *letter, &w->views[w->view_count], error);

    if (w->views[w->view_count] != NULL) {
        w->across[w->view_count++] = w->across[of];
        ++*letter;
    }
    return status;
}

/* Only what shows something new. */
static cw_status across_views(work *w, char *letter, cw_error *error)
{
    const cw_former *f = w->former;
    cw_status status = CW_OK;

    for (int i = 0; status == CW_OK && i < f->sections; i++) {
        bool ring = i == 0 && (f->shape != CW_ROUND || f->tape_count > 0);

        if (like_the_first(f, i + 1))
            settle_like_the_first(f, w->views[w->view_count - 1], i + 1);
        else if (ring || slots_of(f, i + 1))
            status = across_view(w, i, ring, (*letter)++, error);
    }
    return status;
}

/* Of the start flange, and of every flange that a section across looks at. */
static cw_status details(work *w, char *letter, cw_error *error)
{
    const size_t views = w->view_count;
    cw_status status = CW_OK;

    for (size_t i = 1; status == CW_OK && i < views; i++)
        status = detail_view(w, i, letter, error);
    return status;
}

/* ---- notes ------------------------------------------------------------------------------------------------------- */

static void note(work *w, const char *format, ...) CW_PRINTF(2, 3);

static void note(work *w, const char *format, ...)
{
    va_list arguments;

    assert(w->note_count < NOTES_MOST);
    va_start(arguments, format);
    vsnprintf(w->note_bytes[w->note_count], NOTE_BYTES, format, arguments);
    va_end(arguments);
    w->notes[w->note_count] = w->note_bytes[w->note_count];
    w->note_count++;
}

static void stock_note(work *w)
{
    cw_stock_size stock;
    char size[3][24];

    cw_former_stock(w->former, &stock);
    for (int i = 0; i < 3; i++)
        cw_drafting_number(stock.size_m[i], w->setting->units, size[i], sizeof size[i]);
    if (stock.bar)
        note(w, "%s from bar, " DIAMETER "%s " TIMES " %s at least.", w->former->making == CW_TURNED ? "Turned" : "Cut",
             size[0], size[2]);
    else
        note(w, "%s from a block, %s " TIMES " %s " TIMES " %s at least.",
             w->former->making == CW_TURNED ? "Turned" : "Milled", size[0], size[1], size[2]);
}

static void making_note(work *w)
{
    static const char *const ways[CW_MAKING_COUNT] = { [CW_FILAMENT] = "Printed from filament.",
                                                       [CW_POWDER] = "Printed from powder.",
                                                       [CW_RESIN] = "Printed from resin." };
    const cw_former *f = w->former;
    char growth[24];

    if (!cw_making_prints(f->making)) {
        stock_note(w);
        return;
    }
    cw_drafting_number(f->hole_growth_m, w->setting->units, growth, sizeof growth);
    if (f->shrink > 0 || f->hole_growth_m > 0)
        note(w, "%s Sizes are those of the finished part; the files for the printer allow for %.2g %% shrinkage and %s "
                "on holes.", ways[f->making], 100 * f->shrink, growth);
    else
        note(w, "%s Sizes are those of the finished part; whoever prints it allows for shrinkage.", ways[f->making]);
}

static void write_notes(work *w)
{
    const cw_former *f = w->former;
    const bool inch = w->setting->units == CW_INCH_UNITS;
    char clearance[24];

    making_note(w);
    if (isfinite(f->clearance_core_m)) {
        cw_drafting_number(f->clearance_core_m, w->setting->units, clearance, sizeof clearance);
        note(w, "The bore clears its core by %s on each side: try it on the core.", clearance);
    }
    note(w, "Where wire passes (rims, slots, tube): smooth, no burr, edges R%s at least.", inch ? ".020" : "0.5");
    note(w, "Other edges broken, %s.", inch ? ".008 to .020" : "0.2 to 0.5");
    if (f->shape == CW_OBROUND)
        note(w, "Ends of bore, tube and flanges are full radii.");
    if (f->sections > 2 && like_the_first(f, 2))
        note(w, "Middle flanges alike.");
    if (f->split)
        note(w, "Two halves; clamped together on the core, or on the arbor, for winding.");
}

/* All on one sheet, or with what is seen across on a second one. */
static cw_status compose(work *w, bool two, bool keep_paper, cw_drafting **drawing, cw_error *error)
{
    cw_drafting_setting setting = *w->setting;
    static const char *const see_first[] = { "Notes on sheet 1." };
    cw_drafting_view *views[2][VIEWS_MOST];
    cw_drafting_sheet sheets[2] = {
        { .part = "Winding former", .material = w->former->material, .views = views[0], .notes = w->notes,
          .note_count = w->note_count },
        { .part = "Winding former, sections across", .material = w->former->material, .views = views[1],
          .notes = see_first, .note_count = 1 },
    };

    for (size_t i = 0; i < w->view_count; i++) {
        const int sheet = two && w->across[i] ? 1 : 0;

        if (w->across[i])
            cw_drafting_view_move(w->views[i], sheet == 1 && sheets[1].view_count == 0 ? CW_DRAFTING_MAIN
                                                                                       : CW_DRAFTING_FREE);
        views[sheet][sheets[sheet].view_count++] = w->views[i];
    }
    setting.keep_paper = setting.keep_paper || keep_paper;
    return cw_drafting_create(&setting, sheets, two ? 2 : 1, drawing, error);
}

/* Takes what is drawn larger; the other one goes. */
static void take_better(cw_drafting **best, cw_drafting **other)
{
    if (*other != NULL && (*best == NULL || cw_drafting_scale(*other, 0) > cw_drafting_scale(*best, 0))) {
        cw_drafting *kept = *other;

        *other = *best;
        *best = kept;
    }
    cw_drafting_destroy(other);
}

static bool large_enough(const cw_drafting *drawing, double scale)
{
    return drawing != NULL && cw_drafting_scale(drawing, 0) >= scale;
}

/* One sheet; a second one where that makes everything too small; a larger paper where even two do. */
static cw_status compose_best(work *w, cw_drafting **drawing, cw_error *error)
{
    cw_drafting *other = NULL;
    cw_status status = compose(w, false, true, drawing, error);
    bool across = false;

    for (size_t i = 0; i < w->view_count; i++)
        across = across || w->across[i];
    for (int tries = 0; tries < 3; tries++) {
        const bool two = tries != 1, keep = tries == 0;

        if ((status != CW_OK && status != CW_BAD_INPUT) ||
            large_enough(*drawing, keep ? ONE_SHEET_SCALE : OWN_PAPER_SCALE))
            break;
        if (two && !across)
            continue;
        status = compose(w, two, keep, &other, error);
        take_better(drawing, &other);
    }
    if (status != CW_OK && status != CW_BAD_INPUT)
        cw_drafting_destroy(drawing);
    return status == CW_BAD_INPUT && *drawing != NULL ? CW_OK : status;
}

cw_status cw_former_drawing_create(const cw_former *former, const cw_drafting_setting *setting, cw_drafting **drawing,
                                   cw_error *error)
{
    work *w = cw_allocate(1, sizeof *w);
    char letter = 'B';
    cw_status status;

    assert(!former->compensated);
    *drawing = NULL;
    if (w == NULL)
        return cw_no_memory(error);
    w->former = former;
    w->setting = setting;
    w->grid_m = cw_part__grid(setting->units);
    write_notes(w);
    status = section_view(w, error);
    if (status == CW_OK)
        status = start_view(w, error);
    if (status == CW_OK)
        status = across_views(w, &letter, error);
    if (status == CW_OK)
        status = details(w, &letter, error);
    if (status == CW_OK)
        status = compose_best(w, drawing, error);
    for (size_t i = 0; i < w->view_count; i++)
        cw_drafting_view_destroy(&w->views[i]);
    cw_free(w);
    return status;
}
