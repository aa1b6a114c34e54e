/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Switching a coil on and off: current, pull and voltage over time.
 *
 * Knows: a coil whose flux linkage bends with current and gap, supplies, rectifiers, and what is put across a coil to
 * take its energy. Needs: base, quantity. Refuses to know: where flux linkage comes from, what a coil is wound of, temperature
 * (the caller hands in the resistance cold and hot). Method, equations, limits: docs/switching.md.
 *
 *                 i                         The state is the flux linkage, since it cannot jump and its rate is the
 *      ┌──o/o──┬──>──┬────────┐             coil's own voltage:
 *      │       │     │ R      │
 *    source    │    coil     part               d(linkage)/dt = v - R i(linkage)
 *      │       │     │        │
 *      └───────┴─────┴────────┘             with v from the source while closed, from the part once open. */
#ifndef COILWRIGHT_CIRCUIT_H
#define COILWRIGHT_CIRCUIT_H

#include "coilwright/base.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- the coil ------------------------------------------------------------------------------------------------- */

/** Flux linkage, and pull where known, over current at some gaps. Lent. */
typedef struct cw_flux_table {
    size_t gap_count, current_count;
    const double *gap_m;           /* shape [gap_count], rising; one is enough */
    const double *current_a;       /* shape [current_count], rising from 0 */
    const double *flux_linkage_wb; /* shape [gap_count][current_count], 0 at no current, rising */
    const double *force_n;         /* same shape, not falling with current; NULL where unknown */
} cw_flux_table;

/** A coil at one gap. Constant once made. */
typedef struct cw_circuit_coil cw_circuit_coil;

/** The coil of a table at a gap within it. Between gaps and between currents by monotone cubics, so that more current
 *  is never less flux; beyond the last current with its last slope.
 *  CW_BAD_INPUT  a table that does not rise, a gap outside it: with the place */
CW_API cw_status cw_circuit_coil_create(const cw_flux_table *table, double gap_m, cw_circuit_coil **coil,
                                        cw_error *error);

/** A coil of constant inductance; no pull. */
CW_API cw_status cw_circuit_coil_linear(double inductance_h, cw_circuit_coil **coil, cw_error *error);
CW_API void cw_circuit_coil_destroy(cw_circuit_coil **coil);

/** Odd in flux linkage or current; pull is even, NAN where unknown. Stored energy is int i d(linkage). */
CW_API double cw_circuit_current_a(const cw_circuit_coil *coil, double flux_linkage_wb);
CW_API double cw_circuit_flux_linkage_wb(const cw_circuit_coil *coil, double current_a);
CW_API double cw_circuit_stored_j(const cw_circuit_coil *coil, double flux_linkage_wb);
CW_API double cw_circuit_force_n(const cw_circuit_coil *coil, double current_a);

/** Least current that pulls with force_n; INFINITY where the table never reaches it, NAN where it has no pull. */
CW_API double cw_circuit_current_of_force_a(const cw_circuit_coil *coil, double force_n);

/* ---- the source ----------------------------------------------------------------------------------------------- */

typedef enum cw_source_kind {
    CW_SOURCE_DC,
    CW_SOURCE_FULL_WAVE,           /* a bridge, which lets the coil's current run on by itself */
    CW_SOURCE_FULL_WAVE_FREEWHEEL, /* with one more diode across the coil */
    CW_SOURCE_HALF_WAVE,           /* one diode, nothing across the coil: the current dies in each cycle */
    CW_SOURCE_HALF_WAVE_FREEWHEEL,
    CW_SOURCE_AC,
    CW_SOURCE_COUNT
} cw_source_kind;

typedef struct cw_source {
    cw_source_kind kind;
    double voltage_v;      /* dc; else rms before the rectifier */
    double frequency_hz;   /* not for dc */
    double phase_degree;   /* of the alternating voltage at switch-on; 0: rising through zero, the worst for inrush */
    double diode_drop_v;   /* of one rectifier diode; 0 ideal, 0.9 usual */
} cw_source;

CW_API const char *cw_source_name(cw_source_kind kind); /* "half-wave with freewheel diode" */

