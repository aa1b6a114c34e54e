/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parsing of the call, help, and what all verbs say alike. */
#include "cli/cli.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const cli_option common_options[] = {
    { "json", NULL, "one JSON document on standard output, nothing else there" },
    { "quiet", NULL, "no progress and no hints on standard error" },
    { "help", NULL, "this text" },
};

static size_t option_count(const cli_verb *verb)
{
    size_t count = 0;

    while (count < CLI_OPTIONS_MOST && verb->options[count].name != NULL)
        count++;
    return count;
}

/* ---- help --------------------------------------------------------------------------------------------------- */

static void print_options(FILE *out, const cli_option *options, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        char left[48];

        snprintf(left, sizeof left, "%s%s%s%s", options[i].name[1] == '\0' ? "-" : "--", options[i].name,
                 options[i].argument != NULL ? " " : "", options[i].argument != NULL ? options[i].argument : "");
        fprintf(out, "  %-22s %s\n", left, options[i].help);
    }
}

/* The word by which an action is called: the one behind its verb's. */
static const char *action_word(const cli_verb *action)
{
    const char *blank = strchr(action->name, ' ');

    return blank != NULL ? blank + 1 : action->name;
}

static void print_actions_help(FILE *out, const cli_verb *verb)
{
    fprintf(out, "coilwright %s ACTION [arguments] [options]\n\n%s\n\n", verb->name, verb->summary);
    for (const cli_verb *action = verb->actions; action->name != NULL; action++) {
        char left[64];

        snprintf(left, sizeof left, "%s %s", action_word(action), action->arguments);
        fprintf(out, "  %-35s %s\n", left, action->summary);
    }
    if (verb->details != NULL)
        fprintf(out, "\n%s\n", verb->details);
    fprintf(out, "\n\"coilwright %s ACTION --help\" tells more of one.\n", verb->name);
}

static void print_verb_help(FILE *out, const cli_verb *verb)
{
    if (verb->actions != NULL) {
        print_actions_help(out, verb);
        return;
    }
    fprintf(out, "coilwright %s%s%s [options]\n\n%s\n", verb->name, verb->arguments[0] != '\0' ? " " : "",
            verb->arguments, verb->summary);
    if (verb->details != NULL)
        fprintf(out, "\n%s\n", verb->details);
    fprintf(out, "\n");
    print_options(out, verb->options, option_count(verb));
    print_options(out, common_options, sizeof common_options / sizeof common_options[0]);
}

static void print_help(FILE *out)
{
    fprintf(out, "coilwright VERB [arguments] [options]\n\n"
                 "From what is left of a dead coil to a wound and proven one.\n\n");
    for (const cli_verb *verb = cli_verbs; verb->name != NULL; verb++)
        fprintf(out, "  %-9s %-22s %s\n", verb->name, verb->arguments, verb->summary);
    fprintf(out, "\n\"coilwright VERB --help\" tells more of one. Begin with \"coilwright new -o job.yaml\".\n");
}

static json_t *options_json(const cli_option *options, size_t count)
{
    json_t *list = json_array();

    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, json_pack("{s:s, s:s?, s:s}", "name", options[i].name, "argument",
                                              options[i].argument, "help", options[i].help));
    return list;
}

/* The table of verbs, from which manual pages and completions are made (tools/manual.py). */
static int print_help_json(void)
{
    cli_call call = { .json = true };
    json_t *verbs = json_array();

    for (const cli_verb *verb = cli_verbs; verb->name != NULL; verb++)
        json_array_append_new(verbs, json_pack("{s:s, s:s, s:s, s:s?, s:o}", "name", verb->name, "arguments",
                                               verb->arguments, "summary", verb->summary, "details", verb->details,
                                               "options", options_json(verb->options, option_count(verb))));
    return cli_write_json(&call, json_pack("{s:s, s:o, s:o}", "version", CW_VERSION, "verbs", verbs, "common",
                                           options_json(common_options,
                                                        sizeof common_options / sizeof common_options[0])), 0);
}

/* ---- messages ----------------------------------------------------------------------------------------------- */

static json_t *error_json(const cw_error *error)
{
    return json_pack("{s:s, s:i, s:i, s:s, s:s}", "file", error->file, "line", error->line, "column", error->column,
                     "text", error->text, "expected", error->expected);
}

static int exit_status(cw_status status)
{
    return status == CW_OK ? 0 : status == CW_BAD_INPUT ? 2 : 3;
}

int cli_report_all(const cli_call *call, cw_status status, const cw_errors *errors)
{
    if (call != NULL && call->json) {
        json_t *list = json_array();

        for (size_t i = 0; i < errors->count; i++)
            json_array_append_new(list, error_json(&errors->items[i]));
        return cli_write_json(call, json_pack("{s:o, s:o}", "error", error_json(&errors->items[0]), "errors", list),
                              exit_status(status));
    }
    for (size_t i = 0; i < errors->count; i++) {
        char line[1400];

        cw_error_line(&errors->items[i], line, sizeof line);
        fprintf(stderr, "%s\n", line);
    }
    return exit_status(status);
}

