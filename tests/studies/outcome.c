/* From the sums of a Monte Carlo run to its results, on sums written by hand. */
#include "check.h"
#include "studies/tally.h"

enum { CASES = 2, ASKED = 2, RUNS = CASES * ASKED };

static const fl_requirement asked[ASKED] = {
    {FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.2, 1.0, 0, false},
    {FL_INSERTION_LOSS, FL_PORT_BOARD, false, 1.0, 1.0, 0, false},
};
static const fl_quantity quantities[] = {{.name = "a"}, {.name = "b"}};
static const fl_design design = {.requirements = asked,
                                 .requirement_count = ASKED,
                                 .quantities = quantities,
                                 .quantity_count = 2,
                                 .case_count = CASES,
                                 .confidence = 0.9};
static const double nominal[] = {10.0, 0.0};
static const fl_run runs[RUNS] = {
    {.case_index = 0, .requirement = 0},
    {.case_index = 0, .requirement = 1},
    {.case_index = 1, .requirement = 0},
    {.case_index = 1, .requirement = 1},
};

typedef struct rig {
    fl_arena arena;
    size_t spread[2];
    double sigma[2];
    fl_counting counting;
    fl_sums sums;
    fl_yielding yielding;
} rig;

static void rig_open(rig *own)
{
    fl_error error;
    *own = (rig){.spread = {0, 1}, .sigma = {0.5, 0.0}};
    own->counting = (fl_counting){.design = &design,
                                  .nominal = nominal,
                                  .runs = runs,
                                  .run_count = RUNS,
                                  .spread = own->spread,
                                  .sigma = own->sigma,
                                  .spread_count = 2,
                                  .has_return_loss = true};
    fl_arena_init(&own->arena);
    fl_arena_init(&own->yielding.arena);
    own->sums.looks.confidence = design.confidence;
    own->sums.wafers.columns = design.case_count + 1;
    check_ok(fl_tally_take(&own->sums.total, &own->arena, &own->counting, &error), error);
    check_ok(fl_histogram_take(&own->sums.histogram, &own->arena, &error), error);
}

static void rig_close(rig *own)
{
    fl_arena_release(&own->arena);
    fl_arena_release(&own->yielding.arena);
}

static void test_sums(void **state)
{
    (void)state;
    fl_error error;
    rig own;
    rig_open(&own);
    /* 30 samples: 12 pass, 25 and 13 in the cases, 2 cannot be. */
    own.sums.total.samples = 30;
    own.sums.total.passed = 12;
    own.sums.total.not_physical = 2;
    own.sums.total.case_passed[0] = 25;
    own.sums.total.case_passed[1] = 13;
    own.sums.total.failed[0].count = 5;
    own.sums.total.failed[2] = (fl_failed){17, {10, 4, 1}};
    own.sums.total.failed[3].count = 5;
    own.sums.total.reached[0] = 11;
    own.sums.total.deviations[0][1] = 6.0;
    own.sums.total.deviations[0][0] = -9.0;
    for (int i = 0; i < 30; i++)
        fl_histogram_add(&own.sums.histogram, &(double){10.0 + i}, 1);
    const fl_yielding *got = &own.yielding;
    check_ok(fl_outcome_fill(&own.yielding, &own.counting, &own.sums, &error), error);
    check_near(0.4, got->estimate, 0.0, "estimate");
    /* 12 of 30 at 90 %: printed in a public table of examples. */
    check_near(0.2495, got->low, 5e-5, "low");
    check_near(0.5661, got->high, 5e-5, "high");
    check_near(25.0 / 30.0, got->cases[0].estimate, 1e-15, "first case");
    check_near(13.0 / 30.0, got->cases[1].estimate, 1e-15, "second case");
    assert_true(got->cases[1].low < got->cases[1].estimate);
    /* Most frequent first, equals in the order of cases; none without a count. */
    static const size_t order[] = {2, 0, 3};
    assert_int_equal(got->failure_count, 3);
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(got->failures[i].case_index, runs[order[i]].case_index);
        assert_int_equal(got->failures[i].requirement, runs[order[i]].requirement);
    }
    assert_int_equal(got->failures[0].third[0], 10);
    check_near(10.5, got->shifts[0].passing, 1e-15, "mean of the passing");
    check_near(9.5, got->shifts[0].failing, 1e-15, "mean of the failing");
    check_near(-2.0, got->shifts[0].sigmas, 1e-15, "shift");
    assert_true(isnan(got->shifts[1].sigmas) && isnan(got->shifts[0].share));
    assert_int_equal(got->percentile_count, 7);
    check_near(24.0, got->percentiles[3].return_loss_db, 0.0, "median");
    bool limit_seen = false;
    for (size_t i = 0; i < got->curve_count; i++)
        if (got->curve[i].return_loss_db == 15.2) {
            check_near(11.0 / 30.0, got->curve[i].yield, 1e-15, "yield at the limit");
            limit_seen = true;
        }
    assert_true(limit_seen);
    rig_close(&own);
}

/* No samples at all: nothing is known, and nothing is divided by zero. */
static void test_none(void **state)
{
    (void)state;
    fl_error error;
    rig own;
    rig_open(&own);
    check_ok(fl_outcome_fill(&own.yielding, &own.counting, &own.sums, &error), error);
    check_near(0.0, own.yielding.estimate, 0.0, "estimate");
    check_near(0.0, own.yielding.low, 0.0, "low");
    check_near(1.0, own.yielding.high, 0.0, "high");
    assert_int_equal(own.yielding.percentile_count, 0);
    assert_int_equal(own.yielding.curve_count, 0);
    assert_true(isnan(own.yielding.shifts[0].passing));
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sums),
        cmocka_unit_test(test_none),
    };
    return cmocka_run_group_tests_name("studies/outcome", tests, NULL, NULL);
}
