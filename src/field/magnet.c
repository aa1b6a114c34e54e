/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Magnets in the words of the trade, as sections of rectangles. The pole faces lie at y = 0 where a plate lies on
 * them; a plunger magnet stands on y = 0. */
#include "coilwright/field.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct rectangle {
    double x0, x1, y0, y1;
} rectangle;

static cw_part *add_part(cw_section *section, const char *name, rectangle at, const char *iron)
{
    cw_part *part = &section->part[section->part_count++];

    memset(part, 0, sizeof *part);
    snprintf(part->name, sizeof part->name, "%s", name);
    snprintf(part->iron, sizeof part->iron, "%s", iron);
    part->x[0] = at.x0;
    part->x[1] = at.x1;
    part->y[0] = at.y0;
    part->y[1] = at.y1;
    part->coil = -1;
    return part;
}

static void add_coil(cw_section *section, const char *name, rectangle at, int coil, double turns)
{
    cw_part *part = add_part(section, name, at, "");

    part->coil = coil;
    part->turns = turns;
    if (coil >= section->coil_count)
        section->coil_count = coil + 1;
}

static cw_status need(double value, const char *what, const char *example, cw_error *error)
{
    if (value > 0 && isfinite(value))
        return CW_OK;
    return cw_refuse(error, NULL, example, "The magnet's %s is missing, or not above zero.", what);
}

static cw_status need_coil(const cw_magnet_coil *coil, double pole, double outside, double room, const char *pole_name,
                           cw_error *error)
{
    cw_status status = need(coil->length_m, "coil: length", "a length, as in 30 mm", error);

    if (status == CW_OK)
        status = need(coil->turns, "coil: turns", "a count, as in 1200", error);
    if (status != CW_OK)
        return status;
    if (!(coil->outside_m > coil->inside_m && coil->inside_m >= pole && coil->outside_m <= outside &&
          coil->offset_m >= 0 && coil->offset_m + coil->length_m <= room * (1 + 1e-9)))
        return cw_refuse(error, NULL, "a coil that fits its window",
                         "The coil (%.4g to %.4g mm across, %.4g mm long, %.4g mm from the base) does not lie in the "
                         "air between the %s of %.4g mm and %.4g mm across, %.4g mm high.",
                         1e3 * coil->inside_m, 1e3 * coil->outside_m, 1e3 * coil->length_m, 1e3 * coil->offset_m,
                         pole_name, 1e3 * pole, 1e3 * outside, 1e3 * room);
    return CW_OK;
}

static const char *or_else(const char *wish, const char *usual)
{
    return wish[0] != '\0' ? wish : usual;
}

static cw_status check_sizes(const cw_magnet *m, cw_error *error)
{
    bool round = m->shape == CW_MAGNET_POT || m->shape == CW_MAGNET_PLUNGER;
    cw_status status = need(m->height_m, "height", "a length, as in 60 mm", error);

    if (status == CW_OK)
        status = need(m->base_thickness_m, "base_thickness", "a length, as in 12 mm", error);
    if (status == CW_OK && round)
        status = need(m->outer_diameter_m, "outer_diameter", "a length, as in 80 mm", error);
    if (status == CW_OK && round)
        status = need(m->pole_diameter_m, "pole_diameter", "a length, as in 36 mm", error);
    if (status == CW_OK && m->shape != CW_MAGNET_U)
        status = need(m->rim_thickness_m, "rim_thickness", "a length, as in 8 mm", error);
    if (status == CW_OK && !round)
        status = need(m->pole_width_m, "pole_width", "a length, as in 20 mm", error);
    if (status == CW_OK && !round)
        status = need(m->window_width_m, "window_width", "a length, as in 40 mm", error);
    if (status == CW_OK && !round)
        status = need(m->depth_m, "depth", "a length, as in 60 mm", error);
    if (status == CW_OK && m->shape != CW_MAGNET_PLUNGER)
        status = need(m->plate_thickness_m, "plate: thickness", "a length, as in 12 mm", error);
    if (status == CW_OK && m->iron[0] == '\0')
        status = cw_refuse(error, NULL, "a name, as in low-carbon-steel", "The magnet's iron is not named.");
    if (status == CW_OK && m->base_thickness_m >= m->height_m)
        status = cw_refuse(error, NULL, "a base thinner than the magnet is high",
                           "The base, %.4g mm thick, leaves nothing of the height of %.4g mm.",
                           1e3 * m->base_thickness_m, 1e3 * m->height_m);
    return status;
}

static void add_plate(cw_section *section, const cw_magnet *m, double left, double right)
{
    add_part(section, "plate", (rectangle){ left, right, 0, m->plate_thickness_m }, or_else(m->plate_iron, m->iron))
        ->moves = true;
}

