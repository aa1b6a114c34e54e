/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Distance against time, or against turns: up, level, down in straight slopes [NC 7.4]. */
#include "nc/nc_simulation.h"

#include <math.h>

/* Distance that a change of slope takes. */
static double change_distance(double from, double to, double steepness)
{
    return isinf(steepness) ? 0 : fabs(to * to - from * from) / (2 * steepness);
}

/* The greatest slope that still leaves room to come down. Where not even `in` leaves it, the end is taken steeper than
 * asked: the control has looked ahead too short, and the wire does not feel it. */
static double reachable(double distance, double in, double out, double steepness_in, double steepness_out)
{
    double square;

    if (isinf(steepness_in) || isinf(steepness_out))
        square = isinf(steepness_in) ? out * out + 2 * steepness_out * distance : in * in + 2 * steepness_in * distance;
    else
        square = (2 * steepness_in * steepness_out * distance + steepness_out * in * in + steepness_in * out * out) /
                 (steepness_in + steepness_out);
    return fmax(sqrt(square), fmax(in, out));
}

void cw_nc__profile_make(cw_nc_profile *profile, double distance, double in, double slope, double out,
                         double steepness_in, double steepness_out)
{
    double down_distance;

    in = fmin(in, slope);
    out = fmin(out, slope);
    profile->distance = distance;
    profile->in = in;
    profile->out = out;
    profile->peak = slope;
    if (change_distance(in, slope, steepness_in) + change_distance(slope, out, steepness_out) > distance)
        profile->peak = fmin(slope, reachable(distance, in, out, steepness_in, steepness_out));
    profile->up_distance = fmin(change_distance(in, profile->peak, steepness_in), distance);
    down_distance = fmin(change_distance(profile->peak, out, steepness_out), distance - profile->up_distance);
    profile->level_distance = fmax(0, distance - profile->up_distance - down_distance);
    profile->up = profile->up_distance > 0 ? 2 * profile->up_distance / (in + profile->peak) : 0;
    profile->down = down_distance > 0 ? 2 * down_distance / (out + profile->peak) : 0;
    profile->level = profile->level_distance > 0 ? profile->level_distance / profile->peak : 0;
}

double cw_nc__profile_span(const cw_nc_profile *profile)
{
    return profile->up + profile->level + profile->down;
}

double cw_nc__profile_distance(const cw_nc_profile *profile, double variable)
{
    double past;

    if (variable >= cw_nc__profile_span(profile))
        return profile->distance;
    if (variable < profile->up)
        return (profile->in + (profile->peak - profile->in) * variable / profile->up / 2) * variable;
    past = variable - profile->up;
    if (past < profile->level)
        return profile->up_distance + profile->peak * past;
    past -= profile->level;
    return profile->up_distance + profile->level_distance +
           (profile->peak - (profile->peak - profile->out) * past / profile->down / 2) * past;
}

/* x of slope x + change x^2/2 = distance, without cancelling. */
static double solve(double slope, double change, double distance)
{
    double square = fmax(0, slope * slope + 2 * change * distance), sum = slope + sqrt(square);

    return sum > 0 ? 2 * distance / sum : 0;
}

double cw_nc__profile_variable(const cw_nc_profile *profile, double distance)
{
    if (distance >= profile->distance)
        return cw_nc__profile_span(profile);
    if (distance < profile->up_distance)
        return solve(profile->in, (profile->peak - profile->in) / profile->up, distance);
    distance -= profile->up_distance;
    if (distance < profile->level_distance)
        return profile->up + distance / profile->peak;
    distance -= profile->level_distance;
    if (profile->down == 0)
        return profile->up + profile->level;
    return profile->up + profile->level +
           solve(profile->peak, (profile->out - profile->peak) / profile->down, distance);
}
