/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The coil: current over flux linkage.
 *
 * The table holds flux linkage over current; it is read the other way round, since the flux linkage is the state.
 * Between two gaps the *increments* of flux linkage from one current to the next are interpolated, so that they stay
 * above zero and the curve rises at every gap. */
#include "circuit/circuit_internal.h"

#include <math.h>
#include <string.h>

static double three_point(double h1, double h2, double d1, double d2)
{
    double w1 = 2 * h2 + h1, w2 = h2 + 2 * h1;

    return d1 * d2 > 0 ? (w1 + w2) / (w1 / d1 + w2 / d2) : 0;
}

void cw_circuit__slopes(const double *x, const double *y, size_t count, bool odd, double *slope)
{
    for (size_t i = 0; i < count; i++) {
        double behind = i > 0 ? x[i] - x[i - 1] : 0, ahead = i + 1 < count ? x[i + 1] - x[i] : 0;

        if (count == 1)
            slope[i] = 0;
        else if (i == 0)
            slope[i] = (y[1] - y[0]) / ahead; /* odd: the mirrored knot gives the same slope on both sides */
        else if (i + 1 == count)
            slope[i] = (y[i] - y[i - 1]) / behind;
        else
            slope[i] = three_point(behind, ahead, (y[i] - y[i - 1]) / behind, (y[i + 1] - y[i]) / ahead);
    }
    if (!odd && count > 2) { /* a free end: straight on from the neighbour's slope, as far as it stays monotone */
        double end = 1.5 * slope[0] - 0.5 * slope[1];

        slope[0] = end * slope[0] > 0 ? end : 0;
    }
}

