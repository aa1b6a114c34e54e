/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_INSTRUMENT_INTERNAL_H
#define CW_INSTRUMENT_INTERNAL_H

#include "coilwright/instrument.h"

enum { CW_INSTRUMENT__LINE_MOST = 4096 };

/* An address taken apart. */
typedef struct cw_instrument__address {
    bool serial;
    char host[256]; /* or the device */
    char port[8];
    long baud;
    int data_bits;  /* 7 or 8 */
    char parity;    /* N, E or O */
    int stop_bits;  /* 1 or 2 */
} cw_instrument__address;

struct cw_instrument {
    int file;               /* socket or device */
    bool serial;
    char name[300];         /* for messages */
    bool out_of_step;       /* a question ran out of time: a late answer may still come */
    char waiting[CW_INSTRUMENT__LINE_MOST + 2]; /* bytes that came behind the last line */
    size_t waiting_count;
};

cw_status cw_instrument__parse_address(const char *address, cw_instrument__address *parts, cw_error *error);

/* Sets a serial line up; the device is open already. */
cw_status cw_instrument__set_line(int file, const cw_instrument__address *parts, cw_error *error);

/* Seconds of a clock that never steps. */
double cw_instrument__now_s(void);

/* ---- link.c ---- */

typedef enum cw_instrument__line { CW_LINE_TAKEN, CW_LINE_LATE, CW_LINE_LOST, CW_LINE_GARBAGE } cw_instrument__line;

/* Sends text and a line feed before the deadline. */
cw_status cw_instrument__send(cw_instrument *instrument, const char *text, double deadline_s, cw_error *error);

/* Takes one line without its end before the deadline; blank lines are skipped. */
cw_instrument__line cw_instrument__take_line(cw_instrument *instrument, double deadline_s, cw_text *line);

/* Throws away what has come so far. */
void cw_instrument__drain(cw_instrument *instrument);

#endif
