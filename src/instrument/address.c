/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An address taken apart: "tcp:192.0.2.7:5025", "tcp:[::1]", "serial:/dev/ttyUSB0:9600:8N1". */
#include "instrument/instrument_internal.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SCPI_RAW_PORT "5025" /* registered with IANA as scpi-raw */

static const char *const example = "tcp:192.0.2.7 or serial:/dev/ttyUSB0:9600";

static bool all_digits(const char *text)
{
    return text[0] != '\0' && strspn(text, "0123456789") == strlen(text);
}

static bool copy_part(char *to, size_t size, const char *from, size_t length)
{
    if (length == 0 || length >= size)
        return false;
    memcpy(to, from, length);
    to[length] = '\0';
    return true;
}

static cw_status parse_tcp(const char *address, const char *rest, cw_instrument__address *parts, cw_error *error)
{
    const bool bracket = rest[0] == '[';
    const char *host = bracket ? rest + 1 : rest;
    const char *end = host + strcspn(host, bracket ? "]" : ":");
    const char *port;

    if (!copy_part(parts->host, sizeof parts->host, host, (size_t)(end - host)) || (bracket && *end != ']'))
        return cw_refuse(error, NULL, example, "The address '%s' names no host.", address);
    end += bracket;
    port = *end == ':' ? end + 1 : SCPI_RAW_PORT;
    if ((*end != '\0' && *end != ':') || !all_digits(port) || strlen(port) > 5 || atol(port) < 1 || atol(port) > 65535)
        return cw_refuse(error, NULL, "a port from 1 to 65535", "The address '%s' has no port that exists.", address);
    snprintf(parts->port, sizeof parts->port, "%s", port);
    return CW_OK;
}

static cw_status parse_frame(const char *address, const char *frame, cw_instrument__address *parts, cw_error *error)
{
    if (strlen(frame) != 3 || (frame[0] != '7' && frame[0] != '8') || strchr("NEO", frame[1]) == NULL ||
        (frame[2] != '1' && frame[2] != '2'))
        return cw_refuse(error, NULL, "8N1, 7E2 or the like", "The address '%s' ends in '%s'.", address, frame);
    parts->data_bits = frame[0] - '0';
    parts->parity = frame[1];
    parts->stop_bits = frame[2] - '0';
    return CW_OK;
}

static cw_status parse_serial(const char *address, const char *rest, cw_instrument__address *parts, cw_error *error)
{
    const size_t device = strcspn(rest, ":");
    char baud[8];
    const char *next;

    parts->serial = true;
    parts->baud = 9600;
    parts->data_bits = 8;
    parts->parity = 'N';
    parts->stop_bits = 1;
    if (!copy_part(parts->host, sizeof parts->host, rest, device))
        return cw_refuse(error, NULL, example, "The address '%s' names no device.", address);
    if (rest[device] == '\0')
        return CW_OK;
    next = rest + device + 1;
    if (!copy_part(baud, sizeof baud, next, strcspn(next, ":")) || !all_digits(baud))
        return cw_refuse(error, NULL, "9600, 19200, 115200 ...", "The address '%s' has no speed of a line.", address);
    parts->baud = atol(baud);
    next += strcspn(next, ":");
    return *next == '\0' ? CW_OK : parse_frame(address, next + 1, parts, error);
}

cw_status cw_instrument__parse_address(const char *address, cw_instrument__address *parts, cw_error *error)
{
    memset(parts, 0, sizeof *parts);
    if (strncmp(address, "tcp:", 4) == 0)
        return parse_tcp(address, address + 4, parts, error);
    if (strncmp(address, "serial:", 7) == 0)
        return parse_serial(address, address + 7, parts, error);
    return cw_refuse(error, NULL, example, "The address '%.200s' says neither tcp nor serial.", address);
}
