/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One drawing surface for paper, page and screen, a small set of furniture for it, and the figures.
 *
 * Knows: SVG, PDF and PNG, type, inks, tables, axes, and how a winding is drawn. Needs: base, quantity, wire, winding.
 * Refuses to know: where a drawing goes (it is handed over as bytes), what day it is, what a job is.
 *
 * Two departures from the conventions of coilwright.h, both the paper's own: places on it are in millimetres, x to the
 * right and y DOWN from the top left corner, and type sizes are in points (1/72 in), as every print shop has them.
 *
 * A canvas remembers its first failure, so that a figure may draw on without looking; cw_canvas_finish tells. The same
 * calls give the same bytes: no clock, no counters that outlive a canvas.
 *
 * Text is UTF-8. Bytes that are not, and control characters, are shown as a replacement mark or a blank. The typeface
 * is Open Sans; where it is not installed the system's sans serif stands in and lines may break elsewhere. It has no
 * arrows and no boxes: those are drawn. */
#ifndef COILWRIGHT_DRAW_H
#define COILWRIGHT_DRAW_H

#include "coilwright/base.h"
#include "coilwright/quantity.h"
#include "coilwright/winding.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- inks, pens, type --------------------------------------------------------------------------------------- */

/** Inks. Anything that must be told apart differs in lightness first and hue second, so that it survives grey
 *  printing; the hues that meet are blue and orange, which all three kinds of colour blindness keep apart. Red is
 *  never alone: a word or a mark stands with it. Lightness L* (CIE 1976) in brackets; the test asserts the gaps. */
typedef enum cw_ink {
    CW_NO_INK,
    CW_BLACK,     /* [9] text, outlines */
    CW_RED,       /* [32] what is wrong; with a mark or a word */
    CW_BLUE,      /* [41] first data ink; layers away from the start flange */
    CW_GREY,      /* [39] second voice of text */
    CW_ORANGE,    /* [68] second data ink */
    CW_SAND,      /* [83] layers back towards the start flange */
    CW_RULE,      /* [75] hairlines */
    CW_SHADE,     /* [95] panels, stripes */
    CW_WHITE,     /* [100] */
    CW_INK_COUNT
} cw_ink;

/** Red, green and blue of an ink, sRGB, 0 to 1. */
CW_API void cw_ink_rgb(cw_ink ink, double rgb[3]);

typedef enum cw_dash { CW_SOLID, CW_DASHED, CW_DOTTED, CW_CHAIN } cw_dash; /* chain: centre lines */

typedef struct cw_pen {
    cw_ink ink;
    double width_mm; /* 0.13, 0.18, 0.25, 0.35, 0.5, 0.7: the drawing office's steps; wide to narrow as 2 to 1 */
    cw_dash dash;
} cw_pen;

typedef enum cw_face { CW_REGULAR, CW_ITALIC, CW_SEMIBOLD, CW_BOLD, CW_FACE_COUNT } cw_face;
typedef enum cw_align { CW_ALIGN_LEFT, CW_ALIGN_CENTRE, CW_ALIGN_RIGHT } cw_align;

typedef struct cw_type {
    double size_pt;
    cw_face face;
    cw_ink ink;
    cw_align align; /* what of the text stands at x */
} cw_type;

typedef struct cw_box {
    double x, y, width, height; /* mm */
} cw_box;

/* ---- canvas ------------------------------------------------------------------------------------------------- */

typedef enum cw_format { CW_SVG, CW_PDF, CW_PNG, CW_FORMAT_COUNT } cw_format;

/** What is drawn on. Zero-initialise, then fill. */
typedef struct cw_paper {
    cw_format format;
    double width_mm, height_mm;  /* 1 to 5000 */
    double dots_per_mm;          /* PNG only; 0 means 6 (152 dots per inch) */
    const char *title;           /* of the document; NULL none. Read aloud where a picture cannot be seen */
    const char *description;     /* SVG: a sentence on what is to be seen; NULL none */
    const char *date;            /* PDF: "2031-05-17", the day it says it was made; NULL none is given away */
} cw_paper;

typedef struct cw_canvas cw_canvas;

/** CW_BAD_INPUT where the paper is no paper (size, date, too many dots).
 *  canvas  receives a new canvas, its first page begun */
CW_API cw_status cw_canvas_create(const cw_paper *paper, cw_canvas **canvas, cw_error *error);
CW_API void cw_canvas_destroy(cw_canvas **canvas);

/** Ends the page and begins the next. Only for PDF (asserted). */
CW_API void cw_canvas_next_page(cw_canvas *canvas);

