/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Replay against what the numeric control notes [NC] derive for spindle, index, dwell and feed. */
#include "coilwright/nc.h"
#include "nc/nc_json.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void near(double is, double should, double tolerance)
{
    if (!(fabs(is - should) <= tolerance))
        fail_msg("%.12g, not %.12g", is, should);
}

/* A machine whose spindle and traverse change speed at once, so that only what a test is about takes turns. */
static cw_machine sudden(cw_code code)
{
    cw_machine machine;

    cw_machine_init(&machine);
    machine.code = code;
    machine.kind = code == CW_ROTARY_A ? CW_ROTARY_WINDER :
                   code == CW_G95 || code == CW_G99 ? CW_LATHE_FEED : CW_LATHE_THREAD;
    machine.spin_up_s = machine.spin_down_s = 0;
    machine.acceleration_m_s2 = 1000;
    machine.block_time_s = 0;
    machine.rapid_m_s = 1;
    return machine;
}

static cw_replay *play_on(const cw_machine *machine, const char *program)
{
    cw_replay_request request = { 0 };
    cw_replay *replay = NULL;
    cw_error error;

    request.machine = machine;
    assert_int_equal(cw_replay_text(&request, program, strlen(program), &replay, &error), CW_OK);
    return replay;
}

static bool warned(const cw_replay *replay, int line, const char *part)
{
    for (size_t i = 0; i < replay->warnings.count; i++)
        if (replay->warnings.items[i].line == line && strstr(replay->warnings.items[i].text, part) != NULL)
            return true;
    return false;
}

/* [NC 7.5]: traverses of N + 1/2 turns wait half a turn for the mark, layer after layer N + 1. */
static void traverse_of_half_turns_waits_half_a_turn(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay;

    (void)state;
    machine.block_time_s = 0.02;
    replay = play_on(&machine, "G21 G90 G97 S60\nG0 Z0\nM3\nG33 Z10.5 K1\nM3\nG33 Z0 K1\nM3\nG33 Z10.5 K1\nM5\nM2\n");
    assert_true(replay->ok);
    assert_int_equal(replay->layer_count, 3);
    for (size_t i = 0; i < 2; i++) {
        near(replay->layers[i].turns, 11, 0);
        near(replay->layers[i].parked_turns, 0.5, 1e-6);
        near(replay->layers[i].pitch_m, 1e-3, 1e-8);
        assert_int_equal(replay->layers[i].direction, i == 0 ? 1 : -1);
    }
    cw_replay_destroy(&replay);
}

/* [NC 7.5]: a traverse of whole turns ends at the mark; the block time then decides over a whole turn. */
static void traverse_of_whole_turns_is_warned_of(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay;

    (void)state;
    machine.block_time_s = 0.01;
    replay = play_on(&machine, "G21 G90 G97 S60\nG0 Z0\nM3\nG33 Z10 K1\nM3\nG33 Z0 K1\nM5\nM2\n");
    assert_true(warned(replay, 6, "just as it passes"));
    near(replay->turns, 0.5 + 10 + 1 + 10 + 0.01, 1e-3); /* and a block time before M5 */
    cw_replay_destroy(&replay);
}

/* [NC 7.3]: in a chain only the first block waits, total turns are the sum of length over pitch. */
static void chained_threads_do_not_wait(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay;

    (void)state;
    machine.chained = true;
    replay = play_on(&machine, "G21 G90 G97 S60\nG0 Z0\nM3\nG33 Z10 K1\nG33 Z0 K1\nG33 Z8 K0.5\nM5\nM2\n");
    near(replay->turns, 0.5 + 10 + 10 + 16, 1e-3);
    near(replay->layers[1].parked_turns, 0, 1e-9);
    cw_replay_destroy(&replay);
    replay = play_on(&machine, "G21 G90 G97 S60\nG0 Z0\nM3\nG33 Z10 K1\nG4 P0\nG33 Z0.25 K1\nM5\nM2\n");
    near(replay->turns, 0.5 + 10 + 1 + 9.75, 1e-3);
    cw_replay_destroy(&replay);
}

