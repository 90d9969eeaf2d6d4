/* What a design says of its yield. */
#include "reading.h"

#define YIELD(json) SAMPLE_HEAD SAMPLE_PATH ", \"yield\": " json "}"
#define PLAN(json) YIELD("{\"plan\": {" json "}}")

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {YIELD("{\"plan\": 25}"), "yield.plan", "expected an object"},
    {PLAN("\"wafers\": 25"), "yield.plan", "'dice per wafer' is missing"},
    {PLAN("\"dice per wafer\": 25"), "yield.plan", "'wafers' is missing"},
    {PLAN("\"wafers\": 25, \"dice\": 25"), "yield.plan.dice", "expected a known key, found 'dice'"},
    {PLAN("\"wafers\": 0, \"dice per wafer\": 5"), "yield.plan.wafers", "from 1 to 1000000"},
    {PLAN("\"wafers\": 5, \"dice per wafer\": 0.5"), "yield.plan.dice per wafer", "found 0.5"},
    {PLAN("\"wafers\": 5, \"dice per wafer\": 1, \"lots\": 0"), "yield.plan.lots", "found 0"},
    {PLAN("\"wafers\": 1000, \"dice per wafer\": 1, \"lots\": 1001"), "yield.plan",
     "at most 1000000 wafers, found 1001 lots of 1000"},
    {PLAN("\"wafers\": 1000, \"dice per wafer\": 1000000000, \"lots\": 1000"), "yield.plan",
     "at most 1e+12 dice, found 1.000e+15"},
    {YIELD("{\"samples\": 10, \"plan\": {\"wafers\": 1, \"dice per wafer\": 9, \"lots\": 2}}"),
     "yield.plan", "expected 'lots' here or 'samples' beside, found both"},
    {YIELD("{\"sampling\": \"scrambled\"}"), "yield.sampling",
     "expected one of 'random', 'scrambled Sobol'"},
    {YIELD("{\"sampling\": \"Latin hypercube\", \"precision\": \"1 %\"}"), "yield.sampling",
     "sampling 'Latin hypercube' takes no 'precision' beside it, only 'random' does"},
    {YIELD("{\"sampling\": \"scrambled Sobol\", \"samples\": 10, \"plan\": {\"wafers\": 1, "
           "\"dice per wafer\": 9, \"lots\": 2}}"),
     "yield.sampling", "takes no 'plan' beside it"},
    {YIELD("{\"sampling\": \"scrambled Sobol\", \"samples\": 1e12}"), "yield.sampling",
     "at most 34359738368 samples, found 1000000000000"},
    {YIELD("{\"sampling\": \"importance\", \"precision\": \"1 %\"}"), "yield.sampling",
     "sampling 'importance' takes no 'precision' beside it, only 'random' does"},
    {YIELD("{\"sampling\": \"importance\", \"plan\": {\"wafers\": 1, \"dice per wafer\": 9}}"),
     "yield.sampling", "takes no 'plan' beside it"},
    {YIELD("{\"precision\": 0.2}"), "yield.precision", "expected a percentage"},
    {YIELD("{\"precision\": \"0 %\"}"), "yield.precision", "at least 0.0001 % and below 50 %"},
    {YIELD("{\"precision\": \"50 %\"}"), "yield.precision", "below 50 %"},
    {YIELD("{\"samples\": 1e9, \"plan\": {\"wafers\": 10, \"dice per wafer\": 10}}"), "yield.plan",
     "at most 1000000 wafers"},
};

