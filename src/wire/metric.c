/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Metric sizes, and the imperial gauge whose enamelled wire follows the metric standard's rules.
 *
 * Resistance at 20 °C of copper [IEC60317-0-1; the constants were found by recomputing the printed tables, see
 * docs/wire.md]: nominal (1/58.5)/A(d), least (1/59)/A(d + tolerance), greatest (1/58)/A(d - tolerance), ohm mm2/m.
 * Below 0.063 mm the standard bounds the resistance and not the diameter; the diameter band is then what the
 * resistance band means at 1/58.5. Where the table has no limits there (0.018 to 0.028 and 0.036 mm) the printed
 * neighbours' 10 % stand in. */
#include "wire/wire_internal.h"

#include "base/csv.h"
#include "base/embedded.h"

#include <math.h>
#include <stdio.h>

static const char *least_heading[] = { "min_increase_g1_mm", "min_increase_g2_mm", "min_increase_g3_mm" };
static const char *greatest_heading[] = { "max_od_g1_mm", "max_od_g2_mm", "max_od_g3_mm" };

static double ohm_per_m(double conductivity, double diameter_m)
{
    return 1e-6 / conductivity / cw_wire__section_m2(diameter_m);
}

static void set_resistance(cw_wire__entry *entry, double nominal_conductivity)
{
    const cw_band *d = &entry->size.diameter_m;

    entry->copper_ohm_per_m.nominal = ohm_per_m(nominal_conductivity, d->nominal);
    entry->copper_ohm_per_m.min = ohm_per_m(59.0, d->max);
    entry->copper_ohm_per_m.max = ohm_per_m(58.0, d->min);
}

/* Fine wire: the resistance band is given, the diameter band follows from it. */
static void set_fine(cw_wire__entry *entry, double r_min, double r_max)
{
    cw_band *d = &entry->size.diameter_m;
    cw_band *r = &entry->copper_ohm_per_m;

    r->nominal = ohm_per_m(58.5, d->nominal);
    r->min = isnan(r_min) ? 0.9 * r->nominal : r_min;
    r->max = isnan(r_max) ? 1.1 * r->nominal : r_max;
    d->min = d->nominal * sqrt(r->nominal / r->max);
    d->max = d->nominal * sqrt(r->nominal / r->min);
}

bool cw_wire__metric_increase(double diameter_m, cw_build grade, double *least_m, double *greatest_m)
{
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("wire_iec60317.csv")->text);
    while (cw_csv_step(&csv)) {
        double nominal = cw_csv_number(&csv, "d_nom_mm");

        if (!cw_csv_is(&csv, "series", "R20") || nominal * 1e-3 < diameter_m * (1 - 1e-9))
            continue;
        *least_m = 1e-3 * cw_csv_number(&csv, least_heading[grade]);
        *greatest_m = 1e-3 * (cw_csv_number(&csv, greatest_heading[grade]) - nominal);
        return !isnan(*least_m) && !isnan(*greatest_m);
    }
    return false;
}

/* Covers by the row's own figures, each replaced by the next-larger-size rule where the cell is empty.
 * derived  the row's figures themselves come from that rule */
static void cover(cw_wire__entry *entry, const cw_csv *csv, bool has_row_for_triple, bool derived)
{
    const cw_band *d = &entry->size.diameter_m;

    for (int grade = CW_SINGLE; grade <= CW_TRIPLE; grade++) {
        double least = 1e-3 * cw_csv_number(csv, least_heading[grade]);
        double greatest = 1e-3 * cw_csv_number(csv, greatest_heading[grade]);
        double rule_least, rule_greatest;
        bool rule = cw_wire__metric_increase(d->nominal, (cw_build)grade, &rule_least, &rule_greatest);

        if (isnan(greatest) && (!rule || (grade == CW_TRIPLE && !has_row_for_triple)))
            continue;
        if (isnan(least) && !rule)
            continue;
        entry->overall[grade].trust = derived || isnan(least) || isnan(greatest) ? CW_DERIVED : CW_PRINTED;
        entry->overall[grade].min_m = d->min + (isnan(least) ? rule_least : least);
        entry->overall[grade].max_m = isnan(greatest) ? d->nominal + rule_greatest : greatest;
    }
}

/* The standard's table rises; the catalogue's sizes fall, as the gauges do. */
static void reverse(cw_wire__entry *entries, size_t count)
{
    for (size_t i = 0; i < count / 2; i++) {
        const cw_wire__entry kept = entries[i];

        entries[i] = entries[count - 1 - i];
        entries[count - 1 - i] = kept;
    }
}

cw_status cw_wire__read_metric(cw_wire_catalogue *catalogue, cw_error *error)
{
    const size_t first = catalogue->count;
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("wire_iec60317.csv")->text);
    while (cw_csv_step(&csv)) {
        cw_wire__entry *entry = cw_wire__append(catalogue);
        double millimetres = cw_csv_number(&csv, "d_nom_mm");
        double tolerance = 1e-3 * cw_csv_number(&csv, "tol_mm");
        cw_band *d;

        if (entry == NULL)
            return cw_no_memory(error);
        d = &entry->size.diameter_m;
        entry->size.system = CW_METRIC;
        entry->size.number = millimetres;
        entry->size.intermediate = cw_csv_is(&csv, "series", "R40");
        snprintf(entry->size.name, sizeof entry->size.name, "%.3f mm", millimetres);
        d->nominal = 1e-3 * millimetres;
        if (isnan(tolerance)) {
            set_fine(entry, cw_csv_number(&csv, "r_min_ohm_per_m"), cw_csv_number(&csv, "r_max_ohm_per_m"));
        } else {
            d->min = d->nominal - tolerance;
            d->max = d->nominal + tolerance;
            set_resistance(entry, 58.5);
        }
        cover(entry, &csv, false, cw_csv_is(&csv, "dim_src", "D"));
    }
    reverse(catalogue->entries + first, catalogue->count - first);
    return CW_OK;
}

/* SWG diameters are exact inches [BS3737]; enamelled SWG wire follows the metric rules [IS13730]. Old imperial tables
 * give the nominal resistance at 100 % IACS, and so do we. Without a tolerance of its own a size takes 0.003 mm, the
 * standard's least (fine wire then has a wider band than its resistance limits allow: the safe side). */
cw_status cw_wire__read_swg(cw_wire_catalogue *catalogue, cw_error *error)
{
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("wire_swg.csv")->text);
    while (cw_csv_step(&csv)) {
        cw_wire__entry *entry = cw_wire__append(catalogue);
        double tolerance = 1e-3 * cw_csv_number(&csv, "tol_mm");
        cw_band *d;

        if (entry == NULL)
            return cw_no_memory(error);
        d = &entry->size.diameter_m;
        entry->size.system = CW_SWG;
        entry->size.number = cw_csv_number(&csv, "swg");
        snprintf(entry->size.name, sizeof entry->size.name, "%g SWG", entry->size.number);
        d->nominal = 25.4e-3 * cw_csv_number(&csv, "d_in");
        if (isnan(tolerance))
            tolerance = d->nominal > 1e-3 ? 0.01 * d->nominal : 0.003e-3;
        if (tolerance > 0.05 * d->nominal)
            tolerance = 0.05 * d->nominal;
        d->min = d->nominal - tolerance;
        d->max = d->nominal + tolerance;
        set_resistance(entry, 58.0);
        cover(entry, &csv, true, false);
        entry->overall[CW_BARE].trust = cw_csv_is(&csv, "d_src", "printed") ? CW_PRINTED : CW_DERIVED;
    }
    return CW_OK;
}
