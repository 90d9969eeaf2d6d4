/* Yield by importance sampling: samples about the points of failure, weighted by how much rarer
 * they are in production. */
#include "studies/rare.h"

#include <math.h>
#include <omp.h>

#include "base/random.h"

/* Share of samples drawn as production draws them: no weight is over its inverse, and failures
 * that no point leads to are met at all [Hesterberg1995]. */
static const double plain_share = 0.1;

/** Of one case, or of all together: failed samples and their weights. */
typedef struct weights {
    uint64_t failed;
    double sum, square_sum;
} weights;

/** Of a block, or of all. */
typedef struct counts {
    uint64_t samples, not_physical, plain;
    weights *columns; /* [case_count + 1]; the last: every case together */
} counts;

typedef struct rare {
    fl_production run;
    fl_study study; /* what the run is made for: alone, and without kept samples */
    fl_rare_points points;
    double shares[FL_RARE_POINTS]; /* of the samples that are not plain */
    counts blocks[FL_ROUND_BLOCKS], total;
    size_t columns;
} rare;

/* Points share samples as they would share failures if all limits were flat [Melchers1989]. */
static void share_out(rare *own)
{
    double sum = 0.0;
    for (size_t i = 0; i < own->points.count; i++)
        sum += own->shares[i] = fl_normal_share(-own->points.items[i].is.sigmas);
    for (size_t i = 0; i < own->points.count; i++)
        own->shares[i] /= sum;
}

/* Density of production over that of the samples; draws are the independent ones. */
static double weight_of(const rare *own, const double *draws)
{
    const size_t n = own->study.design->draw_count;
    double sum = 0.0;
    if (own->points.count == 0)
        return 1.0;
    for (size_t i = 0; i < own->points.count; i++) {
        const fl_rare_point *point = &own->points.items[i];
        double along = -0.5 * point->is.sigmas * point->is.sigmas;
        for (size_t k = 0; k < n; k++)
            along += draws[k] * point->draws[k];
        sum += own->shares[i] * exp(along);
    }
    return 1.0 / (plain_share + (1.0 - plain_share) * sum);
}

/* The point a sample is drawn about; NULL: none. By a number of its own behind its draws. */
static const fl_rare_point *pick(const rare *own, uint64_t sample)
{
    const uint32_t item = (uint32_t)own->study.design->draw_count;
    double rest = fl_random_uniform(own->study.seed, sample, item) - plain_share;
    if (own->points.count == 0 || rest < 0.0)
        return NULL;
    rest /= 1.0 - plain_share;
    for (size_t i = 0; i + 1 < own->points.count; i++) {
        if (rest < own->shares[i])
            return &own->points.items[i];
        rest -= own->shares[i];
    }
    return &own->points.items[own->points.count - 1];
}

static void add_failed(weights *to, bool failed, double weight)
{
    if (!failed)
        return;
    to->failed++;
    to->sum += weight;
    to->square_sum += weight * weight;
}

/* By the scalar route, draws and all. */
static void add_sample(const rare *own, fl_lot *lot, counts *to, uint64_t sample)
{
    const fl_design *design = own->study.design;
    const fl_rare_point *about = pick(own, sample);
    for (size_t i = 0; i < design->draw_count; i++)
        lot->draws[i] = fl_random_normal(own->study.seed, sample, (uint32_t)i) +
                        (about != NULL ? about->draws[i] : 0.0);
    const double weight = weight_of(own, lot->draws);
    fl_sampler_apply(own->run.sampler, own->run.counting.nominal, lot->quantities, lot->draws);
    fl_lot_judge(lot, lot->quantities);
    to->samples++;
    to->plain += about == NULL;
    to->not_physical += !lot->verdict.physical;
    for (size_t c = 0; c < design->case_count; c++)
        add_failed(&to->columns[c], !lot->verdict.case_passed[c], weight);
    add_failed(&to->columns[design->case_count], !lot->verdict.passed, weight);
}

static void run_block(const rare *own, fl_lot *lot, counts *to, uint64_t first)
{
    const uint64_t rest = own->study.samples - first;
    to->samples = to->not_physical = to->plain = 0;
    for (size_t c = 0; c < own->columns; c++)
        to->columns[c] = (weights){0};
    for (uint64_t i = 0; i < FL_BLOCK_SAMPLES && i < rest; i++)
        add_sample(own, lot, to, first + i);
}

static void merge(counts *into, const counts *from, size_t columns)
{
    into->samples += from->samples;
    into->not_physical += from->not_physical;
    into->plain += from->plain;
    for (size_t c = 0; c < columns; c++) {
        into->columns[c].failed += from->columns[c].failed;
        into->columns[c].sum += from->columns[c].sum;
        into->columns[c].square_sum += from->columns[c].square_sum;
    }
}

/* Blocks are added in their order, whoever made them. */
static void run_round(rare *own)
{
    const uint64_t first = own->total.samples;
    const uint64_t rest = (own->study.samples - first + FL_BLOCK_SAMPLES - 1) / FL_BLOCK_SAMPLES;
    const int blocks = rest < FL_ROUND_BLOCKS ? (int)rest : FL_ROUND_BLOCKS;
#pragma omp parallel for schedule(dynamic) num_threads((int)own->run.lot_count)
    for (int i = 0; i < blocks; i++)
        run_block(own, &own->run.lots[omp_get_thread_num()], &own->blocks[i],
                  first + (uint64_t)i * FL_BLOCK_SAMPLES);
    for (int i = 0; i < blocks; i++)
        merge(&own->total, &own->blocks[i], own->columns);
}

