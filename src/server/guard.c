/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who may ask.
 *
 * A page from anywhere can make a browser send requests to 127.0.0.1. Three things tell them from the page's own:
 *   Host    names this server only where the address was typed as such: a foreign name that was made to point at
 *           127.0.0.1 stands here [RFC 9110, 7.2]
 *   Origin  is sent with every request from a page that changes something, and names that page [RFC 6454, 7]
 *   Content-Type  other than those of forms makes a browser ask for leave first (by OPTIONS), which is never given
 * In the shop's network a fourth: a cookie that only a device has which was shown the pairing code. It is for this site
 * alone, out of reach of scripts, and not sent with requests from others. Who sits at the machine itself needs none. */
#include "server/server_internal.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>

static bool is_name(const char *host, const char *name, int port)
{
    char expected[INET_ADDRSTRLEN + 16];

    snprintf(expected, sizeof expected, "%s:%d", name, port);
    return strcasecmp(host, expected) == 0;
}

static int socket_of(struct MHD_Connection *connection)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);

    return info != NULL ? info->connect_fd : -1;
}

/* "127.0.0.1:PORT" or "localhost:PORT"; in the shop's network the number at which the connection came in. */
static bool is_here(struct MHD_Connection *connection, const char *host, const cw_server__gate *gate)
{
    struct sockaddr_in own;
    socklen_t size = sizeof own;
    char number[INET_ADDRSTRLEN];

    if (is_name(host, "127.0.0.1", gate->port) || is_name(host, "localhost", gate->port))
        return true;
    return gate->lan && getsockname(socket_of(connection), (struct sockaddr *)&own, &size) == 0 &&
           inet_ntop(AF_INET, &own.sin_addr, number, sizeof number) != NULL && is_name(host, number, gate->port);
}

static bool is_own_origin(struct MHD_Connection *connection, const char *origin, const cw_server__gate *gate)
{
    static const char scheme[] = "http://";

    return strncasecmp(origin, scheme, strlen(scheme)) == 0 && is_here(connection, origin + strlen(scheme), gate);
}

/* Asked from this very machine. */
static bool is_at_home(struct MHD_Connection *connection)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    const struct sockaddr_in *peer = info != NULL ? (const struct sockaddr_in *)(const void *)info->client_addr : NULL;

    return peer != NULL && peer->sin_family == AF_INET && ntohl(peer->sin_addr.s_addr) >> 24 == 127;
}

static bool is_paired(struct MHD_Connection *connection, const cw_server__gate *gate)
{
    const char *token = MHD_lookup_connection_value(connection, MHD_COOKIE_KIND, "coilwright");

    return !gate->lan || is_at_home(connection) || (token != NULL && cw_server__pairing_knows(gate->pairing, token));
}

/* The media type without its parameters. */
static bool is_type(const char *given, const char *type)
{
    const size_t length = strlen(type);

    return given != NULL && strncasecmp(given, type, length) == 0 && strchr("; \t", given[length]) != NULL;
}

static int check_body(struct MHD_Connection *connection, const cw_server__route *route, const char **why)
{
    const char *type = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Content-Type");
    const char *length = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Content-Length");
    unsigned long long bytes = 0;

    if (length != NULL && (sscanf(length, "%llu", &bytes) != 1 || bytes > CW_SERVER_BODY_LARGEST)) {
        *why = "That is too large: a request may have 2 MB, and the job in it 1 MB.";
        return MHD_HTTP_CONTENT_TOO_LARGE;
    }
    if (route->body == CW_SERVER__YAML_BODY && !is_type(type, "application/yaml")) {
        *why = "The body must be a job file, sent as application/yaml.";
        return MHD_HTTP_UNSUPPORTED_MEDIA_TYPE;
    }
    if (route->body == CW_SERVER__JSON_BODY && !is_type(type, "application/json")) {
        *why = "The body must be sent as application/json.";
        return MHD_HTTP_UNSUPPORTED_MEDIA_TYPE;
    }
    return 0;
}

int cw_server__guard(struct MHD_Connection *connection, const cw_server__route *route, const char *method,
                     const cw_server__gate *gate, const char **why)
{
    const char *host = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Host");
    const char *origin = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Origin");
    const char *site = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Sec-Fetch-Site");
    const bool reads = strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;

    if (host == NULL || !is_here(connection, host, gate)) {
        *why = "This server answers to its own address only.";
        return MHD_HTTP_MISDIRECTED_REQUEST;
    }
    if (origin != NULL && !is_own_origin(connection, origin, gate)) {
        *why = "Another site may not use this server.";
        return MHD_HTTP_FORBIDDEN;
    }
    if (site != NULL && strcmp(site, "same-origin") != 0 && strcmp(site, "none") != 0 &&
        (!reads || (route != NULL && route->type != CW_SERVER__HTML))) { /* a link to the page is welcome */
        *why = "Another site may not use this server.";
        return MHD_HTTP_FORBIDDEN;
    }
    if (!is_paired(connection, gate) && (route == NULL || !(route->rights & CW_SERVER__OPEN))) {
        *why = "This device is not paired. Scan the code that the server shows, or type its address.";
        return MHD_HTTP_UNAUTHORIZED;
    }
    if (route == NULL) {
        *why = "There is nothing here; the page is at /.";
        return MHD_HTTP_NOT_FOUND;
    }
    if (route->body == CW_SERVER__NO_BODY ? !reads : strcmp(method, "POST") != 0) {
        *why = route->body == CW_SERVER__NO_BODY ? "This can only be read, by GET." : "This wants a job, by POST.";
        return MHD_HTTP_METHOD_NOT_ALLOWED;
    }
    return route->body == CW_SERVER__NO_BODY ? 0 : check_body(connection, route, why);
}
