/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Elements: conduction, heat capacity, the coil's loss, surfaces and contacts, and which unknowns they tie. */
#include "heat/heat_internal.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846

enum { POINTS = 7 };

/* Seven points, exact to fifth order: 15 root of 15 rule of Radon (1948); as in O. C. Zienkiewicz, The Finite Element
 * Method. Conduction and mass in axisymmetry are of order 3 and 5. */
#define A1 0.059715871789769820
#define B1 0.470142064105115090
#define A2 0.797426985353087322
#define B2 0.101286507323456339
#define W0 0.225
#define W1 0.132394152788506181
#define W2 0.125939180544827153

static const double point[POINTS][4] = { /* barycentric, weight */
    { 1. / 3, 1. / 3, 1. / 3, W0 }, { A1, B1, B1, W1 }, { B1, A1, B1, W1 }, { B1, B1, A1, W1 },
    { A2, B2, B2, W2 },             { B2, A2, B2, W2 }, { B2, B2, A2, W2 },
};

/* Gauss's three points on a side at (1 -+ root 0.6)/2, weights 5/18, 8/18, 5/18. */
#define G 0.112701665379258311
const double cw_heat__edge_shape[3][3] = {
    { (1 - G) * (1 - 2 * G), G * (2 * G - 1), 4 * G * (1 - G) },
    { 0, 0, 1 },
    { G * (2 * G - 1), (1 - G) * (1 - 2 * G), 4 * G * (1 - G) },
};
static const double edge_at[3] = { G, 0.5, 1 - G };
static const double edge_weight[3] = { 5. / 18, 8. / 18, 5. / 18 };

static int packed(int i, int j)
{
    return i >= j ? i * (i + 1) / 2 + j : j * (j + 1) / 2 + i;
}

/* ---- triangles ------------------------------------------------------------------------------------------------ */

/* Shape functions of a point and their slopes over the barycentric coordinates. */
static void shapes(const double *l, double n[6], double d[6][3])
{
    memset(d, 0, 6 * sizeof *d);
    for (int i = 0; i < 3; i++) {
        int j = (i + 1) % 3;

        n[i] = l[i] * (2 * l[i] - 1);
        d[i][i] = 4 * l[i] - 1;
        n[3 + i] = 4 * l[i] * l[j];
        d[3 + i][i] = 4 * l[j];
        d[3 + i][j] = 4 * l[i];
    }
}

/* Sides are straight, so barycentric coordinates have constant slopes: [corner][x, y]. Returns the area. */
static double slopes_of(const cw_mesh *mesh, int t, double slope[3][2])
{
    const double *p[3];
    double area;

    for (int i = 0; i < 3; i++)
        p[i] = mesh->node[mesh->corner[t][i]];
    area = 0.5 * ((p[1][0] - p[0][0]) * (p[2][1] - p[0][1]) - (p[2][0] - p[0][0]) * (p[1][1] - p[0][1]));
    for (int i = 0; i < 3; i++) {
        const double *a = p[(i + 1) % 3], *b = p[(i + 2) % 3];

        slope[i][0] = (a[1] - b[1]) / (2 * area);
        slope[i][1] = (b[0] - a[0]) / (2 * area);
    }
    return area;
}

static double depth_at(const cw_heat_section *section, double x)
{
    return section->planar ? section->depth_m * (section->mirrored ? 2 : 1) : 2 * PI * x;
}

static void add_point(const cw_heat *heat, const cw_heat_part *part, size_t e, const double *l, double volume,
                      double slope[3][2])
{
    double n[6], d[6][3], grad[6][2], k[2];
    double scale = part->winding && heat->section.conductivity_scale > 0 ? heat->section.conductivity_scale : 1;

    shapes(l, n, d);
    for (int a = 0; a < 2; a++) {
        k[a] = scale * part->conductivity_w_per_mk[a];
        for (int i = 0; i < 6; i++)
            grad[i][a] = d[i][0] * slope[0][a] + d[i][1] * slope[1][a] + d[i][2] * slope[2][a];
    }
    for (int i = 0, at = 0; i < 6; i++)
        for (int j = 0; j <= i; j++, at++) {
            heat->conduction[e][at] += volume * (k[0] * grad[i][0] * grad[j][0] + k[1] * grad[i][1] * grad[j][1]);
            heat->mass[e][at] += volume * part->capacity_j_per_m3k * n[i] * n[j];
            if (part->winding)
                heat->loss[e][at] += volume * n[i] * n[j];
        }
}

