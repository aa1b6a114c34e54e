/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Magnets solved at one point, along curves, and by the hand sum. */
#include "coilwright/field.h"
#include "coilwright/iron.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MU0 (4e-7 * 3.14159265358979323846)
#define PI 3.14159265358979323846

cw_status cw_magnet_curve(const cw_magnet *magnet, const cw_field_wish *wish, const double *gap_m,
                          const double *current_a, size_t count, cw_field_result *results, cw_error *error)
{
    cw_section section;
    cw_field *field = NULL;
    cw_status status = cw_magnet_section(magnet, &section, error);

    if (status == CW_OK)
        status = cw_field_create(&section, wish, &field, error);
    for (size_t i = 0; i < count && status == CW_OK; i++) {
        double currents[CW_MOST_MAGNET_COILS];

        for (int c = 0; c < CW_MOST_MAGNET_COILS; c++)
            currents[c] = current_a[i];
        status = cw_field_solve(field, gap_m[i], currents, &results[i], error);
    }
    cw_field_destroy(&field);
    return status;
}

cw_status cw_magnet_solve(const cw_magnet *magnet, const cw_field_wish *wish, cw_field_result *result,
                          cw_error *error)
{
    return cw_magnet_curve(magnet, wish, &magnet->gap_m, &magnet->current_a, 1, result, error);
}

/* ---- hand sum ------------------------------------------------------------------------------------------------- */

/* One length of the flux's path: iron or gap of an even section. */
typedef struct piece {
    double length_m, area_m2;
    bool plate;
} piece;

typedef struct path {
    piece iron[6];
    size_t iron_count;
    double gap_reluctance; /* A/Wb */
    double gap_pull;       /* sum of 1/(2 mu0 area) over the faces that pull, 1/(H m) */
    double turns;          /* round the whole flux */
} path;

static void add_piece(path *path, double length, double area, bool plate)
{
    path->iron[path->iron_count++] = (piece){ length, area, plate };
}

static void add_face(path *path, double gap, double area, double count)
{
    path->gap_reluctance += count * gap / (MU0 * area);
    path->gap_pull += count / (2 * MU0 * area);
}

static double ring(double inner, double outer)
{
    return PI * (outer * outer - inner * inner);
}

/* Flux that turns from a pole into a disc crosses it radially: the area is taken at the pole's rim. */
static void pot_path(const cw_magnet *m, path *path)
{
    double outer = 0.5 * m->outer_diameter_m, inner = outer - m->rim_thickness_m, pole = 0.5 * m->pole_diameter_m;
    double bore = 0.5 * m->bore_diameter_m, leg = m->height_m - m->base_thickness_m, across = 0.5 * (inner + outer);

    add_piece(path, leg + 0.5 * m->base_thickness_m, ring(bore, pole), false);
    add_piece(path, leg + 0.5 * m->base_thickness_m, ring(inner, outer), false);
    add_piece(path, across - pole, 2 * PI * pole * m->base_thickness_m, false);
    add_piece(path, across - pole, 2 * PI * pole * m->plate_thickness_m, true);
    add_face(path, m->gap_m, ring(bore, pole), 1);
    add_face(path, m->gap_m, ring(inner, outer), 1);
    path->turns = m->coil.turns;
}

static void plunger_path(const cw_magnet *m, path *path)
{
    double outer = 0.5 * m->outer_diameter_m, inner = outer - m->rim_thickness_m, pole = 0.5 * m->pole_diameter_m;
    double guide = 2 * PI * (pole + 0.5 * m->guide_gap_m) * m->collar_thickness_m;
    /* a cone's gap is narrower by the sine of half its apex angle, and its area wider by as much */
    double sine2 = pole * pole / (pole * pole + m->cone_height_m * m->cone_height_m);

    add_piece(path, m->height_m, ring(inner, outer), false);
    add_piece(path, m->height_m, PI * pole * pole, true);
    add_piece(path, 0.5 * (inner + outer) - pole, 2 * PI * pole * m->base_thickness_m, false);
    add_piece(path, 0.5 * (inner + outer) - pole, 2 * PI * pole * m->collar_thickness_m, false);
    add_face(path, m->gap_m, PI * pole * pole / sine2, 1);
    path->gap_reluctance += m->guide_gap_m / (MU0 * guide);
    path->turns = m->coil.turns;
}

