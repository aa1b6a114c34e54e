/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright run: the whole job into a folder. */
#include "cli/job.h"

#include "choose/choose_json.h"
#include "coilwright/files.h"
#include "evidence/identify_json.h"
#include "nc/nc_json.h"
#include "winding/lay_json.h"
#include "work/heat_document.h"
#include "work/magnet_json.h"
#include "work/proof_document.h"
#include "work/switch_json.h"

#include <stdio.h>
#include <string.h>

/* The files written so far. */
typedef struct output {
    const cli_call *call;
    cw_work *work;
    const char *folder;
    json_t *written; /* array of objects {file, text} */
    json_t *missing; /* array of objects {what, text} */
    int exit;        /* first failure of the machine */
} output;

/* Takes over the status of a stage: writes the text where it succeeded, notes the reason where it did not. */
static void put(output *out, const char *name, const char *what, cw_status status, const cw_text *text,
                const cw_error *error)
{
    char *path;

    if (out->exit != 0)
        return;
    if (status == CW_BAD_INPUT) {
        json_array_append_new(out->missing, json_pack("{s:s, s:s}", "what", what, "text", error->text));
        return;
    }
    if (status != CW_OK) {
        out->exit = cli_report(out->call, status, error);
        return;
    }
    path = cw_path_join(out->folder, name);
    if (path == NULL)
        out->exit = 3;
    else if ((out->exit = cli_put(out->call, path, text)) == 0)
        json_array_append_new(out->written, json_pack("{s:s, s:s}", "file", path, "text", what));
    cw_free(path);
}

static void put_json(output *out, const char *name, const char *what, cw_status status, json_t *document,
                     const cw_error *error)
{
    cw_text text = { 0 };
    char *dump = document != NULL ? json_dumps(document, JSON_INDENT(2) | JSON_REAL_PRECISION(12)) : NULL;
    cw_error none;

    if (status == CW_OK && dump == NULL)
        status = cw_no_memory(&none), error = &none;
    if (dump != NULL)
        cw_text_print(&text, "%s\n", dump);
    put(out, name, what, status, &text, error);
    cw_text_clear(&text);
    free(dump);
    json_decref(document);
}

static void put_drawn(output *out, const char *name, const char *what, cw_figure figure, cw_format format)
{
    cw_text drawn = { 0 };
    cw_error error;
    cw_status status = cw_work_figure(out->work, figure, format, &drawn, &error);

    put(out, name, what, status, &drawn, &error);
    cw_text_clear(&drawn);
}

/* To scale and print. */
static void put_figure(output *out, const char *name, const char *what, cw_figure figure)
{
    put_drawn(out, name, what, figure, CW_SVG);
}

/* To send. */
static void put_picture(output *out, const char *name, const char *what, cw_figure figure)
{
    put_drawn(out, name, what, figure, CW_PNG);
}

static void put_stages(output *out)
{
    const cw_identification *id;
    const cw_choice *choice, *before;
    const cw_winding *winding;
    cw_error error;
    cw_status status = cw_work_identify(out->work, &id, &error);

    put_json(out, "identify.json", "what it was", status, status == CW_OK ? cw_identification_json(id) : NULL, &error);
    if (status == CW_OK) {
        put_figure(out, "candidates.svg", "what it may have been, drawn", CW_FIGURE_CANDIDATES);
        put_figure(out, "readings.svg", "each reading against the others, drawn", CW_FIGURE_READINGS);
    }
    status = cw_work_choose(out->work, &choice, &error);
    if (status == CW_OK)
        status = cw_work_before(out->work, &before, &error);
    put_json(out, "choose.json", "what to wind", status, status == CW_OK ? cw_choice_json(choice, before) : NULL, &error);
    if (status == CW_OK && choice->option_count > 0)
        put_figure(out, "options.svg", "what can be wound instead, drawn", CW_FIGURE_OPTIONS);
    if (status != CW_OK)
        return; /* what follows would say the same again */
    status = cw_work_lay(out->work, &winding, NULL, &error);
    put_json(out, "winding.json", "the winding layer by layer", status,
             status == CW_OK ? cw_winding_json(winding) : NULL, &error);
    if (status == CW_OK)
        put_figure(out, "section.svg", "the section through the winding, drawn", CW_FIGURE_SECTION);
}

