/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Starting a helper, feeding it, listening to it, and clearing up behind it.
 *
 *     question ─ socket ─► stdin   HELPER   stdout ─ pipe ─► answer
 *                                           stderr ─ pipe ─► first line, for the sentence
 *
 * The question goes through a socket, since a write to one can be told not to raise SIGPIPE: a library must not change
 * how its program takes signals. Between fork and exec only calls stand that are safe there, so that programs with
 * threads may use this. */
#include "process/process_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>
#ifdef __linux__
#include <sys/prctl.h>
#endif

#if defined(__SANITIZE_ADDRESS__)
#define LIMIT_MEMORY false /* the sanitizer's shadow alone is terabytes */
#else
#define LIMIT_MEMORY true
#endif

enum { IN, OUT, SAID, STREAMS };

struct cw_process {
    cw_process_request request;
    char *helper, *folder, *question; /* copies */
    size_t sent;
    pid_t pid;
    int stream[STREAMS];              /* our ends; -1 closed */
    cw_text answer, said;
    struct timespec begun;
    bool late, lengthy;
};

static void close_end(int *end)
{
    if (*end >= 0)
        close(*end);
    *end = -1;
}

/* ---- the child ------------------------------------------------------------------------------------------------- */

static void limit(int resource, rlim_t most)
{
    struct rlimit old;

    if (getrlimit(resource, &old) == 0 && (old.rlim_max == RLIM_INFINITY || most < old.rlim_max))
        setrlimit(resource, &(struct rlimit){ most, most });
}

/* Signals as the program set them for itself are not the helper's. */
static void usual_signals(void)
{
    static const int numbers[] = { SIGPIPE, SIGTERM, SIGINT, SIGXFSZ, SIGCHLD };
    sigset_t none;

    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        signal(numbers[i], SIG_DFL);
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
}

static void become(const cw_process *process, const char *path, const int theirs[STREAMS], pid_t parent)
{
    char *const words[] = { (char *)path, NULL };
    const long most = sysconf(_SC_OPEN_MAX);

    setpgid(0, 0);
#ifdef __linux__
    prctl(PR_SET_PDEATHSIG, SIGKILL);
#endif
    if (getppid() != parent) /* it went before we said so */
        _exit(3);
    for (int i = 0; i < STREAMS; i++)
        if (dup2(theirs[i], i) < 0)
            _exit(3);
    for (int fd = STREAMS; fd < most && fd < 4096; fd++)
        close(fd);
    usual_signals();
    limit(RLIMIT_CORE, 0);
    limit(RLIMIT_CPU, (rlim_t)ceil(process->request.seconds) + 1);
    if (LIMIT_MEMORY && process->request.memory > 0)
        limit(RLIMIT_AS, (rlim_t)process->request.memory);
    if (chdir(process->folder) == 0)
        execv(path, words);
    _exit(126);
}

/* ---- starting -------------------------------------------------------------------------------------------------- */

/* Ends are kept above 2, so that dup2 in the child never meets its own target. */
static bool lift(int *end)
{
    const int lifted = fcntl(*end, F_DUPFD_CLOEXEC, STREAMS);

    close(*end);
    *end = lifted;
    return lifted >= 0;
}

static cw_status open_streams(cw_process *process, int theirs[STREAMS], cw_error *error)
{
    for (int i = 0; i < STREAMS; i++) {
        int ends[2];

        if ((i == IN ? socketpair(AF_UNIX, SOCK_STREAM, 0, ends) : pipe(ends)) != 0)
            return cw_fail(error, "There is no pipe to be had for %s: %s.", process->helper, strerror(errno));
        process->stream[i] = ends[0];
        theirs[i] = ends[1];
        if (!lift(&process->stream[i]) || !lift(&theirs[i]))
            return cw_fail(error, "There is no pipe to be had for %s: %s.", process->helper, strerror(errno));
        fcntl(process->stream[i], F_SETFL, O_NONBLOCK);
    }
    return CW_OK;
}

