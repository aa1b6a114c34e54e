/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright former: former and arbor as files; and the same for run. */
#include "cli/job.h"

#include "coilwright/files.h"
#include "former/former_json.h"

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

static int write_former(const cli_call *call, cw_work *work)
{
    output out = { .call = call, .folder = cli_value(call, "o") };
    const cw_work_former_study *study;
    const cw_solids *solids;
    cw_error error;
    cw_status status = cw_work_former(work, &study, &error);

    if (status == CW_OK)
        status = cw_folder_make(out.folder, &error);
    if (status == CW_OK)
        status = cw_work_solids(work, &solids, &error);
    if (status != CW_OK)
        return cli_report(call, status, &error);
    out.written = json_array();
    cli_solid_files(work, solids, put, &out);
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
