/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The keys of a magnet's section by its shape: which there are, which a field needs, and an example of each. The
 * examples together make a magnet that the examples of the window fit into. What the lengths mean is drawn in
 * coilwright/field.h. */
#include "job/job_internal.h"

#include <stdio.h>
#include <string.h>

enum { POT = 1u << 0, PLUNGER = 1u << 1, U = 1u << 2, E = 1u << 3, FREE = 1u << 4, ROUND = POT | PLUNGER, STRAIGHT = U | E,
       FACED = POT | U | E, ALL = ROUND | STRAIGHT, ANY = ALL | FREE };

static const char *const shapes[] = { "pot", "plunger", "u", "e", "section", NULL };

static const cw_job_magnet_key keys[] = {
    { "shape", ANY, CW_KEY_WORD, true, "pot", NULL, "pot, plunger, u, e or section" },
    { "iron", ALL, CW_KEY_IRON, true, "low-carbon-steel", NULL, "of the magnet" },
    { "outer_diameter", ROUND, CW_KEY_LENGTH, true, "90 mm", "3-1/2 in", "of the whole magnet" },
    { "pole_diameter", ROUND, CW_KEY_LENGTH, true, "38 mm", "1-1/2 in", "of the core inside the coil" },
    { "bore_diameter", ROUND, CW_KEY_LENGTH, false, "8 mm", "5/16 in", "hole along the axis of the core" },
    { "rim_thickness", ROUND | E, CW_KEY_LENGTH, true, "8 mm", "5/16 in", "of the wall, or of one outer pole of an E" },
    { "pole_width", STRAIGHT, CW_KEY_LENGTH, true, "26 mm", "1 in", "of the leg inside the coil, across" },
    { "window_width", STRAIGHT, CW_KEY_LENGTH, true, "34 mm", "1.35 in", "between two legs" },
    { "depth", STRAIGHT, CW_KEY_LENGTH, true, "46 mm", "1-3/4 in", "of the iron, along the legs' longer side" },
    { "depth", FREE, CW_KEY_LENGTH, false, "46 mm", "1-3/4 in", "of the iron; without it round the axis x = 0" },
    { "mirrored", FREE, CW_KEY_YES_NO, false, "yes", NULL, "with a depth: x = 0 is the middle, one half is drawn" },
    { "base_thickness", ALL, CW_KEY_LENGTH, true, "12 mm", "1/2 in", "of the iron behind the coil" },
    { "height", ALL, CW_KEY_LENGTH, true, "90 mm", "3-1/2 in", "back of the base to the pole faces; plunger: over all" },
    { "stop_length", PLUNGER, CW_KEY_LENGTH, false, "20 mm", "0.8 in", "of the fixed stop on the base" },
    { "cone_height", PLUNGER, CW_KEY_LENGTH, false, "10 mm", "0.4 in", "by which a pointed plunger enters its stop" },
    { "collar_thickness", PLUNGER, CW_KEY_LENGTH, true, "12 mm", "1/2 in", "of the ring at the open end" },
    { "guide_gap", PLUNGER, CW_KEY_LENGTH, true, "0.3 mm", "0.012 in", "between plunger and ring, on the radius" },
    { "plunger_length", PLUNGER, CW_KEY_LENGTH, false, "80 mm", "3-1/8 in", "of the plunger" },
    { "plunger_iron", PLUNGER, CW_KEY_IRON, false, "free-cutting-steel", NULL, "where it is another" },
    { "coil_on_base", U, CW_KEY_YES_NO, false, "no", NULL, "one coil round the base; else one on each leg" },
    { "gap", ANY, CW_KEY_LENGTH, true, "0.1 mm", "0.004 in", "of air on each face when it is closed" },
    { "face", ANY, CW_KEY_FACE, false, "machined", NULL, "of both: ground, machined, blasted, painted or scaled" },
    { "layer", ANY, CW_KEY_LENGTH, false, "0.1 mm", "0.004 in", "of paint, chrome or brass between the faces" },
    { "open_gap", ANY, CW_KEY_LENGTH, false, "1 mm", "0.04 in", "of air before it pulls in" },
    { "pull_needed", ANY, CW_KEY_FORCE, false, "400 N", "90 lb", "open and closed, by what the machine asks for" },
    { "plate.thickness", FACED, CW_KEY_LENGTH, true, "12 mm", "1/2 in", "of what it pulls" },
    { "plate.width", FACED, CW_KEY_LENGTH, false, "90 mm", "3-1/2 in", "across, or its diameter" },
    { "plate.shift", U, CW_KEY_LENGTH, false, "5 mm", "0.2 in", "sideways from the middle" },
    { "plate.cover", FACED, CW_KEY_SHARE, false, "70 %", NULL, "of the pole faces that it covers" },
    { "plate.iron", FACED, CW_KEY_IRON, false, "structural-steel", NULL, "where it is another" },
    { "coil.inside", ROUND, CW_KEY_LENGTH, false, "42 mm", "1.65 in", "across; without it by the window" },
    { "coil.inside", STRAIGHT, CW_KEY_LENGTH, false, "30 mm", "1-1/4 in", "across the leg; without it by the window" },
    { "coil.outside", ROUND, CW_KEY_LENGTH, false, "64 mm", "2-1/2 in", "across; without it as wound" },
    { "coil.outside", STRAIGHT, CW_KEY_LENGTH, false, "52 mm", "2 in", "across the leg; without it as wound" },
    { "coil.length", ALL, CW_KEY_LENGTH, false, "58 mm", "2.28 in", "along the leg; without it the window's" },
    { "coil.offset", ALL, CW_KEY_LENGTH, false, "3 mm", "1/8 in", "from the base; without it in the middle" },
};

