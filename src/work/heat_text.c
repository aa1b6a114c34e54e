/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A study of the heat in words and as a document. */
#include "work/heat_document.h"
#include "work/work_internal.h"

#include "heat/heat_json.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define BURNS_C 60        /* touched metal; burn limit about 60 to 70 °C [ISO 13732-1, from memory] */
#define CLASS_SPARE_K 10  /* that tape, sleeving and leads should have to spare: the hottest place is not quite theirs */

/* ---- by its duty ------------------------------------------------------------------------------------------------ */

double cw_work_hot_spot_c(const cw_work_heat_study *study)
{
    return study->intermittent ? study->duty.peak_hot_spot_c : study->steady.hot_spot_c;
}

double cw_work_hot_spot_doubt_k(const cw_work_heat_study *study)
{
    return study->intermittent ? study->duty_doubt_k : study->steady.hot_spot_doubt_k;
}

double cw_work_surface_c(const cw_work_heat_study *study)
{
    return study->intermittent ? study->duty.surface_c : study->steady.surface_c;
}

static bool burns_out(const cw_work_heat_study *study)
{
    return study->intermittent ? study->duty.runs_away : study->steady.runs_away;
}

size_t cw_work_heat_parts(const cw_work_heat_study *study, cw_heat_part_result part[CW_MOST_HEAT_PARTS])
{
    const cw_heat_part_result *all = study->intermittent ? study->duty.part : study->steady.part;
    size_t count = 0;

    for (int p = (study->intermittent ? study->duty.part_count : study->steady.part_count) - 1; p >= 0; p--) {
        size_t at = 0;

        while (at < count && strcmp(part[at].name, all[p].name) != 0)
            at++;
        if (isnan(all[p].most_c) || (at < count && part[at].most_c >= all[p].most_c))
            continue;
        part[at] = all[p];
        count += at == count;
    }
    return count;
}

bool cw_work_stays_cool(const cw_work_heat_study *study)
{
    const double margin = study->intermittent ? study->duty.margin_k : study->steady.margin_k;

    return !burns_out(study) && !(cw_work_hot_spot_c(study) > study->thermal_class_c) && !(margin < 0);
}

/* ---- sentences -------------------------------------------------------------------------------------------------- */

static void add(cw_cautions *list, const char *format, ...) CW_PRINTF(2, 3);

static void add(cw_cautions *list, const char *format, ...)
{
    va_list arguments;

    if (list->count == CW_MOST_CAUTIONS)
        return;
    va_start(arguments, format);
    vsnprintf(list->text[list->count++], sizeof list->text[0], format, arguments);
    va_end(arguments);
}

/* "halved for each 10 K" is Montsinger's kind of rule; his own figure was 8 K for paper in oil [heat: §1.4]. */
static void add_life(const cw_work_heat_study *study, cw_cautions *list)
{
    const double ratio = cw_heat_life_ratio(study->thermal_class_c, cw_work_hot_spot_c(study), CW_HALVING_K);

    if (isnan(ratio))
        return;
    if (ratio > 100)
        add(list, "Life by the 10 K halving rule: more than a hundred times that at the class, which is some 20 000 h. An order "
            "of magnitude.");
    else if (ratio >= 1)
        add(list, "Life by the 10 K halving rule: about %.2g times that at the class, which is some 20 000 h. An order of "
            "magnitude.", ratio);
    else
        add(list, "Life by the 10 K halving rule: about %.1g h of on-time, against some 20 000 h at the class. An order of "
            "magnitude.", ratio * CW_CLASS_LIFE_H);
}

/* At a current that does not give way as the coil warms. */
static void add_held(const cw_work_heat_study *study, const char *who, const char *instead, cw_unit_system units,
                     cw_cautions *list)
{
    char text[40];

    cw_quantity_format(CW_TEMPERATURE, study->held_hot_spot_c, units, 3, text, sizeof text);
    if (isinf(study->held_hot_spot_c))
        add(list, "%s make it run away: %s.", who, instead);
    else
        add(list, "%s bring the hot spot to %s, always on.", who, text);
}

