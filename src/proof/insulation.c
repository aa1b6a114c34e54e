/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is it safe: bond of the frame, insulation resistance, insulation between turns, high potential. */
#include "proof/proof_internal.h"

#include <math.h>
#include <stdio.h>

/* Adds a row's low value as a limit from below, in SI by the factor. Rows from memory advise, whatever was asked. */
static cw_proof_limit *row_as_least(cw_proof_test *test, const char *id, double voltage_v, double si,
                                    cw_limit_role role)
{
    cw_limit_row row;

    if (cw_limit_find(id, voltage_v, &row, NULL) != CW_OK)
        return NULL;
    if (row.trust == CW_BASIS_MEMORY && role == CW_DECIDES)
        role = CW_ADVISES;
    return cw_proof__limit(test, role, row.trust, si * row.low, NAN, "%s, %s", row.standard, row.condition);
}

/* ---- bond -------------------------------------------------------------------------------------------------- */

cw_status cw_proof__earth_bond(cw_proof__work *work, cw_error *error)
{
    static const char *const rows[] = { "bond-equipment", "bond-portable", "bond-appliance" };
    const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_EARTH_BOND, -1);
    cw_proof_test *test = cw_proof__begin(work, CW_PROVE_EARTH_BOND, 0);
    double bond;

    if (test == NULL)
        return cw_no_memory(error);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_limit_row row;

        if (cw_limit_find(rows[i], NAN, &row, NULL) == CW_OK)
            cw_proof__limit(test, row.trust == CW_BASIS_MEMORY ? CW_ADVISES : CW_DECIDES, row.trust, NAN, row.low,
                            "%s, %s", row.standard, row.condition);
    }
    if (reading == NULL) {
        cw_proof__leave_open(test);
        return CW_OK;
    }
    bond = fmax(0, reading->value - reading->lead_ohm);
    test->reading = reading->value;
    test->corrected_doubt = reading->doubt;
    cw_proof__judge(test, bond, bond);
    return CW_OK;
}

/* ---- insulation resistance --------------------------------------------------------------------------------- */

/* R at 40 °C = R 0.5^((40 - T)/10). [IEEE 43 as reprinted; tests_and_safety 8.2] */
static double at_40c(double ohm, double temperature_c)
{
    return ohm * pow(0.5, (40 - temperature_c) / 10);
}

static void apply_voltage(const cw_proof__work *work, cw_proof_test *test)
{
    char id[32];
    cw_limit_row row;
    const double voltage_v = work->coil_voltage_v;

    test->apply_unit = "V dc";
    test->apply_s = 60;
    if (isnan(voltage_v)) {
        CW_PROOF__SAY(test->how,
                      "The test voltage follows from the supply, which the job does not give: 500 V dc below 1000 V "
                      "(IEEE 43), for 1 min.");
        return;
    }
    if (cw_limit_id("ir-voltage-shop", voltage_v, id, sizeof id) == NULL &&
        cw_limit_id("ir-voltage", voltage_v, id, sizeof id) == NULL)
        return;
    if (cw_limit_find(id, voltage_v, &row, NULL) != CW_OK)
        return;
    test->apply = row.low;
    if (row.low == row.high)
        CW_PROOF__SAY(test->how, "%g V dc for 1 min (%s, %s).", row.low, row.standard, row.condition);
    else
        CW_PROOF__SAY(test->how, "%g to %g V dc for 1 min (%s, %s).", row.low, row.high, row.standard, row.condition);
}