int cli_report(const cli_call *call, cw_status status, const cw_error *error)
{
    cw_error copy = *error;
    cw_errors one = { &copy, 1, 1 };

    return cli_report_all(call, status, &one);
}

int cli_refuse(const cli_call *call, const char *format, ...)
{
    char text[600];
    cw_error error;
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    cw_refuse(&error, NULL, NULL, "%s", text);
    return cli_report(call, CW_BAD_INPUT, &error);
}

void cli_tell(const cli_call *call, const char *format, ...)
{
    va_list arguments;

    if (call->quiet)
        return;
    va_start(arguments, format);
    vfprintf(stderr, format, arguments);
    va_end(arguments);
    fputc('\n', stderr);
}

/* ---- output ------------------------------------------------------------------------------------------------- */

static int finish_output(int status)
{
    if (fflush(stdout) != 0 || ferror(stdout)) {
        fprintf(stderr, "Standard output could not be written: %s.\n", strerror(errno));
        return 3;
    }
    return status;
}

int cli_write_text(const cli_call *call, const cw_text *text, int status)
{
    cw_error error;

    if (text->failed) {
        cw_no_memory(&error);
        return cli_report(call, CW_NO_MEMORY, &error);
    }
    if (text->length > 0)
        fwrite(text->data, 1, text->length, stdout);
    return finish_output(status);
}

int cli_write_json(const cli_call *call, json_t *document, int status)
{
    cw_error error;
    char *text = document != NULL ? json_dumps(document, JSON_INDENT(2) | JSON_REAL_PRECISION(12)) : NULL;

    (void)call;
    json_decref(document);
    if (text == NULL) {
        cw_no_memory(&error);
        fprintf(stderr, "%s\n", error.text);
        return 3;
    }
    puts(text);
    free(text);
    return finish_output(status);
}

/* ---- the call ----------------------------------------------------------------------------------------------- */

const char *cli_value(const cli_call *call, const char *option)
{
    for (size_t i = 0; i < option_count(call->verb); i++)
        if (strcmp(call->verb->options[i].name, option) == 0)
            return call->value[i];
    return NULL;
}

bool cli_given(const cli_call *call, const char *option)
{
    return cli_value(call, option) != NULL;
}

int cli_quantity(const cli_call *call, const char *option, cw_kind kind, cw_quantity *quantity, double *at_c)
{
    const char *text = cli_value(call, option);
    cw_error error;
    cw_status status = at_c != NULL ? cw_quantity_parse_at(kind, text, strlen(text), NULL, quantity, at_c, &error)
                                    : cw_quantity_parse(kind, text, strlen(text), NULL, quantity, &error);

    if (status == CW_OK)
        return 0;
    snprintf(error.file, sizeof error.file, "--%s", option);
    return cli_report(call, status, &error);
}

static const cli_verb *find_verb(const cli_verb *verbs, const char *name)
{
    for (const cli_verb *verb = verbs; verb->name != NULL; verb++)
        if (strcmp(action_word(verb), name) == 0)
            return verb;
    return NULL;
}

/* group: " book" for an action of it, "" for a verb */
static int refuse_verb(const cli_call *call, const cli_verb *verbs, const char *group, const char *name)
{
    const char *nearest = NULL;
    int distance = 3;

    for (const cli_verb *verb = verbs; verb->name != NULL; verb++) {
        int d = cw_word_distance(name, action_word(verb), distance);

        if (d < distance) {
            distance = d;
            nearest = action_word(verb);
        }
    }
    if (nearest != NULL)
        return cli_refuse(call, "\"%s\" is not something coilwright%s does; did you mean \"%s\"?", name, group, nearest);
    return cli_refuse(call, "\"%s\" is not something coilwright%s does. \"coilwright%s --help\" lists what it does.",
                      name, group, group);
}

/* The action that the word behind the verb names; -1 to go on, or an exit status. */
static int choose_action(cli_call *call, const char *word)
{
    const cli_verb *verb = call->verb;
    char group[40];

    if (word == NULL || word[0] == '-')
        return cli_refuse(call, "%s wants to be told what to do first, as in %s. \"coilwright %s --help\" lists it all.",
                          verb->name, verb->actions[0].name, verb->name);
    call->verb = find_verb(verb->actions, word);
    snprintf(group, sizeof group, " %s", verb->name);
    return call->verb != NULL ? -1 : refuse_verb(call, verb->actions, group, word);
}

