/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright serve: the page, on this machine, or with --lan for paired devices of its network too. */
#include "cli/cli.h"
#include "coilwright/server.h"

#include <errno.h>
#include <qrencode.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

/* Two rows of the code in one line of letters that are twice as high as wide, light on dark as a terminal is: light
 * modules are full blocks, and the margin of four that a reader needs [ISO/IEC 18004] is part of it. */
static void print_code(const QRcode *code)
{
    enum { MARGIN = 4 };
    static const char *const glyphs[] = { "\u2588", "\u2580", "\u2584", " " }; /* both light, lower dark, upper dark, both */

    for (int row = -MARGIN; row < code->width + MARGIN; row += 2) {
        fputs("  ", stderr);
        for (int column = -MARGIN; column < code->width + MARGIN; column++) {
            int glyph = 0;

            for (int half = 0; half < 2; half++) {
                const int y = row + half;
                const bool inside = column >= 0 && column < code->width && y >= 0 && y < code->width;

                if (inside && code->data[y * code->width + column] & 1)
                    glyph |= half == 0 ? 2 : 1;
            }
            fputs(glyphs[glyph], stderr);
        }
        fputs("\n", stderr);
    }
}

/* A new way in for one device. It is the one thing --quiet does not silence: without it no device could join. */
static void show_pairing(const char *address, void *context)
{
    QRcode *code = QRcode_encodeString(address, 0, QR_ECLEVEL_M, QR_MODE_8, 1);

    (void)context;
    fputs("\nFor a tablet in the same network, good once:\n\n", stderr);
    if (code != NULL)
        print_code(code);
    fprintf(stderr, "\n  %s\n\n", address);
    fflush(stderr);
    QRcode_free(code);
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

/* The book that jobs are kept in; NULL none. */
static cw_status find_book(const cli_call *call, char **path, cw_error *error)
{
    const char *named = cli_value(call, "book");

    *path = NULL;
    if (cli_value(call, "no-book") != NULL)
        return CW_OK;
    if (named == NULL)
        return cw_book_usual_path(true, path, error);
    *path = cw_copy_text(named, strlen(named));
    return *path != NULL ? CW_OK : cw_no_memory(error);
}

static int serve(const cli_call *call, const cw_server_plan *plan)
{
    cw_server *server;
    cw_error error;
    cw_status status = cw_server_create(plan, &server, &error);
    int exit = 0;

    if (status == CW_OK) {
        exit = say_address(call, cw_server_address(server));
        if (exit == 0 && plan->book != NULL)
            cli_tell(call, "Jobs are kept in %s.", plan->book);
        if (exit == 0)
            status = cw_server_run(server, &stop_asked, &error);
        cw_server_destroy(&server);
    }
    return status == CW_OK ? exit : cli_report(call, status, &error);
}

int cli_serve(const cli_call *call)
{
    cw_server_plan plan = { .lan = cli_value(call, "lan") != NULL, .on_pairing = show_pairing };
    char *book = NULL;
    cw_error error;
    cw_status status;
    int exit = read_port(call, &plan.port);

    if (exit != 0)
        return exit;
    if (cli_value(call, "book") != NULL && cli_value(call, "no-book") != NULL)
        return cli_refuse(call, "--book and --no-book cannot both be meant.");
    status = find_book(call, &book, &error);
    if (status != CW_OK)
        return cli_report(call, status, &error);
    plan.book = book;
    listen_to_signals();
    exit = serve(call, &plan);
    cw_free(book);
    return exit;
}
