/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One job taken through its stages: read, identify, choose, lay, program, field, heat, switch, prove, sheet.
 *
 * Knows: which stage needs what, and how a job file's sections become their inputs. Needs: every stage. Refuses to know:
 * where files lie, terminals. Each stage is computed once, when it is first asked for, and kept; both doors (command line
 * and page) go through here, so that they give the same answers. */
#ifndef COILWRIGHT_WORK_H
#define COILWRIGHT_WORK_H

#include "coilwright/base.h"
#include "coilwright/book.h"
#include "coilwright/choose.h"
#include "coilwright/circuit.h"
#include "coilwright/draw.h"
#include "coilwright/evidence.h"
#include "coilwright/field.h"
#include "coilwright/former_drawing.h"
#include "coilwright/heat.h"
#include "coilwright/heat_figure.h"
#include "coilwright/job.h"
#include "coilwright/nc.h"
#include "coilwright/proof.h"
#include "coilwright/sheet.h"
#include "coilwright/solids.h"
#include "coilwright/switch_figure.h"
#include "coilwright/winding.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct cw_work cw_work;

/** Reads a job. errors as in cw_job_read; work is NULL unless CW_OK. */
CW_API cw_status cw_work_open(const char *text, size_t length, const char *name, cw_work **work, cw_errors *errors);
CW_API void cw_work_close(cw_work **work);

/** The same with values that overrule those of the text, see cw_job_read_set. */
CW_API cw_status cw_work_open_set(const char *text, size_t length, const char *name, const char *const *sets,
                                  size_t count, cw_work **work, cw_errors *errors);

/** The job and the wire tables; lent, as is everything the stages give. */
CW_API const cw_job *cw_work_job(const cw_work *work);
CW_API const cw_wire_catalogue *cw_work_catalogue(const cw_work *work);

/** The job's machine with the usual values for what it does not say. */
CW_API const cw_machine *cw_work_machine(const cw_work *work);

/** What the winding was. CW_BAD_INPUT where no reading tells, with the reading that is missing. */
CW_API cw_status cw_work_identify(cw_work *work, const cw_identification **identification, cw_error *error);

/** What to wind instead. CW_BAD_INPUT where the window is missing, or neither readings nor wishes say what is wanted. */
CW_API cw_status cw_work_choose(cw_work *work, const cw_choice **choice, cw_error *error);

/** What would be wound without what the user insists on: without the values set from outside, or, where there are none,
 *  without the own choice under `wanted`. before receives NULL where nothing is insisted on.
 *  Test: tests/work/test_choose.c */
CW_API cw_status cw_work_before(cw_work *work, const cw_choice **before, cw_error *error);

/** The winding of the chosen option, or of the best one where none keeps every wish.
 *  chosen  receives false in the second case; may be NULL */
CW_API cw_status cw_work_lay(cw_work *work, const cw_winding **winding, bool *chosen, cw_error *error);

/** Whether there is a winding that keeps every wish and fits: what an exit status of 0 stands for. */
CW_API bool cw_work_fits(cw_work *work);

/** The winding program for the job's machine, replayed and found right; or the sheet for a manual lathe or hand winder.
 *  replay  receives the replay, NULL for a sheet; may be NULL itself
 *  CW_BAD_INPUT where the job names no machine, or one that cannot wind it. */
CW_API cw_status cw_work_program(cw_work *work, bool dry_run, cw_text *program, const cw_replay **replay,
                                 cw_error *error);

/** Replays any program on the job's machine against the winding. replay is the caller's. */
CW_API cw_status cw_work_replay(cw_work *work, const char *program, size_t length, const char *name,
                                cw_replay **replay, cw_error *error);

/** The job sheet: as much of it as the job gives enough for. */
typedef struct cw_work_sheet_wish {
    cw_sheet_paper paper;
    const char *date;           /* "2031-05-17" or NULL */
    unsigned parts;             /* 1u << CW_SHEET_COVER ...; 0 all */
    bool html;                  /* one HTML file; else PDF */
} cw_work_sheet_wish;

CW_API cw_status cw_work_sheet_as(cw_work *work, const cw_work_sheet_wish *wish, cw_text *out, cw_error *error);