static void u_path(const cw_magnet *m, path *path)
{
    double leg = m->height_m - 0.5 * m->base_thickness_m, across = m->window_width_m + m->pole_width_m;

    add_piece(path, 2 * leg, m->pole_width_m * m->depth_m, false);
    add_piece(path, across, m->base_thickness_m * m->depth_m, false);
    add_piece(path, across, m->plate_thickness_m * m->depth_m, true);
    add_face(path, m->gap_m, m->pole_width_m * m->depth_m, 2);
    path->turns = (m->coil_on_base ? 1 : 2) * m->coil.turns;
}

static void e_path(const cw_magnet *m, path *path)
{
    double leg = m->height_m - 0.5 * m->base_thickness_m;
    double across = m->window_width_m + 0.5 * (m->pole_width_m + m->rim_thickness_m);

    add_piece(path, leg, m->pole_width_m * m->depth_m, false);
    add_piece(path, leg, 2 * m->rim_thickness_m * m->depth_m, false);
    add_piece(path, across, 2 * m->base_thickness_m * m->depth_m, false);
    add_piece(path, across, 2 * m->plate_thickness_m * m->depth_m, true);
    add_face(path, m->gap_m, m->pole_width_m * m->depth_m, 1);
    add_face(path, m->gap_m, 2 * m->rim_thickness_m * m->depth_m, 1);
    path->turns = m->coil.turns;
}

/* Ampere-turns that a flux asks for. */
static double ampere_turns(const path *path, const cw_iron *iron, const cw_iron *plate, double flux)
{
    double sum = flux * path->gap_reluctance;

    for (size_t i = 0; i < path->iron_count; i++)
        sum += path->iron[i].length_m * cw_iron_field(path->iron[i].plate ? plate : iron,
                                                      flux / path->iron[i].area_m2, NULL, NULL);
    return sum;
}

static cw_status iron_named(const char *name, cw_iron **iron, cw_error *error)
{
    double permeability;

    if (sscanf(name, "linear %lf", &permeability) == 1)
        return cw_iron_create_linear(permeability, iron, error);
    return cw_iron_find(name, iron, error);
}

static void sum_path(const cw_magnet *m, const path *path, const cw_iron *iron, const cw_iron *plate, cw_hand_sum *sum)
{
    double wanted = path->turns * fabs(m->current_a), low = 0, high = 1e-9;

    while (ampere_turns(path, iron, plate, high) < wanted)
        high *= 2;
    for (int i = 0; i < 200 && high - low > 1e-13 * high; i++) {
        double middle = 0.5 * (low + high);

        if (ampere_turns(path, iron, plate, middle) < wanted)
            low = middle;
        else
            high = middle;
    }
    sum->flux_wb = high;
    sum->flux_linkage_wb = high * path->turns;
    sum->force_n = high * high * path->gap_pull;
    sum->gap_share = wanted > 0 ? high * path->gap_reluctance / wanted : 1;
}

cw_status cw_magnet_hand_sum(const cw_magnet *magnet, cw_hand_sum *sum, cw_error *error)
{
    path path = { 0 };
    cw_section section;
    cw_iron *iron = NULL, *plate = NULL;
    const char *other = magnet->shape == CW_MAGNET_PLUNGER ? magnet->plunger_iron : magnet->plate_iron;
    cw_status status = cw_magnet_section(magnet, &section, error);

    if (status != CW_OK)
        return status;
    switch (magnet->shape) {
    case CW_MAGNET_POT: pot_path(magnet, &path); break;
    case CW_MAGNET_PLUNGER: plunger_path(magnet, &path); break;
    case CW_MAGNET_U: u_path(magnet, &path); break;
    case CW_MAGNET_E: e_path(magnet, &path); break;
    case CW_MAGNET_SECTION:
        *sum = (cw_hand_sum){ NAN, NAN, NAN, NAN };
        return CW_OK;
    }
    status = iron_named(magnet->iron, &iron, error);
    if (status == CW_OK)
        status = iron_named(other[0] != '\0' ? other : magnet->iron, &plate, error);
    if (status == CW_OK)
        sum_path(magnet, &path, iron, plate, sum);
    cw_iron_destroy(&iron);
    cw_iron_destroy(&plate);
    return status;
}
