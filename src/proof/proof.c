/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All tests of a coil in the order in which they are done, and the verdict of the whole. */
#include "proof/proof_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void cw_proof_request_clear(cw_proof_request *request)
{
    memset(request, 0, sizeof *request);
    request->thermal_class_c = request->potting_class_c = NAN;
    request->wanted_resistance_ohm = request->wanted_tolerance = NAN;
    request->hot_spot_allowance_k = NAN;
    request->pull_n = request->pull_doubt = request->pull_needed_n = NAN;
    request->pull_gap_m = request->pull_plate_m = NAN;
    request->release_needed_s = request->stored_energy_j = NAN;
}

void cw_proof_reading_clear(cw_proof_reading *reading)
{
    memset(reading, 0, sizeof *reading);
    reading->value = reading->value_2 = reading->at_c = NAN;
    reading->current_a = reading->voltage_v = reading->time_s = NAN;
    reading->ambient_c = reading->gap_m = NAN;
}

int cw_proof__coils(const cw_proof_request *request)
{
    return request->circuit.given && request->circuit.coils > 0 ? request->circuit.coils : 1;
}

double cw_proof__alpha20(const cw_proof_request *request)
{
    return request->conductor != NULL ? request->conductor->temperature_coefficient_20c_per_k
                                      : 0.00393; /* copper, IEC 60028 */
}

/* The system is as good as its weakest part (common practice). */
double cw_proof__system_class_c(const cw_proof_request *request)
{
    return fmin(request->thermal_class_c, request->potting_class_c); /* fmin drops NAN */
}

const cw_proof_reading *cw_proof__latest(const cw_proof_request *request, cw_proof_kind kind, int coil)
{
    const cw_proof_reading *latest = NULL;

    for (size_t i = 0; i < request->reading_count; i++)
        if (request->readings[i].test == kind && (coil < 0 || request->readings[i].coil == coil))
            latest = &request->readings[i];
    return latest;
}

const cw_proof_test *cw_proof__test(const cw_proof *proof, cw_proof_kind kind)
{
    for (size_t i = 0; i < proof->test_count; i++)
        if (proof->tests[i].test == kind)
            return &proof->tests[i];
    return NULL;
}

cw_proof_method cw_proof__method(const cw_proof_reading *reading, cw_proof_kind kind)
{
    static const cw_proof_method usual[CW_PROVE_COUNT] = {
        [CW_PROVE_WINDING_RESISTANCE] = CW_BY_RESISTANCE,
        [CW_PROVE_COILS_MATCH] = CW_BY_RESISTANCE,
        [CW_PROVE_TURNS] = CW_BY_INDUCTANCE,
        [CW_PROVE_POLARITY] = CW_BY_EYE,
        [CW_PROVE_EARTH_BOND] = CW_BY_RESISTANCE,
        [CW_PROVE_INSULATION_RESISTANCE] = CW_BY_RESISTANCE,
        [CW_PROVE_TURN_INSULATION] = CW_BY_RING,
        [CW_PROVE_HIGH_POTENTIAL] = CW_BY_VOLTAGE,
        [CW_PROVE_HEAT_RUN] = CW_BY_RESISTANCE,
        [CW_PROVE_PULL] = CW_BY_FORCE,
        [CW_PROVE_RELEASE] = CW_BY_EYE,
    };

    return reading != NULL && reading->method != CW_BY_USUAL ? reading->method : usual[kind];
}

/* How the numbers of a method are written. */
static void set_unit(cw_proof_test *test)
{
    static const struct { cw_kind kind; const char *unit; } units[CW_PROOF_METHOD_COUNT] = {
        [CW_BY_USUAL] = { CW_COUNT, "1" },
        [CW_BY_RESISTANCE] = { CW_RESISTANCE, "ohm" },
        [CW_BY_INDUCTANCE] = { CW_INDUCTANCE, "H" },
        [CW_BY_CENTRE_FIELD] = { CW_FLUX_DENSITY, "T" },
        [CW_BY_SIBLING] = { CW_COUNT, "1" },
        [CW_BY_COUNT] = { CW_COUNT, "1" },
        [CW_BY_EYE] = { CW_COUNT, "1" },
        [CW_BY_AIDING] = { CW_COUNT, "1" },
        [CW_BY_VOLTAGE] = { CW_VOLTAGE, "V ac" },
        [CW_BY_RING] = { CW_COUNT, "1" },
        [CW_BY_SURGE] = { CW_RATIO, "1" },
        [CW_BY_FORCE] = { CW_FORCE, "N" },
        [CW_BY_TIME] = { CW_TIME, "s" },
        [CW_BY_DROP_OUT] = { CW_RATIO, "1" },
    };

    test->kind = units[test->method].kind;
    test->unit = units[test->method].unit;
    if (test->test == CW_PROVE_COILS_MATCH) {
        test->kind = CW_RATIO;
        test->unit = "1";
    } else if (test->test == CW_PROVE_HEAT_RUN) {
        test->kind = CW_TEMPERATURE_DIFFERENCE;
        test->unit = "K";
    }
}

