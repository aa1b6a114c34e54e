/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Outlines along the axis, with slots, and their dimensions. */
#include "drafting/part_views.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double radian = 0.01745329251994329577;
#define LEAST_SLOT_MM 1.4 /* on paper, to be dimensioned there */

static const double same_m = 1e-7; /* sizes nearer than this are one size */

void cw_part__to_paper(cw_part__gaze gaze, double x, double y, double *across, double *up)
{
    *up = gaze.y_up ? y : x;
    *across = (gaze.y_up ? -x : y) * (gaze.from_start ? 1 : -1);
}

/* Swapping axes turns the paper over, so that arcs run the other way; seen from the far end it is turned back. */
static double hand(cw_part__gaze gaze)
{
    return gaze.from_start ? -1 : 1;
}

cw_drafting_place cw_part__end_place(const cw_drafting_setting *setting, bool from_start)
{
    return (setting->projection == CW_DRAFTING_FIRST_ANGLE) == from_start ? CW_DRAFTING_RIGHT : CW_DRAFTING_LEFT;
}

double cw_part__grid(cw_unit_system units)
{
    return units == CW_INCH_UNITS ? 25.4e-6 : 10e-6;
}

bool cw_part__is_round(const cw_outline *outline)
{
    return fabs(outline->size_m[0] - outline->size_m[1]) < same_m && cw_part__is_obround(outline);
}

bool cw_part__is_obround(const cw_outline *outline)
{
    return fabs(outline->corner_m - fmin(outline->size_m[0], outline->size_m[1]) / 2) < same_m;
}

cw_part__key cw_part__key_of(const char *part, const char *size)
{
    cw_part__key key;

    snprintf(key.text, sizeof key.text, "%s%s", part, size);
    return key;
}

/* ---- outlines ---------------------------------------------------------------------------------------------------- */

static void piece(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, double x1, double y1, double x2,
                  double y2, double bulge)
{
    cw_drafting_corner ends[2] = { { .bulge = bulge * hand(gaze) }, { 0 } };

    cw_part__to_paper(gaze, x1, y1, &ends[0].x_m, &ends[0].y_m);
    cw_part__to_paper(gaze, x2, y2, &ends[1].x_m, &ends[1].y_m);
    cw_drafting_path(view, line, ends, 2, false);
}

/* An arc around x, y, counter-clockwise in the part's own axes. */
static void arc(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, double x, double y, double radius,
                double from, double to)
{
    if (to - from < 1e-6 || radius <= 0)
        return;
    piece(view, gaze, line, x + radius * cos(from * radian), y + radius * sin(from * radian),
          x + radius * cos(to * radian), y + radius * sin(to * radian), tan((to - from) * radian / 4));
}

typedef struct interval {
    double low, high;
} interval;

/* The slots of one flange, from low y to high; returns their number. */
static int openings(const cw_former_slot *slots, int slot_count, int flange, interval *open)
{
    int count = 0;

    for (int i = 0; i < slot_count; i++) {
        interval one = { slots[i].y_m - slots[i].width_m / 2, slots[i].y_m + slots[i].width_m / 2 };
        int at = count;

        if (slots[i].flange != flange)
            continue;
        for (; at > 0 && open[at - 1].low > one.low; at--)
            open[at] = open[at - 1];
        open[at] = one;
        count++;
    }
    return count;
}

/* What of the outline on the +x side lies between two heights: a part of the upper or lower corner, and of the side. */
static void right_side(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, const cw_outline *outline,
                       double low, double high)
{
    const double r = outline->corner_m, x = outline->size_m[0] / 2, straight = outline->size_m[1] / 2 - r;
    const double from = fmax(low, -straight), to = fmin(high, straight);

    if (to - from > same_m)
        piece(view, gaze, line, x, from, x, to, 0);
    if (r > 0 && high > straight) {
        double start = asin(fmin(1, fmax(0, (low - straight) / r))), end = asin(fmin(1, (high - straight) / r));

        arc(view, gaze, line, x - r, straight, r, start / radian, end / radian);
    }
    if (r > 0 && low < -straight) {
        double start = asin(fmax(-1, (low + straight) / r)), end = asin(fmax(-1, fmin(0, (high + straight) / r)));

        arc(view, gaze, line, x - r, -straight, r, start / radian, end / radian);
    }
}

