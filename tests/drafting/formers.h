/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Formers of every kind to draw: the examples' two, odd ones, and any number of random ones, the same at every run. */
#ifndef CW_TESTS_FORMERS_H
#define CW_TESTS_FORMERS_H

#include "coilwright/former_drawing.h"

#include <math.h>
#include <string.h>

typedef struct drawn_former {
    const char *name;
    cw_former former;
    cw_drafting_setting setting;
} drawn_former;

static inline cw_former_plan former_plan(cw_shape shape, double a_mm, double b_mm, double corner_mm, double length_mm,
                                         double depth_mm)
{
    cw_former_plan plan;

    cw_former_plan_init(&plan);
    plan.window = (cw_window){ .shape = shape, .inner_m = { a_mm * 1e-3, b_mm * 1e-3 },
                               .corner_radius_m = corner_mm * 1e-3, .length_m = length_mm * 1e-3,
                               .depth_m = depth_mm * 1e-3 };
    return plan;
}

static inline cw_drafting_setting former_setting(cw_unit_system units, cw_drafting_projection projection)
{
    return (cw_drafting_setting){ .paper = units == CW_INCH_UNITS ? CW_DRAFTING_LETTER : CW_DRAFTING_A4,
                                  .units = units, .projection = projection, .general_class = CW_DRAFTING_MEDIUM,
                                  .job = "left coil", .machine = "a machine", .date = "2031-05-17" };
}

#define ODD_FORMERS 12

/* The plans behind the fixed ones. */
static inline const char *odd_plan(int index, cw_former_plan *plan)
{
    switch (index) {
    case 0: /* examples/press-brake.yaml */
        *plan = former_plan(CW_ROUND, 76.2, 76.2, 0, 31.75, 10.16);
        plan->wall_m = 1.5875e-3, plan->flange_m = 2.032e-3;
        plan->core_m[0] = plan->core_m[1] = 72.39e-3;
        return "press brake";
    case 1: /* examples/chuck-plate.yaml */
        *plan = former_plan(CW_RECTANGLE, 120, 36, 6, 40, 16);
        plan->wall_m = 2e-3, plan->flange_m = 2.5e-3, plan->finish = CW_FINISH_FAR_FLANGE;
        return "chuck plate";
    case 2:
        *plan = former_plan(CW_ROUND, 20, 20, 0, 150, 5);
        plan->finish = CW_FINISH_BOTH;
        return "long and thin";
    case 3:
        *plan = former_plan(CW_ROUND, 200, 200, 0, 12, 30);
        plan->pins = 4;
        return "flat";
    case 4:
        *plan = former_plan(CW_ROUND, 9, 9, 0, 8, 3);
        plan->slot_m = 1e-3, plan->fillet_m = 0.3e-3;
        return "tiny";
    case 5:
        *plan = former_plan(CW_RECTANGLE, 400, 250, 15, 180, 60);
        plan->wall_m = 6e-3, plan->flange_m = 8e-3, plan->pins = 2;
        plan->tapes = 4, plan->tape_m = 20e-3, plan->tape_depth_m = 0.8e-3;
        return "huge";
    case 6:
        *plan = former_plan(CW_OBROUND, 60, 25, 0, 30, 8);
        plan->fillet_m = 1e-3, plan->tapes = 2;
        return "obround";
    case 7:
        *plan = former_plan(CW_ROUND, 30, 30, 0, 15, 8);
        plan->sections = 2, plan->making = CW_TURNED, plan->material = "acetal (POM)";
        return "two sections";
    case 8:
        *plan = former_plan(CW_RECTANGLE, 40, 30, 3, 35, 9);
        plan->split = true, plan->tapes = 2;
        return "split rectangle";
    case 9:
        *plan = former_plan(CW_ROUND, 50, 50, 0, 35, 9);
        plan->split = true, plan->tapes = 2, plan->wall_m = 3e-3;
        return "split round";
    case 10:
        *plan = former_plan(CW_ROUND, 40, 40, 0, 20, 12);
        plan->sections = 4, plan->slot_m = 2e-3, plan->pins = 2;
        return "four sections";
    default:
        *plan = former_plan(CW_RECTANGLE, 25, 12, 1, 22, 6);
        plan->slot_m = 0, plan->cavity_m[0] = 45e-3, plan->cavity_m[1] = 32e-3;
        return "square-cut, no slots";
    }
}

