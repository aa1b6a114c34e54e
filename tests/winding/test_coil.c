/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Margins, start lead, wrap, taps, and several windings on one former: each against a plain winding that must come out
 * the same. */
#include "coilwright/winding.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

/* An invented coil to vary from. */
static cw_lay_plan everyday(void **state)
{
    cw_lay_plan plan = { .turns = 1237, .voltage_v = 87 };

    plan.window = (cw_window){ .shape = CW_ROUND, .inner_m = { 38.3e-3, 38.3e-3 }, .length_m = 51.7e-3,
                               .depth_m = 9.2e-3 };
    plan.wire = wire_of(state, "27 AWG", CW_HEAVY);
    return plan;
}

static cw_winding *lay(const cw_lay_plan *plan)
{
    cw_winding *winding = NULL;
    cw_error error;

    if (cw_winding_lay(plan, &winding, &error) != CW_OK)
        fail_msg("%s", error.text);
    return winding;
}

static cw_coil *lay_coil(const cw_coil_plan *plan)
{
    cw_coil *coil = NULL;
    cw_error error;

    if (cw_coil_lay(plan, &coil, &error) != CW_OK)
        fail_msg("%s", error.text);
    return coil;
}

static void set_shape(cw_lay_plan *plan, cw_shape shape)
{
    plan->window.shape = shape;
    plan->window.inner_m[1] = shape == CW_ROUND ? plan->window.inner_m[0] : 24.9e-3;
    plan->window.corner_radius_m = 2.7e-3;
}

static void margins_and_lead_make_the_window_shorter_and_move_the_wire(void **state)
{
    for (int i = 0; i < 2 * CW_SHAPE_COUNT * CW_LAY_COUNT; i++) {
        cw_lay_plan plan = everyday(state), shorter;
        cw_winding *with, *without;

        set_shape(&plan, (cw_shape)(i % CW_SHAPE_COUNT));
        plan.lay = (cw_lay)(i / CW_SHAPE_COUNT % CW_LAY_COUNT);
        plan.in_hand = 1 + i / (CW_SHAPE_COUNT * CW_LAY_COUNT);
        shorter = plan;
        plan.margin_start_m = 1.3e-3;
        plan.sleeve_m = 2.1e-3;
        plan.margin_end_m = 0.9e-3;
        shorter.window.length_m -= 1.3e-3 + 2.1e-3 + 0.9e-3;
        with = lay(&plan);
        without = lay(&shorter);
        assert_near(cw_winding_clear_length(&plan), shorter.window.length_m, 1e-15);
        assert_int_equal(with->layer_count, without->layer_count);
        assert_near(with->length_m, without->length_m, 1e-9);
        assert_near(with->depth_m, without->depth_m, 1e-12);
        for (size_t j = 0; j < with->layer_count; j++) {
            assert_near(with->layers[j].start_m, without->layers[j].start_m + 3.4e-3, 1e-12);
            assert_near(with->layers[j].end_m, without->layers[j].end_m + 3.4e-3, 1e-12);
        }
        cw_winding_destroy(&with);
        cw_winding_destroy(&without);
    }
}

static void a_wrap_takes_its_thickness_from_the_room(void **state)
{
    cw_lay_plan plan = everyday(state);
    cw_winding *bare = lay(&plan), *wrapped;

    plan.wrap_m = 0.35e-3;
    wrapped = lay(&plan);
    assert_near(wrapped->depth_m, bare->depth_m, 0);
    assert_near(wrapped->spare_m, bare->spare_m - 0.35e-3, 1e-15);
    cw_winding_destroy(&wrapped);
    plan.window.depth_m = bare->depth_m + 0.34e-3;
    wrapped = lay(&plan);
    assert_false(wrapped->fits);
    cw_winding_destroy(&wrapped);
    cw_winding_destroy(&bare);
}

