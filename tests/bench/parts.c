/* Where the time of a sample goes: draws, powers, and judging with all that is counted.
 *
 *     build/release/tests/bench/parts [WIDTH]
 *
 * The first two by themselves, over the same lots as the whole; the third is what is left. */
#include "bench/rig.h"

enum { LOTS = 500, PASSES = 60 };

static void draw(rig *own, uint64_t lot)
{
    fl_sampler_draw_lanes(own->sampler, own->setup.vector, own->study.seed, lot * FL_LANES,
                          own->counting.nominal, &own->lot.lanes);
}

static void power(rig *own, uint64_t lot)
{
    (void)lot;
    fl_block_worst(own->block, own->lot.block_work,
                   (const double(*)[FL_LANES])own->lot.lanes.quantities);
}

static void whole(rig *own, uint64_t lot)
{
    fl_tally_clear(&own->block_tally, &own->counting);
    fl_lot_run(&own->lot, &own->block_tally, lot * FL_LANES, FL_LANES, NULL, 0);
    fl_histogram_add(&own->histogram, own->block_tally.figures_db, own->block_tally.samples);
}

/* Microseconds a sample of each part, the best of passes over all of them in turn. */
static void measure(rig *own, void (*const *parts)(rig *, uint64_t), double *best)
{
    for (int pass = 0; pass < PASSES; pass++)
        for (int i = 0; i < 3; i++) {
            const double begin = now();
            for (uint64_t lot = 0; lot < LOTS; lot++)
                parts[i](own, lot);
            best[i] = fmin(best[i], 1e6 * (now() - begin) / (LOTS * FL_LANES));
        }
}

int main(int count, char **words)
{
    const int width = count > 1 ? (int)strtol(words[1], NULL, 10) : fl_vector_widest()->width;
    fl_design *design = NULL;
    fl_error error;
    rig own;
    void (*const parts[])(rig *, uint64_t) = {draw, power, whole};
    double best[] = {HUGE_VAL, HUGE_VAL, HUGE_VAL};
    if (fl_vector_of(width) == NULL) {
        fprintf(stderr, "parts: no vectors of %d here\n", width);
        return 2;
    }
    stop_on(fl_design_read(&design, FL_SOURCE_DIR "/tests/bench/yield.json", NULL, &error), &error);
    rig_open(&own, design, width);
    measure(&own, parts, best);
    printf("width %d draws %.3f powers %.3f rest %.3f\n", width, best[0], best[1],
           best[2] - best[0] - best[1]);
    rig_close(&own);
    fl_design_free(design);
    return 0;
}
