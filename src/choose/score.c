/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The preference: how many points a winding loses. docs/choose.md tells why so.
 *
 * For one wire every wish is an interval of turns, and what is not a step is, in ln(turns), a line of slope at least 1
 * away from its best, plus the ampere-turns, whose slope is below 1: between the ends of the intervals the sum has no
 * lowest place of its own. search.c rests on this; the slopes are worked out in docs/choose.md. */
#include "choose/choose_internal.h"

#include <math.h>

static double resistance_of(const cw_choose__case *one, double length_m)
{
    return length_m * one->wire.resistance_ohm_per_m.nominal / one->in_hand;
}

/* Hot and at this voltage; where no voltage is known per volt and cold; of a coil on ac relative to what its flux
 * needs with the wanted turns. */
double cw_choose__ampere_turns(const cw_choose__problem *problem, const cw_wire *wire, long turns,
                               double resistance_20c_ohm)
{
    const cw_conductor *conductor = cw_wire_conductor(problem->catalogue, wire->material);
    double rise;

    if (problem->ac)
        return problem->turns / (double)turns;
    if (!problem->heat.known)
        return (double)turns / resistance_20c_ohm;
    rise = cw_choose__mean_rise(&problem->heat, conductor, resistance_20c_ohm, problem->voltage_v);
    return problem->voltage_v * (double)turns /
           (resistance_20c_ohm * cw_wire_temperature_factor(conductor, problem->heat.ambient_c + rise));
}

double cw_choose__hot_spot(const cw_choose__problem *problem, const cw_wire *wire, double resistance_20c_ohm)
{
    if (!problem->heat.known)
        return NAN;
    return problem->heat.ambient_c +
           problem->heat.hot_share * cw_choose__mean_rise(&problem->heat,
                                                          cw_wire_conductor(problem->catalogue, wire->material),
                                                          resistance_20c_ohm, problem->voltage_v);
}

/* The estimate is rough. A coil no hotter than the original was, by the same estimate, is let pass, with a drawback; but
 * not beyond what the estimate can be off. */
double cw_choose__cool_c(const cw_choose__problem *problem, double limit_c)
{
    const double lenient = problem->heat.in_magnet ? CW_CHOOSE__LENIENT_IN_MAGNET : CW_CHOOSE__LENIENT_BARE;
    const double most = problem->heat.ambient_c + lenient * (limit_c - problem->heat.ambient_c);

    return isnan(problem->original_hot_c) ? limit_c : fmax(limit_c, fmin(problem->original_hot_c + 1, most));
}

double cw_choose__shelf_weight(const cw_choose__problem *problem)
{
    const cw_wanted *wanted = &problem->request->wanted;

    if (!wanted->given || wanted->prefer == CW_PREFER_BALANCE)
        return 1;
    return wanted->prefer == CW_PREFER_SHELF ? 4 : 0;
}

double cw_choose__fixed_points(const cw_choose__problem *problem, const cw_choose__case *one)
{
    static const double build_points[CW_BUILD_COUNT] = {
        [CW_SINGLE] = 2, [CW_TRIPLE] = 6, [CW_SINGLE_COTTON] = 10, [CW_DOUBLE_COTTON] = 10, [CW_SINGLE_SILK] = 10,
        [CW_DOUBLE_SILK] = 10, [CW_BARE] = 1000,
    };
    const cw_original *original = &problem->request->original;
    double points = 6 * (one->in_hand - 1);

    if (one->fine)
        points += CW_CHOOSE__POINTS_HANDLED;
    if (one->wire.material == CW_ALUMINIUM && !(original->wire_known && original->wire.material == CW_ALUMINIUM))
        points += 15;
    if (!(original->wire_known && original->wire.build == one->wire.build))
        points += build_points[one->wire.build];
    if (one->shelf_m > 0)
        return points;
    points += cw_choose__shelf_weight(problem) * CW_CHOOSE__POINTS_TO_BUY;
    if (one->wire.size.intermediate)
        points += 12;
    if (one->wire.size.system != problem->home)
        points += one->wire.size.system == CW_SWG ? 8 : 4;
    return points;
}

double cw_choose__distance_points(const cw_choose__problem *problem, const cw_choose__case *one, long turns,
                                  double length_m)
{
    const double ohm = resistance_of(one, length_m);
    double sum = 0;

    if (problem->aim == CW_CHOOSE__BY_TURNS)
        sum += fabs(log((double)turns / problem->turns));
    if (!isnan(problem->resistance))
        sum += fabs(log(ohm / problem->resistance));
    if (!isnan(problem->target_at)) {
        const double short_of = log(problem->target_at / cw_choose__ampere_turns(problem, &one->wire, turns, ohm));

        sum += problem->at_least ? fmax(0, short_of) : fabs(short_of);
    }
    sum *= CW_CHOOSE__PER_E;
    if (isnan(problem->target_at) || (problem->ac && isnan(problem->resistance))) {
        const double d = one->wire.size.diameter_m.nominal;
        const double fill = 0.25 * 3.14159265358979323846 * d * d * one->in_hand * (double)turns /
                            (problem->plan.window.length_m * problem->plan.window.depth_m);

        sum -= CW_CHOOSE__PER_E_FILL * log(fill);
    }
    return sum;
}

double cw_choose__points(const cw_choose__problem *problem, const cw_choose__case *one, long turns, long safe_turns,
                         double length_m, unsigned *missed)
{
    const double ohm = resistance_of(one, length_m);
    const double at = cw_choose__ampere_turns(problem, &one->wire, turns, ohm);
    const double hot = cw_choose__hot_spot(problem, &one->wire, ohm), cool = cw_choose__cool_c(problem, one->limit_c);
    double points = one->fixed + cw_choose__distance_points(problem, one, turns, length_m);

    *missed = one->fine ? CW_WISH_HANDLED : 0;
    if (turns > safe_turns) {
        *missed |= CW_WISH_FITS;
        points += CW_CHOOSE__POINTS_FITS;
    }
    if (problem->aim == CW_CHOOSE__BY_ROOM && safe_turns > 0)
        points += CW_CHOOSE__PER_E * fabs(log((double)turns / (double)safe_turns));
    if (hot > cool) { /* K over the limit, as a share of the rise that the limit allows: about the turns it lacks */
        *missed |= CW_WISH_COOL;
        points += CW_CHOOSE__POINTS_COOL +
                  CW_CHOOSE__PER_E_COOL * log((hot - problem->heat.ambient_c) /
                                              fmax(cool - problem->heat.ambient_c, 1));
    }
    if (!isnan(problem->tolerance) && fabs(ohm / problem->resistance - 1) > problem->tolerance) {
        *missed |= CW_WISH_RESISTANCE;
        points += CW_CHOOSE__POINTS_RESISTANCE;
    }
    if (at < problem->least_at) {
        *missed |= CW_WISH_AMPERE_TURNS;
        points += CW_CHOOSE__POINTS_AMPERE_TURNS;
    }
    if (one->shelf_m > 0 && cw_choose__all_with_margin(problem, length_m * one->in_hand, one->in_hand) > one->shelf_m)
        points += cw_choose__shelf_weight(problem) * CW_CHOOSE__POINTS_SHORT;
    return points;
}
