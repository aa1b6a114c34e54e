/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reasons and the answer, as sentences. */
#include "choose/choose_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct figure {
    char text[40];
} figure;

static figure written(const cw_choose__problem *problem, cw_kind kind, double value, int digits)
{
    figure f;

    cw_quantity_format(kind, value, problem->request->units, digits, f.text, sizeof f.text);
    return f;
}

/* Whole degrees, in the user's scale. */
static figure degrees(const cw_choose__problem *problem, double celsius)
{
    figure f;

    cw_quantity_format_in(CW_TEMPERATURE, celsius, problem->request->units == CW_INCH_UNITS ? "°F" : "°C", 0, f.text,
                          sizeof f.text);
    return f;
}

/* A small length, in hundredths of a millimetre or thousandths of an inch. */
static figure small_length(const cw_choose__problem *problem, double metres)
{
    figure f;

    if (problem->request->units == CW_INCH_UNITS)
        cw_quantity_format_in(CW_LENGTH, metres, "in", 3, f.text, sizeof f.text);
    else
        cw_quantity_format_in(CW_LENGTH, metres, "mm", metres < 1e-4 ? 2 : 1, f.text, sizeof f.text);
    return f;
}

static figure percent(double share)
{
    figure f;
    const double value = 100 * fabs(share);

    snprintf(f.text, sizeof f.text, value < 0.95 ? "%.1f %%" : "%.0f %%", fmax(value, 0.1));
    return f;
}

static void say(cw_choice_option *option, const char *format, ...) CW_PRINTF(2, 3);

static void say(cw_choice_option *option, const char *format, ...)
{
    va_list arguments;

    if (option->reason_count == CW_REASONS_MOST)
        return;
    va_start(arguments, format);
    vsnprintf(option->reasons[option->reason_count++], sizeof option->reasons[0], format, arguments);
    va_end(arguments);
}

static const char *name_of(const cw_wire *wire, char *buffer, size_t size)
{
    snprintf(buffer, size, "%s %s%s", wire->size.name, cw_build_trade_name(wire->size.system, wire->build),
             wire->material == CW_ALUMINIUM ? " aluminium" : "");
    return buffer;
}

/* The wire of an option, or both of them. */
static const char *wires_of(const cw_choice_option *option, char *buffer, size_t size)
{
    char lower[64], upper[64];

    if (!option->two_sizes)
        return name_of(&option->wire, buffer, size);
    snprintf(buffer, size, "%s and on it %s in series", name_of(&option->wire, lower, sizeof lower),
             name_of(&option->second_wire, upper, sizeof upper));
    return buffer;
}

static const char *strands_in_words(int in_hand)
{
    static const char *words[] = { "none", "one", "two", "three", "four" };

    return words[in_hand];
}

void cw_choose__wires_in_words(const cw_choice_option *option, char *buffer, size_t size)
{
    char name[160];

    snprintf(buffer, size, "%s%s%s", option->in_hand > 1 ? strands_in_words(option->in_hand) : "",
             option->in_hand > 1 ? " strands of " : "", wires_of(option, name, sizeof name));
}

/* What temperatures stand on. */
static const char *by_what(const cw_choose__problem *problem)
{
    return problem->heat.in_magnet ? "worked out in its magnet" : "an estimate, without the magnet";
}

/* ---- drawbacks, gravest first ------------------------------------------------------------------------------ */

static void say_wishes(const cw_choose__problem *problem, cw_choice_option *option)
{
    const double off = option->resistance_20c_ohm / problem->resistance - 1;
    const double strength = problem->at_least ? option->ampere_turns / problem->least_at : option->ampere_turns_ratio;

    if ((option->missed & CW_WISH_HANDLED) != 0)
        say(option, "%s bare is finer than the %s that can be handled here.",
            written(problem, CW_LENGTH, option->wire.size.diameter_m.nominal, 3).text,
            written(problem, CW_LENGTH, problem->request->finest_m, 3).text);
    if ((option->missed & CW_WISH_COOL) != 0)
        say(option, "Hot spot about %s, and only %s is allowed; %s%s.", degrees(problem, option->hot_spot_c).text,
            degrees(problem, option->limit_c).text, by_what(problem),
            problem->original_hot_c > option->limit_c ? ". The original was too hot as well" : "");
    if ((option->missed & CW_WISH_RESISTANCE) != 0)
        say(option, "%s at 20 °C, %s %s than the wanted %s%s.",
            written(problem, CW_RESISTANCE, option->resistance_20c_ohm, 4).text, percent(off).text,
            off < 0 ? "less" : "more", written(problem, CW_RESISTANCE, problem->resistance, 4).text,
            off < 0 ? ": no more turns surely fit" : "");
    if ((option->missed & CW_WISH_AMPERE_TURNS) != 0)
        say(option, "%s less ampere-turns than %s.", percent(1 - strength).text,
            problem->at_least ? "wished" : "the original");
    if ((option->missed & CW_WISH_FITS) != 0)
        say(option, "Fits in %.0f cases of 100 only.", 100 * option->fits_probability);
}

