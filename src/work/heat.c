/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a job to the section that its heat flows through: the laid winding on its former, in the magnet's iron where the
 * dimensions are known, else in free air. */
#include "work/work_internal.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define PI 3.14159265358979323846
#define IRON_EMISSIVITY 0.8 /* painted, oiled or rusty; bare bright iron has a third of it [heat: emissivity table] */
#define COIL_EMISSIVITY 0.9 /* tape, enamel, resin [same] */

static void say(cw_work_heat_study *study, const char *format, ...) CW_PRINTF(2, 3);

static void say(cw_work_heat_study *study, const char *format, ...)
{
    const size_t used = strlen(study->remark);
    va_list arguments;

    if (used > 0 && used + 1 < sizeof study->remark)
        memcpy(study->remark + used, " ", 2);
    va_start(arguments, format);
    vsnprintf(study->remark + strlen(study->remark), sizeof study->remark - strlen(study->remark), format, arguments);
    va_end(arguments);
}

/* ---- materials ------------------------------------------------------------------------------------------------- */

/* By its name, else by the last of its words that is known ("filled epoxy"); false where none is. */
static bool find_material(const char *name, cw_heat_material *material)
{
    if (name == NULL)
        return false;
    if (cw_heat_material_find(name, strlen(name), NULL, material, NULL) == CW_OK)
        return true;
    for (size_t end = strlen(name); end > 0;) {
        size_t begin = end;

        while (begin > 0 && name[begin - 1] != ' ')
            begin--;
        if (end - begin >= 3 && cw_heat_material_find(name + begin, end - begin, NULL, material, NULL) == CW_OK)
            return true;
        end = begin > 0 ? begin - 1 : 0;
    }
    return false;
}

static cw_status known_material(const char *name, cw_heat_material *material, cw_error *error)
{
    return cw_heat_material_find(name, strlen(name), NULL, material, error);
}

/* What fills the room between coil and iron, and between the turns; still air without potting. */
static cw_status take_filler(const cw_job *job, cw_work_heat_study *study, cw_heat_material *filler, cw_error *error)
{
    if (!job->potting.given)
        return known_material("air 300 K", filler, error);
    if (find_material(job->potting.resin, filler)) {
        say(study, "The resin is taken as %s.", filler->name);
        return CW_OK;
    }
    say(study, "The resin is taken as unfilled epoxy.");
    return known_material("epoxy unfilled", filler, error);
}

static void turn_spacing(const cw_lay_plan *plan, const cw_winding *winding, cw_winding_material_plan *to)
{
    const double overall = plan->wire.overall_diameter_m.nominal;

    to->array = plan->lay == CW_NESTED ? CW_ARRAY_HEXAGONAL : plan->lay == CW_RANDOM ? CW_ARRAY_RANDOM : CW_ARRAY_SQUARE;
    to->sheet_m = plan->insulation_every > 0 ? plan->insulation_m / plan->insulation_every : 0;
    to->pitch_m = fmax(overall, winding->pitch_m / plan->in_hand);
    to->rise_m = (plan->lay == CW_NESTED ? 0.5 * sqrt(3) : plan->rise_factor) * overall + to->sheet_m;
    if (plan->lay == CW_RANDOM) {
        to->pitch_m = sqrt(PI / 4 * overall * overall / plan->packing);
        to->rise_m = to->pitch_m + to->sheet_m;
    }
}

static cw_status winding_material(const cw_job *job, const cw_winding *winding, const cw_heat_material *filler,
                                  cw_winding_material *material, cw_error *error)
{
    const cw_wire *wire = &winding->plan.wire;
    cw_winding_material_plan plan = { .bare_m = wire->size.diameter_m.nominal,
                                      .overall_m = wire->overall_diameter_m.nominal };
    cw_heat_material metal;
    cw_status status = known_material(wire->material == CW_ALUMINIUM ? "aluminium EC" : "copper annealed", &metal, error);

    if (status != CW_OK)
        return status;
    turn_spacing(&winding->plan, winding, &plan);
    plan.conductor_w_per_mk = metal.conductivity_w_per_mk.nominal;
    plan.conductor_j_per_m3k = metal.density_kg_m3 * metal.specific_heat_j_per_kg_k;
    plan.impregnation = job->potting.given ? CW_POTTED : CW_DRY;
    if (job->potting.given)
        plan.resin_w_per_mk = filler->conductivity_w_per_mk;
    return cw_winding_material_of(&plan, material, error);
}

