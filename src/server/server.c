/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The listening socket, the loop, connections and their deadlines.
 *
 * Slow requests: a client that sends a byte now and then never idles, so an idle limit does not bound it. Each
 * connection therefore has CW_SERVER__REQUEST_SECONDS for a whole request, and where many are open the oldest one that
 * is not being computed makes room for the next: whoever holds connections open only loses his own. */
#include "server/server_internal.h"

#include "base/embedded.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

typedef enum state { READING, WAITING, COMPUTING, ANSWERED } state;

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
    struct request *next; /* in the server's list, from WAITING until it is answered */
    struct MHD_Connection *connection;
    const cw_server__route *route;
    state state;
    cw_text body;
    cw_server__worker worker;
    cw_server__answer answer;
} request;

struct cw_server {
    struct MHD_Daemon *daemon;
    int port, epoll;
    char address[64];
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
               "base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
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
    const int refused = cw_server__guard(connection, route, method, server->port, &why);
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
    if (*size > 0)
        return take_in(server, r, data, size);
    if (r->route->work != NULL)
        return hand_in(server, r);
    return send_file(connection, r->route);
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
    server->body_bytes -= r->body.length;
    cw_text_clear(&r->body);
    cw_text_clear(&r->answer.body);
    cw_free(r);
    *request_context = NULL;
}

/* ---- workers ------------------------------------------------------------------------------------------------- */

static const char *argument(const request *r, const char *name)
{
    return MHD_lookup_connection_value(r->connection, MHD_GET_ARGUMENT_KIND, name);
}

static void start(request *r)
{
    const char *dry_run = argument(r, "dry-run");
    const cw_server__question question = {
        .body = r->body.data != NULL ? r->body.data : "",
        .length = r->body.length,
        .kind = argument(r, "kind"),
        .units = argument(r, "units"),
        .paper = argument(r, "paper"),
        .date = argument(r, "date"),
        .dry_run = dry_run != NULL && strcmp(dry_run, "yes") == 0,
    };
    cw_error error;

    if (cw_server__worker_start(&r->worker, r->route->work, &question, &error) == CW_OK) {
        r->state = COMPUTING;
    } else {
        r->state = ANSWERED;
        cw_server__answer_error(&r->answer, MHD_HTTP_SERVICE_UNAVAILABLE, &error);
    }
}

static void start_waiting(cw_server *server)
{
    size_t running = count_in(server, COMPUTING);

    for (request *r = server->requests; r != NULL && running < CW_SERVER__WORKERS_MOST; r = r->next)
        if (r->state == WAITING) {
            start(r);
            running++;
        }
}

static void collect(cw_server *server)
{
    for (request *r = server->requests; r != NULL; r = r->next)
        if (r->state == COMPUTING && cw_server__worker_read(&r->worker)) {
            cw_server__worker_finish(&r->worker, &r->answer);
            r->state = ANSWERED;
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
    struct pollfd watched[1 + CW_SERVER__WORKERS_MOST] = { { .fd = server->epoll, .events = POLLIN } };
    nfds_t count = 1;

    for (const request *r = server->requests; r != NULL; r = r->next)
        if (r->state == COMPUTING)
            watched[count++] = (struct pollfd){ .fd = r->worker.pipe, .events = POLLIN };
    if (poll(watched, count, patience_ms(server)) < 0 && errno != EINTR)
        return cw_fail(error, "The server cannot wait for requests: %s.", strerror(errno));
    return CW_OK;
}

cw_status cw_server_run(cw_server *server, const volatile sig_atomic_t *stop, cw_error *error)
{
    cw_status status = CW_OK;

    while (status == CW_OK && !*stop) {
        collect(server);
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

static cw_status start_daemon(cw_server *server, int port, cw_error *error)
{
    const struct sockaddr_in here = { .sin_family = AF_INET, .sin_port = htons((uint16_t)port),
                                      .sin_addr.s_addr = htonl(INADDR_LOOPBACK) };
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
    server->port = info->port;
    snprintf(server->address, sizeof server->address, "http://127.0.0.1:%d/", server->port);
    return CW_OK;
}

cw_status cw_server_create(int port, cw_server **server, cw_error *error)
{
    cw_server *made = cw_allocate(1, sizeof *made);
    cw_status status = made != NULL ? start_daemon(made, port, error) : cw_no_memory(error);

    *server = NULL;
    if (status == CW_OK)
        *server = made;
    else
        cw_free(made);
    return status;
}

void cw_server_destroy(cw_server **server)
{
    cw_server *s = *server;

    if (s == NULL)
        return;
    for (request *r = s->requests; r != NULL; r = r->next) {
        if (r->state == COMPUTING)
            cw_server__worker_finish(&r->worker, &r->answer);
        r->state = ANSWERED;
    }
    hand_out(s);
    MHD_stop_daemon(s->daemon);
    cw_free(s);
    *server = NULL;
}

const char *cw_server_address(const cw_server *server)
{
    return server->address;
}
