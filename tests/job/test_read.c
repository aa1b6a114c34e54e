/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/job.h"
#include "job/job_internal.h"

#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "coilwright/files.h"

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

static char *source_file(const char *folder, const char *name, size_t *length)
{
    char path[1000];
    char *content;
    cw_error error;

    snprintf(path, sizeof path, "%s/tests/job/%s/%s", getenv("CW_SOURCE_ROOT"), folder, name);
    if (cw_file_read(path, 16 * CW_JOB_LARGEST, &content, length, &error) != CW_OK)
        fail_msg("%s: %s", error.file, error.text);
    return content;
}

static cw_job *read_good(const char *name)
{
    size_t length;
    char *text = source_file("good", name, &length), line[1200];
    cw_errors errors = { 0 };
    cw_job *job;

    if (cw_job_read(text, length, name, catalogue, &job, &errors) != CW_OK) {
        for (size_t i = 0; i < errors.count; i++) {
            cw_error_line(&errors.items[i], line, sizeof line);
            print_message("%s\n", line);
        }
        fail_msg("%s was refused", name);
    }
    assert_int_equal(errors.count, 0);
    cw_free(text);
    return job;
}

static void near(double found, double right)
{
    if (!(fabs(found - right) <= 1e-12 * fabs(right)))
        fail_msg("%.17g is not %.17g", found, right);
}

static void check_head(const cw_job *job)
{
    assert_string_equal(job->file, "every_key.yaml");
    assert_string_equal(job->name, "clutch, rear");
    assert_string_equal(job->machine_name, "wood planer");
    assert_string_equal(job->note, "first line\nsecond line");
    assert_int_equal(job->units, CW_METRIC_UNITS);
    assert_true(job->supply.given && job->circuit.given && job->window_given && job->wanted.given);
    assert_int_equal(job->supply.kind, CW_HALF_WAVE);
    near(job->supply.voltage_v, 96.5);
    near(job->supply.original_voltage_v, 110);
    near(job->supply.frequency_hz, 50);
    near(job->supply.duty_share, 0.4);
    near(job->supply.duty_period_s, 300);
    near(job->supply.ambient_c, 31);
    assert_int_equal(job->circuit.coils, 2);
    assert_int_equal(job->circuit.connection, CW_SERIES);
    assert_int_equal(job->window.shape, CW_RECTANGLE);
    near(job->window.inner_m[0], 0.0305);
    near(job->window.inner_m[1], 0.05);
    near(job->window.inner_doubt_m, 0.0002);
    near(job->window.corner_radius_m, 0.003);
    near(job->window.length_m, 0.058);
    near(job->window.length_doubt_m, 0.0003);
    near(job->window.depth_doubt_m, 0.00013);
}

static void check_reading(const cw_reading *reading, cw_reading_kind kind, cw_subject subject, double value,
                          double doubt)
{
    assert_int_equal(reading->kind, kind);
    assert_int_equal(reading->subject, subject);
    near(reading->value, value);
    near(reading->doubt, doubt);
}

static void check_readings(const cw_job *job)
{
    const cw_reading *readings = job->readings;

    assert_int_equal(job->reading_count, 17);
    check_reading(&readings[0], CW_COIL_RESISTANCE, CW_OF_SIBLING, 84.0, 84.2 * 0.005); /* leads taken off */
    near(readings[0].at_c, 24);
    assert_int_equal(readings[0].at.line, 14);
    assert_int_equal(readings[0].at.column, 5);
    assert_string_equal(readings[0].at.file, "every_key.yaml");
    check_reading(&readings[1], CW_SAMPLE_RESISTANCE, CW_OF_SAMPLE, 0.803, 0);
    near(readings[1].at_c, 43 * 5.0 / 9);
    near(readings[1].length_m, 3);
    check_reading(&readings[4], CW_OVERALL_DIAMETER, CW_OF_THIS, 0.331e-3, 0.004e-3);
    check_reading(&readings[5], CW_BARE_DIAMETER, CW_OF_SAMPLE, 0.287e-3, 0);
    check_reading(&readings[6], CW_TURNS, CW_OF_THIS, 1850, 10);
    check_reading(&readings[12], CW_COIL_INDUCTANCE, CW_OF_THIS, 0.21, 0);
    near(readings[12].frequency_hz, 120);
    near(readings[13].current_a, 0.05);
    check_reading(&readings[15], CW_INSULATION_RESISTANCE, CW_OF_THIS, 0, 0);
    assert_true(isinf(readings[16].value) && isnan(readings[16].at_c));
}

