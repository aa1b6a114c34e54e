/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Weights over candidates, filling of the window and sets of blunders.
 *
 * Three passes, each over what the one before left:
 *   1. wires, by the readings that need no winding (diameters, samples), each as if it stood alone;
 *   2. cases on every fourth node of the frame's grid, by their best exponent under any set of blunders;
 *   3. the rest on the whole grid, all sets; of these the groups that carry weight are kept with their nodes.
 * The margins are wide (exp(-10) and less), so that pruning cannot be seen in the answer; tests/evidence compares with
 * the margins taken away. */
#include "evidence/evidence_internal.h"

#include <math.h>
#include <string.h>

static const double log_two_pi = 1.8378770664093453;
/* A blunder may read anything within a factor of 30 either way: density in the logarithm. */
static const double log_blunder_density = -1.9171; /* ln(1 / (2 ln 30)) */
static const double wire_margin = 12, case_margin = 14, pair_margin = 9, check_margin = 6;

/* Arrays that passes 2 and 3 share for one frame. */
typedef struct scratch {
    cw_evidence__precision precision;
    double r0[CW_EVIDENCE__STRANDS][CW_EVIDENCE__ROWS];   /* y - base, a row a number of strands */
    double s0[CW_EVIDENCE__STRANDS][CW_EVIDENCE__ROWS];   /* P r0 */
    double pg[CW_EVIDENCE__MOST_NODES][CW_EVIDENCE__ROWS]; /* P g(x), filled where needed */
    double pair[CW_EVIDENCE__ROWS][CW_EVIDENCE__ROWS][4]; /* (P_BB)^-1 as xx, xy, yy, and ln det P_BB */
    double set_constant[CW_EVIDENCE__SETS];               /* everything of ln likelihood that is not the exponent */
    double inverse_diagonal[CW_EVIDENCE__ROWS];           /* 1 / P_ii */
    size_t step;                                          /* the frame needs every step-th node of the grid */
} scratch;

typedef struct passes {
    cw_evidence__model *model;
    scratch *scratch;
    cw_evidence__frame *frames;
    size_t frame_count, frame_capacity;
    double best_of_all;              /* pass 2: greatest ln weight of any case at any node under any set, and where */
    size_t best_frame, best_node;
    int best_strands;
} passes;

/* ---- pass 1 ------------------------------------------------------------------------------------------------ */

static double log_alone(const cw_evidence__row *row, double residual, double variance)
{
    const double good = log1p(-row->blunder) - 0.5 * (log_two_pi + log(variance) + residual * residual / variance);
    const double bad = log(row->blunder) + log_blunder_density;

    return fmax(good, bad);
}

/* ln prior of the wire plus its readings one by one. The readings share the wire's deviations, which this leaves out;
 * hence a margin of its own. */
static double wire_score(const cw_evidence__model *model, const cw_evidence__frame *frame)
{
    double score = frame->log_prior;

    for (size_t i = 0; i < model->rows; i++) {
        const cw_evidence__row *row = &model->row[i];
        double j[CW_EVIDENCE__DEVIATIONS], variance = row->noise;

        if (!row->wire_only)
            continue;
        cw_evidence__row_deviations(frame, row, j);
        for (int c = 0; c < CW_EVIDENCE__DEVIATIONS; c++)
            variance += j[c] * j[c];
        score += log_alone(row, row->y - cw_evidence__row_base(frame, row, 1), variance);
    }
    return score;
}

static cw_status append_frame(passes *p, const cw_evidence__frame *frame, cw_error *error)
{
    if (p->frame_count == p->frame_capacity) {
        size_t capacity = p->frame_capacity == 0 ? 512 : 2 * p->frame_capacity;
        cw_evidence__frame *frames = cw_reallocate(p->frames, capacity, sizeof *frames);

        if (frames == NULL)
            return cw_no_memory(error);
        p->frames = frames;
        p->frame_capacity = capacity;
    }
    p->frames[p->frame_count++] = *frame;
    return CW_OK;
}

