/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_CLI_JOB_H
#define CW_CLI_JOB_H

#include "cli/cli.h"

/** Opens the job of a path; reports everything that is wrong with it. Returns 0 or the exit status. */
int cli_open(const cli_call *call, const char *path, cw_work **work);

/** The same, with the text of the file; cw_free. */
int cli_open_text(const cli_call *call, const char *path, char **text, size_t *length, cw_work **work);

/** The same of a text that is in hand; `path` is its name. */
int cli_open_given(const cli_call *call, const char *text, size_t length, const char *path, cw_work **work);

/** Opens the job that the call names, hands it to `answer`, closes it; gives the exit status. */
int cli_with_job(const cli_call *call, int (*answer)(const cli_call *call, cw_work *work));

/** What a stage came to: its error where status is not CW_OK; else the document (taken over) where --json asks for it,
 *  else the text; with the exit status `answer`. The text is cleared. */
int cli_show(const cli_call *call, cw_status status, const cw_error *error, json_t *document, cw_text *text, int answer);

/** Writes a whole file, or reports why not. */
int cli_put(const cli_call *call, const char *path, const cw_text *text);

/** Draws a figure into the file that an option names, as its ending says; nothing where the option is not given. */
int cli_put_figure(const cli_call *call, cw_work *work, const char *option, cw_figure figure);

/** The paper asked for by --paper, else by the job's units. Returns 0 or the exit status. */
int cli_paper(const cli_call *call, cw_unit_system units, cw_sheet_paper *paper);

#endif
