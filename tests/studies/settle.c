/* What ranks bring together: here a rank whose partner does and counts the same. Ranks that differ
 * are in studies/ranks. */
#include "running.h"

static int share_alike(void *payload, void *pieces, size_t bytes)
{
    (void)payload;
    memcpy((char *)pieces + bytes, pieces, bytes);
    return 0;
}

static int add_alike(void *payload, uint64_t *counts, size_t count)
{
    (void)payload;
    for (size_t i = 0; i < count; i++)
        counts[i] *= 2;
    return 0;
}

static int lose_share(void *payload, void *pieces, size_t bytes)
{
    (void)payload;
    (void)pieces;
    (void)bytes;
    return 1;
}

static int lose_add(void *payload, uint64_t *counts, size_t count)
{
    (void)payload;
    (void)counts;
    (void)count;
    return 1;
}

static const fl_ranks alike = {0, 2, share_alike, add_alike, NULL};
static const fl_ranks losing = {0, 2, lose_share, lose_add, NULL};

/* The sums of two rounds that are alike, in their order; counts only once they are settled. */
static void test_sums_and_counts(void **state)
{
    (void)state;
    rig alone, one;
    fl_error error;
    rig_open(&alone, 1, NULL);
    rig_open(&one, 1, &alike);
    check_ok(fl_production_round(&alone.run, FL_ROUND_SAMPLES, &error), error);
    check_ok(fl_production_round(&one.run, 2 * FL_ROUND_SAMPLES, &error), error);
    const fl_tally *single = &alone.run.sums.total, *total = &one.run.sums.total;
    assert_int_equal(total->samples, 2 * FL_ROUND_SAMPLES);
    assert_true(single->deviations[0][0] != 0.0);
    assert_true(total->deviations[0][0] == 2.0 * single->deviations[0][0]);
    assert_true(total->shares[1].square_sum == 2.0 * single->shares[1].square_sum);
    assert_int_equal(total->passed, 0);
    for (int again = 0; again < 2; again++) {
        check_ok(fl_production_settle(&one.run, &error), error);
        assert_true(single->passed > 0);
        assert_int_equal(total->passed, 2 * single->passed);
        assert_int_equal(total->failed[0].count, 2 * single->failed[0].count);
        assert_int_equal(one.run.sums.histogram.total, 2 * FL_ROUND_SAMPLES);
        for (size_t i = 0; i <= FL_LAST_BIN; i++)
            assert_int_equal(one.run.sums.histogram.bins[i], 2 * alone.run.sums.histogram.bins[i]);
    }
    rig_close(&alone);
    rig_close(&one);
}

/* What was read from a file is not counted twice. */
static void test_resume(void **state)
{
    (void)state;
    rig one;
    rig_open(&one, 1, &alike);
    one.run.sums.total.passed = 7;
    one.run.sums.histogram.bins[3] = 5;
    fl_production_resume(&one.run);
    assert_int_equal(one.run.own.total.passed, 7);
    assert_int_equal(one.run.own.histogram.bins[3], 5);
    rig_close(&one);
}

static void test_lost(void **state)
{
    (void)state;
    rig one;
    fl_error error;
    rig_open(&one, 1, &losing);
    assert_int_equal(fl_production_round(&one.run, FL_ROUND_SAMPLES, &error), FL_FAULT);
    assert_non_null(strstr(error.message, "lost"));
    assert_int_equal(fl_production_settle(&one.run, &error), FL_FAULT);
    rig_close(&one);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_sums_and_counts),
                                       cmocka_unit_test(test_resume), cmocka_unit_test(test_lost)};
    return cmocka_run_group_tests_name("studies/settle", tests, NULL, NULL);
}