static cw_status launch(cw_process *process, const char *path, cw_error *error)
{
    int theirs[STREAMS] = { -1, -1, -1 };
    const pid_t parent = getpid();
    cw_status status = open_streams(process, theirs, error);

    if (status == CW_OK) {
        process->pid = fork();
        if (process->pid == 0)
            become(process, path, theirs, parent);
        if (process->pid < 0)
            status = cw_fail(error, "There is no process to be had for %s: %s.", process->helper, strerror(errno));
    }
    if (process->pid > 0)
        setpgid(process->pid, process->pid); /* here too: whoever comes first */
    for (int i = 0; i < STREAMS; i++)
        close_end(&theirs[i]);
    return status;
}

static cw_status prepare(const cw_process_request *request, cw_process *process, cw_error *error)
{
    *process = (cw_process){ .request = *request, .stream = { -1, -1, -1 } };
    clock_gettime(CLOCK_MONOTONIC, &process->begun);
    process->helper = cw_copy_text(request->helper, strlen(request->helper));
    process->question = cw_copy_text(request->question != NULL ? request->question : "", request->length);
    if (process->helper == NULL || process->question == NULL)
        return cw_no_memory(error);
    return cw_process__folder(&process->folder, error);
}

static void send_some(cw_process *process)
{
    while (process->stream[IN] >= 0) {
        const size_t left = process->request.length - process->sent;
        const ssize_t count = left > 0 ? send(process->stream[IN], process->question + process->sent, left, MSG_NOSIGNAL)
                                       : 0;

        if (left == 0 || (count < 0 && errno != EINTR && errno != EAGAIN))
            close_end(&process->stream[IN]); /* all sent, or nobody listens: how it ended tells why */
        else if (count < 0 && errno == EAGAIN)
            return;
        else if (count > 0)
            process->sent += (size_t)count;
    }
}

cw_status cw_process_start(const cw_process_request *request, cw_process **process, cw_error *error)
{
    cw_process *made = NULL;
    char *path;
    cw_status status = cw_process_find(request->helper, &path, error);

    *process = NULL;
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    status = made != NULL ? prepare(request, made, error) : cw_no_memory(error);
    if (status == CW_OK)
        status = launch(made, path, error);
    cw_free(path);
    if (status != CW_OK) {
        cw_process_destroy(&made);
        return status;
    }
    send_some(made);
    *process = made;
    return CW_OK;
}

/* ---- listening ------------------------------------------------------------------------------------------------- */

static double seconds_left(const cw_process *process)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return process->request.seconds - (double)(now.tv_sec - process->begun.tv_sec) -
           1e-9 * (double)(now.tv_nsec - process->begun.tv_nsec);
}

/* Keeps `most` bytes; returns false where there were more. What is beyond on standard error is read and forgotten. */
static bool hear(int *end, cw_text *text, size_t most)
{
    char buffer[65536];

    for (;;) {
        const ssize_t count = read(*end, buffer, sizeof buffer);
        size_t room = most - text->length;

        if (count == 0 || (count < 0 && errno != EAGAIN && errno != EINTR)) {
            close_end(end);
            return true;
        }
        if (count < 0 && errno == EAGAIN)
            return true;
        if (count > 0)
            cw_text_add_bytes(text, buffer, (size_t)count < room ? (size_t)count : room);
        if (count > 0 && (size_t)count > room)
            return false;
    }
}

/* Until both ears are closed, or it takes too long, or too much is said. */
static void listen_to(cw_process *process)
{
    enum { SENTENCE_MOST = 4000 };

    while (process->stream[OUT] >= 0 || process->stream[SAID] >= 0) {
        struct pollfd ends[STREAMS];
        const double left = seconds_left(process);

        for (int i = 0; i < STREAMS; i++)
            ends[i] = (struct pollfd){ process->stream[i], i == IN ? POLLOUT : POLLIN, 0 };
        process->late = left <= 0;
        if (process->late || (poll(ends, STREAMS, (int)ceil(1e3 * fmin(left, 1e5))) < 0 && errno != EINTR))
            return;
        send_some(process);
        if (process->stream[SAID] >= 0)
            hear(&process->stream[SAID], &process->said, SENTENCE_MOST);
        if (process->stream[OUT] >= 0 && !hear(&process->stream[OUT], &process->answer, process->request.answer_most)) {
            process->lengthy = true;
            return;
        }
    }
}