/* [NC 4]: G4 P lays S P/60 turns in one place. */
static void dwell_lays_speed_times_time(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay = play_on(&machine, "G21 G97 S90\nM3\nG4 P3\nM5\nM2\n");

    (void)state;
    near(replay->turns, 4.5, 1e-9);
    near(replay->time_s, 3, 1e-9);
    assert_true(warned(replay, 3, "pile up") || warned(replay, 4, "pile up") || replay->warnings.count == 1);
    cw_replay_destroy(&replay);
    machine = sudden(CW_G99);
    replay = play_on(&machine, "G21 G97 S90\nM3\nG4 P3000\nG4 X3.\nG4 U3.\nM5\nM30\n");
    near(replay->turns, 13.5, 1e-9);
    cw_replay_destroy(&replay);
}

/* [NC 8]: coast turns are n t/120. */
static void spindle_coasts_after_it_is_switched_off(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay;

    (void)state;
    machine.spin_down_s = 4;
    machine.speed_rpm = 60;
    replay = play_on(&machine, "G21 G97 S60\nM3\nG4 P1\nM5\nM0\nM2\n");
    near(replay->turns, 1 + 60 * 4 / 120.0, 1e-9);
    cw_replay_destroy(&replay);
}

/* [NC 7.4]: lag of v^2/(2a) at each end of a thread, n^2 p/(7200 a) turns: n = 600, p = 1 mm, a = 100 mm/s2 half a turn
 * each. */
static void traverse_with_little_acceleration_takes_more_turns(void **state)
{
    cw_machine machine = sudden(CW_G95);
    cw_replay *replay;

    (void)state;
    machine.acceleration_m_s2 = 0.1;
    replay = play_on(&machine, "G21 G90 G95 G97 S600\nG0 Z0\nM3\nG1 Z20 F1\nM5\nM2\n");
    near(replay->turns, 20 + 2 * 600.0 * 600 * 1e-3 / (7200 * 0.1), 1e-6);
    cw_replay_destroy(&replay);
}

/* [NC 5]: in G94 a block with both axes takes length over F, so G91 G1 A36000 X25 F250 runs at 1000 a minute, and the
 * same F with A alone takes 144 min. */
static void feed_per_minute_counts_length_before_angle(void **state)
{
    cw_machine machine = sudden(CW_ROTARY_A);
    cw_replay *replay = play_on(&machine, "G21 G91 G94\nG1 A36000 X25 F250\nM2\n");

    (void)state;
    near(replay->time_s, 0.1 * 60, 1e-6);
    near(replay->speed_most_rpm, 1000, 1e-6);
    cw_replay_destroy(&replay);
    replay = play_on(&machine, "G21 G91 G94\nG1 A36000 F250\nM2\n");
    near(replay->time_s, 144 * 60, 1e-6);
    cw_replay_destroy(&replay);
}

/* [NC 5]: G93, N turns at n: F = n/N. */
static void inverse_time_gives_speed_over_turns(void **state)
{
    cw_machine machine = sudden(CW_ROTARY_A);
    cw_replay *replay = play_on(&machine, "G21 G91 G93\nG1 A25200 X14 F2\nM2\n");

    (void)state;
    near(replay->speed_most_rpm, 140, 1e-6);
    near(replay->time_s, 30, 1e-6);
    near(replay->layers[0].pitch_m, 0.2e-3, 1e-12);
    cw_replay_destroy(&replay);
}

/* [NC 10]: the block is defined by its end point, so a rounded pitch gives wrong turns: 113.5 mm at these words. */
static void rounded_pitches_lay_the_turns_of_the_table(void **state)
{
    const struct { const char *words; double turns; } rows[] = {
        { "G21\nG33 Z113.5 K0.2270", 500.00 },
        { "G21\nG33 Z113.5 K0.23", 493.48 },
        { "G20\nG33 Z[113.5/25.4] K0.0089", 502.08 },
        { "G20\nG33 Z[113.5/25.4] K0.00894", 499.83 },
        { "G20\nG33 Z[113.5/25.4] K0.008937", 500.00 },
    };
    cw_machine machine = sudden(CW_G33_K);

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char program[200];
        cw_replay *replay;

        snprintf(program, sizeof program, "G21 G90 G97 S60\nG0 Z0\nM3\n%s\nM5\nM2\n", rows[i].words);
        replay = play_on(&machine, program);
        near(replay->turns - replay->layers[0].parked_turns, rows[i].turns, 0.02);
        cw_replay_destroy(&replay);
    }
}

