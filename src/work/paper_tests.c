/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The acceptance tests on the sheet with the limits that hold for this coil, the verdict, and the coil's label. */
#include "work/papers_internal.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

/* ---- tests ------------------------------------------------------------------------------------------------------- */

/* "Winding resistance, coil 2" of "winding-resistance" */
static const char *test_title(const cw_proof_test *test, cw_work__notes *notes)
{
    char name[64];
    size_t i = 0;

    for (const char *c = cw_proof_name(test->test); *c != '\0' && i + 1 < sizeof name; c++)
        name[i++] = *c == '-' ? ' ' : *c;
    name[i] = '\0';
    name[0] = (char)toupper((unsigned char)name[0]);
    return test->coil > 0 ? cw_work__note(notes, "%s, coil %d", name, test->coil) : cw_work__note(notes, "%s", name);
}

static const char *take(cw_text *text, cw_work__notes *notes)
{
    const char *kept = cw_work__note(notes, "%s", text->data != NULL ? text->data : "");

    notes->failed = notes->failed || text->failed;
    cw_text_clear(text);
    return kept;
}

/* A number and its unit stay on one line: the blank between a digit and what is no digit holds. */
static const char *take_whole(cw_text *text, cw_work__notes *notes)
{
    cw_text held = { 0 };
    const char *kept;

    for (const char *c = text->data; c != NULL && *c != '\0'; c++)
        if (*c == ' ' && c > text->data && isdigit((unsigned char)c[-1]) && (unsigned char)c[1] > 'A' &&
            strncmp(c, " to ", 4) != 0 && strncmp(c, " at ", 4) != 0)
            cw_text_add(&held, "\xC2\xA0");
        else
            cw_text_add_bytes(&held, c, 1);
    notes->failed = notes->failed || text->failed;
    cw_text_clear(text);
    kept = take(&held, notes);
    return kept;
}

static bool has_limit(const cw_proof_test *test)
{
    return !isnan(test->limit_low) || !isnan(test->limit_high);
}

/* The limit that decides, at its own temperature; of a resistance without a reading also as the shop's meter shows it. */
static const char *limit_text(const cw_work *work, const cw_papers *p, const cw_proof_test *test, cw_work__notes *notes)
{
    const cw_unit_system units = work->job->units;
    cw_text text = { 0 };

    if (!has_limit(test))
        return "";
    cw_proof_range(test, units, test->limit_low, test->limit_high, &text);
    if (!isnan(test->reference_c))
        cw_text_print(&text, " at %s", cw_work__quantity(notes, CW_TEMPERATURE, test->reference_c, units, 3));
    if (!isnan(test->limit_at_reading_low) || !isnan(test->limit_at_reading_high)) {
        cw_text_add(&text, "; the meter should show ");
        cw_proof_range(test, units, test->limit_at_reading_low, test->limit_at_reading_high, &text);
    } else if (test->test == CW_PROVE_WINDING_RESISTANCE && p->winding != NULL) {
        cw_text_print(&text, "; %s to %s %s", p->limits[1].low, p->limits[1].high, p->limits[1].condition);
    }
    return take_whole(&text, notes);
}

static const char *reading_text(const cw_work *work, const cw_proof_test *test, cw_work__notes *notes)
{
    cw_text text = { 0 };

    if (isnan(test->reading))
        return NULL;
    cw_proof_value(test, work->job->units, test->reading, &text);
    if (!isnan(test->corrected) && test->corrected != test->reading && !isnan(test->reference_c)) {
        cw_text_add(&text, ", that is ");
        cw_proof_value(test, work->job->units, test->corrected, &text);
        cw_text_print(&text, " at %s", cw_work__quantity(notes, CW_TEMPERATURE, test->reference_c, work->job->units, 3));
    }
    return take_whole(&text, notes);
}

/* How, what not on, caution, the basis; of a failed test first what it hangs on and what may be wrong. */
static const char *how_text(const cw_proof_test *test, cw_work__notes *notes)
{
    cw_text text = { 0 };

    if (test->verdict == CW_FAIL) {
        cw_text_print(&text, "%s ", test->remark);
        for (size_t i = 0; i < test->cause_count && i < 2; i++)
            cw_text_print(&text, "Cause: %s; told by: %s ", test->causes[i].cause, test->causes[i].tells_apart);
    }
    cw_text_add(&text, test->how);
    if (test->not_on[0] != '\0')
        cw_text_print(&text, " Not on: %s", test->not_on);
    if (test->caution[0] != '\0')
        cw_text_print(&text, " Caution: %s", test->caution);
    if (test->basis[0] != '\0')
        cw_text_print(&text, " Limit: %s.", test->basis);
    return take(&text, notes);
}