/* All wires that may be, one frame each (lay class 0), with their scores; then only those near the best. */
static cw_status choose_wires(passes *p, cw_error *error)
{
    const cw_evidence__model *model = p->model;
    const size_t sizes = cw_wire_size_count(model->catalogue);
    double best = -INFINITY;
    double *score = cw_allocate(sizes * CW_BUILD_COUNT * CW_MATERIAL_COUNT, sizeof *score);
    cw_status status = score != NULL ? CW_OK : cw_no_memory(error);
    size_t kept = 0;

    for (size_t i = 0; i < sizes && status == CW_OK; i++)
        for (int build = 0; build < CW_BARE && status == CW_OK; build++)
            for (int material = 0; material < CW_MATERIAL_COUNT && status == CW_OK; material++) {
                cw_evidence__frame frame;
                cw_wire wire;
                double prior;

                if (cw_wire_make(model->catalogue, cw_wire_size_at(model->catalogue, i), (cw_build)build,
                                 (cw_material)material, &wire, NULL) != CW_OK)
                    continue;
                prior = cw_evidence__log_prior_wire(model, &wire);
                if (isinf(prior))
                    continue;
                cw_evidence__make_frame(model, &wire, 0, &frame);
                frame.log_prior = prior;
                score[p->frame_count] = wire_score(model, &frame);
                best = fmax(best, score[p->frame_count]);
                status = append_frame(p, &frame, error);
            }
    for (size_t i = 0; status == CW_OK && i < p->frame_count; i++)
        if (score[i] > best - wire_margin)
            p->frames[kept++] = p->frames[i];
    p->frame_count = kept;
    cw_free(score);
    if (status == CW_OK && kept == 0)
        return cw_refuse(error, NULL, NULL,
                         "What is noted as seen leaves no wire that is made. Take one of the entries under \"seen\" out.");
    return status;
}

/* Every wire with every lay that may be. */
static cw_status multiply_by_lays(passes *p, cw_error *error)
{
    const size_t wires = p->frame_count;
    cw_evidence__frame *old = p->frames;
    cw_status status = CW_OK;

    p->frames = NULL;
    p->frame_count = p->frame_capacity = 0;
    for (size_t i = 0; i < wires && status == CW_OK; i++)
        for (int lay = 0; lay < CW_EVIDENCE__LAYS && status == CW_OK; lay++) {
            const double prior = cw_evidence__log_prior_lay(p->model, lay);
            cw_evidence__frame frame;

            if (isinf(prior))
                continue;
            cw_evidence__make_frame(p->model, &old[i].wire, lay, &frame);
            frame.log_prior = old[i].log_prior + prior;
            status = append_frame(p, &frame, error);
        }
    cw_free(old);
    return status;
}

/* ---- the exponent under every set --------------------------------------------------------------------------- */

static void multiply(const cw_evidence__precision *precision, const double *r, double *s)
{
    for (size_t i = 0; i < precision->n; i++) {
        double sum = 0;

        for (size_t k = 0; k < precision->n; k++)
            sum += precision->p[i][k] * r[k];
        s[i] = sum;
    }
}

/* How coarse a grid the frame allows. Given everything else, x is known no better than 1/sqrt(g' P g); leaving out
 * readings only widens that. The trapezoidal rule on a normal density of that width errs by 2 exp(-2 pi^2 sd^2 / h^2):
 * with h <= 1.4 sd by less than 1e-4. */
static size_t grid_step(const passes *p)
{
    const cw_evidence__model *model = p->model;
    const size_t n = model->rows, mid = model->nodes / 2;
    const double h = model->x[mid + 1] - model->x[mid];
    double slope[CW_EVIDENCE__ROWS], s[CW_EVIDENCE__ROWS], information = 1e-12;

    for (size_t i = 0; i < n; i++)
        slope[i] = (model->g[mid + 1][i] - model->g[mid][i]) / h;
    multiply(&p->scratch->precision, slope, s);
    for (size_t i = 0; i < n; i++)
        information += slope[i] * s[i];
    return 1.4 / sqrt(information) > 4 * h ? 4 : 1.4 / sqrt(information) > 2 * h ? 2 : 1;
}

