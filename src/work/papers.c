/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job sheet's content and the figures, out of what the stages gave. Computes nothing about coils. */
#include "work/papers_internal.h"

#include "coilwright/laid_figure.h"
#include "evidence/identify_json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void clear(cw_papers *p)
{
    cw_free(p->marks);
    cw_free(p->candidates);
    cw_free(p->checks);
    cw_free(p->plots);
    cw_drafting_destroy(&p->former);
    cw_drafting_destroy(&p->arbor);
    cw_work__notes_clear(&p->notes);
}

static const char *interval_text(cw_work__notes *notes, cw_kind kind, const cw_interval *v, cw_unit_system units, int digits)
{
    char low[64], high[64];

    if (!isfinite(v->p50))
        return "";
    cw_quantity_format(kind, v->p05, units, digits, low, sizeof low);
    cw_quantity_format(kind, v->p95, units, digits, high, sizeof high);
    if (strchr(low, ' ') != NULL && strchr(high, ' ') != NULL && strcmp(strchr(low, ' '), strchr(high, ' ')) == 0)
        *strchr(low, ' ') = '\0'; /* "1870 to 1930 ft" */
    return cw_work__note(notes, "%s to %s", low, high);
}

static cw_status fill_candidates(cw_work *work, cw_papers *p, cw_error *error)
{
    const cw_identification *id = p->identification;
    const size_t most = id != NULL && id->candidate_count < 8 ? id->candidate_count : 8;

    if (id == NULL)
        return CW_OK;
    p->candidates = cw_allocate(most, sizeof *p->candidates);
    if (p->candidates == NULL)
        return cw_no_memory(error);
    for (size_t i = 0; i < most && i < id->candidate_count; i++) {
        const cw_candidate *c = &id->candidates[i];
        char name[96];

        if (i > 0 && c->probability < 0.005)
            break;
        cw_candidate_name(c, name, sizeof name);
        p->candidates[p->candidate_count++] = (cw_sheet_candidate){
            .wire = cw_work__note(&p->notes, "%s", name),
            .turns = work->job->window_given ? cw_work__note(&p->notes, "%.0f to %.0f", c->turns.p05, c->turns.p95) : "",
            .length = interval_text(&p->notes, CW_LENGTH, &c->length_m, work->job->units, 3),
            .resistance = interval_text(&p->notes, CW_RESISTANCE, &c->resistance_20c_ohm, work->job->units, 3),
            .probability = c->probability,
        };
    }
    return CW_OK;
}

double cw_papers__shop_c(const cw_job *job)
{
    for (size_t i = 0; i < job->reading_count; i++)
        if (isfinite(job->readings[i].at_c))
            return job->readings[i].at_c;
    return 20;
}

/* What the finished coil must measure: what is wanted with its tolerance, or what the wire's own band allows. */
static void resistance_band(const cw_work *work, const cw_papers *p, cw_band *band)
{
    const cw_choice *choice = work->choice;

    *band = p->winding->resistance_band_ohm;
    if (choice != NULL && isfinite(choice->wanted_resistance_20c_ohm) && isfinite(choice->tolerance)) {
        band->nominal = choice->wanted_resistance_20c_ohm;
        band->min = band->nominal * (1 - choice->tolerance);
        band->max = band->nominal * (1 + choice->tolerance);
    }
}

static void fill_limits(const cw_work *work, cw_papers *p)
{
    const cw_conductor *metal = cw_wire_conductor(work->catalogue, p->winding->plan.wire.material);
    const double shop = cw_papers__shop_c(work->job);
    const cw_unit_system units = work->job->units;
    cw_band band;

    resistance_band(work, p, &band);
    for (int i = 0; i < PAPER_LIMITS; i++) {
        const double at = i == 0 ? 20 : shop, factor = cw_wire_temperature_factor(metal, at);

        p->limits[i].condition =
            cw_work__note(&p->notes, "at %s%s", cw_work__quantity(&p->notes, CW_TEMPERATURE, at, units, 2),
                          i == 0 ? "" : ", as in the shop");
        p->limits[i].aim = cw_work__quantity(&p->notes, CW_RESISTANCE, p->winding->resistance_20c_ohm * factor, units, 4);
        p->limits[i].low = cw_work__quantity(&p->notes, CW_RESISTANCE, band.min * factor, units, 4);
        p->limits[i].high = cw_work__quantity(&p->notes, CW_RESISTANCE, band.max * factor, units, 4);
    }
}