static void triangle_matrices(const cw_heat *heat, size_t e)
{
    const cw_mesh *mesh = heat->mesh;
    int t = heat->triangle[e];
    const cw_heat_part *part = &heat->section.part[mesh->region[t] - 1];
    double slope[3][2], area = slopes_of(mesh, t, slope);

    for (int q = 0; q < POINTS; q++) {
        double x = 0;

        for (int i = 0; i < 3; i++)
            x += point[q][i] * mesh->node[mesh->corner[t][i]][0];
        add_point(heat, part, e, point[q], area * point[q][3] * depth_at(&heat->section, x), slope);
    }
}

/* ---- unknowns ------------------------------------------------------------------------------------------------- */

/* A side as the parts on its two hands see it. The middle node names it. */
typedef struct side_owner {
    int element[2], local[2]; /* element -1: none; local: 0 to 2 */
} side_owner;

/* Node and part; joined to others of the node where they touch perfectly. */
typedef struct stake {
    int part, next, parent;
} stake;

typedef struct numbering {
    stake *stakes;
    int count, *first; /* shape [node_count]: -1 none */
    side_owner *owner; /* shape [node_count] */
} numbering;

static int stake_of(numbering *n, int node, int part)
{
    int s = n->first[node];

    while (s >= 0 && n->stakes[s].part != part)
        s = n->stakes[s].next;
    if (s >= 0)
        return s;
    n->stakes[n->count] = (stake){ part, n->first[node], n->count };
    n->first[node] = n->count;
    return n->count++;
}

static int root_of(numbering *n, int s)
{
    while (n->stakes[s].parent != s)
        s = n->stakes[s].parent = n->stakes[n->stakes[s].parent].parent;
    return s;
}

static void join(numbering *n, int a, int b)
{
    a = root_of(n, a);
    b = root_of(n, b);
    if (a < b)
        n->stakes[b].parent = a;
    else
        n->stakes[a].parent = b;
}

static int part_of(const cw_heat *heat, int element)
{
    return heat->mesh->region[heat->triangle[element]] - 1;
}

static const cw_heat_contact *contact_of(const cw_heat_section *section, int part, int other)
{
    for (int i = 0; i < section->contact_count; i++) {
        const cw_heat_contact *c = &section->contact[i];

        if ((c->part == part && c->other == other) || (c->part == other && c->other == part))
            return c;
    }
    return NULL;
}

static void own_sides(const cw_heat *heat, numbering *n)
{
    for (size_t i = 0; i < heat->mesh->node_count; i++)
        n->owner[i] = (side_owner){ { -1, -1 }, { 0, 0 } };
    for (size_t e = 0; e < heat->triangle_count; e++)
        for (int k = 0; k < 3; k++) {
            side_owner *o = &n->owner[heat->mesh->corner[heat->triangle[e]][3 + k]];
            int hand = o->element[0] >= 0;

            o->element[hand] = (int)e;
            o->local[hand] = k;
        }
}

static int side_node(const cw_heat *heat, int element, int local, int which)
{
    const int *corner = heat->mesh->corner[heat->triangle[element]];

    return which == 2 ? corner[3 + local] : corner[(local + which) % 3];
}

static void join_touching(const cw_heat *heat, numbering *n, size_t *contacts)
{
    *contacts = 0;
    for (size_t m = 0; m < heat->mesh->node_count; m++) {
        const side_owner *o = &n->owner[m];
        int a, b;

        if (o->element[1] < 0)
            continue;
        a = part_of(heat, o->element[0]);
        b = part_of(heat, o->element[1]);
        if (a == b)
            continue;
        if (contact_of(&heat->section, a, b) != NULL) {
            ++*contacts;
            continue;
        }
        for (int i = 0; i < 3; i++) {
            int node = side_node(heat, o->element[0], o->local[0], i);

            join(n, stake_of(n, node, a), stake_of(n, node, b));
        }
    }
}

static void number_unknowns(cw_heat *heat, numbering *n, int *unknown_of_stake)
{
    heat->unknown_count = 0;
    for (int s = 0; s < n->count; s++)
        unknown_of_stake[s] = root_of(n, s) == s ? (int)heat->unknown_count++ : -1;
    for (int s = 0; s < n->count; s++)
        if (unknown_of_stake[s] < 0)
            unknown_of_stake[s] = unknown_of_stake[root_of(n, s)];
    for (size_t e = 0; e < heat->triangle_count; e++)
        for (int i = 0; i < 6; i++)
            heat->unknown[e][i] = unknown_of_stake[stake_of(n, heat->mesh->corner[heat->triangle[e]][i],
                                                            part_of(heat, (int)e))];
}

/* ---- sides ---------------------------------------------------------------------------------------------------- */