/* Each as a drawing that scales and as a picture to send. */
static void put_magnet_figures(output *out, bool plate)
{
    put_figure(out, "flux.svg", "the flux of the magnet, drawn", CW_FIGURE_FLUX);
    put_picture(out, "flux.png", "the same as a picture", CW_FIGURE_FLUX);
    put_figure(out, "pull.svg", "its pull over the gap, drawn", CW_FIGURE_PULL);
    put_picture(out, "pull.png", "the same as a picture", CW_FIGURE_PULL);
    if (!plate)
        return;
    put_figure(out, "plate.svg", "its pull over the plate's thickness, drawn", CW_FIGURE_PLATE);
    put_picture(out, "plate.png", "the same as a picture", CW_FIGURE_PLATE);
}

static void put_field(output *out)
{
    const cw_work_field_study *study;
    json_t *document = NULL;
    cw_error error;
    cw_status status;

    if (!cw_work_job(out->work)->magnet_given)
        return;
    status = cw_work_field_document(out->work, &document, &error);
    put_json(out, "field.json", "what the magnet does with it", status, document, &error);
    if (status == CW_OK && cw_work_field(out->work, &study, &error) == CW_OK)
        put_magnet_figures(out, study->magnet.shape != CW_MAGNET_PLUNGER &&
                                study->magnet.shape != CW_MAGNET_SECTION);
}

static void put_heat(output *out)
{
    const cw_work_heat_study *study;
    cw_error error;
    cw_status status;

    if (!cw_work_job(out->work)->supply.given)
        return;
    status = cw_work_heat(out->work, &study, &error);
    put_json(out, "heat.json", "how warm it becomes", status, status == CW_OK ? cw_work_heat_json(study) : NULL, &error);
    if (status != CW_OK)
        return;
    put_figure(out, "heat.svg", "the temperatures of the section, drawn", CW_FIGURE_HEAT_MAP);
    put_figure(out, "duty.svg", "the temperatures over the duty, drawn", CW_FIGURE_DUTY);
}

/* Only with the magnet's own flux: figures in air would stand beside those of the iron. */
static void put_switch(output *out)
{
    const cw_work_switch_study *study;
    cw_error error;
    cw_status status;

    if (!cw_work_job(out->work)->magnet_given)
        return;
    status = cw_work_switch(out->work, cw_work_usual_suppressor(out->work), &study, &error);
    if (status == CW_OK && !study->by_field)
        return;
    put_json(out, "switch.json", "switched on and off, with a suppressor", status,
             status == CW_OK ? cw_work_switch_json(study) : NULL, &error);
    if (status != CW_OK)
        return;
    put_figure(out, "switch-on.svg", "current and pull after switch-on, drawn", CW_FIGURE_SWITCH_ON);
    put_figure(out, "switch-off.svg", "current and voltage after switch-off, drawn", CW_FIGURE_SWITCH_OFF);
    put_figure(out, "suppressors.svg", "what to put across the coil, as a table", CW_FIGURE_SUPPRESSORS);
}

static void put_proof(output *out)
{
    const cw_proof *proof;
    cw_error error;
    cw_status status = cw_work_prove(out->work, &proof, &error);

    put_json(out, "prove.json", "the acceptance tests and their limits", status,
             status == CW_OK ? cw_work_proof_json(out->work, proof) : NULL, &error);
}

static void put_into(void *context, const char *name, const char *what, cw_status status, const cw_text *bytes,
                      const cw_error *error)
{
    put(context, name, what, status, bytes, error);
}

/* What the helper for solids cannot do is missing, and stops nothing else. */
static void put_former(output *out)
{
    const cw_work_former_study *study;
    cw_drafting_setting setting;
    const cw_solids *solids;
    cw_error error;
    cw_status status;

    if (!cw_work_job(out->work)->former.given || !cw_work_job(out->work)->window_given)
        return;
    status = cw_work_former(out->work, &study, &error);
    put_json(out, "former.json", "former and arbor, every size", status, status == CW_OK ? cli_former_json(study) : NULL,
             &error);
    if (status != CW_OK)
        return;
    if (out->exit == 0 && (out->exit = cli_drawing_setting(out->call, out->work, &setting)) == 0)
        cli_drawing_files(out->work, &setting, put_into, out);
    status = cw_work_solids(out->work, &solids, &error);
    if (status == CW_OK) {
        cli_solid_files(out->work, solids, put_into, out);
        return;
    }
    put(out, "former.step", "the former as a solid", status == CW_FAILED ? CW_BAD_INPUT : status, NULL, &error);
    if (status == CW_FAILED)
        cli_tell(out->call, "No solids: %s", error.text);
}

