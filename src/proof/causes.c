/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why a test may have failed, likeliest first, and the reading that tells the causes apart. [tests_and_safety 8] */
#include "proof/proof_internal.h"

#include <math.h>
#include <stdio.h>

/* On which side a test failed, or how another one stands. */
typedef enum side { ANY, LOW, HIGH, SOUND, UNKNOWN } side;

typedef struct row {
    cw_proof_kind test;
    side failed;  /* ANY, LOW or HIGH */
    side turns;   /* how the turns test must stand: ANY, LOW, HIGH, SOUND or UNKNOWN */
    const char *cause, *tells_apart;
} row;

static const row rows[] = {
    { CW_PROVE_WINDING_RESISTANCE, LOW, LOW, "Shorted turns: resistance and inductance are both low.",
      "Ring it beside its twin: a shorted turn kills the ring. Turns that are merely missing let it ring." },
    { CW_PROVE_WINDING_RESISTANCE, LOW, LOW, "Turns are missing: the counter slipped or a layer was left out.",
      "Wire left on the spool by weight: missing turns leave wire, shorted ones do not." },
    { CW_PROVE_WINDING_RESISTANCE, LOW, UNKNOWN, "Shorted turns, or missing turns.",
      "Inductance or field with the core out, then the ring test: low and dead is a short, low and ringing is missing "
      "turns." },
    { CW_PROVE_WINDING_RESISTANCE, LOW, ANY, "The wire is thicker than planned: 5 % in diameter is 10 % in resistance.",
      "The bare diameter of an end, stripped, at three places across both axes; and the turns are then right." },
    { CW_PROVE_WINDING_RESISTANCE, LOW, ANY, "The coil was colder than its thermometer.",
      "Read again after a night beside the thermometer: 5 K are 2 %." },
    { CW_PROVE_WINDING_RESISTANCE, HIGH, ANY, "A bad joint, or a lead nicked or not stripped.",
      "Move the leads while reading: it jumps. Four wires at two currents: a bad joint shows two resistances." },
    { CW_PROVE_WINDING_RESISTANCE, HIGH, HIGH, "Too many turns.",
      "Field or inductance against the sibling; depth of the winding." },
    { CW_PROVE_WINDING_RESISTANCE, HIGH, ANY, "The wire is thinner than planned, or stretched by too much tension.",
      "The bare diameter of an end; the turns and the inductance are then right." },
    { CW_PROVE_WINDING_RESISTANCE, HIGH, ANY, "Leads and clips of a two-wire meter are in the reading.",
      "Join the clips: what they show comes off; or read with four wires." },
    { CW_PROVE_WINDING_RESISTANCE, HIGH, ANY, "The coil was warmer than its thermometer.",
      "Read again after a night beside the thermometer: 5 K are 2 %." },
    { CW_PROVE_COILS_MATCH, ANY, ANY, "Wire of two spools: same turns, each within its tolerance.",
      "Field in the middle at the same current: equal fields are equal turns." },
    { CW_PROVE_COILS_MATCH, ANY, ANY, "One coil has shorted or missing turns.",
      "Inductance of each with the core out, then the ring test of the lower one." },
    { CW_PROVE_COILS_MATCH, ANY, ANY, "A bad joint in the one that is higher.",
      "Move its leads while reading; four wires at two currents." },
    { CW_PROVE_TURNS, LOW, ANY, "Shorted turns: a few cost little resistance and much inductance.",
      "The field in the middle on dc: with shorted turns in the copper it is right, with missing ones it is low." },
    { CW_PROVE_TURNS, LOW, ANY, "Turns are missing.", "Resistance is low by the same share; the ring is good." },
    { CW_PROVE_TURNS, HIGH, ANY, "Iron is near, or the core is in.",
      "Take coil and meter off the bench and read again." },
    { CW_PROVE_TURNS, HIGH, ANY, "Too many turns.", "Resistance is high by the same share." },
    { CW_PROVE_POLARITY, ANY, ANY, "Start and finish of one coil are exchanged.",
      "Exchange the leads of one coil and test again." },
    { CW_PROVE_POLARITY, ANY, ANY, "One coil is wound, or put on its core, the other way round.",
      "With the same lead positive, the compass shows the other pole than at its twin." },
    { CW_PROVE_EARTH_BOND, ANY, ANY, "Paint, varnish or resin between frame, core and screw.",
      "Read across each joint in turn: the one that takes the volts is it." },
    { CW_PROVE_EARTH_BOND, ANY, ANY, "The protective conductor is thin, long or broken inside.",
      "Read the conductor alone from end to end while it is bent." },
    { CW_PROVE_INSULATION_RESISTANCE, ANY, ANY, "Damp in the winding or on its leads.",
      "It rises while the coil is dried at 80 to 105 °C and over ten minutes of test voltage; a fault does neither." },
    { CW_PROVE_INSULATION_RESISTANCE, ANY, ANY,
      "A turn touches the core: a worn corner, a nick, a burr, a lead across an edge.",
      "It stays low when dry, and falls as the voltage rises; lift the coil off its core and read again." },
    { CW_PROVE_INSULATION_RESISTANCE, ANY, ANY, "Dirt, flux or coolant across the terminals.",
      "Clean and dry the terminals, read again." },
    { CW_PROVE_TURN_INSULATION, ANY, ANY,
      "A shorted turn: damaged enamel, a crossing pinched at a flange, a lead over the layers.",
      "Excite it with ac on its core: the shorted turn heats within seconds. Resistance low by its share of the "
      "turns." },
    { CW_PROVE_TURN_INSULATION, ANY, ANY, "Iron or a metal former takes the ring.",
      "Take core and metal away, or ring the twin in the same place: it is then as dead as this one." },
    { CW_PROVE_HIGH_POTENTIAL, ANY, ANY, "Ground insulation too thin, cracked or damaged at an edge, a slot or a lead.",
      "Insulation resistance before and after: low afterwards means burnt through; raise slowly in the dark to see "
      "where." },
    { CW_PROVE_HIGH_POTENTIAL, ANY, ANY, "Creepage across a damp or dirty surface.",
      "Insulation resistance is low before too, and rises when the coil is dried and cleaned." },
    { CW_PROVE_HIGH_POTENTIAL, ANY, ANY, "The trip took the charging current for a breakdown.",
      "The current rises evenly with the voltage, 2 pi f C U, and the insulation resistance is as good as before." },
    { CW_PROVE_HEAT_RUN, ANY, ANY, "More power than planned: supply too high, resistance too low, or duty longer.",
      "Volts, amperes and on-time of the run against the job." },
    { CW_PROVE_HEAT_RUN, ANY, ANY, "Heat does not get out: air in the winding or between coil and iron.",
      "Outside much cooler than the mean winding: fill or bond it. Outside nearly as hot: the surface is too small." },
    { CW_PROVE_HEAT_RUN, ANY, ANY, "Shorted turns heat on a rippled or alternating supply.",
      "The same power on smooth dc runs cooler." },
    { CW_PROVE_PULL, LOW, ANY, "Too few ampere-turns: voltage low, coil hot, or coils joined against each other.",
      "Current times turns while it pulls; the compass on the poles." },
    { CW_PROVE_PULL, LOW, ANY, "The gap is greater than meant: scale, paint, rust, a plate that is not flat.",
      "A strip of film of known thickness between: the pull falls as computed, or hardly at all if the gap was there "
      "before." },
    { CW_PROVE_PULL, LOW, ANY, "The plate is too thin or poor iron.",
      "The same pull test on a thick plate of low-carbon steel." },
    { CW_PROVE_RELEASE, ANY, ANY, "Residual magnetism: faces in full contact, hard steel in the circuit.",
      "A shim of 0.1 to 0.25 mm brass between the faces: it lets go." },
    { CW_PROVE_RELEASE, ANY, ANY, "The suppressor keeps the current up: a plain diode is the slowest.",
      "Current after switch-off on a scope: long with the diode, short with a resistor or Zener in series." },
    { CW_PROVE_RELEASE, ANY, ANY, "Something binds: a bent guide, resin in the gap, a weak spring.",
      "By hand, without current." },
};

