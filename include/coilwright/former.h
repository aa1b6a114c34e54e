/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The former that the wire is wound on, and the arbor that carries it in the lathe: what they measure.
 *
 * Knows: outlines, flanges, slots, processes of making and what they do to a size. Needs: base, winding, the tables of
 * materials. Refuses to know: the job file, drawings, the solid kernel (src/solids), how the coil is wound.
 *
 * Axes. z runs along the coil; z = 0 is the outside face of the start flange. x runs along the first size of the window,
 * y across. Everything is symmetric about the axis but slots and pins, which stand on the +x side: at a straight magnet
 * that end is outside its iron.
 *
 *     y|        flange                        z ->  0  f              f+l           l+2f
 *      |   .--------------.                         |##|              |##|  rim
 *      |   |  .--tube--.  |== finish slot, -y       |##|  room for    |##|
 *      |   |  |  bore  |  |                         |##|  the wire    |##|
 *      |   |  '--------'  |== start slot, +y        |##================##|  tube: wall
 *      |   '--------------'                         - - - - - - - - - - - -  bore, axis
 *      +---------------------- x
 *
 * All outlines are rounded rectangles about the axis: the corner radius of a round one is half its diameter, that of an
 * obround half its breadth.
 *     reach(y) = a/2                                   |y| <= b/2 - r
 *              = a/2 - r + sqrt(r^2 - (|y| - b/2 + r)^2)   beyond
 * is how far an outline goes in x at a height y; areas and volumes are integrals of it [geometry].
 *
 * Two sets of sizes. `cw_former_design` gives the part as it must be when it is finished: those stand on the drawing.
 * `cw_former_compensate` gives the part as it must be asked for so that it comes out so: what is printed shrinks, and
 * its holes come out small. Both are the same structure, and volume, box and solids can be had of either. */
#ifndef COILWRIGHT_FORMER_H
#define COILWRIGHT_FORMER_H

#include "coilwright/base.h"
#include "coilwright/quantity.h"
#include "coilwright/winding.h"

