/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page's server: HTTP on this machine, or in the shop's own network for devices that were paired with it.
 *
 * Knows: the routes, who may ask, how much and for how long. Needs: work, book and the stages' documents. Refuses to
 * know: what the answers mean. It writes nothing but the book it was given. Every computation and every look into the
 * book runs in a process of its own, with limits on time and memory, so that no job can take the server down. */
#ifndef COILWRIGHT_SERVER_H
#define COILWRIGHT_SERVER_H

#include "coilwright/base.h"

#include <signal.h>

#ifdef __cplusplus
extern "C" {
#endif

#define CW_SERVER_PORT 8474          /* where none is asked for */
#define CW_SERVER_BODY_LARGEST (2 * 1024 * 1024) /* bytes of a request: a job and a program */

typedef struct cw_server cw_server;

typedef struct cw_server_plan {
    int port;         /* 0 takes any that is free */
    const char *book; /* file of the book that jobs are kept in, made where it is not there; NULL none. Lent */
    bool lan;         /* listens on all of the machine's addresses; who is not on it must be paired */
    /* Told of a new pairing address, at the start and whenever the last one was used up; may be NULL. Only with lan. */
    void (*on_pairing)(const char *address, void *context);
    void *context;
} cw_server_plan;

/** Listens on 127.0.0.1, or on everything.
 *
 *  CW_BAD_INPUT  the book is none, or may not be written
 *  CW_FAILED     the port is in use, or the machine has no network
 *  server        receives a new one; cw_server_destroy */
CW_API cw_status cw_server_create(const cw_server_plan *plan, cw_server **server, cw_error *error);
CW_API void cw_server_destroy(cw_server **server);

/** "http://127.0.0.1:8474/". Lent. */
CW_API const char *cw_server_address(const cw_server *server);

/** Serves until *stop is set, by a signal's handler say; it is looked at at least once a second.
 *  The calling process must have one thread only: workers are forked from it. */
CW_API cw_status cw_server_run(cw_server *server, const volatile sig_atomic_t *stop, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
