/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Programs that were edited, and what replay says of them, with the line. */
#include "coilwright/nc.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "tests/nc/coil.h"

static const cw_code codes[] = { CW_G33_K, CW_G32_F, CW_G33_F, CW_G95, CW_G99, CW_ROTARY_A };
enum { CODES = sizeof codes / sizeof codes[0] };

typedef struct bench {
    cw_winding *winding;
    cw_machine machine;
    cw_text program;
} bench;

/* Seven layers of 0.32 mm wire between flanges 20 mm apart. */
static void set_up(bench *at, cw_code code)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_program_request request = { 0 };
    cw_error error;

    memset(at, 0, sizeof *at);
    at->winding = coil_lay(&plan);
    at->machine = coil_machine(code);
    request.winding = at->winding;
    request.machine = &at->machine;
    if (cw_program_write(&request, &at->program, &error) != CW_OK)
        fail_msg("%s", error.text);
}

static void take_down(bench *at)
{
    cw_text_clear(&at->program);
    cw_winding_destroy(&at->winding);
}

static cw_replay *judge(const bench *at, const cw_text *program)
{
    cw_replay_request request = { .machine = &at->machine, .winding = at->winding };
    cw_replay *replay = NULL;

    assert_int_equal(cw_replay_text(&request, program->data, program->length, &replay, NULL), CW_OK);
    return replay;
}

/* The n-th line that begins a traverse; its number from 1, and where it stands. */
static int traverse_line(const cw_text *program, int wanted, const char **start)
{
    int line = 1, seen = 0;

    for (const char *at = program->data; *at != '\0'; at = strchr(at, '\n') + 1, line++) {
        bool traverse = strncmp(at, "G33 ", 4) == 0 || strncmp(at, "G32 ", 4) == 0 || strncmp(at, "G1 Z", 4) == 0 ||
                        (strncmp(at, "G1 A", 4) == 0 && memchr(at, 'X', (size_t)(strchr(at, '\n') - at)) != NULL);

        if (traverse && ++seen == wanted) {
            *start = at;
            return line;
        }
    }
    fail_msg("no traverse %d", wanted);
    return 0;
}

/* The program with the text from `start` to the end of its line replaced; "" drops the line. */
static void edit(const cw_text *program, const char *start, const char *words, cw_text *edited)
{
    const char *end = strchr(start, '\n');

    cw_text_add_bytes(edited, program->data, (size_t)(start - program->data));
    cw_text_add(edited, words);
    cw_text_add(edited, words[0] != '\0' ? "\n" : "");
    cw_text_add(edited, end + 1);
}

static bool says(const cw_errors *remarks, int line, const char *part)
{
    for (size_t i = 0; i < remarks->count; i++)
        if (remarks->items[i].line == line && strstr(remarks->items[i].text, part) != NULL)
            return true;
    return false;
}

/* The number behind the last letter of that kind on a line. */
static double word_value(const char *line, char letter)
{
    const char *end = strchr(line, '\n'), *at = end;

    while (at > line && *at != letter)
        at--;
    return strtod(at + 1, NULL);
}

static void unedited_programs_pass(void **state)
{
    (void)state;
    for (size_t i = 0; i < CODES; i++) {
        cw_replay *replay;
        bench at;

        set_up(&at, codes[i]);
        replay = judge(&at, &at.program);
        assert_true(replay->ok);
        assert_int_equal(replay->warnings.count, 0);
        assert_true(replay->turns == 400);
        assert_true(replay->position_error_most_m <= 20e-6);
        assert_int_equal(replay->layer_count, at.winding->layer_count);
        cw_replay_destroy(&replay);
        take_down(&at);
    }
}

/* The job's own words: a program edited by hand with one wrong pitch is caught with the line number. */
static void one_wrong_pitch_is_named_with_its_line(void **state)
{
    (void)state;
    for (size_t i = 0; i < CODES; i++) {
        cw_text edited = { 0 };
        const char *start;
        char words[80], letter = codes[i] == CW_G33_K ? 'K' : 'F';
        cw_replay *replay;
        bench at;
        int line;

        set_up(&at, codes[i]);
        line = traverse_line(&at.program, codes[i] >= CW_G95 ? 8 : 3, &start); /* three blocks a layer */
        if (codes[i] == CW_ROTARY_A) /* its pitch is the step over the angle */
            snprintf(words, sizeof words, "G1 A%.3f X%.3f F1.", word_value(start, 'A'), word_value(start, 'X') * 0.97);
        else
            snprintf(words, sizeof words, "G%d Z%.3f %c0.3200", codes[i] == CW_G32_F ? 32 : codes[i] >= CW_G95 ? 1 : 33,
                     word_value(start, 'Z'), letter);
        edit(&at.program, start, words, &edited);
        replay = judge(&at, &edited);
        assert_false(replay->ok);
        assert_true(says(&replay->errors, line, "Layer 3 is wound at 0.3"));
        cw_replay_destroy(&replay);
        cw_text_clear(&edited);
        take_down(&at);
    }
}

