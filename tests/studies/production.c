/* A run in rounds: sums do not depend on where rounds end, nor on who made the blocks. */
#include "studies/production.h"
#include "circuit.h"

typedef struct rig {
    circuit circuit;
    fl_yielding yielding;
    fl_production run;
    double nominal[8];
} rig;

static void rig_open(rig *own, int threads)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    fl_error error;
    memset(own, 0, sizeof *own);
    circuit_begin(&own->circuit, 29e9, 30e9, port, port);
    circuit_part(&own->circuit, "series inductor",
                 "\"inductance\": {\"value\": \"0.2 nH\", \"spread\": {\"normal\": \"20 pH\"}}");
    circuit_part(&own->circuit, "shunt capacitor",
                 "\"capacitance\": {\"value\": \"20 fF\", \"spread\": {\"uniform\": \"3 fF\"}}");
    circuit_end(&own->circuit, ", \"points\": 5, \"require\": [{\"quantity\": \"return loss\", "
                               "\"at least\": \"9 dB\"}], \"yield\": {\"samples\": 30000}");
    own->circuit.study.threads = threads;
    fl_design_start(own->circuit.design, own->nominal);
    fl_arena_init(&own->yielding.arena);
    own->run.study = &own->circuit.study;
    fl_arena_init(&own->run.arena);
    check_ok(fl_production_make(&own->run, &own->yielding, own->nominal, &error), error);
}

static void rig_close(rig *own)
{
    fl_production_release(&own->run);
    fl_arena_release(&own->yielding.arena);
    circuit_close(&own->circuit);
}

static void same(const rig *a, const rig *b)
{
    const fl_tally *one = &a->run.sums.total, *two = &b->run.sums.total;
    assert_int_equal(one->samples, two->samples);
    assert_int_equal(one->passed, two->passed);
    assert_memory_equal(one->deviations, two->deviations, 2 * sizeof *one->deviations);
    assert_memory_equal(one->shares, two->shares, 2 * sizeof *one->shares);
    assert_memory_equal(a->run.sums.histogram.bins, b->run.sums.histogram.bins,
                        (FL_LAST_BIN + 1) * sizeof(uint64_t));
}

static void test_rounds(void **state)
{
    (void)state;
    static const uint64_t ends[] = {256, 2560, 10240, 10496, 29952, 30000};
    rig whole, parts;
    rig_open(&whole, 1);
    rig_open(&parts, 3);
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
        while (parts.run.sums.total.samples < ends[i]) {
            const uint64_t before = parts.run.sums.total.samples;
            fl_production_round(&parts.run, ends[i]);
            assert_true(parts.run.sums.total.samples > before);
            assert_true(parts.run.sums.total.samples <= ends[i]);
        }
    while (whole.run.sums.total.samples < 30000)
        fl_production_round(&whole.run, 30000);
    assert_true(whole.run.sums.total.passed > 10000 && whole.run.sums.total.passed < 30000);
    same(&whole, &parts);
    rig_close(&whole);
    rig_close(&parts);
}

/* No more than a round at a time, so that progress is asked in time. */
static void test_length(void **state)
{
    (void)state;
    rig own;
    rig_open(&own, 2);
    fl_production_round(&own.run, 30000);
    assert_int_equal(own.run.sums.total.samples, FL_ROUND_BLOCKS * FL_BLOCK_SAMPLES);
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_rounds),
                                       cmocka_unit_test(test_length)};
    return cmocka_run_group_tests_name("studies/production", tests, NULL, NULL);
}
