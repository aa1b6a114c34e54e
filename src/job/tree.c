/* SPDX-License-Identifier: GPL-3.0-or-later */
/* YAML into nodes with places, by libfyaml's events.
 *
 * Nothing of YAML that a job does not need is let through: anchors, aliases and tags are refused where they stand, so
 * that no small file can grow large; depth and number of nodes are bounded. libfyaml's own words are collected, not
 * printed, and put into ours. */
#include "job/job_internal.h"

#include <libfyaml.h>
#include <stdio.h>
#include <string.h>

typedef struct builder {
    const char *file;
    cw_errors *errors;
    cw_node *root;
    cw_node *open[CW_JOB_DEPTH_MOST]; /* lists and maps being read */
    int depth;
    cw_node *key;                     /* a map's key that waits for its value: holds key and place */
    long nodes;
    bool wrong;
    bool no_memory;
} builder;

static void complain(builder *b, int line, int column, const char *expected, const char *sentence)
{
    cw_place at = { b->file, line, column };
    cw_error error;

    cw_refuse(&error, &at, expected, "%s", sentence);
    cw_errors_add(b->errors, &error);
    b->wrong = true;
}

void cw_job__tree_destroy(cw_node **root)
{
    cw_node *node = *root;

    *root = NULL;
    while (node != NULL) {
        cw_node *next = node->next;

        cw_job__tree_destroy(&node->first);
        cw_free(node->key);
        cw_free(node->text);
        cw_free(node);
        node = next;
    }
}

const cw_node *cw_job__find(const cw_node *map, const char *key)
{
    for (const cw_node *node = map->first; node != NULL; node = node->next)
        if (node->key != NULL && strcmp(node->key, key) == 0)
            return node;
    return NULL;
}

/* ---- before YAML --------------------------------------------------------------------------------------------- */

/* What no job holds, and is most often no job at all, so that the first one is enough: bytes that are not UTF-8, control
 * characters, endless lines. Also directives. */
static void check_characters(builder *b, const char *text, size_t length)
{
    int line = 1, column = 1;

    for (size_t used = 0; used < length && !b->wrong;) {
        uint32_t code = 0;
        int bytes = cw_utf8_decode(text + used, length - used, &code);

        if (bytes == 0)
            complain(b, line, column, "text in UTF-8",
                     "A character here is not UTF-8. Save the file as UTF-8, or check that it is a job file.");
        else if ((code < ' ' && code != '\n' && code != '\r' && code != '\t') || code == 0x7F)
            complain(b, line, column, "text", "A control character stands here. Is this a job file?");
        else if (column > CW_JOB_LINE_LONGEST)
            complain(b, line, column, NULL, "This line is longer than any line of a job. Is it a job file?");
        else if (line > CW_JOB_LINES_MOST)
            complain(b, line, column, NULL, "This file has more lines than any job. Is it a job file?");
        else if (code == '%' && column == 1)
            complain(b, line, column, NULL, "A % in the first column begins a directive, which job files have none of. "
                     "Leave the line out.");
        column++;
        if (code == '\n') {
            line++;
            column = 1;
        }
        used += (size_t)bytes;
    }
}

/* YAML forbids tabs as indentation, and its own messages then point elsewhere. */
static void check_tabs(builder *b, const char *text, size_t length)
{
    int line = 1, column = 1;
    bool indenting = true, tab = false;

    for (size_t i = 0; i < length; i++, column++) {
        if (text[i] == '\n') {
            line++;
            column = 0;
            indenting = true;
            tab = false;
        } else if (indenting && text[i] == '\t' && !tab) {
            tab = true;
        } else if (indenting && text[i] != ' ' && text[i] != '\t') {
            if (tab && text[i] != '#' && text[i] != '\r')
                complain(b, line, 1, "blanks", "A tab indents this line. Put blanks in its place.");
            indenting = false;
        }
    }
}

static bool only_blank(const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (text[i] == '#')
            while (i < length && text[i] != '\n')
                i++;
        else if (text[i] != ' ' && text[i] != '\n' && text[i] != '\r' && text[i] != '\t')
            return false;
    }
    return true;
}

