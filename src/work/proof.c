/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a job's acceptance tests and the coil that is laid for it to the proof. */
#include "work/proof_document.h"
#include "work/work_internal.h"

#include "proof/proof_json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- readings -------------------------------------------------------------------------------------------------- */

static cw_status refuse_test(const cw_job_test *test, cw_error *error)
{
    const char *nearest = NULL;
    char known[250] = "";
    int distance = 4;

    for (int kind = 0, used = 0; kind < CW_PROVE_COUNT; kind++) {
        const char *name = cw_proof_name((cw_proof_kind)kind);
        int d = cw_word_distance(test->test, name, distance);

        used += snprintf(known + used, sizeof known - (size_t)used, "%s%s",
                         kind == 0 ? "" : kind == CW_PROVE_COUNT - 1 ? " or " : ", ", name);
        if (d < distance) {
            distance = d;
            nearest = name;
        }
    }
    return cw_refuse(error, &test->at, known, "\"%.60s\" is no test that is known here.%s%s%s", test->test,
                     nearest != NULL ? " Is \"" : "", nearest != NULL ? nearest : "", nearest != NULL ? "\" meant?" : "");
}

static cw_status take_word(const cw_job_test *test, cw_proof_reading *reading, cw_error *error)
{
    cw_proof_reading parsed = *reading;

    /* the proof room has the last word on which test a word answers */
    if (cw_proof_reading_parse(test->word, strlen(test->word), &test->at, &parsed, NULL) != CW_OK)
        return cw_refuse(error, &test->at, "what the meter showed, with its unit",
                         "\"%s\" is no reading of %s.", test->word, test->test);
    *reading = parsed;
    return CW_OK;
}

static cw_status take_value(const cw_job_test *test, cw_proof_reading *reading, cw_error *error)
{
    reading->value = test->value;
    reading->doubt = test->doubt;
    if (cw_proof_method_of(reading->test, test->kind, &reading->method))
        return CW_OK;
    return cw_refuse(error, &test->at, NULL, "The test %s cannot be judged by %s.", test->test, cw_kind_name(test->kind));
}

/* NAN and 0 mean "not said" on both sides. */
static cw_status take_reading(const cw_job_test *test, cw_proof_reading *reading, cw_error *error)
{
    cw_status status;

    cw_proof_reading_clear(reading);
    if (!cw_proof_find(test->test, strlen(test->test), &reading->test))
        return refuse_test(test, error);
    reading->at = test->at;
    reading->at_c = test->at_c;
    status = test->word != NULL ? take_word(test, reading, error) : take_value(test, reading, error);
    if (status != CW_OK)
        return status;
    reading->coil = test->coil;
    reading->current_a = test->current_a;
    reading->voltage_v = test->voltage_v;
    reading->time_s = test->time_s;
    reading->ambient_c = test->ambient_c;
    reading->lead_ohm = isnan(test->lead_ohm) ? 0 : test->lead_ohm;
    reading->value_2 = reading->test == CW_PROVE_POLARITY ? test->reversed_h : test->later_ohm;
    reading->dc = test->dc;
    reading->broke_down = test->broke_down;
    return CW_OK;
}

/* ---- the request ----------------------------------------------------------------------------------------------- */

/* The band that the sheet prints too. */
static void take_wishes(const cw_work *work, cw_proof_request *request)
{
    const cw_choice *choice = work->choice;

    if (choice != NULL && isfinite(choice->wanted_resistance_20c_ohm) && isfinite(choice->tolerance)) {
        request->wanted_resistance_ohm = choice->wanted_resistance_20c_ohm;
        request->wanted_tolerance = choice->tolerance;
    }
    if (work->job->wanted.given)
        request->thermal_class_c = work->job->wanted.thermal_class_c;
    if (work->job->potting.given)
        request->potting_class_c = work->job->potting.class_c;
}

/* From the mean, which the resistance method tells, to the hot spot: the greater of the table's and what is computed for
 * this coil always on. On ac the table's: there the heat asks the switching for the current, and the switching asks here
 * for the voltage that the winding is tested with. */
static cw_status take_allowance(cw_work *work, cw_proof_request *request, cw_error *error)
{
    const double class_c = fmin(request->thermal_class_c, request->potting_class_c); /* drops NAN */
    const cw_work_heat_study *study;
    cw_status status;
    double table_k;

    if (!work->job->supply.given || work->job->supply.kind == CW_AC || isnan(class_c))
        return CW_OK;
    status = cw_work_heat(work, &study, error);
    if (status == CW_BAD_INPUT)
        return CW_OK;
    if (status != CW_OK || study->intermittent || study->steady.runs_away)
        return status;
    table_k = class_c - 40 - cw_proof_rise_limit_k(CW_RISE_BY_CLASS, class_c, 40, NULL);
    if (!(study->steady.hot_spot_c - study->steady.mean_winding_c <= table_k))
        request->hot_spot_allowance_k = study->steady.hot_spot_c - study->steady.mean_winding_c;
    return CW_OK;
}

