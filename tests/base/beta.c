/* The beta distribution: closed forms, binomial sums, another library. */
#include "check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "base/beta.h"

/* b = 1: x^a; a = 1: 1 - (1 - x)^b. The smaller of both shares has its own digits. */
static void test_powers(void **state)
{
    (void)state;
    static const double orders[] = {1.0, 2.0, 10.0, 1e3, 1e6, 1e9};
    for (size_t i = 0; i < sizeof orders / sizeof *orders; i++)
        for (double share = 1e-9; share < 0.5; share *= 5.0) {
            double below, above;
            const double x = -expm1(log1p(-share) / orders[i]);
            fl_beta_shares(&below, &above, (const double[]){x, exp(log1p(-share) / orders[i])}, 1.0,
                           orders[i]);
            check_close(share, below, 1e-11, "below %.3g, 1, %g", x, orders[i]);
            const double y = exp(log(share) / orders[i]);
            fl_beta_shares(&below, &above, (const double[]){y, -expm1(log(share) / orders[i])},
                           orders[i], 1.0);
            check_close(share, below, 1e-15 * orders[i] + 1e-11, "below %.9g, %g, 1", y, orders[i]);
        }
}

static void test_ends(void **state)
{
    (void)state;
    double below, above;
    fl_beta_shares(&below, &above, (const double[]){0.0, 1.0}, 3.0, 4.0);
    check_near(0.0, below, 0.0, "below 0");
    check_near(1.0, above, 0.0, "above 0");
    fl_beta_shares(&below, &above, (const double[]){1.0, 0.0}, 3.0, 4.0);
    check_near(1.0, below, 0.0, "below 1");
    check_near(0.0, above, 0.0, "above 1");
}

/* The other way: the GNU Scientific Library, which is good for moderate orders. */
static void test_moderate(void **state)
{
    (void)state;
    static const double orders[][2] = {{1, 1},      {2, 3},     {5, 50},  {50, 50},  {951, 50},
                                       {9508, 493}, {0.5, 0.5}, {0.2, 7}, {30, 0.5}, {0.01, 3}};
    for (size_t i = 0; i < sizeof orders / sizeof *orders; i++)
        for (int k = -4; k <= 4; k++) {
            const double a = orders[i][0], b = orders[i][1], mean = a / (a + b);
            const double x = mean + k * sqrt(mean * (1.0 - mean) / (a + b + 1.0));
            double below, above;
            if (x <= 0.0 || x >= 1.0)
                continue;
            fl_beta_shares(&below, &above, (const double[]){x, 1.0 - x}, a, b);
            check_close(gsl_cdf_beta_P(x, a, b), below, 1e-12, "below, %g, %g, %d", a, b, k);
            check_close(gsl_cdf_beta_Q(x, a, b), above, 1e-12, "above, %g, %g, %d", a, b, k);
        }
}

/* Large and equal orders: a normal distribution and the first term behind it, of the kurtosis k =
 * -6 / (2 a + 3): -f(z) k (z^3 - 3 z) / 24, f the normal density (Edgeworth's series)
 * [Johnson1994]. No library was found that has digits there. */
static void test_large(void **state)
{
    (void)state;
    for (int k = -4; k <= 4; k++) {
        double below, above;
        const double order = 5e8, z = k, x = 0.5 + 0.5 * z / sqrt(2.0 * order + 1.0);
        const double first =
            gsl_ran_ugaussian_pdf(z) * 6.0 / (2.0 * order + 3.0) * (z * z * z - 3.0 * z) / 24.0;
        fl_beta_shares(&below, &above, (const double[]){x, 1.0 - x}, order, order);
        check_close(gsl_cdf_ugaussian_P(z) + first, below, 1e-10, "below %d sigma", k);
        check_close(gsl_cdf_ugaussian_Q(z) - first, above, 1e-10, "above %d sigma", k);
    }
}

/* Student's distribution, which is one of these: its limit for many degrees of freedom is normal,
 * and the other library has it for few. */
static void test_student(void **state)
{
    (void)state;
    static const double freedoms[] = {1.0, 2.0, 9.0, 99.0, 999.0};
    for (size_t i = 0; i < sizeof freedoms / sizeof *freedoms; i++)
        for (double t = 0.1; t < 7.0; t *= 1.5) {
            const double n = freedoms[i], at[] = {n / (n + t * t), t * t / (n + t * t)};
            double below, above;
            fl_beta_shares(&below, &above, at, 0.5 * n, 0.5);
            check_close(2.0 * gsl_cdf_tdist_Q(t, n), below, 1e-9, "t %g of %g", t, n);
        }
    const double many = 1e11, two[] = {many / (many + 4.0), 4.0 / (many + 4.0)};
    double below, above;
    fl_beta_shares(&below, &above, two, 0.5 * many, 0.5);
    check_close(2.0 * gsl_cdf_ugaussian_Q(2.0), below, 1e-10, "two sigma");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_powers), cmocka_unit_test(test_ends), cmocka_unit_test(test_moderate),
        cmocka_unit_test(test_large), cmocka_unit_test(test_student)};
    return cmocka_run_group_tests_name("base/beta", tests, NULL, NULL);
}
