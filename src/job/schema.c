/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The schema of the job file, version 1, as one table: reader, nearest-key suggestion, writer and template work from
 * these rows.
 * What must hold between keys is in check.c. */
#include "job/job_internal.h"

#define COUNT_OF(array) ((int)(sizeof(array) / sizeof(array)[0]))
#define IN(type, member) offsetof(type, member), .doubt = CW_NOWHERE
#define IN_WITH_DOUBT(type, member, doubt_member) offsetof(type, member), .doubt = offsetof(type, doubt_member)

/* ---- words, each list in the order of its enumeration ---------------------------------------------------------- */

static const char *const unit_words[] = { "metric", "inch", NULL };
static const char *const supply_words[] = { "dc", "full-wave", "half-wave", "ac", NULL };
static const char *const connection_words[] = { "single", "series", "parallel", NULL };
static const char *const shape_words[] = { "round", "rectangle", "obround", NULL };
static const char *const subject_words[] = { "this", "sibling", "sample", NULL };
static const char *const core_words[] = { "out", "in", NULL };
static const char *const lay_words[] = { "level", "nested", "random", NULL };
static const char *const preference_words[] = { "balance", "shelf", "match", NULL };
static const char *const system_words[] = { "awg", "metric", "swg", NULL };
static const char *const machine_words[] = { "lathe-thread", "lathe-feed", "rotary-winder", "manual-lathe", "hand",
                                             NULL };
static const char *const code_words[] = { "g33-k", "g32-f", "g33-f", "g95", "g99", "rotary-a", "none", NULL };
static const char *const direction_words[] = { "in", "out", NULL };
static const char *const machine_unit_words[] = { "mm", "inch", NULL };
static const char *const load_words[] = { "hang", "slide", "tilt", "drill", NULL };
static const char *const face_words[] = { "as-computed", "machined", "painted", "rusty", NULL };
static const char *const pull_words[] = { "test-plate", "work", NULL };
/* cw_proof_service_name and its neighbours have them too; tests/job/test_read.c holds both against each other */
static const char *const service_words[] = { "rewound", "new", "in-service", NULL };
static const char *const practice_words[] = { "machine", "control-gear", "machinery", "appliance", NULL };
static const char *const rise_words[] = { "class", "control-gear", "machine", "transformer", NULL };
static const char *const test_words[] = { "winding-resistance", "coils-match", "turns", "polarity", "earth-bond",
                                          "insulation-resistance", "turn-insulation", "high-potential", "heat-run",
                                          "pull", "release", NULL };
static const char *const comment_words[] = { "brackets", "semicolon", NULL };
static const char *const making_words[] = { "filament", "powder", "resin", "turned", "milled", NULL };
static const char *const finish_words[] = { "start-flange", "far-flange", "both", NULL };

const char *const cw_job__reading_words[] = {
    "coil-resistance", "sample-resistance", "wire-mass", "sample-mass", "overall-diameter", "bare-diameter", "turns",
    "turns-per-layer", "layers", "winding-depth", "rated-power", "rated-current", "inductance", "centre-field",
    "core-section", "insulation-resistance", NULL,
};

const cw_reading_row cw_job__reading_rows[CW_READING_KIND_COUNT] = {
    [CW_COIL_RESISTANCE] = { "coil-resistance", CW_RESISTANCE, CW_OF_THIS, .takes_at = true, .takes_leads = true,
                             .metric = "84.2 ohm",
            .about = "of a sound sibling, or of this coil where it is not open; write open where it is" },
    [CW_SAMPLE_RESISTANCE] = { "sample-resistance", CW_RESISTANCE, CW_OF_SAMPLE, .takes_at = true, .takes_length = true,
                               .takes_leads = true, .metric = "0.803 ohm",
            .about = "a piece of the wire, ends scraped, well over 1 m" },
    [CW_WIRE_MASS] = { "wire-mass", CW_MASS, CW_OF_THIS, .metric = "186 g", .inch = "6.56 oz",
            .about = "all the wire, covering on, no resin" },
    [CW_SAMPLE_MASS] = { "sample-mass", CW_MASS, CW_OF_SAMPLE, .takes_length = true, .metric = "1.79 g",
                         .inch = "0.063 oz",
            .about = "a piece of the wire, covering on" },
    [CW_OVERALL_DIAMETER] = { "overall-diameter", CW_LENGTH, CW_OF_THIS, .metric = "0.331 mm", .inch = "0.0130 in",
            .about = "over the covering, by micrometer, mean of several places" },
    [CW_BARE_DIAMETER] = { "bare-diameter", CW_LENGTH, CW_OF_THIS, .metric = "0.287 mm", .inch = "0.0113 in",
            .about = "covering taken off, by micrometer, mean of several places" },
    [CW_TURNS] = { "turns", CW_COUNT, CW_OF_THIS, .metric = "1850",
            .about = "counted while unwinding" },
    [CW_TURNS_PER_LAYER] = { "turns-per-layer", CW_COUNT, CW_OF_THIS, .metric = "168",
            .about = "counted along one full layer" },
    [CW_LAYERS] = { "layers", CW_COUNT, CW_OF_THIS, .metric = "11",
            .about = "counted on the cut or while unwinding" },
    [CW_WINDING_DEPTH] = { "winding-depth", CW_LENGTH, CW_OF_THIS, .metric = "3.4 mm", .inch = "0.134 in",
            .about = "height of the wire alone" },
    [CW_RATED_POWER] = { "rated-power", CW_POWER, CW_OF_THIS, .takes_at = true, .metric = "95 W",
            .about = "from the plate; hot unless a temperature is given" },
    [CW_RATED_CURRENT] = { "rated-current", CW_CURRENT, CW_OF_THIS, .takes_at = true, .metric = "1.0 A",
            .about = "from the plate; hot unless a temperature is given" },
    [CW_COIL_INDUCTANCE] = { "inductance", CW_INDUCTANCE, CW_OF_THIS, .takes_frequency = true, .takes_core = true,
                             .metric = "0.21 H",
            .about = "core out" },
    [CW_CENTRE_FIELD] = { "centre-field", CW_FLUX_DENSITY, CW_OF_THIS, .takes_current = true, .takes_core = true,
                          .metric = "3.1 mT",
            .about = "by a field meter in the middle of the empty coil" },
    [CW_CORE_SECTION] = { "core-section", CW_AREA, CW_OF_THIS, .metric = "4 cm2", .inch = "0.62 in2",
            .about = "of the iron, for coils on ac" },
    [CW_INSULATION_RESISTANCE] = { "insulation-resistance", CW_RESISTANCE, CW_OF_THIS, .metric = "100 Mohm",
            .about = "from winding to core" },
};

