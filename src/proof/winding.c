/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is it the winding that was meant: resistance, match, turns, polarity. */
#include "proof/proof_internal.h"

#include "coilwright/air.h"

#include <math.h>
#include <stdio.h>

static const double pi = 3.14159265358979323846;

/* A share from a row that is printed in percent. */
static double percent(const char *id, cw_limit_row *row)
{
    return cw_limit_find(id, NAN, row, NULL) == CW_OK ? 0.01 * row->low : NAN;
}

/* ---- resistance -------------------------------------------------------------------------------------------- */

static double factor_at(const cw_proof_request *request, double temperature_c)
{
    return 1 + cw_proof__alpha20(request) * (temperature_c - 20);
}

/* By the job where it asks for a value; else as wound, with the wire's own band where that is the wider. */
static void limit_resistance(const cw_proof_request *request, cw_proof_test *test)
{
    const cw_winding *winding = request->winding;
    cw_limit_row row;
    double share = percent("tolerance-repeat", &row);
    double low, high;

    if (!isnan(request->wanted_tolerance))
        share = request->wanted_tolerance;
    if (!isnan(request->wanted_resistance_ohm)) {
        low = request->wanted_resistance_ohm * (1 - share);
        high = request->wanted_resistance_ohm * (1 + share);
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_ASKED, low, high, "the job: %.4g ohm within %.3g %% at 20 °C",
                        request->wanted_resistance_ohm, 100 * share);
        return;
    }
    if (winding == NULL)
        return;
    low = winding->resistance_20c_ohm * (1 - share);
    high = winding->resistance_20c_ohm * (1 + share);
    if (isnan(request->wanted_tolerance) &&
        (winding->resistance_band_ohm.min < low || winding->resistance_band_ohm.max > high))
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_COMPUTED, fmin(low, winding->resistance_band_ohm.min),
                        fmax(high, winding->resistance_band_ohm.max),
                        "as wound, within the tolerance of the wire's standard, which is wider than %.3g %%",
                        100 * share);
    else
        cw_proof__limit(test, CW_DECIDES, isnan(request->wanted_tolerance) ? CW_BASIS_PRACTICE : CW_BASIS_ASKED, low,
                        high, "as wound within %.3g %%%s", 100 * share,
                        isnan(request->wanted_tolerance) ? ": repeat of the same design" : ", asked for in the job");
}

static void read_resistance(const cw_proof_request *request, const cw_proof_reading *reading, cw_proof_test *test)
{
    double factor;

    test->reading = reading->value;
    if (isnan(reading->at_c)) {
        cw_proof__judge(test, reading->value / factor_at(request, 25), reading->value / factor_at(request, 15));
        return;
    }
    factor = factor_at(request, reading->at_c);
    test->corrected_doubt = reading->doubt / factor;
    cw_proof__judge(test, reading->value / factor, reading->value / factor);
    test->limit_at_reading_low = test->limit_low * factor;
    test->limit_at_reading_high = test->limit_high * factor;
    if (isinf(reading->value))
        CW_PROOF__SAY(test->remark, "The meter shows over-range: the winding is open.");
}

static cw_status one_resistance(cw_proof__work *work, int coil, const cw_proof_reading *reading, cw_error *error)
{
    cw_proof_test *test = cw_proof__begin(work, CW_PROVE_WINDING_RESISTANCE, coil);

    if (test == NULL)
        return cw_no_memory(error);
    test->reference_c = 20;
    limit_resistance(work->request, test);
    if (reading == NULL)
        cw_proof__leave_open(test);
    else
        read_resistance(work->request, reading, test);
    return CW_OK;
}

