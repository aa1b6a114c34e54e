/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A wire: a size with its material and covering. */
#include "wire/wire_internal.h"

#include <math.h>

double cw_wire_temperature_factor(const cw_conductor *conductor, double temperature_c)
{
    return 1 + conductor->temperature_coefficient_20c_per_k * (temperature_c - 20);
}

static double covering_density(const cw_wire_catalogue *catalogue, cw_build build)
{
    if (build >= CW_SINGLE_COTTON && build <= CW_DOUBLE_SILK)
        return catalogue->coverings[build].density_kg_m3;
    return CW_WIRE__ENAMEL_DENSITY_KG_M3;
}

cw_status cw_wire_make(const cw_wire_catalogue *catalogue, const cw_wire_size *size, cw_build build,
                       cw_material material, cw_wire *wire, cw_error *error)
{
    const cw_wire__entry *entry = (const cw_wire__entry *)(const void *)size;
    const cw_conductor *conductor = &catalogue->conductors[material];
    const cw_wire__overall *overall = &entry->overall[build];
    /* limits of resistance come from diameter and purity of copper; aluminium takes their shares */
    double ratio = conductor->resistivity_20c_ohm_m / catalogue->conductors[CW_COPPER].resistivity_20c_ohm_m;
    double bare = size->diameter_m.nominal;

    if (isnan(overall->min_m))
        return cw_refuse(error, NULL, NULL,
                         "No table here gives %s wire of %s. Try another build, or \"bare\" for the conductor alone.",
                         cw_build_trade_name(size->system, build), size->name);
    wire->size = *size;
    wire->material = material;
    wire->build = build;
    wire->overall_diameter_m.min = overall->min_m;
    wire->overall_diameter_m.max = overall->max_m;
    wire->overall_diameter_m.nominal = build == CW_BARE ? bare : 0.5 * (overall->min_m + overall->max_m);
    wire->overall_trust = overall->trust;
    wire->resistance_ohm_per_m.min = ratio * entry->copper_ohm_per_m.min;
    wire->resistance_ohm_per_m.nominal = ratio * entry->copper_ohm_per_m.nominal;
    wire->resistance_ohm_per_m.max = ratio * entry->copper_ohm_per_m.max;
    wire->covering_density_kg_m3 = covering_density(catalogue, build);
    wire->bare_mass_kg_per_m = conductor->density_kg_m3 * cw_wire__section_m2(bare);
    wire->mass_kg_per_m = wire->bare_mass_kg_per_m +
                          wire->covering_density_kg_m3 * (cw_wire__section_m2(wire->overall_diameter_m.nominal) -
                                                          cw_wire__section_m2(bare));
    return CW_OK;
}