static void take_rules(const cw_job *job, cw_proof_request *request)
{
    if (!job->acceptance.given)
        return;
    request->service = job->acceptance.service;
    request->practice = job->acceptance.practice;
    request->rise_rule = job->acceptance.rise;
    request->release_needed_s = job->acceptance.release_s;
    request->left_out = job->acceptance.left_out;
}

/* The latest pull that was taken, or NULL. */
static const cw_job_test *latest_pull(const cw_job *job)
{
    const cw_job_test *latest = NULL;

    for (size_t i = 0; i < job->proof_count; i++)
        if (strcmp(job->proof[i].test, cw_proof_name(CW_PROVE_PULL)) == 0)
            latest = &job->proof[i];
    return latest;
}

/* The test may be done at another gap and from another plate than the machine's: what is computed and what is needed
 * go there by the field. */
static cw_status take_pull(const cw_job *job, const cw_work_field_study *study, cw_proof_request *request,
                           cw_error *error)
{
    const cw_job_test *test = latest_pull(job);
    cw_magnet magnet = study->magnet;
    cw_field_result there;
    cw_status status;

    if (test != NULL && !isnan(test->gap_m))
        magnet.gap_m = test->gap_m;
    if (test != NULL && !isnan(test->plate_m))
        magnet.plate_thickness_m = test->plate_m;
    request->pull_gap_m = magnet.gap_m;
    request->pull_plate_m = magnet.shape == CW_MAGNET_PLUNGER || !(magnet.plate_thickness_m > 0)
                                ? NAN : magnet.plate_thickness_m;
    request->pull_n = study->hot.force_n;
    request->pull_elsewhere = magnet.gap_m != study->magnet.gap_m ||
                              magnet.plate_thickness_m != study->magnet.plate_thickness_m;
    if (!request->pull_elsewhere)
        return CW_OK;
    status = cw_magnet_curve(&magnet, NULL, &magnet.gap_m, &magnet.current_a, 1, &there, error);
    if (status != CW_OK)
        return status;
    cw_work__cover(study, &there);
    request->pull_n = there.force_n;
    request->pull_needed_n *= there.force_n / study->hot.force_n;
    return CW_OK;
}

/* The computed pull stands beside the reading and limits nothing: the doubt of a bar's iron is not known. */
static cw_status take_magnet(cw_work *work, cw_proof_request *request, cw_error *error)
{
    const cw_job_entry *needed = cw_job_magnet_entry(work->job, "pull_needed");
    const cw_work_field_study *study;
    cw_status status;

    request->magnet = work->job->magnet_given;
    if (!request->magnet)
        return CW_OK;
    if (needed != NULL && needed->word == NULL)
        request->pull_needed_n = needed->value;
    status = cw_work_field(work, &study, error);
    if (status == CW_BAD_INPUT) /* dimensions are not known: the pull is then proved by what is asked for alone */
        return CW_OK;
    if (status == CW_OK)
        request->stored_energy_j = study->cold.energy_j;
    return status == CW_OK ? take_pull(work->job, study, request, error) : status;
}

static cw_status prove(cw_work *work, cw_error *error)
{
    const cw_job *job = work->job;
    cw_proof_reading *readings = cw_allocate(job->proof_count, sizeof *readings);
    cw_proof_request request;
    cw_status status = readings != NULL ? CW_OK : cw_no_memory(error);

    cw_proof_request_clear(&request);
    for (size_t i = 0; i < job->proof_count && status == CW_OK; i++)
        status = take_reading(&job->proof[i], &readings[i], error);
    if (status == CW_OK) {
        status = cw_work_lay(work, &request.winding, NULL, error);
        if (status == CW_BAD_INPUT) /* nothing is laid: resistance and turns have no limits then */
            status = CW_OK;
    }
    if (status == CW_OK)
        status = take_magnet(work, &request, error);
    if (status == CW_OK) {
        if (request.winding != NULL)
            request.conductor = cw_wire_conductor(work->catalogue, request.winding->plan.wire.material);
        request.supply = job->supply;
        request.circuit = job->circuit;
        request.readings = readings;
        request.reading_count = job->proof_count;
        take_wishes(work, &request);
        take_rules(job, &request);
        status = take_allowance(work, &request, error);
    }
    if (status == CW_OK) {
        status = cw_prove(&request, &work->proof, error);
    }
    cw_free(readings);
    return status;
}

cw_status cw_work_prove(cw_work *work, const cw_proof **proof, cw_error *error)
{
    cw_work__stage *stage = &work->proof_stage;

    *proof = NULL;
    if (!stage->tried)
        stage->status = prove(work, &stage->error);
    *proof = work->proof;
    return cw_work__end(stage, stage->status, error);
}

json_t *cw_work_proof_json(cw_work *work, const cw_proof *proof)
{
    json_t *document = cw_proof_json(proof), *hold = json_null();
    const cw_hold *held;
    cw_error error;
    const cw_status status = cw_work_hold(work, &held, &error);

    if (held != NULL)
        hold = cw_hold_json(held);
    else if (status != CW_OK)
        hold = json_pack("{s:s}", "text", error.text);
    if (json_object_set_new(document, "hold", hold) != 0) {
        json_decref(document);
        return NULL;
    }
    return document;
}
