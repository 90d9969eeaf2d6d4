/* The transition drawn to scale. */
#include "drawn.h"
#include "xml.h"

#include <math.h>

static const drawn_row plain[] = {{"die line",
                                   "microstrip",
                                   FL_SIDE_DIE,
                                   {{"width", 10e-6, FL_LENGTH, true},
                                    {"length", 350e-6, FL_LENGTH, true},
                                    {"substrate height", 100e-6, FL_LENGTH, false}}},
                                  {"wires",
                                   "bond wires",
                                   FL_SIDE_PACKAGE,
                                   {{"count", 2.0, FL_NUMBER, false},
                                    {"diameter", 25e-6, FL_LENGTH, false},
                                    {"span", 600e-6, FL_LENGTH, false},
                                    {"loop height", 140e-6, FL_LENGTH, false},
                                    {"pitch", 100e-6, FL_LENGTH, false}}},
                                  {"land </svg>&\"'",
                                   "pad",
                                   FL_SIDE_BOARD,
                                   {{"width", 280e-6, FL_LENGTH, false},
                                    {"length", 200e-6, FL_LENGTH, false},
                                    {"substrate height", 127e-6, FL_LENGTH, false}}}};

static void draw(fl_text *text, drawn *path, double width)
{
    drawn_fill(path, plain, sizeof plain / sizeof plain[0]);
    fl_text_init(text);
    fl_report_drawing_svg(text, &path->result, 0, width);
}

static void is_well_formed(void **state)
{
    (void)state;
    static const double widths[] = {-1.0, 320.0, 380.0, 560.0, 1000.0, 1e9, (double)NAN};
    for (size_t i = 0; i < sizeof widths / sizeof widths[0]; i++) {
        drawn path;
        fl_text text;
        draw(&text, &path, widths[i]);
        assert_true(xml_read(text.bytes, text.length) > 20);
        check_has(text.bytes, "land &lt;/svg&gt;&amp;&quot;&#39;");
        check_lacks(text.bytes, "nan");
        check_lacks(text.bytes, "inf");
        check_lacks(text.bytes, "<style>");
        check_lacks(text.bytes, " id=");
        fl_text_release(&text);
    }
}

static void shows_every_sized_value(void **state)
{
    (void)state;
    drawn path;
    fl_text text;
    draw(&text, &path, 560.0);
    check_has(text.bytes, "class=\"fl-value\"");
    check_has(text.bytes, ">width 10 \xC2\xB5m</text>");
    check_has(text.bytes, ">length 350 \xC2\xB5m</text>");
    /* In words too, with what is fixed. */
    check_has(text.bytes,
              "die line, microstrip, width 10 um (sized), length 350 um (sized); wires");
    check_has(text.bytes, "pad, width 280 um, length 200 um.</desc>");
    fl_text_release(&text);
}

/** Length of the bar in units, and what it says, m. */
static double units_per_metre(const char *svg)
{
    double x[2], y, um;
    const char *bar = strstr(svg, "fl-scale\" d=\"");
    assert_non_null(bar);
    assert_int_equal(3, sscanf(bar, "fl-scale\" d=\"M%lf %lfL%*f %*fL%lf", &x[0], &y, &x[1]));
    const char *said = strchr(strstr(bar, "<text"), '>');
    assert_int_equal(1, sscanf(said, ">%lf \xC2\xB5m<", &um));
    return (x[1] - x[0]) / (um * 1e-6);
}

