/* Resonances of bodies: the trade's rows, orders, and sizes beyond sense. */
#include "check.h"

#include "models/models.h"

static fl_body body_of(double length, double width, double height, double paddle)
{
    return (fl_body){
        .length = length, .width = width, .height = height, .permittivity = 3.7, .paddle = paddle};
}

/* In mould of 3.7: paddles of 3.1, 2.7 and 1.7 mm at 25, 29 and 46 GHz; boxes 4, 3 and 2 mm square
 * at 28, 37 and 55 GHz, the formulas' values rounded to whole GHz. */
static void test_trade(void **unused)
{
    (void)unused;
    static const struct {
        double size, frequency;
    } paddles[] = {{3.1e-3, 25e9}, {2.7e-3, 29e9}, {1.7e-3, 46e9}},
      boxes[] = {{4e-3, 28e9}, {3e-3, 37e9}, {2e-3, 55e9}};
    for (size_t i = 0; i < 3; i++) {
        fl_resonances found;
        fl_body body = body_of(5e-3, 5e-3, 0.9e-3, paddles[i].size);
        fl_body_paddle(&found, &body, 1e9, 1.5 * paddles[i].frequency);
        assert_int_equal(found.count, 1);
        assert_int_equal(found.order[0], 1);
        check_near(paddles[i].frequency, found.lowest, 0.5e9, "paddle %g", paddles[i].size);
        body = body_of(boxes[i].size, boxes[i].size, 0.9e-3, 0.0);
        fl_body_box(&found, &body, 1e9, 1.2 * boxes[i].frequency);
        assert_int_equal(found.count, 1);
        assert_int_equal(found.order[0], 1);
        assert_int_equal(found.order[1], 1);
        assert_int_equal(found.order[2], 0);
        check_near(boxes[i].frequency, found.lowest, 0.5e9, "box %g", boxes[i].size);
        fl_body_paddle(&found, &body, 1e9, 1e12);
        assert_int_equal(found.count, 0);
    }
}

/* A cube in air, side c / 2 of a second each: frequencies are roots of sums of three squares, at
 * most one of them zero: sqrt(2) three times, sqrt(3), sqrt(5) six times. */
static void test_orders(void **unused)
{
    (void)unused;
    const double side = 299792458.0 / 2e9;
    const fl_body cube = {.length = side, .width = side, .height = side, .permittivity = 1.0};
    static const struct {
        double low, high;
        size_t count;
        double lowest;
    } rows[] = {{0.0, 1.4e9, 0, 0.0},
                {0.0, 1.5e9, 3, 1.4142135623730951e9},
                {1.5e9, 1.8e9, 1, 1.7320508075688772e9},
                {0.0, 2.3e9, 10, 1.4142135623730951e9},
                {2.0e9, 2.3e9, 6, 2.23606797749979e9}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        fl_resonances found;
        fl_body_box(&found, &cube, rows[i].low, rows[i].high);
        assert_int_equal(found.count, rows[i].count);
        check_near(rows[i].lowest, found.lowest, 1.0, "row %zu", i);
    }
    fl_resonances found;
    const fl_body strip = {
        .length = side, .width = side, .height = side, .permittivity = 4.0, .paddle = side};
    fl_body_paddle(&found, &strip, 0.9e9, 2.1e9);
    assert_int_equal(found.count, 3); /* 1, 1.5, 2 GHz */
    assert_int_equal(found.order[0], 2);
    check_near(1e9, found.lowest, 1.0, "two half waves");
}

/* A body of a kilometre ends, if not with sense. */
static void test_vast(void **unused)
{
    (void)unused;
    fl_resonances found;
    const fl_body vast = body_of(1e3, 1e3, 1e3, 1e3), tiny = body_of(1e-9, 1e-9, 1e-9, 1e-9);
    fl_body_box(&found, &vast, 1e9, 1e12);
    fl_body_paddle(&found, &vast, 1e9, 1e12);
    fl_body_box(&found, &tiny, 1e9, 1e12);
    assert_int_equal(found.count, 0);
    fl_body_paddle(&found, &tiny, 1e9, 1e12);
    assert_int_equal(found.count, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_trade), cmocka_unit_test(test_orders),
                                       cmocka_unit_test(test_vast)};
    return cmocka_run_group_tests_name("models/body", tests, NULL, NULL);
}
