/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The arbor for a finished former. */
#include "former/former_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

void cw_arbor_plan_init(cw_arbor_plan *plan)
{
    *plan = (cw_arbor_plan){ NAN, NAN, NAN, NAN, NAN, NAN };
}

const char *cw_arbor_piece_name(cw_arbor_piece piece)
{
    static const char *const names[CW_ARBOR_PIECE_COUNT] = { "spindle", "start cheek", "plug", "far cheek" };

    return names[piece];
}

static double or_else(double given, double usual)
{
    return isnan(given) ? usual : given;
}

static const char *mm(double metres, char text[32])
{
    snprintf(text, 32, "%.4g mm", 1e3 * metres);
    return text;
}

/* ---- screw ----------------------------------------------------------------------------------------------------- */

/* The largest whose hole leaves two thirds of the plug, and whose thread leaves half of the shank. */
static cw_status take_screw(const cw_arbor_plan *plan, const cw_place *at, cw_arbor *a, cw_error *error)
{
    enum { SCREWS = 16 };
    cw_former__screw screws[SCREWS];
    const size_t count = cw_former__screws(screws, SCREWS);
    const double plug = fmin(a->plug.size_m[0], a->plug.size_m[1]);
    char text[2][32];
    size_t chosen = count;

    for (size_t i = 0; i < count; i++) {
        const bool fits = screws[i].hole_m <= plug / 2 && 1e-3 * screws[i].size <= a->shank_m / 2;

        if (isnan(plan->screw_m) ? fits && (screws[i].hole_m <= plug / 3 || chosen == count)
                                 : fits && fabs(1e-3 * screws[i].size - plan->screw_m) < 1e-6)
            chosen = i;
    }
    if (chosen == count && isnan(plan->screw_m))
        return cw_refuse(error, at, NULL, "No screw goes through a plug of %s and into a shank of %s: wind between two "
                         "centres, or on a former with a larger bore.", mm(plug, text[0]), mm(a->shank_m, text[1]));
    if (chosen == count)
        return cw_refuse(error, at, "M3, M4, M5, M6, M8, M10 or M12, at most half as thick as plug and shank",
                         "A screw of %s does not go through a plug of %s and into a shank of %s.",
                         mm(plan->screw_m, (char[32]){ 0 }), mm(plug, text[0]), mm(a->shank_m, text[1]));
    a->screw = screws[chosen].size;
    a->screw_pitch_m = screws[chosen].pitch_m;
    a->screw_hole_m = screws[chosen].hole_m;
    a->tap_drill_m = 1e-3 * a->screw - a->screw_pitch_m;
    return CW_OK;
}

/* Five millimetres is the usual step of lengths; a washer is about a fifth of its screw thick; one and a half diameters
 * of thread hold (common practice, no source). */
static void take_screw_length(cw_arbor *a)
{
    const double d = 1e-3 * a->screw, held = 1.5 * d;
    const double through = 0.2 * d + 2 * a->cheek_m + a->former_length_m;

    a->screw_length_m = 5e-3 * ceil((through + held) / 5e-3 - 1e-9);
    a->tapped_depth_m = 1e-3 * ceil(1e3 * (held + 5e-3 + 2 * a->screw_pitch_m));
    if (a->screw_length_m > 0.15)
        cw_former__say(a->remark, sizeof a->remark, "Instead of a screw of this length, a threaded rod with a nut.");
}

/* ---- drive pin ------------------------------------------------------------------------------------------------- */

/* In the middle between the screw's hole and the nearer of collar's and plug's edge, where that leaves it enough
 * material; else friction must do. */
static void take_pin(cw_arbor *a)
{
    const double pin = a->screw <= 6 ? 3e-3 : 4e-3, inner = 0.5 * a->screw_hole_m;
    const double outer = 0.5 * fmin(a->collar_m, fmin(a->plug.size_m[0], a->plug.size_m[1]));

    if (outer - inner < 2 * pin) {
        cw_former__say(a->remark, sizeof a->remark, "The plug has no room for a drive pin: friction drives it, so "
                       "screw it up well.");
        return;
    }
    a->pin_m = pin;
    a->pin_x_m = 0.5 * (inner + outer);
    a->pin_depth_m[0] = fmin(2 * pin, a->collar_length_m - 1e-3);
    a->pin_depth_m[1] = fmin(2 * pin, 0.5 * a->plug_length_m);
}

/* ---- the whole ------------------------------------------------------------------------------------------------- */

