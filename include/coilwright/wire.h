/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wire that can be bought or may be found in an old coil: sizes, coverings, resistance, mass.
 *
 * Knows: the American gauge by its formula, the metric series and the imperial gauge by their tables, enamel in three
 * thicknesses and cotton and silk in two, copper and aluminium. Needs: base, and the tables of data/. Refuses to know:
 * coils.
 *
 *     d(n) = 0.127 mm * 92^((36 - n)/39)                                        [ASTM B258]
 *     R/L  = rho20 / A * (1 + alpha20 (t - 20 °C)),  A = pi d^2 / 4             [IEC60028, IEC60889]
 *     m/L  = density A + density_covering pi (D^2 - d^2) / 4
 *
 * Bands. AWG: nominal at the formula's diameter; limits at the diameter limits of the magnet wire standard, all at
 * 100 % IACS. Metric: the standard's own rule, 1/58.5 ohm mm2/m nominal, 1/59 at the greatest and 1/58 at the least
 * diameter. SWG: nominal at 100 % IACS, limits as metric. The sources stand in the tables and in
 * docs/references.md; the two AWG tables that disagree by up to 3 % are explained in docs/wire.md. */
#ifndef COILWRIGHT_WIRE_H
#define COILWRIGHT_WIRE_H

#include "coilwright/base.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_size_system { CW_AWG, CW_METRIC, CW_SWG, CW_SIZE_SYSTEM_COUNT } cw_size_system;

typedef enum cw_build {
    CW_SINGLE, CW_HEAVY, CW_TRIPLE,           /* enamel; grade 1, 2, 3 in the metric standard */
    CW_SINGLE_COTTON, CW_DOUBLE_COTTON, CW_SINGLE_SILK, CW_DOUBLE_SILK,
    CW_BARE,                                  /* no covering: of use to compute with, not to wind */
    CW_BUILD_COUNT
} cw_build;

typedef enum cw_material { CW_COPPER, CW_ALUMINIUM, CW_MATERIAL_COUNT } cw_material;

/** How far a figure may be trusted. */
typedef enum cw_trust { CW_PRINTED, CW_DERIVED, CW_FROM_MEMORY } cw_trust;

typedef struct cw_band {
    double min, nominal, max;
} cw_band;

/** A bare size. */
typedef struct cw_wire_size {
    char name[24];          /* as written in a job: "28.5 AWG", "0.250 mm", "31 SWG" */
    cw_size_system system;
    double number;          /* gauge number (0 = 0 AWG, -1 = 00 AWG), or millimetres */
    cw_band diameter_m;     /* of the bare conductor */
    bool intermediate;      /* between the preferred sizes (AWG halves, the metric R40): made, but not by everyone */
} cw_wire_size;

/** A size with its material and covering; everything per metre of one strand at 20 °C. */
typedef struct cw_wire {
    cw_wire_size size;
    cw_material material;
    cw_build build;
    cw_band overall_diameter_m;
    cw_trust overall_trust;
    cw_band resistance_ohm_per_m; /* at 20 °C */
    double mass_kg_per_m;         /* covering on, nominal */
    double bare_mass_kg_per_m;
    double covering_density_kg_m3;
} cw_wire;

/** Constants of a conductor. */
typedef struct cw_conductor {
    const char *name;              /* "copper" */
    double resistivity_20c_ohm_m;  /* 100 % IACS for copper */
    double temperature_coefficient_20c_per_k;
    double density_kg_m3;
    double specific_heat_j_per_kg_k;
    double conductivity_w_per_m_k; /* of heat */
} cw_conductor;

/** All sizes and coverings, read from the tables once and then constant; may be shared between threads. */
typedef struct cw_wire_catalogue cw_wire_catalogue;

CW_API cw_status cw_wire_catalogue_create(cw_wire_catalogue **catalogue, cw_error *error);
CW_API void cw_wire_catalogue_destroy(cw_wire_catalogue **catalogue);

/** Sizes in falling diameter within a system: AWG, then metric, then SWG. Lent, lives with the catalogue. */
CW_API size_t cw_wire_size_count(const cw_wire_catalogue *catalogue);
CW_API const cw_wire_size *cw_wire_size_at(const cw_wire_catalogue *catalogue, size_t index);

/** Reads "29 AWG", "28.5 AWG", "2/0 AWG", "0.250 mm", "31 SWG" (blanks and case are free, "AWG 29" too).
 *  A size that is not made is refused with its neighbours. */
CW_API cw_status cw_wire_size_parse(const cw_wire_catalogue *catalogue, const char *text, size_t length,
                                    const cw_place *at, const cw_wire_size **size, cw_error *error);

/** "heavy", "grade 2", "double cotton" ... ; "copper", "aluminium" (also "aluminum"). */
CW_API cw_status cw_build_parse(const char *text, size_t length, const cw_place *at, cw_build *build, cw_error *error);
CW_API cw_status cw_material_parse(const char *text, size_t length, const cw_place *at, cw_material *material,
                                   cw_error *error);
CW_API const char *cw_build_name(cw_build build); /* "heavy" */
CW_API const char *cw_material_name(cw_material material);

/** The name of a build in the words of a size's own standard: "heavy" for AWG and SWG, "grade 2" for metric. */
CW_API const char *cw_build_trade_name(cw_size_system system, cw_build build);

/** A size with material and covering.
 *  CW_BAD_INPUT where the standard has no such covering for the size (grade 3 below 0.067 mm, say).
 *  With error == NULL the refusal costs nothing, so that a search may try everything. */
CW_API cw_status cw_wire_make(const cw_wire_catalogue *catalogue, const cw_wire_size *size, cw_build build,
                              cw_material material, cw_wire *wire, cw_error *error);

CW_API const cw_conductor *cw_wire_conductor(const cw_wire_catalogue *catalogue, cw_material material);

/** Factor by which resistance at 20 °C grows to that at temperature_c: 1 + alpha20 (t - 20). Linear law of
 *  [IEC60028]; sound from about -50 to 250 °C. */
CW_API double cw_wire_temperature_factor(const cw_conductor *conductor, double temperature_c);

/** Diameter in metres of an American gauge number, fractions welcome [ASTM B258]. */
CW_API double cw_awg_diameter_m(double gauge);

#ifdef __cplusplus
}
#endif
#endif
