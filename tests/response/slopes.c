/* Slopes of the powers against finite differences. */
#include "check.h"

#include "random.h"

/* Central difference of all entries for one unknown with a step relative to its value. */
static void difference(const bench *b, sample *s, size_t unknown, double relative, double *slope)
{
    const double value = s->values[unknown], step = relative * value;
    double *below = calloc(b->entries, sizeof *below);
    assert_non_null(below);
    s->values[unknown] = value + step;
    assert_true(fl_margins_power(b->margins, b->work, s->values, slope));
    s->values[unknown] = value - step;
    assert_true(fl_margins_power(b->margins, b->work, s->values, below));
    s->values[unknown] = value;
    for (size_t i = 0; i < b->entries; i++)
        slope[i] = (slope[i] - below[i]) / (2.0 * relative); /* d power / d ln value */
    free(below);
}

static void check_slopes(const bench *b, sample *s, size_t unknown, int trial)
{
    double *wide = calloc(b->entries, sizeof *wide), *near = calloc(b->entries, sizeof *near);
    assert_true(wide != NULL && near != NULL);
    difference(b, s, unknown, 2e-4, wide);
    difference(b, s, unknown, 1e-4, near);
    for (size_t i = 0; i < b->entries; i++) {
        /* Richardson: the error of order h^2 goes; its size bounds what is left. Rounding: powers
         * are true to 1e-12 near the poles of stubs, over steps of 1e-4. */
        const double refined = near[i] + (near[i] - wide[i]) / 3.0;
        const double allowed = 1e-8 * (1.0 + fabs(refined)) + fabs(near[i] - wide[i]) / 10.0;
        check_near(refined, b->gradient[unknown * b->entries + i] * s->values[unknown], allowed,
                   "trial %d quantity %zu (%s) entry %zu", trial, unknown,
                   s->quantities[unknown].name, i);
    }
    free(wide);
    free(near);
}

/* Exact slopes against differences, for every parameter of every lumped kind, line and stub. */
static void test_slopes_are_differences(void **unused)
{
    (void)unused;
    uint64_t state = 2;
    for (int trial = 0; trial < 100; trial++) {
        sample s;
        bench b;
        size_t unknowns[SAMPLE_QUANTITIES];
        random_sample(&s, &state);
        bench_open(&b, &s);
        const size_t count = s.design.quantity_count;
        for (size_t u = 0; u < count; u++)
            unknowns[u] = u;
        assert_true(fl_margins_gradient(b.margins, b.work, s.values,
                                        &(fl_unknowns){unknowns, count}, b.power, b.gradient));
        for (size_t u = 0; u < count; u++)
            check_slopes(&b, &s, u, trial);
        bench_close(&b);
    }
}

/* Powers with slopes asked for are the very same powers. */
static void test_gradient_keeps_power(void **unused)
{
    (void)unused;
    uint64_t state = 3;
    sample s;
    bench b;
    random_sample(&s, &state);
    bench_open(&b, &s);
    const size_t unknown = 0;
    double *alone = calloc(b.entries, sizeof *alone);
    assert_non_null(alone);
    assert_true(fl_margins_power(b.margins, b.work, s.values, alone));
    assert_true(fl_margins_gradient(b.margins, b.work, s.values, &(fl_unknowns){&unknown, 1},
                                    b.power, b.gradient));
    assert_memory_equal(alone, b.power, b.entries * sizeof *alone);
    free(alone);
    bench_close(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_slopes_are_differences),
                                       cmocka_unit_test(test_gradient_keeps_power)};
    return cmocka_run_group_tests_name("response/slopes", tests, NULL, NULL);
}
