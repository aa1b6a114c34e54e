/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Probabilities, intervals and checks out of the posterior's weights. */
#include "evidence/evidence_internal.h"
#include "evidence/identify_json.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TURNS, LENGTH, RESISTANCE, MASS, OUTPUTS = CW_EVIDENCE__OUTPUTS };

/* One normal distribution of the mixture: a node of a group. The logarithms of all outputs. */
typedef struct component {
    double weight;
    double mean[OUTPUTS], sd[OUTPUTS];
} component;

/* The mixture, group after group; candidates are runs of components after sorting by candidate. */
typedef struct mixture {
    component *items;
    size_t count, capacity;
} mixture;

/* A candidate while it is being added up. */
typedef struct bin {
    size_t index;        /* groups of this candidate carry it */
    size_t wire_frame;   /* of any of its frames */
    size_t strands;
    double probability;
} bin;

/* ---- quantiles ---------------------------------------------------------------------------------------------- */

static double mixture_cdf(const double *weight, const double *mean, const double *sd, size_t count, double at)
{
    double sum = 0;

    for (size_t i = 0; i < count; i++) {
        const double z = (at - mean[i]) / sd[i];

        if (z > 6)
            sum += weight[i];
        else if (z > -6)
            sum += weight[i] * 0.5 * erfc(-z * 0.70710678118654752);
    }
    return sum;
}

double cw_evidence__mixture_quantile(const double *weight, const double *mean, const double *sd, size_t count,
                                     double probability)
{
    double low = INFINITY, high = -INFINITY, total = 0, flow, fhigh;

    for (size_t i = 0; i < count; i++) {
        low = fmin(low, mean[i] - 6 * sd[i]);
        high = fmax(high, mean[i] + 6 * sd[i]);
        total += weight[i];
    }
    if (count == 0)
        return NAN;
    flow = -probability;
    fhigh = 1 - probability;
    for (int step = 0; step < 60 && high - low > 1e-6; step++) {
        /* regula falsi guarded by bisection every third step: the distribution has flats between candidates */
        double at = step % 3 == 2 ? 0.5 * (low + high) : low - flow * (high - low) / (fhigh - flow);
        double f;

        if (!(at > low && at < high))
            at = 0.5 * (low + high);
        f = mixture_cdf(weight, mean, sd, count, at) / total - probability;
        if (fabs(f) < 1e-9)
            return at;
        if (f < 0) {
            low = at;
            flow = f;
        } else {
            high = at;
            fhigh = f;
        }
    }
    return 0.5 * (low + high);
}

static cw_interval interval_of(const component *items, size_t count, int output, double *columns)
{
    double *weight = columns, *mean = columns + count, *sd = columns + 2 * count;
    cw_interval interval;

    for (size_t i = 0; i < count; i++) {
        weight[i] = items[i].weight;
        mean[i] = items[i].mean[output];
        sd[i] = items[i].sd[output] + 1e-12;
    }
    interval.p05 = exp(cw_evidence__mixture_quantile(weight, mean, sd, count, 0.05));
    interval.p50 = exp(cw_evidence__mixture_quantile(weight, mean, sd, count, 0.50));
    interval.p95 = exp(cw_evidence__mixture_quantile(weight, mean, sd, count, 0.95));
    return interval;
}

/* ---- components --------------------------------------------------------------------------------------------- */

/* The outputs as rows: turns, length, resistance at 20 °C, mass of the whole coil. */
static void output_rows(cw_evidence__row rows[OUTPUTS])
{
    memset(rows, 0, OUTPUTS * sizeof rows[0]);
    rows[TURNS].on[LN_TURNS] = 1;
    rows[LENGTH].on[LN_LENGTH] = 1;
    rows[RESISTANCE].on[LN_LENGTH] = rows[RESISTANCE].on[LN_OHM_PER_M] = 1;
    rows[RESISTANCE].on_strands = -1;
    rows[MASS].on[LN_LENGTH] = rows[MASS].on[LN_KG_PER_M] = 1;
    rows[MASS].on_strands = 1;
}

