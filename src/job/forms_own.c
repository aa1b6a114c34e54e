/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Forms of values that only one section has: duty, wire, what is left on a spool, readings, wishes, sets, lists. */
#include "job/job_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void nothing_to_clear(const cw_row *row, void *record)
{
    (void)row, (void)record;
}

static bool nothing_to_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)row, (void)record, (void)units, (void)text;
    return false;
}

static void *field(const cw_row *row, void *record)
{
    return (char *)record + row->offset;
}

static const void *const_field(const cw_row *row, const void *record)
{
    return (const char *)record + row->offset;
}

/* ---- duty: continuous, 40 %, 40 % of 5 min --------------------------------------------------------------------- */

static void duty_clear(const cw_row *row, void *record)
{
    cw_supply *supply = record;

    (void)row;
    supply->duty_share = 1;
    supply->duty_period_s = NAN;
}

/* A part of a scalar as a node of its own, so that errors count their columns from it. */
static cw_node part_of(const cw_node *node, size_t from, size_t to)
{
    cw_node part = *node;

    part.text = node->text + from;
    part.length = to - from;
    for (size_t i = 0; i < from; i++)
        part.column += node->as_written && (node->text[i] & 0xC0) != 0x80;
    return part;
}

static void duty_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_supply *supply = record;
    cw_quantity share, period = { NAN, 0, false };
    const char *of;
    cw_node part;

    (void)section;
    if (!cw_job__written(reader, row, node) || strcmp(node->text, "continuous") == 0)
        return;
    of = strstr(node->text, " of ");
    part = part_of(node, 0, of != NULL ? (size_t)(of - node->text) : node->length);
    if (!cw_job__quantity(reader, &part, CW_RATIO, &share, NULL))
        return;
    if (of != NULL) {
        part = part_of(node, (size_t)(of - node->text) + 4, node->length);
        if (!cw_job__quantity(reader, &part, CW_TIME, &period, NULL))
            return;
    }
    if (!(share.value > 0 && share.value <= 1) || (of != NULL && !(period.value > 0))) {
        cw_job__wrong(reader, node, row->form->what, "\"%.60s\" is no duty: its share goes up to 100 %%, and its time "
                      "is above zero.", node->text);
        return;
    }
    supply->duty_share = share.value;
    supply->duty_period_s = period.value;
}

static bool duty_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const cw_supply *supply = record;

    (void)row;
    if (supply->duty_share == 1 && isnan(supply->duty_period_s)) {
        cw_text_add(text, "continuous");
        return true;
    }
    cw_job__write_quantity(CW_RATIO, supply->duty_share, 0, units, text);
    if (!isnan(supply->duty_period_s)) {
        cw_text_add(text, " of ");
        cw_job__write_quantity(CW_TIME, supply->duty_period_s, 0, units, text);
    }
    return true;
}

const cw_form cw_job__duty_form = { "continuous, or a share of a time, as in 40 % of 5 min", duty_clear, duty_read,
                                    duty_write, NULL };

/* ---- wire ------------------------------------------------------------------------------------------------------ */

static void wire_clear(const cw_row *row, void *record)
{
    memset(field(row, record), 0, sizeof ((cw_spool *)record)->size);
}

static void wire_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_place at = cw_job__place(reader, node);
    const cw_wire_size *size;
    cw_error error;

    (void)section;
    if (!cw_job__written(reader, row, node))
        return;
    if (cw_wire_size_parse(reader->catalogue, node->text, node->length, &at, &size, &error) != CW_OK)
        cw_job__add_error(reader, &error);
    else
        snprintf(field(row, record), sizeof ((cw_spool *)record)->size, "%s", size->name);
}

static bool wire_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    cw_text_add(text, const_field(row, record));
    return ((const char *)const_field(row, record))[0] != '\0';
}

const cw_form cw_job__wire_form = { "a wire size, as in 29 AWG, 0.250 mm or 31 SWG", wire_clear, wire_read, wire_write,
                                    NULL };

static void build_clear(const cw_row *row, void *record)
{
    *(cw_build *)field(row, record) = CW_SINGLE;
}

static void build_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_place at = cw_job__place(reader, node);
    cw_error error;

    (void)section;
    if (cw_job__written(reader, row, node) &&
        cw_build_parse(node->text, node->length, &at, field(row, record), &error) != CW_OK)
        cw_job__add_error(reader, &error);
}

