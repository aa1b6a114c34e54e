/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The summary of a job for a terminal. */
#include "work/work_internal.h"

#include <math.h>

static void say_missing(cw_text *text, const char *what, const cw_error *error)
{
    char line[1400];

    cw_error_line(error, line, sizeof line);
    cw_text_print(text, "%s: not done. %s\n", what, line);
}

static void add_option(const cw_choice_option *o, cw_unit_system units, cw_text *text)
{
    cw_work__notes notes = { 0 };

    cw_text_print(text, "  %s, %ld turns in %zu layers\n", cw_work__wire_name(&notes, o), o->turns, o->layers);
    cw_text_print(text, "  %s at 20 °C; fits with probability %.0f %%",
                  cw_work__quantity(&notes, CW_RESISTANCE, o->resistance_20c_ohm, units, 4), 100 * o->fits_probability);
    if (isfinite(o->ampere_turns_ratio))
        cw_text_print(text, "; ampere-turns %.0f %% of the original", 100 * o->ampere_turns_ratio);
    if (isfinite(o->hot_spot_c))
        cw_text_print(text, "; hot spot about %s", cw_work__quantity(&notes, CW_TEMPERATURE, o->hot_spot_c, units, 3));
    cw_text_print(text, "\n  have ready %s, %s of wire\n",
                  cw_work__quantity(&notes, CW_MASS, o->wire_mass_kg, units, 3),
                  cw_work__quantity(&notes, CW_LENGTH, o->wire_length_m, units, 3));
    for (size_t i = 0; i < o->reason_count; i++)
        cw_text_print(text, "  %s %s\n", i < o->drawbacks ? "but" : " + ", o->reasons[i]);
    cw_work__notes_clear(&notes);
}

/* What is left of the pull and where it goes; how the new winding stands against the old. */
static void add_practice(cw_work *work, const cw_work_field_study *study, cw_text *text)
{
    const cw_unit_system units = work->job->units;
    const cw_work_holding *holding;
    const cw_work_rewind *rewind;
    cw_work__notes notes = { 0 };

    if (cw_work_pull_left(work, &holding, NULL) == CW_OK) {
        cw_text_print(text, "  That is %.0f %% of what the magnet could hold cold, on machined faces%s.\n",
                      100 * study->hot.force_n / holding->step[0].force_n,
                      isfinite(holding->plate_least_m) ? ", with a thick plate" : "");
        if (study->magnet.plate_thickness_m < holding->plate_least_m)
            cw_text_print(text, "  The plate is too thin: %s, where the flux asks for %s at the least.\n",
                          cw_work__quantity(&notes, CW_LENGTH, study->magnet.plate_thickness_m, units, 3),
                          cw_work__quantity(&notes, CW_LENGTH, holding->plate_least_m, units, 3));
        if (fmin(holding->covered[0], holding->covered[1]) < 0.995)
            cw_text_print(text, "  The plate covers the pole faces only to %.0f and %.0f %%.\n", 100 * holding->covered[0],
                          100 * holding->covered[1]);
    }
    if (cw_work_rewound(work, &rewind, NULL) == CW_OK)
        cw_text_print(text, "  Against the original, hot: current %.0f %%, pull %.0f %%, time constant %.0f %%.\n",
                      100 * rewind->rewound.current_a / rewind->original.current_a,
                      100 * rewind->rewound.force_n / rewind->original.force_n,
                      100 * rewind->rewound.time_constant_s / rewind->original.time_constant_s);
    cw_work__notes_clear(&notes);
}

static void add_pull(cw_work *work, cw_text *text)
{
    const cw_work_field_study *study;
    const cw_unit_system units = work->job->units;
    cw_work__notes notes = { 0 };
    cw_error error;

    if (cw_work_field(work, &study, &error) != CW_OK) {
        say_missing(text, "\nPull", &error);
        return;
    }
    cw_text_print(text, "\nPull: %s warm, %s cold, at a gap of %s",
                  cw_work__quantity(&notes, CW_FORCE, study->hot.force_n, units, 3),
                  cw_work__quantity(&notes, CW_FORCE, study->cold.force_n, units, 3),
                  cw_work__quantity(&notes, CW_LENGTH, study->magnet.gap_m, units, 3));
    if (isfinite(study->pull_needed_n))
        cw_text_print(text, "; %s is asked for", cw_work__quantity(&notes, CW_FORCE, study->pull_needed_n, units, 3));
    cw_text_add(text, ".\n");
    add_practice(work, study, text);
    cw_work__notes_clear(&notes);
}

static void add_heat(cw_work *work, cw_text *text)
{
    const cw_work_heat_study *study;
    cw_work__notes notes = { 0 };
    cw_error error;

    if (cw_work_heat(work, &study, &error) != CW_OK) {
        say_missing(text, "\nHeat", &error);
        return;
    }
    cw_text_print(text, "\nHeat: hot spot %s %s, %s.\n",
                  cw_work__quantity(&notes, CW_TEMPERATURE, cw_work_hot_spot_c(study), work->job->units, 3),
                  study->intermittent ? "by its duty" : "always on",
                  study->in_iron ? "in its iron" : "in free air");
    cw_work__notes_clear(&notes);
}