/* [NC 7.1]: on a taper K counts along the path, the lathes' F along the axis that moves more. 3-4-5 triangle. */
static void lead_on_a_taper_is_the_dialects_own(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay = play_on(&machine, "G21 G90 G97 S60\nG0 X0 Z0\nM3\nG33 X3 Z4 K0.5\nM5\nM2\n");

    (void)state;
    near(replay->turns, 0.5 + 10, 1e-4);
    cw_replay_destroy(&replay);
    machine = sudden(CW_G32_F);
    replay = play_on(&machine, "G21 G97 S60\nG0 X0. Z0.\nM3\nG32 X3. Z4. F0.5\nM5\nM30\n");
    near(replay->turns, 0.5 + 8, 1e-4);
    cw_replay_destroy(&replay);
}

static void axis_offset_does_not_lose_the_turns(void **state)
{
    cw_machine machine = sudden(CW_ROTARY_A);
    cw_replay *replay = play_on(&machine, "G21 G90 G93\nG1 A3600 X3 F1\nG92 A0\nG1 A3600 X0 F1\nM2\n");

    (void)state;
    near(replay->turns, 20, 1e-9);
    assert_int_equal(replay->layer_count, 2);
    cw_replay_destroy(&replay);
}

/* [NC 9]: with G7 X words are diameters, steps too. The wire's place on Z does not change. */
static void diameter_words_are_halved(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay = play_on(&machine, "G21 G90 G97 S60 G7\nG0 X0 Z0\nM3\nG33 X6 Z4 K0.5\nM5\nM2\n");

    (void)state;
    near(replay->turns, 0.5 + 10, 1e-4);
    cw_replay_destroy(&replay);
}

static void inches_are_converted(void **state)
{
    cw_machine machine = sudden(CW_G95);
    cw_replay *replay = play_on(&machine, "G20 G90 G95 G97 S60\nG0 Z0\nM3\nG1 Z1 F0.01\nG21\nG1 Z0 F0.254\nM5\nM2\n");

    (void)state;
    near(replay->turns, 200, 1e-2);
    near(replay->layers[0].pitch_m, 0.254e-3, 1e-9);
    near(replay->layers[1].pitch_m, 0.254e-3, 1e-9);
    cw_replay_destroy(&replay);
}

/* Backlash: the guide stands until it is taken up. */
static void backlash_is_lost_at_a_reversal(void **state)
{
    cw_machine machine = sudden(CW_G95);
    cw_replay *replay;

    (void)state;
    machine.backlash_m = 0.1e-3;
    replay = play_on(&machine, "G21 G90 G95 G97 S60\nG0 Z0\nM3\nG1 Z10 F0.1\nG1 Z0 F0.1\nM5\nM2\n");
    near(replay->layers[0].end_m, 10e-3, 1e-9);
    near(replay->layers[1].end_m, 0.1e-3, 1e-9);
    cw_replay_destroy(&replay);
}

typedef struct heard {
    long count;
    double last_m, last_s;
    bool in_order;
} heard;

static void listen(void *context, const cw_laid_turn *turn)
{
    heard *ear = context;

    ear->in_order = ear->in_order && turn->number == ear->count + 1 && turn->time_s >= ear->last_s;
    ear->count = turn->number;
    ear->last_m = turn->guide_m;
    ear->last_s = turn->time_s;
}

static void every_turn_is_heard_of_in_order(void **state)
{
    const char *program = "G21 G90 G95 G97 S60\nG0 Z0\nM3\nG1 Z20 F0.25\nG1 Z5 F0.25\nM5\nM2\n";
    cw_machine machine = sudden(CW_G95);
    cw_replay_request request = { 0 };
    heard ear = { 0, 0, 0, true };
    cw_replay *replay = NULL;

    (void)state;
    request.machine = &machine;
    request.listener = listen;
    request.context = &ear;
    assert_int_equal(cw_replay_text(&request, program, strlen(program), &replay, NULL), CW_OK);
    assert_true(ear.in_order);
    assert_int_equal(ear.count, 140);
    near(ear.last_m, 5e-3, 1e-7);
    cw_replay_destroy(&replay);
}

