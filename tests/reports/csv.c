/* Response and kept samples as comma-separated values. */
#include "reports/made.h"

/** Line index of a text, without its line feed. */
static void line_of(char line[512], const char *text, size_t index)
{
    for (; index > 0; index--)
        text += strcspn(text, "\n") + 1;
    const size_t length = strcspn(text, "\n");
    assert_true(length < 512);
    memcpy(line, text, length);
    line[length] = '\0';
}

static size_t count_lines(const char *text)
{
    size_t count = 0;
    for (; *text; text++)
        count += *text == '\n';
    return count;
}

static void writes_response(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.cases[1].name = "a, \"b\"";
    fl_report report = {0};
    fl_error error;
    char line[512];
    check_ok(fl_report_csv(&report, &m.result, &error), error);
    check_near(1.0 + MADE_CASES * MADE_POINTS, (double)count_lines(report.text), 0.0, "lines");
    line_of(line, report.text, 0);
    assert_string_equal(line, "case,frequency Hz,s11 real,s11 imaginary,s21 real,s21 imaginary,"
                              "s12 real,s12 imaginary,s22 real,s22 imaginary,"
                              "return loss die dB,return loss board dB,insertion loss dB");
    /* -20 log10 0.1 is 20 dB, -20 log10 0.9 is 0.9151498 dB. */
    line_of(line, report.text, 1);
    check_has(line, "one,26500000000,0.1,0,0.9,0,0.9,0,0.1,0,20,20,0.91514981");
    line_of(line, report.text, 6);
    check_has(line, "\"a, \"\"b\"\"\",29500000000,");
    fl_report_free(&report);
}

static void writes_samples(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_report report = {0};
    fl_error error;
    check_ok(fl_report_samples(&report, &m.result, &error), error);
    assert_string_equal(report.text, "sample,passed,gap (m),\"a, \"\"b\"\"\","
                                     "\"worst return loss dB, one\",\"worst return loss dB, two\","
                                     "\"margin dB, one\",\"margin dB, two\"\n"
                                     "0,0,0,1,15,16,-0.5,0.5\n"
                                     "1,1,10,11,15,,-0.5,0.5\n");
    fl_report_free(&report);
}

static void writes_heads_alone(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    fl_report report = {0};
    fl_error error;
    check_ok(fl_report_samples(&report, &m.result, &error), error);
    assert_string_equal(report.text, "sample,passed\n");
    fl_report_free(&report);
    check_ok(fl_report_csv(&report, &m.result, &error), error);
    check_near(1.0, (double)count_lines(report.text), 0.0, "lines");
    fl_report_free(&report);
}

static void writes_wafers(void **state)
{
    (void)state;
    made m;
    fl_report report = {0};
    fl_error error;
    made_all(&m);
    check_ok(fl_report_wafers(&report, &m.result, &error), error);
    assert_string_equal(report.text, "lot,wafer,dice,passed,yield\n");
    fl_report_free(&report);
    made_plan(&m);
    check_ok(fl_report_wafers(&report, &m.result, &error), error);
    assert_string_equal(report.text, "lot,wafer,dice,passed,yield\n"
                                     "1,1,2000,1900,0.95\n1,2,2000,1950,0.975\n"
                                     "2,1,2000,1800,0.9\n2,2,2000,2000,1\n"
                                     "3,1,2000,1700,0.85\n3,2,2000,1999,0.9995\n");
    fl_report_free(&report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_response), cmocka_unit_test(writes_samples),
        cmocka_unit_test(writes_wafers), cmocka_unit_test(writes_heads_alone)};
    return cmocka_run_group_tests_name("reports/csv", tests, NULL, NULL);
}
