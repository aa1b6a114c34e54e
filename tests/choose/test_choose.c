/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is chosen, why, and what is said where nothing serves. */
#include "choose/choose_json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

/* An invented brake coil: 29 AWG heavy, about 84 ohm, on 48 V. */
static cw_choice_request brake(void **state)
{
    cw_choice_request request = { 0 };

    request.window = (cw_window){ .shape = CW_ROUND, .inner_m = { 41.7e-3, 41.7e-3 }, .length_m = 57.4e-3,
                                  .depth_m = 6.3e-3 };
    request.supply = (cw_supply){ .given = true, .kind = CW_DC, .voltage_v = 48, .duty_share = 1,
                                  .duty_period_s = NAN, .ambient_c = 27 };
    request.original = (cw_original){ .wire_known = true, .wire = wire_of(state, "29 AWG", CW_HEAVY), .in_hand = 1 };
    request.original.resistance_20c_ohm = (cw_interval){ 83.7, 84.2, 84.7 };
    request.original.turns = (cw_interval){ NAN, NAN, NAN };
    return request;
}

static cw_choice *choose(void **state, const cw_choice_request *request)
{
    cw_choice *choice = NULL;
    cw_error error;

    if (cw_choose(request, *state, &choice, &error) != CW_OK)
        fail_msg("%s", error.text);
    return choice;
}

static cw_spool spool(const char *size, cw_build build, double mass_kg)
{
    cw_spool s = { .build = build, .thermal_class_c = 180, .mass_kg = mass_kg, .length_m = NAN, .price = 21 };

    memcpy(s.size, size, strlen(size) + 1);
    return s;
}

static bool says(const cw_choice_option *option, const char *words)
{
    for (size_t i = 0; i < option->reason_count; i++)
        if (strstr(option->reasons[i], words) != NULL)
            return true;
    return false;
}

static void the_wire_that_was_in_it_is_chosen_where_all_must_be_bought(void **state)
{
    const cw_choice_request request = brake(state);
    cw_choice *choice = choose(state, &request);
    const cw_choice_option *o = choice->chosen;
    cw_winding *winding;

    assert_non_null(o);
    assert_ptr_equal(o, &choice->options[0]);
    assert_string_equal(o->wire.size.name, "29 AWG");
    assert_int_equal(o->wire.build, CW_HEAVY);
    assert_int_equal(o->in_hand, 1);
    assert_near(o->ampere_turns_ratio, 1, 1e-3);
    assert_false(o->on_shelf);
    assert_true(says(o, "To be bought"));
    assert_true(says(o, "The wire that was in it."));
    assert_int_equal(cw_winding_lay(&o->plan, &winding, NULL), CW_OK);
    assert_int_equal(winding->turns, o->turns);
    assert_near(winding->resistance_20c_ohm, o->resistance_20c_ohm, 1e-9);
    assert_near(winding->wire_length_m, o->length_m, 1e-9);
    cw_winding_destroy(&winding);
    cw_choice_destroy(&choice);
}

/* V = I R and P = V I at the winding's own temperature; ampere-turns = V A/(rho l): the section over the mean turn. */
static void the_wire_sets_the_pull_and_the_turns_the_heat(void **state)
{
    cw_choice_request request = brake(state);
    const double factor = 1 / 0.00393; /* K, of copper [IEC 60028] */
    double ampere_turns[2], power[2];

    for (int i = 0; i < 2; i++) {
        cw_choice *choice;
        const cw_choice_option *o = NULL;
        double hot;

        request.wanted = (cw_wanted){ .given = true, .resistance_rule = CW_EXACTLY, .resistance_tolerance = 0.01,
                                      .resistance_ohm = i == 0 ? 60 : 75, .thermal_class_c = 250 };
        request.systems = 1u << CW_AWG;
        request.builds = 1u << CW_HEAVY;
        choice = choose(state, &request);
        for (size_t j = 0; j < choice->option_count && o == NULL; j++)
            if (strcmp(choice->options[j].wire.size.name, "29 AWG") == 0 && choice->options[j].in_hand == 1)
                o = &choice->options[j];
        assert_non_null(o);
        hot = o->resistance_20c_ohm * (1 + (o->mean_winding_c - 20) / factor);
        assert_near(o->current_a, 48 / hot, 1e-9);
        assert_near(o->power_w, 48 * 48 / hot, 1e-9);
        assert_near(o->ampere_turns, 48 * (double)o->turns / hot, 1e-6);
        ampere_turns[i] = o->ampere_turns * hot / o->resistance_20c_ohm; /* as if cold */
        power[i] = o->power_w;
        cw_choice_destroy(&choice);
    }
    assert_near(ampere_turns[1] / ampere_turns[0], 1, 0.03); /* only by the longer mean turn */
    assert_true(power[1] < 0.88 * power[0]);
}

