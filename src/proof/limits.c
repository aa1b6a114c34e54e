/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tables of limits: data/proof_*.csv. */
#include "proof/proof_internal.h"

#include "base/csv.h"
#include "base/embedded.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void begin(cw_csv *csv, const char *table)
{
    cw_csv_begin(csv, cw_embedded_find(table)->text);
}

static void copy_field(const cw_csv *csv, const char *heading, char *buffer, size_t size)
{
    size_t length;
    const char *field = cw_csv_field(csv, heading, &length);

    snprintf(buffer, size, "%.*s", (int)length, field);
}

static cw_basis_trust trust_of(const cw_csv *csv)
{
    if (cw_csv_is(csv, "trust", "standard"))
        return CW_BASIS_STANDARD;
    if (cw_csv_is(csv, "trust", "web"))
        return CW_BASIS_WEB;
    return cw_csv_is(csv, "trust", "practice") ? CW_BASIS_PRACTICE : CW_BASIS_MEMORY;
}

/* Ends of the row's voltages: i includes, e excludes; an empty end is open. */
static bool holds_for(const cw_csv *csv, double voltage_v)
{
    const double from = cw_csv_number(csv, "u_min_v"), to = cw_csv_number(csv, "u_max_v");
    size_t length;
    const char *bounds = cw_csv_field(csv, "bounds", &length);

    if (isnan(voltage_v))
        return isnan(from) && isnan(to);
    if (!isnan(from) && (bounds[0] == 'i' ? voltage_v < from : voltage_v <= from))
        return false;
    return isnan(to) || (bounds[1] == 'i' ? voltage_v <= to : voltage_v < to);
}

static void read_values(const cw_csv *csv, double voltage_v, cw_limit_row *row)
{
    const double constant = cw_csv_number(csv, "constant"), per_volt = cw_csv_number(csv, "per_volt");
    const double least = cw_csv_number(csv, "least"), greatest = cw_csv_number(csv, "greatest");

    row->low = least;
    row->high = greatest;
    if (isnan(constant))
        return;
    row->low = constant + (per_volt > 0 ? per_volt * voltage_v : 0);
    if (row->low < least)
        row->low = least;
    if (row->low > greatest)
        row->low = greatest;
    row->high = row->low;
}

cw_status cw_limit_find(const char *id, double voltage_v, cw_limit_row *row, cw_error *error)
{
    cw_csv csv;

    begin(&csv, "proof_limits.csv");
    while (cw_csv_step(&csv)) {
        if (!cw_csv_is(&csv, "id", id))
            continue;
        if (!holds_for(&csv, voltage_v) &&
            !(isnan(cw_csv_number(&csv, "u_min_v")) && isnan(cw_csv_number(&csv, "u_max_v"))))
            return cw_refuse(error, NULL, NULL, "The limit '%s' does not hold for %g V.", id, voltage_v);
        memset(row, 0, sizeof *row);
        copy_field(&csv, "kind", row->kind, sizeof row->kind);
        copy_field(&csv, "id", row->id, sizeof row->id);
        copy_field(&csv, "condition", row->condition, sizeof row->condition);
        copy_field(&csv, "standard", row->standard, sizeof row->standard);
        copy_field(&csv, "unit", row->unit, sizeof row->unit);
        row->duration_s = cw_csv_number(&csv, "duration_s");
        row->trust = trust_of(&csv);
        read_values(&csv, voltage_v, row);
        return CW_OK;
    }
    return cw_refuse(error, NULL, NULL, "There is no limit '%s' in the table.", id);
}

const char *cw_limit_id(const char *kind, double voltage_v, char *buffer, size_t size)
{
    cw_csv csv;

    begin(&csv, "proof_limits.csv");
    while (cw_csv_step(&csv))
        if (cw_csv_is(&csv, "kind", kind) && holds_for(&csv, voltage_v)) {
            copy_field(&csv, "id", buffer, size);
            return buffer;
        }
    return NULL;
}

double cw_proof_creepage_m(double voltage_v, int pollution_degree, int material_group, cw_basis_trust *trust)
{
    char heading[24];
    cw_csv csv;

    if (pollution_degree < 2 || pollution_degree > 3 || material_group < 1 || material_group > 3 || !(voltage_v >= 0))
        return NAN;
    snprintf(heading, sizeof heading, "pd%d_group_%d_mm", pollution_degree, material_group);
    begin(&csv, "proof_creepage.csv");
    while (cw_csv_step(&csv))
        if (voltage_v <= cw_csv_number(&csv, "voltage_v")) {
            if (trust != NULL)
                *trust = trust_of(&csv);
            return 1e-3 * cw_csv_number(&csv, heading);
        }
    return NAN;
}

double cw_proof_impulse_v(double line_to_earth_v, int category)
{
    char heading[24];
    cw_csv csv;

    if (category < 1 || category > 4 || !(line_to_earth_v >= 0))
        return NAN;
    snprintf(heading, sizeof heading, "category_%d_kv", category);
    begin(&csv, "proof_impulse.csv");
    while (cw_csv_step(&csv))
        if (line_to_earth_v <= cw_csv_number(&csv, "line_to_earth_v"))
            return 1e3 * cw_csv_number(&csv, heading);
    return NAN;
}

double cw_proof_clearance_m(double impulse_v, int pollution_degree)
{
    cw_csv csv;

    if (pollution_degree < 2 || pollution_degree > 3 || !(impulse_v >= 0))
        return NAN;
    begin(&csv, "proof_clearance.csv");
    while (cw_csv_step(&csv)) /* a volt in ten million is spared, so that 2.5 kV written as 2500 meets its row */
        if (impulse_v <= 1e3 * cw_csv_number(&csv, "impulse_kv") * (1 + 1e-7))
            return 1e-3 * cw_csv_number(&csv, pollution_degree == 2 ? "pd2_mm" : "pd3_mm");
    return NAN;
}

/* Allowance between mean and hot spot. Classes without a printed one take that of the next class that has, else of the
 * last: common practice. */
static double allowance_k(double thermal_class_c)
{
    double last = NAN;
    cw_csv csv;

    begin(&csv, "proof_rise.csv");
    while (cw_csv_step(&csv)) {
        const double allowance = cw_csv_number(&csv, "allowance_k");

        if (!isnan(allowance))
            last = allowance;
        if (!isnan(allowance) && cw_csv_number(&csv, "class_c") >= thermal_class_c)
            return allowance;
    }
    return last;
}

double cw_proof_rise_limit_k(cw_rise_rule rule, double thermal_class_c, double ambient_c, cw_basis_trust *trust)
{
    static const char *const headings[CW_RISE_RULE_COUNT] = { NULL, "control_gear_k", "machine_k", "transformer_k" };
    cw_csv csv;

    if (trust != NULL)
        *trust = rule == CW_RISE_CONTROL_GEAR ? CW_BASIS_STANDARD
                 : rule == CW_RISE_BY_CLASS   ? CW_BASIS_WEB
                                              : CW_BASIS_MEMORY;
    if (rule == CW_RISE_BY_CLASS)
        return thermal_class_c - ambient_c - allowance_k(thermal_class_c);
    begin(&csv, "proof_rise.csv");
    while (cw_csv_step(&csv))
        if (cw_csv_number(&csv, "class_c") == thermal_class_c)
            return cw_csv_number(&csv, headings[rule]) - fmax(0, ambient_c - 40);
    return NAN;
}
