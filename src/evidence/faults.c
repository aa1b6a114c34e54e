/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is wrong with the dead coil, from its own readings against what the others expect.
 *
 * Resistance. With ratio q = measured / expected and sd the expectation's relative doubt, five explanations compete:
 *     sound               ln q ~ N(0, sd)
 *     shorted turns       q = 1 - s, s uniform on (0, 1): turns shorted in a dc coil are turns missing
 *     bad joint           q > 1, ln q exponential with mean 0.7
 *     wrong temperature   ln q ~ N(0, hypot(sd, 0.10)): 25 K either way
 *     aluminium           ln q ~ N(ln 1.639, sd): aluminium's resistivity over copper's, expectation made with copper
 * Priors, judgement: 0.40, 0.25, 0.15, 0.15, 0.05. An inductance that is low where the resistance is right adds to the
 * shorted turns: a few shorted turns take little resistance and most of the inductance. */
#include "evidence/evidence_internal.h"

#include <math.h>
#include <stdio.h>

enum { SOUND, SHORTED, JOINT, TEMPERATURE, ALUMINIUM, EXPLANATIONS };

const char *cw_fault_kind_name(cw_fault_kind kind)
{
    static const char *names[CW_FAULT_KIND_COUNT] = { "open", "shorted-turns", "earth-fault", "bad-joint",
                                                      "wrong-temperature", "aluminium" };

    return names[kind];
}

static cw_fault *add(cw_identification *id, cw_fault_kind kind, double probability)
{
    for (size_t i = 0; i < id->fault_count; i++)
        if (id->faults[i].kind == kind) {
            if (probability <= id->faults[i].probability)
                return NULL;
            id->faults[i].probability = probability;
            return &id->faults[i];
        }
    id->faults[id->fault_count] = (cw_fault){ .kind = kind, .probability = probability, .share = NAN };
    return &id->faults[id->fault_count++];
}

static double normal(double x, double sd)
{
    return exp(-0.5 * x * x / (sd * sd)) / (sd * 2.5066282746310002);
}

static void weigh_resistance(double log_ratio, double sd, double p[EXPLANATIONS])
{
    static const double prior[EXPLANATIONS] = { 0.40, 0.25, 0.15, 0.15, 0.05 };
    double sum = 0;

    p[SOUND] = normal(log_ratio, sd);
    p[SHORTED] = log_ratio < 0 ? exp(log_ratio) : 0; /* uniform share, as a density of ln q */
    p[JOINT] = log_ratio > 0 ? exp(-log_ratio / 0.7) / 0.7 : 0;
    p[TEMPERATURE] = normal(log_ratio, hypot(sd, 0.10));
    p[ALUMINIUM] = normal(log_ratio - log(2.8264 / 1.7241), sd);
    for (int i = 0; i < EXPLANATIONS; i++)
        sum += p[i] *= prior[i];
    for (int i = 0; i < EXPLANATIONS; i++)
        p[i] /= sum;
}

static void report_resistance(cw_identification *id, const cw_reading_check *check)
{
    const double sd = log(check->expected_high / check->expected_low) / (2 * 1.6449);
    const double q = check->value / check->expected;
    double p[EXPLANATIONS];
    cw_fault *fault;

    weigh_resistance(log(q), fmax(sd, 1e-3), p);
    if (p[SHORTED] > 0.1 && (fault = add(id, CW_FAULT_SHORTED_TURNS, p[SHORTED])) != NULL) {
        fault->share = 1 - q;
        snprintf(fault->text, sizeof fault->text,
                 "The coil reads %.1f %% below what the other readings expect, as if %.0f %% of its turns were shorted "
                 "(%.0f %% sure). A ring or inductance test with the core out against a sibling would confirm it: even "
                 "one shorted turn takes most of the ringing.", 100 * (1 - q), 100 * (1 - q), 100 * p[SHORTED]);
    }
    if (p[JOINT] > 0.1 && (fault = add(id, CW_FAULT_BAD_JOINT, p[JOINT])) != NULL)
        snprintf(fault->text, sizeof fault->text,
                 "The coil reads %.1f %% above what the other readings expect: a bad joint or a wire nearly through "
                 "(%.0f %% sure). Read it again with the leads soldered and while the winding is flexed: a joint "
                 "wanders.", 100 * (q - 1), 100 * p[JOINT]);
    if (p[TEMPERATURE] > 0.25 && p[SOUND] < 0.5 && (fault = add(id, CW_FAULT_WRONG_TEMPERATURE, p[TEMPERATURE])) != NULL)
        snprintf(fault->text, sizeof fault->text,
                 "A coil %.0f K %s than noted would read so (%.0f %% sure). Let it lie in the room over night and read "
                 "it again.", fabs(q - 1) / 0.00393, q > 1 ? "warmer" : "colder", 100 * p[TEMPERATURE]);
    if (p[ALUMINIUM] > 0.1 && (fault = add(id, CW_FAULT_ALUMINIUM, p[ALUMINIUM])) != NULL)
        snprintf(fault->text, sizeof fault->text,
                 "The resistance is %.2f times what copper would give, as aluminium's would be (%.0f %% sure). Scrape "
                 "a wire: aluminium is white, and a sample weighs a third of copper.", q, 100 * p[ALUMINIUM]);
}

static void report_inductance(cw_identification *id, const cw_reading_check *check)
{
    const double q = check->value / check->expected;
    cw_fault *fault;

    if (check->z > -3 || q > 0.9 || (fault = add(id, CW_FAULT_SHORTED_TURNS, 0.8)) == NULL)
        return;
    snprintf(fault->text, sizeof fault->text,
             "The inductance is %.0f %% of what the other readings expect; shorted turns do that, also when the "
             "resistance is right. A ring test against a sibling would confirm it.", 100 * q);
}

static void report_insulation(cw_identification *id, double ohm)
{
    cw_fault *fault;

    /* at least 1 megohm at 500 V dc for a machine's circuits: [IEC60204-1, value from memory]; the sentence leaves the
     * verdict to the standard in force */
    if (ohm >= 1e6 || (fault = add(id, CW_FAULT_EARTH, ohm < 1e5 ? 0.95 : 0.6)) == NULL)
        return;
    snprintf(fault->text, sizeof fault->text,
             "%.3g kilohm between winding and core is an earth fault, or damp. Dry the coil at 80 to 105 °C until the "
             "reading rises and settles; if it stays low the insulation is through.", ohm / 1e3);
}

void cw_evidence__faults(const cw_evidence__model *model, cw_identification *id)
{
    const cw_evidence *evidence = model->evidence;

    for (size_t i = 0; i < evidence->reading_count; i++) {
        const cw_reading *reading = &evidence->readings[i];
        const cw_reading_check *check = &id->readings[i];
        cw_fault *fault;

        if (reading->kind == CW_INSULATION_RESISTANCE && reading->subject != CW_OF_SIBLING)
            report_insulation(id, reading->value);
        if (reading->subject != CW_OF_THIS)
            continue;
        if (reading->kind == CW_COIL_RESISTANCE && isinf(reading->value) &&
            (fault = add(id, CW_FAULT_OPEN, 1)) != NULL)
            snprintf(fault->text, sizeof fault->text,
                     "The coil is open. Look first where the lead joins the winding: a break there can be mended "
                     "without a rewind.");
        if (!check->used || !isfinite(check->expected))
            continue;
        if (reading->kind == CW_COIL_RESISTANCE)
            report_resistance(id, check);
        if (reading->kind == CW_COIL_INDUCTANCE)
            report_inductance(id, check);
    }
}
