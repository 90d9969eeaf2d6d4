/* Runs, entries, and values that cannot be. */
#include "check.h"

#include "random.h"

/* Requirements that ask the same share one march, and each still has entries of its own. */
static void test_like_requirements(void **unused)
{
    (void)unused;
    sample s;
    bench b;
    size_t unknown = 0;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "series inductor");
    sample_set(&s, "inductance", 0.2e-9);
    sample_require(&s, FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0);
    sample_require(&s, FL_REJECTION, FL_PORT_BOARD, true, 3.0);
    sample_require(&s, FL_RETURN_LOSS, FL_PORT_BOARD, true, 10.0);
    sample_require(&s, FL_INSERTION_LOSS, FL_PORT_BOARD, false, 1.0);
    bench_open(&b, &s);
    assert_int_equal(b.run_count, 4);
    assert_int_equal(b.entries, 44);
    assert_true(fl_margins_gradient(b.margins, b.work, s.values, &(fl_unknowns){&unknown, 1},
                                    b.power, b.gradient));
    for (size_t i = 0; i < 11; i++) {
        assert_true(b.power[i] == b.power[22 + i] && b.gradient[i] == b.gradient[22 + i]);
        assert_true(b.power[11 + i] == b.power[33 + i]);
        /* Without loss the power divides: the slopes cancel. */
        check_near(1.0, b.power[i] + b.power[11 + i], 1e-13, "lane %zu", i);
        check_near(-b.gradient[i], b.gradient[11 + i], 1e-9 * fabs(b.gradient[i]), "lane %zu", i);
    }
    bench_close(&b);
}

/* A value out of its bounds is told, not computed. */
static void test_not_physical(void **unused)
{
    (void)unused;
    sample s;
    bench b;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "shunt capacitor");
    const size_t capacitance = sample_set(&s, "capacitance", 50e-15);
    sample_require(&s, FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0);
    bench_open(&b, &s);
    assert_true(fl_margins_power(b.margins, b.work, s.values, b.power));
    s.values[capacitance] = -1e-15;
    assert_false(fl_margins_power(b.margins, b.work, s.values, b.power));
    s.values[capacitance] = (double)NAN;
    assert_false(fl_margins_power(b.margins, b.work, s.values, b.power));
    bench_close(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_like_requirements),
                                       cmocka_unit_test(test_not_physical)};
    return cmocka_run_group_tests_name("response/margins", tests, NULL, NULL);
}
