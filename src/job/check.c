/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must hold between the keys of one section. */
#include "job/job_internal.h"

#include <math.h>
#include <string.h>

/* ---- window ---------------------------------------------------------------------------------------------------- */

static void check_corner(cw_reader *reader, const cw_node *node, const cw_window *window)
{
    double least = fmin(window->inner_m[0], window->inner_m[1]);

    if (node != NULL && !isnan(least) && 2 * window->corner_radius_m > least * (1 + 1e-12))
        cw_job__wrong(reader, node, "a radius up to half the smaller side",
                      "The corner radius is %.4g mm, and half of the smaller side is %.4g mm.",
                      1e3 * window->corner_radius_m, 1e3 * least / 2);
}

static void check_round(cw_reader *reader, const cw_node *section)
{
    const cw_node *size = cw_job__find(section, "inner_size"), *corner = cw_job__find(section, "corner_radius");

    if (size != NULL)
        cw_job__wrong_key(reader, size, "inner: the diameter", "A round window has one inner size, its diameter. Write "
                          "it as \"inner\", or write the shape.");
    if (corner != NULL)
        cw_job__wrong_key(reader, corner, NULL, "A round window has no corners. Leave the radius out, or write the "
                          "shape.");
    if (size == NULL && cw_job__find(section, "inner") == NULL)
        cw_job__wrong_key(reader, section, "a length, as in 42 mm", "\"inner\" is missing in window: the diameter of "
                          "the surface that the first layer lies on.");
}

static void check_long(cw_reader *reader, const cw_node *section, const cw_window *window)
{
    const cw_node *inner = cw_job__find(section, "inner"), *size = cw_job__find(section, "inner_size");
    const cw_node *corner = cw_job__find(section, "corner_radius");

    if (inner != NULL)
        cw_job__wrong_key(reader, inner, "inner_size: [50 mm, 30 mm]", "A window of this shape has two inner sizes. "
                          "Write them as \"inner_size\".");
    else if (size == NULL)
        cw_job__wrong_key(reader, section, "two lengths, as in [50 mm, 30 mm]", "\"inner_size\" is missing in window: "
                          "width and breadth of the surface that the first layer lies on.");
    if (window->shape == CW_OBROUND && corner != NULL)
        cw_job__wrong_key(reader, corner, NULL, "The ends of an obround are round as they are. Leave the radius out.");
    if (window->shape == CW_OBROUND && size != NULL && window->inner_m[1] > window->inner_m[0])
        cw_job__wrong(reader, size, "the longer size first",
                      "The breadth of an obround is the diameter of its ends and cannot be the greater of the two "
                      "sizes.");
    if (window->shape == CW_RECTANGLE)
        check_corner(reader, corner, window);
}

/* An inner diameter alone says that the window is round. */
static bool shape_known(cw_reader *reader, const cw_node *section)
{
    if (cw_job__find(section, "shape") != NULL || cw_job__find(section, "inner") != NULL)
        return true;
    cw_job__wrong_key(reader, section, "round, rectangle or obround", "\"shape\" is missing in window.");
    return false;
}

/* The winding room has the last word; what it says can only be pointed at the section. */
void cw_job__check_window(cw_reader *reader, const cw_node *section, void *record)
{
    cw_window *window = record;
    size_t before = reader->wrong;
    cw_place at = cw_job__place(reader, section);
    cw_error error;

    if (!shape_known(reader, section))
        return;
    if (window->shape == CW_ROUND)
        check_round(reader, section);
    else
        check_long(reader, section, window);
    if (window->shape == CW_RECTANGLE && cw_job__find(section, "corner_radius") == NULL)
        window->corner_radius_m = 0;
    if (reader->wrong > before || isnan(window->inner_m[0]) || isnan(window->length_m) || isnan(window->depth_m))
        return;
    if (cw_window_check(window, &at, &error) != CW_OK)
        cw_job__add_error(reader, &error);
}

/* ---- readings -------------------------------------------------------------------------------------------------- */

static void check_extra(cw_reader *reader, const cw_node *section, const char *key, bool takes, const char *kind)
{
    const cw_node *node = cw_job__find(section, key);

    if (node != NULL && !takes)
        cw_job__wrong_key(reader, node, NULL, "\"%s\" tells nothing about a reading of %s. Leave it out.", key, kind);
}