static cw_status take_sizes(const cw_former *former, const cw_arbor_plan *plan, const cw_place *at, cw_arbor *a,
                            cw_error *error)
{
    const double reach = fmax(former->flange.size_m[0], former->flange.size_m[1]);
    const bool inch = former->units == CW_INCH_UNITS;
    const double step = inch ? 0.0254 / 16 : 1e-3, thickness = step * rint(fmin(fmax(0.1 * reach, 5e-3), 12e-3) / step);
    char text[2][32];

    a->shank_m = or_else(plan->shank_m, inch ? 0.75 * 0.0254 : 20e-3);
    a->shank_length_m = or_else(plan->shank_length_m, inch ? 2 * 0.0254 : 50e-3);
    a->cheek_m = or_else(plan->cheek_m, thickness);
    a->fit_m = or_else(plan->fit_m, 0.05e-3);
    a->pinch_m = or_else(plan->pinch_m, 0.3e-3);
    a->former_length_m = former->length_m;
    a->plug = cw_outline_offset(&former->bore, -a->fit_m);
    a->cheek = former->flange;
    a->plug_length_m = former->length_m - a->pinch_m;
    if (!(a->shank_m >= 6e-3 && a->shank_m <= 0.2 && a->shank_length_m >= 10e-3 && a->shank_length_m <= 0.5))
        return cw_refuse(error, at, "a shank from 6 mm to 200 mm, 10 mm to 500 mm long",
                         "A shank of %s, %s long, is none that a lathe holds.", mm(a->shank_m, text[0]),
                         mm(a->shank_length_m, text[1]));
    if (!(a->cheek_m >= 2e-3 && a->cheek_m <= 0.05))
        return cw_refuse(error, at, "a thickness from 2 mm to 50 mm", "Cheeks of %s do not keep flanges from spreading.",
                         mm(a->cheek_m, text[0]));
    if (!(a->fit_m >= 0 && a->pinch_m >= 0 && a->plug_length_m > 0.5 * former->length_m &&
          fmin(a->plug.size_m[0], a->plug.size_m[1]) > 0))
        return cw_refuse(error, at, NULL, "With a fit of %s and a pinch of %s nothing is left of the plug.",
                         mm(a->fit_m, text[0]), mm(a->pinch_m, text[1]));
    return CW_OK;
}

static void take_slots(const cw_former *former, cw_arbor *a)
{
    for (int i = 0; i < former->slot_count; i++) {
        const cw_former_slot *slot = &former->slots[i];

        if (slot->flange != 0 && slot->flange != former->sections)
            continue;
        a->slots[a->slot_count] = *slot;
        a->slots[a->slot_count++].flange = slot->flange == 0 ? 0 : 1;
    }
}

cw_status cw_arbor_design(const cw_former *former, const cw_arbor_plan *plan, const cw_place *at, cw_arbor *arbor,
                          cw_error *error)
{
    cw_arbor made = { 0 };
    cw_status status = take_sizes(former, plan, at, &made, error);

    if (status == CW_OK)
        status = take_screw(plan, at, &made, error);
    if (status != CW_OK)
        return status;
    take_screw_length(&made);
    made.collar_m = made.shank_m + 2 * fmax(4e-3, 1e-3 * made.screw);
    made.collar_length_m = fmax(5e-3, 1e-3 * made.screw);
    take_pin(&made);
    take_slots(former, &made);
    *arbor = made;
    return CW_OK;
}

/* ---- measures -------------------------------------------------------------------------------------------------- */

static double round_area(double diameter_m)
{
    return pi / 4 * diameter_m * diameter_m;
}

static double cheek_volume(const cw_arbor *a, bool far)
{
    double area = cw_outline_area(&a->cheek) - round_area(a->screw_hole_m) - (far ? 0 : round_area(a->pin_m));

    for (int i = 0; i < a->slot_count; i++) {
        const cw_former_slot *slot = &a->slots[i];

        if (slot->flange == (far ? 1 : 0))
            area -= cw_former__strip(&a->cheek, slot->y_m - 0.5 * slot->width_m, slot->y_m + 0.5 * slot->width_m) -
                    slot->floor_m * slot->width_m;
    }
    return area * a->cheek_m;
}

double cw_arbor_volume(const cw_arbor *a, cw_arbor_piece piece)
{
    switch (piece) {
    case CW_ARBOR_SPINDLE:
        return round_area(a->shank_m) * a->shank_length_m + round_area(a->collar_m) * a->collar_length_m -
               round_area(a->tap_drill_m) * a->tapped_depth_m - round_area(a->pin_m) * a->pin_depth_m[0];
    case CW_ARBOR_START_CHEEK:
    case CW_ARBOR_FAR_CHEEK:
        return cheek_volume(a, piece == CW_ARBOR_FAR_CHEEK);
    case CW_ARBOR_PLUG:
    case CW_ARBOR_PIECE_COUNT:
        break;
    }
    return (cw_outline_area(&a->plug) - round_area(a->screw_hole_m)) * a->plug_length_m -
           round_area(a->pin_m) * a->pin_depth_m[1];
}

void cw_arbor_box(const cw_arbor *a, cw_arbor_piece piece, cw_extent *box)
{
    const double *size = piece == CW_ARBOR_PLUG ? a->plug.size_m : a->cheek.size_m;
    double x = 0.5 * size[0], y = 0.5 * size[1], from = -a->cheek_m, to = 0;

    if (piece == CW_ARBOR_SPINDLE) {
        x = y = 0.5 * a->collar_m;
        to = -a->cheek_m;
        from = to - a->collar_length_m - a->shank_length_m;
    } else if (piece == CW_ARBOR_PLUG) {
        from = 0;
        to = a->plug_length_m;
    } else if (piece == CW_ARBOR_FAR_CHEEK) {
        from = a->former_length_m;
        to = from + a->cheek_m;
    }
    *box = (cw_extent){ { -x, -y, from }, { x, y, to } };
}

void cw_arbor_stock(const cw_arbor *arbor, cw_arbor_piece piece, cw_stock_size *stock)
{
    const cw_outline *outline = piece == CW_ARBOR_PLUG ? &arbor->plug : &arbor->cheek;
    cw_extent box;

    cw_arbor_box(arbor, piece, &box);
    cw_former__stock_of(&box, piece == CW_ARBOR_SPINDLE || outline->corner_m >= 0.5 * fmax(outline->size_m[0], outline->size_m[1]),
                        stock);
}
