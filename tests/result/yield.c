/* Yield of a result. */
#include "asked.h"

/** A yielding of 100 samples made by hand, and what it points to. */
typedef struct made {
    fl_case_yield cases[2];
    fl_failure failures[1];
    fl_shift shifts[1];
    fl_percentile percentiles[1];
    fl_curve_point curve[2];
    double quantities[2][16], losses[2][2], margins[2][2];
    fl_kept kept[2];
    uint64_t wafer_passed[3];
    uint64_t bars[2];
    fl_yielding yielding;
} made;

static void make(made *m, const asked *a)
{
    memset(m, 0, sizeof *m);
    assert_true(a->design->quantity_count <= 16);
    m->cases[0] = (fl_case_yield){97, 0.97, 0.9, 0.99};
    m->cases[1] = (fl_case_yield){95, 0.95, 0.88, 0.98};
    m->failures[0] =
        (fl_failure){.case_index = 1, .requirement = 1, .count = 5, .third = {4, 0, 1}};
    m->shifts[0].quantity = asked_index(a, "wire inductance", FL_NONE);
    m->shifts[0].failing = 0.11e-9;
    m->percentiles[0] = (fl_percentile){5.0, 14.5};
    m->curve[0] = (fl_curve_point){14.0, 0.98};
    m->curve[1] = (fl_curve_point){15.0, 0.91};
    for (size_t i = 0; i < 2; i++) {
        for (size_t q = 0; q < 16; q++)
            m->quantities[i][q] = (double)(100 * i + q);
        m->losses[i][1] = 15.0 + (double)i;
        m->margins[i][0] = 1.0 + (double)i;
        m->kept[i] = (fl_kept){m->quantities[i], m->losses[i], m->margins[i], i == 1};
    }
    m->wafer_passed[2] = 27;
    m->bars[1] = 90;
    m->yielding = (fl_yielding){.bars = {14.0, 0.5, m->bars, 2, 7, 3},
                                .samples = 100,
                                .passed = 94,
                                .estimate = 0.94,
                                .low = 0.87,
                                .high = 0.97,
                                .confidence = 0.9,
                                .seed = 5,
                                .not_physical = 1,
                                .cases = m->cases,
                                .failures = m->failures,
                                .failure_count = 1,
                                .shifts = m->shifts,
                                .shift_count = 1,
                                .percentiles = m->percentiles,
                                .percentile_count = 1,
                                .curve = m->curve,
                                .curve_count = 2,
                                .stopping = {0.002, true, 3, 9, 0.99},
                                .basis = FL_BASIS_WAFERS,
                                .effective = 31.5,
                                .plan = {2, 30},
                                .wafers = {30, 3, 0.9, 0.1, 0.8, 0.8, 0.9, 1.0, 1.0},
                                .lots = {60, 1, 0.9, (double)NAN, 0.9, 0.9, 0.9, 0.9, 0.9},
                                .wafer_passed = m->wafer_passed,
                                .kept = m->kept,
                                .kept_count = 2};
}

static void add(asked *a, made *m)
{
    fl_error error;
    asked_read(a, asked_text, "yield");
    make(m, a);
    check_ok(fl_result_add_yield(a->result, &a->study, &m->yielding, &error), error);
}