static cw_status pot(const cw_magnet *m, cw_section *section, cw_error *error)
{
    double outer = 0.5 * m->outer_diameter_m, pole = 0.5 * m->pole_diameter_m, bore = 0.5 * m->bore_diameter_m;
    double inner = outer - m->rim_thickness_m, back = m->base_thickness_m - m->height_m;
    double plate = m->plate_width_m > 0 ? 0.5 * m->plate_width_m : outer, foot = back + m->coil.offset_m;
    cw_status status = need_coil(&m->coil, m->pole_diameter_m, 2 * inner, -back, "pole", error);

    if (status != CW_OK)
        return status;
    if (!(bore < pole && pole < inner))
        return cw_refuse(error, NULL, "bore inside pole inside rim",
                         "Bore, pole and rim (%.4g, %.4g and %.4g mm inside) do not follow each other.", 2e3 * bore,
                         2e3 * pole, 2e3 * inner);
    add_part(section, "base", (rectangle){ bore, outer, -m->height_m, back }, m->iron);
    add_part(section, "pole", (rectangle){ bore, pole, back, 0 }, m->iron);
    add_part(section, "rim", (rectangle){ inner, outer, back, 0 }, m->iron);
    add_coil(section, "coil",
             (rectangle){ 0.5 * m->coil.inside_m, 0.5 * m->coil.outside_m, foot, foot + m->coil.length_m }, 0,
             m->coil.turns);
    add_plate(section, m, 0, plate);
    return CW_OK;
}

static cw_status check_plunger(const cw_magnet *m, double inner, cw_error *error)
{
    double pole = 0.5 * m->pole_diameter_m;
    cw_status status = need(m->collar_thickness_m, "collar_thickness", "a length, as in 4 mm", error);

    if (status == CW_OK)
        status = need(m->guide_gap_m, "guide_gap", "a length, as in 0.3 mm", error);
    if (status == CW_OK && !(pole + m->guide_gap_m < inner && 0.5 * m->bore_diameter_m < pole))
        status = cw_refuse(error, NULL, "a plunger with its guide gap inside the wall",
                           "The plunger of %.4g mm with %.4g mm guide gap does not fit into the wall, %.4g mm inside.",
                           2e3 * pole, 1e3 * m->guide_gap_m, 2e3 * inner);
    if (status == CW_OK && m->cone_height_m != 0 &&
        !(m->cone_height_m > 0 && m->cone_height_m <= 0.95 * m->stop_length_m))
        status = cw_refuse(error, NULL, "a cone lower than the stop is long",
                           "The cone, %.4g mm high, does not end inside the stop of %.4g mm.", 1e3 * m->cone_height_m,
                           1e3 * m->stop_length_m);
    if (status == CW_OK && m->base_thickness_m + m->stop_length_m + m->collar_thickness_m >= m->height_m)
        status = cw_refuse(error, NULL, "a longer magnet or a shorter stop",
                           "Base, stop and collar together are longer than the magnet, %.4g mm.", 1e3 * m->height_m);
    return status;
}

static cw_status plunger(const cw_magnet *m, cw_section *section, cw_error *error)
{
    double outer = 0.5 * m->outer_diameter_m, inner = outer - m->rim_thickness_m, pole = 0.5 * m->pole_diameter_m;
    double bore = 0.5 * m->bore_diameter_m, base = m->base_thickness_m, top = m->height_m;
    double collar = top - m->collar_thickness_m, stop = base + m->stop_length_m, foot = base + m->coil.offset_m;
    double length = m->plunger_length_m > 0 ? m->plunger_length_m : top - stop + pole;
    cw_part *part;
    cw_status status = check_plunger(m, inner, error);

    if (status == CW_OK)
        status = need_coil(&m->coil, m->pole_diameter_m, 2 * inner, collar - base, "plunger", error);
    if (status != CW_OK)
        return status;
    add_part(section, "base", (rectangle){ bore, outer, 0, base }, m->iron);
    add_part(section, "wall", (rectangle){ inner, outer, base, top }, m->iron);
    add_part(section, "collar", (rectangle){ pole + m->guide_gap_m, inner, collar, top }, m->iron);
    if (m->stop_length_m > 0)
        add_part(section, "stop", (rectangle){ bore, pole, base, stop }, m->iron)->drop_m = m->cone_height_m;
    add_coil(section, "coil",
             (rectangle){ 0.5 * m->coil.inside_m, 0.5 * m->coil.outside_m, foot, foot + m->coil.length_m }, 0,
             m->coil.turns);
    part = add_part(section, "plunger", (rectangle){ 0, pole, stop, stop + length },
                    or_else(m->plunger_iron, m->iron));
    part->moves = true;
    part->drop_m = m->cone_height_m;
    return CW_OK;
}

/* Both sides of a coil round a leg whose middle is at `middle`; current into the page on its right side. */
static void add_leg_coil(cw_section *section, const cw_magnet *m, double middle, double foot, int coil, double sense)
{
    double near = 0.5 * m->coil.inside_m, far = 0.5 * m->coil.outside_m;

    add_coil(section, "coil side", (rectangle){ middle + near, middle + far, foot, foot + m->coil.length_m }, coil,
             sense * m->coil.turns);
    add_coil(section, "coil side", (rectangle){ middle - far, middle - near, foot, foot + m->coil.length_m }, coil,
             -sense * m->coil.turns);
}

