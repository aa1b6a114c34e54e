/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a worker of the server answers to a body and to what stood behind the question mark: the first byte says which
 * route, then six texts up to a NUL each (kind, units, paper, date, name, dry run), then the body.
 *
 * Promises: there is always an answer with a status that HTTP has; JSON answers parse. */
#include "fuzz/target.h"

#include "server/server_internal.h"

#include <string.h>

/* The cheap routes: the others begin with the same reading. */
static const char *const paths[] = { "/api/template", "/api/identify", "/api/lay", "/api/program", "/api/replay" };

static char *take_text(const uint8_t **data, size_t *size)
{
    const uint8_t *end = memchr(*data, '\0', *size);
    const size_t length = end != NULL ? (size_t)(end - *data) : *size;
    char *text = cw_copy_text((const char *)*data, length);

    *data += length + (end != NULL);
    *size -= length + (end != NULL);
    return text;
}

static void check_json(const cw_server__answer *answer)
{
    json_t *document = json_loadb(answer->body.data, answer->body.length, JSON_DECODE_ANY, NULL);

    PROMISE(document != NULL);
    json_decref(document);
}

static const char *const names[] = { "kind", "units", "paper", "date", "name", "dry-run" };

static const char *look_up(const void *asked, const char *name)
{
    char *const *texts = asked;

    for (int i = 0; i < 6; i++)
        if (strcmp(names[i], name) == 0)
            return texts[i][0] != '\0' ? texts[i] : NULL;
    return NULL;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    cw_server__answer answer = { .status = MHD_HTTP_OK, .type = CW_SERVER__JSON };
    cw_server__question question = { 0 };
    const cw_server__route *route;
    char *texts[6];

    if (size == 0)
        return 0;
    route = cw_server__route_find(paths[data[0] % (sizeof paths / sizeof paths[0])]);
    data++, size--;
    for (int i = 0; i < 6; i++)
        texts[i] = take_text(&data, &size);
    question.lookup = look_up;
    question.asked = texts;
    question.body = (const char *)data;
    question.length = size;
    answer.type = route->type;
    route->work(&question, &answer);
    PROMISE(answer.status >= 200 && answer.status <= 599 && !answer.body.failed);
    if (answer.type == CW_SERVER__JSON)
        check_json(&answer);
    cw_text_clear(&answer.body);
    for (int i = 0; i < 6; i++)
        cw_free(texts[i]);
    return 0;
}
