/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Magnet, heat and switching on the sheet: what the stages found, in lines, tables and pictures. */
#include "work/papers_internal.h"

#include <math.h>
#include <string.h>

/* ---- putting blocks together ------------------------------------------------------------------------------------- */

void cw_papers__line(cw_papers *p, const char *label, const char *value)
{
    if (value[0] != '\0' && p->line_count < PAPER_LINES)
        p->lines[p->line_count++] = (cw_sheet_line){ label, value };
}

void cw_papers__cell(cw_papers *p, const char *text)
{
    if (p->cell_count < PAPER_CELLS)
        p->cells[p->cell_count++] = text;
}

cw_sheet_block *cw_papers__block(cw_papers *p, cw_sheet_part part, const char *heading)
{
    static cw_sheet_block none;
    cw_sheet_block *block = p->block_count < PAPER_BLOCKS ? &p->blocks[p->block_count++] : &none;

    *block = (cw_sheet_block){ .part = part, .heading = heading };
    return block;
}

void cw_papers__end_lines(cw_papers *p, size_t first)
{
    cw_sheet_block *block = &p->blocks[p->block_count - 1];

    block->lines = p->lines + first;
    block->line_count = p->line_count - first;
}

void cw_papers__end_table(cw_papers *p, const cw_column *columns, size_t column_count, size_t first)
{
    cw_sheet_block *block = &p->blocks[p->block_count - 1];

    block->grid = (cw_sheet_grid){ columns, column_count, p->cells + first, (p->cell_count - first) / column_count };
}

/* ---- pictures ---------------------------------------------------------------------------------------------------- */

#define PLOT_MM 62.0
#define DUTY_MM 66.0
#define SWITCH_OFF_MM 84.0

static double plot_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    (void)figure;
    (void)width_mm;
    return PLOT_MM;
}

static void draw_plots(cw_canvas *canvas, cw_box box, const void *figure)
{
    const struct cw_papers_plots *plots = figure;
    const double gutter = 6, width = (box.width - gutter * (double)(plots->count - 1)) / (double)plots->count;

    for (size_t i = 0; i < plots->count; i++)
        cw_plot_draw(canvas, (cw_box){ box.x + (double)i * (width + gutter), box.y, width, box.height },
                     &plots->plot[i].plot);
}

static double flux_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    return fmin(110, cw_flux_height(figure, width_mm));
}

static void draw_flux(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_flux_draw(canvas, box, figure);
}

static double map_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    return fmin(105, cw_heat_map_height(figure, width_mm));
}

static void draw_map(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_heat_map_draw(canvas, box, figure);
}

static double duty_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    (void)figure;
    (void)width_mm;
    return DUTY_MM;
}

static void draw_duty(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_duty_draw(canvas, box, figure);
}

static double on_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    (void)width_mm;
    return fmin(95, cw_switch_on_height(figure));
}

static void draw_on(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_switch_on_draw(canvas, box, figure);
}

static double off_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    (void)figure;
    (void)width_mm;
    return SWITCH_OFF_MM;
}

static void draw_off(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_switch_off_draw(canvas, box, figure);
}

static double suppressors_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    return cw_suppressors_height(canvas, figure, width_mm);
}

static void draw_suppressors(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_suppressors_draw(canvas, box, figure);
}

/* ---- magnet ------------------------------------------------------------------------------------------------------ */

static void magnet_lines(const cw_work_field_study *study, cw_unit_system units, cw_papers *p)
{
    const cw_field_result *hot = &study->hot;
    const size_t first = p->line_count;
    cw_work__notes *notes = &p->notes;

    cw_papers__line(p, "air gap", cw_work__quantity(notes, CW_LENGTH, study->magnet.gap_m, units, 3));
    cw_papers__line(p, "current, hot", cw_work__quantity(notes, CW_CURRENT, study->magnet.current_a, units, 3));
    cw_papers__line(p, "ampere-turns, hot", cw_work__note(notes, "%.0f", hot->ampere_turns));
    cw_papers__line(p, "pull, hot", cw_work__quantity(notes, CW_FORCE, hot->force_n, units, 4));
    cw_papers__line(p, "pull, cold", cw_work__quantity(notes, CW_FORCE, study->cold.force_n, units, 4));
    cw_papers__line(p, "pull asked for", cw_work__quantity(notes, CW_FORCE, study->pull_needed_n, units, 3));
    cw_papers__line(p, "pull by hand, hot", cw_work__quantity(notes, CW_FORCE, study->hand.force_n, units, 3));
    if (hot->saturates_first >= 0)
        cw_papers__line(p, "nearest to saturation",
                        cw_work__note(notes, "%s, %.2f T, %.0f %%", hot->part[hot->saturates_first].name,
                                      hot->part[hot->saturates_first].density_t,
                                      100 * hot->part[hot->saturates_first].saturation));
    cw_papers__line(p, "inductance, hot", cw_work__quantity(notes, CW_INDUCTANCE, hot->inductance_h, units, 3));
    cw_papers__line(p, "leakage factor", cw_work__note(notes, "%.2f", hot->leakage_factor));
    cw_papers__end_lines(p, first);
}