static void bad_plans(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static const struct {
    const char *text;
    uint64_t samples, wafers, dice;
} good[] = {
    {YIELD("{}"), 10000, 0, 0},
    {YIELD("{\"samples\": 77}"), 77, 0, 0},
    {PLAN("\"wafers\": 25, \"dice per wafer\": 2000"), 20 * 25 * 2000, 25, 2000},
    {PLAN("\"wafers\": 3, \"dice per wafer\": 7, \"lots\": 2"), 42, 3, 7},
    {YIELD("{\"samples\": 43, \"plan\": {\"wafers\": 3, \"dice per wafer\": 7}}"), 63, 3, 7},
};

/* Even points come in replicates of a power of two each. */
static void samplings(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        fl_sampling sampling;
        uint64_t samples;
    } rows[] = {
        {YIELD("{}"), FL_SAMPLING_RANDOM, 10000},
        {YIELD("{\"sampling\": \"random\", \"samples\": 77}"), FL_SAMPLING_RANDOM, 77},
        {YIELD("{\"sampling\": \"scrambled Sobol\"}"), FL_SAMPLING_SOBOL, 16384},
        {YIELD("{\"sampling\": \"Latin hypercube\", \"samples\": 1}"), FL_SAMPLING_LATIN, 1024},
        {YIELD("{\"samples\": 2048, \"sampling\": \"Latin hypercube\"}"), FL_SAMPLING_LATIN, 2048},
        {YIELD("{\"samples\": 2049, \"sampling\": \"Latin hypercube\"}"), FL_SAMPLING_LATIN, 4096},
    };
    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        fl_design *design = sample_good(rows[i].text);
        assert_int_equal(design->sampling, rows[i].sampling);
        assert_int_equal(design->samples, rows[i].samples);
        fl_design_release(design);
    }
    assert_true(fl_sampling_samples(FL_SAMPLING_SOBOL, FL_EVEN_SAMPLES) == FL_EVEN_SAMPLES);
    assert_true(fl_sampling_samples(FL_SAMPLING_SOBOL, UINT64_MAX) == UINT64_MAX);
}

/* The most samples: as given, or as many as bring a yield of a half to the precision. */
static void precisions(void **state)
{
    (void)state;
    fl_design *design = sample_good(YIELD("{\"precision\": \"0.2 %\", \"samples\": 5000}"));
    check_near(0.002, design->precision, 1e-18, "precision");
    assert_int_equal(design->samples, 5000);
    fl_design_release(design);
    design = sample_good(YIELD("{\"precision\": \"0.2 %\"}"));
    /* z = 3.2272 at 0.05 / 80: z^2 / 4 / 0.002^2 + 3 / 0.002 */
    check_close(3.2272 * 3.2272 / 16e-6 + 1500.0, (double)design->samples, 1e-3, "most samples");
    fl_design_release(design);
    design = sample_good(YIELD("{\"precision\": \"0.0001 %\"}"));
    check_near(1e12, (double)design->samples, 0.0, "no more than the most");
    fl_design_release(design);
    design = sample_good(
        YIELD("{\"precision\": \"1 %\", \"plan\": {\"wafers\": 4, \"dice per wafer\": 10}}"));
    assert_int_equal(design->samples, 1000 * 40);
    fl_design_release(design);
    design = sample_good(
        YIELD("{\"precision\": \"1 %\", \"plan\": {\"wafers\": 25000, \"dice per wafer\": 10}}"));
    assert_int_equal(design->samples, 40 * 250000);
    fl_design_release(design);
    design = sample_good(YIELD("{}"));
    check_near(0.0, design->precision, 0.0, "none");
    fl_design_release(design);
}

static void good_plans(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(good); i++) {
        fl_design *design = sample_good(good[i].text);
        assert_int_equal(design->samples, good[i].samples);
        assert_int_equal(design->plan.wafers, good[i].wafers);
        assert_int_equal(design->plan.dice, good[i].dice);
        assert_int_equal(fl_plan_dice(&design->plan), good[i].wafers * good[i].dice);
        fl_design_release(design);
    }
}

/* A plan is in vain where no spread is shared by the dice of a wafer. */
static void warns_of_nothing_shared(void **state)
{
    (void)state;
    static const struct {
        const char *level;
        size_t warnings;
    } rows[] = {{"die", 1}, {"assembly", 1}, {"wafer", 0}, {"lot", 0}};
    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        char text[1024];
        snprintf(text, sizeof text,
                 SAMPLE_HEAD "\"path\": [{\"name\": \"a\", \"kind\": \"shunt capacitor\", "
                             "\"side\": \"die\", \"capacitance\": {\"value\": \"50 fF\", "
                             "\"spread\": {\"normal\": \"2 fF\", \"level\": \"%s\"}}}], \"yield\": "
                             "{\"plan\": {\"wafers\": 25, \"dice per wafer\": 20}}}",
                 rows[i].level);
        fl_design *design = sample_good(text);
        assert_int_equal(design->warning_count, rows[i].warnings);
        if (rows[i].warnings > 0) {
            assert_non_null(strstr(design->warnings[0], "yield.plan: no spread has the level"));
        }
        fl_design_release(design);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_plans),
        cmocka_unit_test(good_plans),
        cmocka_unit_test(samplings),
        cmocka_unit_test(precisions),
        cmocka_unit_test(warns_of_nothing_shared),
    };
    return cmocka_run_group_tests_name("design/yield", tests, NULL, NULL);
}
