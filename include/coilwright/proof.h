/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The finished coil shown to be right: which tests, in which order, within which limits, and what the readings say. And
 * whether a magnet of a given pull holds a given load.
 *
 * Knows: the limits of the standards (data/proof_limits.csv and its neighbours), the resistance method, how the tests
 * are done and what they must not be done on. Needs: base, quantity, wire, winding, air, choose (supply, circuit).
 * Refuses to know: who takes the readings, how the pull was computed.
 *
 * Order. Tests that hurt nothing come first, and none that is a danger comes before the one that makes it safe: the
 * resistances, turns and polarity (a few volts), the bond of the frame, insulation resistance, turn insulation, high
 * potential, then the heat run and the magnet. High potential is withheld while insulation resistance has failed.
 *
 * Who decides. A limit has a role. One that decides comes from a standard that was seen, a page, common practice, the
 * computation for this coil or the job itself. One from memory only advises: it can neither pass nor fail a coil, and
 * where it stands alone the test stays open and says so. What a sound new coil is expected to show is neither: below it
 * the test passes with a remark.
 *     fail   a deciding limit is broken, or the test itself broke something down
 *     open   no reading, no deciding limit, an advising limit broken, or a reading that cannot be corrected
 *     pass   a deciding limit, and all limits met
 * The whole is a fail where one test fails, else open where one is open, else a pass.
 *
 * Theory, sources and the reasons for the order: docs/proof.md. */
#ifndef COILWRIGHT_PROOF_H
#define COILWRIGHT_PROOF_H

#include "coilwright/base.h"
#include "coilwright/choose.h"
#include "coilwright/quantity.h"
#include "coilwright/winding.h"
#include "coilwright/wire.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The tests, in the order in which they are done. */
typedef enum cw_proof_kind {
    CW_PROVE_WINDING_RESISTANCE,
    CW_PROVE_COILS_MATCH,
    CW_PROVE_TURNS,
    CW_PROVE_POLARITY,
    CW_PROVE_EARTH_BOND,
    CW_PROVE_INSULATION_RESISTANCE,
    CW_PROVE_TURN_INSULATION,
    CW_PROVE_HIGH_POTENTIAL,
    CW_PROVE_HEAT_RUN,
    CW_PROVE_PULL,
    CW_PROVE_RELEASE,
    CW_PROVE_COUNT
} cw_proof_kind;

/** What a reading is a reading of: the first method of a test is the usual one.
 *  Unit of `value` behind each. */
typedef enum cw_proof_method {
    CW_BY_USUAL,             /* whatever stands first for the test, below */
    CW_BY_RESISTANCE,        /* ohm: winding-resistance, coils-match, insulation-resistance, earth-bond, heat-run */
    CW_BY_INDUCTANCE,        /* H, core out: turns */
    CW_BY_CENTRE_FIELD,      /* T at current_a, core out: turns */
    CW_BY_SIBLING,           /* 1, field or inductance over the sound sibling's: turns */
    CW_BY_COUNT,             /* 1: turns by a counter */
    CW_BY_EYE,               /* 1 as it should be, 0 not: polarity (compass), turn-insulation (traces), release */
    CW_BY_AIDING,            /* H, both coils in series as connected; value_2 with one of them reversed: polarity */
    CW_BY_VOLTAGE,           /* V withstood, ac rms or dc: high-potential */
    CW_BY_RING,              /* cycles until a tenth: turn-insulation */
    CW_BY_SURGE,             /* share, area between the traces over the area of one: turn-insulation */
    CW_BY_FORCE,             /* N: pull */
    CW_BY_TIME,              /* s until it lets go: release */
    CW_BY_DROP_OUT,          /* share of the rated voltage at which it lets go: release */
    CW_PROOF_METHOD_COUNT
} cw_proof_method;