static void add_order(cw_papers *p, const char *label, const char *value)
{
    if (p->order_count < PAPER_ORDER && value[0] != '\0')
        p->order[p->order_count++] = (cw_sheet_line){ label, value };
}

static void fill_order(const cw_work *work, cw_papers *p)
{
    const cw_choice_option *o = p->option;
    const cw_unit_system units = work->job->units;
    cw_work__notes *notes = &p->notes;

    add_order(p, "wire", cw_work__note(notes, "%s %s %s", o->wire.size.name,
                                       cw_build_trade_name(o->wire.size.system, o->wire.build),
                                       cw_material_name(o->wire.material)));
    if (o->two_sizes)
        add_order(p, "and, in series on it",
                  cw_work__note(notes, "%s %s, %ld of the %ld turns", o->second_wire.size.name,
                                cw_build_trade_name(o->second_wire.size.system, o->second_wire.build), o->second_turns,
                                o->turns));
    add_order(p, "to have ready", cw_work__note(notes, "%s, %s",
                                                cw_work__quantity(notes, CW_MASS, o->wire_mass_kg, units, 3),
                                                cw_work__quantity(notes, CW_LENGTH, o->wire_length_m, units, 3)));
    add_order(p, "of that on the coil", cw_work__note(notes, "%s, %s",
                                                      cw_work__quantity(notes, CW_MASS, o->mass_kg, units, 3),
                                                      cw_work__quantity(notes, CW_LENGTH, o->length_m, units, 3)));
    add_order(p, "on the shelf", o->from_stock ? "enough" : o->on_shelf ? "some, not enough" : "none");
    if (o->joints > 0)
        add_order(p, "joints", cw_work__note(notes, "%d, from the spools as they are", o->joints));
    if (isfinite(o->cost))
        add_order(p, "cost", cw_work__note(notes, "%.2f", o->cost));
}

static void add_program(cw_papers *p, const char *label, const char *value)
{
    if (p->program_count < PAPER_PROGRAM)
        p->program[p->program_count++] = (cw_sheet_line){ label, value };
}

static void fill_program(cw_work *work, cw_papers *p)
{
    const cw_replay *replay;
    cw_work__notes *notes = &p->notes;
    double low, high;
    cw_error error;

    if (cw_work_program(work, false, NULL, &replay, &error) != CW_OK) {
        if (work->job->machine.given)
            add_program(p, "no program", cw_work__note(notes, "%s", error.text));
        return;
    }
    cw_wire_tension_band(&p->winding->plan.wire, &low, &high);
    add_program(p, "machine", cw_work__note(notes, "%s, %s", cw_machine_kind_name(work->machine.kind),
                                            cw_code_name(work->machine.code)));
    add_program(p, "speed", cw_work__note(notes, "%.0f rpm", work->machine.speed_rpm));
    if (p->winding->second_layer > 0) {
        double least, most;

        cw_wire_tension_band(&p->winding->second_wire, &least, &most);
        if (isfinite(least))
            add_program(p, "tension, 2nd wire",
                        cw_work__note(notes, "%s to %s", cw_work__quantity(notes, CW_FORCE, least, CW_METRIC_UNITS, 2),
                                      cw_work__quantity(notes, CW_FORCE, most, CW_METRIC_UNITS, 2)));
    }
    if (isfinite(low))
        add_program(p, "tension", cw_work__note(notes, "%s to %s a strand",
                                                cw_work__quantity(notes, CW_FORCE, low, CW_METRIC_UNITS, 2),
                                                cw_work__quantity(notes, CW_FORCE, high, CW_METRIC_UNITS, 2)));
    if (replay != NULL) {
        add_program(p, "running time", cw_work__note(notes, "%.0f min, stops not counted", ceil(replay->time_s / 60)));
        add_program(p, "replayed", cw_work__note(notes, "%.6g turns in %zu layers, as the winding wants", replay->turns,
                                                 replay->layer_count));
    }
}

