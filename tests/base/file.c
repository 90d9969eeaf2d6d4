/* Files whole or not at all: links, modes, pipes, limits, and a write that fails half-way. */
#include "check.h"

#include <dirent.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/file.h"

#define FOLDER FL_SCRATCH_DIR "/file"

static size_t count_entries(const char *folder)
{
    size_t count = 0;
    DIR *open = opendir(folder);
    assert_non_null(open);
    for (const struct dirent *entry = readdir(open); entry != NULL; entry = readdir(open))
        count++;
    closedir(open);
    return count - 2; /* "." and ".." */
}

static void remove_entries(const char *folder)
{
    DIR *open = opendir(folder);
    if (open == NULL)
        return;
    char path[1024];
    for (const struct dirent *entry = readdir(open); entry != NULL; entry = readdir(open)) {
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (entry->d_name[0] != '.' || entry->d_name[1] == 'f')
            remove(path);
    }
    closedir(open);
}

/* Each test begins with an empty folder. A wait on a pipe ends in an alarm. */
static int set_up(void **state)
{
    (void)state;
    fl_error error;
    alarm(20);
    remove_entries(FOLDER);
    return fl_folder_make(FOLDER, &error) == FL_OK ? 0 : -1;
}

static void write_text(const char *file, const char *text)
{
    fl_error error;
    check_ok(fl_file_write(file, text, strlen(text), &error), error);
}

static void check_text(const char *file, const char *wanted)
{
    fl_error error;
    char *text = NULL;
    size_t length = 0;
    check_ok(fl_file_read(&text, &length, file, 1000000, &error), error);
    assert_int_equal(strlen(wanted), length);
    assert_string_equal(wanted, text); /* with its NUL */
    fl_memory_free(text);
}

static void check_refused(const char *file, size_t limit, fl_status wanted, const char *message)
{
    fl_error error;
    char *text = NULL;
    size_t length = 77;
    assert_int_equal(wanted, fl_file_read(&text, &length, file, limit, &error));
    assert_null(text);
    assert_int_equal(77, length);
    assert_string_equal(file, error.place);
    assert_string_equal(message, error.message);
}

static void test_write_and_read(void **state)
{
    (void)state;
    write_text(FOLDER "/a", "first");
    check_text(FOLDER "/a", "first");
    write_text(FOLDER "/a", "the second is longer");
    check_text(FOLDER "/a", "the second is longer");
    write_text(FOLDER "/a", "");
    check_text(FOLDER "/a", "");
    assert_int_equal(1, count_entries(FOLDER));
}

static void test_binary(void **state)
{
    (void)state;
    fl_error error;
    static const char bytes[] = {'a', 0, '\n', (char)0xFF, 'z'};
    char *text = NULL;
    size_t length = 0;
    check_ok(fl_file_write(FOLDER "/b", bytes, sizeof bytes, &error), error);
    check_ok(fl_file_read(&text, &length, FOLDER "/b", sizeof bytes, &error), error);
    assert_int_equal(sizeof bytes, length);
    assert_memory_equal(bytes, text, sizeof bytes);
    fl_memory_free(text);
}

static void test_limit(void **state)
{
    (void)state;
    write_text(FOLDER "/five", "12345");
    check_refused(FOLDER "/five", 4, FL_BAD_INPUT, "expected at most 4 bytes, found more");
    check_refused(FOLDER "/five", 0, FL_BAD_INPUT, "expected at most 0 bytes, found more");
}

/* A file whose size is not known beforehand. */
static void test_no_size(void **state)
{
    (void)state;
    fl_error error;
    char *text = NULL;
    size_t length = 0;
    if (access("/proc/self/status", R_OK) != 0)
        skip();
    check_ok(fl_file_read(&text, &length, "/proc/self/status", 1000000, &error), error);
    assert_true(length > 100);
    assert_int_equal(strlen(text), length);
    fl_memory_free(text);
    assert_int_equal(FL_BAD_INPUT, fl_file_read(&text, &length, "/proc/self/status", 100, &error));
}

static void test_not_a_file(void **state)
{
    (void)state;
    assert_int_equal(0, mkfifo(FOLDER "/pipe", 0600));
    check_refused(FOLDER "/pipe", 100, FL_IO, "expected a file, found a pipe or a device");
    check_refused("/dev/zero", 100, FL_IO, "expected a file, found a pipe or a device");
    check_refused(FOLDER, 100, FL_IO, "expected a file, found a folder");
    check_refused(FOLDER "/none", 100, FL_IO, "cannot be opened: no such file or directory");
    check_refused(FOLDER "/pipe/x", 100, FL_IO, "cannot be opened: not a directory");
    check_refused("", 100, FL_IO, "cannot be opened: no such file or directory");
    fl_error error;
    static const char *const targets[] = {FOLDER "/pipe",    "/dev/full",   FOLDER,
                                          FOLDER "/no/file", FOLDER "/no/", ""};
    for (size_t i = 0; i < sizeof targets / sizeof targets[0]; i++) {
        error.status = FL_OK;
        if (fl_file_write(targets[i], "x", 1, &error) != FL_IO)
            fail_msg("'%s' was written", targets[i]);
        assert_string_equal(targets[i], error.place);
        assert_true(strlen(error.message) > 10);
    }
    assert_int_equal(1, count_entries(FOLDER));
}