static cw_status add_plots(cw_work *work, cw_papers *p, cw_error *error)
{
    static const cw_figure figures[] = { CW_FIGURE_PULL, CW_FIGURE_PLATE };

    p->plots = cw_allocate(1, sizeof *p->plots);
    if (p->plots == NULL)
        return cw_no_memory(error);
    for (int i = 0; i < 2; i++) {
        const cw_status status = cw_work__pull_plot(work, figures[i], &p->notes, &p->plots->plot[p->plots->count], error);

        if (status != CW_OK && status != CW_BAD_INPUT)
            return status;
        p->plots->count += status == CW_OK;
    }
    if (p->plots->count > 0)
        cw_papers__block(p, CW_SHEET_MAGNET, p->plots->count > 1 ? "Pull over the air gap, and over the plate's thickness"
                                                                 : "Pull over the air gap")->picture =
            (cw_sheet_picture){ draw_plots, plot_height, p->plots,
                                "Pull over the air gap, cold, hot and the original hot where it is known; pull over the "
                                "thickness of the plate, hot. Marked: where the magnet stands, and what is asked for." };
    return CW_OK;
}

static cw_status add_holding(cw_work *work, const cw_work_field_study *study, cw_papers *p, cw_error *error)
{
    static const cw_column columns[] = {
        { "one after the other", CW_COLUMN_STRONG, 0.30 }, { "pull left", CW_COLUMN_RIGHT, 0.14 },
        { "of that before", CW_COLUMN_RIGHT, 0.12 }, { "what others say of that", CW_COLUMN_SMALL, 0.44 },
    };
    const cw_unit_system units = work->job->units;
    const size_t first = p->cell_count;
    const cw_work_holding *holding;
    cw_text remarks = { 0 };
    cw_status status = cw_work_pull_left(work, &holding, error);

    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    cw_work__holding_remarks(study, holding, units, "", &remarks);
    for (char *c = remarks.data; c != NULL && *c != '\0'; c++)
        *c = *c == '\n' ? ' ' : *c;
    cw_papers__block(p, CW_SHEET_MAGNET, "What remains of the pull")->text =
        cw_work__note(&p->notes, "%s", remarks.data != NULL ? remarks.data : "");
    p->notes.failed = p->notes.failed || remarks.failed;
    cw_text_clear(&remarks);
    for (size_t i = 0; i < holding->step_count; i++) {
        const cw_holding_step *step = &holding->step[i];

        cw_papers__cell(p, i == 0 ? "cold, machined faces, thick plate" : step->what);
        cw_papers__cell(p, cw_work__quantity(&p->notes, CW_FORCE, step->force_n, units, 4));
        cw_papers__cell(p, i == 0 ? "" : cw_work__note(&p->notes, "%.0f %%", 100 * step->share));
        cw_papers__cell(p, cw_work__usual_share(step, &p->notes));
    }
    cw_papers__end_table(p, columns, 4, first);
    return CW_OK;
}

static void rewind_row(cw_papers *p, const char *what, const char *original, const char *rewound, double ratio)
{
    cw_papers__cell(p, what);
    cw_papers__cell(p, original);
    cw_papers__cell(p, rewound);
    cw_papers__cell(p, isfinite(ratio) ? cw_work__note(&p->notes, "%.0f %%", 100 * ratio) : "");
}

static void rewind_quantity(cw_papers *p, const char *what, cw_kind kind, double original, double rewound, int digits,
                            cw_unit_system units)
{
    if (isfinite(original) && isfinite(rewound))
        rewind_row(p, what, cw_work__quantity(&p->notes, kind, original, units, digits),
                   cw_work__quantity(&p->notes, kind, rewound, units, digits),
                   kind == CW_TEMPERATURE ? NAN : rewound / original);
}

