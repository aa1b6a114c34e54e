/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/book_json.h"

#include "book/record.h"

#include <math.h>

/* A word that may be missing: "" and NULL are null. */
static json_t *word(const char *text)
{
    return text == NULL || text[0] == '\0' ? json_null() : json_string(text);
}

/* JSON has no infinity; over_range beside the value says which it is. */
static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *id_or_null(cw_book_id id)
{
    return id != 0 ? json_integer(id) : json_null();
}

json_t *cw_book_keys_json(const cw_book_keys *keys)
{
    json_t *inner = json_array();

    for (int i = 0; i < 2 && !isnan(keys->inner_m[i]); i++)
        json_array_append_new(inner, json_real(keys->inner_m[i]));
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "wire", word(keys->wire), "build", word(keys->build),
                     "shape", word(keys->shape), "inner_m", inner, "length_m", number(keys->length_m), "depth_m",
                     number(keys->depth_m), "resistance_20c_ohm", number(keys->resistance_20c_ohm), "turns",
                     number(keys->turns));
}

json_t *cw_book_hits_json(const cw_book_hits *hits)
{
    json_t *jobs = json_array();

    for (size_t i = 0; i < hits->count; i++) {
        const cw_book_hit *hit = &hits->items[i];

        json_array_append_new(jobs, json_pack("{s:I, s:s, s:s, s:s, s:s, s:i, s:I, s:o}", "job", (json_int_t)hit->job,
                                              "name", hit->name, "machine", hit->machine, "coil", hit->coil, "state",
                                              cw_book_state_name(hit->state), "versions", hit->versions, "changed_s",
                                              (json_int_t)hit->changed_s, "keys", cw_book_keys_json(&hit->keys)));
    }
    return json_pack("{s:o, s:b}", "jobs", jobs, "more", hits->more ? 1 : 0);
}

/* ---- one job ----------------------------------------------------------------------------------------------- */

static json_t *versions_json(const cw_book_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->version_count; i++)
        json_array_append_new(list, json_pack("{s:i, s:I}", "version", job->versions[i].number, "time_s",
                                              (json_int_t)job->versions[i].time_s));
    return list;
}

static json_t *results_json(const cw_book_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->result_count; i++)
        json_array_append_new(list, json_pack("{s:i, s:s, s:I}", "version", job->results[i].version, "verb",
                                              job->results[i].verb, "time_s", (json_int_t)job->results[i].time_s));
    return list;
}

static json_t *readings_json(const cw_book_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->reading_count; i++) {
        const cw_book_taken *reading = &job->readings[i];

        json_array_append_new(list, json_pack("{s:s, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:I}", "kind", reading->kind,
                                              "value", number(reading->value), "over_range",
                                              isinf(reading->value) ? 1 : 0, "doubt", number(reading->doubt), "at_c",
                                              number(reading->at_c), "unit", word(reading->unit), "source",
                                              word(reading->source), "note", word(reading->note), "time_s",
                                              (json_int_t)reading->time_s));
    }
    return list;
}

static json_t *photos_json(const cw_book_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->photo_count; i++) {
        const cw_book_photo *photo = &job->photos[i];

        json_array_append_new(list, json_pack("{s:s, s:s, s:I, s:o, s:I}", "sha256", photo->sha256, "type", photo->type,
                                              "bytes", (json_int_t)photo->bytes, "caption", word(photo->caption),
                                              "time_s", (json_int_t)photo->time_s));
    }
    return list;
}

static json_t *costs_json(const cw_book_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->cost_count; i++)
        json_array_append_new(list, json_pack("{s:s, s:o, s:o, s:I}", "kind", job->costs[i].kind, "amount",
                                              number(job->costs[i].amount), "note", word(job->costs[i].note), "time_s",
                                              (json_int_t)job->costs[i].time_s));
    return list;
}

static json_t *hours_json(const cw_book_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->hours_count; i++)
        json_array_append_new(list, json_pack("{s:o, s:o, s:o, s:I}", "hours", number(job->hours[i].hours), "who",
                                              word(job->hours[i].who), "what", word(job->hours[i].what), "time_s",
                                              (json_int_t)job->hours[i].time_s));
    return list;
}

static json_t *uses_json(const cw_book_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->use_count; i++) {
        const cw_book_use *use = &job->uses[i];

        json_array_append_new(list, json_pack("{s:I, s:s, s:o, s:o, s:o, s:o, s:I}", "spool", (json_int_t)use->spool,
                                              "size", use->size, "length_m", number(use->length_m), "mass_kg",
                                              number(use->mass_kg), "price", number(use->price), "note",
                                              word(use->note), "time_s", (json_int_t)use->time_s));
    }
    return list;
}

static json_t *signatures_json(const cw_book_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->signature_count; i++) {
        const cw_book_signature *signature = &job->signatures[i];

        json_array_append_new(list, json_pack("{s:i, s:s, s:s, s:o, s:s, s:b, s:I}", "version", signature->version,
                                              "who", signature->who, "verdict", signature->verdict, "note",
                                              word(signature->note), "sha256", signature->sha256, "sound",
                                              signature->sound ? 1 : 0, "time_s", (json_int_t)signature->time_s));
    }
    return list;
}

json_t *cw_book_job_json(const cw_book_job *job)
{
    return json_pack("{s:I, s:s, s:s, s:s, s:s, s:o, s:s, s:o, s:I, s:I, s:o, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, "
                     "s:o, s:o, s:o, s:o}",
                     "job", (json_int_t)job->id, "uid", job->uid, "name", job->name, "machine", job->machine, "coil",
                     job->coil, "note", word(job->note), "state", cw_book_state_name(job->state), "based_on",
                     id_or_null(job->based_on), "made_s", (json_int_t)job->made_s, "changed_s",
                     (json_int_t)job->changed_s, "keys", cw_book_keys_json(&job->keys), "yaml", job->yaml, "versions",
                     versions_json(job), "results", results_json(job), "readings", readings_json(job), "photos",
                     photos_json(job), "costs", costs_json(job), "hours", hours_json(job), "wire_used", uses_json(job),
                     "signatures", signatures_json(job), "spent", number(job->spent), "instead", number(job->instead),
                     "hours_total", number(job->hours_total));
}

/* ---- the shelf, and what came in --------------------------------------------------------------------------- */

json_t *cw_book_spools_json(const cw_book_spools *spools)
{
    json_t *list = json_array();

    for (size_t i = 0; i < spools->count; i++) {
        const cw_book_spool *spool = &spools->items[i];

        json_array_append_new(list, json_pack("{s:I, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:I}",
                                              "spool", (json_int_t)spool->id, "size", spool->size, "build",
                                              word(spool->build), "material", word(spool->material), "thermal_class_c",
                                              number(spool->thermal_class_c), "mass_kg_per_m",
                                              number(spool->mass_kg_per_m), "bought_m", number(spool->bought_m),
                                              "bought_kg", number(spool->bought_kg), "left_m", number(spool->left_m),
                                              "left_kg", number(spool->left_kg), "price", number(spool->price),
                                              "supplier", word(spool->supplier), "note", word(spool->note), "time_s",
                                              (json_int_t)spool->time_s));
    }
    return json_pack("{s:o}", "spools", list);
}

json_t *cw_book_imported_json(const cw_book_imported *imported)
{
    return json_pack("{s:I, s:I, s:I, s:I}", "jobs", (json_int_t)imported->jobs, "known", (json_int_t)imported->known,
                     "spools", (json_int_t)imported->spools, "photos", (json_int_t)imported->photos);
}
