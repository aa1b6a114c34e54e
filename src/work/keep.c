/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job and what was computed for it into the book. */
#include "work/work_internal.h"

#include "choose/choose_json.h"
#include "evidence/identify_json.h"
#include "winding/lay_json.h"
#include "work/heat_document.h"
#include "work/magnet_json.h"
#include "work/proof_document.h"
#include "work/switch_json.h"

#include <stdlib.h>
#include <string.h>

void cw_work_book_keys(cw_work *work, cw_book_keys *keys)
{
    const cw_winding *winding = NULL;
    const cw_conductor *conductor = NULL;

    if (cw_work_lay(work, &winding, NULL, NULL) == CW_OK)
        conductor = cw_wire_conductor(work->catalogue, winding->plan.wire.material);
    cw_book_keys_from(work->job, winding, conductor, keys);
}

/* ---- the documents ---------------------------------------------------------------------------------------------- */

static cw_status identify_document(cw_work *work, json_t **document, cw_error *error)
{
    const cw_identification *identification;
    const cw_status status = cw_work_identify(work, &identification, error);

    *document = status == CW_OK ? cw_identification_json(identification) : NULL;
    return status;
}

static cw_status choose_document(cw_work *work, json_t **document, cw_error *error)
{
    const cw_choice *choice, *before;
    cw_status status = cw_work_choose(work, &choice, error);

    if (status == CW_OK)
        status = cw_work_before(work, &before, error);
    *document = status == CW_OK ? cw_choice_json(choice, before) : NULL;
    return status;
}

static cw_status lay_document(cw_work *work, json_t **document, cw_error *error)
{
    const cw_winding *winding;
    const cw_status status = cw_work_lay(work, &winding, NULL, error);

    *document = status == CW_OK ? cw_winding_json(winding) : NULL;
    return status;
}

static cw_status heat_document(cw_work *work, json_t **document, cw_error *error)
{
    const cw_work_heat_study *study;
    const cw_status status = cw_work_heat(work, &study, error);

    *document = status == CW_OK ? cw_work_heat_json(study) : NULL;
    return status;
}

static cw_status switch_document(cw_work *work, json_t **document, cw_error *error)
{
    const cw_work_switch_study *study;
    const cw_status status = cw_work_switch(work, cw_work_usual_suppressor(work), &study, error);

    *document = status == CW_OK ? cw_work_switch_json(study) : NULL;
    return status;
}

static cw_status prove_document(cw_work *work, json_t **document, cw_error *error)
{
    const cw_proof *proof;
    const cw_status status = cw_work_prove(work, &proof, error);

    *document = status == CW_OK ? cw_work_proof_json(work, proof) : NULL;
    return status;
}

static const struct {
    const char *verb;
    cw_status (*document)(cw_work *work, json_t **document, cw_error *error);
} stages[] = {
    { "identify", identify_document }, { "choose", choose_document }, { "lay", lay_document },
    { "field", cw_work_field_document },       { "heat", heat_document },     { "switch", switch_document },
    { "prove", prove_document },
};

/* Takes the document over. */
static cw_status as_text(json_t *document, cw_text *text, cw_error *error)
{
    char *dump = document != NULL ? json_dumps(document, JSON_COMPACT | JSON_REAL_PRECISION(12)) : NULL;

    if (dump != NULL)
        cw_text_add(text, dump);
    free(dump);
    json_decref(document);
    return dump != NULL && !text->failed ? CW_OK : cw_no_memory(error);
}

/* ---- entering ---------------------------------------------------------------------------------------------------- */

enum { STAGES = sizeof stages / sizeof stages[0] };

/* What is written in one go. */
typedef struct entering {
    const cw_book_entry *entry;
    cw_text documents[STAGES]; /* empty where the job does not give enough */
    int on_version;
    cw_book_id job;            /* 0: a new one */
    int version;
} entering;

/* Before the book is held: some stages take a second. */
static cw_status compute(cw_work *work, entering *entering, cw_error *error)
{
    cw_status status = CW_OK;

    for (size_t stage = 0; stage < STAGES && status == CW_OK; stage++) {
        json_t *document = NULL;

        status = stages[stage].document(work, &document, error);
        if (status == CW_OK)
            status = as_text(document, &entering->documents[stage], error);
        else if (status == CW_BAD_INPUT)
            status = CW_OK;
    }
    return status;
}

/* The same once more is no news: a file entered twice leaves one result. */
static bool is_known(cw_book *book, const entering *entering, size_t stage)
{
    const cw_text *document = &entering->documents[stage];
    cw_text known = { 0 };
    const bool same = cw_book_result_text(book, entering->job, entering->version, stages[stage].verb, &known, NULL) ==
                          CW_OK && known.length == document->length &&
                      memcmp(known.data, document->data, known.length) == 0;

    cw_text_clear(&known);
    return same;
}

static cw_status write_all(cw_book *book, void *context, cw_error *error)
{
    entering *entering = context;
    const cw_book_entry *entry = entering->entry;
    cw_status status;

    entering->version = 1;
    status = entering->job == 0 ? cw_book_job_add(book, entry, &entering->job, error)
                                : cw_book_job_save(book, entering->job, entry->yaml, entry->keys, entering->on_version,
                                                   entry->time_s, &entering->version, error);
    for (size_t stage = 0; stage < STAGES && status == CW_OK; stage++)
        if (entering->documents[stage].length > 0 && !is_known(book, entering, stage))
            status = cw_book_result_add(book, entering->job, entering->version, stages[stage].verb,
                                        entering->documents[stage].data, entry->time_s, error);
    return status;
}

cw_status cw_work_enter(cw_work *work, cw_book *book, const cw_book_entry *entry, bool with_results, int on_version,
                        cw_book_id *job, int *version, cw_error *error)
{
    cw_book_keys keys;
    cw_book_entry whole = *entry;
    entering entering = { .entry = &whole, .on_version = on_version, .job = *job };
    cw_status status = with_results ? compute(work, &entering, error) : CW_OK;

    cw_work_book_keys(work, &keys);
    whole.keys = &keys;
    if (status == CW_OK)
        status = cw_book_together(book, write_all, &entering, error);
    for (size_t stage = 0; stage < STAGES; stage++)
        cw_text_clear(&entering.documents[stage]);
    if (status == CW_OK) {
        *job = entering.job;
        *version = entering.version;
    }
    return status;
}

cw_status cw_work_sign(cw_work *work, cw_book *book, cw_book_id job, const cw_work_signing *signing, cw_error *error)
{
    const cw_proof *proof;
    const cw_hold *hold;
    cw_book_signing made = { .version = signing->version, .who = signing->who, .note = signing->note,
                             .time_s = signing->time_s };
    cw_text text = { 0 };
    cw_status status = cw_work_prove(work, &proof, error);

    if (status == CW_OK)
        status = as_text(cw_work_proof_json(work, proof), &text, error);
    if (status == CW_OK) {
        cw_work_hold(work, &hold, NULL); /* a load that cannot be judged is told of in the document */
        made.verdict = cw_verdict_name(hold != NULL && hold->verdict == CW_FAIL ? CW_FAIL : proof->verdict);
        made.proof = text.data;
        status = cw_book_sign(book, job, &made, error);
    }
    cw_text_clear(&text);
    return status;
}
