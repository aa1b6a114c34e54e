/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright prove: the acceptance tests. */
#include "cli/job.h"

#include "proof/proof_json.h"

/* Why resistance and turns stand without limits. */
static void tell_of_winding(const cli_call *call, cw_work *work)
{
    const cw_winding *winding;
    cw_error error;
    char line[1400];

    if (cw_work_lay(work, &winding, NULL, &error) == CW_OK)
        return;
    cw_error_line(&error, line, sizeof line);
    cli_tell(call, "No winding is laid, so that resistance and turns have no limits. %s", line);
}

static int prove(const cli_call *call, cw_work *work)
{
    const cw_proof *proof;
    cw_text text = { 0 };
    cw_error error;
    cw_status status = cw_work_prove(work, &proof, &error);

    if (status == CW_OK) {
        tell_of_winding(call, work);
        cw_proof_write(proof, cw_work_job(work)->units, &text);
    }
    return cli_show(call, status, &error, status == CW_OK && call->json ? cw_proof_json(proof) : NULL, &text,
                    status == CW_OK && proof->verdict == CW_FAIL ? CLI_NO : CLI_YES);
}

int cli_prove(const cli_call *call)
{
    return cli_with_job(call, prove);
}