/* ---- parts ----------------------------------------------------------------------------------------------------- */

static cw_heat_part *add_part(cw_heat_section *section, const char *name, const double x[2], const double y[2])
{
    cw_heat_part *part = &section->part[section->part_count++];

    memset(part, 0, sizeof *part);
    snprintf(part->name, sizeof part->name, "%s", name);
    memcpy(part->x, x, sizeof part->x);
    memcpy(part->y, y, sizeof part->y);
    part->emissivity = COIL_EMISSIVITY;
    part->limit_c = NAN;
    return part;
}

static cw_heat_part *add_solid(cw_heat_section *section, const char *name, const double x[2], const double y[2],
                               const cw_heat_material *material)
{
    cw_heat_part *part = add_part(section, name, x, y);

    part->conductivity_w_per_mk[0] = part->conductivity_w_per_mk[1] = material->conductivity_w_per_mk.nominal;
    part->conductivity_spread = sqrt(material->conductivity_w_per_mk.max / material->conductivity_w_per_mk.min);
    part->capacity_j_per_m3k = material->density_kg_m3 * material->specific_heat_j_per_kg_k;
    return part;
}

/* The coil's side at x, y: the former round it as far as there is room, and the winding in it. `inward` is the side of
 * the former's wall along the axis that crosses the layers. */
typedef struct coil_side {
    double x[2], y[2];   /* of the winding */
    double room[2];      /* along the turns' axis, as far as the flanges may go */
    bool lying;          /* layers lie along y: a coil round the base */
    int inward;          /* -1: the wall lies below the winding's lower side, 1: above its upper one */
    double bare;         /* how far the wall may go */
} coil_side;

static void add_coil(const cw_job *job, const coil_side *side, const cw_heat_material *former,
                     const cw_winding_material *material, double class_c, cw_heat_section *section)
{
    const double wall = job->former.given && job->former.plan.wall_m > 0 ? job->former.plan.wall_m : 0;
    const double flange = job->former.given && job->former.plan.flange_m > 0 ? job->former.plan.flange_m : 0;
    const int across = side->lying ? 1 : 0, along = 1 - across;
    double box[2][2] = { { side->x[0], side->x[1] }, { side->y[0], side->y[1] } };
    cw_heat_part *part;

    if (wall > 0 || flange > 0) {
        if (side->inward < 0)
            box[across][0] = fmax(side->bare, box[across][0] - wall);
        else
            box[across][1] = fmin(side->bare, box[across][1] + wall);
        box[along][0] = fmax(side->room[0], box[along][0] - flange);
        box[along][1] = fmin(side->room[1], box[along][1] + flange);
        part = add_solid(section, "former", box[0], box[1], former);
        part->limit_c = former->limit_c;
    }
    part = add_part(section, "winding", side->x, side->y);
    part->winding = true;
    part->conductivity_w_per_mk[across] = material->across_w_per_mk.nominal;
    part->conductivity_w_per_mk[along] = material->along_axis_w_per_mk.nominal;
    part->conductivity_spread = sqrt(material->across_w_per_mk.max / material->across_w_per_mk.min);
    part->capacity_j_per_m3k = material->capacity_j_per_m3k;
    part->limit_c = class_c;
}

/* ---- in free air ----------------------------------------------------------------------------------------------- */

/* In the circle of the same mean turn. The bore's air hardly moves: nothing leaves through it. */
static void bare_coil(const cw_job *job, const cw_winding *winding, const cw_heat_material *former,
                      const cw_winding_material *material, cw_work_heat_study *study)
{
    const double middle = winding->mean_turn_m / (2 * PI), half = 0.5 * winding->depth_m;
    const double wall = job->former.given && job->former.plan.wall_m > 0 ? job->former.plan.wall_m : 0;
    const double flange = job->former.given && job->former.plan.flange_m > 0 ? job->former.plan.flange_m : 0;
    const double length = winding->plan.window.length_m, inner = fmax(0.1 * middle, middle - half - wall);
    const coil_side side = { .x = { middle - half, middle + half }, .y = { 0, length },
                             .room = { -flange, length + flange }, .inward = -1, .bare = inner };

    add_part(&study->section, "bore", (double[2]){ 0, inner }, (double[2]){ -flange, length + flange })->kind =
        CW_PART_SINK;
    add_coil(job, &side, former, material, study->thermal_class_c, &study->section);
    say(study, "In free air, upright, without iron: a magnet's iron makes it cooler.");
}

