/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coilwright/files.h"

#include <dirent.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

/* Each test works in a new folder of its own, entered and removed with what the test left in it. */
typedef struct place {
    char folder[64];
    int before;
} place;

static int enter(void **state)
{
    place *here = malloc(sizeof *here);

    strcpy(here->folder, "coilwright-files-XXXXXX");
    here->before = open(".", O_RDONLY);
    if (mkdtemp(here->folder) == NULL || chdir(here->folder) != 0)
        return -1;
    *state = here;
    return 0;
}

static int count_entries(const char *folder, bool remove_them)
{
    DIR *entries = opendir(folder);
    struct dirent *entry;
    int count = 0;

    while ((entry = readdir(entries)) != NULL) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        count++;
        if (remove_them && unlinkat(dirfd(entries), entry->d_name, 0) != 0) {
            char *inner = cw_path_join(folder, entry->d_name);

            count_entries(inner, true);
            rmdir(inner);
            cw_free(inner);
        }
    }
    closedir(entries);
    return count;
}

static int leave(void **state)
{
    place *here = *state;

    count_entries(".", true);
    if (fchdir(here->before) != 0 || rmdir(here->folder) != 0)
        return -1;
    close(here->before);
    free(here);
    return 0;
}

static void check_content(const char *path, const char *right, size_t right_length)
{
    char *content = NULL;
    size_t length = 0;
    cw_error error;

    assert_int_equal(cw_file_read(path, 1 << 20, &content, &length, &error), CW_OK);
    assert_int_equal(length, right_length);
    assert_memory_equal(content, right, right_length);
    assert_int_equal(content[length], '\0');
    cw_free(content);
}

static void what_is_written_is_read_back_bytes_and_all(void **state)
{
    static const char bytes[] = "a\0b\r\n\xFF";
    cw_error error;

    (void)state;
    assert_int_equal(cw_file_write("x", bytes, sizeof bytes, &error), CW_OK);
    check_content("x", bytes, sizeof bytes);
    assert_int_equal(cw_file_write("empty", NULL, 0, &error), CW_OK);
    check_content("empty", "", 0);
    assert_int_equal(count_entries(".", false), 2);
}

static void check_unread(const char *path, size_t most, cw_status right, const char *sentence)
{
    char *content = (char *)1;
    size_t length = 77;
    cw_error error;

    assert_int_equal(cw_file_read(path, most, &content, &length, &error), right);
    assert_null(content);
    assert_int_equal(length, 77);
    assert_string_equal(error.file, path);
    if (strstr(error.text, sentence) == NULL)
        fail_msg("%s: %s", path, error.text);
}

static void what_cannot_be_read_is_refused_with_a_reason(void **state)
{
    (void)state;
    check_unread("nothing.yaml", 100, CW_BAD_INPUT, "no such file");
    check_unread(".", 100, CW_BAD_INPUT, "is a folder");
    check_unread("", 100, CW_BAD_INPUT, "no such file");
    assert_int_equal(cw_file_write("x", "12345678901", 11, NULL), CW_OK);
    check_unread("x/y", 100, CW_BAD_INPUT, "a file and not a folder");
    check_unread("x", 10, CW_BAD_INPUT, "larger");
    check_unread("/dev/zero", 100000, CW_BAD_INPUT, "larger");
    check_content("x", "12345678901", 11);
    if (geteuid() != 0) { /* nothing is closed to root */
        assert_int_equal(chmod("x", 0), 0);
        check_unread("x", 100, CW_BAD_INPUT, "no right");
    }
}

static void check_unwritten(const char *path, cw_status right, const char *sentence)
{
    cw_error error;

    assert_int_equal(cw_file_write(path, "new", 3, &error), right);
    assert_string_equal(error.file, path);
    if (strstr(error.text, sentence) == NULL)
        fail_msg("%s: %s", path, error.text);
    assert_int_equal(cw_file_write(path, "new", 3, NULL), right);
}

static void what_cannot_be_written_is_refused_and_leaves_nothing(void **state)
{
    char name[300];

    (void)state;
    check_unwritten("missing/x", CW_BAD_INPUT, "no such file or folder");
    check_unwritten(".", CW_BAD_INPUT, "is a folder");
    check_unwritten("", CW_BAD_INPUT, "no such");
    memset(name, 'n', sizeof name);
    name[sizeof name - 1] = '\0';
    assert_int_equal(cw_file_write(name, "new", 3, NULL), CW_BAD_INPUT);
    check_unwritten("/dev/full", CW_FAILED, "disk is full");
    assert_int_equal(count_entries(".", false), 0);
}

/* In a child, since the limit holds for a whole process. */
static int write_under_a_limit(void)
{
    char *large = calloc(1, 100000);
    struct rlimit limit = { 50000, 50000 };
    cw_error error;
    cw_status status;

    signal(SIGXFSZ, SIG_IGN);
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0)
        return 10;
    status = cw_file_write("x", large, 100000, &error);
    free(large);
    if (status != CW_FAILED)
        return 11;
    return strstr(error.text, "larger than the system allows") != NULL ? 0 : 12;
}

