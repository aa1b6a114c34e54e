/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job's magnet: where its keys land, where the coil comes to lie, which current it carries, and what is refused. */
#include "coilwright/process.h"
#include "work/work_internal.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* A made-up coil: 1850 turns of 0.280 mm in a round or an oblong window. */
static const char coil[] =
    "coilwright: 1\nunits: metric\n"
    "supply: {kind: dc, voltage: 24 V, ambient: 20 °C}\n"
    "readings:\n  - {kind: coil-resistance, of: sibling, value: 71.0 ohm, at: 20 °C}\n"
    "  - {kind: bare-diameter, value: 0.286 mm}\n  - {kind: turns, value: 1850}\n";
static const char round_window[] = "window: {shape: round, inner: 42 mm, length: 58 mm, depth: 13 mm}\n";
static const char long_window[] = "window: {shape: rectangle, inner_size: [50 mm, 30 mm], corner_radius: 3 mm, "
                                  "length: 58 mm, depth: 13 mm}\n";

static cw_work *open_job(const char *window, const char *circuit, const char *magnet)
{
    cw_text text = { 0 };
    cw_errors errors = { 0 };
    cw_work *work;

    cw_text_print(&text, "%s%s%smagnet: {%s}\n", coil, window, circuit, magnet);
    if (cw_work_open(text.data, text.length, "job.yaml", &work, &errors) != CW_OK)
        fail_msg("%d:%d %s\n%s", errors.items[0].line, errors.items[0].column, errors.items[0].text, text.data);
    cw_text_clear(&text);
    return work;
}

/* The magnet of a shape by the examples of its keys; that at `index` with a 1 before it, or none where it is beyond. */
static void write_keys(unsigned shape, const char *word, size_t index, cw_text *text)
{
    size_t count;
    const cw_job_magnet_key *keys = cw_job_magnet_keys(&count);
    const char *groups[] = { "plate.", "coil." };

    cw_text_print(text, "shape: %s", word);
    for (size_t i = 1; i < count; i++)
        if ((keys[i].shapes & shape) != 0 && strchr(keys[i].name, '.') == NULL)
            cw_text_print(text, ", %s: %s%s", keys[i].name, i == index && keys[i].type == CW_KEY_LENGTH ? "1" : "",
                          i == index && keys[i].type == CW_KEY_FACE ? "scaled" : i == index && keys[i].type == CW_KEY_IRON ? "cast-steel"
                          : i == index && keys[i].type == CW_KEY_YES_NO ? "yes" : keys[i].metric);
    for (int g = 0; g < 2; g++) {
        const char *before = "{";

        for (size_t i = 1; i < count; i++)
            if ((keys[i].shapes & shape) != 0 && strncmp(keys[i].name, groups[g], strlen(groups[g])) == 0) {
                if (before[0] == '{')
                    cw_text_print(text, ", %.*s: ", (int)strlen(groups[g]) - 1, groups[g]);
                cw_text_print(text, "%s%s: %s%s", before, keys[i].name + strlen(groups[g]),
                              i == index && keys[i].type == CW_KEY_LENGTH ? "1" : "",
                              i == index && keys[i].type == CW_KEY_IRON ? "cast-steel"
                              : i == index && keys[i].type == CW_KEY_SHARE ? "35 %" : keys[i].metric);
                before = ", ";
            }
        cw_text_add(text, before[0] == ',' ? "}" : "");
    }
}

static cw_status magnet_of(unsigned shape, const char *word, size_t index, cw_work_field_study *study, cw_error *error)
{
    const char *circuit = shape == 4 ? "circuit: {coils: 2, connection: series}\n" : "";
    cw_text text = { 0 };
    cw_status status;
    cw_work *work;

    write_keys(shape, word, index, &text);
    work = open_job(shape < 4 ? round_window : long_window, circuit, text.data);
    memset(study, 0, sizeof *study);
    status = cw_work__magnet(work, study, error);
    cw_text_clear(&text);
    cw_work_close(&work);
    return status;
}

static const struct { const char *word; unsigned bit; } shapes[] = { { "pot", 1 }, { "plunger", 2 }, { "u", 4 },
                                                                    { "e", 8 } };

