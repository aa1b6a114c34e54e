/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What programs and sheets say, and what they may not say. [NC]: numeric control notes in docs/references.md. */
#include "coilwright/nc.h"

#include <ctype.h>
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

static cw_text write_on(const cw_machine *machine, const cw_lay_plan *plan, bool dry)
{
    cw_winding *winding = coil_lay(plan);
    cw_program_request request = { .winding = winding, .machine = machine, .job = "Brake (10 \xC2\xB5m) [no. 7]; spare",
                                   .dry_run = dry };
    cw_text text = { 0 };
    cw_error error;

    if (cw_program_accept(&request, &text, NULL, &error) != CW_OK)
        fail_msg("%s", error.text);
    cw_winding_destroy(&winding);
    return text;
}

static cw_text ordinary(cw_code code)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_machine machine = coil_machine(code);

    return write_on(&machine, &plan, false);
}

/* Calls for every line, without its end. */
static void each_line(const cw_text *text, void (*look)(const char *line, void *context), void *context)
{
    char line[400];

    for (const char *at = text->data; *at != '\0'; at = strchr(at, '\n') + 1) {
        size_t length = (size_t)(strchr(at, '\n') - at);

        assert_true(length < sizeof line);
        memcpy(line, at, length);
        line[length] = '\0';
        look(line, context);
    }
}

/* Whether a block (comments left out) holds that word. */
static bool holds(const cw_text *text, const char *word)
{
    size_t length = strlen(word);

    for (const char *at = text->data; (at = strstr(at, word)) != NULL; at++) {
        const char *line = at;

        while (line > text->data && line[-1] != '\n')
            line--;
        if (*line != '(' && *line != ';' && (at == line || at[-1] == ' ') && strchr(" \n", at[length]) != NULL)
            return true;
    }
    return false;
}

/* [NC 11]: no G90, G91, G92, G94, G95 for the G32 family, no G98, G99, G32 for RS-274/NGC. */
static void no_program_holds_a_word_that_its_dialect_reads_otherwise(void **state)
{
    static const char *const f32[] = { "G90", "G91", "G92", "G94", "G95", "G33", "G80", "G49", "G61", "G64", "G7",
                                       "G8" };
    static const char *const ngc[] = { "G98", "G99", "G32" };

    (void)state;
    for (size_t i = 0; i < CODES; i++) {
        cw_text text = ordinary(codes[i]);
        bool lathe = codes[i] == CW_G32_F || codes[i] == CW_G99;
        const char *const *words = lathe ? f32 : ngc;

        for (size_t k = 0; k < (lathe ? sizeof f32 : sizeof ngc) / sizeof *words; k++)
            assert_false(holds(&text, words[k]));
        cw_text_clear(&text);
    }
}

/* [NC 3]: units alone on a line, before any F, K or S. */
static void units_stand_alone(void **state)
{
    (void)state;
    for (size_t i = 0; i < CODES; i++) {
        cw_text text = ordinary(codes[i]);

        assert_non_null(strstr(text.data, "\nG21\n"));
        cw_text_clear(&text);
    }
}

static void look_at_comment(const char *line, void *context)
{
    const char *opening = context;

    if (strncmp(line, opening, 1) != 0)
        return;
    assert_true(strlen(line) < 60);
    for (const char *c = line; *c != '\0'; c++)
        assert_true(*c >= ' ' && *c < 127 && !islower((unsigned char)*c));
    if (*line == '(')
        assert_true(strcspn(line + 1, "()") == strlen(line) - 2);
}

/* [NC 1.1, 1.8]: many controls take brackets and capitals only. */
static void comments_are_short_plain_and_in_capitals(void **state)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_machine machine = coil_machine(CW_G33_K);
    cw_text text = ordinary(CW_G33_K);

    (void)state;
    assert_non_null(strstr(text.data, "(JOB: BRAKE <10 ?M> <NO. 7>, SPARE)"));
    each_line(&text, look_at_comment, (void *)(uintptr_t)"(");
    cw_text_clear(&text);
    machine.semicolon_comments = true;
    text = write_on(&machine, &plan, false);
    assert_null(strchr(text.data, '('));
    each_line(&text, look_at_comment, (void *)(uintptr_t)";");
    cw_text_clear(&text);
}

static void look_at_number(const char *line, void *context)
{
    long *numbers = context;

    if (*line == '(' || *line == '%' || *line == 'O')
        return;
    assert_int_equal(*line, 'N');
    assert_true(strcspn(line + 1, " ") <= 5);
    ++*numbers;
}