/* ---- in iron --------------------------------------------------------------------------------------------------- */

/* The room of the coil, which still air or resin fills: open magnets of the shape u have none. A plunger's goes to the
 * axis, where stop and plunger cover it all but the gap. */
static void add_filling(const cw_magnet *m, const cw_section *magnet, const cw_heat_material *filler, bool potted,
                        double limit_c, cw_heat_section *section)
{
    const cw_part *base = &magnet->part[0];
    const bool straight = m->shape == CW_MAGNET_E;
    const double pole = m->shape == CW_MAGNET_PLUNGER ? 0 : 0.5 * (straight ? m->pole_width_m : m->pole_diameter_m);
    const double rim = straight ? pole + m->window_width_m : 0.5 * m->outer_diameter_m - m->rim_thickness_m;
    const double top = m->shape == CW_MAGNET_PLUNGER ? m->height_m : 0;

    if (m->shape != CW_MAGNET_U)
        add_solid(section, potted ? "resin" : "air", (double[2]){ pole, rim }, (double[2]){ base->y[1], top }, filler)
            ->limit_c = limit_c;
}

/* A plunger touches its collar through the guide gap and the stop through the gap; a plate is left out. */
static void add_iron(const cw_magnet *m, const cw_section *magnet, const cw_heat_material *steel,
                     const cw_heat_material *air, cw_heat_section *section)
{
    int collar = -1, stop = -1;

    for (size_t i = 0; i < magnet->part_count; i++) {
        const cw_part *p = &magnet->part[i];
        double x[2] = { p->x[0], p->x[1] };

        if (p->iron[0] == '\0' || (p->moves && m->shape != CW_MAGNET_PLUNGER))
            continue;
        if (p->moves) {
            x[1] += m->guide_gap_m;
            for (int other = 0; other < 2; other++)
                if ((other == 0 ? collar : stop) >= 0)
                    section->contact[section->contact_count++] = (cw_heat_contact){
                        section->part_count, other == 0 ? collar : stop,
                        air->conductivity_w_per_mk.nominal / (other == 0 ? m->guide_gap_m : m->gap_m) };
        }
        collar = strcmp(p->name, "collar") == 0 ? section->part_count : collar;
        stop = strcmp(p->name, "stop") == 0 || (stop < 0 && strcmp(p->name, "base") == 0) ? section->part_count : stop;
        add_solid(section, p->name, x, p->y, steel)->emissivity = IRON_EMISSIVITY;
    }
}

static void add_sides(const cw_job *job, const cw_magnet *m, const cw_section *magnet, const cw_heat_material *former,
                      const cw_winding_material *material, double class_c, cw_heat_section *section)
{
    const double back = magnet->part[0].y[1];
    const double leg = m->shape == CW_MAGNET_U ? 0.5 * (m->window_width_m + m->pole_width_m) : 0;
    const double pole = 0.5 * (m->shape == CW_MAGNET_POT || m->shape == CW_MAGNET_PLUNGER ? m->pole_diameter_m
                                                                                         : m->pole_width_m);

    for (size_t i = 0; i < magnet->part_count; i++) {
        const cw_part *p = &magnet->part[i];
        coil_side side = { .x = { p->x[0], p->x[1] }, .y = { p->y[0], p->y[1] }, .inward = -1,
                           .room = { back, m->shape == CW_MAGNET_PLUNGER ? m->height_m - m->collar_thickness_m : 0 } };
        const double middle = 0.5 * (p->x[0] + p->x[1]) < 0 ? -leg : leg;

        if (p->coil < 0)
            continue;
        side.lying = m->coil_on_base;
        if (side.lying) {
            const double centre = magnet->part[0].y[0] + 0.5 * m->base_thickness_m;

            side.inward = p->y[0] > centre ? -1 : 1;
            side.bare = centre - side.inward * 0.5 * m->base_thickness_m;
            side.room[0] = -0.5 * m->window_width_m;
            side.room[1] = 0.5 * m->window_width_m;
        } else {
            side.inward = p->x[0] >= middle ? -1 : 1;
            side.bare = middle - side.inward * pole;
        }
        add_coil(job, &side, former, material, class_c, section);
    }
}

