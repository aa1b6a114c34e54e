/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The drawings of former and arbor: nothing touches, every size once, and the same bytes at every run. */
#include "tests/drafting/formers.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>

#define RANDOM_FORMERS 100 /* CW_RANDOM_FORMERS asks for more */

/* As the placing keeps them; a hair less, for the last digit. */
static const double text_gap_mm = 0.8 - 1e-6, line_gap_mm = 0.5 - 1e-6;

static void nothing_touches(const cw_drafting *drawing, const char *name, unsigned long seed)
{
    char words[CW_DRAFTING_WORDS_MOST] = "";

    if (cw_drafting_clashes(drawing, text_gap_mm, line_gap_mm, words, sizeof words) > 0)
        fail_msg("%s %lu: '%s' touches something", name, seed, words);
}

static cw_drafting *draw_former(const drawn_former *drawn, unsigned long seed)
{
    cw_drafting *drawing = NULL;
    cw_error error = { 0 };

    if (cw_former_drawing_create(&drawn->former, &drawn->setting, &drawing, &error) != CW_OK)
        fail_msg("%s %lu: %s", drawn->name, seed, error.text);
    return drawing;
}

/* NULL where no arbor goes with the former. */
static cw_drafting *draw_arbor(const drawn_former *drawn, cw_arbor *arbor, unsigned long seed)
{
    cw_drafting *drawing = NULL;
    cw_arbor_plan plan;
    cw_error error = { 0 };

    cw_arbor_plan_init(&plan);
    if (cw_arbor_design(&drawn->former, &plan, NULL, arbor, NULL) != CW_OK)
        return NULL;
    if (cw_arbor_drawing_create(arbor, &drawn->former, &drawn->setting, &drawing, &error) != CW_OK)
        fail_msg("%s %lu, arbor: %s", drawn->name, seed, error.text);
    return drawing;
}

/* ---- sizes that must be told ------------------------------------------------------------------------------------- */

/* What a drawing must settle: names and values. */
typedef struct demands {
    struct { char key[64]; double value; } items[160];
    size_t count;
} demands;

static void demand(demands *d, double value, const char *format, ...) CW_PRINTF(3, 4);

static void demand(demands *d, double value, const char *format, ...)
{
    va_list arguments;

    assert_true(d->count < sizeof d->items / sizeof d->items[0]);
    va_start(arguments, format);
    vsnprintf(d->items[d->count].key, sizeof d->items[0].key, format, arguments);
    va_end(arguments);
    d->items[d->count++].value = value;
}

static void demand_outline(demands *d, const cw_outline *outline, cw_shape shape, const char *name)
{
    if (shape == CW_ROUND) {
        demand(d, outline->size_m[0], "%s.d", name);
        return;
    }
    demand(d, outline->size_m[0], "%s.x", name);
    demand(d, outline->size_m[1], "%s.y", name);
    if (outline->corner_m > 0 && fabs(outline->corner_m - fmin(outline->size_m[0], outline->size_m[1]) / 2) > 1e-7)
        demand(d, outline->corner_m, "%s.corner", name);
}

/* A slot lies in the middle, as far beside it as another of its flange on the other side, or by itself. */
static void demand_slots(demands *d, const cw_former_slot *slots, int count, int flange, const char *part)
{
    for (int i = 0; i < count; i++) {
        bool mirrored = false;

        if (flange >= 0 && slots[i].flange != flange)
            continue;
        for (int k = 0; k < count; k++)
            mirrored = mirrored || (k != i && slots[k].flange == slots[i].flange &&
                                    fabs(slots[k].y_m + slots[i].y_m) < 1e-7);
        demand(d, slots[i].width_m, "%sslot%d.width", part, i);
        demand(d, slots[i].floor_m, "%sslot%d.floor", part, i);
        if (mirrored)
            demand(d, 2 * fabs(slots[i].y_m), "%sslot%d.apart", part, i);
        else
            demand(d, fabs(slots[i].y_m), "%sslot%d.y", part, i);
    }
}

static void demand_former(demands *d, const cw_former *f)
{
    demand_outline(d, &f->bore, f->shape, "bore");
    demand_outline(d, &f->tube, f->shape, "tube");
    demand_outline(d, &f->flange, f->shape, "flange");
    demand(d, f->section_m, "section");
    demand(d, f->flange_m, "flange");
    if (f->sections > 1)
        demand(d, f->middle_m, "middle");
    if (f->fillet_m > 0)
        demand(d, f->fillet_m, "fillet");
    demand_slots(d, f->slots, f->slot_count, -1, "");
    for (int i = 0; i < f->pin_count; i++) {
        demand(d, f->pins[i].x_m, "pin%d.x", i);
        demand(d, 2 * fabs(f->pins[i].y_m), "pin%d.apart", i);
    }
    if (f->pin_count > 0)
        demand(d, f->pins[0].diameter_m, "pins.diameter"), demand(d, f->pins[0].depth_m, "pins.depth");
    for (int i = 0; i < f->tape_count; i++)
        demand(d, 2 * fabs(f->tapes[i].x_m), "tape%d.apart", i);
    if (f->tape_count > 0)
        demand(d, f->tape_m, "tape.width"), demand(d, f->tape_depth_m, "tape.depth");
    if (f->split)
        demand(d, f->split_gap_m, "split_gap");
}

