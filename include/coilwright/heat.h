/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does it stay cool: conduction in the coil and its magnet, losses into the air, over time.
 *
 * Knows: materials and how they conduct, a winding as one anisotropic material, surfaces in still air, resistance that
 * rises with temperature. Needs: base, wire, mesh. Refuses to know: the field, the job file, how a coil is laid.
 * Method, equations, limits and what was measured: docs/heat.md.
 *
 * Three depths of the same question, to agree with each other in the tests:
 *   - cw_heat_quick: one rectangular winding, faces with a coefficient each, an iron body as one lump
 *   - cw_heat: finite elements on a section of parts
 *   - closed forms and the resistance method, for what was measured */
#ifndef COILWRIGHT_HEAT_H
#define COILWRIGHT_HEAT_H

#include "coilwright/base.h"
#include "coilwright/mesh.h"
#include "coilwright/wire.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- materials ------------------------------------------------------------------------------------------------ */

/** A row of data/thermal_materials.csv. NAN where unknown. */
typedef struct cw_heat_material {
    char name[72];
    cw_band conductivity_w_per_mk;
    double density_kg_m3, specific_heat_j_per_kg_k;
    double glass_c;          /* glass transition; of a range the low end */
    double deflection_c;     /* heat deflection under 1.8 MPa; of a range the low end */
    double limit_c;          /* the lower of continuous use and thermal class */
    double emissivity;       /* of a range the middle */
} cw_heat_material;

/** By its name in the table, case aside, or by the first row that begins with it, contains it or has all its words
 *  ("pa12", "epoxy", "filled epoxy").
 *  CW_BAD_INPUT names the nearest. */
CW_API cw_status cw_heat_material_find(const char *name, size_t length, const cw_place *at,
                                       cw_heat_material *material, cw_error *error);

/** An enamel of new wire: a row of data/insulation_enamels.csv. */
typedef struct cw_heat_enamel {
    char name[48];
    double class_c;
    double bath_low_c, bath_high_c;  /* of solder that goes through it; NAN: it is scraped */
    char iec[24], nema[24];
} cw_heat_enamel;

/** The enamels whose class is not below class_c, lowest first; at most `most`. Returns how many. */
CW_API size_t cw_heat_enamels(double class_c, cw_heat_enamel *enamel, size_t most);

/** The lowest class of IEC 60085 that stands a temperature: 90, 105, 120, 130, 155, 180, 200, 220, 250, then in steps of
 *  25. [heat: §1.1, from memory and a reprint; the number is that of the hottest place] */
CW_API double cw_heat_least_class_c(double temperature_c);

/** Loss of iron in sheets on ac, W/kg: of a good, a middling (M-36) and a plain old electrical steel (M-47).
 *  peak_t, frequency_hz  of the flux density, a sine. Solid iron loses many times more.
 *  Source: Shane and Sudhoff 2010. Test: tests/outside/heat_examples.c */
CW_API cw_band cw_heat_lamination_loss(double peak_t, double frequency_hz);

/* ---- the resistance method and life --------------------------------------------------------------------------- */

/** Temperature from a cold and a hot resistance: (hot/cold) (k + cold_c) - k, k = 1/alpha20 - 20 of the conductor.
 *  Source: IEC 60034-1, UL 1446 practice. Test: tests/outside/heat_examples.c */
CW_API double cw_heat_by_resistance_c(double cold_ohm, double cold_c, double hot_ohm, double k);

/** k of a conductor from two readings at known temperatures: 234.5 copper, 225 aluminium. */
CW_API double cw_heat_k_from_readings(double ohm, double at_c, double other_ohm, double other_at_c);

/** Life relative to that at the class temperature: halves with each 10 K above. An order of magnitude. */
CW_API double cw_heat_life_ratio(double class_c, double hot_spot_c, double halving_k);
#define CW_HALVING_K 10.0
#define CW_CLASS_LIFE_H 20000.0

/** A body of one time constant. */
typedef struct cw_heat_curve { double final_k, time_constant_s; } cw_heat_curve;

/** From rises at t and 2 t after a cold start. CW_BAD_INPUT where they do not bend. */
CW_API cw_status cw_heat_curve_of_two(double rise_k, double later_rise_k, double step_s, cw_heat_curve *curve,
                                      cw_error *error);

/** Final rise from three rises at equal spacing, wherever the curve began; NAN where they do not bend. */
CW_API double cw_heat_final_of_three_k(double first_k, double second_k, double third_k);

