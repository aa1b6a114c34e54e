/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A meter for tests: a thread behind a socket on loopback or behind a pseudo-terminal. It answers as a test tells it
 * to: slowly, in pieces, wrongly, or not at all. Include after cmocka.h. */
#ifndef TESTS_METER_H
#define TESTS_METER_H

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

typedef struct meter meter;

/* Gets a question without its end and writes what it likes with meter_say. */
typedef void meter_answers(meter *meter, const char *question);

struct meter {
    meter_answers *answers;
    int listener, line;   /* listener -1: a pseudo-terminal */
    char address[128];
    int readings;         /* MEAS questions so far */
    pthread_t thread;
};

static inline void meter_sleep(double seconds)
{
    const struct timespec time = { (time_t)seconds, (long)(1e9 * (seconds - (double)(time_t)seconds)) };

    nanosleep(&time, NULL);
}

static inline void meter_say_bytes(meter *meter, const char *bytes, size_t count)
{
    if (meter->listener >= 0)
        (void)!send(meter->line, bytes, count, MSG_NOSIGNAL);
    else
        (void)!write(meter->line, bytes, count);
}

static inline void meter_say(meter *meter, const char *text)
{
    meter_say_bytes(meter, text, strlen(text));
}

static inline void meter_hear(meter *meter, const char *question)
{
    if (strncmp(question, "MEAS", 4) == 0)
        meter->readings++;
    meter->answers(meter, question);
}

static inline void *meter_run(void *state)
{
    meter *meter = state;
    char question[256];
    size_t length = 0;
    char byte;

    if (meter->listener >= 0)
        meter->line = accept(meter->listener, NULL, NULL);
    while (read(meter->line, &byte, 1) == 1) {
        if (byte != '\n' && length + 1 < sizeof question) {
            question[length++] = byte;
            continue;
        }
        question[length] = '\0';
        length = 0;
        meter_hear(meter, question);
    }
    return NULL;
}

static inline void meter_start(meter *meter, meter_answers *answers)
{
    struct sockaddr_in where = { .sin_family = AF_INET, .sin_addr = { htonl(INADDR_LOOPBACK) } };
    socklen_t size = sizeof where;

    memset(meter, 0, sizeof *meter);
    meter->answers = answers;
    meter->listener = socket(AF_INET, SOCK_STREAM, 0);
    assert_int_equal(bind(meter->listener, (struct sockaddr *)&where, size), 0);
    assert_int_equal(listen(meter->listener, 1), 0);
    assert_int_equal(getsockname(meter->listener, (struct sockaddr *)&where, &size), 0);
    snprintf(meter->address, sizeof meter->address, "tcp:127.0.0.1:%d", (int)ntohs(where.sin_port));
    assert_int_equal(pthread_create(&meter->thread, NULL, meter_run, meter), 0);
}

/* After the other side has closed its connection. */
static inline void meter_stop(meter *meter)
{
    pthread_join(meter->thread, NULL);
    close(meter->line);
    close(meter->listener);
}

#endif