/* The pad of 280 um by 200 um is a path "Mx yLx yLx yLx yZ", its sides by the scale's bar. */
static void is_to_the_scale_that_it_says(void **state)
{
    (void)state;
    static const double widths[] = {320.0, 560.0, 1000.0};
    for (size_t i = 0; i < 3; i++) {
        drawn path;
        fl_text text;
        double x[3], y[3];
        draw(&text, &path, widths[i]);
        const double scale = units_per_metre(text.bytes);
        const char *land = strstr(text.bytes, "fl-plan");
        for (int k = 0; k < 2; k++)
            land = strstr(land + 1, "fl-metal\" d=\"");
        assert_int_equal(6, sscanf(land, "fl-metal\" d=\"M%lf %lfL%lf %lfL%lf %lf", &x[0], &y[0],
                                   &x[1], &y[1], &x[2], &y[2]));
        check_close(200e-6, (x[1] - x[0]) / scale, 3e-3, "length, width %g", widths[i]);
        check_close(280e-6, (y[2] - y[1]) / scale, 3e-3, "width, width %g", widths[i]);
        fl_text_release(&text);
    }
}

static void says_what_is_not_to_scale(void **state)
{
    (void)state;
    static const drawn_row rows[] = {
        {"cap", "shunt capacitor", FL_SIDE_DIE, {{"capacitance", 1e-13, FL_CAPACITANCE, false}}},
        {"near", "line", FL_SIDE_DIE, {{"length", 1e-4, FL_LENGTH, false}}},
        {"far", "line", FL_SIDE_BOARD, {{"length", 0.04, FL_LENGTH, false}}}};
    drawn path;
    fl_text text;
    drawn_fill(&path, rows, 3);
    fl_text_init(&text);
    fl_report_drawing_svg(&text, &path.result, 0, 900.0);
    check_has(text.bytes, "Symbols and boxes have no size.");
    check_has(text.bytes, "Drawn shorter than it is: far (40 mm).");
    check_has(text.bytes, "fl-gap");
    fl_text_release(&text);
    path.row.piece_count = 1;
    fl_text_init(&text);
    fl_report_drawing_svg(&text, &path.result, 0, 900.0);
    check_has(text.bytes, "A circuit: nothing in it has a size.");
    check_lacks(text.bytes, "fl-scale");
    fl_text_release(&text);
}

static void draws_nothing_of_nothing(void **state)
{
    (void)state;
    drawn path;
    fl_text text;
    fl_report report = {0};
    fl_error error;
    drawn_fill(&path, plain, 0);
    fl_text_init(&text);
    fl_report_drawing_svg(&text, &path.result, 0, 560.0);
    fl_report_drawing_svg(&text, &path.result, 1, 560.0);
    assert_int_equal(0, text.length);
    assert_int_equal(FL_BAD_INPUT, fl_report_transition(&report, &path.result, &error));
    assert_null(report.text);
    fl_text_release(&text);
}

/** Of three cases, the last built as the first. */
static void draws_each_way_of_building_once(void **state)
{
    (void)state;
    drawn path;
    fl_report report = {0}, again = {0};
    fl_error error;
    drawn_fill(&path, plain, sizeof plain / sizeof plain[0]);
    fl_result_case cases[3] = {path.row, path.row, path.row};
    cases[0].name = "first";
    cases[1].name = "second <&>";
    cases[1].piece_count = 2;
    cases[1].built_as = 1;
    cases[2].name = "third";
    path.result.cases = cases;
    path.result.case_count = 3;
    check_ok(fl_report_transition(&report, &path.result, &error), error);
    check_ok(fl_report_transition(&again, &path.result, &error), error);
    xml_read(report.text, report.length);
    assert_memory_equal(report.text, "<?xml", 5);
    check_has(report.text, "<style>");
    check_has(report.text, ">first</text>");
    check_has(report.text, ">second &lt;&amp;&gt;</text>");
    check_lacks(report.text, ">third<");
    assert_int_equal(report.length, again.length);
    assert_memory_equal(report.text, again.text, report.length);
    fl_report_free(&report);
    fl_report_free(&again);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_well_formed),
        cmocka_unit_test(shows_every_sized_value),
        cmocka_unit_test(is_to_the_scale_that_it_says),
        cmocka_unit_test(says_what_is_not_to_scale),
        cmocka_unit_test(draws_nothing_of_nothing),
        cmocka_unit_test(draws_each_way_of_building_once),
    };
    return cmocka_run_group_tests_name("reports/drawing", tests, NULL, NULL);
}
