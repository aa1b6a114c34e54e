/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The request made ready, and the way through: check, prepare, search, say. */
#include "choose/choose_internal.h"

#include <math.h>
#include <string.h>

/* +-5 % for a repeat wind of the same data [tests_and_safety: §8.1, common practice] */
static const double usual_tolerance = 0.05;

/* Peak flux density of iron on ac that a coil is wound for where its turns are not known. [the same as for readings,
 * evidence] */
static const double usual_flux_t = 1.2;

/* Hot spot where no class is wished: class F. Common enamels are 130 to 200 [heat: §1.5]. */
static const double usual_class_c = 155;

void cw_original_from(const cw_identification *identification, cw_original *original)
{
    memset(original, 0, sizeof *original);
    original->turns = identification->turns;
    original->resistance_20c_ohm = identification->resistance_20c_ohm;
    original->supply_voltage_v = NAN;
    if (identification->candidate_count == 0)
        return;
    original->wire_known = true;
    original->wire = identification->candidates[0].wire;
    original->in_hand = identification->candidates[0].in_hand;
}

/* ---- checks ------------------------------------------------------------------------------------------------ */

static cw_status check_supply(const cw_choice_request *request, cw_error *error)
{
    const cw_supply *supply = &request->supply;

    if (request->circuit.given && (request->circuit.coils < 1 || request->circuit.coils > 1000))
        return cw_refuse(error, NULL, "1 to 1000", "A circuit of %d coils cannot be.", request->circuit.coils);
    if (!supply->given)
        return CW_OK;
    if (!isnan(supply->voltage_v) && !(supply->voltage_v > 0 && supply->voltage_v < 1e5))
        return cw_refuse(error, NULL, "a voltage above zero, as in 96 V", "The supply's voltage is %g V.",
                         supply->voltage_v);
    if (supply->duty_share > 1 || supply->duty_share < 0)
        return cw_refuse(error, NULL, "a share from 0 to 100 %", "The supply's duty is %g %%.",
                         100 * supply->duty_share);
    if (supply->ambient_c < -90 || supply->ambient_c > 200)
        return cw_refuse(error, NULL, "-90 to 200 °C", "An ambient of %g °C cannot be chosen for.",
                         supply->ambient_c);
    return CW_OK;
}

static cw_status check_wishes(const cw_choice_request *request, cw_error *error)
{
    const cw_wanted *wanted = &request->wanted;

    if (!wanted->given)
        return CW_OK;
    if (wanted->resistance_rule == CW_EXACTLY && !(wanted->resistance_ohm > 0 && wanted->resistance_ohm < 1e9))
        return cw_refuse(error, NULL, "a resistance above zero, as in 86 ohm ± 5 %",
                         "A wanted resistance of %g ohm cannot be wound.", wanted->resistance_ohm);
    if (wanted->ampere_turns_rule != CW_SAME && !(wanted->ampere_turns > 0 && wanted->ampere_turns < 1e9))
        return cw_refuse(error, NULL, "a number above zero, as in at least 900",
                         "Ampere-turns of %g cannot be wished for.", wanted->ampere_turns);
    if (wanted->thermal_class_c > 0 && !(wanted->thermal_class_c >= 60 && wanted->thermal_class_c <= 400))
        return cw_refuse(error, NULL, "90, 105, 120, 130, 155, 180, 200, 220 or 250",
                         "A thermal class of %g is none.", wanted->thermal_class_c);
    return CW_OK;
}

static cw_status check_set(const cw_choice_request *request, cw_error *error)
{
    const cw_choice_set *set = &request->set;

    if (set->turns < 0 || set->turns > 10000000)
        return cw_refuse(error, NULL, "1 to 10 000 000 turns", "%ld turns cannot be wound.", set->turns);
    if (set->in_hand < 0 || set->in_hand > 4)
        return cw_refuse(error, NULL, "1 to 4 strands", "%d strands in hand cannot be laid side by side here.",
                         set->in_hand);
    if (set->layers < 0 || set->layers > 100000)
        return cw_refuse(error, NULL, "1 to 100 000 layers", "%d layers cannot be wound.", set->layers);
    if (request->sections > 1 && set->turns % request->sections != 0)
        return cw_refuse(error, NULL, "turns that all sections share alike",
                         "%ld turns do not go into %d equal sections.", set->turns, request->sections);
    for (size_t i = 0; i < request->system_count; i++)
        if (request->system[i].class_c < 0 || request->system[i].class_c > 1000)
            return cw_refuse(error, NULL, "90, 105, 120, 130, 155, 180, 200, 220 or 250",
                             "The class of the %s is %g.", request->system[i].name, request->system[i].class_c);
    return CW_OK;
}