/* Areas of the three Gauss points of a side. */
static void side_weights(const cw_heat *heat, int element, int local, double weight[3])
{
    const double *a = heat->mesh->node[side_node(heat, element, local, 0)];
    const double *b = heat->mesh->node[side_node(heat, element, local, 1)];
    double length = hypot(b[0] - a[0], b[1] - a[1]);

    for (int q = 0; q < 3; q++)
        weight[q] = length * edge_weight[q] * depth_at(&heat->section, a[0] + edge_at[q] * (b[0] - a[0]));
}

/* An element of six: three nodes of one hand, three of the other, tied by h (T - T'). */
static void contact_element(cw_heat *heat, const side_owner *o, double coefficient, size_t e)
{
    int hand[2][3] = { { 0 } };
    double weight[3];

    side_weights(heat, o->element[0], o->local[0], weight);
    for (int i = 0; i < 3; i++) {
        int node = side_node(heat, o->element[0], o->local[0], i);

        hand[0][i] = heat->unknown[o->element[0]][i == 2 ? 3 + o->local[0] : (o->local[0] + i) % 3];
        for (int j = 0; j < 3; j++)
            if (side_node(heat, o->element[1], o->local[1], j) == node)
                hand[1][i] = heat->unknown[o->element[1]][j == 2 ? 3 + o->local[1] : (o->local[1] + j) % 3];
    }
    for (int i = 0; i < 6; i++) /* where both hands share a node by way of a third part, nothing is between them */
        heat->unknown[e][i] = hand[0][i % 3] == hand[1][i % 3] ? -1 : hand[i / 3][i % 3];
    memcpy(heat->place[e], heat->place[o->element[0]], sizeof heat->place[e]);
    for (int q = 0; q < 3; q++)
        for (int i = 0; i < 6; i++)
            for (int j = 0; j <= i; j++)
                heat->conduction[e][packed(i, j)] += coefficient * weight[q] * cw_heat__edge_shape[q][i % 3] *
                                                     cw_heat__edge_shape[q][j % 3] * (i / 3 == j / 3 ? 1 : -1);
}

static void bounds(const cw_heat_section *section, double low[2], double high[2])
{
    low[0] = low[1] = INFINITY;
    high[0] = high[1] = -INFINITY;
    for (int i = 0; i < section->part_count; i++) {
        const cw_heat_part *p = &section->part[i];

        if (p->kind != CW_PART_SOLID)
            continue;
        low[0] = fmin(low[0], p->x[0]);
        low[1] = fmin(low[1], p->y[0]);
        high[0] = fmax(high[0], p->x[1]);
        high[1] = fmax(high[1], p->y[1]);
    }
}

/* Which correlation a side that looks along (nx, ny) follows: by its place on the whole body. */
static cw_surface air_surface(const cw_heat_section *section, double nx, double ny, double x)
{
    double low[2], high[2], wide, level;
    cw_surface s = { CW_SURFACE_VERTICAL, 0, 0, 0, 0, section->ambient_c, section->convection_scale };

    bounds(section, low, high);
    wide = section->mirrored || !section->planar ? 2 * high[0] : high[0] - low[0];
    if (section->lying && !section->planar) { /* a drum on its side */
        s.kind = fabs(nx) > fabs(ny) && nx > 0 ? CW_SURFACE_HORIZONTAL_CYLINDER : CW_SURFACE_VERTICAL;
        s.size_m = s.kind == CW_SURFACE_VERTICAL ? wide * PI / 4 : 2 * x;
        return s;
    }
    level = section->planar ? wide * section->depth_m / (2 * (wide + section->depth_m)) : wide / 4;
    if (section->lying) { /* planar with x up */
        double swap = nx;

        nx = ny;
        ny = swap;
    }
    if (fabs(ny) > fabs(nx)) {
        s.kind = ny > 0 ? CW_SURFACE_UP : CW_SURFACE_DOWN;
        s.size_m = level;
        return s;
    }
    s.size_m = section->lying ? wide : high[1] - low[1];
    s.other_m = !section->planar && nx > 0 ? 2 * x : 0;
    return s;
}

/* The part on the other hand of a side at the rim of what conducts: its index, -1 open air, -2 a mirror or the axis.
 * The mesh ends with what conducts, so beyond it the parts themselves are asked. */