static void say_doubts(const cw_choose__problem *problem, cw_choice_option *option)
{
    const double in_tolerance = option->resistance_in_tolerance_probability;

    if ((option->missed & CW_WISH_COOL) == 0 && option->hot_spot_c > option->limit_c)
        say(option, "Hot spot about %s (%s), over the %s allowed, as the original's was.%s",
            degrees(problem, option->hot_spot_c).text, by_what(problem), degrees(problem, option->limit_c).text,
            problem->heat.in_magnet ? "" : " Iron around it makes it cooler: give its dimensions.");
    if ((option->missed & CW_WISH_RESISTANCE) == 0 && in_tolerance < 0.9)
        say(option, "Within the tolerance of the resistance in %.0f cases of 100: wire as bought varies. Measure the "
            "spool.", 100 * in_tolerance);
    if ((option->missed & CW_WISH_FITS) == 0 && option->fits_probability < 0.95 && !problem->ac)
        say(option, "Fits in %.0f cases of 100; as planned it has %s to spare.", 100 * option->fits_probability,
            option->spare_m > 0 ? small_length(problem, option->spare_m).text : "nothing");
}

/* The weakest part, layers, and the other coils of the circuit. */
static void say_surroundings(const cw_choose__problem *problem, cw_choice_option *option)
{
    const bool sheets = option->plan.insulation_every > 0 && option->plan.insulation_m > 0;
    const bool series = problem->request->circuit.connection == CW_SERIES;

    if (option->flux_density_t > CW_CHOOSE__MOST_FLUX_T)
        say(option, "The iron would run at %.2f T: it saturates, and the coil takes far too much current.",
            option->flux_density_t);
    if (problem->system_name != NULL && option->limit_c == problem->system_c && problem->system_c < problem->class_c)
        say(option, "The %s stands %s only, which is then all that the coil stands.", problem->system_name,
            degrees(problem, problem->system_c).text);
    if (fabs(option->share - 1) > 0.02)
        say(option, "Beside a coil as it was it takes %s %s of the %s than its share: rewind both alike.",
            percent(option->share - 1).text, option->share > 1 ? "more" : "less", series ? "voltage" : "current");
    if (!sheets && option->layer_voltage_limit_v == 0)
        say(option, "Cotton and silk want a sheet of paper between layers.");
    else if (!sheets && option->layer_voltage_v > option->layer_voltage_limit_v)
        say(option, "%s between %s: lay paper between, or divide the winding.",
            written(problem, CW_VOLTAGE, option->layer_voltage_v, 3).text,
            option->plan.lay == CW_RANDOM ? "turns that may touch" : "two layers");
}

static void say_supply(const cw_choose__problem *problem, cw_choice_option *option)
{
    const double more = option->power_w / problem->original_power_w - 1;
    const double ratio = option->ampere_turns_ratio;

    if (more > 0.02)
        say(option, "%s more heat than the original: %s.", percent(more).text,
            written(problem, CW_POWER, option->power_w, 3).text);
    if ((option->missed & CW_WISH_AMPERE_TURNS) == 0 && ratio < 0.985)
        say(option, "%s less ampere-turns than the original at its supply.", percent(1 - ratio).text);
    if (problem->ac && fabs((double)option->turns / problem->turns - 1) > 0.005)
        say(option, "%ld turns where the flux wants %.0f.", option->turns, problem->turns);
}