static cw_status in_iron(const cw_work *work, const cw_winding *winding, const cw_heat_material *filler,
                         const cw_heat_material *former, const cw_winding_material *material, cw_work_heat_study *study,
                         cw_error *error)
{
    cw_work_field_study field = { 0 };
    cw_heat_material steel, air;
    cw_section magnet;
    cw_status status = cw_work__magnet_with(work, winding, &field, error);

    if (status == CW_OK && field.magnet.shape == CW_MAGNET_SECTION)
        status = cw_refuse(error, NULL, NULL, "The heat of a freely drawn magnet is not computed.");
    if (status == CW_OK)
        status = cw_magnet_section(&field.magnet, &magnet, error);
    if (status == CW_OK)
        status = known_material("low-carbon steel", &steel, error);
    if (status == CW_OK)
        status = known_material("air 300 K", &air, error);
    if (status != CW_OK)
        return status;
    study->in_iron = true;
    study->section.planar = magnet.planar;
    study->section.depth_m = magnet.depth_m;
    study->section.mirrored = magnet.mirrored;
    add_filling(&field.magnet, &magnet, filler, work->job->potting.given,
                work->job->potting.given ? work->job->potting.class_c : NAN, &study->section);
    add_iron(&field.magnet, &magnet, &steel, &air, &study->section);
    add_sides(work->job, &field.magnet, &magnet, former, material, study->thermal_class_c, &study->section);
    study->share = field.coil_count;
    if (magnet.planar) {
        study->share *= fmin(1, 2 * magnet.depth_m / winding->mean_turn_m);
        say(study, "A straight magnet is taken as if no heat left through its front and back: it will be cooler.");
    }
    if (field.magnet.shape != CW_MAGNET_PLUNGER)
        say(study, "Without its plate, as it stands in the air: what it holds makes it cooler.");
    return CW_OK;
}

/* ---- the study ------------------------------------------------------------------------------------------------- */

static cw_status take_supply(const cw_work *work, const cw_winding *winding, cw_work_heat_study *study, cw_error *error)
{
    const cw_supply *supply = &work->job->supply;
    const cw_conductor *metal = cw_wire_conductor(work->catalogue, winding->plan.wire.material);

    if (!supply->given)
        return cw_refuse(error, NULL, "a supply: section, as in supply: {kind: dc, voltage: 96 V}",
                         "The job has no supply, so the coil's watts are not known.");
    study->section.ambient_c = isnan(supply->ambient_c) ? 40 : supply->ambient_c; /* the rating tables' [heat: §1.3] */
    study->section.drive = (cw_drive){ CW_DRIVE_VOLTAGE, study->share * cw_work__coil_voltage(work->job),
                                       study->share * winding->resistance_20c_ohm,
                                       metal->temperature_coefficient_20c_per_k };
    return CW_OK;
}

/* ---- ac -------------------------------------------------------------------------------------------------------- */

#define SHEET_KG_M3 7650 /* of electrical steel */

/* Flux density in the leg that the coil is on, by the volts on a turn: V = 4.44 f N B A [magnetics: §6]. */
static double leg_density(const cw_work *work, const cw_winding *winding, const cw_magnet *m)
{
    const cw_supply *supply = &work->job->supply;
    const bool round = m->shape == CW_MAGNET_POT || m->shape == CW_MAGNET_PLUNGER;
    const double area = round ? PI / 4 * m->pole_diameter_m * m->pole_diameter_m
                              : m->depth_m * (m->coil_on_base ? m->base_thickness_m : m->pole_width_m);

    return sqrt(2) * cw_work__coil_voltage(work->job) /
           (2 * PI * supply->frequency_hz * (double)winding->turns * area);
}