/* Megohms of the table are ohms here. */
static void limit_insulation(const cw_proof__work *work, cw_proof_test *test)
{
    const cw_proof_request *request = work->request;
    const double voltage_v = work->coil_voltage_v, mega = 1e6;
    cw_proof_limit *as_read;

    if (request->service != CW_IN_SERVICE) {
        row_as_least(test, "ir-dc-armature", isnan(voltage_v) ? 0 : voltage_v, mega, CW_DECIDES);
        row_as_least(test, "ir-random-wound", isnan(voltage_v) ? 0 : voltage_v, mega, CW_ADVISES);
        row_as_least(test, "ir-new-potted", isnan(voltage_v) ? 0 : voltage_v, mega, CW_EXPECTED);
    }
    if (!isnan(voltage_v)) {
        as_read = row_as_least(test, "ir-per-volt", voltage_v, mega, CW_DECIDES);
        if (as_read != NULL)
            as_read->as_read = true;
        if (request->service == CW_IN_SERVICE)
            row_as_least(test, "ir-old", voltage_v, mega, CW_ADVISES);
    }
    as_read = row_as_least(test, "ir-machinery", isnan(voltage_v) ? 0 : voltage_v, mega, CW_ADVISES);
    if (as_read != NULL)
        as_read->as_read = true;
}

/* Ten minutes over one. Said, not judged: it means little on a small winding. */
static void say_polarisation(const cw_proof_request *request, const cw_proof_reading *reading, cw_proof_test *test)
{
    cw_limit_row row;
    const double class_c = cw_proof__system_class_c(request);
    double index;

    if (isnan(reading->value_2) || !(reading->value > 0) || isinf(reading->value))
        return;
    index = reading->value_2 / reading->value;
    if (reading->value > 5e9) {
        CW_PROOF__SAY(test->remark,
                      "Polarisation index %.2f: means nothing above 5000 Mohm (IEEE 43, value from memory).", index);
        return;
    }
    if (cw_limit_find(class_c <= 105 ? "pi-class-a" : "pi-class-b-f-h", NAN, &row, NULL) == CW_OK)
        CW_PROOF__SAY(test->remark, "Polarisation index %.2f, %s the %.1f of %s; it means little on a small winding.",
                      index, index < row.low ? "below" : "not below", row.low, row.condition);
}

static void read_insulation(const cw_proof__work *work, const cw_proof_reading *reading, cw_proof_test *test)
{
    test->reading = reading->value;
    if (isnan(reading->at_c)) {
        cw_proof__judge(test, at_40c(reading->value, 15), at_40c(reading->value, 25));
    } else {
        test->corrected_doubt = at_40c(reading->doubt, reading->at_c);
        cw_proof__judge(test, at_40c(reading->value, reading->at_c), at_40c(reading->value, reading->at_c));
        test->limit_at_reading_low = test->limit_low / at_40c(1, reading->at_c);
    }
    if (reading->voltage_v < test->apply)
        CW_PROOF__SAY(test->remark, "Taken at %g V dc; %g V dc is asked for.", reading->voltage_v, test->apply);
    if (!isnan(work->request->potting_class_c))
        CW_PROOF__SAY(test->remark, "Cast resin changes less with temperature than this correction assumes.");
    say_polarisation(work->request, reading, test);
}

cw_status cw_proof__insulation_resistance(cw_proof__work *work, cw_error *error)
{
    const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_INSULATION_RESISTANCE, -1);
    cw_proof_test *test = cw_proof__begin(work, CW_PROVE_INSULATION_RESISTANCE, reading != NULL ? reading->coil : 0);

    if (test == NULL)
        return cw_no_memory(error);
    test->reference_c = 40;
    apply_voltage(work, test);
    limit_insulation(work, test);
    if (reading == NULL)
        cw_proof__leave_open(test);
    else
        read_insulation(work, reading, test);
    return CW_OK;
}

/* ---- turns among themselves -------------------------------------------------------------------------------- */

static void apply_surge(const cw_proof__work *work, cw_proof_test *test)
{
    cw_limit_row row, share, shop;
    char id[32];
    const double voltage_v = work->coil_voltage_v;

    if (cw_limit_find("surge-new", voltage_v, &row, NULL) != CW_OK)
        return;
    if (work->request->service == CW_IN_SERVICE && cw_limit_find("surge-existing", voltage_v, &share, NULL) == CW_OK)
        row.low *= share.low;
    test->apply = row.low;
    test->apply_unit = "V peak";
    CW_PROOF__SAY(test->how, "Surge at %.0f V peak (%s; value from memory).", row.low, row.condition);
    if (cw_limit_id("surge-shop", voltage_v, id, sizeof id) != NULL &&
        cw_limit_find(id, voltage_v, &shop, NULL) == CW_OK)
        CW_PROOF__SAY(test->how, "A shop chart has %.0f V.", shop.low);
}

