/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job file and what it says, as plain structures.
 *
 * Knows: the schema of the job file (YAML 1.2, `coilwright: 1`), one table that reader, writer and template share
 * (src/job/schema.c). Needs: quantity, wire, winding, evidence, choose, nc, former, proof, mesh's outlines. Refuses to
 * know: what the stages make of it. A section that is there is complete and sound by itself; whether a stage has all it needs, the
 * stage says.
 *
 * Numbers that were not given are NAN, counts 0, names NULL; `given` flags say whether a section was there at all. */
#ifndef COILWRIGHT_JOB_H
#define COILWRIGHT_JOB_H

#include "coilwright/base.h"
#include "coilwright/choose.h"
#include "coilwright/evidence.h"
#include "coilwright/former.h"
#include "coilwright/mesh.h"
#include "coilwright/nc.h"
#include "coilwright/proof.h"
#include "coilwright/quantity.h"
#include "coilwright/winding.h"
#include "coilwright/wire.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The former and its arbor as far as the job says; window, core, heat and wire are put in by whoever designs it. */
typedef struct cw_job_former {
    bool given;
    char *material;
    cw_former_plan plan;           /* `making` and `finish` -1 where not given */
    cw_arbor_plan arbor;
    char *leads;                   /* in words: where they come out */
    double class_c;
    int sections;                  /* chambers beside each other; 0 not given */
    double partition_m;            /* between two of them */
    cw_place at;                   /* of the section */
} cw_job_former;

/** Sheets, room kept free, and what they stand. */
typedef struct cw_job_insulation {
    bool given;
    double sheet_m;                /* between layers */
    int every;                     /* layers from sheet to sheet; 0 not given */
    double margin_start_m, margin_end_m, sleeve_m, wrap_m; /* as in cw_lay_plan */
    double class_c, lead_class_c;  /* of sheets and wrap; of leads and their sleeve */
} cw_job_insulation;

typedef struct cw_job_potting {
    bool given;
    char *resin;
    double class_c;
} cw_job_potting;

/** A named quantity or word of an open section, in the order of the file. The dimensions of a magnet are such, since
 *  they differ from shape to shape: "shape", "iron", "gap", "plate.thickness", "core_diameter" ... */
typedef struct cw_job_entry {
    char *name;
    char *word;                    /* NULL where it is a quantity */
    cw_kind kind;                  /* by its unit */
    double value, doubt;           /* SI; the doubt 0 where none was given */
    cw_place at;
} cw_job_entry;

/** By which rules the finished coil is proved. */
typedef struct cw_job_acceptance {
    bool given;
    cw_proof_service service;
    cw_proof_practice practice;
    cw_rise_rule rise;
    double release_s;              /* within which it must let go; NAN not asked for */
    unsigned left_out;             /* bit of each cw_proof_kind that is not done */
} cw_job_acceptance;

/** What the magnet has to hold. */
typedef struct cw_job_load {
    bool given;
    cw_load what;                  /* pull_n NAN where it is to be computed */
    cw_place at;
} cw_job_load;

/** One region of a magnet's section, where the magnet is of the shape `section`. */
typedef struct cw_job_region {
    char *name;
    char *material;                /* an iron's name, "coil" or "air" */
    cw_contour_point *outline;     /* shape [outline_count] */
    size_t outline_count;
    double turns;                  /* of a coil's side; NAN: as wound */
    bool out;                      /* the current comes out of the page; else it goes in */
    int coil;                      /* which of the circuit's, from 1 */
    bool moves;
    cw_place at;
} cw_job_region;

/** One acceptance test as taken. */
typedef struct cw_job_test {
    char *test;                    /* "winding-resistance" */
    cw_kind kind;                  /* by the unit of the value */
    char *word;                    /* "pass", "fail" or "over-range" in place of the value; else NULL */
    double value, doubt;           /* SI; the doubt 0 where none was given */
    double at_c;
    int coil;                      /* of several, from 1; 0 not said */
    double current_a, voltage_v, time_s, ambient_c, lead_ohm;
    double reversed_h;             /* polarity: inductance of both with one of them reversed */
    double later_ohm;              /* insulation resistance after ten minutes */
    double gap_m, plate_m;         /* pull: where it was pulled, and from how thick a plate; NAN as the magnet has it */
    bool dc, broke_down;           /* high potential */
    cw_place at;
} cw_job_test;

/** One moment of a heat run from cold, always on. */
typedef struct cw_job_heat_reading {
    double time_s;                 /* since it was switched on */
    double resistance_ohm, doubt_ohm; /* of one coil; the doubt 0 where none was given */
    double ambient_c;
    double voltage_v;              /* across the coil; NAN not given */
    cw_place at;
} cw_job_heat_reading;

