/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A process for each computation: whatever a job does to it, the server stays.
 *
 * The worker is forked, so that it starts with everything loaded, in about a millisecond. It keeps one descriptor, the
 * pipe for its answer, may write no byte to a file unless its route is one of the book's, and ends by itself when its
 * limits are reached. One that is at the book outlives the server: what it was given is saved, told or not.
 *
 *     pipe:  | status, int | type, int | body ... |      a worker that died in between is found out by its exit status
 *     or, of one that streams, its events as they are    the last one is "done" or "failed" */
#include "server/server_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#if defined(__SANITIZE_ADDRESS__)
#define ADDRESS_SPACE RLIM_INFINITY /* the sanitizer's shadow alone is terabytes */
#else
#define ADDRESS_SPACE ((rlim_t)2 << 30) /* bytes; a sheet takes a twentieth of it */
#endif

typedef struct head {
    int status, type;
} head;

time_t cw_server__now(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec;
}

static void limit(int resource, rlim_t most)
{
    struct rlimit old;

    if (getrlimit(resource, &old) == 0 && (old.rlim_max == RLIM_INFINITY || most < old.rlim_max))
        setrlimit(resource, &(struct rlimit){ most, most });
}

static void confine(int keep, unsigned rights, int seconds)
{
    const long most = sysconf(_SC_OPEN_MAX);

    for (int fd = 0; fd < most && fd < 4096; fd++)
        if (fd != keep && fd != STDERR_FILENO)
            close(fd);
    limit(RLIMIT_CPU, (rlim_t)seconds / 2);
    limit(RLIMIT_AS, ADDRESS_SPACE);
    limit(RLIMIT_CORE, 0);
    if (!(rights & CW_SERVER__WRITES))
        limit(RLIMIT_FSIZE, 0);
    signal(SIGXFSZ, SIG_IGN); /* a font cache that cannot be written is no reason to die */
    signal(SIGINT, SIG_IGN);  /* the server ends its workers */
    signal(SIGTERM, SIG_DFL);
}

static bool write_all(int fd, const void *data, size_t length)
{
    const char *at = data;

    while (length > 0) {
        const ssize_t written = write(fd, at, length);

        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        at += written;
        length -= (size_t)written;
    }
    return true;
}

bool cw_server__tell(const cw_server__question *question, const char *event, json_t *document)
{
    char *data = document != NULL ? json_dumps(document, JSON_COMPACT | JSON_REAL_PRECISION(8)) : NULL;
    cw_text text = { 0 };
    bool told;

    cw_text_print(&text, "event: %s\ndata: %s\n\n", event, data != NULL ? data : "{}");
    told = data != NULL && !text.failed && write_all(question->out, text.data, text.length);
    cw_text_clear(&text);
    free(data);
    json_decref(document);
    return told;
}

/* The one answer of a worker that streams and could not begin. */
static void tell_failure(const cw_server__question *question, cw_server__answer *answer)
{
    json_t *document = json_loadb(answer->body.data, answer->body.length, 0, NULL);

    if (answer->status != MHD_HTTP_OK)
        cw_server__tell(question, "failed", document);
    else
        json_decref(document);
}

static void run(int out, const cw_server__route *route, const cw_server__question *asked, int seconds)
{
    cw_server__answer answer = { .status = MHD_HTTP_OK };
    cw_server__question question = *asked;
    cw_error error;
    head start;

    question.out = out;
    confine(out, route->rights, seconds);
    route->work(&question, &answer);
    if (answer.body.failed) {
        cw_text_clear(&answer.body);
        cw_no_memory(&error);
        cw_server__answer_error(&answer, MHD_HTTP_INTERNAL_SERVER_ERROR, &error);
    }
    if (route->rights & CW_SERVER__STREAMS) {
        tell_failure(&question, &answer);
        _exit(0);
    }
    start = (head){ answer.status, (int)answer.type };
    _exit(write_all(out, &start, sizeof start) && write_all(out, answer.body.data, answer.body.length) ? 0 : 1);
}