/** All of it as PDF. */
CW_API cw_status cw_work_sheet(cw_work *work, cw_sheet_paper paper, const char *date, cw_text *pdf, cw_error *error);

/** What the job's magnet does with the coil that is laid for it. One magnet: of coils that share the supply, those that
 *  its own section shows.
 *
 *  The gap is the job's, or where it names the state of the faces alone the middle of what such faces amount to; a layer
 *  adds to it. Where the plate covers only a share of the pole faces, every pull is that share of the whole: flux that
 *  crowds into the covered part is not counted on. */
typedef struct cw_work_field_study {
    cw_magnet magnet;           /* at its gap, with the current of a warm winding */
    cw_section section;         /* what the magnet's points at, where it is of free shape */
    int coil_count;             /* in its section */
    double cold_current_a;      /* of one coil at 20 °C */
    double winding_c;           /* mean of the warm winding, an estimate */
    double open_gap_m, pull_needed_n; /* as the job has them, the layer in the gap; NAN not given */
    char face[12];              /* state of the faces in the job's word; "" not said */
    double face_gap_m[2];       /* least and greatest between such faces pulled together, layer in it; NAN not said */
    double layer_m;             /* 0 none */
    double cover;               /* share of the pole faces that the plate covers; 1 not said */
    bool gap_from_face;         /* the job gives no gap */
    cw_field_result hot, cold;  /* at the gap */
    cw_hand_sum hand;           /* warm; NAN where the magnet is of free shape */
    cw_field *field;            /* as solved, warm: for a figure */
} cw_work_field_study;

/** CW_BAD_INPUT where the job has no magnet, a dimension is missing (all of them are named), the coil does not lie in its
 *  window, or the supply is missing or ac. Test: tests/work/test_magnet.c */
CW_API cw_status cw_work_field(cw_work *work, const cw_work_field_study **study, cw_error *error);

/** The magnet along one thing, all else as the job has it. Zero-initialise; clear when done. */
typedef enum cw_sweep_kind {
    CW_SWEEP_GAP,               /* m */
    CW_SWEEP_CURRENT,           /* A in one coil */
    CW_SWEEP_PLATE,             /* thickness, m */
    CW_SWEEP_IRON,              /* of the plate */
    CW_SWEEP_COUNT
} cw_sweep_kind;

typedef struct cw_work_sweep {
    cw_sweep_kind kind;
    size_t count;
    double *at;                 /* [count]; NAN for irons */
    char (*iron)[40];           /* [count]; "" but for irons */
    cw_field_result *field;     /* [count] */
    cw_hand_sum *hand;          /* [count] */
} cw_work_sweep;

CW_API void cw_work_sweep_clear(cw_work_sweep *sweep);

/** Along values that the caller chose. current_a is that of the other sweeps; NAN: warm.
 *  at     shape [count]; of irons, names of 39 bytes at most in `iron`, at not read
 *  CW_BAD_INPUT where a value makes no magnet, or a plunger is asked for its plate */
CW_API cw_status cw_work_sweep_along(cw_work *work, cw_sweep_kind kind, const double *at, const char (*iron)[40],
                                     size_t count, double current_a, cw_work_sweep *sweep, cw_error *error);

/** Along values that tell most: halves and doubles of the job's own, irons from soft to cast. Empty where the magnet has
 *  no plate and the sweep is one of it. Not kept.
 *  Test: tests/work/test_practice.c */
CW_API cw_status cw_work_sweep_usual(cw_work *work, cw_sweep_kind kind, cw_work_sweep *sweep, cw_error *error);

/** What remains of the pull from the best that the magnet can do down to the job as it is, one change after the other,
 *  each computed by the field. */
typedef struct cw_holding_step {
    char what[120];             /* "the plate 10 mm thick" */
    double force_n;             /* after it */
    double share;               /* of what was there before it; 1 for the first */
    double usual_low, usual_high; /* the share that a published figure or a hand rule gives; NAN none */
    cw_basis_trust trust;       /* of the usual one */
    char basis[160];            /* where that is from */
} cw_holding_step;

enum { CW_HOLDING_STEPS_MOST = 8 };

