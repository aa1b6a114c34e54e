/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Coils in air.
 *
 * Everything rests on Maxwell's formula for two coaxial loops of radii a, A at distance d,
 *
 *   M = mu0 sqrt(a A) [(2/k - k) K(k) - (2/k) E(k)],   k^2 = 4 a A / ((a + A)^2 + d^2),
 *
 * J. C. Maxwell, A Treatise on Electricity and Magnetism, vol. 2, art. 701. K and E come from the arithmetic-geometric
 * mean, started from the complementary modulus, so that neither nearly touching nor far loops lose digits: with the
 * mean's differences c_n,  (1 - k^2/2) K - E = K sum_{n >= 1} 2^(n-1) c_n^2, where the textbook form cancels. */
#include "coilwright/air.h"

#include <math.h>

#define PI 3.14159265358979323846
#define MU0 (4e-7 * PI)

enum { MOST_POINTS = 24 };

typedef struct rule {
    int count;
    double at[MOST_POINTS], weight[MOST_POINTS]; /* on 0..1 */
} rule;

/* Gauss-Legendre points on 0..1 by Newton's method on the Legendre polynomial. */
static void rule_fill(rule *rule, int count)
{
    rule->count = count;
    for (int i = 0; i < count; i++) {
        double x = cos(PI * (i + 0.75) / (count + 0.5)), slope = 1, step = 1;

        for (int round = 0; round < 20 && fabs(step) > 1e-16; round++) {
            double last = 1, now = x;

            for (int n = 2; n <= count; n++) {
                double next = ((2 * n - 1) * x * now - (n - 1) * last) / n;

                last = now;
                now = next;
            }
            slope = count * (x * now - last) / (x * x - 1);
            step = now / slope;
            x -= step;
        }
        rule->at[i] = 0.5 * (1 - x);
        rule->weight[i] = 1 / ((1 - x * x) * slope * slope);
    }
}

/* Complete elliptic integral of the first kind and sum = sum_{n >= 1} 2^(n-1) c_n^2, from k^2 and k'. */
static double mean_iteration(double modulus2, double complement, double *sum)
{
    double a = 1, b = complement, power = 1;
    double c = modulus2 / (2 * (1 + complement)); /* c_1 = (1 - k')/2 without its cancellation */

    *sum = 0;
    for (int n = 0; n < 40; n++) {
        double next = 0.5 * (a + b);

        *sum += power * c * c;
        b = sqrt(a * b);
        a = next;
        if (c < 1e-16 * a)
            break;
        c = c * c / (4 * 0.5 * (a + b));
        power *= 2;
    }
    return PI / (2 * a);
}

double cw_air_loops_mutual_h(double radius_m, double other_radius_m, double distance_m)
{
    double wide = (radius_m + other_radius_m) * (radius_m + other_radius_m) + distance_m * distance_m;
    double near = (radius_m - other_radius_m) * (radius_m - other_radius_m) + distance_m * distance_m;
    double product = radius_m * other_radius_m, modulus2, first, sum;

    if (!(radius_m > 0 && other_radius_m > 0 && near > 0))
        return NAN;
    modulus2 = 4 * product / wide;
    first = mean_iteration(modulus2, sqrt(near / wide), &sum);
    return MU0 * sqrt(wide) * first * sum; /* sqrt(aA) 2/k = sqrt(wide) */
}

double cw_air_loops_force_n_per_a2(double radius_m, double other_radius_m, double distance_m)
{
    double wide = (radius_m + other_radius_m) * (radius_m + other_radius_m) + distance_m * distance_m;
    double near = (radius_m - other_radius_m) * (radius_m - other_radius_m) + distance_m * distance_m;
    double modulus2, complement2, first, second, sum;

    if (!(radius_m > 0 && other_radius_m > 0 && near > 0))
        return NAN;
    modulus2 = 4 * radius_m * other_radius_m / wide;
    complement2 = near / wide;
    first = mean_iteration(modulus2, sqrt(complement2), &sum);
    second = first * (1 - 0.5 * modulus2 - sum);
    /* mu0 d k / (4 sqrt(aA)) = mu0 d / (2 sqrt(wide)); the bracket with (2 - k^2)/k'^2 = 1 + 1/k'^2 */
    return MU0 * distance_m / (2 * sqrt(wide)) * ((1 + 1 / complement2) * second - 2 * first);
}

void cw_air_loop_field_t_per_a(double radius_m, double r_m, double z_m, double *radial, double *axial)
{
    double r = fabs(r_m);
    double wide = (radius_m + r) * (radius_m + r) + z_m * z_m, near = (radius_m - r) * (radius_m - r) + z_m * z_m;
    double first, second, sum, factor, modulus2;

    *radial = *axial = NAN;
    if (!(radius_m > 0 && near > 0))
        return;
    modulus2 = 4 * radius_m * r / wide;
    first = mean_iteration(modulus2, sqrt(near / wide), &sum);
    second = first * (1 - 0.5 * modulus2 - sum);
    factor = MU0 / (2 * PI * sqrt(wide));
    *axial = factor * (first + (radius_m * radius_m - r * r - z_m * z_m) / near * second);
    /* on the axis the radial field is zero; near it the bracket is of the order r^2, from terms of the order 1 */
    *radial = r > 1e-7 * radius_m
                  ? factor * z_m / r_m * ((radius_m * radius_m + r * r + z_m * z_m) / near * second - first)
                  : 0.75 * MU0 * radius_m * radius_m * z_m * r_m / pow(radius_m * radius_m + z_m * z_m, 2.5);
}