cw_proof_test *cw_proof__begin(cw_proof__work *work, cw_proof_kind kind, int coil)
{
    cw_proof *proof = work->proof;
    cw_proof_test *test;

    if (proof->test_count == work->capacity) {
        const size_t capacity = work->capacity == 0 ? 16 : 2 * work->capacity;
        cw_proof_test *tests = cw_reallocate(proof->tests, capacity, sizeof *tests);

        if (tests == NULL)
            return NULL;
        proof->tests = tests;
        work->capacity = capacity;
    }
    test = &proof->tests[proof->test_count++];
    memset(test, 0, sizeof *test);
    test->test = kind;
    test->coil = coil;
    test->method = cw_proof__method(cw_proof__latest(work->request, kind, coil > 0 ? coil : -1), kind);
    set_unit(test);
    test->reference_c = test->limit_low = test->limit_high = NAN;
    test->limit_at_reading_low = test->limit_at_reading_high = NAN;
    test->apply = test->apply_s = test->reading = test->corrected = NAN;
    test->apply_unit = "";
    test->trust = CW_BASIS_MEMORY;
    cw_proof__words(test);
    return test;
}

void cw_proof__omit(cw_proof__work *work, cw_proof_kind kind, const char *reason)
{
    cw_proof_omitted *omitted = &work->proof->omitted[work->proof->omitted_count++];

    omitted->test = kind;
    snprintf(omitted->reason, sizeof omitted->reason, "%s", reason);
}

/* ---- what was handed in ------------------------------------------------------------------------------------ */

static cw_status check_value(const cw_proof_reading *reading, cw_error *error)
{
    const char *name = cw_proof_name(reading->test);
    const cw_proof_method method = cw_proof__method(reading, reading->test);
    const bool may_be_endless = reading->test == CW_PROVE_INSULATION_RESISTANCE ||
                                reading->test == CW_PROVE_WINDING_RESISTANCE;

    if (isnan(reading->value) || reading->value < 0)
        return cw_refuse(error, &reading->at, "a number of zero or more",
                         "The reading of %s is %g, which no meter shows.", name, reading->value);
    if (isinf(reading->value) && !may_be_endless)
        return cw_refuse(error, &reading->at, NULL,
                         "The reading of %s is over-range: choose a wider range and read again.", name);
    if (method == CW_BY_EYE && reading->value != 0 && reading->value != 1)
        return cw_refuse(error, &reading->at, "pass or fail",
                         "The test %s is judged by eye here, and its reading is %g.", name, reading->value);
    if (method == CW_BY_AIDING && !(reading->value_2 > 0))
        return cw_refuse(error, &reading->at, NULL, "The test %s by inductance needs a second reading, with one of the "
                         "coils reversed.", name);
    if (method == CW_BY_CENTRE_FIELD && !(reading->current_a > 0))
        return cw_refuse(error, &reading->at, NULL, "The test %s by its field needs the current that was in the coil.",
                         name);
    if (reading->at_c < -50 || reading->at_c > 300 || reading->ambient_c < -50 || reading->ambient_c > 100)
        return cw_refuse(error, &reading->at, "the temperature in °C, as in 21 °C",
                         "The temperature of the reading of %s is not one of a workshop.", name);
    return CW_OK;
}

static bool method_fits(const cw_proof_reading *reading)
{
    static const unsigned fits[CW_PROVE_COUNT] = {
        [CW_PROVE_WINDING_RESISTANCE] = 1u << CW_BY_RESISTANCE,
        [CW_PROVE_COILS_MATCH] = 1u << CW_BY_RESISTANCE,
        [CW_PROVE_TURNS] = 1u << CW_BY_INDUCTANCE | 1u << CW_BY_CENTRE_FIELD | 1u << CW_BY_SIBLING | 1u << CW_BY_COUNT,
        [CW_PROVE_POLARITY] = 1u << CW_BY_EYE | 1u << CW_BY_AIDING,
        [CW_PROVE_EARTH_BOND] = 1u << CW_BY_RESISTANCE,
        [CW_PROVE_INSULATION_RESISTANCE] = 1u << CW_BY_RESISTANCE,
        [CW_PROVE_TURN_INSULATION] = 1u << CW_BY_RING | 1u << CW_BY_SURGE | 1u << CW_BY_EYE,
        [CW_PROVE_HIGH_POTENTIAL] = 1u << CW_BY_VOLTAGE,
        [CW_PROVE_HEAT_RUN] = 1u << CW_BY_RESISTANCE,
        [CW_PROVE_PULL] = 1u << CW_BY_FORCE,
        [CW_PROVE_RELEASE] = 1u << CW_BY_EYE | 1u << CW_BY_TIME | 1u << CW_BY_DROP_OUT,
    };

    return (fits[reading->test] >> cw_proof__method(reading, reading->test) & 1u) != 0;
}

