/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "field/layout.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SHELL_CELLS = 4 };

#define GROWTH 2.5  /* of cells away from a line on the first mesh: coarse, the estimate refines it */
#define MARGIN 0.4  /* air between magnet and shell, over the magnet's size; measured in docs/field.md */

/* ---- what can be ---------------------------------------------------------------------------------------------- */

/* Distances of two rectangles along x and y; below zero by the overlap. */
static void apart(const cw_part *a, const cw_part *b, double distance[2])
{
    distance[0] = fmax(a->x[0] - b->x[1], b->x[0] - a->x[1]);
    distance[1] = fmax(a->y[0] - b->y[1], b->y[0] - a->y[1]);
}

double cw_layout__size(const cw_section *section)
{
    double low[2] = { INFINITY, INFINITY }, high[2] = { -INFINITY, -INFINITY };

    for (size_t i = 0; i < section->part_count; i++) {
        low[0] = fmin(low[0], section->part[i].x[0]);
        high[0] = fmax(high[0], section->part[i].x[1]);
        low[1] = fmin(low[1], section->part[i].y[0]);
        high[1] = fmax(high[1], section->part[i].y[1]);
    }
    return fmax((section->planar && !section->mirrored ? 1 : 2) * (high[0] - low[0]), high[1] - low[1]);
}

static cw_status check_part(const cw_section *section, const cw_part *part, cw_error *error)
{
    bool half = !section->planar || section->mirrored;

    if (!(part->x[1] > part->x[0] && part->y[1] > part->y[0] && isfinite(part->x[1] - part->x[0]) &&
          isfinite(part->y[1] - part->y[0])))
        return cw_refuse(error, NULL, "two corners that span an area", "The part '%s' has no area.", part->name);
    if (half && part->x[0] < 0)
        return cw_refuse(error, NULL, "x from 0 on", "The part '%s' reaches across the %s at x = 0, to %.4g mm.",
                         part->name, section->planar ? "mirror" : "axis", 1e3 * part->x[0]);
    if (part->coil >= section->coil_count || part->coil < -1 || section->coil_count > CW_MOST_MAGNET_COILS)
        return cw_refuse(error, NULL, "a coil's number from 0 on", "The part '%s' belongs to coil %d of %d.",
                         part->name, part->coil, section->coil_count);
    if (part->coil < 0 && part->iron[0] == '\0')
        return cw_refuse(error, NULL, "an iron's name, or a coil", "The part '%s' is made of nothing.", part->name);
    if (part->coil >= 0 && (part->iron[0] != '\0' || part->moves))
        return cw_refuse(error, NULL, "a coil at rest, in air", "The coil side '%s' is of iron, or moves.", part->name);
    return CW_OK;
}

static cw_status check_pair(const cw_part *a, const cw_part *b, double close, cw_error *error)
{
    double distance[2];

    apart(a, b, distance);
    if (distance[0] > -close || distance[1] > -close)
        return CW_OK;
    if ((a->coil >= 0) != (b->coil >= 0))
        return cw_refuse(error, NULL, "coils in air only", "The coil side '%s' and the iron '%s' overlap.",
                         a->coil >= 0 ? a->name : b->name, a->coil >= 0 ? b->name : a->name);
    if (a->coil >= 0)
        return cw_refuse(error, NULL, "coils beside each other", "The coil sides '%s' and '%s' overlap.", a->name,
                         b->name);
    if (a->moves != b->moves)
        return cw_refuse(error, NULL, "moving iron clear of the rest", "The moving part '%s' and '%s' overlap.",
                         a->moves ? a->name : b->name, a->moves ? b->name : a->name);
    return CW_OK;
}

static cw_status check_currents(const cw_section *section, cw_error *error)
{
    for (int c = 0; c < section->coil_count && section->planar && !section->mirrored; c++) {
        double sum = 0, most = 0;

        for (size_t i = 0; i < section->part_count; i++)
            if (section->part[i].coil == c) {
                sum += section->part[i].turns;
                most = fmax(most, fabs(section->part[i].turns));
            }
        if (fabs(sum) > 1e-9 * most)
            return cw_refuse(error, NULL, "as many turns into the page as out of it",
                             "Coil %d has %.6g turns more into the page than out of it.", c, sum);
    }
    return CW_OK;
}