static void the_shelf_comes_first(void **state)
{
    cw_choice_request request = brake(state);
    const cw_spool stock[] = { spool("0.280 mm", CW_SINGLE, 0.6), spool("33 AWG", CW_SINGLE, 0.3),
                               spool("18 AWG", CW_HEAVY, 2) };
    cw_choice *choice;
    int seen = 0;

    request.stock = stock;
    request.stock_count = 3;
    choice = choose(state, &request);
    assert_non_null(choice->chosen);
    assert_string_equal(choice->chosen->wire.size.name, "0.280 mm");
    assert_true(choice->chosen->from_stock);
    assert_int_equal(choice->chosen->joints, 0);
    assert_near(choice->chosen->cost, 21 * choice->chosen->wire_mass_kg / 0.6, 1e-6);
    for (size_t i = 0; i < choice->option_count; i++)
        seen += choice->options[i].on_shelf;
    assert_int_equal(seen, 3); /* what the others would do is shown too, however bad */
    cw_choice_destroy(&choice);
}

/* The shelf has half a size more than was in the coil, and what was in it must be bought. */
static void the_preference_decides_between_shelf_and_likeness(void **state)
{
    const cw_spool stock[] = { spool("28.5 AWG", CW_HEAVY, 1.0) };
    static const bool from_shelf[] = { [CW_PREFER_BALANCE] = true, [CW_PREFER_SHELF] = true, [CW_PREFER_MATCH] = false };
    cw_choice_request request = brake(state);

    request.stock = stock;
    request.stock_count = 1;
    request.wanted = (cw_wanted){ .given = true, .resistance_tolerance = NAN, .thermal_class_c = 180 };
    for (int prefer = CW_PREFER_BALANCE; prefer <= CW_PREFER_MATCH; prefer++) {
        cw_choice *choice;

        request.wanted.prefer = (cw_preference)prefer;
        choice = choose(state, &request);
        assert_int_equal(choice->options[0].on_shelf, from_shelf[prefer]);
        cw_choice_destroy(&choice);
    }
}

static void a_short_shelf_is_joined_or_said_to_be_short(void **state)
{
    cw_choice_request request = brake(state);
    cw_spool stock[] = { spool("29 AWG", CW_HEAVY, 0.12), spool("29 AWG", CW_HEAVY, 0.11) };
    cw_choice *choice;

    request.stock = stock;
    request.stock_count = 2;
    choice = choose(state, &request);
    assert_true(choice->chosen->from_stock);
    assert_int_equal(choice->chosen->joints, 1);
    assert_true(says(choice->chosen, "1 joint."));
    cw_choice_destroy(&choice);
    stock[1].mass_kg = 0.05;
    choice = choose(state, &request);
    assert_true(choice->chosen->on_shelf && !choice->chosen->from_stock);
    assert_true(says(choice->chosen, "The shelf has"));
    cw_choice_destroy(&choice);
}

