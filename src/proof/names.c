/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of the proof and what they stand for. */
#include "proof/proof_internal.h"

#include <string.h>

static const char *const test_names[CW_PROVE_COUNT] = {
    [CW_PROVE_WINDING_RESISTANCE] = "winding-resistance",
    [CW_PROVE_COILS_MATCH] = "coils-match",
    [CW_PROVE_TURNS] = "turns",
    [CW_PROVE_POLARITY] = "polarity",
    [CW_PROVE_EARTH_BOND] = "earth-bond",
    [CW_PROVE_INSULATION_RESISTANCE] = "insulation-resistance",
    [CW_PROVE_TURN_INSULATION] = "turn-insulation",
    [CW_PROVE_HIGH_POTENTIAL] = "high-potential",
    [CW_PROVE_HEAT_RUN] = "heat-run",
    [CW_PROVE_PULL] = "pull",
    [CW_PROVE_RELEASE] = "release",
};

const char *cw_proof_name(cw_proof_kind test)
{
    return test >= 0 && test < CW_PROVE_COUNT ? test_names[test] : "";
}

bool cw_proof_find(const char *name, size_t length, cw_proof_kind *test)
{
    for (int i = 0; i < CW_PROVE_COUNT; i++)
        if (strlen(test_names[i]) == length && memcmp(test_names[i], name, length) == 0) {
            *test = (cw_proof_kind)i;
            return true;
        }
    return false;
}

const char *cw_verdict_name(cw_verdict verdict)
{
    return verdict == CW_PASS ? "pass" : verdict == CW_FAIL ? "fail" : "open";
}

const char *cw_basis_trust_name(cw_basis_trust trust)
{
    static const char *const names[CW_BASIS_TRUST_COUNT] = {
        [CW_BASIS_STANDARD] = "standard seen in print",
        [CW_BASIS_WEB] = "reported on a page",
        [CW_BASIS_PRACTICE] = "common practice, no source",
        [CW_BASIS_COMPUTED] = "computed for this coil",
        [CW_BASIS_ASKED] = "asked for in the job",
        [CW_BASIS_MEMORY] = "value from memory",
    };

    return trust >= 0 && trust < CW_BASIS_TRUST_COUNT ? names[trust] : "";
}

const char *cw_proof_service_name(cw_proof_service service)
{
    static const char *const names[CW_SERVICE_COUNT] = { "rewound", "new", "in-service" };

    return service >= 0 && service < CW_SERVICE_COUNT ? names[service] : "";
}

const char *cw_proof_practice_name(cw_proof_practice practice)
{
    static const char *const names[CW_PRACTICE_COUNT] = { "machine", "control-gear", "machinery", "appliance" };

    return practice >= 0 && practice < CW_PRACTICE_COUNT ? names[practice] : "";
}

const char *cw_rise_rule_name(cw_rise_rule rule)
{
    static const char *const names[CW_RISE_RULE_COUNT] = { "class", "control-gear", "machine", "transformer" };

    return rule >= 0 && rule < CW_RISE_RULE_COUNT ? names[rule] : "";
}