static void check_subject(cw_reader *reader, const cw_node *section, const cw_reading_row *row, cw_reading *reading)
{
    const cw_node *node = cw_job__find(section, "of");

    if (node == NULL) {
        reading->subject = row->subject;
        return;
    }
    if (row->subject == CW_OF_SAMPLE && reading->subject != CW_OF_SAMPLE)
        cw_job__wrong(reader, node, "of: sample", "A reading of %s is taken of a piece of wire.", row->name);
    if (row->subject != CW_OF_SAMPLE && reading->subject == CW_OF_SAMPLE && row->kind != CW_LENGTH)
        cw_job__wrong(reader, node, "of: this or sibling", "A piece of wire has no %s.", row->name);
}

/* A meter in its two-wire way reads its own leads too. */
static void take_leads_off(cw_reader *reader, const cw_node *section, cw_reading *reading)
{
    const cw_node *node = cw_job__find(section, "lead_resistance");
    cw_quantity leads;

    if (node == NULL || node->type != CW_NODE_SCALAR ||
        cw_quantity_parse(CW_RESISTANCE, node->text, node->length, NULL, &leads, NULL) != CW_OK)
        return;
    if (!(leads.value < reading->value))
        cw_job__wrong(reader, node, "less than the reading itself", "The leads are said to read as much as the coil "
                      "with them. Short the leads together and read again.");
    else
        reading->value -= leads.value;
}

void cw_job__check_reading(cw_reader *reader, const cw_node *section, void *record)
{
    cw_reading *reading = record;
    const cw_reading_row *row;

    if ((int)reading->kind < 0)
        return;
    row = &cw_job__reading_rows[reading->kind];
    check_subject(reader, section, row, reading);
    check_extra(reader, section, "at", row->takes_at, row->name);
    check_extra(reader, section, "length", row->takes_length, row->name);
    check_extra(reader, section, "current", row->takes_current, row->name);
    check_extra(reader, section, "frequency", row->takes_frequency, row->name);
    check_extra(reader, section, "core", row->takes_core, row->name);
    check_extra(reader, section, "lead_resistance", row->takes_leads, row->name);
    if (row->takes_length && cw_job__find(section, "length") == NULL)
        cw_job__wrong_key(reader, section, "a length, as in 3 m", "\"length\" is missing in this reading of %s: how "
                          "long the piece of wire is.", row->name);
    if (row->takes_current && cw_job__find(section, "current") == NULL)
        cw_job__wrong_key(reader, section, "a current, as in 50 mA", "\"current\" is missing in this reading of %s: "
                          "what flowed through the coil.", row->name);
    if (row->takes_leads)
        take_leads_off(reader, section, reading);
}

/* ---- the rest -------------------------------------------------------------------------------------------------- */

void cw_job__check_circuit(cw_reader *reader, const cw_node *section, void *record)
{
    const cw_circuit *circuit = record;
    const cw_node *connection = cw_job__find(section, "connection");

    if (circuit->coils > 1 && connection == NULL)
        cw_job__wrong_key(reader, section, "series or parallel", "\"connection\" is missing in circuit: how the %d "
                          "coils are connected.", circuit->coils);
    else if (circuit->coils > 1 && circuit->connection == CW_SINGLE_COIL)
        cw_job__wrong(reader, connection, "series or parallel", "%d coils are not a single one.", circuit->coils);
    else if (circuit->coils == 1 && circuit->connection != CW_SINGLE_COIL)
        cw_job__wrong(reader, connection, "the number of coils under \"coils\"", "One coil alone is in neither series "
                      "nor parallel.");
}

void cw_job__check_supply(cw_reader *reader, const cw_node *section, void *record)
{
    const cw_supply *supply = record;
    const cw_node *frequency = cw_job__find(section, "frequency");

    if ((int)supply->kind == CW_AC && frequency == NULL)
        cw_job__wrong_key(reader, section, "a frequency, as in 50 Hz", "\"frequency\" is missing in supply.");
}

/* ---- load ------------------------------------------------------------------------------------------------------ */

enum { HANG = 1u << CW_LOAD_HANG, SLIDE = 1u << CW_LOAD_SLIDE, TILT = 1u << CW_LOAD_TILT, DRILL = 1u << CW_LOAD_DRILL };

