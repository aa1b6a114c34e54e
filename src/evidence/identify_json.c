/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "evidence/identify_json.h"

#include <math.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *interval_json(const cw_interval *interval)
{
    return json_pack("{s:o, s:o, s:o}", "p05", number(interval->p05), "p50", number(interval->p50), "p95",
                     number(interval->p95));
}

static json_t *candidate_json(const cw_candidate *c)
{
    return json_pack("{s:s, s:s, s:s, s:i, s:f, s:o, s:o, s:o, s:o}",
                     "size", c->wire.size.name,
                     "build", cw_build_name(c->wire.build),
                     "material", cw_material_name(c->wire.material),
                     "in_hand", c->in_hand,
                     "probability", c->probability,
                     "turns", interval_json(&c->turns),
                     "length_m", interval_json(&c->length_m),
                     "resistance_20c_ohm", interval_json(&c->resistance_20c_ohm),
                     "mass_kg", interval_json(&c->mass_kg));
}

static json_t *reading_json(const cw_reading_check *check)
{
    return json_pack("{s:i, s:s, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
                     "index", (int)check->index,
                     "kind", cw_reading_kind_name(check->kind),
                     "used", check->used,
                     "value", number(check->value),
                     "doubt", number(check->doubt),
                     "expected", number(check->expected),
                     "expected_low", number(check->expected_low),
                     "expected_high", number(check->expected_high),
                     "z", number(isfinite(check->expected) ? check->z : NAN),
                     "blunder_probability", number(check->blunder));
}

static json_t *faults_json(const cw_identification *id)
{
    json_t *list = json_array();

    for (size_t i = 0; i < id->fault_count; i++)
        json_array_append_new(list, json_pack("{s:s, s:f, s:o, s:s}", "kind", cw_fault_kind_name(id->faults[i].kind),
                                              "probability", id->faults[i].probability, "share",
                                              number(id->faults[i].share), "text", id->faults[i].text));
    return list;
}

static json_t *next_json(const cw_identification *id)
{
    json_t *list = json_array();

    for (size_t i = 0; i < id->next_count; i++)
        json_array_append_new(list, json_pack("{s:s, s:f, s:f, s:s}", "kind", cw_reading_kind_name(id->next[i].kind),
                                              "bits", id->next[i].bits, "rewinding_bits", id->next[i].rewinding_bits,
                                              "text", id->next[i].text));
    return list;
}

json_t *cw_identification_json(const cw_identification *id)
{
    json_t *candidates = json_array(), *readings = json_array(), *doubts = json_array(), *lays = json_object();

    for (size_t i = 0; i < id->candidate_count; i++)
        json_array_append_new(candidates, candidate_json(&id->candidates[i]));
    for (size_t i = 0; i < id->reading_count; i++) {
        json_array_append_new(readings, reading_json(&id->readings[i]));
        if (id->readings[i].text[0] != '\0')
            json_array_append_new(doubts,
                                  json_pack("{s:i, s:s}", "reading", (int)i, "text", id->readings[i].text));
    }
    for (int lay = 0; lay < CW_LAY_COUNT; lay++)
        json_object_set_new(lays, cw_lay_name((cw_lay)lay), json_real(id->lay_probability[lay]));
    return json_pack("{s:s, s:b, s:o, s:f, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
                     "summary", id->summary,
                     "tied", id->tied,
                     "candidates", candidates,
                     "candidates_probability", id->candidate_share,
                     "turns", interval_json(&id->turns),
                     "length_m", interval_json(&id->length_m),
                     "resistance_20c_ohm", interval_json(&id->resistance_20c_ohm),
                     "mass_kg", interval_json(&id->mass_kg),
                     "lay_probability", lays,
                     "readings", readings,
                     "doubts", doubts,
                     "faults", faults_json(id),
                     "next_readings", next_json(id));
}
