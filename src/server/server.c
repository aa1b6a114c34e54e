/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The listening socket, the loop, connections and their deadlines.
 *
 * Slow requests: a client that sends a byte now and then never idles, so an idle limit does not bound it. Each
 * connection therefore has CW_SERVER__REQUEST_SECONDS for a whole request, and where many are open the oldest one that
 * is not being computed makes room for the next: whoever holds connections open only loses his own. */
#define _GNU_SOURCE /* IFF_UP, POLLRDHUP */
#include "server/server_internal.h"

#include "base/embedded.h"

#include <arpa/inet.h>
#include <errno.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

typedef enum state { READING, WAITING, COMPUTING, STREAMING, ANSWERED } state;

/* A connection. */
typedef struct peer {
    struct peer *next;
    int socket;
    time_t begun;   /* when it was opened, or its last request done */
    bool computing; /* a request of it is with a worker, or waits for one */
    bool dropped;   /* shut down from here; it is closed in the loop's next round */
} peer;

/* A request on a connection. */
typedef struct request {
    struct request *next; /* in the server's list, from WAITING until it is answered, or its stream has ended */
    struct MHD_Connection *connection;
    const cw_server__route *route;
    state state;
    cw_text body;
    cw_server__worker worker;
    cw_server__answer answer;
    size_t streamed; /* bytes of the worker's answer that are sent */
    bool sleeping;   /* STREAMING: its connection is suspended until there is more */
} request;

struct cw_server {
    struct MHD_Daemon *daemon;
    cw_server_plan plan;
    cw_server__pairing pairing;
    cw_server__gate gate;
    int epoll;
    char address[64];  /* on this machine */
    char seen_from[INET_ADDRSTRLEN]; /* with lan: its number in the shop's network */
    peer *peers;
    size_t peer_count;
    request *requests; /* oldest first */
    size_t body_bytes; /* in all requests */
};

/* ---- connections --------------------------------------------------------------------------------------------- */

static void drop(peer *p)
{
    p->dropped = true;
    shutdown(p->socket, SHUT_RDWR);
}

static void drop_oldest(cw_server *server)
{
    peer *oldest = NULL;

    for (peer *p = server->peers; p != NULL; p = p->next)
        if (!p->computing && !p->dropped && (oldest == NULL || p->begun <= oldest->begun))
            oldest = p; /* newest stand first, so of equals the last one is the oldest */
    if (oldest != NULL)
        drop(oldest);
}

static void peer_opened(cw_server *server, struct MHD_Connection *connection, void **context)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    peer *made = cw_allocate(1, sizeof *made);

    *context = made;
    if (made == NULL)
        return;
    if (server->peer_count >= CW_SERVER__CONNECTIONS_CROWDED)
        drop_oldest(server);
    *made = (peer){ .next = server->peers, .socket = info->connect_fd, .begun = cw_server__now() };
    server->peers = made;
    server->peer_count++;
}

static void peer_closed(cw_server *server, peer *closed)
{
    for (peer **p = &server->peers; *p != NULL; p = &(*p)->next)
        if (*p == closed) {
            *p = closed->next;
            server->peer_count--;
            break;
        }
    cw_free(closed);
}

static void on_connection(void *context, struct MHD_Connection *connection, void **socket_context,
                          enum MHD_ConnectionNotificationCode code)
{
    if (code == MHD_CONNECTION_NOTIFY_STARTED)
        peer_opened(context, connection, socket_context);
    else if (*socket_context != NULL)
        peer_closed(context, *socket_context);
}

static peer *peer_of(struct MHD_Connection *connection)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);

    return info != NULL ? info->socket_context : NULL;
}

/* A new span begins: of a request to arrive, or of an answer to be taken. */
static void restart_clock(struct MHD_Connection *connection, bool computing)
{
    peer *p = peer_of(connection);

    if (p != NULL) {
        p->computing = computing;
        p->begun = cw_server__now();
    }
}