static cw_status reserve(mixture *mix, size_t more, cw_error *error)
{
    size_t capacity = 2 * mix->capacity + more;
    component *items;

    if (mix->count + more <= mix->capacity)
        return CW_OK;
    items = cw_reallocate(mix->items, capacity, sizeof *items);
    if (items == NULL)
        return cw_no_memory(error);
    mix->items = items;
    mix->capacity = capacity;
    return CW_OK;
}

static cw_status add_group(const cw_evidence__model *model, const cw_evidence__posterior *q,
                           const cw_evidence__group *group, const cw_evidence__precision *precision, mixture *mix,
                           cw_error *error)
{
    const cw_evidence__frame *frame = &q->frames[group->frame];
    double mean[CW_EVIDENCE__MOST_NODES], at[CW_EVIDENCE__MOST_NODES];
    cw_evidence__row rows[OUTPUTS];
    cw_status status = reserve(mix, group->nodes, error);

    if (status != CW_OK)
        return status;
    output_rows(rows);
    for (int output = 0; output < OUTPUTS; output++) {
        double j[CW_EVIDENCE__DEVIATIONS], variance;

        cw_evidence__row_deviations(frame, &rows[output], j);
        for (size_t m = 0; m < group->nodes; m++) {
            const size_t node = q->node_index[group->first_node + m];

            at[node] = cw_evidence__row_at(model, &rows[output], node);
        }
        cw_evidence__conditional(model, q, group, precision,
                                 cw_evidence__row_base(frame, &rows[output], (int)group->strands), j, at, mean,
                                 &variance);
        for (size_t m = 0; m < group->nodes; m++) {
            component *item = &mix->items[mix->count + m];

            item->weight = group->weight * q->node_weight[group->first_node + m];
            item->mean[output] = mean[m];
            item->sd[output] = sqrt(variance);
        }
    }
    mix->count += group->nodes;
    return CW_OK;
}

static bool same_candidate(const cw_evidence__posterior *q, const bin *b, const cw_evidence__group *group)
{
    const cw_wire *x = &q->frames[b->wire_frame].wire, *y = &q->frames[group->frame].wire;

    return b->strands == group->strands && x->build == y->build && x->material == y->material &&
           strcmp(x->size.name, y->size.name) == 0;
}

/* Gives every group the index of its candidate. Groups stand in the order of frames, and a wire's frames stand
 * together, so that only the last few candidates can match. bins  shape [group_count] */
static void sort_into_bins(cw_evidence__posterior *q, bin *bins)
{
    for (size_t g = 0; g < q->group_count; g++) {
        cw_evidence__group *group = &q->groups[g];
        size_t i = q->candidate_count;

        while (i > 0 && i + CW_EVIDENCE__STRANDS > q->candidate_count && !same_candidate(q, &bins[i - 1], group))
            i--;
        if (i == 0 || !same_candidate(q, &bins[i - 1], group)) {
            bins[q->candidate_count] =
                (bin){ .index = q->candidate_count, .wire_frame = group->frame, .strands = group->strands };
            i = ++q->candidate_count;
        }
        group->candidate = i - 1;
        bins[i - 1].probability += group->weight;
    }
}

static int by_probability(const void *a, const void *b)
{
    const bin *x = a, *y = b;

    if (x->probability != y->probability)
        return x->probability < y->probability ? 1 : -1;
    return x->wire_frame < y->wire_frame ? -1 : x->wire_frame > y->wire_frame;
}

/* Components of one candidate, or of all (bin NULL), gathered from its groups; light ones left out. */
static size_t gather(const cw_evidence__posterior *q, const size_t *first_component, const mixture *mix, const bin *b,
                     double least, component *out)
{
    size_t count = 0;

    for (size_t g = 0; g < q->group_count; g++) {
        if (b != NULL && q->groups[g].candidate != b->index)
            continue;
        for (size_t i = first_component[g]; i < first_component[g] + q->groups[g].nodes; i++)
            if (mix->items[i].weight > least)
                out[count++] = mix->items[i];
    }
    return count;
}