static int beyond(const cw_heat *heat, const int *void_region, const side_owner *o, int middle)
{
    const cw_heat_section *section = &heat->section;
    const double *at = heat->mesh->node[middle];
    const double *a = heat->mesh->node[side_node(heat, o->element[0], o->local[0], 0)];
    const double *b = heat->mesh->node[side_node(heat, o->element[0], o->local[0], 1)];
    double x = at[0] + 1e-3 * (b[1] - a[1]), y = at[1] + 1e-3 * (a[0] - b[0]);

    if (void_region[middle] >= -1)
        return void_region[middle];
    if ((!section->planar || section->mirrored) && x < 0 && at[0] < 1e-9)
        return -2;
    for (int i = section->part_count - 1; i >= 0; i--) {
        const cw_heat_part *p = &section->part[i];

        if (p->kind != CW_PART_SOLID && x >= p->x[0] && x <= p->x[1] && y >= p->y[0] && y <= p->y[1])
            return i;
    }
    return -1;
}

static void make_edge(cw_heat *heat, const side_owner *o, int other)
{
    cw_heat_edge *edge = &heat->edge[heat->edge_count++];
    const double *a = heat->mesh->node[side_node(heat, o->element[0], o->local[0], 0)];
    const double *b = heat->mesh->node[side_node(heat, o->element[0], o->local[0], 1)];
    const cw_heat_section *section = &heat->section;

    edge->element = o->element[0];
    edge->local[0] = o->local[0];
    edge->local[1] = (o->local[0] + 1) % 3;
    edge->local[2] = 3 + o->local[0];
    edge->part = part_of(heat, edge->element);
    side_weights(heat, edge->element, o->local[0], edge->weight);
    if (other >= 0 && section->part[other].kind == CW_PART_SINK)
        edge->surface = (cw_surface){ CW_SURFACE_FIXED, 0, 0, 0, section->part[other].coefficient_w_per_m2k,
                                      section->part[other].sink_c, 0 };
    else
        edge->surface = air_surface(section, b[1] - a[1], a[0] - b[0], 0.5 * (a[0] + b[0]));
    if (edge->surface.kind != CW_SURFACE_FIXED)
        edge->surface.emissivity = section->part[edge->part].emissivity;
}

/* ---- making --------------------------------------------------------------------------------------------------- */

static cw_status allocate_elements(cw_heat *heat, size_t contacts, cw_error *error)
{
    size_t count = heat->triangle_count + contacts;

    heat->element_count = count;
    heat->unknown = cw_allocate(count, sizeof *heat->unknown);
    heat->place = cw_allocate(count, sizeof *heat->place);
    heat->conduction = cw_allocate(count, sizeof *heat->conduction);
    heat->mass = cw_allocate(count, sizeof *heat->mass);
    heat->loss = cw_allocate(count, sizeof *heat->loss);
    heat->matrix = cw_allocate(count, sizeof *heat->matrix);
    if (heat->unknown == NULL || heat->place == NULL || heat->conduction == NULL || heat->mass == NULL ||
        heat->loss == NULL || heat->matrix == NULL)
        return cw_no_memory(error);
    return CW_OK;
}

static cw_status pick_triangles(cw_heat *heat, int *void_region, cw_error *error)
{
    const cw_mesh *mesh = heat->mesh;

    heat->triangle = cw_allocate(mesh->triangle_count, sizeof *heat->triangle);
    if (heat->triangle == NULL)
        return cw_no_memory(error);
    for (size_t i = 0; i < mesh->node_count; i++)
        void_region[i] = -3; /* not known */
    for (size_t t = 0; t < mesh->triangle_count; t++) {
        int part = mesh->region[t] - 1;

        if (part >= heat->section.part_count)
            return cw_fail(error, "The mesh has a region %d, but the section only %d parts.", part + 1,
                           heat->section.part_count);
        if (part >= 0 && heat->section.part[part].kind == CW_PART_SOLID)
            heat->triangle[heat->triangle_count++] = (int)t;
        else
            for (int k = 0; k < 3; k++)
                void_region[mesh->corner[t][3 + k]] = part < 0 ? -1 : part;
    }
    if (heat->triangle_count == 0)
        return cw_refuse(error, NULL, "a part that conducts", "No part of the section conducts heat.");
    return CW_OK;
}

static void losses(cw_heat *heat)
{
    double volume = 0, part_volume[CW_MOST_HEAT_PARTS] = { 0 };

    for (int pass = 0; pass < 2; pass++) /* first volumes, from mass matrices' row sums; then sources */
        for (size_t e = 0; e < heat->triangle_count; e++) {
            int part = part_of(heat, (int)e);
            double capacity = heat->section.part[part].capacity_j_per_m3k;

            for (int i = 0; i < 6; i++) {
                double row = 0;

                for (int j = 0; j < 6; j++)
                    row += heat->mass[e][packed(i, j)] / capacity;
                if (pass == 0) {
                    part_volume[part] += row;
                    volume += heat->section.part[part].winding ? row : 0;
                    continue;
                }
                heat->source[heat->unknown[e][i]] += heat->section.part[part].loss_w * row / part_volume[part];
                if (heat->section.part[part].winding)
                    heat->share[heat->unknown[e][i]] += row / volume;
            }
        }
    for (size_t e = 0; e < heat->triangle_count; e++)
        for (int i = 0; i < 21; i++)
            heat->loss[e][i] *= volume > 0 ? heat->section.drive.resistance_20c_ohm / volume : 0;
}