static cw_status check_reading(const cw_proof_request *request, const cw_proof_reading *reading, cw_error *error)
{
    if (reading->test < 0 || reading->test >= CW_PROVE_COUNT)
        return cw_refuse(error, &reading->at, NULL, "There is no test number %d.", (int)reading->test);
    if (!method_fits(reading))
        return cw_refuse(error, &reading->at, NULL, "The test %s cannot be judged by such a reading.",
                         cw_proof_name(reading->test));
    if (reading->coil < 0 || reading->coil > cw_proof__coils(request))
        return cw_refuse(error, &reading->at, NULL, "The reading of %s is of coil %d, and the circuit has %d.",
                         cw_proof_name(reading->test), reading->coil, cw_proof__coils(request));
    return check_value(reading, error);
}

static cw_status check_request(const cw_proof_request *request, cw_error *error)
{
    cw_status status = CW_OK;

    if (request->circuit.given && (request->circuit.coils < 0 || request->circuit.coils > 1000))
        return cw_refuse(error, NULL, NULL, "A circuit of %d coils is none that can be proved.",
                         request->circuit.coils);
    if (request->supply.given && !(request->supply.voltage_v > 0 && request->supply.voltage_v <= 24000))
        return cw_refuse(error, NULL, "a voltage, as in 96 V",
                         "The supply's voltage is %g V, for which there are no limits.", request->supply.voltage_v);
    if (request->thermal_class_c < 80 || request->thermal_class_c > 300)
        return cw_refuse(error, NULL, "105, 130, 155, 180, 200 or 220", "A thermal class of %g is none.",
                         request->thermal_class_c);
    if (request->wanted_resistance_ohm <= 0 || request->wanted_tolerance <= 0 || request->wanted_tolerance >= 1)
        return cw_refuse(error, NULL, "86 ohm ± 5 %",
                         "The resistance that the job asks for, %g ohm within %g %%, cannot be "
                         "proved.",
                         request->wanted_resistance_ohm, 100 * request->wanted_tolerance);
    for (size_t i = 0; i < request->reading_count && status == CW_OK; i++)
        status = check_reading(request, &request->readings[i], error);
    return status;
}

/* ---- the whole --------------------------------------------------------------------------------------------- */

static cw_verdict whole(const cw_proof *proof)
{
    cw_verdict verdict = CW_PASS;

    for (size_t i = 0; i < proof->test_count; i++) {
        if (proof->tests[i].verdict == CW_FAIL)
            return CW_FAIL;
        if (proof->tests[i].verdict == CW_OPEN)
            verdict = CW_OPEN;
    }
    return proof->test_count == 0 ? CW_OPEN : verdict;
}

static cw_status all_tests(cw_proof__work *work, cw_error *error)
{
    static cw_status (*const tests[CW_PROVE_COUNT])(cw_proof__work *, cw_error *) = {
        [CW_PROVE_WINDING_RESISTANCE] = cw_proof__winding_resistance,
        [CW_PROVE_COILS_MATCH] = cw_proof__coils_match,
        [CW_PROVE_TURNS] = cw_proof__turns,
        [CW_PROVE_POLARITY] = cw_proof__polarity,
        [CW_PROVE_EARTH_BOND] = cw_proof__earth_bond,
        [CW_PROVE_INSULATION_RESISTANCE] = cw_proof__insulation_resistance,
        [CW_PROVE_TURN_INSULATION] = cw_proof__turn_insulation,
        [CW_PROVE_HIGH_POTENTIAL] = cw_proof__high_potential,
        [CW_PROVE_HEAT_RUN] = cw_proof__heat_run,
        [CW_PROVE_PULL] = cw_proof__pull,
        [CW_PROVE_RELEASE] = cw_proof__release,
    };
    cw_status status = CW_OK;

    for (int kind = 0; kind < CW_PROVE_COUNT && status == CW_OK; kind++) {
        if (work->request->left_out >> kind & 1u)
            cw_proof__omit(work, (cw_proof_kind)kind, "Left out by the job.");
        else
            status = tests[kind](work, error);
    }
    return status;
}

cw_status cw_prove(const cw_proof_request *request, cw_proof **proof, cw_error *error)
{
    cw_proof__work work = { .request = request,
                            .coil_voltage_v = request->supply.given ? request->supply.voltage_v : NAN };
    cw_status status;

    *proof = NULL;
    status = check_request(request, error);
    if (status != CW_OK)
        return status;
    work.proof = cw_allocate(1, sizeof *work.proof);
    if (work.proof == NULL)
        return cw_no_memory(error);
    status = all_tests(&work, error);
    if (status != CW_OK) {
        cw_proof_destroy(&work.proof);
        return status;
    }
    cw_proof__find_causes(&work);
    work.proof->verdict = whole(work.proof);
    *proof = work.proof;
    return CW_OK;
}

void cw_proof_destroy(cw_proof **proof)
{
    if (*proof != NULL)
        cw_free((*proof)->tests);
    cw_free(*proof);
    *proof = NULL;
}
