/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/files.h"
#include "coilwright/job.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static cw_wire_catalogue *catalogue;

static int open_catalogue(void **state)
{
    (void)state;
    return cw_wire_catalogue_create(&catalogue, NULL) == CW_OK ? 0 : -1;
}

static int close_catalogue(void **state)
{
    (void)state;
    cw_wire_catalogue_destroy(&catalogue);
    return 0;
}

/* ---- equality, field by field ---------------------------------------------------------------------------------- */

static void same(double a, double b)
{
    if (!(a == b || (isnan(a) && isnan(b))))
        fail_msg("%.17g is not %.17g", a, b);
}

static void same_text(const char *a, const char *b)
{
    if (a == NULL || b == NULL)
        assert_true(a == b);
    else
        assert_string_equal(a, b);
}

static void same_load(const cw_load *a, const cw_load *b)
{
    assert_int_equal(a->kind, b->kind);
    assert_int_equal(a->surface, b->surface);
    assert_int_equal(a->pull_at_work, b->pull_at_work);
    same(a->pull_n, b->pull_n);
    same(a->carbon_share, b->carbon_share);
    same(a->voltage_share, b->voltage_share);
    same(a->force_n, b->force_n);
    same(a->arm_m, b->arm_m);
    same(a->base_m, b->base_m);
    same(a->friction, b->friction);
    same(a->offset_m, b->offset_m);
    same(a->own_weight_n, b->own_weight_n);
    same(a->factor, b->factor);
    same_text(a->drilling.metal, b->drilling.metal);
    same(a->drilling.diameter_m, b->drilling.diameter_m);
    same(a->drilling.feed_m, b->drilling.feed_m);
    same(a->drilling.core_diameter_m, b->drilling.core_diameter_m);
    same(a->drilling.wear, b->drilling.wear);
    assert_int_equal(a->drilling.annular, b->drilling.annular);
    assert_int_equal(a->drilling.split_point, b->drilling.split_point);
}

static void same_supply(const cw_job *a, const cw_job *b)
{
    assert_int_equal(a->supply.given, b->supply.given);
    assert_int_equal(a->supply.kind, b->supply.kind);
    same(a->supply.voltage_v, b->supply.voltage_v);
    same(a->supply.original_voltage_v, b->supply.original_voltage_v);
    same(a->supply.frequency_hz, b->supply.frequency_hz);
    same(a->supply.duty_share, b->supply.duty_share);
    same(a->supply.duty_period_s, b->supply.duty_period_s);
    same(a->supply.ambient_c, b->supply.ambient_c);
    assert_int_equal(a->circuit.given, b->circuit.given);
    assert_int_equal(a->circuit.coils, b->circuit.coils);
    assert_int_equal(a->circuit.connection, b->circuit.connection);
}

static void same_window(const cw_window *a, const cw_window *b)
{
    assert_int_equal(a->shape, b->shape);
    same(a->inner_m[0], b->inner_m[0]);
    same(a->inner_m[1], b->inner_m[1]);
    same(a->corner_radius_m, b->corner_radius_m);
    same(a->length_m, b->length_m);
    same(a->depth_m, b->depth_m);
    same(a->inner_doubt_m, b->inner_doubt_m);
    same(a->length_doubt_m, b->length_doubt_m);
    same(a->depth_doubt_m, b->depth_doubt_m);
}

static void same_readings(const cw_job *a, const cw_job *b)
{
    assert_int_equal(a->reading_count, b->reading_count);
    for (size_t i = 0; i < a->reading_count; i++) {
        assert_int_equal(a->readings[i].kind, b->readings[i].kind);
        assert_int_equal(a->readings[i].subject, b->readings[i].subject);
        same(a->readings[i].value, b->readings[i].value);
        same(a->readings[i].doubt, b->readings[i].doubt);
        same(a->readings[i].at_c, b->readings[i].at_c);
        same(a->readings[i].length_m, b->readings[i].length_m);
        same(a->readings[i].current_a, b->readings[i].current_a);
        same(a->readings[i].frequency_hz, b->readings[i].frequency_hz);
    }
}