static size_t knot_before(const double *x, size_t count, double at)
{
    size_t low = 0, high = count - 1;

    while (high - low > 1) {
        size_t middle = (low + high) / 2;

        if (x[middle] <= at)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* Hermite cubic on [0, h] and its slope. */
static double cubic(double h, double s, double y0, double y1, double d0, double d1, double *slope)
{
    double delta = (y1 - y0) / h, c = (3 * delta - 2 * d0 - d1) / h, b = (d0 - 2 * delta + d1) / (h * h);

    *slope = d0 + s * (2 * c + 3 * b * s);
    return y0 + s * (d0 + s * (c + s * b));
}

static double at_gap(const double *x, const double *y, size_t count, double at)
{
    double slope[64], ignored;
    size_t i;

    if (count == 1)
        return y[0];
    cw_circuit__slopes(x, y, count, false, slope);
    i = knot_before(x, count, at);
    return cubic(x[i + 1] - x[i], at - x[i], y[i], y[i + 1], slope[i], slope[i + 1], &ignored);
}

/* ---- making ---------------------------------------------------------------------------------------------------- */

enum { MOST_GAPS = 64 };

static cw_status check_axes(const cw_flux_table *t, double gap_m, cw_error *error)
{
    if (t->gap_count < 1 || t->gap_count > MOST_GAPS || t->current_count < 2)
        return cw_refuse(error, NULL, "2 or more currents at 1 to 64 gaps",
                         "The flux table has %zu currents at %zu gaps.", t->current_count, t->gap_count);
    if (t->current_a[0] != 0)
        return cw_refuse(error, NULL, "0 A first", "The flux table's first current is %g A.", t->current_a[0]);
    for (size_t i = 1; i < t->current_count; i++)
        if (!(t->current_a[i] > t->current_a[i - 1]) || !isfinite(t->current_a[i]))
            return cw_refuse(error, NULL, "currents that rise", "The flux table's current %zu, %g A, does not follow "
                             "%g A.", i + 1, t->current_a[i], t->current_a[i - 1]);
    for (size_t g = 1; g < t->gap_count; g++)
        if (!(t->gap_m[g] > t->gap_m[g - 1]))
            return cw_refuse(error, NULL, "gaps that rise", "The flux table's gap %zu, %g m, does not follow %g m.",
                             g + 1, t->gap_m[g], t->gap_m[g - 1]);
    if (t->gap_count > 1 && !(gap_m >= t->gap_m[0] && gap_m <= t->gap_m[t->gap_count - 1]))
        return cw_refuse(error, NULL, "a gap within the table", "The gap is %g mm, the flux table holds %g to %g mm.",
                         1e3 * gap_m, 1e3 * t->gap_m[0], 1e3 * t->gap_m[t->gap_count - 1]);
    return CW_OK;
}

static cw_status check_values(const cw_flux_table *t, cw_error *error)
{
    for (size_t g = 0; g < t->gap_count; g++) {
        const double *flux = t->flux_linkage_wb + g * t->current_count;
        const double *force = t->force_n != NULL ? t->force_n + g * t->current_count : NULL;

        if (flux[0] != 0)
            return cw_refuse(error, NULL, "0 Wb at no current", "The flux table begins with %g Wb at gap %g mm.",
                             flux[0], 1e3 * t->gap_m[g]);
        for (size_t i = 1; i < t->current_count; i++) {
            if (!(flux[i] > flux[i - 1]) || !isfinite(flux[i]))
                return cw_refuse(error, NULL, "flux linkage that rises with the current",
                                 "At gap %g mm the flux linkage goes from %g to %g Wb between %g and %g A.",
                                 1e3 * t->gap_m[g], flux[i - 1], flux[i], t->current_a[i - 1], t->current_a[i]);
            if (force != NULL && !(force[i] >= force[i - 1] && force[0] >= 0 && isfinite(force[i])))
                return cw_refuse(error, NULL, "a pull that does not fall as the current rises",
                                 "At gap %g mm the pull goes from %g to %g N between %g and %g A.",
                                 1e3 * t->gap_m[g], force[i - 1], force[i], t->current_a[i - 1], t->current_a[i]);
        }
    }
    return CW_OK;
}

static cw_status allocate(size_t count, bool force, cw_circuit_coil **coil, cw_error *error)
{
    cw_circuit_coil *made = cw_allocate(1, sizeof *made);

    *coil = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    made->count = count;
    made->flux = cw_allocate(count, sizeof(double));
    made->current = cw_allocate(count, sizeof(double));
    made->slope = cw_allocate(count, sizeof(double));
    made->energy = cw_allocate(count, sizeof(double));
    if (force) {
        made->root = cw_allocate(count, sizeof(double));
        made->root_slope = cw_allocate(count, sizeof(double));
    }
    if (made->flux == NULL || made->current == NULL || made->slope == NULL || made->energy == NULL ||
        (force && (made->root == NULL || made->root_slope == NULL))) {
        cw_circuit_coil_destroy(&made);
        return cw_no_memory(error);
    }
    *coil = made;
    return CW_OK;
}

/* int i d(linkage) over [0, s] of a knot's cubic: exact. */
static double cubic_energy(const cw_circuit_coil *coil, size_t k, double s)
{
    double h = coil->flux[k + 1] - coil->flux[k], delta = (coil->current[k + 1] - coil->current[k]) / h;
    double c = (3 * delta - 2 * coil->slope[k] - coil->slope[k + 1]) / h;
    double b = (coil->slope[k] - 2 * delta + coil->slope[k + 1]) / (h * h);

    return s * (coil->current[k] + s * (coil->slope[k] / 2 + s * (c / 3 + s * b / 4)));
}

static void finish(cw_circuit_coil *coil)
{
    cw_circuit__slopes(coil->flux, coil->current, coil->count, true, coil->slope);
    if (coil->root != NULL)
        cw_circuit__slopes(coil->flux, coil->root, coil->count, true, coil->root_slope);
    for (size_t k = 0; k + 1 < coil->count; k++)
        coil->energy[k + 1] = coil->energy[k] + cubic_energy(coil, k, coil->flux[k + 1] - coil->flux[k]);
}

static void fill_at_gap(const cw_flux_table *table, double gap_m, cw_circuit_coil *coil)
{
    double column[MOST_GAPS], highest = 0;

    for (size_t i = 0; i < table->current_count; i++) {
        coil->current[i] = table->current_a[i];
        for (size_t g = 0; g < table->gap_count; g++) {
            const double *flux = table->flux_linkage_wb + g * table->current_count;

            column[g] = i > 0 ? flux[i] - flux[i - 1] : 0;
        }
        coil->flux[i] = i > 0 ? coil->flux[i - 1] + at_gap(table->gap_m, column, table->gap_count, gap_m) : 0;
        if (coil->root == NULL)
            continue;
        for (size_t g = 0; g < table->gap_count; g++)
            column[g] = sqrt(table->force_n[g * table->current_count + i]);
        highest = fmax(highest, at_gap(table->gap_m, column, table->gap_count, gap_m));
        coil->root[i] = highest;
    }
}

cw_status cw_circuit_coil_create(const cw_flux_table *table, double gap_m, cw_circuit_coil **coil, cw_error *error)
{
    cw_status status = check_axes(table, gap_m, error);

    *coil = NULL;
    if (status == CW_OK)
        status = check_values(table, error);
    if (status == CW_OK)
        status = allocate(table->current_count, table->force_n != NULL, coil, error);
    if (status == CW_OK) {
        fill_at_gap(table, gap_m, *coil);
        finish(*coil);
    }
    return status;
}

cw_status cw_circuit_coil_linear(double inductance_h, cw_circuit_coil **coil, cw_error *error)
{
    const double gap = 0, currents[2] = { 0, 1 }, flux[2] = { 0, inductance_h };
    const cw_flux_table table = { 1, 2, &gap, currents, flux, NULL };

    *coil = NULL;
    if (!(inductance_h > 0) || !isfinite(inductance_h))
        return cw_refuse(error, NULL, "an inductance above zero, as in 0.21 H", "The inductance is %g H.",
                         inductance_h);
    return cw_circuit_coil_create(&table, 0, coil, error);
}

void cw_circuit_coil_destroy(cw_circuit_coil **coil)
{
    if (*coil == NULL)
        return;
    cw_free((*coil)->flux);
    cw_free((*coil)->current);
    cw_free((*coil)->slope);
    cw_free((*coil)->energy);
    cw_free((*coil)->root);
    cw_free((*coil)->root_slope);
    cw_free(*coil);
    *coil = NULL;
}

/* ---- reading --------------------------------------------------------------------------------------------------- */

static double odd_cubic(const cw_circuit_coil *coil, const double *y, const double *d, double flux, double *slope)
{
    double size = fabs(flux), value;
    size_t last = coil->count - 1, k;

    if (size >= coil->flux[last]) {
        *slope = d[last];
        value = y[last] + d[last] * (size - coil->flux[last]);
    } else {
        k = knot_before(coil->flux, coil->count, size);
        value = cubic(coil->flux[k + 1] - coil->flux[k], size - coil->flux[k], y[k], y[k + 1], d[k], d[k + 1],
                      slope);
    }
    return copysign(value, flux);
}

void cw_circuit__current(const cw_circuit_coil *coil, double flux, double *current, double *slope)
{
    *current = odd_cubic(coil, coil->current, coil->slope, flux, slope);
}

double cw_circuit_current_a(const cw_circuit_coil *coil, double flux_linkage_wb)
{
    double current, slope;

    cw_circuit__current(coil, flux_linkage_wb, &current, &slope);
    return current;
}

/* Root of a rising cubic by Newton's method kept inside a bracket. */
static double flux_of(const cw_circuit_coil *coil, const double *y, const double *d, double wanted)
{
    size_t last = coil->count - 1, k;
    double low, high, at;

    if (wanted >= y[last])
        return d[last] > 0 ? coil->flux[last] + (wanted - y[last]) / d[last]
                           : wanted > y[last] ? INFINITY : coil->flux[last];
    k = knot_before(y, coil->count, wanted);
    low = coil->flux[k];
    high = coil->flux[k + 1];
    at = low + (high - low) * (wanted - y[k]) / (y[k + 1] - y[k]);
    for (int i = 0; i < 80 && high - low > 1e-15 * high; i++) {
        double slope, miss = odd_cubic(coil, y, d, at, &slope) - wanted;

        if (fabs(miss) <= 1e-15 * wanted)
            break;
        if (miss > 0)
            high = at;
        else
            low = at;
        at -= slope > 0 ? miss / slope : 0;
        if (!(at > low && at < high))
            at = 0.5 * (low + high);
    }
    return at;
}

double cw_circuit_flux_linkage_wb(const cw_circuit_coil *coil, double current_a)
{
    return copysign(flux_of(coil, coil->current, coil->slope, fabs(current_a)), current_a);
}

double cw_circuit_stored_j(const cw_circuit_coil *coil, double flux_linkage_wb)
{
    double size = fabs(flux_linkage_wb), beyond;
    size_t last = coil->count - 1, k;

    if (size < coil->flux[last]) {
        k = knot_before(coil->flux, coil->count, size);
        return coil->energy[k] + cubic_energy(coil, k, size - coil->flux[k]);
    }
    beyond = size - coil->flux[last];
    return coil->energy[last] + beyond * (coil->current[last] + 0.5 * coil->slope[last] * beyond);
}

double cw_circuit_force_n(const cw_circuit_coil *coil, double current_a)
{
    double slope, root;

    if (coil->root == NULL)
        return NAN;
    root = odd_cubic(coil, coil->root, coil->root_slope, cw_circuit_flux_linkage_wb(coil, fabs(current_a)), &slope);
    return root * root;
}

double cw_circuit_current_of_force_a(const cw_circuit_coil *coil, double force_n)
{
    if (coil->root == NULL || isnan(force_n))
        return NAN;
    if (force_n <= coil->root[0] * coil->root[0])
        return 0;
    if (force_n > pow(coil->root[coil->count - 1], 2))
        return INFINITY;
    return cw_circuit_current_a(coil, flux_of(coil, coil->root, coil->root_slope, sqrt(force_n)));
}
