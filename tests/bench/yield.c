/* Samples a second of the Monte Carlo, many at a time and one by one, in one run on one core.
 *
 *     build/release/tests/bench/yield [SAMPLES [WIDTH [DESIGN]]]
 *
 * Without a design: yield.json beside this file, and the example absorb with the values in the
 * file. A width below zero computes all frequencies, none interpolated; 1 is one by one, through a
 * sixteenth of the samples. Ratios are steadier than rates: a busy machine slows both. */
#include "bench/rig.h"

enum { PASSES = 5 };

/* A block of the study, with all that it counts. */
static void run_block(rig *own, uint64_t first, uint64_t end)
{
    fl_tally *tally = &own->block_tally;
    fl_tally_clear(tally, &own->counting);
    for (uint64_t at = first; at < end; at += FL_LANES)
        fl_lot_run(&own->lot, tally, at, end - at < FL_LANES ? end - at : FL_LANES, NULL, 0);
    fl_histogram_add(&own->histogram, tally->figures_db, tally->samples);
    fl_tally_merge(&own->total, tally, &own->counting);
}

/* Seconds a sample, the best of some passes over the samples 0 to count - 1. */
static double measure(rig *own, uint64_t count, uint64_t *passed)
{
    double best = HUGE_VAL;
    for (int pass = 0; pass < PASSES; pass++) {
        const double begin = now();
        fl_tally_clear(&own->total, &own->counting);
        for (uint64_t at = 0; at < count; at += FL_BLOCK_SAMPLES)
            run_block(own, at, count - at < FL_BLOCK_SAMPLES ? count : at + FL_BLOCK_SAMPLES);
        best = fmin(best, (now() - begin) / (double)count);
    }
    *passed = own->total.passed;
    return best;
}

static void print_rate(const char *name, int width, double seconds, uint64_t passed, uint64_t count)
{
    printf("%-8s %d at a time %10.0f samples/s %9.4f us  %llu of %llu pass", name, width,
           1.0 / seconds, 1e6 * seconds, (unsigned long long)passed, (unsigned long long)count);
}

static void run_alone(const char *name, fl_design *design, uint64_t count)
{
    uint64_t passed = 0;
    rig own;
    rig_open(&own, design, 2);
    own.setup.block = NULL;
    const double seconds = measure(&own, count, &passed);
    print_rate(name, 1, seconds, passed, count);
    printf("\n");
    rig_close(&own);
}

static void run_width(const char *name, fl_design *design, uint64_t count, int width)
{
    uint64_t passed = 0;
    rig own;
    rig_open(&own, design, width);
    const double seconds = measure(&own, count, &passed);
    print_rate(name, width, seconds, passed, count);
    printf("  nodes");
    for (size_t run = 0; run < own.counting.run_count; run++)
        printf(" %zu", fl_block_node_count(own.block, run));
    printf(" of %zu\n", design->points);
    rig_close(&own);
}

/* A width of 0 is all there are; 1 is one by one. */
static void run_design(const char *name, const char *file, uint64_t count, int only)
{
    static const int widths[] = {2, 4, 8};
    fl_design *design = NULL;
    fl_error error;
    stop_on(fl_design_read(&design, file, FL_SOURCE_DIR "/models", &error), &error);
    if (only == 0 || only == 1)
        run_alone(name, design, (count + 15) / 16);
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++)
        if (fl_vector_of(widths[i]) != NULL && (only == 0 || only == widths[i]))
            run_width(name, design, count, widths[i]);
    if (only < 0 && fl_vector_of(-only) != NULL)
        run_width(name, design, count, only);
    fl_design_free(design);
}

int main(int count, char **words)
{
    const uint64_t samples = count > 1 ? strtoull(words[1], NULL, 10) : 400000;
    const int only = count > 2 ? (int)strtol(words[2], NULL, 10) : 0;
    if (count > 3) {
        run_design("design", words[3], samples, only);
        return 0;
    }
    run_design("yield", FL_SOURCE_DIR "/tests/bench/yield.json", samples, only);
    run_design("absorb", FL_SOURCE_DIR "/examples/absorb/absorb.json", (samples + 3) / 4, only);
    return 0;
}
