/* Random numbers against the published vectors and a second generator written from the paper; the
 * normal distribution against published points, the error function and GSL. */
#include "check.h"

#include <gsl/gsl_cdf.h>

#include "base/random.h"

/* Philox 4x32-10 as [Salmon2011] describes it, section 4.3. */
static void philox(uint32_t out[4], const uint32_t counter[4], const uint32_t key[2])
{
    uint32_t x[4] = {counter[0], counter[1], counter[2], counter[3]};
    uint32_t k[2] = {key[0], key[1]};
    for (int round = 0; round < 10; round++) {
        uint64_t a = (uint64_t)x[0] * 0xD2511F53U;
        uint64_t b = (uint64_t)x[2] * 0xCD9E8D57U;
        uint32_t next[4] = {(uint32_t)(b >> 32) ^ x[1] ^ k[0], (uint32_t)b,
                            (uint32_t)(a >> 32) ^ x[3] ^ k[1], (uint32_t)a};
        memcpy(x, next, sizeof x);
        k[0] += 0x9E3779B9U;
        k[1] += 0xBB67AE85U;
    }
    memcpy(out, x, sizeof x);
}

/* The vectors published with Random123 [Salmon2011], philox4x32 10. */
static void test_second_generator(void **state)
{
    (void)state;
    static const struct {
        uint32_t counter[4], key[2], wanted[4];
    } rows[] = {
        {{0, 0, 0, 0}, {0, 0}, {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}},
        {{0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff},
         {0xffffffff, 0xffffffff},
         {0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}},
        {{0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344},
         {0xa4093822, 0x299f31d0},
         {0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        uint32_t got[4];
        philox(got, rows[i].counter, rows[i].key);
        assert_memory_equal(rows[i].wanted, got, sizeof got);
    }
}

static void test_uniform(void **state)
{
    (void)state;
    static const struct {
        uint64_t seed, sample;
        uint32_t item;
    } rows[] = {{0, 0, 0},
                {1, 0, 0},
                {0, 1, 0},
                {0, 0, 1},
                {0x299f31d0a4093822, 0x85a308d3243f6a88, 0x13198a2e},
                {UINT64_MAX, UINT64_MAX, UINT32_MAX}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        uint32_t counter[4] = {(uint32_t)rows[i].sample, (uint32_t)(rows[i].sample >> 32),
                               rows[i].item / 4, 0};
        uint32_t key[2] = {(uint32_t)rows[i].seed, (uint32_t)(rows[i].seed >> 32)};
        uint32_t drawn[4];
        philox(drawn, counter, key);
        double wanted = ldexp(drawn[rows[i].item % 4], -32); /* items share a counter */
        double got = fl_random_uniform(rows[i].seed, rows[i].sample, rows[i].item);
        check_near(wanted + 0x1p-33, got, 0.0, "row %zu", i); /* same bits */
        assert_true(got > 0.0 && got < 1.0);
    }
}

/* Mean and variance of uniform and normal draws; bounds are five standard errors. */
static void test_moments(void **state)
{
    (void)state;
    enum { COUNT = 20000 };
    double sums[5] = {0.0};
    for (uint64_t i = 0; i < COUNT; i++) {
        double u = fl_random_uniform(7, i, 3);
        double z = fl_random_normal(7, i, 4);
        double other = fl_random_normal(7, i, 5);
        sums[0] += u;
        sums[1] += (u - 0.5) * (u - 0.5);
        sums[2] += z;
        sums[3] += z * z;
        sums[4] += z * other;
    }
    double root = sqrt(COUNT);
    check_near(0.5, sums[0] / COUNT, 5.0 * sqrt(1.0 / 12.0) / root, "mean of uniform");
    check_near(1.0 / 12.0, sums[1] / COUNT, 5.0 * sqrt(1.0 / 180.0) / root, "variance of uniform");
    check_near(0.0, sums[2] / COUNT, 5.0 / root, "mean of normal");
    check_near(1.0, sums[3] / COUNT, 5.0 * sqrt(2.0) / root, "variance of normal");
    check_near(0.0, sums[4] / COUNT, 5.0 / root, "correlation of two items");
}

static void test_normal_points(void **state)
{
    (void)state;
    static const struct {
        double p, x, relative;
    } rows[] = {
        {0.25, -0.6744897501960817, 4e-16}, /* [Wichura1988], check value */
        {0.001, -3.090232306167814, 4e-16}, /* [Wichura1988], check value */
        {1e-20, -9.262340089798408, 4e-16}, /* [Wichura1988], check value */
        {0.975, 1.959963984540054, 4e-16},  /* common practice, no source */
        {0.5, 0.0, 0.0},                    /* symmetry */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check_close(rows[i].x, fl_normal_quantile(rows[i].p), rows[i].relative, "quantile of %g",
                    rows[i].p);
}

/* Shares against GSL; quantiles against GSL, and back through the error function. In extended
 * precision the quantile was seen to be good to 6e-16 of x, which the way back magnifies by
 * |x| density / share < 1 + x^2, and the share to 2e-16 (1 + x^2). */
static void test_normal_routes(void **state)
{
    (void)state;
    for (double x = -37.0; x <= 8.0; x += 0.0625)
        check_close(gsl_cdf_ugaussian_P(x), fl_normal_share(x), 1e-15 * (4.0 + x * x),
                    "share below %g", x);
    for (int i = 1; i < 2000; i++) {
        double p = i < 1000 ? i / 1000.0 : pow(10.0, -(i - 999) * 0.3);
        double x = fl_normal_quantile(p);
        check_near(gsl_cdf_ugaussian_Pinv(p), x, 4e-15 * (1.0 + fabs(x)), "quantile of %g", p);
        check_close(p, fl_normal_share(x), 8e-16 * (1.0 + x * x), "back from quantile of %g", p);
        if (p >= 0x1p-20 && 1.0 - (1.0 - p) == p)
            check_near(-x, fl_normal_quantile(1.0 - p), 0.0, "symmetry at %g", p);
    }
}

/* Against GSL: the bound is that of the ratios by their fit, in the tails with 1/4.2 of the error
 * of the logarithm. Odd about the middle, and finite at the ends of the uniform numbers. */
static void test_draw(void **state)
{
    (void)state;
    static const double edges[] = {
        0.5 - FL_MIDDLE, 0.5 - FL_MIDDLE - 0x1p-32, 0x1p-33, 0x1p-53, 0x1p-54, 1e-300, 1e-9};
    for (int i = 1; i < 40000; i++) {
        const double u = i < 20000 ? i / 40000.0 : pow(2.0, -1.0 - (i - 20000) * 0.0026);
        check_close(gsl_cdf_ugaussian_Pinv(u), fl_normal_draw(u), 4.2e-10, "draw of %.17g", u);
        if (1.0 - (1.0 - u) == u)
            check_near(-fl_normal_draw(u), fl_normal_draw(1.0 - u), 0.0, "symmetry at %.17g", u);
    }
    for (size_t i = 0; i < sizeof edges / sizeof *edges; i++)
        check_close(gsl_cdf_ugaussian_Pinv(edges[i]), fl_normal_draw(edges[i]), 4.2e-10,
                    "draw of %g", edges[i]);
    check_near(0.0, fl_normal_draw(0.5), 0.0, "the middle");
    check_near(6.34, fl_normal_draw(1.0 - 0x1p-33), 5e-3, "greatest draw"); /* by GSL */
}

/* In the tails the lanes divide by it as well, for nothing. */
static void test_denominator(void **state)
{
    (void)state;
    for (int i = 0; i <= 1000; i++) {
        const double q = 0.5 * i / 1000.0, y = FL_MIDDLE * FL_MIDDLE - q * q;
        double sum = 0.0;
        for (int k = FL_MIDDLE_TERMS; k-- > 0;)
            sum = sum * y + fl_draw_middle[1][k];
        assert_true(sum > 0.03 && sum < 2000.0);
    }
}

/* Far out it is finite, and opposite. */
static void test_ends(void **state)
{
    (void)state;
    double least = fl_normal_quantile(0x1p-53);
    check_near(-8.209536151601387, least, 1e-14, "quantile of 2^-53"); /* by GSL */
    check_near(-least, fl_normal_quantile(1.0 - 0x1p-53), 0.0, "quantile of 1 - 2^-53");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_second_generator),
        cmocka_unit_test(test_uniform),
        cmocka_unit_test(test_moments),
        cmocka_unit_test(test_normal_points),
        cmocka_unit_test(test_normal_routes),
        cmocka_unit_test(test_ends),
        cmocka_unit_test(test_draw),
        cmocka_unit_test(test_denominator),
    };
    return cmocka_run_group_tests_name("base/random", tests, NULL, NULL);
}
