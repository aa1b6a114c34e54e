/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright schema: what a verb's document looks like. The schemas stand in data/schemas/; that of the job file comes
 * from the table that reads it. */
#include "cli/cli.h"

#include "base/embedded.h"
#include "job/schema_json.h"

#include <stdio.h>
#include <string.h>

int cli_schema(const cli_call *call)
{
    const char *verb = call->argument[0];
    const cw_embedded *schema;
    char name[80];

    if (strcmp(verb, "job") == 0)
        return cli_write_json(call, cw_job_schema_json(), CLI_YES);
    snprintf(name, sizeof name, "%.60s.schema.json", verb);
    schema = cw_embedded_find(name);
    if (schema == NULL)
        return cli_refuse(call, "No document is called \"%.60s\"; name a verb, or job, or error, as in coilwright schema "
                          "identify.", verb);
    return cli_write_json(call, json_loadb(schema->text, schema->length, 0, NULL), CLI_YES);
}