static cw_status check_sections(const cw_choice_request *request, cw_error *error)
{
    if (request->sections < 0 || request->sections > CW_COIL_PARTS_MOST)
        return cw_refuse(error, NULL, "1 to 8 sections", "A former of %d sections cannot be wound for.",
                         request->sections);
    if (request->sections > 1 && !((request->sections - 1) * request->partition_m < request->window.length_m))
        return cw_refuse(error, NULL, "thinner partitions, or fewer", "%d partitions of %.4g mm leave no room in a "
                         "window of %.4g mm.", request->sections - 1, 1e3 * request->partition_m,
                         1e3 * request->window.length_m);
    return CW_OK;
}

static cw_status check_request(const cw_choice_request *request, cw_error *error)
{
    cw_status status = cw_window_check(&request->window, NULL, error);

    if (status == CW_OK && (request->most_in_hand < 0 || request->most_in_hand > 4))
        status = cw_refuse(error, NULL, "1 to 4 strands", "%d strands in hand cannot be laid side by side here.",
                           request->most_in_hand);
    if (status == CW_OK)
        status = check_supply(request, error);
    if (status == CW_OK)
        status = check_wishes(request, error);
    if (status == CW_OK)
        status = check_set(request, error);
    if (status == CW_OK)
        status = check_sections(request, error);
    return status;
}

/* ---- preparing --------------------------------------------------------------------------------------------- */

static double coil_voltage(const cw_choice_request *request, double supply_v)
{
    const cw_circuit *circuit = &request->circuit;

    if (circuit->given && circuit->connection == CW_SERIES && circuit->coils > 1)
        return supply_v / circuit->coils;
    return supply_v;
}

static void prepare_plan(cw_choose__problem *problem)
{
    const cw_choice_request *request = problem->request;

    problem->plan = request->factors;
    problem->plan.window = request->window;
    problem->plan.in_hand = 0;
    problem->plan.window.length_m =
        (request->window.length_m - (problem->sections - 1) * request->partition_m) / problem->sections;
    problem->plan.tap_count = 0; /* where taps go follows from the turns */
    if (request->wanted.given && request->wanted.lay_given)
        problem->plan.lay = request->wanted.lay;
    cw_winding_defaults(&problem->plan);
}

/* Turns of the original from its resistance and wire, where they were not found: it lay in this window. */
static cw_status turns_by_laying(const cw_choose__problem *problem, double *turns, cw_error *error)
{
    const cw_original *original = &problem->request->original;
    const double ohm = original->resistance_20c_ohm.p50 / problem->sections;
    cw_choose__ladder ladder = { NULL, 0 };
    cw_lay_plan plan = problem->plan;
    cw_status status;

    if (!original->wire_known || original->in_hand < 1 || !(ohm > 0))
        return CW_OK;
    plan.wire = original->wire;
    plan.in_hand = original->in_hand;
    status = cw_choose__ladder_make(&plan, 2, &ladder, error);
    if (status == CW_BAD_INPUT) /* that wire cannot have been in this window: then the turns stay unknown */
        return CW_OK;
    if (status == CW_OK) {
        const double found = cw_choose__ladder_turns(&ladder, ohm * original->in_hand /
                                                                  original->wire.resistance_ohm_per_m.nominal);

        *turns = isinf(found) ? NAN : found;
    }
    cw_choose__ladder_clear(&ladder);
    return status;
}

/* What the original did at its own supply, by the same estimates. */
static void prepare_original(cw_choose__problem *problem, double ohm)
{
    const cw_original *original = &problem->request->original;
    const cw_material material = original->wire_known ? original->wire.material : CW_COPPER;
    const cw_conductor *conductor = cw_wire_conductor(problem->catalogue, material);
    const cw_choose__heat *heat = &problem->heat;
    const double volts = problem->voltage_v / problem->per_volt_factor;
    double rise, factor;

    if (problem->ac) {
        problem->original_at = isnan(problem->original_turns) ? NAN : 1;
        return;
    }
    if (!(ohm > 0))
        return;
    if (!heat->known) {
        problem->original_at = problem->original_turns / ohm / problem->per_volt_factor;
        return;
    }
    rise = cw_choose__mean_rise(heat, conductor, ohm, volts);
    factor = cw_wire_temperature_factor(conductor, heat->ambient_c + rise);
    problem->original_at = volts * problem->original_turns / (ohm * factor);
    problem->original_power_w = volts * volts / (ohm * factor);
    problem->original_hot_c = heat->ambient_c + heat->hot_share * rise;
}

