/* Sensitivities of a result. */
#include "asked.h"

static void takes_slopes(void **state)
{
    (void)state;
    asked a;
    fl_error error;
    asked_read(&a, asked_text, "sensitivity");
    fl_slope slopes[] = {
        {.quantity = asked_index(&a, "stub length", 1), .nominal = 0.3e-3, .percent = -0.2},
        {.quantity = asked_index(&a, "wire inductance", FL_NONE), .sigma = 5e-12, .share = 0.4}};
    const fl_sensing sensing = {.slopes = slopes, .count = 2, .base_db = 12.5};
    check_ok(fl_result_add_sensitivity(a.result, &a.study, &sensing, &error), error);
    slopes[0].percent = 9.0; /* must be a copy */
    asked_forget(&a);
    const fl_result_sensitivity *rows = a.result->sensitivity;
    assert_true(a.result->has_sensitivity && !a.result->interrupted);
    check_near(2.0, (double)a.result->sensitivity_count, 0.0, "count");
    check_near(12.5, a.result->sensitivity_base_db, 0.0, "base");
    assert_string_equal(rows[0].name, "stub length");
    assert_string_equal(rows[0].case_name, "far");
    assert_int_equal(rows[0].dimension, FL_LENGTH);
    check_near(-0.2, rows[0].slope.percent, 0.0, "percent");
    assert_string_equal(rows[1].name, "wire inductance");
    assert_null(rows[1].case_name);
    assert_int_equal(rows[1].dimension, FL_INDUCTANCE);
    check_near(0.4, rows[1].slope.share, 0.0, "share");
    fl_result_free(a.result);
}

static void takes_none(void **state)
{
    (void)state;
    asked a;
    fl_error error;
    asked_read(&a, asked_text, "sensitivity");
    const fl_sensing sensing = {.base_db = 1.0, .interrupted = true};
    check_ok(fl_result_add_sensitivity(a.result, &a.study, &sensing, &error), error);
    asked_forget(&a);
    assert_true(a.result->has_sensitivity && a.result->interrupted);
    check_near(0.0, (double)a.result->sensitivity_count, 0.0, "count");
    fl_result_free(a.result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(takes_slopes),
                                       cmocka_unit_test(takes_none)};
    return cmocka_run_group_tests_name("result/sensitivity", tests, NULL, NULL);
}
