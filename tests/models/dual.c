/* Dual numbers: each rule against the difference of the plain function. */
#include "check.h"

#include "models/dual.h"

/* A function of two variables in duals and in doubles, using every rule. */
static fl_dual dual_function(fl_dual a, fl_dual b)
{
    const fl_dual sum = fl_dual_add(fl_dual_multiply(a, a), fl_dual_scale(b, 3.0));
    const fl_dual root = fl_dual_sqrt(fl_dual_shift(sum, 1.0));
    const fl_dual ratio = fl_dual_divide(fl_dual_log(fl_dual_add(a, b)), root);
    return fl_dual_subtract(fl_dual_acosh(fl_dual_shift(sum, 1.5)), ratio);
}

static double plain_function(double a, double b)
{
    const double sum = a * a + 3.0 * b;
    return acosh(sum + 1.5) - log(a + b) / sqrt(sum + 1.0);
}

static void test_chain_rule(void **unused)
{
    (void)unused;
    for (int i = 1; i < 20; i++) {
        const double a = 0.3 * i, b = 5.0 / i, h = 1e-5;
        const fl_dual f = dual_function(fl_dual_variable(a, 0), fl_dual_variable(b, 3));
        check_close(plain_function(a, b), f.value, 1e-15, "value %d", i);
        /* central difference: h^2 times the third derivative, and rounding 1e-16 / h */
        check_near((plain_function(a + h, b) - plain_function(a - h, b)) / (2.0 * h), f.partial[0],
                   1e-9, "d/da %d", i);
        check_near((plain_function(a, b + h) - plain_function(a, b - h)) / (2.0 * h), f.partial[3],
                   1e-9, "d/db %d", i);
        assert_true(f.partial[1] == 0.0);
    }
}

static void test_constant(void **unused)
{
    (void)unused;
    const fl_dual c = fl_dual_constant(4.0);
    for (int i = 0; i < FL_CLOSED_PARTIALS; i++)
        assert_true(c.partial[i] == 0.0);
    check_near(4.0, c.value, 0.0, "value");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_chain_rule),
                                       cmocka_unit_test(test_constant)};
    return cmocka_run_group_tests_name("models/dual", tests, NULL, NULL);
}
