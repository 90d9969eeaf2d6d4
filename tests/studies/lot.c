/* Samples many at a time against the same samples one by one: counts, figures, kept samples. */
#include "studies/lot.h"
#include "circuit.h"

/* Two cases and two bands; wafer draws in a group, cut and uniform spreads, a transmission. */
static const char more[] =
    ", \"points\": 41, \"require\": [{\"quantity\": \"return loss\", \"at least\": \"12 dB\"},"
    "{\"quantity\": \"insertion loss\", \"at most\": \"0.9 dB\", \"weight\": 10},"
    "{\"quantity\": \"return loss\", \"port\": \"die\", \"at least\": \"9 dB\","
    "\"band\": [\"24 GHz\", \"26 GHz\"]}],"
    "\"cases\": [{\"name\": \"a\"}, {\"name\": \"b\", \"set\": {\"p3 impedance\": \"45 ohm\"}}]";

enum { SAMPLES = 3000, KEPT = 100 };

typedef struct rig {
    circuit circuit;
    fl_arena arena;
    double *nominal;
    fl_margins *margins;
    fl_sampler *sampler;
    fl_counting counting;
    fl_block *block;
    fl_lot_setup setup;
} rig;

static void open_margins(rig *own)
{
    const fl_design *design = own->circuit.design;
    fl_error error;
    fl_grid *grids = fl_arena_take(&own->arena, design->band_count, sizeof *grids);
    for (size_t i = 0; i < design->band_count; i++) {
        double *frequencies = fl_arena_take(&own->arena, design->points, sizeof *frequencies);
        fl_band_grid(frequencies, &design->bands[i], design->points);
        grids[i] = (fl_grid){frequencies, design->points};
    }
    check_ok(fl_margins_new(&own->margins, design, own->circuit.groundwork, grids, &error), error);
}

static void rig_open(rig *own, const char *capacitance)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    fl_error error;
    circuit_begin(&own->circuit, 26e9, 30e9,
                  "\"resistance\": \"50 ohm\","
                  "\"parallel capacitance\": \"40 fF\"",
                  port);
    circuit_part(&own->circuit, "line",
                 "\"impedance\": {\"value\": \"75 ohm\", \"spread\": {\"uniform\": \"6 %%\"}},"
                 "\"length\": \"400 um\", \"permittivity\": 4, \"loss\": \"0.3 dB/mm\"");
    circuit_part(&own->circuit, "shunt capacitor", "\"capacitance\": %s", capacitance);
    circuit_part(&own->circuit, "line",
                 "\"impedance\": \"55 ohm\", \"permittivity\": 3, \"length\": {\"value\": \"1 mm\","
                 "\"spread\": {\"normal\": \"50 um\", \"within\": \"120 um\"}}");
    circuit_part(&own->circuit, "series inductor",
                 "\"inductance\": {\"value\": \"90 pH\", \"spread\": {\"normal\": \"6 %%\"}}");
    circuit_end(&own->circuit, more);
    fl_arena_init(&own->arena);
    const fl_design *design = own->circuit.design;
    own->nominal = fl_arena_take(&own->arena, design->quantity_count, sizeof *own->nominal);
    fl_design_start(design, own->nominal);
    open_margins(own);
    check_ok(fl_sampler_new(&own->sampler, design, &error), error);
    check_ok(
        fl_counting_take(&own->counting, &own->arena, design, own->nominal, own->margins, &error),
        error);
    own->setup = (fl_lot_setup){.study = &own->circuit.study,
                                .margins = own->margins,
                                .sampler = own->sampler,
                                .counting = &own->counting};
    own->block = NULL;
}

static void rig_close(rig *own)
{
    fl_block_free(own->block);
    fl_sampler_free(own->sampler);
    fl_margins_free(own->margins);
    circuit_close(&own->circuit);
    fl_arena_release(&own->arena);
}

/** Sums over all samples, and the figure and the kept samples of each. */
typedef struct outcome {
    fl_tally total;
    double figures[SAMPLES];
    fl_kept kept[KEPT];
} outcome;

static void take_kept(outcome *out, rig *own)
{
    const fl_design *design = own->circuit.design;
    for (size_t i = 0; i < KEPT; i++) {
        fl_kept *kept = &out->kept[i];
        kept->quantities = fl_arena_take(&own->arena, design->quantity_count, sizeof(double));
        kept->return_loss_db = fl_arena_take(&own->arena, design->case_count, sizeof(double));
        kept->margin_db = fl_arena_take(&own->arena, design->case_count, sizeof(double));
    }
}

