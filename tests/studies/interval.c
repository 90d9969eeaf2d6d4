/* Exact intervals: published values, tails summed one by one, coverage over many runs. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "base/random.h"
#include "check.h"
#include "studies/studies.h"

typedef struct interval_row {
    uint64_t passed, trials;
    double confidence, low, high, tolerance; /* absolute */
    const char *source;
} interval_row;

static const interval_row rows[] = {
    /* Printed to four digits in a public table of examples. */
    {3, 20, 0.95, 0.0321, 0.3789, 5e-5, "printed table"},
    {12, 30, 0.90, 0.2495, 0.5661, 5e-5, "printed table"},
    {42, 100, 0.95, 0.3220, 0.5229, 5e-5, "printed table"},
    {85, 120, 0.99, 0.5904, 0.8092, 5e-5, "printed table"},
    /* Newcombe, Statistics in Medicine 17, 1998, table I, from memory. */
    {81, 263, 0.95, 0.2527, 0.3676, 5e-5, "Newcombe 1998"},
    {15, 148, 0.95, 0.0578, 0.1617, 5e-5, "Newcombe 1998"},
    {0, 20, 0.95, 0.0, 0.1684, 5e-5, "Newcombe 1998"},
    {1, 29, 0.95, 0.0009, 0.1776, 5e-5, "Newcombe 1998"},
    /* By another program's inverse beta function. */
    {3, 20, 0.95, 0.032070937185463715, 0.37892682654531396, 1e-13, "computed"},
    {85, 120, 0.99, 0.5904342569070281, 0.8091955720697976, 1e-13, "computed"},
    {950, 1000, 0.95, 0.9346095120845064, 0.9626646023953382, 1e-13, "computed"},
    {9987, 10000, 0.95, 0.9977779863787409, 0.9993076289114248, 1e-13, "computed"},
    {1000, 1000, 0.95, 0.9963179161031344, 1.0, 1e-13, "computed"},
    {0, 0, 0.95, 0.0, 1.0, 0.0, "no trial says nothing"},
};

static void test_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const interval_row *row = &rows[i];
        double low = -1.0, high = -1.0;
        fl_interval_exact(&low, &high, row->passed, row->trials, row->confidence);
        check_near(row->low, low, row->tolerance, "low of %u/%u (%s)", (unsigned)row->passed,
                   (unsigned)row->trials, row->source);
        check_near(row->high, high, row->tolerance, "high of %u/%u (%s)", (unsigned)row->passed,
                   (unsigned)row->trials, row->source);
    }
}

/* No pass, or nothing but passes: the bound is a root, (tail)^(1/n). */
static void test_ends(void **state)
{
    (void)state;
    static const uint64_t trials[] = {1, 2, 10, 1000, 1000000, 100000000};
    for (size_t i = 0; i < sizeof trials / sizeof *trials; i++) {
        double low, high, root = pow(0.025, 1.0 / (double)trials[i]);
        fl_interval_exact(&low, &high, trials[i], trials[i], 0.95);
        check_close(root, low, 1e-12, "low of %u/%u", (unsigned)trials[i], (unsigned)trials[i]);
        check_near(1.0, high, 0.0, "high of all");
        fl_interval_exact(&low, &high, 0, trials[i], 0.95);
        check_near(0.0, low, 0.0, "low of none");
        check_close(-expm1(log(0.025) / (double)trials[i]), high, 1e-11, "high of 0/%u",
                    (unsigned)trials[i]);
    }
}

/* At each bound the binomial tail, summed term by term, is half of what may be missed. */
static void test_tails(void **state)
{
    (void)state;
    static const double confidences[] = {0.5, 0.95, 0.999};
    const unsigned n = 40;
    for (size_t c = 0; c < sizeof confidences / sizeof *confidences; c++)
        for (unsigned k = 1; k < n; k++) {
            double low, high, above = 0.0, below = 0.0;
            fl_interval_exact(&low, &high, k, n, confidences[c]);
            for (unsigned i = 0; i <= n; i++) {
                above += i >= k ? gsl_ran_binomial_pdf(i, low, n) : 0.0;
                below += i <= k ? gsl_ran_binomial_pdf(i, high, n) : 0.0;
            }
            double tail = (1.0 - confidences[c]) / 2.0;
            check_close(tail, above, 1e-11, "%u/%u at %g, low", k, n, confidences[c]);
            check_close(tail, below, 1e-11, "%u/%u at %g, high", k, n, confidences[c]);
        }
}

