/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What measured resistances and rises say, and what they let one expect. */
#include "coilwright/heat.h"

#include <math.h>

double cw_heat_by_resistance_c(double cold_ohm, double cold_c, double hot_ohm, double k)
{
    return hot_ohm / cold_ohm * (k + cold_c) - k;
}

double cw_heat_k_from_readings(double ohm, double at_c, double other_ohm, double other_at_c)
{
    return (ohm * other_at_c - other_ohm * at_c) / (other_ohm - ohm);
}

double cw_heat_least_class_c(double temperature_c)
{
    static const double classes[] = { 90, 105, 120, 130, 155, 180, 200, 220, 250 };

    for (size_t i = 0; i < sizeof classes / sizeof classes[0]; i++)
        if (temperature_c <= classes[i])
            return classes[i];
    return 250 + 25 * ceil((temperature_c - 250) / 25);
}

double cw_heat_life_ratio(double class_c, double hot_spot_c, double halving_k)
{
    return exp2((class_c - hot_spot_c) / halving_k);
}

cw_status cw_heat_curve_of_two(double rise_k, double later_rise_k, double step_s, cw_heat_curve *curve,
                               cw_error *error)
{
    double growth = later_rise_k / rise_k - 1;

    if (!(rise_k > 0 && step_s > 0 && growth > 0 && growth < 1))
        return cw_refuse(error, NULL, "a later rise between one and two times the first",
                         "Rises of %g K and %g K, twice as long after, are not of a curve that levels off.", rise_k,
                         later_rise_k);
    curve->time_constant_s = -step_s / log(growth);
    curve->final_k = rise_k * rise_k / (2 * rise_k - later_rise_k);
    return CW_OK;
}

double cw_heat_final_of_three_k(double first_k, double second_k, double third_k)
{
    double bend = 2 * second_k - first_k - third_k;

    return bend > 0 ? (second_k * second_k - first_k * third_k) / bend : NAN;
}

double cw_heat_duty_peak_k(const cw_heat_curve *curves, size_t count, double on_s, double period_s)
{
    double rise = 0;

    for (size_t i = 0; i < count; i++)
        rise += curves[i].final_k * expm1(-on_s / curves[i].time_constant_s) /
                expm1(-period_s / curves[i].time_constant_s);
    return rise;
}

static double rise_at(const cw_heat_curve *curves, size_t count, double t)
{
    double rise = 0;

    for (size_t i = 0; i < count; i++)
        rise -= curves[i].final_k * expm1(-t / curves[i].time_constant_s);
    return rise;
}

double cw_heat_longest_on_s(const cw_heat_curve *curves, size_t count, double limit_k)
{
    double low = 0, high = 0, final = 0;

    for (size_t i = 0; i < count; i++) {
        high = fmax(high, curves[i].time_constant_s);
        final += curves[i].final_k;
    }
    if (!(limit_k < final))
        return INFINITY;
    while (rise_at(curves, count, high) < limit_k)
        high *= 2;
    for (int i = 0; i < 200 && high - low > 1e-14 * high; i++) {
        double middle = 0.5 * (low + high);

        if (rise_at(curves, count, middle) < limit_k)
            low = middle;
        else
            high = middle;
    }
    return high;
}
