/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From what is asked for to the finished former; every refusal says what to change. */
#include "former/former_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SLACK 1e-9 /* m: sizes that are equal as written may differ by rounding */

/* What is known on the way. */
typedef struct design {
    const cw_former_plan *plan;
    const cw_place *at;
    cw_error *error;
    cw_former__process process;
    cw_former__material material;
    cw_former *former;
} design;

/* ---- sentences ------------------------------------------------------------------------------------------------- */

/* A length as the user writes it. */
static const char *length_text(const design *d, double metres, char text[64])
{
    cw_quantity_format(CW_LENGTH, metres, d->plan->units, 3, text, 64);
    return text;
}

static const char *temperature_text(const design *d, double celsius, char text[64])
{
    cw_quantity_format(CW_TEMPERATURE, celsius, d->plan->units, 3, text, 64);
    return text;
}

#define L(metres) length_text(d, metres, (char[64]){ "" })
#define T(celsius) temperature_text(d, celsius, (char[64]){ "" })

void cw_former_plan_init(cw_former_plan *plan)
{
    *plan = (cw_former_plan){
        .making = -1, .sections = 1, .slot_m = NAN, .wall_m = NAN, .flange_m = NAN, .middle_m = NAN,
        .clearance_m = NAN, .wrap_m = NAN, .side_wrap_m = NAN, .rim_m = NAN, .fillet_m = NAN, .bore_corner_m = NAN,
        .pin_m = NAN, .tape_m = NAN, .tape_depth_m = NAN, .split_gap_m = NAN, .class_c = NAN, .shrink = NAN, .hole_growth_m = NAN,
        .core_m = { NAN, NAN }, .core_corner_m = NAN, .cavity_m = { NAN, NAN }, .cavity_length_m = NAN, .hot_c = NAN,
        .wire_m = NAN,
    };
}

static double or_else(double given, double usual)
{
    return isnan(given) ? usual : given;
}

/* ---- material and making --------------------------------------------------------------------------------------- */

static cw_status take_material(design *d)
{
    const cw_former_plan *plan = d->plan;
    cw_former *f = d->former;
    cw_status status = cw_former__find_material(plan->material, d->at, &d->material, d->error);

    if (status != CW_OK)
        return status;
    f->making = plan->making >= 0 ? (cw_making)plan->making
                : d->material.making >= 0 ? (cw_making)d->material.making
                : plan->window.shape == CW_ROUND ? CW_TURNED : CW_MILLED;
    if (f->making == CW_TURNED && plan->window.shape != CW_ROUND)
        return cw_refuse(d->error, d->at, "milled, filament, powder or resin", "A former that is not round cannot be "
                         "turned.");
    if (f->making == CW_TURNED && plan->tapes > 0)
        return cw_refuse(d->error, d->at, "milled, filament, powder or resin, or no tapes",
                         "Recesses for tape cannot be turned.");
    cw_former__find_process(f->making, &d->process);
    memcpy(f->material, d->material.name, sizeof f->material);
    f->lasts_c = or_else(plan->class_c, d->material.lasts_c);
    f->softens_c = isnan(plan->class_c) ? d->material.softens_c : fmax(plan->class_c, d->material.softens_c);
    f->density_kg_m3 = d->material.density_kg_m3;
    if (cw_making_prints(f->making)) {
        f->shrink = or_else(plan->shrink, or_else(d->material.shrink, 0));
        f->hole_growth_m = or_else(plan->hole_growth_m, d->process.hole_growth_m);
        f->tolerance_m = d->process.tolerance_m;
        f->tolerance_share = d->process.tolerance_share;
    }
    if (!(f->shrink >= 0 && f->shrink < 0.1))
        return cw_refuse(d->error, d->at, "a shrink from 0 to 10 %", "A print that shrinks by %.3g %% is no part.",
                         100 * f->shrink);
    return CW_OK;
}

/* Under wire that pulls, a plastic gives way near its deflection temperature at 1.8 MPa rather than that at 0.45 MPa
 * [deflection]. */
