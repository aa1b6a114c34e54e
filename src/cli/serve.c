/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright serve: the page, on this machine alone. */
#include "cli/cli.h"
#include "coilwright/server.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>

static volatile sig_atomic_t stop_asked;

static void ask_stop(int signal_number)
{
    (void)signal_number;
    stop_asked = 1;
}

static void listen_to_signals(void)
{
    struct sigaction action = { .sa_handler = ask_stop };

    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
    signal(SIGPIPE, SIG_IGN);
}

static int read_port(const cli_call *call, int *port)
{
    const char *text = cli_value(call, "port");
    char *end;
    long value;

    *port = CW_SERVER_PORT;
    if (text == NULL)
        return 0;
    errno = 0;
    value = strtol(text, &end, 10);
    if (errno != 0 || end == text || *end != '\0' || value < 0 || value > 65535)
        return cli_refuse(call, "--port is a number from 1 to 65535, or 0 for any that is free, not \"%s\".", text);
    *port = (int)value;
    return 0;
}

static int say_address(const cli_call *call, const char *address)
{
    if (call->json)
        return cli_write_json(call, json_pack("{s:s}", "address", address), 0);
    printf("%s\n", address);
    fflush(stdout);
    cli_tell(call, "Open that address in a browser on this machine. Ctrl-C ends it.");
    return 0;
}

int cli_serve(const cli_call *call)
{
    cw_server *server;
    cw_error error;
    cw_status status;
    int port, exit = read_port(call, &port);

    if (exit != 0)
        return exit;
    listen_to_signals();
    status = cw_server_create(port, &server, &error);
    if (status == CW_OK) {
        exit = say_address(call, cw_server_address(server));
        if (exit == 0)
            status = cw_server_run(server, &stop_asked, &error);
        cw_server_destroy(&server);
    }
    return status == CW_OK ? exit : cli_report(call, status, &error);
}