/** Intermittent duty of a body whose rise is the sum of `count` such curves (winding to iron, iron to air, say):
 *  the rise at the end of the on-time of the settled cycle, and the longest on-time from cold for limit_k, INFINITY
 *  where it never gets there. */
CW_API double cw_heat_duty_peak_k(const cw_heat_curve *curves, size_t count, double on_s, double period_s);
CW_API double cw_heat_longest_on_s(const cw_heat_curve *curves, size_t count, double limit_k);

/* ---- surfaces in still air ------------------------------------------------------------------------------------ */

typedef struct cw_heat_air {
    double conductivity_w_per_mk, viscosity_m2_s, diffusivity_m2_s, prandtl;
} cw_heat_air;

/** Dry air at one atmosphere, -70 to 500 °C. Source: U.S. Standard Atmosphere 1976, eqs. (51), (53). */
CW_API void cw_heat_air_at(double temperature_c, cw_heat_air *air);

/** Nusselt numbers of natural convection; ra on the length that the source uses.
 *  Sources: Churchill and Chu 1975 (both), McAdams (plates), Holman table 7-1 (block), Popiel 2007 (slender). */
CW_API double cw_heat_nusselt_vertical(double ra, double prandtl);
CW_API double cw_heat_nusselt_vertical_laminar(double ra, double prandtl);
CW_API double cw_heat_nusselt_slender(double ra, double prandtl, double height_over_diameter);
CW_API double cw_heat_nusselt_horizontal_cylinder(double ra, double prandtl);
CW_API double cw_heat_nusselt_plate_up(double ra);
CW_API double cw_heat_nusselt_plate_down(double ra);
CW_API double cw_heat_nusselt_block(double ra);

typedef enum cw_surface_kind {
    CW_SURFACE_VERTICAL,       /* size_m: its height; other_m: diameter of a cylinder, 0 flat */
    CW_SURFACE_HORIZONTAL_CYLINDER, /* size_m: diameter */
    CW_SURFACE_UP,             /* faces up; size_m: area over perimeter */
    CW_SURFACE_DOWN,
    CW_SURFACE_BLOCK,          /* all round; size_m: half the bottom, the side and half the top along one path */
    CW_SURFACE_FIXED,          /* coefficient_w_per_m2k to sink_c: bolted to something, blown at, in oil */
    CW_SURFACE_KIND_COUNT
} cw_surface_kind;

typedef struct cw_surface {
    cw_surface_kind kind;
    double size_m, other_m;
    double emissivity;
    double coefficient_w_per_m2k; /* fixed */
    double sink_c;                /* air and walls around, or what it is bolted to */
    double scale;                 /* of the convective part or the fixed coefficient; 0 counts as 1 */
} cw_surface;

/** Heat flux off a surface and its slope over the surface's temperature; W/m2, W/(m2 K). */
CW_API void cw_surface_flux(const cw_surface *surface, double temperature_c, double *flux, double *slope);

/** flux / (temperature - sink), radiation included. */
CW_API double cw_surface_coefficient(const cw_surface *surface, double temperature_c);

#define CW_CONVECTION_SPREAD 0.15 /* half-width: respectable correlations differ by as much */

/* ---- the winding as a material -------------------------------------------------------------------------------- */

/** Conductivity across parallel round rods in a matrix. v: share of the rods' section.
 *  Random rods: Hashin and Shtrikman's bound in the plane, which is Maxwell's and Rayleigh's first formula.
 *  Square and hexagonal arrays: W. T. Perrins, D. R. McKenzie and R. C. McPhedran, Proc. R. Soc. A 369, 1979, cut
 *  after three terms: within 0.1 % to v 0.6 and 0.8, the square 0.4 % low at 0.7.
 *  Test: tests/heat/test_winding_material.c */
CW_API double cw_conductivity_random(double rod, double matrix, double v);
CW_API double cw_conductivity_square(double rod, double matrix, double v);
CW_API double cw_conductivity_hexagonal(double rod, double matrix, double v);

/** A rod with a coat as one rod. v: share of the core. Exact, composite cylinder. */
CW_API double cw_conductivity_coated(double core, double coat, double v);

