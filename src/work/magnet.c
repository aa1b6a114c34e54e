/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a job's magnet and the coil that is laid for it to the field's magnet: dimensions by their keys, the coil where
 * the window and the winding have it, its current by the supply. */
#include "work/work_internal.h"

#include "coilwright/iron.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

/* Where a key of the job file lands. */
typedef struct landing {
    const char *name;
    size_t offset;
} landing;

static const landing lengths[] = {
    { "outer_diameter", offsetof(cw_magnet, outer_diameter_m) },
    { "pole_diameter", offsetof(cw_magnet, pole_diameter_m) },
    { "bore_diameter", offsetof(cw_magnet, bore_diameter_m) },
    { "rim_thickness", offsetof(cw_magnet, rim_thickness_m) },
    { "pole_width", offsetof(cw_magnet, pole_width_m) },
    { "window_width", offsetof(cw_magnet, window_width_m) },
    { "depth", offsetof(cw_magnet, depth_m) },
    { "base_thickness", offsetof(cw_magnet, base_thickness_m) },
    { "height", offsetof(cw_magnet, height_m) },
    { "stop_length", offsetof(cw_magnet, stop_length_m) },
    { "cone_height", offsetof(cw_magnet, cone_height_m) },
    { "collar_thickness", offsetof(cw_magnet, collar_thickness_m) },
    { "guide_gap", offsetof(cw_magnet, guide_gap_m) },
    { "plunger_length", offsetof(cw_magnet, plunger_length_m) },
    { "gap", offsetof(cw_magnet, gap_m) },
    { "plate.thickness", offsetof(cw_magnet, plate_thickness_m) },
    { "plate.width", offsetof(cw_magnet, plate_width_m) },
    { "plate.shift", offsetof(cw_magnet, plate_shift_m) },
    { "coil.inside", offsetof(cw_magnet, coil) + offsetof(cw_magnet_coil, inside_m) },
    { "coil.outside", offsetof(cw_magnet, coil) + offsetof(cw_magnet_coil, outside_m) },
    { "coil.length", offsetof(cw_magnet, coil) + offsetof(cw_magnet_coil, length_m) },
    { "coil.offset", offsetof(cw_magnet, coil) + offsetof(cw_magnet_coil, offset_m) },
};

static const landing irons[] = {
    { "iron", offsetof(cw_magnet, iron) },
    { "plunger_iron", offsetof(cw_magnet, plunger_iron) },
    { "plate.iron", offsetof(cw_magnet, plate_iron) },
};

enum { LENGTHS = sizeof lengths / sizeof lengths[0], IRONS = sizeof irons / sizeof irons[0] };

cw_status cw_work__check_iron(const cw_job *job, cw_errors *errors)
{
    cw_status status = CW_OK;

    for (int i = 0; i < IRONS; i++) {
        const cw_job_entry *entry = cw_job_magnet_entry(job, irons[i].name);
        cw_iron *iron = NULL;
        cw_error error;
        cw_status found = entry != NULL && entry->word != NULL ? cw_iron_find(entry->word, &iron, &error) : CW_OK;

        cw_iron_destroy(&iron);
        if (found == CW_OK)
            continue;
        status = found;
        snprintf(error.file, sizeof error.file, "%s", entry->at.file != NULL ? entry->at.file : "");
        error.line = entry->at.line;
        error.column = entry->at.column;
        if (errors != NULL)
            cw_errors_add(errors, &error);
    }
    return status;
}

static double number_of(const cw_job *job, const char *name, double otherwise)
{
    const cw_job_entry *entry = cw_job_magnet_entry(job, name);

    return entry != NULL && entry->word == NULL ? entry->value : otherwise;
}

static const char *word_of(const cw_job *job, const char *name)
{
    const cw_job_entry *entry = cw_job_magnet_entry(job, name);

    return entry != NULL && entry->word != NULL ? entry->word : "";
}

/* ---- dimensions ------------------------------------------------------------------------------------------------ */

