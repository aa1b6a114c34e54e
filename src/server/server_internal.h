/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the server share.
 *
 *     server.c    the listening socket, the loop, connections and their deadlines
 *     guard.c     who may ask: Host, Origin, kind of body
 *     route.c     the table of routes, files that are built in
 *     worker.c    a process for each computation
 *     answer.c    what a worker answers: one function a route
 *     document.c  the document of /api/job
 *
 * One thread. A request that must be computed is suspended, its worker's pipe joins the loop, and it is taken up again
 * when the worker has ended. */
#ifndef CW_SERVER_INTERNAL_H
#define CW_SERVER_INTERNAL_H

#include "coilwright/server.h"
#include "coilwright/work.h"

#include <jansson.h>
#include <microhttpd.h>
#include <sys/types.h>
#include <time.h>

enum {
    CW_SERVER__CONNECTIONS_MOST = 256,
    CW_SERVER__CONNECTIONS_CROWDED = 192, /* beyond this the oldest one makes room for the next */
    CW_SERVER__REQUEST_SECONDS = 10,      /* to arrive whole */
    CW_SERVER__WORKERS_MOST = 4,
    CW_SERVER__WAITING_MOST = 64,
    CW_SERVER__WORKER_SECONDS = 20,       /* on the clock; half of it of processor time */
    CW_SERVER__ANSWER_LARGEST = 32 * 1024 * 1024,
    CW_SERVER__BODIES_LARGEST = 64 * 1024 * 1024 /* all that are in memory at once */
};

/** What kind of thing an answer is. */
typedef enum cw_server__type {
    CW_SERVER__JSON, CW_SERVER__SVG, CW_SERVER__PDF, CW_SERVER__TEXT, CW_SERVER__YAML, CW_SERVER__HTML,
    CW_SERVER__SCRIPT, CW_SERVER__STYLE, CW_SERVER__ICON, CW_SERVER__TYPE_COUNT
} cw_server__type;

/** What a worker hands back. */
typedef struct cw_server__answer {
    int status; /* of HTTP */
    cw_server__type type;
    cw_text body;
} cw_server__answer;

/** A question to a worker: the body and what stood behind the question mark. */
typedef struct cw_server__question {
    const char *body;
    size_t length;
    const char *kind, *units, *paper, *date, *name; /* NULL where not given */
    bool dry_run;
} cw_server__question;

typedef void (*cw_server__work)(const cw_server__question *question, cw_server__answer *answer);

typedef enum cw_server__body { CW_SERVER__NO_BODY, CW_SERVER__YAML_BODY, CW_SERVER__JSON_BODY } cw_server__body;

/** A route: a built-in file, or work to do. */
typedef struct cw_server__route {
    const char *path;
    cw_server__body body;
    const char *file;     /* built in; NULL where there is work */
    cw_server__type type; /* of the file */
    cw_server__work work;
} cw_server__route;

/** The route of a path, compared whole, or NULL. */
const cw_server__route *cw_server__route_find(const char *path);
const char *cw_server__type_name(cw_server__type type);

/** HTTP's status and a sentence where a request may not be answered; 0 where it may. */
int cw_server__guard(struct MHD_Connection *connection, const cw_server__route *route, const char *method, int port,
                     const char **why);

/* ---- workers ------------------------------------------------------------------------------------------------- */

typedef struct cw_server__worker {
    pid_t pid;      /* 0: none */
    int pipe;       /* to read its answer from */
    time_t begun;
    cw_text answer; /* as it comes in: status and type, then the body */
} cw_server__worker;

/** Starts one. CW_FAILED where the machine gives no process. */
cw_status cw_server__worker_start(cw_server__worker *worker, cw_server__work work,
                                  const cw_server__question *question, cw_error *error);

/** Takes in what there is to read; true when it has ended, one way or the other. */
bool cw_server__worker_read(cw_server__worker *worker);

/** What it answered, or a sentence on why there is none. Ends it. */
void cw_server__worker_finish(cw_server__worker *worker, cw_server__answer *answer);

/** Seconds of the monotonic clock. */
time_t cw_server__now(void);

/** An error as the answer. */
void cw_server__answer_error(cw_server__answer *answer, int status, const cw_error *error);

/* ---- work ---------------------------------------------------------------------------------------------------- */

void cw_server__job(const cw_server__question *question, cw_server__answer *answer);
void cw_server__identify(const cw_server__question *question, cw_server__answer *answer);
void cw_server__choose(const cw_server__question *question, cw_server__answer *answer);
void cw_server__lay(const cw_server__question *question, cw_server__answer *answer);
void cw_server__section(const cw_server__question *question, cw_server__answer *answer);
void cw_server__sheet(const cw_server__question *question, cw_server__answer *answer);
void cw_server__program(const cw_server__question *question, cw_server__answer *answer);
void cw_server__replay(const cw_server__question *question, cw_server__answer *answer);
void cw_server__template(const cw_server__question *question, cw_server__answer *answer);

/** The document of /api/job: what was understood, and every stage's document or the sentence on why there is none. */
json_t *cw_server__document(cw_work *work);
json_t *cw_server__errors_document(const cw_errors *errors);
json_t *cw_server__error_json(const cw_error *error);

#endif
