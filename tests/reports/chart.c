/* Axes, curves and bands. */
#include "made.h"
#include "xml.h"

#include <math.h>

#include "reports/chart.h"

static const fl_chart chart = {{100.0, 50.0, 200.0, 100.0}, {26.0, 30.0}, {0.0, 20.0}};

static void steps_are_round(void **state)
{
    (void)state;
    static const struct {
        double range;
        size_t most;
        double wanted;
    } rows[] = {{20.0, 6, 5.0}, {3.0, 7, 0.5},  {1.5, 6, 0.5},  {40.0, 6, 10.0},
                {6.0, 6, 1.0},  {0.1, 6, 0.02}, {8.9e9, 7, 2e9}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check_close(rows[i].wanted, fl_chart_step(rows[i].range, rows[i].most), 1e-12,
                    "range %g, most %zu", rows[i].range, rows[i].most);
}

static void places_values(void **state)
{
    (void)state;
    const fl_point point = fl_chart_point(&chart, 27.0, 5.0);
    check_near(150.0, point.x, 1e-12, "x");
    check_near(125.0, point.y, 1e-12, "y");
}

static void cuts_curves_at_the_edges(void **state)
{
    (void)state;
    static const struct {
        double y[4];
        const char *wanted; /* NULL: nothing is drawn */
    } rows[] = {{{0.0, 10.0, 10.0, 20.0}, "d=\"M100 150L150 100L200 100L250 50\""},
                /* Up through the upper edge and down again. */
                {{10.0, 30.0, 30.0, 10.0}, "d=\"M100 100L125 50M225 50L250 100\""},
                {{30.0, 40.0, 30.0, 25.0}, NULL},
                {{10.0, (double)NAN, 10.0, 10.0}, "d=\"M200 100L250 100\""},
                {{-10.0, 10.0, 10.0, 10.0}, "d=\"M125 150L150 100L200 100L250 100\""}};
    static const double x[4] = {26.0, 27.0, 28.0, 29.0};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_text text;
        fl_text_init(&text);
        fl_text_add(&text, "");
        fl_chart_curve(&text, &chart, "fl-curve", x, rows[i].y, 4);
        if (rows[i].wanted)
            check_has(text.bytes, rows[i].wanted);
        else
            assert_int_equal(0, text.length);
        fl_text_release(&text);
    }
}

static void fills_between_two_curves(void **state)
{
    (void)state;
    static const double x[2] = {26.0, 30.0}, low[2] = {5.0, 10.0}, high[2] = {10.0, 99.0};
    const double *const ends[2] = {low, high};
    fl_text text;
    fl_text_init(&text);
    fl_chart_band(&text, &chart, "fl-band1", x, ends, 2);
    check_has(text.bytes, "d=\"M100 125L300 100L300 50L100 100Z\"");
    fl_text_release(&text);
}

static void numbers_its_axes(void **state)
{
    (void)state;
    static const char *const wanted[] = {">26</text>", ">26.5</text>", ">30</text>",
                                         ">0</text>",  ">5</text>",    ">20</text>"};
    const fl_chart band = {{100.0, 50.0, 200.0, 100.0}, {26.5e9, 30e9}, {0.0, 20.0}};
    fl_text text;
    fl_text_init(&text);
    fl_svg_open(&text, "fl-g");
    fl_chart_axes(&text, &band, 1e9);
    fl_svg_close(&text);
    xml_read(text.bytes, text.length);
    for (size_t i = 1; i < sizeof wanted / sizeof wanted[0]; i++)
        check_has(text.bytes, wanted[i]);
    check_lacks(text.bytes, wanted[0]);
    check_lacks(text.bytes, "000000");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_are_round),          cmocka_unit_test(places_values),
        cmocka_unit_test(cuts_curves_at_the_edges), cmocka_unit_test(fills_between_two_curves),
        cmocka_unit_test(numbers_its_axes),
    };
    return cmocka_run_group_tests_name("reports/chart", tests, NULL, NULL);
}
