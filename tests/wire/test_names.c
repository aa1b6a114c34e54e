/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sizes, builds and materials as people write them, and as they slip. */
#include "coilwright/wire.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

static void check_size(void **state, const char *text, cw_size_system system, double number, const char *name)
{
    const cw_wire_size *size = size_of(state, text);

    assert_int_equal(size->system, system);
    assert_near(size->number, number, 1e-9);
    assert_string_equal(size->name, name);
}

static void sizes_are_read_as_people_write_them(void **state)
{
    check_size(state, "29 AWG", CW_AWG, 29, "29 AWG");
    check_size(state, "awg29", CW_AWG, 29, "29 AWG");
    check_size(state, "AWG 29", CW_AWG, 29, "29 AWG");
    check_size(state, "29awg", CW_AWG, 29, "29 AWG");
    check_size(state, "  29   Awg ", CW_AWG, 29, "29 AWG");
    check_size(state, "29-AWG", CW_AWG, 29, "29 AWG");
    check_size(state, "28.5 AWG", CW_AWG, 28.5, "28.5 AWG");
    check_size(state, "0 AWG", CW_AWG, 0, "1/0 AWG");
    check_size(state, "1/0 AWG", CW_AWG, 0, "1/0 AWG");
    check_size(state, "2/0 AWG", CW_AWG, -1, "2/0 AWG");
    check_size(state, "00 AWG", CW_AWG, -1, "2/0 AWG");
    check_size(state, "0000 AWG", CW_AWG, -3, "4/0 AWG");
    check_size(state, "4/0 awg", CW_AWG, -3, "4/0 AWG");
    check_size(state, "0.25mm", CW_METRIC, 0.25, "0.250 mm");
    check_size(state, "0.250 mm", CW_METRIC, 0.25, "0.250 mm");
    check_size(state, "1 MM", CW_METRIC, 1, "1.000 mm");
    check_size(state, "31swg", CW_SWG, 31, "31 SWG");
    check_size(state, "SWG 31", CW_SWG, 31, "31 SWG");
}

static void every_size_reads_back_from_its_own_name(void **state)
{
    size_t count = cw_wire_size_count(*state);

    assert_true(count > 200);
    for (size_t i = 0; i < count; i++) {
        const cw_wire_size *size = cw_wire_size_at(*state, i);

        assert_ptr_equal(size_of(state, size->name), size);
    }
    assert_null(cw_wire_size_at(*state, count));
}

/* Refused, the output left alone, and the sentence holds every one of the wanted words. */
static void check_refused(void **state, const char *text, size_t length, const char *word, const char *other)
{
    const cw_place at = { "coil.yaml", 12, 9 };
    const cw_wire_size *untouched = cw_wire_size_at(*state, 3), *size = untouched;
    cw_error error;

    if (cw_wire_size_parse(*state, text, length, &at, &size, &error) != CW_BAD_INPUT)
        fail_msg("\"%.*s\" was taken", (int)(length < 60 ? length : 60), text);
    assert_ptr_equal(size, untouched);
    assert_string_equal(error.file, "coil.yaml");
    assert_int_equal(error.line, 12);
    assert_int_equal(error.column, 9);
    if (strstr(error.text, word) == NULL || (other != NULL && strstr(error.text, other) == NULL))
        fail_msg("\"%.60s\" is refused with \"%s\", which lacks \"%s\" or \"%s\"", text, error.text, word,
                 other != NULL ? other : "");
    assert_int_equal(error.text[strlen(error.text) - 1], '.');
    assert_int_equal(cw_wire_size_parse(*state, text, length, NULL, &size, NULL), CW_BAD_INPUT);
}

static void refuse(void **state, const char *text, const char *word, const char *other)
{
    check_refused(state, text, strlen(text), word, other);
}

static void a_bare_number_is_refused_and_the_gauge_asked_for(void **state)
{
    refuse(state, "29", "which gauge", "29");
    refuse(state, "0.25", "which gauge", NULL);
    refuse(state, "2/0", "which gauge", NULL);
}

static void a_decimal_comma_is_refused_as_such(void **state)
{
    refuse(state, "0,25 mm", "decimal comma", "0,25 mm");
    refuse(state, "28,5 AWG", "decimal comma", NULL);
}