/* The same density in all of the iron, whose sections are made for it: good to the spread of the steels. */
static void lose_in_iron(const cw_section *magnet, double frequency_hz, cw_work_heat_study *study)
{
    const cw_band loss = cw_heat_lamination_loss(study->iron_peak_t, frequency_hz);
    cw_heat_section *section = &study->section;

    for (int p = 0; p < section->part_count; p++) {
        cw_heat_part *part = &section->part[p];
        const double depth = section->planar ? section->depth_m * (section->mirrored ? 2 : 1)
                                             : PI * (part->x[0] + part->x[1]);
        bool iron = false;

        for (size_t i = 0; i < magnet->part_count; i++)
            iron = iron || (magnet->part[i].iron[0] != '\0' && strcmp(magnet->part[i].name, part->name) == 0);
        if (!iron)
            continue;
        part->loss_w = loss.nominal * SHEET_KG_M3 * depth * (part->x[1] - part->x[0]) * (part->y[1] - part->y[0]);
        part->loss_spread = loss.max / loss.nominal;
        study->iron_loss_w += part->loss_w;
    }
}

/* The current of the closed armature does not hang on the copper: it is held, as the flux is. */
static cw_status take_alternating(cw_work *work, const cw_winding *winding, cw_work_heat_study *study, cw_error *error)
{
    const cw_circuit *circuit = &work->job->circuit;
    const int beside = circuit->given && circuit->connection == CW_PARALLEL ? circuit->coils : 1;
    const cw_work_switch_study *switched;
    cw_work_field_study field = { 0 };
    cw_section magnet;
    cw_status status = cw_work_switch(work, cw_work_usual_suppressor(work), &switched, error);

    if (status != CW_OK)
        return status;
    study->section.drive.kind = CW_DRIVE_CURRENT;
    study->section.drive.value = switched->study.closed.current_rms_a / beside;
    study->cold_current_a = switched->study.cold.current_rms_a / beside;
    if (!study->in_iron) {
        say(study, "On ac without iron the current is that of the coil in air.");
        return CW_OK;
    }
    status = cw_work__magnet_with(work, winding, &field, error);
    if (status == CW_OK)
        status = cw_magnet_section(&field.magnet, &magnet, error);
    if (status != CW_OK)
        return status;
    study->iron_peak_t = leg_density(work, winding, &field.magnet);
    lose_in_iron(&magnet, work->job->supply.frequency_hz, study);
    say(study, "On ac the current is that of the closed armature, and the iron's loss that of sheets of middling steel, within a "
        "factor of two; solid iron and shading rings are hotter.");
    return CW_OK;
}

/* ---- section --------------------------------------------------------------------------------------------------- */

cw_status cw_work__heat_section(const cw_work *work, const cw_winding *winding, cw_work_heat_study *study,
                                cw_error *error)
{
    const cw_job *job = work->job;
    cw_heat_material filler, former;
    cw_winding_material material;
    cw_error why;
    cw_status status = take_filler(job, study, &filler, error);

    study->share = 1;
    study->thermal_class_c = fmin(job->wanted.given ? job->wanted.thermal_class_c : NAN,
                                  job->potting.given ? job->potting.class_c : NAN);
    if (status == CW_OK && !find_material(job->former.material, &former))
        status = known_material("PA12 powder-fused", &former, error);
    if (status == CW_OK)
        status = winding_material(job, winding, &filler, &material, error);
    if (status != CW_OK)
        return status;
    if (winding->second_layer > 0)
        say(study, "Two sizes in series are taken as one winding: the finer wire runs somewhat hotter than this says.");
    status = in_iron(work, winding, &filler, &former, &material, study, &why);
    if (status == CW_BAD_INPUT) {
        bare_coil(job, winding, &former, &material, study);
        if (job->magnet_given)
            say(study, "%s", why.text);
        status = CW_OK;
    } else if (status != CW_OK && error != NULL) {
        *error = why;
    }
    return status == CW_OK ? take_supply(work, winding, study, error) : status;
}

/* Of the whole of one coil, as the rest of the program counts it. */
static void scale_run(cw_heat_run *run, double share)
{
    for (size_t i = 0; i < run->count; i++)
        run->curve[i].power_w /= share;
}