static void drop_overdue(cw_server *server)
{
    const time_t now = cw_server__now();

    for (peer *p = server->peers; p != NULL; p = p->next)
        if (!p->computing && !p->dropped && now - p->begun > CW_SERVER__REQUEST_SECONDS)
            drop(p);
}

/* ---- answers ------------------------------------------------------------------------------------------------- */

static const char *security_policy(cw_server__type type)
{
    if (type == CW_SERVER__HTML)
        return "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
               "frame-src blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
    if (type == CW_SERVER__SVG || type == CW_SERVER__ICON) /* the drawing's strokes are style attributes */
        return "default-src 'none'; style-src 'unsafe-inline'; sandbox";
    return "default-src 'none'; frame-ancestors 'none'";
}

static enum MHD_Result respond(struct MHD_Connection *connection, struct MHD_Response *response, int status,
                               cw_server__type type, const char *allow)
{
    enum MHD_Result result;

    if (response == NULL)
        return MHD_NO;
    MHD_add_response_header(response, "Content-Type", cw_server__type_name(type));
    MHD_add_response_header(response, "Content-Security-Policy", security_policy(type));
    MHD_add_response_header(response, "X-Content-Type-Options", "nosniff");
    MHD_add_response_header(response, "Cross-Origin-Resource-Policy", "same-origin");
    MHD_add_response_header(response, "Cross-Origin-Opener-Policy", "same-origin");
    MHD_add_response_header(response, "Referrer-Policy", "no-referrer");
    MHD_add_response_header(response, "Cache-Control", "no-store");
    if (allow != NULL)
        MHD_add_response_header(response, "Allow", allow);
    result = MHD_queue_response(connection, (unsigned)status, response);
    MHD_destroy_response(response);
    return result;
}

/* Sends the answer and takes its bytes over. */
static enum MHD_Result send_answer(struct MHD_Connection *connection, cw_server__answer *answer, const char *allow)
{
    struct MHD_Response *response;

    if (answer->body.failed || answer->body.data == NULL) {
        cw_text_clear(&answer->body);
        return respond(connection, MHD_create_response_from_buffer(0, (void *)"", MHD_RESPMEM_PERSISTENT),
                       MHD_HTTP_INTERNAL_SERVER_ERROR, CW_SERVER__TEXT, NULL);
    }
    response = MHD_create_response_from_buffer_with_free_callback(answer->body.length, answer->body.data, cw_free);
    if (response == NULL)
        cw_text_clear(&answer->body);
    answer->body = (cw_text){ 0 };
    return respond(connection, response, answer->status, answer->type, allow);
}

static enum MHD_Result send_refusal(struct MHD_Connection *connection, int status, const char *why, const char *allow)
{
    cw_server__answer answer = { 0 };
    cw_error error;

    cw_refuse(&error, NULL, NULL, "%s", why);
    cw_server__answer_error(&answer, status, &error);
    return send_answer(connection, &answer, allow);
}

static enum MHD_Result send_file(struct MHD_Connection *connection, const cw_server__route *route)
{
    const cw_embedded *file = cw_embedded_find(route->file);

    if (file == NULL)
        return send_refusal(connection, MHD_HTTP_NOT_FOUND, "That file was not built in.", NULL);
    return respond(connection,
                   MHD_create_response_from_buffer(file->length, (void *)file->text, MHD_RESPMEM_PERSISTENT),
                   MHD_HTTP_OK, route->type, NULL);
}

/* ---- streams ------------------------------------------------------------------------------------------------- */

/* What there is of a stream, or sleep until there is more. */
static ssize_t read_stream(void *context, uint64_t position, char *buffer, size_t most)
{
    request *r = context;
    const size_t had = r->worker.answer.length, left = r->streamed < had ? had - r->streamed : 0;
    const size_t count = left < most ? left : most;

    (void)position;
    if (count > 0) {
        memcpy(buffer, r->worker.answer.data + r->streamed, count);
        r->streamed += count;
        return (ssize_t)count;
    }
    if (r->worker.ended)
        return MHD_CONTENT_READER_END_OF_STREAM;
    r->sleeping = true;
    MHD_suspend_connection(r->connection);
    return 0;
}

