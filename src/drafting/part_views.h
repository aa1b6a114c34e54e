/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Views that the former's and the arbor's drawings share: outlines seen along the axis, with slots and holes, and the
 * dimensions that settle them. */
#ifndef CW_DRAFTING_PART_VIEWS_H
#define CW_DRAFTING_PART_VIEWS_H

#include "coilwright/former_drawing.h"

/** How x and y of the part lie on the paper in a view along its axis. In the section z runs to the right and `up`
 *  upwards; seen from the start, from the left of the section, the other axis runs to the right where `up` is x and to
 *  the left where it is y, and the other way round from the far end. */
typedef struct cw_part__gaze {
    bool y_up;       /* else x */
    bool from_start; /* else from the far end */
} cw_part__gaze;

void cw_part__to_paper(cw_part__gaze gaze, double x, double y, double *across, double *up);

/** Where a view from that end stands beside the section. */
cw_drafting_place cw_part__end_place(const cw_drafting_setting *setting, bool from_start);

/** An outline as four straight sides and four corners; the sides on +x are open where slots are. */
void cw_part__outline(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, const cw_outline *outline,
                      const cw_former_slot *slots, int slot_count, int flange);

/** An outline that bounds a hatched face of that part: two of them make a ring. */
void cw_part__hatch(cw_drafting_view *view, cw_part__gaze gaze, int part, const cw_outline *outline);

/** Draws a closed path given in the part's own x and y, and hatches in it. The corners are left as they lie on
 *  paper. */
void cw_part__closed(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, int part,
                     cw_drafting_corner *corners, size_t count);

/** Sides and bottoms of the slots of one flange. */
void cw_part__slots(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, const cw_outline *outline,
                    const cw_former_slot *slots, int slot_count, int flange);

/** A detail of these slots, which shows where the sheet's scale leaves their width too small to be dimensioned; on the
 *  main view a ring with the letter shows then where it is. Nothing where the flange has no slots. */
cw_status cw_part__slot_detail(cw_drafting_view *main, cw_part__gaze gaze, const cw_outline *outline,
                               const cw_former_slot *slots, int slot_count, int flange, double grid_m, char letter,
                               cw_drafting_view **detail, cw_error *error);

/** Width, place and depth of these; keys begin with `part`. */
void cw_part__slot_dimensions(cw_drafting_view *view, cw_part__gaze gaze, const cw_outline *outline,
                              const cw_former_slot *slots, int slot_count, int flange, double grid_m,
                              const char *part);

/** A distance along x or y of the part between two points, on a side of the view that it can be read from. */
typedef struct cw_part__size {
    double x1, y1, x2, y2; /* of the part, m */
    bool along_y;
    bool other_side;       /* under or left rather than over or right, and the other way round */
    const char *prefix, *suffix, *key;
    double upper_m, lower_m;
    double from_scale;     /* of the sheet; 0: at any */
    double grid_m;         /* what is told is rounded to it; 0 not */
} cw_part__size;

/** Slots, pins and recesses need not be told closer than to 0.01 mm or 0.001 in. */
double cw_part__grid(cw_unit_system units);

void cw_part__dimension(cw_drafting_view *view, cw_part__gaze gaze, const cw_part__size *size);

/** A radius of an outline's corners; nothing where they are sharp, or follow from the shape (round, obround). */
void cw_part__corner_radius(cw_drafting_view *view, cw_part__gaze gaze, const cw_outline *outline, bool from_inside,
                            double grid_m, const char *key);

/** Both sizes of an outline that is not round, under NAME.x and NAME.y. */
void cw_part__outline_dimensions(cw_drafting_view *view, cw_part__gaze gaze, const cw_outline *outline,
                                 const char *name, bool other_side, const double upper_m[2], const double lower_m[2]);

/** The cut faces of a former along its axis, hatched as that part, and the edges of its bore behind them. */
void cw_part__former_section(cw_drafting_view *view, const cw_former *former, int part);

bool cw_part__is_round(const cw_outline *outline);
bool cw_part__is_obround(const cw_outline *outline);

/** "former.", "tube.x" and the like joined to a key. */
typedef struct cw_part__key {
    char text[CW_DRAFTING_KEY_MOST];
} cw_part__key;

cw_part__key cw_part__key_of(const char *part, const char *size);

#endif