static void say_wire_trouble(const cw_choose__problem *problem, cw_choice_option *option)
{
    const figure wanted = written(problem, CW_LENGTH, option->wire_length_m, 3);
    const figure mass = written(problem, CW_MASS, option->wire_mass_kg, 3);
    const figure there = written(problem, CW_LENGTH, cw_choose__shelf_length(problem, &option->wire), 3);

    if (option->two_sizes)
        say(option, "Two sizes: %ld turns of the first, a joint, and %ld turns of the second over it.",
            option->turns - option->second_turns, option->second_turns);
    if (option->two_sizes && !option->from_stock)
        say(option, option->on_shelf ? "The shelf has not enough of both." : "Not both are on the shelf.");
    else if (!option->on_shelf)
        say(option, "To be bought: %s, %s.", wanted.text, mass.text);
    else if (!option->from_stock)
        say(option, "The shelf has %s of the %s it takes.", there.text, wanted.text);
    else if (option->joints > 0)
        say(option, "No spool on the shelf is long enough alone: %d joint%s.", option->joints,
            option->joints > 1 ? "s" : "");
    if (option->wire.material == CW_ALUMINIUM)
        say(option, "Aluminium: its ends must be crimped or welded, not soldered.");
    if (!option->on_shelf && option->wire.size.intermediate)
        say(option, "%s: not every dealer has it.",
            option->wire.size.system == CW_METRIC ? "Not of the preferred series" : "A half size");
    if (option->in_hand > 1)
        say(option, "%s in hand, from as many spools under the same pull.",
            option->in_hand == 2 ? "Two" : option->in_hand == 3 ? "Three" : "Four");
    if (option->wire.overall_trust == CW_FROM_MEMORY)
        say(option, "Its overall diameter is known from memory only: mike the wire before winding.");
}

/* ---- merits ------------------------------------------------------------------------------------------------ */

static void say_merits(const cw_choose__problem *problem, cw_choice_option *option)
{
    const cw_original *original = &problem->request->original;
    const double off = option->resistance_20c_ohm / problem->resistance - 1;
    const double ratio = option->ampere_turns_ratio, less = 1 - option->power_w / problem->original_power_w;
    char name[64], was[64];

    if (option->from_stock)
        say(option, "On the shelf, enough of it: %s, %s.", written(problem, CW_LENGTH, option->wire_length_m, 3).text,
            written(problem, CW_MASS, option->wire_mass_kg, 3).text);
    if (original->wire_known && original->in_hand == option->in_hand && !option->two_sizes &&
        strcmp(name_of(&option->wire, name, sizeof name), name_of(&original->wire, was, sizeof was)) == 0)
        say(option, "The wire that was in it.");
    if ((option->missed & CW_WISH_RESISTANCE) == 0 && !isnan(problem->tolerance))
        say(option, "%s at 20 °C, within %s of what is wanted.",
            written(problem, CW_RESISTANCE, option->resistance_20c_ohm, 4).text, percent(off).text);
    if (ratio >= 0.985)
        say(option, ratio > 1.015 ? "%s more ampere-turns than the original."
                                  : "The original's ampere-turns, within %s.",
            percent(ratio - 1).text);
    if (less > 0.02)
        say(option, "Cooler: %s instead of %s.", written(problem, CW_POWER, option->power_w, 3).text,
            written(problem, CW_POWER, problem->original_power_w, 3).text);
    if (option->fits_probability >= 0.95)
        say(option, "%s of the depth to spare.", small_length(problem, fmax(0, option->spare_m)).text);
}

void cw_choose__reasons(const cw_choose__problem *problem, cw_choice_option *option)
{
    say_wishes(problem, option);
    say_doubts(problem, option);
    say_surroundings(problem, option);
    say_supply(problem, option);
    say_wire_trouble(problem, option);
    option->drawbacks = option->reason_count;
    say_merits(problem, option);
}

/* ---- the answer -------------------------------------------------------------------------------------------- */

static void describe(const cw_choose__problem *problem, const cw_choice_option *option, char *buffer, size_t size)
{
    char name[160];

    snprintf(buffer, size, "%ld turns of %s%s%s, %s at 20 °C", option->turns, wires_of(option, name, sizeof name),
             option->in_hand > 1 ? ", in hand " : "", option->in_hand > 1 ? strands_in_words(option->in_hand) : "",
             written(problem, CW_RESISTANCE, option->resistance_20c_ohm, 4).text);
}

static const cw_choice_option *first_missing_only(const cw_choice *choice, unsigned wish)
{
    for (size_t i = 0; i < choice->option_count; i++)
        if (choice->options[i].missed == wish)
            return &choice->options[i];
    return NULL;
}

/* What it would take, and what there is instead, as the parts of one list: "A; or B; or C." */
typedef struct ways {
    cw_text *text;
    int count;
} ways;