static cw_status add_rewind(cw_work *work, cw_papers *p, cw_error *error)
{
    static const cw_column columns[] = {
        { "at the same supply, hot", CW_COLUMN_STRONG, 0.34 }, { "original", CW_COLUMN_RIGHT, 0.20 },
        { "new", CW_COLUMN_RIGHT, 0.20 }, { "new over original", CW_COLUMN_RIGHT, 0.18 },
    };
    const cw_unit_system units = work->job->units;
    const size_t first = p->cell_count;
    const cw_work_rewind *rewind;
    const cw_rewind_side *a, *b;
    cw_status status = cw_work_rewound(work, &rewind, error);

    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    a = &rewind->original;
    b = &rewind->rewound;
    cw_papers__block(p, CW_SHEET_MAGNET, "Original and new winding");
    rewind_row(p, "turns", cw_work__note(&p->notes, "%.0f", a->turns), cw_work__note(&p->notes, "%.0f", b->turns),
               b->turns / a->turns);
    rewind_quantity(p, "resistance at 20 °C", CW_RESISTANCE, a->resistance_20c_ohm, b->resistance_20c_ohm, 4, units);
    rewind_quantity(p, "mean of the winding", CW_TEMPERATURE, a->winding_c, b->winding_c, 3, units);
    rewind_quantity(p, "current", CW_CURRENT, a->current_a, b->current_a, 3, units);
    rewind_quantity(p, "power while on", CW_POWER, a->power_w, b->power_w, 3, units);
    rewind_row(p, "ampere-turns", cw_work__note(&p->notes, "%.0f", a->ampere_turns),
               cw_work__note(&p->notes, "%.0f", b->ampere_turns), b->ampere_turns / a->ampere_turns);
    rewind_quantity(p, "pull", CW_FORCE, a->force_n, b->force_n, 4, units);
    rewind_quantity(p, "pull at the open gap", CW_FORCE, a->open_force_n, b->open_force_n, 3, units);
    rewind_quantity(p, "time constant, closed", CW_TIME, a->time_constant_s, b->time_constant_s, 3, units);
    cw_papers__end_table(p, columns, 4, first);
    return CW_OK;
}

cw_status cw_papers__magnet(cw_work *work, cw_papers *p, cw_error *error)
{
    const cw_unit_system units = work->job->units;
    const cw_work_field_study *study;
    cw_status status = cw_work_field(work, &study, error);

    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    cw_papers__glance(p, "pull, hot", cw_work__note(&p->notes, "%s at %s",
                                                    cw_work__quantity(&p->notes, CW_FORCE, study->hot.force_n, units, 3),
                                                    cw_work__quantity(&p->notes, CW_LENGTH, study->magnet.gap_m, units, 3)));
    cw_papers__glance(p, "pull asked for", cw_work__quantity(&p->notes, CW_FORCE, study->pull_needed_n, units, 3));
    if (!cw_papers__wants(p, CW_SHEET_MAGNET))
        return CW_OK;
    p->flux = (cw_flux_figure){ .field = study->field, .units = units };
    cw_papers__block(p, CW_SHEET_MAGNET, "The magnet, hot")->picture =
        (cw_sheet_picture){ draw_flux, flux_height, &p->flux, "The magnet's section with its flux lines and the flux density "
                                                             "in its iron; beside it the air gap, enlarged." };
    magnet_lines(study, units, p);
    status = add_plots(work, p, error);
    if (status == CW_OK)
        status = add_holding(work, study, p, error);
    return status == CW_OK ? add_rewind(work, p, error) : status;
}

/* ---- former ------------------------------------------------------------------------------------------------------ */

static double drawing_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    double width, height;

    (void)canvas;
    cw_drafting_size(figure, &width, &height);
    return width_mm * height / width;
}

static void draw_drawing(cw_canvas *canvas, cw_box box, const void *figure)
{
    cw_drafting_draw(figure, 0, canvas, box);
}

static void add_drawing(cw_papers *p, const cw_drafting *drawing, const char *heading, const char *says)
{
    if (drawing != NULL)
        cw_papers__block(p, CW_SHEET_FORMER, heading)->picture =
            (cw_sheet_picture){ draw_drawing, drawing_height, drawing, says, true };
}

/* The former, and the arbor put together; the arbor's parts have drawings of their own. */
cw_status cw_papers__former(cw_work *work, cw_papers *p, const char *date, cw_error *error)
{
    cw_drafting_setting setting;
    cw_status status;

    cw_work_drawing_setting(work, &setting);
    setting.date = date;
    status = cw_work_drawings(work, &setting, &p->former, &p->arbor, error);
    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    add_drawing(p, p->former, "The former", "Workshop drawing of the former: section along the axis, ends, dimensions, "
                                            "notes.");
    add_drawing(p, p->arbor, "The arbor that carries it", "Workshop drawing of the arbor put together, with its list of "
                                                          "parts.");
    if (p->arbor != NULL)
        p->blocks[p->block_count - 1].text = "The drawings of its parts stand with the job's other papers, in arbor.pdf.";
    return CW_OK;
}

