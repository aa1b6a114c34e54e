/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The magnet as it stands: flux, pull and flux linkage by nonlinear finite elements.
 *
 * Knows: sections of iron, coils and air, round an axis or straight with a depth. Needs: base, mesh, iron. Refuses to
 * know: wire, heat, time. Method, equations, limits and what was measured: docs/field.md.
 *
 * The keys by which a job file's `magnet:` may call the dimensions are the field names below without their unit:
 * `outer_diameter: 80 mm`, `pole_diameter: ...`, `plate: {thickness: ..., iron: ..., width: ...}`,
 * `coil: {inside: ..., outside: ..., length: ..., offset: ...}`. */
#ifndef COILWRIGHT_FIELD_H
#define COILWRIGHT_FIELD_H

#include "coilwright/base.h"
#include "coilwright/mesh.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_MOST_PARTS = 32, CW_MOST_MAGNET_COILS = 8 };

/* ---- sections ------------------------------------------------------------------------------------------------- */

/** An area of something. Later parts cover earlier ones; all that is not covered is air. */
typedef struct cw_part {
    char name[32];
    double x[2], y[2];  /* low, high of a rectangle; x is the radius in an axisymmetric section */
    char iron[40];      /* name in data/bh/iron.csv, or "linear 1000" for a permeability; "" no iron */
    int coil;           /* number from 0 of the coil it is a side of; -1 none */
    double turns;       /* of that coil through this part; below zero where the current comes out of the page */
    bool moves;         /* belongs to the part whose pull is asked; shifted up by the gap */
    double drop_m;      /* of a stop's upper or a plunger's lower face: how much lower it lies on the axis than at its
                           rim, a cone; alike in both. 0 flat */
    bool air;           /* neither iron nor coil: a hole in an earlier part */
    const cw_contour_point *contour; /* lent; shape [contour_count]: any outline instead of the rectangle, else NULL.
                                        One such part, and the whole section gets triangles of free shape */
    size_t contour_count;
    double lift_m;      /* added to the outline's y */
} cw_part;

/** A whole section. Gap 0 is where the moving parts stand as written; a gap shifts them up. */
typedef struct cw_section {
    bool planar;        /* else round the axis x = 0 */
    double depth_m;     /* planar: into the page */
    bool mirrored;      /* planar: x = 0 is a mirror that the flux does not cross; only x > 0 is given */
    cw_part part[CW_MOST_PARTS];
    size_t part_count;
    int coil_count;
    double applied_t;   /* uniform field along y from elsewhere; for checks */
} cw_section;

/* ---- magnets -------------------------------------------------------------------------------------------------- */

typedef enum cw_magnet_shape { CW_MAGNET_POT, CW_MAGNET_PLUNGER, CW_MAGNET_U, CW_MAGNET_E, CW_MAGNET_SECTION }
    cw_magnet_shape;

/** A coil's section. Inside and outside are diameters round an axis, widths across the leg in straight magnets. */
typedef struct cw_magnet_coil {
    double inside_m, outside_m;
    double length_m;    /* along the pole */
    double offset_m;    /* from the inner face of the base */
    double turns;       /* of one coil */
} cw_magnet_coil;

/** A magnet in the words of the trade. Lengths that a shape does not use are ignored.
 *
 *  pot: round an axis                          plunger: round an axis
 *
 *    ┌───────────────────────┐ plate             ├─guide gap    ┌───┐
 *    └───────────────────────┘                   ┌──────┐ │     │   │ plunger      ┌──────┐ collar
 *      gap                                       │ wall ├───────┤   ├──────────────┤ wall │
 *    ┌──┐  ┌─┐  ┌────┐  ┌─┐  ┌──┐ faces          │      │ coil  │   │     coil     │      │
 *    │  │  │c│  │pole│  │c│  │  │                │      │       └───┘              │      │ length
 *    │rim  │o│  │    │  │o│  │  │ height         │      │        gap               │      │
 *    │  │  │i│  │    │  │i│  │  │                │      │       ┌───┐ stop         │      │
 *    │  └──┴─┴──┴────┴──┴─┴──┘  │                │      ├───────┘   └──────────────┤      │
 *    └──────── base ────────────┘                └──────┴────── base ──────────────┴──────┘
 *
 *  u: straight, depth into the page            e: straight, depth into the page
 *
 *    ┌───────────────────┐ plate                 ┌───────────────────────┐ plate
 *    └───────────────────┘                       └───────────────────────┘
 *      ┌────┐     ┌────┐   faces                 ┌───┐    ┌──────┐   ┌───┐ faces
 *      │pole│     │pole│                         │rim│    │ pole │   │rim│
 *      │    │     │    │   height                │   │    │      │   │   │ height
 *      │    └─────┘    │                         │   └────┘      └───┘   │
 *      └──── base ─────┘                         └──────── base ─────────┘
 *       window between the poles                  window between pole and rim
 *
 *  `height` runs from the back of the base to the pole faces; `length` of a plunger magnet over all. */