/* A base of thickness h on a round or obround former is a former greater by h all round. */
static void a_base_is_a_thicker_former(void **state)
{
    for (int i = 0; i < 2 * CW_LAY_COUNT; i++) {
        cw_lay_plan plan = everyday(state), thicker;
        cw_winding *based, *other;

        set_shape(&plan, i % 2 == 0 ? CW_ROUND : CW_OBROUND);
        plan.lay = (cw_lay)(i / 2);
        plan.bulge = 1e-9; /* the bulge starts at the former, not at the base */
        thicker = plan;
        plan.base_m = 1.7e-3;
        thicker.window.inner_m[0] += 2 * 1.7e-3;
        thicker.window.inner_m[1] += 2 * 1.7e-3;
        thicker.window.depth_m -= 1.7e-3;
        based = lay(&plan);
        other = lay(&thicker);
        assert_near(based->length_m, other->length_m, 1e-6);
        assert_near(based->spare_m, other->spare_m, 1e-9);
        assert_near(based->layers[0].height_m, other->layers[0].height_m + 1.7e-3, 1e-12);
        cw_winding_destroy(&based);
        cw_winding_destroy(&other);
    }
}

static void beginning_at_the_far_flange_is_the_mirror_image(void **state)
{
    for (int lay_kind = 0; lay_kind < CW_LAY_COUNT; lay_kind++) {
        cw_lay_plan plan = everyday(state);
        cw_winding *near, *far;

        plan.lay = (cw_lay)lay_kind;
        near = lay(&plan);
        plan.from_far = true;
        far = lay(&plan);
        assert_int_equal(near->layer_count, far->layer_count);
        for (size_t i = 0; i < near->layer_count; i++) {
            assert_int_equal(near->layers[i].direction, -far->layers[i].direction);
            assert_near(near->layers[i].start_m, plan.window.length_m - far->layers[i].start_m, 1e-12);
            assert_near(near->layers[i].end_m, plan.window.length_m - far->layers[i].end_m, 1e-12);
        }
        assert_near(near->length_m, far->length_m, 0);
        cw_winding_destroy(&near);
        cw_winding_destroy(&far);
    }
}

/* What is wound up to a tap is a winding of that many turns. */
static void a_tap_is_where_a_shorter_winding_ends(void **state)
{
    cw_lay_plan plan = everyday(state), shorter = plan;
    cw_winding *tapped;

    plan.taps[0] = 1;
    plan.taps[1] = 411;
    plan.taps[2] = 900;
    plan.tap_count = 3;
    tapped = lay(&plan);
    assert_int_equal(tapped->tap_count, 3);
    for (size_t i = 0; i < 3; i++) {
        const cw_tap *tap = &tapped->taps[i];
        cw_winding *upto;

        shorter.turns = plan.taps[i];
        upto = lay(&shorter);
        assert_int_equal(tap->turns, plan.taps[i]);
        assert_int_equal(tap->layer, upto->layer_count - 1);
        assert_near(tap->length_m, upto->length_m, 1e-9);
        assert_near(tap->resistance_ohm, upto->resistance_20c_ohm, 1e-9);
        assert_near(tap->at_m, upto->layers[upto->layer_count - 1].end_m, 1e-9);
        assert_near(tap->height_m, upto->layers[upto->layer_count - 1].height_m, 0);
        cw_winding_destroy(&upto);
    }
    cw_winding_destroy(&tapped);
}

/* Paper goes on at each tap [winding: section 7], where there is any. */
static void a_sheet_goes_over_a_tap(void **state)
{
    cw_lay_plan plan = everyday(state);
    cw_winding *winding;

    plan.insulation_m = 0.05e-3;
    plan.taps[0] = 500;
    plan.tap_count = 1;
    winding = lay(&plan);
    for (size_t i = 0; i < winding->layer_count; i++)
        assert_int_equal(winding->layers[i].insulation_after, i == winding->taps[0].layer);
    cw_winding_destroy(&winding);
}

/* Section 2.2: in the step sector wires stack by d: m d for m layers. */
static void where_nested_wires_cross_they_stack(void **state)
{
    cw_lay_plan plan = everyday(state);
    cw_winding *winding;

    plan.lay = CW_NESTED;
    winding = lay(&plan);
    assert_near(winding->crossover_m, (double)winding->layer_count * plan.wire.overall_diameter_m.nominal, 1e-12);
    assert_true(winding->crossover_m > winding->depth_m);
    cw_winding_destroy(&winding);
}

/* A random winding may put its whole voltage between neighbours [winding: section 2.3]; an ordered one that of two
 * layers, 2 V/L for L full ones [winding: section 7]. */