static void check_tail(const cw_job *job)
{
    assert_int_equal(job->seen.builds, 1u << CW_SINGLE | 1u << CW_HEAVY);
    assert_int_equal(job->seen.materials, 1u << CW_COPPER);
    assert_int_equal(job->seen.systems, 1u << CW_METRIC | 1u << CW_SWG);
    assert_int_equal(job->seen.in_hand, 1u << 1 | 1u << 2);
    assert_int_equal(job->seen.lays, 1u << CW_LEVEL);
    assert_int_equal(job->seen.lean, CW_METRIC);
    assert_int_equal(job->wanted.resistance_rule, CW_SAME);
    near(job->wanted.resistance_tolerance, 0.05);
    assert_int_equal(job->wanted.ampere_turns_rule, CW_AT_LEAST);
    near(job->wanted.ampere_turns, 900);
    assert_int_equal(job->wanted.prefer, CW_PREFER_MATCH);
    assert_string_equal(job->wanted.size, "29 AWG");
    assert_int_equal(job->wanted.builds, 1u << CW_HEAVY);
    assert_int_equal(job->wanted.materials, 1u << CW_COPPER);
    assert_true(job->wanted.in_hand == 2 && job->wanted.turns == 1234 && job->wanted.layers == 0);
    near(job->wanted.finest_m, 0.11e-3);
    assert_true(job->wanted.one_size && job->wanted.option == NULL);
    assert_true(job->wanted.tap_count == 2 && job->wanted.taps[0] == 321 && job->wanted.taps[1] == 654);
    near(job->former.class_c, 130);
    assert_int_equal(job->former.sections, 3);
    near(job->former.partition_m, 1.2e-3);
    assert_true(job->insulation.given && job->insulation.every == 3);
    near(job->insulation.sheet_m, 0.06e-3);
    near(job->insulation.margin_start_m, 1.1e-3);
    near(job->insulation.margin_end_m, 0.9e-3);
    near(job->insulation.sleeve_m, 0.7e-3);
    near(job->insulation.wrap_m, 0.35e-3);
    near(job->insulation.class_c, 120);
    near(job->insulation.lead_class_c, 180);
    near(job->wanted.thermal_class_c, 155);
    assert_true(job->wanted.lay_given);
    assert_int_equal(job->stock_count, 2);
    assert_string_equal(job->stock[0].size, "29 AWG");
    assert_int_equal(job->stock[0].build, CW_HEAVY);
    near(job->stock[0].mass_kg, 0.45359237);
    near(job->stock[0].price, 21);
    assert_int_equal(job->stock[1].build, CW_HEAVY);
    near(job->stock[1].length_m, 300);
    assert_true(isnan(job->stock[1].mass_kg) && isnan(job->stock[1].price));
    assert_string_equal(job->former.leads, "both at the start flange");
    assert_int_equal(job->former.plan.making, CW_RESIN);
    assert_int_equal(job->former.plan.finish, CW_FINISH_FAR_FLANGE);
    assert_int_equal(job->former.plan.tapes, 4);
    near(job->former.plan.shrink, 0.004);
    near(job->former.arbor.screw_m, 8e-3);
    near(job->potting.class_c, 155);
    assert_int_equal(job->proof_count, 8);
    assert_string_equal(job->proof[2].word, "pass");
    assert_int_equal(job->proof[2].coil, 2);
    assert_int_equal(job->proof[3].kind, CW_INDUCTANCE);
    near(job->proof[3].reversed_h, 0.12);
    near(job->proof[4].lead_ohm, 0.04);
    near(job->proof[4].current_a, 25);
    assert_string_equal(job->proof[5].word, "over-range");
    near(job->proof[5].later_ohm, 4e9);
    assert_true(job->proof[6].dc && !job->proof[6].broke_down);
    near(job->proof[7].time_s, -60);
    near(job->proof[7].ambient_c, 24);
    near(job->proof[7].voltage_v, 96);
    assert_int_equal(job->heat_run_count, 2);
    near(job->heat_run[0].resistance_ohm, 84.2);
    near(job->heat_run[0].doubt_ohm, 0.1);
    near(job->heat_run[0].voltage_v, 95);
    near(job->heat_run[1].time_s, 5400);
    near(job->heat_run[1].ambient_c, 23);
    near(job->heat_run[1].doubt_ohm, 0);
    assert_true(isnan(job->heat_run[1].voltage_v) && job->heat_run[1].at.line > job->heat_run[0].at.line);
    assert_int_equal(job->proof[0].kind, CW_RESISTANCE);
    near(job->proof[0].doubt, 0.2);
    assert_int_equal(job->proof[1].kind, CW_FORCE);
    near(job->proof[1].value, 250 * 9.80665);
    assert_int_equal(job->load.what.kind, CW_LOAD_DRILL);
    assert_true(job->load.what.drilling.annular && job->load.what.drilling.split_point && !job->load.what.pull_at_work);
    assert_string_equal(job->load.what.drilling.metal, "low-carbon steel");
    near(job->load.what.own_weight_n, 12 * 9.80665);
    near(job->load.what.carbon_share, 0.002);
    near(job->load.what.voltage_share, 0.85);
    assert_int_equal(job->load.what.surface, CW_FACE_PAINTED);
    assert_int_equal(job->acceptance.service, CW_IN_SERVICE);
    assert_int_equal(job->acceptance.practice, CW_AS_CONTROL_GEAR);
    assert_int_equal(job->acceptance.rise, CW_RISE_MACHINE);
    assert_int_equal(job->acceptance.left_out, 1u << CW_PROVE_HEAT_RUN | 1u << CW_PROVE_RELEASE);
    near(job->acceptance.release_s, 0.2);
    near(cw_job_magnet_entry(job, "plate.thickness")->value, 0.012);
    assert_string_equal(cw_job_magnet_entry(job, "iron")->word, "low-carbon-steel");
    assert_null(cw_job_magnet_entry(job, "pole_diameter"));
}

