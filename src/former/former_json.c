/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Former and arbor as documents: every size that stands on the drawing, in metres. */
#include "former/former_json.h"

#include <math.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *outline(const cw_outline *o)
{
    return json_pack("{s:f, s:f, s:f}", "width_m", o->size_m[0], "breadth_m", o->size_m[1], "corner_radius_m", o->corner_m);
}

static json_t *slots(const cw_former_slot *all, int count)
{
    json_t *list = json_array();

    for (int i = 0; i < count; i++)
        json_array_append_new(list, json_pack("{s:s, s:i, s:f, s:f, s:f}", "use", all[i].use, "flange", all[i].flange, "y_m",
                                              all[i].y_m, "width_m", all[i].width_m, "floor_m", all[i].floor_m));
    return list;
}

static json_t *pins(const cw_former *f)
{
    json_t *list = json_array();

    for (int i = 0; i < f->pin_count; i++)
        json_array_append_new(list, json_pack("{s:f, s:f, s:f, s:f}", "x_m", f->pins[i].x_m, "y_m", f->pins[i].y_m,
                                              "diameter_m", f->pins[i].diameter_m, "depth_m", f->pins[i].depth_m));
    return list;
}

static json_t *tapes(const cw_former *f)
{
    json_t *list = json_array();

    for (int i = 0; i < f->tape_count; i++)
        json_array_append_new(list, json_pack("{s:f, s:i, s:f, s:f}", "x_m", f->tapes[i].x_m, "side", f->tapes[i].side,
                                              "width_m", f->tape_m, "depth_m", f->tape_depth_m));
    return list;
}

static json_t *stock_json(const cw_stock_size *stock)
{
    if (stock->bar)
        return json_pack("{s:s, s:f, s:f}", "form", "bar", "diameter_m", stock->size_m[0], "length_m", stock->size_m[2]);
    return json_pack("{s:s, s:[f,f,f]}", "form", "block", "size_m", stock->size_m[0], stock->size_m[1], stock->size_m[2]);
}

/* Sizes that change with compensation. */
static json_t *sizes(const cw_former *f)
{
    double volume_m3 = 0;

    for (int i = 0; i < cw_former_piece_count(f); i++)
        volume_m3 += cw_former_volume(f, i);
    return json_pack("{s:o, s:o, s:o, s:f, s:f, s:f, s:f, s:f, s:f, s:o, s:o, s:o, s:f, s:f}", "bore", outline(&f->bore),
                     "tube", outline(&f->tube), "flange", outline(&f->flange), "wall_m", f->wall_m, "flange_thickness_m",
                     f->flange_m, "middle_flange_m", f->middle_m, "section_length_m", f->section_m, "length_m", f->length_m,
                     "fillet_m", f->fillet_m, "slots", slots(f->slots, f->slot_count), "pins", pins(f), "tapes", tapes(f),
                     "split_gap_m", f->split_gap_m, "volume_m3", volume_m3);
}

json_t *cw_former_json(const cw_former *former)
{
    cw_former asked;
    cw_stock_size stock;
    json_t *document;
    double volume_m3 = 0;

    cw_former_compensate(former, &asked);
    cw_former_stock(former, &stock);
    for (int i = 0; i < cw_former_piece_count(former); i++)
        volume_m3 += cw_former_volume(former, i);
    document = json_pack("{s:s, s:s, s:s, s:i, s:b, s:o, s:o, s:f, s:f, s:o, s:o, s:o, s:o, s:o, s:s}", "shape",
                         cw_shape_name(former->shape), "material", former->material, "process",
                         cw_making_name(former->making), "sections", former->sections, "split", former->split, "finished",
                         sizes(former), "to_ask_for", sizes(&asked), "shrink", former->shrink, "hole_growth_m",
                         former->hole_growth_m, "clearance_to_core_m", number(former->clearance_core_m),
                         "clearance_to_cavity_m", number(former->clearance_cavity_m), "softens_c",
                         number(former->softens_c), "lasts_c", number(former->lasts_c), "mass_kg",
                         number(volume_m3 * former->density_kg_m3), "remark", former->remark);
    if (document != NULL && !cw_making_prints(former->making))
        json_object_set_new(document, "stock", stock_json(&stock));
    return document;
}

static json_t *piece(const cw_arbor *a, cw_arbor_piece which)
{
    cw_stock_size stock;

    cw_arbor_stock(a, which, &stock);
    return json_pack("{s:s, s:f, s:o}", "piece", cw_arbor_piece_name(which), "volume_m3", cw_arbor_volume(a, which), "stock",
                     stock_json(&stock));
}

json_t *cw_arbor_json(const cw_arbor *a)
{
    json_t *pieces = json_array();

    for (int i = 0; i < CW_ARBOR_PIECE_COUNT; i++)
        json_array_append_new(pieces, piece(a, (cw_arbor_piece)i));
    return json_pack("{s:f, s:f, s:f, s:f, s:o, s:f, s:o, s:f, s:f, s:f, s:i, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:o, "
                     "s:o, s:s}",
                     "shank_m", a->shank_m, "shank_length_m", a->shank_length_m, "collar_m", a->collar_m,
                     "collar_length_m", a->collar_length_m, "plug", outline(&a->plug), "plug_length_m", a->plug_length_m,
                     "cheek", outline(&a->cheek), "cheek_thickness_m", a->cheek_m, "fit_m", a->fit_m, "pinch_m", a->pinch_m,
                     "screw", a->screw, "screw_pitch_m", a->screw_pitch_m, "screw_length_m", a->screw_length_m,
                     "screw_hole_m", a->screw_hole_m, "tap_drill_m", a->tap_drill_m, "tapped_depth_m", a->tapped_depth_m,
                     "drive_pin_m", a->pin_m, "drive_pin_x_m", a->pin_x_m, "slots", slots(a->slots, a->slot_count), "pieces",
                     pieces, "remark", a->remark);
}
