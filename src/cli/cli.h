/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The command line: one table of verbs, one table of options a verb. Everything here is a thin door: a verb reads what
 * it was called with, hands it to the library, and writes what came back.
 *
 * Exit status: 0 done; 1 done, and the answer is no; 2 the call or a file is wrong; 3 the machine failed. */
#ifndef CW_CLI_H
#define CW_CLI_H

#include "coilwright/coilwright.h"

#include <jansson.h>

enum { CLI_OPTIONS_MOST = 24, CLI_ARGUMENTS_MOST = 4, CLI_SETS_MOST = 32, CLI_YES = 0, CLI_NO = 1 };

typedef struct cli_option {
    const char *name;     /* "build"; one letter stands behind one dash */
    const char *argument; /* "B" in the help; NULL: a switch */
    const char *help;
} cli_option;

typedef struct cli_call cli_call;

typedef struct cli_verb cli_verb;

struct cli_verb {
    const char *name;                     /* of an action with its verb's before it: "book find" */
    const char *arguments;                /* "JOB.yaml", as in the help; "" none */
    size_t arguments_least, arguments_most;
    const char *summary;                  /* one line */
    const char *details;                  /* more of the help; NULL none */
    int (*run)(const cli_call *call);     /* returns the exit status */
    cli_option options[CLI_OPTIONS_MOST]; /* up to the first without a name; --json, --quiet, --help are every verb's */
    const cli_verb *actions;              /* of a verb that does several things: the next word says which; NULL */
};

/** A call as parsed. */
struct cli_call {
    const cli_verb *verb;
    const char *argument[CLI_ARGUMENTS_MOST];
    size_t argument_count;
    const char *value[CLI_OPTIONS_MOST];  /* by the verb's option; "" for a switch that is set, NULL where not given */
    const char *set[CLI_SETS_MOST];       /* what stands behind every --set, in its order */
    size_t set_count;
    bool json, quiet;
};

/** The verbs, in the order of the help; ends with one without a name. */
extern const cli_verb cli_verbs[];
extern const cli_verb cli_book_actions[];

/** Value of an option, "" for a switch that is set, NULL where it was not given. */
const char *cli_value(const cli_call *call, const char *option);

/** Says what went wrong, on standard error or as JSON, and gives the exit status. */
int cli_report(const cli_call *call, cw_status status, const cw_error *error);
int cli_report_all(const cli_call *call, cw_status status, const cw_errors *errors);

/** A wrong call: a sentence and exit status 2. */
int cli_refuse(const cli_call *call, const char *format, ...) CW_PRINTF(2, 3);

/** Writes a JSON document (taken over, also where it is NULL for want of memory) or a text to standard output and gives
 *  `status`, or 3 where that failed. */
int cli_write_json(const cli_call *call, json_t *document, int status);
int cli_write_text(const cli_call *call, const cw_text *text, int status);

/** Tells of progress on standard error, unless --quiet. */
void cli_tell(const cli_call *call, const char *format, ...) CW_PRINTF(2, 3);

/** Whether an option was given. */
bool cli_given(const cli_call *call, const char *option);

/** Parses an option's text as a quantity; the option's name stands in the message. */
int cli_quantity(const cli_call *call, const char *option, cw_kind kind, cw_quantity *quantity, double *at_c);

int cli_main(int count, char **words);

/* one file a group of verbs */
int cli_wire(const cli_call *call);
int cli_check(const cli_call *call);
int cli_new(const cli_call *call);
int cli_identify(const cli_call *call);
int cli_choose(const cli_call *call);
int cli_lay(const cli_call *call);
int cli_former(const cli_call *call);
int cli_program(const cli_call *call);
int cli_replay(const cli_call *call);
int cli_heat(const cli_call *call);
int cli_field(const cli_call *call);
int cli_prove(const cli_call *call);
int cli_read(const cli_call *call);
int cli_sheet(const cli_call *call);
int cli_switch(const cli_call *call);
int cli_run(const cli_call *call);
int cli_serve(const cli_call *call);
int cli_schema(const cli_call *call);

#endif