static void limit_turn_insulation(cw_proof_test *test)
{
    static const double shorted_cycles = 5, good_cycles = 10; /* [tests_and_safety 8.4, common practice] */
    cw_limit_row row;

    if (test->method == CW_BY_RING) {
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_PRACTICE, shorted_cycles, NAN,
                        "ring: below 5 cycles to a tenth a turn is shorted");
        cw_proof__limit(test, CW_ADVISES, CW_BASIS_PRACTICE, good_cycles, NAN,
                        "ring: a good coil has 10 and more; between 5 and 10 only a twin tells");
    } else if (test->method == CW_BY_SURGE && cw_limit_find("surge-area", NAN, &row, NULL) == CW_OK)
        cw_proof__limit(test, CW_ADVISES, row.trust, NAN, 0.01 * row.low, "%s", row.condition);
    else if (test->method == CW_BY_EYE)
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_PRACTICE, 1, NAN,
                        "traces of like coils lie on each other, or it rings as its twin does");
}

cw_status cw_proof__turn_insulation(cw_proof__work *work, cw_error *error)
{
    const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_TURN_INSULATION, -1);
    cw_proof_test *test = cw_proof__begin(work, CW_PROVE_TURN_INSULATION, reading != NULL ? reading->coil : 0);

    if (test == NULL)
        return cw_no_memory(error);
    apply_surge(work, test);
    limit_turn_insulation(test);
    if (reading == NULL) {
        cw_proof__leave_open(test);
        return CW_OK;
    }
    test->reading = reading->value;
    test->corrected_doubt = reading->doubt;
    cw_proof__judge(test, reading->value, reading->value);
    if (reading->broke_down) {
        test->verdict = CW_FAIL;
        CW_PROOF__SAY(test->remark,
                      "The trace jumped or fell as the voltage rose: the insulation between turns broke down.");
    }
    return CW_OK;
}

/* ---- high potential ---------------------------------------------------------------------------------------- */

static double coil_power_w(const cw_proof__work *work)
{
    const cw_winding *winding = work->request->winding;

    if (winding == NULL || !(winding->resistance_20c_ohm > 0))
        return NAN;
    return work->coil_voltage_v * work->coil_voltage_v / winding->resistance_20c_ohm;
}

static bool machine_row(const cw_proof__work *work, cw_limit_row *row)
{
    const double voltage_v = work->coil_voltage_v;
    const bool small = voltage_v < 100 && !(coil_power_w(work) >= 1000);
    const char *id = work->request->service == CW_IN_SERVICE ? (voltage_v < 100 ? "overhaul-low" : "overhaul-high")
                                                              : small ? "small-machine" : "machine";

    return cw_limit_find(id, voltage_v, row, NULL) == CW_OK;
}

/* New: the full level. Rewound: 80 % of it at most, and so that. In service, cleaned and dried: the standard's own
 * level. */
static void limit_as_machine(const cw_proof__work *work, cw_proof_test *test)
{
    cw_limit_row row, share;

    if (!machine_row(work, &row))
        return;
    if (work->request->service == CW_REWOUND &&
        cw_limit_find("after-rewind", work->coil_voltage_v, &share, NULL) == CW_OK)
        cw_proof__limit(test, CW_DECIDES, share.trust, share.low * row.low, NAN, "%s: %g %% of %s for a %s",
                        share.standard, 100 * share.low, row.standard, row.condition);
    else
        cw_proof__limit(test, CW_DECIDES, row.trust, row.low, NAN, "%s, %s", row.standard, row.condition);
    test->apply = test->limits[0].low;
    test->apply_s = row.duration_s;
}