cw_status cw_layout__check_whole(const cw_section *section, cw_error *error)
{
    if (section->part_count == 0 || section->part_count > CW_MOST_PARTS)
        return cw_refuse(error, NULL, "1 to 32 parts", "The section has %zu parts.", section->part_count);
    if (section->planar && !(section->depth_m > 0 && isfinite(section->depth_m)))
        return cw_refuse(error, NULL, "a depth, as in 40 mm", "The straight section has no depth into the page.");
    return check_currents(section, error);
}

cw_status cw_layout__check(const cw_section *section, cw_error *error)
{
    cw_status status = cw_layout__check_whole(section, error);
    double close;

    if (status != CW_OK)
        return status;
    close = 1e-9 * cw_layout__size(section);
    for (size_t i = 0; i < section->part_count; i++) {
        status = check_part(section, &section->part[i], error);
        for (size_t j = 0; j < i && status == CW_OK; j++)
            status = check_pair(&section->part[i], &section->part[j], close, error);
        if (status != CW_OK)
            return status;
    }
    return CW_OK;
}

/* ---- lines ---------------------------------------------------------------------------------------------------- */

/* Moving iron against all other iron: the smallest distance, refused where it is none. */
static cw_status check_gap(const cw_part *part, size_t count, double size, double gap_m, cw_error *error)
{
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < count; j++) {
            double d[2];

            if (!part[i].moves || part[j].moves || part[j].iron[0] == '\0')
                continue;
            apart(&part[i], &part[j], d);
            if (fmax(d[0], d[1]) < 1e-7 * size)
                return cw_refuse(error, NULL, "the effective gap of two faces, as in 0.05 mm",
                                 "At a gap of %.4g mm the part '%s' touches '%s'. Even ground faces leave a few "
                                 "hundredths of a millimetre.", 1e3 * gap_m, part[i].name, part[j].name);
        }
    return CW_OK;
}

/* Sorted lines of one direction through `edge`, near ones made one. */
static size_t merge(const double *edge, size_t count, double close, cw_line *line, int *line_of_edge)
{
    size_t order[CW_MOST_LINES], lines = 0;

    for (size_t i = 0; i < count; i++) {
        size_t at = i;

        for (; at > 0 && edge[order[at - 1]] > edge[i]; at--)
            order[at] = order[at - 1];
        order[at] = i;
    }
    for (size_t i = 0; i < count; i++) {
        if (lines == 0 || edge[order[i]] > line[lines - 1].at + close)
            line[lines++].at = edge[order[i]];
        line_of_edge[order[i]] = (int)lines - 1;
    }
    return lines;
}

/* Cells beside each line: as long as the narrower neighbour, and no longer than twice the gap that a face on it looks
 * across. Refinement halves them where it matters. */
static void size_cells(cw_line *line, size_t lines, const int *line_of_edge, const double *reach, size_t edges,
                       double coarse)
{
    for (size_t i = 0; i < lines; i++) {
        double left = i > 0 ? line[i].at - line[i - 1].at : INFINITY;
        double right = i + 1 < lines ? line[i + 1].at - line[i].at : INFINITY;

        line[i].cell = fmin(left, right) * coarse;
    }
    for (size_t e = 0; e < edges; e++)
        line[line_of_edge[e]].cell = fmin(line[line_of_edge[e]].cell, 2 * reach[e] * coarse);
}

/* Distance from an iron part to the nearest iron of the other kind, moving or not. */
static double facing(const cw_part *part, size_t count, size_t i)
{
    double nearest = INFINITY;

    for (size_t j = 0; j < count && part[i].iron[0] != '\0'; j++) {
        double d[2];

        if (part[j].iron[0] == '\0' || part[j].moves == part[i].moves)
            continue;
        apart(&part[i], &part[j], d);
        nearest = fmin(nearest, hypot(fmax(d[0], 0), fmax(d[1], 0)));
    }
    return nearest;
}

void cw_layout__box(const cw_section *section, const cw_part *part, double inside[4], double thickness[2])
{
    double size = cw_layout__size(section), margin = MARGIN * size;

    inside[CW_LEFT] = inside[CW_BOTTOM] = INFINITY;
    inside[CW_RIGHT] = inside[CW_TOP] = -INFINITY;
    for (size_t i = 0; i < section->part_count; i++) {
        inside[CW_LEFT] = fmin(inside[CW_LEFT], part[i].x[0]);
        inside[CW_RIGHT] = fmax(inside[CW_RIGHT], part[i].x[1]);
        inside[CW_BOTTOM] = fmin(inside[CW_BOTTOM], part[i].y[0]);
        inside[CW_TOP] = fmax(inside[CW_TOP], part[i].y[1]);
    }
    inside[CW_RIGHT] += margin;
    inside[CW_BOTTOM] -= margin;
    inside[CW_TOP] += margin;
    inside[CW_LEFT] = section->planar && !section->mirrored ? inside[CW_LEFT] - margin : 0;
    thickness[0] = inside[CW_LEFT] == 0 ? inside[CW_RIGHT] : 0.5 * (inside[CW_RIGHT] - inside[CW_LEFT]);
    thickness[1] = 0.5 * (inside[CW_TOP] - inside[CW_BOTTOM]);
}