cw_status cw_server__worker_start(cw_server__worker *worker, const cw_server__route *route,
                                  const cw_server__question *question, cw_error *error)
{
    const int seconds = route->rights & CW_SERVER__STREAMS ? CW_SERVER__LONG_SECONDS : CW_SERVER__WORKER_SECONDS;
    int ends[2];
    pid_t pid;

    if (pipe(ends) != 0)
        return cw_fail(error, "There is no pipe to be had for a computation: %s.", strerror(errno));
    pid = fork();
    if (pid == 0)
        run(ends[1], route, question, seconds);
    close(ends[1]);
    if (pid < 0) {
        close(ends[0]);
        return cw_fail(error, "There is no process to be had for a computation: %s.", strerror(errno));
    }
    fcntl(ends[0], F_SETFL, O_NONBLOCK);
    *worker = (cw_server__worker){ .pid = pid, .pipe = ends[0], .begun = cw_server__now(),
                                    .seconds = seconds };
    return CW_OK;
}

bool cw_server__worker_read(cw_server__worker *worker)
{
    char buffer[65536];

    while (worker->answer.length <= CW_SERVER__ANSWER_LARGEST) {
        const ssize_t count = read(worker->pipe, buffer, sizeof buffer);

        if (count > 0)
            cw_text_add_bytes(&worker->answer, buffer, (size_t)count);
        else if (count == 0 || (errno != EAGAIN && errno != EINTR))
            return worker->ended = true;
        else if (errno == EAGAIN)
            return cw_server__now() - worker->begun > worker->seconds;
    }
    return true;
}

static void say_why(int status, int seconds, cw_error *error)
{
    if (WIFSIGNALED(status) && (WTERMSIG(status) == SIGXCPU || WTERMSIG(status) == SIGKILL))
        cw_fail(error, "This job takes longer than %d s to compute, and was given up. Look for a size or a count that is "
                       "far too large.", seconds / 2);
    else
        cw_fail(error, "The computation broke off. Nothing that was typed is lost; please report the job.");
}

/* Its exit status. One that has closed its pipe is on its way out and is let go: killed on its last steps it would seem
 * to have failed. */
static int bury(cw_server__worker *worker)
{
    int status = 0;

    if (!worker->ended)
        kill(worker->pid, SIGKILL);
    while (waitpid(worker->pid, &status, 0) < 0 && errno == EINTR)
        continue;
    close(worker->pipe);
    worker->pid = 0;
    return status;
}

void cw_server__worker_end(cw_server__worker *worker)
{
    if (worker->pid != 0)
        bury(worker);
    worker->ended = true;
    cw_text_clear(&worker->answer);
}

void cw_server__worker_close_stream(cw_server__worker *worker)
{
    const int status = bury(worker);
    cw_server__answer answer = { 0 };
    cw_error error;

    worker->ended = true;
    if (WIFEXITED(status) && WEXITSTATUS(status) == 0)
        return;
    say_why(status, worker->seconds, &error);
    cw_server__answer_error(&answer, MHD_HTTP_INTERNAL_SERVER_ERROR, &error);
    cw_text_print(&worker->answer, "\n\nevent: failed\ndata: %s\n\n", answer.body.data != NULL ? answer.body.data : "{}");
    cw_text_clear(&answer.body);
}

void cw_server__worker_finish(cw_server__worker *worker, cw_server__answer *answer)
{
    const int status = bury(worker);
    cw_error error;
    head start;

    if (!worker->answer.failed && worker->answer.length >= sizeof start && WIFEXITED(status) && WEXITSTATUS(status) == 0) {
        memcpy(&start, worker->answer.data, sizeof start);
        answer->status = start.status;
        answer->type = (cw_server__type)start.type;
        cw_text_add_bytes(&answer->body, worker->answer.data + sizeof start, worker->answer.length - sizeof start);
    } else {
        say_why(status, worker->seconds, &error);
        cw_server__answer_error(answer, MHD_HTTP_INTERNAL_SERVER_ERROR, &error);
    }
    cw_text_clear(&worker->answer);
    *worker = (cw_server__worker){ 0 };
}
