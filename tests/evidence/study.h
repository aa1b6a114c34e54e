/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Invented coils with known windings, and the readings a shop would take of them: for studies of the identification.
 *
 * The generator draws from what the identification takes for granted (how common sizes, builds and lays are, how far
 * wire and windows are off, how wrong meters are) and computes readings the long way round: real numbers of turns and
 * layers, a helix summed layer by layer, no logarithms. It shares the wire tables with the code under test and nothing
 * else. */
#ifndef CW_TEST_STUDY_H
#define CW_TEST_STUDY_H

#include "coilwright/evidence.h"

#include <stdint.h>

enum { STUDY_READINGS_MOST = 16 };

/* xoshiro256** seeded by splitmix64 [Blackman and Vigna, public domain]: the same study everywhere. */
typedef struct study_random {
    uint64_t s[4];
} study_random;

void study_seed(study_random *random, uint64_t seed);
double study_uniform(study_random *random);       /* (0, 1) */
double study_normal(study_random *random);
size_t study_below(study_random *random, size_t n);

typedef struct study_coil {
    cw_window window;        /* as the user measured it */
    cw_wire wire;            /* its table entry */
    int in_hand;
    int lay;                 /* 0 level, 1 level with sheets, 2 nested, 3 random */
    double turns, length_m, resistance_20c_ohm, mass_kg;
    /* what is true of this very coil */
    double bare_m, overall_m, ohm_per_m, kg_per_m, height_m, per_layer, layers, inner_m, length_window_m;
} study_coil;

/* A coil from the prior. */
void study_draw_coil(study_random *random, const cw_wire_catalogue *catalogue, study_coil *coil);

/* One reading of it with an honest error, of a kind that has a usual instrument. */
cw_reading study_take(study_random *random, const study_coil *coil, cw_reading_kind kind);

/* Spoils a reading as the identification expects blunders: anything within a factor of 30. */
void study_blunder(study_random *random, cw_reading *reading);

/* Whether a candidate is the coil's wire and number of strands. */
bool study_is(const study_coil *coil, const cw_candidate *candidate);

#endif