static void set_intervals(cw_candidate *candidate, const component *items, size_t count, double *columns)
{
    candidate->turns = interval_of(items, count, TURNS, columns);
    candidate->length_m = interval_of(items, count, LENGTH, columns);
    candidate->resistance_20c_ohm = interval_of(items, count, RESISTANCE, columns);
    candidate->mass_kg = interval_of(items, count, MASS, columns);
}

static cw_status list_candidates(const cw_evidence__posterior *q, const size_t *first_component, const mixture *mix,
                                 const bin *bins, cw_identification *id, cw_error *error)
{
    enum { MOST = 40 };
    component *items = cw_allocate(mix->count, sizeof *items);
    double *columns = cw_allocate(3 * mix->count, sizeof *columns);
    size_t listed = 0, used;
    cw_status status = CW_OK;

    id->candidates = cw_allocate(MOST, sizeof *id->candidates);
    if (items == NULL || columns == NULL || id->candidates == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK) {
        for (size_t g = 0; g < q->group_count; g++)
            id->lay_probability[cw_evidence__lays[q->frames[q->groups[g].frame].lay].lay] += q->groups[g].weight;
        while (listed < q->candidate_count && listed < MOST && (listed == 0 || id->candidate_share < 0.999)) {
            cw_candidate *candidate = &id->candidates[listed];

            candidate->wire = q->frames[bins[listed].wire_frame].wire;
            candidate->in_hand = (int)bins[listed].strands;
            candidate->probability = bins[listed].probability;
            used = gather(q, first_component, mix, &bins[listed], 1e-3 * bins[listed].probability, items);
            set_intervals(candidate, items, used, columns);
            id->candidate_share += bins[listed].probability;
            listed++;
        }
        id->candidate_count = listed;
        used = gather(q, first_component, mix, NULL, 1e-4, items);
        id->turns = interval_of(items, used, TURNS, columns);
        id->length_m = interval_of(items, used, LENGTH, columns);
        id->resistance_20c_ohm = interval_of(items, used, RESISTANCE, columns);
        id->mass_kg = interval_of(items, used, MASS, columns);
    }
    cw_free(columns);
    cw_free(items);
    return status;
}

/* ---- checks ------------------------------------------------------------------------------------------------- */

/* A class of a reading's check: a candidate together with which other reading, if any, is a blunder. */
typedef struct expectation {
    double belief;                /* weight of the class in the whole posterior */
    double weight, first, second; /* moments of the reading's expectation, over groups in which it takes no part */
} expectation;

/* What the other readings expect of this one: within each class over the groups in which it is a blunder and so takes
 * no part; over classes with the weight of all readings, this one's vote included. (Without its vote a candidate with
 * twice the strands and turns may stay open, or a doubt in the only other witness, and the expectation would have two
 * peaks or no shape at all.)
 *   sums  work space, shape [candidate_count][rows + 1] */
