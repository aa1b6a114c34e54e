/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cautions and checks that belong to every rewound coil, in our own words.
 *
 * Lathe: entanglement is what kills; no gloves, nothing held that turns [WorkSafe Victoria, guidance note on metal
 * turning lathes, 2010; Ontario Ministry of Labour, alert on lathe entanglement; HSE HSG129, 1999]. That wire is worse
 * than emery strip, being anchored to the spindle, and the rules drawn from it: common practice.
 * Fumes: polyurethane enamel decomposes to isocyanates above about 200 °C [public safety sheets].
 * Old parts, hot surfaces: from memory.
 * Electrical: lock-out 29 CFR 1910.147, test areas EN 50191 [titles; contents from memory].
 * Checks, and their order that does no harm: common practice; insulation tester at 500 V dc for windings below 1000 V
 * [IEEE 43, as quoted by service shops], 250 V for coils rated up to 50 V and 100 megohm for a new dry coil: common
 * practice; 5 megohm at 40 °C as the least [IEEE 43, from memory]; bond 0.1 ohm plus lead [portable-appliance testing
 * practice]. */
#include "coilwright/sheet.h"

#define NBSP "\xC2\xA0" /* keeps a number and its unit on one line */

static const cw_sheet_caution cautions[] = {
    { CW_BEFORE_WINDING, "No gloves, loose sleeves, ties, rings or loose hair: the wire is tied to the spindle and "
                         "pulls in whatever it catches." },
    { CW_BEFORE_WINDING, "Never a loop of wire round a finger or hand. The carriage guides it, or a felt in a stick "
                         "that you can let go." },
    { CW_BEFORE_WINDING, "Lowest speed that does the job; foot stop or hold-to-run. Stop before you touch the coil." },
    { CW_BEFORE_WINDING, "Chuck key out, guard shut, mandrel nut locked. First run without wire, rapids turned down." },
    { CW_BEFORE_WINDING, "Brake the spool and guard it. Taut wire cuts, and it snaps: wear eye protection." },
    { CW_BEFORE_WINDING, "Hot polyurethane enamel gives off isocyanates, which can cause asthma: strip and solder it "
                         "only with extraction." },
    { CW_BEFORE_WINDING, "Old sleeving, paper and wax may hold asbestos or PCB: do not strip them dry, nor burn them "
                         "off." },
    { CW_BEFORE_TESTING, "Isolate the supply, lock it off, and prove it dead with a tester that you have proved. "
                         "Capacitors stay charged." },
    { CW_BEFORE_TESTING, "A coil stores energy. Never open its circuit with a bare switch: fit the diode, RC or "
                         "varistor first. Even an ohmmeter's current kicks when its leads come off a large coil." },
    { CW_BEFORE_TESTING, "Insulation and high-voltage tests: area fenced, core and frame earthed, a second person "
                         "near, both hands on the tester, coil discharged after every test." },
    { CW_BEFORE_TESTING, "A coil on test gets hot enough to burn. Keep tools and steel away from the pole, and people "
                         "with pacemakers out of reach." },
    { CW_BEFORE_USE, "Lifting magnets, brakes that hold a load, and everything that keeps people safe belong to those "
                     "who are licensed for it: no rewound coil goes back there before a competent person has tested "
                     "and released it." },
    { CW_BEFORE_USE, "This sheet computes; it does not inspect. The laws and codes of your place have the last word." },
};

static const cw_sheet_check checks[] = {
    { "Look it over", "Leads sleeved and anchored, no wire proud of the flanges, nothing nicked.", "nothing found" },
    { "Insulation, winding to core", "500" NBSP "V dc for one minute; 250" NBSP "V for coils up to 50" NBSP "V. Common "
                                     "practice; IEEE" NBSP "43, from memory: 5" NBSP "megohm at 40" NBSP "\xC2\xB0""C.",
      "at least 100 megohm, new and dry" },
    { "Turn insulation", "Ring or surge, same core and gap: the trace must lie on that of the sound sibling.",
      "as the sibling" },
    { "Polarity", "Direct current from start to finish lead, compass at the pole.", "as marked before stripping" },
    { "Protective bond", "Core and frame to the earth terminal, after reassembly.", "0.1 ohm plus the lead" },
};

const cw_sheet_caution *cw_sheet_usual_cautions(size_t *count)
{
    *count = sizeof cautions / sizeof cautions[0];
    return cautions;
}

const cw_sheet_check *cw_sheet_usual_checks(size_t *count)
{
    *count = sizeof checks / sizeof checks[0];
    return checks;
}
