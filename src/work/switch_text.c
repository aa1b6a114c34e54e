/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A study of switching in words and as a document. */
#include "work/switch_json.h"
#include "work/work_internal.h"

#include "circuit/circuit_json.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#define BITES_J 0.5 /* more is never broken by a bare switch; shop practice, see docs/switching.md */

/* ---- cautions -------------------------------------------------------------------------------------------------- */

static void add(cw_cautions *list, const char *format, ...) CW_PRINTF(2, 3);

static void add(cw_cautions *list, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(list->text[list->count++], sizeof list->text[0], format, arguments);
    va_end(arguments);
}

/* The coil is dead when the slowest harmless part, a diode or on ac the resistor, has let the current die. */
void cw_work_switch_cautions(const cw_work_switch_study *study, cw_unit_system units, cw_cautions *cautions)
{
    const cw_switch_off *none = &study->study.each[CW_SUPPRESS_NONE];
    const bool diode = study->study.applies[CW_SUPPRESS_DIODE];
    const double wait_s = study->study.each[diode ? CW_SUPPRESS_DIODE : CW_SUPPRESS_RESISTOR].time_to_end_s;
    char energy[40], peak[40], wait[40];

    cw_quantity_format(CW_ENERGY, none->stored_j, units, 2, energy, sizeof energy);
    cw_quantity_format(CW_VOLTAGE, none->peak_voltage_v, units, 1, peak, sizeof peak);
    cw_quantity_format(CW_TIME, wait_s, units, 2, wait, sizeof wait);
    cautions->count = 0;
    if (none->stored_j > BITES_J)
        add(cautions, "It stores %s: never break its circuit with a bare switch or by pulling a plug; with nothing across it "
            "something like %s stands between its leads.", energy, peak);
    else
        add(cautions, "It stores %s; with nothing across it something like %s stands between its leads when the circuit opens.",
            energy, peak);
    add(cautions, "After switch-off wait %s, prove it dead, and only then take it off.", wait);
    add(cautions, "It bites through the meter too: short its leads before the meter's clips come off, and hold them by what is "
        "insulated.");
    if (!none->within_insulation)
        add(cautions, "That peak is more than the winding is tested with: fit a part across it before it is first switched off.");
}

/* ---- document -------------------------------------------------------------------------------------------------- */

json_t *cw_work_switch_json(const cw_work_switch_study *study)
{
    json_t *document = cw_circuit_json(&study->study), *more, *list;
    cw_cautions cautions;

    cw_work_switch_cautions(study, CW_METRIC_UNITS, &cautions);
    list = json_array();
    for (size_t i = 0; i < cautions.count; i++)
        json_array_append_new(list, json_string(cautions.text[i]));
    more = json_pack("{s:s, s:f, s:f, s:f, s:f, s:f, s:o, s:s}", "flux_linkage_by", study->by_field ? "field" : "coil in air",
                     "resistance_cold_ohm", study->cold_ohm, "resistance_hot_ohm", study->hot_ohm, "winding_c",
                     study->winding_c, "open_gap_m", study->open_gap_m, "closed_gap_m", study->closed_gap_m, "cautions",
                     list, "remark", study->remark);
    if (document == NULL || more == NULL || json_object_update(document, more) != 0) {
        json_decref(document);
        document = NULL;
    }
    json_decref(more);
    return document;
}

/* ---- words ----------------------------------------------------------------------------------------------------- */

static const char *time_text(cw_work__notes *notes, double time_s, cw_unit_system units)
{
    return isnan(time_s) ? "-" : cw_work__time(notes, time_s, units);
}

static void say_on(const char *label, const cw_switch_on *on, cw_unit_system units, cw_text *text)
{
    cw_work__notes notes = { 0 };

    cw_text_print(text, "  %-12s  %-11s  %-11s  %-10s  %3.0f %%    %s\n", label,
                  time_text(&notes, on->time_to_pull_s, units), time_text(&notes, on->time_to_95_s, units),
                  cw_work__quantity(&notes, CW_CURRENT, on->current_a, units, 3), 100 * on->ripple,
                  isfinite(on->force_mean_n) ? cw_work__quantity(&notes, CW_FORCE, on->force_mean_n, units, 3) : "-");
    cw_work__notes_clear(&notes);
}