static void a_size_that_is_not_made_is_refused_with_both_neighbours(void **state)
{
    refuse(state, "0.26 mm", "0.250 mm", "0.265 mm");
    refuse(state, "0.2501 mm", "0.250 mm", "0.265 mm");
    refuse(state, "28.25 AWG", "28 AWG", "28.5 AWG");
    refuse(state, "31.5 SWG", "31 SWG", "32 SWG");
}

static void a_size_beyond_the_tables_is_refused_with_their_end(void **state)
{
    refuse(state, "99 AWG", "50 AWG", "99");
    refuse(state, "5/0 AWG", "4/0 AWG", NULL);
    refuse(state, "51 SWG", "50 SWG", NULL);
    refuse(state, "9 SWG", "10 SWG", NULL);
    refuse(state, "6 mm", "5.000 mm", NULL);
    refuse(state, "0.01 mm", "0.018 mm", NULL);
    refuse(state, "0 mm", "0.018 mm", NULL);
}

static void garbage_is_refused(void **state)
{
    static const char *const words[] = {
        "AWG", "mm", "blue", "29 AWG AWG", "29 AWG heavy", "AWG mm", "29 gauge", "2 9 AWG", "0.25 mm mm", ". mm",
        "0.2.5 mm", "29/2 AWG", "0x1d AWG", "2.9e1 AWG", "1e999 AWG", "inf mm", "nan mm", "0/0 AWG", "-29 AWG",
        "-0.25 mm", "+29 AWG", "AWG -29", "%s%n AWG", "29 AW\xC2\xB1", "\xFF\xFE mm",
    };

    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        refuse(state, words[i], "\"", NULL);
}

static void nothing_at_all_is_refused(void **state)
{
    refuse(state, "", "\"\"", NULL);
    refuse(state, "   ", "is not a wire size", NULL);
}

static void a_nul_inside_the_text_does_not_hide_the_rest(void **state)
{
    check_refused(state, "29 AWG\0 or so", 13, "29 AWG", NULL);
}

static void text_beyond_the_given_length_is_not_read(void **state)
{
    const cw_wire_size *size;

    assert_int_equal(cw_wire_size_parse(*state, "29 AWG9999", 6, NULL, &size, NULL), CW_OK);
    assert_string_equal(size->name, "29 AWG");
}

static void ten_thousand_bytes_are_refused_in_a_short_sentence(void **state)
{
    char *text = malloc(10000);
    cw_error error;
    const cw_wire_size *size;

    assert_non_null(text);
    memset(text, '9', 10000);
    memcpy(text + 9996, " AWG", 4);
    check_refused(state, text, 10000, "is not a wire size", NULL);
    cw_wire_size_parse(*state, text, 10000, NULL, &size, &error);
    assert_true(strlen(error.text) < 200);
    free(text);
}

/* Valid UTF-8 up to four bytes, structure only: enough to tell a character that was cut. */
static bool whole_characters(const char *text)
{
    const unsigned char *at = (const unsigned char *)text;

    while (*at != '\0') {
        int more = *at < 0x80 ? 0 : (*at & 0xE0) == 0xC0 ? 1 : (*at & 0xF0) == 0xE0 ? 2 : (*at & 0xF8) == 0xF0 ? 3 : -1;

        if (more < 0)
            return false;
        for (at++; more > 0; more--, at++)
            if ((*at & 0xC0) != 0x80)
                return false;
    }
    return true;
}

/* The sentence goes into JSON, which must be UTF-8: a quotation is cut between characters. */
static void a_long_quotation_is_cut_between_characters(void **state)
{
    for (int lead = 0; lead < 3; lead++) {
        char text[200] = "xxxx";
        cw_error error;
        const cw_wire_size *size;
        cw_build build;
        cw_material material;

        text[lead] = '\0';
        for (int i = 0; i < 40; i++)
            strcat(text, "\xC2\xBD");
        cw_wire_size_parse(*state, text, strlen(text), NULL, &size, &error);
        assert_true(whole_characters(error.text));
        cw_build_parse(text, strlen(text), NULL, &build, &error);
        assert_true(whole_characters(error.text));
        cw_material_parse(text, strlen(text), NULL, &material, &error);
        assert_true(whole_characters(error.text));
        /* blanks make a text long whose words are short: another sentence quotes it */
        memset(text, ' ', 20 + (size_t)lead);
        strcpy(text + 20 + lead, "\xC2\xBD\xC2\xBD\xC2\xBD\xC2\xBD\xC2\xBD\xC2\xBD\xC2\xBD,");
        cw_wire_size_parse(*state, text, strlen(text), NULL, &size, &error);
        assert_true(whole_characters(error.text));
    }
}

