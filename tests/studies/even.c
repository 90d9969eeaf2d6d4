/* Yields by even points: true ones held by their intervals, which are narrower than those of as
 * many random samples; the same on any number of threads. */
#include "base/random.h"
#include "circuit.h"

enum { SAMPLES = 4096, RUNS = 400 };

static const double SIGMA = 10e-12; /* of the sum */

typedef struct row {
    size_t values;
    double share; /* wanted */
    const char *sampling;
    double gain; /* least: effective samples over samples, in the mean */
} row;

/* Sum of normal inductances at which so many parts have less. */
static double sum_at(const row *own)
{
    return 0.2e-9 + SIGMA * fl_normal_quantile(own->share);
}

static void circuit_of(circuit *own, const row *at, const char *more)
{
    char yield[200];
    snprintf(yield, sizeof yield, "\"samples\": %d, \"sampling\": \"%s\"%s", SAMPLES, at->sampling,
             more);
    circuit_sum(own, at->values, &(circuit_spread){sum_at(at), SIGMA}, yield);
}

/* The interval holds the true share at least as often as it says, but for chance; the estimate has
 * no bias; and effective samples show the gain. One value: all of the variance is gone. */
static void test_closed_form(void **state)
{
    (void)state;
    static const row rows[] = {
        {1, 0.9, "scrambled Sobol", 40.0},   {1, 0.99, "Latin hypercube", 6.0},
        {1, 0.9973, "Latin hypercube", 0.9}, {2, 0.9, "scrambled Sobol", 3.0},
        {3, 0.95, "scrambled Sobol", 1.0},   {3, 0.95, "Latin hypercube", 1.0},
        {8, 0.9, "scrambled Sobol", 1.0},    {8, 0.9, "Latin hypercube", 1.0},
        {3, 0.995, "scrambled Sobol", 0.5},  {3, 0.9995, "Latin hypercube", 0.4},
        {2, 0.9999, "scrambled Sobol", 0.4},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        circuit own;
        fl_error error;
        double nominal[8], bias = 0.0, squares = 0.0, effective = 0.0;
        unsigned held = 0;
        circuit_of(&own, &rows[r], "");
        fl_design_start(own.design, nominal);
        for (unsigned run = 0; run < RUNS; run++) {
            fl_yielding yielding;
            own.study.seed = run;
            check_ok(fl_yielding_run(&yielding, &own.study, nominal, &error), error);
            assert_int_equal(yielding.samples, SAMPLES);
            assert_int_equal(yielding.basis, FL_BASIS_REPLICATES);
            held += yielding.low <= rows[r].share && rows[r].share <= yielding.high;
            bias += (yielding.estimate - rows[r].share) / RUNS;
            squares += (yielding.estimate - rows[r].share) * (yielding.estimate - rows[r].share);
            effective += yielding.effective / SAMPLES / RUNS;
            fl_yielding_release(&yielding);
        }
        const double random = rows[r].share * (1.0 - rows[r].share) / SAMPLES;
        const double true_gain = random / (squares / RUNS);
        print_message("%zu values, %s, %g: held in %.3f, gain %.2f, taken for %.2f\n",
                      rows[r].values, rows[r].sampling, rows[r].share, (double)held / RUNS,
                      true_gain, effective);
        assert_true((double)held / RUNS >= 0.95 - 3.0 * sqrt(0.95 * 0.05 / RUNS));
        check_near(0.0, bias, 4.0 * sqrt(squares / RUNS / RUNS) + 1e-12, "bias");
        assert_true(effective >= rows[r].gain);
        circuit_close(&own);
    }
}

/* Nobody fails: no narrower than with as many random samples. */
static void test_all_pass(void **state)
{
    (void)state;
    const row at = {2, 1.0 - 1e-12, "scrambled Sobol", 1.0};
    circuit own;
    fl_error error;
    fl_yielding yielding;
    double nominal[8], low, high;
    circuit_of(&own, &at, "");
    fl_design_start(own.design, nominal);
    check_ok(fl_yielding_run(&yielding, &own.study, nominal, &error), error);
    assert_int_equal(yielding.passed, SAMPLES);
    fl_interval_exact(&low, &high, SAMPLES, SAMPLES, 0.95);
    check_near(low, yielding.low, 0.0, "low");
    check_near(1.0, yielding.high, 0.0, "high");
    check_near(SAMPLES, yielding.effective, 0.0, "effective");
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

/* More samples than rounds, and kept ones: the same bits on three threads. */
static void test_threads(void **state)
{
    (void)state;
    static const char *const samplings[] = {"scrambled Sobol", "Latin hypercube"};
    for (size_t s = 0; s < 2; s++) {
        const row at = {3, 0.9, samplings[s], 1.0};
        fl_yielding found[2];
        fl_error error;
        double nominal[8];
        circuit own;
        circuit_of(&own, &at, "");
        fl_design_start(own.design, nominal);
        own.study.samples = 32768;
        own.study.kept = 100;
        for (size_t i = 0; i < 2; i++) {
            own.study.threads = i == 0 ? 1 : 3;
            check_ok(fl_yielding_run(&found[i], &own.study, nominal, &error), error);
        }
        assert_int_equal(found[0].passed, found[1].passed);
        check_near(found[0].low, found[1].low, 0.0, "low");
        check_near(found[0].high, found[1].high, 0.0, "high");
        check_near(found[0].shifts[0].passing, found[1].shifts[0].passing, 0.0, "shift");
        for (size_t k = 0; k < 100; k++)
            assert_memory_equal(found[0].kept[k].quantities, found[1].kept[k].quantities,
                                3 * sizeof(double));
        fl_yielding_release(&found[0]);
        fl_yielding_release(&found[1]);
        circuit_close(&own);
    }
}

/* Stops at once. */
static int stop(void *payload, const char *stage, double done)
{
    (void)payload;
    (void)stage;
    (void)done;
    return 1;
}

/* A run that was stopped has as many samples of every replicate: its interval is one. */
static void test_interrupted(void **state)
{
    (void)state;
    const row at = {3, 0.9, "scrambled Sobol", 1.0};
    circuit own;
    fl_error error;
    fl_yielding yielding;
    double nominal[8];
    circuit_of(&own, &at, "");
    fl_design_start(own.design, nominal);
    own.study.samples = 131072;
    own.study.progress = stop;
    check_ok(fl_yielding_run(&yielding, &own.study, nominal, &error), error);
    assert_true(yielding.interrupted);
    assert_int_equal(yielding.samples, 65536);
    assert_true(yielding.low <= 0.9 && 0.9 <= yielding.high);
    assert_true(yielding.high - yielding.low < 0.013); /* a random run's */
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_closed_form),
        cmocka_unit_test(test_all_pass),
        cmocka_unit_test(test_threads),
        cmocka_unit_test(test_interrupted),
    };
    return cmocka_run_group_tests_name("studies/even", tests, NULL, NULL);
}