static bool build_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    cw_text_add(text, cw_build_name(*(const cw_build *)const_field(row, record)));
    return true;
}

const cw_form cw_job__build_form = { "a build, as in heavy or grade 2", build_clear, build_read, build_write, NULL };

static void material_clear(const cw_row *row, void *record)
{
    *(cw_material *)field(row, record) = CW_COPPER;
}

static void material_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                          void *record)
{
    cw_place at = cw_job__place(reader, node);
    cw_error error;

    (void)section;
    if (cw_job__written(reader, row, node) &&
        cw_material_parse(node->text, node->length, &at, field(row, record), &error) != CW_OK)
        cw_job__add_error(reader, &error);
}

static bool material_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    cw_text_add(text, cw_material_name(*(const cw_material *)const_field(row, record)));
    return true;
}

const cw_form cw_job__material_form = { "copper or aluminium", material_clear, material_read, material_write, NULL };

/* What is left on a spool, by the scale or by the metre. */
static void left_clear(const cw_row *row, void *record)
{
    cw_spool *spool = record;

    (void)row;
    spool->mass_kg = spool->length_m = NAN;
}

static void left_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_spool *spool = record;
    cw_quantity quantity;
    bool mass;

    (void)section;
    if (!cw_job__written(reader, row, node))
        return;
    mass = cw_quantity_parse(CW_LENGTH, node->text, node->length, NULL, &quantity, NULL) != CW_OK;
    if (!cw_job__quantity(reader, node, mass ? CW_MASS : CW_LENGTH, &quantity, NULL))
        return;
    if (!(quantity.value >= 0)) {
        cw_job__wrong(reader, node, row->form->what, "\"%.40s\" is negative.", node->text);
        return;
    }
    *(mass ? &spool->mass_kg : &spool->length_m) = quantity.value;
}

static bool left_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const cw_spool *spool = record;

    (void)row;
    if (isnan(spool->mass_kg) && isnan(spool->length_m))
        return false;
    if (!isnan(spool->mass_kg))
        cw_job__write_quantity(CW_MASS, spool->mass_kg, 0, units, text);
    else
        cw_job__write_quantity(CW_LENGTH, spool->length_m, 0, units, text);
    return true;
}

const cw_form cw_job__left_form = { "a mass or a length, as in 1 lb or 300 m", left_clear, left_read, left_write,
                                    NULL };

/* ---- readings -------------------------------------------------------------------------------------------------- */

static void value_clear(const cw_row *row, void *record)
{
    cw_reading *reading = record;

    (void)row;
    reading->value = NAN;
    reading->doubt = 0;
}

/* The kind of a reading decides what its value is, wherever `kind` stands; -1 where it is missing or unknown, which is
 * said elsewhere. */
static int kind_of(const cw_node *section)
{
    const cw_node *node = cw_job__find(section, "kind");

    if (node == NULL || node->type != CW_NODE_SCALAR)
        return -1;
    for (int i = 0; i < CW_READING_KIND_COUNT; i++)
        if (cw_job__same_word(node->text, node->length, cw_job__reading_rows[i].name))
            return i;
    return -1;
}

static void check_value(cw_reader *reader, const cw_node *node, const cw_reading_row *row, const cw_quantity *quantity)
{
    char expected[120];

    snprintf(expected, sizeof expected, "%s above zero, as in %s", cw_kind_name(row->kind), row->metric);
    if (!(quantity->value > 0))
        cw_job__wrong(reader, node, expected, "\"%.60s\" cannot be right for %s: it is not above zero.", node->text,
                      row->name);
    else if (row->kind == CW_COUNT && quantity->value < 1)
        cw_job__wrong(reader, node, expected, "\"%.60s\" cannot be right for %s: it is less than one.", node->text,
                      row->name);
    else if (quantity->doubt >= quantity->value)
        cw_job__wrong(reader, node, NULL, "The doubt of \"%.60s\" is as large as the reading itself, which then tells "
                      "nothing.", node->text);
}

/* Where the kind is known, what is expected is too. */
static bool value_written(cw_reader *reader, const cw_row *row, const cw_node *node, int kind)
{
    static const cw_form form = { 0 };
    cw_row known = *row;

    if (kind < 0)
        return cw_job__written(reader, row, node);
    known.form = &form;
    known.kind = cw_job__reading_rows[kind].kind;
    known.metric = cw_job__reading_rows[kind].metric;
    return cw_job__written(reader, &known, node);
}