static void check_build(const char *text, cw_build expected)
{
    cw_build build;

    if (cw_build_parse(text, strlen(text), NULL, &build, NULL) != CW_OK)
        fail_msg("the build \"%s\" is refused", text);
    assert_int_equal(build, expected);
}

static void builds_and_grades_are_read(void **state)
{
    (void)state;
    check_build("heavy", CW_HEAVY);
    check_build(" Heavy ", CW_HEAVY);
    check_build("grade 1", CW_SINGLE);
    check_build("GRADE 2", CW_HEAVY);
    check_build("grade-3", CW_TRIPLE);
    check_build("double_cotton", CW_DOUBLE_COTTON);
    check_build("single  silk", CW_SINGLE_SILK);
    for (int build = 0; build < CW_BUILD_COUNT; build++) {
        check_build(cw_build_name((cw_build)build), (cw_build)build);
        check_build(cw_build_trade_name(CW_METRIC, (cw_build)build), (cw_build)build);
        check_build(cw_build_trade_name(CW_AWG, (cw_build)build), (cw_build)build);
    }
    assert_string_equal(cw_build_trade_name(CW_METRIC, CW_HEAVY), "grade 2");
    assert_string_equal(cw_build_trade_name(CW_SWG, CW_HEAVY), "heavy");
    assert_string_equal(cw_build_trade_name(CW_METRIC, CW_SINGLE_SILK), "single silk");
}

static void other_builds_are_refused_with_the_known_ones(void **state)
{
    static const char *const words[] = { "", "quadruple", "grade", "grade 4", "grade 0", "cotton", "heavyish", "1" };

    (void)state;
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        cw_build build = CW_DOUBLE_SILK;
        cw_error error;

        assert_int_equal(cw_build_parse(words[i], strlen(words[i]), NULL, &build, &error), CW_BAD_INPUT);
        assert_int_equal(build, CW_DOUBLE_SILK);
        assert_non_null(strstr(error.expected, "double cotton"));
    }
}

static void materials_are_read_in_both_spellings_and_others_refused(void **state)
{
    cw_material material = CW_MATERIAL_COUNT;
    cw_error error;

    (void)state;
    assert_int_equal(cw_material_parse("Copper", 6, NULL, &material, NULL), CW_OK);
    assert_int_equal(material, CW_COPPER);
    assert_int_equal(cw_material_parse("aluminium", 9, NULL, &material, NULL), CW_OK);
    assert_int_equal(material, CW_ALUMINIUM);
    material = CW_COPPER;
    assert_int_equal(cw_material_parse("aluminum", 8, NULL, &material, NULL), CW_OK);
    assert_int_equal(material, CW_ALUMINIUM);
    assert_int_equal(cw_material_parse("brass", 5, NULL, &material, &error), CW_BAD_INPUT);
    assert_int_equal(material, CW_ALUMINIUM);
    assert_non_null(strstr(error.text, "brass"));
    assert_int_equal(cw_material_parse("", 0, NULL, &material, &error), CW_BAD_INPUT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sizes_are_read_as_people_write_them),
        cmocka_unit_test(every_size_reads_back_from_its_own_name),
        cmocka_unit_test(a_bare_number_is_refused_and_the_gauge_asked_for),
        cmocka_unit_test(a_decimal_comma_is_refused_as_such),
        cmocka_unit_test(a_size_that_is_not_made_is_refused_with_both_neighbours),
        cmocka_unit_test(a_size_beyond_the_tables_is_refused_with_their_end),
        cmocka_unit_test(garbage_is_refused),
        cmocka_unit_test(nothing_at_all_is_refused),
        cmocka_unit_test(a_nul_inside_the_text_does_not_hide_the_rest),
        cmocka_unit_test(text_beyond_the_given_length_is_not_read),
        cmocka_unit_test(ten_thousand_bytes_are_refused_in_a_short_sentence),
        cmocka_unit_test(a_long_quotation_is_cut_between_characters),
        cmocka_unit_test(builds_and_grades_are_read),
        cmocka_unit_test(other_builds_are_refused_with_the_known_ones),
        cmocka_unit_test(materials_are_read_in_both_spellings_and_others_refused),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
