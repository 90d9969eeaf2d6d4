/* The quick yield: the counts of the whole one. */
#include "check.h"

#include "studies/studies.h"

static void compare(const char *file, uint64_t samples)
{
    fl_error error = {0};
    fl_design *design = NULL;
    fl_groundwork *fitted = NULL;
    fl_study study;
    fl_yielding whole = {0};
    uint64_t case_passed[8];
    fl_quick quick = {.case_passed = case_passed};
    check_ok(fl_design_read(&design, file, FL_SOURCE_DIR "/models", &error), error);
    double *values = fl_memory_take(design->quantity_count, sizeof *values);
    fl_design_start(design, values);
    const fl_vary vary = {false, true, values, 1};
    check_ok(fl_groundwork_fit(&fitted, design->groundwork, &vary, &error), error);
    fl_study_init(&study, design, fitted, NULL);
    study.samples = samples;
    study.threads = 2;
    check_ok(fl_yielding_run(&whole, &study, values, &error), error);
    check_ok(fl_quick_run(&quick, &study, values, &error), error);
    assert_int_equal(whole.samples, quick.samples);
    assert_int_equal(whole.passed, quick.passed);
    assert_int_equal(whole.not_physical, quick.not_physical);
    assert_int_equal(0, quick.outside);
    for (size_t i = 0; i < design->case_count; i++)
        assert_int_equal(whole.cases[i].passed, quick.case_passed[i]);
    check_near(whole.estimate, quick.estimate, 0.0, "estimate");
    check_near(whole.low, quick.low, 0.0, "low");
    check_near(whole.high, quick.high, 0.0, "high");
    fl_yielding_release(&whole);
    fl_groundwork_free(fitted);
    fl_memory_free(values);
    fl_design_free(design);
}

static void test_same(void **state)
{
    (void)state;
    compare(FL_SOURCE_DIR "/tests/data/designs/turned.json", 1000);
    compare(FL_SOURCE_DIR "/tests/data/designs/turned.json", 77);
    compare(FL_SOURCE_DIR "/examples/board/board.json", 300);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_same)};
    return cmocka_run_group_tests_name("studies/quick", tests, NULL, NULL);
}