bool cw_papers__wants(const cw_papers *p, cw_sheet_part part)
{
    return p->parts == 0 || (p->parts & (1u << part)) != 0;
}

void cw_papers__glance(cw_papers *p, const char *label, const char *value)
{
    if (value[0] != '\0' && p->glance_count < PAPER_GLANCE)
        p->glance[p->glance_count++] = (cw_sheet_line){ label, value };
}

/* Of the choice; magnet, heat and switching add theirs. */
static void fill_glance(const cw_work *work, cw_papers *p)
{
    const cw_choice_option *o = p->option;
    cw_work__notes *notes = &p->notes;

    cw_papers__glance(p, "fits its window", cw_work__note(notes, "%.0f %%", 100 * o->fits_probability));
    if (isfinite(o->ampere_turns_ratio))
        cw_papers__glance(p, "ampere-turns of the original", cw_work__note(notes, "%.0f %%", 100 * o->ampere_turns_ratio));
    cw_papers__glance(p, "wire to have ready", cw_work__note(notes, "%s, %s",
                                                             cw_work__quantity(notes, CW_MASS, o->wire_mass_kg,
                                                                               work->job->units, 3),
                                                             cw_work__quantity(notes, CW_LENGTH, o->wire_length_m,
                                                                               work->job->units, 3)));
}

static cw_status fill_blocks(cw_work *work, cw_papers *p, cw_sheet_content *c, cw_error *error)
{
    const bool cover = cw_papers__wants(p, CW_SHEET_COVER) || cw_papers__wants(p, CW_SHEET_CAUTIONS);
    size_t usual_count;
    const cw_sheet_caution *usual = cw_sheet_usual_cautions(&usual_count);
    cw_status status = CW_OK;

    for (size_t i = 0; i < usual_count && i < PAPER_CAUTIONS; i++)
        p->cautions[p->caution_count++] = usual[i];
    if (cover)
        fill_glance(work, p);
    if (work->job->former.given && cw_papers__wants(p, CW_SHEET_FORMER))
        status = cw_papers__former(work, p, c->date, error);
    if (status == CW_OK && work->job->magnet_given && (cover || cw_papers__wants(p, CW_SHEET_MAGNET)))
        status = cw_papers__magnet(work, p, error);
    if (status == CW_OK && work->job->supply.given && (cover || cw_papers__wants(p, CW_SHEET_HEAT)))
        status = cw_papers__heat(work, p, error);
    if (status == CW_OK && work->job->magnet_given && (cover || cw_papers__wants(p, CW_SHEET_SWITCHING)))
        status = cw_papers__switching(work, p, error);
    if (status == CW_OK && (cover || cw_papers__wants(p, CW_SHEET_TESTS)))
        status = cw_papers__tests(work, p, c, error);
    if (status == CW_OK && cw_papers__wants(p, CW_SHEET_LABEL))
        cw_papers__label(work, p, c);
    c->glance = p->glance;
    c->glance_count = p->glance_count;
    c->blocks = p->blocks;
    c->block_count = p->block_count;
    c->cautions = p->cautions;
    c->caution_count = p->caution_count;
    return status;
}