static void same_wishes(const cw_job *a, const cw_job *b)
{
    assert_int_equal(a->seen_given, b->seen_given);
    assert_memory_equal(&a->seen, &b->seen, sizeof a->seen);
    assert_int_equal(a->wanted.given, b->wanted.given);
    assert_int_equal(a->wanted.resistance_rule, b->wanted.resistance_rule);
    same(a->wanted.resistance_ohm, b->wanted.resistance_ohm);
    same(a->wanted.resistance_doubt_ohm, b->wanted.resistance_doubt_ohm);
    same(a->wanted.resistance_tolerance, b->wanted.resistance_tolerance);
    assert_int_equal(a->wanted.ampere_turns_rule, b->wanted.ampere_turns_rule);
    same(a->wanted.ampere_turns, b->wanted.ampere_turns);
    same(a->wanted.thermal_class_c, b->wanted.thermal_class_c);
    assert_int_equal(a->wanted.lay_given, b->wanted.lay_given);
    assert_int_equal(a->wanted.lay, b->wanted.lay);
    assert_int_equal(a->wanted.prefer, b->wanted.prefer);
    same_text(a->wanted.option, b->wanted.option);
    assert_string_equal(a->wanted.size, b->wanted.size);
    assert_int_equal(a->wanted.builds, b->wanted.builds);
    assert_int_equal(a->wanted.materials, b->wanted.materials);
    assert_int_equal(a->wanted.in_hand, b->wanted.in_hand);
    assert_int_equal(a->wanted.turns, b->wanted.turns);
    assert_int_equal(a->wanted.layers, b->wanted.layers);
    same(a->wanted.finest_m, b->wanted.finest_m);
    assert_int_equal(a->wanted.one_size, b->wanted.one_size);
    assert_int_equal(a->wanted.tap_count, b->wanted.tap_count);
    assert_memory_equal(a->wanted.taps, b->wanted.taps, a->wanted.tap_count * sizeof a->wanted.taps[0]);
    assert_int_equal(a->stock_count, b->stock_count);
    for (size_t i = 0; i < a->stock_count; i++) {
        assert_string_equal(a->stock[i].size, b->stock[i].size);
        assert_int_equal(a->stock[i].build, b->stock[i].build);
        assert_int_equal(a->stock[i].material, b->stock[i].material);
        same(a->stock[i].thermal_class_c, b->stock[i].thermal_class_c);
        same(a->stock[i].mass_kg, b->stock[i].mass_kg);
        same(a->stock[i].length_m, b->stock[i].length_m);
        same(a->stock[i].price, b->stock[i].price);
    }
}

static void same_machine(const cw_machine *a, const cw_machine *b)
{
    assert_int_equal(a->given, b->given);
    assert_int_equal(a->kind, b->kind);
    assert_int_equal(a->code, b->code);
    assert_int_equal(a->inches, b->inches);
    same(a->speed_rpm, b->speed_rpm);
    same(a->slow_speed_rpm, b->slow_speed_rpm);
    assert_int_equal(a->decimals, b->decimals);
    assert_int_equal(a->pitch_decimals, b->pitch_decimals);
    assert_int_equal(a->diameter << 5 | a->line_numbers << 4 | a->semicolon_comments << 3 | a->reverse << 2 |
                     a->chained << 1 | a->stop_stops_spindle,
                     b->diameter << 5 | b->line_numbers << 4 | b->semicolon_comments << 3 | b->reverse << 2 |
                     b->chained << 1 | b->stop_stops_spindle);
    same(a->spin_up_s, b->spin_up_s);
    same(a->spin_down_s, b->spin_down_s);
    same(a->acceleration_m_s2, b->acceleration_m_s2);
    same(a->rapid_m_s, b->rapid_m_s);
    same(a->block_time_s, b->block_time_s);
    same(a->backlash_m, b->backlash_m);
    same(a->clearance_m, b->clearance_m);
    same(a->guide_distance_m, b->guide_distance_m);
    same(a->guide_near_m, b->guide_near_m);
    same(a->guide_clear_m, b->guide_clear_m);
    same_text(a->start_block, b->start_block);
    same_text(a->end_block, b->end_block);
    same(a->leadscrew_m, b->leadscrew_m);
    assert_int_equal(a->feed_count, b->feed_count);
    assert_memory_equal(a->feeds_m, b->feeds_m, a->feed_count * sizeof *a->feeds_m);
    assert_int_equal(a->gear_count, b->gear_count);
    assert_memory_equal(a->gears, b->gears, a->gear_count * sizeof *a->gears);
}

