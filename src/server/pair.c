/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The code that pairs a device, and the devices that are paired.
 *
 * A code has twelve signs out of 32 (60 bits), is good once, and is changed after twenty wrong ones. Who gives it gets a
 * token of 256 bits. Both are compared in a time that does not depend on where they differ. */
#include "server/server_internal.h"

#include <errno.h>
#include <string.h>
#include <sys/random.h>

static bool chance(unsigned char *bytes, size_t count)
{
    return getrandom(bytes, count, 0) == (ssize_t)count; /* up to 256 bytes come whole [getrandom(2)] */
}

/* Without 0, 1, I and O, which are taken for one another. */
static void spell(const unsigned char *bytes, size_t count, char *word)
{
    static const char signs[] = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789";

    for (size_t i = 0; i < count; i++)
        word[i] = signs[bytes[i] % (sizeof signs - 1)];
    word[count] = '\0';
}

static bool same(const char *a, const char *b, size_t length)
{
    unsigned char different = strlen(a) != length || strlen(b) != length;

    if (different)
        return false;
    for (size_t i = 0; i < length; i++)
        different |= (unsigned char)(a[i] ^ b[i]);
    return different == 0;
}

cw_status cw_server__pairing_renew(cw_server__pairing *pairing, cw_error *error)
{
    unsigned char bytes[CW_SERVER__CODE];

    if (!chance(bytes, sizeof bytes))
        return cw_fail(error, "This machine has no source of chance, so that no pairing code can be made: %s.",
                       strerror(errno));
    spell(bytes, sizeof bytes, pairing->code);
    pairing->wrong = 0;
    return CW_OK;
}

const char *cw_server__pairing_join(cw_server__pairing *pairing, const char *code)
{
    unsigned char bytes[CW_SERVER__TOKEN];
    const bool right = same(pairing->code, code, CW_SERVER__CODE);

    if (!right && ++pairing->wrong < CW_SERVER__WRONG_CODES_MOST)
        return NULL;
    if (cw_server__pairing_renew(pairing, NULL) != CW_OK)
        memset(pairing->code, 0, sizeof pairing->code); /* then none is right */
    if (!right || !chance(bytes, sizeof bytes))
        return NULL;
    memmove(pairing->token[1], pairing->token[0], (CW_SERVER__DEVICES_MOST - 1) * sizeof pairing->token[0]);
    spell(bytes, sizeof bytes, pairing->token[0]);
    return pairing->token[0];
}

bool cw_server__pairing_knows(const cw_server__pairing *pairing, const char *token)
{
    bool known = false;

    for (int i = 0; i < CW_SERVER__DEVICES_MOST; i++)
        known = same(pairing->token[i], token, CW_SERVER__TOKEN) || known;
    return known;
}