void cw_part__outline(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, const cw_outline *outline,
                      const cw_former_slot *slots, int slot_count, int flange)
{
    const double x = outline->size_m[0] / 2, y = outline->size_m[1] / 2, r = outline->corner_m;
    interval open[CW_FORMER_SLOTS_MOST];
    const int count = openings(slots, slot_count, flange, open);
    double low = -y;

    if (count == 0 && cw_part__is_round(outline)) {
        cw_drafting_circle(view, line, 0, 0, r);
        return;
    }
    for (int i = 0; i < count; i++) {
        right_side(view, gaze, line, outline, low, open[i].low);
        low = open[i].high;
    }
    right_side(view, gaze, line, outline, low, y);
    if (x - r > same_m) {
        piece(view, gaze, line, x - r, y, r - x, y, 0);
        piece(view, gaze, line, r - x, -y, x - r, -y, 0);
    }
    if (y - r > same_m)
        piece(view, gaze, line, -x, y - r, -x, r - y, 0);
    arc(view, gaze, line, r - x, y - r, r, 90, 180);
    arc(view, gaze, line, r - x, r - y, r, 180, 270);
}

static void put_on_paper(cw_part__gaze gaze, cw_drafting_corner *corners, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const double x = corners[i].x_m, y = corners[i].y_m;

        cw_part__to_paper(gaze, x, y, &corners[i].x_m, &corners[i].y_m);
        corners[i].bulge *= hand(gaze);
    }
}

void cw_part__hatch(cw_drafting_view *view, cw_part__gaze gaze, int part, const cw_outline *outline)
{
    const double x = outline->size_m[0] / 2, y = outline->size_m[1] / 2, r = outline->corner_m;
    const double bulge = r > 0 ? CW_DRAFTING_QUARTER : 0;
    cw_drafting_corner corners[8] = { { x, y - r, bulge }, { x - r, y, 0 }, { r - x, y, bulge }, { -x, y - r, 0 },
                                      { -x, r - y, bulge }, { r - x, -y, 0 }, { x - r, -y, bulge }, { x, r - y, 0 } };

    put_on_paper(gaze, corners, 8);
    cw_drafting_hatch(view, part, corners, 8);
}

void cw_part__closed(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, int part,
                     cw_drafting_corner *corners, size_t count)
{
    put_on_paper(gaze, corners, count);
    cw_drafting_path(view, line, corners, count, true);
    cw_drafting_hatch(view, part, corners, count);
}

void cw_part__slots(cw_drafting_view *view, cw_part__gaze gaze, cw_drafting_line line, const cw_outline *outline,
                    const cw_former_slot *slots, int slot_count, int flange)
{
    for (int i = 0; i < slot_count; i++) {
        const cw_former_slot *slot = &slots[i];
        const double low = slot->y_m - slot->width_m / 2, high = slot->y_m + slot->width_m / 2;

        if (slot->flange != flange)
            continue;
        piece(view, gaze, line, cw_outline_reach(outline, low), low, slot->floor_m, low, 0);
        piece(view, gaze, line, slot->floor_m, low, slot->floor_m, high, 0);
        piece(view, gaze, line, slot->floor_m, high, cw_outline_reach(outline, high), high, 0);
    }
}

/* ---- dimensions -------------------------------------------------------------------------------------------------- */

/* The side of the paper that a side of the part looks to: of the dimensions along y the +x side, of those along x the
 * side to the right or under. */
static cw_drafting_side side_of(cw_part__gaze gaze, bool along_y, bool other_side)
{
    bool level = along_y != gaze.y_up, positive;

    if (along_y)
        positive = level ? true : !gaze.from_start; /* where +x lies */
    else
        positive = !level; /* right, or under */
    if (positive == other_side)
        return level ? CW_DRAFTING_UNDER : CW_DRAFTING_LEFT_OF;
    return level ? CW_DRAFTING_OVER : CW_DRAFTING_RIGHT_OF;
}