static void a_disk_that_takes_only_half_leaves_the_old_file_whole(void **state)
{
    int status = -1;
    pid_t child;

    (void)state;
    assert_int_equal(cw_file_write("x", "old", 3, NULL), CW_OK);
    child = fork();
    if (child == 0)
        _exit(write_under_a_limit());
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
    check_content("x", "old", 3);
    assert_int_equal(count_entries(".", false), 1);
}

static void rights_and_links_of_the_old_file_are_kept(void **state)
{
    struct stat about;

    (void)state;
    assert_int_equal(cw_file_write("x", "old", 3, NULL), CW_OK);
    assert_int_equal(chmod("x", 0640), 0);
    assert_int_equal(symlink("x", "link"), 0);
    assert_int_equal(cw_file_write("link", "new", 3, NULL), CW_OK);
    check_content("x", "new", 3);
    assert_int_equal(lstat("link", &about), 0);
    assert_true(S_ISLNK(about.st_mode));
    assert_int_equal(stat("x", &about), 0);
    assert_int_equal(about.st_mode & 0777, 0640);
}

static void folders_are_made_with_those_above_them(void **state)
{
    cw_error error;

    (void)state;
    assert_int_equal(cw_folder_make("a/b//c/", &error), CW_OK);
    assert_int_equal(cw_folder_make("a/b/c", &error), CW_OK);
    assert_int_equal(cw_file_write("a/b/c/x", "new", 3, &error), CW_OK);
    assert_int_equal(cw_folder_make("a/b/c/x", &error), CW_BAD_INPUT);
    assert_non_null(strstr(error.text, "a file stands under that name"));
    assert_int_equal(cw_folder_make("a/b/c/x/y", &error), CW_BAD_INPUT);
    assert_int_equal(cw_folder_make("", &error), CW_BAD_INPUT);
}

static void memory_that_runs_out_is_told(void **state)
{
    char *content = NULL;
    size_t length;
    cw_status status = CW_NO_MEMORY;

    (void)state;
    assert_int_equal(cw_file_write("x", "some words", 10, NULL), CW_OK);
    for (long granted = 0; status == CW_NO_MEMORY; granted++) {
        cw_memory_fail_after(granted);
        status = cw_file_read("x", 100, &content, &length, NULL);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK || content == NULL);
    }
    assert_int_equal(status, CW_OK);
    cw_free(content);
    cw_memory_fail_after(0);
    assert_null(cw_path_join("a", "b"));
    cw_memory_fail_after(-1);
}

static void paths_join_with_one_stroke(void **state)
{
    static const char *rows[][3] = { { "a", "b", "a/b" }, { "a/", "b", "a/b" }, { "", "b", "b" }, { "/", "b", "/b" } };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *joined = cw_path_join(rows[i][0], rows[i][1]);

        assert_string_equal(joined, rows[i][2]);
        cw_free(joined);
    }
}

/* Two processes count up the same file: what one has read is what it writes over. */
static int count_up(void)
{
    for (int i = 0; i < 40; i++) {
        char *content = NULL, number[16];
        size_t length;
        int held;

        if (cw_file_hold("count", &held, NULL) != CW_OK || cw_file_read("count", 16, &content, &length, NULL) != CW_OK)
            return 1;
        snprintf(number, sizeof number, "%d", atoi(content) + 1);
        cw_free(content);
        if (cw_file_write("count", number, strlen(number), NULL) != CW_OK)
            return 2;
        cw_file_let_go(&held);
    }
    return 0;
}

static void a_held_file_is_changed_by_one_at_a_time(void **state)
{
    pid_t children[2];
    char *content;
    size_t length;
    int held, status;

    (void)state;
    assert_int_equal(cw_file_hold("count", &held, NULL), CW_BAD_INPUT); /* it is not there */
    assert_int_equal(held, -1);
    assert_int_equal(cw_file_write("count", "0", 1, NULL), CW_OK);
    for (int i = 0; i < 2; i++) {
        children[i] = fork();
        if (children[i] == 0)
            _exit(count_up());
    }
    for (int i = 0; i < 2; i++) {
        assert_int_equal(waitpid(children[i], &status, 0), children[i]);
        assert_int_equal(status, 0);
    }
    assert_int_equal(cw_file_read("count", 16, &content, &length, NULL), CW_OK);
    assert_string_equal(content, "80");
    cw_free(content);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_is_written_is_read_back_bytes_and_all, enter, leave),
        cmocka_unit_test_setup_teardown(what_cannot_be_read_is_refused_with_a_reason, enter, leave),
        cmocka_unit_test_setup_teardown(what_cannot_be_written_is_refused_and_leaves_nothing, enter, leave),
        cmocka_unit_test_setup_teardown(a_disk_that_takes_only_half_leaves_the_old_file_whole, enter, leave),
        cmocka_unit_test_setup_teardown(rights_and_links_of_the_old_file_are_kept, enter, leave),
        cmocka_unit_test_setup_teardown(a_held_file_is_changed_by_one_at_a_time, enter, leave),
        cmocka_unit_test_setup_teardown(folders_are_made_with_those_above_them, enter, leave),
        cmocka_unit_test_setup_teardown(memory_that_runs_out_is_told, enter, leave),
        cmocka_unit_test(paths_join_with_one_stroke),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
