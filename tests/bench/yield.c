/* Samples a second of the Monte Carlo, many at a time and one by one, in one run on one core.
 *
 *     build/release/tests/bench/yield [SAMPLES [WIDTH [DESIGN]]]
 *
 * Without a design: yield.json beside this file, and the example absorb with the values in the
 * file. One by one goes through a sixteenth of the samples. Ratios are steadier than rates: a busy
 * machine slows both. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "studies/lot.h"

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void stop_on(fl_status status, const fl_error *error)
{
    if (status == FL_OK)
        return;
    fprintf(stderr, "%s: %s\n", error->place, error->message);
    exit(3);
}

/** A design with all that its samples need. */
typedef struct rig {
    fl_design *design;
    fl_groundwork *plain, *fitted;
    fl_margins *margins;
    fl_sampler *sampler;
    fl_block *block;
    fl_arena arena;
    fl_study study;
    fl_counting counting;
    fl_lot_setup setup;
    fl_lot lot;
    fl_tally block_tally, total;
    fl_histogram histogram;
    double *nominal;
} rig;

static void rig_grid(rig *own)
{
    fl_error error;
    const fl_design *design = own->design;
    fl_grid *grids = fl_arena_take(&own->arena, design->band_count, sizeof *grids);
    for (size_t i = 0; i < design->band_count; i++) {
        double *frequencies = fl_arena_take(&own->arena, design->points, sizeof *frequencies);
        fl_band_grid(frequencies, &design->bands[i], design->points);
        grids[i] = (fl_grid){frequencies, design->points};
    }
    stop_on(fl_margins_new(&own->margins, design, own->fitted, grids, &error), &error);
}

static void rig_open(rig *own, fl_design *design, int width)
{
    fl_error error;
    *own = (rig){.design = design};
    fl_arena_init(&own->arena);
    stop_on(fl_groundwork_new(&own->plain, design, &error), &error);
    own->nominal = fl_arena_take(&own->arena, design->quantity_count, sizeof *own->nominal);
    fl_design_start(design, own->nominal);
    const fl_vary vary = {.spreads = true, .quantities = own->nominal};
    stop_on(fl_groundwork_fit(&own->fitted, own->plain, &vary, &error), &error);
    fl_study_init(&own->study, design, own->fitted, NULL);
    rig_grid(own);
    stop_on(fl_sampler_new(&own->sampler, design, &error), &error);
    stop_on(
        fl_counting_take(&own->counting, &own->arena, design, own->nominal, own->margins, &error),
        &error);
    own->setup = (fl_lot_setup){.study = &own->study,
                                .margins = own->margins,
                                .sampler = own->sampler,
                                .counting = &own->counting,
                                .vector = fl_vector_of(width)};
    stop_on(fl_lot_block(&own->block, &own->setup, own->nominal, &error), &error);
    own->setup.block = own->block;
    stop_on(fl_lot_take(&own->lot, &own->setup, &own->arena, &error), &error);
    stop_on(fl_tally_take(&own->block_tally, &own->arena, &own->counting, &error), &error);
    stop_on(fl_tally_take(&own->total, &own->arena, &own->counting, &error), &error);
    stop_on(fl_histogram_take(&own->histogram, &own->arena, &error), &error);
}

static void rig_close(rig *own)
{
    fl_lot_release(&own->lot);
    fl_block_free(own->block);
    fl_sampler_free(own->sampler);
    fl_margins_free(own->margins);
    fl_groundwork_free(own->fitted);
    fl_groundwork_free(own->plain);
    fl_arena_release(&own->arena);
}

/* A block of the study, with all that it counts. */
static void run_block(rig *own, uint64_t first, uint64_t end)
{
    fl_tally *tally = &own->block_tally;
    fl_tally_clear(tally, &own->counting);
    for (uint64_t at = first; at < end; at += FL_LANES)
        fl_lot_run(&own->lot, tally, at, end - at < FL_LANES ? end - at : FL_LANES, NULL, 0);
    for (uint64_t i = 0; i < tally->samples; i++)
        fl_histogram_add(&own->histogram, tally->figures_db[i]);
    fl_tally_merge(&own->total, tally, &own->counting);
}

/* Seconds a sample, the best of three passes over the samples 0 to count - 1. */
static double measure(rig *own, uint64_t count, uint64_t *passed)
{
    double best = HUGE_VAL;
    for (int pass = 0; pass < 3; pass++) {
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
    if (only <= 1)
        run_alone(name, design, (count + 15) / 16);
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++)
        if (fl_vector_of(widths[i]) != NULL && (only == 0 || only == widths[i]))
            run_width(name, design, count, widths[i]);
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