static void line_numbers_have_five_digits_and_begin_again(void **state)
{
    cw_lay_plan plan = coil_plan(0.5e-3, 3e-3, 30000); /* thousands of layers, more blocks than numbers by tens */
    cw_machine machine = coil_machine(CW_ROTARY_A);
    cw_text text;
    long numbers = 0;

    (void)state;
    machine.line_numbers = true;
    text = write_on(&machine, &plan, false);
    each_line(&text, look_at_number, &numbers);
    assert_true(numbers > 9999);
    cw_text_clear(&text);
}

static void counter_stands_behind_every_layer(void **state)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_winding *winding = coil_lay(&plan);

    (void)state;
    for (size_t i = 0; i < CODES; i++) {
        cw_text text = ordinary(codes[i]);

        for (size_t layer = 0; layer < winding->layer_count; layer++) {
            char words[40];

            snprintf(words, sizeof words, "(COUNTER %ld", winding->layers[layer].turns_total);
            assert_non_null(strstr(text.data, words));
        }
        cw_text_clear(&text);
    }
    cw_winding_destroy(&winding);
}

static void header_has_wire_tension_and_cautions(void **state)
{
    static const char *const said[] = { "0.300 MM", "COPPER", "400 TURNS", "TENSION", "NO GLOVES", "EYE PROTECTION",
                                        "NEVER REACH", "INSIDE FACE OF THE START FLANGE", "MIDDLE OF THE WIRE" };

    (void)state;
    for (size_t i = 0; i < CODES; i++) {
        cw_text text = ordinary(codes[i]);

        for (size_t k = 0; k < sizeof said / sizeof said[0]; k++)
            assert_non_null(strstr(text.data, said[k]));
        if (codes[i] < CW_G95)
            assert_non_null(strstr(text.data, "LEAD HALF A TURN PAST THE MARK"));
        cw_text_clear(&text);
    }
}

/* [NC 6]: 99999.999 degrees are 277 turns, so no block holds more. */
static void rotary_blocks_hold_what_eight_digits_can(void **state)
{
    cw_lay_plan plan = coil_plan(0.1e-3, 60e-3, 3000);
    cw_machine machine = coil_machine(CW_ROTARY_A);
    cw_text text = write_on(&machine, &plan, false);

    (void)state;
    for (const char *at = text.data; (at = strstr(at, "\nG1 A")) != NULL; at++)
        assert_true(strtod(at + 5, NULL) <= 99999.999);
    cw_text_clear(&text);
}

static void insulation_and_stops_halt_the_spindle_first(void **state)
{
    const cw_program_stop stops[] = { { 100, "tap 1" }, { 250, "joint" } };
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_machine machine = coil_machine(CW_G33_K);
    cw_program_request request = { .machine = &machine, .stops = stops, .stop_count = 2 };
    cw_text text = { 0 };
    cw_winding *winding;
    cw_error error;
    int halts = 0;

    (void)state;
    plan.insulation_every = 2;
    plan.insulation_m = 0.05e-3;
    winding = coil_lay(&plan);
    request.winding = winding;
    if (cw_program_accept(&request, &text, NULL, &error) != CW_OK)
        fail_msg("%s", error.text);
    assert_non_null(strstr(text.data, "M5\n(COUNTER 100)\n(STOP: TAP 1 AT TURN 100)\nM0\n"));
    assert_non_null(strstr(text.data, "M5\n(COUNTER 250)\n(STOP: JOINT AT TURN 250)\nM0\n"));
    assert_non_null(strstr(text.data, "(STOP: LAY INSULATION OF 0.0500 MM OVER THIS LAYER)"));
    for (const char *at = text.data; (at = strstr(at, "\nM0\n")) != NULL; at++)
        halts++;
    assert_int_equal(halts, 1 + 2 + 3); /* the lead, the stops, and after layers 2, 4 and 6 */
    cw_text_clear(&text);
    cw_winding_destroy(&winding);
}

static void dry_run_stays_clear_and_may_stop_after_each_layer(void **state)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_machine machine = coil_machine(CW_G33_K);
    cw_text text;
    int stops = 0;

    (void)state;
    machine.guide_near_m = 30e-3;
    machine.guide_clear_m = 50e-3;
    text = write_on(&machine, &plan, true);
    assert_true(holds(&text, "X50.000"));
    assert_false(holds(&text, "X30.000"));
    for (const char *at = text.data; (at = strstr(at, "\nM1\n")) != NULL; at++)
        stops++;
    assert_int_equal(stops, 6);
    cw_text_clear(&text);
    machine.diameter = true;
    text = write_on(&machine, &plan, false);
    assert_true(holds(&text, "X100.000") && holds(&text, "X60.000") && holds(&text, "G7"));
    cw_text_clear(&text);
}