/** One reading. cw_proof_reading_clear sets what was not given. */
typedef struct cw_proof_reading {
    cw_proof_kind test;
    cw_proof_method method;
    double value;          /* see the method; INFINITY where a meter shows over-range (insulation resistance) */
    double value_2;        /* CW_BY_AIDING: with one coil reversed; insulation resistance: after 10 minutes */
    double doubt;          /* half-width that holds 95 %; 0 not given */
    double at_c;           /* temperature of the winding; NAN not noted */
    int coil;              /* which of the circuit's coils, from 1; 0 the only one, or not said */
    double current_a;      /* centre field, earth bond: through the coil or bond */
    double voltage_v;      /* insulation resistance: applied; heat run: across the coil */
    double time_s;         /* high potential: held for; heat run: since switch-off, <= 0 while still on */
    double lead_ohm;       /* earth bond: of the test lead or the supply cord, not part of the bond */
    double ambient_c;      /* heat run: of the room at this reading */
    double gap_m;          /* pull */
    bool dc;               /* high potential: dc was applied */
    bool broke_down;       /* high potential, surge: flash-over or a trip */
    cw_place at;           /* where it stands in the job file */
} cw_proof_reading;

CW_API void cw_proof_reading_clear(cw_proof_reading *reading);

/** In what state the coil is proved: the level of the high-potential test hangs on it. */
typedef enum cw_proof_service { CW_REWOUND, CW_NEW, CW_IN_SERVICE, CW_SERVICE_COUNT } cw_proof_service;

/** By which practice high potential is chosen. Only the first was seen in print; the others are from memory and leave
 *  the test open. */
typedef enum cw_proof_practice {
    CW_AS_MACHINE,         /* IEC 60034-1 */
    CW_AS_CONTROL_GEAR,    /* IEC 60947-1 */
    CW_AS_MACHINERY,       /* IEC 60204-1 */
    CW_AS_APPLIANCE,       /* IEC 60335-1, basic insulation */
    CW_PRACTICE_COUNT
} cw_proof_practice;

/** By which rule the rise of temperature is limited. */
typedef enum cw_rise_rule {
    CW_RISE_BY_CLASS,      /* class less ambient less the allowance from mean to hot spot */
    CW_RISE_CONTROL_GEAR,  /* IEC 60947-4-1 */
    CW_RISE_MACHINE,       /* IEC 60034-1, from memory */
    CW_RISE_TRANSFORMER,   /* IEC 60076-11, from memory */
    CW_RISE_RULE_COUNT
} cw_rise_rule;

/** What is to be proved. cw_proof_request_clear, then fill. */
typedef struct cw_proof_request {
    const cw_winding *winding;       /* one coil as wound; NULL: its resistance and turns have no limits */
    const cw_conductor *conductor;   /* of its wire; NULL: copper */
    cw_supply supply;
    cw_circuit circuit;
    double thermal_class_c;          /* of the wire; NAN unknown */
    double potting_class_c;          /* of the resin; NAN none or unknown */
    double wanted_resistance_ohm;    /* of one coil at 20 °C, where the job asks for a value; NAN as wound */
    double wanted_tolerance;         /* share, half-width; NAN: common practice */
    cw_proof_service service;
    cw_proof_practice practice;
    cw_rise_rule rise_rule;
    double hot_spot_allowance_k;     /* between mean and hot spot, as computed for this coil; NAN: the table's */
    bool magnet;                     /* there is a magnet to pull with and to let go */
    double pull_n, pull_doubt;       /* computed at the gap and plate of the test, and its doubt as a share; NAN none */
    double pull_needed_n;            /* what the machine asks for at that gap; NAN unknown */
    double pull_gap_m, pull_plate_m; /* that gap, and the plate's thickness; NAN not known, or no plate */
    bool pull_elsewhere;             /* they are not the machine's own: pull_needed_n was brought there by the field */
    double release_needed_s;         /* NAN unknown */
    double stored_energy_j;          /* at rated current, for the cautions; NAN unknown */
    unsigned left_out;               /* 1u << cw_proof_kind of tests the job leaves out */
    const cw_proof_reading *readings;
    size_t reading_count;
} cw_proof_request;

CW_API void cw_proof_request_clear(cw_proof_request *request);

