/* A run in rounds: sums do not depend on who made the blocks, nor on an interruption. */
#include "running.h"

/* Some rounds, and a part of one that ends within a block. */
enum { SAMPLES = 4 * FL_ROUND_BLOCKS * FL_BLOCK_SAMPLES - 5000 };

static void same(const rig *a, const rig *b)
{
    const fl_tally *one = &a->run.sums.total, *two = &b->run.sums.total;
    assert_int_equal(one->samples, two->samples);
    assert_int_equal(one->passed, two->passed);
    assert_memory_equal(one->deviations, two->deviations, 2 * sizeof *one->deviations);
    assert_memory_equal(one->shares, two->shares, 2 * sizeof *one->shares);
    assert_memory_equal(a->run.sums.histogram.bins, b->run.sums.histogram.bins,
                        (FL_LAST_BIN + 1) * sizeof(uint64_t));
}

static void test_rounds(void **state)
{
    (void)state;
    static const uint64_t ends[] = {FL_ROUND_SAMPLES, 3 * FL_ROUND_SAMPLES, SAMPLES};
    rig whole, parts;
    fl_error error;
    rig_open(&whole, 1, NULL);
    rig_open(&parts, 3, NULL);
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
        while (parts.run.sums.total.samples < ends[i]) {
            const uint64_t before = parts.run.sums.total.samples;
            check_ok(fl_production_round(&parts.run, ends[i], &error), error);
            assert_true(parts.run.sums.total.samples > before);
            assert_true(parts.run.sums.total.samples <= ends[i]);
        }
    while (whole.run.sums.total.samples < SAMPLES)
        check_ok(fl_production_round(&whole.run, SAMPLES, &error), error);
    assert_true(whole.run.sums.total.passed > SAMPLES / 3 && whole.run.sums.total.passed < SAMPLES);
    same(&whole, &parts);
    rig_close(&whole);
    rig_close(&parts);
}

/* No more than a round at a time, so that progress is asked in time. */
static void test_length(void **state)
{
    (void)state;
    rig own;
    fl_error error;
    rig_open(&own, 2, NULL);
    check_ok(fl_production_round(&own.run, SAMPLES, &error), error);
    assert_int_equal(own.run.sums.total.samples, FL_ROUND_BLOCKS * FL_BLOCK_SAMPLES);
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_rounds),
                                       cmocka_unit_test(test_length)};
    return cmocka_run_group_tests_name("studies/production", tests, NULL, NULL);
}
