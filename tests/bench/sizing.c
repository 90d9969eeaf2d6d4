/* Time to size sizing.json beside this file and the example absorb, on one core; the starts, and
 * what was reached.
 *
 *     build/release/tests/bench/sizing
 *
 * The sizing alone, without the sensitivity and the yield that the command adds. */
#include "bench/rig.h"

enum { PASSES = 5 };

/* Processor seconds to size a design on one core, first what its costly models take: the best of
 * some passes of each. */
static void measure(double best[2], fl_design *design, const fl_groundwork *plain)
{
    fl_error error;
    fl_groundwork *fitted = NULL;
    const fl_options options = {.seed = -1, .threads = 1};
    double *values = fl_memory_take(design->quantity_count, sizeof *values);
    fl_design_start(design, values);
    const fl_vary vary = {.sizes = true, .quantities = values};
    best[0] = best[1] = HUGE_VAL;
    for (int pass = 0; pass < PASSES; pass++) {
        fl_study study;
        fl_sizing sizing;
        const double begin = now();
        stop_on(fl_groundwork_fit(&fitted, plain, &vary, &error), &error);
        const double made = now();
        fl_study_init(&study, design, fitted, &options);
        stop_on(fl_sizing_run(&sizing, &study, &error), &error);
        best[0] = fmin(best[0], made - begin);
        best[1] = fmin(best[1], now() - made);
        if (pass == 0)
            printf("loss %.4f starts %zu evaluations %zu",
                   design->requirements[0].limit_db + sizing.margin_db, sizing.starts,
                   sizing.evaluations);
        fl_sizing_release(&sizing);
        fl_groundwork_free(fitted);
    }
    fl_memory_free(values);
}

static void run_design(const char *name, const char *file)
{
    fl_design *design = NULL;
    fl_groundwork *plain = NULL;
    fl_error error;
    double best[2];
    stop_on(fl_design_read(&design, file, FL_SOURCE_DIR "/models", &error), &error);
    stop_on(fl_groundwork_new(&plain, design, &error), &error);
    printf("problem %s ", name);
    measure(best, design, plain);
    printf(" models %.4f seconds %.4f\n", best[0], best[0] + best[1]);
    fl_groundwork_free(plain);
    fl_design_free(design);
}

int main(void)
{
    run_design("sizing", FL_SOURCE_DIR "/tests/bench/sizing.json");
    run_design("absorb", FL_SOURCE_DIR "/examples/absorb/absorb.json");
    return 0;
}
