/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A magnet's field as a document. */
#include "work/magnet_json.h"
#include "work/work_internal.h"

#include "field/field_json.h"

#include <math.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

/* ---- sweeps ----------------------------------------------------------------------------------------------------- */

static json_t *part_json(const cw_part_result *part)
{
    return json_pack("{s:s, s:f, s:f, s:f}", "name", part->name, "flux_wb", part->flux_wb, "density_t", part->density_t,
                     "saturation", part->saturation);
}

static json_t *parts_json(const cw_field_result *result)
{
    json_t *parts = json_array();

    for (size_t i = 0; i < result->part_count && parts != NULL; i++)
        json_array_append_new(parts, part_json(&result->part[i]));
    return parts;
}

static json_t *place_json(const cw_work_sweep *sweep, size_t i)
{
    static const char *const keys[] = { "gap_m", "current_a", "plate_thickness_m", "plate_iron" };

    if (sweep->kind == CW_SWEEP_IRON)
        return json_pack("{s:s}", keys[sweep->kind], sweep->iron[i]);
    return json_pack("{s:f}", keys[sweep->kind], sweep->at[i]);
}

static json_t *point_json(const cw_work_sweep *sweep, size_t i)
{
    const cw_field_result *field = &sweep->field[i];
    json_t *point = place_json(sweep, i), *more, *first = json_null();

    if (field->saturates_first >= 0)
        first = json_string(field->part[field->saturates_first].name);
    more = json_pack("{s:f, s:f, s:f, s:f, s:o, s:o, s:o, s:{s:o, s:o}}", "ampere_turns", field->ampere_turns, "force_n",
                     field->force_n, "flux_linkage_wb", cw_work__linkage(field), "inductance_h", field->inductance_h,
                     "leakage_factor", number(field->leakage_factor), "saturates_first", first, "parts",
                     parts_json(field), "hand_sum", "force_n", number(sweep->hand[i].force_n),
                     "flux_linkage_wb", number(sweep->hand[i].flux_linkage_wb));
    json_object_update(point, more);
    json_decref(more);
    return point;
}

static bool add_sweep(json_t *document, const cw_work_sweep *sweep)
{
    static const char *const keys[] = { "by_gap", "by_current", "by_plate_thickness", "by_plate_iron" };
    json_t *points = json_array();

    for (size_t i = 0; i < sweep->count; i++)
        json_array_append_new(points, point_json(sweep, i));
    return json_object_set_new(document, keys[sweep->kind], points) == 0;
}

/* ---- holding ---------------------------------------------------------------------------------------------------- */

static json_t *step_json(const cw_holding_step *step)
{
    const bool usual = isfinite(step->usual_low);

    return json_pack("{s:s, s:f, s:f, s:o, s:o, s:s, s:s}", "text", step->what, "force_n", step->force_n, "share",
                     step->share, "usual_share_low", number(step->usual_low), "usual_share_high",
                     number(step->usual_high), "basis", step->basis, "trust",
                     usual ? cw_basis_trust_name(step->trust) : "");
}

static json_t *holding_json(const cw_work_field_study *study, const cw_work_holding *holding, cw_unit_system units)
{
    json_t *steps = json_array(), *document;
    cw_text text = { 0 };

    for (size_t i = 0; i < holding->step_count; i++)
        json_array_append_new(steps, step_json(&holding->step[i]));
    cw_work_holding_text(study, holding, units, &text);
    document = json_pack("{s:f, s:f, s:o, s:o, s:[o, o], s:[o, o], s:[f, f], s:[o, o], s:s}", "best_force_n", holding->step[0].force_n,
                         "force_n", study->hot.force_n, "steps", steps, "plate_least_m", number(holding->plate_least_m),
                         "covered", number(holding->covered[0]), number(holding->covered[1]), "face_force_n",
                         number(holding->face_force_n[0]), number(holding->face_force_n[1]), "slide_n",
                         holding->slide_n[0], holding->slide_n[1], "residual_n", number(holding->residual_n[0]),
                         number(holding->residual_n[1]), "text", text.data != NULL ? text.data : "");
    cw_text_clear(&text);
    return document;
}