/* Readies the scratch for a frame: precision, residuals without x, and the constants of every set. */
static void begin_frame(const passes *p, const cw_evidence__frame *frame)
{
    const cw_evidence__model *model = p->model;
    const size_t n = model->rows;
    scratch *w = p->scratch;
    double all = 0;
    size_t set = 1;

    cw_evidence__precision_make(model, frame, &w->precision);
    w->step = grid_step(p);
    for (int k = 0; k < CW_EVIDENCE__STRANDS; k++) {
        for (size_t i = 0; i < n; i++)
            w->r0[k][i] = model->row[i].y - cw_evidence__row_base(frame, &model->row[i], k + 1);
        multiply(&w->precision, w->r0[k], w->s0[k]);
    }
    for (size_t i = 0; i < n; i++) {
        all += log1p(-model->row[i].blunder);
        w->inverse_diagonal[i] = 1 / w->precision.p[i][i];
    }
    w->set_constant[0] = all - 0.5 * ((double)n * log_two_pi + w->precision.log_determinant);
    for (size_t i = 0; i < n; i++) {
        const double odds = log(model->row[i].blunder) - log1p(-model->row[i].blunder) + log_blunder_density;

        w->set_constant[set++] = w->set_constant[0] + odds + 0.5 * (log_two_pi - log(w->precision.p[i][i]));
    }
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; j < n; j++) {
            const double a = w->precision.p[i][i], b = w->precision.p[i][j], d = w->precision.p[j][j];
            const double determinant = a * d - b * b;

            w->pair[i][j][0] = d / determinant;
            w->pair[i][j][1] = -b / determinant;
            w->pair[i][j][2] = a / determinant;
            w->pair[i][j][3] = log(determinant);
            w->set_constant[set++] =
                w->set_constant[1 + i] + w->set_constant[1 + j] - w->set_constant[0] +
                0.5 * (log(a) + log(d) - w->pair[i][j][3]);
        }
}

static cw_evidence__set set_at(size_t rows, size_t index)
{
    if (index == 0)
        return (cw_evidence__set){ -1, -1 };
    if (index <= rows)
        return (cw_evidence__set){ (int)index - 1, -1 };
    index -= 1 + rows;
    for (size_t i = 0; i < rows; i++) {
        const size_t partners = rows - 1 - i;

        if (index < partners)
            return (cw_evidence__set){ (int)i, (int)(i + 1 + index) };
        index -= partners;
    }
    return (cw_evidence__set){ -1, -1 };
}

static void node_residual(const passes *p, int strands, size_t node, double *r, double *s)
{
    const size_t n = p->model->rows;
    const scratch *w = p->scratch;

    for (size_t i = 0; i < n; i++) {
        r[i] = w->r0[strands - 1][i] - p->model->g[node][i];
        s[i] = w->s0[strands - 1][i] - w->pg[node][i];
    }
}

/* ln likelihood at one node under no and under one blunder, shape [1 + rows]; returns the whole exponent and leaves
 * s = P r for the pairs. */
static double exponents(const passes *p, int strands, size_t node, double *s, double *value)
{
    const size_t n = p->model->rows;
    const scratch *w = p->scratch;
    double r[CW_EVIDENCE__ROWS], whole = 0;

    node_residual(p, strands, node, r, s);
    for (size_t i = 0; i < n; i++)
        whole += r[i] * s[i];
    value[0] = w->set_constant[0] - 0.5 * whole;
    for (size_t i = 0; i < n; i++)
        value[1 + i] = w->set_constant[1 + i] - 0.5 * (whole - s[i] * s[i] * w->inverse_diagonal[i]);
    return whole;
}