/* ---- events -------------------------------------------------------------------------------------------------- */

static cw_node *node_new(builder *b, cw_node_type type, const struct fy_mark *mark)
{
    cw_node *node = cw_allocate(1, sizeof *node);

    if (node == NULL) {
        b->no_memory = true;
        return NULL;
    }
    node->type = type;
    if (mark != NULL) {
        node->line = mark->line + 1;
        node->column = mark->column + 1;
        node->from = node->to = mark->input_pos;
    }
    if (++b->nodes == CW_JOB_NODES_MOST)
        complain(b, node->line, node->column, NULL, "This file has more entries than any job. Is it a job file?");
    return node;
}

/* Puts a finished key, or a value, where it belongs. */
static void place_node(builder *b, cw_node *node)
{
    cw_node *parent = b->depth > 0 ? b->open[b->depth - 1] : NULL;

    if (b->key != NULL && parent != NULL && parent->type == CW_NODE_MAP) {
        node->key = b->key->key;
        node->key_line = b->key->key_line;
        node->key_column = b->key->key_column;
        node->key_from = b->key->key_from;
        b->key->key = NULL;
        cw_job__tree_destroy(&b->key);
    }
    if (node->line == 0) { /* nothing is written: the key is what can be pointed at */
        node->line = node->key_line > 0 ? node->key_line : parent != NULL ? parent->line : 1;
        node->column = node->key_line > 0 ? node->key_column : parent != NULL ? parent->column : 1;
    }
    if (parent == NULL) {
        b->root = node;
        return;
    }
    if (parent->last != NULL)
        parent->last->next = node;
    else
        parent->first = node;
    parent->last = node;
    parent->child_count++;
}

static bool key_expected(const builder *b)
{
    return b->depth > 0 && b->open[b->depth - 1]->type == CW_NODE_MAP && b->key == NULL;
}

static void refuse_extras(builder *b, const struct fy_mark *mark, const struct fy_token *anchor,
                          const struct fy_token *tag)
{
    int line = mark != NULL ? mark->line + 1 : 0, column = mark != NULL ? mark->column + 1 : 0;

    if (anchor != NULL)
        complain(b, line, column, NULL, "Anchors (&name) are not used in job files. Write the value out.");
    if (tag != NULL)
        complain(b, line, column, NULL, "Tags (!name) are not used in job files. Leave it out.");
}

static void take_scalar(builder *b, struct fy_event *event, const struct fy_mark *start, const struct fy_mark *end)
{
    struct fy_token *token = event->scalar.value;
    size_t length = 0;
    const char *text = token != NULL ? fy_token_get_text(token, &length) : NULL;
    bool plain = token == NULL || fy_token_scalar_style(token) == FYSS_PLAIN;
    cw_node *node = node_new(b, CW_NODE_SCALAR, start);

    if (node == NULL)
        return;
    node->text = cw_copy_text(text != NULL ? text : "", length);
    node->length = length;
    if (end != NULL)
        node->to = end->input_pos;
    node->empty = length == 0 || (plain && (strcmp(node->text != NULL ? node->text : "", "null") == 0 ||
                                            strcmp(node->text != NULL ? node->text : "", "~") == 0));
    node->as_written = start != NULL && end != NULL && start->line == end->line &&
                       end->input_pos - start->input_pos == length;
    b->no_memory = b->no_memory || node->text == NULL;
    if (!key_expected(b)) {
        place_node(b, node);
        return;
    }
    node->key = node->text;
    node->text = NULL;
    node->key_line = node->line;
    node->key_column = node->column;
    node->key_from = node->from;
    if (node->key != NULL && strlen(node->key) != length)
        complain(b, node->line, node->column, NULL, "A zero byte stands in this key.");
    b->key = node;
}