static enum MHD_Result send_stream(request *r)
{
    return respond(r->connection, MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 4096, read_stream, r, NULL),
                   MHD_HTTP_OK, CW_SERVER__EVENTS, NULL);
}

static struct pollfd watch_client(const request *r)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(r->connection, MHD_CONNECTION_INFO_CONNECTION_FD);

    return (struct pollfd){ .fd = info->connect_fd, .events = POLLRDHUP };
}

/* A browser that gave up, or whose page was closed, has shut its side of the connection. What it wanted saved is saved
 * all the same. */
static bool is_gone(const request *r)
{
    struct pollfd watched = watch_client(r);

    return !(r->route->rights & CW_SERVER__WRITES) && poll(&watched, 1, 0) > 0;
}

/* Takes up connections whose streams have more to say; those whose client is gone are ended. */
static void wake_streams(cw_server *server)
{
    for (request *r = server->requests; r != NULL; r = r->next) {
        if (r->state != STREAMING || !r->sleeping)
            continue;
        if (is_gone(r))
            cw_server__worker_end(&r->worker);
        if (r->worker.ended || r->streamed < r->worker.answer.length) {
            r->sleeping = false;
            MHD_resume_connection(r->connection);
        }
    }
}

static void leave_list(cw_server *server, const request *leaving)
{
    for (request **at = &server->requests; *at != NULL; at = &(*at)->next)
        if (*at == leaving) {
            *at = leaving->next;
            return;
        }
}

/* ---- pairing ------------------------------------------------------------------------------------------------- */

static void tell_pairing(const cw_server *server)
{
    char address[128];

    snprintf(address, sizeof address, "http://%s:%d/pair#%s", server->seen_from, server->gate.port,
             server->pairing.code);
    if (server->plan.on_pairing != NULL)
        server->plan.on_pairing(address, server->plan.context);
}

static enum MHD_Result welcome(struct MHD_Connection *connection, const char *token)
{
    static const char welcome[] = "{\"paired\":true}";
    struct MHD_Response *response = MHD_create_response_from_buffer(sizeof welcome - 1, (void *)welcome,
                                                                    MHD_RESPMEM_PERSISTENT);
    char cookie[CW_SERVER__TOKEN + 80];

    snprintf(cookie, sizeof cookie, "coilwright=%s; Path=/; HttpOnly; SameSite=Strict; Max-Age=86400", token);
    if (response != NULL)
        MHD_add_response_header(response, "Set-Cookie", cookie);
    return respond(connection, response, MHD_HTTP_OK, CW_SERVER__JSON, NULL);
}

/* {"code": "..."}: the one question that changes the server, and so is answered by it. */
static enum MHD_Result pair(cw_server *server, const request *r)
{
    enum { CODE_LARGEST = 200 };
    json_t *body = r->body.length <= CODE_LARGEST ? json_loadb(r->body.data, r->body.length, 0, NULL) : NULL;
    const char *code = json_string_value(json_object_get(body, "code")), *token = NULL;
    char tried[CW_SERVER__CODE + 1];

    if (server->gate.lan && code != NULL) {
        snprintf(tried, sizeof tried, "%s", server->pairing.code);
        token = cw_server__pairing_join(&server->pairing, code);
        if (strcmp(tried, server->pairing.code) != 0)
            tell_pairing(server);
    }
    json_decref(body);
    return token != NULL ? welcome(r->connection, token)
                         : send_refusal(r->connection, MHD_HTTP_FORBIDDEN, "That is not the code, or it was used already. "
                                        "The server shows the one that is good now.", NULL);
}

/* ---- requests ------------------------------------------------------------------------------------------------ */

static size_t count_in(const cw_server *server, state wanted)
{
    size_t count = 0;

    for (const request *r = server->requests; r != NULL; r = r->next)
        count += r->state == wanted;
    return count;
}

/* The body is there: in the list it goes, and its connection sleeps. */
static enum MHD_Result hand_in(cw_server *server, request *r)
{
    request **end = &server->requests;