static cw_status judge_heat(design *d)
{
    const double hot = d->plan->hot_c;
    cw_former *f = d->former;

    if (d->material.metal)
        cw_former__say(f->remark, sizeof f->remark, "%s is a closed turn round the core: saw it through lengthwise, or "
                       "it slows the magnet and grows hot on ac; insulate it from the wire.", f->material);
    if (isnan(hot) || d->material.metal)
        return CW_OK;
    if (hot > f->softens_c)
        return cw_refuse(d->error, d->at, "a material that stands more, as in G-11, PEEK, phenolic",
                         "The coil runs at %s, and %s gives way under wire at %s.", T(hot), f->material, T(f->softens_c));
    if (hot > f->lasts_c)
        cw_former__say(f->remark, sizeof f->remark, "%s lasts for years up to %s and gives way at %s; the coil runs at %s.",
                       f->material, T(f->lasts_c), T(f->softens_c), T(hot));
    return CW_OK;
}

/* ---- outlines -------------------------------------------------------------------------------------------------- */

static double least_size(const cw_outline *outline)
{
    return fmin(outline->size_m[0], outline->size_m[1]);
}

static cw_outline window_outline(const cw_window *window)
{
    const double a = window->inner_m[0], b = window->shape == CW_ROUND ? a : window->inner_m[1];

    return (cw_outline){ { a, b }, window->shape == CW_RECTANGLE ? window->corner_radius_m : 0.5 * fmin(a, b) };
}

/* The wall that the core leaves: the thinner of both sides. NAN where the core is unknown. */
static double wall_left(const cw_former *f, const cw_former_plan *plan, double clearance_m)
{
    return 0.5 * fmin(f->tube.size_m[0] - plan->core_m[0], f->tube.size_m[1] - plan->core_m[1]) - clearance_m;
}

static cw_status take_wall(design *d)
{
    const cw_former_plan *plan = d->plan;
    const double clearance = or_else(plan->clearance_m, 0.2e-3);
    const double left = isnan(plan->core_m[0]) ? NAN : wall_left(d->former, plan, clearance);
    const double wall = or_else(plan->wall_m, or_else(left, d->process.usual_wall_m));
    const cw_making making = d->former->making;

    d->former->wall_m = wall;
    if (wall >= d->process.least_wall_m - SLACK)
        return CW_OK;
    if (isnan(plan->wall_m))
        return cw_refuse(d->error, d->at, NULL, "Core and clearance leave %s for the former's wall, and %s makes none "
                         "below %s. Make the window's inner size larger, or wind on another former.", L(wall),
                         cw_making_name(making), L(d->process.least_wall_m));
    return cw_refuse(d->error, d->at, L(d->process.least_wall_m), "A wall of %s is thinner than %s makes it: %s at least.",
                     L(wall), cw_making_name(making), L(d->process.least_wall_m));
}

/* A corner of the bore with radius r clears an edge of the core with radius e, at a clearance c on the flats, where
 * sqrt(2) (r - c - e) + e <= r. [geometry] */
static double greatest_bore_corner(double clearance_m, double edge_m)
{
    return (sqrt(2) * (clearance_m + edge_m) - edge_m) / (sqrt(2) - 1);
}

/* Thickness of the wall on the diagonal of a corner, whose two radii have their centres off each other. */
static double corner_wall(const cw_former *f)
{
    const double off = f->wall_m + f->bore.corner_m - f->tube.corner_m; /* of the bore's centre, inwards, in x and y */

    return f->tube.corner_m + sqrt(2) * off - f->bore.corner_m;
}

static cw_status judge_corner(design *d, double edge_m)
{
    cw_former *f = d->former;
    const double most = isnan(f->clearance_core_m) ? INFINITY : greatest_bore_corner(f->clearance_core_m, edge_m);

    if (isnan(d->plan->bore_corner_m) && f->bore.corner_m > most)
        f->bore.corner_m = fmax(0, most);
    if (f->bore.corner_m > most + SLACK)
        return cw_refuse(d->error, d->at, L(most), "A bore with corners of %s does not go over a core with edges of %s.",
                         L(f->bore.corner_m), L(edge_m));
    if (corner_wall(f) < d->process.least_wall_m - SLACK)
        return cw_refuse(d->error, d->at, NULL, "The wall is %s thick at the corners, where %s makes none below %s. "
                         "Break the edges of the core and say so under core_corner, or give the window a smaller corner radius.",
                         L(corner_wall(f)), cw_making_name(f->making), L(d->process.least_wall_m));
    return CW_OK;
}