static void the_greatest_voltage_between_layers_is_named(void **state)
{
    cw_lay_plan plan = everyday(state);
    cw_winding *winding = lay(&plan);

    plan.turns = 10 * winding->turns_per_layer;
    cw_winding_destroy(&winding);
    winding = lay(&plan);
    assert_int_equal(winding->layer_count, 10);
    assert_near(winding->greatest_layer_voltage_v, 2 * 87.0 / 10, 1e-9);
    cw_winding_destroy(&winding);
    plan.lay = CW_RANDOM;
    winding = lay(&plan);
    assert_near(winding->greatest_layer_voltage_v, 87, 0);
    cw_winding_destroy(&winding);
}

/* Two parts of one wire, the first of whole layers, with nothing between: one winding, if layers stack by d. */
static void two_parts_of_one_wire_are_one_winding(void **state)
{
    cw_coil_plan plan = { .common = everyday(state), .part_count = 2 };
    cw_winding *whole;
    cw_coil *coil;

    for (int layers = 1; layers <= 4; layers++) {
        cw_lay_plan one = everyday(state);

        one.rise_factor = plan.common.rise_factor = 1;
        whole = lay(&one);
        plan.parts[0] = (cw_coil_part){ one.wire, 1, whole->turns_per_layer * layers };
        plan.parts[1] = (cw_coil_part){ one.wire, 1, one.turns - plan.parts[0].turns };
        coil = lay_coil(&plan);
        assert_int_equal(coil->turns, whole->turns);
        assert_near(coil->length_m, whole->length_m, 1e-9);
        assert_near(coil->resistance_20c_ohm, whole->resistance_20c_ohm, 1e-9);
        assert_near(coil->mass_kg, whole->mass_kg, 1e-12);
        assert_near(coil->depth_m, whole->depth_m, 1e-12);
        assert_near(coil->spare_m, whole->spare_m, 1e-12);
        assert_int_equal(coil->parts[1]->layers[0].direction, whole->layers[layers].direction);
        assert_near(coil->parts[1]->layers[0].start_m, whole->layers[layers].start_m, 1e-12);
        assert_near(coil->between_voltage_v, whole->layers[layers].voltage_to_below_v, 1e-9);
        cw_coil_destroy(&coil);
        cw_winding_destroy(&whole);
    }
}

/* A random winding has no layers that must be whole: wherever it is divided, section adds to section. */
/* Full layers of a wire and more of the same on them, joined, are the winding that was never divided. */
static void two_parts_joined_are_one_winding(void **state)
{
    for (int shape = 0; shape < CW_SHAPE_COUNT; shape++) {
        for (int full = 1; full < 6; full++) {
            cw_lay_plan plan = everyday(state);
            cw_coil_plan parts = { .part_count = 2, .arrangement = CW_ONE_ON_ANOTHER };
            cw_winding *one, *joined;
            cw_coil *coil;

            set_shape(&plan, (cw_shape)shape);
            plan.in_hand = 1;
            one = lay(&plan);
            parts.common = plan;
            parts.parts[0] = (cw_coil_part){ plan.wire, 1, one->layers[full - 1].turns_total };
            parts.parts[1] = (cw_coil_part){ plan.wire, 1, plan.turns - parts.parts[0].turns };
            coil = lay_coil(&parts);
            assert_int_equal(cw_coil_join(coil, &joined, NULL), CW_OK);
            assert_int_equal(joined->second_layer, full);
            assert_int_equal(joined->layer_count, one->layer_count);
            assert_int_equal(joined->turns, one->turns);
            assert_near(joined->length_m, one->length_m, 2e-3 * one->length_m);
            assert_near(joined->resistance_20c_ohm, one->resistance_20c_ohm, 2e-3 * one->resistance_20c_ohm);
            assert_near(joined->mass_kg, one->mass_kg, 2e-3 * one->mass_kg);
            assert_near(joined->plan.voltage_v, one->plan.voltage_v, 1e-9);
            for (size_t i = 0; i < one->layer_count; i++) {
                assert_int_equal(joined->layers[i].turns_total, one->layers[i].turns_total);
                assert_int_equal(joined->layers[i].direction, one->layers[i].direction);
                assert_near(joined->layers[i].start_m, one->layers[i].start_m, 1e-9);
                assert_true(i == 0 || joined->layers[i].length_total_m > joined->layers[i - 1].length_total_m);
            }
            assert_near(joined->layers[joined->layer_count - 1].length_total_m, joined->length_m, 1e-9);
            cw_winding_destroy(&joined);
            cw_coil_destroy(&coil);
            parts.parts[0].turns -= 5; /* ends within its layer */
            coil = lay_coil(&parts);
            assert_int_equal(cw_coil_join(coil, &joined, NULL), CW_BAD_INPUT);
            assert_null(joined);
            cw_coil_destroy(&coil);
            cw_winding_destroy(&one);
        }
    }
}

