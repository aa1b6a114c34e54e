/* SPDX-License-Identifier: GPL-3.0-or-later */
/* B-H curves: a monotone cubic through the table, an approach to saturation behind it. */
#include "coilwright/iron.h"

#include "base/embedded.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MU0 (4e-7 * 3.14159265358979323846)

enum { BUCKETS = 256, MOST_POINTS = 400, LONGEST_NAME = 64 };

struct cw_iron {
    size_t count;             /* points; 0 for linear iron */
    double *density, *field, *slope, *energy; /* shape [count]; T, A/m, m/H, J/m3 */
    double reluctivity;       /* linear iron */
    double saturation, shape; /* behind the table: B = mu0 H + saturation - shape / H */
    double tail_energy;       /* so that the energy goes on without a step */
    unsigned short bucket[BUCKETS + 1]; /* interval in which a bucket of B begins */
};

/* Fritsch and Butland's slope: a weighted harmonic mean, which keeps the cubic monotone. */
static double inner_slope(double left, double right, double secant_left, double secant_right)
{
    double weight_left = 2 * right + left, weight_right = right + 2 * left;

    return (weight_left + weight_right) / (weight_left / secant_left + weight_right / secant_right);
}

static void fill_slopes(cw_iron *iron, double last)
{
    size_t n = iron->count;

    for (size_t i = 0; i + 1 < n; i++) {
        double right = iron->density[i + 1] - iron->density[i];
        double secant_right = (iron->field[i + 1] - iron->field[i]) / right;

        if (i == 0) { /* the curve is odd: the point before zero mirrors the one behind */
            iron->slope[0] = secant_right;
        } else {
            double left = iron->density[i] - iron->density[i - 1];

            iron->slope[i] = inner_slope(left, right, (iron->field[i] - iron->field[i - 1]) / left, secant_right);
        }
    }
    iron->slope[n - 1] = last;
}

/* Vacuum's slope 1/mu0 is the most: 1/mu0 - dH/dB must be a monotone cubic's derivative as well, which holds where it
 * is at most three times its mean over the interval (F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17, 1980). */
static void limit_slopes(cw_iron *iron)
{
    for (size_t i = 0; i < iron->count; i++)
        for (size_t k = i > 0 ? i - 1 : 0; k <= i && k + 1 < iron->count; k++) {
            double secant = (iron->field[k + 1] - iron->field[k]) / (iron->density[k + 1] - iron->density[k]);

            iron->slope[i] = fmin(fmax(iron->slope[i], 3 * secant - 2 / MU0), 1 / MU0);
        }
}

static void fill_energy_and_buckets(cw_iron *iron)
{
    size_t n = iron->count, interval = 0;

    iron->energy[0] = 0;
    for (size_t i = 0; i + 1 < n; i++) {
        double h = iron->density[i + 1] - iron->density[i];

        iron->energy[i + 1] = iron->energy[i] + 0.5 * h * (iron->field[i] + iron->field[i + 1]) +
                              h * h * (iron->slope[i] - iron->slope[i + 1]) / 12;
    }
    for (int i = 0; i <= BUCKETS; i++) {
        while (interval + 2 < n && iron->density[interval + 1] <= iron->density[n - 1] * i / BUCKETS)
            interval++;
        iron->bucket[i] = (unsigned short)interval;
    }
}

static cw_status check_table(const double *field, const double *density, size_t count, cw_error *error)
{
    if (count < 2 || count > MOST_POINTS)
        return cw_refuse(error, NULL, "2 to 400 points", "The B-H table has %zu points.", count);
    if (field[0] != 0 || density[0] != 0)
        return cw_refuse(error, NULL, "0 A/m and 0 T as its first point", "The B-H table begins at %g A/m, %g T.",
                         field[0], density[0]);
    for (size_t i = 1; i < count; i++)
        if (!(field[i] > field[i - 1] && density[i] - density[i - 1] >= 0.99 * MU0 * (field[i] - field[i - 1])))
            return cw_refuse(error, NULL, "both columns rising, B by mu0 dH at least",
                             "The B-H table does not rise as iron does at %g A/m, %g T.", field[i], density[i]);
    return CW_OK;
}

