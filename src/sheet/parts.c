/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of a sheet: names, titles, what there is of each. */
#include "sheet/sheet_internal.h"

#include <string.h>

static const struct { const char *name, *title; } parts[CW_SHEET_PART_COUNT] = {
    [CW_SHEET_COVER] = { "cover", "The coil at a glance" },
    [CW_SHEET_EVIDENCE] = { "evidence", "What came in, and what it was" },
    [CW_SHEET_ANSWER] = { "answer", "Why this wire, and what to order" },
    [CW_SHEET_FORMER] = { "former", "The former" },
    [CW_SHEET_WINDING] = { "winding", "The winding, layer by layer" },
    [CW_SHEET_PROGRAM] = { "program", "The winding program" },
    [CW_SHEET_MAGNET] = { "magnet", "The magnet" },
    [CW_SHEET_HEAT] = { "heat", "How warm it becomes" },
    [CW_SHEET_SWITCHING] = { "switching", "Switching on and off" },
    [CW_SHEET_TESTS] = { "tests", "Tests to make and to sign" },
    [CW_SHEET_CAUTIONS] = { "cautions", "Before it goes back to work" },
    [CW_SHEET_LABEL] = { "label", "Label for the coil" },
};

const char *cw_sheet_part_name(cw_sheet_part part)
{
    return parts[part].name;
}

const char *cw_sheet__part_title(cw_sheet_part part)
{
    return parts[part].title;
}

bool cw_sheet_part_find(const char *name, size_t length, cw_sheet_part *part)
{
    for (int i = 0; i < CW_SHEET_PART_COUNT; i++)
        if (strlen(parts[i].name) == length && memcmp(parts[i].name, name, length) == 0) {
            *part = (cw_sheet_part)i;
            return true;
        }
    return false;
}

static bool has_block(const cw_sheet_content *content, cw_sheet_part part)
{
    for (size_t i = 0; i < content->block_count; i++)
        if (content->blocks[i].part == part)
            return true;
    return false;
}

bool cw_sheet__has(const cw_sheet_content *c, cw_sheet_part part)
{
    if (c->parts != 0 && (c->parts & (1u << part)) == 0)
        return false;
    switch (part) {
    case CW_SHEET_EVIDENCE: return c->reading_count > 0 || c->candidate_count > 0 || c->answer != NULL;
    case CW_SHEET_ANSWER: return c->order_count > 0 || c->reason_count > 0;
    case CW_SHEET_WINDING: return c->winding != NULL;
    case CW_SHEET_PROGRAM: return c->program_count > 0;
    case CW_SHEET_LABEL: return c->label_count > 0;
    case CW_SHEET_FORMER:
    case CW_SHEET_MAGNET:
    case CW_SHEET_HEAT:
    case CW_SHEET_SWITCHING: return has_block(c, part);
    case CW_SHEET_COVER:
    case CW_SHEET_TESTS:
    case CW_SHEET_CAUTIONS:
    case CW_SHEET_PART_COUNT: break;
    }
    return true;
}

bool cw_sheet__is_grown(const cw_sheet_content *content)
{
    return content->block_count > 0 || content->glance_count > 0;
}

size_t cw_sheet__caution_texts(const cw_sheet_content *content, cw_sheet_place place, const char **texts)
{
    size_t count = content->caution_count, used = 0;
    const cw_sheet_caution *all = content->cautions != NULL ? content->cautions : cw_sheet_usual_cautions(&count);

    for (size_t i = 0; i < count && used < SHEET_CAUTIONS_MOST; i++)
        if (all[i].place == place && all[i].text != NULL)
            texts[used++] = all[i].text;
    return used;
}

const char *cw_sheet__place_heading(cw_sheet_place place)
{
    static const char *const headings[CW_SHEET_PLACE_COUNT] = {
        [CW_BEFORE_WINDING] = "Before you wind",
        [CW_BEFORE_TESTING] = "Before you test",
        [CW_BEFORE_USE] = "Before it goes back to work",
    };

    return headings[place];
}

const cw_sheet_check *cw_sheet__checks_of(const cw_sheet_content *content, size_t *count)
{
    *count = content->check_count;
    return content->checks != NULL ? content->checks : cw_sheet_usual_checks(count);
}