/** How far a limit may be trusted. */
typedef enum cw_basis_trust {
    CW_BASIS_STANDARD,     /* the text or a reprint was seen */
    CW_BASIS_WEB,          /* a page that reports it */
    CW_BASIS_PRACTICE,     /* common practice, no source */
    CW_BASIS_COMPUTED,     /* for this coil */
    CW_BASIS_ASKED,        /* by the job */
    CW_BASIS_MEMORY,       /* not looked up: never a limit on its own */
    CW_BASIS_TRUST_COUNT
} cw_basis_trust;

typedef enum cw_limit_role { CW_DECIDES, CW_ADVISES, CW_EXPECTED } cw_limit_role;

typedef struct cw_proof_limit {
    double low, high;      /* in the test's unit; NAN: none on that side */
    cw_limit_role role;
    cw_basis_trust trust;
    bool as_read;          /* held against the reading as taken, not against the corrected one */
    char basis[160];       /* standard and clause, or "common practice, no source" */
} cw_proof_limit;

typedef enum cw_verdict { CW_OPEN, CW_PASS, CW_FAIL } cw_verdict;

typedef struct cw_proof_cause {
    char cause[160];
    char tells_apart[240]; /* the reading that would show this one and not the others */
} cw_proof_cause;

enum { CW_PROOF_LIMITS_MOST = 6, CW_PROOF_CAUSES_MOST = 5 };

typedef struct cw_proof_test {
    cw_proof_kind test;
    cw_proof_method method;        /* of the reading, or the usual one */
    int coil;                      /* from 1 where the circuit has several and each is tested; else 0 */
    cw_kind kind;                  /* of the numbers below, for writing them */
    const char *unit;              /* SI: "ohm", "H", "T", "V ac", "K", "N", "s", "1" */
    double reference_c;            /* temperature the limits stand at; NAN where they have none */
    double limit_low, limit_high;  /* the one that decides, or, without one, that advises; NAN none */
    double limit_at_reading_low, limit_at_reading_high; /* the same at the temperature of the reading: what the meter
                                                           must show; NAN none */
    char basis[208];               /* of that limit, with its trust where it is common practice or from memory */
    cw_basis_trust trust;
    cw_proof_limit limits[CW_PROOF_LIMITS_MOST];
    size_t limit_count;
    double apply, apply_s;         /* what to apply (V, A) and for how long; NAN none */
    const char *apply_unit;        /* "V dc", "V ac", "A", or "" */
    double reading;                /* as taken; NAN none */
    double corrected;              /* what is held against the limits; NAN where it cannot be said */
    double corrected_doubt;        /* half-width that holds 95 %; 0 unknown */
    cw_verdict verdict;
    char how[800];                 /* how it is done */
    char not_on[320];              /* what it must not be done on */
    char caution[480];
    char remark[640];              /* what the verdict hangs on; "" where it speaks for itself */
    cw_proof_cause causes[CW_PROOF_CAUSES_MOST]; /* of a failed test, most likely first */
    size_t cause_count;
} cw_proof_test;

typedef struct cw_proof_omitted {
    cw_proof_kind test;
    char reason[160];
} cw_proof_omitted;

typedef struct cw_proof {
    cw_proof_test *tests;          /* in the order in which they are done; owned */
    size_t test_count;
    cw_proof_omitted omitted[CW_PROVE_COUNT];
    size_t omitted_count;
    cw_verdict verdict;
} cw_proof;

/** The tests of a coil with their limits, and what the readings taken so far say.
 *
 *  CW_BAD_INPUT  a reading that no such test can give (negative, not a number, a coil the circuit does not have), with
 *                its place; a thermal class or voltage that is none
 *  proof         receives a new proof; cw_proof_destroy
 *
 *  Test: tests/proof/, tests/outside/proof_limits.c, tests/outside/resistance_method.c */
CW_API cw_status cw_prove(const cw_proof_request *request, cw_proof **proof, cw_error *error);
CW_API void cw_proof_destroy(cw_proof **proof);

/** The proof as text to read and to sign; the document for --json is in proof/proof_json.h. */
CW_API void cw_proof_write(const cw_proof *proof, cw_unit_system units, cw_text *text);