static void check_reading(const cw_evidence__model *model, const cw_evidence__posterior *q, size_t row_index,
                          expectation *sums, cw_reading_check *check)
{
    const cw_evidence__row *row = &model->row[row_index];
    const size_t stride = model->rows + 1;
    double mean[CW_EVIDENCE__MOST_NODES], at[CW_EVIDENCE__MOST_NODES];
    double total = 0, first = 0, second = 0;
    size_t frame_of_precision = (size_t)-1;
    cw_evidence__precision precision;

    memset(sums, 0, q->candidate_count * stride * sizeof *sums);
    for (size_t m = 0; m < model->nodes; m++)
        at[m] = model->g[m][row_index];
    for (size_t g = 0; g < q->group_count; g++) {
        const cw_evidence__group *group = &q->groups[g];
        const cw_evidence__frame *frame = &q->frames[group->frame];
        const bool out = group->set.first == (int)row_index || group->set.second == (int)row_index;
        const int other = group->set.first == (int)row_index ? group->set.second : group->set.first;
        expectation *sum = &sums[group->candidate * stride + (size_t)(other + 1)];
        double j[CW_EVIDENCE__DEVIATIONS], variance;

        if (!out && group->set.second >= 0)
            continue; /* three blunders at once are not enumerated */
        sum->belief += group->weight;
        if (!out)
            continue;
        check->blunder += group->weight;
        if (frame_of_precision != group->frame) {
            cw_evidence__precision_make(model, frame, &precision);
            frame_of_precision = group->frame;
        }
        cw_evidence__row_deviations(frame, row, j);
        cw_evidence__conditional(model, q, group, &precision,
                                 cw_evidence__row_base(frame, row, (int)group->strands), j, at, mean, &variance);
        for (size_t m = 0; m < group->nodes; m++) {
            const double w = group->weight * q->node_weight[group->first_node + m];

            sum->weight += w;
            sum->first += w * mean[m];
            sum->second += w * (mean[m] * mean[m] + variance + row->noise);
        }
    }
    for (size_t c = 0; c < q->candidate_count * stride; c++)
        if (sums[c].weight > 0) {
            const double share = sums[c].belief / sums[c].weight;

            total += sums[c].belief;
            first += share * sums[c].first;
            second += share * sums[c].second;
        }
    if (total > 0) {
        const double centre = first / total, sd = sqrt(fmax(second / total - centre * centre, row->noise));

        check->z = (row->y - centre) / sd;
        check->expected = exp(centre);
        check->expected_low = exp(centre - 1.6449 * sd);
        check->expected_high = exp(centre + 1.6449 * sd);
    }
}

static void describe_doubt(cw_reading_check *check)
{
    const double ratio = check->value / check->expected;
    const int sign = ratio > 1 ? 1 : -1;

    if (check->blunder < 0.3 && fabs(check->z) < 2.6)
        return;
    if (ratio > 1.9 || ratio < 0.53)
        snprintf(check->text, sizeof check->text,
                 "The %s is %.3g times what everything else says (wrong unit, or two strands taken for one?): %s",
                 cw_reading_kind_words(check->kind), ratio, cw_evidence__hint(check->kind, sign));
    else
        snprintf(check->text, sizeof check->text, "The %s is %.1f %% %s than everything else says: %s",
                 cw_reading_kind_words(check->kind), 100 * fabs(ratio - 1), sign > 0 ? "more" : "less",
                 cw_evidence__hint(check->kind, sign));
}

static cw_status check_readings(const cw_evidence__model *model, const cw_evidence__posterior *q,
                                cw_identification *id, cw_error *error)
{
    const cw_evidence *evidence = model->evidence;
    expectation *sums = cw_allocate(q->candidate_count * (model->rows + 1), sizeof *sums);

    id->readings = cw_allocate(evidence->reading_count, sizeof *id->readings);
    if (sums == NULL || id->readings == NULL) {
        cw_free(sums);
        return cw_no_memory(error);
    }
    id->reading_count = evidence->reading_count;
    for (size_t i = 0; i < evidence->reading_count; i++) {
        const cw_reading *reading = &evidence->readings[i];
        cw_reading_check *check = &id->readings[i];

        *check = (cw_reading_check){ .index = i, .kind = reading->kind, .value = reading->value, .expected = NAN,
                                     .expected_low = NAN, .expected_high = NAN };
        check->doubt = reading->doubt > 0 ? reading->doubt : cw_reading_usual_doubt(reading);
        check->used = cw_evidence__usable(evidence, reading, check->text, sizeof check->text);
    }
    for (size_t r = 0; r < model->rows; r++) {
        cw_reading_check *check = &id->readings[model->row[r].index];

        if (model->rows > 1)
            check_reading(model, q, r, sums, check);
        if (check->kind == CW_LAYERS) { /* rows speak of the smeared number of layers */
            check->expected += 0.5;
            check->expected_low += 0.5;
            check->expected_high += 0.5;
        }
        if (isfinite(check->expected))
            describe_doubt(check);
    }
    cw_free(sums);
    return CW_OK;
}