/* Mean of the weights of those that fail, with its error and interval. */
static fl_rarity rarity_of(const rare *own, const weights *of)
{
    const double n = (double)own->total.samples, sum = of->sum;
    const double confidence = own->study.design->confidence;
    fl_rarity made = {.failed = of->failed, .error = (double)NAN};
    double low, high;
    if (of->failed > 0) {
        made.failing = sum / n;
        made.error = sqrt(fmax(of->square_sum / n - made.failing * made.failing, 0.0) / n);
        made.effective = sum * sum / of->square_sum;
    }
    if (own->points.count > 0 && of->failed > 0) {
        const fl_weighted weighted = {made.failing, made.error, made.effective};
        fl_interval_weighted(&made.low, &made.high, &weighted, confidence);
        return made;
    }
    /* Weights that are all 1, or none: plain samples are counted. */
    fl_interval_exact(&low, &high, of->failed, own->total.plain, confidence);
    made.low = low;
    made.high = high;
    return made;
}

/* Independent samples of production that would tell as much. */
static double effective_of(const rare *own, const fl_rarity *found)
{
    const double variance = found->error * found->error;
    if (own->points.count == 0 || !(variance > 0.0))
        return (double)own->total.plain;
    return found->failing * (1.0 - found->failing) / variance;
}

static fl_status fill(fl_yielding *yielding, const rare *own, fl_error *error)
{
    const fl_design *design = own->study.design;
    const size_t cases = design->case_count;
    const fl_rarity whole = rarity_of(own, &own->total.columns[cases]);
    yielding->samples = own->total.samples;
    yielding->not_physical = own->total.not_physical;
    yielding->confidence = design->confidence;
    yielding->sampling = design->sampling;
    yielding->basis = own->points.count > 0 ? FL_BASIS_WEIGHTS : FL_BASIS_SAMPLES;
    yielding->passed = own->total.samples - whole.failed;
    yielding->estimate = 1.0 - whole.failing;
    yielding->low = 1.0 - whole.high;
    yielding->high = 1.0 - whole.low;
    yielding->effective = effective_of(own, &whole);
    yielding->rare = whole;
    yielding->rare.points =
        fl_arena_take(&yielding->arena, own->points.count, sizeof *yielding->rare.points);
    yielding->cases = fl_arena_take(&yielding->arena, cases, sizeof *yielding->cases);
    if (yielding->rare.points == NULL || yielding->cases == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < own->points.count; i++)
        yielding->rare.points[i] = own->points.items[i].is;
    yielding->rare.point_count = own->points.count;
    /* A part that passes in every case passes in each: no case fails more often than all. */
    for (size_t c = 0; c < cases; c++) {
        fl_rarity one = rarity_of(own, &own->total.columns[c]);
        one.high = fmin(one.high, fmax(whole.high, one.failing));
        one.low = fmin(one.low, one.high);
        yielding->cases[c] = (fl_case_yield){own->total.samples - one.failed, 1.0 - one.failing,
                                             1.0 - one.high, 1.0 - one.low};
    }
    return FL_OK;
}

static fl_status take_counts(rare *own, fl_error *error)
{
    own->columns = own->study.design->case_count + 1;
    weights *all =
        fl_arena_take(&own->run.arena, (FL_ROUND_BLOCKS + 1) * own->columns, sizeof *all);
    if (all == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < FL_ROUND_BLOCKS; i++)
        own->blocks[i].columns = all + (i + 1) * own->columns;
    own->total.columns = all;
    return FL_OK;
}

static fl_status refuse(const fl_study *study, fl_error *error)
{
    if (study->design->draw_count == 0)
        return fl_fail(error, FL_BAD_INPUT, study->design->file,
                       "sampling 'importance' needs a value with a spread, found none");
    if (study->checkpoint != NULL)
        return fl_fail(error, FL_BAD_INPUT, study->checkpoint,
                       "sampling 'importance' takes no checkpoint, only the others do");
    return FL_OK;
}

/* An interrupted run is a shorter one. */
fl_status fl_rare_run(fl_yielding *yielding, const fl_study *study, const double *nominal,
                      fl_error *error)
{
    rare own = {.study = *study};
    own.study.ranks = NULL;
    own.study.kept = 0;
    own.run.study = &own.study;
    *yielding = (fl_yielding){.seed = study->seed};
    fl_arena_init(&yielding->arena);
    fl_arena_init(&own.run.arena);
    fl_status status = refuse(study, error);
    if (status == FL_OK)
        status = fl_production_make(&own.run, yielding, nominal, error);
    if (status == FL_OK)
        status = take_counts(&own, error);
    if (status == FL_OK)
        status = fl_rare_find(&own.points, &own.run, error);
    if (status != FL_OK)
        goto cleanup;
    share_out(&own);
    while (own.total.samples < study->samples && !yielding->interrupted) {
        run_round(&own);
        const double done = (double)own.total.samples / (double)study->samples;
        yielding->interrupted =
            fl_study_stopped(study, "yield", done) && own.total.samples < study->samples;
    }
    status = fill(yielding, &own, error);
cleanup:
    fl_production_release(&own.run);
    return status;
}