/* ---- heat -------------------------------------------------------------------------------------------------------- */

static void heat_lines(const cw_work_heat_study *study, cw_unit_system units, cw_papers *p)
{
    const cw_heat_result *steady = &study->steady;
    const size_t first = p->line_count;
    cw_work__notes *notes = &p->notes;

    cw_papers__line(p, "power while on, hot", cw_work__quantity(notes, CW_POWER, steady->power_w, units, 3));
    cw_papers__line(p, "air around it", cw_work__quantity(notes, CW_TEMPERATURE, study->section.ambient_c, units, 3));
    cw_papers__line(p, "hot spot, always on",
                    cw_work__note(notes, "%s, good to %s",
                                  cw_work__quantity(notes, CW_TEMPERATURE, steady->hot_spot_c, units, 3),
                                  cw_work__quantity(notes, CW_TEMPERATURE_DIFFERENCE, steady->hot_spot_doubt_k, units, 2)));
    if (study->intermittent)
        cw_papers__line(p, "hot spot by its duty",
                        cw_work__quantity(notes, CW_TEMPERATURE, study->duty.peak_hot_spot_c, units, 3));
    cw_papers__line(p, "surface, always on", cw_work__quantity(notes, CW_TEMPERATURE, steady->surface_c, units, 3));
    cw_papers__line(p, "time constant", cw_work__quantity(notes, CW_TIME, study->warm_up.time_constant_s, units, 3));
    if (isfinite(study->thermal_class_c))
        cw_papers__line(p, "thermal class", cw_work__note(notes, "%.0f", study->thermal_class_c));
    cw_papers__end_lines(p, first);
}

static const char *hot_spot_text(const cw_work_heat_study *study, cw_unit_system units, cw_work__notes *notes)
{
    const char *spot = cw_work__quantity(notes, CW_TEMPERATURE, cw_work_hot_spot_c(study), units, 3);

    if (!isfinite(study->thermal_class_c))
        return spot;
    return cw_work__note(notes, "%s; class %.0f stands %s", spot, study->thermal_class_c,
                         cw_work__quantity(notes, CW_TEMPERATURE, study->thermal_class_c, units, 3));
}

/* The part that passes its limit most, if any does. */
static void too_warm(const cw_work_heat_study *study, cw_unit_system units, cw_papers *p)
{
    cw_heat_part_result parts[CW_MOST_HEAT_PARTS];
    const size_t count = cw_work_heat_parts(study, parts);
    const cw_heat_part_result *worst = NULL;

    for (size_t i = 0; i < count; i++)
        if (parts[i].margin_k < 0 && (worst == NULL || parts[i].margin_k < worst->margin_k))
            worst = &parts[i];
    if (worst != NULL)
        cw_papers__glance(p, "TOO WARM",
                          cw_work__note(&p->notes, "%s %s; it stands %s", worst->name,
                                        cw_work__quantity(&p->notes, CW_TEMPERATURE, worst->most_c, units, 3),
                                        cw_work__quantity(&p->notes, CW_TEMPERATURE, worst->limit_c, units, 3)));
}

/* Those that this coil asks for, besides the usual ones. */
static void add_cautions(cw_papers *p, const cw_cautions *cautions)
{
    for (size_t i = 0; i < cautions->count && p->caution_count < PAPER_CAUTIONS; i++)
        p->cautions[p->caution_count++] =
            (cw_sheet_caution){ CW_BEFORE_USE, cw_work__note(&p->notes, "%s", cautions->text[i]) };
}