cw_status cw_iron_create(const double *field_a_per_m, const double *density_t, size_t count, double saturation_t,
                         cw_iron **iron, cw_error *error)
{
    cw_status status = check_table(field_a_per_m, density_t, count, error);
    cw_iron *made;
    double last_h, last_b, least;

    *iron = NULL;
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL || (made->density = cw_allocate(4 * count, sizeof(double))) == NULL) {
        cw_free(made);
        return cw_no_memory(error);
    }
    made->count = count;
    made->field = made->density + count;
    made->slope = made->field + count;
    made->energy = made->slope + count;
    memcpy(made->density, density_t, count * sizeof(double));
    memcpy(made->field, field_a_per_m, count * sizeof(double));
    last_h = field_a_per_m[count - 1];
    last_b = density_t[count - 1];
    made->saturation = fmax(saturation_t, last_b - MU0 * last_h);
    made->shape = (made->saturation - (last_b - MU0 * last_h)) * last_h;
    /* a table that still rises steeply cannot be saturated yet: the last slope is 2.5 times the last secant at most */
    least = (0.4 * (last_b - density_t[count - 2]) / (last_h - field_a_per_m[count - 2]) - MU0) * last_h * last_h;
    if (made->shape < least) {
        made->shape = least;
        made->saturation = last_b - MU0 * last_h + least / last_h;
    }
    fill_slopes(made, 1 / (MU0 + made->shape / (last_h * last_h)));
    limit_slopes(made);
    fill_energy_and_buckets(made);
    /* int H dB = H B - int B dH */
    made->tail_energy = made->energy[count - 1] - last_h * last_b +
                        (0.5 * MU0 * last_h * last_h + made->saturation * last_h - made->shape * log(last_h));
    *iron = made;
    return CW_OK;
}

cw_status cw_iron_create_linear(double relative_permeability, cw_iron **iron, cw_error *error)
{
    *iron = NULL;
    if (!(relative_permeability > 0 && isfinite(relative_permeability)))
        return cw_refuse(error, NULL, "a relative permeability above zero", "Iron of permeability %g is none.",
                         relative_permeability);
    *iron = cw_allocate(1, sizeof **iron);
    if (*iron == NULL)
        return cw_no_memory(error);
    (*iron)->reluctivity = 1 / (MU0 * relative_permeability);
    (*iron)->saturation = INFINITY;
    return CW_OK;
}

void cw_iron_destroy(cw_iron **iron)
{
    if (*iron == NULL)
        return;
    cw_free((*iron)->density);
    cw_free(*iron);
    *iron = NULL;
}

/* B = mu0 H + Js - c/H solved for H. */
static double tail_field(const cw_iron *iron, double b, double *slope, double *energy)
{
    double excess = b - iron->saturation;
    double root = sqrt(excess * excess + 4 * MU0 * iron->shape);
    double h = excess >= 0 ? (excess + root) / (2 * MU0) : 2 * iron->shape / (root - excess);

    if (slope != NULL)
        *slope = 1 / (MU0 + iron->shape / (h * h));
    if (energy != NULL)
        *energy = iron->tail_energy + h * b -
                  (0.5 * MU0 * h * h + iron->saturation * h - iron->shape * log(h));
    return h;
}

double cw_iron_field(const cw_iron *iron, double density_t, double *slope, double *energy)
{
    double b = density_t, h, t, s0, s1, curve, twist, above;
    size_t i;

    if (iron->count == 0) {
        if (slope != NULL)
            *slope = iron->reluctivity;
        if (energy != NULL)
            *energy = 0.5 * iron->reluctivity * b * b;
        return iron->reluctivity * b;
    }
    if (!(b < iron->density[iron->count - 1]))
        return tail_field(iron, b, slope, energy);
    i = iron->bucket[(int)(b / iron->density[iron->count - 1] * BUCKETS)];
    while (i > 0 && b < iron->density[i])
        i--;
    while (b >= iron->density[i + 1])
        i++;
    h = iron->density[i + 1] - iron->density[i];
    t = b - iron->density[i];
    s0 = iron->slope[i];
    s1 = iron->slope[i + 1];
    above = (iron->field[i + 1] - iron->field[i]) / h;
    curve = (3 * above - 2 * s0 - s1) / h;
    twist = (s0 + s1 - 2 * above) / (h * h);
    if (slope != NULL)
        *slope = s0 + t * (2 * curve + t * 3 * twist);
    if (energy != NULL)
        *energy = iron->energy[i] + t * (iron->field[i] + t * (s0 / 2 + t * (curve / 3 + t * twist / 4)));
    return iron->field[i] + t * (s0 + t * (curve + t * twist));
}