typedef struct cw_magnet {
    cw_magnet_shape shape;
    char iron[40];              /* of pole, base, rim, wall */
    double outer_diameter_m;    /* pot, plunger */
    double pole_diameter_m;     /* pot; plunger: of the plunger and its stop */
    double bore_diameter_m;     /* pot, plunger: hole along the axis through pole, stop and base; 0 none */
    double rim_thickness_m;     /* pot, plunger (its wall), e: of one outer pole */
    double base_thickness_m;
    double height_m;            /* pot, u, e; plunger: length over all */
    double stop_length_m;       /* plunger: of the fixed stop above the base; 0 none */
    double cone_height_m;       /* plunger: its end a cone that enters the stop so deep; 0 flat. The gap is axial */
    double collar_thickness_m;  /* plunger: of the ring at the open end */
    double guide_gap_m;         /* plunger: between plunger and collar, on the radius */
    double plunger_length_m;    /* plunger: 0 lets it stand out of the collar by its own radius at no gap */
    char plunger_iron[40];      /* "" as the rest */
    double pole_width_m;        /* u, e: across */
    double window_width_m;      /* u, e */
    double depth_m;             /* u, e */
    bool coil_on_base;          /* u: one coil round the base; else one on each pole, helping each other */
    double plate_thickness_m;
    double plate_width_m;       /* pot: its diameter; u, e: its length across; 0: as wide as the magnet */
    double plate_shift_m;       /* u: sideways from the middle; so that it covers one pole only partly */
    char plate_iron[40];
    double gap_m;
    cw_magnet_coil coil;
    double current_a;
    const cw_section *section;  /* CW_MAGNET_SECTION: lent */
} cw_magnet;

/** The section of a magnet at no gap. Refuses what does not fit, naming the part. */
CW_API cw_status cw_magnet_section(const cw_magnet *magnet, cw_section *section, cw_error *error);

/** Refuses what cannot be at a gap, naming the part: see cw_field_create and cw_field_solve. */
CW_API cw_status cw_section_check(const cw_section *section, double gap_m, cw_error *error);

/** Faces of magnet and work piece, and the air gap that they amount to. */
typedef enum cw_face_state {
    CW_SURFACE_MACHINED, /* bare, flat */
    CW_SURFACE_BLASTED,  /* or lightly painted */
    CW_SURFACE_SCALED    /* heavy rust, scale or thick paint */
} cw_face_state;

/** The usual range of the gap between such faces, with a layer of known thickness (paint, chrome, brass) added.
 *
 *  layer_m  0 or more; low_m, high_m receive the range
 *
 *  Source: safety page of a maker of lifting magnets, as collected: 0.05 to 0.1, 0.1 to 0.3, 0.4 to 0.8 mm.
 *  Test: tests/field/test_field.c */
CW_API void cw_surface_gap(cw_face_state surface, double layer_m, double *low_m, double *high_m);

/* ---- solving -------------------------------------------------------------------------------------------------- */

/** How well. Zero members take the default. */
typedef struct cw_field_wish {
    double error;           /* of the pull, relative; default 0.005 */
    size_t most_unknowns;   /* default 200,000 */
    double coarse;          /* size of the cells of the first mesh, relative to the default; 1 is usual */
    int halvings;           /* of all cells of the first mesh: for studies of convergence */
    bool keep_mesh;         /* no refinement */
} cw_field_wish;

/** What a part of iron carries. */
typedef struct cw_part_result {
    char name[32];
    double flux_wb;             /* between the outermost flux lines in it */
    double density_t;           /* root mean square over its volume */
    double peak_density_t;      /* at the middles of its triangles: corners peak without limit as a mesh is refined */
    double saturation;          /* density_t over the iron's saturation polarization */
    double share;               /* of int H.B dV of the whole: where the ampere-turns go */
} cw_part_result;