static void say_off(const cw_switch_off *off, cw_unit_system units, cw_text *text)
{
    cw_work__notes notes = { 0 };
    const char *share = isfinite(off->insulation_test_v)
                            ? cw_work__note(&notes, "%.0f %%", 100 * off->peak_voltage_v / off->insulation_test_v) : "-";

    cw_text_print(text, "  %-19s  %-9s  %-9s  %-8s %6s  %-9s  %s%s\n", cw_suppressor_name(off->suppressor.kind),
                  time_text(&notes, off->time_to_release_s, units), time_text(&notes, off->time_to_end_s, units),
                  cw_work__quantity(&notes, CW_VOLTAGE, off->peak_voltage_v, units, 3), share,
                  cw_work__quantity(&notes, CW_ENERGY, off->clamp_energy_j, units, 3),
                  cw_work__quantity(&notes, CW_POWER, off->peak_power_w, units, 3),
                  off->within_insulation ? "" : ", too much for the winding");
    cw_work__notes_clear(&notes);
}

static void say_parts(const cw_switch_study *s, cw_text *text)
{
    cw_text_add(text, "\nTo buy, and what it costs\n");
    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++)
        if (s->applies[kind] && kind != CW_SUPPRESS_NONE)
            cw_text_print(text, "  %s: %s\n    but: %s\n", cw_suppressor_name((cw_suppressor_kind)kind),
                          s->each[kind].rating.text, cw_suppressor_drawback((cw_suppressor_kind)kind));
}

static void say_gaps(const cw_work_switch_study *study, cw_unit_system units, cw_text *text)
{
    cw_work__notes notes = { 0 };

    if (study->by_field)
        cw_text_print(text, ", open at %s and closed at %s",
                      cw_work__quantity(&notes, CW_LENGTH, study->open_gap_m, units, 3),
                      cw_work__quantity(&notes, CW_LENGTH, study->closed_gap_m, units, 3));
    if (isfinite(study->pull_needed_n))
        cw_text_print(text, "; %s is asked for", cw_work__quantity(&notes, CW_FORCE, study->pull_needed_n, units, 3));
    cw_work__notes_clear(&notes);
}

void cw_work_switch_text(const cw_work_switch_study *study, cw_unit_system units, cw_text *text)
{
    const cw_switch_study *s = &study->study;
    cw_cautions cautions;
    cw_work__notes notes = { 0 };

    cw_text_print(text, "%s cold and %s at %s", cw_work__quantity(&notes, CW_RESISTANCE, study->cold_ohm, units, 4),
                  cw_work__quantity(&notes, CW_RESISTANCE, study->hot_ohm, units, 4),
                  cw_work__quantity(&notes, CW_TEMPERATURE, study->winding_c, units, 3));
    say_gaps(study, units, text);
    cw_text_add(text, ".\n");
    if (study->remark[0] != '\0')
        cw_text_print(text, "%s\n", study->remark);
    cw_text_print(text, "\nSwitch-on        pulls after  95 %% after   current     ripple   pull\n");
    say_on("open, cold", &s->cold, units, text);
    say_on("open, warm", &s->hot, units, text);
    say_on("closed, cold", &s->closed, units, text);
    if (s->inrush_ratio > 1.001)
        cw_text_print(text, "  Open it takes %.1f times the current of closed.\n", s->inrush_ratio);
    cw_text_print(text, "\nSwitch-off, closed   lets go    dead       peak     of test  energy     pulse\n");
    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++)
        if (s->applies[kind])
            say_off(&s->each[kind], units, text);
    say_parts(s, text);
    cw_work_switch_cautions(study, units, &cautions);
    cw_text_add(text, "\nCaution\n");
    for (size_t i = 0; i < cautions.count; i++)
        cw_text_print(text, "  - %s\n", cautions.text[i]);
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}
