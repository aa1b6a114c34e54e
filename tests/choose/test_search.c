/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The search against brute force: every number of turns of every wire, weighed one by one. */
#include "choose/choose_internal.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

/* splitmix64, a public algorithm */
static uint64_t next(uint64_t *state)
{
    uint64_t z = *state += 0x9e3779b97f4a7c15u;

    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
    z = (z ^ z >> 27) * 0x94d049bb133111ebu;
    return z ^ z >> 31;
}

static double between(uint64_t *state, double low, double high)
{
    return low + (high - low) * (double)(next(state) >> 11) * 0x1p-53;
}

static bool now_and_then(uint64_t *state, int one_in)
{
    return next(state) % (uint64_t)one_in == 0;
}

static cw_wire some_wire(void **catalogue, uint64_t *state)
{
    cw_wire wire;

    for (;;) {
        const cw_wire_size *size = cw_wire_size_at(*catalogue, next(state) % cw_wire_size_count(*catalogue));
        const cw_build build = (cw_build)(next(state) % (CW_TRIPLE + 1));

        if (size->diameter_m.nominal > 0.08e-3 && size->diameter_m.nominal < 0.8e-3 &&
            cw_wire_make(*catalogue, size, build, CW_COPPER, &wire, NULL) == CW_OK)
            return wire;
    }
}

static cw_window some_window(uint64_t *state)
{
    cw_window window = { .shape = (cw_shape)(next(state) % CW_SHAPE_COUNT) };

    window.inner_m[1] = between(state, 10e-3, 40e-3);
    window.inner_m[0] = window.inner_m[1] * (window.shape == CW_ROUND ? 1 : between(state, 1, 2));
    window.corner_radius_m = between(state, 0, 4e-3);
    window.length_m = between(state, 6e-3, 20e-3);
    window.depth_m = between(state, 1.2e-3, 5e-3);
    return window;
}

/* An original that filled its window to between half and a little too much, so that every wish binds now and then. */
static void some_original(void **catalogue, uint64_t *state, cw_choice_request *request)
{
    cw_lay_plan plan = { .window = request->window, .wire = some_wire(catalogue, state), .turns = 1 };
    const double d = plan.wire.overall_diameter_m.nominal;
    cw_winding *winding;
    double ohm;

    plan.turns = 1 + (long)(between(state, 0.4, 1.2) * request->window.length_m * request->window.depth_m / (d * d));
    assert_int_equal(cw_winding_lay(&plan, &winding, NULL), CW_OK);
    ohm = winding->resistance_20c_ohm;
    cw_winding_destroy(&winding);
    request->original = (cw_original){ .wire_known = !now_and_then(state, 4), .wire = plan.wire, .in_hand = 1 };
    request->original.resistance_20c_ohm = (cw_interval){ ohm, ohm, ohm };
    request->original.turns = (cw_interval){ (double)plan.turns, (double)plan.turns, (double)plan.turns };
    if (now_and_then(state, 4))
        request->original.turns.p50 = NAN;
    request->supply.voltage_v = sqrt(between(state, 2, 40) * ohm);
    if (now_and_then(state, 4))
        request->original.supply_voltage_v = request->supply.voltage_v * between(state, 0.2, 4);
}

static void some_wishes(uint64_t *state, cw_choice_request *request)
{
    cw_wanted *wanted = &request->wanted;

    wanted->given = true;
    wanted->resistance_tolerance = now_and_then(state, 3) ? between(state, 0.005, 0.1) : NAN;
    wanted->thermal_class_c = now_and_then(state, 2) ? 180 : 105;
    wanted->lay_given = true;
    wanted->lay = (cw_lay)(next(state) % CW_LAY_COUNT);
    if (now_and_then(state, 4)) {
        wanted->resistance_rule = CW_EXACTLY;
        wanted->resistance_ohm = request->original.resistance_20c_ohm.p50 * between(state, 0.5, 1.5);
    }
    if (now_and_then(state, 4)) {
        wanted->ampere_turns_rule = CW_AT_LEAST;
        wanted->ampere_turns = between(state, 50, 1500);
    }
    if (now_and_then(state, 6))
        request->original.resistance_20c_ohm.p50 = NAN;
    if (now_and_then(state, 6))
        request->supply.kind = CW_AC;
    if (now_and_then(state, 6))
        request->supply.given = false;
}

static void some_stock(void **catalogue, uint64_t *state, cw_spool stock[3], cw_choice_request *request)
{
    request->stock = stock;
    request->stock_count = next(state) % 4;
    for (size_t i = 0; i < request->stock_count; i++) {
        const cw_wire wire = some_wire(catalogue, state);

        stock[i] = (cw_spool){ .build = wire.build, .thermal_class_c = 155, .mass_kg = between(state, 0.05, 1),
                               .length_m = NAN, .price = NAN };
        memcpy(stock[i].size, wire.size.name, sizeof stock[i].size);
    }
}

/* A job with few enough wires for brute force: one system of sizes, one build. */
static void some_job(void **catalogue, uint64_t *state, cw_spool stock[3], cw_choice_request *request)
{
    memset(request, 0, sizeof *request);
    request->window = some_window(state);
    request->supply = (cw_supply){ .given = true, .duty_share = now_and_then(state, 2) ? 1 : 0.4,
                                   .duty_period_s = 300, .ambient_c = between(state, 10, 45) };
    some_original(catalogue, state, request);
    some_wishes(state, request);
    some_stock(catalogue, state, stock, request);
    request->systems = 1u << next(state) % CW_SIZE_SYSTEM_COUNT;
    request->builds = 1u << next(state) % (CW_TRIPLE + 1);
    request->most_in_hand = 1 + (int)(next(state) % 2);
    request->finest_m = now_and_then(state, 3) ? 0.15e-3 : 0;
}

