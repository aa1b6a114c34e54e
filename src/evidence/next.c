/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to measure next: the expected information of every reading not yet taken.
 *
 * About which conductor it is (size, material, strands in hand; the thickness of its enamel matters less for the rewind):
 * the mutual information of the reading y and the conductor c,
 *     I(y; c) = sum_c p(c) E[ log2 p(y|c) / p(y) | c ],
 * each p(y|c) a normal distribution of ln y with the conductor's mean and variance, the expectation by Gauss-Hermite
 * quadrature with seven nodes.
 * About the rewind: the mutual information of y and (ln turns, ln resistance) if all were jointly normal,
 *     -1/2 log2(1 - c' S^-1 c / var y). */
#include "evidence/evidence_internal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_CLASSES = 400, COMPARED = 64, NODES = 7 };

/* Nodes and weights of Gauss-Hermite quadrature for the standard normal density (probabilists'), from the roots of
 * He_7 [Abramowitz and Stegun 25.4.46, rescaled]. */
static const double hermite_node[NODES] = { -3.7504397177257425, -2.3667594107345416, -1.1544053947399682, 0,
                                            1.1544053947399682,  2.3667594107345416,  3.7504397177257425 };
static const double hermite_weight[NODES] = { 0.00054826885597221792, 0.030757123967586497, 0.24012317860501271,
                                              0.45714285714285714,    0.24012317860501271,  0.030757123967586497,
                                              0.00054826885597221792 };

/* Running moments of (y, ln turns, ln resistance) of a mixture. */
typedef struct moments {
    double weight, mean[3], second[3][3];
} moments;

typedef struct outlook {
    moments class[MOST_CLASSES], all; /* classes: conductors; heaviest first once ranked */
    size_t class_of_group_frame[MOST_CLASSES];
    size_t strands[MOST_CLASSES];
    size_t classes;
} outlook;

static void add_moments(moments *to, double weight, const double mean[3], double second[3][3])
{
    to->weight += weight;
    for (int a = 0; a < 3; a++) {
        to->mean[a] += weight * mean[a];
        for (int b = 0; b < 3; b++)
            to->second[a][b] += weight * second[a][b];
    }
}

static double covariance_of(const moments *m, int a, int b)
{
    return m->second[a][b] / m->weight - m->mean[a] / m->weight * (m->mean[b] / m->weight);
}

static bool same_conductor(const cw_wire *a, const cw_wire *b)
{
    return a->material == b->material && strcmp(a->size.name, b->size.name) == 0;
}

static size_t class_of(const cw_evidence__posterior *q, outlook *o, const cw_evidence__group *group)
{
    for (size_t i = o->classes; i-- > 0;) /* frames of one size stand together */
        if (o->strands[i] == group->strands &&
            same_conductor(&q->frames[o->class_of_group_frame[i]].wire, &q->frames[group->frame].wire))
            return i;
    if (o->classes == MOST_CLASSES)
        return MOST_CLASSES;
    o->class_of_group_frame[o->classes] = group->frame;
    o->strands[o->classes] = group->strands;
    return o->classes++;
}

/* Moments of one group: the three rows' means at every node, and their covariance given x by polarisation. */
static void group_moments(const cw_evidence__model *model, const cw_evidence__posterior *q,
                          const cw_evidence__group *group, const cw_evidence__precision *precision,
                          const cw_evidence__row rows[3], double mean_out[3], double second[3][3])
{
    const cw_evidence__frame *frame = &q->frames[group->frame];
    double mean[3][CW_EVIDENCE__MOST_NODES], sum[CW_EVIDENCE__MOST_NODES], at[CW_EVIDENCE__MOST_NODES] = { 0 };
    double j[3][CW_EVIDENCE__DEVIATIONS], both[CW_EVIDENCE__DEVIATIONS], variance[3][3];

    for (int a = 0; a < 3; a++) {
        for (size_t m = 0; m < group->nodes; m++) {
            const size_t node = q->node_index[group->first_node + m];

            at[node] = cw_evidence__row_at(model, &rows[a], node);
        }
        cw_evidence__row_deviations(frame, &rows[a], j[a]);
        cw_evidence__conditional(model, q, group, precision,
                                 cw_evidence__row_base(frame, &rows[a], (int)group->strands), j[a], at, mean[a],
                                 &variance[a][a]);
    }
    for (int a = 0; a < 3; a++)
        for (int b = a + 1; b < 3; b++) {
            double joint;

            for (int c = 0; c < CW_EVIDENCE__DEVIATIONS; c++)
                both[c] = j[a][c] + j[b][c];
            cw_evidence__conditional(model, q, group, precision, 0, both, at, sum, &joint);
            variance[a][b] = variance[b][a] = 0.5 * (joint - variance[a][a] - variance[b][b]);
        }
    memset(mean_out, 0, 3 * sizeof mean_out[0]);
    memset(second, 0, 3 * sizeof second[0]);
    for (size_t m = 0; m < group->nodes; m++) {
        const double w = q->node_weight[group->first_node + m];

        for (int a = 0; a < 3; a++) {
            mean_out[a] += w * mean[a][m];
            for (int b = 0; b < 3; b++)
                second[a][b] += w * (mean[a][m] * mean[b][m] + variance[a][b]);
        }
    }
}

static void look_ahead(const cw_evidence__model *model, const cw_evidence__posterior *q, const cw_evidence__row *row,
                       outlook *o)
{
    cw_evidence__row rows[3];
    cw_evidence__precision precision;
    size_t frame_of_precision = (size_t)-1;

    memset(o, 0, sizeof *o);
    memset(rows, 0, sizeof rows);
    rows[0] = *row;
    rows[1].on[LN_TURNS] = 1;
    rows[2].on[LN_LENGTH] = rows[2].on[LN_OHM_PER_M] = 1;
    rows[2].on_strands = -1;
    for (size_t g = 0; g < q->group_count; g++) {
        const cw_evidence__group *group = &q->groups[g];
        double mean[3], second[3][3];
        size_t class;

        if (group->weight < 2e-4)
            continue;
        if (frame_of_precision != group->frame) {
            cw_evidence__precision_make(model, &q->frames[group->frame], &precision);
            frame_of_precision = group->frame;
        }
        class = class_of(q, o, group);
        if (class == MOST_CLASSES)
            continue;
        group_moments(model, q, group, &precision, rows, mean, second);
        add_moments(&o->class[class], group->weight, mean, second);
        add_moments(&o->all, group->weight, mean, second);
    }
}

static int by_weight(const void *a, const void *b)
{
    const moments *x = a, *y = b;

    return x->weight < y->weight ? 1 : x->weight > y->weight ? -1 : 0;
}

/* Over the heaviest classes: the cost grows with the square of their number. */
static double class_information(outlook *o, double noise)
{
    const size_t classes = o->classes < COMPARED ? o->classes : COMPARED;
    double bits = 0, weight = 0;

    qsort(o->class, o->classes, sizeof o->class[0], by_weight);
    for (size_t c = 0; c < classes; c++)
        weight += o->class[c].weight;
    for (size_t c = 0; c < classes; c++) {
        const double mean = o->class[c].mean[0] / o->class[c].weight;
        const double sd = sqrt(covariance_of(&o->class[c], 0, 0) + noise);

        for (int h = 0; h < NODES; h++) {
            const double y = mean + sd * hermite_node[h];
            double own = 0, all = 0;

            for (size_t k = 0; k < classes; k++) {
                const double v = covariance_of(&o->class[k], 0, 0) + noise;
                const double d = y - o->class[k].mean[0] / o->class[k].weight;
                const double density = exp(-0.5 * d * d / v) / sqrt(v);

                all += o->class[k].weight * density;
                if (k == c)
                    own = density;
            }
            bits += o->class[c].weight * hermite_weight[h] * log2(own * weight / all);
        }
    }
    return fmax(bits / weight, 0);
}

static double rewinding_information(const outlook *o, double noise)
{
    const double yy = covariance_of(&o->all, 0, 0) + noise;
    const double yn = covariance_of(&o->all, 0, 1), yr = covariance_of(&o->all, 0, 2);
    const double nn = covariance_of(&o->all, 1, 1) + 1e-12, rr = covariance_of(&o->all, 2, 2) + 1e-12;
    const double nr = covariance_of(&o->all, 1, 2);
    const double determinant = fmax(nn * rr - nr * nr, 1e-9 * nn * rr);
    const double explained = (yn * yn * rr - 2 * yn * yr * nr + yr * yr * nn) / determinant / yy;

    return -0.5 * log2(1 - fmin(fmax(explained, 0), 0.999999));
}

/* Readings worth proposing, with a usual shop instrument. */
static bool proposable(const cw_evidence__model *model, cw_reading_kind kind, cw_reading *reading)
{
    const cw_evidence *evidence = model->evidence;
    char why[320];

    for (size_t i = 0; i < evidence->reading_count; i++)
        if (evidence->readings[i].kind == kind && isfinite(evidence->readings[i].value))
            return false;
    *reading = (cw_reading){ .kind = kind, .subject = CW_OF_SAMPLE, .value = 1, .at_c = 20, .length_m = 3,
                             .current_a = 0.05, .frequency_hz = 120 };
    if (kind == CW_COIL_RESISTANCE)
        reading->subject = CW_OF_SIBLING;
    if (kind == CW_RATED_POWER || kind == CW_RATED_CURRENT || kind == CW_CORE_SECTION ||
        kind == CW_INSULATION_RESISTANCE)
        return false; /* found on a plate, not measured */
    return cw_evidence__usable(evidence, reading, why, sizeof why);
}

static const char *how_to(cw_reading_kind kind)
{
    static const char *const text[CW_READING_KIND_COUNT] = {
        [CW_COIL_RESISTANCE] = "Measure the resistance of a sound sibling coil, leads zeroed, temperature noted",
        [CW_SAMPLE_RESISTANCE] = "Measure the resistance of 3 m of one strand, leads zeroed, temperature noted",
        [CW_WIRE_MASS] = "Strip the coil and weigh all of its wire",
        [CW_SAMPLE_MASS] = "Weigh 3 m of one strand to 0.01 g",
        [CW_OVERALL_DIAMETER] = "Mike the wire over its covering to 0.005 mm, in three places",
        [CW_BARE_DIAMETER] = "Take the covering off 20 mm of wire and mike it bare to 0.005 mm",
        [CW_TURNS] = "Unwind the coil on a counter",
        [CW_TURNS_PER_LAYER] = "Count the turns of one full layer",
        [CW_LAYERS] = "Count the layers where the coil is cut",
        [CW_WINDING_DEPTH] = "Measure the depth of the winding alone",
        [CW_COIL_INDUCTANCE] = "Measure the inductance with the core out, far from iron",
        [CW_CENTRE_FIELD] = "Measure the field in the middle of the empty coil at a known current",
        [CW_RATED_POWER] = "", [CW_RATED_CURRENT] = "", [CW_CORE_SECTION] = "", [CW_INSULATION_RESISTANCE] = "",
    };

    return text[kind];
}

static void describe(const cw_identification *id, cw_next_reading *next)
{
    const cw_candidate *a = id->candidates, *b = id->candidate_count > 1 ? id->candidates + 1 : NULL;

    if (b != NULL && next->bits >= 0.2 && strcmp(a->wire.size.name, b->wire.size.name) != 0)
        snprintf(next->text, sizeof next->text, "%s: %.1f bits, toward settling %s against %s.", how_to(next->kind),
                 next->bits, a->wire.size.name, b->wire.size.name);
    else if (b != NULL && next->bits >= 0.2)
        snprintf(next->text, sizeof next->text, "%s: %.1f bits, toward settling %s.", how_to(next->kind), next->bits,
                 a->wire.material != b->wire.material ? "copper against aluminium"
                 : a->in_hand != b->in_hand           ? "the number of strands in hand"
                                                      : "the wire against those below it");
    else if (next->rewinding_bits >= 0.2)
        snprintf(next->text, sizeof next->text, "%s: it narrows turns and resistance (%.1f bits).",
                 how_to(next->kind), next->rewinding_bits);
    else
        snprintf(next->text, sizeof next->text, "%s: it would tell little that is not known.", how_to(next->kind));
}

/* The conductor comes first; once no reading tells more than a tenth of a bit of it, turns and resistance do. */
static double worth(const cw_next_reading *next)
{
    return next->bits >= 0.1 ? 100 + next->bits + 0.1 * next->rewinding_bits : next->rewinding_bits;
}

void cw_evidence__next_readings(const cw_evidence__model *model, const cw_evidence__posterior *posterior,
                                cw_identification *id)
{
    for (int kind = 0; kind < CW_READING_KIND_COUNT; kind++) {
        cw_next_reading next = { .kind = (cw_reading_kind)kind };
        cw_reading reading;
        cw_evidence__row row;
        outlook o;
        size_t at;

        if (!proposable(model, (cw_reading_kind)kind, &reading))
            continue;
        cw_evidence__make_row(model, &reading, 0, &row);
        look_ahead(model, posterior, &row, &o);
        if (!(o.all.weight > 0))
            continue;
        reading.value = exp(o.all.mean[0] / o.all.weight); /* the doubt depends on the size of the reading */
        row.noise = cw_evidence__variance(&reading);
        next.bits = class_information(&o, row.noise);
        next.rewinding_bits = rewinding_information(&o, row.noise);
        describe(id, &next);
        for (at = id->next_count++; at > 0 && worth(&id->next[at - 1]) < worth(&next); at--)
            id->next[at] = id->next[at - 1];
        id->next[at] = next;
    }
}