/* The same under two blunders. */
static double pair_exponent(const passes *p, size_t set, const cw_evidence__set *b, double whole, const double *s)
{
    const double *q = p->scratch->pair[b->first][b->second];
    const double first = s[b->first], second = s[b->second];

    return p->scratch->set_constant[set] -
           0.5 * (whole - (q[0] * first * first + 2 * q[1] * first * second + q[2] * second * second));
}

static void fill_pg(const passes *p, size_t step)
{
    for (size_t m = 0; m < p->model->nodes; m += step)
        multiply(&p->scratch->precision, p->model->g[m], p->scratch->pg[m]);
}

/* ---- pass 2 ------------------------------------------------------------------------------------------------ */

static void note_best(passes *p, double value, size_t frame, int strands, size_t node)
{
    if (!(value > p->best_of_all))
        return;
    p->best_of_all = value;
    p->best_frame = frame;
    p->best_strands = strands;
    p->best_node = node;
}

/* Best value of each set with at most one blunder over every fourth node that the frame needs, for one case. A peak may
 * stand half way between two of them and lose 4 in the exponent; the margins allow for it. */
static void coarse_best(passes *p, size_t index, int strands, double *best)
{
    const cw_evidence__frame *frame = &p->frames[index];
    const size_t sets = 1 + p->model->rows;
    const double prior = frame->log_prior + cw_evidence__log_prior_strands(p->model, strands);
    double value[1 + CW_EVIDENCE__ROWS], s[CW_EVIDENCE__ROWS];

    for (size_t set = 0; set < sets; set++)
        best[set] = -INFINITY;
    if (isinf(prior))
        return;
    for (size_t m = 0; m < p->model->nodes; m += 4 * p->scratch->step) {
        exponents(p, strands, m, s, value);
        for (size_t set = 0; set < sets; set++) {
            const double v = prior + p->model->log_prior[m] + value[set];

            best[set] = fmax(best[set], v);
            note_best(p, v, index, strands, m);
        }
    }
}

/* Sets of two blunders that can matter for this case at all: at best their exponent is zero. Two blunders cost much,
 * and where one or none explains the readings no pair comes near. list  shape [SETS]; returns how many. */
static size_t live_pairs(const passes *p, double prior, size_t *list)
{
    const size_t n = p->model->rows;
    size_t count = 0;

    for (size_t set = 1 + n; set < cw_evidence__set_count(n); set++)
        if (prior + p->scratch->set_constant[set] > p->best_of_all - pair_margin)
            list[count++] = set;
    return count;
}

static double greatest_pair_constant(const passes *p)
{
    const size_t n = p->model->rows;
    double greatest = -INFINITY;

    for (size_t set = 1 + n; set < cw_evidence__set_count(n); set++)
        greatest = fmax(greatest, p->scratch->set_constant[set]);
    return greatest;
}

/* The same over the sets of two blunders that can matter; -INFINITY where none can. */
static double coarse_best_pair(passes *p, size_t index, int strands)
{
    const size_t n = p->model->rows;
    const double prior = p->frames[index].log_prior + cw_evidence__log_prior_strands(p->model, strands);
    double value[1 + CW_EVIDENCE__ROWS], s[CW_EVIDENCE__ROWS], best = -INFINITY;
    size_t live[CW_EVIDENCE__SETS], pairs = isinf(prior) ? 0 : live_pairs(p, prior, live);
    cw_evidence__set pair[CW_EVIDENCE__SETS];

    for (size_t i = 0; i < pairs; i++)
        pair[i] = set_at(n, live[i]);
    for (size_t m = 0; pairs > 0 && m < p->model->nodes; m += 4 * p->scratch->step) {
        const double whole = exponents(p, strands, m, s, value), at = prior + p->model->log_prior[m];

        for (size_t i = 0; i < pairs; i++) {
            const double v = at + pair_exponent(p, live[i], &pair[i], whole, s);

            best = fmax(best, v);
            note_best(p, v, index, strands, m);
        }
    }
    return best;
}