/* Every dimension that the field needs and the job does not give, in one sentence. */
static cw_status need_all(const cw_job *job, const cw_place *at, cw_error *error)
{
    const unsigned shape = cw_job_magnet_shape(word_of(job, "shape"));
    size_t count, missing = 0;
    const cw_job_magnet_key *keys = cw_job_magnet_keys(&count);
    char names[400] = "", example[80] = "";

    for (size_t i = 0, used = 0; i < count; i++) {
        if ((keys[i].shapes & shape) == 0 || !keys[i].needed || cw_job_magnet_entry(job, keys[i].name) != NULL ||
            (strcmp(keys[i].name, "gap") == 0 && cw_job_magnet_entry(job, "face") != NULL))
            continue;
        if (missing++ == 0)
            snprintf(example, sizeof example, "%s: %s", keys[i].name,
                     job->units == CW_INCH_UNITS && keys[i].inch != NULL ? keys[i].inch : keys[i].metric);
        used += (size_t)snprintf(names + used, sizeof names - used, "%s%s", missing == 1 ? "" : ", ", keys[i].name);
    }
    if (missing == 0)
        return CW_OK;
    return cw_refuse(error, at, example, "The magnet's field needs its dimensions, and magnet: does not give %s.",
                     names);
}

static cw_status need_magnet(const cw_job *job, cw_place *at, cw_error *error)
{
    const cw_job_entry *shape = cw_job_magnet_entry(job, "shape");

    if (!job->magnet_given || shape == NULL)
        return cw_refuse(error, NULL, "a magnet: section, as coilwright new --kind pot writes one",
                         "There is no magnet in %s, so there is no pull to compute.",
                         job->file != NULL ? job->file : "the job");
    *at = shape->at;
    return need_all(job, at, error);
}

static void take_dimensions(const cw_job *job, cw_magnet *magnet)
{
    static const struct { const char *word; cw_magnet_shape shape; } shapes[] = {
        { "pot", CW_MAGNET_POT }, { "plunger", CW_MAGNET_PLUNGER }, { "u", CW_MAGNET_U }, { "e", CW_MAGNET_E },
        { "section", CW_MAGNET_SECTION },
    };

    memset(magnet, 0, sizeof *magnet);
    for (int i = 0; i < 5; i++)
        if (strcmp(word_of(job, "shape"), shapes[i].word) == 0)
            magnet->shape = shapes[i].shape;
    for (int i = 0; i < LENGTHS; i++) {
        double length = number_of(job, lengths[i].name, 0);

        memcpy((char *)magnet + lengths[i].offset, &length, sizeof length);
    }
    for (int i = 0; i < IRONS; i++)
        snprintf((char *)magnet + irons[i].offset, sizeof magnet->iron, "%s", word_of(job, irons[i].name));
    magnet->coil_on_base = strcmp(word_of(job, "coil_on_base"), "yes") == 0;
}

/* Between faces that are only pulled together. Ground ones have no figure of their own. Where the thickness of paint is
 * known, it stands in place of the guess that painted faces carry. */
static void take_faces(const cw_job *job, cw_work_field_study *study)
{
    static const struct { const char *word; cw_face_state state; } faces[] = {
        { "ground", CW_SURFACE_MACHINED }, { "machined", CW_SURFACE_MACHINED }, { "blasted", CW_SURFACE_BLASTED },
        { "painted", CW_SURFACE_BLASTED }, { "scaled", CW_SURFACE_SCALED },
    };
    const char *word = word_of(job, "face");

    snprintf(study->face, sizeof study->face, "%s", word);
    study->layer_m = number_of(job, "layer", 0);
    study->face_gap_m[0] = study->face_gap_m[1] = NAN;
    for (size_t i = 0; i < sizeof faces / sizeof faces[0]; i++)
        if (strcmp(word, faces[i].word) == 0)
            cw_surface_gap(i == 3 && study->layer_m > 0 ? CW_SURFACE_MACHINED : faces[i].state, study->layer_m,
                           &study->face_gap_m[0], &study->face_gap_m[1]);
}

static void take_gaps(const cw_job *job, cw_work_field_study *study)
{
    take_faces(job, study);
    study->gap_from_face = cw_job_magnet_entry(job, "gap") == NULL;
    if (study->gap_from_face)
        study->magnet.gap_m = 0.5 * (study->face_gap_m[0] + study->face_gap_m[1]);
    else
        study->magnet.gap_m += study->layer_m;
    study->open_gap_m = number_of(job, "open_gap", NAN) + study->layer_m;
    study->cover = number_of(job, "plate.cover", 1);
}