static void limit_by_practice(const cw_proof__work *work, cw_proof_test *test)
{
    static const char *const kinds[CW_PRACTICE_COUNT] = { NULL, "hipot-control-gear", "hipot-machinery", NULL };
    const cw_proof_practice practice = work->request->practice;
    char buffer[32];
    const char *id = practice == CW_AS_APPLIANCE
                         ? (work->coil_voltage_v <= 50 ? "appliance-selv" : "appliance-basic")
                         : cw_limit_id(kinds[practice], work->coil_voltage_v, buffer, sizeof buffer);
    cw_limit_row row;

    if (id == NULL || cw_limit_find(id, work->coil_voltage_v, &row, NULL) != CW_OK)
        return;
    cw_proof__limit(test, CW_ADVISES, row.trust, row.low, NAN, "%s, %s", row.standard, row.condition);
    test->apply = row.low;
    test->apply_s = row.duration_s;
}

/* dc stands for 1.7 times its ac value by memory, which decides nothing. */
static void turn_to_dc(cw_proof_test *test)
{
    cw_limit_row row;

    if (cw_limit_find("dc", 0, &row, NULL) != CW_OK)
        return;
    test->unit = test->apply_unit = "V dc";
    test->apply *= row.low;
    for (size_t i = 0; i < test->limit_count; i++) {
        cw_proof_limit *limit = &test->limits[i];

        limit->low *= row.low;
        limit->role = CW_ADVISES;
        limit->trust = row.trust;
        CW_PROOF__SAY(limit->basis, "(dc: 1.7 times)");
    }
}

/* A voltage that was held says nothing about a higher one, and nothing against the coil. */
static void read_high_potential(const cw_proof_reading *reading, cw_proof_test *test)
{
    test->reading = reading->value;
    if (reading->broke_down) {
        cw_proof__judge(test, reading->value, reading->value);
        test->remark[0] = '\0';
        test->verdict = CW_FAIL;
        CW_PROOF__SAY(test->remark, "The insulation broke down at %.0f %s.", reading->value, test->unit);
        return;
    }
    cw_proof__judge(test, reading->value, reading->value);
    if (test->verdict == CW_FAIL) {
        test->verdict = CW_OPEN;
        CW_PROOF__SAY(test->remark,
                      "The test stopped below the level without a breakdown: it neither passed nor failed.");
    }
    if (reading->time_s < test->apply_s) {
        test->verdict = test->verdict == CW_PASS ? CW_OPEN : test->verdict;
        CW_PROOF__SAY(test->remark, "Held for %g s of %g s.", reading->time_s, test->apply_s);
    } else if (isnan(reading->time_s) && test->verdict == CW_PASS)
        CW_PROOF__SAY(test->remark, "Taken as held for %g s, since no time was noted.", test->apply_s);
    if (reading->value > 1.05 * test->apply)
        CW_PROOF__SAY(test->remark, "More than the %.0f %s asked for: it uses insulation up.", test->apply, test->unit);
}

cw_status cw_proof__high_potential(cw_proof__work *work, cw_error *error)
{
    const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_HIGH_POTENTIAL, -1);
    cw_proof_test *test = cw_proof__begin(work, CW_PROVE_HIGH_POTENTIAL, reading != NULL ? reading->coil : 0);
    const cw_proof_test *insulation = cw_proof__test(work->proof, CW_PROVE_INSULATION_RESISTANCE);

    if (test == NULL)
        return cw_no_memory(error);
    test->apply_unit = "V ac";
    if (!isnan(work->coil_voltage_v)) {
        if (work->request->practice == CW_AS_MACHINE)
            limit_as_machine(work, test);
        else
            limit_by_practice(work, test);
    }
    if (reading != NULL && reading->dc)
        turn_to_dc(test);
    if (!isnan(test->apply))
        CW_PROOF__SAY(test->how, "%.0f %s for %g s.", test->apply, test->apply_unit, test->apply_s);
    if (reading != NULL)
        read_high_potential(reading, test);
    else
        cw_proof__leave_open(test);
    if (insulation != NULL && insulation->verdict == CW_FAIL)
        CW_PROOF__SAY(test->remark,
                      "Withheld: insulation resistance has failed. Do not apply high potential to this coil.");
    return CW_OK;
}
