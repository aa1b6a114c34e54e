/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Surfaces in still air: natural convection by published correlations, radiation to walls at the air's temperature. */
#include "coilwright/heat.h"

#include <math.h>

#define KELVIN 273.15
#define GRAVITY 9.80665
#define STEFAN 5.670374e-8 /* W/(m2 K4) */

/* Source: U.S. Standard Atmosphere 1976, eqs. (51) viscosity, (53) conductivity (from memory; the tests hold them
 * against a textbook's table to 1 %). Specific heat: a parabola through the same table, to 0.3 %. */
void cw_heat_air_at(double temperature_c, cw_heat_air *air)
{
    double t = temperature_c + KELVIN;
    double density = 101325 / (287.053 * t);
    double heat = 1002.5 + 275e-6 * (t - 200) * (t - 200);

    air->viscosity_m2_s = 1.458e-6 * pow(t, 1.5) / (t + 110.4) / density;
    air->conductivity_w_per_mk = 2.64638e-3 * pow(t, 1.5) / (t + 245.4 * pow(10, -12 / t));
    air->diffusivity_m2_s = air->conductivity_w_per_mk / (density * heat);
    air->prandtl = air->viscosity_m2_s / air->diffusivity_m2_s;
}

double cw_heat_nusselt_vertical(double ra, double prandtl)
{
    double root = 0.825 + 0.387 * pow(ra, 1. / 6) / pow(1 + pow(0.492 / prandtl, 9. / 16), 8. / 27);

    return root * root;
}

double cw_heat_nusselt_vertical_laminar(double ra, double prandtl)
{
    return 0.68 + 0.670 * pow(ra, 0.25) / pow(1 + pow(0.492 / prandtl, 9. / 16), 4. / 9);
}

double cw_heat_nusselt_slender(double ra, double prandtl, double height_over_diameter)
{
    double b = 0.0571322 + 0.20305 * pow(prandtl, -0.43);
    double c = 0.9165 - 0.0043 * sqrt(prandtl) + 0.01333 * log(prandtl) + 0.0004809 / prandtl;
    double ratio = sqrt(32) * pow(ra / prandtl, -0.25) * height_over_diameter;

    return cw_heat_nusselt_vertical(ra, prandtl) * (1 + b * pow(ratio, c));
}

double cw_heat_nusselt_horizontal_cylinder(double ra, double prandtl)
{
    double root = 0.60 + 0.387 * pow(ra, 1. / 6) / pow(1 + pow(0.559 / prandtl, 9. / 16), 8. / 27);

    return root * root;
}

/* The two branches cross at Ra = 4.6e6, where the source changes over at 1e7 with a jump; taking the greater keeps
 * the flux continuous. */
double cw_heat_nusselt_plate_up(double ra)
{
    return fmax(0.54 * pow(ra, 0.25), ra > 1e7 ? 0.15 * cbrt(ra) : 0);
}

double cw_heat_nusselt_plate_down(double ra)
{
    return 0.27 * pow(ra, 0.25);
}

double cw_heat_nusselt_block(double ra)
{
    return 0.52 * pow(ra, 0.25);
}

static double nusselt(const cw_surface *surface, double ra, double prandtl)
{
    switch (surface->kind) {
    case CW_SURFACE_VERTICAL:
        if (surface->other_m > 0)
            return cw_heat_nusselt_slender(ra, prandtl, surface->size_m / surface->other_m);
        return cw_heat_nusselt_vertical(ra, prandtl);
    case CW_SURFACE_HORIZONTAL_CYLINDER:
        return cw_heat_nusselt_horizontal_cylinder(ra, prandtl);
    case CW_SURFACE_UP:
        return cw_heat_nusselt_plate_up(ra);
    case CW_SURFACE_DOWN:
        return cw_heat_nusselt_plate_down(ra);
    case CW_SURFACE_BLOCK:
        return cw_heat_nusselt_block(ra);
    case CW_SURFACE_FIXED:
    case CW_SURFACE_KIND_COUNT:
        break;
    }
    return 0;
}

/* A surface colder than its air faces it the other way round. */
static double convection_flux(const cw_surface *surface, double temperature_c)
{
    cw_heat_air air;
    cw_surface turned = *surface;
    double difference = temperature_c - surface->sink_c, size = fabs(difference), film, ra;

    if (size < 1e-9)
        return 0;
    if (difference < 0 && surface->kind == CW_SURFACE_UP)
        turned.kind = CW_SURFACE_DOWN;
    else if (difference < 0 && surface->kind == CW_SURFACE_DOWN)
        turned.kind = CW_SURFACE_UP;
    film = 0.5 * (temperature_c + surface->sink_c);
    cw_heat_air_at(film, &air);
    ra = GRAVITY / (film + KELVIN) * size * pow(surface->size_m, 3) / (air.viscosity_m2_s * air.diffusivity_m2_s);
    return difference * nusselt(&turned, ra, air.prandtl) * air.conductivity_w_per_mk / surface->size_m;
}

static double scale_of(const cw_surface *surface)
{
    return surface->scale > 0 ? surface->scale : 1;
}

void cw_surface_flux(const cw_surface *surface, double temperature_c, double *flux, double *slope)
{
    double t = temperature_c + KELVIN, sink = surface->sink_c + KELVIN, step = 1e-3;

    if (surface->kind == CW_SURFACE_FIXED) {
        *slope = scale_of(surface) * surface->coefficient_w_per_m2k;
        *flux = *slope * (temperature_c - surface->sink_c);
        return;
    }
    *flux = scale_of(surface) * convection_flux(surface, temperature_c) +
            surface->emissivity * STEFAN * (pow(t, 4) - pow(sink, 4));
    *slope = scale_of(surface) * (convection_flux(surface, temperature_c + step) -
                                  convection_flux(surface, temperature_c - step)) / (2 * step) +
             4 * surface->emissivity * STEFAN * t * t * t;
}

double cw_surface_coefficient(const cw_surface *surface, double temperature_c)
{
    double flux, slope;

    cw_surface_flux(surface, temperature_c, &flux, &slope);
    return fabs(temperature_c - surface->sink_c) < 1e-9 ? slope : flux / (temperature_c - surface->sink_c);
}