static void two_random_parts_of_one_wire_are_as_deep_as_one(void **state)
{
    for (int shape = 0; shape < CW_SHAPE_COUNT; shape++)
        for (long first = 7; first < 1237; first += 111) {
            cw_coil_plan plan = { .common = everyday(state), .part_count = 2 };
            cw_lay_plan one;
            cw_winding *whole;
            cw_coil *coil;

            set_shape(&plan.common, (cw_shape)shape);
            plan.common.lay = CW_RANDOM;
            one = plan.common;
            whole = lay(&one);
            plan.parts[0] = (cw_coil_part){ one.wire, 1, first };
            plan.parts[1] = (cw_coil_part){ one.wire, 1, one.turns - first };
            coil = lay_coil(&plan);
            assert_near(coil->depth_m, whole->depth_m, 1e-12);
            cw_coil_destroy(&coil);
            cw_winding_destroy(&whole);
        }
}

static void sections_share_the_length_and_stand_side_by_side(void **state)
{
    cw_coil_plan plan = { .common = everyday(state), .part_count = 3, .arrangement = CW_SIDE_BY_SIDE,
                          .between_m = 1.1e-3 };
    const double room = (51.7e-3 - 2 * 1.1e-3) / 3;
    cw_coil *coil;
    double ohm = 0;

    for (size_t i = 0; i < 3; i++)
        plan.parts[i] = (cw_coil_part){ plan.common.wire, 1, 300 + (long)i };
    coil = lay_coil(&plan);
    assert_int_equal(coil->part_count, 3);
    for (size_t i = 0; i < 3; i++) {
        cw_lay_plan one = everyday(state);
        cw_winding *alone;

        one.window.length_m = room;
        one.turns = 300 + (long)i;
        alone = lay(&one);
        assert_near(coil->start_m[i], (double)i * (room + 1.1e-3), 1e-15);
        assert_near(coil->parts[i]->length_m, alone->length_m, 1e-9);
        ohm += alone->resistance_20c_ohm;
        cw_winding_destroy(&alone);
    }
    assert_near(coil->start_m[2] + room, 51.7e-3, 1e-15);
    assert_near(coil->resistance_20c_ohm, ohm, 1e-9);
    assert_near(coil->between_voltage_v, 87.0 * (301 + 302) / 903, 1e-9);
    cw_coil_destroy(&coil);
}

/* ---- ten thousand coils by chance -------------------------------------------------------------------------------- */

static double lot(uint64_t *seed, double low, double high)
{
    *seed ^= *seed << 13, *seed ^= *seed >> 7, *seed ^= *seed << 17;
    return low + (high - low) * ((double)(*seed >> 11) / 9007199254740992.0);
}

