/* Small plots for a terminal. */
#include "made.h"

#include <math.h>

/** The plot of a made result. */
static void plot(fl_report *report, const made *m, int columns, int blocks)
{
    fl_error error;
    *report = (fl_report){0};
    check_ok(fl_report_plot(report, &m->result, columns, blocks, &error), error);
    assert_int_equal(report->length, strlen(report->text));
    check_lines(report->text);
}

/** A sizing of one case whose return loss, about, goes from 10 dB up to 20 dB. */
static void rising(made *m)
{
    made_all(m);
    made_one_case(m);
    for (size_t i = 0; i < MADE_POINTS; i++) {
        m->s[0][3][i][0] = pow(10.0, -(10.0 + 5.0 * (double)i) / 20.0);
        m->s[0][3][i][1] = 0.0;
    }
}

/** The row of a plot that begins with a number. */
static void find_row(char row[128], const char *text, const char *number)
{
    const char *at = strstr(text, number);
    if (!at)
        fail_msg("no row '%s' in:\n%s", number, text);
    const size_t length = strcspn(at, "\n");
    assert_true(length < 128);
    memcpy(row, at, length);
    row[length] = '\0';
}

static void shows_curve_and_line(void **state)
{
    (void)state;
    made m;
    fl_report report;
    char row[128];
    rising(&m);
    plot(&report, &m, 60, 0);
    check_has(report.text, "Return loss, board port, in dB; line: required 15 dB\n");
    check_has(report.text, "        26.5 GHz");
    /* 52 columns: the curve is at 10 dB at the left, at 20 dB at the right, and over the line in
     * the middle, where it is at 15 dB. */
    find_row(row, report.text, "    20 +");
    assert_int_equal(60, strlen(row));
    assert_int_equal('*', row[59]);
    assert_int_equal(' ', row[8]);
    find_row(row, report.text, "    10 +");
    assert_int_equal('*', row[8]);
    find_row(row, report.text, "    15 +");
    assert_int_equal('-', row[8]);
    assert_int_equal('*', row[33]);
    assert_int_equal('-', row[59]);
    fl_report_free(&report);
}

static void shows_samples_as_bars(void **state)
{
    (void)state;
    static uint64_t counts[4] = {0, 10, 30, 60};
    made m;
    fl_report report;
    rising(&m);
    m.result.samples = 100;
    m.result.bars = (fl_bars){.from_db = 14.0, .step_db = 0.5, .counts = counts, .count = 4};
    plot(&report, &m, 58, 0);
    check_has(report.text,
              " 14.00 |\n 14.50 |####### 10.0 %\n       +---------------- required 15 dB"
              "\n 15.00 |#################### 30.0 %\n"
              " 15.50 |######################################## 60.0 %\n");
    fl_report_free(&report);
    plot(&report, &m, 58, 1);
    /* 60 of 40 columns, 10 of 6 and five eighths. */
    check_has(report.text, " 14.50 \xE2\x94\x82\xE2\x96\x88\xE2\x96\x88\xE2\x96\x88\xE2\x96\x88"
                           "\xE2\x96\x88\xE2\x96\x88\xE2\x96\x8B 10.0 %\n");
    fl_report_free(&report);
}

static void keeps_to_the_columns(void **state)
{
    (void)state;
    static const struct {
        int asked;
        size_t wanted;
    } rows[] = {{-1, 40}, {0, 40}, {40, 40}, {72, 72}, {80, 80}, {1000, 80}};
    made m;
    rising(&m);
    for (size_t i = 0; i < 2 * (sizeof rows / sizeof rows[0]); i++) {
        fl_report report;
        size_t widest = 0;
        plot(&report, &m, rows[i / 2].asked, i % 2 == 1);
        for (const char *line = report.text; *line; line += strcspn(line, "\n") + 1) {
            fl_text one;
            fl_text_init(&one);
            fl_text_add_bytes(&one, line, strcspn(line, "\n"));
            fl_text_add(&one, "");
            if (strncmp(line, "Return", 6) != 0 && strncmp(line, "Worst", 5) != 0)
                widest = fl_columns(one.bytes) > widest ? fl_columns(one.bytes) : widest;
            fl_text_release(&one);
        }
        assert_int_equal(rows[i / 2].wanted, widest);
        fl_report_free(&report);
    }
}

/** ASCII is ASCII. */
static void has_no_other_bytes(void **state)
{
    (void)state;
    made m;
    fl_report report;
    rising(&m);
    plot(&report, &m, 80, 0);
    for (size_t i = 0; i < report.length; i++)
        assert_true((unsigned char)report.text[i] < 0x80);
    fl_report_free(&report);
}

static void plots_sizing_and_yield_alone(void **state)
{
    (void)state;
    static const struct {
        const char *command;
        bool plotted;
    } rows[] = {
        {"size", true}, {"yield", true}, {"check", false}, {"response", false}, {"model", false}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        made m;
        fl_report report;
        rising(&m);
        m.result.command = rows[i].command;
        plot(&report, &m, 80, 1);
        assert_int_equal(rows[i].plotted, report.length > 0);
        fl_report_free(&report);
    }
}

static void survives_what_is_not_known(void **state)
{
    (void)state;
    made m;
    fl_report report;
    rising(&m);
    m.worst[0][0].has_limit = false;
    for (size_t i = 0; i < MADE_POINTS; i++)
        m.s[0][3][i][0] = i == 1 ? 0.0 : 1.0;
    plot(&report, &m, 80, 1);
    check_lacks(report.text, "nan");
    check_lacks(report.text, "required");
    fl_report_free(&report);
    m.result.case_count = 0;
    plot(&report, &m, 80, 1);
    assert_int_equal(0, report.length);
    fl_report_free(&report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shows_curve_and_line),
        cmocka_unit_test(shows_samples_as_bars),
        cmocka_unit_test(keeps_to_the_columns),
        cmocka_unit_test(has_no_other_bytes),
        cmocka_unit_test(plots_sizing_and_yield_alone),
        cmocka_unit_test(survives_what_is_not_known),
    };
    return cmocka_run_group_tests_name("reports/text_plot", tests, NULL, NULL);
}
