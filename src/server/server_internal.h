/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the server share.
 *
 *     server.c    the listening socket, the loop, connections and their deadlines
 *     guard.c     who may ask: Host, Origin, kind of body, pairing
 *     pair.c      the code that pairs a device, and the devices that are paired
 *     route.c     the table of routes, files that are built in
 *     worker.c    a process for each computation
 *     answer.c    what a worker answers: one function a route
 *     magnet.c    the same of the magnet: field, maps, the table behind the sliders
 *     former.c    the same of former and arbor
 *     keep.c      the same of the book
 *     document.c  the document of /api/job
 *
 * One thread. A request that must be computed is suspended, its worker's pipe joins the loop, and it is taken up again
 * when the worker has ended; an answer that is streamed is taken up whenever there is something of it. */
#ifndef CW_SERVER_INTERNAL_H
#define CW_SERVER_INTERNAL_H

#include "coilwright/book.h"
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
    CW_SERVER__STREAMS_MOST = 2,          /* of the workers, so that quick questions find one */
    CW_SERVER__WAITING_MOST = 64,
    CW_SERVER__WORKER_SECONDS = 20,       /* on the clock; half of it of processor time */
    CW_SERVER__LONG_SECONDS = 120,        /* the same of a worker that tells of its progress */
    CW_SERVER__DEVICES_MOST = 8,          /* paired at once; the oldest makes room */
    CW_SERVER__WRONG_CODES_MOST = 20,     /* then another code is made */
    CW_SERVER__ANSWER_LARGEST = 32 * 1024 * 1024,
    CW_SERVER__BODIES_LARGEST = 64 * 1024 * 1024 /* all that are in memory at once */
};

/** What kind of thing an answer is. */
typedef enum cw_server__type {
    CW_SERVER__JSON, CW_SERVER__SVG, CW_SERVER__PDF, CW_SERVER__TEXT, CW_SERVER__YAML, CW_SERVER__HTML,
    CW_SERVER__SCRIPT, CW_SERVER__STYLE, CW_SERVER__ICON, CW_SERVER__EVENTS,
    CW_SERVER__STL, CW_SERVER__3MF, CW_SERVER__STEP, CW_SERVER__DXF, CW_SERVER__TYPE_COUNT
} cw_server__type;

/** What a worker hands back. */
typedef struct cw_server__answer {
    int status; /* of HTTP */
    cw_server__type type;
    cw_text body;
} cw_server__answer;

/** A question to a worker. */
typedef struct cw_server__question {
    const char *body;
    size_t length;
    const char *(*lookup)(const void *asked, const char *name); /* of what stood behind the question mark */
    const void *asked;                 /* handed to it */
    const char *book;                  /* file of the book; NULL none */
    int out;                           /* the worker's end of its pipe, for those that stream */
} cw_server__question;

/** What stood behind the question mark under that name, or NULL. */
const char *cw_server__argument(const cw_server__question *question, const char *name);

typedef void (*cw_server__work)(const cw_server__question *question, cw_server__answer *answer);

typedef enum cw_server__body { CW_SERVER__NO_BODY, CW_SERVER__YAML_BODY, CW_SERVER__JSON_BODY } cw_server__body;

/** What a route may do besides computing. */
typedef enum cw_server__rights {
    CW_SERVER__COMPUTES = 0,
    CW_SERVER__WRITES = 1,  /* files: the book's */
    CW_SERVER__STREAMS = 2, /* tells of its progress by server-sent events, and may take longer */
    CW_SERVER__OPEN = 4     /* to devices that are not paired yet */
} cw_server__rights;

/** A route: a built-in file, or work to do. */
typedef struct cw_server__route {
    const char *path;
    cw_server__body body;
    unsigned rights;
    const char *file;     /* built in; NULL where there is work */
    cw_server__type type; /* of the file */
    cw_server__work work; /* NULL for the one route that the server itself answers: pairing */
} cw_server__route;

/** The route of a path, compared whole, or NULL. */
const cw_server__route *cw_server__route_find(const char *path);
const char *cw_server__type_name(cw_server__type type);

/* ---- who may ask --------------------------------------------------------------------------------------------- */

enum { CW_SERVER__TOKEN = 64, CW_SERVER__CODE = 12 };

/** Devices of the shop's network, and the code by which the next one joins them. */
typedef struct cw_server__pairing {
    char code[CW_SERVER__CODE + 1];
    int wrong;                                        /* codes tried since the last was made */
    char token[CW_SERVER__DEVICES_MOST][CW_SERVER__TOKEN + 1]; /* "" none; newest first */
} cw_server__pairing;

/** Makes another code. CW_FAILED without a source of chance. */
cw_status cw_server__pairing_renew(cw_server__pairing *pairing, cw_error *error);