static void the_missing_depth_is_what_is_missing(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;
    double missing;

    request.window.depth_m = 3.3e-3;
    request.window.depth_doubt_m = 0.2e-3;
    choice = choose(state, &request);
    assert_null(choice->chosen);
    assert_true(choice->room.known);
    assert_string_equal(choice->room.wire.size.name, "29 AWG");
    assert_non_null(strstr(choice->summary, "Nothing meets every wish."));
    assert_non_null(strstr(choice->summary, "more depth"));
    assert_non_null(strstr(choice->summary, "less ampere-turns"));
    missing = choice->room.depth_m;
    cw_choice_destroy(&choice);
    /* the estimate of heat follows the window too: a class that leaves it out of the matter */
    request.wanted = (cw_wanted){ .given = true, .thermal_class_c = 250, .resistance_tolerance = NAN };
    request.builds = 1u << CW_HEAVY;
    request.systems = 1u << CW_AWG;
    request.most_in_hand = 1;
    for (int i = 0; i < 2; i++) {
        request.window.depth_m = 3.3e-3 + missing + (i == 0 ? -0.05e-3 : 0.01e-3);
        request.wanted.resistance_tolerance = 0.001;
        choice = choose(state, &request);
        assert_int_equal(choice->chosen != NULL, i == 1);
        cw_choice_destroy(&choice);
    }
}

static void another_voltage_scales_turns_and_resistance(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;
    double turns, watts;

    choice = choose(state, &request);
    turns = (double)choice->chosen->turns;
    watts = choice->chosen->power_w;
    cw_choice_destroy(&choice);
    request.original.supply_voltage_v = 48;
    request.supply.voltage_v = 24;
    choice = choose(state, &request);
    assert_non_null(choice->chosen);
    assert_near(choice->wanted_resistance_20c_ohm, 84.2 / 4, 1e-9);
    assert_near(choice->chosen->resistance_20c_ohm, 84.2 / 4, 0.05 * 84.2 / 4);
    assert_near((double)choice->chosen->turns, turns / 2, 0.06 * turns / 2);
    assert_near(choice->chosen->ampere_turns_ratio, 1, 0.06);
    assert_near(choice->chosen->power_w, watts, 0.05 * watts);
    cw_choice_destroy(&choice);
}

static void coils_in_series_share_the_voltage(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.supply.voltage_v = 96;
    request.circuit = (cw_circuit){ true, 2, CW_SERIES };
    choice = choose(state, &request);
    assert_near(choice->coil_voltage_v, 48, 1e-12);
    cw_choice_destroy(&choice);
    request.circuit.connection = CW_PARALLEL;
    choice = choose(state, &request);
    assert_near(choice->coil_voltage_v, 96, 1e-12);
    cw_choice_destroy(&choice);
}

static void a_coil_on_ac_keeps_its_turns(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.supply.kind = CW_AC;
    request.original.turns = (cw_interval){ 1790, 1800, 1810 };
    choice = choose(state, &request);
    assert_non_null(choice->chosen);
    assert_int_equal(choice->chosen->turns, 1800);
    assert_true(isnan(choice->chosen->power_w));
    cw_choice_destroy(&choice);
    request.original = (cw_original){ .supply_voltage_v = NAN };
    choice = choose(state, &request);
    assert_null(choice->chosen);
    assert_non_null(strstr(choice->summary, "turns"));
    cw_choice_destroy(&choice);
}

static void ampere_turns_alone_are_enough(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.original = (cw_original){ .supply_voltage_v = NAN };
    request.wanted = (cw_wanted){ .given = true, .ampere_turns_rule = CW_AT_LEAST, .ampere_turns = 700,
                                  .resistance_tolerance = NAN, .thermal_class_c = 180 };
    choice = choose(state, &request);
    assert_non_null(choice->chosen);
    assert_true(choice->chosen->ampere_turns >= 700);
    assert_true(choice->chosen->hot_spot_c <= 180);
    assert_true(isnan(choice->chosen->resistance_in_tolerance_probability));
    cw_choice_destroy(&choice);
}

static void nothing_known_is_said(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.original = (cw_original){ .supply_voltage_v = NAN };
    choice = choose(state, &request);
    assert_null(choice->chosen);
    assert_int_equal(choice->option_count, 0);
    assert_non_null(strstr(choice->summary, "resistance"));
    cw_choice_destroy(&choice);
}

static void wire_too_fine_for_the_winder_is_not_chosen(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.finest_m = 0.3e-3;
    choice = choose(state, &request);
    assert_true(choice->chosen == NULL || choice->chosen->wire.size.diameter_m.nominal >= 0.3e-3);
    for (size_t i = 0; i < choice->option_count; i++)
        assert_int_equal(choice->options[i].wire.size.diameter_m.nominal < 0.3e-3,
                         (choice->options[i].missed & CW_WISH_HANDLED) != 0);
    cw_choice_destroy(&choice);
}

