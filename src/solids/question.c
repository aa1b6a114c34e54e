/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A former and an arbor in prisms, boxes and fillets. */
#include "solids/solids_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define OVER 1.0 /* mm: tools stand out where they cut through, so that no two faces coincide */

static double mm(double metres)
{
    return 1e3 * metres;
}

static void prism(cw_text *text, const char *how, const cw_outline *outline, double z0_mm, double z1_mm)
{
    cw_text_print(text, "%s prism %.17g %.17g %.17g %.17g %.17g 0 0\n", how, mm(outline->size_m[0]),
                  mm(outline->size_m[1]), mm(outline->corner_m), z0_mm, z1_mm);
}

static void cylinder(cw_text *text, const char *how, double diameter_m, double z0_mm, double z1_mm, double x_m, double y_m)
{
    cw_text_print(text, "%s prism %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", how, mm(diameter_m), mm(diameter_m),
                  0.5 * mm(diameter_m), z0_mm, z1_mm, mm(x_m), mm(y_m));
}

static void cut_box(cw_text *text, const double low[3], const double high[3])
{
    cw_text_print(text, "cut box %.17g %.17g %.17g %.17g %.17g %.17g\n", low[0], low[1], low[2], high[0], high[1], high[2]);
}

/* ---- the former ------------------------------------------------------------------------------------------------ */

void cw_solids__former_piece_name(const cw_former *former, int piece, char name[64])
{
    if (former->split)
        snprintf(name, 64, "former-half-%d", piece + 1);
    else
        snprintf(name, 64, "former");
}

/* A flange in slices, where recesses for tape go some way into it: so that they cut whole slices through, and all round
 * faces keep four sides, which the triangles need. */
static void add_flange(const cw_former *f, int flange, cw_text *text)
{
    const double from = mm(cw_former_flange_at(f, flange)), to = from + mm(cw_former_flange_thickness(f, flange));
    const double deep = f->tape_count > 0 ? mm(f->tape_depth_m) : 0;
    const double first = flange > 0 ? from + deep : from, last = flange < f->sections ? to - deep : to;

    if (first > from)
        prism(text, "add", &f->flange, from, first);
    prism(text, "add", &f->flange, first, last);
    if (last < to)
        prism(text, "add", &f->flange, last, to);
}

/* Flanges, and the tube between them: parts that only touch, so that joining them leaves no edges on a face. */
static void add_body(const cw_former *f, cw_text *text)
{
    for (int i = 0; i <= f->sections; i++) {
        const double tube_from = mm(cw_former_flange_at(f, i) + cw_former_flange_thickness(f, i));

        add_flange(f, i, text);
        if (i < f->sections)
            prism(text, "add", &f->tube, tube_from, tube_from + mm(f->section_m));
    }
    prism(text, "cut", &f->bore, -OVER, mm(f->length_m) + OVER);
}

static void add_fillets(const cw_former *f, cw_text *text)
{
    if (!(f->fillet_m > 0))
        return;
    cw_text_print(text, "fillet %.17g %.17g %.17g", mm(f->fillet_m), mm(f->tube.size_m[0]), mm(f->tube.size_m[1]));
    for (int i = 0; i < f->sections; i++) {
        const double from = cw_former_flange_at(f, i) + cw_former_flange_thickness(f, i);

        cw_text_print(text, " %.17g %.17g", mm(from), mm(from + f->section_m));
    }
    cw_text_add(text, "\n");
}

/* Over the face that is open, and exactly to the face that is not. */
static void cut_slot(const cw_former *f, const cw_former_slot *slot, cw_text *text)
{
    const double at = cw_former_flange_at(f, slot->flange), thick = cw_former_flange_thickness(f, slot->flange);
    const double low[3] = { mm(slot->floor_m), mm(slot->y_m - 0.5 * slot->width_m),
                            mm(at) - (slot->flange == 0 ? OVER : 0) };
    const double high[3] = { mm(f->flange.size_m[0]), mm(slot->y_m + 0.5 * slot->width_m),
                             mm(at + thick) + (slot->flange == f->sections ? OVER : 0) };

    cut_box(text, low, high);
}

static void cut_tape(const cw_former *f, const cw_former_tape *tape, int section, cw_text *text)
{
    const cw_outline floor = cw_outline_offset(&f->tube, -f->tape_depth_m);
    const double from = cw_former_flange_at(f, section) + cw_former_flange_thickness(f, section);
    const double near = 0.25 * f->tube.size_m[1], far = f->flange.size_m[1]; /* the floor keeps what lies below it */

    cw_text_print(text, "carve %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", mm(tape->x_m - 0.5 * f->tape_m),
                  mm(tape->side > 0 ? near : -far), mm(from - f->tape_depth_m), mm(tape->x_m + 0.5 * f->tape_m),
                  mm(tape->side > 0 ? far : -near), mm(from + f->section_m + f->tape_depth_m), mm(floor.size_m[0]),
                  mm(floor.size_m[1]), mm(floor.corner_m));
}

