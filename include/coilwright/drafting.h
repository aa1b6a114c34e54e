/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Technical drawings as data: views, dimensions, title block; on paper (PDF, SVG) and as DXF release 12.
 *
 * Knows: lines by kind, views in first and third angle, how a dimension is drawn and where there is room for it,
 * general tolerances, sheets and scales. Needs: base, quantity, draw. Refuses to know: what the part is.
 *
 * A view holds the part at full size, in metres, x to the right and y UP. What belongs to the paper (letters, arrows,
 * gaps, frames) is in millimetres. A drawing finds its own scale: the largest of the series at which every view, with
 * all its dimensions, fits on the sheet and no text touches a line or another text.
 *
 * Conventions and their sources: docs/drawings.md. */
#ifndef COILWRIGHT_DRAFTING_H
#define COILWRIGHT_DRAFTING_H

#include "coilwright/draw.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- views -------------------------------------------------------------------------------------------------- */

/** Kinds of line; each is a pen on paper and a layer in DXF. */
typedef enum cw_drafting_line {
    CW_DRAFTING_VISIBLE,
    CW_DRAFTING_HIDDEN,
    CW_DRAFTING_CENTRE,
    CW_DRAFTING_CUT,       /* the cutting plane */
    CW_DRAFTING_HATCH,
    CW_DRAFTING_THIN,      /* thread roots, limits of a detail */
    CW_DRAFTING_DIMENSION, /* dimension, extension and leader lines and their figures */
    CW_DRAFTING_FRAME,     /* frame, title block */
    CW_DRAFTING_LINE_COUNT
} cw_drafting_line;

/** A corner of a path. The way to the next corner is straight where bulge is 0, else an arc; bulge = tan(angle/4),
 *  positive counter-clockwise. */
typedef struct cw_drafting_corner {
    double x_m, y_m, bulge;
} cw_drafting_corner;

#define CW_DRAFTING_SEMICIRCLE 1.0
#define CW_DRAFTING_QUARTER 0.41421356237309503 /* tan(90 degrees / 4) */

/** Where a view stands beside the main one. Left and right are places on the paper. */
typedef enum cw_drafting_place {
    CW_DRAFTING_MAIN,
    CW_DRAFTING_LEFT,
    CW_DRAFTING_RIGHT,
    CW_DRAFTING_ABOVE,
    CW_DRAFTING_BELOW,
    CW_DRAFTING_FREE /* a detail: wherever there is room */
} cw_drafting_place;

typedef struct cw_drafting_view cw_drafting_view;

/** Which side of a view a dimension is wanted on. */
typedef enum cw_drafting_side {
    CW_DRAFTING_OVER,
    CW_DRAFTING_UNDER,
    CW_DRAFTING_LEFT_OF,
    CW_DRAFTING_RIGHT_OF
} cw_drafting_side;

typedef enum cw_drafting_kind {
    CW_DRAFTING_LINEAR, /* between (x1, y1) and (x2, y2): along x or, left or right of the view, along y */
    CW_DRAFTING_RADIUS, /* of the arc around (x1, y1) with radius x2, pointed at between the angles from and to */
    CW_DRAFTING_ANGLE,  /* around (x1, y1), between the angles from and to, the arms beginning at radius x2 */
    CW_DRAFTING_NOTE    /* words that point at (x1, y1), or at the circle around it with radius x2 */
} cw_drafting_kind;

#define CW_DRAFTING_WORDS_MOST 120
#define CW_DRAFTING_KEY_MOST 120

/** A dimension. Zero-initialise, then fill. Texts are kept as copies. */
typedef struct cw_drafting_dimension {
    cw_drafting_kind kind;
    cw_drafting_side side;
    double x1_m, y1_m, x2_m, y2_m;
    double from_degrees, to_degrees; /* counter-clockwise */
    bool ring;                       /* NOTE: the circle is drawn too, as the limit of a detail */
    /* Only where the sheet's scale is at least the one, and below the other; 0 no limit. */
    double from_scale, below_scale;
    bool from_inside;                /* RADIUS: the leader comes from the centre's side */
    /* LINEAR: the dimension line stands in the view, where x (or, for one along x, y) is between these two, its heads
     * outside, pointing inwards; beside the view where it finds no room there. Both 0: beside the view. */
    double within_from_m, within_to_m;
    /* What it says: prefix, the value, the deviations where there are any, suffix. A NOTE may have no value. */
    const char *prefix, *suffix;     /* NULL none; a suffix may break into lines */
    double value;                    /* m, or degrees for an ANGLE; NAN none */
    double upper_m, lower_m;         /* permitted deviations; both 0: the general ones hold */
    /* Names of the sizes of the part that this dimension settles, between blanks; NULL none. */
    const char *key;
} cw_drafting_dimension;