static void check_machine(const cw_machine *machine)
{
    assert_true(machine->given && machine->inches && machine->diameter && machine->line_numbers);
    assert_true(machine->semicolon_comments && machine->reverse && machine->chained && machine->stop_stops_spindle);
    assert_int_equal(machine->kind, CW_MANUAL_LATHE);
    assert_int_equal(machine->code, CW_NO_CODE);
    assert_int_equal(machine->decimals, 4);
    assert_int_equal(machine->pitch_decimals, 6);
    near(machine->speed_rpm, 60);
    near(machine->spin_down_s, 1.5);
    near(machine->rapid_m_s, 2.0 / 60);
    near(machine->block_time_s, 0.02);
    near(machine->guide_clear_m, 0.09);
    assert_string_equal(machine->start_block, "M8\nG4 P1\n");
    assert_int_equal(machine->feed_count, 3);
    near(machine->feeds_m[2], 0.000254);
    assert_int_equal(machine->gear_count, 3);
    assert_int_equal(machine->gears[2], 127);
}

static void check_section(const cw_job *job)
{
    const cw_job_region *yoke = &job->section[0], *coil = &job->section[1];

    assert_int_equal(job->section_count, 3);
    assert_string_equal(yoke->name, "yoke");
    assert_string_equal(yoke->material, "cast-steel");
    assert_true(yoke->moves && !coil->moves);
    assert_int_equal(yoke->outline_count, 5);
    assert_true(yoke->outline[2].through && !yoke->outline[3].through);
    near(yoke->outline[2].x, 0.0270711);
    near(yoke->outline[3].y, 0.014);
    assert_true(isnan(yoke->turns));
    assert_int_equal(yoke->coil, 1);
    near(coil->turns, 900);
    assert_true(coil->out && !yoke->out);
    assert_int_equal(coil->coil, 2);
    near(coil->outline[1].x, 0.0508);
    assert_string_equal(job->section[2].material, "air");
}