void cw_work_heat_insulation(const cw_work_heat_study *study, cw_unit_system units, cw_cautions *list)
{
    const double hot = cw_work_hot_spot_c(study), least = cw_heat_least_class_c(hot + CLASS_SPARE_K);
    cw_heat_enamel enamel[3];
    char names[200] = "";
    size_t count;

    list->count = 0;
    if (burns_out(study) || !isfinite(hot))
        return;
    add_life(study, list);
    add(list, "Tape, sleeving and leads lie on the winding: class %.0f or better.", least);
    count = cw_heat_enamels(fmax(least, 130), enamel, 3);
    for (size_t i = 0, used = 0; i < count; i++)
        used += (size_t)snprintf(names + used, sizeof names - used, "%s%s %.0f (%s, IEC %s)", i > 0 ? ", " : "",
                                 enamel[i].name, enamel[i].class_c, enamel[i].nema, enamel[i].iec);
    if (count > 0)
        add(list, "Enamels that stand it: %s and better.", names);
    if (study->section.drive.kind == CW_DRIVE_VOLTAGE)
        add_held(study, "A source that held its cold current would", "feed it by voltage", units, list);
}

void cw_work_heat_cautions(const cw_work_heat_study *study, cw_unit_system units, cw_cautions *cautions)
{
    char text[40];

    cautions->count = 0;
    if (burns_out(study)) {
        add(cautions, "It burns out: no steady temperature that insulation survives. Do not leave it on.");
        return;
    }
    if (study->section.drive.kind == CW_DRIVE_CURRENT)
        add_held(study, "An armature that stays open would", "fuse it, and let nothing keep the armature from closing", units,
                 cautions);
    cw_quantity_format(CW_TEMPERATURE, cw_work_surface_c(study), units, 3, text, sizeof text);
    if (cw_work_surface_c(study) > BURNS_C)
        add(cautions, "Its surface reaches %s: bare metal burns the skin from about 60 °C (140 °F). Guard it or mark it "
            "hot.", text);
    if (study->intermittent && study->thermal_class_c < study->steady.hot_spot_c) {
        cw_quantity_format(CW_TEMPERATURE, study->steady.hot_spot_c, units, 3, text, sizeof text);
        add(cautions, "Left on, it would reach %s, above its class: what switches it off must not fail on.", text);
    }
}

/* ---- document --------------------------------------------------------------------------------------------------- */

static json_t *sentences(const cw_cautions *list)
{
    json_t *array = json_array();

    for (size_t i = 0; i < list->count && array != NULL; i++)
        if (json_array_append_new(array, json_string(list->text[i])) != 0) {
            json_decref(array);
            return NULL;
        }
    return array;
}