static void options_are_ranked_and_drawbacks_lead(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.window.depth_m = 4.2e-3;
    choice = choose(state, &request);
    assert_int_equal(choice->option_count, 24);
    for (size_t i = 0; i < choice->option_count; i++) {
        const cw_choice_option *o = &choice->options[i];

        assert_true(i == 0 || o->score <= o[-1].score);
        assert_true(o->drawbacks <= o->reason_count && o->reason_count <= CW_REASONS_MOST);
        assert_true(o->fits_probability >= 0.9);
        assert_true(o->missed == 0 || o->drawbacks > 0);
        for (size_t j = 0; j < i; j++)
            assert_string_not_equal(o->id, choice->options[j].id);
        for (size_t j = 0; j < o->reason_count; j++) {
            const size_t length = strlen(o->reasons[j]);

            assert_true(length > 10 && length < sizeof o->reasons[j] - 1 && o->reasons[j][length - 1] == '.');
        }
    }
    cw_choice_destroy(&choice);
}

static void the_same_request_gives_the_same_bytes(void **state)
{
    const cw_choice_request request = brake(state);
    cw_choice *first = choose(state, &request), *second = choose(state, &request);
    json_t *a = cw_choice_json(first, NULL), *b = cw_choice_json(second, NULL);

    assert_true(json_equal(a, b));
    json_decref(a);
    json_decref(b);
    cw_choice_destroy(&first);
    cw_choice_destroy(&second);
}

static void the_document_has_the_keys_of_the_contract(void **state)
{
    static const char *keys[] = { "id", "size", "build", "material", "in_hand", "turns", "layers", "fits_probability",
                                  "resistance_20c_ohm", "resistance_in_tolerance_probability", "ampere_turns_ratio",
                                  "power_w", "hot_spot_c", "wire_length_m", "wire_mass_kg", "from_stock", "reasons" };
    const cw_choice_request request = brake(state);
    cw_choice *choice = choose(state, &request);
    json_t *document = cw_choice_json(choice, NULL), *option = json_array_get(json_object_get(document, "options"), 0);

    assert_string_equal(json_string_value(json_object_get(document, "chosen")),
                        json_string_value(json_object_get(option, "id")));
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        assert_non_null(json_object_get(option, keys[i]));
    json_decref(document);
    cw_choice_destroy(&choice);
}

static void set_wire(cw_choice_request *request, const char *size, cw_build build)
{
    snprintf(request->set.size, sizeof request->set.size, "%s", size);
    request->set.builds = 1u << build;
}

static void what_is_set_is_kept_and_judged(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.set.turns = 2100;
    choice = choose(state, &request);
    for (size_t i = 0; i < choice->option_count; i++)
        assert_int_equal(choice->options[i].turns, 2100);
    assert_non_null(choice->chosen);
    cw_choice_destroy(&choice);
    request.set = (cw_choice_set){ .turns = 5200, .in_hand = 1, .size = "29 AWG", .builds = 1u << CW_HEAVY };
    choice = choose(state, &request);
    assert_int_equal(choice->option_count, 1);
    assert_null(choice->chosen);
    assert_int_equal(choice->options[0].turns, 5200);
    assert_true((choice->options[0].missed & CW_WISH_FITS) != 0);
    assert_true(choice->options[0].fits_probability < 0.01);
    assert_true(choice->options[0].resistance_20c_ohm > 2 * 84.2);
    cw_choice_destroy(&choice);
    request.set = (cw_choice_set){ .in_hand = 3 };
    choice = choose(state, &request);
    for (size_t i = 0; i < choice->option_count; i++)
        assert_int_equal(choice->options[i].in_hand, 3);
    cw_choice_destroy(&choice);
}

static void the_weakest_part_sets_the_class(void **state)
{
    const cw_system_part parts[] = { { "resin", NAN }, { "tape", 105 }, { "former", 130 } };
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.system = parts;
    request.system_count = 3;
    choice = choose(state, &request);
    assert_near(choice->options[0].limit_c, 105, 0);
    assert_true(says(&choice->options[0], "The tape stands"));
    cw_choice_destroy(&choice);
}