static void value_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_reading *reading = record;
    int kind = kind_of(section);
    const cw_reading_row *reads;
    cw_quantity quantity;
    double at_c = NAN;

    if (!value_written(reader, row, node, kind) || kind < 0)
        return;
    reads = &cw_job__reading_rows[kind];
    if (kind == CW_COIL_RESISTANCE && strcmp(node->text, "open") == 0) {
        reading->value = INFINITY;
        return;
    }
    if (!cw_job__quantity(reader, node, reads->kind, &quantity, reads->takes_at ? &at_c : NULL))
        return;
    if (kind != CW_INSULATION_RESISTANCE || quantity.value != 0)
        check_value(reader, node, reads, &quantity);
    reading->value = quantity.value;
    reading->doubt = quantity.doubt;
    if (isnan(at_c))
        return;
    if (cw_job__find(section, "at") != NULL)
        cw_job__wrong(reader, node, NULL, "The temperature stands twice, behind the value and under \"at\".");
    reading->at_c = at_c;
}

static bool value_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const cw_reading *reading = record;

    (void)row;
    if (isnan(reading->value))
        return false;
    if (isinf(reading->value))
        cw_text_add(text, "open");
    else
        cw_job__write_quantity(cw_job__reading_rows[reading->kind].kind, reading->value, reading->doubt, units, text);
    return true;
}

const cw_form cw_job__reading_value_form = { "what was read", value_clear, value_read, value_write, NULL };

/* With iron in it, a coil's inductance tells of the iron. Nothing is kept: the core is out wherever it counts. */
static void core_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    int word = cw_job__written(reader, row, node) ? cw_job__word(reader, node, row->words) : -1;

    (void)section, (void)record;
    if (word == 1)
        cw_job__wrong(reader, node, "core: out", "With the core in, this reading tells of the iron and not of the "
                      "winding. Take it again with the core out, or leave it out.");
}

const cw_form cw_job__core_form = { "out", nothing_to_clear, core_read, nothing_to_write, NULL };

/* The meter's leads, shorted together, read this much; it is taken off the value by cw_job__check_reading. */
static void lead_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_quantity quantity;

    (void)section, (void)record;
    if (cw_job__written(reader, row, node) && cw_job__quantity(reader, node, CW_RESISTANCE, &quantity, NULL) &&
        !(quantity.value >= 0))
        cw_job__wrong(reader, node, NULL, "\"%.40s\" is negative, and no leads are.", node->text);
}

const cw_form cw_job__lead_form = { "a resistance, as in 0.2 ohm", nothing_to_clear, lead_read, nothing_to_write,
                                    NULL };

/* ---- wishes ---------------------------------------------------------------------------------------------------- */

static void wish_resistance_clear(const cw_row *row, void *record)
{
    cw_wanted *wanted = record;

    (void)row;
    wanted->resistance_rule = CW_SAME;
    wanted->resistance_ohm = wanted->resistance_doubt_ohm = wanted->resistance_tolerance = NAN;
}

/* "same ± 5 %": the word stands for 100 %, of which the doubt is a share. */
static void read_same(cw_reader *reader, const cw_node *node, cw_wanted *wanted)
{
    char text[128];
    cw_place at = cw_job__place(reader, node);
    cw_quantity quantity;
    cw_error error;

    snprintf(text, sizeof text, "100 %%%s", node->text + 4);
    at.column -= 1; /* five characters for four */
    if (cw_quantity_parse(CW_RATIO, text, strlen(text), &at, &quantity, &error) != CW_OK)
        cw_job__add_error(reader, &error);
    else if (quantity.doubt_given)
        wanted->resistance_tolerance = quantity.doubt;
}

static void wish_resistance_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                                 void *record)
{
    cw_wanted *wanted = record;
    cw_quantity quantity;
    double at_c;

    (void)section;
    if (!cw_job__written(reader, row, node))
        return;
    if (strncmp(node->text, "same", 4) == 0) {
        read_same(reader, node, wanted);
        return;
    }
    if (!cw_job__quantity(reader, node, CW_RESISTANCE, &quantity, &at_c))
        return;
    if (!(quantity.value > 0) || quantity.doubt >= quantity.value) {
        cw_job__wrong(reader, node, row->form->what, "\"%.60s\" cannot be wound.", node->text);
        return;
    }
    if (!isnan(at_c) && at_c != 20)
        cw_job__wrong(reader, node, "a resistance at 20 °C", "A wished resistance is that at 20 °C.");
    wanted->resistance_rule = CW_EXACTLY;
    wanted->resistance_ohm = quantity.value;
    if (quantity.doubt_given) {
        wanted->resistance_doubt_ohm = quantity.doubt;
        wanted->resistance_tolerance = quantity.doubt / quantity.value;
    }
}

