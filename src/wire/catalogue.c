/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The catalogue: built once from the tables, then constant. */
#include "wire/wire_internal.h"

#include "base/csv.h"
#include "base/embedded.h"

#include <math.h>
#include <string.h>

double cw_wire__section_m2(double diameter_m)
{
    return 0.25 * 3.14159265358979323846 * diameter_m * diameter_m;
}

double cw_awg_diameter_m(double gauge)
{
    return 0.127e-3 * pow(92.0, (36.0 - gauge) / 39.0);
}

cw_wire__entry *cw_wire__append(cw_wire_catalogue *catalogue)
{
    cw_wire__entry *entry;

    if (catalogue->count == catalogue->capacity) {
        size_t capacity = catalogue->capacity == 0 ? 256 : 2 * catalogue->capacity;
        cw_wire__entry *entries = cw_reallocate(catalogue->entries, capacity, sizeof *entries);

        if (entries == NULL)
            return NULL;
        catalogue->entries = entries;
        catalogue->capacity = capacity;
    }
    entry = &catalogue->entries[catalogue->count++];
    memset(entry, 0, sizeof *entry);
    for (int build = 0; build < CW_BUILD_COUNT; build++)
        entry->overall[build].min_m = entry->overall[build].max_m = NAN;
    return entry;
}

static void read_conductors(cw_wire_catalogue *catalogue)
{
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("wire_materials.csv")->text);
    while (cw_csv_step(&csv))
        for (int material = 0; material < CW_MATERIAL_COUNT; material++) {
            cw_conductor *conductor = &catalogue->conductors[material];

            if (!cw_csv_is(&csv, "name", cw_material_name((cw_material)material)))
                continue;
            conductor->name = cw_material_name((cw_material)material);
            conductor->resistivity_20c_ohm_m = cw_csv_number(&csv, "resistivity_20c_ohm_m");
            conductor->temperature_coefficient_20c_per_k = cw_csv_number(&csv, "temperature_coefficient_per_k");
            conductor->density_kg_m3 = cw_csv_number(&csv, "density_kg_m3");
            conductor->specific_heat_j_per_kg_k = cw_csv_number(&csv, "specific_heat_j_per_kg_k");
            conductor->conductivity_w_per_m_k = cw_csv_number(&csv, "conductivity_w_per_m_k");
        }
}

static void read_coverings(cw_wire_catalogue *catalogue)
{
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("wire_coverings.csv")->text);
    while (cw_csv_step(&csv))
        for (int build = CW_SINGLE_COTTON; build <= CW_DOUBLE_SILK; build++) {
            cw_wire__covering *covering = &catalogue->coverings[build];

            if (!cw_csv_is(&csv, "name", cw_build_name((cw_build)build)))
                continue;
            covering->increase_m = 1e-3 * cw_csv_number(&csv, "increase_mm");
            covering->spread = cw_csv_number(&csv, "spread");
            covering->density_kg_m3 = cw_csv_number(&csv, "density_kg_m3");
            covering->least_m = 1e-3 * cw_csv_number(&csv, "least_diameter_mm");
            covering->greatest_m = 1e-3 * cw_csv_number(&csv, "greatest_diameter_mm");
        }
}

/* Cotton, silk and nothing go on every size alike, whatever its standard. */
static void cover_all(cw_wire_catalogue *catalogue)
{
    for (size_t i = 0; i < catalogue->count; i++) {
        cw_wire__entry *entry = &catalogue->entries[i];
        const cw_band *bare = &entry->size.diameter_m;

        entry->overall[CW_BARE].min_m = bare->min;
        entry->overall[CW_BARE].max_m = bare->max;
        for (int build = CW_SINGLE_COTTON; build <= CW_DOUBLE_SILK; build++) {
            const cw_wire__covering *covering = &catalogue->coverings[build];

            if (bare->nominal < covering->least_m || bare->nominal > covering->greatest_m)
                continue;
            entry->overall[build].min_m = bare->min + covering->increase_m * (1 - covering->spread);
            entry->overall[build].max_m = bare->max + covering->increase_m * (1 + covering->spread);
            entry->overall[build].trust = CW_PRINTED;
        }
    }
}

cw_status cw_wire_catalogue_create(cw_wire_catalogue **catalogue, cw_error *error)
{
    cw_wire_catalogue *made = cw_allocate(1, sizeof *made);
    cw_status status;

    *catalogue = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    read_conductors(made);
    read_coverings(made);
    status = cw_wire__read_awg(made, error);
    if (status == CW_OK)
        status = cw_wire__read_metric(made, error);
    if (status == CW_OK)
        status = cw_wire__read_swg(made, error);
    if (status != CW_OK) {
        cw_wire_catalogue_destroy(&made);
        return status;
    }
    cover_all(made);
    *catalogue = made;
    return CW_OK;
}

void cw_wire_catalogue_destroy(cw_wire_catalogue **catalogue)
{
    if (*catalogue != NULL)
        cw_free((*catalogue)->entries);
    cw_free(*catalogue);
    *catalogue = NULL;
}

size_t cw_wire_size_count(const cw_wire_catalogue *catalogue)
{
    return catalogue->count;
}

const cw_wire_size *cw_wire_size_at(const cw_wire_catalogue *catalogue, size_t index)
{
    return index < catalogue->count ? &catalogue->entries[index].size : NULL;
}

const cw_conductor *cw_wire_conductor(const cw_wire_catalogue *catalogue, cw_material material)
{
    return &catalogue->conductors[material];
}
