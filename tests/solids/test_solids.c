/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random formers as solids, each against three things outside it: the sum of its volume by integrals, the kernel that
 * reads the STEP file back, and the triangles of its STL as they stand in the file. CW_FORMERS=200 for the long run. */
#define _DEFAULT_SOURCE /* mkstemps */
#include "coilwright/solids.h"

#include <gmshc.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cmocka.h>

/* ---- random formers -------------------------------------------------------------------------------------------- */

static uint64_t seed = 20261125;

static double between(double low, double high)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(seed >> 11) / 9007199254740992.0;
}

static bool chance(double probability)
{
    return between(0, 1) < probability;
}

static void random_window(cw_window *w)
{
    w->shape = (cw_shape)(int)between(0, 2.999);
    w->inner_m[0] = between(14e-3, 130e-3);
    w->inner_m[1] = w->shape == CW_ROUND ? w->inner_m[0] : between(0.25, 0.98) * w->inner_m[0];
    if (w->inner_m[1] < 12e-3)
        w->inner_m[1] = fmin(12e-3, w->inner_m[0]);
    w->corner_radius_m = w->shape == CW_RECTANGLE ? (chance(0.15) ? 0 : between(1e-3, 0.45 * w->inner_m[1])) : 0;
    w->length_m = between(8e-3, 90e-3);
    w->depth_m = between(3e-3, 25e-3);
}

static void random_plan(cw_former_plan *plan)
{
    static const char *const materials[] = { "pa12", "petg", "abs", "G-11", "acetal", "brass" };

    cw_former_plan_init(plan);
    random_window(&plan->window);
    plan->material = materials[(int)between(0, 5.999)];
    plan->wall_m = between(1.2e-3, 3e-3);
    plan->flange_m = between(1.8e-3, 5e-3);
    plan->sections = chance(0.3) ? (int)between(2, 4.999) : 1;
    plan->wrap_m = chance(0.4) ? between(0.1e-3, 0.5e-3) : NAN;
    plan->side_wrap_m = chance(0.4) ? between(0.1e-3, 0.5e-3) : NAN;
    plan->rim_m = chance(0.4) ? between(0.2e-3, 3e-3) : NAN;
    plan->fillet_m = chance(0.3) ? between(0.2e-3, 1e-3) : NAN;
    plan->slot_m = chance(0.15) ? 0 : between(1.5e-3, 3e-3);
    plan->finish = (cw_finish_side)(int)between(0, 2.999);
    plan->pins = chance(0.4) ? (chance(0.5) ? 2 : 4) : 0;
    plan->pin_m = between(0.6e-3, 1e-3);
    plan->tapes = chance(0.3) ? (chance(0.5) ? 2 : 4) : 0;
    plan->tape_m = between(3e-3, 10e-3);
    plan->split = chance(0.3);
}

/* One that can be made; what cannot is drawn again. */
static void random_former(cw_former *former)
{
    cw_former_plan plan;

    do
        random_plan(&plan);
    while (cw_former_design(&plan, NULL, former, NULL) != CW_OK);
}

/* ---- outside --------------------------------------------------------------------------------------------------- */

/* Of the helpers that have ended: what a machine that does nothing else would take. */
static double helpers_s(void)
{
    struct rusage use;

    getrusage(RUSAGE_CHILDREN, &use);
    return (double)(use.ru_utime.tv_sec + use.ru_stime.tv_sec) +
           1e-6 * (double)(use.ru_utime.tv_usec + use.ru_stime.tv_usec);
}

/* Volumes of the solids in a STEP file, as the kernel reads it back; returns how many. The kernel talks on standard
 * output, where our results go. */
static size_t read_back(const char *step, size_t length, double volume_mm3[CW_SOLIDS_MOST])
{
    char path[] = "read-back-XXXXXX.step";
    const int file = mkstemps(path, 5);
    int *solids = NULL, failed, kept = dup(STDOUT_FILENO);
    size_t count = 0;

    assert_true(file >= 0 && write(file, step, length) == (ssize_t)length);
    close(file);
    fflush(stdout);
    assert_non_null(freopen("/dev/null", "w", stdout));
    gmshClear(&failed);
    gmshModelOccImportShapes(path, &solids, &count, 1, "", &failed);
    assert_int_equal(failed, 0);
    assert_true(count / 2 <= CW_SOLIDS_MOST);
    for (size_t i = 0; i < count / 2; i++) {
        assert_int_equal(solids[2 * i], 3);
        gmshModelOccGetMass(3, solids[2 * i + 1], &volume_mm3[i], &failed);
        assert_int_equal(failed, 0);
    }
    gmshFree(solids);
    fflush(stdout);
    dup2(kept, STDOUT_FILENO);
    close(kept);
    unlink(path);
    return count / 2;
}

typedef struct facet { float normal[3], corner[3][3]; } facet;