static bool wish_resistance_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const cw_wanted *wanted = record;

    (void)row;
    if (wanted->resistance_rule == CW_EXACTLY) {
        cw_job__write_quantity(CW_RESISTANCE, wanted->resistance_ohm, isnan(wanted->resistance_doubt_ohm)
                               ? 0 : wanted->resistance_doubt_ohm, units, text);
        return true;
    }
    cw_text_add(text, "same");
    if (!isnan(wanted->resistance_tolerance)) {
        cw_text_add(text, " ± ");
        cw_job__write_quantity(CW_RATIO, wanted->resistance_tolerance, 0, units, text);
    }
    return true;
}

const cw_form cw_job__wish_resistance_form = { "same, same ± 5 %, or a resistance, as in 86 ohm ± 5 %",
                                               wish_resistance_clear, wish_resistance_read, wish_resistance_write,
                                               NULL };

static void wish_turns_clear(const cw_row *row, void *record)
{
    cw_wanted *wanted = record;

    (void)row;
    wanted->ampere_turns_rule = CW_SAME;
    wanted->ampere_turns = NAN;
}

static void wish_turns_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                            void *record)
{
    static const char least[] = "at least ";
    cw_wanted *wanted = record;
    cw_quantity quantity;
    cw_node part;

    (void)section;
    if (!cw_job__written(reader, row, node) || strcmp(node->text, "same") == 0)
        return;
    if (strncmp(node->text, least, sizeof least - 1) != 0) {
        cw_job__wrong(reader, node, row->form->what, "\"%.60s\" does not say whether it is the least.", node->text);
        return;
    }
    part = part_of(node, sizeof least - 1, node->length);
    if (!cw_job__quantity(reader, &part, CW_AMPERE_TURNS, &quantity, NULL))
        return;
    if (!(quantity.value > 0)) {
        cw_job__wrong(reader, &part, row->form->what, "\"%.60s\" asks for no pull at all.", node->text);
        return;
    }
    wanted->ampere_turns_rule = CW_AT_LEAST;
    wanted->ampere_turns = quantity.value;
}

static bool wish_turns_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const cw_wanted *wanted = record;

    (void)row;
    cw_text_add(text, wanted->ampere_turns_rule == CW_SAME ? "same" : "at least ");
    if (wanted->ampere_turns_rule != CW_SAME)
        cw_job__write_quantity(CW_AMPERE_TURNS, wanted->ampere_turns, 0, units, text);
    return true;
}

const cw_form cw_job__wish_turns_form = { "same, or at least 900", wish_turns_clear, wish_turns_read, wish_turns_write,
                                          NULL };

static void wish_lay_clear(const cw_row *row, void *record)
{
    cw_wanted *wanted = record;

    (void)row;
    wanted->lay_given = false;
    wanted->lay = CW_LEVEL;
}

static void wish_lay_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                          void *record)
{
    cw_wanted *wanted = record;
    int word = cw_job__written(reader, row, node) ? cw_job__word(reader, node, row->words) : -1;

    (void)section;
    if (word < 0)
        return;
    wanted->lay_given = true;
    wanted->lay = (cw_lay)word;
}

static bool wish_lay_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const cw_wanted *wanted = record;

    (void)units;
    if (wanted->lay_given)
        cw_text_add(text, row->words[wanted->lay]);
    return wanted->lay_given;
}

const cw_form cw_job__wish_lay_form = { "level, nested or random", wish_lay_clear, wish_lay_read, wish_lay_write,
                                        NULL };

/* ---- sets: one value or a list of them ------------------------------------------------------------------------- */

typedef int (*member_reader)(cw_reader *reader, const cw_row *row, const cw_node *node);

static void set_clear(const cw_row *row, void *record)
{
    *(unsigned *)field(row, record) = 0;
}

static void set_read(cw_reader *reader, const cw_row *row, const cw_node *node, void *record, member_reader read)
{
    const cw_node *member = node->type == CW_NODE_LIST ? node->first : node;

    for (; member != NULL; member = node->type == CW_NODE_LIST ? member->next : NULL) {
        int bit = cw_job__written(reader, row, member) ? read(reader, row, member) : -1;

        if (bit >= 0)
            *(unsigned *)field(row, record) |= 1u << bit;
    }
}