/* Blocks that go on the same way in G64 do not stop; in G61 each does, and the block time lays turns. */
static void blocks_flow_in_g64_and_stop_in_g61(void **state)
{
    cw_machine machine = sudden(CW_G95);
    cw_replay *replay;

    (void)state;
    machine.block_time_s = 0.05;
    replay = play_on(&machine, "G21 G91 G95 G97 S60 G64\nM3\nG1 Z1 F0.1\nZ1\nZ1\nZ1\nM5\nM2\n");
    near(replay->turns, 0.05 + 40 + 0.05, 1e-4);
    cw_replay_destroy(&replay);
    replay = play_on(&machine, "G21 G91 G95 G97 S60 G61\nM3\nG1 Z1 F0.1\nZ1\nZ1\nZ1\nM5\nM2\n");
    near(replay->turns, 4 * 0.05 + 40 + 0.05, 1e-4);
    cw_replay_destroy(&replay);
}

static void dialect_is_found_from_the_words(void **state)
{
    const struct { const char *program; cw_code code; } rows[] = {
        { "G21 G97 S60 M3\nG32 Z10. F1.\nM30\n", CW_G32_F },
        { "G21 G97 S60 M3\nG33 Z10. F1.\nM30\n", CW_G33_F },
        { "G21 G97 S60 M3\nG33 Z10. K1.\nM30\n", CW_G33_K },
        { "(G32 is not used here)\nG21 G97 S60 M3\nG33 Z10. K1.\nM30\n", CW_G33_K },
        { "G21 G99 G97 S60 M3\nG1 W10. F1.\nM30\n", CW_G99 },
        { "G21 G95 G97 S60 M3\nG1 Z10. F1.\nM30\n", CW_G95 },
        { "G21 G91 G93\nG1 A360 X1 F1\nM30\n", CW_ROTARY_A },
        { "G21\nM30\n", CW_G33_K },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_replay *replay = play_on(NULL, rows[i].program);

        assert_int_equal(replay->code, rows[i].code);
        assert_true(replay->ok);
        cw_replay_destroy(&replay);
    }
}

static void rotary_axis_takes_its_traverse_with_it(void **state)
{
    cw_replay *replay = play_on(NULL, "G21 G91 G93\nG1 C3600 Z1 F1\nG1 C3600 Z-1 F1\nM30\n");

    (void)state;
    assert_int_equal(replay->layer_count, 2);
    near(replay->layers[0].pitch_m, 0.1e-3, 1e-12);
    cw_replay_destroy(&replay);
}

static void stop_with_the_spindle_on_is_warned_of(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay = play_on(&machine, "G21 G97 S60 M3\nM0\nM5\nM2\n");

    (void)state;
    assert_true(warned(replay, 2, "stops while the spindle turns"));
    cw_replay_destroy(&replay);
    machine.stop_stops_spindle = true;
    replay = play_on(&machine, "G21 G97 S60 M3\nM0\nM5\nM2\n");
    assert_int_equal(replay->warnings.count, 0);
    cw_replay_destroy(&replay);
}

static void thread_faster_than_the_traverse_is_an_error(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay *replay;

    (void)state;
    machine.rapid_m_s = 0.05;
    replay = play_on(&machine, "G21 G90 G97 S3001\nG0 Z0\nM3\nG33 Z30.5 K1\nM5\nM2\n");
    assert_false(replay->ok);
    assert_int_equal(replay->errors.items[0].line, 4);
    cw_replay_destroy(&replay);
}

/* Nobody's program lays so many turns; it ends with a sentence, not with a day of counting. */
static void senseless_numbers_of_turns_end_replay(void **state)
{
    cw_machine machine = sudden(CW_G95);
    cw_replay *replay = play_on(&machine, "G21 G90 G95 G97 S60\nM3\nG1 Z1000 F0.00001\nM5\nM2\n");

    (void)state;
    assert_false(replay->ok);
    assert_int_equal(replay->errors.items[0].line, 3);
    assert_non_null(strstr(replay->errors.items[0].text, "More than ten million turns"));
    cw_replay_destroy(&replay);
}

static void several_mistakes_are_all_named(void **state)
{
    cw_replay *replay = play_on(NULL, "G21 G91 G93\nG1 A360 F1O\nG1 A360 F1\nG2 X1\nM2\n");

    (void)state;
    assert_int_equal(replay->errors.count, 2);
    assert_int_equal(replay->errors.items[0].line, 2);
    assert_int_equal(replay->errors.items[1].line, 4);
    near(replay->turns, 0, 0); /* nothing behind the first mistake is wound */
    cw_replay_destroy(&replay);
}

