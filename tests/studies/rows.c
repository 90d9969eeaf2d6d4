/* Samples judged in rows against the same samples one by one. */
#include "base/random.h"
#include "check.h"
#include "studies/tally.h"

/* Two cases; return losses at both ports and a transmission. */
enum { CASES = 2, ASKED = 3, POINTS = 3, RUNS = CASES * ASKED };

static const fl_band bands[] = {{20e9, 29e9}};
static const double frequencies[POINTS] = {20e9, 24e9, 29e9};
static const fl_quantity quantities[] = {{.name = "a"}};
static const double nominal[] = {10.0};

/* What is asked decides what the figure is: a return loss, or the smallest margin. */
static const fl_requirement asked[][ASKED] = {
    {{FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0, 2.0, 0, false},
     {FL_RETURN_LOSS, FL_PORT_DIE, true, 10.0, 1.0, 0, false},
     {FL_INSERTION_LOSS, FL_PORT_BOARD, false, 14.0, 1.0, 0, false}},
    {{FL_REJECTION, FL_PORT_BOARD, true, 13.0, 3.0, 0, false},
     {FL_REJECTION, FL_PORT_BOARD, true, 15.0, 1e-6, 0, false},
     {FL_INSERTION_LOSS, FL_PORT_BOARD, false, 14.0, 1.0, 0, true}},
};

typedef struct rig {
    fl_arena arena;
    fl_design design;
    fl_run runs[RUNS];
    size_t spread[1];
    double sigma[1];
    fl_ruler rulers[1];
    fl_counting counting;
    fl_verdict verdict;
    fl_tally rows, single;
} rig;

static void rig_open(rig *own, const fl_requirement *requirements)
{
    fl_error error;
    fl_arena_init(&own->arena);
    own->design = (fl_design){.bands = bands,
                              .band_count = 1,
                              .requirements = requirements,
                              .requirement_count = ASKED,
                              .quantities = quantities,
                              .quantity_count = 1,
                              .case_count = CASES};
    for (size_t i = 0; i < RUNS; i++)
        own->runs[i] = (fl_run){.case_index = i / ASKED,
                                .requirement = i % ASKED,
                                .first = i * POINTS,
                                .count = POINTS,
                                .frequencies = frequencies};
    own->spread[0] = 0;
    own->sigma[0] = 0.5;
    own->rulers[0] = fl_counting_ruler(nominal[0], 0.5);
    own->counting = (fl_counting){.design = &own->design,
                                  .nominal = nominal,
                                  .runs = own->runs,
                                  .run_count = RUNS,
                                  .spread = own->spread,
                                  .sigma = own->sigma,
                                  .rulers = own->rulers,
                                  .spread_count = 1,
                                  .base_db = 12.0};
    for (size_t i = 0; i < ASKED; i++)
        own->counting.has_return_loss |= fl_asks_return_loss(&requirements[i]);
    check_ok(fl_verdict_take(&own->verdict, &own->arena, &own->counting, &error), error);
    check_ok(fl_tally_take(&own->rows, &own->arena, &own->counting, &error), error);
    check_ok(fl_tally_take(&own->single, &own->arena, &own->counting, &error), error);
}

/** Worst powers about the limits, some lanes exactly there, some in doubt. */
typedef struct lot {
    double power[RUNS][FL_LANES], point[RUNS][FL_LANES], values[1][FL_LANES];
    fl_lane_worst found;
} lot;

static void fill(lot *own, uint64_t first)
{
    own->found = (fl_lane_worst){.power = own->power, .point = own->point};
    for (size_t i = 0; i < FL_LANES; i++) {
        for (uint32_t run = 0; run < RUNS; run++) {
            const double loss_db = 16.0 - 4.0 * fl_random_uniform(9, first + i, run);
            own->power[run][i] = pow(10.0, -0.1 * (i % 9 == 0 ? floor(loss_db) : loss_db));
            own->point[run][i] = floor(POINTS * fl_random_uniform(9, first + i, RUNS + run));
        }
        own->values[0][i] = 10.0 + 0.5 * fl_random_normal(9, first + i, 2 * RUNS);
        own->found.doubtful[i] = i % 11 == 0;
    }
}