/* "Same" at another voltage keeps the watts and the ampere-turns: turns follow the voltage, resistance its square. */
static void prepare_resistance(cw_choose__problem *problem, double original_ohm)
{
    const cw_wanted *wanted = &problem->request->wanted;
    const double step = problem->per_volt_factor;

    if (wanted->given && wanted->resistance_rule == CW_EXACTLY) {
        problem->resistance = wanted->resistance_ohm / problem->sections;
        problem->tolerance = wanted->resistance_doubt_ohm > 0 ? wanted->resistance_doubt_ohm / wanted->resistance_ohm
                                                              : usual_tolerance;
    } else if (original_ohm > 0) {
        problem->resistance = original_ohm * step * step;
        problem->tolerance = usual_tolerance;
    }
    if (wanted->given && wanted->resistance_tolerance > 0)
        problem->tolerance = wanted->resistance_tolerance;
    if (isnan(problem->resistance))
        problem->tolerance = NAN;
    if (problem->ac && !(wanted->given && wanted->resistance_rule == CW_EXACTLY))
        problem->tolerance = NAN; /* near the original's if it may be; but its reactance sets the current */
}

static void prepare_strength(cw_choose__problem *problem)
{
    const cw_wanted *wanted = &problem->request->wanted;

    problem->target_at = problem->original_at;
    problem->least_at = CW_CHOOSE__LEAST_SHARE * problem->original_at;
    if (wanted->given && wanted->ampere_turns_rule != CW_SAME && !problem->ac && problem->heat.known) {
        problem->target_at = problem->least_at = wanted->ampere_turns / problem->sections;
        problem->at_least = true;
    }
}

/* V = 4.44 f N B A: the turns that a flux wants. */
static double turns_by_flux(const cw_choose__problem *problem)
{
    const cw_choice_request *request = problem->request;

    return problem->voltage_v /
           (CW_CHOOSE__SINE * request->supply.frequency_hz * usual_flux_t * request->core_section_m2);
}

static void prepare_aim(cw_choose__problem *problem)
{
    const cw_choice_request *request = problem->request;
    const double step = problem->per_volt_factor;

    problem->aim = CW_CHOOSE__BY_ROOM;
    if (problem->ac) {
        problem->turns = problem->original_turns * step;
        if (isnan(problem->turns) && request->core_section_m2 > 0 && request->supply.frequency_hz > 0) {
            problem->turns = turns_by_flux(problem);
            problem->target_at = 1; /* of those turns */
            problem->least_at = CW_CHOOSE__LEAST_SHARE;
        }
        if (!isnan(problem->turns))
            problem->aim = CW_CHOOSE__BY_TURNS;
    } else if (!isnan(problem->resistance)) {
        problem->aim = CW_CHOOSE__BY_RESISTANCE;
    }
}

/* A coil stands what its weakest part stands [heat: §1.5, common practice]. */
static void prepare_system(cw_choose__problem *problem)
{
    const cw_choice_request *request = problem->request;

    problem->system_c = INFINITY;
    for (size_t i = 0; i < request->system_count; i++)
        if (request->system[i].class_c > 0 && request->system[i].class_c < problem->system_c) {
            problem->system_c = request->system[i].class_c;
            problem->system_name = request->system[i].name;
        }
}

cw_status cw_choose__prepare(const cw_choice_request *request, const cw_wire_catalogue *catalogue,
                             cw_choose__problem *problem, cw_error *error)
{
    const cw_original *original = &request->original;
    const double given = request->supply.given ? request->supply.voltage_v : NAN;
    double ohm = original->resistance_20c_ohm.p50;
    cw_status status = CW_OK;

    *problem = (cw_choose__problem){
        .request = request, .catalogue = catalogue, .resistance = NAN, .tolerance = NAN, .turns = NAN,
        .original_hot_c = NAN, .original_power_w = NAN, .original_at = NAN, .target_at = NAN, .least_at = NAN,
    };
    problem->sections = request->sections > 1 ? request->sections : 1;
    problem->ac = request->supply.given && request->supply.kind == CW_AC;
    problem->voltage_v = coil_voltage(request, given) / problem->sections;
    problem->per_volt_factor = original->supply_voltage_v > 0 && given > 0 ? given / original->supply_voltage_v : 1;
    prepare_plan(problem);
    cw_choose__heat_make(&request->window, &request->supply, &request->cooling, problem->voltage_v, &problem->heat);
    problem->heat.mean_k_per_w *= problem->sections; /* each has its share of the watts */
    problem->class_c = request->wanted.given && request->wanted.thermal_class_c > 0 ? request->wanted.thermal_class_c
                                                                                    : usual_class_c;
    prepare_system(problem);
    problem->home = original->wire_known                ? original->wire.size.system
                    : request->units == CW_INCH_UNITS ? CW_AWG
                                                        : CW_METRIC;
    problem->original_turns = original->turns.p50 > 0 ? original->turns.p50 / problem->sections : NAN;
    ohm = ohm > 0 ? ohm / problem->sections : NAN;
    if (isnan(problem->original_turns))
        status = turns_by_laying(problem, &problem->original_turns, error);
    prepare_original(problem, ohm);
    prepare_resistance(problem, ohm);
    prepare_strength(problem);
    prepare_aim(problem);
    return status;
}