typedef struct found {
    double points;
    unsigned missed;
} found;

/* Every number of turns that surely fits. That fewer turns always fit better is tested in test_probability.c. */
static void weigh_all(const cw_choose__problem *problem, const cw_choose__case *one, found *best)
{
    cw_choose__ladder ladder;
    cw_lay_plan plan;
    long low = 0, high;

    cw_choose__plan_of(problem, one, &plan);
    if (cw_choose__ladder_make(&plan, 1.5, &ladder, NULL) != CW_OK)
        return;
    for (high = ladder.most + 1; high - low > 1;) {
        const long middle = plan.turns = (low + high) / 2;

        if (cw_choice_fit_probability(&plan, &problem->request->doubts) >= CW_CHOOSE__SURE)
            low = middle;
        else
            high = middle;
    }
    for (long turns = 1; turns <= low; turns++) {
        unsigned missed;
        const double points = cw_choose__points(problem, one, turns, low,
                                                cw_choose__ladder_length(&ladder, turns), &missed);

        if (points < best->points)
            *best = (found){ points, missed };
    }
    cw_choose__ladder_clear(&ladder);
}

static void weigh_wire(const cw_choose__problem *problem, const cw_wire *wire, found *best)
{
    for (int k = 1; k <= problem->request->most_in_hand; k++) {
        const double stated = cw_choose__shelf_class(problem, wire);
        cw_choose__case one = { .wire = *wire, .in_hand = k, .shelf_m = cw_choose__shelf_length(problem, wire) };

        one.limit_c = isnan(stated) ? problem->class_c : fmin(stated, problem->class_c);
        one.fine = problem->request->finest_m > wire->size.diameter_m.nominal * (1 + 1e-9);
        one.fixed = cw_choose__fixed_points(problem, &one);
        weigh_all(problem, &one, best);
    }
}

static found brute_force(const cw_choice_request *request, const cw_wire_catalogue *catalogue)
{
    found best = { INFINITY, 0 };
    cw_choose__problem problem;

    assert_int_equal(cw_choose__prepare(request, catalogue, &problem, NULL), CW_OK);
    for (size_t i = 0; i < cw_wire_size_count(catalogue); i++)
        for (int build = 0; build < CW_BARE; build++) {
            cw_wire wire;

            if (cw_wire_make(catalogue, cw_wire_size_at(catalogue, i), (cw_build)build, CW_COPPER, &wire, NULL) != CW_OK)
                continue;
            if (((request->systems >> wire.size.system & 1u) != 0 && (request->builds >> build & 1u) != 0) ||
                cw_choose__shelf_length(&problem, &wire) > 0)
                weigh_wire(&problem, &wire, &best);
        }
    return best;
}

static void brute_force_finds_nothing_better_in_200_jobs(void **state)
{
    uint64_t lots = 4711;
    int with_no = 0, with_yes = 0, of_wish[5] = { 0 };

    for (int job = 0; job < 200; job++) {
        cw_choice_request request;
        cw_spool stock[3];
        cw_choice *choice;
        cw_error error;
        found best;

        some_job(state, &lots, stock, &request);
        if (cw_choose(&request, *state, &choice, &error) != CW_OK)
            fail_msg("job %d: %s", job, error.text);
        if (choice->wires_tried == 0 && choice->option_count == 0) { /* nothing says what to wind for */
            cw_choice_destroy(&choice);
            continue;
        }
        best = brute_force(&request, *state);
        if (isinf(best.points)) {
            assert_int_equal(choice->option_count, 0);
        } else {
            if (fabs(100 - best.points - choice->options[0].score) > 1e-9)
                print_error("job %d\n", job);
            assert_near(choice->options[0].score, 100 - best.points, 1e-9);
            assert_int_equal(choice->options[0].missed, best.missed);
            with_yes += choice->chosen != NULL;
            with_no += choice->chosen == NULL;
            for (int wish = 0; wish < 5; wish++)
                of_wish[wish] += (best.missed >> wish & 1u) != 0;
        }
        cw_choice_destroy(&choice);
    }
    /* the lots reach both answers, and every wish that can be missed */
    assert_true(with_no >= 20 && with_yes >= 20);
    assert_true(of_wish[1] > 0 && of_wish[2] > 0 && of_wish[3] > 0);
}

static void lengths_from_the_ladder_are_those_of_a_laid_winding(void **state)
{
    uint64_t lots = 99;

    for (int i = 0; i < 60; i++) {
        cw_lay_plan plan = { .window = some_window(&lots), .wire = some_wire(state, &lots), .turns = 1,
                             .lay = (cw_lay)(i % CW_LAY_COUNT), .in_hand = 1 + i % 4 };
        cw_choose__ladder ladder;
        cw_winding *winding;

        plan.insulation_every = i % 5;
        plan.insulation_m = 6e-5;
        cw_winding_defaults(&plan);
        if (cw_choose__ladder_make(&plan, 1.0, &ladder, NULL) != CW_OK)
            continue;
        plan.turns = 1 + (long)(next(&lots) % (uint64_t)ladder.most);
        assert_int_equal(cw_winding_lay(&plan, &winding, NULL), CW_OK);
        assert_near(cw_choose__ladder_length(&ladder, plan.turns), winding->length_m, 1e-9 * winding->length_m);
        assert_near(cw_choose__ladder_turns(&ladder, winding->length_m), (double)plan.turns, 1e-6);
        cw_winding_destroy(&winding);
        cw_choose__ladder_clear(&ladder);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(brute_force_finds_nothing_better_in_200_jobs),
        cmocka_unit_test(lengths_from_the_ladder_are_those_of_a_laid_winding),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