static facet read_facet(const char *stl, size_t i)
{
    facet f;

    memcpy(&f, stl + 84 + 50 * i, sizeof f); /* the tests run on little-endian machines */
    return f;
}

static int by_edge(const void *a, const void *b)
{
    return memcmp(a, b, 6 * sizeof(float));
}

/* Every edge, as the bits of its two corners, stands there exactly once for each direction; by the file alone. */
static void check_watertight(const char *stl, size_t count)
{
    float (*edges)[6] = malloc(3 * count * sizeof *edges), back[6];

    for (size_t i = 0; i < count; i++) {
        const facet f = read_facet(stl, i);

        for (int e = 0; e < 3; e++) {
            memcpy(edges[3 * i + (size_t)e], f.corner[e], sizeof f.corner[e]);
            memcpy(edges[3 * i + (size_t)e] + 3, f.corner[(e + 1) % 3], sizeof f.corner[e]);
            for (int k = 0; k < 6; k++)
                edges[3 * i + (size_t)e][k] += 0.0f; /* no negative zeros among the bits */
        }
    }
    qsort(edges, 3 * count, sizeof *edges, by_edge);
    for (size_t i = 0; i < 3 * count; i++) {
        assert_true(i == 0 || by_edge(edges[i - 1], edges[i]) != 0);
        memcpy(back, edges[i] + 3, sizeof back / 2);
        memcpy(back + 3, edges[i], sizeof back / 2);
        assert_non_null(bsearch(back, edges, 3 * count, sizeof *edges, by_edge));
    }
    free(edges);
}

/* Volume and size of what stands in the file. */
static double measure_stl(const char *stl, size_t count, double size[3])
{
    double sum = 0, low[3] = { INFINITY, INFINITY, INFINITY }, high[3] = { -INFINITY, -INFINITY, -INFINITY };

    for (size_t i = 0; i < count; i++) {
        const facet f = read_facet(stl, i);
        const float *a = f.corner[0], *b = f.corner[1], *c = f.corner[2];

        sum += (double)a[0] * ((double)b[1] * c[2] - (double)b[2] * c[1]) +
               (double)a[1] * ((double)b[2] * c[0] - (double)b[0] * c[2]) +
               (double)a[2] * ((double)b[0] * c[1] - (double)b[1] * c[0]);
        for (int e = 0; e < 3; e++)
            for (int k = 0; k < 3; k++) {
                low[k] = fmin(low[k], f.corner[e][k]);
                high[k] = fmax(high[k], f.corner[e][k]);
            }
    }
    for (int k = 0; k < 3; k++)
        size[k] = high[k] - low[k];
    return sum / 6;
}

/* ---- tests ----------------------------------------------------------------------------------------------------- */

static int by_size(const void *a, const void *b)
{
    return (*(const double *)a > *(const double *)b) - (*(const double *)a < *(const double *)b);
}

/* The reader has an order of its own. */
static void check_step(const cw_solid_group *group)
{
    double volume_mm3[CW_SOLIDS_MOST], written_mm3[CW_SOLIDS_MOST];

    assert_non_null(strstr(group->step, "AUTOMOTIVE_DESIGN"));
    assert_int_equal(read_back(group->step, group->step_length, volume_mm3), group->piece_count);
    for (size_t i = 0; i < group->piece_count; i++)
        written_mm3[i] = 1e9 * group->pieces[i].volume_m3;
    qsort(written_mm3, group->piece_count, sizeof *written_mm3, by_size);
    qsort(volume_mm3, group->piece_count, sizeof *volume_mm3, by_size);
    for (size_t i = 0; i < group->piece_count; i++)
        if (!(fabs(volume_mm3[i] - written_mm3[i]) <= 1e-6 * written_mm3[i])) /* what the kernel's own integrals are good to */
            fail_msg("%s: %.12g mm3 written, %.12g mm3 read back", group->name, written_mm3[i], volume_mm3[i]);
}

/* A single piece stands in the file as large as its description says; several stand beside each other. */
static void check_stl(const cw_solid_group *group, double volume_m3, const cw_extent *box)
{
    cw_text stl = { 0 };
    double size[3];
    uint32_t count;

    assert_int_equal(cw_solid_group_stl(group, &stl, NULL), CW_OK);
    memcpy(&count, stl.data + 80, sizeof count);
    assert_int_equal(stl.length, 84 + 50 * (size_t)count);
    check_watertight(stl.data, count);
    assert_true(fabs(1e-9 * measure_stl(stl.data, count, size) - volume_m3) <= 1e-3 * volume_m3);
    for (int k = 0; box != NULL && k < 3; k++)
        assert_true(fabs(size[k] - 1e3 * (box->high_m[k] - box->low_m[k])) <= 1e-3);
    cw_text_clear(&stl);
}