static void add_proof(cw_work *work, cw_text *text)
{
    const cw_proof *proof;
    size_t passed = 0, failed = 0;
    cw_error error;

    if (cw_work_prove(work, &proof, &error) != CW_OK) {
        say_missing(text, "\nProof", &error);
        return;
    }
    for (size_t i = 0; i < proof->test_count; i++) {
        passed += proof->tests[i].verdict == CW_PASS;
        failed += proof->tests[i].verdict == CW_FAIL;
    }
    cw_text_print(text, "\nProof: %s. Of %zu tests %zu passed, %zu failed.\n", cw_verdict_name(proof->verdict),
                  proof->test_count, passed, failed);
    for (size_t i = 0; i < proof->test_count; i++)
        if (proof->tests[i].verdict == CW_FAIL)
            cw_text_print(text, "  failed: %s. %s\n", cw_proof_name(proof->tests[i].test), proof->tests[i].remark);
}

static void add_former(cw_work *work, cw_text *text)
{
    const cw_work_former_study *study;
    cw_work__notes notes = { 0 };
    cw_error error;

    if (cw_work_former(work, &study, &error) != CW_OK) {
        say_missing(text, "\nFormer", &error);
        return;
    }
    cw_text_print(text, "\nFormer: %s, %s; bore %s, flanges %s, %s long.\n", study->finished.material,
                  cw_making_name(study->finished.making),
                  cw_work__quantity(&notes, CW_LENGTH, study->finished.bore.size_m[0], work->job->units, 4),
                  cw_work__quantity(&notes, CW_LENGTH, study->finished.flange.size_m[0], work->job->units, 4),
                  cw_work__quantity(&notes, CW_LENGTH, study->finished.length_m, work->job->units, 4));
    if (study->finished.remark[0] != '\0')
        cw_text_print(text, "  %s\n", study->finished.remark);
    cw_work__notes_clear(&notes);
}

/* The judgement's own sentences: licensed practice is named in them. */
static void add_load(cw_work *work, cw_text *text)
{
    const cw_hold *hold;
    cw_error error;

    if (cw_work_hold(work, &hold, &error) != CW_OK)
        say_missing(text, "\nLoad", &error);
    else
        cw_text_print(text, "\nLoad: %s. %s\n", cw_verdict_name(hold->verdict), hold->text);
}

void cw_work_summary(cw_work *work, cw_text *text)
{
    const cw_job *job = work->job;
    const cw_identification *id;
    const cw_choice *choice;
    const cw_replay *replay;
    cw_error error;

    cw_text_print(text, "%s%s%s\n\n", job->name != NULL ? job->name : "Coil", job->machine_name != NULL ? ", " : "",
                  job->machine_name != NULL ? job->machine_name : "");
    if (cw_work_identify(work, &id, &error) == CW_OK) {
        cw_text_print(text, "What it was: %s\n", id->summary);
        for (size_t i = 0; i < id->reading_count; i++)
            if (id->readings[i].text[0] != '\0')
                cw_text_print(text, "  Reading %zu: %s\n", i + 1, id->readings[i].text);
        for (size_t i = 0; i < id->fault_count; i++)
            cw_text_print(text, "  %s\n", id->faults[i].text);
        if (id->next_count > 0 && id->next[0].bits + id->next[0].rewinding_bits > 0.3)
            cw_text_print(text, "  To be surer: %s\n", id->next[0].text);
    } else {
        say_missing(text, "What it was", &error);
    }
    if (cw_work_choose(work, &choice, &error) == CW_OK) {
        cw_text_print(text, "\nWhat to wind: %s\n", choice->summary);
        if (choice->chosen != NULL)
            add_option(choice->chosen, job->units, text);
    } else {
        say_missing(text, "\nWhat to wind", &error);
    }
    if (cw_work_program(work, false, NULL, &replay, &error) != CW_OK)
        say_missing(text, "\nProgram", &error);
    else if (replay != NULL)
        cw_text_print(text, "\nProgram: for %s, replayed turn by turn: %.6g turns in %zu layers, %.0f min at %.0f rpm.\n",
                      cw_code_name(work->machine.code), replay->turns, replay->layer_count, ceil(replay->time_s / 60),
                      work->machine.speed_rpm);
    else
        cw_text_add(text, "\nProgram: a sheet to wind by.\n");
    if (job->supply.given)
        add_heat(work, text);
    if (job->magnet_given)
        add_pull(work, text);
    if (job->former.given)
        add_former(work, text);
    if (job->load.given)
        add_load(work, text);
    if (job->proof_count > 0)
        add_proof(work, text);
}