static void test_mode_kept(void **state)
{
    (void)state;
    struct stat status;
    mode_t mask = umask(022);
    write_text(FOLDER "/m", "1");
    assert_int_equal(0, stat(FOLDER "/m", &status));
    assert_int_equal(0644, status.st_mode & 0777);
    assert_int_equal(0, chmod(FOLDER "/m", 0640));
    write_text(FOLDER "/m", "2");
    assert_int_equal(0, stat(FOLDER "/m", &status));
    assert_int_equal(0640, status.st_mode & 0777);
    umask(mask);
}

static void test_link_kept(void **state)
{
    (void)state;
    struct stat status;
    write_text(FOLDER "/real", "1");
    assert_int_equal(0, symlink("real", FOLDER "/link"));
    write_text(FOLDER "/link", "2");
    assert_int_equal(0, lstat(FOLDER "/link", &status));
    assert_true(S_ISLNK(status.st_mode));
    check_text(FOLDER "/real", "2");
}

/* Names that other writers hold are passed over and left alone. */
static void test_name_taken(void **state)
{
    (void)state;
    char taken[256];
    snprintf(taken, sizeof taken, FOLDER "/.fairlead-%ld-0", (long)getpid());
    FILE *other = fopen(taken, "w");
    assert_non_null(other);
    fputs("other", other);
    fclose(other);
    write_text(FOLDER "/n", "mine");
    check_text(FOLDER "/n", "mine");
    check_text(taken, "other");
    assert_int_equal(2, count_entries(FOLDER));
}

/* The disk ends half-way: the old file stays as it was, and nothing is left beside it. */
static void test_write_fails(void **state)
{
    (void)state;
    fl_error error;
    enum { LENGTH = 100000 };
    char *text = malloc(LENGTH);
    assert_non_null(text);
    memset(text, 'x', LENGTH);
    write_text(FOLDER "/old", "old");
    struct rlimit before;
    assert_int_equal(0, getrlimit(RLIMIT_FSIZE, &before));
    signal(SIGXFSZ, SIG_IGN);
    struct rlimit small = {.rlim_cur = 5000, .rlim_max = before.rlim_max};
    assert_int_equal(0, setrlimit(RLIMIT_FSIZE, &small));
    fl_status old = fl_file_write(FOLDER "/old", text, LENGTH, &error);
    fl_status new = fl_file_write(FOLDER "/new", text, LENGTH, NULL);
    assert_int_equal(0, setrlimit(RLIMIT_FSIZE, &before));
    free(text);
    assert_int_equal(FL_IO, old);
    assert_int_equal(FL_IO, new);
    assert_string_equal("cannot be written: file too large", error.message);
    check_text(FOLDER "/old", "old");
    assert_int_equal(1, count_entries(FOLDER));
}

static void test_folder_make(void **state)
{
    (void)state;
    fl_error error;
    rmdir(FL_SCRATCH_DIR "/deep/a/b");
    rmdir(FL_SCRATCH_DIR "/deep/a");
    check_ok(fl_folder_make(FL_SCRATCH_DIR "/deep//a/b/", &error), error);
    check_ok(fl_folder_make(FL_SCRATCH_DIR "/deep/a/b", &error), error);
    check_ok(fl_folder_make("/", &error), error);
    check_ok(fl_folder_make(".", &error), error);
    assert_int_equal(0, count_entries(FL_SCRATCH_DIR "/deep/a/b"));
    write_text(FOLDER "/file", "x");
    static const struct {
        const char *folder, *message;
    } rows[] = {
        {FOLDER "/file", "expected a folder, found a file of that name"},
        {FOLDER "/file/below", "expected a folder, found a file of that name"},
        {"", "cannot be made: no such file or directory"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(FL_IO, fl_folder_make(rows[i].folder, &error));
        assert_string_equal(rows[i].message, error.message);
    }
}

/* One file by whatever path; equal bytes do not make two files one. */
static void test_same(void **state)
{
    (void)state;
    write_text(FOLDER "/a", "x");
    write_text(FOLDER "/b", "x");
    assert_int_equal(0, symlink("a", FOLDER "/link"));
    assert_true(fl_file_there(FOLDER) && fl_file_there(FOLDER "/link"));
    assert_false(fl_file_there(FOLDER "/none"));
    assert_true(fl_file_same(FOLDER "/a", FOLDER "/../file/a"));
    assert_true(fl_file_same(FOLDER "/a", FOLDER "/link"));
    assert_true(fl_file_same(FOLDER, FOLDER "/."));
    assert_false(fl_file_same(FOLDER "/a", FOLDER "/b"));
    assert_false(fl_file_same(FOLDER "/a", FOLDER "/none"));
    assert_false(fl_file_same(FOLDER "/none", FOLDER "/none"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(test_write_and_read, set_up),
        cmocka_unit_test_setup(test_binary, set_up),
        cmocka_unit_test_setup(test_limit, set_up),
        cmocka_unit_test_setup(test_no_size, set_up),
        cmocka_unit_test_setup(test_not_a_file, set_up),
        cmocka_unit_test_setup(test_mode_kept, set_up),
        cmocka_unit_test_setup(test_link_kept, set_up),
        cmocka_unit_test_setup(test_name_taken, set_up),
        cmocka_unit_test_setup(test_write_fails, set_up),
        cmocka_unit_test_setup(test_folder_make, set_up),
        cmocka_unit_test_setup(test_same, set_up),
    };
    return cmocka_run_group_tests_name("base/file", tests, NULL, NULL);
}