static void the_examples_of_the_template_make_a_magnet(void **state)
{
    (void)state;
    for (int s = 0; s < 4; s++) {
        cw_work_field_study study;
        cw_error error;

        if (magnet_of(shapes[s].bit, shapes[s].word, SIZE_MAX, &study, &error) != CW_OK)
            fail_msg("%s: %s", shapes[s].word, error.text);
        assert_int_equal(study.coil_count, shapes[s].bit == 4 ? 2 : 1);
    }
}

static bool same_magnet(const cw_work_field_study *a, const cw_work_field_study *b)
{
    return memcmp(&a->magnet, &b->magnet, sizeof a->magnet) == 0 &&
           memcmp(&a->open_gap_m, &b->open_gap_m, sizeof a->open_gap_m) == 0 && a->cover == b->cover &&
           strcmp(a->face, b->face) == 0;
}

static void every_key_of_a_shape_changes_its_magnet(void **state)
{
    size_t count, tried = 0;
    const cw_job_magnet_key *keys = cw_job_magnet_keys(&count);

    (void)state;
    for (int s = 0; s < 4; s++) {
        cw_work_field_study as_it_is, changed;

        assert_int_equal(magnet_of(shapes[s].bit, shapes[s].word, SIZE_MAX, &as_it_is, NULL), CW_OK);
        for (size_t i = 1; i < count; i++) {
            if ((keys[i].shapes & shapes[s].bit) == 0 || keys[i].type == CW_KEY_FORCE)
                continue;
            magnet_of(shapes[s].bit, shapes[s].word, i, &changed, NULL); /* it need not fit together */
            if (same_magnet(&as_it_is, &changed))
                fail_msg("%s: %s lands nowhere", shapes[s].word, keys[i].name);
            tried++;
        }
    }
    assert_true(tried > 50);
}

static const char pot[] = "shape: pot, iron: low-carbon-steel, outer_diameter: 90 mm, pole_diameter: 38 mm, "
                          "rim_thickness: 8 mm, base_thickness: 12 mm, height: 80 mm, gap: 0.2 mm, "
                          "plate: {thickness: 12 mm}";

static void the_coil_lies_where_the_window_has_it(void **state)
{
    cw_work *work = open_job(round_window, "", pot);
    const cw_winding *winding;
    cw_work_field_study study;

    (void)state;
    memset(&study, 0, sizeof study);
    assert_int_equal(cw_work__magnet(work, &study, NULL), CW_OK);
    assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
    assert_float_equal(study.magnet.coil.inside_m, 0.042, 1e-12);
    assert_float_equal(study.magnet.coil.outside_m, 0.042 + 2 * winding->depth_m, 1e-12);
    assert_float_equal(study.magnet.coil.length_m, 0.058, 1e-12);
    assert_float_equal(study.magnet.coil.offset_m, 0.5 * (0.080 - 0.012 - 0.058), 1e-12);
    assert_float_equal(study.magnet.coil.turns, (double)winding->turns, 0);
    cw_work_close(&work);
}

/* V = I R, R rising by 0.393 % a kelvin (IEC 60028). */
static void the_current_is_the_supplys_through_the_warm_winding(void **state)
{
    cw_work *work = open_job(round_window, "", pot);
    const cw_work_field_study *study;
    const cw_winding *winding;

    (void)state;
    assert_int_equal(cw_work_field(work, &study, NULL), CW_OK);
    assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
    assert_float_equal(study->cold_current_a * winding->resistance_20c_ohm, 24, 1e-9);
    assert_true(study->winding_c > 25);
    assert_float_equal(study->magnet.current_a * winding->resistance_20c_ohm * (1 + 0.00393 * (study->winding_c - 20)), 24,
                       1e-9);
    assert_float_equal(study->hot.ampere_turns, study->magnet.current_a * (double)winding->turns, 1e-9);
    assert_true(study->hot.force_n < study->cold.force_n);
    cw_work_close(&work);
}