const cw_job_magnet_key *cw_job_magnet_keys(size_t *count)
{
    *count = sizeof keys / sizeof keys[0];
    return keys;
}

unsigned cw_job_magnet_shape(const char *word)
{
    for (unsigned i = 0; shapes[i] != NULL; i++)
        if (strcmp(word, shapes[i]) == 0)
            return 1u << i;
    return 0;
}

/* ---- what the reader says of them ------------------------------------------------------------------------------ */

/* The shape's own key, else that of another shape. */
static const cw_job_magnet_key *find_key(const char *name, unsigned shape)
{
    const cw_job_magnet_key *found = NULL;

    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        if (strcmp(keys[i].name, name) == 0 && (found == NULL || (keys[i].shapes & shape) != 0))
            found = &keys[i];
    return found;
}

/* Names of a shape's keys in a group ("plate.") or outside groups (""), without the group; and with it where they stand
 * elsewhere. */
static void known_names(unsigned shape, const char *prefix, const char **known)
{
    const size_t length = strlen(prefix);
    int count = 0;

    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        if ((keys[i].shapes & shape) != 0 && strncmp(keys[i].name, prefix, length) == 0 &&
            strchr(keys[i].name + length, '.') == NULL)
            known[count++] = keys[i].name + length;
    if (length == 0) {
        if ((shape & FACED) != 0)
            known[count++] = "plate";
        if ((shape & ALL) != 0)
            known[count++] = "coil";
    }
    known[count] = NULL;
}

static void refuse(cw_reader *reader, const cw_node *node, unsigned shape, const char *shape_word, const char *prefix,
                   const cw_job_magnet_key *key)
{
    const char *known[sizeof keys / sizeof keys[0] + 3], *nearest;
    char expected[250] = "";

    known_names(shape, prefix, known);
    nearest = cw_job__nearest(node->key, known);
    for (int i = 0, used = 0; known[i] != NULL && used < (int)sizeof expected - 40; i++)
        used += snprintf(expected + used, sizeof expected - (size_t)used, "%s%s",
                         i == 0 ? "" : known[i + 1] == NULL ? " or " : ", ", known[i]);
    if (nearest != NULL)
        cw_job__wrong_key(reader, node, expected, "\"%s%.60s\" is not known in magnet. Is \"%s%s\" meant?", prefix,
                          node->key, prefix, nearest);
    else if (key != NULL)
        cw_job__wrong_key(reader, node, expected, "A magnet of the shape %s has no %s%.60s.", shape_word, prefix,
                          node->key);
    else
        cw_job__wrong_key(reader, node, expected, "\"%s%.60s\" is not known in magnet.", prefix, node->key);
}

