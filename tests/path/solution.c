/* Solutions that sections share: what makes them alike, and how far a quantity goes. */
#include "check.h"

#include "path/solution.h"
#include "sample.h"

/* Two leads, every parameter with a quantity of its own; the first varies in width. */
static void leads_sample(sample *s)
{
    static const fl_spread spread = {.shape = FL_UNIFORM, .amount = 20e-6};
    sample_init(s, 20e9, 40e9);
    for (int k = 0; k < 2; k++) {
        sample_add(s, "lead");
        sample_set(s, "length", k == 0 ? 200e-6 : 500e-6);
        const size_t width = sample_set(s, "width", 250e-6);
        sample_set(s, "thickness", 200e-6);
        sample_set(s, "standoff", 127e-6);
        s->quantities[width].spreads = &spread;
        s->quantities[width].spread_count = 1;
    }
}

static size_t count_solutions(const sample *s, double *longest)
{
    fl_error error = {0};
    fl_groundwork *plain = NULL, *fitted = NULL;
    check_ok(fl_groundwork_new(&plain, &s->design, &error), error);
    check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){false, true, s->values, 2}, &error),
             error);
    const size_t count = fitted->solution_count;
    *longest = fitted->solutions[0]->longest[0] * fl_solution_length;
    fl_groundwork_free(fitted);
    fl_groundwork_free(plain);
    return count;
}

/* Lengths do not matter, all else does: values, their spreads, and which of them vary. */
static void test_alike(void **unused)
{
    (void)unused;
    enum { OTHER_WIDTH = 5, OTHER_STANDOFF = 7 };
    static const fl_spread wider = {.shape = FL_UNIFORM, .amount = 21e-6};
    sample s;
    double longest = 0.0;
    leads_sample(&s);
    assert_int_equal(count_solutions(&s, &longest), 1);
    check_close(500e-6, longest, 1e-12, "the longest of both");
    s.values[OTHER_STANDOFF] = 128e-6;
    assert_int_equal(count_solutions(&s, &longest), 2);
    check_close(200e-6, longest, 1e-12, "the first alone");
    leads_sample(&s);
    s.quantities[OTHER_WIDTH].spreads = &wider;
    assert_int_equal(count_solutions(&s, &longest), 2);
    s.quantities[OTHER_WIDTH].spread_count = 0;
    assert_int_equal(count_solutions(&s, &longest), 2);
}

/* Range of a width of 100 um: its spread, and what a positive parameter may be. */
static const struct {
    fl_spread spread;
    double reach;
    bool sized;
    double low, high; /* um */
} ranges[] = {
    {{.shape = FL_NORMAL, .amount = 5e-6}, 6.0, false, 70.0, 130.0},
    {{.shape = FL_NORMAL, .amount = 5e-6, .within = 12e-6}, 6.0, false, 88.0, 112.0},
    {{.shape = FL_NORMAL, .amount = 0.05, .relative = true}, 4.0, false, 80.0, 120.0},
    {{.shape = FL_UNIFORM, .amount = 5e-6}, 3.0, false, 95.0, 105.0},
    {{.shape = FL_UNIFORM, .amount = 5e-6}, 3.0, true, 44.0, 209.0}, /* 50 to 200, 2 % more */
    {{.shape = FL_NORMAL, .amount = 50e-6}, 3.0, false, 0.1, 250.0}, /* a thousandth is left */
};

static void test_ranges(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++) {
        sample s;
        double ends[2];
        sample_init(&s, 20e9, 40e9);
        sample_add(&s, "lead");
        const size_t width = sample_set(&s, "width", 100e-6);
        s.quantities[width].spreads = &ranges[i].spread;
        s.quantities[width].spread_count = 1;
        s.quantities[width].sized = ranges[i].sized;
        s.quantities[width].low = 50e-6;
        s.quantities[width].high = 200e-6;
        const fl_vary vary = {true, true, s.values, 0};
        const fl_varied of = {&s.design, NULL, &vary, s.sections};
        fl_range(ends, &of, width, ranges[i].reach);
        check_close(1e-6 * ranges[i].low, ends[0], 1e-12, "low end of row %zu", i);
        check_close(1e-6 * ranges[i].high, ends[1], 1e-12, "high end of row %zu", i);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_alike), cmocka_unit_test(test_ranges)};
    return cmocka_run_group_tests_name("path/solution", tests, NULL, NULL);
}
