/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/laid_figure.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/nc/coil.h"

/* 400 turns of 0.32 mm in rows of 62: a program of its own, replayed. */
typedef struct scene {
    cw_winding *winding;
    cw_machine machine;
    cw_text program;
    cw_laid_turns laid;
    cw_replay *replay;
    cw_laid_figure figure;
} scene;

static void play(scene *at, bool judged)
{
    cw_replay_request request = { .machine = &at->machine, .winding = judged ? at->winding : NULL,
                                  .listener = cw_laid_turns_keep, .context = &at->laid };

    cw_laid_turns_clear(&at->laid);
    cw_replay_destroy(&at->replay);
    assert_int_equal(cw_replay_text(&request, at->program.data, at->program.length, &at->replay, NULL), CW_OK);
    at->figure = (cw_laid_figure){ &at->laid, at->replay, request.winding, CW_METRIC_UNITS };
}

static void set_up(scene *at)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_program_request request = { 0 };

    memset(at, 0, sizeof *at);
    at->winding = coil_lay(&plan);
    at->machine = coil_machine(CW_G33_K);
    request.winding = at->winding;
    request.machine = &at->machine;
    assert_int_equal(cw_program_write(&request, &at->program, NULL), CW_OK);
    play(at, true);
}

static void take_down(scene *at)
{
    cw_laid_turns_clear(&at->laid);
    cw_replay_destroy(&at->replay);
    cw_text_clear(&at->program);
    cw_winding_destroy(&at->winding);
}

static void every_turn_of_our_own_program_lies_in_its_place(void **state)
{
    scene at;

    (void)state;
    set_up(&at);
    assert_int_equal(at.laid.count, 400);
    assert_int_equal(cw_laid_astray(&at.figure), 0);
    take_down(&at);
}

/* At 10 % less pitch in one layer of 62 turns, turn k lies k/10 of the wire short of its place: beyond a quarter from the
 * third turn on, for the rest of the layer and the turns that it holds more. */
static void turns_of_a_wrong_pitch_are_out_of_place_in_that_layer_only(void **state)
{
    char *pitch, digits[16];
    double k;
    scene at;

    (void)state;
    set_up(&at);
    pitch = strstr(strstr(strstr(at.program.data, "G33") + 1, "G33") + 1, "G33");
    pitch = strchr(pitch, 'K') + 1;
    k = strtod(pitch, NULL);
    snprintf(digits, sizeof digits, "%.4f", 0.9 * k);
    memcpy(pitch, digits, strlen(digits));
    play(&at, true);
    assert_in_range(cw_laid_astray(&at.figure), at.winding->layers[2].turns - 4, at.winding->layers[2].turns * 10 / 9 + 1);
    take_down(&at);
}

static void picture_is_the_same_at_every_run_with_and_without_a_winding(void **state)
{
    const cw_paper paper = { .format = CW_SVG, .title = "laid" };
    scene at;

    (void)state;
    set_up(&at);
    for (int judged = 1; judged >= 0; judged--) {
        cw_text one = { 0 }, two = { 0 };

        play(&at, judged);
        assert_int_equal(cw_laid_write(&at.figure, &paper, &one, NULL), CW_OK);
        assert_int_equal(cw_laid_write(&at.figure, &paper, &two, NULL), CW_OK);
        assert_int_equal(one.length, two.length);
        assert_memory_equal(one.data, two.data, one.length);
        assert_int_equal(cw_laid_traverse_write(&at.figure, &paper, &two, NULL), CW_OK);
        cw_text_clear(&one);
        cw_text_clear(&two);
    }
    take_down(&at);
}

static void a_program_that_lays_nothing_gives_an_empty_picture(void **state)
{
    const cw_paper paper = { .format = CW_SVG };
    cw_laid_turns laid = { 0 };
    cw_replay *replay = NULL;
    cw_text out = { 0 };

    (void)state;
    assert_int_equal(cw_replay_text(&(cw_replay_request){ 0 }, "G21\nM2\n", 7, &replay, NULL), CW_OK);
    assert_int_equal(cw_laid_write(&(cw_laid_figure){ &laid, replay, NULL, CW_INCH_UNITS }, &paper, &out, NULL), CW_OK);
    assert_true(out.length > 0);
    cw_text_clear(&out);
    cw_replay_destroy(&replay);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_turn_of_our_own_program_lies_in_its_place),
        cmocka_unit_test(turns_of_a_wrong_pitch_are_out_of_place_in_that_layer_only),
        cmocka_unit_test(picture_is_the_same_at_every_run_with_and_without_a_winding),
        cmocka_unit_test(a_program_that_lays_nothing_gives_an_empty_picture),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
