/* The result itself: what it takes from the design, and the public looks into it. */
#include "asked.h"
#include "result/parts.h"

static void takes_the_head(void **state)
{
    (void)state;
    asked a;
    asked_read(&a, asked_text, "response");
    asked_forget(&a);
    const fl_result *r = a.result;
    assert_string_equal(r->command, "response");
    assert_string_equal(r->title, "two cases");
    assert_string_equal(r->file, "asked.json");
    check_near(11.0, (double)r->seed, 0.0, "seed");
    check_near(26e9, r->band_low, 0.0, "low");
    check_near(30e9, r->band_high, 0.0, "high");
    check_near(28e9, r->centre, 0.0, "centre");
    check_near(5.0, (double)r->points, 0.0, "points");
    check_near(0.9, r->confidence, 0.0, "confidence");
    fl_result_free(a.result);
}

static void copies_warnings(void **state)
{
    (void)state;
    asked a;
    fl_error error;
    fl_result *result = NULL;
    asked_read(&a, asked_text, "check");
    check_ok(fl_design_warn(a.design, "one more", &error), error);
    check_ok(fl_result_new(&result, "check", &a.study, &error), error);
    asked_forget(&a);
    assert_true(result->warning_count > 0);
    assert_string_equal(result->warnings[result->warning_count - 1], "one more");
    fl_result_free(result);
    fl_result_free(a.result);
}

static void names_quantities(void **state)
{
    (void)state;
    asked a;
    const char *name = NULL, *case_name = "x";
    asked_read(&a, asked_text, "check");
    assert_true(fl_result_name(a.result, &name, &case_name, a.design,
                               asked_index(&a, "wire inductance", FL_NONE)));
    assert_string_equal(name, "wire inductance");
    assert_null(case_name);
    assert_true(
        fl_result_name(a.result, &name, &case_name, a.design, asked_index(&a, "stub length", 1)));
    asked_forget(&a);
    assert_string_equal(name, "stub length");
    assert_string_equal(case_name, "far");
    fl_result_free(a.result);
}

static void lists_cases_once(void **state)
{
    (void)state;
    asked a;
    fl_error error;
    asked_read(&a, asked_text, "check");
    check_ok(fl_result_cases(a.result, a.design, &error), error);
    const fl_result_case *cases = a.result->cases;
    check_ok(fl_result_cases(a.result, a.design, &error), error);
    assert_ptr_equal(cases, a.result->cases);
    check_near(2.0, (double)a.result->case_count, 0.0, "cases");
    assert_string_equal(cases[1].name, "far");
    assert_true(isnan(cases[1].yield));
    asked_forget(&a);
    fl_result_free(a.result);
}

static void answers_when_empty(void **state)
{
    (void)state;
    asked a;
    double value = 3.0;
    asked_read(&a, asked_text, "check");
    assert_int_equal(fl_result_met(a.result), 0);
    assert_true(isnan(fl_result_margin_db(a.result)));
    assert_int_equal(fl_result_sized_count(a.result), 0);
    assert_int_equal(fl_result_sized(a.result, 0, NULL, &value), FL_BAD_INPUT);
    assert_int_equal(fl_result_yield(a.result, &value, NULL, NULL), FL_BAD_INPUT);
    check_near(3.0, value, 0.0, "unchanged");
    asked_forget(&a);
    fl_result_free(a.result);
    fl_result_free(NULL);
}

static void answers_when_filled(void **state)
{
    (void)state;
    fl_result_sized_value sized = {.name = "gap", .value = 2.0};
    const fl_result r = {.has_margin = true,
                         .met = true,
                         .margin_db = 1.5,
                         .sized = &sized,
                         .sized_count = 1,
                         .has_yield = true,
                         .estimate = 0.9,
                         .low = 0.8,
                         .high = 0.95};
    const char *name = NULL;
    double value = 0.0, estimate = 0.0, low = 0.0, high = 0.0;
    assert_int_equal(fl_result_met(&r), 1);
    check_near(1.5, fl_result_margin_db(&r), 0.0, "margin");
    assert_int_equal(fl_result_sized(&r, 0, &name, &value), FL_OK);
    assert_string_equal(name, "gap");
    check_near(2.0, value, 0.0, "value");
    assert_int_equal(fl_result_yield(&r, &estimate, &low, &high), FL_OK);
    assert_int_equal(fl_result_yield(&r, NULL, NULL, NULL), FL_OK);
    check_near(0.9, estimate, 0.0, "estimate");
    check_near(0.8, low, 0.0, "low");
    check_near(0.95, high, 0.0, "high");
}

static void adds_a_warning(void **state)
{
    (void)state;
    asked a;
    fl_error reason = {.status = FL_IO, .place = "a.check", .message = "no space"}, error;
    asked_read(&a, asked_text, "yield");
    const size_t before = fl_result_warning_count(a.result);
    check_ok(fl_result_add_warning(a.result, "not written", &reason, &error), error);
    reason.message[0] = '\0';
    check_ok(fl_result_add_warning(a.result, "not written", &reason, &error), error);
    assert_int_equal(fl_result_warning_count(a.result), before + 2);
    assert_string_equal(fl_result_warning(a.result, before), "a.check: not written: no space");
    assert_string_equal(fl_result_warning(a.result, before + 1),
                        "a.check: not written: a file could not be read or written");
    asked_forget(&a);
    fl_result_free(a.result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(takes_the_head),     cmocka_unit_test(copies_warnings),
        cmocka_unit_test(names_quantities),   cmocka_unit_test(lists_cases_once),
        cmocka_unit_test(answers_when_empty), cmocka_unit_test(adds_a_warning),
        cmocka_unit_test(answers_when_filled)};
    return cmocka_run_group_tests_name("result/result", tests, NULL, NULL);
}