typedef struct cw_work_holding {
    cw_holding_step step[CW_HOLDING_STEPS_MOST]; /* the first is the best, the last the job, warm */
    size_t step_count;
    double plate_least_m;       /* thickness that carries the pole's flux at the plate's saturation; NAN no plate */
    double covered[2];          /* share of pole and rim (left and right pole) that lies under the plate; by its width,
                                   its place and the job's cover; NAN no plate */
    double face_force_n[2];     /* warm, at the greatest and the least gap of such faces; NAN state not said */
    double residual_n[2];       /* pull that stays after switch-off, least and most; NAN of no iron is it known */
    char residual_trust;        /* 'S' or 'M', as in coilwright/field.h */
    char residual_without[32];  /* an iron part taken as if it held on to nothing, since it is not known; "" none */
    double slide_n[2];          /* what friction holds along the face, warm: 0.15 and 0.2 of the pull (a maker's note) */
} cw_work_holding;

/** The same in sentences for a person at the bench. */
CW_API void cw_work_holding_text(const cw_work_field_study *study, const cw_work_holding *holding, cw_unit_system units,
                                 cw_text *text);

/** CW_BAD_INPUT as in cw_work_field. Test: tests/work/test_practice.c */
CW_API cw_status cw_work_pull_left(cw_work *work, const cw_work_holding **holding, cw_error *error);

/** Original and new winding in the same magnet at the same supply, hot. Of one coil; a pull is the magnet's. */
typedef struct cw_rewind_side {
    double turns, resistance_20c_ohm, winding_c, resistance_hot_ohm, current_a, power_w, ampere_turns, force_n;
    double open_force_n;        /* at the open gap; NAN none is given */
    double inductance_h, time_constant_s; /* closed: flux linkage over current, and that over the resistance */
} cw_rewind_side;

typedef struct cw_work_rewind {
    cw_rewind_side original;    /* at the medians of what it was */
    cw_rewind_side rewound;
    double turns_low, turns_high; /* nine times in ten, of the original */
    double ohm_low, ohm_high;
} cw_work_rewind;

/** The original's temperature follows from its watts, the rise in proportion to the new winding's; its coil lies where the
 *  new one does.
 *  CW_BAD_INPUT as in cw_work_field, and where turns or resistance of the original are not known.
 *  Test: tests/work/test_practice.c */
CW_API cw_status cw_work_rewound(cw_work *work, const cw_work_rewind **rewind, cw_error *error);

/** The study to read; the document for --json is in work/magnet_json.h.
 *  sweeps  shape [sweep_count], empty ones welcome; holding, rewind may be NULL */
CW_API void cw_work_field_text(const cw_work_field_study *study, const cw_work_sweep *sweeps, size_t sweep_count,
                               const cw_work_holding *holding, const cw_work_rewind *rewind, cw_unit_system units,
                               cw_text *text);

/** The acceptance tests with their limits, and what the job's readings say. Without a laid winding resistance and turns
 *  have no limits; without a magnet's dimensions the pull is held against what is asked for alone.
 *  CW_BAD_INPUT where a reading is none that its test takes. Test: tests/work/test_proof.c */
CW_API cw_status cw_work_prove(cw_work *work, const cw_proof **proof, cw_error *error);

/** Whether the magnet holds the job's load: by the pull measured, else as computed at its own gap and plate, less what a
 *  warm winding and a low supply take.
 *  hold  receives NULL where the job has no load; the text for a terminal is cw_hold_write
 *  CW_BAD_INPUT  no pull was measured and none can be computed. Test: tests/work/test_proof.c */
CW_API cw_status cw_work_hold(cw_work *work, const cw_hold **hold, cw_error *error);

/** The job's coils switched on and off, all of the circuit as one. */
typedef struct cw_work_switch_study {
    cw_switch_study study;
    bool by_field;              /* else by the inductance in air, without pull */
    double cold_ohm, hot_ohm;   /* of the whole circuit */
    double winding_c;           /* at hot_ohm, an estimate */
    double open_gap_m, closed_gap_m; /* 0 in air */
    double pull_needed_n;       /* NAN not given */
    char remark[900];           /* what the figures stand on; "" nothing to say */
} cw_work_switch_study;

/** A diode; on ac a varistor. */
CW_API cw_suppressor_kind cw_work_usual_suppressor(const cw_work *work);

