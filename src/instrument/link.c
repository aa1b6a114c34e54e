/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes to and from the meter, every wait with its end. */
#include "instrument/instrument_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <netdb.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

double cw_instrument__now_s(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Waits until the file is ready for what is asked, or the deadline. False at the deadline. */
static bool wait_ready(int file, short events, double deadline_s)
{
    for (;;) {
        struct pollfd wanted = { .fd = file, .events = events };
        const double left_s = deadline_s - cw_instrument__now_s();
        const int count = poll(&wanted, 1, left_s > 0 ? (int)ceil(1e3 * fmin(left_s, 3600)) : 0);

        if (count > 0)
            return true;
        if (count < 0 && errno != EINTR)
            return true; /* the call that follows will tell */
        if (left_s <= 0)
            return false;
    }
}

/* ---- connecting -------------------------------------------------------------------------------------------- */

static int connect_within(const struct addrinfo *where, double deadline_s, int *number)
{
    const int file = socket(where->ai_family, where->ai_socktype, where->ai_protocol);
    socklen_t size = sizeof *number;

    if (file < 0) {
        *number = errno;
        return -1;
    }
    (void)fcntl(file, F_SETFD, FD_CLOEXEC);
    (void)fcntl(file, F_SETFL, O_NONBLOCK);
    *number = 0;
    if (connect(file, where->ai_addr, where->ai_addrlen) != 0) {
        *number = errno;
        if (*number == EINPROGRESS) {
            if (!wait_ready(file, POLLOUT, deadline_s))
                *number = ETIMEDOUT;
            else if (getsockopt(file, SOL_SOCKET, SO_ERROR, number, &size) != 0)
                *number = errno;
        }
    }
    if (*number == 0)
        return file;
    close(file);
    return -1;
}

static cw_status open_tcp(const cw_instrument__address *parts, double deadline_s, int *file, cw_error *error)
{
    const struct addrinfo hints = { .ai_family = AF_UNSPEC, .ai_socktype = SOCK_STREAM };
    struct addrinfo *list;
    int number = 0;
    const int trouble = getaddrinfo(parts->host, parts->port, &hints, &list);

    if (trouble != 0)
        return cw_refuse(error, NULL, NULL, "The host '%s' cannot be found: %s.", parts->host, gai_strerror(trouble));
    *file = -1;
    for (const struct addrinfo *where = list; where != NULL && *file < 0; where = where->ai_next)
        *file = connect_within(where, deadline_s, &number);
    freeaddrinfo(list);
    if (*file < 0)
        return cw_fail(error,
                       "The meter at %s, port %s, cannot be reached: %s. Is it on, is its network socket enabled?",
                       parts->host, parts->port, strerror(number));
    return CW_OK;
}

static cw_status open_serial(const cw_instrument__address *parts, int *file, cw_error *error)
{
    cw_status status;

    *file = open(parts->host, O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (*file < 0)
        return cw_refuse(error, NULL, NULL, "The line '%s' cannot be opened: %s.", parts->host, strerror(errno));
    status = cw_instrument__set_line(*file, parts, error);
    if (status != CW_OK)
        close(*file);
    return status;
}

cw_status cw_instrument_open(const char *address, double within_s, cw_instrument **instrument, cw_error *error)
{
    cw_instrument__address parts;
    cw_status status = cw_instrument__parse_address(address, &parts, error);
    cw_instrument *made;

    *instrument = NULL;
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    made->serial = parts.serial;
    snprintf(made->name, sizeof made->name, "%s", parts.host);
    if (parts.serial)
        status = open_serial(&parts, &made->file, error);
    else
        status = open_tcp(&parts, cw_instrument__now_s() + (isnan(within_s) ? 3 : within_s), &made->file, error);
    if (status != CW_OK) {
        cw_free(made);
        return status;
    }
    *instrument = made;
    return CW_OK;
}

void cw_instrument_close(cw_instrument **instrument)
{
    if (*instrument != NULL)
        close((*instrument)->file);
    cw_free(*instrument);
    *instrument = NULL;
}

/* ---- sending ----------------------------------------------------------------------------------------------- */

static ssize_t write_some(const cw_instrument *instrument, const char *bytes, size_t count)
{
    if (instrument->serial)
        return write(instrument->file, bytes, count);
    return send(instrument->file, bytes, count, MSG_NOSIGNAL); /* a closed connection is an error, not the end of us */
}

static cw_status write_all(cw_instrument *instrument, const char *bytes, size_t count, double deadline_s,
                           cw_error *error)
{
    while (count > 0) {
        const ssize_t written = write_some(instrument, bytes, count);

        if (written >= 0) {
            bytes += written;
            count -= (size_t)written;
        } else if (errno == EAGAIN || errno == EWOULDBLOCK) {
            if (!wait_ready(instrument->file, POLLOUT, deadline_s))
                return cw_fail(error, "The meter at '%s' takes no command.", instrument->name);
        } else if (errno != EINTR)
            return cw_fail(error, "The connection to the meter at '%s' is lost: %s.", instrument->name,
                           strerror(errno));
    }
    return CW_OK;
}

cw_status cw_instrument__send(cw_instrument *instrument, const char *text, double deadline_s, cw_error *error)
{
    const cw_status status = write_all(instrument, text, strlen(text), deadline_s, error);

    return status != CW_OK ? status : write_all(instrument, "\n", 1, deadline_s, error);
}

/* ---- taking ------------------------------------------------------------------------------------------------ */

/* Reads what is there. 0: nothing yet; -1: the connection has ended. */
static int read_some(cw_instrument *instrument)
{
    const size_t room = sizeof instrument->waiting - instrument->waiting_count;
    const ssize_t count = read(instrument->file, instrument->waiting + instrument->waiting_count, room);

    if (count > 0) {
        instrument->waiting_count += (size_t)count;
        return 1;
    }
    if (count < 0 && (errno == EAGAIN || errno == EWOULDBLOCK || errno == EINTR))
        return 0;
    return count == 0 && instrument->serial ? 0 : -1;
}

static bool is_text(const char *bytes, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if ((unsigned char)bytes[i] < 0x20 && bytes[i] != '\t')
            return false;
        else if ((unsigned char)bytes[i] == 0x7F || (unsigned char)bytes[i] >= 0x80)
            return false;
    return true;
}

/* Takes the first whole line out of what waits. False where there is none yet. */
static bool cut_line(cw_instrument *instrument, const char **line, size_t *length)
{
    const char *end = memchr(instrument->waiting, '\n', instrument->waiting_count);

    if (end == NULL)
        return false;
    *line = instrument->waiting;
    *length = (size_t)(end - instrument->waiting);
    return true;
}

static void drop(cw_instrument *instrument, size_t count)
{
    instrument->waiting_count -= count;
    memmove(instrument->waiting, instrument->waiting + count, instrument->waiting_count);
}

/* Blanks and carriage returns at both ends are of no account. */
static void trim(const char **line, size_t *length)
{
    while (*length > 0 && strchr(" \t\r", (*line)[0]) != NULL) {
        ++*line;
        --*length;
    }
    while (*length > 0 && strchr(" \t\r", (*line)[*length - 1]) != NULL)
        --*length;
}

cw_instrument__line cw_instrument__take_line(cw_instrument *instrument, double deadline_s, cw_text *text)
{
    for (;;) {
        const char *line;
        size_t length;

        while (cut_line(instrument, &line, &length)) {
            const size_t whole = length + 1;
            const char *kept = line;

            trim(&kept, &length);
            if (!is_text(kept, length)) {
                drop(instrument, whole);
                return CW_LINE_GARBAGE;
            }
            cw_text_clear(text);
            cw_text_add_bytes(text, kept, length);
            drop(instrument, whole);
            if (length > 0)
                return CW_LINE_TAKEN;
        }
        if (instrument->waiting_count >= CW_INSTRUMENT__LINE_MOST) {
            instrument->waiting_count = 0;
            return CW_LINE_GARBAGE;
        }
        if (!wait_ready(instrument->file, POLLIN, deadline_s))
            return CW_LINE_LATE;
        if (read_some(instrument) < 0)
            return CW_LINE_LOST;
        if (cw_instrument__now_s() > deadline_s && memchr(instrument->waiting, '\n', instrument->waiting_count) == NULL)
            return CW_LINE_LATE; /* drip by drip is still too late */
    }
}

void cw_instrument__drain(cw_instrument *instrument)
{
    instrument->waiting_count = 0;
    for (int i = 0; i < 64 && read_some(instrument) > 0; i++)
        instrument->waiting_count = 0;
}