static void begin_way(ways *w, const cw_wire *wire, int in_hand, long turns)
{
    char name[64];

    cw_text_print(w->text, "%s%s%s%s, %ld turns, ", w->count++ == 0 ? " " : "; or ", name_of(wire, name, sizeof name),
                  in_hand > 1 ? ", in hand " : "", in_hand > 1 ? strands_in_words(in_hand) : "", turns);
}

static void say_room(const cw_choose__problem *problem, const cw_choice *choice, ways *w)
{
    const cw_choice_room *room = &choice->room;

    if (!room->known)
        return;
    begin_way(w, &room->wire, room->in_hand, room->turns);
    cw_text_print(w->text, "needs %s more depth", small_length(problem, room->depth_m).text);
}

static void say_strength(const cw_choose__problem *problem, const cw_choice *choice, ways *w)
{
    const cw_choice_option *option = first_missing_only(choice, CW_WISH_AMPERE_TURNS);

    if (option == NULL)
        return;
    begin_way(w, &option->wire, option->in_hand, option->turns);
    if (problem->at_least)
        cw_text_print(w->text, "fits with %.0f of %.0f ampere-turns, %s less", option->ampere_turns, problem->least_at,
                      percent(1 - option->ampere_turns / problem->least_at).text);
    else
        cw_text_print(w->text, "fits with %s less ampere-turns", percent(1 - option->ampere_turns_ratio).text);
}

static void say_resistance(const cw_choose__problem *problem, const cw_choice *choice, ways *w)
{
    const cw_choice_option *option = first_missing_only(choice, CW_WISH_RESISTANCE);
    const double off = option != NULL ? option->resistance_20c_ohm / problem->resistance - 1 : 0;

    if (option == NULL)
        return;
    begin_way(w, &option->wire, option->in_hand, option->turns);
    cw_text_print(w->text, "fits with %s, %s %s than wanted",
                  written(problem, CW_RESISTANCE, option->resistance_20c_ohm, 4).text, percent(off).text,
                  off < 0 ? "less" : "more");
    if (option->hot_spot_c > option->limit_c)
        cw_text_print(w->text, ", hot spot about %s", degrees(problem, option->hot_spot_c).text);
}

/* Of the wires that are too fine to be handled, and miss nothing else, the thickest. */
static void say_handling(const cw_choose__problem *problem, const cw_choice *choice, ways *w)
{
    const cw_choice_option *thickest = NULL;

    for (size_t i = 0; i < choice->option_count; i++) {
        const cw_choice_option *o = &choice->options[i];

        if (o->missed == CW_WISH_HANDLED &&
            (thickest == NULL || o->wire.size.diameter_m.nominal > thickest->wire.size.diameter_m.nominal))
            thickest = o;
    }
    if (thickest == NULL)
        return;
    begin_way(w, &thickest->wire, thickest->in_hand, thickest->turns);
    cw_text_print(w->text, "needs wire of %s to be handled, where %s is the finest",
                  written(problem, CW_LENGTH, thickest->wire.size.diameter_m.nominal, 3).text,
                  written(problem, CW_LENGTH, problem->request->finest_m, 3).text);
}

static void say_ways(const cw_choose__problem *problem, const cw_choice *choice, cw_text *text)
{
    ways w = { text, 0 };

    say_handling(problem, choice, &w);
    say_room(problem, choice, &w);
    say_strength(problem, choice, &w);
    say_resistance(problem, choice, &w);
    if (w.count > 0)
        cw_text_add(text, ".");
}

/* The resistance that would keep the class, and what it costs: at one wire's section power and pull go hand in hand. */
static void say_cooler(const cw_choose__problem *problem, const cw_wire *wire, double limit_c, cw_text *text)
{
    const cw_choose__heat *heat = &problem->heat;
    const cw_conductor *conductor = cw_wire_conductor(problem->catalogue, wire->material);
    const double rise = (limit_c - heat->ambient_c) / heat->hot_share;
    const double ohm = heat->mean_k_per_w * heat->voltage_v * heat->voltage_v /
                       (rise * cw_wire_temperature_factor(conductor, heat->ambient_c + rise));

    if (rise > 0 && ohm > problem->resistance)
        cw_text_print(text, " From %s on it keeps that: more turns, as far as there is room.",
                      written(problem, CW_RESISTANCE, ohm, 3).text);
}

