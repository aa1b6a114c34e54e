/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One section for many windings: thermal resistances at three powers, and two time constants.
 *
 * With the surfaces' slopes as they are at the middle power the section is linear, M dT/dt = q - K T. The step response
 * of a mean s.T has the moments
 *
 *     m_j = s . (K^-1 M)^j K^-1 q = sum over modes of a_i tau_i^j,     j = 0, 1, 2, 3
 *
 * and two exponentials with the same four moments are its Gauss quadrature, whose nodes are the time constants and lie
 * among the true ones (W. Gautschi, Orthogonal Polynomials, 2004, sec. 1.4). The hottest place has the same time
 * constants, and shares that keep its own two first moments. */
#include "heat/heat_internal.h"

#include <math.h>
#include <string.h>

#define COARSE 0.25
#define MIDDLE_K 70

/* ---- time constants --------------------------------------------------------------------------------------------- */

static double dot(const double *a, const double *b, size_t count)
{
    double sum = 0;

    for (size_t i = 0; i < count; i++)
        sum += a[i] * b[i];
    return sum;
}

/* Nodes t of the two-point quadrature: t^2 = p t + q with m2 = p m1 + q m0 and m3 = p m2 + q m1. A response of one
 * exponential has only one node. */
static void two_nodes(const double m[4], double node[2])
{
    const double det = m[1] * m[1] - m[0] * m[2];
    double p, q, root;

    node[0] = node[1] = m[1] / m[0];
    if (fabs(det) < 1e-9 * m[1] * m[1])
        return;
    p = (m[1] * m[2] - m[0] * m[3]) / det;
    q = (m[1] * m[3] - m[2] * m[2]) / det;
    root = sqrt(fmax(0, 0.25 * p * p + q));
    if (0.5 * p - root > 0) {
        node[0] = 0.5 * p - root;
        node[1] = 0.5 * p + root;
    }
}

/* What of m0 belongs to the quick node. */
static double quick_part(const double m[2], const double node[2])
{
    return node[1] > node[0] ? fmax(0, (node[1] * m[0] - m[1]) / (node[1] - node[0])) : 0;
}

/* The place of the hottest unknown of the windings stands for the hot spot. */
static size_t hottest(const cw_heat *heat)
{
    size_t hot = 0;
    double most = -INFINITY;

    for (size_t i = 0; i < heat->unknown_count; i++)
        if (heat->share[i] > 0 && heat->t[i] > most) {
            most = heat->t[i];
            hot = i;
        }
    return hot;
}

static cw_status time_constants(cw_heat *heat, cw_heat_rule *rule, cw_error *error)
{
    const size_t n = heat->unknown_count, hot = hottest(heat);
    double *x = cw_allocate(2 * n, sizeof *x), mean_moment[4], hot_moment[2] = { 0 };
    bool definite = true;
    cw_status status = x != NULL ? CW_OK : cw_no_memory(error);

    if (status == CW_OK) {
        cw_heat__surfaces(heat, heat->t, NULL, true);
        status = cw_heat__factor(heat, 0, 0, &definite, error);
    }
    if (status == CW_OK && !definite)
        status = cw_fail(error, "The section's conduction has no solution.");
    for (int j = 0; j < 4 && status == CW_OK; j++) {
        if (j == 0) {
            memcpy(x, heat->share, n * sizeof *x);
        } else {
            memset(x + n, 0, n * sizeof *x);
            cw_heat__multiply(heat, heat->mass, 1, x, x + n);
            memcpy(x, x + n, n * sizeof *x);
        }
        cw_solver__solve(heat->solver, x);
        mean_moment[j] = dot(heat->share, x, n);
        if (j < 2)
            hot_moment[j] = x[hot];
    }
    if (status == CW_OK) {
        two_nodes(mean_moment, rule->time_constant_s);
        rule->mean_quick_k_per_w = quick_part(mean_moment, rule->time_constant_s);
        rule->hot_quick_k_per_w = quick_part(hot_moment, rule->time_constant_s);
    }
    cw_free(x);
    return status;
}

/* ---- powers ----------------------------------------------------------------------------------------------------- */

static double power_at(const cw_drive *drive, double temperature_c)
{
    const double ohm = drive->resistance_20c_ohm * (1 + drive->alpha_20c_per_k * (temperature_c - 20));

    return drive->kind == CW_DRIVE_CURRENT ? drive->value * drive->value * ohm : drive->value * drive->value / ohm;
}

/* At a voltage, as any drive then has its steady state; how the loss lies in the winding is the same for both kinds. The
 * power comes out near that asked for. */
