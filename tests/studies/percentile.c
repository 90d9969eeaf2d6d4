/* Percentiles and curves from the histogram, against sorted lists. */
#include <stdlib.h>

#include "base/random.h"
#include "check.h"
#include "studies/tally.h"

typedef struct fixture {
    fl_arena arena;
    fl_histogram histogram;
} fixture;

static void begin(fixture *own)
{
    fl_error error;
    fl_arena_init(&own->arena);
    check_ok(fl_histogram_take(&own->histogram, &own->arena, &error), error);
}

static void add_one(fixture *own, double value_db)
{
    fl_histogram_add(&own->histogram, &value_db, 1);
}

static int by_value(const void *left, const void *right)
{
    const double *a = left, *b = right;
    return (*a > *b) - (*a < *b);
}

static void test_percentiles(void **state)
{
    (void)state;
    static const size_t counts[] = {1, 2, 19, 20, 100, 101, 3001};
    static const unsigned percents[] = {1, 5, 25, 50, 75, 95, 99, 100};
    for (size_t c = 0; c < sizeof counts / sizeof *counts; c++) {
        double values[3001];
        fixture own;
        begin(&own);
        for (size_t i = 0; i < counts[c]; i++)
            values[i] = 60.0 * fl_random_uniform(9, i, (uint32_t)c);
        fl_histogram_add(&own.histogram, values, counts[c]);
        fl_histogram_close(&own.histogram);
        qsort(values, counts[c], sizeof *values, by_value);
        for (size_t p = 0; p < sizeof percents / sizeof *percents; p++) {
            /* The smallest value that so many percent do not exceed: rank ceil(p n / 100). */
            size_t rank = (percents[p] * counts[c] + 99) / 100;
            check_near(values[rank - 1] - 0.0005,
                       fl_histogram_percentile(&own.histogram, percents[p]), 0.000501,
                       "%u %% of %zu", percents[p], counts[c]);
        }
        fl_arena_release(&own.arena);
    }
}

static void test_ends(void **state)
{
    (void)state;
    fixture own;
    begin(&own);
    add_one(&own, (double)NAN);
    add_one(&own, -0.1);
    add_one(&own, 200.0);
    add_one(&own, 250.0);
    fl_histogram_close(&own.histogram);
    assert_int_equal(own.histogram.total, 4);
    assert_int_equal(own.histogram.bins[0], 2);
    check_near(0.0, fl_histogram_percentile(&own.histogram, 50), 0.0, "none of two");
    check_near(200.0, fl_histogram_percentile(&own.histogram, 75), 0.0, "the ceiling");
    fl_arena_release(&own.arena);
}

/* The curve falls from over 99.9 % to under 0.1 %, each point the share that reaches it. */
static void test_curve(void **state)
{
    (void)state;
    enum { COUNT = 5000 };
    static double values[COUNT];
    fixture own;
    fl_error error;
    fl_yielding yielding = {.samples = COUNT};
    begin(&own);
    fl_arena_init(&yielding.arena);
    for (size_t i = 0; i < COUNT; i++) {
        values[i] = 20.0 + fl_random_normal(2, i, 0);
        add_one(&own, values[i]);
    }
    fl_histogram_close(&own.histogram);
    const fl_reached limits[] = {{30.0, 3}, {18.25, 4000}, {20.5, 2000}, {18.25, 4000}};
    check_ok(fl_histogram_curve(&yielding, &own.histogram, limits, 4, &error), error);
    for (size_t i = 0; i < yielding.curve_count; i++) {
        const fl_curve_point *point = &yielding.curve[i];
        size_t reach = 0;
        for (size_t k = 0; k < COUNT; k++)
            reach += values[k] >= point->return_loss_db;
        bool given = point->return_loss_db == 18.25 || point->return_loss_db == 20.5 ||
                     point->return_loss_db == 30.0;
        double wanted = (double)reach / COUNT;
        for (size_t k = 0; k < 3 && given; k++)
            if (limits[k].limit_db == point->return_loss_db)
                wanted = (double)limits[k].count / COUNT;
        check_near(wanted, point->yield, 0.0, "yield at %g dB", point->return_loss_db);
        assert_true(i == 0 || point->return_loss_db > point[-1].return_loss_db);
    }
    /* 16.5 to 23.5 dB by halves, 18.25 and 30; 20.5 is one of the halves. */
    assert_true(yielding.curve[0].yield > 0.999);
    assert_true(yielding.curve[1].yield <= 0.999);
    size_t last = yielding.curve_count - 2;
    assert_true(yielding.curve[last].yield < 0.001 && yielding.curve[last - 1].yield >= 0.001);
    check_near(30.0, yielding.curve[last + 1].return_loss_db, 0.0, "the limit beyond the curve");
    fl_arena_release(&yielding.arena);
    fl_arena_release(&own.arena);
}