#ifdef __cplusplus
extern "C" {
#endif

/** How it is made. Filament, powder and resin are printed. */
typedef enum cw_making {
    CW_FILAMENT, CW_POWDER, CW_RESIN, CW_TURNED, CW_MILLED,
    CW_MAKING_COUNT
} cw_making;

CW_API const char *cw_making_name(cw_making making); /* "filament" */
CW_API bool cw_making_prints(cw_making making);

/** A rounded rectangle about the axis. */
typedef struct cw_outline {
    double size_m[2];  /* along x and y; round: both the diameter */
    double corner_m;   /* round: its radius; obround: half of size_m[1] */
} cw_outline;

/** reach(y) as above, 0 beyond the outline; and its integral from 0 to y, odd in y. */
CW_API double cw_outline_reach(const cw_outline *outline, double y_m);
CW_API double cw_outline_half_strip(const cw_outline *outline, double y_m);
CW_API double cw_outline_area(const cw_outline *outline);
CW_API double cw_outline_perimeter(const cw_outline *outline);

/** The outline at a distance outside (inside: negative). Corners stay concentric; inside they end at a sharp one. */
CW_API cw_outline cw_outline_offset(const cw_outline *outline, double distance_m);

/* ---- what is asked for --------------------------------------------------------------------------------------- */

typedef enum cw_finish_side { CW_FINISH_START_FLANGE, CW_FINISH_FAR_FLANGE, CW_FINISH_BOTH } cw_finish_side;

/** Zero-initialise with cw_former_plan_init, then fill in what is known. NAN and 0 counts: not given. */
typedef struct cw_former_plan {
    cw_window window;             /* of one section */
    const char *material;         /* a name of data/thermal_materials.csv; NULL: PA12 powder-fused */
    double class_c;               /* thermal class that its user knows of it, in place of the tables; NAN none */
    int making;                   /* cw_making; -1: the usual one of the material */
    double wall_m;                /* of the tube; NAN: what core and clearance leave, else the usual */
    double flange_m;              /* thickness of the end flanges; NAN: the usual */
    double middle_m;              /* of a flange between two sections; NAN: as flange_m */
    int sections;                 /* windows beside each other, 1 to CW_FORMER_SECTIONS_MOST */
    double clearance_m;           /* least to the core and to the cavity, on each side. Default 0.2 mm */
    double wrap_m;                /* insulation on the tube, under the first layer: the tube is so much smaller than the
                                     window's inner size. Default 0 */
    double side_wrap_m;           /* insulation on the inside of each flange. Default 0 */
    double rim_m;                 /* how far the flanges stand above the window's depth. Default 0 */
    double fillet_m;              /* in the corner of tube and flange. Default 0 */
    double bore_corner_m;         /* rectangle: of the bore. NAN: concentric with the tube's, or as small as the edges of
                                     the core ask for */
    double slot_m;                /* width of a lead slot; 0: none. Default 3 mm or 1/8 in */
    cw_finish_side finish;        /* flange that the finish leaves by */
    int pins;                     /* blind holes for anchor pins in the start flange, 0, 2 or 4. Default 0 */
    double pin_m;                 /* their diameter. Default 1 mm */
    int tapes;                    /* recesses for tying tape, 0, 2 or 4. Default 0 */
    double tape_m, tape_depth_m;  /* their width and depth. Default 10 mm, 0.3 mm */
    bool split;                   /* in two halves that go round a core that does not open */
    double split_gap_m;           /* between the halves. Default 0.1 mm printed, else 0 */
    double shrink;                /* of the print, as a share; NAN: the usual of the material */
    double hole_growth_m;         /* added to diameters and widths of holes of a print; NAN: the usual of the process */

    double core_m[2];             /* what goes through the bore: round both the diameter; NAN unknown */
    double core_corner_m;         /* its edges. Default 0 */
    double cavity_m[2];           /* what the flanges go into; NAN no limit on that side */
    double cavity_length_m;       /* NAN unknown */
    double hot_c;                 /* how warm the coil runs at the former; NAN unknown */
    double wire_m;                /* overall diameter of the wire, or of each in hand; NAN unknown */
    cw_unit_system units;         /* of the sentences */
} cw_former_plan;

CW_API void cw_former_plan_init(cw_former_plan *plan);

/* ---- the former ---------------------------------------------------------------------------------------------- */

enum { CW_FORMER_SLOTS_MOST = 12, CW_FORMER_PINS_MOST = 4, CW_FORMER_SECTIONS_MOST = CW_COIL_PARTS_MOST };

/** A slot through a flange, open at the rim on the +x side: x >= floor_m, |y - y_m| <= width_m/2. */
typedef struct cw_former_slot {
    int flange;        /* 0 the start flange ... `sections` the far one */
    double y_m;        /* of its middle */
    double width_m;
    double floor_m;    /* of its flat bottom, from the plane through the axis */
    const char *use;   /* "start", "finish", "crossing"; lent for good */
} cw_former_slot;

/** A blind hole in the outside face of the start flange. */
typedef struct cw_former_pin {
    double x_m, y_m, diameter_m, depth_m;
} cw_former_pin;

/** A recess in which a tape lies flush under the first layer and up the inside of both flanges, to tie the winding
 *  with: in every section |x - x_m| <= width/2 on one side in y, from the tube's outline less the depth out to the rim,
 *  and as deep into the flanges. */
typedef struct cw_former_tape {
    double x_m;
    int side;          /* +1 or -1: y */
} cw_former_tape;

typedef struct cw_former {
    cw_shape shape;               /* of the window */
    cw_unit_system units;         /* in which its remark is written, and its user thinks */
    char material[72];
    cw_making making;
    cw_outline bore, tube, flange;
    double flange_m, middle_m;    /* thickness */
    int sections;
    double section_m;             /* clear length between the flanges of one section */
    double length_m;              /* over all */
    double wall_m;                /* of the tube on its flats */
    double fillet_m;              /* 0 none */
    cw_former_slot slots[CW_FORMER_SLOTS_MOST];
    int slot_count;
    cw_former_pin pins[CW_FORMER_PINS_MOST];
    int pin_count;
    cw_former_tape tapes[4];
    int tape_count;
    double tape_m, tape_depth_m;  /* width and depth of the recesses */
    bool split;                   /* at the plane y = 0 */
    double split_gap_m;
    double clearance_core_m, clearance_cavity_m; /* as they come out, on each side; NAN unknown */
    double shrink, hole_growth_m; /* of the making; 0 where it is cut */
    double tolerance_m, tolerance_share; /* usual of the process: the greater of both; 0 where it is cut */
    double softens_c, lasts_c;    /* of the material: it gives way under wire; for years. NAN unknown */
    double density_kg_m3;         /* NAN unknown */
    bool compensated;             /* sizes are those to ask for, not those of the finished part */
    char remark[900];             /* what stands behind the sizes, in sentences; "" nothing to say */
} cw_former;

/** The finished former.
 *
 *  CW_BAD_INPUT with a sentence that says what to change: a wall or flange thinner than the process makes, a material
 *  that gives way below hot_c, a core or cavity that it does not fit, no room left for wire by fillet, wrap or slots,
 *  features that run into each other.
 *  at      where the former stands in the job, for the message; may be NULL
 *  former  left alone on failure
 *  Test: tests/former/test_former.c */
CW_API cw_status cw_former_design(const cw_former_plan *plan, const cw_place *at, cw_former *former, cw_error *error);

/** The sizes to ask for: outlines and lengths over (1 - shrink), holes and slots grown before. A former that is cut
 *  stays as it is. Compensating twice is the same as once. */
CW_API void cw_former_compensate(const cw_former *finished, cw_former *asked);

/** Where a flange begins, 0 the start flange ... `sections` the far one; and how thick it is. */
CW_API double cw_former_flange_at(const cw_former *former, int flange);
CW_API double cw_former_flange_thickness(const cw_former *former, int flange);

/** A piece: the whole where it is not split, else its halves, +y first. */
CW_API int cw_former_piece_count(const cw_former *former);

/** Volume of one piece, by integrals; m3. Test: tests/former/test_former.c, test_solids.c against the solid kernel */
CW_API double cw_former_volume(const cw_former *former, int piece);

typedef struct cw_extent { double low_m[3], high_m[3]; } cw_extent;
CW_API void cw_former_box(const cw_former *former, int piece, cw_extent *box);

/** Stock for what is turned or milled: allowances of common practice (no source), up to whole millimetres. */
typedef struct cw_stock_size {
    bool bar;                     /* round: size_m[0] is its diameter; else a block */
    double size_m[3];             /* block: x, y, z; bar: diameter, the same, length */
} cw_stock_size;
CW_API void cw_former_stock(const cw_former *former, cw_stock_size *stock);

/* ---- the arbor ----------------------------------------------------------------------------------------------- */

/* Four pieces and one bought screw on one axis, clamped between spindle and screw:
 *
 *        shank    collar | start cheek |      plug, in the former's bore      | far cheek | washer and screw
 *     ============ ||||  |#############|======================================|###########|||==
 *                                z = 0 at the former's start flange; the plug is shorter than the former by `pinch`, so
 *     that the cheeks clamp the flanges and keep them from spreading. A drive pin stands in collar, start cheek and plug. */
typedef struct cw_arbor_plan {
    double shank_m, shank_length_m; /* what the chuck or collet holds. Default 20 mm or 3/4 in; 50 mm or 2 in */
    double cheek_m;               /* thickness. Default a tenth of the flange's greatest size, 5 mm to 12 mm or
                                     in sixteenths of an inch */
    double fit_m;                 /* between plug and bore, on each side. Default 0.05 mm */
    double pinch_m;               /* Default 0.3 mm */
    double screw_m;               /* thread, 3 mm to 12 mm; NAN: by the plug */
} cw_arbor_plan;

CW_API void cw_arbor_plan_init(cw_arbor_plan *plan);

typedef enum cw_arbor_piece { CW_ARBOR_SPINDLE, CW_ARBOR_START_CHEEK, CW_ARBOR_PLUG, CW_ARBOR_FAR_CHEEK,
                              CW_ARBOR_PIECE_COUNT } cw_arbor_piece;

CW_API const char *cw_arbor_piece_name(cw_arbor_piece piece); /* "start cheek" */

typedef struct cw_arbor {
    double shank_m, shank_length_m;     /* diameter, length */
    double collar_m, collar_length_m;   /* diameter, length */
    cw_outline plug, cheek;             /* cheeks: the flanges' outline */
    double cheek_m;                     /* thickness of both */
    double plug_length_m;
    double pinch_m, fit_m;
    double former_length_m;             /* the plug begins with it, at the start cheek */
    int screw;                          /* M thread, millimetres, coarse */
    double screw_pitch_m;
    double tap_drill_m, tapped_depth_m; /* blind, in the spindle's front */
    double screw_hole_m;                /* clear through cheeks and plug */
    double screw_length_m;              /* under the head, washer counted, rounded up to 5 mm */
    double pin_m, pin_x_m;              /* drive pin: diameter of its holes, distance from the axis towards -x */
    double pin_depth_m[2];              /* blind into the collar's front and into the plug's start end */
    cw_former_slot slots[CW_FORMER_SLOTS_MOST]; /* as the flanges' beside them: flange 0 start cheek, 1 far cheek */
    int slot_count;
    char remark[400];
} cw_arbor;

/** For a finished former. CW_BAD_INPUT where the bore is too small for any screw, or a size given does not go with
 *  it. */
CW_API cw_status cw_arbor_design(const cw_former *former, const cw_arbor_plan *plan, const cw_place *at,
                                 cw_arbor *arbor, cw_error *error);
CW_API double cw_arbor_volume(const cw_arbor *arbor, cw_arbor_piece piece);
CW_API void cw_arbor_box(const cw_arbor *arbor, cw_arbor_piece piece, cw_extent *box);
CW_API void cw_arbor_stock(const cw_arbor *arbor, cw_arbor_piece piece, cw_stock_size *stock);

/* ---- to read --------------------------------------------------------------------------------------------------- */

/** Appended; the documents for --json are in former/former_json.h. */
CW_API void cw_former_text(const cw_former *former, cw_unit_system units, cw_text *text);
CW_API void cw_arbor_text(const cw_arbor *arbor, cw_unit_system units, cw_text *text);

#ifdef __cplusplus
}
#endif
#endif