static bool proof_failed(output *out)
{
    const cw_proof *proof;
    const cw_hold *hold;

    if (cw_work_hold(out->work, &hold, NULL) == CW_OK && hold != NULL && hold->verdict == CW_FAIL)
        return true;
    return cw_work_prove(out->work, &proof, NULL) == CW_OK && proof->verdict == CW_FAIL;
}

static void put_program(output *out)
{
    const cw_replay *replay = NULL;
    cw_text text = { 0 }, dry = { 0 };
    cw_error error;
    cw_status status = cw_work_program(out->work, false, &text, &replay, &error);
    const bool sheet = status == CW_OK && replay == NULL;

    if (status != CW_OK || cw_work_fits(out->work)) {
        put(out, sheet ? "winding-sheet.txt" : "winding.ngc", sheet ? "the sheet to wind by" : "the winding program",
            status, &text, &error);
        if (replay != NULL) {
            put_json(out, "replay.json", "the program, replayed", CW_OK, cw_replay_json(replay), &error);
            status = cw_work_program(out->work, true, &dry, NULL, &error);
            put(out, "dry-run.ngc", "the same without wire, to prove it in air", status, &dry, &error);
            put_figure(out, "laid.svg", "the lay as the program winds it, drawn", CW_FIGURE_LAID);
            put_figure(out, "traverse.svg", "the guide against turns, drawn", CW_FIGURE_TRAVERSE);
        }
    }
    cw_text_clear(&dry);
    cw_text_clear(&text);
}

static void put_sheet(output *out)
{
    cw_sheet_paper paper;
    cw_text pdf = { 0 };
    cw_error error;
    cw_status status;

    if (out->exit != 0 || (out->exit = cli_paper(out->call, cw_work_job(out->work)->units, &paper)) != 0)
        return;
    status = cw_work_sheet(out->work, paper, cli_value(out->call, "date"), &pdf, &error);
    put(out, "sheet.pdf", "the job sheet, to print", status, &pdf, &error);
    cw_text_clear(&pdf);
}

static int say(output *out, int answer)
{
    cw_text text = { 0 };
    size_t index;
    json_t *item;
    int exit;

    cw_work_summary(out->work, &text);
    if (out->call->json) {
        exit = cli_write_json(out->call, json_pack("{s:s, s:O, s:O, s:b}", "summary", text.data != NULL ? text.data : "",
                                                   "written", out->written, "missing", out->missing, "ok",
                                                   answer == CLI_YES), answer);
    } else {
        cw_text_add(&text, "\nWritten:\n");
        json_array_foreach(out->written, index, item)
            cw_text_print(&text, "  %-24s %s\n", json_string_value(json_object_get(item, "file")),
                          json_string_value(json_object_get(item, "text")));
        exit = cli_write_text(out->call, &text, answer);
    }
    cw_text_clear(&text);
    return exit;
}

int cli_run(const cli_call *call)
{
    output out = { .call = call, .folder = cli_value(call, "o") };
    cw_error error;
    cw_status status;
    int exit;

    if (out.folder == NULL)
        return cli_refuse(call, "run wants -o DIR, the folder to write into.");
    exit = cli_open(call, call->argument[0], &out.work);
    if (exit != 0)
        return exit;
    status = cw_folder_make(out.folder, &error);
    if (status != CW_OK) {
        cw_work_close(&out.work);
        return cli_report(call, status, &error);
    }
    out.written = json_array();
    out.missing = json_array();
    put_stages(&out);
    put_program(&out);
    put_field(&out);
    put_heat(&out);
    cw_work_solids_begin(out.work);
    put_switch(&out);
    put_proof(&out);
    put_sheet(&out);
    put_former(&out);
    exit = out.exit != 0 ? out.exit : say(&out, cw_work_fits(out.work) && !proof_failed(&out) ? CLI_YES : CLI_NO);
    json_decref(out.written);
    json_decref(out.missing);
    cw_work_close(&out.work);
    return exit;
}