/* Away with the other half and half the gap. */
static void cut_half(const cw_former *f, int piece, cw_text *text)
{
    const double x = mm(f->flange.size_m[0]), y = mm(f->flange.size_m[1]), half = 0.5 * mm(f->split_gap_m);

    cut_box(text, (double[3]){ -x, piece == 0 ? -y : -half, -OVER },
            (double[3]){ x, piece == 0 ? half : y, mm(f->length_m) + OVER });
}

static void ask_former(const cw_former *f, const char *group, cw_text *text)
{
    char name[64];

    cw_text_print(text, "group %s\n", group);
    for (int piece = 0; piece < cw_former_piece_count(f); piece++) {
        const int side = !f->split ? 0 : piece == 0 ? 1 : -1;

        cw_solids__former_piece_name(f, piece, name);
        cw_text_print(text, "piece %s\n", name);
        add_body(f, text);
        if (f->split)
            cut_half(f, piece, text);
        add_fillets(f, text); /* round a simple body, and before slots break its edges */
        for (int i = 0; i < f->slot_count; i++)
            if (side == 0 || side * f->slots[i].y_m > 0)
                cut_slot(f, &f->slots[i], text);
        for (int i = 0; i < f->pin_count; i++)
            if (side == 0 || side * f->pins[i].y_m > 0)
                cylinder(text, "cut", f->pins[i].diameter_m, -OVER, mm(f->pins[i].depth_m), f->pins[i].x_m,
                         f->pins[i].y_m);
        for (int i = 0; i < f->tape_count; i++)
            for (int section = 0; section < f->sections && (side == 0 || side == f->tapes[i].side); section++)
                cut_tape(f, &f->tapes[i], section, text);
    }
}

/* ---- the arbor ------------------------------------------------------------------------------------------------- */

void cw_solids__arbor_piece_name(cw_arbor_piece piece, char name[64])
{
    snprintf(name, 64, "%s", cw_arbor_piece_name(piece));
    for (char *c = name; *c != '\0'; c++)
        if (*c == ' ')
            *c = '-';
}

static void ask_spindle(const cw_arbor *a, cw_text *text)
{
    const double front = -mm(a->cheek_m), collar = front - mm(a->collar_length_m);

    cylinder(text, "add", a->collar_m, collar, front, 0, 0);
    cylinder(text, "add", a->shank_m, collar - mm(a->shank_length_m), collar, 0, 0);
    cylinder(text, "cut", a->tap_drill_m, front - mm(a->tapped_depth_m), front + OVER, 0, 0);
    if (a->pin_m > 0)
        cylinder(text, "cut", a->pin_m, front - mm(a->pin_depth_m[0]), front + OVER, -a->pin_x_m, 0);
}

static void ask_cheek(const cw_arbor *a, bool far, cw_text *text)
{
    const double from = far ? mm(a->former_length_m) : -mm(a->cheek_m), to = from + mm(a->cheek_m);

    prism(text, "add", &a->cheek, from, to);
    cylinder(text, "cut", a->screw_hole_m, from - OVER, to + OVER, 0, 0);
    if (!far && a->pin_m > 0)
        cylinder(text, "cut", a->pin_m, from - OVER, to + OVER, -a->pin_x_m, 0);
    for (int i = 0; i < a->slot_count; i++) {
        const cw_former_slot *slot = &a->slots[i];

        if (slot->flange == (far ? 1 : 0))
            cut_box(text, (double[3]){ mm(slot->floor_m), mm(slot->y_m - 0.5 * slot->width_m), from - OVER },
                    (double[3]){ mm(a->cheek.size_m[0]), mm(slot->y_m + 0.5 * slot->width_m), to + OVER });
    }
}

static void ask_plug(const cw_arbor *a, cw_text *text)
{
    prism(text, "add", &a->plug, 0, mm(a->plug_length_m));
    cylinder(text, "cut", a->screw_hole_m, -OVER, mm(a->plug_length_m) + OVER, 0, 0);
    if (a->pin_m > 0)
        cylinder(text, "cut", a->pin_m, -OVER, mm(a->pin_depth_m[1]), -a->pin_x_m, 0);
}

static void ask_arbor(const cw_arbor *a, cw_text *text)
{
    char name[64];

    cw_text_add(text, "group arbor\n");
    for (int piece = 0; piece < CW_ARBOR_PIECE_COUNT; piece++) {
        cw_solids__arbor_piece_name((cw_arbor_piece)piece, name);
        cw_text_print(text, "piece %s\n", name);
        if (piece == CW_ARBOR_SPINDLE)
            ask_spindle(a, text);
        else if (piece == CW_ARBOR_PLUG)
            ask_plug(a, text);
        else
            ask_cheek(a, piece == CW_ARBOR_FAR_CHEEK, text);
    }
}

void cw_solids__question(const cw_solids_plan *plan, cw_text *text)
{
    cw_text_print(text, "mesh %.17g\n", plan->chord_mm > 0 ? plan->chord_mm : 0.01);
    if (plan->former != NULL)
        ask_former(plan->former, "former", text);
    if (plan->print != NULL)
        ask_former(plan->print, "former-to-print", text);
    if (plan->arbor != NULL)
        ask_arbor(plan->arbor, text);
}