static void sentence_says_both_pitches(void **state)
{
    char expected[200];
    cw_text edited = { 0 };
    const char *start;
    cw_replay *replay;
    bench at;
    int line;

    (void)state;
    set_up(&at, CW_G33_K);
    line = traverse_line(&at.program, 3, &start);
    edit(&at.program, start, "G33 Z19.840 K0.3000", &edited);
    replay = judge(&at, &edited);
    snprintf(expected, sizeof expected,
             "Layer 3 is wound at 0.3000 mm a turn; the winding wants %.4f mm: the turns climb.",
             at.winding->layers[2].pitch_m * 1e3);
    assert_true(replay->errors.count > 0);
    assert_int_equal(replay->errors.items[0].line, line);
    assert_string_equal(replay->errors.items[0].text, expected);
    cw_replay_destroy(&replay);
    cw_text_clear(&edited);
    take_down(&at);
}

/* The least step of the pitch word that moves a turn by more than 0.02 mm. */
static void small_error_of_pitch_is_caught_where_it_adds_up(void **state)
{
    cw_text edited = { 0 };
    const char *start;
    char words[80];
    cw_replay *replay;
    bench at;
    int line;

    (void)state;
    set_up(&at, CW_G33_K);
    line = traverse_line(&at.program, 2, &start);
    snprintf(words, sizeof words, "G33 Z%.3f K%.4f", word_value(start, 'Z'), word_value(start, 'K') + 0.0005);
    edit(&at.program, start, words, &edited);
    replay = judge(&at, &edited);
    assert_true(says(&replay->errors, line, "Layer 2 is wound at"));
    cw_replay_destroy(&replay);
    cw_text_clear(&edited);
    take_down(&at);
}

static void traverse_that_ends_early_is_caught(void **state)
{
    cw_text edited = { 0 };
    const char *start;
    char words[80];
    cw_replay *replay;
    bench at;
    int line;

    (void)state;
    set_up(&at, CW_G33_K);
    line = traverse_line(&at.program, 2, &start);
    snprintf(words, sizeof words, "G33 Z%.3f K%.4f", word_value(start, 'Z') + 1, word_value(start, 'K'));
    edit(&at.program, start, words, &edited);
    replay = judge(&at, &edited);
    assert_false(replay->ok);
    assert_true(says(&replay->errors, line, "Layer 2 holds"));
    cw_replay_destroy(&replay);
    cw_text_clear(&edited);
    take_down(&at);
}

static void traverse_into_the_flange_is_caught(void **state)
{
    (void)state;
    for (size_t i = 0; i < CW_NO_CODE - 1; i++) {
        cw_text edited = { 0 };
        const char *start;
        char words[80];
        cw_replay *replay;
        bench at;
        int line;

        set_up(&at, codes[i]);
        line = traverse_line(&at.program, 1, &start);
        snprintf(words, sizeof words, "%.*s Z22.500 %c%.4f", codes[i] >= CW_G95 ? 2 : 3, start,
                 codes[i] == CW_G33_K ? 'K' : 'F', word_value(start, codes[i] == CW_G33_K ? 'K' : 'F'));
        edit(&at.program, start, words, &edited);
        replay = judge(&at, &edited);
        assert_true(says(&replay->errors, line, "The guide runs 2.500 mm past the far flange"));
        cw_replay_destroy(&replay);
        cw_text_clear(&edited);
        take_down(&at);
    }
}

static void missing_layers_are_counted(void **state)
{
    cw_text edited = { 0 };
    const char *start;
    cw_replay *replay;
    bench at;

    (void)state;
    set_up(&at, CW_G33_K);
    traverse_line(&at.program, (int)at.winding->layer_count, &start);
    edit(&at.program, start, "", &edited);
    replay = judge(&at, &edited);
    assert_false(replay->ok);
    assert_true(says(&replay->errors, (int)replay->lines, "The program winds 6 layers; the winding has 7."));
    cw_replay_destroy(&replay);
    cw_text_clear(&edited);
    take_down(&at);
}

static void one_layer_too_many_is_caught(void **state)
{
    cw_text edited = { 0 };
    const char *start;
    cw_replay *replay;
    bench at;

    (void)state;
    set_up(&at, CW_G33_K);
    traverse_line(&at.program, (int)at.winding->layer_count, &start);
    cw_text_add_bytes(&edited, at.program.data, (size_t)(strchr(start, '\n') + 1 - at.program.data));
    cw_text_add(&edited, "M3\nG33 Z1. K0.33\nM5\nM30\n%\n");
    replay = judge(&at, &edited);
    assert_false(replay->ok);
    assert_true(says(&replay->errors, traverse_line(&edited, (int)at.winding->layer_count + 1, &start),
                     "The program winds a layer 8; the winding has only 7."));
    cw_replay_destroy(&replay);
    cw_text_clear(&edited);
    take_down(&at);
}