static cw_status take_bore(design *d)
{
    const cw_former_plan *plan = d->plan;
    const double clearance = or_else(plan->clearance_m, 0.2e-3), edge = or_else(plan->core_corner_m, 0);
    cw_former *f = d->former;

    f->bore = cw_outline_offset(&f->tube, -f->wall_m);
    if (!(least_size(&f->bore) > 0.5e-3))
        return cw_refuse(d->error, d->at, NULL, "A wall of %s leaves no bore in a tube of %s.", L(f->wall_m),
                         L(least_size(&f->tube)));
    if (f->shape == CW_RECTANGLE && !isnan(plan->bore_corner_m))
        f->bore.corner_m = fmin(plan->bore_corner_m, 0.5 * least_size(&f->bore));
    f->clearance_core_m = NAN;
    if (!isnan(plan->core_m[0])) {
        f->clearance_core_m = 0.5 * fmin(f->bore.size_m[0] - plan->core_m[0], f->bore.size_m[1] - plan->core_m[1]);
        if (f->clearance_core_m < clearance - SLACK)
            return cw_refuse(d->error, d->at, NULL, "The bore leaves %s to the core on each side, and %s is wanted. "
                             "Make the wall %s thick, or the window's inner size larger.", L(f->clearance_core_m),
                             L(clearance), L(wall_left(f, plan, clearance)));
    }
    return f->shape == CW_RECTANGLE ? judge_corner(d, edge) : CW_OK;
}

static cw_status take_flange(design *d)
{
    const cw_former_plan *plan = d->plan;
    const double usual = d->process.usual_flange_m, least = d->process.least_flange_m;
    const cw_outline window = window_outline(&plan->window);
    cw_former *f = d->former;

    f->flange_m = or_else(plan->flange_m, usual);
    f->middle_m = or_else(plan->middle_m, f->flange_m);
    if (f->flange_m < least - SLACK)
        return cw_refuse(d->error, d->at, L(least), "A flange of %s is thinner than %s makes it stiff: %s at least.",
                         L(f->flange_m), cw_making_name(f->making), L(least));
    if (f->sections > 1 && f->middle_m < d->process.least_wall_m - SLACK) /* wire holds it from both sides */
        return cw_refuse(d->error, d->at, L(d->process.least_wall_m), "A partition of %s is thinner than %s makes it: "
                         "%s at least.", L(f->middle_m), cw_making_name(f->making), L(d->process.least_wall_m));
    f->flange = cw_outline_offset(&window, plan->window.depth_m + or_else(plan->rim_m, 0));
    f->section_m = plan->window.length_m + 2 * or_else(plan->side_wrap_m, 0);
    f->length_m = 2 * f->flange_m + f->sections * f->section_m + (f->sections - 1) * f->middle_m;
    return CW_OK;
}

static cw_status judge_cavity(design *d)
{
    const cw_former_plan *plan = d->plan;
    const double clearance = or_else(plan->clearance_m, 0.2e-3);
    cw_former *f = d->former;

    f->clearance_cavity_m = NAN;
    for (int i = 0; i < 2; i++)
        f->clearance_cavity_m = fmin(0.5 * (plan->cavity_m[i] - f->flange.size_m[i]), f->clearance_cavity_m);
    if (f->clearance_cavity_m < clearance - SLACK)
        return cw_refuse(d->error, d->at, NULL, "The flanges leave %s to the iron around them on each side, and %s is "
                         "wanted. Make the window's depth smaller by %s.", L(f->clearance_cavity_m), L(clearance),
                         L(clearance - f->clearance_cavity_m));
    if (f->length_m > plan->cavity_length_m + SLACK)
        return cw_refuse(d->error, d->at, NULL, "The former is %s long, and the room for it %s. Make the window's "
                         "length smaller by %s, or the flanges thinner.", L(f->length_m), L(plan->cavity_length_m),
                         L(f->length_m - plan->cavity_length_m));
    return CW_OK;
}

