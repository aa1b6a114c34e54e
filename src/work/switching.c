/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a job to the study of its switching: flux linkage over current by the field where the magnet's dimensions are
 * known, else the inductance of the coil in air; all coils of the circuit as one. */
#include "work/work_internal.h"

#include "coilwright/air.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { CURRENTS = 12, GAPS = 2 };

#define PI 3.14159265358979323846
#define DIODE_V 0.9 /* of a rectifier diode under current; usual, see docs/switching.md */

/* Shares of the greatest current that direct current can reach; a little more for ripple. */
static const double dc_shares[CURRENTS] = { 0, 0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1, 1.3, 1.8 };
/* On ac the coil carries between a hundredth and all of what its resistance alone would let through. */
static const double ac_shares[CURRENTS] = { 0, 0.0003, 0.001, 0.003, 0.006, 0.012, 0.025, 0.05, 0.1, 0.2, 0.45, 1 };

typedef struct table {
    double gap_m[GAPS], current_a[CURRENTS], linkage_wb[GAPS * CURRENTS], force_n[GAPS * CURRENTS];
    cw_flux_table lent;
} table;

static void say(cw_work_switch_study *study, const char *format, ...) CW_PRINTF(2, 3);

static void say(cw_work_switch_study *study, const char *format, ...)
{
    const size_t used = strlen(study->remark);
    va_list arguments;

    if (used > 0 && used + 1 < sizeof study->remark)
        memcpy(study->remark + used, " ", 2);
    va_start(arguments, format);
    vsnprintf(study->remark + strlen(study->remark), sizeof study->remark - strlen(study->remark), format, arguments);
    va_end(arguments);
}

/* ---- resistance and source ------------------------------------------------------------------------------------- */

/* How many coils share the supply, and in which way: one coil's current and linkage times these are the circuit's. */
static void share_of(const cw_circuit *circuit, double *current, double *linkage)
{
    const bool several = circuit->given && circuit->coils > 1;

    *current = several && circuit->connection == CW_PARALLEL ? circuit->coils : 1;
    *linkage = several && circuit->connection == CW_SERIES ? circuit->coils : 1;
}

static cw_status take_resistance(cw_work *work, const cw_winding *winding, cw_work_switch_study *study, cw_error *error)
{
    const cw_conductor *metal = cw_wire_conductor(work->catalogue, winding->plan.wire.material);
    double current, linkage;
    cw_status status = cw_work__warm_c(work, &study->winding_c, error);

    share_of(&work->job->circuit, &current, &linkage);
    study->cold_ohm = winding->resistance_20c_ohm * linkage / current;
    study->hot_ohm = study->cold_ohm * cw_wire_temperature_factor(metal, study->winding_c);
    return status;
}

static cw_status take_source(const cw_job *job, cw_work_switch_study *study, cw_source *source, cw_error *error)
{
    static const cw_source_kind kinds[] = {
        [CW_DC] = CW_SOURCE_DC, [CW_FULL_WAVE] = CW_SOURCE_FULL_WAVE,
        [CW_HALF_WAVE] = CW_SOURCE_HALF_WAVE_FREEWHEEL, [CW_AC] = CW_SOURCE_AC,
    };

    if (!job->supply.given)
        return cw_refuse(error, NULL, "a supply: section, as in supply: {kind: dc, voltage: 96 V}",
                         "The job has no supply to switch on.");
    if (job->supply.kind != CW_DC && !(job->supply.frequency_hz > 0))
        return cw_refuse(error, NULL, "frequency: 50 Hz in supply",
                         "The supply's frequency is missing, on which the ripple of the current hangs.");
    memset(source, 0, sizeof *source);
    source->kind = kinds[job->supply.kind];
    source->frequency_hz = job->supply.kind == CW_DC ? 0 : job->supply.frequency_hz;
    source->diode_drop_v = job->supply.kind == CW_FULL_WAVE || job->supply.kind == CW_HALF_WAVE ? DIODE_V : 0;
    source->voltage_v = cw_source_rms_of_mean_v(source, job->supply.voltage_v);
    if (job->supply.kind == CW_HALF_WAVE)
        say(study, "Half-wave is taken with a diode across the coil, without which it hardly feeds one.");
    return CW_OK;
}