/** "117.9 ohm to 130.3 ohm", "not below 5.000 Mohm", "as it should be": limits of a test in words, appended. And one of its
 *  values. */
CW_API void cw_proof_range(const cw_proof_test *test, cw_unit_system units, double low, double high, cw_text *text);
CW_API void cw_proof_value(const cw_proof_test *test, cw_unit_system units, double value, cw_text *text);

/** "winding-resistance" and back; false for a word that is none. */
CW_API const char *cw_proof_name(cw_proof_kind test);
CW_API bool cw_proof_find(const char *name, size_t length, cw_proof_kind *test);
CW_API const char *cw_verdict_name(cw_verdict verdict);          /* "pass" */
CW_API const char *cw_basis_trust_name(cw_basis_trust trust);    /* "value from memory" */
CW_API const char *cw_proof_service_name(cw_proof_service service);    /* "rewound" */
CW_API const char *cw_proof_practice_name(cw_proof_practice practice); /* "machine" */
CW_API const char *cw_rise_rule_name(cw_rise_rule rule);               /* "class" */

/** How a reading of that kind of quantity was taken: an inductance tells turns by inductance. False where the test has no
 *  such reading. */
CW_API bool cw_proof_method_of(cw_proof_kind test, cw_kind kind, cw_proof_method *method);

/** The value of a reading as a person writes it, with the method that its unit tells: "84.2 ohm @ 23 °C", "0.21 H",
 *  "3.1 mT", "1500 V", "12" (cycles), "pass" and "fail" where a test is judged by eye, "over-range" for a meter that
 *  shows it.
 *
 *  reading  its test must be set; value, doubt, method and at_c are filled in, at_c only where the text names it */
CW_API cw_status cw_proof_reading_parse(const char *text, size_t length, const cw_place *at, cw_proof_reading *reading,
                                        cw_error *error);

/** A reading from what a job file's `proof` list holds of it (cw_job_test): the test by its name, the method by the
 *  kind of quantity, the rest cleared.
 *  CW_BAD_INPUT  an unknown test, with the nearest known one; a quantity that no such test reads */
CW_API cw_status cw_proof_reading_make(const char *test, cw_kind kind, double value, double doubt, double at_c,
                                       const cw_place *at, cw_proof_reading *reading, cw_error *error);

/* ---- the tables -------------------------------------------------------------------------------------------- */

/** One row of data/proof_limits.csv at a voltage. */
typedef struct cw_limit_row {
    char kind[24], id[32];
    char condition[120], standard[64];
    char unit[24];         /* as printed: "V ac", "Mohm at 40 °C", "percent" */
    double low, high;      /* the value or the range, in that unit; NAN where the row has none */
    double duration_s;     /* NAN none */
    cw_basis_trust trust;
} cw_limit_row;

/** Row by its id, with its formula at this voltage. CW_BAD_INPUT where there is none, or where the voltage is not one
 *  that the row holds for. */
CW_API cw_status cw_limit_find(const char *id, double voltage_v, cw_limit_row *row, cw_error *error);

/** Id of the row of a kind that holds for a voltage, or NULL. Lent for good. */
CW_API const char *cw_limit_id(const char *kind, double voltage_v, char *buffer, size_t size);

/** Least creepage in metres (IEC 60664-1): the row of the next higher voltage.
 *  pollution_degree 2 or 3; material_group 1 to 3. NAN beyond the table.
 *  trust  receives how far to trust it; may be NULL */
CW_API double cw_proof_creepage_m(double voltage_v, int pollution_degree, int material_group, cw_basis_trust *trust);

/** Rated impulse voltage for a line-to-earth voltage and an overvoltage category 1 to 4, and the clearance in air for
 *  an impulse voltage; rows of the next higher voltage, NAN beyond. From memory, all of it. */
CW_API double cw_proof_impulse_v(double line_to_earth_v, int category);
CW_API double cw_proof_clearance_m(double impulse_v, int pollution_degree);

/** Limit of the rise by resistance at 40 °C ambient in K, NAN where the rule has none for the class. */
CW_API double cw_proof_rise_limit_k(cw_rise_rule rule, double thermal_class_c, double ambient_c, cw_basis_trust *trust);

