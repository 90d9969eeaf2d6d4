/* Shares of variance by level: closed forms, and bins of a yield as another estimate. */
#include "circuit.h"

static const char *const port = "\"impedance\": \"50 ohm\"";

static void run(fl_levels *levels, const circuit *own)
{
    fl_error error;
    double nominal[32];
    assert_true(own->design->quantity_count <= 32);
    fl_design_start(own->design, nominal);
    check_ok(fl_levels_run(levels, &own->study, nominal, &error), error);
}

/** An inductance in the line, with spreads. */
static void open_inductor(circuit *own, const char *spread)
{
    circuit_begin(own, 27e9, 29e9, port, port);
    circuit_part(own, "series inductor", "\"inductance\": {\"value\": \"0.3 nH\", \"spread\": %s}",
                 spread);
    circuit_end(own, ", \"points\": 5, \"require\": [{\"quantity\": \"return loss\", "
                     "\"at least\": \"10 dB\"}]");
}

/* Whatever one level alone does is all there is, exactly. The loss is worst at the top of the band,
 * |S22|^2 = x^2 / (4 + x^2), x = w L / 50 ohm; its slope makes the deviation, to first order. */
static void test_one_level(void **state)
{
    (void)state;
    circuit own;
    fl_levels levels = {.count = 9};
    open_inductor(&own, "{\"normal\": \"6 pH\", \"level\": \"lot\"}");
    run(&levels, &own);
    assert_int_equal(levels.count, 1);
    assert_int_equal(levels.items[0].level, FL_LEVEL_LOT);
    check_near(1.0, levels.items[0].share, 0.0, "share");
    check_near(1.0, levels.items[0].total_share, 0.0, "total share");
    const double x = 2.0 * acos(-1.0) * 29e9 * 0.3e-9 / 50.0;
    const double slope = 20.0 / log(10.0) * (1.0 - x * x / (4.0 + x * x)) / 0.3e-9;
    /* Standard error of a deviation from n pairs: 1 / sqrt(2 n) = 1.6 %; four of them. */
    check_close(slope * 6e-12, levels.items[0].sigma_db, 0.065, "deviation");
    circuit_close(&own);
}

/* Deviations that add: variances are 9, 16 and 0.25 of 25.25. An additive figure has no more in the
 * total. Four standard errors, 2 S sqrt((1 - S) / n) of a share S. */
static void test_additive(void **state)
{
    (void)state;
    static const double variances[] = {9.0, 16.0, 0.25};
    static const fl_level wanted[] = {FL_LEVEL_WAFER, FL_LEVEL_DIE, FL_LEVEL_BOARD};
    circuit own;
    fl_levels levels;
    open_inductor(&own, "[{\"normal\": \"3 pH\", \"level\": \"wafer\"}, {\"normal\": \"4 pH\", "
                        "\"level\": \"die\"}, {\"normal\": \"0.5 pH\", \"level\": \"board\"}]");
    run(&levels, &own);
    assert_int_equal(levels.count, 3);
    for (size_t i = 0; i < 3; i++) {
        const double share = variances[i] / 25.25;
        const double off = 8.0 * share * sqrt((1.0 - share) / 2048.0) + 1e-3;
        assert_int_equal(levels.items[i].level, wanted[i]);
        check_near(share, levels.items[i].share, off, "share %zu", i);
        check_near(levels.items[i].share, levels.items[i].total_share, 2.0 * off, "total %zu", i);
    }
    circuit_close(&own);
}

/* A match at the middle of two spreads: the figure falls on either side and the levels act
 * together. Each quantity has a level of its own, whose share a yield gives from its bins too; of
 * two levels the total of one is what the other does not do alone. */
static void test_together(void **state)
{
    (void)state;
    circuit own;
    fl_levels levels;
    fl_yielding yielding;
    fl_error error;
    double nominal[8];
    circuit_begin(&own, 27.9e9, 28.1e9, port, port);
    circuit_part(&own, "shunt capacitor",
                 "\"capacitance\": {\"value\": \"60 fF\", \"spread\": {\"normal\": \"8 fF\", "
                 "\"level\": \"wafer\"}}");
    circuit_part(&own, "series inductor",
                 "\"inductance\": {\"value\": \"0.27 nH\", \"spread\": {\"normal\": \"25 pH\", "
                 "\"level\": \"assembly\"}}");
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"60 fF\"");
    circuit_end(&own, ", \"points\": 5, \"yield\": {\"samples\": 100000}, \"require\": "
                      "[{\"quantity\": \"return loss\", \"at least\": \"10 dB\"}]");
    fl_design_start(own.design, nominal);
    run(&levels, &own);
    check_ok(fl_yielding_run(&yielding, &own.study, nominal, &error), error);
    assert_int_equal(levels.count, 2);
    assert_int_equal(yielding.shift_count, 2);
    for (size_t i = 0; i < 2; i++) {
        check_near(yielding.shifts[i].share, levels.items[i].share, 0.06, "share %zu", i);
        check_near(1.0 - yielding.shifts[1 - i].share, levels.items[i].total_share, 0.06,
                   "total %zu", i);
    }
    /* The test is of something: the levels do much together, by the more samples of the yield. */
    assert_true(yielding.shifts[0].share + yielding.shifts[1].share < 0.9);
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

/* The same bits on any number of threads. */
static void test_threads(void **state)
{
    (void)state;
    circuit own;
    fl_levels levels[2];
    open_inductor(&own, "[{\"normal\": \"3 pH\", \"level\": \"wafer\"}, {\"uniform\": \"4 pH\", "
                        "\"level\": \"die\"}]");
    run(&levels[0], &own);
    own.study.threads = 5;
    run(&levels[1], &own);
    for (size_t i = 0; i < 2; i++) {
        check_near(levels[0].items[i].share, levels[1].items[i].share, 0.0, "share");
        check_near(levels[0].items[i].sigma_db, levels[1].items[i].sigma_db, 0.0, "deviation");
    }
    circuit_close(&own);
}

static int stop(void *payload, const char *stage, double done)
{
    (void)payload;
    (void)done;
    assert_string_equal(stage, "levels");
    return 1;
}

/* Nothing varies; hardly anything is physical; stopped: nothing is said. */
static void test_nothing(void **state)
{
    (void)state;
    circuit own;
    fl_levels levels = {.count = 3};
    circuit_begin(&own, 27e9, 29e9, port, port);
    circuit_part(&own, "series inductor", "\"inductance\": \"0.1 nH\"");
    circuit_end(&own, "");
    run(&levels, &own);
    assert_int_equal(levels.count, 0);
    circuit_close(&own);
    open_inductor(&own, "{\"normal\": \"3000 pH\", \"level\": \"wafer\"}");
    run(&levels, &own);
    assert_int_equal(levels.count, 0);
    circuit_close(&own);
    open_inductor(&own, "{\"normal\": \"3 pH\", \"level\": \"wafer\"}");
    own.study.progress = stop;
    run(&levels, &own);
    assert_int_equal(levels.count, 0);
    assert_true(levels.interrupted);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_level), cmocka_unit_test(test_additive),
        cmocka_unit_test(test_together), cmocka_unit_test(test_threads),
        cmocka_unit_test(test_nothing)};
    return cmocka_run_group_tests_name("studies/levels", tests, NULL, NULL);
}
