/* The files of a result. */
#include <unistd.h>

#include "base/file.h"
#include "reports/made.h"

static void check_file(const char *folder, const char *name, bool there)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    if ((access(path, F_OK) == 0) != there)
        print_error("%s: wanted it %s\n", path, there ? "there" : "not there");
    assert_true((access(path, F_OK) == 0) == there);
}

static void lists_files(void **state)
{
    (void)state;
    static const struct {
        bool response, sizing, yield, plan, one;
        const char *names;
    } rows[] = {
        {false, false, false, false, false, "result.json\n"},
        {true, false, false, false, true,
         "result.json\nreport.html\nresponse.csv\nresponse.svg\ntransition.s2p\n"},
        {true, false, true, false, true,
         "result.json\nreport.html\nresponse.csv\nsamples.csv\nresponse.svg\ntransition.s2p\n"},
        {true, true, true, true, false,
         "result.json\nreport.html\nresponse.csv\nsamples.csv\nwafers.csv\nresponse."
         "svg\ntransition-one."
         "s2p\ntransition-two."
         "s2p\n"
         "sized.json\n"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        made m;
        fl_report report = {0};
        fl_error error;
        made_head(&m);
        if (rows[i].response)
            made_response(&m);
        if (rows[i].sizing)
            made_sizing(&m);
        if (rows[i].one)
            made_one_case(&m);
        if (rows[i].yield)
            made_yield(&m);
        if (rows[i].plan)
            made_plan(&m);
        check_ok(fl_report_files(&report, &m.result, FL_SCRATCH_DIR "/none", &error), error);
        assert_string_equal(report.text, rows[i].names);
        fl_report_free(&report);
    }
}

static void makes_names_safe(void **state)
{
    (void)state;
    static const struct {
        const char *one, *two, *names;
    } rows[] = {{"a b", "a/b", "transition-a-b.s2p\ntransition-a-b-2.s2p\n"},
                {"x", "X", "transition-x.s2p\ntransition-X-2.s2p\n"},
                {"../../etc", "-_.9", "transition-..-..-etc.s2p\ntransition--_.9.s2p\n"},
                {MADE_WIDE, "", "transition---.s2p\ntransition-.s2p\n"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        made m;
        fl_report report = {0};
        fl_error error;
        made_head(&m);
        made_response(&m);
        m.cases[0].name = rows[i].one;
        m.cases[1].name = rows[i].two;
        check_ok(fl_report_files(&report, &m.result, FL_SCRATCH_DIR "/none", &error), error);
        check_has(report.text, rows[i].names);
        fl_report_free(&report);
    }
}

static void cuts_long_names(void **state)
{
    (void)state;
    made m;
    fl_report report = {0};
    fl_error error;
    made_all(&m);
    made_rename(&m, MADE_LONG);
    check_ok(fl_report_files(&report, &m.result, FL_SCRATCH_DIR "/none", &error), error);
    for (const char *name = report.text; *name; name += strcspn(name, "\n") + 1)
        assert_true(strcspn(name, "\n") < 100);
    check_has(report.text, "l-2.s2p");
    fl_report_free(&report);
}

static void writes_files(void **state)
{
    (void)state;
    static const char folder[] = FL_SCRATCH_DIR "/a/b";
    static const char *const names[] = {"result.json", "response.csv",       "samples.csv",
                                        "sized.json",  "transition-one.s2p", "transition-two.s2p"};
    made m;
    fl_error error;
    made_all(&m);
    check_ok(fl_report_write(&m.result, folder, &error), error);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        check_file(folder, names[i], true);
    char *text = NULL;
    size_t length = 0;
    check_ok(fl_file_read(&text, &length, FL_SCRATCH_DIR "/a/b/sized.json", 100, &error), error);
    assert_string_equal(text, "{\"a\":1}");
    fl_memory_free(text);
}

static void writes_no_more_than_there_is(void **state)
{
    (void)state;
    static const char folder[] = FL_SCRATCH_DIR "/check";
    made m;
    fl_error error;
    made_head(&m);
    check_ok(fl_report_write(&m.result, folder, &error), error);
    check_file(folder, "result.json", true);
    check_file(folder, "response.csv", false);
    check_file(folder, "sized.json", false);
    check_file(folder, "transition.s2p", false);
}

static void names_the_file_at_fault(void **state)
{
    (void)state;
    made m;
    fl_error error = {0};
    made_head(&m);
    check_ok(fl_file_write(FL_SCRATCH_DIR "/plain", "x", 1, &error), error);
    assert_int_equal(fl_report_write(&m.result, FL_SCRATCH_DIR "/plain", &error), FL_IO);
    check_has(error.place, "plain");
}

/** A sized result of a design in folder "home", which names two data files and a model. */
static void made_named(made *m, fl_result_file files[3])
{
    static const char home[] = FL_SCRATCH_DIR "/home";
    fl_error error;
    check_ok(fl_folder_make(FL_SCRATCH_DIR "/home/parts", &error), error);
    check_ok(fl_file_write(FL_SCRATCH_DIR "/home/a.s2p", "old", 3, &error), error);
    check_ok(fl_file_write(FL_SCRATCH_DIR "/frame.json", "f", 1, &error), error);
    made_all(m);
    m->result.folder = home;
    m->result.files = files;
    m->result.file_count = 3;
    files[0] = (fl_result_file){.name = "a.s2p",
                                .written = "steps/../a.s2p",
                                .path = FL_SCRATCH_DIR "/home/a.s2p",
                                .text = "a",
                                .length = 1};
    files[1] = (fl_result_file){.name = "parts/b.s2p",
                                .written = "parts/b.s2p",
                                .path = FL_SCRATCH_DIR "/home/parts/b.s2p",
                                .text = "b",
                                .length = 1};
    files[2] = (fl_result_file){.name = "frame.json",
                                .written = "frame.json",
                                .path = FL_SCRATCH_DIR "/frame.json",
                                .installed = true};
}

/** Names that the result lists for a folder. */
static void check_listed(const made *m, const char *folder, const char *part, bool there)
{
    fl_report report = {0};
    fl_error error;
    check_ok(fl_report_files(&report, &m->result, folder, &error), error);
    if ((strstr(report.text, part) != NULL) != there)
        print_error("%s: '%s' in\n%s", folder, part, report.text);
    assert_true((strstr(report.text, part) != NULL) == there);
    fl_report_free(&report);
}

static void copies_what_the_design_names(void **state)
{
    (void)state;
    static const char folder[] = FL_SCRATCH_DIR "/away";
    made m;
    fl_result_file files[3];
    fl_error error;
    made_named(&m, files);
    for (int again = 0; again < 2; again++) {
        check_ok(fl_report_write(&m.result, folder, &error), error);
        check_listed(&m, folder, "\na.s2p\nparts/b.s2p\nsized.json\n", true);
        check_listed(&m, folder, "frame.json", false);
    }
    check_file(folder, "a.s2p", true);
    check_file(folder, "steps", true);
    check_file(folder, "parts/b.s2p", true);
    check_file(folder, "frame.json", false);
    /* Nothing was sized: no copies. */
    m.result.sized_design = NULL;
    check_ok(fl_report_write(&m.result, FL_SCRATCH_DIR "/plain-away", &error), error);
    check_file(FL_SCRATCH_DIR "/plain-away", "a.s2p", false);
}

/** The design's own folder by another path, and a folder where the file is that of the design. */
static void leaves_the_files_themselves(void **state)
{
    (void)state;
    static const char linked[] = FL_SCRATCH_DIR "/linked";
    made m;
    fl_result_file files[3];
    fl_error error;
    char *text = NULL;
    size_t length = 0;
    made_named(&m, files);
    check_ok(fl_report_write(&m.result, FL_SCRATCH_DIR "/home/../home", &error), error);
    check_listed(&m, FL_SCRATCH_DIR "/home/../home", "two.s2p\nsized.json", true);
    check_listed(&m, FL_SCRATCH_DIR "/home/../home", "a.s2p", false);
    check_file(FL_SCRATCH_DIR "/home", "sized.json", true);
    check_file(FL_SCRATCH_DIR "/home", "parts/b.s2p", false);
    check_ok(fl_folder_make(linked, &error), error);
    unlink(FL_SCRATCH_DIR "/linked/a.s2p");
    check_file(linked, "steps", false);
    check_ok(fl_folder_make(FL_SCRATCH_DIR "/linked/steps", &error), error);
    assert_int_equal(symlink("../home/a.s2p", FL_SCRATCH_DIR "/linked/a.s2p"), 0);
    check_ok(fl_report_write(&m.result, linked, &error), error);
    check_ok(fl_file_read(&text, &length, FL_SCRATCH_DIR "/home/a.s2p", 100, &error), error);
    assert_string_equal(text, "old");
    fl_memory_free(text);
    rmdir(FL_SCRATCH_DIR "/linked/steps");
}

/** What cannot be kept is said, and no sized design is left without what it needs. */
static void refuses_what_cannot_be_kept(void **state)
{
    (void)state;
    static const char folder[] = FL_SCRATCH_DIR "/refused";
    made m;
    fl_result_file files[3];
    fl_error error = {0};
    made_named(&m, files);
    files[1].text = NULL;
    files[1].problem = "it is over 64 MiB";
    assert_int_equal(fl_report_write(&m.result, folder, &error), FL_IO);
    check_has(error.place, "home/parts/b.s2p");
    check_has(error.message, "it is over 64 MiB");
    check_file(folder, "result.json", true);
    check_file(folder, "sized.json", false);
    /* A file of the folder that stands before an installed model. */
    made_named(&m, files);
    check_ok(fl_folder_make(FL_SCRATCH_DIR "/hides", &error), error);
    check_ok(fl_file_write(FL_SCRATCH_DIR "/hides/frame.json", "x", 1, &error), error);
    assert_int_equal(fl_report_write(&m.result, FL_SCRATCH_DIR "/hides", &error), FL_BAD_INPUT);
    check_has(error.message, "hides the installed model");
    check_file(FL_SCRATCH_DIR "/hides", "result.json", false);
}

/** A file of the design is never written over by one of the result. */
static void refuses_names_of_both(void **state)
{
    (void)state;
    static const char *const names[] = {"transition-one.s2p", "Transition-Two.s2p", "sized.json"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        made m;
        fl_result_file files[3];
        fl_error error = {0};
        made_named(&m, files);
        files[0].name = files[0].written = names[i];
        assert_int_equal(fl_report_write(&m.result, FL_SCRATCH_DIR "/both", &error), FL_BAD_INPUT);
        check_has(error.message, "a file of this name too");
        check_file(FL_SCRATCH_DIR "/both", "result.json", false);
        /* Without sizing only the design's own folder is in danger. */
        if (i == 2)
            continue;
        m.result.sized_design = NULL;
        assert_int_equal(fl_report_write(&m.result, m.result.folder, &error), FL_BAD_INPUT);
        check_ok(fl_report_write(&m.result, FL_SCRATCH_DIR "/unsized", &error), error);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(lists_files),
                                       cmocka_unit_test(makes_names_safe),
                                       cmocka_unit_test(cuts_long_names),
                                       cmocka_unit_test(writes_files),
                                       cmocka_unit_test(writes_no_more_than_there_is),
                                       cmocka_unit_test(names_the_file_at_fault),
                                       cmocka_unit_test(copies_what_the_design_names),
                                       cmocka_unit_test(leaves_the_files_themselves),
                                       cmocka_unit_test(refuses_what_cannot_be_kept),
                                       cmocka_unit_test(refuses_names_of_both)};
    return cmocka_run_group_tests_name("reports/write", tests, NULL, NULL);
}
