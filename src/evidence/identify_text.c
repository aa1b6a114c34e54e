/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "evidence/identify_json.h"

#include <math.h>
#include <stdio.h>

void cw_candidate_name(const cw_candidate *c, char *out, size_t size)
{
    static const char *strands[] = { "", "", ", two in hand", ", three in hand", ", four in hand" };

    snprintf(out, size, "%s %s %s%s", c->wire.size.name, cw_build_trade_name(c->wire.size.system, c->wire.build),
             cw_material_name(c->wire.material), strands[c->in_hand]);
}

cw_kind cw_reading_quantity(cw_reading_kind kind)
{
    switch (kind) {
    case CW_COIL_RESISTANCE:
    case CW_SAMPLE_RESISTANCE:
    case CW_INSULATION_RESISTANCE:
        return CW_RESISTANCE;
    case CW_WIRE_MASS:
    case CW_SAMPLE_MASS:
        return CW_MASS;
    case CW_OVERALL_DIAMETER:
    case CW_BARE_DIAMETER:
    case CW_WINDING_DEPTH:
        return CW_LENGTH;
    case CW_RATED_POWER:
        return CW_POWER;
    case CW_RATED_CURRENT:
        return CW_CURRENT;
    case CW_COIL_INDUCTANCE:
        return CW_INDUCTANCE;
    case CW_CENTRE_FIELD:
        return CW_FLUX_DENSITY;
    case CW_CORE_SECTION:
        return CW_AREA;
    case CW_TURNS:
    case CW_TURNS_PER_LAYER:
    case CW_LAYERS:
    case CW_READING_KIND_COUNT:
        break;
    }
    return CW_COUNT;
}

static void add_interval(cw_text *text, const char *label, cw_kind kind, const cw_interval *v, cw_unit_system units,
                         int digits)
{
    char low[64], mid[64], high[64];

    cw_quantity_format(kind, v->p50, units, digits, mid, sizeof mid);
    cw_quantity_format(kind, v->p05, units, digits, low, sizeof low);
    cw_quantity_format(kind, v->p95, units, digits, high, sizeof high);
    cw_text_print(text, "  %-22s %s, between %s and %s\n", label, mid, low, high);
}

static void add_candidates(const cw_identification *id, cw_text *text)
{
    size_t most = id->candidate_count < 8 ? id->candidate_count : 8;

    cw_text_add(text, "\nWhat it may have been\n");
    for (size_t i = 0; i < most; i++) {
        const cw_candidate *c = &id->candidates[i];
        char name[96];

        if (i > 0 && c->probability < 0.002)
            break;
        cw_candidate_name(c, name, sizeof name);
        cw_text_print(text, "  %5.1f %%  %-42s", 100 * c->probability, name);
        if (isfinite(c->turns.p50) && c->turns.p95 < 3 * c->turns.p05)
            cw_text_print(text, " %.0f turns (%.0f to %.0f)", c->turns.p50, c->turns.p05, c->turns.p95);
        cw_text_add(text, "\n");
    }
}

static void add_readings(const cw_identification *id, cw_unit_system units, cw_text *text)
{
    cw_text_add(text, "\nEach reading against what all the others expect\n");
    for (size_t i = 0; i < id->reading_count; i++) {
        const cw_reading_check *check = &id->readings[i];
        const cw_kind kind = cw_reading_quantity(check->kind);
        char value[64], expected[64];

        if (isfinite(check->value))
            cw_quantity_format(kind, check->value, units, 4, value, sizeof value);
        else
            snprintf(value, sizeof value, "open");
        cw_text_print(text, "  %-22s %-14s", cw_reading_kind_words(check->kind), value);
        if (isfinite(check->expected)) {
            cw_quantity_format(kind, check->expected, units, 4, expected, sizeof expected);
            cw_text_print(text, " expected %-14s z %+.1f", expected, check->z);
        } else if (!check->used) {
            cw_text_add(text, check->kind == CW_INSULATION_RESISTANCE ? " used for faults only" : " not used");
        }
        cw_text_add(text, check->blunder > 0.3 ? "  doubtful\n" : "\n");
    }
    for (size_t i = 0; i < id->reading_count; i++)
        if (id->readings[i].text[0] != '\0')
            cw_text_print(text, "  Reading %zu: %s\n", i + 1, id->readings[i].text);
}

void cw_identification_text(const cw_identification *id, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "%s\n", id->summary);
    add_candidates(id, text);
    cw_text_add(text, "\nOver all of these, nine times in ten\n");
    if (isfinite(id->turns.p50))
        add_interval(text, "turns", CW_COUNT, &id->turns, units, 4);
    add_interval(text, "length of a strand", CW_LENGTH, &id->length_m, units, 4);
    add_interval(text, "resistance at 20 °C", CW_RESISTANCE, &id->resistance_20c_ohm, units, 4);
    add_interval(text, "mass of wire", CW_MASS, &id->mass_kg, units, 3);
    add_readings(id, units, text);
    if (id->fault_count > 0)
        cw_text_add(text, "\nWhat is wrong with the coil\n");
    for (size_t i = 0; i < id->fault_count; i++)
        cw_text_print(text, "  %s\n", id->faults[i].text);
    cw_text_add(text, "\nWhat to measure next\n");
    for (size_t i = 0; i < id->next_count && i < 3; i++)
        cw_text_print(text, "  %zu. %s\n", i + 1, id->next[i].text);
    if (id->next_count == 0)
        cw_text_add(text, "  Everything that a shop can measure has been measured.\n");
}