static void the_field_is_that_of_the_field_room(void **state)
{
    cw_work *work = open_job(round_window, "", pot);
    const cw_work_field_study *study, *again;
    cw_field_result direct;

    (void)state;
    assert_int_equal(cw_work_field(work, &study, NULL), CW_OK);
    assert_int_equal(cw_work_field(work, &again, NULL), CW_OK);
    assert_ptr_equal(study, again);
    assert_int_equal(cw_magnet_solve(&study->magnet, NULL, &direct, NULL), CW_OK);
    assert_float_equal(study->hot.force_n, direct.force_n, 0);
    cw_work_close(&work);
}

static void refused(const char *window, const char *circuit, const char *magnet, const char *said)
{
    cw_work *work = open_job(window, circuit, magnet);
    const cw_work_field_study *study = (const cw_work_field_study *)work;
    cw_error error;

    assert_int_equal(cw_work_field(work, &study, &error), CW_BAD_INPUT);
    assert_null(study);
    assert_int_equal(error.line > 0, strstr(magnet, "shape") != NULL);
    if (strstr(error.text, said) == NULL)
        fail_msg("\"%s\" is not in \"%s\"", said, error.text);
    cw_work_close(&work);
}

static void what_cannot_be_is_refused_at_its_place(void **state)
{
    static const char u[] = "shape: u, iron: low-carbon-steel, pole_width: 26 mm, window_width: 34 mm, depth: 46 mm, "
                            "base_thickness: 12 mm, height: 80 mm, gap: 0.2 mm, plate: {thickness: 12 mm}";

    (void)state;
    refused(round_window, "", "shape: pot, iron: low-carbon-steel, gap: 0.2 mm",
            "does not give outer_diameter, pole_diameter, rim_thickness, base_thickness, height, plate.thickness.");
    refused(round_window, "", "shape: pot, iron: low-carbon-steel, outer_diameter: 60 mm, pole_diameter: 38 mm, "
            "rim_thickness: 8 mm, base_thickness: 12 mm, height: 80 mm, gap: 0.2 mm, plate: {thickness: 12 mm}",
            "does not lie in the air");
    refused(long_window, "", pot, "no circle");
    refused(long_window, "", u, "a coil on each leg");
    refused(round_window, "", "shape: section", "does not give gap");
    refused(round_window, "", "shape: section, gap: 0.1 mm", "no section: that draws it");
}

/* The same pot, drawn. Its coil as the window and the laid winding have it. */
#define BODY "section:\n" \
    "  - {region: body, material: low-carbon-steel, outline: \"0 -80, 45 -80, 45 0, 37 0, 37 -68, 19 -68, 19 0, 0 0 mm\"}\n"
#define WINDING "  - {region: winding, material: coil, outline: \"21 -63, %.9g -63, %.9g -5, 21 -5 mm\"}\n"
#define PLATE "  - {region: plate, material: low-carbon-steel, moves: yes, outline: \"0 0, 45 0, 45 12, 0 12 mm\"}\n"

static void a_drawn_magnet_pulls_as_its_template(void **state)
{
    cw_work *template = open_job(round_window, "", pot), *drawn;
    const cw_work_field_study *one, *two;
    cw_text section = { 0 };
    char *helper = NULL;
    double outside_mm;

    (void)state;
    assert_int_equal(cw_work_field(template, &one, NULL), CW_OK);
    outside_mm = 500 * one->magnet.coil.outside_m;
    cw_text_print(&section, BODY WINDING PLATE, outside_mm, outside_mm);
    drawn = open_job(round_window, section.data, "shape: section, gap: 0.2 mm");
    assert_int_equal(cw_work__magnet(drawn, &(cw_work_field_study){ 0 }, NULL), CW_OK);
    if (cw_process_find("coilwright-mesher", &helper, NULL) == CW_OK) {
        assert_int_equal(cw_work_field(drawn, &two, NULL), CW_OK);
        assert_true(fabs(two->cold.force_n / one->cold.force_n - 1) < 0.01);
        assert_true(fabs(two->cold.ampere_turns / one->cold.ampere_turns - 1) < 1e-9);
        assert_true(isnan(two->hand.force_n));
    }
    cw_free(helper);
    cw_text_clear(&section);
    cw_work_close(&template);
    cw_work_close(&drawn);
}

