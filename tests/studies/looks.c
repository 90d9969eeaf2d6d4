/* When a run stops: counts of looks, certainty over all of them, runs that end by themselves. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "base/random.h"
#include "circuit.h"
#include "studies/tally.h"

/* Plans the looks of a design that says no more than this. */
static fl_looks plan(double precision, double confidence, uint64_t samples, fl_plan wafers)
{
    const fl_design design = {.confidence = confidence};
    const fl_study study = {
        .design = &design, .samples = samples, .plan = wafers, .precision = precision};
    fl_looks looks;
    fl_looks_plan(&looks, &study);
    return looks;
}

/* Without a precision one goes to the end; with one, looks grow by half and end at the most. */
static void test_counts(void **state)
{
    (void)state;
    const fl_plan none = {0, 0};
    fl_looks looks = plan(0.0, 0.95, 12345, none);
    assert_int_equal(looks.count, 0);
    check_near(0.95, looks.confidence, 0.0, "confidence without looks");
    assert_int_equal(fl_looks_next(&looks, 0), 12345);
    static const struct {
        double precision;
        uint64_t samples;
        fl_plan plan;
    } rows[] = {{0.002, 250000, {0, 0}}, {0.01, 10000, {0, 0}}, {1e-6, 1000000000000, {0, 0}},
                {0.49, 1, {0, 0}},       {0.01, 999, {0, 0}},   {0.002, 5000000, {25, 200}},
                {0.01, 4000, {5, 400}},  {0.01, 30000, {3, 77}}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const uint64_t lot = fl_plan_dice(&rows[i].plan), step = lot ? lot : 256;
        uint64_t at = 0, before = 0;
        size_t count = 0;
        looks = plan(rows[i].precision, 0.95, rows[i].samples, rows[i].plan);
        for (; at < rows[i].samples; count++) {
            before = at;
            at = fl_looks_next(&looks, at);
            assert_true(at > before);
            assert_true(at == rows[i].samples || at % step == 0);
            assert_true(before == 0 || at == rows[i].samples || 2 * at >= 3 * before);
            assert_int_equal(fl_looks_next(&looks, at - 1), at);
        }
        assert_int_equal(at, rows[i].samples);
        assert_int_equal(count, looks.count);
        /* No more is missed by all looks together than is allowed. */
        assert_true((double)count * (1.0 - looks.confidence) <= 0.05 * (1.0 + 1e-12));
        if (lot > 0)
            assert_true(looks.first >= 20 * lot || looks.count == 1);
    }
}

/* No look before the first could have ended a run: the interval of a run in which all pass is still
 * too wide a block earlier. */
static void test_first(void **state)
{
    (void)state;
    static const double precisions[] = {0.0001, 0.002, 0.03};
    for (size_t i = 0; i < sizeof precisions / sizeof *precisions; i++) {
        const fl_looks looks = plan(precisions[i], 0.95, 1000000000, (fl_plan){0, 0});
        double low, high;
        fl_interval_exact(&low, &high, looks.first, looks.first, looks.confidence);
        assert_true(0.5 * (high - low) <= precisions[i]);
        const uint64_t earlier = looks.first - 256;
        fl_interval_exact(&low, &high, earlier, earlier, looks.confidence);
        assert_true(earlier == 0 || 0.5 * (high - low) > precisions[i]);
    }
}

/* Runs of a known share, stopped by the rule: the interval that ends a run holds the share at least
 * as often as was asked. Looking as often with intervals of the plain confidence does not. */
static void test_coverage(void **state)
{
    (void)state;
    enum { RUNS = 1000 };
    static const struct {
        double share, precision, confidence;
    } rows[] = {{0.95, 0.01, 0.95}, {0.99, 0.004, 0.95}, {0.5, 0.03, 0.9}, {0.999, 0.001, 0.8}};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        const double p = rows[r].share;
        const fl_looks looks = plan(rows[r].precision, rows[r].confidence, 100000, (fl_plan){0, 0});
        unsigned held = 0, reached = 0, all = 0;
        double samples = 0.0;
        for (unsigned run = 0; run < RUNS; run++) {
            uint64_t at = 0, passed = 0;
            double low = 0.0, high = 1.0, plain[2];
            bool each = true;
            while (at < looks.most && 0.5 * (high - low) > looks.precision) {
                const uint64_t look = fl_looks_next(&looks, at);
                passed += gsl_ran_binomial(rng, p, (unsigned)(look - at));
                at = look;
                fl_interval_exact(&low, &high, passed, at, looks.confidence);
                fl_interval_exact(&plain[0], &plain[1], passed, at, rows[r].confidence);
                each = each && plain[0] <= p && p <= plain[1];
            }
            samples += (double)at;
            held += low <= p && p <= high;
            all += each;
            reached += 0.5 * (high - low) <= looks.precision;
        }
        print_message("share %g: %.0f samples, interval held %.4f of runs, plain ones at all looks "
                      "%.4f\n",
                      p, samples / RUNS, (double)held / RUNS, (double)all / RUNS);
        assert_int_equal(reached, RUNS);
        const double c = rows[r].confidence;
        assert_true((double)held / RUNS >= c - 3.0 * sqrt(c * (1.0 - c) / RUNS));
        assert_true((double)all / RUNS < c);
    }
    gsl_rng_free(rng);
}

