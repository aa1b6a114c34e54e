/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How each test is done, what it must not be done on, and what bites. [tests_and_safety, 8 and 11] */
#include "proof/proof_internal.h"

#include <math.h>

typedef struct words {
    const char *how, *not_on, *caution;
} words;

static const words table[CW_PROVE_COUNT] = {
    [CW_PROVE_WINDING_RESISTANCE] = {
        .how =
            "Let the coil lie in the room until inside and outside are alike: 4 to 12 h for a big one. Read "
            "with four wires below 100 ohm, at a current that does not warm it, and wait five times L/R "
            "before believing the number. Read the thermometer that lies on the coil.",
        .not_on =
            "A coil still warm from the oven, from the lathe or from a hand; a coil connected to anything "
            "else.",
        .caution =
            "A big coil's leads can kick over 100 V when the meter is taken off: short the coil first.",
    },
    [CW_PROVE_COILS_MATCH] = {
        .how =
            "Read every coil of the circuit with the same meter, in the same room, one after the other, apart "
            "from each other.",
        .not_on =
            "Coils still joined to each other.",
        .caution =
            "A big coil's leads can kick over 100 V when the meter is taken off: short the coil first.",
    },
    [CW_PROVE_TURNS] = {
        .how =
            "Core out and no iron or steel bench near: inductance at 100 Hz to 1 kHz, or the field in the "
            "middle of the coil at a small known current, or either of them compared with the sound sibling "
            "under the same conditions.",
        .not_on =
            "A coil on its core or in its pot: iron changes the number many times over and hides what is "
            "looked for.",
        .caution =
            "Short the coil before the leads are taken off.",
    },
    [CW_PROVE_POLARITY] = {
        .how =
            "Join the coils as they will work, put a battery of a few volts on them for a moment and hold a "
            "compass to each pole: neighbouring poles must be unlike, coils on one core must agree. Or read "
            "the inductance as joined and with one coil reversed: joined rightly it is the greater by four "
            "times the mutual inductance.",
        .not_on =
            "Full voltage, or any voltage longer than a moment without the core.",
        .caution =
            "The battery's wire draws an arc when it is lifted off: put a diode across the coil first.",
    },
    [CW_PROVE_EARTH_BOND] = {
        .how =
            "From the protective conductor's terminal to every part of core, frame and case that a hand can "
            "touch: 1.5 times the fuse, at most 25 A, from 12 V or less, for 5 to 20 s. Take the lead's own "
            "resistance off.",
        .not_on =
            "Through the winding or thin wire; a machine that is connected to the mains.",
        .caution =
            "Core and frame of a coil above 50 V ac or 120 V dc are bonded to earth unless it is double "
            "insulated (IEC 61140, value from memory). No voltage goes on the coil before this has passed.",
    },
    [CW_PROVE_INSULATION_RESISTANCE] = {
        .how =
            "Winding to core, all leads of the winding joined, core and other windings to earth.",
        .not_on =
            "Electronics, rectifiers, capacitors and suppressors: take them off first. Not below the dew "
            "point; a damp coil is dried at 80 to 105 °C until the reading has dipped, risen and stands "
            "still.",
        .caution =
            "Discharge the winding for at least four times as long as it was tested, before it is touched.",
    },
    [CW_PROVE_TURN_INSULATION] = {
        .how =
            "Core out, or beside a sound twin on the same core. Ring: charge 0.1 to 1 uF to 20 to 50 V, "
            "switch it on to the coil and count the cycles until a tenth is left; a good coil rings 10 to 30 "
            "times, one with a shorted turn less than 5. Surge: raise slowly and compare the trace with that "
            "of the twin; a jump to the left or a loss of height is a failure.",
        .not_on =
            "A ring test on a solid iron core says nothing: the iron eats the ring of a good coil too.",
        .caution =
            "A surge tester is a high-voltage tester: fence, second person, discharge before touching.",
    },
    [CW_PROVE_HIGH_POTENTIAL] = {
        .how =
            "Leads of the winding joined, core and all other windings to earth. Raise within 10 s, hold, "
            "lower, discharge. Trip at 5 to 10 mA for a small coil; the charging current 2 pi f C U must stay "
            "below it (1 nF at 1500 V, 50 Hz: 0.47 mA). Say so if the coil is tested on its old core: then "
            "the lower of two levels is the right one.",
        .not_on =
            "A coil whose insulation resistance has not passed; a damp coil; electronics, rectifiers, "
            "suppressors; never again and again, since each test uses insulation up. It does not test the "
            "insulation between turns.",
        .caution =
            "Deadly. Fenced place, two-hand control, lamp, earthed frame, discharge stick, a second person "
            "(EN 50191; hazardous above 3 mA ac, 12 mA dc or 350 mJ, values from memory). For people who are "
            "trained and allowed to.",
    },
    [CW_PROVE_HEAT_RUN] = {
        .how =
            "Let it lie cold 4 h, read resistance and temperature. Energise in its place at rated voltage and "
            "at 1.1 times, the room's thermometer 1 to 2 m away at half height. On dc, volts over amperes "
            "shows the resistance all the time. When it stands still (below 2 K/h, and four time constants), "
            "read the room, switch off, read the resistance within 30 s and then every 15 to 30 s for 5 min.",
        .not_on =
            "A coil that has not passed insulation and turn tests; a coil without its iron, its pot or its "
            "mount.",
        .caution =
            "A class 180 coil can be 160 °C outside. Switch off only through a diode or resistor across the "
            "coil.",
    },
    [CW_PROVE_PULL] = {
        .how =
            "At the gap and on the plate that the number was computed for: same thickness, same steel, clean "
            "and flat. Warm, at the lowest supply that may come. Pull straight, slowly, with a load cell; "
            "three times, the least counts.",
        .not_on =
            "Over people; a chain hoist as the only thing that holds; a scale without a stop behind it.",
        .caution =
            "What tears off flies: chain the load loosely, stand aside, eyes covered. Keep pacemakers and "
            "loose steel away.",
    },
    [CW_PROVE_RELEASE] = {
        .how =
            "Switch off as the machine does, with its suppressor, warm and at the highest supply; watch that "
            "it lets go, how long it takes, and that nothing sticks. For a brake or clutch also 15 % below "
            "the rated voltage and hot: it must still hold or drop as its design says.",
        .not_on =
            "Under a load that may not fall.",
        .caution =
            "Brakes, guards and everything else that people rely on belong to licensed practice: a pass here "
            "does not release them.",
    },
};

void cw_proof__words(cw_proof_test *test)
{
    CW_PROOF__SAY(test->how, "%s", table[test->test].how);
    CW_PROOF__SAY(test->not_on, "%s", table[test->test].not_on);
    CW_PROOF__SAY(test->caution, "%s", table[test->test].caution);
}