static void every_key_lands_where_it_belongs(void **state)
{
    cw_job *job = read_good("every_key.yaml");

    check_section(job);
    (void)state;
    check_head(job);
    check_readings(job);
    check_tail(job);
    check_machine(&job->machine);
    cw_job_destroy(&job);
    assert_null(job);
    cw_job_destroy(&job);
}

static cw_job *read_text(const char *text, cw_status right)
{
    cw_errors errors = { 0 };
    cw_job *job = (cw_job *)1;
    cw_status status = cw_job_read(text, strlen(text), NULL, catalogue, &job, &errors);

    if (status != right)
        fail_msg("%d: %s\n%s", status, text, errors.count > 0 ? errors.items[0].text : "");
    assert_true((job != NULL) == (status == CW_OK));
    assert_true((errors.count > 0) == (status != CW_OK));
    cw_errors_clear(&errors);
    return job;
}

static void a_job_may_be_nearly_empty_and_then_knows_nothing(void **state)
{
    cw_job *job = read_text("coilwright: 1\n", CW_OK);

    (void)state;
    assert_false(job->window_given || job->supply.given || job->wanted.given || job->machine.given);
    assert_true(isnan(job->window.length_m) && isnan(job->supply.voltage_v) && isnan(job->machine.speed_rpm));
    assert_true(job->supply.duty_share == 1 && job->circuit.coils == 1 && job->seen.lean == -1);
    assert_true(isnan(job->wanted.resistance_tolerance) && job->machine.decimals == -1);
    assert_null(job->name);
    assert_null(job->file);
    assert_int_equal(job->reading_count + job->stock_count + job->magnet_count + job->proof_count, 0);
    cw_job_destroy(&job);
}

static void the_users_units_are_those_of_most_lengths(void **state)
{
    static const struct { const char *text; cw_unit_system right; } rows[] = {
        { "coilwright: 1\nwindow: {shape: round, inner: 1-3/4 in, length: 2.25\", depth: 1/2 in}", CW_INCH_UNITS },
        { "coilwright: 1\nwindow: {shape: round, inner: 42 mm, length: 58 mm, depth: 1/2 in}", CW_METRIC_UNITS },
        { "coilwright: 1\nunits: inch\nwindow: {shape: round, inner: 42 mm, length: 58 mm, depth: 9 mm}",
          CW_INCH_UNITS },
        { "coilwright: 1\n", CW_METRIC_UNITS },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cw_job *job = read_text(rows[i].text, CW_OK);

        assert_int_equal(job->units, rows[i].right);
        cw_job_destroy(&job);
    }
}

static void a_machines_kind_and_code_tell_each_other(void **state)
{
    cw_job *job = read_text("coilwright: 1\nmachine: {kind: lathe-feed, speed: 60 rpm}\n", CW_OK);

    (void)state;
    assert_int_equal(job->machine.code, CW_G95);
    cw_job_destroy(&job);
    job = read_text("coilwright: 1\nmachine: {code: rotary-a}\n", CW_OK);
    assert_int_equal(job->machine.kind, CW_ROTARY_WINDER);
    cw_job_destroy(&job);
}