static void unusable_machine_is_refused(void **state)
{
    cw_machine machine = sudden(CW_G33_K);
    cw_replay_request request = { 0 };
    cw_replay *replay = NULL;
    cw_error error;

    (void)state;
    machine.speed_rpm = -5;
    request.machine = &machine;
    assert_int_equal(cw_replay_text(&request, "M2\n", 3, &replay, &error), CW_BAD_INPUT);
    assert_null(replay);
    assert_non_null(strstr(error.text, "speed"));
}

/* ---- streaming ----------------------------------------------------------------------------------------------- */

typedef struct trickle {
    const char *text;
    size_t length, piece;
} trickle;

static size_t drip(void *context, char *buffer, size_t size)
{
    trickle *left = context;
    size_t count = left->piece < left->length ? left->piece : left->length;

    count = count < size ? count : size;
    memcpy(buffer, left->text, count);
    left->text += count;
    left->length -= count;
    return count;
}

static void pieces_of_any_size_give_the_same(void **state)
{
    const char *program = "%\r\nG21 G91 G93\r\n(two)\r\nG1 A360 X1 F1\r\n\r\nG1 A360 X-1 F1\r\n%\r\n";

    (void)state;
    for (size_t piece = 1; piece < 20; piece++) {
        trickle left = { program, strlen(program), piece };
        cw_replay_request request = { 0 };
        cw_replay *replay = NULL;

        assert_int_equal(cw_replay_stream(&request, drip, &left, &replay, NULL), CW_OK);
        assert_true(replay->ok);
        near(replay->turns, 2, 0);
        assert_int_equal(replay->lines, 7);
        cw_replay_destroy(&replay);
    }
}

/* A program made as it is read: nothing holds it. */
typedef struct maker {
    long made, wanted;
    char line[64];
    size_t at, length;
} maker;

static size_t make(void *context, char *buffer, size_t size)
{
    maker *source = context;
    size_t done = 0;

    while (done < size) {
        if (source->at == source->length) {
            if (source->made > source->wanted)
                return done;
            if (source->made == 0)
                strcpy(source->line, "G21 G90 G95 G97 S60 M3\n");
            else if (source->made == source->wanted)
                strcpy(source->line, "M30\n");
            else
                snprintf(source->line, sizeof source->line, "N%ld G1 Z%.3f F0.332\n", source->made % 100000,
                         (double)(source->made % 200) * 0.1);
            source->made++;
            source->at = 0;
            source->length = strlen(source->line);
        }
        buffer[done++] = source->line[source->at++];
    }
    return done;
}

/* 2000 allocations would be one for every 50 blocks: memory goes with layers, not with blocks. */
static void memory_does_not_grow_with_blocks(void **state)
{
    maker source = { 0, 100000, "", 0, 0 };
    cw_replay_request request = { 0 };
    cw_replay *replay = NULL;
    cw_status status;

    (void)state;
    cw_memory_fail_after(30);
    status = cw_replay_stream(&request, make, &source, &replay, NULL);
    cw_memory_fail_after(-1);
    assert_int_equal(status, CW_OK);
    assert_int_equal(replay->blocks, 100001);
    assert_true(replay->ok);
    cw_replay_destroy(&replay);
}

static void overlong_line_is_refused_wherever_it_ends(void **state)
{
    size_t length = 200000;
    char *program = calloc(length + 100, 1);
    cw_replay *replay;

    (void)state;
    assert_non_null(program);
    memset(program, ' ', length);
    strcpy(program, "G21");
    program[3] = '\n';
    strcpy(program + length, "\nM2\n");
    replay = play_on(NULL, program);
    assert_int_equal(replay->errors.count, 1);
    assert_int_equal(replay->errors.items[0].line, 2);
    assert_int_equal(replay->lines, 3);
    cw_replay_destroy(&replay);
    free(program);
}

static void every_failed_allocation_leaves_nothing_behind(void **state)
{
    const char *program = "G21 G91 G93\nG1 A360 X1 F1\nG1 A360 X-1 F1\nG1 Q5\nM2\n";
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_replay_request request = { 0 };
        cw_replay *replay = NULL;

        cw_memory_fail_after(granted);
        status = cw_replay_text(&request, program, strlen(program), &replay, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || replay == NULL);
        cw_replay_destroy(&replay);
    }
    assert_int_equal(status, CW_OK);
}

