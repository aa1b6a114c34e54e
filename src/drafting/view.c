/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Views as they are handed in: lists of what is to be drawn and dimensioned, at full size. */
#include "drafting/drafting_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double degree = 57.29577951308232087680;

/* Room for one more item; NULL once memory has run out. */
static void *one_more(void **items, size_t *count, size_t *capacity, size_t size, bool *failed)
{
    if (*failed)
        return NULL;
    if (*count == *capacity) {
        size_t wanted = *capacity == 0 ? 32 : 2 * *capacity;
        void *grown = cw_reallocate(*items, wanted, size);

        if (grown == NULL) {
            *failed = true;
            return NULL;
        }
        *items = grown;
        *capacity = wanted;
    }
    return (char *)*items + size * (*count)++;
}

static void add_item(cw_drafting_view *view, cw_drafting__item item)
{
    void *items = view->items;
    cw_drafting__item *new_item =
        one_more(&items, &view->item_count, &view->item_capacity, sizeof item, &view->failed);

    view->items = items;
    if (new_item != NULL)
        *new_item = item;
}

cw_status cw_drafting_view_create(cw_drafting_place place, const char *title, cw_drafting_view **view, cw_error *error)
{
    cw_drafting_view *made = cw_allocate(1, sizeof *made);

    *view = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    made->place = place;
    if (title != NULL)
        snprintf(made->title, sizeof made->title, "%s", title);
    *view = made;
    return CW_OK;
}

void cw_drafting_view_destroy(cw_drafting_view **view)
{
    cw_drafting_view *old = *view;

    *view = NULL;
    if (old == NULL)
        return;
    for (size_t i = 0; i < old->face_count; i++)
        cw_free(old->faces[i].corners);
    cw_free(old->items);
    cw_free(old->faces);
    cw_free(old->requests);
    cw_free(old->settled);
    cw_free(old);
}

void cw_drafting_view_move(cw_drafting_view *view, cw_drafting_place place)
{
    view->place = place;
}

void cw_drafting_segment(cw_drafting_view *view, cw_drafting_line line, double x1_m, double y1_m, double x2_m,
                         double y2_m)
{
    add_item(view, (cw_drafting__item){ ITEM_SEGMENT, line, x1_m, y1_m, x2_m, y2_m, 0, 0, 0, 0, "" });
}

void cw_drafting_arc(cw_drafting_view *view, cw_drafting_line line, double x_m, double y_m, double radius_m,
                     double from_degrees, double to_degrees)
{
    while (to_degrees <= from_degrees)
        to_degrees += 360;
    add_item(view, (cw_drafting__item){ ITEM_ARC, line, x_m, y_m, radius_m, 0, from_degrees, to_degrees, 0, 0, "" });
}

void cw_drafting_circle(cw_drafting_view *view, cw_drafting_line line, double x_m, double y_m, double radius_m)
{
    cw_drafting_arc(view, line, x_m, y_m, radius_m, 0, 360);
}

/* The arc of a bulge: with chord c and angle A = 4 atan(bulge), radius c / (2 sin(A/2)), the centre beside the chord's
 * middle by c / (2 tan(A/2)) to the left where the arc is counter-clockwise. */
static void bulged(cw_drafting_view *view, cw_drafting_line line, const cw_drafting_corner *a,
                   const cw_drafting_corner *b)
{
    double dx = b->x_m - a->x_m, dy = b->y_m - a->y_m, angle = 4 * atan(a->bulge);
    double beside = 1 / (2 * tan(angle / 2)), radius = fabs(hypot(dx, dy) / (2 * sin(angle / 2)));
    double x = (a->x_m + b->x_m) / 2 - beside * dy, y = (a->y_m + b->y_m) / 2 + beside * dx;
    double from = atan2(a->y_m - y, a->x_m - x) * degree, to = atan2(b->y_m - y, b->x_m - x) * degree;

    if (angle > 0)
        cw_drafting_arc(view, line, x, y, radius, from, to);
    else
        cw_drafting_arc(view, line, x, y, radius, to, from);
}

void cw_drafting_path(cw_drafting_view *view, cw_drafting_line line, const cw_drafting_corner *corners, size_t count,
                      bool closed)
{
    for (size_t i = 0; i + (closed ? 0 : 1) < count; i++) {
        const cw_drafting_corner *a = &corners[i], *b = &corners[(i + 1) % count];

        if (hypot(b->x_m - a->x_m, b->y_m - a->y_m) < 1e-9)
            continue;
        if (a->bulge == 0)
            cw_drafting_segment(view, line, a->x_m, a->y_m, b->x_m, b->y_m);
        else
            bulged(view, line, a, b);
    }
}

void cw_drafting_centre_line(cw_drafting_view *view, double x1_m, double y1_m, double x2_m, double y2_m)
{
    add_item(view, (cw_drafting__item){ ITEM_CENTRE_LINE, CW_DRAFTING_CENTRE, x1_m, y1_m, x2_m, y2_m, 0, 0, 0, 0, "" });
}

void cw_drafting_centre_mark(cw_drafting_view *view, double x_m, double y_m, double radius_m)
{
    cw_drafting_centre_line(view, x_m - radius_m, y_m, x_m + radius_m, y_m);
    cw_drafting_centre_line(view, x_m, y_m - radius_m, x_m, y_m + radius_m);
}

