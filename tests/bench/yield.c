/* Samples a second of the Monte Carlo, many at a time and one by one, in one run on one core.
 *
 *     build/release/tests/bench/yield [SECONDS [WIDTH]]
 *
 * The designs: a chain of 14 sections with 12 spreads at 51 frequencies, and the example absorb
 * with the values in the file. Ratios are steadier than rates: a busy machine slows both. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/text.h"
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

/* Two lines, a shunt and a series element seven times over; one section in each pair spreads, and
 * but for two all of them do. */
static void write_chain(fl_text *text)
{
    fl_text_print(text, "{\"fairlead\": 1, \"band\": [\"26.5 GHz\", \"29.5 GHz\"], \"points\": 51,"
                        "\"ports\": {\"die\": {\"resistance\": \"50 ohm\","
                        "\"parallel capacitance\": \"40 fF\"},"
                        "\"board\": {\"impedance\": \"50 ohm\"}},"
                        "\"require\": [{\"quantity\": \"return loss\", \"at least\": \"12 dB\"}],"
                        "\"path\": [");
    for (int i = 0; i < 14; i++) {
        const char *spread = i < 12 ? ", \"spread\": {\"normal\": \"4 %\"}" : "";
        fl_text_print(text, "%s{\"name\": \"s%d\", \"side\": \"package\", ", i > 0 ? ", " : "", i);
        if (i % 4 == 1)
            fl_text_print(text,
                          "\"kind\": \"shunt capacitor\", \"quality factor\": 60,"
                          "\"capacitance\": {\"value\": \"25 fF\"%s}}",
                          spread);
        else if (i % 4 == 3)
            fl_text_print(text,
                          "\"kind\": \"series inductor\", \"quality factor\": 30,"
                          "\"inductance\": {\"value\": \"60 pH\"%s}}",
                          spread);
        else
            fl_text_print(text,
                          "\"kind\": \"line\", \"length\": \"300 um\", \"permittivity\": 3,"
                          "\"loss\": \"0.1 dB/mm\", \"impedance\": {\"value\": \"55 ohm\"%s}}",
                          spread);
    }
    fl_text_print(text, "]}");
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
    fl_tally tally;
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
    stop_on(fl_tally_take(&own->tally, &own->arena, &own->counting, &error), &error);
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

/* Seconds a sample; *passed counts the first so many blocks of samples. */
static double measure(rig *own, double seconds, uint64_t *passed)
{
    uint64_t done = 0;
    const double begin = now();
    *passed = 0;
    do {
        fl_tally_clear(&own->tally, &own->counting);
        for (int i = 0; i < 4; i++, done += FL_LANES)
            fl_lot_run(&own->lot, &own->tally, done, FL_LANES, NULL, 0);
        if (done <= 4096)
            *passed += own->tally.passed;
    } while (now() - begin < seconds || done < 4096);
    return (now() - begin) / (double)done;
}

static void compare(const char *name, fl_design *design, double seconds, int only)
{
    static const int widths[] = {2, 4, 8};
    uint64_t passed = 0;
    double single = 0.0;
    rig own;
    rig_open(&own, design, 2);
    own.setup.block = NULL;
    single = measure(&own, seconds, &passed);
    printf("%-8s one by one     %9.0f samples/s  %7.3f us           %llu of 4096 pass\n", name,
           1.0 / single, 1e6 * single, (unsigned long long)passed);
    rig_close(&own);
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++) {
        if (fl_vector_of(widths[i]) == NULL || (only > 0 && only != widths[i]))
            continue;
        rig_open(&own, design, widths[i]);
        const double many = measure(&own, seconds, &passed);
        printf("%-8s %d at a time    %9.0f samples/s  %7.3f us  x %5.1f  %llu of 4096 pass\n", name,
               widths[i], 1.0 / many, 1e6 * many, single / many, (unsigned long long)passed);
        printf("         nodes");
        for (size_t run = 0; run < own.counting.run_count; run++)
            printf(" %zu", fl_block_node_count(own.block, run));
        printf(" of %zu\n", design->points);
        rig_close(&own);
    }
}

int main(int count, char **words)
{
    const double seconds = count > 1 ? strtod(words[1], NULL) : 1.0;
    const int only = count > 2 ? (int)strtol(words[2], NULL, 10) : 0;
    fl_design *design = NULL;
    fl_error error;
    fl_text text;
    fl_text_init(&text);
    write_chain(&text);
    stop_on(fl_design_parse(&design, text.bytes, text.length, "chain", NULL, &error), &error);
    compare("chain", design, seconds, only);
    fl_design_free(design);
    fl_text_release(&text);
    stop_on(fl_design_read(&design, FL_SOURCE_DIR "/examples/absorb/absorb.json",
                           FL_SOURCE_DIR "/models", &error),
            &error);
    compare("absorb", design, seconds, only);
    fl_design_free(design);
    return 0;
}
