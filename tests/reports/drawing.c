/* The transition drawn to scale. */
#include "drawn.h"
#include "xml.h"

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

static void is_well_formed(void **state)
{
    (void)state;
    drawn path;
    fl_text text;
    drawn_fill(&path, plain, sizeof plain / sizeof plain[0]);
    fl_text_init(&text);
    fl_report_drawing_svg(&text, &path.result, 0, 560.0);
    assert_true(xml_read(text.bytes, text.length) > 4);
    check_has(text.bytes, "land &lt;/svg&gt;&amp;&quot;&#39;");
    fl_text_release(&text);
}

static void draws_nothing_of_nothing(void **state)
{
    (void)state;
    drawn path;
    fl_text text;
    drawn_fill(&path, plain, 0);
    fl_text_init(&text);
    fl_report_drawing_svg(&text, &path.result, 0, 560.0);
    fl_report_drawing_svg(&text, &path.result, 1, 560.0);
    assert_int_equal(0, text.length);
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_well_formed),
        cmocka_unit_test(draws_nothing_of_nothing),
    };
    return cmocka_run_group_tests_name("reports/drawing", tests, NULL, NULL);
}
