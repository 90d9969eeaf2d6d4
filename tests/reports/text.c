/* The text report as a whole: order of its parts, and lines that fit whatever the names are. */
#include "reports/pages.h"

#include "reports/made.h"

static fl_report report_of(const made *m)
{
    fl_report report = {0};
    fl_error error;
    check_ok(fl_report_text(&report, &m->result, &error), error);
    check_lines(report.text);
    check_lacks(report.text, "nan");
    return report;
}

static void puts_parts_in_order(void **state)
{
    (void)state;
    static const char *const parts[] = {"title\nBand 26.5 GHz to 29.5 GHz, 3 points, 2 cases\n",
                                        "\nMissed by 1.25 dB",
                                        "\nSized values\n",
                                        "\nRequirements where they are worst\n",
                                        "\nResponse in dB",
                                        "\nSensitivity",
                                        "\nYield of 20 000 samples, seed 7",
                                        "\nSections at 28 GHz",
                                        "\nQuantities\n",
                                        "\n1 warning on the design",
                                        "masks are ordered.\n"};
    made m;
    made_all(&m);
    fl_report report = report_of(&m);
    const char *at = report.text;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        check_has(at, parts[i]);
        at = strstr(at, parts[i]);
    }
    assert_string_equal(at, parts[sizeof parts / sizeof parts[0] - 1]);
    fl_report_free(&report);
}

static void bears_any_name(void **state)
{
    (void)state;
    static const char *const names[] = {MADE_LONG, MADE_WIDE_LONG, "x", "%s %n %d",
                                        "a b c d e f g h i j k l m n o p q r s t u v w x y z"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        made m;
        made_all(&m);
        made_rename(&m, names[i]);
        fl_report report = report_of(&m);
        fl_report_free(&report);
    }
}

static void takes_the_file_for_a_title(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    m.result.title = "";
    m.result.warning_count = 0;
    fl_report report = report_of(&m);
    assert_string_equal(report.text,
                        "design.json\nBand 26.5 GHz to 29.5 GHz, 3 points\n\n"
                        "Computed from models: confirm with a field solution and with measurement "
                        "before\nmasks are ordered.\n");
    fl_report_free(&report);
}

static void counts_warnings(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    const char *warnings[] = {"a", "b"};
    m.result.warnings = warnings;
    m.result.warning_count = 2;
    fl_report report = report_of(&m);
    check_has(report.text, "\n2 warnings on the design");
    fl_report_free(&report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(puts_parts_in_order), cmocka_unit_test(bears_any_name),
        cmocka_unit_test(takes_the_file_for_a_title), cmocka_unit_test(counts_warnings)};
    return cmocka_run_group_tests_name("reports/text", tests, NULL, NULL);
}