static cw_status fill(cw_heat *heat, numbering *n, int *unknown_of_stake, const int *void_region, cw_error *error)
{
    size_t e = heat->triangle_count, edges = 0;

    number_unknowns(heat, n, unknown_of_stake);
    heat->t = cw_allocate(heat->unknown_count, sizeof(double));
    heat->source = cw_allocate(heat->unknown_count, sizeof(double));
    heat->share = cw_allocate(heat->unknown_count, sizeof(double));
    for (size_t m = 0; m < heat->mesh->node_count; m++)
        edges += n->owner[m].element[0] >= 0 && n->owner[m].element[1] < 0;
    heat->edge = cw_allocate(edges, sizeof *heat->edge);
    if (heat->t == NULL || heat->source == NULL || heat->share == NULL || heat->edge == NULL)
        return cw_no_memory(error);
    for (size_t t = 0; t < heat->triangle_count; t++) {
        memcpy(heat->place[t], heat->mesh->place[heat->triangle[t]], sizeof heat->place[t]);
        triangle_matrices(heat, t);
    }
    for (size_t m = 0; m < heat->mesh->node_count; m++) {
        const side_owner *o = &n->owner[m];
        int a = o->element[0] >= 0 ? part_of(heat, o->element[0]) : -1;
        int b = o->element[1] >= 0 ? part_of(heat, o->element[1]) : -1;

        if (b >= 0 && a != b && contact_of(&heat->section, a, b) != NULL)
            contact_element(heat, o, contact_of(&heat->section, a, b)->coefficient_w_per_m2k, e++);
        else if (a >= 0 && b < 0 && beyond(heat, void_region, o, (int)m) != -2)
            make_edge(heat, o, beyond(heat, void_region, o, (int)m));
    }
    losses(heat);
    return cw_solver__create((const int (*)[6])heat->unknown, (const int (*)[2])heat->place, false,
                             heat->element_count, heat->unknown_count, &heat->solver, error);
}

static cw_status build(cw_heat *heat, cw_error *error)
{
    size_t nodes = heat->mesh->node_count, contacts = 0;
    numbering n = { NULL, 0, cw_allocate(nodes, sizeof(int)), cw_allocate(nodes, sizeof(side_owner)) };
    int *void_region = cw_allocate(nodes, sizeof *void_region), *unknown_of_stake = NULL;
    cw_status status = CW_OK;

    n.stakes = cw_allocate(6 * heat->mesh->triangle_count, sizeof *n.stakes);
    unknown_of_stake = cw_allocate(6 * heat->mesh->triangle_count, sizeof *unknown_of_stake);
    if (n.first == NULL || n.owner == NULL || n.stakes == NULL || void_region == NULL || unknown_of_stake == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK)
        status = pick_triangles(heat, void_region, error);
    if (status == CW_OK) {
        for (size_t i = 0; i < nodes; i++)
            n.first[i] = -1;
        for (size_t e = 0; e < heat->triangle_count; e++)
            for (int i = 0; i < 6; i++)
                stake_of(&n, heat->mesh->corner[heat->triangle[e]][i], part_of(heat, (int)e));
        own_sides(heat, &n);
        join_touching(heat, &n, &contacts);
        status = allocate_elements(heat, contacts, error);
    }
    if (status == CW_OK)
        status = fill(heat, &n, unknown_of_stake, void_region, error);
    cw_free(n.first);
    cw_free(n.owner);
    cw_free(n.stakes);
    cw_free(void_region);
    cw_free(unknown_of_stake);
    return status;
}