static cw_status find_cone(const cw_part *part, size_t count, cw_cone *cone, cw_error *error)
{
    const cw_part *stop = NULL, *plunger = NULL;

    memset(cone, 0, sizeof *cone);
    for (size_t i = 0; i < count; i++)
        if (part[i].drop_m != 0)
            *(part[i].moves ? &plunger : &stop) = &part[i];
    if (stop == NULL && plunger == NULL)
        return CW_OK;
    if (stop == NULL || plunger == NULL || stop->drop_m != plunger->drop_m || stop->x[1] != plunger->x[1] ||
        !(stop->drop_m > 0 && stop->drop_m < stop->y[1] - stop->y[0]))
        return cw_refuse(error, NULL, "a stop and a plunger of one diameter and one cone",
                         "The conical face of '%s' has no like face to go into.",
                         plunger != NULL ? plunger->name : stop->name);
    *cone = (cw_cone){ stop->drop_m, stop->x[1], stop->y[0], stop->y[1], plunger->y[0], plunger->y[1] };
    return CW_OK;
}

cw_status cw_layout__at_gap(const cw_section *section, double gap_m, double coarse, cw_part *moved,
                            cw_layout *layout, cw_error *error)
{
    double edge[2][CW_MOST_LINES], reach[CW_MOST_LINES], size = cw_layout__size(section);
    size_t count = 0;
    cw_status status;

    memset(layout, 0, sizeof *layout);
    if (!isfinite(gap_m))
        return cw_refuse(error, NULL, "a gap, as in 0.1 mm", "The gap is not a number.");
    memcpy(moved, section->part, section->part_count * sizeof *moved);
    for (size_t i = 0; i < section->part_count; i++)
        for (int k = 0; k < 2 && moved[i].moves; k++)
            moved[i].y[k] += gap_m;
    status = check_gap(moved, section->part_count, size, gap_m, error);
    if (status != CW_OK)
        return status;
    status = find_cone(moved, section->part_count, &layout->cone, error);
    if (status != CW_OK)
        return status;
    cw_layout__box(section, moved, layout->inside, layout->thickness);
    for (size_t i = 0; i < section->part_count; i++)
        for (int k = 0; k < 2; k++, count++) {
            edge[0][count] = moved[i].x[k];
            edge[1][count] = moved[i].y[k];
            reach[count] = facing(moved, section->part_count, i);
        }
    for (int k = 0; k < 2; k++, count++) {
        edge[0][count] = layout->inside[CW_LEFT + k];
        edge[1][count] = layout->inside[CW_BOTTOM + k];
        reach[count] = INFINITY;
    }
    layout->edge_count = count;
    layout->open_left = section->planar && !section->mirrored;
    layout->x_count = merge(edge[0], count, 1e-8 * size, layout->x, layout->line_of_edge[0]);
    layout->y_count = merge(edge[1], count, 1e-8 * size, layout->y, layout->line_of_edge[1]);
    size_cells(layout->x, layout->x_count, layout->line_of_edge[0], reach, count, coarse);
    size_cells(layout->y, layout->y_count, layout->line_of_edge[1], reach, count, coarse);
    return CW_OK;
}

bool cw_layout__same_order(const cw_layout *a, const cw_layout *b)
{
    return a->edge_count == b->edge_count && a->x_count == b->x_count && a->y_count == b->y_count &&
           memcmp(a->line_of_edge, b->line_of_edge, sizeof a->line_of_edge) == 0;
}

cw_status cw_layout__axes(const cw_layout *layout, cw_axis *x, cw_axis *y, cw_error *error)
{
    const int across[2] = { layout->open_left ? SHELL_CELLS : 0, SHELL_CELLS };
    const int along[2] = { SHELL_CELLS, SHELL_CELLS };
    cw_status status = cw_axis_create(layout->x, layout->x_count, GROWTH, across, layout->thickness[0], x, error);

    return status == CW_OK ? cw_axis_create(layout->y, layout->y_count, GROWTH, along, layout->thickness[1], y, error)
                           : status;
}