/** Mean voltage that a rectifier gives an inductive coil, and the rms before the rectifier for a mean. Half-wave
 *  without freewheel diode has no such mean of its own (it hangs on the coil): taken with the diode there.
 *  Source: averages of a rectified sine, 0.9003 and 0.4502 [D]. Test: tests/outside/switching_examples.c */
CW_API double cw_source_mean_v(const cw_source *source);
CW_API double cw_source_rms_of_mean_v(const cw_source *source, double mean_v);

/* ---- switch-on ------------------------------------------------------------------------------------------------ */

/** One moment of a curve. */
typedef struct cw_switch_point {
    double time_s, current_a, voltage_v, force_n; /* voltage across the coil; force NAN where unknown */
} cw_switch_point;

enum { CW_MOST_SWITCH_POINTS = 800 };

typedef struct cw_switch_on {
    double time_to_pull_s;        /* until the current reaches what is needed; INFINITY never, NAN not asked */
    double needed_current_a;
    double time_to_95_s;          /* until 95 % of the settled mean (dc) is reached first */
    double current_a;             /* settled: mean; ac: rms */
    double current_rms_a, current_min_a, current_max_a; /* over a settled cycle */
    double ripple;                /* (max - min) / mean; ac: 2 and above */
    double force_mean_n, force_min_n, force_max_n;      /* over a settled cycle; NAN unknown */
    double peak_current_a;        /* greatest since switch-on: inrush */
    double flux_linkage_wb;       /* at the end */
    double stored_j;              /* greatest over a settled cycle */
    double power_w;               /* copper loss, settled */
    double energy_in_j, energy_copper_j, energy_error;  /* since switch-on; error relative to energy_in_j */
    long steps;
    bool settled;                 /* false: still changing after 10,000 cycles */
    cw_switch_point *curve;       /* shape [count], at most CW_MOST_SWITCH_POINTS; owned */
    size_t count;
} cw_switch_on;

/** Switches on from no current and follows until nothing changes any more.
 *  needed_current_a  NAN: not asked; else > 0
 *  on                cw_switch_on_clear when done; zeroed on failure */
CW_API cw_status cw_circuit_on(const cw_circuit_coil *coil, double resistance_ohm, const cw_source *source,
                               double needed_current_a, cw_switch_on *on, cw_error *error);
CW_API void cw_switch_on_clear(cw_switch_on *on);

/* ---- switch-off ----------------------------------------------------------------------------------------------- */

typedef enum cw_suppressor_kind {
    CW_SUPPRESS_NONE,
    CW_SUPPRESS_RESISTOR,       /* across the coil, always fed */
    CW_SUPPRESS_DIODE,
    CW_SUPPRESS_DIODE_RESISTOR, /* in series, across the coil */
    CW_SUPPRESS_ZENER,          /* with a diode against it */
    CW_SUPPRESS_VARISTOR,
    CW_SUPPRESS_RC,             /* in series, across the coil */
    CW_SUPPRESSOR_COUNT
} cw_suppressor_kind;

/** What is across the coil. Zero members take the default that cw_suppressor_defaults states. */
typedef struct cw_suppressor {
    cw_suppressor_kind kind;
    double diode_drop_v;
    double resistance_ohm;        /* resistor, diode with resistor, RC */
    double zener_v;
    double varistor_v;            /* at varistor_a; v = varistor_v (i/varistor_a)^varistor_exponent */
    double varistor_a;
    double varistor_exponent;
    double capacitance_f;         /* RC */
    double stray_f;               /* none: between the coil's ends and along its lead */
    double breakdown_v;           /* none: of the contact gap at its first opening */
    double breakdown_v_per_s;     /* none: by which it grows as the contact opens */
} cw_suppressor;

CW_API const char *cw_suppressor_name(cw_suppressor_kind kind); /* "diode and resistor" */

/** What it costs, in a sentence or two; common practice, see docs/switching.md. */
CW_API const char *cw_suppressor_drawback(cw_suppressor_kind kind);

/** Fills the members that are 0 with the rules of common practice for that coil current, resistance and supply; each
 *  rule with its source stands in docs/switching.md. */
