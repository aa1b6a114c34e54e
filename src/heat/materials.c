/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of materials. */
#include "base/csv.h"
#include "base/embedded.h"
#include "coilwright/heat.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A cell "low-high" or "value", with words behind ("9 (in plane)"). */
static void cell_range(const cw_csv *csv, const char *heading, double *low, double *high)
{
    size_t length;
    const char *field = cw_csv_field(csv, heading, &length);
    char *end;

    *low = *high = NAN;
    if (length == 0)
        return;
    *low = *high = strtod(field, &end);
    if (end == field)
        *low = *high = NAN;
    else if (end < field + length && *end == '-' && end > field)
        *high = strtod(end + 1, NULL);
}

static void read_row(const cw_csv *csv, cw_heat_material *material)
{
    size_t length;
    const char *name = cw_csv_field(csv, "material", &length);
    double low, high, class_low;

    memset(material, 0, sizeof *material);
    memcpy(material->name, name, length < sizeof material->name ? length : sizeof material->name - 1);
    material->conductivity_w_per_mk = (cw_band){ cw_csv_number(csv, "k_min"), cw_csv_number(csv, "k_typ"),
                                                 cw_csv_number(csv, "k_max") };
    material->density_kg_m3 = cw_csv_number(csv, "density");
    material->specific_heat_j_per_kg_k = cw_csv_number(csv, "cp");
    cell_range(csv, "tg_C", &material->glass_c, &high);
    cell_range(csv, "hdt18_C", &material->deflection_c, &high);
    cell_range(csv, "cont_use_C", &low, &high);
    cell_range(csv, "thermal_class_C", &class_low, &high);
    material->limit_c = fmin(low, class_low); /* fmin passes over a NAN */
    cell_range(csv, "emissivity", &low, &high);
    material->emissivity = 0.5 * (low + high);
}

/* 3 the very name, 2 its beginning, 1 a part of it, 0 none; case and blanks aside. */
static int likeness(const char *name, const char *wanted, size_t length)
{
    size_t whole = strlen(name);

    for (size_t at = 0; at + length <= whole; at++) {
        size_t i = 0;

        while (i < length && tolower((unsigned char)name[at + i]) == tolower((unsigned char)wanted[i]))
            i++;
        if (i == length)
            return at > 0 ? 1 : whole == length ? 3 : 2;
    }
    return 0;
}

static bool is_letter(char c)
{
    return isalnum((unsigned char)c) != 0;
}

/* Whether a word of `length` letters stands in a name, whole. */
static bool has_word(const char *name, const char *word, size_t length)
{
    for (size_t at = 0; name[at] != '\0'; at++) {
        size_t i = 0;

        if (at > 0 && is_letter(name[at - 1]))
            continue;
        while (i < length && tolower((unsigned char)name[at + i]) == tolower((unsigned char)word[i]))
            i++;
        if (i == length && !is_letter(name[at + i]))
            return true;
    }
    return false;
}

/* Every word of what is wanted, in any order. */
static bool has_words(const char *name, const char *wanted, size_t length)
{
    for (size_t at = 0, end; at < length; at = end) {
        for (end = at; end < length && is_letter(wanted[end]);)
            end++;
        if (end > at && !has_word(name, wanted + at, end - at))
            return false;
        end += end == at;
    }
    return true;
}

cw_status cw_heat_material_find(const char *name, size_t length, const cw_place *at, cw_heat_material *material,
                                cw_error *error)
{
    cw_csv csv;
    cw_heat_material row, best = { 0 };
    int best_likeness = 0, nearest = 1000;
    char wanted[sizeof row.name] = "", near_name[sizeof row.name] = "";

    memcpy(wanted, name, length < sizeof wanted ? length : sizeof wanted - 1);
    cw_csv_begin(&csv, cw_embedded_find("thermal_materials.csv")->text);
    while (cw_csv_step(&csv)) {
        int like, distance;

        read_row(&csv, &row);
        like = length > 0 ? likeness(row.name, name, length) : 0;
        if (like == 0 && length > 0 && has_words(row.name, name, length))
            like = 1;
        distance = cw_word_distance(row.name, wanted, 40);
        if (like > best_likeness) {
            best_likeness = like;
            best = row;
        }
        if (distance < nearest) {
            nearest = distance;
            memcpy(near_name, row.name, sizeof near_name);
        }
    }
    if (best_likeness == 0)
        return cw_refuse(error, at, "a name of data/thermal_materials.csv", "The material \"%s\" is not known; the "
                         "nearest is \"%s\".", wanted, near_name);
    *material = best;
    return CW_OK;
}