/* At a wanted resistance every wire gives the same heat. */
static void say_heat(const cw_choose__problem *problem, const cw_choice *choice, cw_text *text)
{
    static const double classes[] = { 105, 120, 130, 155, 180, 200, 220, 250 }; /* IEC 60085 [heat: §1.1] */
    const double hot = cw_choose__hot_spot(problem, &choice->options[0].wire, problem->resistance);
    const double limit = fmin(problem->class_c, problem->system_c);

    if (!(hot > cw_choose__cool_c(problem, limit)))
        return;
    cw_text_print(text, " With %s the hot spot is at about %s (%s), where %s is allowed.",
                  written(problem, CW_RESISTANCE, problem->resistance, 4).text, degrees(problem, hot).text,
                  by_what(problem), degrees(problem, limit).text);
    if (problem->original_hot_c > limit)
        cw_text_add(text, " The original was as hot: that may be what it died of.");
    say_cooler(problem, &choice->options[0].wire, limit, text);
    for (size_t i = 0; i < sizeof classes / sizeof classes[0]; i++)
        if (classes[i] >= hot) {
            cw_text_print(text, " Class %.0f throughout would do.", classes[i]);
            break;
        }
}

static void say_no_room(const cw_choose__problem *problem, cw_text *text)
{
    const cw_lay_plan *plan = &problem->plan;
    const double length = cw_winding_clear_length(plan), depth = plan->window.depth_m - plan->wrap_m;

    cw_text_print(text, "No wire that %s leaves room for one turn in this window.",
                  problem->request->set.size[0] != '\0' ? "was asked for" : "can be had");
    if (length < plan->window.length_m || depth < plan->window.depth_m)
        cw_text_print(text, " Of its length margins and start lead leave %s, of its depth the wrap leaves %s.",
                      small_length(problem, fmax(0, length)).text, small_length(problem, fmax(0, depth)).text);
    cw_text_add(text, " Is one of the sizes mistyped?");
}

static void say_no(const cw_choose__problem *problem, const cw_choice *choice, cw_text *text)
{
    size_t before;

    if (choice->wires_tried == 0 && problem->aim == CW_CHOOSE__BY_ROOM && isnan(problem->target_at)) {
        cw_text_add(text, problem->ac
                              ? "A coil on ac is wound by its turns, and nothing tells them: count them, or give the "
                                "turns of a sibling."
                              : "Nothing says what the winding is for: give the resistance of the old coil or the one "
                                "wanted, or at least so many ampere-turns and the supply.");
        return;
    }
    if (choice->option_count == 0) {
        say_no_room(problem, text);
        return;
    }
    cw_text_add(text, "Nothing meets every wish.");
    before = text->length;
    say_heat(problem, choice, text);
    say_ways(problem, choice, text);
    if (text->length == before) { /* no option misses one wish alone */
        char what[256];

        describe(problem, &choice->options[0], what, sizeof what);
        cw_text_print(text, " Nearest is %s. %s", what, choice->options[0].reasons[0]);
    }
}

cw_status cw_choose__summary(const cw_choose__problem *problem, cw_choice *choice, cw_error *error)
{
    cw_text text = { 0 };
    cw_status status = CW_OK;
    char what[256];

    if (choice->own && choice->option_count > 0) {
        describe(problem, &choice->options[0], what, sizeof what);
        cw_text_print(&text, choice->chosen != NULL ? "Your own choice: %s. %s"
                                                    : "Your own choice cannot stand: %s. %s",
                      what, choice->options[0].reason_count > 0 ? choice->options[0].reasons[0] : "");
    } else if (choice->chosen != NULL) {
        describe(problem, choice->chosen, what, sizeof what);
        cw_text_print(&text, "Wind %s.", what);
        if (choice->chosen->reason_count > 0)
            cw_text_print(&text, " %s", choice->chosen->reasons[0]);
    } else {
        say_no(problem, choice, &text);
    }
    if (problem->request->wanted.given && problem->request->wanted.ampere_turns_rule != CW_SAME &&
        !problem->heat.known)
        cw_text_add(&text, " The wished ampere-turns were not judged, since the supply's voltage is not known.");
    if (status == CW_OK && text.failed)
        status = cw_no_memory(error);
    if (status == CW_OK)
        snprintf(choice->summary, sizeof choice->summary, "%s", text.data);
    cw_text_clear(&text);
    return status;
}
