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
    double bare_m, overall_m;
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
    static const cw_choice_doubts none = { 0, 0, 0, 0, 0 };
    const cw_window *window = &plan->window;
    const cw_wire *wire = &plan->wire;

    if (doubts == NULL)
        doubts = &none;
    return (spread){
        .pitch = doubt_or(doubts->pitch, 0.01),       /* 1.02 to 1.05 [winding: §1, common practice] */
        .rise = doubt_or(doubts->rise, 0.03),         /* 0.9 to 1.0 [winding: §2.1, common practice] */
        .packing = doubt_or(doubts->packing, 0.04),   /* 5 to 10 % coil to coil [winding: §2.3, common practice] */
        .bulge = doubt_or(doubts->bulge, 0.025),      /* 0.1 to 0.2 [winding: §5, common practice] */
        .resistivity = doubt_or(doubts->resistivity, 0.006), /* purity, and stretch of up to 1 %, common practice */
        .inner_m = window_sd(window->inner_doubt_m, 2e-4, 0.005, window->inner_m[0]),
        .length_m = window_sd(window->length_doubt_m, 3e-4, 0.005, window->length_m),
        .depth_m = window_sd(window->depth_doubt_m, 3e-4, 0.02, window->depth_m),
        .bare_m = (wire->size.diameter_m.max - wire->size.diameter_m.min) * PER_SD,
        .overall_m = (wire->overall_diameter_m.max - wire->overall_diameter_m.min) * PER_SD,
    };
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

static double bulge_of(const cw_lay_plan *plan)
{
    return plan->window.shape == CW_ROUND ? 0 : plan->bulge;
}