/* Which loads take a key, and which cannot do without; what is not here goes with all. */
static const struct { const char *key; unsigned takes, needs; const char *expected; } load_keys[] = {
    { "force", HANG | SLIDE | TILT, HANG | SLIDE | TILT, "a force, as in 300 N" },
    { "arm", TILT, TILT, "a length, as in 120 mm" },
    { "base", TILT | DRILL, TILT | DRILL, "a length, as in 180 mm" },
    { "friction", SLIDE | DRILL, 0, NULL },
    { "metal", DRILL, DRILL, "what is drilled, as in low-carbon steel" },
    { "drill_diameter", DRILL, DRILL, "a length, as in 20 mm" },
    { "feed", DRILL, DRILL, "a length, as in 0.2 mm" },
    { "core_diameter", DRILL, 0, NULL },
    { "split_point", DRILL, 0, NULL },
    { "wear", DRILL, 0, NULL },
    { "spindle_offset", DRILL, 0, NULL },
    { "own_weight", DRILL, 0, NULL },
};

static void check_load_keys(cw_reader *reader, const cw_node *section, cw_load_kind kind)
{
    static const char *const loads[] = { "that hangs", "that slides", "that tilts", "of a drill" };

    for (size_t i = 0; i < sizeof load_keys / sizeof load_keys[0]; i++) {
        const cw_node *node = cw_job__find(section, load_keys[i].key);

        if (node != NULL && (load_keys[i].takes >> kind & 1u) == 0)
            cw_job__wrong_key(reader, node, NULL, "\"%s\" tells nothing about a load %s. Leave it out.",
                              load_keys[i].key, loads[kind]);
        if (node == NULL && (load_keys[i].needs >> kind & 1u) != 0)
            cw_job__wrong_key(reader, section, load_keys[i].expected, "\"%s\" is missing in this load %s.",
                              load_keys[i].key, loads[kind]);
    }
}

/* A pull that was measured on the test plate is less on the work: by its steel and its face. */
static void check_measured_pull(cw_reader *reader, const cw_node *section, const cw_load *load)
{
    const bool measured = cw_job__find(section, "pull") != NULL, on_plate = measured && !load->pull_at_work;
    const cw_node *carbon = cw_job__find(section, "carbon"), *surface = cw_job__find(section, "surface");

    if (carbon != NULL && !on_plate)
        cw_job__wrong_key(reader, carbon, NULL, "\"carbon\" goes with a pull that was measured on a test plate. Leave it "
                          "out.");
    if (surface != NULL && load->surface != CW_FACE_AS_COMPUTED && !on_plate)
        cw_job__wrong_key(reader, surface, NULL, "\"surface\" goes with a pull that was measured on a test plate. Leave "
                          "it out.");
    if (carbon == NULL && on_plate)
        cw_job__wrong_key(reader, section, "a share, as in 0.2 % for mild steel",
                          "\"carbon\" is missing: a pull that was measured on a test plate is less on other steel. If it "
                          "was measured on the work, say pull_on: work.");
}

static void check_range(cw_reader *reader, const cw_node *section, const char *key, bool sound, const char *expected)
{
    const cw_node *node = cw_job__find(section, key);

    if (node != NULL && node->type == CW_NODE_SCALAR && !sound)
        cw_job__wrong(reader, node, expected, "\"%.40s\" is out of range for %s.", node->text, key);
}

/* The proof's room has the last word on what can be drilled; it knows no places. */
static void check_drilling(cw_reader *reader, const cw_node *section, const cw_drilling *drilling)
{
    const cw_node *metal = cw_job__find(section, "metal");
    cw_drilling_load load;
    cw_error error;

    if (cw_drilling_forces(drilling, &load, &error) != CW_OK)
        cw_job__wrong(reader, metal, error.expected, "%s", error.text);
}

void cw_job__check_load(cw_reader *reader, const cw_node *section, void *record)
{
    cw_load *load = record;

    reader->job->load.at = cw_job__place(reader, section);
    load->drilling.annular = !isnan(load->drilling.core_diameter_m);
    if (cw_job__find(section, "kind") == NULL)
        return;
    check_load_keys(reader, section, load->kind);
    check_measured_pull(reader, section, load);
    check_range(reader, section, "friction", !(load->friction > 1), "a number up to 1, as in 0.15");
    check_range(reader, section, "factor", !(load->factor < 1), "1 or more, as in 2");
    check_range(reader, section, "lowest_supply", !(load->voltage_share > 1.2), "at most 120 %, as in 90 %");
    check_range(reader, section, "carbon", !(load->carbon_share > 0.1), "at most 10 %, as in 0.2 %");
    if (load->kind == CW_LOAD_DRILL && reader->wrong == reader->wrong_before)
        check_drilling(reader, section, &load->drilling);
}