static const char *type_words(cw_job_key_type type)
{
    return type == CW_KEY_LENGTH ? "a length with its unit" : type == CW_KEY_FORCE ? "a force with its unit"
         : type == CW_KEY_SHARE ? "a share above nothing and up to 100 %" : "a word";
}

/* Whether the entry is of the kind that its key asks for. */
static bool of_type(const cw_job_entry *entry, cw_job_key_type type)
{
    switch (type) {
    case CW_KEY_LENGTH:
        return entry->word == NULL && entry->kind == CW_LENGTH;
    case CW_KEY_FORCE:
        return entry->word == NULL && entry->kind == CW_FORCE;
    case CW_KEY_SHARE:
        return entry->word == NULL && entry->kind == CW_RATIO && entry->value > 0 && entry->value <= 1;
    case CW_KEY_WORD:
    case CW_KEY_IRON:
    case CW_KEY_YES_NO:
    case CW_KEY_FACE:
        break;
    }
    return entry->word != NULL;
}

static void check_value(cw_reader *reader, const cw_node *node, const cw_job_magnet_key *key, const char *name)
{
    static const char *const yes_no[] = { "no", "yes", NULL };
    static const char *const faces[] = { "ground", "machined", "blasted", "painted", "scaled", NULL };
    const cw_job_entry *entry = cw_job_magnet_entry(reader->job, name);
    const char *example = reader->inch_lengths > reader->metric_lengths && key->inch != NULL ? key->inch : key->metric;
    char expected[120];

    if (entry == NULL)
        return;
    snprintf(expected, sizeof expected, "%s, as in %s", type_words(key->type), example);
    if (entry->word != NULL && (key->type == CW_KEY_YES_NO || key->type == CW_KEY_FACE))
        cw_job__word(reader, node, key->type == CW_KEY_FACE ? faces : yes_no);
    else if (!of_type(entry, key->type))
        cw_job__wrong(reader, node, expected, "\"%.60s\" stands where %s should.", node->text, name);
}

static void check_keys(cw_reader *reader, const cw_node *section, unsigned shape, const char *shape_word,
                       const char *prefix)
{
    for (const cw_node *node = section->first; node != NULL; node = node->next) {
        const cw_job_magnet_key *key;
        char name[160];

        if (node->type == CW_NODE_LIST || node->key[0] == '\0')
            continue; /* said already */
        snprintf(name, sizeof name, "%s%.80s", prefix, node->key);
        if (node->type == CW_NODE_MAP && prefix[0] == '\0' &&
            ((strcmp(node->key, "coil") == 0 && (shape & ALL) != 0) || (strcmp(node->key, "plate") == 0 && (shape & FACED) != 0))) {
            snprintf(name, sizeof name, "%.80s.", node->key);
            check_keys(reader, node, shape, shape_word, name);
            continue;
        }
        key = find_key(name, shape);
        if (strspn(node->key, "abcdefghijklmnopqrstuvwxyz_0123456789") != strlen(node->key))
            continue; /* said already */
        if (key == NULL || (key->shapes & shape) == 0)
            refuse(reader, node, shape, shape_word, prefix, key);
        else if (node->type == CW_NODE_SCALAR && !node->empty)
            check_value(reader, node, key, name);
    }
}

void cw_job__check_magnet(cw_reader *reader, const cw_node *section, void *record)
{
    const cw_node *shape = cw_job__find(section, "shape");
    int index;

    (void)record;
    if (shape == NULL) {
        cw_job__wrong_key(reader, section, "pot, plunger, u, e or section", "\"shape\" is missing in magnet.");
        return;
    }
    if (shape->type != CW_NODE_SCALAR || shape->empty)
        return;
    index = cw_job__word(reader, shape, shapes);
    if (index >= 0)
        check_keys(reader, section, 1u << index, shapes[index], "");
}