static cw_status check_part(const cw_heat_part *p, cw_error *error)
{
    if (!(p->x[1] > p->x[0] && p->y[1] > p->y[0]))
        return cw_refuse(error, NULL, "low before high", "The part \"%s\" is %g by %g mm.", p->name,
                         1e3 * (p->x[1] - p->x[0]), 1e3 * (p->y[1] - p->y[0]));
    if (p->kind == CW_PART_SOLID && !(p->conductivity_w_per_mk[0] > 0 && p->conductivity_w_per_mk[1] > 0 &&
                                      p->capacity_j_per_m3k > 0 && p->emissivity >= 0 && p->emissivity <= 1))
        return cw_refuse(error, NULL, "conductivity and heat capacity above zero, an emissivity of 0 to 1",
                         "The part \"%s\" has %g and %g W/(m K), %g J/(m3 K), emissivity %g.", p->name,
                         p->conductivity_w_per_mk[0], p->conductivity_w_per_mk[1], p->capacity_j_per_m3k,
                         p->emissivity);
    if (p->kind == CW_PART_SINK && !(p->coefficient_w_per_m2k >= 0 && isfinite(p->sink_c)))
        return cw_refuse(error, NULL, "a coefficient and a temperature", "The sink \"%s\" has %g W/(m2 K) and %g.",
                         p->name, p->coefficient_w_per_m2k, p->sink_c);
    return CW_OK;
}

static cw_status check(const cw_heat_section *section, cw_error *error)
{
    cw_status status = CW_OK;

    if (section->part_count < 1 || section->part_count > CW_MOST_HEAT_PARTS || section->contact_count < 0 ||
        section->contact_count > CW_MOST_CONTACTS)
        return cw_refuse(error, NULL, "1 to 32 parts", "The section has %d parts and %d contacts.",
                         section->part_count, section->contact_count);
    for (int i = 0; i < section->part_count && status == CW_OK; i++) {
        status = check_part(&section->part[i], error);
        if (status == CW_OK && !section->planar && section->part[i].kind == CW_PART_SOLID && section->part[i].x[0] < 0)
            status = cw_refuse(error, NULL, "radii of zero or more", "The part \"%s\" crosses the axis.",
                               section->part[i].name);
    }
    if (status == CW_OK && section->planar && !(section->depth_m > 0))
        status = cw_refuse(error, NULL, "a depth above zero", "The section's depth is %g m.", section->depth_m);
    if (status == CW_OK && !(section->drive.resistance_20c_ohm > 0 && section->drive.value >= 0 &&
                             section->drive.alpha_20c_per_k >= 0))
        status = cw_refuse(error, NULL, "a resistance above zero", "The drive is %g on %g ohm.", section->drive.value,
                           section->drive.resistance_20c_ohm);
    if (status == CW_OK && !isfinite(section->ambient_c))
        status = cw_refuse(error, NULL, "an ambient temperature", "The ambient is %g.", section->ambient_c);
    return status;
}

static cw_status create(const cw_heat_section *section, const cw_mesh *mesh, const cw_heat_wish *wish, cw_heat **heat,
                        cw_error *error)
{
    cw_status status = check(section, error);
    cw_heat *made = NULL;

    *heat = NULL;
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    made->section = *section;
    made->mesh = mesh;
    if (mesh == NULL) {
        status = cw_heat__mesh_section(section, wish, &made->owned, error);
        made->mesh = made->owned;
    }
    if (status == CW_OK)
        status = build(made, error);
    if (status == CW_OK && made->edge_count == 0)
        status = cw_refuse(error, NULL, "a surface in the air or at a sink", "The section is insulated all round.");
    if (status != CW_OK)
        cw_heat_destroy(&made);
    *heat = made;
    return status;
}

cw_status cw_heat_create(const cw_heat_section *section, const cw_heat_wish *wish, cw_heat **heat, cw_error *error)
{
    return create(section, NULL, wish, heat, error);
}

cw_status cw_heat_create_on(const cw_heat_section *section, const cw_mesh *mesh, cw_heat **heat, cw_error *error)
{
    return create(section, mesh, NULL, heat, error);
}

void cw_heat_destroy(cw_heat **heat)
{
    cw_heat *h = *heat;

    if (h == NULL)
        return;
    cw_free(h->triangle);
    cw_free(h->unknown);
    cw_free(h->place);
    cw_free(h->conduction);
    cw_free(h->mass);
    cw_free(h->loss);
    cw_free(h->matrix);
    cw_free(h->source);
    cw_free(h->share);
    cw_free(h->edge);
    cw_free(h->t);
    cw_solver__destroy(&h->solver);
    cw_mesh_destroy(&h->owned);
    cw_free(h);
    *heat = NULL;
}

/* ---- what the solvers ask ------------------------------------------------------------------------------------- */