/* Large runs end, keep their order, and come near the normal approximation
 * p +- 1.959964 sqrt(p (1 - p) / n), from which they differ by terms of order 1/n. */
static void test_large(void **state)
{
    (void)state;
    static const uint64_t trials[] = {10000, 1000000, 10000000, 100000000};
    for (size_t i = 0; i < sizeof trials / sizeof *trials; i++)
        for (uint64_t tenth = 1; tenth < 10; tenth++) {
            double n = (double)trials[i], p = (double)tenth / 10.0, low, high;
            double half = 1.959963984540054 * sqrt(p * (1.0 - p) / n);
            fl_interval_exact(&low, &high, trials[i] / 10 * tenth, trials[i], 0.95);
            check_near(p - half, low, 2.0 / n, "low of 0.%u of %g", (unsigned)tenth, n);
            check_near(p + half, high, 2.0 / n, "high of 0.%u of %g", (unsigned)tenth, n);
        }
}

/* Probability that the interval holds the true share, and the share of simulated runs where it
 * does. The method promises at least the confidence, and misses less the fewer trials there are. */
static void test_coverage(void **state)
{
    (void)state;
    enum { RUNS = 3000 };
    static const struct {
        unsigned trials;
        double share, confidence, most; /* most: from the sum itself, rounded up */
    } cases[] = {
        {50, 0.9, 0.95, 0.985},
        {100, 0.95, 0.95, 0.985},
        {200, 0.934693557510112, 0.95, 0.975},
        {200, 0.5, 0.9, 0.925},
    };
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        unsigned n = cases[c].trials;
        bool holds[256];
        double exact = 0.0, p = cases[c].share;
        for (unsigned k = 0; k <= n; k++) {
            double low, high;
            fl_interval_exact(&low, &high, k, n, cases[c].confidence);
            holds[k] = low <= p && p <= high;
            exact += holds[k] ? gsl_ran_binomial_pdf(k, p, n) : 0.0;
        }
        if (!(exact >= cases[c].confidence && exact <= cases[c].most))
            fail_msg("n %u, share %g: coverage %.6f, wanted %.4f to %.4f", n, p, exact,
                     cases[c].confidence, cases[c].most);
        unsigned held = 0;
        for (uint64_t run = 0; run < RUNS; run++) {
            unsigned k = 0;
            for (uint32_t i = 0; i < n; i++)
                k += fl_random_uniform(run, c, i) < p;
            held += holds[k];
        }
        check_near(exact, (double)held / RUNS, 4.0 * sqrt(exact * (1.0 - exact) / RUNS),
                   "coverage of %u trials at share %g", n, p);
    }
}

/* Equal shares of every group, or all and nothing: known effective trials. */
static void test_grouped(void **state)
{
    (void)state;
    double low, high, wanted[2];
    /* A variance as of independent trials: as many, but for the ratio of Student's t squared. */
    fl_grouped grouped = {0.9, 0.09 / 1000.0, 20, 1000};
    const double t[] = {1.9623414611334487, 2.093024054408263}; /* 999 and 19 degrees, computed */
    check_close(1000.0 * pow(t[0] / t[1], 2.0), fl_interval_grouped(&low, &high, &grouped, 0.95),
                1e-12, "as many");
    fl_interval_exact(&wanted[0], &wanted[1], 791, 879, 0.95);
    /* 879.03 trials, 791.13 of which pass: rounding moves the share by 1.5e-4. */
    check_near(wanted[0], low, 2e-4, "low");
    check_near(wanted[1], high, 2e-4, "high");
    /* Groups more alike than chance would have them tell no more than independent trials. */
    grouped.variance = 0.0;
    check_near(1000.0, fl_interval_grouped(&low, &high, &grouped, 0.95), 0.0, "alike");
    fl_interval_exact(&wanted[0], &wanted[1], 900, 1000, 0.95);
    check_close(wanted[0], low, 1e-12, "low of alike");
    check_close(wanted[1], high, 1e-12, "high of alike");
    /* All pass: each of the groups is one trial. */
    grouped.share = 1.0;
    check_near(20.0, fl_interval_grouped(&low, &high, &grouped, 0.95), 0.0, "all");
    check_close(pow(0.025, 1.0 / 20.0), low, 1e-12, "low of all");
    check_near(1.0, high, 0.0, "high of all");
    grouped.groups = 1;
    check_near(0.0, fl_interval_grouped(&low, &high, &grouped, 0.95), 0.0, "one group");
    check_near(1.0, high - low, 0.0, "no interval");
}

