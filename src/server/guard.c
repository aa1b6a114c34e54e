/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who may ask.
 *
 * A page from anywhere can make a browser send requests to 127.0.0.1. Three things tell them from the page's own:
 *   Host    names this server only where the address was typed as such: a foreign name that was made to point at
 *           127.0.0.1 stands here [RFC 9110, 7.2]
 *   Origin  is sent with every request from a page that changes something, and names that page [RFC 6454, 7]
 *   Content-Type  other than those of forms makes a browser ask for leave first (by OPTIONS), which is never given */
#include "server/server_internal.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

/* "127.0.0.1:PORT" or "localhost:PORT". */
static bool is_here(const char *host, int port)
{
    static const char *const names[] = { "127.0.0.1", "localhost" };

    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char expected[32];

        snprintf(expected, sizeof expected, "%s:%d", names[i], port);
        if (strcasecmp(host, expected) == 0)
            return true;
    }
    return false;
}

static bool is_own_origin(const char *origin, int port)
{
    static const char scheme[] = "http://";

    return strncasecmp(origin, scheme, strlen(scheme)) == 0 && is_here(origin + strlen(scheme), port);
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

int cw_server__guard(struct MHD_Connection *connection, const cw_server__route *route, const char *method, int port,
                     const char **why)
{
    const char *host = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Host");
    const char *origin = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Origin");
    const char *site = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Sec-Fetch-Site");
    const bool reads = strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;

    if (host == NULL || !is_here(host, port)) {
        *why = "This server answers to its own address only.";
        return MHD_HTTP_MISDIRECTED_REQUEST;
    }
    if (origin != NULL && !is_own_origin(origin, port)) {
        *why = "Another site may not use this server.";
        return MHD_HTTP_FORBIDDEN;
    }
    if (site != NULL && strcmp(site, "same-origin") != 0 && strcmp(site, "none") != 0 &&
        (!reads || (route != NULL && strcmp(route->path, "/") != 0))) { /* a link to the page is welcome */
        *why = "Another site may not use this server.";
        return MHD_HTTP_FORBIDDEN;
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