double cw_heat__surfaces(cw_heat *heat, const double *t, double *out, bool keep)
{
    double sum = 0;

    for (size_t i = 0; i < heat->edge_count; i++) {
        cw_heat_edge *edge = &heat->edge[i];
        const int *unknown = heat->unknown[edge->element];

        for (int q = 0; q < 3; q++) {
            const double *n = cw_heat__edge_shape[q];
            double temperature = 0, flux, slope;

            for (int k = 0; k < 3; k++)
                temperature += n[k] * t[unknown[edge->local[k]]];
            cw_surface_flux(&edge->surface, temperature, &flux, &slope);
            if (keep)
                edge->slope[q] = slope;
            sum += edge->weight[q] * flux;
            for (int k = 0; out != NULL && k < 3; k++)
                out[unknown[edge->local[k]]] += edge->weight[q] * flux * n[k];
        }
    }
    return sum;
}

cw_status cw_heat__factor(cw_heat *heat, double mass_scale, double squared, bool *definite, cw_error *error)
{
    double feedback = squared * heat->section.drive.alpha_20c_per_k;
    cw_error refusal;
    cw_status status;

    for (size_t e = 0; e < heat->element_count; e++)
        for (int i = 0; i < 21; i++)
            heat->matrix[e][i] = heat->conduction[e][i] + mass_scale * heat->mass[e][i] - feedback * heat->loss[e][i];
    for (size_t k = 0; k < heat->edge_count; k++) {
        const cw_heat_edge *edge = &heat->edge[k];

        for (int q = 0; q < 3; q++)
            for (int i = 0; i < 3; i++)
                for (int j = 0; j < 3; j++)
                    if (edge->local[i] >= edge->local[j])
                        heat->matrix[edge->element][packed(edge->local[i], edge->local[j])] +=
                            edge->weight[q] * edge->slope[q] * cw_heat__edge_shape[q][i] * cw_heat__edge_shape[q][j];
    }
    status = cw_solver__factor(heat->solver, (const double (*)[21])heat->matrix, &refusal);
    *definite = status == CW_OK;
    if (status == CW_NO_MEMORY)
        return cw_no_memory(error);
    return CW_OK;
}

void cw_heat__multiply(const cw_heat *heat, double (*const matrix)[21], double scale, const double *x, double *y)
{
    for (size_t e = 0; e < heat->element_count; e++) {
        const int *u = heat->unknown[e];

        for (int i = 0, at = 0; i < 6; i++)
            for (int j = 0; j <= i; j++, at++) {
                if (u[i] < 0 || u[j] < 0)
                    continue;
                y[u[i]] += scale * matrix[e][at] * x[u[j]];
                if (i != j)
                    y[u[j]] += scale * matrix[e][at] * x[u[i]];
            }
    }
}

double cw_heat__resistance(const cw_heat *heat, const double *t)
{
    const cw_drive *d = &heat->section.drive;
    double mean = 0;

    for (size_t i = 0; i < heat->unknown_count; i++)
        mean += heat->share[i] * t[i];
    return d->resistance_20c_ohm * (1 + d->alpha_20c_per_k * (mean - 20));
}

double cw_heat__squared(const cw_heat *heat, const double *t)
{
    const cw_drive *d = &heat->section.drive;

    return d->kind == CW_DRIVE_CURRENT ? d->value * d->value : pow(d->value / cw_heat__resistance(heat, t), 2);
}

double cw_heat__coil_loss(const cw_heat *heat, double squared, const double *t, double *y)
{
    const cw_drive *d = &heat->section.drive;

    for (size_t i = 0; i < heat->unknown_count; i++)
        y[i] += squared * d->resistance_20c_ohm * (1 - 20 * d->alpha_20c_per_k) * heat->share[i];
    cw_heat__multiply(heat, heat->loss, squared * d->alpha_20c_per_k, t, y);
    return squared * cw_heat__resistance(heat, t);
}

/* The parabola's summit, where its slope is zero along both coordinates l1, l2; false where that lies outside. */
static bool summit(const double value[6], double l[3])
{
    double n[6], d[6][3], corner[3][3] = { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 } }, slope[3][2], a[2][2], determinant;

    for (int c = 0; c < 3; c++) { /* slopes are straight over the triangle: take them at its corners */
        slope[c][0] = slope[c][1] = 0;
        shapes(corner[c], n, d);
        for (int i = 0; i < 6; i++) {
            slope[c][0] += value[i] * (d[i][1] - d[i][0]);
            slope[c][1] += value[i] * (d[i][2] - d[i][0]);
        }
    }
    for (int i = 0; i < 2; i++)
        for (int j = 0; j < 2; j++)
            a[i][j] = slope[1 + j][i] - slope[0][i];
    determinant = a[0][0] * a[1][1] - a[0][1] * a[1][0];
    if (!(determinant > 0 && a[0][0] < 0))
        return false;
    l[1] = -(a[1][1] * slope[0][0] - a[0][1] * slope[0][1]) / determinant;
    l[2] = -(a[0][0] * slope[0][1] - a[1][0] * slope[0][0]) / determinant;
    l[0] = 1 - l[1] - l[2];
    return l[0] >= 0 && l[1] >= 0 && l[2] >= 0;
}