static cw_status at_power(const cw_heat_section *section, double power_w, double rise_k, int index, cw_heat_rule *rule,
                          cw_error *error)
{
    const double alpha = section->drive.alpha_20c_per_k, ohm = 1 + alpha * (section->ambient_c + rise_k - 20);
    const cw_heat_wish coarse = { .fineness = COARSE };
    cw_heat_section driven = *section;
    cw_heat_result result = { 0 };
    cw_heat *heat = NULL;
    cw_status status;

    driven.drive = (cw_drive){ CW_DRIVE_VOLTAGE, sqrt(power_w * ohm), 1, alpha };
    status = cw_heat_create(&driven, &coarse, &heat, error);
    if (status == CW_OK)
        status = cw_heat_steady(heat, &result, error);
    if (status == CW_OK && result.runs_away)
        status = cw_refuse(error, NULL, "a section that can lose some watts", "At %.2g W the winding passes %d °C.",
                           power_w, CW_RUNAWAY_C);
    if (status == CW_OK) {
        rule->power_w[index] = result.power_w;
        rule->mean_k_per_w[index] = (result.mean_winding_c - section->ambient_c) / result.power_w;
        rule->hot_k_per_w[index] = (result.hot_spot_c - section->ambient_c) / result.power_w;
    }
    if (status == CW_OK && index == 1)
        status = time_constants(heat, rule, error);
    cw_heat_destroy(&heat);
    return status;
}

/* A power that warms the winding by MIDDLE_K within a fifth: rises grow as the power to something between 0.8 and 1,
 * since surfaces in air pass the more per kelvin the hotter they are. */
static cw_status middle_power(const cw_heat_section *section, double *power_w, cw_heat_rule *rule, cw_error *error)
{
    double rise = 0;
    cw_status status = CW_OK;

    *power_w = 1;
    for (int i = 0; i < 5 && status == CW_OK && fabs(log(rise / MIDDLE_K)) > 0.2; i++) {
        if (i > 0)
            *power_w *= pow(MIDDLE_K / rise, i == 1 ? 1 : 1 / 0.9);
        status = at_power(section, *power_w, MIDDLE_K, 0, rule, error);
        rise = rule->mean_k_per_w[0] * rule->power_w[0];
    }
    return status;
}

cw_status cw_heat_rule_of(const cw_heat_section *section, cw_heat_rule *rule, cw_error *error)
{
    static const double of_power[CW_RULE_POWERS] = { 0.3, 1, 2.2 };
    cw_heat_rule made = { .ambient_c = section->ambient_c };
    double power_w;
    cw_status status = middle_power(section, &power_w, &made, error);

    for (int i = 0; i < CW_RULE_POWERS && status == CW_OK; i++)
        status = at_power(section, power_w * of_power[i], MIDDLE_K * of_power[i], i, &made, error);
    if (status == CW_OK)
        *rule = made;
    return status;
}

/* ---- asked ------------------------------------------------------------------------------------------------------ */

/* Straight over the logarithm of the power, beyond the ends too: surfaces pass a power of the rise. */
static double per_watt(const cw_heat_rule *rule, const double k_per_w[CW_RULE_POWERS], double power_w)
{
    int i = 0;

    while (i + 2 < CW_RULE_POWERS && power_w > rule->power_w[i + 1])
        i++;
    return k_per_w[i] * pow(power_w / rule->power_w[i], log(k_per_w[i + 1] / k_per_w[i]) /
                                                            log(rule->power_w[i + 1] / rule->power_w[i]));
}

/* Rise at the end of the on-time of the settled cycle for a watt while on. What comes slowly passes the surfaces, whose
 * resistance and with it the slow time constant follow the average power. */
static double cycle_per_watt(const cw_heat_rule *rule, const double k_per_w[CW_RULE_POWERS], double quick_k_per_w,
                             double power_w, double on_s, double period_s)
{
    double slow, slow_s;

    if (isinf(on_s))
        return per_watt(rule, k_per_w, power_w);
    slow = fmax(0, per_watt(rule, k_per_w, power_w * on_s / period_s) - quick_k_per_w);
    slow_s = rule->time_constant_s[1] * slow / (k_per_w[1] - quick_k_per_w);
    return quick_k_per_w * expm1(-on_s / rule->time_constant_s[0]) / expm1(-period_s / rule->time_constant_s[0]) +
           slow * expm1(-on_s / slow_s) / expm1(-period_s / slow_s);
}

void cw_heat_rule_at(const cw_heat_rule *rule, const cw_drive *drive, double on_s, double period_s,
                     cw_heat_ruled *ruled)
{
    const double most = 2 * CW_RUNAWAY_C;
    double low = 0, high = most, power;

    for (int i = 0; i < 60; i++) { /* mean rise that its own watts keep up */
        const double rise = 0.5 * (low + high);

        power = power_at(drive, rule->ambient_c + rise);
        if (power * cycle_per_watt(rule, rule->mean_k_per_w, rule->mean_quick_k_per_w, power, on_s, period_s) > rise)
            low = rise;
        else
            high = rise;
    }
    if (low > 0.999 * most) {
        *ruled = (cw_heat_ruled){ INFINITY, INFINITY, INFINITY };
        return;
    }
    power = power_at(drive, rule->ambient_c + low);
    ruled->power_w = power;
    ruled->mean_winding_c = rule->ambient_c + low;
    ruled->hot_spot_c = rule->ambient_c + power * cycle_per_watt(rule, rule->hot_k_per_w, rule->hot_quick_k_per_w,
                                                                 power, on_s, period_s);
}