void cw_layout__move_axis(const cw_layout *from, const cw_layout *to, cw_axis *y)
{
    size_t last = from->y_count - 1;

    for (size_t i = 0; i < y->count; i++) {
        double at = y->at[i];
        size_t k = 0;

        if (at <= from->y[0].at) {
            y->at[i] = to->y[0].at + (at - from->y[0].at) * (to->thickness[1] / from->thickness[1]);
        } else if (at >= from->y[last].at) {
            y->at[i] = to->y[last].at + (at - from->y[last].at) * (to->thickness[1] / from->thickness[1]);
        } else {
            while (at >= from->y[k + 1].at)
                k++;
            y->at[i] = to->y[k].at + (at - from->y[k].at) * ((to->y[k + 1].at - to->y[k].at) /
                                                            (from->y[k + 1].at - from->y[k].at));
        }
    }
}

/* ---- distances ------------------------------------------------------------------------------------------------ */

static double distance_to(const cw_part *part, const double place[2])
{
    double dx = fmax(fmax(part->x[0] - place[0], place[0] - part->x[1]), 0);
    double dy = fmax(fmax(part->y[0] - place[1], place[1] - part->y[1]), 0);

    return hypot(dx, dy);
}

static double distance_to_rim(const cw_layout *layout, const double place[2])
{
    double nearest = fmin(layout->inside[CW_RIGHT] - place[0],
                          fmin(place[1] - layout->inside[CW_BOTTOM], layout->inside[CW_TOP] - place[1]));

    if (layout->open_left)
        nearest = fmin(nearest, place[0] - layout->inside[CW_LEFT]);
    return fmax(nearest, 0);
}

static double lattice_at(const cw_axis *axis, size_t i)
{
    return i % 2 == 0 ? axis->at[i / 2] : 0.5 * (axis->at[i / 2] + axis->at[i / 2 + 1]);
}

static double weight_at(const cw_layout *layout, const cw_part *part, size_t count, const double place[2])
{
    double moving = INFINITY, still = distance_to_rim(layout, place);

    for (size_t i = 0; i < count; i++) {
        double distance = distance_to(&part[i], place);

        if (part[i].moves)
            moving = fmin(moving, distance);
        else
            still = fmin(still, distance);
    }
    return isinf(moving) ? 0 : moving == 0 ? 1 : still / (still + moving);
}

void cw_layout__far_weight(const cw_layout *layout, const cw_part *part, size_t count, const cw_axis *x,
                           const cw_axis *y, double *weight)
{
    size_t n = 0;

    for (size_t j = 0; j < 2 * y->count - 1; j++)
        for (size_t i = 0; i < 2 * x->count - 1; i++) {
            double place[2] = { lattice_at(x, i), lattice_at(y, j) };

            weight[n++] = weight_at(layout, part, count, place);
        }
}

/* ---- cones ---------------------------------------------------------------------------------------------------- */

void cw_layout__bend(const cw_layout *layout, cw_mesh *mesh)
{
    const cw_cone *c = &layout->cone;

    if (c->height == 0)
        return;
    for (size_t n = 0; n < mesh->node_count; n++) {
        double *at = mesh->node[n], share = 1;

        if (at[0] >= c->radius || at[1] <= c->foot || at[1] >= c->top)
            continue;
        if (at[1] < c->low)
            share = (at[1] - c->foot) / (c->low - c->foot);
        else if (at[1] > c->high)
            share = (c->top - at[1]) / (c->top - c->high);
        at[1] -= share * c->height * (1 - at[0] / c->radius);
    }
    for (size_t t = 0; t < mesh->triangle_count; t++) /* sides stay straight, their middles in the middle */
        for (int k = 0; k < 3; k++)
            for (int d = 0; d < 2; d++)
                mesh->node[mesh->corner[t][3 + k]][d] = 0.5 * (mesh->node[mesh->corner[t][k]][d] +
                                                               mesh->node[mesh->corner[t][(k + 1) % 3]][d]);
}

double cw_layout__straight_y(const cw_layout *layout, double x, double y)
{
    const cw_cone *c = &layout->cone;
    double drop;

    if (c->height == 0 || x >= c->radius || y <= c->foot || y >= c->top)
        return y;
    drop = c->height * (1 - x / c->radius);
    if (y < c->low - drop)
        return c->foot + (y - c->foot) * (c->low - c->foot) / (c->low - drop - c->foot);
    if (y <= c->high - drop)
        return y + drop;
    return c->high + (y - c->high + drop) * (c->top - c->high) / (c->top - c->high + drop);
}
