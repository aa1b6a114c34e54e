/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From window, wire and number of turns to a winding, layer by layer.
 *
 * Knows: how turns lie on round, rectangular and obround formers, level, nested or random; lengths, heights, fill.
 * Needs: base, wire. Refuses to know: where the wire came from, machines.
 *
 * A winding is laid in layers from the start flange (z = 0) to the far flange (z = length) and back. A *bundle* is the
 * one to four strands that are wound together, side by side.
 *
 * Level lay. A helix of n whole turns is n pitches long and one bundle wide [winding: §1 DER]. Half a turn of each
 * layer lies against the flange, where it climbs to the next (the half turn is what a lathe's index wait needs, see
 * nc.h), so that the guide travels n - 1/2 turns and a layer takes
 *     n = floor((W - w)/p + 1/2),  W clear length, w = in_hand * D bundle width, p >= w pitch
 * The pitch is then spread so that the layer fills its length. Layer rise: in the grooves of the layer below for part
 * of the turn, on top of it where the wires cross; the mean of both, rise_factor * D, 0.866 to 1 (common practice, no
 * source: 0.95).
 * Nested lay: all in grooves, rise 0.866 D, n and n - 1 turns (or n and n) per layer.
 * Random lay: no layers by order; the section is filled at a stated packing (section of wires with covering over
 * section of winding), and "layers" are passes of the guide for the table.
 *
 * Length of a turn whose wire centre lies h above the former:
 *     round      pi (d + 2 h)
 *     rectangle  2 (a - 2 r) + 2 (b - 2 r) + 2 pi (r + h) + bulge
 *     obround    2 (a - b) + pi (b + 2 h)
 * and with pitch p the helix adds sqrt(1 + (p/turn)^2). */
#ifndef COILWRIGHT_WINDING_H
#define COILWRIGHT_WINDING_H

#include "coilwright/base.h"
#include "coilwright/wire.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_shape { CW_ROUND, CW_RECTANGLE, CW_OBROUND, CW_SHAPE_COUNT } cw_shape;
typedef enum cw_lay { CW_LEVEL, CW_NESTED, CW_RANDOM, CW_LAY_COUNT } cw_lay;

/** The room the wire itself may take, inside flanges and wrapping. Doubts are half-widths that hold 95 %. */
typedef struct cw_window {
    cw_shape shape;
    double inner_m[2];      /* round: [0] diameter of the surface the first layer lies on, [1] the same;
                               rectangle, obround: width and breadth of that surface, obround [0] >= [1] */
    double corner_radius_m; /* rectangle */
    double length_m;        /* along the axis, between flanges */
    double depth_m;         /* greatest winding height */
    double inner_doubt_m, length_doubt_m, depth_doubt_m;
} cw_window;

#define CW_TAPS_MOST 8
#define CW_COIL_PARTS_MOST 8 /* windings in series on one former */

/** What to lay. Zero-initialise, then fill; cw_winding_defaults gives the factors of common practice. */
typedef struct cw_lay_plan {
    cw_window window;
    cw_wire wire;
    int in_hand;                  /* 1 to 4 strands wound together */
    long turns;                   /* of the bundle */
    cw_lay lay;
    double pitch_factor;          /* pitch over bundle width, >= 1; 1.02 by default for level lay */
    double rise_factor;           /* layer rise over D, level lay; 0.95 by default */
    double packing;               /* random lay: section of covered wires over section of winding; 0.60 by default */
    int insulation_every;         /* layers between sheets of insulation; 0 none */
    double insulation_m;          /* thickness of a sheet */
    double bulge;                 /* extra height on flats as a share of the build, 0 to 1; 0.15 by default. No flat
                                     goes beyond 0.207 of its length, where a square has become a circle */
    double voltage_v;             /* across the coil, for the voltage between layers; 0 unknown */
    double temperature_c;         /* of resistance_ohm in the layers; 20 by default */

    double margin_start_m, margin_end_m; /* kept free of wire at the two flanges */
    double sleeve_m;              /* width that the start lead with its sleeve takes from every layer where it comes up beside
                                     them at the start flange; 0: it lies in a slot of the flange */
    double wrap_m;                /* outer wrap over the last layer */
    double base_m;                /* height above the former of the surface that the first layer lies on: 0 the former
                                     itself, else another winding and what lies over it */
    bool from_far;                /* the first layer begins at the far flange */
    long taps[CW_TAPS_MOST];      /* turns after which a lead comes out, rising */
    int tap_count;
} cw_lay_plan;