double cw_work__linkage(const cw_field_result *result)
{
    double sum = 0;

    for (int c = 0; c < CW_MOST_MAGNET_COILS; c++)
        sum += result->flux_linkage_wb[c];
    return sum;
}

void cw_work__cover(const cw_work_field_study *study, cw_field_result *result)
{
    result->force_n *= study->cover;
    result->force_stress_n *= study->cover;
}

/* ---- the coil in it -------------------------------------------------------------------------------------------- */

/* Of a coil's two inner sizes the one that the section cuts: a straight magnet is cut across its legs. */
static double across(const cw_window *window, const cw_magnet *magnet)
{
    const double leg = magnet->coil_on_base ? magnet->base_thickness_m : magnet->pole_width_m;

    if (window->shape == CW_ROUND)
        return window->inner_m[0];
    return leg <= magnet->depth_m ? fmin(window->inner_m[0], window->inner_m[1])
                                  : fmax(window->inner_m[0], window->inner_m[1]);
}

static cw_status place_coil(const cw_job *job, const cw_winding *winding, const cw_place *at, cw_magnet *magnet,
                            cw_error *error)
{
    const cw_window *window = &winding->plan.window;
    const bool round = magnet->shape == CW_MAGNET_POT || magnet->shape == CW_MAGNET_PLUNGER;
    double room = magnet->height_m - magnet->base_thickness_m;

    if (round && window->shape != CW_ROUND)
        return cw_refuse(error, at, "shape: u or e, or a round window", "The window is no circle, and a magnet of the "
                         "shape %s is round.", word_of(job, "shape"));
    if (magnet->shape == CW_MAGNET_PLUNGER)
        room -= magnet->collar_thickness_m;
    if (magnet->coil_on_base)
        room = magnet->window_width_m;
    magnet->coil.inside_m = number_of(job, "coil.inside", across(window, magnet));
    magnet->coil.outside_m = number_of(job, "coil.outside", magnet->coil.inside_m + 2 * winding->depth_m);
    magnet->coil.length_m = number_of(job, "coil.length", window->length_m);
    magnet->coil.offset_m = number_of(job, "coil.offset", fmax(0, 0.5 * (room - magnet->coil.length_m)));
    magnet->coil.turns = (double)winding->turns;
    return CW_OK;
}

static cw_status need_coils(const cw_job *job, const cw_place *at, const cw_magnet *magnet, cw_error *error)
{
    if (magnet->shape != CW_MAGNET_U || magnet->coil_on_base || (job->circuit.given && job->circuit.coils >= 2))
        return CW_OK;
    return cw_refuse(error, at, "circuit: {coils: 2, connection: series}, or coil_on_base: yes",
                     "A magnet of the shape u has a coil on each leg, and the circuit has one coil.");
}

static cw_status take_current(cw_work *work, cw_work_field_study *study, cw_error *error)
{
    const cw_job *job = work->job;
    const cw_conductor *metal;
    const cw_winding *winding;
    cw_status status;

    if (!job->supply.given)
        return cw_refuse(error, NULL, "a supply: section, as in supply: {kind: dc, voltage: 96 V}",
                         "The job has no supply, so the coil's current is not known.");
    if (job->supply.kind == CW_AC)
        return cw_refuse(error, NULL, "a supply of dc, full-wave or half-wave", "The supply is ac. On it the voltage "
                         "sets the flux, not the current, and the field is computed for a given current.");
    status = cw_work_lay(work, &winding, NULL, error);
    if (status == CW_OK)
        status = cw_work__warm_c(work, &study->winding_c, error);
    if (status != CW_OK)
        return status;
    metal = cw_wire_conductor(work->catalogue, winding->plan.wire.material);
    study->cold_current_a = cw_work__coil_voltage(job) / winding->resistance_20c_ohm;
    study->magnet.current_a = study->cold_current_a / cw_wire_temperature_factor(metal, study->winding_c);
    return CW_OK;
}

/* What a room without places says of the magnet stands at the magnet. */
static void point_at(const cw_place *at, cw_error *error)
{
    if (error == NULL || error->line != 0)
        return;
    snprintf(error->file, sizeof error->file, "%s", at->file != NULL ? at->file : "");
    error->line = at->line;
    error->column = at->column;
}