/* The nc room says what "not given" is; its defaults count on it. */
static void a_machine_of_which_nothing_is_known_is_as_its_room_begins_it(void **state)
{
    cw_job *job = read_text("coilwright: 1\n", CW_OK);
    cw_machine fresh;

    (void)state;
    cw_machine_init(&fresh);
    cw_machine_defaults(&fresh);
    cw_machine_defaults(&job->machine);
    assert_int_equal(job->machine.kind, fresh.kind);
    assert_int_equal(job->machine.code, fresh.code);
    assert_int_equal(job->machine.decimals, fresh.decimals);
    assert_int_equal(job->machine.pitch_decimals, fresh.pitch_decimals);
    assert_int_equal(job->machine.inches, fresh.inches);
    assert_true(job->machine.speed_rpm == fresh.speed_rpm && job->machine.slow_speed_rpm == fresh.slow_speed_rpm);
    assert_true(job->machine.spin_up_s == fresh.spin_up_s && job->machine.spin_down_s == fresh.spin_down_s);
    assert_true(job->machine.acceleration_m_s2 == fresh.acceleration_m_s2);
    assert_true(job->machine.block_time_s == fresh.block_time_s && job->machine.backlash_m == fresh.backlash_m);
    assert_true(job->machine.clearance_m == fresh.clearance_m);
    assert_true(job->machine.guide_distance_m == fresh.guide_distance_m);
    assert_true(isnan(job->machine.guide_near_m) == isnan(fresh.guide_near_m));
    assert_int_equal(job->machine.feed_count + job->machine.gear_count, 0);
    cw_job_destroy(&job);
}

static void the_words_of_the_schema_are_those_of_the_rooms(void **state)
{
    (void)state;
    for (int i = 0; i < CW_READING_KIND_COUNT; i++) {
        assert_string_equal(cw_job__reading_words[i], cw_job__reading_rows[i].name);
        assert_string_equal(cw_job__reading_words[i], cw_reading_kind_name((cw_reading_kind)i));
    }
    assert_null(cw_job__reading_words[CW_READING_KIND_COUNT]);
    for (int i = 0; i < cw_job__section_count; i++)
        for (int k = 0; k < cw_job__sections[i].row_count; k++) {
            const cw_row *row = &cw_job__sections[i].rows[k];

            assert_non_null(row->metric);
            assert_non_null(row->about);
            for (int w = 0; row->words != NULL && row->words[w] != NULL; w++) {
                if (strcmp(row->key, "shape") == 0)
                    assert_string_equal(row->words[w], cw_shape_name((cw_shape)w));
                if (strcmp(row->key, "lay") == 0)
                    assert_string_equal(row->words[w], cw_lay_name((cw_lay)w));
                if (strcmp(row->key, "code") == 0)
                    assert_string_equal(row->words[w], cw_code_name((cw_code)w));
                if (strcmp(row->key, "kind") == 0 && strcmp(cw_job__sections[i].key, "machine") == 0)
                    assert_string_equal(row->words[w], cw_machine_kind_name((cw_machine_kind)w));
            }
        }
}

/* ---- the folder of bad files ----------------------------------------------------------------------------------- */

static char *error_lines(const cw_errors *errors)
{
    cw_text lines = { 0 };

    for (size_t i = 0; i < errors->count; i++) {
        char line[1200];

        cw_error_line(&errors->items[i], line, sizeof line);
        cw_text_print(&lines, "%s\n", line);
    }
    assert_false(lines.failed);
    return lines.data;
}

static void check_bad(const char *name)
{
    char beside[300];
    size_t length, right_length;
    char *text = source_file("bad", name, &length), *right, *found;
    cw_errors errors = { 0 };
    cw_job *job = (cw_job *)1;

    snprintf(beside, sizeof beside, "%.*s.error", (int)(strlen(name) - 5), name);
    right = source_file("bad", beside, &right_length);
    assert_int_equal(cw_job_read(text, length, name, catalogue, &job, &errors), CW_BAD_INPUT);
    assert_null(job);
    found = error_lines(&errors);
    if (strcmp(found, right) != 0)
        fail_msg("%s:\n%s", name, found);
    assert_int_equal(cw_job_read(text, length, name, catalogue, &job, NULL), CW_BAD_INPUT);
    cw_errors_clear(&errors);
    cw_free(text);
    cw_free(right);
    cw_free(found);
}