/* ---- the end --------------------------------------------------------------------------------------------------- */

/* A helper may close its ears before it ends, and never end: it has the rest of its time. It is looked at before it is
 * reaped, so that its number, by which the group is ended, still is its own. */
static void await(cw_process *process)
{
    const struct timespec nap = { 0, 500000 };
    siginfo_t how = { 0 };

    while (waitid(P_PID, (id_t)process->pid, &how, WEXITED | WNOHANG | WNOWAIT) == 0 && how.si_pid == 0) {
        process->late = seconds_left(process) <= 0;
        if (process->late)
            return;
        nanosleep(&nap, NULL);
    }
}

/* The whole group; returns how the helper ended. */
static int end(cw_process *process)
{
    int status = 0;

    if (process->pid <= 0)
        return 0;
    if (process->stream[OUT] < 0 && !process->late)
        await(process);
    kill(-process->pid, SIGKILL);
    while (waitpid(process->pid, &status, 0) < 0 && errno == EINTR)
        continue;
    process->pid = 0;
    return status;
}

static cw_status say(const cw_process *process, int status, cw_error *error)
{
    const char *said = process->said.length > 0 ? process->said.data : "";
    const int line = (int)strcspn(said, "\n");
    const char *name = process->helper;

    if (process->late || (WIFSIGNALED(status) && WTERMSIG(status) == SIGXCPU))
        return cw_fail(error, "%s took longer than %g s and was given up. Look for a size that is far too large.", name,
                       process->request.seconds);
    if (process->lengthy)
        return cw_fail(error, "%s answered with more than %zu bytes and was given up.", name, process->request.answer_most);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 0)
        return CW_OK;
    if (WIFEXITED(status) && WEXITSTATUS(status) == 2 && line > 0)
        return cw_refuse(error, NULL, NULL, "%.*s", line, said);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 127) /* the loader's own */
        return cw_fail(error, "%s cannot start: %.*s. Install the library that is missing; all that does not need it "
                              "works without.", name, line, said);
    if (WIFEXITED(status) && line > 0)
        return cw_fail(error, "%s: %.*s", name, line, said);
    return cw_fail(error, "%s broke off without an answer. Please report the job.", name);
}

cw_status cw_process_finish(cw_process **process, char **answer, size_t *length, cw_error *error)
{
    cw_process *p = *process;
    cw_status status;
    int ended;

    *answer = NULL;
    listen_to(p);
    ended = end(p);
    status = say(p, ended, error);
    if (status == CW_OK)
        cw_text_add_bytes(&p->answer, "", 0);
    if (status == CW_OK && (p->answer.failed || p->said.failed))
        status = cw_no_memory(error);
    if (status == CW_OK) {
        *answer = p->answer.data;
        *length = p->answer.length;
        p->answer = (cw_text){ 0 };
    }
    cw_process_destroy(process);
    return status;
}

void cw_process_destroy(cw_process **process)
{
    cw_process *p = *process;

    *process = NULL;
    if (p == NULL)
        return;
    end(p);
    for (int i = 0; i < STREAMS; i++)
        close_end(&p->stream[i]);
    cw_text_clear(&p->answer);
    cw_text_clear(&p->said);
    cw_process__folder_remove(&p->folder);
    cw_free(p->helper);
    cw_free(p->question);
    cw_free(p);
}

cw_status cw_process_run(const cw_process_request *request, char **answer, size_t *length, cw_error *error)
{
    cw_process *process;
    cw_status status = cw_process_start(request, &process, error);

    *answer = NULL;
    return status == CW_OK ? cw_process_finish(&process, answer, length, error) : status;
}
