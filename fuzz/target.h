/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a fuzz target is: one function that takes bytes and must neither crash nor break a promise. The same targets are
 * run over the kept inputs in ./check (replay_corpus.c) and by libFuzzer (fuzz/run). */
#ifndef CW_FUZZ_TARGET_H
#define CW_FUZZ_TARGET_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/** A promise that was broken is a crash. */
#define PROMISE(condition) \
    do { \
        if (!(condition)) { \
            fprintf(stderr, "%s:%d: not kept: %s\n", __FILE__, __LINE__, #condition); \
            abort(); \
        } \
    } while (0)

#endif