/* Round the base: inside and outside across the base's thickness, length along it, offset from a pole's inner side. */
static cw_status add_base_coil(cw_section *section, const cw_magnet *m, double back, cw_error *error)
{
    double middle = back - 0.5 * m->base_thickness_m, near = 0.5 * m->coil.inside_m, far = 0.5 * m->coil.outside_m;
    double left = -0.5 * m->window_width_m + m->coil.offset_m, right = left + m->coil.length_m;
    cw_status status = need_coil(&m->coil, m->base_thickness_m, m->base_thickness_m - 2 * back, m->window_width_m,
                                 "base", error);

    if (status != CW_OK)
        return status;
    add_coil(section, "coil side", (rectangle){ left, right, middle + near, middle + far }, 0, m->coil.turns);
    add_coil(section, "coil side", (rectangle){ left, right, middle - far, middle - near }, 0, -m->coil.turns);
    return CW_OK;
}

static cw_status u_shape(const cw_magnet *m, cw_section *section, cw_error *error)
{
    double inner = 0.5 * m->window_width_m, outer = inner + m->pole_width_m, back = m->base_thickness_m - m->height_m;
    double half = 0.5 * (m->plate_width_m > 0 ? m->plate_width_m : 2 * outer), foot = back + m->coil.offset_m;
    cw_status status = CW_OK;

    section->planar = true;
    section->depth_m = m->depth_m;
    add_part(section, "base", (rectangle){ -outer, outer, -m->height_m, back }, m->iron);
    add_part(section, "left pole", (rectangle){ -outer, -inner, back, 0 }, m->iron);
    add_part(section, "right pole", (rectangle){ inner, outer, back, 0 }, m->iron);
    if (m->coil_on_base) {
        status = add_base_coil(section, m, back, error);
    } else {
        status = need_coil(&m->coil, m->pole_width_m, m->pole_width_m + m->window_width_m, -back, "pole", error);
        add_leg_coil(section, m, -0.5 * (inner + outer), foot, 0, 1);
        add_leg_coil(section, m, 0.5 * (inner + outer), foot, 1, -1);
    }
    add_plate(section, m, m->plate_shift_m - half, m->plate_shift_m + half);
    return status;
}

static cw_status e_shape(const cw_magnet *m, cw_section *section, cw_error *error)
{
    double pole = 0.5 * m->pole_width_m, inner = pole + m->window_width_m, outer = inner + m->rim_thickness_m;
    double back = m->base_thickness_m - m->height_m, foot = back + m->coil.offset_m;
    double half = m->plate_width_m > 0 ? 0.5 * m->plate_width_m : outer;
    cw_status status = need_coil(&m->coil, m->pole_width_m, 2 * inner, -back, "pole", error);

    section->planar = true;
    section->mirrored = true;
    section->depth_m = m->depth_m;
    add_part(section, "base", (rectangle){ 0, outer, -m->height_m, back }, m->iron);
    add_part(section, "pole", (rectangle){ 0, pole, back, 0 }, m->iron);
    add_part(section, "rim", (rectangle){ inner, outer, back, 0 }, m->iron);
    add_coil(section, "coil side",
             (rectangle){ 0.5 * m->coil.inside_m, 0.5 * m->coil.outside_m, foot, foot + m->coil.length_m }, 0,
             m->coil.turns);
    add_plate(section, m, 0, half);
    return status;
}

cw_status cw_magnet_section(const cw_magnet *magnet, cw_section *section, cw_error *error)
{
    cw_section made;
    cw_status status;

    if (magnet->shape == CW_MAGNET_SECTION) {
        if (magnet->section == NULL)
            return cw_refuse(error, NULL, "a section", "The magnet's section is not given.");
        *section = *magnet->section;
        return CW_OK;
    }
    memset(&made, 0, sizeof made);
    status = check_sizes(magnet, error);
    if (status != CW_OK)
        return status;
    switch (magnet->shape) {
    case CW_MAGNET_POT: status = pot(magnet, &made, error); break;
    case CW_MAGNET_PLUNGER: status = plunger(magnet, &made, error); break;
    case CW_MAGNET_U: status = u_shape(magnet, &made, error); break;
    case CW_MAGNET_E: status = e_shape(magnet, &made, error); break;
    case CW_MAGNET_SECTION: break;
    }
    if (status == CW_OK)
        *section = made;
    return status;
}

void cw_surface_gap(cw_face_state surface, double layer_m, double *low_m, double *high_m)
{
    static const double usual_mm[][2] = { { 0.05, 0.1 }, { 0.1, 0.3 }, { 0.4, 0.8 } };

    *low_m = 1e-3 * usual_mm[surface][0] + layer_m;
    *high_m = 1e-3 * usual_mm[surface][1] + layer_m;
}
