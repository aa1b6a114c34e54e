/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the actions of the verb book share. Functions that give an int give 0 or the exit status, said already. */
#ifndef CW_CLI_BOOK_H
#define CW_CLI_BOOK_H

#include "cli/cli.h"

/** Opens the book of --book, else the usual one. */
int cli_book_open(const cli_call *call, cw_book_mode mode, cw_book **book);

/** A whole number above zero. what: "a job", for the sentence */
int cli_book_number(const cli_call *call, const char *text, const char *what, long long *number);

/** "3", or "3:2" for its second version (else 0: the latest). */
int cli_book_which(const cli_call *call, const char *text, cw_book_id *job, int *version);

/** A number with its point, of an amount of money or of hours. */
int cli_book_amount(const cli_call *call, const char *text, const char *what, double *amount);

/** Noon of --date in UTC; 0, which is now, without it. */
int cli_book_date(const cli_call *call, long long *time_s);

/** --units; metric without it. */
int cli_book_units(const cli_call *call, cw_unit_system *units);

/** Reports what failed; else writes the document (taken over) where --json asks for it, else the sentence. */
int cli_book_say(const cli_call *call, cw_status status, const cw_error *error, json_t *document, const char *format,
                 ...) CW_PRINTF(5, 6);

/* one file a group of actions */
int cli_book_enter(const cli_call *call);
int cli_book_again(const cli_call *call);
int cli_book_sign(const cli_call *call);
int cli_book_list(const cli_call *call);
int cli_book_find(const cli_call *call);
int cli_book_show(const cli_call *call);
int cli_book_take(const cli_call *call);
int cli_book_result(const cli_call *call);
int cli_book_compare(const cli_call *call);
int cli_book_shelf(const cli_call *call);
int cli_book_spool(const cli_call *call);
int cli_book_off(const cli_call *call);
int cli_book_weigh(const cli_call *call);
int cli_book_reading(const cli_call *call);
int cli_book_photo(const cli_call *call);
int cli_book_cost(const cli_call *call);
int cli_book_hours(const cli_call *call);
int cli_book_note(const cli_call *call);
int cli_book_mark(const cli_call *call);
int cli_book_export(const cli_call *call);
int cli_book_import(const cli_call *call);
int cli_book_backup(const cli_call *call);
int cli_book_check(const cli_call *call);

#endif
