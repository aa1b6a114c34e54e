/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which dialect a bare program is written in. Traps between them: [NC 11]. */
#include "nc/nc_replay.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* What the words of a program, or of one line of it, show. */
typedef struct traces {
    bool g32, thread_by_f, thread_by_k, steps, rotary, spindle, per_turn_99, cycles, per_turn_95;
    int traverse;
} traces;

/* Letters of a line with the number behind G and M; enough to tell dialects apart, not to read by. */
typedef struct sight {
    unsigned letters;
    bool g33;
} sight;

static bool has(const sight *line, char letter)
{
    return (line->letters & 1u << (letter - 'A')) != 0;
}

static void see_code(traces *seen, sight *line, char letter, double number)
{
    int tenths = (int)(number * 10 + 0.5);

    if (letter == 'M')
        seen->spindle = seen->spindle || tenths == 30 || tenths == 40;
    if (letter != 'G')
        return;
    line->g33 = line->g33 || tenths == 330;
    seen->g32 = seen->g32 || tenths == 320;
    seen->per_turn_95 = seen->per_turn_95 || tenths == 950;
    seen->per_turn_99 = seen->per_turn_99 || tenths == 990 || tenths == 980;
    seen->cycles = seen->cycles || (tenths >= 810 && tenths <= 890);
}

static void end_line(traces *seen, sight *line)
{
    if (line->g33 && has(line, 'K'))
        seen->thread_by_k = true;
    else if (line->g33 && has(line, 'F'))
        seen->thread_by_f = true;
    seen->steps = seen->steps || has(line, 'U') || has(line, 'W');
    if (has(line, 'A') || has(line, 'B') || has(line, 'C')) {
        seen->rotary = true;
        if (seen->traverse < 0)
            seen->traverse = has(line, 'X') ? CW_NC_X : has(line, 'Z') ? CW_NC_Z : has(line, 'Y') ? CW_NC_Y : -1;
    }
    memset(line, 0, sizeof *line);
}

/* One character at `i`; returns where to go on. */
static size_t see(traces *seen, sight *line, const char *text, size_t length, size_t i)
{
    char c = (char)toupper((unsigned char)text[i]), number[16];
    size_t digits = 0, from = i + 1;

    if (c == '\n' || c == '\r') {
        end_line(seen, line);
        return i + 1;
    }
    if (c == '(' || c == ';') {
        while (i < length && text[i] != '\n' && text[i] != '\r' && !(c == '(' && text[i] == ')'))
            i++;
        return i + (i < length && text[i] == ')');
    }
    if (c < 'A' || c > 'Z')
        return i + 1;
    while (from < length && (text[from] == ' ' || text[from] == '\t'))
        from++;
    for (; from < length && digits + 1 < sizeof number && strchr("0123456789.-+", text[from]) != NULL; from++)
        number[digits++] = text[from];
    if (digits == 0 && !(from < length && (text[from] == '#' || text[from] == '[')))
        return i + 1;
    number[digits] = '\0';
    line->letters |= 1u << (c - 'A');
    see_code(seen, line, c, strtod(number, NULL));
    return from;
}

cw_code cw_nc__detect(const char *text, size_t length, int *traverse)
{
    traces seen;
    sight line;
    size_t i = 0;

    memset(&seen, 0, sizeof seen);
    memset(&line, 0, sizeof line);
    seen.traverse = -1;
    while (i < length)
        i = see(&seen, &line, text, length, i);
    end_line(&seen, &line);
    *traverse = CW_NC_Z;
    if (seen.g32)
        return CW_G32_F;
    if (seen.thread_by_f && !seen.thread_by_k)
        return CW_G33_F;
    if (seen.thread_by_k)
        return CW_G33_K;
    if (seen.steps || (seen.per_turn_99 && !seen.cycles && !seen.per_turn_95))
        return CW_G99;
    if (seen.rotary && !seen.spindle) {
        *traverse = seen.traverse >= 0 ? seen.traverse : CW_NC_X;
        return CW_ROTARY_A;
    }
    return seen.per_turn_95 ? CW_G95 : CW_G33_K;
}
