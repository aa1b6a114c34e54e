/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From readings on a dead coil to what its winding was, and how sure that is. Filled in below this commit's types. */
#ifndef COILWRIGHT_EVIDENCE_H
#define COILWRIGHT_EVIDENCE_H

#include "coilwright/base.h"
#include "coilwright/wire.h"
#include "coilwright/winding.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_reading_kind {
    CW_COIL_RESISTANCE,
    CW_SAMPLE_RESISTANCE,
    CW_WIRE_MASS,
    CW_SAMPLE_MASS,
    CW_OVERALL_DIAMETER,
    CW_BARE_DIAMETER,
    CW_TURNS,
    CW_TURNS_PER_LAYER,
    CW_LAYERS,
    CW_WINDING_DEPTH,
    CW_RATED_POWER,
    CW_RATED_CURRENT,
    CW_COIL_INDUCTANCE,
    CW_CENTRE_FIELD,
    CW_TURNS_PER_VOLT,
    CW_READING_KIND_COUNT
} cw_reading_kind;

/** Whose reading: the dead coil, a sound coil of the same kind, a piece of the wire. */
typedef enum cw_subject { CW_OF_THIS, CW_OF_SIBLING, CW_OF_SAMPLE } cw_subject;

/** One reading as taken. NAN where a field was not given. */
typedef struct cw_reading {
    cw_reading_kind kind;
    cw_subject subject;
    double value;          /* SI */
    double doubt;          /* half-width that holds 95 %, SI; 0: the usual doubt of its kind */
    double at_c;           /* temperature of the wire when it was read; NAN: room, 20 °C and doubtful */
    double length_m;       /* sample readings: length of the piece */
    double current_a;      /* centre field: through the coil */
    double frequency_hz;   /* inductance */
    cw_place at;           /* where it stands in the job file */
} cw_reading;

CW_API const char *cw_reading_kind_name(cw_reading_kind kind); /* "coil-resistance" */

#ifdef __cplusplus
}
#endif
#endif
