/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Former and arbor to read. */
#include "former/former_internal.h"

#include <math.h>
#include <string.h>

static const char *say(double metres, cw_unit_system units, char text[64])
{
    cw_quantity_format(CW_LENGTH, metres, units, 4, text, 64);
    return text;
}

#define L(metres) say(metres, units, (char[64]){ "" })

static void outline_text(const char *what, const cw_outline *o, cw_shape shape, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "  %-12s ", what);
    if (shape == CW_ROUND)
        cw_text_print(text, "%s across\n", L(o->size_m[0]));
    else if (shape == CW_OBROUND)
        cw_text_print(text, "%s by %s, round ends\n", L(o->size_m[0]), L(o->size_m[1]));
    else
        cw_text_print(text, "%s by %s, corners of %s\n", L(o->size_m[0]), L(o->size_m[1]), L(o->corner_m));
}

static void features_text(const cw_former *f, cw_unit_system units, cw_text *text)
{
    for (int i = 0; i < f->slot_count; i++)
        cw_text_print(text, "  slot         %s wide, %s off the middle, flange %d: %s\n", L(f->slots[i].width_m),
                      L(fabs(f->slots[i].y_m)), f->slots[i].flange + 1, f->slots[i].use);
    if (f->pin_count > 0)
        cw_text_print(text, "  pins         %d holes of %s, %s deep\n", f->pin_count, L(f->pins[0].diameter_m),
                      L(f->pins[0].depth_m));
    if (f->tape_count > 0)
        cw_text_print(text, "  tape         %d recesses %s wide, %s deep\n", f->tape_count, L(f->tape_m), L(f->tape_depth_m));
    if (f->fillet_m > 0)
        cw_text_print(text, "  fillet       %s\n", L(f->fillet_m));
    if (f->split)
        cw_text_print(text, "  split        in two halves, %s apart\n", L(f->split_gap_m));
}

static void stock_text(const cw_stock_size *stock, cw_unit_system units, cw_text *text)
{
    if (stock->bar)
        cw_text_print(text, "bar %s, %s long\n", L(stock->size_m[0]), L(stock->size_m[2]));
    else
        cw_text_print(text, "block %s by %s by %s\n", L(stock->size_m[0]), L(stock->size_m[1]), L(stock->size_m[2]));
}

static void making_text(const cw_former *f, cw_unit_system units, cw_text *text)
{
    cw_stock_size stock;

    if (!cw_making_prints(f->making)) {
        cw_former_stock(f, &stock);
        cw_text_add(text, "  stock        ");
        stock_text(&stock, units, text);
        return;
    }
    if (f->shrink > 0 || f->hole_growth_m > 0)
        cw_text_print(text, "  to print     %.2f %% larger, holes %s larger: so in the files to print\n",
                      100 * (1 / (1 - f->shrink) - 1), L(f->hole_growth_m));
}

void cw_former_text(const cw_former *former, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "Former: %s, %s\n", former->material, cw_making_name(former->making));
    outline_text("bore", &former->bore, former->shape, units, text);
    outline_text("tube", &former->tube, former->shape, units, text);
    outline_text("flanges", &former->flange, former->shape, units, text);
    cw_text_print(text, "  wall         %s, flanges %s\n", L(former->wall_m), L(former->flange_m));
    cw_text_print(text, "  length       %s over all, %s between flanges", L(former->length_m), L(former->section_m));
    if (former->sections > 1)
        cw_text_print(text, " in each of %d sections", former->sections);
    cw_text_add(text, "\n");
    if (!isnan(former->clearance_core_m))
        cw_text_print(text, "  clearance    %s to the core on each side\n", L(former->clearance_core_m));
    if (!isnan(former->clearance_cavity_m))
        cw_text_print(text, "  clearance    %s to the iron outside on each side\n", L(former->clearance_cavity_m));
    features_text(former, units, text);
    making_text(former, units, text);
    if (former->remark[0] != '\0')
        cw_text_print(text, "%s\n", former->remark);
}

void cw_arbor_text(const cw_arbor *a, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "Arbor: shank %s, %s long; collar %s; cheeks %s thick\n", L(a->shank_m), L(a->shank_length_m),
                  L(a->collar_m), L(a->cheek_m));
    cw_text_print(text, "  plug         %s by %s, %s long\n", L(a->plug.size_m[0]), L(a->plug.size_m[1]), L(a->plug_length_m));
    cw_text_print(text, "  screw        M%d x %.0f mm, tapped %.0f mm deep; holes of %s through cheeks and plug\n", a->screw,
                  1e3 * a->screw_length_m, 1e3 * a->tapped_depth_m, L(a->screw_hole_m));
    if (a->pin_m > 0)
        cw_text_print(text, "  drive pin    %s, %s off the axis, through collar, start cheek and plug\n", L(a->pin_m),
                      L(a->pin_x_m));
    for (int i = 0; i < CW_ARBOR_PIECE_COUNT; i++) {
        cw_stock_size stock;

        cw_arbor_stock(a, (cw_arbor_piece)i, &stock);
        cw_text_print(text, "  %-12s ", cw_arbor_piece_name((cw_arbor_piece)i));
        stock_text(&stock, units, text);
    }
    if (a->remark[0] != '\0')
        cw_text_print(text, "%s\n", a->remark);
}