/* ---- the resistance method --------------------------------------------------------------------------------- */

/** Temperature of a winding from its resistance: (R2/R1)(k + T1) - k, with k 234.5 for copper and 225 for aluminium
 *  [UL, IEEE 119; IEC 60034-1 has 235]. */
CW_API double cw_resistance_temperature_c(cw_material material, double cold_ohm, double cold_c, double hot_ohm);

typedef struct cw_cooling_point {
    double time_s; /* since switch-off, >= 0 */
    double ohm;
} cw_cooling_point;

typedef struct cw_heat_run_end {
    double ohm;       /* at the moment of switch-off */
    double ohm_doubt; /* half-width that holds 95 % by the scatter about the curve; NAN where nothing tells */
    int order;        /* of the polynomial in the logarithm: 0 one early reading taken as it is, 1 or 2 */
} cw_heat_run_end;

/** Resistance at the moment of switch-off from readings while the winding cools.
 *
 *  The logarithm of the excess over the resistance at ambient is a straight line for a body of one temperature; a
 *  winding first evens out inside, so that five readings and more are given a parabola where it fits clearly better.
 *
 *  ambient_ohm   the winding's at the temperature of the room
 *  CW_BAD_INPUT  none; a lone reading later than 30 s after switch-off; a reading at or below ambient; times that are
 *                not rising or negative
 *  Test: tests/proof/test_heat_run.c */
CW_API cw_status cw_extrapolate_switch_off(const cw_cooling_point *points, size_t count, double ambient_ohm,
                                           cw_heat_run_end *found, cw_error *error);

/* ---- will it hold the work --------------------------------------------------------------------------------- */

/** Kinds of load. */
typedef enum cw_load_kind {
    CW_LOAD_HANG,      /* pulls straight off: weight below the magnet */
    CW_LOAD_SLIDE,     /* along the face: held by friction */
    CW_LOAD_TILT,      /* a force at an arm that tips the magnet about its edge */
    CW_LOAD_DRILL,     /* thrust and torque of a drill in a stand that the magnet holds */
    CW_LOAD_KIND_COUNT
} cw_load_kind;

/** Metals to be drilled, by the names of data/proof_drilling.csv: "low-carbon steel", "cast iron 200 HB" ... */
typedef struct cw_drilling {
    const char *metal;
    double diameter_m;
    double feed_m;             /* per turn */
    bool annular;              /* a cutter that leaves a core */
    double core_diameter_m;    /* annular: of the core */
    bool split_point;          /* or thinned web; else the standard chisel edge */
    double wear;               /* handbook: 1 sharp, 1.3 to be reground; NAN: 1.3 */
} cw_drilling;

typedef struct cw_drilling_load {
    double thrust_n, torque_n_m;                     /* the greater of the two below, or the one there is */
    double handbook_thrust_n, handbook_torque_n_m;   /* NAN where the handbook has no constant */
    double catalogue_thrust_n, catalogue_torque_n_m; /* NAN likewise */
    cw_basis_trust trust;                            /* of thrust_n and torque_n_m */
    char basis[160];
} cw_drilling_load;

/** Thrust and torque of a drill.
 *
 *  Handbook (SI): thrust = 0.05 K F_f F_T B W + 0.007 K D^2 J W, torque = 0.000025 K F_f F_M A W, with F_f = f^0.8,
 *  F_T = D^0.8, F_M = D^1.8, millimetres. Catalogue: 570 K D f^0.85 and K D^2 (0.630 + 16.84 f)/100. Annular cutter:
 *  the kerf model, k_c f (D^2 - d^2)/8 and 0.5 k_c f (D - d)/2 times 1.5, an estimate.
 *  CW_BAD_INPUT  an unknown metal (with the list), sizes out of range
 *  Test: tests/outside/magnetics_drilling.c */
CW_API cw_status cw_drilling_forces(const cw_drilling *drilling, cw_drilling_load *load, cw_error *error);

/** Names of the metals, NULL past the last. */
CW_API const char *cw_drilling_metal(size_t index, char *buffer, size_t size);

