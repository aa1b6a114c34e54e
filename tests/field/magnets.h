/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Magnets that several tests use. */
#ifndef CW_TEST_MAGNETS_H
#define CW_TEST_MAGNETS_H

#include "coilwright/field.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* A holding magnet of our own, by shape; all dimensions awkward on purpose. */
static inline cw_magnet example_magnet(cw_magnet_shape shape)
{
    cw_magnet m;

    memset(&m, 0, sizeof m);
    m.shape = shape;
    strcpy(m.iron, "low-carbon-steel");
    strcpy(m.plate_iron, "structural-steel");
    m.outer_diameter_m = 0.0797;
    m.pole_diameter_m = 0.0361;
    m.rim_thickness_m = 0.0083;
    m.base_thickness_m = 0.0103;
    m.height_m = 0.0507;
    m.plate_thickness_m = 0.0111;
    m.pole_width_m = 0.0203;
    m.window_width_m = 0.0299;
    m.depth_m = 0.0607;
    m.stop_length_m = 0.0061;
    m.collar_thickness_m = 0.0073;
    m.guide_gap_m = 0.00041;
    m.gap_m = 0.00037;
    m.coil = (cw_magnet_coil){ shape == CW_MAGNET_POT || shape == CW_MAGNET_PLUNGER ? 0.0383 : 0.0217,
                               shape == CW_MAGNET_U ? 0.0443 : 0.0587, 0.0307, 0.0013, 1130 };
    m.current_a = 1.17;
    return m;
}

static inline double uniform(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static inline double uniform_log(uint64_t *seed, double low, double high)
{
    return low * pow(high / low, uniform(seed));
}

/* A magnet drawn at random: size 20 to 200 mm, gap 1/10000 to 1/20 of it, current from 0.01 to 50 times what fills
 * the gap with 1.5 T and the iron with 1 kA/m. */
static inline cw_magnet random_magnet(cw_magnet_shape shape, uint64_t *seed)
{
    cw_magnet m;
    double d = uniform_log(seed, 0.02, 0.2), room, pole;

    memset(&m, 0, sizeof m);
    m.shape = shape;
    strcpy(m.iron, uniform(seed) < 0.5 ? "low-carbon-steel" : "m530-50a");
    strcpy(m.plate_iron, uniform(seed) < 0.5 ? "structural-steel" : "grey-cast-iron");
    m.outer_diameter_m = d;
    m.pole_diameter_m = d * (0.3 + 0.2 * uniform(seed));
    m.rim_thickness_m = d * (0.05 + 0.1 * uniform(seed));
    m.base_thickness_m = d * (0.05 + 0.15 * uniform(seed));
    m.height_m = d * (0.4 + 0.6 * uniform(seed));
    m.plate_thickness_m = d * (0.03 + 0.2 * uniform(seed));
    m.pole_width_m = d * (0.15 + 0.15 * uniform(seed));
    m.window_width_m = d * (0.2 + 0.3 * uniform(seed));
    m.depth_m = d;
    m.gap_m = uniform_log(seed, d / 10000, d / 20);
    room = m.height_m - m.base_thickness_m;
    m.stop_length_m = 0.3 * room * uniform(seed);
    m.collar_thickness_m = 0.15 * room;
    m.guide_gap_m = uniform_log(seed, 0.003, 0.02) * d;
    if (shape == CW_MAGNET_PLUNGER)
        room -= m.collar_thickness_m;
    pole = shape == CW_MAGNET_U || shape == CW_MAGNET_E ? m.pole_width_m : m.pole_diameter_m;
    m.coil = (cw_magnet_coil){ 1.05 * pole, 0, 0.8 * room, 0.05 * room, 1000 };
    m.coil.outside_m = shape == CW_MAGNET_U   ? pole + 0.9 * m.window_width_m
                       : shape == CW_MAGNET_E ? pole + 1.9 * m.window_width_m
                                              : d - 2 * m.rim_thickness_m;
    m.current_a = uniform_log(seed, 0.01, 50) * (2 * m.gap_m * 1.5 / 1.2566e-6 + 2000 * d) / 1000;
    return m;
}

#endif