static void garbage_is_refused_without_a_crash(void **state)
{
    unsigned seed = 12345;

    (void)state;
    for (int round = 0; round < 3000; round++) {
        static const char letters[] = "GMXZAKFSPNLD0123456789.-+[]()#=/%;* \n\nGGMM\xC3\x01";
        char program[300];
        size_t length;
        cw_replay *replay;

        for (length = 0; length + 1 < sizeof program; length++) {
            seed = seed * 1103515245u + 12345u;
            program[length] = letters[(seed >> 16) % (sizeof letters - 1)];
        }
        program[length] = '\0';
        replay = play_on(NULL, program);
        assert_true(replay->ok == (replay->errors.count == 0));
        cw_replay_destroy(&replay);
    }
}

/* ---- the document of the contract ---------------------------------------------------------------------------- */

static void document_has_the_keys_of_the_contract(void **state)
{
    cw_replay *replay = play_on(NULL, "G21 G91 G93\nG1 A3600 X1 F1\nG1 A3600 X-1 F1\nG1 Q5\nM2\n");
    json_t *document = cw_replay_json(replay), *layer, *remark;
    const char *text;
    int ok, direction, line;
    json_int_t turns, total;
    double pitch_m, time_s;

    (void)state;
    assert_non_null(document);
    assert_int_equal(json_unpack(document, "{s:b, s:I, s:F, s:[oo], s:[o], s:[]}", "ok", &ok, "turns", &total, "time_s",
                                 &time_s, "layers", &layer, &remark, "errors", &remark, "warnings"), 0);
    assert_int_equal(ok, 0);
    assert_int_equal(total, 20);
    assert_true(time_s > 0);
    assert_int_equal(json_unpack(layer, "{s:I, s:i, s:F}", "turns", &turns, "direction", &direction, "pitch_m",
                                 &pitch_m), 0);
    assert_int_equal(turns, 10);
    assert_int_equal(direction, 1);
    near(pitch_m, 0.1e-3, 1e-12);
    assert_int_equal(json_unpack(remark, "{s:i, s:s}", "line", &line, "text", &text), 0);
    assert_int_equal(line, 4);
    json_decref(document);
    cw_replay_destroy(&replay);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(traverse_of_half_turns_waits_half_a_turn),
        cmocka_unit_test(traverse_of_whole_turns_is_warned_of),
        cmocka_unit_test(chained_threads_do_not_wait),
        cmocka_unit_test(dwell_lays_speed_times_time),
        cmocka_unit_test(spindle_coasts_after_it_is_switched_off),
        cmocka_unit_test(traverse_with_little_acceleration_takes_more_turns),
        cmocka_unit_test(feed_per_minute_counts_length_before_angle),
        cmocka_unit_test(inverse_time_gives_speed_over_turns),
        cmocka_unit_test(rounded_pitches_lay_the_turns_of_the_table),
        cmocka_unit_test(lead_on_a_taper_is_the_dialects_own),
        cmocka_unit_test(axis_offset_does_not_lose_the_turns),
        cmocka_unit_test(diameter_words_are_halved),
        cmocka_unit_test(inches_are_converted),
        cmocka_unit_test(backlash_is_lost_at_a_reversal),
        cmocka_unit_test(every_turn_is_heard_of_in_order),
        cmocka_unit_test(blocks_flow_in_g64_and_stop_in_g61),
        cmocka_unit_test(dialect_is_found_from_the_words),
        cmocka_unit_test(rotary_axis_takes_its_traverse_with_it),
        cmocka_unit_test(stop_with_the_spindle_on_is_warned_of),
        cmocka_unit_test(thread_faster_than_the_traverse_is_an_error),
        cmocka_unit_test(senseless_numbers_of_turns_end_replay),
        cmocka_unit_test(several_mistakes_are_all_named),
        cmocka_unit_test(unusable_machine_is_refused),
        cmocka_unit_test(pieces_of_any_size_give_the_same),
        cmocka_unit_test(memory_does_not_grow_with_blocks),
        cmocka_unit_test(overlong_line_is_refused_wherever_it_ends),
        cmocka_unit_test(every_failed_allocation_leaves_nothing_behind),
        cmocka_unit_test(garbage_is_refused_without_a_crash),
        cmocka_unit_test(document_has_the_keys_of_the_contract),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