/* Finds "--name", "--name=value" or "-n" among the verb's options; -1 where it is none of them. */
static int find_option(const cli_verb *verb, const char *word, const char **inline_value)
{
    const char *name = word[1] == '-' ? word + 2 : word + 1;
    const char *equals = strchr(name, '=');
    size_t length = equals != NULL ? (size_t)(equals - name) : strlen(name);

    *inline_value = equals != NULL ? equals + 1 : NULL;
    for (size_t i = 0; i < option_count(verb); i++)
        if (strlen(verb->options[i].name) == length && memcmp(verb->options[i].name, name, length) == 0)
            return (int)i;
    return -1;
}

static int refuse_option(const cli_call *call, const char *word)
{
    const char *nearest = NULL;
    int distance = 3;

    for (size_t i = 0; i < option_count(call->verb); i++) {
        int d = cw_word_distance(word + strspn(word, "-"), call->verb->options[i].name, distance);

        if (d < distance) {
            distance = d;
            nearest = call->verb->options[i].name;
        }
    }
    if (nearest != NULL)
        return cli_refuse(call, "%s has no option %s; did you mean --%s?", call->verb->name, word, nearest);
    return cli_refuse(call, "%s has no option %s. \"coilwright %s --help\" lists them.", call->verb->name, word,
                      call->verb->name);
}

/* Of all options only this one may stand several times. */
static int take_set(cli_call *call, const char *words)
{
    if (call->set_count == CLI_SETS_MOST)
        return cli_refuse(call, "More than %d values are set. Write them into the job file.", CLI_SETS_MOST);
    call->set[call->set_count++] = words;
    return -1;
}

/* One word of the call; *used counts the words taken. Returns -1 to go on, or an exit status. */
static int take_word(cli_call *call, char **words, int left, int *used)
{
    const char *word = words[0], *inline_value;
    int index;

    *used = 1;
    if (word[0] != '-' || word[1] == '\0') {
        if (call->argument_count == call->verb->arguments_most)
            return cli_refuse(call, "\"%s\" is one word too many for %s, which takes %s.", word, call->verb->name,
                              call->verb->arguments[0] != '\0' ? call->verb->arguments : "none");
        call->argument[call->argument_count++] = word;
        return -1;
    }
    if (strcmp(word, "--json") == 0 || strcmp(word, "--quiet") == 0) {
        *(word[2] == 'j' ? &call->json : &call->quiet) = true;
        return -1;
    }
    index = find_option(call->verb, word, &inline_value);
    if (index < 0)
        return refuse_option(call, word);
    if (call->verb->options[index].argument == NULL) {
        call->value[index] = "";
        return -1;
    }
    if (inline_value == NULL) {
        if (left < 2)
            return cli_refuse(call, "%s wants %s behind it.", word, call->verb->options[index].argument);
        inline_value = words[1];
        *used = 2;
    }
    call->value[index] = inline_value;
    return strcmp(call->verb->options[index].name, "set") == 0 ? take_set(call, inline_value) : -1;
}

static bool asks_for(int count, char **words, const char *word)
{
    for (int i = 0; i < count; i++)
        if (strcmp(words[i], word) == 0)
            return true;
    return false;
}

/* The words behind the verb. */
static int run_verb(cli_call *call, int count, char **words)
{
    const bool help = asks_for(count, words, "--help");
    int first = 0, status;

    if (call->verb->actions != NULL && !(help && words[0][0] == '-')) {
        status = choose_action(call, count > 0 ? words[0] : NULL);
        if (status >= 0)
            return status;
        first = 1;
    }
    if (help) {
        print_verb_help(stdout, call->verb);
        return finish_output(0);
    }
    for (int i = first, used; i < count; i += used) {
        status = take_word(call, words + i, count - i, &used);
        if (status >= 0)
            return status;
    }
    if (call->argument_count < call->verb->arguments_least)
        return cli_refuse(call, "%s wants %s. \"coilwright %s --help\" tells more.", call->verb->name,
                          call->verb->arguments, call->verb->name);
    return call->verb->run(call);
}

int cli_main(int count, char **words)
{
    cli_call call = { 0 };

    if (count < 2) {
        print_help(stderr);
        return 2;
    }
    if (strcmp(words[1], "--help") == 0 || strcmp(words[1], "-h") == 0 || strcmp(words[1], "help") == 0) {
        if (asks_for(count - 2, words + 2, "--json"))
            return print_help_json();
        print_help(stdout);
        return finish_output(0);
    }
    if (strcmp(words[1], "--version") == 0) {
        printf("coilwright %s\n", CW_VERSION);
        return finish_output(0);
    }
    call.verb = find_verb(cli_verbs, words[1]);
    if (call.verb == NULL)
        return refuse_verb(NULL, cli_verbs, "", words[1]);
    call.json = asks_for(count - 2, words + 2, "--json"); /* so that a wrong call is answered in kind */
    return run_verb(&call, count - 2, words + 2);
}