static void take_verdict(const cw_proof *proof, cw_papers *p, cw_sheet_content *content)
{
    size_t passed = 0, failed = 0;

    for (size_t i = 0; i < proof->test_count; i++) {
        passed += proof->tests[i].verdict == CW_PASS;
        failed += proof->tests[i].verdict == CW_FAIL;
    }
    content->verdict = proof->verdict == CW_PASS   ? CW_SHEET_PASS
                       : proof->verdict == CW_FAIL ? CW_SHEET_FAIL
                                                   : CW_SHEET_OPEN;
    content->verdict_text = cw_work__note(&p->notes, "of %zu tests %zu passed, %zu failed, %zu open", proof->test_count,
                                          passed, failed, proof->test_count - passed - failed);
}

cw_status cw_papers__tests(cw_work *work, cw_papers *p, cw_sheet_content *content, cw_error *error)
{
    size_t usual_count;
    const cw_sheet_check *usual = cw_sheet_usual_checks(&usual_count);
    const cw_proof *proof;
    cw_status status = cw_work_prove(work, &proof, error);

    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    take_verdict(proof, p, content);
    p->checks = cw_allocate(proof->test_count + 1, sizeof *p->checks);
    if (p->checks == NULL)
        return cw_no_memory(error);
    p->checks[p->check_count++] = usual[0]; /* look it over */
    for (size_t i = 0; i < proof->test_count; i++) {
        const cw_proof_test *test = &proof->tests[i];

        p->checks[p->check_count++] = (cw_sheet_check){
            .what = test_title(test, &p->notes), .how = how_text(test, &p->notes),
            .limit = limit_text(work, p, test, &p->notes), .reading = reading_text(work, test, &p->notes),
            .verdict = test->verdict == CW_OPEN ? NULL : cw_verdict_name(test->verdict),
        };
    }
    content->checks = p->checks;
    content->check_count = p->check_count;
    return CW_OK;
}

/* ---- label ------------------------------------------------------------------------------------------------------- */

static void label_line(cw_papers *p, const char *label, const char *value)
{
    if (value != NULL && value[0] != '\0' && p->label_count < PAPER_LABEL)
        p->label[p->label_count++] = (cw_sheet_line){ label, value };
}

static const char *supply_text(const cw_job *job, cw_work__notes *notes)
{
    static const char *const kinds[] = {
        [CW_DC] = "dc", [CW_FULL_WAVE] = "full-wave", [CW_HALF_WAVE] = "half-wave", [CW_AC] = "ac",
    };
    const double share = job->supply.duty_share;

    if (!job->supply.given)
        return "";
    if (share > 0 && share < 1)
        return cw_work__note(notes, "%s %s, on %.0f %%",
                             cw_work__quantity(notes, CW_VOLTAGE, cw_work__coil_voltage(job), job->units, 3),
                             kinds[job->supply.kind], 100 * share);
    return cw_work__note(notes, "%s %s", cw_work__quantity(notes, CW_VOLTAGE, cw_work__coil_voltage(job), job->units, 3),
                         kinds[job->supply.kind]);
}

/* Half of what the finished coil's resistance may be off, over its aim. */
static double resistance_share(const cw_work *work, const cw_papers *p)
{
    const cw_choice *choice = work->choice;

    if (choice != NULL && isfinite(choice->tolerance))
        return choice->tolerance;
    return 0.5 * (p->winding->resistance_band_ohm.max - p->winding->resistance_band_ohm.min) /
           p->winding->resistance_20c_ohm;
}

/* The code says the same, the coil's name before it. */
void cw_papers__label(const cw_work *work, cw_papers *p, cw_sheet_content *content)
{
    const cw_job *job = work->job;
    cw_work__notes *notes = &p->notes;
    cw_text data = { 0 };

    if (p->winding == NULL)
        return;
    label_line(p, "machine", job->machine_name);
    label_line(p, "wire", cw_work__note(notes, "%s %s%s", content->wire, content->covering, p->option->in_hand > 1
                                        ? cw_work__note(notes, ", %d in hand", p->option->in_hand) : ""));
    label_line(p, "turns", cw_work__note(notes, "%ld", p->winding->turns));
    label_line(p, "at 20 °C", cw_work__note(notes, "%s ± %.2g %%", p->limits[0].aim,
                                            100 * resistance_share(work, p)));
    label_line(p, "supply", supply_text(job, notes));
    if (job->wanted.given && isfinite(job->wanted.thermal_class_c))
        label_line(p, "class", cw_work__note(notes, "%.0f", job->wanted.thermal_class_c));
    label_line(p, "rewound", content->date != NULL ? content->date : "____-__-__");
    cw_text_add(&data, content->title);
    for (size_t i = 0; i < p->label_count; i++)
        if (strchr(p->label[i].value, '_') == NULL)
            cw_text_print(&data, "\n%s: %s", p->label[i].label, p->label[i].value);
    content->label_data = take(&data, notes);
    content->label = p->label;
    content->label_count = p->label_count;
}