/* Marks the cases worth a full look: near the best of all, or near the best of one set, on which the check of that
 * reading rests and which may be far below the best of all. keep  shape [frame_count][STRANDS] */
static cw_status choose_cases(passes *p, unsigned char **keep, cw_error *error)
{
    const size_t sets = 1 + p->model->rows;
    const size_t cases = p->frame_count * CW_EVIDENCE__STRANDS;
    double *best = cw_allocate(cases * sets, sizeof *best), *best_pair = cw_allocate(cases, sizeof *best_pair);
    double *pair_constant = cw_allocate(p->frame_count, sizeof *pair_constant);
    double top[CW_EVIDENCE__SETS];

    p->best_of_all = -INFINITY;
    *keep = cw_allocate(cases, 1);
    if (best == NULL || best_pair == NULL || pair_constant == NULL || *keep == NULL) {
        cw_free(best);
        cw_free(best_pair);
        cw_free(pair_constant);
        return cw_no_memory(error);
    }
    for (size_t set = 0; set < sets; set++)
        top[set] = -INFINITY;
    for (size_t f = 0; f < p->frame_count; f++) {
        begin_frame(p, &p->frames[f]);
        fill_pg(p, 4 * p->scratch->step);
        pair_constant[f] = p->frames[f].log_prior + greatest_pair_constant(p);
        for (int k = 1; k <= CW_EVIDENCE__STRANDS; k++) {
            double *mine = &best[(f * CW_EVIDENCE__STRANDS + (size_t)k - 1) * sets];

            coarse_best(p, f, k, mine);
            for (size_t set = 0; set < sets; set++)
                top[set] = fmax(top[set], mine[set]);
        }
    }
    for (size_t c = 0; c < cases; c++)
        best_pair[c] = -INFINITY;
    for (size_t f = 0; f < p->frame_count; f++) {
        if (pair_constant[f] < p->best_of_all - pair_margin)
            continue;
        begin_frame(p, &p->frames[f]);
        fill_pg(p, 4 * p->scratch->step);
        for (int k = 1; k <= CW_EVIDENCE__STRANDS; k++)
            best_pair[f * CW_EVIDENCE__STRANDS + (size_t)k - 1] = coarse_best_pair(p, f, k);
    }
    for (size_t c = 0; c < cases; c++) {
        (*keep)[c] = best_pair[c] > p->best_of_all - case_margin;
        for (size_t set = 0; set < sets; set++)
            if (best[c * sets + set] > fmin(p->best_of_all - case_margin, top[set] - check_margin))
                (*keep)[c] = 1;
    }
    cw_free(best);
    cw_free(best_pair);
    cw_free(pair_constant);
    return CW_OK;
}

/* A doubt in ohms or turns is a share of what is there, not of what was read: taken as a share of the reading, a reading
 * that came out high would seem the surer and pull the answer up. Once the best case is known, so is what is there. */
static void refine_noise(passes *p)
{
    const cw_evidence *evidence = p->model->evidence;

    for (size_t i = 0; i < p->model->rows; i++) {
        cw_evidence__row *row = &p->model->row[i];
        cw_reading reading = evidence->readings[row->index];

        reading.value = exp(cw_evidence__row_base(&p->frames[p->best_frame], row, p->best_strands) +
                            p->model->g[p->best_node][i]) + (row->kind == CW_LAYERS ? 0.5 : 0);
        row->noise = cw_evidence__variance(&reading);
    }
}

/* ---- pass 3 ------------------------------------------------------------------------------------------------ */

/* Running sum of exponentials. */
typedef struct log_sum {
    double top, sum;
} log_sum;

static void add_log(log_sum *to, double v, double weight)
{
    if (v > to->top) {
        to->sum = to->sum * exp(to->top - v) + weight;
        to->top = v;
    } else if (v > to->top - 14) {
        to->sum += weight * exp(v - to->top);
    }
}