/* ---- flux linkage ---------------------------------------------------------------------------------------------- */

static double one_linkage(const cw_field_result *result, int coils)
{
    double sum = 0;

    for (int c = 0; c < coils; c++)
        sum += result->flux_linkage_wb[c];
    return sum / coils;
}

/* The field at one gap and all currents, as the whole circuit sees it. */
static cw_status field_row(const cw_work *work, const cw_work_field_study *field, size_t row, table *t, cw_error *error)
{
    cw_field_result *results = cw_allocate(CURRENTS - 1, sizeof *results);
    double gaps[CURRENTS - 1], currents[CURRENTS - 1], current_share, linkage_share;
    cw_status status = CW_OK;

    if (results == NULL)
        return cw_no_memory(error);
    share_of(&work->job->circuit, &current_share, &linkage_share);
    for (int i = 0; i < CURRENTS - 1; i++) {
        gaps[i] = t->gap_m[row];
        currents[i] = t->current_a[i + 1] / current_share;
    }
    /* cells half as large again move no figure of the switching by more than 0.3 %, and save a tenth of a second */
    status = cw_magnet_curve(&field->magnet, &(cw_field_wish){ .error = 0.01, .coarse = 1.5 }, gaps, currents,
                             CURRENTS - 1, results, error);
    for (int i = 0; i < CURRENTS - 1 && status == CW_OK; i++) {
        t->linkage_wb[row * CURRENTS + (size_t)i + 1] = linkage_share * one_linkage(&results[i], field->coil_count);
        /* what a mesh's error takes away from a pull that hardly rises any more is given back */
        t->force_n[row * CURRENTS + (size_t)i + 1] =
            fmax(field->cover * results[i].force_n, t->force_n[row * CURRENTS + (size_t)i]);
    }
    cw_free(results);
    return status;
}

static cw_status table_by_field(cw_work *work, cw_work_switch_study *study, double most_a, table *t, cw_error *error)
{
    const double *shares = work->job->supply.kind == CW_AC ? ac_shares : dc_shares;
    cw_work_field_study field = { 0 };
    cw_status status = cw_work__magnet(work, &field, error);

    if (status != CW_OK)
        return status;
    study->closed_gap_m = t->gap_m[0] = field.magnet.gap_m;
    study->open_gap_m = t->gap_m[1] = field.open_gap_m > field.magnet.gap_m ? field.open_gap_m : field.magnet.gap_m;
    study->pull_needed_n = field.pull_needed_n;
    for (int i = 0; i < CURRENTS; i++)
        t->current_a[i] = most_a * shares[i];
    t->lent = (cw_flux_table){ study->open_gap_m > study->closed_gap_m ? 2 : 1, CURRENTS, t->gap_m, t->current_a,
                               t->linkage_wb, t->force_n };
    for (size_t row = 0; row < t->lent.gap_count && status == CW_OK; row++)
        status = field_row(work, &field, row, t, error);
    study->by_field = status == CW_OK;
    return status;
}

/* In the circle of the same mean turn. */
static double air_inductance(const cw_winding *winding)
{
    const double middle = winding->mean_turn_m / (2 * PI), half = 0.5 * winding->depth_m;

    return cw_air_coil_inductance(middle - half, middle + half, winding->plan.window.length_m, (double)winding->turns);
}

