/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Changes in a job's text that touch nothing else in it: comments, order and blanks are the user's.
 *
 * Each change is made on the bytes, where the tree says that they stand. Then the changed text is read again, and its
 * tree must be the old one with that very change: so a layout that was not foreseen is refused, never damaged. */
#include "job/job_internal.h"

#include <stdio.h>
#include <string.h>

typedef struct edit {
    const char *text, *file;
    size_t length;
    cw_node *root;
    const char *line_end; /* as the file has it */
} edit;

static cw_status first_of(const cw_errors *errors, cw_error *error)
{
    if (errors->count == 0)
        return cw_no_memory(error);
    if (error != NULL)
        *error = errors->items[0];
    return CW_BAD_INPUT;
}

static cw_status read_tree(const char *text, size_t length, const char *file, cw_node **root, cw_error *error)
{
    cw_errors errors = { 0 };
    cw_status status = cw_job__tree(text, length, file, root, &errors);

    if (status == CW_BAD_INPUT)
        status = first_of(&errors, error);
    else if (status != CW_OK)
        cw_no_memory(error);
    cw_errors_clear(&errors);
    return status;
}

static cw_status begin(edit *edit, const char *text, size_t length, const char *file, cw_error *error)
{
    const char *stop = memchr(text, '\n', length);

    *edit = (struct edit){ .text = text, .length = length, .file = file };
    edit->line_end = stop != NULL && stop > text && stop[-1] == '\r' ? "\r\n" : "\n";
    return read_tree(text, length, file, &edit->root, error);
}

/* What stands from `from` to `to` makes room for `put`. */
static void splice(const edit *edit, size_t from, size_t to, const char *put, cw_text *changed)
{
    cw_text_add_bytes(changed, edit->text, from);
    cw_text_add(changed, put);
    cw_text_add_bytes(changed, edit->text + to, edit->length - to);
}

static cw_status refuse(const edit *edit, const cw_node *node, const char *by_hand, cw_error *error)
{
    const cw_place at = { edit->file, node != NULL ? node->key_line : 0, node != NULL ? node->key_column : 0 };

    return cw_refuse(error, &at, NULL,
                     "The way this is laid out cannot be changed without touching what you wrote. Nothing was changed; "
                     "put it in by hand: %.300s", by_hand);
}

/* ---- lines ----------------------------------------------------------------------------------------------------- */

static size_t line_begin(const edit *edit, size_t at)
{
    while (at > 0 && edit->text[at - 1] != '\n')
        at--;
    return at;
}

static size_t next_line(const edit *edit, size_t at)
{
    const char *stop = memchr(edit->text + at, '\n', edit->length - at);

    return stop != NULL ? (size_t)(stop - edit->text) + 1 : edit->length;
}

static size_t indent_of(const edit *edit, size_t at)
{
    size_t count = 0;

    while (at + count < edit->length && edit->text[at + count] == ' ')
        count++;
    return count;
}

static bool is_blank_line(const edit *edit, size_t at)
{
    const size_t mark = at + indent_of(edit, at);

    return mark == edit->length || edit->text[mark] == '\n' || edit->text[mark] == '\r';
}

/* Begin of the first line behind `at` that no longer belongs to what is indented deeper than `indent`; blank lines and
 * comments before the next thing are left to that. A comment that is indented deeper may be a line of a text. */
static size_t end_of_block(const edit *edit, size_t at, size_t indent)
{
    size_t end = next_line(edit, at);

    for (size_t line = end; line < edit->length; line = next_line(edit, line)) {
        const size_t here = indent_of(edit, line);

        if (is_blank_line(edit, line) || (here <= indent && edit->text[line + here] == '#'))
            continue;
        if (here <= indent)
            break;
        end = next_line(edit, line);
    }
    return end;
}

/* ---- trees ----------------------------------------------------------------------------------------------------- */

