/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "evidence/study.h"

#include <math.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

static uint64_t rotate(uint64_t x, int k)
{
    return (x << k) | (x >> (64 - k));
}

static uint64_t next(study_random *r)
{
    const uint64_t result = rotate(r->s[1] * 5, 7) * 9, t = r->s[1] << 17;

    r->s[2] ^= r->s[0];
    r->s[3] ^= r->s[1];
    r->s[1] ^= r->s[2];
    r->s[0] ^= r->s[3];
    r->s[2] ^= t;
    r->s[3] = rotate(r->s[3], 45);
    return result;
}

void study_seed(study_random *r, uint64_t seed)
{
    for (int i = 0; i < 4; i++) {
        uint64_t z = (seed += 0x9e3779b97f4a7c15u);

        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        r->s[i] = z ^ (z >> 31);
    }
}

double study_uniform(study_random *r)
{
    return ((double)(next(r) >> 11) + 0.5) / 9007199254740992.0;
}

double study_normal(study_random *r)
{
    return sqrt(-2 * log(study_uniform(r))) * cos(2 * pi * study_uniform(r));
}

size_t study_below(study_random *r, size_t n)
{
    return (size_t)(study_uniform(r) * (double)n);
}

static size_t pick(study_random *r, const double *weight, size_t n)
{
    double sum = 0, u;

    for (size_t i = 0; i < n; i++)
        sum += weight[i];
    u = study_uniform(r) * sum;
    for (size_t i = 0; i < n; i++)
        if ((u -= weight[i]) < 0)
            return i;
    return n - 1;
}

/* Size, build and material; the weights of docs/identify.md. */
static void draw_wire(study_random *r, const cw_wire_catalogue *catalogue, cw_wire *wire)
{
    static const double system[] = { 0.4 / 45, 0.4 / 60, 0.2 / 41 }, between[] = { 0.25, 0.5, 1 };
    static const double build[] = { 0.32, 0.54, 0.09, 0.01, 0.015, 0.015, 0.01 };
    static const double material[] = { 0.96, 0.04 };
    const size_t sizes = cw_wire_size_count(catalogue);
    double weight[512];

    for (size_t i = 0; i < sizes; i++) {
        const cw_wire_size *size = cw_wire_size_at(catalogue, i);

        weight[i] = system[size->system] * (size->intermediate ? between[size->system] : 1);
    }
    for (;;) {
        const cw_wire_size *size = cw_wire_size_at(catalogue, pick(r, weight, sizes));
        const size_t b = pick(r, build, 7), m = pick(r, material, 2);

        if (cw_wire_make(catalogue, size, (cw_build)b, (cw_material)m, wire, NULL) == CW_OK)
            return;
    }
}

static void draw_window(study_random *r, study_coil *c)
{
    memset(&c->window, 0, sizeof c->window);
    c->window.shape = CW_ROUND;
    c->window.inner_m[0] = c->window.inner_m[1] = 0.008 + 0.06 * study_uniform(r);
    c->window.length_m = 0.012 + 0.08 * study_uniform(r);
    c->window.depth_m = 0.003 + 0.017 * study_uniform(r);
    /* what it really is: the usual doubts of a caliper on an old former */
    c->inner_m = c->window.inner_m[0] + (2e-4 + 0.005 * c->window.inner_m[0]) / 1.96 * study_normal(r);
    c->length_window_m = c->window.length_m + (3e-4 + 0.005 * c->window.length_m) / 1.96 * study_normal(r);
}

static void draw_strand(study_random *r, const cw_wire_catalogue *catalogue, study_coil *c)
{
    const cw_band *d = &c->wire.size.diameter_m, *o = &c->wire.overall_diameter_m;
    const cw_conductor *metal = cw_wire_conductor(catalogue, c->wire.material);
    const double bare_sd = (d->max - d->min) / (2 * 1.96), overall_sd = (o->max - o->min) / (2 * 1.96);
    const double increase_sd = sqrt(fmax(overall_sd * overall_sd - bare_sd * bare_sd, 0.04 * overall_sd * overall_sd));
    const double cover_density = c->wire.covering_density_kg_m3 *
                                 (1 + (c->wire.build <= CW_TRIPLE ? 0.1 : 0.25) * study_normal(r));
    /* resistance follows the true diameter from the table's nominal pair */
    c->bare_m = d->nominal + bare_sd * study_normal(r);
    c->overall_m = c->bare_m + (o->nominal - d->nominal) + increase_sd * study_normal(r);
    c->ohm_per_m = c->wire.resistance_ohm_per_m.nominal * (d->nominal * d->nominal) / (c->bare_m * c->bare_m) *
                   (1 + 0.006 * study_normal(r));
    c->kg_per_m = 0.25 * pi * (metal->density_kg_m3 * c->bare_m * c->bare_m +
                               cover_density * (c->overall_m * c->overall_m - c->bare_m * c->bare_m));
}