/* Sheets are asked for from 50 V on single and 100 V on thicker enamel, always on cotton [winding: section 7]. */
static void high_layer_voltage_asks_for_paper(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    set_wire(&request, "29 AWG", CW_HEAVY);
    choice = choose(state, &request);
    assert_near(choice->options[0].layer_voltage_limit_v, 100, 0);
    assert_near(choice->options[0].layer_voltage_v, 2 * 48.0 * 171 / (double)choice->options[0].turns, 0.2);
    assert_false(says(&choice->options[0], "paper"));
    cw_choice_destroy(&choice);
    request.supply.voltage_v = 900;
    choice = choose(state, &request);
    assert_true(choice->options[0].layer_voltage_v > 100);
    assert_true(says(&choice->options[0], "lay paper between"));
    cw_choice_destroy(&choice);
    request.supply.voltage_v = 48;
    set_wire(&request, "29 AWG", CW_SINGLE_COTTON);
    choice = choose(state, &request);
    assert_near(choice->options[0].layer_voltage_limit_v, 0, 0);
    cw_choice_destroy(&choice);
}

/* In series voltage follows resistance, in parallel current its inverse: R beside R0 is 2 R/(R + R0) of its share. */
static void a_coil_beside_its_old_twin_takes_its_share(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.supply.voltage_v = 96;
    request.circuit = (cw_circuit){ true, 2, CW_SERIES };
    set_wire(&request, "29 AWG", CW_HEAVY);
    request.set.turns = 2000;
    for (int i = 0; i < 2; i++) {
        const cw_choice_option *o;
        double ohm;

        choice = choose(state, &request);
        o = &choice->options[0];
        ohm = o->resistance_20c_ohm;
        assert_near(o->share, 2 * (i == 0 ? ohm : 84.2) / (ohm + 84.2), 1e-9);
        assert_true(says(o, "rewind both alike"));
        cw_choice_destroy(&choice);
        request.circuit.connection = CW_PARALLEL;
    }
}

static void iron_that_would_saturate_is_named(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.supply.kind = CW_AC;
    request.supply.voltage_v = 230;
    request.supply.frequency_hz = 50;
    request.core_section_m2 = 4e-4;
    request.original.turns = (cw_interval){ 1790, 1800, 1810 };
    choice = choose(state, &request);
    assert_near(choice->options[0].flux_density_t, 230 / (sqrt(2) * 3.14159265358979 * 50 * 1800 * 4e-4), 1e-9);
    assert_false(says(&choice->options[0], "saturates"));
    cw_choice_destroy(&choice);
    request.core_section_m2 = 3e-4;
    choice = choose(state, &request);
    assert_true(says(&choice->options[0], "saturates"));
    cw_choice_destroy(&choice);
}

static void two_sizes_meet_pull_and_resistance_at_once(void **state)
{
    const cw_spool stock[] = { spool("28 AWG", CW_HEAVY, 0.6), spool("30 AWG", CW_HEAVY, 0.6) };
    cw_choice_request request = brake(state);
    const cw_choice_option *o = NULL;
    cw_choice *choice;
    cw_coil_plan plan;
    cw_coil *coil;

    request.stock = stock;
    request.stock_count = 2;
    request.two_sizes = true;
    choice = choose(state, &request);
    for (size_t i = 0; i < choice->option_count && o == NULL; i++)
        if (choice->options[i].two_sizes && choice->options[i].from_stock)
            o = &choice->options[i];
    assert_non_null(o);
    assert_string_equal(o->wire.size.name, "28 AWG");
    assert_string_equal(o->second_wire.size.name, "30 AWG");
    assert_near(o->ampere_turns_ratio, 1, 0.03); /* half a layer of 14 */
    assert_near(o->resistance_20c_ohm, 84.2, 0.05);
    cw_choice_coil(o, &plan);
    assert_int_equal(cw_coil_lay(&plan, &coil, NULL), CW_OK);
    assert_int_equal(coil->turns, o->turns);
    assert_near(coil->resistance_20c_ohm, o->resistance_20c_ohm, 1e-9);
    assert_true(coil->fits);
    cw_coil_destroy(&coil);
    cw_choice_destroy(&choice);
}

