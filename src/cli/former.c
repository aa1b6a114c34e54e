/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright former: former and arbor as solids and drawings; and the same for run. */
#include "cli/job.h"

#include "coilwright/files.h"
#include "former/former_json.h"

#include <stdio.h>
#include <string.h>

json_t *cli_former_json(const cw_work_former_study *study)
{
    json_t *arbor = study->has_arbor ? cw_arbor_json(&study->arbor) : json_null();

    return json_pack("{s:o, s:o}", "former", cw_former_json(&study->finished), "arbor", arbor);
}

/* ---- files of solids ------------------------------------------------------------------------------------------- */

typedef struct solid_file {
    const char *name, *what;
    const cw_solid_group *group;
    char kind;           /* s: STEP, t: STL, 3: 3MF */
} solid_file;

static cw_status write_solid(const solid_file *file, const char *title, cw_text *bytes, cw_error *error)
{
    if (file->kind == 't')
        return cw_solid_group_stl(file->group, bytes, error);
    if (file->kind == '3')
        return cw_solid_group_3mf(file->group, title, bytes, error);
    cw_text_add_bytes(bytes, file->group->step, file->group->step_length);
    return bytes->failed ? cw_no_memory(error) : CW_OK;
}

void cli_solid_files(cw_work *work, const cw_solids *solids, cli_sink *sink, void *context)
{
    const cw_solid_group *print = solids->print.piece_count > 0 ? &solids->print : &solids->former;
    const solid_file files[] = {
        { "former.step", "the former, as it must measure", &solids->former, 's' },
        { "former.stl", "the former, to print", print, 't' },
        { "former.3mf", "the former, to print", print, '3' },
        { "arbor.step", "the arbor to wind it on", &solids->arbor, 's' },
        { "arbor.stl", "the arbor, piece by piece, to print", &solids->arbor, 't' },
        { "arbor.3mf", "the arbor, piece by piece, to print", &solids->arbor, '3' },
    };
    const char *title = cw_work_job(work)->name;

    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        cw_text bytes = { 0 };
        cw_error error;
        cw_status status;

        if (files[i].group->piece_count == 0)
            continue;
        status = write_solid(&files[i], title, &bytes, &error);
        sink(context, files[i].name, files[i].what, status, &bytes, &error);
        cw_text_clear(&bytes);
    }
}

/* ---- files of drawings ----------------------------------------------------------------------------------------- */

int cli_drawing_setting(const cli_call *call, cw_work *work, cw_drafting_setting *setting)
{
    const char *paper = cli_value(call, "paper"), *projection = cli_value(call, "projection");

    cw_work_drawing_setting(work, setting);
    setting->date = cli_value(call, "date");
    if (paper != NULL && !cw_drafting_paper_named(paper, &setting->paper))
        return cli_refuse(call, "--paper is a4, a3, letter or tabloid, not \"%s\".", paper);
    if (projection == NULL)
        return 0;
    if (strcmp(projection, "first") != 0 && strcmp(projection, "third") != 0)
        return cli_refuse(call, "--projection is first or third, not \"%s\".", projection);
    setting->projection = projection[0] == 'f' ? CW_DRAFTING_FIRST_ANGLE : CW_DRAFTING_THIRD_ANGLE;
    return 0;
}

/* One drawing in its three formats: NAME.pdf, NAME.svg, NAME.dxf. */
static void drawing_files(const cw_drafting *drawing, const char *name, const char *what, cli_sink *sink, void *context)
{
    static const char *const endings[] = { "pdf", "svg", "dxf" };
    static const char *const uses[] = { "dimensioned, to make it by", "the same as a picture", "the same in DXF" };

    for (int i = 0; i < 3; i++) {
        char file[32], words[64];
        cw_text bytes = { 0 };
        cw_error error;
        cw_status status = i == 2 ? cw_drafting_write_dxf(drawing, what, &bytes, &error)
                                  : cw_drafting_write(drawing, i == 0 ? CW_PDF : CW_SVG, what, &bytes, &error);

        snprintf(file, sizeof file, "%s.%s", name, endings[i]);
        snprintf(words, sizeof words, "%s, %s", what, uses[i]);
        sink(context, file, words, status, &bytes, &error);
        cw_text_clear(&bytes);
    }
}

