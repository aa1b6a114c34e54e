/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of this room share: views as they are handed in, and marks as they stand on paper. */
#ifndef CW_DRAFTING_INTERNAL_H
#define CW_DRAFTING_INTERNAL_H

#include "coilwright/drafting.h"

/* Lettering (ISO 3098 heights of capitals) and the spacing of dimensions (ISO 129-1), mm. */
#define DRAFTING_FIGURES_MM 2.5
#define DRAFTING_TITLES_MM 3.5
#define DRAFTING_SMALL_MM 1.8
#define DRAFTING_LINE_STEP 1.72  /* of the height of capitals, from baseline to baseline */
#define DRAFTING_DESCENT 0.28    /* of it, below the baseline */
#define DRAFTING_HEAD_MM 2.5

/* Clearances that the placing keeps, and the test holds it to. */
#define DRAFTING_TEXT_GAP_MM 0.8
#define DRAFTING_LINE_GAP_MM 0.5

/* ---- marks: what stands on paper, mm, y up ------------------------------------------------------------------- */

typedef struct cw_drafting__bounds {
    double left, bottom, right, top;
} cw_drafting__bounds;

typedef enum cw_drafting__mark_kind { MARK_LINE, MARK_ARC, MARK_HEAD, MARK_TEXT } cw_drafting__mark_kind;

/* What a line is for; the placing keeps them apart by it. */
typedef enum cw_drafting__role { ROLE_PART, ROLE_DIMENSION, ROLE_EXTENSION, ROLE_LEADER } cw_drafting__role;

typedef struct cw_drafting__mark {
    cw_drafting__mark_kind kind;
    cw_drafting__role role;
    cw_drafting_line line;
    bool detail;
    /* LINE  x1, y1 to x2, y2. ARC  centre x1, y1, radius x2, from a, to b in degrees, b - a <= 360.
     * HEAD  tip x1, y1, pointing along the unit vector x2, y2. TEXT  baseline from x1, y1, x2 wide, y2 high. */
    double x1, y1, x2, y2, a, b;
    cw_drafting__bounds bounds;         /* kept up by the list it stands in */
    bool up, bold;                      /* TEXT runs upwards, is set in the bolder face */
    char words[CW_DRAFTING_WORDS_MOST]; /* TEXT */
} cw_drafting__mark;

/** A list of marks. Zero-initialise. */
typedef struct cw_drafting__marks {
    cw_drafting__mark *items;
    size_t count, capacity;
    bool failed;
} cw_drafting__marks;

void cw_drafting__add(cw_drafting__marks *marks, const cw_drafting__mark *mark);
void cw_drafting__add_line(cw_drafting__marks *marks, cw_drafting_line line, double x1, double y1, double x2,
                           double y2);
void cw_drafting__add_arc(cw_drafting__marks *marks, cw_drafting_line line, double x, double y, double radius,
                          double from, double to);
void cw_drafting__add_head(cw_drafting__marks *marks, double x, double y, double dx, double dy);
/** A text whose baseline starts at x, y; measured on the canvas. Returns the width. */
double cw_drafting__add_text(cw_drafting__marks *marks, cw_canvas *measure, cw_drafting_line line, double x, double y,
                             double height_mm, bool up, bool bold, const char *words);
void cw_drafting__shift(cw_drafting__marks *marks, double dx, double dy);
void cw_drafting__append(cw_drafting__marks *marks, const cw_drafting__marks *more);
void cw_drafting__clear(cw_drafting__marks *marks);

cw_drafting__bounds cw_drafting__nothing(void);
void cw_drafting__include(cw_drafting__bounds *bounds, double x, double y);
cw_drafting__bounds cw_drafting__mark_bounds(const cw_drafting__mark *mark);
cw_drafting__bounds cw_drafting__bounds_of(const cw_drafting__marks *marks);

/** A type whose capitals are so high. */
cw_type cw_drafting__type(double height_mm, bool bold);
double cw_drafting__width(cw_canvas *measure, double height_mm, bool bold, const char *words);

/* ---- touching -------------------------------------------------------------------------------------------------- */

