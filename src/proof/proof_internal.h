/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the proof share: the tests while they are put together. */
#ifndef CW_PROOF_INTERNAL_H
#define CW_PROOF_INTERNAL_H

#include "coilwright/proof.h"

/* A proof under way. */
typedef struct cw_proof__work {
    const cw_proof_request *request;
    cw_proof *proof;
    size_t capacity;
    double coil_voltage_v; /* rated, to earth: the supply's; NAN unknown */
} cw_proof__work;

/* ---- tests, one file a group; each appends its own or leaves it out with a reason ---- */

cw_status cw_proof__winding_resistance(cw_proof__work *work, cw_error *error);
cw_status cw_proof__coils_match(cw_proof__work *work, cw_error *error);
cw_status cw_proof__turns(cw_proof__work *work, cw_error *error);
cw_status cw_proof__polarity(cw_proof__work *work, cw_error *error);
cw_status cw_proof__earth_bond(cw_proof__work *work, cw_error *error);
cw_status cw_proof__insulation_resistance(cw_proof__work *work, cw_error *error);
cw_status cw_proof__turn_insulation(cw_proof__work *work, cw_error *error);
cw_status cw_proof__high_potential(cw_proof__work *work, cw_error *error);
cw_status cw_proof__heat_run(cw_proof__work *work, cw_error *error);
cw_status cw_proof__pull(cw_proof__work *work, cw_error *error);
cw_status cw_proof__release(cw_proof__work *work, cw_error *error);

/* ---- proof.c ---- */

/* A new test with its words and no limits yet; NULL without memory. Pointers to earlier tests die with this call. */
cw_proof_test *cw_proof__begin(cw_proof__work *work, cw_proof_kind kind, int coil);
void cw_proof__omit(cw_proof__work *work, cw_proof_kind kind, const char *reason);

/* The reading that counts: the last of this test and coil. coil < 0: of any coil. NULL where there is none. */
const cw_proof_reading *cw_proof__latest(const cw_proof_request *request, cw_proof_kind kind, int coil);
const cw_proof_test *cw_proof__test(const cw_proof *proof, cw_proof_kind kind);
double cw_proof__alpha20(const cw_proof_request *request);
double cw_proof__system_class_c(const cw_proof_request *request);
int cw_proof__coils(const cw_proof_request *request);
cw_proof_method cw_proof__method(const cw_proof_reading *reading, cw_proof_kind kind);

/* ---- judge.c ---- */

/* Appends to a text of fixed size, after a blank; a text that does not fit is a programming mistake (asserted). */
void cw_proof__say(char *buffer, size_t size, const char *format, ...) CW_PRINTF(3, 4);
#define CW_PROOF__SAY(field, ...) cw_proof__say((field), sizeof(field), __VA_ARGS__)

/* low, high NAN where there is none; basis as for printf. */
cw_proof_limit *cw_proof__limit(cw_proof_test *test, cw_limit_role role, cw_basis_trust trust, double low, double high,
                                const char *format, ...) CW_PRINTF(6, 7);

/* Verdict of a reading whose corrected value lies between low and high (the same where the correction is certain), and
 * what the verdict hangs on. Sets limit_low, limit_high, basis and trust from the limits. */
void cw_proof__judge(cw_proof_test *test, double corrected_low, double corrected_high);

/* Without a reading. */
void cw_proof__leave_open(cw_proof_test *test);

/* ---- words.c, causes.c ---- */

void cw_proof__words(cw_proof_test *test);
void cw_proof__find_causes(cw_proof__work *work);

/* A number of the test with its unit, for sentences. */
const char *cw_proof__number(const cw_proof_test *test, double value, char *buffer, size_t size);

#endif
