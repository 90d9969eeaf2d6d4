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
        bool response, sizing, yield, one;
        const char *names;
    } rows[] = {
        {false, false, false, false, "result.json\n"},
        {true, false, false, true, "result.json\nresponse.csv\ntransition.s2p\n"},
        {true, false, true, true, "result.json\nresponse.csv\nsamples.csv\ntransition.s2p\n"},
        {true, true, true, false,
         "result.json\nresponse.csv\nsamples.csv\nsized.json\ntransition-one.s2p\n"
         "transition-two.s2p\n"}};
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
        check_ok(fl_report_files(&report, &m.result, &error), error);
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
        check_ok(fl_report_files(&report, &m.result, &error), error);
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
    check_ok(fl_report_files(&report, &m.result, &error), error);
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

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(lists_files),
                                       cmocka_unit_test(makes_names_safe),
                                       cmocka_unit_test(cuts_long_names),
                                       cmocka_unit_test(writes_files),
                                       cmocka_unit_test(writes_no_more_than_there_is),
                                       cmocka_unit_test(names_the_file_at_fault)};
    return cmocka_run_group_tests_name("reports/write", tests, NULL, NULL);
}