/* A feed hold or a dwell with the spindle on: turns pile up, and all that follow are late. */
static void dwell_in_the_way_piles_turns_up(void **state)
{
    cw_text edited = { 0 };
    const char *start;
    cw_replay *replay;
    bench at;
    int line;

    (void)state;
    set_up(&at, CW_G95);
    line = traverse_line(&at.program, 2, &start);
    cw_text_add_bytes(&edited, at.program.data, (size_t)(start - at.program.data));
    cw_text_add(&edited, "G4 P10\n");
    cw_text_add(&edited, start);
    replay = judge(&at, &edited);
    assert_false(replay->ok);
    assert_true(replay->warnings.count > 0);
    assert_non_null(strstr(replay->warnings.items[0].text, "pile up in one place"));
    assert_true(says(&replay->errors, line + 1, "comes to lie at"));
    cw_replay_destroy(&replay);
    cw_text_clear(&edited);
    take_down(&at);
}

static void layer_the_wrong_way_is_caught(void **state)
{
    const char *program = "G21 G90 G97 S20\nG0 Z19.84\nM3\nG33 Z0.16 K0.3225\nM5\nM2\n";
    cw_text text = { 0 };
    cw_replay *replay;
    bench at;

    (void)state;
    set_up(&at, CW_G33_K);
    cw_text_add(&text, program);
    replay = judge(&at, &text);
    assert_true(says(&replay->errors, 4, "Layer 1 runs back to the start flange; the winding wants it the other way."));
    cw_replay_destroy(&replay);
    cw_text_clear(&text);
    take_down(&at);
}

/* With the wire's width alone: less than it climbs, more than 1.15 of it leaves gaps (common practice, no source:
 * winding notes, section 1). */
static void pitch_is_judged_by_the_wire_without_a_winding(void **state)
{
    const struct { const char *words; bool ok; const char *warning; } rows[] = {
        { "K0.33", true, NULL },
        { "K0.31", false, NULL },
        { "K0.40", true, "falls into the gaps" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_replay_request request = { .bundle_m = 0.32e-3 };
        cw_replay *replay = NULL;
        char program[200];

        snprintf(program, sizeof program, "G21 G90 G97 S20\nG0 Z0\nM3\nG33 Z10 %s\nM5\nM2\n", rows[i].words);
        assert_int_equal(cw_replay_text(&request, program, strlen(program), &replay, NULL), CW_OK);
        assert_true(replay->ok == rows[i].ok);
        if (!rows[i].ok)
            assert_true(says(&replay->errors, 4, "the turns climb"));
        if (rows[i].warning != NULL)
            assert_true(says(&replay->warnings, 4, rows[i].warning));
        cw_replay_destroy(&replay);
    }
}

/* A slower index wait, block time or coasting than the machine has shows as turns: the same program on another one. */
static void program_is_judged_on_the_machine_that_runs_it(void **state)
{
    cw_replay *replay;
    bench at;

    (void)state;
    set_up(&at, CW_G33_K);
    at.machine.spin_up_s = 8;
    replay = judge(&at, &at.program);
    assert_false(replay->ok);
    cw_replay_destroy(&replay);
    take_down(&at);
}

/* Programs with a few characters changed, on every code: judged or refused, never a crash. */
static void damaged_programs_are_judged_without_a_crash(void **state)
{
    static const char letters[] = "GMXZAKFSPN0123456789.-+[]()#=/%; \n";
    unsigned seed = 99;

    (void)state;
    for (size_t i = 0; i < CODES; i++) {
        bench at;

        set_up(&at, codes[i]);
        for (int round = 0; round < 300; round++) {
            cw_text damaged = { 0 };
            cw_replay *replay;

            cw_text_add_bytes(&damaged, at.program.data, at.program.length);
            for (int hit = 0; hit < 4; hit++) {
                seed = seed * 1103515245u + 12345u;
                damaged.data[(seed >> 8) % damaged.length] = letters[(seed >> 3) % (sizeof letters - 1)];
            }
            replay = judge(&at, &damaged);
            assert_true(replay->ok == (replay->errors.count == 0));
            cw_replay_destroy(&replay);
            cw_text_clear(&damaged);
        }
        take_down(&at);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unedited_programs_pass),
        cmocka_unit_test(one_wrong_pitch_is_named_with_its_line),
        cmocka_unit_test(sentence_says_both_pitches),
        cmocka_unit_test(small_error_of_pitch_is_caught_where_it_adds_up),
        cmocka_unit_test(traverse_that_ends_early_is_caught),
        cmocka_unit_test(traverse_into_the_flange_is_caught),
        cmocka_unit_test(missing_layers_are_counted),
        cmocka_unit_test(one_layer_too_many_is_caught),
        cmocka_unit_test(dwell_in_the_way_piles_turns_up),
        cmocka_unit_test(layer_the_wrong_way_is_caught),
        cmocka_unit_test(pitch_is_judged_by_the_wire_without_a_winding),
        cmocka_unit_test(program_is_judged_on_the_machine_that_runs_it),
        cmocka_unit_test(damaged_programs_are_judged_without_a_crash),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