/* ---- rows ------------------------------------------------------------------------------------------------------ */

const cw_row cw_job__top_rows[] = {
    { "coilwright", &cw_job__version_form, 0, .doubt = CW_NOWHERE, .required = true, .metric = "1",
      .about = "version of the job file" },
    { "units", &cw_job__word_form, IN(cw_job, units), .words = unit_words, .metric = "metric", .inch = "inch",
      .about = "in which results are shown; without it, as most lengths of this file" },
};
const int cw_job__top_row_count = COUNT_OF(cw_job__top_rows);

static const cw_row job_rows[] = {
    { "name", &cw_job__line_form, IN(cw_job, name), .ask = CW_ASK, .metric = "spindle brake",
      .about = "what this coil is" },
    { "machine", &cw_job__line_form, IN(cw_job, machine_name), .ask = CW_MENTION, .metric = "turret lathe",
      .about = "the machine it belongs to" },
    { "note", &cw_job__text_form, IN(cw_job, note), .ask = CW_MENTION, .metric = "burnt on one side",
      .about = "anything worth remembering" },
};

static const cw_row supply_rows[] = {
    { "kind", &cw_job__word_form, IN(cw_supply, kind), .words = supply_words, .fallback = CW_DC, .required = true,
      .ask = CW_ASK, .metric = "dc", .about = "full-wave and half-wave: a rectifier without smoothing" },
    { "voltage", &cw_job__quantity_form, IN(cw_supply, voltage_v), .kind = CW_VOLTAGE, .range = CW_POSITIVE,
      .required = true, .ask = CW_ASK, .metric = "96 V",
      .about = "as a meter shows it at the supply's terminals" },
    { "original_voltage", &cw_job__quantity_form, IN(cw_supply, original_voltage_v), .kind = CW_VOLTAGE,
      .range = CW_POSITIVE, .ask = CW_MENTION, .metric = "110 V",
      .about = "that the coil was made for, where the supply is another now" },
    { "frequency", &cw_job__quantity_form, IN(cw_supply, frequency_hz), .kind = CW_FREQUENCY, .range = CW_POSITIVE,
      .ask = CW_MENTION, .metric = "50 Hz", .about = "of ac, or before the rectifier" },
    { "duty", &cw_job__duty_form, IN(cw_supply, duty_share), .ask = CW_MENTION, .metric = "40 % of 5 min",
      .about = "continuous, or how much of which time it is on" },
    { "ambient", &cw_job__quantity_form, IN(cw_supply, ambient_c), .kind = CW_TEMPERATURE, .ask = CW_MENTION,
      .metric = "30 °C", .inch = "86 °F", .about = "air around the magnet at its warmest" },
};

static const cw_row circuit_rows[] = {
    { "coils", &cw_job__whole_form, IN(cw_circuit, coils), .fallback = 1, .least = 1, .most = 1000, .ask = CW_ASK,
      .metric = "2", .about = "how many such coils share the supply" },
    { "connection", &cw_job__word_form, IN(cw_circuit, connection), .words = connection_words,
      .fallback = CW_SINGLE_COIL, .ask = CW_ASK, .metric = "series", .about = "series or parallel" },
};

static const cw_row window_rows[] = {
    { "shape", &cw_job__word_form, IN(cw_window, shape), .words = shape_words, .fallback = CW_ROUND,
      .ask = CW_PRESET, .metric = "round", .about = "of the surface that the first layer lies on" },
    { "inner", &cw_job__diameter_form, IN_WITH_DOUBT(cw_window, inner_m, inner_doubt_m), .kind = CW_LENGTH,
      .range = CW_POSITIVE, .ask = CW_ASK, .metric = "42 mm", .inch = "1.65 in", .about = "its diameter" },
    { "inner_size", &cw_job__pair_form, IN_WITH_DOUBT(cw_window, inner_m, inner_doubt_m), .kind = CW_LENGTH,
      .range = CW_POSITIVE, .ask = CW_ASK, .metric = "[50 mm, 30 mm]", .inch = "[2 in, 1-1/4 in]",
      .about = "its width and breadth" },
    { "corner_radius", &cw_job__quantity_form, IN(cw_window, corner_radius_m), .kind = CW_LENGTH,
      .range = CW_NOT_NEGATIVE, .ask = CW_MENTION, .metric = "3 mm", .inch = "1/8 in",
      .about = "of a rectangle" },
    { "length", &cw_job__quantity_form, IN_WITH_DOUBT(cw_window, length_m, length_doubt_m), .kind = CW_LENGTH,
      .range = CW_POSITIVE, .required = true, .ask = CW_ASK, .metric = "58 mm", .inch = "2.28 in",
      .about = "along the axis, between the flanges" },
    { "depth", &cw_job__quantity_form, IN_WITH_DOUBT(cw_window, depth_m, depth_doubt_m), .kind = CW_LENGTH,
      .range = CW_POSITIVE, .required = true, .ask = CW_ASK, .metric = "13 mm", .inch = "0.51 in",
      .about = "greatest winding height" },
};