/* ---- self-inductance ---------------------------------------------------------------------------------------- */

typedef struct section {
    double inner, outer, length;
    rule along; /* for the mean radius of a pair of loops: the integrand is smooth there */
} section;

/* Sum over all pairs of loops whose radii differ by `apart` and whose planes by `shift`, with the number of such
 * pairs in the section as weight. */
static double pairs(const section *section, double apart, double shift)
{
    double room = section->outer - section->inner - apart, sum = 0;

    for (int i = 0; i < section->along.count; i++) {
        double radius = section->inner + room * section->along.at[i];

        sum += section->along.weight[i] * cw_air_loops_mutual_h(radius, radius + apart, shift);
    }
    return sum * room * (section->length - shift);
}

/* Triangle with its corner at zero, where the integrand has a logarithm: u = p, v = p t; p = q^3 flattens it. */
static double corner(const section *section, double apart_most, double shift_most, bool apart_leads,
                     const rule *radial, const rule *angular)
{
    double sum = 0;

    for (int i = 0; i < radial->count; i++) {
        double q = radial->at[i], p = q * q * q;

        for (int j = 0; j < angular->count; j++) {
            double t = angular->at[j];
            double apart = apart_most * (apart_leads ? p : p * t), shift = shift_most * (apart_leads ? p * t : p);

            sum += radial->weight[i] * angular->weight[j] * 3 * q * q * p * pairs(section, apart, shift);
        }
    }
    return sum * apart_most * shift_most;
}

static double panel(const section *section, const double apart[2], const double shift[2], const rule *rule)
{
    double sum = 0, wide = apart[1] - apart[0], high = shift[1] - shift[0];

    for (int i = 0; i < rule->count; i++)
        for (int j = 0; j < rule->count; j++)
            sum += rule->weight[i] * rule->weight[j] *
                   pairs(section, apart[0] + wide * rule->at[i], shift[0] + high * rule->at[j]);
    return sum * wide * high;
}

double cw_air_coil_inductance(double inner_radius_m, double outer_radius_m, double length_m, double turns)
{
    section section = { inner_radius_m, outer_radius_m, length_m, { 0 } };
    double build = outer_radius_m - inner_radius_m, square = fmin(build, length_m), sum;
    double longest = fmax(build, length_m), done;
    rule radial, angular, far;

    if (!(inner_radius_m >= 0 && build > 0 && length_m > 0 && isfinite(build) && isfinite(length_m)))
        return NAN;
    rule_fill(&section.along, 12);
    rule_fill(&radial, 12);
    rule_fill(&angular, 10);
    rule_fill(&far, 8);
    sum = corner(&section, square, square, true, &radial, &angular) +
          corner(&section, square, square, false, &radial, &angular);
    /* away from the corner, panels of growing length along the longer side */
    for (done = square; done < longest; ) {
        double next = fmin(longest, 2 * done), along[2] = { done, next }, across[2] = { 0, square };

        sum += build > length_m ? panel(&section, along, across, &far) : panel(&section, across, along, &far);
        done = next;
    }
    /* both signs of both differences: four times the quarter; over the section squared: the mean */
    return 4 * sum * turns * turns / (build * build * length_m * length_m);
}

double cw_air_coil_inductance_wheeler(double inner_radius_m, double outer_radius_m, double length_m, double turns)
{
    double mean = 0.5 * (inner_radius_m + outer_radius_m), build = outer_radius_m - inner_radius_m;

    if (!(mean > 0 && build >= 0 && length_m > 0))
        return NAN;
    return 31.5e-6 * turns * turns * mean * mean / (6 * mean + 9 * length_m + 10 * build);
}

double cw_air_nagaoka(double diameter_over_length)
{
    double x = diameter_over_length, modulus2, modulus, complement, first, sum;

    if (!(x >= 0))
        return NAN;
    if (x < 1e-8)
        return 1;
    modulus2 = x * x / (1 + x * x);
    modulus = sqrt(modulus2);
    complement = 1 / sqrt(1 + x * x);
    first = mean_iteration(modulus2, complement, &sum);
    /* L. Lorenz's closed form; (K - E)/k^2 from the mean's sum, for short D/l without cancellation */
    return 4 / (3 * PI * complement) *
           (complement * complement * first * (0.5 + sum / modulus2) + first * (1 - 0.5 * modulus2 - sum) - modulus);
}

