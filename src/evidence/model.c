/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings as rows of a log-linear model.
 *
 * With a window, x = ln phi where phi is the share of the window's depth that the winding fills (the height smeared
 * over the length). Given x:
 *
 *     ln h = ln depth + x
 *     ln N = x + ln(depth W / (k D^2 qa qr))       W window length, k strands, qa D pitch, qr D rise
 *     ln L = ln N + ln turn(h/2)                   the mean turn of a winding is the turn at half its height
 *     ln (turns per layer) = ln(W / (k D qa)),  ln (layers) = ln h - ln(D qr)
 *
 * Without one, x = ln L and ln N = x - ln(mean turn), the mean turn being 0.15 m within a factor of e.
 *
 * Columns of J, each scaled by its standard deviation: bare diameter, resistivity (with stretch), thickness of the
 * cover, density of the cover, window's inner size, window's length, axial closeness qa, radial closeness qr. */
#include "evidence/evidence_internal.h"

#include "coilwright/air.h"

#include <math.h>
#include <string.h>

enum { BARE, RESISTIVITY, COVER, COVER_DENSITY, INNER, LENGTH, AXIAL, RADIAL };

static const double pi = 3.14159265358979323846;

/* Purity of the conductor and stretch in winding, as one standard deviation. Annealed copper is 100 to 101.5 % IACS and
 * winding stretches by up to about 1 % (common practice, no source). */
static const double resistivity_sd = 0.006;

/* ---- rows -------------------------------------------------------------------------------------------------- */

static double temperature_factor(const cw_evidence__model *model, int material, double at_c, double otherwise_c)
{
    return cw_wire_temperature_factor(cw_wire_conductor(model->catalogue, (cw_material)material),
                                      isnan(at_c) ? otherwise_c : at_c);
}

/* ln of what a rated value's resistance is multiplied with: power V^2/R, current V/R, hot at 75 °C unless said. */
static void set_rating(const cw_evidence__model *model, const cw_reading *reading, cw_evidence__row *row)
{
    const double volts = model->evidence->coil_voltage_v;

    row->on[LN_OHM_PER_M] = row->on[LN_LENGTH] = -1;
    row->on_strands = 1;
    for (int material = 0; material < CW_MATERIAL_COUNT; material++)
        row->constant[material] = (reading->kind == CW_RATED_POWER ? 2 : 1) * log(volts) -
                                  log(temperature_factor(model, material, reading->at_c, 75));
}

static void set_both(cw_evidence__row *row, double constant)
{
    for (int material = 0; material < CW_MATERIAL_COUNT; material++)
        row->constant[material] = constant;
}

void cw_evidence__make_row(const cw_evidence__model *model, const cw_reading *reading, size_t index,
                           cw_evidence__row *row)
{
    memset(row, 0, sizeof *row);
    row->index = index;
    row->kind = reading->kind;
    row->y = log(reading->value);
    row->noise = cw_evidence__variance(reading);
    row->blunder = 0.04; /* one reading in 25: judgement, see docs/identify.md */
    switch (reading->kind) {
    case CW_COIL_RESISTANCE:
        row->on[LN_OHM_PER_M] = row->on[LN_LENGTH] = 1;
        row->on_strands = -1;
        for (int material = 0; material < CW_MATERIAL_COUNT; material++)
            row->constant[material] = log(temperature_factor(model, material, reading->at_c, 20));
        if (reading->subject == CW_OF_THIS)
            row->blunder = 0.3; /* it is here because something is wrong with it */
        break;
    case CW_SAMPLE_RESISTANCE:
        row->on[LN_OHM_PER_M] = 1;
        row->wire_only = true;
        for (int material = 0; material < CW_MATERIAL_COUNT; material++)
            row->constant[material] =
                log(reading->length_m * temperature_factor(model, material, reading->at_c, 20));
        break;
    case CW_WIRE_MASS:
        row->on[LN_KG_PER_M] = row->on[LN_LENGTH] = 1;
        row->on_strands = 1;
        break;
    case CW_SAMPLE_MASS:
        row->on[LN_KG_PER_M] = 1;
        row->wire_only = true;
        set_both(row, log(reading->length_m));
        break;
    case CW_OVERALL_DIAMETER:
        row->on[LN_OVERALL] = 1;
        row->wire_only = true;
        break;
    case CW_BARE_DIAMETER:
        row->on[LN_BARE] = 1;
        row->wire_only = true;
        break;
    case CW_TURNS:
        row->on[LN_TURNS] = 1;
        break;
    case CW_TURNS_PER_LAYER:
        row->on[LN_PER_LAYER] = 1;
        break;
    case CW_LAYERS: /* the last is a part: half of it on average */
        row->on[LN_LAYERS] = 1;
        row->y = log(fmax(reading->value - 0.5, 0.5));
        break;
    case CW_WINDING_DEPTH:
        row->on[LN_HEIGHT] = 1;
        row->half_wire = 0.5 / reading->value;
        break;
    case CW_RATED_POWER:
    case CW_RATED_CURRENT:
        set_rating(model, reading, row);
        break;
    case CW_COIL_INDUCTANCE:
        row->on[LN_TURNS] = 2;
        row->on_inductance = 1;
        break;
    case CW_CENTRE_FIELD:
        row->on[LN_TURNS] = 1;
        row->on_field = 1;
        set_both(row, log(reading->current_a));
        break;
    case CW_CORE_SECTION: /* A = V / (4.44 f N B), B = 1.2 T [transformer equation] */
        row->on[LN_TURNS] = -1;
        set_both(row, log(model->evidence->coil_voltage_v /
                          (4.44 * model->evidence->supply_frequency_hz * 1.2)));
        break;
    case CW_INSULATION_RESISTANCE:
    case CW_READING_KIND_COUNT:
        break;
    }
}