static void demand_plate(demands *d, const cw_arbor *a, const cw_outline *outline, double thickness_m, const char *part)
{
    const bool round = fabs(outline->size_m[0] - outline->size_m[1]) < 1e-7 &&
                       fabs(outline->corner_m - outline->size_m[0] / 2) < 1e-7;
    char name[32];

    snprintf(name, sizeof name, "%s.outline", part);
    demand_outline(d, outline, round ? CW_ROUND : CW_RECTANGLE, name);
    demand(d, thickness_m, "%s.thickness", part);
    demand(d, a->screw_hole_m, "%s.hole", part);
    if (a->pin_m > 0 && strcmp(part, "far") != 0)
        demand(d, a->pin_m, "%s.pin", part), demand(d, a->pin_x_m, "%s.pin_x", part);
}

static void demand_arbor(demands *d, const cw_arbor *a)
{
    demand(d, a->shank_m, "spindle.shank");
    demand(d, a->shank_length_m, "spindle.shank_length");
    demand(d, a->collar_m, "spindle.collar");
    demand(d, a->collar_length_m, "spindle.collar_length");
    demand(d, 1e-3 * a->screw, "spindle.screw");
    demand(d, a->screw_pitch_m, "spindle.screw_pitch");
    demand(d, a->tap_drill_m, "spindle.tap_drill");
    demand(d, a->tapped_depth_m, "spindle.tapped_depth");
    if (a->pin_m > 0) {
        demand(d, a->pin_m, "spindle.pin");
        demand(d, a->pin_x_m, "spindle.pin_x");
        demand(d, a->pin_depth_m[0], "spindle.pin_depth");
        demand(d, a->pin_depth_m[1], "plug.pin_depth");
    }
    demand_plate(d, a, &a->cheek, a->cheek_m, "start");
    demand_plate(d, a, &a->plug, a->plug_length_m, "plug");
    demand_plate(d, a, &a->cheek, a->cheek_m, "far");
    demand_slots(d, a->slots, a->slot_count, 0, "start.");
    demand_slots(d, a->slots, a->slot_count, 1, "far.");
}

/* How often the drawing settles a size, and that it tells it right: slots, pins and recesses to half a hundredth of a
 * millimetre or half a thousandth of an inch, as they are rounded to. */
static int times_settled(const cw_drafting *drawing, const char *key, double value, double allowed_m)
{
    const cw_drafting_settled *settled;
    int times = 0;

    for (size_t i = 0; (settled = cw_drafting_settles(drawing, i)) != NULL; i++) {
        const char *at = settled->key;

        while (*at != '\0') {
            size_t length = strcspn(at, " ");

            if (length == strlen(key) && strncmp(at, key, length) == 0) {
                assert_true(fabs(settled->value - value) <= allowed_m);
                times++;
            }
            at += length;
            at += strspn(at, " ");
        }
    }
    return times;
}

static size_t keys_settled(const cw_drafting *drawing)
{
    const cw_drafting_settled *settled;
    size_t count = 0;

    for (size_t i = 0; (settled = cw_drafting_settles(drawing, i)) != NULL; i++)
        for (const char *at = settled->key; *at != '\0'; at++)
            count += at == settled->key || at[-1] == ' ';
    return count;
}

static void each_size_once(const cw_drafting *drawing, const demands *wanted, const drawn_former *drawn,
                           unsigned long seed)
{
    const double grid_m = (drawn->setting.units == CW_INCH_UNITS ? 12.7e-6 : 5e-6) + 1e-9;

    for (size_t i = 0; i < wanted->count; i++) {
        int times = times_settled(drawing, wanted->items[i].key, wanted->items[i].value, grid_m);

        if (times != 1)
            fail_msg("%s %lu: %s is told %d times", drawn->name, seed, wanted->items[i].key, times);
    }
    if (keys_settled(drawing) != wanted->count)
        fail_msg("%s %lu: %zu sizes are told, %zu there are", drawn->name, seed, keys_settled(drawing), wanted->count);
}