void cw_drafting_letter(cw_drafting_view *view, double x_m, double y_m, double dx_mm, double dy_mm, const char *letter)
{
    cw_drafting__item item = { ITEM_LETTER, CW_DRAFTING_DIMENSION, x_m, y_m, 0, 0, 0, 0, dx_mm, dy_mm, "" };

    snprintf(item.words, sizeof item.words, "%s", letter);
    add_item(view, item);
}

void cw_drafting_hatch(cw_drafting_view *view, int part, const cw_drafting_corner *corners, size_t count)
{
    cw_drafting_corner *copy = cw_allocate(count, sizeof *copy);
    void *faces = view->faces;
    cw_drafting__face *face;

    view->failed = view->failed || copy == NULL;
    face = one_more(&faces, &view->face_count, &view->face_capacity, sizeof *face, &view->failed);
    view->faces = faces;
    if (face == NULL) {
        cw_free(copy);
        return;
    }
    memcpy(copy, corners, count * sizeof *copy);
    *face = (cw_drafting__face){ part, copy, count };
}

void cw_drafting_clip(cw_drafting_view *view, double x_m, double y_m, double radius_m)
{
    view->clipped = true;
    view->clip_x_m = x_m;
    view->clip_y_m = y_m;
    view->clip_radius_m = radius_m;
}

void cw_drafting_only_below(cw_drafting_view *view, double scale)
{
    view->below_scale = scale;
}

static cw_drafting__request *add_request(cw_drafting_view *view)
{
    void *requests = view->requests;
    cw_drafting__request *request = one_more(&requests, &view->request_count, &view->request_capacity, sizeof *request,
                                             &view->failed);

    view->requests = requests;
    if (request != NULL)
        memset(request, 0, sizeof *request);
    return request;
}

static void cut_end(cw_drafting_view *view, double x_m, double y_m, double along_x, double along_y, double sight_x,
                    double sight_y, const char *letter)
{
    cw_drafting__request *request = add_request(view);

    if (request == NULL)
        return;
    request->asked = (cw_drafting_dimension){ .kind = CW_DRAFTING_NOTE, .x1_m = x_m, .y1_m = y_m, .x2_m = along_x,
                                              .y2_m = along_y, .value = NAN };
    request->cut_end = true;
    request->sight_x = sight_x;
    request->sight_y = sight_y;
    snprintf(request->prefix, sizeof request->prefix, "%s", letter);
}

void cw_drafting_cut(cw_drafting_view *view, double x1_m, double y1_m, double x2_m, double y2_m, double sight_x,
                     double sight_y, const char *letter)
{
    const double length = hypot(x2_m - x1_m, y2_m - y1_m), dx = (x2_m - x1_m) / length, dy = (y2_m - y1_m) / length;

    cut_end(view, x1_m, y1_m, -dx, -dy, sight_x, sight_y, letter);
    cut_end(view, x2_m, y2_m, dx, dy, sight_x, sight_y, letter);
}

void cw_drafting_balloon(cw_drafting_view *view, double x_m, double y_m, const char *number)
{
    cw_drafting__request *request = add_request(view);

    if (request == NULL)
        return;
    request->asked = (cw_drafting_dimension){ .kind = CW_DRAFTING_NOTE, .x1_m = x_m, .y1_m = y_m, .value = NAN };
    request->balloon = true;
    snprintf(request->prefix, sizeof request->prefix, "%s", number);
}

void cw_drafting_settles_too(cw_drafting_view *view, const char *key, double value)
{
    void *items = view->settled;
    cw_drafting_settled *settled =
        one_more(&items, &view->settled_count, &view->settled_capacity, sizeof *settled, &view->failed);

    view->settled = items;
    if (settled == NULL)
        return;
    snprintf(settled->key, sizeof settled->key, "%s", key);
    settled->value = value;
}

void cw_drafting_dimension_add(cw_drafting_view *view, const cw_drafting_dimension *dimension)
{
    cw_drafting__request *request = add_request(view);

    if (request == NULL)
        return;
    request->asked = *dimension;
    request->asked.prefix = request->asked.suffix = request->asked.key = NULL;
    snprintf(request->prefix, sizeof request->prefix, "%s", dimension->prefix != NULL ? dimension->prefix : "");
    snprintf(request->suffix, sizeof request->suffix, "%s", dimension->suffix != NULL ? dimension->suffix : "");
    if (dimension->key != NULL)
        cw_drafting_settles_too(view, dimension->key, dimension->value);
}

void cw_drafting__view_extent(const cw_drafting_view *view, double *left, double *bottom, double *right, double *top)
{
    cw_drafting__bounds all = cw_drafting__nothing();

    for (size_t i = 0; i < view->item_count; i++) {
        const cw_drafting__item *item = &view->items[i];
        const cw_drafting__mark arc = { .kind = MARK_ARC, .x1 = item->x1, .y1 = item->y1, .x2 = item->x2,
                                        .a = item->from, .b = item->to };
        cw_drafting__bounds one;

        if (item->kind == ITEM_SEGMENT) {
            cw_drafting__include(&all, item->x1, item->y1);
            cw_drafting__include(&all, item->x2, item->y2);
        } else if (item->kind == ITEM_ARC) {
            one = cw_drafting__mark_bounds(&arc);
            cw_drafting__include(&all, one.left, one.bottom);
            cw_drafting__include(&all, one.right, one.top);
        }
    }
    *left = all.left;
    *bottom = all.bottom;
    *right = all.right;
    *top = all.top;
}