/* The winding programs' room has the last word on what goes with what; it knows no places. */
static void check_machine_whole(cw_reader *reader, const cw_node *section, const cw_machine *machine)
{
    const cw_node *code = cw_job__find(section, "code");
    cw_machine whole = *machine;
    cw_error error;

    cw_machine_defaults(&whole);
    if (cw_machine_check(&whole, &error) != CW_OK)
        cw_job__wrong(reader, code != NULL ? code : section, error.expected, "%s", error.text);
}

/* Of kind and code one tells the other, unless both are given. */
void cw_job__check_machine(cw_reader *reader, const cw_node *section, void *record)
{
    static const cw_code usual[] = { CW_G33_K, CW_G95, CW_ROTARY_A, CW_NO_CODE, CW_NO_CODE };
    cw_machine *machine = record;
    bool kind_given = cw_job__find(section, "kind") != NULL, code_given = cw_job__find(section, "code") != NULL;

    if (!kind_given && !code_given)
        cw_job__wrong_key(reader, section, "lathe-thread, lathe-feed, rotary-winder, manual-lathe or hand",
                          "\"kind\" is missing in machine.");
    if (kind_given && !code_given)
        machine->code = usual[machine->kind];
    if (!kind_given && (machine->code == CW_G95 || machine->code == CW_G99))
        machine->kind = CW_LATHE_FEED;
    if (!kind_given && machine->code == CW_ROTARY_A)
        machine->kind = CW_ROTARY_WINDER;
    if (!kind_given && machine->code == CW_NO_CODE)
        machine->kind = CW_HAND;
    if (reader->wrong == reader->wrong_before)
        check_machine_whole(reader, section, machine);
}

/* ---- wishes and insulation ------------------------------------------------------------------------------------- */

static void exclude(cw_reader *reader, const cw_node *section, const char *one, const char *other)
{
    const cw_node *node = cw_job__find(section, one);

    if (node != NULL && cw_job__find(section, other) != NULL)
        cw_job__wrong_key(reader, node, NULL, "\"%s\" and \"%s\" both say how it is to be wound. Leave one out.", one,
                          other);
}

/* An option of the list is a whole winding; the other keys make one. */
void cw_job__check_wanted(cw_reader *reader, const cw_node *section, void *record)
{
    static const char *const parts[] = { "wire", "build", "material", "in_hand", "turns", "layers" };

    (void)record;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        exclude(reader, section, parts[i], "option");
    exclude(reader, section, "layers", "turns");
}

static void check_pairs(cw_reader *reader, const cw_node *section, const char *key, int count)
{
    const cw_node *node = cw_job__find(section, key);

    if (node != NULL && count % 2 != 0)
        cw_job__wrong(reader, node, "0, 2 or 4", "%d %s are no pairs, which they stand in.", count, key);
}

/* What the sizes come to is for its designer to say, who needs the place. */
void cw_job__check_former(cw_reader *reader, const cw_node *section, void *record)
{
    cw_job_former *former = record;
    const cw_node *partition = cw_job__find(section, "partition"), *sections = cw_job__find(section, "sections");

    former->at = cw_job__place(reader, section);
    check_pairs(reader, section, "pins", former->plan.pins);
    check_pairs(reader, section, "tapes", former->plan.tapes);
    if (former->sections > 1 && partition == NULL)
        cw_job__wrong_key(reader, sections, "partition: 1 mm", "\"partition\" is missing in former: what stands between "
                          "two of the %d sections.", former->sections);
    if (partition != NULL && sections == NULL)
        cw_job__wrong_key(reader, partition, "sections: 3", "\"partition\" is what stands between sections, and "
                          "\"sections\", which says how many there are, is missing.");
}

void cw_job__check_insulation(cw_reader *reader, const cw_node *section, void *record)
{
    cw_job_insulation *insulation = record;
    const cw_node *every = cw_job__find(section, "every");

    if (every != NULL && cw_job__find(section, "sheet") == NULL)
        cw_job__wrong_key(reader, every, "sheet: 0.05 mm", "\"every\" says how often a sheet goes in, and \"sheet\", "
                          "which says how thick it is, is missing.");
    if (every == NULL && insulation->sheet_m > 0)
        insulation->every = 1;
}