/** Takes a device in where its code is right, and makes the next code; the device's token, or NULL. Lent. */
const char *cw_server__pairing_join(cw_server__pairing *pairing, const char *code);
bool cw_server__pairing_knows(const cw_server__pairing *pairing, const char *token);

/** What the guard goes by. */
typedef struct cw_server__gate {
    int port;
    bool lan;
    const cw_server__pairing *pairing;
} cw_server__gate;

/** HTTP's status and a sentence where a request may not be answered; 0 where it may. */
int cw_server__guard(struct MHD_Connection *connection, const cw_server__route *route, const char *method,
                     const cw_server__gate *gate, const char **why);

/* ---- workers ------------------------------------------------------------------------------------------------- */

typedef struct cw_server__worker {
    pid_t pid;      /* 0: none */
    int pipe;       /* to read its answer from */
    time_t begun;
    int seconds;    /* that it may take */
    bool ended;     /* it has closed its end of the pipe */
    cw_text answer; /* as it comes in: status and type, then the body; of one that streams only the body */
} cw_server__worker;

/** Starts one. CW_FAILED where the machine gives no process. */
cw_status cw_server__worker_start(cw_server__worker *worker, const cw_server__route *route,
                                  const cw_server__question *question, cw_error *error);

/** In a worker that streams: an event with a document, which is taken over. False where nobody listens any more. */
bool cw_server__tell(const cw_server__question *question, const char *event, json_t *document);

/** Takes in what there is to read; true when it has ended, one way or the other. */
bool cw_server__worker_read(cw_server__worker *worker);

/** What it answered, or a sentence on why there is none. Ends it. */
void cw_server__worker_finish(cw_server__worker *worker, cw_server__answer *answer);

/** Ends it, whatever it was doing. Nothing to one that was ended before. */
void cw_server__worker_end(cw_server__worker *worker);

/** The end of a stream: where its worker came to no good end, an event that says so. */
void cw_server__worker_close_stream(cw_server__worker *worker);

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
void cw_server__heat(const cw_server__question *question, cw_server__answer *answer);
void cw_server__switch(const cw_server__question *question, cw_server__answer *answer);
void cw_server__prove(const cw_server__question *question, cw_server__answer *answer);
void cw_server__flux_figure(const cw_server__question *question, cw_server__answer *answer);
void cw_server__magnet_keys(const cw_server__question *question, cw_server__answer *answer);
void cw_server__field(const cw_server__question *question, cw_server__answer *answer);
void cw_server__field_map(const cw_server__question *question, cw_server__answer *answer);
void cw_server__heat_map(const cw_server__question *question, cw_server__answer *answer);
void cw_server__magnet_study(const cw_server__question *question, cw_server__answer *answer);
void cw_server__former(const cw_server__question *question, cw_server__answer *answer);
void cw_server__solid_stl(const cw_server__question *question, cw_server__answer *answer);
void cw_server__solid_3mf(const cw_server__question *question, cw_server__answer *answer);
void cw_server__solid_step(const cw_server__question *question, cw_server__answer *answer);
void cw_server__drawing_svg(const cw_server__question *question, cw_server__answer *answer);
void cw_server__drawing_pdf(const cw_server__question *question, cw_server__answer *answer);
void cw_server__drawing_dxf(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_jobs(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_job(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_version(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_add(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_save(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_state(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_sign(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_shelf(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_spools(const cw_server__question *question, cw_server__answer *answer);
void cw_server__book_use(const cw_server__question *question, cw_server__answer *answer);

/** The job of a text, or NULL and the answer says why. cw_work_close */
cw_work *cw_server__open_job(const char *text, size_t length, cw_server__answer *answer);

/** A document as the answer, taken over; or a stage's failure. */
void cw_server__answer_json(cw_server__answer *answer, json_t *document);
void cw_server__answer_status(cw_server__answer *answer, cw_status status, const cw_error *error);

/** A stage's document. */
typedef cw_status (*cw_server__stage)(const cw_server__question *question, cw_work *work, json_t **document,
                                      cw_error *error);

/** The document of a stage of the question's job, or why there is none, as the answer. */
void cw_server__answer_stage(const cw_server__question *question, cw_server__answer *answer, cw_server__stage compute);

/** The stage of /api/heat. */
cw_status cw_server__heat_stage(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error);

/** The body as a JSON object, or NULL and the answer says why. json_decref */
json_t *cw_server__read_json(const cw_server__question *question, cw_server__answer *answer);

/** The document of /api/job: what was understood, and every stage's document or the sentence on why there is none. */
json_t *cw_server__document(cw_work *work);
json_t *cw_server__errors_document(const cw_errors *errors);
json_t *cw_server__error_json(const cw_error *error);

#endif