/** Ends the drawing and appends its bytes to `out`, or nothing on failure. The canvas can then only be destroyed. */
CW_API cw_status cw_canvas_finish(cw_canvas *canvas, cw_text *out, cw_error *error);

/** While muted nothing leaves a mark, and everything still tells its size: how a page is planned. */
CW_API void cw_canvas_mute(cw_canvas *canvas, bool muted);
CW_API bool cw_canvas_is_muted(const cw_canvas *canvas);

/** An entry of the PDF's table of contents, pointing to this height of this page. Nothing for other formats. */
CW_API void cw_canvas_bookmark(cw_canvas *canvas, const char *text, double y);

/** Draws only inside the box until unclipped; nests. */
CW_API void cw_canvas_clip(cw_canvas *canvas, cw_box box);
CW_API void cw_canvas_unclip(cw_canvas *canvas);

/** Draws a quarter turned until turned back: what goes to 0, 0 and rightwards then begins at the left bottom corner of the
 *  box and runs up it, to be read from the right. Nests. The turned box is box.height wide and box.width high. */
CW_API void cw_canvas_turn(cw_canvas *canvas, cw_box box);
CW_API void cw_canvas_turn_back(cw_canvas *canvas);

/* ---- marks -------------------------------------------------------------------------------------------------- */

CW_API void cw_canvas_line(cw_canvas *canvas, cw_pen pen, double x1, double y1, double x2, double y2);

/** xy  shape [count][2] */
CW_API void cw_canvas_polyline(cw_canvas *canvas, cw_pen pen, const double *xy, size_t count);

/** Shapes: filled, then outlined; CW_NO_INK leaves out either. radius_mm rounds the corners. */
CW_API void cw_canvas_rectangle(cw_canvas *canvas, cw_pen pen, cw_ink fill, cw_box box, double radius_mm);
CW_API void cw_canvas_polygon(cw_canvas *canvas, cw_pen pen, cw_ink fill, const double *xy, size_t count);
CW_API void cw_canvas_circle(cw_canvas *canvas, cw_pen pen, cw_ink fill, double x, double y, double diameter_mm);

/** A part of a circle's line, counter-clockwise as it is seen; degrees from the right. */
CW_API void cw_canvas_arc(cw_canvas *canvas, cw_pen pen, double x, double y, double radius_mm, double from_degrees,
                          double to_degrees);

/** Many filled circles of one size in one stroke: 12 000 turns cost some 20 bytes each.
 *  centres  shape [count][2] */
CW_API void cw_canvas_dots(cw_canvas *canvas, cw_ink ink, double diameter_mm, const double *centres, size_t count);

/** Fills the box with lines at 45 degrees, rising to the right (or falling), spacing_mm apart across the line. */
CW_API void cw_canvas_hatch(cw_canvas *canvas, cw_pen pen, cw_box box, double spacing_mm, bool falling);

/** A line with a slender head at its second end. */
CW_API void cw_canvas_arrow(cw_canvas *canvas, cw_pen pen, double x1, double y1, double x2, double y2, double head_mm);

/** A dimension between two points on one horizontal or one vertical line, drawn offset_mm away (down or right where
 *  positive), figures above the line and read from the bottom or the right. Heads go outside where there is no room. */
CW_API void cw_canvas_dimension(cw_canvas *canvas, double x1, double y1, double x2, double y2, double offset_mm,
                                double size_pt, const char *text);

/* ---- text --------------------------------------------------------------------------------------------------- */

/** One line; y is the baseline. Returns its width in mm. */
CW_API double cw_canvas_write(cw_canvas *canvas, cw_type type, double x, double y, const char *text);

/** The same, cut with an ellipsis to width_mm where it is longer. */
CW_API double cw_canvas_write_within(cw_canvas *canvas, cw_type type, double x, double y, double width_mm,
                                     const char *text);

/** The same, read from the right: the line runs upwards, its baseline at x, and starts, centres or ends at y. */
CW_API double cw_canvas_write_up(cw_canvas *canvas, cw_type type, double x, double y, const char *text);

CW_API double cw_canvas_text_width(cw_canvas *canvas, cw_type type, const char *text);

/** Lines broken to width_mm, the first one's top at y; x is the left edge of the measure, whatever the alignment.
 *  Returns the height in mm, 0 for an empty text or NULL. */
CW_API double cw_canvas_paragraph(cw_canvas *canvas, cw_type type, double x, double y, double width_mm,
                                  const char *text);
CW_API double cw_canvas_paragraph_height(cw_canvas *canvas, cw_type type, double width_mm, const char *text);

