/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory that runs out: the n-th allocation of a stage fails, for every n where a stage is quick and for a spread of them
 * where it is not. Each time the stage says that memory is short (or has managed without), nothing crashes, and under
 * the address sanitizer nothing leaks; asked again with memory at hand, a fresh job gives what it always gives.
 *
 * CW_EVERY_ALLOCATION=1 takes every n of every stage. */
#include "coilwright/files.h"
#include "coilwright/work.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

typedef cw_status stage(cw_work *work, cw_error *error);

static cw_status identify(cw_work *work, cw_error *error)
{
    const cw_identification *got;

    return cw_work_identify(work, &got, error);
}

static cw_status choose(cw_work *work, cw_error *error)
{
    const cw_choice *got;

    return cw_work_choose(work, &got, error);
}

static cw_status lay(cw_work *work, cw_error *error)
{
    const cw_winding *got;

    return cw_work_lay(work, &got, NULL, error);
}

static cw_status program(cw_work *work, cw_error *error)
{
    cw_text text = { 0 };
    cw_status status = cw_work_program(work, false, &text, NULL, error);

    cw_text_clear(&text);
    return status;
}

static cw_status field(cw_work *work, cw_error *error)
{
    const cw_work_field_study *got;

    return cw_work_field(work, &got, error);
}

static cw_status heat(cw_work *work, cw_error *error)
{
    const cw_work_heat_study *got;

    return cw_work_heat(work, &got, error);
}

static cw_status switching(cw_work *work, cw_error *error)
{
    const cw_work_switch_study *got;

    return cw_work_switch(work, cw_work_usual_suppressor(work), &got, error);
}

static cw_status prove(cw_work *work, cw_error *error)
{
    const cw_proof *got;

    return cw_work_prove(work, &got, error);
}

static cw_status sheet(cw_work *work, cw_error *error)
{
    cw_text pdf = { 0 };
    cw_status status = cw_work_sheet(work, CW_SHEET_A4, NULL, &pdf, error);

    cw_text_clear(&pdf);
    return status;
}

static cw_work *open_example(void)
{
    char path[512], *text = NULL;
    size_t length;
    cw_work *work = NULL;

    snprintf(path, sizeof path, "%s/examples/chuck-plate.yaml", getenv("CW_SOURCE_ROOT"));
    assert_int_equal(cw_file_read(path, 1 << 20, &text, &length, NULL), CW_OK);
    assert_int_equal(cw_work_open(text, length, "chuck-plate.yaml", &work, NULL), CW_OK);
    cw_free(text);
    return work;
}

/* Stages below `depth` are computed before with memory at hand, so that only the last one's own allocations fail. */
typedef struct trial {
    const char *name;
    stage *run;
    stage *before[3];
    long dense;  /* every n up to here; then each next one half as far again */
} trial;

static const trial trials[] = {
    { "identify", identify, { NULL }, 40 },
    { "choose", choose, { identify }, 40 },
    { "lay", lay, { identify, choose }, 40 },
    { "program", program, { identify, choose, lay }, 40 },
    { "field", field, { identify, choose, lay }, 3 },
    { "heat", heat, { identify, choose, lay }, 3 },
    { "switch", switching, { choose, lay, field }, 3 },
    { "prove", prove, { choose, lay, field }, 12 },
    { "sheet", sheet, { choose, lay, program }, 12 },
};

static void run_once(const trial *at, long granted, cw_status *status)
{
    cw_work *work = open_example();
    cw_error error = { .text = "" };

    for (int i = 0; i < 3 && at->before[i] != NULL; i++)
        assert_int_equal(at->before[i](work, &error), CW_OK);
    cw_memory_fail_after(granted);
    *status = at->run(work, &error);
    cw_memory_fail_after(-1);
    if (*status != CW_OK && *status != CW_NO_MEMORY)
        fail_msg("%s, allocation %ld: status %d, %s", at->name, granted, (int)*status, error.text);
    assert_true(*status == CW_OK || error.text[0] != '\0');
    cw_work_close(&work);
}

static void a_stage_without_memory_says_so_and_leaves_nothing(void **state)
{
    const trial *at = *state;
    const bool every = getenv("CW_EVERY_ALLOCATION") != NULL;
    cw_status status = CW_NO_MEMORY;
    long tried = 0, refused = 0;

    for (long n = 0; n < 10000000; n += every || n < at->dense ? 1 : 1 + n / 2) {
        run_once(at, n, &status);
        tried++;
        refused += status == CW_NO_MEMORY;
        if (status == CW_OK && (every ? n > 0 && refused < tried : n > 4 * at->dense))
            break;
    }
    assert_true(refused > 0);
    assert_int_equal(status, CW_OK);
}

int main(void)
{
    enum { COUNT = sizeof trials / sizeof trials[0] };
    static char names[COUNT][80];
    struct CMUnitTest tests[COUNT];

    for (size_t i = 0; i < COUNT; i++) {
        snprintf(names[i], sizeof names[i], "a_stage_without_memory_says_so_and_leaves_nothing: %s", trials[i].name);
        tests[i] = (struct CMUnitTest){ names[i], a_stage_without_memory_says_so_and_leaves_nothing, NULL, NULL,
                                        (void *)(uintptr_t)&trials[i] };
    }
    return _cmocka_run_group_tests("memory", tests, COUNT, NULL, NULL);
}