/* Coarser than the steady state in cells and steps: the press brake's peak comes out at 90.59 °C where finer cells and
 * steps give 90.32, against a doubt of 4.4 K, in a fifth of the time. */
static cw_status over_time(const cw_supply *supply, cw_work_heat_study *study, cw_error *error)
{
    const double tolerance_k = 3;
    const cw_heat_duty continuous = { .on_s = INFINITY, .start_c = NAN, .tolerance_k = tolerance_k };
    const cw_heat_duty cycle = { supply->duty_share * supply->duty_period_s, supply->duty_period_s, NAN, 0, tolerance_k };
    const cw_heat_wish coarse = { .fineness = 0.25 };
    cw_heat *heat = NULL;
    cw_status status = cw_heat_create(&study->section, &coarse, &heat, error);

    if (status == CW_OK)
        status = cw_heat_follow(heat, &continuous, &study->warm_up, error);
    study->intermittent = supply->duty_share > 0 && supply->duty_share < 1 && supply->duty_period_s > 0;
    if (status == CW_OK && study->intermittent)
        status = cw_heat_follow(heat, &cycle, &study->duty, error);
    if (status == CW_OK && study->intermittent) {
        cw_heat_destroy(&study->map);
        study->map = heat;
    } else {
        cw_heat_destroy(&heat);
    }
    return status;
}

/* A regulated source's case: the resistance grows and the current does not give way. On ac the current of the open
 * armature, if it does not close. */
static cw_status hold_current(cw_work_heat_study *study, cw_error *error)
{
    const cw_heat_wish coarse = { .fineness = 0.25 };
    cw_heat_section held = study->section;
    cw_heat_result result;
    cw_heat *heat = NULL;
    cw_status status;

    if (held.drive.kind == CW_DRIVE_VOLTAGE)
        study->cold_current_a = held.drive.value / held.drive.resistance_20c_ohm;
    held.drive.kind = CW_DRIVE_CURRENT;
    held.drive.value = study->cold_current_a;
    status = cw_heat_create(&held, &coarse, &heat, error);
    if (status == CW_OK)
        status = cw_heat_steady(heat, &result, error);
    if (status == CW_OK)
        study->held_hot_spot_c = result.runs_away ? INFINITY : result.hot_spot_c;
    cw_heat_destroy(&heat);
    return status;
}

static void take_duty_doubt(cw_work_heat_study *study)
{
    const double ambient = study->section.ambient_c;

    study->duty_doubt_k = study->steady.hot_spot_doubt_k * (study->duty.peak_hot_spot_c - ambient) /
                          (study->steady.hot_spot_c - ambient);
}

/* ---- one heat run ---------------------------------------------------------------------------------------------- */

#define METER_SHARE 0.005 /* of a resistance by two meters, where no doubt is given: half-width, 95 % */

/* The readings as the section sees them: of the part of the coil that lies in it. */
static cw_status take_readings(const cw_job *job, double share, cw_heat_reading *readings, cw_error *error)
{
    for (size_t i = 0; i < job->heat_run_count; i++) {
        const cw_job_heat_reading *r = &job->heat_run[i];
        const double doubt = r->doubt_ohm > 0 ? r->doubt_ohm : METER_SHARE * r->resistance_ohm;

        readings[i] = (cw_heat_reading){ r->time_s, share * r->resistance_ohm, r->ambient_c, share * doubt };
        if (i > 0 && !(r->time_s > job->heat_run[i - 1].time_s))
            return cw_refuse(error, &r->at, "times that rise from one reading to the next", "This reading of the heat run is "
                             "not later than the one before it.");
    }
    return CW_OK;
}

static void spread_of(cw_heat_section *section, const cw_heat_fit *fit)
{
    section->convection_scale = fit->convection_scale;
    section->conductivity_scale = fit->conductivity_scale;
    section->convection_spread = fit->convection_doubt;
    for (int p = 0; p < section->part_count; p++)
        if (section->part[p].winding)
            section->part[p].conductivity_spread = exp(fit->conductivity_doubt);
}