/* ---- furniture ---------------------------------------------------------------------------------------------- */

/** An empty box to tick, its left edge at x and its middle at y. */
CW_API void cw_canvas_tick_box(cw_canvas *canvas, double x, double y, double size_mm);

/** What goes around every page. Texts may be NULL. */
typedef struct cw_page_frame {
    double width_mm, height_mm, margin_mm;
    const char *left, *right;           /* header */
    const char *foot_left, *foot_middle;
    int page, pages;                    /* "page 2 of 3" at the foot's right */
} cw_page_frame;

CW_API void cw_canvas_page_frame(cw_canvas *canvas, const cw_page_frame *frame);

/** A box with a warning sign, a heading and paragraphs with bullets, as wide as box.width. Returns its height. */
CW_API double cw_canvas_caution(cw_canvas *canvas, double x, double y, double width_mm, const char *heading,
                                const char *const *texts, size_t count);

typedef enum cw_column_kind {
    CW_COLUMN_TEXT,      /* left, wraps */
    CW_COLUMN_STRONG,    /* the same, semibold */
    CW_COLUMN_SMALL,     /* the same, in the second voice */
    CW_COLUMN_RIGHT,
    CW_COLUMN_RIGHT_STRONG,
    CW_COLUMN_CENTRE,
    CW_COLUMN_DECIMAL,   /* numbers one above the other at their points; the unit follows */
    CW_COLUMN_TICK,      /* a box to tick where the cell is "tick"; any other word as it is */
    CW_COLUMN_DIRECTION, /* an arrow: "+" to the right, "-" to the left */
    CW_COLUMN_BAR,       /* "0.87" as a bar and "87 %" */
    CW_COLUMN_WRITE,     /* a line to write on where the cell is NULL; else as CW_COLUMN_TEXT */
    CW_COLUMN_KIND_COUNT
} cw_column_kind;

typedef struct cw_column {
    const char *heading;
    cw_column_kind kind;
    double width_mm;
} cw_column;

#define CW_TABLE_COLUMNS_MOST 16

/** A table; text columns wrap, everything else stays on one line. */
typedef struct cw_table {
    const cw_column *columns;
    size_t column_count;
    const char *const *cells; /* [row_count][column_count]; NULL is an empty cell */
    size_t row_count;
    double row_mm;            /* least height of a row */
    double size_pt;
} cw_table;

CW_API double cw_table_width(const cw_table *table);

/** Draws the headings, the top left corner at x, y; returns their height. */
CW_API double cw_table_head(cw_canvas *canvas, const cw_table *table, double x, double y);
CW_API double cw_table_row_height(cw_canvas *canvas, const cw_table *table, size_t row);

/** Draws `count` rows from `first`; returns their height. */
CW_API double cw_table_rows(cw_canvas *canvas, const cw_table *table, double x, double y, size_t first, size_t count);

/* ---- scales and curves -------------------------------------------------------------------------------------- */

/** Round steps over a range: 1, 2 or 5 times a power of ten.
 *
 *  low, high  finite, low <= high; where they are equal the range is widened around them
 *  most       greatest number of steps, >= 2
 *  The ticks are first + i * step, 0 <= i < count, and enclose low and high where `enclose`, else lie within them. */
typedef struct cw_ticks {
    double first, step;
    int count;
    int decimals; /* digits after the point that a label needs */
} cw_ticks;

CW_API cw_ticks cw_ticks_choose(double low, double high, int most, bool enclose);

/** Value of a tick, free of the dust that i * step leaves near zero; and its label. */
CW_API double cw_ticks_value(const cw_ticks *ticks, int index);
CW_API void cw_ticks_label(const cw_ticks *ticks, int index, char *buffer, size_t size);

typedef struct cw_curve {
    const char *name;      /* for the legend; NULL none */
    const double *x, *y;   /* [count]; a NAN in y lifts the pen */
    size_t count;
    cw_pen pen;
    bool markers;          /* a dot at every point */
} cw_curve;

typedef struct cw_plot {
    const char *x_title, *y_title; /* with the unit: "air gap, mm" */
    const cw_curve *curves;
    size_t curve_count;
    double y_label_mm;         /* room for the figures left of the frame; 0: as wide as they are */
    bool x_decades, y_decades; /* a logarithmic axis: what is not above zero lifts the pen */
} cw_plot;

CW_API void cw_plot_draw(cw_canvas *canvas, cw_box box, const cw_plot *plot);

/* ---- figures ------------------------------------------------------------------------------------------------ */

