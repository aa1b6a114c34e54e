/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Coils and machines for the tests of programs. Include after cmocka.h. */
#ifndef CW_TESTS_NC_COIL_H
#define CW_TESTS_NC_COIL_H

#include "coilwright/nc.h"

#include <string.h>

/* A copper wire so wide over its covering, in a round window. */
static inline cw_lay_plan coil_plan(double overall_m, double length_m, long turns)
{
    cw_lay_plan plan = { .turns = turns, .lay = CW_LEVEL, .in_hand = 1 };

    plan.wire.material = CW_COPPER;
    plan.wire.size.system = CW_METRIC;
    strcpy(plan.wire.size.name, "0.300 mm");
    plan.wire.size.diameter_m.nominal = 0.9 * overall_m;
    plan.wire.overall_diameter_m = (cw_band){ overall_m, overall_m, overall_m };
    plan.window = (cw_window){ .inner_m = { 0.04, 0.04 }, .length_m = length_m, .depth_m = 0.5 };
    return plan;
}

static inline cw_winding *coil_lay(const cw_lay_plan *plan)
{
    cw_winding *winding = NULL;
    cw_error error;

    if (cw_winding_lay(plan, &winding, &error) != CW_OK)
        fail_msg("%s", error.text);
    return winding;
}

static inline cw_machine coil_machine(cw_code code)
{
    cw_machine machine;

    cw_machine_init(&machine);
    machine.code = code;
    machine.kind = code == CW_ROTARY_A ? CW_ROTARY_WINDER :
                   code == CW_G95 || code == CW_G99 ? CW_LATHE_FEED : CW_LATHE_THREAD;
    return machine;
}

#endif
