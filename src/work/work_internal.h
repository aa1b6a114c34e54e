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
    bool set;           /* values are set from outside */
    cw_work *as_written; /* the same job without them; NULL: none, or not sound alone */

    cw_work__stage before_stage, identify_stage, choose_stage, lay_stage, program_stage;
    cw_work__stage field_stage, proof_stage, hold_stage, switch_stage, heat_stage;
    cw_work__stage holding_stage, rewind_stage, pull_stage, former_stage, solids_stage;
    cw_identification *identification;
    cw_choice *choice, *before; /* before: as it would be without the user's own choice */
    cw_winding *winding;
    cw_text program;    /* not the dry run */
    cw_replay *replay;
    cw_work_field_study field;
    cw_work_holding holding;
    cw_work_rewind rewind;
    cw_work__pulls pulls;
    cw_proof *proof;
    cw_hold hold;
    cw_work_heat_study heat;
    cw_work_switch_study switching;
    cw_suppressor_kind suppressor; /* that it was made with */
    cw_work_former_study former;
    cw_solids_plan solids_plan;    /* points into former */
    cw_process *solids_process;    /* at work; NULL not */
    cw_solids *solids;
};

/* Formats into a slot of a small arena that lives as long as one sheet. */
typedef struct cw_work__notes {
    char **texts;
    size_t count, capacity;
    bool failed;
} cw_work__notes;

/* Ends a stage: keeps its status and error, and hands both on. */
cw_status cw_work__end(cw_work__stage *stage, cw_status status, cw_error *error);

/* How the job's magnet cools the coil that is laid: a coarse steady state, with the duty by two time constants.
 * CW_BAD_INPUT where there is no such magnet, or its heat cannot be told. */
cw_status cw_work__cooling(cw_work *work, cw_choice_cooling *cooling, cw_error *error);

/* The section that the laid coil's heat flows through, and its drive. */
cw_status cw_work__heat_section(const cw_work *work, const cw_winding *winding, cw_work_heat_study *study,
                                cw_error *error);

/* Section of the iron inside the coil by the magnet's dimensions; NAN not known. */
double cw_work__core_section_m2(const cw_job *job);

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

/* Of all coils. */
double cw_work__linkage(const cw_field_result *result);

/* "70 to 80 % by a maker's page; reported on a page": what others say of a step, "" nothing. */
const char *cw_work__usual_share(const cw_holding_step *step, cw_work__notes *notes);

/* Takes the share of the pull that the plate's cover leaves. */
void cw_work__cover(const cw_work_field_study *study, cw_field_result *result);

/* What suffices for sweeps and figures. */
extern const cw_field_wish cw_work__rough;

/* The magnet at gaps and currents, cover taken, to that; as cw_magnet_curve. */
cw_status cw_work__pulls_at(const cw_work_field_study *study, const cw_magnet *magnet, const double *gap_m,
                            const double *current_a, size_t count, cw_field_result *results, cw_error *error);

/* Curves for the figures, kept. */
cw_status cw_work__pulls_of(cw_work *work, const cw_work__pulls **pulls, cw_error *error);

/* Flux and pull curves as files of their own. */
cw_status cw_work__magnet_figure(cw_work *work, cw_figure figure, const cw_paper *paper, cw_text *out, cw_error *error);

/* A pull curve to be drawn into any box; its texts live in the notes. */
enum { CW_PULL_CURVES = 6, CW_PULL_POINTS = 80 };
typedef struct cw_work__plot {
    double x[CW_PULL_CURVES][CW_PULL_POINTS], y[CW_PULL_CURVES][CW_PULL_POINTS];
    cw_curve curve[CW_PULL_CURVES];
    size_t count;
    double most_x;
    const char *length_unit, *force_unit;
    cw_plot plot;
} cw_work__plot;

/* which: CW_FIGURE_PULL or CW_FIGURE_PLATE */
cw_status cw_work__pull_plot(cw_work *work, cw_figure which, cw_work__notes *notes, cw_work__plot *plot,
                             cw_error *error);

/* Plate, cover, faces and licence in sentences, each a line. */
void cw_work__holding_remarks(const cw_work_field_study *study, const cw_work_holding *holding, cw_unit_system units,
                              const char *indent, cw_text *text);

/* Thickness of a plate twice as thick as saturated poles could ask for. */
double cw_work__thick_plate_m(const cw_magnet *magnet);

/* The same with any winding: its window, depth and turns count. */
cw_status cw_work__magnet_with(const cw_work *work, const cw_winding *winding, cw_work_field_study *study,
                               cw_error *error);

cw_status cw_work__heat_figure(cw_work *work, cw_figure which, const cw_paper *paper, cw_text *out, cw_error *error);
cw_status cw_work__switch_figure(cw_work *work, cw_figure which, const cw_paper *paper, cw_text *out, cw_error *error);

/* Voltage across one coil at the rated supply; NAN unknown. */
double cw_work__coil_voltage(const cw_job *job);

cw_status cw_work__options_figure(cw_work *work, const cw_paper *paper, cw_text *out, cw_error *error);
const char *cw_work__note(cw_work__notes *notes, const char *format, ...) CW_PRINTF(2, 3);
const char *cw_work__quantity(cw_work__notes *notes, cw_kind kind, double value, cw_unit_system units, int digits);
/* "never" where it is infinite, "" where it is not known. */
const char *cw_work__time(cw_work__notes *notes, double time_s, cw_unit_system units);
void cw_work__notes_clear(cw_work__notes *notes);

/* "2 × 29 AWG heavy", "0.315 mm and on it 0.280 mm grade 2" */
const char *cw_work__wire_name(cw_work__notes *notes, const cw_choice_option *option);

/* A reading as the user would write it, with its temperature. */
const char *cw_work__reading_text(cw_work__notes *notes, const cw_reading *reading, cw_unit_system units);
/* "resistance of the sibling" */
const char *cw_work__reading_name(cw_work__notes *notes, const cw_reading *reading);

/* Marks for the sheet and the readings figure; [reading_count], in the arena's order. NULL without memory. */
cw_reading_mark *cw_work__marks(cw_work *work, cw_work__notes *notes);

#endif
