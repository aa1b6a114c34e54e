/* SPDX-License-Identifier: GPL-3.0-or-later */
/* American gauge: diameters by formula, limits and coverings by the magnet wire standard.
 *
 * A half size takes its limits from its neighbours: the tolerance and the increases change so slowly with the gauge
 * that their mean is within the last printed figure (0.0001 in). Triple build: no table was found; the metric
 * standard's grade 3 of the same bare diameter stands in, marked as derived. Sizes beyond the table (below 6 and above
 * 44 AWG) have a tolerance of 1 %, no less than 0.0001 in, and no covering. */
#include "wire/wire_internal.h"

#include "base/csv.h"
#include "base/embedded.h"

#include <math.h>
#include <stdio.h>

enum { FIRST = -3, LAST = 50, ROWS = LAST - FIRST + 1 };

static const double inch = 25.4e-3;

/* What the table says of one full gauge; inches become metres, empty cells NAN. */
typedef struct row {
    double bare_min, bare_max;
    cw_trust bare_trust;
    double least[2], greatest[2]; /* increase, greatest overall; single, heavy */
    cw_trust trust[2];
} row;

static cw_trust trust_of(const cw_csv *csv, const char *heading)
{
    return cw_csv_is(csv, heading, "memory") ? CW_FROM_MEMORY : CW_PRINTED;
}

static void read_rows(row rows[ROWS])
{
    cw_csv csv;

    for (int i = 0; i < ROWS; i++)
        rows[i] = (row){ NAN, NAN, CW_DERIVED, { NAN, NAN }, { NAN, NAN }, { CW_PRINTED, CW_PRINTED } };
    cw_csv_begin(&csv, cw_embedded_find("wire_awg_builds.csv")->text);
    while (cw_csv_step(&csv)) {
        row *to = &rows[(int)cw_csv_number(&csv, "awg") - FIRST];

        to->bare_min = inch * cw_csv_number(&csv, "bare_min_in");
        to->bare_max = inch * cw_csv_number(&csv, "bare_max_in");
        to->bare_trust = trust_of(&csv, "bare_src");
        to->least[0] = inch * cw_csv_number(&csv, "single_min_increase_in");
        to->greatest[0] = inch * cw_csv_number(&csv, "single_od_max_in");
        to->trust[0] = trust_of(&csv, "single_src");
        to->least[1] = inch * cw_csv_number(&csv, "heavy_min_increase_in");
        to->greatest[1] = inch * cw_csv_number(&csv, "heavy_od_max_in");
        to->trust[1] = trust_of(&csv, "heavy_od_max_src");
    }
}

static void name_gauge(double gauge, char name[24])
{
    if (gauge < 0.5)
        snprintf(name, 24, "%d/0 AWG", 1 - (int)gauge);
    else
        snprintf(name, 24, "%g AWG", gauge);
}

static void set_band(cw_wire__entry *entry, double bare_min, double bare_max)
{
    const double iacs_ohm_m = 1e-6 / 58.0;
    cw_band *d = &entry->size.diameter_m;
    double tolerance = fmax(0.01 * d->nominal, fmin(0.0001 * inch, 0.05 * d->nominal));

    d->min = isnan(bare_min) ? d->nominal - tolerance : bare_min;
    d->max = isnan(bare_max) ? d->nominal + tolerance : bare_max;
    entry->copper_ohm_per_m.nominal = iacs_ohm_m / cw_wire__section_m2(d->nominal);
    entry->copper_ohm_per_m.min = iacs_ohm_m / cw_wire__section_m2(d->max);
    entry->copper_ohm_per_m.max = iacs_ohm_m / cw_wire__section_m2(d->min);
}

/* A figure is worth what the weakest of its sources is worth; between two gauges it is derived at best. */
static cw_trust weakest(cw_trust at, cw_trust next, bool intermediate)
{
    const cw_trust weaker = at > next ? at : next;

    return intermediate && weaker < CW_DERIVED ? CW_DERIVED : weaker;
}

static void set_diameters(cw_wire__entry *entry, double gauge, const row *at, const row *next)
{
    const double nominal = cw_awg_diameter_m(gauge);

    entry->size.diameter_m.nominal = nominal;
    entry->overall[CW_BARE].trust = weakest(at->bare_trust, next->bare_trust, entry->size.intermediate);
    if (entry->size.intermediate) {
        /* the neighbours' tolerances, as shares of their own diameters */
        const double above = cw_awg_diameter_m(gauge - 0.5), below = cw_awg_diameter_m(gauge + 0.5);

        set_band(entry, nominal * 0.5 * (at->bare_min / above + next->bare_min / below),
                 nominal * 0.5 * (at->bare_max / above + next->bare_max / below));
    } else {
        set_band(entry, at->bare_min, at->bare_max);
    }
}

/* build  0 single, 1 heavy */
static void cover(cw_wire__entry *entry, int build, const row *at, const row *next)
{
    const double step = sqrt(cw_awg_diameter_m(1) / cw_awg_diameter_m(0)); /* of half a gauge */
    cw_wire__overall *overall = &entry->overall[build];

    overall->max_m = entry->size.intermediate ? 0.5 * (at->greatest[build] * step + next->greatest[build] / step)
                                           : at->greatest[build];
    if (isnan(overall->max_m))
        return;
    overall->min_m = entry->size.diameter_m.min + 0.5 * (at->least[build] + next->least[build]);
    overall->trust = weakest(at->trust[build], next->trust[build], entry->size.intermediate);
}

/* at, next  the same row for a full gauge, its neighbours for a half size */
static cw_status append(cw_wire_catalogue *catalogue, double gauge, const row *at, const row *next, cw_error *error)
{
    cw_wire__entry *entry = cw_wire__append(catalogue);
    double least, greatest;

    if (entry == NULL)
        return cw_no_memory(error);
    entry->size.system = CW_AWG;
    entry->size.number = gauge;
    entry->size.intermediate = at != next;
    name_gauge(gauge, entry->size.name);
    set_diameters(entry, gauge, at, next);
    cover(entry, CW_SINGLE, at, next);
    cover(entry, CW_HEAVY, at, next);
    if (!isnan(at->bare_min) && !isnan(next->bare_min) &&
        cw_wire__metric_increase(entry->size.diameter_m.nominal, CW_TRIPLE, &least, &greatest)) {
        entry->overall[CW_TRIPLE].min_m = entry->size.diameter_m.min + least;
        entry->overall[CW_TRIPLE].max_m = entry->size.diameter_m.nominal + greatest;
        entry->overall[CW_TRIPLE].trust = CW_DERIVED;
    }
    return CW_OK;
}

cw_status cw_wire__read_awg(cw_wire_catalogue *catalogue, cw_error *error)
{
    row rows[ROWS];
    cw_status status = CW_OK;

    read_rows(rows);
    for (int i = 0; i < ROWS && status == CW_OK; i++) {
        status = append(catalogue, FIRST + i, &rows[i], &rows[i], error);
        if (status == CW_OK && i + 1 < ROWS && !isnan(rows[i].bare_min) && !isnan(rows[i + 1].bare_min))
            status = append(catalogue, FIRST + i + 0.5, &rows[i], &rows[i + 1], error);
    }
    return status;
}
