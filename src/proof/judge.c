/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Limits and verdicts: who decides, who only advises. The rules stand at the head of proof.h. */
#include "proof/proof_internal.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

void cw_proof__say(char *buffer, size_t size, const char *format, ...)
{
    size_t used = strlen(buffer);
    va_list arguments;
    int count;

    if (used > 0 && used + 1 < size) {
        buffer[used++] = ' ';
        buffer[used] = '\0';
    }
    va_start(arguments, format);
    count = vsnprintf(buffer + used, size - used, format, arguments);
    va_end(arguments);
    assert(count >= 0 && (size_t)count < size - used);
    (void)count;
}

cw_proof_limit *cw_proof__limit(cw_proof_test *test, cw_limit_role role, cw_basis_trust trust, double low, double high,
                                const char *format, ...)
{
    cw_proof_limit *limit = &test->limits[test->limit_count];
    va_list arguments;
    int count;

    assert(test->limit_count < CW_PROOF_LIMITS_MOST);
    assert(!(role == CW_DECIDES && trust == CW_BASIS_MEMORY));
    test->limit_count++;
    memset(limit, 0, sizeof *limit);
    limit->low = low;
    limit->high = high;
    limit->role = role;
    limit->trust = trust;
    va_start(arguments, format);
    count = vsnprintf(limit->basis, sizeof limit->basis, format, arguments);
    va_end(arguments);
    assert(count >= 0 && (size_t)count < sizeof limit->basis);
    (void)count;
    return limit;
}

const char *cw_proof__number(const cw_proof_test *test, double value, char *buffer, size_t size)
{
    if (isinf(value))
        snprintf(buffer, size, "over-range");
    else if (test->kind == CW_RATIO)
        snprintf(buffer, size, "%.2f %%", 100 * value);
    else if (test->kind == CW_COUNT)
        snprintf(buffer, size, "%.4g", value);
    else
        cw_quantity_format(test->kind, value, CW_METRIC_UNITS, 4, buffer, size);
    return buffer;
}

/* The limit a reader sees first: one that decides, else one that advises, else none. */
static const cw_proof_limit *leading(const cw_proof_test *test)
{
    for (int role = CW_DECIDES; role <= CW_ADVISES; role++)
        for (size_t i = 0; i < test->limit_count; i++)
            if ((int)test->limits[i].role == role)
                return &test->limits[i];
    return NULL;
}

static void show_leading(cw_proof_test *test)
{
    const cw_proof_limit *limit = leading(test);
    bool weak;

    if (limit == NULL)
        return;
    weak = limit->trust == CW_BASIS_PRACTICE || limit->trust == CW_BASIS_MEMORY;
    test->limit_low = limit->low;
    test->limit_high = limit->high;
    test->trust = limit->trust;
    snprintf(test->basis, sizeof test->basis, "%s%s%s", limit->basis, weak ? "; " : "",
             weak ? cw_basis_trust_name(limit->trust) : "");
}

static bool met(const cw_proof_limit *limit, double value)
{
    return !(value < limit->low) && !(value > limit->high);
}

/* The first limit of a role that is broken; NULL where all are met. */
static const cw_proof_limit *broken(const cw_proof_test *test, cw_limit_role role, double corrected)
{
    for (size_t i = 0; i < test->limit_count; i++) {
        const cw_proof_limit *limit = &test->limits[i];

        if (limit->role == role && !met(limit, limit->as_read ? test->reading : corrected))
            return limit;
    }
    return NULL;
}

static cw_verdict verdict_at(const cw_proof_test *test, double corrected)
{
    const cw_proof_limit *first = leading(test);

    if (broken(test, CW_DECIDES, corrected) != NULL)
        return CW_FAIL;
    if (broken(test, CW_ADVISES, corrected) != NULL || first == NULL || first->role != CW_DECIDES)
        return CW_OPEN;
    return CW_PASS;
}

static void say_limit(cw_proof_test *test, const cw_proof_limit *limit, const char *then)
{
    char low[48], high[48];
    const bool has_low = !isnan(limit->low), has_high = !isnan(limit->high);

    cw_proof__number(test, limit->low, low, sizeof low);
    cw_proof__number(test, limit->high, high, sizeof high);
    CW_PROOF__SAY(test->remark, "%s%s%s%s%s by %s%s%s.", has_low ? "Not below " : "", has_low ? low : "",
                  has_low && has_high ? ", " : "", has_high ? (has_low ? "not above " : "Not above ") : "",
                  has_high ? high : "", limit->basis, limit->trust == CW_BASIS_MEMORY ? " (value from memory)" : "",
                  then);
}

static void say_near_edge(cw_proof_test *test)
{
    for (size_t i = 0; i < test->limit_count; i++) {
        const cw_proof_limit *limit = &test->limits[i];
        const double doubt = test->corrected_doubt;

        if (limit->role == CW_DECIDES && doubt > 0 && met(limit, test->corrected) &&
            !(met(limit, test->corrected - doubt) && met(limit, test->corrected + doubt)))
            CW_PROOF__SAY(test->remark,
                          "The reading's own doubt reaches over the limit: take it again with a finer meter.");
    }
}

static void explain(cw_proof_test *test)
{
    const cw_proof_limit *limit = leading(test);

    if (test->verdict == CW_FAIL)
        say_limit(test, broken(test, CW_DECIDES, test->corrected), "");
    else if (test->verdict == CW_OPEN && (limit = broken(test, CW_ADVISES, test->corrected)) != NULL)
        say_limit(test, limit, ": look the standard up, or measure another way, before this coil goes out");
    else if (test->verdict == CW_OPEN && limit == NULL)
        CW_PROOF__SAY(test->remark, "Nothing that was handed in gives a limit for this reading.");
    else if (test->verdict == CW_OPEN)
        say_limit(test, limit, ", which is met, but a value from memory passes no coil: look it up");
    limit = broken(test, CW_EXPECTED, test->corrected);
    if (limit != NULL && test->verdict != CW_FAIL)
        say_limit(test, limit, ", as a sound new coil shows; find out why this one does not");
    if (test->verdict == CW_PASS)
        say_near_edge(test);
}

void cw_proof__judge(cw_proof_test *test, double corrected_low, double corrected_high)
{
    const cw_verdict verdict = verdict_at(test, corrected_low);

    show_leading(test);
    if (verdict != verdict_at(test, corrected_high)) {
        test->verdict = CW_OPEN;
        test->corrected = NAN;
        CW_PROOF__SAY(test->remark, "The temperature of the winding was not noted, and the verdict hangs on it: "
                      "let the coil stand in the room, then read both.");
        return;
    }
    test->corrected = corrected_low == corrected_high ? corrected_low : 0.5 * (corrected_low + corrected_high);
    test->verdict = verdict;
    if (corrected_low != corrected_high)
        CW_PROOF__SAY(test->remark, "Temperature not noted; the verdict holds from 15 to 25 °C.");
    explain(test);
}

void cw_proof__leave_open(cw_proof_test *test)
{
    show_leading(test);
    test->verdict = CW_OPEN;
    CW_PROOF__SAY(test->remark, "No reading yet.");
}
