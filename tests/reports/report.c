/* Handing over and freeing the text of a report. */
#include "reports/made.h"

static void takes_text(void **state)
{
    (void)state;
    fl_text text;
    fl_report report = {0};
    fl_error error;
    fl_text_init(&text);
    fl_text_add(&text, "abc");
    check_ok(fl_report_take(&report, &text, &error), error);
    assert_string_equal(report.text, "abc");
    check_near(3.0, (double)report.length, 0.0, "length");
    assert_null(text.bytes);
    fl_report_free(&report);
    assert_null(report.text);
    fl_report_free(&report);
    fl_report_free(NULL);
}

static void takes_empty_text(void **state)
{
    (void)state;
    fl_text text;
    fl_report report = {0};
    fl_error error;
    fl_text_init(&text);
    check_ok(fl_report_take(&report, &text, &error), error);
    assert_string_equal(report.text, "");
    fl_report_free(&report);
}

static void leaves_report_on_failure(void **state)
{
    (void)state;
    fl_text text;
    fl_report report = {0};
    fl_error error;
    fl_text_init(&text);
    fl_text_add(&text, "abc");
    text.failed = true;
    assert_int_equal(fl_report_take(&report, &text, &error), FL_NO_MEMORY);
    assert_null(report.text);
    assert_null(text.bytes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(takes_text),
                                       cmocka_unit_test(takes_empty_text),
                                       cmocka_unit_test(leaves_report_on_failure)};
    return cmocka_run_group_tests_name("reports/report", tests, NULL, NULL);
}