static void inches_and_decimals_are_the_machines(void **state)
{
    cw_lay_plan plan = coil_plan(0.0126 * 0.0254, 0.8 * 0.0254, 400);
    cw_machine machine = coil_machine(CW_G33_K);
    cw_text text;

    (void)state;
    machine.inches = true;
    machine.pitch_decimals = 5;
    text = write_on(&machine, &plan, false);
    assert_non_null(strstr(text.data, "\nG20\n"));
    for (const char *at = text.data; (at = strstr(at, " K0.")) != NULL; at++)
        assert_int_equal(strcspn(at + 4, "\n"), 5);
    cw_text_clear(&text);
}

static cw_status accept_with(cw_machine *machine, cw_text *text, cw_error *error)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_winding *winding = coil_lay(&plan);
    cw_program_request request = { .winding = winding, .machine = machine };
    cw_status status = cw_program_accept(&request, text, NULL, error);

    cw_winding_destroy(&winding);
    return status;
}

static void own_blocks_are_used_and_looked_at(void **state)
{
    static char good[] = "M8\nT1", bad[] = "G91";
    cw_machine machine = coil_machine(CW_G33_K);
    cw_text text = { 0 };
    cw_error error;

    (void)state;
    machine.start_block = good;
    assert_int_equal(accept_with(&machine, &text, &error), CW_OK);
    assert_non_null(strstr(text.data, "\nM8\nT1\n"));
    cw_text_clear(&text);
    machine.start_block = bad;
    assert_int_equal(accept_with(&machine, &text, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "own start and end blocks"));
    assert_int_equal(text.length, 0);
}

static void machines_that_cannot_are_refused_with_a_sentence(void **state)
{
    cw_machine machine = coil_machine(CW_G33_K);
    cw_text text = { 0 };
    cw_error error;

    (void)state;
    machine.pitch_decimals = 1;
    assert_int_equal(accept_with(&machine, &text, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "pitch words have 1 decimals, too few"));
    machine = coil_machine(CW_G33_K);
    machine.code = CW_G99;
    assert_int_equal(accept_with(&machine, &text, &error), CW_BAD_INPUT);
    assert_string_equal(error.text, "A lathe-thread machine does not take the code g99.");
    machine = coil_machine(CW_G33_K);
    machine.guide_distance_m = 1;
    assert_int_equal(accept_with(&machine, &text, &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "past a flange"));
    machine = coil_machine(CW_G33_K);
    machine.block_time_s = NAN;
    machine.spin_up_s = -1;
    assert_int_equal(accept_with(&machine, &text, &error), CW_BAD_INPUT);
    assert_null(text.data);
}

static void stops_out_of_order_are_refused(void **state)
{
    const cw_program_stop stops[] = { { 100, "a" }, { 100, "b" } };
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_winding *winding = coil_lay(&plan);
    cw_machine machine = coil_machine(CW_G33_K);
    cw_program_request request = { .winding = winding, .machine = &machine, .stops = stops, .stop_count = 2 };
    cw_text text = { 0 };
    cw_error error;

    (void)state;
    assert_int_equal(cw_program_write(&request, &text, &error), CW_BAD_INPUT);
    assert_string_equal(error.text, "A stop is asked for at turn 100 of 400.");
    cw_winding_destroy(&winding);
}

static void every_failed_allocation_leaves_nothing_behind(void **state)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_winding *winding = coil_lay(&plan);
    cw_machine machine = coil_machine(CW_G95);
    cw_program_request request = { .winding = winding, .machine = &machine };
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_text text = { 0 };
        cw_replay *replay = NULL;

        cw_memory_fail_after(granted);
        status = cw_program_accept(&request, &text, &replay, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || (status == CW_NO_MEMORY && replay == NULL && text.length == 0));
        cw_replay_destroy(&replay);
        cw_text_clear(&text);
    }
    assert_int_equal(status, CW_OK);
    cw_winding_destroy(&winding);
}

static void same_job_gives_the_same_bytes(void **state)
{
    (void)state;
    for (size_t i = 0; i < CODES; i++) {
        cw_text one = ordinary(codes[i]), other = ordinary(codes[i]);

        assert_string_equal(one.data, other.data);
        cw_text_clear(&one);
        cw_text_clear(&other);
    }
}

/* ---- sheets -------------------------------------------------------------------------------------------------- */

typedef struct turn_times {
    double at_s[402];
} turn_times;

static void keep_time(void *context, const cw_laid_turn *turn)
{
    ((turn_times *)context)->at_s[turn->number] = turn->time_s;
}

/* Slow for the first and last three turns of each layer, where the code lets the speed change in a layer (winding
 * notes, section 6: common practice, no source). Layer 2 of 400 turns in rows of 62 or less, by the replay's clock. */
