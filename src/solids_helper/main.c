/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reads the question line by line, and answers group by group. */
#include "solids_helper/helper.h"

#include <errno.h>
#include <fcntl.h>
#include <gmshc.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { PIECES_MOST = 16, LINE_MOST = 2000 };

typedef struct question {
    double chord_mm;
    char group[64];
    piece pieces[PIECES_MOST];
    size_t piece_count;
    int line;
    FILE *out;
} question;

/* Without the ends that libraries have prepared: what they keep, the system takes back faster. */
static _Noreturn void leave(int status)
{
    fflush(NULL);
    _exit(status);
}

_Noreturn void fail(int status, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    vfprintf(stderr, format, arguments);
    va_end(arguments);
    fputc('\n', stderr);
    leave(status);
}

void kernel_check(int failed, const char *doing)
{
    char *said = NULL;
    int ignored;

    if (failed == 0)
        return;
    gmshLoggerGetLastError(&said, &ignored);
    fail(3, "The kernel could not %s: %s", doing, said != NULL && said[0] != '\0' ? said : "it does not say why");
}

void *allocate(size_t count, size_t size)
{
    void *block = calloc(count > 0 ? count : 1, size);

    if (block == NULL)
        fail(3, "There is no memory left.");
    return block;
}

/* ---- groups ---------------------------------------------------------------------------------------------------- */

static void begin_group(question *q, const char *name)
{
    int failed;

    snprintf(q->group, sizeof q->group, "%s", name);
    gmshClear(&failed);
    kernel_check(failed, "begin");
    gmshModelAdd(name, &failed);
    kernel_check(failed, "begin");
    q->piece_count = 0;
}

static void end_group(question *q)
{
    size_t length;
    char *step;
    int failed;

    if (q->group[0] == '\0')
        return;
    for (size_t i = 0; i < q->piece_count; i++)
        piece_finish(&q->pieces[i]);
    gmshModelOccSynchronize(&failed);
    kernel_check(failed, "put the pieces together");
    step = group_step(q->group, q->pieces, q->piece_count, &length);
    fprintf(q->out, "group %s %zu\n", q->group, length);
    fwrite(step, 1, length, q->out);
    free(step);
    group_mesh(q->chord_mm);
    for (size_t i = 0; i < q->piece_count; i++)
        piece_write(&q->pieces[i], q->out);
}

static void begin_piece(question *q, const char *name)
{
    if (q->piece_count == PIECES_MOST || q->group[0] == '\0')
        fail(2, "Line %d: a piece stands outside a group, or is one too many.", q->line);
    q->pieces[q->piece_count] = (piece){ 0 };
    snprintf(q->pieces[q->piece_count].name, sizeof q->pieces[0].name, "%s", name);
    q->piece_count++;
}

/* ---- lines ----------------------------------------------------------------------------------------------------- */

typedef struct command {
    const char *words;
    int least, most;
    void (*run)(piece *p, const double *n, int count);
} command;

static const command commands[] = {
    { "add prism", 7, 7, piece_add_prism }, { "add box", 6, 6, piece_add_box },
    { "cut prism", 7, 7, piece_cut_prism }, { "cut box", 6, 6, piece_cut_box },
    { "carve", 9, 9, piece_carve },         { "fillet", 4, 19, piece_fillet },
};

static int read_numbers(const char *text, double *numbers)
{
    int count = 0;

    for (; count < NUMBERS_MOST; count++) {
        char *end;

        numbers[count] = strtod(text, &end);
        if (end == text)
            break;
        text = end;
    }
    return text[strspn(text, " \n")] == '\0' ? count : -1;
}

static void run_line(question *q, const char *line)
{
    double numbers[NUMBERS_MOST] = { 0 };
    char name[64];

    if (sscanf(line, "mesh %lf", &q->chord_mm) == 1)
        return;
    if (sscanf(line, "group %63s", name) == 1) {
        end_group(q);
        begin_group(q, name);
        return;
    }
    if (sscanf(line, "piece %63s", name) == 1) {
        begin_piece(q, name);
        return;
    }
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        const command *c = &commands[i];
        const size_t length = strlen(c->words);
        int count;

        if (strncmp(line, c->words, length) != 0)
            continue;
        count = read_numbers(line + length, numbers);
        if (count < c->least || count > c->most || q->piece_count == 0)
            break;
        c->run(&q->pieces[q->piece_count - 1], numbers, count);
        return;
    }
    fail(2, "Line %d of the question is not understood.", q->line);
}

/* The kernel's STEP writer prints on standard output: our answer keeps the way there, and the kernel gets none. */
static FILE *take_output(void)
{
    const int kept = dup(STDOUT_FILENO), nothing = open("/dev/null", O_WRONLY);
    FILE *out = kept >= 0 ? fdopen(kept, "wb") : NULL;

    if (out == NULL || nothing < 0 || dup2(nothing, STDOUT_FILENO) < 0)
        fail(3, "There is no way to answer: %s.", strerror(errno));
    return out;
}

static void start_kernel(void)
{
    int failed;

    gmshInitialize(0, NULL, 0, &failed);
    kernel_check(failed, "start");
    gmshOptionSetNumber("General.Terminal", 0, &failed);
    gmshOptionSetNumber("General.NumThreads", 1, &failed);
    gmshOptionSetNumber("Mesh.Algorithm", 5, &failed); /* adds few points; 3, which is to add none, loses some */
    gmshOptionSetNumber("Mesh.MeshSizeExtendFromBoundary", 0, &failed);
    gmshOptionSetNumber("Geometry.OCCUnionUnify", 0, &failed); /* it would make the quarters of round faces one again */
    kernel_check(failed, "start");
}

int main(void)
{
    question q = { .chord_mm = 0.01, .out = take_output() };
    char line[LINE_MOST];

    start_kernel();
    while (fgets(line, sizeof line, stdin) != NULL) {
        q.line++;
        run_line(&q, line);
    }
    end_group(&q);
    if (fclose(q.out) != 0)
        fail(3, "The answer could not be written: %s.", strerror(errno));
    leave(0);
}