static void refused_section(const char *section, int line, const char *said)
{
    cw_work *work = open_job(round_window, section, "shape: section, gap: 0.2 mm");
    const cw_work_field_study *study;
    cw_error error;

    assert_int_equal(cw_work_field(work, &study, &error), CW_BAD_INPUT);
    assert_int_equal(error.line, line);
    if (strstr(error.text, said) == NULL)
        fail_msg("\"%s\" is not in \"%s\"", said, error.text);
    cw_work_close(&work);
}

static void a_section_that_cannot_be_is_refused_by_its_regions_name(void **state)
{
    static const char *const coil_row = "  - {region: winding, material: coil, outline: \"21 -63, 30 -63, 30 -5 mm\"}\n";
    static const struct { const char *rows, *said; int line; } cases[] = { /* 9 lines stand before, magnet: behind */
        { BODY PLATE, "No region of the section is a coil.", 12 },
        { BODY "%s", "No region of the section moves", 12 },
        { BODY "%s  - {region: lid, material: butter, outline: \"0 0, 45 0, 45 12 mm\"}\n", "The region 'lid' is of 'butter'", 12 },
        { BODY "%s  - {region: lid, material: cast-steel, moves: yes, outline: \"0 0, 9 9, 9 0, 0 9 mm\"}\n",
          "outline of the region 'lid' crosses", 13 },
        { BODY PLATE "  - {region: spare, material: coil, outline: \"5 -20, 9 -20, 9 -10 mm\"}\n",
          "The coil 'spare' lies in the iron of 'body'", 13 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_text text = { 0 };
        const char *at = strstr(cases[i].rows, "%s");

        cw_text_add_bytes(&text, cases[i].rows, at != NULL ? (size_t)(at - cases[i].rows) : strlen(cases[i].rows));
        cw_text_add(&text, at != NULL ? coil_row : "");
        cw_text_add(&text, at != NULL ? at + 2 : "");
        refused_section(text.data, cases[i].line, cases[i].said);
        cw_text_clear(&text);
    }
}

static void an_unknown_iron_is_refused_where_it_stands(void **state)
{
    cw_text text = { 0 };
    cw_errors errors = { 0 };
    cw_work *work = (cw_work *)&text;

    (void)state;
    cw_text_print(&text, "%s%smagnet:\n  shape: pot\n  iron: low-carbon-stel\n", coil, round_window);
    assert_int_equal(cw_work_open(text.data, text.length, "job.yaml", &work, &errors), CW_BAD_INPUT);
    assert_null(work);
    assert_int_equal(errors.count, 1);
    assert_int_equal(errors.items[0].line, 11);
    assert_int_equal(errors.items[0].column, 9);
    assert_string_equal(errors.items[0].expected, "low-carbon-steel");
    cw_errors_clear(&errors);
    cw_text_clear(&text);
}

static void memory_that_runs_out_is_told(void **state)
{
    cw_work *work = open_job(round_window, "", pot);
    cw_status status = CW_OK;
    const cw_work_field_study *study;
    const cw_winding *winding;
    int failures = 0;

    (void)state;
    assert_int_equal(cw_work_lay(work, &winding, NULL, NULL), CW_OK);
    cw_work_close(&work);
    for (long granted = 0; granted == 0 || status != CW_OK; granted += 1 + granted / 4) {
        work = open_job(round_window, "", pot);
        cw_memory_fail_after(granted);
        status = cw_work_field(work, &study, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK ? study != NULL : status == CW_NO_MEMORY && study == NULL);
        failures += status != CW_OK;
        cw_work_close(&work);
    }
    assert_true(failures > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_examples_of_the_template_make_a_magnet),
        cmocka_unit_test(every_key_of_a_shape_changes_its_magnet),
        cmocka_unit_test(the_coil_lies_where_the_window_has_it),
        cmocka_unit_test(the_current_is_the_supplys_through_the_warm_winding),
        cmocka_unit_test(the_field_is_that_of_the_field_room),
        cmocka_unit_test(what_cannot_be_is_refused_at_its_place),
        cmocka_unit_test(a_drawn_magnet_pulls_as_its_template),
        cmocka_unit_test(a_section_that_cannot_be_is_refused_by_its_regions_name),
        cmocka_unit_test(an_unknown_iron_is_refused_where_it_stands),
        cmocka_unit_test(memory_that_runs_out_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
