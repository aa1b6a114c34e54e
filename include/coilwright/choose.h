/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From what the coil was, its window, the supply, the wishes and the shelf to what to wind.
 *
 * Knows: what a coil on a supply does (current, ampere-turns, heat, by an estimate), how likely a winding fits and
 * meets its resistance, what a shelf holds, and a stated preference. Needs: base, quantity, wire, winding, evidence.
 * Refuses to know: where the wishes were written.
 *
 * On a supply of fixed voltage V a winding of N turns, resistance R, mean turn l and conductor section A has
 *
 *     ampere-turns = V N/R(hot) = V A/(rho(hot) l)       with the same mean turn only the section counts, not the turns
 *     power        = V^2/R(hot)                          falls as turns are added
 *
 * so that the wire sets the pull, and the turns trade heat against room. The search takes every wire, in one to four
 * strands, and finds the whole number of turns that loses the fewest points; the points, the estimates and their
 * sources stand in docs/choose.md. */
#ifndef COILWRIGHT_CHOOSE_H
#define COILWRIGHT_CHOOSE_H

#include "coilwright/base.h"
#include "coilwright/evidence.h"
#include "coilwright/quantity.h"
#include "coilwright/winding.h"
#include "coilwright/wire.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_supply_kind { CW_DC, CW_FULL_WAVE, CW_HALF_WAVE, CW_AC } cw_supply_kind;
typedef enum cw_connection { CW_SINGLE_COIL, CW_SERIES, CW_PARALLEL } cw_connection;

typedef struct cw_circuit {
    bool given;
    int coils;
    cw_connection connection;
} cw_circuit;

typedef struct cw_supply {
    bool given;
    cw_supply_kind kind;
    double voltage_v;      /* as a meter shows it at the supply's terminals: dc mean, ac rms */
    double frequency_hz;
    double duty_share;     /* 1 continuous, 0.4 for "40 % of 5 min" */
    double duty_period_s;  /* NAN for continuous */
    double ambient_c;
    double original_voltage_v;     /* that the coil was made for, where it is another; NAN or 0: the same */
} cw_supply;

typedef enum cw_rule { CW_SAME, CW_EXACTLY, CW_AT_LEAST } cw_rule;

/** What goes first among windings that meet every wish: shelf and likeness weighed against each other, the shelf, or
 *  likeness to what is wanted whatever must be bought. */
typedef enum cw_preference { CW_PREFER_BALANCE, CW_PREFER_SHELF, CW_PREFER_MATCH } cw_preference;

typedef struct cw_wanted {
    bool given;
    cw_rule resistance_rule;       /* CW_SAME or CW_EXACTLY */
    double resistance_ohm, resistance_doubt_ohm; /* at 20 °C; CW_SAME: value NAN, and the doubt as a share in
                                                    resistance_tolerance */
    double resistance_tolerance;   /* share, half-width; NAN: the default of choose */
    cw_rule ampere_turns_rule;     /* CW_SAME or CW_AT_LEAST */
    double ampere_turns;
    double thermal_class_c;
    bool lay_given;
    cw_lay lay;
    cw_preference prefer;
    /* the user's own choice: kept, not sought. 0, "", NULL: left to the search */
    char *option;                  /* id of an option of the list, or the part of it before its turns */
    char size[24];                 /* as cw_wire_size.name */
    unsigned builds, materials;    /* 1u << CW_HEAVY ...; of these only */
    int in_hand, layers, turns;
    double finest_m;               /* bare diameter of the finest wire that can be wound here; NAN or 0 any */
    bool one_size;                 /* no windings of two sizes in series */
    long taps[CW_TAPS_MOST];       /* turns after which a lead comes out, rising */
    size_t tap_count;
} cw_wanted;

/** A spool on the shelf. */
typedef struct cw_spool {
    char size[24];                 /* name of the size, as cw_wire_size.name */
    cw_build build;
    cw_material material;
    double thermal_class_c;
    double mass_kg;                /* left on it; NAN where a length was given */
    double length_m;
    double price;                  /* in the shop's own money, NAN unknown */
    cw_place at;
} cw_spool;

/* ---- the request ------------------------------------------------------------------------------------------- */

/** What the coil was, as far as it is known. */
typedef struct cw_original {
    bool wire_known;
    cw_wire wire;
    int in_hand;
    cw_interval turns, resistance_20c_ohm; /* NAN: not known */
    double supply_voltage_v;       /* it was made for, where that is not the supply's now; 0 or NAN: the same */
} cw_original;

/** What an identification says the coil was; its most probable wire. */
CW_API void cw_original_from(const cw_identification *identification, cw_original *original);

/** How well the lay and the wire are known before winding; standard deviations. 0 takes the default in brackets,
 *  NAN stands for "exactly known". The wire's own bands and the window's doubts come with wire and window. */