double cw_evidence__row_base(const cw_evidence__frame *frame, const cw_evidence__row *row, int strands)
{
    /* a filled window holds 1/k as many turns of k strands; without a window, x is the length itself */
    const double bundle = frame->has_window ? row->on[LN_TURNS] + row->on[LN_LENGTH] + row->on[LN_PER_LAYER] : 0;
    double sum = row->constant[frame->wire.material] + (row->on_strands - bundle) * log(strands) +
                 row->half_wire * frame->overall_m;

    for (int q = 0; q < QUANTITIES; q++)
        sum += row->on[q] * frame->base[q];
    return sum;
}

double cw_evidence__quantity_at(const cw_evidence__model *model, cw_evidence__quantity quantity, size_t node)
{
    const double x = model->x[node];

    switch (quantity) {
    case LN_TURNS:
        return x;
    case LN_LENGTH:
        return model->has_window ? x + model->turn[node] : x;
    case LN_HEIGHT:
    case LN_LAYERS:
        return model->has_window ? x : 0;
    case LN_BARE:
    case LN_OVERALL:
    case LN_OHM_PER_M:
    case LN_KG_PER_M:
    case LN_PER_LAYER:
    case QUANTITIES:
        break;
    }
    return 0;
}

double cw_evidence__row_at(const cw_evidence__model *model, const cw_evidence__row *row, size_t node)
{
    double sum = row->on_inductance * model->inductance[node] + row->on_field * model->field[node];

    for (int q = 0; q < QUANTITIES; q++)
        if (row->on[q] != 0)
            sum += row->on[q] * cw_evidence__quantity_at(model, (cw_evidence__quantity)q, node);
    return sum;
}

void cw_evidence__row_deviations(const cw_evidence__frame *frame, const cw_evidence__row *row, double *j)
{
    for (int c = 0; c < CW_EVIDENCE__DEVIATIONS; c++)
        j[c] = 0;
    for (int q = 0; q < QUANTITIES; q++)
        if (row->on[q] != 0)
            for (int c = 0; c < CW_EVIDENCE__DEVIATIONS; c++)
                j[c] += row->on[q] * frame->j[q][c];
}

/* ---- frames ------------------------------------------------------------------------------------------------ */

/* Diameters, resistance and mass per metre: what the wire's own tolerances do to them. */
static void set_wire(const cw_evidence__model *model, cw_evidence__frame *frame)
{
    const cw_wire *w = &frame->wire;
    const double d = w->size.diameter_m.nominal, overall = w->overall_diameter_m.nominal;
    const double bare_sd = (w->size.diameter_m.max - w->size.diameter_m.min) / (2 * 1.96); /* m */
    const double overall_sd = (w->overall_diameter_m.max - w->overall_diameter_m.min) / (2 * 1.96);
    /* D = d + increase; the band of D holds that of d */
    const double cover_sd = sqrt(fmax(overall_sd * overall_sd - bare_sd * bare_sd, 0.04 * overall_sd * overall_sd));
    const double core = cw_wire_conductor(model->catalogue, w->material)->density_kg_m3, cover = w->covering_density_kg_m3;
    const double cover_kg = w->mass_kg_per_m - w->bare_mass_kg_per_m;
    const double cover_density_sd = w->build <= CW_TRIPLE ? 0.1 : 0.25;

    frame->overall_m = overall;
    frame->base[LN_BARE] = log(d);
    frame->j[LN_BARE][BARE] = bare_sd / d;
    frame->base[LN_OVERALL] = log(overall);
    frame->j[LN_OVERALL][BARE] = bare_sd / overall;
    frame->j[LN_OVERALL][COVER] = cover_sd / overall;
    frame->base[LN_OHM_PER_M] = log(w->resistance_ohm_per_m.nominal);
    frame->j[LN_OHM_PER_M][BARE] = -2 * bare_sd / d;
    frame->j[LN_OHM_PER_M][RESISTIVITY] = resistivity_sd;
    /* m/L = pi/4 (core d^2 + cover (D^2 - d^2)), differentiated by d (D following) and by the increase */
    frame->base[LN_KG_PER_M] = log(w->mass_kg_per_m);
    frame->j[LN_KG_PER_M][BARE] = 0.5 * pi * (core * d + cover * (overall - d)) * bare_sd / w->mass_kg_per_m;
    frame->j[LN_KG_PER_M][COVER] = 0.5 * pi * cover * overall * cover_sd / w->mass_kg_per_m;
    frame->j[LN_KG_PER_M][COVER_DENSITY] = cover_density_sd * cover_kg / w->mass_kg_per_m;
}