    if (count_in(server, WAITING) >= CW_SERVER__WAITING_MOST)
        return send_refusal(r->connection, MHD_HTTP_SERVICE_UNAVAILABLE,
                            "Too much is being computed at once; ask again in a moment.", NULL);
    while (*end != NULL)
        end = &(*end)->next;
    *end = r;
    r->state = WAITING;
    restart_clock(r->connection, true);
    MHD_suspend_connection(r->connection);
    return MHD_YES;
}

static enum MHD_Result take_in(cw_server *server, request *r, const char *data, size_t *size)
{
    /* A body that is not as long as it said, or hides its length, ends its connection. */
    if (r->body.length + *size > CW_SERVER_BODY_LARGEST || server->body_bytes + *size > CW_SERVER__BODIES_LARGEST)
        return MHD_NO;
    cw_text_add_bytes(&r->body, data, *size);
    server->body_bytes += *size;
    *size = 0;
    return r->body.failed ? MHD_NO : MHD_YES;
}

static enum MHD_Result begin(cw_server *server, struct MHD_Connection *connection, const char *path,
                             const char *method, void **context)
{
    const cw_server__route *route = cw_server__route_find(path);
    const char *why = NULL;
    const int refused = cw_server__guard(connection, route, method, &server->gate, &why);
    request *made;

    if (refused != 0)
        return send_refusal(connection, refused, why,
                            refused != MHD_HTTP_METHOD_NOT_ALLOWED ? NULL
                            : route->body == CW_SERVER__NO_BODY    ? "GET, HEAD"
                                                                   : "POST");
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return MHD_NO;
    made->connection = connection;
    made->route = route;
    *context = made;
    return MHD_YES;
}

static enum MHD_Result on_request(void *context, struct MHD_Connection *connection, const char *path,
                                  const char *method, const char *version, const char *data, size_t *size,
                                  void **request_context)
{
    cw_server *server = context;
    request *r = *request_context;

    (void)version;
    if (r == NULL)
        return begin(server, connection, path, method, request_context);
    if (r->state == ANSWERED)
        return send_answer(connection, &r->answer, NULL);
    if (r->state == STREAMING)
        return send_stream(r);
    if (*size > 0)
        return take_in(server, r, data, size);
    if (r->route->work != NULL)
        return hand_in(server, r);
    return r->route->file != NULL ? send_file(connection, r->route) : pair(server, r);
}

static void on_done(void *context, struct MHD_Connection *connection, void **request_context,
                    enum MHD_RequestTerminationCode code)
{
    cw_server *server = context;
    request *r = *request_context;

    (void)code;
    restart_clock(connection, false);
    if (r == NULL)
        return;
    if (r->state == STREAMING) {
        leave_list(server, r);
        cw_server__worker_end(&r->worker);
    }
    server->body_bytes -= r->body.length;
    cw_text_clear(&r->body);
    cw_text_clear(&r->answer.body);
    cw_free(r);
    *request_context = NULL;
}

/* ---- workers ------------------------------------------------------------------------------------------------- */

/* Reads memory only, so that a worker may call it too. */
static const char *look_up(const void *asked, const char *name)
{
    const request *r = asked;

    return MHD_lookup_connection_value(r->connection, MHD_GET_ARGUMENT_KIND, name);
}

static void start(const cw_server *server, request *r)
{
    const cw_server__question question = {
        .body = r->body.data != NULL ? r->body.data : "",
        .length = r->body.length,
        .lookup = look_up,
        .asked = r,
        .book = server->plan.book,
    };
    cw_error error;

    if (cw_server__worker_start(&r->worker, r->route, &question, &error) != CW_OK) {
        r->state = ANSWERED;
        cw_server__answer_error(&r->answer, MHD_HTTP_SERVICE_UNAVAILABLE, &error);
    } else if (r->route->rights & CW_SERVER__STREAMS) {
        r->state = STREAMING;
        MHD_resume_connection(r->connection);
    } else {
        r->state = COMPUTING;
    }
}

static bool is_at_work(const request *r)
{
    return r->state == COMPUTING || (r->state == STREAMING && !r->worker.ended);
}