static cw_status fill(cw_work *work, cw_papers *p, cw_sheet_content *c, cw_error *error)
{
    const cw_job *job = work->job;
    const cw_choice *choice = NULL;
    cw_status status;

    cw_work_identify(work, &p->identification, NULL);
    cw_work_choose(work, &choice, NULL);
    cw_work_lay(work, &p->winding, NULL, NULL);
    c->title = job->name != NULL ? job->name : "Coil rewind";
    c->machine = job->machine_name;
    c->note = job->note;
    c->units = job->units;
    if (job->reading_count > 0 && (p->marks = cw_work__marks(work, &p->notes)) == NULL)
        return cw_no_memory(error);
    c->readings = p->marks;
    c->reading_count = job->reading_count;
    status = fill_candidates(work, p, error);
    c->candidates = p->candidates;
    c->candidate_count = p->candidate_count;
    c->answer = p->identification != NULL ? p->identification->summary : NULL;
    if (status != CW_OK || p->winding == NULL || choice == NULL)
        return status;
    p->option = choice->chosen != NULL ? choice->chosen : choice->options;
    fill_limits(work, p);
    fill_order(work, p);
    fill_program(work, p);
    for (size_t i = 0; i < p->option->reason_count; i++)
        p->reasons[i] = p->option->reasons[i];
    c->wire = p->winding->plan.wire.size.name;
    c->covering = cw_work__note(&p->notes, "%s %s%s%s",
                                cw_build_trade_name(p->option->wire.size.system, p->option->wire.build),
                                cw_material_name(p->option->wire.material), p->option->two_sizes ? ", then " : "",
                                p->option->two_sizes ? p->option->second_wire.size.name : "");
    c->limits = p->limits;
    c->limit_count = fabs(cw_papers__shop_c(job) - 20) > 0.5 ? 2 : 1;
    c->reasons = p->reasons;
    c->reason_count = p->option->reason_count;
    c->winding = p->winding;
    c->order = p->order;
    c->order_count = p->order_count;
    c->program = p->program;
    c->program_count = p->program_count;
    status = fill_blocks(work, p, c, error);
    return status == CW_OK && p->notes.failed ? cw_no_memory(error) : status;
}

cw_status cw_work_sheet_as(cw_work *work, const cw_work_sheet_wish *wish, cw_text *out, cw_error *error)
{
    cw_papers p = { .parts = wish->parts };
    cw_sheet_content content = { .date = wish->date, .parts = wish->parts };
    cw_status status = fill(work, &p, &content, error);

    if (status == CW_OK)
        status = wish->html ? cw_sheet_write_html(&content, wish->paper, out, error)
                            : cw_sheet_write(&content, wish->paper, out, error);
    clear(&p);
    return status;
}

cw_status cw_work_sheet(cw_work *work, cw_sheet_paper paper, const char *date, cw_text *pdf, cw_error *error)
{
    return cw_work_sheet_as(work, &(cw_work_sheet_wish){ .paper = paper, .date = date }, pdf, error);
}

/* ---- figures ------------------------------------------------------------------------------------------------ */

static cw_status candidates_figure(cw_work *work, const cw_paper *paper, cw_text *out, cw_error *error)
{
    enum { MOST = 12 };
    const cw_identification *id;
    cw_work__notes notes = { 0 };
    const char *names[MOST];
    double probabilities[MOST];
    size_t count = 0;
    cw_status status = cw_work_identify(work, &id, error);

    for (; status == CW_OK && count < id->candidate_count && count < MOST; count++) {
        char name[96];

        if (count > 0 && id->candidates[count].probability < 0.002)
            break;
        cw_candidate_name(&id->candidates[count], name, sizeof name);
        names[count] = cw_work__note(&notes, "%s", name);
        probabilities[count] = id->candidates[count].probability;
    }
    if (status == CW_OK) {
        const cw_candidates_figure figure = { names, probabilities, count };

        status = cw_candidates_write(&figure, paper, out, error);
    }
    cw_work__notes_clear(&notes);
    return status;
}

static cw_status readings_figure(cw_work *work, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const cw_identification *id;
    cw_work__notes notes = { 0 };
    cw_reading_mark *marks = NULL;
    cw_status status = cw_work_identify(work, &id, error);

    if (status == CW_OK && (marks = cw_work__marks(work, &notes)) == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK) {
        const cw_readings_figure figure = { marks, work->job->reading_count };

        status = cw_readings_write(&figure, paper, out, error);
    }
    cw_free(marks);
    cw_work__notes_clear(&notes);
    return status;
}