typedef struct cw_field_result {
    double gap_m;
    double ampere_turns;        /* sum of the coils' sizes */
    double force_n;             /* pull that closes the gap, by virtual work */
    double force_stress_n;      /* by the weighted stress tensor in a layer round the moving part */
    double force_difference;    /* of the two, relative */
    double flux_linkage_wb[CW_MOST_MAGNET_COILS];
    double inductance_h;        /* flux linkage of all coils in series over their common current */
    double incremental_inductance_h;
    double energy_j, coenergy_j;
    double energy_check;        /* energy + coenergy over int J.A dV, less 1 */
    double error_estimate;      /* of the pull, relative */
    double linkage_error_estimate;
    bool reached;               /* the wished error was reached */
    size_t unknowns, triangles;
    int iterations;             /* Newton steps on the last mesh */
    int all_iterations;         /* with those on coarser ones and with first-order elements */
    int refinements;
    double decrement;           /* energy of the last Newton step over that of the whole */
    double solver_residual;     /* of the last linear solve, relative */
    double leakage_factor;      /* flux of the fullest part over that of the moving part */
    cw_part_result part[CW_MOST_PARTS];
    size_t part_count;
    int saturates_first;        /* index of the part nearest to saturation; -1 none */
} cw_field_result;

/** A section being worked on: keeps mesh, order of elimination and last solution from call to call. */
typedef struct cw_field cw_field;

/** wish may be NULL. Refuses, naming the part: an outline without area or that crosses itself, a part of no material, a
 *  coil that is not in air, moving iron that overlaps the rest. Outlines are lent until the field is destroyed. */
CW_API cw_status cw_field_create(const cw_section *section, const cw_field_wish *wish, cw_field **field,
                                 cw_error *error);
CW_API void cw_field_destroy(cw_field **field);

/** Solves at a gap, for a current in each coil; starts from the last solution, mesh morphed.
 *  current_a  shape [section.coil_count] */
CW_API cw_status cw_field_solve(cw_field *field, double gap_m, const double *current_a, cw_field_result *result,
                                cw_error *error);

/** What is left when the current is gone, after it has been as last solved. */
typedef struct cw_residual {
    double force_n[2];          /* pull at the low and the high end of the coercivities */
    char trust;                 /* of the worst known of them: 'S' published, 'M' an order of magnitude */
    char unknown[32];           /* an iron part of whose coercivity nothing is known, taken as none; "" none such */
} cw_residual;

/** Each iron holds on to a field of its own, its coercivity along the flux that magnetized it, H = H(B) - Hc; where that
 *  was weaker than 1.5 T by as much less as the loop is narrower there, (B/1.5)^0.6, by the exponent 1.6 of the loop's
 *  area (C. P. Steinmetz, Trans. AIEE 9, 1892). No worked loops, no blows: a guide. The solution stays as it was.
 *
 *  coercivity_a_per_m  shape [part_count][2], low and high; NULL: by the irons' names
 *  CW_BAD_INPUT        where nothing was solved, or nothing is known of any iron
 *  Test: tests/field/test_residual.c */
CW_API cw_status cw_field_residual(cw_field *field, const double (*coercivity_a_per_m)[2], cw_residual *residual,
                                   cw_error *error);

/** Flux density in tesla at a place in the section as it was last solved; zero far outside. */
CW_API void cw_field_density_t(const cw_field *field, double x_m, double y_m, double density_t[2]);

/** Flux function there: flux between the axis (or the mirror, or infinity) and the place, in weber. Its level lines
 *  are the flux lines. */
CW_API double cw_field_flux_wb(const cw_field *field, double x_m, double y_m);

/** What a picture needs: mesh, flux function at its nodes, flux density at the middles of its triangles. Lent until
 *  the next solve. Triangles whose nodes lie beyond mesh->inside stand for all space: leave them out. */
typedef struct cw_field_view {
    const cw_mesh *mesh;
    const double *flux_wb;            /* shape [node_count] */
    const double (*density_t)[2];     /* shape [triangle_count] */
    const cw_part *part;              /* of a region, by mesh->region - 1, moved to the gap */
    size_t part_count;
} cw_field_view;

CW_API cw_status cw_field_view_of(cw_field *field, cw_field_view *view, cw_error *error);

/** One magnet at its own gap and current. */
CW_API cw_status cw_magnet_solve(const cw_magnet *magnet, const cw_field_wish *wish, cw_field_result *result,
                                 cw_error *error);

/** A curve of results over gaps, over currents, or both: each from the last.
 *  gaps, currents  shapes [count]; of all coils in series
 *  results         shape [count] */
CW_API cw_status cw_magnet_curve(const cw_magnet *magnet, const cw_field_wish *wish, const double *gap_m,
                                 const double *current_a, size_t count, cw_field_result *results, cw_error *error);

/** Pull and flux linkage by the sum of reluctances without leakage or fringing: what a hand sum says.
 *  NAN all of it where the magnet is a section of its own: nothing tells its path. */
typedef struct cw_hand_sum {
    double force_n, flux_wb, flux_linkage_wb, gap_share;
} cw_hand_sum;
CW_API cw_status cw_magnet_hand_sum(const cw_magnet *magnet, cw_hand_sum *sum, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