void cw_part__dimension(cw_drafting_view *view, cw_part__gaze gaze, const cw_part__size *size)
{
    cw_drafting_dimension d = { .kind = CW_DRAFTING_LINEAR, .prefix = size->prefix, .suffix = size->suffix,
                                .key = size->key, .upper_m = size->upper_m, .lower_m = size->lower_m,
                                .from_scale = size->from_scale };

    d.side = side_of(gaze, size->along_y, size->other_side);
    d.value = size->along_y ? fabs(size->y2 - size->y1) : fabs(size->x2 - size->x1);
    if (size->grid_m > 0)
        d.value = round(d.value / size->grid_m) * size->grid_m;
    cw_part__to_paper(gaze, size->x1, size->y1, &d.x1_m, &d.y1_m);
    cw_part__to_paper(gaze, size->x2, size->y2, &d.x2_m, &d.y2_m);
    cw_drafting_dimension_add(view, &d);
}

void cw_part__outline_dimensions(cw_drafting_view *view, cw_part__gaze gaze, const cw_outline *outline,
                                 const char *name, bool other_side, const double upper_m[2], const double lower_m[2])
{
    const double x = outline->size_m[0] / 2, y = outline->size_m[1] / 2, r = outline->corner_m;
    const cw_part__key key_x = cw_part__key_of(name, ".x"), key_y = cw_part__key_of(name, ".y");

    cw_part__dimension(view, gaze, &(cw_part__size){ -x, other_side ? r - y : y - r, x, other_side ? r - y : y - r,
                                                     .other_side = other_side, .key = key_x.text,
                                                     .upper_m = upper_m[0], .lower_m = lower_m[0] });
    cw_part__dimension(view, gaze, &(cw_part__size){ r - x, -y, r - x, y, .along_y = true, .other_side = true,
                                                     .key = key_y.text, .upper_m = upper_m[1],
                                                     .lower_m = lower_m[1] });
}

void cw_part__corner_radius(cw_drafting_view *view, cw_part__gaze gaze, const cw_outline *outline, bool from_inside,
                            double grid_m, const char *key)
{
    const double r = outline->corner_m, x = outline->size_m[0] / 2 - r, y = outline->size_m[1] / 2 - r;
    cw_drafting_dimension d = { .kind = CW_DRAFTING_RADIUS, .prefix = "4\xC3\x97 R", .key = key, .x2_m = r,
                                .value = round(r / grid_m) * grid_m, .from_inside = from_inside };
    double across, up;

    if (r <= 0 || cw_part__is_obround(outline))
        return;
    cw_part__to_paper(gaze, -x, -y, &across, &up); /* the corner away from the slots */
    d.x1_m = across;
    d.y1_m = up;
    d.from_degrees = across < 0 ? (up < 0 ? 180 : 90) : (up < 0 ? 270 : 0);
    d.to_degrees = d.from_degrees + 90;
    cw_drafting_dimension_add(view, &d);
}

/* ---- slots ------------------------------------------------------------------------------------------------------- */

/* How slots of one flange are dimensioned: in a view of the whole, under keys, or in a detail of it, which settles
 * nothing new. */
typedef struct slotting {
    cw_drafting_view *view;
    cw_part__gaze gaze;
    const cw_outline *outline;
    const cw_former_slot *slots;
    int slot_count, flange;
    double grid_m;
    double from_scale; /* of the dimensions that the detail has too */
    const char *part;  /* of the keys; NULL: a detail */
} slotting;

static bool same_size(const cw_former_slot *a, const cw_former_slot *b, bool width)
{
    return fabs(width ? a->width_m - b->width_m : a->floor_m - b->floor_m) < same_m;
}

/* Joins the keys of all slots of the flange from `first` on that share its width or floor; false where an earlier one
 * does, and has told it. */
