/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the identification is put together; read after include/coilwright/evidence.h.
 *
 *     readings.c   names, usual doubts, what may be said of a doubtful one
 *     prior.c      how probable a winding is before anything was read
 *     model.c      readings as rows of a log-linear model
 *     posterior.c  weights over candidates, filling and sets of blunders
 *     answer.c     probabilities, intervals and checks out of the weights
 *     next.c       expected information of readings not yet taken
 *     faults.c     what is wrong with the dead coil
 *
 * A *frame* is a wire (size, build, material) with a lay class: everything that shapes the covariance. A *case* is a
 * frame with a number of strands. A *set* is a set of at most two readings taken as blunders. */
#ifndef CW_EVIDENCE_INTERNAL_H
#define CW_EVIDENCE_INTERNAL_H

#include "coilwright/evidence.h"

enum {
    CW_EVIDENCE__ROWS = CW_READINGS_MOST,
    CW_EVIDENCE__DEVIATIONS = 8, /* columns of J: see model.c */
    CW_EVIDENCE__LAYS = 4,       /* level, level with sheets between layers, nested, random */
    CW_EVIDENCE__STRANDS = 4,
    CW_EVIDENCE__SETS = 1 + CW_EVIDENCE__ROWS + CW_EVIDENCE__ROWS * (CW_EVIDENCE__ROWS - 1) / 2,
    CW_EVIDENCE__MOST_NODES = 1024
};

/* Logarithms of what a winding is; a reading is a sum of some of them. */
typedef enum quantity {
    LN_TURNS, LN_LENGTH, LN_BARE, LN_OVERALL, LN_OHM_PER_M, LN_KG_PER_M, LN_HEIGHT, LN_PER_LAYER, LN_LAYERS,
    QUANTITIES
} cw_evidence__quantity;

/* A reading (taken or imagined) as a row of the model:
 *   y = sum_q on[q] Q_q + on_strands ln k + on_inductance F(x) + on_field B(x) + constant[material] + half_wire D/h + e */
typedef struct cw_evidence__row {
    size_t index;                        /* of the reading */
    cw_reading_kind kind;
    double y;                            /* ln of what was read */
    double on[QUANTITIES];
    double on_strands, on_inductance, on_field;
    double constant[CW_MATERIAL_COUNT];  /* temperature factor, sample length and the like */
    double half_wire;                    /* winding depth: the last layer stands half a wire above the smeared height */
    double noise;                        /* variance of e */
    double blunder;                      /* prior probability */
    bool wire_only;                      /* needs no winding: diameters, samples */
} cw_evidence__row;

typedef struct cw_evidence__lay_class {
    cw_lay lay;
    double weight;
    double axial, axial_sd, radial, radial_sd; /* pitch over D, rise over D; sd of their logarithms */
    double sheet_m, sheet_sd_m;
} cw_evidence__lay_class;

extern const cw_evidence__lay_class cw_evidence__lays[CW_EVIDENCE__LAYS];

/* Everything that is the same for all candidates. */
typedef struct cw_evidence__model {
    const cw_evidence *evidence;
    const cw_wire_catalogue *catalogue;
    bool has_window;
    size_t rows;
    cw_evidence__row row[CW_EVIDENCE__ROWS];
    size_t nodes;                        /* grid of x = ln phi, or of ln length without a window */
    double x[CW_EVIDENCE__MOST_NODES], log_prior[CW_EVIDENCE__MOST_NODES];
    double turn[CW_EVIDENCE__MOST_NODES];       /* ln of the mean turn */
    double inductance[CW_EVIDENCE__MOST_NODES]; /* ln of inductance per turn squared */
    double field[CW_EVIDENCE__MOST_NODES];      /* ln of centre field per ampere-turn */
    double g[CW_EVIDENCE__MOST_NODES][CW_EVIDENCE__ROWS]; /* the rows' dependence on x */
    double inner_sd, length_sd;          /* of ln mean turn and ln window length */
} cw_evidence__model;

/* Base values and deviations of the quantities of one frame, for one strand. */
typedef struct cw_evidence__frame {
    cw_wire wire;
    int lay;
    double log_prior;                    /* of wire and lay; without strands */
    double base[QUANTITIES];
    double j[QUANTITIES][CW_EVIDENCE__DEVIATIONS];
    double overall_m;
    bool has_window;
} cw_evidence__frame;

/* One reading's doubt, 95 %, relative, and its variance in the logarithm with what the reading's nature adds. */
double cw_evidence__variance(const cw_reading *reading);

/* Whether a reading can be used; fills `why` with a sentence where not. */
bool cw_evidence__usable(const cw_evidence *evidence, const cw_reading *reading, char *why, size_t size);

/* "was resin still on it?": what a reading of this kind that is too high (sign > 0) or too low often means. */
const char *cw_evidence__hint(cw_reading_kind kind, int sign);