static void every_bad_file_gets_its_sentences(void **state)
{
    char path[1000];
    DIR *folder;
    struct dirent *entry;
    int count = 0;

    (void)state;
    snprintf(path, sizeof path, "%s/tests/job/bad", getenv("CW_SOURCE_ROOT"));
    folder = opendir(path);
    assert_non_null(folder);
    while ((entry = readdir(folder)) != NULL) {
        size_t length = strlen(entry->d_name);

        if (length > 5 && strcmp(entry->d_name + length - 5, ".yaml") == 0) {
            check_bad(entry->d_name);
            count++;
        }
    }
    closedir(folder);
    assert_true(count >= 30);
}

/* ---- hostile bytes --------------------------------------------------------------------------------------------- */

static void check_hostile(const char *text, size_t length, const char *sentence)
{
    cw_errors errors = { 0 };
    cw_job *job = (cw_job *)1;

    assert_int_equal(cw_job_read(text, length, "hostile.yaml", catalogue, &job, &errors), CW_BAD_INPUT);
    assert_null(job);
    if (errors.count < 1 || strstr(errors.items[0].text, sentence) == NULL)
        fail_msg("not \"%s\" but \"%s\"", sentence, errors.count > 0 ? errors.items[0].text : "");
    cw_errors_clear(&errors);
}

static void fill(char *text, size_t length, const char *piece)
{
    size_t each = strlen(piece);

    for (size_t i = 0; i < length; i++)
        text[i] = piece[i % each];
}

static void hostile_bytes_get_a_sentence(void **state)
{
    enum { LARGE = 10 * 1000 * 1000 };
    char *large = malloc(LARGE);

    (void)state;
    check_hostile("", 0, "empty");
    check_hostile("\n# only a comment\n", 18, "empty");
    check_hostile("coilwright: 1\0", 14, "control character");
    check_hostile("coilwright: 1 \xFF\n", 16, "not UTF-8");
    check_hostile("\xFF\xFE" "c\0o\0", 6, "not UTF-8");
    fill(large, LARGE, "garbage \x01\x80");
    check_hostile(large, LARGE, "larger than 1 MB");
    check_hostile(large, CW_JOB_LARGEST, "control character");
    fill(large, 3000, "[");
    check_hostile(large, 3000, "nested deeper");
    fill(large, 3000, "{a: ");
    check_hostile(large, 3000, "nested deeper");
    fill(large, 3000, "- ");
    check_hostile(large, 3000, "nested deeper");
    fill(large, 200000, "- [a, a, a, a, a, a, a, a]\n");
    check_hostile(large, 200000, "more entries than any job");
    fill(large, 3000, "a");
    check_hostile(large, 3000, "holds a text");
    fill(large, CW_JOB_LARGEST, "a");
    check_hostile(large, CW_JOB_LARGEST, "longer than any line");
    fill(large, CW_JOB_LARGEST, "\n");
    memcpy(large, "a: >", 4);
    check_hostile(large, CW_JOB_LARGEST, "more lines than any job");
    fill(large, 3000, "%");
    check_hostile(large, 3000, "directive");
    free(large);
}

static void a_bomb_of_aliases_is_refused_at_its_first_anchor(void **state)
{
    static const char bomb[] = "coilwright: 1\na: &a [x, x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a]\n"
                               "c: &c [*b, *b, *b, *b, *b, *b]\nd: [*c, *c, *c, *c, *c, *c]\n";

    (void)state;
    check_hostile(bomb, sizeof bomb - 1, "Anchors (&name) are not used");
}