typedef struct cw_job {
    char *file;                    /* as the caller named it, or NULL; places point at it */
    char *name, *machine_name, *note; /* job: {name, machine, note} */
    cw_unit_system units;          /* in which the user writes: by the job's `units`, else by most of its lengths */
    bool units_given;
    cw_supply supply;
    cw_circuit circuit;
    bool window_given;
    cw_window window;
    cw_reading *readings;
    size_t reading_count;
    bool seen_given;
    cw_seen seen;                  /* what the eye knows of the old wire */
    cw_wanted wanted;
    cw_spool *stock;
    size_t stock_count;
    cw_job_former former;
    cw_job_insulation insulation;
    cw_machine machine;            /* as given; cw_machine_defaults fills in the rest */
    bool magnet_given;
    cw_job_entry *magnet;
    size_t magnet_count;
    cw_job_region *section;
    size_t section_count;
    cw_job_potting potting;
    cw_job_load load;
    cw_job_acceptance acceptance;
    cw_job_test *proof;
    size_t proof_count;
    cw_job_heat_reading *heat_run;
    size_t heat_run_count;
} cw_job;

/** Reads and checks a job text.
 *
 *  text     the whole file, `length` bytes; at most CW_JOB_LARGEST
 *  name     for messages; may be NULL
 *  errors   every mistake found, in the order of the file; may be NULL. On CW_BAD_INPUT it has at least one
 *  job      receives a job where the status is CW_OK, else NULL
 *
 *  Test: tests/job/test_read.c, and tests/job/bad/NAME.yaml with what must be said of it in NAME.error */
CW_API cw_status cw_job_read(const char *text, size_t length, const char *name, const cw_wire_catalogue *catalogue,
                             cw_job **job, cw_errors *errors);
CW_API void cw_job_destroy(cw_job **job);

/** The same with values that overrule those of the text, each written "section.key=value", as in
 *  "supply.voltage=24 V"; the section may be left out where it is `wanted` or the only one that has such a key:
 *  "turns=2100". Lists of things (readings, stock, proof) are not reached. Mistakes are placed in CW_JOB_SET.
 *  sets  [count]; a later one overrules an earlier one. Test: tests/job/test_set.c */
CW_API cw_status cw_job_read_set(const char *text, size_t length, const char *name, const char *const *sets,
                                 size_t count, const cw_wire_catalogue *catalogue, cw_job **job, cw_errors *errors);

#define CW_JOB_SET "set" /* the file that a value set from outside is said to stand in */

#define CW_JOB_LARGEST (1024 * 1024) /* bytes; a job is a page or two */

/** Entry of that name in the magnet's section, or NULL. Lent. */
CW_API const cw_job_entry *cw_job_magnet_entry(const cw_job *job, const char *name);

/** A key that a magnet's section may have. */
typedef enum cw_job_key_type { CW_KEY_LENGTH, CW_KEY_FORCE, CW_KEY_WORD, CW_KEY_IRON, CW_KEY_YES_NO, CW_KEY_FACE, CW_KEY_SHARE }
    cw_job_key_type;

typedef struct cw_job_magnet_key {
    const char *name;              /* "pole_diameter", "plate.thickness" */
    unsigned shapes;               /* that have it, see cw_job_magnet_shape */
    cw_job_key_type type;
    bool needed;                   /* by the field */
    const char *metric, *inch;     /* examples; inch NULL: the same */
    const char *about;
} cw_job_magnet_key;

/** All of them, in the order in which a person is asked. Lent for good. */
CW_API const cw_job_magnet_key *cw_job_magnet_keys(size_t *count);

/** Bit of the shape of that name; 0 for "section", whose keys are free, and for what is none. */
CW_API unsigned cw_job_magnet_shape(const char *word);

/** Writes a job as a job file that reads back to the same job, to the last bit of every number; places aside. */
CW_API cw_status cw_job_write(const cw_job *job, cw_text *text, cw_error *error);

/** A commented job file to fill in, for `new`. What must be filled in stands empty, and reading it says so; the rest is
 *  commented out.
 *
 *  kind  "pot", "plunger", "u", "e", "bobbin" (a coil without a magnet) */
CW_API cw_status cw_job_template(const char *kind, cw_unit_system units, cw_text *text, cw_error *error);

/* ---- changes in a job's text that leave everything else in it as it stands ------------------------------------- */

/** Adds an item to the end of a list, made where it is missing. The job need not be complete, only YAML.
 *
 *  text     the file, `length` bytes; `file` its name for messages, may be NULL
 *  section  "readings" or "proof"
 *  item     on one line, in braces: "{kind: turns, value: 1850}"; it must be sound by itself
 *  remark   put behind it as a comment, or NULL; a list in brackets has no room for one
 *  changed  receives the new text; cleared first, and empty on failure
 *  CW_BAD_INPUT  the item is none; the file is laid out in a way that cannot be added to (with what to put in by hand)
 *
 *  Test: tests/job/test_edit.c */
CW_API cw_status cw_job_text_add(const char *text, size_t length, const char *file, const cw_wire_catalogue *catalogue,
                                 const char *section, const char *item, const char *remark, cw_text *changed,
                                 cw_error *error);

/** Takes out the item whose remark begins with `mark` and is the last of those in the order of letters (so of times
 *  written year first: the latest), wherever it stands by now.
 *  line  receives it as it stood */
CW_API cw_status cw_job_text_take_back(const char *text, size_t length, const char *file, const char *mark,
                                       cw_text *changed, cw_text *line, cw_error *error);

/** The text of another job that starts from this one: without the readings of its proof, and with another name and
 *  machine where they are not NULL. */
CW_API cw_status cw_job_text_again(const char *text, size_t length, const char *file, const char *name,
                                   const char *machine, cw_text *changed, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