/* Margins, lead, wrap, sheets, up to six parts of up to four strands, in every shape and lay, beside or on each other. */
static void some_coil(void **state, uint64_t *seed, cw_coil_plan *plan)
{
    static const char *const sizes[] = { "24 AWG", "0.280 mm", "31 AWG", "0.355 mm", "36 AWG" };

    memset(plan, 0, sizeof *plan);
    plan->common = everyday(state);
    plan->common.window.length_m = lot(seed, 30e-3, 90e-3);
    plan->common.window.inner_m[0] = plan->common.window.inner_m[1] = lot(seed, 26e-3, 80e-3);
    set_shape(&plan->common, (cw_shape)lot(seed, 0, CW_SHAPE_COUNT));
    plan->common.lay = (cw_lay)lot(seed, 0, CW_LAY_COUNT);
    plan->common.margin_start_m = lot(seed, 0, 1) < 0.5 ? 0 : lot(seed, 0, 1.5e-3);
    plan->common.margin_end_m = lot(seed, 0, 1) < 0.5 ? 0 : lot(seed, 0, 1.5e-3);
    plan->common.sleeve_m = lot(seed, 0, 1) < 0.7 ? 0 : lot(seed, 0, 1e-3);
    plan->common.wrap_m = lot(seed, 0, 0.5e-3);
    plan->common.insulation_every = (int)lot(seed, 0, 4);
    plan->common.insulation_m = plan->common.insulation_every > 0 ? lot(seed, 2e-5, 2e-4) : 0;
    plan->arrangement = lot(seed, 0, 1) < 0.5 ? CW_SIDE_BY_SIDE : CW_ONE_ON_ANOTHER;
    plan->between_m = lot(seed, 0, 1e-3);
    plan->part_count = 1 + (size_t)lot(seed, 0, 6);
    for (size_t i = 0; i < plan->part_count; i++)
        plan->parts[i] = (cw_coil_part){ wire_of(state, sizes[(int)lot(seed, 0, 5)], CW_HEAVY),
                                         1 + (int)lot(seed, 0, 4), 1 + (long)lot(seed, 0, 900) };
}

static void check_part(const cw_coil_plan *plan, const cw_coil *coil, size_t index)
{
    const cw_winding *part = coil->parts[index];
    const double half = 0.5 * part->plan.in_hand * part->plan.wire.overall_diameter_m.nominal;
    const double low = plan->common.margin_start_m + plan->common.sleeve_m;
    const double high = part->plan.window.length_m - plan->common.margin_end_m;

    assert_int_equal(part->turns, plan->parts[index].turns);
    for (size_t j = 0; j < part->layer_count; j++) {
        const cw_layer *layer = &part->layers[j];
        const double from = fmin(layer->start_m, layer->end_m), to = fmax(layer->start_m, layer->end_m);

        if (part->plan.lay == CW_RANDOM)
            continue;
        assert_true(from >= low + half - 1e-9 && to <= high - half + 1e-9);       /* none outside its room */
        assert_true(layer->turns == 1 || layer->pitch_m >= 2 * half * (1 - 1e-9)); /* none closer than a bundle */
        assert_true(j == 0 || layer->height_m > part->layers[j - 1].height_m);
        assert_true(j == 0 || layer->direction == -part->layers[j - 1].direction);
    }
}

/* Sections lie one behind the other with their partitions between; what lies on another begins above it. */
static void check_neighbours(const cw_coil_plan *plan, const cw_coil *coil, size_t index)
{
    const cw_winding *part = coil->parts[index], *before = coil->parts[index - 1];
    const double radius = 0.5 * part->plan.wire.overall_diameter_m.nominal;

    if (plan->arrangement == CW_SIDE_BY_SIDE) {
        assert_near(coil->start_m[index],
                    coil->start_m[index - 1] + before->plan.window.length_m + plan->between_m, 1e-12);
        assert_true(coil->start_m[index] + part->plan.window.length_m <= plan->common.window.length_m + 1e-12);
    } else if (part->plan.lay != CW_RANDOM) {
        assert_true(part->layers[0].height_m - radius >=
                    before->layers[before->layer_count - 1].height_m +
                        0.5 * before->plan.wire.overall_diameter_m.nominal + plan->between_m - 1e-9);
    }
}

static void ten_thousand_coils_keep_their_parts_apart(void **state)
{
    uint64_t seed = 20261125;
    int laid = 0, beside = 0, on = 0;

    for (int i = 0; i < 10000; i++) {
        cw_coil_plan plan;
        double ohm = 0, length = 0;
        long turns = 0;
        cw_coil *coil;

        some_coil(state, &seed, &plan);
        if (cw_coil_lay(&plan, &coil, NULL) != CW_OK)
            continue; /* a strand too wide for its section */
        laid++;
        *(plan.arrangement == CW_SIDE_BY_SIDE ? &beside : &on) += plan.part_count > 1;
        for (size_t k = 0; k < coil->part_count; k++) {
            check_part(&plan, coil, k);
            if (k > 0)
                check_neighbours(&plan, coil, k);
            ohm += coil->parts[k]->resistance_20c_ohm;
            length += coil->parts[k]->length_m;
            turns += coil->parts[k]->turns;
        }
        assert_near(coil->resistance_20c_ohm, ohm, 1e-9 * ohm);
        assert_near(coil->length_m, length, 1e-9 * length);
        assert_int_equal(coil->turns, turns);
        cw_coil_destroy(&coil);
    }
    assert_true(laid > 9000 && beside > 3000 && on > 3000);
}