/* Cut anywhere, changed anywhere: a status, and a job only with CW_OK. */
static void damaged_files_never_crash(void **state)
{
    size_t length;
    char *text = source_file("good", "every_key.yaml", &length), *copy = malloc(length);
    uint32_t seed = 88172645;

    (void)state;
    for (size_t round = 0; round < 3000; round++) {
        size_t cut = length;
        cw_errors errors = { 0 };
        cw_job *job;
        cw_status status;

        memcpy(copy, text, length);
        for (int change = 0; change < 3; change++) {
            seed ^= seed << 13, seed ^= seed >> 17, seed ^= seed << 5;
            copy[seed % length] = "\n:{}[]-\"' #&*!|>%@\t,0a\xC2"[seed / 65536 % 24];
        }
        if (round % 3 == 0)
            cut = seed % length;
        status = cw_job_read(copy, cut, NULL, catalogue, &job, &errors);
        assert_true(status == CW_OK || status == CW_BAD_INPUT);
        assert_true((job != NULL) == (status == CW_OK));
        assert_true((errors.count > 0) == (status != CW_OK));
        cw_errors_clear(&errors);
        cw_job_destroy(&job);
    }
    free(copy);
    cw_free(text);
}

static void memory_that_runs_out_is_told_at_every_call(void **state)
{
    size_t length;
    char *text = source_file("good", "every_key.yaml", &length);
    cw_status status = CW_NO_MEMORY;

    (void)state;
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_job *job = (cw_job *)1;

        cw_memory_fail_after(granted);
        status = cw_job_read(text, length, "every_key.yaml", catalogue, &job, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || job == NULL);
        cw_job_destroy(&job);
    }
    assert_int_equal(status, CW_OK);
    cw_free(text);
}

/* The job has the proof's own words, in its order. */
static void words_of_the_proof_are_its_own(void **state)
{
    (void)state;
    for (int kind = 0; kind < CW_PROVE_COUNT; kind++) {
        char text[200];
        cw_job *job;

        snprintf(text, sizeof text, "coilwright: 1\nacceptance: {leave_out: %s, service: %s, practice: %s, rise: %s}\n",
                 cw_proof_name((cw_proof_kind)kind), cw_proof_service_name((cw_proof_service)(kind % CW_SERVICE_COUNT)),
                 cw_proof_practice_name((cw_proof_practice)(kind % CW_PRACTICE_COUNT)),
                 cw_rise_rule_name((cw_rise_rule)(kind % CW_RISE_RULE_COUNT)));
        assert_int_equal(cw_job_read(text, strlen(text), NULL, catalogue, &job, NULL), CW_OK);
        assert_int_equal(job->acceptance.left_out, 1u << kind);
        assert_int_equal(job->acceptance.service, kind % CW_SERVICE_COUNT);
        assert_int_equal(job->acceptance.practice, kind % CW_PRACTICE_COUNT);
        assert_int_equal(job->acceptance.rise, kind % CW_RISE_RULE_COUNT);
        cw_job_destroy(&job);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_key_lands_where_it_belongs),
        cmocka_unit_test(a_job_may_be_nearly_empty_and_then_knows_nothing),
        cmocka_unit_test(the_users_units_are_those_of_most_lengths),
        cmocka_unit_test(a_machines_kind_and_code_tell_each_other),
        cmocka_unit_test(a_machine_of_which_nothing_is_known_is_as_its_room_begins_it),
        cmocka_unit_test(the_words_of_the_schema_are_those_of_the_rooms),
        cmocka_unit_test(every_bad_file_gets_its_sentences),
        cmocka_unit_test(hostile_bytes_get_a_sentence),
        cmocka_unit_test(a_bomb_of_aliases_is_refused_at_its_first_anchor),
        cmocka_unit_test(damaged_files_never_crash),
        cmocka_unit_test(memory_that_runs_out_is_told_at_every_call),
        cmocka_unit_test(words_of_the_proof_are_its_own),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
