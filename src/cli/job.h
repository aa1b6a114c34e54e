/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_CLI_JOB_H
#define CW_CLI_JOB_H

#include "cli/cli.h"

/** Opens the job of a path; reports everything that is wrong with it. Returns 0 or the exit status. */
int cli_open(const cli_call *call, const char *path, cw_work **work);

/** Writes a whole file, or reports why not. */
int cli_put(const cli_call *call, const char *path, const cw_text *text);

/** The paper asked for by --paper, else by the job's units. Returns 0 or the exit status. */
int cli_paper(const cli_call *call, cw_unit_system units, cw_sheet_paper *paper);

#endif