double cw_evidence__log_prior_wire(const cw_evidence__model *model, const cw_wire *wire);
double cw_evidence__log_prior_strands(const cw_evidence__model *model, int strands);
double cw_evidence__log_prior_lay(const cw_evidence__model *model, int lay);

cw_status cw_evidence__model_create(const cw_evidence *evidence, const cw_wire_catalogue *catalogue,
                                    cw_evidence__model **model, cw_error *error);

/* A row for a reading of this kind with this value; the same code serves readings taken and imagined. */
void cw_evidence__make_row(const cw_evidence__model *model, const cw_reading *reading, size_t index,
                           cw_evidence__row *row);
void cw_evidence__make_frame(const cw_evidence__model *model, const cw_wire *wire, int lay,
                             cw_evidence__frame *frame);

/* The row's expectation at u = 0, without its dependence on x. */
double cw_evidence__row_base(const cw_evidence__frame *frame, const cw_evidence__row *row, int strands);
/* The row's dependence on x at node m. */
double cw_evidence__row_at(const cw_evidence__model *model, const cw_evidence__row *row, size_t node);
/* The row's deviations, shape [CW_EVIDENCE__DEVIATIONS]. */
void cw_evidence__row_deviations(const cw_evidence__frame *frame, const cw_evidence__row *row, double *j);
/* A quantity's dependence on x at node m. */
double cw_evidence__quantity_at(const cw_evidence__model *model, cw_evidence__quantity quantity, size_t node);

/* Precision of the readings under a frame. */
typedef struct cw_evidence__precision {
    size_t n;
    double p[CW_EVIDENCE__ROWS][CW_EVIDENCE__ROWS]; /* inverse of C = J J' + D */
    double log_determinant;                         /* of C */
} cw_evidence__precision;

void cw_evidence__precision_make(const cw_evidence__model *model, const cw_evidence__frame *frame,
                                 cw_evidence__precision *precision);

/* A set of blunders: none (-1, -1), one (i, -1) or two (i, j). */
typedef struct cw_evidence__set {
    int first, second;
} cw_evidence__set;

static inline size_t cw_evidence__set_count(size_t rows)
{
    return 1 + rows + rows * (rows - 1) / 2;
}

/* A piece of the posterior: a case under a set of blunders, with the weights of its nodes. */
typedef struct cw_evidence__group {
    size_t frame, strands;
    cw_evidence__set set;
    double weight;              /* of all of it, the whole posterior summing to 1 */
    size_t candidate;           /* which wire and number of strands: an index that answer.c gives, in no order */
    size_t first_node, nodes;   /* slice of posterior.node_index and node_weight */
} cw_evidence__group;

typedef struct cw_evidence__posterior {
    cw_evidence__frame *frames; /* those that matter */
    size_t frame_count;
    cw_evidence__group *groups;
    size_t group_count, group_capacity;
    unsigned short *node_index;
    double *node_weight;        /* sums to 1 within a group */
    size_t node_count, node_capacity;
    size_t candidate_count;
} cw_evidence__posterior;

/* Weighs everything; the rows' noise is refined on the way, see refine_noise. */
cw_status cw_evidence__posterior_create(cw_evidence__model *model, cw_evidence__posterior **posterior,
                                        cw_error *error);
void cw_evidence__posterior_destroy(cw_evidence__posterior **posterior);

/* Mean and variance of a linear functional of the winding in a group, node by node.
 *   base, j   its expectation without x, and its deviations
 *   at        its dependence on x at every node of the model, shape [nodes]
 *   mean      receives one value a node of the group, shape [group->nodes]
 *   variance  receives the variance at a node (the same at all) */
void cw_evidence__conditional(const cw_evidence__model *model, const cw_evidence__posterior *posterior,
                              const cw_evidence__group *group, const cw_evidence__precision *precision,
                              double base, const double *j, const double *at, double *mean, double *variance);

/* The outputs in the order in which studies ask for them: turns, length, resistance at 20 °C, mass. */
enum { CW_EVIDENCE__OUTPUTS = 4 };

/* What cw_identify does, and for studies of its calibration the posterior's cumulative probability at the truth.
 *   truth, cumulative  shape [CW_EVIDENCE__OUTPUTS], SI; both NULL where nobody asks */
cw_status cw_evidence__identify(const cw_evidence *evidence, const cw_wire_catalogue *catalogue, const double *truth,
                                double *cumulative, cw_identification **identification, cw_error *error);

cw_status cw_evidence__answer(const cw_evidence__model *model, cw_evidence__posterior *posterior,
                              const double *truth, double *cumulative, cw_identification *identification,
                              cw_error *error);
void cw_evidence__next_readings(const cw_evidence__model *model, const cw_evidence__posterior *posterior,
                                cw_identification *identification);
void cw_evidence__faults(const cw_evidence__model *model, cw_identification *identification);

/* Quantile of a mixture of normal distributions.
 *   weight, mean, sd  shape [count]; weights need not sum to 1 */
double cw_evidence__mixture_quantile(const double *weight, const double *mean, const double *sd, size_t count,
                                     double probability);

#endif
