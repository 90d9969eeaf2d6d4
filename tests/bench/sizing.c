/* Time to size sizing.json beside this file, on one core; the starts, and what was reached.
 *
 *     build/release/tests/bench/sizing
 *
 * The sizing alone, without the sensitivity and the yield that the command adds. */
#include "bench/rig.h"

enum { PASSES = 5 };

int main(void)
{
    fl_design *design = NULL;
    fl_groundwork *plain = NULL;
    fl_error error;
    double best = HUGE_VAL;
    stop_on(fl_design_read(&design, FL_SOURCE_DIR "/tests/bench/sizing.json", NULL, &error),
            &error);
    stop_on(fl_groundwork_new(&plain, design, &error), &error);
    const fl_options options = {.seed = -1, .threads = 1};
    for (int pass = 0; pass < PASSES; pass++) {
        fl_study study;
        fl_sizing sizing;
        const double begin = now();
        fl_study_init(&study, design, plain, &options);
        stop_on(fl_sizing_run(&sizing, &study, &error), &error);
        best = fmin(best, now() - begin);
        if (pass == 0)
            printf("loss %.4f starts %zu evaluations %zu", 15.0 + sizing.margin_db, sizing.starts,
                   sizing.evaluations);
        fl_sizing_release(&sizing);
    }
    printf(" seconds %.4f\n", best);
    fl_groundwork_free(plain);
    fl_design_free(design);
    return 0;
}