static void open_node(builder *b, cw_node_type type, const struct fy_mark *mark)
{
    cw_node *node = node_new(b, type, mark);

    if (node == NULL)
        return;
    if (key_expected(b)) {
        complain(b, node->line, node->column, "a word and a colon, as in length: 58 mm",
                 "A list or a group stands where a key should.");
        cw_job__tree_destroy(&node);
        return;
    }
    place_node(b, node);
    if (b->depth == CW_JOB_DEPTH_MOST) {
        complain(b, node->line, node->column, NULL,
                 "Lists and groups are nested deeper than in any job. A bracket is probably missing or too many.");
        return;
    }
    b->open[b->depth++] = node;
}

static void close_node(builder *b, const struct fy_mark *end)
{
    if (b->depth == 0)
        return;
    if (end != NULL)
        b->open[b->depth - 1]->to = end->input_pos;
    b->depth--;
}

static void take_event(builder *b, struct fy_event *event, int *documents)
{
    const struct fy_mark *start = fy_event_start_mark(event), *end = fy_event_end_mark(event);

    switch (event->type) {
    case FYET_SCALAR:
        refuse_extras(b, start, event->scalar.anchor, event->scalar.tag);
        take_scalar(b, event, start, end);
        break;
    case FYET_ALIAS:
        complain(b, start != NULL ? start->line + 1 : 0, start != NULL ? start->column + 1 : 0, NULL,
                 "Aliases (*name) are not used in job files. Write the value out.");
        break;
    case FYET_MAPPING_START:
        refuse_extras(b, start, event->mapping_start.anchor, event->mapping_start.tag);
        open_node(b, CW_NODE_MAP, start);
        break;
    case FYET_SEQUENCE_START:
        refuse_extras(b, start, event->sequence_start.anchor, event->sequence_start.tag);
        open_node(b, CW_NODE_LIST, start);
        break;
    case FYET_MAPPING_END:
    case FYET_SEQUENCE_END:
        close_node(b, end);
        break;
    case FYET_DOCUMENT_START:
        if (++*documents > 1)
            complain(b, start != NULL ? start->line + 1 : 0, start != NULL ? start->column + 1 : 0, NULL,
                     "A second document begins here. A job file holds one job.");
        break;
    case FYET_NONE:
    case FYET_STREAM_START:
    case FYET_STREAM_END:
    case FYET_DOCUMENT_END:
        break;
    }
}

/* ---- libfyaml's complaints ------------------------------------------------------------------------------------ */

static void swallow(struct fy_diag *diag, void *user, const char *text, size_t length)
{
    (void)diag, (void)user, (void)text, (void)length;
}

static const char *in_our_words(const char *message)
{
    static const struct { const char *part, *sentence; } rows[] = {
        { "invalid multiline plain key", "This line and the next do not fit together. Check that the lines of one "
                                         "section are indented alike." },
        { "without a closing bracket", "A list that began with [ is not closed. Put a ] at its end." },
        { "missing closing brace", "A group that began with { is not closed. Put a } at its end." },
        { "missing comma in flow mapping", "A group that began with { lacks a comma, or its } at the end." },
        { "missing comma in flow sequence", "A list that began with [ lacks a comma, or its ] at the end." },
        { "double-quoted scalar", "A text that began with \" does not end properly. Put a \" at its end, or write "
                                  "inches as in." },
        { "single-quoted scalar", "A text that began with ' does not end properly. Put a ' at its end, or write "
                                  "feet as ft." },
        { "nested block mapping on the same line", "A second colon stands in this line. Put quotes around the value." },
        { "could not find expected ':'", "A colon and a value are missing behind this word." },
        { "block sequence on the same line", "A list item begins behind a key. Put it on a line of its own." },
        { "plain scalar cannot start with", "A value cannot begin with this character. Put quotes around it." },
        { "extra closing brace", "A } stands here without its {." },
        { "extra closing bracket", "A ] stands here without its [." },
        { "invalid comma", "A comma stands here with nothing before it. Take it out." },
        { "expected node content", "Nothing can begin with this character here. Put quotes around the value." },
        { "no linebreak found", "Behind | or > a text begins on the next line. Put quotes around the value if it is "
                                "meant otherwise." },
        { "invalid escape", "A backslash between double quotes begins a character that does not exist. "
                            "Use single quotes." },
        { "invalid value after mapping", "This line does not fit behind the one before. A blank is perhaps missing "
                                         "behind a colon." },
        { "indent", "The indentation of this line fits no line above." },
    };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (strstr(message, rows[i].part) != NULL)
            return rows[i].sentence;
    return NULL;
}

