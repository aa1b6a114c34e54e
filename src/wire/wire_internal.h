/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_WIRE_INTERNAL_H
#define CW_WIRE_INTERNAL_H

#include "coilwright/wire.h"

/* What a covering does to one size. min_m is NAN where it is not made. */
typedef struct cw_wire__overall {
    double min_m, max_m;
    cw_trust trust;
} cw_wire__overall;

/* A size as it stands in the catalogue. */
typedef struct cw_wire__entry {
    cw_wire_size size; /* first, so that a size's address is its entry's */
    cw_band copper_ohm_per_m;
    cw_wire__overall overall[CW_BUILD_COUNT];
} cw_wire__entry;

/* One row of wire_coverings.csv. */
typedef struct cw_wire__covering {
    double increase_m, spread, density_kg_m3, least_m, greatest_m;
} cw_wire__covering;

struct cw_wire_catalogue {
    cw_wire__entry *entries;
    size_t count, capacity;
    cw_conductor conductors[CW_MATERIAL_COUNT];
    cw_wire__covering coverings[CW_BUILD_COUNT]; /* cotton and silk only */
};

/* Density of enamel as it lies on wire. Derived from the printed masses of single build and bare wire, 14 to 34 AWG:
 * 1220 to 1590, median 1410. [MW1000 as republished; the derivation: tests/outside/magnet_wire_tables.c] */
#define CW_WIRE__ENAMEL_DENSITY_KG_M3 1410.0

double cw_wire__section_m2(double diameter_m);

/* Readers of the tables, each for its own standard; catalogue.c calls them in turn. */
cw_status cw_wire__read_metric(cw_wire_catalogue *catalogue, cw_error *error);
cw_status cw_wire__read_awg(cw_wire_catalogue *catalogue, cw_error *error);
cw_status cw_wire__read_swg(cw_wire_catalogue *catalogue, cw_error *error);

/* A new entry with everything unknown, or NULL without memory. */
cw_wire__entry *cw_wire__append(cw_wire_catalogue *catalogue);

/* Least increase and (greatest overall - nominal) that the metric standard sets for the next larger size of its R20
 * series: the rule by which it covers sizes that are not in it.
 * grade  CW_SINGLE, CW_HEAVY or CW_TRIPLE. false where the standard has none. */
bool cw_wire__metric_increase(double diameter_m, cw_build grade, double *least_m, double *greatest_m);

#endif
