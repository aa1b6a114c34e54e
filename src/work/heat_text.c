/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A study of the heat in words and as a document. */
#include "work/heat_document.h"
#include "work/work_internal.h"

#include "heat/heat_json.h"

#include <math.h>

json_t *cw_work_heat_json(const cw_work_heat_study *study)
{
    json_t *document = cw_heat_json(&study->steady, study->thermal_class_c, &study->warm_up,
                                    study->intermittent ? &study->duty : NULL);
    json_t *more = json_pack("{s:b, s:f, s:s}", "in_iron", study->in_iron, "ambient_c", study->section.ambient_c, "remark",
                             study->remark);

    if (document == NULL || more == NULL || json_object_update(document, more) != 0) {
        json_decref(document);
        document = NULL;
    }
    json_decref(more);
    return document;
}

double cw_work_hot_spot_c(const cw_work_heat_study *study)
{
    return study->intermittent ? study->duty.peak_hot_spot_c : study->steady.hot_spot_c;
}

const cw_heat_part_result *cw_work_heat_parts(const cw_work_heat_study *study, int *count)
{
    *count = study->intermittent ? study->duty.part_count : study->steady.part_count;
    return study->intermittent ? study->duty.part : study->steady.part;
}

static void say_duty(const cw_work_heat_study *study, cw_unit_system units, cw_text *text)
{
    cw_work__notes notes = { 0 };

    if (study->intermittent)
        cw_text_print(text, "  by its duty      hot spot %s, mean %s, at the end of each on-time%s\n",
                      cw_work__quantity(&notes, CW_TEMPERATURE, study->duty.peak_hot_spot_c, units, 3),
                      cw_work__quantity(&notes, CW_TEMPERATURE, study->duty.peak_mean_winding_c, units, 3),
                      study->duty.settled ? "" : "; it had not settled yet");
    if (isfinite(study->warm_up.time_constant_s))
        cw_text_print(text, "  time constant    %s from cold\n",
                      cw_work__quantity(&notes, CW_TIME, study->warm_up.time_constant_s, units, 3));
    if (isfinite(study->thermal_class_c)) {
        const double margin = study->thermal_class_c - cw_work_hot_spot_c(study);

        cw_text_print(text, "  class %-10.0f %s%s\n", study->thermal_class_c,
                      cw_work__quantity(&notes, CW_TEMPERATURE_DIFFERENCE, fabs(margin), units, 2),
                      margin >= 0 ? " to spare" : " too hot");
    }
    cw_work__notes_clear(&notes);
}

void cw_work_heat_text(const cw_work_heat_study *study, cw_unit_system units, cw_text *text)
{
    const cw_heat_result *s = &study->steady;
    cw_work__notes notes = { 0 };

    cw_text_print(text, "%s, %s hot; air at %s\n", cw_work__quantity(&notes, CW_POWER, s->power_w, units, 3),
                  cw_work__quantity(&notes, CW_RESISTANCE, s->resistance_hot_ohm, units, 4),
                  cw_work__quantity(&notes, CW_TEMPERATURE, study->section.ambient_c, units, 3));
    cw_text_print(text, "  always on        hot spot %s, good to %s; mean %s; surface %s\n",
                  cw_work__quantity(&notes, CW_TEMPERATURE, s->hot_spot_c, units, 3),
                  cw_work__quantity(&notes, CW_TEMPERATURE_DIFFERENCE, s->hot_spot_doubt_k, units, 2),
                  cw_work__quantity(&notes, CW_TEMPERATURE, s->mean_winding_c, units, 3),
                  cw_work__quantity(&notes, CW_TEMPERATURE, s->surface_c, units, 3));
    say_duty(study, units, text);
    if (s->tightest >= 0 && s->margin_k < 0)
        cw_text_print(text, "  always on, the %s would be %s above its limit\n", s->part[s->tightest].name,
                      cw_work__quantity(&notes, CW_TEMPERATURE_DIFFERENCE, -s->margin_k, units, 2));
    if (study->remark[0] != '\0')
        cw_text_print(text, "\n%s\n", study->remark);
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}