static bool shared_keys(const slotting *s, int first, bool width, cw_part__key *keys, int *sharing)
{
    *keys = (cw_part__key){ "" };
    *sharing = 0;
    for (int i = 0; i < s->slot_count; i++) {
        size_t used = strlen(keys->text);

        if (s->slots[i].flange != s->flange || !same_size(&s->slots[i], &s->slots[first], width))
            continue;
        if (i < first)
            return false;
        if (s->part != NULL)
            snprintf(keys->text + used, sizeof keys->text - used, "%s%sslot%d.%s", used > 0 ? " " : "", s->part, i,
                     width ? "width" : "floor");
        ++*sharing;
    }
    return true;
}

static void slot_width(const slotting *s, int at)
{
    const cw_former_slot *slot = &s->slots[at];
    const double low = slot->y_m - slot->width_m / 2, high = slot->y_m + slot->width_m / 2;
    cw_part__key keys;
    char prefix[16] = "";
    int sharing;

    if (!shared_keys(s, at, true, &keys, &sharing))
        return;
    if (sharing > 1)
        snprintf(prefix, sizeof prefix, "%d\xC3\x97 ", sharing);
    cw_part__dimension(s->view, s->gaze, &(cw_part__size){
        cw_outline_reach(s->outline, low), low, cw_outline_reach(s->outline, high), high, .along_y = true,
        .prefix = prefix, .key = s->part != NULL ? keys.text : NULL, .grid_m = s->grid_m,
        .from_scale = s->from_scale });
}

static void slot_floor(const slotting *s, int at)
{
    const cw_former_slot *slot = &s->slots[at];
    const double side = s->gaze.y_up || !s->gaze.from_start ? -1 : 1; /* of y, to the right or under */
    cw_part__key keys;
    int sharing;

    if (shared_keys(s, at, false, &keys, &sharing))
        cw_part__dimension(s->view, s->gaze, &(cw_part__size){
            0, side * s->outline->size_m[1] / 2, slot->floor_m, slot->y_m + side * slot->width_m / 2,
            .key = keys.text, .grid_m = s->grid_m });
}

/* The slot of the same flange that lies as far on the other side of the axis, or -1. */
static int mirror(const slotting *s, int at)
{
    for (int i = 0; i < s->slot_count; i++)
        if (i != at && s->slots[i].flange == s->flange && fabs(s->slots[i].y_m + s->slots[at].y_m) < same_m)
            return i;
    return -1;
}

static void slot_place(const slotting *s, int at)
{
    const cw_former_slot *slot = &s->slots[at];
    const int other = mirror(s, at);
    cw_part__size size = { .along_y = true, .grid_m = s->grid_m, .from_scale = s->from_scale, .x2 = slot->floor_m,
                           .y2 = slot->y_m };
    cw_part__key keys;

    if (other >= 0 && other < at)
        return;
    snprintf(keys.text, sizeof keys.text, "%sslot%d.y", s->part != NULL ? s->part : "", at);
    if (fabs(slot->y_m) < same_m) { /* it stands on the centre line */
        if (s->part != NULL)
            cw_drafting_settles_too(s->view, keys.text, 0);
        return;
    }
    size.x1 = other < 0 ? s->outline->size_m[0] / 2 : s->slots[other].floor_m;
    size.y1 = other < 0 ? 0 : s->slots[other].y_m;
    if (other >= 0 && s->part != NULL)
        snprintf(keys.text, sizeof keys.text, "%sslot%d.apart %sslot%d.apart", s->part, at, s->part, other);
    size.key = s->part != NULL ? keys.text : NULL;
    cw_part__dimension(s->view, s->gaze, &size);
}

static void slot_centre_line(const slotting *s, int at)
{
    double x1, y1, x2, y2;

    cw_part__to_paper(s->gaze, s->slots[at].floor_m, s->slots[at].y_m, &x1, &y1);
    cw_part__to_paper(s->gaze, cw_outline_reach(s->outline, s->slots[at].y_m), s->slots[at].y_m, &x2, &y2);
    cw_drafting_centre_line(s->view, x1, y1, x2, y2);
}

