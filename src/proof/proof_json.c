/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "proof/proof_json.h"

#include <math.h>

/* Over-range and unknown have no number in JSON: over_range says which. */
static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static const char *role_name(cw_limit_role role)
{
    return role == CW_DECIDES ? "decides" : role == CW_ADVISES ? "advises" : "expected";
}

static json_t *limits_json(const cw_proof_test *test)
{
    json_t *limits = json_array();

    for (size_t i = 0; i < test->limit_count; i++) {
        const cw_proof_limit *limit = &test->limits[i];

        json_array_append_new(limits, json_pack("{s:o, s:o, s:s, s:s, s:s}",
                                                "low", number(limit->low),
                                                "high", number(limit->high),
                                                "role", role_name(limit->role),
                                                "trust", cw_basis_trust_name(limit->trust),
                                                "basis", limit->basis));
    }
    return limits;
}

static json_t *causes_json(const cw_proof_test *test)
{
    json_t *causes = json_array();

    for (size_t i = 0; i < test->cause_count; i++)
        json_array_append_new(causes, json_pack("{s:s, s:s}",
                                                "cause", test->causes[i].cause,
                                                "tells_apart", test->causes[i].tells_apart));
    return causes;
}

static json_t *apply_json(const cw_proof_test *test)
{
    if (isnan(test->apply))
        return json_null();
    return json_pack("{s:f, s:s, s:o}", "value", test->apply, "unit", test->apply_unit, "time_s",
                     number(test->apply_s));
}

static json_t *test_json(const cw_proof_test *test)
{
    return json_pack("{s:s, s:o, s:o, s:o, s:s, s:o, s:o, s:o, s:s, s:s, s:o, s:o, s:o, s:b, s:o, s:f, s:s, s:s, s:s, "
                     "s:s, s:s, s:o}",
                     "test", cw_proof_name(test->test), "coil", test->coil > 0 ? json_integer(test->coil) : json_null(),
                     "limit_low", number(test->limit_low), "limit_high", number(test->limit_high), "unit", test->unit,
                     "reference_c", number(test->reference_c), "limit_at_reading_low",
                     number(test->limit_at_reading_low), "limit_at_reading_high", number(test->limit_at_reading_high),
                     "basis", test->basis, "trust", test->basis[0] != '\0' ? cw_basis_trust_name(test->trust) : "",
                     "limits", limits_json(test), "apply", apply_json(test), "reading", number(test->reading),
                     "over_range", isinf(test->reading) ? 1 : 0, "corrected", number(test->corrected),
                     "corrected_doubt", isfinite(test->corrected_doubt) ? test->corrected_doubt : 0.0, "verdict",
                     cw_verdict_name(test->verdict), "how", test->how, "not_on", test->not_on, "caution", test->caution,
                     "remark", test->remark, "causes", causes_json(test));
}

json_t *cw_proof_json(const cw_proof *proof)
{
    json_t *tests = json_array(), *omitted = json_array();

    for (size_t i = 0; i < proof->test_count; i++)
        json_array_append_new(tests, test_json(&proof->tests[i]));
    for (size_t i = 0; i < proof->omitted_count; i++)
        json_array_append_new(omitted, json_pack("{s:s, s:s}",
                                                 "test", cw_proof_name(proof->omitted[i].test),
                                                 "reason", proof->omitted[i].reason));
    return json_pack("{s:o, s:o, s:s}", "tests", tests, "omitted", omitted, "verdict", cw_verdict_name(proof->verdict));
}

json_t *cw_hold_json(const cw_hold *hold)
{
    json_t *steps = json_array();

    for (size_t i = 0; i < hold->step_count; i++) {
        const cw_hold_step *step = &hold->steps[i];

        json_array_append_new(steps, json_pack("{s:s, s:o, s:s, s:s, s:s}",
                                               "what", step->what,
                                               "value", number(step->value),
                                               "unit", step->unit,
                                               "basis", step->basis,
                                               "trust", cw_basis_trust_name(step->trust)));
    }
    return json_pack("{s:f, s:f, s:o, s:b, s:s, s:o, s:s}",
                     "pull_n", hold->pull_n,
                     "factor", hold->factor,
                     "margin", number(hold->margin),
                     "holds", hold->holds ? 1 : 0,
                     "verdict", cw_verdict_name(hold->verdict),
                     "steps", steps,
                     "text", hold->text);
}