cw_status cw_work__magnet(cw_work *work, cw_work_field_study *study, cw_error *error)
{
    const cw_winding *winding;
    cw_place at;
    cw_status status = need_magnet(work->job, &at, error); /* before what a winding needs */

    if (status == CW_OK)
        status = cw_work_lay(work, &winding, NULL, error);
    return status == CW_OK ? cw_work__magnet_with(work, winding, study, error) : status;
}

cw_status cw_work__magnet_with(const cw_work *work, const cw_winding *winding, cw_work_field_study *study,
                               cw_error *error)
{
    cw_section section;
    cw_place at = { 0 };
    cw_status status = need_magnet(work->job, &at, error);

    if (status != CW_OK)
        return status;
    take_dimensions(work->job, &study->magnet);
    take_gaps(work->job, study);
    study->pull_needed_n = number_of(work->job, "pull_needed", NAN);
    if (study->magnet.shape == CW_MAGNET_SECTION) {
        study->magnet.section = &study->section;
        study->magnet.coil.turns = (double)winding->turns;
        status = cw_work__section(work->job, (double)winding->turns, &at, &study->section, error);
    } else {
        status = place_coil(work->job, winding, &at, &study->magnet, error);
    }
    if (status == CW_OK)
        status = need_coils(work->job, &at, &study->magnet, error);
    if (status != CW_OK)
        return status;
    status = cw_magnet_section(&study->magnet, &section, error);
    if (status == CW_OK && study->magnet.shape == CW_MAGNET_SECTION)
        status = cw_section_check(&section, study->magnet.gap_m, error);
    if (status == CW_OK)
        study->coil_count = section.coil_count;
    else
        point_at(&at, error);
    return status;
}

bool cw_work__has_plate(const cw_magnet *magnet)
{
    return magnet->shape != CW_MAGNET_PLUNGER && magnet->shape != CW_MAGNET_SECTION;
}

/* ---- the field ------------------------------------------------------------------------------------------------- */

/* All coils of the section with one current. */
static cw_status solve_at(cw_work_field_study *study, double current_a, cw_field_result *result, cw_error *error)
{
    double currents[CW_MOST_MAGNET_COILS];
    cw_status status;

    for (int c = 0; c < CW_MOST_MAGNET_COILS; c++)
        currents[c] = current_a;
    status = cw_field_solve(study->field, study->magnet.gap_m, currents, result, error);
    if (status == CW_OK)
        cw_work__cover(study, result);
    return status;
}

/* Cold first, so that the field that is kept is the warm one. */
static cw_status solve(cw_work *work, cw_work_field_study *study, cw_error *error)
{
    cw_section section;
    cw_status status = cw_work__magnet(work, study, error);

    if (status == CW_OK)
        status = take_current(work, study, error);
    if (status == CW_OK)
        status = cw_magnet_section(&study->magnet, &section, error);
    if (status == CW_OK)
        status = cw_field_create(&section, NULL, &study->field, error);
    if (status == CW_OK)
        status = solve_at(study, study->cold_current_a, &study->cold, error);
    if (status == CW_OK)
        status = solve_at(study, study->magnet.current_a, &study->hot, error);
    if (status == CW_OK)
        status = cw_magnet_hand_sum(&study->magnet, &study->hand, error);
    return status;
}

cw_status cw_work_field(cw_work *work, const cw_work_field_study **study, cw_error *error)
{
    cw_work__stage *stage = &work->field_stage;

    *study = NULL;
    if (!stage->tried)
        stage->status = solve(work, &work->field, &stage->error);
    if (stage->status == CW_OK)
        *study = &work->field;
    return cw_work__end(stage, stage->status, error);
}

/* ---- for coils on ac --------------------------------------------------------------------------------------------- */

double cw_work__core_section_m2(const cw_job *job)
{
    const double across = number_of(job, "pole_diameter", NAN), bore = number_of(job, "bore_diameter", 0);

    if (isfinite(across))
        return 0.25 * 3.14159265358979323846 * (across * across - bore * bore);
    return number_of(job, "pole_width", NAN) * number_of(job, "depth", NAN);
}
