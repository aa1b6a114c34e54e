/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How likely a winding fits, and how likely its resistance is right, without drawing lots.
 *
 * What is not known beforehand is taken as normal and independent: overall diameter (the wire's band holds 95 %), the
 * window's sizes (their doubts hold 95 %), pitch, rise, bulge. Given the overall diameter, the number of turns in a
 * layer depends on pitch and length only, and the depth of m layers on rise, bulge and depth only: so that
 *
 *     P(fits) = E_D [ sum over m of P(m layers | D) P(m layers are no deeper than the window | D) ]
 *
 * with both factors exact, and the mean over D by the trapezoid rule, which is very good for what a bell multiplies. A
 * winding is a staircase of whole turns and layers: a single bell for its depth would be wrong by several per cent. */
#include "choose/choose_internal.h"

#include <math.h>

#define NODES 25            /* of the mean over D, from -4 to 4 standard deviations */
#define PER_SD (1 / 3.92)   /* standard deviations in the width of a band that holds 95 % */

static const double pi = 3.14159265358979323846;

/* Doubts with their defaults in, and the window's and wire's as standard deviations in metres. */
typedef struct spread {
    double pitch, rise, packing, bulge, resistivity;
    double inner_m, length_m, depth_m;
    double bare_m, overall_m, ohm_per_m;
    double clear_m;     /* no doubt but handy: length left to the wire */
    double most_bulge_m; /* no flat goes further; 0 without flats */
} spread;

static double doubt_or(double value, double usual)
{
    return isnan(value) ? 0 : value > 0 ? value : usual;
}

/* Half-width of 95 % that a rule or caliper leaves where none is stated; the same as for readings (evidence). */
static double window_sd(double doubt_m, double least_m, double share, double size_m)
{
    return (doubt_m > 0 ? doubt_m : least_m + share * size_m) / 1.96;
}

static spread make_spread(const cw_lay_plan *plan, const cw_choice_doubts *doubts)
{
    static const cw_choice_doubts none = { 0, 0, 0, 0, 0, 0 };
    const cw_window *window = &plan->window;
    const cw_wire *wire = &plan->wire;

    double band;

    if (doubts == NULL)
        doubts = &none;
    band = PER_SD * doubt_or(doubts->wire, 1);
    return (spread){
        .pitch = doubt_or(doubts->pitch, 0.01),       /* 1.02 to 1.05 [winding: §1, common practice] */
        .rise = doubt_or(doubts->rise, 0.03),         /* 0.9 to 1.0 [winding: §2.1, common practice] */
        .packing = doubt_or(doubts->packing, 0.04),   /* 5 to 10 % coil to coil [winding: §2.3, common practice] */
        .bulge = doubt_or(doubts->bulge, 0.025),      /* 0.1 to 0.2 [winding: §5, common practice] */
        .resistivity = doubt_or(doubts->resistivity, 0.006), /* purity, and stretch of up to 1 %, common practice */
        .inner_m = window_sd(window->inner_doubt_m, 2e-4, 0.005, window->inner_m[0]),
        .length_m = window_sd(window->length_doubt_m, 3e-4, 0.005, window->length_m),
        .depth_m = window_sd(window->depth_doubt_m, 3e-4, 0.02, window->depth_m),
        .bare_m = (wire->size.diameter_m.max - wire->size.diameter_m.min) * band,
        .overall_m = (wire->overall_diameter_m.max - wire->overall_diameter_m.min) * band,
        .ohm_per_m = (wire->resistance_ohm_per_m.max - wire->resistance_ohm_per_m.min) * band,
        .clear_m = cw_winding_clear_length(plan),
        .most_bulge_m = cw_window_bulge(window, 10, 1), /* a height at which every flat has reached its cap */
    };
}

static double square(double x)
{
    return x * x;
}

static double normal_cdf(double z)
{
    return 0.5 * erfc(-z * 0.70710678118654752);
}

/* P(mean + sd z >= 0) */
static double chance(double mean, double sd)
{
    if (sd > 0)
        return normal_cdf(mean / sd);
    return mean >= 0 ? 1 : 0;
}

/* What the flats add to a height, its spread and its growth with the height: b h, b normal, but never more than a cap.
 * Mean and variance of a normal number cut off above; it is then taken as normal, being a small part of the depth. */
static void find_bulge(const cw_lay_plan *plan, const spread *s, double height, double *mean, double *sd,
                       double *by_height)
{
    const double middle = plan->bulge * height, wide = s->bulge * height;
    double z, density, below, short_of;

    *sd = 0;
    *mean = fmin(middle, s->most_bulge_m);
    *by_height = middle < s->most_bulge_m ? plan->bulge : 0;
    if (!(s->most_bulge_m > 0) || !(wide > 0))
        return;
    z = (s->most_bulge_m - middle) / wide;
    density = exp(-0.5 * z * z) / sqrt(2 * pi);
    below = normal_cdf(z);
    *by_height = plan->bulge * below;
    short_of = wide * (z * below + density); /* mean of what is left under the cap */
    *mean = s->most_bulge_m - short_of;
    *sd = sqrt(fmax(0, wide * wide * ((z * z + 1) * below + z * density) - short_of * short_of));
}

/* m layers of wire of that diameter are no deeper than the window. */
static double depth_chance(const cw_lay_plan *plan, const spread *s, double overall, long m, double rise,
                           double rise_sd)
{
    const bool sheets = plan->insulation_every > 0 && plan->insulation_m > 0;
    const double flat = sheets ? (double)((m - 1) / plan->insulation_every) : 0; /* layers on a sheet */
    const double grooves = (double)(m - 1) - flat;
    const double height = plan->base_m + overall * (1 + flat) + grooves * rise + flat * plan->insulation_m;
    double bulge, of_bulge, of_rise, by_height;

    find_bulge(plan, s, height, &bulge, &of_bulge, &by_height);
    of_rise = (1 + by_height) * grooves * overall * rise_sd;
    return chance(plan->window.depth_m - plan->wrap_m - height - bulge,
                  sqrt(s->depth_m * s->depth_m + of_rise * of_rise + of_bulge * of_bulge));
}

/* ---- level ------------------------------------------------------------------------------------------------- */

/* n turns fit into a layer: n - 1/2 pitches and one bundle in the window's length. */
static double level_room(const cw_lay_plan *plan, const spread *s, double overall, double turns)
{
    const double width = plan->in_hand * overall, pitches = (turns - 0.5) * width;
    const double of_pitch = pitches * s->pitch;

    if (turns <= 1)
        return 1;
    return chance(s->clear_m - width - pitches * plan->pitch_factor,
                  sqrt(s->length_m * s->length_m + of_pitch * of_pitch));
}

static double level_chance(const cw_lay_plan *plan, const spread *s, double overall)
{
    const double width = plan->in_hand * overall;
    const double most = fmax(1, 1.1 * (s->clear_m + 6 * s->length_m) / width + 1);
    const double n = (double)plan->turns;
    double sum = 0, before = 0;

    for (long m = (long)fmax(1, floor(n / most)); before < 1 - 1e-14; m++) {
        const double here = level_room(plan, s, overall, ceil(n / (double)m));
        const double deep = depth_chance(plan, s, overall, m, plan->rise_factor * overall, s->rise);

        sum += (here - before) * deep;
        before = here;
        if (deep < 1e-14)
            break;
    }
    return sum;
}

/* ---- nested ------------------------------------------------------------------------------------------------ */

/* Length needed for n turns in every layer, or, equal, for n in every layer with half a wire to shift by. */
static double nested_length(const cw_lay_plan *plan, double overall, long turns, bool equal)
{
    return ((double)turns * plan->in_hand + (equal ? 0.5 : 0)) * overall;
}

static double nested_rise(const cw_lay_plan *plan, double length, double overall, long turns, bool equal)
{
    const double spaces = (double)turns * plan->in_hand - (equal ? 0.5 : 1.0);
    const double strand_pitch = spaces > 0 ? (length - overall) / spaces : overall;

    if (!equal && turns < 2)
        return overall;
    return sqrt(overall * overall - 0.25 * pow(fmin(fmax(strand_pitch, overall), 1.2 * overall), 2));
}

static long nested_layers(long wanted, long turns, bool equal)
{
    const long pair = equal || turns < 2 ? 2 * turns : 2 * turns - 1, rest = wanted % pair;

    return 2 * (wanted / pair) + (rest > turns ? 2 : rest > 0 ? 1 : 0);
}

/* Mean of a normal length that is known to lie between two others. */
static double mean_between(double mean, double sd, double low, double high, double share)
{
    const double a = (low - mean) / sd, b = (high - mean) / sd;

    if (!(sd > 0) || share < 1e-6)
        return fmin(fmax(mean, low), high);
    return mean + sd * (exp(-0.5 * a * a) - exp(-0.5 * b * b)) / (sqrt(2 * pi) * share);
}

/* The window's length falls between what one way of laying needs and what the next one needs. */
static double nested_chance(const cw_lay_plan *plan, const spread *s, double overall)
{
    const double width = plan->in_hand * overall;
    const long low = (long)fmax(1, floor((s->clear_m - 6 * s->length_m) / width));
    const long high = (long)fmax(1, ceil((s->clear_m + 6 * s->length_m) / width));
    double sum = 0;

    for (long turns = low; turns <= high; turns++)
        for (int equal = 0; equal < 2; equal++) {
            const double here = nested_length(plan, overall, turns, equal);
            const double next = nested_length(plan, overall, turns + equal, !equal);
            const double above = turns == low && !equal ? 1 : chance(s->clear_m - here, s->length_m);
            const double share = above - chance(s->clear_m - next, s->length_m);
            const double length = mean_between(s->clear_m, s->length_m, above == 1 ? -INFINITY : here, next, share);

            if (share > 1e-12)
                sum += share * depth_chance(plan, s, overall, nested_layers(plan->turns, turns, equal),
                                            nested_rise(plan, length, overall, turns, equal), 0.5 * s->rise);
        }
    return sum;
}

/* ---- random ------------------------------------------------------------------------------------------------ */

/* Section wanted against section given, in logarithms: all spreads are a few per cent. */
static double random_chance(const cw_lay_plan *plan, const spread *s, double overall)
{
    const double height = plan->base_m + (double)plan->turns * plan->in_hand * 0.25 * pi * overall * overall /
                                             (plan->packing * s->clear_m);
    const double room = plan->window.depth_m - plan->wrap_m;
    double bulge, of_bulge, sd, by_height;

    if (!(room > 0))
        return 0;
    find_bulge(plan, s, height, &bulge, &of_bulge, &by_height);
    sd = sqrt(square(s->packing * (1 - plan->base_m / height)) + square(s->depth_m / room) +
              square(s->length_m / s->clear_m) + square(of_bulge / (height + bulge)));
    return chance(log(room / (height + bulge)), sd);
}

static double mean_over_diameter(const cw_lay_plan *plan, const spread *s)
{
    double weights = 0, sum = 0;

    for (int i = 0; i < NODES; i++) {
        const double z = -4 + 8.0 * i / (NODES - 1), weight = exp(-0.5 * z * z);
        const double overall = plan->wire.overall_diameter_m.nominal + z * s->overall_m;

        weights += weight;
        if (plan->lay == CW_NESTED)
            sum += weight * nested_chance(plan, s, overall);
        else if (plan->lay == CW_RANDOM)
            sum += weight * random_chance(plan, s, overall);
        else
            sum += weight * level_chance(plan, s, overall);
    }
    return fmin(1, sum / weights);
}

double cw_choice_fit_probability(const cw_lay_plan *wish, const cw_choice_doubts *doubts)
{
    cw_lay_plan plan = *wish;
    spread s;

    cw_winding_defaults(&plan);
    s = make_spread(&plan, doubts);
    return mean_over_diameter(&plan, &s);
}

/* ---- two windings on each other ----------------------------------------------------------------------------- */

/* Mean and spread of the height of m layers of level or nested wire of that diameter, without bulge. */
static double stack_height(const cw_lay_plan *plan, double overall, long m, double rise, double rise_sd, double *sd)
{
    const bool sheets = plan->insulation_every > 0 && plan->insulation_m > 0;
    const double flat = sheets ? (double)((m - 1) / plan->insulation_every) : 0;
    const double grooves = (double)(m - 1) - flat;

    *sd = grooves * overall * rise_sd;
    return overall * (1 + flat) + grooves * rise + flat * plan->insulation_m;
}

/* P(upper fits | lower reaches to that height): the spread of the height is one more spread of the depth. */
static double upper_chance(const cw_lay_plan *upper, const spread *given, double base_m, double base_sd)
{
    cw_lay_plan plan = *upper;
    spread s = *given;

    plan.base_m = base_m;
    s.depth_m = hypot(given->depth_m, base_sd * (1 + (s.most_bulge_m > 0 ? plan.bulge : 0)));
    return mean_over_diameter(&plan, &s);
}

/* The lower part's layers one number after the other, as in level_chance. */
static double level_below(const cw_lay_plan *lower, const spread *s, double overall, const cw_lay_plan *upper,
                          const spread *upper_spread, double between_m)
{
    const double width = lower->in_hand * overall;
    const double most = fmax(1, 1.1 * (s->clear_m + 6 * s->length_m) / width + 1);
    double sum = 0, before = 0;

    for (long m = (long)fmax(1, floor((double)lower->turns / most)); before < 1 - 1e-6; m++) {
        const double here = level_room(lower, s, overall, ceil((double)lower->turns / (double)m));
        double sd, height;

        if (here - before > 1e-6) {
            height = stack_height(lower, overall, m, lower->rise_factor * overall, s->rise, &sd);
            sum += (here - before) * upper_chance(upper, upper_spread, lower->base_m + height + between_m, sd);
        }
        before = here;
    }
    return sum;
}

/* Nested and random lay: the nominal height, with what the diameter adds node by node, and packing as its spread. */
static double other_below(const cw_lay_plan *lower, const spread *s, double overall, const cw_lay_plan *upper,
                          const spread *upper_spread, double between_m)
{
    const double width = lower->in_hand * overall;
    double height, sd = 0;

    if (lower->lay == CW_RANDOM) {
        height = (double)lower->turns * lower->in_hand * 0.25 * pi * overall * overall / (lower->packing * s->clear_m);
        sd = height * hypot(s->packing, s->length_m / s->clear_m);
    } else {
        const long turns = (long)fmax(1, floor(s->clear_m / width + 1e-9));
        const bool equal = s->clear_m - (double)turns * width >= 0.5 * overall;

        height = stack_height(lower, overall, nested_layers(lower->turns, turns, equal),
                              nested_rise(lower, s->clear_m, overall, turns, equal), 0.5 * s->rise, &sd);
    }
    return upper_chance(upper, upper_spread, lower->base_m + height + between_m, sd);
}

double cw_choice_coil_fit_probability(const cw_coil_plan *coil, const cw_choice_doubts *doubts)
{
    cw_lay_plan part[2] = { coil->common, coil->common };
    double sum = 0, weights = 0;
    spread s[2];

    if (coil->arrangement != CW_ONE_ON_ANOTHER || coil->part_count > 2 || coil->part_count < 1)
        return NAN;
    for (size_t i = 0; i < coil->part_count; i++) {
        part[i].wire = coil->parts[i].wire;
        part[i].in_hand = coil->parts[i].in_hand;
        part[i].turns = coil->parts[i].turns;
        cw_winding_defaults(&part[i]);
        s[i] = make_spread(&part[i], doubts);
    }
    if (coil->part_count == 1)
        return mean_over_diameter(&part[0], &s[0]);
    for (int i = 0; i < NODES; i += 2) {
        const double z = -4 + 8.0 * i / (NODES - 1), weight = exp(-0.5 * z * z);
        const double overall = part[0].wire.overall_diameter_m.nominal + z * s[0].overall_m;

        weights += weight;
        sum += weight * (part[0].lay == CW_LEVEL
                             ? level_below(&part[0], &s[0], overall, &part[1], &s[1], coil->between_m)
                             : other_below(&part[0], &s[0], overall, &part[1], &s[1], coil->between_m));
    }
    return fmin(1, sum / weights);
}

/* ---- resistance -------------------------------------------------------------------------------------------- */

/* How the mean turn's height above the former follows ln D, pitch, rise, ln packing and the window's length. */
typedef struct slopes {
    double overall, pitch, rise, packing, length;
} slopes;

/* The mean turn lies on the i-th layer, counted from 0 and broken: its height is D/2 + i (D part + rest), and i follows
 * the number of layers, which is the turns over the turns of a layer. */
static slopes height_slopes(const cw_winding *winding, double height)
{
    const cw_lay_plan *plan = &winding->plan;
    const double overall = plan->wire.overall_diameter_m.nominal, window = cw_winding_clear_length(plan);
    const double width = 0.999999 * plan->in_hand * overall; /* one bundle may fill the window */
    const bool sheets = plan->insulation_every > 0 && plan->insulation_m > 0 && winding->layer_count > 1;
    const double flat = sheets ? 1.0 / plan->insulation_every : 0; /* share of layers that lie on a sheet */
    const double rise = plan->lay == CW_NESTED ? 0.8660254037844386 : plan->rise_factor;
    const double of_wire = overall * (rise * (1 - flat) + flat), step = of_wire + flat * plan->insulation_m;
    const double index = fmax(0, height - 0.5 * overall) / step; /* height above the surface the first layer lies on */
    const double by_count = winding->layer_count > 1 ? (index + 0.5) * step : 0;

    if (plan->lay == CW_RANDOM)
        return (slopes){ 2 * height, 0, 0, -height, -height / window };
    if (plan->lay == CW_NESTED)
        return (slopes){ 0.5 * overall + index * of_wire + by_count, 0, 0.5 * index * (1 - flat) * overall, 0,
                         -by_count / window };
    return (slopes){ 0.5 * overall + index * of_wire + by_count * window / (window - width), by_count,
                     index * (1 - flat) * overall, 0, -by_count / (window - width) };
}

/* Shares of the wire's length that the bulge of the flats adds: all of it, and what is still free to grow, below the
 * cap of the longest flat. That grows with the square of bulge and height. */
static void bulge_shares(const cw_winding *winding, double *all, double *free_to_grow)
{
    const cw_lay_plan *plan = &winding->plan;
    const double cap = cw_window_bulge(&plan->window, 10, 1);

    *all = *free_to_grow = 0;
    if (!(cap > 0))
        return;
    for (size_t i = 0; i < winding->layer_count; i++) {
        const cw_layer *layer = &winding->layers[i];
        const double plain = (double)layer->turns *
                             hypot(cw_window_turn_length(&plan->window, layer->height_m), layer->pitch_m);

        *all += (layer->length_m - plain) / winding->length_m;
        if (plan->bulge * layer->height_m < cap)
            *free_to_grow += (layer->length_m - plain) / winding->length_m;
    }
}

/* ln R = ln r(d) + ln(length): the conductor's diameter moves both, the rest one of them; all linear. What the window's
 * inner size does, which several windings on one former share, is given apart. */
static double log_resistance_sd(const cw_winding *winding, const spread *s, double *of_window)
{
    const cw_lay_plan *plan = &winding->plan;
    const double overall = plan->wire.overall_diameter_m.nominal, turn = winding->mean_turn_m;
    const double of_wire = s->ohm_per_m / plan->wire.resistance_ohm_per_m.nominal;
    const double bare = s->bare_m, cover = sqrt(fmax(0, square(s->overall_m) - square(bare)));
    const double inner = (plan->window.shape == CW_RECTANGLE ? 4 : pi) * s->inner_m / turn;
    double bulged, growing, height, per_height, bulge;
    slopes by;

    bulge_shares(winding, &bulged, &growing);
    height = fmax((turn * (1 - bulged) - cw_window_turn_length(&plan->window, 0)) / (2 * pi), 0.5 * overall);
    *of_window = inner;
    by = height_slopes(winding, fmax(height - plan->base_m, 0));
    per_height = 2 * pi / turn + 2 * growing / height;
    bulge = growing > 0 ? 2 * growing * s->bulge / plan->bulge : 0;
    return sqrt(square(of_wire - per_height * by.overall * bare / overall) +
                square(per_height * by.overall * cover / overall) + square(per_height * by.pitch * s->pitch) +
                square(per_height * by.rise * s->rise) + square(per_height * by.packing * s->packing) +
                square(per_height * by.length * s->length_m) + square(bulge) + square(s->resistivity));
}

static double band_chance(double ohm, double sd, double low_ohm, double high_ohm)
{
    return fmax(0, chance(log(high_ohm / ohm), sd) - chance(log(low_ohm / ohm), sd));
}

double cw_choice_resistance_probability(const cw_winding *winding, const cw_choice_doubts *doubts, double low_ohm,
                                        double high_ohm)
{
    const spread s = make_spread(&winding->plan, doubts);
    double of_window;
    const double sd = log_resistance_sd(winding, &s, &of_window);

    return band_chance(winding->resistance_20c_ohm, hypot(sd, of_window), low_ohm, high_ohm);
}

/* Wires of two spools vary apart, the former is the same for both. */
double cw_choose__coil_resistance_probability(const cw_coil *coil, const cw_choice_doubts *doubts, double low_ohm,
                                              double high_ohm)
{
    double apart = 0, together = 0;

    for (size_t i = 0; i < coil->part_count; i++) {
        const double share = coil->parts[i]->resistance_20c_ohm / coil->resistance_20c_ohm;
        const spread s = make_spread(&coil->parts[i]->plan, doubts);
        double of_window;

        apart += square(share * log_resistance_sd(coil->parts[i], &s, &of_window));
        together += share * of_window;
    }
    return band_chance(coil->resistance_20c_ohm, sqrt(apart + square(together)), low_ohm, high_ohm);
}