static void set_winding(const cw_evidence__model *model, cw_evidence__frame *frame)
{
    const cw_evidence__lay_class *lay = &cw_evidence__lays[frame->lay];
    const cw_window *window = model->evidence->window;
    const double radial = lay->radial + lay->sheet_m / frame->overall_m;
    const double radial_sd = hypot(lay->radial_sd, lay->sheet_sd_m / frame->overall_m / radial);

    frame->base[LN_HEIGHT] = log(window->depth_m);
    frame->base[LN_TURNS] = log(window->depth_m * window->length_m / (lay->axial * radial)) - 2 * frame->base[LN_OVERALL];
    frame->base[LN_PER_LAYER] = log(window->length_m / lay->axial) - frame->base[LN_OVERALL];
    frame->base[LN_LAYERS] = log(window->depth_m / radial) - frame->base[LN_OVERALL];
    for (int c = BARE; c <= COVER; c++) {
        frame->j[LN_TURNS][c] = -2 * frame->j[LN_OVERALL][c];
        frame->j[LN_PER_LAYER][c] = -frame->j[LN_OVERALL][c];
        frame->j[LN_LAYERS][c] = -frame->j[LN_OVERALL][c];
    }
    frame->j[LN_TURNS][LENGTH] = frame->j[LN_PER_LAYER][LENGTH] = model->length_sd;
    frame->j[LN_TURNS][AXIAL] = frame->j[LN_PER_LAYER][AXIAL] = -lay->axial_sd;
    frame->j[LN_TURNS][RADIAL] = frame->j[LN_LAYERS][RADIAL] = -radial_sd;
    frame->base[LN_LENGTH] = frame->base[LN_TURNS];
    memcpy(frame->j[LN_LENGTH], frame->j[LN_TURNS], sizeof frame->j[LN_LENGTH]);
    frame->j[LN_LENGTH][INNER] += model->inner_sd;
}

void cw_evidence__make_frame(const cw_evidence__model *model, const cw_wire *wire, int lay, cw_evidence__frame *frame)
{
    memset(frame, 0, sizeof *frame);
    frame->wire = *wire;
    frame->lay = lay;
    frame->has_window = model->has_window;
    set_wire(model, frame);
    if (model->has_window) {
        set_winding(model, frame);
    } else {
        frame->base[LN_TURNS] = -log(0.15);
        frame->j[LN_TURNS][INNER] = -1;
    }
}

/* ---- the grid over x --------------------------------------------------------------------------------------- */

/* Inner and outer radius of the round winding that stands in for this one in the air-coil formulae: the same area
 * inside the first turn, and the same build. For a round window it is the winding itself. */
static double equivalent_radius(const cw_window *window)
{
    const double a = window->inner_m[0], b = window->inner_m[1], r = window->corner_radius_m;

    switch (window->shape) {
    case CW_RECTANGLE:
        return sqrt((a * b - (4 - pi) * r * r) / pi);
    case CW_OBROUND:
        return sqrt(((a - b) * b + 0.25 * pi * b * b) / pi);
    case CW_ROUND:
    case CW_SHAPE_COUNT:
        break;
    }
    return 0.5 * a;
}

/* p(phi) proportional to phi^2: machines' windows are mostly filled; soft at the top by the doubt of the depth. Per
 * step of x this is phi^3. */
static double log_prior_filling(double phi, double depth_sd)
{
    return 3 * log(phi) + log(0.5 * erfc((phi - 1) / (depth_sd * sqrt(2))));
}