/** Half section through former and winding, to scale, every strand of every turn where it lies.
 *
 *  Turn j (from 0) of a layer lies at start_m + direction * j * pitch_m, not beyond end_m, at height_m. The window's
 *  outline, the leads, dimensions in the user's units, a legend and a scale bar stand with it; where turns come out
 *  smaller than a millimetre a detail at the start flange is drawn larger beside it. The thickness of former and
 *  flanges is not known here and only suggested. A random lay has no order to show: its room is hatched. */
typedef struct cw_section_figure {
    const cw_winding *winding;
    cw_unit_system units;
} cw_section_figure;

CW_API void cw_section_draw(cw_canvas *canvas, cw_box box, const cw_section_figure *figure);
CW_API double cw_section_height(const cw_section_figure *figure, double width_mm); /* mm that suit it, at most 110 */

/** What the coil may have been: one bar a candidate, as given, most probable first. */
typedef struct cw_candidates_figure {
    const char *const *names;
    const double *probabilities; /* 0 to 1 */
    size_t count;
} cw_candidates_figure;

CW_API void cw_candidates_draw(cw_canvas *canvas, cw_box box, const cw_candidates_figure *figure);
CW_API double cw_candidates_height(const cw_candidates_figure *figure); /* mm that suit it */

/** Each reading against what the answer expects of it. */
typedef struct cw_reading_mark {
    const char *name;     /* "resistance of the sibling" */
    const char *value;    /* "84.2 ohm at 24 °C" */
    const char *expected; /* "84.6 ohm" */
    double z;             /* (reading - expected) / standard deviation; NAN where there is none */
    bool doubted;
} cw_reading_mark;

typedef struct cw_readings_figure {
    const cw_reading_mark *marks;
    size_t count;
} cw_readings_figure;

CW_API void cw_readings_draw(cw_canvas *canvas, cw_box box, const cw_readings_figure *figure);
CW_API double cw_readings_height(const cw_readings_figure *figure);

/** What can be wound instead: every option as a mark in one or two panels over the same scale, so that the price of
 *  each is seen: those that no other beats are numbered in their order and named below, the others are small dots. */
typedef enum cw_shelf { CW_SHELF_NONE, CW_SHELF_SOME, CW_SHELF_ENOUGH } cw_shelf;

typedef struct cw_option_mark {
    const char *name;     /* "29 AWG heavy, 1850 turns" */
    double x, y[2];       /* NAN: not shown in that panel */
    bool front;           /* no other option is as good in every respect and better in one */
    bool taken;           /* the first on the list; ringed */
    cw_shelf shelf;
} cw_option_mark;

typedef struct cw_options_figure {
    const cw_option_mark *marks; /* [count], best first */
    size_t count;
    const char *x_title, *y_title[2]; /* the second NULL: one panel */
    double limit[2];      /* a line across the panel; NAN none */
    const char *limit_name[2];
} cw_options_figure;

CW_API void cw_options_draw(cw_canvas *canvas, cw_box box, const cw_options_figure *figure);
CW_API double cw_options_height(const cw_options_figure *figure);

/** Where the wire lies along the axis as the turns go on; a replayed program beside the layout, say. */
typedef struct cw_traverse_figure {
    const double *turns, *position_m; /* [count] */
    size_t count;
    const double *wanted_turns, *wanted_position_m; /* [wanted_count]; NULL where there is nothing to compare with */
    size_t wanted_count;
    cw_unit_system units;
} cw_traverse_figure;

CW_API void cw_traverse_draw(cw_canvas *canvas, cw_box box, const cw_traverse_figure *figure);

/** The figures as files of their own: bytes appended to `out`, nothing on failure. `paper` gives format, title and
 *  size; a width or height of 0 takes one that suits the figure. */
CW_API cw_status cw_section_write(const cw_section_figure *figure, const cw_paper *paper, cw_text *out,
                                  cw_error *error);
CW_API cw_status cw_candidates_write(const cw_candidates_figure *figure, const cw_paper *paper, cw_text *out,
                                     cw_error *error);
CW_API cw_status cw_readings_write(const cw_readings_figure *figure, const cw_paper *paper, cw_text *out,
                                   cw_error *error);
CW_API cw_status cw_options_write(const cw_options_figure *figure, const cw_paper *paper, cw_text *out,
                                  cw_error *error);
CW_API cw_status cw_traverse_write(const cw_traverse_figure *figure, const cw_paper *paper, cw_text *out,
                                   cw_error *error);
CW_API cw_status cw_plot_write(const cw_plot *plot, const cw_paper *paper, cw_text *out, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