/** title  drawn over the view; NULL none. Copied. */
CW_API cw_status cw_drafting_view_create(cw_drafting_place place, const char *title, cw_drafting_view **view,
                                         cw_error *error);
CW_API void cw_drafting_view_destroy(cw_drafting_view **view);

/** Gives it another place: where the view it stood beside is on another sheet. */
CW_API void cw_drafting_view_move(cw_drafting_view *view, cw_drafting_place place);

/* A view remembers that memory ran out; whoever composes it is told. */
CW_API void cw_drafting_segment(cw_drafting_view *view, cw_drafting_line line, double x1_m, double y1_m, double x2_m,
                                double y2_m);
CW_API void cw_drafting_circle(cw_drafting_view *view, cw_drafting_line line, double x_m, double y_m, double radius_m);
CW_API void cw_drafting_arc(cw_drafting_view *view, cw_drafting_line line, double x_m, double y_m, double radius_m,
                            double from_degrees, double to_degrees);
CW_API void cw_drafting_path(cw_drafting_view *view, cw_drafting_line line, const cw_drafting_corner *corners,
                             size_t count, bool closed);

/** Centre lines through a circle, a little beyond it. */
CW_API void cw_drafting_centre_mark(cw_drafting_view *view, double x_m, double y_m, double radius_m);
/** A centre line between two points, a little beyond both. */
CW_API void cw_drafting_centre_line(cw_drafting_view *view, double x1_m, double y1_m, double x2_m, double y2_m);

/** Hatches a cut face. Closed paths of one part (numbered from 0) are hatched together, inner ones left free;
 *  neighbouring numbers differ in direction, further ones in spacing. */
CW_API void cw_drafting_hatch(cw_drafting_view *view, int part, const cw_drafting_corner *corners, size_t count);

/** A large letter beside a point, at dx, dy on the paper; names cuts, details and parts. */
CW_API void cw_drafting_letter(cw_drafting_view *view, double x_m, double y_m, double dx_mm, double dy_mm,
                               const char *letter);
/** A cutting plane between two points, the direction of sight given by a unit vector, its letter at both ends. */
CW_API void cw_drafting_cut(cw_drafting_view *view, double x1_m, double y1_m, double x2_m, double y2_m, double sight_x,
                            double sight_y, const char *letter);
/** Ringed number of a part, found a place like a note's; its leader ends in a dot at this point of the part's face. */
CW_API void cw_drafting_balloon(cw_drafting_view *view, double x_m, double y_m, const char *number);

/** Makes the view a detail: only what lies in the circle is drawn, at a scale of its own. */
CW_API void cw_drafting_clip(cw_drafting_view *view, double x_m, double y_m, double radius_m);

/** Leaves the view out unless the sheet's scale is below this one: a detail of what is large enough is not needed. */
CW_API void cw_drafting_only_below(cw_drafting_view *view, double scale);

CW_API void cw_drafting_dimension_add(cw_drafting_view *view, const cw_drafting_dimension *dimension);

/** Says that words on the view (a note's suffix) settle a size too. */
CW_API void cw_drafting_settles_too(cw_drafting_view *view, const char *key, double value);

/* ---- numbers and tolerances --------------------------------------------------------------------------------- */

/** A length as drawings write it: millimetres without needless zeros ("42.6"), or decimal inches with three places and
 *  no zero before the point (".375"); one more place where rounding would move it by over 0.0005 mm. */
CW_API void cw_drafting_number(double length_m, cw_unit_system units, char *buffer, size_t size);

/** Classes of ISO 2768-1. */
typedef enum cw_drafting_class { CW_DRAFTING_FINE, CW_DRAFTING_MEDIUM, CW_DRAFTING_COARSE, CW_DRAFTING_VERY_COARSE }
    cw_drafting_class;

/** Permitted deviation (plus and minus) of a linear size without one of its own, m; NAN where the standard has none
 *  (below 0.5 mm, or beyond its tables). Source: data/drafting_tolerances.csv [ISO2768]. */