/** Switch-on cold and warm, and switch-off with that suppressor beside all others. The last study is kept until another
 *  suppressor is asked for.
 *  CW_BAD_INPUT where nothing can be laid, the supply is missing, or the suppressor would burn on it.
 *  Test: tests/work/test_switch.c */
CW_API cw_status cw_work_switch(cw_work *work, cw_suppressor_kind suppressor, const cw_work_switch_study **study,
                                cw_error *error);

/** The study to read; the document for --json is in work/switch_json.h. */
CW_API void cw_work_switch_text(const cw_work_switch_study *study, cw_unit_system units, cw_text *text);

/** How warm the laid coil becomes, by finite elements. Powers and resistances are those of one whole coil. */
typedef struct cw_work_heat_study {
    cw_heat_section section;    /* what was solved: of a straight magnet only the length of its iron, of a U both coils */
    double share;               /* of one coil's resistance that lies in it */
    bool in_iron;               /* else in free air */
    double thermal_class_c;     /* the lower of wire's and resin's; NAN neither known */
    cw_heat_result steady;      /* always on, with its doubt */
    cw_heat_run warm_up;        /* always on, from cold */
    bool intermittent;
    cw_heat_run duty;           /* by the supply's duty, where it is intermittent */
    double duty_doubt_k;        /* half-width, 95 %, of its hot spot: that of always on in proportion to the rise */
    double cold_current_a;      /* at 20 °C; on ac with the armature open */
    double held_hot_spot_c;     /* always on, where that current is held however warm the coil; INFINITY: it runs away */
    double iron_peak_t, iron_loss_w; /* ac: flux density by the volts on a turn, loss of sheets in the section; else 0 */
    bool by_run;                /* the section has been fitted to the job's heat run */
    cw_heat_fit fit;
    cw_heat_result unfitted;    /* always on, as it was expected before the run, with its doubt */
    cw_heat *map;               /* as solved, at the end of the on-time where it is intermittent: for a figure */
    char remark[900];           /* what the figures stand on */
} cw_work_heat_study;

/** On ac the coil carries the current of its closed armature, by the switching, and its iron's sheets lose what their
 *  flux density asks for.
 *  CW_BAD_INPUT where nothing can be laid, or the supply is missing. Test: tests/work/test_heat.c */
CW_API cw_status cw_work_heat(cw_work *work, const cw_work_heat_study **study, cw_error *error);

/** Greatest temperature of the winding by its duty, its half-width of 95 %, and the surface's that a hand may touch. */
CW_API double cw_work_hot_spot_c(const cw_work_heat_study *study);
CW_API double cw_work_hot_spot_doubt_k(const cw_work_heat_study *study);
CW_API double cw_work_surface_c(const cw_work_heat_study *study);

/** Each part by the duty, shape [*count]; parts of one name are given once, the hottest. Nothing too hot: true. */
CW_API size_t cw_work_heat_parts(const cw_work_heat_study *study, cw_heat_part_result part[CW_MOST_HEAT_PARTS]);
CW_API bool cw_work_stays_cool(const cw_work_heat_study *study);

/** Sentences for whom it may hurt, and what the insulation must be; to stand under figures and on paper. */
enum { CW_MOST_CAUTIONS = 6 };
typedef struct cw_cautions {
    char text[CW_MOST_CAUTIONS][320];
    size_t count;
} cw_cautions;

CW_API void cw_work_heat_cautions(const cw_work_heat_study *study, cw_unit_system units, cw_cautions *cautions);
CW_API void cw_work_heat_insulation(const cw_work_heat_study *study, cw_unit_system units, cw_cautions *sentences);
CW_API void cw_work_switch_cautions(const cw_work_switch_study *study, cw_unit_system units, cw_cautions *cautions);

/** The study to read; the document for --json is in work/heat_document.h. */
CW_API void cw_work_heat_text(const cw_work_heat_study *study, cw_unit_system units, cw_text *text);

/** The job's former, and the arbor to wind it on. */
typedef struct cw_work_former_study {
    cw_former finished;         /* as it must measure when it is made */
    cw_former asked;            /* as it must be asked for; the same where nothing is compensated */
    bool compensated;
    bool has_arbor;
    cw_arbor arbor;
    cw_error no_arbor;          /* why not */
} cw_work_former_study;

