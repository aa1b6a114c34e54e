/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the page asks of the former and the arbor: their sizes, the solids and the drawings as files. The helper for solids writes into
 * a folder of its own that it clears away, so these routes may write. */
#include "server/server_internal.h"

#include "former/former_json.h"

#include <string.h>

static cw_status sizes(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    const cw_work_former_study *study;
    cw_status status = cw_work_former(work, &study, error);
    cw_text words = { 0 };

    (void)question;
    if (status != CW_OK)
        return status;
    cw_work_former_text(study, cw_work_job(work)->units, &words);
    *document = json_pack("{s:o, s:o, s:o, s:b, s:s}", "former", cw_former_json(&study->finished), "arbor",
                          study->has_arbor ? cw_arbor_json(&study->arbor) : json_null(), "no_arbor",
                          study->has_arbor ? json_null() : json_string(study->no_arbor.text), "compensated",
                          study->compensated, "words", words.data != NULL ? words.data : "");
    cw_text_clear(&words);
    return CW_OK;
}

void cw_server__former(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, sizes);
}

/* ?part= former (as it must measure), print (as it must be asked for) or arbor; without it the former. */
static cw_status find_group(const char *part, const cw_solids *solids, const cw_solid_group **group, cw_error *error)
{
    *group = NULL;
    if (part == NULL || strcmp(part, "former") == 0)
        *group = &solids->former;
    else if (strcmp(part, "print") == 0)
        *group = solids->print.piece_count > 0 ? &solids->print : &solids->former;
    else if (strcmp(part, "arbor") == 0)
        *group = &solids->arbor;
    if (*group == NULL)
        return cw_refuse(error, NULL, "former, print or arbor", "\"%.20s\" is no part.", part);
    if ((*group)->piece_count == 0)
        return cw_refuse(error, NULL, NULL, "There is no such part for this job.");
    return CW_OK;
}

static cw_status write_solid(const cw_server__question *question, cw_work *work, cw_server__type type, cw_text *out,
                             cw_error *error)
{
    const cw_solids *solids;
    const cw_solid_group *group;
    cw_status status = cw_work_solids(work, &solids, error);

    if (status == CW_OK)
        status = find_group(cw_server__argument(question, "part"), solids, &group, error);
    if (status != CW_OK)
        return status;
    if (type == CW_SERVER__STL)
        return cw_solid_group_stl(group, out, error);
    if (type == CW_SERVER__3MF)
        return cw_solid_group_3mf(group, cw_work_job(work)->name, out, error);
    cw_text_add_bytes(out, group->step, group->step_length);
    return out->failed ? cw_no_memory(error) : CW_OK;
}

/* A file of that type into the answer's body. */
typedef cw_status (*file_writer)(const cw_server__question *question, cw_work *work, cw_server__type type, cw_text *out,
                                 cw_error *error);

static void answer_file(const cw_server__question *question, cw_server__answer *answer, cw_server__type type,
                        file_writer write)
{
    cw_work *work = cw_server__open_job(question->body, question->length, answer);
    cw_error error;
    cw_status status = CW_OK;

    if (work != NULL) {
        answer->type = type;
        status = write(question, work, type, &answer->body, &error);
    }
    if (status != CW_OK)
        cw_server__answer_status(answer, status, &error);
    cw_work_close(&work);
}

void cw_server__solid_stl(const cw_server__question *question, cw_server__answer *answer)
{
    answer_file(question, answer, CW_SERVER__STL, write_solid);
}

void cw_server__solid_3mf(const cw_server__question *question, cw_server__answer *answer)
{
    answer_file(question, answer, CW_SERVER__3MF, write_solid);
}

void cw_server__solid_step(const cw_server__question *question, cw_server__answer *answer)
{
    answer_file(question, answer, CW_SERVER__STEP, write_solid);
}

/* ---- drawings ------------------------------------------------------------------------------------------------ */

/* ?part= former or arbor, ?paper= and ?projection= as the command line has them. */
static cw_status read_setting(const cw_server__question *question, cw_work *work, cw_drafting_setting *setting,
                              cw_error *error)
{
    const char *paper = cw_server__argument(question, "paper");
    const char *projection = cw_server__argument(question, "projection");

    cw_work_drawing_setting(work, setting);
    if (paper != NULL && !cw_drafting_paper_named(paper, &setting->paper))
        return cw_refuse(error, NULL, "a4, a3, letter or tabloid", "\"%.20s\" is no paper.", paper);
    if (projection != NULL && strcmp(projection, "first") != 0 && strcmp(projection, "third") != 0)
        return cw_refuse(error, NULL, "first or third", "\"%.20s\" is no projection.", projection);
    if (projection != NULL)
        setting->projection = projection[0] == 'f' ? CW_DRAFTING_FIRST_ANGLE : CW_DRAFTING_THIRD_ANGLE;
    return CW_OK;
}

static cw_status write_drawing(const cw_server__question *question, cw_work *work, cw_server__type type, cw_text *out,
                               cw_error *error)
{
    const char *part = cw_server__argument(question, "part");
    const bool of_arbor = part != NULL && strcmp(part, "arbor") == 0;
    const char *title = of_arbor ? "the arbor" : "the former";
    cw_drafting *former = NULL, *arbor = NULL, *drawing;
    cw_drafting_setting setting;
    cw_status status = read_setting(question, work, &setting, error);

    if (status == CW_OK)
        status = cw_work_drawings(work, &setting, &former, &arbor, error);
    drawing = of_arbor ? arbor : former;
    if (status == CW_OK && drawing == NULL)
        status = cw_refuse(error, NULL, NULL, "There is no arbor for this job.");
    if (status == CW_OK)
        status = type == CW_SERVER__DXF ? cw_drafting_write_dxf(drawing, title, out, error)
                                        : cw_drafting_write(drawing, type == CW_SERVER__PDF ? CW_PDF : CW_SVG, title, out,
                                                            error);
    cw_drafting_destroy(&former);
    cw_drafting_destroy(&arbor);
    return status;
}

void cw_server__drawing_svg(const cw_server__question *question, cw_server__answer *answer)
{
    answer_file(question, answer, CW_SERVER__SVG, write_drawing);
}

void cw_server__drawing_pdf(const cw_server__question *question, cw_server__answer *answer)
{
    answer_file(question, answer, CW_SERVER__PDF, write_drawing);
}

void cw_server__drawing_dxf(const cw_server__question *question, cw_server__answer *answer)
{
    answer_file(question, answer, CW_SERVER__DXF, write_drawing);
}