/** One layer; lengths in metres, positions from the start flange. */
typedef struct cw_layer {
    long turns;
    int direction;                /* +1 away from the start flange, -1 back */
    double start_m, end_m;        /* centre of the bundle at the first and the last turn */
    double pitch_m;               /* along the axis per turn, as spread */
    double diameter_m;            /* round: of the wire centre; else of the circle of the same length of turn */
    double height_m;              /* of the wire centre above the former */
    double top_m;                 /* of the layer's outside above the former, insulation over it included */
    double length_m;              /* of wire, one strand */
    double resistance_ohm;        /* of the bundle, at 20 °C, nominal wire */
    double mass_kg;               /* of all strands */
    long turns_total;             /* to the end of this layer */
    double length_total_m, mass_total_kg;
    double voltage_to_below_v;    /* greatest between this layer and the one below */
    bool insulation_after;        /* a sheet goes on before the next layer */
} cw_layer;

/** Where a lead comes out. */
typedef struct cw_tap {
    long turns;                   /* from the start */
    size_t layer;                 /* counted from 0 */
    double at_m, height_m;        /* centre of the bundle there, from the start flange and above the former */
    double length_m, resistance_ohm; /* from the start; the latter at 20 °C, of the bundle */
} cw_tap;

typedef struct cw_winding {
    cw_lay_plan plan;             /* as asked for */
    cw_layer *layers;             /* [layer_count]; owned */
    size_t layer_count;
    long turns;
    long turns_per_layer;         /* of a full layer */
    double pitch_m;
    double depth_m;               /* of the wound wire at its thickest, base and bulge included, outer wrap not */
    double mean_turn_m;
    double length_m;              /* of one strand */
    double wire_length_m;         /* of all strands together: what to buy, without margin */
    double resistance_20c_ohm;    /* of the bundle, nominal */
    cw_band resistance_band_ohm;  /* by the wire's own band, 20 °C */
    double mass_kg;               /* all strands, covering on */
    double bare_mass_kg;
    double fill;                  /* conductor section over the window's section */
    double covered_fill;          /* the same with the covering on */
    bool fits;                    /* depth_m and the outer wrap are no deeper than the window */
    double spare_m;               /* depth left; negative: by how much it is too deep */
    double crossover_m;           /* nested lay: depth in the sector where the wires cross and stack by D, 30 to 60 degrees of
                                     a round turn or one short side [winding: §2.2]; the other lays: depth_m */
    double greatest_layer_voltage_v; /* between two layers that lie on each other; random lay: the whole voltage */
    cw_tap taps[CW_TAPS_MOST];
    size_t tap_count;
    size_t second_layer;          /* first layer of a second wire, in series on the first; 0: one wire throughout */
    cw_wire second_wire;
    size_t section_count;         /* several, one behind the other with partitions between; else 0 */
    size_t section_layer[CW_COIL_PARTS_MOST]; /* first layer of each */
    double section_start_m[CW_COIL_PARTS_MOST], section_length_m; /* layers' places are from the start flange of all */
} cw_winding;

/** Sets the factors of common practice that are still 0, and leaves the others. */
CW_API void cw_winding_defaults(cw_lay_plan *plan);

/** Lays the winding, whether it fits or not (`fits` says).
 *
 *  CW_BAD_INPUT  no turns, a window without room for one turn, factors out of range, a layer count beyond 100 000:
 *                with what to change
 *  winding       receives a new winding; cw_winding_destroy
 *
 *  Invariants: sum of layer turns = turns; every layer within [0, length]; lengths, resistances and masses add up.
 *  Test: tests/winding/test_lay.c, tests/outside/winding_examples.c */