/* A test for each coil that was read; one that is open where none was. */
cw_status cw_proof__winding_resistance(cw_proof__work *work, cw_error *error)
{
    cw_status status = CW_OK;
    bool any = false;

    for (int coil = 0; coil <= cw_proof__coils(work->request) && status == CW_OK; coil++) {
        const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_WINDING_RESISTANCE, coil);

        if (reading == NULL)
            continue;
        any = true;
        status = one_resistance(work, coil, reading, error);
    }
    return status != CW_OK || any ? status : one_resistance(work, 0, NULL, error);
}

/* ---- match ------------------------------------------------------------------------------------------------- */

/* Resistance of a coil at 20 °C by its own reading for the match, else by that of its resistance; NAN without. */
static double coil_at_20c(const cw_proof_request *request, int coil, double *at_c)
{
    const cw_proof_reading *reading = cw_proof__latest(request, CW_PROVE_COILS_MATCH, coil);

    if (reading == NULL)
        reading = cw_proof__latest(request, CW_PROVE_WINDING_RESISTANCE, coil);
    if (reading == NULL || isinf(reading->value))
        return NAN;
    *at_c = reading->at_c;
    return reading->value / factor_at(request, isnan(reading->at_c) ? 20 : reading->at_c);
}

/* Greatest distance of a coil from the mean of all, as a share. NAN with less than two coils.
 * mixed  receives whether some temperatures were noted and some not */
static double spread(const cw_proof_request *request, bool *mixed)
{
    double sum = 0, least = INFINITY, greatest = 0, mean;
    int count = 0, noted = 0;

    for (int coil = 1; coil <= cw_proof__coils(request); coil++) {
        double at_c = NAN;
        const double ohm = coil_at_20c(request, coil, &at_c);

        if (isnan(ohm))
            continue;
        sum += ohm;
        least = fmin(least, ohm);
        greatest = fmax(greatest, ohm);
        noted += !isnan(at_c);
        count++;
    }
    *mixed = noted != 0 && noted != count;
    mean = sum / count;
    return count < 2 || !(mean > 0) ? NAN : fmax(greatest - mean, mean - least) / mean;
}

cw_status cw_proof__coils_match(cw_proof__work *work, cw_error *error)
{
    cw_limit_row row;
    cw_proof_test *test;
    bool mixed;

    if (cw_proof__coils(work->request) < 2) {
        cw_proof__omit(work, CW_PROVE_COILS_MATCH, "The circuit has one coil.");
        return CW_OK;
    }
    test = cw_proof__begin(work, CW_PROVE_COILS_MATCH, 0);
    if (test == NULL)
        return cw_no_memory(error);
    test->reference_c = 20;
    cw_proof__limit(test, CW_DECIDES, CW_BASIS_WEB, NAN, percent("unbalance-random", &row),
                    "%s, unbalance between phases, random wound: greatest difference from the mean", row.standard);
    cw_proof__limit(test, CW_EXPECTED, CW_BASIS_WEB, NAN, percent("unbalance-form", &row),
                    "%s, unbalance between phases, form wound", row.standard);
    test->reading = spread(work->request, &mixed);
    if (isnan(test->reading))
        cw_proof__leave_open(test);
    else if (mixed) {
        cw_proof__leave_open(test);
        test->remark[0] = '\0';
        CW_PROOF__SAY(test->remark,
                      "Some coils were read with their temperature and some without: 5 K are 2 %%. Read all "
                      "again in one room.");
    } else
        cw_proof__judge(test, test->reading, test->reading);
    return CW_OK;
}

/* ---- turns ------------------------------------------------------------------------------------------------- */

/* The round coil whose turns are as long as this one's. */
static void equivalent_round(const cw_winding *winding, double *inner_m, double *outer_m, double *length_m)
{
    *inner_m = cw_window_turn_length(&winding->plan.window, 0) / (2 * pi);
    *outer_m = *inner_m + winding->depth_m;
    *length_m = winding->plan.window.length_m;
}

/* Inductance in air goes with the square of the turns, the field with the turns. A tenth of the inductance is common
 * practice for a sound coil, and so half of that for everything that goes with the turns. */