static const cw_row reading_rows[] = {
    { "kind", &cw_job__word_form, IN(cw_reading, kind), .words = cw_job__reading_words, .fallback = -1,
      .required = true, .metric = "coil-resistance", .about = "what was read" },
    { "of", &cw_job__word_form, IN(cw_reading, subject), .words = subject_words, .fallback = CW_OF_THIS,
      .metric = "sibling", .about = "this coil, a sound sibling of it, or a sample of its wire" },
    { "value", &cw_job__reading_value_form, IN(cw_reading, value), .required = true, .metric = "84.2 ohm",
      .about = "with its unit; a doubt may follow, as in 84.2 ohm ± 0.5 %" },
    { "at", &cw_job__quantity_form, IN(cw_reading, at_c), .kind = CW_TEMPERATURE, .metric = "24 °C", .inch = "75 °F",
      .about = "temperature of the wire" },
    { "length", &cw_job__quantity_form, IN(cw_reading, length_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .metric = "3 m", .inch = "10 ft", .about = "of the sample" },
    { "current", &cw_job__quantity_form, IN(cw_reading, current_a), .kind = CW_CURRENT, .range = CW_POSITIVE,
      .metric = "50 mA", .about = "through the coil, where its field is read" },
    { "frequency", &cw_job__quantity_form, IN(cw_reading, frequency_hz), .kind = CW_FREQUENCY, .range = CW_POSITIVE,
      .metric = "120 Hz", .about = "of the meter of inductance" },
    { "core", &cw_job__core_form, 0, .doubt = CW_NOWHERE, .words = core_words, .metric = "out",
      .about = "inductance and field count with the core out only" },
    { "lead_resistance", &cw_job__lead_form, 0, .doubt = CW_NOWHERE, .kind = CW_RESISTANCE, .metric = "0.2 ohm",
      .about = "of the meter's leads, shorted together; it is taken off the value" },
};

static const cw_row seen_rows[] = {
    { "build", &cw_job__builds_form, IN(cw_seen, builds), .ask = CW_MENTION, .metric = "[single, heavy]",
      .about = "covering of the old wire, as far as it can be told" },
    { "material", &cw_job__materials_form, IN(cw_seen, materials), .ask = CW_MENTION, .metric = "copper",
      .about = "red or white where it is scraped" },
    { "sizes", &cw_job__word_set_form, IN(cw_seen, systems), .words = system_words, .metric = "metric",
      .inch = "awg", .about = "series that it can only be of" },
    { "maker", &cw_job__word_form, IN(cw_seen, lean), .words = system_words, .fallback = -1, .ask = CW_MENTION,
      .metric = "metric", .inch = "awg", .about = "series that the machine's maker most likely bought in" },
    { "in_hand", &cw_job__whole_set_form, IN(cw_seen, in_hand), .least = 1, .most = 4, .ask = CW_MENTION, .metric = "1",
      .about = "strands wound together" },
    { "lay", &cw_job__word_set_form, IN(cw_seen, lays), .words = lay_words, .ask = CW_MENTION, .metric = "level",
      .about = "how the turns lie" },
};

static const cw_row wanted_rows[] = {
    { "resistance", &cw_job__wish_resistance_form, IN(cw_wanted, resistance_ohm), .ask = CW_PRESET,
      .metric = "same ± 5 %", .about = "at 20 °C: same, or a resistance" },
    { "ampere_turns", &cw_job__wish_turns_form, IN(cw_wanted, ampere_turns), .ask = CW_PRESET, .metric = "same",
      .about = "same, or at least so many" },
    { "thermal_class", &cw_job__class_form, IN(cw_wanted, thermal_class_c), .ask = CW_ASK, .metric = "155",
      .about = "of wire and insulation" },
    { "lay", &cw_job__wish_lay_form, IN(cw_wanted, lay), .words = lay_words, .ask = CW_MENTION,
      .metric = "level", .about = "how to wind" },
    { "prefer", &cw_job__word_form, IN(cw_wanted, prefer), .words = preference_words, .fallback = CW_PREFER_BALANCE,
      .ask = CW_MENTION, .metric = "shelf",
      .about = "shelf: what is there; match: the nearest, whatever must be bought; balance" },
    { "option", &cw_job__line_form, IN(cw_wanted, option), .ask = CW_MENTION, .metric = "0.280-mm-grade-2-x1",
      .inch = "29-awg-heavy-x1", .about = "your own choice from the list that coilwright choose gives" },
    { "wire", &cw_job__wire_form, IN(cw_wanted, size), .metric = "0.280 mm", .inch = "29 AWG",
      .about = "only this size" },
    { "build", &cw_job__builds_form, IN(cw_wanted, builds), .metric = "grade 2", .inch = "heavy",
      .about = "only such a covering" },
    { "material", &cw_job__materials_form, IN(cw_wanted, materials), .metric = "copper", .about = "only of this" },
    { "in_hand", &cw_job__whole_form, IN(cw_wanted, in_hand), .least = 1, .most = 4, .metric = "2",
      .about = "only so many strands together" },
    { "turns", &cw_job__whole_form, IN(cw_wanted, turns), .least = 1, .most = 10000000, .metric = "2100",
      .about = "just so many, whatever that does to the rest" },
    { "layers", &cw_job__whole_form, IN(cw_wanted, layers), .least = 1, .most = 10000, .metric = "12",
      .about = "just so many full layers, whatever that does to the rest" },
    { "finest_wire", &cw_job__quantity_form, IN(cw_wanted, finest_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .ask = CW_MENTION, .metric = "0.1 mm", .inch = "4 thou",
      .about = "bare diameter of the finest wire that can be wound here" },
    { "one_size", &cw_job__flag_form, IN(cw_wanted, one_size), .ask = CW_MENTION, .metric = "yes",
      .about = "no windings of two sizes in series" },
    { "taps", &cw_job__taps_form, offsetof(cw_wanted, taps), .doubt = offsetof(cw_wanted, tap_count),
      .most = CW_TAPS_MOST, .ask = CW_MENTION, .metric = "[500, 1000]",
      .about = "turns after which a lead comes out" },
};

static const cw_row stock_rows[] = {
    { "wire", &cw_job__wire_form, IN(cw_spool, size), .required = true, .ask = CW_MENTION, .metric = "0.280 mm",
      .inch = "29 AWG",
      .about = "size on the spool" },
    { "build", &cw_job__build_form, IN(cw_spool, build), .required = true, .ask = CW_MENTION, .metric = "grade 2",
      .inch = "heavy",
      .about = "single, heavy, triple; grade 1, 2, 3" },
    { "material", &cw_job__material_form, IN(cw_spool, material), .ask = CW_MENTION, .metric = "copper",
      .about = "copper or aluminium" },
    { "thermal_class", &cw_job__class_form, IN(cw_spool, thermal_class_c), .ask = CW_MENTION, .metric = "180",
      .about = "of its enamel" },
    { "on_spool", &cw_job__left_form, IN(cw_spool, mass_kg), .ask = CW_MENTION, .metric = "500 g", .inch = "1 lb",
      .about = "what is left, by the scale or by length" },
    { "price", &cw_job__quantity_form, IN(cw_spool, price), .kind = CW_COUNT, .range = CW_NOT_NEGATIVE,
      .ask = CW_MENTION, .metric = "21.00", .about = "of the whole spool, in the shop's own money" },
};

#define FORMER_LENGTH(name, member, least) \
    name, &cw_job__quantity_form, IN(cw_job_former, member), .kind = CW_LENGTH, .range = least

static const cw_row former_rows[] = {
    { "material", &cw_job__line_form, IN(cw_job_former, material), .ask = CW_MENTION, .metric = "pa12",
      .about = "what the former is made of" },
    { "process", &cw_job__word_form, IN(cw_job_former, plan.making), .words = making_words, .fallback = -1,
      .ask = CW_MENTION, .metric = "powder", .about = "how: filament, powder or resin printed, turned or milled" },
    { FORMER_LENGTH("wall", plan.wall_m, CW_POSITIVE), .ask = CW_MENTION, .metric = "1.5 mm", .inch = "1/16 in",
      .about = "of the tube" },
    { FORMER_LENGTH("flange", plan.flange_m, CW_POSITIVE), .ask = CW_MENTION, .metric = "2 mm", .inch = "0.08 in",
      .about = "thickness of a flange" },
    { FORMER_LENGTH("clearance", plan.clearance_m, CW_NOT_NEGATIVE), .ask = CW_MENTION, .metric = "0.3 mm",
      .inch = "0.012 in", .about = "between former and core" },
    { "class", &cw_job__class_form, IN(cw_job_former, class_c), .ask = CW_MENTION, .metric = "155",
      .about = "thermal class of its material" },
    { "sections", &cw_job__whole_form, IN(cw_job_former, sections), .least = 1, .most = CW_COIL_PARTS_MOST,
      .ask = CW_MENTION, .metric = "3", .about = "equal ones beside each other, wound in series" },
    { "partition", &cw_job__quantity_form, IN(cw_job_former, partition_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .ask = CW_MENTION, .metric = "1 mm", .inch = "0.04 in", .about = "thickness between two sections" },
    { "leads", &cw_job__line_form, IN(cw_job_former, leads), .ask = CW_MENTION, .metric = "both at the start flange",
      .about = "where they come out" },
    { FORMER_LENGTH("wrap", plan.wrap_m, CW_NOT_NEGATIVE), .metric = "0.2 mm", .inch = "8 thou",
      .about = "insulation on the tube, under the first layer" },
    { FORMER_LENGTH("side_wrap", plan.side_wrap_m, CW_NOT_NEGATIVE), .metric = "0.2 mm", .inch = "8 thou",
      .about = "insulation on the inside of a flange" },
    { FORMER_LENGTH("rim", plan.rim_m, CW_NOT_NEGATIVE), .metric = "0.5 mm", .inch = "0.02 in",
      .about = "by which the flanges stand above the window's depth" },
    { FORMER_LENGTH("fillet", plan.fillet_m, CW_NOT_NEGATIVE), .metric = "0.15 mm", .inch = "6 thou",
      .about = "in the corner of tube and flange" },
    { FORMER_LENGTH("bore_corner", plan.bore_corner_m, CW_NOT_NEGATIVE), .metric = "1 mm", .inch = "0.04 in",
      .about = "corner radius of a rectangular bore" },
    { FORMER_LENGTH("core_corner", plan.core_corner_m, CW_NOT_NEGATIVE), .metric = "1 mm", .inch = "0.04 in",
      .about = "by which the edges of a rectangular core are rounded" },
    { FORMER_LENGTH("slot", plan.slot_m, CW_NOT_NEGATIVE), .metric = "3 mm", .inch = "1/8 in",
      .about = "width of the lead slots; 0 mm for none" },
    { "finish", &cw_job__word_form, IN(cw_job_former, plan.finish), .words = finish_words, .fallback = -1,
      .metric = "start-flange", .about = "flange that the finish leaves by: start-flange, far-flange or both" },
    { "pins", &cw_job__whole_form, IN(cw_job_former, plan.pins), .most = 4, .metric = "2",
      .about = "holes for anchor pins: 0, 2 or 4" },
    { FORMER_LENGTH("pin", plan.pin_m, CW_POSITIVE), .metric = "1 mm", .inch = "0.04 in", .about = "their diameter" },
    { "tapes", &cw_job__whole_form, IN(cw_job_former, plan.tapes), .most = 4, .metric = "2",
      .about = "recesses for the tape that ties the winding: 0, 2 or 4" },
    { FORMER_LENGTH("tape_width", plan.tape_m, CW_POSITIVE), .metric = "10 mm", .inch = "3/8 in",
      .about = "of such a recess" },
    { FORMER_LENGTH("tape_depth", plan.tape_depth_m, CW_POSITIVE), .metric = "0.3 mm", .inch = "12 thou",
      .about = "of such a recess" },
    { "split", &cw_job__flag_form, IN(cw_job_former, plan.split), .metric = "yes",
      .about = "in two halves, for a core that does not open" },
    { FORMER_LENGTH("split_gap", plan.split_gap_m, CW_NOT_NEGATIVE), .metric = "0.1 mm", .inch = "4 thou",
      .about = "between the halves" },
    { "shrink", &cw_job__quantity_form, IN(cw_job_former, plan.shrink), .kind = CW_RATIO, .range = CW_NOT_NEGATIVE,
      .metric = "0.4 %", .about = "of the print, as measured on one" },
    { FORMER_LENGTH("hole_growth", plan.hole_growth_m, CW_NOT_NEGATIVE), .metric = "0.2 mm", .inch = "8 thou",
      .about = "by which the print's holes come out small" },
    { FORMER_LENGTH("arbor_shank", arbor.shank_m, CW_POSITIVE), .metric = "20 mm", .inch = "3/4 in",
      .about = "diameter of the arbor in the chuck" },
    { FORMER_LENGTH("arbor_shank_length", arbor.shank_length_m, CW_POSITIVE), .metric = "50 mm", .inch = "2 in",
      .about = "of the arbor in the chuck" },
    { FORMER_LENGTH("arbor_cheek", arbor.cheek_m, CW_POSITIVE), .metric = "8 mm", .inch = "5/16 in",
      .about = "thickness of the cheeks that keep the flanges from spreading" },
    { FORMER_LENGTH("arbor_fit", arbor.fit_m, CW_NOT_NEGATIVE), .metric = "0.05 mm", .inch = "2 thou",
      .about = "between plug and bore" },
    { FORMER_LENGTH("arbor_pinch", arbor.pinch_m, CW_NOT_NEGATIVE), .metric = "0.3 mm", .inch = "12 thou",
      .about = "by which the plug is shorter than the former" },
    { FORMER_LENGTH("arbor_screw", arbor.screw_m, CW_POSITIVE), .metric = "8 mm",
      .about = "metric thread of the clamp screw" },
};

static const cw_row insulation_rows[] = {
    { "sheet", &cw_job__quantity_form, IN(cw_job_insulation, sheet_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .ask = CW_MENTION, .metric = "0.05 mm", .inch = "2 thou", .about = "thickness of a sheet between layers" },
    { "every", &cw_job__whole_form, IN(cw_job_insulation, every), .least = 1, .most = 1000, .ask = CW_MENTION,
      .metric = "1", .about = "so many layers from sheet to sheet" },
    { "margin_start", &cw_job__quantity_form, IN(cw_job_insulation, margin_start_m), .kind = CW_LENGTH,
      .range = CW_NOT_NEGATIVE, .ask = CW_MENTION, .metric = "1 mm", .inch = "0.04 in",
      .about = "kept free of wire at the start flange" },
    { "margin_end", &cw_job__quantity_form, IN(cw_job_insulation, margin_end_m), .kind = CW_LENGTH,
      .range = CW_NOT_NEGATIVE, .ask = CW_MENTION, .metric = "1 mm", .inch = "0.04 in",
      .about = "kept free of wire at the far flange" },
    { "sleeve", &cw_job__quantity_form, IN(cw_job_insulation, sleeve_m), .kind = CW_LENGTH, .range = CW_NOT_NEGATIVE,
      .ask = CW_MENTION, .metric = "1 mm", .inch = "0.04 in",
      .about = "width that the start lead takes beside the layers; none in a slot" },
    { "wrap", &cw_job__quantity_form, IN(cw_job_insulation, wrap_m), .kind = CW_LENGTH, .range = CW_NOT_NEGATIVE,
      .ask = CW_MENTION, .metric = "0.2 mm", .inch = "8 thou", .about = "outer wrap, within the window's depth" },
    { "class", &cw_job__class_form, IN(cw_job_insulation, class_c), .ask = CW_MENTION, .metric = "155",
      .about = "thermal class of sheets and wrap" },
    { "lead_class", &cw_job__class_form, IN(cw_job_insulation, lead_class_c), .ask = CW_MENTION, .metric = "155",
      .about = "thermal class of leads and their sleeve" },
};

static const cw_row machine_rows[] = {
    { "kind", &cw_job__word_form, IN(cw_machine, kind), .words = machine_words, .fallback = CW_LATHE_THREAD,
      .ask = CW_PRESET, .metric = "lathe-thread", .about = "what winds" },
    { "code", &cw_job__word_form, IN(cw_machine, code), .words = code_words, .fallback = CW_G33_K, .ask = CW_MENTION,
      .metric = "g33-k", .about = "the words that it takes" },
    { "units", &cw_job__flag_word_form, IN(cw_machine, inches), .words = machine_unit_words, .ask = CW_PRESET,
      .metric = "mm", .inch = "inch", .about = "of the program" },
    { "speed", &cw_job__quantity_form, IN(cw_machine, speed_rpm), .kind = CW_ROTATION, .range = CW_POSITIVE,
      .ask = CW_PRESET, .metric = "60 rpm", .about = "of winding" },
    { "slow_speed", &cw_job__quantity_form, IN(cw_machine, slow_speed_rpm), .kind = CW_ROTATION, .range = CW_POSITIVE,
      .ask = CW_MENTION, .metric = "20 rpm", .about = "at starts, stops and flanges" },
    { "decimals", &cw_job__whole_form, IN(cw_machine, decimals), .fallback = -1, .most = 6, .metric = "3",
      .about = "of position words" },
    { "pitch_decimals", &cw_job__whole_form, IN(cw_machine, pitch_decimals), .fallback = -1, .most = 8, .metric = "4",
      .about = "of pitch words" },
    { "diameter", &cw_job__flag_form, IN(cw_machine, diameter), .metric = "yes", .about = "X words are diameters" },
    { "line_numbers", &cw_job__flag_form, IN(cw_machine, line_numbers), .metric = "yes", .about = "N words" },
    { "comments", &cw_job__flag_word_form, IN(cw_machine, semicolon_comments), .words = comment_words,
      .metric = "brackets", .about = "in round brackets or behind a semicolon" },
    { "reverse", &cw_job__flag_form, IN(cw_machine, reverse), .metric = "yes",
      .about = "the spindle winds backwards" },
    { "chained", &cw_job__flag_form, IN(cw_machine, chained), .metric = "yes",
      .about = "threading blocks in a row wait for the index once only" },
    { "stop_stops_spindle", &cw_job__flag_form, IN(cw_machine, stop_stops_spindle), .metric = "yes",
      .about = "a program stop stops the spindle too" },
    { "spin_up", &cw_job__quantity_form, IN(cw_machine, spin_up_s), .kind = CW_TIME, .range = CW_NOT_NEGATIVE,
      .metric = "2 s", .about = "from standstill to speed" },
    { "spin_down", &cw_job__quantity_form, IN(cw_machine, spin_down_s), .kind = CW_TIME, .range = CW_NOT_NEGATIVE,
      .metric = "2 s", .about = "from speed to standstill" },
    { "acceleration", &cw_job__quantity_form, IN(cw_machine, acceleration_m_s2), .kind = CW_ACCELERATION,
      .range = CW_POSITIVE, .metric = "0.5 m/s2", .inch = "20 in/s2", .about = "of the traverse" },
    { "rapid", &cw_job__quantity_form, IN(cw_machine, rapid_m_s), .kind = CW_SPEED, .range = CW_POSITIVE,
      .metric = "2 m/min", .inch = "80 in/min", .about = "fastest traverse" },
    { "block_time", &cw_job__quantity_form, IN(cw_machine, block_time_s), .kind = CW_TIME, .range = CW_NOT_NEGATIVE,
      .metric = "20 ms", .about = "between two blocks" },
    { "backlash", &cw_job__quantity_form, IN(cw_machine, backlash_m), .kind = CW_LENGTH, .range = CW_NOT_NEGATIVE,
      .metric = "0.05 mm", .inch = "2 thou", .about = "lost where the traverse reverses" },
    { "clearance", &cw_job__quantity_form, IN(cw_machine, clearance_m), .kind = CW_LENGTH, .range = CW_NOT_NEGATIVE,
      .metric = "5 mm", .inch = "0.2 in", .about = "how far beyond the flange the guide may go" },
    { "guide_distance", &cw_job__quantity_form, IN(cw_machine, guide_distance_m), .kind = CW_LENGTH,
      .range = CW_NOT_NEGATIVE, .metric = "40 mm", .inch = "1.5 in", .about = "free wire from guide to coil" },
    { "guide_near", &cw_job__quantity_form, IN(cw_machine, guide_near_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .metric = "60 mm", .inch = "2.4 in", .about = "radius at which the guide works" },
    { "guide_clear", &cw_job__quantity_form, IN(cw_machine, guide_clear_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .metric = "90 mm", .inch = "3.5 in", .about = "radius at which it is clear of the flanges" },
    { "start_block", &cw_job__text_form, IN(cw_machine, start_block), .metric = "M8", .about = "extra lines before" },
    { "end_block", &cw_job__text_form, IN(cw_machine, end_block), .metric = "M9", .about = "extra lines behind" },
    { "feeds", &cw_job__lengths_form, offsetof(cw_machine, feeds_m), .doubt = offsetof(cw_machine, feed_count),
      .most = CW_FEEDS_MOST, .metric = "[0.2 mm, 0.25 mm]", .inch = "[0.010 in, 0.012 in]",
      .about = "manual lathe: feeds per turn, from its plate" },
    { "leadscrew", &cw_job__quantity_form, IN(cw_machine, leadscrew_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .metric = "4 mm", .inch = "1/8 in", .about = "manual lathe: pitch of the leadscrew" },
    { "gears", &cw_job__gears_form, offsetof(cw_machine, gears), .doubt = offsetof(cw_machine, gear_count),
      .most = CW_GEARS_MOST, .metric = "[20, 40, 127]", .about = "manual lathe: teeth of the change gears" },
};

/* An open section: everything is kept as an entry. Its other keys, shape by shape, are in magnet.c. */
static const cw_row magnet_rows[] = {
    { "shape", &cw_job__line_form, 0, .doubt = CW_NOWHERE, .required = true, .ask = CW_PRESET, .metric = "pot",
      .about = "pot, plunger, u, e or section" },
};

static const cw_row section_rows[] = {
    { "region", &cw_job__line_form, IN(cw_job_region, name), .required = true, .metric = "base",
      .about = "its name, for messages and results" },
    { "material", &cw_job__line_form, IN(cw_job_region, material), .metric = "low-carbon-steel",
      .about = "an iron by its name, coil or air" },
    { "outline", &cw_job__outline_form, offsetof(cw_job_region, outline),
      .doubt = offsetof(cw_job_region, outline_count), .required = true,
      .metric = "\"0 0, 20 0, through 27 7, 20 14, 0 14 mm\"", .inch = "\"0 0, 0.8 0, 0.8 0.5, 0 0.5 in\"",
      .about = "its corners: from the axis, up; through: a place on an arc" },
    { "turns", &cw_job__quantity_form, IN(cw_job_region, turns), .kind = CW_COUNT, .range = CW_POSITIVE,
      .metric = "1850", .about = "of a coil; without it as wound" },
    { "direction", &cw_job__flag_word_form, IN(cw_job_region, out), .words = direction_words, .metric = "in",
      .about = "of a coil's current, into the page or out of it" },
    { "coil", &cw_job__whole_form, IN(cw_job_region, coil), .fallback = 1, .least = 1, .most = 8, .metric = "1",
      .about = "which of the circuit's coils" },
    { "moves", &cw_job__flag_form, IN(cw_job_region, moves), .metric = "yes",
      .about = "iron whose pull is asked; it stands higher by the gap" },
};

static const cw_row potting_rows[] = {
    { "resin", &cw_job__line_form, IN(cw_job_potting, resin), .ask = CW_MENTION, .metric = "filled epoxy",
      .about = "what it is potted in" },
    { "class", &cw_job__class_form, IN(cw_job_potting, class_c), .ask = CW_MENTION, .metric = "155",
      .about = "thermal class of the resin" },
};

static const cw_row load_rows[] = {
    { "kind", &cw_job__word_form, IN(cw_load, kind), .words = load_words, .fallback = CW_LOAD_HANG, .required = true,
      .ask = CW_MENTION, .metric = "slide",
      .about = "hang, slide (along the face), tilt (a force at an arm) or drill" },
    { "force", &cw_job__quantity_form, IN(cw_load, force_n), .kind = CW_FORCE, .range = CW_POSITIVE, .ask = CW_MENTION,
      .metric = "300 N", .inch = "70 lbf",
      .about = "of the load: weight that hangs, push along the face, pull at the arm" },
    { "arm", &cw_job__quantity_form, IN(cw_load, arm_m), .kind = CW_LENGTH, .range = CW_POSITIVE, .metric = "120 mm",
      .inch = "5 in", .about = "tilt: of the force above the face, or off its edge" },
    { "base", &cw_job__quantity_form, IN(cw_load, base_m), .kind = CW_LENGTH, .range = CW_POSITIVE, .metric = "180 mm",
      .inch = "7 in", .about = "tilt, drill: length of the magnet's face in the plane in which it tips" },
    { "pull", &cw_job__quantity_form, IN(cw_load, pull_n), .kind = CW_FORCE, .range = CW_POSITIVE, .metric = "2.5 kN",
      .inch = "560 lbf",
      .about = "straight off, as measured cold; without it as computed at the magnet's gap and plate" },
    { "pull_on", &cw_job__flag_word_form, IN(cw_load, pull_at_work), .words = pull_words, .metric = "work",
      .about = "of a measured pull: on a good test-plate, or on the work itself" },
    { "carbon", &cw_job__quantity_form, IN(cw_load, carbon_share), .kind = CW_RATIO, .range = CW_NOT_NEGATIVE,
      .metric = "0.2 %", .about = "test-plate: carbon in the steel of the work; cast iron 3 %" },
    { "surface", &cw_job__word_form, IN(cw_load, surface), .words = face_words, .fallback = CW_FACE_AS_COMPUTED,
      .metric = "painted", .about = "test-plate: face of the work: machined, painted or rusty" },
    { "friction", &cw_job__quantity_form, IN(cw_load, friction), .kind = CW_COUNT, .range = CW_POSITIVE,
      .ask = CW_MENTION, .metric = "0.15", .about = "slide, drill: 0.15 without it" },
    { "lowest_supply", &cw_job__quantity_form, IN(cw_load, voltage_share), .kind = CW_RATIO, .range = CW_POSITIVE,
      .ask = CW_MENTION, .metric = "90 %", .about = "of the rated voltage; 90 % without it" },
    { "factor", &cw_job__quantity_form, IN(cw_load, factor), .kind = CW_COUNT, .range = CW_POSITIVE, .ask = CW_MENTION,
      .metric = "2", .about = "breakaway over load; 2 without it" },
    { "metal", &cw_job__line_form, IN(cw_load, drilling.metal), .metric = "low-carbon steel",
      .about = "drill: what is drilled" },
    { "drill_diameter", &cw_job__quantity_form, IN(cw_load, drilling.diameter_m), .kind = CW_LENGTH,
      .range = CW_POSITIVE, .metric = "20 mm", .inch = "3/4 in", .about = "drill: of the hole" },
    { "feed", &cw_job__quantity_form, IN(cw_load, drilling.feed_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .metric = "0.2 mm", .inch = "8 thou", .about = "drill: for each turn" },
    { "core_diameter", &cw_job__quantity_form, IN(cw_load, drilling.core_diameter_m), .kind = CW_LENGTH,
      .range = CW_POSITIVE, .metric = "12 mm", .inch = "1/2 in", .about = "drill: what an annular cutter leaves" },
    { "split_point", &cw_job__flag_form, IN(cw_load, drilling.split_point), .metric = "yes",
      .about = "drill: split point or thinned web" },
    { "wear", &cw_job__quantity_form, IN(cw_load, drilling.wear), .kind = CW_COUNT, .range = CW_POSITIVE,
      .metric = "1.3", .about = "drill: 1 sharp, 1.3 to be reground, which it is without it" },
    { "spindle_offset", &cw_job__quantity_form, IN(cw_load, offset_m), .kind = CW_LENGTH, .range = CW_NOT_NEGATIVE,
      .metric = "60 mm", .inch = "2-1/4 in", .about = "drill: of the spindle from the middle of the base" },
    { "own_weight", &cw_job__quantity_form, IN(cw_load, own_weight_n), .kind = CW_FORCE, .range = CW_NOT_NEGATIVE,
      .metric = "120 N", .inch = "27 lbf", .about = "drill: of stand and machine, off a floor" },
};

static const cw_row acceptance_rows[] = {
    { "service", &cw_job__word_form, IN(cw_job_acceptance, service), .words = service_words, .fallback = CW_REWOUND,
      .ask = CW_MENTION, .metric = "rewound",
      .about = "new, rewound, or cleaned and dried in-service: the level of high potential hangs on it" },
    { "practice", &cw_job__word_form, IN(cw_job_acceptance, practice), .words = practice_words,
      .fallback = CW_AS_MACHINE, .ask = CW_MENTION, .metric = "machine",
      .about = "by which the level is chosen: machine, control-gear, machinery or appliance" },
    { "rise", &cw_job__word_form, IN(cw_job_acceptance, rise), .words = rise_words, .fallback = CW_RISE_BY_CLASS,
      .ask = CW_MENTION, .metric = "class",
      .about = "what limits the heat run: class, control-gear, machine or transformer" },
    { "release_within", &cw_job__quantity_form, IN(cw_job_acceptance, release_s), .kind = CW_TIME,
      .range = CW_POSITIVE, .ask = CW_MENTION, .metric = "0.2 s", .about = "by what the machine asks for" },
    { "leave_out", &cw_job__word_set_form, IN(cw_job_acceptance, left_out), .words = test_words, .ask = CW_MENTION,
      .metric = "[heat-run]", .about = "tests that are not done; the proof says so" },
};

static const cw_row proof_rows[] = {
    { "test", &cw_job__line_form, IN(cw_job_test, test), .required = true, .ask = CW_MENTION,
      .metric = "winding-resistance", .about = "which test; coilwright prove lists them" },
    { "value", &cw_job__any_quantity_form, IN(cw_job_test, value), .required = true, .ask = CW_MENTION,
      .metric = "85.0 ohm", .about = "what was read; pass or fail where the eye judges" },
    { "at", &cw_job__quantity_form, IN(cw_job_test, at_c), .kind = CW_TEMPERATURE, .ask = CW_MENTION,
      .metric = "23 °C", .inch = "73 °F", .about = "temperature of the winding" },
    { "coil", &cw_job__whole_form, IN(cw_job_test, coil), .least = 1, .most = 1000, .metric = "1",
      .about = "which of several coils" },
    { "voltage", &cw_job__quantity_form, IN(cw_job_test, voltage_v), .kind = CW_VOLTAGE, .range = CW_POSITIVE,
      .metric = "500 V", .about = "applied: insulation resistance, heat run" },
    { "current", &cw_job__quantity_form, IN(cw_job_test, current_a), .kind = CW_CURRENT, .range = CW_POSITIVE,
      .metric = "50 mA", .about = "through the coil: turns by its field; through the bond" },
    { "time", &cw_job__quantity_form, IN(cw_job_test, time_s), .kind = CW_TIME, .range = CW_ANY_VALUE, .metric = "60 s",
      .about = "high potential: held for; heat run: since switch-off" },
    { "ambient", &cw_job__quantity_form, IN(cw_job_test, ambient_c), .kind = CW_TEMPERATURE, .metric = "24 °C",
      .inch = "75 °F", .about = "heat run: of the room" },
    { "lead_resistance", &cw_job__quantity_form, IN(cw_job_test, lead_ohm), .kind = CW_RESISTANCE,
      .range = CW_NOT_NEGATIVE, .metric = "0.05 ohm", .about = "earth bond: of the test lead or cord" },
    { "reversed", &cw_job__quantity_form, IN(cw_job_test, reversed_h), .kind = CW_INDUCTANCE, .range = CW_POSITIVE,
      .metric = "0.1 H", .about = "polarity: inductance with one coil reversed" },
    { "after_ten_minutes", &cw_job__quantity_form, IN(cw_job_test, later_ohm), .kind = CW_RESISTANCE,
      .range = CW_POSITIVE, .metric = "300 Mohm", .about = "insulation resistance, read once more" },
    { "gap", &cw_job__quantity_form, IN(cw_job_test, gap_m), .kind = CW_LENGTH, .range = CW_POSITIVE, .metric = "0.2 mm",
      .inch = "8 thou", .about = "pull: of the test, where it is not the magnet's own" },
    { "plate", &cw_job__quantity_form, IN(cw_job_test, plate_m), .kind = CW_LENGTH, .range = CW_POSITIVE,
      .metric = "10 mm", .inch = "3/8 in", .about = "pull: thickness of the plate of the test, likewise" },
    { "dc", &cw_job__flag_form, IN(cw_job_test, dc), .metric = "yes", .about = "high potential: dc was applied" },
    { "broke_down", &cw_job__flag_form, IN(cw_job_test, broke_down), .metric = "yes",
      .about = "it flashed over or tripped" },
};

static const cw_row heat_run_rows[] = {
    { "time", &cw_job__quantity_form, IN(cw_job_heat_reading, time_s), .kind = CW_TIME, .range = CW_NOT_NEGATIVE,
      .required = true, .ask = CW_MENTION, .metric = "0 min", .about = "since it was switched on, cold; then every few minutes" },
    { "resistance", &cw_job__quantity_form, IN_WITH_DOUBT(cw_job_heat_reading, resistance_ohm, doubt_ohm),
      .kind = CW_RESISTANCE, .range = CW_POSITIVE, .required = true, .ask = CW_MENTION, .metric = "85.0 ohm",
      .about = "of one coil: voltage over current while it is on" },
    { "ambient", &cw_job__quantity_form, IN(cw_job_heat_reading, ambient_c), .kind = CW_TEMPERATURE, .required = true,
      .ask = CW_MENTION, .metric = "22 °C", .inch = "72 °F", .about = "of the room then" },
    { "voltage", &cw_job__quantity_form, IN(cw_job_heat_reading, voltage_v), .kind = CW_VOLTAGE, .range = CW_POSITIVE,
      .metric = "96 V", .about = "across the coil, where it is not the supply's; given once it holds for all" },
};

/* ---- sections -------------------------------------------------------------------------------------------------- */

#define ROWS(section) section##_rows, COUNT_OF(section##_rows)
#define NO_LIST .count = 0, .item_size = 0

const cw_section cw_job__sections[] = {
    { "job", ROWS(job), 0, CW_NOWHERE, NO_LIST, .about = "What this is." },
    { "supply", ROWS(supply), offsetof(cw_job, supply), offsetof(cw_job, supply.given), NO_LIST,
      .check = cw_job__check_supply, .about = "What the coil is connected to." },
    { "circuit", ROWS(circuit), offsetof(cw_job, circuit), offsetof(cw_job, circuit.given), NO_LIST,
      .check = cw_job__check_circuit, .about = "The coils that share the supply." },
    { "window", ROWS(window), offsetof(cw_job, window), offsetof(cw_job, window_given), NO_LIST,
      .check = cw_job__check_window, .about = "The room that the wire itself may take, inside flanges and wrapping." },
    { "readings", ROWS(reading), offsetof(cw_job, readings), CW_NOWHERE, offsetof(cw_job, reading_count),
      sizeof(cw_reading), offsetof(cw_reading, at), .check = cw_job__check_reading,
      .about = "What was measured, as much as there is, in any order." },
    { "seen", ROWS(seen), offsetof(cw_job, seen), offsetof(cw_job, seen_given), NO_LIST,
      .about = "What the eye knows of the old winding." },
    { "wanted", ROWS(wanted), offsetof(cw_job, wanted), offsetof(cw_job, wanted.given), NO_LIST,
      .check = cw_job__check_wanted, .about = "What the rewound coil must be." },
    { "stock", ROWS(stock), offsetof(cw_job, stock), CW_NOWHERE, offsetof(cw_job, stock_count), sizeof(cw_spool),
      offsetof(cw_spool, at), .about = "The wire on the shelf." },
    { "former", ROWS(former), offsetof(cw_job, former), offsetof(cw_job, former.given), NO_LIST,
      .check = cw_job__check_former, .about = "What the wire is wound on." },
    { "insulation", ROWS(insulation), offsetof(cw_job, insulation), offsetof(cw_job, insulation.given), NO_LIST,
      .check = cw_job__check_insulation, .about = "What lies between and over the wire, and how hot it may get." },
    { "machine", ROWS(machine), offsetof(cw_job, machine), offsetof(cw_job, machine.given), NO_LIST,
      .check = cw_job__check_machine, .about = "What winds it." },
    { "magnet", ROWS(magnet), offsetof(cw_job, magnet), offsetof(cw_job, magnet_given),
      offsetof(cw_job, magnet_count), sizeof(cw_job_entry), offsetof(cw_job_entry, at), .open = true,
      .check = cw_job__check_magnet, .about = "The iron around the coil." },
    { "section", ROWS(section), offsetof(cw_job, section), CW_NOWHERE, offsetof(cw_job, section_count),
      sizeof(cw_job_region), offsetof(cw_job_region, at), .check = cw_job__check_region,
      .about = "The regions of a magnet of the shape section; later ones cover earlier ones." },
    { "potting", ROWS(potting), offsetof(cw_job, potting), offsetof(cw_job, potting.given), NO_LIST,
      .about = "What fills the gaps." },
    { "load", ROWS(load), offsetof(cw_job, load.what), offsetof(cw_job, load.given), NO_LIST,
      .check = cw_job__check_load, .about = "What the magnet has to hold." },
    { "acceptance", ROWS(acceptance), offsetof(cw_job, acceptance), offsetof(cw_job, acceptance.given), NO_LIST,
      .about = "By which rules the finished coil is proved." },
    { "proof", ROWS(proof), offsetof(cw_job, proof), CW_NOWHERE, offsetof(cw_job, proof_count), sizeof(cw_job_test),
      offsetof(cw_job_test, at), .about = "Acceptance tests, as taken on the finished coil." },
    { "heat_run", ROWS(heat_run), offsetof(cw_job, heat_run), CW_NOWHERE, offsetof(cw_job, heat_run_count),
      sizeof(cw_job_heat_reading), offsetof(cw_job_heat_reading, at),
      .about = "One heat run in its final place: `heat` learns from it how well this coil conducts and is cooled." },
};
const int cw_job__section_count = COUNT_OF(cw_job__sections);
