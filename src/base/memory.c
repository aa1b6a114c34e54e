/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Allocation with overflow checks, and a switch by which tests make the n-th allocation fail. */
#include "coilwright/base.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static _Thread_local long allocations_left = -1; /* below zero: no limit. Only tests set it. */

void cw_memory_fail_after(long granted)
{
    allocations_left = granted;
}

static bool refused(size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / size)
        return true;
    if (allocations_left == 0)
        return true;
    if (allocations_left > 0)
        allocations_left--;
    return false;
}

void *cw_allocate(size_t count, size_t size)
{
    if (refused(count, size))
        return NULL;
    return calloc(count > 0 ? count : 1, size > 0 ? size : 1);
}

void *cw_reallocate(void *block, size_t count, size_t size)
{
    size_t bytes = count * size;

    if (refused(count, size))
        return NULL;
    return realloc(block, bytes > 0 ? bytes : 1);
}

void cw_free(void *block)
{
    free(block);
}

char *cw_copy_text(const char *text, size_t length)
{
    char *copy = cw_allocate(length + 1, 1);

    if (copy != NULL && length > 0)
        memcpy(copy, text, length);
    return copy;
}
