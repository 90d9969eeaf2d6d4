/* The live model in a result: there where something can be turned, and told where it cannot. */
#include "check.h"

#include "result/result.h"

static fl_result *result_of(fl_design **design, const char *file)
{
    fl_error error = {0};
    fl_result *result = NULL;
    const fl_options options = {.seed = -1, .pictures = 1};
    check_ok(fl_design_read(design, file, FL_SOURCE_DIR "/models", &error), error);
    check_ok(fl_response(&result, *design, &options, &error), error);
    return result;
}

/* It opens, and stands where the result does. */
static void test_there(void **state)
{
    (void)state;
    fl_design *design = NULL;
    fl_error error = {0};
    fl_live *live = NULL;
    fl_peaks peaks;
    fl_result *result = result_of(&design, FL_SOURCE_DIR "/tests/data/designs/turned.json");
    if (fl_live_kernel_length == 0) {
        assert_null(result->live);
    } else {
        check_ok(fl_live_open(&live, result->live, result->live_length, &error), error);
        check_ok(fl_live_peaks(live, &peaks, &error), error);
        check_near(result->margin_db, peaks.margin_db, 0.0, "margin");
        fl_peaks_release(&peaks);
        fl_live_free(live);
    }
    fl_result_free(result);
    fl_design_free(design);
}

/* Nothing to size, nothing to turn. */
static void test_nothing(void **state)
{
    (void)state;
    fl_design *design = NULL;
    fl_result *result = result_of(&design, FL_SOURCE_DIR "/examples/absorb/uncompensated.json");
    assert_null(result->live);
    fl_result_free(result);
    fl_design_free(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_there),
                                       cmocka_unit_test(test_nothing)};
    return cmocka_run_group_tests_name("result/turned", tests, NULL, NULL);
}
