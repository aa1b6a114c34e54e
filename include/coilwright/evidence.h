/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From readings on a dead coil to what its winding was, how sure that is, which reading lies and what to measure next.
 *
 * Knows: how each kind of reading comes about and where its error comes from; what windings there may be. Needs: base,
 * wire, winding, and the air-coil formulae of field. Refuses to know: what to wind instead.
 *
 * The method, in full in docs/identify.md:
 *
 *     unknown      size, build, material, strands in hand, kind of lay (enumerated), filling of the window phi
 *                  (integrated on a grid of x = ln phi), and seven small deviations u (wire tolerance, resistivity,
 *                  thickness of the cover, window's inner size and length, axial and radial closeness of the turns)
 *     given x      every reading's logarithm is linear in u, so that the likelihood is an exact Gaussian:
 *                      y = a(candidate) + g(x) + J u + e,   u ~ N(0, 1),   e ~ N(0, D)
 *     blunders     each reading may be a blunder (wrong unit, wrong coil, resin on the wire) with a small prior
 *                  probability, and then carries no information; sets of up to two blunders are enumerated
 *     answer       probabilities by Bayes' rule; intervals from the mixture of Gaussians over (x, set of blunders)
 *
 * Everything is enumerated or integrated on a fixed grid: the same job gives the same bytes. */
#ifndef COILWRIGHT_EVIDENCE_H
#define COILWRIGHT_EVIDENCE_H

#include "coilwright/base.h"
#include "coilwright/wire.h"
#include "coilwright/winding.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_reading_kind {
    CW_COIL_RESISTANCE,       /* ohm; of this coil or a sound sibling; INFINITY for an open coil */
    CW_SAMPLE_RESISTANCE,     /* ohm of length_m of one strand */
    CW_WIRE_MASS,             /* kg of all the wire, covering on */
    CW_SAMPLE_MASS,           /* kg of length_m of one strand, covering on */
    CW_OVERALL_DIAMETER,      /* m over the covering */
    CW_BARE_DIAMETER,         /* m */
    CW_TURNS,
    CW_TURNS_PER_LAYER,
    CW_LAYERS,
    CW_WINDING_DEPTH,         /* m, of the wire alone */
    CW_RATED_POWER,           /* W of one coil at its share of the supply */
    CW_RATED_CURRENT,         /* A, likewise */
    CW_COIL_INDUCTANCE,       /* H with the core out */
    CW_CENTRE_FIELD,          /* T in the middle of the empty coil at current_a */
    CW_CORE_SECTION,          /* m2 of iron, for coils on ac: turns per volt from the usual flux density */
    CW_INSULATION_RESISTANCE, /* ohm from winding to core; tells a fault, not a winding */
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
    double at_c;           /* temperature of the wire when it was read; NAN: not noted */
    double length_m;       /* sample readings: length of the piece */
    double current_a;      /* centre field: through the coil */
    double frequency_hz;   /* inductance */
    cw_place at;           /* where it stands in the job file */
} cw_reading;

/** What the eye already knows: bits of these sets, 0 where nothing is known. Bit n stands for enumerator n. */
typedef struct cw_seen {
    unsigned builds;       /* 1u << CW_HEAVY ... */
    unsigned materials;
    unsigned systems;
    unsigned in_hand;      /* 1u << strands */
    unsigned lays;
    int lean;              /* the system the machine's maker most likely bought in, or -1 */
} cw_seen;

typedef struct cw_evidence {
    const cw_window *window;     /* NULL: not measured; then length and mass can be told, turns cannot */
    const cw_reading *readings;
    size_t reading_count;
    cw_seen seen;
    double coil_voltage_v;       /* across one coil at the rated supply; NAN unknown */
    double supply_frequency_hz;  /* of an ac coil; NAN otherwise */
} cw_evidence;

/** Quantiles of a doubtful number. */
typedef struct cw_interval {
    double p05, p50, p95;
} cw_interval;

