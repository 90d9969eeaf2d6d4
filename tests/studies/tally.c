/* Judging and counting of samples, on powers written by hand. */
#include "studies/tally.h"
#include "check.h"

/* Two cases, three requirements on three frequencies each; 1e-2 is 20 dB, 1e-1 is 10 dB. */
enum { CASES = 2, ASKED = 3, POINTS = 3, RUNS = CASES * ASKED, ENTRIES = RUNS * POINTS };

static const fl_band bands[] = {{20e9, 29e9}, {40e9, 46e9}};
static const double frequencies[][POINTS] = {{20e9, 24e9, 29e9}, {40e9, 43e9, 46e9}};
static const fl_requirement asked[ASKED] = {
    {FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0, 2.0, 0, false},
    {FL_RETURN_LOSS, FL_PORT_DIE, true, 10.0, 1.0, 0, false},
    {FL_REJECTION, FL_PORT_BOARD, true, 20.0, 1.0, 1, false},
};
static const fl_quantity quantities[] = {{.name = "a"}, {.name = "b"}};
static const fl_design design = {.bands = bands,
                                 .band_count = 2,
                                 .requirements = asked,
                                 .requirement_count = ASKED,
                                 .quantities = quantities,
                                 .quantity_count = 2,
                                 .case_count = CASES};
static const double nominal[] = {10.0, 100.0};

typedef struct rig {
    fl_arena arena;
    fl_run runs[RUNS];
    size_t spread[1];
    double sigma[1];
    fl_ruler rulers[1];
    fl_counting counting;
    fl_verdict verdict;
    fl_tally tally;
} rig;

static void rig_open(rig *own)
{
    fl_error error;
    fl_arena_init(&own->arena);
    for (size_t i = 0; i < RUNS; i++)
        own->runs[i] = (fl_run){.case_index = i / ASKED,
                                .requirement = i % ASKED,
                                .first = i * POINTS,
                                .count = POINTS,
                                .frequencies = frequencies[asked[i % ASKED].band]};
    own->spread[0] = 1;
    own->sigma[0] = 5.0;
    own->rulers[0] = fl_counting_ruler(nominal[1], 5.0);
    own->counting = (fl_counting){.design = &design,
                                  .nominal = nominal,
                                  .runs = own->runs,
                                  .run_count = RUNS,
                                  .spread = own->spread,
                                  .sigma = own->sigma,
                                  .rulers = own->rulers,
                                  .spread_count = 1,
                                  .has_return_loss = true};
    check_ok(fl_verdict_take(&own->verdict, &own->arena, &own->counting, &error), error);
    check_ok(fl_tally_take(&own->tally, &own->arena, &own->counting, &error), error);
}

/* Every figure 30 dB but one. */
static const double *powers(double *power, size_t entry, double value)
{
    for (size_t i = 0; i < ENTRIES; i++)
        power[i] = 1e-3;
    power[entry] = value;
    return power;
}

typedef struct verdict_row {
    const char *name;
    size_t entry;
    double power;
    bool passed[CASES];
    double return_loss_db[CASES], margin_db[CASES];
} verdict_row;

static const verdict_row verdict_rows[] = {
    {"all well", 0, 1e-3, {true, true}, {30.0, 30.0}, {10.0, 10.0}},
    {"just met", 1, 0.031622776601683791, {true, true}, {15.0, 30.0}, {0.0, 10.0}},
    {"first case, board", 2, 1e-1, {false, true}, {10.0, 30.0}, {-10.0, 10.0}},
    {"second case, die", 12, 1.0, {true, false}, {30.0, 0.0}, {10.0, -10.0}},
    {"second case, rejection", 15, 1e-1, {true, false}, {30.0, 30.0}, {10.0, -10.0}},
};

static void test_judge(void **state)
{
    (void)state;
    rig own;
    double power[ENTRIES];
    rig_open(&own);
    for (size_t r = 0; r < sizeof verdict_rows / sizeof *verdict_rows; r++) {
        const verdict_row *row = &verdict_rows[r];
        fl_verdict_judge(&own.verdict, &own.counting, powers(power, row->entry, row->power));
        assert_true(own.verdict.physical);
        assert_int_equal(own.verdict.passed, row->passed[0] && row->passed[1]);
        check_near(fmin(row->return_loss_db[0], row->return_loss_db[1]), own.verdict.figure_db,
                   1e-12, "%s, figure", row->name);
        for (size_t i = 0; i < CASES; i++) {
            assert_int_equal(own.verdict.case_passed[i], row->passed[i]);
            check_near(row->return_loss_db[i], own.verdict.return_loss_db[i], 1e-12, "%s, case %zu",
                       row->name, i);
            check_near(row->margin_db[i], own.verdict.margin_db[i], 1e-12, "%s, margin of %zu",
                       row->name, i);
        }
    }
    fl_verdict_judge(&own.verdict, &own.counting, NULL);
    assert_false(own.verdict.physical || own.verdict.passed || own.verdict.case_passed[0]);
    assert_true(isnan(own.verdict.figure_db) && isnan(own.verdict.margin_db[1]));
    fl_arena_release(&own.arena);
}

