/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The stages in their order, each computed once. */
#include "work/work_internal.h"

#include <math.h>
#include <string.h>

static cw_status open_one(const char *text, size_t length, const char *name, const char *const *sets, size_t count,
                          cw_work **work, cw_errors *errors)
{
    cw_work *made = cw_allocate(1, sizeof *made);
    cw_error error;
    cw_status status = made != NULL ? cw_wire_catalogue_create(&made->catalogue, &error) : cw_no_memory(&error);

    *work = NULL;
    if (status != CW_OK)
        cw_errors_add(errors, &error);
    else
        status = cw_job_read_set(text, length, name, sets, count, made->catalogue, &made->job, errors);
    if (status == CW_OK)
        status = cw_work__check_iron(made->job, errors);
    if (status != CW_OK) {
        cw_work_close(&made);
        return status;
    }
    made->machine = made->job->machine;
    cw_machine_defaults(&made->machine);
    *work = made;
    return CW_OK;
}

cw_status cw_work_open_set(const char *text, size_t length, const char *name, const char *const *sets, size_t count,
                           cw_work **work, cw_errors *errors)
{
    cw_status status = open_one(text, length, name, sets, count, work, errors);

    if (status == CW_OK && count > 0) { /* a file that is sound only with what is set has no "before" */
        status = open_one(text, length, name, NULL, 0, &(*work)->as_written, NULL);
        (*work)->set = true;
    }
    if (status == CW_NO_MEMORY)
        cw_work_close(work);
    return status == CW_NO_MEMORY || *work == NULL ? status : CW_OK;
}

cw_status cw_work_open(const char *text, size_t length, const char *name, cw_work **work, cw_errors *errors)
{
    return cw_work_open_set(text, length, name, NULL, 0, work, errors);
}

void cw_work_close(cw_work **work)
{
    cw_work *w = *work;

    if (w != NULL) {
        cw_process_destroy(&w->solids_process);
        cw_solids_destroy(&w->solids);
        cw_work_close(&w->as_written);
        cw_choice_destroy(&w->before);
        cw_heat_run_clear(&w->heat.warm_up);
        cw_heat_run_clear(&w->heat.duty);
        cw_heat_destroy(&w->heat.map);
        cw_switch_study_clear(&w->switching.study);
        cw_work_sweep_clear(&w->pulls.warm);
        cw_work_sweep_clear(&w->pulls.cold);
        cw_work_sweep_clear(&w->pulls.original);
        cw_work_sweep_clear(&w->pulls.plate);
        cw_proof_destroy(&w->proof);
        cw_field_destroy(&w->field.field);
        cw_replay_destroy(&w->replay);
        cw_text_clear(&w->program);
        cw_winding_destroy(&w->winding);
        cw_choice_destroy(&w->choice);
        cw_identification_destroy(&w->identification);
        cw_job_destroy(&w->job);
        cw_wire_catalogue_destroy(&w->catalogue);
    }
    cw_free(w);
    *work = NULL;
}

const cw_job *cw_work_job(const cw_work *work)
{
    return work->job;
}

const cw_wire_catalogue *cw_work_catalogue(const cw_work *work)
{
    return work->catalogue;
}

const cw_machine *cw_work_machine(const cw_work *work)
{
    return &work->machine;
}

static double share_of(const cw_job *job, double supply_v)
{
    if (!job->supply.given)
        return NAN;
    if (job->circuit.given && job->circuit.connection == CW_SERIES && job->circuit.coils > 1)
        return supply_v / job->circuit.coils;
    return supply_v;
}

double cw_work__coil_voltage(const cw_job *job)
{
    return share_of(job, job->supply.voltage_v);
}

/* Voltage across one coil as it was made: of what the plate tells. */
static double original_voltage(const cw_job *job)
{
    return share_of(job, job->supply.original_voltage_v > 0 ? job->supply.original_voltage_v : job->supply.voltage_v);
}

cw_status cw_work__end(cw_work__stage *stage, cw_status status, cw_error *error)
{
    stage->tried = true;
    stage->status = status;
    if (status != CW_OK && error != NULL)
        *error = stage->error;
    return status;
}

/* ---- identify ----------------------------------------------------------------------------------------------- */

cw_status cw_work_identify(cw_work *work, const cw_identification **identification, cw_error *error)
{
    const cw_job *job = work->job;
    cw_work__stage *stage = &work->identify_stage;

    *identification = NULL;
    if (!stage->tried) {
        cw_evidence evidence = {
            .window = job->window_given ? &job->window : NULL,
            .readings = job->readings,
            .reading_count = job->reading_count,
            .seen = job->seen,
            .coil_voltage_v = original_voltage(job),
            .supply_frequency_hz = job->supply.given && job->supply.kind == CW_AC ? job->supply.frequency_hz : NAN,
        };

        if (!job->seen_given)
            evidence.seen = (cw_seen){ .lean = -1 };
        stage->status = cw_identify(&evidence, work->catalogue, &work->identification, &stage->error);
    }
    *identification = work->identification;
    return cw_work__end(stage, stage->status, error);
}

bool cw_work_fits(cw_work *work)
{
    const cw_winding *winding;
    bool chosen;

    return cw_work_lay(work, &winding, &chosen, NULL) == CW_OK && chosen && winding->fits;
}

/* ---- program ------------------------------------------------------------------------------------------------ */

static cw_status need_machine(const cw_work *work, cw_error *error)
{
    if (work->job->machine.given)
        return CW_OK;
    return cw_refuse(error, NULL, "a machine: section, as in machine: {kind: lathe-thread, code: g33-k, units: mm, speed: 60 rpm}",
                     "The job names no machine to wind on.");
}

static cw_status write_program(cw_work *work, bool dry_run, cw_text *text, cw_replay **replay, cw_error *error)
{
    const cw_winding *winding;
    cw_status status = need_machine(work, error);

    if (status == CW_OK)
        status = cw_work_lay(work, &winding, NULL, error);
    if (status == CW_OK) {
        const cw_program_request request = { .winding = winding, .machine = &work->machine, .job = work->job->name,
                                             .note = work->job->machine_name, .dry_run = dry_run };

        status = cw_program_accept(&request, text, replay, error);
    }
    return status;
}

cw_status cw_work_program(cw_work *work, bool dry_run, cw_text *program, const cw_replay **replay, cw_error *error)
{
    cw_work__stage *stage = &work->program_stage;

    if (replay != NULL)
        *replay = NULL;
    if (dry_run)
        return write_program(work, true, program, NULL, error);
    if (!stage->tried)
        stage->status = write_program(work, false, &work->program, &work->replay, &stage->error);
    if (stage->status == CW_OK && program != NULL)
        cw_text_add_bytes(program, work->program.data, work->program.length);
    if (replay != NULL)
        *replay = work->replay;
    return cw_work__end(stage, stage->status, error);
}

cw_status cw_work_replay(cw_work *work, const char *program, size_t length, const char *name, cw_replay **replay,
                         cw_error *error)
{
    const cw_winding *winding;
    cw_status status = need_machine(work, error);

    *replay = NULL;
    if (status == CW_OK)
        status = cw_work_lay(work, &winding, NULL, error);
    if (status == CW_OK) {
        const cw_replay_request request = { .machine = &work->machine, .winding = winding, .name = name };

        status = cw_replay_text(&request, program, length, replay, error);
    }
    return status;
}
