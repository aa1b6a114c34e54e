/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random coils on random machines: every program replays to the planned turns exactly, and every turn comes to lie
 * within 0.02 mm of where the winding itself (not the writer's own path) wants it.
 *
 * What may be added to the 0.02 mm, each from the numeric control notes [NC] or the winding notes, section 3:
 * - a step of the pitch word for each turn of a full layer, where the machine's decimals are fewer than usual [NC 10];
 * - what is laid while the guide stands at a flange, a stop or the end, one beside the other;
 * - the swing of the free wire after a reversal, 2 p C exp(-s/C).
 *
 * CW_NC_JOBS in the environment sets how many coils; the same seed gives the same ones. */
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

static const double pi = 3.14159265358979323846;

typedef struct dice {
    uint64_t state;
} dice;

static double throw(dice *at) /* 0 to 1 */
{
    at->state = at->state * 6364136223846793005u + 1442695040888963407u;
    return (double)(at->state >> 11) / 9007199254740992.0;
}

static double between(dice *at, double low, double high)
{
    return low + (high - low) * throw(at);
}

static bool chance(dice *at, double share)
{
    return throw(at) < share;
}

/* ---- jobs ---------------------------------------------------------------------------------------------------- */

typedef struct job {
    cw_lay_plan plan;
    cw_winding *winding;
    cw_machine machine;
    cw_program_stop stops[3];
    cw_program_request request;
} job;

static void make_coil(dice *at, job *made)
{
    double overall_m = exp(between(at, log(0.06e-3), log(2.2e-3)));
    double length_m = overall_m * between(at, 8, 120);
    cw_lay_plan *plan = &made->plan;

    *plan = coil_plan(overall_m, length_m, 10 + (long)(exp(between(at, 0, log(4000)))));
    plan->window.inner_m[0] = plan->window.inner_m[1] = between(at, 8e-3, 120e-3);
    plan->in_hand = chance(at, 0.2) ? 2 : 1;
    plan->lay = chance(at, 0.6) ? CW_LEVEL : chance(at, 0.6) ? CW_NESTED : CW_RANDOM;
    plan->pitch_factor = between(at, 1.0, 1.1);
    plan->insulation_every = chance(at, 0.3) ? 1 + (int)(throw(at) * 4) : 0;
    plan->insulation_m = 0.05e-3;
    made->winding = coil_lay(plan);
}

static void make_machine(dice *at, cw_code code, job *made)
{
    cw_machine *machine = &made->machine;

    *machine = coil_machine(code);
    machine->inches = chance(at, 0.3);
    machine->speed_rpm = between(at, 15, 400);
    if (chance(at, 0.5))
        machine->slow_speed_rpm = between(at, 5, 60);
    machine->spin_up_s = between(at, 0, 5);
    machine->spin_down_s = between(at, 0, 5);
    machine->acceleration_m_s2 = between(at, 0.05, 3);
    machine->block_time_s = between(at, 0, 0.08);
    machine->backlash_m = chance(at, 0.3) ? between(at, 0, 0.1e-3) : 0;
    machine->guide_distance_m = chance(at, 0.2) ? between(at, 5e-3, 60e-3) : 0;
    machine->clearance_m = 10e-3;
    machine->pitch_decimals = chance(at, 0.15) ? (machine->inches ? 5 : 3) : -1;
    machine->reverse = chance(at, 0.3);
    machine->chained = chance(at, 0.3);
    machine->stop_stops_spindle = chance(at, 0.3);
    machine->line_numbers = chance(at, 0.3);
    machine->semicolon_comments = chance(at, 0.3);
    machine->diameter = chance(at, 0.5);
    if (chance(at, 0.5)) {
        machine->guide_near_m = 60e-3;
        machine->guide_clear_m = 90e-3;
    }
}

static void make_job(dice *at, cw_code code, job *made)
{
    long turn = 0;

    memset(made, 0, sizeof *made);
    make_coil(at, made);
    make_machine(at, code, made);
    made->request.winding = made->winding;
    made->request.machine = &made->machine;
    made->request.job = "random";
    made->request.dry_run = chance(at, 0.1);
    made->request.stops = made->stops;
    for (size_t i = 0; i < 3 && chance(at, 0.3); i++) {
        turn += 1 + (long)(throw(at) * (double)(made->plan.turns - turn - 1));
        if (turn >= made->plan.turns)
            break;
        made->stops[made->request.stop_count++] = (cw_program_stop){ turn, "tap" };
    }
}

/* ---- turns --------------------------------------------------------------------------------------------------- */

typedef struct places {
    double *wire_m, *guide_m;
    long count, most;
} places;

static void keep(void *context, const cw_laid_turn *turn)
{
    places *kept = context;

    kept->count++;
    if (turn->number != kept->count || turn->number > kept->most)
        return;
    kept->wire_m[turn->number] = turn->wire_m;
    kept->guide_m[turn->number] = turn->guide_m;
}

static bool is_stop(const job *at, long turn)
{
    for (size_t i = 0; i < at->request.stop_count; i++)
        if (at->stops[i].turn == turn)
            return true;
    return turn == at->winding->turns;
}

/* The winding's own words: half a turn at start_m, then pitch_m a turn to end_m. */
static double planned(const cw_layer *layer, double turns)
{
    double travel = fabs(layer->end_m - layer->start_m), way = (turns - 0.5) * layer->pitch_m;

    return layer->start_m + layer->direction * fmin(fmax(way, 0), travel);
}

/* How far the guide runs ahead of the wire in a steady traverse, p C with C = D/(2 pi r). */
static double lead_of(const job *at, const cw_layer *layer)
{
    return layer->pitch_m * at->machine.guide_distance_m / (pi * layer->diameter_m);
}

static double allowance(const job *at, const cw_layer *layer, const cw_replay_layer *laid, long turn, double turns)
{
    const cw_machine *machine = &at->machine;
    double allowed = 20e-6;

    if (machine->pitch_decimals >= 0)
        allowed += (double)at->winding->turns_per_layer * (machine->inches ? 0.0254 : 0.001) *
                   pow(10, -machine->pitch_decimals);
    if (turns <= laid->parked_turns)
        allowed += laid->parked_turns * layer->pitch_m;
    if (is_stop(at, turn) || is_stop(at, turn - 1))
        allowed += layer->pitch_m;
    if (turns <= laid->parked_turns || turns == (double)layer->turns)
        allowed += 2 * lead_of(at, layer) + 3e-6; /* the guide steps over to the next layer's side */
    return allowed;
}

/* Turns since the guide set off in this layer, at its start or after the last stop in it. */
static double undisturbed(const job *at, const cw_replay_layer *laid, long before, long turn)
{
    long since = before;

    for (size_t i = 0; i < at->request.stop_count; i++)
        if (at->stops[i].turn < turn && at->stops[i].turn > since)
            since = at->stops[i].turn;
    return fmax(0, (double)(turn - since) - (since == before ? laid->parked_turns : 1.5));
}

static void check_turn(const job *at, const cw_layer *layer, const cw_replay_layer *laid, const places *kept,
                       long before, long turn)
{
    double place = kept->guide_m[before + turn] - layer->direction * lead_of(at, layer);
    double wanted = planned(layer, (double)turn), allowed = allowance(at, layer, laid, before + turn, (double)turn);

    if (fabs(place - wanted) > allowed)
        fail_msg("turn %ld of %ld lies %.4f mm off", turn, layer->turns, (place - wanted) * 1e3);
    if (at->machine.guide_distance_m > 0)
        allowed += 3 * lead_of(at, layer) * exp(-undisturbed(at, laid, before, before + turn) * layer->pitch_m /
                                                lead_of(at, layer));
    if (fabs(kept->wire_m[before + turn] - wanted) > allowed)
        fail_msg("turn %ld of %ld swings %.4f mm off", turn, layer->turns,
                 (kept->wire_m[before + turn] - wanted) * 1e3);
}

static void check_places(const job *at, const cw_replay *replay, const places *kept)
{
    long before = 0;

    assert_int_equal(kept->count, at->winding->turns);
    for (size_t i = 0; i < at->winding->layer_count; i++) {
        for (long turn = 1; turn <= at->winding->layers[i].turns; turn++)
            check_turn(at, &at->winding->layers[i], &replay->layers[i], kept, before, turn);
        before += at->winding->layers[i].turns;
    }
}

static void check_job(const job *at, const cw_text *text)
{
    size_t room = (size_t)at->winding->turns + 1;
    places kept = { calloc(room, sizeof(double)), calloc(room, sizeof(double)), 0, at->winding->turns };
    cw_replay_request request = { .machine = &at->machine, .winding = at->winding, .listener = keep, .context = &kept };
    cw_replay *replay = NULL;
    cw_error error;

    assert_non_null(kept.wire_m);
    assert_non_null(kept.guide_m);
    assert_int_equal(cw_replay_text(&request, text->data, text->length, &replay, &error), CW_OK);
    assert_true(replay->ok);
    assert_true(replay->turns == (double)at->winding->turns);
    if (replay->layer_count == at->winding->layer_count) { /* a layer that has no room to travel does not show */
        for (size_t i = 0; i < replay->layer_count; i++)
            assert_true(replay->layers[i].turns == (double)at->winding->layers[i].turns);
        check_places(at, replay, &kept);
    }
    cw_replay_destroy(&replay);
    free(kept.wire_m);
    free(kept.guide_m);
}

/* ---- the property -------------------------------------------------------------------------------------------- */

static long job_count(void)
{
    const char *wish = getenv("CW_NC_JOBS");

    return wish != NULL ? strtol(wish, NULL, 10) : 2400;
}

static void every_program_replays_to_its_winding(void **state)
{
    const cw_code code = *(const cw_code *)*state;
    dice at = { 20240229u + (uint64_t)code };
    long wound = 0, refused = 0;

    for (long i = 0; i < job_count() / CW_NO_CODE; i++) {
        cw_text text = { 0 };
        cw_error error;
        cw_status status;
        job made;

        make_job(&at, code, &made);
        status = cw_program_accept(&made.request, &text, NULL, &error);
        if (status == CW_OK)
            check_job(&made, &text);
        else if (status != CW_BAD_INPUT)
            fail_msg("job %ld: %s", i, error.text);
        else
            assert_int_equal(text.length, 0);
        wound += status == CW_OK;
        refused += status == CW_BAD_INPUT;
        cw_text_clear(&text);
        cw_winding_destroy(&made.winding);
    }
    assert_true(refused <= wound / 10); /* a refusal is for the odd machine, not a way out */
}

int main(void)
{
    static const cw_code codes[] = { CW_G33_K, CW_G32_F, CW_G33_F, CW_G95, CW_G99, CW_ROTARY_A };
    struct CMUnitTest tests[CW_NO_CODE];
    static char names[CW_NO_CODE][80];

    for (size_t i = 0; i < CW_NO_CODE; i++) {
        snprintf(names[i], sizeof names[i], "every_program_replays_to_its_winding: %s", cw_code_name(codes[i]));
        tests[i] = (struct CMUnitTest){ names[i], every_program_replays_to_its_winding, NULL, NULL,
                                        (void *)(uintptr_t)&codes[i] };
    }
    return _cmocka_run_group_tests("property", tests, CW_NO_CODE, NULL, NULL);
}
