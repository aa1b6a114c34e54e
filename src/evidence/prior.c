/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How probable a winding is before anything was read. All weights are judgement (common practice, no source), wide
 * enough for a couple of readings to overrule them; docs/identify.md shows what they do. */
#include "evidence/evidence_internal.h"

#include <math.h>

/* Pitch and rise as multiples of the overall diameter. Level and nested: [winding: §1, §2]; random: packing 0.60,
 * give or take a tenth, of which half is axial; sheets: 0.05 mm, give or take 0.02 [winding: §7, 0.03 to 0.1 mm]. */
const cw_evidence__lay_class cw_evidence__lays[CW_EVIDENCE__LAYS] = {
    { CW_LEVEL, 0.55, 1.04, 0.02, 0.96, 0.03, 0, 0 },
    { CW_LEVEL, 0.15, 1.04, 0.02, 1.00, 0.02, 5e-5, 2e-5 },
    { CW_NESTED, 0.05, 1.005, 0.005, 0.87, 0.015, 0, 0 },
    { CW_RANDOM, 0.25, 1.15, 0.07, 1.14, 0.07, 0, 0 },
};

static const double build_weight[CW_BUILD_COUNT] = {
    [CW_SINGLE] = 0.32, [CW_HEAVY] = 0.54, [CW_TRIPLE] = 0.09, [CW_SINGLE_COTTON] = 0.01,
    [CW_DOUBLE_COTTON] = 0.015, [CW_SINGLE_SILK] = 0.015, [CW_DOUBLE_SILK] = 0.01, [CW_BARE] = 0,
};

static bool allowed(unsigned seen, int which)
{
    return seen == 0 || (seen >> which & 1u) != 0;
}

double cw_evidence__log_prior_wire(const cw_evidence__model *model, const cw_wire *wire)
{
    static const double material_weight[CW_MATERIAL_COUNT] = { 0.96, 0.04 };
    static const double system_weight[CW_SIZE_SYSTEM_COUNT] = { 0.4, 0.4, 0.2 };
    /* sizes a system has, so that a finer series is not more probable as a whole; full sizes count 1, others less */
    static const double system_sizes[CW_SIZE_SYSTEM_COUNT] = { 45, 60, 41 };
    static const double between_weight[CW_SIZE_SYSTEM_COUNT] = { 0.25, 0.5, 1 };
    const cw_seen *seen = &model->evidence->seen;
    const cw_size_system system = wire->size.system;
    double weight = build_weight[wire->build] * material_weight[wire->material] / system_sizes[system];

    if (!allowed(seen->builds, (int)wire->build) || !allowed(seen->materials, (int)wire->material) ||
        !allowed(seen->systems, (int)system))
        return -INFINITY;
    if (seen->lean < 0)
        weight *= system_weight[system];
    else
        weight *= (int)system == seen->lean ? 0.8 : 0.1;
    if (wire->size.intermediate)
        weight *= between_weight[system];
    return log(weight);
}

double cw_evidence__log_prior_strands(const cw_evidence__model *model, int strands)
{
    static const double weight[CW_EVIDENCE__STRANDS + 1] = { 0, 0.88, 0.09, 0.015, 0.015 };

    return allowed(model->evidence->seen.in_hand, strands) ? log(weight[strands]) : -INFINITY;
}

double cw_evidence__log_prior_lay(const cw_evidence__model *model, int lay)
{
    const cw_evidence__lay_class *class = &cw_evidence__lays[lay];

    if (!model->has_window) /* the lay shapes nothing there: one class stands for all */
        return lay == 0 ? 0 : -INFINITY;
    return allowed(model->evidence->seen.lays, (int)class->lay) ? log(class->weight) : -INFINITY;
}