/* The scale at which the narrowest slot is wide enough on paper; 0 where the flange has none. */
static double least_scale(const cw_former_slot *slots, int slot_count, int flange)
{
    double width = INFINITY;

    for (int i = 0; i < slot_count; i++)
        if (slots[i].flange == flange)
            width = fmin(width, slots[i].width_m);
    return LEAST_SLOT_MM * 1e-3 / width;
}

void cw_part__slot_dimensions(cw_drafting_view *view, cw_part__gaze gaze, const cw_outline *outline,
                              const cw_former_slot *slots, int slot_count, int flange, double grid_m,
                              const char *part)
{
    const slotting s = { view, gaze, outline, slots, slot_count, flange, grid_m,
                         least_scale(slots, slot_count, flange), part };

    for (int i = 0; i < slot_count; i++) {
        if (slots[i].flange != flange)
            continue;
        slot_width(&s, i);
        slot_floor(&s, i);
        slot_place(&s, i);
        slot_centre_line(&s, i);
    }
}

/* The circle around the slots and the plane through the axis that they are measured from. */
static void slot_circle(const slotting *s, double *x, double *y, double *radius)
{
    double low_x = INFINITY, high_x = -INFINITY, low_y = 0, high_y = 0;

    for (int i = 0; i < s->slot_count; i++) {
        const cw_former_slot *slot = &s->slots[i];

        if (slot->flange != s->flange)
            continue;
        low_x = fmin(low_x, slot->floor_m);
        high_x = fmax(high_x, cw_outline_reach(s->outline, slot->y_m));
        low_y = fmin(low_y, slot->y_m - slot->width_m);
        high_y = fmax(high_y, slot->y_m + slot->width_m);
    }
    *x = (low_x + high_x) / 2;
    *y = (low_y + high_y) / 2;
    *radius = 1.2 * hypot(high_x - low_x, high_y - low_y) / 2;
}

static void draw_slot_detail(const slotting *s)
{
    double across, up;

    cw_part__outline(s->view, s->gaze, CW_DRAFTING_VISIBLE, s->outline, s->slots, s->slot_count, s->flange);
    cw_part__slots(s->view, s->gaze, CW_DRAFTING_VISIBLE, s->outline, s->slots, s->slot_count, s->flange);
    cw_part__to_paper(s->gaze, s->outline->size_m[0] / 2, 0, &across, &up);
    cw_drafting_centre_line(s->view, 0, 0, across, up);
    for (int i = 0; i < s->slot_count; i++)
        if (s->slots[i].flange == s->flange) {
            slot_width(s, i);
            slot_place(s, i);
            slot_centre_line(s, i);
        }
}

cw_status cw_part__slot_detail(cw_drafting_view *main, cw_part__gaze gaze, const cw_outline *outline,
                               const cw_former_slot *slots, int slot_count, int flange, double grid_m, char letter,
                               cw_drafting_view **detail, cw_error *error)
{
    const double below = least_scale(slots, slot_count, flange);
    slotting s = { NULL, gaze, outline, slots, slot_count, flange, grid_m, 0, NULL };
    char title[16], name[2] = { letter, '\0' };
    double x, y, radius, across, up;
    cw_status status;

    *detail = NULL;
    if (below == 0)
        return CW_OK;
    snprintf(title, sizeof title, "Detail %c", letter);
    status = cw_drafting_view_create(CW_DRAFTING_FREE, title, detail, error);
    if (status != CW_OK)
        return status;
    s.view = *detail;
    slot_circle(&s, &x, &y, &radius);
    cw_part__to_paper(gaze, x, y, &across, &up);
    cw_drafting_only_below(*detail, below);
    cw_drafting_clip(*detail, across, up, radius);
    draw_slot_detail(&s);
    cw_drafting_dimension_add(main, &(cw_drafting_dimension){
        .kind = CW_DRAFTING_NOTE, .x1_m = across, .y1_m = up, .x2_m = radius, .ring = true, .prefix = name, .value = NAN,
        .below_scale = below });
    return CW_OK;
}
