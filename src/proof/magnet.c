/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the magnet do its work: pull and release. */
#include "proof/proof_internal.h"

#include <math.h>
#include <stdio.h>

/* The computed pull with where it holds: a tenth of a millimetre more halves it. */
static void say_computed(const cw_proof_request *request, cw_proof_test *test)
{
    CW_PROOF__SAY(test->how, "Computed for this coil: %.4g N", request->pull_n);
    if (!isnan(request->pull_gap_m))
        CW_PROOF__SAY(test->how, "at a gap of %.3g mm", 1e3 * request->pull_gap_m);
    if (!isnan(request->pull_plate_m))
        CW_PROOF__SAY(test->how, "on a plate of %.3g mm", 1e3 * request->pull_plate_m);
    CW_PROOF__SAY(test->how, "when it is warm.");
}

static void limit_pull(const cw_proof_request *request, cw_proof_test *test)
{
    if (!isnan(request->pull_needed_n))
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_ASKED, request->pull_needed_n, NAN,
                        request->pull_elsewhere ? "what the machine needs, brought to the gap and plate of the test by "
                                                  "the field"
                                                : "what the machine needs at this gap");
    if (isnan(request->pull_n))
        return;
    if (isnan(request->pull_doubt))
        say_computed(request, test);
    else
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_COMPUTED, request->pull_n * (1 - request->pull_doubt), NAN,
                        "computed for this coil, gap and plate: %.4g N less the computation's own doubt",
                        request->pull_n);
}

/* A limit that is broken must be told apart from one that only stands first: the strictest leads. */
static void strictest_first(cw_proof_test *test)
{
    if (test->limit_count == 2 && test->limits[1].low > test->limits[0].low) {
        const cw_proof_limit limit = test->limits[0];

        test->limits[0] = test->limits[1];
        test->limits[1] = limit;
    }
}

static bool left_out_without_magnet(cw_proof__work *work, cw_proof_kind kind, const cw_proof_reading *reading)
{
    if (work->request->magnet || reading != NULL)
        return false;
    cw_proof__omit(work, kind, "The job gives no magnet.");
    return true;
}

cw_status cw_proof__pull(cw_proof__work *work, cw_error *error)
{
    const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_PULL, -1);
    cw_proof_test *test;

    if (left_out_without_magnet(work, CW_PROVE_PULL, reading))
        return CW_OK;
    test = cw_proof__begin(work, CW_PROVE_PULL, 0);
    if (test == NULL)
        return cw_no_memory(error);
    limit_pull(work->request, test);
    strictest_first(test);
    if (reading == NULL) {
        cw_proof__leave_open(test);
        return CW_OK;
    }
    test->reading = reading->value;
    test->corrected_doubt = reading->doubt;
    cw_proof__judge(test, reading->value, reading->value);
    return CW_OK;
}

/* Drop-out as a share of the rated voltage. [IEC 60947-4-1, from memory] */
static void limit_drop_out(const cw_proof_request *request, cw_proof_test *test)
{
    const bool ac = request->supply.given && request->supply.kind == CW_AC;

    cw_proof__limit(test, CW_ADVISES, CW_BASIS_MEMORY, ac ? 0.20 : 0.10, 0.75, "IEC 60947-4-1, drop-out on %s",
                    ac ? "ac" : "dc");
}

cw_status cw_proof__release(cw_proof__work *work, cw_error *error)
{
    const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_RELEASE, -1);
    cw_proof_test *test;

    if (left_out_without_magnet(work, CW_PROVE_RELEASE, reading))
        return CW_OK;
    test = cw_proof__begin(work, CW_PROVE_RELEASE, 0);
    if (test == NULL)
        return cw_no_memory(error);
    if (test->method == CW_BY_DROP_OUT)
        limit_drop_out(work->request, test);
    else if (test->method == CW_BY_EYE)
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_PRACTICE, 1, NAN, "lets go by itself and nothing sticks");
    else if (!isnan(work->request->release_needed_s))
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_ASKED, NAN, work->request->release_needed_s,
                        "what the machine allows");
    if (work->request->stored_energy_j > 0.5) /* common practice, no source */
        CW_PROOF__SAY(test->caution, "%.3g J are stored: never break this coil with a bare switch.",
                      work->request->stored_energy_j);
    if (reading == NULL) {
        cw_proof__leave_open(test);
        return CW_OK;
    }
    test->reading = reading->value;
    test->corrected_doubt = reading->doubt;
    cw_proof__judge(test, reading->value, reading->value);
    return CW_OK;
}