/* ln of the sum over nodes, for every set of one case; -INFINITY for the pairs that cannot matter. */
static void sum_nodes(const passes *p, const cw_evidence__frame *frame, int strands, double *out)
{
    const size_t n = p->model->rows, sets = cw_evidence__set_count(n), step = p->scratch->step;
    const double prior = frame->log_prior + cw_evidence__log_prior_strands(p->model, strands);
    double value[1 + CW_EVIDENCE__ROWS], s[CW_EVIDENCE__ROWS];
    log_sum sum[CW_EVIDENCE__SETS];
    cw_evidence__set pair[CW_EVIDENCE__SETS];
    size_t live[CW_EVIDENCE__SETS], pairs = live_pairs(p, prior, live);

    for (size_t i = 0; i < pairs; i++)
        pair[i] = set_at(n, live[i]);
    for (size_t set = 0; set < sets; set++)
        sum[set] = (log_sum){ -INFINITY, 0 };
    for (size_t m = 0; m < p->model->nodes; m += step) {
        const double whole = exponents(p, strands, m, s, value), at = prior + p->model->log_prior[m];

        for (size_t set = 0; set <= n; set++)
            add_log(&sum[set], at + value[set], (double)step);
        for (size_t i = 0; i < pairs; i++)
            add_log(&sum[live[i]], at + pair_exponent(p, live[i], &pair[i], whole, s), (double)step);
    }
    for (size_t set = 0; set < sets; set++)
        out[set] = sum[set].top + log(sum[set].sum);
}

static cw_status reserve(cw_evidence__posterior *q, size_t nodes, cw_error *error)
{
    if (q->group_count == q->group_capacity) {
        const size_t capacity = q->group_capacity == 0 ? 256 : 2 * q->group_capacity;
        cw_evidence__group *groups = cw_reallocate(q->groups, capacity, sizeof *groups);

        if (groups == NULL)
            return cw_no_memory(error);
        q->groups = groups;
        q->group_capacity = capacity;
    }
    if (q->node_count + nodes > q->node_capacity) {
        const size_t capacity = 2 * q->node_capacity + nodes + 4096;
        double *weight = cw_reallocate(q->node_weight, capacity, sizeof *weight);
        unsigned short *index;

        if (weight == NULL)
            return cw_no_memory(error);
        q->node_weight = weight;
        index = cw_reallocate(q->node_index, capacity, sizeof *index);
        if (index == NULL)
            return cw_no_memory(error);
        q->node_index = index;
        q->node_capacity = capacity;
    }
    return CW_OK;
}

/* Stores one group with the nodes that carry its weight. The scratch holds its frame. */
static cw_status store_group(const passes *p, cw_evidence__posterior *q, size_t frame, int strands, size_t set,
                             double weight, cw_error *error)
{
    const size_t step = p->scratch->step;
    const cw_evidence__set b = set_at(p->model->rows, set);
    double value[1 + CW_EVIDENCE__ROWS], s[CW_EVIDENCE__ROWS], at[CW_EVIDENCE__MOST_NODES], top = -INFINITY, sum = 0;
    cw_evidence__group *group;
    cw_status status = reserve(q, p->model->nodes, error);

    if (status != CW_OK)
        return status;
    group = &q->groups[q->group_count++];
    *group = (cw_evidence__group){ .frame = frame, .strands = (size_t)strands, .set = b, .weight = weight,
                                   .first_node = q->node_count };
    for (size_t m = 0; m < p->model->nodes; m += step) {
        const double whole = exponents(p, strands, m, s, value);

        at[m] = p->model->log_prior[m] + (b.second >= 0 ? pair_exponent(p, set, &b, whole, s) : value[set]);
        top = fmax(top, at[m]);
    }
    for (size_t m = 0; m < p->model->nodes; m += step)
        if (at[m] > top - 10) { /* exp(-10): tails that no quantile sees */
            q->node_index[q->node_count] = (unsigned short)m;
            q->node_weight[q->node_count++] = exp(at[m] - top);
            sum += exp(at[m] - top);
        }
    group->nodes = q->node_count - group->first_node;
    for (size_t i = 0; i < group->nodes; i++)
        q->node_weight[group->first_node + i] /= sum;
    return CW_OK;
}