static void limit_turns(const cw_proof_request *request, const cw_proof_reading *reading, cw_proof_test *test)
{
    static const double inductance_share = 0.10, turns_share = 0.05, count_share = 0.01;
    const cw_winding *winding = request->winding;
    double inner, outer, length, wanted;

    if (test->method == CW_BY_SIBLING) {
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_PRACTICE, 1 - turns_share, 1 + turns_share,
                        "the sibling's reading within 5 %%: matched pairs");
        return;
    }
    if (winding == NULL)
        return;
    if (test->method == CW_BY_COUNT) {
        const double spare = fmax(1, count_share * (double)winding->turns);

        cw_proof__limit(test, CW_DECIDES, CW_BASIS_PRACTICE, (double)winding->turns - spare,
                        (double)winding->turns + spare, "%ld turns as laid, within 1 %%", winding->turns);
        return;
    }
    equivalent_round(winding, &inner, &outer, &length);
    if (test->method == CW_BY_CENTRE_FIELD) {
        wanted = cw_air_coil_centre_field_t(inner, outer, length, (double)winding->turns,
                                            reading != NULL ? reading->current_a : NAN);
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_PRACTICE, wanted * (1 - turns_share), wanted * (1 + turns_share),
                        "field computed in air within 5 %%: half of the share usual for the inductance");
        return;
    }
    wanted = cw_air_coil_inductance(inner, outer, length, (double)winding->turns);
    cw_proof__limit(test, CW_DECIDES, CW_BASIS_PRACTICE, wanted * (1 - inductance_share),
                    wanted * (1 + inductance_share), "inductance computed in air within 10 %%");
}

cw_status cw_proof__turns(cw_proof__work *work, cw_error *error)
{
    const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_TURNS, -1);
    cw_proof_test *test = cw_proof__begin(work, CW_PROVE_TURNS, reading != NULL ? reading->coil : 0);

    if (test == NULL)
        return cw_no_memory(error);
    limit_turns(work->request, reading, test);
    if (reading == NULL) {
        cw_proof__leave_open(test);
        return CW_OK;
    }
    test->reading = reading->value;
    test->corrected_doubt = reading->doubt;
    cw_proof__judge(test, reading->value, reading->value);
    return CW_OK;
}

/* ---- polarity ---------------------------------------------------------------------------------------------- */

cw_status cw_proof__polarity(cw_proof__work *work, cw_error *error)
{
    const cw_proof_reading *reading = cw_proof__latest(work->request, CW_PROVE_POLARITY, -1);
    cw_proof_test *test;

    if (cw_proof__coils(work->request) < 2 && reading == NULL) {
        cw_proof__omit(work, CW_PROVE_POLARITY, "One coil alone has no polarity to agree with.");
        return CW_OK;
    }
    test = cw_proof__begin(work, CW_PROVE_POLARITY, 0);
    if (test == NULL)
        return cw_no_memory(error);
    if (test->method == CW_BY_AIDING)
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_COMPUTED, 1, NAN,
                        "aiding less opposing is four times the mutual inductance: as joined over reversed above 1");
    else
        cw_proof__limit(test, CW_DECIDES, CW_BASIS_COMPUTED, 1, NAN, "poles as they must be, seen with a compass");
    if (reading == NULL) {
        cw_proof__leave_open(test);
        return CW_OK;
    }
    test->reading = test->method == CW_BY_AIDING ? reading->value / reading->value_2 : reading->value;
    test->corrected_doubt = test->method == CW_BY_AIDING ? 1.4 * reading->doubt / reading->value_2 : 0;
    cw_proof__judge(test, test->reading, test->reading);
    if (test->method == CW_BY_AIDING && test->reading == 1) {
        test->verdict = CW_OPEN;
        CW_PROOF__SAY(test->remark, "Both readings are alike, so that the coils do not see each other: use a compass.");
    }
    return CW_OK;
}
