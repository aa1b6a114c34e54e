/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers as drawings write them, general tolerances, scales and papers by name. */
#include "drafting/drafting_internal.h"

#include "base/csv.h"
#include "base/embedded.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#define M_PER_INCH 0.0254
#define DUST_M 0.5e-6 /* what rounding may move a size by before it gets another place */

/* Fixed decimals; the C library's own point may be another in the program's locale, which is never set. */
static int decimals_needed(double value, double unit_m, int least, int most)
{
    for (int decimals = least; decimals < most; decimals++) {
        double step = pow(10, -decimals);

        if (fabs(round(value / step) * step - value) * unit_m <= DUST_M)
            return decimals;
    }
    return most;
}

void cw_drafting_number(double length_m, cw_unit_system units, char *buffer, size_t size)
{
    const bool inch = units == CW_INCH_UNITS;
    const double unit_m = inch ? M_PER_INCH : 1e-3, value = length_m / unit_m;
    char digits[48];
    const char *shown = digits;

    snprintf(digits, sizeof digits, "%.*f", decimals_needed(value, unit_m, inch ? 3 : 0, inch ? 4 : 3), value);
    if (inch && strncmp(digits, "0.", 2) == 0)
        shown++;
    snprintf(buffer, size, "%s", shown);
}

/* A deviation with its sign; nothing of it where it is zero. */
static void deviation(double length_m, cw_unit_system units, char *buffer, size_t size)
{
    char digits[40];

    if (length_m == 0) {
        snprintf(buffer, size, "0");
        return;
    }
    if (units == CW_INCH_UNITS) /* whole thousandths */
        length_m = copysign(fmax(floor(fabs(length_m) / M_PER_INCH * 1000 + 1e-6), 1) * M_PER_INCH / 1000, length_m);
    cw_drafting_number(fabs(length_m), units, digits, sizeof digits);
    snprintf(buffer, size, "%s%s", length_m > 0 ? "+" : "\xE2\x88\x92", digits);
}

void cw_drafting__words(const cw_drafting__request *request, cw_unit_system units, char *buffer, size_t size)
{
    const cw_drafting_dimension *asked = &request->asked;
    char value[48] = "", upper[40], lower[40], deviations[96] = "";

    if (isfinite(asked->value) && asked->kind == CW_DRAFTING_ANGLE)
        snprintf(value, sizeof value, "%.4g\xC2\xB0", asked->value);
    else if (isfinite(asked->value))
        cw_drafting_number(asked->value, units, value, sizeof value);
    deviation(asked->upper_m, units, upper, sizeof upper);
    deviation(asked->lower_m, units, lower, sizeof lower);
    if (asked->upper_m != 0 && asked->upper_m == -asked->lower_m)
        snprintf(deviations, sizeof deviations, " \xC2\xB1%s", upper + 1);
    else if (asked->upper_m != 0 || asked->lower_m != 0)
        snprintf(deviations, sizeof deviations, " %s/%s", upper, lower);
    snprintf(buffer, size, "%s%s%s%s", request->prefix, value, deviations, request->suffix);
}

double cw_drafting_deviation(cw_drafting_class class, double size_m)
{
    static const char *const columns[] = { "fine_mm", "medium_mm", "coarse_mm", "very_coarse_mm" };
    const double size_mm = size_m * 1000;
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("drafting_tolerances.csv")->text);
    while (cw_csv_step(&csv)) {
        double over = cw_csv_number(&csv, "over_mm"), to = cw_csv_number(&csv, "to_mm");

        /* the lowest range includes its lower end: "0.5 up to 3" */
        if ((size_mm > over || (over == 0.5 && size_mm == over)) && size_mm <= to)
            return cw_csv_number(&csv, columns[class]) / 1000;
    }
    return NAN;
}

void cw_drafting__scale_words(double scale, char *buffer, size_t size)
{
    if (scale >= 1)
        snprintf(buffer, size, "%g:1", scale);
    else
        snprintf(buffer, size, "1:%g", round(1 / scale));
}

bool cw_drafting_paper_named(const char *name, cw_drafting_paper *paper)
{
    static const char *const names[CW_DRAFTING_PAPER_COUNT] = { "A4", "A3", "letter", "tabloid" };

    for (int i = 0; i < CW_DRAFTING_PAPER_COUNT; i++)
        if (strcasecmp(name, names[i]) == 0) {
            *paper = (cw_drafting_paper)i;
            return true;
        }
    return false;
}
