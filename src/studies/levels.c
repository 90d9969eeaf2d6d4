/* Share of variance by level: how much of what parts differ in comes from lot to lot, from wafer to
 * wafer, and so on. */
#include <math.h>
#include <omp.h>

#include "base/random.h"
#include "studies/production.h"

/* Most pairs of samples, in lots. The share of a level that has half of the variance is then
 * uncertain by some 0.016, that of a small one by far less. */
enum { PAIRS = 2048, LOTS = PAIRS / FL_LANES };

/* Lots between two questions for progress. */
enum { STEP = 8 };

/* Sums of one lot, of squares of differences. */
typedef struct sums {
    double all;                   /* (f(A) - f(B))^2 */
    double level[FL_LEVEL_COUNT]; /* (f(AB) - f(A)) (f(B) - f(BA)) */
    double total[FL_LEVEL_COUNT]; /* the mean of (f(AB) - f(A))^2 and (f(B) - f(BA))^2 */
    size_t pairs;                 /* whose samples are all physical */
} sums;

/* What one thread mixes samples in; all but the draws is a lot's of the production. */
typedef struct worker {
    fl_lot *lot;
    double (*first)[FL_LANES], (*second)[FL_LANES]; /* [draw_count] of the pairs of a lot */
    double *draws;                                  /* [draw_count] of one sample */
} worker;

/* A run; all is gone at its end. */
typedef struct sharing {
    fl_study study;
    fl_production production;  /* made ready as for a yield, which is not run */
    bool used[FL_LEVEL_COUNT]; /* levels with a draw */
    worker *workers;           /* [production.lot_count] */
    size_t lot_count;          /* enough for as many pairs as the study has samples, if few */
    sums lots[LOTS];
} sharing;

static fl_status take_workers(sharing *own, fl_error *error)
{
    fl_production *run = &own->production;
    const size_t draws = own->study.design->draw_count;
    own->workers = fl_arena_take(&run->arena, run->lot_count, sizeof *own->workers);
    for (size_t i = 0; own->workers && i < run->lot_count; i++) {
        worker *to = &own->workers[i];
        to->lot = &run->lots[i];
        to->first = fl_arena_take(&run->arena, draws, sizeof *to->first);
        to->second = fl_arena_take(&run->arena, draws, sizeof *to->second);
        to->draws = fl_arena_take(&run->arena, draws, sizeof *to->draws);
        if (!to->first || !to->second || !to->draws)
            return fl_fail_memory(error);
    }
    return own->workers ? FL_OK : fl_fail_memory(error);
}

/* The figure is that of a yield, at its frequencies. */
static fl_status make(sharing *own, fl_yielding *unused, const double *nominal, fl_error *error)
{
    const fl_design *design = own->study.design;
    const uint64_t samples = own->study.samples;
    own->lot_count = samples < PAIRS ? (size_t)(samples + FL_LANES - 1) / FL_LANES : LOTS;
    for (size_t i = 0; i < design->draw_count; i++)
        own->used[design->draws[i].level] = true;
    const fl_status status = fl_production_make(&own->production, unused, nominal, error);
    return status == FL_OK ? take_workers(own, error) : status;
}

/* Lane by lane the samples of these numbers: the first of a pair, and the second far behind. */
static void draw_pairs(const sharing *own, worker *by, size_t lot)
{
    for (size_t i = 0; i < own->study.design->draw_count; i++)
        for (size_t k = 0; k < FL_LANES; k++) {
            const uint64_t sample = lot * FL_LANES + k;
            by->first[i][k] = fl_random_normal(own->study.seed, sample, (uint32_t)i);
            by->second[i][k] = fl_random_normal(own->study.seed, PAIRS + sample, (uint32_t)i);
        }
}

/* Mixes lanes whose draws are of one, but of the other at one level (FL_LEVEL_COUNT: at none).
 * Draws are correlated within a level only, so that the mixed ones are as good as any. */
static void mix(const sharing *own, worker *by, const double (*of)[FL_LANES],
                const double (*other)[FL_LANES], fl_level level)
{
    const fl_design *design = own->study.design;
    fl_lot *lot = by->lot;
    for (size_t k = 0; k < FL_LANES; k++) {
        for (size_t i = 0; i < design->draw_count; i++)
            by->draws[i] = (design->draws[i].level == level ? other : of)[i][k];
        fl_sampler_apply(own->production.sampler, own->production.counting.nominal, lot->quantities,
                         by->draws);
        for (size_t i = 0; i < design->quantity_count; i++)
            lot->lanes.quantities[i][k] = lot->quantities[i];
    }
}

/* Figure of a lane by the block: the worst return loss, or the smallest margin where none is asked
 * for. */
static double block_figure(const fl_counting *counting, const fl_lane_worst *found, size_t lane)
{
    double figure = HUGE_VAL;
    for (size_t run = 0; run < counting->run_count; run++) {
        const fl_requirement *asked = fl_counting_requirement(counting, run);
        const double power = found->power[run][lane];
        if (!counting->has_return_loss)
            figure = fmin(figure, fl_margin_db(asked, power));
        else if (fl_asks_return_loss(asked))
            figure = fmin(figure, fl_loss_db(power));
    }
    return figure;
}

/* By the scalar route, where the block is in doubt; NAN: not physical. */
static double own_figure(const sharing *own, fl_lot *lot, size_t lane)
{
    for (size_t i = 0; i < own->study.design->quantity_count; i++)
        lot->quantities[i] = lot->lanes.quantities[i][lane];
    fl_lot_judge(lot, lot->quantities);
    return lot->verdict.figure_db;
}

