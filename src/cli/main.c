/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/cli.h"

#include <signal.h>

int main(int count, char **words)
{
    /* a full disk or a closed pipe is reported in words, by the call that meets it */
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN);
    return cli_main(count, words);
}
