/* Files named in files: found beside or among the models, never outside. */
#include "check.h"

#include <sys/stat.h>
#include <unistd.h>

#include "base/file.h"

#define TREE FL_SCRATCH_DIR "/tree"
#define ROOT TREE "/design"
#define MODELS TREE "/installed"

static const fl_folders everywhere = {ROOT, ROOT, MODELS};

static void make_file(const char *file)
{
    fl_error error;
    check_ok(fl_file_write(file, "{}", 2, &error), error);
}

static void make_link(const char *target, const char *link)
{
    unlink(link);
    assert_int_equal(0, symlink(target, link));
}

static int make_tree(void **state)
{
    (void)state;
    fl_error error;
    alarm(20);
    static const char *const folders[] = {ROOT "/models", ROOT "/sub", MODELS "/inner",
                                          TREE "/design-other"};
    for (size_t i = 0; i < sizeof folders / sizeof folders[0]; i++)
        check_ok(fl_folder_make(folders[i], &error), error);
    make_file(ROOT "/a.s2p");
    make_file(ROOT "/models/own.json");
    make_file(ROOT "/models/both.json");
    make_file(ROOT "/sub/b.json");
    make_file(MODELS "/both.json");
    make_file(MODELS "/frame.json");
    make_file(MODELS "/inner/part.json");
    make_file(TREE "/secret");
    make_file(TREE "/design-other/c.json");
    make_link("../secret", ROOT "/leak");
    make_link("..", ROOT "/up");
    make_link("a.s2p", ROOT "/good");
    make_link("loop", ROOT "/loop");
    make_link("../installed/frame.json", ROOT "/across");
    unlink(ROOT "/pipe");
    return mkfifo(ROOT "/pipe", 0600);
}