static void start_waiting(cw_server *server)
{
    size_t running = 0, streams = 0;

    for (const request *r = server->requests; r != NULL; r = r->next) {
        running += is_at_work(r);
        streams += r->state == STREAMING;
    }
    for (request *r = server->requests; r != NULL && running < CW_SERVER__WORKERS_MOST; r = r->next) {
        const bool long_one = r->route->rights & CW_SERVER__STREAMS;

        if (r->state == WAITING && is_gone(r))
            r->state = ANSWERED;
        if (r->state != WAITING || (long_one && streams >= CW_SERVER__STREAMS_MOST))
            continue;
        start(server, r);
        running++;
        streams += long_one;
    }
}

static void collect(cw_server *server)
{
    for (request *r = server->requests; r != NULL; r = r->next)
        if (r->state == COMPUTING && cw_server__worker_read(&r->worker)) {
            cw_server__worker_finish(&r->worker, &r->answer);
            r->state = ANSWERED;
        } else if (r->state == COMPUTING && is_gone(r)) {
            cw_server__worker_end(&r->worker);
            r->state = ANSWERED;
        } else if (r->state == STREAMING && is_at_work(r) && cw_server__worker_read(&r->worker)) {
            cw_server__worker_close_stream(&r->worker);
        }
}

/* Takes the answered ones out of the list and their connections up again. */
static void hand_out(cw_server *server)
{
    for (request **at = &server->requests; *at != NULL;) {
        request *r = *at;

        if (r->state == ANSWERED) {
            *at = r->next;
            restart_clock(r->connection, false);
            MHD_resume_connection(r->connection);
        } else {
            at = &r->next;
        }
    }
}

/* ---- the loop ------------------------------------------------------------------------------------------------ */

static int patience_ms(const cw_server *server)
{
    MHD_UNSIGNED_LONG_LONG wanted;

    if (MHD_get_timeout(server->daemon, &wanted) == MHD_YES && wanted < 1000)
        return (int)wanted;
    return 1000;
}

static cw_status wait_for_something(const cw_server *server, cw_error *error)
{
    struct pollfd watched[1 + 2 * CW_SERVER__WORKERS_MOST] = { { .fd = server->epoll, .events = POLLIN } };
    nfds_t count = 1;

    for (const request *r = server->requests; r != NULL; r = r->next) {
        if (is_at_work(r))
            watched[count++] = (struct pollfd){ .fd = r->worker.pipe, .events = POLLIN };
        if (is_at_work(r) && !(r->route->rights & CW_SERVER__WRITES) && (r->state == COMPUTING || r->sleeping))
            watched[count++] = watch_client(r);
    }
    if (poll(watched, count, patience_ms(server)) < 0 && errno != EINTR)
        return cw_fail(error, "The server cannot wait for requests: %s.", strerror(errno));
    return CW_OK;
}

cw_status cw_server_run(cw_server *server, const volatile sig_atomic_t *stop, cw_error *error)
{
    cw_status status = CW_OK;

    while (status == CW_OK && !*stop) {
        collect(server);
        wake_streams(server);
        hand_out(server);
        if (MHD_run(server->daemon) != MHD_YES)
            return cw_fail(error, "The server cannot go on.");
        start_waiting(server);
        drop_overdue(server);
        status = wait_for_something(server, error);
    }
    return status;
}

/* ---- making and ending --------------------------------------------------------------------------------------- */

/* The first of the machine's own numbers that others can reach. */
static cw_status find_own_number(char number[INET_ADDRSTRLEN], cw_error *error)
{
    struct ifaddrs *all = NULL;
    bool found = false;

    if (getifaddrs(&all) != 0)
        return cw_fail(error, "This machine does not tell its network addresses: %s.", strerror(errno));
    for (const struct ifaddrs *at = all; at != NULL && !found; at = at->ifa_next)
        if (at->ifa_addr != NULL && at->ifa_addr->sa_family == AF_INET && (at->ifa_flags & IFF_UP) &&
            !(at->ifa_flags & IFF_LOOPBACK))
            found = inet_ntop(AF_INET, &((const struct sockaddr_in *)(const void *)at->ifa_addr)->sin_addr, number,
                              INET_ADDRSTRLEN) != NULL;
    freeifaddrs(all);
    return found ? CW_OK : cw_fail(error, "This machine is in no network, so that no tablet can reach it. Join one, or "
                                   "serve without --lan.");
}

