/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tension, speeds and radii for a wire on its way to the coil: winding notes, sections 3 to 7. */
#include "nc/nc_simulation.h"

#include <math.h>

static const double fine_wire_m = 0.2e-3;
static const double splice_least_m = 0.1e-3;
static const double swing_most = 1.25; /* of the take-up, beyond which the usual speeds are halved */

void cw_wire_tension_band(const cw_wire *wire, double *low_n, double *high_n)
{
    double square = pow(wire->size.diameter_m.nominal * 1e3, 2);

    *low_n = wire->material == CW_COPPER ? 27 * square : NAN;
    *high_n = wire->material == CW_COPPER ? 43 * square : NAN;
}

/* An obround and a rectangle reach furthest at a corner, which its radius takes back by (sqrt(2) - 1) of itself. */
double cw_nc__take_up(const cw_winding *winding, size_t layer)
{
    const cw_window *window = &winding->plan.window;
    double height = winding->layers[layer].height_m, a, b;

    if (window->shape == CW_ROUND)
        return winding->layers[layer].diameter_m / 2;
    a = window->inner_m[0] / 2;
    b = window->inner_m[1] / 2;
    if (window->shape == CW_OBROUND)
        return fmax(a, b) + height;
    return hypot(a - window->corner_radius_m, b - window->corner_radius_m) + window->corner_radius_m + height;
}

static void take_up_arms(const cw_winding *winding, cw_handling *handling)
{
    const cw_window *window = &winding->plan.window;
    size_t last = winding->layer_count - 1;

    handling->take_up_least = handling->take_up_most = cw_nc__take_up(winding, last);
    if (window->shape != CW_ROUND)
        handling->take_up_least = fmin(window->inner_m[0], window->inner_m[1]) / 2 + winding->layers[last].height_m;
}

void cw_handling_of(const cw_winding *winding, cw_handling *handling)
{
    const cw_wire *wire = &winding->plan.wire;
    double diameter = wire->size.diameter_m.nominal;
    bool fine = diameter < fine_wire_m;

    cw_wire_tension_band(wire, &handling->tension_low_n, &handling->tension_high_n);
    handling->tension_most_n = wire->material == CW_COPPER ? 54.2 * diameter * diameter * 1e6 : NAN;
    handling->guide_radius_m = 10 * diameter;
    handling->corner_radius_m = 3 * diameter;
    handling->splice_allowed = diameter >= splice_least_m;
    take_up_arms(winding, handling);
    handling->speed_low_rpm = fine ? 300 : 30;
    handling->speed_high_rpm = fine ? 1000 : 300;
    if (handling->take_up_most > swing_most * handling->take_up_least) {
        handling->speed_low_rpm /= 2;
        handling->speed_high_rpm /= 2;
    }
}