static json_t *or_null(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *run_json(const cw_work_heat_study *study)
{
    const cw_heat_fit *fit = &study->fit;

    if (!study->by_run)
        return json_null();
    return json_pack("{s:f, s:f, s:f, s:f, s:f, s:o, s:o, s:o}", "convection_scale", fit->convection_scale,
                     "convection_doubt", fit->convection_doubt, "conductivity_scale", fit->conductivity_scale,
                     "conductivity_doubt", fit->conductivity_doubt, "worst_z", fit->worst_z, "before_hot_spot_continuous_c",
                     or_null(study->unfitted.hot_spot_c), "before_hot_spot_continuous_doubt_k",
                     or_null(study->unfitted.hot_spot_doubt_k), "before_mean_winding_continuous_c",
                     or_null(study->unfitted.mean_winding_c));
}

json_t *cw_work_heat_json(const cw_work_heat_study *study)
{
    cw_cautions cautions, insulation;
    json_t *document = cw_heat_json(&study->steady, study->thermal_class_c, &study->warm_up,
                                    study->intermittent ? &study->duty : NULL);
    json_t *more;

    cw_work_heat_cautions(study, CW_METRIC_UNITS, &cautions);
    cw_work_heat_insulation(study, CW_METRIC_UNITS, &insulation);
    more = json_pack("{s:b, s:f, s:o, s:o, s:b, s:o, s:o, s:b, s:o, s:o, s:o, s:f, s:f, s:s}", "in_iron", study->in_iron, "ambient_c",
                     study->section.ambient_c, "hot_spot_doubt_k", or_null(cw_work_hot_spot_doubt_k(study)),
                     "hot_spot_continuous_doubt_k", or_null(study->steady.hot_spot_doubt_k), "stays_cool",
                     cw_work_stays_cool(study), "cold_current_a", or_null(study->cold_current_a),
                     "held_current_hot_spot_c", or_null(study->held_hot_spot_c), "held_current_runs_away",
                     isinf(study->held_hot_spot_c) != 0, "insulation", sentences(&insulation), "cautions",
                     sentences(&cautions), "heat_run", run_json(study), "iron_loss_w",
                     study->iron_loss_w, "iron_peak_t", study->iron_peak_t, "remark", study->remark);
    if (document == NULL || more == NULL || json_object_update(document, more) != 0) {
        json_decref(document);
        document = NULL;
    }
    json_decref(more);
    return document;
}

/* ---- words ------------------------------------------------------------------------------------------------------ */

static void say_always_on(const cw_work_heat_study *study, cw_unit_system units, cw_text *text)
{
    const cw_heat_result *s = &study->steady;
    cw_work__notes notes = { 0 };

    if (s->runs_away)
        cw_text_add(text, "  always on        it burns out: it passes 500 °C (932 °F)\n");
    else
        cw_text_print(text, "  always on        hot spot %s ± %s; mean %s; surface %s\n",
                      cw_work__quantity(&notes, CW_TEMPERATURE, s->hot_spot_c, units, 3),
                      cw_work__quantity(&notes, CW_TEMPERATURE_DIFFERENCE, s->hot_spot_doubt_k, units, 2),
                      cw_work__quantity(&notes, CW_TEMPERATURE, s->mean_winding_c, units, 3),
                      cw_work__quantity(&notes, CW_TEMPERATURE, s->surface_c, units, 3));
    cw_work__notes_clear(&notes);
}

static void say_duty(const cw_work_heat_study *study, cw_unit_system units, cw_text *text)
{
    cw_work__notes notes = { 0 };

    if (study->intermittent && study->duty.runs_away)
        cw_text_add(text, "  by its duty      it burns out: it passes 500 °C (932 °F)\n");
    else if (study->intermittent)
        cw_text_print(text, "  by its duty      hot spot %s ± %s; mean %s; surface %s; at the end of each on-time%s\n",
                      cw_work__quantity(&notes, CW_TEMPERATURE, study->duty.peak_hot_spot_c, units, 3),
                      cw_work__quantity(&notes, CW_TEMPERATURE_DIFFERENCE, study->duty_doubt_k, units, 2),
                      cw_work__quantity(&notes, CW_TEMPERATURE, study->duty.peak_mean_winding_c, units, 3),
                      cw_work__quantity(&notes, CW_TEMPERATURE, study->duty.surface_c, units, 3),
                      study->duty.settled ? "" : "; it had not settled yet");
    cw_work__notes_clear(&notes);
}

static void say_times(const cw_work_heat_study *study, cw_unit_system units, cw_text *text)
{
    const cw_heat_run *run = &study->warm_up;
    cw_work__notes notes = { 0 };

    if (isfinite(run->time_constant_s))
        cw_text_print(text, "  time constant    %s from cold\n",
                      cw_work__quantity(&notes, CW_TIME, run->time_constant_s, units, 3));
    if (isfinite(run->longest_on_s) && run->longest_part >= 0)
        cw_text_print(text, "  longest on       %s from cold; then the %s is at its limit\n",
                      cw_work__quantity(&notes, CW_TIME, run->longest_on_s, units, 3),
                      study->section.part[run->longest_part].name);
    cw_work__notes_clear(&notes);
}

/* Where the readings leave the model by more than this, it is not the model's two factors that are wrong. */
#define MISFIT 4

static void say_run(const cw_work_heat_study *study, cw_unit_system units, cw_text *text)
{
    const cw_heat_fit *fit = &study->fit;
    cw_work__notes notes = { 0 };

    cw_text_print(text, "\nBy the heat run\n"
                  "  surfaces give off %.2f ± %.2f times what the correlations say; the winding conducts %.2g times what was "
                  "expected, within a factor of %.2g\n",
                  fit->convection_scale, fit->convection_scale * fit->convection_doubt, fit->conductivity_scale,
                  exp(fit->conductivity_doubt));
    cw_text_print(text, "  expected before it, always on: hot spot %s ± %s; mean %s\n",
                  cw_work__quantity(&notes, CW_TEMPERATURE, study->unfitted.hot_spot_c, units, 3),
                  cw_work__quantity(&notes, CW_TEMPERATURE_DIFFERENCE, study->unfitted.hot_spot_doubt_k, units, 2),
                  cw_work__quantity(&notes, CW_TEMPERATURE, study->unfitted.mean_winding_c, units, 3));
    if (fit->worst_z > MISFIT)
        cw_text_print(text, "  but a reading misses the curve by %.1f of its standard deviations: was the coil cold at first, is "
                      "the voltage right, is the meter in order?\n", fit->worst_z);
    cw_work__notes_clear(&notes);
}

/* Right in so many characters, of which a degree sign is one and two bytes. */
static void add_right(cw_text *text, int width, const char *word)
{
    int characters = 0;

    for (const char *c = word; *c != '\0'; c++)
        characters += (*c & 0xC0) != 0x80;
    cw_text_print(text, "%*s%s", characters < width ? width - characters : 0, "", word);
}

static void say_parts(const cw_work_heat_study *study, cw_unit_system units, cw_text *text)
{
    cw_heat_part_result part[CW_MOST_HEAT_PARTS];
    const size_t count = cw_work_heat_parts(study, part);
    cw_work__notes notes = { 0 };

    cw_text_print(text, "\n%-13s   greatest      limit   to spare\n", study->intermittent ? "By its duty" : "Always on");
    for (size_t p = 0; p < count; p++) {
        const bool limited = isfinite(part[p].limit_c);

        cw_text_print(text, "  %-11s", part[p].name);
        add_right(text, 11, cw_work__quantity(&notes, CW_TEMPERATURE, part[p].most_c, units, 3));
        add_right(text, 11, limited ? cw_work__quantity(&notes, CW_TEMPERATURE, part[p].limit_c, units, 3) : "-");
        add_right(text, 11, limited ? cw_work__quantity(&notes, CW_TEMPERATURE_DIFFERENCE, fabs(part[p].margin_k), units, 2)
                                    : "-");
        cw_text_add(text, part[p].margin_k < 0 ? " too hot\n" : "\n");
    }
    cw_work__notes_clear(&notes);
}

static void say_list(const char *heading, const cw_cautions *list, cw_text *text)
{
    if (list->count > 0)
        cw_text_print(text, "\n%s\n", heading);
    for (size_t i = 0; i < list->count; i++)
        cw_text_print(text, "  - %s\n", list->text[i]);
}

void cw_work_heat_text(const cw_work_heat_study *study, cw_unit_system units, cw_text *text)
{
    const cw_heat_result *s = &study->steady;
    cw_cautions list;
    cw_work__notes notes = { 0 };

    if (!s->runs_away)
        cw_text_print(text, "%s, %s hot; air at %s\n", cw_work__quantity(&notes, CW_POWER, s->power_w, units, 3),
                      cw_work__quantity(&notes, CW_RESISTANCE, s->resistance_hot_ohm, units, 4),
                      cw_work__quantity(&notes, CW_TEMPERATURE, study->section.ambient_c, units, 3));
    if (study->iron_loss_w > 0)
        cw_text_print(text, "  iron             %s at %.2f T, by the volts on a turn\n",
                      cw_work__quantity(&notes, CW_POWER, study->iron_loss_w, units, 2), study->iron_peak_t);
    say_always_on(study, units, text);
    say_duty(study, units, text);
    say_times(study, units, text);
    if (study->by_run)
        say_run(study, units, text);
    if (!burns_out(study))
        say_parts(study, units, text);
    cw_work_heat_insulation(study, units, &list);
    say_list("Insulation", &list, text);
    cw_work_heat_cautions(study, units, &list);
    say_list("Caution", &list, text);
    if (study->remark[0] != '\0')
        cw_text_print(text, "\n%s\n", study->remark);
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}