static void judge(const drawn_former *drawn, unsigned long seed, int *arbors)
{
    demands former_demands = { .count = 0 }, arbor_demands = { .count = 0 };
    cw_drafting *drawing = draw_former(drawn, seed);
    cw_arbor arbor;

    nothing_touches(drawing, drawn->name, seed);
    demand_former(&former_demands, &drawn->former);
    each_size_once(drawing, &former_demands, drawn, seed);
    cw_drafting_destroy(&drawing);
    drawing = draw_arbor(drawn, &arbor, seed);
    if (drawing == NULL)
        return;
    ++*arbors;
    nothing_touches(drawing, drawn->name, seed);
    demand_arbor(&arbor_demands, &arbor);
    each_size_once(drawing, &arbor_demands, drawn, seed);
    cw_drafting_destroy(&drawing);
}

static void nothing_touches_and_each_size_is_told_once_in_odd_formers(void **state)
{
    int arbors = 0;

    (void)state;
    for (int i = 0; i < ODD_FORMERS; i++) {
        drawn_former drawn;

        assert_true(odd_former(i, &drawn));
        judge(&drawn, (unsigned long)i, &arbors);
    }
    assert_true(arbors >= ODD_FORMERS - 2); /* one has too small a bore */
}

static void nothing_touches_and_each_size_is_told_once_in_random_formers(void **state)
{
    const char *asked = getenv("CW_RANDOM_FORMERS");
    const int wanted = asked != NULL ? atoi(asked) : RANDOM_FORMERS;
    int drawn_count = 0, arbors = 0;

    (void)state;
    for (unsigned long seed = 1; drawn_count < wanted; seed++) {
        drawn_former drawn;

        if (!random_former(seed, &drawn))
            continue;
        drawn_count++;
        judge(&drawn, seed, &arbors);
    }
    assert_true(arbors > wanted / 2);
}

/* ---- files ------------------------------------------------------------------------------------------------------- */

static void write_all(const cw_drafting *drawing, cw_text out[3])
{
    memset(out, 0, 3 * sizeof out[0]);
    assert_int_equal(cw_drafting_write(drawing, CW_PDF, "former", &out[0], NULL), CW_OK);
    assert_int_equal(cw_drafting_write(drawing, CW_SVG, "former", &out[1], NULL), CW_OK);
    assert_int_equal(cw_drafting_write_dxf(drawing, "former", &out[2], NULL), CW_OK);
}

static void the_same_former_gives_the_same_bytes(void **state)
{
    drawn_former drawn;
    cw_text one[3], two[3];

    (void)state;
    assert_true(odd_former(1, &drawn));
    for (int i = 0; i < 2; i++) {
        cw_drafting *drawing = draw_former(&drawn, 0);

        write_all(drawing, i == 0 ? one : two);
        cw_drafting_destroy(&drawing);
    }
    for (int i = 0; i < 3; i++) {
        assert_int_equal(one[i].length, two[i].length);
        assert_memory_equal(one[i].data, two[i].data, one[i].length);
        cw_text_clear(&one[i]);
        cw_text_clear(&two[i]);
    }
}

static void without_memory_nothing_is_left_behind(void **state)
{
    drawn_former drawn;
    cw_arbor_plan plan;
    cw_arbor arbor;
    cw_status status = CW_NO_MEMORY;

    (void)state;
    assert_true(odd_former(0, &drawn));
    cw_arbor_plan_init(&plan);
    assert_int_equal(cw_arbor_design(&drawn.former, &plan, NULL, &arbor, NULL), CW_OK);
    for (long granted = 0; status != CW_OK; granted += 1 + granted / 16) { /* every call at first, then samples */
        cw_drafting *former = NULL, *drawing = NULL;
        cw_text dxf = { 0 };

        cw_memory_fail_after(granted);
        status = cw_former_drawing_create(&drawn.former, &drawn.setting, &former, NULL);
        if (status == CW_OK)
            status = cw_arbor_drawing_create(&arbor, &drawn.former, &drawn.setting, &drawing, NULL);
        if (status == CW_OK)
            status = cw_drafting_write_dxf(drawing, "arbor", &dxf, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || status == CW_NO_MEMORY);
        assert_true(status == CW_OK || dxf.length == 0);
        assert_true(former != NULL || drawing == NULL);
        cw_drafting_destroy(&former);
        cw_drafting_destroy(&drawing);
        cw_text_clear(&dxf);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_touches_and_each_size_is_told_once_in_odd_formers),
        cmocka_unit_test(nothing_touches_and_each_size_is_told_once_in_random_formers),
        cmocka_unit_test(the_same_former_gives_the_same_bytes),
        cmocka_unit_test(without_memory_nothing_is_left_behind),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
