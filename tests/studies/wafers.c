/* Wafers and lots: counts by hand, the exact law of wafer yields, a simulation of its own. */
#include <gsl/gsl_cdf.h>

#include "base/random.h"
#include "circuit.h"
#include "studies/tally.h"

static const double PI = 3.14159265358979323846;

/* A series inductance alone between 50 ohm passes up to the one at which the top of the band has
 * the limit: 2 * 50 ohm * G / (w sqrt(1 - G^2)), 8 dB at 30 GHz. */
static const double MOST = 0.23023378890366618e-9;

enum { MOST_WAFERS = 1000 };

typedef struct spreads {
    double nominal, lot, wafer, die; /* H */
} spreads;

/* One inductor whose deviations at three levels add. */
static void open_plan(circuit *own, const spreads *of, const char *plan)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    char more[512];
    circuit_begin(own, 29e9, 30e9, port, port);
    circuit_part(own, "series inductor",
                 "\"inductance\": {\"value\": \"%.17g H\", \"spread\": ["
                 "{\"normal\": \"%.17g H\", \"level\": \"lot\"}, "
                 "{\"normal\": \"%.17g H\", \"level\": \"wafer\"}, "
                 "{\"normal\": \"%.17g H\", \"level\": \"die\"}]}",
                 of->nominal, of->lot, of->wafer, of->die);
    snprintf(more, sizeof more,
             ", \"points\": 3, \"require\": [{\"quantity\": \"return loss\", \"at least\": "
             "\"8 dB\"}], \"yield\": {\"plan\": {%s}}",
             plan);
    circuit_end(own, more);
}

static void run_plan(fl_yielding *yielding, const circuit *own)
{
    fl_error error;
    check_ok(fl_yielding_run(yielding, &own->study, (double[]){own->design->quantities[0].value},
                             &error),
             error);
}

/* Sums over wafers by hand: two lots of two wafers of four dice, the last wafer half drawn. */
static void test_by_hand(void **state)
{
    (void)state;
    uint32_t passed[] = {4, 3, 1, 1, 2, 2, 1, 1};
    const fl_wafers wafers = {.plan = {2, 4},
                              .basis = FL_BASIS_LOTS,
                              .columns = 2,
                              .passed = passed,
                              .count = 4,
                              .samples = 14};
    fl_error error;
    fl_yielding yielding = {.seed = 0};
    fl_arena_init(&yielding.arena);
    check_ok(fl_wafers_spread(&yielding, &wafers, &error), error);
    assert_int_equal(yielding.wafers.count, 3);
    assert_int_equal(yielding.wafers.dice, 4);
    check_near(0.5, yielding.wafers.mean, 1e-15, "mean of 3/4, 1/4, 2/4");
    check_near(0.25, yielding.wafers.sigma, 1e-15, "their standard deviation");
    check_near(0.25, yielding.wafers.least, 0.0, "least");
    check_near(0.25, yielding.wafers.low, 0.0, "5 %%");
    check_near(0.5, yielding.wafers.middle, 0.0, "50 %%");
    check_near(0.75, yielding.wafers.high, 0.0, "95 %%");
    check_near(0.75, yielding.wafers.best, 0.0, "best");
    assert_int_equal(yielding.lots.count, 1);
    check_near(0.5, yielding.lots.mean, 0.0, "the one whole lot");
    assert_true(isnan(yielding.lots.sigma));
    assert_int_equal(yielding.wafer_passed[0], 3);
    assert_int_equal(yielding.wafer_passed[2], 2);
    /* The first column: lots of 8 and 6 dice, 5 and 3 of which pass. p = 8/14, k - p n is 3/7 and
     * -3/7, v = 2 (18/49) / 14^2, n* = p (1 - p) / v = 65.33, less by the squares of Student's t of
     * 13 and of one degree of freedom, the latter tan(0.475 pi). */
    double low, high;
    const double ratio = gsl_cdf_tdist_Qinv(0.025, 13.0) / tan(0.475 * PI);
    check_close(8.0 / 14.0 * 6.0 / 14.0 * 196.0 * 49.0 / 36.0 * ratio * ratio,
                fl_wafers_interval(&low, &high, &wafers, 0, 8, 0.95), 1e-9, "effective dice");
    fl_arena_release(&yielding.arena);
}