/* Total weight of the posterior, and of the part in which each reading is a blunder: ln scale. */
typedef struct totals {
    double all, with[CW_EVIDENCE__ROWS];
} totals;

static double log_add(double a, double b)
{
    const double high = fmax(a, b), low = fmin(a, b);

    return isinf(high) ? high : high + log1p(exp(low - high));
}

static totals add_totals(const passes *p, const unsigned char *keep, const double *weights)
{
    const size_t n = p->model->rows, sets = cw_evidence__set_count(n);
    totals t = { .all = -INFINITY };

    for (size_t i = 0; i < n; i++)
        t.with[i] = -INFINITY;
    for (size_t c = 0; c < p->frame_count * CW_EVIDENCE__STRANDS; c++)
        for (size_t set = 0; keep[c] && set < sets; set++) {
            const cw_evidence__set b = set_at(n, set);
            const double v = weights[c * sets + set];

            t.all = log_add(t.all, v);
            if (b.first >= 0)
                t.with[b.first] = log_add(t.with[b.first], v);
            if (b.second >= 0)
                t.with[b.second] = log_add(t.with[b.second], v);
        }
    return t;
}

/* A group is kept where it carries weight in the answer, or in the check of one of its blunders. */
static bool matters(double log_weight, const cw_evidence__set *set, const totals *t)
{
    const double in_answer = log(2e-5), in_check = log(1e-3);

    return log_weight > t->all + in_answer ||
           (set->first >= 0 && log_weight > t->with[set->first] + in_check) ||
           (set->second >= 0 && log_weight > t->with[set->second] + in_check);
}

static cw_status weigh(passes *p, const unsigned char *keep, cw_evidence__posterior *q, cw_error *error)
{
    const size_t n = p->model->rows, sets = cw_evidence__set_count(n);
    const size_t cases = p->frame_count * CW_EVIDENCE__STRANDS;
    double *weights = cw_allocate(cases * sets, sizeof *weights);
    cw_status status = weights != NULL ? CW_OK : cw_no_memory(error);
    totals t;

    if (status != CW_OK)
        return status;
    for (size_t f = 0; f < p->frame_count; f++) {
        bool begun = false;

        for (int k = 1; k <= CW_EVIDENCE__STRANDS; k++) {
            const size_t c = f * CW_EVIDENCE__STRANDS + (size_t)k - 1;

            if (!keep[c])
                continue;
            if (!begun) {
                begin_frame(p, &p->frames[f]);
                fill_pg(p, p->scratch->step);
                begun = true;
            }
            sum_nodes(p, &p->frames[f], k, &weights[c * sets]);
        }
    }
    t = add_totals(p, keep, weights);
    for (size_t f = 0; f < p->frame_count && status == CW_OK; f++) {
        bool begun = false;

        for (size_t i = 0; i < CW_EVIDENCE__STRANDS * sets && status == CW_OK; i++) {
            const size_t k = i / sets, set = i % sets, c = f * CW_EVIDENCE__STRANDS + k;
            const cw_evidence__set b = set_at(n, set);

            if (!keep[c] || !matters(weights[c * sets + set], &b, &t))
                continue;
            if (!begun) {
                begin_frame(p, &p->frames[f]);
                fill_pg(p, p->scratch->step);
                begun = true;
            }
            status = store_group(p, q, f, (int)k + 1, set, exp(weights[c * sets + set] - t.all), error);
        }
    }
    cw_free(weights);
    return status;
}

