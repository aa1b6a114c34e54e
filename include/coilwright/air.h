/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Coaxial coils in air: inductance, mutual inductance, force and field, by elliptic integrals.
 *
 * Knows: loops, thin solenoids, and coils whose winding fills a rectangular section with even current density.
 * Needs: base. Refuses to know: iron, wire, insulation (a real coil's turns are round wires in a lattice; for more
 * than a few hundred turns that changes the inductance by less than a reading shows).
 *
 *            outer radius  ┌────────────┐
 *                          │  winding   │
 *            inner radius  └────────────┘
 *            - - - - - - - - - axis - - - - - - - -
 *                          <── length ──>
 *
 * All lengths in metres and above zero; where they are not, or the inner radius is not below the outer one, the
 * functions return NAN. No allocation, no state. Test: tests/outside/magnetics_air.c */
#ifndef COILWRIGHT_AIR_H
#define COILWRIGHT_AIR_H

#include "coilwright/base.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A coil with a rectangular section. inner == outer radius is a thin solenoid only where a function says so. */
typedef struct cw_air_coil {
    double inner_radius_m, outer_radius_m, length_m;
    double centre_m; /* place of its middle along the axis */
    double turns;
} cw_air_coil;

/** Self-inductance in henry of a coil of rectangular section; about 0.15 ms, relative error below 1e-8 for length and
 *  build between 1/100 and 100 times the radius.
 *
 *  The mean of Maxwell's mutual inductance of two loops over both places in the section. */
CW_API double cw_air_coil_inductance(double inner_radius_m, double outer_radius_m, double length_m, double turns);

/** The short formula for the same coil, good to 1 to 3 %: a check of the order of magnitude.
 *  L = 31.5 uH/m N^2 a^2 / (6 a + 9 b + 10 c): a mean radius, b length, c build. */
CW_API double cw_air_coil_inductance_wheeler(double inner_radius_m, double outer_radius_m, double length_m,
                                             double turns);

/** Flux density in tesla at the middle of the coil, and on its axis at a distance from the middle. */
CW_API double cw_air_coil_centre_field_t(double inner_radius_m, double outer_radius_m, double length_m, double turns,
                                         double current_a);
CW_API double cw_air_coil_axis_field_t(double inner_radius_m, double outer_radius_m, double length_m, double turns,
                                       double current_a, double distance_m);

/** The same for a winding of no build. */
CW_API double cw_air_solenoid_axis_field_t(double radius_m, double length_m, double turns, double current_a,
                                           double distance_m);

/** Inductance of a winding of no build, and Nagaoka's coefficient of it (1 for a long one). */
CW_API double cw_air_solenoid_inductance(double radius_m, double length_m, double turns);
CW_API double cw_air_nagaoka(double diameter_over_length);

/** Mutual inductance of two coaxial loops of one turn, and the axial force between them for one ampere in each,
 *  in newton per square ampere; above zero where like currents pull them together. A distance of zero is welcome
 *  where the radii differ. */
CW_API double cw_air_loops_mutual_h(double radius_m, double other_radius_m, double distance_m);
CW_API double cw_air_loops_force_n_per_a2(double radius_m, double other_radius_m, double distance_m);

/** Field of one loop at a distance r from the axis and z from its plane, both components for one ampere.
 *  Outputs NAN on the wire itself. */
CW_API void cw_air_loop_field_t_per_a(double radius_m, double r_m, double z_m, double *radial, double *axial);

/** Mutual inductance of two coils that do not overlap, and the force between them for one ampere in each. Relative
 *  error below 1e-5 where they stand apart by a tenth of their smaller length or build, below 1e-3 where they touch. */
CW_API double cw_air_coils_mutual_h(const cw_air_coil *coil, const cw_air_coil *other);
CW_API double cw_air_coils_force_n_per_a2(const cw_air_coil *coil, const cw_air_coil *other);

/** Field of a coil anywhere outside its winding, and inside it to about 1e-3; tesla for one ampere. */
CW_API void cw_air_coil_field_t_per_a(const cw_air_coil *coil, double r_m, double z_m, double *radial, double *axial);

#ifdef __cplusplus
}
#endif
#endif
