/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings from a bench meter that speaks SCPI, over TCP or a serial line.
 *
 * Knows: IEEE 488.2 and SCPI as far as a resistance or a temperature needs them: questions, answers as numbers, the
 * error queue, over-range. Needs: base, POSIX. Refuses to know: coils, job files, other protocols.
 *
 * Every call comes back within its time. A meter answers slowly, in pieces, wrongly or not at all; a question it does
 * not know has no answer, only an entry in its error queue. So a question that ran out of time is followed by
 * SYST:ERR?, whose answer has a shape of its own: it says why, and by it question and answer are in step again.
 *
 *     address = "tcp:" host [ ":" port ]                       port 5025 (scpi-raw) by default; [::1] for IPv6
 *             | "serial:" device [ ":" baud [ ":" bits parity stops ] ]     9600:8N1 by default; 7E2 and the like
 *
 * What the caller wrote wrongly is CW_BAD_INPUT, and so is an over-range; a meter that does not answer, or answers what
 * no meter should, is CW_FAILED. Sources: SCPI-1999 and IEEE 488.2 as reflected in meter manuals. */
#ifndef COILWRIGHT_INSTRUMENT_H
#define COILWRIGHT_INSTRUMENT_H

#include "coilwright/base.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A connection to one meter. Not to be shared between threads. */
typedef struct cw_instrument cw_instrument;

/** Connects. Sends nothing yet.
 *
 *  address     see above
 *  within_s    time to connect; NAN: 3 s. A host's name is looked up by the system, which takes its own time
 *  instrument  receives the connection; cw_instrument_close
 *
 *  Test: tests/instrument/test_instrument.c */
CW_API cw_status cw_instrument_open(const char *address, double within_s, cw_instrument **instrument, cw_error *error);
CW_API void cw_instrument_close(cw_instrument **instrument);

/** Sends a command that has no answer. */
CW_API cw_status cw_instrument_tell(cw_instrument *instrument, const char *command, cw_error *error);

/** Asks and takes the one line that comes back, without its end.
 *
 *  question  without the end of line
 *  within_s  NAN: 10 s
 *  answer    is cleared, then receives the line; at most 4096 bytes of printable text
 *  CW_FAILED no answer in time (with what the meter's error queue says), the connection lost, bytes that are no text */
CW_API cw_status cw_instrument_ask(cw_instrument *instrument, const char *question, double within_s, cw_text *answer,
                                   cw_error *error);

/** The four fields of *IDN?; "" where the meter leaves one out. */
typedef struct cw_instrument_identity {
    char maker[64], model[64], serial[64], firmware[64];
} cw_instrument_identity;

CW_API cw_status cw_instrument_identify(cw_instrument *instrument, double within_s, cw_instrument_identity *identity,
                                        cw_error *error);

typedef enum cw_measure_kind {
    CW_MEASURE_TWO_WIRE,    /* ohm, MEAS:RES? */
    CW_MEASURE_FOUR_WIRE,   /* ohm, MEAS:FRES? */
    CW_MEASURE_TEMPERATURE  /* °C, MEAS:TEMP? */
} cw_measure_kind;

/** How to measure. cw_measure_plan_defaults sets what is usual. */
typedef struct cw_measure_plan {
    cw_measure_kind kind;
    double range;           /* ohm; NAN: the meter's own choice, which hunts on a coil */
    int alike;              /* so many readings in a row must agree; 3 */
    double agree;           /* greatest less least of them over their mean; 0.001. For temperatures in kelvin */
    double pause_s;         /* between readings; 0.2 */
    double answer_s;        /* time for one answer; 10 */
    double within_s;        /* time for all; 60 */
} cw_measure_plan;

CW_API void cw_measure_plan_defaults(cw_measure_plan *plan, cw_measure_kind kind);

typedef struct cw_measured {
    double value;           /* ohm or °C: the last of those that agree */
    double spread;          /* greatest less least of those that agree, same unit */
    int taken;              /* readings in all */
    double time_s;          /* that it took */
    char question[64];      /* as sent */
} cw_measured;

/** Reads until the readings stand still. A coil's current settles with L/R, and auto range hunts meanwhile.
 *
 *  CW_BAD_INPUT  over-range (open coil, no contact, range too small), or a resistance below zero; a plan out of range
 *  CW_FAILED     not settled in time (with the last readings), no answer, an answer that is no number
 *  measured      left alone on failure */
CW_API cw_status cw_instrument_measure(cw_instrument *instrument, const cw_measure_plan *plan, cw_measured *measured,
                                       cw_error *error);

/** Reads the first number of an answer: NR1, NR2 or NR3, blanks around it, further fields behind a comma; "ohm",
 *  "kohm", "Mohm", "C" or "degC" may follow. Whatever the locale.
 *
 *  over_range  receives whether it is one of the standard's sentinels (9.9E37 and beyond) or a word for it (OL, INF)
 *  false where it is no number. Also the target of a fuzzer. */
CW_API bool cw_instrument_number(const char *answer, size_t length, double *value, bool *over_range);

#ifdef __cplusplus
}
#endif
#endif
