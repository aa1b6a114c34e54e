/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading as a person writes it: the unit tells how it was taken. */
#include "proof/proof_internal.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

typedef struct form {
    cw_proof_kind test;
    cw_kind kind;
    cw_proof_method method;
} form;

/* In the order in which they are tried; the error of the first one is shown where none fits. */
static const form forms[] = {
    { CW_PROVE_WINDING_RESISTANCE, CW_RESISTANCE, CW_BY_RESISTANCE },
    { CW_PROVE_COILS_MATCH, CW_RESISTANCE, CW_BY_RESISTANCE },
    { CW_PROVE_TURNS, CW_INDUCTANCE, CW_BY_INDUCTANCE },
    { CW_PROVE_TURNS, CW_FLUX_DENSITY, CW_BY_CENTRE_FIELD },
    { CW_PROVE_TURNS, CW_COUNT, CW_BY_COUNT },
    { CW_PROVE_TURNS, CW_RATIO, CW_BY_SIBLING },
    { CW_PROVE_POLARITY, CW_INDUCTANCE, CW_BY_AIDING },
    { CW_PROVE_EARTH_BOND, CW_RESISTANCE, CW_BY_RESISTANCE },
    { CW_PROVE_INSULATION_RESISTANCE, CW_RESISTANCE, CW_BY_RESISTANCE },
    { CW_PROVE_TURN_INSULATION, CW_COUNT, CW_BY_RING },
    { CW_PROVE_TURN_INSULATION, CW_RATIO, CW_BY_SURGE },
    { CW_PROVE_HIGH_POTENTIAL, CW_VOLTAGE, CW_BY_VOLTAGE },
    { CW_PROVE_HEAT_RUN, CW_RESISTANCE, CW_BY_RESISTANCE },
    { CW_PROVE_PULL, CW_FORCE, CW_BY_FORCE },
    { CW_PROVE_RELEASE, CW_TIME, CW_BY_TIME },
    { CW_PROVE_RELEASE, CW_RATIO, CW_BY_DROP_OUT },
};

bool cw_proof_method_of(cw_proof_kind test, cw_kind kind, cw_proof_method *method)
{
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++)
        if (forms[i].test == test && forms[i].kind == kind) {
            *method = forms[i].method;
            return true;
        }
    return false;
}

static bool is_word(const char *text, size_t length, const char *word)
{
    return strlen(word) == length && memcmp(text, word, length) == 0;
}

static bool judged_by_eye(cw_proof_kind test)
{
    return test == CW_PROVE_POLARITY || test == CW_PROVE_TURN_INSULATION || test == CW_PROVE_RELEASE;
}

/* "pass", "fail", "over-range". */
static bool parse_word(const char *text, size_t length, cw_proof_reading *reading)
{
    if (judged_by_eye(reading->test) && (is_word(text, length, "pass") || is_word(text, length, "fail"))) {
        reading->value = text[0] == 'p';
        reading->method = CW_BY_EYE;
        return true;
    }
    if ((reading->test == CW_PROVE_INSULATION_RESISTANCE || reading->test == CW_PROVE_WINDING_RESISTANCE) &&
        is_word(text, length, "over-range")) {
        reading->value = INFINITY;
        reading->method = CW_BY_RESISTANCE;
        return true;
    }
    return false;
}

static cw_status parse_form(const form *form, const char *text, size_t length, const cw_place *at,
                            cw_proof_reading *reading, cw_error *error)
{
    cw_quantity quantity;
    double at_c = NAN;
    const cw_status status = cw_quantity_parse_at(form->kind, text, length, at, &quantity, &at_c, error);

    if (status != CW_OK)
        return status;
    reading->value = quantity.value;
    reading->doubt = quantity.doubt_given ? quantity.doubt : 0;
    reading->method = form->method;
    if (!isnan(at_c))
        reading->at_c = at_c;
    return CW_OK;
}

cw_status cw_proof_reading_parse(const char *text, size_t length, const cw_place *at, cw_proof_reading *reading,
                                 cw_error *error)
{
    cw_status first = CW_BAD_INPUT;
    bool tried = false;

    while (length > 0 && (text[0] == ' ' || text[0] == '\t')) {
        text++;
        length--;
    }
    while (length > 0 && (text[length - 1] == ' ' || text[length - 1] == '\t'))
        length--;
    if (parse_word(text, length, reading))
        return CW_OK;
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
        cw_status status;

        if (forms[i].test != reading->test)
            continue;
        status = parse_form(&forms[i], text, length, at, reading, tried ? NULL : error);
        if (status == CW_OK)
            return CW_OK;
        if (!tried)
            first = status;
        tried = true;
    }
    return first;
}

/* The known name that is nearest to a word, or NULL where none is near. */
static const char *nearest(const char *word)
{
    const char *found = NULL;
    int least = 5;

    for (int i = 0; i < CW_PROVE_COUNT; i++) {
        const int distance = cw_word_distance(word, cw_proof_name((cw_proof_kind)i), least);

        if (distance < least) {
            least = distance;
            found = cw_proof_name((cw_proof_kind)i);
        }
    }
    return found;
}

static cw_status refuse_test(const char *test, const cw_place *at, cw_error *error)
{
    const char *known = nearest(test);

    return cw_refuse(error, at, known != NULL ? known : "winding-resistance, turns, insulation-resistance ...",
                     "There is no test '%.60s'.", test);
}

cw_status cw_proof_reading_make(const char *test, cw_kind kind, double value, double doubt, double at_c,
                                const cw_place *at, cw_proof_reading *reading, cw_error *error)
{
    cw_proof_kind found;

    if (!cw_proof_find(test, strlen(test), &found))
        return refuse_test(test, at, error);
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
        if (forms[i].test != found || forms[i].kind != kind)
            continue;
        cw_proof_reading_clear(reading);
        reading->test = found;
        reading->method = forms[i].method;
        reading->value = value;
        reading->doubt = doubt;
        reading->at_c = at_c;
        if (at != NULL)
            reading->at = *at;
        return CW_OK;
    }
    return cw_refuse(error, at, NULL, "The test %s does not read %s.", test, cw_kind_name(kind));
}