/* m layers of wire of that diameter are no deeper than the window. */
static double depth_chance(const cw_lay_plan *plan, const spread *s, double overall, long m, double rise,
                           double rise_sd)
{
    const bool sheets = plan->insulation_every > 0 && plan->insulation_m > 0;
    const double flat = sheets ? (double)((m - 1) / plan->insulation_every) : 0; /* layers on a sheet */
    const double grooves = (double)(m - 1) - flat;
    const double stack = overall * (1 + flat) + grooves * rise + flat * plan->insulation_m;
    const double bulge = bulge_of(plan);
    const double of_rise = (1 + bulge) * grooves * overall * rise_sd;
    const double of_bulge = bulge > 0 ? stack * s->bulge : 0;

    return chance(plan->window.depth_m - stack * (1 + bulge),
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
    return chance(plan->window.length_m - width - pitches * plan->pitch_factor,
                  sqrt(s->length_m * s->length_m + of_pitch * of_pitch));
}

static double level_chance(const cw_lay_plan *plan, const spread *s, double overall)
{
    const double width = plan->in_hand * overall;
    const double most = fmax(1, 1.1 * (plan->window.length_m + 6 * s->length_m) / width + 1);
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

/* Turns that m layers hold where j half wires lie side by side in the window: n and n - 1 for even j, n and n for odd. */
static double nested_holds(long j, long m)
{
    const double n = (double)(j / 2), layers = (double)m;

    return j % 2 == 1 || j < 4 ? n * layers : n * layers - floor(layers / 2);
}

static double nested_rise(const cw_lay_plan *plan, double overall, long j)
{
    const double width = plan->in_hand * overall, n = (double)(j / 2);
    const double pitch = n < 2 ? width : (plan->window.length_m - width) / (n - (j % 2 == 1 ? 0.5 : 1.0));
    const double strand_pitch = fmin(pitch / plan->in_hand, 1.2 * overall);

    return sqrt(overall * overall - 0.25 * strand_pitch * strand_pitch);
}

static double nested_chance(const cw_lay_plan *plan, const spread *s, double overall)
{
    const double half_width = 0.5 * plan->in_hand * overall;
    const long low = (long)fmax(2, floor((plan->window.length_m - 6 * s->length_m) / half_width));
    const long high = (long)fmax(2, ceil((plan->window.length_m + 6 * s->length_m) / half_width));
    double sum = 0;

    for (long j = low; j <= high; j++) {
        const double above = j == low ? 1 : chance(plan->window.length_m - (double)j * half_width, s->length_m);
        const double next = chance(plan->window.length_m - (double)(j + 1) * half_width, s->length_m);
        long m = (long)fmax(1, floor((double)plan->turns / fmax(1, (double)(j / 2))));

        if (above - next < 1e-12)
            continue;
        while (nested_holds(j, m) < (double)plan->turns)
            m++;
        sum += (above - next) * depth_chance(plan, s, overall, m, nested_rise(plan, overall, j), 0.5 * s->rise);
    }
    return sum;
}

/* ---- random ------------------------------------------------------------------------------------------------ */

/* Section wanted against section given, in logarithms: all spreads are a few per cent. */
static double random_chance(const cw_lay_plan *plan, const spread *s, double overall)
{
    const cw_window *window = &plan->window;
    const double wanted = (double)plan->turns * plan->in_hand * 0.25 * pi * overall * overall / plan->packing *
                          (1 + bulge_of(plan));
    const double of_bulge = bulge_of(plan) > 0 ? s->bulge / (1 + bulge_of(plan)) : 0;
    const double sd = sqrt(s->packing * s->packing + pow(s->depth_m / window->depth_m, 2) +
                           pow(s->length_m / window->length_m, 2) + of_bulge * of_bulge);

    return chance(log(window->depth_m * window->length_m / wanted), sd);
}

double cw_choice_fit_probability(const cw_lay_plan *wish, const cw_choice_doubts *doubts)
{
    cw_lay_plan plan = *wish;
    double weights = 0, sum = 0, overall;
    spread s;

    cw_winding_defaults(&plan);
    s = make_spread(&plan, doubts);
    for (int i = 0; i < NODES; i++) {
        const double z = -4 + 8.0 * i / (NODES - 1), weight = exp(-0.5 * z * z);

        weights += weight;
        overall = plan.wire.overall_diameter_m.nominal + z * s.overall_m;
        if (plan.lay == CW_NESTED)
            sum += weight * nested_chance(&plan, &s, overall);
        else if (plan.lay == CW_RANDOM)
            sum += weight * random_chance(&plan, &s, overall);
        else
            sum += weight * level_chance(&plan, &s, overall);
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
    const double overall = plan->wire.overall_diameter_m.nominal, window = plan->window.length_m;
    const double width = 0.999999 * plan->in_hand * overall; /* one bundle may fill the window */
    const bool sheets = plan->insulation_every > 0 && plan->insulation_m > 0 && winding->layer_count > 1;
    const double flat = sheets ? 1.0 / plan->insulation_every : 0; /* share of layers that lie on a sheet */
    const double rise = plan->lay == CW_NESTED ? 0.8660254037844386 : plan->rise_factor;
    const double of_wire = overall * (rise * (1 - flat) + flat), step = of_wire + flat * plan->insulation_m;
    const double index = fmax(0, height - 0.5 * overall) / step;
    const double by_count = winding->layer_count > 1 ? (index + 0.5) * step : 0;

    if (plan->lay == CW_RANDOM)
        return (slopes){ 2 * height, 0, 0, -height, -height / window };
    if (plan->lay == CW_NESTED)
        return (slopes){ 0.5 * overall + index * of_wire + by_count, 0, 0.5 * index * (1 - flat) * overall, 0,
                         -by_count / window };
    return (slopes){ 0.5 * overall + index * of_wire + by_count * window / (window - width), by_count,
                     index * (1 - flat) * overall, 0, -by_count / (window - width) };
}

/* Share of the wire that lies in the bulge of the flats. */
static double bulge_share(const cw_winding *winding)
{
    double straight = 0;

    if (!(bulge_of(&winding->plan) > 0))
        return 0;
    for (size_t i = 0; i < winding->layer_count; i++)
        straight += (double)winding->layers[i].turns *
                    hypot(cw_window_turn_length(&winding->plan.window, winding->layers[i].height_m),
                          winding->layers[i].pitch_m);
    return 1 - straight / winding->length_m;
}

static double square(double x)
{
    return x * x;
}

/* ln R = ln r(d) + ln(length): the conductor's diameter moves both, the rest one of them; all linear. */
static double log_resistance_sd(const cw_winding *winding, const spread *s)
{
    const cw_lay_plan *plan = &winding->plan;
    const cw_band *ohms = &plan->wire.resistance_ohm_per_m;
    const double overall = plan->wire.overall_diameter_m.nominal, turn = winding->mean_turn_m;
    const double height = (turn * (1 - bulge_share(winding)) - cw_window_turn_length(&plan->window, 0)) / (2 * pi);
    const slopes by = height_slopes(winding, fmax(height, 0));
    const double per_height = 2 * pi / turn;
    const double of_wire = (ohms->max - ohms->min) * PER_SD / ohms->nominal;
    const double bare = s->bare_m, cover = sqrt(fmax(0, square(s->overall_m) - square(bare)));
    const double inner = (plan->window.shape == CW_RECTANGLE ? 4 : pi) * s->inner_m / turn;
    const double bulge = bulge_of(plan) > 0 ? 2 * bulge_share(winding) * s->bulge / plan->bulge : 0;

    return sqrt(square(of_wire - per_height * by.overall * bare / overall) +
                square(per_height * by.overall * cover / overall) + square(per_height * by.pitch * s->pitch) +
                square(per_height * by.rise * s->rise) + square(per_height * by.packing * s->packing) +
                square(per_height * by.length * s->length_m) + square(inner) + square(bulge) +
                square(s->resistivity));
}

double cw_choice_resistance_probability(const cw_winding *winding, const cw_choice_doubts *doubts, double low_ohm,
                                        double high_ohm)
{
    const spread s = make_spread(&winding->plan, doubts);
    const double sd = log_resistance_sd(winding, &s);

    return fmax(0, chance(log(high_ohm / winding->resistance_20c_ohm), sd) -
                       chance(log(low_ohm / winding->resistance_20c_ohm), sd));
}