typedef struct cw_candidate {
    cw_wire wire;
    int in_hand;
    double probability;
    cw_interval turns, length_m, resistance_20c_ohm, mass_kg; /* given that it is this one */
} cw_candidate;

/** One reading against what all the others say. */
typedef struct cw_reading_check {
    size_t index;              /* in the evidence's readings */
    cw_reading_kind kind;
    bool used;                 /* false: it cannot be used here, and `text` says why */
    double value;              /* as read, SI */
    double expected;           /* what the others expect it to read */
    double expected_low, expected_high; /* 90 % of what a sound reading would give */
    double z;                  /* leave-one-out; 0 where the others expect nothing */
    double blunder;            /* probability that it is one */
    double doubt;              /* half-width used, SI */
    char text[320];            /* a sentence where the reading is doubtful or unused, else "" */
} cw_reading_check;

typedef enum cw_fault_kind {
    CW_FAULT_OPEN, CW_FAULT_SHORTED_TURNS, CW_FAULT_EARTH, CW_FAULT_BAD_JOINT, CW_FAULT_WRONG_TEMPERATURE,
    CW_FAULT_ALUMINIUM, CW_FAULT_KIND_COUNT
} cw_fault_kind;

typedef struct cw_fault {
    cw_fault_kind kind;
    double probability;
    double share;              /* shorted turns: share of the turns; else NAN */
    char text[400];            /* what and how sure, and what would confirm it */
} cw_fault;

typedef struct cw_next_reading {
    cw_reading_kind kind;
    double bits;               /* expected information about which conductor it is: size, material, strands */
    double rewinding_bits;     /* about turns and resistance, which matter for the rewind */
    char text[320];
} cw_next_reading;

typedef struct cw_identification {
    cw_candidate *candidates;  /* most probable first; those that make up 99.9 %, 40 at most. Owned */
    size_t candidate_count;
    double candidate_share;    /* probability that the list holds together */
    cw_interval turns, length_m, resistance_20c_ohm, mass_kg; /* over all candidates; turns NAN without a window */
    double lay_probability[CW_LAY_COUNT];
    cw_reading_check *readings; /* [reading_count], in the evidence's order. Owned */
    size_t reading_count;
    cw_fault faults[CW_FAULT_KIND_COUNT];
    size_t fault_count;
    cw_next_reading next[CW_READING_KIND_COUNT]; /* best first */
    size_t next_count;
    bool tied;                 /* the evidence cannot tell the first candidates apart */
    char summary[400];         /* the answer in one or two sentences */
} cw_identification;

/** Weighs all readings.
 *
 *  CW_BAD_INPUT  no reading that tells of the wire or the winding, more than CW_READINGS_MOST, or everything that was
 *                seen excludes every wire; with what to add or drop
 *  identification  receives a new one; cw_identification_destroy
 *
 *  Cost: linear in the candidates; about 5 ms for six readings. Calibration: docs/identify.md, tests/evidence/ */
CW_API cw_status cw_identify(const cw_evidence *evidence, const cw_wire_catalogue *catalogue,
                             cw_identification **identification, cw_error *error);
CW_API void cw_identification_destroy(cw_identification **identification);

#define CW_READINGS_MOST 24

/** The usual half-width (95 %) of such a reading where none was written, SI. Its makings stand in readings.c. */
CW_API double cw_reading_usual_doubt(const cw_reading *reading);

/** "29 AWG heavy copper", "0.280 mm grade 2 copper, two in hand". */
CW_API void cw_candidate_name(const cw_candidate *candidate, char *out, size_t size);

CW_API const char *cw_reading_kind_name(cw_reading_kind kind);       /* "coil-resistance", as in job files */
CW_API const char *cw_reading_kind_words(cw_reading_kind kind);      /* "coil resistance", in sentences */
CW_API const char *cw_fault_kind_name(cw_fault_kind kind);           /* "shorted-turns" */

#ifdef __cplusplus
}
#endif
#endif