/* However far the values reach, the curve has at most 60 points. */
static void test_long(void **state)
{
    (void)state;
    fixture own;
    fl_error error;
    fl_yielding yielding = {.samples = 0};
    begin(&own);
    fl_arena_init(&yielding.arena);
    check_ok(fl_histogram_curve(&yielding, &own.histogram, NULL, 0, &error), error);
    assert_int_equal(yielding.curve_count, 0);
    for (size_t i = 0; i < 1000; i++)
        add_one(&own, 0.2 * (double)i);
    fl_histogram_close(&own.histogram);
    check_ok(fl_histogram_curve(&yielding, &own.histogram, NULL, 0, &error), error);
    assert_int_equal(yielding.curve_count, 60);
    check_near(0.0, yielding.curve[0].return_loss_db, 0.0, "first");
    check_near(29.5, yielding.curve[59].return_loss_db, 0.0, "last");
    fl_arena_release(&yielding.arena);
    fl_arena_release(&own.arena);
}

/** Samples of a bar, counted one by one: values go to bins of 0.001 dB, rounded down. */
static uint64_t in_bar(const double *values, size_t count, double low, double high)
{
    uint64_t found = 0;
    for (size_t i = 0; i < count; i++) {
        const double bin = floor(values[i] * 1000.0) + 0.5;
        found += bin > 1000.0 * low && bin < 1000.0 * high;
    }
    return found;
}

/* Every bar against a count of its own; even widths; a thousandth at most is outside each end. */
static void test_bars(void **state)
{
    (void)state;
    enum { COUNT = 5000 };
    static const double widths[] = {0.02, 1.0, 1.7, 9.0};
    static double values[COUNT];
    for (size_t w = 0; w < sizeof widths / sizeof *widths; w++) {
        fixture own;
        fl_error error;
        fl_bars bars = {.count = 0};
        uint64_t inside = 0;
        begin(&own);
        for (size_t i = 0; i < COUNT; i++) {
            values[i] = 30.0 + widths[w] * fl_random_normal(2, i, 0);
            add_one(&own, values[i]);
        }
        fl_histogram_close(&own.histogram);
        check_ok(fl_histogram_bars(&bars, &own.arena, &own.histogram, &error), error);
        assert_in_range(bars.count, FL_MOST_BARS / 2, FL_MOST_BARS);
        for (size_t i = 0; i < bars.count; i++) {
            const double low = bars.from_db + bars.step_db * (double)i;
            assert_int_equal(in_bar(values, COUNT, low, low + bars.step_db), bars.counts[i]);
            inside += bars.counts[i];
        }
        assert_int_equal(in_bar(values, COUNT, -100.0, bars.from_db), bars.below);
        assert_int_equal(inside + bars.below + bars.above, COUNT);
        assert_true(bars.below <= COUNT / 1000 && bars.above <= COUNT / 1000);
        fl_arena_release(&own.arena);
    }
}

/* Equal values are one bar; those without a value, or below 0 dB, are below; nothing is no bars. */
static void test_few_bars(void **state)
{
    (void)state;
    fixture own;
    fl_error error;
    fl_bars bars = {.count = 0};
    begin(&own);
    fl_histogram_close(&own.histogram);
    check_ok(fl_histogram_bars(&bars, &own.arena, &own.histogram, &error), error);
    assert_int_equal(bars.count, 0);
    fl_arena_release(&own.arena);
    begin(&own);
    add_one(&own, (double)NAN);
    add_one(&own, -3.0);
    fl_histogram_close(&own.histogram);
    check_ok(fl_histogram_bars(&bars, &own.arena, &own.histogram, &error), error);
    assert_int_equal(bars.count, 0);
    fl_arena_release(&own.arena);
    begin(&own);
    add_one(&own, (double)NAN);
    for (size_t i = 0; i < 5; i++)
        add_one(&own, 250.0);
    fl_histogram_close(&own.histogram);
    check_ok(fl_histogram_bars(&bars, &own.arena, &own.histogram, &error), error);
    assert_int_equal(bars.count, 1);
    assert_int_equal(bars.counts[0], 5);
    assert_int_equal(bars.below, 1);
    assert_int_equal(bars.above, 0);
    check_near(200.0, bars.from_db, 0.0, "the ceiling");
    fl_arena_release(&own.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_percentiles), cmocka_unit_test(test_ends),
        cmocka_unit_test(test_curve),       cmocka_unit_test(test_long),
        cmocka_unit_test(test_bars),        cmocka_unit_test(test_few_bars),
    };
    return cmocka_run_group_tests_name("studies/percentile", tests, NULL, NULL);
}
