/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job file and what it says, as plain structures.
 *
 * Knows: the schema of the job file (YAML 1.2, `coilwright: 1`). Needs: quantity, wire, winding, evidence, choose, nc. Refuses to
 * know: what the stages make of it.
 *
 * Numbers that were not given are NAN, counts 0, names NULL; `given` flags say whether a section was there at all. */
#ifndef COILWRIGHT_JOB_H
#define COILWRIGHT_JOB_H

#include "coilwright/base.h"
#include "coilwright/choose.h"
#include "coilwright/evidence.h"
#include "coilwright/nc.h"
#include "coilwright/quantity.h"
#include "coilwright/winding.h"
#include "coilwright/wire.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct cw_job_former {
    bool given;
    char *material;
    double wall_m, flange_m, clearance_m;
} cw_job_former;

typedef struct cw_job {
    char *file;                    /* as the caller named it; places point at it */
    char *name, *machine_name, *note; /* job: {name, machine, note} */
    cw_supply supply;
    cw_circuit circuit;
    bool window_given;
    cw_window window;
    cw_reading *readings;
    size_t reading_count;
    cw_wanted wanted;
    cw_spool *stock;
    size_t stock_count;
    cw_job_former former;
    cw_machine machine;
    struct { bool given; char *resin; double class_c; } potting;
    cw_unit_system units;          /* in which the user writes: by the job's `units`, else by most of its lengths */
    struct cw_tree *rest;          /* sections that later stages read: magnet, proof; NULL where none */
} cw_job;

/** Reads and checks a job text.
 *
 *  text     the whole file, `length` bytes; at most CW_JOB_LARGEST
 *  name     for messages; may be NULL
 *  errors   every mistake found, in the order of the file; may be NULL. On CW_BAD_INPUT it has at least one
 *  job      receives a job where the status is CW_OK, else NULL */
CW_API cw_status cw_job_read(const char *text, size_t length, const char *name, const cw_wire_catalogue *catalogue,
                             cw_job **job, cw_errors *errors);
CW_API void cw_job_destroy(cw_job **job);

#define CW_JOB_LARGEST (1024 * 1024) /* bytes; a job is a page or two */

/** Writes a job as a job file that reads back to the same job. */
CW_API cw_status cw_job_write(const cw_job *job, cw_text *text, cw_error *error);

/** A commented job file to fill in, for `new`.
 *  kind  "pot", "plunger", "u", "e", "bobbin" */
CW_API cw_status cw_job_template(const char *kind, cw_unit_system units, cw_text *text, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
