/* What all studies share: how they run, and when they stop. */
#include "studies/studies.h"

#include <omp.h>

/* Samples kept one by one, and threads: more is a mistake of the caller's. */
enum { KEPT_SAMPLES = 10000, MOST_THREADS = 256 };

/* All cores when none are asked for. */
static int thread_count(int asked)
{
    int threads = asked > 0 ? asked : omp_get_num_procs();
    return threads < MOST_THREADS ? threads : MOST_THREADS;
}

/* Half a lot would be no sample of lots: the last one is filled up. */
static uint64_t whole_lots(uint64_t samples, const fl_plan *plan)
{
    const uint64_t dice = fl_plan_dice(plan);
    if (dice == 0 || samples > UINT64_MAX - dice)
        return samples;
    return (samples + dice - 1) / dice * dice;
}

/* The caller's options go before the design's own numbers. */
void fl_study_init(fl_study *study, const fl_design *design, const fl_groundwork *groundwork,
                   const fl_options *options)
{
    fl_options defaults = {.samples = 0, .seed = -1};
    const fl_options *o = options != NULL ? options : &defaults;
    const uint64_t asked = fl_sampling_samples(design->sampling, o->samples);
    uint64_t samples = o->samples > 0 ? whole_lots(asked, &design->plan) : design->samples;
    *study = (fl_study){
        .design = design,
        .groundwork = groundwork,
        .seed = o->seed >= 0 ? (uint64_t)o->seed : design->seed,
        .samples = samples,
        .plan = design->plan,
        .rare = design->sampling == FL_SAMPLING_IMPORTANCE,
        .precision = design->precision,
        .threads = thread_count(o->threads),
        .progress = o->progress,
        .payload = o->payload,
        .ranks = o->ranks != NULL && o->ranks->count > 1 ? o->ranks : NULL,
    };
    if (o->keep_samples != 0)
        study->kept = samples < KEPT_SAMPLES ? (size_t)samples : KEPT_SAMPLES;
}

bool fl_study_stopped(const fl_study *study, const char *stage, double done)
{
    const bool asked = study->progress != NULL && study->progress(study->payload, stage, done) != 0;
    return asked && study->ranks == NULL;
}