/* A fillet of radius r, its centre r off tube and flange, touches no wire of radius w whose centre is at (u, v) if the
 * wire's far side stays inside the fillet's circle: hypot(r - u, r - v) + w <= r, as long as the wire is in the corner.
 * [geometry] */
static cw_status judge_fillet(design *d)
{
    const cw_former_plan *plan = d->plan;
    const double w = 0.5 * plan->wire_m;
    cw_former *f = d->former;
    double u, v;

    f->fillet_m = or_else(plan->fillet_m, 0);
    if (f->fillet_m <= 0)
        return CW_OK;
    if (f->tube.corner_m <= 0)
        return cw_refuse(d->error, d->at, "a corner_radius in the window", "A fillet does not run round sharp corners "
                         "of the tube, and wire breaks over them.");
    if (2 * f->fillet_m > 0.5 * f->section_m || f->fillet_m > 0.5 * plan->window.depth_m)
        return cw_refuse(d->error, d->at, "a fillet no larger than half the wire", "Fillets of %s leave no room for "
                         "wire in a window of %s by %s.", L(f->fillet_m), L(f->section_m), L(plan->window.depth_m));
    if (isnan(w))
        return CW_OK;
    u = f->fillet_m - or_else(plan->wrap_m, 0) - w;
    v = f->fillet_m - or_else(plan->side_wrap_m, 0) - w;
    if (u > 0 && v > 0 && hypot(u, v) + w > f->fillet_m + SLACK)
        return cw_refuse(d->error, d->at, "a fillet no larger than half the wire", "A fillet of %s leaves no room in "
                         "the corner for a wire of %s.", L(f->fillet_m), L(plan->wire_m));
    return CW_OK;
}

/* ---- slots, pins, tapes, halves -------------------------------------------------------------------------------- */

static void add_slot(cw_former *f, int flange, double y_m, double width_m, const char *use)
{
    const double inner = fabs(y_m) - 0.5 * width_m, proud = f->tube.corner_m > 0 ? 0.02e-3 : 0; /* no knife edges */
    const double tube = cw_outline_reach(&f->tube, inner) + proud, rim = cw_outline_reach(&f->flange, inner);
    const bool finish = use[0] == 'f';

    f->slots[f->slot_count++] = (cw_former_slot){ flange, y_m, width_m, finish ? 0.5 * (tube + rim) : tube, use };
}

/* Start leads lie at +y and reach down to the tube, the finish lies at -y and comes from the top. */
static cw_status take_slots(design *d)
{
    const cw_former_plan *plan = d->plan;
    const double usual = plan->units == CW_INCH_UNITS ? 0.0254 / 8 : 3e-3;
    const double width = or_else(plan->slot_m, usual), land = plan->split ? 4e-3 : 1e-3; /* a half must not end in a prong */
    const double off = fmax(width, 0.5 * width + land);
    cw_former *f = d->former;

    if (!(width > 0))
        return CW_OK;
    if (off + 0.5 * width > 0.45 * f->flange.size_m[1] - 0.3 * f->flange.corner_m ||
        off + 0.5 * width > 0.45 * f->tube.size_m[1])
        return cw_refuse(d->error, d->at, "a narrower slot, or slot: 0 mm for none", "Two slots of %s side by side "
                         "find no room in this former, whose tube is %s across.", L(width), L(f->tube.size_m[1]));
    add_slot(f, 0, off, width, "start");
    if (plan->finish != CW_FINISH_FAR_FLANGE)
        add_slot(f, 0, -off, width, "finish");
    for (int i = 1; i < f->sections; i++)
        add_slot(f, i, off, width, "crossing");
    if (plan->finish != CW_FINISH_START_FLANGE)
        add_slot(f, f->sections, -off, width, "finish");
    return CW_OK;
}