static bool set_write(const cw_row *row, const void *record, cw_text *text, const char *(*name)(const cw_row *, int))
{
    unsigned set = *(const unsigned *)const_field(row, record);
    const char *before = "[";

    for (int bit = 0; bit < 32; bit++) {
        if ((set & 1u << bit) == 0)
            continue;
        cw_text_print(text, "%s%s", before, name(row, bit));
        before = ", ";
    }
    if (set != 0)
        cw_text_add(text, "]");
    return set != 0;
}

static int read_build_member(cw_reader *reader, const cw_row *row, const cw_node *node)
{
    cw_place at = cw_job__place(reader, node);
    cw_build build;
    cw_error error;

    (void)row;
    if (cw_build_parse(node->text, node->length, &at, &build, &error) == CW_OK)
        return (int)build;
    cw_job__add_error(reader, &error);
    return -1;
}

static int read_material_member(cw_reader *reader, const cw_row *row, const cw_node *node)
{
    cw_place at = cw_job__place(reader, node);
    cw_material material;
    cw_error error;

    (void)row;
    if (cw_material_parse(node->text, node->length, &at, &material, &error) == CW_OK)
        return (int)material;
    cw_job__add_error(reader, &error);
    return -1;
}

static int read_word_member(cw_reader *reader, const cw_row *row, const cw_node *node)
{
    return cw_job__word(reader, node, row->words);
}

static int read_whole_member(cw_reader *reader, const cw_row *row, const cw_node *node)
{
    cw_quantity quantity;

    if (!cw_job__quantity(reader, node, CW_COUNT, &quantity, NULL))
        return -1;
    if (quantity.value == rint(quantity.value) && quantity.value >= row->least && quantity.value <= row->most)
        return (int)quantity.value;
    cw_job__wrong(reader, node, "1, 2, 3 or 4", "\"%.40s\" strands cannot be wound together.", node->text);
    return -1;
}

static const char *name_of_build(const cw_row *row, int bit)
{
    (void)row;
    return cw_build_name((cw_build)bit);
}

static const char *name_of_material(const cw_row *row, int bit)
{
    (void)row;
    return cw_material_name((cw_material)bit);
}

static const char *name_of_word(const cw_row *row, int bit)
{
    return row->words[bit];
}

static const char *name_of_whole(const cw_row *row, int bit)
{
    static const char *const figures[] = { "0", "1", "2", "3", "4", "5", "6", "7", "8", "9" };

    (void)row;
    return figures[bit % 10];
}

static void builds_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    (void)section;
    set_read(reader, row, node, record, read_build_member);
}

static bool builds_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    return set_write(row, record, text, name_of_build);
}

static void materials_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                           void *record)
{
    (void)section;
    set_read(reader, row, node, record, read_material_member);
}

static bool materials_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    return set_write(row, record, text, name_of_material);
}

static void word_set_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                          void *record)
{
    (void)section;
    set_read(reader, row, node, record, read_word_member);
}

static bool word_set_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    return set_write(row, record, text, name_of_word);
}

static void whole_set_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                           void *record)
{
    (void)section;
    set_read(reader, row, node, record, read_whole_member);
}

static bool whole_set_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    (void)units;
    return set_write(row, record, text, name_of_whole);
}

const cw_form cw_job__builds_form = { "a build or a list, as in [single, heavy]", set_clear, builds_read, builds_write,
                                      NULL };
const cw_form cw_job__materials_form = { "copper, aluminium, or both as [copper, aluminium]", set_clear, materials_read,
                                         materials_write, NULL };
const cw_form cw_job__word_set_form = { "a word or a list", set_clear, word_set_read, word_set_write, NULL };
const cw_form cw_job__whole_set_form = { "a number or a list, as in [1, 2]", set_clear, whole_set_read, whole_set_write,
                                         NULL };

/* ---- lists of numbers: their length stands where the row's `doubt` points -------------------------------------- */

static size_t *list_count(const cw_row *row, void *record)
{
    return (size_t *)(void *)((char *)record + row->doubt);
}

static size_t list_length(const cw_row *row, const void *record)
{
    return *(const size_t *)(const void *)((const char *)record + row->doubt);
}

static void list_clear(const cw_row *row, void *record)
{
    *list_count(row, record) = 0;
}