static void same_former(const cw_job_former *a, const cw_job_former *b)
{
    const cw_former_plan *p = &a->plan, *q = &b->plan;
    const double of_a[] = { p->wall_m, p->flange_m, p->middle_m, p->clearance_m, p->wrap_m, p->side_wrap_m, p->rim_m,
                            p->fillet_m, p->bore_corner_m, p->slot_m, p->pin_m, p->tape_m, p->tape_depth_m,
                            p->split_gap_m, p->shrink, p->hole_growth_m, p->core_corner_m, a->arbor.shank_m,
                            a->arbor.shank_length_m, a->arbor.cheek_m, a->arbor.fit_m, a->arbor.pinch_m,
                            a->arbor.screw_m };
    const double of_b[] = { q->wall_m, q->flange_m, q->middle_m, q->clearance_m, q->wrap_m, q->side_wrap_m, q->rim_m,
                            q->fillet_m, q->bore_corner_m, q->slot_m, q->pin_m, q->tape_m, q->tape_depth_m,
                            q->split_gap_m, q->shrink, q->hole_growth_m, q->core_corner_m, b->arbor.shank_m,
                            b->arbor.shank_length_m, b->arbor.cheek_m, b->arbor.fit_m, b->arbor.pinch_m,
                            b->arbor.screw_m };

    assert_int_equal(a->given, b->given);
    same_text(a->material, b->material);
    same_text(a->leads, b->leads);
    for (size_t i = 0; i < sizeof of_a / sizeof of_a[0]; i++)
        same(of_a[i], of_b[i]);
    assert_int_equal(p->making, q->making);
    assert_int_equal(p->finish, q->finish);
    assert_int_equal(p->pins, q->pins);
    assert_int_equal(p->tapes, q->tapes);
    assert_int_equal(p->sections, q->sections);
    assert_int_equal(p->split, q->split);
}