static void feed_lathes_and_winders_slow_down_at_the_flanges(void **state)
{
    static const cw_code slowing[] = { CW_G95, CW_G99, CW_ROTARY_A };
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);

    (void)state;
    for (size_t i = 0; i < sizeof slowing / sizeof *slowing; i++) {
        cw_machine machine = coil_machine(slowing[i]);
        cw_winding *winding = coil_lay(&plan);
        cw_program_request request = { .winding = winding, .machine = &machine };
        turn_times times = { { 0 } };
        cw_replay_request listening = { .machine = &machine, .winding = winding, .listener = keep_time,
                                        .context = &times };
        long first = winding->layers[0].turns, last = first + winding->layers[1].turns, middle = (first + last) / 2;
        cw_text text = { 0 };
        cw_replay *replay = NULL;

        machine.speed_rpm = 90;
        machine.slow_speed_rpm = 30;
        cw_machine_defaults(&machine);
        assert_int_equal(cw_program_write(&request, &text, NULL), CW_OK);
        assert_int_equal(cw_replay_text(&listening, text.data, text.length, &replay, NULL), CW_OK);
        assert_true(times.at_s[first + 3] - times.at_s[first + 1] >= 2 * 60 / 30.0 - 1e-6);
        assert_true(times.at_s[last - 1] - times.at_s[last - 3] >= 2 * 60 / 30.0 - 1e-6);
        assert_true(times.at_s[middle + 1] - times.at_s[middle] < 60 / 75.0);
        assert_true(replay->ok);
        cw_replay_destroy(&replay);
        cw_text_clear(&text);
        cw_winding_destroy(&winding);
    }
}

static void manual_lathe_gets_feed_and_gears(void **state)
{
    static const int gears[] = { 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 95, 110, 127 };
    cw_machine machine = coil_machine(CW_G33_K);
    cw_text text = { 0 };
    cw_error error;

    (void)state;
    machine.kind = CW_MANUAL_LATHE;
    machine.code = CW_NO_CODE;
    assert_int_equal(accept_with(&machine, &text, &error), CW_BAD_INPUT); /* nothing to choose from */
    machine.feeds_m[machine.feed_count++] = 0.3e-3;
    machine.feeds_m[machine.feed_count++] = 0.35e-3;
    machine.leadscrew_m = 3.175e-3;
    memcpy(machine.gears, gears, sizeof gears);
    machine.gear_count = sizeof gears / sizeof gears[0];
    assert_int_equal(accept_with(&machine, &text, &error), CW_OK);
    assert_non_null(strstr(text.data, "0.3500 mm a turn"));
    assert_null(strstr(text.data, "finer than the wire"));
    assert_non_null(strstr(text.data, "stays closed"));
    assert_non_null(strstr(text.data, "No gloves"));
    cw_text_clear(&text);
}

static void hand_winder_gets_layers_and_counter(void **state)
{
    cw_lay_plan plan = coil_plan(0.32e-3, 20e-3, 400);
    cw_winding *winding = coil_lay(&plan);
    cw_machine machine = coil_machine(CW_G33_K);
    cw_text text = { 0 };
    cw_error error;
    int boxes = 0;

    (void)state;
    machine.kind = CW_HAND;
    machine.code = CW_NO_CODE;
    assert_int_equal(accept_with(&machine, &text, &error), CW_OK);
    for (const char *at = text.data; (at = strstr(at, "[ ]")) != NULL; at++)
        boxes++;
    assert_int_equal(boxes, winding->layer_count);
    assert_non_null(strstr(text.data, "400 turns at the end"));
    cw_text_clear(&text);
    cw_winding_destroy(&winding);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_program_holds_a_word_that_its_dialect_reads_otherwise),
        cmocka_unit_test(units_stand_alone),
        cmocka_unit_test(comments_are_short_plain_and_in_capitals),
        cmocka_unit_test(line_numbers_have_five_digits_and_begin_again),
        cmocka_unit_test(counter_stands_behind_every_layer),
        cmocka_unit_test(header_has_wire_tension_and_cautions),
        cmocka_unit_test(rotary_blocks_hold_what_eight_digits_can),
        cmocka_unit_test(insulation_and_stops_halt_the_spindle_first),
        cmocka_unit_test(dry_run_stays_clear_and_may_stop_after_each_layer),
        cmocka_unit_test(inches_and_decimals_are_the_machines),
        cmocka_unit_test(own_blocks_are_used_and_looked_at),
        cmocka_unit_test(machines_that_cannot_are_refused_with_a_sentence),
        cmocka_unit_test(stops_out_of_order_are_refused),
        cmocka_unit_test(every_failed_allocation_leaves_nothing_behind),
        cmocka_unit_test(same_job_gives_the_same_bytes),
        cmocka_unit_test(feed_lathes_and_winders_slow_down_at_the_flanges),
        cmocka_unit_test(manual_lathe_gets_feed_and_gears),
        cmocka_unit_test(hand_winder_gets_layers_and_counter),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