/* All lanes one by one; those in doubt are given as not physical. */
static void add_single(rig *own, const lot *lanes, size_t count, fl_judged *judged)
{
    *judged = (fl_judged){.passed = 0};
    for (size_t i = 0; i < count; i++) {
        fl_lane_worst sure = lanes->found;
        sure.doubtful[i] = false;
        (void)fl_verdict_judge_lane(&own->verdict, &own->counting, &sure, i);
        if (lanes->found.doubtful[i])
            fl_verdict_judge(&own->verdict, &own->counting, NULL);
        fl_tally_add(&own->single, &own->counting, &own->verdict);
        judged->figure_db[i] = own->verdict.figure_db;
        judged->passed |= (uint64_t)own->verdict.passed << i;
        judged->physical |= (uint64_t)own->verdict.physical << i;
    }
}

/* The lanes that are left are those in doubt and those at a limit; they are added one by one. */
static void add_rows(rig *own, const lot *lanes, size_t count, const fl_vector *vector,
                     const fl_judged *wanted)
{
    fl_judged judged;
    const uint64_t rest =
        fl_tally_add_lanes(&own->rows, &own->counting, &judged, vector, &lanes->found, count);
    for (size_t i = 0; i < count; i++) {
        const bool decided = fl_verdict_judge_lane(&own->verdict, &own->counting, &lanes->found, i);
        assert_int_equal(rest >> i & 1, !decided);
        if (!decided) {
            judged.figure_db[i] = wanted->figure_db[i];
            judged.passed |= wanted->passed & (uint64_t)1 << i;
            judged.physical |= wanted->physical & (uint64_t)1 << i;
            if (lanes->found.doubtful[i])
                fl_verdict_judge(&own->verdict, &own->counting, NULL);
            fl_tally_add(&own->rows, &own->counting, &own->verdict);
        } else {
            check_near(wanted->figure_db[i], judged.figure_db[i], 1e-13, "figure of lane %zu", i);
        }
    }
    assert_true(count < FL_LANES || rest != 0);
    assert_true((rest & ~fl_first_lanes(count)) == 0);
    assert_int_equal(judged.passed, wanted->passed);
    assert_int_equal(judged.physical, wanted->physical);
    fl_tally_add_rows(&own->rows, &own->counting, &judged, vector, lanes->values, count);
}

static void check_counts(const rig *own)
{
    const fl_tally *a = &own->single, *b = &own->rows;
    assert_int_equal(a->passed, b->passed);
    assert_int_equal(a->not_physical, b->not_physical);
    assert_memory_equal(a->case_passed, b->case_passed, CASES * sizeof *a->case_passed);
    assert_memory_equal(a->failed, b->failed, RUNS * sizeof *a->failed);
    assert_memory_equal(a->reached, b->reached, ASKED * sizeof *a->reached);
}

/* Deviations and bins by hand. */
static void check_sums(const rig *own, const lot *lanes, size_t count, const fl_judged *judged)
{
    double passing = 0.0, failing = 0.0, outputs = 0.0, squares = 0.0, sum = 0.0, number = 0.0;
    for (size_t i = 0; i < count; i++) {
        const double off = lanes->values[0][i] - nominal[0];
        const double output = judged->figure_db[i] - own->counting.base_db;
        *((judged->passed >> i & 1) != 0 ? &passing : &failing) += off;
        if ((judged->physical >> i & 1) == 0)
            continue;
        outputs += output;
        squares += output * output;
    }
    for (size_t bin = 0; bin < FL_SHARE_BINS; bin++) {
        sum += own->rows.shares[0].bins[bin].sum;
        number += own->rows.shares[0].bins[bin].count;
    }
    check_near(failing, own->rows.deviations[0][0], 1e-13, "failing");
    check_near(passing, own->rows.deviations[0][1], 1e-13, "passing");
    check_near(outputs, sum, 1e-11, "sum of figures");
    check_near(squares, own->rows.shares[0].square_sum, 1e-11, "sum of squares");
    check_near((double)__builtin_popcountll(judged->physical), number, 0.0, "samples in bins");
}

static void test_rows(void **state)
{
    (void)state;
    static const size_t counts[] = {FL_LANES, 17, 1};
    static lot lanes;
    for (size_t a = 0; a < sizeof asked / sizeof *asked; a++)
        for (int width = 2; width <= 8; width *= 2) {
            const fl_vector *vector = fl_vector_of(width);
            for (uint64_t k = 0; vector != NULL && k < 60; k++) {
                rig own;
                fl_judged judged;
                const size_t count = counts[k % 3];
                rig_open(&own, asked[a]);
                fill(&lanes, 64 * k);
                add_single(&own, &lanes, count, &judged);
                add_rows(&own, &lanes, count, vector, &judged);
                check_counts(&own);
                check_sums(&own, &lanes, count, &judged);
                fl_arena_release(&own.arena);
            }
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_rows)};
    return cmocka_run_group_tests_name("studies/rows", tests, NULL, NULL);
}