static void same_rest(const cw_job *a, const cw_job *b)
{
    same_former(&a->former, &b->former);
    same(a->former.class_c, b->former.class_c);
    assert_int_equal(a->former.sections, b->former.sections);
    same(a->former.partition_m, b->former.partition_m);
    assert_int_equal(a->insulation.given, b->insulation.given);
    same(a->insulation.sheet_m, b->insulation.sheet_m);
    assert_int_equal(a->insulation.every, b->insulation.every);
    same(a->insulation.margin_start_m, b->insulation.margin_start_m);
    same(a->insulation.margin_end_m, b->insulation.margin_end_m);
    same(a->insulation.sleeve_m, b->insulation.sleeve_m);
    same(a->insulation.wrap_m, b->insulation.wrap_m);
    same(a->insulation.class_c, b->insulation.class_c);
    same(a->insulation.lead_class_c, b->insulation.lead_class_c);
    assert_int_equal(a->potting.given, b->potting.given);
    same_text(a->potting.resin, b->potting.resin);
    same(a->potting.class_c, b->potting.class_c);
    assert_int_equal(a->magnet_given, b->magnet_given);
    assert_int_equal(a->magnet_count, b->magnet_count);
    for (size_t i = 0; i < a->magnet_count; i++) {
        same_text(a->magnet[i].name, b->magnet[i].name);
        same_text(a->magnet[i].word, b->magnet[i].word);
        assert_int_equal(a->magnet[i].kind, b->magnet[i].kind);
        same(a->magnet[i].value, b->magnet[i].value);
        same(a->magnet[i].doubt, b->magnet[i].doubt);
    }
    same_load(&a->load.what, &b->load.what);
    assert_int_equal(a->load.given, b->load.given);
    assert_int_equal(a->acceptance.given, b->acceptance.given);
    assert_int_equal(a->acceptance.service, b->acceptance.service);
    assert_int_equal(a->acceptance.practice, b->acceptance.practice);
    assert_int_equal(a->acceptance.rise, b->acceptance.rise);
    assert_int_equal(a->acceptance.left_out, b->acceptance.left_out);
    same(a->acceptance.release_s, b->acceptance.release_s);
    assert_int_equal(a->section_count, b->section_count);
    for (size_t i = 0; i < a->section_count; i++) {
        const cw_job_region *one = &a->section[i], *two = &b->section[i];

        assert_string_equal(one->name, two->name);
        assert_string_equal(one->material, two->material);
        assert_true(one->out == two->out && one->moves == two->moves && one->coil == two->coil);
        assert_int_equal(one->outline_count, two->outline_count);
        for (size_t k = 0; k < one->outline_count; k++)
            assert_true(fabs(one->outline[k].x - two->outline[k].x) + fabs(one->outline[k].y - two->outline[k].y) < 1e-12
                        && one->outline[k].through == two->outline[k].through);
    }
    assert_int_equal(a->proof_count, b->proof_count);
    for (size_t i = 0; i < a->proof_count; i++) {
        same_text(a->proof[i].test, b->proof[i].test);
        assert_int_equal(a->proof[i].kind, b->proof[i].kind);
        same(a->proof[i].value, b->proof[i].value);
        same(a->proof[i].doubt, b->proof[i].doubt);
        same(a->proof[i].at_c, b->proof[i].at_c);
        same(a->proof[i].gap_m, b->proof[i].gap_m);
        same(a->proof[i].plate_m, b->proof[i].plate_m);
        same_text(a->proof[i].word, b->proof[i].word);
        same(a->proof[i].current_a, b->proof[i].current_a);
        same(a->proof[i].voltage_v, b->proof[i].voltage_v);
        same(a->proof[i].time_s, b->proof[i].time_s);
        same(a->proof[i].ambient_c, b->proof[i].ambient_c);
        same(a->proof[i].lead_ohm, b->proof[i].lead_ohm);
        same(a->proof[i].reversed_h, b->proof[i].reversed_h);
        same(a->proof[i].later_ohm, b->proof[i].later_ohm);
        assert_int_equal(a->proof[i].coil, b->proof[i].coil);
        assert_true(a->proof[i].dc == b->proof[i].dc && a->proof[i].broke_down == b->proof[i].broke_down);
    }
    assert_int_equal(a->heat_run_count, b->heat_run_count);
    for (size_t i = 0; i < a->heat_run_count; i++) {
        same(a->heat_run[i].time_s, b->heat_run[i].time_s);
        same(a->heat_run[i].resistance_ohm, b->heat_run[i].resistance_ohm);
        same(a->heat_run[i].doubt_ohm, b->heat_run[i].doubt_ohm);
        same(a->heat_run[i].ambient_c, b->heat_run[i].ambient_c);
        same(a->heat_run[i].voltage_v, b->heat_run[i].voltage_v);
    }
}

static void same_job(const cw_job *a, const cw_job *b)
{
    same_text(a->name, b->name);
    same_text(a->machine_name, b->machine_name);
    same_text(a->note, b->note);
    assert_int_equal(a->units_given, b->units_given);
    same_supply(a, b);
    assert_int_equal(a->window_given, b->window_given);
    same_window(&a->window, &b->window);
    same_readings(a, b);
    same_wishes(a, b);
    same_machine(&a->machine, &b->machine);
    same_rest(a, b);
}

/* ---- round trips ----------------------------------------------------------------------------------------------- */

