/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How warm a coil becomes, where no magnet is given.
 *
 *     surface rise   = P/(h A)              A: outside and both ends of a coil that fills its window
 *     mean rise      = P/(h A) (1 + Bi/3)   a slab of the window's depth L, warm all through, its inner face insulated
 *     hot-spot rise  = P/(h A) (1 + Bi/2)   Bi = h L/k
 *
 * h from the rule 125 K per W/in2 of MIL-HDBK-217F, section 11.3 [heat: §3.3], k from the middle of the band for dry,
 * layer-wound coils [heat: §4, low confidence], the slab from [heat: §5.1]. Iron that touches the coil makes it cooler,
 * resin too, a closed box hotter: an estimate to compare options by. Where the coil's own place has been computed, the
 * request brings K/W and hot-spot share from there. */
#include "choose/choose_internal.h"

#include <math.h>

static const double surface_w_per_m2_k = 12.40;
static const double section_w_per_m_k = 0.2;

static double warm_surface_m2(const cw_window *window)
{
    return cw_window_turn_length(window, window->depth_m) * window->length_m +
           2 * window->depth_m * cw_window_turn_length(window, 0.5 * window->depth_m);
}

/* Greatest rise over a steady cycle as a share of that of continuous duty, for one time constant [heat: §5.6]. The
 * constant is that of a window half full of copper. */
static double duty_share(const cw_window *window, const cw_supply *supply)
{
    const double volume = window->depth_m * window->length_m * cw_window_turn_length(window, 0.5 * window->depth_m);
    const double constant_s = 0.5 * volume * 8890 * 385 / (surface_w_per_m2_k * warm_surface_m2(window));
    const double share = supply->duty_share > 0 && supply->duty_share < 1 ? supply->duty_share : 1;

    if (share == 1 || !(supply->duty_period_s > 0))
        return share;
    return expm1(-share * supply->duty_period_s / constant_s) / expm1(-supply->duty_period_s / constant_s);
}

void cw_choose__heat_make(const cw_window *window, const cw_supply *supply, const cw_choice_cooling *cooling,
                          double coil_voltage_v, cw_choose__heat *heat)
{
    const double biot = surface_w_per_m2_k * window->depth_m / section_w_per_m_k;

    heat->known = coil_voltage_v > 0 && supply->kind != CW_AC;
    heat->voltage_v = coil_voltage_v;
    heat->ambient_c = isnan(supply->ambient_c) || !supply->given ? 40 : supply->ambient_c; /* rating tables' ambient
                                                                                              [heat: §1.3] */
    heat->mean_k_per_w =
        duty_share(window, supply) * (1 + biot / 3) / (surface_w_per_m2_k * warm_surface_m2(window));
    heat->hot_share = (1 + biot / 2) / (1 + biot / 3);
    heat->in_magnet = heat->known && cooling->mean_k_per_w > 0;
    if (heat->in_magnet) {
        heat->mean_k_per_w = cooling->mean_k_per_w;
        heat->hot_share = cooling->hot_share;
    }
}

/* At a fixed voltage the watts fall as the coil warms: x (c + a x) = K V^2/R20 with c = 1 + a (ambient - 20). */
double cw_choose__mean_rise(const cw_choose__heat *heat, const cw_conductor *conductor, double resistance_20c_ohm,
                            double voltage_v)
{
    const double a = conductor->temperature_coefficient_20c_per_k;
    const double c = cw_wire_temperature_factor(conductor, heat->ambient_c);
    const double cold_rise = heat->mean_k_per_w * voltage_v * voltage_v / resistance_20c_ohm;

    return 2 * cold_rise / (c + sqrt(c * c + 4 * a * cold_rise));
}