typedef enum cw_impregnation { CW_DRY, CW_VARNISHED, CW_POTTED, CW_IMPREGNATION_COUNT } cw_impregnation;
typedef enum cw_array { CW_ARRAY_SQUARE, CW_ARRAY_HEXAGONAL, CW_ARRAY_RANDOM } cw_array;

typedef struct cw_winding_material_plan {
    double bare_m, overall_m;       /* of the wire */
    double pitch_m, rise_m;         /* along the axis, from layer to layer; random: any with the right product */
    double conductor_w_per_mk, conductor_j_per_m3k;
    cw_array array;
    cw_impregnation impregnation;
    cw_band resin_w_per_mk;         /* potted: of the compound; zeros take unfilled epoxy */
    cw_band enamel_w_per_mk;        /* zeros take the table's */
    double sheet_m;                 /* between layers on average: thickness times sheets over layers; 0 none */
    double sheet_w_per_mk;          /* 0: dry paper */
} cw_winding_material_plan;

typedef struct cw_winding_material {
    cw_band across_w_per_mk;        /* from layer to layer: x or radius */
    cw_band along_axis_w_per_mk;    /* from turn to turn */
    double along_wire_w_per_mk;
    double capacity_j_per_m3k;
    double copper_share;            /* of the section */
} cw_winding_material;

CW_API cw_status cw_winding_material_of(const cw_winding_material_plan *plan, cw_winding_material *material,
                                        cw_error *error);

/* ---- the drive ------------------------------------------------------------------------------------------------ */

typedef enum cw_drive_kind { CW_DRIVE_VOLTAGE, CW_DRIVE_CURRENT } cw_drive_kind;

/** What feeds the coil. Its loss is I^2 R20 (1 + alpha (T - 20)) with the temperature of each place. */
typedef struct cw_drive {
    cw_drive_kind kind;
    double value;                   /* V or A, rms */
    double resistance_20c_ohm;
    double alpha_20c_per_k;         /* 0.00393 copper */
} cw_drive;

/* ---- quick estimate ------------------------------------------------------------------------------------------- */

enum { CW_FACE_INSIDE, CW_FACE_OUTSIDE, CW_FACE_BOTTOM, CW_FACE_TOP };

/** One face of the winding. */
typedef struct cw_heat_face {
    double coefficient_w_per_m2k;   /* of the layer between winding and surface or iron; INFINITY none, 0 insulated */
    bool to_iron;                   /* ends in the iron body; else in the air by `surface` */
    cw_surface surface;
} cw_heat_face;

typedef struct cw_heat_quick_plan {
    double inner_radius_m, outer_radius_m, length_m; /* of the winding; other shapes: of the circle of equal turn */
    cw_winding_material material;
    cw_drive drive;
    cw_heat_face face[4];
    double iron_area_m2;            /* of the iron body in the air; 0 no iron */
    cw_surface iron_surface;
    double ambient_c;               /* of every surface's air */
} cw_heat_quick_plan;

typedef struct cw_heat_quick_result {
    bool runs_away;                 /* at constant current no steady state exists; the rest is NAN */
    double hot_spot_c, mean_winding_c, surface_c, iron_c; /* surface: greatest at the air; iron: NAN none */
    double hot_spot_doubt_k;        /* half-width, 95 %: correlations, emissivity, conductivity of the winding */
    double resistance_hot_ohm, current_a, power_w;
    double coefficient_w_per_m2k;   /* power over exposed area and mean surface rise: to compare with handbooks */
    int iterations;
} cw_heat_quick_result;

/** Hot spot and mean to 1 % of the rise for surfaces in air, 2 % where faces are held cold; about 2 ms with its doubt.
 *  Test: tests/heat/test_quick.c */
CW_API cw_status cw_heat_quick(const cw_heat_quick_plan *plan, cw_heat_quick_result *result, cw_error *error);

/** Sets the faces for a coil on a bare former in air: outside bare, ends through the flanges; nothing goes through
 *  the bore, whose air hardly moves. Radii and length must be set. axis_up: how it stands. */
CW_API void cw_heat_quick_bobbin(cw_heat_quick_plan *plan, double flange_m, double former_w_per_mk, bool axis_up);

/** The same for a coil in an iron pot or frame of that outer diameter and height: all faces to the iron through the
 *  former (none outside) and a film of filler (still air: 0.026 W/(m K)), the iron to the air all round. */
CW_API void cw_heat_quick_pot(cw_heat_quick_plan *plan, double wall_m, double flange_m, double former_w_per_mk,
                              double film_m, double film_w_per_mk, double diameter_m, double height_m);

