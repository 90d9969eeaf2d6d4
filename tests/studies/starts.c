/* Starting points: in range, spread, the same each time, at every number of dimensions. */
#include "circuit.h"

enum { MOST = 1230 };

static fl_quantity quantities[MOST];

static void set_up(fl_design *design, fl_study *study, size_t count)
{
    for (size_t i = 0; i < count; i++)
        quantities[i] = (fl_quantity){
            .name = "q", .sized = true, .value = 3.0, .low = 2.0, .high = 10.0, .started = i % 2};
    *design = (fl_design){.quantities = quantities, .quantity_count = count, .file = "x"};
    *study = (fl_study){.design = design, .seed = 1, .threads = 1};
}

static void test_counts(void **state)
{
    (void)state;
    for (size_t n = 1; n <= 7; n++)
        assert_int_equal(fl_starts_count(n), 100);
    for (size_t n = 7; n < 16; n++)
        assert_true(fl_starts_count(n + 1) > fl_starts_count(n));
    assert_true(fl_starts_count(11) >= 300);
    for (size_t n = 16; n <= 1000; n++)
        assert_true(fl_starts_count(n) >= 50 && fl_starts_count(n) <= 1000);
}

/* 40 is the last dimension of Sobol's set here; 41 and on are Halton's. */
static const size_t dimensions[] = {1, 2, 5, 40, 41, 120, 1000};

static void check_spread(const double *starts, size_t count, size_t n)
{
    double close = 1e-3;
    for (size_t j = 0; j < n; j++) {
        double least = 10.0, most = 2.0, sum = 0.0;
        for (size_t i = 1; i < count; i++) {
            double value = starts[i * n + j];
            assert_true(value >= 2.0 && value <= 10.0);
            least = fmin(least, value);
            most = fmax(most, value);
            sum += value;
        }
        if (most - least < close)
            print_error("dimension %zu of %zu: all points between %g and %g\n", j, n, least, most);
        assert_true(most - least > close);
        if (n <= 40) /* a set that fills: the mean of 99 points is near the middle */
            check_near(6.0, sum / (double)(count - 1), 0.3, "mean of dimension %zu of %zu", j, n);
    }
}

static void test_points(void **state)
{
    (void)state;
    enum { COUNT = 100 };
    fl_design design;
    fl_study study;
    fl_search search;
    fl_error error;
    for (size_t k = 0; k < sizeof dimensions / sizeof *dimensions; k++) {
        size_t n = dimensions[k];
        set_up(&design, &study, n);
        check_ok(fl_search_init(&search, &study, &error), error);
        double *starts = fl_memory_take(2 * COUNT * n, sizeof *starts);
        check_ok(fl_starts_fill(starts, COUNT, &search, &error), error);
        check_ok(fl_starts_fill(starts + COUNT * n, COUNT, &search, &error), error);
        assert_memory_equal(starts, starts + COUNT * n, COUNT * n * sizeof *starts);
        for (size_t j = 0; j < n; j++)
            assert_true(starts[j] == (j % 2 ? 3.0 : 6.0)); /* own start, or the middle */
        check_spread(starts, COUNT, n);
        fl_memory_free(starts);
        fl_search_release(&search);
    }
}

/* With many dimensions neighbours must not march in step, nor crowd in a corner. */
static void test_high_dimensions(void **state)
{
    (void)state;
    enum { COUNT = 50, N = 300 };
    static double starts[COUNT * N];
    fl_design design;
    fl_study study;
    fl_search search;
    fl_error error;
    set_up(&design, &study, N);
    check_ok(fl_search_init(&search, &study, &error), error);
    check_ok(fl_starts_fill(starts, COUNT, &search, &error), error);
    for (size_t i = 1; i < COUNT; i++) {
        double sum = 0.0;
        for (size_t j = 0; j < N; j++)
            sum += starts[i * N + j];
        check_near(6.0, sum / N, 1.0, "centre of point %zu", i);
    }
    fl_search_release(&search);
}

static void test_limit(void **state)
{
    (void)state;
    static double starts[2 * MOST];
    fl_design design;
    fl_error error;
    fl_study study;
    set_up(&design, &study, MOST);
    fl_search search = {.study = &study, .count = MOST};
    assert_int_equal(fl_starts_fill(starts, 2, &search, &error), FL_BAD_INPUT);
    assert_true(starts[0] == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_counts),
        cmocka_unit_test(test_points),
        cmocka_unit_test(test_high_dimensions),
        cmocka_unit_test(test_limit),
    };
    return cmocka_run_group_tests_name("studies/starts", tests, NULL, NULL);
}
