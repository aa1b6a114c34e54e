/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A study of switching in words and as a document. */
#include "work/switch_json.h"
#include "work/work_internal.h"

#include "circuit/circuit_json.h"

#include <math.h>

/* ---- document -------------------------------------------------------------------------------------------------- */

json_t *cw_work_switch_json(const cw_work_switch_study *study)
{
    json_t *document = cw_circuit_json(&study->study), *more;

    more = json_pack("{s:s, s:f, s:f, s:f, s:f, s:f, s:s}", "flux_linkage_by", study->by_field ? "field" : "coil in air",
                     "resistance_cold_ohm", study->cold_ohm, "resistance_hot_ohm", study->hot_ohm, "winding_c",
                     study->winding_c, "open_gap_m", study->open_gap_m, "closed_gap_m", study->closed_gap_m, "remark",
                     study->remark);
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

    cw_text_print(text, "  %-19s  %-11s  %-11s  %-12s  %s%s\n", cw_suppressor_name(off->suppressor.kind),
                  time_text(&notes, off->time_to_release_s, units), time_text(&notes, off->time_to_end_s, units),
                  cw_work__quantity(&notes, CW_VOLTAGE, off->peak_voltage_v, units, 3),
                  cw_work__quantity(&notes, CW_ENERGY, off->clamp_energy_j, units, 3),
                  off->within_insulation ? "" : "  more than the winding is tested with");
    cw_work__notes_clear(&notes);
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
    cw_text_print(text, "\nSwitch-off, closed   lets go     dead        peak          energy into it\n");
    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++)
        if (s->applies[kind])
            say_off(&s->each[kind], units, text);
    cw_text_print(text, "\nWith %s: %s\n", cw_suppressor_name(s->off.suppressor.kind), s->off.rating.text);
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}