CW_API void cw_suppressor_defaults(cw_suppressor *suppressor, double current_a, double resistance_ohm, double voltage_v,
                                   bool alternating);

/** What to buy. NAN where a figure does not apply. */
typedef struct cw_part_rating {
    double voltage_v;             /* diode: reverse; varistor: continuous (rms on ac); capacitor: dc; Zener: nominal */
    double current_a;             /* peak, once in a switching */
    double energy_j;              /* it must swallow once in a switching */
    double power_w;               /* on average, at the rate of operations asked for; a resistor across: continuous */
    double resistance_ohm, capacitance_f;
    char text[480];
} cw_part_rating;

typedef struct cw_switch_off {
    cw_suppressor suppressor;     /* with its defaults filled in */
    double time_to_release_s;     /* until the current stays below what lets go; NAN not asked */
    double release_current_a;
    bool closes_again;            /* the current came back above it once after having been below */
    double time_to_end_s;         /* until no current flows (0.1 % where it dies by halves for ever) */
    double peak_voltage_v;        /* greatest across the coil */
    double contact_voltage_v;     /* greatest across the opening contact */
    double peak_power_w;          /* in the part */
    double stored_j;              /* in the coil at the start */
    double clamp_energy_j;        /* that went into the part (none: into the arc) */
    double copper_energy_j;
    double energy_error;          /* of the balance, relative to stored_j */
    double insulation_test_v;     /* as asked, NAN none */
    bool within_insulation;       /* peak_voltage_v <= insulation_test_v; true where none was given */
    cw_part_rating rating;
    long steps;
    cw_switch_point *curve;
    size_t count;
} cw_switch_off;

/** How the coil is switched off. */
typedef struct cw_off_plan {
    double resistance_ohm;        /* of the coil */
    double start_current_a;
    double supply_v;              /* across the coil just before; peak on ac */
    bool alternating;             /* an ac coil: no diode, and the varistor stands the rms */
    double release_current_a;     /* below which it lets go; NAN not asked */
    double insulation_test_v;     /* peak; NAN none */
    double operations_per_hour;   /* for the part's mean power; 0 counts as one */
    double supply_rms_v;          /* across the coil while on; 0: supply_v, on ac supply_v over the root of 2 */
} cw_off_plan;

/** Opens the contact at start_current_a. A suppressor that the supply would burn (a diode on ac) is refused.
 *  off  cw_switch_off_clear when done; zeroed on failure */
CW_API cw_status cw_circuit_off(const cw_circuit_coil *coil, const cw_off_plan *plan, const cw_suppressor *suppressor,
                                cw_switch_off *off, cw_error *error);
CW_API void cw_switch_off_clear(cw_switch_off *off);

/* ---- the whole study ------------------------------------------------------------------------------------------ */

typedef struct cw_switch_plan {
    const cw_flux_table *table;   /* lent */
    double open_gap_m, closed_gap_m;
    double cold_ohm, hot_ohm;
    cw_source source;
    double pull_current_a;        /* needed at the open gap; NAN: by pull_force_n */
    double pull_force_n;          /* NAN: not asked */
    double release_current_a;     /* lets go at the closed gap; NAN: by release_force_n */
    double release_force_n;       /* NAN: not asked */
    double insulation_test_v;
    double operations_per_hour;
    cw_suppressor suppressor;     /* the one that is fitted or wanted */
} cw_switch_plan;

typedef struct cw_switch_study {
    cw_switch_on cold, hot;       /* armature open */
    cw_switch_on closed;          /* armature closed, cold */
    double inrush_ratio;          /* ac: rms open over rms closed; else 1 */
    cw_switch_off off;            /* with the plan's suppressor, cold, armature closed */
    cw_switch_off each[CW_SUPPRESSOR_COUNT]; /* the comparison */
    bool applies[CW_SUPPRESSOR_COUNT];
} cw_switch_study;

CW_API cw_status cw_circuit_study(const cw_switch_plan *plan, cw_switch_study *study, cw_error *error);
CW_API void cw_switch_study_clear(cw_switch_study *study);

#ifdef __cplusplus
}
#endif
#endif