double cw_air_solenoid_inductance(double radius_m, double length_m, double turns)
{
    if (!(radius_m > 0 && length_m > 0))
        return NAN;
    return cw_air_nagaoka(2 * radius_m / length_m) * MU0 * turns * turns * PI * radius_m * radius_m / length_m;
}

/* ---- field -------------------------------------------------------------------------------------------------- */

double cw_air_solenoid_axis_field_t(double radius_m, double length_m, double turns, double current_a,
                                    double distance_m)
{
    double up = distance_m + 0.5 * length_m, down = distance_m - 0.5 * length_m;

    if (!(radius_m > 0 && length_m > 0))
        return NAN;
    return MU0 * turns * current_a / (2 * length_m) *
           (up / hypot(radius_m, up) - down / hypot(radius_m, down));
}

/* u ln((r2 + sqrt(r2^2 + u^2)) / (r1 + sqrt(r1^2 + u^2))): the integral of the loop's axial field over both sides */
static double thick(double inner, double outer, double u)
{
    if (u == 0)
        return 0;
    return u * log((outer + hypot(outer, u)) / (inner + hypot(inner, u)));
}

double cw_air_coil_axis_field_t(double inner_radius_m, double outer_radius_m, double length_m, double turns,
                                double current_a, double distance_m)
{
    double build = outer_radius_m - inner_radius_m;

    if (!(inner_radius_m >= 0 && build > 0 && length_m > 0))
        return NAN;
    return MU0 * turns * current_a / (2 * build * length_m) *
           (thick(inner_radius_m, outer_radius_m, distance_m + 0.5 * length_m) -
            thick(inner_radius_m, outer_radius_m, distance_m - 0.5 * length_m));
}

double cw_air_coil_centre_field_t(double inner_radius_m, double outer_radius_m, double length_m, double turns,
                                  double current_a)
{
    return cw_air_coil_axis_field_t(inner_radius_m, outer_radius_m, length_m, turns, current_a, 0);
}

/* ---- pairs of coils ----------------------------------------------------------------------------------------- */

static bool coil_is_one(const cw_air_coil *coil)
{
    return coil->inner_radius_m >= 0 && coil->outer_radius_m > coil->inner_radius_m && coil->length_m > 0;
}

/* Mean of a function of two loops over both sections. Each length is cut where the other coil's end stands nearest. */
static double coils_mean(const cw_air_coil *coil, const cw_air_coil *other,
                         double (*of_loops)(double, double, double))
{
    enum { POINTS = 10 };
    rule rule;
    double sum = 0;

    if (!coil_is_one(coil) || !coil_is_one(other))
        return NAN;
    rule_fill(&rule, POINTS);
    for (int i = 0; i < POINTS; i++)
        for (int j = 0; j < POINTS; j++) {
            double r = coil->inner_radius_m + (coil->outer_radius_m - coil->inner_radius_m) * rule.at[i];
            double z = coil->centre_m + coil->length_m * (rule.at[j] - 0.5);

            for (int k = 0; k < POINTS; k++)
                for (int l = 0; l < POINTS; l++) {
                    double s = other->inner_radius_m + (other->outer_radius_m - other->inner_radius_m) * rule.at[k];
                    double y = other->centre_m + other->length_m * (rule.at[l] - 0.5);

                    sum += rule.weight[i] * rule.weight[j] * rule.weight[k] * rule.weight[l] * of_loops(r, s, y - z);
                }
        }
    return sum * coil->turns * other->turns;
}

double cw_air_coils_mutual_h(const cw_air_coil *coil, const cw_air_coil *other)
{
    return coils_mean(coil, other, cw_air_loops_mutual_h);
}

double cw_air_coils_force_n_per_a2(const cw_air_coil *coil, const cw_air_coil *other)
{
    double force = coils_mean(coil, other, cw_air_loops_force_n_per_a2);

    /* the loops' force has the sign of the distance; towards each other is the same for both coils */
    return other->centre_m < coil->centre_m ? -force : force;
}

void cw_air_coil_field_t_per_a(const cw_air_coil *coil, double r_m, double z_m, double *radial, double *axial)
{
    enum { POINTS = 20 };
    double build = coil->outer_radius_m - coil->inner_radius_m, sum_r = 0, sum_z = 0;
    rule rule;

    *radial = *axial = NAN;
    if (!coil_is_one(coil))
        return;
    rule_fill(&rule, POINTS);
    for (int i = 0; i < POINTS; i++)
        for (int j = 0; j < POINTS; j++) {
            double of_loop[2], weight = rule.weight[i] * rule.weight[j];

            cw_air_loop_field_t_per_a(coil->inner_radius_m + build * rule.at[i], r_m,
                                      z_m - coil->centre_m - coil->length_m * (rule.at[j] - 0.5), &of_loop[0],
                                      &of_loop[1]);
            sum_r += weight * of_loop[0];
            sum_z += weight * of_loop[1];
        }
    *radial = sum_r * coil->turns;
    *axial = sum_z * coil->turns;
}