typedef struct cw_choice_doubts {
    double pitch;                  /* of pitch_factor [0.01] */
    double rise;                   /* of rise_factor, in overall diameters [0.03] */
    double packing;                /* of ln packing [0.04] */
    double bulge;                  /* of bulge [0.025] */
    double resistivity;            /* of ln resistivity, stretch in winding included [0.006] */
    double wire;                   /* by which the wire's own bands are taken [1]; less where the spool was measured */
} cw_choice_doubts;

/** A part of the coil that stays or is added, and the class it stands: tape, former, resin, lead. */
typedef struct cw_system_part {
    const char *name;              /* "tape"; in sentences */
    double class_c;                /* NAN or 0: not known */
} cw_system_part;

/** What the user insists on; zeros leave it to the search. What is set is judged, not sought: the first option is then
 *  the user's own choice, and `chosen` where it fits and is not too hot, whatever other wish it misses. */
typedef struct cw_choice_set {
    long turns;
    int layers;                    /* full ones */
    int in_hand;
    char size[24];                 /* as cw_wire_size.name */
    unsigned builds, materials;    /* 1u << CW_HEAVY ...; of these only */
    const char *option;            /* id of an option of the list, or the part of it before its turns */
} cw_choice_set;

/** How a coil is cooled where it sits, from who has computed it. Zeros: the estimate of a bare coil in air. */
typedef struct cw_choice_cooling {
    double mean_k_per_w;           /* greatest rise of the winding's mean over its duty, per watt while it is on */
    double hot_share;              /* rise of the hottest place over that of the mean */
} cw_choice_cooling;

/** What to choose for. Zero-initialise, then fill. */
typedef struct cw_choice_request {
    cw_window window;
    cw_supply supply;
    cw_circuit circuit;
    cw_wanted wanted;
    const cw_spool *stock;
    size_t stock_count;
    cw_original original;
    cw_lay_plan factors;           /* lay factors and sheets; window, wire, in_hand and turns in it are not read */
    cw_choice_doubts doubts;
    double finest_m;               /* bare diameter of the finest wire that can be handled here; 0 any */
    int most_in_hand;              /* 0: 4 */
    bool aluminium;                /* search aluminium too, not only where the stock has it */
    unsigned systems;              /* sizes to search, 1u << CW_AWG ...; 0 all. The stock is always searched */
    unsigned builds;               /* 0: the three enamels. The stock is always searched */
    cw_unit_system units;          /* of the sentences */
    size_t most_options;           /* 0: 24 */
    cw_choice_set set;
    const cw_system_part *system;
    size_t system_count;
    cw_choice_cooling cooling;
    double core_section_m2;        /* iron inside a coil on ac; 0 or NAN unknown */
    bool two_sizes;                /* offer windings of two sizes in series too: see cw_choice_option.two_sizes */
    int sections;                  /* equal ones beside each other in series on the former; 0 and 1: one */
    double partition_m;            /* between two of them */
} cw_choice_request;

/* ---- the answer -------------------------------------------------------------------------------------------- */

#define CW_REASONS_MOST 6

/** Wishes, as bits. */
enum {
    CW_WISH_FITS = 1, /* only turns that were set can miss it */
    CW_WISH_COOL = 2, CW_WISH_RESISTANCE = 4, CW_WISH_AMPERE_TURNS = 8, CW_WISH_HANDLED = 16
};

typedef struct cw_choice_option {
    char id[56];                   /* "29-awg-heavy-x1-1850" */
    cw_wire wire;
    int in_hand;
    long turns;
    size_t layers;                 /* of a section, where there are several */
    cw_lay_plan plan;              /* to lay it with cw_winding_lay; of one section, where there are several */
    int sections;                  /* 1, or so many equal ones in series, and cw_choice_coil lays all. Turns, lengths, ohms
                                      and watts are of the whole */
    double partition_m;
    double depth_m, spare_m;       /* nominal */
    double fits_probability;
    double resistance_20c_ohm;     /* nominal */
    double resistance_in_tolerance_probability; /* NAN without a wanted resistance */
    double ampere_turns;           /* hot, of one coil at this supply; NAN unknown */
    double ampere_turns_ratio;     /* to the original, both hot and each at its supply; NAN unknown */
    double current_a, cold_current_a; /* of one coil, hot and at 20 °C; NAN unknown */
    double power_w;                /* of one coil while it is on, hot; NAN unknown */
    double mean_winding_c, hot_spot_c; /* estimates without a magnet; NAN unknown */
    double limit_c;                /* hot spot that this wire and the wishes allow */
    double layer_voltage_v;        /* greatest between two layers; NAN unknown */
    double layer_voltage_limit_v;  /* from which on a sheet between layers is wanted; 0: always */
    double volts_per_turn, flux_density_t; /* of a coil on ac, peak; NAN unknown or no such coil */
    double share;                  /* beside coils as the original was: of the voltage (series) or current (parallel)
                                      that falls to this one, over an equal share; NAN where it is alone */
    bool two_sizes;                /* second_turns of second_wire lie on the rest, in series; cw_choice_coil lays both.
                                      turns and layers count both; wire and plan tell of the lower part */
    cw_wire second_wire;
    long second_turns;
    bool pareto;                   /* no other option on the list is as good in every respect and better in one */
    double length_m, mass_kg;      /* of all strands, as laid */
    double wire_length_m, wire_mass_kg; /* to have ready: as laid and CW_CHOICE_MARGIN, CW_CHOICE_ENDS_M a strand */
    bool on_shelf;                 /* some of this wire is on the shelf */
    bool from_stock;               /* and enough of it, the margin included */
    int joints;                    /* the shelf's spools would need; 0 where one strand is one piece */
    double cost;                   /* of the wire from the shelf, in the shop's money; NAN unknown */
    unsigned missed;               /* wishes, CW_WISH_... */
    double score;                  /* 100 less the points lost; the greater the better, mostly below 0 where a wish is
                                      missed */
    size_t drawbacks, reason_count; /* the first `drawbacks` of reasons are drawbacks */
    char reasons[CW_REASONS_MOST][208];
} cw_choice_option;