/* False where there is no such former: the design says no, which other tests are about. */
static inline bool odd_former(int index, drawn_former *drawn)
{
    cw_former_plan plan;

    drawn->name = odd_plan(index, &plan);
    drawn->setting = former_setting(index % 3 == 0 ? CW_INCH_UNITS : CW_METRIC_UNITS,
                                    index % 2 == 0 ? CW_DRAFTING_THIRD_ANGLE : CW_DRAFTING_FIRST_ANGLE);
    return cw_former_design(&plan, NULL, &drawn->former, NULL) == CW_OK;
}

/* A step of a linear congruential generator; its upper bits are good enough to vary sizes by. */
static inline double former_random(unsigned long long *state, double low, double high)
{
    *state = *state * 6364136223846793005ULL + 1442695040888963407ULL;
    return low + (high - low) * (double)(*state >> 11) / 9007199254740992.0;
}

/* Sizes a person would write: whole tenths of a millimetre, or whole hundredths of an inch. */
static inline double former_size(unsigned long long *state, double low_mm, double high_mm, bool inch)
{
    const double step = inch ? 0.254 : 0.1;

    return rint(former_random(state, low_mm, high_mm) / step) * step;
}

static inline void random_features(unsigned long long *state, cw_former_plan *plan, bool inch)
{
    plan->finish = (cw_finish_side)(int)former_random(state, 0, 3);
    plan->sections = former_random(state, 0, 1) < 0.2 ? (int)former_random(state, 2, 5) : 1;
    plan->pins = 2 * (int)former_random(state, 0, 3);
    plan->tapes = 2 * (int)former_random(state, 0, 3);
    plan->tape_m = former_size(state, 3, 15, inch) * 1e-3;
    plan->fillet_m = former_random(state, 0, 1) < 0.4 ? 0.5e-3 : 0;
    plan->slot_m = former_random(state, 0, 1) < 0.15 ? 0 : former_size(state, 0.8, 5, inch) * 1e-3;
    plan->split = former_random(state, 0, 1) < 0.25;
    plan->flange_m = former_size(state, 1.6, 6, inch) * 1e-3;
    plan->wall_m = former_size(state, 1.2, 4, inch) * 1e-3;
    plan->material = former_random(state, 0, 1) < 0.3 ? "PA66 30% glass" : NULL;
}

static inline bool random_former(unsigned long seed, drawn_former *drawn)
{
    unsigned long long state = seed * 0x9E3779B97F4A7C15ULL + 1;
    const bool inch = former_random(&state, 0, 1) < 0.5;
    const cw_shape shape = (cw_shape)(int)former_random(&state, 0, 3);
    const double across = former_size(&state, 6, 25, inch) * pow(10, former_random(&state, 0, 1));
    cw_former_plan plan = former_plan(shape, shape == CW_ROUND ? across : across * former_random(&state, 1, 3),
                                      across, former_random(&state, 0, 0.4) * across,
                                      former_size(&state, 6, 25, inch) * pow(10, former_random(&state, 0, 1)),
                                      former_size(&state, 2, 25, inch));

    random_features(&state, &plan, inch);
    drawn->name = "random";
    drawn->setting = former_setting(inch ? CW_INCH_UNITS : CW_METRIC_UNITS, former_random(&state, 0, 1) < 0.5
                                    ? CW_DRAFTING_FIRST_ANGLE : CW_DRAFTING_THIRD_ANGLE);
    return cw_former_design(&plan, NULL, &drawn->former, NULL) == CW_OK;
}

#endif
