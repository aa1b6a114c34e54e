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

int cli_prove(const cli_call *call)
{
    const cw_proof *proof;
    cw_work *work;
    cw_text text = { 0 };
    cw_error error;
    cw_status status;
    int exit = cli_open(call, call->argument[0], &work);

    if (exit != 0)
        return exit;
    status = cw_work_prove(work, &proof, &error);
    if (status != CW_OK) {
        exit = cli_report(call, status, &error);
    } else {
        const int answer = proof->verdict == CW_FAIL ? CLI_NO : CLI_YES;

        tell_of_winding(call, work);
        if (call->json) {
            exit = cli_write_json(call, cw_proof_json(proof), answer);
        } else {
            cw_proof_write(proof, cw_work_job(work)->units, &text);
            exit = cli_write_text(call, &text, answer);
        }
    }
    cw_text_clear(&text);
    cw_work_close(&work);
    return exit;
}