cw_status cw_evidence__posterior_create(cw_evidence__model *model, cw_evidence__posterior **posterior,
                                        cw_error *error)
{
    passes p = { .model = model };
    cw_evidence__posterior *q = cw_allocate(1, sizeof *q);
    unsigned char *keep = NULL;
    cw_status status = CW_OK;

    *posterior = NULL;
    p.scratch = cw_allocate(1, sizeof *p.scratch);
    if (q == NULL || p.scratch == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK)
        status = choose_wires(&p, error);
    if (status == CW_OK)
        status = multiply_by_lays(&p, error);
    if (status == CW_OK)
        status = choose_cases(&p, &keep, error);
    if (status == CW_OK) {
        refine_noise(&p);
        status = weigh(&p, keep, q, error);
    }
    if (q != NULL) {
        q->frames = p.frames;
        q->frame_count = p.frame_count;
    } else {
        cw_free(p.frames);
    }
    cw_free(keep);
    cw_free(p.scratch);
    if (status != CW_OK)
        cw_evidence__posterior_destroy(&q);
    *posterior = q;
    return status;
}

void cw_evidence__posterior_destroy(cw_evidence__posterior **posterior)
{
    if (*posterior != NULL) {
        cw_free((*posterior)->frames);
        cw_free((*posterior)->groups);
        cw_free((*posterior)->node_index);
        cw_free((*posterior)->node_weight);
    }
    cw_free(*posterior);
    *posterior = NULL;
}

/* ---- expectations within a group ---------------------------------------------------------------------------- */

void cw_evidence__conditional(const cw_evidence__model *model, const cw_evidence__posterior *posterior,
                              const cw_evidence__group *group, const cw_evidence__precision *precision,
                              double base, const double *j, const double *at, double *mean, double *variance)
{
    const cw_evidence__frame *frame = &posterior->frames[group->frame];
    const size_t n = model->rows;
    const int out[2] = { group->set.first, group->set.second };
    double covariance[CW_EVIDENCE__ROWS] = { 0 }, v[CW_EVIDENCE__ROWS] = { 0 }, r0[CW_EVIDENCE__ROWS], own = 0, explained = 0;

    for (int c = 0; c < CW_EVIDENCE__DEVIATIONS; c++)
        own += j[c] * j[c];
    for (size_t i = 0; i < n; i++) {
        double row[CW_EVIDENCE__DEVIATIONS];

        cw_evidence__row_deviations(frame, &model->row[i], row);
        covariance[i] = 0;
        for (int c = 0; c < CW_EVIDENCE__DEVIATIONS; c++)
            covariance[i] += row[c] * j[c];
        r0[i] = model->row[i].y - cw_evidence__row_base(frame, &model->row[i], (int)group->strands);
    }
    for (int b = 0; b < 2; b++)
        if (out[b] >= 0)
            covariance[out[b]] = 0;
    multiply(precision, covariance, v);
    /* precision of the readings that count: P - P_B (P_BB)^-1 P_B', applied to the covariance */
    if (out[0] >= 0 && out[1] < 0) {
        const double share = v[out[0]] / precision->p[out[0]][out[0]];

        for (size_t i = 0; i < n; i++)
            v[i] -= precision->p[i][out[0]] * share;
    } else if (out[0] >= 0) {
        const double a = precision->p[out[0]][out[0]], b = precision->p[out[0]][out[1]],
                     d = precision->p[out[1]][out[1]], determinant = a * d - b * b;
        const double first = (d * v[out[0]] - b * v[out[1]]) / determinant;
        const double second = (a * v[out[1]] - b * v[out[0]]) / determinant;

        for (size_t i = 0; i < n; i++)
            v[i] -= precision->p[i][out[0]] * first + precision->p[i][out[1]] * second;
    }
    for (int b = 0; b < 2; b++)
        if (out[b] >= 0)
            v[out[b]] = 0;
    for (size_t i = 0; i < n; i++)
        explained += covariance[i] * v[i];
    *variance = fmax(own - explained, 0);
    for (size_t m = 0; m < group->nodes; m++) {
        const size_t node = posterior->node_index[group->first_node + m];

        mean[m] = base + at[node];
        for (size_t i = 0; i < n; i++)
            if (v[i] != 0)
                mean[m] += v[i] * (r0[i] - model->g[node][i]);
    }
}