/** Whether a text would clash with a mark: nearer than text_gap to a text, or line_gap to anything drawn. */
bool cw_drafting__text_clashes(const cw_drafting__mark *text, const cw_drafting__mark *other, double text_gap,
                               double line_gap);
/** Whether a mark reaches into a disc; arcs, heads and texts are judged by the square around it. */
bool cw_drafting__disc_touches(const cw_drafting__mark *mark, double x, double y, double radius);
/** Whether two straight lines cross; touching does not count. */
bool cw_drafting__lines_cross(const cw_drafting__mark *one, const cw_drafting__mark *other);

/* ---- views ------------------------------------------------------------------------------------------------------ */

typedef enum cw_drafting__item_kind { ITEM_SEGMENT, ITEM_ARC, ITEM_CENTRE_LINE, ITEM_LETTER }
    cw_drafting__item_kind;

/* What is drawn: numbers in metres but for dx, dy (mm) and angles. */
typedef struct cw_drafting__item {
    cw_drafting__item_kind kind;
    cw_drafting_line line;
    double x1, y1, x2, y2, from, to, dx, dy;
    char words[8];
} cw_drafting__item;

typedef struct cw_drafting__face {
    int part;
    cw_drafting_corner *corners; /* owned */
    size_t count;
} cw_drafting__face;

/* A dimension with its own copies of the texts. */
typedef struct cw_drafting__request {
    cw_drafting_dimension asked; /* prefix, suffix, key unused */
    char prefix[CW_DRAFTING_WORDS_MOST], suffix[CW_DRAFTING_WORDS_MOST];
    bool balloon;
    bool cut_end;                  /* of a cutting plane that goes on from x1, y1 along x2, y2 and is looked at along */
    double sight_x, sight_y;       /* this direction */
} cw_drafting__request;

struct cw_drafting_view {
    cw_drafting_place place;
    char title[CW_DRAFTING_WORDS_MOST];
    cw_drafting__item *items;
    size_t item_count, item_capacity;
    cw_drafting__face *faces;
    size_t face_count, face_capacity;
    cw_drafting__request *requests;
    size_t request_count, request_capacity;
    cw_drafting_settled *settled;
    size_t settled_count, settled_capacity;
    double below_scale; /* 0: at any */
    bool clipped;
    double clip_x_m, clip_y_m, clip_radius_m;
    bool failed; /* memory ran out */
};

/** The words of a dimension in the user's units. */
void cw_drafting__words(const cw_drafting__request *request, cw_unit_system units, char *buffer, size_t size);

/** Draws the view without dimensions; `factor` is mm of paper per metre of the part. */
void cw_drafting__draw_view(const cw_drafting_view *view, double factor, cw_canvas *measure, cw_drafting__marks *marks);

/** How far what is drawn of the view reaches, m. */
void cw_drafting__view_extent(const cw_drafting_view *view, double *left, double *bottom, double *right, double *top);

/** Hatching, cut to the view's circle where it is a detail. */
void cw_drafting__draw_hatch(const cw_drafting_view *view, double factor, cw_drafting__marks *marks);

/** Finds places for all dimensions that the sheet's scale asks for and adds their marks; false where there is none, and
 *  marks are then of no use. */
bool cw_drafting__place(const cw_drafting_view *view, double factor, double sheet_scale, cw_unit_system units,
                        cw_canvas *measure, cw_drafting__marks *marks);

/* ---- sheets ------------------------------------------------------------------------------------------------------ */

typedef struct cw_drafting__page {
    cw_drafting__marks marks;
    double scale;
} cw_drafting__page;

struct cw_drafting {
    double width_mm, height_mm;
    cw_unit_system units;
    cw_drafting__page *pages;
    size_t count;
    cw_drafting_settled *settled;
    size_t settled_count;
};

/** "1:2" or "5:1". */
void cw_drafting__scale_words(double scale, char *buffer, size_t size);

/** Frame, title block and notes; what is left for views is told in `room`. */
void cw_drafting__furnish(const cw_drafting_setting *setting, const cw_drafting_sheet *sheet, size_t number,
                          size_t sheets, double scale, double width_mm, double height_mm, cw_canvas *measure,
                          cw_drafting__marks *marks, cw_drafting__bounds *room);

#endif
