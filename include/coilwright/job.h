/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job file and what it says, as plain structures.
 *
 * Knows: the schema of the job file (YAML 1.2, `coilwright: 1`), one table that reader, writer and template share
 * (src/job/schema.c). Needs: quantity, wire, winding, evidence, choose, nc, former, mesh's outlines. Refuses to know: what the
 * stages make of it. A section that is there is complete and sound by itself; whether a stage has all it needs, the stage
 * says.
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
    cw_place at;                   /* of the section */
} cw_job_former;

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
    cw_machine machine;            /* as given; cw_machine_defaults fills in the rest */
    bool magnet_given;
    cw_job_entry *magnet;
    size_t magnet_count;
    cw_job_region *section;
    size_t section_count;
    cw_job_potting potting;
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

#ifdef __cplusplus
}
#endif
#endif