CW_API double cw_drafting_deviation(cw_drafting_class class, double size_m);

/* ---- sheets ------------------------------------------------------------------------------------------------- */

typedef enum cw_drafting_paper {
    CW_DRAFTING_A4, /* 297 x 210 mm, all lying */
    CW_DRAFTING_A3,
    CW_DRAFTING_LETTER,
    CW_DRAFTING_TABLOID,
    CW_DRAFTING_PAPER_COUNT
} cw_drafting_paper;

/** "A4", "a3", "letter", "tabloid"; false for anything else. */
CW_API bool cw_drafting_paper_named(const char *name, cw_drafting_paper *paper);

typedef enum cw_drafting_projection { CW_DRAFTING_FIRST_ANGLE, CW_DRAFTING_THIRD_ANGLE } cw_drafting_projection;

/** What stands in the title block, alike on all sheets. Texts may be NULL. */
typedef struct cw_drafting_setting {
    cw_drafting_paper paper;   /* A4 and letter give way to A3 and tabloid where a sheet does not go onto them, or only at
                                  less than a quarter of its size and half as large as there */
    bool keep_paper;           /* refuse rather than take a larger one */
    cw_unit_system units;
    cw_drafting_projection projection;
    cw_drafting_class general_class;
    const char *job, *machine; /* what it is for */
    const char *date;          /* as it is to be printed, "2031-05-17" */
} cw_drafting_setting;

/** One sheet: views, lent until it is composed. */
typedef struct cw_drafting_sheet {
    const char *part, *material;
    cw_drafting_view *const *views;
    size_t view_count;
    const char *const *notes; /* numbered on the sheet */
    size_t note_count;
} cw_drafting_sheet;

typedef struct cw_drafting cw_drafting;

/** Composes sheets into a drawing.
 *
 *  sheets   at least one
 *  drawing  receives it; independent of views and texts afterwards
 *  CW_BAD_INPUT where a sheet does not fit on its paper even at the smallest scale. */
CW_API cw_status cw_drafting_create(const cw_drafting_setting *setting, const cw_drafting_sheet *sheets, size_t count,
                                    cw_drafting **drawing, cw_error *error);
CW_API void cw_drafting_destroy(cw_drafting **drawing);

CW_API size_t cw_drafting_sheets(const cw_drafting *drawing);

/** Size of every sheet, mm, and the scale of one: paper over part, 0.5 for 1:2. */
CW_API void cw_drafting_size(const cw_drafting *drawing, double *width_mm, double *height_mm);
CW_API double cw_drafting_scale(const cw_drafting *drawing, size_t sheet);

/** What the dimensions settle: those with a key, sheet by sheet, in order. Lent; NULL past the last. */
typedef struct cw_drafting_settled {
    char key[CW_DRAFTING_KEY_MOST];
    double value; /* as handed in */
} cw_drafting_settled;

CW_API const cw_drafting_settled *cw_drafting_settles(const cw_drafting *drawing, size_t index);

/** Draws a sheet into a box, as large as goes in, with its frame. */
CW_API void cw_drafting_draw(const cw_drafting *drawing, size_t sheet, cw_canvas *canvas, cw_box box);

/** The drawing as a file: PDF a page a sheet; SVG and PNG the sheets below one another. Bytes are appended to `out`,
 *  nothing on failure. */
CW_API cw_status cw_drafting_write(const cw_drafting *drawing, cw_format format, const char *title, cw_text *out,
                                   cw_error *error);

/** The drawing as ASCII DXF, release 12 (AC1009): the part at full size in the job's units, sheets side by side, each
 *  kind of line on a layer of its own, dimensions as plain lines and text. Details stand enlarged on layers ending in
 *  _DETAIL, so that they can be switched off before a path is taken from the drawing. */
CW_API cw_status cw_drafting_write_dxf(const cw_drafting *drawing, const char *title, cw_text *out, cw_error *error);

/** What touches: the check that a tidy drawing passes. Counts texts nearer than text_gap_mm to another text, and texts
 *  nearer than line_gap_mm to a line; `found` receives the first such text's words. */
CW_API size_t cw_drafting_clashes(const cw_drafting *drawing, double text_gap_mm, double line_gap_mm, char *found,
                                  size_t found_size);

#ifdef __cplusplus
}
#endif
#endif
