/* Losses over the band as a picture. */
#include "made.h"
#include "xml.h"

static void chart(fl_report *report, const made *m)
{
    fl_error error;
    *report = (fl_report){0};
    check_ok(fl_report_losses(report, &m->result, &error), error);
    assert_true(xml_read(report->text, report->length) > 20);
    check_lacks(report->text, "nan");
    check_lacks(report->text, "inf");
}

/** How often a part is in a text. */
static size_t count(const char *text, const char *part)
{
    size_t found = 0;
    for (; (text = strstr(text, part)); text++)
        found++;
    return found;
}

static void shows_what_is_required_and_present(void **state)
{
    (void)state;
    made m;
    fl_report report, again;
    made_all(&m);
    m.cases[1].name = "two <b>&";
    chart(&report, &m);
    check_has(report.text, ">return loss, board port, dB</text>");
    check_has(report.text, ">insertion loss, dB</text>");
    check_has(report.text, ">at least 15 dB</text>");
    check_has(report.text, ">at most 5 dB</text>");
    check_has(report.text, ">two &lt;b&gt;&amp;</text>");
    check_has(report.text, "Case one: worst return loss, board port 18.40 dB at 29.5 GHz.");
    assert_int_equal(2, count(report.text, "<path class=\"fl-curve\""));
    assert_int_equal(2, count(report.text, "<path class=\"fl-curve fl-second\""));
    check_has(report.text, "<style>");
    chart(&again, &m);
    assert_int_equal(report.length, again.length);
    assert_memory_equal(report.text, again.text, report.length);
    fl_report_free(&report);
    fl_report_free(&again);
}

/* |s22| = 0.1 is 20 dB. The axis goes from 0 to 25 dB over the height of the frame. */
static void draws_losses_where_they_are(void **state)
{
    (void)state;
    made m;
    fl_report report;
    double x, y, width, height, from[2];
    made_all(&m);
    made_one_case(&m);
    for (size_t i = 0; i < MADE_POINTS; i++)
        m.s[0][3][i][1] = 0.0;
    chart(&report, &m);
    const char *frame = strstr(report.text, "<rect class=\"fl-axis\"");
    assert_int_equal(4, sscanf(frame,
                               "<rect class=\"fl-axis\" x=\"%lf\" y=\"%lf\" width=\"%lf\" "
                               "height=\"%lf\"",
                               &x, &y, &width, &height));
    const char *curve = strstr(report.text, "<path class=\"fl-curve\" d=\"");
    assert_int_equal(2, sscanf(curve, "<path class=\"fl-curve\" d=\"M%lf %lf", &from[0], &from[1]));
    check_has(report.text, ">25</text>");
    check_near(x, from[0], 0.01, "left");
    check_near(y + height * (1.0 - 20.0 / 25.0), from[1], 0.02, "20 dB");
    fl_report_free(&report);
}

static void shows_the_uncompensated_and_production(void **state)
{
    (void)state;
    made m;
    fl_report report;
    double losses[2][MADE_POINTS] = {{10.0, 11.0, 12.0}, {14.0, 15.0, 16.0}};
    const fl_result_losses bare = {losses[0], losses[0]};
    fl_result_picture pictures[MADE_CASES] = {{.uncompensated = bare}, {.uncompensated = bare}};
    made_all(&m);
    for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++)
        for (size_t c = 0; c < MADE_CASES; c++)
            pictures[c].envelope.return_loss_db[p] = losses[p > 1];
    fl_result_pictures all = {.frequencies = m.frequencies,
                              .count = MADE_POINTS,
                              .port = FL_PORT_BOARD,
                              .cases = pictures};
    m.result.pictures = &all;
    chart(&report, &m);
    check_has(report.text, "<path class=\"fl-bare\"");
    assert_int_equal(1, count(report.text, "<path class=\"fl-band1\""));
    assert_int_equal(1, count(report.text, "<path class=\"fl-band2\""));
    check_has(report.text, ">uncompensated</text>");
    check_has(report.text, ">5 to 95 % of parts");
    fl_report_free(&report);
    /* Those of the other port are not shown for this one. */
    all.port = FL_PORT_DIE;
    chart(&report, &m);
    assert_int_equal(0, count(report.text, "<path class=\"fl-band1\""));
    fl_report_free(&report);
}

static void refuses_what_has_no_response(void **state)
{
    (void)state;
    made m;
    fl_report report = {0};
    fl_error error;
    made_head(&m);
    assert_int_equal(FL_BAD_INPUT, fl_report_losses(&report, &m.result, &error));
    check_has(error.message, "no response");
    assert_null(report.text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shows_what_is_required_and_present),
        cmocka_unit_test(draws_losses_where_they_are),
        cmocka_unit_test(shows_the_uncompensated_and_production),
        cmocka_unit_test(refuses_what_has_no_response),
    };
    return cmocka_run_group_tests_name("reports/response_chart", tests, NULL, NULL);
}
