/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Characters out of bytes. */
#include "coilwright/base.h"

int cw_utf8_decode(const char *text, size_t left, uint32_t *code)
{
    static const uint32_t least[] = { 0, 0, 0x80, 0x800, 0x10000 };
    const unsigned char *bytes = (const unsigned char *)text;
    int length = bytes[0] < 0x80 ? 1 : bytes[0] >> 5 == 6 ? 2 : bytes[0] >> 4 == 14 ? 3 : bytes[0] >> 3 == 30 ? 4 : 0;

    if (length == 0 || (size_t)length > left)
        return 0;
    *code = length == 1 ? bytes[0] : bytes[0] & (0x7Fu >> length);
    for (int i = 1; i < length; i++) {
        if ((bytes[i] & 0xC0) != 0x80)
            return 0;
        *code = *code << 6 | (bytes[i] & 0x3Fu);
    }
    if (*code < least[length] || *code > 0x10FFFF || (*code >= 0xD800 && *code <= 0xDFFF))
        return 0;
    return length;
}