static void takes_shares(void **state)
{
    (void)state;
    asked a;
    made m;
    add(&a, &m);
    asked_forget(&a);
    memset(&m, 0xFF, sizeof m); /* must be a copy */
    const fl_result *r = a.result;
    assert_true(r->has_yield && !r->interrupted);
    check_near(94.0, (double)r->passed, 0.0, "passed");
    check_near(1.0, (double)r->not_physical, 0.0, "not physical");
    check_near(0.94, r->estimate, 0.0, "estimate");
    check_near(0.87, r->low, 0.0, "low");
    check_near(0.97, r->high, 0.0, "high");
    check_near(0.9, r->confidence, 0.0, "confidence");
    assert_int_equal(r->stopping.looks, 3);
    check_near(0.99, r->stopping.confidence, 0.0, "confidence of a look");
    assert_int_equal(r->basis, FL_BASIS_WAFERS);
    check_near(31.5, r->effective, 0.0, "effective samples");
    assert_int_equal(r->plan.dice, 30);
    assert_int_equal(r->wafers.count, 3);
    check_near(0.8, r->wafers.least, 0.0, "least of the wafers");
    assert_int_equal(r->lots.dice, 60);
    assert_int_equal(r->wafer_passed[2], 27);
    check_near(5.0, (double)r->seed, 0.0, "seed");
    assert_string_equal(r->cases[1].name, "far");
    check_near(0.95, r->cases[1].yield, 0.0, "yield of a case");
    check_near(0.88, r->cases[1].yield_low, 0.0, "low of a case");
    check_near(95.0, (double)r->cases[1].passed, 0.0, "passed of a case");
    check_near(14.5, r->percentiles[0].return_loss_db, 0.0, "percentile");
    check_near(0.91, r->curve[1].yield, 0.0, "curve");
    assert_int_equal(r->bars.count, 2);
    assert_int_equal(r->bars.counts[1], 90);
    assert_int_equal(r->bars.below, 7);
    check_near(0.5, r->bars.step_db, 0.0, "width of a bar");
    fl_result_free(a.result);
}

static void takes_failures_and_shifts(void **state)
{
    (void)state;
    asked a;
    made m;
    add(&a, &m);
    asked_forget(&a);
    const fl_result *r = a.result;
    assert_string_equal(r->failures[0].case_name, "far");
    assert_int_equal(r->failures[0].asked, FL_RETURN_LOSS);
    assert_int_equal(r->failures[0].port, FL_PORT_BOARD);
    check_near(4.0, (double)r->failures[0].third[0], 0.0, "low third");
    assert_string_equal(r->shifts[0].name, "wire inductance");
    assert_int_equal(r->shifts[0].dimension, FL_INDUCTANCE);
    check_near(0.11e-9, r->shifts[0].shift.failing, 0.0, "failing");
    fl_result_free(a.result);
}

static void keeps_what_varies(void **state)
{
    (void)state;
    asked a;
    made m;
    add(&a, &m);
    const fl_result *r = a.result;
    check_near(2.0, (double)r->kept_count, 0.0, "samples");
    size_t column = 0;
    for (size_t q = 0; q < a.design->quantity_count; q++) {
        if (a.design->quantities[q].spread_count == 0)
            continue;
        for (size_t i = 0; i < 2; i++)
            check_near((double)(100 * i + q), r->kept[i * r->kept_columns + column], 0.0,
                       "sample %zu of %s", i, r->kept_names[column]);
        column++;
    }
    check_near((double)column, (double)r->kept_columns, 0.0, "columns");
    assert_true(column >= 3);
    check_near(16.0, r->kept_return_loss_db[3], 0.0, "return loss, sample 1, case 1");
    check_near(2.0, r->kept_margin_db[2], 0.0, "margin, sample 1, case 0");
    assert_true(!r->kept_passed[0] && r->kept_passed[1]);
    asked_forget(&a);
    fl_result_free(a.result);
}

static void titles_columns(void **state)
{
    (void)state;
    static const char *const titles[] = {"wire inductance (H)", "cap, far (F)"};
    asked a;
    made m;
    add(&a, &m);
    asked_forget(&a);
    for (size_t t = 0; t < 2; t++) {
        bool found = false;
        for (size_t c = 0; c < a.result->kept_columns; c++)
            found = found || strcmp(a.result->kept_names[c], titles[t]) == 0;
        if (!found)
            print_error("no column '%s'\n", titles[t]);
        assert_true(found);
    }
    fl_result_free(a.result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(takes_shares), cmocka_unit_test(takes_failures_and_shifts),
        cmocka_unit_test(keeps_what_varies), cmocka_unit_test(titles_columns)};
    return cmocka_run_group_tests_name("result/yield", tests, NULL, NULL);
}
