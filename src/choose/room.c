/* SPDX-License-Identifier: GPL-3.0-or-later */
/* By how much the window is too shallow. */
#include "choose/choose_internal.h"

#include <math.h>

#define DEEPEST 3.0 /* of the window's depth; who lacks more has mistyped something */

/* Turns that a case wants, room or no room; 0 where no depth that could be meant would do, or another wish fails. */
static cw_status turns_wanted(const cw_choose__problem *problem, const cw_choose__case *one, long *turns,
                              double *points, cw_error *error)
{
    const double per_m = one->wire.resistance_ohm_per_m.nominal / one->in_hand;
    cw_choose__ladder ladder = { NULL, 0 };
    cw_lay_plan plan;
    cw_status status;
    unsigned missed = 0;
    double wanted = problem->turns;

    *turns = 0;
    cw_choose__plan_of(problem, one, &plan);
    status = cw_choose__ladder_make(&plan, DEEPEST, &ladder, error);
    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    if (problem->aim == CW_CHOOSE__BY_RESISTANCE)
        wanted = cw_choose__ladder_turns(&ladder, problem->resistance / per_m);
    if (wanted <= (double)ladder.most && wanted >= 1) {
        *turns = lround(wanted);
        *points = cw_choose__points(problem, one, *turns, *turns, cw_choose__ladder_length(&ladder, *turns), &missed);
    }
    if (missed != 0)
        *turns = 0;
    cw_choose__ladder_clear(&ladder);
    return CW_OK;
}

static double missing_depth(const cw_choose__problem *problem, const cw_choose__case *one, long turns)
{
    double low = 0, high = (DEEPEST + 1) * problem->plan.window.depth_m;
    cw_lay_plan plan;

    cw_choose__plan_of(problem, one, &plan);
    plan.turns = turns;
    if (!(plan.window.depth_doubt_m > 0)) /* the rule's doubt, which does not grow with what is added */
        plan.window.depth_doubt_m = 3e-4 + 0.02 * plan.window.depth_m;
    while (high - low > 1e-6) {
        const double middle = 0.5 * (low + high);

        plan.window.depth_m = problem->plan.window.depth_m + middle;
        if (cw_choice_fit_probability(&plan, &problem->request->doubts) >= CW_CHOOSE__SURE)
            high = middle;
        else
            low = middle;
    }
    return high;
}

cw_status cw_choose__find_room(const cw_choose__problem *problem, const cw_choose__case *cases, size_t count,
                               cw_choice *choice, cw_error *error)
{
    const cw_choose__case *best = NULL;
    double least = INFINITY;
    cw_status status = CW_OK;
    long best_turns = 0;

    if (problem->aim == CW_CHOOSE__BY_ROOM || cw_choose__turns_set(problem))
        return CW_OK;
    for (size_t i = 0; i < count && status == CW_OK; i++) {
        double points = INFINITY;
        long turns;

        status = turns_wanted(problem, &cases[i], &turns, &points, error);
        if (status == CW_OK && turns > 0 && points < least) {
            least = points;
            best = &cases[i];
            best_turns = turns;
        }
    }
    if (status == CW_OK && best != NULL)
        choice->room = (cw_choice_room){ true, best->wire, best->in_hand, problem->sections * best_turns,
                                         missing_depth(problem, best, best_turns) };
    return status;
}