/* What is foretold without the run is kept beside what is foretold with it. */
static cw_status learn(const cw_job *job, cw_work_heat_study *study, cw_error *error)
{
    cw_heat_reading *readings = cw_allocate(job->heat_run_count, sizeof *readings);
    cw_heat_section driven = study->section;
    cw_status status = readings != NULL ? take_readings(job, study->share, readings, error) : cw_no_memory(error);

    for (size_t i = 0; i < job->heat_run_count; i++)
        if (!isnan(job->heat_run[i].voltage_v) && driven.drive.kind == CW_DRIVE_VOLTAGE) {
            driven.drive.value = study->share * job->heat_run[i].voltage_v;
            break;
        }
    if (status == CW_OK)
        status = cw_heat_steady_with_doubt(&study->section, NULL, &study->unfitted, error);
    if (status == CW_OK && job->heat_run_count < 3)
        status = cw_refuse(error, &job->heat_run[0].at, "three readings or more, the first of them cold",
                           "The heat run has %zu readings, which is too few to learn from.", job->heat_run_count);
    if (status == CW_OK)
        status = cw_heat_fit_run(&driven, readings, job->heat_run_count, &study->fit, error);
    if (status == CW_OK) {
        study->by_run = true;
        spread_of(&study->section, &study->fit);
    }
    cw_free(readings);
    return status;
}

/* ---- the whole ------------------------------------------------------------------------------------------------- */

static cw_status solve(cw_work *work, cw_work_heat_study *study, cw_error *error)
{
    cw_status status = cw_heat_create(&study->section, NULL, &study->map, error);

    if (status == CW_OK)
        status = cw_heat_steady(study->map, &study->steady, error);
    if (status == CW_OK && !study->steady.runs_away)
        status = cw_heat_doubt(&study->section, &study->steady.hot_spot_doubt_k, error);
    if (status == CW_OK)
        status = over_time(&work->job->supply, study, error);
    if (status == CW_OK)
        status = hold_current(study, error);
    if (status != CW_OK)
        return status;
    if (study->intermittent ? study->duty.runs_away : study->steady.runs_away)
        cw_heat_destroy(&study->map);
    take_duty_doubt(study);
    study->steady.resistance_hot_ohm /= study->share;
    study->steady.power_w /= study->share;
    study->steady.power_out_w /= study->share;
    scale_run(&study->warm_up, study->share);
    scale_run(&study->duty, study->share);
    return CW_OK;
}

static cw_status heat(cw_work *work, cw_work_heat_study *study, cw_error *error)
{
    const cw_winding *winding;
    cw_status status = cw_work_lay(work, &winding, NULL, error);

    if (status == CW_OK)
        status = cw_work__heat_section(work, winding, study, error);
    if (status == CW_OK && work->job->supply.kind == CW_AC)
        status = take_alternating(work, winding, study, error);
    if (status == CW_OK && work->job->heat_run_count > 0)
        status = learn(work->job, study, error);
    return status == CW_OK ? solve(work, study, error) : status;
}

cw_status cw_work_heat(cw_work *work, const cw_work_heat_study **study, cw_error *error)
{
    cw_work__stage *stage = &work->heat_stage;

    *study = NULL;
    if (!stage->tried)
        stage->status = heat(work, &work->heat, &stage->error);
    if (stage->status == CW_OK)
        *study = &work->heat;
    return cw_work__end(stage, stage->status, error);
}

cw_status cw_work__warm_c(cw_work *work, double *mean_c, cw_error *error)
{
    const cw_choice_option *option = work->choice->chosen != NULL ? work->choice->chosen : work->choice->options;
    const cw_wanted *wanted = &work->job->wanted;
    const cw_work_heat_study *study;
    /* on ac the heat asks the switching, which asks here */
    cw_status status = work->job->supply.given && work->job->supply.kind == CW_AC ? CW_BAD_INPUT
                                                                                  : cw_work_heat(work, &study, error);

    if (status == CW_OK)
        *mean_c = study->intermittent ? study->duty.peak_mean_winding_c : study->steady.mean_winding_c;
    else if (status != CW_BAD_INPUT)
        return status;
    else if (isfinite(option->mean_winding_c))
        *mean_c = option->mean_winding_c;
    else
        *mean_c = wanted->given && isfinite(wanted->thermal_class_c) ? wanted->thermal_class_c : 20;
    return CW_OK;
}
