/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What iron does: H for a given B, smooth and always rising, from a table to any saturation.
 *
 * Knows: the B-H tables in data/bh and how they go on beyond their last point. Needs: base. Refuses to know: geometry.
 *
 * A bar of nominally equal steel may need a field four times as great for the same flux density; a curve is a guide,
 * not a promise. */
#ifndef COILWRIGHT_IRON_H
#define COILWRIGHT_IRON_H

#include "coilwright/base.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct cw_iron cw_iron;

/** Iron by its name in data/bh/iron.csv, as in "low-carbon-steel". An unknown name is refused with the nearest one. */
CW_API cw_status cw_iron_find(const char *name, cw_iron **iron, cw_error *error);

/** Iron from a table.
 *
 *  count         2 or more points, from 0,0, both columns rising, B rising by mu0 dH at least
 *  saturation_t  polarization B - mu0 H that the curve approaches; where it is below the last point's, or the table
 *                rises too steeply at its end to be that near to it, a higher one is taken
 *
 *  Between points H(B) is the monotone cubic of F. N. Fritsch and J. Butland (SIAM J. Sci. Stat. Comput. 5, 1984).
 *  Behind the last point the polarization is J = Js - (Js - Jn) Hn / H, joined with one slope. */
CW_API cw_status cw_iron_create(const double *field_a_per_m, const double *density_t, size_t count,
                                double saturation_t, cw_iron **iron, cw_error *error);

/** Iron of one permeability, for checks against closed forms. */
CW_API cw_status cw_iron_create_linear(double relative_permeability, cw_iron **iron, cw_error *error);
CW_API void cw_iron_destroy(cw_iron **iron);

/** H in A/m for B >= 0 in tesla, its slope dH/dB, and the stored energy int H dB in J/m3. NULL where not wanted. */
CW_API double cw_iron_field(const cw_iron *iron, double density_t, double *slope, double *energy);

/** Polarization that the curve approaches; infinite for linear iron. */
CW_API double cw_iron_saturation_t(const cw_iron *iron);

/** Coercivity of an iron after saturation, as a range; a guide, since it hangs on the last anneal and the last blow.
 *  trust  'S' published, 'M' an order of magnitude
 *  False where nothing is known of that name's. */
CW_API bool cw_iron_coercivity(const char *name, double range_a_per_m[2], char *trust);

/** The name at an index, in the order of the file; false behind the last. */
CW_API bool cw_iron_name(size_t index, char *buffer, size_t size);

#ifdef __cplusplus
}
#endif
#endif
