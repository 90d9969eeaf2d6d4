/* Files that a design names, kept in its result. */
#include <unistd.h>

#include "asked.h"
#include "base/file.h"

#define DATA FL_SCRATCH_DIR "/data.s2p"
#define GONE FL_SCRATCH_DIR "/gone.s2p"
#define LARGE FL_SCRATCH_DIR "/large.s2p"

/* A NUL among the bytes, as in any file. */
static const char bytes[] = "a\0b";

static fl_named_file named[] = {
    {.name = "data.s2p", .written = "./data.s2p", .path = DATA},
    {.name = "again.s2p", .written = "again.s2p", .path = DATA},
    {.name = "frame.json", .written = "frame.json", .path = DATA, .installed = true},
    {.name = "gone.s2p", .written = "gone.s2p", .path = GONE},
    {.name = "large.s2p", .written = "large.s2p", .path = LARGE},
    {.name = "../x", .written = "../x", .path = DATA, .problem = "leads out"}};
enum { NAMED = sizeof named / sizeof named[0] };

static int make_files(void **state)
{
    (void)state;
    fl_error error;
    check_ok(fl_file_write(DATA, bytes, sizeof bytes - 1, &error), error);
    check_ok(fl_file_write(LARGE, "", 0, &error), error);
    unlink(GONE);
    for (size_t i = 0; i + 1 < NAMED; i++)
        named[i].next = &named[i + 1];
    return truncate(LARGE, (64 << 20) + 1);
}

static void lists_files_at_once(void **state)
{
    (void)state;
    asked a;
    asked_read(&a, asked_text, "size");
    assert_int_equal(a.result->file_count, 0);
    assert_string_equal(a.result->folder, ".");
    a.design->files = named;
    fl_result *r = NULL;
    fl_error error;
    check_ok(fl_result_new(&r, "size", &a.study, &error), error);
    assert_int_equal(r->file_count, NAMED);
    for (size_t i = 0; i < NAMED; i++) {
        assert_string_equal(r->files[i].name, named[i].name);
        assert_string_equal(r->files[i].written, named[i].written);
        assert_string_equal(r->files[i].path, named[i].path);
        assert_int_equal(r->files[i].installed, named[i].installed);
        assert_null(r->files[i].text);
    }
    assert_ptr_not_equal(r->files[0].name, named[0].name);
    fl_result_free(r);
    fl_result_free(a.result);
    asked_forget(&a);
}

static void keeps_bytes(void **state)
{
    (void)state;
    asked a;
    fl_result *r = NULL;
    fl_error error;
    asked_read(&a, asked_text, "size");
    a.design->files = named;
    check_ok(fl_result_new(&r, "size", &a.study, &error), error);
    fl_result_free(a.result);
    asked_forget(&a);
    check_ok(fl_result_keep_files(r, &error), error);
    check_ok(fl_file_write(DATA, "changed", 7, &error), error);
    assert_int_equal(r->files[0].length, sizeof bytes - 1);
    assert_memory_equal(r->files[0].text, bytes, sizeof bytes - 1);
    assert_ptr_equal(r->files[1].text, r->files[0].text); /* one file, kept once */
    assert_null(r->files[2].text);
    assert_null(r->files[2].problem);
    assert_null(r->files[3].text);
    assert_non_null(strstr(r->files[3].problem, "cannot be opened"));
    assert_null(r->files[4].text);
    assert_string_equal(r->files[4].problem, "it is over 64 MiB");
    assert_string_equal(r->files[5].problem, "leads out");
    fl_result_free(r);
    unlink(LARGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(lists_files_at_once),
                                       cmocka_unit_test(keeps_bytes)};
    return cmocka_run_group_tests_name("result/files", tests, make_files, NULL);
}