CW_API cw_status cw_winding_lay(const cw_lay_plan *plan, cw_winding **winding, cw_error *error);
CW_API void cw_winding_destroy(cw_winding **winding);

/** The wire of a layer, counted from 0. */
CW_API const cw_wire *cw_winding_wire(const cw_winding *winding, size_t layer);

/** The section, counted from 1, that begins behind a layer; 0 where none does. */
CW_API size_t cw_winding_section_behind(const cw_winding *winding, size_t layer);

/** Length along the axis that the plan leaves to the wire: the window's less margins and start lead. */
CW_API double cw_winding_clear_length(const cw_lay_plan *plan);

/** By how much the longest flat bellies out at that height above the former; 0 for a round window. */
CW_API double cw_window_bulge(const cw_window *window, double height_m, double bulge);

/* ---- several windings in series on one former -------------------------------------------------------------- */

typedef enum cw_arrangement {
    CW_ONE_ON_ANOTHER, /* each begins where the one below ended, over `between_m` of sheet */
    CW_SIDE_BY_SIDE    /* sections of equal length with partitions `between_m` thick; each starts at its start side */
} cw_arrangement;

typedef struct cw_coil_part {
    cw_wire wire;
    int in_hand;
    long turns;
} cw_coil_part;

/** Zero-initialise, then fill. */
typedef struct cw_coil_plan {
    cw_lay_plan common;           /* window, factors, sheets, margins, sleeve and wrap, voltage of the whole coil; wire,
                                     in_hand, turns, base, from_far and taps in it are not read */
    cw_coil_part parts[CW_COIL_PARTS_MOST];
    size_t part_count;
    cw_arrangement arrangement;
    double between_m;
} cw_coil_plan;

typedef struct cw_coil {
    cw_winding *parts[CW_COIL_PARTS_MOST]; /* owned */
    double start_m[CW_COIL_PARTS_MOST];    /* of each part's window from the start flange */
    size_t part_count;
    long turns;
    double length_m;              /* of a strand from end to end */
    double resistance_20c_ohm;
    cw_band resistance_band_ohm;
    double mass_kg;
    double depth_m, spare_m;      /* deepest part, as in cw_winding */
    bool fits;
    double between_voltage_v;     /* greatest between two parts that lie beside or on each other */
} cw_coil;

/** Lays all parts. Refuses what cw_winding_lay refuses; a part's place is named.
 *  coil  receives a new one; cw_coil_destroy
 *  Test: tests/winding/test_coil.c */
CW_API cw_status cw_coil_lay(const cw_coil_plan *plan, cw_coil **coil, cw_error *error);
CW_API void cw_coil_destroy(cw_coil **coil);

/** Two windings on each other, one strand each, as one winding with a second wire; or sections of one wire as one
 *  winding with its sections' layers one after the other; a coil of one part as that part. Plan and pitch tell of the
 *  first part, everything else of the whole. The lower one's last layer must be full, so that the upper begins where a
 *  layer would anyway.
 *
 *  CW_BAD_INPUT  more parts or strands on each other, a lower part that ends within a layer
 *  Test: tests/winding/test_coil.c */
CW_API cw_status cw_coil_join(const cw_coil *coil, cw_winding **winding, cw_error *error);

/** Length of one turn with its wire centre height_m above the former, without helix and bulge. */
CW_API double cw_window_turn_length(const cw_window *window, double height_m);

/** Everything about the window that makes it unusable, as a sentence; CW_OK where it is sound. */
CW_API cw_status cw_window_check(const cw_window *window, const cw_place *at, cw_error *error);

CW_API const char *cw_shape_name(cw_shape shape); /* "round" */
CW_API const char *cw_lay_name(cw_lay lay);       /* "level" */

#ifdef __cplusplus
}
#endif
#endif
