/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright prove: the acceptance tests. */
#include "cli/job.h"

#include "work/proof_document.h"

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

/* Below the tests, where the job has a load. Whether it is held, or cannot be said. */
static bool add_load(const cli_call *call, cw_work *work, cw_text *text)
{
    const cw_hold *hold;
    cw_error error;
    char line[1400];

    if (cw_work_hold(work, &hold, &error) != CW_OK) {
        cw_error_line(&error, line, sizeof line);
        cli_tell(call, "Whether the load is held cannot be said. %s", line);
        return true;
    }
    if (hold == NULL)
        return true;
    cw_text_add(text, "\n");
    cw_hold_write(hold, cw_work_job(work)->units, text);
    return hold->verdict != CW_FAIL;
}

static int prove(const cli_call *call, cw_work *work)
{
    const cw_proof *proof;
    cw_text text = { 0 };
    cw_error error;
    cw_status status = cw_work_prove(work, &proof, &error);
    bool held = true;

    if (status == CW_OK) {
        tell_of_winding(call, work);
        cw_proof_write(proof, cw_work_job(work)->units, &text);
        held = add_load(call, work, &text);
    }
    return cli_show(call, status, &error, status == CW_OK && call->json ? cw_work_proof_json(work, proof) : NULL, &text,
                    status == CW_OK && (proof->verdict == CW_FAIL || !held) ? CLI_NO : CLI_YES);
}

int cli_prove(const cli_call *call)
{
    return cli_with_job(call, prove);
}