static void test_found(void **state)
{
    (void)state;
    static const struct {
        const char *name, *beside, *wanted;
        bool installed; /* found by this name without what is beside */
    } rows[] = {
        {"a.s2p", ROOT, ROOT "/a.s2p", false},
        {"./a.s2p", ROOT, ROOT "/a.s2p", false},
        {"sub/../a.s2p", ROOT, ROOT "/a.s2p", false}, /* one file, one name */
        {"../a.s2p", ROOT "/sub", ROOT "/a.s2p", false},
        {"good", ROOT, ROOT "/a.s2p", false},
        {"models/own.json", ROOT, ROOT "/models/own.json", false},
        {"models/both.json", ROOT, ROOT "/models/both.json", false}, /* beside comes first */
        {"models/frame.json", ROOT, MODELS "/frame.json", true},
        {"frame.json", ROOT, MODELS "/frame.json", true},
        {"across", ROOT, MODELS "/frame.json", false},
        {"part.json", MODELS "/inner", MODELS "/inner/part.json", false},
        {"../frame.json", MODELS "/inner", MODELS "/frame.json", false},
        {"models/inner/part.json", MODELS "/inner", MODELS "/inner/part.json", true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_arena arena;
        fl_arena_init(&arena);
        fl_error error;
        fl_found found = {NULL, false};
        const fl_folders search = {rows[i].beside, ROOT, MODELS};
        check_ok(fl_path_find(&found, &arena, rows[i].name, &search, &error), error);
        assert_string_equal(rows[i].wanted, found.path);
        if (found.installed != rows[i].installed)
            fail_msg("'%s': installed is %d", rows[i].name, found.installed);
        fl_arena_release(&arena);
    }
}

static void test_refused(void **state)
{
    (void)state;
    static const struct {
        const char *name, *message; /* part of the message */
    } rows[] = {
        {"", "expected the name of a file"},
        {"/etc/passwd", "found the absolute '/etc/passwd'"},
        {ROOT "/a.s2p", "found the absolute"},
        {"../secret", "leads outside"},
        {"leak", "'leak' leads outside"},
        {"up/secret", "leads outside"},
        {"../design-other/c.json", "leads outside"}, /* begins like the root */
        {"..", "leads outside"},
        {".", "leads outside"},
        {"sub", "'sub' is a folder"},
        {"models/", "is a folder"},
        {"pipe", "'pipe' is a pipe or a device"},
        {"loop", "cannot find 'loop'"},
        {"none.json", "cannot find 'none.json' in '" ROOT "' or '" MODELS "'"},
        {"a.s2p/x", "cannot find"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_arena arena;
        fl_arena_init(&arena);
        fl_error error = {.place = "x"};
        fl_found found = {NULL, false};
        fl_status status = fl_path_find(&found, &arena, rows[i].name, &everywhere, &error);
        if (status != FL_BAD_INPUT || strstr(error.message, rows[i].message) == NULL)
            fail_msg("'%s': status %d, '%s', found '%s'", rows[i].name, (int)status, error.message,
                     found.path != NULL ? found.path : "nothing");
        assert_null(found.path);
        assert_string_equal("", error.place);
        fl_arena_release(&arena);
    }
}

static void test_without_models(void **state)
{
    (void)state;
    const fl_folders without = {ROOT, ROOT, NULL};
    const fl_folders nowhere = {"/no/such", "/no/such", "/none"};
    fl_arena arena;
    fl_arena_init(&arena);
    fl_error error;
    fl_found found = {NULL, false};
    check_ok(fl_path_find(&found, &arena, "a.s2p", &without, &error), error);
    assert_int_equal(FL_BAD_INPUT, fl_path_find(&found, &arena, "frame.json", &without, &error));
    assert_string_equal("cannot find 'frame.json' in '" ROOT "'", error.message);
    assert_int_equal(FL_BAD_INPUT, fl_path_find(&found, &arena, "across", &without, &error));
    assert_int_equal(FL_BAD_INPUT, fl_path_find(&found, &arena, "x", &nowhere, &error));
    fl_arena_release(&arena);
}

/* The design in the working folder: names stay short. */
static void test_working_folder(void **state)
{
    (void)state;
    const fl_folders here = {".", ".", NULL};
    fl_arena arena;
    fl_arena_init(&arena);
    fl_error error;
    fl_found found = {NULL, false};
    assert_int_equal(0, chdir(ROOT));
    check_ok(fl_path_find(&found, &arena, "./sub/../a.s2p", &here, &error), error);
    assert_string_equal("a.s2p", found.path);
    fl_arena_release(&arena);
}

static void test_long_name(void **state)
{
    (void)state;
    fl_arena arena;
    fl_arena_init(&arena);
    fl_error error;
    fl_found found = {NULL, false};
    char name[20000];
    memset(name, 'n', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    assert_int_equal(FL_BAD_INPUT, fl_path_find(&found, &arena, name, &everywhere, &error));
    for (size_t i = 1; i < sizeof name - 1; i += 2)
        memcpy(name + i - 1, "./", 2);
    assert_int_equal(FL_BAD_INPUT, fl_path_find(&found, &arena, name, &everywhere, &error));
    fl_arena_release(&arena);
}

static void test_parts(void **state)
{
    (void)state;
    static const struct {
        const char *path, *folder, *name;
    } rows[] = {
        {"a.json", ".", "a.json"},    {"x/a.json", "x", "a.json"}, {"/a.json", "/", "a.json"},
        {"x//a.json", "x", "a.json"}, {"x/y/", "x/y", ""},         {"", ".", ""},
        {"./a.json", ".", "a.json"},  {"//a", "/", "a"},
    };
    fl_arena arena;
    fl_arena_init(&arena);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_string_equal(rows[i].folder, fl_path_folder(&arena, rows[i].path));
        assert_string_equal(rows[i].name, fl_path_name(rows[i].path));
    }
    fl_arena_release(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_found),          cmocka_unit_test(test_refused),
        cmocka_unit_test(test_without_models), cmocka_unit_test(test_working_folder),
        cmocka_unit_test(test_long_name),      cmocka_unit_test(test_parts),
    };
    return cmocka_run_group_tests_name("base/locate", tests, make_tree, NULL);
}
