/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright replay: any winding program, laid turn by turn, told and drawn. */
#include "cli/job.h"

#include "coilwright/files.h"
#include "coilwright/laid_figure.h"
#include "nc/nc_json.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LAYERS_TOLD = 200 }; /* beyond, --json has them all */

/* Bytes of a program from a file. */
static size_t from_file(void *context, char *buffer, size_t size)
{
    return fread(buffer, 1, size, context);
}

/* ---- told ---------------------------------------------------------------------------------------------------- */

static void tell_layer(const cw_replay_layer *layer, size_t number, cw_unit_system units, cw_text *text)
{
    const double unit = units == CW_INCH_UNITS ? 0.0254 : 1e-3;

    cw_text_print(text, "  layer %zu, lines %d to %d: %.6g turns %s, %.4f %s a turn, from %.*f to %.*f %s\n", number,
                  layer->first_line, layer->last_line, layer->turns, layer->direction > 0 ? "away" : "back",
                  layer->pitch_m / unit, units == CW_INCH_UNITS ? "in" : "mm", units == CW_INCH_UNITS ? 4 : 3,
                  layer->start_m / unit, units == CW_INCH_UNITS ? 4 : 3, layer->end_m / unit,
                  units == CW_INCH_UNITS ? "in" : "mm");
}

static void tell_handling(const cw_replay *replay, const cw_winding *winding, cw_text *text)
{
    cw_handling handling;

    cw_handling_of(winding, &handling);
    cw_text_print(text, "The wire runs %.2f m/s at most.", replay->wire_speed_most_m_s);
    if (isfinite(handling.tension_low_n))
        cw_text_print(text, " Tension behind the guide %.2g to %.2g N a strand, never over %.2g N.",
                      handling.tension_low_n, handling.tension_high_n, handling.tension_most_n);
    cw_text_add(text, "\n");
}

static void tell(const cw_replay *replay, const cw_winding *winding, cw_unit_system units, cw_text *text)
{
    cw_text_print(text, "%s: %.6g turns in %zu layers, %.1f min\n", replay->ok ? "Good" : "Not good", replay->turns,
                  replay->layer_count, replay->time_s / 60);
    for (size_t i = 0; i < replay->layer_count && i < LAYERS_TOLD; i++)
        tell_layer(&replay->layers[i], i + 1, units, text);
    if (winding != NULL && isfinite(replay->wire_speed_most_m_s))
        tell_handling(replay, winding, text);
    for (size_t i = 0; i < replay->errors.count; i++)
        cw_text_print(text, "line %d: %s\n", replay->errors.items[i].line, replay->errors.items[i].text);
    for (size_t i = 0; i < replay->warnings.count; i++)
        cw_text_print(text, "line %d, warning: %s\n", replay->warnings.items[i].line, replay->warnings.items[i].text);
}

/* ---- drawn --------------------------------------------------------------------------------------------------- */

typedef cw_status figure_writer(const cw_laid_figure *figure, const cw_paper *paper, cw_text *out, cw_error *error);

static int draw_one(const cli_call *call, const cw_laid_figure *figure, figure_writer *write, const char *name,
                    const char *title)
{
    const cw_paper paper = { .format = CW_SVG, .title = title };
    char *path = cw_path_join(cli_value(call, "o"), name);
    cw_text svg = { 0 };
    cw_error error;
    cw_status status = path != NULL ? write(figure, &paper, &svg, &error) : cw_no_memory(&error);
    int exit = status == CW_OK ? cli_put(call, path, &svg) : cli_report(call, status, &error);

    cw_text_clear(&svg);
    cw_free(path);
    return exit;
}

static int draw(const cli_call *call, const cw_laid_figure *figure)
{
    cw_error error;
    cw_status status = figure->laid->failed ? cw_no_memory(&error) : cw_folder_make(cli_value(call, "o"), &error);
    int exit = status == CW_OK ? 0 : cli_report(call, status, &error);

    if (exit == 0)
        exit = draw_one(call, figure, cw_laid_write, "laid.svg", "The lay as the program winds it");
    if (exit == 0)
        exit = draw_one(call, figure, cw_laid_traverse_write, "traverse.svg", "The traverse against turns");
    return exit;
}

/* ---- the verb ------------------------------------------------------------------------------------------------ */

/* The request's winding and machine from a job; 0 or an exit status. */
static int judge_by(const cli_call *call, const char *path, cw_work **work, cw_replay_request *request)
{
    cw_error error;
    cw_status status;
    int exit = cli_open(call, path, work);

    if (exit != 0)
        return exit;
    status = cw_work_lay(*work, &request->winding, NULL, &error);
    request->machine = cw_work_machine(*work);
    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

static int replay_file(const cli_call *call, const cw_replay_request *request, cw_replay **replay)
{
    cw_error error;
    FILE *file;
    cw_status status = cw_file_open(request->name, &file, &error);

    if (status != CW_OK)
        return cli_report(call, status, &error);
    status = cw_replay_stream(request, from_file, file, replay, &error);
    if (status == CW_OK && ferror(file))
        status = cw_fail(&error, "%s could not be read to its end: %s.", request->name, strerror(errno));
    fclose(file);
    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

int cli_replay(const cli_call *call)
{
    const char *job = cli_value(call, "job");
    const bool drawn = cli_value(call, "o") != NULL;
    cw_laid_turns laid = { 0 };
    cw_replay_request request = { .name = call->argument[0], .block_delete = cli_value(call, "block-delete") != NULL,
                                  .listener = drawn ? cw_laid_turns_keep : NULL, .context = &laid };
    cw_unit_system units = CW_METRIC_UNITS;
    cw_replay *replay = NULL;
    cw_work *work = NULL;
    cw_text text = { 0 };
    int exit = job != NULL ? judge_by(call, job, &work, &request) : 0;

    if (exit == 0)
        exit = replay_file(call, &request, &replay);
    if (exit == 0 && work != NULL)
        units = cw_work_job(work)->units;
    if (exit == 0 && drawn)
        exit = draw(call, &(cw_laid_figure){ &laid, replay, request.winding, units });
    if (exit == 0 && call->json) {
        exit = cli_write_json(call, cw_replay_json(replay), replay->ok ? CLI_YES : CLI_NO);
    } else if (exit == 0) {
        tell(replay, request.winding, units, &text);
        exit = cli_write_text(call, &text, replay->ok ? CLI_YES : CLI_NO);
    }
    cw_text_clear(&text);
    cw_laid_turns_clear(&laid);
    cw_replay_destroy(&replay);
    cw_work_close(&work);
    return exit;
}