static cw_status take_pins(design *d)
{
    const cw_former_plan *plan = d->plan;
    const double diameter = or_else(plan->pin_m, 1e-3);
    cw_former *f = d->former;
    const double floor = fmax(d->process.least_wall_m, f->flange_m / 3), depth = f->flange_m - floor;
    double y = f->slot_count > 0 ? f->slots[0].y_m + 0.5 * f->slots[0].width_m : 0;

    if (plan->pins <= 0)
        return CW_OK;
    if (depth < diameter - SLACK)
        return cw_refuse(d->error, d->at, NULL, "An anchor pin of %s finds no hold in a flange of %s: make the flange "
                         "%s thick, or the pin thinner.", L(diameter), L(f->flange_m),
                         L(fmax(diameter + d->process.least_wall_m, 1.5 * diameter)));
    for (int pair = 0; pair < plan->pins / 2; pair++) {
        double tube, rim;

        y += 2.5 * diameter;
        tube = cw_outline_reach(&f->tube, y - diameter);
        rim = cw_outline_reach(&f->flange, y + diameter);
        if (rim - tube < 3 * diameter)
            return cw_refuse(d->error, d->at, "fewer or thinner pins", "%d anchor pins of %s find no room beside the "
                             "slots on this flange.", plan->pins, L(diameter));
        for (int side = -1; side <= 1; side += 2)
            f->pins[f->pin_count++] = (cw_former_pin){ 0.5 * (tube + rim), -side * y, diameter, depth };
    }
    return CW_OK;
}

static cw_status judge_tape_depth(design *d)
{
    const cw_former *f = d->former;
    const double wall = f->wall_m - d->process.least_wall_m;
    const double middle = f->sections > 1 ? 0.5 * (f->middle_m - d->process.least_wall_m) : INFINITY;
    const double most = fmin(wall, fmin(f->flange_m - d->process.least_flange_m, middle));

    if (f->tape_depth_m <= most + SLACK)
        return CW_OK;
    return cw_refuse(d->error, d->at, NULL, "Recesses of %s for tape leave a wall of %s and a flange of %s; %s makes "
                     "none below %s and %s. Make wall and flange thicker, or the recess shallower.", L(f->tape_depth_m),
                     L(f->wall_m - f->tape_depth_m), L(f->flange_m - f->tape_depth_m), cw_making_name(f->making),
                     L(d->process.least_wall_m), L(d->process.least_flange_m));
}

static cw_status take_tapes(design *d)
{
    const cw_former_plan *plan = d->plan;
    cw_former *f = d->former;
    const int a_side = plan->tapes / 2;
    const double flat = f->tube.size_m[0] - 2 * f->tube.corner_m;
    double room = flat; /* two on a side lie on its flat, one may go over the bends beside it */

    if (a_side == 1 && f->shape != CW_RECTANGLE)
        room = fmax(flat, 0.5 * f->tube.size_m[1]);
    if (a_side <= 0)
        return CW_OK;
    f->tape_m = or_else(plan->tape_m, 10e-3);
    f->tape_depth_m = or_else(plan->tape_depth_m, 0.3e-3);
    if (a_side == 2 && f->shape == CW_ROUND)
        return cw_refuse(d->error, d->at, "tapes: 2", "A round former takes two tapes.");
    if (f->tape_m > (a_side == 2 ? 0.4 : 0.9) * room)
        return cw_refuse(d->error, d->at, "a narrower tape", "%d tapes of %s find no room on a side of %s.", plan->tapes,
                         L(f->tape_m), L(room));
    for (int side = 1; side >= -1; side -= 2)
        for (int i = 0; i < a_side; i++)
            f->tapes[f->tape_count++] =
                (cw_former_tape){ a_side == 1 ? 0 : (i == 0 ? -0.25 : 0.25) * flat, side };
    return judge_tape_depth(d);
}

static cw_status take_halves(design *d)
{
    const cw_former_plan *plan = d->plan;
    cw_former *f = d->former;

    f->split = plan->split;
    if (!f->split)
        return CW_OK;
    f->split_gap_m = or_else(plan->split_gap_m, cw_making_prints(f->making) ? 0.1e-3 : 0);
    if (!(f->split_gap_m >= 0 && f->split_gap_m <= 1e-3))
        return cw_refuse(d->error, d->at, "a gap from 0 to 1 mm", "Halves that are %s apart are no former.",
                         L(f->split_gap_m));
    cw_former__say(f->remark, sizeof f->remark, "The joint of the halves is a way for creepage: lay a strip of "
                   "insulation over it, inside and outside, before winding.");
    return CW_OK;
}