/* Figures of mixed samples. */
static void judge(const sharing *own, worker *by, const double (*of)[FL_LANES],
                  const double (*other)[FL_LANES], fl_level level, double figures[FL_LANES])
{
    const fl_block *block = own->production.block;
    fl_lot *lot = by->lot;
    const fl_lane_worst *found = NULL;
    mix(own, by, of, other, level);
    if (block)
        found = fl_block_worst(block, lot->block_work,
                               (const double(*)[FL_LANES])lot->lanes.quantities);
    for (size_t k = 0; k < FL_LANES; k++)
        figures[k] = found && !found->doubtful[k]
                         ? block_figure(&own->production.counting, found, k)
                         : own_figure(own, lot, k);
}

/* Figures of a lot: of A and B, and for each level of A with B's draws there, and of B with A's. */
typedef struct figures {
    double a[FL_LANES], b[FL_LANES];
    double ab[FL_LEVEL_COUNT][FL_LANES], ba[FL_LEVEL_COUNT][FL_LANES];
} figures;

/* Adds one pair. NAN anywhere leaves it out: what is not physical has no figure to differ in. */
static void add_pair(sums *to, const figures *of, const bool *used, size_t k)
{
    sums with = *to;
    const double whole = of->a[k] - of->b[k];
    bool known = isfinite(whole);
    for (size_t level = 0; level < FL_LEVEL_COUNT; level++) {
        if (!used[level])
            continue;
        const double one = of->ab[level][k] - of->a[k], two = of->b[k] - of->ba[level][k];
        with.level[level] += one * two;
        with.total[level] += 0.5 * (one * one + two * two);
        known = known && isfinite(one) && isfinite(two);
    }
    with.pairs++;
    with.all += whole * whole;
    if (known)
        *to = with;
}

/* One lot, on one thread. */
static void run_lot(const sharing *own, worker *by, sums *to, size_t lot)
{
    figures of;
    const double(*a)[FL_LANES] = (const double(*)[FL_LANES])by->first;
    const double(*b)[FL_LANES] = (const double(*)[FL_LANES])by->second;
    draw_pairs(own, by, lot);
    judge(own, by, a, b, FL_LEVEL_COUNT, of.a);
    judge(own, by, b, a, FL_LEVEL_COUNT, of.b);
    for (int level = 0; level < (int)FL_LEVEL_COUNT; level++) {
        if (!own->used[level])
            continue;
        judge(own, by, a, b, (fl_level)level, of.ab[level]);
        judge(own, by, b, a, (fl_level)level, of.ba[level]);
    }
    *to = (sums){.pairs = 0};
    for (size_t k = 0; k < FL_LANES; k++)
        add_pair(to, &of, own->used, k);
}

/* False when asked to stop. */
static bool run_all(sharing *own)
{
    for (size_t first = 0; first < own->lot_count; first += STEP) {
        const size_t rest = own->lot_count - first, end = first + (rest < STEP ? rest : STEP);
#pragma omp parallel for schedule(static) num_threads((int)own->production.lot_count)
        for (size_t i = first; i < end; i++)
            run_lot(own, &own->workers[omp_get_thread_num()], &own->lots[i], i);
        if (fl_study_stopped(&own->study, "levels", (double)end / (double)own->lot_count))
            return false;
    }
    return true;
}

/* Sums of all lots in their order: the same bits on any number of threads. */
static sums add_lots(const sharing *own)
{
    sums all = {.pairs = 0};
    for (size_t i = 0; i < own->lot_count; i++) {
        const sums *lot = &own->lots[i];
        all.pairs += lot->pairs;
        all.all += lot->all;
        for (size_t level = 0; level < FL_LEVEL_COUNT; level++) {
            all.level[level] += lot->level[level];
            all.total[level] += lot->total[level];
        }
    }
    return all;
}

/* A part of nothing is not known; chance may take a small part below none of it. */
static double share_of(double part, double whole)
{
    return whole > 0.0 ? fmin(fmax(part / whole, 0.0), 1.0) : (double)NAN;
}

/* With f's mean taken off, E f(AB) f(B) is the variance V_L of the level's own part, since both
 * have its draws and no others in common, and so is E f(A) f(BA); the other two products have
 * nothing in common. The product of the differences is thus 2 V_L on average, without a mean to be
 * taken off [Sobol1993]. E (f(AB) - f(A))^2 is twice what the level does alone and with others, and
 * E (f(A) - f(B))^2 twice the variance. */
static void fill(fl_levels *levels, const sharing *own)
{
    const sums all = add_lots(own);
    if (2 * all.pairs < own->lot_count * FL_LANES)
        return;
    for (int level = 0; level < (int)FL_LEVEL_COUNT; level++) {
        if (!own->used[level])
            continue;
        const double part = fmax(all.level[level], 0.0);
        levels->items[levels->count++] =
            (fl_level_share){.level = (fl_level)level,
                             .share = share_of(part, all.all),
                             .total_share = share_of(all.total[level], all.all),
                             .sigma_db = sqrt(0.5 * part / (double)all.pairs)};
    }
}

/* A plan of wafers is not followed: here every sample has draws of its own at every level. */
fl_status fl_levels_run(fl_levels *levels, const fl_study *study, const double *nominal,
                        fl_error *error)
{
    sharing own = {.study = *study};
    fl_levels made = {.count = 0};
    fl_yielding unused = {.samples = 0};
    own.production.study = &own.study;
    own.study.kept = 0;
    fl_arena_init(&unused.arena);
    fl_arena_init(&own.production.arena);
    const fl_status status = make(&own, &unused, nominal, error);
    if (status == FL_OK && study->design->draw_count > 0) {
        made.interrupted = !run_all(&own);
        if (!made.interrupted)
            fill(&made, &own);
    }
    if (status == FL_OK)
        *levels = made;
    fl_production_release(&own.production);
    fl_arena_release(&unused.arena);
    return status;
}