/* The lower wire in every number of full layers, the upper to the wanted resistance: none of them comes nearer to the
 * wanted pull, which at one resistance is that of the turns. */
static void no_other_division_of_two_sizes_comes_nearer(void **state)
{
    const cw_spool stock[] = { spool("28 AWG", CW_HEAVY, 0.6), spool("30 AWG", CW_HEAVY, 0.6) };
    cw_choice_request request = brake(state);
    const cw_choice_option *o = NULL;
    cw_choice *choice;
    cw_coil_plan plan;
    int tried = 0;
    double turns;

    request.stock = stock;
    request.stock_count = 2;
    request.two_sizes = true;
    choice = choose(state, &request);
    for (size_t i = 0; i < choice->option_count && o == NULL; i++)
        if (choice->options[i].two_sizes && choice->options[i].from_stock)
            o = &choice->options[i];
    assert_non_null(o);
    turns = (double)o->turns / o->ampere_turns_ratio; /* at the same resistance */
    cw_choice_coil(o, &plan);
    for (int layers = 1; layers < 30; layers++) {
        cw_lay_plan lower = plan.common;
        cw_winding *full;
        cw_coil *coil;

        lower.wire = plan.parts[0].wire;
        lower.in_hand = 1;
        lower.turns = 20000;
        assert_int_equal(cw_winding_lay(&lower, &full, NULL), CW_OK);
        plan.parts[0].turns = full->layers[layers - 1].turns_total;
        cw_winding_destroy(&full);
        for (plan.parts[1].turns = 1;; plan.parts[1].turns++) {
            bool enough;

            assert_int_equal(cw_coil_lay(&plan, &coil, NULL), CW_OK);
            enough = coil->resistance_20c_ohm >= 84.2 || !coil->fits;
            if (enough && coil->fits && fabs(coil->resistance_20c_ohm - 84.2) < 0.1) {
                tried++;
                assert_true(fabs(log((double)coil->turns / turns)) >= fabs(log((double)o->turns / turns)) - 1e-3);
            }
            cw_coil_destroy(&coil);
            if (enough)
                break;
        }
    }
    assert_true(tried > 5);
    cw_choice_destroy(&choice);
}

/* Of any two options on the front each is better somewhere; whatever is off it is beaten by one on it. */
static void the_front_has_no_beaten_option(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;
    size_t front = 0;

    request.window.depth_m = 4.6e-3;
    choice = choose(state, &request);
    for (size_t i = 0; i < choice->option_count; i++) {
        const cw_choice_option *a = &choice->options[i];
        bool beaten = false;

        front += a->pareto;
        for (size_t j = 0; j < choice->option_count; j++) {
            const cw_choice_option *b = &choice->options[j];

            if (j != i && b->ampere_turns_ratio >= a->ampere_turns_ratio && b->hot_spot_c <= a->hot_spot_c &&
                b->fits_probability >= a->fits_probability && b->wire_mass_kg <= a->wire_mass_kg &&
                b->resistance_in_tolerance_probability >= a->resistance_in_tolerance_probability &&
                (b->ampere_turns_ratio > a->ampere_turns_ratio || b->hot_spot_c < a->hot_spot_c ||
                 b->fits_probability > a->fits_probability || b->wire_mass_kg < a->wire_mass_kg))
                beaten = true;
        }
        assert_true(a->pareto != beaten);
    }
    assert_true(front > 1 && front < choice->option_count);
    cw_choice_destroy(&choice);
}

static void a_class_that_would_do_is_named(void **state)
{
    cw_choice_request request = brake(state);
    cw_choice *choice;

    request.wanted = (cw_wanted){ .given = true, .resistance_rule = CW_EXACTLY, .resistance_ohm = 84.2,
                                  .resistance_tolerance = 0.05, .thermal_class_c = 130 };
    request.original = (cw_original){ .supply_voltage_v = NAN };
    choice = choose(state, &request);
    assert_null(choice->chosen);
    assert_non_null(strstr(choice->summary, "throughout would do"));
    cw_choice_destroy(&choice);
}

