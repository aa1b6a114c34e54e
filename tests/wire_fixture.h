/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The catalogue as the state of a group of tests, and wires by name. Include after cmocka.h. */
#ifndef TESTS_WIRE_FIXTURE_H
#define TESTS_WIRE_FIXTURE_H

#include "coilwright/wire.h"

#include <string.h>

static inline int open_catalogue(void **state)
{
    return (int)cw_wire_catalogue_create((cw_wire_catalogue **)state, NULL);
}

static inline int close_catalogue(void **state)
{
    cw_wire_catalogue_destroy((cw_wire_catalogue **)state);
    return 0;
}

static inline const cw_wire_size *size_of(void **state, const char *name)
{
    const cw_wire_size *size = NULL;
    cw_error error;

    if (cw_wire_size_parse(*state, name, strlen(name), NULL, &size, &error) != CW_OK)
        fail_msg("%s: %s", name, error.text);
    return size;
}

static inline cw_wire wire_of(void **state, const char *name, cw_build build)
{
    cw_wire wire;
    cw_error error;

    if (cw_wire_make(*state, size_of(state, name), build, CW_COPPER, &wire, &error) != CW_OK)
        fail_msg("%s %s: %s", name, cw_build_name(build), error.text);
    return wire;
}

#endif
