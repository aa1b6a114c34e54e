/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_WORK_INTERNAL_H
#define CW_WORK_INTERNAL_H

#include "coilwright/work.h"

/* How far a stage has come; a failed one keeps its error, so that asking again costs nothing. */
typedef struct cw_work__stage {
    bool tried;
    cw_status status;
    cw_error error;
} cw_work__stage;

/* What the pull curves show: over the gap warm, cold and as the original; over the plate's thickness warm. */
typedef struct cw_work__pulls {
    cw_work_sweep warm, cold, original, plate;
} cw_work__pulls;

struct cw_work {
    cw_wire_catalogue *catalogue;
    cw_job *job;
    cw_machine machine; /* the job's, defaults filled in */

    cw_work__stage identify_stage, choose_stage, lay_stage, program_stage, field_stage, proof_stage, switch_stage, heat_stage,
        holding_stage, rewind_stage, pull_stage;
    cw_identification *identification;
    cw_choice *choice;
    cw_winding *winding;
    cw_text program;    /* not the dry run */
    cw_replay *replay;
    cw_work_field_study field;
    cw_work_holding holding;
    cw_work_rewind rewind;
    cw_work__pulls pulls;
    cw_proof *proof;
    cw_work_heat_study heat;
    cw_work_switch_study switching;
    cw_suppressor_kind suppressor; /* that it was made with */
};

/* Ends a stage: keeps its status and error, and hands both on. */
cw_status cw_work__end(cw_work__stage *stage, cw_status status, cw_error *error);

/* Irons of the magnet that are in no table, each with its place. */
cw_status cw_work__check_iron(const cw_job *job, cw_errors *errors);

/* Mean of the warm winding: by the heat, else by the estimate of choose, else (on ac) as warm as the class allows. A
 * winding must be laid. */
cw_status cw_work__warm_c(cw_work *work, double *mean_c, cw_error *error);

/* The job's magnet with the laid coil in it; current and results are left alone. */
cw_status cw_work__magnet(cw_work *work, cw_work_field_study *study, cw_error *error);

/* The job's regions as the field's section; `turns` where a coil's region does not say its own. Lends the outlines. */
cw_status cw_work__section(const cw_job *job, double turns, const cw_place *at, cw_section *section, cw_error *error);

bool cw_work__has_plate(const cw_magnet *magnet);

/* Takes the share of the pull that the plate's cover leaves. */
void cw_work__cover(const cw_work_field_study *study, cw_field_result *result);

/* The magnet at gaps and currents, cover taken, to about 1 %; as cw_magnet_curve. */
cw_status cw_work__pulls_at(const cw_work_field_study *study, const cw_magnet *magnet, const double *gap_m,
                            const double *current_a, size_t count, cw_field_result *results, cw_error *error);

/* Curves for the figures, kept. */
cw_status cw_work__pulls_of(cw_work *work, const cw_work__pulls **pulls, cw_error *error);

/* Flux and pull curves as files of their own. */
cw_status cw_work__magnet_figure(cw_work *work, cw_figure figure, const cw_paper *paper, cw_text *out, cw_error *error);

/* Thickness of a plate twice as thick as saturated poles could ask for. */
double cw_work__thick_plate_m(const cw_magnet *magnet);

/* Voltage across one coil at the rated supply; NAN unknown. */
double cw_work__coil_voltage(const cw_job *job);

/* Formats into a slot of a small arena that lives as long as one sheet. */
typedef struct cw_work__notes {
    char **texts;
    size_t count, capacity;
    bool failed;
} cw_work__notes;

const char *cw_work__note(cw_work__notes *notes, const char *format, ...) CW_PRINTF(2, 3);
const char *cw_work__quantity(cw_work__notes *notes, cw_kind kind, double value, cw_unit_system units, int digits);
void cw_work__notes_clear(cw_work__notes *notes);

/* A reading as the user would write it, with its temperature. */
const char *cw_work__reading_text(cw_work__notes *notes, const cw_reading *reading, cw_unit_system units);
/* "resistance of the sibling" */
const char *cw_work__reading_name(cw_work__notes *notes, const cw_reading *reading);

/* Marks for the sheet and the readings figure; [reading_count], in the arena's order. NULL without memory. */
cw_reading_mark *cw_work__marks(cw_work *work, cw_work__notes *notes);

#endif
