/* The design with the chosen values, as the result keeps it. */
#include "reports/made.h"

static void gives_the_text(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_report report = {0};
    fl_error error;
    check_ok(fl_report_design(&report, &m.result, &error), error);
    assert_string_equal(report.text, "{\"a\":1}");
    fl_report_free(&report);
}

static void refuses_without_sizing(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    m.result.command = "yield";
    fl_report report = {0};
    fl_error error = {0};
    assert_int_equal(fl_report_design(&report, &m.result, &error), FL_BAD_INPUT);
    check_has(error.message, "'yield'");
    assert_null(report.text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(gives_the_text),
                                       cmocka_unit_test(refuses_without_sizing)};
    return cmocka_run_group_tests_name("reports/design", tests, NULL, NULL);
}
