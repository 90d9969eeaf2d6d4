/* Files that a design names, and the names under which a copy of it would look for them. */
#include <unistd.h>

#include "base/file.h"
#include "reading.h"

#define ROOT FL_SCRATCH_DIR "/root"
#define INSTALLED FL_SCRATCH_DIR "/installed"
#define DATA(name, file)                                                                           \
    "{\"name\": \"" name "\", \"kind\": \"measured\", \"side\": \"board\", \"file\": \"" file "\"" \
    "}"
#define USE(name, file) "{\"name\": \"" name "\", \"use\": \"" file "\"}"
#define MODEL(sections) "{\"fairlead\": 1, \"path\": [" sections "]}"

static void make_file(const char *path, const char *text)
{
    fl_error error;
    fl_arena arena;
    fl_arena_init(&arena);
    check_ok(fl_folder_make(fl_path_folder(&arena, path), &error), error);
    check_ok(fl_file_write(path, text, strlen(text), &error), error);
    fl_arena_release(&arena);
}

static int make_tree(void **state)
{
    (void)state;
    make_file(ROOT "/a.s2p", "");
    make_file(ROOT "/parts/b.s2p", "");
    make_file(ROOT "/parts/lead.json", MODEL(DATA("x", "b.s2p") ", " DATA("y", "../a.s2p")));
    make_file(ROOT "/other/b.s2p", "");
    make_file(ROOT "/other/mine.json", MODEL(USE("inner", "models/frame.json")));
    make_file(ROOT "/other/both.json", MODEL(DATA("x", "b.s2p")));
    make_file(INSTALLED "/frame.json", MODEL(DATA("x", "frame.s2p")));
    make_file(INSTALLED "/frame.s2p", "");
    unlink(ROOT "/parts/link.json");
    return symlink("../other/both.json", ROOT "/parts/link.json");
}

/* A '!' stands for a problem, a '*' for an installed model. */
static const struct {
    const char *sections, *names;
} rows[] = {
    {DATA("d", "a.s2p"), "a.s2p "},
    {DATA("d", "./a.s2p") ", " DATA("e", "parts//../a.s2p"), "a.s2p a.s2p "},
    {DATA("d", "a.s2p") ", " DATA("e", "a.s2p"), "a.s2p "},
    {DATA("d", "../root/a.s2p"), "../root/a.s2p! "},
    {DATA("d", "parts/../../root/a.s2p"), "parts/../../root/a.s2p! "},
    {USE("u", "parts/lead.json"), "parts/lead.json parts/b.s2p a.s2p "},
    {USE("u", "parts/lead.json") ", " USE("v", "parts/lead.json"),
     "parts/lead.json parts/b.s2p a.s2p "},
    {USE("u", "models/frame.json"), "models/frame.json* "},
    {USE("u", "frame.json"), "frame.json* "},
    {USE("u", "other/mine.json"), "other/mine.json other/models/frame.json* "},
    /* What the link leads to looks beside itself, its copy beside the copy. */
    {USE("u", "parts/link.json"), "parts/link.json parts/b.s2p "},
    {USE("u", "parts/link.json") ", " USE("v", "other/both.json"),
     "parts/link.json parts/b.s2p other/both.json other/b.s2p "},
    {USE("u", "parts/link.json") ", " DATA("d", "parts/b.s2p"), "parts/link.json parts/b.s2p "},
    {USE("u", "parts/lead.json") ", " USE("v", "parts/link.json"),
     "parts/lead.json parts/b.s2p a.s2p parts/link.json "},
};

static fl_design *read_design(const char *sections)
{
    char text[2000];
    fl_design *design = NULL;
    fl_error error;
    snprintf(text, sizeof text, "%s%s%s", SAMPLE_HEAD "\"path\": [", sections, "]}");
    fl_design_source source = sample_source(text, strlen(text), ROOT "/design.json");
    source.models_folder = INSTALLED;
    check_ok(fl_design_resolve(&design, &source, &error), error);
    return design;
}

static void names_of_a_copy(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        char names[1000] = "";
        fl_design *design = read_design(rows[i].sections);
        for (const fl_named_file *file = design->files; file != NULL; file = file->next)
            snprintf(names + strlen(names), sizeof names - strlen(names), "%s%s%s ", file->name,
                     file->problem ? "!" : "", file->installed ? "*" : "");
        if (strcmp(names, rows[i].names) != 0)
            print_error("row %zu: wanted '%s', got '%s'\n", i, rows[i].names, names);
        assert_string_equal(names, rows[i].names);
        fl_design_release(design);
    }
}

/* Where each is, and the steps that lead to its name. */
static void paths_of_files(void **state)
{
    (void)state;
    fl_design *design = read_design(USE("u", "parts/lead.json"));
    const fl_named_file *last = design->files->next->next;
    assert_string_equal(design->files->path, ROOT "/parts/lead.json");
    assert_string_equal(last->path, ROOT "/a.s2p");
    assert_string_equal(last->written, "parts/../a.s2p");
    assert_null(last->next);
    fl_design_release(design);
}

/* Ports name files as well, and so do sections of a single case. */
static void ports_and_cases(void **state)
{
    (void)state;
    static const char text[] =
        SAMPLE_TOP "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": {\"file\": "
                   "\"a.s2p\", \"port\": 1}}, " SAMPLE_PATH
                   ", \"cases\": [{\"name\": \"x\"}, {\"name\": \"y\", \"replace\": {\"line\": "
                   "{\"use\": \"parts/lead.json\", \"side\": \"board\"}}}]}";
    fl_design *design = NULL;
    fl_error error;
    const fl_design_source source = sample_source(text, sizeof text - 1, ROOT "/design.json");
    check_ok(fl_design_resolve(&design, &source, &error), error);
    assert_string_equal(design->files->name, "a.s2p");
    assert_string_equal(design->files->next->name, "parts/lead.json");
    fl_design_release(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_of_a_copy),
        cmocka_unit_test(paths_of_files),
        cmocka_unit_test(ports_and_cases),
    };
    return cmocka_run_group_tests_name("design/named", tests, make_tree, NULL);
}