void cw_choose__whole(const cw_choose__problem *section, cw_choose__problem *whole)
{
    const int count = section->sections;

    *whole = *section;
    whole->sections = 1;
    whole->resistance *= count;
    whole->turns *= count;
    whole->voltage_v *= count;
    whole->original_turns *= count;
    whole->original_power_w *= count;
    if (!section->ac) { /* there they are relative to the wanted turns */
        whole->original_at *= count;
        whole->target_at *= count;
        whole->least_at *= count;
    }
    whole->heat.voltage_v *= count;
    whole->heat.mean_k_per_w /= count;
}

/* ---- the way through --------------------------------------------------------------------------------------- */

/* Something must say what the winding is for. */
static bool has_aim(const cw_choose__problem *problem)
{
    return problem->aim != CW_CHOOSE__BY_ROOM || !isnan(problem->target_at) || cw_choose__turns_set(problem);
}

static bool is_own(const cw_choice_set *set)
{
    return set->turns > 0 || set->layers > 0 || set->in_hand > 0 || set->size[0] != '\0' || set->builds != 0 ||
           set->materials != 0 || set->option != NULL;
}

/* What the user insists on may miss a wish, but not burn or stay outside its window. */
static bool may_stand(const cw_choice *choice)
{
    const unsigned never = CW_WISH_FITS | CW_WISH_COOL;

    return choice->option_count > 0 && (choice->options[0].missed & (choice->own ? never : ~0u)) == 0;
}

static void fill_head(const cw_choose__problem *problem, cw_choice *choice)
{
    choice->units = problem->request->units;
    choice->own = is_own(&problem->request->set);
    choice->in_magnet = problem->heat.in_magnet;
    choice->wanted_resistance_20c_ohm = problem->resistance;
    choice->tolerance = problem->tolerance;
    choice->wanted_turns = problem->turns;
    choice->coil_voltage_v = problem->voltage_v > 0 ? problem->voltage_v : NAN;
    choice->original_coil_voltage_v =
        problem->per_volt_factor != 1 ? problem->voltage_v / problem->per_volt_factor : NAN;
    choice->original_resistance_20c_ohm = problem->request->original.resistance_20c_ohm.p50;
    choice->original_turns = problem->original_turns;
    choice->least_ampere_turns = problem->heat.known ? problem->least_at : NAN;
    choice->original_ampere_turns = problem->heat.known ? problem->original_at : NAN;
    choice->original_power_w = problem->original_power_w;
    choice->original_hot_spot_c = problem->original_hot_c;
}

cw_status cw_choose(const cw_choice_request *request, const cw_wire_catalogue *catalogue, cw_choice **choice,
                    cw_error *error)
{
    cw_choose__problem problem, whole;
    cw_choice *made;
    cw_status status;

    *choice = NULL;
    status = check_request(request, error);
    if (status == CW_OK)
        status = cw_choose__prepare(request, catalogue, &problem, error);
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    cw_choose__whole(&problem, &whole);
    fill_head(&whole, made);
    if (has_aim(&problem))
        status = cw_choose__search(&problem, made, error);
    cw_choose__mark_pareto(made);
    if (status == CW_OK && request->set.option != NULL)
        status = cw_choose__pick(request->set.option, made, error);
    if (status == CW_OK && may_stand(made))
        made->chosen = &made->options[0];
    if (status == CW_OK)
        status = cw_choose__summary(&whole, made, error);
    if (status != CW_OK) {
        cw_choice_destroy(&made);
        return status;
    }
    *choice = made;
    return CW_OK;
}

void cw_choice_destroy(cw_choice **choice)
{
    if (*choice != NULL)
        cw_free((*choice)->options);
    cw_free(*choice);
    *choice = NULL;
}