static void table_in_air(const cw_work *work, const cw_winding *winding, const cw_error *why, cw_work_switch_study *study,
                         double most_a, table *t)
{
    double current_share, linkage_share;

    share_of(&work->job->circuit, &current_share, &linkage_share);
    memset(t, 0, sizeof *t);
    t->current_a[1] = most_a;
    t->linkage_wb[1] = air_inductance(winding) * linkage_share / current_share * most_a;
    t->lent = (cw_flux_table){ 1, 2, t->gap_m, t->current_a, t->linkage_wb, NULL };
    study->open_gap_m = study->closed_gap_m = 0;
    study->pull_needed_n = NAN;
    say(study, "These are figures of the coil in air. Iron raises the inductance many times over: times grow, and so does "
        "the energy that a suppressor must take.%s%s", work->job->magnet_given ? " " : "",
        work->job->magnet_given ? why->text : "");
}

/* ---- the study ------------------------------------------------------------------------------------------------- */

/* Peak that the high-potential test asks of the winding; NAN unknown. */
static double insulation_v(cw_work *work)
{
    const cw_proof *proof;

    if (cw_work_prove(work, &proof, NULL) != CW_OK)
        return NAN;
    for (size_t i = 0; i < proof->test_count; i++)
        if (proof->tests[i].test == CW_PROVE_HIGH_POTENTIAL && strcmp(proof->tests[i].apply_unit, "V ac") == 0)
            return sqrt(2) * proof->tests[i].apply;
    return NAN;
}

static cw_status study_table(cw_work *work, const table *t, const cw_source *source, cw_suppressor_kind kind,
                             cw_work_switch_study *study, cw_error *error)
{
    const cw_switch_plan plan = {
        .table = &t->lent, .open_gap_m = study->open_gap_m, .closed_gap_m = study->closed_gap_m,
        .cold_ohm = study->cold_ohm, .hot_ohm = study->hot_ohm, .source = *source,
        .pull_current_a = NAN, .pull_force_n = study->pull_needed_n,
        .release_current_a = NAN, .release_force_n = study->pull_needed_n,
        .insulation_test_v = insulation_v(work), .suppressor = { .kind = kind },
    };

    return cw_circuit_study(&plan, &study->study, error);
}

static cw_status switching(cw_work *work, cw_suppressor_kind kind, cw_work_switch_study *study, cw_error *error)
{
    const cw_winding *winding;
    table *t = NULL;
    cw_source source;
    cw_error why;
    double most_a;
    cw_status status = cw_work_lay(work, &winding, NULL, error);

    if (status == CW_OK)
        status = take_source(work->job, study, &source, error);
    if (status == CW_OK)
        status = take_resistance(work, winding, study, error);
    if (status == CW_OK && (t = cw_allocate(1, sizeof *t)) == NULL)
        status = cw_no_memory(error);
    if (status != CW_OK)
        return status;
    most_a = (work->job->supply.kind == CW_AC ? sqrt(2) : 1) * work->job->supply.voltage_v / study->cold_ohm;
    status = table_by_field(work, study, most_a, t, &why);
    if (status == CW_BAD_INPUT) {
        table_in_air(work, winding, &why, study, most_a, t);
        status = CW_OK;
    } else if (status != CW_OK && error != NULL) {
        *error = why;
    }
    if (status == CW_OK)
        status = study_table(work, t, &source, kind, study, error);
    cw_free(t);
    return status;
}

cw_suppressor_kind cw_work_usual_suppressor(const cw_work *work)
{
    return work->job->supply.given && work->job->supply.kind == CW_AC ? CW_SUPPRESS_VARISTOR : CW_SUPPRESS_DIODE;
}

cw_status cw_work_switch(cw_work *work, cw_suppressor_kind suppressor, const cw_work_switch_study **study,
                         cw_error *error)
{
    cw_work__stage *stage = &work->switch_stage;

    *study = NULL;
    if (!stage->tried || work->suppressor != suppressor) {
        cw_switch_study_clear(&work->switching.study);
        memset(&work->switching, 0, sizeof work->switching);
        work->suppressor = suppressor;
        stage->status = switching(work, suppressor, &work->switching, &stage->error);
    }
    if (stage->status == CW_OK)
        *study = &work->switching;
    return cw_work__end(stage, stage->status, error);
}
