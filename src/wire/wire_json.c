/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "wire/wire_json.h"

static json_t *band_json(const cw_band *band)
{
    return json_pack("{s:f, s:f, s:f}", "min", band->min, "nominal", band->nominal, "max", band->max);
}

static const char *trust_name(cw_trust trust)
{
    return trust == CW_PRINTED ? "printed" : trust == CW_DERIVED ? "derived" : "from memory";
}

json_t *cw_wire_json(const cw_wire *wire)
{
    return json_pack("{s:s, s:s, s:s, s:f, s:o, s:o, s:s, s:o, s:f, s:f}",
                     "size", wire->size.name,
                     "build", cw_build_name(wire->build),
                     "material", cw_material_name(wire->material),
                     "bare_diameter_m", wire->size.diameter_m.nominal,
                     "bare_diameter_band_m", band_json(&wire->size.diameter_m),
                     "overall_diameter_m", band_json(&wire->overall_diameter_m),
                     "overall_diameter_trust", trust_name(wire->overall_trust),
                     "resistance_ohm_per_m", band_json(&wire->resistance_ohm_per_m),
                     "mass_kg_per_m", wire->mass_kg_per_m,
                     "bare_mass_kg_per_m", wire->bare_mass_kg_per_m);
}
