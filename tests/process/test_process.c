/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Helpers that behave and helpers that do not, as shell scripts in a folder of their own. */
#include "coilwright/files.h"
#include "coilwright/process.h"

#include <errno.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static char folder[] = "coilwright-process-XXXXXX"; /* then entered */
static char here[4096];

static int enter(void **state)
{
    (void)state;
    if (mkdtemp(folder) == NULL || chdir(folder) != 0 || getcwd(here, sizeof here) == NULL || mkdir("rooms", 0700) != 0)
        return -1;
    return setenv(CW_HELPERS_VARIABLE, here, 1) == 0 && setenv("TMPDIR", "rooms", 1) == 0 ? 0 : -1;
}

static int leave(void **state)
{
    (void)state;
    if (rmdir("rooms") != 0) /* none of the helpers' folders may have stayed */
        return -1;
    unlink("helper");
    return chdir("..") == 0 && rmdir(folder) == 0 ? 0 : -1;
}

static void write_helper(const char *script)
{
    char text[2000];
    const int length = snprintf(text, sizeof text, "#!/bin/sh\n%s\n", script);

    assert_int_equal(cw_file_write("helper", text, (size_t)length, NULL), CW_OK);
    assert_int_equal(chmod("helper", 0700), 0);
}

/* Its rooms are relative to us, so it is told the whole path. */
static cw_process_request ask(const char *question)
{
    static char rooms[5000];

    snprintf(rooms, sizeof rooms, "%s/rooms", here);
    setenv("TMPDIR", rooms, 1);
    return (cw_process_request){ .helper = "helper", .question = question, .length = strlen(question), .seconds = 20,
                                 .answer_most = 1 << 20 };
}