/* Lots whose yields differ: P(c - w) for a normal w, of 500 dice each. The interval of the lots
 * holds the true share nearly as often as it says (it is no exact one), that of the dice as if they
 * were independent does not. */
static void test_grouped_coverage(void **state)
{
    (void)state;
    enum { RUNS = 2000, DICE = 500 };
    static const struct {
        double limit, sigma;
        uint64_t lots;
        double least; /* found by this simulation, less two standard errors */
    } cases[] = {
        {1.5, 0.3, 20, 0.93}, {2.0, 0.5, 20, 0.915}, {1.0, 0.2, 10, 0.94}, {2.0, 0.5, 100, 0.93}};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        const double truth = fl_normal_share(cases[c].limit / hypot(1.0, cases[c].sigma));
        unsigned held = 0, single = 0;
        for (unsigned run = 0; run < RUNS; run++) {
            double sum = 0.0, squares = 0.0, low, high;
            const double lots = (double)cases[c].lots;
            for (uint64_t i = 0; i < cases[c].lots; i++) {
                const double w = gsl_ran_gaussian(rng, cases[c].sigma);
                const double own = fl_normal_share(cases[c].limit - w);
                const double share = gsl_ran_binomial(rng, own, DICE) / (double)DICE;
                sum += share;
                squares += share * share;
            }
            const double mean = sum / lots;
            const fl_grouped grouped = {mean, (squares / lots - mean * mean) / (lots - 1.0),
                                        cases[c].lots, cases[c].lots * DICE};
            fl_interval_grouped(&low, &high, &grouped, 0.95);
            held += low <= truth && truth <= high;
            fl_interval_exact(&low, &high, (uint64_t)llround(sum * DICE), grouped.trials, 0.95);
            single += low <= truth && truth <= high;
        }
        print_message("limit %g, sigma %g, %u lots: held %.4f, as single dice %.4f\n",
                      cases[c].limit, cases[c].sigma, (unsigned)cases[c].lots, (double)held / RUNS,
                      (double)single / RUNS);
        assert_true((double)held / RUNS >= cases[c].least);
        assert_true((double)single / RUNS < 0.6);
    }
    gsl_rng_free(rng);
}

/* With many effective samples Student's interval of the replicates' mean: t = 2.1314 at 15 degrees
 * of freedom (tables of Student's distribution). Its gain is held to what the counts can show; at
 * the ends and with few failures it is no narrower than chance. */
static void test_replicated(void **state)
{
    (void)state;
    double low, high, exact[2];
    fl_grouped replicates = {0.9, 1e-10, 16, 1 << 20};
    const double found = fl_interval_replicated(&low, &high, &replicates, 0.95);
    check_close(2.1314 * 1e-5, 0.5 * (high - low), 1e-4, "half-width");
    check_close(pow(1.96 / 2.1314, 2.0) * 0.09 / 1e-10, found, 1e-3, "effective");
    replicates.variance = 0.0;
    fl_interval_replicated(&low, &high, &replicates, 0.95);
    check_close(2.1314 * sqrt(2.0) / (1 << 20), 0.5 * (high - low), 1e-3, "alike");
    replicates = (fl_grouped){1.0 - 15.0 / 4096.0, 0.0, 16, 4096};
    check_near(4096.0, fl_interval_replicated(&low, &high, &replicates, 0.95), 0.0, "few failures");
    replicates.share = 15.0 / 4096.0;
    check_near(4096.0, fl_interval_replicated(&low, &high, &replicates, 0.95), 0.0, "few passes");
    replicates.share = 0.0;
    check_near(4096.0, fl_interval_replicated(&low, &high, &replicates, 0.95), 0.0, "none");
    fl_interval_exact(&exact[0], &exact[1], 0, 4096, 0.95);
    check_near(exact[0], low, 0.0, "low");
    check_near(exact[1], high, 0.0, "high");
    replicates.groups = 1;
    check_near(0.0, fl_interval_replicated(&low, &high, &replicates, 0.95), 0.0, "one");
    check_near(1.0, high - low, 0.0, "nothing known");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_published),
        cmocka_unit_test(test_ends),
        cmocka_unit_test(test_tails),
        cmocka_unit_test(test_large),
        cmocka_unit_test(test_coverage),
        cmocka_unit_test(test_grouped),
        cmocka_unit_test(test_grouped_coverage),
        cmocka_unit_test(test_replicated),
    };
    return cmocka_run_group_tests_name("studies/interval", tests, NULL, NULL);
}