static void check_refused(const cw_lay_plan *plan, const char *words)
{
    cw_winding *winding = (cw_winding *)(uintptr_t)1;
    cw_error error;

    assert_int_equal(cw_winding_lay(plan, &winding, &error), CW_BAD_INPUT);
    assert_null(winding);
    assert_non_null(strstr(error.text, words));
}

static void what_cannot_be_is_refused(void **state)
{
    cw_coil_plan coil_plan = { .common = everyday(state), .part_count = 2 };
    cw_lay_plan plan = everyday(state);
    cw_coil *coil = (cw_coil *)(uintptr_t)1;
    cw_error error;

    plan.margin_end_m = -1e-3;
    check_refused(&plan, "Margins");
    plan = everyday(state);
    plan.margin_start_m = 30e-3;
    plan.margin_end_m = 21.5e-3;
    check_refused(&plan, "between margins");
    plan = everyday(state);
    plan.wrap_m = NAN;
    check_refused(&plan, "wrap");
    plan = everyday(state);
    plan.tap_count = 2;
    plan.taps[0] = plan.taps[1] = 300;
    check_refused(&plan, "tap");
    plan.taps[1] = 1237;
    check_refused(&plan, "tap");
    plan.tap_count = 9;
    check_refused(&plan, "9 taps");
    coil_plan.parts[0] = (cw_coil_part){ plan.wire, 1, 100 };
    coil_plan.parts[1] = (cw_coil_part){ plan.wire, 7, 100 };
    assert_int_equal(cw_coil_lay(&coil_plan, &coil, &error), CW_BAD_INPUT);
    assert_null(coil);
    assert_non_null(strstr(error.text, "Part 2"));
    coil_plan.parts[1].turns = 0;
    assert_int_equal(cw_coil_lay(&coil_plan, &coil, &error), CW_BAD_INPUT);
    coil_plan.part_count = 9;
    assert_int_equal(cw_coil_lay(&coil_plan, &coil, &error), CW_BAD_INPUT);
}

static void every_failed_allocation_leaves_no_coil_behind(void **state)
{
    cw_coil_plan plan = { .common = everyday(state), .part_count = 3 };
    cw_status status = CW_NO_MEMORY;
    cw_coil *coil;

    for (size_t i = 0; i < 3; i++)
        plan.parts[i] = (cw_coil_part){ plan.common.wire, 1, 200 };
    for (long granted = 0; status != CW_OK; granted++) {
        assert_true(granted < 100);
        cw_memory_fail_after(granted);
        status = cw_coil_lay(&plan, &coil, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || (status == CW_NO_MEMORY && coil == NULL));
    }
    cw_coil_destroy(&coil);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(margins_and_lead_make_the_window_shorter_and_move_the_wire),
        cmocka_unit_test(a_wrap_takes_its_thickness_from_the_room),
        cmocka_unit_test(a_base_is_a_thicker_former),
        cmocka_unit_test(beginning_at_the_far_flange_is_the_mirror_image),
        cmocka_unit_test(a_tap_is_where_a_shorter_winding_ends),
        cmocka_unit_test(a_sheet_goes_over_a_tap),
        cmocka_unit_test(where_nested_wires_cross_they_stack),
        cmocka_unit_test(the_greatest_voltage_between_layers_is_named),
        cmocka_unit_test(two_parts_of_one_wire_are_one_winding),
        cmocka_unit_test(two_parts_joined_are_one_winding),
        cmocka_unit_test(two_random_parts_of_one_wire_are_as_deep_as_one),
        cmocka_unit_test(sections_share_the_length_and_stand_side_by_side),
        cmocka_unit_test(ten_thousand_coils_keep_their_parts_apart),
        cmocka_unit_test(what_cannot_be_is_refused),
        cmocka_unit_test(every_failed_allocation_leaves_no_coil_behind),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
