/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The proof to read at the bench. */
#include "proof/proof_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TEXT_WIDTH = 96, INDENT = 4 };

/* A paragraph, broken at blanks. */
static void paragraph(cw_text *text, const char *label, const char *words)
{
    size_t column = INDENT + strlen(label) + 1;

    if (words[0] == '\0')
        return;
    cw_text_print(text, "%*s%s", INDENT, "", label);
    while (*words != '\0') {
        const size_t length = strcspn(words, " ");

        if (column > INDENT + 12 && column + length + 1 > TEXT_WIDTH) {
            cw_text_print(text, "\n%*s", INDENT + 4, "");
            column = INDENT + 4;
        } else {
            cw_text_add(text, " ");
            column++;
        }
        cw_text_add_bytes(text, words, length);
        column += length;
        words += length + strspn(words + length, " ");
    }
    cw_text_add(text, "\n");
}

static bool by_eye(const cw_proof_test *test)
{
    return test->method == CW_BY_EYE;
}

static const char *number(const cw_proof_test *test, cw_unit_system units, double value, char *buffer, size_t size)
{
    if (by_eye(test))
        snprintf(buffer, size, "%s", value > 0 ? "as it should be" : "not as it should be");
    else if (isfinite(value) && test->kind != CW_RATIO && test->kind != CW_COUNT)
        cw_quantity_format(test->kind, value, units, 4, buffer, size);
    else
        cw_proof__number(test, value, buffer, size);
    return buffer;
}

void cw_proof_range(const cw_proof_test *test, cw_unit_system units, double low, double high, cw_text *text)
{
    char a[48], b[48];

    number(test, units, low, a, sizeof a);
    number(test, units, high, b, sizeof b);
    if (by_eye(test))
        cw_text_add(text, a);
    else if (!isnan(low) && !isnan(high))
        cw_text_print(text, "%s to %s", a, b);
    else if (!isnan(low))
        cw_text_print(text, "not below %s", a);
    else if (!isnan(high))
        cw_text_print(text, "not above %s", b);
    else
        cw_text_add(text, "no limit");
}

void cw_proof_value(const cw_proof_test *test, cw_unit_system units, double value, cw_text *text)
{
    char buffer[48];

    cw_text_add(text, number(test, units, value, buffer, sizeof buffer));
}

static void write_limits(const cw_proof_test *test, cw_unit_system units, cw_text *text)
{
    for (size_t i = 0; i < test->limit_count; i++) {
        const cw_proof_limit *limit = &test->limits[i];
        cw_text line = { 0 };

        cw_proof_range(test, units, limit->low, limit->high, &line);
        if (!isnan(test->reference_c) && !limit->as_read)
            cw_text_print(&line, " at %g °C", test->reference_c);
        cw_text_print(&line, ": %s (%s%s)", limit->basis,
                      limit->role == CW_ADVISES ? "advises only, " : limit->role == CW_EXPECTED ? "expected, " : "",
                      cw_basis_trust_name(limit->trust));
        paragraph(text, "limit", line.data != NULL ? line.data : "");
        text->failed = text->failed || line.failed;
        cw_text_clear(&line);
    }
}

static void write_reading(const cw_proof_test *test, cw_unit_system units, cw_text *text)
{
    char buffer[48];

    if (isnan(test->reading)) {
        cw_text_print(text, "%*sreading ______________  at ________ °C\n", INDENT, "");
        return;
    }
    cw_text_print(text, "%*sreading %s", INDENT, "", number(test, units, test->reading, buffer, sizeof buffer));
    if (!isnan(test->corrected) && test->corrected != test->reading) {
        cw_text_print(text, ", corrected %s", number(test, units, test->corrected, buffer, sizeof buffer));
        if (!isnan(test->reference_c))
            cw_text_print(text, " at %g °C", test->reference_c);
    }
    if (!isnan(test->limit_at_reading_low) || !isnan(test->limit_at_reading_high)) {
        cw_text_add(text, "; the meter should show ");
        cw_proof_range(test, units, test->limit_at_reading_low, test->limit_at_reading_high, text);
    }
    cw_text_add(text, "\n");
}

static void write_test(const cw_proof_test *test, size_t place, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "%2zu. %s", place, cw_proof_name(test->test));
    if (test->coil > 0)
        cw_text_print(text, ", coil %d", test->coil);
    cw_text_print(text, ": %s\n", cw_verdict_name(test->verdict));
    write_limits(test, units, text);
    write_reading(test, units, text);
    paragraph(text, "->", test->remark);
    for (size_t i = 0; i < test->cause_count; i++) {
        paragraph(text, "cause:", test->causes[i].cause);
        paragraph(text, "  told by:", test->causes[i].tells_apart);
    }
    paragraph(text, "how:", test->how);
    paragraph(text, "not on:", test->not_on);
    paragraph(text, "caution:", test->caution);
    cw_text_add(text, "\n");
}

void cw_proof_write(const cw_proof *proof, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "Proof: %s\n\n", cw_verdict_name(proof->verdict));
    for (size_t i = 0; i < proof->test_count; i++)
        write_test(&proof->tests[i], i + 1, units, text);
    for (size_t i = 0; i < proof->omitted_count; i++)
        cw_text_print(text, "Not tested: %s. %s\n", cw_proof_name(proof->omitted[i].test), proof->omitted[i].reason);
}

/* ---- does it hold ---------------------------------------------------------------------------------------------- */

static void write_step(const cw_hold_step *step, cw_unit_system units, cw_text *text)
{
    const bool force = strcmp(step->unit, "N") == 0, moment = strcmp(step->unit, "N m") == 0;
    cw_text line = { 0 };
    char value[48];

    if (force || moment)
        cw_quantity_format(force ? CW_FORCE : CW_TORQUE, step->value, units, 4, value, sizeof value);
    else
        snprintf(value, sizeof value, "x %.3g", step->value);
    cw_text_print(&line, "%s: %s (%s; %s)", value, step->what, step->basis, cw_basis_trust_name(step->trust));
    paragraph(text, "", line.data != NULL ? line.data : "");
    text->failed = text->failed || line.failed;
    cw_text_clear(&line);
}

void cw_hold_write(const cw_hold *hold, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "The load: %s\n", hold->verdict == CW_PASS   ? "held"
                                         : hold->verdict == CW_FAIL ? "not held"
                                                                    : "open");
    for (size_t i = 0; i < hold->step_count; i++)
        write_step(&hold->steps[i], units, text);
    paragraph(text, "", hold->text);
}
