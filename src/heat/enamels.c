/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of enamels. */
#include "base/csv.h"
#include "base/embedded.h"
#include "coilwright/heat.h"

#include <string.h>

static void copy_cell(const cw_csv *csv, const char *heading, char *to, size_t size)
{
    size_t length;
    const char *field = cw_csv_field(csv, heading, &length);

    length = length < size ? length : size - 1;
    memcpy(to, field, length);
    to[length] = '\0';
}

size_t cw_heat_enamels(double class_c, cw_heat_enamel *enamel, size_t most)
{
    size_t count = 0;
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("insulation_enamels.csv")->text);
    while (count < most && cw_csv_step(&csv)) {
        cw_heat_enamel *e = &enamel[count];

        copy_cell(&csv, "enamel", e->name, sizeof e->name);
        copy_cell(&csv, "iec", e->iec, sizeof e->iec);
        copy_cell(&csv, "nema", e->nema, sizeof e->nema);
        e->class_c = cw_csv_number(&csv, "class_c");
        e->bath_low_c = cw_csv_number(&csv, "bath_low_c");
        e->bath_high_c = cw_csv_number(&csv, "bath_high_c");
        count += e->class_c >= class_c;
    }
    return count;
}