/* ---- finite elements ------------------------------------------------------------------------------------------ */

enum { CW_MOST_HEAT_PARTS = 32, CW_MOST_CONTACTS = 32 };

typedef enum cw_heat_part_kind {
    CW_PART_SOLID,  /* conducts; closed pockets of air too */
    CW_PART_AIR,    /* open air: what borders it loses heat to the ambient */
    CW_PART_SINK    /* what borders it loses heat through coefficient_w_per_m2k to sink_c */
} cw_heat_part_kind;

/** A rectangle of something. Later parts cover earlier ones; what none covers is open air. */
typedef struct cw_heat_part {
    char name[32];
    cw_heat_part_kind kind;
    double x[2], y[2];                  /* low, high; x is the radius in an axisymmetric section */
    double conductivity_w_per_mk[2];    /* along x and y */
    double conductivity_spread;         /* factor to the greatest and least likely value, 1 or 0: none */
    double capacity_j_per_m3k;
    double emissivity;                  /* of its surface in open air */
    double limit_c;                     /* greatest temperature it may have; NAN none */
    double loss_w;                      /* of its own, besides the coil's: eddy currents, say */
    double loss_spread;                 /* factor to its greatest and least likely value, 1 or 0: none */
    bool winding;                       /* carries the coil's loss */
    double coefficient_w_per_m2k, sink_c;
} cw_heat_part;

/** Imperfect contact between two parts that touch. Parts without one touch perfectly. */
typedef struct cw_heat_contact {
    int part, other;
    double coefficient_w_per_m2k;
} cw_heat_contact;

typedef struct cw_heat_section {
    bool planar;                        /* else round the axis x = 0 */
    double depth_m;                     /* planar; nothing leaves along it */
    bool mirrored;                      /* planar: x = 0 is a mirror, and only x > 0 is given */
    bool lying;                         /* y is level; else y is up */
    cw_heat_part part[CW_MOST_HEAT_PARTS];
    int part_count;
    cw_heat_contact contact[CW_MOST_CONTACTS];
    int contact_count;
    double ambient_c;
    cw_drive drive;
    double convection_scale;            /* of all convection, 0 counts as 1; from a heat run */
    double conductivity_scale;          /* of the windings, likewise */
    double convection_spread;           /* relative half-width, 95 %; 0: CW_CONVECTION_SPREAD, without a heat run */
} cw_heat_section;

/** How well. Zero members take the default. */
typedef struct cw_heat_wish {
    double fineness;                    /* cells at a line relative to the default; 2 halves them */
    int halvings;                       /* of all cells: for studies of convergence */
} cw_heat_wish;

/** A section being worked on. */
typedef struct cw_heat cw_heat;

/** wish may be NULL. Refuses a section without a part that conducts or a way for the heat to leave. */
CW_API cw_status cw_heat_create(const cw_heat_section *section, const cw_heat_wish *wish, cw_heat **heat,
                                cw_error *error);
/** The same on a mesh made elsewhere, whose regions are 1 + the part's index; 0 open air. The mesh is lent. */
CW_API cw_status cw_heat_create_on(const cw_heat_section *section, const cw_mesh *mesh, cw_heat **heat,
                                   cw_error *error);
CW_API void cw_heat_destroy(cw_heat **heat);

typedef struct cw_heat_part_result {
    char name[32];
    double most_c, mean_c, limit_c, margin_k; /* margin: limit less greatest; NAN where no limit */
} cw_heat_part_result;

typedef struct cw_heat_result {
    bool runs_away;                     /* the rest is NAN */
    double hot_spot_c, hot_spot_x_m, hot_spot_y_m; /* in the windings */
    double hot_spot_doubt_k;            /* half-width, 95 %; NAN where it was not asked for */
    double mean_winding_c;              /* as the resistance method measures it */
    double surface_c;                   /* greatest in open air: what a hand touches */
    double resistance_hot_ohm, current_a, power_w;
    double power_out_w, energy_error;   /* through all surfaces; of the balance, relative */
    double margin_k;                    /* least of all parts; NAN no limits */
    int tightest;                       /* the part that has it; -1 none */
    cw_heat_part_result part[CW_MOST_HEAT_PARTS];
    int part_count;
    size_t unknowns, triangles;
    int iterations;
} cw_heat_result;