/** CW_BAD_INPUT where the job has no window or no former, or the former cannot be right: what to change.
 *  Test: tests/work/test_former.c */
CW_API cw_status cw_work_former(cw_work *work, const cw_work_former_study **study, cw_error *error);

/** The study to read; the documents for --json are in former/former_json.h. */
CW_API void cw_work_former_text(const cw_work_former_study *study, cw_unit_system units, cw_text *text);

/** Starts on the solids, where there is a former, and comes back; what goes wrong is said by cw_work_solids. */
CW_API void cw_work_solids_begin(cw_work *work);

/** Former and arbor as solids. CW_BAD_INPUT as cw_work_former; CW_FAILED where the helper for solids is not there or
 *  fails. */
CW_API cw_status cw_work_solids(cw_work *work, const cw_solids **solids, cw_error *error);

/** What the figures of a study are made of, to be drawn into a box of any paper; they lend from the study. The map wants
 *  study->map, which is NULL where the coil runs away. */
CW_API cw_heat_map_figure cw_work_heat_map(const cw_work_heat_study *study, cw_unit_system units);
CW_API cw_duty_figure cw_work_duty(const cw_work_heat_study *study, cw_unit_system units);
CW_API cw_switch_figure cw_work_switch_curves(const cw_work_switch_study *study, cw_unit_system units);
/** What drawings take from the job: its units, what they are for; paper and projection as usual with these units. The
 *  texts are lent by the job; the date is left out. */
CW_API void cw_work_drawing_setting(cw_work *work, cw_drafting_setting *setting);

/** Workshop drawings of former and arbor, for the caller to destroy. CW_BAD_INPUT as cw_work_former.
 *  arbor  receives NULL where no arbor goes with the former */
CW_API cw_status cw_work_drawings(cw_work *work, const cw_drafting_setting *setting, cw_drafting **former,
                                  cw_drafting **arbor, cw_error *error);

/** A figure of the job as a file of its own. */
typedef enum cw_figure {
    CW_FIGURE_CANDIDATES,
    CW_FIGURE_READINGS,
    CW_FIGURE_SECTION,
    CW_FIGURE_FLUX,
    CW_FIGURE_PULL,     /* over the air gap */
    CW_FIGURE_PLATE,    /* pull over the thickness of the plate */
    CW_FIGURE_LAID,     /* the program as replayed, every turn where it comes to lie */
    CW_FIGURE_TRAVERSE, /* and the guide against turns */
    CW_FIGURE_HEAT_MAP,
    CW_FIGURE_DUTY,
    CW_FIGURE_SWITCH_ON,
    CW_FIGURE_SWITCH_OFF,
    CW_FIGURE_SUPPRESSORS, /* a table */
    CW_FIGURE_OPTIONS      /* what can be wound instead */
} cw_figure;
CW_API cw_status cw_work_figure(cw_work *work, cw_figure figure, cw_format format, cw_text *out, cw_error *error);

/** A summary in some twenty lines: what it was, what to wind, what the program does, what to check, what is missing. */
CW_API void cw_work_summary(cw_work *work, cw_text *text);

/* ---- into the book --------------------------------------------------------------------------------------------- */

/** What the job is found by: its window, the resistance that was read, and the winding where one can be laid. */
CW_API void cw_work_book_keys(cw_work *work, cw_book_keys *keys);

/** Enters the job into the book together with the documents of all stages that it gives enough for, all or nothing.
 *
 *  entry       as in cw_book_job_add; `keys` is filled in here. Of a job that is there only yaml and time_s are taken
 *  on_version  as in cw_book_job_save
 *  job         0 for a new one; receives its number
 *  version     receives the version's number */
CW_API cw_status cw_work_enter(cw_work *work, cw_book *book, const cw_book_entry *entry, bool with_results,
                               int on_version, cw_book_id *job, int *version, cw_error *error);

typedef struct cw_work_signing {
    int version;                   /* that `work` was opened from */
    const char *who, *note;        /* as in cw_book_signing */
    long long time_s;
} cw_work_signing;

/** Signs the job's proof as it stands: see cw_book_sign. */
CW_API cw_status cw_work_sign(cw_work *work, cw_book *book, cw_book_id job, const cw_work_signing *signing,
                              cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
