/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What makings and materials are like, from the tables. */
#include "base/csv.h"
#include "base/embedded.h"
#include "coilwright/heat.h"
#include "former/former_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const making_names[CW_MAKING_COUNT] = { "filament", "powder", "resin", "turned", "milled" };

const char *cw_making_name(cw_making making)
{
    return making_names[making];
}

bool cw_making_prints(cw_making making)
{
    return making == CW_FILAMENT || making == CW_POWDER || making == CW_RESIN;
}

void cw_former__find_process(cw_making making, cw_former__process *process)
{
    cw_csv csv;

    *process = (cw_former__process){ 0 };
    cw_csv_begin(&csv, cw_embedded_find("former_making.csv")->text);
    while (cw_csv_step(&csv)) {
        if (!cw_csv_is(&csv, "making", cw_making_name(making)))
            continue;
        process->least_wall_m = 1e-3 * cw_csv_number(&csv, "least_wall_mm");
        process->usual_wall_m = 1e-3 * cw_csv_number(&csv, "usual_wall_mm");
        process->least_flange_m = 1e-3 * cw_csv_number(&csv, "least_flange_mm");
        process->usual_flange_m = 1e-3 * cw_csv_number(&csv, "usual_flange_mm");
        process->hole_growth_m = 1e-3 * cw_csv_number(&csv, "hole_growth_mm");
        process->tolerance_m = 1e-3 * cw_csv_number(&csv, "tolerance_mm");
        process->tolerance_share = 1e-2 * cw_csv_number(&csv, "tolerance_percent");
    }
}

static int making_of(const cw_csv *csv)
{
    for (int i = 0; i < CW_MAKING_COUNT; i++)
        if (cw_csv_is(csv, "making", making_names[i]))
            return i;
    return -1;
}

/* A laminate has no deflection temperature in the table; its limit for years stands in for it. */
static void take(const cw_csv *csv, const cw_heat_material *thermal, cw_former__material *material)
{
    memset(material, 0, sizeof *material);
    memcpy(material->name, thermal->name, sizeof material->name);
    material->making = making_of(csv);
    material->shrink =
        0.5e-2 * (cw_csv_number(csv, "shrink_low_percent") + cw_csv_number(csv, "shrink_high_percent"));
    material->metal = cw_csv_is(csv, "metal", "yes");
    material->lasts_c = thermal->limit_c;
    material->softens_c = isnan(thermal->deflection_c) ? thermal->limit_c : thermal->deflection_c;
    material->density_kg_m3 = thermal->density_kg_m3;
}

cw_status cw_former__find_material(const char *name, const cw_place *at, cw_former__material *material,
                                   cw_error *error)
{
    cw_heat_material thermal;
    cw_csv csv;
    cw_status status;

    if (name == NULL)
        name = "PA12 powder-fused";
    status = cw_heat_material_find(name, strlen(name), at, &thermal, error);
    if (status != CW_OK)
        return status;
    cw_csv_begin(&csv, cw_embedded_find("former_materials.csv")->text);
    while (cw_csv_step(&csv))
        if (cw_csv_is(&csv, "material", thermal.name)) {
            take(&csv, &thermal, material);
            return CW_OK;
        }
    return cw_refuse(error, at, "a plastic, laminate, board, wood or metal, as in pa12, petg, acetal, G-11",
                     "Nobody makes a former of %s.", thermal.name);
}

size_t cw_former__screws(cw_former__screw *screws, size_t room)
{
    size_t count = 0;
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("former_screws.csv")->text);
    while (count < room && cw_csv_step(&csv))
        screws[count++] = (cw_former__screw){ (int)cw_csv_number(&csv, "screw_mm"),
                                              1e-3 * cw_csv_number(&csv, "pitch_mm"),
                                              1e-3 * cw_csv_number(&csv, "clear_hole_mm") };
    return count;
}

void cw_former__say(char *remark, size_t size, const char *format, ...)
{
    const size_t used = strlen(remark);
    va_list arguments;

    if (used + 2 >= size)
        return;
    if (used > 0)
        memcpy(remark + used, " ", 2);
    va_start(arguments, format);
    vsnprintf(remark + strlen(remark), size - strlen(remark), format, arguments);
    va_end(arguments);
}