void cli_drawing_files(cw_work *work, const cw_drafting_setting *setting, cli_sink *sink, void *context)
{
    cw_drafting *former, *arbor;
    cw_error error;
    cw_status status = cw_work_drawings(work, setting, &former, &arbor, &error);

    if (status != CW_OK) {
        sink(context, "former.pdf", "the former, drawn to make it by", status, NULL, &error);
        return;
    }
    drawing_files(former, "former", "the former", sink, context);
    if (arbor != NULL)
        drawing_files(arbor, "arbor", "the arbor", sink, context);
    cw_drafting_destroy(&former);
    cw_drafting_destroy(&arbor);
}

/* ---- the verb -------------------------------------------------------------------------------------------------- */

/* What was written into the folder. */
typedef struct output {
    const cli_call *call;
    const char *folder;
    json_t *written; /* array of paths */
    int exit;
} output;

static void put(void *context, const char *name, const char *what, cw_status status, const cw_text *bytes,
                const cw_error *error)
{
    output *out = context;
    char *path;

    (void)what;
    if (out->exit != 0)
        return;
    if (status != CW_OK) {
        out->exit = cli_report(out->call, status, error);
        return;
    }
    path = cw_path_join(out->folder, name);
    out->exit = path != NULL ? cli_put(out->call, path, bytes) : 3;
    if (out->exit == 0)
        json_array_append_new(out->written, json_string(path));
    cw_free(path);
}

static int say(output *out, cw_work *work, const cw_work_former_study *study)
{
    json_t *document = NULL, *path;
    cw_text text = { 0 };
    size_t index;

    if (out->call->json) {
        document = cli_former_json(study);
        if (document != NULL)
            json_object_set(document, "files", out->written);
    } else {
        cw_work_former_text(study, cw_work_job(work)->units, &text);
        cw_text_add(&text, "\nWritten:\n");
        json_array_foreach(out->written, index, path)
            cw_text_print(&text, "  %s\n", json_string_value(path));
    }
    return cli_show(out->call, CW_OK, NULL, document, &text, CLI_YES);
}

/* The drawings first: who works by hand needs them also where nothing makes solids. */
static int write_files(output *out, cw_work *work, const cw_drafting_setting *setting)
{
    const cw_solids *solids;
    cw_error error;
    cw_status status;

    cli_drawing_files(work, setting, put, out);
    if (out->exit != 0)
        return out->exit;
    status = cw_work_solids(work, &solids, &error);
    if (status != CW_OK)
        return cli_report(out->call, status, &error);
    cli_solid_files(work, solids, put, out);
    return out->exit;
}

static int write_former(const cli_call *call, cw_work *work)
{
    output out = { .call = call, .folder = cli_value(call, "o") };
    const cw_work_former_study *study;
    cw_drafting_setting setting;
    cw_error error;
    cw_status status = cw_work_former(work, &study, &error);

    if (status == CW_OK && (out.exit = cli_drawing_setting(call, work, &setting)) != 0)
        return out.exit;
    if (status == CW_OK)
        status = cw_folder_make(out.folder, &error);
    if (status != CW_OK)
        return cli_report(call, status, &error);
    cw_work_solids_begin(work);
    out.written = json_array();
    out.exit = write_files(&out, work, &setting);
    if (out.exit == 0)
        out.exit = say(&out, work, study);
    json_decref(out.written);
    return out.exit;
}

int cli_former(const cli_call *call)
{
    if (cli_value(call, "o") == NULL)
        return cli_refuse(call, "former wants -o DIR, the folder to write into.");
    return cli_with_job(call, write_former);
}