/* ---- the whole ------------------------------------------------------------------------------------------------- */

static cw_status refuse_sizes(const design *d, const char *what, double value)
{
    return cw_refuse(d->error, d->at, NULL, "%s of %s is no size for a part of a former.", what, L(value));
}

/* What was given must be a size at all; NAN is not given. */
static cw_status judge_given(const design *d)
{
    const cw_former_plan *p = d->plan;
    const struct { const char *what; double value; bool zero; } given[] = {
        { "A wall", p->wall_m, false }, { "A flange", p->flange_m, false }, { "A middle flange", p->middle_m, false },
        { "A clearance", p->clearance_m, true }, { "A wrap", p->wrap_m, true }, { "A side wrap", p->side_wrap_m, true },
        { "A rim", p->rim_m, true }, { "A fillet", p->fillet_m, true }, { "A corner of the bore", p->bore_corner_m, true },
        { "A slot", p->slot_m, true }, { "A pin", p->pin_m, false }, { "A tape", p->tape_m, false },
        { "A recess", p->tape_depth_m, false }, { "An edge of the core", p->core_corner_m, true },
        { "A growth of holes", p->hole_growth_m, true },
    };

    for (size_t i = 0; i < sizeof given / sizeof given[0]; i++)
        if (!isnan(given[i].value) && !((given[i].value > 0 || (given[i].zero && given[i].value == 0)) &&
                                        given[i].value < 1))
            return refuse_sizes(d, given[i].what, given[i].value);
    if (p->sections < 1 || p->sections > CW_FORMER_SECTIONS_MOST)
        return cw_refuse(d->error, d->at, "1 to 8 sections", "%d sections are none that a former has.", p->sections);
    if ((p->pins != 0 && p->pins != 2 && p->pins != 4) || (p->tapes != 0 && p->tapes != 2 && p->tapes != 4))
        return cw_refuse(d->error, d->at, "0, 2 or 4", "Anchor pins and tapes stand in pairs: 0, 2 or 4 of them.");
    return CW_OK;
}

static cw_status take_tube(design *d)
{
    const cw_former_plan *plan = d->plan;
    const cw_outline window = window_outline(&plan->window);
    cw_former *f = d->former;

    f->tube = cw_outline_offset(&window, -or_else(plan->wrap_m, 0));
    if (!(least_size(&f->tube) > 0))
        return cw_refuse(d->error, d->at, NULL, "A wrap of %s leaves no tube under it.", L(plan->wrap_m));
    return CW_OK;
}

static void say_making(design *d)
{
    cw_former *f = d->former;

    if (cw_making_prints(f->making) && isnan(d->plan->shrink) && isnan(d->material.shrink))
        cw_former__say(f->remark, sizeof f->remark, "What the print shrinks by is left to whoever prints it.");
    if (f->making == CW_FILAMENT)
        cw_former__say(f->remark, sizeof f->remark, "Print it standing on the start flange; all walls solid.");
}

cw_status cw_former_design(const cw_former_plan *plan, const cw_place *at, cw_former *former, cw_error *error)
{
    static cw_status (*const steps[])(design *) = {
        take_material, take_tube, take_wall, take_bore, take_flange, judge_cavity, judge_fillet, take_slots, take_pins,
        take_tapes, take_halves, judge_heat,
    };
    cw_former made = { .shape = plan->window.shape, .units = plan->units, .sections = plan->sections };
    design d = { .plan = plan, .at = at, .error = error, .former = &made };
    cw_status status = cw_window_check(&plan->window, at, error);

    if (status == CW_OK)
        status = judge_given(&d);
    for (size_t i = 0; status == CW_OK && i < sizeof steps / sizeof steps[0]; i++)
        status = steps[i](&d);
    if (status == CW_OK) {
        say_making(&d);
        *former = made;
    }
    return status;
}