/* Width 0: one by one. */
static void run(outcome *out, rig *own, int width)
{
    fl_error error;
    fl_lot lot;
    fl_tally block;
    own->setup.vector = fl_vector_of(width == 0 ? 2 : width);
    own->setup.block = NULL;
    fl_block_free(own->block);
    own->block = NULL;
    if (width > 0) {
        check_ok(fl_lot_block(&own->block, &own->setup, own->nominal, &error), error);
        own->setup.block = own->block;
    }
    take_kept(out, own);
    check_ok(fl_lot_take(&lot, &own->setup, &own->arena, &error), error);
    check_ok(fl_tally_take(&out->total, &own->arena, &own->counting, &error), error);
    check_ok(fl_tally_take(&block, &own->arena, &own->counting, &error), error);
    for (size_t first = 0; first < SAMPLES; first += FL_LANES) {
        const size_t count = SAMPLES - first < FL_LANES ? SAMPLES - first : FL_LANES;
        fl_tally_clear(&block, &own->counting);
        fl_lot_run(&lot, &block, first, count, out->kept, KEPT);
        memcpy(out->figures + first, block.figures_db, count * sizeof(double));
        fl_tally_merge(&out->total, &block, &own->counting);
    }
    fl_lot_release(&lot);
}

/* Counts are the same to the last sample; figures agree to 1e-6 dB. */
static void check_counts(const outcome *a, const outcome *b, const rig *own)
{
    const fl_design *design = own->circuit.design;
    assert_int_equal(a->total.samples, b->total.samples);
    assert_int_equal(a->total.passed, b->total.passed);
    assert_int_equal(a->total.not_physical, b->total.not_physical);
    assert_memory_equal(a->total.case_passed, b->total.case_passed,
                        design->case_count * sizeof *a->total.case_passed);
    assert_memory_equal(a->total.reached, b->total.reached,
                        design->requirement_count * sizeof *a->total.reached);
    for (size_t i = 0; i < own->counting.run_count; i++)
        assert_int_equal(a->total.failed[i].count, b->total.failed[i].count);
    for (size_t i = 0; i < SAMPLES; i++)
        if (!isnan(a->figures[i]))
            check_near(a->figures[i], b->figures[i], 1e-6, "figure of sample %zu", i);
}

static void check_kept(const outcome *a, const outcome *b, const rig *own)
{
    const fl_design *design = own->circuit.design;
    for (size_t i = 0; i < KEPT; i++) {
        assert_memory_equal(a->kept[i].quantities, b->kept[i].quantities,
                            design->quantity_count * sizeof(double));
        assert_int_equal(a->kept[i].passed, b->kept[i].passed);
    }
}

/* Between widths powers are off by rounding, 1e-9 of themselves (tests/response/block.c): that is
 * 4.4e-9 dB. No value lies so near to the edge of a bin that it goes to another. */
static void check_alike(const outcome *a, const outcome *b, const rig *own)
{
    for (size_t i = 0; i < SAMPLES; i++)
        if (!isnan(a->figures[i]))
            check_near(a->figures[i], b->figures[i], 5e-9, "figure of sample %zu", i);
    for (size_t k = 0; k < own->counting.spread_count; k++)
        for (size_t bin = 0; bin < FL_SHARE_BINS; bin++) {
            const fl_share *x = &a->total.shares[k], *y = &b->total.shares[k];
            const double count = x->bins[bin].count;
            check_near(count, y->bins[bin].count, 0.0, "samples in bin %zu of %zu", bin, k);
            check_near(x->bins[bin].sum, y->bins[bin].sum, 5e-9 * count, "sum of bin %zu of %zu",
                       bin, k);
        }
}

static const char *const capacitances[] = {
    "{\"value\": \"30 fF\", \"spread\": {\"normal\": \"5 %\"}}",
    "{\"value\": \"30 fF\", \"spread\": {\"normal\": \"15 fF\"}}", /* one in 44 below zero */
};

static void test_same(void **state)
{
    (void)state;
    static outcome single, many[3];
    for (size_t c = 0; c < 2; c++) {
        rig own;
        size_t widths = 0;
        rig_open(&own, capacitances[c]);
        run(&single, &own, 0);
        assert_in_range(single.total.passed, SAMPLES / 20, SAMPLES - SAMPLES / 20);
        assert_int_equal(single.total.not_physical > 0, c == 1);
        for (int width = 2; width <= 8; width *= 2) {
            if (fl_vector_of(width) == NULL)
                continue;
            outcome *out = &many[widths++];
            run(out, &own, width);
            check_counts(&single, out, &own);
            check_kept(&single, out, &own);
            check_alike(&many[0], out, &own);
            assert_true(fl_block_node_count(own.block, 0) < 20);
        }
        rig_close(&own);
    }
}

/* A nominal value that cannot be: there is no block, and every sample goes by itself. */
static void test_no_block(void **state)
{
    (void)state;
    rig own;
    fl_error error;
    fl_block *block = NULL;
    rig_open(&own, capacitances[0]);
    own.setup.vector = fl_vector_widest();
    for (size_t i = 0; i < own.circuit.design->quantity_count; i++)
        own.nominal[i] = -own.nominal[i];
    check_ok(fl_lot_block(&block, &own.setup, own.nominal, &error), error);
    assert_null(block);
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_same),
                                       cmocka_unit_test(test_no_block)};
    return cmocka_run_group_tests_name("studies/lot", tests, NULL, NULL);
}
