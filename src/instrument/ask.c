/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Question and answer, in step even after a question that ran out of time. */
#include "instrument/instrument_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double default_answer_s = 10, error_answer_least_s = 0.5, error_answer_most_s = 2;

/* An entry of the error queue: a number, a comma, a text in quotes. No answer to another question looks so. */
static bool is_error_entry(const char *line)
{
    const char *digits = line + (line[0] == '-' || line[0] == '+');
    const size_t count = strspn(digits, "0123456789");
    const char *rest = digits + count;

    if (count == 0 || count > 6 || *rest != ',')
        return false;
    rest += 1 + strspn(rest + 1, " ");
    return *rest == '"' && rest[1] != '\0' && rest[strlen(rest) - 1] == '"';
}

static bool is_no_error(const char *entry)
{
    return strspn(entry, "+-0") == strcspn(entry, ",");
}

/* Asks for the error queue and skips late answers until an entry comes: then both are in step again.
 * entry  the first entry, "" where the queue is empty or nothing came */
static bool get_in_step(cw_instrument *instrument, double within_s, char *entry, size_t size)
{
    const double limit_s = fmin(fmax(within_s, error_answer_least_s), error_answer_most_s);
    const double deadline_s = cw_instrument__now_s() + limit_s;
    cw_text line = { 0 };
    bool found = false;

    entry[0] = '\0';
    if (cw_instrument__send(instrument, "SYST:ERR?", deadline_s, NULL) != CW_OK)
        return false;
    while (!found && cw_instrument__now_s() < deadline_s) {
        const cw_instrument__line taken = cw_instrument__take_line(instrument, deadline_s, &line);

        if (taken == CW_LINE_LATE || taken == CW_LINE_LOST)
            break;
        found = taken == CW_LINE_TAKEN && line.data != NULL && is_error_entry(line.data);
    }
    if (found && !is_no_error(line.data))
        snprintf(entry, size, "%s", line.data);
    cw_text_clear(&line);
    instrument->out_of_step = !found;
    return found;
}

cw_status cw_instrument_tell(cw_instrument *instrument, const char *command, cw_error *error)
{
    return cw_instrument__send(instrument, command, cw_instrument__now_s() + default_answer_s, error);
}

static cw_status no_answer(cw_instrument *instrument, const char *question, double within_s, cw_error *error)
{
    char entry[160];

    instrument->out_of_step = true;
    if (get_in_step(instrument, within_s, entry, sizeof entry) && entry[0] != '\0')
        return cw_fail(error, "The meter at '%s' does not answer '%s'; its error queue says %s.", instrument->name,
                       question, entry);
    return cw_fail(error, "The meter at '%s' has not answered '%s' within %.3g s.", instrument->name, question,
                   within_s);
}

/* Some serial meters send back every byte they are sent. */
static bool is_echo(const cw_instrument *instrument, const char *line, const char *question)
{
    return instrument->serial && strcmp(line, question) == 0;
}

static cw_status take_answer(cw_instrument *instrument, const char *question, double within_s, cw_text *answer,
                             cw_error *error)
{
    const double deadline_s = cw_instrument__now_s() + within_s;
    cw_instrument__line taken;

    do
        taken = cw_instrument__take_line(instrument, deadline_s, answer);
    while (taken == CW_LINE_TAKEN && !answer->failed && is_echo(instrument, answer->data, question));
    if (taken == CW_LINE_TAKEN)
        return answer->failed ? cw_no_memory(error) : CW_OK;
    cw_text_clear(answer);
    if (taken == CW_LINE_LATE)
        return no_answer(instrument, question, within_s, error);
    instrument->out_of_step = true;
    if (taken == CW_LINE_LOST)
        return cw_fail(error, "The meter at '%s' has closed the connection after '%s'.", instrument->name, question);
    return cw_fail(error, "The answer of the meter at '%s' to '%s' is no text. %s", instrument->name, question,
                   instrument->serial ? "Are speed and parity those that the meter is set to?"
                                      : "Is it a meter that listens there?");
}

cw_status cw_instrument_ask(cw_instrument *instrument, const char *question, double within_s, cw_text *answer,
                            cw_error *error)
{
    const double limit_s = isnan(within_s) ? default_answer_s : within_s;
    char entry[160];
    cw_status status;

    cw_text_clear(answer);
    if (instrument->out_of_step && !get_in_step(instrument, limit_s, entry, sizeof entry))
        return cw_fail(error, "The meter at '%s' does not answer any more. Switch it off and on, then connect again.",
                       instrument->name);
    cw_instrument__drain(instrument);
    status = cw_instrument__send(instrument, question, cw_instrument__now_s() + limit_s, error);
    return status != CW_OK ? status : take_answer(instrument, question, limit_s, answer, error);
}

/* ---- who is there ------------------------------------------------------------------------------------------ */

static void copy_field(const char **from, char *to, size_t size)
{
    const size_t length = strcspn(*from, ",");
    const char *start = *from;
    size_t kept = length;

    while (kept > 0 && *start == ' ') {
        start++;
        kept--;
    }
    while (kept > 0 && start[kept - 1] == ' ')
        kept--;
    snprintf(to, size, "%.*s", (int)kept, start);
    *from += length + ((*from)[length] == ',');
}

cw_status cw_instrument_identify(cw_instrument *instrument, double within_s, cw_instrument_identity *identity,
                                 cw_error *error)
{
    cw_text answer = { 0 };
    const cw_status status = cw_instrument_ask(instrument, "*IDN?", isnan(within_s) ? 2 : within_s, &answer, error);
    const char *next = answer.data;

    if (status == CW_OK) {
        copy_field(&next, identity->maker, sizeof identity->maker);
        copy_field(&next, identity->model, sizeof identity->model);
        copy_field(&next, identity->serial, sizeof identity->serial);
        copy_field(&next, identity->firmware, sizeof identity->firmware);
    }
    cw_text_clear(&answer);
    return status;
}