/* Every die of the run again, by the draws' own counters. */
static void test_simulation(void **state)
{
    (void)state;
    static const spreads of = {0.2e-9, 6e-12, 8e-12, 16e-12};
    circuit own;
    fl_yielding yielding;
    open_plan(&own, &of, "\"lots\": 3, \"wafers\": 4, \"dice per wafer\": 70");
    own.study.threads = 2;
    run_plan(&yielding, &own);
    assert_int_equal(yielding.samples, 840);
    assert_int_equal(yielding.wafers.count, 12);
    assert_int_equal(yielding.lots.count, 3);
    assert_int_equal(yielding.basis, FL_BASIS_LOTS);
    assert_int_equal(own.design->draw_count, 3);
    for (uint64_t wafer = 0, die = 0; wafer < 12; wafer++) {
        uint64_t passed = 0;
        for (uint64_t i = 0; i < 70; i++, die++) {
            const uint64_t items[FL_LEVEL_COUNT] = {wafer / 4, wafer, die};
            const double sigmas[FL_LEVEL_COUNT] = {of.lot, of.wafer, of.die};
            double value = of.nominal;
            for (uint32_t draw = 0; draw < 3; draw++) {
                const fl_level level = own.design->draws[draw].level;
                value += sigmas[level] * fl_random_normal(1, items[level], draw);
            }
            passed += value <= MOST;
        }
        assert_int_equal(yielding.wafer_passed[wafer], passed);
    }
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

/* Yield of a wafer at w: P((MOST - nominal - wafer w) / die). */
static double yield_at(const spreads *of, double w)
{
    return fl_normal_share((MOST - of->nominal - of->wafer * w) / of->die);
}

/* Share of wafers of so many dice that have at most so many good ones: the binomial law averaged
 * over w, by the trapezoid rule, which is exact to rounding for so smooth a function. */
static double share_of_wafers(const spreads *of, unsigned good, unsigned dice)
{
    const double step = 0.02;
    double sum = 0.0;
    for (double w = -8.0; w < 8.0; w += step)
        sum += exp(-0.5 * w * w) * gsl_cdf_binomial_P(good, yield_at(of, w), dice);
    return sum * step / sqrt(2.0 * PI);
}

/* Only wafers share draws: their yields are independent, their law is known. */
static void test_exact_law(void **state)
{
    (void)state;
    enum { DICE = 200 };
    static const spreads of = {0.2e-9, 0.0, 12e-12, 16e-12};
    static const double shares[] = {0.05, 0.5, 0.95};
    circuit own;
    fl_yielding yielding;
    open_plan(&own, &of, "\"lots\": 40, \"wafers\": 25, \"dice per wafer\": 200");
    /* The lot's draw has no amount here; at a wafer it joins no wafers. */
    const fl_draw level[] = {{FL_LEVEL_WAFER, FL_NONE, "a"},
                             {FL_LEVEL_WAFER, FL_NONE, "b"},
                             {FL_LEVEL_DIE, FL_NONE, "c"}};
    own.design->draws = level;
    run_plan(&yielding, &own);
    assert_int_equal(yielding.basis, FL_BASIS_WAFERS);
    assert_int_equal(yielding.wafers.count, MOST_WAFERS);
    /* Mean of all: deviations of wafer and die add. Variance of a wafer's yield: that of Y, whose
     * mean square is summed here, and the binomial one of its dice. */
    const double mean = fl_normal_share((MOST - of.nominal) / hypot(of.wafer, of.die));
    double squares = 0.0;
    for (double w = -8.0; w < 8.0; w += 0.02)
        squares += 0.02 * exp(-0.5 * w * w) / sqrt(2.0 * PI) * pow(yield_at(&of, w), 2.0);
    const double variance = squares - mean * mean + (mean - squares) / DICE;
    check_near(mean, yielding.estimate, 4.0 * sqrt(variance / MOST_WAFERS), "mean yield");
    /* A kurtosis of 10 at most: four standard errors of a standard deviation are 20 %. */
    check_close(sqrt(variance), yielding.wafers.sigma, 0.2, "from wafer to wafer");
    const double found[] = {yielding.wafers.low, yielding.wafers.middle, yielding.wafers.high};
    for (size_t i = 0; i < 3; i++) {
        const unsigned good = (unsigned)lround(found[i] * DICE);
        const double allowed = 4.0 * sqrt(shares[i] * (1.0 - shares[i]) / MOST_WAFERS);
        assert_true(share_of_wafers(&of, good, DICE) >= shares[i] - allowed);
        assert_true(share_of_wafers(&of, good - 1, DICE) <= shares[i] + allowed);
    }
    /* The interval is that of a thousand independent wafer yields, about 1.96 standard errors. */
    check_close(2.0 * 1.96 * sqrt(variance / MOST_WAFERS), yielding.high - yielding.low, 0.1,
                "width of the interval");
    check_close(mean * (1.0 - mean) / (variance / MOST_WAFERS), yielding.effective, 0.2,
                "effective samples");
    assert_true(yielding.low < mean && mean < yielding.high);
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

static void same(const fl_yielding *a, const fl_yielding *b)
{
    assert_memory_equal(&a->estimate, &b->estimate, 4 * sizeof(double));
    assert_memory_equal(&a->wafers, &b->wafers, sizeof a->wafers);
    assert_memory_equal(&a->lots, &b->lots, sizeof a->lots);
    assert_memory_equal(a->wafer_passed, b->wafer_passed, a->wafers.count * sizeof(uint64_t));
    assert_memory_equal(a->shifts, b->shifts, a->shift_count * sizeof *a->shifts);
}

/* Wafers smaller than a vector, than a block, and larger; threads make no difference. */
static void test_threads(void **state)
{
    (void)state;
    static const spreads of = {0.2e-9, 6e-12, 8e-12, 16e-12};
    static const char *const plans[] = {"\"lots\": 40, \"wafers\": 100, \"dice per wafer\": 1",
                                        "\"lots\": 60, \"wafers\": 7, \"dice per wafer\": 13",
                                        "\"lots\": 3, \"wafers\": 2, \"dice per wafer\": 999"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        circuit own;
        fl_yielding alone, many;
        uint64_t sum = 0;
        open_plan(&own, &of, plans[i]);
        run_plan(&alone, &own);
        own.study.threads = 7;
        run_plan(&many, &own);
        same(&alone, &many);
        for (size_t k = 0; k < alone.wafers.count; k++)
            sum += alone.wafer_passed[k];
        assert_int_equal(sum, alone.passed);
        fl_yielding_release(&alone);
        fl_yielding_release(&many);
        circuit_close(&own);
    }
}

static int stop_at_once(void *payload, const char *stage, double done)
{
    (void)payload, (void)stage, (void)done;
    return 1;
}

/* Of an interrupted run whole wafers count, and its last lot in part; one lot has no interval. */
static void test_parts(void **state)
{
    (void)state;
    static const spreads of = {0.2e-9, 6e-12, 8e-12, 16e-12};
    circuit own;
    fl_yielding yielding;
    open_plan(&own, &of, "\"lots\": 30, \"wafers\": 2, \"dice per wafer\": 1500");
    own.study.progress = stop_at_once;
    run_plan(&yielding, &own);
    assert_true(yielding.interrupted);
    assert_int_equal(yielding.samples, 65536);
    assert_int_equal(yielding.wafers.count, 43);
    assert_int_equal(yielding.lots.count, 21);
    assert_true(yielding.low < yielding.estimate && yielding.estimate < yielding.high);
    fl_yielding_release(&yielding);
    own.study.progress = NULL;
    own.study.samples = 3000;
    run_plan(&yielding, &own);
    check_near(0.0, yielding.low, 0.0, "low of one lot");
    check_near(1.0, yielding.high, 0.0, "high of one lot");
    check_near(0.0, yielding.effective, 0.0, "what one lot says");
    assert_true(isnan(yielding.lots.sigma));
    fl_yielding_release(&yielding);
    own.study.samples = (uint64_t)FL_WAFER_LIMIT * 1500 + 1;
    fl_error error = {.message = ""};
    assert_int_equal(fl_yielding_run(&yielding, &own.study, (double[]){0.2e-9}, &error),
                     FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "at most 1000000 wafers, found 1000001"));
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_by_hand),   cmocka_unit_test(test_simulation),
        cmocka_unit_test(test_exact_law), cmocka_unit_test(test_threads),
        cmocka_unit_test(test_parts),
    };
    return cmocka_run_group_tests_name("studies/wafers", tests, NULL, NULL);
}