/* The same of lots whose yields are P(c - w), w normal, 200 dice each: their interval is no exact
 * one, but the looks' certainty makes up for it. */
static void test_lots(void **state)
{
    (void)state;
    enum { RUNS = 200, DICE = 200 };
    static const struct {
        double limit, sigma, precision;
    } rows[] = {{1.875, 0.3, 0.02}, {1.5, 0.3, 0.02}, {1.875, 0.75, 0.02}};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        const double truth = fl_normal_share(rows[r].limit / hypot(1.0, rows[r].sigma));
        const fl_looks looks =
            plan(rows[r].precision, 0.95, (uint64_t)1000 * DICE, (fl_plan){1, DICE});
        unsigned held = 0;
        for (unsigned run = 0; run < RUNS; run++) {
            double sum = 0.0, squares = 0.0, low = 0.0, high = 1.0;
            uint64_t lots = 0;
            while (lots < 1000 && 0.5 * (high - low) > looks.precision) {
                const uint64_t next = fl_looks_next(&looks, lots * DICE) / DICE;
                for (; lots < next; lots++) {
                    const double w = gsl_ran_gaussian(rng, rows[r].sigma);
                    const double share =
                        gsl_ran_binomial(rng, fl_normal_share(rows[r].limit - w), DICE) /
                        (double)DICE;
                    sum += share;
                    squares += share * share;
                }
                const double count = (double)lots, mean = sum / count;
                const fl_grouped grouped = {
                    mean, fmax(squares / count - mean * mean, 0.0) / (count - 1.0), lots,
                    lots * DICE};
                fl_interval_grouped(&low, &high, &grouped, looks.confidence);
            }
            held += low <= truth && truth <= high;
        }
        print_message("limit %g, sigma %g: interval held %.4f of runs\n", rows[r].limit,
                      rows[r].sigma, (double)held / RUNS);
        assert_true((double)held / RUNS >= 0.95);
    }
    gsl_rng_free(rng);
}

static void open_precise(circuit *own, const char *yield)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    char more[512];
    circuit_begin(own, 29e9, 30e9, port, port);
    circuit_part(own, "series inductor",
                 "\"inductance\": {\"value\": \"0.2 nH\", \"spread\": [{\"normal\": \"16 pH\"}, "
                 "{\"normal\": \"12 pH\", \"level\": \"lot\"}]}");
    snprintf(more, sizeof more,
             ", \"points\": 3, \"require\": [{\"quantity\": \"return loss\", \"at least\": "
             "\"8 dB\"}], \"yield\": {%s}",
             yield);
    circuit_end(own, more);
}

/* Deviations of 20 pH in all: a yield of 0.9346935575101123 (tests/studies/yield.c). */
static void test_runs(void **state)
{
    (void)state;
    static const struct {
        const char *yield;
        double precision;
        bool reached;
    } rows[] = {
        {"\"precision\": \"0.5 %\"", 0.005, true},
        {"\"precision\": \"0.5 %\", \"samples\": 10000", 0.005, false},
        {"\"precision\": \"2 %\", \"plan\": {\"wafers\": 2, \"dice per wafer\": 100}", 0.02, true},
        {"\"precision\": \"1 %\", \"plan\": {\"wafers\": 2, \"dice per wafer\": 100, \"lots\": 60}",
         0.01, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        circuit own;
        fl_yielding alone, many;
        fl_error error;
        const double nominal[] = {0.2e-9};
        open_precise(&own, rows[i].yield);
        check_ok(fl_yielding_run(&alone, &own.study, nominal, &error), error);
        const fl_stopping *stopping = &alone.stopping;
        assert_false(alone.interrupted);
        assert_int_equal(stopping->reached, rows[i].reached);
        check_near(rows[i].precision, stopping->precision, 1e-15, "precision");
        assert_true(stopping->looks > 0 && stopping->looks <= stopping->most_looks);
        assert_int_equal(stopping->looks == stopping->most_looks, !rows[i].reached);
        assert_int_equal(alone.samples < own.study.samples, rows[i].reached);
        assert_int_equal(0.5 * (alone.high - alone.low) <= rows[i].precision, rows[i].reached);
        /* The first lots of this seed are good ones: it is one of the few runs that test_lots
         * counts, so that the truth is asked of independent samples alone. */
        if (own.study.plan.wafers == 0)
            assert_true(alone.low <= 0.9346935575101123 && 0.9346935575101123 <= alone.high);
        own.study.threads = 5;
        check_ok(fl_yielding_run(&many, &own.study, nominal, &error), error);
        assert_int_equal(alone.samples, many.samples);
        assert_memory_equal(&alone.estimate, &many.estimate, 4 * sizeof(double));
        assert_memory_equal(alone.shifts, many.shifts, sizeof *alone.shifts);
        fl_yielding_release(&alone);
        fl_yielding_release(&many);
        circuit_close(&own);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_counts),   cmocka_unit_test(test_first),
        cmocka_unit_test(test_coverage), cmocka_unit_test(test_lots),
        cmocka_unit_test(test_runs),
    };
    return cmocka_run_group_tests_name("studies/looks", tests, NULL, NULL);
}