static void check_former(const cw_former *former, const cw_solids *solids)
{
    const int pieces = cw_former_piece_count(former);
    double sum = 0;
    cw_extent box;

    assert_int_equal(solids->former.piece_count, pieces);
    for (int i = 0; i < pieces; i++) {
        assert_true(fabs(solids->former.pieces[i].volume_m3 - cw_former_volume(former, i)) <=
                    1e-3 * cw_former_volume(former, i));
        sum += cw_former_volume(former, i);
    }
    check_step(&solids->former);
    cw_former_box(former, 0, &box);
    check_stl(&solids->former, sum, pieces == 1 ? &box : NULL);
}

static void check_arbor(const cw_arbor *arbor, const cw_solids *solids)
{
    double sum = 0;

    for (int i = 0; i < CW_ARBOR_PIECE_COUNT; i++) {
        const double volume = cw_arbor_volume(arbor, (cw_arbor_piece)i);

        assert_true(fabs(solids->arbor.pieces[i].volume_m3 - volume) <= 1e-3 * volume);
        sum += volume;
    }
    check_step(&solids->arbor);
    check_stl(&solids->arbor, sum, NULL);
}

static void random_formers_are_what_they_are_described_as(void **state)
{
    const char *wanted = getenv("CW_FORMERS");
    const int count = wanted != NULL ? atoi(wanted) : 12;
    double longest = 0, total = 0;

    (void)state;
    for (int i = 0; i < count; i++) {
        cw_former finished, former;
        cw_arbor_plan arbor_plan;
        cw_arbor arbor;
        cw_solids_plan plan = { .former = &former };
        cw_solids *solids;
        cw_error error = { .text = "" };
        double begun, took;

        random_former(&finished);
        if (chance(0.5))
            cw_former_compensate(&finished, &former);
        else
            former = finished;
        cw_arbor_plan_init(&arbor_plan);
        if (cw_arbor_design(&finished, &arbor_plan, NULL, &arbor, NULL) == CW_OK)
            plan.arbor = &arbor;
        begun = helpers_s();
        if (cw_solids_make(&plan, &solids, &error) != CW_OK)
            fail_msg("former %d: %s", i, error.text);
        took = helpers_s() - begun;
        longest = fmax(longest, took);
        total += took;
        check_former(&former, solids);
        if (plan.arbor != NULL)
            check_arbor(&arbor, solids);
        cw_solids_destroy(&solids);
    }
    print_message("# %d formers with their arbors: %.3f s each, %.3f s at most\n", count, total / count, longest);
}

static void the_same_former_gives_the_same_bytes(void **state)
{
    cw_former former;
    cw_solids_plan plan = { .former = &former };
    cw_text files[2][2] = { { { 0 } } };
    char *step[2] = { NULL, NULL };
    cw_error error;

    (void)state;
    random_former(&former);
    for (int run = 0; run < 2; run++) {
        cw_solids *solids;

        if (cw_solids_make(&plan, &solids, &error) != CW_OK)
            fail_msg("%s", error.text);
        assert_int_equal(cw_solid_group_stl(&solids->former, &files[run][0], NULL), CW_OK);
        assert_int_equal(cw_solid_group_3mf(&solids->former, "a <coil> & more", &files[run][1], NULL), CW_OK);
        step[run] = cw_copy_text(solids->former.step, solids->former.step_length);
        cw_solids_destroy(&solids);
    }
    for (int i = 0; i < 2; i++) {
        assert_int_equal(files[0][i].length, files[1][i].length);
        assert_memory_equal(files[0][i].data, files[1][i].data, files[0][i].length);
        cw_text_clear(&files[0][i]);
        cw_text_clear(&files[1][i]);
    }
    assert_string_equal(step[0], step[1]);
    cw_free(step[0]);
    cw_free(step[1]);
}

/* The judge must notice: a description that lies about its flange is refused, not written. */
static void a_solid_that_is_not_the_description_is_refused(void **state)
{
    cw_former former, other;
    cw_solids_plan plan = { .former = &former };
    cw_process *process;
    cw_solids *solids;
    cw_error error;

    (void)state;
    random_former(&former);
    assert_int_equal(cw_solids_start(&plan, &process, NULL), CW_OK);
    other = former;
    other.flange_m += 0.1e-3;
    plan.former = &other;
    assert_int_equal(cw_solids_finish(&plan, &process, &solids, &error), CW_FAILED);
    assert_null(solids);
    assert_non_null(strstr(error.text, "by hand"));
}

static int start(void **state)
{
    int failed;

    (void)state;
    gmshInitialize(0, NULL, 0, &failed);
    gmshOptionSetNumber("General.Terminal", 0, &failed);
    return failed;
}

static int finish(void **state)
{
    int failed;

    (void)state;
    gmshFinalize(&failed);
    return failed;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_formers_are_what_they_are_described_as),
        cmocka_unit_test(the_same_former_gives_the_same_bytes),
        cmocka_unit_test(a_solid_that_is_not_the_description_is_refused),
    };

    return cmocka_run_group_tests(tests, start, finish);
}