static cw_job *read_or_fail(const char *text, size_t length)
{
    cw_errors errors = { 0 };
    cw_job *job;

    if (cw_job_read(text, length, NULL, catalogue, &job, &errors) != CW_OK)
        fail_msg("%d:%d %s\n%.*s", errors.items[0].line, errors.items[0].column, errors.items[0].text, (int)length,
                 text);
    cw_errors_clear(&errors);
    return job;
}

static void check_round_trip(const char *text, size_t length)
{
    cw_job *job = read_or_fail(text, length), *again;
    cw_text first = { 0 }, second = { 0 };

    assert_int_equal(cw_job_write(job, &first, NULL), CW_OK);
    again = read_or_fail(first.data, first.length);
    same_job(job, again);
    again->units = job->units; /* what is written is then the same bytes too */
    assert_int_equal(cw_job_write(again, &second, NULL), CW_OK);
    assert_string_equal(first.data, second.data);
    cw_text_clear(&first);
    cw_text_clear(&second);
    cw_job_destroy(&job);
    cw_job_destroy(&again);
}

static void a_job_with_every_key_reads_back_the_same(void **state)
{
    char path[1000];
    char *text;
    size_t length;

    (void)state;
    snprintf(path, sizeof path, "%s/tests/job/good/every_key.yaml", getenv("CW_SOURCE_ROOT"));
    assert_int_equal(cw_file_read(path, CW_JOB_LARGEST, &text, &length, NULL), CW_OK);
    check_round_trip(text, length);
    cw_free(text);
    check_round_trip("coilwright: 1\n", 14);
}

static uint32_t seed = 2463534242u;

static uint32_t any(uint32_t below)
{
    seed ^= seed << 13, seed ^= seed >> 17, seed ^= seed << 5;
    return seed % below;
}

/* A number of up to 17 figures, log-uniform, times `scale`. */
static double some(double scale)
{
    return scale * pow(10, any(1000000) / 1e6) * (1 + any(1u << 30) / 1152921504606846976.0);
}

static const char *one_of(const char *const *words)
{
    int count = 0;

    while (words[count] != NULL)
        count++;
    return words[any((uint32_t)count)];
}

static void write_random_window(cw_text *text)
{
    static const char *const units[] = { "m", "in", "ft", NULL };
    const char *unit = one_of(units);

    if (any(2) == 0)
        cw_text_print(text, "window: {shape: round, inner: %.17g %s ± %.3g mm, length: %.17g mm, depth: %.17g mm}\n",
                      some(0.01), unit, some(0.1), some(10), some(3));
    else
        cw_text_print(text, "window: {shape: rectangle, inner_size: [%.17g mm ± %.17g mm, %.17g mm], length: %.17g in, "
                      "depth: %.17g thou, corner_radius: %.17g mm}\n", some(20), some(0.1), some(20), some(1),
                      some(100), some(1));
}

static void write_random_readings(cw_text *text)
{
    static const char *const mass_units[] = { "g", "oz", "lb", "kg", NULL };
    static const char *const scales[] = { "°C", "°F", NULL };
    static const char *const subjects[] = { "this", "sibling", NULL };

    cw_text_add(text, "readings:\n");
    for (int i = 0, count = 1 + (int)any(6); i < count; i++) {
        if (any(3) == 0)
            cw_text_print(text, "  - {kind: coil-resistance, of: %s, value: %.17g ohm ± %.17g %%, at: %.17g %s}\n",
                          one_of(subjects), some(1), some(0.1), some(10), one_of(scales));
        else if (any(2) == 0)
            cw_text_print(text, "  - {kind: sample-mass, value: %.17g %s, length: %.17g ft}\n", some(0.01),
                          one_of(mass_units), some(1));
        else
            cw_text_print(text, "  - {kind: turns, value: %.17g ± %.17g}\n", some(100), some(1));
    }
}