/* The job's own program, replayed once more with an ear for every turn. */
static cw_status laid_figure(cw_work *work, cw_figure which, const cw_paper *paper, cw_text *out, cw_error *error)
{
    cw_laid_turns laid = { 0 };
    cw_text program = { 0 };
    const cw_replay *replay;
    cw_replay *again = NULL;
    cw_status status = cw_work_program(work, false, &program, &replay, error);

    if (status == CW_OK && replay == NULL)
        status = cw_refuse(error, NULL, NULL, "A sheet for winding by hand has no traverse to draw.");
    if (status == CW_OK) {
        cw_laid_figure figure = { &laid, NULL, work->winding, work->job->units };
        const cw_replay_request request = { .machine = &work->machine, .winding = work->winding,
                                            .listener = cw_laid_turns_keep, .context = &laid };

        status = cw_replay_text(&request, program.data, program.length, &again, error);
        if (status == CW_OK && laid.failed)
            status = cw_no_memory(error);
        figure.replay = again;
        if (status == CW_OK)
            status = which == CW_FIGURE_LAID ? cw_laid_write(&figure, paper, out, error) :
                                               cw_laid_traverse_write(&figure, paper, out, error);
    }
    cw_replay_destroy(&again);
    cw_laid_turns_clear(&laid);
    cw_text_clear(&program);
    return status;
}

cw_status cw_work_figure(cw_work *work, cw_figure figure, cw_format format, cw_text *out, cw_error *error)
{
    static const char *const titles[] = {
        [CW_FIGURE_CANDIDATES] = "What the winding may have been",
        [CW_FIGURE_READINGS] = "Each reading against the others",
        [CW_FIGURE_SECTION] = "Section through the winding",
        [CW_FIGURE_FLUX] = "Flux of the magnet",
        [CW_FIGURE_PULL] = "Pull over the air gap",
        [CW_FIGURE_PLATE] = "Pull over the thickness of the plate",
        [CW_FIGURE_LAID] = "The lay as the program winds it",
        [CW_FIGURE_TRAVERSE] = "The traverse against turns",
        [CW_FIGURE_HEAT_MAP] = "Temperatures of the section",
        [CW_FIGURE_DUTY] = "Temperatures over the duty",
        [CW_FIGURE_SWITCH_ON] = "Switching on",
        [CW_FIGURE_SWITCH_OFF] = "Switching off",
        [CW_FIGURE_SUPPRESSORS] = "What to put across the coil",
        [CW_FIGURE_OPTIONS] = "What can be wound instead",
    };
    const cw_paper paper = { .format = format, .title = titles[figure] };
    const cw_winding *winding;
    cw_status status;

    switch (figure) {
    case CW_FIGURE_CANDIDATES:
        return candidates_figure(work, &paper, out, error);
    case CW_FIGURE_READINGS:
        return readings_figure(work, &paper, out, error);
    case CW_FIGURE_FLUX:
    case CW_FIGURE_PULL:
    case CW_FIGURE_PLATE:
        return cw_work__magnet_figure(work, figure, &paper, out, error);
    case CW_FIGURE_LAID:
    case CW_FIGURE_TRAVERSE:
        return laid_figure(work, figure, &paper, out, error);
    case CW_FIGURE_HEAT_MAP:
    case CW_FIGURE_DUTY:
        return cw_work__heat_figure(work, figure, &paper, out, error);
    case CW_FIGURE_SWITCH_ON:
    case CW_FIGURE_SWITCH_OFF:
    case CW_FIGURE_SUPPRESSORS:
        return cw_work__switch_figure(work, figure, &paper, out, error);
    case CW_FIGURE_OPTIONS:
        return cw_work__options_figure(work, &paper, out, error);
    case CW_FIGURE_SECTION:
        break;
    }
    status = cw_work_lay(work, &winding, NULL, error);
    if (status == CW_OK)
        status = cw_section_write(&(cw_section_figure){ winding, work->job->units }, &paper, out, error);
    return status;
}