/** The steady state of continuous duty. */
CW_API cw_status cw_heat_steady(cw_heat *heat, cw_heat_result *result, cw_error *error);

/** The same with its doubt: convection by its spread, emissivities by 0.05, windings and other parts by
 *  their conductivity_spread, losses by theirs, each by itself, on a coarse mesh; half-widths added in squares. */
CW_API cw_status cw_heat_steady_with_doubt(const cw_heat_section *section, const cw_heat_wish *wish,
                                           cw_heat_result *result, cw_error *error);

/** That doubt alone; of a section that does not run away. */
CW_API cw_status cw_heat_doubt(const cw_heat_section *section, double *half_width_k, cw_error *error);

/** Temperature at a node of the mesh as last solved; NAN in open air. On a contact the hotter side. */
CW_API const cw_mesh *cw_heat_mesh(const cw_heat *heat);
CW_API const cw_heat_section *cw_heat_section_of(const cw_heat *heat);
CW_API void cw_heat_node_temperatures(const cw_heat *heat, double *temperature_c);

/** Greatest temperature of the windings as last solved; place_m receives where, and may be NULL. */
CW_API double cw_heat_hottest_winding_c(const cw_heat *heat, double place_m[2]);

/* ---- over time ------------------------------------------------------------------------------------------------ */

typedef struct cw_heat_duty {
    double on_s, period_s;              /* continuous: on_s INFINITY */
    double start_c;                     /* everything, at first; NAN: the ambient */
    double longest_s;                   /* to follow at most; 0: until settled */
    double tolerance_k;                 /* of a step; 0: 0.2, which leaves about 0.01 K */
} cw_heat_duty;

typedef struct cw_heat_point {
    double time_s, hot_spot_c, mean_winding_c, surface_c, power_w;
} cw_heat_point;

typedef struct cw_heat_run {
    bool runs_away;                     /* a winding passed 500 degrees; stopped there */
    bool settled;                       /* the last cycle changed the peak by less than 0.1 K (continuous: 0.1 %) */
    int cycles;
    double peak_hot_spot_c;             /* at the end of the on-time of the last cycle */
    double peak_mean_winding_c, trough_hot_spot_c;
    double time_constant_s;             /* until the mean rise of the winding is 63.2 % of its last (continuous) */
    double longest_on_s;                /* from cold until the first part passes its limit; INFINITY never, NAN not
                                           known (intermittent) */
    int longest_part;                   /* that part; -1 none */
    double surface_c;                   /* greatest in open air at the end of the on-time of the last cycle */
    double heat_in_j, heat_out_j, heat_stored_j, energy_error; /* error relative to heat_in_j */
    long steps, factorisations;
    cw_heat_part_result part[CW_MOST_HEAT_PARTS]; /* greatest over the last cycle; mean at the end of its on-time */
    int part_count;
    double margin_k;                    /* least of all parts; NAN no limits */
    int tightest;                       /* the part that has it; -1 none */
    cw_heat_point *curve;               /* shape [count]; owned */
    size_t count;
} cw_heat_run;

/** Follows the duty from start_c. The section is left as it is at the end of the last on-time: cw_heat_at and the map
 *  show that moment. cw_heat_run_clear when done. */
CW_API cw_status cw_heat_follow(cw_heat *heat, const cw_heat_duty *duty, cw_heat_run *run, cw_error *error);
CW_API void cw_heat_run_clear(cw_heat_run *run);

/* ---- one heat run --------------------------------------------------------------------------------------------- */

typedef struct cw_heat_reading {
    double time_s, resistance_ohm, ambient_c;
    double doubt_ohm;                   /* half-width, 95 % */
} cw_heat_reading;

typedef struct cw_heat_fit {
    double convection_scale, convection_doubt;     /* relative half-width, 95 % */
    double conductivity_scale, conductivity_doubt;
    double worst_z;                     /* greatest misfit of a reading in its own standard deviations */
    int iterations;
} cw_heat_fit;

/** Fits the surfaces' convection and the windings' conductivity to readings of a run at the section's drive that began
 *  at the first reading, cold. What the readings do not tell stays at its prior: 1 within CW_CONVECTION_SPREAD, and
 *  1 within the windings' conductivity_spread. */
CW_API cw_status cw_heat_fit_run(const cw_heat_section *section, const cw_heat_reading *readings, size_t count,
                                 cw_heat_fit *fit, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
