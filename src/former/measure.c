/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Volume, box and stock of a former, and the sizes to ask for. */
#include "former/former_internal.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

double cw_former_flange_thickness(const cw_former *former, int flange)
{
    return flange == 0 || flange == former->sections ? former->flange_m : former->middle_m;
}

double cw_former_flange_at(const cw_former *former, int flange)
{
    if (flange == 0)
        return 0;
    return former->flange_m + flange * former->section_m + (flange - 1) * former->middle_m;
}

int cw_former_piece_count(const cw_former *former)
{
    return former->split ? 2 : 1;
}

/* ---- volume ---------------------------------------------------------------------------------------------------- */

static double flanges_m(const cw_former *f)
{
    return 2 * f->flange_m + (f->sections - 1) * f->middle_m;
}

/* Without slots, pins, tapes and gap. */
static double body_volume(const cw_former *f)
{
    const double tube_m = f->sections * f->section_m;

    return flanges_m(f) * cw_outline_area(&f->flange) + tube_m * cw_outline_area(&f->tube) -
           f->length_m * cw_outline_area(&f->bore) + 2 * f->sections * cw_former__fillet_volume(&f->tube, f->fillet_m);
}

static double slot_volume(const cw_former *f, const cw_former_slot *slot)
{
    const double low = slot->y_m - 0.5 * slot->width_m, high = slot->y_m + 0.5 * slot->width_m;

    return cw_former_flange_thickness(f, slot->flange) *
           (cw_former__strip(&f->flange, low, high) - slot->floor_m * slot->width_m);
}

/* In all sections: along the tube, up both flanges, and the ends of the fillets between them. */
static double tape_volume(const cw_former *f, const cw_former_tape *tape)
{
    const double low = tape->x_m - 0.5 * f->tape_m, high = tape->x_m + 0.5 * f->tape_m;
    const cw_outline floor = cw_outline_offset(&f->tube, -f->tape_depth_m);
    const cw_outline bottom = cw_former__turned(&floor), tube = cw_former__turned(&f->tube),
                     flange = cw_former__turned(&f->flange);
    const double below = cw_former__strip(&bottom, low, high);

    return f->sections * (f->section_m * (cw_former__strip(&tube, low, high) - below) +
                          2 * f->tape_depth_m * (cw_former__strip(&flange, low, high) - below) +
                          2 * cw_former__fillet_strip(&tube, f->fillet_m, low, high));
}

/* The sheet |y| <= gap/2, on the +x side and on the -x side. */
static double gap_volume(const cw_former *f)
{
    const double half = 0.5 * f->split_gap_m;

    return 4 * (flanges_m(f) * cw_outline_half_strip(&f->flange, half) +
                f->sections * f->section_m * cw_outline_half_strip(&f->tube, half) -
                f->length_m * cw_outline_half_strip(&f->bore, half)) +
           4 * f->sections * cw_former__fillet_strip(&f->tube, f->fillet_m, -half, half);
}

/* The piece at y > 0 where `side` is 1, that at y < 0 where it is -1, both together where it is 0. */
static double cuts_volume(const cw_former *f, int side)
{
    double volume = 0;

    for (int i = 0; i < f->slot_count; i++)
        if (side == 0 || side * f->slots[i].y_m > 0)
            volume += slot_volume(f, &f->slots[i]);
    for (int i = 0; i < f->pin_count; i++)
        if (side == 0 || side * f->pins[i].y_m > 0)
            volume += pi / 4 * f->pins[i].diameter_m * f->pins[i].diameter_m * f->pins[i].depth_m;
    for (int i = 0; i < f->tape_count; i++)
        if (side == 0 || side == f->tapes[i].side)
            volume += tape_volume(f, &f->tapes[i]);
    return volume;
}

double cw_former_volume(const cw_former *former, int piece)
{
    if (!former->split)
        return body_volume(former) - cuts_volume(former, 0);
    return 0.5 * (body_volume(former) - gap_volume(former)) - cuts_volume(former, piece == 0 ? 1 : -1);
}

void cw_former_box(const cw_former *former, int piece, cw_extent *box)
{
    const double half_gap = 0.5 * former->split_gap_m;
    const double x = former->split ? cw_outline_reach(&former->flange, half_gap) : 0.5 * former->flange.size_m[0];
    const double y = 0.5 * former->flange.size_m[1];

    *box = (cw_extent){ { -x, -y, 0 }, { x, y, former->length_m } };
    if (former->split && piece == 0)
        box->low_m[1] = half_gap;
    else if (former->split)
        box->high_m[1] = -half_gap;
}

/* ---- stock ----------------------------------------------------------------------------------------------------- */

static double whole_mm(double metres)
{
    return 1e-3 * ceil(1e3 * metres - 1e-6);
}

void cw_former__stock_of(const cw_extent *box, bool round, cw_stock_size *stock)
{
    const double cut_m = 2e-3, length_cut_m = 6e-3; /* over the diameter or each size; over the length, to part and face */

    stock->bar = round;
    for (int i = 0; i < 3; i++)
        stock->size_m[i] = whole_mm(box->high_m[i] - box->low_m[i] + (i == 2 ? length_cut_m : cut_m));
}

void cw_former_stock(const cw_former *former, cw_stock_size *stock)
{
    cw_former whole = *former;
    cw_extent box;

    whole.split = false; /* made in one, then sawn */
    cw_former_box(&whole, 0, &box);
    cw_former__stock_of(&box, former->shape == CW_ROUND, stock);
}

/* ---- what to ask for ------------------------------------------------------------------------------------------- */

static void scale_outline(cw_outline *outline, double grown_m, double factor)
{
    const bool sharp = outline->corner_m <= 0;

    *outline = cw_outline_offset(outline, 0.5 * grown_m);
    if (sharp)
        outline->corner_m = 0;
    outline->size_m[0] *= factor;
    outline->size_m[1] *= factor;
    outline->corner_m *= factor;
}

static void scale_lengths(cw_former *f, double factor)
{
    double *const lengths[] = { &f->flange_m, &f->middle_m, &f->section_m, &f->length_m, &f->fillet_m, &f->tape_depth_m,
                                &f->split_gap_m };

    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++)
        *lengths[i] *= factor;
}

void cw_former_compensate(const cw_former *finished, cw_former *asked)
{
    const double factor = 1 / (1 - finished->shrink), grown = finished->hole_growth_m;

    *asked = *finished;
    if (finished->compensated)
        return;
    asked->compensated = true;
    scale_outline(&asked->bore, grown, factor);
    scale_outline(&asked->tube, 0, factor);
    scale_outline(&asked->flange, 0, factor);
    scale_lengths(asked, factor);
    asked->wall_m = 0.5 * (asked->tube.size_m[0] - asked->bore.size_m[0]);
    asked->tape_m = asked->tape_count > 0 ? (asked->tape_m + grown) * factor : 0;
    for (int i = 0; i < asked->slot_count; i++) {
        asked->slots[i].y_m *= factor;
        asked->slots[i].width_m = (asked->slots[i].width_m + grown) * factor;
        asked->slots[i].floor_m *= factor;
    }
    for (int i = 0; i < asked->pin_count; i++) {
        asked->pins[i].x_m *= factor;
        asked->pins[i].y_m *= factor;
        asked->pins[i].diameter_m = (asked->pins[i].diameter_m + grown) * factor;
        asked->pins[i].depth_m *= factor;
    }
    for (int i = 0; i < asked->tape_count; i++)
        asked->tapes[i].x_m *= factor;
}