static void check_refused(void **state, const cw_choice_request *request, const char *words)
{
    cw_choice *choice = (cw_choice *)state;
    cw_error error;

    assert_int_equal(cw_choose(request, *state, &choice, &error), CW_BAD_INPUT);
    assert_null(choice);
    assert_non_null(strstr(error.text, words));
}

static void bad_requests_are_refused_with_a_sentence(void **state)
{
    const cw_spool unknown = spool("29.3 AWG", CW_HEAVY, 1);
    cw_choice_request request = brake(state);

    request.window.depth_m = -1;
    check_refused(state, &request, "depth");
    request = brake(state);
    request.supply.voltage_v = 0;
    check_refused(state, &request, "voltage");
    request = brake(state);
    request.circuit = (cw_circuit){ true, 0, CW_SERIES };
    check_refused(state, &request, "circuit");
    request = brake(state);
    request.wanted = (cw_wanted){ .given = true, .resistance_rule = CW_EXACTLY, .resistance_ohm = -3 };
    check_refused(state, &request, "resistance");
    request = brake(state);
    request.wanted = (cw_wanted){ .given = true, .ampere_turns_rule = CW_AT_LEAST, .ampere_turns = NAN };
    check_refused(state, &request, "Ampere-turns");
    request = brake(state);
    request.stock = &unknown;
    request.stock_count = 1;
    check_refused(state, &request, "29.3");
    request = brake(state);
    request.most_in_hand = 9;
    check_refused(state, &request, "strands");
    request = brake(state);
    request.set.turns = -4;
    check_refused(state, &request, "turns");
}

static void every_failed_allocation_is_survived(void **state)
{
    cw_choice_request request = brake(state);
    cw_status status = CW_NO_MEMORY;
    cw_choice *choice;

    request.systems = 1u << CW_SWG;
    request.builds = 1u << CW_HEAVY;
    request.most_in_hand = 1;
    request.most_options = 3;
    request.two_sizes = true;
    for (long granted = 0; status != CW_OK; granted++) {
        assert_true(granted < 20000);
        cw_memory_fail_after(granted);
        status = cw_choose(&request, *state, &choice, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || (status == CW_NO_MEMORY && choice == NULL));
    }
    cw_choice_destroy(&choice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_wire_that_was_in_it_is_chosen_where_all_must_be_bought),
        cmocka_unit_test(the_wire_sets_the_pull_and_the_turns_the_heat),
        cmocka_unit_test(the_shelf_comes_first),
        cmocka_unit_test(the_preference_decides_between_shelf_and_likeness),
        cmocka_unit_test(a_short_shelf_is_joined_or_said_to_be_short),
        cmocka_unit_test(the_missing_depth_is_what_is_missing),
        cmocka_unit_test(another_voltage_scales_turns_and_resistance),
        cmocka_unit_test(coils_in_series_share_the_voltage),
        cmocka_unit_test(a_coil_on_ac_keeps_its_turns),
        cmocka_unit_test(ampere_turns_alone_are_enough),
        cmocka_unit_test(nothing_known_is_said),
        cmocka_unit_test(wire_too_fine_for_the_winder_is_not_chosen),
        cmocka_unit_test(what_is_set_is_kept_and_judged),
        cmocka_unit_test(the_weakest_part_sets_the_class),
        cmocka_unit_test(high_layer_voltage_asks_for_paper),
        cmocka_unit_test(a_coil_beside_its_old_twin_takes_its_share),
        cmocka_unit_test(iron_that_would_saturate_is_named),
        cmocka_unit_test(two_sizes_meet_pull_and_resistance_at_once),
        cmocka_unit_test(no_other_division_of_two_sizes_comes_nearer),
        cmocka_unit_test(the_front_has_no_beaten_option),
        cmocka_unit_test(a_class_that_would_do_is_named),
        cmocka_unit_test(options_are_ranked_and_drawbacks_lead),
        cmocka_unit_test(the_same_request_gives_the_same_bytes),
        cmocka_unit_test(the_document_has_the_keys_of_the_contract),
        cmocka_unit_test(bad_requests_are_refused_with_a_sentence),
        cmocka_unit_test(every_failed_allocation_is_survived),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