/* Runs the script on "coil"; the error must hold the words, the status be that. */
static void fails(const char *script, cw_process_request request, cw_status expected, const char *words)
{
    char *answer;
    size_t length;
    cw_error error;

    write_helper(script);
    assert_int_equal(cw_process_run(&request, &answer, &length, &error), expected);
    assert_null(answer);
    if (strstr(error.text, words) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", error.text, words);
}

static double now(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void an_answer_comes_back_byte_for_byte(void **state)
{
    enum { LENGTH = 3000000 };
    char *question = malloc(LENGTH), *answer;
    cw_process_request request = ask("");
    size_t length;

    (void)state;
    for (size_t i = 0; i < LENGTH; i++)
        question[i] = (char)(i * 2654435761u >> 13);
    request.question = question;
    request.length = request.answer_most = LENGTH;
    write_helper("exec cat");
    assert_int_equal(cw_process_run(&request, &answer, &length, NULL), CW_OK);
    assert_int_equal(length, LENGTH);
    assert_memory_equal(answer, question, LENGTH);
    assert_int_equal(answer[LENGTH], 0);
    cw_free(answer);
    free(question);
}

static void two_work_beside_each_other(void **state)
{
    const cw_process_request request = ask("x");
    cw_process *first, *second;
    char *answer;
    size_t length;

    (void)state;
    write_helper("cat; echo \" from $$\"");
    assert_int_equal(cw_process_start(&request, &first, NULL), CW_OK);
    assert_int_equal(cw_process_start(&request, &second, NULL), CW_OK);
    for (int i = 0; i < 2; i++) {
        cw_process **one = i == 0 ? &second : &first;

        assert_int_equal(cw_process_finish(one, &answer, &length, NULL), CW_OK);
        assert_null(*one);
        assert_memory_equal(answer, "x from ", 7);
        cw_free(answer);
    }
}

static void a_helper_works_in_an_empty_folder_that_goes_with_it(void **state)
{
    const cw_process_request request = ask("");
    char *answer;
    size_t length;

    (void)state;
    write_helper("ls -A | wc -l; touch left behind; pwd");
    assert_int_equal(cw_process_run(&request, &answer, &length, NULL), CW_OK);
    assert_memory_equal(answer, "0\n/", 3);
    answer[length - 1] = '\0';
    assert_int_equal(access(answer + 2, F_OK), -1);
    cw_free(answer);
}

static void how_it_ended_becomes_a_sentence(void **state)
{
    (void)state;
    fails("echo 'The bore is too small.' >&2; echo more >&2; exit 2", ask("coil"), CW_BAD_INPUT, "The bore is too small.");
    fails("echo 'no kernel' >&2; exit 3", ask("coil"), CW_FAILED, "helper: no kernel");
    fails("exit 1", ask("coil"), CW_FAILED, "broke off");
    fails("kill -SEGV $$", ask("coil"), CW_FAILED, "broke off");
    fails("echo 'libsolid.so.4: cannot open shared object file' >&2; exit 127", ask("coil"), CW_FAILED,
          "cannot start: libsolid.so.4: cannot open shared object file. Install");
}

static void a_helper_that_is_not_there_is_named(void **state)
{
    cw_process_request request = ask("");
    cw_process *process;
    cw_error error;

    (void)state;
    request.helper = "coilwright-nothing";
    assert_int_equal(cw_process_start(&request, &process, &error), CW_FAILED);
    assert_null(process);
    assert_non_null(strstr(error.text, "coilwright-nothing is not there"));
}

static void limits_are_kept(void **state)
{
    static const char hungry[] = "(x=$(head -c 40000000 /dev/zero | tr '\\0' a); echo ${#x}) 2>/dev/null || exit 5";
    cw_process_request request = ask("coil");
    double begun;
    char *answer;
    size_t length;

    (void)state;
    request.seconds = 0.3;
    begun = now();
    fails("sleep 30", request, CW_FAILED, "took longer than 0.3 s");
    fails("exec >&- 2>&-; sleep 30", request, CW_FAILED, "took longer than 0.3 s");
    assert_true(now() - begun < 10);
    request.seconds = 20;
    request.answer_most = 1000;
    fails("yes", request, CW_FAILED, "more than 1000 bytes");
#ifndef __SANITIZE_ADDRESS__
    write_helper(hungry);
    assert_int_equal(cw_process_run(&request, &answer, &length, NULL), CW_OK);
    assert_string_equal(answer, "40000000\n");
    cw_free(answer);
    request.memory = 30 << 20;
    fails(hungry, request, CW_FAILED, "helper");
#endif
}

/* What a helper started and left must not live on; it says its number first. */
static void what_it_started_ends_with_it(void **state)
{
    const cw_process_request request = ask("");
    char *answer;
    size_t length;
    pid_t left;
    double begun = now();

    (void)state;
    write_helper("sleep 60 >/dev/null 2>&1 & echo $!");
    assert_int_equal(cw_process_run(&request, &answer, &length, NULL), CW_OK);
    left = (pid_t)atol(answer);
    assert_true(left > 1);
    while (kill(left, 0) == 0 && now() - begun < 10) { /* until whoever inherited it has reaped it */
        char path[64], state_line[200] = "";
        FILE *stat;

        snprintf(path, sizeof path, "/proc/%ld/stat", (long)left);
        stat = fopen(path, "r");
        if (stat == NULL || fgets(state_line, sizeof state_line, stat) == NULL || strstr(state_line, ") Z") != NULL) {
            if (stat != NULL)
                fclose(stat);
            break;
        }
        fclose(stat);
    }
    assert_true(now() - begun < 10);
    cw_free(answer);
}

static void nobody_has_to_read_the_question(void **state)
{
    enum { LENGTH = 3000000 };
    char *question = calloc(LENGTH, 1), *answer;
    cw_process_request request = ask("");
    size_t length;

    (void)state;
    request.question = question;
    request.length = LENGTH;
    write_helper("echo done");
    assert_int_equal(cw_process_run(&request, &answer, &length, NULL), CW_OK);
    assert_string_equal(answer, "done\n");
    cw_free(answer);
    free(question);
}

static void an_unwanted_helper_is_ended(void **state)
{
    const cw_process_request request = ask("");
    cw_process *process;
    const double begun = now();

    (void)state;
    write_helper("sleep 30");
    assert_int_equal(cw_process_start(&request, &process, NULL), CW_OK);
    cw_process_destroy(&process);
    assert_null(process);
    cw_process_destroy(&process);
    assert_true(now() - begun < 10);
}

static void every_failed_allocation_is_survived(void **state)
{
    const cw_process_request request = ask("coil");
    cw_status status = CW_NO_MEMORY;
    char *answer = NULL;
    size_t length;

    (void)state;
    write_helper("exec cat");
    for (long granted = 0; status != CW_OK; granted++) {
        cw_memory_fail_after(granted);
        status = cw_process_run(&request, &answer, &length, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || answer == NULL);
        assert_true(granted < 100);
    }
    assert_string_equal(answer, "coil");
    cw_free(answer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_answer_comes_back_byte_for_byte),
        cmocka_unit_test(two_work_beside_each_other),
        cmocka_unit_test(a_helper_works_in_an_empty_folder_that_goes_with_it),
        cmocka_unit_test(how_it_ended_becomes_a_sentence),
        cmocka_unit_test(a_helper_that_is_not_there_is_named),
        cmocka_unit_test(limits_are_kept),
        cmocka_unit_test(what_it_started_ends_with_it),
        cmocka_unit_test(nobody_has_to_read_the_question),
        cmocka_unit_test(an_unwanted_helper_is_ended),
        cmocka_unit_test(every_failed_allocation_is_survived),
    };

    return cmocka_run_group_tests(tests, enter, leave);
}