static cw_status start_daemon(cw_server *server, cw_error *error)
{
    const int port = server->plan.port;
    const struct sockaddr_in here = { .sin_family = AF_INET, .sin_port = htons((uint16_t)port),
                                      .sin_addr.s_addr = htonl(server->plan.lan ? INADDR_ANY : INADDR_LOOPBACK) };
    const union MHD_DaemonInfo *info;

    errno = 0;
    server->daemon = MHD_start_daemon(
        MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME, (uint16_t)port, NULL, NULL, on_request, server,
        MHD_OPTION_SOCK_ADDR, (const struct sockaddr *)&here,
        MHD_OPTION_CONNECTION_LIMIT, (unsigned)CW_SERVER__CONNECTIONS_MOST,
        MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)CW_SERVER__REQUEST_SECONDS,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)32 * 1024,
        MHD_OPTION_STRICT_FOR_CLIENT, 1,
        MHD_OPTION_NOTIFY_COMPLETED, on_done, server,
        MHD_OPTION_NOTIFY_CONNECTION, on_connection, server,
        MHD_OPTION_END);
    if (server->daemon == NULL)
        return cw_fail(error, "Port %d cannot be listened on%s%s. Is the page open already? Else take another with "
                       "--port.", port, errno != 0 ? ": " : "", errno != 0 ? strerror(errno) : "");
    info = MHD_get_daemon_info(server->daemon, MHD_DAEMON_INFO_EPOLL_FD);
    server->epoll = info->epoll_fd;
    info = MHD_get_daemon_info(server->daemon, MHD_DAEMON_INFO_BIND_PORT);
    server->gate = (cw_server__gate){ .port = info->port, .lan = server->plan.lan, .pairing = &server->pairing };
    snprintf(server->address, sizeof server->address, "http://127.0.0.1:%d/", server->gate.port);
    return CW_OK;
}

/* Makes the book, or brings it up to date, while there is still somebody to tell what is wrong with it. */
static cw_status try_book(const char *path, cw_error *error)
{
    cw_book *book;
    cw_status status = cw_book_open(path, CW_BOOK_WRITE, &book, error);

    cw_book_close(&book);
    return status;
}

static cw_status make(cw_server *server, cw_error *error)
{
    cw_status status = server->plan.book != NULL ? try_book(server->plan.book, error) : CW_OK;

    if (status == CW_OK && server->plan.lan)
        status = find_own_number(server->seen_from, error);
    if (status == CW_OK && server->plan.lan)
        status = cw_server__pairing_renew(&server->pairing, error);
    return status == CW_OK ? start_daemon(server, error) : status;
}

cw_status cw_server_create(const cw_server_plan *plan, cw_server **server, cw_error *error)
{
    cw_server *made = cw_allocate(1, sizeof *made);
    cw_status status;

    *server = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    made->plan = *plan;
    status = make(made, error);
    if (status != CW_OK) {
        cw_free(made);
        return status;
    }
    if (plan->lan)
        tell_pairing(made);
    *server = made;
    return CW_OK;
}

void cw_server_destroy(cw_server **server)
{
    cw_server *s = *server;

    if (s == NULL)
        return;
    for (request *r = s->requests; r != NULL; r = r->next) {
        if (r->state == STREAMING) {
            cw_server__worker_end(&r->worker);
            continue;
        }
        if (r->state == COMPUTING)
            cw_server__worker_finish(&r->worker, &r->answer);
        r->state = ANSWERED;
    }
    wake_streams(s);
    hand_out(s);
    MHD_stop_daemon(s->daemon);
    cw_free(s);
    *server = NULL;
}

const char *cw_server_address(const cw_server *server)
{
    return server->address;
}