/* ---- original and new -------------------------------------------------------------------------------------------- */

static json_t *side_json(const cw_rewind_side *side)
{
    return json_pack("{s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:o, s:f, s:f}", "turns", side->turns, "resistance_20c_ohm",
                     side->resistance_20c_ohm, "winding_c", side->winding_c, "resistance_hot_ohm",
                     side->resistance_hot_ohm, "current_a", side->current_a, "power_w", side->power_w, "ampere_turns",
                     side->ampere_turns, "force_n", side->force_n, "open_force_n", number(side->open_force_n),
                     "inductance_h", side->inductance_h, "time_constant_s", side->time_constant_s);
}

static json_t *rewind_json(const cw_work_rewind *rewind)
{
    return json_pack("{s:o, s:o}", "original", side_json(&rewind->original), "new", side_json(&rewind->rewound));
}

/* ---- the document ------------------------------------------------------------------------------------------------ */

static json_t *own_keys(const cw_work_field_study *study)
{
    return json_pack("{s:f, s:f, s:o, s:o, s:f, s:f, s:s, s:[o, o], s:{s:f, s:f, s:f, s:f, s:f}}", "current_a",
                     study->magnet.current_a, "winding_c", study->winding_c, "turns",
                     json_real(study->magnet.coil.turns), "pull_needed_n", number(study->pull_needed_n), "cover",
                     study->cover, "layer_m", study->layer_m, "face", study->face, "face_gap_m",
                     number(study->face_gap_m[0]), number(study->face_gap_m[1]), "cold", "current_a",
                     study->cold_current_a, "ampere_turns", study->cold.ampere_turns, "force_n", study->cold.force_n,
                     "flux_linkage_wb", cw_work__linkage(&study->cold), "inductance_h", study->cold.inductance_h);
}

json_t *cw_work_field_json(const cw_work_field_study *study, const cw_work_sweep *sweeps, size_t sweep_count,
                           const cw_work_holding *holding, const cw_work_rewind *rewind, cw_unit_system units)
{
    const cw_work_sweep none = { 0 }, *gaps = sweep_count > 0 && sweeps[0].kind == CW_SWEEP_GAP ? &sweeps[0] : &none;
    json_t *document = cw_field_json(&study->hot, gaps->field, gaps->count,
                                     isfinite(study->hand.force_n) ? &study->hand : NULL), *more = own_keys(study);
    bool whole = document != NULL && more != NULL && json_object_update(document, more) == 0;

    json_decref(more);
    for (size_t i = 0; i < sweep_count && whole; i++)
        whole = add_sweep(document, &sweeps[i]);
    if (whole && holding != NULL)
        whole = json_object_set_new(document, "holding", holding_json(study, holding, units)) == 0;
    if (whole)
        whole = json_object_set_new(document, "rewind", rewind != NULL ? rewind_json(rewind) : json_null()) == 0;
    if (!whole) {
        json_decref(document);
        return NULL;
    }
    return document;
}

cw_status cw_work_field_document(cw_work *work, json_t **document, cw_error *error)
{
    const cw_work_field_study *study;
    const cw_work_holding *holding;
    const cw_work_rewind *rewind = NULL;
    cw_status status = cw_work_field(work, &study, error);

    if (status == CW_OK)
        status = cw_work_pull_left(work, &holding, error);
    if (status == CW_OK && (status = cw_work_rewound(work, &rewind, error)) == CW_BAD_INPUT)
        status = CW_OK; /* what the coil was is not known */
    *document = status == CW_OK ? cw_work_field_json(study, NULL, 0, holding, rewind, cw_work_job(work)->units) : NULL;
    return status;
}