static bool is_list(cw_reader *reader, const cw_row *row, const cw_node *node)
{
    if (node->type == CW_NODE_SCALAR && node->empty)
        return cw_job__written(reader, row, node);
    if (node->type == CW_NODE_LIST && node->child_count <= (size_t)row->most)
        return true;
    if (node->type == CW_NODE_LIST)
        cw_job__wrong(reader, node, row->form->what, "%s has room for %d.", row->key, row->most);
    else
        cw_job__wrong(reader, node, row->form->what, "%s takes a list.", row->key);
    return false;
}

static void lengths_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section,
                         void *record)
{
    double *lengths = field(row, record);

    (void)section;
    if (!is_list(reader, row, node))
        return;
    for (const cw_node *item = node->first; item != NULL; item = item->next) {
        cw_quantity quantity;

        if (!cw_job__written(reader, row, item) || !cw_job__quantity(reader, item, CW_LENGTH, &quantity, NULL))
            continue;
        if (quantity.value > 0)
            lengths[(*list_count(row, record))++] = quantity.value;
        else
            cw_job__wrong(reader, item, "a length above zero", "\"%.40s\" is not above zero.", item->text);
    }
}

static bool lengths_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const double *lengths = const_field(row, record);
    size_t count = list_length(row, record);

    for (size_t i = 0; i < count; i++) {
        cw_text_add(text, i == 0 ? "[" : ", ");
        cw_job__write_quantity(CW_LENGTH, lengths[i], 0, units, text);
    }
    cw_text_add(text, count > 0 ? "]" : "");
    return count > 0;
}

const cw_form cw_job__lengths_form = { "a list of lengths, as in [0.2 mm, 0.25 mm]", list_clear, lengths_read,
                                       lengths_write, NULL };

static void gears_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    int *teeth = field(row, record);

    (void)section;
    if (!is_list(reader, row, node))
        return;
    for (const cw_node *item = node->first; item != NULL; item = item->next) {
        cw_quantity quantity;

        if (!cw_job__written(reader, row, item) || !cw_job__quantity(reader, item, CW_COUNT, &quantity, NULL))
            continue;
        if (quantity.value == rint(quantity.value) && quantity.value >= 8 && quantity.value <= 500)
            teeth[(*list_count(row, record))++] = (int)quantity.value;
        else
            cw_job__wrong(reader, item, "teeth from 8 to 500", "\"%.40s\" is no number of teeth.", item->text);
    }
}

static bool gears_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const int *teeth = const_field(row, record);
    size_t count = list_length(row, record);

    (void)units;
    for (size_t i = 0; i < count; i++)
        cw_text_print(text, "%s%d", i == 0 ? "[" : ", ", teeth[i]);
    cw_text_add(text, count > 0 ? "]" : "");
    return count > 0;
}

const cw_form cw_job__gears_form = { "a list of numbers of teeth, as in [20, 40, 127]", list_clear, gears_read,
                                     gears_write, NULL };

static void taps_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    long *turns = field(row, record);
    size_t *count = list_count(row, record);

    (void)section;
    if (!is_list(reader, row, node))
        return;
    for (const cw_node *item = node->first; item != NULL; item = item->next) {
        cw_quantity quantity;

        if (!cw_job__written(reader, row, item) || !cw_job__quantity(reader, item, CW_COUNT, &quantity, NULL))
            continue;
        if (quantity.value != rint(quantity.value) || !(quantity.value >= 1 && quantity.value <= 10000000))
            cw_job__wrong(reader, item, "a whole number of turns", "\"%.40s\" is no number of turns.", item->text);
        else if (*count > 0 && quantity.value <= (double)turns[*count - 1])
            cw_job__wrong(reader, item, "taps in the order in which they come", "The tap at \"%.40s\" turns does not "
                          "come after the one before.", item->text);
        else
            turns[(*count)++] = (long)quantity.value;
    }
}

static bool taps_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const long *turns = const_field(row, record);
    const size_t count = list_length(row, record);

    (void)units;
    for (size_t i = 0; i < count; i++)
        cw_text_print(text, "%s%ld", i == 0 ? "[" : ", ", turns[i]);
    cw_text_add(text, count > 0 ? "]" : "");
    return count > 0;
}

const cw_form cw_job__taps_form = { "a list of numbers of turns, as in [500, 1000]", list_clear, taps_read, taps_write,
                                    NULL };