cw_status cw_papers__heat(cw_work *work, cw_papers *p, cw_error *error)
{
    const cw_unit_system units = work->job->units;
    const cw_work_heat_study *study;
    cw_cautions cautions = { .count = 0 };
    cw_status status = cw_work_heat(work, &study, error);

    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    if (study->steady.runs_away && !study->intermittent) {
        cw_papers__glance(p, "hot spot", "it runs away: do not switch it on for good");
        return CW_OK;
    }
    cw_papers__glance(p, study->intermittent ? "hot spot by its duty" : "hot spot, always on",
                      hot_spot_text(study, units, &p->notes));
    too_warm(study, units, p);
    cw_work_heat_cautions(study, units, &cautions);
    add_cautions(p, &cautions);
    if (!cw_papers__wants(p, CW_SHEET_HEAT))
        return CW_OK;
    cw_papers__block(p, CW_SHEET_HEAT, "How warm it becomes")->text = study->remark[0] != '\0' ? study->remark : NULL;
    heat_lines(study, units, p);
    if (study->map != NULL) {
        p->heat_map = cw_work_heat_map(study, units);
        cw_papers__block(p, CW_SHEET_HEAT, study->intermittent ? "Temperatures at the end of the on-time"
                                                               : "Temperatures, always on")->picture =
            (cw_sheet_picture){ draw_map, map_height, &p->heat_map,
                                "The coil's section with its isotherms and its hot spot, and the greatest temperature of "
                                "each part." };
    }
    p->duty = cw_work_duty(study, units);
    cw_papers__block(p, CW_SHEET_HEAT, "Temperatures over time")->picture =
        (cw_sheet_picture){ draw_duty, duty_height, &p->duty, "Hot spot, mean of the winding and surface over time, with the "
                                                              "thermal class as a line." };
    return CW_OK;
}

/* ---- switching --------------------------------------------------------------------------------------------------- */

static void switch_lines(const cw_work_switch_study *study, cw_unit_system units, cw_papers *p)
{
    const cw_switch_study *s = &study->study;
    const size_t first = p->line_count;
    cw_work__notes *notes = &p->notes;

    cw_papers__line(p, "pulls in after, cold", cw_work__time(notes, s->cold.time_to_pull_s, units));
    cw_papers__line(p, "pulls in after, hot", cw_work__time(notes, s->hot.time_to_pull_s, units));
    cw_papers__line(p, "current, cold", cw_work__quantity(notes, CW_CURRENT, s->closed.current_a, units, 3));
    cw_papers__line(p, "stored energy", cw_work__quantity(notes, CW_ENERGY, s->off.stored_j, units, 3));
    cw_papers__line(p, "across the coil", cw_suppressor_name(s->off.suppressor.kind));
    cw_papers__line(p, "lets go after", cw_work__time(notes, s->off.time_to_release_s, units));
    cw_papers__line(p, "peak across the coil", cw_work__quantity(notes, CW_VOLTAGE, s->off.peak_voltage_v, units, 3));
    cw_papers__end_lines(p, first);
}

cw_status cw_papers__switching(cw_work *work, cw_papers *p, cw_error *error)
{
    const cw_unit_system units = work->job->units;
    const cw_work_switch_study *study;
    cw_cautions cautions = { .count = 0 };
    const cw_suppressor_kind kind = work->switch_stage.tried ? work->suppressor : cw_work_usual_suppressor(work);
    cw_status status = cw_work_switch(work, kind, &study, error);

    if (status != CW_OK)
        return status == CW_BAD_INPUT ? CW_OK : status;
    if (!study->by_field) /* figures in air would stand beside those of the iron */
        return CW_OK;
    cw_work_switch_cautions(study, units, &cautions);
    add_cautions(p, &cautions);
    if (isfinite(study->study.off.time_to_release_s))
        cw_papers__glance(p, "lets go after",
                          cw_work__note(&p->notes, "%s with a %s across it",
                                        cw_work__time(&p->notes, study->study.off.time_to_release_s, units),
                                        cw_suppressor_name(study->study.off.suppressor.kind)));
    if (!cw_papers__wants(p, CW_SHEET_SWITCHING))
        return CW_OK;
    p->switching = cw_work_switch_curves(study, units);
    cw_papers__block(p, CW_SHEET_SWITCHING, "Switching on")->picture =
        (cw_sheet_picture){ draw_on, on_height, &p->switching, "Current and pull after switch-on, cold and hot." };
    switch_lines(study, units, p);
    p->blocks[p->block_count - 1].text = study->remark[0] != '\0' ? study->remark : NULL;
    cw_papers__block(p, CW_SHEET_SWITCHING, "Switching off")->picture =
        (cw_sheet_picture){ draw_off, off_height, &p->switching,
                            "Current and voltage after switch-off with each suppressor." };
    cw_papers__block(p, CW_SHEET_SWITCHING, "What to put across the coil")->picture =
        (cw_sheet_picture){ draw_suppressors, suppressors_height, &p->switching,
                            "Each suppressor: time to let go, peak voltage, energy, what to buy, what it costs." };
    p->blocks[p->block_count - 1].text = study->study.off.rating.text;
    return CW_OK;
}