/* Filling of the window by p(phi) ~ phi^2, softened at the top; then turns, and a coil summed turn by turn in height. */
static bool draw_winding(study_random *r, study_coil *c)
{
    static const double lay[] = { 0.55, 0.15, 0.05, 0.25 };
    static const double axial[] = { 1.04, 1.04, 1.005, 1.15 }, axial_sd[] = { 0.02, 0.02, 0.005, 0.07 };
    static const double radial[] = { 0.96, 1.00, 0.87, 1.14 }, radial_sd[] = { 0.03, 0.02, 0.015, 0.07 };
    static const double strands[] = { 0.88, 0.09, 0.015, 0.015 };
    const double depth_sd = fmax(0.03, (3e-4 + 0.02 * c->window.depth_m) / 1.96 / c->window.depth_m);
    double phi, pitch, rise, turn;
    int slices = 400;

    do
        phi = 1.25 * cbrt(study_uniform(r));
    while (phi < 0.02 || study_uniform(r) > 0.5 * erfc((phi - 1) / (depth_sd * sqrt(2))));
    c->lay = (int)pick(r, lay, 4);
    c->in_hand = 1 + (int)pick(r, strands, 4);
    pitch = c->in_hand * c->overall_m * axial[c->lay] * exp(axial_sd[c->lay] * study_normal(r));
    rise = c->overall_m * radial[c->lay];
    if (c->lay == 1)
        rise = (rise + 5e-5) * exp(hypot(0.02, 2e-5 / (rise + 5e-5)) * study_normal(r));
    else
        rise *= exp(radial_sd[c->lay] * study_normal(r));
    c->height_m = phi * c->window.depth_m;
    c->per_layer = c->length_window_m / pitch;
    c->layers = c->height_m / rise;
    c->turns = c->per_layer * c->layers;
    if (c->turns < 20 || c->per_layer < 3)
        return false;
    turn = 0;
    for (int i = 0; i < slices; i++)
        turn += pi * (c->inner_m + 2 * c->height_m * (i + 0.5) / slices) / slices;
    c->length_m = c->turns * turn;
    c->resistance_20c_ohm = c->length_m * c->ohm_per_m / c->in_hand;
    c->mass_kg = c->length_m * c->kg_per_m * c->in_hand;
    return true;
}

void study_draw_coil(study_random *r, const cw_wire_catalogue *catalogue, study_coil *coil)
{
    do {
        draw_wire(r, catalogue, &coil->wire);
        draw_window(r, coil);
        draw_strand(r, catalogue, coil);
    } while (!draw_winding(r, coil));
}

/* Field on the axis in the middle of a thick coil of even current density [Montgomery, Solenoid Magnet Design; any text]. */
static double centre_field(double inner, double outer, double length, double ampere_turns)
{
    const double h = 0.5 * length, density = ampere_turns / (length * (outer - inner));

    return 4e-7 * pi * density * h * log((outer + sqrt(outer * outer + h * h)) / (inner + sqrt(inner * inner + h * h)));
}

static double true_value(study_random *r, const study_coil *c, cw_reading *reading)
{
    const double alpha = c->wire.material == CW_COPPER ? 0.00393 : 0.00403;
    const double warm = 1 + alpha * (reading->at_c - 20);

    switch (reading->kind) {
    case CW_COIL_RESISTANCE: /* another spool, and the coil is not quite at the room's temperature */
        return c->resistance_20c_ohm * warm * exp(hypot(0.0075, 0.00393 / 1.96 * 2) * study_normal(r));
    case CW_SAMPLE_RESISTANCE:
        return c->ohm_per_m * reading->length_m * warm * exp(0.00393 / 1.96 * study_normal(r));
    case CW_WIRE_MASS:
        return c->mass_kg;
    case CW_SAMPLE_MASS:
        return c->kg_per_m * reading->length_m;
    case CW_OVERALL_DIAMETER:
        return c->overall_m;
    case CW_BARE_DIAMETER:
        return c->bare_m;
    case CW_TURNS:
        return c->turns;
    case CW_TURNS_PER_LAYER:
        return c->per_layer;
    case CW_LAYERS: /* the last layer stands as high as a full one: counted up on average by a half */
        return c->layers + 0.5;
    case CW_WINDING_DEPTH:
        return c->height_m + 0.5 * c->overall_m;
    case CW_CENTRE_FIELD:
        return centre_field(0.5 * c->window.inner_m[0], 0.5 * c->window.inner_m[0] + c->height_m, c->window.length_m,
                            c->turns * reading->current_a) * exp(0.01 * study_normal(r));
    case CW_RATED_POWER:
    case CW_RATED_CURRENT:
    case CW_COIL_INDUCTANCE:
    case CW_CORE_SECTION:
    case CW_INSULATION_RESISTANCE:
    case CW_READING_KIND_COUNT:
        break;
    }
    return NAN;
}

cw_reading study_take(study_random *r, const study_coil *coil, cw_reading_kind kind)
{
    cw_reading reading = { .kind = kind, .subject = kind == CW_COIL_RESISTANCE ? CW_OF_SIBLING : CW_OF_SAMPLE,
                           .at_c = 15 + 12 * study_uniform(r), .length_m = 1 + 3 * study_uniform(r),
                           .current_a = 0.05, .frequency_hz = NAN };
    double value = true_value(r, coil, &reading), sd;

    reading.value = value;
    sd = cw_reading_usual_doubt(&reading) / 1.96 / value;
    if (kind == CW_LAYERS || kind == CW_WINDING_DEPTH)
        sd = fmax(sd, 0.015);
    if (kind == CW_LAYERS) /* the doubt is of the smeared number of layers */
        reading.value = 0.5 + coil->layers * exp(sd * study_normal(r));
    else
        reading.value = value * exp(sd * study_normal(r));
    return reading;
}

void study_blunder(study_random *r, cw_reading *reading)
{
    reading->value *= pow(30, 2 * study_uniform(r) - 1);
}

bool study_is(const study_coil *coil, const cw_candidate *candidate)
{
    return candidate->in_hand == coil->in_hand && candidate->wire.build == coil->wire.build &&
           candidate->wire.material == coil->wire.material &&
           strcmp(candidate->wire.size.name, coil->wire.size.name) == 0;
}
