/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A serial line: raw bytes, no echo, no flow control. */
#define _DEFAULT_SOURCE /* speeds above 38400 */
#include "instrument/instrument_internal.h"

#include <errno.h>
#include <string.h>
#include <termios.h>

static bool find_speed(long baud, speed_t *speed)
{
    static const struct { long baud; speed_t speed; } speeds[] = {
        { 1200, B1200 }, { 2400, B2400 }, { 4800, B4800 }, { 9600, B9600 }, { 19200, B19200 }, { 38400, B38400 },
        { 57600, B57600 }, { 115200, B115200 }, { 230400, B230400 },
    };

    for (size_t i = 0; i < sizeof speeds / sizeof speeds[0]; i++)
        if (speeds[i].baud == baud) {
            *speed = speeds[i].speed;
            return true;
        }
    return false;
}

cw_status cw_instrument__set_line(int file, const cw_instrument__address *parts, cw_error *error)
{
    struct termios line;
    speed_t speed;

    if (!find_speed(parts->baud, &speed))
        return cw_refuse(error, NULL, "1200 to 230400 in the usual steps",
                         "A line of %ld baud is none that meters use.", parts->baud);
    if (tcgetattr(file, &line) != 0)
        return cw_refuse(error, NULL, NULL, "'%s' is not a serial line: %s.", parts->host, strerror(errno));
    line.c_iflag = IGNBRK | IGNPAR;
    line.c_oflag = 0;
    line.c_lflag = 0;
    line.c_cflag = CREAD | CLOCAL | (parts->data_bits == 7 ? CS7 : CS8);
    if (parts->parity != 'N')
        line.c_cflag |= parts->parity == 'O' ? PARENB | PARODD : PARENB;
    if (parts->stop_bits == 2)
        line.c_cflag |= CSTOPB;
    line.c_cc[VMIN] = 0;
    line.c_cc[VTIME] = 0;
    if (cfsetispeed(&line, speed) != 0 || cfsetospeed(&line, speed) != 0 || tcsetattr(file, TCSANOW, &line) != 0)
        return cw_fail(error, "The line '%s' cannot be set up: %s.", parts->host, strerror(errno));
    tcflush(file, TCIOFLUSH);
    return CW_OK;
}