/* ---- the answer in words ------------------------------------------------------------------------------------ */

static void summarise(const cw_evidence__model *model, cw_identification *id)
{
    char first[96], second[96];
    size_t used = 0;

    if (id->candidate_count == 0)
        return;
    cw_candidate_name(&id->candidates[0], first, sizeof first);
    if (id->candidate_count > 1 && id->candidates[0].probability < 3 * id->candidates[1].probability) {
        id->tied = true;
        cw_candidate_name(&id->candidates[1], second, sizeof second);
        used = (size_t)snprintf(id->summary, sizeof id->summary,
                                "The readings cannot tell %s (%.0f %%) from %s (%.0f %%).", first,
                                100 * id->candidates[0].probability, second, 100 * id->candidates[1].probability);
    } else {
        used = (size_t)snprintf(id->summary, sizeof id->summary, "Most likely %s (%.0f %%).", first,
                                100 * id->candidates[0].probability);
    }
    if (model->has_window && used < sizeof id->summary)
        snprintf(id->summary + used, sizeof id->summary - used, " Turns %.0f, between %.0f and %.0f.", id->turns.p50,
                 id->turns.p05, id->turns.p95);
    else if (used < sizeof id->summary)
        snprintf(id->summary + used, sizeof id->summary - used,
                 " Without the window's sizes the turns cannot be told, only the length of wire.");
}

/* Share of the whole mixture below the truth, an output at a time. */
static void cumulate(const mixture *mix, const double *truth, double *cumulative)
{
    for (int output = 0; output < OUTPUTS; output++) {
        double below = 0, all = 0;

        for (size_t i = 0; i < mix->count; i++) {
            const component *item = &mix->items[i];
            const double z = (log(truth[output]) - item->mean[output]) / (item->sd[output] + 1e-12);

            below += item->weight * 0.5 * erfc(-z * 0.70710678118654752);
            all += item->weight;
        }
        cumulative[output] = below / all;
    }
}

cw_status cw_evidence__answer(const cw_evidence__model *model, cw_evidence__posterior *q, const double *truth,
                              double *cumulative, cw_identification *id, cw_error *error)
{
    mixture mix = { 0 };
    size_t *first_component = cw_allocate(q->group_count, sizeof *first_component);
    bin *bins = cw_allocate(q->group_count, sizeof *bins);
    size_t frame_of_precision = (size_t)-1;
    cw_evidence__precision precision;
    cw_status status = first_component != NULL && bins != NULL ? CW_OK : cw_no_memory(error);

    if (status == CW_OK)
        sort_into_bins(q, bins);
    for (size_t g = 0; g < q->group_count && status == CW_OK; g++) {
        if (frame_of_precision != q->groups[g].frame) {
            cw_evidence__precision_make(model, &q->frames[q->groups[g].frame], &precision);
            frame_of_precision = q->groups[g].frame;
        }
        first_component[g] = mix.count;
        status = add_group(model, q, &q->groups[g], &precision, &mix, error);
    }
    if (status == CW_OK)
        status = check_readings(model, q, id, error);
    if (status == CW_OK) {
        qsort(bins, q->candidate_count, sizeof *bins, by_probability);
        status = list_candidates(q, first_component, &mix, bins, id, error);
    }
    if (status == CW_OK)
        summarise(model, id);
    if (status == CW_OK && truth != NULL)
        cumulate(&mix, truth, cumulative);
    cw_free(bins);
    cw_free(first_component);
    cw_free(mix.items);
    return status;
}