/* The same along one side, for ridges that run right through. */
static bool side_summit(const double value[6], int side, double l[3])
{
    double a = value[side], b = value[(side + 1) % 3], middle = value[3 + side];
    double bend = 2 * (a + b - 2 * middle), slope = 4 * middle - 3 * a - b, at = bend < 0 ? -slope / (2 * bend) : -1;

    if (!(at > 0 && at < 1))
        return false;
    l[side] = 1 - at;
    l[(side + 1) % 3] = at;
    l[(side + 2) % 3] = 0;
    return true;
}

static double value_at(const double value[6], const double l[3])
{
    double n[6], d[6][3], sum = 0;

    shapes(l, n, d);
    for (int i = 0; i < 6; i++)
        sum += n[i] * value[i];
    return sum;
}

double cw_heat__peak(const cw_heat *heat, size_t element, const double *t, double place[2])
{
    const int *node = heat->mesh->corner[heat->triangle[element]];
    double value[6], l[3], best[3] = { 1, 0, 0 }, most = -INFINITY;

    for (int i = 0; i < 6; i++)
        value[i] = t[heat->unknown[element][i]];
    for (int k = 0; k < 7; k++) { /* corners, sides, inside */
        if (k < 3)
            memcpy(l, (double[3]){ k == 0, k == 1, k == 2 }, sizeof l);
        else if (!(k < 6 ? side_summit(value, k - 3, l) : summit(value, l)))
            continue;
        if (value_at(value, l) > most) {
            most = value_at(value, l);
            memcpy(best, l, sizeof best);
        }
    }
    for (int a = 0; place != NULL && a < 2; a++)
        place[a] = best[0] * heat->mesh->node[node[0]][a] + best[1] * heat->mesh->node[node[1]][a] +
                   best[2] * heat->mesh->node[node[2]][a];
    return most;
}

double cw_heat__hottest_winding(const cw_heat *heat, const double *t, double place[2])
{
    double most = -INFINITY, at[2] = { 0, 0 };

    for (size_t e = 0; e < heat->triangle_count; e++) {
        double peak;

        if (!heat->section.part[part_of(heat, (int)e)].winding)
            continue;
        peak = cw_heat__peak(heat, e, t, at);
        if (peak > most) {
            most = peak;
            if (place != NULL)
                memcpy(place, at, sizeof at);
        }
    }
    return most;
}

double cw_heat__hottest_surface(const cw_heat *heat, const double *t)
{
    double most = -INFINITY;

    for (size_t i = 0; i < heat->edge_count; i++)
        for (int k = 0; k < 3 && heat->edge[i].surface.kind != CW_SURFACE_FIXED; k++)
            most = fmax(most, t[heat->unknown[heat->edge[i].element][heat->edge[i].local[k]]]);
    return most;
}

double cw_heat__worst_excess(const cw_heat *heat, const double *t, int *part)
{
    double worst = -INFINITY;
    int which = -1;

    for (size_t e = 0; e < heat->triangle_count; e++) {
        const int p = part_of(heat, (int)e);
        const double limit = heat->section.part[p].limit_c;

        for (int i = 0; i < 6 && !isnan(limit); i++)
            if (t[heat->unknown[e][i]] - limit > worst) {
                worst = t[heat->unknown[e][i]] - limit;
                which = p;
            }
    }
    if (part != NULL)
        *part = which;
    return worst;
}

const cw_mesh *cw_heat_mesh(const cw_heat *heat)
{
    return heat->mesh;
}

const cw_heat_section *cw_heat_section_of(const cw_heat *heat)
{
    return &heat->section;
}

double cw_heat_hottest_winding_c(const cw_heat *heat, double place_m[2])
{
    return cw_heat__hottest_winding(heat, heat->t, place_m);
}

void cw_heat_node_temperatures(const cw_heat *heat, double *temperature_c)
{
    for (size_t i = 0; i < heat->mesh->node_count; i++)
        temperature_c[i] = NAN;
    for (size_t e = 0; e < heat->triangle_count; e++)
        for (int i = 0; i < 6; i++) {
            int node = heat->mesh->corner[heat->triangle[e]][i];

            temperature_c[node] = fmax(temperature_c[node], heat->t[heat->unknown[e][i]]); /* fmax passes over NAN */
        }
}