/* The air-coil functions are smooth in x: exact at a few heights, cubic between them. */
static void fill_air(cw_evidence__model *model, bool inductance)
{
    enum { KNOTS = 17 };
    const cw_window *window = model->evidence->window;
    const double radius = equivalent_radius(window);
    const double first = model->x[0], step = (model->x[model->nodes - 1] - first) / (KNOTS - 1);
    double knot[KNOTS];

    for (int i = 0; i < KNOTS; i++) {
        const double outer = radius + window->depth_m * exp(first + i * step);

        knot[i] = inductance ? log(cw_air_coil_inductance(radius, outer, window->length_m, 1))
                             : log(cw_air_coil_centre_field_t(radius, outer, window->length_m, 1, 1));
    }
    for (size_t m = 0; m < model->nodes; m++) {
        const double t = (model->x[m] - first) / step;
        int i = (int)t;
        double s, p0, p1, p2, p3;

        i = i < 1 ? 1 : i > KNOTS - 3 ? KNOTS - 3 : i;
        s = t - i;
        p0 = knot[i - 1], p1 = knot[i], p2 = knot[i + 1], p3 = knot[i + 2];
        /* Lagrange through four knots */
        (inductance ? model->inductance : model->field)[m] =
            -s * (s - 1) * (s - 2) / 6 * p0 + (s + 1) * (s - 1) * (s - 2) / 2 * p1 -
            (s + 1) * s * (s - 2) / 2 * p2 + (s + 1) * s * (s - 1) / 6 * p3;
    }
}

static void make_window_grid(cw_evidence__model *model)
{
    const cw_window *window = model->evidence->window;
    const double spacing = 0.025, lowest = log(0.02), highest = log(1.25);
    const double mid = cw_window_turn_length(window, 0.35 * window->depth_m); /* two thirds full */
    const double inner_doubt = window->inner_doubt_m > 0 ? window->inner_doubt_m : 2e-4 + 0.005 * window->inner_m[0];
    const double length_doubt = window->length_doubt_m > 0 ? window->length_doubt_m : 3e-4 + 0.005 * window->length_m;
    const double depth_doubt = window->depth_doubt_m > 0 ? window->depth_doubt_m : 3e-4 + 0.02 * window->depth_m;

    /* a turn follows the inner size by pi (round) or 4 (rectangle) times its doubt; and bulge lengthens flats */
    model->inner_sd = hypot((window->shape == CW_ROUND ? pi : 4) * inner_doubt / 1.96 / mid,
                            window->shape == CW_ROUND ? 0 : 0.01);
    model->length_sd = length_doubt / 1.96 / window->length_m;
    model->nodes = (size_t)((highest - lowest) / spacing) + 1;
    for (size_t m = 0; m < model->nodes; m++) {
        const double phi = exp(lowest + (double)m * spacing);

        model->x[m] = log(phi);
        model->turn[m] = log(cw_window_turn_length(window, 0.5 * phi * window->depth_m));
        model->log_prior[m] = log_prior_filling(phi, fmax(0.03, depth_doubt / 1.96 / window->depth_m));
    }
    for (size_t i = 0; i < model->rows; i++) {
        if (model->row[i].on_inductance != 0 && model->inductance[0] == 0)
            fill_air(model, true);
        if (model->row[i].on_field != 0 && model->field[0] == 0)
            fill_air(model, false);
    }
}

static void make_free_grid(cw_evidence__model *model)
{
    const double lowest = log(0.3), highest = log(3e4);

    model->nodes = CW_EVIDENCE__MOST_NODES;
    for (size_t m = 0; m < model->nodes; m++)
        model->x[m] = lowest + (highest - lowest) * (double)m / (double)(model->nodes - 1);
}

cw_status cw_evidence__model_create(const cw_evidence *evidence, const cw_wire_catalogue *catalogue,
                                    cw_evidence__model **model, cw_error *error)
{
    cw_evidence__model *made = cw_allocate(1, sizeof *made);
    char why[320];

    *model = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    made->evidence = evidence;
    made->catalogue = catalogue;
    made->has_window = evidence->window != NULL;
    for (size_t i = 0; i < evidence->reading_count; i++) {
        if (!cw_evidence__usable(evidence, &evidence->readings[i], why, sizeof why))
            continue;
        if (made->rows == CW_EVIDENCE__ROWS) {
            cw_free(made);
            return cw_refuse(error, &evidence->readings[i].at, NULL,
                             "More than %d readings are more than this can weigh; leave out the least sure.",
                             CW_READINGS_MOST);
        }
        cw_evidence__make_row(made, &evidence->readings[i], i, &made->row[made->rows++]);
    }
    if (made->rows == 0) {
        cw_free(made);
        return cw_refuse(error, NULL, NULL,
                         "There is no reading yet from which the winding could be told. Mike the wire over its "
                         "covering and bare, and measure a sound sibling's resistance or weigh the wire.");
    }
    if (made->has_window)
        make_window_grid(made);
    else
        make_free_grid(made);
    for (size_t m = 0; m < made->nodes; m++)
        for (size_t i = 0; i < made->rows; i++)
            made->g[m][i] = cw_evidence__row_at(made, &made->row[i], m);
    *model = made;
    return CW_OK;
}
