/* SPDX-License-Identifier: GPL-3.0-or-later */
/* identify, choose, lay, program, sheet: one stage of a job each. */
#include "cli/job.h"

#include "choose/choose_json.h"
#include "coilwright/files.h"
#include "evidence/identify_json.h"
#include "winding/lay_json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static int identify(const cli_call *call, cw_work *work)
{
    const cw_identification *id;
    cw_text text = { 0 };
    cw_error error;
    cw_status status = cw_work_identify(work, &id, &error);

    if (status == CW_OK)
        cw_identification_text(id, cw_work_job(work)->units, &text);
    return cli_show(call, status, &error, status == CW_OK && call->json ? cw_identification_json(id) : NULL, &text,
                    CLI_YES);
}

int cli_identify(const cli_call *call)
{
    return cli_with_job(call, identify);
}

static int choose(const cli_call *call, cw_work *work)
{
    const char *path = cli_value(call, "svg");
    const cw_choice *choice, *before;
    cw_text text = { 0 };
    cw_error error;
    cw_status status = cw_work_choose(work, &choice, &error);
    int exit = 0;

    if (status == CW_OK)
        status = cw_work_before(work, &before, &error);
    if (status == CW_OK && path != NULL) {
        status = cw_work_figure(work, CW_FIGURE_OPTIONS, CW_SVG, &text, &error);
        if (status == CW_OK)
            exit = cli_put(call, path, &text);
        cw_text_clear(&text);
    }
    if (exit != 0)
        return exit;
    if (status == CW_OK)
        cw_choice_text(choice, before, &text);
    return cli_show(call, status, &error, status == CW_OK && call->json ? cw_choice_json(choice, before) : NULL, &text,
                    status == CW_OK && choice->chosen != NULL ? CLI_YES : CLI_NO);
}

int cli_choose(const cli_call *call)
{
    return cli_with_job(call, choose);
}

static int lay(const cli_call *call, cw_work *work)
{
    const char *path = cli_value(call, "svg");
    const cw_winding *winding;
    cw_text text = { 0 };
    cw_error error;
    cw_status status = cw_work_lay(work, &winding, NULL, &error);
    int exit = 0;

    if (status == CW_OK && path != NULL) {
        status = cw_work_figure(work, CW_FIGURE_SECTION, CW_SVG, &text, &error);
        if (status == CW_OK)
            exit = cli_put(call, path, &text);
        cw_text_clear(&text);
    }
    if (exit != 0)
        return exit;
    if (status == CW_OK)
        cw_winding_text(winding, cw_work_job(work)->units, &text);
    return cli_show(call, status, &error, status == CW_OK && call->json ? cw_winding_json(winding) : NULL, &text,
                    status == CW_OK && winding->fits ? CLI_YES : CLI_NO);
}

int cli_lay(const cli_call *call)
{
    return cli_with_job(call, lay);
}

int cli_program(const cli_call *call)
{
    const char *path = cli_value(call, "o");
    const cw_replay *replay = NULL;
    cw_work *work;
    cw_text text = { 0 };
    cw_error error;
    cw_status status;
    int exit = cli_open(call, call->argument[0], &work);

    if (exit != 0)
        return exit;
    status = cw_work_program(work, cli_value(call, "dry-run") != NULL, &text, &replay, &error);
    if (status != CW_OK) {
        exit = cli_report(call, status, &error);
    } else if (path == NULL) {
        exit = call->json ? cli_write_json(call, json_pack("{s:s}", "program", text.data), 0)
                          : cli_write_text(call, &text, 0);
    } else {
        exit = cli_put(call, path, &text);
        if (exit == 0 && call->json)
            exit = cli_write_json(call, json_pack("{s:s}", "file", path), 0);
        else if (exit == 0 && replay != NULL)
            cli_tell(call, "%s is written; replayed, it lays %.6g turns in %zu layers in %.0f min.", path,
                     replay->turns, replay->layer_count, ceil(replay->time_s / 60));
        else if (exit == 0)
            cli_tell(call, "%s is written.", path);
    }
    cw_text_clear(&text);
    cw_work_close(&work);
    return exit;
}

int cli_paper(const cli_call *call, cw_unit_system units, cw_sheet_paper *paper)
{
    const char *name = cli_value(call, "paper");

    *paper = units == CW_INCH_UNITS ? CW_SHEET_LETTER : CW_SHEET_A4;
    if (name == NULL)
        return 0;
    if (strcmp(name, "a4") != 0 && strcmp(name, "letter") != 0)
        return cli_refuse(call, "--paper is a4 or letter, not \"%s\".", name);
    *paper = name[0] == 'a' ? CW_SHEET_A4 : CW_SHEET_LETTER;
    return 0;
}

/* "tests, label" as bits; 0 or an exit status. */
static int read_parts(const cli_call *call, const char *list, unsigned *parts)
{
    *parts = 0;
    for (const char *at = list; at != NULL; at = strchr(at, ',') != NULL ? strchr(at, ',') + 1 : NULL) {
        size_t length = strcspn(at, ",");
        cw_sheet_part part;

        while (length > 0 && *at == ' ')
            at++, length--;
        while (length > 0 && at[length - 1] == ' ')
            length--;
        if (!cw_sheet_part_find(at, length, &part)) {
            char known[240] = "";

            for (int i = 0, used = 0; i < CW_SHEET_PART_COUNT; i++)
                used += snprintf(known + used, sizeof known - (size_t)used, "%s%s", i == 0 ? "" : ", ",
                                 cw_sheet_part_name((cw_sheet_part)i));
            return cli_refuse(call, "--only: \"%.*s\" is no part of the sheet. Its parts are %s.", (int)length, at, known);
        }
        *parts |= 1u << part;
    }
    return 0;
}

static bool ends_html(const char *path)
{
    const size_t length = strlen(path);

    return (length > 5 && strcmp(path + length - 5, ".html") == 0) || (length > 4 && strcmp(path + length - 4, ".htm") == 0);
}

int cli_sheet(const cli_call *call)
{
    const char *path = cli_value(call, "o");
    cw_work_sheet_wish wish = { .date = cli_value(call, "date") };
    cw_work *work = NULL;
    cw_text made = { 0 };
    cw_error error;
    cw_status status;
    int exit;

    if (path == NULL)
        return cli_refuse(call, "sheet wants -o FILE.pdf or -o FILE.html.");
    wish.html = ends_html(path);
    exit = read_parts(call, cli_value(call, "only"), &wish.parts);
    if (exit == 0)
        exit = cli_open(call, call->argument[0], &work);
    if (exit == 0)
        exit = cli_paper(call, cw_work_job(work)->units, &wish.paper);
    if (exit == 0) {
        status = cw_work_sheet_as(work, &wish, &made, &error);
        exit = status == CW_OK ? cli_put(call, path, &made) : cli_report(call, status, &error);
    }
    if (exit == 0 && call->json)
        exit = cli_write_json(call, json_pack("{s:s}", "file", path), 0);
    cw_text_clear(&made);
    cw_work_close(&work);
    return exit;
}