static bool same_word(const char *a, const char *b)
{
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

static bool same_tree(const cw_node *a, const cw_node *b)
{
    if (a->type != b->type || !same_word(a->key, b->key) || a->length != b->length || a->empty != b->empty ||
        (a->length > 0 && memcmp(a->text, b->text, a->length) != 0))
        return false;
    a = a->first;
    b = b->first;
    for (; a != NULL && b != NULL; a = a->next, b = b->next)
        if (!same_tree(a, b))
            return false;
    return a == b;
}

/* Takes a child out of its parent; the caller's then. */
static void unlink_child(cw_node *parent, cw_node *child)
{
    cw_node **link = &parent->first;

    while (*link != child)
        link = &(*link)->next;
    *link = child->next;
    if (parent->last == child) {
        parent->last = parent->first;
        while (parent->last != NULL && parent->last->next != NULL)
            parent->last = parent->last->next;
    }
    parent->child_count--;
    child->next = NULL;
}

static void append_child(cw_node *parent, cw_node *child)
{
    if (parent->last != NULL)
        parent->last->next = child;
    else
        parent->first = child;
    parent->last = child;
    parent->child_count++;
}

/* The changed text reads as the edit's tree does by now. */
static cw_status check_change(const edit *edit, const cw_node *node, const char *by_hand, cw_text *changed,
                              cw_error *error)
{
    cw_node *root = NULL;
    cw_status status = changed->failed ? cw_no_memory(error) : CW_OK;
    bool same = false;

    if (status == CW_OK) {
        status = read_tree(changed->data, changed->length, edit->file, &root, error);
        same = status == CW_OK && same_tree(edit->root, root);
        cw_job__tree_destroy(&root);
    }
    if (status == CW_BAD_INPUT || (status == CW_OK && !same))
        status = refuse(edit, node, by_hand, error);
    if (status != CW_OK)
        cw_text_clear(changed);
    return status;
}

/* ---- an item more ---------------------------------------------------------------------------------------------- */

/* The item as a job of its own: sound, and as a tree. */
static cw_status read_item(const char *section, const char *item, const cw_wire_catalogue *catalogue, cw_node **tree,
                           cw_error *error)
{
    cw_errors errors = { 0 };
    cw_text text = { 0 };
    cw_job *job = NULL;
    cw_status status;

    cw_text_print(&text, "coilwright: 1\n%s:\n  - %s\n", section, item);
    status = text.failed ? CW_NO_MEMORY : cw_job_read(text.data, text.length, NULL, catalogue, &job, &errors);
    if (status == CW_BAD_INPUT) {
        status = first_of(&errors, error);
        if (error != NULL)
            error->line = error->column = 0; /* they mean nothing to the user */
    } else if (status != CW_OK) {
        cw_no_memory(error);
    } else {
        status = read_tree(text.data, text.length, NULL, tree, error);
    }
    cw_job_destroy(&job);
    cw_errors_clear(&errors);
    cw_text_clear(&text);
    return status;
}

/* The comment's characters are those of a meter or of a person: one line of plain text. */
static void put_remark(const char *remark, cw_text *line)
{
    if (remark == NULL)
        return;
    cw_text_add(line, "  # ");
    for (const char *c = remark; *c != '\0'; c++)
        cw_text_add_bytes(line, (unsigned char)*c < ' ' || *c == 0x7F ? " " : c, 1);
}

static void put_line(const edit *edit, size_t indent, const char *item, const char *remark, cw_text *put)
{
    cw_text_print(put, "%*s- %s", (int)indent, "", item);
    put_remark(remark, put);
    cw_text_add(put, edit->line_end);
}

/* Where the item goes and with what around it. False where no place for it is known. */
static bool find_place(const edit *edit, const cw_node *list, const char *section, const char *item,
                       const char *remark, size_t *at, cw_text *put)
{
    const bool in_lines = edit->text[edit->root->from] != '{';
    const bool ends = edit->length == 0 || edit->text[edit->length - 1] == '\n';

    if (list == NULL || (list->type == CW_NODE_SCALAR && list->empty)) {
        *at = list == NULL ? edit->length : next_line(edit, list->key_from);
        if (*at == edit->length && !ends)
            cw_text_add(put, edit->line_end);
        if (list == NULL)
            cw_text_print(put, "%s:%s", section, edit->line_end);
        put_line(edit, 2, item, remark, put);
        return in_lines;
    }
    if (list->type != CW_NODE_LIST)
        return false;
    if (edit->text[list->from] == '[') {
        *at = list->to - 1;
        cw_text_print(put, "%s%s", list->child_count > 0 ? ", " : "", item);
        return true;
    }
    *at = end_of_block(edit, list->last->from, (size_t)list->column - 1);
    if (*at == edit->length && !ends)
        cw_text_add(put, edit->line_end);
    put_line(edit, (size_t)list->column - 1, item, remark, put);
    return true;
}

/* The old tree with the item in it. */
static void expect_item(edit *edit, cw_node *list, cw_node *item_tree)
{
    cw_node *section = item_tree->last; /* behind `coilwright` */

    if (list != NULL && list->type == CW_NODE_LIST) {
        cw_node *item = section->first;

        unlink_child(section, item);
        append_child(list, item);
        return;
    }
    unlink_child(item_tree, section);
    if (list == NULL) {
        append_child(edit->root, section);
        return;
    }
    for (cw_node *before = edit->root->first; before != NULL; before = before->next)
        if (before->next == list)
            before->next = section;
    if (edit->root->first == list)
        edit->root->first = section;
    if (edit->root->last == list)
        edit->root->last = section;
    section->next = list->next;
    list->next = NULL;
    cw_job__tree_destroy(&list);
}

cw_status cw_job_text_add(const char *text, size_t length, const char *file, const cw_wire_catalogue *catalogue,
                          const char *section, const char *item, const char *remark, cw_text *changed, cw_error *error)
{
    edit edit = { 0 };
    cw_node *item_tree = NULL, *list;
    cw_text put = { 0 };
    size_t at = 0;
    cw_status status = read_item(section, item, catalogue, &item_tree, error);

    cw_text_clear(changed);
    if (status == CW_OK)
        status = begin(&edit, text, length, file, error);
    if (status == CW_OK) {
        list = (cw_node *)cw_job__find(edit.root, section);
        if (find_place(&edit, list, section, item, remark, &at, &put)) {
            splice(&edit, at, at, put.failed ? "" : put.data, changed);
            changed->failed = changed->failed || put.failed;
            expect_item(&edit, list, item_tree);
            status = check_change(&edit, NULL, item, changed, error);
        } else {
            status = refuse(&edit, list, item, error);
        }
    }
    cw_text_clear(&put);
    cw_job__tree_destroy(&item_tree);
    cw_job__tree_destroy(&edit.root);
    return status;
}

/* ---- an item less ---------------------------------------------------------------------------------------------- */

/* Begin of the line of a list's item whose remark begins with `mark` and is the last in the order of letters, so that
 * of times written as 2031-05-17 09:30:00 it is the latest. */
static bool find_marked(const edit *edit, const char *mark, size_t *found)
{
    const char *best = NULL;
    char wanted[64];

    snprintf(wanted, sizeof wanted, "}  # %.50s", mark);
    for (size_t at = 0; at < edit->length; at = next_line(edit, at)) {
        const size_t end = next_line(edit, at), dash = at + indent_of(edit, at);
        const char *remark = NULL;

        if (dash + 3 < end && memcmp(edit->text + dash, "- {", 3) == 0)
            for (size_t i = dash; i + strlen(wanted) < end && remark == NULL; i++)
                if (memcmp(edit->text + i, wanted, strlen(wanted)) == 0)
                    remark = edit->text + i + strlen(wanted);
        if (remark == NULL)
            continue;
        if (best == NULL || strncmp(remark, best, strcspn(best, "\n")) >= 0) {
            best = remark;
            *found = at;
        }
    }
    return best != NULL;
}

/* The list and its item that begins in that line. */
static cw_node *find_item(edit *edit, size_t line, cw_node **list)
{
    for (*list = edit->root->first; *list != NULL; *list = (*list)->next)
        for (cw_node *item = (*list)->first; item != NULL && (*list)->type == CW_NODE_LIST; item = item->next)
            if (line_begin(edit, item->from) == line)
                return item;
    return NULL;
}

/* A head with nothing else in its line, which together with the line is the end of the file: it came with the item. */
static bool head_came_along(const edit *edit, const cw_node *list, size_t line)
{
    const size_t head = line > 0 ? line_begin(edit, line - 1) : 0, key = strlen(list->key);

    return list->child_count == 1 && next_line(edit, line) == edit->length && head < line &&
           memcmp(edit->text + head, list->key, key) == 0 &&
           strcspn(edit->text + head + key, "\r\n") == 1 && edit->text[head + key] == ':';
}

static void expect_less(edit *edit, cw_node *list, cw_node *item, bool with_head)
{
    unlink_child(list, item);
    cw_job__tree_destroy(&item);
    if (with_head) {
        unlink_child(edit->root, list);
        cw_job__tree_destroy(&list);
    } else if (list->first == NULL) { /* nothing is written behind the key then */
        list->type = CW_NODE_SCALAR;
        list->empty = true;
    }
}

cw_status cw_job_text_take_back(const char *text, size_t length, const char *file, const char *mark, cw_text *changed,
                                cw_text *line, cw_error *error)
{
    edit edit;
    cw_node *list = NULL, *item = NULL;
    size_t at = 0;
    bool with_head;
    cw_status status = begin(&edit, text, length, file, error);

    cw_text_clear(changed);
    cw_text_clear(line);
    if (status != CW_OK)
        return status;
    if (find_marked(&edit, mark, &at))
        item = find_item(&edit, at, &list);
    if (item == NULL) {
        status = cw_refuse(error, &(cw_place){ .file = file }, NULL,
                           "No line of this job was put there by a reading, so there is nothing to take back.");
    } else {
        const size_t end = next_line(&edit, at), begin_at = at + indent_of(&edit, at);

        cw_text_add_bytes(line, text + begin_at, end - begin_at - (end > at && text[end - 1] == '\n'));
        with_head = head_came_along(&edit, list, at);
        splice(&edit, with_head ? line_begin(&edit, at - 1) : at, end, "", changed);
        expect_less(&edit, list, item, with_head);
        status = check_change(&edit, NULL, "take that line out", changed, error);
        if (status == CW_OK && line->failed)
            status = cw_no_memory(error);
    }
    cw_job__tree_destroy(&edit.root);
    return status;
}

/* ---- a second job ---------------------------------------------------------------------------------------------- */

/* Takes a section out with all its lines. */
static cw_status drop_section(const char *text, size_t length, const char *file, const char *section, cw_text *changed,
                              cw_error *error)
{
    edit edit;
    cw_node *node;
    cw_status status = begin(&edit, text, length, file, error);

    if (status != CW_OK)
        return status;
    node = (cw_node *)cw_job__find(edit.root, section);
    if (node == NULL) {
        splice(&edit, length, length, "", changed);
        status = changed->failed ? cw_no_memory(error) : CW_OK;
    } else if (edit.text[edit.root->from] == '{') {
        status = refuse(&edit, node, "leave the proof of the first coil out", error);
    } else {
        const size_t from = line_begin(&edit, node->key_from);
        size_t to = next_line(&edit, from);

        if (node->type != CW_NODE_SCALAR)
            to = end_of_block(&edit, node->type == CW_NODE_LIST && node->last != NULL ? node->last->from : from,
                              node->type == CW_NODE_LIST && text[node->from] == '-' ? (size_t)node->column - 1 : 0);
        splice(&edit, from, to, "", changed);
        unlink_child(edit.root, node);
        cw_job__tree_destroy(&node);
        status = check_change(&edit, NULL, "leave the proof of the first coil out", changed, error);
    }
    cw_job__tree_destroy(&edit.root);
    return status;
}

/* Words that YAML takes as they stand, in lines and in braces; else in quotes. */
static void put_word(const char *word, cw_text *put)
{
    const size_t length = strlen(word);
    const bool begins = (word[0] >= 'A' && word[0] <= 'Z') || (word[0] >= 'a' && word[0] <= 'z');

    if (begins && length > 4 && word[length - 1] != ' ' && /* longer than null, true and the like */
        strspn(word, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 -") == length)
        cw_text_add(put, word);
    else
        cw_job__write_quoted(word, put);
}

/* A word of the job's section: in place of the one that is there, or before the first. */
static bool find_word_place(const edit *edit, const cw_node *job, const char *key, const char *quoted, size_t *from,
                            size_t *to, cw_text *put)
{
    const cw_node *word = job != NULL ? cw_job__find(job, key) : NULL;

    if (word != NULL && !word->empty) {
        const size_t quote = word->from > 0 && strchr("'\"", edit->text[word->from - 1]) != NULL;

        *from = word->from - quote;
        *to = word->to + quote;
        cw_text_add(put, quoted);
        return word->type == CW_NODE_SCALAR && memchr(edit->text + word->from, '\n', word->to - word->from) == NULL;
    }
    if (word != NULL || (job != NULL && job->type != CW_NODE_MAP))
        return false;
    if (job == NULL) {
        *from = *to = edit->length;
        cw_text_print(put, "%sjob: {%s: %s}%s",
                      edit->length > 0 && edit->text[edit->length - 1] != '\n' ? edit->line_end : "", key, quoted,
                      edit->line_end);
    } else if (edit->text[job->from] == '{') {
        *from = *to = job->from + 1;
        cw_text_print(put, "%s: %s%s", key, quoted, job->child_count > 0 ? ", " : "");
    } else {
        *from = *to = line_begin(edit, job->from);
        cw_text_print(put, "%*s%s: %s%s", job->column - 1, "", key, quoted, edit->line_end);
    }
    return true;
}

/* The word is now as the job must have it. */
static cw_status check_word(const edit *edit, const char *key, const char *word, cw_text *changed, cw_error *error)
{
    cw_node *root = NULL;
    const cw_node *job, *found;
    cw_status status = changed->failed ? cw_no_memory(error)
                                       : read_tree(changed->data, changed->length, edit->file, &root, error);

    job = status == CW_OK ? cw_job__find(root, "job") : NULL;
    found = job != NULL ? cw_job__find(job, key) : NULL;
    if (status == CW_BAD_INPUT ||
        (status == CW_OK && (found == NULL || found->type != CW_NODE_SCALAR || !same_word(found->text, word))))
        status = refuse(edit, cw_job__find(edit->root, "job"), word, error);
    cw_job__tree_destroy(&root);
    return status;
}

static cw_status set_word(const char *text, size_t length, const char *file, const char *key, const char *word,
                          cw_text *changed, cw_error *error)
{
    cw_text quoted = { 0 }, put = { 0 };
    size_t from = 0, to = 0;
    edit edit;
    cw_status status = begin(&edit, text, length, file, error);

    if (status != CW_OK)
        return status;
    put_word(word, &quoted);
    if (quoted.failed || !find_word_place(&edit, cw_job__find(edit.root, "job"), key, quoted.data, &from, &to, &put) ||
        put.failed) {
        status = quoted.failed || put.failed ? cw_no_memory(error)
                                             : refuse(&edit, cw_job__find(edit.root, "job"), quoted.data, error);
    } else {
        splice(&edit, from, to, put.data, changed);
        status = check_word(&edit, key, word, changed, error);
    }
    cw_text_clear(&quoted);
    cw_text_clear(&put);
    cw_job__tree_destroy(&edit.root);
    return status;
}

cw_status cw_job_text_again(const char *text, size_t length, const char *file, const char *name, const char *machine,
                            cw_text *changed, cw_error *error)
{
    const char *const words[][2] = { { "machine", machine }, { "name", name } };
    cw_status status;

    cw_text_clear(changed);
    status = drop_section(text, length, file, "proof", changed, error);
    for (size_t i = 0; i < sizeof words / sizeof words[0] && status == CW_OK; i++) {
        cw_text next = { 0 };

        if (words[i][1] == NULL)
            continue;
        status = set_word(changed->data, changed->length, file, words[i][0], words[i][1], &next, error);
        cw_text_clear(changed);
        *changed = next;
    }
    if (status != CW_OK)
        cw_text_clear(changed);
    return status;
}