/* A block's worst powers come to the verdict of the powers themselves, but for samples at the edge
 * of a limit and those it is in doubt about. */
static void test_judge_lane(void **state)
{
    (void)state;
    static const struct {
        double power;
        bool doubtful, decided;
    } lanes[] = {
        {2e-3, false, true},
        {1e-1, false, false},            /* 10 dB: the limit at the die */
        {0.1 * 1.0000002, false, false}, /* 9e-7 dB worse */
        {0.1 * 1.000001, false, true},   /* 4e-6 dB worse */
        {1e-3, true, false},
    };
    enum { LANE = 5, WORST = 1, RUN = 1 };
    rig own, other;
    double power[ENTRIES], worst[RUNS][FL_LANES] = {{0.0}}, point[RUNS][FL_LANES] = {{0.0}};
    rig_open(&own);
    rig_open(&other);
    for (size_t r = 0; r < sizeof lanes / sizeof *lanes; r++) {
        fl_lane_worst found = {.power = worst, .point = point};
        for (size_t run = 0; run < RUNS; run++)
            worst[run][LANE] = 1e-3;
        worst[RUN][LANE] = lanes[r].power;
        point[RUN][LANE] = WORST;
        found.doubtful[LANE] = lanes[r].doubtful;
        assert_int_equal(fl_verdict_judge_lane(&own.verdict, &own.counting, &found, LANE),
                         lanes[r].decided);
        if (!lanes[r].decided)
            continue;
        fl_verdict_judge(&other.verdict, &other.counting,
                         powers(power, RUN * POINTS + WORST, lanes[r].power));
        assert_int_equal(own.verdict.passed, other.verdict.passed);
        check_near(other.verdict.figure_db, own.verdict.figure_db, 0.0, "figure of row %zu", r);
        assert_memory_equal(&own.verdict.worst[RUN], &other.verdict.worst[RUN], sizeof(fl_worst));
    }
    fl_arena_release(&own.arena);
    fl_arena_release(&other.arena);
}

static void add(rig *own, size_t entry, double value, double quantity)
{
    double power[ENTRIES];
    const double values[2][FL_LANES] = {{10.0}, {quantity}};
    fl_verdict_judge(&own->verdict, &own->counting,
                     value < 0.0 ? NULL : powers(power, entry, value));
    fl_tally_add(&own->tally, &own->counting, &own->verdict);
    const fl_judged judged = {.figure_db = {own->verdict.figure_db},
                              .passed = own->verdict.passed,
                              .physical = own->verdict.physical};
    fl_tally_add_rows(&own->tally, &own->counting, &judged, fl_vector_plain(), values, 1);
}

static void test_count(void **state)
{
    (void)state;
    rig own;
    rig_open(&own);
    add(&own, 0, 1e-3, 103.0);
    add(&own, 0, 1e-1, 90.0);   /* board, 20 GHz: the low third of 20 to 29 GHz */
    add(&own, 1, 1e-1, 95.0);   /* board, 24 GHz: the middle third */
    add(&own, 14, 1.0, 99.0);   /* die of the second case, 29 GHz: the high third */
    add(&own, 16, 1e-1, 101.0); /* rejection of the second case, 43 GHz: the middle third */
    add(&own, 0, -1.0, 80.0);   /* cannot be */
    const fl_tally *tally = &own.tally;
    assert_int_equal(tally->samples, 6);
    assert_int_equal(tally->passed, 1);
    assert_int_equal(tally->not_physical, 1);
    assert_int_equal(tally->case_passed[0], 3);
    assert_int_equal(tally->case_passed[1], 3);
    /* Besides the one that cannot be, which fails everything and has no third. */
    static const uint64_t wanted[RUNS][1 + FL_BAND_THIRDS] = {
        {3, 1, 1, 0}, {1, 0, 0, 0}, {1, 0, 0, 0}, {1, 0, 0, 0}, {2, 0, 0, 1}, {2, 0, 1, 0}};
    for (size_t run = 0; run < RUNS; run++) {
        assert_int_equal(tally->failed[run].count, wanted[run][0]);
        for (size_t third = 0; third < FL_BAND_THIRDS; third++)
            assert_int_equal(tally->failed[run].third[third], wanted[run][1 + third]);
    }
    /* Worst return losses 30, 10, 10, 0, 30 dB and none. */
    assert_int_equal(tally->reached[0], 2);
    assert_int_equal(tally->reached[1], 4);
    check_near(3.0, tally->deviations[0][1], 0.0, "sum over the passing");
    check_near(-10.0 - 5.0 - 1.0 + 1.0 - 20.0, tally->deviations[0][0], 0.0, "over the failing");
    double shared = 0.0;
    for (size_t bin = 0; bin < FL_SHARE_BINS; bin++)
        shared += tally->shares[0].bins[bin].count;
    check_near(5.0, shared, 0.0, "samples of the shares");
    fl_arena_release(&own.arena);
}