#define CW_CHOICE_MARGIN 0.05 /* share of the length; common practice, no source */
#define CW_CHOICE_ENDS_M 2.0  /* a strand, for setting up, leads and ends; common practice, no source */

/** The winding that a deeper window would take, where nothing meets every wish. */
typedef struct cw_choice_room {
    bool known;                    /* false: more depth would not help, or is not needed */
    cw_wire wire;
    int in_hand;
    long turns;
    double depth_m;                /* that the window lacks for it to fit with probability 0.9 */
} cw_choice_room;

typedef struct cw_choice {
    cw_choice_option *options;     /* [option_count], best first; owned */
    size_t option_count;
    const cw_choice_option *chosen; /* the first where it misses no wish, else NULL */
    cw_unit_system units;          /* as asked for */
    bool own;                      /* the first is the user's own choice */
    bool in_magnet;                /* temperatures by the request's cooling; else those of a bare coil in air */
    double wanted_resistance_20c_ohm, tolerance; /* NAN where none was wanted; tolerance is a share */
    double wanted_turns;           /* of a coil on ac; else NAN */
    double least_ampere_turns;     /* hot, of one coil; NAN where nothing is known */
    double original_ampere_turns, original_power_w, original_hot_spot_c; /* by the same estimates; NAN unknown */
    double coil_voltage_v;         /* NAN unknown */
    double original_coil_voltage_v; /* where it is another; else NAN */
    double original_resistance_20c_ohm, original_turns; /* NAN unknown */
    cw_choice_room room;
    size_t wires_tried;            /* wires times strands */
    char summary[900];             /* the choice; or the constraint that binds and by how much it misses */
} cw_choice;

/** Searches every wire and ranks what can be wound.
 *
 *  CW_BAD_INPUT  a window without room, a supply, spool or wish out of range, an option that is set and not there: with
 *                what to change
 *  choice        receives a new one, also where nothing serves (chosen == NULL); cw_choice_destroy
 *
 *  Test: tests/choose/test_choose.c; the search against every number of turns of every wire: test_search.c */
CW_API cw_status cw_choose(const cw_choice_request *request, const cw_wire_catalogue *catalogue, cw_choice **choice,
                           cw_error *error);
CW_API void cw_choice_destroy(cw_choice **choice);

/** What becomes different from one option to another, a row each: "resistance at 20 °C", "124.1 ohm", "118.7 ohm",
 *  "4.4 % less". Rows that stay the same are left out. */
typedef struct cw_choice_change {
    const char *what;              /* lent for good */
    char before[64], after[64], text[64]; /* text: "" where the two say it all */
} cw_choice_change;

#define CW_CHANGES_MOST 16

CW_API size_t cw_choice_changes(const cw_choice_option *before, const cw_choice_option *after, cw_unit_system units,
                                cw_choice_change changes[CW_CHANGES_MOST]);

/** The plan of an option's whole coil, of one part or two. */
CW_API void cw_choice_coil(const cw_choice_option *option, cw_coil_plan *plan);

/** Probability that a plan's winding is no deeper than its window, over the tolerances of wire, window and lay.
 *  doubts  NULL: the defaults. Test: against 100 000 drawn windings, tests/choose/test_probability.c */
CW_API double cw_choice_fit_probability(const cw_lay_plan *plan, const cw_choice_doubts *doubts);

/** The same for two windings on each other. */
CW_API double cw_choice_coil_fit_probability(const cw_coil_plan *plan, const cw_choice_doubts *doubts);

/** Probability that the resistance at 20 °C of a laid winding lies within low_ohm and high_ohm; same test. */
CW_API double cw_choice_resistance_probability(const cw_winding *winding, const cw_choice_doubts *doubts,
                                               double low_ohm, double high_ohm);

#ifdef __cplusplus
}
#endif
#endif