static void report_syntax(builder *b, struct fy_diag *diag)
{
    void *iterator = NULL;
    const struct fy_diag_error *found = fy_diag_errors_iterate(diag, &iterator);
    char sentence[300];
    const char *ours;

    if (found == NULL || found->msg == NULL) {
        complain(b, 0, 0, NULL, "This is not a job file: it cannot be read as YAML.");
        return;
    }
    ours = in_our_words(found->msg);
    snprintf(sentence, sizeof sentence, "This cannot be read as YAML: %.200s.", found->msg);
    complain(b, found->line, found->column, NULL, ours != NULL ? ours : sentence);
}

static struct fy_diag *diag_create(void)
{
    struct fy_diag_cfg config;
    struct fy_diag *diag;

    fy_diag_cfg_default(&config);
    config.fp = NULL;
    config.output_fn = swallow;
    config.colorize = false;
    config.level = FYET_ERROR;
    diag = fy_diag_create(&config);
    if (diag != NULL)
        fy_diag_set_collect_errors(diag, true);
    return diag;
}

static void parse(builder *b, const char *text, size_t length)
{
    struct fy_diag *diag = diag_create();
    struct fy_parse_cfg config = { 0 };
    struct fy_parser *parser = NULL;
    struct fy_event *event;
    int documents = 0;

    config.flags = FYPCF_DEFAULT_VERSION_1_2 | FYPCF_JSON_NONE | FYPCF_DISABLE_MMAP_OPT;
    config.diag = diag;
    if (diag != NULL)
        parser = fy_parser_create(&config);
    if (parser == NULL || fy_parser_set_string(parser, text, length) != 0) {
        b->no_memory = true;
    } else {
        while (!b->wrong && !b->no_memory && (event = fy_parser_parse(parser)) != NULL) {
            take_event(b, event, &documents);
            fy_parser_event_free(parser, event);
        }
        if (!b->wrong && !b->no_memory && fy_parser_get_stream_error(parser))
            report_syntax(b, diag);
    }
    if (parser != NULL)
        fy_parser_destroy(parser);
    if (diag != NULL)
        fy_diag_destroy(diag);
}

static void check_root(builder *b)
{
    if (b->root == NULL || b->root->empty)
        complain(b, 1, 1, "coilwright: 1, and the sections of a job", "The file holds nothing.");
    else if (b->root->type != CW_NODE_MAP)
        complain(b, b->root->line, b->root->column, "coilwright: 1, and the sections of a job",
                 b->root->type == CW_NODE_LIST ? "The file holds a list and no job." : "The file holds a text and no "
                                                                                      "job.");
}

cw_status cw_job__tree(const char *text, size_t length, const char *file, cw_node **root, cw_errors *errors)
{
    builder b = { .file = file, .errors = errors };

    *root = NULL;
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) { /* the mark that some editors put before UTF-8 */
        text += 3;
        length -= 3;
    }
    if (length > CW_JOB_LARGEST)
        complain(&b, 0, 0, NULL, "The file is larger than 1 MB, and a job is a page or two. Is it the right file?");
    if (!b.wrong)
        check_characters(&b, text, length);
    if (!b.wrong)
        check_tabs(&b, text, length);
    if (!b.wrong && only_blank(text, length))
        complain(&b, 1, 1, "coilwright: 1, and the sections of a job", "The file is empty.");
    if (!b.wrong)
        parse(&b, text, length);
    if (!b.wrong && !b.no_memory)
        check_root(&b);
    cw_job__tree_destroy(&b.key);
    if (b.wrong || b.no_memory) {
        cw_job__tree_destroy(&b.root);
        return b.no_memory ? CW_NO_MEMORY : CW_BAD_INPUT;
    }
    *root = b.root;
    return CW_OK;
}