/* Blocks merged are the samples added in one go; sums of whole numbers do not round. */
static void test_merge(void **state)
{
    (void)state;
    static const double values[] = {1e-3, 1e-1, 1.0, -1.0};
    rig whole, part, total;
    rig_open(&whole);
    rig_open(&part);
    rig_open(&total);
    for (size_t block = 0; block < 3; block++) {
        fl_tally_clear(&part.tally, &part.counting);
        for (size_t i = 0; i < 40; i++) {
            size_t entry = (7 * i + block) % ENTRIES;
            add(&whole, entry, values[(i + block) % 4], 90.0 + (double)i);
            add(&part, entry, values[(i + block) % 4], 90.0 + (double)i);
        }
        fl_tally_merge(&total.tally, &part.tally, &total.counting);
    }
    const fl_tally *a = &whole.tally, *b = &total.tally;
    assert_int_equal(a->samples, b->samples);
    assert_int_equal(a->passed, b->passed);
    assert_int_equal(a->not_physical, b->not_physical);
    assert_memory_equal(a->case_passed, b->case_passed, CASES * sizeof *a->case_passed);
    assert_memory_equal(a->failed, b->failed, RUNS * sizeof *a->failed);
    assert_memory_equal(a->reached, b->reached, ASKED * sizeof *a->reached);
    assert_memory_equal(a->deviations, b->deviations, sizeof *a->deviations);
    for (size_t bin = 0; bin < FL_SHARE_BINS; bin++)
        check_near(a->shares[0].bins[bin].count, b->shares[0].bins[bin].count, 0.0, "bin %zu", bin);
    check_close(a->shares[0].square_sum, b->shares[0].square_sum, 1e-14, "sum of squares");
    fl_arena_release(&whole.arena);
    fl_arena_release(&part.arena);
    fl_arena_release(&total.arena);
}

/* Blocks that begin within a wafer and go over several: rows of wafers, each case and all. */
static void test_wafers(void **state)
{
    (void)state;
    fl_error error;
    fl_tally tally;
    rig own;
    rig_open(&own);
    own.counting.dice = 5;
    check_ok(fl_tally_take(&tally, &own.arena, &own.counting, &error), error);
    for (int again = 0; again < 2; again++) {
        fl_tally_begin(&tally, &own.counting, 13);
        for (size_t from = 0; from < 12; from += 7) { /* 13 to 24: 2 of wafer 2, wafers 3 and 4 */
            const size_t count = from + 7 < 12 ? 7 : 12 - from;
            uint64_t passed = 0;
            for (size_t i = 0; i < count; i++) {
                own.verdict.case_passed[0] = (from + i) % 2 == 0;
                own.verdict.case_passed[1] = from + i >= 3;
                own.verdict.passed = (from + i) % 2 == 0 && from + i >= 3;
                fl_tally_mark(&tally, &own.counting, &own.verdict, i);
                passed |= (uint64_t)own.verdict.passed << i;
            }
            fl_tally_add_wafers(&tally, &own.counting, passed, count);
        }
        static const uint32_t wanted[] = {1, 0, 0, 3, 4, 2, 2, 5, 2};
        assert_int_equal(tally.row, 2);
        for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
            assert_int_equal(tally.wafers[i], wanted[i]);
    }
    fl_arena_release(&own.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_judge),  cmocka_unit_test(test_judge_lane),
        cmocka_unit_test(test_count),  cmocka_unit_test(test_merge),
        cmocka_unit_test(test_wafers),
    };
    return cmocka_run_group_tests_name("studies/tally", tests, NULL, NULL);
}