typedef enum cw_magnet_kind { CW_ELECTROMAGNET, CW_PERMANENT_MAGNET } cw_magnet_kind;
typedef enum cw_surface_state {
    CW_FACE_AS_COMPUTED, CW_FACE_MACHINED, CW_FACE_PAINTED, CW_FACE_RUSTY
} cw_surface_state;

/** What is to be held. cw_load_clear, then fill. */
typedef struct cw_load {
    cw_load_kind kind;
    cw_magnet_kind magnet;
    double pull_n;             /* straight off, at the plate, gap and iron of the work, cold and at rated voltage */
    bool pull_at_work;         /* true: the gap, iron and plate are already in pull_n; false: on a good test plate */
    double carbon_share;       /* carbon in the work, 0.002 for 0.2 %; NAN unknown; 1 % and more: cast iron */
    cw_surface_state surface;
    double winding_c;          /* hot, for the drop of ampere-turns at constant voltage; NAN: cold */
    bool saturated;            /* true: the pull falls as the ampere-turns, not as their square */
    double voltage_share;      /* lowest supply over rated; NAN: 0.9 */
    double force_n;            /* HANG: weight; SLIDE: along the face; TILT: at the arm */
    double arm_m;              /* TILT: of the force above the face, or off its edge */
    double base_m;             /* TILT, DRILL: length of the base in the plane in which it tips */
    double friction;           /* NAN: 0.15 */
    double offset_m;           /* DRILL: of the spindle from the middle of the base */
    double own_weight_n;       /* DRILL overhead or on a wall: of stand and machine; 0 on a floor */
    cw_drilling drilling;
    double factor;             /* breakaway over load; NAN: 2 for electromagnets, 3 for permanent ones */
} cw_load;

CW_API void cw_load_clear(cw_load *load);

typedef struct cw_hold_step {
    char what[80];
    double value;      /* N or N m, see unit */
    const char *unit;
    char basis[160];
    cw_basis_trust trust;
} cw_hold_step;

enum { CW_HOLD_STEPS_MOST = 12 };

typedef struct cw_hold {
    double pull_n;             /* what is left of it at the work */
    double factor;             /* that must be kept */
    double margin;             /* least capacity over demand, factor not in it */
    bool holds;                /* margin >= factor */
    cw_verdict verdict;        /* pass, fail; open where licensed practice has the word or a memory value decides */
    cw_hold_step steps[CW_HOLD_STEPS_MOST];
    size_t step_count;
    char text[900];            /* whole sentences, the plain statement on licensed practice at the end */
} cw_hold;

/** Whether the pull holds the load.
 *  CW_BAD_INPUT  what is missing or out of range
 *  Test: tests/proof/test_load.c, tests/outside/magnetics_drilling.c */
CW_API cw_status cw_hold_judge(const cw_load *load, cw_hold *hold, cw_error *error);

/** The judgement to read, step by step; the document is cw_hold_json in proof/proof_json.h. */
CW_API void cw_hold_write(const cw_hold *hold, cw_unit_system units, cw_text *text);

/** Least thickness of plate that carries a round pole's flux: (d/4) B_gap/B_sat; of a long bar pole of width w with the
 *  return on both sides (w/2) or on one side w. The flux of the pole over the plate's section. */
CW_API double cw_plate_round_pole_m(double pole_diameter_m, double gap_t, double saturation_t);
CW_API double cw_plate_bar_pole_m(double pole_width_m, double gap_t, double saturation_t, bool return_on_both_sides);

/** Flux density and pull per area left after switch-off: mu0 H_c l/(2g), at most B_r. gap_m is one face's. */
CW_API void cw_residual_hold(double coercivity_a_per_m, double iron_length_m, double gap_m, double remanence_t,
                             double *flux_density_t, double *pressure_pa);

/** Share of the cold ampere-turns left at constant voltage: 1/(1 + 0.00393 (t - 20)). */
CW_API double cw_hot_ampere_turns_share(double winding_c);

#ifdef __cplusplus
}
#endif
#endif