double cw_iron_saturation_t(const cw_iron *iron)
{
    return iron->saturation;
}

/* ---- names -------------------------------------------------------------------------------------------------- */

typedef struct entry {
    char name[LONGEST_NAME], file[LONGEST_NAME];
    double saturation, coercivity[2];
    char trust; /* of the coercivity; 0 where none is given */
} entry;

/* Next line that is no comment and no header; NULL at the end. */
static const char *next_row(const char *text)
{
    while (text != NULL && *text != '\0' && (*text == '#' || strncmp(text, "name,", 5) == 0 || *text == 'H')) {
        text = strchr(text, '\n');
        if (text != NULL)
            text++;
    }
    return text == NULL || *text == '\0' ? NULL : text;
}

static const char *after_line(const char *row)
{
    const char *end = strchr(row, '\n');

    return end == NULL ? "" : end + 1;
}

static bool entry_at(size_t index, entry *entry)
{
    const cw_embedded *list = cw_embedded_find("iron.csv");
    const char *row = list == NULL ? NULL : next_row(list->text);

    for (size_t i = 0; row != NULL; i++, row = next_row(after_line(row)))
        if (i == index) {
            int read = sscanf(row, "%63[^,],%63[^,],%lf,%lf,%lf,%c", entry->name, entry->file, &entry->saturation,
                              &entry->coercivity[0], &entry->coercivity[1], &entry->trust);

            if (read != 6)
                entry->trust = 0;
            return read >= 3;
        }
    return false;
}

static cw_status from_table(const entry *entry, cw_iron **iron, cw_error *error)
{
    const cw_embedded *table = cw_embedded_find(entry->file);
    const char *row = table == NULL ? NULL : next_row(table->text);
    double field[MOST_POINTS], density[MOST_POINTS];
    size_t count = 0;

    for (; row != NULL && count < MOST_POINTS; row = next_row(after_line(row))) {
        if (sscanf(row, "%lf,%lf", &field[count], &density[count]) != 2)
            break;
        count++;
    }
    return cw_iron_create(field, density, count, entry->saturation, iron, error);
}

cw_status cw_iron_find(const char *name, cw_iron **iron, cw_error *error)
{
    char nearest[LONGEST_NAME] = "";
    int best = 1000;
    entry entry;

    *iron = NULL;
    for (size_t i = 0; entry_at(i, &entry); i++) {
        int distance = cw_word_distance(name, entry.name, 60);

        if (strcmp(name, entry.name) == 0)
            return from_table(&entry, iron, error);
        if (distance < best) {
            best = distance;
            memcpy(nearest, entry.name, sizeof nearest);
        }
    }
    return cw_refuse(error, NULL, nearest, "There is no iron called '%.60s'.", name);
}

bool cw_iron_coercivity(const char *name, double range_a_per_m[2], char *trust)
{
    entry entry;

    for (size_t i = 0; entry_at(i, &entry); i++)
        if (strcmp(name, entry.name) == 0 && entry.trust != 0) {
            memcpy(range_a_per_m, entry.coercivity, sizeof entry.coercivity);
            *trust = entry.trust;
            return true;
        }
    return false;
}

bool cw_iron_name(size_t index, char *buffer, size_t size)
{
    entry entry;

    if (!entry_at(index, &entry))
        return false;
    snprintf(buffer, size, "%s", entry.name);
    return true;
}
