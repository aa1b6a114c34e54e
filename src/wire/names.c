/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sizes, builds and materials as people write them. */
#include "wire/wire_internal.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *build_names[CW_BUILD_COUNT] = { "single", "heavy", "triple", "single cotton", "double cotton",
                                                   "single silk", "double silk", "bare" };
static const char *material_names[CW_MATERIAL_COUNT] = { "copper", "aluminium" };

const char *cw_build_name(cw_build build)
{
    return build_names[build];
}

const char *cw_material_name(cw_material material)
{
    return material_names[material];
}

const char *cw_build_trade_name(cw_size_system system, cw_build build)
{
    static const char *grades[] = { "grade 1", "grade 2", "grade 3" };

    return system == CW_METRIC && build <= CW_TRIPLE ? grades[build] : build_names[build];
}

/* How many bytes of a text that may be long and may hold anything go into a sentence: up to `most`, and no half of a
 * character, since the sentence is written out as JSON. */
static int quoted(const char *text, size_t length, size_t most)
{
    if (length > most) {
        length = most;
        while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80)
            length--;
    }
    return (int)length;
}

/* Lower case, runs of blanks as one, ends trimmed; a dash or a low line that joins two words is a blank too, but not
 * one that could be a sign. false where it does not fit. */
static bool tidy(const char *text, size_t length, char *out, size_t size)
{
    size_t used = 0;

    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];

        const bool after_blank = used == 0 || out[used - 1] == ' ';

        if (isspace(c) && after_blank)
            continue;
        if (isspace(c) || ((c == '-' || c == '_') && !after_blank))
            c = ' ';
        if (c == '\0' || used + 1 >= size)
            return false;
        out[used++] = (char)tolower(c);
    }
    while (used > 0 && out[used - 1] == ' ')
        used--;
    out[used] = '\0';
    return used > 0;
}

cw_status cw_build_parse(const char *text, size_t length, const cw_place *at, cw_build *build, cw_error *error)
{
    static const struct { const char *word; cw_build build; } also[] = {
        { "grade 1", CW_SINGLE }, { "grade 2", CW_HEAVY }, { "grade 3", CW_TRIPLE },
    };
    char word[32];

    if (tidy(text, length, word, sizeof word)) {
        for (int i = 0; i < CW_BUILD_COUNT; i++)
            if (strcmp(word, build_names[i]) == 0) {
                *build = (cw_build)i;
                return CW_OK;
            }
        for (size_t i = 0; i < sizeof also / sizeof also[0]; i++)
            if (strcmp(word, also[i].word) == 0) {
                *build = also[i].build;
                return CW_OK;
            }
    }
    return cw_refuse(error, at,
                     "single, heavy, triple, grade 1, grade 2, grade 3, single cotton, double cotton, single silk, "
                     "double silk or bare",
                     "\"%.*s\" is not a build of wire.", quoted(text, length, 40), text);
}

cw_status cw_material_parse(const char *text, size_t length, const cw_place *at, cw_material *material,
                            cw_error *error)
{
    char word[32];

    if (tidy(text, length, word, sizeof word)) {
        if (strcmp(word, "copper") == 0) {
            *material = CW_COPPER;
            return CW_OK;
        }
        if (strcmp(word, "aluminium") == 0 || strcmp(word, "aluminum") == 0) {
            *material = CW_ALUMINIUM;
            return CW_OK;
        }
    }
    return cw_refuse(error, at, "copper or aluminium", "\"%.*s\" is not a wire material known here.",
                     quoted(text, length, 40), text);
}

/* A gauge number: "29", "28.5", "0", "00", "2/0". false where it is none; digits and a point only, as strtod would
 * also take exponents, hexadecimal and words. */
static bool gauge_number(const char *word, double *number)
{
    size_t zeros = strspn(word, "0");
    char *end;

    if (zeros > 1 && word[zeros] == '\0') {
        *number = 1.0 - (double)zeros;
        return true;
    }
    if (word[0] >= '1' && word[0] <= '9' && strcmp(word + 1, "/0") == 0) {
        *number = 1.0 - (word[0] - '0');
        return true;
    }
    if (!isdigit((unsigned char)word[0]) || word[strspn(word, "0123456789.")] != '\0')
        return false;
    *number = strtod(word, &end);
    return *end == '\0';
}

/* Splits "29 awg", "awg 29", "0.25mm" into system and number. */
static bool split(char *word, cw_size_system *system, double *number)
{
    static const char *units[CW_SIZE_SYSTEM_COUNT] = { "awg", "mm", "swg" };
    size_t length = strlen(word);

    for (int i = 0; i < CW_SIZE_SYSTEM_COUNT; i++) {
        size_t unit = strlen(units[i]);

        *system = (cw_size_system)i;
        if (length > unit && strcmp(word + length - unit, units[i]) == 0) {
            length -= unit;
            while (length > 0 && word[length - 1] == ' ')
                length--;
            word[length] = '\0';
            return gauge_number(word, number);
        }
        if (i != CW_METRIC && strncmp(word, units[i], unit) == 0)
            return gauge_number(word + unit + strspn(word + unit, " "), number);
    }
    return false;
}

static cw_status refuse_unmade(const cw_wire_catalogue *catalogue, cw_size_system system, double number,
                               const char *written, const cw_place *at, cw_error *error)
{
    const cw_wire_size *below = NULL, *above = NULL;

    for (size_t i = 0; i < catalogue->count; i++) {
        const cw_wire_size *size = &catalogue->entries[i].size;

        if (size->system != system)
            continue;
        if (size->number < number && (below == NULL || size->number > below->number))
            below = size;
        if (size->number > number && (above == NULL || size->number < above->number))
            above = size;
    }
    if (below != NULL && above != NULL)
        return cw_refuse(error, at, NULL, "\"%s\" is not a standard size; its neighbours are %s and %s.", written,
                         below->name, above->name);
    return cw_refuse(error, at, NULL, "\"%s\" is beyond the standard sizes, which end at %s.", written,
                     below != NULL ? below->name : above != NULL ? above->name : "no size at all");
}

cw_status cw_wire_size_parse(const cw_wire_catalogue *catalogue, const char *text, size_t length, const cw_place *at,
                             const cw_wire_size **size, cw_error *error)
{
    char word[32], written[32];
    cw_size_system system;
    double number;

    if (!tidy(text, length, word, sizeof word))
        return cw_refuse(error, at, "a wire size, as in 29 AWG, 0.250 mm or 31 SWG", "\"%.*s\" is not a wire size.",
                         quoted(text, length, 40), text);
    snprintf(written, sizeof written, "%.*s", quoted(text, length, sizeof written - 1), text);
    if (strchr(word, ',') != NULL)
        return cw_refuse(error, at, "a point, as in 0.250 mm", "\"%s\" has a decimal comma.", written);
    if (!split(word, &system, &number))
        return cw_refuse(error, at, "a wire size, as in 29 AWG, 0.250 mm or 31 SWG",
                         "\"%s\" is not a wire size. A number alone does not say which gauge is meant.", written);
    for (size_t i = 0; i < catalogue->count; i++) {
        const cw_wire_size *candidate = &catalogue->entries[i].size;

        if (candidate->system == system && fabs(candidate->number - number) < 1e-6) {
            *size = candidate;
            return CW_OK;
        }
    }
    return refuse_unmade(catalogue, system, number, written, at, error);
}