static side failed_side(const cw_proof_test *test)
{
    const double value = isnan(test->corrected) ? test->reading : test->corrected;

    for (size_t i = 0; i < test->limit_count; i++) {
        if (test->limits[i].role != CW_DECIDES)
            continue;
        if (value < test->limits[i].low)
            return LOW;
        if (value > test->limits[i].high)
            return HIGH;
    }
    return ANY;
}

static side state_of_turns(const cw_proof *proof)
{
    const cw_proof_test *turns = cw_proof__test(proof, CW_PROVE_TURNS);

    if (turns == NULL || turns->verdict == CW_OPEN)
        return UNKNOWN;
    return turns->verdict == CW_PASS ? SOUND : failed_side(turns);
}

/* Rows that need a certain state of the turns come first in the table and stand where it is met. Thicker wire cannot be
 * told to anyone whose turns are low by as much, so those rows stay for all: they are then merely less likely. */
static void add_causes(const cw_proof *proof, cw_proof_test *test)
{
    const side failed = failed_side(test), turns = state_of_turns(proof);

    for (size_t i = 0; i < sizeof rows / sizeof rows[0] && test->cause_count < CW_PROOF_CAUSES_MOST; i++) {
        cw_proof_cause *cause;

        if (rows[i].test != test->test || (rows[i].failed != ANY && rows[i].failed != failed) ||
            (rows[i].turns != ANY && rows[i].turns != turns))
            continue;
        cause = &test->causes[test->cause_count++];
        snprintf(cause->cause, sizeof cause->cause, "%s", rows[i].cause);
        snprintf(cause->tells_apart, sizeof cause->tells_apart, "%s", rows[i].tells_apart);
    }
}

void cw_proof__find_causes(cw_proof__work *work)
{
    for (size_t i = 0; i < work->proof->test_count; i++)
        if (work->proof->tests[i].verdict == CW_FAIL)
            add_causes(work->proof, &work->proof->tests[i]);
}
