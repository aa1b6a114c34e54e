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

/** Takes the bytes of a file, or why there are none. */
typedef void cli_sink(void *context, const char *name, const char *what, cw_status status, const cw_text *bytes,
                      const cw_error *error);

/** Hands over the files of a former and an arbor one by one. */
void cli_solid_files(cw_work *work, const cw_solids *solids, cli_sink *sink, void *context);

/** The setting of drawings: by the job, and by --paper, --projection and --date where the verb has them. Returns 0 or the
 *  exit status. */
int cli_drawing_setting(const cli_call *call, cw_work *work, cw_drafting_setting *setting);

/** Hands over the drawings of former and arbor, in PDF, SVG and DXF. */
void cli_drawing_files(cw_work *work, const cw_drafting_setting *setting, cli_sink *sink, void *context);

/** {"former", "arbor"}, or NULL without memory. */
json_t *cli_former_json(const cw_work_former_study *study);

#endif