static void write_random_rest(cw_text *text)
{
    static const char *const pieces[] = { "a", "\\\"", "\\\\", ":", " ", "#", "- ", "é", "\\n", "'", "{", "null",
                                          "1 in", NULL };

    if (any(2) == 0) {
        cw_text_add(text, "job: {note: \"x");
        for (int i = 0; i < 8; i++)
            cw_text_add(text, one_of(pieces));
        cw_text_add(text, "\"}\n");
    }
    if (any(2) == 0)
        cw_text_print(text, "supply: {kind: ac, voltage: %.17g V, frequency: %.17g Hz, duty: %.17g %% of %.17g min}\n",
                      some(10), some(10), some(1), some(1));
    if (any(2) == 0)
        cw_text_print(text, "wanted: {resistance: same ± %.17g %%, ampere_turns: at least %.17g}\n", some(1),
                      some(100));
    else
        cw_text_print(text, "wanted: {resistance: %.17g kohm ± %.17g ohm, thermal_class: 155, lay: random}\n", some(1),
                      some(1));
    if (any(2) == 0)
        cw_text_print(text, "stock:\n  - {wire: %u AWG, build: heavy, on_spool: %.17g ft, price: %.17g}\n",
                      20 + any(20), some(10), some(1));
    if (any(2) == 0)
        cw_text_print(text, "machine: {kind: lathe-feed, speed: %.17g rpm, block_time: %.17g ms, rapid: %.17g "
                      "in/min}\n", some(10), some(1), some(10));
    if (any(2) == 0)
        cw_text_print(text, "magnet: {shape: pot, pole_diameter: %.17g in, plate: {iron: steel, thickness: %.17g mm}}\n",
                      some(1), some(1));
    if (any(2) == 0)
        cw_text_print(text, "proof: [{test: a, value: %.17g Mohm}, {test: b, value: %.17g lb ± 1 oz, at: %.17g °F}]\n",
                      some(1), some(10), some(10));
}

static void random_jobs_read_back_to_the_last_bit(void **state)
{
    (void)state;
    for (int round = 0; round < 400; round++) {
        cw_text text = { 0 };

        cw_text_add(&text, "coilwright: 1\n");
        if (any(2) == 0)
            cw_text_add(&text, any(2) == 0 ? "units: inch\n" : "units: metric\n");
        write_random_window(&text);
        write_random_readings(&text);
        write_random_rest(&text);
        assert_false(text.failed);
        check_round_trip(text.data, text.length);
        cw_text_clear(&text);
    }
}

static void what_a_person_wrote_stays_readable(void **state)
{
    static const char text[] = "coilwright: 1\nunits: metric\nwindow: {shape: round, inner: 42 mm, length: 58.5 mm, "
                               "depth: 13 mm ± 0.2 mm}\nreadings: [{kind: coil-resistance, value: 84.2 ohm, "
                               "at: 24 °C}]\n";
    cw_job *job = read_or_fail(text, sizeof text - 1);
    cw_text out = { 0 };

    (void)state;
    assert_int_equal(cw_job_write(job, &out, NULL), CW_OK);
    assert_string_equal(out.data, "coilwright: 1\nunits: metric\nwindow:\n  shape: round\n  inner: 42.0 mm\n"
                                  "  length: 58.5 mm\n  depth: 13.0 mm ± 0.200 mm\nreadings:\n"
                                  "  - kind: coil-resistance\n    of: this\n    value: 84.2 ohm\n    at: 24.0 °C\n");
    cw_text_clear(&out);
    cw_job_destroy(&job);
}

static void memory_that_runs_out_while_writing_is_told(void **state)
{
    cw_job *job = read_or_fail("coilwright: 1\njob: {name: a}\n", 29);
    cw_text text = { 0 };

    (void)state;
    cw_memory_fail_after(0);
    assert_int_equal(cw_job_write(job, &text, NULL), CW_NO_MEMORY);
    cw_memory_fail_after(-1);
    cw_text_clear(&text);
    cw_job_destroy(&job);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_job_with_every_key_reads_back_the_same),
        cmocka_unit_test(random_jobs_read_back_to_the_last_bit),
        cmocka_unit_test(what_a_person_wrote_stays_readable),
        cmocka_unit_test(memory_that_runs_out_while_writing_is_told),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
